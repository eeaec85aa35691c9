//! Two threads side by side: how far the instruments at hand tell them apart, and what happens if one is used for the
//! other. Everything is in the address, so that a page can be kept and a link can bring what is at hand.

use super::say::Around;
use super::shell::escaped;
use super::{chosen_unit, say, shell, threads_page, wants_json};
use crate::json;
use axum::extract::Query;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use flankwise_bench::identity::{self, Asked, Beside, Terms, Wrong};
use flankwise_bench::job::{Condition, Instrument, Words};
use flankwise_bench::report::capital;
use flankwise_sheet::figures;
use flankwise_thread::{Thread, Unit};
use maud::{Markup, html};

/// The address of a comparison.
pub fn address(a: &Thread, b: &Thread, terms: &Terms) -> String {
    with_fields(&a.to_string(), &b.to_string(), terms.typed())
}

/// The address of what is asked with this thread in the field `name`: what would be read in place of a slip.
fn instead(asked: &Asked, name: &str, thread: &Thread) -> String {
    let thread = thread.to_string();
    let (a, b) =
        if name == "a" { (thread.as_str(), asked.b.as_str()) } else { (asked.a.as_str(), thread.as_str()) };
    let several =
        |field: &'static str, list: &[String]| list.iter().map(|t| (field, t.clone())).collect::<Vec<_>>();
    let single = [("condition", &asked.condition), ("play", &asked.play), ("length", &asked.length)];
    let single = single.into_iter().filter(|(_, typed)| !typed.is_empty()).map(|(f, t)| (f, t.clone()));
    let rest = several("with", &asked.with).into_iter().chain(several("wire", &asked.wire)).chain(single);
    with_fields(a, b, rest)
}

/// An address of this page.
fn with_fields(a: &str, b: &str, fields: impl IntoIterator<Item = (&'static str, String)>) -> String {
    let mut to = format!("/compare?a={}&b={}", escaped(a), escaped(b));
    for (field, typed) in fields {
        to.push_str(&format!("&{field}={}", escaped(&typed)));
    }
    to
}

/// What the address asks for. A field that may come several times is gathered; one that is not known is passed over.
fn asked(pairs: Vec<(String, String)>) -> Asked {
    let mut asked = Asked::default();
    for (field, typed) in pairs {
        match field.as_str() {
            "a" => asked.a = typed,
            "b" => asked.b = typed,
            "with" => asked.with.extend(typed.split(',').map(|w| w.trim().to_owned())),
            "wire" => asked.wire.push(typed),
            "condition" => asked.condition = typed,
            "play" => asked.play = typed,
            "length" => asked.length = typed,
            _ => {}
        }
    }
    asked
}

/// The page; as JSON for a program that asks for it.
pub async fn show(Query(pairs): Query<Vec<(String, String)>>, headers: HeaderMap) -> Response {
    let asked = asked(pairs);
    let unit = chosen_unit(&headers).unwrap_or_else(|| asked.unit());
    let read = (!asked.is_blank()).then(|| asked.read(unit, unit));
    let found = read.map(|r| r.map(|(a, b, terms)| identity::beside(&a, &b, &terms)));
    let status =
        if matches!(found, Some(Err(_))) { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    if wants_json(&headers) {
        let body = match &found {
            Some(Ok(both)) => json::beside(both),
            Some(Err(wrong)) => json::wrong(wrong),
            None => serde_json::json!({}),
        };
        return (status, axum::Json(body)).into_response();
    }
    let title = match &found {
        Some(Ok(both)) => format!("{} beside {}", both.a, both.b),
        _ => "Compare two threads".to_owned(),
    };
    let wrong = match &found {
        Some(Err(wrong)) => wrong.as_slice(),
        _ => &[],
    };
    let main = html! {
        h1 { (title) }
        (form(&asked, wrong))
        @if let Some(Ok(both)) = &found { (said(both, unit)) }
        @if found.is_none() {
            p { "Two designations tell how far the instruments at hand tell the two apart, which measurement tells \
                 most, and what a nut of one does on a screw of the other." }
        }
    };
    (status, shell::page(&title, unit, &shell::places("/compare"), &main, None)).into_response()
}

/// The comparison: the one number, the drawing, what makes it up.
fn said(both: &Beside, unit: Unit) -> Markup {
    html! {
        section.reference {
            p.answer { (say::text(&both.answer(), unit)) }
            p {
                a href=(threads_page::address(&both.a)) { (both.a) } " and "
                a href=(threads_page::address(&both.b)) { (both.b) } " by themselves; "
                a href=(address(&both.b, &both.a, &both.terms)) { "the other way round" }
            }
            @let drawn = |width| figures::two_threads(&both.a, &both.b, unit, width);
            @if let Some(drawing) = drawn(figures::WIDTH) { (say::drawing(&drawing, drawn(figures::NARROW))) }
            (say::blocks(&both.blocks(), &Around::unit(unit)))
        }
    }
}

/// What is asked, with what is wrong beside each field.
fn form(asked: &Asked, wrong: &[Wrong]) -> Markup {
    let words = |field: &str| wrong.iter().find(|(f, _)| *f == field).map(|(_, words)| words.as_str());
    let field = |name: &'static str, label: &str, typed: &str, example: &str| {
        let told = words(name);
        html! {
            div.field {
                label for=(name) { (label) }
                input id=(name) name=(name) value=(typed) placeholder=(example) autocomplete="off"
                    autocapitalize="off" spellcheck="false" autofocus[name == "a" && asked.is_blank()]
                    aria-invalid=[told.map(|_| "true")] aria-describedby={ (name) "-wrong" };
                p.wrong id={ (name) "-wrong" } {
                    @if let Some(told) = told { (say::with_designations(told, |thread| instead(asked, name, thread))) }
                }
            }
        }
    };
    let has = |instrument: Instrument| {
        asked.with.iter().any(|w| Instrument::from_word(w) == Some(instrument))
            || (asked.with.is_empty() && Terms::default().has(instrument))
    };
    let condition = Condition::from_word(&asked.condition).unwrap_or_default();
    // Under the two threads results follow; what they were read with waits behind its heading unless it is asked for.
    let open = asked.is_blank() || wrong.iter().any(|(field, _)| !matches!(*field, "a" | "b"));
    html! {
        form.stage.search.compare method="get" action="/compare" {
            div.fields.pair {
                (field("a", "One thread", &asked.a, "Tr 22x5"))
                (field("b", "The other", &asked.b, "7/8-5 Acme"))
            }
            details open[open] {
                summary { "Instruments, condition, play" }
                fieldset {
                    legend { "At hand, beside thread leaves" }
                    div.checks {
                        @for instrument in Terms::readers() {
                            label {
                                input type="checkbox" name="with" value=(instrument.word()) checked[has(instrument)];
                                " " (capital(instrument.word()))
                            }
                        }
                    }
                    p.wrong { @if let Some(told) = words("with") { (told) } }
                }
                div.fields {
                    (field("wire", "Wires at hand", &asked.wire.join("; "), "2.6 mm; 3 mm"))
                    div.field {
                        label for="condition" { "Condition of the part" }
                        select #condition name="condition" {
                            @for word in Condition::WORDS { option value=(word) selected[condition.word() == *word] { (word) } }
                        }
                        p.wrong { @if let Some(told) = words("condition") { (told) } }
                    }
                    (field("play", "Axial play of each on its own mate", &asked.play, "0.1 mm"))
                    (field("length", "Thread in engagement", &asked.length, "33 mm"))
                }
            }
            button.main { "Compare" }
        }
    }
}
