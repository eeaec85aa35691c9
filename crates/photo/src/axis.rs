//! The screw's axis in the picture, and its outline seen from there.

use crate::outline::EdgePoint;
use crate::silhouette::{Region, Silhouette};
use crate::statistics::robust_line;

/// A place in the picture with a direction: the screw's axis.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Axis {
    /// A point on it, in pixels.
    pub(crate) x: f64,
    pub(crate) y: f64,
    /// Its direction from the picture's x axis towards y (clockwise as seen), in radians.
    pub(crate) direction: f64,
}

/// Which edge of the screw: "upper" when the axis lies level; on the right hand when it runs downwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    Upper,
    Lower,
}

impl Side {
    pub(crate) const BOTH: [Self; 2] = [Self::Upper, Self::Lower];
}

/// An edge point along and across the axis, in pixels.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Point {
    /// Along the axis.
    pub(crate) along: f64,
    /// Away from the axis, positive on both sides.
    pub(crate) height: f64,
    /// The outward normal's part along the axis, -1 to 1.
    pub(crate) facing: f64,
    /// How fast the shade changes across the edge, per pixel.
    pub(crate) steepness: f64,
}

impl Axis {
    /// First guess from the whole of a body. A screw that runs through the picture from rim to rim is cut off
    /// parallel to the rim, which falsifies its principal axis, but not the regression over the rim's direction.
    pub(crate) fn of_body(silhouette: &Silhouette, body: Region) -> Option<Self> {
        let (w, h) = (silhouette.width, silhouette.height);
        let (mut n, mut sx, mut sy, mut sxx, mut sxy, mut syy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        let (mut left, mut right, mut top, mut bottom) = (0, 0, 0, 0);
        for y in 0..h {
            for x in 0..w {
                if silhouette.region[y * w + x] != body {
                    continue;
                }
                let (fx, fy) = (x as f64, y as f64);
                n += 1.0;
                sx += fx;
                sy += fy;
                sxx += fx * fx;
                sxy += fx * fy;
                syy += fy * fy;
                left += usize::from(x == 0);
                right += usize::from(x + 1 == w);
                top += usize::from(y == 0);
                bottom += usize::from(y + 1 == h);
            }
        }
        if n < 1.0 {
            return None;
        }
        let (x, y) = (sx / n, sy / n);
        let (xx, xy, yy) = (sxx / n - x * x, sxy / n - x * y, syy / n - y * y);
        let direction = if left.min(right) > 0 && top.min(bottom) == 0 {
            (xy / xx).atan()
        } else if top.min(bottom) > 0 && left.min(right) == 0 {
            std::f64::consts::FRAC_PI_2 - (xy / yy).atan()
        } else {
            0.5 * (2.0 * xy).atan2(xx - yy)
        };
        Some(Self { x, y, direction })
    }

    /// Turned by `angle` radians and moved by `across` pixels towards the upper side.
    pub(crate) fn moved(self, angle: f64, across: f64) -> Self {
        let (sin, cos) = self.direction.sin_cos();
        Self { x: self.x + across * sin, y: self.y - across * cos, direction: self.direction + angle }
    }

    /// The outline of one side.
    pub(crate) fn view(&self, outline: &[EdgePoint], side: Side) -> Vec<Point> {
        let (sin, cos) = self.direction.sin_cos();
        let sign = if side == Side::Upper { 1.0 } else { -1.0 };
        outline
            .iter()
            .filter_map(|p| {
                let (dx, dy) = (p.x - self.x, p.y - self.y);
                let height = sign * (dx * sin - dy * cos);
                (height > 0.0).then_some(Point {
                    along: dx * cos + dy * sin,
                    height,
                    facing: p.out.0 * cos + p.out.1 * sin,
                    steepness: p.steepness,
                })
            })
            .collect()
    }

    /// Better: the middle between lines through the crests of both sides. A line is laid through each outer
    /// envelope, then again through what stands above it, until only crests are left.
    pub(crate) fn by_crests(self, outline: &[EdgePoint]) -> Self {
        let mut axis = self;
        for _ in 0..3 {
            let lines = Side::BOTH.map(|side| {
                let mut points = Envelope::of(&axis.view(outline, side)).points();
                let mut line = robust_line(&points)?;
                for _ in 0..4 {
                    if points.len() < 30 {
                        break;
                    }
                    points.retain(|p| p.1 >= line.at(p.0));
                    line = robust_line(&points)?;
                }
                Some(line)
            });
            let [Some(upper), Some(lower)] = lines else { return axis };
            let middle = (upper.at_zero - lower.at_zero) / 2.0;
            axis = axis.moved(-((upper.slope - lower.slope) / 2.0).atan(), middle);
        }
        axis
    }
}

/// The greatest height in each pixel along the axis.
pub(crate) struct Envelope {
    /// Where the first pixel begins.
    pub(crate) first: f64,
    /// `None` where there is no edge point.
    pub(crate) heights: Vec<Option<f64>>,
}

impl Envelope {
    pub(crate) fn of(points: &[Point]) -> Self {
        let ends = points.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(first, last), p| {
            (first.min(p.along), last.max(p.along))
        });
        if ends.0 > ends.1 {
            return Self { first: 0.0, heights: Vec::new() };
        }
        let first = ends.0.floor();
        let mut heights = vec![None; (ends.1 - first) as usize + 1];
        for p in points {
            let cell: &mut Option<f64> = &mut heights[(p.along - first) as usize];
            *cell = Some(cell.map_or(p.height, |h| h.max(p.height)));
        }
        Self { first, heights }
    }

    /// Middles of the pixels along the axis, with their heights.
    fn points(&self) -> Vec<(f64, f64)> {
        let at = |i: usize| self.first + i as f64 + 0.5;
        self.heights.iter().enumerate().filter_map(|(i, h)| h.map(|h| (at(i), h))).collect()
    }

    /// The heights with gaps closed by the last one before.
    pub(crate) fn closed(&self) -> Vec<f64> {
        let mut last = self.heights.iter().flatten().next().copied().unwrap_or(0.0);
        self.heights
            .iter()
            .map(|h| {
                last = h.unwrap_or(last);
                last
            })
            .collect()
    }
}
