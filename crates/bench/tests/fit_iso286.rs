//! Limits of shafts and holes against printed tables. Add a printed value as a line of `fixtures/iso286.csv`.

use flankwise_bench::iso286::{ACCEPTED, Class, Deviations, Fits};
use flankwise_thread::Length;
use proptest::prelude::*;

fn limits(class: &str, nominal: f64) -> Result<Deviations, String> {
    Class::read(class).map_err(str::to_owned)?.limits(Length::mm(nominal))
}

#[test]
fn printed_limits() {
    let mut seen = 0;
    let rows = include_str!("fixtures/iso286.csv").lines().filter(|l| !l.starts_with('#')).skip(1);
    for line in rows {
        let cells: Vec<_> = line.split(',').collect();
        let number = |i: usize| cells[i].parse::<f64>().unwrap_or_else(|_| panic!("{line}"));
        let got = limits(cells[1], number(0)).unwrap_or_else(|why| panic!("{line}: {why}"));
        let close = |a: Length, b: f64| (a.to_um() - b).abs() < 1e-9;
        assert!(close(got.upper, number(2)) && close(got.lower, number(3)), "{line}: {got:?}");
        seen += 1;
    }
    assert!(seen >= 55);
}

/// What a hole of a fine grade is moved by makes the same play of either basis: H7/p6 as P7/h6, for every letter whose
/// hole the standard derives so (ISO 286-1).
#[test]
fn hole_basis_and_shaft_basis_play_alike() {
    for nominal in [5.0, 22.0, 36.0, 70.0, 110.0, 200.0, 400.0] {
        for (letter, hole, shaft) in
            [("k", 8, 7), ("m", 8, 7), ("n", 8, 7), ("p", 7, 6), ("r", 7, 6), ("s", 7, 6), ("u", 7, 6)]
        {
            let of = |class: String| limits(&class, nominal).unwrap_or_else(|why| panic!("{class}: {why}"));
            let play =
                |hole: Deviations, shaft: Deviations| (hole.lower - shaft.upper, hole.upper - shaft.lower);
            let k_moved = letter == "k" && shaft > 7;
            let on_hole = play(of(format!("H{hole}")), of(format!("{letter}{shaft}")));
            let on_shaft = play(of(format!("{}{hole}", letter.to_uppercase())), of(format!("h{shaft}")));
            assert!(k_moved || (on_hole.0 - on_shaft.0).abs() < Length::um(1e-6), "{letter} at {nominal}");
            assert!(k_moved || (on_hole.1 - on_shaft.1).abs() < Length::um(1e-6), "{letter} at {nominal}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// The tolerance is the distance of the limits, whatever the letter, and letters go from loose to tight.
    #[test]
    fn letters_go_from_loose_to_tight(nominal in 0.1..500.0f64, grade in 5..13u32) {
        let of = |letter: &str| limits(&format!("{letter}{grade}"), nominal);
        let mut last = Length::mm(-10.0);
        for letter in ["a", "b", "c", "d", "e", "f", "g", "h"] {
            let (shaft, hole) = (of(letter).unwrap(), of(&letter.to_uppercase()).unwrap());
            prop_assert!((shaft.upper - shaft.lower - shaft.tolerance).abs() < Length::um(1e-6));
            prop_assert!((shaft.upper + hole.lower).abs() < Length::um(1e-6), "{letter} is its hole mirrored");
            prop_assert!(shaft.upper > last);
            last = shaft.upper;
        }
        let mut last = Length::mm(-10.0);
        for letter in ["js", "k", "m", "n", "p", "r", "s", "u", "x", "z"] {
            let shaft = of(letter).unwrap();
            prop_assert!((shaft.upper - shaft.lower - shaft.tolerance).abs() < Length::um(1e-6));
            prop_assert!(shaft.lower >= last);
            last = shaft.lower;
        }
    }

    #[test]
    fn any_text_is_refused_or_answered(nominal in -10.0..1e4f64, text in ".{0,9}") {
        match Fits::read(&text) {
            Ok(fits) => prop_assert_eq!(Fits::read(&fits.to_string()), Ok(fits)),
            Err(accepted) => prop_assert_eq!(accepted, ACCEPTED),
        }
        if let Ok(d) = limits(&text, nominal) {
            prop_assert!((d.upper - d.lower - d.tolerance).abs() < Length::um(0.6));
        }
    }
}
