//! Holes in the body: what they meet.

use super::{Aside, Fit};
use crate::job::{Hole, HoleKind, Job};
use crate::report::{Note, Text};
use flankwise_thread::{Length, Source};

/// Says of holes that meet the thread or leave the flange.
pub(super) fn judge(fit: &Fit, job: &Job, aside: &mut Aside) {
    let body = &job.make.body;
    let Some(outside) = fit.body.map(|b| b.aim).or(body.outside) else { return };
    let wall = (outside - fit.bottom.aim) / 2.0;
    let whole = fit.part_length(&job.make);
    for (i, hole) in body.holes.iter().enumerate() {
        let field = |name: &str| format!("make.hole[{}].{name}", i + 1);
        if let Some((name, text)) = does_not_go_in(hole, whole, outside, body.flange) {
            aside.note(Note::impossible(text).field(field(name)));
            continue;
        }
        match hole.kind {
            HoleKind::Spot => {
                let depth = hole.depth.unwrap_or(wall);
                if depth >= wall {
                    aside.note(
                        Note::warning(
                            Text::from("A spot ")
                                .len(depth)
                                .s(" deep goes through the wall of ")
                                .len(wall)
                                .s(" into the thread: make it shallower, or drill it before the last passes and clear the burr."),
                        )
                        .field(field("depth")),
                    );
                }
            }
            HoleKind::Cross => aside.note(
                Note::remark(
                    "The cross hole cuts the thread: drill it before the last passes, so that they clear the burr."
                        .to_owned(),
                )
                .field(field("kind"))
                .source(Source::practice("drill before the finishing passes")),
            ),
            HoleKind::Flange => {
                let circle = hole.from_end;
                let inner = circle - hole.diameter;
                let outer = circle + hole.diameter;
                if inner < outside {
                    aside.note(
                        Note::warning(
                            Text::from("Flange holes on ").len(circle).s(" run into the body of ").len(outside).s("."),
                        )
                        .field(field("from_end")),
                    );
                }
                if let Some(flange) = body.flange.filter(|f| outer > *f - hole.diameter) {
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
        }
    }
    if let Some(flange) = body.flange.filter(|f| *f <= outside) {
        aside.note(
            Note::warning(
                Text::from("The flange of ")
                    .len(flange)
                    .s(" is no larger than the body of ")
                    .len(outside)
                    .s("."),
            )
            .field("make.body.flange"),
        );
    }
}

/// The field that is wrong with a hole that has no place in the body, and why.
fn does_not_go_in(
    hole: &Hole,
    whole: Length,
    outside: Length,
    flange: Option<Length>,
) -> Option<(&'static str, Text)> {
    let size = hole.diameter;
    if hole.kind == HoleKind::Flange {
        let ring = (flange? - outside) / 2.0;
        return (size >= ring).then(|| {
            let text = Text::from("A hole of ").len(size).s(" does not go into the flange's ring of ");
            ("diameter", text.len(ring).s(" round the body."))
        });
    }
    if size >= outside {
        let text = Text::from("A hole of ").len(size).s(" does not go into a body of ");
        return Some(("diameter", text.len(outside).s(" across.")));
    }
    let (near, far) = (hole.from_end - size / 2.0, hole.from_end + size / 2.0);
    (near < Length::ZERO || far > whole).then(|| {
        let text = Text::from("A hole of ")
            .len(size)
            .s(" with its centre ")
            .len(hole.from_end)
            .s(" from the front face runs out of a body ")
            .len(whole)
            .s(" long.");
        ("from_end", text)
    })
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

    #[test]
    fn a_hole_has_its_place_in_the_body() {
        let field = |h: &Hole| {
            does_not_go_in(h, Length::mm(52.0), Length::mm(36.0), Some(Length::mm(55.0)))
                .map(|(name, _)| name)
        };
        assert_eq!(field(&hole(HoleKind::Spot, 6.0, 26.0)), None);
        assert_eq!(field(&hole(HoleKind::Spot, 6.0, 50.0)), Some("from_end"));
        assert_eq!(field(&hole(HoleKind::Cross, 6.0, 2.0)), Some("from_end"));
        assert_eq!(field(&hole(HoleKind::Cross, 36.0, 26.0)), Some("diameter"));
        assert_eq!(field(&hole(HoleKind::Flange, 5.0, 45.0)), None);
        assert_eq!(field(&hole(HoleKind::Flange, 9.5, 45.0)), Some("diameter"));
    }
}
