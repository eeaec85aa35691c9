//! Keyways in the body: sizes by the standard of the key (`data/keys.csv`), and how much wall they leave.

use super::holes::Sector;
use super::outline::{self, SAME, Stretch, What};
use super::{Aside, Fit};
use crate::iso286::Class;
use crate::job::{Job, KeyStandard, Keyway, Words};
use crate::report::{Fine, Mark, Note, Row, Table, Text, Value, columns};
use flankwise_thread::table;
use flankwise_thread::{Angle, Element, Length, Source, Unit};
use std::sync::LazyLock;

/// A listed key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Key {
    /// Width.
    pub width: Length,
    /// Depth of its way in the shaft, as the standard measures it.
    shaft_depth: Length,
    /// Origin.
    pub source: Source,
}

struct Listed {
    standard: KeyStandard,
    over: Length,
    incl: Length,
    key: Key,
}

static KEYS: LazyLock<Vec<Listed>> = LazyLock::new(|| {
    table::Table::read("keys.csv", include_str!("../../data/keys.csv"))
        .rows()
        .map(|row| {
            let unit = Unit::from_word(row.text("unit")).unwrap_or(Unit::Mm);
            let length = |column| Length::from_unit(row.required(column), unit);
            let standard = KeyStandard::from_word(row.text("standard"));
            Listed {
                standard: standard.unwrap_or_else(|| panic!("keys.csv: {}", row.text("standard"))),
                over: length("over"),
                incl: length("incl"),
                key: Key {
                    width: length("width"),
                    shaft_depth: length("shaft_depth"),
                    source: row.source("source"),
                },
            }
        })
        .collect()
});

/// The key that `standard` gives a shaft of this diameter; none outside its table.
pub fn key(standard: KeyStandard, diameter: Length) -> Option<Key> {
    let fits = |k: &&Listed| k.standard == standard && diameter > k.over && diameter <= k.incl;
    KEYS.iter().find(fits).map(|k| k.key)
}

impl Key {
    /// Depth of the way in a shaft of this diameter, at the middle of its width: of ASME's, which is measured at the
    /// side, with the height of the arc over the width, (d - √(d² - w²)) / 2.
    pub fn depth(&self, standard: KeyStandard, diameter: Length) -> Length {
        match standard {
            KeyStandard::Din6885 => self.shaft_depth,
            KeyStandard::AsmeB171 => self.shaft_depth + arc(diameter, self.width),
        }
    }
}

fn arc(diameter: Length, width: Length) -> Length {
    let (d, w) = (diameter.to_mm(), width.to_mm());
    Length::mm((d - (d * d - w * w).max(0.0).sqrt()) / 2.0)
}

/// A keyway with its sizes settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// Width.
    pub width: Length,
    /// Depth at the middle of its width.
    pub depth: Length,
    /// From the front face to its beginning.
    pub from: Length,
    /// Length.
    pub length: Length,
    /// Place round the part, seen from the front face, clockwise from the top.
    pub angle: Angle,
    /// Diameter of the part where it is cut.
    pub across: Length,
    /// Standard of its key.
    pub standard: KeyStandard,
    /// Origin of width and depth.
    pub source: Source,
}

/// What ASME B17.1 lets a keyseat for bar stock be wider than its key (class 1): up to this width, so much.
const CLASS_1: [(Length, Length); 3] = [
    (Length::inch(0.5), Length::thou(2.0)),
    (Length::inch(1.0), Length::thou(3.0)),
    (Length::inch(3.5), Length::thou(4.0)),
];

impl Way {
    /// Least and largest width by the standard of its key, the key's own width being the basic one; none beyond it.
    fn width_limits(&self) -> Option<(Length, Length)> {
        match self.standard {
            KeyStandard::Din6885 => {
                let limits = Class::read("N9").ok()?.limits(self.width).ok()?;
                Some((self.width + limits.lower, self.width + limits.upper))
            }
            KeyStandard::AsmeB171 => {
                let wider = CLASS_1.iter().find(|(up_to, _)| self.width <= *up_to)?.1;
                Some((self.width, self.width + wider))
            }
        }
    }

    /// The class of that.
    const fn class(&self) -> &'static str {
        match self.standard {
            KeyStandard::Din6885 => "N9",
            KeyStandard::AsmeB171 => "ASME B17.1 class 1 (from memory)",
        }
    }
}

/// A keyway in a body of this diameter, at its beginning and length; what is not given is the standard's.
fn settle(
    keyway: &Keyway,
    diameter: Length,
    (from, length): (Length, Length),
    unit: Unit,
) -> Result<Way, String> {
    let of_unit = if unit == Unit::Inch { KeyStandard::AsmeB171 } else { KeyStandard::Din6885 };
    let standard = keyway.standard.unwrap_or(of_unit);
    let (width, depth, source) = match (keyway.width, keyway.depth) {
        (Some(width), Some(depth)) => (width, depth, Source::choice("as read on the old part")),
        (width, depth) => {
            let key = key(standard, diameter).ok_or_else(|| {
                format!("width and depth: {} lists no key for this diameter", standard.word())
            })?;
            let listed = key.depth(standard, diameter);
            (width.unwrap_or(key.width), depth.unwrap_or(listed), key.source)
        }
    };
    Ok(Way { width, depth, from, length, angle: keyway.angle, across: diameter, standard, source })
}

/// Settles the keyways, each by the diameter that it is cut in, and says what is wrong with them. One that has no place
/// is left out.
pub(super) fn plan(fit: &mut Fit, job: &Job, outside: &[Stretch], aside: &mut Aside) {
    let Some(whole) = outside.last().map(|s| s.to) else { return };
    // Where no beginning is given: a nut's body, behind a flange at the front; a screw's end.
    let body = outside.iter().find(|s| s.what == What::Body).filter(|_| fit.part == Element::Internal);
    let first = body.map_or(Length::ZERO, |s| s.from);
    for (i, keyway) in job.make.body.keyways.iter().enumerate() {
        let field = |name: &str| format!("make.keyway[{}].{name}", i + 1);
        let from = keyway.from_end.unwrap_or(first);
        let to = keyway.length.map_or(whole, |l| from + l);
        if from + SAME > whole || to > whole + SAME {
            let text = Text::from("A keyway ")
                .v(Value::Band(from, to, Fine::Shop))
                .s(" from the front face runs out of a part ")
                .len(whole)
                .s(" long.");
            aside.note(Note::impossible(text).field(field(if to > whole { "length" } else { "from_end" })));
            continue;
        }
        // What it is cut in where it begins; it ends where a smaller diameter begins.
        let Some(across) = outline::diameter_at(outside, from + SAME * 2.0) else { continue };
        let ends = outside.iter().find(|s| s.from > from && s.diameter != across).map_or(whole, |s| s.from);
        let length = keyway.length.unwrap_or(ends - from);
        let way = match settle(keyway, across, (from, length), job.unit) {
            Ok(way) => way,
            Err(accepted) => {
                let text = format!("This keyway cannot be sized: expected {accepted}.");
                aside.note(Note::warning(text).field(field("width")));
                continue;
            }
        };
        if let Some((name, text)) = does_not_go_in(fit, &way) {
            aside.note(Note::impossible(text).field(field(name)));
        }
        let here = Sector::new(way.angle, way.width / 2.0, across);
        let twin = fit.keyways.iter().any(|w| {
            let along = way.from < w.from + w.length && w.from < way.from + way.length;
            along && here.meets(&Sector::new(w.angle, w.width / 2.0, across))
        });
        if twin {
            let text = "This keyway stands in another one: give one of them another place round the part or along it.";
            aside.note(Note::warning(text).field(field("angle")));
        }
        fit.keyways.push(way);
    }
}

/// The keyways as a table; none where there are none.
pub(super) fn table(fit: &Fit) -> Option<Table> {
    let row = |way: &Way| Row {
        cells: vec![
            Value::Length(way.width, Fine::Gauge),
            way.width_limits().map_or(Value::None, |(least, most)| Value::Band(least, most, Fine::Gauge)),
            Value::Word(way.class().to_owned()),
            Value::Length(way.depth, Fine::Gauge),
            Value::Length(way.across - way.depth, Fine::Gauge),
            Value::Band(way.from, way.from + way.length, Fine::Coarse),
            Value::Angle(way.angle, 0),
            Value::Word(way.source.to_string()),
        ],
        mark: Mark::Plain,
    };
    (!fit.keyways.is_empty()).then(|| Table {
        key: "keyways",
        title: "Keyways".into(),
        columns: columns(&[
            ("width", "width"),
            ("width_limits", "width, permitted"),
            ("class", "by"),
            ("depth", "depth"),
            ("across", "bottom to far side"),
            ("along", "from the front face"),
            ("angle", "round"),
            ("source", "from"),
        ]),
        rows: fit.keyways.iter().map(row).collect(),
        source: None,
    })
}

/// The field that is wrong with a keyway that cannot be cut, and why.
fn does_not_go_in(fit: &Fit, way: &Way) -> Option<(&'static str, Text)> {
    let outside = way.across;
    if way.width >= outside {
        let text = Text::from("A keyway ").len(way.width).s(" wide does not go into a body of ");
        return Some(("width", text.len(outside).s(".")));
    }
    let (wall, through) = match fit.part {
        Element::Internal => (
            (outside - fit.bottom.max) / 2.0,
            " that the wall is thick and opens into the thread. A shallower key, a larger housing, or a pin in the flange would make it possible.",
        ),
        Element::External => (outside / 2.0, " to the axis. A shallower key would make it possible."),
    };
    (way.depth >= wall).then(|| {
        let text = Text::from("A keyway ").len(way.depth).s(" deep goes through the ").len(wall).s(through);
        ("depth", text)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_diameter_has_one_key() {
        for pair in KEYS.windows(2).filter(|p| p[0].standard == p[1].standard) {
            assert_eq!(pair[0].incl, pair[1].over);
            assert!(pair[1].key.width > pair[0].key.width);
        }
        for k in KEYS.iter() {
            // The deepest way takes less than a quarter of the largest shaft it is for.
            assert!(k.key.depth(k.standard, k.over.max(k.incl * 0.5)) < k.incl * 0.25, "{:?}", k.key);
        }
        assert_eq!(key(KeyStandard::Din6885, Length::mm(5.0)), None);
    }

    /// A 1/4 in keyseat of class 1 is 0.250 to 0.252 in wide, one of 5/8 in 0.625 to 0.628 (ASME B17.1, from memory); a
    /// 10 mm one of N9 9.964 to 10.000 (ISO 286-2: EI = -36, ES = 0).
    #[test]
    fn a_keyway_is_as_wide_as_its_own_standard_lets_it() {
        let way = |width, standard| Way {
            width,
            depth: Length::mm(3.0),
            from: Length::ZERO,
            length: Length::mm(20.0),
            angle: Angle::ZERO,
            across: Length::mm(36.0),
            standard,
            source: Source::choice("test"),
        };
        for (width, least, most) in [(0.25, 0.250, 0.252), (0.625, 0.625, 0.628)] {
            let limits = way(Length::inch(width), KeyStandard::AsmeB171).width_limits().expect("listed");
            assert!((limits.0.to_inch() - least).abs() < 1e-9 && (limits.1.to_inch() - most).abs() < 1e-9);
        }
        let limits = way(Length::mm(10.0), KeyStandard::Din6885).width_limits().expect("listed");
        assert!((limits.0.to_mm() - 9.964).abs() < 1e-9 && (limits.1.to_mm() - 10.0).abs() < 1e-9);
    }

    /// Bottom of the way to the far side of a 1 in shaft with a 1/4 in square key: 0.859 in (Machinery's Handbook,
    /// depth control values for keyseats; from memory).
    #[test]
    fn depth_of_an_inch_keyway_counts_the_arc() {
        let shaft = Length::inch(1.0);
        let key = key(KeyStandard::AsmeB171, shaft).unwrap_or_else(|| panic!("no key for 1 in"));
        assert_eq!(key.width, Length::inch(0.25));
        let across = shaft - key.depth(KeyStandard::AsmeB171, shaft);
        assert!((across.to_inch() - 0.859).abs() < 0.0006, "{}", across.to_inch());
    }
}
