//! Writes values for a reader: the only place where numbers are rounded.

use super::{Fine, Span, Text, Value};
use flankwise_thread::{Angle, Length, Unit};

/// Decimals shown for a length of this fineness in `unit`.
pub const fn decimals(fine: Fine, unit: Unit) -> usize {
    match (fine, unit) {
        (Fine::Coarse, Unit::Mm) => 1,
        (Fine::Coarse, Unit::Inch) | (Fine::Shop | Fine::Play, Unit::Mm) => 2,
        (Fine::Shop, Unit::Inch) | (Fine::Gauge, Unit::Mm) => 3,
        (Fine::Play | Fine::Gauge, Unit::Inch) => 4,
    }
}

/// The number of a length without its unit.
pub fn length_number(length: Length, fine: Fine, unit: Unit) -> String {
    fixed(length.in_unit(unit), decimals(fine, unit))
}

/// `mm` or `in`.
pub const fn unit_sign(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "mm",
        Unit::Inch => "in",
    }
}

/// Fixed decimals, never `-0.00`.
fn fixed(v: f64, decimals: usize) -> String {
    let text = format!("{v:.decimals$}");
    if text.starts_with('-') && text[1..].chars().all(|c| c == '0' || c == '.') {
        text[1..].to_owned()
    } else {
        text
    }
}

/// So many significant digits, without exponent.
fn significant(v: f64, digits: i32) -> String {
    if v == 0.0 || !v.is_finite() {
        return fixed(v, 0);
    }
    let places = digits - 1 - v.abs().log10().floor() as i32;
    if places > 0 {
        fixed(v, places as usize)
    } else {
        let step = 10f64.powi(-places);
        fixed((v / step).round() * step, 0)
    }
}

/// A value as words, lengths and the quantities derived from them in the reader's unit.
pub fn value(value: &Value, unit: Unit) -> String {
    match value {
        Value::Length(l, fine) => format!("{} {}", length_number(*l, *fine, unit), unit_sign(unit)),
        Value::Band(lo, hi, fine) => {
            let (lo, hi) = (length_number(*lo, *fine, unit), length_number(*hi, *fine, unit));
            let sign = unit_sign(unit);
            if lo == hi { format!("{lo} {sign}") } else { format!("{lo} to {hi} {sign}") }
        }
        Value::Setting(l, own) => {
            format!("{} {}", length_number(*l, Fine::Gauge, *own), unit_sign(*own))
        }
        Value::Pitch(p) => p.to_string(),
        Value::Angle(a, places) => format!("{}°", fixed(a.to_deg(), usize::from(*places))),
        Value::Force(f) => match unit {
            Unit::Mm => format!("{} N", significant(f.to_newton(), 3)),
            Unit::Inch => format!("{} lbf", significant(f.to_lbf(), 3)),
        },
        Value::TorqueNm(t) => match unit {
            Unit::Mm => format!("{} N·m", significant(*t, 3)),
            Unit::Inch => format!("{} lbf·in", significant(t / 0.112_984_829, 3)),
        },
        Value::Mpa(p) => match unit {
            Unit::Mm => format!("{} N/mm²", significant(*p, 3)),
            Unit::Inch => format!("{} psi", significant(p / 0.006_894_757, 3)),
        },
        // A spindle's speeds have four digits; what has more was reckoned.
        Value::Rpm(n) if n.abs() >= 10_000.0 => format!("{} rev/min", significant(*n, 3)),
        Value::Rpm(n) => format!("{} rev/min", fixed(*n, 0)),
        Value::SurfaceMPerMin(v) => match unit {
            Unit::Mm => format!("{} m/min", significant(*v, 2)),
            Unit::Inch => format!("{} ft/min", significant(v / 0.3048, 2)),
        },
        Value::Seconds(s) => duration(*s),
        Value::Kg(m) => match unit {
            Unit::Mm => format!("{} kg", significant(*m, 2)),
            Unit::Inch => format!("{} lb", significant(m / 0.453_592_37, 2)),
        },
        Value::Money(amount, currency) => format!("{currency} {}", fixed(*amount, 0)),
        Value::Mm2(a) => match unit {
            Unit::Mm => format!("{} mm²", significant(*a, 3)),
            Unit::Inch => format!("{} in²", significant(a / 645.16, 3)),
        },
        Value::NPerMm(k) => match unit {
            Unit::Mm => format!("{} N/mm", significant(*k, 3)),
            Unit::Inch => format!("{} lbf/in", significant(k * 5.710_147, 3)),
        },
        Value::PowerKw(p) => match unit {
            Unit::Mm => format!("{} kW", significant(*p, 2)),
            Unit::Inch => format!("{} hp", significant(p / 0.745_699_872, 2)),
        },
        Value::Hz(f) => format!("{} Hz", significant(*f, 3)),
        Value::Share(p) => share(*p),
        Value::Ppm(p) => format!("{} ppm", fixed(*p, 0)),
        Value::Bits(b) => format!("{} bit", fixed(*b, 2)),
        Value::Number(v, _) if v.abs() >= 100.0 => fixed(*v, 0),
        Value::Number(v, places) => fixed(*v, usize::from(*places)),
        Value::Count(n) => n.to_string(),
        Value::Yes(yes) => (if *yes { "yes" } else { "no" }).to_owned(),
        Value::Word(w) => w.clone(),
        Value::Said(said) => text(said, unit),
        Value::None => String::new(),
    }
}

/// Decimals of a degree, four at most, that write a form's angle in full: 30°, 14.5°, 53.1301°.
pub fn places_of_angle(angle: Angle) -> u8 {
    let whole = |v: f64| (v - v.round()).abs() < 1e-6;
    (0..4).find(|&places| whole(angle.to_deg() * 10_f64.powi(places))).map_or(4, |places| places as u8)
}

/// Probabilities never read 0 % or 100 %: no evidence gives certainty.
fn share(p: f64) -> String {
    let percent = p * 100.0;
    if percent > 99.9 && p < 1.0 {
        "over 99.9 %".to_owned()
    } else if percent < 0.1 && p > 0.0 {
        "under 0.1 %".to_owned()
    } else {
        format!("{} %", fixed(percent, 1))
    }
}

fn duration(s: f64) -> String {
    if s < 90.0 {
        return format!("{} s", significant(s, 2));
    }
    let minutes = (s / 60.0).round() as i64;
    if minutes < 60 {
        format!("{minutes} min")
    } else {
        format!("{} h {:02} min", minutes / 60, minutes % 60)
    }
}

/// Running text with its values written.
pub fn text(text: &Text, unit: Unit) -> String {
    text.0
        .iter()
        .map(|span| match span {
            Span::Words(w) => w.clone(),
            Span::Value(v) => value(v, unit),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn never_writes_minus_zero_or_certainty() {
        assert_eq!(value(&Value::Length(Length::mm(-0.0001), Fine::Shop), Unit::Mm), "0.00 mm");
        assert_eq!(value(&Value::Share(0.99999), Unit::Mm), "over 99.9 %");
        assert_eq!(value(&Value::Share(0.9312), Unit::Mm), "93.1 %");
    }

    #[test]
    fn angles_are_written_with_the_decimals_they_need() {
        let places = |degrees| places_of_angle(Angle::deg(degrees));
        assert_eq!([30.0, 29.999999999999996, 14.5, 53.1301].map(places), [0, 0, 1, 4]);
    }

    #[test]
    fn writes_in_the_readers_unit() {
        let v = Value::Length(Length::inch(0.625), Fine::Gauge);
        assert_eq!(value(&v, Unit::Mm), "15.875 mm");
        assert_eq!(value(&v, Unit::Inch), "0.6250 in");
        assert_eq!(value(&Value::Seconds(3700.0), Unit::Mm), "1 h 02 min");
        // One horsepower is 550 foot-pounds a second.
        assert_eq!(value(&Value::PowerKw(0.745_7), Unit::Inch), "1.0 hp");
        assert_eq!(value(&Value::PowerKw(0.0123), Unit::Mm), "0.012 kW");
    }
}
