//! Basic sizes and outlines of a thread in the axial plane.

use crate::{Angle, Length};

/// Sizes of a form at basic (no tolerance, no allowance) for one diameter and pitch, clearances included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basic {
    /// Nominal (basic major) diameter.
    pub d: Length,
    /// Pitch.
    pub p: Length,
    /// Basic pitch diameter, d2 = D2.
    pub d2: Length,
    /// Basic minor diameter of the internal thread.
    pub d1_internal: Length,
    /// Minor diameter of the external thread at its design maximum (root clearance included).
    pub d3: Length,
    /// Major diameter of the internal thread at its design minimum (root clearance included).
    pub d4_internal: Length,
    /// Angle of the leading flank to the plane square to the axis.
    pub flank_leading: Angle,
    /// Angle of the following flank to that plane.
    pub flank_trailing: Angle,
    /// Crest width of the external thread at d (axial); zero where rounded to the apex.
    pub crest_width: Length,
    /// Root width of the external groove at d3 (axial), before fillets.
    pub root_width: Length,
    /// Root width of the internal groove at D4 (axial), before fillets.
    pub root_width_internal: Length,
    /// Crest is rounded (Whitworth) rather than flat.
    pub rounded_crest: bool,
    /// Fillet radius at the external root: maximum where the standard gives a maximum, else nominal.
    pub root_radius: Length,
    /// Fillet radius at the internal root.
    pub root_radius_internal: Length,
}

/// A point of the axial plane: `z` along the axis, `r` from the axis, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Along the axis, mm.
    pub z: f64,
    /// From the axis, mm.
    pub r: f64,
}

/// One piece of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// Straight to `to`.
    Line {
        /// End point.
        to: Point,
    },
    /// Circular arc to `to` about `centre`; `ccw` in the (z, r) plane.
    Arc {
        /// End point.
        to: Point,
        /// Centre.
        centre: Point,
        /// Counter-clockwise in the (z, r) plane.
        ccw: bool,
    },
}

/// One pitch of a thread's outline in the axial plane: starts in the middle of a groove at z = 0 and ends in
/// the middle of the next at z = P.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// First point.
    pub start: Point,
    /// The pieces in order.
    pub segments: Vec<Segment>,
}
