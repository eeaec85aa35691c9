//! Tools that are nearly right: bits on hand and tools of a neighbouring angle, and what the contact becomes with them.
//!
//! A groove whose flanks are steeper than those of the mate (29° in a 30° thread) touches them at the groove's mouth; one
//! whose flanks are flatter touches at its bottom, where the mate's crest is. At the other end a gap stays open until the
//! flanks have bedded in.

use super::grind::Side;
use crate::fit::Fit;
use crate::job::{Bit, Duty};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Angle, Length, Source};

/// Where on a flank the mate bears.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bears {
    /// All over.
    Everywhere,
    /// At the mouth of the groove: the part's own crest.
    Mouth,
    /// At the bottom of the groove: the mate's crest.
    Bottom,
}

/// What becomes of the thread with a tool of this angle.
#[derive(Clone, Debug, PartialEq)]
pub struct NearTool {
    /// What it is called.
    pub name: String,
    /// Whether it is a bit of the job.
    pub on_hand: bool,
    /// Its included angle.
    pub angle: Angle,
    /// The side whose flank it misses more.
    pub worse: Side,
    /// Where the mate bears on that flank.
    pub bears: Bears,
    /// Gap along the axis at the other end of the flanks' engagement.
    pub gap: Length,
    /// Share of the flank's height that bears once it has bedded in by [`BEDS_IN`].
    pub share: f64,
    /// What the groove still has to be widened by after a straight plunge to the bottom; negative where the tip cuts it
    /// too wide by so much. None where no tip width is known.
    pub widen: Option<Length>,
    /// By how much its tip is wider than the widest that may be ground; none where it is not.
    pub too_wide: Option<Length>,
    /// Good enough for this duty.
    pub acceptable: bool,
}

/// What a flank wears or yields by before a thread is called run in.
pub const BEDS_IN: Length = Length::mm(0.01);
/// Origin of [`BEDS_IN`] and of the shares below.
pub const ACCEPTED: Source = Source::choice(
    "flanks bed in by 0.01 mm; a third of the height is enough for a feed or clamp, nine tenths where a load could fall",
);
/// Share of the flank's height that has to bear.
const fn share_wanted(duty: Duty) -> f64 {
    match duty {
        Duty::Feed | Duty::Clamp => 1.0 / 3.0,
        Duty::Lift => 0.9,
    }
}

/// Gap at one end of a flank that is good enough for this duty.
pub fn gap_allowed(duty: Duty) -> Length {
    BEDS_IN / share_wanted(duty)
}

/// A tip wider than is permitted by less than this is not called too wide.
const WIDTH_SLACK: Length = Length::um(0.5);

/// Included angles that tools of the trade have, degrees.
const USUAL: [f64; 5] = [29.0, 30.0, 47.5, 55.0, 60.0];
/// Usual angles no further than this from the thread's are near enough to be thought of, degrees.
const NEIGHBOUR: f64 = 5.5;
/// Angles that differ by less are the same, degrees.
const SAME: f64 = 0.01;

/// The bits of the job, then tools of the neighbouring angles. `widest` is the widest tip that may be ground.
pub fn look(fit: &Fit, basic: &Basic, widest: Length, bits: &[Bit], duty: Duty) -> Vec<NearTool> {
    let included = (basic.flank_leading + basic.flank_trailing).to_deg();
    let alike = same(basic.flank_leading, basic.flank_trailing);
    let mut found: Vec<NearTool> = bits
        .iter()
        .enumerate()
        .map(|(i, bit)| {
            let name = bit.name.clone().unwrap_or_else(|| format!("bit {}", i + 1));
            let near = near(fit, basic, name, flanks(bit), duty);
            let widen = widen(fit, bit);
            let over = (bit.tip_width - widest).max(widen * -1.0);
            let too_wide = (over > WIDTH_SLACK).then_some(over);
            let acceptable = near.acceptable && too_wide.is_none();
            NearTool { on_hand: true, widen: Some(widen), too_wide, acceptable, ..near }
        })
        .collect();
    let neighbours = USUAL.iter().filter(|a| {
        let off = (**a - included).abs();
        alike && off > SAME && off < NEIGHBOUR
    });
    found.extend(neighbours.map(|a| near(fit, basic, format!("{a}° tool"), [Angle::deg(a * 0.5); 2], duty)));
    found
}

/// Whether two included angles are the same.
pub fn same(a: Angle, b: Angle) -> bool {
    (a - b).abs() < Angle::deg(SAME)
}

/// Flank angles of a bit on the chuck's and on the tailstock's side.
fn flanks(bit: &Bit) -> [Angle; 2] {
    let chuck = bit.chuck_flank.unwrap_or(bit.angle * 0.5);
    [chuck, bit.angle - chuck]
}

fn near(fit: &Fit, basic: &Basic, name: String, flanks: [Angle; 2], duty: Duty) -> NearTool {
    // How much faster the groove opens than the ridge thickens, on either flank.
    let opens = |side: Side| match side {
        Side::Chuck => flanks[0].tan() - basic.flank_leading.tan(),
        Side::Tailstock => flanks[1].tan() - basic.flank_trailing.tan(),
    };
    let angle = flanks[0] + flanks[1];
    let worse =
        if opens(Side::Chuck).abs() >= opens(Side::Tailstock).abs() { Side::Chuck } else { Side::Tailstock };
    let gap = fit.engagement * opens(worse).abs();
    let share = if gap > BEDS_IN { BEDS_IN / gap } else { 1.0 };
    let bears = if gap < Length::um(0.1) {
        Bears::Everywhere
    } else if opens(worse) < 0.0 {
        Bears::Mouth
    } else {
        Bears::Bottom
    };
    let acceptable = gap <= gap_allowed(duty);
    NearTool {
        name,
        on_hand: false,
        angle,
        worse,
        bears,
        gap,
        share,
        widen: None,
        too_wide: None,
        acceptable,
    }
}

/// What a groove plunged with this bit still lacks in width so that the wanted groove lies within it.
fn widen(fit: &Fit, bit: &Bit) -> Length {
    let [chuck, tailstock] = flanks(bit);
    let at_top = bit.tip_width + fit.depth * (chuck.tan() + tailstock.tan());
    (fit.groove_bottom_width - bit.tip_width).max(fit.groove_top_width - at_top)
}

/// Gap at one end of the flanks for each degree that an included angle is out: what a worn template costs.
pub fn gap_for_a_degree(fit: &Fit, basic: &Basic) -> Length {
    let half = (basic.flank_leading + basic.flank_trailing) * 0.5;
    fit.engagement * ((half + Angle::deg(0.5)).tan() - half.tan())
}
