//! Text output of the commands that are not stages, and the sheet.

use super::args::SheetArgs;
use super::{Ended, Outcome, bad, out_json};
use crate::input;
use crate::terminal::grid;
use flankwise_bench::setup::Train;
use flankwise_bench::work;
use flankwise_store::export_to;
use flankwise_thread::Unit;

/// Gear trains as a table.
pub fn trains(trains: &[Train], searched: usize) -> String {
    if trains.is_empty() {
        return format!("No train of these gears comes near that lead ({searched} looked at).\n");
    }
    let mut grid = grid();
    grid.set_header(["drivers", "driven", "idler", "box", "lead mm", "error ppm", "meshes"]);
    for t in trains {
        let teeth = |gears: &[u32]| gears.iter().map(ToString::to_string).collect::<Vec<_>>().join(" · ");
        grid.add_row([
            teeth(&t.drivers),
            teeth(&t.driven),
            t.idler.map(|z| z.to_string()).unwrap_or_default(),
            t.gearbox.clone().unwrap_or_default(),
            format!("{:.5}", t.lead.to_mm()),
            format!("{:+.0}", t.error_ppm),
            if t.meshes { "yes".to_owned() } else { format!("no: {}", t.why_not) },
        ]);
    }
    format!(
        "{grid}\n{searched} trains looked at. Drivers from the stud on, each beside the gear it drives.\n"
    )
}

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
