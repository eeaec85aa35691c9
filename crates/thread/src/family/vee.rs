//! Symmetric V forms: what is cut off the sharp triangle settles every size.

use crate::profile::Basic;
use crate::{Angle, Length};

/// How crests and roots end.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Ends {
    /// Flat.
    Flat,
    /// Rounded with the arc that touches both flanks and leaves just what is cut off.
    Round,
}

/// Height of the sharp triangle, H = P / (2 tan α), of flanks at `flank` to the plane square to the axis.
pub(super) fn triangle(flank: Angle, p: Length) -> Length {
    p / (2.0 * flank.tan())
}

/// Radius of the arc that touches both flanks and whose top lies `cut` below the apex: cut · sin α / (1 − sin α).
pub(super) fn radius(flank: Angle, cut: Length) -> Length {
    cut * (flank.sin() / (1.0 - flank.sin()))
}

/// Basic sizes of a form from which `crest` and `root` (of the screw) are cut off the triangle. Screw and nut have the
/// same form, so that the nut's root is the screw's crest.
pub(super) fn basic(flank: Angle, d: Length, p: Length, crest: Length, root: Length, ends: Ends) -> Basic {
    let h = triangle(flank, p);
    let minor = d - (h - crest - root) * 2.0;
    let width = |cut: Length| cut * (2.0 * flank.tan());
    let round = |cut: Length| if ends == Ends::Round { radius(flank, cut) } else { Length::ZERO };
    Basic {
        d,
        p,
        d2: d - (h * 0.5 - crest) * 2.0,
        d1_internal: minor,
        d3: minor,
        d4_internal: d,
        flank_leading: flank,
        flank_trailing: flank,
        crest_width: if ends == Ends::Round { Length::ZERO } else { width(crest) },
        root_width: width(root),
        root_width_internal: width(crest),
        crest_radius: round(crest),
        crest_radius_internal: round(root),
        root_radius: round(root),
        root_radius_internal: round(crest),
    }
}

/// As [`basic`], with equal crest and root that leave a thread of `depth`.
pub(super) fn of_depth(flank: Angle, d: Length, p: Length, depth: Length, ends: Ends) -> Basic {
    let cut = (triangle(flank, p) - depth) * 0.5;
    basic(flank, d, p, cut, cut, ends)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whitworth_and_ba_constants() {
        // Machinery's Handbook, 31st ed., pp. 2087 and 2115; the supplement's 0.2681688 P and 0.1808346 P are those of
        // British Association threads.
        let (d, p) = (Length::mm(10.0), Length::mm(1.0));
        let near = |length: Length, printed: f64| {
            assert!((length.to_mm() - printed).abs() < 1e-6, "{length:?} {printed}")
        };
        let whitworth = Angle::deg(27.5);
        near(triangle(whitworth, p), 0.960491);
        let cut = triangle(whitworth, p) / 6.0;
        let basic = basic(whitworth, d, p, cut, cut, Ends::Round);
        near(basic.d - basic.d2, 0.640327);
        near(basic.d - basic.d3, 2.0 * 0.640327);
        near(basic.root_radius, 0.137329);
        let ba = Angle::deg(23.75);
        let basic = of_depth(ba, d, p, Length::mm(0.6), Ends::Round);
        near(basic.root_radius, 0.180835);
        near(triangle(ba, p), 1.136337);
        near(basic.d - basic.d2, 0.6);
    }

    #[test]
    fn flats_as_wide_as_what_is_cut() {
        // ISO 68-1: H/8 cut off the crest leaves P/8, H/4 off the root P/4.
        let (d, p, flank) = (Length::mm(10.0), Length::mm(1.5), Angle::deg(30.0));
        let h = triangle(flank, p);
        let basic = basic(flank, d, p, h / 8.0, h / 4.0, Ends::Flat);
        assert!((basic.crest_width.to_mm() - p.to_mm() / 8.0).abs() < 1e-12);
        assert!((basic.root_width.to_mm() - p.to_mm() / 4.0).abs() < 1e-12);
        assert!((basic.d2.to_mm() - (10.0 - 0.75 * h.to_mm())).abs() < 1e-12);
        assert!((basic.d3.to_mm() - (10.0 - 1.25 * h.to_mm())).abs() < 1e-12);
    }
}
