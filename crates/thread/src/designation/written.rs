//! How sizes are written: shortest decimals that read back to the same length, fractions of an inch, number sizes.

use crate::{Length, Pitch, Unit};

/// The diameter of an inch number size: #0 is 0.060 in, each number 0.013 in more (ASME B1.1-2003, 2.1).
pub(crate) fn number_size(number: u32) -> Length {
    // In whole thousandths, so that #10 is the same float as 0.190 in.
    Length::inch(f64::from(60 + 13 * number) / 1000.0)
}

/// `22`, `7/8`, `1-1/8`, `2.25` as a number.
pub(crate) fn mixed_number(text: &str) -> Option<f64> {
    let fraction = |text: &str| -> Option<f64> {
        match text.split_once('/') {
            Some((top, bottom)) => Some(top.parse::<f64>().ok()? / bottom.parse::<f64>().ok()?),
            None => text.parse().ok(),
        }
    };
    match text.split_once(['-', ' ']) {
        Some((whole, part)) => Some(whole.parse::<f64>().ok()? + fraction(part)?),
        None => fraction(text),
    }
}

/// Fewest decimals with which `value` still reads back to something that `same` accepts.
pub(crate) fn shortest(value: f64, same: impl Fn(f64) -> bool) -> String {
    (0..=12)
        .map(|places| format!("{value:.places$}"))
        .find(|text| text.parse().is_ok_and(&same))
        .unwrap_or_else(|| format!("{value}"))
}

/// Millimetres, trailing zeros cut.
pub(crate) fn millimetres(length: Length) -> String {
    shortest(length.to_mm(), |v| Length::mm(v) == length)
}

/// Modules of worms and racks, mm (DIN 780-1, series 1 and 2, from memory).
const MODULES: [f64; 28] = [
    0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 2.75, 3.0, 3.5, 4.0,
    4.5, 5.0, 5.5, 6.0, 7.0, 8.0, 9.0, 10.0,
];

/// Most threads to the centimetre that a rounded pitch is taken for.
const MOST_PER_CM: u32 = 30;

/// The pitch that so many millimetres in a designation are: where they are a whole or half number of threads to the
/// centimetre or π times a module, rounded to three decimals or more, that to the last bit; ASME B1.5 rounds its pitches in
/// inches so.
pub(crate) fn pitch_in_millimetres(mm: f64) -> Length {
    let rounded = |value: f64, places: usize| format!("{value:.places$}").parse::<f64>() == Ok(mm);
    let places = (0..=12).find(|places| rounded(mm, *places)).unwrap_or(12);
    let counted = (2..=2 * MOST_PER_CM).map(|halves| 20.0 / f64::from(halves));
    let exact = counted.chain(MODULES.map(|module| std::f64::consts::PI * module));
    let meant = exact.filter(|_| places >= 3).find(|exact| rounded(*exact, places));
    Length::mm(meant.unwrap_or(mm))
}

/// A pitch in millimetres, in the fewest decimals that read back to it.
pub(crate) fn pitch_millimetres(pitch: Length) -> String {
    shortest(pitch.to_mm(), |v| pitch_in_millimetres(v) == pitch)
}

/// Inches: a fraction to 64ths where the size is one, else a decimal.
pub(crate) fn inches(length: Length) -> String {
    let value = length.to_inch();
    let sixty_fourths = (value * 64.0).round();
    if sixty_fourths > 0.0 && Length::inch(sixty_fourths / 64.0) == length {
        return mixed(sixty_fourths as u64);
    }
    shortest(value, |v| Length::inch(v) == length)
}

/// A count of 64ths as `1 3/4`.
fn mixed(sixty_fourths: u64) -> String {
    let (whole, mut top, mut bottom) = (sixty_fourths / 64, sixty_fourths % 64, 64);
    if top == 0 {
        return whole.to_string();
    }
    while top % 2 == 0 {
        top /= 2;
        bottom /= 2;
    }
    if whole == 0 { format!("{top}/{bottom}") } else { format!("{whole} {top}/{bottom}") }
}

/// A pitch that was given as a length in inches (`0.4P`) but may be written as threads per inch: that length, or the nearest
/// that those write in twelve decimals where it would not read back to the last bit.
pub(crate) fn pitch_in_inches(length: Length) -> Pitch {
    if let Some(n) = whole_tpi(length.to_inch()) {
        return Pitch::tpi(n);
    }
    if tpi(length).parse().map(Length::per_inch) == Ok(length) {
        return Pitch { length, written: Unit::Inch };
    }
    let exact = length.to_tpi();
    Pitch::tpi((exact * 1e12).round() / 1e12)
}

/// The whole number of threads per inch that so many inches are, rounded to three figures or more: ASME B1.5 writes
/// 3 threads per inch `0.3333P`.
fn whole_tpi(inches: f64) -> Option<f64> {
    let n = (1.0 / inches).round();
    let rounded_to = |places: i32| {
        let scale = 10_f64.powi(places);
        let figures = (inches * scale).round();
        figures >= 100.0
            && (inches * scale - figures).abs() < 1e-9 * figures
            && (scale / n).round() == figures
    };
    let whole = (inches * n - 1.0).abs() < 1e-9 || (2..=9).any(rounded_to);
    (n >= 1.0 && whole).then_some(n)
}

/// A pitch as a length in inches, where that reads back to it.
pub(crate) fn in_inches(pitch: Length) -> Option<String> {
    let reads_back = |v: f64| pitch_in_inches(Length::inch(v)).length == pitch;
    Some(shortest(pitch.to_inch(), reads_back)).filter(|text| text.parse().is_ok_and(reads_back))
}

/// A pitch in inches that someone wrote as a length: a long number of threads per inch, but a shorter one of inches.
pub(crate) fn linear_pitch(pitch: Length) -> Option<String> {
    const LONG: usize = 6;
    let by_count = tpi(pitch).len();
    if by_count <= LONG { None } else { in_inches(pitch).filter(|text| text.len() < by_count) }
}

/// Threads per inch, trailing zeros cut.
pub(crate) fn tpi(pitch: Length) -> String {
    shortest(pitch.to_tpi(), |v| Length::per_inch(v) == pitch)
}

/// A length with its unit: `22 mm`, `7/8 in`.
pub(crate) fn with_unit(length: Length, unit: Unit) -> String {
    match unit {
        Unit::Mm => format!("{} mm", millimetres(length)),
        Unit::Inch => format!("{} in", inches(length)),
    }
}

/// A pitch with its unit: `5 mm`, `10 tpi`, `0.3 in`.
pub(crate) fn pitch(pitch: Pitch) -> String {
    match pitch.written {
        Unit::Mm => format!("{} mm", pitch_millimetres(pitch.length)),
        Unit::Inch => match linear_pitch(pitch.length) {
            Some(inches) => format!("{inches} in"),
            None => format!("{} tpi", tpi(pitch.length)),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_as_the_trade_writes_them() {
        assert_eq!(inches(Length::inch(0.875)), "7/8");
        assert_eq!(inches(Length::inch(1.75)), "1 3/4");
        assert_eq!(inches(Length::inch(2.0)), "2");
        assert_eq!(inches(Length::inch(0.19)), "0.19");
        assert_eq!(inches(number_size(10)), "0.19");
    }

    #[test]
    fn pitches() {
        assert_eq!(pitch(Pitch::tpi(4.5)), "4.5 tpi");
        assert_eq!(pitch(Pitch::tpi(3.0)), "3 tpi");
        assert_eq!(pitch(Pitch::mm(1.5)), "1.5 mm");
    }

    #[test]
    fn pitches_in_inches_read_back() {
        for inches in [0.4, 7.0, 0.3337, 0.3, 22.0, 1.0 / 7.0] {
            let pitch = pitch_in_inches(Length::inch(inches));
            let text = tpi(pitch.length);
            assert_eq!(text.parse().map(Length::per_inch), Ok(pitch.length), "{inches}: {text}");
            assert!((pitch.length.to_inch() - inches).abs() < 1e-9, "{inches}: {text}");
        }
        let shown = |inches| pitch(pitch_in_inches(Length::inch(inches)));
        assert_eq!(shown(0.3), "0.3 in");
        assert_eq!(shown(0.3333), "3 tpi");
        assert_eq!(shown(0.0588), "17 tpi");
        assert_eq!(shown(0.059), "0.059 in");
        assert_eq!(shown(0.4), "2.5 tpi");
    }

    /// 10/6 = 1.6667, 10/7 = 1.42857, 1.5 π = 4.71239, 2 π = 6.28319.
    #[test]
    fn metric_pitches_that_are_no_short_decimals_are_rounded_and_read_back() {
        let pi = std::f64::consts::PI;
        for (mm, text) in [
            (10.0 / 6.0, "1.667"),
            (10.0 / 7.0, "1.429"),
            (1.5 * pi, "4.712"),
            (2.0 * pi, "6.283"),
            (1.25, "1.25"),
        ] {
            assert_eq!(pitch_millimetres(Length::mm(mm)), text);
            assert_eq!(pitch_in_millimetres(text.parse().unwrap()), Length::mm(mm), "{text}");
        }
        // Every further decimal says the same; another third decimal does not.
        assert_eq!(pitch_in_millimetres(1.66667), Length::mm(10.0 / 6.0));
        assert_eq!(pitch_in_millimetres(1.668), Length::mm(1.668));
    }

    #[test]
    fn no_listed_pitch_is_taken_for_another() {
        let listed = crate::family::catalogue().iter().map(|c| c.row.pitch).filter(|p| p.written == Unit::Mm);
        for pitch in listed {
            assert_eq!(pitch_in_millimetres(pitch.length.to_mm()), pitch.length);
        }
    }

    #[test]
    fn mixed_numbers_read() {
        assert_eq!(mixed_number("1-1/8"), Some(1.125));
        assert_eq!(mixed_number("1 1/8"), Some(1.125));
        assert_eq!(mixed_number("7/8"), Some(0.875));
        assert_eq!(mixed_number("x"), None);
    }
}
