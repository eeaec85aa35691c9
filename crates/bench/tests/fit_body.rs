//! The whole part and how it runs: what a person is told of body, keyways, press fit, load, speed and materials.

mod fit_support;

use fit_support::{demo, evidence, settled};
use flankwise_bench::fit::{self, Fit};
use flankwise_bench::iso286::Fits;
use flankwise_bench::job::{self, Duty, Ends, Job, KeyStandard, Keyway};
use flankwise_bench::report::{Block, Figure, Mark, Note, NoteKind, Outcome, Table, Value, show};
use flankwise_thread::{Angle, Element, Force, Length, Unit};

fn work(job: &Job) -> Outcome<Fit> {
    fit::work(&evidence(job, Length::um(10.0)), &settled("Tr 22x5"), job)
}

fn figures(fit: &Fit) -> Vec<&Figure> {
    fit.detail
        .iter()
        .filter_map(|b| if let Block::Figures(_, f) = b { Some(f) } else { None })
        .flatten()
        .collect()
}

fn figure<'f>(fit: &'f Fit, key: &str) -> Option<&'f Figure> {
    figures(fit).into_iter().find(|f| f.key == key)
}

fn number(fit: &Fit, key: &str) -> f64 {
    match figure(fit, key).map(|f| &f.value) {
        Some(Value::Mpa(v) | Value::Number(v, _) | Value::TorqueNm(v) | Value::Rpm(v) | Value::Share(v)) => {
            *v
        }
        Some(Value::Length(l, _)) => l.to_mm(),
        Some(Value::Force(f)) => f.to_newton(),
        Some(Value::Band(_, most, _)) => most.to_mm(),
        other => panic!("{key}: {other:?}"),
    }
}

fn table<'f>(fit: &'f Fit, key: &str) -> &'f Table {
    let found = fit.detail.iter().find_map(|b| match b {
        Block::Table(t) if t.key == key => Some(t),
        _ => None,
    });
    found.unwrap_or_else(|| panic!("no table {key}"))
}

fn about<'o>(outcome: &'o Outcome<Fit>, field: &str) -> Vec<&'o Note> {
    outcome.notes.iter().filter(|n| n.field == field).collect()
}

fn keyway() -> Keyway {
    Keyway {
        standard: Some(KeyStandard::Din6885),
        width: None,
        depth: None,
        from_end: None,
        length: None,
        angle: Angle::ZERO,
    }
}

#[test]
fn a_fit_that_does_not_exist_is_refused_with_field_value_and_what_is_accepted() {
    for wrong in ["h27", "Q6", "H7", "h6/k6"] {
        let text = format!("job = \"x\"\n[make.body]\nfit = \"{wrong}\"\n");
        let problems = job::read(&text).expect_err(wrong);
        let [problem] = &problems[..] else { panic!("{problems:?}") };
        assert_eq!((problem.field.as_str(), problem.read.as_str()), ("make.body.fit", wrong));
        assert!(
            problem.accepted.contains("h6") && problem.accepted.contains("H7/p6"),
            "{}",
            problem.accepted
        );
    }
}

#[test]
fn a_load_wants_its_unit_and_is_not_negative() {
    for wrong in ["900", "\"900\"", "-900", "\"-900 N\"", "\"9 kg m\""] {
        let problems = job::read(&format!("job = \"x\"\n[make]\nload = {wrong}\n")).expect_err(wrong);
        assert_eq!(problems[0].field, "make.load");
        assert!(problems[0].accepted.contains("900 N"), "{}", problems[0].accepted);
    }
}

#[test]
fn a_keyway_without_width_or_standard_says_so() {
    let problems = job::read("job = \"x\"\n[[make.keyway]]\ndepth = \"3 mm\"\n").expect_err("no width");
    assert_eq!(problems[0].field, "make.keyway[1].width");
}

#[test]
fn keyways_are_sized_by_their_standard_and_leave_a_wall() {
    let mut job = demo();
    job.make.body.keyways = vec![keyway()];
    let outcome = work(&job);
    let fit = outcome.result.as_ref().expect("a fit");
    let way = fit.keyways[0];
    // DIN 6885-1 for a shaft over 30 up to 38 mm: 10 wide, t1 = 5 mm.
    assert_eq!((way.width, way.depth), (Length::mm(10.0), Length::mm(5.0)));
    assert!((number(fit, "wall") - number(fit, "wall_keyway") - 5.0).abs() < 1e-9);
    assert_eq!(table(fit, "keyways").rows.len(), 1);
    let thin = about(&outcome, "make.body.outside");
    assert!(thin.iter().any(|n| show::text(&n.text, Unit::Mm).contains("under the keyway")), "{thin:?}");
}

#[test]
fn a_keyway_deeper_than_the_wall_cannot_be_cut() {
    let mut job = demo();
    job.make.body.keyways = vec![Keyway { depth: Some(Length::mm(9.0)), ..keyway() }];
    let outcome = work(&job);
    let notes = about(&outcome, "make.keyway[1].depth");
    assert!(notes.iter().any(|n| n.kind == NoteKind::Impossible), "{notes:?}");
}

#[test]
fn a_body_smaller_than_the_thread_cannot_be_made() {
    let mut job = demo();
    job.make.body.housing = Some(Length::mm(22.0));
    let outcome = work(&job);
    assert!(about(&outcome, "make.body.outside").iter().any(|n| n.kind == NoteKind::Impossible));
}

/// The demo's nut with its body to a fit, in a ring of grey iron.
fn pressed(fits: &str) -> Job {
    let mut job = demo();
    job.make.body.fit = Fits::read(fits).ok();
    job.make.body.housing_outside = Some(Length::mm(70.0));
    job.make.body.housing_material = Some("cast-iron".to_owned());
    job
}

#[test]
fn a_press_fit_closes_the_thread_and_says_by_how_much() {
    let outcome = work(&pressed("H7/s6"));
    let fit = outcome.result.as_ref().expect("a fit");
    let (closing, longer, play) =
        (number(fit, "bore_closing"), number(fit, "press_longer"), number(fit, "press_play"));
    // Less than the interference, and the play follows by tan 15° and by the growth in length.
    assert!(closing > 0.005 && closing < 0.05, "{closing}");
    assert!(longer > 0.0 && longer < closing, "{longer}");
    assert!((play - closing * 15f64.to_radians().tan() - longer).abs() < 1e-9);
    assert!(number(fit, "press_force") > 1000.0);
    let notes = about(&outcome, "make.body.fit");
    assert!(
        notes.iter().any(|n| show::text(&n.text, Unit::Mm).contains("the thread closes by")),
        "{notes:?}"
    );
    assert!(fit.operations.iter().any(|s| show::text(&s.text, Unit::Mm).contains("press the body in")));
    // A sliding one does none of it.
    let sliding = work(&pressed("H7/g6")).result.expect("a fit");
    assert!(figure(&sliding, "press_force").is_none() && sliding.pressed.is_none());
}

#[test]
fn the_sizes_allow_for_what_pressing_closes_and_the_play_in_the_housing_is_that_asked_for() {
    let sliding = work(&pressed("H7/g6")).result.expect("a fit");
    let fit = work(&pressed("H7/s6")).result.expect("a fit");
    let pressed = fit.pressed.expect("a press fit");
    let more = |of: fn(&Fit) -> fit::Size| (of(&fit).min - of(&sliding).min).to_mm();
    assert!((more(|f| f.blank) - pressed.closing.1.to_mm()).abs() < 1e-9);
    assert!((more(|f| f.bottom) - pressed.closing.1.to_mm()).abs() < 1e-9);
    let slope = 15f64.to_radians().tan();
    assert!((more(|f| f.pitch_diameter) * slope - pressed.takes.1.to_mm()).abs() < 1e-9);
    let (tight, loose) = fit.play_range().expect("play");
    let (was_tight, was_loose) = sliding.play_range().expect("play");
    assert!((tight - was_tight).abs() < Length::um(1e-6) && (loose - was_loose).abs() < Length::um(1e-6));
    // One made to the book, with nothing allowed for, is tighter in its housing by what pressing takes.
    let by_book = |f: &Fit| f.play_range_by_book().expect("play").0;
    assert!((by_book(&sliding) - by_book(&fit) - pressed.takes.1).abs() < Length::um(1e-6));
    assert!((number(&fit, "play_before_pressing") - (tight + pressed.takes.1).to_mm()).abs() < 1e-9);
}

#[test]
fn a_press_fit_beyond_yield_is_told_and_may_close_by_all_of_it() {
    let mut job = pressed("H7/x6");
    job.make.body.housing = Some(Length::mm(26.0));
    job.make.body.outside = Some(Length::mm(26.0));
    let outcome = work(&job);
    let pressed = outcome.result.as_ref().and_then(|fit| fit.pressed).expect("a press fit");
    assert!(pressed.yields && pressed.closing.1 >= pressed.tight.1, "{pressed:?}");
    let notes = about(&outcome, "make.body.fit");
    assert!(notes.iter().any(|n| n.kind == NoteKind::Warning), "{notes:?}");
}

#[test]
fn a_housing_outside_its_class_is_told() {
    let mut job = demo();
    job.make.body.housing = Some(Length::mm(36.08));
    job.make.body.fit = Fits::read("H7/h6").ok();
    assert!(about(&work(&job), "make.body.housing").iter().any(|n| n.kind == NoteKind::Warning));
}

#[test]
fn a_worn_screw_shears_sooner_and_a_longer_nut_later() {
    let job = demo();
    let fit = work(&job).result.expect("a fit");
    let mut long = job.clone();
    long.make.length = Some(Length::mm(60.0));
    let longer = work(&long).result.expect("a fit");
    assert!(number(&longer, "shear_screw") < number(&fit, "shear_screw"));
    let mut worn = job.clone();
    for reading in &mut worn.readings {
        if let job::Quantity::Length(l, unit) = reading.value
            && reading.feature == job::Feature::OverWires
            && reading.place == Some(Length::mm(180.0))
        {
            reading.value = job::Quantity::Length(l - Length::mm(0.5), unit);
        }
    }
    let sooner = work(&worn).result.expect("a fit");
    assert!(number(&sooner, "shear_screw") > number(&fit, "shear_screw"));
}

#[test]
fn a_fast_screw_is_held_to_less_pressure_and_told_of_its_critical_speed() {
    let mut job = demo();
    job.make.run.speed_rpm = Some(10.0);
    let slow = work(&job).result.expect("a fit");
    job.make.run.speed_rpm = Some(400.0);
    let fast = work(&job).result.expect("a fit");
    assert!(number(&fast, "bearing_limit") < number(&slow, "bearing_limit"));
    job.make.run.speed_rpm = Some(4000.0);
    job.make.run.supported = Some(Length::mm(900.0));
    job.make.run.ends = Some(Ends::FixedFree);
    let outcome = work(&job);
    let told: Vec<_> =
        about(&outcome, "make.run.speed_rpm").iter().map(|n| show::text(&n.text, Unit::Mm)).collect();
    assert!(told.iter().any(|t| t.contains("4000 rev/min") && t.contains("critical speed")), "{told:?}");
    assert!(told.iter().any(|t| t.contains("faster than any published limit")), "{told:?}");
}

#[test]
fn a_long_pushed_screw_buckles() {
    let mut job = demo();
    job.make.load = Some(Force::newton(20_000.0));
    job.make.run.supported = Some(Length::mm(1500.0));
    assert!(!about(&work(&job), "make.run.supported").is_empty());
}

#[test]
fn materials_stand_side_by_side_with_what_speaks_against_them() {
    let mut job = demo();
    job.make.duty = Duty::Lift;
    let fit = work(&job).result.expect("a fit");
    let pairs = table(&fit, "pairs");
    let of = |name: &str| {
        let row = pairs.rows.iter().find(|r| r.cells[0] == Value::Word(name.to_owned()));
        row.unwrap_or_else(|| panic!("{name} is missing"))
    };
    assert_eq!(of("leaded tin bronze C93200").mark, Mark::Best);
    for name in ["beryllium copper C17200", "acetal (POM-C)", "UHMW polyethylene", "aluminium bronze C95400"]
    {
        assert_eq!(of(name).mark, Mark::Bad, "{name}");
    }
    job.make.duty = Duty::Feed;
    let feed = work(&job).result.expect("a fit");
    let row =
        table(&feed, "pairs").rows.iter().find(|r| r.cells[0] == Value::Word("acetal (POM-C)".to_owned()));
    assert_eq!(row.map(|r| r.mark), Some(Mark::Plain));
    fit_support::well_formed(&feed.section());
}

#[test]
fn torque_counts_the_collar_and_the_lubricant() {
    let mut job = demo();
    let plain = work(&job).result.expect("a fit");
    job.make.run.collar = Some(Length::mm(30.0));
    let collar = work(&job).result.expect("a fit");
    // F fc dc/2 = 900 N · 0.17 · 15 mm.
    let more = number(&collar, "torque_against") - number(&plain, "torque_against");
    assert!((more - 900.0 * 0.17 * 0.015).abs() < 1e-9, "{more}");
    job.make.run.lubricant = job::Lubricant::Dry;
    let dry = work(&job).result.expect("a fit");
    assert!(number(&dry, "torque_against") > number(&collar, "torque_against"));
    assert!(number(&dry, "wear_turns") > number(&collar, "wear_turns"));
}

#[test]
fn a_screw_made_knows_its_nut_or_takes_the_usual_range() {
    let mut job = demo();
    job.make.part = Element::External;
    job.make.length = Some(Length::mm(400.0));
    job.make.body.keyways =
        vec![Keyway { depth: Some(Length::mm(30.0)), width: Some(Length::mm(8.0)), ..keyway() }];
    let outcome = work(&job);
    let fit = outcome.result.as_ref().expect("a fit");
    assert_eq!((fit.engaged.shortest, fit.engaged.longest), (Length::mm(33.0), Length::mm(44.0)));
    assert!(about(&outcome, "make.keyway[1].depth").iter().any(|n| n.kind == NoteKind::Impossible));
    assert!(table(fit, "pairs").rows.iter().all(|r| !format!("{:?}", r.cells[0]).contains("bronze")));
    job.make.run.nut_length = Some(Length::mm(50.0));
    let known = work(&job).result.expect("a fit");
    assert_eq!(known.engaged.shortest, Length::mm(50.0));
}
