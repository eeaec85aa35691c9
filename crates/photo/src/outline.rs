//! The edge of a body, to a fraction of a pixel.

use crate::silhouette::{Region, Silhouette};

/// A point where the shade passes one half, in pixels: pixel centres are whole numbers, y grows downwards.
#[derive(Clone, Copy, Debug)]
pub(crate) struct EdgePoint {
    pub(crate) x: f64,
    pub(crate) y: f64,
    /// Unit vector out of the body.
    pub(crate) out: (f64, f64),
    /// How fast the shade changes along it, per pixel.
    pub(crate) steepness: f64,
}

/// Pixels along the picture's rim that are not used: gradients need neighbours, and blur is cut off there.
const RIM: usize = 4;

/// All crossings between neighbouring pixels, sideways and up and down: steep edges need the first, level ones
/// the second. On a straight edge half the shade is where the edge is, however blurred.
pub(crate) fn trace(silhouette: &Silhouette, body: Region) -> Vec<EdgePoint> {
    let (width, height) = (silhouette.width, silhouette.height);
    let is_edge = |a: usize, b: usize| {
        let pair = (silhouette.region[a], silhouette.region[b]);
        pair == (body, Region::Outside) || pair == (Region::Outside, body)
    };
    let mut points = Vec::new();
    for y in RIM..height.saturating_sub(RIM) {
        for x in RIM..width.saturating_sub(RIM) {
            let here = y * width + x;
            for (dx, dy) in [(1, 0), (0, 1)] {
                let there = here + dx + dy * width;
                if x + dx >= width - RIM || y + dy >= height - RIM || !is_edge(here, there) {
                    continue;
                }
                let (a, b) = (f64::from(silhouette.shade[here]), f64::from(silhouette.shade[there]));
                let t = (0.5 - a) / (b - a);
                let (ga, gb) = (gradient(silhouette, here), gradient(silhouette, there));
                let g = (ga.0 + t * (gb.0 - ga.0), ga.1 + t * (gb.1 - ga.1));
                let steepness = g.0.hypot(g.1);
                if !t.is_finite() || steepness < 1e-6 {
                    continue;
                }
                points.push(EdgePoint {
                    x: x as f64 + t * dx as f64,
                    y: y as f64 + t * dy as f64,
                    out: (g.0 / steepness, g.1 / steepness),
                    steepness,
                });
            }
        }
    }
    points
}

/// Sobel's gradient, in shade per pixel.
fn gradient(silhouette: &Silhouette, at: usize) -> (f64, f64) {
    let (w, s) = (silhouette.width, &silhouette.shade);
    let v = |i: usize| f64::from(s[i]);
    let (up, down) = (at - w, at + w);
    (
        (v(up + 1) - v(up - 1) + 2.0 * (v(at + 1) - v(at - 1)) + v(down + 1) - v(down - 1)) / 8.0,
        (v(down - 1) - v(up - 1) + 2.0 * (v(down) - v(up)) + v(down + 1) - v(up + 1)) / 8.0,
    )
}
