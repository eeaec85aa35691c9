//! The quotation as a page that prints.

use super::{App, chosen_unit, say, shell, store_trouble};
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use flankwise_bench::job::Job;
use flankwise_bench::quotation::{self, Offered, Quotation, one_in};
use flankwise_bench::report::{Fine, Need, Value, show};
use flankwise_store::JobId;
use flankwise_thread::Unit;
use maud::{Markup, html};
use std::sync::Arc;

/// The page.
pub async fn show(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    let kept = match app.store.load(JobId(id)) {
        Ok(kept) => kept,
        Err(e) => return store_trouble(&e),
    };
    let worked = app.cache.get(&kept.text);
    let back = format!("/jobs/{id}");
    let bar = html! { a.button href={ (back) "#route" } { "Back to the job" } };
    let (job, whole) = match worked.for_paper() {
        Ok(both) => both,
        Err(words) => return refused(&words, &back),
    };
    let unit = chosen_unit(&headers).unwrap_or(job.unit);
    let outcome = quotation::work(job, whole);
    let main = html! {
        div.tools {
            a.button href={ (back) "/quotation.pdf" } { "As PDF" }
        }
        div.tools {
            (open(&outcome.needs))
            @if outcome.result.is_some() { (say::notes(&outcome.notes, &say::Around::unit(unit))) }
        }
        @match &outcome.result {
            Some(quotation) => (sheet(job, quotation, unit)),
            None => {
                h1 { (kept.head.title) }
                @if outcome.impossible() {
                    p.answer { "Nothing is offered yet." }
                    (say::notes(&outcome.notes, &say::Around::unit(unit)))
                } @else {
                    p.note.warning { "There is nothing to quote yet: the job still lacks something." }
                }
            }
        }
    };
    shell::page(&kept.head.title, unit, &bar, &main, None).into_response()
}

/// Why there is no paper yet.
pub fn refused(words: &str, back: &str) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, shell::trouble("No paper yet", words, back)).into_response()
}

/// What is left open, for the one who writes it; not printed.
fn open(needs: &[Need]) -> Markup {
    html! {
        @if !needs.is_empty() {
            ul.needs { @for need in needs { li { b { "Open " code { (need.field) } } " " (need.what) } } }
        }
    }
}

fn sheet(job: &Job, quotation: &Quotation, unit: Unit) -> Markup {
    let people = &job.people;
    html! {
        article.quotation {
            h1 { "Quotation" @if let Some(number) = &quotation.number { " " (number) } }
            p { b { (job.job) } }
            @if job.invented { p.invented { "Invented example" } }
            p {
                @if let Some(who) = &people.customer { "For " (who) " " }
                @if let Some(who) = &people.maker { "by " (who) " " }
                @if let Some(date) = &people.date { "on " (date) }
            }
            @if let Some(why) = &quotation.draft { p { b { (say::text(why, unit)) } } }
            h2 { "What was found" }
            @for text in &quotation.found { p { (say::text(text, unit)) } }
            h2 { "What is proposed" }
            @for text in &quotation.proposed { p { (say::text(text, unit)) } }
            h2 { (quotation.heading()) }
            @if quotation.offered.is_empty() { p { "Nothing can be offered with what is at hand." } }
            @for offered in &quotation.offered { (way(offered, quotation, unit)) }
            dl.terms {
                @for line in &quotation.lines {
                    dt { (line.label) }
                    dd { @match &line.text { Some(text) => (text), None => span.fill {} } }
                }
            }
            h2 { "Please note" }
            (say::notes(&quotation.cautions, &say::Around::unit(unit)))
            p { small { (quotation.closing) } }
            // Nobody signs a draft.
            @if quotation.draft.is_none() {
                div.signatures {
                    p { (people.maker.as_deref().unwrap_or("Maker")) }
                    p { (people.customer.as_deref().unwrap_or("Customer")) }
                    p { "Date" }
                }
            }
        }
    }
}

/// One way: what it is and its price large, the rest below.
fn way(offered: &Offered, quotation: &Quotation, unit: Unit) -> Markup {
    let price = show::value(&offered.price_words(&quotation.currency), unit);
    html! {
        div.offered.best[offered.proposed] {
            p.what { span.tick aria-hidden="true" {} (offered.what) @if offered.proposed { b { " Proposed." } } }
            p.price { (price) }
            p {
                (show::value(&Value::Number(offered.days, 0), unit)) " working days · " (quotation.again().to_lowercase()) ": "
                (one_in(offered.again))
                @if let Some((a, b)) = offered.play {
                    " · play " (show::value(&Value::Band(a, b, Fine::Play), unit))
                }
            }
            @if !offered.remarks.is_empty() {
                p { small { @for remark in &offered.remarks { (say::text(remark, unit)) " " } } }
            }
        }
    }
}
