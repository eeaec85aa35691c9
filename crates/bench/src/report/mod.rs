//! How a stage says its result: one structure that every face of the product shows.
//!
//! Values stay typed until a face writes them; [`show`] is the only place where they are rounded.

pub mod show;

use flankwise_thread::{Angle, Force, Length, Source};

/// The stages, in the order of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StageName {
    /// Readings, checked.
    Evidence,
    /// What the thread is.
    Identity,
    /// Sizes to make.
    Fit,
    /// Ways of making it.
    Route,
    /// Tool to grind.
    Tool,
    /// Lathe to set up.
    Setup,
    /// Passes.
    Cut,
    /// Proof of the fit.
    Check,
}

impl StageName {
    /// All, in order.
    pub const ALL: [Self; 8] = [
        Self::Evidence,
        Self::Identity,
        Self::Fit,
        Self::Route,
        Self::Tool,
        Self::Setup,
        Self::Cut,
        Self::Check,
    ];
    /// Lower-case key: `evidence`.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Evidence => "evidence",
            Self::Identity => "identity",
            Self::Fit => "fit",
            Self::Route => "route",
            Self::Tool => "tool",
            Self::Setup => "setup",
            Self::Cut => "cut",
            Self::Check => "check",
        }
    }
    /// Heading.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Evidence => "Readings",
            Self::Identity => "What it is",
            Self::Fit => "Sizes to make",
            Self::Route => "Ways to make it",
            Self::Tool => "Tool",
            Self::Setup => "Lathe",
            Self::Cut => "Passes",
            Self::Check => "Proof",
        }
    }
}

/// How finely a length is shown: decimals in millimetres and in inches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fine {
    /// 0.1 mm, 0.01 in: stock, stick-out.
    Coarse,
    /// 0.01 mm, 0.001 in: what a calliper reads and a dial sets.
    Shop,
    /// 0.01 mm, 0.0001 in: play, of which a thousandth of an inch is much.
    Play,
    /// 0.001 mm, 0.0001 in: limits of size, wires.
    Gauge,
}

/// A value, unrounded.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A length.
    Length(Length, Fine),
    /// A length between two bounds, lower first.
    Band(Length, Length, Fine),
    /// What a dial, a readout or a rule shows: in the unit that it is divided in, whatever the reader's.
    Setting(Length, flankwise_thread::Unit),
    /// A pitch or lead; shown as written in its own unit as well as in the reader's.
    Pitch(flankwise_thread::Pitch),
    /// An angle, shown to so many decimals of a degree.
    Angle(Angle, u8),
    /// A force.
    Force(Force),
    /// A torque in newton-metres.
    TorqueNm(f64),
    /// A stress or pressure in N/mm².
    Mpa(f64),
    /// A rotational speed in revolutions a minute.
    Rpm(f64),
    /// A surface speed in metres a minute.
    SurfaceMPerMin(f64),
    /// A time in seconds.
    Seconds(f64),
    /// A mass in kilograms.
    Kg(f64),
    /// Money: amount and the currency sign or code of the job.
    Money(f64, String),
    /// An area in mm².
    Mm2(f64),
    /// A stiffness in N/mm.
    NPerMm(f64),
    /// A frequency in hertz.
    Hz(f64),
    /// Power in kilowatts; horsepower (550 ft·lbf/s) for who reads in inches.
    PowerKw(f64),
    /// A probability or share, 0 to 1, shown in per cent.
    Share(f64),
    /// Parts per million.
    Ppm(f64),
    /// Bits of information.
    Bits(f64),
    /// A plain number to so many decimals.
    Number(f64, u8),
    /// A whole number.
    Count(i64),
    /// Yes or no.
    Yes(bool),
    /// A word or phrase.
    Word(String),
    /// Running text with values in it.
    Said(Text),
    /// Nothing to show in this cell.
    None,
}

/// A piece of running text.
#[derive(Clone, Debug, PartialEq)]
pub enum Span {
    /// Words.
    Words(String),
    /// A value within the words.
    Value(Value),
}

/// Running text with values in it, so that each face can write the values in its reader's unit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Text(pub Vec<Span>);

impl Text {
    /// Empty text.
    pub fn new() -> Self {
        Self::default()
    }
    /// Adds words.
    #[must_use]
    pub fn s(mut self, words: impl Into<String>) -> Self {
        self.0.push(Span::Words(words.into()));
        self
    }
    /// Adds a value.
    #[must_use]
    pub fn v(mut self, value: Value) -> Self {
        self.0.push(Span::Value(value));
        self
    }
    /// Adds another text.
    #[must_use]
    pub fn text(mut self, other: Text) -> Self {
        self.0.extend(other.0);
        self
    }
    /// Adds a length at shop fineness.
    #[must_use]
    pub fn len(self, length: Length) -> Self {
        self.v(Value::Length(length, Fine::Shop))
    }
}

impl From<&str> for Text {
    fn from(words: &str) -> Self {
        Self::new().s(words)
    }
}
impl From<String> for Text {
    fn from(words: String) -> Self {
        Self::new().s(words)
    }
}

/// One number with its meaning and origin.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Stable key, used in `--json`: `tip_width`. Lower snake case, unique within the section.
    pub key: &'static str,
    /// Symbol as in the standards; empty where there is none.
    pub symbol: &'static str,
    /// What it is, in words.
    pub what: String,
    /// The value.
    pub value: Value,
    /// Standard uncertainty, where one is known.
    pub u: Option<Value>,
    /// How it was computed, as a short formula in symbols; empty for an input.
    pub formula: String,
    /// Where formula or value comes from.
    pub source: Source,
}

impl Figure {
    /// A figure without symbol, uncertainty and formula; add them with the methods below.
    pub fn new(key: &'static str, what: impl Into<String>, value: Value, source: Source) -> Self {
        Self { key, symbol: "", what: what.into(), value, u: None, formula: String::new(), source }
    }
    /// With its symbol.
    #[must_use]
    pub fn symbol(mut self, symbol: &'static str) -> Self {
        self.symbol = symbol;
        self
    }
    /// With its standard uncertainty.
    #[must_use]
    pub fn u(mut self, u: Value) -> Self {
        self.u = Some(u);
        self
    }
    /// With the formula it was computed by.
    #[must_use]
    pub fn formula(mut self, formula: impl Into<String>) -> Self {
        self.formula = formula.into();
        self
    }
}

/// How a row stands out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Mark {
    /// As any other.
    #[default]
    Plain,
    /// The one to take.
    Best,
    /// Not possible, or failed.
    Bad,
    /// Of little weight.
    Faint,
}

/// A column's head.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Stable key, used in `--json`.
    pub key: &'static str,
    /// Heading.
    pub head: String,
}

impl Column {
    /// A column; its heading begins with a capital, as headings do.
    pub fn new(key: &'static str, head: &str) -> Self {
        Self { key, head: capital(head) }
    }
}

/// Columns by key and heading.
pub fn columns(heads: &[(&'static str, &str)]) -> Vec<Column> {
    heads.iter().map(|&(key, head)| Column::new(key, head)).collect()
}

/// A row of a table; as many cells as columns.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Cells.
    pub cells: Vec<Value>,
    /// How it stands out.
    pub mark: Mark,
}

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Stable key, used in `--json`.
    pub key: &'static str,
    /// Caption.
    pub title: String,
    /// Heads.
    pub columns: Vec<Column>,
    /// Rows.
    pub rows: Vec<Row>,
    /// Where its figures come from, if from one place.
    pub source: Option<Source>,
}

/// What a note does to its reader.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NoteKind {
    /// Worth knowing.
    Remark,
    /// Something looks wrong or is outside what the method is valid for.
    Warning,
    /// Someone can be hurt.
    Caution,
    /// This cannot be made or done as asked; the text says what would make it possible.
    Impossible,
}

/// A note.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// What it does.
    pub kind: NoteKind,
    /// Words.
    pub text: Text,
    /// The same in a few words, for where it comes again; empty where it never does.
    pub short: &'static str,
    /// The job's field it is about, as a path such as `make.length`; empty where none.
    pub field: String,
    /// Where it comes from.
    pub source: Option<Source>,
    /// Answers to what it asks, to choose from; empty where it asks nothing.
    pub answers: Vec<Answer>,
}

/// An answer to a question: what the person would say, and the fields of the job that it sets.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// The answer in a few words: `0.861 in`.
    pub words: String,
    /// Path and text as typed of each field.
    pub sets: Vec<(String, String)>,
}

impl Answer {
    /// An answer that sets one field.
    pub fn one(words: impl Into<String>, path: impl Into<String>, typed: impl Into<String>) -> Self {
        Self { words: words.into(), sets: vec![(path.into(), typed.into())] }
    }
}

impl Note {
    /// A note of `kind`.
    pub fn new(kind: NoteKind, text: impl Into<Text>) -> Self {
        Self { kind, text: text.into(), short: "", field: String::new(), source: None, answers: Vec::new() }
    }
    /// Worth knowing.
    pub fn remark(text: impl Into<Text>) -> Self {
        Self::new(NoteKind::Remark, text)
    }
    /// Something looks wrong.
    pub fn warning(text: impl Into<Text>) -> Self {
        Self::new(NoteKind::Warning, text)
    }
    /// Someone can be hurt; `source` is the guidance it restates.
    pub fn caution(text: impl Into<Text>, source: Source) -> Self {
        Self::new(NoteKind::Caution, text).source(source)
    }
    /// Cannot be done as asked.
    pub fn impossible(text: impl Into<Text>) -> Self {
        Self::new(NoteKind::Impossible, text)
    }
    /// In a few words, for where it comes again.
    #[must_use]
    pub fn short(mut self, words: &'static str) -> Self {
        self.short = words;
        self
    }
    /// About this field.
    #[must_use]
    pub fn field(mut self, path: impl Into<String>) -> Self {
        self.field = path.into();
        self
    }
    /// From there.
    #[must_use]
    pub fn source(mut self, source: Source) -> Self {
        self.source = Some(source);
        self
    }
    /// The same where another stage says it, with the name of the one that found it.
    #[must_use]
    pub fn of_stage(&self, stage: StageName) -> Self {
        Self { text: Text::from(format!("{}: ", stage.title())).text(self.text.clone()), ..self.clone() }
    }
    /// With answers to choose from.
    #[must_use]
    pub fn answers(mut self, answers: Vec<Answer>) -> Self {
        self.answers = answers;
        self
    }
}

/// Where a step belongs once the stages' orders of work become one ([`crate::Whole::order_of_work`]).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Moment {
    /// Where its stage lists it.
    #[default]
    Listed,
    /// When the work is first held.
    Holding,
    /// The one step of the part that stands for the whole threading.
    Threading,
    /// Finishing the body and parting off: before the thread where the part goes back into the chuck for it.
    PartingOff,
}

/// One step of work to be done by hand, with the cautions that belong to it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Step {
    /// What to do.
    pub text: Text,
    /// Cautions at this step.
    pub cautions: Vec<Note>,
    /// Where it belongs among the steps of other stages.
    pub moment: Moment,
}

impl Step {
    /// A step that nobody is hurt at.
    pub fn new(text: impl Into<Text>) -> Self {
        Self::with(text, Vec::new())
    }
    /// A step with its cautions.
    pub fn with(text: impl Into<Text>, cautions: Vec<Note>) -> Self {
        Self { text: text.into(), cautions, ..Self::default() }
    }
    /// At this moment of the whole job.
    #[must_use]
    pub fn at(mut self, moment: Moment) -> Self {
        self.moment = moment;
        self
    }
}

/// A part of a section.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// Numbers with their origin, under a heading (may be empty).
    Figures(String, Vec<Figure>),
    /// A table.
    Table(Table),
    /// Notes.
    Notes(Vec<Note>),
    /// Steps in order, under a heading.
    Steps(String, Vec<Step>),
    /// A paragraph.
    Text(Text),
}

/// What a stage has to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Which stage.
    pub stage: StageName,
    /// The answer in one or two sentences.
    pub answer: Text,
    /// Details, the most wanted first.
    pub blocks: Vec<Block>,
}

/// With a capital first letter: words that are told apart elsewhere, put at the head of a sentence.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// An input that a stage lacks.
#[derive(Clone, Debug, PartialEq)]
pub struct Need {
    /// The job's field, as a path: `make.length`.
    pub field: String,
    /// What it is and what it would settle, in words.
    pub what: String,
}

/// What a stage came to: a result, or what it lacks. Both may hold: a result that more inputs would deepen.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome<T> {
    /// The result, as far as the inputs allow.
    pub result: Option<T>,
    /// Inputs that are missing.
    pub needs: Vec<Need>,
    /// Remarks, warnings, cautions, and what cannot be done.
    pub notes: Vec<Note>,
}

impl<T> Outcome<T> {
    /// A result with nothing missing.
    pub fn ready(result: T) -> Self {
        Self { result: Some(result), needs: Vec::new(), notes: Vec::new() }
    }
    /// No result: this is missing.
    pub fn missing(field: impl Into<String>, what: impl Into<String>) -> Self {
        Self { result: None, needs: vec![Need { field: field.into(), what: what.into() }], notes: Vec::new() }
    }
    /// Adds a missing input.
    #[must_use]
    pub fn need(mut self, field: impl Into<String>, what: impl Into<String>) -> Self {
        self.needs.push(Need { field: field.into(), what: what.into() });
        self
    }
    /// Adds a note.
    #[must_use]
    pub fn note(mut self, note: Note) -> Self {
        self.notes.push(note);
        self
    }
    /// Whether something asked for cannot be made or done.
    pub fn impossible(&self) -> bool {
        self.notes.iter().any(|n| n.kind == NoteKind::Impossible)
    }
}
