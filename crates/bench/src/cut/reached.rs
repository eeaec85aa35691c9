//! What a reading taken between passes tells of the depth that is really there.

use super::course::{Course, Place};
use super::seat::{self, Section, Unfit};
use crate::evidence::gauge;
use crate::fit::Fit;
use crate::job::{MadeFeature, MadeReading};
use crate::report::{Fine, Note, Text, Value};
use flankwise_thread::{Element, Length};

/// A depth that was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Measured {
    /// Radial, from touch-on.
    pub depth: Length,
    /// Its standard uncertainty.
    pub u: Length,
    /// Told by the groove's width, not by its bottom.
    pub by_width: bool,
}

/// Why a reading tells of no depth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Silent {
    /// It is of something else, has no wire, or the flanks are upright.
    OfNoDepth,
    /// The wire or ball did not come to rest on the flanks of the groove as it was.
    Unfit(Unfit),
}

/// Reading that the groove should give at a place, over wires or between balls of this size, in its own start. None
/// where none would come to rest on the flanks.
pub(super) fn over_now(course: &Course<'_>, place: &Place, wire: Length) -> Option<Length> {
    if course.mean_tan <= 1e-9 {
        return None;
    }
    let real = expected(place);
    let now = pitch_diameter(course, place, real);
    let serves = unfit(course, real, now, wire).is_none();
    serves.then(|| seat::over_own_groove(course.fit, now, wire).ok()).flatten()
}

/// Why a wire or ball cannot serve in the groove while it is so deep; none if it can.
fn unfit(course: &Course<'_>, real: Length, pitch_diameter: Length, wire: Length) -> Option<Unfit> {
    let bottom = course.bottom_at(real);
    let section = Section { surface: (course.blank, course.blank), bottom: (bottom, bottom), pitch_diameter };
    seat::unfit(&course.fit.thread, course.fit.part, &section, wire)
}

/// The depth that is to be expected at a place: what was set and measured, less what the bar's spring leaves.
pub(super) fn expected(place: &Place) -> Length {
    place.depth + place.offset - place.left
}

/// Pitch diameter of a groove that is really so deep, with the tip and shift of a place.
fn pitch_diameter(course: &Course<'_>, place: &Place, real: Length) -> Length {
    let short = (course.full - real) * 2.0 + course.narrow(place) * (1.0 / course.mean_tan);
    match course.fit.part {
        Element::Internal => course.fit.pitch_diameter.aim - short,
        Element::External => course.fit.pitch_diameter.aim + short,
    }
}

/// What `reading` would be of a groove that is really so deep: the inverse of [`depth`]. None where it tells no depth.
pub(super) fn reads(
    course: &Course<'_>,
    place: &Place,
    reading: &MadeReading,
    real: Length,
) -> Option<Length> {
    let (fit, upright) = (course.fit, course.mean_tan <= 1e-9);
    match (reading.feature, fit.part) {
        (MadeFeature::MajorDiameter, Element::Internal) | (MadeFeature::MinorDiameter, Element::External) => {
            Some(course.bottom_at(real))
        }
        (MadeFeature::OverWires, _) if !upright => {
            seat::over_own_groove(fit, pitch_diameter(course, place, real), reading.wire?).ok()
        }
        (MadeFeature::Play, _) if !upright => {
            let tightest = play_aimed(fit)?;
            let off = (pitch_diameter(course, place, real) - fit.pitch_diameter.aim) * course.mean_tan;
            Some(match fit.part {
                Element::Internal => tightest + off,
                Element::External => tightest - off,
            })
        }
        _ => None,
    }
}

/// The depth that a reading tells, with the tool's tip and shift as they are.
///
/// The groove's pitch diameter is that of the aim when depth and width are; each 2 tan A of width counts as one of
/// depth.
pub(super) fn depth(course: &Course<'_>, place: &Place, reading: &MadeReading) -> Result<Measured, Silent> {
    let fit = course.fit;
    let bottom = match fit.part {
        Element::Internal => MadeFeature::MajorDiameter,
        Element::External => MadeFeature::MinorDiameter,
    };
    if reading.feature == bottom {
        let depth = match fit.part {
            Element::Internal => reading.value - course.blank,
            Element::External => course.blank - reading.value,
        } * 0.5;
        let u = gauge::taken(reading, fit.part, reading.value) * 0.5;
        return Ok(Measured { depth, u, by_width: false });
    }
    if course.mean_tan <= 1e-9 {
        return Err(Silent::OfNoDepth);
    }
    // What is missing of the pitch diameter aimed at.
    let (short, u, wire) = match reading.feature {
        MadeFeature::OverWires => {
            let wire = reading.wire.ok_or(Silent::OfNoDepth)?;
            let read =
                seat::from_own_groove(fit, reading.value, wire).map_err(|_| Silent::Unfit(Unfit::NoSeat))?;
            let short = match fit.part {
                Element::Internal => fit.pitch_diameter.aim - read,
                Element::External => read - fit.pitch_diameter.aim,
            };
            let own = gauge::taken(reading, fit.part, reading.value);
            (short, reading.uncertainty.unwrap_or_else(|| seat::over_u(fit, wire, own)), Some((wire, read)))
        }
        MadeFeature::Play => {
            let untouched = play_aimed(fit).ok_or(Silent::OfNoDepth)?;
            let u = gauge::taken(reading, fit.part, reading.value);
            ((untouched - reading.value) * (1.0 / course.mean_tan), u * (1.0 / course.mean_tan), None)
        }
        _ => return Err(Silent::OfNoDepth),
    };
    let depth = course.full - (short - course.narrow(place) * (1.0 / course.mean_tan)) * 0.5;
    if let Some((wire, read)) = wire
        && let Some(why) = unfit(course, depth, read, wire)
    {
        return Err(Silent::Unfit(why));
    }
    Ok(Measured { depth, u: u * 0.5, by_width: true })
}

/// Play at the tightest place while the part is in the lathe, cut to its aims.
fn play_aimed(fit: &Fit) -> Option<Length> {
    Some(fit.play_unset()? + fit.press_takes())
}

/// Takes a measured depth over: what lies beyond its uncertainty becomes the offset of the depths still to be set.
/// Says so where it contradicts what was set.
pub(super) fn take_over(
    course: &Course<'_>,
    place: &mut Place,
    measured: Measured,
    field: String,
) -> Option<Note> {
    let expected = expected(place);
    let off = measured.depth - expected;
    place.measured = true;
    if off.abs() <= measured.u {
        return None;
    }
    let set = place.depth;
    let contradicts = contradicts(course, place, measured);
    place.offset += off;
    place.by_width = measured.by_width;
    contradicts.then(|| contradiction(set, expected, measured.depth).field(field))
}

/// Whether a measured depth lies beyond what dial, gauge and spring leave in doubt.
pub(super) fn contradicts(course: &Course<'_>, place: &Place, measured: Measured) -> bool {
    // The spring is reckoned, not read; half a division is the dial's own.
    let doubt = (measured.u * 2.0).to_mm().hypot(course.step().to_mm() * 0.5) + place.left.to_mm() * 0.5;
    (measured.depth - expected(place)).abs().to_mm() > doubt
}

/// A wire or ball that did not lie on the flanks when it was read.
pub(super) fn lay_amiss(why: Unfit, field: String) -> Note {
    let then = match why {
        Unfit::OnTheEdge => "the groove is too narrow for it yet. Measure again some passes later",
        Unfit::OnTheBottom => {
            "the groove is too wide or not deep enough for it. Take a larger one, or measure again some passes later"
        }
        Unfit::BelowCrest => "the gauge bears on the surface instead. Take a larger one",
        Unfit::NoSeat => "read it again",
    };
    Note::remark(format!("By this reading the wire or ball {}: {then}. It tells no depth.", why.words()))
        .field(field)
}

/// A share of the depth set that a dial read in the wrong sense gives, either way.
fn is_about(share: f64, of: f64) -> bool {
    (share / of - 1.0).abs() < 0.08
}

/// Below this a depth is too small to tell half from whole.
const TELLING: Length = Length::mm(0.2);

fn contradiction(set: Length, expected: Length, measured: Length) -> Note {
    let gauge = |l: Length| Value::Length(l, Fine::Gauge);
    let text = Text::new()
        .s("The size measured says that the groove is ")
        .v(gauge(measured))
        .s(" deep; by the depth that was set it should be ")
        .v(gauge(expected))
        .s(". ");
    let share = measured / set;
    if set > TELLING && (is_about(share, 0.5) || is_about(share, 2.0)) {
        let counts = if share < 1.0 { "the diameter" } else { "tool travel" };
        return Note::impossible(text.s(format!(
            "That is {} as much: does this dial count {counts}? Make one trial cut on scrap, mend what the dial reads in the lathe's table, and do not set another depth before.",
            if share < 1.0 { "half" } else { "twice" }
        )));
    }
    Note::warning(if measured < expected {
        text.s("Measure once more before the next pass. If it stands: the tool touched on before it touched, was pushed back in its holder, has lost its tip, or springs more than reckoned. Tighten and look; the passes below start from what was measured.")
    } else {
        text.s("Measure once more before the next pass. If it stands: the dial slipped, its play was taken up the wrong way, or the tool was drawn in. The passes below start from what was measured.")
    })
}

/// A typed setting that differs from the one asked by about a factor of two.
pub(super) fn wrong_sense(asked: Length, typed: Length) -> bool {
    asked > TELLING * 0.5 && (is_about(typed / asked, 2.0) || is_about(typed / asked, 0.5))
}
