//! Lengths of taper pipe threads against printed tables (`tests/fixtures/bsp-taper-lengths.csv`).

use flankwise_thread::limits::{ExtraKind, Range, limits};
use flankwise_thread::{Element, Thread};

/// Bounds of a figure, mm: smallest, largest.
fn bounds(thread: &Thread, element: Element, what: ExtraKind) -> (Option<f64>, Option<f64>) {
    let limits = limits(thread).unwrap_or_else(|e| panic!("{e}"));
    let extra = limits.extras.iter().find(|extra| extra.element == Some(element) && extra.what == what);
    let Range { min, max, .. } = extra.unwrap_or_else(|| panic!("{thread}: no {what:?}")).range;
    (min.map(|size| size.to_mm()), max.map(|size| size.to_mm()))
}

#[test]
fn gauge_planes_and_useful_threads() {
    let text = include_str!("fixtures/bsp-taper-lengths.csv");
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    assert_eq!(lines.next(), Some("name,b,c,f,gauge_length"));
    let mut sizes = 0;
    for line in lines {
        let cells: Vec<_> = line.split(',').collect();
        let [name, ref figures @ ..] = cells[..] else { panic!("{line}") };
        let figures: Vec<f64> = figures.iter().map(|cell| cell.parse().expect("a number")).collect();
        let [b, c, f, gauge_length] = figures[..] else { panic!("{line}") };
        let thread: Thread = format!("BSPT {name}").parse().unwrap_or_else(|e| panic!("{e}"));
        let both = |element| match bounds(&thread, element, ExtraKind::GaugeLength) {
            (Some(min), Some(max)) => ((min + max) / 2.0, (max - min) / 2.0),
            open => panic!("{thread}: {open:?}"),
        };
        let near = |ours: f64, printed: f64| (ours - printed).abs() < 1e-9;
        let (length, by) = both(Element::External);
        assert!(near(by, b), "{name}: the screw's gauge plane by {by}, printed {b}");
        // Size 4: the page prints 25.5 for the 25.4 mm that are 1 in.
        let printed = if name == "4" { 25.4 } else { gauge_length };
        assert!((length - printed).abs() < 1e-9, "{name}: gauge length {length}, printed {gauge_length}");
        let (plane, by) = both(Element::Internal);
        assert!(near(by, c), "{name}: the nut's gauge plane by {by}, printed {c}");
        assert!((plane - thread.pitch.length.to_mm() / 2.0).abs() < 1e-9, "{name}: {plane}");
        let (useful, open) = bounds(&thread, Element::External, ExtraKind::UsefulThread);
        assert_eq!(open, None, "{name}");
        let useful = useful.expect("a least length");
        assert!(
            (useful - (length + f)).abs() < 1e-9,
            "{name}: useful thread {useful}, printed {length} + {f}"
        );
        sizes += 1;
    }
    assert_eq!(sizes, 15);
}

#[test]
fn a_parallel_nut_has_no_gauge_plane() {
    let nut: Thread = "Rp 3/4".parse().expect("a listed size");
    assert!(limits(&nut).expect("limits").extras.iter().all(|extra| extra.what != ExtraKind::GaugeLength));
    // The designation names an element: what is said is of that one.
    let screw: Thread = "R 3/4".parse().expect("a listed size");
    let limits = limits(&screw).expect("limits");
    assert!(
        limits.internal.is_none()
            && limits.extras.iter().all(|extra| extra.element != Some(Element::Internal))
    );
}
