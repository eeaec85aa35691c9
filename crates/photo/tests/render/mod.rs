//! Draws the shadow of a screw, independently of the code under test: the edge's height at each place is the
//! greatest over all angles of the section's radius there times the cosine, found by trying them.

// Each test file takes what it needs of this.
#![allow(dead_code)]

use std::f64::consts::{PI, TAU};

/// A screw before a lamp.
#[derive(Clone, Debug)]
pub struct Scene {
    pub major_mm: f64,
    pub minor_mm: f64,
    pub pitch_diameter_mm: f64,
    pub pitch_mm: f64,
    pub starts: u32,
    pub left_handed: bool,
    /// Flank angles of the axial section, degrees.
    pub left_deg: f64,
    pub right_deg: f64,
    pub px_per_mm: f64,
    /// Clockwise from level, degrees.
    pub turned_deg: f64,
    pub size: [usize; 2],
    /// The screw ends so many millimetres right of the picture's middle.
    pub end_mm: f64,
    pub blur_px: f64,
    /// Light of the body and of the lamp, of 1.
    pub body: f64,
    pub lamp: f64,
    /// Standard deviation, in steps of an 8-bit picture.
    pub noise: f64,
    pub seed: u64,
}

impl Default for Scene {
    /// Trapezoidal 20 x 4 (invented sizes within ISO 2904's profile).
    fn default() -> Self {
        Self {
            major_mm: 20.0,
            minor_mm: 15.5,
            pitch_diameter_mm: 18.0,
            pitch_mm: 4.0,
            starts: 1,
            left_handed: false,
            left_deg: 15.0,
            right_deg: 15.0,
            px_per_mm: 20.0,
            turned_deg: 0.0,
            size: [760, 520],
            end_mm: 1e9,
            blur_px: 1.0,
            body: 0.02,
            lamp: 0.7,
            noise: 1.0,
            seed: 1,
        }
    }
}

const FINE: usize = 4;

impl Scene {
    /// Radius of the axial section at `u` along the axis from the middle of a ridge; the flanks' tangents given.
    fn section(&self, u: f64, tangents: [f64; 2]) -> f64 {
        let p = self.pitch_mm;
        let u = u - (u / p).round() * p;
        let (r, r2) = (self.minor_mm / 2.0, self.pitch_diameter_mm / 2.0);
        let flank = |u: f64, t: f64| match (t < 1e-9, u < p / 4.0) {
            (true, true) => f64::INFINITY,
            (true, false) => f64::NEG_INFINITY,
            _ => r2 + (p / 4.0 - u) / t,
        };
        flank(-u, tangents[0]).min(flank(u, tangents[1])).clamp(r, self.major_mm / 2.0)
    }

    /// Angles from the edge, with their cosines, at which the section is tried.
    fn around(&self) -> Vec<[f64; 2]> {
        const STEPS: i32 = 400;
        // Further round, even a crest stands lower than the root does at the edge.
        let furthest = (self.minor_mm / self.major_mm).min(1.0).acos();
        (-STEPS..=STEPS).map(|i| f64::from(i) / f64::from(STEPS) * furthest).map(|f| [f, f.cos()]).collect()
    }

    /// Height of the shadow's edges at `z`: upper, lower.
    fn edges(&self, z: f64, around: &[[f64; 2]]) -> [f64; 2] {
        let lead = self.pitch_mm * f64::from(self.starts) * if self.left_handed { -1.0 } else { 1.0 };
        let tangents = [self.left_deg, self.right_deg].map(|deg| deg.to_radians().tan());
        [0.0, PI].map(|turn| {
            around
                .iter()
                .map(|[f, cos]| self.section(z - lead / TAU * (f + turn), tangents) * cos)
                .fold(0.0, f64::max)
        })
    }

    /// An 8-bit grey picture, row by row, with the sRGB curve.
    pub fn draw(&self) -> Vec<u8> {
        let [width, height] = self.size;
        let half = (width as f64).hypot(height as f64) / 2.0 / self.px_per_mm + 1.0;
        let per_mm = 5.0 * self.px_per_mm;
        let around = self.around();
        let table: Vec<[f64; 2]> = (0..=(2.0 * half * per_mm) as usize)
            .map(|i| self.edges(i as f64 / per_mm - half, &around))
            .collect();
        let (sin, cos) = self.turned_deg.to_radians().sin_cos();
        let covered = |x: f64, y: f64| {
            let (x, y) =
                ((x - width as f64 / 2.0) / self.px_per_mm, (y - height as f64 / 2.0) / self.px_per_mm);
            let (z, h) = (x * cos + y * sin, x * sin - y * cos);
            // Between two entries by proportion.
            let at = (z + half) * per_mm;
            let (a, b, part) = (table[at as usize], table[at as usize + 1], at.fract());
            let [up, down] = [0, 1].map(|side| a[side] + part * (b[side] - a[side]));
            z < self.end_mm && h < up && h > -down
        };
        let mut light: Vec<f64> = (0..width * height)
            .map(|at| {
                let (x, y) = ((at % width) as f64, (at / width) as f64);
                let fine = |k: usize| (k as f64 + 0.5) / FINE as f64;
                let dark =
                    (0..FINE * FINE).filter(|k| covered(x + fine(k % FINE), y + fine(k / FINE))).count();
                self.lamp + (self.body - self.lamp) * dark as f64 / (FINE * FINE) as f64
            })
            .collect();
        blur(&mut light, width, 1, self.blur_px);
        blur(&mut light, width, width, self.blur_px);
        let mut dice = self.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
        let mut uniform = || {
            dice ^= dice << 13;
            dice ^= dice >> 7;
            dice ^= dice << 17;
            (dice >> 11) as f64 / (1_u64 << 53) as f64
        };
        light
            .into_iter()
            .map(|v| {
                let encoded = if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 };
                // Twelve uniform numbers add up to about a normal one.
                let normal = (0..12).map(|_| uniform()).sum::<f64>() - 6.0;
                (255.0 * encoded + self.noise * normal).round().clamp(0.0, 255.0) as u8
            })
            .collect()
    }

    /// The picture as a PNG file.
    pub fn png(&self) -> Vec<u8> {
        png(self.size, self.draw())
    }
}

/// Grey pixels as a PNG file.
pub fn png(size: [usize; 2], pixels: Vec<u8>) -> Vec<u8> {
    let image =
        image::GrayImage::from_raw(size[0] as u32, size[1] as u32, pixels).expect("size and pixels agree");
    let mut bytes = std::io::Cursor::new(Vec::new());
    image.write_to(&mut bytes, image::ImageFormat::Png).expect("memory takes all");
    bytes.into_inner()
}

/// Gauss's bell along rows (`step` 1) or columns (`step` the width).
fn blur(light: &mut [f64], width: usize, step: usize, sigma: f64) {
    let reach = (4.0 * sigma).ceil() as isize;
    let bell: Vec<f64> = (-reach..=reach).map(|i| (-(i as f64 / sigma).powi(2) / 2.0).exp()).collect();
    let total: f64 = bell.iter().sum();
    let before = light.to_vec();
    let height = light.len() / width;
    let length = if step == 1 { width } else { height } as isize;
    for (at, value) in light.iter_mut().enumerate() {
        let place = if step == 1 { at % width } else { at / width } as isize;
        *value = bell
            .iter()
            .zip(-reach..=reach)
            .map(|(weight, i)| {
                let there = (place + i).clamp(0, length - 1) - place;
                weight * before[(at as isize + there * step as isize) as usize]
            })
            .sum::<f64>()
            / total;
    }
}
