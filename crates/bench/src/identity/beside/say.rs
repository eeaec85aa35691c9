//! The comparison as every face shows it.

use super::{Beside, Shows};
use crate::identity::rival::{Consequence, Goes};
use crate::job::Quantity;
use crate::reference::look_up;
use crate::report::{Block, Fine, Mark, Note, Row, Table, Text, Value, columns};
use flankwise_thread::{Source, Thread};

impl Beside {
    /// The one number, in words.
    pub fn answer(&self) -> Text {
        Text::new()
            .s(format!(
                "{} and {} are {}. After all these readings, one part in ",
                self.a, self.b, self.words
            ))
            .s(in_how_many(self.mistaken))
            .s(" would be taken for the other, slips counted (")
            .v(Value::Number(self.deviations, 1))
            .s(" standard deviations apart without one). ")
            .text(self.best())
    }

    /// The single measurement that tells most, and what result speaks for which.
    pub fn best(&self) -> Text {
        let read = self.reads.first();
        let shown = self.leaf.iter().chain(&self.seen).max_by(|x, y| x.deviations.total_cmp(&y.deviations));
        match (read, shown) {
            (Some(read), _) if read.deviations < TELLS && shown.is_none_or(|s| s.deviations < TELLS) => {
                Text::from("No single measurement of these tells much.")
            }
            (Some(read), shown) if shown.is_none_or(|s| s.deviations <= read.deviations) => {
                let (low, high) = if less(read.a, read.b) { (&self.a, &self.b) } else { (&self.b, &self.a) };
                Text::new()
                    .s(format!("What tells most: {}, under ", read.what))
                    .v(value(middle(read.a, read.b)))
                    .s(format!(" {low}, over it {high}."))
            }
            (_, Some(shown)) if shown.deviations >= TELLS => Text::new()
                .s(format!("What tells most: {}; {}: ", shown.what, self.a))
                .v(shown.a.clone())
                .s(format!(", {}: ", self.b))
                .v(shown.b.clone())
                .s("."),
            _ => Text::from("No single measurement of these tells much."),
        }
    }

    /// What makes it up, what happens if one is used for the other, and the sizes of both.
    pub fn blocks(&self) -> Vec<Block> {
        let mut blocks = vec![Block::Table(self.swapped())];
        let cautions = self.cautions();
        if !cautions.is_empty() {
            blocks.push(Block::Notes(cautions));
        }
        blocks.extend([
            Block::Table(self.readings()),
            Block::Text(self.terms.said()),
            Block::Table(self.sizes()),
        ]);
        blocks
    }

    /// What joints of taper threads ask, as their standards' limits have it.
    fn cautions(&self) -> Vec<Note> {
        let taper = |t: &&Thread| t.family.form().taper().is_some();
        let limits =
            [&self.a, &self.b].into_iter().filter(taper).filter_map(|t| t.family.form().limits(t).ok());
        let mut words: Vec<String> = limits.flat_map(|l| l.warnings).collect();
        words.sort();
        words.dedup();
        words.into_iter().map(|w| Note::warning(w.as_str())).collect()
    }

    fn readings(&self) -> Table {
        let row = |cells: Vec<Value>| Row { cells, mark: Mark::Plain };
        let mut rows: Vec<(f64, Row)> = self
            .reads
            .iter()
            .map(|r| {
                let cells = vec![
                    Value::Word(r.what.clone()),
                    value(r.a),
                    value(r.b),
                    value(r.sigma),
                    Value::Number(r.deviations, 1),
                ];
                (r.deviations, row(cells))
            })
            .collect();
        let shows = |s: &Shows| {
            let apart = Value::Number(s.deviations, 1);
            (
                s.deviations,
                row(vec![Value::Word(s.what.clone()), s.a.clone(), s.b.clone(), Value::None, apart]),
            )
        };
        rows.extend(self.leaf.iter().chain(&self.seen).map(shows));
        rows.sort_by(|x, y| y.0.total_cmp(&x.0));
        if let Some((_, first)) = rows.first_mut().filter(|(apart, _)| *apart >= TELLS) {
            first.mark = Mark::Best;
        }
        let rows: Vec<Row> = rows.into_iter().map(|(_, row)| row).collect();
        Table {
            key: "beside",
            title: "What readings say, that which tells most first".to_owned(),
            columns: columns(&[
                ("what", "Reading"),
                ("a", &self.a.to_string()),
                ("b", &self.b.to_string()),
                ("sigma", "Standard deviation"),
                ("deviations", "Apart by"),
            ]),
            rows,
            source: Some(Source::derived("basic sizes of both; zones, wear and noise as in the ranking")),
        }
    }

    fn swapped(&self) -> Table {
        let row = |nut: &Thread, screw: &Thread, does: &Consequence| Row {
            cells: vec![
                Value::Word(nut.to_string()),
                Value::Word(screw.to_string()),
                Value::Word(does.goes.words().to_owned()),
                Value::Word(does.words.clone()),
            ],
            mark: if does.goes == Goes::Refuses { Mark::Bad } else { Mark::Plain },
        };
        Table {
            key: "swapped",
            title: "If one is used for the other".to_owned(),
            columns: columns(&[
                ("nut", "A nut of"),
                ("screw", "on a screw of"),
                ("goes", "It"),
                ("how", "How"),
            ]),
            rows: vec![
                row(&self.b, &self.a, &self.nut_of_b_on_a),
                row(&self.a, &self.b, &self.nut_of_a_on_b),
            ],
            source: Some(Source::derived(
                "profiles of both at basic sizes, one pitch; joints by ISO 7-1 and ASME B1.20.1",
            )),
        }
    }

    /// Basic sizes that both have, with the difference.
    fn sizes(&self) -> Table {
        let (a, b) = (look_up(&self.a).basic_sizes(), look_up(&self.b).basic_sizes());
        let rows = a.into_iter().filter_map(|of_a| {
            let of_b = b.iter().find(|f| f.key == of_a.key)?;
            let more = match (&of_a.value, &of_b.value) {
                (Value::Length(x, fine), Value::Length(y, _)) => Value::Length(*y - *x, *fine),
                (Value::Angle(x, p), Value::Angle(y, q)) => Value::Angle(*y - *x, *p.max(q)),
                _ => Value::None,
            };
            let name = format!("{} {}", of_a.what, of_a.symbol);
            Some(Row {
                cells: vec![Value::Word(name.trim().to_owned()), of_a.value, of_b.value.clone(), more],
                mark: Mark::Plain,
            })
        });
        Table {
            key: "sizes",
            title: "Basic sizes".to_owned(),
            columns: columns(&[
                ("what", "Size"),
                ("a", &self.a.to_string()),
                ("b", &self.b.to_string()),
                ("more", "Second less first"),
            ]),
            rows: rows.collect(),
            source: None,
        }
    }
}

/// Standard deviations below which a measurement tells nothing much.
const TELLS: f64 = 0.5;

/// A reading as it is shown.
fn value(q: Quantity) -> Value {
    match q {
        Quantity::Length(length, _) => Value::Length(length, Fine::Gauge),
        Quantity::Angle(angle) => Value::Angle(angle, 1),
    }
}

fn less(a: Quantity, b: Quantity) -> bool {
    match (a, b) {
        (Quantity::Length(a, _), Quantity::Length(b, _)) => a < b,
        (Quantity::Angle(a), Quantity::Angle(b)) => a < b,
        _ => false,
    }
}

/// Half way between two readings of one kind.
fn middle(a: Quantity, b: Quantity) -> Quantity {
    match (a, b) {
        (Quantity::Length(a, unit), Quantity::Length(b, _)) => Quantity::Length((a + b) * 0.5, unit),
        (Quantity::Angle(a), Quantity::Angle(b)) => Quantity::Angle((a + b) * 0.5),
        (a, _) => a,
    }
}

/// `2`, `35`, `1000`: of how many one is taken for the other.
fn in_how_many(mistaken: f64) -> String {
    match 1.0 / mistaken.max(1e-12) {
        n if n > 1e6 => "over a million".to_owned(),
        n if n > 100.0 => format!("{:.0}", (n / 10.0).round() * 10.0),
        n => format!("{n:.0}"),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Terms, beside};
    use crate::report::show;
    use flankwise_thread::Unit;

    fn said(a: &str, b: &str) -> String {
        let thread = |t: &str| t.parse().unwrap_or_else(|e| panic!("{t}: {e}"));
        show::text(&beside(&thread(a), &thread(b), &Terms::default()).answer(), Unit::Mm)
    }

    /// Twelve pitches make 60.00 mm or 60.96 mm: half way is 60.48 mm (plain arithmetic).
    #[test]
    fn the_best_measurement_says_where_it_decides() {
        let said = said("Tr 22x5", "7/8-5 Acme");
        assert!(
            said.contains("12 pitches with the calliper, under 60.480 mm Tr 22x5, over it 7/8-5 ACME"),
            "{said}"
        );
    }

    #[test]
    fn what_cannot_be_told_apart_has_no_best_measurement() {
        let said = said("1/2-13 UNC", "1/2-13 NC");
        assert!(said.contains("not told apart") && said.contains("one part in 2 "), "{said}");
        assert!(said.contains("No single measurement"), "{said}");
    }

    /// 14.5° less 15°, 30° less 27.5° (ASME B1.5, ISO 2901; BS 84, ISO 68-1): half degrees are kept.
    #[test]
    fn half_degrees_are_kept_in_a_difference() {
        let more = |a: &str, b: &str| {
            let thread = |t: &str| t.parse().unwrap_or_else(|e| panic!("{t}: {e}"));
            let sizes = beside(&thread(a), &thread(b), &Terms::default()).sizes();
            let flank =
                sizes.rows.iter().find(|r| show::value(&r.cells[0], Unit::Mm).starts_with("leading flank"));
            show::value(&flank.expect("a flank").cells[3], Unit::Mm)
        };
        assert_eq!(more("Tr 22x5", "7/8-5 Acme"), "-0.5°");
        assert_eq!(more("1/2-12 BSW", "M12"), "2.5°");
    }

    /// What tells nothing is not marked as telling most.
    #[test]
    fn nothing_is_marked_where_nothing_tells() {
        let marks = |a: &str, b: &str| {
            let thread = |t: &str| t.parse().unwrap_or_else(|e| panic!("{t}: {e}"));
            let table = beside(&thread(a), &thread(b), &Terms::default()).readings();
            table.rows.iter().filter(|r| r.mark == crate::report::Mark::Best).count()
        };
        assert_eq!((marks("1/2-13 UNC", "1/2-13 NC"), marks("Tr 22x5", "7/8-5 Acme")), (0, 1));
    }

    #[test]
    fn what_eyes_tell_best_is_said_so() {
        let said = said("Tr 22x5", "Tr 22x5 LH");
        assert!(said.contains("hand, by eye; Tr 22x5: right-hand, Tr 22x5 LH: left-hand"), "{said}");
    }
}
