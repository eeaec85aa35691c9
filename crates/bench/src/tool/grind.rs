//! The grind beside its profile: sides, front clearance and heel, width and corners of the tip.
//!
//! Sections are drawn square to the axis: x towards the cutting edge, y up, the axis of the work at the origin.

use super::first_order::off_centre;
use crate::fit::{Fit, Size};
use flankwise_thread::limits::{ExtraKind, Range};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Angle, Element, Length, Source};

/// Side of the tool, as one stands at the lathe.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// Towards the chuck.
    Chuck,
    /// Towards the tailstock.
    Tailstock,
}

impl Side {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Chuck, Self::Tailstock];
    /// Direction along the axis, which runs towards the chuck.
    pub const fn sign(self) -> f64 {
        match self {
            Self::Chuck => 1.0,
            Self::Tailstock => -1.0,
        }
    }
    /// `chuck` or `tailstock`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Chuck => "chuck",
            Self::Tailstock => "tailstock",
        }
    }
    /// The other.
    pub const fn other(self) -> Self {
        match self {
            Self::Chuck => Self::Tailstock,
            Self::Tailstock => Self::Chuck,
        }
    }
}

/// The side whose flank leads, for a spindle that turns forwards and a tool at the front with its face up: a
/// right-hand thread is fed towards the chuck, inside as outside.
pub const fn leading_side(hand: flankwise_thread::Hand) -> Side {
    match hand {
        flankwise_thread::Hand::Right => Side::Chuck,
        flankwise_thread::Hand::Left => Side::Tailstock,
    }
}

/// How far below the edge the front of an internal tool still clears a bore of diameter `bore`, at front clearance
/// `front` and an edge `height` above centre: D cos a sin(a + δ), which is (D/2) sin 2a on centre. Zero or less
/// means that it rubs from the edge down.
pub fn heel(bore: Length, front: Angle, height: Length) -> Length {
    bore * (front.cos() * (front + off_centre(height, bore)).sin())
}

/// Front clearance at which the heel clears down to `below`, by bisection; none if not even 45° does.
pub fn front_for_heel(bore: Length, below: Length, height: Length) -> Option<Angle> {
    let (mut lo, mut hi) = (0.0, 45.0);
    if heel(bore, Angle::deg(hi), height) < below {
        return None;
    }
    for _ in 0..50 {
        let mid = 0.5 * (lo + hi);
        if heel(bore, Angle::deg(mid), height) < below { lo = mid } else { hi = mid }
    }
    Some(Angle::deg(hi))
}

/// A second, steeper relief below the heel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SecondRelief {
    /// Depth below the edge from which it is ground.
    pub from: Length,
    /// Its angle, to the vertical.
    pub angle: Angle,
}

/// The front of a tip from its edge down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Front {
    /// Clearance right below the edge.
    pub clearance: Angle,
    /// The second relief further down.
    pub second: Option<SecondRelief>,
}

impl Front {
    /// By how much it has fallen back from the edge at a depth below it.
    pub fn back(&self, down: Length) -> Length {
        match self.second {
            Some(second) if down > second.from => {
                second.from * self.clearance.tan() + (down - second.from) * second.angle.tan()
            }
            _ => down * self.clearance.tan(),
        }
    }
}

/// The second relief with which an internal tip as tall as `tall` under its edge clears the bore: ground from half way
/// down to the heel. None where the front clearance alone does, or where a tip so tall does not stand in the bore.
pub fn second_relief(bore: Length, front: Angle, height: Length, tall: Length) -> Option<SecondRelief> {
    let heel = heel(bore, front, height);
    if tall <= heel || heel <= Length::ZERO {
        return None;
    }
    let from = heel * 0.5;
    let (r, h) = (bore.to_mm() / 2.0, height.to_mm());
    let edge = (r * r - h * h).sqrt();
    let wall = (r * r - (tall.to_mm() - h).powi(2)).sqrt();
    let back = edge - from.to_mm() * front.tan() - wall;
    let angle = Angle::atan(back / (tall - from).to_mm());
    angle.is_finite().then_some(SecondRelief { from, angle })
}

/// Axial width of a groove at `beyond` (on the diameter) past the pitch diameter towards its bottom:
/// P/2 − beyond · tan A, with the mean of both flanks' tangents.
pub fn groove_width(pitch: Length, beyond: Length, mean_tan: f64) -> Length {
    pitch * 0.5 - beyond * mean_tan
}

/// Radius that rounds a tip of width `tip` off completely, tangent to both flanks: (w/2) / tan(45° − A/2).
pub fn full_radius(tip: Length, half: Angle) -> Length {
    tip * 0.5 * (1.0 / (Angle::deg(45.0) - half * 0.5).tan())
}

/// Radius at the corners of the tip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Largest: what the thread permits at its root, and no more than the tip can carry.
    pub most: Length,
    /// Smallest, where the class asks for one.
    pub least: Option<Length>,
    /// Where the limits come from.
    pub source: Source,
}

/// Radius of an edge broken with a stone, where the standard has no root radius.
const BROKEN_EDGE: Length = Length::mm(0.1);
const BROKEN: Source = Source::practice("the standard has no root radius: edges broken with a stone, 0.1 mm");
const OF_FORM: Source = Source::derived("root radius of the form");
const ROUND_FORM: Source =
    Source::derived("the form's root is round all over; nine tenths of its radius at least, chosen here");
/// A root whose radius is as near as this to the one that rounds it off completely is round all over.
const ROUND_ALL_OVER: f64 = 0.02;
/// Share of a round root's radius that its tip has at least.
const ROUND_LEAST: f64 = 0.9;

/// Corner radius of a tip of width `tip`, by the class of the thread, or else by its form.
pub fn corner(fit: &Fit, basic: &Basic, tip: Length, half: Angle) -> Corner {
    let of_form = match fit.part {
        Element::Internal => basic.root_radius_internal,
        Element::External => basic.root_radius,
    };
    let by_class = root_radius(fit);
    let root_width = match fit.part {
        Element::Internal => basic.root_width_internal,
        Element::External => basic.root_width,
    };
    // Where crest and root are round all over, that is the form itself and no mere limit of its corners.
    let all_over = (of_form / full_radius(root_width, half) - 1.0).abs() < ROUND_ALL_OVER;
    let round = (all_over && basic.crest_radius > Length::ZERO).then_some(of_form * ROUND_LEAST);
    let (allowed, source) = match by_class.and_then(|r| Some((r.max?, r.source))) {
        Some(found) => found,
        None if round.is_some() => (of_form, ROUND_FORM),
        None if of_form > Length::ZERO => (of_form, OF_FORM),
        None => (BROKEN_EDGE, BROKEN),
    };
    let full = full_radius(tip, half);
    // Where class or form ask for more than the tip can carry, it is rounded off all over.
    let least =
        by_class.and_then(|r| r.min).filter(|least| *least > Length::ZERO).or(round).map(|r| r.min(full));
    Corner { most: allowed.min(full).max(least.unwrap_or(Length::ZERO)), least, source }
}

/// Limits of the radius at the root of the part, by its class.
fn root_radius(fit: &Fit) -> Option<Range> {
    let extras = &fit.book.as_ref()?.extras;
    let of_part = |e: &&flankwise_thread::limits::Extra| {
        e.what == ExtraKind::RootRadius && e.element.is_none_or(|element| element == fit.part)
    };
    extras.iter().find(of_part).map(|e| e.range)
}

/// Tolerance that a tip is ground and measured to by hand: the smaller of 0.03 mm and a sixth of the width.
pub const TIP_TOLERANCE: Source =
    Source::choice("0.03 mm, or a sixth of a narrow tip: what hand grinding and a micrometer hold");

/// The first part of [`TIP_TOLERANCE`].
const GRINDS_TO: Length = Length::mm(0.03);

/// Narrowest tip to aim at, as a share of the widest: a narrower one is weak and needs many passes to the side.
const NARROWEST: f64 = 0.6;

/// Width of the tip. The widest still leaves the smallest permitted pitch diameter (of a nut; the largest of a
/// screw) when the tip stands at the aimed bottom; a wider one would cut the groove too wide whatever is done.
/// The narrowest is a matter of work: a tip may be narrow, and the groove is then widened to the side.
pub fn tip_width(fit: &Fit, mean_tan: f64) -> Size {
    let pd = &fit.pitch_diameter;
    let slack = match fit.part {
        Element::Internal => pd.aim - pd.min,
        Element::External => pd.max - pd.aim,
    };
    let groove = fit.groove_bottom_width;
    let narrowest_groove = groove - slack.max(Length::ZERO) * mean_tan;
    // Where the tolerance of the pitch diameter would swallow a narrow root, the groove at its aim governs.
    let max = if narrowest_groove > groove * NARROWEST { narrowest_groove } else { groove };
    let tolerance = GRINDS_TO.min(max / 6.0);
    Size { aim: max - tolerance, min: max * NARROWEST, max }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flankwise_thread::Hand;

    #[test]
    fn the_leading_side_changes_with_the_hand() {
        assert_eq!(leading_side(Hand::Right), Side::Chuck);
        assert_eq!(leading_side(Hand::Left), leading_side(Hand::Right).other());
    }

    #[test]
    fn above_centre_an_internal_tool_clears_deeper() {
        let (d, a) = (Length::mm(20.0), Angle::deg(10.0));
        assert!(heel(d, a, Length::mm(0.5)) > heel(d, a, Length::ZERO));
    }

    /// Points of the front face of a tip with both reliefs lie within the bore, and one of a degree less does not.
    #[test]
    fn second_relief_just_clears_the_bore() {
        for (bore, front, height, tall) in
            [(17.0, 12.0, 0.0, 6.0), (30.0, 8.0, 0.5, 9.0), (17.0, 12.0, -0.4, 5.0)]
        {
            let (d, a) = (Length::mm(bore), Angle::deg(front));
            let (h, t) = (Length::mm(height), Length::mm(tall));
            let second = second_relief(d, a, h, t).expect("a second relief");
            let edge = (bore * bore / 4.0 - height * height).sqrt();
            let radius = |down: f64, lean: f64| {
                let second = Some(SecondRelief { angle: Angle::deg(lean), ..second });
                let x = edge - Front { clearance: a, second }.back(Length::mm(down)).to_mm();
                x.hypot(height - down)
            };
            let most =
                |lean: f64| (1..=200).map(|i| radius(tall * f64::from(i) / 200.0, lean)).fold(0.0, f64::max);
            let lean = second.angle.to_deg();
            assert!(most(lean) <= bore / 2.0 + 1e-9, "{bore} {front}: {}", most(lean));
            assert!(most(lean - 1.0) > bore / 2.0);
        }
        assert_eq!(second_relief(Length::mm(17.0), Angle::deg(12.0), Length::ZERO, Length::mm(3.0)), None);
    }

    /// A P/8 flat between 60° flanks rounds off at 0.108 P; a Whitworth root (P/6 wide where the apex is cut by
    /// H/6) at 0.1373 P (BS 84).
    #[test]
    fn rounds_off_at_the_standards_radii() {
        let r = full_radius(Length::mm(1.0 / 8.0), Angle::deg(30.0));
        assert!((r.to_mm() - 0.10825).abs() < 1e-4);
        let r = full_radius(Length::mm(1.0 / 6.0), Angle::deg(27.5));
        assert!((r.to_mm() - 0.13733).abs() < 1e-4);
    }
}
