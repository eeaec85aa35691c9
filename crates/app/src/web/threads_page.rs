//! Looking threads up without a job: a designation typed in any usual way gives its drawing and limits; a diameter
//! and a pitch give what is listed near them. Everything is in the address, so that a page can be kept.

use super::say::{Around, RowLink};
use super::shell::escaped;
use super::{chosen_unit, compare_page, say, shell};
use axum::extract::Query;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use flankwise_bench::identity::Terms;
use flankwise_bench::reference::{self, Found, Reference, look_up};
use flankwise_sheet::drawing::{SvgOptions, svg};
use flankwise_sheet::figures;
use flankwise_thread::{Family, Thread, Unit};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;

/// Rows shown of a list before the rest is asked for.
const FIRST_ROWS: usize = 60;
/// How many of the nearest are listed.
const NEAREST: usize = 12;

/// What the address asks for; all optional.
#[derive(Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    /// A designation.
    thread: String,
    /// A family's key.
    family: String,
    diameter: String,
    within: String,
    pitch: String,
    /// All rows of a long list.
    all: String,
}

impl Asked {
    fn searches(&self) -> bool {
        [&self.family, &self.diameter, &self.pitch].iter().any(|t| !t.trim().is_empty())
    }

    /// The address of the same search with all its rows.
    fn whole_list(&self) -> String {
        let part = |key: &str, value: &str| format!("{key}={}&", escaped(value));
        format!(
            "/threads?{}{}{}{}all=yes#listed",
            part("family", &self.family),
            part("diameter", &self.diameter),
            part("within", &self.within),
            part("pitch", &self.pitch)
        )
    }
}

/// The address of a thread's own page.
pub fn address(thread: &Thread) -> String {
    format!("/threads?thread={}", escaped(&thread.to_string()))
}

/// The address of a family's listed sizes.
pub fn list_address(family: Family) -> String {
    format!("/threads?family={}#listed", escaped(family.form().key()))
}

/// The page.
pub async fn show(Query(asked): Query<Asked>, headers: HeaderMap) -> Response {
    let typed = asked.thread.trim();
    let found = (!typed.is_empty()).then(|| typed.parse::<Thread>().map(|thread| look_up(&thread)));
    let written = match &found {
        Some(Ok(reference)) => reference.thread.nominal_written,
        _ => Unit::Mm,
    };
    let unit = chosen_unit(&headers).unwrap_or(written);
    let listed = asked.searches().then(|| search(&asked, unit));
    let bad = matches!(found, Some(Err(_))) || matches!(listed, Some(Err(_)));
    let title = match &found {
        Some(Ok(reference)) => reference.thread.to_string(),
        _ => "Threads".to_owned(),
    };
    let main = html! {
        h1 { (title) }
        form.stage.lookup method="get" action="/threads" {
            div.field {
                label for="thread" { "Designation, in any usual writing" }
                input #thread name="thread" value=(typed) placeholder="Tr 22x5, 7/8-5 Acme, M10x1.25-6g, 2 BA, G 3/4"
                    autocomplete="off" autocapitalize="off" spellcheck="false" autofocus[typed.is_empty() && !asked.searches()]
                    aria-invalid=[matches!(found, Some(Err(_))).then_some("true")] aria-describedby="thread-wrong";
                p.wrong #thread-wrong { @if let Some(Err(error)) = &found { (say::with_designations(&error.to_string(), address)) } }
            }
            button.main { "Look up" }
        }
        @if let Some(Ok(reference)) = &found { (said(reference, unit)) }
        (search_form(&asked, listed.as_ref().and_then(|l| l.as_ref().err())))
        @match &listed {
            Some(Ok(list)) => (rows(list, &asked, unit)),
            Some(Err(_)) => {}
            None if found.is_none() => { section.reference { (say::table(&reference::families(), &Around::unit(unit))) } }
            None => {}
        }
    };
    let status = if bad { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    (status, shell::page(&title, unit, &shell::places("/threads"), &main, None)).into_response()
}

/// A thread's drawing, limits, sizes and neighbours.
fn said(reference: &Reference, unit: Unit) -> Markup {
    let thread = &reference.thread;
    let drawing = figures::basic_section(thread, unit);
    let terms = Terms { unit, ..Terms::default() };
    let beside = |table: &str, _: usize, other: &Thread| {
        (table == "neighbours").then(|| RowLink {
            to: compare_page::address(thread, other, &terms),
            words: "beside this one",
            whole: format!("{other} beside {thread}"),
        })
    };
    html! {
        section.reference {
            p.answer { (say::text(&reference.answer(), unit)) }
            @if !reference.variants.is_empty() {
                p { "Also held: "
                    @for (i, other) in reference.variants.iter().enumerate() {
                        @if i > 0 { ", " }
                        a href=(address(other)) { (other) }
                    }
                }
            }
            @if let Some(drawing) = drawing {
                figure.drawing tabindex="0" { (PreEscaped(svg(&drawing, &SvgOptions { sized: false }))) }
            }
            (say::blocks(&reference.blocks(), &Around { row_link: &beside, ..Around::unit(unit) }))
            form.lookup method="get" action="/compare" {
                input type="hidden" name="a" value=(thread);
                div.field {
                    label for="beside" { "Put beside it" }
                    input #beside name="b" placeholder="7/8-5 Acme" autocomplete="off" autocapitalize="off" spellcheck="false";
                }
                button { "Compare" }
            }
        }
    }
}

/// A field of the search that could not be read: its name, and what was read and is accepted.
type Wrong = (&'static str, String);

/// Searches; bare numbers are in the unit that the page shows.
fn search(asked: &Asked, unit: Unit) -> Result<Found, Wrong> {
    let typed = reference::Asked {
        family: &asked.family,
        diameter: &asked.diameter,
        within: &asked.within,
        pitch: &asked.pitch,
    };
    Ok(reference::search(typed.wanted(unit)?, NEAREST))
}

fn search_form(asked: &Asked, wrong: Option<&Wrong>) -> Markup {
    let field = |name: &'static str, label: &str, value: &str, example: &str| {
        let words = wrong.filter(|(field, _)| *field == name).map(|(_, words)| words);
        html! {
            div.field {
                label for=(name) { (label) }
                input id=(name) name=(name) value=(value) placeholder=(example) autocomplete="off"
                    aria-invalid=[words.map(|_| "true")] aria-describedby={ (name) "-wrong" };
                p.wrong id={ (name) "-wrong" } { @if let Some(words) = words { (words) } }
            }
        }
    };
    html! {
        form.stage.search method="get" action="/threads#listed" {
            h2 { "What is listed" }
            div.fields {
                div.field {
                    label for="family" { "Family" }
                    select #family name="family" {
                        option value="" { "any" }
                        @for family in Family::ALL {
                            @let key = family.form().key();
                            option value=(key) selected[asked.family == key] { (family.form().name()) }
                        }
                    }
                }
                (field("diameter", "Diameter", &asked.diameter, "22 mm or 7/8 in"))
                (field("within", "Give or take", &asked.within, "0.1 mm"))
                (field("pitch", "Pitch", &asked.pitch, "5 mm or 5 tpi"))
            }
            button { "List" }
        }
    }
}

/// The list, each thread a link to its page.
fn rows(found: &Found, asked: &Asked, unit: Unit) -> Markup {
    let whole = !asked.all.is_empty() || found.rows.len() <= FIRST_ROWS;
    let table = found.table(if whole { usize::MAX } else { FIRST_ROWS });
    html! {
        section.reference #listed {
            @if let Some(words) = found.nothing() { p { (say::with_designations(&words, address)) } }
            (say::table(&table, &Around::unit(unit)))
            @if !whole {
                p { a.button href=(asked.whole_list()) { "Show all " (found.rows.len()) } }
            }
        }
    }
}
