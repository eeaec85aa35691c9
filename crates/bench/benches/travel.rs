//! Time of the play along a travel, beside plain ways in the same run.
//!
//! A nut at 1,000 positions along a screw that was read at 500 stations. Ours takes the room of either flank from the
//! outlines at each station; the first peer finds the same rooms by halving, the second leaves the profiles out and
//! searches all stations for every position.

use divan::{Bencher, black_box};
use flankwise_bench::fit::lead::LeadError;
use flankwise_bench::fit::mate::{Mate, Seen};
use flankwise_bench::fit::travel::{Along, Lane, Part, Reach};
use flankwise_thread::profile::{Basic, Outline, mating};
use flankwise_thread::{Element, Length, Thread};

fn main() {
    divan::main();
}

const STATIONS: usize = 500;
const POSITIONS: usize = 1000;
const NUT: Length = Length::mm(44.0);

fn basic() -> Basic {
    "Tr 22x5".parse::<Thread>().unwrap_or_else(|e| panic!("{e}")).basic()
}

/// What is missing at a place, mm: a screw of 500 mm worn in its middle.
fn missing(place: f64) -> f64 {
    0.05 + 0.2 * (place / 500.0 * std::f64::consts::PI).sin()
}

fn mate() -> Mate {
    let basic = basic();
    let seen = |i: usize| {
        let place = i as f64 * 500.0 / (STATIONS - 1) as f64;
        Seen {
            place: Length::mm(place),
            missing: Length::mm(missing(place)),
            u_missing: Length::um(5.0),
            pitch_diameter: basic.d2,
            u: Length::um(20.0),
        }
    };
    Mate { seen: (0..STATIONS).map(seen).collect(), ..Mate::unread(Element::External) }
}

fn part() -> Part {
    let basic = basic();
    Part { element: Element::Internal, basic, blank: basic.d1_internal, bottom: basic.d4_internal }
}

fn places() -> Vec<f64> {
    (0..STATIONS).map(|i| i as f64 * 500.0 / (STATIONS - 1) as f64).collect()
}

/// Model, profiles and travel.
#[divan::bench]
fn play_at_1000_positions(bencher: Bencher) {
    let (mate, part, basic) = (mate(), part(), basic());
    let reach = Reach::whole(NUT);
    bencher.bench(|| {
        let along = Along::of(black_box(&mate), &basic, LeadError::default()).expect("stations");
        let lane = Lane::at(&along, &part, places());
        lane.along(&lane.beginnings(reach, POSITIONS), reach)
    });
}

/// The travel alone, rooms known.
#[divan::bench]
fn travel_only(bencher: Bencher) {
    let along = Along::of(&mate(), &basic(), LeadError::default()).expect("stations");
    let lane = Lane::at(&along, &part(), places());
    let reach = Reach::whole(NUT);
    bencher.bench(|| lane.along(&black_box(&lane).beginnings(reach, POSITIONS), reach));
}

/// How far the screw moves until it touches, by halving: what a plain search does at one station.
fn halved(screw: &Outline, nut: &Outline) -> f64 {
    let free = |way: f64| {
        let (mut lo, mut hi) = (0.0, 2.5);
        while hi - lo > 1e-9 {
            let mid = f64::midpoint(lo, hi);
            if mating::gap(&screw.moved(way * mid), nut).interferes() { hi = mid } else { lo = mid }
        }
        lo
    };
    free(-1.0) + free(1.0)
}

/// Rooms by halving, at the stations only.
#[divan::bench]
fn rooms_by_halving_peer(bencher: Bencher) {
    let nut = part().outline(Length::mm(1.25));
    let screws: Vec<Outline> = places()
        .iter()
        .map(|&z| {
            let mut form = basic();
            form.root_width += Length::mm(missing(z));
            form.outline(Element::External).moved(2.5)
        })
        .collect();
    bencher.bench(|| black_box(&screws).iter().map(|s| halved(s, &nut)).fold(f64::INFINITY, f64::min));
}

/// The pitch-line formula, every position searching all stations.
#[divan::bench]
fn pitch_line_peer(bencher: Bencher) {
    let stations: Vec<(f64, f64)> = places().into_iter().map(|z| (z, missing(z))).collect();
    let length = NUT.to_mm();
    bencher.bench(|| {
        (0..POSITIONS)
            .map(|i| {
                let from = (500.0 - length) * i as f64 / (POSITIONS - 1) as f64;
                let under = black_box(&stations).iter().filter(|s| s.0 >= from && s.0 <= from + length);
                under.map(|s| s.1).fold(f64::INFINITY, f64::min)
            })
            .collect::<Vec<_>>()
    });
}
