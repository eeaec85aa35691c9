//! Holes in the body: what they meet.

use super::{Aside, Fit};
use crate::job::{HoleKind, Job};
use crate::report::{Note, Text};
use flankwise_thread::Source;

/// Says of holes that meet the thread or leave the flange.
pub(super) fn judge(fit: &Fit, job: &Job, aside: &mut Aside) {
    let body = &job.make.body;
    let Some(outside) = fit.body.map(|b| b.aim).or(body.outside) else { return };
    let wall = (outside - fit.bottom.aim) / 2.0;
    for (i, hole) in body.holes.iter().enumerate() {
        let field = |name: &str| format!("make.hole[{}].{name}", i + 1);
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
