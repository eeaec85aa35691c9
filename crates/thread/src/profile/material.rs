//! Outlines at the limits: with the most metal that a class leaves on a part, and with the least.

use super::{Basic, Outline, Sizes};
use crate::limits::{self, Element, ElementLimits, ExtraKind, Limits, LimitsError, Range};
use crate::{Length, Thread};

/// An element drawn at one end of its limits.
#[derive(Clone, Debug, PartialEq)]
pub struct AtLimit {
    /// The sizes it has there.
    pub sizes: Sizes,
    /// Its outline at them.
    pub outline: Outline,
}

/// The elements that [`limits::limits`] answers for.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// The external thread.
    pub external: Option<AtLimit>,
    /// The internal thread.
    pub internal: Option<AtLimit>,
}

/// Outlines of `thread` at maximum material: largest diameters, largest root radius and sharpest crest of the screw,
/// smallest diameters with largest root radius and sharpest crest of the nut.
///
/// A side that the limits leave open is the design profile's ([`Basic`]), or the limit on the other side where the
/// design profile is not even that.
///
/// # Errors
/// Where a class is not one of the family's.
pub fn maximum(thread: &Thread) -> Result<Pair, LimitsError> {
    Ok(pair(thread, &limits::limits(thread)?, Material::Most))
}

/// Outlines of `thread` at minimum material: the other end of each range of [`maximum`].
///
/// # Errors
/// Where a class is not one of the family's.
pub fn minimum(thread: &Thread) -> Result<Pair, LimitsError> {
    Ok(pair(thread, &limits::limits(thread)?, Material::Least))
}

#[derive(Clone, Copy, PartialEq)]
enum Material {
    Most,
    Least,
}

fn pair(thread: &Thread, limits: &Limits, material: Material) -> Pair {
    let basic = thread.basic();
    let drawn = |of: &Option<ElementLimits>| {
        of.as_ref().map(|of| {
            let sizes = sizes(&basic, of, limits, material);
            AtLimit { sizes, outline: thread.family.form().outline_at(thread, of.element, &sizes) }
        })
    };
    Pair { external: drawn(&limits.external), internal: drawn(&limits.internal) }
}

fn sizes(basic: &Basic, of: &ElementLimits, limits: &Limits, material: Material) -> Sizes {
    let (major, minor) = match of.element {
        Element::External => (basic.d, basic.d3),
        Element::Internal => (basic.d4_internal, basic.d1_internal),
    };
    // Metal on a screw is size; on a nut it is what the size lacks.
    let largest = (of.element == Element::External) == (material == Material::Most);
    let side = |range: &Range, design: Length| match (largest, range.max, range.min) {
        (true, Some(max), _) => max,
        (false, _, Some(min)) => min,
        (true, None, min) => design.max(min.unwrap_or(design)),
        (false, max, None) => design.min(max.unwrap_or(design)),
    };
    // A radius that has only a largest value may be a sharp corner. Metal at the root is radius, at the crest the lack
    // of it.
    let radius = |what: ExtraKind, large: bool| {
        let extra =
            limits.extras.iter().find(|extra| extra.what == what && extra.element == Some(of.element))?;
        match (large, extra.range.max, extra.range.min) {
            (true, max, _) => max,
            (false, Some(_), None) => Some(Length::ZERO),
            (false, _, min) => min,
        }
    };
    Sizes {
        major: side(&of.major, major),
        pitch: side(&of.pitch, basic.d2),
        minor: side(&of.minor, minor),
        root_radius: radius(ExtraKind::RootRadius, material == Material::Most),
        crest_radius: radius(ExtraKind::CrestRadius, material == Material::Least),
    }
}
