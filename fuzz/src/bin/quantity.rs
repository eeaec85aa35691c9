//! What people type as lengths, pitches, angles and forces.
#![no_main]

use flankwise_thread::{Unit, quantity};

libfuzzer_sys::fuzz_target!(|text: &str| {
    for unit in [Unit::Mm, Unit::Inch] {
        for read in [quantity::parse_length(text, unit), quantity::parse_pitch(text, unit)] {
            match read {
                Ok((length, _)) => assert!(length.is_finite()),
                Err(error) => {
                    assert!(text.is_char_boundary(error.at));
                    assert!(error.to_string().contains("accepted"));
                }
            }
        }
        if let Ok((length, _)) = quantity::parse_length(text, unit) {
            let printed = format!("{} mm", length.to_mm());
            assert_eq!(quantity::parse_length(&printed, Unit::Inch), Ok((length, Unit::Mm)));
        }
    }
    assert!(quantity::parse_angle(text).map_or(true, |a| a.is_finite()));
    assert!(quantity::parse_force(text).map_or(true, |f| f.is_finite()));
});
