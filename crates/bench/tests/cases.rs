//! Real situations that practitioners posted, each a job in `cases/`: facts only, in our words, with the address.
//!
//! To add one, add a file: head lines `# source:`, `# expect:` and `# confirmed:` (whether the outcome was proved or
//! agreed upon in the post), then the job. `expect` is diameter (with `± so much` where no more is known), pitch, and
//! where they matter hand and starts, then `top N`: the thread must be among the first N sizes; or `none`: no thread may
//! be called settled. Forms that share a size count as one, since many posts leave the form open. Where a post does not
//! say how it was measured, calliper and thread leaves are assumed.
//!
//! `pairs.csv` has pairs that were taken for one another, `left-out.csv` the situations that no test can be made of.

#[path = "../../thread/tests/support/section.rs"]
mod section;

use flankwise_bench::identity::Goes;
use flankwise_bench::{evidence, identity, job};
use flankwise_thread::{Hand, Length, Thread, Unit, quantity};
use std::path::Path;

struct Expected {
    nominal: Length,
    /// How near to that is near enough.
    within_mm: f64,
    pitch: Length,
    /// How near to that is near enough, per cent.
    pitch_within: f64,
    hand: Option<Hand>,
    starts: Option<u32>,
    within: usize,
}

fn remark<'t>(text: &'t str, key: &str) -> Option<&'t str> {
    text.lines().find_map(|l| l.strip_prefix("# ").and_then(|l| l.strip_prefix(key))).map(str::trim)
}

fn head<'t>(text: &'t str, key: &str) -> &'t str {
    remark(text, key).unwrap_or_else(|| panic!("no `# {key}` line"))
}

fn expected(text: &str) -> Expected {
    let parts: Vec<_> = text.split(',').map(str::trim).collect();
    let length = |t: &str| quantity::parse_length(t, Unit::Mm).expect("a length").0;
    let (size, about) = parts[0].split_once('±').unwrap_or((parts[0], "0.001 mm"));
    let (nominal, within_mm) = (length(size.trim()), length(about.trim()).to_mm());
    let (step, percent) = parts[1].split_once('±').unwrap_or((parts[1], "0.02 %"));
    let pitch = quantity::parse_pitch(step.trim(), Unit::Mm).expect("a pitch").0;
    let pitch_within: f64 = percent.trim().trim_end_matches('%').trim().parse().expect("per cent");
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
    Expected { nominal, within_mm, pitch, pitch_within, hand, starts, within }
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

/// What became of a case.
struct Found {
    name: String,
    confirmed: bool,
    /// Whether the outcome is that nothing may be called settled.
    open: bool,
    /// Place of the size expected, from 1.
    place: Option<usize>,
    right: bool,
    shown: String,
    /// Title and remark of the case.
    title: String,
    note: String,
}

fn find(file: &Path) -> Found {
    let text = std::fs::read_to_string(file).expect("a case");
    let source = head(&text, "source:");
    assert!(source.starts_with("http") || source == "common practice, no source", "{}", file.display());
    let name = file.file_stem().expect("a name").to_string_lossy().into_owned();
    let confirmed = match head(&text, "confirmed:") {
        "yes" => true,
        "no" => false,
        other => panic!("{name}: confirmed `{other}`"),
    };
    let job = job::read(&text).unwrap_or_else(|problems| panic!("{name}: {problems:#?}"));
    let evidence = evidence::work(&job).result.unwrap_or_else(|| panic!("{name}: no evidence"));
    let identity = identity::work(&evidence, &job).result.unwrap_or_else(|| panic!("{name}: no ranking"));
    let sizes = sizes(&identity);
    let shown: Vec<_> = sizes.iter().take(4).map(|(t, p)| format!("{t} {p:.3}")).collect();
    let shown = format!("{name}: {}; other {:.3}", shown.join(", "), identity.other_probability);
    let first = &identity.candidates[0];
    let expect = head(&text, "expect:");
    let title = text.lines().next().unwrap_or_default().trim_start_matches("# ").to_owned();
    let found = Found {
        name,
        confirmed,
        open: expect == "none",
        place: None,
        right: first.probability < 0.5,
        shown,
        title,
        note: remark(&text, "note:").unwrap_or_default().to_owned(),
    };
    if found.open {
        return found;
    }
    let Expected { nominal, within_mm, pitch, pitch_within, hand, starts, within } = expected(expect);
    let is = |t: &Thread| {
        (t.nominal - nominal).abs().to_mm() <= within_mm
            && (t.pitch.length / pitch - 1.0).abs() <= 0.01 * pitch_within
    };
    let place = sizes.iter().position(|(t, _)| is(t)).map(|at| at + 1);
    let right = place.is_some_and(|at| at <= within)
        && hand.is_none_or(|h| first.thread.hand == h)
        && starts.is_none_or(|n| first.thread.starts == n);
    Found { place, right, ..found }
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
    assert!(files.len() >= 40);
    let found: Vec<Found> = files.iter().map(|f| find(f)).collect();
    found.iter().for_each(|f| println!("{}", f.shown));
    let failures: Vec<_> = found.iter().filter(|f| !f.right).map(|f| (&f.name, &f.shown)).collect();
    assert!(failures.is_empty(), "{failures:#?}");
    let confirmed = Places::of(found.iter().filter(|f| f.confirmed && !f.open));
    assert!(10 * confirmed.first >= 9 * confirmed.all && 100 * confirmed.in_three >= 97 * confirmed.all);
    section::hold("cases", &report(&found), "cargo test -p flankwise-bench --test cases");
}

/// How many cases have their size first, and in the first three.
struct Places {
    all: usize,
    first: usize,
    in_three: usize,
}

impl Places {
    fn of<'f>(found: impl Iterator<Item = &'f Found>) -> Self {
        let places: Vec<_> = found.map(|f| f.place).collect();
        let within = |most: usize| places.iter().filter(|p| p.is_some_and(|p| p <= most)).count();
        Self { all: places.len(), first: within(1), in_three: within(3) }
    }
    fn row(&self, what: &str) -> String {
        format!("| {what} | {} | {} | {} |\n", self.all, self.first, self.in_three)
    }
}

/// The section of `docs/VALIDATION.md`: places only, since probabilities move with every change of the ranking.
fn report(found: &[Found]) -> String {
    let mut text = String::from(
        "Situations that practitioners posted, each a job in `crates/bench/tests/cases` with its address: the size that \
         it turned out to be must stand at its place in the ranking. *Confirmed*: proved by a fit or agreed upon in the \
         post. Forms that share a size count as one, since many posts leave the form open.\n\n\
         | Outcome | Cases | First | In the first three |\n| --- | ---: | ---: | ---: |\n",
    );
    let sized = || found.iter().filter(|f| !f.open);
    text += &Places::of(sized().filter(|f| f.confirmed)).row("confirmed");
    text += &Places::of(sized().filter(|f| !f.confirmed)).row("believed");
    let open = found.iter().filter(|f| f.open).count();
    text += &format!(
        "\nIn {open} more the outcome is that nothing can be called settled, and no candidate reaches one half. {} pairs \
         that people took for one another are compared (`pairs.csv`); {} posts give nothing to rank, each with its \
         reason (`left-out.csv`).\n",
        rows(include_str!("cases/pairs.csv")).count(),
        rows(include_str!("cases/left-out.csv")).count()
    );
    let later: Vec<_> = sized().filter(|f| f.place != Some(1)).collect();
    if !later.is_empty() {
        text += "\nNot first, and why:\n\n";
    }
    for f in later {
        let place = f.place.map_or("not ranked".to_owned(), |p| format!("place {p}"));
        text += &format!("- {} (`{}`), {place}: {}\n", f.title, f.name, f.note);
    }
    text
}

/// Rows of a table of `tests/cases`, notes and heading left out.
fn rows(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    text.lines()
        .filter(|l| !l.starts_with('#') || l.starts_with("#1") || l.starts_with("#4") || l.starts_with("#5"))
        .skip(1)
        .map(|l| l.split(',').collect())
}

#[test]
fn pairs_taken_for_one_another() {
    let mut off = Vec::new();
    for row in rows(include_str!("cases/pairs.csv")) {
        let [a, b, told, binds, source, _] = row[..] else { panic!("{row:?}") };
        assert!(source.starts_with("http"), "{row:?}");
        let thread = |t: &str| t.parse::<Thread>().unwrap_or_else(|e| panic!("{t}: {e}"));
        let both = identity::beside(&thread(a), &thread(b), &identity::Terms::default());
        let nut = &both.nut_of_b_on_a;
        println!("{a} / {b}: {:.1}, {:.4}; {:?}: {}", both.deviations, both.mistaken, nut.goes, nut.words);
        // Without a slip one in a hundred is mistaken at this distance: Φ(−4.65 / 2) = 0.01.
        let apart = both.deviations > 4.65;
        let does = match binds {
            "" => true,
            "binds" => nut.goes == Goes::Binds,
            "refuses" => nut.goes == Goes::Refuses,
            "runs" => matches!(nut.goes, Goes::Runs | Goes::Loose),
            other => panic!("binds `{other}`"),
        };
        if apart != (told == "yes") || !does {
            off.push(format!("{a} / {b}: {:.4}; {nut:?}", both.mistaken));
        }
    }
    assert!(off.is_empty(), "{off:#?}");
}

#[test]
fn what_is_left_out_says_why() {
    let all: Vec<_> = rows(include_str!("cases/left-out.csv")).collect();
    assert!(
        all.len() > 10
            && all.iter().all(|row| row.len() == 2 && row[0].starts_with("http") && row[1].len() > 10)
    );
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
        assert!(identity.probability_of(&expected) > 0.85, "{shown:?}");
        assert_eq!(identity.story.as_ref().expect("a story").stands, Some(false));
    }
}
