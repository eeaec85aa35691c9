//! Keeps the plan in step with what was done: a pure function of the plan and of the passes and readings so far.

use super::course::{Basis, Course, Place, Setting, WIDEN_LEAST};
use super::reached::{self, Silent};
use super::{Pass, PassKind};
use crate::job::{Done, MadeReading};
use crate::report::{Fine, Note, Text, Value};
use flankwise_thread::Length;

/// The passes of one start: those done and those to come.
pub(super) struct Followed {
    /// The start that is cut, from 1.
    pub start: u32,
    /// Passes that the start before it had; none where this is the first, or is begun already.
    pub before: usize,
    /// The last entry of `job.done` that was followed, from 0.
    pub entry: Option<usize>,
    pub passes: Vec<Pass>,
    /// So many of them are done.
    pub done: usize,
    /// Where the tool stands after those that are done.
    pub here: Place,
    /// Where it will stand after the last.
    pub end: Place,
    pub basis: Basis,
}

/// Follows what the job says was done, start by start: the next one is come to when all passes of the last are done,
/// unless that is spoiled.
pub(super) fn follow(course: &Course<'_>, notes: &mut Vec<Note>) -> Followed {
    let starts = course.fit.thread.starts.max(1);
    let begun = course.job.done.iter().map(|d| d.start).max().unwrap_or(1).min(starts);
    notes.extend(other_starts(course, starts));
    let here = follow_start(course, begun, notes);
    let spoiled = course.reached(&here.here).is_some_and(|r| r.too_much());
    if here.done == 0 || here.done < here.passes.len() || begun == starts || spoiled {
        return here;
    }
    // What there is to say of the plan is said already.
    Followed { before: here.done, entry: here.entry, ..follow_start(course, begun + 1, &mut Vec::new()) }
}

/// Follows one start. A pass that was taken as planned leaves the plan as it is; one that was not,
/// or a size that differs from what was set, plans the rest anew from there.
fn follow_start(course: &Course<'_>, start: u32, notes: &mut Vec<Note>) -> Followed {
    let (mut ahead, basis) = course.plan(notes);
    let quota = course.quota(&ahead);
    let mut place = course.start();
    let mut passes = Vec::with_capacity(ahead.len());
    let mut entry = None;
    let of_start = course.job.done.iter().enumerate().filter(|(_, d)| d.start == start);
    for (i, done) in of_start {
        let tip = done.tip.or_else(|| ahead.first().map(|next| next.tip)).unwrap_or(course.tip);
        let written = Entry { index: i, done, tip };
        if let Some(note) = written.impossible(course) {
            notes.push(note);
            continue;
        }
        entry = Some(i);
        notes.extend(written.judge(course, &place, ahead.first()));
        let kind = course.kind_of(&place, done.depth, done.side, tip);
        let set = Setting { kind, depth: done.depth, side: done.side, tip };
        passes.push(course.take(&mut place, set));
        let as_planned = ahead.first().is_some_and(|next| alike(course, next, &set));
        if as_planned {
            ahead.remove(0);
        }
        let before = place.offset;
        for (index, reading) in readings_after(course, start, passes.len()) {
            let field = format!("made[{}].value", index + 1);
            match reached::depth(course, &place, reading) {
                Ok(measured) => notes.extend(reached::take_over(course, &mut place, measured, field)),
                Err(Silent::Unfit(why)) => notes.push(reached::lay_amiss(why, field)),
                Err(Silent::OfNoDepth) => {}
            }
        }
        if (!as_planned && kind != PassKind::Idle) || place.offset != before {
            ahead = course.rest(place, Some(quota));
        }
    }
    notes.extend(readings_too_early(course, start, passes.len()));
    let (done, here) = (passes.len(), place);
    passes.extend(ahead.into_iter().map(|set| course.take(&mut place, set)));
    Followed { start, before: 0, entry, passes, done, here, end: place, basis }
}

/// Whether a pass was taken as planned.
fn alike(course: &Course<'_>, planned: &Setting, set: &Setting) -> bool {
    (planned.depth - set.depth).abs() <= course.near()
        && (planned.side - set.side).abs() <= Length::um(0.5)
        && (planned.tip - set.tip).abs() <= Length::um(1.0)
}

/// Readings that were taken after so many passes of a start, with their index.
fn readings_after<'a>(
    course: &'a Course<'_>,
    start: u32,
    taken: usize,
) -> impl Iterator<Item = (usize, &'a MadeReading)> {
    let made = course.job.made.iter().enumerate();
    made.filter(move |(_, r)| r.start == start && r.after.is_some_and(|n| n as usize == taken))
}

/// Readings said to be taken after more passes of a start than are marked as done.
fn readings_too_early<'a>(
    course: &'a Course<'_>,
    start: u32,
    done: usize,
) -> impl Iterator<Item = Note> + 'a {
    course.job.made.iter().enumerate().filter(move |(_, r)| r.start == start).filter_map(move |(i, r)| {
        let after = r.after.filter(|n| *n as usize > done)?;
        let text = format!(
            "A reading is said to be taken after pass {after}, but {done} are marked as done: it is left out until the passes before it are."
        );
        Some(Note::warning(text).field(format!("made[{}].after", i + 1)))
    })
}

/// Passes and readings of a start that the thread has not.
fn other_starts<'a>(course: &'a Course<'_>, starts: u32) -> impl Iterator<Item = Note> + 'a {
    let note = move |table: &str, index: usize, start: u32| {
        let has = if starts == 1 { "one start".to_owned() } else { format!("{starts} starts") };
        let text = format!(
            "This is of start {start}, but the thread has {has}: it is left out until that is mended."
        );
        Note::warning(text).field(format!("{table}[{}].start", index + 1))
    };
    let done = course.job.done.iter().enumerate().map(|(i, d)| ("done", i, d.start));
    let made = course.job.made.iter().enumerate().map(|(i, r)| ("made", i, r.start));
    done.chain(made).filter(move |(_, _, start)| *start > starts).map(move |(t, i, start)| note(t, i, start))
}

/// A pass as it is written in the job.
struct Entry<'a> {
    /// In `job.done`, from 0.
    index: usize,
    done: &'a Done,
    /// Tip that it was cut with.
    tip: Length,
}

fn gauge(l: Length) -> Value {
    Value::Length(l, Fine::Gauge)
}

impl Entry<'_> {
    fn field(&self, name: &str) -> String {
        format!("done[{}].{name}", self.index + 1)
    }

    /// A number that no pass can have had: the pass is left out.
    fn impossible(&self, course: &Course<'_>) -> Option<Note> {
        let bounds = course.bounds();
        let amiss = [
            ("depth", self.done.depth, (Length::ZERO, bounds.depth)),
            ("side", self.done.side, (-bounds.side, bounds.side)),
            ("tip", self.tip, (Length::ZERO, bounds.tip)),
        ];
        let (name, read, (from, to)) = amiss.into_iter().find(|(_, l, (from, to))| l < from || l > to)?;
        let text = Text::from("No pass can have been so: read ")
            .v(gauge(read))
            .s(", accepted ")
            .v(gauge(from))
            .s(" to ")
            .v(gauge(to))
            .s(". It is left out until that is mended.");
        Some(Note::warning(text).field(self.field(name)))
    }

    /// Whether the pass can have been as it is written.
    fn judge(&self, course: &Course<'_>, place: &Place, next: Option<&Setting>) -> Option<Note> {
        let done = self.done;
        let pass = Text::from("Pass ").v(Value::Count(i64::from(place.taken) + 1)).s(" is written as ");
        let asked = next.filter(|n| n.kind == PassKind::Cutting).map(|n| n.depth);
        if let Some(asked) = asked.filter(|asked| reached::wrong_sense(*asked, done.depth)) {
            let text = pass
                .v(gauge(done.depth))
                .s(" deep where ")
                .v(gauge(asked))
                .s(" was asked: about twice or half. Does the dial count the diameter, or was the reading taken for the depth? If it was cut so, measure before going on.");
            return Some(Note::warning(text).field(self.field("depth")));
        }
        let same_tool = done.tip.is_none_or(|t| (t - place.tip).abs() < Length::um(1.0));
        if place.taken > 0 && same_tool && done.depth < place.depth - course.near() {
            let text = pass
                .s("less deep than the one before, ")
                .v(gauge(done.depth))
                .s(" after ")
                .v(gauge(place.depth))
                .s(": it cut nothing. If it is a slip of the pen, mend it; if the slide has moved, touch on again and mend the passes since.");
            return Some(Note::warning(text).field(self.field("depth")));
        }
        let deepest = course.permitted(place);
        if done.depth > deepest + course.near() {
            let text = pass
                .v(gauge(done.depth))
                .s(" deep, beyond the deepest that is permitted, ")
                .v(gauge(deepest))
                .s(". If it is a slip, mend it. If it was cut so, the bottom is too deep but the flanks decide the fit: measure over the flanks, and see the proof for what that means.");
            return Some(Note::warning(text).field(self.field("depth")));
        }
        let widen = course.widen().max(Length::ZERO);
        if same_tool && course.rough.is_none() && done.side.abs() - widen > WIDEN_LEAST {
            let text = pass
                .s("widening by ")
                .v(gauge(done.side))
                .s(", more than the ")
                .v(gauge(widen))
                .s(" by which the groove is wider than the tip: the thread would be too loose. Measure before going on.");
            return Some(Note::warning(text).field(self.field("side")));
        }
        None
    }
}
