//! Changes a job's text field by field, keeping the person's comments and order.
//!
//! A change is checked for its path only: what was typed is stored as typed even where the reader will refuse
//! it, so that nothing is lost. Values are set within the parsed document; lines are taken out of the text
//! itself, because a comment beside or above a line that goes must stay.

use super::node::{one_of, value_typed};
use super::read::MOST_BYTES;
use super::schema::{self, FieldInfo, Kind, Shape, TableInfo};
use super::typed::raw;
use std::ops::Range;
use toml_edit::{
    Array, ArrayOfTables, Document, DocumentMut, InlineTable, Item, RawString, Table, TableLike, Value,
};

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
    /// Removes a table: of an array, `reading[2]`, or a single one, `lathe`.
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

impl std::fmt::Display for EditError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotToml(message) => f.write_str(message),
            Self::NoSuchField { path, accepted } => write!(f, "no field `{path}`; accepted: {accepted}"),
            Self::Conflict { path, theirs, ours } => {
                write!(f, "{path} was changed elsewhere meanwhile: there `{theirs}`, here `{ours}`")
            }
        }
    }
}

impl std::error::Error for EditError {}

/// A minimal job, with the tables that come first and an example of a reading as remarks.
pub fn template() -> String {
    "\
# Remarks follow a #. Lengths carry their unit (\"16 mm\", \"5/8 in\", \"10 tpi\"); bare numbers are in `unit`.

job  = \"\"
unit = \"mm\"

[observed]

# [[reading]]
# part       = \"screw\"
# feature    = \"major diameter\"
# value      = \"21.86 mm\"
# instrument = \"calliper\"
"
    .to_owned()
}

/// Applies an edit to a text.
///
/// # Errors
/// [`EditError::NotToml`] and [`EditError::NoSuchField`].
pub fn apply(text: &str, edit: &Edit) -> Result<String, EditError> {
    let crlf = text.contains("\r\n");
    // Before line ends are touched: a stray carriage return must not be healed unsaid.
    parse(text)?;
    let plain = if crlf { text.replace("\r\n", "\n") } else { text.to_owned() };
    let done = match edit {
        Edit::Set { path, typed } if typed.trim().is_empty() => unset(&plain, path),
        Edit::Set { path, typed } => set(&plain, path, typed.trim()),
        Edit::Add { path } => add(&plain, path),
        Edit::Remove { path } => remove(&plain, path),
    }?;
    Ok(if crlf { done.replace('\n', "\r\n") } else { done })
}

/// Applies an edit that was made against `base` to `current`, which has moved on: works where the edited field
/// is the same in both, or already what is wanted. A table of an array that has moved is followed.
///
/// # Errors
/// As [`apply`], and [`EditError::Conflict`].
pub fn merge(base: &str, current: &str, edit: &Edit) -> Result<String, EditError> {
    // What could not be done to the base is wrong in itself, not a conflict; what would not change it changes
    // nothing.
    if apply(base, edit)? == base {
        return parse(current).map(|_| current.to_owned());
    }
    match edit {
        Edit::Add { .. } => apply(current, edit),
        Edit::Set { path, typed } => {
            let conflict = |theirs: Option<String>| EditError::Conflict {
                path: path.clone(),
                theirs: theirs.unwrap_or_default(),
                ours: typed.clone(),
            };
            let field = Place::field(path)?;
            let now = follow(base, current, &field.steps)?.ok_or_else(|| conflict(raw(current, path)))?;
            let (then, there) = (raw(base, path), raw(current, &now));
            if then != there && there.as_deref().unwrap_or("") != typed.trim() {
                return Err(conflict(there));
            }
            apply(current, &Edit::Set { path: now, typed: typed.clone() })
        }
        Edit::Remove { path } => {
            let place = Place::table(path)?;
            let conflict =
                |theirs: String| EditError::Conflict { path: path.clone(), theirs, ours: String::new() };
            let (before, after) = (parse(base)?, parse(current)?);
            let was = table_text(&before, &place.steps);
            if let Some((array, at)) = place.in_array() {
                let (mut then, now) = (texts(&before, array), texts(&after, array));
                if at <= then.len() {
                    then.remove(at - 1);
                    if then == now {
                        return Ok(current.to_owned());
                    }
                }
            }
            let theirs = table_text(&after, &place.steps).unwrap_or_default();
            let now = follow(base, current, &place.steps)?.ok_or_else(|| conflict(theirs.clone()))?;
            if was.is_none() || was != table_text(&after, &Place::table(&now)?.steps) {
                return Err(conflict(theirs));
            }
            apply(current, &Edit::Remove { path: now })
        }
    }
}

/// One step of a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Step {
    name: &'static str,
    /// From 1, for a table of an array.
    index: Option<usize>,
}

/// A path that the schema knows.
pub(super) struct Place {
    steps: Vec<Step>,
    table: &'static TableInfo,
    field: Option<&'static FieldInfo>,
}

impl Place {
    /// A field's path.
    pub(super) fn field(path: &str) -> Result<Self, EditError> {
        let place = Self::read(path)?;
        match place.field {
            Some(_) => Ok(place),
            None => Err(no_such(path, format!("a field of it: {}", place.table.names().join(", ")))),
        }
    }

    /// A table's path.
    pub(super) fn table(path: &str) -> Result<Self, EditError> {
        let place = Self::read(path)?;
        match place.field {
            None if !place.steps.is_empty() => Ok(place),
            _ => Err(no_such(path, "a table, such as reading[1]")),
        }
    }

    fn read(path: &str) -> Result<Self, EditError> {
        let mut place = Self { steps: Vec::new(), table: &schema::TABLES[0], field: None };
        for part in path.split('.') {
            let (typed, index) = match part.split_once('[') {
                None => (part, None),
                Some((name, number)) => {
                    let number = number.strip_suffix(']').and_then(|n| n.parse().ok()).filter(|n| *n > 0);
                    (name, Some(number.ok_or_else(|| no_such(path, format!("{name}[1] and so on")))?))
                }
            };
            if place.field.is_some() {
                return Err(no_such(path, "no further parts after a field"));
            }
            let index_fits = if let Some(table) = place.table.child(typed) {
                place.steps.push(Step { name: table.name(), index });
                place.table = table;
                index.is_none() || table.shape == Shape::Many
            } else if let Some(field) = place.table.field(typed) {
                place.steps.push(Step { name: field.name, index: None });
                place.field = Some(field);
                index.is_none()
            } else {
                let names = place.table.names();
                return Err(no_such(path, one_of(typed, &names)));
            };
            if !index_fits {
                return Err(no_such(path, format!("{typed} without a number")));
            }
        }
        let unnumbered = |s: &Step| s.index.is_none();
        let within = place.steps.len().saturating_sub(1);
        let mut table = &schema::TABLES[0];
        for step in place.steps.iter().take(within) {
            table = table.child(step.name).unwrap_or(table);
            if table.shape == Shape::Many && unnumbered(step) {
                return Err(no_such(path, format!("a number: {}[1]", step.name)));
            }
        }
        Ok(place)
    }

    /// Name of the last step, and the steps before it.
    pub(super) fn last(&self) -> Option<(&'static str, &[Step])> {
        self.steps.split_last().map(|(step, within)| (step.name, within))
    }

    /// The steps to the array that the last step is in, and its index there.
    fn in_array(&self) -> Option<(&[Step], usize)> {
        let (step, _) = self.steps.split_last()?;
        step.index.map(|at| (self.steps.as_slice(), at))
    }
}

fn no_such(path: &str, accepted: impl Into<String>) -> EditError {
    EditError::NoSuchField { path: path.to_owned(), accepted: accepted.into() }
}

fn spell(steps: &[Step]) -> String {
    let part = |s: &Step| match s.index {
        Some(at) => format!("{}[{at}]", s.name),
        None => s.name.to_owned(),
    };
    steps.iter().map(part).collect::<Vec<_>>().join(".")
}

fn too_long(text: &str) -> Result<(), EditError> {
    if text.len() > MOST_BYTES {
        return Err(EditError::NotToml(format!("a text of {} bytes; at most {MOST_BYTES}", text.len())));
    }
    Ok(())
}

pub(super) fn parse(text: &str) -> Result<Document<String>, EditError> {
    too_long(text)?;
    Document::parse(text.to_owned()).map_err(|e| EditError::NotToml(e.to_string()))
}

fn parse_mut(text: &str) -> Result<DocumentMut, EditError> {
    parse(text).map(Document::into_mut)
}

/// A table that was reached, and whether it stands on lines of its own (not within braces).
pub(super) struct Holder<'d> {
    pub(super) table: &'d dyn TableLike,
    on_lines: bool,
}

pub(super) fn holder<'d>(root: &'d Table, steps: &[Step]) -> Option<Holder<'d>> {
    let mut at = Holder { table: root, on_lines: true };
    for step in steps {
        let item = at.table.get(step.name)?;
        at = match step.index {
            None => Holder { table: item.as_table_like()?, on_lines: at.on_lines && item.is_table() },
            Some(index) => match item {
                Item::ArrayOfTables(array) => Holder { table: array.get(index - 1)?, on_lines: at.on_lines },
                Item::Value(Value::Array(array)) => {
                    Holder { table: array.get(index - 1)?.as_inline_table()?, on_lines: false }
                }
                _ => return None,
            },
        };
    }
    Some(at)
}

/// The table at `steps`, made where it is missing.
fn reach<'d>(root: &'d mut Table, steps: &[Step]) -> Result<&'d mut dyn TableLike, EditError> {
    let mut at: &mut dyn TableLike = root;
    let mut info = &schema::TABLES[0];
    let mut braces = false;
    for (depth, step) in steps.iter().enumerate() {
        info = info.child(step.name).unwrap_or(info);
        let here = || spell(&steps[..=depth]);
        if !at.contains_key(step.name) && step.index.is_none() {
            let inline = braces || info.shape == Shape::Inline;
            at.insert(step.name, if inline { InlineTable::new().into() } else { new_table(false) });
        }
        let count = at.get(step.name).map_or(0, count_of);
        let item = at.get_mut(step.name).ok_or_else(|| no_such(&here(), "a table that is there"))?;
        braces = braces || item.is_value();
        let missing = || match count {
            0 => no_such(&here(), format!("none yet: add one to {}", step.name)),
            1 => no_such(&here(), format!("only {}[1]", step.name)),
            _ => no_such(&here(), format!("{0}[1] to {0}[{count}]", step.name)),
        };
        at = match step.index {
            None => item
                .as_table_like_mut()
                .ok_or_else(|| no_such(&here(), "a table, where the text has something else"))?,
            Some(index) => match item {
                Item::ArrayOfTables(array) => array.get_mut(index - 1).ok_or_else(missing)?,
                Item::Value(Value::Array(array)) => {
                    array.get_mut(index - 1).and_then(Value::as_inline_table_mut).ok_or_else(missing)?
                }
                _ => return Err(missing()),
            },
        };
    }
    Ok(at)
}

pub(super) fn count_of(item: &Item) -> usize {
    match item {
        Item::ArrayOfTables(array) => array.len(),
        Item::Value(Value::Array(array)) => array.len(),
        _ => 0,
    }
}

/// An empty table with a blank line above it.
fn new_table(implicit: bool) -> Item {
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    table.set_implicit(implicit);
    Item::Table(table)
}

fn set(text: &str, path: &str, typed: &str) -> Result<String, EditError> {
    let place = Place::field(path)?;
    let (Some((name, within)), Some(field)) = (place.last(), place.field) else {
        return Err(no_such(path, "a field"));
    };
    let mut document = parse_mut(text)?;
    let table = reach(document.as_table_mut(), within)?;
    let mut new = to_value(&field.kind, typed);
    match table.get_mut(name) {
        Some(Item::Value(old)) => {
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        Some(_) => return Err(no_such(path, "a value, where the text has a table")),
        None => {
            // Within braces the last value keeps the space before the closing one: that goes behind the new value.
            let last =
                table.iter_mut().last().and_then(|(_, item)| item.as_value_mut().map(Value::decor_mut));
            if let Some(decor) = last
                && decor.suffix().and_then(RawString::as_str).is_some_and(|s| s.trim_matches(' ').is_empty())
            {
                decor.set_suffix("");
            }
            table.insert(name, Item::Value(new));
        }
    }
    Ok(document.to_string())
}

/// What was typed, in the TOML type that the schema wants; as a string where it has another form.
fn to_value(kind: &Kind, typed: &str) -> Value {
    match kind {
        Kind::List(member) => Value::Array(
            parts(matches!(member, Kind::Whole(..)), typed).map(|p| to_value(member, p)).collect::<Array>(),
        ),
        Kind::Bool if typed == "true" => true.into(),
        Kind::Bool if typed == "false" => false.into(),
        Kind::Whole(..)
        | Kind::Number(_)
        | Kind::Length(_)
        | Kind::Pitch(_)
        | Kind::Module
        | Kind::Angle(_)
        | Kind::Force(_)
        | Kind::Quantity => as_number(typed).unwrap_or_else(|| on_one_line(typed)),
        _ => on_one_line(typed),
    }
}

/// A string that stays on its line, whatever ends lines in this text: line breaks in it are escaped.
fn on_one_line(typed: &str) -> Value {
    let escaped = |c: char| match c {
        '"' | '\\' => format!("\\{c}"),
        '\n' => "\\n".to_owned(),
        c if c.is_control() => format!("\\u{:04X}", u32::from(c)),
        c => c.to_string(),
    };
    let broken = typed.contains(['\n', '\r']);
    let line = broken.then(|| format!("\"{}\"", typed.chars().map(escaped).collect::<String>()));
    line.and_then(|line| line.parse().ok()).unwrap_or_else(|| typed.into())
}

/// A plain decimal number, its spelling kept.
fn as_number(typed: &str) -> Option<Value> {
    let decimal = typed.bytes().all(|b| b.is_ascii_digit() || b".+-".contains(&b));
    let value: Value = typed.parse().ok().filter(|_| decimal)?;
    matches!(value, Value::Integer(_) | Value::Float(_)).then_some(value)
}

/// Members of a list as typed: parted by semicolons or lines; else by commas, though not by one between two
/// digits, which is a decimal comma; whole numbers also by spaces and any comma.
fn parts(whole: bool, typed: &str) -> impl Iterator<Item = &str> {
    let strong = typed.contains([';', '\n']);
    let bytes = typed.as_bytes();
    let is_digit = |at: Option<usize>| at.and_then(|i| bytes.get(i)).is_some_and(u8::is_ascii_digit);
    let decimal_comma = |at: usize| is_digit(at.checked_sub(1)) && is_digit(Some(at + 1));
    let parts_here = |at: usize| match bytes[at] {
        b';' | b'\n' => true,
        b',' if whole => true,
        b' ' if whole => !strong,
        b',' => !strong && !decimal_comma(at),
        _ => false,
    };
    // All separators are single bytes, so cutting there keeps characters whole.
    let mut cuts: Vec<Range<usize>> = Vec::new();
    let mut from = 0;
    for at in 0..=typed.len() {
        if at == typed.len() || parts_here(at) {
            cuts.push(from..at);
            from = at + 1;
        }
    }
    cuts.into_iter().map(|cut| typed[cut].trim()).filter(|p| !p.is_empty())
}

/// The members of a list of lengths, as typed.
pub fn lengths_of(typed: &str) -> impl Iterator<Item = &str> {
    parts(false, typed)
}

fn unset(text: &str, path: &str) -> Result<String, EditError> {
    let place = Place::field(path)?;
    let Some((name, within)) = place.last() else { return Err(no_such(path, "a field")) };
    let document = parse(text)?;
    let Some(at) = holder(document.as_table(), within) else { return Ok(text.to_owned()) };
    let Some(item) = at.table.get(name) else { return Ok(text.to_owned()) };
    if !at.on_lines {
        return unset_in_braces(text, name, within);
    }
    let (Some(key), Some(value)) = (at.table.key(name).and_then(toml_edit::Key::span), item.span()) else {
        return Err(no_such(path, "a field on a line of its own"));
    };
    if !item.is_value() {
        return Err(no_such(path, "a value, where the text has a table"));
    }
    let without = cut_line(text, key.start..value.end);
    // A single table that holds nothing more goes too: an empty [lathe] would ask for its lead screw.
    let alone = at.table.len() == 1 && !within.is_empty() && place.table.shape != Shape::Many;
    let head_stays = || holder(parse(&without).ok()?.as_table(), within).map(|_| ());
    if alone && head_stays().is_some() { remove(&without, &spell(within)) } else { Ok(without) }
}

fn unset_in_braces(text: &str, name: &str, within: &[Step]) -> Result<String, EditError> {
    let mut document = parse_mut(text)?;
    let table = reach(document.as_table_mut(), within)?;
    table.remove(name);
    let empty = table.is_empty();
    if let Some((step, outer)) = within.split_last().filter(|(s, _)| empty && s.index.is_none()) {
        return unset_table(&document.to_string(), step.name, outer);
    }
    Ok(document.to_string())
}

/// Takes out a table in braces with its key.
fn unset_table(text: &str, name: &str, within: &[Step]) -> Result<String, EditError> {
    let document = parse(text)?;
    let Some(at) = holder(document.as_table(), within) else { return Ok(text.to_owned()) };
    let spans =
        at.table.key(name).and_then(toml_edit::Key::span).zip(at.table.get(name).and_then(Item::span));
    match spans {
        Some((key, value)) if at.on_lines => Ok(cut_line(text, key.start..value.end)),
        _ => {
            let mut document = parse_mut(text)?;
            reach(document.as_table_mut(), within)?.remove(name);
            Ok(document.to_string())
        }
    }
}

/// Cuts from the start of the line to the end of `span`, and the rest of the line unless it is a comment.
fn cut_line(text: &str, span: Range<usize>) -> String {
    let start = text[..span.start].rfind('\n').map_or(0, |i| i + 1);
    let line_end = text[span.end..].find('\n').map_or(text.len(), |i| span.end + i + 1);
    let rest = text[span.end..line_end].trim();
    let end = if rest.is_empty() { line_end } else { span.end + text[span.end..].find('#').unwrap_or(0) };
    format!("{}{}", &text[..start], &text[end..])
}

fn add(text: &str, path: &str) -> Result<String, EditError> {
    let place = Place::table(path)?;
    let Some((name, within)) = place.last() else { return Err(no_such(path, "a table")) };
    if place.table.shape != Shape::Many || place.in_array().is_some() {
        return Err(no_such(path, "a table that there may be several of, without a number, such as reading"));
    }
    let mut document = parse_mut(text)?;
    // A parent that is not there needs no head of its own.
    if let Some(parent) = within.first().filter(|s| !document.contains_key(s.name)) {
        document.insert(parent.name, new_table(true));
    }
    let table = reach(document.as_table_mut(), within)?;
    match table.get_mut(name) {
        Some(Item::ArrayOfTables(array)) => {
            let mut new = blank_line_table();
            if let Some(last) = array.iter().last() {
                carry(path, last, &mut new);
            }
            array.push(new);
        }
        Some(Item::Value(Value::Array(array))) => {
            let mut new = InlineTable::new();
            if let Some(last) = array.iter().last().and_then(Value::as_inline_table) {
                carry(path, last, &mut new);
            }
            array.push(new);
        }
        Some(_) => return Err(no_such(path, "an array of tables, where the text has something else")),
        None => {
            let mut array = ArrayOfTables::new();
            array.push(blank_line_table());
            table.insert(name, Item::ArrayOfTables(array));
        }
    }
    Ok(document.to_string())
}

/// Fields that a new table takes over from the one before it: hands take one reading after the other, with the same
/// instrument.
const CARRIED: &[(&str, &[&str])] = &[("reading", &["part", "feature", "instrument"])];

fn carry(path: &str, last: &dyn TableLike, new: &mut dyn TableLike) {
    let carried = CARRIED.iter().find(|(table, _)| *table == path).map_or(&[][..], |(_, fields)| *fields);
    for name in carried {
        if let Some(value) = last.get(name).and_then(Item::as_value) {
            let mut value = value.clone();
            value.decor_mut().clear();
            new.insert(name, Item::Value(value));
        }
    }
}

fn blank_line_table() -> Table {
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    table
}

fn remove(text: &str, path: &str) -> Result<String, EditError> {
    let place = Place::table(path)?;
    if place.table.shape == Shape::Many && place.in_array().is_none() {
        return Err(no_such(path, format!("a number: {path}[1]")));
    }
    let document = parse(text)?;
    let gone = || no_such(path, "a table that is there");
    let at = holder(document.as_table(), &place.steps).ok_or_else(gone)?;
    let (name, within) = place.last().ok_or_else(gone)?;
    let index = place.steps.last().and_then(|s| s.index);
    let item = holder(document.as_table(), within).and_then(|h| h.table.get(name));
    let table = match index {
        Some(index) => item.and_then(Item::as_array_of_tables).and_then(|a| a.get(index - 1)),
        None => item.and_then(Item::as_table),
    };
    let Some(table) = table.filter(|_| at.on_lines) else {
        return remove_in_place(text, name, within, index);
    };
    let mut spans: Vec<Range<usize>> = head_of(table).into_iter().collect();
    lines_of(table, &mut spans);
    Ok(cut_blocks(text, &spans))
}

/// Cuts the lines that `spans` are on, and of the blank lines before and after each cut all but one.
fn cut_blocks(text: &str, spans: &[Range<usize>]) -> String {
    let start_of_line = |at: usize| text[..at].rfind('\n').map_or(0, |i| i + 1);
    let end_of_line = |at: usize| text[at..].find('\n').map_or(text.len(), |i| at + i + 1);
    let mut lines: Vec<Range<usize>> =
        spans.iter().map(|s| start_of_line(s.start)..end_of_line(s.end)).collect();
    lines.sort_by_key(|l| l.start);
    let mut blocks: Vec<Range<usize>> = Vec::new();
    for line in lines {
        match blocks.last_mut() {
            Some(block) if line.start <= block.end => block.end = block.end.max(line.end),
            _ => blocks.push(line),
        }
    }
    let mut text = text.to_owned();
    // Later blocks first, so that the places before them hold.
    for block in blocks.into_iter().rev() {
        text.replace_range(block.clone(), "");
        let here = block.start;
        if text[..here].ends_with("\n\n") || here == 0 {
            if text[here..].starts_with('\n') {
                text.remove(here);
            } else if here == text.len() && here > 0 {
                text.pop();
            }
        }
    }
    text
}

/// Where a table's head starts; none for one that has no head of its own. (Its span may reach over its fields.)
fn head_of(table: &Table) -> Option<Range<usize>> {
    let headed = !table.is_dotted() && !table.is_implicit();
    table.span().filter(|_| headed).map(|s| s.start..s.start)
}

/// Spans of all fields and heads within a table that stands on lines.
fn lines_of(table: &dyn TableLike, lines: &mut Vec<Range<usize>>) {
    for (name, item) in table.iter() {
        match item {
            Item::Value(_) => {
                let key = table.key(name).and_then(toml_edit::Key::span);
                lines.extend(key.zip(item.span()).map(|(k, v)| k.start..v.end));
            }
            Item::Table(inner) => {
                lines.extend(head_of(inner));
                lines_of(inner, lines);
            }
            Item::ArrayOfTables(array) => {
                for inner in array {
                    lines.extend(head_of(inner));
                    lines_of(inner, lines);
                }
            }
            Item::None => {}
        }
    }
}

/// Takes out a table in braces, or one that has no head of its own.
fn remove_in_place(
    text: &str,
    name: &str,
    within: &[Step],
    index: Option<usize>,
) -> Result<String, EditError> {
    let mut document = parse_mut(text)?;
    let table = reach(document.as_table_mut(), within)?;
    match (table.get_mut(name), index) {
        (Some(Item::Value(Value::Array(array))), Some(at)) if at <= array.len() => {
            array.remove(at - 1);
        }
        (Some(Item::ArrayOfTables(array)), Some(at)) if at <= array.len() => {
            array.remove(at - 1);
        }
        (_, None) => {
            table.remove(name);
        }
        _ => return Err(no_such(name, "a table that is there")),
    }
    Ok(document.to_string())
}

/// The texts of the tables of an array, remarks and spaces aside: fields by name.
fn texts(document: &Document<String>, steps: &[Step]) -> Vec<String> {
    let Some((step, within)) = steps.split_last() else { return Vec::new() };
    let Some(item) = holder(document.as_table(), within).and_then(|h| h.table.get(step.name)) else {
        return Vec::new();
    };
    match item {
        Item::ArrayOfTables(array) => array.iter().map(|t| content(t, document.raw())).collect(),
        Item::Value(Value::Array(array)) => array
            .iter()
            .map(|v| v.as_inline_table().map_or_else(String::new, |t| content(t, document.raw())))
            .collect(),
        _ => Vec::new(),
    }
}

/// What a table holds, comments and spaces aside.
fn content(table: &dyn TableLike, text: &str) -> String {
    let field = |(name, item): (&str, &Item)| match item {
        Item::Value(value) => format!("{name} = {}\n", value_typed(value, text)),
        Item::Table(inner) => format!("{name}:\n{}", content(inner, text)),
        Item::ArrayOfTables(array) => {
            array.iter().map(|t| format!("{name}[]:\n{}", content(t, text))).collect()
        }
        Item::None => String::new(),
    };
    table.iter().map(field).collect()
}

fn table_text(document: &Document<String>, steps: &[Step]) -> Option<String> {
    holder(document.as_table(), steps).map(|h| content(h.table, document.raw()))
}

/// Where the place `steps` of `base` is in `current`, as a path; none where that can't be told.
fn follow(base: &str, current: &str, steps: &[Step]) -> Result<Option<String>, EditError> {
    let (before, after) = (parse(base)?, parse(current)?);
    let mut now = steps.to_vec();
    for depth in 0..steps.len() {
        let Some(index) = steps[depth].index else { continue };
        let then = texts(&before, &steps[..=depth]);
        let there = texts(&after, &now[..=depth]);
        match follow_index(&then, &there, index - 1) {
            Some(at) => now[depth].index = Some(at + 1),
            None => return Ok(None),
        }
    }
    Ok(Some(spell(&now)))
}

/// Where the table `at` of `then` is in `there`.
fn follow_index(then: &[String], there: &[String], at: usize) -> Option<usize> {
    let wanted = then.get(at)?;
    // Nothing changed up to here: the usual case, and the only sure one for tables alike.
    if there.get(..=at) == Some(&then[..=at]) {
        return Some(at);
    }
    let alike = |list: &[String]| list.iter().filter(|t| *t == wanted).count();
    if alike(then) == 1 && alike(there) == 1 {
        return there.iter().position(|t| t == wanted);
    }
    // No longer there word for word: the same table changed in another field, if it and its neighbours are
    // where they were.
    let stays = |i: Option<usize>| {
        i.is_none_or(|i| then.get(i).is_none() || then.len() == there.len() || then.get(i) == there.get(i))
    };
    let in_place = stays(at.checked_sub(1)) && stays(at.checked_add(1));
    let now = there.get(at)?;
    let kept = wanted.lines().filter(|line| now.lines().any(|l| l == *line)).count();
    let same = !then.contains(now) && 2 * kept >= wanted.lines().count();
    (alike(there) == 0 && in_place && same).then_some(at)
}
