//! The scale of a picture from a round pin of known diameter that lies beside the screw.

use crate::axis::{Axis, Side};
use crate::outline;
use crate::silhouette::{Region, Silhouette};
use crate::statistics::robust_line;

/// A pin as seen.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pin {
    /// Its width in pixels, with the standard uncertainty of reading it.
    pub(crate) width_px: f64,
    pub(crate) width_u_px: f64,
}

/// A pin narrower than this gives a poor scale, and is rather a line or a tick of a rule.
const LEAST_WIDTH_PX: f64 = 20.0;
/// Sides further out of parallel than this, as a slope, are no pin's.
const MOST_TAPER: f64 = 0.01;

impl Pin {
    /// The second body in the picture, if it is one long rectangle.
    pub(crate) fn find(silhouette: &Silhouette) -> Option<Self> {
        let edge = outline::trace(silhouette, Region::Second);
        let mut axis = Axis::of_body(silhouette, Region::Second)?;
        let area = silhouette.region.iter().filter(|&&r| r == Region::Second).count() as f64;
        let mut found = None;
        for _ in 0..3 {
            let sides = Side::BOTH.map(|side| axis.view(&edge, side));
            let ends = sides
                .iter()
                .flatten()
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| (a.min(p.along), b.max(p.along)));
            let (middle, reach) = ((ends.0 + ends.1) / 2.0, 0.85 * (ends.1 - ends.0) / 2.0);
            let fit = |side: &[crate::axis::Point]| {
                let points: Vec<_> = side
                    .iter()
                    .filter(|p| (p.along - middle).abs() < reach && p.facing.abs() < 0.5)
                    .map(|p| (p.along - middle, p.height))
                    .collect();
                robust_line(&points).map(|line| (line, points.len() as f64))
            };
            let ((upper, n_upper), (lower, n_lower)) = (fit(&sides[0])?, fit(&sides[1])?);
            let width = upper.at_zero + lower.at_zero;
            let rough = upper.spread.max(lower.spread);
            let filled = area / (width * (ends.1 - ends.0));
            let long_and_straight =
                (upper.slope + lower.slope).abs() < MOST_TAPER && rough < 0.5 && 2.0 * reach > width;
            if !(long_and_straight && width >= LEAST_WIDTH_PX && (0.9..1.2).contains(&filled)) {
                return None;
            }
            found = Some(Self {
                width_px: width,
                width_u_px: (upper.spread.powi(2) / n_upper + lower.spread.powi(2) / n_lower).sqrt(),
            });
            axis = axis.moved(-((upper.slope - lower.slope) / 2.0).atan(), 0.0);
        }
        found
    }
}
