//! Reads a job's text.

use super::node::{Node, Pass, Tried, Written};
use super::schema::{self, Kind};
use super::{
    Banjo, Bar, BarKind, BarMaterial, BarPart, BarShape, Bit, Body, BodyStep, BoxSetting, CastMaterial,
    Choice, Context, Cutting, Dial, DialReads, Done, Feature, Gauges, Grind, Hole, HoleKind, Instrument, Job,
    Keyway, Lathe, Leaf, MadeFeature, MadeReading, Make, Mill, Observed, Offer, OfferKind, OwnWay, People,
    Quantity, Rates, Reaction, Reading, Run, Terms, ThreadCast, ThreadDial, Trial, WayKind, Words,
};
use flankwise_thread::{Angle, Length, Pitch, Thread, Unit};
use std::fmt;
use toml_edit::Document;

/// Something wrong in a text: which field, what was read, what is accepted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Field as a path: `reading[2].value`. Tables of an array count from 1. Empty where the text as a whole is
    /// at fault.
    pub field: String,
    /// Line in the text, from 1.
    pub line: usize,
    /// What was read; empty for a field that is missing.
    pub read: String,
    /// What would be accepted, with the nearest name where one is near.
    pub accepted: String,
}

impl fmt::Display for Problem {
    /// ``line 14, reading[2].value: read `16 m`; accepted: a length such as …``
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}", self.line)?;
        if !self.field.is_empty() {
            write!(f, ", {}", self.field)?;
        }
        write!(f, ": {}", self.words())
    }
}

impl Problem {
    /// What is wrong, without the place: ``read `16 m`; accepted: a length such as …``
    pub fn words(&self) -> String {
        if self.read.is_empty() {
            format!("missing; accepted: {}", self.accepted)
        } else {
            format!("read `{}`; accepted: {}", shorten(&self.read), self.accepted)
        }
    }
}

impl std::error::Error for Problem {}

/// One line of at most 80 characters.
fn shorten(text: &str) -> String {
    let line: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(81).collect();
    match line.char_indices().nth(80) {
        Some((at, _)) => format!("{}…", &line[..at]),
        None => line,
    }
}

/// Largest text that is read. A job with a thousand readings is a tenth of this.
pub const MOST_BYTES: usize = 1 << 20;

/// Reads a job.
///
/// # Errors
/// All problems at once, in the order of the text: unknown fields, values that can't be read or are out of
/// scale, values that contradict each other. A text that is no TOML, or longer than [`MOST_BYTES`], gives one.
pub fn read(text: &str) -> Result<Job, Vec<Problem>> {
    let document = parse(text)?;
    if document.as_table().is_empty() {
        return Err(vec![Problem {
            field: "job".to_owned(),
            line: 1,
            read: String::new(),
            accepted: "at least a name for the job: job = \"Feed screw nut\"".to_owned(),
        }]);
    }
    let pass = Pass::new(text);
    let job = job(&Node::root(&pass, document.as_table(), root_table()).checked(&[]));
    finish(job, pass)
}

/// Reads a lathe: a file of its own with the fields of `[lathe]` at the top, or within `[lathe]`; a whole job
/// serves too. `unit` at the top is the unit of bare numbers.
///
/// # Errors
/// As [`read`].
pub fn read_lathe(text: &str) -> Result<Lathe, Vec<Problem>> {
    let document = parse(text)?;
    let table = document.as_table();
    let pass = Pass::new(text);
    let root = Node::root(&pass, table, root_table());
    pass.unit.set(root.get("unit").unwrap_or(Unit::Mm));
    let lathe = if root.has("lathe") {
        root.checked(&[]).child("lathe").and_then(|n| lathe(&n))
    } else if root.has("make") {
        pass.problem(Problem {
            field: "lathe".to_owned(),
            line: 1,
            read: "a job without a lathe".to_owned(),
            accepted: "a lathe by itself, or a job that holds one in [lathe]".to_owned(),
        });
        None
    } else {
        lathe(&Node::root(&pass, table, lathe_table()).checked(&["unit", "invented"]))
    };
    finish(lathe, pass)
}

fn root_table() -> &'static schema::TableInfo {
    &schema::TABLES[0]
}

fn lathe_table() -> &'static schema::TableInfo {
    schema::table("lathe").unwrap_or(root_table())
}

fn finish<T>(value: Option<T>, pass: Pass<'_>) -> Result<T, Vec<Problem>> {
    match (value, pass.problems()) {
        (Some(value), problems) if problems.is_empty() => Ok(value),
        (_, problems) => Err(problems),
    }
}

/// TOML, or what is wrong with it.
fn parse(text: &str) -> Result<Document<String>, Vec<Problem>> {
    if text.len() > MOST_BYTES {
        return Err(vec![Problem {
            field: String::new(),
            line: 1,
            read: format!("a text of {} bytes", text.len()),
            accepted: format!("a job of at most {MOST_BYTES} bytes (1 MiB)"),
        }]);
    }
    Document::parse(text.to_owned()).map_err(|error| {
        let at = error.span().map_or(0, |s| s.start).min(text.len());
        let line = Pass::new(text).line(at);
        let read = text.lines().nth(line - 1).unwrap_or("").trim().to_owned();
        let field = read.split_once('=').map_or("", |(key, _)| key.trim()).to_owned();
        let accepted = quotes_missing(&read).unwrap_or_else(|| {
            let message = error.message().lines().collect::<Vec<_>>().join(", ");
            format!("TOML; here: {message}")
        });
        vec![Problem {
            field,
            line,
            read: if read.is_empty() { "an empty line".into() } else { read },
            accepted,
        }]
    })
}

/// The commonest slip: a value with a unit, or words, without quotes.
fn quotes_missing(line: &str) -> Option<String> {
    let (key, value) = line.split_once('=')?;
    let value = value.split('#').next()?.trim();
    let bare =
        value.starts_with(|c: char| c.is_alphanumeric() || c == '.' || c == '-') && !value.contains('"');
    let is_value = value.parse::<toml_edit::Value>().is_ok();
    (bare && !is_value).then(|| format!("quotes around the value: {} = \"{value}\"", key.trim()))
}

fn job(root: &Node<'_>) -> Option<Job> {
    root.pass.unit.set(root.get("unit").unwrap_or(Unit::Mm));
    let name: Option<String> = root.need("job");
    let readings = readings(root);
    let make = make(root);
    let job = Job {
        job: name.unwrap_or_default(),
        unit: root.pass.unit.get(),
        story: words(root, "story"),
        context: root.child("context").map(|n| context(&n)).unwrap_or_default(),
        people: root.child("people").map(|n| people(&n)).unwrap_or_default(),
        invented: root.get("invented").unwrap_or(false),
        observed: root.child("observed").map(|n| observed(&n)).unwrap_or_default(),
        readings,
        leaves: all(root, "leaf", leaf),
        trials: all(root, "trial", trial),
        chosen: root.child("identity").and_then(|n| n.get::<Thread>("thread")),
        make,
        offers: all(root, "offer", offer),
        rates: root.child("rates").map(|n| rates(&n)).unwrap_or_default(),
        mill: root.child("mill").and_then(|n| mill(&n)),
        own_ways: own_ways(root),
        choice: root.child("choice").map(|n| choice(&n)).unwrap_or_default(),
        quotation: root.child("quotation").map(|n| terms(&n)).unwrap_or_default(),
        bars: all(root, "bar", bar),
        bits: all(root, "bit", bit),
        grind: root.child("grind").map(|n| grind(&n)).unwrap_or_default(),
        lathe: root.child("lathe").and_then(|n| lathe(&n)),
        cutting: root.child("cutting").map(|n| cutting(&n)).unwrap_or_default(),
        done: all(root, "done", done),
        gauges: root.child("gauges").map(|n| gauges(&n)).unwrap_or_default(),
        made: all(root, "made", made),
        casts: all(root, "cast", cast),
    };
    Some(job)
}

/// Every table of an array; those with problems are left out, and noted.
fn all<T>(node: &Node<'_>, name: &str, one: fn(&Node<'_>) -> Option<T>) -> Vec<T> {
    node.children(name).iter().filter_map(one).collect()
}

/// Words; none where they are blank.
fn words(node: &Node<'_>, name: &str) -> Option<String> {
    node.get::<String>(name).filter(|t| !t.is_empty())
}

fn context(node: &Node<'_>) -> Context {
    let country = words(node, "country").map(|c| c.to_uppercase()).and_then(|c| {
        // `UK` is reserved in ISO 3166-1 for the country whose code is GB.
        let code = if c == "UK" { "GB".to_owned() } else { c };
        let two_letters = code.len() == 2 && code.bytes().all(|b| b.is_ascii_uppercase());
        if !two_letters {
            node.refuse("country", "two letters (ISO 3166-1) such as GB, DE or US");
        }
        two_letters.then_some(code)
    });
    Context { machine: words(node, "machine"), made: node.get("made"), country }
}

fn people(node: &Node<'_>) -> People {
    People { customer: words(node, "customer"), maker: words(node, "maker"), date: words(node, "date") }
}

fn observed(node: &Node<'_>) -> Observed {
    Observed {
        hand: node.get("hand"),
        starts: node.get("starts"),
        form: node.get("form"),
        taper: node.get("taper"),
        condition: node.get("condition"),
    }
}

/// The kind of a reading's value, from what is read.
fn kind_of(feature: Feature) -> Kind {
    let range = schema::scale(feature);
    match feature {
        Feature::FlankAngle | Feature::IncludedAngle => Kind::Angle(range),
        Feature::Pitch | Feature::Lead => Kind::Pitch(range),
        _ => Kind::Length(range),
    }
}

/// The kind of its uncertainty: same dimension, and small; with an example.
fn kind_of_uncertainty(feature: Feature) -> (Kind, &'static str) {
    match kind_of(feature) {
        Kind::Angle(_) => (Kind::Angle(schema::Range::up_to(20.0)), "0.5 deg"),
        _ => (Kind::Length(schema::Range::up_to(20.0)), "0.02 mm"),
    }
}

fn quantity(node: &Node<'_>, name: &str, kind: Kind, example: &'static str) -> Option<Quantity> {
    match kind {
        Kind::Angle(_) => node.get_as(name, &kind, example).map(Quantity::Angle),
        _ => node.get_as(name, &kind, example).map(|Written(length, unit)| Quantity::Length(length, unit)),
    }
}

fn reading(node: &Node<'_>) -> Option<Reading> {
    let part = node.need("part");
    let feature: Option<Feature> = node.need("feature");
    let count: Option<u32> = node.get("count");
    let wire = node.get("wire");
    let instrument = node.get("instrument");
    let place = node.get("place");
    let side = node.get("side");
    node.require("value");
    let feature = feature?;
    // A count stretches what the value may be: it is a span of many pitches.
    let (kind, example) = match (kind_of(feature), count) {
        (Kind::Pitch(_), Some(_)) => (Kind::Length(schema::Range::up_to(3000.0)), "60.1 mm"),
        (kind, _) => (kind, schema::example(feature)),
    };
    let value = quantity(node, "value", kind, example);
    let (small, small_example) = kind_of_uncertainty(feature);
    let uncertainty = quantity(node, "uncertainty", small, small_example);
    if count.is_some() && feature != Feature::Pitch {
        node.refuse("count", "count only with feature = \"pitch\"");
    }
    if node.has("side") && !matches!(feature, Feature::FlankAngle | Feature::FlankWear) {
        node.refuse("side", "side only with feature = \"flank angle\" or \"flank wear\"");
    }
    if feature == Feature::FlankWear {
        node.require("side");
    }
    if node.has("wire") && feature != Feature::OverWires {
        node.refuse("wire", "wire only with feature = \"over wires\"");
    }
    if feature == Feature::OverWires {
        node.require("wire");
    }
    let value = value?;
    if let (Quantity::Length(over, _), Some(wire)) = (value, wire)
        && feature == Feature::OverWires
        && over <= 2.0 * wire
    {
        node.refuse("value", "a value over the wires, more than two wire diameters");
    }
    if let (Quantity::Length(span, _), Some(count)) = (value, count)
        && !schema::scale(Feature::Pitch).holds(span.to_mm() / f64::from(count))
    {
        node.refuse("value", format!("a span of {count} pitches of at most 100 mm each"));
    }
    Some(Reading {
        part: part?,
        feature,
        value,
        typed: node.typed("value").unwrap_or_default(),
        count,
        wire,
        instrument: instrument.unwrap_or(Instrument::Other),
        place,
        side,
        mean_of: node.get("mean_of"),
        uncertainty,
    })
}

/// The readings, and what one says against another.
fn readings(root: &Node<'_>) -> Vec<Reading> {
    let read: Vec<(Node<'_>, Reading)> =
        root.children("reading").into_iter().filter_map(|n| reading(&n).map(|r| (n, r))).collect();
    let largest = read
        .iter()
        .filter(|(_, r)| r.feature == Feature::MajorDiameter)
        .filter_map(|(n, r)| Some((length_of(r.value)?, n, r)))
        .max_by(|a, b| a.0.to_mm().total_cmp(&b.0.to_mm()));
    if let Some((diameter, major, read_so)) = largest {
        for (node, r) in &read {
            let Some(span) = length_of(r.value).filter(|_| r.feature == Feature::Pitch) else { continue };
            let no_thread = span / f64::from(r.count.unwrap_or(1)) >= diameter;
            // Where the other unit mends it, the evidence asks which was meant.
            if no_thread && super::in_the_wrong_unit(read_so, r).is_none() {
                let count = if r.count.is_none() {
                    "; over several pitches, count says how many"
                } else {
                    "; count is the number of pitches in the span"
                };
                let major_typed = major.typed("value").unwrap_or_default();
                let than = format!("a pitch smaller than the major diameter {major_typed}");
                node.refuse("value", format!("{than} ({}){count}", major.path_of("value")));
            }
        }
    }
    read.into_iter().map(|(_, r)| r).collect()
}

fn length_of(value: Quantity) -> Option<Length> {
    match value {
        Quantity::Length(l, _) => Some(l),
        Quantity::Angle(_) => None,
    }
}

fn leaf(node: &Node<'_>) -> Option<Leaf> {
    let (pitch, angle, verdict) = (node.need("pitch"), node.get("angle"), node.need("verdict"));
    Some(Leaf { pitch: pitch?, angle, verdict: verdict? })
}

fn trial(node: &Node<'_>) -> Option<Trial> {
    let (with, verdict) = (node.need::<Tried>("with"), node.need("verdict"));
    let Tried(with, element) = with?;
    Some(Trial { with, element, typed: node.typed("with").unwrap_or_default(), verdict: verdict? })
}

fn make(root: &Node<'_>) -> Make {
    let Some(node) = root.child("make") else { return Make::default() };
    let standard = Make::default();
    let body = node.child("body").map(|n| body(&n)).unwrap_or_default();
    Make {
        part: node.get("part").unwrap_or(standard.part),
        class: words(&node, "class"),
        play: node.get("play"),
        play_most: node.get("play_most"),
        length: node.get("length"),
        through: node.get("through").unwrap_or(standard.through),
        relief: node.get("relief"),
        material: words(&node, "material"),
        mate_material: words(&node, "mate_material"),
        load: node.get("load"),
        duty: node.get("duty").unwrap_or_default(),
        nut: node.get("nut").unwrap_or_default(),
        mate_length: node.get("mate_length"),
        mate_new: node.get("mate_new").unwrap_or(standard.mate_new),
        pieces: node.get("pieces").unwrap_or(standard.pieces),
        body: Body {
            holes: all(&node, "hole", hole),
            keyways: all(&node, "keyway", keyway),
            steps: all(&node, "step", body_step),
            ..body
        },
        run: node.child("run").map(|n| run(&n)).unwrap_or_default(),
    }
}

fn run(node: &Node<'_>) -> Run {
    Run {
        speed_rpm: node.get("speed_rpm"),
        turns_per_day: node.get("turns_per_day"),
        lubricant: node.get("lubricant").unwrap_or_default(),
        collar: node.get("collar"),
        supported: node.get("supported"),
        ends: node.get("ends"),
        pulls: node.get("pulls").unwrap_or_default(),
        nut_length: node.get("nut_length"),
    }
}

fn keyway(node: &Node<'_>) -> Option<Keyway> {
    let (standard, width) = (node.get("standard"), node.get("width"));
    let keyway = Keyway {
        standard,
        width,
        depth: node.get("depth"),
        from_end: node.get("from_end"),
        length: node.get("length"),
        angle: node.get("angle").unwrap_or(Angle::ZERO),
    };
    if !node.has("standard") && !node.has("width") {
        node.refuse("width", "the keyway's width, or the standard of its key, which gives it");
        return None;
    }
    Some(keyway)
}

fn body_step(node: &Node<'_>) -> Option<BodyStep> {
    let (from_end, length, diameter) = (node.need("from_end"), node.need("length"), node.need("diameter"));
    let (fit, ends) = (node.get("fit"), words(node, "ends"));
    Some(BodyStep { from_end: from_end?, length: length?, diameter: diameter?, fit, ends })
}

fn body(node: &Node<'_>) -> Body {
    Body {
        outside: node.get("outside"),
        housing: node.get("housing"),
        fit: node.get("fit"),
        housing_outside: node.get("housing_outside"),
        housing_material: words(node, "housing_material"),
        length: node.get("length"),
        flange: node.get("flange"),
        flange_thickness: node.get("flange_thickness"),
        flange_from: node.get("flange_from"),
        flats: node.get("flats"),
        holes: Vec::new(),
        keyways: Vec::new(),
        steps: Vec::new(),
    }
}

fn hole(node: &Node<'_>) -> Option<Hole> {
    let (kind, diameter): (Option<HoleKind>, Option<Length>) = (node.need("kind"), node.need("diameter"));
    let (from_end, depth) = (node.need("from_end"), node.get("depth"));
    let (thread, count, angle) = (node.get("thread"), node.get("count"), node.get("angle"));
    if count.is_some_and(|n: u32| n > 1) && kind.is_some_and(|k| k != HoleKind::Flange) {
        node.refuse("count", "more than 1 only with kind = \"flange\"");
    }
    Some(Hole {
        kind: kind?,
        diameter: diameter?,
        from_end: from_end?,
        depth,
        thread,
        count: count.unwrap_or(1),
        angle,
    })
}

fn offer(node: &Node<'_>) -> Option<Offer> {
    let kind: Option<OfferKind> = node.need("kind");
    let (thread, on_hand) = (node.get("thread"), node.get("on_hand").unwrap_or(false));
    let (price, days, note) = (node.get("price"), node.get("days"), words(node, "note"));
    let pieces = node.get("pieces").unwrap_or(1);
    Some(Offer { kind: kind?, thread, on_hand, price, pieces, days, note })
}

fn rates(node: &Node<'_>) -> Rates {
    Rates { currency: words(node, "currency"), hour: node.get("hour"), kilogram: node.get("kilogram") }
}

fn mill(node: &Node<'_>) -> Option<Mill> {
    let cutter: Option<Length> = node.need("cutter");
    let neck: Option<Length> = node.get("neck");
    if let (Some(cutter), Some(neck)) = (cutter, neck)
        && neck >= cutter
    {
        node.refuse("neck", "a neck thinner than the cutter");
    }
    Some(Mill {
        name: words(node, "name").unwrap_or_else(|| "Milling machine".to_owned()),
        cutter: cutter?,
        neck,
        reach: node.get("reach"),
        teeth: node.get("teeth").unwrap_or(1),
        rpm: node.get("rpm"),
        rotary: node.get("rotary").unwrap_or(false),
        set_over: node.get("set_over").unwrap_or(false),
    })
}

/// A figure typed in per cent, as a share.
fn percent(node: &Node<'_>, name: &str) -> Option<f64> {
    node.get::<f64>(name).map(|p| p / 100.0)
}

fn own_ways(root: &Node<'_>) -> Vec<OwnWay> {
    let mut own: Vec<OwnWay> = Vec::new();
    for node in root.children("way") {
        let way: Option<WayKind> = node.need("way");
        let (hours, price, note) = (node.get("hours"), node.get("price"), words(&node, "note"));
        let (outlay, days, chance) = (node.get("outlay"), node.get("days"), percent(&node, "chance"));
        let Some(way) = way else { continue };
        if own.iter().any(|o| o.way == way) {
            node.refuse("way", format!("each way once; {} stands above already", way.word()));
            continue;
        }
        own.push(OwnWay { way, hours, outlay, price, days, chance, note });
    }
    own
}

fn choice(node: &Node<'_>) -> Choice {
    Choice {
        way: node.get("way"),
        because: words(node, "because"),
        steps_done: node.get("steps_done").unwrap_or(0),
        steps_of: node.get("steps_of"),
    }
}

fn terms(node: &Node<'_>) -> Terms {
    Terms {
        number: words(node, "number"),
        valid: words(node, "valid"),
        taxes: words(node, "taxes"),
        terms: words(node, "terms"),
        round_to: node.get("round_to"),
        added: percent(node, "added"),
    }
}

fn bar(node: &Node<'_>) -> Option<Bar> {
    let shape = node.get("shape").unwrap_or(BarShape::Round);
    let material = node.get("material").unwrap_or(BarMaterial::Steel);
    let (size, length): (Option<Length>, Option<Length>) = (node.need("size"), node.get("length"));
    let flat: Option<Length> = node.get("flat");
    let (kind, tapers) = (node.get("kind").unwrap_or_default(), node.get("tapers").unwrap_or(false));
    let front = front(node, size, length);
    if kind == BarKind::Hardened && material != BarMaterial::Steel {
        node.refuse(
            "kind",
            "hardened only with material steel: high-speed steel, carbide and heavy metal are ground as they come, in one piece",
        );
    }
    if shape == BarShape::Flatted {
        node.require("flat");
    }
    let size = size?;
    if flat.is_some_and(|f| f < size * 0.5 || f >= size) {
        node.refuse("flat", "a thickness from half the bar's size up to less than its size");
    }
    let flat = flat.filter(|_| shape == BarShape::Flatted);
    Some(Bar { shape, size, flat, length, material, kind, front, tapers })
}

/// The thinner parts at the front of a bar.
fn front(node: &Node<'_>, size: Option<Length>, length: Option<Length>) -> Vec<BarPart> {
    let lengths: Vec<Length> = node.list("front_lengths");
    let sizes: Vec<Length> = node.list("front_sizes");
    if lengths.len() != sizes.len() {
        let name = if lengths.len() < sizes.len() { "front_lengths" } else { "front_sizes" };
        node.refuse(name, "as many lengths as sizes, from the edge back");
    }
    let whole = lengths.iter().fold(Length::ZERO, |sum, l| sum + *l);
    if length.is_some_and(|length| whole >= length) {
        node.refuse("front_lengths", "parts that together are shorter than the bar");
    }
    if size.is_some_and(|size| sizes.iter().any(|s| *s > size)) {
        node.refuse("front_sizes", "sizes not above that of the bar where it is held");
    }
    lengths.into_iter().zip(sizes).map(|(length, size)| BarPart { length, size }).collect()
}

fn bit(node: &Node<'_>) -> Option<Bit> {
    let (angle, tip_width) = (node.need("angle"), node.need("tip_width"));
    let (angle, chuck_flank): (Angle, Option<Angle>) = (angle?, node.get("chuck_flank"));
    if chuck_flank.is_some_and(|flank| flank > angle) {
        node.refuse("chuck_flank", "an angle not above the included one");
    }
    Some(Bit { name: words(node, "name"), angle, chuck_flank, tip_width: tip_width? })
}

fn grind(node: &Node<'_>) -> Grind {
    Grind {
        clearance: node.get("clearance"),
        front_clearance: node.get("front_clearance"),
        rake: node.get::<Angle>("rake"),
        height: node.get("height"),
        cant: node.get("cant"),
        tilt: node.get("tilt"),
        tip_width: node.get("tip_width"),
        depth: node.get("depth"),
        stick_out: node.get("stick_out"),
        carbide_tip: node.get("carbide_tip").unwrap_or(false),
    }
}

fn lathe(node: &Node<'_>) -> Option<Lathe> {
    let lead_screw: Option<Pitch> = node.need("lead_screw");
    let most_gears = node.get("most_gears").unwrap_or(4);
    if most_gears % 2 == 1 {
        node.refuse("most_gears", "2, 4 or 6");
    }
    let (gears, gearbox) = (node.list("gears"), all(node, "gearbox", box_setting));
    if !node.has("gears") && !node.has("gearbox") {
        node.refuse(
            "gears",
            "the change gears by their teeth, such as [20, 40, 60] ([] where there are none), or a [[lathe.gearbox]]",
        );
    }
    let names = || gearbox.iter().map(|s: &BoxSetting| s.name.trim());
    if let Some(twice) = names().find(|name| names().filter(|n| n == name).count() > 1) {
        node.refuse(
            "gearbox",
            format!("settings each with a name of its own; `{twice}` stands more than once"),
        );
    }
    let (thread_dial, dial_gears) = node.child("thread_dial").map(|n| dial_and_gears(&n)).unwrap_or_default();
    let (coast, brake): (Option<f64>, Option<f64>) = (node.get("coast_s"), node.get("brake_s"));
    if coast.zip(brake).is_some_and(|(coast, brake)| brake > coast) {
        node.refuse(
            "brake_s",
            "a time not above coast_s: the brake stops the spindle sooner than it stops by itself",
        );
    }
    let mut speeds_rpm: Vec<f64> = node.list("speeds");
    speeds_rpm.sort_by(f64::total_cmp);
    // Without a lead screw the rest is read all the same, so that everything wrong is told at once.
    let plain = Lathe::plain(lead_screw.unwrap_or(Pitch::mm(1.0)), gears);
    let yes = |name: &str, standard: bool| node.get(name).unwrap_or(standard);
    let lathe = Lathe {
        name: words(node, "name").unwrap_or(plain.name),
        stud_ratio: node.get("stud_ratio").unwrap_or(plain.stud_ratio),
        mounted: mounted(node, &plain.gears),
        gearbox,
        most_gears,
        banjo: node.child("banjo").and_then(|n| banjo(&n)),
        speeds_rpm,
        reverses: yes("reverses", plain.reverses),
        chuck: node.get("chuck"),
        left_hand: yes("left_hand", plain.left_hand),
        right_hand_meshes: node.get("right_hand_meshes"),
        half_nuts: yes("half_nuts", plain.half_nuts),
        backlash: node.get("backlash"),
        threading_stop: yes("threading_stop", plain.threading_stop),
        thread_dial,
        dial_gears,
        cross_dial: node.child("cross_dial").and_then(|n| cross_dial(&n)),
        compound_dial: node.get("compound_dial"),
        readout: node.child("readout").and_then(|n| dial(&n)),
        reaction_s: node.get("reaction_s"),
        reaction: node.child("reaction").and_then(|n| reaction(&n)),
        coast_s: coast,
        brake_s: brake,
        ..plain
    };
    lead_screw.map(|_| lathe)
}

/// The gears that are on the lathe: some of those on hand.
fn mounted(node: &Node<'_>, gears: &[u32]) -> Vec<u32> {
    let mounted: Vec<u32> = node.list("mounted");
    let mut left = gears.to_vec();
    for z in &mounted {
        match left.iter().position(|g| g == z) {
            Some(at) => {
                left.swap_remove(at);
            }
            None => {
                node.refuse(
                    "mounted",
                    format!("gears of those on hand (gears); {z} is not, or not so often"),
                );
                return Vec::new();
            }
        }
    }
    mounted
}

fn box_setting(node: &Node<'_>) -> Option<BoxSetting> {
    let (name, ratio) = (node.need("name"), node.need("ratio"));
    Some(BoxSetting { name: name?, ratio: ratio? })
}

fn banjo(node: &Node<'_>) -> Option<Banjo> {
    let (module, stud) = (node.need("module"), node.need("stud"));
    let (least, most): (Option<Length>, Option<Length>) =
        (node.need("centres_min"), node.need("centres_max"));
    let largest_gear = node.get("largest_gear");
    let (slot_min, slot_max): (Option<Length>, Option<Length>) = (node.get("slot_min"), node.get("slot_max"));
    let pins = node.get("pins").unwrap_or(2);
    let (least, most) = (least?, most?);
    if most < least {
        node.refuse("centres_max", "a distance not below centres_min");
    }
    if slot_min.zip(slot_max).is_some_and(|(near, far)| far < near) {
        node.refuse("slot_max", "a distance not below slot_min");
    }
    let (slot_offset, slot_radius) = slot_shape(node, slot_min, slot_max);
    Some(Banjo {
        module: module?,
        centres_min: least,
        centres_max: most,
        slot_min,
        slot_max,
        slot_offset,
        slot_radius,
        pins,
        largest_gear,
        stud: stud?,
    })
}

/// Offset and radius of a banjo's slot, as far as its ends allow them.
fn slot_shape(node: &Node<'_>, near: Option<Length>, far: Option<Length>) -> (Length, Option<Length>) {
    let (offset, radius): (Option<Length>, Option<Length>) =
        (node.get("slot_offset"), node.get("slot_radius"));
    let beside = offset.unwrap_or(Length::ZERO);
    if let Some(end) = near.or(far).filter(|end| beside.abs() >= *end) {
        node.refuse("slot_offset", format!("less than the slot's nearest end is away, {} mm", end.to_mm()));
        return (Length::ZERO, radius);
    }
    if offset.is_some() && near.is_none() && far.is_none() {
        node.refuse("slot_offset", "an offset only with the slot's ends (slot_min, slot_max)");
    }
    let Some(bend) = radius else { return (beside, None) };
    let Some((near, far)) = near.zip(far) else {
        node.refuse("slot_radius", "a radius only with both ends of the slot (slot_min, slot_max)");
        return (beside, None);
    };
    let along = |end: Length| (end.to_mm().powi(2) - beside.to_mm().powi(2)).max(0.0).sqrt();
    let half = Length::mm(0.5 * (along(far) - along(near)));
    if bend.abs() < half {
        node.refuse(
            "slot_radius",
            format!("at least half the slot's length, {:.1} mm, either way", half.to_mm()),
        );
        return (beside, None);
    }
    (beside, Some(bend))
}

/// The dial with the gear that is on it, and the other gears that fit it.
fn dial_and_gears(node: &Node<'_>) -> (Option<ThreadDial>, Vec<u32>) {
    let (teeth, marks): (Option<u32>, Option<u32>) = (node.need("teeth"), node.need("marks"));
    (teeth.zip(marks).map(|(teeth, marks)| ThreadDial { teeth, marks }), node.list("others"))
}

fn dial(node: &Node<'_>) -> Option<Dial> {
    let (division, reads) = (node.need("division"), node.get("reads").unwrap_or_default());
    Some(Dial { division: division?, reads, backlash: None })
}

/// The cross-slide's dial. What one turn of it counts must be what its screw moves, or twice that.
fn cross_dial(node: &Node<'_>) -> Option<Dial> {
    let (per_turn, screw): (Option<u32>, Option<Length>) = (node.get("per_turn"), node.get("screw"));
    let backlash = node.get("backlash");
    let dial = dial(node)?;
    let counted = per_turn.zip(screw).map(|(n, screw)| dial.division * f64::from(n) / screw);
    let reads = counted.and_then(|c| reads_by_turn(node, c)).unwrap_or(dial.reads);
    Some(Dial { reads, backlash, ..dial })
}

/// What a dial reads by `counted`, what one turn of it counts as a multiple of its screw's lead: one is tool travel,
/// two is what comes off the diameter. Notes where neither fits, or where the text says otherwise.
fn reads_by_turn(node: &Node<'_>, counted: f64) -> Option<DialReads> {
    // Dials are divided in round numbers, screws are not always: 250 divisions of 0.001 in on a screw of 6.35 mm.
    const NEAR: f64 = 0.02;
    let says = match counted {
        c if (c - 1.0).abs() < NEAR => Some(DialReads::Radius),
        c if (c - 2.0).abs() < NEAR => Some(DialReads::Diameter),
        _ => None,
    };
    match says {
        None => node.refuse(
            "per_turn",
            format!(
                "divisions whose sum is the screw's lead, or twice that where the dial reads the diameter; here it is {counted:.3} times the lead"
            ),
        ),
        Some(reads) if node.get::<DialReads>("reads").is_some_and(|said| said != reads) => {
            let what = if reads == DialReads::Radius { "its screw's lead" } else { "twice its screw's lead" };
            node.refuse("reads", format!("{}, since one turn counts {what}", reads.word()));
        }
        Some(_) => {}
    }
    says
}

fn reaction(node: &Node<'_>) -> Option<Reaction> {
    let (median_s, slow_s): (Option<f64>, Option<f64>) = (node.need("median_s"), node.need("slow_s"));
    let (tries, hands_s) = (node.get("tries"), node.get("hands_s"));
    let (median_s, slow_s) = (median_s?, slow_s?);
    if slow_s < median_s {
        node.refuse("slow_s", "a time not below median_s");
    }
    Some(Reaction { median_s, slow_s, tries, hands_s })
}

/// Metres in a foot, exact (0.3048 m since 1959).
const M_PER_FT: f64 = 0.3048;

fn cutting(node: &Node<'_>) -> Cutting {
    let metric: Option<f64> = node.get("surface_m_per_min");
    let inch: Option<f64> = node.get("surface_ft_per_min");
    if metric.is_some() && inch.is_some() {
        node.refuse("surface_ft_per_min", "the surface speed once, in m/min or in ft/min");
    }
    Cutting {
        infeed: node.get("infeed").unwrap_or_default(),
        share: node.get("share").unwrap_or_default(),
        rough_tip: node.get("rough_tip"),
        first: node.get("first"),
        least: node.get("least"),
        force: node.get("force"),
        spring: node.get("spring"),
        room: node.get("room"),
        surface_m_per_min: metric.or(inch.map(|v| v * M_PER_FT)),
    }
}

fn done(node: &Node<'_>) -> Option<Done> {
    let depth = node.need("depth");
    let (side, tip) = (node.get("side"), node.get("tip"));
    let start = node.get("start").unwrap_or(1);
    Some(Done { depth: depth?, side: side.unwrap_or(Length::ZERO), tip, start })
}

fn gauges(node: &Node<'_>) -> Gauges {
    Gauges {
        wires: node.list("wires"),
        balls: node.list("balls"),
        pins: node.list("pins"),
        instruments: node.list("instruments"),
    }
}

fn made(node: &Node<'_>) -> Option<MadeReading> {
    let feature: Option<MadeFeature> = node.need("feature");
    let value: Option<Length> = node.need("value");
    let (wire, uncertainty) = (node.get("wire"), node.get("uncertainty"));
    let instrument = node.get("instrument").unwrap_or(Instrument::Other);
    if feature == Some(MadeFeature::OverWires) {
        node.require("wire");
    }
    let (count, after) = (node.get("count"), node.get("after"));
    let start = node.get("start").unwrap_or(1);
    if feature == Some(MadeFeature::Pitch) {
        node.require("count");
    } else if node.has("count") {
        node.refuse("count", "count only with feature = \"pitch\"");
    }
    if value == Some(Length::ZERO) && feature.is_some_and(|f| !f.is_play()) {
        node.refuse("value", "a value above 0; only play may be 0");
    }
    Some(MadeReading { feature: feature?, value: value?, wire, instrument, count, after, start, uncertainty })
}

fn cast(node: &Node<'_>) -> Option<ThreadCast> {
    let material: Option<CastMaterial> = node.need("material");
    let (ridge, height, pitches) = (node.get("ridge"), node.get("height"), node.get("pitches"));
    if pitches.is_some() {
        node.require("count");
    }
    let at: Option<Length> = node.get("at");
    if at.is_some() && ridge.is_none() {
        node.refuse("at", "a height only with the ridge's thickness there (ridge)");
    }
    Some(ThreadCast {
        material: material?,
        change: node.get("change"),
        instrument: node.get("instrument").unwrap_or(Instrument::Cast),
        ridge,
        at,
        height,
        pitches,
        count: node.get("count"),
        angle: node.get("angle"),
        uncertainty: node.get("uncertainty"),
    })
}
