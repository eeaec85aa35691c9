//! A section of `docs/VALIDATION.md` that a test writes, between `<!-- name:begin -->` and `<!-- name:end -->`.
//!
//! Shared by the crates whose tests have a section there (`#[path]`). What stands outside the marks is written by hand.

use std::fs;
use std::path::PathBuf;

/// Set to 1, the section is rewritten in place of being compared.
const BLESS: &str = "FLANKWISE_BLESS";

/// Compares the section `name` with `fresh`, or rewrites it.
///
/// # Panics
/// Where the two differ; the message names `command`, which rewrites the section.
pub fn hold(name: &str, fresh: &str, command: &str) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../docs/VALIDATION.md");
    let text = fs::read_to_string(&path).unwrap_or_default();
    let (begin, end) = (format!("<!-- {name}:begin -->\n"), format!("<!-- {name}:end -->\n"));
    let fresh = format!("\n{}\n\n", fresh.trim());
    let place = text.find(&begin).map(|at| at + begin.len()).and_then(|from| {
        let to = from + text[from..].find(&end)?;
        Some(from..to)
    });
    if std::env::var(BLESS).is_ok_and(|set| set == "1") {
        let written = match place {
            Some(place) => format!("{}{fresh}{}", &text[..place.start], &text[place.end..]),
            None => format!("{}\n\n{begin}{fresh}{end}", text.trim_end()),
        };
        fs::write(&path, written.trim_start()).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        return;
    }
    let kept = place.map_or("", |place| &text[place]);
    let differs = kept.lines().zip(fresh.lines()).position(|(kept, fresh)| kept != fresh);
    let first = differs.unwrap_or_else(|| kept.lines().count().min(fresh.lines().count()));
    assert!(
        kept == fresh,
        "section `{name}` of docs/VALIDATION.md is stale: line {} is\n{}\nand should be\n{}\nrewrite it with\n{BLESS}=1 {command}",
        first + 1,
        kept.lines().nth(first).unwrap_or("(nothing)"),
        fresh.lines().nth(first).unwrap_or("(nothing)"),
    );
}
