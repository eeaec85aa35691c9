//! Play along the travel: exact profiles against the pitch-line formula, each flank by itself, lead, bend, and bad input.

mod fit_support;

use fit_support::{demo, evidence, readings, settled, weighed};
use flankwise_bench::evidence::{Evidence, Weighed};
use flankwise_bench::fit::lead::LeadError;
use flankwise_bench::fit::travel::{Along, Lane, Part, Reach};
use flankwise_bench::fit::{self, Fit, Wear, mate, play};
use flankwise_bench::job::{Feature, Job, NutKind, Quantity, Side};
use flankwise_bench::report::{Block, NoteKind, Outcome, Value, show};
use flankwise_thread::profile::{material, mating};
use flankwise_thread::{Angle, Element, Family, Length, Thread, Unit, catalogue};
use proptest::prelude::*;

fn mm(v: f64) -> Length {
    Length::mm(v)
}

fn fitted(outcome: &Outcome<Fit>) -> &Fit {
    outcome.result.as_ref().unwrap_or_else(|| panic!("no result: {:?} {:?}", outcome.needs, outcome.notes))
}

fn says(outcome: &Outcome<Fit>, kind: NoteKind, words: &str) -> bool {
    outcome.notes.iter().any(|n| n.kind == kind && show::text(&n.text, Unit::Mm).contains(words))
}

/// Exact play of a screw and a nut of a thread as it would be by the pitch line.
fn both(thread: &Thread, screw: &material::AtLimit, nut: &material::AtLimit) -> Option<(f64, f64)> {
    let basic = thread.basic();
    let k = play::slope(basic.flank_leading, basic.flank_trailing);
    // On small sizes off the series the coarsest classes leave no overlap: screw passes nut.
    if nut.sizes.minor >= screw.sizes.major {
        return Some((0.0, 0.0));
    }
    let by_line = play::missing(Element::Internal, nut.sizes.pitch, screw.sizes.pitch, k).to_mm();
    let entered = screw.outline.moved(thread.pitch.length.to_mm() / 2.0);
    let exact = mating::play(&entered, &nut.outline)?;
    Some((exact.leading + exact.trailing, by_line))
}

/// The figure to reach: pitch-line formula and exact profiles agree within 1 µm for unworn profiles of every family, both
/// at maximum material, in all classes. Limits rounded to 0.0001 in may let a corner touch an arc by as much before the
/// flanks. Not asked of taper threads, whose parallel nut jams (ISO 7-1).
#[test]
fn exact_and_pitch_line_agree_for_unworn_threads_of_every_family() {
    let mut pairs = 0;
    let mut families = 0;
    for family in Family::ALL {
        if family.form().taper().is_some() {
            continue;
        }
        families += 1;
        let last_place = if family.form().written() == Unit::Inch { 0.002_54 } else { 0.0 };
        let listed: Vec<Thread> =
            catalogue().iter().filter(|c| c.family == family).map(|c| c.thread()).collect();
        let mut threads = vec![family.example()];
        threads.extend(listed.iter().step_by(listed.len() / 12 + 1).cloned());
        let classes = |element| match family.form().classes(element) {
            [] => vec![None],
            some => some.iter().map(|c| Some((*c).to_owned())).collect::<Vec<_>>(),
        };
        for thread in threads {
            for external in classes(Element::External) {
                for internal in classes(Element::Internal) {
                    let named = Thread {
                        external_class: external.clone(),
                        internal_class: internal.clone(),
                        ..thread.clone()
                    };
                    let Ok(most) = material::maximum(&named) else { continue };
                    let (Some(screw), Some(nut)) = (&most.external, &most.internal) else { continue };
                    match both(&named, screw, nut) {
                        Some((exact, by_line)) => assert!(
                            (exact - by_line).abs() < 1e-3 + last_place,
                            "{named} {external:?} {internal:?}: {exact} {by_line}"
                        ),
                        // The roundings of two limits at no clearance put nanometres of metal in metal.
                        None => {
                            let clearance = nut.sizes.pitch - screw.sizes.pitch;
                            assert!(clearance < Length::um(1.0), "{named}: {clearance:?}");
                        }
                    }
                    pairs += 1;
                }
            }
        }
    }
    assert!(families > 20 && pairs > 500, "{families} families, {pairs} pairs");
}

/// Published play for a unit of pitch diameter: Acme 0.259 (Machinery's Handbook 31, p. 2135); 30° 0.2679, 60° 0.5774
/// (tan of the flank, derived). On the exact profiles of an unworn pair.
#[test]
fn published_factors_come_from_the_profiles() {
    for (designation, factor, places) in
        [("1 1/2-4 Acme", 0.259, 5e-4), ("Tr 22x5", 0.267_95, 5e-6), ("M20x2.5", 0.577_35, 5e-6)]
    {
        let thread: Thread = designation.parse().expect("a thread");
        let basic = thread.basic();
        let part = |missing: f64| {
            let k = basic.flank_leading.tan();
            let made = Part {
                element: Element::Internal,
                basic,
                blank: basic.d1_internal,
                bottom: basic.d4_internal,
            };
            made.outline(mm(missing * k))
        };
        let screw = thread.outline(Element::External).moved(thread.pitch.length.to_mm() / 2.0);
        let play = mating::play(&screw, &part(0.1)).expect("it clears");
        assert!(((play.leading + play.trailing) / 0.1 - factor).abs() < places, "{designation}: {play:?}");
    }
}

fn thickness(place: f64, missing: f64, thread: &Thread) -> Weighed {
    let t = thread.pitch.length / 2.0 - mm(missing);
    weighed(Element::External, Feature::ThreadThickness, t, Length::um(3.0), Some(mm(place)))
}

fn lane_of(designation: &str, all: Vec<Weighed>, (first, last): (f64, f64)) -> Lane {
    let thread: Thread = designation.parse().expect("a thread");
    let basic = thread.basic();
    let seen = mate::gather(&readings(all), Element::External, &thread, &basic);
    let along = Along::of(&seen, &basic, LeadError::of(&seen.spans, basic.p)).expect("flanks were read");
    let part = Part {
        element: Element::Internal,
        basic,
        blank: basic.d1_internal + basic.p * 0.02,
        bottom: basic.d4_internal + basic.p * 0.02,
    };
    Lane::of(&along, &part, (first, last))
}

const FORMS: [&str; 8] =
    ["Tr 22x5", "7/8-5 Acme", "M20x2.5", "Sq 25x5", "3/4-6 Stub Acme", "1/2-13 UNC", "S 48x8", "1-4 square"];

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// Flanks that kept their angle: the room on the profiles is what the pitch line says, anywhere. Of forms with flat
    /// crests: a rounded crest that did not wear with the flanks below it is met first.
    #[test]
    fn profiles_agree_with_the_pitch_line(form in 0..FORMS.len(), missing in 0.0..0.05f64) {
        let Ok(thread) = FORMS[form].parse::<Thread>() else { return Err(TestCaseError::reject("no such form")) };
        let missing = missing * thread.pitch.length.to_mm();
        let lane = lane_of(FORMS[form], vec![thickness(0.0, missing, &thread), thickness(100.0, missing, &thread)], (0.0, 100.0));
        for spot in lane.along(&[0.0, 30.0, 60.0], Reach::whole(mm(40.0))) {
            prop_assert!((spot.play() - mm(missing)).abs() < Length::um(1.0), "{} {missing} {spot:?}", FORMS[form]);
        }
    }

    /// A steady error of the lead costs its amount over the length of the nut, whatever the form.
    #[test]
    fn a_steady_lead_error_costs_its_amount_over_the_nut(share in -0.004..0.004f64, length in 20.0..60.0f64) {
        prop_assume!(share.abs() > 0.0005);
        let thread: Thread = "Tr 22x5".parse().expect("a thread");
        let mut span = weighed(Element::External, Feature::Pitch, mm(5.0 * (1.0 + share)), Length::um(0.5), None);
        span.count = Some(20);
        let lane = lane_of("Tr 22x5", vec![thickness(0.0, 0.1, &thread), thickness(200.0, 0.1, &thread), span], (0.0, 200.0));
        for spot in lane.along(&[0.0, 70.0, 139.0], Reach::whole(mm(length))) {
            prop_assert!((spot.play().to_mm() - (0.1 - share.abs() * length)).abs() < 1e-6, "{spot:?}");
        }
    }
}

/// Pitch-diameter equivalent of a lead error over the engaged length, cot α times the error: 1.732 for 60° (textbooks on
/// gauging of threads, from memory), 3.732 for 30° by the same formula. The nut's pitch diameter rises by it.
#[test]
fn lead_error_opens_the_pitch_diameter_by_its_equivalent() {
    for (designation, equivalent) in [("M20x2.5", 1.732), ("Tr 22x5", 3.732)] {
        let thread: Thread = designation.parse().expect("a thread");
        let p = thread.pitch.length;
        let at = |share: f64| {
            let mut job = demo();
            job.make.length = Some(mm(40.0));
            let mut span =
                weighed(Element::External, Feature::Pitch, p * (1.0 + share), Length::um(0.2), None);
            span.count = Some(20);
            let all = vec![thickness(0.0, 0.02, &thread), thickness(200.0, 0.05, &thread), span];
            fitted(&fit::work(&readings(all), &settled(designation), &job)).pitch_diameter.aim
        };
        let error = 0.001 * 40.0;
        // The thread grows thinner along the nut: it may ease one flank a little.
        let opened = (at(0.001) - at(0.0)).to_mm() / error;
        assert!(opened <= equivalent + 1e-3 && opened > 0.8 * equivalent, "{designation}: {opened}");
    }
}

#[test]
fn a_flank_that_alone_is_worn_has_all_the_room() {
    let thread: Thread = "Tr 22x5".parse().expect("a thread");
    let mut wear = weighed(Element::External, Feature::FlankWear, mm(0.2), Length::um(5.0), Some(mm(100.0)));
    wear.side = Some(Side::Left);
    let all = vec![
        thickness(0.0, 0.04, &thread),
        thickness(100.0, 0.24, &thread),
        thickness(200.0, 0.04, &thread),
        wear,
    ];
    let lane = lane_of("Tr 22x5", all, (0.0, 200.0));
    let spot = lane.along(&[99.0], Reach::whole(mm(2.0)))[0];
    assert!((spot.right.to_mm() - 0.02).abs() < 1e-3, "{spot:?}");
    assert!((spot.left.to_mm() - 0.22).abs() < 2e-3, "{spot:?}");
}

/// A flank read at 18° where the form has 15° touches at one end of the overlap: less room than at the pitch line.
#[test]
fn flanks_worn_to_another_angle_touch_away_from_the_pitch_line() {
    let thread: Thread = "Tr 22x5".parse().expect("a thread");
    let angle = |side| {
        let mut w = weighed(Element::External, Feature::FlankAngle, mm(1.0), mm(1.0), None);
        (w.value, w.u) = (Quantity::Angle(Angle::deg(18.0)), Quantity::Angle(Angle::deg(0.15)));
        w.side = Some(side);
        w
    };
    let plain = vec![thickness(0.0, 0.2, &thread), thickness(100.0, 0.2, &thread)];
    let worn = [plain.clone(), vec![angle(Side::Left), angle(Side::Right)]].concat();
    let play =
        |all| lane_of("Tr 22x5", all, (0.0, 100.0)).along(&[20.0], Reach::whole(mm(40.0)))[0].play().to_mm();
    let basic = thread.basic();
    // The ridge is thicker towards its root, down to the nut's bore.
    let reach = (basic.d2 - basic.d1_internal).to_mm() / 2.0 - 0.05;
    let lost = 2.0 * reach * (18f64.to_radians().tan() - 15f64.to_radians().tan());
    assert!((play(plain) - 0.2).abs() < 1e-6);
    assert!((play(worn) - (0.2 - lost)).abs() < 1e-6, "{lost}");
}

/// The rounding in the corner of a trapezoidal screw's root is R2 = ac = 0.25 mm at P 5 (ISO 2901): a root at 16.95 is round
/// up to 16.95 + 2 · 0.25 (1 - sin 15°) = 17.32, and a nut bored 17.1 rides on it; one at 17.4 it does not pass at all.
#[test]
fn a_root_that_meets_the_nut_first_is_found() {
    let thread: Thread = "Tr 22x5".parse().expect("a thread");
    let with = |root: f64| {
        let minor =
            weighed(Element::External, Feature::MinorDiameter, mm(root), Length::um(10.0), Some(mm(50.0)));
        let all = vec![thickness(0.0, 0.1, &thread), thickness(100.0, 0.1, &thread), minor];
        lane_of("Tr 22x5", all, (0.0, 100.0))
    };
    let (clear, rides, stuck) = (with(16.4), with(16.95), with(17.4));
    assert!(clear.met_first.is_none() && clear.stuck.is_none());
    assert!(rides.met_first.is_some_and(|(_, takes)| takes > Length::um(5.0)), "{:?}", rides.met_first);
    assert!(stuck.stuck.is_some());
}

#[test]
fn bend_takes_its_share() {
    let with = |run_out: Option<f64>| {
        let mut job = demo();
        job.make.mate_length = Some(mm(440.0));
        let mut seen = evidence(&job, Length::um(6.0));
        let reading =
            |v| weighed(Element::External, Feature::RunOut, mm(v), Length::um(10.0), Some(mm(220.0)));
        seen.readings.extend(run_out.map(reading));
        fit::work(&seen, &settled("Tr 22x5"), &job)
    };
    let (straight, bent) = (with(None), with(Some(0.4)));
    // 0.2 mm off at the middle of 440, a kink over a nut of 44: 0.2 · 44 / 440 on the pitch diameter.
    let opened = fitted(&bent).pitch_diameter.aim - fitted(&straight).pitch_diameter.aim;
    assert!((opened.to_mm() - 0.02).abs() < 1e-6, "{opened:?}");
}

/// Evidence of the demo with only the readings of its thread, each at these places with this pitch diameter.
fn at_places(places: &[(f64, f64)]) -> Evidence {
    let read = |&(place, d2): &(f64, f64)| {
        weighed(Element::External, Feature::PitchDiameter, mm(d2), Length::um(5.0), Some(mm(place)))
    };
    readings(places.iter().map(read).collect())
}

fn worked(seen: &Evidence, job: &Job) -> Outcome<Fit> {
    fit::work(seen, &settled("Tr 22x5"), job)
}

#[test]
fn stations_in_disorder_are_sorted_and_said() {
    let (ordered, mixed) = (
        at_places(&[(20.0, 19.2), (180.0, 18.9), (330.0, 19.1)]),
        at_places(&[(330.0, 19.1), (20.0, 19.2), (180.0, 18.9)]),
    );
    let (a, b) = (worked(&ordered, &demo()), worked(&mixed, &demo()));
    assert_eq!(fitted(&a).stations, fitted(&b).stations);
    assert!(says(&b, NoteKind::Remark, "sorted here") && !says(&a, NoteKind::Remark, "sorted here"));
}

#[test]
fn one_station_says_what_is_assumed_and_what_to_read() {
    let outcome = worked(&at_places(&[(180.0, 18.8)]), &demo());
    assert!(says(&outcome, NoteKind::Warning, "taken to be the same all along"));
    assert!(says(&outcome, NoteKind::Warning, "read an end that never ran before cutting"));
    assert!(outcome.needs.iter().any(|n| n.field == "reading"));
}

#[test]
fn a_mate_bigger_than_nominal_is_said_with_what_it_may_be() {
    let mut seen = at_places(&[(20.0, 19.2), (180.0, 18.9)]);
    let tall =
        weighed(Element::External, Feature::MajorDiameter, mm(22.09), Length::um(10.0), Some(mm(20.0)));
    seen.readings.push(tall);
    let outcome = worked(&seen, &demo());
    assert!(says(
        &outcome,
        NoteKind::Warning,
        "burr, plating, an instrument that was not at zero, or another thread"
    ));
    assert!(says(&outcome, NoteKind::Warning, "stand out by 0.090 mm"));
}

#[test]
fn a_nut_longer_than_its_screw_is_said_and_carries_no_more() {
    let mut job = demo();
    job.make.length = Some(mm(400.0));
    job.make.mate_length = Some(mm(350.0));
    let outcome = worked(&at_places(&[(20.0, 19.2), (180.0, 18.9)]), &job);
    assert!(says(&outcome, NoteKind::Warning, "longer than the screw's thread"));
    assert_eq!(fitted(&outcome).travel.len(), 1, "it covers all of the screw wherever it stands");
}

/// A screw thicker everywhere than the widest nut of 7H (D2 19.875): the book's nut will not go on, by how much and where.
#[test]
fn negative_play_everywhere_says_how_much_must_come_off_and_where() {
    let outcome = worked(&at_places(&[(20.0, 19.92), (180.0, 19.9), (330.0, 19.95)]), &demo());
    assert!(says(
        &outcome,
        NoteKind::Warning,
        "will not go on anywhere: tightest, with its middle at 308.0 mm"
    ));
    assert!(says(&outcome, NoteKind::Warning, "come off the screw's ridge"));
    assert!(
        says(&outcome, NoteKind::Warning, "at 20.0 mm") && says(&outcome, NoteKind::Warning, "at 180.0 mm")
    );
    // The nut for this screw goes on all the same.
    assert!(fitted(&outcome).travel.iter().all(|s| s.play() >= mm(0.04) - Length::um(1e-3)));
}

/// The demo's travel: tightest where the screw is thickest, by both flanks, and the whole nut never looser than a short
/// one at the worn place.
#[test]
fn the_demo_nut_along_its_travel() {
    let job = demo();
    let outcome = fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job);
    let fit = fitted(&outcome);
    let least = fit.travel.iter().map(fit::Spot::play).reduce(Length::min).unwrap_or_default();
    assert!((least - mm(0.04)).abs() < Length::um(1.0), "as asked where it is tightest: {least:?}");
    let (_, loosest) = fit.play_range().unwrap_or_default();
    assert!(
        fit.travel
            .iter()
            .all(|s| s.play() <= loosest + Length::um(1.0) && (s.left - s.right).abs() < Length::um(1e-3))
    );
    assert_eq!(fit.travel[0].left_at, mm(20.0));
    assert_eq!(fit.mate_wear, Some(Wear::Stays));
}

fn with_nut(kind: NutKind) -> Outcome<Fit> {
    let mut job = demo();
    job.make.nut = kind;
    fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job)
}

#[test]
fn kinds_of_nut_stand_side_by_side() {
    let outcome = with_nut(NutKind::TwoPiece);
    let section = fitted(&outcome).section();
    fit_support::well_formed(&section);
    let table = section.blocks.iter().find_map(|b| match b {
        Block::Table(t) if t.key == "nut_kinds" => Some(t),
        _ => None,
    });
    let table = table.expect("the kinds");
    assert_eq!(table.rows.len(), 5);
    // 0.003 in at the tightest, as the published setting is; 88 mm for what 44 in one piece bear.
    let row = &table.rows[2].cells;
    let said = |value: &Value| show::value(value, Unit::Inch);
    assert_eq!(said(&row[1]), "0.0030 in");
    assert_eq!(show::value(&row[5], Unit::Mm), "88.0 mm");
    assert!(says(&outcome, NoteKind::Remark, "twice the pressure"));
}

#[test]
fn resin_has_its_caution_and_its_place() {
    let outcome = with_nut(NutKind::Cast);
    assert!(says(&outcome, NoteKind::Caution, "allergic"));
    assert!(says(&outcome, NoteKind::Warning, "at 42.0 mm for its middle"), "{:?}", outcome.notes);
    assert!(!says(&with_nut(NutKind::Plain), NoteKind::Caution, "allergic"));
}

#[test]
fn both_new_are_the_books() {
    let mut job = demo();
    job.make.mate_new = true;
    let outcome = fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job);
    let fit = fitted(&outcome);
    assert!(fit.stations.is_empty() && fit.travel.is_empty());
    assert!(says(&outcome, NoteKind::Remark, "Cut the screw first"));
    // ISO 2903, 7H: D2 from 19.5 upward.
    assert_eq!(fit.pitch_diameter.min, mm(19.5));
}

/// The old nut's bore is where the wear of the screw's flanks ends.
#[test]
fn a_bore_does_not_ride_on_the_ledge_of_the_old_one() {
    let with = |bore: f64| {
        let job = demo();
        let mut seen = evidence(&job, Length::um(6.0));
        seen.readings.push(weighed(
            Element::Internal,
            Feature::MinorDiameter,
            mm(bore),
            Length::um(20.0),
            None,
        ));
        fit::work(&seen, &settled("Tr 22x5"), &job)
    };
    // ISO 2904: D1 17.000 to 17.450 by 4H.
    let kept = with(17.3);
    assert!(fitted(&kept).blank.min == mm(17.3) && says(&kept, NoteKind::Remark, "ride on that ledge"));
    let wide = with(17.9);
    assert!(fitted(&wide).blank.min == mm(17.0) && says(&wide, NoteKind::Warning, "break the corner"));
}

/// Each reason to renew the screw alone is enough.
#[test]
fn every_criterion_can_send_the_screw_away() {
    let verdict = |seen: &Evidence, job: &Job| fitted(&worked(seen, job)).mate_wear;
    // 2.6 mm off the pitch diameter are 0.70 mm of a ridge 2.5 mm thick.
    assert_eq!(verdict(&at_places(&[(20.0, 19.3), (180.0, 16.7)]), &demo()), Some(Wear::Replace));
    // A screw made for this nut does not heal a bent or a stretched one.
    let bent = |run_out: f64| {
        let mut job = demo();
        job.make.mate_length = Some(mm(300.0));
        let mut seen = at_places(&[(20.0, 19.2), (180.0, 19.18)]);
        seen.readings.push(weighed(Element::External, Feature::RunOut, mm(run_out), Length::um(10.0), None));
        fitted(&worked(&seen, &job)).mate_wear
    };
    assert_eq!(
        (bent(0.2), bent(0.8), bent(1.6)),
        (Some(Wear::Stays), Some(Wear::Consider), Some(Wear::Replace))
    );
    let stretched = |share: f64| {
        let mut seen = at_places(&[(20.0, 19.2), (180.0, 19.18)]);
        let mut span =
            weighed(Element::External, Feature::Pitch, mm(5.0 * (1.0 + share)), Length::um(0.3), None);
        span.count = Some(20);
        seen.readings.push(span);
        verdict(&seen, &demo())
    };
    assert_eq!(
        (stretched(0.0003), stretched(0.001), stretched(0.002)),
        (Some(Wear::Stays), Some(Wear::Consider), Some(Wear::Replace))
    );
    let mut loaded = demo();
    loaded.make.load = Some(flankwise_thread::Force::newton(400_000.0));
    assert_eq!(verdict(&at_places(&[(20.0, 19.2), (180.0, 19.18)]), &loaded), Some(Wear::Replace));
}
