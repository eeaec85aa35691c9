//! What is printed: the sheet for the bench, the record of the job, and the customer's quotation and report.

mod answer;
mod bench;
mod blocks;
mod customer;
mod quotation;
mod record;

use crate::SheetError;
use crate::drawing::{Drawing, PdfInfo, pdf};
use crate::paper::{BODY, Head, Run, plain};
use blocks::Writer;
use flankwise_bench::Whole;
use flankwise_bench::job::Job;
use flankwise_thread::Unit;

/// Pages of the sheet for the bench, a few: the answer, the tool, the order of work with its cautions, passes to
/// tick, measurements to fill in, drawings.
pub fn bench_pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    bench::pages(job, whole, unit)
}

/// The sheet for the bench as a PDF. The same job gives the same bytes.
pub fn bench_pdf(job: &Job, whole: &Whole, unit: Unit) -> Result<Vec<u8>, SheetError> {
    pdf(&bench_pages(job, whole, unit), &info(job, "bench sheet"))
}

/// Pages of the record, to be filed: evidence, identity and every other stage in full, with the origin of each
/// figure.
pub fn record_pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    record::pages(job, whole, unit)
}

/// The record as a PDF.
pub fn record_pdf(job: &Job, whole: &Whole, unit: Unit) -> Result<Vec<u8>, SheetError> {
    pdf(&record_pages(job, whole, unit), &info(job, "record"))
}

/// Pages of the quotation for the customer: what was found, what is proposed, ways and prices to choose from, terms,
/// cautions, lines to sign on.
pub fn quotation_pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    quotation::pages(job, whole, unit)
}

/// The quotation as a PDF.
pub fn quotation_pdf(job: &Job, whole: &Whole, unit: Unit) -> Result<Vec<u8>, SheetError> {
    pdf(&quotation_pages(job, whole, unit), &info(job, "quotation"))
}

/// Pages of the report for the customer: what was found, what is made and how, what was measured, cautions, lines to
/// sign on.
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

/// Whose job it is.
fn letterhead(w: &mut Writer, job: &Job) {
    w.paper.paragraph(&[Run::bold(job.job.clone())], 6.0);
    let mut words = Vec::new();
    let mut say = |what: &str, who: &Option<String>| {
        if let Some(who) = who {
            words.push(format!("{what} {who}"));
        }
    };
    say("For", &job.people.customer);
    say("by", &job.people.maker);
    say("on", &job.people.date);
    say("Machine:", &job.context.machine);
    if !words.is_empty() {
        w.paper.paragraph(&plain(words.join(" · ")), BODY);
    }
}

fn sign(w: &mut Writer, job: &Job) {
    w.paper.heading("Signed", 24.0);
    let maker = job.people.maker.clone().unwrap_or_else(|| "Made by".to_owned());
    w.paper.signatures(&[format!("{maker}, made"), "Checked".to_owned(), "Date".to_owned()]);
}

/// Lines for maker and customer to sign on.
fn sign_both(w: &mut Writer, job: &Job) {
    let name = |who: &Option<String>, role: &str| {
        who.as_ref().map_or_else(|| role.to_owned(), |name| format!("{name}, {}", role.to_lowercase()))
    };
    w.paper.signatures(&[
        name(&job.people.maker, "Maker"),
        name(&job.people.customer, "Customer"),
        "Date".to_owned(),
    ]);
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
