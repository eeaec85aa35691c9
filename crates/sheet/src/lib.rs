//! Drawings and printed sheets of a computed job.
//!
//! ```text
//! Job + Whole ─► figures (drawings) ─┐
//!            └─► sheet (what to print) ─► paper (pages, also drawings) ─► drawing::{svg, pdf}
//! ```
//!
//! Nothing here computes a size: numbers come from the stages' results and are written by
//! [`flankwise_bench::report::show`]. A drawing only turns them into places on paper.

pub mod drawing;
pub mod figures;
pub mod font;
mod paper;
mod sheet;

pub use font::{font_bold, font_regular};
pub use sheet::{
    bench_pages, bench_pdf, customer_pages, customer_pdf, quotation_pages, quotation_pdf, record_pages,
    record_pdf,
};

/// Why there is no sheet.
#[derive(Clone, Debug, PartialEq)]
pub enum SheetError {
    /// The packaged type could not be read: the build is broken.
    Font,
    /// A page has no size.
    Size(f64, f64),
    /// The PDF library refused.
    Pdf(String),
}

impl std::fmt::Display for SheetError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Font => {
                f.write_str("the packaged type cannot be read; this build of the program is broken")
            }
            Self::Size(w, h) => write!(f, "a page of {w} mm by {h} mm cannot be printed"),
            Self::Pdf(why) => write!(f, "the PDF could not be written: {why}"),
        }
    }
}

impl std::error::Error for SheetError {}
