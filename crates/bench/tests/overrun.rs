//! Speed, reaction and room: published figures (`tables/overrun.csv`; add rows there), and whole set-ups.

mod fit_support;

use fit_support::{demo, evidence, settled};
use flankwise_bench::fit::{self, Fit};
use flankwise_bench::job::{self, ChuckMount, Job, Lathe, Reaction};
use flankwise_bench::report::{Block, Mark, NoteKind, Outcome, show};
use flankwise_bench::setup::{
    HalfNuts, Room, Setup, rpm_for_room, rpm_for_surface, surface_at, travel, undercut_widths,
};
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
            "short" => undercut_widths(Length::mm(a)).0.to_mm(),
            "normal" => undercut_widths(Length::mm(a)).1.to_mm(),
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

/// The answer and the steps, as text.
fn said_of(setup: &Setup) -> String {
    let section = setup.section();
    let mut said = show::text(&section.answer, Unit::Mm);
    for block in section.blocks {
        if let Block::Steps(_, steps) = block {
            steps.iter().for_each(|s| said += &format!("\n{}", show::text(&s.text, Unit::Mm)));
        }
    }
    said
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
    assert_eq!(s.rpm, Some(110.0));
    let overrun = s.overrun.unwrap().to_mm();
    assert!((overrun - 110.0 / 60.0 * 5.0 * 0.45).abs() < 1e-9);
    assert!(overrun <= w);
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
    assert!(s.rpm.is_some_and(|n| n <= s.rpm_surface && n > 110.0));
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
    assert_eq!(outcome.result.as_ref().unwrap().rpm, Some(45.0));
    assert!(outcome.notes.iter().any(|n| n.field == "make.relief"));
    // The room is asked for, with what the slowest speed needs of it, and the ways of stopping stand with it.
    assert!(outcome.needs.iter().any(|n| n.field == "make.relief"));
    let room = travel(45.0, Length::mm(5.0), 0.45) + fit_of(&job, "Tr 22x5").groove_top_width;
    let s = outcome.result.unwrap();
    assert_eq!(s.room, Room::Unknown);
    let planned = row(&s, "stopping", "as planned");
    assert_eq!(planned[2], format!("{:.2} mm", room.to_mm()));
    assert_eq!(planned[3], "if there is that room");
    // Without speeds either there is none to run at: not the tool's own, at which nobody has said that one can stop.
    lathe(&mut job).speeds_rpm.clear();
    let outcome = set_up(&job, "Tr 22x5");
    assert!(outcome.needs.iter().any(|n| n.field == "lathe.speeds"));
    let s = outcome.result.unwrap();
    assert_eq!((s.rpm, s.overrun), (None, None));
    assert!(
        show::text(&s.section().answer, Unit::Mm).contains("No speed before the room at the end is said")
    );
    let whole = flankwise_bench::work(&job);
    assert!(whole.cut.result.is_none_or(|cut| cut.seconds.is_finite()));
}

/// Where even the slowest speed runs on further than the room there is, none is said, and the dry run is by hand.
#[test]
fn a_speed_that_cannot_be_stopped_is_not_told() {
    let mut job = demo();
    job.make.relief = Some(Length::mm(4.6));
    lathe(&mut job).speeds_rpm.retain(|n| *n > 80.0);
    let s = set_up(&job, "Tr 22x5").result.unwrap();
    assert_eq!(s.rpm, None);
    let said = said_of(&s);
    assert!(said.contains("No speed: you could not stop in the room there is"), "{said}");
    assert!(said.contains("No dry run under power"), "{said}");
    assert!(!said.contains("Run at") && !said.contains("Dry run at"), "{said}");
    // With room the dry run names the room there is, not what the carriage takes of it.
    let job = demo();
    let s = set_up(&job, "Tr 22x5").result.unwrap();
    let room = 8.0 - fit_of(&job, "Tr 22x5").groove_top_width.to_mm();
    let told = format!("you stop within {room:.2} mm of it, which is the room there is");
    assert!(said_of(&s).contains(&told), "{told}");
}

/// A chuck that screws on is not run backwards, neither to bring the tool back nor to cut away from it.
#[test]
fn a_screwed_on_chuck_is_not_reversed_under_power() {
    let mut job = demo();
    job.make.relief = Some(Length::mm(4.6));
    lathe(&mut job).half_nuts = false;
    lathe(&mut job).chuck = Some(ChuckMount::ScrewedOn);
    let outcome = set_up(&job, "Tr 22x5");
    let told = impossible(&outcome);
    assert!(told.iter().all(|t| !t.contains("spindle reversed")), "{told:?}");
    assert!(outcome.notes.iter().any(|n| n.field == "lathe.chuck" && n.kind == NoteKind::Warning));
    let s = outcome.result.unwrap();
    assert!(!s.runs_back);
    assert!(said_of(&s).contains("wind the spindle back by hand"), "{}", said_of(&s));
    lathe(&mut job).chuck = Some(ChuckMount::Fastened);
    let outcome = set_up(&job, "Tr 22x5");
    assert!(impossible(&outcome).iter().any(|t| t.contains("spindle reversed")));
    assert!(said_of(&outcome.result.unwrap()).contains("reverse it, and run back"));
}

/// Gears that would bind are none to put on: no step, drawing or division of the starts goes by them.
#[test]
fn a_train_that_binds_is_no_train_to_go_by() {
    let mut job = demo();
    job.readings.clear();
    let l = lathe(&mut job);
    (l.lead_screw, l.banjo) = (Pitch::mm(4.0), None);
    // 4 × 40 / 27 = 5.926 mm against 6 mm: 1.2 % short.
    (l.gears, l.most_gears) = (vec![27, 40], 2);
    let fit = fit_of(&job, "Tr 22x6 P3");
    let tool = tool::work(&fit, &job).result.unwrap();
    let outcome = setup::work(&fit, &tool, &job);
    assert!(impossible(&outcome).iter().any(|t| t.contains("cannot cut")), "{:?}", impossible(&outcome));
    let s = outcome.result.unwrap();
    assert!(s.trains[0].meshes && s.train().is_none());
    let table = setup::trains_table(&s.trains, Some(s.stakes));
    assert!(table.rows.iter().all(|r| r.mark == Mark::Bad));
    assert!(!said_of(&s).contains("Fit the gears"));
    assert!(row(&s, "starts", "stud")[2].contains("no train to go by"));
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
    assert!(outcome.notes.iter().any(|n| n.field == "lathe.right_hand_meshes"));
    let train = &outcome.result.as_ref().unwrap().trains[0];
    assert_eq!(
        (train.drivers.len() + train.idlers.len()) % 2,
        1,
        "an odd number of pairs: {}",
        train.words()
    );
    // It feeds out of the blind end, so the groove does not limit the speed while the half-nuts can be opened.
    assert_eq!(outcome.result.unwrap().rpm_reaction, None);
}

#[test]
fn too_fast_a_lathe_is_warned_of() {
    let mut job = demo();
    job.make.through = true;
    lathe(&mut job).speeds_rpm = vec![600.0, 900.0];
    let outcome = set_up(&job, "Tr 22x5");
    assert_eq!(outcome.result.as_ref().unwrap().rpm, Some(600.0));
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

/// What the page's tries come to goes into the speed by its slow end, with the hands' way to the levers.
#[test]
fn a_tried_reaction_sets_the_speed_by_its_slow_tries() {
    let mut job = demo();
    let tried = Reaction { median_s: 0.24, slow_s: 0.31, tries: Some(10), hands_s: Some(0.25) };
    lathe(&mut job).reaction = Some(tried);
    // Timed at the lathe goes first: it holds the hands.
    let timed = set_up(&job, "Tr 22x5").result.unwrap().rpm_reaction.unwrap();
    lathe(&mut job).reaction_s = None;
    let s = set_up(&job, "Tr 22x5").result.unwrap();
    assert!((s.rpm_reaction.unwrap() / timed - 0.45 / (0.31 + 0.25)).abs() < 1e-9);
    // Without either, 0.5 s and a wish.
    lathe(&mut job).reaction = None;
    let outcome = set_up(&job, "Tr 22x5");
    assert!(outcome.needs.iter().any(|n| n.field == "lathe.reaction"));
    assert!((outcome.result.unwrap().rpm_reaction.unwrap() / timed - 0.45 / 0.5).abs() < 1e-9);
}

#[test]
fn running_on_counts_only_while_the_carriage_is_driven_and_the_brake_shortens_it() {
    let mut job = demo();
    lathe(&mut job).coast_s = Some(2.0);
    let opened = set_up(&job, "Tr 22x5").result.unwrap();
    lathe(&mut job).half_nuts = false;
    let shut = set_up(&job, "Tr 22x5").result.unwrap();
    assert_eq!(shut.half_nuts, HalfNuts::KeepClosed);
    let ratio = |a: &Setup, b: &Setup| a.rpm_reaction.unwrap() / b.rpm_reaction.unwrap();
    assert!((ratio(&shut, &opened) - 0.45 / 1.45).abs() < 1e-9);
    lathe(&mut job).brake_s = Some(0.5);
    let braked = set_up(&job, "Tr 22x5").result.unwrap();
    assert!((ratio(&braked, &opened) - 0.45 / 0.70).abs() < 1e-9);
}

/// Rows of a table by the words of their first cell.
fn row(setup: &Setup, table: &str, first: &str) -> Vec<String> {
    let found = setup.detail.iter().find_map(|b| match b {
        Block::Table(t) if t.key == table => {
            t.rows.iter().find(|r| show::value(&r.cells[0], Unit::Mm).contains(first))
        }
        _ => None,
    });
    let row = found.unwrap_or_else(|| panic!("no row {first} in {table}"));
    row.cells.iter().map(|c| show::value(c, Unit::Mm)).collect()
}

#[test]
fn the_ways_of_stopping_ask_what_they_ask() {
    let mut job = demo();
    let s = set_up(&job, "Tr 22x5").result.unwrap();
    assert!(row(&s, "stopping", "as planned")[3] == "yes");
    assert!(row(&s, "stopping", "away from the chuck")[4].contains("only where the chuck does not screw on"));
    lathe(&mut job).chuck = Some(ChuckMount::ScrewedOn);
    let away = row(&set_up(&job, "Tr 22x5").result.unwrap(), "stopping", "away from the chuck");
    assert!(away[3] == "no" && away[4].contains("unscrews"), "{away:?}");
    lathe(&mut job).reverses = false;
    let away = row(&set_up(&job, "Tr 22x5").result.unwrap(), "stopping", "away from the chuck");
    assert!(away[3] == "no" && away[4].contains("does not reverse"), "{away:?}");
    // The wider groove it names is what its speed needs.
    let s = set_up(&job, "Tr 22x5").result.unwrap();
    let fit = fit_of(&job, "Tr 22x5");
    let wider: f64 = row(&s, "stopping", "more room")[2].trim_end_matches(" mm").parse().unwrap();
    // At a speed that the lathe has.
    let listed = lathe(&mut job).speeds_rpm.clone();
    let faster = listed.into_iter().rfind(|n| *n <= s.rpm_surface).unwrap();
    let needed = travel(faster, Length::mm(5.0), 0.45) + fit.groove_top_width;
    assert!((wider - needed.to_mm()).abs() < 0.006);
}

/// Two starts: gears with even teeth divide by the stud, one pitch over the lead screw's lead must give whole teeth, and
/// a carriage shift of an odd number of pitches meets the other start.
#[test]
fn starts_are_divided_by_what_divides() {
    let mut job = demo();
    job.readings.clear();
    lathe(&mut job).gears = vec![20, 30, 40, 45, 50, 60];
    lathe(&mut job).banjo = None;
    let set = |job: &Job, thread: &str| {
        let fit = fit_of(job, thread);
        let tool = tool::work(&fit, job).result.unwrap();
        setup::work(&fit, &tool, job).result.unwrap()
    };
    // Lead 6, pitch 3, screw 4 mm: 12 mm of carriage is two leads, 4 and 8 mm are no whole pitches.
    let s = set(&job, "Tr 22x6 P3");
    let stud = s.trains[0].drivers[0];
    assert_eq!(row(&s, "starts", "stud")[1] == "yes", stud % 2 == 0);
    assert_eq!(row(&s, "starts", "half-nuts")[1], "no");
    let last = f64::from(*s.trains[0].driven.last().unwrap());
    assert_eq!(row(&s, "starts", "last gear")[1] == "yes", (last * 0.75).fract() == 0.0);
    // Lead 10, pitch 5, screw 4 mm: 20 mm is two leads. A screw of 5 mm meets the other start every turn of its own.
    lathe(&mut job).lead_screw = Pitch::mm(5.0);
    let s = set(&job, "Tr 22x10 P5");
    let half = row(&s, "starts", "half-nuts");
    assert!(half[1] == "yes" && half[2].contains("5.00 mm"), "{half:?}");
    // Single starts have nothing to divide.
    assert!(!set(&job, "Tr 22x5").detail.iter().any(|b| matches!(b, Block::Table(t) if t.key == "starts")));
}

/// Bad input: each says field, what was read, and what is accepted.
#[test]
fn a_lathe_that_cannot_be_is_told_so() {
    let mut job = demo();
    lathe(&mut job).banjo.as_mut().unwrap().centres_min = Length::mm(900.0);
    lathe(&mut job).banjo.as_mut().unwrap().centres_max = Length::mm(900.0);
    let outcome = set_up(&job, "Tr 22x5");
    let note = outcome.notes.iter().find(|n| n.field == "lathe.banjo.centres_min").expect("told");
    let words = show::text(&note.text, Unit::Mm);
    assert!(words.contains("read 900.00 mm; accepted: up to"), "{words}");
    let mut job = demo();
    lathe(&mut job).gears = vec![40, 40, 50, 60];
    let twice = set_up(&job, "Tr 22x5").notes.into_iter().find(|n| n.field == "lathe.gears").expect("told");
    assert!(show::text(&twice.text, Unit::Mm).ends_with("gears on hand: 40."));
    let mut job = demo();
    lathe(&mut job).speeds_rpm.clear();
    assert!(set_up(&job, "Tr 22x5").needs.iter().any(|n| n.field == "lathe.speeds"));
}

/// The three lathes that come with the program are read, and cut what their kind is bought for.
#[test]
fn the_invented_lathes_cut_their_own_series() {
    let read = |text: &str| job::read_lathe(text).unwrap_or_else(|p| panic!("{p:?}"));
    let small_inch = read(include_str!("../../../demo/lathes/imperial-small.toml"));
    let small_mm = read(include_str!("../../../demo/lathes/metric-small.toml"));
    let geared = read(include_str!("../../../demo/lathes/geared-head.toml"));
    // Coarse pitches of ISO 262 and threads per inch of ASME B1.1, coarse.
    let mm = [0.5, 0.7, 0.8, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0];
    let tpi = [32.0, 24.0, 20.0, 18.0, 16.0, 14.0, 13.0, 12.0, 11.0, 10.0, 8.0];
    let exact = |lathe: &Lathe, lead: Length| {
        let (found, _) = setup::trains(lathe, lead, Hand::Right, 1);
        found.first().is_some_and(|t| t.meshes && t.error_ppm == 0.0)
    };
    let missed = |lathe: &Lathe, leads: Vec<Length>| {
        leads.into_iter().filter(|l| !exact(lathe, *l)).map(|l| l.to_mm()).collect::<Vec<_>>()
    };
    assert_eq!(missed(&small_mm, mm.map(Length::mm).to_vec()), Vec::<f64>::new());
    assert_eq!(missed(&small_inch, tpi.map(Length::per_inch).to_vec()), Vec::<f64>::new());
    assert_eq!(missed(&geared, mm[2..].iter().copied().map(Length::mm).collect()), Vec::<f64>::new());
    let chart = setup::chart(&small_mm, Hand::Right, &[]).expect("a chart");
    assert!(chart.rows.iter().all(|r| r.cells.len() == chart.columns.len()));
}
