//! At the lathe, where another way is taken than the single point: the steps of that way one at a time, then the proof.
//! The passes belong to the single point, and none of them is shown.

use super::say;
use flankwise_bench::Whole;
use flankwise_bench::check::{Check, Measure};
use flankwise_bench::job::Job;
use flankwise_bench::report::{Fine, Value, show};
use flankwise_bench::route::{Route, Way};
use flankwise_store::{JobHead, JobId};
use flankwise_thread::Unit;
use maud::{Markup, html};

/// What the view shows.
pub struct WayAtLathe<'a> {
    way: &'a Way,
    /// So many of its steps are done.
    done: usize,
    check: Option<&'a Check>,
    unit: Unit,
}

impl<'a> WayAtLathe<'a> {
    /// None where the thread is cut with a single point.
    pub fn of(whole: &'a Whole, job: &Job, unit: Unit) -> Option<Self> {
        let way = whole.route.result.as_ref().and_then(Route::other_way)?;
        let done = job.choice.steps_done_of(way.kind).min(way.steps.len());
        Some(Self { way, done, check: whole.check.result.as_ref(), unit })
    }

    /// The view, with what was refused, if anything was.
    pub fn view(&self, job: &JobHead, told: Option<&str>) -> Markup {
        let (done, total) = (self.done, self.way.steps.len());
        html! {
            div.lathe data-job=(job.id) data-revision=(job.revision) data-at=(done) {
                p.note.warning #told role="alert" hidden[told.is_none()] { (told.unwrap_or_default()) }
                (self.step())
                form.steps method="post" {
                    input type="hidden" name="at" value=(done);
                    button.back name="act" value="back" disabled[done == 0] { "Take back" }
                    button.done name="act" value="done" disabled[done == total] autofocus {
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
        let total = self.way.steps.len();
        html! {
            p.reads { "Way taken: " b { (self.way.name) } ". The passes of a single point do not belong to it." }
            @match self.way.steps.get(self.done) {
                Some(step) => {
                    h1.where { "Step " b { (self.done + 1) } " of " (total) }
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
                    @for (i, step) in self.way.steps.iter().enumerate() {
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
            details.more open[self.done == self.way.steps.len()] {
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
