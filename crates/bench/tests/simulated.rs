//! The ranking judged by simulated parts.

mod simulator;

use simulator::bench::{Bench, KITS, SEED, USUAL};
use simulator::part::Condition;
use simulator::score::{Tally, answer};

#[test]
fn look() {
    let n: u64 = std::env::var("N").ok().and_then(|n| n.parse().ok()).unwrap_or(100);
    let t = std::time::Instant::now();
    for condition in Condition::ALL {
        let mut tally = Tally::default();
        let mut none = 0;
        let mut fam: std::collections::BTreeMap<&str, Tally> = Default::default();
        for i in 0..n {
            let bench = Bench::new(SEED, i, condition);
            let sheet = bench.sheet(SEED, USUAL);
            match answer(&sheet.toml(), &bench.truth) {
                Some(a) => {
                    tally.add(&a);
                    fam.entry(bench.truth.family()).or_default().add(&a);
                    if !a.first() && std::env::var("SHOW").is_ok() {
                        println!(
                            "{i} {} | {} | {:?} {}",
                            bench.truth.name(),
                            bench.truth.listed,
                            &a.ranked[..a.ranked.len().min(4)],
                            sheet.short()
                        );
                    }
                }
                None => none += 1,
            }
        }
        println!(
            "{condition:?} n {} none {none} first {:.3} three {:.3} claimed {:.3} ece {:.3} {:?}",
            tally.parts,
            tally.first_share(),
            tally.in_three_share(),
            tally.claimed_mean(),
            tally.calibration_error(),
            t.elapsed()
        );
        for (f, t) in fam {
            println!(
                "   {f} {} {:.3} {:.3} {:.3}",
                t.parts,
                t.first_share(),
                t.in_three_share(),
                t.claimed_mean()
            );
        }
    }
    let _ = KITS;
}
