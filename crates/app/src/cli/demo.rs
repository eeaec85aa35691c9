//! The demo: the whole job in one command, on invented readings.

use super::args::DemoArgs;
use super::{Ended, Failed, Outcome, bad, jobs, out};
use crate::kept::{self, DEMOS};
use crate::terminal;
use flankwise_bench::report::StageName;
use flankwise_bench::{job, work};
use flankwise_store::export_to;

/// Runs the demo.
pub fn run(a: &DemoArgs) -> Outcome {
    let (name, text) = DEMOS[0];
    let job = job::read(text).map_err(|p| bad(name, p[0].words()))?;
    let whole = work(&job);
    out(&format!(
        "{} — an invented job.\nThe owner says: {}\n\n",
        job.job,
        job.story.as_deref().unwrap_or("nothing")
    ))?;
    for stage in StageName::ALL {
        out(&terminal::answer(&whole.said(stage), job.unit))?;
    }

    std::fs::create_dir_all(&a.out).map_err(|e| bad(a.out.display(), e))?;
    out("\n")?;
    for (file, pdf) in [
        ("demo-bench-sheet.pdf", flankwise_sheet::bench_pdf(&job, &whole, job.unit)),
        ("demo-quotation.pdf", flankwise_sheet::quotation_pdf(&job, &whole, job.unit)),
        ("demo-customer-sheet.pdf", flankwise_sheet::customer_pdf(&job, &whole, job.unit)),
    ] {
        let path = a.out.join(file);
        export_to(&path, pdf.map_err(|e| bad(file, e))?)?;
        out(&format!("Sheet written: {}\n", path.display()))?;
    }

    let store = jobs::open(a.data.as_deref())?;
    let kept = store.jobs()?;
    for (name, text) in DEMOS {
        if !kept.iter().any(|j| j.title == kept::title(text)) {
            kept::import(&store, text, name, kept::now()).map_err(|words| bad(name, words))?;
        }
    }
    let loopback = std::net::IpAddr::from([127, 0, 0, 1]);
    let show = |address| println!("Page: http://{address}/");
    if a.once {
        crate::web::visit(store, loopback, a.port, show).map_err(Failed)?;
    } else {
        crate::web::serve(store, loopback, a.port, |address| {
            show(address);
            println!("The page is up until Ctrl-C.");
        })
        .map_err(Failed)?;
    }
    Ok(Ended::Done)
}
