//! What the command line and the page both do with kept jobs. The clock is read here and nowhere else.

use crate::input::LARGEST_TEXT;
use flankwise_bench::job;
use flankwise_store::{JobHead, Store};
use std::time::{SystemTime, UNIX_EPOCH};

/// The two demo jobs: file name and text.
pub const DEMOS: [(&str, &str); 2] = [
    ("board-shear.toml", include_str!("../../../demo/board-shear.toml")),
    ("proof-press.toml", include_str!("../../../demo/proof-press.toml")),
];

/// Seconds since 1970 by the system's clock; zero on a clock set before that.
pub fn now() -> i64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| i64::try_from(d.as_secs()).unwrap_or(i64::MAX))
}

/// The title a job's text gives itself.
pub fn title(text: &str) -> String {
    job::raw(text, "job").filter(|t| !t.trim().is_empty()).unwrap_or_else(|| "Job without a name".to_owned())
}

/// Takes a job's text into the store. Text that is not TOML, or too large, is refused; fields that are wrong are
/// kept and shown in the page, so that nothing a person wrote is lost.
pub fn import(store: &Store, text: &str, origin: &str, now: i64) -> Result<JobHead, String> {
    if text.len() as u64 > LARGEST_TEXT {
        return Err("larger than 1 MiB; a job file is text of a few kilobytes".to_owned());
    }
    job::is_toml(text)?;
    store.import(&title(text), text, &format!("read in from {origin}"), now).map_err(|e| e.to_string())
}
