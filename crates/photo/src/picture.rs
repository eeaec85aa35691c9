//! From a file's bytes to light.

use std::io::Cursor;

use image::{DynamicImage, ImageDecoder, ImageError, ImageReader, Limits};

use crate::PhotoError;

/// The least length of the short side, in pixels: below it no thread has enough pixels to a pitch.
const LEAST_SIDE_PX: u32 = 100;
/// The most pixels: what telephones give at their finest; it takes about 800 MB in here.
const MOST_PIXELS: u64 = 64_000_000;
/// What the decoder may allocate, in bytes: [`MOST_PIXELS`] at four channels of 16 bits.
const MOST_ALLOCATED: u64 = 512 * 1024 * 1024;

/// A picture as linear light, upright.
pub(crate) struct Picture {
    pub(crate) width: usize,
    pub(crate) height: usize,
    /// Light of each pixel, row by row; 0 is black, 1 the most the file can hold.
    pub(crate) light: Vec<f32>,
}

/// Decodes a JPEG or PNG picture, turns it the way its orientation tag says, and undoes the tone curve.
pub(crate) fn decode(bytes: &[u8]) -> Result<Picture, PhotoError> {
    let mut reader =
        ImageReader::new(Cursor::new(bytes)).with_guessed_format().map_err(|_| PhotoError::NotAPicture)?;
    if reader.format().is_none() {
        return Err(PhotoError::NotAPicture);
    }
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_ALLOCATED);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(refused)?;
    let (width, height) = decoder.dimensions();
    if width.min(height) < LEAST_SIDE_PX {
        return Err(PhotoError::TooSmall { width, height, least_side: LEAST_SIDE_PX });
    }
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(PhotoError::TooLarge { most_pixels: MOST_PIXELS });
    }
    // A broken tag is no reason to refuse the picture.
    let orientation = decoder.orientation().unwrap_or(image::metadata::Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(refused)?;
    picture.apply_orientation(orientation);
    let (width, height) = (picture.width() as usize, picture.height() as usize);

    let curve: Vec<f32> = (0..=u16::MAX).map(|v| linear(f64::from(v) / 65535.0) as f32).collect();
    let light = if picture.has_alpha() {
        // What shines through a transparent pixel is taken for the lamp.
        let opaque = |pixel: &image::LumaA<u16>| f32::from(pixel.0[1]) / 65535.0;
        let grey = picture.into_luma_alpha16();
        grey.pixels().map(|p| curve[usize::from(p.0[0])] * opaque(p) + 1.0 - opaque(p)).collect()
    } else {
        picture.into_luma16().pixels().map(|p| curve[usize::from(p.0[0])]).collect()
    };
    Ok(Picture { width, height, light })
}

/// The sRGB tone curve undone (IEC 61966-2-1:1999, 5.2). Half of the *encoded* value is not half of the
/// light, so edges taken there would lie inside the true ones.
fn linear(encoded: f64) -> f64 {
    if encoded <= 0.04045 { encoded / 12.92 } else { ((encoded + 0.055) / 1.055).powf(2.4) }
}

fn refused(error: ImageError) -> PhotoError {
    match error {
        ImageError::Unsupported(_) => PhotoError::NotAPicture,
        ImageError::Limits(_) => PhotoError::TooLarge { most_pixels: MOST_PIXELS },
        other => PhotoError::Damaged(other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published pairs of the curve: the join, and the mid grey that encodes 21.4 % of light (IEC 61966-2-1).
    #[test]
    fn tone_curve() {
        assert_eq!(linear(0.0), 0.0);
        assert!((linear(1.0) - 1.0).abs() < 1e-12);
        assert!((linear(0.5) - 0.2140).abs() < 5e-5);
        assert!((linear(0.04045) - 0.003_130_8).abs() < 1e-6);
    }

    #[test]
    fn what_is_no_picture_is_refused() {
        for bytes in
            [&b""[..], b"job = \"Board shear\"", b"GIF89a......", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0"]
        {
            assert!(
                matches!(decode(bytes), Err(PhotoError::NotAPicture | PhotoError::Damaged(_))),
                "{bytes:?}"
            );
        }
    }
}
