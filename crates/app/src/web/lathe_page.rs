//! At the lathe: one pass at a time, in digits readable from two metres. Which pass it stands at is kept in the
//! store, so that a flat battery or another tablet finds the same place.

use super::{App, chosen_unit, say, shell, store_trouble};
use axum::Form;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect, Response};
use flankwise_bench::cut::{Cut, Pass, PassKind};
use flankwise_bench::report::{Fine, Value, show};
use flankwise_store::JobId;
use flankwise_thread::{Length, Unit};
use maud::{Markup, html};
use serde::Deserialize;
use std::sync::Arc;

const PLACE: &str = "lathe.pass";

/// The view.
pub async fn show(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    let id = JobId(id);
    let read = || Ok((app.store.load(id)?, app.store.recall(Some(id), PLACE)?));
    let (kept, place) = match read() {
        Ok(both) => both,
        Err(e) => return store_trouble(&e),
    };
    let worked = app.cache.get(&kept.text);
    let job_unit = worked.job.as_ref().map_or(Unit::Mm, |j| j.unit);
    let unit = chosen_unit(&headers).unwrap_or(job_unit);
    let bar = html! { a.button href={ "/jobs/" (id) "#cut" } { "Back to the job" } };
    let cut = worked.whole.as_ref().and_then(|w| w.cut.result.as_ref()).filter(|c| !c.passes.is_empty());
    let Some(cut) = cut else {
        let main = html! {
            h1 { (kept.head.title) }
            p.note.warning { "There are no passes yet: the job still lacks something the cut needs." }
            p { a.button href={ "/jobs/" (id) } { "See what is missing" } }
        };
        return shell::page(&kept.head.title, unit, &bar, &main, None).into_response();
    };
    let done: usize = place.and_then(|p| p.parse().ok()).unwrap_or(0).min(cut.passes.len());
    let rpm = worked.whole.as_ref().and_then(|w| w.setup.result.as_ref()).map(|s| s.rpm);
    shell::page(&kept.head.title, unit, &bar, &view(cut, done, rpm, unit), Some("/lathe.js")).into_response()
}

fn view(cut: &Cut, done: usize, rpm: Option<f64>, unit: Unit) -> Markup {
    let total = cut.passes.len();
    html! {
        div.lathe {
            @if let Some(pass) = cut.passes.get(done) {
                h1.where { "Pass " b { (pass.number) } " of " (total) " · " (kind(pass.kind)) }
                @let digits = digits(cut, pass);
                // As large as the number of digits lets them be.
                p.digits style={ "--n:" (digits.chars().count()) } { (digits) }
                p.reads {
                    @if pass.by_compound() {
                        "on the compound from touch-on, cross-slide back at zero"
                    } @else {
                        "readout from touch-on, on the " (if cut.readout_on_diameter { "diameter" } else { "radius" })
                    }
                    ", " (show::unit_sign(cut.unit_of(pass)))
                }
                dl.side {
                    (fact("this cut", &length(pass.step, unit)))
                    (fact("depth", &length(pass.depth, unit)))
                    (fact("diameter at the tip", &length(pass.diameter, unit)))
                    @if pass.compound != Length::ZERO && !pass.by_compound() {
                        (fact("compound", &length(pass.compound, cut.compound_unit)))
                    }
                    @if pass.axial_shift != Length::ZERO {
                        (fact("shift along", &length(pass.axial_shift, cut.compound_unit)))
                    }
                    @if let Some(rpm) = rpm { (fact("spindle", &show::value(&Value::Rpm(rpm), unit))) }
                }
                (ahead(cut, cut.passes.get(done + 1)))
            } @else {
                h1.where { "All " (total) " passes done" }
                p.digits.end { "Measure" }
                p.reads { "before the work leaves the chuck" }
            }
            form.steps method="post" {
                button.back name="done" value=(done.saturating_sub(1)) disabled[done == 0] { "Back" }
                button.done name="done" value=((done + 1).min(total)) disabled[done == total] autofocus {
                    @if done == total { "Finished" } @else { "Done — next" }
                }
            }
            progress max=(total) value=(done) aria-label="Passes done" {}
            (say::notes(&cut.cautions, unit))
            form.inline method="post" { button.small name="done" value="0" disabled[done == 0] { "Start over at pass 1" } }
        }
    }
}

fn fact(what: &str, value: &str) -> Markup {
    html! { div { dt { (what) } dd { (value) } } }
}

fn ahead(cut: &Cut, next: Option<&Pass>) -> Markup {
    html! {
        p.ahead {
            @if let Some(next) = next { "then " b { (digits(cut, next)) } " " (kind(next.kind)) } @else { "this is the last pass" }
        }
    }
}

/// What the pass is set to, as the device shows it: an inch dial in inches, whatever unit the page is read in.
fn digits(cut: &Cut, pass: &Pass) -> String {
    // A dial in half-hundredths needs the third decimal.
    show::length_number(pass.set_to(), Fine::Gauge, cut.unit_of(pass))
}

fn length(l: Length, unit: Unit) -> String {
    show::value(&Value::Length(l, Fine::Gauge), unit)
}

const fn kind(kind: PassKind) -> &'static str {
    match kind {
        PassKind::Scratch => "scratch, then check the pitch",
        PassKind::Cutting => "cutting",
        PassKind::Widening => "widening",
        PassKind::Spring => "spring pass, no new depth",
    }
}

/// How many passes are done.
#[derive(Deserialize)]
pub struct Place {
    done: usize,
}

/// Keeps the place.
pub async fn keep(State(app): State<Arc<App>>, Path(id): Path<i64>, Form(p): Form<Place>) -> Response {
    match app.store.remember(Some(JobId(id)), PLACE, &p.done.to_string()) {
        Ok(()) => Redirect::to(&format!("/jobs/{id}/lathe")).into_response(),
        Err(e) => store_trouble(&e),
    }
}
