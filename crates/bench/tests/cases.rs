//! Real situations that practitioners posted, each a job in `cases/`: facts only, in our words, with the address.
//!
//! To add one, add a file: head lines `# source:` and `# expect:`, then the job. `expect` is diameter, pitch, and
//! where they matter hand and starts, then `top N`: the thread must be among the first N sizes. Forms that share a
//! size count as one, since many posts leave the form open. Where a post does not say how it was measured,
//! calliper and thread leaves are assumed.

use flankwise_bench::{evidence, identity, job};
use flankwise_thread::{Hand, Length, Thread, Unit, quantity};
use std::path::Path;

struct Expected {
    nominal: Length,
    pitch: Length,
    hand: Option<Hand>,
    starts: Option<u32>,
    within: usize,
}

fn head<'t>(text: &'t str, key: &str) -> &'t str {
    let line = text.lines().find_map(|l| l.strip_prefix("# ").and_then(|l| l.strip_prefix(key)));
    line.unwrap_or_else(|| panic!("no `# {key}` line")).trim()
}

fn expected(text: &str) -> Expected {
    let parts: Vec<_> = text.split(',').map(str::trim).collect();
    let length = |t: &str| quantity::parse_length(t, Unit::Mm).expect("a length").0;
    let pitch = quantity::parse_pitch(parts[1], Unit::Mm).expect("a pitch").0;
    let (mut hand, mut starts, mut within) = (None, None, 1);
    for part in &parts[2..] {
        match part.split_once(' ') {
            _ if *part == "left" => hand = Some(Hand::Left),
            _ if *part == "right" => hand = Some(Hand::Right),
            Some((n, "starts")) => starts = n.parse().ok(),
            Some(("top", n)) => within = n.parse().expect("a rank"),
            _ => panic!("`{part}`"),
        }
    }
    Expected { nominal: length(parts[0]), pitch, hand, starts, within }
}

fn near(a: Length, b: Length) -> bool {
    (a - b).abs().to_mm() < 1e-3
}

/// Sizes in order of the probability of all their forms, hands and starts.
fn sizes(identity: &identity::Identity) -> Vec<(Thread, f64)> {
    let mut sizes: Vec<(Thread, f64)> = Vec::new();
    for c in &identity.candidates {
        let same =
            |t: &Thread| near(t.nominal, c.thread.nominal) && near(t.pitch.length, c.thread.pitch.length);
        match sizes.iter_mut().find(|(t, _)| same(t)) {
            Some(known) => known.1 += c.probability,
            None => sizes.push((c.thread.clone(), c.probability)),
        }
    }
    sizes.sort_by(|a, b| b.1.total_cmp(&a.1));
    sizes
}

#[test]
fn practitioners_cases() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("cases")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    assert!(files.len() >= 15);
    let mut failures = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(&file).expect("a case");
        let source = head(&text, "source:");
        assert!(source.starts_with("http") || source == "common practice, no source", "{}", file.display());
        let name = file.file_stem().expect("a name").to_string_lossy().into_owned();
        let job = job::read(&text).unwrap_or_else(|problems| panic!("{name}: {problems:#?}"));
        let evidence = evidence::work(&job).result.unwrap_or_else(|| panic!("{name}: no evidence"));
        let identity = identity::work(&evidence, &job).result.unwrap_or_else(|| panic!("{name}: no ranking"));
        let sizes = sizes(&identity);
        let shown: Vec<_> = sizes.iter().take(4).map(|(t, p)| format!("{t} {p:.3}")).collect();
        println!("{name}: {}; other {:.3}", shown.join(", "), identity.other_probability);
        let Expected { nominal, pitch, hand, starts, within } = expected(head(&text, "expect:"));
        let place = sizes.iter().position(|(t, _)| near(t.nominal, nominal) && near(t.pitch.length, pitch));
        let first = &identity.candidates[0].thread;
        let right = place.is_some_and(|at| at < within)
            && hand.is_none_or(|h| first.hand == h)
            && starts.is_none_or(|n| first.starts == n);
        if !right {
            failures.push(format!("{name}: {}", shown.join(", ")));
        }
    }
    assert!(failures.is_empty(), "{failures:#?}");
}

/// The demos, from their text to the ranking.
#[test]
fn demo_jobs() {
    let demos = [
        (include_str!("../../../demo/board-shear.toml"), "Tr 22x5"),
        (include_str!("../../../demo/proof-press.toml"), "3/4-6 Acme LH"),
    ];
    for (text, designation) in demos {
        let job = job::read(text).unwrap_or_else(|problems| panic!("{problems:#?}"));
        let evidence = evidence::work(&job).result.expect("evidence");
        let identity = identity::work(&evidence, &job).result.expect("a ranking");
        let expected: Thread = designation.parse().expect("a designation");
        let shown: Vec<_> = identity
            .candidates
            .iter()
            .take(4)
            .map(|c| format!("{} {:.4}", c.thread, c.probability))
            .collect();
        println!("{}; other {:.4}", shown.join(", "), identity.other_probability);
        assert!(identity.probability_of(&expected) > 0.9, "{shown:?}");
        assert!(!identity.story.as_ref().expect("a story").stands);
    }
}
