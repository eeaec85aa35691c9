//! What the proof says, and how it is done by hand.

use super::plan::{self, Plan};
use super::{Check, Judged, Measure, Verdict, cast, guard, shop_gauge};
use crate::cut::seat;
use crate::fit::{Fit, Making, play};
use crate::job::{Duty, Job, MadeFeature};
use crate::report::{
    Block, Figure, Fine, Mark, Note, Row, Section, StageName, Step, Table, Text, Value, columns,
};
use flankwise_thread::{Element, Force, Length, Source, wires};

pub(super) const WIRE_SOURCE: Source =
    Source::derived("exact contact with the helicoid; against Machinery's Handbook 31, pp. 2127-2136");
const ROTATION: Source =
    Source::table("WorkSafe Victoria, Safe use of metal turning lathes (2010)", "entanglement");
const LOAD: Source = Source::table("HSE SIM 03/2010/2", "lifting screws: examination by a competent person");

/// Push and pull for the backlash test.
const HAND_FORCE: Force = Force::newton(50.0);

impl Verdict {
    /// In a word or two.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Pass => "passes",
            Self::Fail => "fails",
            Self::CannotTell => "cannot tell",
        }
    }
}

impl Measure {
    /// The range within which a reading proves the part; none where the gauge is too coarse to prove it.
    pub fn proved(&self) -> Option<(Length, Length)> {
        let (lo, hi) = (self.min + self.guard, self.max - self.guard);
        (lo <= hi).then_some((lo, hi))
    }
}

impl Check {
    /// Whether the sizes of a plug are among the details.
    fn has_plug(&self) -> bool {
        let is_plug =
            |b: &Block| matches!(b, Block::Figures(_, f) if f.iter().any(|f| f.key == "gauge_goes"));
        self.detail.iter().any(is_plug)
    }

    /// Says itself.
    pub fn section(&self) -> Section {
        let answer = match self.verdict {
            None => {
                let mut text = Text::from("Nothing is measured yet. ");
                let of_flanks =
                    |f: MadeFeature| matches!(f, MadeFeature::OverWires | MadeFeature::GrooveWidth);
                text = match self.measures.iter().find(|m| of_flanks(m.feature)) {
                    Some(m) => text
                        .s(if m.feature == MadeFeature::GrooveWidth {
                            "The thread is proved by the "
                        } else {
                            "The thread is proved "
                        })
                        .s(m.how.clone())
                        .s(": aim at ")
                        .v(Value::Length(m.aim, Fine::Gauge))
                        .s(", limits ")
                        .v(Value::Band(m.min, m.max, Fine::Gauge))
                        .s("."),
                    None => match self.measures.iter().find(|m| m.feature == MadeFeature::Play) {
                        Some(m) => text
                            .s("The thread is proved by its play with the mate in: aim at ")
                            .v(Value::Length(m.aim, Fine::Gauge))
                            .s("."),
                        None => text.s(if self.has_plug() { "No balls are at hand and the mate's thread was not read: prove the thread with a plug to the sizes below, or by the mate itself." } else { "Neither wires nor the mate's sizes are at hand: only the mate itself can prove the thread." }),
                    },
                };
                text
            }
            Some(Verdict::Pass) => {
                Text::from("The part is proved within its limits, as far as it was measured.")
            }
            Some(Verdict::Fail) if self.judged.iter().any(|j| j.spoiled) => Text::from(
                "The part is outside its limits, and metal cannot be put back: see at the reading what may become of it.",
            ),
            Some(Verdict::Fail) => {
                Text::from("The part is outside its limits: see what to do at each reading.")
            }
            Some(Verdict::CannotTell) => {
                Text::from(if self.judged.iter().all(|j| j.on_the_way || j.verdict == Verdict::Pass) {
                    "What was measured passes, but the thread itself is not proved yet."
                } else {
                    "Not proved yet: see what to do at each reading."
                })
            }
        };
        let mut blocks = vec![Block::Table(measures_table(&self.measures))];
        blocks.extend(self.detail.iter().cloned());
        Section { stage: StageName::Check, answer, blocks }
    }
}

fn measures_table(measures: &[Measure]) -> Table {
    let fine = |m: &Measure| if m.u > Length::um(8.0) { Fine::Shop } else { Fine::Gauge };
    let rows = measures
        .iter()
        .map(|m| Row {
            cells: vec![
                Value::Word(m.how.clone()),
                Value::Length(m.aim, fine(m)),
                Value::Length(m.min, fine(m)),
                Value::Length(m.max, fine(m)),
                m.proved().map_or(Value::Word("too coarse to prove".into()), |(lo, hi)| {
                    Value::Band(lo, hi, fine(m))
                }),
                Value::Length(m.u, Fine::Gauge),
            ],
            mark: Mark::Plain,
        })
        .collect();
    Table {
        key: "measures",
        title: "What to measure; a reading inside the band of “proved within” passes".into(),
        columns: columns(&[
            ("how", "How"),
            ("aim", "Aim"),
            ("min", "Least"),
            ("max", "Most"),
            ("proved", "Proved within"),
            ("u", "Standard uncertainty"),
        ]),
        rows,
        source: Some(guard::GUARD_SOURCE),
    }
}

/// Readings with their verdicts.
pub(super) fn judged_table(judged: &[Judged]) -> Option<Block> {
    let rows: Vec<Row> = judged
        .iter()
        .map(|j| Row {
            cells: vec![
                Value::Word(j.what.clone()),
                j.wire.map_or(Value::None, |w| Value::Length(w, Fine::Gauge)),
                j.read.clone(),
                j.limits.clone(),
                Value::Word(if j.on_the_way { "on the way" } else { j.verdict.words() }.into()),
                Value::Word(j.advice.clone()),
            ],
            mark: match j.verdict {
                _ if j.on_the_way => Mark::Faint,
                Verdict::Pass => Mark::Best,
                Verdict::Fail => Mark::Bad,
                Verdict::CannotTell => Mark::Plain,
            },
        })
        .collect();
    (!rows.is_empty()).then(|| {
        Block::Table(Table {
            key: "judged",
            title: "Readings of the part".into(),
            columns: columns(&[
                ("what", "What"),
                ("wire", "Wire or ball"),
                ("value", "Reading"),
                ("limits", "Limits"),
                ("verdict", "Verdict"),
                ("advice", "What to do"),
            ]),
            rows,
            source: Some(guard::GUARD_SOURCE),
        })
    })
}

/// Figures of the wire or ball, and of a plug to make.
pub(super) fn figures(fit: &Fit, plan: &Plan, job: &Job) -> Vec<Block> {
    let mut blocks = Vec::new();
    let g = plan::groove(fit);
    // No gauge goes by the sizes of a nut that has them from its screw.
    let upright = fit.slope() <= 1e-9 || fit.making == Making::Cast;
    let gauge_len = |l| Value::Length(l, Fine::Gauge);
    if !upright {
        let d2 = fit.pitch_diameter.aim;
        let ball = fit.part == Element::Internal;
        let mut list = vec![
            Figure::new(
                "best_wire",
                if ball {
                    "ball that touches at the pitch diameter"
                } else {
                    "wire that touches at the pitch diameter"
                },
                gauge_len(wires::best_wire(&g, d2)),
                WIRE_SOURCE,
            )
            .symbol("w")
            .formula("P / (2 cos α), less a little for the lead"),
            Figure::new("pitch_diameter", "pitch diameter aimed at", gauge_len(d2), Source::derived("fit"))
                .symbol(if ball { "D2" } else { "d2" }),
        ];
        if let (Element::External, Ok((lo, hi))) = (fit.part, wires::wire_range(&g, d2, fit.blank.aim)) {
            list.push(
                Figure::new(
                    "wire_range",
                    "wires that can serve",
                    Value::Band(lo, hi, Fine::Gauge),
                    Source::formula("Machinery's Handbook 31", "p. 2135"),
                )
                .formula("from level with the crest to touching at its edge"),
            );
        }
        if let Some(m) = plan.measures.iter().find(|m| m.feature == MadeFeature::OverWires) {
            if let Some(w) = m.wire {
                list.push(Figure::new(
                    "wire",
                    if ball { "ball used" } else { "wire used" },
                    gauge_len(w),
                    Source::choice("nearest to the best among those on hand"),
                ));
                if fit.part == Element::External {
                    list.push(
                        Figure::new(
                            "over_wires_simple",
                            "the same without the lead, for comparison",
                            gauge_len(wires::over_wires_simple(&g, d2, w)),
                            Source::formula("Machinery's Handbook 31", "p. 2127"),
                        )
                        .symbol("M")
                        .formula("d2 + w (1 + csc α) − (P/2) cot α"),
                    );
                    list.push(
                        Figure::new(
                            "over_wires_lead_term",
                            "with the lead term, for comparison",
                            gauge_len(wires::over_wires_lead_term(&g, d2, w)),
                            Source::formula("Machinery's Handbook 31", "p. 2127"),
                        )
                        .symbol("M")
                        .formula("… + ½ w tan² φ cos α cot α"),
                    );
                }
            }
            let slanted = plan::slanted(fit);
            list.push(
                Figure::new(
                    if ball { "between_balls" } else { "over_wires" },
                    match (ball, slanted) {
                        (true, true) => "from ball to ball, the short way",
                        (true, false) => "between the balls, exact contact",
                        (false, _) => "over wires, exact contact",
                    },
                    gauge_len(m.aim),
                    WIRE_SOURCE,
                )
                .symbol(if ball { "" } else { "M" })
                .formula(if slanted {
                    "the groove opposite lies P/2 along: √((2R)² + (P/2)²) − w"
                } else {
                    ""
                })
                .u(gauge_len(m.u)),
            );
            let square = m.wire.filter(|_| slanted).map(|w| wires::between_balls_square(&g, d2, w));
            if let Some(Ok(square)) = square {
                list.push(
                    Figure::new(
                        "between_balls_square",
                        "the same square across, if the gauge's ends stay in one plane",
                        gauge_len(square),
                        WIRE_SOURCE,
                    )
                    .formula("2R − w: enter the short way, or add the difference"),
                );
            }
        }
        list.push(
            Figure::new(
                "flank_u",
                "standard uncertainty of the flank angle",
                Value::Angle(flankwise_thread::Angle::deg(seat::FLANK_U_DEG), 2),
                seat::FLANK_SOURCE,
            )
            .formula("counts as (w cos α − P/2) / sin² α"),
        );
        list.push(
            Figure::new(
                "guard_factor",
                "guard band in standard uncertainties",
                Value::Number(guard::GUARD_FACTOR, 2),
                guard::GUARD_SOURCE,
            )
            .formula("g = 1.65 u"),
        );
        blocks.push(Block::Figures("Wires and balls".into(), list));
    }
    if !upright {
        blocks.extend(shop_gauge::block(fit, job));
        if fit.part == Element::Internal {
            blocks.extend(cast::blocks(fit));
        }
    }
    blocks
}

/// How to measure, in order.
pub(super) fn steps(fit: &Fit, job: &Job) -> Block {
    let in_the_lathe = matches!(fit.making, Making::Cut | Making::Tapped);
    let wiped = "Measure with the spindle at rest, the part at room temperature and wiped clean, burrs taken off the first and last thread.";
    let mut steps = vec![Step::with(
        Text::from(wiped).s(if in_the_lathe {
            " Leave the part in the chuck until the thread is proved: it cannot be put back as true."
        } else {
            ""
        }),
        vec![Note::caution(
            "Switch the drive off and wait until it stands before reaching to the work.",
            ROTATION,
        )],
    )];
    steps.push(Step::new(match fit.part {
        _ if !in_the_lathe => Text::from("Try the mate, oiled, over the whole travel: it must run by hand without a tight place. It enters a full turn or it does not go: do not force it."),
        Element::Internal => Text::from("Try the mate, oiled, before you take the part out: it must run through by hand without a tight place. It enters a full turn or it does not go: do not force it."),
        Element::External => Text::from("Try the mate nut, oiled, along the whole thread: it must run by hand without a tight place."),
    }));
    steps.extend(pins(fit, job).map(Step::new));
    if fit.making != Making::Cast {
        steps.extend(balls(fit).map(Step::new));
        steps.push(Step::new(over_the_length(fit)));
    }
    let k = fit.slope();
    let mut text = Text::from("Backlash: hold the screw against turning, set an indicator against the part that moves, in line with the axis, and push and pull it with about ")
        .v(Value::Force(HAND_FORCE))
        .s(". The difference is the play.");
    if !fit.stations.is_empty() {
        text = text.s(" Do it at each of these places; a reading larger than the prediction means wear that was not measured, or a lead error.");
    }
    if k > 1e-9 && fit.making == Making::Cut {
        let step = Length::mm(0.01);
        text = text
            .s(" To change it by ")
            .v(Value::Length(step, Fine::Gauge))
            .s(" takes ")
            .v(Value::Length(step / k, Fine::Gauge))
            .s(" of pitch diameter.");
    }
    let mut backlash = Step::new(text);
    if job.make.duty == Duty::Lift {
        backlash.cautions.push(Note::caution("Take the load off first and support it. A screw that lifts or holds a load goes back to service only after examination by a competent person; local codes decide.", LOAD));
    }
    steps.push(backlash);
    Block::Steps("Proof by hand".into(), steps)
}

/// How the pitch is proved over the thread's length.
fn over_the_length(fit: &Fit) -> Text {
    let pitch = fit.thread.pitch.length;
    let count = ((fit.length / pitch).floor() - 1.0).clamp(1.0, 50.0) as u32;
    let size = plan::pitch_limits(fit, count);
    let gauge = |l| Value::Length(l, Fine::Gauge);
    Text::new()
        .s(format!("Pitch over its length: {count} of them are "))
        .v(gauge(size.aim))
        .s(". A calliper finds wrong gears, no more. Finer: an indicator with a ball tip on the carriage, or a block against it; let the ball seat in one groove after the other and read the carriage's way. It binds when it is out by ")
        .v(gauge(plan::lead_error_that_binds(fit)))
        .s(" over the whole thread.")
}

/// How a nut is read between balls where the groove opposite lies half a pitch along.
fn balls(fit: &Fit) -> Option<Text> {
    let slanted = plan::slanted(fit) && fit.slope() > 1e-9;
    slanted.then(|| {
        Text::from("Between balls: the groove opposite lies half a pitch along, ")
            .v(Value::Length(fit.thread.pitch.length * 0.5, Fine::Shop))
            .s(". Let the gauge stand slanted, straight from the one ball to the other: that is the size given. A gauge held square across, its ends flat, reads less.")
    })
}

/// Pins of the right sizes tell a bore by going in or not.
fn pins(fit: &Fit, job: &Job) -> Option<Text> {
    if fit.part != Element::Internal || fit.making == Making::Cast {
        return None;
    }
    let near = |p: &&Length| (**p - fit.blank.aim).abs() < Length::mm(0.5);
    let by_size = |a: &&Length, b: &&Length| a.to_mm().total_cmp(&b.to_mm());
    let goes = job.gauges.pins.iter().filter(near).filter(|p| **p <= fit.blank.min).max_by(by_size);
    let refused = job.gauges.pins.iter().filter(near).filter(|p| **p > fit.blank.max).min_by(by_size);
    let pin = |text: Text, p: &Length| text.s("the pin of ").v(Value::Length(*p, Fine::Gauge));
    let text = Text::from("The bore by pins: ");
    match (goes, refused) {
        (Some(g), Some(r)) => Some(pin(pin(text, g).s(" must go in, "), r).s(" must not.")),
        (Some(g), None) => Some(pin(text, g).s(" must go in.")),
        (None, Some(r)) => Some(pin(text, r).s(" must not go in.")),
        (None, None) => None,
    }
}

/// Predicted play along the travel, to hold against the backlash test.
pub(super) fn stations(fit: &Fit) -> Option<Block> {
    if fit.stations.is_empty() {
        return None;
    }
    let play = |play| Value::Length(play, Fine::Gauge);
    let rows = fit
        .stations
        .iter()
        .map(|s| {
            let mut cells = vec![Value::Length(s.place, Fine::Coarse), play(s.play)];
            cells.extend(fit.pressed.map(|pressed| play(s.play + pressed.takes.1)));
            Row { cells, mark: Mark::Plain }
        })
        .collect();
    let mut heads = vec![("place", "Place from the mate's end")];
    if fit.pressed.is_some() {
        heads.extend([
            ("play", "Play once pressed in, at its tightest"),
            ("before", "Before it is pressed in"),
        ]);
    } else {
        heads.push(("play", "Play"));
    }
    Some(Block::Table(Table {
        key: "backlash",
        title: "Play to expect at the backlash test".into(),
        columns: columns(&heads),
        rows,
        source: Some(play::SOURCE),
    }))
}

/// What each gauge may be wrong by, with its origin.
pub(super) fn origins(plan: &Plan) -> Block {
    let list = plan
        .measures
        .iter()
        .zip(&plan.origins)
        .map(|(m, source)| {
            Figure::new(
                match m.feature {
                    MadeFeature::MinorDiameter => "u_minor",
                    MadeFeature::MajorDiameter => "u_major",
                    MadeFeature::OverWires => "u_over_wires",
                    MadeFeature::Play => "u_play",
                    MadeFeature::BodyDiameter => "u_body",
                    MadeFeature::BoreInPlace => "u_bore_in_place",
                    MadeFeature::PlayInPlace => "u_play_in_place",
                    MadeFeature::Pitch => "u_pitch",
                    MadeFeature::GrooveWidth => "u_groove_width",
                },
                format!("standard uncertainty: {}", m.how),
                Value::Length(m.u, Fine::Gauge),
                *source,
            )
            .formula(if m.wire.is_some() {
                "limit, step, setting, wires and flank angle, squared and added"
            } else {
                "limit, step and setting, squared and added"
            })
        })
        .collect();
    Block::Figures("How far the gauges can be trusted".into(), list)
}
