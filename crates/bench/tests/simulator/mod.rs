//! A simulator of worn threads and of the people who measure them, to judge the ranking by.
//!
//! ```text
//! population ─► part ─► person (leaf) ─► job as typed ─► evidence, identity ─► score
//! ```
//!
//! It shares no model, figure or code with `evidence` or `identity`: what a thread is comes from the catalogue and
//! from its limits of size, what happens to it and to the readings comes from the reasons written in each file. It is
//! not tuned to the ranking: where the two disagree, one of them is wrong about the workshop, and the reasons are
//! here to be argued with.

pub mod advice;
pub mod bench;
pub mod bound;
pub mod dice;
pub mod leaf;
pub mod part;
pub mod person;
pub mod population;
pub mod score;
