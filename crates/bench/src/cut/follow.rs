//! Keeps the plan in step with what was done: a pure function of the plan and of the passes and readings so far.

use super::course::{Basis, Course, Place, Setting, depth_in_hand};
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
    let here = follow_start(course, begun, notes);
    let spoiled = course.reached(&here.here).is_some_and(|r| r.too_much());
    if here.done == 0 || here.done < here.passes.len() || begun == starts || spoiled {
        return here;
    }
    // What there is to say of the plan is said already.
    Followed { before: here.done, ..follow_start(course, begun + 1, &mut Vec::new()) }
}

/// Follows one start. A pass that was taken as planned leaves the plan as it is; one that was not,
/// or a size that differs from what was set, plans the rest anew from there.
fn follow_start(course: &Course<'_>, start: u32, notes: &mut Vec<Note>) -> Followed {
    let (mut ahead, basis) = course.plan(notes);
    let quota = course.quota(&ahead);
    let mut place = course.start();
    let mut passes = Vec::with_capacity(ahead.len());
    let of_start = course.job.done.iter().enumerate().filter(|(_, d)| d.start == start);
    for (i, done) in of_start {
        let tip = done.tip.or_else(|| ahead.first().map(|next| next.tip)).unwrap_or(course.tip);
        notes.extend(judge(course, &place, ahead.first(), done, i));
        let kind = course.kind_of(&place, done.depth, done.side, tip);
        let set = Setting { kind, depth: done.depth, side: done.side, tip };
        passes.push(course.take(&mut place, set));
        let as_planned = ahead.first().is_some_and(|next| alike(course, next, &set));
        if as_planned {
            ahead.remove(0);
        }
        let before = place.offset;
        for (index, reading) in readings_after(course, passes.len()) {
            let field = format!("made[{}].value", index + 1);
            match reached::depth(course, &place, reading) {
                Ok(measured) => notes.extend(reached::take_over(course, &mut place, measured, field)),
                Err(Silent::OnTheEdge) => notes.push(reached::on_the_edge(field)),
                Err(Silent::OfNoDepth) => {}
            }
        }
        if !as_planned || place.offset != before {
            ahead = course.rest(place, Some(quota));
        }
    }
    if start == 1 {
        notes.extend(readings_too_early(course));
    }
    let (done, here) = (passes.len(), place);
    passes.extend(ahead.into_iter().map(|set| course.take(&mut place, set)));
    Followed { start, before: 0, passes, done, here, end: place, basis }
}

/// Whether a pass was taken as planned.
fn alike(course: &Course<'_>, planned: &Setting, set: &Setting) -> bool {
    (planned.depth - set.depth).abs() <= course.near()
        && (planned.side - set.side).abs() <= Length::um(0.5)
        && (planned.tip - set.tip).abs() <= Length::um(1.0)
}

/// Readings that were taken after so many passes, with their index.
fn readings_after<'a>(
    course: &'a Course<'_>,
    taken: usize,
) -> impl Iterator<Item = (usize, &'a MadeReading)> {
    let made = course.job.made.iter().enumerate();
    made.filter(move |(_, r)| r.after.is_some_and(|n| n as usize == taken))
}

/// Readings said to be taken after more passes than are marked as done.
fn readings_too_early<'a>(course: &'a Course<'_>) -> impl Iterator<Item = Note> + 'a {
    let done = course.job.done.len();
    course.job.made.iter().enumerate().filter_map(move |(i, r)| {
        let after = r.after.filter(|n| *n as usize > done)?;
        let text = format!(
            "A reading is said to be taken after pass {after}, but {done} are marked as done: it is left out until the passes before it are."
        );
        Some(Note::warning(text).field(format!("made[{}].after", i + 1)))
    })
}

/// Whether a pass can have been as it is written.
fn judge(
    course: &Course<'_>,
    place: &Place,
    next: Option<&Setting>,
    done: &Done,
    index: usize,
) -> Option<Note> {
    let gauge = |l: Length| Value::Length(l, Fine::Gauge);
    let field = format!("done[{}].depth", index + 1);
    let pass = index + 1;
    let asked = next.filter(|n| n.kind == PassKind::Cutting).map(|n| n.depth);
    if let Some(asked) = asked.filter(|asked| reached::wrong_sense(*asked, done.depth)) {
        return Some(
            Note::warning(
                Text::new()
                    .s(format!("Pass {pass} is written as "))
                    .v(gauge(done.depth))
                    .s(" deep where ")
                    .v(gauge(asked))
                    .s(" was asked: about twice or half. Does the dial count the diameter, or was the reading taken for the depth? If it was cut so, measure before going on."),
            )
            .field(field),
        );
    }
    let same_tool = done.tip.is_none_or(|t| (t - place.tip).abs() < Length::um(1.0));
    if place.taken > 0 && same_tool && done.depth < place.depth - course.near() {
        return Some(
            Note::warning(
                Text::new()
                    .s(format!("Pass {pass} is written as less deep than the one before, "))
                    .v(gauge(done.depth))
                    .s(" after ")
                    .v(gauge(place.depth))
                    .s(": it cut nothing. If it is a slip of the pen, mend it; if the slide has moved, touch on again and mend the passes since."),
            )
            .field(field),
        );
    }
    let deepest = course.full - place.offset + depth_in_hand(course.fit);
    if done.depth > deepest + course.near() {
        return Some(
            Note::warning(
                Text::new()
                    .s(format!("Pass {pass} is written as "))
                    .v(gauge(done.depth))
                    .s(" deep, beyond the deepest that is permitted, ")
                    .v(gauge(deepest))
                    .s(". If it is a slip, mend it. If it was cut so, the bottom is too deep but the flanks decide the fit: measure over the flanks, and see the proof for what that means."),
            )
            .field(field),
        );
    }
    let wider = done.side.abs() - course.widen().max(Length::ZERO);
    if same_tool && course.rough.is_none() && wider > super::course::WIDEN_LEAST {
        return Some(
            Note::warning(
                Text::new()
                    .s(format!("Pass {pass} is written as widening by "))
                    .v(gauge(done.side))
                    .s(", more than the ")
                    .v(gauge(course.widen().max(Length::ZERO)))
                    .s(" by which the groove is wider than the tip: the thread would be too loose. Measure before going on."),
            )
            .field(format!("done[{pass}].side")),
        );
    }
    None
}
