//! Time of one call and of the whole catalogue, beside a peer in the same run.
//!
//! The peer of one call is the arithmetic alone, with the tolerances already at hand: what is over it is lookup,
//! rounding, warnings and allocation.

use divan::black_box;
use flankwise_thread::limits::limits;
use flankwise_thread::{Family, Length, Thread, catalogue};

fn main() {
    divan::main();
}

fn thread(designation: &str) -> Thread {
    designation.parse().unwrap_or_else(|e| panic!("{e}"))
}

#[divan::bench(args = ["Tr 22x5", "Tr 23x4.5", "7/8-6 ACME", "M10x1.5", "1/4-20 UNC", "1/2-12 BSW"])]
fn one_call(bencher: divan::Bencher, designation: &str) {
    let thread = thread(designation);
    bencher.bench(|| limits(black_box(&thread)));
}

/// Tr 22x5, 7e and 7H, from tolerances written here (ISO 2903, see `data/trapezoidal-tolerances.csv`).
#[divan::bench]
fn one_call_peer_arithmetic_alone(bencher: divan::Bencher) {
    bencher.bench(|| {
        let (d, p, ac) = black_box((22.0_f64, 5.0_f64, 0.25_f64));
        let (es, td, td2, nut_td2, td1) = black_box((0.106_f64, 0.335_f64, 0.280_f64, 0.375_f64, 0.450_f64));
        let (d2, d3, d1) = (d - 0.5 * p, d - p - 2.0 * ac, d - p);
        [
            d,
            d - td,
            d2 - es,
            d2 - es - td2,
            d3,
            d3 - 1.25 * td2 - es,
            d + 2.0 * ac,
            d2 + nut_td2,
            d2,
            d1 + td1,
            d1,
        ]
    });
}

#[divan::bench]
fn whole_catalogue(bencher: divan::Bencher) {
    let threads: Vec<_> = catalogue().iter().map(|listed| listed.thread()).collect();
    bencher
        .counter(threads.len())
        .bench(|| threads.iter().filter(|thread| limits(black_box(thread)).is_ok()).count());
}

#[divan::bench]
fn whole_catalogue_basic_sizes_only(bencher: divan::Bencher) {
    bencher.counter(catalogue().len()).bench(|| {
        let sizes = catalogue().iter().map(|c| c.family.form().basic(c.row.nominal, c.row.pitch.length).d2);
        black_box(sizes.sum::<Length>())
    });
}

#[divan::bench]
fn read_a_designation() -> Thread {
    thread(black_box("Tr 16x4 LH-7H"))
}

#[divan::bench]
fn outline() -> flankwise_thread::profile::Outline {
    let (d, p) = black_box((Length::mm(22.0), Length::mm(5.0)));
    Family::MetricTrapezoidal.form().outline(d, p, flankwise_thread::Element::External)
}
