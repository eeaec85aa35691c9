//! Why a picture gives no readings at all.

use std::fmt;

/// Why a picture gives no readings at all, and what would help.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum PhotoError {
    /// The file is not of a kind that can be read.
    NotAPicture,
    /// The file begins as a picture, but can't be decoded.
    Damaged(String),
    /// The picture has too few pixels.
    TooSmall {
        /// Its width in pixels.
        width: u32,
        /// Its height in pixels.
        height: u32,
        /// The least length of the shorter side, in pixels.
        least_side: u32,
    },
    /// The picture needs more memory than is set aside for it.
    TooLarge {
        /// The most pixels accepted.
        most_pixels: u64,
    },
    /// Screw and background can't be told apart.
    NoContrast,
    /// There is a body, but its outline is not that of a thread.
    NoThread {
        /// What is missing.
        why: &'static str,
    },
    /// The scale given is not a number above zero.
    BadScale,
}

impl fmt::Display for PhotoError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAPicture => f.write_str("not a picture that can be read; JPEG and PNG files are accepted"),
            Self::Damaged(why) => write!(f, "the picture can't be decoded ({why}); take or copy it again"),
            Self::TooSmall { width, height, least_side } => write!(
                f,
                "the picture is {width} x {height} pixels; at least {least_side} on the shorter side are needed, \
                 and 60 for each pitch do well"
            ),
            Self::TooLarge { most_pixels } => write!(
                f,
                "the picture is too large: up to {} million pixels are read. Reduce it, or cut it to the screw",
                most_pixels / 1_000_000
            ),
            Self::NoContrast => f.write_str(
                "screw and background can't be told apart; put the light behind the screw, or white paper under it",
            ),
            Self::NoThread { why } => write!(
                f,
                "no thread found: {why}. The screw should cross the picture dark on a plain light ground, square to \
                 the view, with at least four pitches in sight, and be the largest thing in it"
            ),
            Self::BadScale => f.write_str("the scale must be a number above zero"),
        }
    }
}

impl std::error::Error for PhotoError {}
