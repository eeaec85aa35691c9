//! Wires and balls against published tables (`fixtures/wires.csv`; add rows there) and by properties.

use flankwise_thread::wires::*;
use flankwise_thread::{Angle, Element, Length, Unit};
use proptest::prelude::*;
use std::f64::consts::PI;

fn number(text: &str) -> f64 {
    match text.split_once('/') {
        Some((a, b)) => a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap(),
        None => text.parse().unwrap(),
    }
}

#[test]
fn published_values() {
    let mut rows = 0;
    for line in include_str!("fixtures/wires.csv").lines().filter(|l| !l.starts_with('#')) {
        let cells: Vec<&str> = line.split(',').collect();
        assert_eq!(cells.len(), 10, "{line}");
        let unit = match cells[2] {
            "mm" => Unit::Mm,
            "in" => Unit::Inch,
            other => panic!("unit {other} in {line}"),
        };
        let length = |text: &str| Length::from_unit(number(text), unit);
        let (d, pitch, wire) = (length(cells[1]), length(cells[3]), length(cells[6]));
        let groove = Groove::symmetric(pitch, cells[4].parse().unwrap(), Angle::deg(number(cells[5])));
        let got = match cells[0] {
            "over" => over_wires(&groove, d, wire).unwrap(),
            "simple" => over_wires_simple(&groove, d, wire),
            "term" => over_wires_lead_term(&groove, d, wire),
            "over60us" => over_wires_simple(&groove, d - 0.649_519 * pitch, wire),
            "over60v" => over_wires_simple(&groove, d - 0.866_025 * pitch, wire),
            "plus" => {
                let d2 = groove.lead / (PI * Angle::deg(number(cells[1])).tan());
                over_wires(&groove, d2, wire).unwrap() - d2
            }
            "best" => best_wire(&groove, d * 1e6),
            "least" => wire_range(&groove, d, d + pitch * 0.5).unwrap().0,
            "most" => wire_range(&groove, d, d + pitch * 0.5).unwrap().1,
            "factor" => over_wires_simple(&groove, d, wire) - over_wires_simple(&groove, d, Length::ZERO),
            "pitchterm" => d - over_wires_simple(&groove, d, Length::ZERO),
            "from" => pitch_diameter_from_wires(&groove, d, wire).unwrap(),
            "tanlead" => Length::from_unit(tan_lead(&groove, d, wire), unit),
            "leadangle" => Length::from_unit(Angle::atan(tan_lead(&groove, d, wire)).to_deg(), unit),
            other => panic!("kind {other}"),
        };
        let (expected, tolerance) = (number(cells[7]), number(cells[8]));
        let got = got.in_unit(unit);
        assert!((got - expected).abs() <= tolerance, "{line}\n computed {got}");
        rows += 1;
    }
    assert!(rows > 40);
}

/// The tangent of the lead angle that the lead term reckons with, ½ w tan² B cos A cot A.
fn tan_lead(groove: &Groove, d2: Length, wire: Length) -> f64 {
    let term = over_wires_lead_term(groove, d2, wire) - over_wires_simple(groove, d2, wire);
    let a = groove.flank_leading;
    (term / (wire * (0.5 * a.cos() / a.tan()))).sqrt()
}

/// How far the usual lead term and exact contact are from the constants that Machinery's Handbook 31, p. 2136, prints
/// for large lead angles, 1 in pitch: the term is out by 0.0003 in at 5° and 0.002 in at 12°, the contact by less than
/// a tenth of a thousandth everywhere.
#[test]
fn the_lead_term_fails_where_exact_contact_does_not() {
    let printed = [
        (1, 5.0, 0.51450, 0.64311, 0.0003),
        (2, 10.0, 0.50864, 0.63518, 0.0012),
        (2, 12.0, 0.50535, 0.63095, 0.0021),
    ];
    for (starts, lead_angle, wire, constant, out_by) in printed {
        let groove = Groove::symmetric(Length::inch(1.0), starts, Angle::deg(29.0));
        let d2 = groove.lead / (PI * Angle::deg(lead_angle).tan());
        let wire = Length::inch(wire);
        let exact = (over_wires(&groove, d2, wire).unwrap() - d2).to_inch();
        let term = (over_wires_lead_term(&groove, d2, wire) - d2).to_inch();
        assert!((exact - constant).abs() < 0.0001, "{starts} {lead_angle}: {exact}");
        assert!(((term - constant).abs() - out_by).abs() < 0.0001, "{starts} {lead_angle}: {term}");
    }
}

/// Machinery's Handbook 31, p. 2136 tabulates best wires for large lead angles: ours touch at the pitch diameter.
#[test]
fn best_wires_at_large_lead_angles() {
    for (starts, lead_angle, w) in
        [(1, 5.0, 0.51450), (1, 7.0, 0.51270), (2, 10.0, 0.50864), (2, 12.0, 0.50535)]
    {
        let groove = Groove::symmetric(Length::inch(1.0), starts, Angle::deg(29.0));
        let d2 = groove.lead / (PI * Angle::deg(lead_angle).tan());
        let best = best_wire(&groove, d2);
        assert!((best.to_inch() - w).abs() < 2e-4, "{starts} {lead_angle}: {}", best.to_inch());
        let seat = seat_at(&groove, Element::External, d2, best).unwrap();
        assert!((seat.contact_leading - d2).abs().to_mm() < 1e-9);
    }
}

/// Least distance from a flank of the thread to the axis of a wire through `(centre, 0, 0)` tilted by `psi`, by
/// scanning the surface: knows nothing of the solver's equations.
fn scanned_gap(groove: &Groove, d2: Length, centre: f64, psi: f64, wire: f64) -> f64 {
    let (t, h) = (groove.flank_leading.tan(), groove.lead.to_mm() / (2.0 * PI));
    let (r2, quarter) = (d2.to_mm() / 2.0, groove.pitch.to_mm() / 4.0);
    let gap = |r: f64, theta: f64| {
        let z = quarter + (r - r2) * t + h * theta;
        let (x, y) = (r * theta.cos() - centre, r * theta.sin());
        let along = y * psi.cos() + z * psi.sin();
        (x * x + y * y + z * z - along * along).sqrt()
    };
    let (mut r0, mut th0, mut dr, mut dth) = (r2, 0.0, wire, wire / r2);
    for _ in 0..60 {
        let (mut best, mut at) = (f64::MAX, (r0, th0));
        for i in -6..=6 {
            for j in -6..=6 {
                let (r, th) = (r0 + dr * f64::from(i) / 6.0, th0 + dth * f64::from(j) / 6.0);
                let g = gap(r, th);
                if g < best {
                    (best, at) = (g, (r, th));
                }
            }
        }
        (r0, th0) = at;
        (dr, dth) = (dr * 0.7, dth * 0.7);
    }
    gap(r0, th0)
}

proptest! {
    #[test]
    fn there_and_back(d in 4.0..120.0f64, slim in 0.03..0.25f64, starts in 1u32..5, included in 10.0..70.0f64, fat in 0.9..1.15f64, skew in -3.0..3.0f64) {
        let pitch = Length::mm(d * slim);
        let mut groove = Groove::symmetric(pitch, starts, Angle::deg(included));
        groove.flank_leading += Angle::deg(skew);
        groove.flank_trailing -= Angle::deg(skew);
        let d2 = Length::mm(d);
        let wire = best_wire(&groove, d2) * fat;
        let m = over_wires(&groove, d2, wire).unwrap();
        prop_assert!((pitch_diameter_from_wires(&groove, m, wire).unwrap() - d2).abs().to_mm() < 1e-9);
        let b = between_balls(&groove, d2, wire).unwrap();
        prop_assert!((pitch_diameter_from_balls(&groove, b, wire).unwrap() - d2).abs().to_mm() < 1e-9);
        let bore = d2 - pitch * 0.5;
        let s = ball_to_bore(&groove, d2, wire, bore).unwrap();
        prop_assert!((pitch_diameter_from_ball_to_bore(&groove, s, wire, bore).unwrap() - d2).abs().to_mm() < 1e-9);
        // A larger screw reads more, a larger nut leaves more room.
        let step = Length::mm(0.01);
        prop_assert!(over_wires(&groove, d2 + step, wire).unwrap() > m);
        prop_assert!(between_balls(&groove, d2 + step, wire).unwrap() > b);
    }

    #[test]
    fn without_lead_it_is_the_plain_formula(p in 0.2..12.0f64, d in 10.0..80.0f64, included in 20.0..65.0f64) {
        let mut groove = Groove::symmetric(Length::mm(p), 1, Angle::deg(included));
        groove.lead = Length::mm(1e-7);
        let (d2, wire) = (Length::mm(d), best_wire(&groove, Length::mm(d)));
        let exact = over_wires(&groove, d2, wire).unwrap();
        prop_assert!((exact - over_wires_simple(&groove, d2, wire)).abs().to_mm() < 1e-9);
    }

    #[test]
    fn the_wire_touches_and_does_not_cut_in(d in 8.0..60.0f64, slim in 0.04..0.2f64, starts in 1u32..4, included in 26.0..62.0f64) {
        let groove = Groove::symmetric(Length::mm(d * slim), starts, Angle::deg(included));
        let d2 = Length::mm(d);
        let wire = best_wire(&groove, d2).to_mm();
        let centre = seat_at(&groove, Element::External, d2, Length::mm(wire)).unwrap().centre.to_mm();
        let lead_angle = (groove.lead / (d2 * PI)).atan();
        // The wire swings to the tilt that lets it lie deepest, which is near the lead angle.
        let mut widest = f64::MIN;
        for i in -40..=40 {
            widest = widest.max(scanned_gap(&groove, d2, centre, lead_angle + f64::from(i) * 0.002, wire));
        }
        prop_assert!((widest - wire / 2.0).abs() < 2e-6 * d, "gap {widest} against {}", wire / 2.0);
    }
}

/// A nut's groove seen from inside is the screw's mirrored: with a very large diameter the lead and the curvature
/// vanish, and both directions follow the same triangle.
#[test]
fn balls_in_a_nut_follow_the_triangle() {
    let groove = Groove::symmetric(Length::mm(5.0), 2, Angle::deg(30.0));
    let (d2, ball) = (Length::mm(5000.0), Length::mm(2.6));
    let between = between_balls(&groove, d2, ball).unwrap().to_mm();
    let half = Angle::deg(15.0);
    let plain = d2.to_mm() - 2.6 * (1.0 + 1.0 / half.sin()) + 2.5 / half.tan();
    assert!((between - plain).abs() < 1e-4, "{between} {plain}");
}

/// The groove opposite lies half a pitch along where the starts are odd: Pythagoras between the balls' centres.
#[test]
fn balls_lie_slanted_where_the_starts_are_odd() {
    for starts in 1..=4 {
        let groove = Groove::symmetric(Length::mm(5.0), starts, Angle::deg(30.0));
        let (d2, ball) = (Length::mm(19.5), Length::mm(2.6));
        let short = (between_balls(&groove, d2, ball).unwrap() + ball).to_mm();
        let square = (between_balls_square(&groove, d2, ball).unwrap() + ball).to_mm();
        let along = if starts % 2 == 1 { 2.5 } else { 0.0 };
        assert!((short * short - square * square - along * along).abs() < 1e-9, "{starts}: {short} {square}");
    }
}

#[test]
fn refuses_what_has_no_seat() {
    let square = Groove::symmetric(Length::mm(5.0), 1, Angle::deg(0.0));
    assert_eq!(over_wires(&square, Length::mm(20.0), Length::mm(2.5)), Err(NoContact::UprightFlanks));
    let tr = Groove::symmetric(Length::mm(5.0), 1, Angle::deg(30.0));
    assert_eq!(pitch_diameter_from_wires(&tr, Length::mm(2.0), Length::mm(2.6)), Err(NoContact::Size));
    assert_eq!(over_wires(&tr, Length::mm(20.0), Length::ZERO), Err(NoContact::Size));
}
