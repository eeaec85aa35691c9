//! At the lathe, where another way is taken than the single point: the whole order of work one step at a time, then the
//! proof. The passes belong to the single point, and none of them is shown; nor is anything where the way chosen cannot
//! be gone.

use super::say;
use flankwise_bench::Whole;
use flankwise_bench::check::{Check, Measure};
use flankwise_bench::job::Job;
use flankwise_bench::report::{Fine, Note, NoteKind, Step, Value, show};
use flankwise_bench::route::{CHOICE, Route, Way};
use flankwise_store::{JobHead, JobId};
use flankwise_thread::Unit;
use maud::{Markup, html};

/// What the view shows.
pub struct WayAtLathe<'a> {
    way: &'a Way,
    /// The order of work, each step with the heading it stands under.
    steps: Vec<(&'static str, Step)>,
    /// So many of them are done.
    done: usize,
    check: Option<&'a Check>,
    unit: Unit,
}

/// What is shown where the way chosen cannot be gone: why, and the way back to the choice. None where it can, or where
/// none is chosen. Passes that were taken before the choice became impossible stay in sight.
pub fn refused(whole: &Whole, id: JobId, unit: Unit) -> Option<Markup> {
    let route = whole.route.result.as_ref().filter(|r| r.refused())?;
    let chosen = route.chosen.as_ref()?;
    let begun = whole.cut.result.as_ref().is_some_and(|c| c.done > 0);
    if begun && route.way(chosen.kind).is_some_and(Way::by_single_point) {
        return None;
    }
    let why: Vec<Note> = whole
        .route
        .notes
        .iter()
        .filter(|n| n.kind == NoteKind::Impossible && n.field == CHOICE)
        .cloned()
        .collect();
    Some(html! {
        div.lathe {
            h1.where { "Not as it stands" }
            (say::notes(&why, &say::Around::unit(unit)))
            p { a.button href={ "/jobs/" (id) "#route" } { "Choose another way" } }
        }
    })
}

impl<'a> WayAtLathe<'a> {
    /// None where the thread is cut with a single point.
    pub fn of(whole: &'a Whole, job: &Job, unit: Unit) -> Option<Self> {
        let way = whole.route.result.as_ref().and_then(Route::other_way)?;
        let steps = whole.at_the_bench();
        let done = job.choice.steps_done_of(way.kind).min(steps.len());
        Some(Self { way, steps, done, check: whole.check.result.as_ref(), unit })
    }

    /// The view, with what was refused, if anything was.
    pub fn view(&self, job: &JobHead, told: Option<&str>) -> Markup {
        let (done, total) = (self.done, self.steps.len());
        // The focus scrolls to its button: not past a step whose cautions fill the screen.
        let brief = self.steps.get(done).is_none_or(|(_, step)| step.cautions.is_empty());
        html! {
            div.lathe data-job=(job.id) data-revision=(job.revision) data-at=(done) {
                p.note.warning #told role="alert" hidden[told.is_none()] { (told.unwrap_or_default()) }
                (self.step())
                form.steps method="post" {
                    input type="hidden" name="at" value=(done);
                    button.back name="act" value="back" disabled[done == 0] { "Take back" }
                    button.done name="act" value="done" disabled[done == total] autofocus[brief] {
                        (if done == total { "Finished" } else { "Done — next" })
                    }
                }
                progress max=(total) value=(done) aria-label="Steps done" {}
                (self.proof(job.id))
                (self.list())
                details.more {
                    summary { "Start over" }
                    form method="post" {
                        input type="hidden" name="at" value=(done);
                        button name="act" value="over" disabled[done == 0] { "Start over at step 1" }
                    }
                }
            }
        }
    }

    fn step(&self) -> Markup {
        let total = self.steps.len();
        html! {
            p.reads { "Way taken: " b { (self.way.name) } ". The passes of a single point do not belong to it." }
            @match self.steps.get(self.done) {
                Some((title, step)) => {
                    h1.where { "Step " b { (self.done + 1) } " of " (total) }
                    p.reads { (title) }
                    p.step { (say::text(&step.text, self.unit)) }
                    (say::notes(&step.cautions, &say::Around::unit(self.unit)))
                }
                None => {
                    h1.where { "All " (total) " steps done" }
                    p.digits.end { "Measure" }
                }
            }
        }
    }

    fn list(&self) -> Markup {
        html! {
            details.more {
                summary { "All steps" }
                ol.recover {
                    @for (i, (_, step)) in self.steps.iter().enumerate() {
                        li aria-current=[(i == self.done).then_some("step")] {
                            (say::text(&step.text, self.unit))
                            @if i < self.done { " — done" }
                        }
                    }
                }
            }
        }
    }

    /// What is measured afterwards, and what it must read.
    fn proof(&self, id: JobId) -> Markup {
        let Some(check) = self.check else { return html! {} };
        html! {
            details.more open[self.done == self.steps.len()] {
                summary { "The proof that follows" }
                @for m in &check.measures { (self.measure(m)) }
                @for j in &check.judged {
                    p { (j.what) " " b { (show::value(&j.read, self.unit)) } ": " (j.verdict.words()) ". " (j.advice) }
                }
                p { a.button href={ "/jobs/" (id) "#check" } { "Write readings down" } }
            }
        }
    }

    fn measure(&self, m: &Measure) -> Markup {
        let value = |v: Value| show::value(&v, self.unit);
        html! {
            p {
                (m.how) ": aim at " b { (value(Value::Length(m.aim, Fine::Gauge))) }
                @match m.proved() {
                    Some((low, high)) => { ", proved within " (value(Value::Band(low, high, Fine::Gauge))) }
                    None => { "; this gauge is too coarse to prove it" }
                }
            }
        }
    }
}
