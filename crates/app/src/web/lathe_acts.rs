//! What a person does at the lathe, as changes of the job: a pass ticked or taken back, a number that was set, a size
//! that was measured. Each is one revision of the job, so it has undo, survives the program and reaches other pages.

use super::{App, lathe_page, save_trouble, store_trouble};
use crate::kept;
use axum::Form;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use flankwise_bench::cut::{Cut, Pass};
use flankwise_bench::job::{self, Choice, Edit, Job, Typed, Words};
use flankwise_bench::route::{Route, Way};
use flankwise_store::{JobId, SaveError, StoreError};
use flankwise_thread::quantity::parse_length;
use flankwise_thread::{Length, Unit};
use serde::Deserialize;
use std::sync::Arc;

/// Where the start that is cut next is kept: which pass, and which start. It is no part of the job, which knows only
/// passes that every start has had.
const START: &str = "lathe.start";

/// What is asked for.
#[derive(Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    /// `done`, `back`, `stood`, `measured`, `over`.
    act: String,
    /// So many passes were done on the page that asks: an act from an old page does nothing twice.
    at: usize,
    /// Start of the thread that was cut.
    start: u32,
    /// What the device stood at.
    shown: String,
    feature: String,
    wire: String,
    instrument: String,
    value: String,
}

/// Pass and start that are cut next.
pub fn start(app: &App, id: JobId) -> Result<(usize, u32), StoreError> {
    let kept = app.store.recall(Some(id), START)?;
    let parts = kept.as_deref().and_then(|k| k.split_once(':'));
    Ok(parts.and_then(|(pass, start)| Some((pass.parse().ok()?, start.parse().ok()?))).unwrap_or((0, 1)))
}

/// What an act comes to.
enum Outcome {
    /// Changes of the job, and what to call them.
    Change(Vec<Edit>, String),
    /// Another start of the same pass.
    Start(u32),
    /// Already so: the page that asked was old.
    Nothing,
    /// What was read, and what is accepted.
    Refused(String),
}

/// Does what is asked, and shows the place that it leads to.
pub async fn act(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    headers: HeaderMap,
    Form(asked): Form<Asked>,
) -> Response {
    let id = JobId(id);
    // Between reading the newest revision and saving on it, another tablet may save: try again on its text.
    for _ in 0..5 {
        let kept = match app.store.load(id) {
            Ok(kept) => kept,
            Err(e) => return store_trouble(&e),
        };
        let worked = app.cache.get(&kept.text);
        let cut = worked.whole.as_ref().and_then(|w| w.cut.result.as_ref());
        let (Some(job), Some(cut)) = (&worked.job, cut) else { break };
        let other = worked.whole.as_ref().and_then(|w| w.route.result.as_ref()).and_then(Route::other_way);
        let starts = worked.whole.as_ref().and_then(|w| w.fit.result.as_ref()).map_or(1, |f| f.thread.starts);
        let outcome = match other {
            Some(way) => step(way, &job.choice, &asked),
            None => Lathe { job, cut, starts, typed: &worked.typed }.outcome(&asked),
        };
        match outcome {
            Outcome::Change(edits, what) => {
                let changed = edits.iter().try_fold(kept.text.clone(), |text, e| job::apply(&text, e));
                let text = match changed {
                    Ok(text) => text,
                    Err(e) => return refused(&app, &kept, &headers, &e.to_string()),
                };
                let title = kept::title(&text);
                match app.store.save(id, kept.head.revision, &text, &title, &what, kept::now()) {
                    Ok(_) => break,
                    Err(SaveError::Stale(_)) => {}
                    Err(e) => return save_trouble(&e),
                }
            }
            Outcome::Start(start) => {
                match app.store.remember(Some(id), START, &format!("{}:{start}", cut.done)) {
                    Ok(()) => break,
                    Err(e) => return store_trouble(&e),
                }
            }
            Outcome::Nothing => break,
            Outcome::Refused(told) => return refused(&app, &kept, &headers, &told),
        }
    }
    Redirect::to(&format!("/jobs/{id}/lathe")).into_response()
}

fn refused(app: &App, kept: &flankwise_store::Job, headers: &HeaderMap, told: &str) -> Response {
    let start = start(app, kept.head.id).unwrap_or((0, 1));
    let page = lathe_page::page(app, kept, start, headers, Some(told));
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

/// Goes on or back by a step of a way other than the single point.
fn step(way: &Way, choice: &Choice, asked: &Asked) -> Outcome {
    let (done, steps) = (choice.steps_done_of(way.kind), way.steps.len());
    if asked.at != done {
        return Outcome::Nothing;
    }
    let (to, what) = match asked.act.as_str() {
        "done" if done < steps => (done + 1, format!("step {} done: {}", done + 1, way.name)),
        "back" if done > 0 => (done - 1, format!("step {done} taken back: {}", way.name)),
        "over" if done > 0 => (0, format!("started over: {}", way.name)),
        "done" | "back" | "over" => return Outcome::Nothing,
        other => {
            return Outcome::Refused(format!("act: read `{other}`; accepted: done, back or over"));
        }
    };
    let set = |name: &str, typed: String| Edit::Set { path: format!("choice.{name}"), typed };
    let edits = vec![set("steps_of", way.kind.word().to_owned()), set("steps_done", to.to_string())];
    Outcome::Change(edits, what)
}

/// What acts are read against.
struct Lathe<'a> {
    job: &'a Job,
    cut: &'a Cut,
    starts: u32,
    typed: &'a Typed,
}

impl Lathe<'_> {
    fn outcome(&self, asked: &Asked) -> Outcome {
        if asked.at != self.cut.done {
            return Outcome::Nothing;
        }
        match asked.act.as_str() {
            "done" => match self.cut.next() {
                Some(_) if asked.start.max(1) < self.starts => Outcome::Start(asked.start.max(1) + 1),
                Some(pass) => self.tick(pass, pass.depth),
                None => Outcome::Nothing,
            },
            "stood" => self.stood(&asked.shown),
            "back" if asked.start > 1 => Outcome::Start(asked.start - 1),
            "back" => self.back(),
            "measured" => self.measured(asked),
            "over" => self.over(),
            other => Outcome::Refused(format!(
                "act: read `{other}`; accepted: done, back, stood, measured or over"
            )),
        }
    }

    /// A pass that was taken at this depth.
    fn tick(&self, pass: &Pass, depth: Length) -> Outcome {
        let path = format!("done[{}]", self.typed.count("done") + 1);
        let set = |name: &str, l: Length| Edit::Set { path: format!("{path}.{name}"), typed: exactly(l) };
        let mut edits = vec![Edit::Add { path: "done".into() }, set("depth", depth)];
        if pass.side != Length::ZERO {
            edits.push(set("side", pass.side));
        }
        // The tool of now may be another one later.
        edits.push(set("tip", pass.tip));
        Outcome::Change(edits, format!("pass {} done, {} deep", pass.number, exactly(depth)))
    }

    fn stood(&self, shown: &str) -> Outcome {
        let Some(pass) = self.cut.next() else { return Outcome::Nothing };
        let unit = self.cut.unit_of(pass);
        match read("the number it stood at", shown, unit) {
            Ok(length) => match self.cut.depth_at(length, pass.side) {
                depth if depth > Length::ZERO => self.tick(pass, depth),
                _ => Outcome::Refused(format!(
                    "the number it stood at: read `{}`; accepted: a number beyond the zero of touch-on",
                    shown.trim()
                )),
            },
            Err(told) => Outcome::Refused(told),
        }
    }

    /// Takes back the last reading between passes, or the last pass.
    fn back(&self) -> Outcome {
        let of_now = |r: &job::MadeReading| r.after.is_some_and(|n| n as usize == self.cut.done);
        if let Some(i) = self.job.made.iter().rposition(of_now).filter(|_| self.cut.done > 0) {
            let edit = Edit::Remove { path: format!("made[{}]", i + 1) };
            return Outcome::Change(vec![edit], "reading between passes taken back".into());
        }
        match self.typed.count("done") {
            0 => Outcome::Nothing,
            n => {
                let edit = Edit::Remove { path: format!("done[{n}]") };
                Outcome::Change(vec![edit], format!("pass {n} taken back"))
            }
        }
    }

    fn measured(&self, asked: &Asked) -> Outcome {
        if self.cut.done == 0 {
            return Outcome::Refused("It can be measured after the first pass.".into());
        }
        let unit = self.job.unit;
        if let Err(told) = read("the size measured", &asked.value, unit) {
            return Outcome::Refused(told);
        }
        let over = asked.feature == "over wires";
        if over && let Err(told) = read("wire or ball", &asked.wire, unit) {
            return Outcome::Refused(told);
        }
        let path = format!("made[{}]", self.typed.count("made") + 1);
        let set = |name: &str, typed: &str| Edit::Set {
            path: format!("{path}.{name}"),
            typed: with_unit(typed, unit),
        };
        let word =
            |name: &str, typed: &str| Edit::Set { path: format!("{path}.{name}"), typed: typed.into() };
        let mut edits = vec![
            Edit::Add { path: "made".into() },
            word("feature", &asked.feature),
            set("value", &asked.value),
            word("instrument", &asked.instrument),
            word("after", &self.cut.done.to_string()),
        ];
        if over {
            edits.push(set("wire", &asked.wire));
        }
        let what = format!("measured after pass {}: {} {}", self.cut.done, asked.feature, asked.value.trim());
        Outcome::Change(edits, what)
    }

    /// Takes back every pass and every reading between passes, last first so that the numbers before stay.
    fn over(&self) -> Outcome {
        let between = self.job.made.iter().enumerate().rev().filter(|(_, r)| r.after.is_some());
        let mut edits: Vec<Edit> =
            between.map(|(i, _)| Edit::Remove { path: format!("made[{}]", i + 1) }).collect();
        let passes = (1..=self.typed.count("done")).rev();
        edits.extend(passes.map(|i| Edit::Remove { path: format!("done[{i}]") }));
        if edits.is_empty() { Outcome::Nothing } else { Outcome::Change(edits, "passes started over".into()) }
    }
}

/// Reads a length, or says which field, what was read and what is accepted.
fn read(field: &str, typed: &str, unit: Unit) -> Result<Length, String> {
    match parse_length(typed.trim(), unit) {
        Ok((length, _)) => Ok(length),
        Err(e) => Err(format!("{field}: read `{}`; accepted: {}", typed.trim(), e.expected)),
    }
}

/// A typed length with its unit, so that it stays what it was if the job's unit changes.
fn with_unit(typed: &str, unit: Unit) -> String {
    let typed = typed.trim();
    let bare = typed.chars().all(|c| c.is_ascii_digit() || ".,/ -".contains(c));
    if bare {
        format!("{typed} {}", flankwise_bench::report::show::unit_sign(unit))
    } else {
        typed.to_owned()
    }
}

/// A length as the job's text keeps it: to a hundredth of a micrometre, which tells settings of any dial apart.
fn exactly(l: Length) -> String {
    let number = format!("{:.5}", l.to_mm());
    format!("{} mm", number.trim_end_matches('0').trim_end_matches('.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_kept_exactly_and_with_their_unit() {
        assert_eq!(exactly(Length::mm(0.4225)), "0.4225 mm");
        assert_eq!(exactly(Length::mm(3.0)), "3 mm");
        assert_eq!(exactly(Length::mm(-0.1)), "-0.1 mm");
        assert_eq!(with_unit(" 15.83 ", Unit::Mm), "15.83 mm");
        assert_eq!(with_unit("1 5/8", Unit::Inch), "1 5/8 in");
        assert_eq!(with_unit("0.62 in", Unit::Mm), "0.62 in");
    }

    #[test]
    fn what_cannot_be_read_is_named() {
        let told = read("the size measured", "1,5,2", Unit::Mm).expect_err("no number");
        assert!(told.starts_with("the size measured: read `1,5,2`"), "{told}");
    }
}
