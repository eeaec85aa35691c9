//! Writes the sheets and drawings of a job file: `demo_sheet JOB.toml OUT_FOLDER [mm|in]`.

use flankwise_sheet::drawing::{SvgOptions, svg};
use std::path::Path;
use std::time::Instant;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let usage = "demo_sheet JOB.toml OUT_FOLDER [mm|in]";
    let (job_file, out) = (args.next().ok_or(usage)?, args.next().ok_or(usage)?);
    let text = std::fs::read_to_string(&job_file)?;
    let job = flankwise_bench::job::read(&text).map_err(|problems| format!("{problems:#?}"))?;
    let unit = match args.next().as_deref() {
        Some("mm") => flankwise_thread::Unit::Mm,
        Some("in") => flankwise_thread::Unit::Inch,
        _ => job.unit,
    };
    let started = Instant::now();
    let whole = flankwise_bench::work(&job);
    println!("stages {:?}", started.elapsed());
    let out = Path::new(&out);
    std::fs::create_dir_all(out)?;
    let started = Instant::now();
    let bench = flankwise_sheet::bench_pdf(&job, &whole, unit)?;
    println!("bench sheet {:?}, {} bytes", started.elapsed(), bench.len());
    std::fs::write(out.join("bench.pdf"), bench)?;
    let started = Instant::now();
    let report = flankwise_sheet::customer_pdf(&job, &whole, unit)?;
    println!("report {:?}, {} bytes", started.elapsed(), report.len());
    std::fs::write(out.join("report.pdf"), report)?;
    let started = Instant::now();
    let record = flankwise_sheet::record_pdf(&job, &whole, unit)?;
    println!("record {:?}, {} bytes", started.elapsed(), record.len());
    std::fs::write(out.join("record.pdf"), record)?;
    for drawing in flankwise_sheet::figures::all(&job, &whole, unit) {
        for fault in drawing.faults() {
            println!("FAULT {fault}");
        }
        std::fs::write(out.join(format!("{}.svg", drawing.key)), svg(&drawing, &SvgOptions::default()))?;
    }
    Ok(())
}
