//! A thin face over the stages: command line and web page. It reads files and sockets, calls the pure crates, and
//! writes what they say; it computes nothing itself.

mod cli;
mod input;
mod json;
mod kept;
mod terminal;
mod web;

pub use cli::run;
pub use web::app;
