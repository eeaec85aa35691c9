//! The stages of a bench job, as pure functions of the job's inputs.
//!
//! ```text
//! job ─► evidence ─► identity ─► fit ─► route ─► tool ─► setup ─► cut ─► check
//! ```
//!
//! Each stage module has a `work` function that takes the results of the stages left of it and its own table
//! of the [`job::Job`], and gives an [`report::Outcome`]. A result says itself as a [`report::Section`], which
//! the command line, the page and the sheet all show; none of them computes. No stage does I/O, reads a clock
//! or rounds for display, and none imports a stage right of it (a test of the app crate holds that).

pub mod iso286;
pub mod job;
pub mod material;
pub mod reference;
pub mod report;

pub mod check;
pub mod cut;
pub mod evidence;
pub mod fit;
pub mod identity;
pub mod route;
pub mod setup;
pub mod tool;

pub mod quotation;

mod order;
mod whole;
pub use order::Stretch;
pub use whole::{Said, Whole, work, work_at_the_lathe};
