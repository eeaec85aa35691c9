//! Force on the tool: Kienzle's law on each edge that cuts.

use super::groove::Groove;
use flankwise_thread::{Angle, Force, Length, Source};

/// Specific cutting force of the part's material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kienzle {
    /// At 1 mm chip thickness, N/mm².
    pub kc11: f64,
    /// Exponent.
    pub mc: f64,
}

impl Kienzle {
    /// Specific force at chip thickness `h`, N/mm²: kc1.1 h^−mc.
    pub fn specific_mpa(&self, h: Length) -> f64 {
        self.kc11 * h.to_mm().powf(-self.mc)
    }
    /// Force on an edge of length `b` at chip thickness `h`: b h kc. None cut, no force.
    pub fn force(&self, b: Length, h: Length) -> Force {
        if h <= Length::ZERO || b <= Length::ZERO {
            return Force::ZERO;
        }
        Force::newton(b.to_mm() * h.to_mm() * self.specific_mpa(h))
    }
}

/// Thrust square to an edge, as a share of its cutting force.
pub const THRUST: f64 = 0.5;
/// Origin of [`THRUST`].
pub const THRUST_SOURCE: Source = Source::table(
    "Calculated forces when turning (Cutting Tool Engineering, 2013)",
    "feed force 0.50 of tangential",
);

/// Efficiency of a lathe's drive.
pub const DRIVE: f64 = 0.8;
/// Origin of [`DRIVE`] and of [`spindle_kw`].
pub const POWER_SOURCE: Source =
    Source::formula("Mitsubishi Materials: cutting power page", "Pc = Fc vc / (60 000 η), η = 0.8");

/// A chip thinner than this is not cut: the edge, keen to a few micrometres, rubs over it. Chosen here.
const THINNEST: Length = Length::um(2.0);

/// Share of the specific force that is left at a rake: 1 % less a degree.
pub fn rake_share(rake: Angle) -> f64 {
    (1.0 - 0.01 * rake.to_deg()).clamp(0.7, 1.3)
}
/// Origin of [`rake_share`].
pub const RAKE_SOURCE: Source = Source::practice("1 % less force a degree of rake");

/// What one pass does to the tool.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Load {
    /// Tangential.
    pub cutting: Force,
    /// Radial: pushes the tool out of the groove.
    pub radial: Force,
    /// Length of edge in the cut.
    pub edge: Length,
    /// Length of edge that counts for chatter: each edge by the square of its share in the way in and out, the tip's 1,
    /// a flank's sin A; none where it only rubs.
    pub counted: Length,
    /// Area of chip over length of edge.
    pub mean_chip: Length,
}

/// How the tool moves in: a step deep, shifted along the axis by `step × tan lean` towards the leading flank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Depth before.
    pub from: Length,
    /// Depth after.
    pub to: Length,
    /// Angle of the infeed to the radius; zero straight in.
    pub lean: Angle,
}

/// Load of a cutting pass. The tip takes a chip as thick as the step, a flank one of step × (sin A ± tan c cos A), each
/// flank by its own angle A and over its own edge; the thrust on a flank acts square to it.
pub fn plunge(k: Kienzle, groove: &Groove, step: Step) -> Load {
    let deep = step.to - step.from;
    let flank = |tan: f64, shift: f64| {
        let angle = Angle::atan(tan);
        Edge {
            length: step.to * (1.0 / angle.cos()),
            chip: (deep * (angle.sin() + shift * angle.cos())).max(Length::ZERO),
            share: angle.sin(),
        }
    };
    let shift = step.lean.tan();
    let tip = Edge { length: groove.tip, chip: deep, share: 1.0 };
    sum(k, [tip, flank(groove.flanks.ahead, shift), flank(groove.flanks.behind, -shift)])
}

/// Load of a pass that widens a groove `depth` deep by `shift` along the axis: one flank, with this tangent, takes
/// shift × cos A over its whole length.
pub fn widening(k: Kienzle, depth: Length, flank: f64, shift: Length) -> Load {
    let angle = Angle::atan(flank);
    let length = depth * (1.0 / angle.cos());
    sum(k, [Edge { length, chip: shift * angle.cos(), share: angle.sin() }])
}

/// An edge in the cut.
struct Edge {
    length: Length,
    /// Thickness of its chip.
    chip: Length,
    /// Its share in the way in and out: 1 of the tip, sin A of a flank.
    share: f64,
}

/// What several edges add up to.
fn sum<const N: usize>(k: Kienzle, edges: [Edge; N]) -> Load {
    let mut load = Load::default();
    let mut area = 0.0;
    for Edge { length: b, chip: h, share } in edges {
        let f = k.force(b, h);
        load.cutting += f;
        load.radial += f * (THRUST * share);
        if h > Length::ZERO {
            load.edge += b;
            if h >= THINNEST {
                load.counted += b * (share * share);
            }
            area += b.to_mm() * h.to_mm();
        }
    }
    if load.edge > Length::ZERO {
        load.mean_chip = Length::mm(area / load.edge.to_mm());
    }
    load
}

/// Power at the spindle, kW: Fc vc / (60 000 η), `speed` in m/min.
pub fn spindle_kw(cutting: Force, speed_m_per_min: f64, efficiency: f64) -> f64 {
    cutting.to_newton() * speed_m_per_min / (60_000.0 * efficiency)
}

/// What a bar of stiffness `k_n_per_mm` leaves uncut of a chip `commanded` thick: it springs back until the
/// radial force of what it does cut holds it there. `radial` gives that force; it must not fall with thickness.
pub fn left_uncut(commanded: Length, k_n_per_mm: f64, radial: impl Fn(Length) -> Force) -> Length {
    let (mut lo, mut hi) = (Length::ZERO, commanded);
    for _ in 0..60 {
        let mid = (lo + hi) * 0.5;
        if radial(commanded - mid).to_newton() > k_n_per_mm * mid.to_mm() { lo = mid } else { hi = mid }
    }
    hi
}

#[cfg(test)]
mod tests {
    use super::super::groove::Flanks;
    use super::*;

    const BRONZE: Kienzle = Kienzle { kc11: 700.0, mc: 0.27 };

    fn groove() -> Groove {
        Groove { tip: Length::mm(1.5), flanks: Flanks::even(Angle::deg(15.0).tan()), depth: Length::mm(2.75) }
    }

    #[test]
    fn chips_add_up_to_the_area_of_the_pass() {
        let g = groove();
        for lean in [0.0, 12.0, 14.5] {
            let (from, to) = (Length::mm(1.0), Length::mm(1.001));
            let load = plunge(BRONZE, &g, Step { from, to, lean: Angle::deg(lean) });
            let chip = load.edge.to_mm() * load.mean_chip.to_mm();
            let area = g.area_mm2(to) - g.area_mm2(from);
            assert!((chip / area - 1.0).abs() < 1e-3, "{lean}: {chip} {area}");
        }
    }

    /// By hand at 3° and 30°, straight in by 0.1 mm: chips of 0.1 sin A on edges of 2 / cos A.
    #[test]
    fn each_flank_takes_the_chip_of_its_own_angle() {
        let flanks = Flanks { ahead: Angle::deg(3.0).tan(), behind: Angle::deg(30.0).tan() };
        let g = Groove { flanks, ..groove() };
        let load = plunge(BRONZE, &g, Step { from: Length::mm(1.9), to: Length::mm(2.0), lean: Angle::ZERO });
        let flank = |deg: f64| {
            let (edge, chip) = (2.0 / deg.to_radians().cos(), 0.1 * deg.to_radians().sin());
            BRONZE.force(Length::mm(edge), Length::mm(chip)).to_newton()
        };
        let tip = BRONZE.force(Length::mm(1.5), Length::mm(0.1)).to_newton();
        assert!((load.cutting.to_newton() - tip - flank(3.0) - flank(30.0)).abs() < 1e-9);
    }

    #[test]
    fn a_flank_infeed_cuts_with_less_force_than_straight_in() {
        let at = |lean| {
            plunge(
                BRONZE,
                &groove(),
                Step { from: Length::mm(2.6), to: Length::mm(2.7), lean: Angle::deg(lean) },
            )
            .cutting
        };
        assert!(at(14.5) < at(0.0));
    }

    #[test]
    fn a_stiffer_bar_leaves_less() {
        let radial = |h| BRONZE.force(Length::mm(3.0), h) * 0.5;
        let soft = left_uncut(Length::mm(0.1), 1000.0, radial);
        let stiff = left_uncut(Length::mm(0.1), 5000.0, radial);
        assert!(Length::ZERO < stiff && stiff < soft && soft < Length::mm(0.1));
    }
}
