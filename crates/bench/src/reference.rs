//! A thread by its designation: basic sizes, limits, further figures and neighbours, for whoever wants to look one
//! up without a job.

use crate::report::show::places_of_angle;
use crate::report::{Block, Column, Figure, Fine, Mark, Note, Row, Table, Text, Value, capital, columns};
use flankwise_thread::catalogue::{Near, Wanted};
use flankwise_thread::family::{CatalogueRow, Ridge, SeriesRow};
use flankwise_thread::limits::{self, ElementLimits, Extra, LimitsError, Range};
use flankwise_thread::quantity::{ParseError, parse_length, parse_pitch};
use flankwise_thread::source::Standing;
use flankwise_thread::{Element, Family, Hand, Length, Limits, Source, Thread, Unit, catalogue};

/// How many neighbours are named: of the thread's own family, and of all others.
const OWN_NEIGHBOURS: usize = 4;
const OTHER_NEIGHBOURS: usize = 8;

/// What is known of a thread.
#[derive(Clone, Debug, PartialEq)]
pub struct Reference {
    /// The thread, with the classes that its designation names.
    pub thread: Thread,
    /// Its limits; an error where a class is none of the family's, or has no figures.
    pub limits: Result<Limits, LimitsError>,
    /// The row of its series; `None` off the series.
    pub listed: Option<SeriesRow>,
    /// The same size in the other editions and forms that are held, the default's first.
    pub variants: Vec<Thread>,
    /// Listed sizes that it could be taken for: the nearest of its own family, then of the others.
    pub neighbours: Vec<CatalogueRow>,
}

/// Looks a thread up.
pub fn look_up(thread: &Thread) -> Reference {
    let form = thread.family.form();
    let same = |variant| Thread { variant, ..thread.clone() };
    let variants = std::iter::once(None)
        .chain(form.variants().iter().map(|v| Some(v.name)))
        .filter(|variant| *variant != thread.variant)
        .map(same)
        .collect();
    let wanted =
        Wanted { diameter: Some(thread.nominal), pitch: Some(thread.pitch.length), ..Wanted::default() };
    let own = thread.family.nearest_listed(thread.nominal, thread.pitch.length, OWN_NEIGHBOURS);
    let own = own.into_iter().map(|row| CatalogueRow { family: thread.family, row: *row });
    // Enough of the nearest that the own family's are not all of them.
    let others = wanted.nearest(4 * OTHER_NEIGHBOURS).into_iter().map(|near| near.listed);
    let others = others.filter(|c| c.family != thread.family).take(OTHER_NEIGHBOURS);
    Reference {
        thread: thread.clone(),
        limits: limits::limits(thread),
        listed: thread.family.listed(thread.nominal, thread.pitch.length).copied(),
        variants,
        neighbours: own.chain(others).collect(),
    }
}

/// What stands for a class where a family has none.
fn class_of(limits: &ElementLimits) -> String {
    if limits.class == "basic" { "basic sizes".to_owned() } else { format!("class {}", limits.class) }
}

/// What the eye sees of the ridge, in words.
const fn ridge(ridge: Ridge) -> &'static str {
    match ridge {
        Ridge::FlatTopped => "broad flat crests",
        Ridge::Sharp => "V with narrow flats",
        Ridge::RoundedV => "V with rounded crests",
        Ridge::Square => "square",
        Ridge::Sawtooth => "sawtooth: one steep flank, one sloping",
        Ridge::Round => "round",
    }
}

const fn element_words(element: Option<Element>) -> &'static str {
    match element {
        Some(Element::External) => "screw",
        Some(Element::Internal) => "nut",
        None => "pair",
    }
}

impl Reference {
    /// What the thread is, in a sentence or two.
    pub fn answer(&self) -> Text {
        let thread = &self.thread;
        let form = thread.family.form();
        let mut text = Text::from(format!("{thread}: {}, ", form.name()))
            .v(Value::Angle(thread.included_angle(), places_of_angle(thread.included_angle())))
            .s(" included, nominal ")
            .v(Value::Length(thread.nominal, Fine::Gauge))
            .s(", pitch ")
            .v(Value::Pitch(thread.pitch));
        if thread.starts > 1 {
            text = text
                .s(format!(", {} starts, lead ", thread.starts))
                .v(Value::Length(thread.lead(), Fine::Gauge));
        }
        let hand = match thread.hand {
            Hand::Right => "right-hand",
            Hand::Left => "left-hand",
        };
        text = text.s(format!(", {hand}. "));
        match &self.listed {
            Some(row) => {
                let series = row.series;
                let choice = match row.choice {
                    0 => String::new(),
                    1 => ", first choice".to_owned(),
                    2 => ", second choice".to_owned(),
                    3 => ", third choice".to_owned(),
                    n => format!(", choice {n}"),
                };
                text.s(format!("Listed: {series} series{choice}."))
            }
            None => text.s("In no series held here."),
        }
    }

    /// Everything else, the most wanted first.
    pub fn blocks(&self) -> Vec<Block> {
        let mut blocks = Vec::new();
        blocks.extend(self.elements().map(|limits| Block::Table(limits_table(limits))));
        let warnings: Vec<_> = match &self.limits {
            Ok(limits) => limits.warnings.iter().map(|w| Note::warning(w.as_str())).collect(),
            Err(refused) => vec![Note::impossible(refused.to_string())],
        };
        if !warnings.is_empty() {
            blocks.push(Block::Notes(warnings));
        }
        if let Some(note) = self.recalled() {
            blocks.push(Block::Notes(vec![note]));
        }
        blocks.push(Block::Figures("Basic sizes".to_owned(), self.basic_sizes()));
        match &self.limits {
            Ok(limits) if !limits.extras.is_empty() => blocks.push(Block::Table(extras(&limits.extras))),
            _ => {}
        }
        blocks.push(Block::Text(self.edition()));
        if !self.neighbours.is_empty() {
            blocks.push(Block::Table(self.neighbours()));
        }
        blocks
    }

    /// The limits of screw and nut, as far as there are any.
    fn elements(&self) -> impl Iterator<Item = &ElementLimits> {
        self.limits.iter().flat_map(|limits| [&limits.external, &limits.internal]).flatten()
    }

    /// The edition in force, and the others that are held.
    fn edition(&self) -> Text {
        let form = self.thread.family.form();
        let own = form.variants().iter().find(|v| Some(v.name) == self.thread.variant);
        // The families say how a variant differs with or without the stop.
        let sentence = |words: &str| format!("{}.", words.trim_end_matches('.'));
        let mut text = match own {
            Some(variant) => format!("By {}. {}", variant.document, capital(&sentence(variant.differs))),
            None => format!("By {}.", form.standard()),
        };
        if own.is_some() {
            text.push_str(&format!(" The default is {}.", form.standard()));
        }
        for other in form.variants().iter().filter(|v| Some(v.name) != self.thread.variant) {
            let differs = sentence(other.differs);
            text.push_str(&format!(" Also held: [{}] ({}): {differs}", other.name, other.document));
        }
        if let Some(taper) = form.taper() {
            text.push_str(&format!(
                " Tapered 1 in {:.0} on diameter; the sizes are those {}.",
                1.0 / taper.per_length,
                taper.plane
            ));
        }
        text.push_str(&format!(" To the eye: {}.", ridge(form.ridge())));
        text.into()
    }

    /// A note where limits are recalled and not proved by a document at hand.
    fn recalled(&self) -> Option<Note> {
        let by_memory =
            |r: &Range| (r.max.is_some() || r.min.is_some()) && r.source.standing == Standing::Memory;
        let any = self.elements().any(|l| [&l.major, &l.pitch, &l.minor].into_iter().any(by_memory));
        any.then(|| {
            Note::warning(
                "Limits marked as from memory follow tables or formulas recalled without the document at hand. Look \
                 them up before a part is scrapped or passed by them.",
            )
        })
    }

    /// Basic sizes, fillets and angles.
    pub fn basic_sizes(&self) -> Vec<Figure> {
        let basic = self.thread.basic();
        let source = self.thread.family.form().standard();
        let length = |key, symbol, what: &str, value| {
            Figure::new(key, what, Value::Length(value, Fine::Gauge), source).symbol(symbol)
        };
        let mut figures = vec![
            length("d", "d", "nominal diameter", basic.d),
            length("d2", "d2", "pitch diameter, screw and nut", basic.d2),
            length("d3", "d3", "minor diameter of the screw", basic.d3),
            length("D4", "D4", "major diameter of the nut", basic.d4_internal),
            length("D1", "D1", "minor diameter of the nut", basic.d1_internal),
            length("H1", "H1", "depth of engagement", (basic.d - basic.d1_internal) * 0.5),
            length("crest_flat", "", "flat at the screw's crest", basic.crest_width),
            length("root_radius", "", "radius at the screw's root", basic.root_radius),
            length("root_radius_nut", "", "radius at the nut's root", basic.root_radius_internal),
        ];
        // A crest that is round has no flat, a root that is flat no radius.
        figures.retain(|f| !matches!(f.value, Value::Length(l, _) if l.abs() < Length::um(0.01)));
        let lead = self.thread.lead_angle(basic.d2);
        figures.push(
            Figure::new(
                "lead_angle",
                "lead angle at the pitch diameter",
                Value::Angle(lead, 2),
                Source::formula("ISO 5408:2009", "4.10"),
            )
            .symbol("φ")
            .formula("tan φ = Ph / (π d2)"),
        );
        for (key, what, angle) in [
            ("flank_leading", "leading flank, to the plane square to the axis", basic.flank_leading),
            ("flank_trailing", "following flank, to the plane square to the axis", basic.flank_trailing),
        ] {
            figures.push(Figure::new(key, what, Value::Angle(angle, places_of_angle(angle)), source));
        }
        figures
    }

    fn neighbours(&self) -> Table {
        Table {
            key: "neighbours",
            title: "Nearest listed sizes".to_owned(),
            columns: columns(&[
                ("thread", "thread"),
                ("family", "family"),
                ("diameter_off", "diameter, difference"),
                ("pitch_off", "pitch, difference"),
                ("off_in_ten", "over ten pitches"),
            ]),
            rows: self
                .neighbours
                .iter()
                .map(|c| {
                    let off = c.row.pitch.length - self.thread.pitch.length;
                    Row {
                        cells: vec![
                            Value::Word(c.thread().to_string()),
                            Value::Word(c.family.form().name().to_owned()),
                            Value::Length(c.row.nominal - self.thread.nominal, Fine::Gauge),
                            Value::Length(off, Fine::Gauge),
                            Value::Length(off * 10.0, Fine::Shop),
                        ],
                        mark: Mark::Plain,
                    }
                })
                .collect(),
            source: None,
        }
    }
}

/// Figures beside the diameters.
fn extras(extras: &[Extra]) -> Table {
    let side = |l: Option<Length>| l.map_or(Value::None, |l| Value::Length(l, Fine::Gauge));
    Table {
        key: "extras",
        title: "Beside the diameters".to_owned(),
        columns: columns(&[
            ("of", "of"),
            ("what", "what"),
            ("max", "max"),
            ("min", "min"),
            ("origin", "origin"),
        ]),
        rows: extras
            .iter()
            .map(|extra| Row {
                cells: vec![
                    Value::Word(element_words(extra.element).to_owned()),
                    Value::Word(extra.what.words().to_owned()),
                    side(extra.range.max),
                    side(extra.range.min),
                    Value::Word(extra.range.source.to_string()),
                ],
                mark: Mark::Plain,
            })
            .collect(),
        source: None,
    }
}

fn limits_table(limits: &ElementLimits) -> Table {
    let (title, key, symbols) = match limits.element {
        Element::External => ("Screw", "external", ["d", "d2", "d3"]),
        Element::Internal => ("Nut", "internal", ["D4", "D2", "D1"]),
    };
    let side =
        |l: Option<Length>| l.map_or(Value::Word("open".to_owned()), |l| Value::Length(l, Fine::Gauge));
    let rows = [("major", &limits.major), ("pitch", &limits.pitch), ("minor", &limits.minor)];
    Table {
        key,
        title: format!("{title}, {}", class_of(limits)),
        columns: vec![
            Column::new("diameter", "diameter"),
            Column { key: "symbol", head: String::new() },
            Column::new("max", "max"),
            Column::new("min", "min"),
            Column::new("origin", "origin"),
            Column::new("rounding", "rounded"),
        ],
        rows: rows
            .into_iter()
            .zip(symbols)
            .map(|((what, range), symbol)| Row {
                cells: vec![
                    Value::Word(what.to_owned()),
                    Value::Word(symbol.to_owned()),
                    side(range.max),
                    side(range.min),
                    Value::Word(range.source.to_string()),
                    Value::Word(range.rounding.words().to_owned()),
                ],
                mark: Mark::Plain,
            })
            .collect(),
        source: None,
    }
}

/// The families, each with its standard, its unit and how many sizes are listed.
pub fn families() -> Table {
    Table {
        key: "families",
        title: format!("{} families, {} listed sizes", Family::ALL.len(), catalogue().len()),
        columns: columns(&[
            ("family", "key"),
            ("name", "name"),
            ("angle", "angle"),
            ("sizes", "sizes"),
            ("classes", "classes"),
            ("standard", "standard"),
        ]),
        rows: Family::ALL
            .into_iter()
            .map(|family| {
                let form = family.form();
                let mut classes: Vec<_> = form.classes(Element::External).to_vec();
                classes.extend(
                    form.classes(Element::Internal)
                        .iter()
                        .filter(|c| !form.classes(Element::External).contains(c)),
                );
                Row {
                    cells: vec![
                        Value::Word(form.key().to_owned()),
                        Value::Word(form.name().to_owned()),
                        Value::Angle(form.included_angle(), places_of_angle(form.included_angle())),
                        Value::Count(form.series().len() as i64),
                        Value::Word(classes.join(" ")),
                        Value::Word(form.standard().to_string()),
                    ],
                    mark: Mark::Plain,
                }
            })
            .collect(),
        source: None,
    }
}

/// What a person asks of the catalogue, as typed; what is blank is left open.
#[derive(Clone, Copy, Debug, Default)]
pub struct Asked<'a> {
    /// Key or name of a family.
    pub family: &'a str,
    /// Nominal diameter.
    pub diameter: &'a str,
    /// How far the diameter may be off.
    pub within: &'a str,
    /// Pitch, as a length or as threads per inch.
    pub pitch: &'a str,
}

impl Asked<'_> {
    /// What is wanted; numbers without a unit are in `bare`.
    ///
    /// # Errors
    /// The field that could not be read, by its name here, and what was read and is accepted.
    pub fn wanted(&self, bare: Unit) -> Result<Wanted, (&'static str, String)> {
        type Read = Result<(Length, Unit), ParseError>;
        let above_zero = |field, text: &str, read: fn(&str, Unit) -> Read| {
            if text.trim().is_empty() {
                return Ok(None);
            }
            match read(text, bare) {
                Ok((length, _)) if length > Length::ZERO => Ok(Some(length)),
                Ok(_) => Err((field, format!("read `{text}`; accepted is a {field} above zero"))),
                Err(e) => Err((field, e.to_string())),
            }
        };
        let plain = Wanted::default();
        let family = match self.family.trim() {
            "" => None,
            text => Some(Family::from_key(text).ok_or_else(|| {
                let keys: Vec<_> = Family::ALL.iter().map(|f| f.form().key()).collect();
                ("family", format!("read `{text}`; accepted is one of {}", keys.join(", ")))
            })?),
        };
        Ok(Wanted {
            family,
            diameter: above_zero("diameter", self.diameter, parse_length)?,
            within: above_zero("within", self.within, parse_length)?.unwrap_or(plain.within),
            pitch: above_zero("pitch", self.pitch, parse_pitch)?,
            ..plain
        })
    }
}

/// What a search of the catalogue found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// What was wanted.
    pub wanted: Wanted,
    /// The sizes that match, or where none does the nearest.
    pub rows: Vec<Near>,
    /// Whether they match.
    pub matched: bool,
}

/// Searches the catalogue; where nothing matches, for at most `nearest` sizes near to it.
pub fn search(wanted: Wanted, nearest: usize) -> Found {
    let rows = wanted.matching();
    match rows.is_empty() {
        true => Found { rows: wanted.nearest(nearest), matched: false, wanted },
        false => Found { rows, matched: true, wanted },
    }
}

impl Found {
    /// The first `most` sizes, under how many there are or that none matches.
    pub fn table(&self, most: usize) -> Table {
        let title = match (self.matched, self.rows.len()) {
            (false, _) => "No listed size matches. The nearest:".to_owned(),
            (true, 1) => "1 listed size".to_owned(),
            (true, n) => format!("{n} listed sizes"),
        };
        sizes(title, &self.rows[..most.min(self.rows.len())])
    }

    /// What is said where there is not even a nearest; `None` where there are sizes to show.
    pub fn nothing(&self) -> Option<String> {
        self.rows.is_empty().then(|| no_list(&self.wanted))
    }
}

/// A family without a list, or nothing to be near to.
fn no_list(wanted: &Wanted) -> String {
    match wanted.family {
        Some(family) if family.form().series().is_empty() => format!(
            "No sizes of {} are listed: it is made to any size, such as `{}`.",
            family.form().name(),
            family.example()
        ),
        _ => "No listed size matches.".to_owned(),
    }
}

/// The listed sizes of a search.
pub fn sizes(title: String, found: &[Near]) -> Table {
    let off = |l: Option<Length>| l.map_or(Value::None, |l| Value::Length(l, Fine::Gauge));
    Table {
        key: "sizes",
        title,
        columns: columns(&[
            ("thread", "thread"),
            ("family", "family"),
            ("series", "series"),
            ("nominal", "diameter"),
            ("pitch", "pitch"),
            ("diameter_off", "diameter off"),
            ("pitch_off", "pitch off"),
        ]),
        rows: found
            .iter()
            .map(|near| Row {
                cells: vec![
                    Value::Word(near.listed.thread().to_string()),
                    Value::Word(near.listed.family.form().name().to_owned()),
                    Value::Word(near.listed.row.series.to_owned()),
                    Value::Length(near.listed.row.nominal, Fine::Gauge),
                    Value::Pitch(near.listed.row.pitch),
                    off(near.diameter_off),
                    off(near.pitch_off),
                ],
                mark: Mark::Plain,
            })
            .collect(),
        source: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{NoteKind, show};
    use flankwise_thread::Pitch;

    fn look(designation: &str) -> Reference {
        look_up(&designation.parse().expect("a designation"))
    }

    #[test]
    fn says_what_it_is_and_whether_it_is_listed() {
        let words = |designation| show::text(&look(designation).answer(), Unit::Mm);
        assert!(
            words("Tr 22x5 LH").contains("left-hand. Listed: preferred series"),
            "{}",
            words("Tr 22x5 LH")
        );
        assert!(words("Tr 22x5.5").contains("In no series held here"), "{}", words("Tr 22x5.5"));
        assert!(words("1-5 acme 2 start").contains("2 starts, lead 10.16"), "{}", words("1-5 acme 2 start"));
    }

    #[test]
    fn neighbours_are_of_the_own_family_first_and_leave_out_the_thread_itself() {
        let near = look("Tr 16x3").neighbours;
        let written: Vec<_> = near.iter().map(|c| c.thread().to_string()).collect();
        assert_eq!(written[..2], ["Tr 16x4", "Tr 16x2"]);
        assert_eq!(near.len(), OWN_NEIGHBOURS + OTHER_NEIGHBOURS);
        assert!(near[OWN_NEIGHBOURS..].iter().all(|c| c.family != Family::MetricTrapezoidal));
        assert!(look("Tr 22x5").neighbours.iter().all(|c| c.thread().to_string() != "Tr 22x5"));
    }

    #[test]
    fn a_class_without_figures_leaves_the_rest() {
        let reference = look("1-5 acme 5C");
        assert!(reference.limits.is_err());
        let blocks = reference.blocks();
        let impossible = |block: &Block| match block {
            Block::Notes(notes) => notes.iter().any(|n| n.kind == NoteKind::Impossible),
            _ => false,
        };
        assert!(blocks.iter().any(impossible), "{blocks:?}");
        assert!(blocks.iter().any(|block| matches!(block, Block::Figures(..))));
    }

    #[test]
    fn what_is_asked_of_the_catalogue_is_read() {
        let asked = Asked { family: "Acme", diameter: "7/8", pitch: "6 tpi", ..Asked::default() };
        let wanted = asked.wanted(Unit::Inch).expect("read");
        assert_eq!((wanted.family, wanted.diameter), (Some(Family::Acme), Some(Length::inch(0.875))));
        assert_eq!(wanted.within, Wanted::default().within);
        assert_eq!(Asked::default().wanted(Unit::Mm), Ok(Wanted::default()));
        for (asked, field, words) in [
            (Asked { family: "acmee", ..Asked::default() }, "family", "metric-trapezoidal"),
            (Asked { diameter: "22 mn", ..Asked::default() }, "diameter", "22 mn"),
            (Asked { within: "-1 mm", ..Asked::default() }, "within", "above zero"),
            (Asked { pitch: "0", ..Asked::default() }, "pitch", "above zero"),
        ] {
            let (at, said) = asked.wanted(Unit::Mm).expect_err(field);
            assert!(at == field && said.contains(words), "{at}: {said}");
        }
    }

    #[test]
    fn recalled_limits_are_said_to_be_so() {
        assert!(look("1/2 BSW").recalled().is_some());
    }

    #[test]
    fn every_family_has_a_reference() {
        for family in Family::ALL {
            let thread = match family.form().series().first() {
                Some(row) => Thread::new(family, row.nominal, row.nominal_written, row.pitch),
                None => Thread::new(family, Length::inch(2.0), Unit::Inch, Pitch::tpi(4.0)),
            };
            let reference = look_up(&thread);
            assert!(reference.limits.is_ok(), "{thread}: {:?}", reference.limits);
            assert_eq!(reference.listed.is_some(), !family.form().series().is_empty(), "{thread}");
            let unlisted = no_list(&Wanted { family: Some(family), ..Wanted::default() });
            assert_eq!(unlisted.contains("any size"), family.form().series().is_empty(), "{unlisted}");
            assert!(reference.blocks().len() >= 4, "{thread}");
        }
        assert_eq!(families().rows.len(), Family::ALL.len());
    }
}
