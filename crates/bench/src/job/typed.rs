//! A job's text as fields of typed text: what a page shows in its inputs.

use super::edit::{Place, count_of, holder, parse};
use super::node::value_typed;
use toml_edit::{Document, Item};

/// A text, parsed once, to look many fields up in.
pub struct Typed(Option<Document<String>>);

impl Typed {
    /// Parses a text; one that is not TOML has no fields.
    pub fn of(text: &str) -> Self {
        Self(parse(text).ok())
    }

    /// A field's value as typed (strings without their quotes, lists with a comma and a space between). None
    /// where the field is not there.
    pub fn raw(&self, path: &str) -> Option<String> {
        let document = self.0.as_ref()?;
        let place = Place::field(path).ok()?;
        let (name, within) = place.last()?;
        match holder(document.as_table(), within)?.table.get(name)? {
            Item::Value(value) => Some(value_typed(value, document.raw())),
            _ => None,
        }
    }

    /// How many tables the array of tables `path` holds.
    pub fn count(&self, path: &str) -> usize {
        let (Some(document), Ok(place)) = (&self.0, Place::table(path)) else { return 0 };
        let Some((name, within)) = place.last() else { return 0 };
        holder(document.as_table(), within).and_then(|h| h.table.get(name)).map_or(0, count_of)
    }
}

/// One field's value; see [`Typed::raw`].
pub fn raw(text: &str, path: &str) -> Option<String> {
    Typed::of(text).raw(path)
}

/// Whether a text is TOML at all; if not, where and why it stops being so.
///
/// # Errors
/// The parser's message, in words.
pub fn is_toml(text: &str) -> Result<(), String> {
    parse(text).map(drop).map_err(|e| e.to_string())
}
