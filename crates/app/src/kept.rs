//! What the command line and the page both do with kept jobs and lathes. The clock is read here and nowhere else.

use crate::input::LARGEST_TEXT;
use flankwise_bench::job;
use flankwise_store::{JobHead, Store};
use std::time::{SystemTime, UNIX_EPOCH};

/// The two demo jobs: file name and text.
pub const DEMOS: [(&str, &str); 2] = [
    ("board-shear.toml", include_str!("../../../demo/board-shear.toml")),
    ("proof-press.toml", include_str!("../../../demo/proof-press.toml")),
];

/// The invented lathes to start from: file name and text.
pub const LATHES: [(&str, &str); 3] = [
    ("imperial-small.toml", include_str!("../../../demo/lathes/imperial-small.toml")),
    ("metric-small.toml", include_str!("../../../demo/lathes/metric-small.toml")),
    ("geared-head.toml", include_str!("../../../demo/lathes/geared-head.toml")),
];

/// The shelf of the store that lathes stand on.
pub const LATHE_SHELF: &str = "lathe";

/// Seconds since 1970 by the system's clock; zero on a clock set before that.
pub fn now() -> i64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| i64::try_from(d.as_secs()).unwrap_or(i64::MAX))
}

/// The title a job's text gives itself.
pub fn title(text: &str) -> String {
    job::raw(text, "job").filter(|t| !t.trim().is_empty()).unwrap_or_else(|| "Job without a name".to_owned())
}

/// The name that a lathe's text gives itself.
pub fn lathe_title(text: &str) -> String {
    job::raw(text, "lathe.name")
        .filter(|t| !t.trim().is_empty())
        .unwrap_or_else(|| "Lathe without a name".to_owned())
}

/// Takes a lathe's text into the store, in the form that is edited; of a job, its lathe. Fields that are wrong are
/// kept.
pub fn import_lathe(lathes: &Store, text: &str, origin: &str, now: i64) -> Result<JobHead, String> {
    fits(text)?;
    let own = job::lathe_text(text)?;
    lathes.import(&lathe_title(&own), &own, &format!("read in from {origin}"), now).map_err(|e| e.to_string())
}

fn fits(text: &str) -> Result<(), String> {
    if text.len() as u64 > LARGEST_TEXT {
        return Err("larger than 1 MiB; a job file is text of a few kilobytes".to_owned());
    }
    Ok(())
}

/// Takes a job's text into the store. Text that is not TOML, or too large, is refused; fields that are wrong are
/// kept and shown in the page, so that nothing a person wrote is lost.
pub fn import(store: &Store, text: &str, origin: &str, now: i64) -> Result<JobHead, String> {
    fits(text)?;
    job::is_toml(text)?;
    store.import(&title(text), text, &format!("read in from {origin}"), now).map_err(|e| e.to_string())
}
