//! Rules of the inch families that no table of fixtures shows.

use flankwise_thread::limits::{Element, ExtraKind, limits};
use flankwise_thread::{Family, Thread};

fn thread(text: &str) -> Thread {
    text.parse().unwrap_or_else(|e| panic!("{e}"))
}

/// Classes of which no figure is known are refused with that reason.
#[test]
fn acme_5c_is_known_but_refused() {
    for text in ["1-5 ACME-5C", "1-5 acme 6c nut"] {
        let error = limits(&thread(text)).expect_err("no figures");
        assert!(error.expected.contains("not for new designs"), "{error}");
        assert!(error.expected.contains("4C"), "{error}");
    }
}

/// Series of before 1949 that differ from Unified (aviation maintenance technician handbook, general, p. 5-40).
#[test]
fn national_fine_at_one_inch() {
    assert_eq!(thread("1 NF").to_string(), "1-14 NF");
    assert_eq!(thread("1 UNF").to_string(), "1-12 UNF");
    assert_eq!(thread("1 NF").family, Family::National);
    let refused = limits(&thread("1-14 NF-3")).expect_err("no tolerances known");
    assert!(refused.to_string().contains("none is known here"), "{refused}");
}

/// ANSI/ASME B1.20.1-1983: the rules by which its basic sizes follow from the pipe's diameter (from memory) give its table,
/// and one turn either way is the tolerance along the axis.
#[test]
fn npt_rules() {
    for (name, od) in [("1/8", 0.405), ("1/2", 0.840), ("2", 2.375), ("6", 6.625), ("24", 24.0)] {
        let thread = thread(&format!("{name} NPT"));
        let limits = limits(&thread).expect("limits");
        let extra = |what: ExtraKind| {
            let found = limits
                .extras
                .iter()
                .find(|extra| (extra.what, extra.element) == (what, Some(Element::External)));
            found.expect("an extra").range
        };
        let p = thread.pitch.length.to_inch();
        let e0 = extra(ExtraKind::EndPitchDiameter).min.expect("a diameter").to_inch();
        assert!((e0 - (od - (0.05 * od + 1.1) * p)).abs() < 1.2e-5, "{thread}: {e0}");
        let l2 = extra(ExtraKind::UsefulThread).min.expect("a length").to_inch();
        assert!((l2 - (0.8 * od + 6.8) * p).abs() < 6e-5, "{thread}: {l2}");
        let gauge = extra(ExtraKind::GaugeLength);
        assert!(((gauge.max.expect("both") - gauge.min.expect("both")).to_inch() - 2.0 * p).abs() < 1e-9);
    }
}

/// A size of no name keeps its diameter.
#[test]
fn npt_of_no_listed_size() {
    assert_eq!(thread("dia 0.9-14 NPT").to_string(), "dia 0.9-14 NPT");
    let error = "0.9-14 NPT".parse::<Thread>().expect_err("no such name");
    assert!(error.expected.contains("1-11.5 NPT"), "{error}");
}
