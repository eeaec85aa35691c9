//! The helicoid and its sections: against closed forms, against a sweep that shares no code with them, and against the
//! contact of a ball.

mod threads;

use flankwise_thread::helicoid::{Face, Helicoid, Plane, Section, SectionPoint, Vector};
use flankwise_thread::profile::{Basic, Outline, Place, Point, Segment};
use flankwise_thread::wires::{Groove, seat_at};
use flankwise_thread::{Angle, Element, Hand, Length, Thread};
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};
use threads::any_thread;

fn thread(designation: &str) -> Thread {
    designation.parse().unwrap_or_else(|e| panic!("{e}"))
}

/// The groove of an element as a helicoid, crest to crest.
fn groove(thread: &Thread, element: Element) -> Helicoid {
    let whole = Helicoid::of(thread, element);
    whole.with_outline(whole.outline().groove())
}

/// A straight flank through (0, `r`) at this angle to the plane square to the axis, up to `reach` to either side.
fn flank(r: f64, angle: Angle, reach: f64) -> Outline {
    let at = |up: f64| Point { z: up * angle.tan(), r: r + up };
    Outline { start: at(-reach), segments: vec![Segment::Line { to: at(reach) }] }
}

fn places(outline: &Outline) -> impl Iterator<Item = Place> + '_ {
    (0..outline.segments.len())
        .flat_map(|piece| (0..=10).map(move |i| Place { piece, share: f64::from(i) / 10.0 }))
}

fn at(section: &Section<'_>, place: Place) -> SectionPoint {
    section.at(place).unwrap_or_else(|e| panic!("{e}"))
}

fn turned(r: f64, turn: f64, z: f64) -> Vector {
    Vector { x: r * turn.cos(), y: r * turn.sin(), z }
}

/// Identity: an axial section is the outline.
#[test]
fn axial_section_is_the_outline() {
    for designation in ["Tr 40x14 P7", "M20x2.5", "1/2-12 BSW", "Sq 25x5", "Tr 22x5 LH"] {
        for element in [Element::External, Element::Internal] {
            let thread = thread(designation);
            let helicoid = Helicoid::of(&thread, element);
            for turn in [0.0, 1.0, -2.5, 7.0] {
                let section = helicoid.section(Plane::axial(Angle::rad(turn)));
                let moved = helicoid.axial(Angle::rad(turn));
                for place in places(helicoid.outline()) {
                    let (found, expected) = (at(&section, place), moved.at(place));
                    // The section may find the same surface whole turns away.
                    let turns = ((found.turn.to_rad() - turn) / TAU).round();
                    let along = found.along - turns * TAU * helicoid.rise();
                    assert!((along - expected.z).abs() < 1e-10 && (found.out - expected.r).abs() < 1e-10);
                }
            }
        }
    }
}

/// A straight axial flank gives an Archimedean spiral square to the axis: the radius falls or grows in proportion to
/// the turn (flank form A of DIN 3975 and of ISO/TR 10828; also Leinweber, handbook of length measurement). An upright
/// flank gives a radius.
#[test]
fn transverse_section_of_a_straight_flank_is_an_archimedean_spiral() {
    for (designation, angle) in
        [("Tr 22x5", 15.0), ("Tr 40x14 P7", 15.0), ("1-5 ACME LH", 14.5), ("M64x6", 30.0)]
    {
        let thread = thread(designation);
        let r = thread.basic().d2.to_mm() / 2.0;
        let angle = Angle::deg(angle);
        let helicoid = Helicoid::new(flank(r, angle, 1.0), thread.lead(), thread.hand);
        let section = helicoid.section(Plane::transverse(0.7));
        for place in places(helicoid.outline()) {
            let point = at(&section, place);
            let turn = point.turn.to_rad();
            // z + h θ = 0.7 with z = (r − r₂) tan α.
            let expected = r + (0.7 - helicoid.rise() * turn) / angle.tan();
            let (found, direction) = (point.along.hypot(point.out), point.out.atan2(point.along));
            assert!((found - expected).abs() < 1e-10);
            assert!(((direction - turn) / TAU - ((direction - turn) / TAU).round()).abs() < 1e-12);
        }
    }
    let square = Helicoid::of(&thread("Sq 25x5"), Element::External);
    let upright: Vec<_> = square.section(Plane::transverse(0.0)).flanks().expect("it meets everything");
    assert_eq!(upright.len(), 2);
    for wall in upright {
        assert!((wall.from.turn.to_rad() - wall.to.turn.to_rad()).abs() < 1e-12);
    }
}

/// tan αn = tan αx cos λ at the pitch point (R. L. Mott, Machine Elements in Mechanical Design, 4th ed., eq. 8-39;
/// worm gearing of Machinery's Handbook). It is the tangent's angle, so it is held on ever shorter flanks.
#[test]
fn normal_section_has_the_normal_flank_angle() {
    for designation in
        ["Tr 22x5", "Tr 40x14 P7", "Tr 16x16 P4", "Tr 16x16 P4 LH", "1-5 ACME", "M20x2.5", "M6x1"]
    {
        let thread = thread(designation);
        let basic = thread.basic();
        for (angle, side) in [(basic.flank_leading, 1.0), (basic.flank_trailing, -1.0)] {
            let angle = Angle::rad(angle.to_rad() * side);
            let lead = thread.lead_angle(basic.d2);
            let expected = (angle.tan() * lead.cos()).atan();
            let off = |reach: f64| {
                let outline = flank(basic.d2.to_mm() / 2.0, angle, reach);
                let helicoid = Helicoid::new(outline, thread.lead(), thread.hand);
                let section = helicoid.section(Plane::normal(&helicoid, basic.d2, 0.0));
                let found = section.flank(0).expect("it meets").expect("straight");
                (found.angle.to_rad() - expected).abs()
            };
            // Second order in the extent.
            assert!(off(1e-3) < 1e-6, "{designation}: {}", off(1e-3));
            let whole = off(basic.p.to_mm() / 4.0);
            assert!(
                whole < 0.01 && off(basic.p.to_mm() / 40.0) < whole * 0.05 + 1e-9,
                "{designation}: {whole}"
            );
        }
    }
}

/// A flat face off centre by `e`: the plane y = e meets each radius at sin θ = e / r, in closed form.
#[test]
fn flat_face_off_centre_in_closed_form() {
    for (designation, element) in [("Tr 22x5", Element::External), ("Tr 40x14 P7 LH", Element::Internal)] {
        let thread = thread(designation);
        let helicoid = groove(&thread, element);
        let tip = if element == Element::External { thread.basic().d3 } else { thread.basic().d4_internal };
        for height in [-1.5, 0.0, 0.2, 2.0] {
            let face = Face { height: Length::mm(height), ..Face::radial(element, tip) };
            let section = helicoid.section(face.plane().expect("it reaches"));
            let x_tip = ((tip.to_mm() / 2.0).powi(2) - height * height).sqrt();
            for place in places(helicoid.outline()) {
                let (found, axial) = (at(&section, place), helicoid.outline().at(place));
                let turn = (height / axial.r).asin();
                assert!((found.along - (axial.z + helicoid.rise() * turn)).abs() < 1e-11);
                assert!((found.out - ((axial.r * axial.r - height * height).sqrt() - x_tip)).abs() < 1e-11);
            }
        }
    }
}

/// Top rake and height on a form without lead: tan A = tan A_t / cos of the lean from the radius, in the limit of a
/// shallow groove. 30° at 10° of rake cuts 30.38°, 14.5° cuts 14.71°, and 30° set 1 mm off centre on 20 mm cuts
/// 30.12° (own derivation, in the notes of the project's shared facts; no published table seen).
#[test]
fn rake_and_height_open_the_angle_cut() {
    let turned_form = Helicoid::new(flank(10.0, Angle::deg(30.0), 0.01), Length::ZERO, Hand::Right);
    for (ground, rake, height, expected) in
        [(30.0, 10.0, 0.0, 30.38), (14.5, 10.0, 0.0, 14.71), (30.0, 0.0, 1.0, 30.12)]
    {
        let face = Face {
            rake: Angle::deg(rake),
            height: Length::mm(height),
            ..Face::radial(Element::External, Length::mm(20.0))
        };
        let plane = face.plane().expect("it reaches");
        // What a straight edge in the face cuts.
        let edge = |out: f64| turned_form.axial_of(plane.point(out * Angle::deg(ground).tan(), out));
        let (a, b) = (edge(-0.005), edge(0.005));
        let cut = ((b.z - a.z) / (b.r - a.r)).atan().to_degrees();
        assert!((cut - expected).abs() < 0.006, "{ground} {rake} {height}: {cut}");
    }
}

/// Tr 16x16 P4 has a lead angle of 20°: its flanks are straight in the axial plane and bowed in the plane square to the
/// helix. The bow told is the largest distance from the chord that a thousand points of the section have.
#[test]
fn bow_of_a_flank_is_readable() {
    let thread = thread("Tr 16x16 P4");
    let helicoid = groove(&thread, Element::External);
    let axial = helicoid.section(Plane::axial(Angle::ZERO)).flanks().expect("it meets");
    assert!(axial.iter().all(|flank| flank.bow.abs() < 1e-12));
    assert!(axial.iter().all(|flank| (flank.angle.to_deg().abs() - 15.0).abs() < 1e-9));
    let section = helicoid.section(Plane::normal(&helicoid, thread.basic().d2, 0.0));
    let flanks = section.flanks().expect("it meets");
    assert_eq!(flanks.len(), 2);
    for flank in &flanks {
        let chord = ((flank.from.along, flank.from.out), (flank.to.along, flank.to.out));
        let off = |i: u32| {
            let point = at(&section, Place { piece: flank.piece, share: f64::from(i) / 1000.0 });
            to_chord(chord.0, chord.1, (point.along, point.out))
        };
        let most = (0..=1000).map(off).fold(0.0, f64::max);
        assert!(most > 1e-3 && (flank.bow.abs() - most).abs() < 1e-8, "{} {most}", flank.bow);
        // The wall at +along opens with out, and the groove lies on the other side of it.
        assert_eq!(flank.angle.to_rad() > 0.0, flank.from.along + flank.to.along > 0.0);
    }
    // Both walls of a groove of like flanks bow alike, seen from the groove.
    assert!((flanks[0].bow + flanks[1].bow).abs() < 1e-9);
}

/// Where a plane passes by the thread, that is said.
#[test]
fn plane_beside_the_thread_is_refused() {
    let helicoid = groove(&thread("Tr 22x5"), Element::External);
    let origin = Vector { x: 0.0, y: 20.0, z: 0.0 };
    let beside = Plane::new(origin, Vector { x: 0.0, y: 0.0, z: 1.0 }, Vector { x: 1.0, y: 0.0, z: 0.0 });
    let error = helicoid.section(beside.expect("a plane")).points(1e-3).expect_err("it passes by");
    assert!(error.to_string().contains("does not meet"));
    let high = Face { height: Length::mm(9.0), ..Face::radial(Element::External, Length::mm(16.0)) };
    assert!(high.plane().is_none());
    assert!(Plane::new(origin, origin, origin).is_none());
}

/// A ball at rest in a groove touches both walls of the helicoid that is carried from the outline, and cuts into
/// neither. [`seat_at`] finds its place by a closed form of its own. Like flanks and unlike ones, 7° and 45°.
#[test]
fn ball_of_the_wires_rests_on_the_helicoid() {
    for (designation, unlike, ball) in [
        ("Tr 22x5", false, 2.6),
        ("Tr 22x5", true, 2.9),
        ("Tr 40x14 P7", false, 3.6),
        ("Tr 16x16 P4 LH", false, 2.1),
        ("Tr 16x16 P4 LH", true, 2.3),
        ("M20x2.5", false, 1.45),
        ("1-5 ACME", false, 2.6),
    ] {
        let thread = thread(designation);
        let mut basic = thread.basic();
        if unlike {
            basic = Basic { flank_leading: Angle::deg(7.0), flank_trailing: Angle::deg(45.0), ..basic };
            basic = Basic { root_radius: Length::ZERO, root_radius_internal: Length::ZERO, ..basic }
                .with_widths();
        }
        let (flank_leading, flank_trailing) = (basic.flank_leading, basic.flank_trailing);
        let groove = Groove { flank_leading, flank_trailing, ..Groove::of(&thread) };
        for element in [Element::External, Element::Internal] {
            let seat = seat_at(&groove, element, basic.d2, Length::mm(ball)).expect("it rests");
            let surface = Helicoid::new(basic.outline(element).groove(), thread.lead(), thread.hand);
            // Seen from the crest the outline falls first: the wall at -z, following on a screw, leading on a nut.
            let contacts = match element {
                Element::External => [seat.contact_trailing, seat.contact_leading],
                Element::Internal => [seat.contact_leading, seat.contact_trailing],
            };
            let outline = surface.outline();
            let sloping = |piece: &usize| {
                outline.is_line(*piece)
                    && outline.direction(Place { piece: *piece, share: 0.0 }).1.abs() > 1e-9
            };
            let walls: Vec<_> = (0..outline.segments.len()).filter(sloping).collect();
            assert_eq!(walls.len(), 2, "{designation} {element:?}");
            // The ball lies where it touches one wall; so it must touch the other.
            let nearest = |piece: usize, z: f64| {
                let centre = turned(seat.centre.to_mm(), 0.0, z);
                let distance = |share: f64, turn: f64| {
                    (surface.point(Place { piece, share }, Angle::rad(turn)) - centre).length()
                };
                let (share, turn) = least(distance, (0.0, 1.0), (-0.6, 0.6));
                (distance(share, turn), Place { piece, share })
            };
            let (mut lo, mut hi) = (-basic.p.to_mm() / 2.0, basic.p.to_mm() / 2.0);
            while hi - lo > 1e-10 {
                let mid = 0.5 * (lo + hi);
                if nearest(walls[0], mid).0 < nearest(walls[1], mid).0 { lo = mid } else { hi = mid }
            }
            for (wall, contact) in walls.into_iter().zip(contacts) {
                let (distance, place) = nearest(wall, lo);
                assert!((distance - ball / 2.0).abs() < 1e-8, "{designation} {element:?}: {distance}");
                let touched = 2.0 * outline.at(place).r;
                assert!(
                    (touched - contact.to_mm()).abs() < 1e-3,
                    "{designation} {element:?}: {touched} {contact:?}"
                );
            }
        }
    }
}

/// Least of a function of two by a grid that closes in.
fn least(f: impl Fn(f64, f64) -> f64, mut a: (f64, f64), mut b: (f64, f64)) -> (f64, f64) {
    const STEPS: i32 = 24;
    let mut best = (0.0, 0.0);
    for _ in 0..22 {
        let place = |(lo, hi): (f64, f64), i: i32| lo + (hi - lo) * f64::from(i) / f64::from(STEPS);
        let grid = (0..=STEPS).flat_map(|i| (0..=STEPS).map(move |j| (i, j)));
        let values = grid.map(|(i, j)| (place(a, i), place(b, j))).map(|(x, y)| (f(x, y), x, y));
        let (_, x, y) = values.min_by(|m, n| m.0.total_cmp(&n.0)).expect("a grid");
        best = (x, y);
        let closer = |(lo, hi): (f64, f64), at: f64| (at - (hi - lo) * 0.2, at + (hi - lo) * 0.2);
        (a, b) = (closer(a, x), closer(b, y));
    }
    best
}

/// A face anywhere that a tool might stand.
fn any_face() -> impl Strategy<Value = (f64, f64, f64, f64)> {
    // Height as a share of the tip's radius, rake, cant beside the lead angle, tilt.
    (-0.3..0.3_f64, -15.0..15.0_f64, -10.0..10.0_f64, -10.0..10.0_f64)
}

fn face(thread: &Thread, element: Element, (height, rake, cant, tilt): (f64, f64, f64, f64)) -> Face {
    let basic = thread.basic();
    let tip = if element == Element::External { basic.d3 } else { basic.d4_internal };
    let lead = Helicoid::of(thread, element).lead_angle(basic.d2);
    Face {
        element,
        tip,
        height: tip * (0.5 * height),
        rake: Angle::deg(rake),
        cant: lead + Angle::deg(cant),
        tilt: Angle::deg(tilt),
    }
}

fn mirrored_in_y(v: Vector) -> Vector {
    Vector { y: -v.y, ..v }
}

fn close(a: (f64, f64), b: (f64, f64), tolerance: f64) -> bool {
    (a.0 - b.0).hypot(a.1 - b.1) < tolerance
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// Every point of a section lies in its plane and on the surface: carried back by its turn it is on the outline.
    #[test]
    fn section_lies_in_plane_and_surface(thread in any_thread(), stance in any_face(), inside in any::<bool>()) {
        let element = if inside { Element::Internal } else { Element::External };
        let helicoid = groove(&thread, element);
        let plane = face(&thread, element, stance).plane().expect("it reaches");
        let section = helicoid.section(plane);
        let scale = thread.nominal.to_mm();
        for place in places(helicoid.outline()) {
            let found = at(&section, place);
            let in_space = plane.point(found.along, found.out);
            prop_assert!((in_space - helicoid.point(place, found.turn)).length() < 1e-10 * scale, "{thread}");
            let (axial, expected) = (helicoid.axial_of(in_space), helicoid.outline().at(place));
            let turns = (found.turn.to_rad() / TAU).round();
            prop_assert!(
                close((axial.z, axial.r), (expected.z + turns * TAU * helicoid.rise(), expected.r), 1e-9 * scale),
                "{thread}: {axial:?} {expected:?}"
            );
        }
    }

    /// The normal is square to two small steps along the surface, and points away from the axis where it can.
    #[test]
    fn normal_is_square_to_the_surface(thread in any_thread(), turn in -7.0..7.0_f64, share in 0.1..0.9_f64) {
        let helicoid = Helicoid::of(&thread, Element::External);
        for piece in 0..helicoid.outline().segments.len() {
            let here = |share: f64, turn: f64| helicoid.point(Place { piece, share }, Angle::rad(turn));
            let normal = helicoid.normal(Place { piece, share }, Angle::rad(turn));
            prop_assert!((normal.length() - 1.0).abs() < 1e-12);
            for step in [
                here(share + 1e-5, turn) - here(share - 1e-5, turn),
                here(share, turn + 1e-5) - here(share, turn - 1e-5),
            ] {
                prop_assert!(step.dot(normal).abs() < 1e-6 * step.length(), "{thread} piece {piece}");
            }
            prop_assert!(normal.dot(turned(1.0, turn, 0.0)) > -1e-12);
        }
    }

    /// A left-hand thread is the mirror image of the right-hand one, in the plane of x and z, with all its sections.
    #[test]
    fn mirrored_helicoid_mirrors(thread in any_thread(), stance in any_face(), turn in -7.0..7.0_f64) {
        let right = groove(&Thread { hand: Hand::Right, ..thread.clone() }, Element::External);
        let left = groove(&Thread { hand: Hand::Left, ..thread.clone() }, Element::External);
        prop_assert_eq!(&right.mirrored(), &left);
        let plane = face(&Thread { hand: Hand::Right, ..thread.clone() }, Element::External, stance).plane();
        let plane = plane.expect("it reaches");
        let image = Plane::new(mirrored_in_y(plane.origin()), mirrored_in_y(plane.along()), mirrored_in_y(plane.out()));
        let image = image.expect("a plane");
        // Turned end for end in the plane z = 0 instead, the outline is mirrored and the tool leans the other way.
        let ended = left.with_outline(left.outline().mirrored());
        let (height, rake, cant, tilt) = stance;
        let other = face(&Thread { hand: Hand::Left, ..thread.clone() }, Element::External, (height, rake, -cant, -tilt));
        let other = other.plane().expect("it reaches");
        let last = right.outline().segments.len() - 1;
        for place in places(right.outline()) {
            let (a, b) = (right.point(place, Angle::rad(turn)), left.point(place, Angle::rad(-turn)));
            prop_assert!((mirrored_in_y(a) - b).length() < 1e-12 * thread.nominal.to_mm());
            let found = at(&right.section(plane), place);
            let mirrored = left.section(image).at(place).expect("the mirror image meets too");
            let tolerance = 1e-9 * thread.nominal.to_mm();
            prop_assert!(close((found.along, found.out), (mirrored.along, mirrored.out), tolerance));
            let place = Place { piece: last - place.piece, share: 1.0 - place.share };
            let ended = ended.section(other).at(place).expect("the mirror image meets too");
            prop_assert!(close((-found.along, found.out), (ended.along, ended.out), tolerance), "{found:?} {ended:?}");
        }
    }

    /// Of `n` starts each is the outline one pitch on, and after `n` pitches and a whole turn the first comes back.
    #[test]
    fn starts_follow_each_other(thread in any_thread(), share in 0.0..1.0_f64, turn in -3.0..3.0_f64) {
        let helicoid = Helicoid::of(&thread, Element::External);
        let p = thread.pitch.length.to_mm();
        // Square flanks have two radii at one place; keep off them.
        let z = p * share;
        prop_assume!(thread.basic().flank_leading.to_rad() > 0.0);
        let here = helicoid.radius(z, Angle::rad(turn));
        let sign = if thread.hand == Hand::Right { 1.0 } else { -1.0 };
        let part = TAU / f64::from(thread.starts);
        for (dz, dturn) in [(p, 0.0), (0.0, TAU), (0.0, part), (sign * p, part)] {
            prop_assert!((helicoid.radius(z + dz, Angle::rad(turn + dturn)) - here).abs() < 1e-8 * p, "{thread}");
        }
    }

    /// The chain of chords keeps to its tolerance: every point of the section is that close to it.
    #[test]
    fn chords_keep_their_tolerance(thread in any_thread(), stance in any_face(), part in 1.0..4.0_f64) {
        let helicoid = groove(&thread, Element::External);
        let tolerance = thread.pitch.length.to_mm() * 10.0_f64.powf(-1.0 - part);
        let plane = face(&thread, Element::External, stance).plane().expect("it reaches");
        let section = helicoid.section(plane);
        let chain = section.points(tolerance).expect("it meets");
        for piece in 0..helicoid.outline().segments.len() {
            for i in 0..=97 {
                let point = at(&section, Place { piece, share: f64::from(i) / 97.0 });
                let off = off_chain(&chain, (point.along, point.out));
                prop_assert!(off <= tolerance, "{thread}: {off} over {tolerance}");
            }
        }
    }
}

fn off_chain(chain: &[SectionPoint], at: (f64, f64)) -> f64 {
    chain
        .windows(2)
        .map(|w| to_chord((w[0].along, w[0].out), (w[1].along, w[1].out), at))
        .fold(f64::INFINITY, f64::min)
}

fn to_chord(a: (f64, f64), b: (f64, f64), at: (f64, f64)) -> f64 {
    let (d, length) = ((b.0 - a.0, b.1 - a.1), (b.0 - a.0).hypot(b.1 - a.1));
    let share = if length > 0.0 {
        (((at.0 - a.0) * d.0 + (at.1 - a.1) * d.1) / (length * length)).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (at.0 - a.0 - share * d.0).hypot(at.1 - a.1 - share * d.1)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// An independent sweep: the outline as a chain of points (arcs to 0.01 µm) is turned about the axis and moved
    /// along it in small steps by rotation matrices; where a point passes through the plane between two steps, a
    /// straight line between them gives the crossing. Every crossing lies within 0.5 µm of the section.
    #[test]
    fn sweep_finds_the_same_curve(thread in any_thread(), stance in any_face(), inside in any::<bool>()) {
        prop_assume!(thread.nominal.to_mm() < 120.0);
        let element = if inside { Element::Internal } else { Element::External };
        let helicoid = groove(&thread, element);
        let plane = face(&thread, element, stance).plane().expect("it reaches");
        let chain = helicoid.section(plane).points(1e-5).expect("it meets");
        let found = swept(&helicoid, &thread, &plane);
        prop_assert!(!found.is_empty());
        for (_, crossing) in &found {
            let off = off_chain(&chain, *crossing);
            prop_assert!(off < 0.5e-3, "{thread} {element:?}: {off} mm at {crossing:?}");
        }
        // And nothing is missing: as many crossings as points that were swept.
        let swept_points = helicoid.outline().points(1e-5).len();
        prop_assert_eq!(found.len(), swept_points);
    }
}

/// Crossings of each point of the outline with the plane, in the half turn about x.
fn swept(helicoid: &Helicoid, thread: &Thread, plane: &Plane) -> Vec<(usize, (f64, f64))> {
    const STEPS: i32 = 3000;
    let advance = thread.lead().to_mm() / TAU * if thread.hand == Hand::Right { 1.0 } else { -1.0 };
    let square = {
        let (u, v) = (plane.along(), plane.out());
        [u.y * v.z - u.z * v.y, u.z * v.x - u.x * v.z, u.x * v.y - u.y * v.x]
    };
    let mut found = Vec::new();
    for (number, point) in helicoid.outline().points(1e-5).into_iter().enumerate() {
        let place = |step: i32| {
            let turn = PI * (f64::from(step) / f64::from(STEPS) - 0.5);
            let matrix = [[turn.cos(), -turn.sin(), 0.0], [turn.sin(), turn.cos(), 0.0], [0.0, 0.0, 1.0]];
            let start = [point.r, 0.0, point.z];
            let mut moved = matrix.map(|row| row[0] * start[0] + row[1] * start[1] + row[2] * start[2]);
            moved[2] += advance * turn;
            moved
        };
        let over = |at: &[f64; 3]| {
            let o = plane.origin();
            (at[0] - o.x) * square[0] + (at[1] - o.y) * square[1] + (at[2] - o.z) * square[2]
        };
        let mut last = place(0);
        for step in 1..=STEPS {
            let next = place(step);
            let (a, b) = (over(&last), over(&next));
            if (a < 0.0) != (b < 0.0) {
                let share = a / (a - b);
                let between = |i: usize| last[i] + (next[i] - last[i]) * share;
                let at = Vector { x: between(0), y: between(1), z: between(2) };
                found.push((number, plane.coordinates(at)));
            }
            last = next;
        }
    }
    found
}
