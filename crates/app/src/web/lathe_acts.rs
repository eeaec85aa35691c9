//! What a person does at the lathe, as changes of the job: a pass ticked or taken back, a number that was set, a size
//! that was measured. Each is one revision of the job, so it has undo, survives the program and reaches other pages.

use super::{App, lathe_page, save_trouble, store_trouble, way_at_lathe};
use crate::kept;
use axum::Form;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use flankwise_bench::Whole;
use flankwise_bench::cut::{Cut, Entries, Pass, Standing};
use flankwise_bench::job::{self, Choice, Edit, Job, MadeFeature, MadeReading, Problem, Typed, Words};
use flankwise_bench::report::{Value, show};
use flankwise_bench::route::{Route, Way};
use flankwise_store::{JobId, SaveError};
use flankwise_thread::quantity::parse_length;
use flankwise_thread::{Length, Unit};
use serde::Deserialize;
use std::sync::Arc;

/// What is asked for, as it was typed: what is refused goes back into the fields.
#[derive(Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    /// `done`, `back`, `stood`, `measured`, `tip`, `over`.
    pub act: String,
    /// So many passes were done on the page that asks: an act from an old page does nothing twice.
    at: usize,
    /// Start of the thread that was cut.
    start: u32,
    /// What the device stood at.
    pub shown: String,
    /// What was measured.
    pub feature: String,
    /// The wire or ball used.
    pub wire: String,
    /// With what.
    pub instrument: String,
    /// What it read.
    pub value: String,
    /// Tip width of another tool.
    pub tip: String,
    /// The number that the person has looked at again and stands by.
    sure: String,
}

/// Why nothing was done, and what was typed.
pub struct Told<'a> {
    /// In words.
    pub words: &'a str,
    /// What goes back into the fields.
    pub asked: &'a Asked,
    /// The number that can be, but is to be looked at again.
    pub unlikely: Option<&'a str>,
}

/// What an act comes to.
enum Outcome {
    /// Changes of the job, and what to call them.
    Change(Vec<Edit>, String),
    /// Already so: the page that asked was old.
    Nothing,
    /// What was read, and what is accepted.
    Refused(String),
    /// What speaks against the number that was typed, though it can be.
    Unlikely(String),
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
        let (Some(job), Some(whole), Some(cut)) = (&worked.job, &worked.whole, cut) else { break };
        let outcome = match whole.route.result.as_ref().and_then(Route::other_way) {
            Some(way) => step(way, whole.at_the_bench().len(), &job.choice, &asked),
            // Nothing is done by a way that cannot be gone: the page says so.
            None if way_at_lathe::refused(whole, id, job.unit).is_some() => break,
            None => Lathe { job, whole, cut, typed: &worked.typed }.outcome(&asked),
        };
        let refuse =
            |words: &str, unlikely| refused(&app, &kept, &headers, &Told { words, asked: &asked, unlikely });
        match outcome {
            Outcome::Change(edits, what) => {
                let changed = edits.iter().try_fold(kept.text.clone(), |text, e| job::apply(&text, e));
                let text = match changed {
                    Ok(text) => text,
                    Err(e) => return refuse(&e.to_string(), None),
                };
                if let Some(told) = unreadable(&worked.problems, &text) {
                    return refuse(&told, None);
                }
                let title = kept::title(&text);
                match app.store.save(id, kept.head.revision, &text, &title, &what, kept::now()) {
                    Ok(_) => break,
                    Err(SaveError::Stale(_)) => {}
                    Err(e) => return save_trouble(&e),
                }
            }
            Outcome::Nothing => break,
            Outcome::Refused(words) => return refuse(&words, None),
            Outcome::Unlikely(words) => return refuse(&words, Some(asked.number())),
        }
    }
    Redirect::to(&format!("/jobs/{id}/lathe")).into_response()
}

fn refused(app: &App, kept: &flankwise_store::Job, headers: &HeaderMap, told: &Told<'_>) -> Response {
    let page = lathe_page::page(app, kept, headers, Some(told));
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

/// What of a changed text cannot be read though all of it could before: such a change is not saved.
fn unreadable(before: &[Problem], text: &str) -> Option<String> {
    let (_, problems) = job::read_what_can_be(text);
    let more = problems.len() > before.len();
    let new = problems.into_iter().find(|p| !before.iter().any(|b| b.field == p.field && b.read == p.read));
    new.filter(|_| more).map(|p| format!("{}: {}", p.field, p.words()))
}

/// Goes on or back by a step of a way other than the single point, of which there are so many.
fn step(way: &Way, steps: usize, choice: &Choice, asked: &Asked) -> Outcome {
    let done = choice.steps_done_of(way.kind);
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

impl Asked {
    /// The number that the act is about.
    fn number(&self) -> &str {
        if self.act == "stood" { self.shown.trim() } else { self.value.trim() }
    }
    /// Whether the person stands by this number.
    fn sure(&self) -> bool {
        !self.sure.is_empty() && self.sure == self.number()
    }
}

/// What acts are read against.
struct Lathe<'a> {
    job: &'a Job,
    whole: &'a Whole,
    cut: &'a Cut,
    typed: &'a Typed,
}

impl Lathe<'_> {
    fn outcome(&self, asked: &Asked) -> Outcome {
        if asked.at != self.cut.done || asked.start.max(1) != self.cut.start {
            return Outcome::Nothing;
        }
        match asked.act.as_str() {
            "done" => match self.cut.next() {
                Some(pass) => self.tick(pass, pass.depth),
                None => Outcome::Nothing,
            },
            "stood" => self.stood(asked),
            "back" => self.back(),
            "measured" => self.measured(asked),
            "tip" => self.tip(&asked.tip),
            "over" => self.over(),
            other => Outcome::Refused(format!(
                "act: read `{other}`; accepted: done, back, stood, measured, tip or over"
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
        if self.cut.starts > 1 {
            edits.push(Edit::Set { path: format!("{path}.start"), typed: self.cut.start.to_string() });
        }
        Outcome::Change(edits, format!("pass {} done, {} deep", pass.number, exactly(depth)))
    }

    /// The plan that numbers are held against.
    fn entries(&self) -> Option<Entries<'_>> {
        let (fit, tool) = (self.whole.fit.result.as_ref()?, self.whole.tool.result.as_ref()?);
        Some(Entries::of(fit, tool, self.whole.setup.result.as_ref(), self.job))
    }

    /// What stands against a number, `typed` into `field`; none where it is likely, or was looked at again. `counted`
    /// gives a limit as the number is counted.
    fn against(
        &self,
        field: &str,
        asked: &Asked,
        standing: Standing,
        counted: impl Fn(Length) -> String,
    ) -> Option<Outcome> {
        let depth = |l: Length| length_words(l, self.job.unit);
        match standing {
            Standing::Impossible { from, to } => Some(Outcome::Refused(format!(
                "{field}: read `{}`; accepted: {} to {}",
                asked.number(),
                counted(from),
                counted(to)
            ))),
            Standing::Unlikely { told, expected } if !asked.sure() => Some(Outcome::Unlikely(format!(
                "{field}: `{}` says that the groove is {} deep; by the dial and the plan it should be {}. Look again. A slip: mend the number. Right: keep it, and the rest is planned from it.",
                asked.number(),
                depth(told),
                depth(expected)
            ))),
            Standing::Silent(why) => Some(Outcome::Refused(format!(
                "{field}: read `{}`; by that the wire or ball {}, so it tells nothing of the groove. Look again, or take another one.",
                asked.number(),
                why.words()
            ))),
            Standing::Unlikely { .. } | Standing::Likely => None,
        }
    }

    fn stood(&self, asked: &Asked) -> Outcome {
        const FIELD: &str = "the number it stood at";
        let Some(pass) = self.cut.next() else { return Outcome::Nothing };
        let unit = self.cut.unit_of(pass);
        let depth = match read(FIELD, &asked.shown, unit) {
            Ok(shown) => self.cut.depth_at(shown, pass),
            Err(told) => return Outcome::Refused(told),
        };
        let standing = self.entries().map_or(Standing::Likely, |e| e.depth(depth));
        let counted = |l: Length| length_words(self.cut.shown_at(l, pass), unit);
        self.against(FIELD, asked, standing, counted).unwrap_or_else(|| self.tick(pass, depth))
    }

    /// Takes back the last reading between passes, or the last pass.
    fn back(&self) -> Outcome {
        // By the text, in which an entry that cannot be read has its place too.
        let number = |path: String| self.typed.raw(&path).and_then(|typed| typed.trim().parse::<u32>().ok());
        let of_now = |i: &usize| {
            number(format!("made[{i}].after")) == u32::try_from(self.cut.measured_after).ok()
                && number(format!("made[{i}].start")).unwrap_or(1) == self.cut.measured_start
        };
        let last = (1..=self.typed.count("made")).rev().find(of_now);
        if let Some(i) = last.filter(|_| self.cut.measured_after > 0) {
            let edit = Edit::Remove { path: format!("made[{i}]") };
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
        if self.cut.measured_after == 0 {
            return Outcome::Refused("It can be measured after the first pass.".into());
        }
        const FIELD: &str = "the size measured";
        let unit = self.job.unit;
        let reading = match self.reading(FIELD, asked) {
            Ok(reading) => reading,
            Err(told) => return Outcome::Refused(told),
        };
        let standing = self.entries().map_or(Standing::Likely, |e| e.reading(&reading));
        if let Some(against) = self.against(FIELD, asked, standing, |l| length_words(l, unit)) {
            return against;
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
            word("after", &self.cut.measured_after.to_string()),
        ];
        if self.cut.starts > 1 {
            edits.push(word("start", &self.cut.measured_start.to_string()));
        }
        if reading.wire.is_some() {
            edits.push(set("wire", &asked.wire));
        }
        let what = format!(
            "measured after pass {}: {} {}",
            self.cut.measured_after,
            asked.feature,
            asked.value.trim()
        );
        Outcome::Change(edits, what)
    }

    /// Another tool goes on, with this tip: the passes done keep theirs.
    fn tip(&self, typed: &str) -> Outcome {
        const FIELD: &str = "tip of the new tool";
        let unit = self.job.unit;
        let widest = self.whole.tool.result.as_ref().map(|t| t.tip_in_face.max);
        match read(FIELD, typed, unit) {
            Ok(tip) if tip > Length::ZERO && widest.is_none_or(|w| tip <= w) => {
                let edit = Edit::Set { path: "grind.tip_width".into(), typed: with_unit(typed, unit) };
                Outcome::Change(vec![edit], format!("another tool, tip {}", exactly(tip)))
            }
            Ok(_) => {
                let most = widest.map_or(String::new(), |w| format!(", at most {}", length_words(w, unit)));
                Outcome::Refused(format!("{FIELD}: read `{}`; accepted: more than 0{most}", typed.trim()))
            }
            Err(told) => Outcome::Refused(told),
        }
    }

    /// The reading that is typed.
    fn reading(&self, field: &str, asked: &Asked) -> Result<MadeReading, String> {
        let feature: MadeFeature = word("feature", &asked.feature)?;
        let wire = match feature {
            MadeFeature::OverWires => Some(read("wire or ball", &asked.wire, self.job.unit)?),
            _ => None,
        };
        if let Some(wire) = wire.filter(|w| *w <= Length::ZERO) {
            let read = length_words(wire, self.job.unit);
            return Err(format!("wire or ball: read `{read}`; accepted: a diameter above zero"));
        }
        Ok(MadeReading {
            feature,
            value: read(field, &asked.value, self.job.unit)?,
            wire,
            instrument: word("instrument", &asked.instrument)?,
            count: None,
            after: Some(self.cut.measured_after as u32),
            start: self.cut.measured_start,
            uncertainty: None,
        })
    }

    /// Takes back every pass and every reading between passes, last first so that the numbers before stay.
    fn over(&self) -> Outcome {
        let between = (1..=self.typed.count("made"))
            .rev()
            .filter(|i| self.typed.raw(&format!("made[{i}].after")).is_some());
        let mut edits: Vec<Edit> = between.map(|i| Edit::Remove { path: format!("made[{i}]") }).collect();
        let passes = (1..=self.typed.count("done")).rev();
        edits.extend(passes.map(|i| Edit::Remove { path: format!("done[{i}]") }));
        if edits.is_empty() { Outcome::Nothing } else { Outcome::Change(edits, "passes started over".into()) }
    }
}

/// Reads a word of a list, or says which field, what was read and what is accepted.
fn word<W: Words>(field: &str, typed: &str) -> Result<W, String> {
    W::from_word(typed)
        .ok_or_else(|| format!("{field}: read `{}`; accepted: {}", typed.trim(), W::WORDS.join(", ")))
}

/// A length with its unit, as it is told.
fn length_words(l: Length, unit: Unit) -> String {
    show::value(&Value::Setting(l, unit), unit)
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
    if bare { format!("{typed} {}", show::unit_sign(unit)) } else { typed.to_owned() }
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
