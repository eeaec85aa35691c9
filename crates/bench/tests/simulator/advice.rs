//! A person who does what the program says to measure next, and one who keeps to a fixed order.

use super::bench::Bench;
use super::part::Condition;
use super::person::{Sheet, Step};
use super::score::answer;

/// How sure is sure enough.
pub const CERTAIN: f64 = 0.95;

const TOOLS: &[&str] = &["calliper", "micrometer", "rule", "protractor", "wires"];

/// The order of someone who always does the same: what is quick first.
const FIXED: &[Step] = &[
    Step::Form,
    Step::Hand,
    Step::Starts,
    Step::Leaves,
    Step::Count,
    Step::Wires,
    Step::Crest,
    Step::Angle,
    Step::DiameterByMicrometer,
    Step::Bore,
];

/// How a search ended.
#[derive(Clone, Copy, Debug)]
pub struct Search {
    /// Looks, readings and leaves until certain, or until there was nothing left to do.
    pub readings: usize,
    pub certain: bool,
    pub right: bool,
}

/// Starts with the diameter by calliper, then follows the program's first advice that can be done here.
///
/// # Panics
/// Where an advice is in words that mean nothing to this person.
pub fn following(seed: u64, index: u64, condition: Condition) -> Search {
    search(seed, index, condition, |bench, sheet, next, again| {
        for advice in next {
            let (step, asked) =
                understood(advice).unwrap_or_else(|| panic!("the simulator does not know how to: {advice}"));
            let before = sheet.taken;
            if bench.step(seed, step, again, &asked, sheet) && sheet.taken > before {
                return true;
            }
        }
        false
    })
}

/// The same start, then the fixed order.
pub fn fixed(seed: u64, index: u64, condition: Condition) -> Search {
    let mut order = FIXED.iter();
    search(seed, index, condition, |bench, sheet, _, _| {
        order.by_ref().any(|step| {
            let before = sheet.taken;
            bench.step(seed, *step, 0, &[], sheet) && sheet.taken > before
        })
    })
}

fn search(
    seed: u64,
    index: u64,
    condition: Condition,
    mut more: impl FnMut(&Bench, &mut Sheet, &[String], u64) -> bool,
) -> Search {
    const MOST_STEPS: u64 = 12;
    let bench = Bench::new(seed, index, condition);
    let mut sheet = Sheet::with_tools(TOOLS);
    bench.step(seed, Step::Diameter, 0, &[], &mut sheet);
    let mut last = Search { readings: sheet.taken, certain: false, right: false };
    for round in 0..MOST_STEPS {
        let Some(answer) = answer(&sheet.toml(), &bench.truth) else { break };
        last = Search { readings: sheet.taken, certain: answer.claimed() >= CERTAIN, right: answer.first() };
        let next: Vec<String> = answer.next.into_iter().map(|n| n.measure).collect();
        let before = sheet.clone();
        if last.certain || !more(&bench, &mut sheet, &next, round) {
            break;
        }
        // A slip that the program refuses is not written down.
        if flankwise_bench::job::read(&sheet.toml()).is_err() {
            sheet = before;
        }
    }
    last
}

/// What an advice asks for, with the leaves that it names.
fn understood(advice: &str) -> Option<(Step, Vec<String>)> {
    let has = |words: &str| advice.contains(words);
    let step = if has("lea") && has("try the") {
        Step::TheseLeaves
    } else if has("which way") {
        Step::Hand
    } else if has("look at the form") {
        Step::Form
    } else if has("starts") {
        Step::Starts
    } else if has("pitches") {
        Step::Count
    } else if has("wires") {
        Step::Wires
    } else if has("angle") {
        Step::Angle
    } else if has("crest") {
        Step::Crest
    } else if has("bore") {
        Step::Bore
    } else if has("outside diameter") && has("micrometer") {
        Step::DiameterByMicrometer
    } else if has("outside diameter") {
        Step::Diameter
    } else {
        return None;
    };
    let words: Vec<&str> = advice.split_whitespace().collect();
    let label =
        |w: &[&str]| matches!(w[1].trim_end_matches(','), "mm" | "tpi").then(|| w.join(" ").replace(',', ""));
    let leaves =
        if step == Step::TheseLeaves { words.windows(2).filter_map(label).collect() } else { Vec::new() };
    Some((step, leaves))
}
