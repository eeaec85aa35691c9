//! Relief under the flanks, from the slope of the surface that has just been cut.
//!
//! A relief is seen along the cross-slide, in the plane of `y` and `z`: by how much the side of the tool leans from its
//! edge downwards. Just below the edge the surface runs away from one side and towards the other by its own slope; deeper
//! down in a nut both walls come closer, since the bore curves away from a straight tool.

use super::grind::Side;
use super::profile::{Ground, Stance};
use flankwise_thread::{Angle, Element, Length};

/// What clears at one diameter of the flank, no clearance added, in the tool's own frame (cant taken off).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slopes {
    /// Diameter that this part of the edge cuts.
    pub diameter: Length,
    /// Lead angle there.
    pub lead: Angle,
    /// Chuck side, just below the edge and down to the heel.
    pub chuck: Slope,
    /// Tailstock side.
    pub tailstock: Slope,
}

/// Relief at which a side of the tool just touches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// Just below the edge.
    pub edge: Angle,
    /// At the worst place down to the heel.
    pub heel: Angle,
}

/// Parts of a flank's height at which the surface is looked at.
const STATIONS: u32 = 4;
/// Depths below the edge at which the heel is looked at.
const DEPTHS: u32 = 16;

/// Slopes from the surface of the blank to the bottom of the groove. `below` is the height of the tool under its edge,
/// `front` its front clearance: what that takes off cannot touch.
pub fn slopes(ground: &Ground, stance: &Stance, below: Length, front: Angle) -> Vec<Slopes> {
    let groove = &ground.groove;
    let helicoid = groove.helicoid();
    let cant = stance.cant_for(groove.hand).tan();
    let outwards = match groove.element {
        Element::External => 1.0,
        Element::Internal => -1.0,
    };
    let tip = ground.edge(&helicoid, Side::Chuck, 0.0);
    let side_at = |side: Side, share: f64| -> Option<(f64, Slope)> {
        let edge = ground.edge(&helicoid, side, share)?;
        let radius = edge.x.hypot(edge.y);
        // z of the flank where it is carried through (x, y), from that at the edge.
        let wall = |y: f64| {
            let turn = y.atan2(edge.x) - edge.y.atan2(edge.x);
            let up = (edge.x.hypot(y) - radius) * outwards;
            helicoid.rise() * turn + side.sign() * up * groove.flank(side).tan()
        };
        // The side of the tool falls behind its edge by `lean` a millimetre down; the wall comes nearer by this much.
        let nearer = |down: f64| (-side.sign() * wall(edge.y - down)) / down - side.sign() * cant;
        let at_edge = nearer(1e-6);
        let least = tip.map_or(0.0, |t| (t.x - edge.x).abs());
        let there = |down: f64| down * front.tan() <= least;
        let heel = (1..=DEPTHS)
            .map(|i| below.to_mm() * f64::from(i) / f64::from(DEPTHS))
            .filter(|down| *down > 0.0 && there(*down))
            .map(nearer)
            .fold(at_edge, f64::max);
        Some((radius, Slope { edge: Angle::atan(at_edge), heel: Angle::atan(heel) }))
    };
    (0..=STATIONS)
        .rev()
        .filter_map(|i| {
            let share = f64::from(i) / f64::from(STATIONS);
            let ((r, chuck), (_, tailstock)) =
                (side_at(Side::Chuck, share)?, side_at(Side::Tailstock, share)?);
            let diameter = Length::mm(2.0 * r);
            let lead = Angle::rad(helicoid.lead_angle(diameter).to_rad().abs());
            Some(Slopes { diameter, lead, chuck, tailstock })
        })
        .collect()
}

/// Reliefs to grind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reliefs {
    /// Under the flank towards the chuck.
    pub chuck: Angle,
    /// Under the flank towards the tailstock.
    pub tailstock: Angle,
    /// A side that the helix alone clears by more than the clearance wanted, and by how much less than
    /// [`LEAST_RELIEF`] would do there.
    pub floored: Option<(Side, Angle)>,
}

/// Least relief ground on a flank: an upright or overhanging side can't be ground and checked by hand. So much is also
/// left free at the heel, where nothing is to rub but the edge need not be kept keen.
pub const LEAST_RELIEF: Angle = Angle::deg(1.0);

impl Slope {
    /// Relief for a working clearance under the edge.
    pub fn with(&self, clearance: Angle) -> Angle {
        (self.edge + clearance).max(self.heel + LEAST_RELIEF)
    }
}

impl Reliefs {
    /// The largest that any part of the flanks asks for.
    pub fn over(slopes: &[Slopes], clearance: Angle) -> Self {
        let most = |side: fn(&Slopes) -> Slope| {
            slopes.iter().map(|s| side(s).with(clearance)).reduce(Angle::max).unwrap_or(clearance)
        };
        let (chuck, tailstock) = (most(|s| s.chuck), most(|s| s.tailstock));
        let floored = [(Side::Chuck, chuck), (Side::Tailstock, tailstock)]
            .into_iter()
            .find(|(_, needed)| *needed < LEAST_RELIEF);
        Self { chuck: chuck.max(LEAST_RELIEF), tailstock: tailstock.max(LEAST_RELIEF), floored }
    }

    /// The relief on a side.
    pub fn on(&self, side: Side) -> Angle {
        match side {
            Side::Chuck => self.chuck,
            Side::Tailstock => self.tailstock,
        }
    }
}
