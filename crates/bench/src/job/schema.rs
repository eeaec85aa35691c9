//! The fields of a job, each said once: its name, what it is, what it takes, an example.
//!
//! The reader refuses what is not listed here, the editor writes each field as listed here, and the page and
//! the command line's help are made from the same records.

use super::words::Words;
use super::{
    BarKind, BarMaterial, BarShape, CastMaterial, ChuckMount, Condition, DialReads, Duty, Ends, Feature,
    HoleKind, Infeed, Instrument, KeyStandard, LeafVerdict, Lubricant, MadeFeature, Meshes, NutKind,
    OfferKind, SeenForm, Share, Side, TrialVerdict, WayKind,
};
use crate::{iso286, material};
use flankwise_thread::{Element, Hand, Length, Unit};
use std::sync::LazyLock;

/// Bounds of a number: what lies outside is a slip, not a thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Smallest accepted.
    pub min: f64,
    /// Largest accepted.
    pub max: f64,
    /// The smallest itself is refused.
    pub above: bool,
}

impl Range {
    /// More than zero, up to `max`.
    pub const fn up_to(max: f64) -> Self {
        Self { min: 0.0, max, above: true }
    }
    /// Both ends accepted.
    pub const fn between(min: f64, max: f64) -> Self {
        Self { min, max, above: false }
    }
    /// Whether `v` lies within; never for NaN.
    pub fn holds(self, v: f64) -> bool {
        if self.above { v > self.min && v <= self.max } else { v >= self.min && v <= self.max }
    }
    /// In words; `number` writes an end.
    pub(super) fn words(self, number: impl Fn(f64) -> String) -> String {
        if self.max >= AMOUNT.max {
            format!("{} or more", number(self.min))
        } else if self.above {
            format!("more than {} and at most {}", number(self.min), number(self.max))
        } else {
            format!("{} to {}", number(self.min), number(self.max))
        }
    }
}

/// What a field takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// Any words.
    Text,
    /// One of a list of words.
    Choice(&'static [&'static str]),
    /// `true` or `false`.
    Bool,
    /// A whole number within bounds, both accepted.
    Whole(i64, i64),
    /// A plain number within bounds.
    Number(Range),
    /// A length; bounds in millimetres.
    Length(Range),
    /// A length or so many `tpi`; bounds in millimetres.
    Pitch(Range),
    /// Module of a gear: a length, always in millimetres when bare, or a diametral pitch such as `18 dp`.
    Module,
    /// An angle; bounds in degrees.
    Angle(Range),
    /// A force; bounds in newtons.
    Force(Range),
    /// A length, pitch or angle, as the `feature` beside it asks; see [`scale`].
    Quantity,
    /// Two whole numbers such as `1:2`.
    Ratio,
    /// A key of the table of materials, or another name listed there.
    Material,
    /// A class of ISO 286 for the body, or a pair for housing and body.
    Fits,
    /// A thread's designation.
    Thread,
    /// A designation and the part that carries it, such as `M22x2.5 nut`.
    Tried,
    /// A list of the above.
    List(&'static Kind),
}

/// One field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FieldInfo {
    /// Key in the text.
    pub name: &'static str,
    /// What it is, as a label or a line of help.
    pub what: &'static str,
    /// What it takes.
    pub kind: Kind,
    /// An example, as a person would type it.
    pub example: &'static str,
    /// Its table makes no sense without it.
    pub required: bool,
}

impl FieldInfo {
    /// The words to choose from; empty where any value goes. For a list, the words of its members.
    pub fn choices(&self) -> &'static [&'static str] {
        match self.kind {
            Kind::Choice(words) | Kind::List(&Kind::Choice(words)) => words,
            Kind::Material => &MATERIALS,
            _ => &[],
        }
    }
    /// What the field accepts, as a phrase; lengths in `unit`.
    pub fn accepts(&self, unit: Unit) -> String {
        match self.kind {
            Kind::List(member) => format!("a list of: {}", accepts(member, self.example, unit)),
            ref kind => accepts(kind, self.example, unit),
        }
    }
}

pub(super) static MATERIALS: LazyLock<Vec<&'static str>> =
    LazyLock::new(|| material::all().iter().map(|m| m.key).collect());

/// A length at an end of a range: three digits are enough to say where a slip begins.
pub(super) fn end(mm: f64, unit: Unit) -> String {
    let v = Length::mm(mm).in_unit(unit);
    let rounded = if v.abs() >= 100.0 { v.round() } else { (v * 100.0).round() / 100.0 };
    rounded.to_string()
}

fn accepts(kind: &Kind, example: &str, unit: Unit) -> String {
    let sign = crate::report::show::unit_sign(unit);
    match kind {
        Kind::Text => format!("words, such as {example}"),
        Kind::Choice(words) => one_of(words),
        Kind::Bool => "true or false".to_owned(),
        Kind::Whole(min, max) => format!("a whole number from {min} to {max}"),
        Kind::Number(range) => format!("a number, {}", range.words(|v| v.to_string())),
        Kind::Length(range) => {
            format!("a length such as {example}, {} {sign}", range.words(|v| end(v, unit)))
        }
        Kind::Pitch(range) => {
            format!("a pitch such as {example}, {} {sign}", range.words(|v| end(v, unit)))
        }
        Kind::Module => "a module such as 1.25 mm, or a diametral pitch such as 18 dp".to_owned(),
        Kind::Angle(range) => {
            format!("an angle such as {example}, {} degrees", range.words(|v| v.to_string()))
        }
        Kind::Force(range) => format!("a force such as {example}, {} N", range.words(|v| v.to_string())),
        Kind::Quantity => format!("a value with its unit, such as {example}"),
        Kind::Ratio => format!("two whole numbers such as {example}"),
        Kind::Material => one_of(&MATERIALS),
        Kind::Fits => iso286::ACCEPTED.to_owned(),
        Kind::Thread => format!("a thread's designation such as {example}"),
        Kind::Tried => {
            format!(
                "a designation and what carries it (nut, ring, screw, bolt, plug or tap), such as {example}"
            )
        }
        Kind::List(member) => format!("a list of: {}", accepts(member, example, unit)),
    }
}

/// `one of: a, b, c`
pub(super) fn one_of(words: &[&str]) -> String {
    format!("one of: {}", words.join(", "))
}

/// A table of the job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TableInfo {
    /// Path without numbers: `reading`, `make.hole`; empty for the job itself.
    pub path: &'static str,
    /// How it is written.
    pub shape: Shape,
    /// What it holds.
    pub what: &'static str,
    /// Its fields, in the order to show them.
    pub fields: &'static [FieldInfo],
}

/// How a table is written when it is new; the reader takes either of the single shapes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// `[make]`
    One,
    /// `context = { … }`
    Inline,
    /// `[[reading]]`, any number.
    Many,
}

impl TableInfo {
    /// The field of this name.
    pub fn field(&self, name: &str) -> Option<&'static FieldInfo> {
        self.fields.iter().find(|f| f.name == name)
    }
    /// Tables directly within this one.
    pub fn children(&self) -> impl Iterator<Item = &'static TableInfo> {
        TABLES.iter().filter(|t| t.parent().is_some_and(|(path, _)| path == self.path))
    }
    /// The table within this one that is called `name`.
    pub fn child(&self, name: &str) -> Option<&'static TableInfo> {
        self.children().find(|t| t.name() == name)
    }
    /// Last part of the path.
    pub fn name(&self) -> &'static str {
        self.path.rsplit('.').next().unwrap_or("")
    }
    /// Path of the table that this one is within, and its own name; none for the job itself.
    fn parent(&self) -> Option<(&'static str, &'static str)> {
        if self.path.is_empty() {
            return None;
        }
        Some(self.path.rsplit_once('.').unwrap_or(("", self.path)))
    }
    /// All names that may stand in this table.
    pub(super) fn names(&self) -> Vec<&'static str> {
        self.fields.iter().map(|f| f.name).chain(self.children().map(TableInfo::name)).collect()
    }
}

/// The table at `path` (without numbers).
pub fn table(path: &str) -> Option<&'static TableInfo> {
    TABLES.iter().find(|t| t.path == path)
}

/// Fields of the table at `path` (without numbers); empty where there is no such table.
pub fn fields_of(path: &str) -> &'static [FieldInfo] {
    table(path).map_or(&[], |t| t.fields)
}

/// Bounds of a reading by what is read: millimetres, or degrees for angles. Wide on purpose: they catch a
/// metre typed for a millimetre and a sign, not an unusual machine (chosen here).
pub const fn scale(feature: Feature) -> Range {
    match feature {
        Feature::MajorDiameter | Feature::PitchDiameter | Feature::MinorDiameter | Feature::OverWires => {
            DIAMETER
        }
        Feature::Pitch => Range::up_to(100.0),
        Feature::Lead => Range::up_to(500.0),
        Feature::FlankAngle => Range::between(0.0, 60.0),
        Feature::IncludedAngle => Range::between(0.0, 120.0),
        Feature::CrestFlat | Feature::RootFlat => Range::between(0.0, 100.0),
        Feature::ThreadThickness | Feature::ThreadDepth => Range::up_to(100.0),
        Feature::FlankWear | Feature::RunOut => Range::between(0.0, 20.0),
    }
}

/// A value of a reading as a person would type it.
pub const fn example(feature: Feature) -> &'static str {
    match feature {
        Feature::MajorDiameter => "21.86 mm",
        Feature::PitchDiameter => "19.5 mm",
        Feature::MinorDiameter => "17.02 mm",
        Feature::OverWires => "22.6 mm",
        Feature::Pitch | Feature::Lead => "5 mm or 5 tpi",
        Feature::FlankAngle => "14.5 deg",
        Feature::IncludedAngle => "29 deg",
        Feature::CrestFlat | Feature::RootFlat => "1.8 mm",
        Feature::ThreadThickness | Feature::ThreadDepth => "2.5 mm",
        Feature::FlankWear => "0.06 mm",
        Feature::RunOut => "0.1 mm",
    }
}

/// Diameters: what a lathe without a pit can swing.
const DIAMETER: Range = Range::up_to(1000.0);
/// Lengths of parts and tools.
const LENGTH: Range = Range::up_to(3000.0);
/// Places along a part, from its end.
const PLACE: Range = Range::between(0.0, 20_000.0);
const SMALL: Range = Range::up_to(20.0);
/// Seconds of a reaction: nobody is faster than a tenth (starting-block rule of athletics, from memory), and
/// beyond five it is none.
const REACTION: Range = Range::between(0.1, 5.0);
/// Sizes of bars.
const BAR_SIZE: Range = Range::up_to(200.0);
/// Once round the part.
const TURN: Kind = Kind::Angle(Range::between(0.0, 360.0));
const ROUND: &str = "Place round the part, seen from the front face, clockwise from the top";
const POSITIVE: Range = Range::up_to(1e6);
const AMOUNT: Range = Range::between(0.0, 1e9);

const fn field(name: &'static str, what: &'static str, kind: Kind, example: &'static str) -> FieldInfo {
    FieldInfo { name, what, kind, example, required: false }
}

const fn needed(name: &'static str, what: &'static str, kind: Kind, example: &'static str) -> FieldInfo {
    FieldInfo { name, what, kind, example, required: true }
}

const fn choice<T: Words>() -> Kind {
    Kind::Choice(T::WORDS)
}

const fn table_of(
    path: &'static str,
    shape: Shape,
    what: &'static str,
    fields: &'static [FieldInfo],
) -> TableInfo {
    TableInfo { path, shape, what, fields }
}

const INSTRUMENTS: Kind = choice::<Instrument>();

const DIVISION: FieldInfo = needed("division", "Smallest division or step", Kind::Length(SMALL), "0.02 mm");
const READS: FieldInfo = field(
    "reads",
    "What it counts: tool travel, or what comes off the diameter",
    choice::<DialReads>(),
    "diameter",
);

/// Every table of a job.
pub static TABLES: &[TableInfo] = &[
    table_of(
        "",
        Shape::One,
        "The job",
        &[
            needed("job", "What the job is called", Kind::Text, "Board shear, feed screw nut"),
            field("unit", "Unit of bare numbers, and to work in", choice::<Unit>(), "mm"),
            field("story", "What the owner says the thread is", Kind::Text, "7/8-5 Acme, right-hand"),
            field("invented", "An example, not a real part: printed on every page", Kind::Bool, "true"),
        ],
    ),
    table_of(
        "context",
        Shape::Inline,
        "Where the part comes from",
        &[
            field("machine", "Kind of machine", Kind::Text, "bookbinder's board shear"),
            field("made", "Year of make", Kind::Whole(1500, 2200), "1938"),
            field("country", "Country of make, two letters (ISO 3166-1)", Kind::Text, "GB"),
        ],
    ),
    table_of(
        "people",
        Shape::Inline,
        "For whom and by whom",
        &[
            field("customer", "The customer", Kind::Text, "Lindenhof Bindery"),
            field("maker", "Who does the work", Kind::Text, "R. Aldous"),
            field("date", "Date to print on the sheet", Kind::Text, "2026-11-25"),
        ],
    ),
    table_of(
        "observed",
        Shape::One,
        "What eyes and fingers say",
        &[
            field("hand", "Hand of the thread", choice::<Hand>(), "right"),
            field("starts", "Number of starts", Kind::Whole(1, 24), "1"),
            field("form", "Form as the eye sees it", choice::<SeenForm>(), "flat-topped"),
            field("taper", "The thread tapers", Kind::Bool, "false"),
            field("condition", "Condition of the part", choice::<Condition>(), "worn"),
        ],
    ),
    table_of(
        "reading",
        Shape::Many,
        "Readings of the old parts",
        &[
            needed("part", "On the screw or in the nut", choice::<Element>(), "screw"),
            needed("feature", "What is read", choice::<Feature>(), "major diameter"),
            needed("value", "What it reads", Kind::Quantity, "21.86 mm"),
            field("count", "Pitches between the two crests that the value spans", Kind::Whole(1, 1000), "12"),
            field("wire", "Diameter of the wires", Kind::Length(SMALL), "2.6 mm"),
            field("instrument", "Read with", choice::<Instrument>(), "calliper"),
            field(
                "place",
                "Where along the part, from its end; of a span its middle",
                Kind::Length(PLACE),
                "180 mm",
            ),
            field(
                "side",
                "Which flank, with the ridge up and the end that places are counted from on the left",
                choice::<Side>(),
                "left",
            ),
            field("mean_of", "The value is the mean of so many readings", Kind::Whole(1, 1000), "3"),
            field(
                "uncertainty",
                "One standard deviation, else taken from the instrument",
                Kind::Quantity,
                "0.02 mm",
            ),
        ],
    ),
    table_of(
        "leaf",
        Shape::Many,
        "Leaves of a thread gauge that were tried",
        &[
            needed("pitch", "Pitch stamped on the leaf", Kind::Pitch(Range::up_to(100.0)), "5 mm"),
            field("angle", "Included angle of the leaf", Kind::Angle(Range::between(0.0, 120.0)), "30 deg"),
            needed("verdict", "How it sat", choice::<LeafVerdict>(), "seats"),
        ],
    ),
    table_of(
        "trial",
        Shape::Many,
        "Known parts or gauges tried by hand",
        &[
            needed("with", "The part that was tried", Kind::Tried, "M22x2.5 nut"),
            needed("verdict", "How it went", choice::<TrialVerdict>(), "refuses"),
        ],
    ),
    table_of(
        "identity",
        Shape::One,
        "Your own choice of thread",
        &[field("thread", "Thread to go on with, over the ranking", Kind::Thread, "Tr 22x5")],
    ),
    table_of(
        "make",
        Shape::One,
        "What is to be made",
        &[
            field("part", "A nut or a screw", choice::<Element>(), "nut"),
            field("class", "Tolerance class to show beside the sizes for this mate", Kind::Text, "7H"),
            field(
                "play",
                "Axial play wanted at the tightest place",
                Kind::Length(Range::between(-1.0, 10.0)),
                "0.04 mm",
            ),
            field(
                "play_most",
                "Most play that the use bears at the loosest place",
                Kind::Length(Range::up_to(10.0)),
                "0.3 mm",
            ),
            field("length", "Length of thread", Kind::Length(LENGTH), "44 mm"),
            field("through", "The thread goes right through", Kind::Bool, "true"),
            field(
                "relief",
                "Width of a relief groove at a blind end",
                Kind::Length(Range::between(0.0, 300.0)),
                "8 mm",
            ),
            field("material", "Material of the part", Kind::Material, "bronze-c93200"),
            field("mate_material", "Material of its mate", Kind::Material, "steel-mild"),
            field("load", "Axial load in use", Kind::Force(Range::between(0.0, 1e7)), "900 N"),
            field("duty", "What hangs on the thread", choice::<Duty>(), "feed"),
            field("nut", "How the nut takes up play", choice::<NutKind>(), "plain"),
            field("mate_length", "Length of the mate's thread, end to end", Kind::Length(LENGTH), "350 mm"),
            field("mate_new", "The mate is made new as well", Kind::Bool, "false"),
            field("pieces", "How many", Kind::Whole(1, 10_000), "1"),
        ],
    ),
    table_of(
        "make.body",
        Shape::One,
        "The body, copied from the old part",
        &[
            field("outside", "Outside diameter of the old part", Kind::Length(DIAMETER), "35.98 mm"),
            field("housing", "Bore of the housing, as measured", Kind::Length(DIAMETER), "36.01 mm"),
            field("fit", "Class of the body, or of housing and body (ISO 286)", Kind::Fits, "H7/h6"),
            field(
                "housing_outside",
                "Outside diameter of the housing round the body",
                Kind::Length(DIAMETER),
                "70 mm",
            ),
            field("housing_material", "Material of the housing", Kind::Material, "cast-iron"),
            field("length", "Overall length", Kind::Length(LENGTH), "52 mm"),
            field("flange", "Flange diameter", Kind::Length(DIAMETER), "55 mm"),
            field("flange_thickness", "Flange thickness", Kind::Length(LENGTH), "8 mm"),
            field(
                "flange_from",
                "From the front face to the flange; if not given there on a nut, behind the thread on a screw",
                Kind::Length(PLACE),
                "44 mm",
            ),
            field("flats", "Across flats", Kind::Length(DIAMETER), "32 mm"),
        ],
    ),
    table_of(
        "make.hole",
        Shape::Many,
        "Holes in the body",
        &[
            needed(
                "kind",
                "Across, a spot for a locking screw, or through the flange",
                choice::<HoleKind>(),
                "spot",
            ),
            needed("diameter", "Diameter", Kind::Length(Range::up_to(300.0)), "6 mm"),
            needed(
                "from_end",
                "From the front face to its centre; for a flange hole the pitch circle diameter",
                Kind::Length(Range::between(0.0, 3000.0)),
                "26 mm",
            ),
            field("depth", "Depth; through if not given", Kind::Length(LENGTH), "3 mm"),
            field("thread", "Thread in it", Kind::Thread, "M6"),
            field("count", "How many on the circle", Kind::Whole(1, 100), "1"),
            field("angle", ROUND, TURN, "90 deg"),
        ],
    ),
    table_of(
        "make.keyway",
        Shape::Many,
        "Keyways in the body",
        &[
            field("standard", "Standard of its key", choice::<KeyStandard>(), "DIN 6885"),
            field("width", "Width; by the standard if not given", Kind::Length(Range::up_to(200.0)), "10 mm"),
            field(
                "depth",
                "Depth at the middle of its width; by the standard if not given",
                Kind::Length(Range::up_to(200.0)),
                "5 mm",
            ),
            field("from_end", "From the front face to its beginning", Kind::Length(PLACE), "8 mm"),
            field("length", "Length; to the far end if not given", Kind::Length(LENGTH), "20 mm"),
            field("angle", ROUND, TURN, "0 deg"),
        ],
    ),
    table_of(
        "make.step",
        Shape::Many,
        "Steps of the outside: journals, collars, spigots",
        &[
            needed("from_end", "From the front face to its beginning", Kind::Length(PLACE), "230 mm"),
            needed("length", "Length", Kind::Length(LENGTH), "25 mm"),
            needed("diameter", "Diameter", Kind::Length(DIAMETER), "15 mm"),
            field("fit", "Class of its diameter (ISO 286)", Kind::Fits, "k6"),
            field("ends", "Chamfer, undercut and the like", Kind::Text, "1 mm chamfer, undercut 2 wide"),
        ],
    ),
    table_of(
        "make.run",
        Shape::One,
        "How it runs",
        &[
            field("speed_rpm", "Fastest turning of the screw, rev/min", Kind::Number(POSITIVE), "60"),
            field("turns_per_day", "Turns of the screw in a day's use", Kind::Number(POSITIVE), "400"),
            field("lubricant", "How the thread is kept", choice::<Lubricant>(), "oiled"),
            field("collar", "Mean diameter of the thrust collar", Kind::Length(DIAMETER), "30 mm"),
            field("supported", "Length of screw between its supports", Kind::Length(PLACE), "600 mm"),
            field("ends", "How the screw's ends are held", choice::<Ends>(), "fixed and simple"),
            field("pulls", "The load only ever pulls on the screw", Kind::Bool, "true"),
            field("nut_length", "Length of the nut, where the screw is made", Kind::Length(LENGTH), "40 mm"),
        ],
    ),
    table_of(
        "offer",
        Shape::Many,
        "Taps, dies, parts and stock on hand or on offer",
        &[
            needed("kind", "What it is", choice::<OfferKind>(), "tap"),
            field("thread", "Its thread", Kind::Thread, "Tr 22x5"),
            field("on_hand", "Already on hand", Kind::Bool, "false"),
            field("price", "Price", Kind::Number(AMOUNT), "210"),
            field(
                "pieces",
                "Pieces that stock or a part at this price is enough for",
                Kind::Whole(1, 10_000),
                "1",
            ),
            field("days", "Days to wait", Kind::Number(Range::between(0.0, 3650.0)), "6"),
            field("note", "Note", Kind::Text, "set of two, made to order"),
        ],
    ),
    table_of(
        "rates",
        Shape::One,
        "Rates",
        &[
            field("currency", "Currency", Kind::Text, "EUR"),
            field("hour", "Price of one hour of work", Kind::Number(AMOUNT), "65"),
            field("kilogram", "Price of one kilogram of stock", Kind::Number(AMOUNT), "19"),
        ],
    ),
    table_of(
        "mill",
        Shape::One,
        "A milling machine that moves along a helix, and its thread-milling cutter",
        &[
            field("name", "Name", Kind::Text, "Knee mill with three driven axes"),
            needed("cutter", "Diameter of the cutter over its teeth", Kind::Length(DIAMETER), "12 mm"),
            field("neck", "Diameter of its neck", Kind::Length(DIAMETER), "6 mm"),
            field("reach", "How deep the neck reaches", Kind::Length(LENGTH), "55 mm"),
            field("teeth", "Teeth around the cutter", Kind::Whole(1, 40), "1"),
            field("rpm", "Fastest spindle speed, rev/min", Kind::Number(Range::up_to(100_000.0)), "3000"),
            field(
                "rotary",
                "It turns the work too: fourth axis, or geared dividing head",
                Kind::Bool,
                "false",
            ),
            field("set_over", "Its cutter can be set over to a screw's lead angle", Kind::Bool, "false"),
        ],
    ),
    table_of(
        "way",
        Shape::Many,
        "Your own figures for a way of making it",
        &[
            needed("way", "Which way", choice::<WayKind>(), "made tap"),
            field("hours", "Hours of work, all pieces", Kind::Number(Range::between(0.0, 10_000.0)), "9"),
            field("outlay", "What is to be spent on stock, tools and parts", Kind::Number(AMOUNT), "120"),
            field("price", "What it costs in all", Kind::Number(AMOUNT), "640"),
            field("days", "Days until the part is in hand", Kind::Number(Range::between(0.0, 3650.0)), "10"),
            field(
                "chance",
                "Chance that a piece is ruined, per cent",
                Kind::Number(Range::between(0.0, 100.0)),
                "5",
            ),
            field("note", "Where these figures come from", Kind::Text, "made two sets last year"),
        ],
    ),
    table_of(
        "choice",
        Shape::One,
        "The way that is taken",
        &[
            field("way", "Which way", choice::<WayKind>(), "single point"),
            field("because", "Why", Kind::Text, "fits this screw; the tap would give the book's play"),
            field(
                "steps_done",
                "Steps that are done of a way that is no single point",
                Kind::Whole(0, 1000),
                "3",
            ),
            field("steps_of", "The way whose steps those are", choice::<WayKind>(), "made tap"),
        ],
    ),
    table_of(
        "quotation",
        Shape::One,
        "What the quotation says beside the ways",
        &[
            field("number", "Its number", Kind::Text, "Q-118"),
            field("valid", "Until when it holds", Kind::Text, "2026-12-31"),
            field("taxes", "The line on taxes", Kind::Text, "Plus value added tax at the legal rate"),
            field(
                "terms",
                "Payment and delivery",
                Kind::Text,
                "Payable within 14 days, collected from the shop",
            ),
            field(
                "round_to",
                "Prices are rounded up to a multiple of",
                Kind::Number(Range::between(1.0, 1e6)),
                "5",
            ),
            field(
                "added",
                "Added to the cost of every way, per cent",
                Kind::Number(Range::between(0.0, 1000.0)),
                "15",
            ),
        ],
    ),
    table_of(
        "bar",
        Shape::Many,
        "Bars on hand that could carry the tool",
        &[
            field("shape", "Section", choice::<BarShape>(), "round"),
            needed(
                "size",
                "Diameter, or side of the square, where it is held",
                Kind::Length(BAR_SIZE),
                "16 mm",
            ),
            field("length", "Length", Kind::Length(LENGTH), "160 mm"),
            field("material", "Material", choice::<BarMaterial>(), "steel"),
            field("kind", "How bar and edge are one", choice::<BarKind>(), "one piece"),
            field(
                "flat",
                "Thickness left where a flat is ground along the back of a flatted bar",
                Kind::Length(BAR_SIZE),
                "13 mm",
            ),
            field(
                "front_lengths",
                "Lengths of thinner parts, from the edge back",
                Kind::List(&Kind::Length(LENGTH)),
                "30 mm",
            ),
            field(
                "front_sizes",
                "Their diameters or sides, in the same order",
                Kind::List(&Kind::Length(BAR_SIZE)),
                "10 mm",
            ),
            field(
                "tapers",
                "The front parts taper, each evenly up to the size of the next",
                Kind::Bool,
                "false",
            ),
        ],
    ),
    table_of(
        "bit",
        Shape::Many,
        "Threading bits on hand, ground or bought",
        &[
            field("name", "What it is called", Kind::Text, "29 deg bit, from the vice job"),
            needed("angle", "Included angle", Kind::Angle(Range::between(0.0, 120.0)), "29 deg"),
            field(
                "chuck_flank",
                "Flank angle on the chuck's side, of a bit whose flanks differ",
                Kind::Angle(Range::between(0.0, 90.0)),
                "3 deg",
            ),
            needed("tip_width", "Width of its tip", Kind::Length(Range::up_to(100.0)), "1.6 mm"),
        ],
    ),
    table_of(
        "grind",
        Shape::One,
        "The grind, where you fix it",
        &[
            field(
                "clearance",
                "Clearance under each flank beyond the lead angle",
                Kind::Angle(Range::between(0.0, 30.0)),
                "4 deg",
            ),
            field("front_clearance", "Front clearance", Kind::Angle(Range::between(0.0, 60.0)), "12 deg"),
            field("rake", "Back rake", Kind::Angle(Range::between(-45.0, 45.0)), "0 deg"),
            field(
                "height",
                "Height of the edge above centre; below is negative",
                Kind::Length(Range::between(-50.0, 50.0)),
                "0 mm",
            ),
            field(
                "cant",
                "Turn of the whole tool about the cross-slide's line, to follow this helix",
                Kind::Angle(Range::between(-45.0, 45.0)),
                "0 deg",
            ),
            field(
                "tilt",
                "Turn of the tool in its face, out of square to the axis; + with the tip to the tailstock",
                Kind::Angle(Range::between(-30.0, 30.0)),
                "0 deg",
            ),
            field("tip_width", "Tip width as ground", Kind::Length(Range::up_to(100.0)), "1.8 mm"),
            field(
                "depth",
                "From the edge to the back of the bar",
                Kind::Length(Range::up_to(300.0)),
                "14 mm",
            ),
            field("stick_out", "Stick-out", Kind::Length(Range::between(1.0, 3000.0)), "60 mm"),
            field("carbide_tip", "Tip of carbide rather than high-speed steel", Kind::Bool, "false"),
        ],
    ),
    table_of(
        "lathe",
        Shape::One,
        "The lathe",
        &[
            field("name", "Name", Kind::Text, "Bench lathe, 4 mm lead screw"),
            needed("lead_screw", "Lead of the lead screw", Kind::Pitch(Range::up_to(100.0)), "4 mm"),
            field("stud_ratio", "Turns of the stud : turns of the spindle", Kind::Ratio, "1:1"),
            field("gears", "Change gears on hand, by teeth", Kind::List(&Kind::Whole(6, 400)), "20"),
            field(
                "mounted",
                "Of these, the ones that are on the lathe now",
                Kind::List(&Kind::Whole(6, 400)),
                "20",
            ),
            field(
                "most_gears",
                "Largest number of change gears in a train: 2, 4 or 6",
                Kind::Whole(2, 6),
                "4",
            ),
            field(
                "speeds",
                "Spindle speeds, rev/min",
                Kind::List(&Kind::Number(Range::up_to(20_000.0))),
                "45",
            ),
            field("reverses", "The spindle reverses under power", Kind::Bool, "true"),
            field("chuck", "How the chuck is held on the spindle", choice::<ChuckMount>(), "screwed on"),
            field("left_hand", "The lead screw can be reversed by a lever", Kind::Bool, "true"),
            field(
                "right_hand_meshes",
                "Without such a lever: pairs in mesh from stud to lead screw that make a right-hand thread",
                choice::<Meshes>(),
                "even",
            ),
            field("half_nuts", "Half-nuts let the lead screw go", Kind::Bool, "true"),
            field(
                "backlash",
                "Play of the carriage along the bed with the half-nuts closed",
                Kind::Length(Range::between(0.0, 20.0)),
                "0.4 mm",
            ),
            field(
                "threading_stop",
                "A stop on the cross-slide brings the tool back to its depth",
                Kind::Bool,
                "true",
            ),
            field("compound_dial", "Division of the compound slide's dial", Kind::Length(SMALL), "0.02 mm"),
            field(
                "reaction_s",
                "Timed at this lathe: from seeing the mark to the tool standing, seconds",
                Kind::Number(Range::between(0.0, 10.0)),
                "0.45",
            ),
            field(
                "coast_s",
                "Time the spindle takes to stop, seconds",
                Kind::Number(Range::between(0.0, 600.0)),
                "2.5",
            ),
            field(
                "brake_s",
                "Time it takes with the brake, seconds",
                Kind::Number(Range::between(0.0, 600.0)),
                "0.5",
            ),
        ],
    ),
    table_of(
        "lathe.banjo",
        Shape::Inline,
        "Banjo and its room",
        &[
            needed("module", "Module of the gears", Kind::Module, "1.25 mm"),
            needed(
                "centres_min",
                "From the stud's centre to the lead screw's; the smallest, where the stud can be moved",
                Kind::Length(LENGTH),
                "120 mm",
            ),
            needed(
                "centres_max",
                "The largest; the same where the stud is fixed",
                Kind::Length(LENGTH),
                "120 mm",
            ),
            field(
                "slot_min",
                "From the lead screw's centre to a pin at the slot's near end",
                Kind::Length(LENGTH),
                "35 mm",
            ),
            field("slot_max", "To a pin at its far end", Kind::Length(LENGTH), "140 mm"),
            field(
                "slot_offset",
                "How far the slot, or a curved one's chord, passes beside the lead screw's centre; + on the stud's side",
                Kind::Length(Range::between(-500.0, 500.0)),
                "8 mm",
            ),
            field(
                "slot_radius",
                "Radius of a curved slot; + where it bulges towards the stud",
                Kind::Length(Range::between(-5000.0, 5000.0)),
                "90 mm",
            ),
            field("pins", "Pins for gears between stud and lead screw", Kind::Whole(0, 2), "2"),
            field(
                "largest_gear",
                "Largest gear that clears the casting, outside diameter",
                Kind::Length(DIAMETER),
                "165 mm",
            ),
            needed(
                "stud",
                "Diameter of a pin, stud or shaft with its collar",
                Kind::Length(DIAMETER),
                "24 mm",
            ),
        ],
    ),
    table_of(
        "lathe.thread_dial",
        Shape::Inline,
        "Threading dial",
        &[
            needed("teeth", "Teeth of its gear", Kind::Whole(4, 200), "20"),
            needed("marks", "Marks on its face", Kind::Whole(1, 100), "8"),
            field("others", "Teeth of the other gears that fit it", Kind::List(&Kind::Whole(4, 200)), "21"),
        ],
    ),
    table_of(
        "lathe.cross_dial",
        Shape::Inline,
        "Cross-slide dial",
        &[
            DIVISION,
            READS,
            field("per_turn", "Divisions in one turn of the dial", Kind::Whole(2, 2000), "200"),
            field("screw", "Lead of the cross-slide's screw", Kind::Pitch(SMALL), "2 mm"),
            field(
                "backlash",
                "Play of the screw when the handle is turned back",
                Kind::Length(Range::between(0.0, 5.0)),
                "0.15 mm",
            ),
        ],
    ),
    table_of("lathe.readout", Shape::Inline, "Digital readout of the cross-slide", &[DIVISION, READS]),
    table_of(
        "lathe.reaction",
        Shape::Inline,
        "Your reaction, as tried on the page",
        &[
            needed("median_s", "Median of the tries, seconds", Kind::Number(REACTION), "0.24"),
            needed("slow_s", "What 19 tries in 20 stay within, seconds", Kind::Number(REACTION), "0.31"),
            field("tries", "Tries that counted", Kind::Whole(3, 1000), "10"),
            field(
                "hands_s",
                "Time your hands then need to draw the tool and let go of the carriage, seconds",
                Kind::Number(Range::between(0.0, 10.0)),
                "0.25",
            ),
        ],
    ),
    table_of(
        "lathe.gearbox",
        Shape::Many,
        "Settings of the gearbox",
        &[
            needed("name", "As engraved on the lever", Kind::Text, "A"),
            needed("ratio", "Turns of the lead screw : turns of the box input", Kind::Ratio, "1:2"),
        ],
    ),
    table_of(
        "cutting",
        Shape::One,
        "How to cut",
        &[
            field("infeed", "Infeed style", choice::<Infeed>(), "radial"),
            field("share", "What is alike in the passes", choice::<Share>(), "area"),
            field(
                "rough_tip",
                "Tip width of a narrower tool that takes the bulk first",
                Kind::Length(Range::up_to(100.0)),
                "1 mm",
            ),
            field("first", "Depth of the first pass", Kind::Length(Range::up_to(10.0)), "0.2 mm"),
            field("least", "Smallest depth of a cutting pass", Kind::Length(Range::up_to(10.0)), "0.03 mm"),
            field("force", "Force on the tool not to be exceeded", Kind::Force(POSITIVE), "800 N"),
            field("spring", "Spring passes", Kind::Whole(0, 50), "2"),
            field(
                "room",
                "Room beyond the thread for the tool to stop in",
                Kind::Length(Range::between(0.0, 3000.0)),
                "8 mm",
            ),
            field(
                "surface_m_per_min",
                "Surface speed wanted, m/min",
                Kind::Number(Range::up_to(1000.0)),
                "8",
            ),
            field(
                "surface_ft_per_min",
                "Surface speed wanted, ft/min",
                Kind::Number(Range::up_to(3000.0)),
                "25",
            ),
        ],
    ),
    table_of(
        "done",
        Shape::Many,
        "Passes that were taken at the lathe, in order",
        &[
            needed(
                "depth",
                "Radial depth that was set, from touch-on",
                Kind::Length(Range::up_to(100.0)),
                "0.42 mm",
            ),
            field(
                "side",
                "Shift along the axis that widens; + is away from the chuck",
                Kind::Length(Range::between(-100.0, 100.0)),
                "0.1 mm",
            ),
            field(
                "tip",
                "Tip width of the tool, where it was not the tool of now",
                Kind::Length(Range::up_to(100.0)),
                "1.8 mm",
            ),
            field("start", "Start that it cut, of a thread with several", Kind::Whole(1, 24), "1"),
        ],
    ),
    table_of(
        "gauges",
        Shape::One,
        "Gauges on hand",
        &[
            field("wires", "Wire diameters", Kind::List(&Kind::Length(SMALL)), "2.6 mm"),
            field("balls", "Ball diameters", Kind::List(&Kind::Length(SMALL)), "2.5 mm"),
            field("pins", "Pin diameters", Kind::List(&Kind::Length(Range::up_to(100.0))), "17 mm"),
            field("instruments", "Instruments at hand", Kind::List(&INSTRUMENTS), "micrometer"),
        ],
    ),
    table_of(
        "made",
        Shape::Many,
        "Readings of the part that was made",
        &[
            needed("feature", "What is read", choice::<MadeFeature>(), "bore"),
            needed("value", "What it reads", Kind::Length(Range::between(0.0, 1000.0)), "17.07 mm"),
            field("wire", "Diameter of wire or ball", Kind::Length(SMALL), "2.6 mm"),
            field("instrument", "Read with", choice::<Instrument>(), "telescoping gauge"),
            field("count", "Pitches that the value spans, for a pitch", Kind::Whole(1, 1000), "8"),
            field(
                "after",
                "Passes that were done when it was read; not given for the finished part",
                Kind::Whole(0, 2000),
                "12",
            ),
            field("start", "Start that those passes cut, of a thread with several", Kind::Whole(1, 24), "1"),
            field(
                "uncertainty",
                "One standard deviation, else taken from the instrument",
                Kind::Length(Range::up_to(10.0)),
                "0.01 mm",
            ),
        ],
    ),
    table_of(
        "cast",
        Shape::Many,
        "Casts of the finished internal thread",
        &[
            needed("material", "What it was cast with", choice::<CastMaterial>(), "silicone"),
            field(
                "change",
                "Its change of size in %, where a cast of a known thread has told it; - shrinks",
                Kind::Number(Range::between(-5.0, 5.0)),
                "-0.1",
            ),
            field("instrument", "Measured with", choice::<Instrument>(), "microscope"),
            field(
                "ridge",
                "Thickness of the ridge along the axis",
                Kind::Length(Range::up_to(100.0)),
                "2.43 mm",
            ),
            field(
                "at",
                "Height above the ridge's foot at which that was read, else half the ridge",
                Kind::Length(Range::up_to(100.0)),
                "1.38 mm",
            ),
            field("height", "Height of the ridge", Kind::Length(Range::up_to(100.0)), "2.75 mm"),
            field("pitches", "Distance over so many pitches", Kind::Length(Range::up_to(1000.0)), "39.96 mm"),
            field("count", "How many pitches", Kind::Whole(1, 1000), "8"),
            field("angle", "Angle between the flanks", Kind::Angle(Range::between(0.0, 120.0)), "30 deg"),
            field(
                "uncertainty",
                "One standard deviation of its lengths, else taken from the instrument",
                Kind::Length(Range::up_to(10.0)),
                "0.01 mm",
            ),
        ],
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_has_its_place() {
        for t in TABLES {
            if let Some((parent, name)) = t.parent() {
                let parent = table(parent).unwrap_or_else(|| panic!("{} hangs in the air", t.path));
                assert_eq!(parent.child(name), Some(t));
                assert!(parent.field(name).is_none(), "{} is both field and table", t.path);
            }
            let mut names = t.names();
            names.sort_unstable();
            let count = names.len();
            names.dedup();
            assert_eq!(names.len(), count, "{}: a name twice", t.path);
            for f in t.fields {
                assert!(!f.what.is_empty() && !f.example.is_empty(), "{}.{}", t.path, f.name);
                assert!(!f.accepts(Unit::Mm).is_empty());
            }
        }
    }
}
