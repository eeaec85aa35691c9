//! What is printed: the sheet for the bench, and the report for the customer.

mod answer;
mod bench;
mod blocks;
mod customer;

use crate::SheetError;
use crate::drawing::{Drawing, PdfInfo, pdf};
use crate::paper::Head;
use flankwise_bench::Whole;
use flankwise_bench::job::Job;
use flankwise_thread::Unit;

/// Pages of the sheet for the bench: the answer, the tool, the order of work with its cautions, passes to tick,
/// measurements to fill in, drawings, findings, origins of the figures.
pub fn bench_pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    bench::pages(job, whole, unit)
}

/// The sheet for the bench as a PDF. The same job gives the same bytes.
pub fn bench_pdf(job: &Job, whole: &Whole, unit: Unit) -> Result<Vec<u8>, SheetError> {
    pdf(&bench_pages(job, whole, unit), &info(job, "bench sheet"))
}

/// Pages of the report for the customer: what was found, what is made, the ways and their price, what was
/// measured, cautions, lines to sign on.
pub fn customer_pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    customer::pages(job, whole, unit)
}

/// The report for the customer as a PDF.
pub fn customer_pdf(job: &Job, whole: &Whole, unit: Unit) -> Result<Vec<u8>, SheetError> {
    pdf(&customer_pages(job, whole, unit), &info(job, "report"))
}

fn info(job: &Job, kind: &str) -> PdfInfo {
    PdfInfo {
        title: format!("{}: {kind}", job.job),
        author: job.people.maker.clone(),
        date: job.people.date.as_deref().and_then(calendar),
    }
}

/// A date typed as year-month-day; anything else is printed as typed but not put into the file's properties.
fn calendar(typed: &str) -> Option<(u16, u8, u8)> {
    let mut parts = typed.split('-');
    let date = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
    (parts.next().is_none() && (1..=12).contains(&date.1) && (1..=31).contains(&date.2)).then_some(date)
}

fn head(job: &Job, kind: &str, key: &str) -> Head {
    let mut foot = vec![job.job.clone()];
    foot.extend(job.people.maker.clone());
    foot.extend(job.people.date.clone());
    Head {
        key: key.to_owned(),
        title: format!("{} · {kind}", job.job),
        foot: foot.join(" · "),
        stamp: job.invented.then(|| "Invented example".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::calendar;

    #[test]
    fn reads_only_whole_dates() {
        assert_eq!(calendar("2026-11-25"), Some((2026, 11, 25)));
        for odd in ["25.11.2026", "2026-13-01", "2026-11", "2026-11-25-1", "", "Tuesday"] {
            assert_eq!(calendar(odd), None, "{odd}");
        }
    }
}
