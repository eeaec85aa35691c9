//! A table of the text on its way to a type: fetches fields by the schema and notes every problem.

use super::read::Problem;
use super::schema::{self, FieldInfo, Kind, Range, TableInfo};
use super::words::Words;
use crate::iso286::Fits;
use crate::material;
use flankwise_thread::{Angle, Element, Force, Length, Pitch, Thread, Unit, quantity};
use std::cell::{Cell, RefCell};
use std::ops::Range as Span;
use toml_edit::{Item, TableLike, Value};

/// One reading of a text.
pub(super) struct Pass<'t> {
    text: &'t str,
    /// Unit of bare numbers, once known.
    pub(super) unit: Cell<Unit>,
    problems: RefCell<Vec<Problem>>,
}

impl<'t> Pass<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        Self { text, unit: Cell::new(Unit::Mm), problems: RefCell::default() }
    }
    /// Line of a byte, from 1.
    pub(super) fn line(&self, at: usize) -> usize {
        self.text.as_bytes()[..at.min(self.text.len())].iter().filter(|b| **b == b'\n').count() + 1
    }
    pub(super) fn problem(&self, problem: Problem) {
        self.problems.borrow_mut().push(problem);
    }
    /// All problems in the order of the text.
    pub(super) fn problems(self) -> Vec<Problem> {
        let mut problems = self.problems.into_inner();
        problems.sort_by_key(|p| p.line);
        problems
    }
}

/// A table, and where in the text it is.
type Spanned<'p> = (&'p dyn TableLike, Option<Span<usize>>);

/// A table at its place.
#[derive(Clone)]
pub(super) struct Node<'p> {
    pub(super) pass: &'p Pass<'p>,
    table: &'p dyn TableLike,
    path: String,
    info: &'static TableInfo,
    line: usize,
}

impl<'p> Node<'p> {
    /// The table that the text as a whole is.
    pub(super) fn root(pass: &'p Pass<'p>, table: &'p dyn TableLike, info: &'static TableInfo) -> Self {
        Self { pass, table, path: String::new(), info, line: 1 }
    }

    /// Notes fields that neither the schema nor `also` lists.
    pub(super) fn checked(self, also: &[&str]) -> Self {
        let known = self.info.names();
        for (name, item) in self.table.iter() {
            if !known.contains(&name) && !also.contains(&name) && !item.is_none() {
                self.note(name, self.line_of(name), name, self.unknown(name, &known));
            }
        }
        self
    }

    /// What to say of a field that is not known.
    fn unknown(&self, name: &str, known: &[&str]) -> String {
        let place = if self.path.is_empty() { "here".to_owned() } else { format!("in {}", self.path) };
        let fields = format!("the fields known {place}: {}", known.join(", "));
        if let Some(near) = nearest(name, known) {
            return format!("{near}, or another of {fields}");
        }
        let elsewhere = schema::TABLES.iter().find(|t| t.field(name).is_some() || t.name() == name);
        match elsewhere {
            Some(t) if t.field(name).is_some() && !t.path.is_empty() => {
                format!("{name} within {}, or {fields}", t.path)
            }
            _ => fields,
        }
    }

    /// Path of a field of this table.
    pub(super) fn path_of(&self, name: &str) -> String {
        if self.path.is_empty() { name.to_owned() } else { format!("{}.{name}", self.path) }
    }

    /// Line of a field, or else of the table.
    pub(super) fn line_of(&self, name: &str) -> usize {
        let span: Option<Span<usize>> = self.table.key(name).and_then(toml_edit::Key::span);
        span.map_or(self.line, |s| self.pass.line(s.start))
    }

    fn note(&self, name: &str, line: usize, read: impl Into<String>, accepted: impl Into<String>) {
        let (field, read, accepted) = (self.path_of(name), read.into(), accepted.into());
        self.pass.problem(Problem { field, line, read, accepted });
    }

    /// Notes that a field's value will not do.
    pub(super) fn refuse(&self, name: &str, accepted: impl Into<String>) {
        self.note(name, self.line_of(name), self.typed(name).unwrap_or_default(), accepted);
    }

    /// A field's value as typed, strings without their quotes.
    pub(super) fn typed(&self, name: &str) -> Option<String> {
        self.table.get(name).map(|item| match item {
            Item::Value(value) => value_typed(value, self.pass.text),
            Item::Table(_) => format!("[{}]", self.path_of(name)),
            Item::ArrayOfTables(_) => format!("[[{}]]", self.path_of(name)),
            Item::None => String::new(),
        })
    }

    pub(super) fn has(&self, name: &str) -> bool {
        self.table.get(name).is_some_and(|i| !i.is_none())
    }

    fn field(&self, name: &str) -> &'static FieldInfo {
        // Field names in the reader are literals; the test that reads a job with every field covers them all.
        self.info.field(name).unwrap_or_else(|| unreachable!("{} is not in the schema", self.path_of(name)))
    }

    /// A field's value; none where it is absent, or wrong and noted.
    pub(super) fn get<T: Field>(&self, name: &str) -> Option<T> {
        {
            let info = self.field(name);
            self.get_as(name, &info.kind, info.example)
        }
    }

    /// As [`get`](Self::get), for a field whose kind depends on another.
    pub(super) fn get_as<T: Field>(&self, name: &str, kind: &Kind, example: &'static str) -> Option<T> {
        let item = self.table.get(name)?;
        let info = FieldInfo { kind: *kind, example, ..*self.field(name) };
        let unit = self.pass.unit.get();
        let read = item.as_value().ok_or_else(|| info.accepts(unit)).and_then(|v| T::read(v, &info, unit));
        read.map_err(|accepted| self.refuse(name, accepted)).ok()
    }

    /// A field that must be there.
    pub(super) fn need<T: Field>(&self, name: &str) -> Option<T> {
        self.require(name);
        self.get(name)
    }

    /// Notes a field that must be there and is not.
    pub(super) fn require(&self, name: &str) {
        if !self.has(name) {
            self.note(name, self.line, "", self.field(name).accepts(self.pass.unit.get()));
        }
    }

    /// The members of a list; a single value counts as a list of one.
    pub(super) fn list<T: Field>(&self, name: &str) -> Vec<T> {
        let info = self.field(name);
        let Kind::List(&member) = info.kind else { unreachable!("{name} is no list") };
        let Some(item) = self.table.get(name) else { return Vec::new() };
        let unit = self.pass.unit.get();
        let info = FieldInfo { kind: member, ..*info };
        let read = |at: usize, value: &Value| match T::read(value, &info, unit) {
            Ok(v) => Some(v),
            Err(accepted) => {
                let line = value.span().map_or_else(|| self.line_of(name), |s| self.pass.line(s.start));
                let typed = value_typed(value, self.pass.text);
                self.note(&format!("{name}[{}]", at + 1), line, typed, accepted);
                None
            }
        };
        match item.as_value() {
            Some(Value::Array(members)) => {
                members.iter().enumerate().filter_map(|(i, v)| read(i, v)).collect()
            }
            Some(single) => read(0, single).into_iter().collect(),
            None => {
                self.refuse(name, self.field(name).accepts(unit));
                Vec::new()
            }
        }
    }

    /// The single table `name` within this one.
    pub(super) fn child(&self, name: &str) -> Option<Node<'p>> {
        let info = self.info.child(name)?;
        let item = self.table.get(name)?;
        let Some(table) = item.as_table_like() else {
            self.refuse(name, format!("a table: [{}]", info.path));
            return None;
        };
        let (path, line) = (self.path_of(name), self.line_at(item, name));
        Some(Node { pass: self.pass, table, path, info, line }.checked(&[]))
    }

    /// The tables of the array `name` within this one.
    pub(super) fn children(&self, name: &str) -> Vec<Node<'p>> {
        let (Some(info), Some(item)) = (self.info.child(name), self.table.get(name)) else {
            return Vec::new();
        };
        let tables: Option<Vec<Spanned<'p>>> = match item {
            Item::ArrayOfTables(array) => {
                Some(array.iter().map(|t| (t as &dyn TableLike, t.span())).collect())
            }
            Item::Value(Value::Array(array)) => {
                array.iter().map(|v| v.as_inline_table().map(|t| (t as &dyn TableLike, v.span()))).collect()
            }
            _ => None,
        };
        let Some(tables) = tables else {
            let brackets = format!("double brackets, [[{}]], once for each", info.path);
            self.note(name, self.line_at(item, name), self.typed(name).unwrap_or_default(), brackets);
            return Vec::new();
        };
        let open = |(i, (table, span)): (usize, Spanned<'p>)| {
            let path = format!("{}[{}]", self.path_of(name), i + 1);
            let line = span.map_or(self.line, |s| self.pass.line(s.start));
            Node { pass: self.pass, table, path, info, line }.checked(&[])
        };
        tables.into_iter().enumerate().map(open).collect()
    }

    fn line_at(&self, item: &Item, name: &str) -> usize {
        item.span().map_or_else(|| self.line_of(name), |s| self.pass.line(s.start))
    }
}

/// A value of `text` as typed: a string without its quotes, the members of a list with a comma and a space
/// between. Numbers are taken from the text itself, since the parsed document forgets how they were spelt.
pub(super) fn value_typed(value: &Value, text: &str) -> String {
    match value {
        Value::String(s) => s.value().clone(),
        Value::Array(members) => members.iter().map(|v| value_typed(v, text)).collect::<Vec<_>>().join(", "),
        other => match other.span().and_then(|span| text.get(span)) {
            Some(spelt) => spelt.to_owned(),
            None => other.to_string().trim().to_owned(),
        },
    }
}

/// The name most like `typed`, where one is near enough to be meant.
pub(super) fn nearest<'n>(typed: &str, names: &[&'n str]) -> Option<&'n str> {
    let typed = typed.to_lowercase();
    names
        .iter()
        .map(|n| (strsim::jaro_winkler(&typed, n), *n))
        .filter(|(likeness, _)| *likeness >= 0.8)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, n)| n)
}

/// What is accepted where `typed` is none of `words`: the one that may have been meant first.
pub(super) fn one_of(typed: &str, words: &[&str]) -> String {
    match nearest(typed, words) {
        Some(near) => format!("{near}, or another of: {}", words.join(", ")),
        None => schema::one_of(words),
    }
}

/// A type that a field's value can be read as; the error says what is accepted.
pub(super) trait Field: Sized {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String>;
}

/// A value as text or as a number: fields take either, since a page sends text.
enum Plain<'v> {
    Text(&'v str),
    Number(f64),
}

fn plain(value: &Value) -> Option<Plain<'_>> {
    match value {
        Value::String(s) => Some(Plain::Text(s.value())),
        // Whole numbers beyond 2^53 are refused as out of scale wherever they stand.
        Value::Integer(i) => Some(Plain::Number(*i.value() as f64)),
        Value::Float(f) => Some(Plain::Number(*f.value())),
        _ => None,
    }
}

/// Checks bounds.
fn bounded<T>(v: T, number: f64, range: Range, info: &FieldInfo, unit: Unit) -> Result<T, String> {
    if range.holds(number) { Ok(v) } else { Err(info.accepts(unit)) }
}

impl<W: Words> Field for W {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        let text = value.as_str().ok_or_else(|| info.accepts(unit))?;
        W::from_word(text).ok_or_else(|| one_of(text, W::WORDS))
    }
}

/// A length, and the unit it was written in.
pub(super) struct Written(pub(super) Length, pub(super) Unit);

impl Field for Written {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        let read = match (plain(value), info.kind) {
            (Some(Plain::Text(text)), Kind::Pitch(_)) => quantity::parse_pitch(text, unit),
            (Some(Plain::Text(text)), _) => quantity::parse_length(text, unit),
            (Some(Plain::Number(v)), _) => Ok((Length::from_unit(v, unit), unit)),
            (None, _) => return Err(info.accepts(unit)),
        };
        let (length, written) = read.map_err(|e| said(&e, info, unit))?;
        let (Kind::Length(range) | Kind::Pitch(range)) = info.kind else { return Err(info.accepts(unit)) };
        bounded(Self(length, written), length.to_mm(), range, info, unit)
    }
}

/// What the parser says, where it knows more than the field does.
fn said(error: &quantity::ParseError, info: &FieldInfo, unit: Unit) -> String {
    let accepts = info.accepts(unit);
    if error.expected.starts_with("a length") || error.expected.starts_with("a pitch") {
        return accepts;
    }
    if error.expected.starts_with("an angle") || error.expected.starts_with("a force") {
        return accepts;
    }
    format!("{}, in {accepts}", error.expected)
}

impl Field for Length {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        if info.kind == Kind::Module {
            return module(value).ok_or_else(|| info.accepts(unit));
        }
        Written::read(value, info, unit).map(|w| w.0)
    }
}

/// A gear's module: bare numbers are millimetres in any job; `18 dp` is a diametral pitch, 18 teeth to one inch
/// of pitch diameter (m = 25.4 / DP).
fn module(value: &Value) -> Option<Length> {
    let range = Range::up_to(50.0);
    let length = match plain(value)? {
        Plain::Number(v) => Length::mm(v),
        Plain::Text(text) => {
            let lower = text.trim().to_lowercase();
            match lower.strip_suffix("dp") {
                Some(number) => Length::per_inch(number.trim().parse().ok()?),
                None => quantity::parse_length(&lower, Unit::Mm).ok()?.0,
            }
        }
    };
    range.holds(length.to_mm()).then_some(length)
}

impl Field for Pitch {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        Written::read(value, info, unit).map(|Written(length, written)| Self { length, written })
    }
}

impl Field for Angle {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        let angle = match plain(value) {
            Some(Plain::Text(text)) => quantity::parse_angle(text).map_err(|e| said(&e, info, unit))?,
            Some(Plain::Number(v)) => Self::deg(v),
            None => return Err(info.accepts(unit)),
        };
        let Kind::Angle(range) = info.kind else { return Err(info.accepts(unit)) };
        // Whole degrees survive the way through radians only to the last bit; an end of the range must not
        // depend on that.
        let degrees = (angle.to_deg() * 1e9).round() / 1e9;
        bounded(angle, degrees, range, info, unit)
    }
}

impl Field for Force {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        // No unit stands by itself here: the job's is a length's, and newtons for pounds are a slip of four.
        let force = match plain(value) {
            Some(Plain::Text(text)) if text.contains(char::is_alphabetic) => {
                quantity::parse_force(text).map_err(|e| said(&e, info, unit))?
            }
            _ => return Err(format!("a unit with the number: {}", info.accepts(unit))),
        };
        let Kind::Force(range) = info.kind else { return Err(info.accepts(unit)) };
        bounded(force, force.to_newton(), range, info, unit)
    }
}

/// A plain number, also as text and with a decimal comma.
fn number(value: &Value) -> Option<f64> {
    match plain(value)? {
        Plain::Number(v) => Some(v),
        // The unit falls away: a bare number in millimetres is the number.
        Plain::Text(text) if text.chars().any(char::is_alphabetic) => None,
        Plain::Text(text) => {
            quantity::parse_length(text, Unit::Mm).ok().filter(|l| l.1 == Unit::Mm).map(|l| l.0.to_mm())
        }
    }
}

impl Field for f64 {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        let Kind::Number(range) = info.kind else { return Err(info.accepts(unit)) };
        let v = number(value).ok_or_else(|| info.accepts(unit))?;
        bounded(v, v, range, info, unit)
    }
}

impl Field for i64 {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        let Kind::Whole(min, max) = info.kind else { return Err(info.accepts(unit)) };
        let v = match value {
            Value::Integer(i) => Some(*i.value()),
            Value::String(s) => s.value().trim().parse().ok(),
            _ => None,
        };
        v.filter(|v| (min..=max).contains(v)).ok_or_else(|| info.accepts(unit))
    }
}

impl Field for u32 {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        i64::read(value, info, unit).and_then(|v| Self::try_from(v).map_err(|_| info.accepts(unit)))
    }
}

impl Field for i32 {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        i64::read(value, info, unit).and_then(|v| Self::try_from(v).map_err(|_| info.accepts(unit)))
    }
}

impl Field for bool {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        match value {
            Value::Boolean(b) => Some(*b.value()),
            Value::String(s) => match s.value().trim().to_lowercase().as_str() {
                "true" | "yes" => Some(true),
                "false" | "no" => Some(false),
                _ => None,
            },
            _ => None,
        }
        .ok_or_else(|| info.accepts(unit))
    }
}

impl Field for String {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        match value {
            Value::Boolean(_) | Value::Array(_) | Value::InlineTable(_) => Err(info.accepts(unit)),
            Value::String(s) => Ok(s.value().trim().to_owned()),
            value => Ok(value.to_string().trim().to_owned()),
        }
        .and_then(|text| match (info.kind, material::material(&text)) {
            (Kind::Material, None) => Err(one_of(&text, &schema::MATERIALS)),
            _ => Ok(text),
        })
    }
}

impl Field for Fits {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        Self::read(value.as_str().ok_or_else(|| info.accepts(unit))?).map_err(str::to_owned)
    }
}

/// A ratio of two whole numbers from 1 to 1000; a single whole number stands over 1.
impl Field for (u32, u32) {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        let term = |text: &str| text.trim().parse().ok().filter(|n| (1..=1000).contains(n));
        let text = match value {
            Value::String(s) => s.value().clone(),
            Value::Integer(n) => n.value().to_string(),
            _ => return Err(info.accepts(unit)),
        };
        let (over, under) = text.split_once([':', '/']).unwrap_or((&text, "1"));
        term(over).zip(term(under)).ok_or_else(|| info.accepts(unit))
    }
}

/// What the designation parser says.
fn designation(text: &str) -> Result<Thread, String> {
    text.parse().map_err(|e: flankwise_thread::designation::DesignationError| match e.understood.is_empty() {
        true => e.expected,
        false => format!("{} (understood so far: {})", e.expected, e.understood),
    })
}

impl Field for Thread {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        designation(value.as_str().ok_or_else(|| info.accepts(unit))?)
    }
}

/// A thread and the part that carries it.
pub(super) struct Tried(pub(super) Thread, pub(super) Element);

impl Field for Tried {
    fn read(value: &Value, info: &FieldInfo, unit: Unit) -> Result<Self, String> {
        let accepts = || info.accepts(unit);
        let text = value.as_str().ok_or_else(accepts)?.trim();
        // `M22 ring gauge`: the word before tells which.
        let bare = strip_last(text, &["gauge", "gage"]).unwrap_or(text);
        let internal = strip_last(bare, &["nut", "ring"]).map(|t| (t, Element::Internal));
        let external = || {
            let words = ["screw", "bolt", "plug", "tap", "stud", "rod"];
            strip_last(bare, &words).map(|t| (t, Element::External))
        };
        let (thread, element) = internal.or_else(external).ok_or_else(|| {
            if bare.len() < text.len() {
                format!("a plug gauge or a ring gauge: {bare} plug gauge, {bare} ring gauge")
            } else {
                accepts()
            }
        })?;
        designation(thread).map(|t| Self(t, element))
    }
}

/// `text` without its last word, if that is one of `words`.
fn strip_last<'t>(text: &'t str, words: &[&str]) -> Option<&'t str> {
    let (rest, last) = text.trim_end().rsplit_once(char::is_whitespace)?;
    words.iter().any(|w| last.eq_ignore_ascii_case(w)).then(|| rest.trim_end())
}
