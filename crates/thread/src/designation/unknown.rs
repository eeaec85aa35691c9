//! What to say of a text in which no thread form is named.

use super::DesignationError;
use super::lex::{Kind, tokens};
use super::read::FILLERS;
use crate::family::{SeriesRow, catalogue};
use crate::{Family, Unit};

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
    let [(size, _), (step, _), ..] = numbers[..] else {
        return error(text.len(), String::new(), EXAMPLES.to_owned());
    };
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    let fits = |row: &SeriesRow| {
        near(row.nominal.in_unit(row.nominal_written), size)
            && match row.pitch.written {
                Unit::Mm => near(row.pitch.length.to_mm(), step),
                Unit::Inch => near(row.pitch.length.to_tpi(), step),
            }
    };
    let listed: Vec<_> =
        catalogue().iter().filter(|c| fits(&c.row)).map(|c| format!("`{}`", c.thread())).collect();
    let expected = match listed[..] {
        [] => format!("the thread form as well: {EXAMPLES}"),
        _ => format!("the thread form as well: {}", listed.join(", ")),
    };
    error(text.len(), "a size and a pitch, but not the form".to_owned(), expected)
}

/// Words that designations of different families share.
fn is_common(word: &str) -> bool {
    const COMMON: [&str; 22] = [
        "x", "p", "ph", "l", "lh", "rh", "left", "right", "mm", "in", "inch", "inches", "tpi", "start",
        "starts", "h", "e", "g", "a", "b", "single", "two",
    ];
    COMMON.contains(&word) || FILLERS.contains(&word)
}

/// The name of a family that has the word nearest to `word`, if a slip or two lie between them.
fn nearest_name(word: &str) -> Option<&'static str> {
    let names = Family::ALL.into_iter().flat_map(|family| family.form().words());
    let by_distance = names.flat_map(|(name, _)| {
        let known = name.split(' ').filter(|known| known.len() > 1);
        known.map(|known| (strsim::damerau_levenshtein(known, word), name.len(), *name))
    });
    let (distance, _, near) = by_distance.min()?;
    (distance <= 2 && 2 * distance < word.chars().count()).then_some(near)
}
