//! Changing a kept text from its page: field by field, entry by entry, as a whole; undo, redo and history. A job and
//! a lathe are changed alike; what differs is said by a [`Desk`].

use super::worked::Worked;
use super::{App, chosen_unit, form, save_status, save_trouble, say, shell, store_trouble, wants_json};
use crate::kept;
use axum::Form;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use flankwise_bench::job::{self, Edit, EditError, Typed};
use flankwise_bench::report::capital;
use flankwise_store::{Job as Kept, JobId, SaveError, Saved, Store};
use flankwise_thread::Unit;
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

/// A kind of text that is kept and edited on a page of its own.
pub trait Desk: 'static {
    /// Begin of its addresses: `/jobs`.
    const AT: &'static str;
    /// The word for one: `job`.
    const WORD: &'static str;
    /// Where its texts are kept.
    fn store(app: &App) -> &Store;
    /// The name that a text gives itself.
    fn title(text: &str) -> String;
    /// Its page, with a message if there is one to show.
    fn page(app: &App, kept: &Kept, headers: &HeaderMap, message: Option<&str>) -> Markup;
    /// What the script needs to bring the page up to date with `text`.
    fn pieces(app: &App, text: &str, kept: &Kept, headers: &HeaderMap) -> Value;
}

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
pub async fn show<D: Desk>(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    match D::store(&app).load(JobId(id)) {
        Ok(kept) => D::page(&app, &kept, &headers, None).into_response(),
        Err(e) => store_trouble(&e),
    }
}

/// Problems that belong to no field on the page.
pub fn loose(worked: &Worked) -> Markup {
    let list = worked
        .problems
        .iter()
        .filter(|p| p.field.is_empty() || worked.typed.raw(&p.field).is_none() && !p.field.ends_with(']'))
        .filter(|p| !worked.asks(p))
        .map(|p| if p.field.is_empty() { p.words() } else { format!("{}: {}", p.field, p.words()) });
    html! { @for words in list { p.wrong.loose { (words) } } }
}

/// Problems by the field that they are shown at: words, and whether they only ask for what an entry just begun lacks.
pub fn wrong(worked: &Worked) -> Value {
    let told = |p| json!({"words": worked.told(p), "asks": worked.asks(p)});
    worked.problems.iter().map(|p| (worked.field_of(p).to_owned(), told(p))).collect()
}

/// What stands at the top of an editor's page.
pub fn head<D: Desk>(kept: &Kept, message: Option<&str>) -> Markup {
    html! {
        @if kept.head.removed_at.is_some() {
            div.note.warning {
                "This " (D::WORD) " is put away and can be read but not changed. "
                form.inline method="post" action={ (D::AT) "/" (kept.head.id) "/bring-back" } { button { "Bring it back" } }
            }
        }
        @if let Some(message) = message { p.note.warning role="alert" { (message) } }
        div #told role="status" aria-live="polite" {}
        h1 { (kept.head.title) }
    }
}

/// A button of the bar that steps back or forth.
pub fn step_button(base: &str, action: &str, word: &str, what: Option<&str>) -> Markup {
    html! {
        button.small id=(action) form="sheet" formmethod="post" formaction={ (base) "/" (action) } disabled[what.is_none()] title=(what.unwrap_or("")) data-swap { (word) }
    }
}

/// Works out a field's value while it is being typed; saves nothing.
pub async fn try_field<D: Desk>(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(c): Form<Changed>,
) -> Response {
    let kept = match D::store(&app).load(JobId(id)) {
        Ok(kept) => kept,
        Err(e) => return store_trouble(&e),
    };
    let edit = Edit::Set { path: c.path, typed: c.typed };
    match job::apply(&kept.text, &edit) {
        Ok(text) => axum::Json(D::pieces(&app, &text, &kept, &headers)).into_response(),
        Err(e) => {
            (StatusCode::UNPROCESSABLE_ENTITY, axum::Json(json!({"told": e.to_string()}))).into_response()
        }
    }
}

/// Saves fields: one from the script, or all of a page without script (those that differ from what is kept), and those
/// that the answer to a question sets.
pub async fn save_fields<D: Desk>(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Response {
    let id = JobId(id);
    let base = pairs.iter().find(|(k, _)| k == "base").and_then(|(_, v)| v.parse().ok());
    let Some(base) = base else {
        return (StatusCode::BAD_REQUEST, "base: missing; accepted is the revision that the page showed\n")
            .into_response();
    };
    let base_text = match D::store(&app).text_at(id, base) {
        Ok(text) => text,
        Err(e) => return store_trouble(&e),
    };
    let before = Typed::of(&base_text);
    let (answers, fields): (Vec<_>, Vec<_>) =
        pairs.into_iter().filter(|(path, _)| path != "base").partition(|(path, _)| path == "answer");
    let answered = answers.iter().flat_map(|(_, lines)| say::sets(lines));
    let edits: Vec<Edit> = fields
        .into_iter()
        .chain(answered)
        .filter(|(path, typed)| before.raw(path).unwrap_or_default() != *typed)
        .map(|(path, typed)| Edit::Set { path, typed })
        .collect();
    change::<D>(&app, id, base, &base_text, &edits, &headers, None)
}

/// Adds an entry to an array of tables.
pub async fn add<D: Desk>(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(c): Form<Changed>,
) -> Response {
    let n = D::store(&app).text_at(JobId(id), c.base).map_or(0, |t| Typed::of(&t).count(&c.path)) + 1;
    let anchor = form::id(&format!("{}[{n}]", c.path));
    structural::<D>(&app, id, c.base, Edit::Add { path: c.path }, &headers, Some(anchor))
}

/// Takes an entry out.
pub async fn take_out<D: Desk>(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(c): Form<Changed>,
) -> Response {
    structural::<D>(&app, id, c.base, Edit::Remove { path: c.path }, &headers, None)
}

fn structural<D: Desk>(
    app: &App,
    id: i64,
    base: i64,
    edit: Edit,
    headers: &HeaderMap,
    anchor: Option<String>,
) -> Response {
    let id = JobId(id);
    match D::store(app).text_at(id, base) {
        Ok(base_text) => change::<D>(app, id, base, &base_text, &[edit], headers, anchor),
        Err(e) => store_trouble(&e),
    }
}

/// Makes edits that were made from `base`. If the job has moved on, edits of fields that nobody else changed are
/// merged; for a field that somebody else changed, the person is told and nothing is overwritten.
fn change<D: Desk>(
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
        let kept = match D::store(app).load(id) {
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
                Err(e) => return refused::<D>(app, &kept, &e, headers),
            };
        }
        let what = edits.iter().map(describe).collect::<Vec<_>>().join("; ");
        let title = D::title(&text);
        match D::store(app).save(id, kept.head.revision, &text, &title, &what, kept::now()) {
            Ok(_) => {}
            Err(SaveError::Stale(_)) => continue,
            Err(e) => return not_saved(&e, headers),
        }
        return changed::<D>(app, id, headers, anchor.as_deref());
    }
    (StatusCode::CONFLICT, "It changes too fast from elsewhere; try again.\n").into_response()
}

/// Changes the whole text by `to`, as one revision that says `what`; goes back to the page. Refused with a message on
/// the page where it cannot be done, or where the text is not at `base` any more.
pub fn rewrite<D: Desk>(
    app: &App,
    id: JobId,
    base: i64,
    what: &str,
    headers: &HeaderMap,
    to: impl FnOnce(&str) -> Result<String, String>,
) -> Response {
    let kept = match D::store(app).load(id) {
        Ok(kept) => kept,
        Err(e) => return store_trouble(&e),
    };
    let text = match to(&kept.text) {
        Ok(text) => text,
        Err(told) if wants_json(headers) => {
            return (StatusCode::UNPROCESSABLE_ENTITY, axum::Json(json!({"told": told}))).into_response();
        }
        Err(told) => {
            let page = D::page(app, &kept, headers, Some(&told));
            return (StatusCode::UNPROCESSABLE_ENTITY, page).into_response();
        }
    };
    match D::store(app).save(id, base, &text, &D::title(&text), what, kept::now()) {
        Ok(_) => changed::<D>(app, id, headers, None),
        Err(e) => not_saved(&e, headers),
    }
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
fn changed<D: Desk>(app: &App, id: JobId, headers: &HeaderMap, anchor: Option<&str>) -> Response {
    if wants_json(headers) {
        match D::store(app).load(id) {
            Ok(kept) => axum::Json(D::pieces(app, &kept.text, &kept, headers)).into_response(),
            Err(e) => store_trouble(&e),
        }
    } else {
        let anchor = anchor.map(|a| format!("#{a}")).unwrap_or_default();
        Redirect::to(&format!("{}/{id}{anchor}", D::AT)).into_response()
    }
}

fn refused<D: Desk>(app: &App, kept: &Kept, error: &EditError, headers: &HeaderMap) -> Response {
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
        (status, D::page(app, kept, headers, Some(&told))).into_response()
    }
}

fn not_saved(error: &SaveError, headers: &HeaderMap) -> Response {
    if wants_json(headers) {
        (save_status(error), axum::Json(json!({"told": error.to_string()}))).into_response()
    } else {
        save_trouble(error)
    }
}

/// Takes back the last change.
pub async fn undo<D: Desk>(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(c): Form<Changed>,
) -> Response {
    let id = JobId(id);
    step::<D>(&app, id, D::store(&app).undo(id, c.base, kept::now()), &headers)
}

/// Makes the last undone change again.
pub async fn redo<D: Desk>(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(c): Form<Changed>,
) -> Response {
    let id = JobId(id);
    step::<D>(&app, id, D::store(&app).redo(id, c.base, kept::now()), &headers)
}

fn step<D: Desk>(app: &App, id: JobId, saved: Result<Saved, SaveError>, headers: &HeaderMap) -> Response {
    match saved {
        Ok(_) => changed::<D>(app, id, headers, None),
        Err(e) => not_saved(&e, headers),
    }
}

/// The newest revision, for a page that wants to know whether it is out of date.
pub async fn state<D: Desk>(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Response {
    match D::store(&app).load(JobId(id)) {
        Ok(kept) => axum::Json(json!({"revision": kept.head.revision})).into_response(),
        Err(e) => store_trouble(&e),
    }
}

/// Every change.
pub async fn history<D: Desk>(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
) -> Response {
    let id = JobId(id);
    let read = || Ok((D::store(&app).load(id)?.head, D::store(&app).history(id)?));
    let (head, entries) = match read() {
        Ok(both) => both,
        Err(e) => return store_trouble(&e),
    };
    let unit = chosen_unit(&headers).unwrap_or(Unit::Mm);
    let main = html! {
        h1 { "History of " (head.title) }
        p { a href={ (D::AT) "/" (id) } { "Back to the " (D::WORD) } }
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

/// The text in one field, for what has no field of its own and for pasting.
pub async fn text<D: Desk>(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    match D::store(&app).load(JobId(id)) {
        Ok(kept) => text_page::<D>(&kept.text, &kept, &headers, None).into_response(),
        Err(e) => store_trouble(&e),
    }
}

fn text_page<D: Desk>(shown: &str, kept: &Kept, headers: &HeaderMap, told: Option<&str>) -> Markup {
    let unit = chosen_unit(headers).unwrap_or(Unit::Mm);
    let main = html! {
        h1 { (kept.head.title) ", as text" }
        p { a href={ (D::AT) "/" (kept.head.id) } { "Back to the " (D::WORD) } }
        @if let Some(told) = told { p.note.impossible role="alert" { (told) } }
        form method="post" {
            input type="hidden" name="base" value=(kept.head.revision);
            label.quiet for="text" { (capital(D::WORD)) " file (TOML)" }
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

/// Saves the text as a whole.
pub async fn save_text<D: Desk>(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(f): Form<TextForm>,
) -> Response {
    let id = JobId(id);
    let kept = match D::store(&app).load(id) {
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
        return (StatusCode::UNPROCESSABLE_ENTITY, text_page::<D>(&text, &kept, &headers, Some(&told)))
            .into_response();
    }
    match D::store(&app).save(id, f.base, &text, &D::title(&text), "edited as text", kept::now()) {
        Ok(_) => Redirect::to(&format!("{}/{id}", D::AT)).into_response(),
        Err(SaveError::Stale(_)) => {
            let told = "Not saved: it was changed from elsewhere since this text was opened. Your text is \
                        below; saving it again replaces theirs (History keeps both).";
            (StatusCode::CONFLICT, text_page::<D>(&text, &kept, &headers, Some(told))).into_response()
        }
        Err(e) => save_trouble(&e),
    }
}

/// The text as a file.
pub async fn toml<D: Desk>(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Response {
    match D::store(&app).load(JobId(id)) {
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

/// A title as a file name: ASCII letters and digits, the rest as hyphens.
pub fn file_stem(title: &str) -> String {
    let words: Vec<String> = title
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_ascii_lowercase)
        .collect();
    if words.is_empty() { "text".to_owned() } else { words.join("-") }
}
