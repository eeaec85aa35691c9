//! Forms of the inch families against printed tables that are not tables of limits (`tests/fixtures`, sources in its
//! README).

use flankwise_thread::limits::limits;
use flankwise_thread::{Family, Thread};

/// Rows of a fixture, cells in the order of `columns`.
fn rows<const N: usize>(text: &'static str, columns: [&str; N]) -> Vec<[&'static str; N]> {
    let mut lines = text.lines().filter(|line| !line.starts_with("# "));
    let heading: Vec<_> = lines.next().expect("a heading").split(',').collect();
    let at = columns.map(|column| heading.iter().position(|h| *h == column).expect("the column"));
    lines
        .map(|line| {
            let cells: Vec<_> = line.split(',').collect();
            at.map(|at| cells[at])
        })
        .collect()
}

/// Half of the last printed digit.
fn half_digit(printed: &str) -> f64 {
    0.5 * 10.0_f64.powi(-(printed.split_once('.').map_or(0, |(_, tail)| tail.len()) as i32))
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("number `{text}`"))
}

fn thread(text: &str) -> Thread {
    text.parse().unwrap_or_else(|e| panic!("{e}"))
}

/// Machinery's Handbook, 31st ed., p. 2130: over wires, without lead angle, M = d2 + 3 w − 0.866025 P for both forms.
#[test]
fn sharp_v_and_united_states_standard_over_wires() {
    let table = rows(include_str!("fixtures/vee-wires.csv"), ["nominal", "tpi", "wire", "sharp_v", "uss"]);
    assert_eq!(table.len(), 55);
    for [nominal, tpi, wire, sharp_v, uss] in table {
        for (form, printed) in [("sharp V", sharp_v), ("USS", uss)] {
            if printed.is_empty() {
                continue;
            }
            let thread = thread(&format!("{nominal}-{tpi} {form}"));
            let basic = thread.basic();
            let over = basic.d2.to_inch() + 3.0 * number(wire) - 0.866025 * thread.pitch.length.to_inch();
            // The source's factors are to four places, 1.732 and 1.5155.
            let factors = 5e-5 * thread.pitch.length.to_inch();
            assert!((over - number(printed)).abs() <= half_digit(printed) + factors, "{thread}: {over}");
        }
        assert!(thread(&format!("{nominal}-{tpi} sharp v")).in_series());
    }
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
}
