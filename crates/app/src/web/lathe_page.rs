//! At the lathe: one pass at a time, in digits readable from two metres, from the place that the job says is reached.

use super::lathe_acts::{Asked, Told};
use super::way_at_lathe::{self, WayAtLathe};
use super::worked::Worked;
use super::{App, chosen_unit, say, shell, store_trouble};
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Response};
use flankwise_bench::check::{Check, feature_words};
use flankwise_bench::cut::{Cut, Pass, PassKind};
use flankwise_bench::job::{Instrument, Job, MadeFeature, Problem, Words};
use flankwise_bench::report::{Fine, Note, NoteKind, StageName, Value, capital, show};
use flankwise_store::{Job as Kept, JobId};
use flankwise_thread::{Element, Length, Unit};
use maud::{Markup, html};
use std::sync::Arc;

/// The view.
pub async fn show(State(app): State<Arc<App>>, Path(id): Path<i64>, headers: HeaderMap) -> Response {
    let id = JobId(id);
    match app.store.load(id) {
        Ok(kept) => page(&app, &kept, &headers, None).into_response(),
        Err(e) => store_trouble(&e),
    }
}

/// The page, with what was refused, if anything was.
pub fn page(app: &App, kept: &Kept, headers: &HeaderMap, told: Option<&Told<'_>>) -> Markup {
    let worked = app.cache.get(&kept.text);
    let id = kept.head.id;
    let job_unit = worked.job.as_ref().map_or(Unit::Mm, |j| j.unit);
    let unit = chosen_unit(headers).unwrap_or(job_unit);
    let bar = html! { a.button href={ "/jobs/" (id) "#cut" } { "Back to the job" } };
    let title = &kept.head.title;
    let other = worked.whole.as_ref().zip(worked.job.as_ref()).and_then(|(w, j)| WayAtLathe::of(w, j, unit));
    if let Some(way) = other {
        let view = way.view(&kept.head, told.map(|t| t.words));
        return shell::page(title, unit, &bar, &view, Some("/lathe.js"));
    }
    if let Some(refused) = worked.whole.as_ref().and_then(|w| way_at_lathe::refused(w, id, unit)) {
        return shell::page(title, unit, &bar, &refused, None);
    }
    let main = match Bench::of(&worked, unit, told) {
        Some(bench) => html! {
            div.lathe data-job=(id) data-revision=(kept.head.revision) data-at=(bench.cut.done) {
                p.note.warning #told role="alert" hidden[told.is_none()] { (told.map_or("", |t| t.words)) }
                (bench.view())
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

/// The trouble that may bring another tool.
const TOOL: &str = "tool";

/// What the view shows.
struct Bench<'a> {
    job: &'a Job,
    cut: &'a Cut,
    check: Option<&'a Check>,
    notes: Vec<&'a Note>,
    /// What stands in the way of the whole cut.
    barred: Vec<Note>,
    /// Fields of what was done and measured that could not be read.
    problems: Vec<&'a Problem>,
    rpm: Option<f64>,
    unit: Unit,
    /// What was refused or is asked again, with what was typed.
    told: Option<&'a Told<'a>>,
}

impl<'a> Bench<'a> {
    fn of(worked: &'a Worked, unit: Unit, told: Option<&'a Told<'a>>) -> Option<Self> {
        let (job, whole) = (worked.job.as_ref()?, worked.whole.as_ref()?);
        let cut = whole.cut.result.as_ref().filter(|c| !c.passes.is_empty())?;
        // What was done and measured here; the rest is said on the job's page.
        let here = |n: &&Note| {
            n.field.starts_with("done") || n.field.starts_with("made") || n.kind == NoteKind::Impossible
        };
        Some(Self {
            job,
            cut,
            check: whole.check.result.as_ref(),
            notes: whole.cut.notes.iter().filter(here).collect(),
            barred: whole.said(StageName::Cut).barred,
            problems: worked
                .problems
                .iter()
                .filter(|p| p.field.starts_with("done") || p.field.starts_with("made"))
                .collect(),
            rpm: whole.setup.result.as_ref().and_then(|s| s.rpm),
            unit,
            told,
        })
    }

    fn view(&self) -> Markup {
        let (cut, total) = (self.cut, self.cut.passes.len());
        let done = cut.done;
        html! {
            @if !self.barred.is_empty() {
                h1.where { "Not as it stands" }
                (say::notes(&self.barred, &say::Around::unit(self.unit)))
            }
            @match cut.next() {
                // Before the first pass nothing is lost by mending it; later the person must see where the work stands.
                _ if !self.barred.is_empty() && done == 0 => {}
                Some(pass) => (self.pass(pass)),
                None => {
                    h1.where { "All " (total) " passes done" }
                    p.digits.end { "Measure" }
                    p.reads { "before the work leaves the chuck" }
                    (self.to_measure())
                }
            }
            @for note in cut.cautions_at(done) { (say::notes(std::slice::from_ref(note), &say::Around::unit(self.unit))) }
            @for p in &self.problems {
                p.note.warning { b { "Check: " } (p.field) ": " (p.words()) ". It is left out; mend it on the job's page." }
            }
            @for note in &self.notes { (say::notes(std::slice::from_ref(*note), &say::Around::unit(self.unit))) }
            form.steps method="post" {
                (self.place())
                button.back name="act" value="back" disabled[done == 0 && cut.start == 1] { "Take back" }
                button.done name="act" value="done" disabled[done == total || (done == 0 && !self.barred.is_empty())] autofocus[self.told.is_none()] {
                    @if done == total { "Finished" }
                    @else { "Done — next" }
                }
            }
            @if let Some(pass) = cut.next() { (self.beside(pass)) }
            progress max=(total) value=(done) aria-label="Passes done" {}
            @if done < total {
                p.ahead { (done) " of " (total) " done; about " (show::value(&Value::Seconds(cut.seconds_left()), self.unit)) " to go" }
            }
            (self.stands_at())
            (self.measured())
            (self.trouble())
            (self.list())
            details.more {
                summary { "Start over" }
                p { "Takes back every pass and every reading between passes. It can be undone on the job's page." }
                form method="post" {
                    (self.place())
                    button name="act" value="over" disabled[done == 0 && cut.start == 1] { "Start over at pass 1" }
                }
            }
        }
    }

    /// The place that an act of this page is about: one from an older page does nothing twice.
    fn place(&self) -> Markup {
        html! {
            input type="hidden" name="at" value=(self.cut.done);
            input type="hidden" name="start" value=(self.cut.start);
        }
    }

    fn pass(&self, pass: &Pass) -> Markup {
        let cut = self.cut;
        let digits = digits(cut, pass);
        let second = other_slide(cut, pass);
        html! {
            h1.where {
                "Pass " b { (pass.number) } " of " (cut.passes.len()) " · " (kind(pass.kind))
                @if cut.starts > 1 { " · start " b { (cut.start) } " of " (cut.starts) }
            }
            @if let Some(way) = cut.next_start.as_ref().filter(|_| cut.start > 1 && cut.done == 0) {
                p.change { "Start " b { (cut.start - 1) } " is at its full depth. Go on to the next " (say::text(way, self.unit)) ". Then the same passes again." }
            }
            @if cut.changes_tool(cut.done) {
                p.change {
                    "Change the tool: tip " b { (self.length(pass.tip)) } ". Pick up the groove before this pass"
                    @if let Some(called) = &cut.change { "; where it rests, " (say::text(called, self.unit)) }
                    "."
                }
            }
            // As large as the number of digits lets them be.
            p.digits.two[second.is_some()] style={ "--n:" (digits.chars().count()) } { (digits) }
            p.reads {
                @if pass.by_compound() {
                    "on the compound from touch-on"
                } @else {
                    (cut.shown_on) " from touch-on, on the " (if cut.readout_on_diameter { "diameter" } else { "radius" })
                }
                ", " (show::unit_sign(cut.unit_of(pass)))
                @if pass.by_compound() && second.is_none() { "; cross-slide back at zero" }
            }
            @if let Some((digits, words)) = second {
                p.digits.two style={ "--n:" (digits.chars().count()) } { (digits) }
                p.reads { (words) }
            }
        }
    }

    /// What there is to know beside the number: under the buttons, which must not move down.
    fn beside(&self, pass: &Pass) -> Markup {
        let cut = self.cut;
        html! {
            dl.side {
                (fact("this cut", &self.length(pass.step)))
                (fact("depth", &self.length(pass.depth)))
                (fact("diameter at the tip", &self.length(pass.diameter)))
                @if let Some(rpm) = self.rpm { (fact("spindle", &show::value(&Value::Rpm(rpm), self.unit))) }
            }
            p.ahead {
                @if let Some(next) = cut.passes.get(cut.done + 1) {
                    "then " b { (digits_of(cut, next)) } " " (kind(next.kind))
                } @else { "this is the last pass" }
            }
        }
    }

    /// What was typed for an act that was refused or is asked again.
    fn typed(&self, act: &str) -> Option<&'a Asked> {
        self.told.map(|t| t.asked).filter(|a| a.act == act)
    }

    /// The number of an act that is to be looked at again.
    fn unlikely(&self, act: &str) -> Option<&'a str> {
        self.typed(act).and(self.told?.unlikely)
    }

    /// Why an act was refused or is asked again, by the field: the head of the page may be out of sight.
    fn told_at(&self, act: &str) -> Markup {
        html! { @if let Some(told) = self.told.filter(|_| self.typed(act).is_some()) { p.wrong { (told.words) } } }
    }

    /// Carries the number that was looked at: the same once more is kept.
    fn sure(&self, act: &str) -> Markup {
        html! { @if let Some(number) = self.unlikely(act) { input type="hidden" name="sure" value=(number); } }
    }

    /// A pass that was set to another number than the one asked for.
    fn stands_at(&self) -> Markup {
        let Some(pass) = self.cut.next() else { return html! {} };
        let unit = self.cut.unit_of(pass);
        let on = if pass.by_compound() { "the compound" } else { "the cross-slide" };
        let typed = self.typed("stood");
        html! {
            details.more open[typed.is_some()] {
                summary { "This pass was set to another number" }
                form.enter method="post" {
                    (self.place())
                    label for="shown" { "What " (on) " stood at, " (show::unit_sign(unit)) }
                    input #shown name="shown" inputmode="decimal" autocomplete="off" autofocus[typed.is_some()] placeholder=(digits(self.cut, pass)) value=[typed.map(|a| a.shown.as_str())];
                    (self.told_at("stood"))
                    (self.sure("stood"))
                    button name="act" value="stood" { (if self.unlikely("stood").is_some() { "It is right: keep it" } else { "Pass done at this number" }) }
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
        let upright =
            self.check.is_some_and(|c| c.measures.iter().any(|m| m.feature == MadeFeature::GrooveWidth));
        let flanks = if upright { MadeFeature::GrooveWidth } else { MadeFeature::OverWires };
        let features = [flanks, bottom, MadeFeature::Play];
        let sign = show::unit_sign(self.job.unit);
        let typed = self.typed("measured");
        let first = over.first().map(|w| show::length_number(*w, Fine::Gauge, self.job.unit));
        html! {
            details.more open[cut.done == cut.passes.len() || typed.is_some()] {
                summary { "I have measured it" }
                @if cut.measured_after == 0 {
                    p { "After the first pass a size that was measured corrects the passes to come." }
                } @else {
                    @for (wire, value) in &cut.reads_now {
                        p {
                            (capital(feature_words(MadeFeature::OverWires, part))) " of " (self.length(*wire)) " it should read about " b { (self.length(*value)) } " now"
                            @if part == Element::Internal && cut.starts > 1 { ", the short way between two balls half a turn apart in this start's own groove" }
                            "."
                        }
                    }
                    form.enter method="post" {
                        (self.place())
                        label for="feature" { "What" }
                        select #feature name="feature" {
                            @for f in features {
                                option value=(f.word()) selected[typed.is_some_and(|a| a.feature == f.word())] { (feature_words(f, part)) }
                            }
                        }
                        label for="wire" { (if part == Element::Internal { "Ball" } else { "Wire" }) ", " (sign) ", if one was used" }
                        input #wire name="wire" inputmode="decimal" autocomplete="off" value=[typed.map(|a| a.wire.as_str()).or(first.as_deref())];
                        label for="instrument" { "With" }
                        select #instrument name="instrument" {
                            @for word in Instrument::WORDS {
                                option value=(word) selected[*word == typed.map_or(usual(part).word(), |a| a.instrument.as_str())] { (word) }
                            }
                        }
                        label for="value" { "It reads, " (sign) }
                        input #value name="value" inputmode="decimal" autocomplete="off" autofocus[typed.is_some()] value=[typed.map(|a| a.value.as_str())];
                        (self.told_at("measured"))
                        (self.sure("measured"))
                        button name="act" value="measured" { (if self.unlikely("measured").is_some() { "It is right: keep it" } else { "Plan the rest from this" }) }
                    }
                }
            }
        }
    }

    /// What to measure when all passes are done: aim and limits.
    fn to_measure(&self) -> Markup {
        let measures = self.check.map_or(&[][..], |c| &c.measures);
        html! {
            ul.measures {
                @for m in measures {
                    li { (capital(&m.how)) ": " b { (self.length(m.aim)) } ", limits " (show::value(&Value::Band(m.min, m.max, Fine::Gauge), self.unit)) }
                }
            }
        }
    }

    /// The tip of the tool that goes on, where another one does.
    fn new_tip(&self) -> Markup {
        let typed = self.typed("tip");
        html! {
            form.enter method="post" {
                (self.place())
                label for="tip" { "Tip of the new tool, in its face, " (show::unit_sign(self.job.unit)) }
                input #tip name="tip" inputmode="decimal" autocomplete="off" autofocus[typed.is_some()] value=[typed.map(|a| a.tip.as_str())];
                (self.told_at("tip"))
                button name="act" value="tip" { "Go on with this tip" }
            }
        }
    }

    fn trouble(&self) -> Markup {
        html! {
            details.more open[self.typed("tip").is_some()] {
                summary { "Something went wrong" }
                @for r in &self.cut.recovery {
                    details.more id={ "trouble-" (r.key) } open[r.key == TOOL && self.typed("tip").is_some()] {
                        summary { (r.title) }
                        ol.recover {
                            @for step in &r.steps {
                                li { (say::text(&step.text, self.unit)) (say::notes(&step.cautions, &say::Around::unit(self.unit))) }
                            }
                        }
                        @if r.key == TOOL { (self.new_tip()) }
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

/// The number of the slide that does not set the depth, where it is the other half of the pass, and what it is of.
fn other_slide(cut: &Cut, pass: &Pass) -> Option<(String, String)> {
    let shown = |l, unit| show::length_number(l, Fine::Gauge, unit);
    if pass.by_compound() {
        let words = format!("cross-slide back to, {}", show::unit_sign(cut.readout_unit));
        (pass.readout != Length::ZERO).then(|| (shown(pass.readout, cut.readout_unit), words))
    } else {
        let words =
            format!("compound to, along the axis, + from the chuck, {}", show::unit_sign(cut.compound_unit));
        // Once it was shifted it has to be set for every pass, and goes back to zero too.
        let shifted = |p: &Pass| p.axial_shift != Length::ZERO;
        let before = if cut.start > 1 { &cut.passes[..] } else { &cut.passes[..cut.done] };
        let shifts = shifted(pass) || before.iter().any(shifted);
        shifts.then(|| (shown(pass.axial_shift, cut.compound_unit), words))
    }
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
        PassKind::Idle => "cuts nothing",
    }
}
