//! The pitch to start from, and the part of the outline that is threaded.

use crate::axis::{Envelope, Point};
use crate::statistics::median;

/// The regular part of an outline.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Comb {
    /// Pitch in pixels, to about a pixel.
    pub(crate) pitch: f64,
    /// Where the thread begins and ends along the axis.
    pub(crate) from: f64,
    pub(crate) to: f64,
}

/// How far the edge is followed to find its slope, in pixels to each side.
const REACH: usize = 3;
/// The shortest pitch that is looked for, in pixels.
const LEAST_PITCH_PX: usize = 8;
/// How alike an outline must be to itself a pitch further on: 1 is the same, 0 no likeness.
const LEAST_LIKENESS: f64 = 0.4;

impl Comb {
    /// From both sides; `None` when the outline does not repeat.
    pub(crate) fn find(sides: &[Vec<Point>; 2]) -> Option<Self> {
        let envelopes = [Envelope::of(&sides[0]), Envelope::of(&sides[1])];
        let heights = [envelopes[0].closed(), envelopes[1].closed()];
        let slopes = [slopes(&heights[0]), slopes(&heights[1])];
        let pitch = first_repeat(&slopes)?;

        let spans: Vec<(f64, f64)> = envelopes
            .iter()
            .zip(&heights)
            .map(|(envelope, heights)| {
                let (from, to) = threaded(heights, pitch)?;
                Some((envelope.first + from as f64, envelope.first + to as f64))
            })
            .collect::<Option<_>>()?;
        let (from, to) = (spans[0].0.max(spans[1].0), spans[0].1.min(spans[1].1));
        (to > from).then_some(Self { pitch, from, to })
    }
}

/// The edge's rise over a few pixels. Rise rather than height, so that a shoulder or a slant of the whole
/// doesn't drown the thread.
fn slopes(heights: &[f64]) -> Vec<f64> {
    let mut rises: Vec<f64> = heights.windows(2 * REACH + 1).map(|w| w[2 * REACH] - w[0]).collect();
    // One shoulder many times as high as a flank must not count for more than a flank does.
    let mut sizes: Vec<f64> = rises.iter().map(|r| r.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let limit = sizes.get(sizes.len() * 9 / 10).copied().unwrap_or(0.0).max(1e-9);
    rises.iter_mut().for_each(|r| *r = r.clamp(-limit, limit));
    rises
}

/// The first strong repeat rather than the strongest: two pitches look alike as well.
fn first_repeat(sides: &[Vec<f64>; 2]) -> Option<f64> {
    let length = sides[0].len().min(sides[1].len());
    let likeness = |lag: usize| -> f64 {
        let mut sums = (0.0, 0.0, 0.0);
        for side in sides {
            let (a, b) = (&side[..side.len() - lag], &side[lag..]);
            for (x, y) in a.iter().zip(b) {
                sums.0 += x * y;
                sums.1 += x * x;
                sums.2 += y * y;
            }
        }
        sums.0 / (sums.1 * sums.2).sqrt().max(1e-12)
    };
    let curve: Vec<f64> = (0..=length / 2).map(likeness).collect();
    let begin = curve.iter().position(|&r| r < 0.1)?.max(LEAST_PITCH_PX);
    let best = curve.get(begin..)?.iter().copied().max_by(f64::total_cmp)?;
    if best < LEAST_LIKENESS {
        return None;
    }
    (begin..curve.len() - 1).find_map(|lag| {
        let (before, at, after) = (curve[lag - 1], curve[lag], curve[lag + 1]);
        (at >= 0.8 * best && at >= before && at >= after).then(|| {
            // The top of the parabola through three neighbours.
            let bend = before - 2.0 * at + after;
            lag as f64 + if bend < 0.0 { 0.5 * (before - after) / bend } else { 0.0 }
        })
    })
}

/// The longest stretch in which the outline rises and falls, over each pitch, about as much as in its middle
/// half. Plain shanks and the end of the screw are left out.
fn threaded(heights: &[f64], pitch: f64) -> Option<(usize, usize)> {
    let window = pitch.round() as usize;
    if heights.len() < 2 * window {
        return None;
    }
    let depths: Vec<f64> = heights
        .windows(window)
        .map(|w| {
            w.iter().copied().fold(f64::NEG_INFINITY, f64::max)
                - w.iter().copied().fold(f64::INFINITY, f64::min)
        })
        .collect();
    let mut deep: Vec<f64> = depths.iter().copied().filter(|&d| d > 2.0).collect();
    let usual = median(&mut deep)?;
    let fits = |d: f64| d > 0.6 * usual && d < 1.5 * usual;
    let (mut best, mut begin) = ((0, 0), None);
    for (i, &depth) in depths.iter().chain([&f64::NAN]).enumerate() {
        match (fits(depth), begin) {
            (true, None) => begin = Some(i),
            (false, Some(b)) => {
                if i - b > best.1 - best.0 {
                    best = (b, i);
                }
                begin = None;
            }
            _ => {}
        }
    }
    (best.1 > best.0).then(|| (best.0, best.1 + window - 1))
}
