//! A nut of resin, cast round the screw itself in a carrier of metal.
//!
//! It takes the size of the screw where it is cast, less a film of release wax, so it is cast where the screw is
//! fullest: there it just runs, and everywhere else it has the wear on top.

use crate::fit::{Fit, caution, strength};
use crate::job::{Duty, Job};
use crate::material;
use crate::report::{Fine, Note, Step, Text, Value};
use flankwise_thread::{Length, Source};

/// Wax on each flank, rubbed down, and its origin.
pub use crate::fit::{RELEASE as FILM, RELEASE_SOURCE as FILM_SOURCE};

/// Play at the tightest and the loosest place, where the mate was measured.
pub(super) fn play(fit: &Fit) -> Option<(Length, Length)> {
    let travelled = fit.travelled?;
    let (least, most) = fit.cast_play();
    Some((least, most + travelled.loosest.play() - travelled.tightest.play()))
}

/// Pressure on the projected flanks under the load in use, N/mm².
fn pressure(fit: &Fit, job: &Job) -> Option<f64> {
    let (d2, length) = (fit.pitch_diameter.aim, fit.engaged.shortest);
    job.make.load.map(|load| strength::bearing_mpa(load, fit.thread.pitch.length, d2, fit.engagement, length))
}

/// Pressure that a resin nut is held to: the lower value for acetal, a better plastic than most castings.
fn bearing_mpa() -> f64 {
    material::material("acetal").and_then(|m| m.bearing_mpa).map_or(4.0, |(low, _)| low)
}

/// Why it is not for this thread, if so.
pub(super) fn refused(fit: &Fit, job: &Job) -> Option<Text> {
    if job.make.duty == Duty::Lift {
        return Some(Text::from(
            "A load hangs on this thread: a cast nut creeps and can let go at once. A metal nut would make it possible.",
        ));
    }
    if fit.engagement <= Length::ZERO {
        return Some(Text::from(
            "Nut and screw do not overlap by these sizes: resin would hold on nothing. Look again at the readings of the screw's outside.",
        ));
    }
    let limit = bearing_mpa();
    pressure(fit, job).filter(|p| *p > limit).map(|p| {
        Text::from("The load presses on its flanks with ")
            .v(Value::Mpa(p))
            .s("; a cast nut is good for ")
            .v(Value::Mpa(limit))
            .s(". A longer nut or a lighter load would make it possible.")
    })
}

/// What it cannot do.
pub(super) fn limits(job: &Job) -> Vec<Text> {
    let mut list =
        vec![Text::from("Resin wears and creeps sooner than bronze, and softens where it gets warm.")];
    if job.make.duty == Duty::Clamp {
        list.push(Text::from("A clamp that stays tight loses its grip as the resin creeps."));
    }
    list
}

fn heat() -> Note {
    Note::caution(
        "A thick pour heats itself, to smoke or fire in the mixing pot: mix small batches, spread leftovers thin to harden, outside.",
        Source::practice("self-heating of curing resin"),
    )
}

/// The work in order.
pub(super) fn steps(fit: &Fit) -> Vec<Step> {
    let place = fit.thickest().map(|s| s.place);
    let where_cast = match place {
        Some(place) => Text::from("Clean the screw to bare metal where it is least worn, ")
            .len(place)
            .s(" from its end: cast there the nut passes everywhere"),
        None => Text::from(
            "Clean the screw to bare metal where it is least worn: cast there the nut passes everywhere",
        ),
    };
    let inside = fit.cast_shell();
    vec![
        Step::with(
            Text::from("Turn a carrier to the body's sizes, bored ")
                .len(inside)
                .s(" with grooves inside and one across them, so that the resin can neither turn nor slide out. Degrease it."),
            vec![caution::chuck(), caution::entangle(), caution::chips()],
        ),
        Step::new(
            where_cast
                .s(". Rub paste wax on twice, to some ")
                .v(Value::Length(FILM, Fine::Shop))
                .s(" on each flank, and polish: a bare spot bonds for good."),
        ),
        Step::new(
            "Centre the carrier on the screw with two rings, square to its axis; seal the ends with putty; leave a hole to fill at the lowest place and one to vent at the highest.",
        ),
        Step::with("Mix by weight, let bubbles rise, fill slowly from below until it stands in the vent.", vec![
            caution::resin(),
            heat(),
        ]),
        Step::new(
            "Leave it as long as its maker says. Warm the carrier by hand heat, turn the screw out to and fro. Trim the ends and try it over the whole travel.",
        ),
    ]
}
