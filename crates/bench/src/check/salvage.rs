//! What may become of a part that was cut beyond its limits.

use super::correct::words;
use crate::fit::Fit;
use crate::job::Job;
use flankwise_thread::{Element, Length};

/// Least wall of a sleeve and of the body around it: 2 mm, or a tenth of the diameter. Common practice, no source.
fn least_wall(diameter: Length) -> Length {
    Length::mm(2.0).max(diameter * 0.1)
}

/// A sleeve for a nut whose thread is spoiled: its outside, the wall it leaves in the body, and the wall needed; the
/// last two none where the body is not known.
pub(super) struct Sleeve {
    pub outside: Length,
    pub wall: Option<Length>,
    pub needed: Length,
}

pub(super) fn sleeve(fit: &Fit) -> Sleeve {
    let needed = least_wall(fit.bottom.max);
    let outside = fit.bottom.max + needed * 2.0;
    Sleeve { outside, wall: fit.body.map(|b| (b.aim - outside) * 0.5), needed: least_wall(outside) }
}

/// Ways out for a groove that is too wide by `over` of pitch diameter; with upright flanks, of width.
pub(super) fn ways(fit: &Fit, over: Length, job: &Job) -> String {
    let say = |l: Length| words(l, job.unit);
    let upright = fit.slope() <= 1e-9;
    match fit.part {
        Element::Internal => {
            let sleeve = sleeve(fit);
            let by_sleeve = match sleeve.wall {
                Some(wall) if wall < sleeve.needed => format!(
                    "a sleeve would need an outside of {} and leaves the body a wall of {}, too little: make another blank",
                    say(sleeve.outside),
                    say(wall.max(Length::ZERO))
                ),
                Some(wall) => format!(
                    "bore it out and press in a sleeve of {} outside, pinned or soldered so that it cannot turn, which leaves a wall of {}, and cut the thread in that",
                    say(sleeve.outside),
                    say(wall)
                ),
                None => format!(
                    "bore it out for a sleeve of {} outside if the body keeps a wall of {} around it, and cut the thread in that",
                    say(sleeve.outside),
                    say(sleeve.needed)
                ),
            };
            format!(
                "a new screw with a {} by {} would fit this nut, if the old one is to be replaced anyway; else {by_sleeve}",
                if upright { "ridge thicker" } else { "pitch diameter larger" },
                say(over)
            )
        }
        Element::External => format!(
            "if the nut is still to be made, make it to this screw: read it {} along its length and plan a nut for it, {} by {}; else turn another blank",
            if upright { "with a calliper" } else { "over wires" },
            if upright { "its ridge thicker" } else { "its pitch diameter smaller" },
            say(over)
        ),
    }
}
