//! Shaft limits against printed tables. Add a printed value as a line of `fixtures/iso286.csv`.

use flankwise_bench::fit::iso286;
use flankwise_thread::Length;
use proptest::prelude::*;

#[test]
fn printed_limits() {
    let mut seen = 0;
    let rows = include_str!("fixtures/iso286.csv").lines().filter(|l| !l.starts_with('#')).skip(1);
    for line in rows {
        let cells: Vec<_> = line.split(',').collect();
        let number = |i: usize| cells[i].parse::<f64>().unwrap_or_else(|_| panic!("{line}"));
        let got =
            iso286::shaft(Length::mm(number(0)), cells[1]).unwrap_or_else(|why| panic!("{line}: {why}"));
        let close = |a: Length, b: f64| (a.to_um() - b).abs() < 1e-9;
        assert!(close(got.upper, number(2)) && close(got.lower, number(3)), "{line}: {got:?}");
        seen += 1;
    }
    assert!(seen >= 30);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// The tolerance is the distance of the limits, whatever the letter, and letters go from loose to tight.
    #[test]
    fn letters_go_from_loose_to_tight(nominal in 0.1..120.0f64, grade in 5..12u32) {
        let nominal = Length::mm(nominal);
        let mut last = Length::mm(-1.0);
        for letter in ["d", "e", "f", "g", "h"] {
            let d = iso286::shaft(nominal, &format!("{letter}{grade}")).unwrap();
            prop_assert!((d.upper - d.lower - d.tolerance).abs() < Length::um(1e-6));
            prop_assert!(d.upper > last);
            last = d.upper;
        }
        let mut last = Length::mm(-1.0);
        for letter in ["js", "k", "m", "n", "p", "r", "s"] {
            let d = iso286::shaft(nominal, &format!("{letter}{grade}")).unwrap();
            prop_assert!((d.upper - d.lower - d.tolerance).abs() < Length::um(1e-6));
            prop_assert!(d.lower >= last);
            last = d.lower;
        }
    }

    #[test]
    fn any_text_is_refused_or_answered(nominal in -10.0..1e4f64, class in ".{0,6}") {
        match iso286::shaft(Length::mm(nominal), &class) {
            Ok(d) => prop_assert!((d.upper - d.lower - d.tolerance).abs() < Length::um(0.6)),
            Err(accepted) => prop_assert!(!accepted.is_empty()),
        }
    }
}
