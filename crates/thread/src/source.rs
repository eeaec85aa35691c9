//! Where a number comes from.

use std::fmt;

/// How far a value is proved by its origin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Standing {
    /// Printed in the cited document, in a table.
    Table,
    /// Computed with a formula printed in the cited document.
    Formula,
    /// Follows by geometry or arithmetic from other values of the project.
    Derived,
    /// A fact of the trade that no document was found for.
    Practice,
    /// Recalled without the document at hand: not proof.
    Memory,
    /// Chosen by this project; the note says why.
    Choice,
}

/// Origin of a value: document, edition, table or clause.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Source {
    /// Document with edition, such as `ISO 2904:1977`.
    pub document: &'static str,
    /// Table, clause or page; empty where the whole document is meant.
    pub place: &'static str,
    /// How far that proves the value.
    pub standing: Standing,
}

impl Source {
    /// A value printed in a table of `document`.
    pub const fn table(document: &'static str, place: &'static str) -> Self {
        Self { document, place, standing: Standing::Table }
    }
    /// A value computed with a formula printed in `document`.
    pub const fn formula(document: &'static str, place: &'static str) -> Self {
        Self { document, place, standing: Standing::Formula }
    }
    /// A value that follows by geometry or arithmetic; `how` says from what.
    pub const fn derived(how: &'static str) -> Self {
        Self { document: "derived", place: how, standing: Standing::Derived }
    }
    /// Common practice of the trade, without a document.
    pub const fn practice(what: &'static str) -> Self {
        Self { document: "common practice, no source", place: what, standing: Standing::Practice }
    }
    /// Recalled from `document` without it at hand.
    pub const fn memory(document: &'static str, place: &'static str) -> Self {
        Self { document, place, standing: Standing::Memory }
    }
    /// A value that this project chose; `why` gives the reason.
    pub const fn choice(why: &'static str) -> Self {
        Self { document: "chosen here", place: why, standing: Standing::Choice }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.document)?;
        if !self.place.is_empty() {
            write!(f, ", {}", self.place)?;
        }
        if self.standing == Standing::Memory {
            f.write_str(" (from memory)")?;
        }
        Ok(())
    }
}
