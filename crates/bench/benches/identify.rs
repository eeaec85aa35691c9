//! Time to rank all threads for one job. `python benches/peers/run_identify.py` runs it beside a peer that ranks
//! as many candidates with a vectorised array library, and prints the ratio.

use flankwise_bench::{evidence, identity, job};

fn main() {
    // The peer is given as many candidates; see `run_identify.py`.
    let (evidence, job) = read("board-shear");
    let considered = identity::work(&evidence, &job).result.map_or(0, |identity| identity.considered);
    eprintln!("considered {considered}");
    divan::main();
}

const DEMOS: [(&str, &str); 2] = [
    ("board-shear", include_str!("../../../demo/board-shear.toml")),
    ("proof-press", include_str!("../../../demo/proof-press.toml")),
];

fn read(name: &str) -> (evidence::Evidence, job::Job) {
    let text = DEMOS.iter().find(|d| d.0 == name).expect("a demo").1;
    let job = job::read(text).expect("a job");
    let evidence = evidence::work(&job).result.expect("evidence");
    // The candidates are built once in a program's life; that is not what is measured.
    identity::work(&evidence, &job);
    (evidence, job)
}

/// The whole stage: ranking, words, rivals, next measurements.
#[divan::bench(args = ["board-shear", "proof-press"])]
fn identify(bencher: divan::Bencher, name: &str) {
    let (evidence, job) = read(name);
    bencher.bench(|| identity::work(divan::black_box(&evidence), &job));
}

/// The whole stage on outside diameter and pitch only, which is what the peer ranks by.
#[divan::bench]
fn diameter_and_pitch(bencher: divan::Bencher) {
    let (mut evidence, job) = read("board-shear");
    evidence.readings.retain(|r| matches!(r.feature, job::Feature::MajorDiameter | job::Feature::Pitch));
    evidence.leaves.clear();
    evidence.trials.clear();
    evidence.story = None;
    evidence.observed = job::Observed::default();
    bencher.bench(|| identity::work(divan::black_box(&evidence), &job));
}
