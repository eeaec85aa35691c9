//! The one parser for what people type.
//!
//! ```text
//! length = sign? number unit?          16   16 mm   .625in   0,625   5/8"   1-1/8 in   1 1/8"   1½"   2 thou
//! pitch  = length | number "tpi" | number "tpcm"       5 mm   1/5 in   10 tpi   11-1/2 tpi   6 tpcm
//! angle  = sign? number deg?           14.5°   29 deg
//!        | sign? digits ° minutes '? (seconds ")?      14°30'   14°30'15"
//! force  = sign? number unit?          500 N   2 kN   100 lbf   50 kgf
//! number = digits ((. | ,) digits)? | (. | ,) digits | (digits (- | space)?)? fraction
//! ```
//!
//! A comma is a decimal comma and never parts thousands: `1,250 mm` is one and a quarter millimetres. Exponents
//! are not read, since `1e3` at a bench is a slip. What comes out is always finite.

use super::{Angle, Force, Length, Unit};
use std::fmt;
use winnow::ascii::digit1;
use winnow::combinator::{alt, cut_err, opt, peek, preceded, terminated};
use winnow::error::{ContextError, ErrMode};
use winnow::prelude::*;
use winnow::token::{any as character, one_of, take_while};

/// What could not be read, with the place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ParseError {
    /// The text as typed.
    pub text: String,
    /// Byte offset of the first character that did not fit.
    pub at: usize,
    /// What would be accepted, as a phrase.
    pub expected: &'static str,
}

/// Characters shown on either side of the place in a text too long for one line.
const SHOWN: usize = 40;

impl fmt::Display for ParseError {
    /// The text, a line with a caret under the place, and what is accepted.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = self.text.char_indices().take_while(|&(i, _)| i < self.at).count();
        let from = place.saturating_sub(SHOWN);
        let shown: String = self
            .text
            .chars()
            .skip(from)
            .take(2 * SHOWN)
            .map(|c| if c.is_control() { ' ' } else { c })
            .collect();
        let lead = if from > 0 { "…" } else { "" };
        let tail = if self.text.chars().count() > from + 2 * SHOWN { "…" } else { "" };
        writeln!(f, "{lead}{shown}{tail}")?;
        writeln!(f, "{:>1$}", '^', lead.chars().count() + (place - from) + 1)?;
        write!(f, "accepted: {}", self.expected)
    }
}

impl std::error::Error for ParseError {}

/// What a length may look like.
const A_LENGTH: &str = "a length such as 16 mm, 0.625 in, 5/8\", 1-1/8 in, 2 thou or 5 µm";
/// What a pitch may look like.
const A_PITCH: &str = "a pitch such as 5 mm, 0.2 in, 1/5 in, 10 tpi or 6 tpcm";
/// What an angle may look like.
const AN_ANGLE: &str = "an angle such as 14.5°, 29 deg, 14°30' or 14°30'15\"";
/// What a force may look like.
const A_FORCE: &str = "a force such as 500 N, 2 kN, 100 lbf or 50 kgf";

/// Reads a length; a bare number is in `bare`. Returns the unit it was written in as well.
///
/// # Errors
/// The place of the first character that does not fit, when the text is no length.
pub fn parse_length(text: &str, bare: Unit) -> Result<(Length, Unit), ParseError> {
    let (number, unit) = whole(text, A_LENGTH, (signed, length_unit))?;
    let length = match unit {
        LengthUnit::Bare => (Length::from_unit(number, bare), bare),
        LengthUnit::In(unit, size) => (size * number, unit),
    };
    finite(text, length.0.is_finite(), A_LENGTH).map(|()| length)
}

/// Reads a pitch or lead: a length, or so many `tpi` or `tpcm` (threads per centimetre).
///
/// # Errors
/// As [`parse_length`]; also for no threads, or fewer, per inch or centimetre.
pub fn parse_pitch(text: &str, bare: Unit) -> Result<(Length, Unit), ParseError> {
    if let Some((count, over, unit)) = counted_over(text.trim_end()) {
        let number = whole(count, A_PITCH, terminated(signed, space))
            .map_err(|e| ParseError { text: text.to_owned(), ..e })?;
        let length = over / number;
        return finite(text, number > 0.0 && length.is_finite(), "more than 0 threads")
            .map(|()| (length, unit));
    }
    parse_length(text, bare).map_err(|e| ParseError { expected: A_PITCH, ..e })
}

/// Reads an angle: `14.5°`, `14°30'`, `29 deg`; a bare number is in degrees.
///
/// # Errors
/// The place of the first character that does not fit; also for 60 or more minutes or seconds.
pub fn parse_angle(text: &str) -> Result<Angle, ParseError> {
    let degrees = whole(text, AN_ANGLE, alt((sexagesimal, terminated(signed, opt(degree_mark)))))?;
    finite(text, degrees.is_finite(), AN_ANGLE).map(|()| Angle::deg(degrees))
}

/// Reads a force: `500 N`, `2 kN`, `100 lbf`, `50 kgf`; a bare number is in newtons. `kg` and `lb` are taken as
/// the weight of that mass under standard gravity, as people at a bench mean them.
///
/// # Errors
/// The place of the first character that does not fit.
pub fn parse_force(text: &str) -> Result<Force, ParseError> {
    let (number, size) = whole(text, A_FORCE, (signed, force_unit))?;
    let force = size * number;
    finite(text, force.is_finite(), A_FORCE).map(|()| force)
}

type Fault = ErrMode<ContextError<&'static str>>;
type Read<T> = Result<T, Fault>;

/// Runs `parser` over all of `text`, spaces around it allowed.
fn whole<'a, T>(
    text: &'a str,
    expected: &'static str,
    parser: impl Parser<&'a str, T, Fault>,
) -> Result<T, ParseError> {
    let mut parser = winnow::combinator::delimited(space, parser, space);
    parser.parse(text).map_err(|e| ParseError {
        text: text.to_owned(),
        at: e.char_span().start,
        expected: e.inner().context().next().copied().unwrap_or(expected),
    })
}

/// Refuses what overflowed.
fn finite(text: &str, holds: bool, expected: &'static str) -> Result<(), ParseError> {
    if holds { Ok(()) } else { Err(ParseError { text: text.to_owned(), at: 0, expected }) }
}

fn space(i: &mut &str) -> Read<()> {
    take_while(0.., char::is_whitespace).void().parse_next(i)
}

fn sign(i: &mut &str) -> Read<f64> {
    let sign = opt(terminated(one_of(['-', '\u{2212}', '+']), space)).parse_next(i)?;
    Ok(if matches!(sign, None | Some('+')) { 1.0 } else { -1.0 })
}

fn signed(i: &mut &str) -> Read<f64> {
    (sign, number).map(|(sign, number)| sign * number).parse_next(i)
}

/// A number without sign: decimal, fraction, or whole with fraction.
fn number(i: &mut &str) -> Read<f64> {
    alt((part, decimal_without_whole, whole_number)).parse_next(i)
}

/// `.625`
fn decimal_without_whole(i: &mut &str) -> Read<f64> {
    preceded(one_of(['.', ',']), digit1).map(|d: &str| as_f64(&format!("0.{d}"))).parse_next(i)
}

/// `16`, `16.5`, `0,625`, `1-1/8`, `1 1/8`, `1½`
fn whole_number(i: &mut &str) -> Read<f64> {
    let digits: &str = digit1.parse_next(i)?;
    if let Some(decimals) = opt(preceded(one_of(['.', ',']), digit1)).parse_next(i)? {
        return Ok(as_f64(&format!("{digits}.{decimals}")));
    }
    let part = opt(preceded(opt(alt((join, some_space))), part)).parse_next(i)?;
    Ok(as_f64(digits) + part.unwrap_or(0.0))
}

/// The dash between a whole number and its fraction.
fn join(i: &mut &str) -> Read<()> {
    terminated(one_of(['-', '\u{2010}', '\u{2011}', '\u{2013}']), peek(character)).void().parse_next(i)
}

fn some_space(i: &mut &str) -> Read<()> {
    take_while(1.., char::is_whitespace).void().parse_next(i)
}

/// A fraction: `5/8` or a single character such as `⅝`.
fn part(i: &mut &str) -> Read<f64> {
    alt((character.verify_map(vulgar_fraction), slashed)).parse_next(i)
}

fn slashed(i: &mut &str) -> Read<f64> {
    let over: &str = terminated(digit1, one_of(['/', '\u{2044}'])).parse_next(i)?;
    let under = cut_err(digit1.map(as_f64).verify(|d| *d > 0.0 && d.is_finite()))
        .context("a denominator of 1 or more")
        .parse_next(i)?;
    Ok(as_f64(over) / under)
}

/// Unicode's one-character fractions that occur in inch work.
fn vulgar_fraction(c: char) -> Option<f64> {
    let (over, under) = match c {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    };
    Some(f64::from(over) / f64::from(under))
}

/// Digits with at most one point always parse; a number too large becomes infinite and is refused by [`finite`].
fn as_f64(digits: &str) -> f64 {
    digits.parse().unwrap_or(f64::INFINITY)
}

#[derive(Clone, Copy)]
enum LengthUnit {
    Bare,
    In(Unit, Length),
}

/// A run of letters that `known` knows, in any case; a full stop may close it.
fn word<T>(known: impl Fn(&str) -> Option<T>) -> impl FnMut(&mut &str) -> Read<T> {
    move |i| {
        terminated(
            take_while(1.., char::is_alphabetic).verify_map(|w: &str| known(&w.to_lowercase())),
            opt('.'),
        )
        .parse_next(i)
    }
}

/// Double quotes, straight and curled, the double prime, and two single ones.
fn double_mark(i: &mut &str) -> Read<()> {
    alt((one_of(['"', '\u{2033}', '\u{201d}']).void(), (single_mark, single_mark).void())).parse_next(i)
}

/// The apostrophe, straight and curled, and the prime.
fn single_mark(i: &mut &str) -> Read<()> {
    one_of(['\'', '\u{2032}', '\u{2019}']).void().parse_next(i)
}

fn length_unit(i: &mut &str) -> Read<LengthUnit> {
    let inch = LengthUnit::In(Unit::Inch, Length::inch(1.0));
    let named = |w: &str| {
        Some(match w {
            "mm" => LengthUnit::In(Unit::Mm, Length::mm(1.0)),
            "cm" => LengthUnit::In(Unit::Mm, Length::mm(10.0)),
            // Lower case turns the micro sign's letter into the Greek mu, and leaves the sign as it is.
            "um" | "\u{b5}m" | "\u{3bc}m" => LengthUnit::In(Unit::Mm, Length::um(1.0)),
            "in" | "inch" | "inches" => inch,
            "thou" => LengthUnit::In(Unit::Inch, Length::thou(1.0)),
            _ => return None,
        })
    };
    let unit = preceded(space, alt((double_mark.value(inch), word(named))));
    opt(unit).map(|u| u.unwrap_or(LengthUnit::Bare)).parse_next(i)
}

fn force_unit(i: &mut &str) -> Read<Force> {
    /// Standard gravity, m/s², exact (3rd CGPM, 1901; ISO 80000-3).
    const G: f64 = 9.806_65;
    let named = |w: &str| {
        Some(match w {
            "n" => Force::newton(1.0),
            "dan" => Force::newton(10.0),
            "kn" => Force::newton(1000.0),
            "kgf" | "kp" | "kg" => Force::newton(G),
            "lbf" | "lb" | "lbs" => Force::lbf(1.0),
            _ => return None,
        })
    };
    opt(preceded(space, word(named))).map(|u| u.unwrap_or(Force::newton(1.0))).parse_next(i)
}

/// `°` or `deg`, with space before it.
fn degree_mark(i: &mut &str) -> Read<()> {
    let named = |w: &str| matches!(w, "deg" | "degree" | "degrees").then_some(());
    preceded(space, alt((one_of(['°', 'º']).void(), word(named)))).parse_next(i)
}

/// `14°30'` or `14°30'15"`, in degrees.
fn sexagesimal(i: &mut &str) -> Read<f64> {
    let (sign, degrees): (f64, &str) = terminated((sign, digit1), (degree_mark, space)).parse_next(i)?;
    let minutes = terminated(sixtieth, (space, single_mark, space)).parse_next(i)?;
    let seconds = opt(terminated(sixtieth, (space, double_mark))).parse_next(i)?;
    Ok(sign * (as_f64(degrees) + minutes / 60.0 + seconds.unwrap_or(0.0) / 3600.0))
}

/// Minutes or seconds: decimals allowed, below 60.
fn sixtieth(i: &mut &str) -> Read<f64> {
    peek(digit1).parse_next(i)?;
    cut_err(whole_number.verify(|v| *v < 60.0)).context("less than 60").parse_next(i)
}

/// Ways of writing that threads were counted over a length, the longer names of one before the shorter.
const COUNTED: [(&str, Length, Unit); 9] = [
    ("tpi", Length::inch(1.0), Unit::Inch),
    ("t.p.i.", Length::inch(1.0), Unit::Inch),
    ("threads per inch", Length::inch(1.0), Unit::Inch),
    ("per inch", Length::inch(1.0), Unit::Inch),
    ("tpcm", Length::mm(10.0), Unit::Mm),
    ("threads per centimetre", Length::mm(10.0), Unit::Mm),
    ("per centimetre", Length::mm(10.0), Unit::Mm),
    ("threads per cm", Length::mm(10.0), Unit::Mm),
    ("per cm", Length::mm(10.0), Unit::Mm),
];

/// What stands before the words that say so, the length counted over, and the unit that the pitch counts as written in.
fn counted_over(text: &str) -> Option<(&str, Length, Unit)> {
    COUNTED.into_iter().find_map(|(words, over, unit)| {
        let cut = text.len().checked_sub(words.len()).filter(|&c| text.is_char_boundary(c))?;
        text[cut..].eq_ignore_ascii_case(words).then(|| (&text[..cut], over, unit))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Typed, bare unit, millimetres, unit it counts as written in.
    const LENGTHS: &[(&str, Unit, f64, Unit)] = &[
        ("16", Unit::Mm, 16.0, Unit::Mm),
        ("16", Unit::Inch, 406.4, Unit::Inch),
        ("16 mm", Unit::Inch, 16.0, Unit::Mm),
        ("16mm", Unit::Inch, 16.0, Unit::Mm),
        ("  16 MM ", Unit::Inch, 16.0, Unit::Mm),
        ("16\u{a0}mm", Unit::Inch, 16.0, Unit::Mm),
        ("5/8\"", Unit::Mm, 15.875, Unit::Inch),
        ("5/8 in", Unit::Mm, 15.875, Unit::Inch),
        ("5/8in.", Unit::Mm, 15.875, Unit::Inch),
        ("5⁄8″", Unit::Mm, 15.875, Unit::Inch),
        ("5/8''", Unit::Mm, 15.875, Unit::Inch),
        ("⅝ inch", Unit::Mm, 15.875, Unit::Inch),
        ("1-1/8 in", Unit::Mm, 28.575, Unit::Inch),
        ("1 1/8\"", Unit::Mm, 28.575, Unit::Inch),
        ("1⅛”", Unit::Mm, 28.575, Unit::Inch),
        ("1 ⅛ inches", Unit::Mm, 28.575, Unit::Inch),
        (".625in", Unit::Mm, 15.875, Unit::Inch),
        (",625in", Unit::Mm, 15.875, Unit::Inch),
        ("0,625", Unit::Inch, 15.875, Unit::Inch),
        ("0,625", Unit::Mm, 0.625, Unit::Mm),
        ("2 thou", Unit::Mm, 0.0508, Unit::Inch),
        ("5 um", Unit::Inch, 0.005, Unit::Mm),
        ("5 \u{b5}m", Unit::Inch, 0.005, Unit::Mm),
        ("5 \u{3bc}m", Unit::Inch, 0.005, Unit::Mm),
        ("2 cm", Unit::Inch, 20.0, Unit::Mm),
        ("-3 mm", Unit::Mm, -3.0, Unit::Mm),
        ("\u{2212}3 mm", Unit::Mm, -3.0, Unit::Mm),
        ("+3 mm", Unit::Mm, 3.0, Unit::Mm),
        ("-1-1/8 in", Unit::Mm, -28.575, Unit::Inch),
        ("0", Unit::Mm, 0.0, Unit::Mm),
    ];

    #[test]
    fn lengths_as_people_type_them() {
        for &(typed, bare, mm, unit) in LENGTHS {
            let (length, written) = parse_length(typed, bare).unwrap_or_else(|e| panic!("{typed}\n{e}"));
            assert!((length.to_mm() - mm).abs() < 1e-12 * mm.abs().max(1.0), "{typed}: {}", length.to_mm());
            assert_eq!(written, unit, "{typed}");
            assert_eq!(
                parse_pitch(typed, bare),
                Ok((length, written)),
                "a pitch may be written as any length"
            );
        }
    }

    #[test]
    fn pitches_also_by_the_inch() {
        for (typed, mm) in [
            ("10 tpi", 2.54),
            ("10TPI", 2.54),
            ("5 tpi ", 5.08),
            ("11.5 tpi", 25.4 / 11.5),
            ("11-1/2 tpi", 25.4 / 11.5),
            ("11½ t.p.i.", 25.4 / 11.5),
            ("8 threads per inch", 3.175),
            ("8 per inch", 3.175),
        ] {
            let (length, unit) = parse_pitch(typed, Unit::Mm).unwrap_or_else(|e| panic!("{typed}\n{e}"));
            assert!((length.to_mm() - mm).abs() < 1e-12, "{typed}");
            assert_eq!(unit, Unit::Inch);
            assert!(parse_length(typed, Unit::Mm).is_err(), "{typed} is no length");
        }
    }

    #[test]
    fn pitches_also_by_the_centimetre() {
        for (typed, mm) in
            [("6 tpcm", 10.0 / 6.0), ("4.5 threads per cm", 10.0 / 4.5), ("7 per centimetre", 10.0 / 7.0)]
        {
            let (length, unit) = parse_pitch(typed, Unit::Inch).unwrap_or_else(|e| panic!("{typed}\n{e}"));
            assert_eq!((length.to_mm(), unit), (mm, Unit::Mm), "{typed}");
        }
    }

    #[test]
    fn angles_as_people_type_them() {
        for (typed, deg) in [
            ("14.5", 14.5),
            ("14.5°", 14.5),
            ("14,5 °", 14.5),
            ("14-1/2°", 14.5),
            ("14½ deg", 14.5),
            ("14°30'", 14.5),
            ("14° 30′", 14.5),
            ("14 deg 30'", 14.5),
            ("14°30'15\"", 14.5 + 15.0 / 3600.0),
            ("14°30′15″", 14.5 + 15.0 / 3600.0),
            ("14°30'15''", 14.5 + 15.0 / 3600.0),
            ("29 deg", 29.0),
            ("29 degrees", 29.0),
            ("-0°30'", -0.5),
            ("-5 deg", -5.0),
        ] {
            let angle = parse_angle(typed).unwrap_or_else(|e| panic!("{typed}\n{e}"));
            assert!((angle.to_deg() - deg).abs() < 1e-12, "{typed}: {}", angle.to_deg());
        }
    }

    #[test]
    fn forces_as_people_type_them() {
        // kgf: 9.806 65 N exactly; lbf: 4.448 221 615 260 5 N exactly (NIST SP 811, appendix B.8).
        for (typed, newton) in [
            ("500", 500.0),
            ("500 N", 500.0),
            ("2 kN", 2000.0),
            ("2,5kN", 2500.0),
            ("50 daN", 500.0),
            ("100 lbf", 444.822_161_526_05),
            ("100 lb", 444.822_161_526_05),
            ("50 kgf", 490.3325),
            ("50 kg", 490.3325),
        ] {
            let force = parse_force(typed).unwrap_or_else(|e| panic!("{typed}\n{e}"));
            assert!((force.to_newton() - newton).abs() < 1e-9, "{typed}: {}", force.to_newton());
        }
    }

    #[test]
    fn refusals_mark_the_place() {
        let cases: &[(&str, usize)] = &[
            ("", 0),
            ("   ", 3),
            ("wide", 0),
            ("16 m", 3),
            ("16 mm x", 6),
            ("1 2 mm", 2),
            ("5/0\"", 2),
            ("5/00 in", 2),
            ("5/", 2),
            ("5/in", 2),
            ("1e400 mm", 1),
            ("1e3", 1),
            ("nan", 0),
            ("NaN mm", 0),
            ("inf", 0),
            ("-inf mm", 1),
            ("infinity in", 0),
            ("16..5", 2),
            ("1.234,5 mm", 5),
            ("--3", 1),
            ("3 -", 2),
            ("7/8-5", 3),
            ("M22", 0),
            ("0x10", 1),
            ("10 tpi", 3),
            ("½½", 2),
        ];
        for &(typed, at) in cases {
            let error = parse_length(typed, Unit::Mm).expect_err(typed);
            assert_eq!(error.at, at, "{typed}\n{error}");
            assert_eq!(error.text, typed);
        }
        let too_large = "9".repeat(400);
        assert_eq!(parse_length(&too_large, Unit::Mm).map_err(|e| e.at), Err(0));
        assert_eq!(parse_length(&format!("1/{too_large}"), Unit::Mm).map_err(|e| e.at), Err(2));
        for typed in ["0 tpi", "0 tpcm", "-5 tpi", "tpi", "5 5 tpi", "1/0 tpi"] {
            assert!(parse_pitch(typed, Unit::Mm).is_err(), "{typed}");
        }
        for typed in ["14°60'", "14°30'60\"", "14.5°30'", "14°30", "deg", "1e400", "nan°"] {
            assert!(parse_angle(typed).is_err(), "{typed}");
        }
        for typed in ["5 mm", "N", "1e400 N", "5 kNm", "inf N"] {
            assert!(parse_force(typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn the_message_shows_the_place() {
        let message = parse_length("16 m", Unit::Mm).unwrap_err().to_string();
        assert_eq!(
            message,
            "16 m\n   ^\naccepted: a length such as 16 mm, 0.625 in, 5/8\", 1-1/8 in, 2 thou or 5 µm"
        );
        let message = parse_length("5/0\"", Unit::Mm).unwrap_err().to_string();
        assert_eq!(message, "5/0\"\n  ^\naccepted: a denominator of 1 or more");
        let message = parse_angle("14°75'").unwrap_err().to_string();
        assert_eq!(message, "14°75'\n   ^\naccepted: less than 60");
        let long = format!("{}x{}", "1".repeat(100), "2".repeat(100));
        let message = parse_length(&long, Unit::Mm).unwrap_err().to_string();
        let lines: Vec<&str> = message.lines().collect();
        assert_eq!(lines[0].chars().nth(lines[1].chars().count() - 1), Some('x'));
        assert_eq!(lines[0].chars().count(), 82);
    }

    proptest! {
        #[test]
        fn no_text_panics(text in any::<String>(), near in "[-+−0-9.,/⁄½ °'′\"″a-zA-Zµ]{0,24}") {
            for text in [text, near] {
                for error in [
                    parse_length(&text, Unit::Mm).map(|(l, _)| assert!(l.is_finite())).err(),
                    parse_pitch(&text, Unit::Inch).map(|(l, _)| assert!(l.is_finite())).err(),
                    parse_angle(&text).map(|a| assert!(a.is_finite())).err(),
                    parse_force(&text).map(|f| assert!(f.is_finite())).err(),
                ].into_iter().flatten() {
                    prop_assert!(text.is_char_boundary(error.at));
                    prop_assert!(!error.to_string().is_empty());
                }
            }
        }

        #[test]
        fn printed_lengths_read_back(v in -1e6f64..1e6) {
            prop_assert_eq!(parse_length(&format!("{v} mm"), Unit::Inch), Ok((Length::mm(v), Unit::Mm)));
            prop_assert_eq!(parse_length(&format!("{v}"), Unit::Inch), Ok((Length::inch(v), Unit::Inch)));
            prop_assert_eq!(
                parse_length(&format!("{v}").replace('.', ","), Unit::Mm),
                Ok((Length::mm(v), Unit::Mm))
            );
            prop_assert_eq!(parse_angle(&format!("{v}°")), Ok(Angle::deg(v)));
        }

        #[test]
        fn units_agree(v in 0.001f64..1e4) {
            let read = |text: String| parse_length(&text, Unit::Mm).unwrap().0.to_mm();
            let inches = read(format!("{v} in"));
            for other in [read(format!("{} mm", v * 25.4)), read(format!("{} thou", v * 1000.0)),
                          read(format!("{} cm", v * 2.54)), read(format!("{} um", v * 25_400.0))] {
                prop_assert!((inches / other - 1.0).abs() < 1e-12);
            }
            let pitch = parse_pitch(&format!("{v} tpi"), Unit::Mm).unwrap().0;
            prop_assert!((pitch.to_tpi() / v - 1.0).abs() < 1e-12);
        }

        #[test]
        fn fractions_are_exact(whole in 0u32..12, over in 1u32..64, under in 1u32..=64) {
            let expected = Length::inch(f64::from(whole) + f64::from(over) / f64::from(under));
            for join in ["-", " "] {
                let typed = format!("{whole}{join}{over}/{under} in");
                prop_assert_eq!(parse_length(&typed, Unit::Mm), Ok((expected, Unit::Inch)));
            }
        }
    }
}
