//! How far a gauge can be trusted when the new part is read.
//!
//! Instruments and feel are those of the readings ([`super::uncertainty`]): a calliper is no better on the new part
//! than it was on the old one.

use super::uncertainty;
use crate::job::{Feature, Instrument, MadeFeature, MadeReading, Quantity, Reading};
use flankwise_thread::{Angle, Element, Length, Source, Unit};

/// Limit of error of a 0.01 mm dial indicator over a short range.
const INDICATOR_LIMIT: Length = Length::um(10.0);
const INDICATOR_SOURCE: Source = Source::memory("DIN 878", "0.01 mm dial indicator over a short range");

/// Step that an instrument in good order is read to, where the reading does not show it.
const fn step(instrument: Instrument) -> Length {
    match instrument {
        Instrument::Micrometer | Instrument::Wires | Instrument::Pins | Instrument::TelescopingGauge => {
            Length::um(1.0)
        }
        _ => Length::um(10.0),
    }
}

/// Standard uncertainty of reading `feature` of the part made, about `size`, and its origin.
pub fn reading(
    feature: MadeFeature,
    part: Element,
    instrument: Instrument,
    size: Length,
    wire: Option<Length>,
) -> (Length, Source) {
    let step = step(instrument);
    let of = match feature {
        MadeFeature::Play | MadeFeature::PlayInPlace => {
            return match instrument {
                Instrument::Calliper | Instrument::Rule => uncertainty::of_cylinder(instrument, size, step),
                _ => indicator(),
            };
        }
        // A gap between upright walls is as plain to read as a cylinder.
        MadeFeature::BodyDiameter | MadeFeature::GrooveWidth => {
            return uncertainty::of_cylinder(instrument, size, step);
        }
        // The outside of a new screw, before it has worn, is a cylinder too.
        MadeFeature::MajorDiameter if part == Element::External => {
            return uncertainty::of_cylinder(instrument, size, step);
        }
        MadeFeature::MajorDiameter => Feature::MajorDiameter,
        MadeFeature::MinorDiameter | MadeFeature::BoreInPlace => Feature::MinorDiameter,
        MadeFeature::OverWires => Feature::OverWires,
        // A span between two crests, laid on like the span of the old part's pitch.
        MadeFeature::Pitch => Feature::Pitch,
    };
    let (value, typed) = (Quantity::Length(size, Unit::Mm), format!("{} mm", step.to_mm()));
    uncertainty::of_reading(&Reading { wire, ..Reading::plain(part, of, value, typed, instrument) })
}

/// Standard uncertainty of a reading as it was taken: the person's own, or that of the instrument about `size`.
pub fn taken(reading: &MadeReading, part: Element, size: Length) -> Length {
    reading
        .uncertainty
        .unwrap_or_else(|| self::reading(reading.feature, part, reading.instrument, size, reading.wire).0)
}

/// Standard uncertainty of a length of a cast of a nut's thread.
pub fn of_cast(feature: Feature, instrument: Instrument, size: Length) -> Length {
    let typed = format!("{} mm", step(instrument).to_mm());
    let value = Quantity::Length(size, Unit::Mm);
    uncertainty::of_reading(&Reading::plain(Element::Internal, feature, value, typed, instrument)).0
}

/// Standard uncertainty of the angle between the flanks of a cast, read to a tenth of a degree.
pub fn of_cast_angle(instrument: Instrument, angle: Angle) -> Angle {
    let value = Quantity::Angle(angle);
    let reading = Reading::plain(Element::Internal, Feature::IncludedAngle, value, "0.1 deg", instrument);
    Angle::deg(uncertainty::alone(&reading))
}

/// Standard uncertainty of play read with a 0.01 mm dial indicator.
pub fn indicator() -> (Length, Source) {
    (INDICATOR_LIMIT / 3f64.sqrt(), INDICATOR_SOURCE)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn u(feature: MadeFeature, part: Element, instrument: Instrument) -> f64 {
        reading(feature, part, instrument, Length::mm(20.0), None).0.to_um()
    }

    /// Micrometer 0 to 25 with limits of 4 µm: 2.309 µm (derived: DIN 863 limit by the GUM's rectangular rule); its
    /// step of 1 µm adds 0.29.
    #[test]
    fn a_cylinder_is_as_good_as_the_instrument() {
        let got = u(MadeFeature::BodyDiameter, Element::Internal, Instrument::Micrometer);
        assert!((got - 2.309_f64.hypot(0.289)).abs() < 0.001, "{got}");
    }

    #[test]
    fn better_instruments_and_easier_places_are_surer() {
        let (nut, screw) = (Element::Internal, Element::External);
        let bore = MadeFeature::MinorDiameter;
        assert!(u(bore, nut, Instrument::TelescopingGauge) < u(bore, nut, Instrument::Calliper));
        let over = MadeFeature::OverWires;
        assert!(u(over, screw, Instrument::Micrometer) < u(over, nut, Instrument::TelescopingGauge));
        assert!(u(over, nut, Instrument::TelescopingGauge) < u(over, nut, Instrument::Calliper));
    }
}
