//! Diameters of the part that its flanks do not set: the blank, the bottom of the groove, and the room over them.

use super::mate::Mate;
use super::{Aside, Fit, Size, of, other, word};
use crate::report::{Block, Figure, Fine, Note, Text, Value};
use flankwise_thread::limits::Range;
use flankwise_thread::profile::Basic;
use flankwise_thread::{Element, Length, Limits, Source, Unit};

/// Left in the bore when drilling, for the boring bar to make it straight. Common practice, no source.
const BORE_ALLOWANCE: Length = Length::mm(1.0);
const DRILL_SOURCE: Source =
    Source::practice("about 1 mm left on the diameter for the boring bar to make it straight");
/// Wear from which a ledge is worth a word. Chosen here.
const LEDGE: Length = Length::mm(0.05);

/// Room kept between crest and root of part and mate, on the diameter, where the mate's own diameter was read.
const CREST_ROOM: Length = Length::mm(0.1);

/// Both ends of a range, a missing one filled in `spread` away from the other, or from `basic`.
fn ends(range: Option<Range>, basic: Length, spread: Length) -> (Length, Length) {
    match range.map_or((None, None), |r| (r.min, r.max)) {
        (Some(lo), Some(hi)) => (lo, hi),
        (Some(lo), None) => (lo, lo.max(basic) + spread.abs()),
        (None, Some(hi)) => (hi.min(basic) - spread.abs(), hi),
        (None, None) => (basic.min(basic + spread), basic.max(basic + spread)),
    }
}

/// Width of the band where a standard leaves a side open, in pitches. Chosen here.
const OPEN: f64 = 0.06;
/// The same for the bore of a nut, which costs depth of thread only. Chosen here.
const OPEN_BORE: f64 = 0.1;
/// A blank is aimed at one part in so many of its band, from the side of most metal: it keeps the depth of thread and
/// leaves something to ream or to spoil. Chosen here.
const BLANK_AT: f64 = 4.0;
/// The same for the bottom of the groove. Chosen here.
const BOTTOM_AT: f64 = 3.0;

/// The blank and the bottom of the groove.
pub(super) fn crests(
    part: Element,
    basic: &Basic,
    book: Option<&Limits>,
    (mate, old): (&Mate, &Mate),
    aside: &mut Aside,
) -> (Size, Size) {
    let limits = book.and_then(|b| of(b, part));
    match part {
        Element::Internal => {
            let (lo, hi) = ends(limits.map(|l| l.minor), basic.d1_internal, basic.p * OPEN_BORE);
            let root = mate.minors.iter().map(|m| m.value).reduce(Length::max);
            let rounded = fillet(basic, basic.root_radius - basic.crest_radius_internal);
            let (lo, hi) = clear_of(part, (lo, hi), root, ("root", rounded), aside);
            let (lo, hi) = clear_of_ledge(lo, hi, mate, old, basic, aside);
            let blank = Size { aim: lo + (hi - lo) / BLANK_AT, min: lo, max: hi };
            let (lo, hi) = ends(limits.map(|l| l.major), basic.d4_internal, basic.p * OPEN);
            let (lo, hi) = clear_of(part, (lo, hi), mate.largest_major(), ("crest", Length::ZERO), aside);
            (blank, Size { aim: lo + (hi - lo) / BOTTOM_AT, min: lo, max: hi })
        }
        Element::External => {
            let (lo, hi) = ends(limits.map(|l| l.major), basic.d, basic.p * -OPEN);
            let root = mate.majors.iter().map(|m| m.value).reduce(Length::min);
            let rounded = fillet(basic, basic.root_radius_internal - basic.crest_radius);
            let (lo, hi) = clear_of(part, (lo, hi), root, ("root", rounded), aside);
            let blank = Size { aim: hi - (hi - lo) / BLANK_AT, min: lo, max: hi };
            let (lo, hi) = ends(limits.map(|l| l.minor), basic.d3, basic.p * -OPEN);
            let bore = mate.minors.iter().map(|m| m.value).reduce(Length::min);
            let (lo, hi) = clear_of(part, (lo, hi), bore, ("bore", Length::ZERO), aside);
            (blank, Size { aim: hi - (hi - lo) / BOTTOM_AT, min: lo, max: hi })
        }
    }
}

/// Below the bore of the nut that ran on it a worn screw's flanks are not worn: a bore smaller than that rides on the
/// ledge. Where the limits reach so far, the bore is kept to the old one's; else the nut's crest is to be relieved.
fn clear_of_ledge(
    lo: Length,
    hi: Length,
    mate: &Mate,
    old: &Mate,
    basic: &Basic,
    aside: &mut Aside,
) -> (Length, Length) {
    let Some(bore) = old.minors.iter().map(|r| r.value).reduce(Length::min) else { return (lo, hi) };
    let worn = mate
        .loosest()
        .zip(mate.tightest())
        .map_or(Length::ZERO, |(most, least)| most.missing - least.missing);
    if bore <= lo || worn < LEDGE {
        return (lo, hi);
    }
    let text = Text::from("The old nut's bore was read at ")
        .len(bore)
        .s(": nearer the axis the screw's flanks never wore, and stand proud by up to ")
        .v(Value::Length(worn, Fine::Gauge));
    if bore <= hi {
        aside.note(Note::remark(
            text.s(". The bore is kept no smaller, so that its crest does not ride on that ledge."),
        ));
        return (bore, hi);
    }
    aside.note(Note::warning(
        text.s(". A bore so large would leave ")
            .len((basic.d - bore) / 2.0)
            .s(" of engagement: bore to the size given, and break the corner of the nut's crest by as much as the ledge, or take the ledge off the screw."),
    ));
    (lo, hi)
}

/// How far the rounding in the corner of the mate's root reaches beyond it, on the diameter, where it is rounder by so
/// much than the part's crest: a crest that goes deeper rides on it before the flanks touch.
fn fillet(basic: &Basic, rounder: Length) -> Length {
    let flank = (basic.flank_leading + basic.flank_trailing) * 0.5;
    rounder.max(Length::ZERO) * (2.0 * (1.0 - flank.sin()))
}

/// Keeps the part's limits clear of the mate's diameter there, where that was read: a nut's outward of it, a screw's
/// inward, by no less than its rounded corners reach.
fn clear_of(
    part: Element,
    (lo, hi): (Length, Length),
    mate: Option<Length>,
    (what, rounded): (&str, Length),
    aside: &mut Aside,
) -> (Length, Length) {
    let Some(mate) = mate else { return (lo, hi) };
    let room = CREST_ROOM.max(rounded);
    let (need, opened, limits) = match part {
        Element::Internal => {
            let need = mate + room;
            (need, "opened", (need > lo).then(|| (need, hi.max(need + CREST_ROOM))))
        }
        Element::External => {
            let need = mate - room;
            (need, "reduced", (need < hi).then(|| (lo.min(need - CREST_ROOM), need)))
        }
    };
    let Some(limits) = limits else { return (lo, hi) };
    aside.note(Note::remark(
        Text::from(format!("The {}'s {what} was read at ", word(other(part))))
            .len(mate)
            .s(format!(": the {} is {opened} there to ", word(part)))
            .len(need)
            .s(" so that it clears."),
    ));
    limits
}

/// Largest drill, in tenths of a millimetre or in 64ths of an inch, that leaves the boring bar its allowance.
pub(super) fn drill(bore: Length, unit: Unit) -> Length {
    let step = match unit {
        Unit::Mm => Length::mm(0.1),
        Unit::Inch => Length::inch(1.0 / 64.0),
    };
    step * ((bore - BORE_ALLOWANCE) / step + 1e-9).floor()
}

/// A drill as it is marked: in millimetres, or as a fraction of an inch.
pub(super) fn marked(drill: Length, unit: Unit) -> String {
    match unit {
        Unit::Mm => format!("{:.1} mm", drill.to_mm()),
        Unit::Inch => {
            let parts = (drill.to_inch() * 64.0).round() as i64;
            let common = 1_i64 << parts.trailing_zeros().min(6);
            let (over, under) = (parts / common, 64 / common);
            match (over / under, over % under) {
                (whole, 0) => format!("{whole} in"),
                (0, over) => format!("{over}/{under} in"),
                (whole, over) => format!("{whole}-{over}/{under} in"),
            }
        }
    }
}

/// Adds the drill and the room over the crests.
pub(super) fn report(fit: &mut Fit, mate: &Mate, basic: &Basic) {
    let aims = |nut: Length, screw: Length| (nut - screw) / 2.0;
    let minor = mate.minors.iter().map(|r| r.value);
    let (over_crest, over_root) = match fit.part {
        Element::Internal => {
            let root = minor.reduce(Length::max).unwrap_or(basic.d3);
            (aims(fit.bottom.aim, mate.largest_major().unwrap_or(basic.d)), aims(fit.blank.aim, root))
        }
        Element::External => {
            let root = mate.smallest_major().unwrap_or(basic.d4_internal);
            let bore = minor.reduce(Length::min).unwrap_or(basic.d1_internal);
            (aims(root, fit.blank.aim), aims(bore, fit.bottom.aim))
        }
    };
    let room = |key, what: &str, room| {
        Figure::new(
            key,
            what,
            Value::Length(room, Fine::Shop),
            Source::derived("aim of the part against the mate as read, or its basic size"),
        )
    };
    let mut figures = vec![
        room("crest_room", "room over the screw's crests, radial", over_crest).formula("(D4 - d) / 2"),
        room("root_room", "room over the nut's crests, radial", over_root).formula("(D1 - d3) / 2"),
    ];
    if fit.part == Element::Internal {
        for (key, what, unit) in [
            ("drill_mm", "largest drill before boring, in tenths of a millimetre", Unit::Mm),
            ("drill_inch", "the same in 64ths of an inch", Unit::Inch),
        ] {
            figures.push(
                Figure::new(key, what, Value::Word(marked(drill(fit.blank.aim, unit), unit)), DRILL_SOURCE)
                    .formula("bore - 1 mm, rounded down"),
            );
        }
    }
    fit.detail.push(Block::Figures("Crests and drill".into(), figures));
}

/// Radial overlap of part and mate, from the mate's readings where there are any.
pub(super) fn engagement(
    part: Element,
    basic: &Basic,
    book: Option<&Limits>,
    mate: &Mate,
    blank: Size,
) -> Length {
    match part {
        Element::Internal => (mate.smallest_major().unwrap_or(basic.d) - blank.aim) / 2.0,
        Element::External => {
            let bore = mate.minors.iter().map(|m| m.value).reduce(Length::max);
            let by_book = book
                .and_then(|b| b.internal.as_ref())
                .and_then(|l| l.minor.min.zip(l.minor.max))
                .map(|(lo, hi)| (lo + hi) / 2.0);
            (blank.aim - bore.or(by_book).unwrap_or(basic.d1_internal)) / 2.0
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flankwise_thread::Source;
    use flankwise_thread::limits::Rounding;

    #[test]
    fn an_open_side_is_filled_in_away_from_the_part() {
        let source = Source::choice("test");
        let open = Range { min: Some(Length::mm(22.5)), max: None, source, rounding: Rounding::Exact };
        let (lo, hi) = ends(Some(open), Length::mm(22.5), Length::mm(0.3));
        assert_eq!((lo.to_mm(), hi.to_mm()), (22.5, 22.8));
        let (lo, hi) = ends(None, Length::mm(16.5), Length::mm(-0.3));
        assert_eq!((lo.to_mm(), hi.to_mm()), (16.2, 16.5));
    }

    #[test]
    fn drill_is_the_next_below_in_either_system() {
        assert!((drill(Length::mm(17.09), Unit::Mm).to_mm() - 16.0).abs() < 1e-9);
        assert!((drill(Length::mm(17.1), Unit::Mm).to_mm() - 16.1).abs() < 1e-9);
        // 16.1 mm is 40.57 64ths.
        assert!((drill(Length::mm(17.1), Unit::Inch).to_inch() - 40.0 / 64.0).abs() < 1e-12);
        for (parts, word) in [(40.0, "5/8 in"), (41.0, "41/64 in"), (64.0, "1 in"), (90.0, "1-13/32 in")] {
            assert_eq!(marked(Length::inch(parts / 64.0), Unit::Inch), word);
        }
    }
}
