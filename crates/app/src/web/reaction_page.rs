//! The person's reaction, tried on the page: ten presses on a mark that comes when it will. The script takes the
//! times by the browser's performance clock; what they come to is worked out here and kept with the lathe.

use super::edit::{self, Desk};
use super::{App, chosen_unit, shell, store_trouble};
use axum::Form;
use axum::extract::{Path, Query, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Response};
use flankwise_bench::job::{self, Edit};
use flankwise_bench::report::capital;
use flankwise_bench::setup;
use flankwise_store::JobId;
use flankwise_thread::Unit;
use maud::html;
use serde::Deserialize;
use std::sync::Arc;

/// Tries that count, to be made.
const TRIES: usize = 10;

/// The page.
pub async fn show<D: Desk>(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Query(made): Query<Made>,
    headers: HeaderMap,
) -> Response {
    let kept = match D::store(&app).load(JobId(id)) {
        Ok(kept) => kept,
        Err(e) => return store_trouble(&e),
    };
    let base = format!("{}/{id}", D::AT);
    let field = |name: &str| job::raw(&kept.text, &format!("lathe.{name}"));
    let timed = field("reaction_s").filter(|t| !t.is_empty());
    let hands = field("reaction.hands_s").and_then(|t| t.parse().ok()).unwrap_or(setup::HANDS_S);
    let main = html! {
        h1 { "Your reaction" }
        @if job::read_lathe(&kept.text).is_err() {
            p.note.warning { "There is no lathe here yet that could keep it: say its lead screw and gears first." }
            p { a.button href=(base) { "Back to the " (D::WORD) } }
        } @else {
            p { "Ten times, press as soon as the field says " b { "Press" } ": with a finger, the space bar or Enter. It comes after one to four seconds. A press before it, or within a tenth of a second of it, is a false start and does not count." }
            @if let (Some(median), Some(slow)) = (field("reaction.median_s"), field("reaction.slow_s")) {
                p { "Kept now: median " b { (median) " s" } ", 19 of 20 within " b { (slow) " s" } "; "
                    @if let Ok(slow) = slow.parse::<f64>() { (with_hands(slow, hands)) } "." }
            }
            @if let Some(timed) = timed {
                p.note.remark { "This lathe says that you need " (timed) " s, timed at it (" code { "reaction_s" } "). That goes before what is tried here, since it holds the way of your hands to the levers; clear it to use these tries." }
            }
            @if let Some(tries) = setup::tries(&seconds(&made.tries)) {
                form #result method="post" action={ (base) "/reaction" } {
                    p { "These tries: median " b { (format!("{:.3} s", tries.median_s)) } ", 19 of 20 within " b { (format!("{:.3} s", tries.slow_s)) } "."
                        @if tries.false_starts > 0 { " " (false_starts(tries.false_starts)) " not counted." }
                    }
                    p { (capital(&with_hands(tries.slow_s, hands))) "." }
                    p { "A try in which you looked away says nothing: strike it out." }
                    ol.tries {
                        @for (i, t) in made.tries.split(',').enumerate() {
                            li {
                                @match t.trim().parse::<f64>() {
                                    Ok(s) if s >= setup::GUESS_S => (format!("{s:.3} s")),
                                    _ => "false start",
                                }
                                " "
                                a href={ (base) "/reaction?tries=" (without(&made.tries, i)) } { "Strike out" }
                            }
                        }
                    }
                    input type="hidden" name="base" value=(kept.head.revision);
                    input type="hidden" name="tries" value=(made.tries);
                    button.main autofocus { "Keep these tries" }
                    " "
                    a.button href={ (base) "/reaction" } { "Once more" }
                }
            } @else {
            @if !made.tries.is_empty() { p.note.remark { "Fewer than five of these tries count: once more." } }
            button.target #target type="button" data-tries=(TRIES) { "Start" }
            p #counts role="status" aria-live="polite" { "0 of " (TRIES) }
            ol.tries #tries {}
            }
            noscript { p.note.warning { "The test needs the page's script. Without it, time a dry run over a chalk mark and write the seconds into the field reaction_s." } }
            p { "The test sees your eye and one finger. At the lathe two hands go to two levers: " (format!("{:.2}", setup::HANDS_S)) " s is added for that, or what " code { "hands_s" } " says. Tired or cold hands are slower: try when you are." }
            p { a href=(base) { "Back to the " (D::WORD) } }
        }
    };
    let unit = chosen_unit(&headers).unwrap_or(Unit::Mm);
    shell::page("Your reaction", unit, &html! {}, &main, Some("/reaction.js")).into_response()
}

/// The tries just made, as [`Tried`] has them; none before.
#[derive(Default, Deserialize)]
#[serde(default)]
pub struct Made {
    tries: String,
}

fn seconds(tries: &str) -> Vec<f64> {
    tries.split(',').filter_map(|s| s.trim().parse().ok()).collect()
}

/// Times of the tries in seconds, comma between.
#[derive(Deserialize)]
pub struct Tried {
    base: i64,
    tries: String,
}

/// Keeps what the tries came to.
pub async fn keep<D: Desk>(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(t): Form<Tried>,
) -> Response {
    let Some(tries) = setup::tries(&seconds(&t.tries)) else {
        let words =
            format!("tries: read `{}`; accepted: at least five times in seconds of 0.1 or more", t.tries);
        let page = shell::trouble("Not kept", &words, &format!("{}/{id}/reaction", D::AT));
        return (axum::http::StatusCode::UNPROCESSABLE_ENTITY, page).into_response();
    };
    let fields = [
        ("median_s", format!("{:.3}", tries.median_s)),
        ("slow_s", format!("{:.3}", tries.slow_s)),
        ("tries", tries.counted.to_string()),
    ];
    let what = format!(
        "reaction tried: median {:.3} s, 19 of 20 within {:.3} s, {}",
        tries.median_s,
        tries.slow_s,
        false_starts(tries.false_starts)
    );
    edit::rewrite::<D>(&app, JobId(id), t.base, &what, &headers, |text| {
        let with = fields.into_iter().try_fold(text.to_owned(), |text, (name, typed)| {
            let edit = Edit::Set { path: format!("lathe.reaction.{name}"), typed };
            job::apply(&text, &edit).map_err(|e| e.to_string())
        })?;
        // A lathe that was whole is not broken by a try that went wrong.
        match job::read_lathe(&with) {
            Ok(_) => Ok(with),
            Err(problems) => {
                let told = problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ");
                Err(format!("The tries are not kept: {told}. Strike out a try in which you looked away."))
            }
        }
    })
}

/// The tries without one of them.
fn without(tries: &str, at: usize) -> String {
    let rest = tries.split(',').enumerate().filter(|(i, _)| *i != at).map(|(_, t)| t.trim());
    rest.collect::<Vec<_>>().join(",")
}

/// What is reckoned with at the lathe.
fn with_hands(slow: f64, hands: f64) -> String {
    format!("with {hands:.2} s for the hands, {:.2} s from the mark until the tool stands", slow + hands)
}

/// `1 false start`, `3 false starts`.
fn false_starts(n: usize) -> String {
    format!("{n} false start{}", if n == 1 { "" } else { "s" })
}
