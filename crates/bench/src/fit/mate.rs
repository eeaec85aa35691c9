//! The mate as measured: what is missing of its thread at each place.

use super::{play, word};
pub(super) use crate::evidence::SAME_PLACE;
use crate::evidence::uncertainty::weighted;
use crate::evidence::{Evidence, Weighed};
use crate::job::{Feature, Quantity, Side, Words};
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
/// Readings at one place contradict each other beyond so many of their standard uncertainties.
const PROVED: f64 = 3.0;
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

impl Seen {
    /// From what is missing as read there.
    pub(super) fn of(element: Element, read: &Read, basic: &Basic, slope: f64) -> Self {
        Self {
            place: read.place.unwrap_or_default(),
            missing: read.value,
            u_missing: read.u,
            pitch_diameter: play::pitch_diameter(element, read.value, basic.d2, slope),
            u: if slope > 0.0 { read.u / slope } else { read.u },
        }
    }
}

/// A length read on the mate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Read {
    /// Place along the mate from its end, where it was said.
    pub place: Option<Length>,
    /// What was read.
    pub value: Length,
    /// Its standard uncertainty.
    pub u: Length,
}

/// A pitch read over one or several turns.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Middle of the span along the mate from its end, where it was said.
    pub place: Option<Length>,
    /// Pitches in it.
    pub pitches: u32,
    /// The pitch, as the mean of the span.
    pub pitch: Length,
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
    /// What readings without a place say is missing, where others have one; `value` is that.
    pub unplaced: Vec<Read>,
    /// Depth worn off the left and the right flank.
    pub worn: [Vec<Read>; 2],
    /// Angle of the left and the right flank with its standard uncertainty, radians; each as read, or half of the
    /// angle that both include.
    pub flanks: [Option<(f64, f64)>; 2],
    /// Major diameters (screw: outside; nut: root).
    pub majors: Vec<Read>,
    /// Minor diameters (screw: root; nut: bore).
    pub minors: Vec<Read>,
    /// Readings of the pitch that may be errors of the lead.
    pub spans: Vec<Span>,
    /// Full indicator readings on the crests.
    pub run_outs: Vec<Read>,
    /// What is worth saying about the readings.
    pub notes: Vec<Note>,
    /// Readings that the sizes do not use, each with why.
    pub left_out: Vec<Note>,
}

fn length(q: Quantity) -> Option<Length> {
    match q {
        Quantity::Length(l, _) => Some(l),
        Quantity::Angle(_) => None,
    }
}

/// Gathers the readings of `element`.
pub fn gather(evidence: &Evidence, element: Element, thread: &Thread, basic: &Basic) -> Mate {
    let mut mate = Mate { flanks: flank_angles(evidence, element), ..Mate::unread(element) };
    let k = play::slope(basic.flank_leading, basic.flank_trailing);
    let (mut placed, mut unplaced): (Vec<Read>, Vec<Read>) = (Vec::new(), Vec::new());
    for reading in evidence.readings.iter().filter(|r| r.part == element) {
        let field = || format!("reading[{}]", reading.index + 1);
        if let Some((_, why)) = evidence.suspects.iter().find(|(index, _)| *index == reading.index) {
            mate.left_out.push(slip(reading, why).field(field()));
            continue;
        }
        let (Some(value), Some(u)) = (length(reading.value), length(reading.u)) else { continue };
        let read = Read { place: reading.place, value, u };
        match reading.feature {
            Feature::MajorDiameter => mate.majors.push(read),
            Feature::MinorDiameter => mate.minors.push(read),
            Feature::RunOut => mate.run_outs.push(read),
            Feature::FlankWear => {
                let side = usize::from(reading.side == Some(Side::Right));
                mate.worn[side].push(read);
            }
            Feature::Pitch | Feature::Lead => {
                let starts = if reading.feature == Feature::Lead { thread.starts } else { 1 };
                let pitch = value / f64::from(starts);
                if (pitch - basic.p).abs() > basic.p * LEAD_ERROR_SHARE {
                    mate.notes.push(no_lead_error(pitch, basic.p, reading.index));
                } else {
                    mate.spans.push(Span {
                        place: reading.place,
                        pitches: reading.count.unwrap_or(1) * starts,
                        pitch,
                        u: u / f64::from(starts),
                    });
                }
            }
            _ => match missing(reading, value, u, element, thread, basic, k) {
                Some(Ok((value, u))) => {
                    if read.place.is_some() { &mut placed } else { &mut unplaced }.push(Read {
                        value,
                        u,
                        ..read
                    });
                }
                Some(Err(why)) => mate.notes.push(Note::warning(why).field(field())),
                None => {}
            },
        }
    }
    if placed.is_empty() {
        placed = unplaced;
    } else if !unplaced.is_empty() {
        mate.notes.push(without_place(&placed, &unplaced, element));
        mate.unplaced = unplaced;
    }
    if !placed.is_sorted_by_key(|read| read.place.unwrap_or_default()) {
        mate.notes.push(Note::remark(
            "The readings of the thread were not entered in order of their places: they are sorted here.",
        ));
    }
    let notes = &mut mate.notes;
    let seen = merge(placed, Length::min, "the thread", notes);
    mate.seen = seen.iter().map(|read| Seen::of(element, read, basic, k)).collect();
    // Of two that contradict each other the one counts that leaves more metal.
    let proud = if element == Element::External { Length::max } else { Length::min };
    mate.majors = merge_placed(std::mem::take(&mut mate.majors), proud, "the major diameter", notes);
    mate.minors = merge_placed(std::mem::take(&mut mate.minors), proud, "the minor diameter", notes);
    for side in &mut mate.worn {
        *side = merge_placed(std::mem::take(side), Length::min, "the wear of a flank", notes);
    }
    mate
}

/// Says that a reading is left out of the sizes, and what would keep it.
fn slip(reading: &Weighed, why: &str) -> Note {
    let mut text = Text::from(format!("The {}'s {} of ", word(reading.part), reading.feature.word()));
    text = match reading.value {
        Quantity::Length(value, _) => text.v(Value::Length(value, Fine::Gauge)),
        Quantity::Angle(angle) => text.v(Value::Angle(angle, 1)),
    };
    if let Some(place) = reading.place {
        text = text.s(" at ").v(Value::Length(place, Fine::Coarse));
    }
    Note::warning(text.s(format!(
        " is left out of the sizes, as it looks like a slip: {}. Read there again and mend it or take it out. If it stands, say how many readings it is the mean of (mean_of), and where it was taken.",
        why.trim_end_matches(['.', '?'])
    )))
}

/// The left and the right flank's angle from readings of either, and from those of no side and of both together.
fn flank_angles(evidence: &Evidence, element: Element) -> [Option<(f64, f64)>; 2] {
    [Side::Left, Side::Right].map(|side| {
        let read = evidence
            .readings
            .iter()
            .filter(|r| r.part == element && evidence.suspects.iter().all(|(index, _)| *index != r.index));
        let angles: Vec<_> = read
            .filter_map(|r| {
                let (Quantity::Angle(angle), Quantity::Angle(u)) = (r.value, r.u) else { return None };
                let share = match r.feature {
                    Feature::FlankAngle if r.side.is_none_or(|s| s == side) => 1.0,
                    Feature::IncludedAngle => 0.5,
                    _ => return None,
                };
                Some((angle.to_rad() * share, u.to_rad() * share))
            })
            .collect();
        weighted(&angles)
    })
}

/// Says what becomes of readings without a place where others have one.
fn without_place(placed: &[Read], unplaced: &[Read], element: Element) -> Note {
    let least = |reads: &[Read]| reads.iter().map(|r| r.value).reduce(Length::min).unwrap_or_default();
    let thicker = least(placed) - least(unplaced);
    if thicker <= Length::ZERO {
        return Note::remark(
            "Readings of the thread without a place are left out: say where along the part they were taken.",
        );
    }
    let mate = word(element);
    Note::warning(
        Text::from(format!("A reading of the {mate}'s thread without a place finds it thicker by "))
            .v(Value::Length(thicker, Fine::Gauge))
            .s(" than any with a place: the part is sized to pass it wherever that is, and is looser by as much at the places read. Say where it was taken."),
    )
    .field("reading")
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

/// The same of readings of which some have no place: those stay as they are.
fn merge_placed(
    reads: Vec<Read>,
    governs: fn(Length, Length) -> Length,
    what: &str,
    notes: &mut Vec<Note>,
) -> Vec<Read> {
    let (placed, mut others): (Vec<Read>, Vec<Read>) = reads.into_iter().partition(|r| r.place.is_some());
    let mut all = merge(placed, governs, what, notes);
    all.append(&mut others);
    all
}

/// One value for each place, in order of the places: the weighted mean. Where readings at one place contradict each
/// other, that is said, the one counts that governs, and its uncertainty is that of their mean, widened by how much more
/// they scatter than they say (Birge's ratio).
fn merge(
    mut placed: Vec<Read>,
    governs: fn(Length, Length) -> Length,
    what: &str,
    notes: &mut Vec<Note>,
) -> Vec<Read> {
    placed.sort_by(|a, b| {
        let place = |read: &Read| read.place.unwrap_or_default().to_mm();
        place(a).total_cmp(&place(b))
    });
    let near = |a: &Read, b: &Read| a.place.zip(b.place).is_none_or(|(a, b)| (a - b).abs() < SAME_PLACE);
    placed
        .chunk_by(near)
        .filter_map(|group| {
            let values: Vec<_> = group.iter().map(|r| (r.value.to_mm(), r.u.to_mm())).collect();
            let (mean, u) = weighted(&values)?;
            let place = group[0].place;
            let agreed = Read { place, value: Length::mm(mean), u: Length::mm(u) };
            if values.iter().all(|(v, u)| (v - mean).abs() <= PROVED * u) {
                return Some(agreed);
            }
            let squares: f64 = values.iter().map(|(v, u)| ((v - mean) / u).powi(2)).sum();
            let birge = (squares / (values.len() - 1) as f64).sqrt();
            let at = Text::from(format!("Readings of {what} "));
            let at = match place {
                Some(place) => at.s("at ").v(Value::Length(place, Fine::Coarse)),
                None => at.s("without a place"),
            };
            notes.push(
                Note::warning(at.s(" disagree by more than their uncertainty. The sizes are for the one with more metal, and the band covers both: read again there."))
                    .field("reading"),
            );
            let value = group.iter().map(|r| r.value).reduce(governs)?;
            Some(Read { value, u: agreed.u * birge, ..agreed })
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
    /// A mate of which nothing was read.
    pub fn unread(element: Element) -> Self {
        Self {
            element,
            seen: Vec::new(),
            unplaced: Vec::new(),
            worn: [Vec::new(), Vec::new()],
            flanks: [None, None],
            majors: Vec::new(),
            minors: Vec::new(),
            spans: Vec::new(),
            run_outs: Vec::new(),
            notes: Vec::new(),
            left_out: Vec::new(),
        }
    }
    /// The place where least is missing: the tightest.
    pub fn tightest(&self) -> Option<&Seen> {
        self.seen.iter().min_by(|a, b| a.missing.to_mm().total_cmp(&b.missing.to_mm()))
    }
    /// The reading without a place that finds the thread thicker than this tightest place; none where none does.
    pub(super) fn thicker_unplaced(&self, tightest: &Seen) -> Option<&Read> {
        let thickest = self.unplaced.iter().min_by(|a, b| a.value.to_mm().total_cmp(&b.value.to_mm()))?;
        (thickest.value < tightest.missing).then_some(thickest)
    }
    /// The place where most is missing.
    pub fn loosest(&self) -> Option<&Seen> {
        self.seen.iter().max_by(|a, b| a.missing.to_mm().total_cmp(&b.missing.to_mm()))
    }
    /// Largest major diameter read.
    pub fn largest_major(&self) -> Option<Length> {
        self.majors.iter().map(|m| m.value).reduce(Length::max)
    }
    /// Smallest major diameter read.
    pub fn smallest_major(&self) -> Option<Length> {
        self.majors.iter().map(|m| m.value).reduce(Length::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_readings_share_the_uncertainty() {
        let (v, u) = weighted(&[(1.0, 0.2), (2.0, 0.2)]).unwrap_or_default();
        assert!((v - 1.5).abs() < 1e-12 && (u - 0.2 / 2f64.sqrt()).abs() < 1e-12);
        assert_eq!(weighted(&[]), None);
    }

    #[test]
    fn readings_at_one_place_are_one() {
        let read = |place: f64, value: f64| Read {
            place: Some(Length::mm(place)),
            value: Length::mm(value),
            u: Length::um(10.0),
        };
        let mut notes = Vec::new();
        let mut merged =
            |reads: &[Read]| (merge(reads.to_vec(), Length::min, "the thread", &mut notes), notes.len());
        let (agreed, said) = merged(&[read(60.0, 0.2), read(20.0, 0.10), read(20.3, 0.12)]);
        assert_eq!((agreed.len(), said), (2, 0));
        assert!((agreed[0].value - Length::mm(0.11)).abs() < Length::um(1e-6));
        // Five standard uncertainties either way of their mean: the thicker thread counts, with the mean's 10/√2 times
        // √(2·25/1).
        let (apart, said) = merged(&[read(20.0, 0.10), read(20.3, 0.20)]);
        assert_eq!((apart.len(), apart[0].value, said), (1, Length::mm(0.10), 1));
        assert!((apart[0].u - Length::mm(0.05)).abs() < Length::um(1e-6), "{:?}", apart[0].u);
    }
}
