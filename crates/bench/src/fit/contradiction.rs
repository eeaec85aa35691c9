//! Whether the readings can belong to the thread at all: a thread chosen by hand may be one that no wear explains.
//!
//! The bounds are wide, fractions of the pitch on the diameter: a worn part keeps its sizes, and only what would give
//! sizes without sense is refused.

use super::{mate, play, word};
use crate::evidence::Evidence;
use crate::identity::Identity;
use crate::job::{Feature, Make, Quantity};
use crate::report::{Fine, Note, Text, Value, capital};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Element, Hand, Length, Source, Thread};

const SOURCE: Source =
    Source::derived("basic profile; wear takes metal away and does not turn one thread into another");

/// A diameter over its basic size by more than this share of the pitch is not that of a burr.
const GROWN: f64 = 0.2;
/// A ridge thicker than basic by this share of the pitch, a tenth of its thickness, is not one of this thread: plating
/// and burrs stay below (chosen here).
const FAT: f64 = 0.05;
/// And no burr raises a flank by more (chosen here).
const BURR: Length = Length::mm(0.1);
/// The lead may be off by this share of the pitch over the length of thread before the part needs more room than its
/// ridge has metal.
const ASTRAY: f64 = 0.25;

/// What contradicts the thread; none where the sizes make sense.
pub(super) fn find(
    evidence: &Evidence,
    identity: &Identity,
    make: &Make,
    basic: &Basic,
    engaged: Length,
) -> Option<Note> {
    let thread = &identity.thread;
    // The pitch first: what is reckoned from wires with a wrong one means nothing.
    let why = of_pitch(evidence, identity, basic, engaged).or_else(|| {
        [Element::External, Element::Internal]
            .into_iter()
            .find_map(|element| of_element(evidence, element, thread, basic))
    })?;
    let mut text = Text::from(format!("No {} can be sized as {thread}: ", word(make.part))).text(why);
    if let Some(first) = identity.candidates.first().filter(|c| c.thread != *thread) {
        text = text
            .s(format!(" The readings speak for {} (", first.thread))
            .v(Value::Share(first.probability))
            .s("): choose that one, or take the choice out and let them decide.");
    } else {
        text = text.s(" Look again at the readings, or choose another thread.");
    }
    Some(Note::impossible(text).field("identity.thread").source(SOURCE))
}

fn of_element(evidence: &Evidence, element: Element, thread: &Thread, basic: &Basic) -> Option<Text> {
    let p = basic.p;
    let seen = mate::gather(evidence, element, thread, basic);
    // Basic size, and how far wear can take it: to where no thread is left.
    let (major, minor) = match element {
        Element::External => {
            ((basic.d, basic.d1_internal, basic.d + p * GROWN), (basic.d3, basic.d3 - p / 2.0, basic.d2))
        }
        Element::Internal => (
            (basic.d4_internal, basic.d2, basic.d4_internal + p / 2.0),
            (basic.d1_internal, basic.d1_internal - p * GROWN, basic.d),
        ),
    };
    for (what, readings, (basic_size, least, most)) in
        [("major diameter", &seen.majors, major), ("minor diameter", &seen.minors, minor)]
    {
        let beyond = |r: &&mate::Read| r.value + r.u * 3.0 < least || r.value - r.u * 3.0 > most;
        if let Some(read) = readings.iter().find(beyond) {
            return Some(
                Text::from(format!("the {}'s {what} was read at ", word(element)))
                    .len(read.value)
                    .s(", and this thread has ")
                    .len(basic_size)
                    .s(" there."),
            );
        }
    }
    let odd = seen.seen.iter().find(|s| {
        let slack = s.u_missing * 3.0;
        s.missing - slack >= p / 2.0 || s.missing + slack <= -(p * FAT).max(BURR)
    })?;
    let text = Text::from(format!("the {}'s thread was read at ", word(element)));
    let k = play::slope(basic.flank_leading, basic.flank_trailing);
    Some(if k > 0.0 {
        text.len(odd.pitch_diameter).s(" of pitch diameter, and this thread has ").len(basic.d2).s(" there.")
    } else {
        text.len(p / 2.0 - odd.missing).s(" of thickness, and this thread has ").len(p / 2.0).s(" there.")
    })
}

/// A pitch that is another one. A single reading may be a slip of the count, which the sizes leave out; it refuses a
/// choice only where the ranking, which weighs all readings, gives that choice no chance either.
fn of_pitch(evidence: &Evidence, identity: &Identity, basic: &Basic, engaged: Length) -> Option<Text> {
    if identity.candidates.is_empty() || identity.candidate().is_some() {
        return None;
    }
    let p = basic.p;
    let over = (engaged / p).max(1.0);
    evidence.readings.iter().find_map(|r| {
        let starts = match r.feature {
            Feature::Pitch => 1.0,
            Feature::Lead => f64::from(identity.thread.starts),
            _ => return None,
        };
        let (Quantity::Length(read, _), Quantity::Length(u, _)) = (r.value, r.u) else { return None };
        let (read, u) = (read / starts, u / starts);
        let off = (read - p).abs();
        (off > u * 3.0 && off * over > p * ASTRAY).then(|| {
            Text::from(format!("the {}'s pitch was read as ", word(r.part)))
                .v(Value::Length(read, Fine::Gauge))
                .s(", and this thread has ")
                .v(Value::Length(p, Fine::Gauge))
                .s(".")
        })
    })
}

/// Hand and starts as seen against those of the thread: the sizes make sense, and the part would not go on.
pub(super) fn turned(evidence: &Evidence, thread: &Thread, make: &Make) -> Option<Note> {
    let hand = |h| if h == Hand::Left { "left-hand" } else { "right-hand" };
    if let Some(seen) = evidence.observed.hand.filter(|h| *h != thread.hand) {
        return Some(
            Note::impossible(format!(
                "{} is {}, and the thread was seen to be {}: the {} would not go on. Look again, and change the one that is wrong.",
                capital(&thread.to_string()),
                hand(thread.hand),
                hand(seen),
                word(make.part),
            ))
            .field("observed.hand"),
        );
    }
    let starts = evidence.observed.starts.filter(|n| *n != thread.starts)?;
    Some(
        Note::impossible(format!(
            "{thread} has {} starts, and {starts} were seen: the {} would not go on. Look again, and change the one that is wrong.",
            thread.starts,
            word(make.part),
        ))
        .field("observed.starts"),
    )
}
