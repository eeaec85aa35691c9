//! Error of the mate's lead along its length: the ridge's place against that of a true helix.
//!
//! Spans over several pitches are fitted by weighted least squares with an error that is the same everywhere
//! (progressive), one that grows along the mate, and a wave. What is not proved beyond three standard uncertainties is
//! left out, since crests that are worn to one side mislead a count more than the instrument does.

use super::mate::Span;
use flankwise_thread::Length;
use nalgebra::{DMatrix, DVector};
use std::f64::consts::TAU;

/// An error is taken as proved beyond so many standard uncertainties.
const PROVED: f64 = 3.0;
/// Fewest placed spans that can show a wave: two for the steady part, three for the wave, and as many again.
const WAVE_SPANS: usize = 8;
/// Periods tried between the shortest and the longest that the spans can show.
const PERIODS: u32 = 60;
/// A wave must lower the weighted sum of squares by so much: three parameters, and sixty periods to choose from (chosen
/// here, about one in a thousand by chance).
const WAVE_GAIN: f64 = 25.0;

/// A wave of the lead error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wave {
    /// Length of one wave along the mate.
    pub period: Length,
    /// Half of its height, as a place of the ridge.
    pub amplitude: Length,
    sin: f64,
    cos: f64,
}

/// Error of the lead.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LeadError {
    /// Mean error as a share of the length, as measured, with its standard uncertainty; none without readings.
    pub mean: Option<(f64, f64)>,
    /// The steady part where it is proved, at the middle of the spans; zero where it is not.
    pub steady: f64,
    /// How it grows along the mate, share per millimetre, where that is proved; zero where it is not.
    pub growth: f64,
    /// A wave where one is proved.
    pub wave: Option<Wave>,
    middle: f64,
}

/// A span as a row of the fit, lengths in millimetres.
struct RowOf {
    from: f64,
    to: f64,
    error: f64,
    u: f64,
}

impl LeadError {
    /// From the spans read, for a thread of this pitch.
    pub fn of(spans: &[Span], pitch: Length) -> Self {
        let row = |s: &Span| {
            let length = f64::from(s.pitches) * pitch.to_mm();
            let middle = s.place.map_or(0.0, Length::to_mm);
            let (error, u) = ((s.pitch - pitch).to_mm(), s.u.to_mm());
            let turns = f64::from(s.pitches);
            RowOf {
                from: middle - length / 2.0,
                to: middle + length / 2.0,
                error: error * turns,
                u: u * turns,
            }
        };
        let all: Vec<RowOf> = spans.iter().map(row).collect();
        let Some((mean, u)) = fit(&all, &[&|r| r.to - r.from]).map(|f| f.parameters[0]) else {
            return Self::default();
        };
        let proved = |(value, u): (f64, f64)| if value.abs() > PROVED * u { value } else { 0.0 };
        let mut found = Self { mean: Some((mean, u)), steady: proved((mean, u)), ..Self::default() };
        let placed: Vec<RowOf> = spans.iter().filter(|s| s.place.is_some()).map(row).collect();
        if placed.len() > 2 {
            found.grow(&placed);
        }
        if placed.len() >= WAVE_SPANS {
            found.wave = wave(&placed, found.middle);
        }
        found
    }

    fn grow(&mut self, placed: &[RowOf]) {
        let middle = placed.iter().map(|r| (r.from + r.to) / 2.0).sum::<f64>() / placed.len() as f64;
        let grows = |r: &RowOf| grown(r.to - middle) - grown(r.from - middle);
        let Some(fit) = fit(placed, &[&|r| r.to - r.from, &grows]) else { return };
        let (growth, u) = fit.parameters[1];
        if growth.abs() > PROVED * u {
            (self.growth, self.middle, self.steady) = (growth, middle, fit.parameters[0].0);
        }
    }

    /// How far the ridge stands off its true place at a place along the mate, both in millimetres.
    pub fn shift(&self, place: f64) -> f64 {
        let wave = self.wave.map_or(0.0, |w| {
            let (sin, cos) = (TAU * place / w.period.to_mm()).sin_cos();
            w.sin * sin + w.cos * cos
        });
        self.steady * place + self.growth * grown(place - self.middle) + wave
    }

    /// Whether any of it is proved.
    pub fn is_proved(&self) -> bool {
        self.steady != 0.0 || self.growth != 0.0 || self.wave.is_some()
    }
}

/// Half the square: what an error that grows evenly adds up to.
fn grown(along: f64) -> f64 {
    along * along / 2.0
}

/// Parameters with their standard uncertainties, and the weighted sum of squares that they leave.
struct Fitted {
    parameters: Vec<(f64, f64)>,
    left: f64,
}

/// Weighted least squares; none where the spans do not tell the parameters apart.
fn fit(rows: &[RowOf], columns: &[&dyn Fn(&RowOf) -> f64]) -> Option<Fitted> {
    if rows.len() < columns.len() {
        return None;
    }
    let design = DMatrix::from_fn(rows.len(), columns.len(), |i, j| columns[j](&rows[i]) / rows[i].u);
    let seen = DVector::from_fn(rows.len(), |i, _| rows[i].error / rows[i].u);
    let covariance = (design.transpose() * &design).try_inverse()?;
    let solved = &covariance * design.transpose() * &seen;
    let left = (&design * &solved - &seen).norm_squared();
    let parameters: Vec<(f64, f64)> =
        (0..columns.len()).map(|j| (solved[j], covariance[(j, j)].sqrt())).collect();
    parameters.iter().all(|(v, u)| v.is_finite() && u.is_finite()).then_some(Fitted { parameters, left })
}

/// The wave that explains most, if it explains enough.
fn wave(placed: &[RowOf], middle: f64) -> Option<Wave> {
    let (first, last) =
        placed.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), r| (lo.min(r.from), hi.max(r.to)));
    let shortest = 2.0 * placed.iter().map(|r| r.to - r.from).fold(f64::INFINITY, f64::min);
    let length = |r: &RowOf| r.to - r.from;
    let grows = |r: &RowOf| grown(r.to - middle) - grown(r.from - middle);
    let without = fit(placed, &[&length, &grows])?.left;
    let longest = last - first;
    (0..PERIODS)
        .map(|i| shortest * (longest / shortest).powf(f64::from(i) / f64::from(PERIODS - 1)))
        .filter_map(|period| {
            let at = |z: f64| (TAU * z / period).sin_cos();
            let sin = |r: &RowOf| at(r.to).0 - at(r.from).0;
            let cos = |r: &RowOf| at(r.to).1 - at(r.from).1;
            let fitted = fit(placed, &[&length, &grows, &sin, &cos])?;
            let ((sin, _), (cos, _)) = (fitted.parameters[2], fitted.parameters[3]);
            let wave = Wave { period: Length::mm(period), amplitude: Length::mm(sin.hypot(cos)), sin, cos };
            (without - fitted.left > WAVE_GAIN).then_some((fitted.left, wave))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, wave)| wave)
}

#[cfg(test)]
mod tests {
    use super::*;

    const P: Length = Length::mm(5.0);

    /// Spans of so many pitches at even places, with this place of the ridge and uncertainty.
    fn spans(n: u32, pitches: u32, u: f64, shift: impl Fn(f64) -> f64) -> Vec<Span> {
        let length = f64::from(pitches) * P.to_mm();
        (0..n)
            .map(|i| {
                let from = f64::from(i) * length * 0.5;
                let over = shift(from + length) - shift(from);
                Span {
                    place: Some(Length::mm(from + length / 2.0)),
                    pitches,
                    pitch: P + Length::mm(over / f64::from(pitches)),
                    u: Length::mm(u / f64::from(pitches)),
                }
            })
            .collect()
    }

    #[test]
    fn a_steady_error_is_found_and_one_within_its_uncertainty_is_not() {
        let read = LeadError::of(&spans(5, 10, 0.01, |z| 0.002 * z), P);
        assert!((read.steady - 0.002).abs() < 1e-9 && read.growth == 0.0 && read.wave.is_none());
        assert!((read.shift(100.0) - read.shift(50.0) - 0.1).abs() < 1e-9);
        let read = LeadError::of(&spans(1, 10, 0.05, |z| 0.002 * z), P);
        assert!(!read.is_proved() && read.mean.is_some_and(|(m, _)| (m - 0.002).abs() < 1e-9));
        assert_eq!(LeadError::of(&[], P), LeadError::default());
    }

    #[test]
    fn an_error_that_grows_is_found() {
        let read = LeadError::of(&spans(6, 10, 0.002, |z| 1e-5 * z * z), P);
        assert!((read.growth - 2e-5).abs() < 1e-9, "{read:?}");
        assert!((read.shift(120.0) - read.shift(20.0) - 1e-5 * (120.0 * 120.0 - 400.0)).abs() < 1e-6);
    }

    #[test]
    fn a_wave_is_found_and_noise_is_none() {
        let truth = |z: f64| 0.03 * (TAU * z / 60.0).sin();
        let read = LeadError::of(&spans(30, 2, 0.004, truth), P);
        let wave = read.wave.expect("a wave");
        assert!((wave.period.to_mm() - 60.0).abs() < 3.0, "{wave:?}");
        assert!((wave.amplitude.to_mm() - 0.03).abs() < 0.003, "{wave:?}");
        let jagged = |z: f64| 0.003 * (z * 12.9898).sin();
        assert!(LeadError::of(&spans(30, 2, 0.004, jagged), P).wave.is_none());
    }
}
