//! The ranking judged by simulated parts; the section `Identification` of `docs/VALIDATION.md` comes from here.
//!
//! The full run takes minutes, so it is made only to rewrite the section (`FLANKWISE_BLESS=1`). What every run makes
//! anew is the sample, the first parts of each condition: where its figures differ from those printed, the ranking
//! has changed, and the full run is due.

#[path = "../../thread/tests/support/section.rs"]
mod section;
// The list of errors, `examples/simulated_errors.rs`, uses the rest of it.
#[allow(dead_code)]
mod simulator;

use simulator::advice::{self, Search};
use simulator::bench::{Bench, KITS, Kit, SEED, USUAL};
use simulator::bound;
use simulator::part::Condition;
use simulator::score::{Answer, Tally, answer};
use std::collections::BTreeMap;
use std::fmt::Write as _;

const COMMAND: &str = "cargo test -p flankwise-bench --test simulated";
/// Parts of each condition in the full run with the usual kit.
const PARTS: u64 = 5000;
/// Used parts with each other kit.
const PARTS_BY_KIT: u64 = 2000;
/// Used parts that the bound is worked out for, and those that the advice is followed on: slow.
const PARTS_BOUND: u64 = 500;
const PARTS_ADVICE: u64 = 200;
/// Parts of each condition in the sample.
const SAMPLE: u64 = 120;

/// A part's family and what was answered, in the order of the parts.
type Run = Vec<(&'static str, Answer)>;

/// Works on all cores; the results are in order, so that sums come out the same on any number of cores.
fn each<T: Send>(parts: u64, work: impl Fn(u64) -> T + Sync) -> Vec<T> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from) as u64;
    let mut results: Vec<(u64, T)> = std::thread::scope(|scope| {
        let work = &work;
        let share = |core: u64| move || (core..parts).step_by(cores as usize).map(|i| (i, work(i))).collect();
        let threads: Vec<_> = (0..cores).map(|core| scope.spawn(share(core))).collect();
        let join = |t: std::thread::ScopedJoinHandle<'_, Vec<(u64, T)>>| {
            t.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        };
        threads.into_iter().flat_map(join).collect()
    });
    results.sort_by_key(|r| r.0);
    results.into_iter().map(|r| r.1).collect()
}

fn run(parts: u64, condition: Condition, kit: Kit) -> Run {
    each(parts, |index| {
        let bench = Bench::new(SEED, index, condition);
        let text = bench.sheet(SEED, kit).toml();
        answer(&text, &bench.truth).map(|answer| (bench.truth.family(), answer))
    })
    .into_iter()
    .flatten()
    .collect()
}

fn tally<'a>(answers: impl IntoIterator<Item = &'a (&'static str, Answer)>) -> Tally {
    let mut tally = Tally::default();
    answers.into_iter().for_each(|(_, answer)| tally.add(answer));
    tally
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

fn row(text: &mut String, name: &str, tally: &Tally) {
    let _ = writeln!(
        text,
        "| {name} | {} | {} | {} | {} | {:.3} |",
        tally.parts,
        percent(tally.first_share()),
        percent(tally.in_three_share()),
        percent(tally.claimed_mean()),
        tally.calibration_error()
    );
}

/// A row for the parts of each name, the most first.
fn by_name(text: &mut String, run: &Run, name: impl Fn(&(&'static str, Answer)) -> &'static str) {
    let mut names: BTreeMap<&str, Vec<&(&'static str, Answer)>> = BTreeMap::new();
    for part in run {
        names.entry(name(part)).or_default().push(part);
    }
    let mut names: Vec<_> = names.into_iter().collect();
    names.sort_by_key(|(name, parts)| (std::cmp::Reverse(parts.len()), *name));
    for (name, parts) in names {
        row(text, name, &tally(parts));
    }
}

fn head(first: &str) -> String {
    format!(
        "| {first} | Parts | Right first | Right in the first three | Claimed for the first | Calibration error |\n\
         | --- | ---: | ---: | ---: | ---: | ---: |\n"
    )
}

fn sample() -> Vec<(Condition, Tally)> {
    Condition::ALL.map(|c| (c, tally(&run(SAMPLE, c, USUAL)))).into()
}

fn sample_section(sample: &[(Condition, Tally)]) -> String {
    let mut text = format!(
        "The first {SAMPLE} parts of each condition, made anew by every run of the tests: where these figures differ, \
         the section above is stale too.\n\n{}",
        head("Condition")
    );
    for (condition, tally) in sample {
        row(&mut text, condition.word(), tally);
    }
    text
}

/// Far below what the full run reaches, so that only a real loss trips it: of 120 parts, chance alone moves a
/// rate by three or four in a hundred.
#[test]
fn the_ranking_finds_simulated_parts() {
    let sample = sample();
    for (condition, tally) in &sample {
        let word = condition.word();
        assert!(tally.parts as u64 == SAMPLE, "{word}: {} of {SAMPLE} gave a ranking", tally.parts);
        assert!(tally.first_share() > 0.70, "{word}: right first {}", percent(tally.first_share()));
        assert!(tally.in_three_share() > 0.84, "{word}: in three {}", percent(tally.in_three_share()));
        let off = tally.claimed_mean() - tally.first_share();
        assert!(off.abs() < 0.10, "{word}: claims {off:+.2} more than it keeps");
    }
    if blessing() {
        section::hold("identification", &full(), COMMAND);
    }
    section::hold("identification-sample", &sample_section(&sample), COMMAND);
}

/// Whether the sections are to be rewritten.
fn blessing() -> bool {
    std::env::var("FLANKWISE_BLESS").is_ok_and(|set| set == "1")
}

/// Advice is followed to the end by a few parts, so that one in words that the simulator does not know is found here.
#[test]
fn advice_can_be_followed() {
    if blessing() {
        section::hold("identification-advice", &the_advice(), COMMAND);
    }
    let searches = each(24, |i| advice::following(SEED, i, Condition::Used));
    assert!(searches.iter().filter(|s| s.certain && s.right).count() >= 10, "{searches:?}");
}

fn full() -> String {
    let by_condition: Vec<(Condition, Run)> =
        Condition::ALL.into_iter().map(|c| (c, run(PARTS, c, USUAL))).collect();
    let mut text = String::from(INTRODUCTION);

    text += "\n### By condition\n\nCalliper, thread leaves and a count of pitches; no story, no word on where the machine was made.\n\n";
    text += &head("Condition");
    for (condition, run) in &by_condition {
        row(&mut text, condition.word(), &tally(run));
    }

    let used = &by_condition.iter().find(|(c, _)| *c == Condition::Used).expect("one of all").1;
    text += "\n### By family, used parts\n\n";
    text += &head("Family");
    by_name(&mut text, used, |part| part.0);

    text += "\n### By family answered, used parts\n\n\
             A claim can be held against its outcome here; by true family it cannot. Of a rare family the parts that are \
             taken for a common twin are wrong whatever is claimed, and are what the claims for the twin leave room for: a \
             calliper reads the same on a Stub Acme as on an Acme of its size.\n\n";
    text += &head("Family");
    by_name(&mut text, used, |part| part.1.answered);

    text += "\n### What is claimed and what is kept, used parts\n\n";
    text += "| Claimed for the first answer | Parts | Mean claim | Right |\n| --- | ---: | ---: | ---: |\n";
    for (parts, claimed, right) in tally(used).reliability() {
        let low = (claimed * 10.0).floor() * 10.0;
        let _ = writeln!(
            text,
            "| {low:.0} to {:.0} % | {parts} | {} | {} |",
            low + 10.0,
            percent(claimed),
            percent(right)
        );
    }

    text += "\n### By what was used to measure, used parts\n\n";
    text += &head("Tools");
    for kit in KITS {
        row(&mut text, kit.name, &tally(&run(PARTS_BY_KIT, Condition::Used, *kit)));
    }

    text += &the_bound();
    text
}

fn the_bound() -> String {
    let judge = |i| {
        let (sure, right) = bound::best(SEED, i, Condition::Used, USUAL)?;
        let bench = Bench::new(SEED, i, Condition::Used);
        let ours = answer(&bench.sheet(SEED, USUAL).toml(), &bench.truth);
        Some((sure, right, ours.is_some_and(|answer| answer.first())))
    };
    let judged: Vec<(f64, bool, bool)> = each(PARTS_BOUND, judge).into_iter().flatten().collect();
    let n = judged.len() as f64;
    let share = |of: &dyn Fn(&(f64, bool, bool)) -> f64| percent(judged.iter().map(of).sum::<f64>() / n);
    format!(
        "\n### About the best that these readings allow\n\nWith these readings of used parts, the simulator's own prior and its own \
         likelihood, found by making every near thread {} times and reading it again (`simulator/bound.rs`), the best \
         first answer expects to be right in {} of {} parts in a family, and is right in {}; the program is right in \
         {} of the same parts. Both are estimates from kernels and a finite number of parts (standard error of a rate: \
         about 1.3 points), not a proof; by both, 95 % is more than these readings hold. What is lost either way: threads \
         of one size and pitch that differ by an angle of 5° or less, sizes closer than turning to a nominal size is, \
         slips.\n",
        bound::FINE,
        share(&|j| j.0),
        judged.len(),
        share(&|j| f64::from(u8::from(j.1))),
        share(&|j| f64::from(u8::from(j.2))),
    )
}

fn the_advice() -> String {
    let pairs: Vec<(Search, Search)> = each(PARTS_ADVICE, |i| {
        (advice::following(SEED, i, Condition::Used), advice::fixed(SEED, i, Condition::Used))
    });
    let (led, kept): (Vec<Search>, Vec<Search>) = pairs.iter().copied().unzip();
    let both: Vec<_> = pairs.iter().filter(|(a, b)| a.certain && b.certain).collect();
    let mean = |of: &dyn Fn(&&&(Search, Search)) -> usize| {
        both.iter().map(|pair| of(&pair)).sum::<usize>() as f64 / both.len().max(1) as f64
    };
    let (advised, fixed) = (mean(&|p| p.0.readings), mean(&|p| p.1.readings));
    let sure = |s: &[Search]| s.iter().filter(|s| s.certain).count();
    let right = |s: &[Search]| s.iter().filter(|s| s.certain && s.right).count();
    let mut text = String::from(
        "From one diameter by calliper, until the first answer is claimed at 95 %, with \
         calliper, micrometer, wires, protractor and leaves on hand. Looks, readings and leaves all count.\n\n\
         | | Parts | Certain | Right when certain | Readings where both are certain |\n| --- | ---: | ---: | ---: | ---: |\n",
    );
    for (name, searches, readings) in
        [("the program's advice", &led, advised), ("a fixed order", &kept, fixed)]
    {
        let _ = writeln!(
            text,
            "| {name} | {} | {} | {} | {readings:.2} |",
            searches.len(),
            percent(sure(searches) as f64 / searches.len() as f64),
            percent(right(searches) as f64 / sure(searches).max(1) as f64),
        );
    }
    let _ = writeln!(text, "\nAdvice takes {:.2} times the readings of the fixed order.", advised / fixed);
    text
}

const INTRODUCTION: &str = "\
Simulated parts (`crates/bench/tests/simulator`): a thread is drawn from a population written down there, made within \
its limits or by a shop's lathe, worn on one side and damaged at stated rates; then a person with habits and slips of \
their own measures it and types a job, which the program reads as it reads any other. The simulator shares no model \
or figure with the ranking. Its rates are from published limits of instruments and handbooks of human error where there \
are any, and choices with a reason where there are none: another workshop has other rates, so these figures compare \
one state of the program with another better than they promise anything. After the errors of a first run were \
read, five habits were revised for reasons of the workshop (how many leave hand, starts and form unsaid; which \
of diameter and pitch is foreign; outsides turned rather than chased; nuts read by impression; V leaves on feed \
screws); that raised the first answers by two to four points.

*Right*: same hand and starts, same flank angles, pitch within 0.02 %, major and pitch diameter within 0.02 mm at basic \
size, so that UN and UNJ, which differ at the root, are one; UNC and BSW of one size and pitch are two. One part in a \
hundred is of no family, and *none of these* is the right answer. *Calibration error*: mean distance of claim from \
outcome over ten bins of the first answer's probability.
";
