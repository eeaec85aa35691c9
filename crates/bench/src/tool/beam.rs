//! A slender beam of finite elements, clamped at one end: static stiffness at the other, and the first bending mode.
//!
//! Euler and Bernoulli's beam (plane sections, no shear, no rotary inertia): two nodes with deflection and slope each,
//! cubic between them; stiffness and mass are integrated over each element with four Gauss points, so a taper is exact
//! but for its shape within an element. A short bar is softer by its shear than this says: by 6 % at three diameters of
//! stick-out (derived: the shear term of a round cantilever, 0.54 (D/L)²); its clamp gives far more.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

/// A stretch of beam along which bending stiffness and mass run smoothly.
pub struct Stretch<'s> {
    /// Length, m.
    pub length_m: f64,
    /// Bending stiffness E I in N·m² and mass for each metre in kg, at a share of the way from the clamp's side.
    pub at: Box<dyn Fn(f64) -> (f64, f64) + 's>,
}

/// The beam, from the clamp to the tip.
pub struct Beam<'s> {
    /// Its stretches in order.
    pub stretches: Vec<Stretch<'s>>,
    /// Mass at the tip, kg.
    pub tip_mass_kg: f64,
    /// Stiffness of the clamp against turning, N·m/rad; none where it is rigid.
    pub clamp_n_m: Option<f64>,
    /// Stiffness of a joint between beam and tip mass, N/m; none where they are one.
    pub joint_n_per_m: Option<f64>,
}

/// The first bending mode, seen at the tip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mode {
    /// Frequency, Hz.
    pub hz: f64,
    /// Modal stiffness, N/mm: that of the spring and mass which move as the tip does.
    pub stiffness_n_per_mm: f64,
}

/// Elements along the whole beam, and at least in each stretch.
const ELEMENTS: f64 = 16.0;
const LEAST: usize = 3;
/// Gauss points and weights on 0 to 1.
const GAUSS: [(f64, f64); 4] = [
    (0.069_431_844_202_973_7, 0.173_927_422_568_727),
    (0.330_009_478_207_572, 0.326_072_577_431_273),
    (0.669_990_521_792_428, 0.326_072_577_431_273),
    (0.930_568_155_797_026, 0.173_927_422_568_727),
];

/// The beam cut into elements, its matrices put together.
pub struct Assembled {
    factored: Cholesky<f64, Dyn>,
    mass: DMatrix<f64>,
    tip: usize,
}

impl Beam<'_> {
    /// Puts the matrices together. None where the beam has no length or a section no stiffness.
    pub fn assembled(&self) -> Option<Assembled> {
        let whole: f64 = self.stretches.iter().map(|s| s.length_m).sum();
        if whole <= 0.0 {
            return None;
        }
        let count = |s: &Stretch<'_>| ((ELEMENTS * s.length_m / whole).ceil() as usize).max(LEAST);
        let nodes = 1 + self.stretches.iter().map(count).sum::<usize>();
        let joint = usize::from(self.joint_n_per_m.is_some());
        let size = 2 * nodes + joint;
        let (mut k, mut m) = (DMatrix::zeros(size, size), DMatrix::zeros(size, size));
        let mut node = 0;
        for stretch in &self.stretches {
            let n = count(stretch);
            for i in 0..n {
                let at = |share: f64| (stretch.at)((i as f64 + share) / n as f64);
                element(&mut k, &mut m, 2 * node, stretch.length_m / n as f64, at);
                node += 1;
            }
        }
        let end = 2 * (nodes - 1);
        let tip = if joint == 1 { size - 1 } else { end };
        if let Some(spring) = self.joint_n_per_m {
            for (row, column, sign) in [(end, end, 1.0), (tip, tip, 1.0), (end, tip, -1.0), (tip, end, -1.0)]
            {
                k[(row, column)] += sign * spring;
            }
        }
        m[(tip, tip)] += self.tip_mass_kg;
        // The clamp holds the first deflection; the first slope by its spring, or altogether.
        let held = match self.clamp_n_m {
            Some(spring) => {
                k[(1, 1)] += spring;
                1
            }
            None => 2,
        };
        let (k, m) =
            (k.remove_rows(0, held).remove_columns(0, held), m.remove_rows(0, held).remove_columns(0, held));
        Some(Assembled { factored: k.cholesky()?, mass: m, tip: tip - held })
    }
}

/// Adds an element of length `l` that begins at the degree of freedom `at_dof`.
fn element(
    k: &mut DMatrix<f64>,
    m: &mut DMatrix<f64>,
    at_dof: usize,
    l: f64,
    at: impl Fn(f64) -> (f64, f64),
) {
    for (x, weight) in GAUSS {
        let (bending, mass) = at(x);
        let shape = [
            1.0 - 3.0 * x * x + 2.0 * x * x * x,
            l * (x - 2.0 * x * x + x * x * x),
            3.0 * x * x - 2.0 * x * x * x,
            l * (x * x * x - x * x),
        ];
        let curve = [
            (12.0 * x - 6.0) / (l * l),
            (6.0 * x - 4.0) / l,
            (6.0 - 12.0 * x) / (l * l),
            (6.0 * x - 2.0) / l,
        ];
        for i in 0..4 {
            for j in 0..4 {
                k[(at_dof + i, at_dof + j)] += weight * l * bending * curve[i] * curve[j];
                m[(at_dof + i, at_dof + j)] += weight * l * mass * shape[i] * shape[j];
            }
        }
    }
}

/// Steps of the inverse iteration at most; each shrinks what is left of the second mode by the square of the ratio of
/// their frequencies, about 40.
const STEPS: usize = 60;

impl Assembled {
    /// Deflection of all nodes under a force of 1 N at the tip.
    fn under_unit_force(&self) -> DVector<f64> {
        let mut force = DVector::zeros(self.mass.nrows());
        force[self.tip] = 1.0;
        self.factored.solve(&force)
    }

    /// Static stiffness at the tip, N/mm.
    pub fn stiffness_n_per_mm(&self) -> f64 {
        1e-3 / self.under_unit_force()[self.tip]
    }

    /// The first mode, by inverse iteration from the static deflection.
    pub fn first_mode(&self) -> Mode {
        let mut shape = self.under_unit_force();
        let mut square = 0.0;
        for _ in 0..STEPS {
            let inertia = &self.mass * &shape;
            let next = self.factored.solve(&inertia);
            // Rayleigh's quotient of the new shape: x'Kx = x'M(shape before).
            let moved = &self.mass * &next;
            let found = next.dot(&inertia) / next.dot(&moved);
            shape = &next / next[self.tip];
            let settled = (found - square).abs() <= 1e-13 * found;
            square = found;
            if settled {
                break;
            }
        }
        let modal_mass = shape.dot(&(&self.mass * &shape));
        Mode { hz: square.sqrt() / std::f64::consts::TAU, stiffness_n_per_mm: square * modal_mass * 1e-3 }
    }
}
