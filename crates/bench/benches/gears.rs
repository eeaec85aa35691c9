//! Time of a gear search, beside trying every train in the same run.
//!
//! Twenty-four gears and a lead screw of 4 mm, and a lead of 25.4 / 5 mm that they do not cut
//! exactly. The search also mounts its trains on the banjo, which the peer does not. `benches/peers/gears.py` sets
//! the same task in numpy beside it and prints the ratio.

use divan::{Bencher, black_box};
use flankwise_bench::job::{Banjo, BoxSetting, Lathe};
use flankwise_bench::setup::trains;
use flankwise_thread::{Hand, Length, Pitch};

fn main() {
    divan::main();
}

const GEARS: [u32; 24] =
    [20, 24, 28, 30, 32, 35, 38, 40, 44, 45, 46, 48, 50, 55, 57, 60, 65, 66, 70, 72, 75, 80, 90, 100];
const LEAD: Length = Length::per_inch(5.0);
const MOST: usize = 12;

fn lathe(most_gears: u32) -> Lathe {
    Lathe {
        most_gears,
        banjo: Some(Banjo {
            module: Length::mm(1.25),
            centres_min: Length::mm(120.0),
            centres_max: Length::mm(120.0),
            slot_min: Some(Length::mm(30.0)),
            slot_max: Some(Length::mm(160.0)),
            slot_offset: Length::ZERO,
            slot_radius: None,
            pins: 2,
            largest_gear: None,
            stud: Length::mm(24.0),
        }),
        ..Lathe::plain(Pitch::mm(4.0), GEARS.to_vec())
    }
}

#[divan::bench(args = [2, 4, 6])]
fn search(bencher: Bencher, most_gears: u32) {
    let lathe = lathe(most_gears);
    bencher.bench(|| trains(black_box(&lathe), black_box(LEAD), Hand::Right, MOST));
}

/// Four gears through each of thirty gearbox settings.
#[divan::bench]
fn search_with_gearbox(bencher: Bencher) {
    let mut lathe = lathe(4);
    lathe.gearbox =
        (0..30u32).map(|i| BoxSetting { name: i.to_string(), ratio: (8 + i % 8, 16 << (i / 8)) }).collect();
    bencher.bench(|| trains(black_box(&lathe), black_box(LEAD), Hand::Right, MOST));
}

/// Every choice of drivers and driven gears, its error, and the nearest twelve: nothing pruned, nothing
/// mounted.
#[divan::bench(args = [2, 4, 6])]
fn every_train_peer(bencher: Bencher, most_gears: u32) {
    let sets: Vec<(u32, f64)> = (0u32..1 << GEARS.len())
        .filter(|mask| mask.count_ones() == most_gears / 2)
        .map(|mask| {
            let product =
                (0..GEARS.len()).filter(|i| mask >> i & 1 == 1).map(|i| f64::from(GEARS[i])).product();
            (mask, product)
        })
        .collect();
    let wanted = LEAD.to_mm() / 4.0;
    bencher.bench(|| {
        let sets = black_box(&sets);
        let mut errors: Vec<(f64, u32, u32)> = Vec::new();
        for (a, drivers) in sets {
            for (b, driven) in sets {
                if a & b == 0 {
                    errors.push(((drivers / driven / wanted - 1.0).abs(), *a, *b));
                }
            }
        }
        let kth = MOST.min(errors.len()) - 1;
        errors.select_nth_unstable_by(kth, |x, y| x.0.total_cmp(&y.0));
        errors.truncate(MOST);
        errors
    });
}
