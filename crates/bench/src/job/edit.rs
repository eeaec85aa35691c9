//! Changes a job's text field by field, keeping the person's comments and order.

/// One change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// Sets `path` to what was typed; an empty text removes the field.
    Set {
        /// Path as in [`Problem::field`](super::Problem::field).
        path: String,
        /// As typed.
        typed: String,
    },
    /// Appends an empty table to the array `path` (`reading`).
    Add {
        /// Array.
        path: String,
    },
    /// Removes a table of an array: `reading[2]`.
    Remove {
        /// Table.
        path: String,
    },
}

/// Why an edit was refused; the text is unchanged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EditError {
    /// The text is not TOML.
    NotToml(String),
    /// No such field or table; says the nearest.
    NoSuchField {
        /// As asked.
        path: String,
        /// What would be accepted.
        accepted: String,
    },
    /// Both sides changed the same field since the base.
    Conflict {
        /// The field.
        path: String,
        /// What the other wrote.
        theirs: String,
        /// What was wanted here.
        ours: String,
    },
}

/// Applies an edit to a text.
pub fn apply(_text: &str, _edit: &Edit) -> Result<String, EditError> {
    todo!()
}

/// Applies an edit that was made against `base` to `current`, which has moved on: works where the edited field
/// is the same in both.
pub fn merge(_base: &str, _current: &str, _edit: &Edit) -> Result<String, EditError> {
    todo!()
}

/// A field's value as typed (strings without their quotes).
pub fn raw(_text: &str, _path: &str) -> Option<String> {
    todo!()
}
