//! Error of the mate's lead along its length: the ridge's place against that of a true helix.
//!
//! Spans over several pitches are fitted by weighted least squares with an error that is the same everywhere
//! (progressive), one that grows along the mate, and a wave. What is not proved beyond three standard uncertainties is
//! left out, since crests that are worn to one side mislead a count more than the instrument does; it stays in the
//! uncertainty instead. So does a wave whose period they leave open, and what the spans differ by from each other and the model does not explain. An error that
//! grows is held beyond the spans, where nothing shows it to go on, and the uncertainty covers that it may.

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
/// Spans disagree where their weighted sum of squares is so many of its standard deviations above what it is on the
/// average (the χ² distribution has ν and √(2 ν); chosen here).
const DISAGREES: f64 = 3.0;
/// A wave must lower the weighted sum of squares by so much: three parameters, and sixty periods to choose from (chosen
/// here, about one in a thousand by chance).
const WAVE_GAIN: f64 = 25.0;
/// A shorter wave explains the spans as well where it leaves no more than so much beyond what the best leaves (chosen
/// here: three standard uncertainties of one parameter).
const AS_WELL: f64 = 9.0;
/// But not one so many times as high, which counts hardly see: that is another screw (chosen here).
const AS_HIGH: f64 = 4.0;
/// Shorter waves are tried in steps of frequency of one part in so many of what the spans' whole length tells apart.
const FINER: f64 = 16.0;

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
    /// A wave that is proved while its period is not: the longest and the shortest that explain the spans as well. It is
    /// in the uncertainty alone.
    pub unsettled: Option<(Length, Length)>,
    /// Least and largest pitch read, where the spans disagree by more than their uncertainty and nothing above says why.
    pub disagree: Option<(Length, Length)>,
    /// Standard uncertainty of the error of the lead at any place, as a share of the length.
    open: f64,
    middle: f64,
    /// Where the spans begin and end along the mate, in millimetres; the growth is held beyond.
    seen: (f64, f64),
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
        let Some(mut kept) = fit(&all, &[&length_of]) else { return Self::default() };
        let mean = kept.parameters[0];
        let mut found = Self { mean: Some(mean), steady: proved(mean), ..Self::default() };
        let placed: Vec<RowOf> = spans.iter().filter(|s| s.place.is_some()).map(row).collect();
        if let Some(grown) = (placed.len() > 2).then(|| found.grow(&placed)).flatten() {
            kept = grown;
        }
        if placed.len() >= WAVE_SPANS
            && let Some((waved, wave, shorter)) = wave(&placed, &found, pitch.to_mm())
        {
            if let Some(shorter) = shorter {
                found.unsettled = Some((wave.period, Length::mm(shorter)));
            } else {
                found.wave = Some(wave);
                if found.growth == 0.0 {
                    found.steady = proved(waved.parameters[0]);
                }
                kept = waved;
            }
        }
        let (steady, u) = kept.parameters[0];
        let unproved = if found.steady == 0.0 { steady } else { 0.0 };
        found.open = u.hypot(unproved).hypot(kept.scatter);
        if kept.disagrees {
            let pitches = || spans.iter().map(|s| s.pitch);
            found.disagree = pitches().reduce(Length::min).zip(pitches().reduce(Length::max));
        }
        found
    }

    /// Takes over an error that grows along the mate, if the spans prove one, and gives its fit.
    fn grow(&mut self, placed: &[RowOf]) -> Option<Fitted> {
        let middle = placed.iter().map(|r| (r.from + r.to) / 2.0).sum::<f64>() / placed.len() as f64;
        let grows = |r: &RowOf| grown(r.to - middle) - grown(r.from - middle);
        let fit = fit(placed, &[&length_of, &grows])?;
        let growth = proved(fit.parameters[1]);
        if growth == 0.0 {
            return None;
        }
        (self.growth, self.middle, self.steady) = (growth, middle, fit.parameters[0].0);
        self.seen = ends(placed);
        Some(fit)
    }

    /// How far the ridge stands off its true place at a place along the mate, both in millimetres.
    pub fn shift(&self, place: f64) -> f64 {
        let wave = self.wave.map_or(0.0, |w| {
            let (sin, cos) = (TAU * place / w.period.to_mm()).sin_cos();
            w.sin * sin + w.cos * cos
        });
        let held = place.clamp(self.seen.0, self.seen.1);
        let (to_there, beyond) = (held - self.middle, place - held);
        self.steady * place + self.growth * (grown(to_there) + to_there * beyond) + wave
    }

    /// Standard uncertainty of what the error of the lead comes to from one place to another, all in millimetres: what the
    /// spans leave open, and beyond them that a growing error may go on growing (a rectangular distribution).
    pub fn open_over(&self, from: f64, to: f64) -> f64 {
        let beyond = (self.seen.0 - from).max(to - self.seen.1).max(0.0);
        (to - from) * self.open.hypot(self.growth * beyond / 3f64.sqrt())
    }

    /// The same without its wave.
    #[must_use]
    pub fn without_wave(&self) -> Self {
        Self { wave: None, ..*self }
    }

    /// The error from one place to another, both in millimetres, as a share of the way.
    pub fn share_over(&self, from: f64, to: f64) -> f64 {
        (self.shift(to) - self.shift(from)) / (to - from)
    }

    /// Where the spans begin and end along the mate, if an error that grows is held beyond them.
    pub fn held_beyond(&self) -> Option<(Length, Length)> {
        (self.growth != 0.0).then(|| (Length::mm(self.seen.0), Length::mm(self.seen.1)))
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

fn length_of(r: &RowOf) -> f64 {
    r.to - r.from
}

/// A value where it is proved, else none of it.
fn proved((value, u): (f64, f64)) -> f64 {
    if value.abs() > PROVED * u { value } else { 0.0 }
}

/// Where the first of them begins and the last ends.
fn ends(rows: &[RowOf]) -> (f64, f64) {
    rows.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), r| (lo.min(r.from), hi.max(r.to)))
}

/// Parameters with their standard uncertainties, widened where the spans disagree, and the weighted sum of squares that
/// they leave.
struct Fitted {
    parameters: Vec<(f64, f64)>,
    left: f64,
    /// Whether the spans disagree by more than their uncertainty.
    disagrees: bool,
    /// Standard deviation of single spans about the fit beyond their own uncertainty, as a share of the length.
    scatter: f64,
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
    let spare = (rows.len() - columns.len()) as f64;
    let disagrees = left > spare + DISAGREES * (2.0 * spare).sqrt() && spare > 0.0;
    // By how much the spans scatter more than their uncertainties say (Birge's ratio).
    let ratio = if disagrees { (left / spare).sqrt() } else { 1.0 };
    let u_share = rows.iter().map(|r| r.u / length_of(r)).sum::<f64>() / rows.len() as f64;
    let parameters: Vec<(f64, f64)> =
        (0..columns.len()).map(|j| (solved[j], covariance[(j, j)].sqrt() * ratio)).collect();
    let scatter = u_share * (ratio * ratio - 1.0).sqrt();
    parameters.iter().all(|(v, u)| v.is_finite() && u.is_finite()).then_some(Fitted {
        parameters,
        left,
        disagrees,
        scatter,
    })
}

/// The wave that explains most beside what is found already, if it explains enough, the fit with it, and the shortest
/// period that explains as much, where there is one: spans at even places see a short wave as a long one. Waves of less
/// than two pitches are not among them, since counts of whole pitches see next to nothing of those.
fn wave(placed: &[RowOf], found: &LeadError, pitch: f64) -> Option<(Fitted, Wave, Option<f64>)> {
    let (first, last) = ends(placed);
    let shortest = 2.0 * placed.iter().map(length_of).fold(f64::INFINITY, f64::min);
    let grows = |r: &RowOf| grown(r.to - found.middle) - grown(r.from - found.middle);
    let mut columns: Vec<&dyn Fn(&RowOf) -> f64> = vec![&length_of];
    if found.growth != 0.0 {
        columns.push(&grows);
    }
    let without = fit(placed, &columns)?.left;
    let longest = last - first;
    let of_period = |period: f64| {
        let at = |z: f64| (TAU * z / period).sin_cos();
        let sin = |r: &RowOf| at(r.to).0 - at(r.from).0;
        let cos = |r: &RowOf| at(r.to).1 - at(r.from).1;
        let fitted = fit(placed, &[&columns[..], &[&sin, &cos]].concat())?;
        let [.., (sin, _), (cos, _)] = fitted.parameters[..] else { return None };
        let wave = Wave { period: Length::mm(period), amplitude: Length::mm(sin.hypot(cos)), sin, cos };
        Some((fitted, wave))
    };
    let (fitted, wave) = (0..PERIODS)
        .map(|i| shortest * (longest / shortest).powf(f64::from(i) / f64::from(PERIODS - 1)))
        .filter_map(of_period)
        .filter(|(fitted, _)| without - fitted.left > WAVE_GAIN)
        .min_by(|a, b| a.0.left.total_cmp(&b.0.left))?;
    let step = (FINER * longest).recip();
    // Far enough from its own period to be another wave.
    let own = wave.period.to_mm().recip() + 2.0 / longest;
    let steps = (((2.0 * pitch).recip() - own) / step).floor().max(0.0) as u32;
    let as_well =
        |(f, w): &(Fitted, Wave)| f.left <= fitted.left + AS_WELL && w.amplitude <= wave.amplitude * AS_HIGH;
    let shorter = (0..steps)
        .rev()
        .map(|i| (own + step * f64::from(i)).recip())
        .find(|period| of_period(*period).is_some_and(|found| as_well(&found)));
    Some((fitted, wave, shorter))
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
        assert_eq!(read.disagree, None, "the wave explains it");
        assert_eq!(read.unsettled, None);
        let jagged = |z: f64| 0.003 * (z * 12.9898).sin();
        assert!(LeadError::of(&spans(30, 2, 0.004, jagged), P).wave.is_none());
    }

    /// Counts of four pitches every 20 mm see a wave of 15 mm as one of 60, 30 or 12, for 1/15 = 1/20 + 1/60 and
    /// 1/12 = 2/20 - 1/60: no period is claimed, and what the spans scatter by is in the band.
    #[test]
    fn a_wave_that_a_shorter_one_explains_as_well_has_no_period() {
        let truth = |z: f64| 0.03 * (TAU * z / 15.0).sin();
        let read: Vec<Span> = (0..14)
            .map(|i| {
                let middle = 18.5 + 20.0 * f64::from(i);
                let over = truth(middle + 10.0 * 0.85) - truth(middle - 10.0 * 0.85);
                Span {
                    place: Some(Length::mm(middle)),
                    pitches: 4,
                    pitch: Length::mm(4.25) + Length::mm(over / 4.0),
                    u: Length::um(1.0),
                }
            })
            .collect();
        let lead = LeadError::of(&read, Length::mm(4.25));
        assert!(lead.wave.is_none() && !lead.is_proved(), "{lead:?}");
        let (long, short) = lead.unsettled.expect("a wave of no settled period");
        assert!(
            (long.to_mm() - 60.0).abs() < 1.0 && (short.to_mm() - 12.0).abs() < 0.5,
            "{long:?} {short:?}"
        );
        assert!(lead.open_over(0.0, 17.0) > 0.01, "{}", lead.open_over(0.0, 17.0));
    }

    /// An error that grows is held from the last span on, and the band takes in that it may grow on: over 44 mm that end
    /// 75 mm beyond, 2e-5 a millimetre come to 44 · 2e-5 · 75 = 0.066 mm, in a rectangular distribution 0.038.
    #[test]
    fn a_growing_error_is_held_beyond_the_spans() {
        let read = LeadError::of(&spans(6, 10, 0.002, |z| 1e-5 * z * z), P);
        let last = 175.0;
        assert!((read.share_over(last, last + 44.0) - 2e-5 * last).abs() < 1e-6);
        let (inside, beyond) = (read.open_over(100.0, 144.0), read.open_over(206.0, 250.0));
        assert!(inside < 0.001 && (beyond - 0.066 / 3f64.sqrt()).abs() < 0.001, "{inside} {beyond}");
        assert!(read.held_beyond().is_some_and(|(_, to)| (to.to_mm() - last).abs() < 1e-9));
    }

    /// Five spans that read 0.05 mm more and less in turn, each good to 0.003: no steady error follows, they disagree, and
    /// the band is theirs. Mean 0.01, deviations 0.04 and 0.06: s = √((3·0.04² + 2·0.06²)/4) = 0.0548.
    #[test]
    fn spans_that_disagree_widen_the_band() {
        let read: Vec<Span> = [0.05, -0.05, 0.05, -0.05, 0.05]
            .iter()
            .zip([40.0, 90.0, 140.0, 190.0, 240.0])
            .map(|(over, place)| Span {
                place: Some(Length::mm(place)),
                pitches: 10,
                pitch: P + Length::mm(over / 10.0),
                u: Length::um(0.3),
            })
            .collect();
        let lead = LeadError::of(&read, P);
        assert!(!lead.is_proved());
        assert!(lead.disagree.is_some_and(|(lo, hi)| (hi - lo - Length::mm(0.01)).abs() < Length::um(0.001)));
        // Scatter of the single span, that of their mean, and the mean that is left out.
        let (s, mean): (f64, f64) = (0.0548, 0.01);
        let by_hand = s.hypot(s / 5f64.sqrt()).hypot(mean);
        assert!(
            (lead.open_over(100.0, 150.0) - by_hand).abs() < 0.001,
            "{} {by_hand}",
            lead.open_over(100.0, 150.0)
        );
    }

    /// One span, not proved: what it reads stays in the band beside its uncertainty.
    #[test]
    fn an_error_that_is_not_proved_stays_in_the_band() {
        let read = LeadError::of(&spans(1, 10, 0.05, |z| 0.002 * z), P);
        assert!((read.open_over(0.0, 50.0) - 0.1_f64.hypot(0.05)).abs() < 1e-9);
        assert_eq!(LeadError::default().open_over(0.0, 50.0), 0.0);
    }
}
