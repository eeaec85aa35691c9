//! What must hold for every thread, listed or not.

mod threads;

use flankwise_thread::limits::{Element, ElementLimits, ExtraKind, Limits, Range, Rounding, limits};
use flankwise_thread::profile::{Basic, Point};
use flankwise_thread::{Family, Hand, Length, Thread, catalogue};
use proptest::prelude::*;
use threads::any_thread;

/// Both elements in the classes of `thread`, or in the default class where it names one only.
fn both_elements(thread: &Thread) -> (ElementLimits, ElementLimits) {
    let default = |element| thread.family.form().classes(element).first().map(|c| (*c).to_owned());
    let thread = Thread {
        external_class: thread.external_class.clone().or_else(|| default(Element::External)),
        internal_class: thread.internal_class.clone().or_else(|| default(Element::Internal)),
        ..thread.clone()
    };
    let limits = limits(&thread).unwrap_or_else(|e| panic!("{e}"));
    (limits.external.expect("external"), limits.internal.expect("internal"))
}

/// Radius of an outline at `z`, on its chords; it repeats every pitch.
fn radius(points: &[Point], z: f64) -> f64 {
    let (start, end) = (points[0].z, points[points.len() - 1].z);
    let z = start + (z - start).rem_euclid(end - start);
    let at = points.windows(2).find(|pair| pair[0].z <= z && z <= pair[1].z && pair[1].z > pair[0].z);
    let [a, b] = at.expect("z within the pitch") else { unreachable!("windows of two") };
    a.r + (b.r - a.r) * (z - a.z) / (b.z - a.z)
}

/// The last place that a limit was rounded to; rounding moves it by half of that.
fn last_place(range: &Range) -> Option<Length> {
    match range.rounding {
        Rounding::Exact => None,
        Rounding::Micrometre | Rounding::MicrometreToEven => Some(Length::um(1.0)),
        Rounding::Hundredth => Some(Length::um(10.0)),
        Rounding::Thousandth => Some(Length::inch(1e-3)),
        Rounding::TenThousandth => Some(Length::inch(1e-4)),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_written_reads_back(thread in any_thread()) {
        let written = thread.to_string();
        prop_assert_eq!(written.parse::<Thread>().map_err(|e| e.to_string()), Ok(thread), "{}", written);
    }

    #[test]
    fn lead_is_pitch_times_starts(thread in any_thread()) {
        let expected = thread.pitch.length.to_mm() * f64::from(thread.starts);
        prop_assert!((thread.lead().to_mm() - expected).abs() < 1e-12);
    }

    /// At most material the screw goes into the nut: crests clear roots, and with equal flank angles and pitch the
    /// flanks clear where the pitch diameters do.
    #[test]
    fn screw_never_interferes_with_nut(thread in any_thread()) {
        // A taper joint is to wedge; `tests/interference.rs` holds by how much.
        if thread.family.form().taper().is_some() {
            return Ok(());
        }
        let (screw, nut) = both_elements(&thread);
        for (name, screw, nut) in
            [("major", screw.major, nut.major), ("pitch", screw.pitch, nut.pitch), ("minor", screw.minor, nut.minor)]
        {
            if let (Some(screw), Some(nut)) = (screw.max, nut.min) {
                prop_assert!(screw <= nut + Length::um(1e-6), "{thread} {name}: {screw:?} over {nut:?}");
            }
        }
    }

    #[test]
    fn limits_are_ordered(thread in any_thread()) {
        let (screw, nut) = both_elements(&thread);
        // A class whose tolerances exceed the depth of a very fine thread says so.
        let meaningless = |thread: &Thread| {
            let warnings = limits(thread).map(|limits| limits.warnings).unwrap_or_default();
            warnings.iter().any(|warning| warning.contains("mean nothing"))
        };
        let unnamed = Thread { external_class: None, internal_class: None, ..thread.clone() };
        prop_assume!(!meaningless(&thread) && !meaningless(&unnamed));
        for element in [&screw, &nut] {
            for range in [element.major, element.pitch, element.minor] {
                if let (Some(max), Some(min)) = (range.max, range.min) {
                    prop_assert!(max >= min, "{thread}: {range:?}");
                }
            }
        }
        for (outer, inner) in [(screw.major.max, screw.pitch.max), (screw.pitch.max, screw.minor.max)] {
            if let (Some(outer), Some(inner)) = (outer, inner) {
                prop_assert!(outer > inner, "{thread}: {outer:?} {inner:?}");
            }
        }
        for (outer, inner) in [(nut.major.min, nut.pitch.min), (nut.pitch.min, nut.minor.min)] {
            if let (Some(outer), Some(inner)) = (outer, inner) {
                prop_assert!(outer > inner, "{thread}: {outer:?} {inner:?}");
            }
        }
    }

    /// A limit stands in whole units of the last place that it says it was rounded to, and says where it comes from.
    #[test]
    fn limits_are_rounded_as_they_say(thread in any_thread()) {
        let (screw, nut) = both_elements(&thread);
        for element in [&screw, &nut] {
            for range in [element.major, element.pitch, element.minor] {
                prop_assert!(!range.source.document.is_empty(), "{thread}: {range:?}");
                let Some(place) = last_place(&range) else { continue };
                for limit in [range.max, range.min].into_iter().flatten() {
                    let units = limit / place;
                    prop_assert!((units - units.round()).abs() < 1e-6, "{thread}: {limit:?} in {range:?}");
                }
            }
        }
    }

    /// What lies between screw and nut follows from their limits: never less than nothing, least before largest, and the
    /// axial play in the ratio of the flanks to the pitch clearance.
    #[test]
    fn what_lies_between_is_ordered(thread in any_thread()) {
        let unnamed = Thread { external_class: None, internal_class: None, ..thread };
        let Limits { extras, warnings, .. } = limits(&unnamed).unwrap_or_else(|e| panic!("{e}"));
        prop_assume!(!warnings.iter().any(|warning| warning.contains("mean nothing")));
        let find = |what| extras.iter().find(|extra| extra.what == what).map(|extra| extra.range);
        // Where a gauge plane lies may be off the end of the part.
        for extra in extras.iter().filter(|extra| extra.what != ExtraKind::GaugeLength) {
            let (least, most) = (extra.range.min.unwrap_or(Length::ZERO), extra.range.max);
            prop_assert!(least >= -Length::um(1e-6), "{unnamed}: {extra:?}");
            prop_assert!(most.is_none_or(|most| most >= least), "{unnamed}: {extra:?}");
        }
        let basic = unnamed.basic();
        let ratio = 0.5 * (basic.flank_leading.tan() + basic.flank_trailing.tan());
        if let (Some(clearance), Some(play)) = (find(ExtraKind::PitchClearance), find(ExtraKind::AxialPlay)) {
            for (clearance, play) in [(clearance.max, play.max), (clearance.min, play.min)] {
                let expected = clearance.map(|clearance| clearance * ratio);
                let off = expected.zip(play).map_or(Length::ZERO, |(expected, play)| expected - play);
                prop_assert!(off.abs() < Length::um(1e-6) && expected.is_some() == play.is_some(), "{unnamed}");
            }
        }
    }

    /// A coarser grade never has the smaller pitch diameter tolerance.
    #[test]
    fn tolerance_grows_with_grade(thread in any_thread()) {
        let form = thread.family.form();
        let (external, internal) = (form.ladders(Element::External), form.ladders(Element::Internal));
        let tolerance = |element, class: &str| {
            let mut named = thread.clone();
            match element {
                Element::External => named.external_class = Some(class.to_owned()),
                Element::Internal => named.internal_class = Some(class.to_owned()),
            }
            let (screw, nut) = both_elements(&named);
            let range = if element == Element::External { screw.pitch } else { nut.pitch };
            let tolerance = range.max.expect("a limit") - range.min.expect("a limit");
            (tolerance, last_place(&range).unwrap_or(Length::ZERO))
        };
        for (element, ladders) in [(Element::External, external), (Element::Internal, internal)] {
            for ladder in ladders {
                for pair in ladder.windows(2) {
                    let ((finer, place), (coarser, _)) = (tolerance(element, pair[0]), tolerance(element, pair[1]));
                    prop_assert!(finer <= coarser + place * 1.001, "{thread}: {pair:?} {finer:?} {coarser:?}");
                }
            }
        }
    }

    /// The hand mirrors a thread; its sizes stay.
    #[test]
    fn hand_does_not_change_sizes(thread in any_thread()) {
        let mirrored = Thread { hand: Hand::Left, ..thread.clone() };
        prop_assert_eq!(both_elements(&thread), both_elements(&mirrored));
    }

    /// Every outline spans one pitch without a gap, reaches its crest and root, and is mirrored when its flanks are
    /// exchanged.
    #[test]
    fn outlines_close_and_mirror(thread in any_thread()) {
        let basic = thread.basic();
        let p = thread.pitch.length.to_mm();
        let turned = Basic { flank_leading: basic.flank_trailing, flank_trailing: basic.flank_leading, ..basic };
        for (element, inner, outer) in
            [(Element::External, basic.d3, basic.d), (Element::Internal, basic.d1_internal, basic.d4_internal)]
        {
            let points = thread.outline(element).points(p * 1e-5);
            let (first, last) = (points[0], points[points.len() - 1]);
            prop_assert!((last.z - first.z - p).abs() < 1e-9 && (first.r - last.r).abs() < 1e-9);
            for pair in points.windows(2) {
                prop_assert!(pair[1].z >= pair[0].z - 1e-9, "{thread} {element:?}: {pair:?}");
            }
            let (low, high) = (inner.to_mm() / 2.0, outer.to_mm() / 2.0);
            prop_assert!(points.iter().all(|q| q.r > low - 1e-6 && q.r < high + 1e-6), "{thread} {element:?}");
            prop_assert!((points.iter().map(|q| q.r).fold(f64::MAX, f64::min) - low).abs() < 1e-6);
            prop_assert!((points.iter().map(|q| q.r).fold(f64::MIN, f64::max) - high).abs() < 1e-6);
            let mirrored = basic.outline(element).mirrored().moved(p).points(p * 1e-5);
            let other = turned.outline(element).points(p * 1e-5);
            prop_assert!(mirrored.len() == other.len(), "{thread} {element:?}");
            for (a, b) in mirrored.iter().zip(&other) {
                prop_assert!((a.z - b.z).hypot(a.r - b.r) < 1e-9, "{thread} {element:?}: {a:?} {b:?}");
            }
        }
    }

    /// The basic outlines of screw and nut, ridge in groove, touch and do not cross.
    #[test]
    fn basic_outlines_do_not_cross(thread in any_thread(), fraction in 0.0..1.0_f64) {
        prop_assume!(thread.family != Family::Square);
        let p = thread.pitch.length.to_mm();
        let screw = thread.outline(Element::External).points(p * 1e-5);
        let nut = thread.outline(Element::Internal).points(p * 1e-5);
        let z = fraction * p;
        // The nut's groove lies where the screw's ridge is.
        let opposite = (z + p / 2.0) % p;
        prop_assert!(radius(&screw, z) <= radius(&nut, opposite) + 1e-4 * p, "{thread} at {z}");
    }

    /// Whatever is typed, the answer is a thread or an error whose place is in the text.
    #[test]
    fn no_text_panics(text in "\\PC{0,40}") {
        if let Err(error) = text.parse::<Thread>() {
            prop_assert!(text.get(error.at..).is_some());
            prop_assert!(!error.to_string().is_empty());
        }
    }

    /// As above, from the pieces that designations are made of.
    #[test]
    fn no_designation_like_text_panics(pieces in prop::collection::vec(prop::sample::select(PIECES), 0..10)) {
        let text = pieces.concat();
        match text.parse::<Thread>() {
            Ok(thread) => {
                prop_assert_eq!(thread.to_string().parse::<Thread>().map_err(|e| e.to_string()), Ok(thread.clone()));
                prop_assert!(limits(&thread).is_ok(), "{}", thread);
            }
            Err(error) => prop_assert!(text.get(error.at..).is_some()),
        }
    }
}

const PIECES: &[&str] = &[
    "Tr ",
    "M",
    "acme",
    " UNC",
    " unf",
    " BSW",
    "Sq ",
    "square",
    "22",
    "7/8",
    "1 3/4",
    "#10",
    "10",
    "0",
    "9999999",
    "x",
    "×",
    "-",
    " ",
    "5",
    "1,5",
    "0.4P",
    "0.8L",
    "0.3P",
    "0.333P",
    "1/6",
    "P7",
    "Ph",
    "(",
    ")",
    "LH",
    "L",
    "links",
    "left-hand",
    " rh",
    "7H",
    "6g",
    "4g6g",
    "2A",
    "2G",
    " nut",
    " screw",
    "medium",
    "free",
    " 2 start",
    "two-start",
    "mm",
    " in",
    "\"",
    " tpi",
    "½",
    "/",
    ".",
    ",",
    "é",
];

/// Pitches of threads to the centimetre and of modules.
#[test]
fn off_series_pitches_are_written_short_and_read_back() {
    let pi = std::f64::consts::PI;
    let pitches =
        [3.0, 6.0, 7.0, 9.0, 11.0, 13.0].map(|n| 10.0 / n).into_iter().chain([1.0, 1.5, 2.0].map(|m| pi * m));
    for (pitch, starts) in pitches.flat_map(|p| [(p, 1), (p, 2), (p, 4)]) {
        for family in [Family::MetricTrapezoidal, Family::MetricIso, Family::Square, Family::Acme] {
            let thread = Thread {
                starts,
                ..Thread::new(
                    family,
                    Length::mm(40.0),
                    flankwise_thread::Unit::Mm,
                    flankwise_thread::Pitch::mm(pitch),
                )
            };
            let written = thread.to_string();
            assert_eq!(written.parse::<Thread>().map_err(|e| e.to_string()), Ok(thread), "{written}");
            assert!(written.len() < 30, "{written}");
        }
    }
    assert_eq!("Tr 24x6 tpcm".parse::<Thread>().unwrap().to_string(), "Tr 24x1.667");
}

/// Every listed size has limits in every class and edition, without the warning of an off-series size, and reads back in
/// each, with either hand and with two starts.
#[test]
fn the_whole_catalogue_has_limits_and_reads_back() {
    let reads_back = |thread: &Thread| {
        let written = thread.to_string();
        assert_eq!(written.parse().as_ref(), Ok(thread), "{written}");
    };
    for listed in catalogue() {
        let size = listed.thread();
        assert!(size.in_series(), "{size}");
        let form = size.family.form();
        reads_back(&Thread { hand: Hand::Left, ..size.clone() });
        reads_back(&Thread { starts: 2, ..size.clone() });
        let variants = form.variants().iter().map(|variant| Some(variant.name));
        for thread in std::iter::once(None).chain(variants).map(|variant| Thread { variant, ..size.clone() })
        {
            reads_back(&thread);
            for class in form.classes(Element::External) {
                let named = Thread { external_class: Some((*class).to_owned()), ..thread.clone() };
                reads_back(&named);
                let limits = limits(&named).unwrap_or_else(|e| panic!("{e}"));
                assert!(limits.external.is_some() && limits.internal.is_none(), "{named}");
                assert!(limits.warnings.iter().all(|warning| !warning.contains("nearest listed")), "{named}");
            }
            for class in form.classes(Element::Internal) {
                let named = Thread { internal_class: Some((*class).to_owned()), ..thread.clone() };
                reads_back(&named);
                assert!(limits(&named).unwrap_or_else(|e| panic!("{e}")).internal.is_some(), "{named}");
            }
        }
    }
}

#[test]
fn near_misses_share_the_diameter() {
    let near = Family::MetricTrapezoidal.nearest_listed(Length::mm(16.0), Length::mm(3.0), 2);
    let written: Vec<_> = near.iter().map(|row| (row.nominal.to_mm(), row.pitch.length.to_mm())).collect();
    assert_eq!(written, [(16.0, 4.0), (16.0, 2.0)]);
    let warnings = limits(&"Tr 16x3".parse().expect("any size")).expect("limits by formula").warnings;
    assert!(warnings[0].contains("Tr 16x4, Tr 16x2"), "{warnings:?}");
}

#[test]
fn a_foreign_class_is_refused_with_those_accepted() {
    let thread = Thread { external_class: Some("6q".to_owned()), ..catalogue()[0].thread() };
    let error = limits(&thread).expect_err("no such class");
    assert!(error.expected.contains("7e"), "{error}");
}
