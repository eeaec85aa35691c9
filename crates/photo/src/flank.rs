//! The flank angle in the axial section, from the flank's edge in the picture.

use crate::helicoid::Helicoid;
use crate::ridges::Family;
use crate::statistics::{lowest, median, robust_line};

/// The flattest flank looked for, as the tangent of its angle: 60°.
const FLATTEST: f64 = 1.75;

/// One flank: its place along the axis, and its points as place counted out of the flank, and height.
type Traced = (f64, Vec<(f64, f64)>);

/// Straight flanks in the axial section, laid through the flanks of one family.
#[derive(Clone, Debug)]
pub(crate) struct FlankFit {
    /// Tangent of the flank angle in the axial section, with its standard uncertainty from leaving out one
    /// ridge after another.
    pub(crate) tangent: f64,
    pub(crate) tangent_u: f64,
    /// The same read straight from the picture.
    pub(crate) seen_tangent: f64,
    /// Where each flank's line would meet the axis, counted out of the flank, with its place along the axis.
    pub(crate) feet: Vec<(f64, f64)>,
    /// Mean square of what is left over, in square pixels.
    pub(crate) mean_square: f64,
    /// An undercut or square flank fits as well: all flanks up to some limit cast this shadow.
    pub(crate) may_be_hidden: bool,
}

impl FlankFit {
    pub(crate) fn new(family: &Family, screw: Helicoid) -> Option<Self> {
        let sign = family.facing.sign();
        let mut flanks: Vec<Traced> = family
            .flanks
            .iter()
            .map(|f| (f.place, f.points.iter().map(|&(along, h)| (sign * along, h)).collect()))
            .collect();
        if flanks.len() < 3 {
            return None;
        }
        let seen = |points: &[(f64, f64)]| {
            robust_line(&points.iter().map(|p| (p.1, p.0)).collect::<Vec<_>>()).map(|line| -line.slope)
        };
        let seen_tangent = median(&mut flanks.iter().filter_map(|f| seen(&f.1)).collect::<Vec<_>>())?;

        let best = |flanks: &[Traced], low: f64, high: f64| {
            lowest(|t| flanks.iter().map(|f| squares(&f.1, screw, t)).sum(), low, high, 1e-5)
        };
        let tangent = best(&flanks, 0.0, FLATTEST);
        // Dirt or a chip: a ridge that fits far worse than its fellows tells nothing of the angle.
        let worst =
            16.0 * median(&mut flanks.iter().map(|f| squares(&f.1, screw, tangent)).collect::<Vec<_>>())?;
        flanks.retain(|f| squares(&f.1, screw, tangent) <= worst.max(1e-9));
        if flanks.len() < 3 {
            return None;
        }
        let tangent = best(&flanks, 0.0, FLATTEST);
        let n = flanks.len() as f64;
        let without: Vec<f64> = (0..flanks.len())
            .map(|i| {
                let others: Vec<_> =
                    flanks.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, f)| f.clone()).collect();
                best(&others, (tangent - 0.1).max(0.0), tangent + 0.1)
            })
            .collect();
        let mean = without.iter().sum::<f64>() / n;
        // The jackknife's variance (B. Efron, The Jackknife, the Bootstrap and Other Resampling Plans, 1982,
        // chapter 3; from memory).
        let variance = (n - 1.0) / n * without.iter().map(|t| (t - mean).powi(2)).sum::<f64>();
        let count = flanks.iter().map(|f| f.1.len()).sum::<usize>() as f64;
        Some(Self {
            tangent,
            tangent_u: variance.sqrt(),
            seen_tangent,
            feet: flanks.iter().map(|f| (f.0, foot(&f.1, screw, tangent))).collect(),
            may_be_hidden: !is_worse(&flanks, screw, 0.0, tangent),
            mean_square: flanks.iter().map(|f| squares(&f.1, screw, tangent)).sum::<f64>() / count,
        })
    }
}

/// Whether tangent `t` fits worse than `best` by more than chance, judged by the differences from ridge to ridge
/// (twice their standard error).
fn is_worse(flanks: &[Traced], screw: Helicoid, t: f64, best: f64) -> bool {
    let n = flanks.len() as f64;
    let losses: Vec<f64> =
        flanks.iter().map(|f| squares(&f.1, screw, t) - squares(&f.1, screw, best)).collect();
    let mean = losses.iter().sum::<f64>() / n;
    let variance = losses.iter().map(|l| (l - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0);
    mean > 2.0 * (variance / n).sqrt()
}

/// Where the line of tangent `t` through these points meets the axis.
fn foot(points: &[(f64, f64)], screw: Helicoid, t: f64) -> f64 {
    points.iter().map(|&(x, h)| x + h * t - screw.excess(h, t)).sum::<f64>() / points.len() as f64
}

fn squares(points: &[(f64, f64)], screw: Helicoid, t: f64) -> f64 {
    let foot = foot(points, screw, t);
    points.iter().map(|&(x, h)| (x + h * t - screw.excess(h, t) - foot).powi(2)).sum()
}
