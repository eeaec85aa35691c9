//! Chatter over the passes: from which one on it is likely, and what would help.
//!
//! The limit is [`crate::tool::chatter`]'s; each pass brings the width of its chip and the push of its material.

use super::course::Course;
use super::feed::Feed;
use super::force::{self, Kienzle, Load, THRUST};
use super::{Pass, PassKind};
use crate::fit::Fit;
use crate::job::{Bar, BarMaterial, Infeed, Job};
use crate::report::{Block, Figure, Fine, Mark, Note, Row, Table, Text, Value, columns};
use crate::setup::{Setup, surface_at};
use crate::tool::chatter::{Cutting, LIMIT, RUB_SOURCE};
use crate::tool::{Tool, bar};
use flankwise_thread::{Angle, Element, Length, Source};

/// What a pass asks of the bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bite {
    /// The pass.
    pub number: u32,
    /// Width of chip that counts: each edge by the square of its share in the way in and out.
    pub counted: Length,
    /// Radial force for each mm² of chip, N/mm².
    pub push_mpa: f64,
}

impl Bite {
    /// Of a pass with this load.
    pub fn of(number: u32, load: &Load, material: Kienzle) -> Self {
        Self { number, counted: load.counted, push_mpa: THRUST * material.specific_mpa(load.mean_chip) }
    }
}

/// A pass judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judged {
    /// What it asks.
    pub bite: Bite,
    /// Width that is stable at any speed.
    pub at_any_speed: Length,
    /// Width that is stable at the speed used; none where any is.
    pub at_this_speed: Option<Length>,
}

impl Judged {
    /// Whether chatter is likely at the speed used.
    pub fn likely(&self) -> bool {
        self.at_this_speed.is_some_and(|limit| self.bite.counted > limit)
    }
}

/// Something that would help, and by how much.
#[derive(Clone, Debug, PartialEq)]
pub struct Help {
    /// What is changed.
    pub what: Text,
    /// The hardest pass, so changed.
    pub hardest: Judged,
    /// First pass at which chatter is likely still.
    pub from: Option<u32>,
}

/// Chatter over the passes.
#[derive(Clone, Debug, PartialEq)]
pub struct Chatter {
    /// Cutting passes in order.
    pub passes: Vec<Judged>,
    /// The bar in the hardest of them.
    pub cutting: Cutting,
    /// Spindle speed reckoned with.
    pub rpm: f64,
    /// The lathe's speeds, ascending; empty where they are not known.
    pub speeds_rpm: Vec<f64>,
    /// Diameter at which the surface runs past the tip.
    pub diameter: Length,
    /// What would help.
    pub helps: Vec<Help>,
    /// The counted width of the hardest pass with flank infeed, where the passes go straight in.
    pub by_flank: Option<Length>,
}

/// A bar and a speed at which passes are judged.
#[derive(Clone, Copy)]
struct Setting {
    mode: crate::tool::beam::Mode,
    damping: f64,
    m_per_min: f64,
}

impl Setting {
    fn cutting(&self, bite: &Bite) -> Cutting {
        Cutting { mode: self.mode, damping: self.damping, push_mpa: bite.push_mpa }
    }
    fn judge(&self, bites: &[Bite]) -> Vec<Judged> {
        let judged = |bite: &Bite| {
            let cutting = self.cutting(bite);
            Judged {
                bite: *bite,
                at_any_speed: cutting.at_any_speed(),
                at_this_speed: cutting.at_surface_speed(self.m_per_min),
            }
        };
        bites.iter().map(judged).collect()
    }
}

/// Damping that a bar may be brought to by lead, rubber or a mass on a soft support, as a ratio to the plain bar's.
const DAMPED: f64 = 2.0;
/// Part of the stick-out that is thought away where it is no longer than it must be.
const SHORTER: f64 = 0.8;

/// The hardest pass: the one that comes nearest to its limit, or goes farthest beyond it.
fn hardest(passes: &[Judged]) -> Option<Judged> {
    let over = |j: &Judged| j.bite.counted / j.at_any_speed;
    passes.iter().copied().max_by(|a, b| over(a).total_cmp(&over(b)))
}

impl Help {
    /// What the passes come to with this setting; none where nothing is cut.
    fn of(what: Text, setting: Setting, bites: &[Bite]) -> Option<Self> {
        let passes = setting.judge(bites);
        let from = passes.iter().find(|p| p.likely()).map(|p| p.bite.number);
        hardest(&passes).map(|hardest| Self { what, hardest, from })
    }
}

/// Judges the passes. `bites` are those of the cutting passes; `by_flank` the same with flank infeed, empty where the
/// passes lean already or cannot. None where nothing is cut.
pub fn judge(
    bites: &[Bite],
    by_flank: &[Bite],
    fit: &Fit,
    tool: &Tool,
    rpm: f64,
    job: &Job,
) -> Option<Chatter> {
    let diameter = cut_diameter(fit);
    let now = Setting { mode: tool.mode, damping: bar::DAMPING, m_per_min: surface_at(rpm, diameter) };
    let passes = now.judge(bites);
    let worst = hardest(&passes)?;
    let speeds_rpm = job.lathe.as_ref().map_or_else(Vec::new, |l| l.speeds_rpm.clone());
    let mut helps = Vec::new();
    let mut help =
        |what: Text, setting: Setting, bites: &[Bite]| helps.extend(Help::of(what, setting, bites));
    let with = |bar: &Bar, stick_out: Length| Setting {
        mode: bar::answer(bar, stick_out, tool.tip_mass_kg).mode,
        ..now
    };

    let least = tool.least_stick_out.min(tool.stick_out);
    let shorter = if tool.stick_out - least > Length::mm(1.0) { least } else { tool.stick_out * SHORTER };
    let text = Text::new().s("stick-out ").v(Value::Length(shorter, Fine::Coarse));
    let text = if shorter < least { text.s(" (a fifth less; this job needs it all)") } else { text };
    help(text, with(&tool.shank, shorter), bites);
    if let Some(size) = bar::stock_size(tool.largest_bar, job.unit).filter(|s| *s > tool.shank.size) {
        let thicker = Bar { size, front: Vec::new(), flat: None, ..tool.shank.clone() };
        help(Text::new().s("bar of ").len(size), with(&thicker, tool.stick_out), bites);
    }
    if tool.shank.material != BarMaterial::Carbide && tool.shank.size <= bar::LARGEST_CARBIDE {
        let carbide = Bar { material: BarMaterial::Carbide, ..tool.shank.clone() };
        help("the same bar in carbide".into(), with(&carbide, tool.stick_out), bites);
    }
    if !by_flank.is_empty() {
        help("flank infeed".into(), now, by_flank);
    }
    let narrower = tool.tip_width.aim - tool.tip_width.min;
    if narrower > Length::ZERO {
        let bites: Vec<Bite> = bites.iter().map(|b| Bite { counted: b.counted - narrower, ..*b }).collect();
        let text = Text::new()
            .s("tip of ")
            .len(tool.ground.in_face(tool.tip_width.min))
            .s(" and passes to the side");
        help(text, now, &bites);
    }
    if let Some(slower) = speeds_rpm.iter().copied().rfind(|n| *n < rpm) {
        let text = Text::new().s("next slower speed, ").v(Value::Rpm(slower));
        help(text, Setting { m_per_min: surface_at(slower, diameter), ..now }, bites);
    }
    if job.grind.carbide_tip {
        let text = Text::new().s("tip of high-speed steel at half the speed, ").v(Value::Rpm(rpm / 2.0));
        help(text, Setting { m_per_min: now.m_per_min / 2.0, ..now }, bites);
    }
    let damped = Setting { damping: bar::DAMPING * DAMPED, ..now };
    help("bar damped to twice the ratio (lead or rubber on it)".into(), damped, bites);
    if helps.iter().all(|h| h.from.is_some()) {
        let light = if by_flank.is_empty() { bites } else { by_flank };
        helps.extend(together(&now, tool, light, speeds_rpm.iter().copied().fold(rpm, f64::min), fit, job));
    }

    Some(Chatter {
        cutting: now.cutting(&worst.bite),
        passes,
        rpm,
        speeds_rpm,
        diameter,
        helps,
        by_flank: by_flank.iter().find(|b| b.number == worst.bite.number).map(|b| b.counted),
    })
}

/// What helps where no single change does: one on top of the other, as far as is needed.
fn together(now: &Setting, tool: &Tool, light: &[Bite], slowest: f64, fit: &Fit, job: &Job) -> Vec<Help> {
    let narrower = (tool.tip_width.aim - tool.tip_width.min).max(Length::ZERO);
    let bites: Vec<Bite> = light.iter().map(|b| Bite { counted: b.counted - narrower, ..*b }).collect();
    let stick_out = tool.least_stick_out.min(tool.stick_out);
    let thickest = bar::stock_size(tool.largest_bar, job.unit).filter(|s| *s > tool.shank.size);
    let stiff = match thickest {
        Some(size) => Bar { size, front: Vec::new(), flat: None, ..tool.shank.clone() },
        None if tool.shank.size <= bar::LARGEST_CARBIDE => {
            Bar { material: BarMaterial::Carbide, ..tool.shank.clone() }
        }
        None => tool.shank.clone(),
    };
    let stiffer = Setting { mode: bar::answer(&stiff, stick_out, tool.tip_mass_kg).mode, ..*now };
    let damped = Setting { damping: bar::DAMPING * DAMPED, ..stiffer };
    let diameter = cut_diameter(fit);
    let slow = Setting { m_per_min: surface_at(slowest, diameter), ..damped };
    let infeed = Text::from("flank infeed where the thread has flanks, and a tip of ")
        .len(tool.ground.in_face(tool.tip_width.min))
        .s(" with passes to the side");
    let on_bar = infeed.clone().s("; on a bar of ").len(stiff.size).s(match stiff.material {
        BarMaterial::Carbide => " in carbide",
        _ => "",
    });
    let on_bar = on_bar.s(", stick-out ").v(Value::Length(stick_out, Fine::Coarse));
    let with_damping = on_bar.clone().s("; damped (lead or rubber on it)");
    let at_slowest = with_damping.clone().s("; at ").v(Value::Rpm(slowest));
    let mut helps = Vec::new();
    for (what, setting) in [(infeed, *now), (on_bar, stiffer), (with_damping, damped), (at_slowest, slow)] {
        let Some(help) = Help::of(what, setting, &bites) else { break };
        let enough = help.from.is_none();
        helps.push(help);
        if enough {
            break;
        }
    }
    helps
}

/// Diameter at which the surface runs fastest.
fn cut_diameter(fit: &Fit) -> Length {
    match fit.part {
        Element::Internal => fit.bottom.aim,
        Element::External => fit.blank.aim,
    }
}

impl Chatter {
    /// Of the passes of a course at its speed.
    pub(super) fn of(course: &Course<'_>, passes: &[Pass]) -> Option<Self> {
        let bites = |lean: Angle| -> Vec<Bite> {
            let of = |p: &Pass| {
                let load = course.load_leaning(p.tip, p.depth - p.step, p.depth, lean);
                Bite::of(p.number, &load, course.kienzle)
            };
            let cut = passes.iter().filter(|p| matches!(p.kind, PassKind::Cutting | PassKind::Scratch));
            cut.map(of).collect()
        };
        let by_flank = match (course.feed, Feed::of(Infeed::Flank, course.flanks, course.compound.is_some()))
        {
            (Feed::Straight, leans @ (Feed::Swung(_) | Feed::Shifted(_))) => bites(leans.lean()),
            _ => Vec::new(),
        };
        judge(&bites(course.feed.lean()), &by_flank, course.fit, course.tool, course.rpm, course.job)
    }

    /// First pass at which chatter is likely at the speed used.
    pub fn likely_from(&self) -> Option<u32> {
        self.passes.iter().find(|p| p.likely()).map(|p| p.bite.number)
    }

    /// The pass nearest to its limit, or farthest beyond.
    pub fn hardest(&self) -> Option<Judged> {
        hardest(&self.passes)
    }

    /// Width that is stable between the lobes at a spindle speed, with what the rub allows. None for any.
    pub fn at_foot(&self, rpm: f64) -> Option<Length> {
        self.cutting.at_surface_speed(surface_at(rpm, self.diameter))
    }

    /// Width that is stable at a spindle speed: the lobe there or, at low speed, what the rub allows. None for any.
    pub fn stable_at(&self, rpm: f64) -> Option<Length> {
        Some(self.at_foot(rpm)?.max(self.cutting.at_spindle_speed(rpm)))
    }

    /// A warning from the first pass that is likely to chatter, with what helps most.
    pub(super) fn warning(&self, setup: Option<&Setup>) -> Option<Note> {
        let from = self.likely_from()?;
        let best = self
            .helps
            .iter()
            .filter(|h| h.from.is_none_or(|n| n > from))
            .max_by_key(|h| h.from.unwrap_or(u32::MAX));
        let mut text = Text::new()
            .s(format!("From pass {from} on chatter is likely at "))
            .v(Value::Rpm(setup.and_then(|s| s.rpm).unwrap_or(self.rpm)))
            .s(": the chip is wider than this bar stands.");
        if self.helps.iter().all(|h| h.from.is_some_and(|n| n <= from)) {
            text = text.s(" Nothing here helps, alone or together: take a tap, a shorter thread or a larger bore, or another way to make it.");
        } else if let Some(best) = best {
            text = text.s(" Most would help: ").text(best.what.clone());
            text = match best.from {
                Some(n) => text.s(format!(", which puts it off to pass {n}.")),
                None => text.s(", with which no pass should."),
            };
        }
        Some(Note::warning(text).field("bar").source(LIMIT))
    }

    /// Figures and tables.
    pub(super) fn blocks(&self) -> Vec<Block> {
        let gauge = |l| Value::Length(l, Fine::Gauge);
        let or_any = |l: Option<Length>| l.map_or(Value::Word("any".to_owned()), gauge);
        let Some(worst) = self.hardest() else { return Vec::new() };
        let figures = vec![
            Figure::new(
                "chip_counted",
                format!("width of chip that counts, pass {}", worst.bite.number),
                gauge(worst.bite.counted),
                Source::derived("tip for its width, flanks for their length × sin² A"),
            )
            .symbol("b")
            .formula("Σ edge × (share in the way in and out)²"),
            Figure::new(
                "push",
                "radial force for each mm² of its chip",
                Value::Mpa(worst.bite.push_mpa),
                force::THRUST_SOURCE,
            )
            .symbol("Kr")
            .formula("0.5 kc"),
            Figure::new(
                "modal_stiffness",
                "stiffness of the bar's first mode",
                Value::NPerMm(self.cutting.mode.stiffness_n_per_mm),
                LIMIT,
            )
            .symbol("k"),
            Figure::new(
                "damping",
                "damping ratio",
                Value::Number(self.cutting.damping, 2),
                bar::DAMPING_SOURCE,
            )
            .symbol("ζ"),
            Figure::new("stable_any", "width that is stable at any speed", gauge(worst.at_any_speed), LIMIT)
                .formula("2 k ζ (1 + ζ) / Kr"),
            Figure::new(
                "stable_here",
                "width that is stable at this speed",
                or_any(worst.at_this_speed),
                RUB_SOURCE,
            )
            .formula("ζ grows by C b ω / (2 k v)"),
            Figure::new(
                "quiet_below",
                "surface speed below which any width is stable",
                Value::SurfaceMPerMin(self.cutting.quiet_below_m_per_min()),
                RUB_SOURCE,
            ),
            Figure::new(
                "chatter_from",
                "chatter is likely from pass",
                self.likely_from().map_or(Value::Word("none".to_owned()), |n| Value::Count(i64::from(n))),
                LIMIT,
            ),
        ];
        let mut blocks = vec![Block::Figures("Chatter".to_owned(), figures)];
        if !self.speeds_rpm.is_empty() {
            blocks.push(Block::Table(self.speeds_table(worst.bite.counted)));
        }
        if self.likely_from().is_some() {
            blocks.push(Block::Table(self.helps_table()));
        }
        blocks
    }

    fn speeds_table(&self, counted: Length) -> Table {
        let row = |&rpm: &f64| {
            let stable = self.stable_at(rpm);
            let holds = stable.is_none_or(|w| w >= counted);
            Row {
                cells: vec![
                    Value::Rpm(rpm),
                    Value::SurfaceMPerMin(surface_at(rpm, self.diameter)),
                    Value::Number(self.cutting.waves_in_a_turn(rpm), 0),
                    stable.map_or(Value::Word("any".to_owned()), |w| Value::Length(w, Fine::Shop)),
                    Value::Yes(holds),
                ],
                mark: if rpm == self.rpm {
                    Mark::Best
                } else if holds {
                    Mark::Plain
                } else {
                    Mark::Faint
                },
            }
        };
        Table {
            key: "chatter_speeds",
            title: "Chip that each spindle speed stands".to_owned(),
            columns: columns(&[
                ("rpm", "spindle speed"),
                ("surface", "surface speed"),
                ("waves", "waves in a turn"),
                ("stable", "stable width"),
                ("holds", "hardest pass stable"),
            ]),
            rows: self.speeds_rpm.iter().map(row).collect(),
            source: Some(LIMIT),
        }
    }

    fn helps_table(&self) -> Table {
        let gauge = |l| Value::Length(l, Fine::Gauge);
        let row = |h: &Help| Row {
            cells: vec![
                Value::Said(h.what.clone()),
                gauge(h.hardest.bite.counted),
                gauge(h.hardest.at_any_speed),
                h.hardest.at_this_speed.map_or(Value::Word("any".to_owned()), gauge),
                h.from.map_or(Value::Word("none".to_owned()), |n| Value::Count(i64::from(n))),
            ],
            mark: Mark::Plain,
        };
        Table {
            key: "chatter_helps",
            title: "What helps against chatter".to_owned(),
            columns: columns(&[
                ("change", "change"),
                ("counted", "chip width that counts"),
                ("stable_any", "stable at any speed"),
                ("stable_here", "stable at the speed"),
                ("from", "likely from pass"),
            ]),
            rows: self.helps.iter().map(row).collect(),
            source: Some(LIMIT),
        }
    }
}
