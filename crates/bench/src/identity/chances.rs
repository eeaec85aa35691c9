//! The tables of what is likely before anything is measured: families, how closely they are made, kinds of machine.

use flankwise_thread::table::Table;
use flankwise_thread::{Family, Source};
use std::sync::LazyLock;

/// What is said of a family before anything is measured; a row of `data/family-chances.csv`.
pub(super) struct Chance {
    key: &'static str,
    /// Relative weight.
    pub weight: f64,
    /// Share of its threads that have a listed size.
    pub listed: f64,
    /// Index into [`makers`].
    pub maker: usize,
    /// Countries that used it; empty: all.
    pub home: Vec<&'static str>,
    /// Country where its sizes were made before `from`.
    pub cradle: &'static str,
    /// Years.
    pub from: Option<i32>,
    pub to: Option<i32>,
    /// How many times likelier on a machine made in these years than on one of no known age.
    pub in_its_time: f64,
}

impl Chance {
    /// Whether it was made in this year, as far as one is said.
    pub(super) fn is_of(&self, year: Option<i32>) -> bool {
        year.is_none_or(|year| {
            self.from.is_none_or(|from| from <= year) && self.to.is_none_or(|to| year <= to)
        })
    }
}

/// Reads the rows of the table of families.
fn rows() -> Vec<Chance> {
    let table = Table::read("family-chances.csv", include_str!("../../data/family-chances.csv"));
    let year = |v: Option<f64>| v.map(|y| y as i32);
    table
        .rows()
        .map(|row| {
            // The origin is read so that a row without one is a fault.
            let _: Source = row.source("source");
            let maker = row.text("makers");
            Chance {
                key: row.text("key"),
                weight: row.required("weight"),
                listed: row.required("listed"),
                maker: makers()
                    .iter()
                    .position(|m| m.key == maker)
                    .unwrap_or_else(|| panic!("family-chances.csv: makers `{maker}`")),
                home: row.text("home").split_whitespace().collect(),
                cradle: row.text("cradle"),
                from: year(row.number("from")),
                to: year(row.number("to")),
                in_its_time: row.number("in_its_time").unwrap_or(1.0),
            }
        })
        .collect()
}

/// What is said of `family`; for one without a row, what is said of any other.
pub(super) fn of(family: Family) -> &'static Chance {
    static ALL: LazyLock<Vec<Chance>> = LazyLock::new(rows);
    static BY_FAMILY: LazyLock<[usize; Family::ALL.len()]> = LazyLock::new(|| {
        let at = |key: &str| ALL.iter().position(|c| c.key == key);
        Family::ALL
            .map(|f| at(f.form().key()).or(at("*")).expect("family-chances.csv ends with a row for any"))
    });
    &ALL[BY_FAMILY[index(family)]]
}

/// Place of a family in [`Family::ALL`].
pub(super) fn index(family: Family) -> usize {
    family as usize
}

/// How closely threads are made; a row of `data/makers.csv`. Sizes in mm.
pub(super) struct Maker {
    key: &'static str,
    crest: f64,
    flank: f64,
    bore: f64,
    dev: (f64, f64),
    major_dev: bool,
}

/// Every row.
pub(super) fn makers() -> &'static [Maker] {
    static ALL: LazyLock<Vec<Maker>> = LazyLock::new(|| {
        let table = Table::read("makers.csv", include_str!("../../data/makers.csv"));
        table
            .rows()
            .map(|row| {
                let _: Source = row.source("source");
                Maker {
                    key: row.text("key"),
                    crest: row.required("crest"),
                    flank: row.required("flank"),
                    bore: row.required("bore"),
                    dev: (row.required("dev_um"), row.required("dev_share")),
                    major_dev: row.text("major_dev") == "yes",
                }
            })
            .collect()
    });
    &ALL
}

impl Maker {
    fn deviation(&self, p: f64) -> f64 {
        (self.dev.0 + self.dev.1 * p) / 1000.0
    }
    /// From the basic major diameter down to the smallest that a maker lets pass.
    pub(super) fn major(&self, p: f64) -> f64 {
        let td = self.crest * (180.0 * p.powf(2.0 / 3.0) - 3.15 / p.sqrt()).max(20.0) / 1000.0;
        td + if self.major_dev { self.deviation(p) } else { 0.0 }
    }
    /// From the basic pitch diameter down.
    pub(super) fn pitch(&self, d: f64, p: f64) -> f64 {
        self.flank * 90.0 * p.powf(0.4) * d.powf(0.1) / 1000.0 + self.deviation(p)
    }
    /// From the basic bore up.
    pub(super) fn bore(&self, p: f64) -> f64 {
        let grade6 = if p < 1.0 { 433.0 * p - 190.0 * p.powf(1.22) } else { 230.0 * p.powf(0.7) };
        self.bore * grade6 / 1000.0
    }
}

/// What a kind of machine says; a row of `data/machines.csv`.
struct Machine {
    word: &'static str,
    families: Vec<&'static str>,
    factor: f64,
    left: f64,
}

fn machines() -> &'static [Machine] {
    static ALL: LazyLock<Vec<Machine>> = LazyLock::new(|| {
        let table = Table::read("machines.csv", include_str!("../../data/machines.csv"));
        table
            .rows()
            .map(|row| {
                let _: Source = row.source("source");
                Machine {
                    word: row.text("word"),
                    families: row.text("families").split_whitespace().collect(),
                    factor: row.required("factor"),
                    left: row.required("left"),
                }
            })
            .collect()
    });
    &ALL
}

impl Machine {
    fn carries(&self, family: Family) -> bool {
        let form = family.form();
        self.families.iter().any(|key| match *key {
            "@feed" => !form.ridge().is_v(),
            "@v" => form.ridge().is_v(),
            "@taper" => form.taper().is_some(),
            key => key == form.key(),
        })
    }
}

/// Whether `text` (lower case) has `word` at the beginning of a word.
fn named(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| !text[..at].ends_with(|c: char| c.is_alphanumeric()))
}

/// What the kind of machine says: for each family by how much it becomes likelier, and a left-hand thread. Of several
/// words the one that says most counts, so that a cross-slide of a lathe is not two machines.
pub(super) fn by_machine(text: &str) -> ([f64; Family::ALL.len()], f64) {
    let text = text.to_lowercase();
    let named: Vec<&Machine> = machines().iter().filter(|m| named(&text, m.word)).collect();
    let most = |of: &dyn Fn(&Machine) -> f64| named.iter().map(|m| of(m)).fold(1.0, f64::max);
    let families = Family::ALL.map(|f| most(&|m| if m.carries(f) { m.factor } else { 1.0 }));
    (families, most(&|m| m.left))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_family_has_a_row() {
        let missing: Vec<_> =
            Family::ALL.into_iter().filter(|f| of(*f).key == "*").map(|f| f.form().key()).collect();
        assert!(missing.is_empty(), "data/family-chances.csv has no row for {missing:?}");
        assert!(Family::ALL.into_iter().enumerate().all(|(i, f)| index(f) == i));
    }

    #[test]
    fn shares_are_shares() {
        for family in Family::ALL {
            let chance = of(family);
            assert!(chance.weight > 0.0 && chance.weight < 1.0, "{}", chance.key);
            assert!(chance.listed > 0.0 && chance.listed <= 1.0, "{}", chance.key);
        }
    }

    #[test]
    fn a_machine_speaks_for_what_it_carries() {
        let (families, left) = by_machine("Bench lathe, cross-slide");
        assert_eq!(families[index(Family::Acme)], 3.0);
        assert_eq!((families[index(Family::MetricIso)], left), (1.0, 2.5));
        assert_eq!(by_machine("my device").0[index(Family::Square)], 1.0, "a vice is not in a device");
        assert_eq!(by_machine(""), ([1.0; Family::ALL.len()], 1.0));
    }

    /// The zones of the ranking against each family's own limits in its default classes, for every listed size.
    #[test]
    fn zones_are_near_those_of_the_standards() {
        use flankwise_thread::limits::limits;
        let mut off = Vec::new();
        // A taper thread has its tolerance along the axis and none on diameters.
        for family in Family::ALL.into_iter().filter(|family| family.form().taper().is_none()) {
            let maker = &makers()[of(family).maker];
            let (mut n, mut sums) = (0.0, [0.0; 3]);
            for row in family.form().series() {
                let thread =
                    flankwise_thread::Thread::new(family, row.nominal, row.nominal_written, row.pitch);
                let Ok(limits) = limits(&thread) else { continue };
                let (Some(screw), Some(nut)) = (&limits.external, &limits.internal) else { continue };
                let basic = thread.basic();
                let (d, p) = (row.nominal.to_mm(), row.pitch.length.to_mm());
                let zone = |from: flankwise_thread::Length, to: Option<flankwise_thread::Length>| {
                    to.map(|to| (to - from).abs().to_mm())
                };
                let zones = [
                    zone(basic.d, screw.major.min).map(|z| z / maker.major(p)),
                    zone(basic.d2, screw.pitch.min).map(|z| z / maker.pitch(d, p)),
                    zone(basic.d1_internal, nut.minor.max).map(|z| z / maker.bore(p)),
                ];
                if let [Some(a), Some(b), Some(c)] = zones {
                    n += 1.0;
                    for (sum, z) in sums.iter_mut().zip([a, b, c]) {
                        *sum += f64::ln(z.max(1e-3));
                    }
                }
            }
            if n > 0.0 {
                let mean = sums.map(|s| f64::exp(s / n));
                println!("{}: {mean:.2?} of {n}", family.form().key());
                if mean.iter().any(|m| !(0.5..=2.0).contains(m)) {
                    off.push((family.form().key(), mean));
                }
            }
        }
        assert!(off.is_empty(), "{off:?}");
    }
}
