//! The groove in the axial plane, as the tool cuts it: a flat tip between two sloping flanks.

use flankwise_thread::Length;

/// A groove while it is cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Groove {
    /// Width of the tool's tip.
    pub tip: Length,
    /// Mean of the tangents of both flank angles.
    pub mean_tan: f64,
    /// Full radial depth.
    pub depth: Length,
}

impl Groove {
    /// Width at the surface when the tip is `depth` deep.
    pub fn width_at(&self, depth: Length) -> Length {
        self.tip + depth * (2.0 * self.mean_tan)
    }
    /// Area of section down to `depth`, mm²: a(h) = f h + h² tan A.
    pub fn area_mm2(&self, depth: Length) -> f64 {
        let h = depth.to_mm();
        self.tip.to_mm() * h + h * h * self.mean_tan
    }
    /// The depth at which the section has this area: h = (−f + √(f² + 4 a tan A)) / (2 tan A), written so that it
    /// also holds for a square groove.
    pub fn depth_of_area(&self, area_mm2: f64) -> Length {
        let f = self.tip.to_mm();
        Length::mm(2.0 * area_mm2 / (f + (f * f + 4.0 * area_mm2 * self.mean_tan).sqrt()))
    }
}

/// Travel of a compound swung by `angle` from the cross-slide for a radial depth: depth / cos.
pub fn compound_travel(depth: Length, angle: flankwise_thread::Angle) -> Length {
    depth * (1.0 / angle.cos())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn area_and_depth_undo_each_other() {
        for tan in [0.0, 0.2679, 0.577] {
            let g = Groove { tip: Length::mm(1.4), mean_tan: tan, depth: Length::mm(2.75) };
            for h in [0.01, 0.5, 2.75] {
                let back = g.depth_of_area(g.area_mm2(Length::mm(h)));
                assert!((back.to_mm() - h).abs() < 1e-12);
            }
        }
    }
}
