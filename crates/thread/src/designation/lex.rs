//! Cuts a designation into numbers, words and marks.
//!
//! Nothing is refused here: a character that no designation uses becomes a mark, and the reader says what it
//! would have accepted in its place.

use winnow::Parser;
use winnow::ascii::digit1;
use winnow::combinator::{alt, opt, peek, preceded, repeat};
use winnow::error::ContextError;
use winnow::stream::{LocatingSlice, Location};
use winnow::token::{any, one_of, take, take_while};

/// One piece of a designation, with its bytes in the text.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Token {
    pub(super) kind: Kind,
    pub(super) start: usize,
    pub(super) end: usize,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Kind {
    /// `22`, `1.25`, `1,25`, `7/8`, `1 3/4`, `1-3/4`, `1½`.
    Number {
        value: f64,
        /// Written with a fraction.
        fraction: bool,
    },
    /// Letters; dots of abbreviations cut, so `L.H.` is `LH`. `×`, `*` and the Cyrillic letter that looks like x are
    /// the word `x`.
    Word(String),
    /// Anything else, one character; dashes of all lengths are `-`, inch marks are `"`.
    Mark(char),
}

type Input<'t> = LocatingSlice<&'t str>;
type Fail = winnow::error::ErrMode<ContextError>;

/// The tokens of `text`.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut input = LocatingSlice::new(text);
    let mut tokens = Vec::new();
    loop {
        let _: Result<&str, Fail> = take_while(0.., char::is_whitespace).parse_next(&mut input);
        let start = input.current_token_start();
        let kind: Result<Kind, Fail> = alt((number, word, mark)).parse_next(&mut input);
        let Ok(kind) = kind else { return tokens };
        tokens.push(Token { kind, start, end: input.current_token_start() });
    }
}

/// A number. A hyphen or blank joins a whole number to a fraction and to nothing else, so `1-3/4-4` is one and
/// three quarters, then four.
fn number(input: &mut Input<'_>) -> Result<Kind, Fail> {
    let mixed = (digit1, join, fraction)
        .verify_map(|(whole, (), part): (&str, (), f64)| Some(whole.parse::<f64>().ok()? + part));
    alt((
        fraction.map(|value| Kind::Number { value, fraction: true }),
        mixed.map(|value| Kind::Number { value, fraction: true }),
        decimal.map(|value| Kind::Number { value, fraction: false }),
    ))
    .parse_next(input)
}

/// What may stand between the whole number and the fraction of a mixed number.
fn join(input: &mut Input<'_>) -> Result<(), Fail> {
    (take_while(0.., ' '), opt(one_of(is_dash)), take_while(0.., ' ')).take().void().parse_next(input)
}

fn fraction(input: &mut Input<'_>) -> Result<f64, Fail> {
    let slashed = (digit1, one_of(SLASHES), digit1).verify_map(|(top, _, bottom): (&str, char, &str)| {
        let (top, bottom) = (top.parse::<f64>().ok()?, bottom.parse::<f64>().ok()?);
        (bottom > 0.0).then_some(top / bottom)
    });
    let raised = (small_digits(SUPERSCRIPTS), one_of(SLASHES), small_digits(SUBSCRIPTS))
        .verify_map(|(top, _, bottom)| (bottom > 0.0).then_some(top / bottom));
    alt((slashed, raised, any.verify_map(vulgar_fraction))).parse_next(input)
}

const SLASHES: [char; 3] = ['/', '⁄', '∕'];
const SUPERSCRIPTS: &str = "⁰¹²³⁴⁵⁶⁷⁸⁹";
const SUBSCRIPTS: &str = "₀₁₂₃₄₅₆₇₈₉";

/// A number in raised or lowered digits, as in `¹⁄₁₆`.
fn small_digits<'t>(digits: &'static str) -> impl Parser<Input<'t>, f64, Fail> {
    let digit = move |c: char| digits.chars().position(|d| d == c);
    take_while(1..=6, move |c| digit(c).is_some())
        .map(move |text: &str| text.chars().filter_map(digit).fold(0.0, |value, d| value * 10.0 + d as f64))
}

fn vulgar_fraction(c: char) -> Option<f64> {
    Some(match c {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        '⅓' => 1.0 / 3.0,
        '⅔' => 2.0 / 3.0,
        '⅕' => 0.2,
        '⅖' => 0.4,
        '⅗' => 0.6,
        '⅘' => 0.8,
        '⅙' => 1.0 / 6.0,
        '⅚' => 5.0 / 6.0,
        _ => return None,
    })
}

/// `22`, `1.25`, `1,25`, `.25`; a comma with no digit after it is punctuation.
fn decimal(input: &mut Input<'_>) -> Result<f64, Fail> {
    let tail = || preceded(one_of(['.', ',']), digit1);
    let with_whole =
        (digit1, opt(tail())).map(|(whole, tail): (&str, Option<&str>)| (whole, tail.unwrap_or("")));
    let without = preceded('.', digit1).map(|tail: &str| ("0", tail));
    alt((with_whole, without))
        .verify_map(|(whole, tail)| format!("{whole}.{tail}0").parse().ok())
        .parse_next(input)
}

fn word(input: &mut Input<'_>) -> Result<Kind, Fail> {
    let cross = one_of(['×', '*', '✕', '⨯', 'х', 'Х']).value("x".to_owned());
    let dotted = (letters, repeat(0.., preceded('.', letters))).map(|(first, rest): (&str, Vec<&str>)| {
        let mut parts = vec![first];
        parts.extend(rest);
        parts.concat()
    });
    let word = alt((cross, dotted)).parse_next(input)?;
    // The full stop that ends an abbreviation, unless it begins a decimal: `P.5`.
    let before_digit: Result<(char, char), Fail> =
        peek(('.', one_of(|c: char| c.is_ascii_digit()))).parse_next(input);
    if before_digit.is_err() {
        let _: Result<Option<char>, Fail> = opt('.').parse_next(input);
    }
    Ok(Kind::Word(word))
}

/// A run of letters, cut where an `x` joins it to its neighbour: `xPh3`, `22mmx5`.
fn letters<'t>(input: &mut Input<'t>) -> Result<&'t str, Fail> {
    let run: &str = peek(take_while(1.., char::is_alphabetic)).parse_next(input)?;
    let lower = run.to_lowercase();
    let length = match lower.as_str() {
        "mmx" | "inx" => 2,
        "inchx" => 4,
        _ if lower.starts_with(['x', 'х']) => 1,
        _ => run.chars().count(),
    };
    take(length).parse_next(input)
}

fn mark(input: &mut Input<'_>) -> Result<Kind, Fail> {
    any.map(|c| {
        Kind::Mark(match c {
            _ if is_dash(c) => '-',
            '″' | '”' | '“' => '"',
            other => other,
        })
    })
    .parse_next(input)
}

fn is_dash(c: char) -> bool {
    matches!(c, '-' | '–' | '—' | '−' | '‐' | '‑')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> String {
        let show = |token: Token| match token.kind {
            Kind::Number { value, .. } => format!("{value}"),
            Kind::Word(word) => word,
            Kind::Mark(mark) => format!("'{mark}'"),
        };
        tokens(text).into_iter().map(show).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn mixed_numbers_take_only_fractions() {
        assert_eq!(shown("1-3/4-4 ACME"), "1.75 '-' 4 ACME");
        assert_eq!(shown("1 3/4-4"), "1.75 '-' 4");
        assert_eq!(shown("2-4-1/2"), "2 '-' 4.5");
        assert_eq!(shown("1-5 sq"), "1 '-' 5 sq");
        assert_eq!(shown("1½–12"), "1.5 '-' 12");
        assert_eq!(shown("1¹⁄₁₆-8"), "1.0625 '-' 8");
        assert_eq!(shown("7/8″-5"), "0.875 '\"' '-' 5");
    }

    #[test]
    fn commas_dots_and_crosses() {
        assert_eq!(shown("M10×1,25-6g"), "M 10 x 1.25 '-' 6 g");
        assert_eq!(shown("1/2 B.S.W., L.H."), "0.5 BSW ',' LH");
        assert_eq!(shown("Ph3P.5"), "Ph 3 P 0.5");
        assert_eq!(shown("Tr22x5LH-7H"), "Tr 22 x 5 LH '-' 7 H");
        assert_eq!(shown("M16xPh3P1.5"), "M 16 x Ph 3 P 1.5");
        assert_eq!(shown("22mmx5"), "22 mm x 5");
        // The Cyrillic letter.
        assert_eq!(shown("Tr22х5"), "Tr 22 x 5");
        assert_eq!(shown("Löwenherz 6x1"), "Löwenherz 6 x 1");
    }

    #[test]
    fn places_are_bytes() {
        let token = &tokens("Tr 22×5")[3];
        assert_eq!((token.start, token.end), (7, 8));
    }
}
