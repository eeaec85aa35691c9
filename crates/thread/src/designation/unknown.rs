//! What to say of a text in which no thread form is named.

use super::DesignationError;
use super::lex::{Kind, tokens};
use super::read::FILLERS;
use crate::Unit;
use crate::family::{SeriesRow, catalogue};

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
    let unknown = tokens.iter().find_map(|token| match &token.kind {
        Kind::Word(word) if !is_common(&word.to_lowercase()) => Some((token.start, word.to_lowercase())),
        _ => None,
    });
    if let Some((at, word)) = unknown {
        let known = FAMILY_WORDS.iter().map(|w| (strsim::damerau_levenshtein(w, &word), w)).min();
        return error(
            at,
            String::new(),
            match known {
                Some((distance, near)) if distance <= 2 && distance < word.chars().count() => {
                    format!("a thread form; `{near}` is the nearest. For example {EXAMPLES}")
                }
                _ => EXAMPLES.to_owned(),
            },
        );
    }
    let numbers: Vec<f64> = tokens
        .iter()
        .filter_map(|token| match token.kind {
            Kind::Number { value, .. } => Some(value),
            _ => None,
        })
        .collect();
    let [size, step, ..] = numbers[..] else { return error(text.len(), String::new(), EXAMPLES.to_owned()) };
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

/// The words that messages propose for a form that was not recognised.
const FAMILY_WORDS: [&str; 33] = [
    "tr",
    "trapezoidal",
    "acme",
    "metric",
    "unc",
    "unf",
    "unef",
    "bsw",
    "bsf",
    "whitworth",
    "square",
    "sq",
    "bsp",
    "bspp",
    "bspt",
    "bsc",
    "cei",
    "cycle",
    "brass",
    "conduit",
    "loewenherz",
    "thury",
    "stub",
    "unj",
    "unjf",
    "nc",
    "nf",
    "npt",
    "butt",
    "buttress",
    "worm",
    "sellers",
    "sharp",
];
