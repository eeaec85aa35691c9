//! How wide the groove stands against the one aimed at: that decides the fit, whatever depth and tip it came from.

use super::course::{Course, Place};
use crate::fit::Fit;
use crate::report::{Fine, Note, Text, Value};
use flankwise_thread::{Element, Length};

/// The groove as it is now, by the depths set and by what was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reached {
    /// Pitch diameter that its flanks have.
    pub pitch_diameter: Length,
    /// By how much that lies beyond the limit towards too much cut; zero within.
    pub beyond: Length,
    /// It rests on the depths set alone: nothing of this place was measured.
    pub unmeasured: bool,
}

/// The limit of the pitch diameter beyond which too much is cut.
const fn last_limit(fit: &Fit) -> Length {
    match fit.part {
        Element::Internal => fit.pitch_diameter.max,
        Element::External => fit.pitch_diameter.min,
    }
}

impl Course<'_> {
    /// How much wider than aimed at the groove is at its flanks once the bar has sprung back; negative while it is
    /// narrower. Each of depth counts as 2 tan A of width.
    pub fn wider(&self, at: &Place) -> Length {
        let beyond = at.depth + at.offset - self.full;
        beyond * (2.0 * self.mean_tan) + at.tip + at.side.abs() - self.fit.groove_bottom_width
    }

    /// The same as the bar's spring leaves it now.
    fn wider_now(&self, at: &Place) -> Length {
        self.wider(at) - at.left * (2.0 * self.mean_tan)
    }

    /// How much narrower the groove's bottom is than the one aimed at.
    pub fn narrow(&self, at: &Place) -> Length {
        self.fit.groove_bottom_width - at.tip - at.side.abs()
    }

    /// How much of the pitch diameter the limits leave on the side of too little cut.
    fn diameter_in_hand(&self) -> Length {
        let d = self.fit.pitch_diameter;
        match self.fit.part {
            Element::Internal => d.aim - d.min,
            Element::External => d.max - d.aim,
        }
    }

    /// By how much the groove that passes end in is narrower than its limits permit, along the axis, because its bottom is;
    /// none where it is not.
    pub fn short_of_least(&self, end: &Place) -> Option<Length> {
        let bottom = self.narrow(end);
        let short = -self.wider(end) - self.diameter_in_hand() * self.mean_tan;
        (self.mean_tan > 1e-9 && bottom > Length::um(1.0) && short > Length::um(1.0)).then_some(short)
    }

    /// Whether the groove is within its limits already, and spring passes would take it beyond the aim.
    pub fn wide_enough(&self, at: &Place) -> bool {
        let dial = self.near() * (2.0 * self.mean_tan) + Length::um(1.0);
        self.mean_tan > 1e-9
            && self.wider(at) > dial
            && self.wider_now(at) >= -self.diameter_in_hand() * self.mean_tan
    }

    /// The groove at a place; none before the first pass, and where the flanks are upright and have no pitch diameter.
    pub fn reached(&self, at: &Place) -> Option<Reached> {
        if at.taken == 0 || self.mean_tan <= 1e-9 {
            return None;
        }
        let off = self.wider_now(at) * (1.0 / self.mean_tan);
        let (pitch_diameter, beyond) = match self.fit.part {
            Element::Internal => {
                let d = self.fit.pitch_diameter.aim + off;
                (d, d - last_limit(self.fit))
            }
            Element::External => {
                let d = self.fit.pitch_diameter.aim - off;
                (d, last_limit(self.fit) - d)
            }
        };
        // Half a division is the dial's own.
        let beyond = if beyond > self.near() { beyond } else { Length::ZERO };
        Some(Reached { pitch_diameter, beyond, unmeasured: !at.measured })
    }
}

impl Reached {
    /// Whether more metal is gone than the limits permit.
    pub fn too_much(&self) -> bool {
        self.beyond > Length::ZERO
    }

    /// What is said of a groove that is beyond its limits, after the pass that is written in this entry of the job, from
    /// 0; none within.
    pub(super) fn judge(&self, fit: &Fit, entry: usize) -> Option<Note> {
        let gauge = |l| Value::Length(l, Fine::Gauge);
        let by = if self.unmeasured { "By the depths set" } else { "By what was set and measured" };
        let limit = match fit.part {
            Element::Internal => ", beyond the largest permitted, ",
            Element::External => ", beyond the smallest permitted, ",
        };
        let text = Text::new()
            .s(format!("{by} the groove's pitch diameter is "))
            .v(gauge(self.pitch_diameter))
            .s(limit)
            .v(gauge(last_limit(fit)))
            .s(": cut no more, metal cannot be put back. Measure it over the flanks before you give the part up; the proof says what can be saved. If a number is a slip, take it back.");
        self.too_much().then(|| Note::impossible(text).field(format!("done[{}].depth", entry + 1)))
    }
}
