//! A picture of an external thread in, readings out.
//!
//! The picture is a silhouette: the screw dark before a light (a lamp behind it, a scanner with its lid open, or
//! a sheet of paper), its axis about square to the view. The way through it:
//!
//! ```text
//! picture → silhouette → outline → axis → comb → ridges → flank ┐
//!  (light)   (shade)    (points)                     helicoid ──┴→ reading
//! ```
//!
//! Lengths need a scale; angles and ratios don't. The shadow of a screw is not its axial section, so flank angles
//! and pitch diameter are corrected by the lead (see `helicoid.rs`). A shadow does not show the hand, and a flank
//! steeper than some angle hides behind the rim of its crest; then only that limit is told.
//!
//! Every reading carries a standard uncertainty (GUM, JCGM 100:2008, section 2.3.1): from the differences between
//! ridges and edges, from how far a reading moves when the edge is taken at 40 % or 60 % of the light, and for
//! lengths from the scale.
//!
//! ```
//! use flankwise_photo::{FlankReading, Scale, read};
//! use flankwise_thread::Length;
//!
//! // A drawn picture of a two-start 16 mm screw with a 5 mm pin beside it.
//! let picture = include_bytes!("../tests/fixtures/s02.jpg");
//! let seen = read(picture, Scale::Pin(Length::mm(5.0)))?;
//! let pitch = seen.pitch.expect("the pin gives a scale");
//! assert!((pitch.value.to_mm() - 4.0).abs() < 3.0 * pitch.u.to_mm());
//! let FlankReading::Angle { axial, .. } = seen.left_flank else { panic!() };
//! assert!((axial.value.to_deg() - 15.0).abs() < 3.0 * axial.u.to_deg());
//! # Ok::<(), flankwise_photo::PhotoError>(())
//! ```

mod axis;
mod comb;
mod error;
mod flank;
mod helicoid;
mod outline;
mod picture;
mod pin;
mod reading;
mod ridges;
mod silhouette;
mod statistics;

pub use error::PhotoError;
pub use reading::{Edge, FlankReading, Measured, PhotoReadings, RidgeReading, Scale, Starts, read};
