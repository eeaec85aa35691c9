//! The lathes that are kept: their list, the page of one, and their way into a job and out of it.

use super::edit::{self, Desk};
use super::job_page::Jobs;
use super::worked::Worked;
use super::{App, chosen_unit, form, say, shell, store_trouble};
use crate::kept::{self, LATHES};
use axum::Form;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use flankwise_bench::job::{self, Lathe};
use flankwise_bench::setup;
use flankwise_store::{Job as Kept, JobHead, JobId, Store, StoreError};
use flankwise_thread::{Hand, Unit};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

/// Lathes, as texts that are kept and edited.
pub enum Lathes {}

impl Desk for Lathes {
    const AT: &'static str = "/lathes";
    const WORD: &'static str = "lathe";
    fn store(app: &App) -> &Store {
        &app.lathes
    }
    fn title(text: &str) -> String {
        kept::lathe_title(text)
    }
    fn page(_: &App, kept: &Kept, headers: &HeaderMap, message: Option<&str>) -> Markup {
        page(kept, headers, message)
    }
    fn pieces(_: &App, text: &str, kept: &Kept, headers: &HeaderMap) -> Value {
        let (worked, lathe) = Worked::of_lathe(text);
        let unit = unit_of(lathe.as_ref(), headers);
        json!({
            "revision": kept.head.revision,
            "title": kept.head.title,
            "undo": kept.undo,
            "redo": kept.redo,
            "say": {"lathe": said(lathe.as_ref(), unit).into_string()},
            "wrong": edit::wrong(&worked),
            "loose": edit::loose(&worked).into_string(),
        })
    }
}

fn unit_of(lathe: Option<&Lathe>, headers: &HeaderMap) -> Unit {
    chosen_unit(headers).or(lathe.map(|l| l.lead_screw.written)).unwrap_or(Unit::Mm)
}

/// What a lathe cuts, worked out of what is written of it.
fn said(lathe: Option<&Lathe>, unit: Unit) -> Markup {
    html! {
        @match lathe.and_then(|l| setup::chart(l, Hand::Right, &[])) {
            Some(chart) => {
                p { "Right-hand threads. " code { "marks" } " are those of the threading dial, counted from 1 at the one first closed on." }
                (say::table(&chart, &say::Around::unit(unit)))
            }
            None => p.answer.waiting { "Waits for the fields marked as wrong." },
        }
    }
}

fn page(kept: &Kept, headers: &HeaderMap, message: Option<&str>) -> Markup {
    let (worked, lathe) = Worked::of_lathe(&kept.text);
    let unit = unit_of(lathe.as_ref(), headers);
    let base = format!("{}/{}", Lathes::AT, kept.head.id);
    let bar = html! {
        a href=(Lathes::AT) { "Lathes" }
        span #saved role="status" { "Saved" }
        (edit::step_button(&base, "undo", "Undo", kept.undo.as_deref()))
        (edit::step_button(&base, "redo", "Redo", kept.redo.as_deref()))
    };
    let main = html! {
        (edit::head::<Lathes>(kept, message))
        @if job::raw(&kept.text, "invented").as_deref() == Some("true") { p.invented { "Invented example" } }
        form.sheet #sheet method="post" action={ (base) "/fields" } data-at=(base) data-revision=(kept.head.revision) {
            input type="hidden" name="base" value=(kept.head.revision);
            button.quiet.noscript formaction={ (base) "/fields" } { "Save" }
            div.tools {
                a.button href={ (base) "/reaction" } { "Try your reaction" }
                a.button href={ (base) "/lathe.toml" } { "Lathe file" }
                a href={ (base) "/text" } { "Edit as text" }
                a href={ (base) "/history" } { "History" }
            }
            div #loose { (edit::loose(&worked)) }
            section.stage #lathe aria-labelledby="lathe-h" {
                h2 #lathe-h { "The lathe" }
                div.in { (form::lathe(&worked, &base)) button.noscript { "Save and work out" } }
                div.out #say-lathe { (said(lathe.as_ref(), unit)) }
            }
        }
    };
    shell::page(&kept.head.title, unit, &bar, &main, Some("/sheet.js"))
}

/// All lathes.
pub async fn list(State(app): State<Arc<App>>, headers: HeaderMap) -> Response {
    let read = || Ok::<_, StoreError>((app.lathes.jobs()?, app.lathes.removed_jobs()?));
    let (lathes, away) = match read() {
        Ok(both) => both,
        Err(e) => return store_trouble(&e),
    };
    let main = html! {
        h1 { "Lathes" }
        p { "A lathe is kept here once and taken into each job that is worked on it. The job then holds a copy, so that its file stays whole by itself." }
        div.tools {
            form.inline method="post" action="/lathes" { button.main { "New lathe" } }
        }
        @if lathes.is_empty() { p.empty { "No lathes yet. Begin one, or take a copy of an invented one below and change it to yours." } }
        ul.jobs {
            @for (l, name) in lathes.iter().zip(told_apart(&lathes)) {
                li {
                    a href={ "/lathes/" (l.id) } { (name) }
                    a href={ "/lathes/" (l.id) "/reaction" } { "Reaction" }
                    form.inline method="post" action={ "/lathes/" (l.id) "/put-away" } { button.small { "Put away" } }
                }
            }
        }
        h2 { "To start from, invented" }
        ul.jobs {
            @for (i, (_, text)) in LATHES.iter().enumerate() {
                li {
                    span { (kept::lathe_title(text)) }
                    form.inline method="post" action="/lathes/copy" { button.small name="which" value=(i) { "Take a copy" } }
                }
            }
        }
        details {
            summary { "Take in a lathe file" }
            form method="post" action="/lathes/import" {
                label for="text" { "Paste the file's text, or that of a job with the lathe in it" }
                textarea #text name="text" rows="8" spellcheck="false" required {}
                button { "Take in" }
            }
        }
        (shell::put_away("/lathes", &away))
    };
    let unit = chosen_unit(&headers).unwrap_or(Unit::Mm);
    shell::page("Lathes", unit, &shell::places("/lathes"), &main, None).into_response()
}

fn open(made: Result<JobHead, String>) -> Response {
    match made {
        Ok(head) => Redirect::to(&format!("/lathes/{}", head.id)).into_response(),
        Err(words) => (StatusCode::UNPROCESSABLE_ENTITY, shell::trouble("Not taken in", &words, "/lathes"))
            .into_response(),
    }
}

/// A new lathe from the template.
pub async fn create(State(app): State<Arc<App>>) -> Response {
    let text = job::lathe_template();
    open(app.lathes.create(&kept::lathe_title(&text), &text, kept::now()).map_err(|e| e.to_string()))
}

/// Which of the invented lathes.
#[derive(Deserialize)]
pub struct Which {
    which: usize,
}

/// A copy of an invented lathe.
pub async fn copy(State(app): State<Arc<App>>, Form(w): Form<Which>) -> Response {
    match LATHES.get(w.which) {
        Some((name, text)) => open(kept::import_lathe(&app.lathes, text, name, kept::now())),
        None => open(Err(format!("which: read {}; accepted: 0 to {}", w.which, LATHES.len() - 1))),
    }
}

/// A pasted file.
#[derive(Deserialize)]
pub struct Pasted {
    text: String,
}

/// Takes in a lathe file.
pub async fn import(State(app): State<Arc<App>>, Form(p): Form<Pasted>) -> Response {
    open(kept::import_lathe(&app.lathes, &p.text.replace("\r\n", "\n"), "a pasted file", kept::now()))
}

/// Puts a lathe away.
pub async fn put_away(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Response {
    match app.lathes.remove(JobId(id), kept::now()) {
        Ok(_) => Redirect::to(Lathes::AT).into_response(),
        Err(e) => store_trouble(&e),
    }
}

/// Brings it back.
pub async fn bring_back(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Response {
    open(app.lathes.restore(JobId(id)).map_err(|e| e.to_string()))
}

/// The lathes' names, with their numbers where two have the same.
fn told_apart(lathes: &[JobHead]) -> Vec<String> {
    let twice = |l: &JobHead| lathes.iter().filter(|o| o.title == l.title).count() > 1;
    let name = |l: &JobHead| if twice(l) { format!("{}, no. {}", l.title, l.id) } else { l.title.clone() };
    lathes.iter().map(name).collect()
}

/// Lathes offered in sight beside a job's own; more are behind one line. Chosen here.
const IN_SIGHT: usize = 2;

/// On a job's page: the lathes that can be taken, and whether the job's own is one of them.
pub fn chooser(app: &App, worked: &Worked, at: &str) -> Markup {
    let ours = worked.job.as_ref().and_then(|j| j.lathe.as_ref());
    // Read as the job reads it, so that only what matters to the job counts.
    let same = |head: &JobHead| {
        let read = || job::read_lathe(&app.lathes.load(head.id).ok()?.text).ok();
        ours.is_some_and(|ours| read().is_some_and(|kept| kept == *ours))
    };
    let kept = app.lathes.jobs().unwrap_or_default();
    let named = told_apart(&kept);
    let lathes: Vec<(bool, JobHead, String)> =
        kept.into_iter().zip(named).map(|(l, name)| (same(&l), l, name)).collect();
    let namesake = |l: &JobHead| ours.is_some_and(|o| o.name == l.title);
    let is_kept = lathes.iter().any(|(same, ..)| *same);
    let take = |l: &JobHead, words: &str, name: &str| {
        html! {
            button.small name="lathe" value=(l.id) formaction={ (at) "/take-lathe" } formmethod="post" data-swap { (words) (name) }
            " "
        }
    };
    let (ours_kept, others): (Vec<_>, Vec<_>) = lathes.iter().partition(|(same, l, _)| *same || namesake(l));
    let offered = html! { @for (_, l, name) in &others { (take(l, "Take ", name)) } };
    html! {
        div.chooser {
            @if lathes.is_empty() { p.quiet-note { a href="/lathes" { "Lathes" } " that you keep can be taken into this job." } }
            @for (same, l, name) in &ours_kept {
                @if *same {
                    p.quiet-note { "As kept: " a href={ "/lathes/" (l.id) } { (name) } }
                } @else if !is_kept {
                    button.small name="lathe" value=(l.id) formaction={ (at) "/keep-lathe" } formmethod="post" { "Keep the changes in " (name) }
                    " "
                    (take(l, "Drop the changes: take ", name))
                }
            }
            @if ours.is_some() && others.len() > IN_SIGHT {
                details { summary { "Take another lathe" } (offered) }
            } @else {
                (offered)
            }
            @if ours.is_some() {
                @if ours_kept.is_empty() {
                    button.small formaction={ (at) "/keep-lathe" } formmethod="post" { "Keep this lathe" }
                    " "
                }
                a href={ (at) "/reaction" } { "Try your reaction" }
            }
        }
    }
}

/// A lathe to take, and the revision of the job that was on the page.
#[derive(Deserialize)]
pub struct Take {
    base: i64,
    lathe: i64,
}

/// Takes a kept lathe into a job.
pub async fn take(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(t): Form<Take>,
) -> Response {
    let lathe = match app.lathes.load(JobId(t.lathe)) {
        Ok(lathe) => lathe,
        Err(e) => return store_trouble(&e),
    };
    let what = format!("lathe taken: {}", lathe.head.title);
    edit::rewrite::<Jobs>(&app, JobId(id), t.base, &what, &headers, |text| job::with_lathe(text, &lathe.text))
}

/// The kept lathe that takes the job's in; none for one of its own.
#[derive(Deserialize)]
pub struct KeepIn {
    lathe: Option<i64>,
}

/// Keeps a job's lathe beside the jobs: in the one of its name that is there, or as a new one.
pub async fn keep(State(app): State<Arc<App>>, Path(id): Path<i64>, Form(k): Form<KeepIn>) -> Response {
    let kept = match app.store.load(JobId(id)) {
        Ok(kept) => kept,
        Err(e) => return store_trouble(&e),
    };
    let from = format!("the job {}", kept.head.title);
    let Some(lathe) = k.lathe else {
        return open(kept::import_lathe(&app.lathes, &kept.text, &from, kept::now()));
    };
    let old = match app.lathes.load(JobId(lathe)) {
        Ok(old) => old,
        Err(e) => return store_trouble(&e),
    };
    let saved = job::lathe_text(&kept.text).and_then(|own| {
        let (id, base) = (old.head.id, old.head.revision);
        let saved = app.lathes.save(
            id,
            base,
            &own,
            &kept::lathe_title(&own),
            &format!("kept from {from}"),
            kept::now(),
        );
        saved.map_err(|e| e.to_string())
    });
    open(saved.map(|_| old.head))
}
