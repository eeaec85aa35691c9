//! Reads a job's text.

use super::{Job, Lathe};

/// Something wrong in a text: which field, what was read, what is accepted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Field as a path: `reading[2].value`. Tables of an array count from 1.
    pub field: String,
    /// Line in the text, from 1.
    pub line: usize,
    /// What was read.
    pub read: String,
    /// What would be accepted, with the nearest name where one is near.
    pub accepted: String,
}

/// Reads a job; all problems at once.
pub fn read(_text: &str) -> Result<Job, Vec<Problem>> {
    todo!()
}

/// Reads a lathe file.
pub fn read_lathe(_text: &str) -> Result<Lathe, Vec<Problem>> {
    todo!()
}
