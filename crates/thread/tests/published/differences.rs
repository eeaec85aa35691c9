//! Values that project and source give differently, each with its reason: `fixtures/differences.csv`.

use crate::fixture;
use crate::value::Value;

/// A printed value that the project does not give, the value it gives, and why.
#[derive(Debug)]
pub struct Difference {
    /// Designation, class, feature and side as in the fixture.
    at: [String; 4],
    source: String,
    printed: String,
    ours: String,
    /// In full.
    pub why: String,
}

const COLUMNS: [&str; 8] = ["designation", "class", "feature", "side", "source", "printed", "ours", "why"];

impl Difference {
    /// Whether `value` is the one meant.
    pub fn is_of(&self, value: &Value) -> bool {
        self.at == value.at
            && (&self.source, &self.printed, &self.ours) == (&value.source, &value.printed, &value.ours)
    }

    /// The line that would name `value`, less its reason.
    pub fn line(value: &Value) -> String {
        format!("{},{},{},{},", value.at.join(","), value.source, value.printed, value.ours)
    }
}

/// All that are named. The last cell is the key of a line `#@ key | reason` or the reason itself.
pub fn read() -> Vec<Difference> {
    let text = fixture::text("differences");
    let reasons: Vec<_> =
        text.lines().filter_map(|line| line.strip_prefix("#@ ")?.split_once(" | ")).collect();
    fixture::rows("differences")
        .iter()
        .map(|row| {
            let [designation, class, feature, side, source, printed, ours, why] =
                COLUMNS.map(|column| row.text(column).to_owned());
            let full = reasons.iter().find(|(key, _)| *key == why).map(|(_, reason)| (*reason).to_owned());
            let why = full.unwrap_or(why);
            assert!(why.contains(' '), "differences:{}: `{why}` is neither a key nor a reason", row.line);
            Difference { at: [designation, class, feature, side], source, printed, ours, why }
        })
        .collect()
}
