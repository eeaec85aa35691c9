//! The ways side by side: the demo job, what must hold for any job, bad input, and taps as published.

mod fit_support;

use fit_support::{demo, evidence, job, settled, well_formed};
use flankwise_bench::fit::{self, Fit};
use flankwise_bench::job::{Choice, Duty, Job, Mill, Offer, OfferKind, OwnWay, Rates, WayKind, read};
use flankwise_bench::material::material;
use flankwise_bench::report::{Block, NoteKind, Outcome, Text, show};
use flankwise_bench::route::{self, Route, Way, tap_set, taps};
use flankwise_bench::work;
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
    OwnWay { way, hours: None, price: None, chance: None, note: None }
}

fn offer(kind: OfferKind, thread: Option<&str>, price: Option<f64>) -> Offer {
    let thread = thread.map(|t| t.parse().unwrap_or_else(|e| panic!("{e}")));
    Offer { kind, thread, on_hand: false, price, days: None, note: None }
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
        let of_speed = estimate.rpm / whole.setup.result.unwrap().rpm;
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
