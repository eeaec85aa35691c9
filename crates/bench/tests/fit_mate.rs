//! Sizes for a mate: the demo job, and what must hold for any mate.

mod fit_support;

use fit_support::{demo, evidence, job, readings, settled, weighed};
use flankwise_bench::fit::{self, Fit};
use flankwise_bench::job::{Feature, Job};
use flankwise_bench::report::{Block, Note, NoteKind, Outcome, show};
use flankwise_thread::{Element, Length, Unit};
use proptest::prelude::*;

fn fitted(outcome: &Outcome<Fit>) -> &Fit {
    outcome.result.as_ref().unwrap_or_else(|| panic!("no result: {:?}", outcome.needs))
}

fn says(notes: &[Note], kind: NoteKind, words: &str) -> bool {
    notes.iter().any(|n| n.kind == kind && show::text(&n.text, Unit::Mm).contains(words))
}

fn needs(outcome: &Outcome<Fit>, field: &str) -> bool {
    outcome.needs.iter().any(|n| n.field == field)
}

fn mm(v: f64) -> Length {
    Length::mm(v)
}

#[test]
fn the_demo_nut_goes_over_the_tight_end_and_is_looser_in_the_middle() {
    let job = demo();
    let outcome = fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job);
    let fit = fitted(&outcome);
    assert_eq!(fit.stations.len(), 3);
    // By the three-wire formula with its lead term (Machinery's Handbook 31, p. 2127): 22.60 - 2.6 · 4.86370 +
    // 5 · 1.86603 - ½ · 2.6 tan² 4.67° cos 15° cot 15° = 19.253.
    assert!((fit.stations[0].mate_pitch_diameter - mm(19.253)).abs() < mm(0.005), "{:?}", fit.stations[0]);
    let (least, most) = fit.play_range().unwrap_or_default();
    assert!((least - mm(0.04)).abs() < Length::um(1e-3), "play as asked at the tightest place: {least:?}");
    // 0.45 mm less over wires is 0.45 tan 15° more play for a short piece, and less for the whole nut, which reaches from
    // the worst place to thicker thread.
    let short = mm(0.45 * 15f64.to_radians().tan());
    assert!(most - least < short - mm(0.002) && most - least > short * 0.8, "{:?}", most - least);
    assert!(
        fit.stations.iter().all(|s| s.play_by_book.is_some_and(|book| book > s.play)),
        "the book's nut is looser on this screw"
    );
    assert!(fit.blank.aim >= mm(17.0) && fit.blank.aim < mm(17.45));
    assert!(fit.bottom.aim >= mm(22.5));
    assert!((fit.depth - (fit.bottom.aim - fit.blank.aim) / 2.0).abs() < Length::um(1e-6));
    assert!(fit.body.is_some() && fit.stock.is_some_and(|(d, _)| d == mm(60.0)));
    assert!(says(&outcome.notes, NoteKind::Remark, "may stay"));
    assert!(!outcome.impossible());
}

/// The demo's nut, said: every figure's key once, operations with their cautions.
#[test]
fn the_section_has_no_key_twice_and_cautions_at_the_steps() {
    let job = demo();
    let outcome = fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job);
    let section = fitted(&outcome).section();
    let mut keys: Vec<_> = section
        .blocks
        .iter()
        .flat_map(|b| match b {
            Block::Figures(_, figures) => figures.iter().map(|f| f.key).collect(),
            Block::Table(t) => vec![t.key],
            _ => vec![],
        })
        .collect();
    let n = keys.len();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), n);
    for table in section.blocks.iter().filter_map(|b| if let Block::Table(t) = b { Some(t) } else { None }) {
        assert!(table.rows.iter().all(|r| r.cells.len() == table.columns.len()), "{}", table.key);
    }
    let Some(Block::Steps(_, steps)) = section.blocks.last() else { panic!("no steps") };
    let step = |word: &str| steps.iter().position(|s| show::text(&s.text, Unit::Mm).contains(word));
    assert!(step("bore to") < step("groove at the blind end"));
    assert!(step("groove at the blind end") < step("Cut the thread"));
    assert!(step("Cut the thread") < step("Part off"));
    assert!(step("Part off") < step("locking screw"));
    let cautions: Vec<_> = steps.iter().flat_map(|s| &s.cautions).collect();
    assert!(cautions.iter().all(|c| c.source.is_some()), "each names its document");
    assert!(steps[0].cautions.iter().any(|c| show::text(&c.text, Unit::Mm).contains("holds lead")));
}

#[test]
fn crests_alone_do_not_predict_play() {
    let mut job = demo();
    job.readings.retain(|r| r.feature == Feature::MajorDiameter);
    let outcome = fit::work(&evidence(&job, Length::um(20.0)), &settled("Tr 22x5"), &job);
    assert!(fitted(&outcome).stations.is_empty());
    assert!(says(&outcome.notes, NoteKind::Warning, "cannot be predicted"));
    assert!(needs(&outcome, "reading"));
    // ISO 2903, 7H: D2 from 19.5 upward.
    assert!(fitted(&outcome).pitch_diameter.min >= mm(19.5));
}

#[test]
fn without_a_mate_the_sizes_are_the_books() {
    let mut job = demo();
    job.readings.clear();
    job.make.load = None;
    job.make.length = None;
    let outcome = fit::work(&evidence(&job, Length::um(20.0)), &settled("Tr 22x5"), &job);
    let book = fitted(&outcome).book_of_part().map(|b| b.pitch);
    let size = fitted(&outcome).pitch_diameter;
    assert_eq!(book.and_then(|b| b.min.zip(b.max)), Some((size.min, size.max)));
    // 0.04 mm over the thickest 7e screw would be under the least 7H nut: an eighth of TD2 above that.
    assert!((size.aim - (size.min + (size.max - size.min) / 8.0)).abs() < Length::um(1e-6));
    assert!(needs(&outcome, "reading") && needs(&outcome, "make.load") && needs(&outcome, "make.length"));
}

#[test]
fn a_lifting_load_is_handed_to_a_competent_person() {
    let mut job = demo();
    job.make.duty = flankwise_bench::job::Duty::Lift;
    let outcome = fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job);
    assert!(says(&outcome.notes, NoteKind::Caution, "competent person"));
    assert!(outcome.notes.iter().filter(|n| n.kind == NoteKind::Caution).all(|n| n.source.is_some()));
}

#[test]
fn asking_for_less_than_no_play_says_how_much_must_come_off() {
    let mut job = demo();
    job.make.play = Some(mm(-0.05));
    let outcome = fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job);
    // 0.05 / tan 15° on the pitch diameter.
    assert!(says(&outcome.notes, NoteKind::Impossible, "0.187 mm on its pitch diameter"));
    assert!(fitted(&outcome).play_range().is_some_and(|(least, _)| least > Length::ZERO));
}

#[test]
fn a_screw_worn_through_has_to_go_too() {
    let mut job = demo();
    for reading in job.readings.iter_mut().filter(|r| r.feature == Feature::OverWires).skip(1).take(1) {
        reading.value = flankwise_bench::job::Quantity::Length(mm(20.5), Unit::Mm);
    }
    let outcome = fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job);
    assert!(says(&outcome.notes, NoteKind::Warning, "has to go too"));
}

#[test]
fn a_mate_thicker_than_new_is_not_believed_quietly() {
    let mut job = demo();
    for reading in job.readings.iter_mut().filter(|r| r.feature == Feature::OverWires).take(1) {
        reading.value = flankwise_bench::job::Quantity::Length(mm(23.2), Unit::Mm);
    }
    let outcome = fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job);
    assert!(says(&outcome.notes, NoteKind::Warning, "Wear cannot do that"));
}

#[test]
fn a_body_no_larger_than_the_thread_cannot_be_made() {
    let mut job = demo();
    job.make.body.housing = Some(mm(22.0));
    job.make.body.outside = None;
    let outcome = fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job);
    assert!(outcome.impossible());
}

#[test]
fn square_threads_are_fitted_by_their_thickness() {
    let job = demo();
    let at = |place, t| {
        weighed(Element::External, Feature::ThreadThickness, mm(t), Length::um(10.0), Some(mm(place)))
    };
    let evidence = readings(vec![at(20.0, 2.45), at(200.0, 2.30)]);
    let outcome = fit::work(&evidence, &settled("Sq 25x5"), &job);
    let fit = fitted(&outcome);
    assert!((fit.groove_bottom_width - mm(2.49)).abs() < Length::um(0.01), "{:?}", fit.groove_bottom_width);
    assert!((fit.groove_top_width - fit.groove_bottom_width).abs() < Length::um(1e-6));
    assert!(fit.play_range().is_some_and(|(a, b)| b - a > mm(0.10) && b - a < mm(0.15)));
}

/// The inch demo: left-hand Acme, measured on its crests only.
#[test]
fn the_inch_demo_has_sizes_in_inches_of_body() {
    let job: Job = job(include_str!("../../../demo/proof-press.toml"));
    let outcome = fit::work(&evidence(&job, Length::thou(0.5)), &settled("3/4-6 Acme LH"), &job);
    let fit = fitted(&outcome);
    // ISO 286-2, 31.75 k6: +18, +2 µm.
    let body = fit.body.unwrap_or_else(|| panic!("no body"));
    assert!((body.max - (Length::inch(1.25) + Length::um(18.0))).abs() < Length::um(1e-6));
    assert!((body.min - (Length::inch(1.25) + Length::um(2.0))).abs() < Length::um(1e-6));
    assert!(fit.stock.is_some_and(|(d, _)| (d.to_inch() - 1.375).abs() < 1e-9));
}

/// A thread chosen by hand that no wear turns into the one measured has no sizes, and what would fit is named.
#[test]
fn a_choice_that_contradicts_the_readings_has_no_sizes() {
    for (choice, why) in [
        ("Tr 40x14 P7 LH", "pitch was read as"),
        ("Tr 30x5", "major diameter was read at 21.86 mm"),
        ("Tr 20x5", "major diameter was read at"),
        ("Tr 24x8", "pitch was read as 5.008 mm"),
        ("M22x2.5", "pitch was read as"),
    ] {
        let mut job = demo();
        job.chosen = choice.parse().ok();
        let whole = flankwise_bench::work(&job);
        assert!(whole.fit.result.is_none(), "{choice}");
        assert!(says(&whole.fit.notes, NoteKind::Impossible, why), "{choice}: {:?}", whole.fit.notes);
        assert!(says(&whole.fit.notes, NoteKind::Impossible, "speak for Tr 22x5"), "{choice}");
    }
    // One miscount does not take a choice away that the other readings bear out.
    let mut job = demo();
    job.chosen = "Tr 22x5".parse().ok();
    for reading in job.readings.iter_mut().filter(|r| r.feature == Feature::Pitch) {
        reading.count = Some(13);
    }
    assert!(flankwise_bench::work(&job).fit.result.is_some());
    // The near miss that the owner told of still has sizes, with a warning of the lead.
    let mut job = demo();
    job.chosen = "7/8-5 Acme".parse().ok();
    assert!(flankwise_bench::work(&job).fit.result.is_some());
}

#[test]
fn a_choice_of_the_wrong_hand_would_not_go_on() {
    let mut job = demo();
    job.chosen = "Tr 22x5 LH".parse().ok();
    let whole = flankwise_bench::work(&job);
    assert!(says(&whole.fit.notes, NoteKind::Impossible, "was seen to be right-hand"));
}

/// One diameter of the relief groove: the order of work, the figure and the field say the same.
#[test]
fn the_relief_groove_has_one_diameter() {
    for (part, expected) in [(Element::Internal, 0.5), (Element::External, -0.5)] {
        let mut job = demo();
        job.make.part = part;
        job.readings.clear();
        let outcome = fit::work(&evidence(&job, Length::um(6.0)), &settled("Tr 22x5"), &job);
        let fit = fitted(&outcome);
        let bottom = if part == Element::Internal { fit.bottom.max } else { fit.bottom.min };
        let across = fit.relief_diameter.unwrap_or_default();
        assert!((across - bottom - mm(expected)).abs() < Length::um(1e-6), "{across:?}");
        let words = show::value(
            &flankwise_bench::report::Value::Length(across, flankwise_bench::report::Fine::Shop),
            Unit::Mm,
        );
        let steps: Vec<_> = fit.operations.iter().map(|s| show::text(&s.text, Unit::Mm)).collect();
        assert!(steps.iter().any(|s| s.contains("groove") && s.contains(&words)), "{words}: {steps:?}");
    }
}

const FAMILIES: [&str; 5] = ["Tr 22x5", "7/8-5 Acme", "M20x2.5", "1/2 BSW", "Tr 40x14 P7"];

/// A mate of `designation` with these amounts missing (axial, mm) at even places, and a part made for it.
fn made_for(designation: &str, part: Element, missing: &[f64], play: f64) -> Outcome<Fit> {
    let identity = settled(designation);
    let thread = &identity.thread;
    let basic = thread.basic();
    let k = fit::play::slope(basic.flank_leading, basic.flank_trailing);
    let mate = if part == Element::Internal { Element::External } else { Element::Internal };
    let readings_of_mate = missing
        .iter()
        .enumerate()
        .map(|(i, m)| {
            let at = fit::play::pitch_diameter(mate, mm(*m), basic.d2, k);
            weighed(mate, Feature::PitchDiameter, at, Length::um(3.0), Some(mm(50.0 * i as f64)))
        })
        .collect();
    let mut job = demo();
    job.make.part = part;
    job.make.play = Some(mm(play));
    fit::work(&readings(readings_of_mate), &identity, &job)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// A part made for its mate interferes nowhere, has the play asked for where it is tightest, and more where
    /// more is worn; even the tightest part within its limits still goes on.
    #[test]
    fn never_interferes_and_wear_only_adds_play(
        family in 0..FAMILIES.len(),
        nut in any::<bool>(),
        missing in prop::collection::vec(0.0..0.3f64, 1..6),
        play in 0.0..0.2f64,
    ) {
        let part = if nut { Element::Internal } else { Element::External };
        let outcome = made_for(FAMILIES[family], part, &missing, play);
        let fit = fitted(&outcome);
        prop_assert_eq!(fit.stations.len(), missing.len());
        let thickest = missing.iter().copied().fold(f64::INFINITY, f64::min);
        for (s, own) in fit.stations.iter().zip(&missing) {
            prop_assert!(s.play >= mm(play) - Length::um(1.0));
            // The whole part is no looser about a place than a short piece would be there; values that are put in order
            // move by two standard uncertainties.
            let (aim, _) = fit.play_range().unwrap_or_default();
            prop_assert!(s.play <= aim + mm(own - thickest) + Length::um(15.0), "{:?} {}", s.play, own);
            // The limit that leaves least play, from the pitch diameters alone.
            let basic = fit.thread.basic();
            let k = fit::play::slope(basic.flank_leading, basic.flank_trailing);
            let least = if nut {
                fit::play::missing(Element::Internal, fit.pitch_diameter.min, s.mate_pitch_diameter, k)
            } else {
                fit::play::missing(Element::Internal, s.mate_pitch_diameter, fit.pitch_diameter.max, k)
            };
            prop_assert!(least >= Length::ZERO);
        }
        prop_assert!(fit.pitch_diameter.min <= fit.pitch_diameter.aim && fit.pitch_diameter.aim <= fit.pitch_diameter.max);
        prop_assert!(fit.groove_bottom_width > Length::ZERO && fit.groove_bottom_width <= fit.groove_top_width);
    }

    /// Readings and wishes that make no sense are answered with notes, never with a panic, and the sizes stay finite.
    #[test]
    fn nonsense_is_answered(
        family in 0..FAMILIES.len(),
        nut in any::<bool>(),
        missing in prop::collection::vec(-50.0..50.0f64, 0..5),
        play in -5.0..5.0f64,
        length in -10.0..500.0f64,
        load in -1e6..1e6f64,
    ) {
        let part = if nut { Element::Internal } else { Element::External };
        let mate = if nut { Element::External } else { Element::Internal };
        let mut job = demo();
        job.make.part = part;
        job.make.play = Some(mm(play));
        job.make.length = Some(mm(length));
        job.make.load = Some(flankwise_thread::Force::newton(load));
        job.make.body.outside = Some(mm(length));
        job.make.body.housing = None;
        let readings_of_mate = missing
            .iter()
            .map(|m| weighed(mate, Feature::ThreadThickness, mm(*m), Length::um(3.0), Some(mm(*m))))
            .collect();
        let outcome = fit::work(&readings(readings_of_mate), &settled(FAMILIES[family]), &job);
        let Some(fit) = &outcome.result else {
            prop_assert!(outcome.impossible(), "no sizes, and no word why");
            return Ok(());
        };
        for size in [fit.blank, fit.bottom, fit.pitch_diameter] {
            prop_assert!(size.min <= size.aim && size.aim <= size.max && size.aim.is_finite());
        }
        prop_assert!(fit.groove_bottom_width > Length::ZERO || outcome.impossible());
        prop_assert!(flankwise_bench::route::work(fit, &job).result.is_some());
        let _ = fit.section();
    }

    /// A nut for a screw and a screw for a nut that are worn alike get the same play.
    #[test]
    fn nut_and_screw_are_mirror_images(
        family in 0..FAMILIES.len(),
        missing in prop::collection::vec(0.0..0.3f64, 1..6),
        play in 0.02..0.2f64,
    ) {
        let (a, b) = (
            made_for(FAMILIES[family], Element::Internal, &missing, play),
            made_for(FAMILIES[family], Element::External, &missing, play),
        );
        let least = |outcome| fitted(outcome).play_range().unwrap_or_default().0;
        prop_assert!((least(&a) - least(&b)).abs() < Length::um(1e-3));
    }
}
