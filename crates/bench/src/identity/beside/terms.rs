//! What a comparison is made under, and how a person asks for one.

use crate::identity::rival::USUAL_PLAY;
use crate::job::{self, Condition, Instrument, Job, Words};
use crate::report::{Fine, Text, Value};
use flankwise_thread::{Length, Thread, Unit, quantity};

/// What the comparison is made under.
#[derive(Clone, Debug, PartialEq)]
pub struct Terms {
    /// Instruments at hand beside thread leaves; empty: a calliper.
    pub instruments: Vec<Instrument>,
    /// Wires at hand; empty: where wires are, the size that suits the first thread.
    pub wires: Vec<Length>,
    /// Condition of the part that is read.
    pub condition: Condition,
    /// Axial play that a nut of either has on a screw of its own.
    pub play: Length,
    /// Length of thread in engagement; none: one and a half diameters.
    pub length: Option<Length>,
    /// Unit to say lengths in.
    pub unit: Unit,
}

impl Default for Terms {
    /// Calliper and leaves, a used part, the usual play.
    fn default() -> Self {
        Self {
            instruments: Vec::new(),
            wires: Vec::new(),
            condition: Condition::default(),
            play: USUAL_PLAY,
            length: None,
            unit: Unit::Mm,
        }
    }
}

impl Terms {
    /// The instruments that a comparison has a reading for: pins are for nuts, and what an unnamed one reads nobody knows.
    pub fn readers() -> impl Iterator<Item = Instrument> {
        let all = Instrument::WORDS.iter().filter_map(|w| Instrument::from_word(w));
        all.filter(|i| !matches!(i, Instrument::Pins | Instrument::Indicator | Instrument::Other))
    }

    /// Those of a job: the instruments named and read with, the wires, the condition, and the play and length of what is
    /// to be made.
    pub fn of(job: &Job) -> Self {
        let used = |i: &Instrument| {
            job.gauges.instruments.contains(i) || job.readings.iter().any(|r| r.instrument == *i)
        };
        let instruments = Self::readers().filter(used).collect();
        let mut wires = job.gauges.wires.clone();
        for wire in job.readings.iter().filter_map(|r| r.wire) {
            if !wires.contains(&wire) {
                wires.push(wire);
            }
        }
        Self {
            instruments,
            wires,
            condition: job.observed.condition.unwrap_or_default(),
            play: job.make.play.unwrap_or(USUAL_PLAY),
            length: job.make.length,
            unit: job.unit,
        }
    }

    /// Whether this instrument is at hand.
    pub fn has(&self, instrument: Instrument) -> bool {
        self.instruments.contains(&instrument)
            || (self.instruments.is_empty() && instrument == Instrument::Calliper)
    }

    /// The terms in a sentence.
    pub fn said(&self) -> Text {
        let names: Vec<_> = Self::readers().filter(|i| self.has(*i)).map(Words::word).collect();
        let with = if names.is_empty() { String::new() } else { format!("{} and ", names.join(", ")) };
        let text = Text::new()
            .s(format!("Read with {with}thread leaves, by eye for hand, starts and form; "))
            .s(format!("{} parts; ", self.condition.word()))
            .v(Value::Length(self.play, Fine::Shop))
            .s(" of axial play of each nut on a screw of its own; ");
        match self.length {
            Some(length) => text.v(Value::Length(length, Fine::Coarse)).s(" of thread in engagement."),
            None => text.s("one and a half diameters of thread in engagement."),
        }
    }

    /// The terms as a person would type them, for an address: fields of [`Asked`] by name.
    pub fn typed(&self) -> Vec<(&'static str, String)> {
        // To a tenth of a micrometre, finer than anything that is read at a bench.
        let mm = |l: Length| format!("{} mm", (l.to_mm() * 1e4).round() / 1e4);
        let mut typed: Vec<_> = self.instruments.iter().map(|i| ("with", i.word().to_owned())).collect();
        typed.extend(self.wires.iter().map(|w| ("wire", mm(*w))));
        typed.push(("condition", self.condition.word().to_owned()));
        typed.push(("play", mm(self.play)));
        typed.extend(self.length.map(|l| ("length", mm(l))));
        typed
    }
}

/// What a person asks to have compared, as typed; what is blank is as in [`Terms::default`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Asked {
    /// Designation of the first thread.
    pub a: String,
    /// Of the second.
    pub b: String,
    /// Instruments at hand, each by its word in a job.
    pub with: Vec<String>,
    /// Wires at hand; several in one text parted as in a job's lists.
    pub wire: Vec<String>,
    /// Condition, by its word in a job.
    pub condition: String,
    /// Axial play.
    pub play: String,
    /// Length of thread in engagement.
    pub length: String,
}

/// A field that could not be read: its name in [`Asked`], and what was read and is accepted.
pub type Wrong = (&'static str, String);

impl Asked {
    /// Whether anything is asked for.
    pub fn is_blank(&self) -> bool {
        self.a.trim().is_empty() && self.b.trim().is_empty()
    }

    /// The unit that the first thread is written in; millimetres where it cannot be read.
    pub fn unit(&self) -> Unit {
        self.a.parse::<Thread>().map_or(Unit::Mm, |thread| thread.nominal_written)
    }

    /// The two threads and the terms; bare numbers are in `bare`, results are said in `unit`.
    ///
    /// # Errors
    /// Every field that could not be read.
    pub fn read(&self, bare: Unit, unit: Unit) -> Result<(Thread, Thread, Terms), Vec<Wrong>> {
        let mut wrong = Vec::new();
        let a = kept(&mut wrong, thread("a", &self.a));
        let b = kept(&mut wrong, thread("b", &self.b));
        let plain = Terms::default();
        let instruments = self.with.iter().filter(|w| !w.trim().is_empty());
        let instruments = instruments.filter_map(|w| kept(&mut wrong, word("with", w))).collect();
        let wires = self.wire.iter().flat_map(|typed| job::lengths_of(typed));
        let wires = wires.filter_map(|w| kept(&mut wrong, length("wire", w, bare)).flatten()).collect();
        let condition = match self.condition.trim() {
            "" => plain.condition,
            typed => kept(&mut wrong, word("condition", typed)).unwrap_or_default(),
        };
        let play = kept(&mut wrong, length("play", &self.play, bare)).flatten().unwrap_or(plain.play);
        let length = kept(&mut wrong, length("length", &self.length, bare)).flatten();
        match (a, b) {
            (Some(a), Some(b)) if wrong.is_empty() => {
                Ok((a, b, Terms { instruments, wires, condition, play, length, unit }))
            }
            _ => Err(wrong),
        }
    }
}

/// The value, or its error noted.
fn kept<T>(wrong: &mut Vec<Wrong>, read: Result<T, Wrong>) -> Option<T> {
    read.map_err(|e| wrong.push(e)).ok()
}

fn thread(field: &'static str, typed: &str) -> Result<Thread, Wrong> {
    if typed.trim().is_empty() {
        let words =
            "read nothing; accepted is a designation in any usual writing, such as `Tr 22x5` or `7/8-5 Acme`";
        return Err((field, words.to_owned()));
    }
    typed.parse::<Thread>().map_err(|e| (field, e.to_string()))
}

fn word<T: Words>(field: &'static str, typed: &str) -> Result<T, Wrong> {
    T::from_word(typed)
        .ok_or_else(|| (field, format!("read `{typed}`; accepted is one of: {}", T::WORDS.join(", "))))
}

/// A length above zero; none where nothing was typed.
fn length(field: &'static str, typed: &str, bare: Unit) -> Result<Option<Length>, Wrong> {
    if typed.trim().is_empty() {
        return Ok(None);
    }
    match quantity::parse_length(typed, bare) {
        Ok((length, _)) if length > Length::ZERO => Ok(Some(length)),
        Ok(_) => Err((field, format!("read `{typed}`; accepted is a length above zero, such as `0.1 mm`"))),
        Err(e) => Err((field, e.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_read_and_comes_back() {
        let asked = Asked {
            a: "Tr 22x5".into(),
            b: "7/8-5 Acme".into(),
            with: vec!["micrometer".into(), "Wires".into()],
            wire: vec!["2.6 mm; 0,1 in".into()],
            condition: "worn".into(),
            play: "0.2".into(),
            length: "33 mm".into(),
        };
        let (a, _, terms) = asked.read(Unit::Mm, Unit::Inch).expect("read");
        assert_eq!(a.to_string(), "Tr 22x5");
        assert_eq!(terms.wires, [Length::mm(2.6), Length::mm(2.54)]);
        assert_eq!((terms.play, terms.length), (Length::mm(0.2), Some(Length::mm(33.0))));
        let typed = terms.typed();
        let of =
            |name: &str| typed.iter().filter(|(n, _)| *n == name).map(|(_, t)| t.clone()).collect::<Vec<_>>();
        let again = Asked {
            with: of("with"),
            wire: of("wire"),
            condition: of("condition").concat(),
            play: of("play").concat(),
            length: of("length").concat(),
            ..asked
        };
        assert_eq!(again.read(Unit::Inch, Unit::Inch).expect("read").2, terms);
    }

    #[test]
    fn every_field_that_cannot_be_read_is_named() {
        let asked = Asked {
            a: "banana".into(),
            with: vec!["spoon".into()],
            wire: vec!["2 mn".into()],
            condition: "shiny".into(),
            play: "0".into(),
            length: "-1 mm".into(),
            ..Asked::default()
        };
        let wrong = asked.read(Unit::Mm, Unit::Mm).expect_err("wrong");
        let fields: Vec<_> = wrong.iter().map(|w| w.0).collect();
        assert_eq!(fields, ["a", "b", "with", "wire", "condition", "play", "length"]);
        for ((_, words), part) in
            wrong.iter().zip(["banana", "Tr 22x5", "micrometer", "2 mn", "worn", "above zero", "-1 mm"])
        {
            assert!(words.contains(part), "no {part}: {words}");
        }
    }

    #[test]
    fn a_job_gives_its_instruments_and_its_wires() {
        let job = job::read(include_str!("../../../../../demo/board-shear.toml")).expect("the demo");
        let terms = Terms::of(&job);
        for instrument in [Instrument::Calliper, Instrument::Wires] {
            assert!(terms.has(instrument), "{:?}", terms.instruments);
        }
        assert!(terms.wires.contains(&Length::mm(2.6)), "{:?}", terms.wires);
        assert_eq!((terms.condition, terms.play), (Condition::Worn, Length::mm(0.04)));
    }
}
