//! Holes in the part: whether they have a place on it, and what they meet.

use super::engaged::taken_across;
use super::keys::Way;
use super::outline::{self, SAME, Stretch, What};
use super::{Aside, Fit};
use crate::job::{Hole, HoleKind, Job, Make};
use crate::report::{Fine, Note, Text, Value};
use flankwise_thread::{Angle, Element, Length, Source, Thread};

/// A cross hole larger than this share of a screw's diameter weakens it more than is usual. Common practice, no source.
const ACROSS_SHARE: f64 = 0.5;

/// Says of holes that have no place, meet the thread or each other, leave the flange, or are no size for their tap.
pub(super) fn judge(fit: &Fit, job: &Job, outside: &[Stretch], aside: &mut Aside) {
    let body = &job.make.body;
    if outside.is_empty() {
        return;
    }
    let flange = outline::flange(&job.make, fit.length);
    for (i, hole) in body.holes.iter().enumerate() {
        let field = |name: &str| format!("make.hole[{}].{name}", i + 1);
        if let Some((name, text)) = does_not_go_in(hole, outside, flange, body.flange) {
            aside.note(Note::impossible(text).field(if name.contains('.') {
                name.into()
            } else {
                field(name)
            }));
            continue;
        }
        if let Some(thread) = &hole.thread {
            aside.notes.extend(tapped(hole.diameter, thread).map(|note| note.field(field("diameter"))));
        }
        if let Some(text) = crowded(&body.holes[..i], hole, &fit.keyways, outside) {
            aside.note(Note::warning(text).field(field("from_end")));
        }
        let Some(across) = outline::diameter_at(outside, hole.from_end) else { continue };
        match (hole.kind, fit.part) {
            (HoleKind::Spot, _) if hole.depth.is_none() => {
                aside.need(&field("depth"), "how deep the spot is: no number is taken for it");
            }
            (HoleKind::Spot, _) => spot(fit, hole, across, outside, aside, &field),
            (HoleKind::Cross, Element::Internal) => across_nut(fit, hole, aside, &field),
            (HoleKind::Cross, Element::External) => across_screw(hole, across, outside, aside, &field),
            (HoleKind::Flange, _) => on_flange(hole, outside, flange, aside, &field),
        }
    }
    if let Some(flange) = flange
        && let Some(body) = outline::plain(fit, &job.make).filter(|b| flange.diameter <= *b)
    {
        aside.note(
            Note::warning(
                Text::from("The flange of ")
                    .len(flange.diameter)
                    .s(" is no larger than the body of ")
                    .len(body)
                    .s("."),
            )
            .field("make.body.flange"),
        );
    }
}

fn spot(
    fit: &Fit,
    hole: &Hole,
    across: Length,
    outside: &[Stretch],
    aside: &mut Aside,
    field: &dyn Fn(&str) -> String,
) {
    let depth = hole.depth.unwrap_or_default();
    if fit.part == Element::External {
        if on_thread(hole, outside) {
            let text = "The spot stands in the thread and takes away a part of its ridges: drill it before the last passes, so that they clear the burr.";
            aside.note(Note::remark(text).field(field("from_end")).source(BEFORE));
        }
        return;
    }
    let wall = (across - fit.bottom.aim) / 2.0;
    if depth >= wall && (fit.through || hole.from_end < fit.blind_depth()) {
        aside.note(
            Note::warning(Text::from("A spot ").len(depth).s(" deep goes through the wall of ").len(wall).s(
                " into the thread: make it shallower, or drill it before the last passes and clear the burr.",
            ))
            .field(field("depth")),
        );
    }
}

const BEFORE: Source = Source::practice("drill before the finishing passes");

fn across_nut(fit: &Fit, hole: &Hole, aside: &mut Aside, field: &dyn Fn(&str) -> String) {
    if hole.from_end >= fit.length {
        return;
    }
    if hole.diameter >= fit.bottom.aim {
        let text =
            Text::from("A hole of ").len(hole.diameter).s(" across is larger than the thread it meets, ");
        let note = Note::impossible(text.len(fit.bottom.aim).s(": it cuts the nut in two. Make it smaller."));
        aside.note(note.field(field("diameter")));
        return;
    }
    aside.note(
        Note::remark(
            Text::from("The cross hole cuts the thread: drill it before the last passes, so that they clear the burr. It takes away as much thread as ")
                .v(Value::Length(taken_across(hole.diameter, fit.thread.nominal), Fine::Shop))
                .s(" of length."),
        )
        .field(field("kind"))
        .source(BEFORE),
    );
}

fn across_screw(
    hole: &Hole,
    across: Length,
    outside: &[Stretch],
    aside: &mut Aside,
    field: &dyn Fn(&str) -> String,
) {
    if hole.diameter > across * ACROSS_SHARE {
        let text =
            Text::from("A hole of ").len(hole.diameter).s(" across takes more than half of the ").len(across);
        aside.note(
            Note::warning(
                text.s(" of the screw there; a handle bends or breaks it at that place. Make it smaller."),
            )
            .field(field("diameter"))
            .source(Source::practice("a hole for a handle no more than half of the head it goes through")),
        );
    }
    if on_thread(hole, outside) {
        let text = "The hole goes across the thread: drill it before the last passes, so that they clear the burr. It is where the screw breaks.";
        aside.note(Note::warning(text).field(field("from_end")).source(BEFORE));
    }
}

fn on_flange(
    hole: &Hole,
    outside: &[Stretch],
    flange: Option<Stretch>,
    aside: &mut Aside,
    field: &dyn Fn(&str) -> String,
) {
    let circle = hole.from_end;
    let beside = flange.and_then(|f| {
        outside.iter().filter(|s| s.from == f.to || s.to == f.from).map(|s| s.diameter).reduce(Length::max)
    });
    if let Some(body) = beside.filter(|body| circle - hole.diameter < *body) {
        aside.note(
            Note::warning(
                Text::from("Flange holes on ").len(circle).s(" run into the body of ").len(body).s("."),
            )
            .field(field("from_end")),
        );
    }
    if let Some(flange) = flange.map(|f| f.diameter).filter(|f| circle + hole.diameter * 2.0 > *f) {
        aside.note(
            Note::warning(
                Text::from("Flange holes on ")
                    .len(circle)
                    .s(" leave less than half their diameter to the edge of the ")
                    .len(flange)
                    .s(" flange."),
            )
            .field(field("from_end")),
        );
    }
}

/// Whether a hole has a place on the part.
pub(super) fn has_place(hole: &Hole, fit: &Fit, make: &Make, outside: &[Stretch]) -> bool {
    let flange = outline::flange(make, fit.length);
    outside.is_empty() || does_not_go_in(hole, outside, flange, make.body.flange).is_none()
}

/// Whether a hole stands where a screw's thread is.
pub(super) fn on_thread(hole: &Hole, outside: &[Stretch]) -> bool {
    let half = hole.diameter / 2.0;
    outside
        .iter()
        .any(|s| s.what == What::Thread && hole.from_end + half > s.from && hole.from_end - half < s.to)
}

/// A hole that is no size to tap its thread in, with the sizes that are.
fn tapped(diameter: Length, thread: &Thread) -> Option<Note> {
    let minor = flankwise_thread::limits::limits(thread).ok()?.internal?.minor;
    let (least, most) = (minor.min?, minor.max?);
    let drill = |text: Text| text.v(Value::Band(least, most, Fine::Shop)).s(" is right for it.");
    let hole = Text::from("A hole of ").len(diameter);
    if diameter >= thread.nominal {
        let text = hole.s(format!(" leaves nothing to tap {thread} in: "));
        return Some(Note::impossible(drill(text)).source(TAPPED));
    }
    let what = if diameter < least - SAME {
        " is too small to tap {} in, and breaks the tap: "
    } else if diameter > most + SAME {
        " is too large to tap {} in, and leaves it shallow: "
    } else {
        return None;
    };
    let text = hole.s(what.replace("{}", &thread.to_string()));
    Some(Note::warning(drill(text)).source(TAPPED))
}

const TAPPED: Source = Source::derived("limits of the internal thread's minor diameter, by its own standard");

/// What stands where this hole does: another hole, or a keyway. None where its place round the part is not given.
fn crowded(before: &[Hole], hole: &Hole, ways: &[Way], outside: &[Stretch]) -> Option<Text> {
    if hole.kind == HoleKind::Flange {
        return None;
    }
    let angle = hole.angle?;
    let across = outline::diameter_at(outside, hole.from_end)?;
    let half = hole.diameter / 2.0;
    let here = Sector::new(angle, half, across);
    let twin = before.iter().filter(|b| b.kind != HoleKind::Flange).any(|b| {
        let near = (b.from_end - hole.from_end).abs() < half + b.diameter / 2.0;
        near && b.angle.is_some_and(|a| here.meets(&Sector::new(a, b.diameter / 2.0, across)))
    });
    let in_way = ways.iter().any(|w| {
        let along = hole.from_end + half > w.from && hole.from_end - half < w.from + w.length;
        along && here.meets(&Sector::new(w.angle, w.width / 2.0, across))
    });
    let what = match (twin, in_way) {
        (true, _) => "another hole",
        (false, true) => "a keyway",
        (false, false) => return None,
    };
    Some(
        Text::from(format!("This hole stands in {what}, "))
            .v(Value::Length(hole.from_end, Fine::Shop))
            .s(" from the front face at ")
            .v(Value::Angle(angle, 0))
            .s(": give one of them another place."),
    )
}

/// What a hole or keyway takes of the part all round.
pub(super) struct Sector {
    middle: Angle,
    half: Angle,
}

impl Sector {
    /// `half` wide to either side at `middle`, on a part `across`.
    pub(super) fn new(middle: Angle, half: Length, across: Length) -> Self {
        Self { middle, half: Angle::rad((half / (across / 2.0)).min(1.0).asin()) }
    }
    pub(super) fn meets(&self, other: &Self) -> bool {
        let apart = (self.middle - other.middle).to_deg().rem_euclid(360.0);
        apart.min(360.0 - apart) < (self.half + other.half).to_deg()
    }
}

/// The field that is wrong with a hole that has no place in the part, and why.
fn does_not_go_in(
    hole: &Hole,
    outside: &[Stretch],
    flange: Option<Stretch>,
    flange_across: Option<Length>,
) -> Option<(&'static str, Text)> {
    let size = hole.diameter;
    let whole = outside.last()?.to;
    if hole.kind == HoleKind::Flange {
        if flange_across.is_none() {
            let text =
                "The part has no flange for this hole: give the flange, or make it a cross hole or a spot.";
            return Some(("make.body.flange", text.into()));
        }
        let flange = flange?;
        let beside =
            outside.iter().filter(|s| s.what != What::Flange).map(|s| s.diameter).reduce(Length::min)?;
        let ring = (flange.diameter - beside) / 2.0;
        return (size >= ring).then(|| {
            let text = Text::from("A hole of ").len(size).s(" does not go into the flange's ring of ");
            ("diameter", text.len(ring).s(" round the body."))
        });
    }
    let (near, far) = (hole.from_end - size / 2.0, hole.from_end + size / 2.0);
    if near < Length::ZERO || far > whole {
        let text = Text::from("A hole of ")
            .len(size)
            .s(" with its centre ")
            .len(hole.from_end)
            .s(" from the front face runs out of a part ")
            .len(whole)
            .s(" long.");
        return Some(("from_end", text));
    }
    let across = outline::diameter_at(outside, hole.from_end)?;
    if size >= across {
        let text = Text::from("A hole of ").len(size).s(" does not go into a part ");
        return Some(("diameter", text.len(across).s(" across there.")));
    }
    let deep = hole.depth.filter(|depth| hole.kind == HoleKind::Spot && *depth >= across)?;
    let text = Text::from("A spot ").len(deep).s(" deep goes right through the ").len(across);
    Some(("depth", text.s(" of the part there: make it shallower, or a cross hole.")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hole(kind: HoleKind, diameter: f64, from_end: f64) -> Hole {
        Hole {
            kind,
            diameter: Length::mm(diameter),
            depth: None,
            from_end: Length::mm(from_end),
            angle: None,
            thread: None,
            count: 1,
        }
    }

    fn stretch(from: f64, to: f64, diameter: f64, what: What) -> Stretch {
        Stretch { from: Length::mm(from), to: Length::mm(to), diameter: Length::mm(diameter), what }
    }

    #[test]
    fn a_hole_has_its_place_in_the_body() {
        let flange = stretch(0.0, 8.0, 55.0, What::Flange);
        let outside = [flange, stretch(8.0, 52.0, 36.0, What::Body)];
        let field =
            |h: &Hole| does_not_go_in(h, &outside, Some(flange), Some(flange.diameter)).map(|(name, _)| name);
        assert_eq!(field(&hole(HoleKind::Spot, 6.0, 26.0)), None);
        assert_eq!(field(&hole(HoleKind::Spot, 6.0, 50.0)), Some("from_end"));
        let deep = Hole { depth: Some(Length::mm(40.0)), ..hole(HoleKind::Spot, 6.0, 26.0) };
        assert_eq!(field(&deep), Some("depth"));
        assert_eq!(field(&hole(HoleKind::Cross, 6.0, 2.0)), Some("from_end"));
        assert_eq!(field(&hole(HoleKind::Cross, 36.0, 26.0)), Some("diameter"));
        assert_eq!(field(&hole(HoleKind::Flange, 5.0, 45.0)), None);
        assert_eq!(field(&hole(HoleKind::Flange, 9.5, 45.0)), Some("diameter"));
        let none = does_not_go_in(&hole(HoleKind::Flange, 5.0, 45.0), &outside, None, None);
        assert_eq!(none.map(|(name, _)| name), Some("make.body.flange"));
    }

    /// Minor diameters of internal threads, 6H: M6 4.917 to 5.153, M12 10.106 to 10.441 (ISO 965-2).
    #[test]
    fn a_tapped_hole_leaves_a_thread() {
        let kind = |diameter: f64, thread: &str| {
            let thread = thread.parse().unwrap_or_else(|e| panic!("{e}"));
            tapped(Length::mm(diameter), &thread).map(|note| note.kind)
        };
        use crate::report::NoteKind::{Impossible, Warning};
        assert_eq!(kind(5.0, "M6"), None);
        assert_eq!(kind(6.0, "M6"), Some(Impossible));
        assert_eq!(kind(4.5, "M6"), Some(Warning));
        assert_eq!(kind(10.2, "M12"), None);
        assert_eq!(kind(11.0, "M12"), Some(Warning));
    }

    #[test]
    fn places_round_the_part_meet_over_the_top_too() {
        let at = |deg: f64| Sector::new(Angle::deg(deg), Length::mm(3.0), Length::mm(36.0));
        // A half width of 3 mm on a radius of 18 is 9.6°.
        assert!(at(355.0).meets(&at(10.0)) && !at(350.0).meets(&at(10.0)));
        assert!(!at(0.0).meets(&at(180.0)));
    }
}
