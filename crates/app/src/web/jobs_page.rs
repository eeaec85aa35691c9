//! The list of jobs, and how one begins.

use super::{App, chosen_unit, shell, store_trouble};
use crate::kept::{self, DEMOS};
use axum::Form;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use flankwise_bench::job;
use flankwise_store::{JobHead, JobId, StoreError};
use flankwise_thread::Unit;
use maud::{Markup, html};
use serde::Deserialize;
use std::sync::Arc;

/// All jobs.
pub async fn list(State(app): State<Arc<App>>, headers: HeaderMap) -> Response {
    let read = || Ok::<_, StoreError>((app.store.jobs()?, app.store.removed_jobs()?));
    let (jobs, away) = match read() {
        Ok(both) => both,
        Err(e) => return store_trouble(&e),
    };
    let now = kept::now();
    let main = html! {
        h1 { "Jobs" }
        div.tools {
            form.inline method="post" action="/jobs" { button.main { "New job" } }
            form.inline method="post" action="/jobs/demo" { button { "Open the demo jobs" } }
        }
        @if jobs.is_empty() {
            p.empty { "No jobs yet. Begin one with a worn part in your hand, or open the demo jobs to see how it goes." }
        }
        ul.jobs {
            @for j in &jobs { (row(j, now)) }
        }
        details {
            summary { "Take in a job file" }
            form method="post" action="/jobs/import" {
                label for="text" { "Paste the file's text" }
                textarea #text name="text" rows="8" spellcheck="false" required {}
                button { "Take in" }
            }
        }
        p { a href="/about" { "About this program" } }
        (shell::put_away("/jobs", &away))
    };
    let unit = chosen_unit(&headers).unwrap_or(Unit::Mm);
    shell::page("Jobs", unit, &shell::places("/"), &main, None).into_response()
}

fn row(j: &JobHead, now: i64) -> Markup {
    html! {
        li {
            a href={ "/jobs/" (j.id) } { (j.title) }
            span.ago { (ago(now - j.changed_at)) }
            a href={ "/jobs/" (j.id) "/lathe" } { "At the lathe" }
            form.inline method="post" action={ "/jobs/" (j.id) "/put-away" } { button.small { "Put away" } }
        }
    }
}

/// How long ago, in words.
fn ago(seconds: i64) -> String {
    match seconds {
        ..60 => "just now".to_owned(),
        60..3600 => format!("{} min ago", seconds / 60),
        3600..86_400 => format!("{} h ago", seconds / 3600),
        _ => format!("{} days ago", seconds / 86_400),
    }
}

/// A new job from the template.
pub async fn create(State(app): State<Arc<App>>) -> Response {
    let text = job::template();
    open(app.store.create(&kept::title(&text), &text, kept::now()))
}

fn open(made: Result<JobHead, StoreError>) -> Response {
    match made {
        Ok(head) => Redirect::to(&format!("/jobs/{}", head.id)).into_response(),
        Err(e) => store_trouble(&e),
    }
}

/// A pasted job file.
#[derive(Deserialize)]
pub struct Pasted {
    text: String,
}

/// Takes in a job file.
pub async fn import(State(app): State<Arc<App>>, Form(p): Form<Pasted>) -> Response {
    let text = p.text.replace("\r\n", "\n");
    match kept::import(&app.store, &text, "a pasted file", kept::now()) {
        Ok(head) => Redirect::to(&format!("/jobs/{}", head.id)).into_response(),
        Err(words) => {
            let page = shell::trouble("Not taken in", &words, "/");
            (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
        }
    }
}

/// Opens the demo jobs, each as a job of its own; goes to the first.
pub async fn demo(State(app): State<Arc<App>>) -> Response {
    let mut first = None;
    for (name, text) in DEMOS {
        match kept::import(&app.store, text, name, kept::now()) {
            Ok(head) => first = first.or(Some(head.id)),
            Err(words) => {
                return (StatusCode::INTERNAL_SERVER_ERROR, shell::trouble("No demo", &words, "/"))
                    .into_response();
            }
        }
    }
    Redirect::to(&first.map_or_else(|| "/".to_owned(), |id| format!("/jobs/{id}"))).into_response()
}

/// Puts a job away.
pub async fn put_away(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Response {
    match app.store.remove(JobId(id), kept::now()) {
        Ok(_) => Redirect::to("/").into_response(),
        Err(e) => store_trouble(&e),
    }
}

/// Brings it back.
pub async fn bring_back(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Response {
    open(app.store.restore(JobId(id)))
}
