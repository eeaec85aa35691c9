//! Relief under the flanks, from the slope of the surface that has just been cut.
//!
//! A relief is seen along the tool's own middle line, in the frame that the tool is ground in: by how much its side leans
//! from its edge downwards. Cant turns that frame about the cross-slide, tilt in the face: what the one flank gains
//! by cant, or by tilt of a face with rake, the other loses. Just below the edge the surface runs away from one side and towards the other by its own slope; deeper
//! down in a nut both walls come closer, since the bore curves away from a straight tool.

use super::grind::{Front, Side};
use super::profile::{Ground, Stance};
use flankwise_thread::helicoid::Vector;
use flankwise_thread::{Angle, Element, Length};

/// What clears at one diameter of the flank, no clearance added, in the tool's own frame (cant and tilt taken off).
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

/// Shares of a flank's height to either side of a place, between which its edge is taken as straight.
const NEAR: f64 = 1e-3;
/// Parts of a flank's height at which the surface is looked at.
const STATIONS: u32 = 4;
/// Depths below the edge at which the heel is looked at.
const DEPTHS: u32 = 16;

/// Slopes from the surface of the blank to the bottom of the groove. `below` is the height of the tool under its edge,
/// `front` its front: what that takes off cannot touch.
pub fn slopes(ground: &Ground, stance: &Stance, below: Length, front: &Front) -> Vec<Slopes> {
    let groove = &ground.groove;
    let helicoid = groove.helicoid();
    let Some(frame) = groove.frame(stance) else { return Vec::new() };
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
        let along_edge = ground.edge(&helicoid, side, (share + NEAR).min(1.0))?
            - ground.edge(&helicoid, side, (share - NEAR).max(0.0))?;
        // The side of the tool falls behind its edge by so much a millimetre down; the wall comes nearer by this much.
        let nearer = |down: f64| {
            let fallen = Vector { x: 0.0, y: -down, z: wall(edge.y - down) };
            -side.sign() * frame.lean(along_edge.cross(fallen))
        };
        let at_edge = nearer(1e-6);
        let least = tip.map_or(0.0, |t| (t.x - edge.x).abs());
        let there = |down: f64| front.back(Length::mm(down)).to_mm() <= least;
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
    /// A side whose clearance the helix takes up, and the relief that would do there: less than [`LEAST_RELIEF`],
    /// below zero where that side might overhang.
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

#[cfg(test)]
mod tests {
    use super::super::profile::Groove;
    use super::*;
    use flankwise_thread::Hand;

    fn groove(element: Element, hand: Hand) -> Groove {
        let (bottom, surface) = match element {
            Element::Internal => (22.5, 17.0),
            Element::External => (16.5, 22.0),
        };
        Groove {
            element,
            bottom: Length::mm(bottom),
            surface: Length::mm(surface),
            width: Length::mm(1.7),
            chuck: Angle::deg(15.0),
            tailstock: Angle::deg(15.0),
            lead: Length::mm(10.0),
            hand,
        }
    }

    fn stance(rake: f64, cant: f64, tilt: f64) -> Stance {
        Stance {
            rake: Angle::deg(rake),
            height: Length::mm(0.2),
            cant: Angle::deg(cant),
            tilt: Angle::deg(tilt),
        }
    }

    fn at(groove: Groove, stance: &Stance) -> Vec<Slopes> {
        let ground = Ground::new(groove, stance).expect("the face crosses the groove");
        slopes(&ground, stance, Length::mm(3.0), &FRONT)
    }

    const FRONT: Front = Front { clearance: Angle::deg(12.0), second: None };

    /// The side that just touches lies in the plane that touches the helicoid at the edge: its line down the tool is
    /// square to the surface's own normal, which the helicoid gives by itself.
    #[test]
    fn a_side_that_touches_lies_in_the_tangent_plane_of_the_helicoid() {
        for element in [Element::Internal, Element::External] {
            for hand in [Hand::Right, Hand::Left] {
                for stance in [
                    stance(0.0, 0.0, 4.0),
                    stance(8.0, 0.0, -5.0),
                    stance(5.0, 6.0, 3.0),
                    stance(-4.0, 3.0, 0.0),
                ] {
                    tangent(groove(element, hand), &stance);
                }
            }
        }
    }

    fn tangent(groove: Groove, stance: &Stance) {
        let ground = Ground::new(groove, stance).expect("the face crosses the groove");
        let (helicoid, frame) = (groove.helicoid(), groove.frame(stance).expect("a face"));
        let all = slopes(&ground, stance, Length::mm(3.0), &FRONT);
        assert_eq!(all.len(), STATIONS as usize + 1);
        for (i, slopes) in all.iter().enumerate() {
            let share = 1.0 - i as f64 / f64::from(STATIONS);
            for side in Side::BOTH {
                let edge = ground.edge(&helicoid, side, share).expect("an edge");
                let turn = Angle::rad(edge.y.atan2(edge.x));
                let normal = helicoid.normal(Groove::place(side, share), turn);
                let relief = match side {
                    Side::Chuck => slopes.chuck.edge,
                    Side::Tailstock => slopes.tailstock.edge,
                };
                let down = frame.along.scaled(-side.sign() * relief.tan()) - frame.up;
                let off = (normal.dot(down) / normal.length() / down.length()).asin().to_degrees();
                assert!(off.abs() < 0.02, "{groove:?} {stance:?} {side:?} {share}: {off}");
            }
        }
    }

    /// To the first order the one flank gains what the other loses, and without tilt nothing changes.
    #[test]
    fn tilt_takes_from_one_flank_what_it_gives_the_other() {
        let groove = groove(Element::Internal, Hand::Right);
        let change = |tilt: f64| {
            let (plain, tilted) = (at(groove, &stance(10.0, 0.0, 0.0)), at(groove, &stance(10.0, 0.0, tilt)));
            let by =
                |side: fn(&Slopes) -> Slope| side(&tilted[2]).edge.to_deg() - side(&plain[2]).edge.to_deg();
            (by(|s| s.chuck), by(|s| s.tailstock))
        };
        let (chuck, tailstock) = change(3.0);
        assert!(chuck * tailstock < 0.0 && chuck.abs() > 0.2, "{chuck} {tailstock}");
        assert!((chuck + tailstock).abs() < 0.8 * chuck.abs(), "{chuck} {tailstock}");
        let (back, _) = change(-3.0);
        assert!(back * chuck < 0.0);
    }
}
