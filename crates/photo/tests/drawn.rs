//! Readings of drawn screws of many kinds against the sizes they were drawn with.

mod render;

use flankwise_photo::{FlankReading, Measured, PhotoError, PhotoReadings, Scale, read};
use flankwise_thread::Length;
use proptest::prelude::*;
use render::Scene;

fn readings(scene: &Scene) -> PhotoReadings {
    read(&scene.png(), Scale::PxPerMm(scene.px_per_mm)).unwrap_or_else(|e| panic!("{scene:?}: {e}"))
}

/// The value, if within three standard uncertainties (and the uncertainty within reason).
fn close(what: &str, read: Option<Measured<Length>>, truth: f64) -> Result<(), String> {
    let read = read.ok_or(format!("{what} not read"))?;
    let (value, u) = (read.value.to_mm(), read.u.to_mm());
    let good = (value - truth).abs() < 3.0 * u && u < 0.01 * truth + 0.1;
    good.then_some(()).ok_or(format!("{what} {value:.4} ± {u:.4}, drawn {truth:.4}"))
}

fn flank_close(what: &str, read: FlankReading, truth: f64) -> Result<(), String> {
    let FlankReading::Angle { axial, .. } = read else { return Err(format!("{what}: {read:?}")) };
    let (value, u) = (axial.value.to_deg(), axial.u.to_deg());
    let good = (value - truth).abs() < 3.0 * u && u < 0.5;
    good.then_some(()).ok_or(format!("{what} {value:.3}° ± {u:.3}°, drawn {truth}°"))
}

fn all_close(scene: &Scene, r: &PhotoReadings) -> Result<(), String> {
    close("pitch", r.pitch, scene.pitch_mm)?;
    close("major diameter", r.major_diameter, scene.major_mm)?;
    close("minor diameter", r.minor_diameter, scene.minor_mm)?;
    close("pitch diameter", r.pitch_diameter, scene.pitch_diameter_mm)?;
    flank_close("left flank", r.left_flank, scene.left_deg)?;
    flank_close("right flank", r.right_flank, scene.right_deg)
}

#[test]
fn a_plain_one() {
    let scene = Scene::default();
    let r = readings(&scene);
    all_close(&scene, &r).unwrap();
    // ISO 2904: flats of the basic profile are 0.366 P wide; here the root is a quarter millimetre deeper.
    close("crest flat", r.crest_flat, 2.0 - 2.0 * 15.0_f64.to_radians().tan()).unwrap();
    close("root flat", r.root_flat, 2.0 - 2.5 * 15.0_f64.to_radians().tan()).unwrap();
    assert_eq!(r.starts.map(|s| (s.likely, s.also_possible)), Some((1, None)));
    assert!(r.ridges.iter().all(|ridge| (ridge.thickness_pitches - 0.5).abs() < 0.002), "{:?}", r.ridges);
    assert!((r.pitch_to_major.value - 0.2).abs() < 3.0 * r.pitch_to_major.u);
}

#[test]
fn without_a_scale_only_angles_and_ratios() {
    let scene = Scene::default();
    let r = read(&scene.png(), Scale::None).unwrap();
    for length in [r.pitch, r.major_diameter, r.minor_diameter, r.pitch_diameter, r.crest_flat, r.root_flat] {
        assert_eq!(length, None);
    }
    flank_close("left", r.left_flank, 15.0).unwrap();
    assert!((r.pitch_to_major.value - 0.2).abs() < 0.0005);
    assert!((r.minor_to_major.unwrap().value - 0.775).abs() < 0.001);
}

#[test]
fn dots_per_inch() {
    let scene = Scene::default();
    let r = read(&scene.png(), Scale::Dpi(20.0 * 25.4)).unwrap();
    close("major", r.major_diameter, 20.0).unwrap();
    for bad in [Scale::Dpi(0.0), Scale::PxPerMm(-3.0), Scale::PxPerMm(f64::NAN), Scale::Pin(Length::ZERO)] {
        assert_eq!(read(&scene.png(), bad), Err(PhotoError::BadScale), "{bad:?}");
    }
}

#[test]
fn upright_and_aslant() {
    for (turned_deg, size) in
        [(90.0, [520, 760]), (83.0, [520, 760]), (38.0, [760, 760]), (-45.0, [760, 760])]
    {
        let scene = Scene { turned_deg, size, ..Scene::default() };
        let r = readings(&scene);
        all_close(&scene, &r).unwrap_or_else(|e| panic!("turned {turned_deg}: {e}"));
        let off = (r.axis.to_deg() - turned_deg).rem_euclid(180.0);
        assert!(off.min(180.0 - off) < 0.1, "{turned_deg}: {}", r.axis.to_deg());
    }
}

#[test]
fn the_end_of_the_screw_in_sight() {
    let scene = Scene { end_mm: 13.3, ..Scene::default() };
    all_close(&scene, &readings(&scene)).unwrap();
}

#[test]
fn a_light_screw_on_a_dark_ground_is_read_with_a_note() {
    let scene = Scene { body: 0.6, lamp: 0.03, ..Scene::default() };
    let r = readings(&scene);
    close("pitch", r.pitch, 4.0).unwrap();
    close("major", r.major_diameter, 20.0).unwrap();
    assert!(r.notes.iter().any(|n| n.contains("lighter than the ground")), "{:?}", r.notes);
}

#[test]
fn an_overexposed_ground_is_noted() {
    let scene = Scene { lamp: 1.6, ..Scene::default() };
    assert!(readings(&scene).notes.iter().any(|n| n.contains("overexposed")));
}

#[test]
fn few_pixels_give_pitch_and_major_only() {
    let scene = Scene { px_per_mm: 5.0, size: [400, 160], ..Scene::default() };
    let r = readings(&scene);
    close("pitch", r.pitch, 4.0).unwrap();
    close("major", r.major_diameter, 20.0).unwrap();
    assert_eq!((r.pitch_diameter, r.minor_diameter, r.left_flank), (None, None, FlankReading::Unread));
    assert!(r.notes.iter().any(|n| n.contains("pixels to a pitch")));
}

#[test]
fn hidden_flanks_get_a_limit() {
    for deg in [0.0, 3.0] {
        let scene = Scene { left_deg: deg, right_deg: deg, minor_mm: 16.0, ..Scene::default() };
        let r = readings(&scene);
        for flank in [r.left_flank, r.right_flank] {
            let FlankReading::AtMost(limit) = flank else { panic!("{deg}: {flank:?}") };
            assert!(limit.to_deg() > 4.5 && limit.to_deg() < 8.0, "{}", limit.to_deg());
        }
        assert_eq!(r.pitch_diameter, None);
        close("minor", r.minor_diameter, 16.0).unwrap();
    }
}

#[test]
fn even_starts_are_told_by_the_other_edge() {
    let scene = Scene { starts: 2, ..Scene::default() };
    let r = readings(&scene);
    assert_eq!(r.starts.map(|s| (s.likely, s.also_possible)), Some((2, None)));
    all_close(&scene, &r).unwrap();
}

#[test]
fn three_starts_are_told_by_the_shape() {
    let scene = Scene {
        starts: 3,
        pitch_mm: 2.5,
        minor_mm: 17.2,
        pitch_diameter_mm: 18.75,
        px_per_mm: 30.0,
        ..Scene::default()
    };
    let scene = Scene { size: [900, 700], ..scene };
    let r = readings(&scene);
    assert_eq!(r.starts.map(|s| s.likely), Some(3));
    all_close(&scene, &r).unwrap();
}

#[test]
fn what_is_no_thread_is_refused() {
    let bar = Scene { minor_mm: 20.0, ..Scene::default() };
    let few = Scene { px_per_mm: 60.0, size: [760, 1400], ..Scene::default() };
    for (what, scene) in [("a plain bar", bar), ("three pitches", few)] {
        let refused = read(&scene.png(), Scale::None);
        assert!(matches!(refused, Err(PhotoError::NoThread { .. })), "{what}: {refused:?}");
    }
    let blank = render::png([300, 300], vec![180; 300 * 300]);
    assert_eq!(read(&blank, Scale::None), Err(PhotoError::NoContrast));
    let small = render::png([60, 300], vec![180; 60 * 300]);
    assert!(matches!(read(&small, Scale::None), Err(PhotoError::TooSmall { width: 60, .. })));
}

/// Hardly any noise: most of the lamp's pixels hold the very same value, and the rest one step of it.
#[test]
fn a_picture_as_clean_as_drawn() {
    for noise in [0.0, 0.3, 0.606] {
        let scene = Scene { noise, px_per_mm: 30.0, size: [700, 700], turned_deg: -5.0, ..Scene::default() };
        all_close(&scene, &readings(&scene)).unwrap();
    }
    // Found by chance: the lamp could not be fitted because hardly a pixel differed from the rest.
    let scene = Scene {
        major_mm: 10.0,
        minor_mm: 8.592_692_580_473_901,
        pitch_diameter_mm: 9.296_346_290_236_95,
        pitch_mm: 1.279_370_381_387_362_5,
        left_deg: 13.975_591_915_375_814,
        right_deg: 12.0,
        px_per_mm: 42.0,
        turned_deg: -5.320_762_498_357_867,
        size: [900, 620],
        blur_px: 1.132_816_254_831_035_2,
        noise: 0.606_234_526_249_590_1,
        seed: 732,
        ..Scene::default()
    };
    all_close(&scene, &readings(&scene)).unwrap();
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 20, ..ProptestConfig::default() })]

    /// Any common form, size and position: within three standard uncertainties.
    #[test]
    fn as_drawn(
        left_deg in 12.0..32.0_f64,
        right_deg in 12.0..32.0_f64,
        major_mm in 10.0..26.0_f64,
        pitch_part in 0.12..0.24_f64,
        left_handed in any::<bool>(),
        turned_deg in -12.0..12.0_f64,
        upright in any::<bool>(),
        blur_px in 0.7..1.6_f64,
        noise in 0.0..3.0_f64,
        seed in 1..1000_u64,
    ) {
        let pitch_mm = pitch_part * major_mm;
        // A depth that leaves flats of about a fifth of the pitch at crest and root.
        let depth = 0.6 * pitch_mm / (left_deg.to_radians().tan() + right_deg.to_radians().tan());
        let depth = depth.min(0.55 * pitch_mm);
        let size = if upright { [620, 900] } else { [900, 620] };
        let scene = Scene {
            major_mm,
            minor_mm: major_mm - 2.0 * depth,
            pitch_diameter_mm: major_mm - depth,
            pitch_mm,
            left_handed,
            left_deg,
            right_deg,
            px_per_mm: 420.0 / major_mm,
            turned_deg: turned_deg + if upright { 90.0 } else { 0.0 },
            size,
            blur_px,
            noise,
            seed,
            ..Scene::default()
        };
        let r = readings(&scene);
        prop_assert!(all_close(&scene, &r).is_ok(), "{:?}\n{scene:?}\n{r:?}", all_close(&scene, &r));
    }
}
