//! A simulator of worn threads and of the people who measure them, to judge the ranking by.
//!
//! ```text
//! population ─► part ─► person (leaf) ─► job as typed ─► evidence, identity ─► score
//! ```
//!
//! It shares no model, figure or code with `evidence` or `identity`: what a thread is comes from the catalogue and
//! from its limits of size, what happens to it and to the readings comes from the reasons written in each file. Where
//! the two disagree, one of them is wrong about the workshop, and the reasons are here to be argued with; none is to be
//! changed for the sake of a figure. Five habits were revised once, after the errors of the first run had been read;
//! `docs/VALIDATION.md` names them and what that moved.

pub mod advice;
pub mod bench;
pub mod bound;
pub mod dice;
pub mod leaf;
pub mod part;
pub mod person;
pub mod population;
pub mod score;
