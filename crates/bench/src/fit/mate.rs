//! The mate as measured: what is missing of its thread at each place.

use super::play;
use crate::evidence::uncertainty::weighted;
use crate::evidence::{Evidence, Weighed};
use crate::job::{Feature, Quantity};
use crate::report::{Fine, Note, Text, Value};
use flankwise_thread::profile::Basic;
use flankwise_thread::wires::{self, Groove};
use flankwise_thread::{Element, Length, Source, Thread};

/// Uncertainty of a wire or ball that the shop measured with its micrometer: the DIN 863 limit of 4 µm as a
/// rectangular distribution (GUM; the limit as in a one-page extract of DIN 862 and 863).
const U_WIRE_MM: f64 = 0.004 / 1.732_050_8;
/// Uncertainty of one flank's angle on a used thread, in degrees. Common practice, no source: a quarter of a degree.
const U_FLANK_DEG: f64 = 0.25;
/// Share of the pitch beyond which a reading of it is a slip of the count or another thread, and no error of the lead:
/// rolled and worn screws stay a few times within it (chosen here; ISO 3408-3 class T10 allows 0.07 %, from memory).
const LEAD_ERROR_SHARE: f64 = 0.01;
/// Origin of the conversion of readings into pitch diameters.
pub const SOURCE: Source = Source::derived("contact of wire or ball with a helicoid, uncertainty by GUM");

/// The mate at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// Place along the mate from its end.
    pub place: Length,
    /// What is missing of its thread there, axially, at the basic pitch line.
    pub missing: Length,
    /// Standard uncertainty of that.
    pub u_missing: Length,
    /// Pitch diameter; the basic one for upright flanks.
    pub pitch_diameter: Length,
    /// Standard uncertainty of that.
    pub u: Length,
}

/// What is known of the mate.
#[derive(Clone, Debug, PartialEq)]
pub struct Mate {
    /// Nut or screw.
    pub element: Element,
    /// Places, in order along the mate.
    pub seen: Vec<Seen>,
    /// Major diameters read, with their standard uncertainty (screw: outside; nut: root).
    pub majors: Vec<(Length, Length)>,
    /// Minor diameters read (screw: root; nut: bore).
    pub minors: Vec<(Length, Length)>,
    /// Pitch as measured on the mate, with its standard uncertainty.
    pub pitch: Option<(Length, Length)>,
    /// What is worth saying about the readings.
    pub notes: Vec<Note>,
}

fn length(q: Quantity) -> Option<Length> {
    match q {
        Quantity::Length(l, _) => Some(l),
        Quantity::Angle(_) => None,
    }
}

/// Gathers the readings of `element`.
pub fn gather(evidence: &Evidence, element: Element, thread: &Thread, basic: &Basic) -> Mate {
    let mut mate = Mate {
        element,
        seen: Vec::new(),
        majors: Vec::new(),
        minors: Vec::new(),
        pitch: None,
        notes: Vec::new(),
    };
    let k = play::slope(basic.flank_leading, basic.flank_trailing);
    let mut placed: Vec<(Length, Length, Length)> = Vec::new();
    let mut unplaced: Vec<(Length, Length, Length)> = Vec::new();
    let mut pitches: Vec<(f64, f64)> = Vec::new();
    for reading in evidence.readings.iter().filter(|r| r.part == element) {
        if evidence.suspects.iter().any(|(index, _)| *index == reading.index) {
            mate.notes.push(
                Note::warning("This reading looks like a slip, so the sizes do not use it.")
                    .field(format!("reading[{}]", reading.index + 1)),
            );
            continue;
        }
        let (Some(value), Some(u)) = (length(reading.value), length(reading.u)) else { continue };
        match reading.feature {
            Feature::MajorDiameter => mate.majors.push((value, u)),
            Feature::MinorDiameter => mate.minors.push((value, u)),
            Feature::Pitch | Feature::Lead => {
                let starts = if reading.feature == Feature::Lead { f64::from(thread.starts) } else { 1.0 };
                let pitch = value / starts;
                if (pitch - basic.p).abs() > basic.p * LEAD_ERROR_SHARE {
                    mate.notes.push(no_lead_error(pitch, basic.p, reading.index));
                } else {
                    pitches.push((pitch.to_mm(), u.to_mm() / starts));
                }
            }
            _ => match missing(reading, value, u, element, thread, basic, k) {
                Some(Ok((missing, u))) => match reading.place {
                    Some(place) => placed.push((place, missing, u)),
                    None => unplaced.push((Length::ZERO, missing, u)),
                },
                Some(Err(why)) => {
                    mate.notes.push(Note::warning(why).field(format!("reading[{}]", reading.index + 1)))
                }
                None => {}
            },
        }
    }
    if placed.is_empty() {
        placed = unplaced;
    } else if !unplaced.is_empty() {
        mate.notes.push(Note::remark(
            "Readings of the thread without a place are left out: say where along the part they were taken.",
        ));
    }
    mate.pitch = weighted(&pitches).map(|(v, u)| (Length::mm(v), Length::mm(u)));
    placed.sort_by(|a, b| a.0.to_mm().total_cmp(&b.0.to_mm()));
    mate.seen = merge(&placed, &mut mate.notes)
        .into_iter()
        .map(|(place, missing, u_missing)| Seen {
            place,
            missing,
            u_missing,
            pitch_diameter: play::pitch_diameter(element, missing, basic.d2, k),
            u: if k > 0.0 { u_missing / k } else { u_missing },
        })
        .collect();
    mate
}

/// Says that a reading of the pitch is too far off to be an error of the lead.
fn no_lead_error(read: Length, pitch: Length, index: usize) -> Note {
    Note::warning(
        Text::from("A pitch of ")
            .v(Value::Length(read, Fine::Gauge))
            .s(" was read where the thread has ")
            .v(Value::Length(pitch, Fine::Gauge))
            .s(": no screw errs so far, so this is a slip of the count or another thread. The sizes do not use it: count again."),
    )
    .field(format!("reading[{}]", index + 1))
}

/// One value for each place; says so where readings at one place disagree.
fn merge(placed: &[(Length, Length, Length)], notes: &mut Vec<Note>) -> Vec<(Length, Length, Length)> {
    placed
        .chunk_by(|a, b| (a.0 - b.0).abs() < Length::mm(0.5))
        .filter_map(|group| {
            let values: Vec<_> = group.iter().map(|(_, m, u)| (m.to_mm(), u.to_mm())).collect();
            let (mean, u) = weighted(&values)?;
            if values.iter().any(|(v, u)| (v - mean).abs() > 3.0 * u) {
                notes.push(Note::warning(
                    Text::from("Readings of the thread disagree at ")
                        .v(Value::Length(group[0].0, Fine::Coarse))
                        .s(" by more than their uncertainty: read again there."),
                ));
            }
            Some((group[0].0, Length::mm(mean), Length::mm(u)))
        })
        .collect()
}

/// What a reading says is missing of the thread, with its standard uncertainty. `None` where it says nothing.
fn missing(
    reading: &Weighed,
    value: Length,
    u: Length,
    element: Element,
    thread: &Thread,
    basic: &Basic,
    k: f64,
) -> Option<Result<(Length, Length), String>> {
    let from_diameter = |at: Length, u: Length| {
        if k > 0.0 {
            Ok((play::missing(element, at, basic.d2, k), u * k))
        } else {
            Err("On upright flanks a pitch diameter tells nothing of the play: read the thread thickness."
                .to_owned())
        }
    };
    match reading.feature {
        Feature::PitchDiameter => Some(from_diameter(value, u)),
        Feature::OverWires => {
            Some(reading.wire.ok_or_else(|| "needs the wire's diameter".to_owned()).and_then(|wire| {
                let groove = Groove::of(thread);
                let d2 = over_wires(&groove, element, value, wire)?;
                let u = u_over_wires(&groove, wire, u);
                from_diameter(d2, u)
            }))
        }
        Feature::ThreadThickness => Some(Ok((basic.p / 2.0 - value, u))),
        // The crest of a square thread is as wide as its ridge.
        Feature::CrestFlat if k <= 0.0 => Some(Ok((basic.p / 2.0 - value, u))),
        _ => None,
    }
}

/// The one place where a reading over wires (screw) or between balls (nut) becomes a pitch diameter.
fn over_wires(groove: &Groove, element: Element, value: Length, wire: Length) -> Result<Length, String> {
    match element {
        Element::External => wires::pitch_diameter_from_wires(groove, value, wire),
        Element::Internal => wires::pitch_diameter_from_balls(groove, value, wire),
    }
    .map_err(|why| format!("No pitch diameter comes from these wires: {why}."))
}

/// Standard uncertainty of the pitch diameter from wires: the reading's own, the wire's (factor 1 + csc α), and the
/// flank angle's, which vanishes for the best wire: ∂d2/∂α = (w cos α - P/2) / sin² α.
fn u_over_wires(groove: &Groove, wire: Length, u_reading: Length) -> Length {
    let half = (groove.flank_leading + groove.flank_trailing) * 0.5;
    let by_wire = (1.0 + half.sin().recip()) * U_WIRE_MM;
    let by_flank =
        (wire * half.cos() - groove.pitch / 2.0).to_mm() / half.sin().powi(2) * U_FLANK_DEG.to_radians();
    Length::mm(u_reading.to_mm().hypot(by_wire).hypot(by_flank))
}

impl Mate {
    /// The place where least is missing: the tightest.
    pub fn tightest(&self) -> Option<&Seen> {
        self.seen.iter().min_by(|a, b| a.missing.to_mm().total_cmp(&b.missing.to_mm()))
    }
    /// The place where most is missing.
    pub fn loosest(&self) -> Option<&Seen> {
        self.seen.iter().max_by(|a, b| a.missing.to_mm().total_cmp(&b.missing.to_mm()))
    }
    /// What is missing at any place, straight lines between the places read, level beyond them.
    pub fn missing_at(&self, place: Length) -> Option<Length> {
        let after = self.seen.iter().position(|s| s.place >= place);
        match after {
            None => self.seen.last().map(|s| s.missing),
            Some(0) => self.seen.first().map(|s| s.missing),
            Some(i) => {
                let (a, b) = (&self.seen[i - 1], &self.seen[i]);
                Some(a.missing + (b.missing - a.missing) * ((place - a.place) / (b.place - a.place)))
            }
        }
    }
    /// The least that is missing between two places: what a nut that covers them runs on.
    pub fn least_missing(&self, from: Length, to: Length) -> Option<Length> {
        self.seen
            .iter()
            .filter(|s| s.place >= from && s.place <= to)
            .map(|s| s.missing)
            .chain(self.missing_at(from))
            .chain(self.missing_at(to))
            .reduce(Length::min)
    }
    /// Largest major diameter read.
    pub fn largest_major(&self) -> Option<Length> {
        self.majors.iter().map(|m| m.0).reduce(Length::max)
    }
    /// Smallest major diameter read.
    pub fn smallest_major(&self) -> Option<Length> {
        self.majors.iter().map(|m| m.0).reduce(Length::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mate(points: &[(f64, f64)]) -> Mate {
        let seen = points
            .iter()
            .map(|&(place, missing)| Seen {
                place: Length::mm(place),
                missing: Length::mm(missing),
                u_missing: Length::um(5.0),
                pitch_diameter: Length::mm(19.0),
                u: Length::um(20.0),
            })
            .collect();
        Mate {
            element: Element::External,
            seen,
            majors: Vec::new(),
            minors: Vec::new(),
            pitch: None,
            notes: Vec::new(),
        }
    }

    #[test]
    fn runs_straight_between_places_and_level_beyond() {
        let m = mate(&[(20.0, 0.02), (120.0, 0.12)]);
        let at = |z| m.missing_at(Length::mm(z)).map_or(f64::NAN, Length::to_mm);
        assert!((at(70.0) - 0.07).abs() < 1e-12);
        assert_eq!((at(0.0), at(500.0)), (0.02, 0.12));
    }

    /// A nut that bridges a short worn stretch still runs on its ends.
    #[test]
    fn a_nut_runs_on_the_thickest_thread_it_covers() {
        let m = mate(&[(0.0, 0.0), (50.0, 0.2), (100.0, 0.0)]);
        let least = |a, b| m.least_missing(Length::mm(a), Length::mm(b)).map_or(f64::NAN, Length::to_mm);
        assert!((least(40.0, 60.0) - 0.16).abs() < 1e-12);
        assert_eq!(least(-10.0, 110.0), 0.0);
    }

    #[test]
    fn equal_readings_share_the_uncertainty() {
        let (v, u) = weighted(&[(1.0, 0.2), (2.0, 0.2)]).unwrap_or_default();
        assert!((v - 1.5).abs() < 1e-12 && (u - 0.2 / 2f64.sqrt()).abs() < 1e-12);
        assert_eq!(weighted(&[]), None);
    }
}
