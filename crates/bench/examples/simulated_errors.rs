//! Lists simulated parts that the ranking gets wrong: truth, what was read, what was answered.
//!
//! ```text
//! cargo run -p flankwise-bench --example simulated_errors -- used 300 [best]
//! ```
//!
//! With `best`, only those that the best first answer by the simulator's own prior and likelihood gets right, and how
//! sure it is: the readings decide these.

// The test uses the rest of it.
#[allow(dead_code)]
#[path = "../tests/simulator/mod.rs"]
mod simulator;

use simulator::bench::{Bench, SEED, USUAL};
use simulator::bound;
use simulator::part::Condition;
use simulator::score::answer;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let word = arguments.first().map_or("used", String::as_str);
    let Some(condition) = Condition::ALL.into_iter().find(|c| c.word() == word) else {
        eprintln!("`{word}`: expected unused, used, worn or wrecked");
        std::process::exit(2);
    };
    let parts: u64 = arguments.get(1).and_then(|n| n.parse().ok()).unwrap_or(100);
    let only_decided = arguments.get(2).is_some_and(|a| a == "best");
    for index in 0..parts {
        let bench = Bench::new(SEED, index, condition);
        let sheet = bench.sheet(SEED, USUAL);
        let Some(answer) = answer(&sheet.toml(), &bench.truth).filter(|a| !a.first()) else { continue };
        let mut best = String::new();
        if only_decided {
            let Some((sure, true)) = bound::best(SEED, index, condition, USUAL) else { continue };
            best = format!(", best {sure:.2}");
        }
        let listed = if bench.truth.listed { "listed" } else { "not listed" };
        let ranked: Vec<String> = answer.ranked.iter().take(4).map(|(t, p)| format!("{t} {p:.3}")).collect();
        println!("{index}{best}\n  truth  {} ({listed})", bench.truth.name());
        println!("  read   {}\n  answer {}", sheet.short(), ranked.join("; "));
    }
}
