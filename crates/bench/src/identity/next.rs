//! The next measurement: which one is expected to tell most for the time it takes.
//!
//! For each measurement that the gauges on hand allow, every leading candidate predicts what would be read. The
//! expected information is the mutual information between candidate and reading, in bits: how much surer one is
//! after it, on average over the candidates as they stand (Lindley 1956, Annals of Mathematical Statistics 27).

use super::Next;
use super::density::normal_pdf;
use super::hands_on::{leaf_made, leaf_odds};
use super::model::{Model, PIECES, Seen, Suspect};
use super::odd;
use super::prior;
use super::rank::{Ranked, Ranking};
use super::scales::{EYE_SLIP, LEAD_ERROR, SLIP};
use super::size::{Prediction, angle_spread};
use super::voice::{self, length};
use crate::evidence::{Weighed, uncertainty};
use crate::job::{Condition, Feature, Instrument, Leaf, Quantity, Reading, SeenForm};
use crate::report::{Fine, Value, show};
use flankwise_thread::{Angle, Element, Hand, Length, Pitch};

/// Leading candidates that the measurements are judged by.
const LEADERS: usize = 10;
/// Points of each candidate's prediction.
const POINTS: usize = 16;
/// Measurements below so many bits are not offered.
const LEAST_BITS: f64 = 0.003;
/// What a measurement made once more with the same instrument still tells, as a share of what the one before would: its
/// zero and the part are what they were, so that little but a slip comes out. Chosen here.
const AGAIN: f64 = 0.2;
/// Measurements offered.
const MOST: usize = 8;

/// A leading candidate with its share among the leaders.
struct Leader {
    suspect: Suspect,
    thread: String,
    pitch: Pitch,
    share: f64,
}

/// A measurement that could be made.
struct Plan {
    measure: String,
    minutes: f64,
    kind: Kind,
}

enum Kind {
    /// A size, in such condition, with this instrument.
    Size(Seen, Condition, Instrument),
    /// With this uncertainty, over so many mm.
    Pitch(f64, f64),
    Angle(f64),
    /// These leaves; whether only their angle tells them apart.
    Leaves(Vec<Leaf>, bool),
    Hand,
    Starts,
    Form,
}

/// What one candidate predicts for a measurement with a scale, as a normal distribution of the reading: maker's
/// part, wear and noise together. Its one-sidedness is left out, which understates the information a little.
#[derive(Clone, Copy)]
struct Scale {
    mean: f64,
    sigma: f64,
}

impl Scale {
    fn density(&self, y: f64) -> f64 {
        normal_pdf(y - self.mean, self.sigma)
    }
    fn points(&self) -> impl Iterator<Item = f64> {
        let Self { mean, sigma } = *self;
        (0..POINTS).map(move |i| mean + 4.0 * sigma * (2.0 * (i as f64 + 0.5) / POINTS as f64 - 1.0))
    }
}

/// The measurements worth making, best first.
pub(super) fn next(model: &Model, ranking: &Ranking) -> Vec<Next> {
    let leaders = leaders(ranking);
    if leaders.len() < 2 {
        return Vec::new();
    }
    let mut all: Vec<Next> = plans(model, ranking, &leaders)
        .into_iter()
        .filter_map(|plan| {
            let (bits, decides) = judge(model, &leaders, &plan.kind);
            let information_bits = bits * AGAIN.powi(times_made(model, &plan.kind));
            (information_bits >= LEAST_BITS).then_some(Next {
                measure: plan.measure,
                information_bits,
                minutes: plan.minutes,
                decides,
            })
        })
        .collect();
    all.sort_by(|a, b| (b.information_bits / b.minutes).total_cmp(&(a.information_bits / a.minutes)));
    all.truncate(MOST);
    all
}

fn leaders(ranking: &Ranking) -> Vec<Leader> {
    let top: Vec<&Ranked> = ranking.ranked.iter().take(LEADERS).collect();
    let total: f64 = top.iter().map(|r| r.probability).sum();
    top.into_iter()
        .map(|r| Leader {
            suspect: r.suspect(),
            thread: r.thread().to_string(),
            pitch: r.row.pitch,
            share: r.probability / total,
        })
        .collect()
}

/// Whether an instrument is on hand: listed, or used for a reading; where none is listed, calliper and rule are.
fn is_on_hand(model: &Model, instrument: Instrument) -> bool {
    let listed = &model.job.gauges.instruments;
    listed.contains(&instrument)
        || model.job.readings.iter().any(|r| r.instrument == instrument)
        || (listed.is_empty() && matches!(instrument, Instrument::Calliper | Instrument::Rule))
}

/// Instruments that read an included angle, the surest first, each with how it is said and the minutes it takes; the last
/// reads a nut's too.
const BY_ANGLE: [(Instrument, &str, f64); 4] = [
    (Instrument::Microscope, "under the microscope", 6.0),
    (Instrument::Protractor, "with the protractor", 4.0),
    (Instrument::Photo, "in a picture against the light", 5.0),
    (Instrument::Cast, "on a cast", 25.0),
];

/// The included angle, by the surest instrument on hand. One that was read is offered again where it may be a slip.
fn angle_plan(model: &Model, ranking: &Ranking, screw: bool) -> Option<Plan> {
    let part = if screw { Element::External } else { Element::Internal };
    let is_angle = |r: &Weighed| r.part == part && voice::is_angle(r.feature);
    let read = model.evidence.readings.iter().any(is_angle);
    let doubted = ranking.ranked.first().is_some_and(|first| {
        let doubted = odd::doubted(model, ranking, first);
        doubted.iter().any(|at| is_angle(&model.evidence.readings[*at]))
    });
    let reads = |i: &Instrument| (screw || *i == Instrument::Cast) && is_on_hand(model, *i);
    let (with, words, minutes) = BY_ANGLE.into_iter().find(|(i, ..)| reads(i))?;
    let value = Quantity::Angle(Angle::deg(30.0));
    let u = uncertainty::alone(&Reading::plain(part, Feature::IncludedAngle, value, "30.0 deg", with));
    let again = if read { " again," } else { "" };
    (!read || doubted).then(|| Plan {
        measure: format!("included angle{again} {words}"),
        minutes,
        kind: Kind::Angle(u),
    })
}

/// Most pitches that anybody counts without losing count. Chosen here.
const MOST_COUNTED: f64 = 30.0;

/// A count of pitches over as much thread as there is, by the surest instrument on hand.
fn count_plan(model: &Model, pitch: f64, screw: bool) -> Plan {
    let calliper = is_on_hand(model, Instrument::Calliper);
    // Marks rolled on paper, each to 0.1 mm, and the paper to 0.3 %, are surer than a rule.
    let paper = screw && is_on_hand(model, Instrument::PaperTrace);
    let (with, longest, own, share): (_, f64, f64, f64) = match (calliper, paper, screw) {
        // Two settings on crests at 0.05 mm each, and the calliper's own.
        (true, _, true) => ("with the calliper", 100.0, 0.075, 0.0),
        (true, _, false) => ("with the calliper", 20.0, 0.10, 0.0),
        (false, true, _) => ("on a trace rolled on paper", 150.0, 0.14, 0.003),
        (false, false, true) => ("with the rule", 150.0, 0.4, 0.0),
        (false, false, false) => ("with the rule", 20.0, 0.4, 0.0),
    };
    let longest = thread_there(model).map_or(longest, |there| there.min(longest));
    let count = (longest / pitch).round().clamp(2.0, MOST_COUNTED);
    let span = count * pitch;
    let measure = format!("count {count:.0} pitches ({}) {with}", length(model, span, Fine::Coarse));
    Plan { measure, minutes: 2.0, kind: Kind::Pitch(own.hypot(share * span) / count, span) }
}

/// What can be done with the gauges on hand. Times are common practice, no source.
fn plans(model: &Model, ranking: &Ranking, leaders: &[Leader]) -> Vec<Plan> {
    let (job, evidence) = (model.job, model.evidence);
    let has = |i: Instrument| is_on_hand(model, i);
    let nut = evidence.readings.iter().any(|r| r.part == Element::Internal);
    let screw = !nut || evidence.readings.iter().any(|r| r.part == Element::External);
    let done = |part, feature| evidence.readings.iter().any(|r| (r.part, r.feature) == (part, feature));
    let mut plans = Vec::new();
    let mut add = |measure: String, minutes, kind| plans.push(Plan { measure, minutes, kind });
    if evidence.observed.hand.is_none() {
        add("look which way the thread runs".into(), 0.2, Kind::Hand);
    }
    if evidence.observed.form.is_none() {
        add("look at the form: flat-topped, sharp, rounded or square".into(), 0.2, Kind::Form);
    }
    if evidence.observed.starts.is_none() {
        add("mark a crest and follow it one turn: count the starts".into(), 0.5, Kind::Starts);
    }
    let count = count_plan(model, leaders[0].suspect.shape.p(), screw);
    add(count.measure, count.minutes, count.kind);
    if let Some(angle) = angle_plan(model, ranking, screw) {
        add(angle.measure, angle.minutes, angle.kind);
    }
    let (fresh, by_angle) = leaves(model, leaders);
    if !fresh.is_empty() {
        let names = leaf_names(&fresh, by_angle);
        let noun = if fresh.len() == 1 { "leaf" } else { "leaves" };
        add(format!("try the {names} {noun}"), fresh.len() as f64, Kind::Leaves(fresh, by_angle));
    }
    let unworn = model.condition.min(Condition::Used);
    if screw {
        let (with, name, u) = if has(Instrument::Micrometer) {
            (Instrument::Micrometer, "micrometer", 0.005)
        } else {
            (Instrument::Calliper, "calliper", 0.02)
        };
        if has(with) {
            let seen = Seen::planned(Element::External, Feature::MajorDiameter, u, None);
            add(
                format!("outside diameter at the unworn end with the {name}"),
                1.0,
                Kind::Size(seen, unworn, with),
            );
        }
        if let Some(wire) = wire(job, leaders)
            && has(Instrument::Micrometer)
        {
            let measure =
                format!("over {} wires at the unworn end", length(model, wire.to_mm(), Fine::Gauge));
            let seen = Seen::planned(Element::External, Feature::OverWires, 0.01, Some(wire));
            add(measure, 5.0, Kind::Size(seen, unworn, Instrument::Wires));
        }
        let flat = if has(Instrument::Microscope) {
            Some((Instrument::Microscope, "width of the crest under the microscope", 0.015, 5.0))
        } else {
            let calliper = (Instrument::Calliper, "width of the crest with the calliper", 0.06, 2.0);
            has(Instrument::Calliper).then_some(calliper)
        };
        if let Some((with, measure, u, minutes)) =
            flat.filter(|_| !done(Element::External, Feature::CrestFlat))
        {
            let seen = Seen::planned(Element::External, Feature::CrestFlat, u, None);
            add(measure.into(), minutes, Kind::Size(seen, unworn, with));
        }
    }
    if (nut || job.make.part == Element::Internal) && !done(Element::Internal, Feature::MinorDiameter) {
        let (with, tool, u, minutes) = if has(Instrument::TelescopingGauge) {
            (Instrument::TelescopingGauge, "the telescoping gauge", 0.02, 1.0)
        } else if has(Instrument::Pins) {
            (Instrument::Pins, "plain pins, the largest that enters", 0.012, 4.0)
        } else {
            (Instrument::Calliper, "the calliper", 0.04, 1.0)
        };
        let seen = Seen::planned(Element::Internal, Feature::MinorDiameter, u, None);
        let kind = Kind::Size(seen, model.condition, with);
        add(format!("bore of the old nut with {tool}"), minutes, kind);
    }
    plans
}

/// How often it was made before: a size with this instrument, a count over as much of the part.
fn times_made(model: &Model, kind: &Kind) -> i32 {
    let same: Vec<bool> = match kind {
        Kind::Size(seen, _, with) => {
            let of = |r: &Weighed| (r.part, r.feature) == (seen.part, seen.feature);
            let by = |r: &Weighed| model.job.readings.get(r.index).is_some_and(|t| t.instrument == *with);
            model.evidence.readings.iter().map(|r| of(r) && by(r)).collect()
        }
        Kind::Pitch(_, span) => counted_spans(model).map(|counted| counted >= 0.7 * span).collect(),
        _ => Vec::new(),
    };
    i32::try_from(same.into_iter().filter(|made| *made).count()).unwrap_or(i32::MAX)
}

/// The spans over which pitches were counted, mm.
fn counted_spans(model: &Model) -> impl Iterator<Item = f64> {
    model.pitches.iter().filter_map(|seen| {
        let typed = model.job.readings.get(model.evidence.readings[seen.at].index)?;
        Some(seen.v * f64::from(typed.count?))
    })
}

/// How much thread there is, mm, as far as counts show: whoever counted twice over less has no more, unless something was
/// read further along.
fn thread_there(model: &Model) -> Option<f64> {
    let places = model.evidence.readings.iter().filter_map(|r| r.place).map(Length::to_mm);
    let longest = counted_spans(model).reduce(f64::max)?;
    (counted_spans(model).count() > 1).then(|| places.fold(longest, f64::max))
}

/// Leaves not tried yet: for the best candidate and for the strongest rival of another pitch or, where leaves show it,
/// of another angle; and whether only their angle tells them apart.
fn leaves(model: &Model, leaders: &[Leader]) -> (Vec<Leaf>, bool) {
    let made = |leader: &Leader| leaf_made(leader.pitch, leader.suspect.shape.included_deg);
    let deg = |l: &Leaf| l.angle.map(Angle::to_deg);
    let like =
        |a: &Leaf, b: &Leaf| same_pitch(a, b) && (a.angle.is_none() || b.angle.is_none() || deg(a) == deg(b));
    let mut leaves: Vec<Leaf> = Vec::new();
    for leaf in leaders.iter().filter_map(made) {
        if leaves.len() < 2 && !leaves.iter().any(|known| like(known, &leaf)) {
            leaves.push(leaf);
        }
    }
    // Of two of one pitch both are tried, whatever was tried without saying which set it was of; whoever tried that pitch
    // twice has no other.
    let by_angle = of_one_pitch(&leaves);
    let tried = |leaf: &Leaf| {
        let mut of_pitch = model.evidence.leaves.iter().filter(|t| same_pitch(t, leaf));
        of_pitch.clone().count() > 1 || of_pitch.any(|t| !by_angle || deg(t) == deg(leaf))
    };
    leaves.retain(|leaf| !tried(leaf));
    (leaves, by_angle)
}

fn same_pitch(a: &Leaf, b: &Leaf) -> bool {
    (a.pitch.length - b.pitch.length).abs().to_mm() < 1e-6
}

/// Two leaves that only their angles tell apart.
fn of_one_pitch(leaves: &[Leaf]) -> bool {
    matches!(leaves, [a, b] if same_pitch(a, b))
}

/// A leaf as a person asks for it; the angle where two of one pitch are to be told apart.
fn leaf_name(leaf: &Leaf, by_angle: bool) -> String {
    match leaf.angle.filter(|_| by_angle) {
        Some(angle) => format!("{} of {:.0}°", voice::pitch(leaf.pitch), angle.to_deg()),
        None => voice::pitch(leaf.pitch),
    }
}

fn leaf_names(leaves: &[Leaf], by_angle: bool) -> String {
    leaves.iter().map(|l| leaf_name(l, by_angle)).collect::<Vec<_>>().join(" and ")
}

/// The wire on hand nearest to the best one for the leading candidate: P / (2 cos α/2).
fn wire(job: &crate::job::Job, leaders: &[Leader]) -> Option<Length> {
    let shape = &leaders[0].suspect.shape;
    let best = 0.5 * shape.p() * shape.tan.hypot(1.0);
    job.gauges
        .wires
        .iter()
        .copied()
        .filter(|w| (0.8..1.6).contains(&(w.to_mm() / best)))
        .min_by(|a, b| (a.to_mm() - best).abs().total_cmp(&(b.to_mm() - best).abs()))
}

/// Expected information in bits, and what the likely readings would decide.
fn judge(model: &Model, leaders: &[Leader], kind: &Kind) -> (f64, String) {
    let scales: Option<Vec<Scale>> = match kind {
        Kind::Size(seen, condition, _) => {
            leaders.iter().map(|l| size_scale(model, seen, *condition, l)).collect()
        }
        Kind::Pitch(u, _) => Some(
            leaders
                .iter()
                .map(|l| {
                    let mean = l.suspect.shape.p();
                    Scale { mean, sigma: u.hypot(LEAD_ERROR * mean) }
                })
                .collect(),
        ),
        Kind::Angle(u) => Some(
            leaders
                .iter()
                .map(|l| Scale {
                    mean: l.suspect.shape.included_deg,
                    sigma: u.hypot(angle_spread(model.condition)),
                })
                .collect(),
        ),
        _ => None,
    };
    if let Some(scales) = scales {
        // A width that lies between nothing and less than can be read is no result to decide by.
        if let Kind::Size(seen, ..) = kind
            && boundary(leaders, &scales).1 < seen.u
        {
            return (0.0, String::new());
        }
        // A slip tells nothing.
        return ((1.0 - SLIP) * information(leaders, &scales), decides(model, leaders, kind, &scales));
    }
    let odds: Vec<Vec<f64>> = leaders.iter().map(|l| odds(model, kind, &l.suspect)).collect();
    let words = match kind {
        Kind::Hand => "left or right: a part of the wrong hand does not start".to_owned(),
        Kind::Starts => "the lead, which is pitch times starts".to_owned(),
        Kind::Form => "V thread or feed thread".to_owned(),
        Kind::Leaves(leaves, by_angle) => by_leaf(model, leaders, leaves, *by_angle),
        Kind::Size(..) | Kind::Pitch(..) | Kind::Angle(_) => String::new(),
    };
    (discrete_information(leaders, &odds), words)
}

/// What a leader predicts for a size, given what earlier readings of the same feature say of its tolerance.
fn size_scale(model: &Model, seen: &Seen, condition: Condition, leader: &Leader) -> Option<Scale> {
    let shape = &leader.suspect.shape;
    let prediction = shape.predict(seen.part, seen.feature, seen.wire, condition)?;
    let group = model
        .outside
        .iter()
        .chain(&model.sizes)
        .find(|g| (g.seen[0].part, g.seen[0].feature) == (seen.part, seen.feature));
    let mut weights = group.map_or([1.0; PIECES], |g| g.pieces(shape, model.condition));
    // A reading that only a slip explains says nothing of the maker's part.
    if weights.iter().sum::<f64>() <= 0.0 {
        weights = [1.0; PIECES];
    }
    let total: f64 = weights.iter().sum();
    let place = |k: usize| (k as f64 + 0.5) / PIECES as f64;
    let average = |of: &dyn Fn(usize) -> f64| (0..PIECES).map(|k| weights[k] * of(k)).sum::<f64>() / total;
    let made = average(&place);
    let scatter = (average(&|k| (place(k) - made).powi(2)) + 1.0 / (12.0 * (PIECES * PIECES) as f64)).sqrt();
    let Prediction { at, tolerance, wear, spread, away, .. } = prediction;
    Some(Scale {
        mean: at + away * (made * tolerance + wear),
        sigma: (scatter * tolerance).hypot(wear).hypot(spread).hypot(seen.u),
    })
}

/// Mutual information in bits, the integral over readings taken on each candidate's own points.
fn information(leaders: &[Leader], scales: &[Scale]) -> f64 {
    let mut bits = 0.0;
    for (leader, scale) in leaders.iter().zip(scales) {
        let own: Vec<(f64, f64)> = scale.points().map(|y| (y, scale.density(y))).collect();
        let total: f64 = own.iter().map(|o| o.1).sum();
        if leader.share < 1e-6 || total <= 0.0 {
            continue;
        }
        for (y, density) in own {
            if density <= 1e-9 * total {
                continue;
            }
            let mixed: f64 = leaders.iter().zip(scales).map(|(l, s)| l.share * s.density(y)).sum();
            bits += leader.share * density / total * (density / mixed).log2();
        }
    }
    bits.max(0.0)
}

fn discrete_information(leaders: &[Leader], odds: &[Vec<f64>]) -> f64 {
    let outcomes = odds.first().map_or(0, Vec::len);
    let mixed: Vec<f64> =
        (0..outcomes).map(|o| leaders.iter().zip(odds).map(|(l, k)| l.share * k[o]).sum()).collect();
    let bits: f64 = leaders
        .iter()
        .zip(odds)
        .map(|(l, k)| l.share * k.iter().zip(&mixed).map(|(p, m)| p * (p / m).log2()).sum::<f64>())
        .sum();
    bits.max(0.0)
}

/// Chances of each outcome of a measurement without a scale.
fn odds(model: &Model, kind: &Kind, suspect: &Suspect) -> Vec<f64> {
    let shape = &suspect.shape;
    match kind {
        Kind::Hand => match suspect.hand {
            Hand::Right => vec![1.0 - EYE_SLIP, EYE_SLIP],
            Hand::Left => vec![EYE_SLIP, 1.0 - EYE_SLIP],
        },
        Kind::Starts => (1..=4).map(|n| prior::starts_seen(suspect.starts, n)).collect(),
        Kind::Form => {
            [SeenForm::FlatTopped, SeenForm::Sharp, SeenForm::Rounded, SeenForm::Square, SeenForm::Sawtooth]
                .iter()
                .map(|seen| prior::looks(Some(shape.family), shape.p(), *seen, model.condition))
                .collect()
        }
        Kind::Leaves(leaves, _) => leaves.iter().fold(vec![1.0], |joint, leaf| {
            let odds = leaf_odds(shape.grooves(), leaf, model.condition);
            joint.iter().flat_map(|j| odds.map(|o| j * o)).collect()
        }),
        Kind::Size(..) | Kind::Pitch(..) | Kind::Angle(_) => vec![1.0],
    }
}

/// What each leaf says by seating and by not seating: the likeliest leader then, with its share where that is all that
/// changes.
fn by_leaf(model: &Model, leaders: &[Leader], leaves: &[Leaf], by_angle: bool) -> String {
    let says = |leaf: &Leaf| {
        let seats = |l: &Leader| leaf_odds(l.suspect.shape.grooves(), leaf, model.condition)[0];
        let (yes, yes_at) = likeliest(leaders, seats)?;
        let (no, no_at) = likeliest(leaders, |l| 1.0 - seats(l))?;
        let name = leaf_name(leaf, by_angle);
        Some(if yes.thread == no.thread {
            let said = |share| show::value(&Value::Share(share), model.job.unit);
            format!("{name} seats: {} at {}, else at {}", yes.thread, said(yes_at), said(no_at))
        } else {
            format!("{name} seats: {}, else {}", yes.thread, no.thread)
        })
    };
    leaves.iter().filter_map(says).collect::<Vec<_>>().join("; ")
}

/// The leader that is likeliest after a result of such chances, and its share then.
fn likeliest(leaders: &[Leader], chance: impl Fn(&Leader) -> f64) -> Option<(&Leader, f64)> {
    let after = |l: &Leader| l.share * chance(l);
    let best = leaders.iter().max_by(|a, b| after(a).total_cmp(&after(b)))?;
    Some((best, after(best) / leaders.iter().map(after).sum::<f64>()))
}

/// The rival that a measurement does most to tell from the first candidate, and the reading between the two.
fn boundary(leaders: &[Leader], scales: &[Scale]) -> (usize, f64) {
    let apart = |k: usize| (scales[k].mean - scales[0].mean).abs() / scales[0].sigma.hypot(scales[k].sigma);
    let told_apart = |k: usize| leaders[k].share * (1.0 - (-0.5 * apart(k).powi(2)).exp());
    let rival = (1..leaders.len()).max_by(|&a, &b| told_apart(a).total_cmp(&told_apart(b))).unwrap_or(0);
    let (a, b) = (&scales[0], &scales[rival]);
    // Where both are equally likely to be read, were they so before.
    (rival, (a.mean * b.sigma + b.mean * a.sigma) / (a.sigma + b.sigma))
}

/// Width or depth, mm, that nobody reads as one. Chosen here.
const SHARP: f64 = 0.005;

/// The first candidate against the rival that this measurement does most to tell from it, and the reading between.
fn decides(model: &Model, leaders: &[Leader], kind: &Kind, scales: &[Scale]) -> String {
    let says = |v: f64| match kind {
        Kind::Angle(_) => format!("{v:.1}°"),
        Kind::Pitch(..) => length(model, v, Fine::Gauge),
        _ => length(model, v, Fine::Shop),
    };
    // A crest that runs sharp has no width to read.
    let about = |v: f64| match kind {
        Kind::Size(..) if v < SHARP => "none".to_owned(),
        _ => format!("about {}", says(v)),
    };
    let (rival, between) = boundary(leaders, scales);
    let (a, b) = (&scales[0], &scales[rival]);
    let side = |above: bool| if above { "over" } else { "under" };
    format!(
        "{} {} ({}): {}; {} ({}): {}",
        side(a.mean > b.mean),
        says(between),
        about(a.mean),
        leaders[0].thread,
        side(a.mean <= b.mean),
        about(b.mean),
        leaders[rival].thread
    )
}
