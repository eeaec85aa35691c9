//! The quotation and the sheet.

use super::args::{QuotationArgs, SheetArgs};
use super::{Ended, Outcome, bad, out, out_json};
use crate::terminal;
use crate::{input, json};
use flankwise_bench::{quotation, work};
use flankwise_store::export_to;
use flankwise_thread::Unit;

/// The quotation as text.
pub fn quotation(a: &QuotationArgs) -> Outcome {
    let job = input::read_job(&a.job)?;
    let unit = a.unit.map_or(job.unit, Unit::from);
    let outcome = quotation::work(&job, &work(&job));
    if a.json {
        out_json(&json::quotation(&outcome, unit))?;
    } else if outcome.impossible() {
        let mut text = "Nothing is offered yet.\n".to_owned();
        terminal::notes(&mut text, &outcome.notes, unit);
        out(&text)?;
    } else if let Some(quotation) = &outcome.result {
        let mut text = terminal::answered(&quotation.answer(), &quotation.blocks(), unit, false);
        terminal::needs(&mut text, &outcome.needs);
        terminal::notes(&mut text, &outcome.notes, unit);
        out(&text)?;
    }
    match &outcome.result {
        None if outcome.impossible() => Ok(Ended::No),
        None => {
            let fields: Vec<_> = outcome.needs.iter().map(|n| format!("{}: {}", n.field, n.what)).collect();
            Err(format!("{}: not enough to go on; {}", a.job.display(), fields.join("; ")).into())
        }
        Some(quotation) if quotation.offered.is_empty() => Ok(Ended::No),
        Some(_) => Ok(Ended::Done),
    }
}

/// Writes a job's sheet.
pub fn sheet(a: &SheetArgs) -> Outcome {
    let job = input::read_job(&a.job)?;
    let unit = a.unit.map_or(job.unit, Unit::from);
    let whole = work(&job);
    let render = match (a.customer, a.quotation, a.record) {
        (true, _, _) => flankwise_sheet::customer_pdf,
        (_, true, _) => flankwise_sheet::quotation_pdf,
        (_, _, true) => flankwise_sheet::record_pdf,
        _ => flankwise_sheet::bench_pdf,
    };
    let pdf = render(&job, &whole, unit).map_err(|e| bad(a.job.display(), e))?;
    export_to(&a.output, &pdf)?;
    if a.json {
        out_json(&serde_json::json!({"written": a.output.display().to_string(), "bytes": pdf.len()}))?;
    } else {
        eprintln!("{} written ({} kB)", a.output.display(), pdf.len().div_ceil(1000));
    }
    Ok(if whole.impossible() { Ended::No } else { Ended::Done })
}
