//! Time of one call in every family and of the whole catalogue, beside a peer in the same run.
//!
//! The peer of one call is the arithmetic alone, with the tolerances already at hand: what is over it is lookup,
//! rounding, warnings and allocation.

use divan::black_box;
use flankwise_thread::limits::limits;
use flankwise_thread::{Family, Length, Thread, Unit, catalogue};

fn main() {
    divan::main();
}

fn thread(designation: &str) -> Thread {
    designation.parse().unwrap_or_else(|e| panic!("{e}"))
}

/// Both elements of a listed size, one of each family, halfway down its list.
#[divan::bench(args = Family::ALL.map(|family| family.form().key()))]
fn one_call(bencher: divan::Bencher, family: &str) {
    let Some(family) = Family::ALL.into_iter().find(|of| of.form().key() == family) else { return };
    let series = family.form().series();
    let thread = match series.get(series.len() / 2) {
        Some(row) => Thread::new(family, row.nominal, row.nominal_written, row.pitch),
        // A family without a list: any size.
        None => Thread::new(family, Length::mm(60.0), Unit::Mm, flankwise_thread::Pitch::tpi(4.0)),
    };
    bencher.bench(|| limits(black_box(&thread)));
}

/// Sizes in no list, which are warned of with the nearest that are.
#[divan::bench(args = ["Tr 23x4.5", "M11.5x1.3", "1 3/32-7 UN", "15/16-9 ACME"])]
fn one_call_off_series(bencher: divan::Bencher, designation: &str) {
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
