//! Chatter over the passes: from which one on it is likely, and what would help.
//!
//! The limit is [`crate::tool::chatter`]'s, at the least and the most favourable damping; each pass brings the width of its
//! chip and the push of its material.

use super::course::Course;
use super::feed::Feed;
use super::force::{self, Kienzle, Load, THRUST};
use super::{Pass, PassKind};
use crate::fit::Fit;
use crate::job::{Bar, BarMaterial, BarShape, Infeed, Job};
use crate::report::{Block, Figure, Fine, Mark, Note, Row, Table, Text, Value, columns};
use crate::setup::{Setup, surface_at};
use crate::tool::chatter::{Chance, Cutting, LIMIT, RUB_SOURCE, Stands};
use crate::tool::{Tool, bar};
use flankwise_thread::{Angle, Element, Length, Source};

/// What a pass asks of the bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bite {
    /// The pass.
    pub number: u32,
    /// Width of the tip that takes it.
    pub tip: Length,
    /// Width of chip that counts: each edge by the square of its share in the way in and out.
    pub counted: Length,
    /// By how much the radial force grows with the chip, N/mm²: of F = b kc1.1 h^(1−mc) that is (1 − mc) kc for each mm
    /// of width.
    pub push_mpa: f64,
}

impl Bite {
    /// Of a pass with this load.
    pub fn of(pass: &Pass, load: &Load, material: Kienzle) -> Self {
        let push_mpa = THRUST * (1.0 - material.mc) * material.specific_mpa(load.mean_chip);
        Self { number: pass.number, tip: pass.tip, counted: load.counted, push_mpa }
    }

    /// The same with no tip wider than this.
    fn narrowed(self, tip: Length) -> Self {
        let off = (self.tip - tip).max(Length::ZERO);
        Self { tip: self.tip - off, counted: self.counted - off, ..self }
    }
}

/// A pass judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judged {
    /// What it asks.
    pub bite: Bite,
    /// Width that is stable at any speed.
    pub at_any_speed: Stands,
    /// Width that is stable at the speed used.
    pub at_this_speed: Stands,
}

impl Judged {
    /// Whether it chatters at the speed used.
    pub fn chance(&self) -> Chance {
        self.at_this_speed.judge(self.bite.counted)
    }
    /// How far it is from what is surely stable at any speed: above one beyond it.
    fn over(&self) -> f64 {
        self.at_any_speed.surely.map_or(0.0, |limit| self.bite.counted / limit)
    }
}

/// What all passes come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlook {
    /// First pass at which chatter is likely; none where at none.
    pub likely_from: Option<u32>,
    /// First pass at which it is likely or cannot be ruled out.
    pub doubtful_from: Option<u32>,
    /// The pass nearest to its limit, or farthest beyond.
    pub hardest: Judged,
}

impl Outlook {
    /// Of judged passes; none where nothing is cut.
    fn of(passes: &[Judged]) -> Option<Self> {
        let first = |least: Chance| passes.iter().find(|p| p.chance() >= least).map(|p| p.bite.number);
        let hardest = passes.iter().copied().max_by(|a, b| a.over().total_cmp(&b.over()))?;
        Some(Self { likely_from: first(Chance::Likely), doubtful_from: first(Chance::CannotTell), hardest })
    }

    /// The verdict over all passes.
    pub fn chance(&self) -> Chance {
        match (self.likely_from, self.doubtful_from) {
            (Some(_), _) => Chance::Likely,
            (None, Some(_)) => Chance::CannotTell,
            (None, None) => Chance::Unlikely,
        }
    }

    /// First pass of likely chatter and of doubt, beyond all passes where there is none: the later the better.
    fn late(&self) -> (u32, u32) {
        (self.likely_from.unwrap_or(u32::MAX), self.doubtful_from.unwrap_or(u32::MAX))
    }

    /// Whether this is better than another: chatter or doubt later, or as late and the hardest pass clearly nearer to what
    /// is surely stable.
    fn better_than(&self, other: &Self) -> bool {
        let over = |o: &Self| o.hardest.at_this_speed.surely.map_or(0.0, |l| o.hardest.bite.counted / l);
        self.late() > other.late() || self.late() == other.late() && over(self) < over(other) * CLEARLY
    }
}

/// Something that would help, and by how much.
#[derive(Clone, Debug, PartialEq)]
pub struct Help {
    /// What is changed.
    pub what: Text,
    /// What the passes then come to.
    pub outlook: Outlook,
    /// Whether this job can have it.
    pub to_be_had: bool,
}

/// Chatter over the passes.
#[derive(Clone, Debug, PartialEq)]
pub struct Chatter {
    /// Cutting passes in order.
    pub passes: Vec<Judged>,
    /// What they come to.
    pub outlook: Outlook,
    /// The bar in the hardest of them, at the least and the most favourable damping.
    pub ends: [Cutting; 2],
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
    damping: [f64; 2],
    m_per_min: f64,
}

impl Setting {
    fn ends(&self, bite: &Bite) -> [Cutting; 2] {
        Cutting::ends(self.mode, self.damping, bite.push_mpa)
    }
    fn damped(self) -> Self {
        Self { damping: bar::DAMPING.map(|ratio| ratio * DAMPED), ..self }
    }
    fn judge(&self, bites: &[Bite]) -> Vec<Judged> {
        let judged = |bite: &Bite| {
            let ends = self.ends(bite);
            Judged {
                bite: *bite,
                at_any_speed: Stands::of(&ends, |c| Some(c.at_any_speed())),
                at_this_speed: Stands::of(&ends, |c| c.at_surface_speed(self.m_per_min)),
            }
        };
        bites.iter().map(judged).collect()
    }
}

/// A ratio to what is stable that is less than this part of another counts as less. Chosen here.
const CLEARLY: f64 = 0.9;
/// Damping that a bar may be brought to by lead, rubber or a mass on a soft support, as a ratio to the plain bar's.
const DAMPED: f64 = 2.0;
/// Part of the stick-out that is thought away where it is no longer than it must be.
const SHORTER: f64 = 0.8;

impl Help {
    /// What the passes come to with this setting; none where nothing is cut.
    fn of(what: Text, setting: Setting, bites: &[Bite]) -> Option<Self> {
        Outlook::of(&setting.judge(bites)).map(|outlook| Self { what, outlook, to_be_had: true })
    }
}

/// The bar in round stock of another size.
fn of_size(shank: &Bar, size: Length) -> Bar {
    Bar { shape: BarShape::Round, size, front: Vec::new(), flat: None, tapers: false, ..shank.clone() }
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
    let outlook = Outlook::of(&passes)?;
    let speeds_rpm = job.lathe.as_ref().map_or_else(Vec::new, |l| l.speeds_rpm.clone());
    let case = Case { bites, by_flank, fit, tool, job, now, rpm, speeds_rpm: &speeds_rpm };
    let mut helps = case.by_themselves();
    if helps.iter().all(|h| !h.to_be_had || h.outlook.likely_from.is_some()) {
        helps.extend(case.together());
    }
    Some(Chatter {
        ends: now.ends(&outlook.hardest.bite),
        by_flank: by_flank.iter().find(|b| b.number == outlook.hardest.bite.number).map(|b| b.counted),
        outlook,
        passes,
        rpm,
        diameter,
        helps,
        speeds_rpm,
    })
}

/// What is at hand to change.
struct Case<'a> {
    bites: &'a [Bite],
    by_flank: &'a [Bite],
    fit: &'a Fit,
    tool: &'a Tool,
    job: &'a Job,
    now: Setting,
    rpm: f64,
    speeds_rpm: &'a [f64],
}

impl Case<'_> {
    fn with(&self, bar: &Bar, stick_out: Length) -> Setting {
        Setting { mode: bar::answer(bar, stick_out, self.tool.tip_mass_kg).mode, ..self.now }
    }

    fn at(&self, rpm: f64, setting: Setting) -> Setting {
        Setting { m_per_min: surface_at(rpm, cut_diameter(self.fit)), ..setting }
    }

    /// The thickest round bar in stock that passes, where that is thicker than the one used.
    fn thicker(&self) -> Option<Bar> {
        let size = bar::stock_size(self.tool.largest_bar, self.job.unit)?;
        (size > self.tool.shank.size).then(|| of_size(&self.tool.shank, size))
    }

    fn in_carbide(&self) -> Option<Bar> {
        let shank = &self.tool.shank;
        (shank.material != BarMaterial::Carbide && shank.size <= bar::LARGEST_CARBIDE)
            .then(|| Bar { material: BarMaterial::Carbide, ..shank.clone() })
    }

    /// A shorter stick-out, and whether this job can have it: the least that reaches, or a fifth less than what is
    /// needed. The tool of an outside thread reaches nowhere.
    fn shorter(&self) -> (Length, bool) {
        let (now, least) = (self.tool.stick_out, self.tool.least_stick_out);
        if self.fit.part == Element::Internal && now - least > Length::mm(1.0) {
            (least, true)
        } else {
            (now * SHORTER, self.fit.part == Element::External)
        }
    }

    fn narrowed(&self, bites: &[Bite]) -> Vec<Bite> {
        bites.iter().map(|b| b.narrowed(self.tool.tip_width.min)).collect()
    }

    /// Changes, each by itself, the cheapest first.
    fn by_themselves(&self) -> Vec<Help> {
        let tool = self.tool;
        let mut helps = Vec::new();
        let mut help =
            |what: Text, setting: Setting, bites: &[Bite]| helps.extend(Help::of(what, setting, bites));
        let (shorter, to_be_had) = self.shorter();
        let text = Text::new().s("stick-out ").v(Value::Length(shorter, Fine::Coarse));
        let text = if to_be_had { text } else { text.s(" (a fifth less; this job needs it all)") };
        help(text, self.with(&tool.shank, shorter), self.bites);
        if let Some(&slower) = self.speeds_rpm.iter().rfind(|n| **n < self.rpm) {
            help(
                Text::from("next slower speed, ").v(Value::Rpm(slower)),
                self.at(slower, self.now),
                self.bites,
            );
        }
        if !self.by_flank.is_empty() {
            help("flank infeed".into(), self.now, self.by_flank);
        }
        let narrowed = self.narrowed(self.bites);
        if narrowed != self.bites {
            help(self.narrow_words(), self.now, &narrowed);
        }
        if let Some(half) = self.half_the_speed().filter(|_| tool.carbide) {
            let text =
                Text::from("tip of high-speed steel at no more than half the speed, ").v(Value::Rpm(half));
            help(text, self.at(half, self.now), self.bites);
        }
        help("bar damped to twice the ratio (lead or rubber on it)".into(), self.now.damped(), self.bites);
        if let Some(thicker) = self.thicker() {
            help(Text::from("bar of ").len(thicker.size), self.with(&thicker, tool.stick_out), self.bites);
        }
        if let Some(carbide) = self.in_carbide() {
            help("the same bar in carbide".into(), self.with(&carbide, tool.stick_out), self.bites);
        }
        if let Some(first) = helps.first_mut() {
            first.to_be_had = to_be_had;
        }
        helps
    }

    /// The fastest speed of the lathe that is no more than half the one used.
    fn half_the_speed(&self) -> Option<f64> {
        let half = self.rpm / 2.0;
        if self.speeds_rpm.is_empty() {
            return Some(half);
        }
        self.speeds_rpm.iter().copied().rfind(|n| *n <= half)
    }

    fn narrow_words(&self) -> Text {
        let narrow = self.tool.ground.in_face(self.tool.tip_width.min);
        Text::from("tip of ").len(narrow).s(" and passes to the side")
    }

    /// What helps where no single change does: one on top of the other, as far as is needed.
    fn together(&self) -> Vec<Help> {
        let tool = self.tool;
        let light = if self.by_flank.is_empty() { self.bites } else { self.by_flank };
        let bites = self.narrowed(light);
        let stick_out = match self.shorter() {
            (shorter, true) => shorter,
            (_, false) => tool.stick_out,
        };
        let stiff = self.thicker().or_else(|| self.in_carbide()).unwrap_or_else(|| tool.shank.clone());
        let stiffer = self.with(&stiff, stick_out);
        let damped = stiffer.damped();
        let slowest = self.speeds_rpm.iter().copied().fold(self.rpm, f64::min);
        let infeed = if self.by_flank.is_empty() { Text::new() } else { Text::from("flank infeed, and a ") };
        let infeed = infeed.text(self.narrow_words());
        let on_bar = infeed.clone().s("; on a bar of ").len(stiff.size).s(match stiff.material {
            BarMaterial::Carbide => " in carbide",
            _ => "",
        });
        let on_bar = on_bar.s(", stick-out ").v(Value::Length(stick_out, Fine::Coarse));
        let with_damping = on_bar.clone().s("; damped (lead or rubber on it)");
        let at_slowest = with_damping.clone().s("; at ").v(Value::Rpm(slowest));
        let mut helps = Vec::new();
        for (what, setting) in [
            (infeed, self.now),
            (on_bar, stiffer),
            (with_damping, damped),
            (at_slowest, self.at(slowest, damped)),
        ] {
            let Some(help) = Help::of(what, setting, &bites) else { break };
            let enough = help.outlook.likely_from.is_none();
            helps.push(help);
            if enough {
                break;
            }
        }
        helps
    }
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
                Bite::of(p, &load, course.kienzle)
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

    /// Width that is stable between the lobes at a spindle speed, with what the rub allows.
    pub fn at_foot(&self, rpm: f64) -> Stands {
        Stands::of(&self.ends, |c| c.at_surface_speed(surface_at(rpm, self.diameter)))
    }

    /// Width that is stable at a spindle speed: the lobe there or, at low speed, what the rub allows.
    pub fn stable_at(&self, rpm: f64) -> Stands {
        let speed = surface_at(rpm, self.diameter);
        Stands::of(&self.ends, |c| Some(c.at_surface_speed(speed)?.max(c.at_spindle_speed(rpm))))
    }

    /// The change that helps most and can be had; the first of those that help alike.
    fn best(&self) -> Option<&Help> {
        let helps = self.helps.iter().filter(|h| h.to_be_had && h.outlook.better_than(&self.outlook));
        helps.reduce(|best, h| if h.outlook.better_than(&best.outlook) { h } else { best })
    }

    /// What is said from the first pass that may chatter, with what helps most.
    pub(super) fn warning(&self, setup: Option<&Setup>) -> Option<Note> {
        let speed = Value::Rpm(setup.and_then(|s| s.rpm).unwrap_or(self.rpm));
        let (text, note): (Text, fn(Text) -> Note) = match (
            self.outlook.likely_from,
            self.outlook.doubtful_from,
        ) {
            (Some(from), _) => {
                let text = Text::from(format!("From pass {from} on chatter is likely at ")).v(speed);
                (text.s(": the chip is wider than this bar stands."), Note::warning)
            }
            (None, Some(from)) => {
                let text =
                    Text::from(format!("From pass {from} on chatter cannot be ruled out at ")).v(speed);
                (text.s(": the chip is wider than this bar stands at the least damping, and not at the most. Listen, and stop if it sings."), Note::remark)
            }
            (None, None) => return None,
        };
        let text = match self.best() {
            None if self.outlook.chance() == Chance::Likely => text.s(" Nothing here helps, alone or together: take a tap, a shorter thread or a larger bore, or another way to make it."),
            None => text,
            Some(best) => {
                let text = text.s(" Most would help: ").text(best.what.clone());
                match (best.outlook.likely_from, best.outlook.doubtful_from) {
                    _ if best.outlook.late() == self.outlook.late() => text.s(", which makes it less likely."),
                    (Some(n), _) => text.s(format!(", which puts it off to pass {n}.")),
                    (None, Some(n)) => text.s(format!(", with which it is in doubt from pass {n} on only.")),
                    (None, None) => text.s(", with which no pass should."),
                }
            }
        };
        Some(note(text).field("bar").source(LIMIT))
    }

    /// Figures and tables.
    pub(super) fn blocks(&self) -> Vec<Block> {
        let gauge = |l| Value::Length(l, Fine::Gauge);
        let worst = self.outlook.hardest;
        let [least, most] = self.ends;
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
                "by how much the radial force on it grows with the chip",
                Value::Mpa(worst.bite.push_mpa),
                force::THRUST_SOURCE,
            )
            .symbol("Kr")
            .formula("0.5 (1 − mc) kc, for each mm of width"),
            Figure::new(
                "modal_stiffness",
                "stiffness of the bar's first mode",
                Value::NPerMm(least.mode.stiffness_n_per_mm),
                LIMIT,
            )
            .symbol("k"),
            Figure::new(
                "damping",
                "damping ratio",
                Value::Word(format!("{:.2} to {:.2}", least.damping, most.damping)),
                bar::DAMPING_SOURCE,
            )
            .symbol("ζ"),
            Figure::new("stable_any", "width that is stable at any speed", stands(worst.at_any_speed), LIMIT)
                .formula("2 k ζ (1 + ζ) / Kr"),
            Figure::new(
                "stable_here",
                "width that is stable at this speed",
                stands(worst.at_this_speed),
                RUB_SOURCE,
            )
            .formula("ζ grows by C b ω / (2 k v)"),
            Figure::new(
                "quiet_below",
                "surface speed below which any width is stable, even with the least damping",
                Value::SurfaceMPerMin(least.quiet_below_m_per_min()),
                RUB_SOURCE,
            ),
            Figure::new(
                "chatter_from",
                "chatter is likely from pass",
                from_pass(self.outlook.likely_from),
                LIMIT,
            ),
            Figure::new(
                "chatter_doubtful_from",
                "it cannot be ruled out from pass",
                from_pass(self.outlook.doubtful_from),
                LIMIT,
            ),
        ];
        let mut blocks = vec![Block::Figures("Chatter".to_owned(), figures)];
        if !self.speeds_rpm.is_empty() {
            blocks.push(Block::Table(self.speeds_table(worst.bite.counted)));
        }
        if self.outlook.chance() != Chance::Unlikely {
            blocks.push(Block::Table(self.helps_table()));
        }
        blocks
    }

    fn speeds_table(&self, counted: Length) -> Table {
        let row = |&rpm: &f64| {
            let stable = self.stable_at(rpm);
            let chance = stable.judge(counted);
            Row {
                cells: vec![
                    Value::Rpm(rpm),
                    Value::SurfaceMPerMin(surface_at(rpm, self.diameter)),
                    Value::Number(self.ends[0].waves_in_a_turn(rpm), 0),
                    stands(stable),
                    Value::Word(
                        match chance {
                            Chance::Unlikely => "yes",
                            Chance::CannotTell => "cannot be told",
                            Chance::Likely => "no",
                        }
                        .to_owned(),
                    ),
                ],
                mark: if rpm == self.rpm {
                    Mark::Best
                } else if chance == Chance::Unlikely {
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
        let best = self.best();
        let row = |h: &Help| Row {
            cells: vec![
                Value::Said(h.what.clone()),
                Value::Length(h.outlook.hardest.bite.counted, Fine::Gauge),
                stands(h.outlook.hardest.at_any_speed),
                stands(h.outlook.hardest.at_this_speed),
                from_pass(h.outlook.likely_from),
                from_pass(h.outlook.doubtful_from),
            ],
            mark: if best == Some(h) {
                Mark::Best
            } else if h.to_be_had {
                Mark::Plain
            } else {
                Mark::Faint
            },
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
                ("doubtful_from", "in doubt from pass"),
            ]),
            rows: self.helps.iter().map(row).collect(),
            source: Some(LIMIT),
        }
    }
}

/// Widths that a bar stands, from the least damping to the most.
fn stands(widths: Stands) -> Value {
    match (widths.surely, widths.at_best) {
        (None, _) => Value::Word("any".to_owned()),
        (Some(surely), None) => Value::Said(Text::new().v(Value::Length(surely, Fine::Gauge)).s(" to any")),
        (Some(surely), Some(at_best)) => Value::Band(surely, at_best, Fine::Gauge),
    }
}

fn from_pass(number: Option<u32>) -> Value {
    number.map_or(Value::Word("none".to_owned()), |n| Value::Count(i64::from(n)))
}
