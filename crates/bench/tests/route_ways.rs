//! The ways side by side: the demo job, what must hold for any job, and tap holes as published.

mod fit_support;

use fit_support::{demo, evidence, settled};
use flankwise_bench::fit::{self, Fit};
use flankwise_bench::job::{Job, Offer, OfferKind};
use flankwise_bench::report::{Block, Outcome, Text, show};
use flankwise_bench::route::{self, Route, Way, taps};
use flankwise_thread::{Element, Length, Unit};
use proptest::prelude::*;

fn fit_of(job: &Job, designation: &str) -> Fit {
    fit::work(&evidence(job, Length::um(6.0)), &settled(designation), job)
        .result
        .unwrap_or_else(|| panic!("no fit"))
}

fn route_of(job: &Job, designation: &str) -> Outcome<Route> {
    route::work(&fit_of(job, designation), job)
}

fn way<'a>(outcome: &'a Outcome<Route>, key: &str) -> &'a Way {
    let route = outcome.result.as_ref().unwrap_or_else(|| panic!("no route"));
    route.ways.iter().find(|w| w.key == key).unwrap_or_else(|| panic!("no way {key}"))
}

fn said(text: &Text) -> String {
    show::text(text, Unit::Mm)
}

fn best(outcome: &Outcome<Route>) -> Option<&'static str> {
    outcome.result.as_ref().and_then(Route::best).map(|w| w.key)
}

/// The demo's thread ends blind on a groove of 1.6 pitches: no tap reaches.
#[test]
fn the_demo_is_cut_with_a_single_point_for_a_tap_cannot_end_blind() {
    let outcome = route_of(&demo(), "Tr 22x5");
    assert_eq!(best(&outcome), Some("single-point"));
    for key in ["bought-tap", "made-tap"] {
        let why = way(&outcome, key).impossible.clone().unwrap_or_default();
        let mm = said(&why);
        assert!(mm.contains("20.00 mm") && mm.contains("8.00 mm"), "{mm}");
        let inch = show::text(&why, Unit::Inch);
        assert!(inch.contains("0.787 in") && inch.contains("0.315 in"), "{inch}");
    }
    let way = way(&outcome, "single-point");
    assert!((way.cost - (way.hours * 65.0 + way.outlay)).abs() < 1e-9);
    assert_eq!(way.outlay, 48.0, "the stock as offered, and no bar to buy");
    assert!((2.0..8.0).contains(&way.hours), "a morning to a day: {}", way.hours);
    assert!(way.days >= 3.0, "two to wait for the stock");
}

#[test]
fn through_the_offered_tap_can_be_used_but_gives_the_books_play() {
    let mut job = demo();
    job.make.through = true;
    let outcome = route_of(&job, "Tr 22x5");
    let tap = way(&outcome, "bought-tap");
    assert_eq!(tap.impossible, None);
    assert_eq!(tap.outlay, 210.0 + 48.0);
    assert!(tap.days >= 6.0);
    assert!(!tap.reaches_play && said(&tap.risk).contains("book"));
    assert_eq!(best(&outcome), Some("single-point"), "the one that reaches the play");
    // What was asked costs no more than what the book gives would: said, not hidden.
    job.make.play = Some(Length::mm(0.15));
    assert!(way(&route_of(&job, "Tr 22x5"), "bought-tap").reaches_play);
}

#[test]
fn without_a_lathe_only_a_bought_part_is_left() {
    let mut job = demo();
    job.lathe = None;
    let outcome = route_of(&job, "Tr 22x5");
    assert_eq!(best(&outcome), Some("bought-part"));
    assert!(way(&outcome, "single-point").impossible.as_ref().is_some_and(|w| said(w).contains("No lathe")));
    assert!(outcome.needs.iter().any(|n| n.field == "lathe"));
    // And for a thread that no standard lists not even that.
    let outcome = route_of(&job, "Tr 23x5");
    assert_eq!(best(&outcome), None);
    assert!(outcome.impossible());
}

#[test]
fn a_left_hand_thread_needs_a_lathe_that_cuts_it_and_an_offer_that_is_left_hand() {
    let mut job = demo();
    job.make.through = true;
    let outcome = route_of(&job, "Tr 22x5 LH");
    assert_eq!(way(&outcome, "single-point").impossible, None);
    // The offered tap is right-hand, so its price does not count.
    assert!(way(&outcome, "bought-tap").buy.first().is_some_and(|b| said(b).contains("assumed")));
    if let Some(lathe) = &mut job.lathe {
        lathe.left_hand = false;
    }
    let why = way(&route_of(&job, "Tr 22x5 LH"), "single-point").impossible.clone().unwrap_or_default();
    assert!(said(&why).contains("left-hand"));
}

#[test]
fn a_die_serves_a_small_fastening_screw_and_not_a_trapezoidal_one() {
    let mut job = demo();
    job.readings.clear();
    job.make.part = Element::External;
    job.make.through = true;
    assert_eq!(way(&route_of(&job, "M8"), "die").impossible, None);
    assert!(way(&route_of(&job, "Tr 22x5"), "die").impossible.is_some());
    job.offers.push(Offer {
        kind: OfferKind::Die,
        thread: "Tr 22x5".parse().ok(),
        on_hand: true,
        price: None,
        days: None,
        note: None,
    });
    let outcome = route_of(&job, "Tr 22x5");
    let die = way(&outcome, "die");
    assert_eq!(die.impossible, None);
    assert!(!die.buy.iter().any(|b| said(b).contains("die")));
}

#[test]
fn taps_made_here_pay_with_the_number_of_nuts() {
    let mut job = demo();
    job.make.through = true;
    let gap = |pieces| {
        let mut job = job.clone();
        job.make.pieces = pieces;
        let outcome = route_of(&job, "Tr 22x5");
        way(&outcome, "made-tap").hours - way(&outcome, "single-point").hours
    };
    assert!(gap(1) > 3.0);
    assert!(gap(50) < gap(1));
}

#[test]
fn every_default_is_shown_as_one() {
    let mut job = demo();
    job.rates = flankwise_bench::job::Rates::default();
    let outcome = route_of(&job, "Tr 22x5");
    let route = outcome.result.as_ref().unwrap_or_else(|| panic!("no route"));
    let figures = route.detail.iter().find_map(|b| match b {
        Block::Figures(head, figures) if head == "Rates" => Some(figures),
        _ => None,
    });
    assert!(figures.is_some_and(|f| f.iter().all(|f| f.source.place.contains("default"))));
    assert!(outcome.notes.iter().any(|n| n.field == "rates.hour"));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// More pieces never take less, possible ways stand before impossible ones, and hours are the sum of their items.
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
        let ways = &many.result.as_ref().unwrap().ways;
        prop_assert!(ways.is_sorted_by_key(|w| (w.impossible.is_some(), !w.reaches_play)));
        for w in ways {
            prop_assert!((w.items.iter().map(|i| i.hours).sum::<f64>() - w.hours).abs() < 1e-9);
            prop_assert!(w.hours >= way(&one, w.key).hours - 1e-9);
            prop_assert!(w.hours.is_finite() && w.cost.is_finite() && w.days >= 1.0);
        }
    }
}

#[test]
fn published_tap_holes() {
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
        let (d, p) = (Length::mm(get("D")), Length::mm(get("P")));
        let full = if what.ends_with("old form") { taps::FULL_OF_OLD_FORM } else { taps::FULL_OF_NUT };
        let got = if what.starts_with("share") {
            taps::share(d, Length::mm(get("minor")), p, full) * 100.0
        } else {
            taps::hole(d, p, get("x"), full).to_mm() / per(unit)
        };
        assert!((got - number(expected)).abs() <= number(tolerance), "{what}, {source}: {got}");
    }
}

#[test]
fn stock_of_unknown_size_has_no_price_made_up() {
    let mut job = demo();
    job.offers.clear();
    job.make.body = Default::default();
    let outcome = route_of(&job, "Tr 22x5");
    let buy: String = way(&outcome, "single-point").buy.iter().map(said).collect();
    assert!(buy.contains("price open") && !buy.contains("EUR 0"), "{buy}");
}
