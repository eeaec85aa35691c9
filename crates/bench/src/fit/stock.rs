//! Stock to order for the part: bar, length, mass and price.

use super::Fit;
use super::outline::{self, What};
use crate::job::Job;
use crate::material::{self, Material};
use crate::report::{Figure, Fine, Value};
use flankwise_thread::{Element, Length, Source, Unit};
use std::f64::consts::PI;

const STOCK: Source =
    Source::practice("bar one usual size up that leaves 1 mm to clean up on the diameter, 2 mm over 50 mm");
const STOCK_LENGTH: Source =
    Source::practice("6 mm a piece for facing and parting, 25 mm once for the chuck");
/// For facing and parting off, each piece (see [`STOCK_LENGTH`]).
const FACING: Length = Length::mm(6.0);
/// For the chuck to hold, once (see [`STOCK_LENGTH`]).
const IN_THE_CHUCK: Length = Length::mm(25.0);

/// Usual round bar, mm. Common practice, no source.
const BARS_MM: [f64; 40] = [
    6.0, 8.0, 10.0, 12.0, 14.0, 15.0, 16.0, 18.0, 20.0, 22.0, 24.0, 25.0, 28.0, 30.0, 32.0, 35.0, 38.0, 40.0,
    42.0, 45.0, 48.0, 50.0, 55.0, 60.0, 65.0, 70.0, 75.0, 80.0, 85.0, 90.0, 95.0, 100.0, 110.0, 120.0, 130.0,
    140.0, 150.0, 160.0, 180.0, 200.0,
];

/// The next usual bar from which `diameter` can be turned, in sizes of `unit` (inch: eighths to 3 in, then
/// quarters). Beyond the usual sizes the diameter with its allowance.
pub fn bar_for(diameter: Length, unit: Unit) -> Length {
    let least = diameter + if diameter > Length::mm(50.0) { Length::mm(2.0) } else { Length::mm(1.0) };
    match unit {
        Unit::Mm => BARS_MM.iter().map(|d| Length::mm(*d)).find(|d| *d >= least).unwrap_or(least),
        Unit::Inch => {
            let step = if least.to_inch() <= 3.0 { 0.125 } else { 0.25 };
            Length::inch((least.to_inch() / step - 1e-9).ceil() * step)
        }
    }
}

/// Largest diameter that has to be turned, and the part's length.
fn envelope(fit: &Fit, job: &Job) -> (Option<Length>, Length) {
    let body = &job.make.body;
    let given = [fit.body.map(|b| b.max), body.outside, body.flange];
    let stretches = outline::outside(fit, &job.make);
    let largest = given.into_iter().flatten().chain(stretches.iter().map(|s| s.diameter)).reduce(Length::max);
    (largest, fit.part_length(&job.make))
}

fn cylinder_mm3(diameter: Length, length: Length) -> f64 {
    PI / 4.0 * diameter.to_mm().powi(2) * length.to_mm()
}

/// Volume of the finished part in mm³, thread at its pitch diameter, holes, keyways and flats neglected.
pub(crate) fn finished_mm3(fit: &Fit, job: &Job) -> Option<f64> {
    let stretches = outline::outside(fit, &job.make);
    let whole = stretches.last()?.to;
    let pitch = fit.pitch_diameter.aim;
    let solid = stretches
        .iter()
        .map(|s| cylinder_mm3(if s.what == What::Thread { pitch } else { s.diameter }, s.length()))
        .sum::<f64>();
    if fit.part == Element::External {
        return Some(solid);
    }
    // Behind the thread: open to the far end, or a groove or the run-out of a blind bore.
    let behind = whole.min(if fit.through { whole } else { fit.blind_depth() }) - fit.length;
    let across = fit.opened.or(fit.relief_diameter).unwrap_or(fit.blank.aim);
    Some(solid - cylinder_mm3(pitch, fit.length) - cylinder_mm3(across, behind.max(Length::ZERO)))
}

/// Mass of the stock in kilograms.
pub(crate) fn stock_kg(fit: &Fit, material: &Material) -> Option<f64> {
    let (diameter, length) = fit.stock?;
    Some(cylinder_mm3(diameter, length) * material.density * 1e-9)
}

/// Adds what to order.
pub(super) fn plan(fit: &mut Fit, job: &Job, figures: &mut Vec<Figure>) {
    let (largest, length) = envelope(fit, job);
    let Some(largest) = largest else { return };
    let pieces = f64::from(job.make.pieces.max(1));
    let bar = bar_for(largest, job.unit);
    let order = (length + FACING) * pieces + IN_THE_CHUCK;
    fit.stock = Some((bar, order));
    figures.push(
        Figure::new("stock_diameter", "bar to order", Value::Length(bar, Fine::Shop), STOCK)
            .formula("next usual size above the largest diameter and its allowance"),
    );
    figures.push(
        Figure::new(
            "stock_length",
            "length of bar to order",
            Value::Length(order, Fine::Coarse),
            STOCK_LENGTH,
        )
        .formula("pieces · (length + 6 mm) + 25 mm"),
    );
    let Some(material) = material::material(fit.material) else { return };
    let density = Source::memory("common tables", "density, good to about 1 %");
    if let Some(kg) = stock_kg(fit, material) {
        figures.push(
            Figure::new("stock_mass", "mass of that bar", Value::Kg(kg), density).formula("π/4 d² L ρ"),
        );
        if let Some(rate) = job.rates.kilogram {
            let currency = job.rates.currency().to_owned();
            let source = Source::derived("mass of the bar at the job's price of a kilogram");
            figures.push(
                Figure::new("stock_price", "price of that bar", Value::Money(kg * rate, currency), source)
                    .formula("mass · price of a kilogram"),
            );
        }
    }
    if let Some(mm3) = finished_mm3(fit, job) {
        let kg = mm3 * material.density * 1e-9;
        figures.push(
            Figure::new(
                "part_mass",
                "mass of the finished part, holes, keyways and flats neglected",
                Value::Kg(kg),
                density,
            )
            .formula("π/4 ρ Σ d² L"),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn next_usual_bar() {
        let mm = Length::mm;
        assert_eq!(bar_for(mm(55.0), Unit::Mm), mm(60.0));
        assert_eq!(bar_for(mm(36.0), Unit::Mm), mm(38.0));
        assert_eq!(bar_for(mm(22.0), Unit::Mm), mm(24.0));
        assert_eq!(bar_for(Length::inch(1.25), Unit::Inch), Length::inch(1.375));
        assert_eq!(bar_for(mm(400.0), Unit::Mm), mm(402.0));
    }
}
