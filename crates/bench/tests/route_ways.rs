//! The ways side by side: the demo job, what must hold for any job, bad input, and taps as published.

mod fit_support;

use fit_support::{demo, evidence, job, settled, well_formed};
use flankwise_bench::check::Verdict;
use flankwise_bench::fit::{self, Fit, Making};
use flankwise_bench::job::{
    Choice, Duty, Instrument, Job, MadeFeature, MadeReading, Mill, Offer, OfferKind, OwnWay, Rates, WayKind,
    read,
};
use flankwise_bench::material::material;
use flankwise_bench::report::{Block, NoteKind, Outcome, Text, show};
use flankwise_bench::route::{self, Route, Way, tap_set, taps};
use flankwise_bench::{quotation, work};
use flankwise_thread::{Element, Force, Length, Unit};
use proptest::prelude::*;

fn fit_of(job: &Job, designation: &str) -> Fit {
    fit::work(&evidence(job, Length::um(6.0)), &settled(designation), job)
        .result
        .unwrap_or_else(|| panic!("no fit"))
}

fn route_of(job: &Job, designation: &str) -> Outcome<Route> {
    route::work(&fit_of(job, designation), job)
}

fn result(outcome: &Outcome<Route>) -> &Route {
    outcome.result.as_ref().unwrap_or_else(|| panic!("no route"))
}

fn way(outcome: &Outcome<Route>, kind: WayKind) -> &Way {
    result(outcome).way(kind).unwrap_or_else(|| panic!("no way {kind:?}"))
}

fn said(text: &Text) -> String {
    show::text(text, Unit::Mm)
}

fn why_not(outcome: &Outcome<Route>, kind: WayKind) -> String {
    said(way(outcome, kind).impossible.as_ref().unwrap_or(&Text::new()))
}

fn best(outcome: &Outcome<Route>) -> Option<WayKind> {
    outcome.result.as_ref().and_then(Route::best).map(|w| w.kind)
}

fn noted(outcome: &Outcome<Route>, kind: NoteKind, field: &str, words: &str) -> bool {
    outcome.notes.iter().any(|n| n.kind == kind && n.field == field && said(&n.text).contains(words))
}

fn through() -> Job {
    let mut job = demo();
    job.make.through = true;
    job
}

fn own(way: WayKind) -> OwnWay {
    OwnWay::of(way)
}

fn offer(kind: OfferKind, thread: Option<&str>, price: Option<f64>) -> Offer {
    let thread = thread.map(|t| t.parse().unwrap_or_else(|e| panic!("{e}")));
    Offer { kind, thread, on_hand: false, price, pieces: 1, days: None, note: None }
}

/// The demo's thread ends blind on a groove of 1.6 pitches: no tap reaches.
#[test]
fn the_demo_is_cut_with_a_single_point_for_a_tap_cannot_end_blind() {
    let outcome = route_of(&demo(), "Tr 22x5");
    assert_eq!(best(&outcome), Some(WayKind::SinglePoint));
    for kind in [WayKind::BoughtTap, WayKind::MadeTap] {
        let why = way(&outcome, kind).impossible.clone().unwrap_or_default();
        let mm = said(&why);
        assert!(mm.contains("20.00 mm") && mm.contains("8.00 mm"), "{mm}");
        let inch = show::text(&why, Unit::Inch);
        assert!(inch.contains("0.787 in") && inch.contains("0.315 in"), "{inch}");
    }
    let way = way(&outcome, WayKind::SinglePoint);
    let cost = way.cost.clone().unwrap_or_default();
    assert!(cost.closed() && (cost.known - (way.hours * 65.0 + way.outlay.known)).abs() < 1e-9);
    assert_eq!(way.outlay.known, 48.0, "the stock as offered, and no bar to buy");
    assert!((2.0..8.0).contains(&way.hours), "a morning to a day: {}", way.hours);
    assert!(way.days >= 3.0, "two to wait for the stock");
    well_formed(&result(&outcome).section());
}

/// The estimate stands left of tool, lathe and cut; here it is held against what they plan: passes, spindle speed, and
/// the time at the thread, for both demo jobs.
#[test]
fn the_estimate_of_the_threading_agrees_with_the_plan_of_the_cut() {
    for text in
        [include_str!("../../../demo/board-shear.toml"), include_str!("../../../demo/proof-press.toml")]
    {
        let job = job(text);
        let whole = work(&job);
        let (fit, cut) = (whole.fit.result.unwrap(), whole.cut.result.unwrap());
        let lathe = job.lathe.as_ref();
        let estimate = route::time::passes(&fit, lathe, material(fit.material).unwrap(), fit.through);
        let passes = cut.passes.len() as f64;
        let (of_passes, of_time) = (estimate.count / passes, estimate.hours * 3600.0 / cut.seconds);
        let of_speed = estimate.rpm / whole.setup.result.unwrap().rpm.expect("a speed");
        let told = format!("{}: passes {of_passes:.2}, time {of_time:.2}, speed {of_speed:.2}", job.job);
        // The cut counts the tool's travel and 8 s of handling; here oil, chips and a look come on top.
        assert!((0.7..1.5).contains(&of_passes) && (1.0..2.5).contains(&of_time), "{told}");
        assert!((0.5..2.0).contains(&of_speed), "{told}");
    }
}

#[test]
fn through_the_offered_tap_can_be_used_but_gives_the_books_play() {
    let mut job = through();
    let outcome = route_of(&job, "Tr 22x5");
    let tap = way(&outcome, WayKind::BoughtTap);
    assert_eq!(tap.impossible, None);
    assert_eq!(tap.outlay.known, 210.0 + 48.0);
    assert!(tap.days >= 6.0);
    assert!(!tap.as_asked && tap.cannot.iter().any(|c| said(c).contains("standard")));
    assert_eq!(best(&outcome), Some(WayKind::SinglePoint), "the one that reaches the play");
    // What was asked costs no more than what the book gives would: said, not hidden.
    job.make.play = Some(Length::mm(0.15));
    assert!(way(&route_of(&job, "Tr 22x5"), WayKind::BoughtTap).as_asked);
}

#[test]
fn without_a_lathe_only_a_bought_part_is_left() {
    let mut job = demo();
    job.lathe = None;
    let outcome = route_of(&job, "Tr 22x5");
    assert_eq!(best(&outcome), Some(WayKind::BoughtPart));
    assert!(why_not(&outcome, WayKind::SinglePoint).contains("No lathe"));
    assert!(outcome.needs.iter().any(|n| n.field == "lathe"));
    // And for a thread that no standard lists not even that.
    let outcome = route_of(&job, "Tr 23x5");
    assert_eq!(best(&outcome), None);
    assert!(outcome.impossible());
}

#[test]
fn a_left_hand_thread_needs_a_lathe_that_cuts_it_and_an_offer_that_is_left_hand() {
    let mut job = through();
    let outcome = route_of(&job, "Tr 22x5 LH");
    assert_eq!(way(&outcome, WayKind::SinglePoint).impossible, None);
    // The offered tap is right-hand, so its price does not count, and that is said.
    let tap = way(&outcome, WayKind::BoughtTap);
    assert!(!tap.outlay.closed() && tap.cannot.iter().any(|c| said(c).contains("left-hand")));
    assert!(noted(&outcome, NoteKind::Warning, "offer[1].thread", "does not count"));
    if let Some(lathe) = &mut job.lathe {
        lathe.left_hand = false;
    }
    assert!(why_not(&route_of(&job, "Tr 22x5 LH"), WayKind::SinglePoint).contains("left-hand"));
}

#[test]
fn a_die_serves_a_small_fastening_screw_and_not_a_trapezoidal_one() {
    let mut job = through();
    job.readings.clear();
    job.make.part = Element::External;
    // Between supports as far apart as the demo's a thread so thin buckles under its load.
    job.make.run.supported = None;
    assert_eq!(way(&route_of(&job, "M8"), WayKind::Die).impossible, None);
    assert!(way(&route_of(&job, "Tr 22x5"), WayKind::Die).impossible.is_some());
    job.offers.push(Offer { on_hand: true, ..offer(OfferKind::Die, Some("Tr 22x5"), None) });
    let outcome = route_of(&job, "Tr 22x5");
    let die = way(&outcome, WayKind::Die);
    assert_eq!(die.impossible, None);
    assert!(!die.buy.iter().any(|b| said(b).contains("die")));
}

#[test]
fn taps_made_here_pay_with_the_number_of_nuts() {
    let gap = |pieces| {
        let mut job = through();
        job.make.pieces = pieces;
        let outcome = route_of(&job, "Tr 22x5");
        way(&outcome, WayKind::MadeTap).hours - way(&outcome, WayKind::SinglePoint).hours
    };
    assert!(gap(1) > 3.0);
    assert!(gap(50) < gap(1));
}

/// No rate: hours stand, money is not made up, and the ways are ranked by their hours.
#[test]
fn without_a_rate_hours_are_shown_and_no_money_is_invented() {
    let mut job = demo();
    job.rates = Rates::default();
    let outcome = route_of(&job, "Tr 22x5");
    for w in &result(&outcome).ways {
        assert_eq!(w.cost, None);
        assert!(w.hours > 0.0 && w.loss(None).is_none());
    }
    assert!(outcome.needs.iter().any(|n| n.field == "rates.hour"));
    let answer = said(&result(&outcome).section().answer);
    assert!(answer.contains("EUR 48 to spend") && !answer.contains("Risk"), "{answer}");
    // A rate of nothing is a rate: cost is then what is spent.
    job.rates.hour = Some(0.0);
    let outcome = route_of(&job, "Tr 22x5");
    assert_eq!(way(&outcome, WayKind::SinglePoint).cost.as_ref().map(|c| c.known), Some(48.0));
}

#[test]
fn what_has_no_price_stays_open_and_the_price_worth_paying_is_told() {
    let mut job = through();
    job.make.play = Some(Length::mm(0.15));
    job.offers.retain(|o| o.kind == OfferKind::Stock);
    job.offers.push(offer(OfferKind::Tap, Some("Tr 22x5"), None));
    let outcome = route_of(&job, "Tr 22x5");
    let tap = way(&outcome, WayKind::BoughtTap);
    assert_eq!(tap.outlay.open, ["tap Tr 22x5"]);
    assert_eq!(tap.outlay.known, 48.0);
    assert!(noted(&outcome, NoteKind::Remark, "offer[2].price", "no price"));
    // Dearest tap at which tapping would still be the cheapest, and it is.
    let route = result(&outcome);
    let room = route.best().unwrap().expected(route.rate).unwrap() - tap.expected(route.rate).unwrap();
    assert!(room > 0.0 && noted(&outcome, NoteKind::Remark, "offer", "worth asking"));
    job.offers[1].price = Some(room - 1.0);
    assert_eq!(best(&route_of(&job, "Tr 22x5")), Some(WayKind::BoughtTap));
    job.offers[1].price = Some(room + 1.0);
    assert_ne!(best(&route_of(&job, "Tr 22x5")), Some(WayKind::BoughtTap));
}

#[test]
fn an_offer_without_a_thread_does_not_count() {
    let mut job = demo();
    job.offers = vec![offer(OfferKind::Part, None, Some(20.0))];
    let outcome = route_of(&job, "Tr 22x5");
    assert!(!way(&outcome, WayKind::BoughtPart).outlay.closed());
    assert!(noted(&outcome, NoteKind::Warning, "offer[1].thread", "names no thread"));
}

#[test]
fn stock_of_unknown_size_has_no_price_made_up() {
    let mut job = demo();
    job.offers.clear();
    job.make.body = Default::default();
    let outcome = route_of(&job, "Tr 22x5");
    let way = way(&outcome, WayKind::SinglePoint);
    let buy: String = way.buy.iter().map(said).collect();
    assert!(buy.contains("ask for a price") && !buy.contains("EUR"), "{buy}");
    assert_eq!(way.outlay.open, ["the stock"]);
}

#[test]
fn own_figures_stand_before_those_reckoned() {
    let mut job = demo();
    let before = route_of(&job, "Tr 22x5");
    job.own_ways = vec![
        OwnWay { hours: Some(10.0), chance: Some(0.5), ..own(WayKind::SinglePoint) },
        OwnWay { price: Some(1.0), ..own(WayKind::Rechuck) },
        own(WayKind::Die),
    ];
    let outcome = route_of(&job, "Tr 22x5");
    let (then, now) = (way(&before, WayKind::SinglePoint), way(&outcome, WayKind::SinglePoint));
    assert_eq!((now.hours, now.risk.chance()), (10.0, 0.5));
    assert_eq!(now.cost.as_ref().map(|c| c.known), Some(10.0 * 65.0 + 48.0));
    // Half of the time all work on the piece, in the ratio of the hours given, is lost.
    let most = then.risk.mishaps.iter().map(|m| m.hours).fold(0.0, f64::max);
    assert!((now.risk.hours() - 0.5 * most * 10.0 / then.hours).abs() < 1e-9);
    assert_eq!(now.own, ["hours", "chance"]);
    assert_eq!(best(&outcome), Some(WayKind::Rechuck), "the cheapest now");
    assert!(noted(&outcome, NoteKind::Remark, "way[3].way", "not used"));
}

#[test]
fn the_choice_is_kept_with_its_reason_and_told_when_the_job_makes_it_impossible() {
    let mut job = through();
    job.choice = Choice {
        way: Some(WayKind::MadeTap),
        because: Some("two more nuts will follow".into()),
        ..Choice::default()
    };
    let outcome = route_of(&job, "Tr 22x5");
    assert!(!outcome.impossible());
    let route = result(&outcome);
    assert_eq!(route.taken().map(|w| w.kind), Some(WayKind::MadeTap));
    let answer = said(&route.section().answer);
    assert!(answer.starts_with("Chosen: ") && answer.contains("two more nuts will follow."), "{answer}");
    assert!(noted(&outcome, NoteKind::Remark, "choice.way", "less, risk counted in"));
    // Without a reason it is asked for.
    job.choice.because = None;
    assert!(route_of(&job, "Tr 22x5").needs.iter().any(|n| n.field == "choice.because"));
    // The hole becomes blind: no tap ends there.
    job.make.through = false;
    let outcome = route_of(&job, "Tr 22x5");
    assert!(noted(&outcome, NoteKind::Impossible, "choice.way", "as the job stands now"));
    assert_eq!(result(&outcome).taken().map(|w| w.kind), Some(WayKind::SinglePoint));
    // Ways that are none for this part or this job.
    for (kind, words) in [(WayKind::Die, "no way to make a nut"), (WayKind::ThreadMill, "milling machine")] {
        job.choice.way = Some(kind);
        assert!(noted(&route_of(&job, "Tr 22x5"), NoteKind::Impossible, "choice.way", words), "{kind:?}");
    }
}

#[test]
fn bad_figures_are_refused_by_field_value_and_what_is_accepted() {
    for (text, field, words) in [
        ("[choice]\nway = \"magic\"", "choice.way", "single point, re-chuck"),
        ("[[way]]\nway = \"die\"\nhours = -2", "way[1].hours", "0 to 10000"),
        ("[[way]]\nway = \"die\"\nchance = 120", "way[1].chance", "0 to 100"),
        ("[[way]]\nway = \"die\"\n[[way]]\nway = \"die\"", "way[2].way", "each way once"),
        ("[mill]\ncutter = 12\nneck = 12", "mill.neck", "thinner than the cutter"),
        ("[quotation]\nround_to = 0", "quotation.round_to", "1 to 1000000"),
    ] {
        let problems = read(&format!("job = \"x\"\n{text}\n")).expect_err(text);
        let told = problems.iter().any(|p| p.field == field && p.accepted.contains(words));
        assert!(told, "{text}: {problems:?}");
    }
}

/// The set for the demo's thread, made so that it could be made: every size hangs together.
#[test]
fn a_designed_set_hangs_together() {
    for designation in ["Tr 22x5", "Tr 16x4", "Tr 40x7", "3/4-6 Acme", "M24"] {
        let job = through();
        let fit = fit_of(&Job { readings: Vec::new(), ..job }, designation);
        let (bronze, steel) = (material(fit.material).unwrap(), material("tool-steel").unwrap());
        let set = tap_set::design(&fit, bronze, steel, Unit::Mm).unwrap_or_else(|e| panic!("{}", said(&e)));
        let near = |a: Length, b: Length| (a - b).abs() < Length::um(1.0);
        let (first, last) = (set.taps.first().unwrap(), set.taps.last().unwrap());
        assert!(near(last.crest, fit.bottom.aim) && near(last.crest_width, fit.groove_bottom_width));
        assert!(first.lead_start < fit.blank.aim, "{designation}: the first tap enters the bore");
        assert!((set.taps.iter().map(|t| t.share).sum::<f64>() - 1.0).abs() < 1e-9);
        for pair in set.taps.windows(2) {
            assert!(pair[0].crest < pair[1].crest && pair[1].lead_start < pair[0].crest);
        }
        for tap in &set.taps {
            assert!(tap.chip <= Length::mm(0.05) + Length::um(1e-6) && tap.chip > Length::ZERO);
            assert!(tap.torque_nm <= set.square_bears_nm / 1.5 && tap.torque_nm <= set.core_bears_nm / 1.5);
            assert!(tap.lead <= fit.thread.pitch.length * 10.0);
        }
        // The nut runs over shank and neck; the flutes reach below the taps' own thread and leave a core and lands.
        assert!(set.square.shank < fit.blank.min && set.neck > fit.length);
        assert!(set.cutter_height < set.root / 2.0 && set.core < set.root && set.core > set.root * 0.3);
        assert!(set.land > Length::ZERO && set.tip > Length::ZERO, "{designation}");
    }
}

#[test]
fn what_is_too_coarse_or_too_hard_for_taps_made_here_is_said() {
    let mut job = through();
    job.readings.clear();
    let outcome = route_of(&job, "Tr 22x24(P8)");
    assert!(
        why_not(&outcome, WayKind::MadeTap).contains("too coarse"),
        "{}",
        why_not(&outcome, WayKind::MadeTap)
    );
    job.make.material = Some("stainless-austenitic".into());
    assert!(why_not(&route_of(&job, "Tr 22x5"), WayKind::MadeTap).contains("do not last"));
}

#[test]
fn a_mill_is_weighed_by_its_cutter() {
    let mut job = through();
    let mill = |cutter: f64, neck: f64, reach: f64| Mill {
        name: "Knee mill (invented)".into(),
        cutter: Length::mm(cutter),
        neck: Some(Length::mm(neck)),
        reach: Some(Length::mm(reach)),
        teeth: 1,
        rpm: Some(3000.0),
        rotary: false,
        set_over: false,
    };
    assert!(result(&route_of(&job, "Tr 22x5")).way(WayKind::ThreadMill).is_none(), "no machine, no way");
    for (m, words) in [
        (mill(18.0, 6.0, 60.0), "does not enter"),
        (mill(12.0, 11.5, 60.0), "neck of the cutter"),
        (mill(8.0, 2.0, 20.0), "reaches 20.00 mm deep"),
        (mill(14.0, 6.0, 60.0), "curved by"),
    ] {
        job.mill = Some(m);
        let why = why_not(&route_of(&job, "Tr 22x5"), WayKind::ThreadMill);
        assert!(why.contains(words), "{words}: {why}");
    }
    // A fine thread bears the same cutter.
    job.mill = Some(mill(14.0, 6.0, 60.0));
    job.readings.clear();
    assert_eq!(why_not(&route_of(&job, "M22x1.5"), WayKind::ThreadMill), "");
}

#[test]
fn a_screw_is_milled_where_the_cutter_comes_along_it() {
    let mut job = demo();
    job.make.part = Element::External;
    job.make.length = Some(Length::mm(300.0));
    job.readings.clear();
    let mill = |cutter: f64, neck: f64, reach: Option<f64>, rotary: bool| Mill {
        name: "Mill with a fourth axis (invented)".into(),
        cutter: Length::mm(cutter),
        neck: Some(Length::mm(neck)),
        reach: reach.map(Length::mm),
        teeth: 4,
        rpm: Some(3000.0),
        rotary,
        set_over: false,
    };
    assert!(result(&route_of(&job, "Tr 22x5")).way(WayKind::ThreadMill).is_none(), "no machine, no way");
    for (m, words) in [
        (mill(30.0, 10.0, Some(60.0), false), "a machine that turns the screw (mill.rotary = true)"),
        (mill(30.0, 10.0, None, false), "mill.reach, or mill.rotary = true"),
        (mill(30.0, 29.0, None, true), "touches the screw"),
    ] {
        job.mill = Some(m);
        let why = why_not(&route_of(&job, "Tr 22x5"), WayKind::ThreadMill);
        assert!(why.contains(words), "{words}: {why}");
    }
    // Upright, a disc of a usual size curves the flanks of a coarse lead; set over it does not.
    let upright = mill(30.0, 10.0, None, true);
    job.mill = Some(upright.clone());
    assert!(why_not(&route_of(&job, "Tr 22x5"), WayKind::ThreadMill).contains("mill.set_over = true"));
    assert_eq!(why_not(&route_of(&job, "M22x1.5"), WayKind::ThreadMill), "", "a fine one bears it");
    job.mill = Some(Mill { set_over: true, ..upright });
    let outcome = route_of(&job, "Tr 22x5");
    let milled = way(&outcome, WayKind::ThreadMill);
    assert!(milled.possible(), "{:?}", milled.impossible);
    assert!(milled.cannot.iter().any(|t| said(t).contains("springs under the cutter")));
    let steps: String = milled.steps.iter().map(|s| said(&s.text)).collect();
    assert!(steps.contains("from the outside inward") && steps.contains("dividing head"), "{steps}");
    assert!(steps.contains("lead angle, 4."), "{steps}");
    well_formed(&result(&outcome).section());
    // Resin takes the form of its screw: no screw is cast, and the choice of it says why.
    job.choice.way = Some(WayKind::Cast);
    assert!(noted(&route_of(&job, "Tr 22x5"), NoteKind::Impossible, "choice.way", "would carry nothing"));
}

/// The way chosen settles how the thread ends: every stage right of it plans for that, and the ways stay compared for
/// the part as asked.
#[test]
fn a_thread_put_back_in_the_chuck_is_planned_right_through() {
    let mut job = demo();
    job.choice.way = Some(WayKind::SinglePoint);
    let blind = work(&job);
    job.choice.way = Some(WayKind::Rechuck);
    let whole = work(&job);
    let (fit, was) = (whole.fit.result.as_ref().unwrap(), blind.fit.result.as_ref().unwrap());
    assert!(fit.through && fit.relief.is_none() && !was.through);
    assert_eq!(fit.length, was.length + was.relief.unwrap());
    assert_eq!(fit.pitch_diameter, was.pitch_diameter);
    assert!(noted(&whole.route, NoteKind::Remark, "choice.way", "cut right through: the groove of 8.00 mm"));
    let ways = |whole: &flankwise_bench::Whole| {
        let route = whole.route.result.as_ref().unwrap();
        route.ways.iter().map(|w| (w.kind, w.hours, w.possible())).collect::<Vec<_>>()
    };
    assert_eq!(ways(&whole), ways(&blind));
    let order: String = whole.order_of_work().iter().flat_map(|s| &s.steps).map(|s| said(&s.text)).collect();
    assert!(!order.contains("groove at the blind end") && order.contains("right through"), "{order}");
    // A nut that is to stay closed at its end is not cut right through.
    job.make.body.length = Some(Length::mm(60.0));
    let closed = work(&job);
    assert!(noted(&closed.route, NoteKind::Impossible, "choice.way", "closed at its far end by 8.00 mm"));
    assert!(!closed.fit.result.unwrap().through);
}

#[test]
fn a_cast_nut_takes_the_wear_on_top_of_its_film_and_carries_no_heavy_or_lifted_load() {
    let mut job = demo();
    job.make.material = None;
    let outcome = route_of(&job, "Tr 22x5");
    let cast = way(&outcome, WayKind::Cast);
    let (tight, loose) = cast.play.unwrap();
    let (a, b) = fit_of(&job, "Tr 22x5").play_range().unwrap();
    // Two films of 0.02 mm on flanks of 15 degrees, and 4.375 mm of resin that draws away by 0.01 to 0.2 %: on the
    // diameter 0.0009 to 0.0175 mm, times tan 15 degrees.
    let (film, draws) = (0.04 / 15f64.to_radians().cos(), 15f64.to_radians().tan());
    assert!((tight.to_mm() - film - 0.000_875 * draws).abs() < 1e-5, "{tight:?}");
    assert!(((loose - tight) - (b - a)).to_mm() - (0.0175 - 0.000_875) * draws < 1e-5, "{loose:?}");
    job.make.load = Some(Force::newton(20_000.0));
    assert!(why_not(&route_of(&job, "Tr 22x5"), WayKind::Cast).contains("presses"));
    job.make.load = None;
    job.make.duty = Duty::Lift;
    assert!(why_not(&route_of(&job, "Tr 22x5"), WayKind::Cast).contains("hangs"));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// More pieces never take less, possible ways stand before impossible ones, hours are the sum of their items, and
    /// no mishap costs more than all the work there is.
    #[test]
    fn ways_are_ordered_and_grow_with_the_pieces(
        pieces in 1..40u32,
        through in any::<bool>(),
        relief in 0.0..40.0f64,
        length in 10.0..120.0f64,
    ) {
        let mut job = demo();
        job.make.through = through;
        job.make.relief = Some(Length::mm(relief));
        job.make.length = Some(Length::mm(length));
        let one = route_of(&job, "Tr 22x5");
        job.make.pieces = pieces;
        let many = route_of(&job, "Tr 22x5");
        let ways = &result(&many).ways;
        prop_assert!(ways.is_sorted_by_key(|w| (w.impossible.is_some(), !w.as_asked)));
        for w in ways {
            prop_assert!((w.items.iter().map(|i| i.hours).sum::<f64>() - w.hours).abs() < 1e-9);
            prop_assert!(w.hours >= way(&one, w.kind).hours - 1e-9);
            prop_assert!(w.hours.is_finite() && w.days >= 1.0);
            prop_assert!((0.0..=1.0).contains(&w.risk.chance()));
            for m in &w.risk.mishaps {
                prop_assert!(m.hours * m.times <= w.hours + 1e-9, "{}: {}", w.name, m.what);
            }
        }
    }
}

#[test]
fn published_taps() {
    for line in include_str!("fixtures/taps.txt").lines().filter(|l| !l.starts_with('#')) {
        let cells: Vec<_> = line.split('|').map(str::trim).collect();
        let [what, inputs, expected, unit, tolerance, source] = cells[..] else { panic!("{line}") };
        let number = |text: &str| text.parse::<f64>().unwrap_or_else(|_| panic!("{text}"));
        let per = |unit: &str| if unit == "in" { 25.4 } else { 1.0 };
        let get = |name: &str| {
            let found = inputs.split(';').filter_map(|p| p.trim().split_once('=')).find(|(n, _)| *n == name);
            let (value, unit) = found.map_or(("", ""), |(_, v)| v.split_once(' ').unwrap_or((v, "")));
            number(value) * per(unit)
        };
        let length = |name: &str| Length::mm(get(name));
        let got = match what {
            "share, old form" => {
                taps::share(length("D"), length("minor"), length("P"), taps::FULL_OF_OLD_FORM) * 100.0
            }
            "hole, nut form" => {
                taps::hole(length("D"), length("P"), get("x"), taps::FULL_OF_NUT).to_mm() / per(unit)
            }
            "hole, old form" => {
                taps::hole(length("D"), length("P"), get("x"), taps::FULL_OF_OLD_FORM).to_mm() / per(unit)
            }
            // A sharp V from bore to outside: area h² tan 30°, its centre at a third of its height.
            "torque" => {
                let height = (get("D") - get("bore")) / 2.0;
                let area = height * height * 30f64.to_radians().tan();
                let radius = Length::mm(get("bore") / 2.0 + height / 3.0);
                taps::torque_nm(get("kc"), get("K"), area, radius)
            }
            "chip" => taps::chip(length("depth"), get("turns"), get("flutes") as u32).to_mm(),
            "square" => taps::square_within(length("shank")).map_or(0.0, |s| s.across.to_mm()),
            _ => panic!("{what}"),
        };
        assert!((got - number(expected)).abs() <= number(tolerance), "{what}, {source}: {got}");
    }
}

/// Two makers print formulas for the torque: kc K tan θ (D - Do)² (D + 2 Do) / 24000 with kc 2300 and K 1.6 for brass
/// (Yamawa), and kc P² d / 8000 with kc 720 for short-chipping copper alloys (Lubero). For M10 they give 5.4 and
/// 2.0 N·m; ours lies between.
#[test]
fn torque_lies_between_two_published_formulas() {
    let brass = material("brass").unwrap();
    let height: f64 = 0.75;
    let area = height * height * 30f64.to_radians().tan();
    let kc = brass.kc(taps::chip(Length::mm(height), 5.0, 3).to_mm());
    let ours = taps::torque_nm(kc, taps::rubbing(brass.group), area, Length::mm(4.25 + height / 3.0));
    let other = 720.0 * 1.5f64.powi(2) * 10.0 / 8000.0;
    assert!((other..5.4).contains(&ours), "{ours}, {other}");
}

/// Every key of figures and tables stands once, whatever the way.
#[test]
fn every_section_is_well_formed() {
    let mut job = through();
    job.mill = Some(Mill {
        name: "Mill".into(),
        cutter: Length::mm(8.0),
        neck: None,
        reach: None,
        teeth: 3,
        rpm: None,
        rotary: false,
        set_over: false,
    });
    for designation in ["Tr 22x5", "M24"] {
        for kind in [WayKind::SinglePoint, WayKind::MadeTap, WayKind::ThreadMill, WayKind::Cast] {
            job.choice.way = Some(kind);
            let section =
                result(&route_of(&Job { readings: Vec::new(), ..job.clone() }, designation)).section();
            well_formed(&section);
            assert!(section.blocks.iter().any(|b| matches!(b, Block::Table(t) if t.key == "taps")));
        }
    }
}

/// ISO 2904 and ISO 2903, Tr 22x5-7H: D2 from 19.500 to 19.875 (basic 19.500, TD2 0.375 by ISO 2903 table 4, from
/// memory). A bought nut is proved by those and not by the sizes of one that is cut for its screw, and its play is the
/// book's.
#[test]
fn a_bought_nut_is_proved_by_the_book() {
    let mut job = through();
    job.choice.way = Some(WayKind::SinglePoint);
    let cut = work(&job);
    job.choice.way = Some(WayKind::BoughtPart);
    let bought = work(&job);
    let limits = |whole: &flankwise_bench::Whole| {
        let check = whole.check.result.as_ref().unwrap();
        let of = |f| check.measures.iter().find(|m| m.feature == f).map(|m| (m.min, m.aim, m.max));
        (of(MadeFeature::OverWires), of(MadeFeature::Play), of(MadeFeature::BodyDiameter))
    };
    let (made, fit) = (bought.made().unwrap(), cut.fit.result.as_ref().unwrap());
    assert_eq!(made.making, Making::Bought);
    let book = fit.book_of_part().unwrap().pitch;
    assert_eq!((Some(made.pitch_diameter.min), Some(made.pitch_diameter.max)), (book.min, book.max));
    assert_eq!(made.pitch_diameter.min, Length::mm(19.5));
    assert!(
        fit.pitch_diameter.max < made.pitch_diameter.min,
        "cut for a worn screw it is tighter than any bought one"
    );
    let (balls, play, body) = limits(&bought);
    assert!(balls.unwrap().0 > limits(&cut).0.unwrap().2 && body.is_none());
    // At the tightest place of the travel, from the tight to the loose end of the class.
    let way = bought.route.result.as_ref().unwrap().chosen_way().unwrap();
    let near = |a: Length, b: Length| (a - b).abs() < Length::um(0.01);
    let (tight, travelled) = (way.play.unwrap(), made.travelled.unwrap());
    let play = play.unwrap().0;
    assert!(near(play, tight.0) && near(travelled.play.0, tight.0), "{play:?} {tight:?} {travelled:?}");
    assert!(near(travelled.play.1, tight.1));
    let steps = |whole: &flankwise_bench::Whole| {
        let section = whole.check.result.as_ref().unwrap().section();
        let steps =
            section.blocks.iter().filter_map(|b| if let Block::Steps(_, s) = b { Some(s) } else { None });
        steps.flatten().map(|s| said(&s.text)).collect::<String>()
    };
    assert!(steps(&cut).contains("Leave the part in the chuck") && !steps(&bought).contains("in the chuck"));
    // A nut at the middle of the class passes, where it was failed for want of metal that cannot be put back.
    job.gauges.balls = vec![Length::mm(2.6)];
    let middle = limits(&work(&job)).0.unwrap().1;
    let reading = MadeReading { wire: Some(Length::mm(2.6)), ..made_reading(MadeFeature::OverWires, middle) };
    job.made = vec![reading];
    let judged = &work(&job).check.result.unwrap().judged;
    assert_eq!(judged[0].verdict, Verdict::Pass, "{judged:?}");
    // A nut cast round its screw has no sizes of its own but the play of its film, 2 · 0.02 / cos 15°, and 0.0002 by the
    // least that the resin draws away.
    job.choice.way = Some(WayKind::Cast);
    job.made.clear();
    let cast = work(&job);
    let (balls, play, body) = limits(&cast);
    assert!(balls.is_none() && body.is_some());
    assert!((play.unwrap().1.to_mm() - 0.04165).abs() < 2e-5);
    assert!(!steps(&cast).contains("Between balls"));
}

fn made_reading(feature: MadeFeature, value: Length) -> MadeReading {
    let instrument = Instrument::TelescopingGauge;
    MadeReading {
        feature,
        value,
        wire: None,
        instrument,
        count: None,
        start: 1,
        after: None,
        uncertainty: None,
    }
}

/// Oil-hardening steel grows by 0.0015 of each length (its maker's data sheet): over 44 mm 0.066 mm of lead. The teeth are
/// made so much wider, and the taps are turned so much smaller.
#[test]
fn taps_made_here_allow_for_what_they_grow_by() {
    let fit = fit_of(&through(), "Tr 22x5");
    let cut = tap_set::tapped(&fit);
    assert!((tap_set::grown(&fit).to_mm() - 0.066).abs() < 1e-9);
    let on_diameter = 0.066 / 15f64.to_radians().tan();
    assert!((cut.pitch_diameter.aim - fit.pitch_diameter.aim).to_mm() - on_diameter < 1e-6);
    let (bronze, steel) = (material(fit.material).unwrap(), material("tool-steel").unwrap());
    let set = tap_set::design(&cut, bronze, steel, Unit::Mm).unwrap_or_else(|e| panic!("{}", said(&e)));
    let last = set.taps.last().unwrap();
    assert_eq!(last.pitch_diameter, cut.pitch_diameter.aim);
    assert!((tap_set::soft(last.crest).to_mm() * 1.0015 - last.crest.to_mm()).abs() < 1e-9);
    // Over wires and back: the pitch diameter that is turned.
    let (wire, over) = tap_set::over_wires(&cut, last, &[Length::mm(2.6)]).unwrap();
    let groove = flankwise_thread::wires::Groove::of(&cut.thread);
    let back = flankwise_thread::wires::pitch_diameter_from_wires(&groove, over, wire).unwrap();
    assert!(wire == Length::mm(2.6) && (back - tap_set::soft(last.pitch_diameter)).abs() < Length::um(0.1));
}

/// A ridge of several goes on by the lead in a turn, so each tooth takes as many chips' thickness more, and the tap goes
/// through in as many turns fewer.
#[test]
fn a_tap_of_two_starts_cuts_twice_the_chip_in_half_the_turns() {
    let mut job = through();
    job.readings.clear();
    let (one, two) = (fit_of(&job, "Tr 40x7"), fit_of(&job, "Tr 40x14(P7)"));
    let (bronze, steel) = (material(one.material).unwrap(), material("tool-steel").unwrap());
    let set =
        |fit: &Fit| tap_set::design(fit, bronze, steel, Unit::Mm).unwrap_or_else(|e| panic!("{}", said(&e)));
    for tap in &set(&two).taps {
        let step = (tap.lead * tap.lead_angle.tan()).to_mm();
        let along_a_ridge = tap.lead / two.thread.lead() * 4.0;
        assert!((tap.chip.to_mm() - step / along_a_ridge).abs() < 1e-9 && tap.chip <= Length::mm(0.05));
    }
    let tapping = |designation: &str| {
        let outcome = route_of(&job, designation);
        let items = &way(&outcome, WayKind::BoughtTap).items;
        items.iter().find(|i| i.what.starts_with("tap,")).map(|i| i.hours).unwrap()
    };
    // Changing and cleaning of the set of three, two minutes each, is left over.
    let change = 6.0 / 60.0;
    assert!(((tapping("Tr 40x7") - change) / (tapping("Tr 40x14(P7)") - change) - 2.0).abs() < 1e-9);
    let outcome = route_of(&job, "Tr 40x14(P7)LH");
    let made = format!("{:?}", way(&outcome, WayKind::MadeTap).design);
    assert!(made.contains("left-hand") && made.contains("2 starts"), "{made}");
}

/// BS 84: depth of thread 0.640327 P, so a bore of 10.14 mm in 1/2-12 BSW leaves (12.7 - 10.14) / (1.280654 × 2.1167) of it.
#[test]
fn a_whitworth_bore_is_a_share_of_its_own_form() {
    let mut job = through();
    job.readings.clear();
    let thread = fit_of(&job, "1/2-12 BSW").thread;
    let share =
        taps::share(Length::mm(12.7), Length::mm(10.14), Length::inch(1.0 / 12.0), taps::full_of(&thread));
    assert!((share - 0.9444).abs() < 1e-3, "{share}");
    assert!((taps::full_of(&fit_of(&job, "M24").thread) - taps::FULL_OF_NUT).abs() < 1e-9);
}

#[test]
fn a_bought_tap_is_called_heavy_where_no_set_could_be_made() {
    let mut job = through();
    job.readings.clear();
    let heavy = |designation: &str| {
        let outcome = route_of(&job, designation);
        way(&outcome, WayKind::BoughtTap).cannot.iter().any(|t| said(t).contains("Two hands"))
    };
    assert!(heavy("Tr 60x9") && heavy("Tr 22x24(P8)") && !heavy("M8"));
}

/// What has no price is not taken as nothing.
#[test]
fn a_choice_without_its_price_is_compared_without_it() {
    let mut job = through();
    job.choice.way = Some(WayKind::BoughtPart);
    assert!(noted(
        &route_of(&job, "Tr 22x5"),
        NoteKind::Remark,
        "choice.way",
        "the price of nut Tr 22x5, which is still to be asked for"
    ));
    // A price of one's own leaves nothing to be asked for, and one below its own hours is told.
    job.own_ways = vec![OwnWay {
        price: Some(99.0),
        note: Some("as quoted by the dealer".into()),
        ..own(WayKind::BoughtPart)
    }];
    let outcome = route_of(&job, "Tr 22x5");
    let bought = way(&outcome, WayKind::BoughtPart);
    assert!(bought.outlay.closed() && bought.buy.iter().all(|b| !said(b).contains("ask for a price")));
    assert!(noted(&outcome, NoteKind::Warning, "way[1].price", "less than its hours"));
    assert!(format!("{:?}", result(&outcome).section()).contains("as quoted by the dealer"));
    // What is to be spent, and the wait, by the person's own word.
    job.own_ways = vec![OwnWay { outlay: Some(30.0), days: Some(10.0), ..own(WayKind::BoughtPart) }];
    let outcome = route_of(&job, "Tr 22x5");
    let bought = way(&outcome, WayKind::BoughtPart);
    assert_eq!(
        (bought.outlay.known, bought.days, bought.own.as_slice()),
        (30.0, 10.0, &["outlay", "days"][..])
    );
    assert!((bought.cost.as_ref().unwrap().known - (bought.hours * 65.0 + 30.0)).abs() < 1e-9);
    // An own chance keeps a price open that is lost with the part.
    job.own_ways = vec![OwnWay { chance: Some(0.2), ..own(WayKind::BoughtPart) }];
    let outcome = route_of(&job, "Tr 22x5");
    assert_eq!(way(&outcome, WayKind::BoughtPart).risk.mishaps[0].money.open, ["nut Tr 22x5"]);
}

#[test]
fn stock_on_offer_is_taken_for_each_piece_unless_it_serves_for_more() {
    let mut job = demo();
    job.make.pieces = 10;
    let of = |job: &Job| way(&route_of(job, "Tr 22x5"), WayKind::SinglePoint).clone();
    let (each, one) = (of(&job), of(&demo()));
    assert_eq!(each.outlay.known, 480.0);
    // Any of ten: 1 - (1 - p)^10.
    assert!((each.risk.chance() - (1.0 - (1.0 - one.risk.chance()).powi(10))).abs() < 1e-9);
    job.offers.iter_mut().for_each(|o| o.pieces = 4);
    assert_eq!(of(&job).outlay.known, 144.0, "three bars");
}

/// Only a bar thicker than the bore: one has to be bought, and it has no price yet.
#[test]
fn a_bar_that_does_not_enter_is_one_to_be_bought() {
    let mut job = demo();
    job.bars.retain(|b| b.size > Length::mm(15.0));
    job.bars.iter_mut().for_each(|b| b.size = Length::mm(25.0));
    assert_eq!(way(&route_of(&job, "Tr 22x5"), WayKind::SinglePoint).outlay.open, ["the threading bar"]);
}

/// What the lathe cannot cut is not offered, and neither is a thread that is not settled signed.
#[test]
fn a_quotation_offers_only_what_can_be_cut_and_is_signed_only_when_settled() {
    let job = demo();
    let ready = quotation::work(&job, &work(&job));
    assert!(ready.result.as_ref().unwrap().draft.is_none());
    let mut gears = demo();
    gears.lathe.as_mut().unwrap().gears = vec![31, 37];
    let refused = quotation::work(&gears, &work(&gears));
    assert!(refused.result.is_none() && refused.impossible());
    let mut vague = demo();
    vague.readings.truncate(1);
    vague.leaves.clear();
    let whole = work(&vague);
    if let Some(drawn) = quotation::work(&vague, &whole).result {
        assert!(said(&drawn.draft.unwrap()).contains("not to be signed"));
    }
    // A date that has passed before the job was dated.
    let mut late = demo();
    late.quotation.valid = Some("2026-11-24".into());
    let outcome = quotation::work(&late, &work(&late));
    assert!(outcome.notes.iter().any(|n| n.field == "quotation.valid"));
    // What is known is said, with what comes on top.
    let mut open = demo();
    open.offers.clear();
    open.rates.kilogram = None;
    let outcome = quotation::work(&open, &work(&open));
    let first = &outcome.result.as_ref().unwrap().offered[0];
    let words = show::value(&first.price_words("EUR"), Unit::Mm);
    assert!(words.starts_with("from EUR ") && words.ends_with(", plus the stock"), "{words}");
    assert!(outcome.needs.iter().any(|n| n.field == "offer" && n.what.contains("the stock")));
}

/// A customer reads of no negative play and nothing of the shop's.
#[test]
fn the_customer_is_told_in_their_own_words() {
    let mut job = through();
    for kind in [WayKind::BoughtTap, WayKind::MadeTap, WayKind::BoughtPart] {
        job.choice.way = Some(kind);
        let whole = work(&job);
        let Some(quotation) = quotation::work(&job, &whole).result else { continue };
        for offered in &quotation.offered {
            let words: String = offered.remarks.iter().map(said).collect();
            for of_the_shop in ["N m", "N·m", "Hardening", "Ask for the size"] {
                assert!(!words.contains(of_the_shop), "{words}");
            }
            assert!(offered.play.is_none_or(|(tight, _)| tight >= Length::ZERO));
        }
    }
    job.make.mate_new = true;
    assert!(quotation::closing(&job, None).contains("both new"));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// The estimate of the time asks whether the half-nuts may open in few words; the lathe's stage finds where, exactly.
    #[test]
    fn half_nuts_open_in_the_estimate_where_the_lathe_opens_them(
        lead in prop::sample::select(vec!["1 mm", "1.5 mm", "2 mm", "3 mm", "5 mm", "6 mm", "9 mm", "7 tpi", "8 tpi", "11 tpi", "5 tpi"]),
        screw in prop::sample::select(vec!["3 mm", "4 mm", "6 mm", "8 tpi", "4 tpi"]),
        dial in prop::option::of((8..40u32, 1..13u32)),
    ) {
        let mut lathe = demo().lathe.unwrap();
        lathe.thread_dial = dial.map(|(teeth, marks)| flankwise_bench::job::ThreadDial { teeth, marks });
        let of = |text: &str| flankwise_thread::quantity::parse_pitch(text, Unit::Mm).unwrap().0;
        lathe.lead_screw.length = of(screw);
        let lead = of(lead);
        let rule = flankwise_bench::setup::half_nuts(lathe.lead_screw.length, lead, lathe.thread_dial).unwrap();
        let opens = rule != flankwise_bench::setup::HalfNuts::KeepClosed;
        prop_assert_eq!(route::time::opens(&lathe, lead), opens, "{:?}", rule);
    }
}
