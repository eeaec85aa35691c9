//! A job: everything a person has put in. The text form is TOML, read and written by the modules below; the
//! types here are what the stages take.

mod edit;
mod lathe_text;
mod lenient;
mod node;
mod read;
pub mod schema;
mod typed;
mod words;

pub use edit::{Edit, EditError, apply, lengths_of, merge, template};
pub use lathe_text::{lathe_template, lathe_text, with_lathe};
pub use lenient::read_what_can_be;
pub use read::{MOST_BYTES, Problem, read, read_lathe};
pub use schema::{FieldInfo, Kind, fields_of};
pub use typed::{Typed, is_toml, raw};
pub use words::Words;

use crate::iso286::Fits;
use flankwise_thread::{Angle, Element, Force, Hand, Length, Thread, Unit, quantity};

/// Everything put in.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// What the job is called.
    pub job: String,
    /// Unit of bare numbers, and the unit the person works in.
    pub unit: Unit,
    /// What the owner says the thread is.
    pub story: Option<String>,
    /// Where the part comes from.
    pub context: Context,
    /// For whom, and by whom.
    pub people: People,
    /// Marked as invented: an example, not a real part.
    pub invented: bool,
    /// What eyes and fingers say.
    pub observed: Observed,
    /// Readings, in the order taken.
    pub readings: Vec<Reading>,
    /// Thread gauge leaves tried.
    pub leaves: Vec<Leaf>,
    /// Known parts or gauges tried by hand.
    pub trials: Vec<Trial>,
    /// The person's own choice of thread over the ranking: `[identity] thread = "Tr 22x5"`.
    pub chosen: Option<Thread>,
    /// What is to be made.
    pub make: Make,
    /// Taps, dies and parts on hand or on offer.
    pub offers: Vec<Offer>,
    /// Rates for time and cost.
    pub rates: Rates,
    /// A milling machine that cuts threads.
    pub mill: Option<Mill>,
    /// The person's own figures for ways of making it, at most one for a way.
    pub own_ways: Vec<OwnWay>,
    /// The way that is taken.
    pub choice: Choice,
    /// What the quotation says beside the ways.
    pub quotation: Terms,
    /// Bars on hand that could carry the tool.
    pub bars: Vec<Bar>,
    /// Bits on hand, ground or bought, that could cut the thread.
    pub bits: Vec<Bit>,
    /// The grind, where the person fixes it.
    pub grind: Grind,
    /// The lathe.
    pub lathe: Option<Lathe>,
    /// How to cut.
    pub cutting: Cutting,
    /// Passes that were taken at the lathe, in order.
    pub done: Vec<Done>,
    /// Gauges on hand.
    pub gauges: Gauges,
    /// Readings of the part that was made.
    pub made: Vec<MadeReading>,
    /// Casts of its thread.
    pub casts: Vec<ThreadCast>,
}

impl Job {
    /// The same but for what is done at the lathe: passes taken, readings of the part and of its casts.
    pub fn as_before_the_cut(&self) -> Self {
        Self { done: Vec::new(), made: Vec::new(), casts: Vec::new(), ..self.clone() }
    }

    /// The same with the thread right through the part: no groove at its end, whose room the thread takes.
    pub fn right_through(&self) -> Self {
        let relief = self.make.relief.unwrap_or_default();
        let make = Make {
            through: true,
            relief: None,
            length: self.make.length.map(|length| length + relief),
            ..self.make.clone()
        };
        Self { make, ..self.clone() }
    }
}

/// Where the part comes from; all optional, all weak evidence.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Context {
    /// Kind of machine.
    pub machine: Option<String>,
    /// Year of make.
    pub made: Option<i32>,
    /// Country of make, ISO 3166-1 alpha-2 (`GB`, `DE`, `US`).
    pub country: Option<String>,
}

/// For whom and by whom: `[people]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct People {
    /// The customer.
    pub customer: Option<String>,
    /// Who does the work.
    pub maker: Option<String>,
    /// Date to print on the sheet, as typed; the program reads no clock for it.
    pub date: Option<String>,
}

/// Form as the eye sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SeenForm {
    /// Trapezoid: flat crests and roots, sloping flanks.
    FlatTopped,
    /// V.
    Sharp,
    /// Rounded crests and roots.
    Rounded,
    /// Upright flanks.
    Square,
    /// One flank upright, one sloping.
    Sawtooth,
}

/// Condition of the part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Condition {
    /// Never run.
    Unused,
    /// Run, without visible wear.
    #[default]
    Used,
    /// Visibly worn.
    Worn,
    /// Worn out or damaged.
    Wrecked,
}

/// What eyes and fingers say: `[observed]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Observed {
    /// Hand.
    pub hand: Option<Hand>,
    /// Starts.
    pub starts: Option<u32>,
    /// Form.
    pub form: Option<SeenForm>,
    /// Tapered.
    pub taper: Option<bool>,
    /// Condition.
    pub condition: Option<Condition>,
}

/// What is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Feature {
    /// Largest diameter (screw: outside; nut: root).
    MajorDiameter,
    /// Diameter at equal ridge and groove.
    PitchDiameter,
    /// Smallest diameter (screw: root; nut: bore).
    MinorDiameter,
    /// Crest to crest along the axis; with a count, over so many pitches.
    Pitch,
    /// Advance per turn.
    Lead,
    /// One flank to the plane square to the axis.
    FlankAngle,
    /// Both flanks.
    IncludedAngle,
    /// Axial width of the crest.
    CrestFlat,
    /// Axial width of the root.
    RootFlat,
    /// Axial thickness of the ridge at the pitch diameter.
    ThreadThickness,
    /// Crest to root, radial.
    ThreadDepth,
    /// Over three wires or two wires and an anvil.
    OverWires,
    /// Axial depth worn off one flank, from the unworn part of it beside the track.
    FlankWear,
    /// Full reading of an indicator on the crests while the part turns on its ends.
    RunOut,
}

impl Feature {
    /// Whether it tells of this part's state only, and nothing of what thread it is.
    pub const fn of_state(self) -> bool {
        matches!(self, Self::FlankWear | Self::RunOut)
    }
}

/// With what it is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Instrument {
    /// Sliding calliper, vernier or digital.
    Calliper,
    /// Micrometer.
    Micrometer,
    /// Steel rule.
    Rule,
    /// Protractor.
    Protractor,
    /// Measuring wires and micrometer.
    Wires,
    /// Pins or balls.
    Pins,
    /// Telescoping or small-hole gauge and micrometer.
    TelescopingGauge,
    /// From a photo.
    Photo,
    /// Rolled or rubbed on paper or card, and the marks measured.
    PaperTrace,
    /// A cast of the thread, measured in its place.
    Cast,
    /// Measuring microscope or projector.
    Microscope,
    /// Dial or lever indicator on a stand.
    Indicator,
    /// Anything else; then an uncertainty should be given.
    Other,
}

/// Which flank, seen with the part's axis level and the ridge upwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// The left one.
    Left,
    /// The right one.
    Right,
}

/// A length or an angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantity {
    /// A length, and the unit it was written in.
    Length(Length, Unit),
    /// An angle.
    Angle(Angle),
}

/// One reading: `[[reading]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// On the screw or in the nut.
    pub part: Element,
    /// What.
    pub feature: Feature,
    /// Value.
    pub value: Quantity,
    /// The text as typed, for messages.
    pub typed: String,
    /// So many pitches within `value`; `pitch` only.
    pub count: Option<u32>,
    /// Wire diameter; `over wires` only.
    pub wire: Option<Length>,
    /// With what.
    pub instrument: Instrument,
    /// Where along the part, from its end; of a span its middle.
    pub place: Option<Length>,
    /// Which flank; `flank angle` and `flank wear` only. All readings of a part are seen from one side, the end that
    /// places are counted from on the left.
    pub side: Option<Side>,
    /// The value is the mean of so many readings at this place.
    pub mean_of: Option<u32>,
    /// Standard uncertainty given by the person.
    pub uncertainty: Option<Quantity>,
}

impl Reading {
    /// A reading of which no more is said than what was read, with what, and to how many places (`typed`).
    pub fn plain(
        part: Element,
        feature: Feature,
        value: Quantity,
        typed: impl Into<String>,
        instrument: Instrument,
    ) -> Self {
        Self {
            part,
            feature,
            value,
            typed: typed.into(),
            count: None,
            wire: None,
            instrument,
            place: None,
            side: None,
            mean_of: None,
            uncertainty: None,
        }
    }

    /// The same digits in the other unit: as they would be typed, and what they then are. None for angles and for what is
    /// written in neither millimetres nor inches.
    pub fn in_other_unit(&self) -> Option<(String, Quantity)> {
        let Quantity::Length(_, unit) = self.value else { return None };
        let (other, sign) = match unit {
            Unit::Mm => (Unit::Inch, "in"),
            Unit::Inch => (Unit::Mm, "mm"),
        };
        let digits = self.typed.rfind(|c: char| c.is_ascii_digit())? + 1;
        let (number, written) = self.typed.split_at(digits);
        let plain = matches!(written.trim(), "" | "mm" | "in" | "inch" | "\"" | "″");
        let typed = format!("{} {sign}", number.trim());
        let (length, _) = quantity::parse_length(&typed, other).ok().filter(|_| plain)?;
        Some((typed, Quantity::Length(length, other)))
    }
}

/// Pitch as a share of the diameter that threads have, from fine ones of instruments to the coarsest worms. Chosen here.
const MADE: std::ops::RangeInclusive<f64> = 0.012..=0.6;
/// Diameters and pitches that a bench part usually has, mm. Chosen here.
pub(crate) const USUAL_DIAMETERS: std::ops::Range<f64> = 1.5..130.0;
const USUAL_PITCHES: std::ops::Range<f64> = 0.2..30.0;

/// Of a diameter and a pitch that no thread has together, the one that is a usual size in the other unit and makes a thread
/// with the other reading then; the diameter where both would.
pub(crate) fn in_the_wrong_unit<'a>(diameter: &'a Reading, pitch: &'a Reading) -> Option<&'a Reading> {
    let mm = |reading: &Reading, value: Quantity| match value {
        Quantity::Length(length, _) => Some(length.to_mm() / f64::from(reading.count.unwrap_or(1))),
        Quantity::Angle(_) => None,
    };
    let meant = |reading: &Reading| mm(reading, reading.in_other_unit()?.1);
    let (d, p) = (mm(diameter, diameter.value)?, mm(pitch, pitch.value)?);
    let made = |d: f64, p: f64| MADE.contains(&(p / d));
    let is_usual = |d: f64, p: f64| made(d, p) && USUAL_DIAMETERS.contains(&d) && USUAL_PITCHES.contains(&p);
    if made(d, p) {
        None
    } else if meant(diameter).is_some_and(|d| is_usual(d, p)) {
        Some(diameter)
    } else {
        meant(pitch).filter(|p| is_usual(d, *p)).map(|_| pitch)
    }
}

/// How a leaf of a thread gauge sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LeafVerdict {
    /// Down on the flanks all along.
    Seats,
    /// Touches, but rocks or shows light.
    Rocks,
    /// Does not go in.
    Refuses,
}

/// A leaf tried: `[[leaf]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Leaf {
    /// Pitch stamped on the leaf.
    pub pitch: flankwise_thread::Pitch,
    /// Included angle of the leaf; none where unknown.
    pub angle: Option<Angle>,
    /// How it sat.
    pub verdict: LeafVerdict,
}

/// How a known part went on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TrialVerdict {
    /// Runs on as it should.
    Runs,
    /// Runs, but loose.
    Loose,
    /// Starts for a turn or a few, then binds.
    Starts,
    /// Does not start.
    Refuses,
}

/// A known part tried by hand: `[[trial]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// Its thread.
    pub with: Thread,
    /// Whether that was a nut or gauge ring (`Internal`) or a screw, tap or plug (`External`).
    pub element: Element,
    /// The text as typed.
    pub typed: String,
    /// How it went.
    pub verdict: TrialVerdict,
}

/// What hangs on the thread.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Duty {
    /// Moves a slide or table.
    #[default]
    Feed,
    /// Clamps or holds.
    Clamp,
    /// Lifts or carries a load that could fall.
    Lift,
}

/// How a nut takes up play.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum NutKind {
    /// In one piece, its play as it was cut.
    #[default]
    Plain,
    /// Slit along one side and closed by a screw.
    Split,
    /// Two nuts set against each other along the screw.
    TwoPiece,
    /// Two nuts pressed apart by a spring.
    Sprung,
    /// A filled resin cast round the screw in a shell.
    Cast,
}

/// What is to be made: `[make]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Make {
    /// A nut (`Internal`) or a screw (`External`).
    pub part: Element,
    /// Tolerance class to show beside the sizes for this mate; the family's default if none.
    pub class: Option<String>,
    /// Axial play wanted at the tightest place of the travel.
    pub play: Option<Length>,
    /// Most play that the use bears at the loosest place of the travel.
    pub play_most: Option<Length>,
    /// Length of thread.
    pub length: Option<Length>,
    /// Thread goes right through (`true`) or ends blind.
    pub through: bool,
    /// Width of a relief groove at the blind end.
    pub relief: Option<Length>,
    /// Material of the part, by key of the materials table: `bronze-c93200`, `steel-mild`.
    pub material: Option<String>,
    /// Material of the mate, likewise.
    pub mate_material: Option<String>,
    /// Axial load in use.
    pub load: Option<Force>,
    /// What hangs on it.
    pub duty: Duty,
    /// How the nut takes up play.
    pub nut: NutKind,
    /// Length of the mate's thread, end to end.
    pub mate_length: Option<Length>,
    /// The mate is made new as well.
    pub mate_new: bool,
    /// How many.
    pub pieces: u32,
    /// The body, copied from the old part.
    pub body: Body,
    /// How it runs.
    pub run: Run,
}

impl Default for Make {
    fn default() -> Self {
        Self {
            part: Element::Internal,
            class: None,
            play: None,
            play_most: None,
            length: None,
            through: true,
            relief: None,
            material: None,
            mate_material: None,
            load: None,
            duty: Duty::Feed,
            nut: NutKind::Plain,
            mate_length: None,
            mate_new: false,
            pieces: 1,
            body: Body::default(),
            run: Run::default(),
        }
    }
}

/// The body of the part: `[make.body]`, each from the old part.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Body {
    /// Outside diameter of the old part (nut), or of the plain part (screw).
    pub outside: Option<Length>,
    /// Bore of the housing, as measured.
    pub housing: Option<Length>,
    /// Class of the body by ISO 286, and of the housing where one is asked for: `h6`, `H7/p6`.
    pub fit: Option<Fits>,
    /// Outside diameter of the housing round the body.
    pub housing_outside: Option<Length>,
    /// Material of the housing, by key of the materials table.
    pub housing_material: Option<String>,
    /// Overall length.
    pub length: Option<Length>,
    /// Flange diameter.
    pub flange: Option<Length>,
    /// Flange thickness.
    pub flange_thickness: Option<Length>,
    /// From the front face to the flange; at the front face of a nut and behind the thread of a screw, if none.
    pub flange_from: Option<Length>,
    /// Across flats.
    pub flats: Option<Length>,
    /// Holes: `[[make.hole]]`.
    pub holes: Vec<Hole>,
    /// Keyways: `[[make.keyway]]`.
    pub keyways: Vec<Keyway>,
    /// Steps of the outside: `[[make.step]]`.
    pub steps: Vec<BodyStep>,
}

/// How screw and nut run: `[make.run]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Run {
    /// Fastest turning of the screw, rev/min.
    pub speed_rpm: Option<f64>,
    /// Turns of the screw in a day's use.
    pub turns_per_day: Option<f64>,
    /// How the thread is kept.
    pub lubricant: Lubricant,
    /// Mean diameter of the thrust collar.
    pub collar: Option<Length>,
    /// Length of screw between its supports.
    pub supported: Option<Length>,
    /// How the ends are held; both simply, if none.
    pub ends: Option<Ends>,
    /// The load only ever pulls on the screw, so that it cannot buckle.
    pub pulls: bool,
    /// Length of the nut, where the screw is made.
    pub nut_length: Option<Length>,
}

/// How a thread is kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Lubricant {
    /// Oiled or greased.
    #[default]
    Oiled,
    /// Dry.
    Dry,
}

/// How the ends of a screw are held. A fixed end cannot tilt: two bearings apart, or a long one; a simple one can.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ends {
    /// One end fixed, the other in the air.
    FixedFree,
    /// Both simply supported.
    Simple,
    /// One fixed, one simply supported.
    FixedSimple,
    /// Both fixed.
    Fixed,
}

/// Standards of parallel keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum KeyStandard {
    /// DIN 6885-1, metric.
    Din6885,
    /// ASME B17.1, inch, square keys.
    AsmeB171,
}

/// A keyway in the body: `[[make.keyway]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Keyway {
    /// Standard of its key; by the job's unit if none.
    pub standard: Option<KeyStandard>,
    /// Width; by the standard if none.
    pub width: Option<Length>,
    /// Depth at the middle of its width; by the standard if none.
    pub depth: Option<Length>,
    /// From the front face to its beginning.
    pub from_end: Option<Length>,
    /// Length; to the far end if none.
    pub length: Option<Length>,
    /// Place round the part, seen from the front face, clockwise from the top.
    pub angle: Angle,
}

/// A step of the outside beside the thread: a journal, a collar, a shoulder, a spigot: `[[make.step]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct BodyStep {
    /// From the front face to its beginning.
    pub from_end: Length,
    /// Length.
    pub length: Length,
    /// Diameter, the basic one of its class.
    pub diameter: Length,
    /// Its class by ISO 286; as given if none.
    pub fit: Option<Fits>,
    /// Chamfer, undercut and the like, as typed.
    pub ends: Option<String>,
}

/// Kind of hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HoleKind {
    /// Right across.
    Cross,
    /// A spot or dimple for a locking screw.
    Spot,
    /// Through the flange, parallel to the axis.
    Flange,
}

/// A hole in the body.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// Kind.
    pub kind: HoleKind,
    /// Diameter.
    pub diameter: Length,
    /// Distance of its centre from the front face; for a flange hole the pitch circle diameter.
    pub from_end: Length,
    /// Depth; through if none.
    pub depth: Option<Length>,
    /// Thread in it, as designated.
    pub thread: Option<Thread>,
    /// How many on the circle; 1 unless a flange hole says otherwise.
    pub count: u32,
    /// Place round the part, seen from the front face, clockwise from the top; of a circle of holes the first one's.
    pub angle: Option<Angle>,
}

/// Kind of offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum OfferKind {
    /// A tap (or a set).
    Tap,
    /// A die.
    Die,
    /// The finished nut or screw.
    Part,
    /// A ready internal threading bar.
    Bar,
    /// Stock for the part.
    Stock,
    /// Tool steel for taps made in the shop.
    ToolSteel,
    /// Casting resin with its release wax.
    Resin,
}

/// A way of making the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WayKind {
    /// Single point, in the first setting.
    SinglePoint,
    /// Parted off, put back in the chuck, then single point right through.
    Rechuck,
    /// A bought tap or set.
    BoughtTap,
    /// Taps made in the shop.
    MadeTap,
    /// A die.
    Die,
    /// The finished part bought, and its place adapted.
    BoughtPart,
    /// A thread-milling cutter on a helical path.
    ThreadMill,
    /// A nut of resin cast round the screw.
    Cast,
}

/// The person's own figures for a way, which stand before what is reckoned: `[[way]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnWay {
    /// Which.
    pub way: WayKind,
    /// Hours of own work, all pieces.
    pub hours: Option<f64>,
    /// What is to be spent on stock, tools and parts.
    pub outlay: Option<f64>,
    /// What it costs in all: hours, stock and tools.
    pub price: Option<f64>,
    /// Days until the part is in hand.
    pub days: Option<f64>,
    /// Chance that a piece is ruined, 0 to 1.
    pub chance: Option<f64>,
    /// Where these figures come from.
    pub note: Option<String>,
}

impl OwnWay {
    /// One that says nothing of its own yet.
    pub const fn of(way: WayKind) -> Self {
        Self { way, hours: None, outlay: None, price: None, days: None, chance: None, note: None }
    }
}

/// The way that is taken, and why: `[choice]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Choice {
    /// Which; none while it is open.
    pub way: Option<WayKind>,
    /// The reason.
    pub because: Option<String>,
    /// Steps of it that are done at the bench, where it is another than a single point.
    pub steps_done: u32,
    /// The way whose steps those are.
    pub steps_of: Option<WayKind>,
}

impl Choice {
    /// Steps that are done of a way; none where those done are another's.
    pub fn steps_done_of(&self, way: WayKind) -> usize {
        if self.steps_of == Some(way) { self.steps_done as usize } else { 0 }
    }
}

/// A milling machine that moves its spindle along a helix, with its thread-milling cutter: `[mill]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Mill {
    /// Name.
    pub name: String,
    /// Diameter of the cutter over its teeth.
    pub cutter: Length,
    /// Diameter of the neck behind the teeth.
    pub neck: Option<Length>,
    /// How deep the neck reaches.
    pub reach: Option<Length>,
    /// Teeth around the cutter.
    pub teeth: u32,
    /// Fastest spindle speed, rev/min.
    pub rpm: Option<f64>,
    /// The machine turns the work as the table moves, so that a thread need not stand under the cutter.
    pub rotary: bool,
    /// The cutter can be set over to the lead angle, outside the work.
    pub set_over: bool,
}

/// What the quotation says beside the ways: `[quotation]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Terms {
    /// Its number.
    pub number: Option<String>,
    /// Until when it holds, as typed.
    pub valid: Option<String>,
    /// The line on taxes, as typed.
    pub taxes: Option<String>,
    /// Payment, delivery and the like, as typed.
    pub terms: Option<String>,
    /// Prices are rounded up to a multiple of this.
    pub round_to: Option<f64>,
    /// Added to the cost of every way, as a share: 0.15 for 15 %.
    pub added: Option<f64>,
}

/// Something on hand or on offer: `[[offer]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Kind.
    pub kind: OfferKind,
    /// Its thread, for taps, dies and parts.
    pub thread: Option<Thread>,
    /// Already on hand.
    pub on_hand: bool,
    /// Price, in the currency of the rates.
    pub price: Option<f64>,
    /// So many pieces it is enough for; one where nothing is said.
    pub pieces: u32,
    /// Days to wait.
    pub days: Option<f64>,
    /// Words, such as the supplier's.
    pub note: Option<String>,
}

/// Rates: `[rates]`. Every default is shown as one.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rates {
    /// Currency sign or code; `EUR` if none.
    pub currency: Option<String>,
    /// Price of one hour of work.
    pub hour: Option<f64>,
    /// Price of one kilogram of stock.
    pub kilogram: Option<f64>,
}

impl Rates {
    /// The currency, `EUR` if none is named.
    pub fn currency(&self) -> &str {
        self.currency.as_deref().unwrap_or("EUR")
    }
}

/// Material of a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BarMaterial {
    /// Steel shank.
    Steel,
    /// High-speed steel in one piece.
    Hss,
    /// Cemented carbide shank.
    Carbide,
    /// Sintered tungsten heavy metal.
    HeavyMetal,
}

/// Section of a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BarShape {
    /// Round.
    Round,
    /// Round with a flat along its back, away from the edge.
    Flatted,
    /// Square.
    Square,
}

/// How bar and edge are one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum BarKind {
    /// Ground from one piece of the bar's material.
    #[default]
    OnePiece,
    /// Filed or turned from annealed tool steel, then hardened.
    Hardened,
    /// A tip brazed on.
    BrazedTip,
    /// A tip held by a screw, in a seat or a cross hole.
    ScrewedTip,
    /// A small bar held in a boring head.
    BoringHead,
    /// Bought ready, insert or solid.
    Bought,
}

/// A thinner part at the front of a bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarPart {
    /// Its length along the bar.
    pub length: Length,
    /// Its diameter or side; of a tapering bar at its front end.
    pub size: Length,
}

/// A bar that could carry the tool: `[[bar]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// Section.
    pub shape: BarShape,
    /// Diameter, or side of the square, where it is held.
    pub size: Length,
    /// Thickness left where a flat is ground along a flatted bar.
    pub flat: Option<Length>,
    /// Length.
    pub length: Option<Length>,
    /// Material.
    pub material: BarMaterial,
    /// How bar and edge are one.
    pub kind: BarKind,
    /// Thinner parts, from the edge back; none where it is of one size.
    pub front: Vec<BarPart>,
    /// The front parts taper, each evenly up to the size of the next.
    pub tapers: bool,
}

impl Bar {
    /// A bar of one size and one piece.
    pub const fn plain(shape: BarShape, size: Length, length: Option<Length>, material: BarMaterial) -> Self {
        Self {
            shape,
            size,
            flat: None,
            length,
            material,
            kind: BarKind::OnePiece,
            front: Vec::new(),
            tapers: false,
        }
    }
}

/// A threading bit on hand: `[[bit]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Bit {
    /// What it is called, or stamped.
    pub name: Option<String>,
    /// Included angle of its flanks.
    pub angle: Angle,
    /// The part of it on the chuck's side; none where both are alike.
    pub chuck_flank: Option<Angle>,
    /// Width of its tip.
    pub tip_width: Length,
}

/// The grind where the person fixes it: `[grind]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Grind {
    /// Working clearance under each flank beyond the lead angle, seen along the cross-slide.
    pub clearance: Option<Angle>,
    /// Front clearance.
    pub front_clearance: Option<Angle>,
    /// Back rake.
    pub rake: Option<Angle>,
    /// Height of the edge above centre; negative below.
    pub height: Option<Length>,
    /// Turn of the whole tool about the line of the cross-slide, to follow this thread's helix.
    pub cant: Option<Angle>,
    /// Turn of the tool in its rake face; positive with the tip towards the tailstock.
    pub tilt: Option<Angle>,
    /// Tip width as ground.
    pub tip_width: Option<Length>,
    /// Depth of the tool from its edge to the back of the bar, if known.
    pub depth: Option<Length>,
    /// Stick-out, if fixed.
    pub stick_out: Option<Length>,
    /// Tip of carbide rather than high-speed steel.
    pub carbide_tip: bool,
}

/// What a graduated dial counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum DialReads {
    /// Tool travel: twice as much comes off the diameter.
    #[default]
    Radius,
    /// What comes off the diameter.
    Diameter,
}

/// A graduated dial or a digital readout.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dial {
    /// Smallest division or step.
    pub division: Length,
    /// What it counts.
    pub reads: DialReads,
    /// Play of its screw when the handle is turned back; none where unknown, or for a readout.
    pub backlash: Option<Length>,
}

/// Parity of the pairs in mesh between stud and lead screw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Meshes {
    /// Two, four: the lead screw turns the way the stud does.
    Even,
    /// One, three: it turns against the stud.
    Odd,
}

/// How the chuck is held on the spindle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ChuckMount {
    /// By the spindle's thread: it can unscrew when the spindle reverses or stops hard.
    ScrewedOn,
    /// By cams, bolts or a key: it stays on either way round.
    Fastened,
}

/// A person's reaction, as tried on the page: `lathe.reaction`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reaction {
    /// Median of the tries, seconds.
    pub median_s: f64,
    /// 95th percentile, seconds.
    pub slow_s: f64,
    /// Tries that counted.
    pub tries: Option<u32>,
    /// Time the hands then need to draw the tool and let go of the carriage, seconds.
    pub hands_s: Option<f64>,
}

/// A fixed ratio between spindle and the first change gear, or through the gearbox.
#[derive(Clone, Debug, PartialEq)]
pub struct BoxSetting {
    /// As engraved on the lever: `A`, `1`, `C4`.
    pub name: String,
    /// Turns of the lead screw for one turn of the box input.
    pub ratio: (u32, u32),
}

/// Threading dial at the apron.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreadDial {
    /// Teeth of its gear.
    pub teeth: u32,
    /// Marks on its face, evenly spaced.
    pub marks: u32,
}

/// Banjo and its room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Banjo {
    /// Module of the gears.
    pub module: Length,
    /// Distance from the stud's centre to that of the lead screw (or box input), where the banjo swings; the
    /// smallest, where the stud can be moved.
    pub centres_min: Length,
    /// The largest; the same where the stud is fixed.
    pub centres_max: Length,
    /// The nearest that a pin in the slot comes to the lead screw's centre.
    pub slot_min: Option<Length>,
    /// The farthest.
    pub slot_max: Option<Length>,
    /// How far the straight slot, or the chord of a curved one, passes beside the lead screw's centre; positive on the
    /// stud's side. Zero where it points at the centre.
    pub slot_offset: Length,
    /// Radius of a curved slot's centre line, positive where it bulges towards the stud; none where it is straight.
    pub slot_radius: Option<Length>,
    /// Pins for gears between stud and lead screw.
    pub pins: u32,
    /// Largest outside diameter of gear that clears the casting.
    pub largest_gear: Option<Length>,
    /// Diameter of a pin, stud or shaft with its collar: a gear on the neighbouring one must clear it.
    pub stud: Length,
}

/// A lathe: `[lathe]` in a job, or a file of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Lathe {
    /// Name.
    pub name: String,
    /// Lead of the lead screw, and how it is written.
    pub lead_screw: flankwise_thread::Pitch,
    /// Turns of the stud (first change gear) for one of the spindle, numerator and denominator; (1, 1) if plain.
    pub stud_ratio: (u32, u32),
    /// Change gears on hand, by teeth; doubles listed twice.
    pub gears: Vec<u32>,
    /// Those of them that are on the lathe now.
    pub mounted: Vec<u32>,
    /// Gearbox settings; empty without a gearbox.
    pub gearbox: Vec<BoxSetting>,
    /// Largest number of change gears in a train: 2, 4 or 6.
    pub most_gears: u32,
    /// Banjo.
    pub banjo: Option<Banjo>,
    /// Spindle speeds, rev/min, ascending.
    pub speeds_rpm: Vec<f64>,
    /// Whether the spindle reverses under power.
    pub reverses: bool,
    /// How the chuck is held; none where nobody has said.
    pub chuck: Option<ChuckMount>,
    /// Whether the lead screw can be reversed by a lever, so that either hand is cut with any train.
    pub left_hand: bool,
    /// Without such a lever: the pairs in mesh that make a right-hand thread.
    pub right_hand_meshes: Option<Meshes>,
    /// Whether half-nuts let the lead screw go.
    pub half_nuts: bool,
    /// Play of the carriage along the bed with the half-nuts closed.
    pub backlash: Option<Length>,
    /// Whether a stop on the cross-slide brings the tool back to its depth.
    pub threading_stop: bool,
    /// Threading dial.
    pub thread_dial: Option<ThreadDial>,
    /// Teeth of the other gears that fit the threading dial.
    pub dial_gears: Vec<u32>,
    /// Cross-slide dial.
    pub cross_dial: Option<Dial>,
    /// Compound slide dial (always travel along the compound).
    pub compound_dial: Option<Length>,
    /// Digital readout of the cross-slide.
    pub readout: Option<Dial>,
    /// Timed at this lathe: seconds from seeing the mark to the tool standing. Goes before `reaction`.
    pub reaction_s: Option<f64>,
    /// The person's reaction as tried on the page.
    pub reaction: Option<Reaction>,
    /// Time the spindle takes to stop after the switch, seconds; none where half-nuts are opened.
    pub coast_s: Option<f64>,
    /// Time it takes with the brake, seconds.
    pub brake_s: Option<f64>,
}

impl Lathe {
    /// A lathe of which no more is said than its lead screw and its change gears.
    pub fn plain(lead_screw: flankwise_thread::Pitch, gears: Vec<u32>) -> Self {
        Self {
            name: "Lathe".to_owned(),
            lead_screw,
            stud_ratio: (1, 1),
            gears,
            mounted: Vec::new(),
            gearbox: Vec::new(),
            most_gears: 4,
            banjo: None,
            speeds_rpm: Vec::new(),
            reverses: true,
            chuck: None,
            left_hand: true,
            right_hand_meshes: None,
            half_nuts: true,
            backlash: None,
            threading_stop: false,
            thread_dial: None,
            dial_gears: Vec::new(),
            cross_dial: None,
            compound_dial: None,
            readout: None,
            reaction_s: None,
            reaction: None,
            coast_s: None,
            brake_s: None,
        }
    }
}

/// Infeed style.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Infeed {
    /// Straight in.
    #[default]
    Radial,
    /// Along one flank, by the swung compound.
    Flank,
    /// A few degrees off the flank.
    ModifiedFlank,
    /// Along one flank and the other in turn, the tool shifted by the compound.
    Alternating,
}

/// What is alike in the passes that take the depth.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Share {
    /// Area of chip.
    #[default]
    Area,
    /// Cutting force.
    Force,
    /// Spring of the bar: the force that pushes it out of the groove.
    Deflection,
}

/// How to cut: `[cutting]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cutting {
    /// Infeed style.
    pub infeed: Infeed,
    /// What is alike in the passes.
    pub share: Share,
    /// Tip width of a narrower tool that takes the bulk first.
    pub rough_tip: Option<Length>,
    /// Depth of the first pass.
    pub first: Option<Length>,
    /// Smallest depth of a cutting pass.
    pub least: Option<Length>,
    /// Force on the tool not to be exceeded.
    pub force: Option<Force>,
    /// Spring passes.
    pub spring: Option<u32>,
    /// Room beyond the thread for the tool to stop in, if not the relief groove.
    pub room: Option<Length>,
    /// Surface speed wanted, m/min.
    pub surface_m_per_min: Option<f64>,
}

/// A pass that was taken at the lathe: `[[done]]`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Done {
    /// Radial depth that was set, from touch-on.
    pub depth: Length,
    /// Shift along the axis that widens the groove; positive away from the chuck. What a leaning infeed shifts by
    /// itself is not in it.
    pub side: Length,
    /// Tip width of the tool that cut it, where it was not the tool of now.
    pub tip: Option<Length>,
    /// The start that it cut, from 1: each is cut to its full depth before the next.
    pub start: u32,
}

/// Gauges on hand: `[gauges]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gauges {
    /// Wire diameters.
    pub wires: Vec<Length>,
    /// Ball diameters (for internal threads).
    pub balls: Vec<Length>,
    /// Pin diameters.
    pub pins: Vec<Length>,
    /// Instruments at hand, for the next measurement's sake; empty: the usual calliper, rule and leaf gauges.
    pub instruments: Vec<Instrument>,
}

/// A reading of the part that was made: `[[made]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct MadeReading {
    /// What.
    pub feature: MadeFeature,
    /// Value.
    pub value: Length,
    /// Wire or ball used.
    pub wire: Option<Length>,
    /// With what.
    pub instrument: Instrument,
    /// Pitches that the value spans, for [`MadeFeature::Pitch`].
    pub count: Option<u32>,
    /// Passes that were done when it was read; none for the finished part.
    pub after: Option<u32>,
    /// The start that those passes cut, from 1.
    pub start: u32,
    /// Standard uncertainty.
    pub uncertainty: Option<Length>,
}

/// What is read on the part that was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MadeFeature {
    /// Bore of the nut, or minor diameter of the screw.
    MinorDiameter,
    /// Outside of the screw, or root of the nut.
    MajorDiameter,
    /// Over wires (screw), or the distance between balls or pins (nut).
    OverWires,
    /// Axial play felt or shown by an indicator with the mate in.
    Play,
    /// Outside of the body.
    BodyDiameter,
    /// Bore of the nut once its body is pressed in.
    BoreInPlace,
    /// Axial play with the mate in, once the body is pressed in.
    PlayInPlace,
    /// Axial distance over so many pitches of the thread.
    Pitch,
    /// Axial width of a groove with upright flanks.
    GrooveWidth,
}

impl MadeFeature {
    /// A play, which may be nothing; every other feature is a size.
    pub const fn is_play(self) -> bool {
        matches!(self, Self::Play | Self::PlayInPlace)
    }
}

/// A cast of the finished internal thread, as it measures: `[[cast]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct ThreadCast {
    /// What it was cast with.
    pub material: CastMaterial,
    /// Its change of size, % of the mould's, where a cast of a known thread has told it; negative shrinks.
    pub change: Option<f64>,
    /// With what it was measured.
    pub instrument: Instrument,
    /// Axial thickness of the ridge.
    pub ridge: Option<Length>,
    /// Height above the ridge's foot at which that was read; half the ridge where it is not given.
    pub at: Option<Length>,
    /// Height of the ridge.
    pub height: Option<Length>,
    /// Distance over so many pitches.
    pub pitches: Option<Length>,
    /// How many.
    pub count: Option<u32>,
    /// Angle between the flanks.
    pub angle: Option<Angle>,
    /// Standard uncertainty of its lengths.
    pub uncertainty: Option<Length>,
}

/// What a thread is cast with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CastMaterial {
    /// Addition-curing silicone.
    Silicone,
    /// Hard gypsum.
    Gypsum,
    /// Bismuth alloy that melts below 100 °C.
    BismuthAlloy,
    /// Sulphur with graphite.
    Sulphur,
}
