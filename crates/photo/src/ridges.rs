//! The outline of one side taken apart: flanks, crests and grooves, each ridge by itself.

use crate::axis::Point;
use crate::comb::Comb;
use crate::statistics::{Line, median, robust_line};

/// Where a flank looks, along the axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Facing {
    /// Back to where the axis comes from: left when it lies level.
    Left,
    /// On along the axis.
    Right,
}

impl Facing {
    pub(crate) const BOTH: [Self; 2] = [Self::Left, Self::Right];

    /// Turns a place along the axis into one that grows out of the flank, and back.
    pub(crate) const fn sign(self) -> f64 {
        match self {
            Self::Left => -1.0,
            Self::Right => 1.0,
        }
    }
}

/// The part of the depth that flank lines are fitted to: blur rounds corners and pulls curved edges in, so a
/// fifth at either end is left out.
const FITTED: (f64, f64) = (0.2, 0.8);
/// Heights at which a flank is averaged.
const STEPS: usize = 20;
/// Half the stretch, in pitches, over which the height of a crest or groove is averaged.
const TOP_REACH: f64 = 0.07;

/// One flank of one ridge.
#[derive(Clone, Debug)]
pub(crate) struct Flank {
    /// Counts along the axis; the same ridge may have different counts in different families.
    pub(crate) index: i64,
    /// Place along the axis at the middle of the depth.
    pub(crate) place: f64,
    /// Mean places along the axis, and their heights, at up to [`STEPS`] heights.
    pub(crate) points: Vec<(f64, f64)>,
}

/// All flanks of one side that look one way.
#[derive(Clone, Debug)]
pub(crate) struct Family {
    pub(crate) facing: Facing,
    pub(crate) flanks: Vec<Flank>,
    /// Place against index: its slope is the pitch.
    pub(crate) comb: Line,
}

/// A crest or a groove's bottom.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Level {
    pub(crate) along: f64,
    pub(crate) height: f64,
    /// Bend of the edge there, 1/radius in 1/pixel, whichever way.
    pub(crate) bend: f64,
    pub(crate) steepness: f64,
    /// Width of the flat there at a tenth of the depth, pixels.
    pub(crate) width: f64,
}

/// One side of the screw.
#[derive(Clone, Debug)]
pub(crate) struct Ridges {
    /// Left-facing and right-facing flanks.
    pub(crate) families: [Family; 2],
    pub(crate) crests: Vec<Level>,
    pub(crate) roots: Vec<Level>,
    /// Mean steepness of the shade across the flanks, per pixel.
    pub(crate) steepness: f64,
}

impl Ridges {
    pub(crate) fn find(points: &[Point], comb: &Comb) -> Option<Self> {
        let points: Vec<Point> =
            points.iter().copied().filter(|p| p.along >= comb.from && p.along <= comb.to).collect();
        let (crest, root) = rough_levels(&points, comb)?;
        let depth = crest - root;
        if depth < 3.0 {
            return None;
        }
        let part = |p: &Point| (p.height - root) / depth;
        let middle = (crest + root) / 2.0;
        let of = |facing: Facing| {
            let flank: Vec<Point> = points
                .iter()
                .copied()
                .filter(|p| p.facing * facing.sign() > 0.25 && (FITTED.0..=FITTED.1).contains(&part(p)))
                .collect();
            family(facing, &flank, middle, depth, comb.pitch)
        };
        let families = [of(Facing::Left)?, of(Facing::Right)?];
        let pitch = (families[0].comb.slope + families[1].comb.slope) / 2.0;

        let (mut crests, mut roots) = (Vec::new(), Vec::new());
        for left in &families[0].flanks {
            for right in &families[1].flanks {
                let gap = right.place - left.place;
                if gap > 0.0 && gap < pitch {
                    let top = |p: &&Point| {
                        part(p) > 0.9 && part(p) < 1.3 && p.along > left.place && p.along < right.place
                    };
                    crests.extend(level(points.iter().filter(top), pitch));
                } else if gap < 0.0 && -gap < pitch {
                    let bottom = |p: &&Point| {
                        part(p) < 0.1 && part(p) > -0.3 && p.along > right.place && p.along < left.place
                    };
                    roots.extend(level(points.iter().filter(bottom), pitch));
                }
            }
        }
        let mut steepness: Vec<f64> =
            points.iter().filter(|p| (FITTED.0..=FITTED.1).contains(&part(p))).map(|p| p.steepness).collect();
        Some(Self { families, crests, roots, steepness: median(&mut steepness)? })
    }

    pub(crate) fn family(&self, facing: Facing) -> &Family {
        &self.families[usize::from(facing == Facing::Right)]
    }
}

/// Greatest and least height in each pitch, and the medians of these.
fn rough_levels(points: &[Point], comb: &Comb) -> Option<(f64, f64)> {
    let count = ((comb.to - comb.from) / comb.pitch).ceil().max(1.0) as usize;
    let mut windows = vec![(f64::NEG_INFINITY, f64::INFINITY); count];
    for p in points {
        let window = &mut windows[(((p.along - comb.from) / comb.pitch) as usize).min(count - 1)];
        window.0 = window.0.max(p.height);
        window.1 = window.1.min(p.height);
    }
    windows.retain(|w| w.0 > w.1);
    Some((
        median(&mut windows.iter().map(|w| w.0).collect::<Vec<_>>())?,
        median(&mut windows.iter().map(|w| w.1).collect::<Vec<_>>())?,
    ))
}

fn family(facing: Facing, points: &[Point], middle: f64, depth: f64, pitch: f64) -> Option<Family> {
    // Points near the middle of the depth fall into clumps, one for each flank.
    let mut places: Vec<f64> =
        points.iter().filter(|p| (p.height - middle).abs() < 0.08 * depth).map(|p| p.along).collect();
    places.sort_by(f64::total_cmp);
    let mut clumps: Vec<Vec<f64>> = Vec::new();
    for place in places {
        match clumps.last_mut() {
            Some(clump) if place - clump[clump.len() - 1] < 0.25 * pitch => clump.push(place),
            _ => clumps.push(vec![place]),
        }
    }
    let mut centres: Vec<(f64, usize)> = Vec::new();
    for mut clump in clumps {
        let centre = (median(&mut clump)?, clump.len());
        match centres.last_mut() {
            // Dirt on an edge makes clumps of its own; the flank is the bigger one.
            Some(last) if centre.0 - last.0 < 0.5 * pitch => {
                if centre.1 > last.1 {
                    *last = centre;
                }
            }
            _ => centres.push(centre),
        }
    }

    let mut flanks = Vec::new();
    let (mut index, mut before) = (0_i64, None::<f64>);
    for (centre, _) in centres {
        if let Some(before) = before {
            index += ((centre - before) / pitch).round() as i64;
        }
        before = Some(centre);
        let own = points.iter().filter(|p| (p.along - centre).abs() < 0.35 * pitch);
        flanks.push(Flank { index, place: centre, points: averaged(own, middle, depth) });
    }
    // A flank cut off by the picture's rim, or half hidden by dirt.
    let whole = flanks.iter().map(|f| f.points.len()).max()?;
    flanks.retain(|f| f.points.len() * 4 >= whole * 3);

    // The common slant turns all points of a flank into readings of its place at the middle of the depth.
    let slants: Vec<f64> = flanks
        .iter()
        .filter_map(|f| robust_line(&f.points.iter().map(|p| (p.1, p.0)).collect::<Vec<_>>()))
        .map(|line| line.slope)
        .collect();
    let slant = median(&mut slants.clone())?;
    for flank in &mut flanks {
        let mut places: Vec<f64> = flank.points.iter().map(|p| p.0 - slant * (p.1 - middle)).collect();
        flank.place = median(&mut places)?;
    }
    let comb = robust_line(&flanks.iter().map(|f| (f.index as f64, f.place)).collect::<Vec<_>>())?;
    Some(Family { facing, flanks, comb })
}

fn averaged<'a>(points: impl Iterator<Item = &'a Point>, middle: f64, depth: f64) -> Vec<(f64, f64)> {
    let low = middle - depth / 2.0 + FITTED.0 * depth;
    let step = (FITTED.1 - FITTED.0) * depth / STEPS as f64;
    let mut cells: [Vec<Point>; STEPS] = Default::default();
    for p in points {
        cells[(((p.height - low) / step) as usize).min(STEPS - 1)].push(*p);
    }
    cells
        .into_iter()
        .filter(|cell| !cell.is_empty())
        .map(|cell| {
            let n = cell.len() as f64;
            let sum = cell.iter().fold((0.0, 0.0), |s, p| (s.0 + p.along, s.1 + p.height));
            (sum.0 / n, sum.1 / n)
        })
        .collect()
}

/// A parabola about the middle of the flat; its height there.
fn level<'a>(points: impl Iterator<Item = &'a Point>, pitch: f64) -> Option<Level> {
    let points: Vec<&Point> = points.collect();
    let ends =
        points.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| (a.min(p.along), b.max(p.along)));
    let centre = (ends.0 + ends.1) / 2.0;
    // A narrow groove ends sooner: its corners must not bend the parabola.
    let reach = (TOP_REACH * pitch).min(0.25 * (ends.1 - ends.0));
    let near: Vec<&&Point> = points.iter().filter(|p| (p.along - centre).abs() <= reach).collect();
    if near.is_empty() {
        return None;
    }
    let n = near.len() as f64;
    let power = |k: i32| near.iter().map(|p| (p.along - centre).powi(k)).sum::<f64>();
    let moment = |k: i32| near.iter().map(|p| (p.along - centre).powi(k) * p.height).sum::<f64>();
    let (s1, s2, s3, s4) = (power(1), power(2), power(3), power(4));
    let (y0, y1, y2) = (moment(0), moment(1), moment(2));
    // Cramer's rule for height = c0 + c1·u + c2·u².
    let det = n * (s2 * s4 - s3 * s3) - s1 * (s1 * s4 - s3 * s2) + s2 * (s1 * s3 - s2 * s2);
    let (c0, c2) = if near.len() < 5 || det.abs() < 1e-9 {
        // Too few pixels to a pitch for a parabola.
        (y0 / n, 0.0)
    } else {
        (
            (y0 * (s2 * s4 - s3 * s3) - s1 * (y1 * s4 - s3 * y2) + s2 * (y1 * s3 - s2 * y2)) / det,
            (n * (s2 * y2 - y1 * s3) - s1 * (s1 * y2 - y1 * s2) + y0 * (s1 * s3 - s2 * s2)) / det,
        )
    };
    Some(Level {
        along: centre,
        height: c0,
        bend: (2.0 * c2).abs(),
        steepness: near.iter().map(|p| p.steepness).sum::<f64>() / n,
        width: ends.1 - ends.0,
    })
}
