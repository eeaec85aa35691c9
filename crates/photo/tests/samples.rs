//! The pictures in `fixtures`, against the sizes they were made with. Run with `--nocapture` for the table.

use flankwise_photo::{FlankReading, Measured, PhotoReadings, Scale, read};
use flankwise_thread::Length;

/// A picture and the truth behind it; flank angles in degrees, lengths in millimetres.
struct Sample {
    name: &'static str,
    bytes: &'static [u8],
    px_per_mm: f64,
    pin_mm: Option<f64>,
    pitch: f64,
    major: f64,
    minor: f64,
    pitch_diameter: f64,
    flank: f64,
    starts: u32,
}

const SAMPLES: [Sample; 4] = [
    Sample {
        name: "s02",
        bytes: include_bytes!("fixtures/s02.jpg"),
        px_per_mm: 25.37,
        pin_mm: Some(5.0),
        pitch: 4.0,
        major: 16.0,
        minor: 11.5,
        pitch_diameter: 14.0,
        flank: 15.0,
        starts: 2,
    },
    Sample {
        name: "s06",
        bytes: include_bytes!("fixtures/s06.jpg"),
        px_per_mm: 24.6,
        pin_mm: None,
        pitch: 4.0,
        major: 20.0,
        minor: 16.0,
        pitch_diameter: 18.0,
        flank: 0.0,
        starts: 1,
    },
    Sample {
        name: "s07",
        bytes: include_bytes!("fixtures/s07.jpg"),
        px_per_mm: 22.4,
        pin_mm: Some(8.0),
        pitch: 4.0,
        major: 20.0,
        minor: 15.5,
        pitch_diameter: 18.0,
        flank: 15.0,
        starts: 1,
    },
    Sample {
        name: "s09",
        bytes: include_bytes!("fixtures/s09.jpg"),
        px_per_mm: 20.3,
        pin_mm: Some(8.0),
        pitch: 5.0,
        major: 24.0,
        minor: 18.5,
        pitch_diameter: 21.5,
        flank: 15.0,
        starts: 1,
    },
];

fn sample(name: &str) -> &'static Sample {
    SAMPLES.iter().find(|s| s.name == name).expect("a fixture of that name")
}

fn noted(r: &PhotoReadings, words: &str) -> bool {
    r.notes.iter().any(|n| n.contains(words))
}

/// Each reading is within three standard uncertainties or left out, and where it is left out a note says why.
#[test]
fn errors_stay_within_what_is_claimed() {
    println!("sample reading          read        truth      error     u");
    let mut failed = Vec::new();
    for s in &SAMPLES {
        let r = read(s.bytes, Scale::PxPerMm(s.px_per_mm)).unwrap_or_else(|e| panic!("{}: {e}", s.name));
        let mut line = |what: &str, read: Option<(f64, f64)>, truth: f64| match read {
            None => println!("{:6} {what:15} left out    {truth:9.4}", s.name),
            Some((value, u)) => {
                println!("{:6} {what:15} {value:9.4}  {truth:9.4}  {:+9.4}  {u:.4}", s.name, value - truth);
                if (value - truth).abs() > 3.0 * u {
                    failed.push(format!("{} {what}", s.name));
                }
            }
        };
        let mm = |m: Option<Measured<Length>>| m.map(|m| (m.value.to_mm(), m.u.to_mm()));
        line("pitch", mm(r.pitch), s.pitch);
        line("major diameter", mm(r.major_diameter), s.major);
        line("minor diameter", mm(r.minor_diameter), s.minor);
        line("pitch diameter", mm(r.pitch_diameter), s.pitch_diameter);
        for (what, flank) in [("left flank", r.left_flank), ("right flank", r.right_flank)] {
            match flank {
                FlankReading::Angle { axial, .. } => {
                    line(what, Some((axial.value.to_deg(), axial.u.to_deg())), s.flank);
                }
                FlankReading::AtMost(limit) => {
                    println!("{:6} {what:15} at most {:.2}", s.name, limit.to_deg());
                    assert!(s.flank <= limit.to_deg());
                }
                FlankReading::Unread => panic!("{}: {what} unread", s.name),
            }
        }
        assert_eq!(r.starts.map(|found| found.likely), Some(s.starts), "{}", s.name);
    }
    assert!(failed.is_empty(), "{failed:?}");
}

#[test]
fn what_is_beyond_this_reader_is_said() {
    let square = read(sample("s06").bytes, Scale::PxPerMm(24.6)).unwrap();
    assert!(square.pitch_diameter.is_none() && noted(&square, "hides it"));
    let near = read(sample("s09").bytes, Scale::PxPerMm(20.3)).unwrap();
    assert!(near.pitch_diameter.is_none() && near.ridges.is_empty() && noted(&near, "taken from near"));
}

#[test]
fn wear_is_seen_where_it_is() {
    let r = read(sample("s07").bytes, Scale::PxPerMm(22.4)).unwrap();
    assert!(noted(&r, "up to 0.28 mm"), "{:?}", r.notes);
    let worn: Vec<_> = r.ridges.iter().filter(|ridge| ridge.thickness_pitches < 0.47).collect();
    // 12 mm of a 4 mm pitch are worn, with 4 mm to run in at either end.
    assert!((5..=9).contains(&worn.len()), "{}", worn.len());
    for ridge in worn {
        // 0.28 mm of a 4 mm pitch.
        assert!((ridge.thickness_pitches - 0.43).abs() < 0.005, "{ridge:?}");
    }
}

#[test]
fn a_pin_gives_the_scale() {
    for name in ["s02", "s07", "s09"] {
        let s = sample(name);
        let pin = Length::mm(s.pin_mm.expect("has a pin"));
        let r = read(s.bytes, Scale::Pin(pin)).unwrap();
        let scale = r.px_per_mm.unwrap();
        assert!((scale.value - s.px_per_mm).abs() < 3.0 * scale.u, "{name}: {scale:?}");
        assert!(scale.u < 0.02 * scale.value);
        let major = r.major_diameter.unwrap();
        assert!((major.value.to_mm() - s.major).abs() < 3.0 * major.u.to_mm(), "{name}: {major:?}");
    }
    // A rule is no pin: no lengths rather than wrong ones.
    let r = read(sample("s06").bytes, Scale::Pin(Length::mm(8.0))).unwrap();
    assert!(r.pitch.is_none() && noted(&r, "No pin was found"));
}

/// The same pixels with a tag that says how the camera was held give the same sizes, upright.
#[test]
fn the_orientation_tag_is_followed() {
    let s = sample("s02");
    let plain = read(s.bytes, Scale::PxPerMm(s.px_per_mm)).unwrap();
    for (tag, upright) in [(1, false), (3, false), (6, true), (8, true)] {
        let r = read(&tagged(s.bytes, tag), Scale::PxPerMm(s.px_per_mm)).unwrap();
        let turned = r.axis.to_deg().rem_euclid(180.0);
        assert_eq!((60.0..120.0).contains(&turned), upright, "tag {tag}: {turned}");
        assert_eq!(r.size_px[0] < r.size_px[1], upright);
        let off = r.major_diameter.unwrap().value - plain.major_diameter.unwrap().value;
        assert!(off.abs() < Length::um(2.0), "tag {tag}: {off:?}");
    }
}

/// Puts an Exif segment with an orientation behind the start marker (Exif 2.32, 4.5.2 and table 4; TIFF 6.0).
fn tagged(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let mut exif = b"Exif\0\0MM\0\x2a\0\0\0\x08".to_vec();
    // One entry: tag 0x0112, type 3 (short), one value; then no further directory.
    exif.extend([0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0, 0, 0, 0, 0]);
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xff, 0xe1]);
    bytes.extend((exif.len() as u16 + 2).to_be_bytes());
    bytes.extend(exif);
    bytes.extend(&jpeg[2..]);
    bytes
}
