//! Fit as a section.

use super::figures::{band, by_book};
use super::{Fit, Making, mate, play, word};
use crate::report::{
    Block, Figure, Fine, Mark, Row, Section, StageName, Table, Text, Value, capital, columns,
};
use flankwise_thread::{Element, Length, Source};

/// Plays no further apart than this are said as one: nobody feels the difference. Chosen here.
const ONE_PLAY: Length = Length::mm(0.005);
const AIM: Source = Source::derived("limits of the standard and the mate's readings");

impl Fit {
    /// Says itself.
    pub fn section(&self) -> Section {
        let mut blocks = vec![Block::Figures("Sizes".into(), self.figures())];
        if !self.stations.is_empty() {
            blocks.push(Block::Table(self.travel()));
        }
        blocks.extend(self.book_table().map(Block::Table));
        blocks.extend(self.detail.iter().cloned());
        if !self.operations.is_empty() {
            blocks.push(Block::Steps("Order of work".into(), self.operations.clone()));
        }
        Section { stage: StageName::Fit, answer: self.answer(), blocks }
    }

    const fn names(&self) -> (&'static str, &'static str) {
        match self.part {
            Element::Internal => ("bore", "bottom of the thread"),
            Element::External => ("outside", "root"),
        }
    }

    /// What is made and what the maker has to know of it.
    fn answer(&self) -> Text {
        let mut text = self.told();
        if self.play_range().is_none() {
            return text;
        }
        if let Some((_, open)) = self.play_open().filter(|(_, open)| *open < Length::ZERO) {
            text = text
                .s(" The readings leave it open down to ")
                .v(Value::Length(open, Fine::Play))
                .s(" as it is cut: it may bind.");
        }
        if self.lead_not_counted {
            text = text.s(" No pitch was counted: the lead is taken as true.");
        }
        text
    }

    /// What is made: its sizes and its play, as whoever ordered it is told.
    pub fn told(&self) -> Text {
        if self.making == Making::Cast {
            return self.cast_answer();
        }
        let (blank, bottom) = self.names();
        let mut text = Text::from(format!("{} {}: {blank} ", capital(word(self.part)), self.thread))
            .v(Value::Length(self.blank.aim, Fine::Shop))
            .s(format!(", {bottom} "))
            .v(Value::Length(self.bottom.aim, Fine::Shop))
            .s(if self.upright() { ", groove " } else { ", pitch diameter " })
            .v(Value::Length(
                if self.upright() { self.groove.aim } else { self.pitch_diameter.aim },
                Fine::Shop,
            ))
            .s(if self.upright() { " wide" } else { "" })
            .s(match self.making {
                Making::Bought => ", each in the middle of the standard's limits.",
                _ if self.pressed.is_some() => ", all before it is pressed in.",
                _ => ".",
            });
        if let Some((least, most)) = self.play_range() {
            text = text
                .s(if self.pressed.is_some() { " Once pressed in, axial" } else { " Axial" })
                .s(" play of the whole ")
                .s(word(self.part))
                .s(if self.making == Making::Cut && self.travelled.is_some_and(|t| t.is_set()) {
                    ", once it is set,"
                } else {
                    ""
                });
            text = if most - least < ONE_PLAY {
                text.s(" ").v(Value::Length(most, Fine::Play)).s(" all along the travel")
            } else {
                text.s(" from ")
                    .v(Value::Length(least, Fine::Play))
                    .s(" where it is tightest to ")
                    .v(Value::Length(most, Fine::Play))
                    .s(" where it is loosest")
            };
            // Made to the book, it is that already.
            if let Some((least, most)) = self.play_range_by_book().filter(|_| self.making == Making::Cut) {
                text = text.s("; by the book it would be ").v(Value::Band(least, most, Fine::Play));
            }
            text = text.s(".");
        } else if let Some((least, most)) = self.expected {
            text = text.s(format!(
                " Both are made new: these are the {}'s sizes by the book; axial play of the pair",
                word(self.part)
            ));
            // Only a nut that is set has one play over all limits.
            text = if least == most {
                text.s(", once the nut is set, ").v(Value::Length(most, Fine::Play))
            } else {
                text.s(" ").v(Value::Band(least, most, Fine::Play))
            };
            text = text.s(".");
        } else {
            text = text.s(" The sizes are the book's: the mate's flanks were not measured.");
        }
        text
    }

    /// What a nut that takes its sizes from the screw is.
    fn cast_answer(&self) -> Text {
        let text =
            Text::from(format!("Nut {}, cast round the screw: it takes its sizes from it.", self.thread));
        match self.play_range() {
            Some((least, most)) => text.s(" Axial play ").v(Value::Band(least, most, Fine::Play)).s("."),
            None => text,
        }
    }

    fn figures(&self) -> Vec<Figure> {
        let book = self.book_of_part();
        let (blank, bottom) = self.names();
        let (minor, major) = (book.map_or(AIM, |b| b.minor.source), book.map_or(AIM, |b| b.major.source));
        let (blank_source, bottom_source, blank_symbol, bottom_symbol, pitch_symbol) = match self.part {
            Element::Internal => (minor, major, "D1", "D4", "D2"),
            Element::External => (major, minor, "d", "d3", "d2"),
        };
        let pitch_source =
            if self.stations.is_empty() { book.map_or(AIM, |b| b.pitch.source) } else { play::SOURCE };
        let length = |key, what: &str, value: Length, source| {
            Figure::new(key, what, Value::Length(value, Fine::Shop), source)
        };
        let mut figures = vec![
            length(
                "blank",
                &format!("{blank} to finish before threading, aim"),
                self.blank.aim,
                blank_source,
            )
            .symbol(blank_symbol),
            Figure::new(
                "blank_range",
                format!("{blank}, permitted"),
                band(self.blank, Fine::Gauge),
                blank_source,
            ),
            length("bottom", &format!("{bottom}, aim"), self.bottom.aim, bottom_source).symbol(bottom_symbol),
            Figure::new(
                "bottom_range",
                format!("{bottom}, permitted"),
                band(self.bottom, Fine::Gauge),
                bottom_source,
            ),
        ];
        let (key, key_range, what, size, symbol) = if self.upright() {
            ("groove_width", "groove_width_range", "width of the groove", self.groove, "")
        } else {
            ("pitch_diameter", "pitch_diameter_range", "pitch diameter", self.pitch_diameter, pitch_symbol)
        };
        let mut pitch =
            Figure::new(key, format!("{what}, aim"), Value::Length(size.aim, Fine::Gauge), pitch_source)
                .symbol(symbol);
        if let Some(thickest) = self.thickest() {
            pitch = pitch.u(Value::Length(thickest.u, Fine::Gauge)).formula(match self.part {
                _ if self.upright() => "thickest ridge + play",
                Element::Internal => "largest d2 + play · 2 / (tan α + tan α')",
                Element::External => "smallest D2 - play · 2 / (tan α + tan α')",
            });
        }
        figures.extend([
            pitch,
            Figure::new(key_range, format!("{what}, permitted"), band(size, Fine::Gauge), pitch_source),
            length("depth", "depth of cut, radial", self.depth, Source::derived("bottom less blank, halved"))
                .formula("(bottom - blank) / 2"),
            length(
                "groove_bottom_width",
                "width of the groove at its bottom: the widest tip",
                self.groove_bottom_width,
                play::SOURCE,
            )
            .formula("P/2 - |bottom - pitch diameter| (tan α + tan α') / 2"),
            length(
                "groove_top_width",
                "width of the groove at the blank's surface",
                self.groove_top_width,
                play::SOURCE,
            ),
            length(
                "engagement",
                "overlap of part and mate, radial",
                self.engagement,
                Source::derived("crest of the screw less bore of the nut, halved"),
            )
            .symbol("H1"),
            length(
                "thread_length",
                "length of thread",
                self.length,
                Source::choice("asked for in the job, or assumed as the remark says"),
            ),
        ]);
        if let Some(across) = self.relief_diameter {
            figures.push(
                length("relief_diameter", "relief groove, across", across, super::RELIEF_SOURCE).formula(
                    match self.part {
                        Element::Internal => "largest bottom + min(0.5 mm, P/2)",
                        Element::External => "smallest bottom - min(0.5 mm, P/2)",
                    },
                ),
            );
        }
        figures
    }

    fn travel(&self) -> Table {
        let more = self.travelled.and_then(|t| t.by_book);
        let rows = self
            .stations
            .iter()
            .map(|s| Row {
                cells: vec![
                    Value::Length(s.place, Fine::Coarse),
                    Value::Length(s.mate_pitch_diameter, Fine::Gauge),
                    Value::Length(s.u, Fine::Gauge),
                    Value::Length(s.thickness, Fine::Shop),
                    Value::Length(s.play, Fine::Play),
                    Value::Length(s.u_play, Fine::Gauge),
                    by_book(s.play, more),
                ],
                mark: if s.play < Length::ZERO { Mark::Bad } else { Mark::Plain },
            })
            .collect();
        Table {
            key: "travel",
            title: format!(
                "The {} along its length, and the play of the whole {} about that place, as it is cut",
                word(super::other(self.part)),
                word(self.part)
            ),
            columns: columns(&[
                ("place", "place"),
                ("mate_pitch_diameter", "pitch diameter"),
                ("u", "uncertainty"),
                ("thickness", "thread thickness"),
                ("play", "play"),
                ("u_play", "uncertainty of play"),
                ("play_by_book", "play by the book"),
            ]),
            rows,
            source: Some(mate::SOURCE),
        }
    }

    fn book_table(&self) -> Option<Table> {
        let book = self.book.as_ref()?;
        let open = |l: Option<Length>| l.map_or(Value::None, |l| Value::Length(l, Fine::Gauge));
        let mut rows = Vec::new();
        for limits in [&book.external, &book.internal].into_iter().flatten() {
            let what = word(limits.element);
            for (name, range) in [("major", limits.major), ("pitch", limits.pitch), ("minor", limits.minor)] {
                rows.push(Row {
                    cells: vec![
                        Value::Word(format!("{what}, {name} diameter")),
                        Value::Word(limits.class.clone()),
                        open(range.min),
                        open(range.max),
                        Value::Word(range.source.to_string()),
                    ],
                    mark: Mark::Plain,
                });
            }
        }
        Some(Table {
            key: "book",
            title: "Limits by the standard".into(),
            columns: columns(&[
                ("diameter", "diameter"),
                ("class", "class"),
                ("min", "smallest"),
                ("max", "largest"),
                ("source", "from"),
            ]),
            rows,
            source: None,
        })
    }
}
