//! From ridges to readings with their uncertainties.

use flankwise_thread::{Angle, Length};

use crate::PhotoError;
use crate::axis::{Axis, Side};
use crate::comb::Comb;
use crate::flank::FlankFit;
use crate::helicoid::Helicoid;
use crate::outline::{self, EdgePoint};
use crate::picture;
use crate::pin::Pin;
use crate::ridges::{Facing, Family, Level, Ridges};
use crate::silhouette::{self, Region, Silhouette};
use crate::statistics::{Line, median, median_and_spread, robust_line};

/// How pixels become lengths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// Pixels per inch, as a scanner is set to.
    Dpi(f64),
    /// Pixels per millimetre in the plane of the screw's axis.
    PxPerMm(f64),
    /// A round pin of this diameter lies beside the screw, its axis at the same height.
    Pin(Length),
    /// No scale: angles and ratios only.
    None,
}

/// A reading and its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured<T> {
    /// The best estimate.
    pub value: T,
    /// One standard deviation.
    pub u: T,
}

/// One of the two edges of the screw's shadow.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// The upper edge; the right-hand one of a screw that stands upright in the picture.
    Upper,
    /// The other.
    Lower,
}

/// What is known of the flanks that face one way, between flank and the plane square to the axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FlankReading {
    /// The flank's angle.
    Angle {
        /// In the axial section: what drawings and standards give.
        axial: Measured<Angle>,
        /// As it stands in the picture, before the correction for the lead.
        seen: Angle,
    },
    /// The flank hides behind the crest's rim: every angle up to this one casts the same shadow.
    AtMost(Angle),
    /// There are too few pixels to tell.
    Unread,
}

/// What the shift between the two edges says of the starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Starts {
    /// The likeliest number.
    pub likely: u32,
    /// The next number that casts the same shadow, when the shape of the flanks does not exclude it.
    pub also_possible: Option<u32>,
}

/// One ridge on one edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RidgeReading {
    /// On which edge.
    pub edge: Edge,
    /// Middle of its crest in the upright picture: pixels from the left and from the top.
    pub crest_px: [f64; 2],
    /// Its place along the axis from the first ridge in the picture, in pitches.
    pub place_pitches: f64,
    /// Its thickness at the pitch line, in pitches: one half when new. In the middle of the depth when the pitch
    /// line could not be found; then only differences count.
    pub thickness_pitches: f64,
}

/// What a picture says of a thread.
#[derive(Clone, Debug, PartialEq)]
pub struct PhotoReadings {
    /// Width and height of the upright picture, in pixels.
    pub size_px: [u32; 2],
    /// Direction of the axis in the picture, clockwise from level.
    pub axis: Angle,
    /// Pixels per millimetre, when there is a scale; `u` holds the scale's own uncertainty.
    pub px_per_mm: Option<Measured<f64>>,
    /// Pitch in pixels. Under 25 only pitch and major diameter are read; 60 do well.
    pub pitch_px: f64,
    /// Pitch over major diameter; free of the scale.
    pub pitch_to_major: Measured<f64>,
    /// Minor over major diameter; free of the scale.
    pub minor_to_major: Option<Measured<f64>>,
    /// Pitch, along the axis.
    pub pitch: Option<Measured<Length>>,
    /// Major diameter.
    pub major_diameter: Option<Measured<Length>>,
    /// Pitch diameter: where ridge and groove are equally thick, on the ridges worn least.
    pub pitch_diameter: Option<Measured<Length>>,
    /// Minor diameter as far as light gets into the groove.
    pub minor_diameter: Option<Measured<Length>>,
    /// Flat of the crest, in the axial section; not for rounded crests.
    pub crest_flat: Option<Measured<Length>>,
    /// Flat of the root, in the axial section; not for rounded roots.
    pub root_flat: Option<Measured<Length>>,
    /// Flanks that face the left end of the picture; the top end when the axis runs downwards.
    pub left_flank: FlankReading,
    /// Flanks that face the other end.
    pub right_flank: FlankReading,
    /// Starts; `None` when the edges don't fit together.
    pub starts: Option<Starts>,
    /// Each ridge wholly in the picture, by edge and then along the axis: thinner ones are worn. None when the
    /// picture was taken from near, which looks like wear.
    pub ridges: Vec<RidgeReading>,
    /// What could not be read, or should not be trusted, and why.
    pub notes: Vec<String>,
}

/// Half the change between the 40 % and the 60 % level of light is taken as the half-width of what the edge's
/// place may be wrong by (rectangular, so divided by √3: GUM 4.3.7). A tenth of the light, then.
const LEVEL_BAND: f64 = 0.1;
/// What remains of the edges' place after averaging, in pixels, from compression and the pixel grid: a few
/// hundredths (common practice, no source).
const EDGE_REST_PX: f64 = 0.03;
/// A view up to 2° off square shortens lengths along the axis by up to 0.06 % (1 − cos 2°); rectangular.
const SQUARENESS: f64 = 0.0006 / 1.732_050_8;
/// Relative standard uncertainty of a scanner's resolution (common practice, no source).
const DPI_U: f64 = 0.001;
/// The same for a scale that the person worked out (common practice, no source).
const PX_PER_MM_U: f64 = 0.001;
/// Relative standard uncertainty of the height at which a pin lies, against the screw's axis (common practice, no
/// source). From near it is worse: 8 mm at 350 mm make 2.4 %, rectangular.
const PIN_PLANE_U: f64 = 0.002;
const PIN_PLANE_NEAR_U: f64 = 0.024 / 1.732_050_8;
/// Below this many pixels to a pitch the flanks are too short to read.
const LEAST_PITCH_PX: f64 = 25.0;
const LEAST_FLANKS: usize = 4;

/// Reads a picture: JPEG or PNG bytes.
///
/// # Errors
/// When it is no picture, too small or too large, or shows no thread.
pub fn read(bytes: &[u8], scale: Scale) -> Result<PhotoReadings, PhotoError> {
    let given = match scale {
        Scale::Dpi(v) | Scale::PxPerMm(v) => v,
        Scale::Pin(diameter) => diameter.to_mm(),
        Scale::None => 1.0,
    };
    if !(given.is_finite() && given > 0.0) {
        return Err(PhotoError::BadScale);
    }
    let silhouette = silhouette::separate(picture::decode(bytes)?)?;
    let seen = Seen::find(&silhouette)?;
    let mut notes = Vec::new();
    if silhouette.clipped > 0.01 {
        notes.push(format!(
            "{:.0} % of the light beside the screw is overexposed, which eats into the edges: diameters may read \
             small. Take the picture darker.",
            100.0 * silhouette.clipped
        ));
    }
    if silhouette.inverted {
        notes.push(
            "The screw is lighter than the ground behind it; its edges are less sure than those of a shadow."
                .into(),
        );
    }
    let px_per_mm = px_per_mm(scale, &silhouette, &seen, &mut notes);
    Ok(seen.readings(&silhouette, px_per_mm, notes))
}

fn px_per_mm(
    scale: Scale,
    silhouette: &Silhouette,
    seen: &Seen,
    notes: &mut Vec<String>,
) -> Option<Measured<f64>> {
    let with = |value: f64, relative: f64| Some(Measured { value, u: value * relative });
    match scale {
        Scale::None => None,
        Scale::Dpi(dpi) => with(dpi / Length::inch(1.0).to_mm(), DPI_U),
        Scale::PxPerMm(value) => with(value, PX_PER_MM_U),
        Scale::Pin(diameter) => {
            let Some(pin) = Pin::find(silhouette) else {
                notes.push(
                    "No pin was found beside the screw, so lengths are left out: it must be the second largest thing \
                     in the picture, clear of the screw and of the rim on its long sides."
                        .into(),
                );
                return None;
            };
            notes.push(
                "The scale holds if the pin's axis lay as high as the screw's; from near, a pin lying lower makes the \
                 screw read large."
                    .into(),
            );
            let plane = if seen.is_near() { PIN_PLANE_NEAR_U } else { PIN_PLANE_U };
            let width = pin.width_u_px.hypot(2.0 * seen.level_px()) / pin.width_px;
            with(pin.width_px / diameter.to_mm(), width.hypot(plane))
        }
    }
}

/// The screw taken apart, in pixels, with the axis as found.
struct Seen {
    axis: Axis,
    sides: [Ridges; 2],
    /// Lines through the crests of both sides, height against place.
    crest_lines: [Line; 2],
}

impl Seen {
    fn find(silhouette: &Silhouette) -> Result<Self, PhotoError> {
        let none = |why| PhotoError::NoThread { why };
        let edge = outline::trace(silhouette, Region::Screw);
        let axis = Axis::of_body(silhouette, Region::Screw).ok_or(none("nothing dark in the picture"))?;
        let mut seen = Self::along(axis.by_crests(&edge), &edge)?;
        // The crests of whole ridges give a better axis than the envelope did, and that a better comb.
        for _ in 0..2 {
            let [upper, lower] = seen.crest_lines;
            let turn = -((upper.slope - lower.slope) / 2.0).atan();
            seen = Self::along(seen.axis.moved(turn, (upper.at_zero - lower.at_zero) / 2.0), &edge)?;
        }
        Ok(seen)
    }

    fn along(axis: Axis, edge: &[EdgePoint]) -> Result<Self, PhotoError> {
        let none = |why| PhotoError::NoThread { why };
        let points = Side::BOTH.map(|side| axis.view(edge, side));
        let comb = Comb::find(&points).ok_or(none("the outline does not repeat regularly"))?;
        let side = |i: usize| {
            Ridges::find(&points[i], &comb).ok_or(none("one edge shows no ridges, or they are too shallow"))
        };
        let sides = [side(0)?, side(1)?];
        for family in sides.iter().flat_map(|s| &s.families) {
            if family.flanks.len() < LEAST_FLANKS {
                return Err(none("fewer than four whole pitches are in sight"));
            }
            if !(family.comb.spread < 0.05 * comb.pitch && (family.comb.slope / comb.pitch - 1.0).abs() < 0.1)
            {
                return Err(none("the ridges are not evenly spaced"));
            }
        }
        let line = |side: &Ridges| {
            robust_line(&side.crests.iter().map(|c| (c.along, c.height)).collect::<Vec<_>>())
                .ok_or(none("fewer than three whole crests are in sight"))
        };
        let crest_lines = [line(&sides[0])?, line(&sides[1])?];
        Ok(Self { axis, sides, crest_lines })
    }

    fn families(&self) -> impl Iterator<Item = &Family> {
        self.sides.iter().flat_map(|side| &side.families)
    }

    /// How far one edge may be off because its level of light is not sure, in pixels.
    fn level_px(&self) -> f64 {
        let steepness = (self.sides[0].steepness + self.sides[1].steepness) / 2.0;
        LEVEL_BAND / steepness / 3.0_f64.sqrt()
    }

    /// Standard deviation of the blur: a blurred step is steepest by 1/(σ√2π).
    fn blur_px(&self) -> f64 {
        let steepness = (self.sides[0].steepness + self.sides[1].steepness) / 2.0;
        1.0 / (steepness * (2.0 * std::f64::consts::PI).sqrt())
    }

    /// Mean of the four families, the steady ones counting more. On one-sided wear the unworn flanks decide.
    fn pitch(&self) -> Measured<f64> {
        let of = |f: &Family| {
            // A family can't be surer than this, or one lucky family would decide alone.
            let u = f.comb.slope_u.max(1e-5 * f.comb.slope);
            (f.comb.slope, 1.0 / (u * u))
        };
        let total: f64 = self.families().map(|f| of(f).1).sum();
        let value = self.families().map(|f| of(f).0 * of(f).1).sum::<f64>() / total;
        let disagreement = self.families().map(|f| of(f).1 * (of(f).0 - value).powi(2)).sum::<f64>() / 3.0;
        Measured { value, u: (disagreement.max(1.0) / total).sqrt() }
    }

    /// From near, the two flanks of a ridge seem to have different pitches, the other way round on the other edge.
    fn is_near(&self) -> bool {
        let difference = |side: &Ridges| {
            let (l, r) = (side.family(Facing::Left).comb, side.family(Facing::Right).comb);
            (r.slope - l.slope, r.slope_u.hypot(l.slope_u))
        };
        let [(upper, u_upper), (lower, u_lower)] = [difference(&self.sides[0]), difference(&self.sides[1])];
        let (opposed, common) = ((upper - lower).abs() / 2.0, (upper + lower).abs() / 2.0);
        opposed > 5.0 * u_upper.hypot(u_lower) / 2.0
            && opposed > 0.001 * self.families().next().map_or(1.0, |f| f.comb.slope)
            && common < opposed / 2.0
    }

    /// Sum of both sides' heights at crests or roots: a diameter.
    fn diameter(&self, levels: impl Fn(&Ridges) -> &Vec<Level>) -> Option<Measured<f64>> {
        let (mut value, mut variance, mut systematic) = (0.0, 0.0, 0.0);
        for side in &self.sides {
            let levels = levels(side);
            let heights: Vec<f64> = levels.iter().map(|l| l.height).collect();
            let (middle, spread) = median_and_spread(&heights)?;
            let bend = median(&mut levels.iter().map(|l| l.bend).collect::<Vec<_>>())?;
            let steepness = median(&mut levels.iter().map(|l| l.steepness).collect::<Vec<_>>())?;
            value += middle;
            variance += spread * spread / heights.len() as f64 + EDGE_REST_PX * EDGE_REST_PX;
            // Blur pulls a bent edge towards its centre by about σ²/2ρ. Both sides err the same way.
            systematic +=
                (LEVEL_BAND / steepness / 3.0_f64.sqrt()).hypot(self.blur_px().powi(2) * bend / 2.0);
        }
        Some(Measured { value, u: variance.sqrt().hypot(systematic) })
    }

    /// Whether half the lead lies between the two edges (odd starts) or a whole number of pitches (even).
    fn even_starts(&self, pitch: f64) -> Option<bool> {
        let shift = |facing: Facing| {
            let place = |side: &Ridges| side.family(facing).comb.at_zero;
            (place(&self.sides[1]) - place(&self.sides[0])) / pitch
        };
        // From near, the flanks that face left and right err by opposite amounts. Averaged on the circle.
        let turns = Facing::BOTH.map(|f| shift(f) * std::f64::consts::TAU);
        let mean = turns.map(f64::sin).iter().sum::<f64>().atan2(turns.map(f64::cos).iter().sum());
        let from_even = (mean / std::f64::consts::TAU).abs();
        match from_even {
            d if d < 0.12 => Some(true),
            d if d > 0.38 => Some(false),
            _ => None,
        }
    }

    fn fit(&self, screw: Helicoid) -> Option<[[FlankFit; 2]; 2]> {
        let of = |side: &Ridges| {
            Some([
                FlankFit::new(side.family(Facing::Left), screw)?,
                FlankFit::new(side.family(Facing::Right), screw)?,
            ])
        };
        Some([of(&self.sides[0])?, of(&self.sides[1])?])
    }

    /// The number of starts, with the flanks fitted for it. Odd and even are told by the shift between the edges;
    /// within them the shape of steep flanks decides, and where it does not, the smaller number stands.
    fn starts(&self, pitch: f64, major_radius: f64) -> (Option<Starts>, Option<[[FlankFit; 2]; 2]>) {
        let even = self.even_starts(pitch);
        let first = if even == Some(true) { 2 } else { 1 };
        let fit = |n: u32| self.fit(Helicoid::new(f64::from(n) * pitch, major_radius));
        let left_over = |fits: &[[FlankFit; 2]; 2]| fits.iter().flatten().map(|f| f.mean_square).sum::<f64>();
        let (Some(fewer), Some(more)) = (fit(first), fit(first + 2)) else { return (None, fit(first)) };
        let ratio = left_over(&more) / left_over(&fewer).max(1e-12);
        let (likely, fits) = if ratio < 0.5 { (first + 2, more) } else { (first, fewer) };
        let also_possible = (0.5..2.0).contains(&ratio).then_some(first + 2);
        (even.map(|_| Starts { likely, also_possible }), Some(fits))
    }

    fn readings(
        &self,
        silhouette: &Silhouette,
        px_per_mm: Option<Measured<f64>>,
        mut notes: Vec<String>,
    ) -> PhotoReadings {
        let pitch_read = self.pitch();
        let pitch =
            Measured { value: pitch_read.value, u: pitch_read.u.hypot(SQUARENESS * pitch_read.value) };
        let heights = [self.crest_lines[0].at_zero, self.crest_lines[1].at_zero];
        let major = self
            .diameter(|side| &side.crests)
            .unwrap_or(Measured { value: heights[0] + heights[1], u: 2.0 * self.level_px() });
        let near = self.is_near();
        let coarse = pitch.value < LEAST_PITCH_PX;
        self.remark(pitch.value, near, coarse, &mut notes);

        let minor = if coarse { None } else { self.diameter(|side| &side.roots) };
        if minor.is_none() && !coarse {
            notes.push("No groove's bottom is in sight, so the minor diameter is left out.".into());
        }
        let mut grooves: Vec<f64> = self.sides.iter().flat_map(|s| &s.roots).map(|l| l.width).collect();
        if minor.is_some() && median(&mut grooves).is_some_and(|width| width < 5.0 * self.blur_px()) {
            notes.push(
                "The grooves show hardly any bottom: the minor diameter may be smaller than read.".into(),
            );
        }
        let (starts, fits) = if coarse { (None, None) } else { self.starts(pitch.value, major.value / 2.0) };
        if !coarse {
            remark_starts(starts, &mut notes);
        }
        let screw = Helicoid::new(pitch.value * f64::from(starts.map_or(1, |s| s.likely)), major.value / 2.0);
        let root_radius = minor.map_or(0.0, |m| m.value / 2.0);
        let depth = major.value / 2.0 - root_radius;
        let flanks = Facing::BOTH.map(|facing| match &fits {
            Some(fits) => flank_reading(fits, facing, screw, root_radius, depth, starts.is_none()),
            None => FlankReading::Unread,
        });
        if flanks.iter().any(|f| matches!(f, FlankReading::AtMost(_))) {
            notes.push(
                "A flank is so steep that the rim of its crest hides it: its angle has only an upper limit, and the \
                 pitch diameter is left out. Measure over wires, or the angle on the part."
                    .into(),
            );
        }

        let section = fits.as_ref().map(|fits| Section::new(self, fits, pitch.value));
        let all_seen = flanks.iter().all(|f| matches!(f, FlankReading::Angle { .. }));
        // From near the touching points wander, and the correction for the lead would be wrong.
        let section_for_sizes = section.as_ref().filter(|_| !near && starts.is_some());
        let pitch_diameter =
            section_for_sizes.filter(|_| all_seen).map(|s| s.pitch_diameter(self.level_px()));
        let flat = |levels: fn(&Ridges) -> &Vec<Level>, at_crest: bool| {
            let section = section_for_sizes.filter(|_| at_crest || all_seen)?;
            section.flat(self, levels, at_crest)
        };
        let (crest_flat, root_flat) = (flat(|s| &s.crests, true), flat(|s| &s.roots, false));
        if let Some(section) = section.as_ref().filter(|_| !near) {
            section.remark_wear(px_per_mm.map(|s| s.value), self.level_px(), &mut notes);
        }

        let length = |px: Measured<f64>| {
            px_per_mm.map(|scale| {
                let mm = px.value / scale.value;
                let u = (px.u / scale.value).hypot(mm * scale.u / scale.value);
                Measured { value: Length::mm(mm), u: Length::mm(u) }
            })
        };
        let to_major = |px: Measured<f64>| {
            let value = px.value / major.value;
            Measured { value, u: value * (px.u / px.value).hypot(major.u / major.value) }
        };
        PhotoReadings {
            size_px: [silhouette.width as u32, silhouette.height as u32],
            axis: Angle::rad(self.axis.direction),
            px_per_mm,
            pitch_px: pitch.value,
            pitch_to_major: to_major(pitch),
            minor_to_major: minor.map(to_major),
            pitch: length(pitch),
            major_diameter: length(major),
            pitch_diameter: pitch_diameter.and_then(length),
            minor_diameter: minor.and_then(length),
            crest_flat: crest_flat.and_then(length),
            root_flat: root_flat.and_then(length),
            left_flank: flanks[0],
            right_flank: flanks[1],
            starts,
            ridges: section
                .filter(|_| !near)
                .map_or_else(Vec::new, |s| s.ridge_readings(&self.axis, heights)),
            notes,
        }
    }

    fn remark(&self, pitch: f64, near: bool, coarse: bool, notes: &mut Vec<String>) {
        notes.push("A shadow does not show the hand of the thread; look at the part.".into());
        if coarse {
            notes.push(format!(
                "Only {pitch:.0} pixels to a pitch: pitch and major diameter are read, flanks are not. 60 pixels to a \
                 pitch do well."
            ));
        } else if pitch < 35.0 {
            notes.push(format!("Only {pitch:.0} pixels to a pitch: flank angles are rough. 60 do well."));
        }
        if near {
            notes.push(
                "The picture was taken from near: the two flanks show different pitches, the other way round on the \
                 other edge. Pitch diameter and flats are left out. Take it from 0.6 m or more, with a long lens, or \
                 use a scanner."
                    .into(),
            );
        }
        let [upper, lower] = self.crest_lines;
        let (taper, u) = (upper.slope + lower.slope, upper.slope_u.hypot(lower.slope_u));
        if taper.abs() > 5.0 * u && taper.abs() > 0.002 {
            notes.push(format!(
                "The crests of both edges run together by {:.2}\u{b0}: a tapered thread, or a view that is not square \
                 to the axis. Diameters are those in the middle of the picture.",
                taper.atan().to_degrees().abs()
            ));
        }
    }
}

fn remark_starts(starts: Option<Starts>, notes: &mut Vec<String>) {
    match starts {
        None => notes.push(
            "Upper and lower edge are shifted neither by half a pitch nor by none: the starts are unclear, flank \
             angles are corrected as for one, and the pitch diameter is left out."
                .into(),
        ),
        Some(Starts { likely, also_possible: Some(other) }) => notes.push(format!(
            "The shadow fits {likely} and {other} starts alike; {likely} is taken. Count them at the end of the part."
        )),
        Some(_) => {}
    }
}

fn flank_reading(
    fits: &[[FlankFit; 2]; 2],
    facing: Facing,
    screw: Helicoid,
    root_radius: f64,
    depth: f64,
    starts_unclear: bool,
) -> FlankReading {
    let of = |side: usize| &fits[side][usize::from(facing == Facing::Right)];
    let (upper, lower) = (of(0), of(1));
    let hidden = screw.hidden_below(root_radius);
    if [upper, lower].iter().any(|f| f.may_be_hidden || f.tangent <= hidden) {
        return FlankReading::AtMost(Angle::atan(hidden.max(upper.tangent).max(lower.tangent)));
    }
    let angle = |f: &FlankFit| (f.tangent.atan(), f.tangent_u / (1.0 + f.tangent * f.tangent));
    let ((a, u_a), (b, u_b)) = (angle(upper), angle(lower));
    let seen = (upper.seen_tangent.atan() + lower.seen_tangent.atan()) / 2.0;
    let axial = (a + b) / 2.0;
    let random = (u_a.hypot(u_b) / 2.0).max((a - b).abs() / 2.0);
    // Ends of the fitted stretch, three fifths of the depth, each off by what remains at edges.
    let rest = EDGE_REST_PX * 2.0_f64.sqrt() / (0.6 * depth);
    let uncorrected = if starts_unclear { seen - axial } else { 0.0 };
    let u = random.hypot(rest).hypot(uncorrected);
    FlankReading::Angle {
        axial: Measured { value: Angle::rad(axial), u: Angle::rad(u) },
        seen: Angle::rad(seen),
    }
}

/// One ridge in the axial section.
struct Ridge {
    side: usize,
    along: f64,
    /// Its thickness would be this on the axis, were its flanks produced so far.
    base: f64,
}

/// Ridges between their two flanks, in the axial section.
struct Section {
    ridges: Vec<Ridge>,
    /// Of each side: sum of both flanks' tangents with its uncertainty.
    spread: [(f64, f64); 2],
    /// Middle of the fitted depth.
    middle: f64,
    pitch: f64,
    /// Of each side: thickness at `middle` of the ridges worn least, with its uncertainty.
    sound: [(f64, f64); 2],
    /// Mean of 1/cos of the flank angles: what a shift of the edge adds to a flank's place along the axis.
    slant: f64,
}

impl Section {
    fn new(seen: &Seen, fits: &[[FlankFit; 2]; 2], pitch: f64) -> Self {
        let mut ridges = Vec::new();
        let mut spread = [(0.0, 0.0); 2];
        for (side, [left, right]) in fits.iter().enumerate() {
            spread[side] = (left.tangent + right.tangent, left.tangent_u.hypot(right.tangent_u));
            for &(left_at, left_foot) in &left.feet {
                for &(right_at, right_foot) in &right.feet {
                    if (0.0..pitch).contains(&(right_at - left_at)) {
                        ridges.push(Ridge {
                            side,
                            along: (left_at + right_at) / 2.0,
                            base: left_foot + right_foot,
                        });
                    }
                }
            }
        }
        ridges.sort_by(|a, b| {
            (a.side, a.along).partial_cmp(&(b.side, b.along)).unwrap_or(std::cmp::Ordering::Equal)
        });
        let heights = |levels: &[Level]| median(&mut levels.iter().map(|l| l.height).collect::<Vec<_>>());
        let crest = seen.crest_lines[0].at_zero;
        let root = heights(&seen.sides[0].roots).unwrap_or(crest);
        let middle = (crest + root) / 2.0;
        let slant = fits.iter().flatten().map(|f| (1.0 + f.tangent * f.tangent).sqrt()).sum::<f64>() / 4.0;
        let mut section = Self { ridges, spread, middle, pitch, sound: [(0.0, 0.0); 2], slant };
        section.sound = [section.least_worn(0), section.least_worn(1)];
        section
    }

    fn thickness(&self, ridge: &Ridge, height: f64) -> f64 {
        ridge.base - height * self.spread[ridge.side].0
    }

    /// Wear only takes away: so if ridges differ by more than chance, the thickest that agree are the sound ones.
    /// Their agreement is judged by the scatter between neighbours, which slow wear leaves small.
    fn least_worn(&self, side: usize) -> (f64, f64) {
        let mut thicknesses: Vec<f64> =
            self.ridges.iter().filter(|r| r.side == side).map(|r| self.thickness(r, self.middle)).collect();
        let Some((usual, _)) = median_and_spread(&thicknesses) else { return (0.0, 0.0) };
        let steps: Vec<f64> = thicknesses.windows(2).map(|w| w[1] - w[0]).collect();
        let scatter = median_and_spread(&steps).map_or(0.0, |s| s.1 / 2.0_f64.sqrt()).max(EDGE_REST_PX);
        thicknesses.sort_by(f64::total_cmp);
        // A speck can make one ridge thick, so the third from the top sets the mark where there are enough.
        let mark = thicknesses[thicknesses.len().saturating_sub(if thicknesses.len() > 6 { 3 } else { 1 })];
        let sound: Vec<f64> =
            thicknesses.iter().copied().filter(|t| (t - mark).abs() < 4.0 * scatter).collect();
        match median_and_spread(&sound) {
            Some((value, spread)) => (value, spread.max(scatter) / (sound.len() as f64).sqrt()),
            None => (usual, scatter),
        }
    }

    /// Height over the axis, on one side, at which sound ridges are this thick, with its uncertainty.
    fn height_where(&self, side: usize, thickness: f64) -> (f64, f64) {
        let ((sound, u_sound), (spread, u_spread)) = (self.sound[side], self.spread[side]);
        let below = (sound - thickness) / spread;
        (self.middle + below, u_sound.hypot(below * u_spread) / spread)
    }

    fn pitch_diameter(&self, level_px: f64) -> Measured<f64> {
        let [(a, u_a), (b, u_b)] = [0, 1].map(|side| self.height_where(side, self.pitch / 2.0));
        // All four flanks move out together when the level of light is wrong.
        let spread = (self.spread[0].0 + self.spread[1].0) / 2.0;
        let level = 2.0 * 2.0 * level_px * self.slant / spread;
        Measured { value: a + b, u: u_a.hypot(u_b).hypot(level) }
    }

    /// Width of the flat at the crests or the roots, unless these are round.
    fn flat(&self, seen: &Seen, levels: fn(&Ridges) -> &Vec<Level>, at_crest: bool) -> Option<Measured<f64>> {
        let (mut value, mut variance) = (0.0, 0.0);
        for side in 0..2 {
            let levels = levels(&seen.sides[side]);
            let height = median(&mut levels.iter().map(|l| l.height).collect::<Vec<_>>())?;
            let bend = median(&mut levels.iter().map(|l| l.bend).collect::<Vec<_>>())?;
            let ((sound, u_sound), (spread, u_spread)) = (self.sound[side], self.spread[side]);
            let away = height - self.middle;
            let ridge = sound - away * spread;
            let flat = if at_crest { ridge } else { self.pitch - ridge };
            // Round: it rises by over a twentieth of its width. Too narrow: blur alone makes it round.
            if flat < 4.0 * seen.blur_px() || bend * (flat / 2.0).powi(2) / 2.0 > 0.05 * flat {
                return None;
            }
            value += flat / 2.0;
            variance += (u_sound.powi(2) + (away * u_spread).powi(2)) / 4.0;
        }
        let level = 2.0 * seen.level_px() * self.slant;
        Some(Measured { value, u: variance.sqrt().hypot(level) })
    }

    fn remark_wear(&self, px_per_mm: Option<f64>, level_px: f64, notes: &mut Vec<String>) {
        let loss = |r: &Ridge| self.sound[r.side].0 - self.thickness(r, self.middle);
        let Some(worst) = self.ridges.iter().max_by(|a, b| loss(a).total_cmp(&loss(b))) else { return };
        let worn = self.ridges.iter().filter(|r| loss(r) > loss(worst) / 2.0).count();
        let chance = 6.0 * self.sound[worst.side].1.max(EDGE_REST_PX);
        // One ridge alone is a chip or dirt.
        if loss(worst) > chance.max(level_px) && worn > 1 {
            let size = match px_per_mm {
                Some(scale) => format!("{:.2} mm", loss(worst) / scale),
                None => format!("{:.1} % of the pitch", 100.0 * loss(worst) / self.pitch),
            };
            notes.push(format!(
                "Ridges differ in thickness by up to {size}: worn in places. Pitch diameter and flats are those of the \
                 thickest ridges in sight."
            ));
        }
    }

    fn ridge_readings(&self, axis: &Axis, crests: [f64; 2]) -> Vec<RidgeReading> {
        let first = self.ridges.iter().map(|r| r.along).fold(f64::INFINITY, f64::min);
        let (sin, cos) = axis.direction.sin_cos();
        self.ridges
            .iter()
            .map(|r| {
                let (edge, away) =
                    if r.side == 0 { (Edge::Upper, crests[0]) } else { (Edge::Lower, -crests[1]) };
                // At the height where sound ridges are half a pitch thick; wear then shows as less.
                let at_pitch_line = 0.5 * self.pitch + self.thickness(r, self.middle) - self.sound[r.side].0;
                RidgeReading {
                    edge,
                    crest_px: [axis.x + r.along * cos + away * sin, axis.y + r.along * sin - away * cos],
                    place_pitches: (r.along - first) / self.pitch,
                    thickness_pitches: at_pitch_line / self.pitch,
                }
            })
            .collect()
    }
}
