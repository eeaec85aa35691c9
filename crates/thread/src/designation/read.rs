//! Gives the pieces of a designation their meaning.
//!
//! Shops write the parts of a designation in any order after the size, with or without hyphens, so the reader
//! recognises each part by its own shape (hand, class, starts, lead) and does not insist on a sequence.

use super::lex::{Kind, Token, tokens};
use super::{DesignationError, Hand, Pitch, Thread, written};
use crate::family::SeriesRow;
use crate::limits::Element;
use crate::{Family, Length, Unit};

/// Sizes outside these cannot be meant, and would only lead to absurd results further on.
const DIAMETERS_MM: std::ops::RangeInclusive<f64> = 0.2..=3000.0;
/// The same of pitches: below the finest of watchmakers' screws the formulas of the standards give no tolerances.
const FINEST_PITCH_MM: f64 = 0.05;

/// The units that bare numbers are in.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Order {
    /// Diameter and pitch in millimetres.
    Metric,
    /// Diameter in millimetres, pitch a part of an inch where it is a fraction: `40x1/6`.
    MetricByInch,
    /// Diameter in inches, threads per inch.
    Inch,
    /// As written: `25x5` is metric, `1-5` inch.
    BySeparator,
}

impl Order {
    fn is_metric(self) -> bool {
        matches!(self, Self::Metric | Self::MetricByInch)
    }
}

/// A tolerance class as read.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Class {
    /// The symbol itself says external.
    External(String),
    /// The symbol itself says internal.
    Internal(String),
    /// The symbol is the same for both; a word after it may say which.
    Either(String),
}

impl Class {
    /// A symbol in whatever case, of classes whose letters tell the element.
    pub(crate) fn by_letter(text: &str, external: &[&str], internal: &[&str]) -> Option<Self> {
        let symbol = text.to_uppercase();
        match symbol.as_str() {
            known if external.contains(&known) => Some(Self::External(symbol)),
            known if internal.contains(&known) => Some(Self::Internal(symbol)),
            _ => None,
        }
    }
}

/// How one family's designations are read. Public by name only: the module is not, so that [`Form`] is implemented in
/// this crate alone.
///
/// [`Form`]: crate::family::Form
pub struct Dialect {
    pub(crate) family: Family,
    /// Names, in lower case, of the family or one of its series; `Some` is the series they insist on. A name may be
    /// of several words (`stub acme`), which may be joined by hyphens in the text; the longest one counts.
    pub(crate) words: &'static [(&'static str, Option<&'static str>)],
    pub(crate) order: Order,
    /// Reads a class symbol, as typed.
    pub(crate) class: fn(&str) -> Option<Class>,
    /// The classes, as a phrase for messages.
    pub(crate) class_phrase: &'static str,
    /// Series in which a diameter alone settles the pitch, when no series is named.
    pub(crate) implied_series: Option<&'static str>,
    /// Inch sizes may be numbers: `#10`.
    pub(crate) number_sizes: bool,
}

/// Words that say nothing a thread's type could hold, and may stand anywhere.
pub(super) const FILLERS: [&str; 28] = [
    "thread", "threads", "threaded", "screw", "nut", "bolt", "form", "iso", "din", "metric", "size",
    "general", "purpose", "class", "hand", "handed", "cl", "dia", "diameter", "and", "of", "by", "bs",
    "british", "no", "nr", "pipe", "parallel",
];

/// The words that say of a number that it is a diameter, in families whose sizes have names.
fn is_diameter(word: &str) -> bool {
    matches!(word, "dia" | "diameter")
}

/// A number as typed, with the unit that followed it.
#[derive(Clone, Copy)]
struct Typed {
    value: f64,
    fraction: bool,
    unit: Option<TypedUnit>,
    start: usize,
}

impl Typed {
    /// Threads counted over a length.
    fn is_count(self) -> bool {
        matches!(self.unit, Some(TypedUnit::Tpi | TypedUnit::PerCentimetre))
    }
}

#[derive(Clone, Copy, PartialEq)]
enum TypedUnit {
    Mm,
    Inch,
    Tpi,
    /// Threads per centimetre.
    PerCentimetre,
    /// Diametral pitch, of worms: P = π/DP inches.
    Diametral,
    /// Module, of worms: P = π m millimetres.
    Module,
}

#[derive(Clone, Default)]
struct Found {
    /// A number size: `#10`.
    number: Option<(u32, usize)>,
    size: Option<Typed>,
    /// The size was said to be a diameter, where a bare number is a name.
    by_diameter: bool,
    /// What follows the size: the pitch, or in metric notation of several starts the lead.
    step: Option<Typed>,
    /// The step was joined by `x` (else by a hyphen or blank).
    crossed: bool,
    /// Pitch by its symbol P.
    pitch: Option<Typed>,
    /// Lead by its symbol Ph, or L in inch notation.
    lead: Option<Typed>,
    starts: Option<(u32, usize)>,
    hand: Option<Hand>,
    series: Option<(&'static str, usize)>,
    external: Option<String>,
    internal: Option<String>,
}

struct Reader<'t> {
    text: &'t str,
    dialect: &'t Dialect,
    tokens: Vec<Token>,
    at: usize,
    found: Found,
}

/// Reads `text` in `dialect`; `None` where none of its names stands in the text.
pub(crate) fn read(text: &str, dialect: &Dialect) -> Option<Result<Thread, DesignationError>> {
    let tokens = tokens(text);
    let names_family = (0..tokens.len())
        .any(|at| dialect.name_at(&tokens, at).is_some_and(|name| counts(name.text, &tokens, at)));
    names_family.then(|| Reader { text, dialect, tokens, at: 0, found: Found::default() }.run())
}

/// As [`read`], of what is left of `typed` once the family has taken its own marks out of it; an error shows the text as
/// it was typed.
pub(crate) fn read_rest(
    typed: &str,
    rest: &str,
    dialect: &Dialect,
) -> Option<Result<Thread, DesignationError>> {
    Some(read(rest, dialect)?.map_err(|error| DesignationError { text: typed.to_owned(), ..error }))
}

/// `text` with `word` blanked out, where it stands there by itself in whatever case: a mark of a modified form, which
/// the family's dialect does not know.
pub(crate) fn take_word(text: &str, word: &str) -> Option<String> {
    let lower = text.to_ascii_lowercase();
    // Letters may follow a number without a blank (`13NC-2`), as everywhere in designations.
    let letter_first = word.starts_with(char::is_alphabetic);
    let alone = |at: usize| {
        let (before, after) = (lower[..at].chars().next_back(), lower[at + word.len()..].chars().next());
        let parted = |c: char| !c.is_alphanumeric() && c != '.';
        before.is_none_or(|c| parted(c) || (letter_first && c.is_numeric())) && after.is_none_or(parted)
    };
    let at = lower.match_indices(&word.to_ascii_lowercase()).map(|(at, _)| at).find(|at| alone(*at))?;
    Some(format!("{}{}{}", &text[..at], " ".repeat(word.len()), &text[at + word.len()..]))
}

/// Whether `name` stands in `text` where it can name a family or an element.
pub(crate) fn names(text: &str, name: &str) -> bool {
    let tokens = tokens(text);
    (0..tokens.len()).any(|at| stands_at(name, &tokens, at).is_some() && counts(name, &tokens, at))
}

/// Whether `name` at token `at` may name a family. A single letter is also a class, a position or a symbol: it counts
/// only before its size.
fn counts(name: &str, tokens: &[Token], at: usize) -> bool {
    name.len() > 1
        || tokens.get(at + 1).is_some_and(|next| match &next.kind {
            Kind::Number { .. } => true,
            Kind::Word(word) => is_diameter(&word.to_lowercase()),
            Kind::Mark(_) => false,
        })
}

/// A family's name in a text.
struct Name {
    text: &'static str,
    series: Option<&'static str>,
    /// The token after it.
    end: usize,
}

impl Dialect {
    /// The dialect of a family without classes; a series that is implied, or number sizes, are added to it.
    pub(crate) const fn without_classes(
        family: Family,
        words: &'static [(&'static str, Option<&'static str>)],
        order: Order,
    ) -> Self {
        Self {
            family,
            words,
            order,
            class: |_| None,
            class_phrase: "",
            implied_series: None,
            number_sizes: false,
        }
    }

    /// The longest name of the family that begins at token `at`.
    fn name_at(&self, tokens: &[Token], at: usize) -> Option<Name> {
        let names = self.words.iter().filter_map(|(name, series)| {
            let end = stands_at(name, tokens, at)?;
            Some(Name { text: name, series: *series, end })
        });
        names.max_by_key(|name| name.end)
    }
}

/// The token after `name`, if it stands at token `at`: its words one after another, a hyphen between them or not.
fn stands_at(name: &str, tokens: &[Token], at: usize) -> Option<usize> {
    let mut next = at;
    for (i, word) in name.split(' ').enumerate() {
        if i > 0 && tokens.get(next).is_some_and(|token| token.kind == Kind::Mark('-')) {
            next += 1;
        }
        match &tokens.get(next)?.kind {
            Kind::Word(typed) if typed.to_lowercase() == word => next += 1,
            _ => return None,
        }
    }
    Some(next)
}

impl Reader<'_> {
    fn run(mut self) -> Result<Thread, DesignationError> {
        while self.at < self.tokens.len() {
            self.step()?;
        }
        // `1/2-12L BSW`: a number with L is a lead only beside a pitch.
        if self.found.step.is_none() && self.found.pitch.is_none() && self.found.lead.is_some() {
            self.found.step = self.found.lead.take();
            self.hand(Hand::Left, self.text.len())?;
        }
        self.finish()
    }

    /// Reads one part of the designation.
    fn step(&mut self) -> Result<(), DesignationError> {
        if self.class()? || self.starts() {
            return Ok(());
        }
        let token = self.tokens[self.at].clone();
        match token.kind {
            Kind::Number { .. } => self.number(),
            Kind::Word(word) => self.word(&word.to_lowercase(), token.start),
            Kind::Mark('#') => self.number_size(token.start),
            Kind::Mark('-' | ',' | '(' | ')' | '/' | ';' | ':') => {
                self.at += 1;
                Ok(())
            }
            Kind::Mark(_) => Err(self.unexpected(token.start)),
        }
    }

    /// A number in its turn: the size, then the step; or with a symbol after it, pitch or lead (`0.4P`, `0.8L`).
    fn number(&mut self) -> Result<(), DesignationError> {
        let symbol = self.adjacent_word(self.at).filter(|w| !self.dialect.order.is_metric() && w.len() == 1);
        match symbol.as_deref() {
            Some("p") if self.found.size.is_some() && self.found.pitch.is_none() => {
                self.found.pitch = self.typed();
                self.at += 1;
                return Ok(());
            }
            Some("l") if self.found.size.is_some() && self.found.lead.is_none() => {
                self.found.lead = self.typed();
                self.at += 1;
                return Ok(());
            }
            _ => {}
        }
        let start = self.tokens[self.at].start;
        if self.found.size.is_none() && self.found.number.is_none() {
            // Of the sizes that have names, some systems went below zero (Thury -5); `Thury-5` is 5.
            if let Some([.., before, minus]) = self.tokens.get(..self.at)
                && minus.kind == Kind::Mark('-')
                && before.end < minus.start
                && minus.end == start
                && !self.dialect.family.form().names().is_empty()
            {
                return Err(self.error(minus.start, "a size without a minus; those with one are not held"));
            }
            self.found.size = self.typed();
            return Ok(());
        }
        let hyphen = self.at > 0 && self.tokens[self.at - 1].kind == Kind::Mark('-');
        let free = self.found.step.is_none() && self.found.pitch.is_none();
        if !free || (self.dialect.order.is_metric() && hyphen && !self.listed_pitch()) {
            return Err(self.unexpected(start));
        }
        self.found.step = self.typed();
        Ok(())
    }

    /// Whether the number at the cursor is a pitch that the series lists for the size. After a hyphen metric notation
    /// has the class, but `M10-1.5` is written too, and then it is meant so.
    fn listed_pitch(&self) -> bool {
        if self.adjacent_word(self.at).is_some_and(|word| word != "mm") {
            return false;
        }
        self.with_step_at(self.at).is_some_and(|thread| thread.in_series())
    }

    /// The thread that what was understood gives with the number at token `at` as its pitch.
    fn with_step_at(&self, at: usize) -> Option<Thread> {
        let mut tried = Reader {
            text: self.text,
            dialect: self.dialect,
            tokens: self.tokens.clone(),
            at,
            found: self.found.clone(),
        };
        tried.found.step = tried.typed();
        tried.found.step?;
        tried.found.crossed = true;
        tried.finish().ok()
    }

    /// The number at the cursor and the unit after it.
    fn typed(&mut self) -> Option<Typed> {
        let Token { kind: Kind::Number { value, fraction }, start, .. } = *self.tokens.get(self.at)? else {
            return None;
        };
        self.at += 1;
        let unit = self.tokens.get(self.at).and_then(|token| match &token.kind {
            Kind::Mark('"') => Some(TypedUnit::Inch),
            Kind::Word(word) => match word.to_lowercase().as_str() {
                "mm" => Some(TypedUnit::Mm),
                "in" | "inch" | "inches" => Some(TypedUnit::Inch),
                "tpi" => Some(TypedUnit::Tpi),
                "tpcm" => Some(TypedUnit::PerCentimetre),
                "dp" => Some(TypedUnit::Diametral),
                // After the diameter it begins the module: `30 mod 2.5`.
                "mod" | "module" if self.found.size.is_some() => Some(TypedUnit::Module),
                _ => None,
            },
            _ => None,
        });
        if unit.is_some() {
            self.at += 1;
        }
        Some(Typed { value, fraction, unit, start })
    }

    fn number_size(&mut self, start: usize) -> Result<(), DesignationError> {
        let number = self.tokens.get(self.at + 1).and_then(|token| match token.kind {
            Kind::Number { value, fraction: false } if value.fract() == 0.0 && value <= 16.0 => {
                Some(value as u32)
            }
            _ => None,
        });
        let first = self.found.size.is_none() && self.found.number.is_none();
        if number.is_some() && first && !self.dialect.family.form().names().is_empty() {
            self.at += 1;
            self.found.size = self.typed();
            return Ok(());
        }
        let Some(number) = number.filter(|_| self.dialect.number_sizes && first) else {
            return Err(
                self.error(start, "a size in inches; `#` stands before the number sizes of Unified threads")
            );
        };
        self.found.number = Some((number, start));
        self.at += 2;
        Ok(())
    }

    fn word(&mut self, word: &str, start: usize) -> Result<(), DesignationError> {
        if let Some(name) = self.dialect.name_at(&self.tokens, self.at) {
            self.at = name.end;
            self.found.series = name.series.map(|series| (series, start)).or(self.found.series);
            return Ok(());
        }
        self.at += 1;
        match word {
            "m" | "mod" | "module" if self.dialect.family == Family::WormModule => {
                let Some(module) = self.typed() else {
                    return Err(self.error(self.place(), "a number after the module's m"));
                };
                self.found.pitch = Some(Typed { unit: Some(TypedUnit::Module), ..module });
                Ok(())
            }
            "x" => {
                self.found.crossed = true;
                let follows = self.tokens.get(self.at).map(|t| &t.kind);
                match follows {
                    Some(Kind::Number { .. }) => self.number(),
                    Some(Kind::Word(w)) if matches!(w.to_lowercase().as_str(), "p" | "ph") => Ok(()),
                    _ => Err(self.no_pitch_after_cross()),
                }
            }
            "p" | "ph" => {
                let Some(value) = self.typed() else {
                    return Err(self.error(self.place(), "a number after P"));
                };
                let slot = if word == "p" { &mut self.found.pitch } else { &mut self.found.lead };
                *slot = Some(value);
                Ok(())
            }
            "lh" | "left" | "lefthand" | "lefthanded" | "links" | "linksgewinde" | "linksgängig"
            | "gauche" => self.hand(Hand::Left, start),
            "rh" | "right" | "righthand" | "righthanded" | "rechts" | "rechtsgewinde" | "rechtsgängig" => {
                self.hand(Hand::Right, start)
            }
            "l" => {
                self.letter_h();
                self.hand(Hand::Left, start)
            }
            "r" if self.letter_h() => self.hand(Hand::Right, start),
            _ if FILLERS.contains(&word) => {
                self.found.by_diameter |= is_diameter(word);
                if matches!(word, "din" | "iso" | "bs" | "gost") {
                    self.document_number();
                }
                Ok(())
            }
            _ => Err(self.unexpected(start)),
        }
    }

    /// Passes the number of a document after its publisher: `DIN 103-1:1977`. Where the size has not been read yet, the number
    /// might be the size: then it must be a large one with no pitch after it (`ISO 228-1 G 3/4`), or that of ISO 7 before its
    /// own symbols (`ISO 7-1 Rc 1/2`).
    fn document_number(&mut self) {
        let kind = |at: usize| self.tokens.get(at).map(|token| &token.kind);
        let number = |at: usize| match kind(at) {
            Some(Kind::Number { value, .. }) => Some(*value),
            _ => None,
        };
        let Some(value) = number(self.at) else { return };
        let mut next = self.at + 1;
        while matches!(kind(next), Some(Kind::Mark('-' | ':')))
            && number(next + 1).is_some()
            && self.tokens[next - 1].end == self.tokens[next + 1].start - 1
        {
            next += 2;
        }
        if self.found.size.is_none() {
            let follows = if kind(next) == Some(&Kind::Mark('-')) { next + 1 } else { next };
            let Some(Kind::Word(word)) = kind(follows) else { return };
            let word = word.to_lowercase();
            let of_iso_7 = value == 7.0 && matches!(word.as_str(), "r" | "rc" | "rp");
            let large = value >= 80.0 && !matches!(word.as_str(), "x" | "mm" | "in" | "p" | "ph");
            if !(of_iso_7 || large) {
                return;
            }
        }
        self.at = next;
    }

    /// Moves over the H of `L/H`, `L H`, `L-H`.
    fn letter_h(&mut self) -> bool {
        let joined = self.tokens.get(self.at).is_some_and(|t| matches!(t.kind, Kind::Mark('/' | '-')));
        let at = self.at + usize::from(joined);
        let is_h = self
            .tokens
            .get(at)
            .is_some_and(|t| matches!(&t.kind, Kind::Word(w) if w.eq_ignore_ascii_case("h")));
        if is_h {
            self.at = at + 1;
        }
        is_h
    }

    /// The error for `Tr 16x` and `M16x-2`.
    fn no_pitch_after_cross(&self) -> DesignationError {
        let number =
            (self.at..self.tokens.len()).find(|at| matches!(self.tokens[*at].kind, Kind::Number { .. }));
        let meant = number.and_then(|at| self.with_step_at(at)).map(|thread| format!(": `{thread}`"));
        let listed = || self.nominal().map(|(nominal, ..)| format!("; {}", self.near(nominal)));
        let nearest = meant.or_else(|| listed().ok()).unwrap_or_default();
        self.error(self.place(), &format!("the pitch after `x`{nearest}"))
    }

    fn hand(&mut self, hand: Hand, start: usize) -> Result<(), DesignationError> {
        if self.found.hand.is_some_and(|known| known != hand) {
            return Err(self.error(start, "one hand only, left or right"));
        }
        self.found.hand = Some(hand);
        Ok(())
    }

    /// `2 start`, `2-start`, `two start`, `single start`; moves on if so.
    fn starts(&mut self) -> bool {
        let token = &self.tokens[self.at];
        let count = match &token.kind {
            Kind::Number { value, fraction: false }
                if value.fract() == 0.0 && (1.0..=64.0).contains(value) =>
            {
                *value as u32
            }
            Kind::Word(word) => match word.to_lowercase().as_str() {
                "single" | "one" => 1,
                "double" | "two" | "twin" => 2,
                "triple" | "three" | "treble" => 3,
                "quadruple" | "four" => 4,
                _ => return false,
            },
            _ => return false,
        };
        let start = token.start;
        let mut next = self.at + 1;
        if self.tokens.get(next).is_some_and(|t| t.kind == Kind::Mark('-')) {
            next += 1;
        }
        let said = self.tokens.get(next).is_some_and(
            |t| matches!(&t.kind, Kind::Word(w) if matches!(w.to_lowercase().as_str(), "start" | "starts")),
        );
        if said {
            self.found.starts = Some((count, start));
            self.at = next + 1;
        }
        said
    }

    /// A tolerance class at the cursor; moves on if there is one. Only after the size, so that a size is never
    /// taken for a grade.
    fn class(&mut self) -> Result<bool, DesignationError> {
        if self.found.size.is_none() && self.found.number.is_none() {
            return Ok(false);
        }
        let start = self.tokens[self.at].start;
        // Longest first: `4g6g` before `4g`.
        for length in [4, 2, 1] {
            let Some(tokens) = self.tokens.get(self.at..self.at + length) else { continue };
            if tokens.windows(2).any(|pair| pair[0].end != pair[1].start) {
                continue;
            }
            let (from, to) = (tokens[0].start, tokens[length - 1].end);
            let Some(class) = (self.dialect.class)(&self.text[from..to]) else { continue };
            self.at += length;
            let element = self.element_word();
            let (external, internal) = match (class, element) {
                (Class::External(c), None | Some(true)) | (Class::Either(c), Some(true)) => (Some(c), None),
                (Class::Internal(c), None | Some(false)) | (Class::Either(c), Some(false)) => (None, Some(c)),
                (Class::Either(c), None) => (Some(c.clone()), Some(c)),
                (Class::External(c), Some(false)) | (Class::Internal(c), Some(true)) => {
                    let expected = format!(
                        "a class of that element; {c} is of the other. {}",
                        self.dialect.class_phrase
                    );
                    return Err(self.error(start, &expected));
                }
            };
            let twice = (external.is_some() && self.found.external.is_some())
                || (internal.is_some() && self.found.internal.is_some());
            if twice {
                return Err(self.error(start, "one class for each element"));
            }
            self.found.external = external.or(self.found.external.take());
            self.found.internal = internal.or(self.found.internal.take());
            return Ok(true);
        }
        Ok(false)
    }

    /// The word for an element right after a class: `Some(true)` external.
    fn element_word(&mut self) -> Option<bool> {
        let mut next = self.at;
        while matches!(self.tokens.get(next)?.kind, Kind::Mark('-' | '(')) {
            next += 1;
        }
        let Kind::Word(word) = &self.tokens.get(next)?.kind else { return None };
        let external = match word.to_lowercase().as_str() {
            "external" | "ext" | "screw" | "bolt" | "male" => true,
            "internal" | "int" | "nut" | "female" => false,
            _ => return None,
        };
        self.at = next + 1;
        Some(external)
    }

    /// The word, in lower case, that begins where token `at` ends.
    fn adjacent_word(&self, at: usize) -> Option<String> {
        let (number, next) = (self.tokens.get(at)?, self.tokens.get(at + 1)?);
        match &next.kind {
            Kind::Word(word) if number.end == next.start => Some(word.to_lowercase()),
            _ => None,
        }
    }

    /// Byte offset of the cursor.
    fn place(&self) -> usize {
        self.tokens.get(self.at).map_or(self.text.len(), |token| token.start)
    }

    fn finish(&self) -> Result<Thread, DesignationError> {
        let end = self.text.len();
        let (nominal, nominal_written, size_at) = self.nominal()?;
        if !DIAMETERS_MM.contains(&nominal.to_mm()) {
            return Err(self.error(size_at, "a diameter between 0.2 mm and 3000 mm"));
        }
        let family = self.dialect.family;
        let pitch = match self.found.pitch.or(self.found.step) {
            Some(typed) => self.pitch_of(typed)?,
            None => match self.named()? {
                Some(row) => row.pitch,
                None => self.implied_pitch(nominal)?,
            },
        };
        let step_at = self.found.pitch.or(self.found.step).map_or(end, |typed| typed.start);
        if pitch.length.to_mm() < FINEST_PITCH_MM {
            return Err(self.error(step_at, &format!("a pitch of 0.05 mm or more; {}", self.near(nominal))));
        }
        let starts = self.count_starts(pitch, step_at)?;
        let basic = family.form().basic(nominal, pitch.length);
        if !(pitch.length.to_mm() > 0.0 && basic.d3.to_mm() > 0.0) {
            return Err(self.error(step_at, &format!("a pitch that leaves a core; {}", self.near(nominal))));
        }
        self.check_series(nominal, pitch)?;
        let pitch = self.check_named(pitch)?;
        Ok(Thread {
            family,
            nominal,
            nominal_written,
            pitch,
            starts,
            hand: self.found.hand.unwrap_or(Hand::Right),
            external_class: self.found.external.clone(),
            internal_class: self.found.internal.clone(),
            variant: None,
        })
    }

    /// Bare numbers are millimetres.
    fn metric(&self) -> bool {
        match self.dialect.order {
            Order::Metric | Order::MetricByInch => true,
            Order::Inch => false,
            Order::BySeparator => match self.found.size {
                Some(Typed { unit: Some(TypedUnit::Mm), .. }) => true,
                Some(Typed { unit: Some(_), .. }) | Some(Typed { fraction: true, .. }) => false,
                _ => self.found.crossed,
            },
        }
    }

    fn nominal(&self) -> Result<(Length, Unit, usize), DesignationError> {
        if let Some((number, at)) = self.found.number {
            return Ok((written::number_size(number), Unit::Inch, at));
        }
        let Some(size) = self.found.size else {
            return Err(self.error(self.text.len(), &format!("a size, such as {}", self.examples())));
        };
        if let Some(row) = self.named()? {
            return Ok((row.nominal, row.nominal_written, size.start));
        }
        let unit = match size.unit {
            Some(TypedUnit::Mm) => Unit::Mm,
            Some(TypedUnit::Inch) => Unit::Inch,
            Some(TypedUnit::Tpi | TypedUnit::PerCentimetre | TypedUnit::Diametral | TypedUnit::Module) => {
                return Err(self.error(size.start, "the diameter before the pitch"));
            }
            None if self.metric() && size.fraction => {
                return Err(self.error(size.start, "millimetres, or the unit `in` after a fraction"));
            }
            None if self.metric() => Unit::Mm,
            None => Unit::Inch,
        };
        if let Some(number) = self.number_meant(size, unit) {
            return Ok((written::number_size(number), Unit::Inch, size.start));
        }
        Ok((Length::from_unit(size.value, unit), unit, size.start))
    }

    /// The listed size that the number names, in a family whose sizes have names; `None` where the number is a diameter.
    fn named(&self) -> Result<Option<&'static SeriesRow>, DesignationError> {
        let form = self.dialect.family.form();
        let Some(size) = self.found.size else { return Ok(None) };
        if form.names().is_empty() || self.found.by_diameter || size.unit == Some(TypedUnit::Mm) {
            return Ok(None);
        }
        let value = |name: &str| written::mixed_number(name).unwrap_or(f64::NAN);
        let named = form.names().iter().zip(form.series());
        let mut by_distance: Vec<_> =
            named.map(|(name, row)| ((value(name) - size.value).abs(), row)).collect();
        by_distance.sort_by(|(a, _), (b, _)| a.total_cmp(b));
        match by_distance.first() {
            Some((distance, row)) if *distance < 1e-9 => Ok(Some(row)),
            _ => {
                let nearest: Vec<_> = by_distance
                    .iter()
                    .take(3)
                    .map(|(_, row)| format!("`{}`", designated(self.dialect.family, row)))
                    .collect();
                let expected = format!(
                    "a size of the series; nearest listed: {}, or `dia` and a diameter",
                    nearest.join(", ")
                );
                Err(self.error(size.start, &expected))
            }
        }
    }

    /// A named size has its own pitch; one that is written beside it (`14`, `1.814 mm`) must be that.
    fn check_named(&self, pitch: Pitch) -> Result<Pitch, DesignationError> {
        match self.named()? {
            Some(row) if (row.pitch.length - pitch.length).abs() > Length::um(0.5) => {
                let at = self.found.pitch.or(self.found.step).map_or(self.text.len(), |typed| typed.start);
                let listed = designated(self.dialect.family, row);
                Err(self.error(at, &format!("its pitch, {}: `{listed}`", row.pitch)))
            }
            Some(row) => Ok(row.pitch),
            None => Ok(pitch),
        }
    }

    /// `10-32 UNF` is a number size without its mark: a whole number that only the number sizes list with this
    /// pitch (`1-64`), where an inch size of that number is listed with another (`1-8`).
    fn number_meant(&self, size: Typed, unit: Unit) -> Option<u32> {
        let step = self.found.step?;
        let whole = size.value.fract() == 0.0 && !size.fraction && size.value <= 12.0;
        if !(self.dialect.number_sizes && whole && size.unit.is_none() && unit == Unit::Inch) {
            return None;
        }
        let number = size.value as u32;
        let pitch = self.pitch_of(step).ok()?.length;
        let family = self.dialect.family;
        let as_number = family.listed(written::number_size(number), pitch).is_some();
        let as_inches = family.listed(Length::inch(size.value), pitch).is_some();
        // Sizes 0, 4, 5, … are no inch sizes of these series, whatever the pitch.
        let no_such_inch_size = number == 0 || number > 4;
        (!as_inches && (as_number || no_such_inch_size)).then_some(number)
    }

    /// Whether a bare number is a part of an inch, in designations that write pitches so.
    fn part_of_inch(&self, typed: Typed) -> bool {
        self.dialect.order == Order::MetricByInch && typed.fraction && typed.value > 0.0
    }

    fn pitch_of(&self, typed: Typed) -> Result<Pitch, DesignationError> {
        self.pitch_meant(typed).map_err(|expected| self.error(typed.start, expected))
    }

    /// As [`Self::pitch_of`], with only what is expected as the error: a whole error says what was understood, the
    /// pitch among it.
    fn pitch_meant(&self, typed: Typed) -> Result<Pitch, &'static str> {
        let by_symbol = self.found.pitch.is_some_and(|pitch| pitch.start == typed.start);
        let unit = typed.unit.unwrap_or(match self.metric() {
            true if self.part_of_inch(typed) => {
                // `1/6` is six to the inch, to the last bit.
                let tpi = 1.0 / typed.value;
                return Ok(Pitch::tpi(if (tpi - tpi.round()).abs() < 1e-9 { tpi.round() } else { tpi }));
            }
            true => TypedUnit::Mm,
            // ASME B1.5 writes `0.4P`: inches, where a bare number is threads per inch.
            false if by_symbol => TypedUnit::Inch,
            false => TypedUnit::Tpi,
        });
        if typed.value <= 0.0 {
            return Err("a pitch above zero");
        }
        Ok(match unit {
            TypedUnit::Mm => Pitch { length: written::pitch_in_millimetres(typed.value), written: Unit::Mm },
            TypedUnit::PerCentimetre => Pitch::mm(10.0 / typed.value),
            TypedUnit::Inch => written::pitch_in_inches(Length::inch(typed.value)),
            TypedUnit::Tpi => Pitch::tpi(typed.value),
            TypedUnit::Diametral if matches!(self.dialect.family, Family::Worm29 | Family::WormDp) => {
                Pitch { length: Length::inch(std::f64::consts::PI / typed.value), written: Unit::Inch }
            }
            TypedUnit::Module if self.dialect.family == Family::WormModule => {
                Pitch::mm(std::f64::consts::PI * typed.value)
            }
            TypedUnit::Module => {
                return Err("a pitch in millimetres: module is of worms");
            }
            TypedUnit::Diametral => {
                return Err("threads per inch: diametral pitch is of worms");
            }
        })
    }

    /// The pitch of a designation that names none: where its series has one only for this diameter.
    fn implied_pitch(&self, nominal: Length) -> Result<Pitch, DesignationError> {
        let series = self.found.series.map(|(name, _)| name).or(self.dialect.implied_series);
        let family = self.dialect.family;
        let rows: Vec<_> = family
            .form()
            .series()
            .iter()
            .filter(|row| {
                series.is_some_and(|name| row.series == name)
                    && (row.nominal - nominal).abs() < Length::um(0.1)
            })
            .collect();
        let listed = match rows[..] {
            [row] => return Ok(row.pitch),
            [] => self.near(nominal),
            // A series that was named has several pitches.
            _ => format!(
                "listed are {}",
                written_once(rows.into_iter().map(|row| designated(family, row))).join(", ")
            ),
        };
        Err(self.error(self.text.len(), &format!("the pitch; {listed}")))
    }

    /// Starts from words, or from lead and pitch.
    fn count_starts(&self, pitch: Pitch, at: usize) -> Result<u32, DesignationError> {
        let found = &self.found;
        // In metric notation a number before a P is the lead; inch notation gives threads per inch there.
        let before_p = found.step.filter(|step| found.pitch.is_some() && !step.is_count() && self.metric());
        let lead = match found.lead.or(before_p) {
            Some(Typed { value, unit: Some(TypedUnit::Inch), .. }) => Some(Length::inch(value)),
            Some(typed) if self.part_of_inch(typed) => Some(Length::inch(typed.value)),
            Some(Typed { value, .. }) if self.metric() => Some(Length::mm(value)),
            Some(Typed { value, .. }) => Some(Length::inch(value)),
            None => None,
        };
        let Some(lead) = lead else {
            let (count, count_at) = found.starts.unwrap_or((1, at));
            let by_module = found.step.is_some_and(|step| step.unit == Some(TypedUnit::Module));
            let by_count = found.step.is_some_and(Typed::is_count);
            let bare = found.pitch.is_none() && !by_module && !by_count;
            if count > 1 && self.metric() && pitch.written == Unit::Mm && bare {
                // `Tr 20x4 2 start` may mean lead 4 (as ISO 2902 writes) or pitch 4: better to ask.
                let said = written::pitch_millimetres;
                let (typed, n) = (pitch.length, f64::from(count));
                let (lead, p) = (said(typed * n), said(typed / n));
                let typed = said(typed);
                let expected =
                    format!("lead and pitch of several starts: `x{lead} P{typed}`, or `x{typed} P{p}`");
                return Err(self.error(count_at, &expected));
            }
            return Ok(count);
        };
        let ratio = lead / pitch.length;
        let count = ratio.round();
        // 0.333P is a rounded third: a lead is taken as whole within a thousandth of a pitch per start.
        if !(1.0..=64.0).contains(&count) || (ratio - count).abs() > 1e-3 * count {
            return Err(self.error(at, "a pitch that divides the lead into whole starts"));
        }
        match found.starts {
            Some((said, said_at)) if f64::from(said) != count => {
                Err(self.error(said_at, &format!("{count} starts, as lead and pitch say")))
            }
            _ => Ok(count as u32),
        }
    }

    /// A named series must list the pitch, if it lists the diameter.
    fn check_series(&self, nominal: Length, pitch: Pitch) -> Result<(), DesignationError> {
        let Some((series, at)) = self.found.series else { return Ok(()) };
        let near = |a: Length, b: Length| (a - b).abs() < Length::um(0.1);
        let family = self.dialect.family;
        let of_size: Vec<_> = family.form().series().iter().filter(|r| near(r.nominal, nominal)).collect();
        let mut in_series = of_size.iter().filter(|row| row.series == series).peekable();
        if in_series.peek().is_none() || in_series.any(|row| near(row.pitch.length, pitch.length)) {
            return Ok(());
        }
        let listed = written_once(of_size.into_iter().map(|row| designated(family, row)));
        Err(self.error(at, &format!("a size of the {series} series; listed are {}", listed.join(", "))))
    }

    /// Listed sizes of this diameter, or else the nearest, as a phrase.
    fn near(&self, nominal: Length) -> String {
        let family = self.dialect.family;
        let rows = family.form().series();
        if rows.is_empty() {
            return format!("for example {}", self.examples());
        }
        let nearest = rows.iter().map(|row| (row.nominal / nominal).ln().abs()).fold(f64::INFINITY, f64::min);
        let of_size = rows.iter().filter(|row| (row.nominal / nominal).ln().abs() <= nearest + 1e-6);
        let mut listed = written_once(of_size.map(|row| designated(family, row)));
        listed.truncate(4);
        if nearest < 1e-6 {
            format!("listed are {}", listed.join(", "))
        } else {
            format!("nearest listed: {}", listed.join(", "))
        }
    }

    fn examples(&self) -> String {
        format!("`{}`", self.dialect.family.example())
    }

    /// The error for a piece that fits nowhere.
    fn unexpected(&self, at: usize) -> DesignationError {
        let mut wanted = Vec::new();
        if self.found.size.is_none() && self.found.number.is_none() {
            wanted.push("a size".to_owned());
        } else if self.found.step.is_none() && self.found.pitch.is_none() {
            wanted.push(
                if self.dialect.order == Order::Inch { "threads per inch" } else { "x and the pitch" }
                    .to_owned(),
            );
        }
        if self.found.hand.is_none() {
            wanted.push("LH".to_owned());
        }
        if !self.dialect.class_phrase.is_empty() {
            wanted.push(self.dialect.class_phrase.to_owned());
        }
        wanted.push("the number of starts".to_owned());
        let foreign = self.foreign_class(at);
        if foreign.is_empty() {
            return self.error(at, &format!("{}, or nothing{}", wanted.join(", "), self.nearest(false)));
        }
        self.error(at, &format!("{}: {foreign}{}", self.dialect.class_phrase, self.nearest(true)))
    }

    /// The designation nearest to what was understood, as the end of a message; with the family's usual classes where
    /// the class was the trouble.
    fn nearest(&self, with_class: bool) -> String {
        let form = self.dialect.family.form();
        let number = matches!(self.tokens.get(self.at).map(|t| &t.kind), Some(Kind::Number { .. }))
            && self.found.step.is_none();
        let meant = match number && !with_class {
            true => self.with_step_at(self.at),
            false => self.finish().ok(),
        };
        let plain = meant.map(|thread| Thread { external_class: None, internal_class: None, ..thread });
        let Some(plain) = plain else {
            return match self.nominal() {
                Ok((nominal, ..)) if DIAMETERS_MM.contains(&nominal.to_mm()) => {
                    format!("; {}", self.near(nominal))
                }
                _ => String::new(),
            };
        };
        let usual = |element| form.classes(element).first().map(|class| (*class).to_owned());
        let (external, internal) = (usual(Element::External), usual(Element::Internal));
        let threads = match with_class {
            // One symbol for both elements.
            true if external == internal => {
                vec![Thread { external_class: external, internal_class: internal, ..plain }]
            }
            true => vec![
                Thread { external_class: external, ..plain.clone() },
                Thread { internal_class: internal, ..plain },
            ],
            false => vec![plain],
        };
        let written: Vec<_> = threads.iter().map(|thread| format!("`{thread}`")).collect();
        format!("; nearest that reads: {}", written.join(" or "))
    }

    /// What to say where a class of another family stands at byte `at`; empty where none does.
    fn foreign_class(&self, at: usize) -> String {
        let word: String = self.text[at..].chars().take_while(|c| c.is_alphanumeric()).collect();
        if self.dialect.class_phrase.is_empty() {
            return String::new();
        }
        let has = |family: &Family| {
            [Element::External, Element::Internal]
                .into_iter()
                .flat_map(|element| family.form().classes(element))
                .any(|class| class.to_lowercase() == word.to_lowercase())
        };
        match Family::ALL.iter().find(|family| **family != self.dialect.family && has(family)) {
            Some(other) => format!("{word} is one of {}", other.form().name()),
            None => String::new(),
        }
    }

    fn error(&self, at: usize, expected: &str) -> DesignationError {
        DesignationError {
            text: self.text.to_owned(),
            at,
            understood: self.understood(),
            expected: expected.to_owned(),
        }
    }

    /// What was understood so far, in words.
    fn understood(&self) -> String {
        let found = &self.found;
        let mut words = vec![self.dialect.family.form().name().to_owned()];
        if let Some((series, _)) = found.series {
            words.push(series.to_owned());
        }
        if let Some((number, _)) = found.number {
            words.push(format!("size #{number}"));
        } else if let Some(size) = found.size {
            let unit = match size.unit {
                Some(TypedUnit::Mm) => "mm",
                Some(TypedUnit::Inch) => "in",
                Some(TypedUnit::Tpi) => "tpi",
                Some(TypedUnit::PerCentimetre) => "tpcm",
                Some(TypedUnit::Diametral) => "DP",
                Some(TypedUnit::Module) => "module",
                None if self.metric() => "mm",
                None => "in",
            };
            words
                .push(format!("{} {unit}", written::shortest(size.value, |v| (v - size.value).abs() < 1e-6)));
        }
        if let Some(pitch) = found.pitch.or(found.step).and_then(|typed| self.pitch_meant(typed).ok()) {
            words.push(format!("pitch {pitch}"));
        }
        match found.hand {
            Some(Hand::Left) => words.push("left-hand".to_owned()),
            Some(Hand::Right) => words.push("right-hand".to_owned()),
            None => {}
        }
        for class in [&found.external, &found.internal].into_iter().flatten() {
            words.push(format!("class {class}"));
        }
        words.join(", ")
    }
}

/// Threads as their families write them; one that two series have stands once.
pub(super) fn written_once(threads: impl Iterator<Item = Thread>) -> Vec<String> {
    let mut written: Vec<String> = Vec::new();
    for thread in threads {
        let size = format!("`{thread}`");
        if !written.contains(&size) {
            written.push(size);
        }
    }
    written
}

/// A listed size as its family writes it.
fn designated(family: Family, row: &SeriesRow) -> Thread {
    Thread::new(family, row.nominal, row.nominal_written, row.pitch)
}
