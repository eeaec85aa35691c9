//! The body of the part: its fit in the housing and the wall it leaves over the thread.

use super::outline::Stretch;
use super::{Aside, Fit, Size, holes, keys, outline, press, relief_diameter, steps, stock};
use crate::iso286::{self, Class, Fits};
use crate::job::{Job, Make};
use crate::report::{Block, Figure, Fine, Note, Text, Value};
use flankwise_thread::{Element, Length, Source};

/// Class of the body where the job names none: slides in by hand without shake.
const DEFAULT_FIT: &str = "h6";
/// Least wall over the thread, as a share of the major diameter.
const WALL_SHARE: f64 = 0.2;
const WALL: Source =
    Source::practice("bronze nuts have a wall of a fifth of the screw's diameter or more over the thread");
/// An old body off the new one's size by more than this did not sit in the housing that was read. Chosen here.
const OLD_OFF: Length = Length::mm(0.1);

/// The round size that a bore was made to: the nearest half millimetre or sixteenth of an inch, whichever is nearer.
pub fn nominal_of(measured: Length) -> Length {
    let nearest = |step: Length| step * (measured / step).round();
    let (metric, inch) = (nearest(Length::mm(0.5)), nearest(Length::inch(1.0 / 16.0)));
    if (inch - measured).abs() < (metric - measured).abs() { inch } else { metric }
}

/// The body's outside, and how it sits in its housing.
pub(super) struct Seat {
    /// Outside of the body.
    pub(super) size: Size,
    /// The round size of the housing.
    pub(super) nominal: Length,
    /// Least and most interference on the diameter, below zero where it slides; none where no housing is known.
    pub(super) tight: Option<(Length, Length)>,
    /// What there is to say of it.
    figures: Vec<Figure>,
}

/// Adds body, stock and what there is to say of them.
pub(super) fn plan(fit: &mut Fit, job: &Job, seat: Option<Seat>, aside: &mut Aside) {
    fit.body = seat.as_ref().map(|s| s.size);
    let mut figures = seat.map_or_else(Vec::new, |s| s.figures);
    if let Some(pressed) = &fit.pressed {
        let stuff = fit.stuff();
        press::report(pressed, stuff, &mut figures, aside);
    }
    let make = &job.make;
    fit.opened = opened(fit, make);
    let outside = outline::outside(fit, make);
    steps::judge(fit, job, &outside, aside);
    if outside.is_empty() && !make.body.keyways.is_empty() {
        aside.need("make.body.outside", "outside of the body: keyways are sized and judged by it");
    }
    keys::plan(fit, job, &outside, aside);
    if let Some(body) =
        fit.body.map(|b| b.min).or(make.body.outside).filter(|_| fit.part == Element::Internal)
    {
        let on_thread =
            outside.iter().filter(|s| s.from < fit.length).map(|s| s.diameter).fold(body, Length::min);
        let across = make.body.flats.map_or(on_thread, |flats| flats.min(on_thread));
        wall(fit, across, &mut figures, aside);
    }
    holes::judge(fit, job, &outside, aside);
    flats(&outside, make, aside);
    stock::plan(fit, job, &mut figures);
    if !figures.is_empty() {
        fit.detail.push(Block::Figures("Body and stock".into(), figures));
    }
    fit.detail.extend(steps::table(fit).map(Block::Table));
    fit.detail.extend(keys::table(fit).map(Block::Table));
}

/// Bore behind a thread that ends within a through body: the tool runs out into it, and the screw goes through.
fn opened(fit: &Fit, make: &Make) -> Option<Length> {
    let ends_within = fit.length + outline::SAME < fit.part_length(make);
    (fit.part == Element::Internal && fit.through && ends_within)
        .then(|| relief_diameter(fit.part, fit.bottom, fit.thread.basic().p))
}

/// Flats that meet nothing.
fn flats(outside: &[Stretch], make: &Make, aside: &mut Aside) {
    let Some(across) = make.body.flats.filter(|_| outline::flats(outside, make).is_none()) else { return };
    aside.note(
        Note::impossible(
            Text::from("Flats ")
                .len(across)
                .s(" across take nothing off: no diameter of the part is larger."),
        )
        .field("make.body.flats"),
    );
}

/// The body's diameter by ISO 286, reckoned from the round size of the housing, or from the housing as measured
/// where that is off its round size by more than its class, or an H7 bore, is.
pub(super) fn seat(job: &Job, aside: &mut Aside) -> Option<Seat> {
    let body = &job.make.body;
    let mut figures = Vec::new();
    let Some(reference) = body.housing.or(body.outside) else {
        if job.make.part == Element::Internal {
            aside.need(
                "make.body.housing",
                "bore of the housing, or outside of the old part: it settles body and stock",
            );
        }
        return None;
    };
    let fits = body.fit.or_else(|| Fits::read(DEFAULT_FIT).ok())?;
    if body.fit.is_none() {
        aside.note(
            Note::remark(format!(
                "No fit of the body is asked for: {DEFAULT_FIT} is taken, which slides in by hand."
            ))
            .field("make.body.fit")
            .source(Source::choice("a nut held by flange or locking screw slides in without shake")),
        );
    }
    let nominal = nominal_of(reference);
    let limits = match fits.shaft.limits(nominal) {
        Ok(limits) => limits,
        Err(accepted) => {
            aside.note(
                Note::warning(format!("The body's fit {fits} cannot be used: expected {accepted}."))
                    .field("make.body.fit"),
            );
            return None;
        }
    };
    let base = match fits.hole {
        Some(hole) => bore_of_class(nominal, hole, body.housing, &mut figures, aside)?,
        None => Bore::measured(nominal, body.housing, aside),
    };
    let (max, min) = (base.nominal + limits.upper, base.nominal + limits.lower);
    let size = Size { aim: (max + min) / 2.0, min, max };
    figures.push(
        Figure::new(
            "body_diameter",
            format!("outside of the body, {}", fits.shaft),
            Value::Band(min, max, Fine::Gauge),
            limits.source,
        )
        .formula("nominal + ei to nominal + es"),
    );
    let tight = base.limits.map(|(smallest, largest)| (size.min - largest, size.max - smallest));
    if let Some((least, most)) = tight {
        clearance((-most, -least), &mut figures);
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
    Some(Seat { size, nominal, tight, figures })
}

/// The bore that the body goes into.
struct Bore {
    /// The body's deviations count from here.
    nominal: Length,
    /// Smallest and largest, where it was read or has a class.
    limits: Option<(Length, Length)>,
}

impl Bore {
    /// As measured; an H7 bore of the round size is taken for that.
    fn measured(nominal: Length, housing: Option<Length>, aside: &mut Aside) -> Self {
        let Some(housing) = housing else { return Self { nominal, limits: None } };
        let off = housing - nominal;
        let usual = iso286::tolerance(nominal, 7).unwrap_or(Length::um(25.0));
        let limits = Some((housing, housing));
        if off >= -Length::um(2.0) && off <= usual {
            return Self { nominal, limits };
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
        Self { nominal: housing, limits }
    }
}

/// A bore that is made, or kept, to a class. Where it was read, it is that bore; one outside its class is told.
fn bore_of_class(
    nominal: Length,
    class: Class,
    housing: Option<Length>,
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) -> Option<Bore> {
    let limits = match class.limits(nominal) {
        Ok(limits) => limits,
        Err(accepted) => {
            aside.note(
                Note::warning(format!("The housing's class {class} cannot be used: expected {accepted}."))
                    .field("make.body.fit"),
            );
            return None;
        }
    };
    let (min, max) = (nominal + limits.lower, nominal + limits.upper);
    figures.push(
        Figure::new(
            "housing_bore",
            format!("bore of the housing, {class}"),
            Value::Band(min, max, Fine::Gauge),
            limits.source,
        )
        .formula("nominal + EI to nominal + ES"),
    );
    let Some(housing) = housing else { return Some(Bore { nominal, limits: Some((min, max)) }) };
    if housing < min || housing > max {
        let what = if housing < min {
            "bore it out"
        } else {
            "sleeve it, or let the body follow it (give its class alone)"
        };
        aside.note(
            Note::warning(
                Text::from("The housing was read at ")
                    .v(Value::Length(housing, Fine::Gauge))
                    .s(format!("; {class} is "))
                    .v(Value::Band(min, max, Fine::Gauge))
                    .s(format!(": {what}.")),
            )
            .field("make.body.housing"),
        );
    }
    Some(Bore { nominal, limits: Some((housing, housing)) })
}

fn clearance((least, most): (Length, Length), figures: &mut Vec<Figure>) {
    let what = if least >= Length::ZERO {
        "clearance of the body in the housing"
    } else if most <= Length::ZERO {
        "clearance of the body in the housing; below zero it is pressed in"
    } else {
        "clearance of the body in the housing; it may slide or need a push"
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
}

/// The wall over the thread, and under the deepest keyway.
fn wall(fit: &Fit, outside: Length, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let keyway = fit.keyways.iter().map(|way| way.depth).reduce(Length::max);
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
    let least = wall - keyway.unwrap_or(Length::ZERO);
    if keyway.is_some() {
        figures.push(Figure::new(
            "wall_keyway",
            "wall left under the deepest keyway",
            Value::Length(least, Fine::Shop),
            Source::derived("wall less depth of the keyway"),
        ));
    }
    let usual = fit.thread.nominal * WALL_SHARE;
    if wall <= Length::ZERO {
        aside.note(
            Note::impossible(
                Text::from("The body is ")
                    .len(outside)
                    .s(" across and no larger than the bottom of the thread, ")
                    .len(fit.bottom.max)
                    .s(". A larger housing, or a smaller thread, would make it possible."),
            )
            .field("make.body.outside"),
        );
    } else if least < usual {
        let place =
            if keyway.is_some() { "The wall under the keyway is " } else { "The wall over the thread is " };
        aside.note(
            Note::warning(
                Text::from(place)
                    .len(least)
                    .s("; ")
                    .len(usual)
                    .s(" is usual. It will spring in the chuck: finish bore and thread before the outside, and hold it in a split bush or soft jaws. What helps against it: bore the housing out for a thicker body; a pin or a screw in the flange for a keyway; sliding or bonding in place of pressing; a stronger bronze; a steel sleeve with the bronze pressed into it and threaded after."),
            )
            .field("make.body.outside")
            .source(WALL),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bore_is_read_as_its_round_size_in_either_system() {
        assert_eq!(nominal_of(Length::mm(36.01)), Length::mm(36.0));
        assert!((nominal_of(Length::inch(1.2503)) - Length::inch(1.25)).abs() < Length::um(1e-6));
    }
}
