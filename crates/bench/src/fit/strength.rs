//! Strength of a thread under axial load: torque, self-locking, efficiency, pressure on the flanks, shear.

use flankwise_thread::{Angle, Force, Length, Source};
use std::f64::consts::PI;

/// Torque, self-locking, efficiency.
pub const MOTT: Source =
    Source::formula("Mott, Machine Elements in Mechanical Design, 4th ed.", "17-2 and example problem 17-1");
/// Pressure on the flanks.
pub const PRESSURE: Source = Source::formula(
    "Bhandari, Design of Machine Elements",
    "6, power screws: unit bearing pressure, as in example 6.5",
);
/// Area that shears.
pub const AREA: Source = Source::memory(
    "ASME B1.1, nonmandatory appendix on thread strength",
    "shear areas from the limits of both threads: π D over the ridge's thickness at the mate's edge",
);
/// Bending of the ridges.
pub const BENDING: Source = Source::memory(
    "Shigley's Mechanical Engineering Design",
    "8-2: the thread as a beam, 6 F / (π dr nt p) for a square one; here with the ridge's own thickness and arm",
);
/// Shares of the first threads.
pub const SHARE: Source = Source::memory(
    "Shigley's Mechanical Engineering Design",
    "8-2: the first engaged thread takes 0.38 of the load",
);
/// Usual length of a feed nut.
pub const LENGTH: Source =
    Source::practice("feed nuts 1.5 to 2 times the major diameter long, 6 threads or more");

/// Shortest and longest usual feed nut, in major diameters (see [`LENGTH`]).
pub const USUAL_NUT: (f64, f64) = (1.5, 2.0);
/// A nut longer than so many diameters is out of proportion: the load does not reach its far turns. Chosen here.
pub const LONGEST_SENSE: f64 = 3.0;
/// Fewest usual turns in a feed nut (see [`LENGTH`]).
pub const FEWEST_TURNS: f64 = 6.0;
/// Against yielding of the ridges in shear and bending and of the screw's core, and against buckling, for a static load
/// that is only roughly known. Common practice, no source.
pub const SAFETY: f64 = 3.0;

/// Share of the load that the first engaged thread takes (see [`SHARE`]).
pub const FIRST_THREAD: f64 = 0.38;

/// Share of the load on the first turn, of thread engaged over `length`: [`FIRST_THREAD`], or an even share where fewer
/// turns leave it more than that.
pub fn first_share(pitch: Length, length: Length) -> f64 {
    FIRST_THREAD.max((pitch / length).min(1.0))
}

/// A thread whose friction is so many times what locks it holds with something to spare. Chosen here.
pub const SURE_LOCK: f64 = 1.5;
/// Friction of a collar at the start, soft steel on cast iron, the highest of what is printed.
pub const COLLAR_FRICTION: f64 = 0.17;
/// Origin of [`COLLAR_FRICTION`].
pub const COLLAR: Source = Source::table(
    "Shigley's Mechanical Engineering Design, 9th ed.",
    "Table 8-6: soft steel on cast iron, starting",
);

/// Friction of a thrust collar: its coefficient and mean diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Collar {
    /// Coefficient of friction.
    pub friction: f64,
    /// Mean diameter.
    pub diameter: Length,
}

fn tan_lead(lead: Length, at: Length) -> f64 {
    lead / (at * PI)
}

/// F dm/2 · (cos α tan λ + f) / (cos α - f tan λ); with -f, what the load gives back less what friction takes.
fn slope_nm(load: Force, dm: Length, lead: Length, flank: Angle, f: f64) -> f64 {
    let (tan, cos) = (tan_lead(lead, dm), flank.cos());
    load.to_newton() * dm.to_mm() / 2000.0 * (cos * tan + f) / (cos - f * tan)
}

fn collar_nm(load: Force, collar: Option<Collar>) -> f64 {
    collar.map_or(0.0, |c| load.to_newton() * c.friction * c.diameter.to_mm() / 2000.0)
}

/// Torque in N·m that moves the nut against `load`:
/// T = F dm/2 · (cos α tan λ + f) / (cos α - f tan λ), and the collar's F fc dc/2. Infinite where f tan λ is cos α or
/// more: so steep a thread jams, and no torque moves it.
pub fn raising_torque_nm(
    load: Force,
    dm: Length,
    lead: Length,
    flank: Angle,
    f: f64,
    collar: Option<Collar>,
) -> f64 {
    if flank.cos() <= f * tan_lead(lead, dm) {
        return f64::INFINITY;
    }
    slope_nm(load, dm, lead, flank, f) + collar_nm(load, collar)
}

/// Torque in N·m that moves the nut with `load`; negative where the load drives the screw:
/// T = F dm/2 · (f - cos α tan λ) / (cos α + f tan λ), and the collar's.
pub fn lowering_torque_nm(
    load: Force,
    dm: Length,
    lead: Length,
    flank: Angle,
    f: f64,
    collar: Option<Collar>,
) -> f64 {
    -slope_nm(load, dm, lead, flank, -f) + collar_nm(load, collar)
}

/// Work got over work put in for one turn: F Ph / (2 π T).
pub fn efficiency(load: Force, lead: Length, torque_nm: f64) -> f64 {
    load.to_newton() * lead.to_mm() / 1000.0 / (2.0 * PI * torque_nm)
}

/// Smallest coefficient of friction that holds the load: cos α tan λ.
pub fn locking_friction(lead: Length, dm: Length, flank: Angle) -> f64 {
    flank.cos() * tan_lead(lead, dm)
}

/// Mean pressure in N/mm² on the projected flanks over `length` of thread: F P / (π d2 H1 L).
pub fn bearing_mpa(load: Force, pitch: Length, d2: Length, engagement: Length, length: Length) -> f64 {
    load.to_newton() * pitch.to_mm() / (PI * d2.to_mm() * engagement.to_mm() * length.to_mm())
}

/// Length of thread at which the mean pressure is `allowed_mpa`.
pub fn bearing_length(
    load: Force,
    pitch: Length,
    d2: Length,
    engagement: Length,
    allowed_mpa: f64,
) -> Length {
    Length::mm(load.to_newton() * pitch.to_mm() / (PI * d2.to_mm() * engagement.to_mm() * allowed_mpa))
}

/// Area in mm² that shears in each millimetre of length, of ridges that are `thickness` thick at diameter `at`: π D t / P.
pub fn shear_area(pitch: Length, at: Length, thickness: Length) -> f64 {
    PI * at.to_mm() * (thickness / pitch)
}

/// Shear stress in N/mm² over `length`, for ridges that are `thickness` thick at diameter `at`:
/// F P / (π D t L).
pub fn shear_mpa(load: Force, pitch: Length, at: Length, thickness: Length, length: Length) -> f64 {
    load.to_newton() / (shear_area(pitch, at, thickness) * length.to_mm())
}

/// Bending stress in N/mm² at the foot of ridges over `length`, as of a beam π D wide and `thickness` thick there, with
/// the load `arm` away from the foot: 6 F a P / (π D t² L). A square thread, half a pitch thick and loaded at half of its
/// depth of half a pitch, has 6 F / (π D n P) of it ([`BENDING`]).
pub fn bending_mpa(
    load: Force,
    pitch: Length,
    foot: Length,
    thickness: Length,
    arm: Length,
    length: Length,
) -> f64 {
    6.0 * (arm / thickness) * shear_mpa(load, pitch, foot, thickness, length)
}

/// Length of thread that carries `load` at shear stress `tau_mpa`, for `area_mm` of shear area per millimetre of
/// length (mm²/mm).
pub fn shear_length(load: Force, tau_mpa: f64, area_mm: f64) -> Length {
    Length::mm(load.to_newton() / (tau_mpa * area_mm))
}

/// Way that flank slides on flank in one turn: √((π d2)² + Ph²).
pub fn slide_per_turn(d2: Length, lead: Length) -> Length {
    Length::mm((PI * d2.to_mm()).hypot(lead.to_mm()))
}

/// Depth worn off, square to the flank, by a pressure in N/mm² over a way of sliding: k p s, k in mm³/(N·m) (Archard's
/// law with the hardness within k).
pub fn wear_depth(k: f64, pressure_mpa: f64, slide: Length) -> Length {
    Length::mm(k * pressure_mpa * slide.to_mm() / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A thread that locks is never more than half efficient (statics of the wedge, for square threads).
    #[test]
    fn locking_means_less_than_half() {
        let (load, dm) = (Force::newton(1000.0), Length::mm(20.0));
        for lead in [2.0, 5.0, 10.0, 20.0, 40.0] {
            for f in [0.02, 0.05, 0.1, 0.2, 0.4] {
                let lead = Length::mm(lead);
                let eta = efficiency(load, lead, raising_torque_nm(load, dm, lead, Angle::ZERO, f, None));
                let locks = f > locking_friction(lead, dm, Angle::ZERO);
                assert!(!locks || eta < 0.5, "lead {lead:?}, friction {f}: {eta}");
                let lowering = lowering_torque_nm(load, dm, lead, Angle::ZERO, f, None);
                assert_eq!(locks, lowering > 0.0);
            }
        }
    }

    /// Flanks of 15° and a friction of 0.8: from a lead angle of 50.4° on the nut jams (cos α = f tan λ).
    #[test]
    fn a_steep_thread_jams_and_no_torque_is_said_to_move_it() {
        let dm = Length::mm(20.0);
        let torque = |angle: f64| {
            let lead = dm * (PI * angle.to_radians().tan());
            raising_torque_nm(Force::newton(1000.0), dm, lead, Angle::deg(15.0), 0.8, None)
        };
        assert!(torque(50.0).is_finite() && torque(50.0) > 0.0);
        assert!(torque(50.8).is_infinite() && torque(80.0).is_infinite());
    }

    #[test]
    fn the_first_turn_of_two_takes_half() {
        let p = Length::mm(5.0);
        assert!((first_share(p, p * 2.0) - 0.5).abs() < 1e-12);
        assert!((first_share(p, p * 8.0) - 0.38).abs() < 1e-12);
        assert!((first_share(p, p / 2.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn bearing_length_undoes_bearing_pressure() {
        let args = (Force::newton(900.0), Length::mm(5.0), Length::mm(19.5), Length::mm(2.5));
        let p = bearing_mpa(args.0, args.1, args.2, args.3, Length::mm(44.0));
        assert!(
            (bearing_length(args.0, args.1, args.2, args.3, p) - Length::mm(44.0)).abs() < Length::um(1e-6)
        );
    }
}
