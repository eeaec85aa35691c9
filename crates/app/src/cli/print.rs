//! The sheet.

use super::args::SheetArgs;
use super::{Ended, Outcome, bad, out_json};
use crate::input;
use flankwise_bench::work;
use flankwise_store::export_to;
use flankwise_thread::Unit;

/// Writes a job's sheet.
pub fn sheet(a: &SheetArgs) -> Outcome {
    let job = input::read_job(&a.job)?;
    let unit = a.unit.map_or(job.unit, Unit::from);
    let whole = work(&job);
    let render = match (a.customer, a.record) {
        (true, _) => flankwise_sheet::customer_pdf,
        (_, true) => flankwise_sheet::record_pdf,
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
