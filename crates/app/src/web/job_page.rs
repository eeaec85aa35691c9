//! The job as one sheet, read from top to bottom: at each stage what goes in, and what comes out.

use super::edit::{self, Desk};
use super::say::{Around, RowLink};
use super::worked::Worked;
use super::{App, chosen_unit, compare_page, form, lathes_page, quotation_page, say, shell, store_trouble};
use crate::kept;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use flankwise_bench::Whole;
use flankwise_bench::identity::Terms;
use flankwise_bench::job;
use flankwise_bench::report::{StageName, Value as Shown, show};
use flankwise_sheet::drawing::Drawing;
use flankwise_sheet::figures;
use flankwise_store::{Job as Kept, JobId, Store};
use flankwise_thread::{Thread, Unit};
use maud::{Markup, html};
use serde_json::{Value, json};
use std::sync::Arc;

/// Jobs, as texts that are kept and edited.
pub enum Jobs {}

impl Desk for Jobs {
    const AT: &'static str = "/jobs";
    const WORD: &'static str = "job";
    fn store(app: &App) -> &Store {
        &app.store
    }
    fn title(text: &str) -> String {
        kept::title(text)
    }
    fn page(app: &App, kept: &Kept, headers: &HeaderMap, message: Option<&str>) -> Markup {
        page(app, kept, headers, message)
    }
    fn pieces(app: &App, text: &str, kept: &Kept, headers: &HeaderMap) -> Value {
        let worked = app.cache.get(text);
        let unit = unit_of(&worked, headers);
        pieces(&worked, kept, unit)
    }
}

fn unit_of(worked: &Worked, headers: &HeaderMap) -> Unit {
    chosen_unit(headers).or_else(|| worked.job.as_ref().map(|j| j.unit)).unwrap_or(Unit::Mm)
}

fn page(app: &App, kept: &Kept, headers: &HeaderMap, message: Option<&str>) -> Markup {
    let worked = app.cache.get(&kept.text);
    let unit = unit_of(&worked, headers);
    let head = &kept.head;
    let base = format!("/jobs/{}", head.id);
    let bar = html! {
        nav.stages aria-label="Stages" {
            @for stage in StageName::ALL { a href={ "#" (stage.key()) } { (stage.title()) } }
        }
        span #saved role="status" { "Saved" }
        (edit::step_button(&base, "undo", "Undo", kept.undo.as_deref()))
        (edit::step_button(&base, "redo", "Redo", kept.redo.as_deref()))
        a.button href={ (base) "/lathe" } { "At the lathe" }
    };
    let drawn = drawings(&worked, unit);
    let main = html! {
        (edit::head::<Jobs>(kept, message))
        @if worked.job.as_ref().is_some_and(|j| j.invented) { p.invented { "Invented example" } }
        form.sheet #sheet method="post" action={ (base) "/fields" } data-at=(base) data-revision=(head.revision) {
            input type="hidden" name="base" value=(head.revision);
            // The first submit button is the one that Enter presses; without script it saves.
            button.quiet.noscript formaction={ (base) "/fields" } { "Save" }
            div.tools {
                a.button href={ (base) "/bench.pdf" } { "Bench sheet (PDF)" }
                a.button href={ (base) "/quotation" } { "Quotation" }
                a.button href={ (base) "/customer.pdf" } { "Customer sheet (PDF)" }
                a.button href={ (base) "/record.pdf" } { "Full record (PDF)" }
                a.button href={ (base) "/job.toml" } { "Job file" }
                a href={ (base) "/text" } { "Edit as text" }
                a href={ (base) "/history" } { "History" }
            }
            div #loose { (edit::loose(&worked)) }
            @for (i, stage) in StageName::ALL.into_iter().enumerate() {
                section.stage id=(stage.key()) aria-labelledby={ (stage.key()) "-h" } {
                    h2 id={ (stage.key()) "-h" } { span.no { (i + 1) } " " (stage.title()) }
                    details.in id={ (stage.key()) "-in" } open {
                        summary { "What goes in" }
                        @if stage == StageName::Setup { (lathes_page::chooser(app, &worked, &base)) }
                        (form::stage(stage, &worked, &base)) button.noscript { "Save and work out" }
                    }
                    div.out id={ "say-" (stage.key()) } { (say_stage(&worked, &drawn, stage, unit, &base)) }
                }
            }
            (form::materials())
            // The ranking is far from the reading that moves it, so its answer stays in sight.
            p.now #now aria-hidden="true" { (now(&worked, unit)) }
        }
    };
    shell::page(&head.title, unit, &bar, &main, Some("/sheet.js"))
}

/// Candidates in the line that stays in sight.
const IN_SIGHT: usize = 3;

/// What the thread is, in one line: the first candidates with their chances.
fn now(worked: &Worked, unit: Unit) -> String {
    let Some(whole) = &worked.whole else { return String::new() };
    let candidates = whole.identity.result.iter().flat_map(|i| &i.candidates).take(IN_SIGHT);
    let said: Vec<String> = candidates
        .map(|c| format!("{}\u{a0} {}", c.thread, show::value(&Shown::Share(c.probability), unit)))
        .collect();
    match whole.said(StageName::Identity).section {
        Some(section) if said.is_empty() => show::text(&section.answer, unit),
        _ => said.join(" · "),
    }
}

/// Every drawing that the job's results allow.
fn drawings(worked: &Worked, unit: Unit) -> Vec<Drawing> {
    match (&worked.job, &worked.whole) {
        (Some(job), Some(whole)) => figures::all(job, whole, unit),
        _ => Vec::new(),
    }
}

/// The same drawing for a narrow screen, of those that can be drawn so.
fn narrow(drawing: &Drawing, worked: &Worked, unit: Unit) -> Option<Drawing> {
    let whole = worked.whole.as_ref()?;
    match drawing.key.as_str() {
        "candidates" => figures::candidates_overlay(
            whole.identity.result.as_ref()?,
            whole.evidence.result.as_ref(),
            unit,
            figures::NARROW,
        ),
        "gear-train" => {
            figures::gear_train(whole.setup.result.as_ref()?, worked.job.as_ref()?, unit, figures::NARROW)
        }
        "ways" => figures::ways(whole.route.result.as_ref()?, unit, figures::NARROW),
        "stability" => figures::stability(whole.cut.result.as_ref()?, unit, figures::NARROW),
        _ => None,
    }
}

/// The stage that a drawing stands at.
fn stage_of(drawing: &Drawing) -> StageName {
    match drawing.key.as_str() {
        "candidates" => StageName::Identity,
        "ways" => StageName::Route,
        "tool-grind" | "bar-in-bore" | "template" => StageName::Tool,
        "gear-train" => StageName::Setup,
        "stability" => StageName::Cut,
        _ => StageName::Fit,
    }
}

/// What a stage says, with its drawings.
fn say_stage(worked: &Worked, drawings: &[Drawing], stage: StageName, unit: Unit, base: &str) -> Markup {
    let Some(whole) = &worked.whole else {
        return html! { p.answer.waiting { "Waits for the fields marked as wrong." } };
    };
    let here = drawings.iter().filter(|d| stage_of(d) == stage);
    let drawn: Vec<Markup> = here.map(|d| say::drawing(d, narrow(d, worked, unit))).collect();
    let to = format!("{base}/fields");
    let beside = |table: &str, row: usize, thread: &Thread| beside(worked, table, row, thread);
    say::stage(&whole.said(stage), &drawn, &Around { unit, answers: Some(&to), row_link: &beside })
}

/// The link that puts a row's thread beside the first candidate, or the first beside the second, read with what the job
/// has at hand.
fn beside(worked: &Worked, table: &str, row: usize, thread: &Thread) -> Option<RowLink> {
    let candidates = &worked.whole.as_ref()?.identity.result.as_ref()?.candidates;
    let first = &candidates.first()?.thread;
    let (other, words) = match (table, row) {
        ("candidates", 0) => (&candidates.get(1)?.thread, "beside the second"),
        ("candidates" | "rivals", _) => (thread, "beside the first"),
        _ => return None,
    };
    let to = compare_page::address(first, other, &Terms::of(worked.job.as_ref()?));
    Some(RowLink { to, words, whole: format!("{other} beside {first}") })
}

/// What the script needs to bring the page up to date.
fn pieces(worked: &Worked, kept: &Kept, unit: Unit) -> Value {
    let drawn = drawings(worked, unit);
    let base = format!("/jobs/{}", kept.head.id);
    let say: serde_json::Map<String, Value> = StageName::ALL
        .into_iter()
        .map(|s| (s.key().to_owned(), json!(say_stage(worked, &drawn, s, unit, &base).into_string())))
        .collect();
    json!({
        "revision": kept.head.revision,
        "title": kept.head.title,
        "undo": kept.undo,
        "redo": kept.redo,
        "say": say,
        "wrong": edit::wrong(worked),
        "now": now(worked, unit),
        "loose": edit::loose(worked).into_string(),
    })
}

/// The sheet for the bench.
pub async fn bench_pdf(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    pdf(&app, id, &headers, "bench", flankwise_sheet::bench_pdf)
}

/// The sheet for the customer.
pub async fn customer_pdf(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    pdf(&app, id, &headers, "customer", flankwise_sheet::customer_pdf)
}

/// The quotation.
pub async fn quotation_pdf(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    pdf(&app, id, &headers, "quotation", flankwise_sheet::quotation_pdf)
}

/// The full record.
pub async fn record_pdf(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    pdf(&app, id, &headers, "record", flankwise_sheet::record_pdf)
}

type Render = fn(&job::Job, &Whole, Unit) -> Result<Vec<u8>, flankwise_sheet::SheetError>;

fn pdf(app: &App, id: i64, headers: &HeaderMap, word: &str, render: Render) -> Response {
    let kept = match app.store.load(JobId(id)) {
        Ok(kept) => kept,
        Err(e) => return store_trouble(&e),
    };
    let worked = app.cache.get(&kept.text);
    let back = format!("/jobs/{id}");
    let (job, whole) = match worked.for_paper() {
        Ok(both) => both,
        Err(words) => return quotation_page::refused(&words, &back),
    };
    match render(job, whole, unit_of(&worked, headers)) {
        Ok(bytes) => {
            let name = format!("inline; filename=\"{}-{word}.pdf\"", edit::file_stem(&kept.head.title));
            (
                [(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, name)],
                bytes,
            )
                .into_response()
        }
        Err(e) => (StatusCode::INTERNAL_SERVER_ERROR, shell::trouble("No sheet", &e.to_string(), &back))
            .into_response(),
    }
}
