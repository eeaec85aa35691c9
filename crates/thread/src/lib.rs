//! Thread forms, series and limits: pure geometry and standards, with no I/O and no clock.
//!
//! - [`quantity`]: lengths, angles and forces as types, and the parser for what people type.
//! - [`family`]: one module per thread family; each implements [`Form`](family::Form) over tables in `data/`.
//! - [`catalogue`]: listed sizes by what is known of them.
//! - [`designation`]: a [`Thread`] and how it is written.
//! - [`limits`]: limits of size by class, each with its origin.
//! - [`profile`]: basic sizes and outlines in the axial plane.
//! - [`helicoid`]: the surface of a thread, and its sections by planes such as a tool's face.
//! - [`table`]: reader for the tables of `data/`, used by the crates above as well.
//! - [`wires`]: wires and balls in contact with a groove; used from the readings to the proof, so it lives here.
//!
//! Symbols follow ISO 5408: `d`, `d2`, `d3` for the external thread, `D4`, `D2`, `D1` for the internal
//! one, `P` pitch, `Ph` lead, `n` starts, `H1` thread engagement, `ac` crest clearance.

pub mod catalogue;
pub mod designation;
pub mod family;
pub mod helicoid;
pub mod limits;
pub mod profile;
pub mod quantity;
pub mod source;
pub mod table;
pub mod wires;

pub use designation::{Hand, Pitch, Thread};
pub use family::{Family, catalogue};
pub use limits::{Element, Limits};
pub use quantity::{Angle, Force, Length, Unit};
pub use source::Source;
