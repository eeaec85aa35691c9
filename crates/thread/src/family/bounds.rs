//! Limits of families without tolerances: the basic sizes, on the side where they bind.

use crate::limits::{self, Element, ElementLimits, Range, Rounding};
use crate::profile::Basic;
use crate::{Length, Source};

/// The origins of three diameters.
#[derive(Clone, Copy)]
pub(crate) struct Origins {
    pub(crate) major: Source,
    pub(crate) pitch: Source,
    pub(crate) minor: Source,
}

impl Origins {
    /// All from one document.
    pub(crate) const fn all(source: Source) -> Self {
        Self { major: source, pitch: source, minor: source }
    }
}

/// A screw no larger, a nut no smaller than basic; `round` makes a size the one that is printed.
pub(crate) fn bounds(
    basic: &Basic,
    element: Element,
    origins: &Origins,
    rounding: Rounding,
    round: impl Fn(Length) -> Length,
) -> ElementLimits {
    let bound = |size: Length, source| {
        let range = match element {
            Element::External => Range::at_most(round(size), source),
            Element::Internal => Range::at_least(round(size), source),
        };
        range.rounded(rounding)
    };
    let (major, minor) = match element {
        Element::External => (basic.d, basic.d3),
        Element::Internal => (basic.d4_internal, basic.d1_internal),
    };
    ElementLimits {
        element,
        class: limits::BASIC.to_owned(),
        major: bound(major, origins.major),
        pitch: bound(basic.d2, origins.pitch),
        minor: bound(minor, origins.minor),
    }
}
