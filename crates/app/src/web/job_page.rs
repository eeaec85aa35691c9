//! The job as one sheet, read from top to bottom: at each stage what goes in, and what comes out.

use super::worked::Worked;
use super::{App, chosen_unit, form, save_trouble, say, shell, store_trouble};
use crate::kept;
use axum::Form;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use flankwise_bench::job::{self, Edit, EditError, Typed};
use flankwise_bench::report::{StageName, show};
use flankwise_sheet::drawing::{Drawing, SvgOptions, svg};
use flankwise_sheet::figures;
use flankwise_store::{Job as Kept, JobId, SaveError, Saved};
use flankwise_thread::Unit;
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

/// Where a person goes on after a change without script.
#[derive(Deserialize)]
pub struct Changed {
    base: i64,
    #[serde(default)]
    path: String,
    #[serde(default)]
    typed: String,
}

/// The page.
pub async fn show(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    match app.store.load(JobId(id)) {
        Ok(kept) => page(&app, &kept, &headers, None).into_response(),
        Err(e) => store_trouble(&e),
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
        (step_button(&base, "undo", "Undo", kept.undo.as_deref()))
        (step_button(&base, "redo", "Redo", kept.redo.as_deref()))
        a.button href={ (base) "/lathe" } { "At the lathe" }
    };
    let drawn = drawings(&worked, unit);
    let main = html! {
        @if head.removed_at.is_some() {
            div.note.warning {
                "This job is put away and can be read but not changed. "
                form.inline method="post" action={ (base) "/bring-back" } { button { "Bring it back" } }
            }
        }
        @if let Some(message) = message { p.note.warning role="alert" { (message) } }
        div #told role="status" aria-live="polite" {}
        h1 { (head.title) }
        @if worked.job.as_ref().is_some_and(|j| j.invented) { p.invented { "Invented example" } }
        form.sheet #sheet method="post" action={ (base) "/fields" } data-job=(head.id) data-revision=(head.revision) {
            input type="hidden" name="base" value=(head.revision);
            // The first submit button is the one that Enter presses; without script it saves.
            button.quiet.noscript formaction={ (base) "/fields" } { "Save" }
            div.tools {
                a.button href={ (base) "/bench.pdf" } { "Bench sheet (PDF)" }
                a.button href={ (base) "/customer.pdf" } { "Customer sheet (PDF)" }
                a.button href={ (base) "/record.pdf" } { "Full record (PDF)" }
                a.button href={ (base) "/job.toml" } { "Job file" }
                a href={ (base) "/text" } { "Edit as text" }
                a href={ (base) "/history" } { "History" }
            }
            @let loose = loose_problems(&worked);
            div #loose { (problems(&loose)) }
            @for (i, stage) in StageName::ALL.into_iter().enumerate() {
                section.stage id=(stage.key()) aria-labelledby={ (stage.key()) "-h" } {
                    h2 id={ (stage.key()) "-h" } { span.no { (i + 1) } " " (stage.title()) }
                    div.in { (form::stage(stage, &worked)) button.noscript { "Save and work out" } }
                    div.out id={ "say-" (stage.key()) } { (say_stage(&worked, &drawn, stage, unit)) }
                }
            }
            (form::materials())
            // On a phone the ranking is far from the reading that moves it, so its answer stays in sight.
            p.now #now aria-hidden="true" { (now(&worked, unit)) }
        }
    };
    shell::page(&head.title, unit, &bar, &main, Some("/sheet.js"))
}

fn step_button(base: &str, action: &str, word: &str, what: Option<&str>) -> Markup {
    html! {
        button.small id=(action) form="sheet" formmethod="post" formaction={ (base) "/" (action) } disabled[what.is_none()] title=(what.unwrap_or("")) data-swap { (word) }
    }
}

/// What the thread is, in one line.
fn now(worked: &Worked, unit: Unit) -> String {
    let section = worked.whole.as_ref().and_then(|w| w.said(StageName::Identity).section);
    section.map_or_else(String::new, |s| show::text(&s.answer, unit))
}

/// Every drawing that the job's results allow.
fn drawings(worked: &Worked, unit: Unit) -> Vec<Drawing> {
    match (&worked.job, &worked.whole) {
        (Some(job), Some(whole)) => figures::all(job, whole, unit),
        _ => Vec::new(),
    }
}

/// The stage that a drawing stands at.
fn stage_of(drawing: &Drawing) -> StageName {
    match drawing.key.as_str() {
        "candidates" => StageName::Identity,
        "tool-grind" | "bar-in-bore" | "template" => StageName::Tool,
        "gear-train" => StageName::Setup,
        _ => StageName::Fit,
    }
}

/// What a stage says, with its drawings.
fn say_stage(worked: &Worked, drawings: &[Drawing], stage: StageName, unit: Unit) -> Markup {
    let Some(whole) = &worked.whole else {
        return html! { p.answer.waiting { "Waits for the fields marked as wrong." } };
    };
    let svgs: Vec<String> = drawings
        .iter()
        .filter(|d| stage_of(d) == stage)
        .map(|d| svg(d, &SvgOptions { sized: true }))
        .collect();
    say::stage(&whole.said(stage), &svgs, unit)
}

/// Problems that belong to no field on the page.
fn loose_problems(worked: &Worked) -> Vec<String> {
    worked
        .problems
        .iter()
        .filter(|p| p.field.is_empty() || worked.typed.raw(&p.field).is_none() && !p.field.ends_with(']'))
        .map(|p| if p.field.is_empty() { p.words() } else { format!("{}: {}", p.field, p.words()) })
        .collect()
}

fn problems(list: &[String]) -> Markup {
    html! { @for words in list { p.wrong.loose { (words) } } }
}

/// What the script needs to bring the page up to date.
fn pieces(worked: &Worked, kept: &Kept, unit: Unit) -> Value {
    let drawn = drawings(worked, unit);
    let say: serde_json::Map<String, Value> = StageName::ALL
        .into_iter()
        .map(|s| (s.key().to_owned(), json!(say_stage(worked, &drawn, s, unit).into_string())))
        .collect();
    let wrong: serde_json::Map<String, Value> =
        worked.problems.iter().map(|p| (worked.field_of(p).to_owned(), json!(p.words()))).collect();
    json!({
        "revision": kept.head.revision,
        "title": kept.head.title,
        "undo": kept.undo,
        "redo": kept.redo,
        "say": say,
        "wrong": wrong,
        "now": now(worked, unit),
        "loose": problems(&loose_problems(worked)).into_string(),
    })
}

fn wants_json(headers: &HeaderMap) -> bool {
    headers
        .get(header::ACCEPT)
        .and_then(|v| v.to_str().ok())
        .is_some_and(|a| a.starts_with("application/json"))
}

/// Works out a field's value while it is being typed; saves nothing.
pub async fn try_field(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(c): Form<Changed>,
) -> Response {
    let kept = match app.store.load(JobId(id)) {
        Ok(kept) => kept,
        Err(e) => return store_trouble(&e),
    };
    let edit = Edit::Set { path: c.path, typed: c.typed };
    match job::apply(&kept.text, &edit) {
        Ok(text) => {
            let worked = app.cache.get(&text);
            let unit = unit_of(&worked, &headers);
            axum::Json(pieces(&worked, &kept, unit)).into_response()
        }
        Err(e) => {
            (StatusCode::UNPROCESSABLE_ENTITY, axum::Json(json!({"told": e.to_string()}))).into_response()
        }
    }
}

/// Saves fields: one from the script, or all of a page without script (those that differ from what is kept).
pub async fn save_fields(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Response {
    let id = JobId(id);
    let base = pairs.iter().find(|(k, _)| k == "base").and_then(|(_, v)| v.parse().ok());
    let Some(base) = base else {
        return (StatusCode::BAD_REQUEST, "base: missing; accepted is the job's revision\n").into_response();
    };
    let base_text = match app.store.text_at(id, base) {
        Ok(text) => text,
        Err(e) => return store_trouble(&e),
    };
    let before = Typed::of(&base_text);
    let edits: Vec<Edit> = pairs
        .into_iter()
        .filter(|(path, _)| path != "base")
        .filter(|(path, typed)| before.raw(path).unwrap_or_default() != *typed)
        .map(|(path, typed)| Edit::Set { path, typed })
        .collect();
    change(&app, id, base, &base_text, &edits, &headers, None)
}

/// Adds an entry to an array of tables.
pub async fn add(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(c): Form<Changed>,
) -> Response {
    let n = app.store.text_at(JobId(id), c.base).map_or(0, |t| Typed::of(&t).count(&c.path)) + 1;
    let anchor = form::id(&format!("{}[{n}]", c.path));
    structural(&app, id, c.base, Edit::Add { path: c.path }, &headers, Some(anchor))
}

/// Takes an entry out.
pub async fn take_out(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(c): Form<Changed>,
) -> Response {
    structural(&app, id, c.base, Edit::Remove { path: c.path }, &headers, None)
}

fn structural(
    app: &App,
    id: i64,
    base: i64,
    edit: Edit,
    headers: &HeaderMap,
    anchor: Option<String>,
) -> Response {
    let id = JobId(id);
    match app.store.text_at(id, base) {
        Ok(base_text) => change(app, id, base, &base_text, &[edit], headers, anchor),
        Err(e) => store_trouble(&e),
    }
}

/// Makes edits that were made from `base`. If the job has moved on, edits of fields that nobody else changed are
/// merged; for a field that somebody else changed, the person is told and nothing is overwritten.
fn change(
    app: &App,
    id: JobId,
    base: i64,
    base_text: &str,
    edits: &[Edit],
    headers: &HeaderMap,
    anchor: Option<String>,
) -> Response {
    // Between reading the newest revision and saving on it, another tablet may save: try again on its text.
    for _ in 0..5 {
        let kept = match app.store.load(id) {
            Ok(kept) => kept,
            Err(e) => return store_trouble(&e),
        };
        let mut text = kept.text.clone();
        for edit in edits {
            let next = if kept.head.revision == base {
                job::apply(&text, edit)
            } else {
                job::merge(base_text, &text, edit)
            };
            text = match next {
                Ok(text) => text,
                Err(e) => return refused(app, &kept, &e, headers),
            };
        }
        let what = edits.iter().map(describe).collect::<Vec<_>>().join("; ");
        let title = kept::title(&text);
        match app.store.save(id, kept.head.revision, &text, &title, &what, kept::now()) {
            Ok(_) => {}
            Err(SaveError::Stale(_)) => continue,
            Err(e) => return not_saved(&e, headers),
        }
        return changed(app, id, headers, anchor.as_deref());
    }
    (StatusCode::CONFLICT, "The job changes too fast from elsewhere; try again.\n").into_response()
}

fn describe(edit: &Edit) -> String {
    match edit {
        Edit::Set { path, typed } if typed.is_empty() => format!("{path} cleared"),
        Edit::Set { path, typed } => format!("{path} = {typed}"),
        Edit::Add { path } => format!("{path} added"),
        Edit::Remove { path } => format!("{path} taken out"),
    }
}

/// After a change: pieces for the script, or the page again.
fn changed(app: &App, id: JobId, headers: &HeaderMap, anchor: Option<&str>) -> Response {
    if wants_json(headers) {
        match app.store.load(id) {
            Ok(kept) => {
                let worked = app.cache.get(&kept.text);
                let unit = unit_of(&worked, headers);
                axum::Json(pieces(&worked, &kept, unit)).into_response()
            }
            Err(e) => store_trouble(&e),
        }
    } else {
        let anchor = anchor.map(|a| format!("#{a}")).unwrap_or_default();
        Redirect::to(&format!("/jobs/{id}{anchor}")).into_response()
    }
}

fn refused(app: &App, kept: &Kept, error: &EditError, headers: &HeaderMap) -> Response {
    let told = error.to_string();
    let status = match error {
        EditError::Conflict { .. } => StatusCode::CONFLICT,
        _ => StatusCode::UNPROCESSABLE_ENTITY,
    };
    if wants_json(headers) {
        let mut body = json!({"told": told, "revision": kept.head.revision});
        if let EditError::Conflict { path, theirs, ours } = error {
            body["conflict"] = json!({"path": path, "theirs": theirs, "ours": ours});
        }
        (status, axum::Json(body)).into_response()
    } else {
        (status, page(app, kept, headers, Some(&told))).into_response()
    }
}

fn not_saved(error: &SaveError, headers: &HeaderMap) -> Response {
    if wants_json(headers) {
        let status = match error {
            SaveError::Store(flankwise_store::StoreError::Full { .. }) => StatusCode::INSUFFICIENT_STORAGE,
            SaveError::Store(_) => StatusCode::INTERNAL_SERVER_ERROR,
            _ => StatusCode::CONFLICT,
        };
        (status, axum::Json(json!({"told": error.to_string()}))).into_response()
    } else {
        save_trouble(error)
    }
}

/// Takes back the last change.
pub async fn undo(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(c): Form<Changed>,
) -> Response {
    let id = JobId(id);
    step(&app, id, app.store.undo(id, c.base, kept::now()), &headers)
}

/// Makes the last undone change again.
pub async fn redo(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(c): Form<Changed>,
) -> Response {
    let id = JobId(id);
    step(&app, id, app.store.redo(id, c.base, kept::now()), &headers)
}

fn step(app: &App, id: JobId, saved: Result<Saved, SaveError>, headers: &HeaderMap) -> Response {
    match saved {
        Ok(_) => changed(app, id, headers, None),
        Err(e) => not_saved(&e, headers),
    }
}

/// The newest revision, for a page that wants to know whether it is out of date.
pub async fn state(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Response {
    match app.store.load(JobId(id)) {
        Ok(kept) => axum::Json(json!({"revision": kept.head.revision})).into_response(),
        Err(e) => store_trouble(&e),
    }
}

/// Every change of the job.
pub async fn history(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    let id = JobId(id);
    let read = || Ok((app.store.load(id)?.head, app.store.history(id)?));
    let (head, entries) = match read() {
        Ok(both) => both,
        Err(e) => return store_trouble(&e),
    };
    let unit = chosen_unit(&headers).unwrap_or(Unit::Mm);
    let main = html! {
        h1 { "History of " (head.title) }
        p { a href={ "/jobs/" (id) } { "Back to the job" } }
        ol.history reversed {
            @for e in entries.iter().rev() {
                li value=(e.revision) {
                    (match e.kind.word() { "edit" => "", "create" => "begun ", other => other })
                    @if e.kind.word() != "edit" && !e.what.is_empty() { ": " }
                    (e.what)
                }
            }
        }
    };
    shell::page("History", unit, &html! {}, &main, None).into_response()
}

/// The job's text in one field, for what has no field of its own and for pasting.
pub async fn text(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    match app.store.load(JobId(id)) {
        Ok(kept) => text_page(&kept.text, &kept, &headers, None).into_response(),
        Err(e) => store_trouble(&e),
    }
}

fn text_page(shown: &str, kept: &Kept, headers: &HeaderMap, told: Option<&str>) -> Markup {
    let unit = chosen_unit(headers).unwrap_or(Unit::Mm);
    let main = html! {
        h1 { (kept.head.title) ", as text" }
        p { a href={ "/jobs/" (kept.head.id) } { "Back to the job" } }
        @if let Some(told) = told { p.note.impossible role="alert" { (told) } }
        form method="post" {
            input type="hidden" name="base" value=(kept.head.revision);
            label.quiet for="text" { "Job file (TOML)" }
            textarea #text name="text" rows="40" spellcheck="false" { (shown) }
            button { "Save" }
        }
    };
    shell::page("Text", unit, &html! {}, &main, None)
}

/// The text as sent back.
#[derive(Deserialize)]
pub struct TextForm {
    base: i64,
    text: String,
}

/// Saves the job's text as a whole.
pub async fn save_text(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(f): Form<TextForm>,
) -> Response {
    let id = JobId(id);
    let kept = match app.store.load(id) {
        Ok(kept) => kept,
        Err(e) => return store_trouble(&e),
    };
    // Browsers send line ends as CR LF.
    let text = f.text.replace("\r\n", "\n");
    let told = if text.len() as u64 > crate::input::LARGEST_TEXT {
        Some("Not saved: larger than 1 MiB.".to_owned())
    } else {
        job::is_toml(&text).err()
    };
    if let Some(told) = told {
        return (StatusCode::UNPROCESSABLE_ENTITY, text_page(&text, &kept, &headers, Some(&told)))
            .into_response();
    }
    match app.store.save(id, f.base, &text, &kept::title(&text), "edited as text", kept::now()) {
        Ok(_) => Redirect::to(&format!("/jobs/{id}")).into_response(),
        Err(SaveError::Stale(_)) => {
            let told = "Not saved: the job was changed from elsewhere since this text was opened. Your text is \
                        below; saving it again replaces theirs (History keeps both).";
            (StatusCode::CONFLICT, text_page(&text, &kept, &headers, Some(told))).into_response()
        }
        Err(e) => save_trouble(&e),
    }
}

/// The job's text as a file.
pub async fn toml(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Response {
    match app.store.load(JobId(id)) {
        Ok(kept) => {
            let name = format!("attachment; filename=\"{}.toml\"", file_stem(&kept.head.title));
            (
                [(header::CONTENT_TYPE, "application/toml".to_owned()), (header::CONTENT_DISPOSITION, name)],
                kept.text,
            )
                .into_response()
        }
        Err(e) => store_trouble(&e),
    }
}

/// The sheet for the bench.
pub async fn bench_pdf(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    pdf(&app, id, &headers, "bench", flankwise_sheet::bench_pdf)
}

/// The sheet for the customer.
pub async fn customer_pdf(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    pdf(&app, id, &headers, "customer", flankwise_sheet::customer_pdf)
}

/// The full record.
pub async fn record_pdf(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    pdf(&app, id, &headers, "record", flankwise_sheet::record_pdf)
}

type Render = fn(&job::Job, &flankwise_bench::Whole, Unit) -> Result<Vec<u8>, flankwise_sheet::SheetError>;

fn pdf(app: &App, id: i64, headers: &HeaderMap, word: &str, render: Render) -> Response {
    let kept = match app.store.load(JobId(id)) {
        Ok(kept) => kept,
        Err(e) => return store_trouble(&e),
    };
    let worked = app.cache.get(&kept.text);
    let back = format!("/jobs/{id}");
    let (Some(job), Some(whole)) = (&worked.job, &worked.whole) else {
        let words = "The job has fields that cannot be read; they are marked on its page.";
        return (StatusCode::UNPROCESSABLE_ENTITY, shell::trouble("No sheet yet", words, &back))
            .into_response();
    };
    match render(job, whole, unit_of(&worked, headers)) {
        Ok(bytes) => {
            let name = format!("inline; filename=\"{}-{word}.pdf\"", file_stem(&kept.head.title));
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

/// A title as a file name: ASCII letters and digits, the rest as hyphens.
fn file_stem(title: &str) -> String {
    let words: Vec<String> = title
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_ascii_lowercase)
        .collect();
    if words.is_empty() { "job".to_owned() } else { words.join("-") }
}
