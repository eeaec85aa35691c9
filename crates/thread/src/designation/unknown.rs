//! What to say of a text in which no thread form is named.

use super::DesignationError;
use super::lex::{Kind, tokens};
use super::read::{FILLERS, written_once};
use crate::catalogue::Wanted;
use crate::family::{CatalogueRow, SeriesRow, catalogue};
use crate::{Family, Length, Unit};

/// The error for a text in which no family's word stands.
pub(crate) fn no_family(text: &str) -> DesignationError {
    const EXAMPLES: &str = "a form and a size, such as `Tr 22x5`, `7/8-5 Acme`, `M10x1.5`, `1/4-20 UNC`, \
                            `1/2 BSW` or `1-4 square`";
    let tokens = tokens(text);
    let error = |at, understood: String, expected: String| DesignationError {
        text: text.to_owned(),
        at,
        understood,
        expected,
    };
    let unknown: Vec<_> = tokens
        .iter()
        .filter_map(|token| match &token.kind {
            Kind::Word(word) if !is_common(&word.to_lowercase()) => Some((token, word.to_lowercase())),
            _ => None,
        })
        .collect();
    let numbers: Vec<_> = tokens
        .iter()
        .filter_map(|token| match token.kind {
            Kind::Number { value, .. } => Some((value, &text[token.start..token.end])),
            _ => None,
        })
        .collect();
    if let Some((first, _)) = unknown.first() {
        let understood = match &numbers[..] {
            [] => String::new(),
            [(_, one)] => format!("the number {one}, but not the form"),
            [(_, one), (_, two), ..] => format!("the numbers {one} and {two}, but not the form"),
        };
        return match unknown.iter().find_map(|(token, word)| Some((token, nearest_name(word)?))) {
            Some((token, near)) => {
                let corrected = format!("{}{near}{}", &text[..token.start], &text[token.end..]);
                let mut meant =
                    Family::ALL.into_iter().filter_map(|family| family.form().parse(&corrected)?.ok());
                let meant = match meant.next() {
                    Some(thread) => format!(": `{thread}`"),
                    None => format!(". For example {EXAMPLES}"),
                };
                error(token.start, understood, format!("a thread form; `{near}` is the nearest{meant}"))
            }
            None => error(first.start, understood, EXAMPLES.to_owned()),
        };
    }
    let (understood, listed) = match numbers[..] {
        [] => return error(text.len(), String::new(), EXAMPLES.to_owned()),
        [(size, _)] => ("a size, but not the form and the pitch", listed(size, None)),
        [(size, _), (step, _), ..] => ("a size and a pitch, but not the form", listed(size, Some(step))),
    };
    let expected = match (&listed[..], &numbers[..]) {
        ([], [(size, _), (step, _), ..]) => {
            let crossed =
                tokens.iter().any(|t| matches!(&t.kind, Kind::Word(w) if w.eq_ignore_ascii_case("x")));
            match &nearest(*size, *step, crossed)[..] {
                [] => format!("the thread form as well: {EXAMPLES}"),
                near => format!("the thread form as well; nearest listed: {}", near.join(", ")),
            }
        }
        ([], _) => format!("the thread form as well: {EXAMPLES}"),
        _ => format!("the thread form as well: {}", listed.join(", ")),
    };
    error(text.len(), understood.to_owned(), expected)
}

/// How many sizes a message proposes.
const PROPOSED: usize = 8;

/// Listed sizes that are written with these numbers.
fn listed(size: f64, step: Option<f64>) -> Vec<String> {
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    let fits = |row: &SeriesRow| {
        near(row.nominal.in_unit(row.nominal_written), size)
            && step.is_none_or(|step| match row.pitch.written {
                Unit::Mm => near(row.pitch.length.to_mm(), step),
                Unit::Inch => near(row.pitch.length.to_tpi(), step),
            })
    };
    let mut written = written_once(catalogue().iter().filter(|c| fits(&c.row)).map(CatalogueRow::thread));
    written.truncate(PROPOSED);
    written
}

/// The listed sizes nearest to two numbers: millimetres where an x stands between them, else inches and threads per
/// inch.
fn nearest(size: f64, step: f64, metric: bool) -> Vec<String> {
    let (diameter, pitch) = match metric {
        true => (Length::mm(size), Length::mm(step)),
        false => (Length::inch(size), Length::per_inch(step)),
    };
    if !(diameter > Length::ZERO && pitch > Length::ZERO && pitch.is_finite()) {
        return Vec::new();
    }
    let wanted = Wanted { diameter: Some(diameter), pitch: Some(pitch), ..Wanted::default() };
    wanted.nearest(4).into_iter().map(|near| format!("`{}`", near.listed.thread())).collect()
}

/// Words that designations of different families share.
fn is_common(word: &str) -> bool {
    const COMMON: [&str; 23] = [
        "x", "p", "ph", "l", "lh", "rh", "left", "right", "mm", "in", "inch", "inches", "tpi", "tpcm",
        "start", "starts", "h", "e", "g", "a", "b", "single", "two",
    ];
    COMMON.contains(&word) || FILLERS.contains(&word)
}

/// The name of a family that has the word nearest to `word`, if a slip or two lie between them.
fn nearest_name(word: &str) -> Option<&'static str> {
    let names = Family::ALL.into_iter().flat_map(|family| family.form().dialect().words);
    let by_distance = names.flat_map(|(name, _)| {
        let known = name.split(' ').filter(|known| known.len() > 1);
        known.map(|known| (strsim::damerau_levenshtein(known, word), name.len(), *name))
    });
    let (distance, _, near) = by_distance.min()?;
    (distance <= 2 && 2 * distance < word.chars().count()).then_some(near)
}
