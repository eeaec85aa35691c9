//! Bars: sections, materials, how they are held, and the beam that each makes.

use super::beam::{Assembled, Beam, Mode, Stretch};
use crate::job::{Bar, BarKind, BarMaterial, BarShape};
use flankwise_thread::{Force, Length, Source};
use std::f64::consts::PI;

/// Stiffness and weight of a bar's material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarStuff {
    /// In words.
    pub name: &'static str,
    /// Modulus of elasticity, N/mm².
    pub modulus_mpa: f64,
    /// Density, kg/m³.
    pub density: f64,
    /// Stick-out over diameter up to which internal threading is usually free of chatter.
    pub slender: f64,
    /// Origin of the modulus.
    pub source: Source,
}

/// Where the slenderness limits come from.
pub const SLENDER: Source =
    Source::practice("one diameter less than the 4 (steel), 5 (heavy metal) and 6 (carbide) of plain boring");

/// Figures of a bar material.
pub const fn stuff(material: BarMaterial) -> BarStuff {
    match material {
        BarMaterial::Steel => BarStuff {
            name: "steel",
            modulus_mpa: 206_000.0,
            density: 7850.0,
            slender: 3.0,
            source: Source::table(
                "Isakov: Boring: calculating deflection (Cutting Tool Engineering, July 2019)",
                "E of steel",
            ),
        },
        BarMaterial::Hss => BarStuff {
            name: "high-speed steel",
            modulus_mpa: 220_000.0,
            density: 8100.0,
            slender: 3.0,
            source: Source::memory("common tables", "high-speed steel, 210 to 235 kN/mm²"),
        },
        BarMaterial::Carbide => BarStuff {
            name: "carbide",
            modulus_mpa: 600_000.0,
            density: 14_500.0,
            slender: 5.0,
            source: Source::memory("common tables", "cemented carbide, 550 to 650 kN/mm²"),
        },
        BarMaterial::HeavyMetal => BarStuff {
            name: "heavy metal",
            modulus_mpa: 310_000.0,
            density: 17_500.0,
            slender: 4.0,
            source: Source::memory("common tables", "tungsten heavy metal, 310 to 360 kN/mm²: the lower"),
        },
    }
}

/// `round`, `flatted` or `square`.
pub const fn shape_word(shape: BarShape) -> &'static str {
    match shape {
        BarShape::Round => "round",
        BarShape::Flatted => "flatted",
        BarShape::Square => "square",
    }
}

/// A section square to the bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Shape.
    pub shape: BarShape,
    /// Diameter, or side.
    pub size: Length,
    /// Thickness left at the flat, across it.
    pub flat: Option<Length>,
}

impl Section {
    /// Of one size without a flat.
    pub const fn plain(shape: BarShape, size: Length) -> Self {
        Self { shape, size, flat: None }
    }

    /// Distance of the flat from the centre, mm; the radius where there is none.
    fn flat_from_centre(&self) -> f64 {
        let r = self.size.to_mm() / 2.0;
        self.flat.map_or(r, |f| f.to_mm() - r).clamp(0.0, r)
    }

    /// Area, mm².
    pub fn area_mm2(&self) -> f64 {
        match self.shape {
            BarShape::Square => self.size.to_mm().powi(2),
            BarShape::Round | BarShape::Flatted => self.disc().0,
        }
    }

    /// Second moment of area about its own neutral line, mm⁴, for bending square to the flat: π D⁴/64 round, s⁴/12
    /// square. A flat takes a segment of the disc off.
    pub fn second_moment_mm4(&self) -> f64 {
        match self.shape {
            BarShape::Square => self.size.to_mm().powi(4) / 12.0,
            BarShape::Round | BarShape::Flatted => {
                let (area, first, second) = self.disc();
                second - first * first / area
            }
        }
    }

    /// Its outline about its centre, mm: x towards the edge, y up; a round one by chords of 5°. A flat is at the back.
    pub fn outline(&self) -> Vec<(f64, f64)> {
        let half = self.size.to_mm() / 2.0;
        match self.shape {
            BarShape::Square => vec![(-half, -half), (half, -half), (half, half), (-half, half)],
            BarShape::Round | BarShape::Flatted => {
                let flat = self.flat_from_centre();
                let point = |i: i32| {
                    let (sin, cos) = (f64::from(i) * 5.0).to_radians().sin_cos();
                    ((half * cos).max(-flat), half * sin)
                };
                (0..72).map(point).collect()
            }
        }
    }

    /// Area, first and second moment about the centre of a disc without the segment beyond its flat.
    fn disc(&self) -> (f64, f64, f64) {
        let r = self.size.to_mm() / 2.0;
        // Half the angle of the segment cut off.
        let half = (self.flat_from_centre() / r).clamp(-1.0, 1.0).acos();
        let (sin, cos) = half.sin_cos();
        let area = r * r * (half - sin * cos);
        let first = 2.0 / 3.0 * (r * sin).powi(3);
        let second = r.powi(4) / 4.0 * (half - sin * cos + 2.0 * sin.powi(3) * cos);
        (PI * r * r - area, -first, PI * r.powi(4) / 4.0 - second)
    }
}

/// How a kind of bar is held and how its edge is joined to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joints {
    /// In words.
    pub name: &'static str,
    /// Stiffness of its clamp as a share of a split holder's or a tool post's on a plain shank.
    pub clamp: f64,
    /// Stiffness of the joint at the tip, N/mm; none where bar and tip are one.
    pub tip_n_per_mm: Option<f64>,
}

/// Joints of a kind of bar. Chosen here, for want of published figures: a screwed tip sits on 50 kN/mm; a boring head,
/// with its slide between shank and bar, turns twice as easily.
pub const fn joints(kind: BarKind) -> Joints {
    const SCREWED: Option<f64> = Some(50_000.0);
    match kind {
        BarKind::OnePiece => Joints { name: "one piece", clamp: 1.0, tip_n_per_mm: None },
        BarKind::Hardened => Joints { name: "hardened in one piece", clamp: 1.0, tip_n_per_mm: None },
        BarKind::BrazedTip => Joints { name: "brazed tip", clamp: 1.0, tip_n_per_mm: None },
        BarKind::ScrewedTip => Joints { name: "tip held by a screw", clamp: 1.0, tip_n_per_mm: SCREWED },
        BarKind::BoringHead => Joints { name: "in a boring head", clamp: 0.5, tip_n_per_mm: None },
        BarKind::Bought => Joints { name: "bought", clamp: 1.0, tip_n_per_mm: SCREWED },
    }
}

/// Stiffness of a usual clamp against turning, in E I / D of the bar: it lowers the first frequency of a bar four
/// diameters long to about 0.7 of the ideal clamp's.
pub const CLAMP: f64 = 0.98;
/// Origin of [`CLAMP`].
pub const CLAMP_SOURCE: Source = Source::practice(
    "a real clamp gives 0.6 to 0.8 of the ideal frequency; 0.98 E I / D gives 0.7 at four diameters",
);

/// Damping ratio of a plain clamped bar, the least and the most.
pub const DAMPING: [f64; 2] = [0.01, 0.03];
/// Origin of [`DAMPING`].
pub const DAMPING_SOURCE: Source = Source::memory("common tables", "plain clamped bars: 0.01 to 0.03");

/// Stiffness at the tip, N/mm: 3 E I / L³ (E N/mm², I mm⁴), of a bar of one section in an ideal clamp.
pub fn stiffness(modulus_mpa: f64, second_moment_mm4: f64, stick_out: Length) -> f64 {
    3.0 * modulus_mpa * second_moment_mm4 / stick_out.to_mm().powi(3)
}

/// Deflection at the tip: F / k.
pub fn deflection(force: Force, stiffness_n_per_mm: f64) -> Length {
    Length::mm(force.to_newton() / stiffness_n_per_mm)
}

/// Whether the edge of such a bar is carbide by the way it is made: a brazed or bought tip, or solid carbide.
pub const fn carbide_edge(bar: &Bar) -> bool {
    match bar.kind {
        BarKind::BrazedTip | BarKind::Bought => true,
        BarKind::OnePiece | BarKind::BoringHead => matches!(bar.material, BarMaterial::Carbide),
        BarKind::Hardened | BarKind::ScrewedTip => false,
    }
}

impl Bar {
    /// Height of the edge above the underside of the bar's front: half its size.
    pub fn edge_height(&self) -> Length {
        self.section_at(Length::ZERO).size * 0.5
    }

    /// Stick-out over size; of a stepped or tapered bar, over the size of a plain one that is as stiff: with
    /// k = 3 E c D⁴ / L³ and c = I / D⁴ of its shape, D is that of the plain bar.
    pub fn slenderness(&self, stick_out: Length) -> f64 {
        let whole = stick_out / self.size;
        if self.front.is_empty() {
            return whole;
        }
        let Some(beam) = beam_of(self, stick_out).assembled() else { return whole };
        let held = self.section(self.size).second_moment_mm4();
        let plain = stiffness(stuff(self.material).modulus_mpa, held, stick_out);
        whole * (plain / beam.stiffness_n_per_mm()).powf(0.25)
    }

    /// Its section at a distance from the front.
    pub fn section_at(&self, from_front: Length) -> Section {
        let mut begins = Length::ZERO;
        for (i, part) in self.front.iter().enumerate() {
            let ends = begins + part.length;
            if from_front < ends {
                let next = self.front.get(i + 1).map_or(self.size, |p| p.size);
                let share = if self.tapers { (from_front - begins) / part.length } else { 0.0 };
                return self.section(part.size + (next - part.size) * share);
            }
            begins = ends;
        }
        self.section(self.size)
    }

    /// A section of this size; a flat lies as deep in proportion.
    fn section(&self, size: Length) -> Section {
        Section { shape: self.shape, size, flat: self.flat.map(|f| f * (size / self.size)) }
    }

    /// Places at which the section steps or begins to taper, from the front, within `stick_out`; both ends included.
    pub fn steps(&self, stick_out: Length) -> Vec<Length> {
        let mut places = vec![Length::ZERO];
        for part in &self.front {
            places.push((places[places.len() - 1] + part.length).min(stick_out));
        }
        places.push(stick_out);
        places.dedup_by(|a, b| (*a - *b).abs() < Length::um(1.0));
        places
    }

    /// In words: `12.00 mm round steel bar, one piece`.
    pub fn words(&self) -> String {
        let form = match (self.front.is_empty(), self.tapers) {
            (true, _) => "",
            (false, false) => "stepped ",
            (false, true) => "tapered ",
        };
        let kind = match self.kind {
            BarKind::OnePiece => String::new(),
            other => format!(", {}", joints(other).name),
        };
        format!("{form}{} {} bar{kind}", shape_word(self.shape), stuff(self.material).name)
    }
}

/// How a bar answers a force at its tip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Answer {
    /// Static stiffness in an ideal clamp, bar and tip one, N/mm.
    pub ideal_n_per_mm: f64,
    /// First bending frequency likewise, Hz.
    pub ideal_hz: f64,
    /// Static stiffness as it is held and joined, N/mm.
    pub stiffness_n_per_mm: f64,
    /// First bending mode as it is held and joined.
    pub mode: Mode,
}

/// Answers of a bar at this stick-out with so much mass at its tip. Zero throughout where there is no bar to speak of.
pub fn answer(bar: &Bar, stick_out: Length, tip_mass_kg: f64) -> Answer {
    let beam = beam_of(bar, stick_out);
    let ideal = beam.assembled();
    let stuff = stuff(bar.material);
    let held = bar.section_at(stick_out);
    let joints = joints(bar.kind);
    let turning = stuff.modulus_mpa * held.second_moment_mm4() / held.size.to_mm() * 1e-3;
    let real = Beam {
        tip_mass_kg,
        clamp_n_m: Some(CLAMP * joints.clamp * turning),
        joint_n_per_m: joints.tip_n_per_mm.map(|k| k * 1e3),
        ..beam
    }
    .assembled();
    const NONE: Mode = Mode { hz: 0.0, stiffness_n_per_mm: 0.0 };
    Answer {
        ideal_n_per_mm: ideal.as_ref().map_or(0.0, Assembled::stiffness_n_per_mm),
        ideal_hz: ideal.map_or(NONE, |a| a.first_mode()).hz,
        stiffness_n_per_mm: real.as_ref().map_or(0.0, Assembled::stiffness_n_per_mm),
        mode: real.map_or(NONE, |a| a.first_mode()),
    }
}

/// First bending frequency of a bar in an ideal clamp, Hz.
pub fn first_frequency(bar: &Bar, stick_out: Length) -> f64 {
    answer(bar, stick_out, 0.0).ideal_hz
}

/// The bar as a beam in an ideal clamp, with nothing at its tip.
fn beam_of(bar: &Bar, stick_out: Length) -> Beam<'_> {
    let places = bar.steps(stick_out);
    let stuff = stuff(bar.material);
    let stretches = places.windows(2).rev().map(|w| {
        let (front, back) = (w[0], w[1]);
        // Looked at just inside, so that a step belongs to one side only.
        let inside = (back - front) * 1e-9;
        let at = move |share: f64| {
            let section =
                bar.section_at((back + (front - back) * share).min(back - inside).max(front + inside));
            // N/mm² · mm⁴ = N·mm², 1e-6 of a N·m²; mm² are 1e-6 of a m².
            (
                stuff.modulus_mpa * section.second_moment_mm4() * 1e-6,
                stuff.density * section.area_mm2() * 1e-6,
            )
        };
        Stretch { length_m: (back - front).to_mm() * 1e-3, at: Box::new(at) }
    });
    Beam { stretches: stretches.collect(), tip_mass_kg: 0.0, clamp_n_m: None, joint_n_per_m: None }
}

/// Usual sizes of round stock, mm.
const STOCK_MM: [f64; 20] = [
    3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 25.0, 32.0, 40.0, 50.0, 60.0, 80.0,
    100.0, 120.0,
];

/// Solid carbide bars are hardly to be had thicker than this (common practice, no source).
pub const LARGEST_CARBIDE: Length = Length::mm(25.4);

/// The largest usual size of round stock not above `largest`, in the unit that the person buys in: sixteenths of
/// an inch or the usual millimetres. None below 1/8 in or 3 mm.
pub fn stock_size(largest: Length, unit: flankwise_thread::Unit) -> Option<Length> {
    match unit {
        flankwise_thread::Unit::Mm => STOCK_MM.iter().rev().map(|&d| Length::mm(d)).find(|d| *d <= largest),
        flankwise_thread::Unit::Inch => {
            let sixteenths = (largest.to_inch() * 16.0).floor();
            (sixteenths >= 2.0).then(|| Length::inch(sixteenths / 16.0))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flankwise_thread::Unit;

    /// A plain bar has its own slenderness; a stepped one that of the plain bar which is as stiff. Checked against the
    /// two-part cantilever of any handbook: y = F (L³ − l³) / 3 E I2 + F l³ / 3 E I1 with a front l long.
    #[test]
    fn a_stepped_bar_is_as_slender_as_the_plain_one_that_is_as_stiff() {
        let mm = Length::mm;
        let plain = Bar::plain(BarShape::Round, mm(8.0), None, BarMaterial::Steel);
        assert!((plain.slenderness(mm(75.0)) - 75.0 / 8.0).abs() < 1e-12);
        let front = vec![crate::job::BarPart { length: mm(74.0), size: mm(8.0) }];
        let stepped = Bar { size: mm(32.0), front, ..plain };
        let bends = |l: f64, d: f64| l.powi(3) / d.powi(4);
        let y = bends(75.0, 32.0) - bends(74.0, 32.0) + bends(74.0, 8.0);
        let wanted = 75.0 / (75f64.powi(3) / y).powf(0.25);
        let found = stepped.slenderness(mm(75.0));
        assert!((found - wanted).abs() < 1e-6 * wanted && found > 9.0, "{found} {wanted}");
    }

    #[test]
    fn a_bar_that_does_not_stick_out_is_no_beam() {
        let bar = Bar::plain(BarShape::Round, Length::mm(8.0), None, BarMaterial::Steel);
        assert_eq!(answer(&bar, Length::mm(0.0005), 0.001).stiffness_n_per_mm, 0.0);
    }

    #[test]
    fn stock_sizes_are_never_larger() {
        assert_eq!(stock_size(Length::mm(10.25), Unit::Mm), Some(Length::mm(10.0)));
        assert_eq!(stock_size(Length::mm(10.25), Unit::Inch), Some(Length::inch(0.375)));
        assert_eq!(stock_size(Length::mm(2.9), Unit::Mm), None);
        assert_eq!(stock_size(Length::mm(261.0), Unit::Mm), Some(Length::mm(120.0)));
    }
}
