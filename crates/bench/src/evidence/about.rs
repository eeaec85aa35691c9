//! Which readings a row of a table is about: its columns `instrument`, `part` and `feature`.

use crate::job::{Reading, Words};
use flankwise_thread::table::Row;

/// Words of a job, or `*` for any.
pub(super) struct About {
    instrument: &'static str,
    part: &'static str,
    feature: &'static str,
}

impl About {
    pub(super) fn of(row: Row<'_>) -> Self {
        Self { instrument: row.text("instrument"), part: row.text("part"), feature: row.text("feature") }
    }

    pub(super) fn suits(&self, reading: &Reading) -> bool {
        let suits = |cell: &str, word: &str| cell == "*" || cell == word;
        suits(self.instrument, reading.instrument.word())
            && suits(self.part, reading.part.word())
            && suits(self.feature, reading.feature.word())
    }
}
