//! The profile to grind against a sweep that shares no code with it: the ground edge is carried through the turning work
//! point by point, and what it cuts is laid beside the groove that was wanted.

mod cut_support;

use cut_support::{demo, fit};
use flankwise_bench::fit::Fit;
use flankwise_bench::report::NoteKind;
use flankwise_bench::tool::{self, Tool};
use flankwise_thread::{Angle, Element, Hand, Length};
use proptest::prelude::*;
use std::f64::consts::TAU;

type V = [f64; 3];

/// Turned by `angle` about an axis of unit length (Rodrigues).
fn turned(v: V, axis: V, angle: f64) -> V {
    let (sin, cos) = angle.sin_cos();
    let dot = v[0] * axis[0] + v[1] * axis[1] + v[2] * axis[2];
    let cross =
        [axis[1] * v[2] - axis[2] * v[1], axis[2] * v[0] - axis[0] * v[2], axis[0] * v[1] - axis[1] * v[0]];
    [0, 1, 2].map(|i| v[i] * cos + cross[i] * sin + axis[i] * dot * (1.0 - cos))
}

/// How the tool of a job stands.
#[derive(Clone, Copy, Debug, Default)]
struct Stance {
    rake: f64,
    height: f64,
    cant: f64,
    tilt: f64,
}

/// The edge in the machine's frame (z to the chuck, x to the person, y up): a flat face turned about the radius by the
/// cant, about its tip line by the rake, and in itself by the tilt.
fn edge(tool: &Tool, fit: &Fit, stance: Stance) -> Vec<V> {
    let inside = fit.part == Element::Internal;
    let right = fit.thread.hand == Hand::Right;
    let (r, h) = (fit.bottom.aim.to_mm() / 2.0, stance.height);
    let tip = [(r * r - h * h).sqrt(), h, 0.0];
    // Along the tip line to the chuck, and out from the axis.
    let (mut along, mut out) = ([0.0, 0.0, 1.0], [1.0, 0.0, 0.0]);
    let cant = stance.cant.to_radians() * if right { 1.0 } else { -1.0 };
    // A helix that climbs to the chuck as it goes up: the face is square to it when its tip line leans the other way.
    along = turned(along, [1.0, 0.0, 0.0], cant);
    // Positive rake: the face falls away behind the tip, which is outwards for a screw and inwards for a nut.
    let fall = stance.rake.to_radians() * if inside { 1.0 } else { -1.0 };
    let up = turned([0.0, 1.0, 0.0], [1.0, 0.0, 0.0], cant);
    out = [0, 1, 2].map(|i| out[i] * fall.cos() + up[i] * fall.sin());
    // The tip to the tailstock: of a screw's tool the outer end goes to the chuck.
    let tilt = stance.tilt.to_radians() * if inside { -1.0 } else { 1.0 };
    let (a, o) = (along, out);
    along = [0, 1, 2].map(|i| a[i] * tilt.cos() - o[i] * tilt.sin());
    out = [0, 1, 2].map(|i| o[i] * tilt.cos() + a[i] * tilt.sin());
    let points = &tool.ground.points;
    let at = |(s, t): (f64, f64)| [0, 1, 2].map(|i| tip[i] + along[i] * s + out[i] * t);
    // Points close enough on the edge that a chord between two of them is the edge.
    let mut found = Vec::new();
    for w in points.windows(2) {
        let (a, b) = ((w[0].0.to_mm(), w[0].1.to_mm()), (w[1].0.to_mm(), w[1].1.to_mm()));
        let n = 1 + ((b.0 - a.0).hypot(b.1 - a.1) / 0.002) as usize;
        found.extend((0..n).map(|i| {
            let share = i as f64 / n as f64;
            at((a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share))
        }));
    }
    found.extend(points.last().map(|p| at((p.0.to_mm(), p.1.to_mm()))));
    found
}

/// Where the path of a point of the edge over the turning work crosses a half plane fixed in the work: (z, r). The work
/// is turned in small steps, and the tool fed by lead × turn to the leading side.
fn crossing(point: V, lead_per_radian: f64) -> (f64, f64) {
    let seen = |turn: f64| {
        // In the work's frame the tool goes round the other way.
        let p = turned(point, [0.0, 0.0, 1.0], -turn);
        [p[0], p[1], p[2] - lead_per_radian * turn]
    };
    // March until the point passes from below the half plane y = 0 to above it, then close in by halving the step.
    let (mut turn, mut step): (f64, f64) = (point[1].atan2(point[0]) + 0.3, -0.05);
    while step.abs() > 1e-13 {
        let (here, next) = (seen(turn)[1], seen(turn + step)[1]);
        if here.signum() == next.signum() {
            turn += step;
        } else {
            step /= 2.0;
        }
    }
    let p = seen(turn);
    (p[2], p[0])
}

/// Farthest that the groove cut by the ground edge lies from the groove wanted, mm: from each cut point straight to the
/// wanted flank or bottom.
fn error(fit: &Fit, tool: &Tool, stance: Stance) -> f64 {
    let basic = fit.thread.basic();
    let sign = if fit.thread.hand == Hand::Right { 1.0 } else { -1.0 };
    let per_radian = sign * fit.thread.lead().to_mm() / TAU;
    let cut: Vec<(f64, f64)> = edge(tool, fit, stance).into_iter().map(|p| crossing(p, per_radian)).collect();
    let (bottom, surface) = (fit.bottom.aim.to_mm() / 2.0, fit.blank.aim.to_mm() / 2.0);
    let up = |r: f64| (r - bottom).abs();
    let width = tool.tip_width.aim.to_mm();
    // The tool may be set anywhere along the axis: the middle of what it cut at the bottom is the middle wanted.
    let at_bottom: Vec<f64> = cut.iter().filter(|(_, r)| up(*r) < 1e-7).map(|(z, _)| *z).collect();
    let most = at_bottom.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least = at_bottom.iter().copied().fold(f64::INFINITY, f64::min);
    let middle = 0.5 * (most + least);
    // The wall to the chuck is the thread's leading flank for either hand.
    let off = |&(z, r): &(f64, f64)| {
        let z = z - middle;
        let flank = if z > 0.0 { basic.flank_leading } else { basic.flank_trailing };
        let to_flank = (z.abs() - width / 2.0 - up(r) * flank.tan()) * flank.cos();
        to_flank.abs().min(up(r) + (z.abs() - width / 2.0).max(0.0))
    };
    // The edge reaches from surface to surface.
    let ends = [cut[0].1, cut[cut.len() - 1].1];
    assert!(ends.iter().all(|r| (r - surface).abs() < 5e-4), "{ends:?} {surface}");
    assert!((most - least - width).abs() < 5e-4, "{} {width}", most - least);
    cut.iter().map(off).fold(0.0, f64::max)
}

fn worked(fit: &Fit, stance: Stance) -> Option<Tool> {
    let mut job = demo();
    job.grind.rake = Some(Angle::deg(stance.rake));
    job.grind.height = Some(Length::mm(stance.height));
    job.grind.cant = Some(Angle::deg(stance.cant));
    job.grind.tilt = Some(Angle::deg(stance.tilt));
    let outcome = tool::work(fit, &job);
    let missed = outcome.notes.iter().any(|n| {
        ["grind.height", "grind.rake", "grind.cant"].contains(&n.field.as_str())
            && n.kind == NoteKind::Impossible
    });
    outcome.result.filter(|_| !missed)
}

/// Half a micrometre: what the sweep and the chords of the profile may differ by.
const WITHIN: f64 = 0.5e-3;

#[test]
fn the_ground_edge_cuts_the_wanted_groove() {
    let stances = [
        Stance::default(),
        Stance { rake: 8.0, ..Stance::default() },
        Stance { height: 0.6, ..Stance::default() },
        Stance { cant: 5.0, ..Stance::default() },
        Stance { tilt: 2.0, ..Stance::default() },
        Stance { rake: -6.0, height: -0.4, cant: 4.0, tilt: -1.5 },
    ];
    let mut worst: f64 = 0.0;
    for designation in
        ["Tr 22x5", "Tr 22x5 LH", "Tr 40x14 P7", "Tr 40x14 P7 LH", "S 48x8", "S 48x8 LH", "M20x2.5"]
    {
        for part in [Element::Internal, Element::External] {
            let fit = fit(designation, part, 30.0);
            for stance in stances {
                let tool = worked(&fit, stance).unwrap_or_else(|| panic!("{designation} {stance:?}"));
                let error = error(&fit, &tool, stance);
                assert!(error < WITHIN, "{designation} {part:?} {stance:?}: {error}");
                worst = worst.max(error);
            }
        }
    }
    println!("worst {:.3} µm", worst * 1e3);
}

/// A plain tool's cut, by the same sweep: the error that the stage names is the one that is found.
#[test]
fn a_plain_profile_errs_as_said() {
    for (part, stance) in [
        (Element::Internal, Stance { rake: 10.0, ..Stance::default() }),
        (Element::External, Stance { rake: 10.0, height: 1.0, ..Stance::default() }),
        (Element::Internal, Stance { cant: 5.3, ..Stance::default() }),
    ] {
        let fit = fit("Tr 22x5", part, 30.0);
        let mut tool = worked(&fit, stance).expect("a tool");
        let said = tool.plain;
        // The edge of a plain tool's flank to the chuck: straight at 15° from the corner, drawn on well past the surface.
        let (half, up) = (tool.tip_width.aim.to_mm() / 2.0, 2.0 * fit.depth.to_mm());
        let back = if part == Element::Internal { -1.0 } else { 1.0 };
        let at = |s: f64, t: f64| (Length::mm(s), Length::mm(t));
        tool.ground.points = vec![at(half, 0.0), at(half + up * Angle::deg(15.0).tan(), back * up)];
        let per_radian = fit.thread.lead().to_mm() / TAU;
        let (bottom, depth) = (fit.bottom.aim.to_mm() / 2.0, fit.depth.to_mm());
        let wall: Vec<(f64, f64)> = edge(&tool, &fit, stance)
            .into_iter()
            .map(|p| crossing(p, per_radian))
            .map(|(z, r)| (z, (r - bottom) * back))
            .take_while(|(_, up)| *up < depth)
            .collect();
        let (first, last) = (wall[0], wall[wall.len() - 1]);
        let angle = ((last.0 - first.0) / (last.1 - first.1)).atan().to_degrees();
        assert!(
            (angle - said.chuck.to_deg()).abs() < 0.02,
            "{part:?} {stance:?}: {angle} {:?}",
            said.chuck.to_deg()
        );
    }
}

/// Height, rake and cant alone agree with the handbooks' first-order formulas as far as those go.
#[test]
fn first_order_formulas_are_near() {
    let fit = fit("Tr 22x5", Element::External, 30.0);
    for (stance, expected) in [
        // tan A_t = tan A cos γ; cos δ with sin δ = 2 h / d2; cos λ.
        (Stance { rake: 10.0, ..Stance::default() }, 10.0_f64.to_radians().cos()),
        (Stance { height: 1.0, ..Stance::default() }, (2.0_f64 / 19.5).asin().cos()),
        (Stance { cant: 4.6, ..Stance::default() }, 4.6_f64.to_radians().cos()),
    ] {
        let tool = worked(&fit, stance).expect("a tool");
        let first = 2.0 * (Angle::deg(15.0).tan() * expected).atan().to_degrees();
        let found = tool.ground.included().to_deg();
        assert!((found - first).abs() < 0.25, "{stance:?}: {found} {first}");
    }
}

/// The wall beside a relieved flank, by trying: points of the tool's side below its edge stay out of the metal at the
/// relief given, and one and a half degrees less lets some into it.
#[test]
fn reliefs_just_clear_the_walls() {
    for designation in ["Tr 22x5", "Tr 22x5 LH", "Tr 40x14 P7", "M20x2.5"] {
        for part in [Element::Internal, Element::External] {
            let fit = fit(designation, part, 30.0);
            let mut job = demo();
            job.grind.clearance = Some(Angle::ZERO);
            let tool = tool::work(&fit, &job).result.expect("a tool");
            let sign = if fit.thread.hand == Hand::Right { 1.0 } else { -1.0 };
            let per_radian = sign * fit.thread.lead().to_mm() / TAU;
            let inside = part == Element::Internal;
            let (bottom, half) = (fit.bottom.aim.to_mm() / 2.0, tool.tip_width.aim.to_mm() / 2.0);
            let depth = fit.depth.to_mm();
            let tan = fit.thread.basic().flank_leading.tan();
            // With a second relief the tip goes down to the underside of its bar, and rubs nowhere on that way.
            let tall = tool.shank.size.to_mm() / 2.0;
            let below = match tool.second_relief {
                Some(_) => tall,
                None if inside => tool.heel.to_mm().min(tall),
                None => 5.0,
            };
            let fallen_back = |down: f64| {
                let from = tool.second_relief.map_or(f64::INFINITY, |s| s.from.to_mm());
                let lean = tool.second_relief.map_or(0.0, |s| s.angle.tan());
                down.min(from) * tool.front_clearance.tan() + (down - from).max(0.0) * lean
            };
            let touches = |side: f64, relief: f64| {
                (0..=20).any(|i| {
                    let up = depth * f64::from(i) / 20.0;
                    let x = if inside { bottom - up } else { bottom + up };
                    (1..=40).any(|j| {
                        let down = below * f64::from(j) / 40.0;
                        // The front's reliefs have taken this place away.
                        if fallen_back(down) > up {
                            return false;
                        }
                        let z = side * (half + up * tan - down * relief.to_radians().tan());
                        // The wall there, found by turning the work back until the point lies in the tool's plane.
                        let (turn, r) = ((-down).atan2(x), x.hypot(down));
                        let wall = side * (half + (r - bottom).abs() * tan) + per_radian * turn;
                        side * (z - wall) > 1e-9
                    })
                })
            };
            for (side, relief) in [(1.0, tool.reliefs.chuck), (-1.0, tool.reliefs.tailstock)] {
                let relief = relief.to_deg();
                assert!(!touches(side, relief), "{designation} {part:?} side {side}: {relief} rubs");
                // Where one degree is the least that is ground, less may do as well.
                assert!(
                    relief < 1.0 + 1e-9 || touches(side, relief - 1.5),
                    "{designation} {part:?} side {side}: {relief}"
                );
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_stance_that_reaches_cuts_the_wanted_groove(
        pitch in 2u32..8, starts in 1u32..4, left in any::<bool>(), inside in any::<bool>(),
        rake in -12.0..12.0f64, height in -0.8..0.8f64, cant in -6.0..6.0f64, tilt in -3.0..3.0f64,
    ) {
        let hand = if left { " LH" } else { "" };
        let part = if inside { Element::Internal } else { Element::External };
        let lead = if starts > 1 { format!("{} P{pitch}", pitch * starts) } else { pitch.to_string() };
        let fit = fit(&format!("Tr {}x{lead}{hand}", 20 + 6 * pitch), part, 30.0);
        let stance = Stance { rake, height, cant, tilt };
        if let Some(tool) = worked(&fit, stance) {
            let error = error(&fit, &tool, stance);
            prop_assert!(error < WITHIN, "{} mm", error);
        }
    }
}
