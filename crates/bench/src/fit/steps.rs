//! Steps of the outside beside the thread: journals, collars, shoulders, spigots. Their sizes, and whether they have a
//! place on the part.

use super::figures::one_or_band;
use super::outline::{self, SAME, Stretch};
use super::{Aside, Fit, Size, groove};
use crate::iso286::Fits;
use crate::job::{BodyStep, Job, Make};
use crate::report::{Fine, Mark, Note, Row, Table, Text, Value, columns};
use flankwise_thread::{Element, Length, Source};

/// A step with its size settled.
#[derive(Clone, Debug, PartialEq)]
pub struct Stepped {
    /// From the front face to its beginning.
    pub from: Length,
    /// Length.
    pub length: Length,
    /// Diameter, by its class.
    pub size: Size,
    /// Its class; none where the diameter is plain.
    pub fit: Option<Fits>,
    /// Chamfer, undercut and the like, as typed.
    pub ends: Option<String>,
    /// Origin of its limits.
    source: Source,
}

/// Sizes of the steps by ISO 286, their diameter being the basic one.
pub(super) fn sized(make: &Make, aside: &mut Aside) -> Vec<Stepped> {
    make.body.steps.iter().enumerate().map(|(i, step)| size(i, step, aside)).collect()
}

fn size(i: usize, step: &BodyStep, aside: &mut Aside) -> Stepped {
    let BodyStep { diameter, fit, .. } = *step;
    let mut source = Source::choice("as given; no class is asked for");
    let mut size = Size { aim: diameter, min: diameter, max: diameter };
    match fit.map(|fit| (fit, fit.shaft.limits(diameter))) {
        Some((_, Ok(limits))) => {
            let (min, max) = (diameter + limits.lower, diameter + limits.upper);
            size = Size { aim: (min + max) / 2.0, min, max };
            source = limits.source;
        }
        Some((fit, Err(accepted))) => aside.note(
            Note::warning(format!("The fit {fit} of this step cannot be used: expected {accepted}."))
                .field(field(i, "fit")),
        ),
        None => {}
    }
    Stepped { from: step.from_end, length: step.length, size, fit, ends: step.ends.clone(), source }
}

fn field(i: usize, name: &str) -> String {
    format!("make.step[{}].{name}", i + 1)
}

/// Something on the outside with its place, for what is said of it.
struct Placed {
    name: &'static str,
    field: String,
    from: Length,
    to: Length,
    diameter: Length,
}

/// Says of steps and flange that run into the thread, into each other or out of the part, and of a screw that its nut
/// can go on over neither end.
pub(super) fn judge(fit: &Fit, job: &Job, outside: &[Stretch], aside: &mut Aside) {
    let make = &job.make;
    let mut all: Vec<Placed> = fit
        .steps
        .iter()
        .enumerate()
        .map(|(i, s)| Placed {
            name: "step",
            field: field(i, "from_end"),
            from: s.from,
            to: s.from + s.length,
            diameter: s.size.max,
        })
        .collect();
    let flange = outline::flange(make, fit.length);
    if make.body.flange.is_some() && flange.is_none() {
        aside.need(
            "make.body.flange_thickness",
            "thickness of the flange: without it the flange is neither drawn nor weighed",
        );
    }
    all.extend(flange.map(|f| Placed {
        name: "flange",
        field: "make.body.flange_from".to_owned(),
        from: f.from,
        to: f.to,
        diameter: f.diameter,
    }));
    let whole = make.body.length.unwrap_or_else(|| fit.part_length(make));
    let start = outline::thread_from(make);
    let thread = (start, start + fit.length + groove(make));
    for (i, one) in all.iter().enumerate() {
        let said = |what: &str, (from, to): (Length, Length), help: &str| {
            let text = Text::from(format!("The {}, ", one.name))
                .v(Value::Band(one.from, one.to, Fine::Shop))
                .s(format!(" from the front face, {what}, "))
                .v(Value::Band(from, to, Fine::Shop))
                .s(format!(". {help}"));
            Note::impossible(text).field(one.field.clone())
        };
        let meets = |(from, to): (Length, Length)| one.from < to - SAME && one.to > from + SAME;
        if one.to > whole + SAME {
            aside.note(said(
                "runs out of the part",
                (Length::ZERO, whole),
                "Give it another place, or a longer body.",
            ));
        }
        if fit.part == Element::External && meets(thread) {
            let help = "Steps that follow one another from the front face come before the thread, which begins where they end.";
            aside.note(said("runs into the thread and its groove", thread, help));
        }
        if fit.part == Element::Internal
            && one.diameter <= fit.bottom.max
            && meets((Length::ZERO, fit.length))
        {
            let text = Text::from(format!("The {} of ", one.name))
                .len(one.diameter)
                .s(" is no larger than the bottom of the thread under it, ")
                .len(fit.bottom.max)
                .s(".");
            aside.note(Note::impossible(text).field(one.field.clone()));
        }
        if let Some(other) = all[..i].iter().find(|other| meets((other.from, other.to))) {
            aside.note(said(
                &format!("stands where another {} does", other.name),
                (other.from, other.to),
                "Give one of them another place.",
            ));
        }
    }
    if fit.part == Element::External {
        goes_on(fit, make, outside, aside);
    }
}

/// Whether the nut can go on over one of the ends.
fn goes_on(fit: &Fit, make: &Make, outside: &[Stretch], aside: &mut Aside) {
    let bore = fit.thread.basic().d1_internal;
    let start = outline::thread_from(make);
    let largest = |before: bool| {
        let side = outside
            .iter()
            .filter(|s| if before { s.to <= start + SAME } else { s.from >= start + fit.length - SAME });
        side.map(|s| s.diameter).reduce(Length::max).filter(|d| *d > bore)
    };
    let Some((front, back)) = largest(true).zip(largest(false)) else { return };
    let text = Text::from("A nut cannot be run on: its bore is ")
        .len(bore)
        .s(", and the screw has ")
        .len(front)
        .s(" before its thread and ")
        .len(back)
        .s(" behind it. Make one of them smaller or a loose collar, or the nut in halves.");
    aside.note(Note::warning(text).field("make.step"));
}

/// The steps as a table; none where there are none.
pub(super) fn table(fit: &Fit) -> Option<Table> {
    let row = |step: &Stepped| Row {
        cells: vec![
            Value::Band(step.from, step.from + step.length, Fine::Shop),
            one_or_band(step.size, Fine::Gauge),
            step.fit.map_or(Value::None, |f| Value::Word(f.shaft.to_string())),
            step.ends.clone().map_or(Value::None, Value::Word),
            Value::Word(step.source.to_string()),
        ],
        mark: Mark::Plain,
    };
    (!fit.steps.is_empty()).then(|| Table {
        key: "steps",
        title: "Steps of the outside".into(),
        columns: columns(&[
            ("along", "from the front face"),
            ("diameter", "diameter"),
            ("class", "class"),
            ("ends", "chamfer and undercut"),
            ("source", "from"),
        ]),
        rows: fit.steps.iter().map(row).collect(),
        source: None,
    })
}
