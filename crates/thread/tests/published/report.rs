//! The section `Catalogue` of `docs/VALIDATION.md`.

use crate::differences::Difference;
use crate::fixture;
use crate::value::{Evidence, Value};
use flankwise_thread::limits::{Element, Range, limits};
use flankwise_thread::source::Standing;
use flankwise_thread::{Family, Thread};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// Values of one kind of evidence.
#[derive(Default)]
struct Tally {
    values: usize,
    agreeing: usize,
    /// By unit.
    worst: BTreeMap<&'static str, f64>,
}

impl Tally {
    fn of<'v>(values: impl Iterator<Item = &'v Value>) -> Self {
        let mut tally = Self::default();
        for value in values {
            tally.values += 1;
            if value.agrees() {
                tally.agreeing += 1;
            } else if !value.unit.is_empty() {
                let worst = tally.worst.entry(value.unit).or_default();
                *worst = worst.max(value.deviation());
            }
        }
        tally
    }

    /// `140 of 144`
    fn agreeing(&self) -> String {
        if self.values == 0 { "–".to_owned() } else { format!("{} of {}", self.agreeing, self.values) }
    }

    /// `0.001 mm, 0.0001 in`
    fn worst(&self) -> String {
        if self.values == 0 {
            return "–".to_owned();
        }
        let each = |(unit, worst): (&&str, &f64)| {
            let digits = format!("{worst:.6}");
            format!("{} {unit}", digits.trim_end_matches('0').trim_end_matches('.'))
        };
        if self.worst.is_empty() {
            "none".to_owned()
        } else {
            self.worst.iter().map(each).collect::<Vec<_>>().join(", ")
        }
    }
}

/// One row of a table of tallies.
fn tallies(first: &str, values: &[&Value]) -> String {
    let tally = |fits: &dyn Fn(&Value) -> bool| Tally::of(values.iter().copied().filter(|value| fits(value)));
    let of = |evidence| tally(&|value| !value.is_listing() && value.evidence == evidence);
    let [printed, derived, memory] = [Evidence::Printed, Evidence::Derived, Evidence::Memory].map(of);
    let proof = tally(&|value| !value.is_listing() && value.evidence != Evidence::Memory);
    let listings = [
        tally(&|value| value.is_listing() && value.evidence != Evidence::Memory),
        tally(&|value| value.is_listing() && value.evidence == Evidence::Memory),
    ];
    let rows: BTreeSet<_> = values.iter().map(|value| (&value.table, value.line)).collect();
    format!(
        "| {first} | {} | {} | {} | {} | {} | {} | {} |\n",
        rows.len(),
        listings[0].agreeing(),
        listings[1].agreeing(),
        printed.agreeing(),
        derived.agreeing(),
        proof.worst(),
        memory.agreeing()
    )
}

const COLUMNS: &str = "Rows | Listed sizes held | from memory | Printed values that agree | Derived values that agree \
                       | Worst deviation of these | Values from memory that agree |\n\
                       | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n";

/// The section as text.
pub fn catalogue(values: &[Value], differences: &[Difference]) -> String {
    let mut text = format!("{INTRODUCTION}\n### All families\n\n{}", summary(values));
    text += &other_proof(values);
    text += &standings();
    for family in Family::ALL {
        let of: Vec<_> = values.iter().filter(|value| value.family == family).collect();
        if !of.is_empty() {
            text += &one_family(family, &of, differences);
        }
    }
    text
}

/// The tallies of each family.
pub fn summary(values: &[Value]) -> String {
    let mut text = format!("| Family | {COLUMNS}");
    for family in Family::ALL {
        let of: Vec<_> = values.iter().filter(|value| value.family == family).collect();
        if !of.is_empty() {
            text += &tallies(family.form().name(), &of);
        }
    }
    text + &tallies("**All**", &values.iter().collect::<Vec<_>>())
}

const INTRODUCTION: &str = "\
Each value of the tables in `crates/thread/tests/fixtures` is put beside what the program gives, to the last printed
digit; a deviation is that between the two as printed. *Printed*: it stands so in a source. *Derived*: it follows by
arithmetic from what sources print. *From memory*: it was recalled, or computed from recalled tables. Such a value guards
against accidental change and proves nothing, since a program with the same formula agrees with it where both are wrong.
*Listed sizes held*: sizes that a source lists and the catalogue has.
Sources: `crates/thread/tests/fixtures/README.md`. Differences are named one by one in `differences.csv` there; one that
is not named, or no longer exists, fails the test.
";

/// A family with its tables and named differences.
fn one_family(family: Family, values: &[&Value], differences: &[Difference]) -> String {
    let form = family.form();
    let mut text = format!("\n### {}\n\n{}\n\n| Table | {COLUMNS}", form.name(), form.standard());
    let tables: BTreeSet<_> = values.iter().map(|value| &value.table).collect();
    for table in tables {
        let of: Vec<_> = values.iter().copied().filter(|value| value.table == *table).collect();
        text += &tallies(&format!("`{table}`"), &of);
    }
    // In the order in which the reasons first stand in the file.
    let mut reasons: Vec<(&str, Vec<&Value>)> = Vec::new();
    for difference in differences {
        for value in values.iter().copied().filter(|value| !value.agrees() && difference.is_of(value)) {
            match reasons.iter_mut().find(|(why, _)| *why == difference.why) {
                Some((_, of))
                    if of.iter().any(|known| known.at == value.at && known.source == value.source) => {}
                Some((_, of)) => of.push(value),
                None => reasons.push((&difference.why, vec![value])),
            }
        }
    }
    if !reasons.is_empty() {
        text += "\nWhat differs, and why:\n\n";
    }
    for (why, of) in reasons {
        let _ = writeln!(text, "- {}", capital(why));
        let (listings, figures): (Vec<&Value>, Vec<&Value>) =
            of.into_iter().partition(|value| value.is_listing());
        if let Some(first) = listings.first() {
            let sizes: Vec<_> = listings.iter().map(|value| value.at[0].as_str()).collect();
            let _ = writeln!(text, "  - not listed here (`{}`): {}", first.source, sizes.join(", "));
        }
        for value in figures {
            let at: Vec<_> = value.at.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
            let Value { source, printed, ours, unit, .. } = value;
            let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
            let _ = writeln!(text, "  - {}: printed {printed}, ours {ours}{unit} (`{source}`)", at.join(" "));
        }
    }
    text
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// What else proves a family (`fixtures/other-proof.csv`), and the families that nothing proves.
fn other_proof(values: &[Value]) -> String {
    let mut text = String::from("\n### Proof of another kind\n\n");
    let mut proved: BTreeSet<Family> = BTreeSet::new();
    for row in fixture::rows("other-proof") {
        let family = family(row.text("family"));
        proved.insert(family);
        let _ = writeln!(text, "- **{}**, {}: {}", family.form().name(), row.text("kind"), row.text("what"));
    }
    proved.extend(values.iter().filter(|value| value.evidence != Evidence::Memory).map(|value| value.family));
    let bare: Vec<_> = Family::ALL.into_iter().filter(|family| !proved.contains(family)).collect();
    if !bare.is_empty() {
        let names: Vec<_> = bare.iter().map(|family| family.form().name()).collect();
        let _ = writeln!(
            text,
            "\nNothing but memory or a choice of this project stands behind: {}.",
            names.join(", ")
        );
    }
    text
}

fn family(key: &str) -> Family {
    let found = Family::ALL.into_iter().find(|family| family.form().key() == key);
    found.unwrap_or_else(|| panic!("other-proof: no family `{key}`"))
}

/// What the limits of every listed size in every class stand on, as each says of itself.
fn standings() -> String {
    let mut text = String::from(STANDINGS);
    let mut memory = String::new();
    for family in Family::ALL {
        let mut counts = [0_usize; 6];
        let mut recalled: BTreeMap<String, usize> = BTreeMap::new();
        for range in family
            .form()
            .series()
            .iter()
            .flat_map(|row| ranges(&Thread::new(family, row.nominal, row.nominal_written, row.pitch)))
        {
            counts[place(range.source.standing)] += 1;
            if range.source.standing == Standing::Memory {
                *recalled.entry(format!("{}, {}", range.source.document, range.source.place)).or_default() +=
                    1;
            }
        }
        let total: usize = counts.iter().sum();
        let share = |count: usize| match (count, total) {
            (0, _) => "–".to_owned(),
            (count, total) => format!("{:.1} %", 100.0 * count as f64 / total as f64),
        };
        let shares: Vec<_> = counts.iter().map(|count| share(*count)).collect();
        let _ = writeln!(text, "| {} | {total} | {} |", family.form().name(), shares.join(" | "));
        if !recalled.is_empty() {
            let _ = writeln!(memory, "- **{}**", family.form().name());
            for (source, count) in recalled {
                let _ = writeln!(memory, "  - {source} ({count})");
            }
        }
    }
    format!(
        "{text}\n### What remains from memory\n\nThe same limits that say so of themselves, by what they were recalled from (number of diameters):\n\n{memory}"
    )
}

const STANDINGS: &str = "
### What the limits stand on

Each limit says where it comes from. Counted over every listed size in every class, external and internal, major, pitch
and minor diameter (a diameter whose both sides are left open is not counted):

| Family | Diameters | Printed table | Printed formula | Derived | Common practice | From memory | Chosen here |
| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
";

fn place(standing: Standing) -> usize {
    match standing {
        Standing::Table => 0,
        Standing::Formula => 1,
        Standing::Derived => 2,
        Standing::Practice => 3,
        Standing::Memory => 4,
        Standing::Choice => 5,
    }
}

/// The diameters of a thread in every class.
fn ranges(thread: &Thread) -> Vec<Range> {
    let form = thread.family.form();
    let mut ranges = Vec::new();
    for element in [Element::External, Element::Internal] {
        let classes: Vec<_> = match form.classes(element) {
            [] => vec![None],
            classes => classes.iter().map(|class| Some((*class).to_owned())).collect(),
        };
        for class in classes {
            let named = match element {
                Element::External => Thread { external_class: class, ..thread.clone() },
                Element::Internal => Thread { internal_class: class, ..thread.clone() },
            };
            let limits = limits(&named).unwrap_or_else(|e| panic!("{e}"));
            let of = if element == Element::External { limits.external } else { limits.internal };
            ranges.extend(of.into_iter().flat_map(|of| [of.major, of.pitch, of.minor]));
        }
    }
    ranges.retain(|range| range.max.is_some() || range.min.is_some());
    ranges
}
