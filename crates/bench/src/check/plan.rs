//! What to measure, with what, and the limits for each.

use super::{Measure, guard, shop_gauge};
use crate::cut::seat::{self, Section, Unfit};
use crate::evidence::gauge;
use crate::fit::{Fit, Making, Size};
use crate::job::{Instrument, Job, MadeFeature};
use crate::report::{Fine, Need, Note, Text, Value};
use flankwise_thread::wires::{self, Groove};
use flankwise_thread::{Element, Length, Source};

/// The plan, with what is lacking for it.
pub(super) struct Plan {
    /// What is made.
    part: Element,
    pub measures: Vec<Measure>,
    /// Origin of each measure's uncertainty.
    pub origins: Vec<Source>,
    pub needs: Vec<Need>,
    pub notes: Vec<Note>,
}

/// The thread's groove with the flanks of its family.
pub(super) fn groove(fit: &Fit) -> Groove {
    Groove::of(&fit.thread)
}

/// Whether a nut is read between balls slanted: with an odd number of starts the groove opposite lies half a pitch along.
pub(super) const fn slanted(fit: &Fit) -> bool {
    matches!(fit.part, Element::Internal) && fit.thread.starts % 2 == 1
}

/// Why a wire or ball cannot serve in the finished thread; none if it can.
pub(super) fn unfit(fit: &Fit, wire: Length) -> Option<&'static str> {
    seat::unfit(&fit.thread, fit.part, &Section::finished(fit), wire).map(Unfit::words)
}

/// The instrument for outside diameters: a micrometer where there is one.
fn outside(job: &Job) -> Instrument {
    if has(job, Instrument::Micrometer) { Instrument::Micrometer } else { Instrument::Calliper }
}

/// The instrument for bores and gaps.
fn inside(job: &Job) -> Instrument {
    if has(job, Instrument::TelescopingGauge) { Instrument::TelescopingGauge } else { Instrument::Calliper }
}

/// On hand, by the list or by having been used on this part.
fn has(job: &Job, instrument: Instrument) -> bool {
    job.gauges.instruments.contains(&instrument) || job.made.iter().any(|r| r.instrument == instrument)
}

pub(super) fn instrument_words(instrument: Instrument) -> &'static str {
    match instrument {
        Instrument::Calliper => "calliper",
        Instrument::Micrometer => "micrometer",
        Instrument::Rule => "rule",
        Instrument::Protractor => "protractor",
        Instrument::Wires => "micrometer and wires",
        Instrument::Pins => "micrometer and pins",
        Instrument::TelescopingGauge => "telescoping gauge and micrometer",
        Instrument::Photo => "photo",
        Instrument::PaperTrace => "marks on paper",
        Instrument::Cast => "cast",
        Instrument::Microscope => "microscope",
        Instrument::Indicator => "indicator",
        Instrument::Other => "instrument",
    }
}

/// Limits of play at the tightest place, and the place: what the limits of the pitch diameter make of it, on upright flanks
/// those of the groove's width, while the part is not pressed in.
pub(super) fn play_limits(fit: &Fit) -> Option<(Size, Length)> {
    let tightest = fit.travelled?.tightest;
    let k = fit.slope();
    let d2 = fit.pitch_diameter;
    let by_book = fit.travelled.and_then(|t| t.by_book).filter(|_| fit.making != Making::Cut);
    let (less, more) = match (fit.part, by_book) {
        _ if fit.making == Making::Cast => (tightest.play(), tightest.play()),
        (_, Some((tight, loose))) => (-tight, loose),
        _ if k <= 1e-9 => (fit.groove.aim - fit.groove.min, fit.groove.max - fit.groove.aim),
        (Element::Internal, None) => ((d2.aim - d2.min) * k, (d2.max - d2.aim) * k),
        (Element::External, None) => ((d2.max - d2.aim) * k, (d2.aim - d2.min) * k),
    };
    let aim = tightest.play() + fit.press_takes();
    Some((Size { aim, min: (aim - less).max(Length::ZERO), max: aim + more }, tightest.middle()))
}

/// Limits of the groove's width where the flanks are upright: wider by so much is more play by as much.
pub(super) fn groove_width(fit: &Fit) -> Option<Size> {
    (fit.slope() <= 1e-9).then_some(fit.groove)
}

/// The same once it is pressed in: least where the press fit is at its tightest, most where it is at its lightest.
pub(super) fn play_in_place(fit: &Fit) -> Option<(Size, Length)> {
    let (cut, place) = play_limits(fit)?;
    Some((pressed(cut, fit.pressed?.takes), place))
}

/// Limits of the bore once it is pressed in.
pub(super) fn bore_in_place(fit: &Fit) -> Option<Size> {
    Some(pressed(fit.blank, fit.pressed?.closing))
}

/// A size after so much is taken from it, least and most; aimed at between the two.
fn pressed(cut: Size, (least, most): (Length, Length)) -> Size {
    Size {
        aim: cut.aim - (least + most) / 2.0,
        min: (cut.min - most).max(Length::ZERO),
        max: cut.max - least,
    }
}

/// The one of `stock` that is nearest to `best`.
pub(super) fn nearest(stock: impl Iterator<Item = Length>, best: Length) -> Option<Length> {
    stock.min_by(|a, b| (*a - best).abs().to_mm().total_cmp(&(*b - best).abs().to_mm()))
}

/// Error of lead over the thread's length at which it binds: all of the play at the tightest place; of a thread by the
/// book, what its pitch diameter's tolerance makes of play.
pub(super) fn lead_error_that_binds(fit: &Fit) -> Length {
    let by_book = (fit.pitch_diameter.max - fit.pitch_diameter.min) * fit.slope();
    fit.play_unset().unwrap_or(by_book).max(Length::um(5.0))
}

/// Limits of the distance over `count` pitches.
pub(super) fn pitch_limits(fit: &Fit, count: u32) -> Size {
    let aim = fit.thread.pitch.length * f64::from(count);
    let off = lead_error_that_binds(fit) * (aim / fit.length).min(1.0);
    Size { aim, min: aim - off, max: aim + off }
}

pub(super) fn measure(
    feature: MadeFeature,
    how: String,
    wire: Option<Length>,
    size: Size,
    u: Length,
) -> Measure {
    Measure {
        feature,
        how,
        wire,
        min: size.min,
        max: size.max,
        aim: size.aim,
        u,
        guard: u * guard::GUARD_FACTOR,
    }
}

impl Plan {
    fn add(
        &mut self,
        feature: MadeFeature,
        how: String,
        wire: Option<Length>,
        size: Size,
        u: (Length, Source),
    ) {
        let m = measure(feature, how, wire, size, u.0);
        if m.guard * 2.0 >= m.max - m.min {
            self.notes.push(
                Note::warning(
                    Text::new()
                        .s(format!("{}: the limits are ", super::feature_words(feature, self.part)))
                        .v(Value::Length(m.max - m.min, Fine::Gauge))
                        .s(" apart, too close for a gauge with a standard uncertainty of ")
                        .v(Value::Length(m.u, Fine::Gauge))
                        .s(": it can prove a part bad, but not good. A finer gauge, or the mean of several readings, is needed."),
                )
                .field("gauges.instruments")
                .source(guard::GUARD_SOURCE),
            );
        } else if m.aim < m.min + m.guard || m.aim > m.max - m.guard {
            // A part made exactly to the aim would then read "cannot tell": its maker must know beforehand.
            let (middle, side) =
                ((m.min + m.max) * 0.5, if m.aim < m.min + m.guard { "above" } else { "below" });
            self.notes.push(
                Note::warning(
                    Text::new()
                        .s(format!(
                            "{}: this gauge cannot prove the aim of ",
                            super::feature_words(feature, self.part)
                        ))
                        .v(Value::Length(m.aim, Fine::Gauge))
                        .s(format!(", which is too near a limit for it. Aim {side} it, towards "))
                        .v(Value::Length(middle, Fine::Gauge))
                        .s(", or use a finer gauge."),
                )
                .field("gauges.instruments")
                .source(guard::GUARD_SOURCE),
            );
        }
        self.measures.push(m);
        self.origins.push(u.1);
    }

    fn need(&mut self, field: &str, what: String) {
        self.needs.push(Need { field: field.to_owned(), what });
    }
}

/// Plans the proof with the gauges on hand.
pub(super) fn plan(fit: &Fit, job: &Job) -> Plan {
    let mut plan = Plan {
        part: fit.part,
        measures: Vec::new(),
        origins: Vec::new(),
        needs: Vec::new(),
        notes: Vec::new(),
    };
    match fit.part {
        // Its thread is the screw's own: only the play and the body are left to prove.
        _ if fit.making == Making::Cast => {}
        Element::Internal => {
            let with = inside(job);
            let how = format!("bore by {}", instrument_words(with));
            plan.add(
                MadeFeature::MinorDiameter,
                how,
                None,
                fit.blank,
                gauge::reading(MadeFeature::MinorDiameter, fit.part, with, fit.blank.aim, None),
            );
        }
        Element::External => {
            let with = outside(job);
            let how = format!("outside diameter by {}", instrument_words(with));
            plan.add(
                MadeFeature::MajorDiameter,
                how,
                None,
                fit.blank,
                gauge::reading(MadeFeature::MajorDiameter, fit.part, with, fit.blank.aim, None),
            );
            let how = "bottom of the thread by the calliper's knife edges, set along the groove".to_owned();
            let u = gauge::reading(
                MadeFeature::MinorDiameter,
                fit.part,
                Instrument::Calliper,
                fit.bottom.aim,
                None,
            );
            plan.add(MadeFeature::MinorDiameter, how, None, fit.bottom, u);
        }
    }
    if fit.making != Making::Cast {
        thread(fit, job, &mut plan);
    }
    if let Some((size, place)) = play_limits(fit) {
        plan.add(MadeFeature::Play, play_words(place, job, ""), None, size, gauge::indicator());
    } else {
        plan.need("reading", "the mate's thread, read along its length: without it the play to expect is not known, and only limits by the book can be proved".into());
    }
    if let Some(body) = fit.body {
        let with = outside(job);
        let how = format!("outside of the body by {}", instrument_words(with));
        plan.add(
            MadeFeature::BodyDiameter,
            how,
            None,
            body,
            gauge::reading(MadeFeature::BodyDiameter, fit.part, with, body.aim, None),
        );
    }
    once_pressed(fit, job, &mut plan);
    plan
}

/// How the play is read, and `when`.
fn play_words(place: Length, job: &Job, when: &str) -> String {
    format!(
        "axial play with the mate in{when}, by dial indicator, where it is tightest (the middle of the part {} {} from the mate's end)",
        crate::report::show::length_number(place, Fine::Coarse, job.unit),
        crate::report::show::unit_sign(job.unit)
    )
}

/// What is read again once the body sits in its housing.
fn once_pressed(fit: &Fit, job: &Job, plan: &mut Plan) {
    if let Some(size) = bore_in_place(fit) {
        let with = inside(job);
        let how = format!("once pressed in: bore by {}", instrument_words(with));
        let u = gauge::reading(MadeFeature::BoreInPlace, fit.part, with, size.aim, None);
        plan.add(MadeFeature::BoreInPlace, how, None, size, u);
    }
    if let Some((size, place)) = play_in_place(fit) {
        let how = play_words(place, job, " once pressed in");
        plan.add(MadeFeature::PlayInPlace, how, None, size, gauge::indicator());
    }
}

/// The thread itself, by wires or balls.
fn thread(fit: &Fit, job: &Job, plan: &mut Plan) {
    let g = groove(fit);
    let d2 = fit.pitch_diameter;
    if let Some(size) = groove_width(fit) {
        let with = if job.gauges.pins.is_empty() { Instrument::Calliper } else { Instrument::Pins };
        let how = match with {
            Instrument::Pins => "width of the groove by the largest pin that goes in".to_owned(),
            _ => "width of the groove by the calliper's inside jaws".to_owned(),
        };
        let u = gauge::reading(MadeFeature::GrooveWidth, fit.part, with, size.aim, None);
        plan.add(MadeFeature::GrooveWidth, how, None, size, u);
        plan.notes.push(
            Note::remark("Square flanks: wires and balls lie in the groove at any height and prove nothing. The thread is proved by the width of its groove, and by the play with the mate in.")
                .field("gauges.wires"),
        );
        return;
    }
    if !shop_gauge::has_tolerance(fit) {
        plan.notes.push(
            Note::warning("The pitch diameter has no tolerance: no gauge can prove it, and one that goes and one that does not would be the same. Ask for a play with something to either side of it, or go by the book's limits.")
                .field("make.play"),
        );
    }
    let (field, stock, word): (_, Vec<Length>, _) = match fit.part {
        // Pins of known diameter serve as wires.
        Element::External => {
            ("gauges.wires", job.gauges.wires.iter().chain(&job.gauges.pins).copied().collect(), "wire")
        }
        Element::Internal => ("gauges.balls", job.gauges.balls.clone(), "ball"),
    };
    let best = wires::best_wire(&g, d2.aim);
    let serve = stock.iter().copied().filter(|&w| unfit(fit, w).is_none());
    let Some(wire) = nearest(serve, best) else {
        let unit = job.unit;
        let say = |l| {
            format!(
                "{} {}",
                crate::report::show::length_number(l, Fine::Shop, unit),
                crate::report::show::unit_sign(unit)
            )
        };
        let mut what = match fit.part {
            Element::External => format!("measuring wires (three alike) of about {}", say(best)),
            Element::Internal => format!("balls (two alike) of about {}", say(best)),
        };
        if let (Element::External, Ok((lo, hi))) = (fit.part, wires::wire_range(&g, d2.aim, fit.blank.aim)) {
            what += &format!(", between {} and {}", say(lo), say(hi));
        }
        if !stock.is_empty() {
            let why: Vec<String> =
                stock.iter().filter_map(|&w| Some(format!("{} {}", say(w), unfit(fit, w)?))).collect();
            what += &format!("; of those on hand none serves ({})", why.join(", "));
        }
        plan.need(field, format!("{what}: with them the pitch diameter can be proved; until then only the play with the mate tells"));
        return;
    };
    let at = |d| seat::over(fit, d, wire);
    if let (Ok(aim), Ok(min), Ok(max)) = (at(d2.aim), at(d2.min), at(d2.max)) {
        let with = match fit.part {
            Element::External => outside(job),
            Element::Internal => inside(job),
        };
        let (reading, source) = gauge::reading(MadeFeature::OverWires, fit.part, with, aim, Some(wire));
        let size = crate::report::show::length_number(wire, Fine::Gauge, job.unit);
        let unit = crate::report::show::unit_sign(job.unit);
        let how = match fit.part {
            Element::External => format!("over three {size} {unit} {word}s by {}", instrument_words(with)),
            Element::Internal => format!(
                "between two {size} {unit} {word}s in opposite grooves, stuck in with grease, {}by {}",
                if slanted(fit) { "the short way from ball to ball (slanted), " } else { "" },
                instrument_words(with)
            ),
        };
        plan.add(
            MadeFeature::OverWires,
            how,
            Some(wire),
            Size { aim, min, max },
            (seat::over_u(fit, wire, reading), source),
        );
    }
}
