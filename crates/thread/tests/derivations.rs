//! Recalled proportions against geometry: where no printed table of a family was found, what is recalled of its standard
//! must at least follow from its angles, and two recalled figures from each other. `docs/VALIDATION.md` names these
//! proofs (`fixtures/other-proof.csv`).

use flankwise_thread::limits::{Element, ElementLimits, ExtraKind, limits};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Angle, Family, Length, Thread, Unit};

fn basic(family: Family) -> Basic {
    family.form().basic(Length::mm(40.0), Length::mm(1.0))
}

/// Equal to the last of so many recalled decimals.
fn recalled(ours: f64, figure: f64, decimals: i32, what: &str) {
    assert!(
        (ours - figure).abs() <= 0.5 * 10.0_f64.powi(-decimals) + 1e-12,
        "{what}: {ours}, recalled {figure}"
    );
}

/// Radius of the arc that touches both flanks and a line square to them, at the bottom of a groove or the top of a ridge
/// that is so wide there: the corner at either flank takes R tan((90° − α) / 2).
fn between_flanks(width: f64, flanks: [Angle; 2]) -> f64 {
    let corner = |flank: Angle| ((90.0 - flank.to_deg()) / 2.0).to_radians().tan();
    width / (corner(flanks[0]) + corner(flanks[1]))
}

/// Width of a groove or ridge so far on radius from the pitch line, in pitches.
fn width(from_pitch_line: f64, flanks: [Angle; 2]) -> f64 {
    0.5 - from_pitch_line * (flanks[0].tan() + flanks[1].tan())
}

/// DIN 513-1 is recalled with a depth of 0.867767 P and a root radius of 0.124271 P; one follows from the other. The
/// height of the triangle is 1.587911 P.
#[test]
fn buttress_root_is_a_full_radius() {
    let flanks = [Angle::deg(3.0), Angle::deg(30.0)];
    let basic = basic(Family::MetricButtress);
    recalled(1.0 / (flanks[0].tan() + flanks[1].tan()), 1.587911, 6, "H");
    recalled((basic.d - basic.d3).to_mm() / 2.0, 0.867767, 6, "h3");
    recalled(between_flanks(width(0.867767 - 0.375, flanks), flanks), 0.124271, 6, "R from h3");
    recalled(basic.root_radius.to_mm(), 0.124271, 6, "R");
    // The crest: 0.263841 P wide.
    recalled(width(0.375, flanks), 0.263841, 6, "w");
    recalled(basic.crest_width.to_mm(), 0.263841, 6, "w");
}

/// DIN 405 is recalled with the radii 0.23851 P, 0.25597 P and 0.22105 P: full radii of the screw, and of the nut's crest
/// and root.
#[test]
fn knuckle_radii_are_full_radii() {
    let flanks = [Angle::deg(15.0); 2];
    let basic = basic(Family::Knuckle);
    for (from_pitch_line, figure, ours, what) in [
        (0.25, 0.23851, basic.crest_radius, "R1, screw's crest"),
        (0.25, 0.23851, basic.root_radius, "R1, screw's root"),
        (0.20, 0.25597, basic.crest_radius_internal, "R2, nut's crest"),
        (0.30, 0.22105, basic.root_radius_internal, "R3, nut's root"),
    ] {
        recalled(between_flanks(width(from_pitch_line, flanks), flanks), figure, 5, what);
        recalled(ours.to_mm(), figure, 5, what);
    }
}

/// ISO 5855 and ASME B1.15 are recalled with a largest root radius of 0.18042 P, which is 5/24 of the triangle's height;
/// an arc so large that touches both flanks leaves the recalled 1.15470 P between major and minor diameter, and the nut's
/// 0.97428 P is 9/8 of that height.
#[test]
fn j_forms_follow_from_the_triangle() {
    let h = 3.0_f64.sqrt() / 2.0;
    recalled(5.0 / 24.0 * h, 0.18042, 5, "largest root radius");
    // The arc's bottom lies R (1 / sin 30° − 1) above the triangle's apex.
    recalled(2.0 * (h - h / 8.0 - 5.0 / 24.0 * h), 1.15470, 5, "d - d3");
    recalled(9.0 / 8.0 * h, 0.97428, 5, "D - D1");
    for family in [Family::MetricMj, Family::UnifiedJ] {
        let basic = basic(family);
        recalled((basic.d - basic.d3).to_mm(), 1.15470, 5, "d - d3");
        recalled((basic.d - basic.d1_internal).to_mm(), 0.97428, 5, "D - D1");
    }
}

fn in_class(thread: &Thread, element: Element, class: &str) -> ElementLimits {
    let class = Some(class.to_owned());
    let named = match element {
        Element::External => Thread { external_class: class, ..thread.clone() },
        Element::Internal => Thread { internal_class: class, ..thread.clone() },
    };
    let limits = limits(&named).unwrap_or_else(|e| panic!("{e}"));
    if element == Element::External { limits.external } else { limits.internal }
        .expect("the element asked for")
}

/// MJ and UNJ take the pitch and major diameters' tolerances of M and UN, whose printed tables are held here: their limits
/// are those of M and UN in every listed size.
#[test]
fn j_forms_have_the_limits_of_their_elders() {
    let mut compared = 0;
    for (young, elder, screw, nut) in [
        (Family::MetricMj, Family::MetricIso, "4h6h", "4H5H"),
        (Family::UnifiedJ, Family::Unified, "3A", "3B"),
    ] {
        for row in young.form().series() {
            let of = |family| Thread::new(family, row.nominal, row.nominal_written, row.pitch);
            // Special lengths of engagement give special series tolerances of their own.
            if elder.listed(row.nominal, row.pitch.length).is_none() {
                continue;
            }
            let of_elder = |element, class| in_class(&of(elder), element, class);
            let (ours, theirs) =
                (in_class(&of(young), Element::External, screw), of_elder(Element::External, screw));
            assert_eq!(
                (ours.pitch.max, ours.pitch.min),
                (theirs.pitch.max, theirs.pitch.min),
                "{}",
                of(young)
            );
            assert_eq!(
                (ours.major.max, ours.major.min),
                (theirs.major.max, theirs.major.min),
                "{}",
                of(young)
            );
            let (ours, theirs) =
                (in_class(&of(young), Element::Internal, nut), of_elder(Element::Internal, nut));
            assert_eq!(
                (ours.pitch.max, ours.pitch.min),
                (theirs.pitch.max, theirs.pitch.min),
                "{}",
                of(young)
            );
            compared += 1;
        }
    }
    assert!(compared > 100, "{compared}");
}

/// BS 811 is recalled with a radius of P/6 and a depth of 0.5327 P at 60°, DIN 40430 with 0.107 P and 0.4767 P at 80°: the
/// depth follows from the radius.
#[test]
fn rounded_forms_have_the_depth_of_their_radius() {
    // Decimals: of the depth that follows, since 0.107 is known to half a thousandth only; and of ours, since DIN 40430
    // takes the depth of each size to 0.01 mm.
    for (family, flank, radius, depth, follows, ours) in
        [(Family::Cycle, 30.0_f64, 1.0 / 6.0, 0.5327, 4, 4), (Family::ConduitPg, 40.0, 0.107, 0.4767, 3, 2)]
    {
        let flank = flank.to_radians();
        let cut = radius * (1.0 / flank.sin() - 1.0);
        recalled(0.5 / flank.tan() - 2.0 * cut, depth, follows, "depth from radius");
        let basic = basic(family);
        recalled((basic.d - basic.d3).to_mm() / 2.0, depth, ours, family.form().name());
        recalled(basic.root_radius.to_mm(), radius, 2, family.form().name());
    }
}

/// The 29° worm is recalled with a depth of 0.6866 P and flats of 0.335 P and 0.310 P: with the flanks they make up one
/// pitch, and ridge and groove are equal 1/π P below the crest.
#[test]
fn worm_proportions_make_up_a_pitch() {
    let tan = 14.5_f64.to_radians().tan();
    recalled(0.335 + 0.310 + 2.0 * 0.6866 * tan, 1.0, 3, "pitch");
    recalled(0.335 + 2.0 * tan / std::f64::consts::PI, 0.5, 3, "ridge at the pitch line");
}

/// Square threads: ridge, space and depth each half the pitch, which is all that the shop's rule says.
#[test]
fn square_is_half_the_pitch_all_over() {
    let thread: Thread = "1-4 square".parse().expect("a designation");
    let (basic, p) = (thread.basic(), thread.pitch.length);
    assert_eq!(thread.nominal_written, Unit::Inch);
    assert!(((basic.d - basic.d3) / p - 1.0).abs() < 1e-12);
    assert!((basic.crest_width / p - 0.5).abs() < 1e-9 && (basic.root_width / p - 0.5).abs() < 1e-9);
    let limits = limits(&thread).expect("limits");
    assert!(limits.extras.iter().all(|extra| extra.what != ExtraKind::AxialPlay));
}
