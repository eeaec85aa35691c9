//! Spindle speed: what the tool stands, and what the person can stop.

use super::HalfNuts;
use crate::fit::{Fit, Size};
use crate::job::{Job, Lathe};
use crate::material;
use crate::report::{Block, Figure, Fine, Mark, Need, Note, Row, Table, Text, Value, columns};
use crate::tool::Tool;
use flankwise_thread::{Element, Family, Hand, Length, Source};
use std::f64::consts::PI;

/// Seconds from seeing the mark to the tool standing, where the person has not timed it: simple reaction takes
/// about 0.2 s, with a choice 0.4 s (published reviews); two hands on two levers 0.4 to 0.6 s.
const REACTION_S: f64 = 0.5;
const REACTION_SOURCE: Source =
    Source::practice("see the mark, draw the tool, open the half-nuts: 0.4 to 0.6 s");

/// Seconds that the hands need after the head has seen, where only the page's test is known: the whole at the lathe
/// less the 0.22 s of a simple reaction (Laming 1968, as a review quotes it).
pub const HANDS_S: f64 = REACTION_S - 0.22;
const HANDS_SOURCE: Source =
    Source::derived("0.5 s for the whole (common practice) less 0.22 s for a simple reaction (Laming 1968)");
const TRIED_SOURCE: Source = Source::choice("tried on the page, kept in lathe.reaction");

/// Seconds that a spindle runs on after the switch, where it must be stopped with the half-nuts closed and nobody
/// has timed it.
const COAST_S: f64 = 1.0;
const COAST_SOURCE: Source = Source::choice("a small spindle without brake; time your own");

/// Part of the turning speed that threading is done at.
const THREADING_SHARE: f64 = 0.3;
const SHARE_SOURCE: Source = Source::practice("threading at 1/4 to 1/3 of turning speed; 0.3 taken");

/// Carbide stands two to three times the speed of high-speed steel; the lower is taken.
const CARBIDE_FACTOR: f64 = 2.0;
const CARBIDE_SOURCE: Source =
    Source::table("Machine tool speeds and feeds (college sheet)", "carbide: 2 to 3 times");

const RPM_SOURCE: Source =
    Source::formula("TM 1-420 Lathes, War Department, change 1 (1942)", "speed from rev/min");
const TRAVEL_SOURCE: Source = Source::derived("travel is speed times lead times time");

/// Surface speed for threading a part, m/min, and where it comes from.
pub(super) fn surface_speed(fit: &Fit, tool: &Tool, job: &Job) -> (f64, Source) {
    if let Some(v) = job.cutting.surface_m_per_min.filter(|v| *v > 0.0) {
        return (v, Source::choice("given in cutting.surface_m_per_min"));
    }
    let material = fit.stuff();
    let (lo, hi) = material.turning_m_per_min;
    let carbide = if tool.carbide { CARBIDE_FACTOR } else { 1.0 };
    (0.5 * (lo + hi) * THREADING_SHARE * carbide, material.speed_source)
}

/// Largest diameter that the tool cuts, where the surface runs fastest.
pub(super) fn cut_diameter(fit: &Fit) -> Size {
    match fit.part {
        Element::Internal => fit.bottom,
        Element::External => fit.blank,
    }
}

/// n = v / (π d): rev/min at which `diameter` runs at `m_per_min`.
pub fn rpm_for_surface(m_per_min: f64, diameter: Length) -> f64 {
    1000.0 * m_per_min / (PI * diameter.to_mm())
}

/// v = π d n: m/min.
pub fn surface_at(rpm: f64, diameter: Length) -> f64 {
    PI * diameter.to_mm() * rpm / 1000.0
}

/// Carriage travel in `seconds` at `rpm`: n Ph t / 60.
pub fn travel(rpm: f64, lead: Length, seconds: f64) -> Length {
    lead * (rpm / 60.0 * seconds)
}

/// Highest rev/min at which the carriage moves no more than `room` in `seconds`: 60 w / (Ph t).
pub fn rpm_for_room(room: Length, lead: Length, seconds: f64) -> f64 {
    60.0 * (room / lead) / seconds
}

/// Widths of the short and the normal relief groove of an external ISO metric thread: 2.5 P and 3.5 P, forms B and A
/// of DIN 76-1, as an excerpt prints them for pitches of 0.5 and 0.6 mm.
pub fn undercut_widths(pitch: Length) -> (Length, Length) {
    (pitch * 2.5, pitch * 3.5)
}

/// What relief grooves are usually wide, to hold what is needed here against; none for a thread right through.
fn usual_groove(fit: &Fit) -> Option<Figure> {
    if fit.through {
        return None;
    }
    let pitch = fit.thread.pitch.length;
    let figure =
        |value, source| Figure::new("usual_groove", "what such a groove is usually wide", value, source);
    Some(if fit.thread.family == Family::MetricIso && fit.part == Element::External {
        let (short, normal) = undercut_widths(pitch);
        let source = Source::formula("DIN 76-1, as an excerpt prints it", "forms B and A: 2.5 P and 3.5 P");
        figure(Value::Band(short, normal, Fine::Shop), source)
    } else {
        figure(Value::Length(pitch * 2.0, Fine::Shop), Source::practice("two pitches or more")).formula("2 P")
    })
}

/// The speed and why.
pub(super) struct Speed {
    pub rpm: Option<f64>,
    /// The lathe's speeds, slowest first.
    pub listed: Vec<f64>,
    /// From seeing the mark to the carriage standing, the spindle's running on counted by half.
    pub seconds: f64,
    /// Seconds that the spindle runs on while the carriage is still driven.
    pub coast: f64,
    pub room: Room,
    pub rpm_surface: f64,
    pub rpm_reaction: Option<f64>,
    pub overrun: Option<Length>,
    pub figures: Vec<Figure>,
    pub table: Option<Table>,
    pub notes: Vec<Note>,
    pub needs: Vec<Need>,
}

/// What limits where the carriage may stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Room {
    /// Nothing in reach.
    Free,
    /// So much, the tool's own width taken off.
    Known(Length),
    /// Blind, and nobody has said how much.
    Unknown,
}

impl Room {
    /// Whether the tool cannot even stand where the thread ends.
    pub(super) fn is_none(self) -> bool {
        matches!(self, Self::Known(w) if w <= Length::ZERO)
    }
}

/// Whether nothing limits the carriage under power: a left-hand thread is cut from the bottom outwards. Only the way
/// back can hit the bottom, and that is by hand where the half-nuts are opened.
fn outwards(fit: &Fit, half_nuts: &HalfNuts) -> bool {
    fit.thread.hand == Hand::Left && *half_nuts != HalfNuts::KeepClosed
}

fn room(fit: &Fit, job: &Job, half_nuts: &HalfNuts) -> Room {
    let outwards = outwards(fit, half_nuts);
    match job.cutting.room.or(if fit.through { None } else { fit.relief }) {
        Some(room) if !outwards => Room::Known(room - fit.groove_top_width),
        None if !fit.through && !outwards => Room::Unknown,
        _ => Room::Free,
    }
}

/// Chooses the speed.
pub(super) fn plan(fit: &Fit, tool: &Tool, job: &Job, lathe: &Lathe, half_nuts: &HalfNuts) -> Speed {
    let (mut notes, mut needs) = (Vec::new(), Vec::new());
    let lead = fit.thread.lead();
    let diameter = cut_diameter(fit).aim;
    let (surface, surface_source) = surface_speed(fit, tool, job);
    let rpm_surface = rpm_for_surface(surface, diameter);

    let reaction = reaction(lathe, &mut needs);
    let (coast, coast_source) = coast(lathe, half_nuts, &mut needs);
    // A spindle that slows evenly turns half as far as at full speed in the time it takes.
    let seconds = reaction.seconds + 0.5 * coast;

    let room = room(fit, job, half_nuts);
    let rpm_reaction = match room {
        Room::Free => None,
        Room::Known(w) => Some(rpm_for_room(w.max(Length::ZERO), lead, seconds)),
        Room::Unknown => None,
    };
    if job.cutting.room.is_none() && fit.through && fit.thread.hand == Hand::Right {
        needs.push(Need {
            field: "cutting.room".into(),
            what: "how far the tool may run on behind the work before it meets chuck, jaw or driver; until then \
                   the room limits no speed"
                .into(),
        });
    }
    let limit = rpm_reaction.map_or(rpm_surface, |r| r.min(rpm_surface));
    let mut speeds: Vec<f64> = lathe.speeds_rpm.iter().copied().filter(|n| *n > 0.0).collect();
    speeds.sort_by(f64::total_cmp);
    let slowest = speeds.first().copied();
    if slowest.is_none() {
        let until = if matches!(room, Room::Unknown) || limit <= 0.0 {
            "until then none is said"
        } else {
            "until then the limit itself is shown"
        };
        needs.push(Need {
            field: "lathe.speeds".into(),
            what: format!("the spindle speeds, to choose one; {until}"),
        });
    }
    let rpm = match (room, slowest) {
        (Room::Unknown, slowest) => slowest,
        (_, None) => Some(limit).filter(|n| *n > 0.0),
        // The slowest may be too fast for the tool, which spoils an edge; never for the hands.
        (_, Some(slowest)) => {
            let stops = || rpm_reaction.is_none_or(|r| slowest <= r).then_some(slowest);
            speeds.iter().copied().rfind(|n| *n <= limit).or_else(stops)
        }
    };
    let overrun = rpm.map(|rpm| travel(rpm, lead, seconds));

    match room {
        Room::Known(w) if rpm.is_none() => {
            let wanted = travel(slowest.unwrap_or(0.0), lead, seconds) + fit.groove_top_width;
            notes.push(cannot_stop(fit, lathe, slowest, wanted, w));
        }
        Room::Unknown => {
            let (note, need) = room_to_say(fit, slowest, seconds);
            notes.push(note);
            needs.push(need);
        }
        Room::Known(_) | Room::Free => {}
    }
    notes.extend(cannot_start(fit, half_nuts));
    if let Some(rpm) = rpm.filter(|n| too_fast(*n, rpm_surface) && slowest == Some(*n)) {
        notes.push(no_slow_speed(fit, tool.carbide, rpm, surface, diameter));
    }

    let mut figures = vec![
        Figure::new(
            "surface_speed",
            "surface speed for threading",
            Value::SurfaceMPerMin(surface),
            surface_source,
        )
        .symbol("v")
        .formula(if job.cutting.surface_m_per_min.is_some() {
            ""
        } else if tool.carbide {
            "0.3 × 2 × middle of the turning speeds"
        } else {
            "0.3 × middle of the turning speeds"
        }),
        Figure::new(
            "cut_diameter",
            "diameter it is reckoned at",
            Value::Length(diameter, Fine::Shop),
            Source::derived("largest diameter the tool cuts"),
        ),
        Figure::new("rpm_surface", "speed by surface speed", Value::Rpm(rpm_surface), RPM_SOURCE)
            .symbol("n")
            .formula("v / (π d)"),
    ];
    if job.cutting.surface_m_per_min.is_none() {
        figures.push(Figure::new(
            "threading_share",
            "part of the turning speed",
            Value::Number(THREADING_SHARE, 2),
            SHARE_SOURCE,
        ));
        if tool.carbide {
            figures.push(Figure::new(
                "carbide_factor",
                "carbide against high-speed steel",
                Value::Number(CARBIDE_FACTOR, 1),
                CARBIDE_SOURCE,
            ));
        }
    }
    figures.extend(reaction.figures);
    figures.extend(usual_groove(fit));
    if coast > 0.0 {
        figures.push(
            Figure::new("coast", "spindle runs on for", Value::Seconds(coast), coast_source)
                .formula("half of it counts: the spindle slows evenly"),
        );
    }
    if let (Room::Known(w), Some(r)) = (&room, rpm_reaction) {
        figures.push(
            Figure::new(
                "stopping_room",
                "room to stop in",
                Value::Length(*w, Fine::Shop),
                Source::derived("groove width less the width of the tool where it leaves the thread"),
            )
            .symbol("w")
            .formula("room − width of the thread groove at the surface"),
        );
        figures.push(
            Figure::new(
                "rpm_reaction",
                "highest speed at which you can stop in it",
                Value::Rpm(r),
                TRAVEL_SOURCE,
            )
            .formula("60 w / (Ph t)"),
        );
    }
    figures.extend(overrun.map(|overrun| {
        Figure::new(
            "overrun",
            "carriage travel until it stands",
            Value::Length(overrun, Fine::Shop),
            TRAVEL_SOURCE,
        )
        .formula("n Ph t / 60")
    }));
    let mut speed = Speed {
        rpm,
        listed: speeds,
        seconds,
        coast,
        room,
        rpm_surface,
        rpm_reaction,
        overrun,
        figures,
        table: None,
        notes,
        needs,
    };
    speed.table = (!speed.listed.is_empty()).then(|| table(&speed, fit, diameter));
    speed
}

impl Speed {
    /// The fastest speed of the lathe that the tool stands, or its slowest; what the tool stands where none are listed.
    pub fn for_tool(&self) -> f64 {
        let within = self.listed.iter().copied().rfind(|n| *n <= self.rpm_surface);
        within.or(self.listed.first().copied()).unwrap_or(self.rpm_surface)
    }
}

/// Asks for the room where a blind thread ends, with what the slowest speed needs.
fn room_to_say(fit: &Fit, slowest: Option<f64>, seconds: f64) -> (Note, Need) {
    let mut text = Text::from("The thread ends blind and nothing is said of the room there");
    text = match slowest {
        Some(rpm) => text
            .s(": the slowest speed, ")
            .v(Value::Rpm(rpm))
            .s(", is taken, and it needs a groove or a hole ")
            .len(travel(rpm, fit.thread.lead(), seconds) + fit.groove_top_width)
            .s(" long. Measure before the spindle is started; with less, the tool strikes the end."),
        None => text.s(", nor of the spindle's speeds: no speed is said."),
    };
    let need = Need {
        field: "make.relief".into(),
        what: "how long the groove or hole is that the tool runs into where the thread ends (or cutting.room), which \
               sets the highest speed at which you can stop"
            .into(),
    };
    (Note::warning(text).field("make.relief").source(TRAVEL_SOURCE), need)
}

/// How long a person takes, with what it is made up of.
struct Reacting {
    seconds: f64,
    figures: Vec<Figure>,
}

/// What was timed at this lathe goes before what was tried on the page: it holds the hands' way to the levers.
fn reaction(lathe: &Lathe, needs: &mut Vec<Need>) -> Reacting {
    let whole = |seconds, source| {
        Figure::new("reaction", "time from the mark to the tool standing", Value::Seconds(seconds), source)
    };
    if let Some(t) = lathe.reaction_s.filter(|t| *t > 0.0) {
        let figures = vec![whole(t, Source::choice("timed at the lathe: lathe.reaction_s"))];
        return Reacting { seconds: t, figures };
    }
    let Some(tried) = lathe.reaction else {
        needs.push(Need {
            field: "lathe.reaction".into(),
            what: "your reaction, which sets the highest safe speed: ten tries on the page Reaction, or time a dry \
                   run over a chalk mark (reaction_s). 0.5 s is assumed"
                .into(),
        });
        return Reacting { seconds: REACTION_S, figures: vec![whole(REACTION_S, REACTION_SOURCE)] };
    };
    let (hands, hands_source) = match tried.hands_s {
        Some(t) => (t, Source::choice("given in lathe.reaction.hands_s")),
        None => (HANDS_S, HANDS_SOURCE),
    };
    let seconds = tried.slow_s + hands;
    Reacting {
        seconds,
        figures: vec![
            Figure::new(
                "reaction_median",
                "your reaction, median",
                Value::Seconds(tried.median_s),
                TRIED_SOURCE,
            ),
            Figure::new(
                "reaction_slow",
                "what 19 of 20 of your tries stay within",
                Value::Seconds(tried.slow_s),
                TRIED_SOURCE,
            ),
            Figure::new("hands", "time your hands then need", Value::Seconds(hands), hands_source),
            whole(seconds, Source::derived("the slow tries, since every pass must be stopped in time"))
                .symbol("t")
                .formula("slow tries + hands"),
        ],
    }
}

/// How long the spindle runs on while the carriage is driven: not at all where the half-nuts are opened.
fn coast(lathe: &Lathe, half_nuts: &HalfNuts, needs: &mut Vec<Need>) -> (f64, Source) {
    if *half_nuts != HalfNuts::KeepClosed {
        return (0.0, Source::derived("the half-nuts are opened"));
    }
    match (lathe.brake_s, lathe.coast_s) {
        (Some(t), _) => (t, Source::choice("with the brake: lathe.brake_s")),
        (None, Some(t)) => (t, Source::choice("given in lathe.coast_s")),
        (None, None) => {
            needs.push(Need {
                field: "lathe.coast_s".into(),
                what: "how long the spindle runs on after the switch (or brake_s, with the brake): with the \
                       half-nuts closed the carriage runs on with it. 1 s is assumed"
                    .into(),
            });
            (COAST_S, COAST_SOURCE)
        }
    }
}

fn cannot_stop(fit: &Fit, lathe: &Lathe, slowest: Option<f64>, wanted: Length, room: Length) -> Note {
    let mut text = match slowest {
        Some(rpm) if room > Length::ZERO => Text::from("At the slowest speed, ")
            .v(Value::Rpm(rpm))
            .s(", the carriage runs further than the room there is"),
        _ => Text::from("The room at the end is no wider than the tool where it leaves the thread"),
    };
    text = text.s(". What would make it possible: room of at least ").len(wanted);
    if room > Length::ZERO {
        text = text.s("; turning the spindle by hand with a crank in its bore");
    }
    // The tool starts in the groove then: it must stand there.
    if super::runs_back(lathe) && fit.thread.hand == Hand::Right && room > Length::ZERO {
        text = text.s("; cutting away from the chuck, from the groove outwards, with the spindle reversed and the tool upside down");
        if lathe.chuck.is_none() {
            text = text.s(", where the chuck does not screw on");
        }
    }
    let field = if fit.relief.is_some() && !fit.through { "make.relief" } else { "cutting.room" };
    Note::impossible(text.s(".")).field(field).source(TRAVEL_SOURCE)
}

/// Whether a speed is above what the tool stands, beyond rounding.
pub(super) fn too_fast(rpm: f64, rpm_surface: f64) -> bool {
    rpm > rpm_surface * 1.02
}

/// No speed of this lathe is slow enough for the tool. Above the speed that it would turn this material at, at most,
/// its edge is gone before the thread is done.
fn no_slow_speed(fit: &Fit, carbide: bool, rpm: f64, surface: f64, diameter: Length) -> Note {
    let material = material::material(fit.material).unwrap_or_else(|| material::default_part(fit.part));
    let stands = material.turning_m_per_min.1 * if carbide { CARBIDE_FACTOR } else { 1.0 };
    let runs = surface_at(rpm, diameter);
    let text = Text::from("No speed of this lathe is slow enough for the tool: the slowest, ")
        .v(Value::Rpm(rpm))
        .s(", runs the surface at ")
        .v(Value::SurfaceMPerMin(runs))
        .s(", and ")
        .v(Value::SurfaceMPerMin(surface))
        .s(" is meant for threading this material");
    let ways = "turn the spindle by a hand crank in its bore, drive it through a countershaft or back gear, or use a lathe that runs slower";
    let carbide_way = if carbide { "" } else { "; or a carbide tip, on a stiff bar" };
    let note = if runs > stands {
        Note::impossible(
            text.s(". It would burn the edge, which stands ")
                .v(Value::SurfaceMPerMin(stands))
                .s(format!(" at most when turning. What would make it possible: {ways}{carbide_way}.")),
        )
    } else {
        Note::warning(text.s(format!(
            ": the edge dulls soon. Take lighter cuts, oil freely and stone the edge between; better, {ways}{carbide_way}."
        )))
    };
    note.field("lathe.speeds").source(material.speed_source)
}

/// A left-hand thread that is cut outwards starts in the groove: the tool must stand in it.
fn cannot_start(fit: &Fit, half_nuts: &HalfNuts) -> Option<Note> {
    let groove = fit.relief.filter(|_| outwards(fit, half_nuts) && !fit.through)?;
    (groove <= fit.groove_top_width).then(|| {
        Note::impossible(
            Text::from("Every pass starts in the groove at the inner end, and the tool, ")
                .len(fit.groove_top_width)
                .s(" wide where it stands in the thread, does not find room in one of ")
                .len(groove)
                .s(". Make it wider."),
        )
        .field("make.relief")
    })
}

fn table(speed: &Speed, fit: &Fit, diameter: Length) -> Table {
    let overrun = |n| travel(n, fit.thread.lead(), speed.seconds);
    let asks_room = matches!(speed.room, Room::Unknown);
    let rows = speed
        .listed
        .iter()
        .map(|&n| {
            let stops = speed.rpm_reaction.is_none_or(|r| n <= r);
            let words = match (stops, n <= speed.rpm_surface) {
                (true, true) if asks_room => "only with that much room",
                (true, true) => "",
                (true, false) => "above the surface speed for threading",
                (false, true) => "cannot stop in time",
                (false, false) => "above the surface speed for threading, cannot stop in time",
            };
            Row {
                cells: vec![
                    Value::Rpm(n),
                    Value::SurfaceMPerMin(surface_at(n, diameter)),
                    Value::Length(overrun(n), Fine::Shop),
                    Value::Length(overrun(n) + fit.groove_top_width, Fine::Shop),
                    Value::Word(words.into()),
                ],
                mark: if speed.rpm == Some(n) {
                    Mark::Best
                } else if stops && n <= speed.rpm_surface {
                    Mark::Plain
                } else {
                    Mark::Bad
                },
            }
        })
        .collect();
    Table {
        key: "speeds",
        title: "Spindle speeds of this lathe".into(),
        columns: columns(&[
            ("rpm", "Speed"),
            ("surface", "Surface speed"),
            ("overrun", "Travel until it stands"),
            ("groove", "Groove or room it needs"),
            ("remark", ""),
        ]),
        rows,
        source: Some(TRAVEL_SOURCE),
    }
}

/// Block of the figures.
pub(super) fn blocks(speed: &Speed) -> Vec<Block> {
    let mut blocks = vec![Block::Figures("Speed".into(), speed.figures.clone())];
    blocks.extend(speed.table.clone().map(Block::Table));
    blocks
}
