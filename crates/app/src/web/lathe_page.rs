//! At the lathe: one pass at a time, in digits readable from two metres, from the place that the job says is reached.

use super::way_at_lathe::WayAtLathe;
use super::worked::Worked;
use super::{App, chosen_unit, say, shell, store_trouble};
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Response};
use flankwise_bench::check::feature_words;
use flankwise_bench::cut::{Cut, Pass, PassKind};
use flankwise_bench::job::{Instrument, Job, MadeFeature, Problem, Words};
use flankwise_bench::report::{Fine, Note, NoteKind, Value, show};
use flankwise_store::{Job as Kept, JobId};
use flankwise_thread::{Element, Length, Unit};
use maud::{Markup, html};
use std::sync::Arc;

/// The view.
pub async fn show(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    let id = JobId(id);
    match app.store.load(id).and_then(|kept| Ok((super::lathe_acts::start(&app, id)?, kept))) {
        Ok((start, kept)) => page(&app, &kept, start, &headers, None).into_response(),
        Err(e) => store_trouble(&e),
    }
}

/// The page, with what was refused, if anything was.
pub fn page(app: &App, kept: &Kept, start: (usize, u32), headers: &HeaderMap, told: Option<&str>) -> Markup {
    let worked = app.cache.get(&kept.text);
    let id = kept.head.id;
    let job_unit = worked.job.as_ref().map_or(Unit::Mm, |j| j.unit);
    let unit = chosen_unit(headers).unwrap_or(job_unit);
    let bar = html! { a.button href={ "/jobs/" (id) "#cut" } { "Back to the job" } };
    let title = &kept.head.title;
    let other = worked.whole.as_ref().zip(worked.job.as_ref()).and_then(|(w, j)| WayAtLathe::of(w, j, unit));
    if let Some(way) = other {
        return shell::page(title, unit, &bar, &way.view(&kept.head, told), Some("/lathe.js"));
    }
    let main = match Bench::of(&worked, unit) {
        Some(bench) => html! {
            div.lathe data-job=(id) data-revision=(kept.head.revision) data-at=(bench.cut.done) {
                p.note.warning #told role="alert" hidden[told.is_none()] { (told.unwrap_or_default()) }
                (bench.view(if start.0 == bench.cut.done { start.1 } else { 1 }))
            }
        },
        None => html! {
            h1 { (title) }
            p.note.warning { "There are no passes yet: the job still lacks something the cut needs." }
            p { a.button href={ "/jobs/" (id) } { "See what is missing" } }
        },
    };
    shell::page(title, unit, &bar, &main, Some("/lathe.js"))
}

/// What the view shows.
struct Bench<'a> {
    job: &'a Job,
    cut: &'a Cut,
    notes: Vec<&'a Note>,
    /// Fields of what was done and measured that could not be read.
    problems: Vec<&'a Problem>,
    starts: u32,
    rpm: Option<f64>,
    unit: Unit,
}

impl<'a> Bench<'a> {
    fn of(worked: &'a Worked, unit: Unit) -> Option<Self> {
        let (job, whole) = (worked.job.as_ref()?, worked.whole.as_ref()?);
        let cut = whole.cut.result.as_ref().filter(|c| !c.passes.is_empty())?;
        // What was done and measured here; the rest is said on the job's page.
        let here = |n: &&Note| {
            n.field.starts_with("done") || n.field.starts_with("made") || n.kind == NoteKind::Impossible
        };
        Some(Self {
            job,
            cut,
            notes: whole.cut.notes.iter().filter(here).collect(),
            problems: worked
                .problems
                .iter()
                .filter(|p| p.field.starts_with("done") || p.field.starts_with("made"))
                .collect(),
            starts: whole.fit.result.as_ref().map_or(1, |f| f.thread.starts),
            rpm: whole.setup.result.as_ref().map(|s| s.rpm),
            unit,
        })
    }

    fn view(&self, start: u32) -> Markup {
        let (cut, total) = (self.cut, self.cut.passes.len());
        let done = cut.done;
        html! {
            @match cut.next() {
                Some(pass) => (self.pass(pass, start)),
                None => {
                    h1.where { "All " (total) " passes done" }
                    p.digits.end { "Measure" }
                    p.reads { "before the work leaves the chuck" }
                }
            }
            @for p in &self.problems {
                p.note.warning { b { "Check: " } (p.field) ": " (p.words()) ". It is left out; mend it on the job's page." }
            }
            @for note in &self.notes { (say::notes(std::slice::from_ref(*note), &say::Around::unit(self.unit))) }
            form.steps method="post" {
                input type="hidden" name="at" value=(done);
                input type="hidden" name="start" value=(start);
                button.back name="act" value="back" disabled[done == 0 && start == 1] { "Take back" }
                button.done name="act" value="done" disabled[done == total] autofocus {
                    @if done == total { "Finished" }
                    @else if start < self.starts { "Start " (start) " done" }
                    @else { "Done — next" }
                }
            }
            progress max=(total) value=(done) aria-label="Passes done" {}
            @if done < total {
                p.ahead { (done) " of " (total) " done; about " (show::value(&Value::Seconds(cut.seconds_left()), self.unit)) " to go" }
            }
            @for note in cut.cautions_at(done) { (say::notes(std::slice::from_ref(note), &say::Around::unit(self.unit))) }
            (self.stands_at())
            (self.measured())
            (self.trouble())
            (self.list())
            details.more {
                summary { "Start over" }
                p { "Takes back every pass and every reading between passes. It can be undone on the job's page." }
                form method="post" {
                    input type="hidden" name="at" value=(done);
                    button name="act" value="over" disabled[done == 0] { "Start over at pass 1" }
                }
            }
        }
    }

    fn pass(&self, pass: &Pass, start: u32) -> Markup {
        let cut = self.cut;
        let digits = digits(cut, pass);
        html! {
            h1.where {
                "Pass " b { (pass.number) } " of " (cut.passes.len()) " · " (kind(pass.kind))
                @if self.starts > 1 { " · start " b { (start) } " of " (self.starts) }
            }
            @if cut.changes_tool(cut.done) {
                p.change { "Change the tool: tip " b { (self.length(pass.tip)) } ". Pick up the groove before this pass." }
            }
            // As large as the number of digits lets them be.
            p.digits style={ "--n:" (digits.chars().count()) } { (digits) }
            p.reads {
                @if pass.by_compound() {
                    "on the compound from touch-on, cross-slide back at " (show::value(&Value::Setting(pass.readout, cut.readout_unit), self.unit))
                } @else {
                    "readout from touch-on, on the " (if cut.readout_on_diameter { "diameter" } else { "radius" })
                }
                ", " (show::unit_sign(cut.unit_of(pass)))
            }
            dl.side {
                (fact("this cut", &self.length(pass.step)))
                (fact("depth", &self.length(pass.depth)))
                (fact("diameter at the tip", &self.length(pass.diameter)))
                @if !pass.by_compound() && pass.axial_shift != Length::ZERO {
                    (fact("compound to (+ from the chuck)", &show::value(&Value::Setting(pass.axial_shift, cut.compound_unit), self.unit)))
                }
                @if let Some(rpm) = self.rpm { (fact("spindle", &show::value(&Value::Rpm(rpm), self.unit))) }
            }
            p.ahead {
                @if let Some(next) = cut.passes.get(cut.done + 1) {
                    "then " b { (digits_of(cut, next)) } " " (kind(next.kind))
                } @else { "this is the last pass" }
            }
        }
    }

    /// A pass that was set to another number than the one asked for.
    fn stands_at(&self) -> Markup {
        let Some(pass) = self.cut.next() else { return html! {} };
        let unit = self.cut.unit_of(pass);
        let on = if pass.by_compound() { "the compound" } else { "the cross-slide" };
        html! {
            details.more {
                summary { "This pass was set to another number" }
                form.enter method="post" {
                    input type="hidden" name="at" value=(self.cut.done);
                    label for="shown" { "What " (on) " stood at, " (show::unit_sign(unit)) }
                    input #shown name="shown" inputmode="decimal" autocomplete="off" placeholder=(digits(self.cut, pass));
                    button name="act" value="stood" { "Pass done at this number" }
                }
            }
        }
    }

    /// A size measured between passes, or when all are done.
    fn measured(&self) -> Markup {
        let cut = self.cut;
        let part = self.job.make.part;
        let (bottom, over) = match part {
            Element::Internal => (MadeFeature::MajorDiameter, &self.job.gauges.balls),
            Element::External => (MadeFeature::MinorDiameter, &self.job.gauges.wires),
        };
        let features = [MadeFeature::OverWires, bottom, MadeFeature::Play];
        let sign = show::unit_sign(self.job.unit);
        html! {
            details.more open[cut.done == cut.passes.len()] {
                summary { "I have measured it" }
                @if cut.done == 0 {
                    p { "After the first pass a size that was measured corrects the passes to come." }
                } @else {
                    @for (wire, value) in &cut.reads_now {
                        p { (feature_words(MadeFeature::OverWires, part)) " of " (self.length(*wire)) " it should read about " b { (self.length(*value)) } " now." }
                    }
                    form.enter method="post" {
                        input type="hidden" name="at" value=(cut.done);
                        label for="feature" { "What" }
                        select #feature name="feature" {
                            @for f in features { option value=(f.word()) { (feature_words(f, part)) } }
                        }
                        label for="wire" { (if part == Element::Internal { "Ball" } else { "Wire" }) ", " (sign) ", if one was used" }
                        input #wire name="wire" inputmode="decimal" autocomplete="off" value=[over.first().map(|w| show::length_number(*w, Fine::Gauge, self.job.unit))];
                        label for="instrument" { "With" }
                        select #instrument name="instrument" {
                            @for word in Instrument::WORDS {
                                option value=(word) selected[*word == usual(part).word()] { (word) }
                            }
                        }
                        label for="value" { "It reads, " (sign) }
                        input #value name="value" inputmode="decimal" autocomplete="off";
                        button name="act" value="measured" { "Plan the rest from this" }
                    }
                }
            }
        }
    }

    fn trouble(&self) -> Markup {
        html! {
            details.more {
                summary { "Something went wrong" }
                @for r in &self.cut.recovery {
                    details.more id={ "trouble-" (r.key) } {
                        summary { (r.title) }
                        ol.recover {
                            @for step in &r.steps {
                                li { (say::text(&step.text, self.unit)) (say::notes(&step.cautions, &say::Around::unit(self.unit))) }
                            }
                        }
                    }
                }
            }
        }
    }

    /// Every pass, those done first.
    fn list(&self) -> Markup {
        let cut = self.cut;
        html! {
            details.more {
                summary { "All passes" }
                ol.passes {
                    @for (i, pass) in cut.passes.iter().enumerate() {
                        li aria-current=[(i == cut.done).then_some("step")] {
                            b { (digits_of(cut, pass)) } " " (pass.kind.word())
                            @if i < cut.done { " — done" }
                            @if i == cut.done { " — next" }
                        }
                    }
                }
            }
        }
    }

    fn length(&self, l: Length) -> String {
        show::value(&Value::Length(l, Fine::Gauge), self.unit)
    }
}

/// The instrument that a groove is usually read with.
const fn usual(part: Element) -> Instrument {
    match part {
        Element::Internal => Instrument::TelescopingGauge,
        Element::External => Instrument::Micrometer,
    }
}

fn fact(what: &str, value: &str) -> Markup {
    html! { div { dt { (what) } dd { (value) } } }
}

/// What the pass is set to, as the device shows it: an inch dial in inches, whatever unit the page is read in.
fn digits(cut: &Cut, pass: &Pass) -> String {
    // A dial in half-hundredths needs the third decimal.
    show::length_number(pass.set_to(), Fine::Gauge, cut.unit_of(pass))
}

/// The same, with the compound's place where a side pass moves that and no other.
fn digits_of(cut: &Cut, pass: &Pass) -> String {
    let set = digits(cut, pass);
    if pass.kind == PassKind::Widening && !pass.by_compound() {
        let side = show::length_number(pass.axial_shift, Fine::Gauge, cut.compound_unit);
        format!("{set}, compound {side}")
    } else {
        set
    }
}

const fn kind(kind: PassKind) -> &'static str {
    match kind {
        PassKind::Scratch => "scratch, then check the pitch",
        PassKind::Cutting => "cutting",
        PassKind::Widening => "to the side",
        PassKind::Spring => "spring pass, no new depth",
    }
}
