//! Outlines, interference and sections, each beside a plain peer in the same run that samples where the library solves.
//!
//! The peers give less: their error is that of their samples, told at each.

use divan::{Bencher, black_box};
use flankwise_thread::helicoid::{Face, Helicoid, Plane};
use flankwise_thread::profile::{Outline, Point, mating};
use flankwise_thread::{Angle, Element, Length, Thread};

fn main() {
    divan::main();
}

fn thread(designation: &str) -> Thread {
    designation.parse().unwrap_or_else(|e| panic!("{e}"))
}

const FORMS: [&str; 3] = ["Tr 22x5", "1/2-12 BSW", "M20x2.5"];

#[divan::bench(args = FORMS)]
fn outline(bencher: Bencher, designation: &str) {
    let basic = thread(designation).basic();
    bencher.bench(|| black_box(&basic).outline(Element::External));
}

/// A trapezoid without fillets, sampled at a thousand places.
#[divan::bench]
fn outline_peer_sampled(bencher: Bencher) {
    let basic = thread("Tr 22x5").basic();
    bencher.bench(|| {
        let basic = black_box(&basic);
        let (p, tan) = (basic.p.to_mm(), basic.flank_leading.tan());
        let (root, crest) = (basic.d3.to_mm() / 2.0, basic.d.to_mm() / 2.0);
        let half = basic.root_width.to_mm() / 2.0;
        (0..1000)
            .map(|i| {
                let z = p * f64::from(i) / 1000.0;
                Point { z, r: (root + (z.min(p - z) - half).max(0.0) / tan).min(crest) }
            })
            .collect::<Vec<_>>()
    });
}

fn pair(designation: &str) -> (Outline, Outline) {
    let thread = thread(designation);
    let screw = thread.outline(Element::External).moved(thread.pitch.length.to_mm() / 2.0);
    (screw, thread.outline(Element::Internal))
}

#[divan::bench(args = FORMS)]
fn gap_of_a_pair(bencher: Bencher, designation: &str) {
    let (screw, nut) = pair(designation);
    bencher.bench(|| mating::gap(black_box(&screw), black_box(&nut)));
}

/// The same gap on two chains of points (arcs to 0.1 µm), each searched at a thousand places by halving.
#[divan::bench(args = FORMS)]
fn gap_of_a_pair_peer_sampled(bencher: Bencher, designation: &str) {
    let (screw, nut) = pair(designation);
    let p = screw.end().z - screw.start.z;
    let (screw, nut) = (screw.points(1e-4), nut.points(1e-4));
    let radius = |points: &[Point], z: f64| {
        let (start, end) = (points[0].z, points[points.len() - 1].z);
        let z = start + (z - start).rem_euclid(end - start);
        let after = points.partition_point(|q| q.z < z).clamp(1, points.len() - 1);
        let (a, b) = (points[after - 1], points[after]);
        a.r + (b.r - a.r) * (z - a.z) / (b.z - a.z)
    };
    bencher.bench(|| {
        let (screw, nut) = (black_box(&screw), black_box(&nut));
        let places = (0..1000).map(|i| p * (f64::from(i) + 0.5) / 1000.0);
        places.map(|z| radius(nut, z) - radius(screw, z)).fold(f64::INFINITY, f64::min)
    });
}

fn cut(designation: &str) -> (Helicoid, Plane) {
    let thread = thread(designation);
    let whole = Helicoid::of(&thread, Element::Internal);
    let helicoid = whole.with_outline(whole.outline().groove());
    let basic = thread.basic();
    let face = Face {
        height: Length::mm(0.3),
        rake: Angle::deg(8.0),
        cant: helicoid.lead_angle(basic.d2),
        ..Face::radial(Element::Internal, basic.d4_internal)
    };
    let plane = face.plane().unwrap_or_else(|| panic!("the tip reaches its diameter"));
    (helicoid, plane)
}

/// One groove in a face with rake, off centre and canted, to 0.1 µm.
#[divan::bench(args = FORMS)]
fn section_by_a_face(bencher: Bencher, designation: &str) {
    let (helicoid, plane) = cut(designation);
    bencher.bench(|| black_box(&helicoid).section(plane).points(1e-4));
}

/// The same curve by sweeping a chain of points (arcs to 0.1 µm, flanks in 32) in steps of 2 mrad and joining where
/// they pass through the plane: about 0.1 µm on this thread.
#[divan::bench(args = FORMS)]
fn section_by_a_face_peer_swept(bencher: Bencher, designation: &str) {
    let (helicoid, plane) = cut(designation);
    let mut chain = helicoid.outline().points(1e-4);
    chain = chain
        .windows(2)
        .flat_map(|w| {
            (0..32).map(move |i| {
                let share = f64::from(i) / 32.0;
                Point { z: w[0].z + (w[1].z - w[0].z) * share, r: w[0].r + (w[1].r - w[0].r) * share }
            })
        })
        .collect();
    let (square, origin) = (plane.square(), plane.origin());
    bencher.bench(|| {
        let over = |q: Point, turn: f64| {
            let at = black_box(&helicoid).carried(q, Angle::rad(turn));
            ((at - origin).dot(square), at)
        };
        let crossing = |q: &Point| {
            let mut last = over(*q, -0.5);
            for step in 1..=500 {
                let next = over(*q, -0.5 + 0.002 * f64::from(step));
                if (last.0 < 0.0) != (next.0 < 0.0) {
                    let share = last.0 / (last.0 - next.0);
                    return Some(plane.coordinates(last.1 + (next.1 - last.1).scaled(share)));
                }
                last = next;
            }
            None
        };
        chain.iter().filter_map(crossing).collect::<Vec<_>>()
    });
}
