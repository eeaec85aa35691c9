//! The groove in the axial plane, as the tool cuts it: a flat tip between two sloping flanks.

use flankwise_thread::{Angle, Hand, Length, Thread};

/// Flanks of a groove as the tool meets them, by the tangents of their angles to the plane square to the axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flanks {
    /// Flank on the side to which the tool runs along the work: an infeed that leans, leans to it.
    pub ahead: f64,
    /// Flank on the other side, which a leaning infeed follows.
    pub behind: f64,
}

impl Flanks {
    /// Two like flanks.
    pub const fn even(tan: f64) -> Self {
        Self { ahead: tan, behind: tan }
    }

    /// Those of a thread. The tool runs to the chuck in a right-hand thread and from it in a left-hand one; the wall on
    /// the chuck's side is the leading flank of screw and nut alike ([`flankwise_thread::profile`]).
    pub fn of(thread: &Thread) -> Self {
        let basic = thread.basic();
        let (chuck, tailstock) = (basic.flank_leading.tan(), basic.flank_trailing.tan());
        match thread.hand {
            Hand::Right => Self { ahead: chuck, behind: tailstock },
            Hand::Left => Self { ahead: tailstock, behind: chuck },
        }
    }

    /// The same flanks, steeper or gentler in one proportion, with this mean.
    pub(super) fn with_mean(self, mean: f64) -> Self {
        let share = if self.mean() > 1e-9 { mean / self.mean() } else { 1.0 };
        Self { ahead: self.ahead * share, behind: self.behind * share }
    }

    /// Mean of the tangents.
    pub const fn mean(self) -> f64 {
        0.5 * (self.ahead + self.behind)
    }

    /// Angle of the flank that is nearer to upright.
    pub(super) fn steeper(self) -> Angle {
        Angle::atan(self.ahead.min(self.behind))
    }
}

/// A groove while it is cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Groove {
    /// Width of the tool's tip.
    pub tip: Length,
    /// Its flanks.
    pub flanks: Flanks,
    /// Full radial depth.
    pub depth: Length,
}

impl Groove {
    /// Mean of the tangents of both flank angles.
    pub const fn mean_tan(&self) -> f64 {
        self.flanks.mean()
    }

    /// Width at the surface when the tip is `depth` deep.
    pub fn width_at(&self, depth: Length) -> Length {
        self.tip + depth * (2.0 * self.mean_tan())
    }
    /// Area of section down to `depth`, mm²: a(h) = f h + h² tan A.
    pub fn area_mm2(&self, depth: Length) -> f64 {
        let h = depth.to_mm();
        self.tip.to_mm() * h + h * h * self.mean_tan()
    }
    /// The depth at which the section has this area: h = (−f + √(f² + 4 a tan A)) / (2 tan A), written so that it
    /// also holds for a square groove.
    pub fn depth_of_area(&self, area_mm2: f64) -> Length {
        let f = self.tip.to_mm();
        Length::mm(2.0 * area_mm2 / (f + (f * f + 4.0 * area_mm2 * self.mean_tan()).sqrt()))
    }
    /// How deep a tool of this groove's tip sits in a groove of the same flanks that is `bottom` wide at `depth`: less
    /// deep where the tip is wider; in a square groove not at all.
    pub fn seat(&self, bottom: Length, depth: Length) -> Length {
        let wider = self.tip - bottom;
        if wider <= Length::ZERO {
            depth
        } else if self.mean_tan() > 1e-9 {
            (depth - wider / (2.0 * self.mean_tan())).max(Length::ZERO)
        } else {
            Length::ZERO
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wider_tip_seats_where_the_groove_has_its_width() {
        let narrow = Groove { tip: Length::mm(1.0), flanks: Flanks::even(0.2679), depth: Length::mm(3.0) };
        let wide = Groove { tip: Length::mm(1.4), ..narrow };
        let seat = wide.seat(narrow.tip, Length::mm(2.0));
        assert!((wide.width_at(seat) - narrow.width_at(Length::mm(2.0))).abs() < Length::um(1e-6));
        assert_eq!(narrow.seat(wide.tip, Length::mm(2.0)), Length::mm(2.0));
        assert_eq!(
            Groove { flanks: Flanks::even(0.0), ..wide }.seat(narrow.tip, Length::mm(2.0)),
            Length::ZERO
        );
    }

    #[test]
    fn area_and_depth_undo_each_other() {
        for tan in [0.0, 0.2679, 0.577] {
            let g = Groove { tip: Length::mm(1.4), flanks: Flanks::even(tan), depth: Length::mm(2.75) };
            for h in [0.01, 0.5, 2.75] {
                let back = g.depth_of_area(g.area_mm2(Length::mm(h)));
                assert!((back.to_mm() - h).abs() < 1e-12);
            }
        }
    }
}
