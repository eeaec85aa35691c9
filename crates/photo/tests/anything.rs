//! Whatever bytes or pixels come in, there is an answer or an error, never a panic.

mod render;

use flankwise_photo::{Scale, read};
use proptest::prelude::*;

const JPEG: &[u8] = include_bytes!("fixtures/s02.jpg");

fn must_answer(bytes: &[u8]) {
    match read(bytes, Scale::PxPerMm(10.0)) {
        Ok(r) => {
            assert!(r.pitch_px.is_finite() && r.pitch_px > 0.0);
            for length in
                [r.pitch, r.major_diameter, r.minor_diameter, r.pitch_diameter].into_iter().flatten()
            {
                assert!(length.value.is_finite() && length.u.is_finite() && length.u.to_mm() > 0.0);
            }
        }
        Err(e) => assert!(!e.to_string().is_empty()),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        must_answer(&bytes);
    }

    #[test]
    fn any_bytes_after_a_head(which in 0..3_usize, bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        let head: &[u8] = [&b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR"[..], b"\xff\xd8\xff\xe0\0\x10JFIF\0", b"\xff\xd8\xff\xe1"][which];
        must_answer(&[head, &bytes].concat());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn a_picture_cut_short_or_altered(cut in 0..JPEG.len(), at in 2..JPEG.len(), to in any::<u8>()) {
        must_answer(&JPEG[..cut]);
        let mut altered = JPEG.to_vec();
        altered[at] = to;
        must_answer(&altered);
    }

    /// Bars, checks, noise: pictures of something, with and without regularity.
    #[test]
    fn any_pixels(
        size in prop::array::uniform2(100..190_usize),
        period in prop::array::uniform2(1..40_usize),
        slant in -3..3_isize,
        levels in prop::array::uniform2(any::<u8>()),
        noise in 0..120_u8,
        seed in any::<u64>(),
    ) {
        let mut dice = seed | 1;
        let pixels = (0..size[0] * size[1]).map(|at| {
            let (x, y) = ((at % size[0]) as isize, (at / size[0]) as isize);
            let (a, b) = ((x + slant * y).rem_euclid(2 * period[0] as isize), y.rem_euclid(2 * period[1] as isize));
            let level = levels[usize::from((a < period[0] as isize) != (b < period[1] as isize))];
            dice ^= dice << 13;
            dice ^= dice >> 7;
            dice ^= dice << 17;
            level.saturating_add((dice % (u64::from(noise) + 1)) as u8)
        });
        must_answer(&render::png(size, pixels.collect()));
    }
}

#[test]
fn a_picture_that_claims_to_be_huge_is_refused_before_it_is_decoded() {
    // A PNG head: 60000 x 60000, 8-bit grey; the checksum is that of these bytes (computed with zlib's crc32).
    let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
    bytes.extend(60_000_u32.to_be_bytes());
    bytes.extend(60_000_u32.to_be_bytes());
    bytes.extend([8, 0, 0, 0, 0]);
    bytes.extend(crc(&bytes[12..]).to_be_bytes());
    bytes.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e\0\0\0\0IEND\xae\x42\x60\x82");
    let refused = read(&bytes, Scale::None).unwrap_err().to_string();
    assert!(refused.contains("too large"), "{refused}");
}

/// CRC-32 as PNG has it (ISO/IEC 15948, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 })
    })
}
