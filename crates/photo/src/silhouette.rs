//! Which pixels are the screw, and how dark each is between lamp and body.

use crate::PhotoError;
use crate::picture::Picture;
use crate::statistics::median;

/// The picture as shade: 0 is the body of the screw near its edge, 1 the light behind it.
pub(crate) struct Silhouette {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) shade: Vec<f32>,
    /// What each pixel belongs to.
    pub(crate) region: Vec<Region>,
    /// The share of pixels beside the outline whose light is at the top of the scale, 0 to 1.
    pub(crate) clipped: f64,
    /// The body is lighter than what is behind it.
    pub(crate) inverted: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Region {
    /// The largest body: taken to be the screw.
    Screw,
    /// The second largest, where there is one of some size: a pin laid beside the screw, if anything.
    Second,
    /// Can be reached from the picture's rim without crossing either.
    Outside,
    /// A glint inside the screw.
    Inside,
}

/// Pixels that differ by less than this share of the light can't be told apart reliably.
const LEAST_CONTRAST: f64 = 0.06;

pub(crate) fn separate(picture: Picture) -> Result<Silhouette, PhotoError> {
    let Picture { width, height, mut light } = picture;
    let clipped_at = linear_of_254();
    let clipped_pixel: Vec<bool> = light.iter().map(|&v| v >= clipped_at).collect();

    let split = otsu(&light);
    let inverted = corners_are_dark(&light, width, height, split);
    if inverted {
        light.iter_mut().for_each(|v| *v = 1.0 - *v);
    }
    let split = if inverted { 1.0 - split } else { split };
    flatten(&mut light, width, height, split)?;

    // The level of the body: at first that of all that is dark, then that of the screw along its edge only,
    // because light from the front makes its middle brighter.
    let split = otsu(&light);
    let mut dark: Vec<f64> = light.iter().filter(|&&v| v < split).map(|&v| f64::from(v)).collect();
    let body = median(&mut dark).ok_or(PhotoError::NoContrast)?;
    if 1.0 - body < LEAST_CONTRAST {
        return Err(PhotoError::NoContrast);
    }
    let half = (1.0 + body) / 2.0;
    let bodies = bodies_below(&light, width, height, half as f32);
    let body = level_along_edge(&light, &bodies, width, height).unwrap_or(body);
    if 1.0 - body < LEAST_CONTRAST {
        return Err(PhotoError::NoContrast);
    }
    let scale = 1.0 / (1.0 - body);
    light.iter_mut().for_each(|v| *v = ((f64::from(*v) - body) * scale) as f32);

    let mut region = bodies_below(&light, width, height, 0.5);
    find_outside(&mut region, width, height);
    let clipped = clipped_share(&region, &clipped_pixel, width, height);
    Ok(Silhouette { width, height, shade: light, region, clipped, inverted })
}

/// 254 of 255 on the sRGB curve (IEC 61966-2-1).
fn linear_of_254() -> f32 {
    ((254.0_f32 / 255.0 + 0.055) / 1.055).powf(2.4)
}

/// The threshold that parts the light best into two classes, on a square-root scale so that dark tones are
/// not all in one bin (N. Otsu, A threshold selection method from gray-level histograms, IEEE Trans. SMC
/// 9(1), 1979).
fn otsu(light: &[f32]) -> f32 {
    const BINS: usize = 512;
    let mut counts = [0_u64; BINS];
    for &v in light {
        counts[((v.clamp(0.0, 1.0).sqrt() * BINS as f32) as usize).min(BINS - 1)] += 1;
    }
    let total = light.len() as f64;
    let sum: f64 = counts.iter().enumerate().map(|(i, &n)| i as f64 * n as f64).sum();
    let (mut below, mut sum_below, mut best) = (0.0, 0.0, (0.0, 0.0));
    let mut ties = 0.0;
    for (i, &n) in counts.iter().enumerate() {
        below += n as f64;
        sum_below += i as f64 * n as f64;
        if below == 0.0 || below == total {
            continue;
        }
        let difference = sum_below / below - (sum - sum_below) / (total - below);
        let between = below * (total - below) * difference * difference;
        // Between two clean peaks all thresholds do equally well: the middle one is wanted.
        if between > best.0 * (1.0 + 1e-12) {
            best = (between, i as f64);
            ties = 0.0;
        } else if between >= best.0 * (1.0 - 1e-12) {
            ties = i as f64 - best.1;
        }
    }
    let root = (best.1 + ties / 2.0 + 1.0) / BINS as f64;
    (root * root) as f32
}

/// The picture's corners show what is behind the screw.
fn corners_are_dark(light: &[f32], width: usize, height: usize, split: f32) -> bool {
    let side = (width.min(height) / 25).max(4);
    let patch = |x0: usize, y0: usize| {
        let mut sum = 0.0;
        for y in y0..y0 + side {
            sum += light[y * width + x0..y * width + x0 + side].iter().sum::<f32>();
        }
        sum / (side * side) as f32
    };
    let dark = [(0, 0), (width - side, 0), (0, height - side), (width - side, height - side)]
        .into_iter()
        .filter(|&(x, y)| patch(x, y) < split)
        .count();
    dark >= 3
}

/// Divides by the lamp: a surface of second order over the picture, fitted to the bright pixels.
fn flatten(light: &mut [f32], width: usize, height: usize, split: f32) -> Result<(), PhotoError> {
    let step = (width.max(height) / 150).max(1);
    let place = |x: usize, y: usize| {
        let (u, v) = (2.0 * x as f64 / width as f64 - 1.0, 2.0 * y as f64 / height as f64 - 1.0);
        [1.0, u, v, u * u, u * v, v * v]
    };
    let mut samples = Vec::new();
    for y in (step / 2..height).step_by(step) {
        for x in (step / 2..width).step_by(step) {
            let v = light[y * width + x];
            if v > split {
                samples.push((place(x, y), f64::from(v)));
            }
        }
    }
    let mut surface = None;
    // Half-shaded pixels at edges count as bright at first; they fall out as strays.
    for _ in 0..4 {
        let fitted = least_squares(&samples).ok_or(PhotoError::NoContrast)?;
        let residual = |s: &([f64; 6], f64)| s.1 - dot(&fitted, &s.0);
        let (_, spread) =
            crate::statistics::median_and_spread(&samples.iter().map(residual).collect::<Vec<_>>())
                .ok_or(PhotoError::NoContrast)?;
        surface = Some(fitted);
        // One step of an 8-bit file is up to 0.8 % of its light: a clean picture has no spread but that.
        let limit = 3.0 * spread.max(0.004);
        samples.retain(|s| residual(s).abs() <= limit);
    }
    let surface = surface.ok_or(PhotoError::NoContrast)?;
    for y in 0..height {
        for x in 0..width {
            // Where nothing bright was seen the surface is only a guess and may fall to nothing.
            let lamp = dot(&surface, &place(x, y)).max(f64::from(split));
            light[y * width + x] = (f64::from(light[y * width + x]) / lamp) as f32;
        }
    }
    Ok(())
}

fn dot(a: &[f64; 6], b: &[f64; 6]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Solves the normal equations of six unknowns by elimination with pivots.
fn least_squares(samples: &[([f64; 6], f64)]) -> Option<[f64; 6]> {
    if samples.len() < 24 {
        return None;
    }
    let mut m = [[0.0; 7]; 6];
    for (terms, value) in samples {
        for (row, a) in m.iter_mut().zip(terms) {
            for (cell, b) in row.iter_mut().zip(terms.iter().chain([value])) {
                *cell += a * b;
            }
        }
    }
    for column in 0..6 {
        let pivot = (column..6).max_by(|&a, &b| m[a][column].abs().total_cmp(&m[b][column].abs()))?;
        m.swap(column, pivot);
        if m[column][column].abs() < 1e-9 * samples.len() as f64 {
            return None;
        }
        let lead = m[column];
        for (r, row) in m.iter_mut().enumerate() {
            if r != column {
                let factor = row[column] / lead[column];
                row.iter_mut().zip(lead).for_each(|(cell, l)| *cell -= factor * l);
            }
        }
    }
    let mut solution = [0.0; 6];
    for (i, value) in solution.iter_mut().enumerate() {
        *value = m[i][6] / m[i][i];
    }
    Some(solution)
}

/// The two largest connected sets of pixels below `level`; all else is `Inside` for the time being.
fn bodies_below(light: &[f32], width: usize, height: usize, level: f32) -> Vec<Region> {
    let mut label = vec![0_u32; light.len()];
    let mut sizes = vec![0_usize];
    let mut stack = Vec::new();
    for start in 0..light.len() {
        if label[start] != 0 || light[start] >= level {
            continue;
        }
        let own = sizes.len() as u32;
        label[start] = own;
        stack.push(start);
        let mut size = 0;
        while let Some(at) = stack.pop() {
            size += 1;
            for next in neighbours(at, width, height).into_iter().flatten() {
                if label[next] == 0 && light[next] < level {
                    label[next] = own;
                    stack.push(next);
                }
            }
        }
        sizes.push(size);
    }
    let mut order: Vec<u32> = (1..sizes.len() as u32).collect();
    order.sort_by_key(|&l| std::cmp::Reverse(sizes[l as usize]));
    let (first, second) = (order.first().copied(), order.get(1).copied());
    label
        .into_iter()
        .map(|l| match Some(l) {
            l if l == first => Region::Screw,
            l if l == second => Region::Second,
            _ => Region::Inside,
        })
        .collect()
}

fn neighbours(at: usize, width: usize, height: usize) -> [Option<usize>; 4] {
    let (x, y) = (at % width, at / width);
    [
        (x > 0).then(|| at - 1),
        (x + 1 < width).then(|| at + 1),
        (y > 0).then(|| at - width),
        (y + 1 < height).then(|| at + width),
    ]
}

/// The median light between four and eight pixels inside the edge: clear of the blur, close enough for light
/// from the front not to matter.
fn level_along_edge(light: &[f32], region: &[Region], width: usize, height: usize) -> Option<f64> {
    let mut levels = Vec::new();
    let mut run = |pixels: &mut dyn Iterator<Item = usize>| {
        let mut inside = Vec::new();
        for at in pixels.map(Some).chain([None]) {
            match at.filter(|&at| region[at] == Region::Screw) {
                Some(at) => inside.push(at),
                None => {
                    if inside.len() > 20 {
                        let ends = inside[4..8].iter().chain(&inside[inside.len() - 8..inside.len() - 4]);
                        levels.extend(ends.map(|&at| f64::from(light[at])));
                    }
                    inside.clear();
                }
            }
        }
    };
    for x in 0..width {
        run(&mut (0..height).map(|y| y * width + x));
    }
    median(&mut levels)
}

/// Marks what can be reached from the rim.
fn find_outside(region: &mut [Region], width: usize, height: usize) {
    let rim = (0..width)
        .flat_map(|x| [x, (height - 1) * width + x])
        .chain((0..height).flat_map(|y| [y * width, y * width + width - 1]));
    let mut stack = Vec::new();
    for start in rim {
        if region[start] == Region::Inside {
            region[start] = Region::Outside;
            stack.push(start);
        }
        while let Some(at) = stack.pop() {
            for next in neighbours(at, width, height).into_iter().flatten() {
                if region[next] == Region::Inside {
                    region[next] = Region::Outside;
                    stack.push(next);
                }
            }
        }
    }
}

/// Looks at the pixels three to six above and below the screw.
fn clipped_share(region: &[Region], clipped: &[bool], width: usize, height: usize) -> f64 {
    let (mut seen, mut over) = (0_u64, 0_u64);
    for y in 6..height.saturating_sub(6) {
        for x in 0..width {
            let at = y * width + x;
            if region[at] != Region::Screw {
                continue;
            }
            for next in [at - width, at + width] {
                if region[next] == Region::Outside {
                    let step = next as isize - at as isize;
                    for k in 3..=6 {
                        let beside = (at as isize + k * step) as usize;
                        if region[beside] == Region::Outside {
                            seen += 1;
                            over += u64::from(clipped[beside]);
                        }
                    }
                }
            }
        }
    }
    if seen == 0 { 0.0 } else { over as f64 / seen as f64 }
}
