//! Time of a re-plan at the lathe, beside the whole job worked anew in the same run.
//!
//! The first demo job with twelve passes done and one of them set deeper than asked. `replan` is what a tick, a real
//! depth or a measured size costs; `whole` is what it would cost without keeping the stages before the cut.

use divan::{Bencher, black_box};
use flankwise_bench::job::{self, Done, Job, Share, Words};
use flankwise_bench::{Whole, work, work_at_the_lathe};
use flankwise_thread::Length;

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
