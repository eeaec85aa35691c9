//! The person who measures: their instruments, habits and slips, and the job that they type.
//!
//! | what | rate or size | from |
//! | --- | --- | --- |
//! | calliper's own error | rectangular, 0.02 mm digital, 0.05 mm vernier | DIN 862, from a published extract |
//! | micrometer's own error | rectangular, 0.004 mm | DIN 863, from the same |
//! | setting on a thread by feel | 0.015 mm, tilt makes it larger | choice; what a beginner must hold is 0.076 mm (a training standard for calliper reading) |
//! | digit misread | 0.003 vernier, 0.001 digital | human error probabilities for reading a scale and a digital display, NUREG/CR-1278 table 20-10, from memory |
//! | two digits exchanged while writing | 0.002 | 0.001 for writing down four digits in the same handbook, doubled for dirty hands (choice) |
//! | inch reading typed as mm, or the other way round | 0.003 | choice |
//! | another diameter than named | 0.005; of a nut, its bore called the major diameter 0.04 | choice; the trap is in the public situations |
//! | pitches miscounted by one | 0.025, mostly one too many: crests were counted | choice |
//! | leaf's stamp misread for its neighbour's | 0.01 | choice |
//! | rounded to a tenth or a sixty-fourth | 0.08 | choice |

use super::dice::Dice;
use super::leaf::{Eye, Leaf, Set, Verdict, judge, lay};
use super::part::{Condition, Part};
use super::population::Use;
use flankwise_thread::family::Ridge;
use flankwise_thread::{Element, Unit, quantity};

/// A digital calliper, or a vernier one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Display {
    Digital,
    Vernier,
}

/// Someone with their tools.
#[derive(Clone, Debug)]
pub struct Person {
    /// Reads in inches.
    inch: bool,
    display: Display,
    /// Error of the calliper, zero included, mm.
    calliper_error: f64,
    micrometer_error: f64,
    wire_error: f64,
    eye: Eye,
    sets: Vec<Set>,
    /// Takes the first leaf that seats, and looks no further.
    hasty: bool,
    /// Writes down near misses too.
    thorough: bool,
    writes_angles: bool,
}

/// What a person can do at the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Step {
    /// Hand, starts, form, condition.
    Look,
    /// Outside diameter with the calliper: at the end, and on a feed screw in its middle too. Of a nut, the bore.
    Diameter,
    /// The same with a rule.
    DiameterByRule,
    /// The same with the micrometer at the end.
    DiameterByMicrometer,
    /// So many pitches with the calliper.
    Count,
    /// Leaves until one seats.
    Leaves,
    /// The leaves that are asked for.
    TheseLeaves,
    /// Over three wires with the micrometer at the end.
    Wires,
    /// Included angle.
    Angle,
    /// Width of the crest.
    Crest,
    /// Bore of the nut, where there is one.
    Bore,
    /// Only the hand; only the starts; only the form.
    Hand,
    Starts,
    Form,
    /// Where the machine is from.
    Country,
}

/// What has been written down.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    observed: Vec<(&'static str, String)>,
    tables: Vec<String>,
    /// Looks, readings and leaves taken.
    pub taken: usize,
    /// Country of the machine, where it is known.
    country: Option<&'static str>,
    /// Table of the tools on hand; the program takes calliper and rule for granted.
    tools: String,
}

impl Sheet {
    /// The job as the person types it.
    pub fn toml(&self) -> String {
        let mut text = String::from("job = \"simulated\"\nunit = \"mm\"\n");
        if let Some(country) = self.country {
            text += &format!("context = {{ country = \"{country}\" }}\n");
        }
        if !self.observed.is_empty() {
            text += "[observed]\n";
            for (key, value) in &self.observed {
                text += &format!("{key} = {value}\n");
            }
        }
        for table in &self.tables {
            text += table;
        }
        text + &self.tools
    }
    /// Says where the machine is from.
    pub fn says_country(&mut self, country: &'static str) {
        self.country = Some(country);
    }
    /// Says what is on hand.
    pub fn with_tools(instruments: &[&str]) -> Self {
        let wires = WIRES.map(|w| format!("\"{w} mm\"")).join(", ");
        let tools = format!("[gauges]\ninstruments = {instruments:?}\nwires = [{wires}]\n");
        Self { tools, ..Self::default() }
    }
    /// The readings in short, for the list of errors.
    pub fn short(&self) -> String {
        let quiet = |l: &&str| !l.starts_with("part") && !l.starts_with("instrument");
        let tables = self
            .tables
            .iter()
            .map(|t| t.lines().filter(quiet).map(|l| l.replace(" = ", "=")).collect::<Vec<_>>().join(" "));
        let seen = self.observed.iter().map(|(k, v)| format!("{k}={v}"));
        seen.chain(tables).collect::<Vec<_>>().join(" ").replace('"', "")
    }
    /// The words: form, taper and leaves; diameters, mm; pitch from a count, mm, and its count.
    pub fn features(&self) -> Features {
        let mut words = String::new();
        for (key, value) in self.observed.iter().filter(|(key, _)| matches!(*key, "form" | "taper")) {
            words += &format!("{key} {value};");
        }
        let mut features = Features { words, diameters: Vec::new(), pitch: None };
        for table in &self.tables {
            let of = |key: &str| table.lines().find_map(|l| l.strip_prefix(key)?.strip_prefix(" = "));
            let length = |text: Option<&str>| {
                let text = text.unwrap_or("").trim_matches('"');
                quantity::parse_length(text, Unit::Mm).map_or(f64::NAN, |(l, _)| l.to_mm())
            };
            match (of("feature"), of("count").and_then(|n| n.parse().ok())) {
                (None, _) => features.words += table,
                (Some(_), Some(count)) => {
                    features.pitch = Some((length(of("value")) / f64::from(count), count))
                }
                (Some(feature), None) => features.diameters.push((feature.to_owned(), length(of("value")))),
            }
        }
        features
    }
    fn observe(&mut self, key: &'static str, value: String) {
        self.taken += 1;
        self.observed.retain(|(k, _)| *k != key);
        self.observed.push((key, value));
    }
    fn reading(&mut self, part: &Part, feature: &str, value: &str, instrument: &str, more: &[String]) {
        let word = if part.element == Element::External { "screw" } else { "nut" };
        let mut table = format!(
            "[[reading]]\npart = \"{word}\"\nfeature = \"{feature}\"\nvalue = \"{value}\"\ninstrument = \"{instrument}\"\n"
        );
        for line in more {
            table += line;
            table.push('\n');
        }
        self.tables.push(table);
        self.taken += 1;
    }
    fn leaf(&mut self, leaf: Leaf, angle: bool, verdict: Verdict) {
        let angle = if angle { format!("angle = \"{} deg\"\n", leaf.set.angle_deg()) } else { String::new() };
        self.tables.push(format!(
            "[[leaf]]\npitch = \"{}\"\n{angle}verdict = \"{}\"\n",
            leaf.label(),
            verdict.word()
        ));
        self.taken += 1;
    }
}

/// What a sheet says, for comparison with other sheets.
#[derive(Clone, Debug)]
pub struct Features {
    pub words: String,
    pub diameters: Vec<(String, f64)>,
    pub pitch: Option<(f64, u32)>,
}

/// The set of wires, mm: steps of a sixth, as sets for all pitches have.
pub const WIRES: [f64; 24] = [
    0.17, 0.20, 0.23, 0.27, 0.32, 0.37, 0.44, 0.51, 0.60, 0.70, 0.82, 0.96, 1.12, 1.31, 1.53, 1.79, 2.10,
    2.45, 2.87, 3.36, 3.93, 4.60, 5.38, 6.29,
];

/// Settings by feel, mm.
const FEEL: f64 = 0.015;

impl Person {
    pub fn draw(dice: &mut Dice) -> Self {
        let display = if dice.chance(0.7) { Display::Digital } else { Display::Vernier };
        let limit = if display == Display::Digital { 0.02 } else { 0.05 };
        let zero = if dice.chance(0.05) { dice.normal(0.04) } else { 0.0 };
        let eye = Eye::draw(dice);
        let mut sets: Vec<Set> = Set::ALL.into_iter().filter(|s| dice.chance(s.owned())).collect();
        let inch = dice.chance(0.4);
        // Starts with the set of the system they think in.
        sets.sort_by_key(|s| s.metric() == inch);
        Self {
            inch,
            display,
            calliper_error: dice.between(-limit, limit) + zero,
            micrometer_error: dice.between(-0.004, 0.004),
            wire_error: dice.between(-0.002, 0.002),
            eye,
            sets,
            hasty: dice.chance(0.35),
            thorough: dice.chance(0.35),
            writes_angles: dice.chance(0.6),
        }
    }

    /// The same person with another calliper of the kind.
    pub fn with_another_calliper(&self, dice: &mut Dice) -> Self {
        let limit = if self.display == Display::Digital { 0.02 } else { 0.05 };
        Self { calliper_error: dice.between(-limit, limit), ..self.clone() }
    }

    /// Does a step and writes it down. False where it can't be done on these parts or with these tools.
    pub fn take(
        &self,
        step: Step,
        parts: &[Part],
        asked: &[String],
        sheet: &mut Sheet,
        dice: &mut Dice,
    ) -> bool {
        let part = &parts[0];
        match step {
            Step::Look => self.look(parts, sheet, dice),
            Step::Hand => hand(part, sheet, dice),
            Step::Starts => starts(part, sheet, dice),
            Step::Form => form(part, sheet, dice),
            Step::Country => return false,
            Step::Diameter => return self.diameters(parts, sheet, dice),
            Step::DiameterByRule => return self.by_rule(part, sheet, dice),
            Step::DiameterByMicrometer => return self.by_micrometer(part, sheet, dice),
            Step::Count => return self.count(part, sheet, dice),
            Step::Leaves => return self.leaves(part, sheet, dice),
            Step::TheseLeaves => return self.these_leaves(part, asked, sheet, dice),
            Step::Wires => return self.wires(part, sheet, dice),
            Step::Angle => return self.angle(part, sheet, dice),
            Step::Crest => return self.crest(part, sheet, dice),
            Step::Bore => {
                let Some(nut) = parts.iter().find(|p| p.element == Element::Internal) else { return false };
                self.bore(nut, "bore", sheet, dice);
            }
        }
        true
    }

    fn look(&self, parts: &[Part], sheet: &mut Sheet, dice: &mut Dice) {
        let part = &parts[0];
        // The program asks for each of these; some leave them all the same.
        if dice.chance(0.97) {
            hand(part, sheet, dice);
        }
        if dice.chance(0.90) {
            starts(part, sheet, dice);
        }
        if dice.chance(0.95) {
            form(part, sheet, dice);
        }
        if part.shape.taper > 0.0 && dice.chance(0.6) {
            sheet.observe("taper", "true".into());
        }
        // Condition as they see it: one step off now and then.
        let at = part.condition as usize;
        let seen = if dice.chance(0.12) {
            if dice.chance(0.5) { at.saturating_sub(1) } else { (at + 1).min(3) }
        } else {
            at
        };
        if dice.chance(0.95) {
            sheet.observe("condition", format!("\"{}\"", Condition::ALL[seen].word()));
        }
    }

    fn diameters(&self, parts: &[Part], sheet: &mut Sheet, dice: &mut Dice) -> bool {
        for part in parts {
            match part.element {
                Element::External => {
                    let end = end_of(part, dice);
                    self.outside(part, end, sheet, dice);
                    if part.purpose == Use::Feed && dice.chance(0.6) {
                        let middle = part.length * dice.between(0.4, 0.6);
                        self.outside(part, middle, sheet, dice);
                    }
                }
                Element::Internal => {
                    // The trap: the one diameter of a nut that can be read is called its size.
                    let named = if dice.chance(0.04) { "major diameter" } else { "bore" };
                    self.bore(part, named, sheet, dice);
                }
            }
        }
        true
    }

    fn outside(&self, part: &Part, place: f64, sheet: &mut Sheet, dice: &mut Dice) {
        let wrong = dice.chance(0.005);
        let size = if wrong { part.minor_at(place) + 0.15 * part.shape.p } else { part.major_at(place) };
        // A tilted calliper reads large.
        let tilt = (dice.normal(0.01)).abs();
        let read = size + self.calliper_error + dice.normal(FEEL) + tilt;
        let value = self.write_calliper(read, dice);
        let more = if dice.chance(0.8) { vec![format!("place = \"{place:.0} mm\"")] } else { vec![] };
        sheet.reading(part, "major diameter", &value, "calliper", &more);
    }

    fn bore(&self, part: &Part, named: &str, sheet: &mut Sheet, dice: &mut Dice) {
        let size = part.minor_at(part.length * 0.5);
        // Inside jaws have flats: on a small bore they read small.
        let flat: f64 = 0.3;
        let chord = size - (size * size - flat * flat).max(0.0).sqrt();
        let read = size - chord + self.calliper_error + dice.between(-0.02, 0.02) + dice.normal(0.03);
        let value = self.write_calliper(read, dice);
        sheet.reading(part, named, &value, "calliper", &[]);
    }

    fn by_rule(&self, part: &Part, sheet: &mut Sheet, dice: &mut Dice) -> bool {
        if part.element == Element::Internal {
            return false;
        }
        let read = part.major_at(end_of(part, dice)) + dice.normal(0.25);
        let value =
            if self.inch { fraction(read, 64.0) } else { format!("{:.1} mm", (read * 2.0).round() / 2.0) };
        sheet.reading(part, "major diameter", &value, "rule", &[]);
        true
    }

    fn by_micrometer(&self, part: &Part, sheet: &mut Sheet, dice: &mut Dice) -> bool {
        if part.element == Element::Internal {
            return false;
        }
        let place = end_of(part, dice);
        let read = part.major_at(place) + self.micrometer_error + dice.normal(0.005);
        let value = self.write_micrometer(read, dice);
        sheet.reading(part, "major diameter", &value, "micrometer", &[format!("place = \"{place:.0} mm\"")]);
        true
    }

    fn count(&self, part: &Part, sheet: &mut Sheet, dice: &mut Dice) -> bool {
        let internal = part.element == Element::Internal;
        let reach =
            if internal { 0.8 * part.length } else { (0.85 * part.length).min(dice.between(40.0, 130.0)) };
        let most = (reach / part.shape.p).floor();
        if most < 2.0 {
            return false;
        }
        // A round number where there is room for one.
        let round =
            [50.0, 40.0, 30.0, 25.0, 20.0, 15.0, 12.0, 10.0, 8.0, 5.0].into_iter().find(|n| *n <= most);
        let count = match round {
            Some(round) if dice.chance(0.7) => round,
            _ => most.min(60.0),
        } as u32;
        // The ends: points on sharp crests, edges of broad ones; a nut by a rubbing or an impression in wax.
        let setting = match (internal, part.shape.ridge) {
            (true, _) => 0.12,
            (_, Ridge::Sharp | Ridge::RoundedV) => 0.05,
            (_, Ridge::Round) => 0.10,
            _ => 0.06,
        };
        let start = dice.between(0.05, 0.15) * part.length;
        let mut read =
            part.span(count, start, dice) + dice.normal(setting) + dice.normal(setting) + self.calliper_error;
        if dice.chance(0.01) {
            // Outside to outside of the two crests.
            read += part.crest_width(start);
        }
        let slip = if dice.chance(0.025) { if dice.chance(0.75) { 1 } else { -1 } } else { 0 };
        let counted = count.saturating_add_signed(slip).max(1);
        let value = self.write_calliper(read, dice);
        sheet.reading(part, "pitch", &value, "calliper", &[format!("count = {counted}")]);
        true
    }

    fn leaves(&self, part: &Part, sheet: &mut Sheet, dice: &mut Dice) -> bool {
        let v = part.shape.ridge.is_v();
        let of_kind = |s: &&Set| s.is_v() == v;
        let mut sets: Vec<Set> = self.sets.iter().filter(of_kind).copied().collect();
        let mut angles = self.writes_angles;
        if sets.is_empty() {
            // V leaves held against a feed screw, for the spacing only.
            if !dice.chance(0.25) {
                return false;
            }
            sets = self.sets.iter().copied().filter(|s| s.is_v()).collect();
            angles = false;
        }
        if part.element == Element::Internal && part.minor_at(0.0) < 12.0 {
            return false;
        }
        let place = end_of(part, dice);
        let mut seated = false;
        for set in sets {
            let mut tried: Vec<(Leaf, f64, Verdict)> = set
                .stamped()
                .iter()
                .map(|s| Leaf { set, stamped: *s })
                .filter(|l| (l.pitch_mm() / part.shape.p).ln().abs() < 0.35)
                .map(|l| {
                    let seat = lay(l, part, place, dice);
                    (l, seat.lift + 0.3 * seat.gap, judge(seat, self.eye, part.shape.p, dice))
                })
                .collect();
            tried.sort_by(|a, b| a.1.total_cmp(&b.1));
            let Some((best, _, verdict)) = tried.first().copied() else { continue };
            // A leaf that seats is written down; of a set where none does, the nearest, by the thorough.
            if verdict == Verdict::Seats || self.thorough || dice.chance(0.4) {
                sheet.leaf(self.stamp(best, dice), angles, verdict);
            }
            if let Some((next, _, verdict)) = tried.get(1).copied()
                && self.thorough
            {
                sheet.leaf(self.stamp(next, dice), angles, verdict);
            }
            seated |= verdict == Verdict::Seats;
            if seated && self.hasty {
                break;
            }
        }
        true
    }

    fn these_leaves(&self, part: &Part, asked: &[String], sheet: &mut Sheet, dice: &mut Dice) -> bool {
        let v = part.shape.ridge.is_v();
        let place = end_of(part, dice);
        let mut any = false;
        for label in asked {
            let mut sets = self.sets.clone();
            sets.sort_by_key(|s| s.is_v() != v);
            let found =
                sets.iter().flat_map(|set| set.stamped().iter().map(|s| Leaf { set: *set, stamped: *s }));
            let Some(leaf) = found.into_iter().find(|l| l.label() == *label) else { continue };
            let seat = lay(leaf, part, place, dice);
            let verdict = judge(seat, self.eye, part.shape.p, dice);
            sheet.leaf(leaf, self.writes_angles && leaf.set.is_v() == v, verdict);
            any = true;
        }
        any
    }

    /// The stamp as read: now and then the neighbour's.
    fn stamp(&self, leaf: Leaf, dice: &mut Dice) -> Leaf {
        if !dice.chance(0.01) {
            return leaf;
        }
        let all = leaf.set.stamped();
        let at = all.iter().position(|s| *s == leaf.stamped).unwrap_or(0);
        let next = if dice.chance(0.5) { at.saturating_sub(1) } else { (at + 1).min(all.len() - 1) };
        Leaf { stamped: all[next], ..leaf }
    }

    fn wires(&self, part: &Part, sheet: &mut Sheet, dice: &mut Dice) -> bool {
        let half = 0.5 * (part.flanks.0 + part.flanks.1);
        let even = (part.shape.flanks.0 - part.shape.flanks.1).abs() < 0.01;
        if part.element == Element::Internal || !even || half.tan() < 0.1 || part.shape.taper > 0.0 {
            return false;
        }
        // The wire on hand nearest to the one that touches at the pitch line.
        let best = 0.5 * part.shape.p / half.cos();
        let wire =
            WIRES.iter().copied().min_by(|a, b| (a / best).ln().abs().total_cmp(&(b / best).ln().abs()));
        let Some(wire) = wire else { return false };
        let place = end_of(part, dice);
        let d2 = part.pitch_at(place);
        let helix = part.shape.p * f64::from(part.shape.starts) / (std::f64::consts::PI * d2);
        let w = wire + self.wire_error;
        let over = d2 + w * (1.0 + 1.0 / half.sin()) - 0.5 * part.shape.p / half.tan()
            + 0.5 * w * helix * helix * half.cos() / half.tan();
        let read = over + self.micrometer_error + dice.normal(0.008) + part.coat_on_flanks();
        let value = self.write_micrometer(read, dice);
        let more = [format!("wire = \"{wire:.2} mm\""), format!("place = \"{place:.0} mm\"")];
        sheet.reading(part, "over wires", &value, "wires", &more);
        true
    }

    fn angle(&self, part: &Part, sheet: &mut Sheet, dice: &mut Dice) -> bool {
        if part.element == Element::Internal || part.shape.p < 1.5 {
            return false;
        }
        let true_deg = (part.flanks.0 + part.flanks.1).to_degrees();
        // A worn flank is hollow, and a protractor's blade covers a millimetre or two of it.
        let worn = part.flank_wear(0.1 * part.length) / part.shape.p;
        let sigma = 0.4 + 1.0 / part.shape.p.max(1.0) + 20.0 * worn;
        let read = true_deg + dice.normal(sigma);
        let value = if dice.chance(0.5) {
            format!("{read:.0} deg")
        } else {
            format!("{:.1} deg", (read * 2.0).round() / 2.0)
        };
        sheet.reading(part, "included angle", &value, "protractor", &[]);
        true
    }

    fn crest(&self, part: &Part, sheet: &mut Sheet, dice: &mut Dice) -> bool {
        let width = part.crest_width(end_of(part, dice));
        if part.element == Element::Internal || width < 0.3 || part.shape.ridge.is_v() {
            return false;
        }
        let read = width + self.calliper_error + dice.normal(0.07);
        let value = self.write_calliper(read.max(0.01), dice);
        sheet.reading(part, "crest flat", &value, "calliper", &[]);
        true
    }

    fn write_calliper(&self, mm: f64, dice: &mut Dice) -> String {
        let misread = match self.display {
            Display::Vernier => 0.003,
            Display::Digital => 0.001,
        };
        let main_division = if self.inch { 25.4 / 40.0 } else { 1.0 };
        let mut mm = mm;
        if dice.chance(misread) {
            mm += if dice.chance(0.5) { main_division } else { -main_division };
        }
        let rounded = dice.chance(0.08);
        let text = match (self.inch, self.display, rounded) {
            (true, _, true) => return fraction(mm, 64.0),
            (true, Display::Digital, _) => format!("{:.4}", (mm / 25.4 * 2000.0).round() / 2000.0),
            (true, Display::Vernier, _) => format!("{:.3}", mm / 25.4),
            (false, _, true) => format!("{mm:.1}"),
            (false, Display::Digital, _) => format!("{mm:.2}"),
            (false, Display::Vernier, _) => format!("{:.2}", (mm * 20.0).round() / 20.0),
        };
        self.typed(text, dice)
    }

    fn write_micrometer(&self, mm: f64, dice: &mut Dice) -> String {
        let mut mm = mm;
        // The half millimetre, or a fortieth of an inch, overlooked on the sleeve.
        if dice.chance(0.004) {
            let turn = if self.inch { 0.635 } else { 0.5 };
            mm += if dice.chance(0.5) { turn } else { -turn };
        }
        let text = if self.inch {
            format!("{:.4}", mm / 25.4)
        } else {
            format!("{:.3}", (mm * 200.0).round() / 200.0)
        };
        self.typed(text, dice)
    }

    fn typed(&self, mut text: String, dice: &mut Dice) -> String {
        if dice.chance(0.002) {
            text = exchanged(&text, dice);
        }
        let inch = self.inch != dice.chance(0.003);
        format!("{text} {}", if inch { "in" } else { "mm" })
    }
}

impl Part {
    /// What a coat on the flanks adds over wires: on each side its thickness over the sine of the flank angle, four
    /// times the thickness in all for 60°.
    fn coat_on_flanks(&self) -> f64 {
        let half = 0.5 * (self.flanks.0 + self.flanks.1);
        2.0 * self.coat_thickness() / half.sin().max(0.1)
    }
}

/// A place near the end, past the run-in.
fn end_of(part: &Part, dice: &mut Dice) -> f64 {
    (part.length * dice.between(0.04, 0.12)).min(40.0)
}

fn hand(part: &Part, sheet: &mut Sheet, dice: &mut Dice) {
    let left = part.shape.left != dice.chance(0.005);
    sheet.observe("hand", format!("\"{}\"", if left { "left" } else { "right" }));
}

fn starts(part: &Part, sheet: &mut Sheet, dice: &mut Dice) {
    let seen = match part.shape.starts {
        1 if dice.chance(0.003) => 2,
        1 => 1,
        _ if dice.chance(0.10) => 1,
        n => n,
    };
    sheet.observe("starts", seen.to_string());
}

/// The form as the eye sees it: small crests look sharp, worn flat ones too, and a rounded V only shows on a coarse
/// pitch.
fn form(part: &Part, sheet: &mut Sheet, dice: &mut Dice) {
    let pointed = part.crest_width(0.5 * part.length) < 0.08 * part.shape.p;
    let word = match part.shape.ridge {
        Ridge::FlatTopped if pointed && dice.chance(0.6) => "sharp",
        Ridge::FlatTopped if dice.chance(0.03) => "square",
        Ridge::FlatTopped => "flat-topped",
        Ridge::Sharp if dice.chance(0.06) => "rounded",
        Ridge::Sharp if part.shape.p > 1.5 && dice.chance(0.06) => "flat-topped",
        Ridge::Sharp => "sharp",
        Ridge::RoundedV => {
            let seen = if part.shape.p >= 1.5 { 0.75 } else { 0.45 };
            if dice.chance(seen) { "rounded" } else { "sharp" }
        }
        Ridge::Square if dice.chance(0.10) => "flat-topped",
        Ridge::Square => "square",
        Ridge::Sawtooth if dice.chance(0.12) => "flat-topped",
        Ridge::Sawtooth => "sawtooth",
        Ridge::Round => "rounded",
    };
    sheet.observe("form", format!("\"{word}\""));
}

/// Two neighbouring digits change places.
fn exchanged(text: &str, dice: &mut Dice) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    let places: Vec<usize> =
        (1..chars.len()).filter(|i| chars[*i].is_ascii_digit() && chars[*i - 1].is_ascii_digit()).collect();
    if !places.is_empty() {
        let at = *dice.pick(&places);
        chars.swap(at - 1, at);
    }
    chars.into_iter().collect()
}

/// To the nearest 64th or so, as `55/64 in`, `1 1/8 in`.
fn fraction(mm: f64, under: f64) -> String {
    let n = (mm / 25.4 * under).round() as u64;
    let (mut n, mut under) = (n.max(1), under as u64);
    while n % 2 == 0 && under > 1 {
        (n, under) = (n / 2, under / 2);
    }
    match (n / under, n % under) {
        (whole, 0) => format!("{whole} in"),
        (0, rest) => format!("{rest}/{under} in"),
        (whole, rest) => format!("{whole} {rest}/{under} in"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_written_as_people_do() {
        for (mm, text) in [(22.225, "7/8 in"), (25.4, "1 in"), (28.575, "1 1/8 in"), (21.8, "55/64 in")] {
            assert_eq!(fraction(mm, 64.0), text);
        }
    }
}
