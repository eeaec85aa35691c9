//! The body of the part: its fit in the housing, the wall left, the stock to order, its mass.

use super::{Aside, Fit, Size, iso286};
use crate::job::{HoleKind, Job};
use crate::material::{self, Material};
use crate::report::{Block, Figure, Fine, Note, Text, Value};
use flankwise_thread::{Element, Length, Source, Unit};
use std::f64::consts::PI;

/// Class of the body where the job names none: slides in by hand without shake.
const DEFAULT_CLASS: &str = "h6";
/// Least wall over the thread, as a share of the major diameter.
const WALL_SHARE: f64 = 0.2;
const WALL: Source =
    Source::practice("bronze nuts have a wall of a fifth of the screw's diameter or more over the thread");
const STOCK: Source =
    Source::practice("bar one usual size up that leaves 1 mm to clean up on the diameter, 2 mm over 50 mm");
const STOCK_LENGTH: Source =
    Source::practice("6 mm a piece for facing and parting, 25 mm once for the chuck");
/// For facing and parting off, each piece (see [`STOCK_LENGTH`]).
const FACING: Length = Length::mm(6.0);
/// For the chuck to hold, once (see [`STOCK_LENGTH`]).
const IN_THE_CHUCK: Length = Length::mm(25.0);
/// An old body off the new one's size by more than this did not sit in the housing that was read. Chosen here.
const OLD_OFF: Length = Length::mm(0.1);

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

/// The round size that a bore was made to: the nearest half millimetre or sixteenth of an inch, whichever is nearer.
pub fn nominal_of(measured: Length) -> Length {
    let nearest = |step: Length| step * (measured / step).round();
    let (metric, inch) = (nearest(Length::mm(0.5)), nearest(Length::inch(1.0 / 16.0)));
    if (inch - measured).abs() < (metric - measured).abs() { inch } else { metric }
}

/// Adds body, stock and what there is to say of them.
pub(super) fn plan(fit: &mut Fit, job: &Job, aside: &mut Aside) {
    let mut figures = Vec::new();
    fit.body = size(fit, job, &mut figures, aside);
    if fit.part == Element::Internal {
        wall(fit, job, &mut figures, aside);
        holes(fit, job, aside);
    }
    stock(fit, job, &mut figures, aside);
    if !figures.is_empty() {
        fit.detail.push(Block::Figures("Body and stock".into(), figures));
    }
}

/// The body's diameter by ISO 286, reckoned from the round size of the housing, or from the housing as measured
/// where that is off its round size by more than an H7 bore is.
fn size(fit: &Fit, job: &Job, figures: &mut Vec<Figure>, aside: &mut Aside) -> Option<Size> {
    let body = &job.make.body;
    let Some(reference) = body.housing.or(body.outside) else {
        if fit.part == Element::Internal {
            aside.need(
                "make.body.housing",
                "bore of the housing, or outside of the old part: it settles body and stock",
            );
        }
        return None;
    };
    let class = body.fit.as_deref().unwrap_or(DEFAULT_CLASS);
    if body.fit.is_none() {
        aside.note(
            Note::remark(format!(
                "No fit of the body is asked for: {DEFAULT_CLASS} is taken, which slides in by hand."
            ))
            .field("make.body.fit")
            .source(Source::choice("a nut held by flange or locking screw slides in without shake")),
        );
    }
    let nominal = nominal_of(reference);
    let limits = match iso286::shaft(nominal, class) {
        Ok(limits) => limits,
        Err(accepted) => {
            aside.note(
                Note::warning(format!("The body's fit {class} cannot be used: expected {accepted}."))
                    .field("make.body.fit"),
            );
            return None;
        }
    };
    let base = base(nominal, body.housing, aside);
    let (max, min) = (base + limits.upper, base + limits.lower);
    let size = Size { aim: (max + min) / 2.0, min, max };
    figures.push(
        Figure::new(
            "body_diameter",
            format!("outside of the body, {class}"),
            Value::Band(min, max, Fine::Gauge),
            limits.source,
        )
        .formula("nominal + ei to nominal + es"),
    );
    if let Some(housing) = body.housing {
        clearance(housing, size, figures, aside);
    }
    if let Some(old) = body.outside.filter(|old| (*old - size.aim).abs() > OLD_OFF) {
        aside.note(
            Note::warning(
                Text::from("The old part's outside is ")
                    .v(Value::Length(old, Fine::Gauge))
                    .s(", the new body's ")
                    .v(Value::Length(size.aim, Fine::Gauge))
                    .s(": look again at the housing."),
            )
            .field("make.body.outside"),
        );
    }
    Some(size)
}

fn base(nominal: Length, housing: Option<Length>, aside: &mut Aside) -> Length {
    let Some(housing) = housing else { return nominal };
    let off = housing - nominal;
    let usual = iso286::tolerance(nominal, 7).unwrap_or(Length::um(25.0));
    if off >= -Length::um(2.0) && off <= usual {
        return nominal;
    }
    aside.note(
        Note::warning(
            Text::from("The housing's bore of ")
                .v(Value::Length(housing, Fine::Gauge))
                .s(" is off its round size of ")
                .v(Value::Length(nominal, Fine::Gauge))
                .s(" by more than an H7 bore would be: the body follows the bore as measured."),
        )
        .field("make.body.housing"),
    );
    housing
}

fn clearance(housing: Length, body: Size, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let (least, most) = (housing - body.max, housing - body.min);
    let what = if least >= Length::ZERO {
        "clearance of the body in the housing as measured"
    } else if most <= Length::ZERO {
        "clearance of the body in the housing as measured; below zero it is pressed in"
    } else {
        "clearance of the body in the housing as measured; it may slide or need a push"
    };
    figures.push(
        Figure::new(
            "body_clearance",
            what,
            Value::Band(least, most, Fine::Gauge),
            Source::derived("housing less body"),
        )
        .formula("housing - body"),
    );
    if most < Length::ZERO {
        aside.note(
            Note::remark(
                Text::from("Pressed in with ")
                    .v(Value::Band(-most, -least, Fine::Gauge))
                    .s(", the nut closes on the screw by about as much on the diameter. Try the screw after pressing, and leave the last pass until then if it can be cut in place."),
            )
            .source(Source::practice("a thin bush closes by nearly all of its press fit")),
        );
    }
}

fn wall(fit: &Fit, job: &Job, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let Some(outside) = fit.body.map(|b| b.min).or(job.make.body.outside) else { return };
    let wall = (outside - fit.bottom.max) / 2.0;
    figures.push(
        Figure::new(
            "wall",
            "wall left over the thread",
            Value::Length(wall, Fine::Shop),
            Source::derived("body less the bottom of the thread, halved"),
        )
        .formula("(body - D4) / 2"),
    );
    let usual = fit.thread.nominal * WALL_SHARE;
    if wall <= Length::ZERO {
        aside.note(
            Note::impossible(
                Text::from("The body of ")
                    .len(outside)
                    .s(" is no larger than the bottom of the thread, ")
                    .len(fit.bottom.max)
                    .s(". A larger housing, or a smaller thread, would make it possible."),
            )
            .field("make.body.outside"),
        );
    } else if wall < usual {
        aside.note(
            Note::warning(
                Text::from("The wall over the thread is ")
                    .len(wall)
                    .s("; ")
                    .len(usual)
                    .s(" is usual. It will spring in the chuck: finish bore and thread before the outside, and hold it in a split bush or soft jaws."),
            )
            .source(WALL),
        );
    }
}

/// Holes that meet the thread or leave the flange.
fn holes(fit: &Fit, job: &Job, aside: &mut Aside) {
    let body = &job.make.body;
    let Some(outside) = fit.body.map(|b| b.aim).or(body.outside) else { return };
    let wall = (outside - fit.bottom.aim) / 2.0;
    for (i, hole) in body.holes.iter().enumerate() {
        let field = |name: &str| format!("make.hole[{}].{name}", i + 1);
        match hole.kind {
            HoleKind::Spot => {
                let depth = hole.depth.unwrap_or(wall);
                if depth >= wall {
                    aside.note(
                        Note::warning(
                            Text::from("A spot ")
                                .len(depth)
                                .s(" deep goes through the wall of ")
                                .len(wall)
                                .s(" into the thread: make it shallower, or drill it before the last passes and clear the burr."),
                        )
                        .field(field("depth")),
                    );
                }
            }
            HoleKind::Cross => aside.note(
                Note::remark(
                    "The cross hole cuts the thread: drill it before the last passes, so that they clear the burr."
                        .to_owned(),
                )
                .field(field("kind"))
                .source(Source::practice("drill before the finishing passes")),
            ),
            HoleKind::Flange => {
                let circle = hole.from_end;
                let inner = circle - hole.diameter;
                let outer = circle + hole.diameter;
                if inner < outside {
                    aside.note(
                        Note::warning(
                            Text::from("Flange holes on ").len(circle).s(" run into the body of ").len(outside).s("."),
                        )
                        .field(field("from_end")),
                    );
                }
                if let Some(flange) = body.flange.filter(|f| outer > *f - hole.diameter) {
                    aside.note(
                        Note::warning(
                            Text::from("Flange holes on ")
                                .len(circle)
                                .s(" leave less than half their diameter to the edge of the ")
                                .len(flange)
                                .s(" flange."),
                        )
                        .field(field("from_end")),
                    );
                }
            }
        }
    }
    if let Some(flange) = body.flange.filter(|f| *f <= outside) {
        aside.note(
            Note::warning(
                Text::from("The flange of ")
                    .len(flange)
                    .s(" is no larger than the body of ")
                    .len(outside)
                    .s("."),
            )
            .field("make.body.flange"),
        );
    }
}

/// Largest diameter that has to be turned, and the part's length.
fn outline(fit: &Fit, job: &Job) -> (Option<Length>, Length) {
    let body = &job.make.body;
    let mut diameters: Vec<Length> =
        [fit.body.map(|b| b.max), body.outside, body.flange].into_iter().flatten().collect();
    if fit.part == Element::External {
        diameters.push(fit.blank.max);
    }
    let length = body.length.unwrap_or(fit.length).max(fit.length);
    (diameters.into_iter().reduce(Length::max), length)
}

fn cylinder_mm3(diameter: Length, length: Length) -> f64 {
    PI / 4.0 * diameter.to_mm().powi(2) * length.to_mm()
}

/// Volume of the finished part in mm³, thread at its pitch diameter, holes neglected.
pub(crate) fn finished_mm3(fit: &Fit, job: &Job) -> Option<f64> {
    let body = &job.make.body;
    let (largest, length) = outline(fit, job);
    let plain = fit.body.map(|b| b.aim).or(body.outside);
    let pitch = fit.pitch_diameter.aim;
    match fit.part {
        Element::Internal => {
            let outside = plain.or(largest)?;
            let flange = body.flange.map_or(0.0, |f| {
                let thick = body.flange_thickness.unwrap_or(Length::ZERO);
                cylinder_mm3(f, thick) - cylinder_mm3(outside, thick)
            });
            Some(cylinder_mm3(outside, length) + flange - cylinder_mm3(pitch, fit.length))
        }
        Element::External => Some(
            cylinder_mm3(pitch, fit.length) + plain.map_or(0.0, |d| cylinder_mm3(d, length - fit.length)),
        ),
    }
}

/// Mass of the stock in kilograms.
pub(crate) fn stock_kg(fit: &Fit, material: &Material) -> Option<f64> {
    let (diameter, length) = fit.stock?;
    Some(cylinder_mm3(diameter, length) * material.density * 1e-9)
}

fn stock(fit: &mut Fit, job: &Job, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let (largest, length) = outline(fit, job);
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
    }
    if let Some(mm3) = finished_mm3(fit, job) {
        let kg = mm3 * material.density * 1e-9;
        figures.push(
            Figure::new("part_mass", "mass of the finished part, holes neglected", Value::Kg(kg), density)
                .formula("π/4 ρ Σ d² L"),
        );
    }
    if let Some(flats) = job.make.body.flats.filter(|f| *f > largest) {
        aside.note(
            Note::warning(
                Text::from("Flats of ")
                    .len(flats)
                    .s(" do not fit on the largest diameter of ")
                    .len(largest)
                    .s("."),
            )
            .field("make.body.flats"),
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

    #[test]
    fn a_bore_is_read_as_its_round_size_in_either_system() {
        assert_eq!(nominal_of(Length::mm(36.01)), Length::mm(36.0));
        assert!((nominal_of(Length::inch(1.2503)) - Length::inch(1.25)).abs() < Length::um(1e-6));
    }
}
