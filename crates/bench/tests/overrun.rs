//! Speed, reaction and room: published figures (`tables/overrun.csv`; add rows there), and whole set-ups.

mod fit_support;

use fit_support::{demo, evidence, settled};
use flankwise_bench::fit::{self, Fit};
use flankwise_bench::job::{Job, Lathe};
use flankwise_bench::report::{NoteKind, Outcome, show};
use flankwise_bench::setup::{HalfNuts, Setup, rpm_for_room, rpm_for_surface, surface_at, travel};
use flankwise_bench::{setup, tool};
use flankwise_thread::{Hand, Length, Pitch, Unit};

#[test]
fn published_speeds() {
    for line in include_str!("tables/overrun.csv").lines().filter(|l| !l.starts_with('#')) {
        let cells: Vec<&str> = line.split(',').collect();
        assert_eq!(cells.len(), 7, "{line}");
        let n = |i: usize| cells[i].parse::<f64>().unwrap();
        let (a, b, c) = (n(1), n(2), n(3));
        let got = match cells[0] {
            "travel" => travel(a, Length::mm(b), c).to_mm(),
            "room" => rpm_for_room(Length::mm(a), Length::mm(b), c),
            "surface" => rpm_for_surface(a * 0.3048, Length::inch(b)),
            "feet" => surface_at(a, Length::inch(b)) / 0.3048,
            other => panic!("{other}"),
        };
        assert!((got - n(4)).abs() <= n(5), "{line}: {got}");
    }
}

fn fit_of(job: &Job, thread: &str) -> Fit {
    fit::work(&evidence(job, Length::um(10.0)), &settled(thread), job).result.unwrap()
}

fn set_up(job: &Job, thread: &str) -> Outcome<Setup> {
    let fit = fit_of(job, thread);
    let tool = tool::work(&fit, job).result.unwrap();
    setup::work(&fit, &tool, job)
}

fn lathe(job: &mut Job) -> &mut Lathe {
    job.lathe.as_mut().unwrap()
}

/// What an outcome says that cannot be done, as text.
fn impossible(outcome: &Outcome<Setup>) -> Vec<String> {
    let of_kind = |n: &&flankwise_bench::report::Note| n.kind == NoteKind::Impossible;
    outcome.notes.iter().filter(of_kind).map(|n| show::text(&n.text, Unit::Mm)).collect()
}

#[test]
fn the_demo_is_cut_exactly_at_a_speed_that_can_be_stopped() {
    let outcome = set_up(&demo(), "Tr 22x5");
    let s = outcome.result.as_ref().unwrap();
    assert!(!outcome.impossible(), "{:?}", impossible(&outcome));
    assert!(s.trains[0].meshes);
    assert_eq!(s.trains[0].error_ppm, 0.0);
    // 4 mm lead screw, 20-tooth dial with 8 marks: 10 mm a mark, and 20 mm is the first multiple of 4 and 5.
    assert!(matches!(&s.half_nuts, HalfNuts::Marks(marks, _) if *marks == [1, 3, 5, 7]), "{:?}", s.half_nuts);
    // The groove of 8 mm less the tool's width where it leaves the thread, at 5 mm lead and 0.45 s.
    let fit = fit_of(&demo(), "Tr 22x5");
    let w = 8.0 - fit.groove_top_width.to_mm();
    let reaction = s.rpm_reaction.unwrap();
    assert!((reaction - 60.0 * w / (5.0 * 0.45)).abs() < 1e-9);
    assert!(reaction < s.rpm_surface);
    assert_eq!(s.rpm, 110.0);
    assert!((s.overrun.to_mm() - 110.0 / 60.0 * 5.0 * 0.45).abs() < 1e-9);
    assert!(s.overrun.to_mm() <= w);
    let answer = show::text(&s.section().answer, Unit::Mm);
    assert!(answer.contains("110 rev/min; the room to stop in sets it"), "{answer}");
}

#[test]
fn a_narrow_groove_is_said_to_be_impossible_with_what_would_do() {
    let mut job = demo();
    job.make.relief = Some(Length::mm(4.6));
    let outcome = set_up(&job, "Tr 22x5");
    let said = impossible(&outcome);
    assert_eq!(said.len(), 1, "{said:?}");
    for word in ["room of at least", "crank", "away from the chuck"] {
        assert!(said[0].contains(word), "{}", said[0]);
    }
    // With the width it asks for, it can be done.
    let mm = said[0].split("room of at least ").nth(1).unwrap().split(" mm").next().unwrap();
    job.make.relief = Some(Length::mm(mm.parse::<f64>().unwrap() + 0.005));
    assert!(!set_up(&job, "Tr 22x5").impossible());
}

#[test]
fn a_thread_right_through_is_not_limited_by_reaction() {
    let mut job = demo();
    job.make.through = true;
    job.make.relief = None;
    let s = set_up(&job, "Tr 22x5").result.unwrap();
    assert_eq!(s.rpm_reaction, None);
    assert!(s.rpm <= s.rpm_surface && s.rpm > 110.0);
    // That nothing limits it is said, with what would.
    assert!(set_up(&job, "Tr 22x5").needs.iter().any(|n| n.field == "cutting.room"));
}

/// A lead of 14 mm from a lead screw of 4 mm steps it up 3.5 times.
#[test]
fn a_lead_screw_stepped_up_far_is_warned_of() {
    let mut job = demo();
    job.readings.clear();
    let fit = fit_of(&job, "Tr 40x14 P7");
    let tool = tool::work(&fit, &job).result.unwrap();
    let outcome = setup::work(&fit, &tool, &job);
    let words: Vec<_> = outcome.notes.iter().map(|n| show::text(&n.text, Unit::Mm)).collect();
    assert!(words.iter().any(|w| w.contains("turns 3.50 times")), "{words:?}");
    assert!(!set_up(&demo(), "Tr 22x5").notes.iter().any(|n| n.field == "lathe.gears"));
}

#[test]
fn blind_without_a_groove_takes_the_slowest_speed() {
    let mut job = demo();
    job.make.relief = None;
    let outcome = set_up(&job, "Tr 22x5");
    assert_eq!(outcome.result.as_ref().unwrap().rpm, 45.0);
    assert!(outcome.notes.iter().any(|n| n.field == "make.relief"));
}

#[test]
fn closed_half_nuts_count_the_spindle_running_on() {
    let mut job = demo();
    lathe(&mut job).lead_screw = Pitch::tpi(8.0);
    lathe(&mut job).coast_s = Some(2.0);
    let s = set_up(&job, "Tr 22x5").result.unwrap();
    assert_eq!(s.half_nuts, HalfNuts::KeepClosed);
    let w = 8.0 - fit_of(&job, "Tr 22x5").groove_top_width.to_mm();
    assert!((s.rpm_reaction.unwrap() - 60.0 * w / (5.0 * (0.45 + 1.0))).abs() < 1e-9);
    lathe(&mut job).coast_s = None;
    let outcome = set_up(&job, "Tr 22x5");
    assert!(outcome.needs.iter().any(|n| n.field == "lathe.coast_s"));
}

#[test]
fn a_metric_thread_on_an_inch_lathe_asks_for_the_gear_that_does_it() {
    let mut job = demo();
    let l = lathe(&mut job);
    l.lead_screw = Pitch::tpi(8.0);
    l.gears.retain(|&z| z != 127);
    // 63 would be close (80 : 63 is 125 ppm off); only 127 is exact.
    l.gears = vec![20, 40, 50, 60, 80, 100];
    let outcome = set_up(&job, "Tr 22x5");
    let texts: Vec<_> = outcome.notes.iter().map(|n| show::text(&n.text, Unit::Mm)).collect();
    assert!(
        texts.iter().any(|t| t.contains("one gear of 127 teeth would do it") && t.contains("exact")),
        "{texts:?}"
    );
}

#[test]
fn a_left_hand_thread_says_how_the_lead_screw_is_turned_round() {
    let mut job = demo();
    lathe(&mut job).left_hand = false;
    let mut identity = settled("Tr 22x5");
    identity.thread.hand = Hand::Left;
    let fit = fit::work(&evidence(&job, Length::um(10.0)), &identity, &job).result.unwrap();
    let tool = tool::work(&fit, &job).result.unwrap();
    let outcome = setup::work(&fit, &tool, &job);
    assert!(outcome.notes.iter().any(|n| n.field == "lathe.left_hand"));
    // It feeds out of the blind end, so the groove does not limit the speed while the half-nuts can be opened.
    assert_eq!(outcome.result.unwrap().rpm_reaction, None);
}

#[test]
fn too_fast_a_lathe_is_warned_of() {
    let mut job = demo();
    job.make.through = true;
    lathe(&mut job).speeds_rpm = vec![600.0, 900.0];
    let outcome = set_up(&job, "Tr 22x5");
    assert_eq!(outcome.result.as_ref().unwrap().rpm, 600.0);
    assert!(outcome.notes.iter().any(|n| n.kind == NoteKind::Warning && n.field == "lathe.speeds"));
}

#[test]
fn without_a_lathe_it_says_what_can_be_said() {
    let mut job = demo();
    job.lathe = None;
    let outcome = set_up(&job, "Tr 22x5");
    assert!(outcome.result.is_none());
    assert_eq!(outcome.needs[0].field, "lathe");
    let said = show::text(&outcome.notes[0].text, Unit::Mm);
    assert!(said.contains("5.000 mm for each turn"), "{said}");
}

/// Every key of figures, and of tables, stands once; every row has as many cells as its table has columns.
#[test]
fn the_section_is_well_formed() {
    let section = set_up(&demo(), "Tr 22x5").result.unwrap().section();
    fit_support::well_formed(&section);
}
