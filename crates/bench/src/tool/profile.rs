//! The profile to grind: where the rake face meets the groove that is to be cut, and what a plain one would cut.
//!
//! The frame is that of [`flankwise_thread::helicoid`]: `z` to the chuck, `x` to the person in front, `y` up; the tool
//! cuts at x > 0 with its face up. Which flank of the groove lies to the chuck does not depend on the hand: a screw's
//! entering end and a nut's mouth point to the tailstock, so its leading flank does ([`flankwise_thread::profile`]).

use super::grind::Side;
use crate::fit::Fit;
use crate::job::Grind;
use flankwise_thread::helicoid::{Face, Helicoid, NoSection, Plane, Section, Vector};
use flankwise_thread::profile::{Basic, Outline, Place, Point, Segment};
use flankwise_thread::{Angle, Element, Hand, Length};

/// How the rake face is to stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stance {
    /// Back rake: positive where the face falls away behind the tip.
    pub rake: Angle,
    /// Height of the tip above the axis.
    pub height: Length,
    /// Turn about the line of the cross-slide, positive to follow this thread's helix.
    pub cant: Angle,
    /// Turn in the face, positive with the tip towards the tailstock.
    pub tilt: Angle,
}

impl Stance {
    /// As the person has fixed it; flat, on centre and square where they have not.
    pub fn of(grind: &Grind) -> Self {
        let angle = |given: Option<Angle>| given.unwrap_or(Angle::ZERO);
        Self {
            rake: angle(grind.rake),
            height: grind.height.unwrap_or(Length::ZERO),
            cant: angle(grind.cant),
            tilt: angle(grind.tilt),
        }
    }

    /// Flat, on centre and square: the groove's own section is ground.
    pub fn is_plain(&self) -> bool {
        *self == Self::of(&Grind::default())
    }

    /// The cant in the frame: with the hand's sign.
    pub fn cant_for(&self, hand: Hand) -> Angle {
        match hand {
            Hand::Right => self.cant,
            Hand::Left => self.cant * -1.0,
        }
    }
}

/// The groove that one setting of the tool cuts, in the axial plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Groove {
    /// Inside or outside.
    pub element: Element,
    /// Diameter at its bottom.
    pub bottom: Length,
    /// Diameter of the blank's surface.
    pub surface: Length,
    /// Width of its bottom, which is that of the tip.
    pub width: Length,
    /// Flank on the chuck's side, to the plane square to the axis.
    pub chuck: Angle,
    /// Flank on the tailstock's side.
    pub tailstock: Angle,
    /// Lead of its helix.
    pub lead: Length,
    /// Hand of its helix.
    pub hand: Hand,
}

impl Groove {
    /// At the aimed sizes, for a tip that cuts this width.
    pub fn of(fit: &Fit, basic: &Basic, width: Length) -> Self {
        Self {
            element: fit.part,
            bottom: fit.bottom.aim,
            surface: fit.blank.aim,
            width,
            chuck: basic.flank_leading,
            tailstock: basic.flank_trailing,
            lead: fit.thread.lead(),
            hand: fit.thread.hand,
        }
    }

    /// Flank on a side.
    pub fn flank(&self, side: Side) -> Angle {
        match side {
            Side::Chuck => self.chuck,
            Side::Tailstock => self.tailstock,
        }
    }

    /// Radial depth, mm.
    fn depth(&self) -> f64 {
        (self.bottom - self.surface).abs().to_mm() / 2.0
    }

    /// Half the width on a side at `up` mm above the bottom.
    fn reach(&self, side: Side, up: f64) -> f64 {
        self.width.to_mm() / 2.0 + up * self.flank(side).tan()
    }

    /// From the surface on the tailstock's side to that on the chuck's, the middle of the bottom at z = 0.
    fn outline(&self) -> Outline {
        let (bottom, surface) = (self.bottom.to_mm() / 2.0, self.surface.to_mm() / 2.0);
        let at = |side: Side, up: f64, r: f64| Point { z: side.sign() * self.reach(side, up), r };
        let line = |to| Segment::Line { to };
        Outline {
            start: at(Side::Tailstock, self.depth(), surface),
            segments: vec![
                line(at(Side::Tailstock, 0.0, bottom)),
                line(at(Side::Chuck, 0.0, bottom)),
                line(at(Side::Chuck, self.depth(), surface)),
            ],
        }
    }

    /// The helicoid of the groove.
    pub fn helicoid(&self) -> Helicoid {
        Helicoid::new(self.outline(), self.lead, self.hand)
    }

    fn face(&self, stance: &Stance) -> Face {
        let tilt = match self.element {
            Element::External => stance.tilt,
            Element::Internal => stance.tilt * -1.0,
        };
        Face {
            element: self.element,
            tip: self.bottom,
            height: stance.height,
            rake: stance.rake,
            cant: stance.cant_for(self.hand),
            tilt,
        }
    }

    /// The frame that the tool is ground in, as it stands: none where the face does not reach the bottom.
    pub(super) fn frame(&self, stance: &Stance) -> Option<Frame> {
        let (straight, tilted) = (self.face(&Stance { tilt: Angle::ZERO, ..*stance }), self.face(stance));
        let (straight, tilted) = (straight.plane()?, tilted.plane()?);
        // Tilt turns in the face: what is square to it stays.
        let turned = |v: Vector| {
            tilted.square().scaled(tilted.square().dot(v))
                + tilted.along().scaled(straight.along().dot(v))
                + tilted.out().scaled(straight.out().dot(v))
        };
        let (sin, cos) = stance.cant_for(self.hand).to_rad().sin_cos();
        Some(Frame {
            up: turned(Vector { x: 0.0, y: cos, z: sin }),
            along: turned(Vector { x: 0.0, y: -sin, z: cos }),
        })
    }

    /// A place of a flank, 0 at the bottom and 1 at the surface.
    pub(super) fn place(side: Side, share: f64) -> Place {
        match side {
            Side::Tailstock => Place { piece: TAILSTOCK_FLANK, share: 1.0 - share },
            Side::Chuck => Place { piece: CHUCK_FLANK, share },
        }
    }
}

/// The frame that a tool is ground in, in space: cant and tilt have turned it, rake is ground into it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    /// Up from the tool's base.
    pub up: Vector,
    /// Square to its middle line, to the chuck's side.
    pub along: Vector,
}

impl Frame {
    /// How far a plane with this normal leans to the chuck's side for each millimetre down, seen along the tool's middle
    /// line.
    pub fn lean(&self, normal: Vector) -> f64 {
        normal.dot(self.up) / normal.dot(self.along)
    }
}

const TAILSTOCK_FLANK: usize = 0;
const CHUCK_FLANK: usize = 2;

/// Why a face cannot cut the groove.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Misses {
    /// The edge stands so high or low that it does not reach the bottom's diameter.
    Bottom,
    /// The face runs past the thread before it is out of the groove.
    Surface(NoSection),
}

/// A flank of the tool.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundFlank {
    /// Angle to grind in the face, to the tool's middle line: that of the chord of the true curve.
    pub angle: Angle,
    /// How far the true curve strays from that chord; positive where the tool's flank is to be full, negative where
    /// hollow.
    pub bow: Length,
}

/// The profile to grind.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// The groove it cuts.
    pub groove: Groove,
    /// Flank towards the chuck.
    pub chuck: GroundFlank,
    /// Flank towards the tailstock.
    pub tailstock: GroundFlank,
    /// Width of the tip in the face, corner to corner.
    pub tip_width: Length,
    /// The profile in the face from the surface on the tailstock's side to that on the chuck's: along (to the chuck)
    /// and out (from the axis), the middle of the tip at the origin.
    pub points: Vec<(Length, Length)>,
    plane: Plane,
}

/// No chord of [`Ground::points`] strays more than this from the true curve, mm.
const POINTS_TOLERANCE_MM: f64 = 1e-4;

impl Ground {
    /// Where a face so placed meets the groove.
    ///
    /// # Errors
    /// Where it does not.
    pub fn new(groove: Groove, stance: &Stance) -> Result<Self, Misses> {
        let plane = groove.face(stance).plane().ok_or(Misses::Bottom)?;
        let helicoid = groove.helicoid();
        let section = helicoid.section(plane);
        let points = section.points(POINTS_TOLERANCE_MM).map_err(Misses::Surface)?;
        let flank = |side| ground_flank(&section, &groove, side).map_err(Misses::Surface);
        let corner = |side| section.at(Groove::place(side, 0.0)).map_err(Misses::Surface);
        let (from, to) = (corner(Side::Tailstock)?, corner(Side::Chuck)?);
        let (chuck, tailstock) = (flank(Side::Chuck)?, flank(Side::Tailstock)?);
        Ok(Self {
            groove,
            chuck,
            tailstock,
            tip_width: Length::mm((to.along - from.along).hypot(to.out - from.out)),
            points: points.iter().map(|p| (Length::mm(p.along), Length::mm(p.out))).collect(),
            plane,
        })
    }

    /// The flank on a side.
    pub fn flank(&self, side: Side) -> GroundFlank {
        match side {
            Side::Chuck => self.chuck,
            Side::Tailstock => self.tailstock,
        }
    }

    /// Both flanks.
    pub fn included(&self) -> Angle {
        self.chuck.angle + self.tailstock.angle
    }

    /// What a tip that cuts this width along the axis measures in the face.
    pub fn in_face(&self, axial: Length) -> Length {
        axial * (self.tip_width / self.groove.width)
    }

    /// What a tip of this width in the face cuts along the axis.
    pub fn along_axis(&self, in_face: Length) -> Length {
        in_face * (self.groove.width / self.tip_width)
    }

    /// The edge in space at a share of a flank's height, 0 at the bottom.
    pub(super) fn edge(&self, helicoid: &Helicoid, side: Side, share: f64) -> Option<Vector> {
        let point = helicoid.section(self.plane).at(Groove::place(side, share)).ok()?;
        Some(self.plane.point(point.along, point.out))
    }
}

fn ground_flank(section: &Section<'_>, groove: &Groove, side: Side) -> Result<GroundFlank, NoSection> {
    let piece = Groove::place(side, 0.0).piece;
    let Some(found) = section.flank(piece)? else { unreachable!("a groove is made of straight pieces") };
    let outwards = match groove.element {
        Element::External => 1.0,
        Element::Internal => -1.0,
    };
    Ok(GroundFlank {
        angle: found.angle * (side.sign() * outwards),
        bow: Length::mm(found.bow * side.sign()),
    })
}

/// What a tool with straight flanks at the thread's own angles cuts from this stance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plain {
    /// Flank cut towards the chuck.
    pub chuck: Angle,
    /// Flank cut towards the tailstock.
    pub tailstock: Angle,
    /// How far a flank cut strays from straight at most.
    pub bow: Length,
    /// How much wider the groove is cut half way up.
    pub wider: Length,
    /// How far a flank cut lies from the wanted one at most, once it is right half way up.
    pub astray: Length,
}

/// Points along a flank at which a plain tool's cut is looked at.
const STATIONS: u32 = 32;

impl Plain {
    /// As it would cut the groove.
    ///
    /// # Errors
    /// Where a face so placed does not.
    pub fn new(groove: &Groove, stance: &Stance) -> Result<Self, Misses> {
        let plane = groove.face(stance).plane().ok_or(Misses::Bottom)?;
        let helicoid = groove.helicoid();
        let cut = |side| plain_flank(groove, &helicoid, &plane, side).ok_or(Misses::Bottom);
        let (chuck, tailstock) = (cut(Side::Chuck)?, cut(Side::Tailstock)?);
        Ok(Self {
            chuck: chuck.angle,
            tailstock: tailstock.angle,
            bow: chuck.bow.max(tailstock.bow),
            wider: chuck.out + tailstock.out,
            astray: chuck.astray.max(tailstock.astray),
        })
    }
}

struct PlainFlank {
    angle: Angle,
    bow: Length,
    /// Too far out half way up.
    out: Length,
    astray: Length,
}

fn plain_flank(groove: &Groove, helicoid: &Helicoid, plane: &Plane, side: Side) -> Option<PlainFlank> {
    let back = match groove.element {
        Element::External => 1.0,
        Element::Internal => -1.0,
    };
    // A point of the edge `up` from the tip in the face, as the work turns past it.
    let cut = |up: f64| {
        let point = helicoid.axial_of(plane.point(side.sign() * groove.reach(side, up), back * up));
        (side.sign() * point.z, (point.r - groove.bottom.to_mm() / 2.0) * back)
    };
    // The edge leaves the groove where it has first come up by the depth.
    let step = groove.depth() / 8.0;
    let mut hi =
        (1..=32).map(|i| step * f64::from(i)).find(|up| cut(*up).1 >= groove.depth() * (1.0 - 1e-12))?;
    let mut lo = hi - step;
    for _ in 0..60 {
        let middle = 0.5 * (lo + hi);
        if cut(middle).1 < groove.depth() { lo = middle } else { hi = middle }
    }
    let points: Vec<(f64, f64)> =
        (0..=STATIONS).map(|i| cut(hi * f64::from(i) / f64::from(STATIONS))).collect();
    let (first, last) = (points[0], points[STATIONS as usize]);
    let slope = (last.0 - first.0) / (last.1 - first.1);
    let off_chord = |p: &(f64, f64)| (p.0 - first.0 - slope * (p.1 - first.1)).abs() * slope.atan().cos();
    let off = |p: &(f64, f64)| p.0 - groove.reach(side, p.1);
    let middle = off(&points[STATIONS as usize / 2]);
    let most = |of: &dyn Fn(&(f64, f64)) -> f64| Length::mm(points.iter().map(of).fold(0.0, f64::max));
    Some(PlainFlank {
        angle: Angle::atan(slope),
        bow: most(&off_chord),
        out: Length::mm(middle),
        astray: most(&|p| (off(p) - middle).abs()),
    })
}
