//! Time of a re-plan at the lathe, beside the whole job worked anew in the same run.
//!
//! The first demo job with twelve passes done and one of them set deeper than asked. `replan` is what a tick, a real
//! depth or a measured size costs; `whole` is what it would cost without keeping the stages before the cut.
//!
//! `alike` shares the depth of that groove into 24 passes of the same force; `alike_nested` does so by a search within a
//! search, the peer.

mod nested;

use divan::{Bencher, black_box};
use flankwise_bench::cut::force::{self, Kienzle, Step};
use flankwise_bench::cut::groove::{Flanks, Groove};
use flankwise_bench::cut::growth::Growth;
use flankwise_bench::job::{self, Done, Job, Share, Words};
use flankwise_bench::{Whole, work, work_at_the_lathe};
use flankwise_thread::{Angle, Force, Length};

fn main() {
    divan::main();
}

/// The job with passes done, and its stages as they were before the last.
fn at_the_lathe(share: Share) -> (Job, Whole) {
    let text = include_str!("../../../demo/board-shear.toml");
    let mut job = job::read(text).expect("the demo is a job");
    job.cutting.share = share;
    let planned = work(&job);
    let passes = &planned.cut.result.as_ref().expect("the demo is cut").passes;
    job.done = passes[..12]
        .iter()
        .map(|p| Done { depth: p.depth, side: p.side, tip: Some(p.tip), start: 1 })
        .collect();
    job.done[11].depth += Length::mm(0.03);
    (job, planned)
}

#[divan::bench(args = ["area", "force", "deflection"])]
fn replan(bencher: Bencher, share: &str) {
    let (job, before) = at_the_lathe(Share::from_word(share).expect("a word of the job"));
    bencher.bench(|| work_at_the_lathe(black_box(&before), black_box(&job)));
}

#[divan::bench]
fn whole(bencher: Bencher) {
    let (job, _) = at_the_lathe(Share::Area);
    bencher.bench(|| work(black_box(&job)));
}

/// Bearing bronze, and the section of the demo's groove.
const BRONZE: Kienzle = Kienzle { kc11: 700.0, mc: 0.27 };
const GROOVE: Groove = Groove { tip: Length::mm(1.5), flanks: Flanks::even(0.268), depth: Length::mm(2.75) };
const FROM: Length = Length::mm(0.03);
const PASSES: u32 = 24;

fn law(from: Length, to: Length) -> Force {
    force::plunge(BRONZE, &GROOVE, Step { from, to, lean: Angle::ZERO }).cutting
}

#[divan::bench]
fn alike(bencher: Bencher) {
    bencher.bench(|| Growth::of(BRONZE, law).equal(FROM, black_box(GROOVE.depth), PASSES));
}

#[divan::bench]
fn alike_nested(bencher: Bencher) {
    let load = |from: Length, to: Length| law(from, to).to_newton();
    bencher.bench(|| nested::equal(&load, FROM, black_box(GROOVE.depth), PASSES));
}
