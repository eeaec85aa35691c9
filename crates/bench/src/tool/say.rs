//! The tool's section.

use super::bar::Answer;
use super::grind::{self, Side};
use super::near::{self, Bears, NearTool};
use super::profile::{Ground, Stance};
use super::relief::Slopes;
use super::{BarTrial, Tool, asks, bar, first_order};
use crate::fit::Fit;
use crate::job::{Bar, Duty};
use crate::report::{Block, Figure, Fine, Mark, Note, Row, Section, StageName, Table, Text, Value, columns};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Angle, Element, Hand, Length, Source};

/// Origin of the heel's formula.
pub(super) const HEEL: Source = Source::derived("circle of the bore and a straight front face");
const LEAD: Source = Source::formula("ISO 5408:2009", "4.10: tan φ = Ph / (π d)");
const SLOPE: Source = Source::derived(
    "slope of the helicoid under the edge, seen along the tool's middle line; working clearance added, 1° left at the heel",
);
const TIP: Source = Source::derived(
    "the groove's bottom at the smallest permitted pitch diameter of a nut (largest of a screw)",
);
const HELICOID: Source =
    Source::derived("where the rake face meets the helicoid of the groove, solved point by point");
const PLAIN: Source =
    Source::derived("a straight edge at the thread's angles, carried along the helix of the work");
const HANDBOOK: Source = Source::formula(
    "first-order formulas of the trade",
    "tan A_t = tan A cos(cant) cos(rake ± δ), sin δ = 2 h / d",
);
const BEAM: Source = Source::formula(
    "Isakov: Boring: calculating deflection (Cutting Tool Engineering, July 2019)",
    "cantilever; with steps, tapers and clamp by finite elements of Euler's beam",
);
const FREQUENCY: Source =
    Source::derived("first mode of the bar's finite elements (Euler and Bernoulli's beam)");
const TIP_LENGTH: Source = Source::choice("0.5 mm more than the depth, so that the bar does not rub");

/// A bar by size and kind.
fn bar_text(bar: &Bar) -> Text {
    Text::new().len(bar.size).s(format!(" {}", bar.words()))
}

pub(super) fn section(tool: &Tool) -> Section {
    let mut answer = Text::new().s("Grind ").v(Value::Angle(tool.ground.included(), 1)).s(" included, tip ");
    answer = if tool.tip_in_face.aim <= tool.tip_in_face.max {
        answer.len(tool.tip_in_face.aim).s(" wide and never over ").len(tool.tip_in_face.max)
    } else {
        let wide = answer.s("never over ").len(tool.tip_in_face.max);
        wide.s(" wide: the one given, ").len(tool.tip_in_face.aim).s(", is wider")
    };
    answer = match tool.bar {
        Some(i) => answer
            .s("; carry it in the ")
            .text(bar_text(&tool.bars[i].bar))
            .s(", stick-out ")
            .v(Value::Length(tool.stick_out, Fine::Coarse))
            .s("."),
        None if tool.bars.is_empty() && tool.heel == Length::ZERO => {
            answer.s("; overhang ").v(Value::Length(tool.stick_out, Fine::Coarse)).s(" or less.")
        }
        None if !tool.carried() => answer.s("; no bar can carry it."),
        None => answer.s("; the largest bar that goes in and out is ").len(tool.largest_bar).s("."),
    };
    let mut blocks = vec![Block::Figures("To grind".to_owned(), grind_figures(tool))];
    if !tool.bars.is_empty() {
        blocks.push(Block::Table(bars_table(tool)));
    }
    blocks.extend(tool.detail.iter().cloned());
    Section { stage: StageName::Tool, answer, blocks }
}

fn grind_figures(t: &Tool) -> Vec<Figure> {
    let angle = |a| Value::Angle(a, 1);
    let length = |l| Value::Length(l, Fine::Shop);
    let (leading, trailing) = (t.ground.flank(t.leads), t.ground.flank(t.follows()));
    let mut figures = vec![
        Figure::new(
            "included_angle",
            "included angle in the rake face",
            Value::Angle(t.ground.included(), 2),
            HELICOID,
        ),
        Figure::new(
            "flank_leading_ground",
            "leading flank as ground",
            Value::Angle(leading.angle, 2),
            HELICOID,
        ),
        Figure::new(
            "flank_trailing_ground",
            "following flank as ground",
            Value::Angle(trailing.angle, 2),
            HELICOID,
        ),
        match t.given.tip_width {
            Some(_) => Figure::new(
                "tip_width",
                "tip width as given",
                length(t.tip_in_face.aim),
                Source::choice("given in grind.tip_width"),
            ),
            None => Figure::new(
                "tip_width",
                "tip width to aim at",
                length(t.tip_in_face.aim),
                grind::TIP_TOLERANCE,
            ),
        },
        Figure::new("tip_width_max", "tip width, never more than", length(t.tip_in_face.max), TIP)
            .formula("groove bottom − (pitch diameter aim − its limit) × tan A"),
        Figure::new(
            "tip_width_min",
            "tip width, not less than",
            length(t.tip_in_face.min),
            Source::choice("0.6 of the widest: a narrower tip is weak and needs many passes to the side"),
        ),
        Figure::new("corner_radius", "corner radius, at most", length(t.corner.most), t.corner.source)
            .formula("no more than a tip that is round all over"),
    ];
    if let Some(least) = t.corner.least {
        figures.push(Figure::new(
            "corner_radius_min",
            "corner radius, at least",
            length(least),
            t.corner.source,
        ));
    }
    figures.extend([
        Figure::new("lead_angle", "lead angle at the smaller diameter", angle(t.lead_angle), LEAD)
            .symbol("φ")
            .formula("atan(Ph / (π d))"),
        Figure::new("relief_leading", "relief under the leading flank", angle(t.reliefs.on(t.leads)), SLOPE),
        Figure::new(
            "relief_trailing",
            "relief under the following flank",
            angle(t.reliefs.on(t.follows())),
            SLOPE,
        )
        .formula("not below 1°"),
        Figure::new(
            "front_clearance",
            "front clearance",
            angle(t.front_clearance),
            match t.given.front_clearance {
                Some(_) => Source::choice("given in grind.front_clearance"),
                None => Source::table(
                    "Sandvik Coromant: Threading application guide",
                    "p. 116: radial clearance 15° internal, 10° external",
                ),
            },
        ),
    ]);
    if let Some(second) = t.second_relief {
        figures.push(Figure::new(
            "second_relief",
            "second relief of the front, so that the whole tip clears the bore",
            angle(second.angle),
            HEEL,
        ));
        figures.push(Figure::new(
            "second_relief_from",
            "ground from this far below the edge",
            length(second.from),
            Source::choice("half way down to where the front clearance alone would rub"),
        ));
    }
    figures.extend([
        Figure::new(
            "rake",
            "back rake",
            angle(t.stance.rake),
            match t.given.rake {
                Some(_) => Source::choice("given in grind.rake"),
                None => Source::practice("none on a form tool unless the angle is corrected"),
            },
        ),
        match t.given.depth.filter(|_| t.bar.is_some()) {
            Some(_) => Figure::new(
                "tip_length",
                "tip, from bar to edge",
                length(t.tip_length),
                Source::derived("grind.depth as given, less the size of the bar's front"),
            ),
            None => Figure::new("tip_length", "tip, from bar to edge", length(t.tip_length), TIP_LENGTH)
                .formula("greatest depth + 0.5 mm"),
        },
    ]);
    figures
}

fn bars_table(t: &Tool) -> Table {
    let row = |(i, b): (usize, &BarTrial)| Row {
        cells: vec![
            Value::Length(b.bar.size, Fine::Shop),
            Value::Word(b.bar.words()),
            Value::Yes(b.enters),
            Value::Yes(b.withdraws),
            Value::Yes(b.long_enough),
            Value::Length(b.room, Fine::Shop),
            Value::Number(b.slenderness, 1),
            Value::NPerMm(b.stiffness_n_per_mm),
            Value::Word(b.words.clone()),
        ],
        mark: if t.bar == Some(i) {
            Mark::Best
        } else if b.passes() {
            Mark::Plain
        } else {
            Mark::Bad
        },
    };
    Table {
        key: "bars",
        title: "Bars on hand".to_owned(),
        columns: columns(&[
            ("size", "size"),
            ("kind", "bar"),
            ("enters", "goes in"),
            ("withdraws", "cuts and comes out"),
            ("long_enough", "long enough"),
            ("room", "room left"),
            ("slenderness", "stick-out / size"),
            ("stiffness", "stiffness at the tip"),
            ("words", "remark"),
        ]),
        rows: t.bars.iter().enumerate().map(row).collect(),
        source: Some(Source::derived("section of bore, groove, bar and tip; 0.25 mm clear all round")),
    }
}

/// Figures that need more than the tool itself.
pub(super) fn detail(
    tool: &Tool,
    fit: &Fit,
    basic: &Basic,
    answer: &Answer,
    clearance: Angle,
    duty: Duty,
) -> Vec<Block> {
    let mut blocks = vec![
        Block::Figures("Sides and height".to_owned(), side_figures(tool, fit, basic)),
        Block::Table(slopes_table(&tool.slopes, clearance)),
    ];
    let (words, figures) = plain_figures(tool, fit, near::gap_allowed(duty));
    blocks.push(Block::Text(words));
    if !figures.is_empty() {
        blocks.push(Block::Figures("If a plain profile is ground".to_owned(), figures));
    }
    blocks.extend(near_blocks(tool, fit, basic));
    if !tool.carried() {
        return blocks;
    }
    blocks.push(Block::Figures("Bar".to_owned(), bar_figures(tool, fit, answer)));
    let flanks = Side::BOTH.map(|side| tool.ground.flank(side).angle);
    let asks = asks::steps(&tool.shank, tool.stick_out, tool.tip_in_face.aim, flanks);
    if !asks.is_empty() {
        blocks.push(Block::Steps("To make the bar".to_owned(), asks));
    }
    blocks
}

fn side_figures(tool: &Tool, fit: &Fit, basic: &Basic) -> Vec<Figure> {
    let length = |l| Value::Length(l, Fine::Shop);
    let angle = |a| Value::Angle(a, 1);
    let hand = fit.thread.hand;
    let side = |key, side| Figure::new(key, side_words(side, hand), angle(tool.reliefs.on(side)), SLOPE);
    let mut figures = vec![
        side("relief_chuck_side", Side::Chuck),
        side("relief_tailstock_side", Side::Tailstock),
        Figure::new(
            "relief_from_front",
            "relief that the front clearance alone gives a flank",
            angle(first_order::flank_clearance(basic.flank_leading, tool.front_clearance)),
            Source::formula(
                "Sandvik Coromant: Threading application guide",
                "p. 116; the tangent form, which fits the printed table best",
            ),
        )
        .formula("atan(tan A × tan front clearance)"),
    ];
    let canted = Stance { cant: tool.lead_angle, ..tool.stance };
    if tool.stance.cant == Angle::ZERO
        && let Ok(ground) = Ground::new(tool.ground.groove, &canted)
    {
        figures.push(
            Figure::new(
                "included_angle_canted",
                "included angle if the whole tool is canted to the lead angle instead",
                Value::Angle(ground.included(), 2),
                HELICOID,
            )
            .formula("then both sides take the same relief"),
        );
    }
    if tool.stance.height != Length::ZERO {
        figures.push(
            Figure::new(
                "effective_rake",
                "rake that the height off centre leaves",
                angle(first_order::effective_rake(
                    tool.stance.rake,
                    tool.stance.height,
                    fit.blank.aim,
                    fit.part,
                )),
                Source::derived("angle between the face and the radius through the edge"),
            )
            .formula(match fit.part {
                Element::External => "rake + asin(2 h / d)",
                Element::Internal => "rake − asin(2 h / d)",
            }),
        );
    }
    if fit.part == Element::Internal {
        figures.push(
            Figure::new("heel", "tip clears the bore down to, below the edge", length(tool.heel), HEEL)
                .formula(
                    "D cos a sin(a + δ), on centre (D/2) sin 2a; below it grind a second, steeper relief",
                ),
        );
    }
    figures
}

fn side_words(side: Side, hand: Hand) -> String {
    let role = if grind::leading_side(hand) == side { "leads" } else { "follows" };
    let hand_word = match hand {
        Hand::Right => "right",
        Hand::Left => "left",
    };
    format!("relief on the {} side ({role}: {hand_word}-hand thread, spindle forwards, face up)", side.word())
}

fn slopes_table(slopes: &[Slopes], clearance: Angle) -> Table {
    let angle = |a| Value::Angle(a, 1);
    let row = |s: &Slopes| Row {
        cells: vec![
            Value::Length(s.diameter, Fine::Shop),
            angle(s.lead),
            angle(s.chuck.edge),
            angle(s.chuck.heel),
            angle(s.chuck.with(clearance)),
            angle(s.tailstock.edge),
            angle(s.tailstock.heel),
            angle(s.tailstock.with(clearance)),
        ],
        mark: Mark::Plain,
    };
    Table {
        key: "reliefs",
        title: "Relief that each diameter asks for".to_owned(),
        columns: columns(&[
            ("diameter", "diameter"),
            ("lead_angle", "lead angle"),
            ("chuck_edge", "chuck side touches at"),
            ("chuck_heel", "down at the heel at"),
            ("chuck", "grind"),
            ("tailstock_edge", "tailstock side touches at"),
            ("tailstock_heel", "down at the heel at"),
            ("tailstock", "grind"),
        ]),
        rows: slopes.iter().map(row).collect(),
        source: Some(SLOPE),
    }
}

/// What a plain profile would cut, and whether that is worth a correction: by the gap at one end of the flanks that is
/// good enough, as with any other tool that is nearly right.
fn plain_figures(tool: &Tool, fit: &Fit, gap_allowed: Length) -> (Text, Vec<Figure>) {
    let plain = &tool.plain;
    let gauge = |l| Value::Length(l, Fine::Gauge);
    if tool.stance.is_plain() {
        let words = "Flat, on centre and square, the face shows the groove's own section: a plain profile is the right one.";
        return (words.into(), Vec::new());
    }
    let wanted = |side| tool.ground.groove.flank(side);
    let off = |cut: Angle, side| Value::Angle(cut - wanted(side), 2);
    // Right half way up and so much astray at either end: with the mate at one end, twice that is open at the other.
    let worth = plain.astray * 2.0 > gap_allowed;
    let words = Text::new()
        .s("A plain profile, straight at the thread's own angles, would cut the flanks up to ")
        .v(gauge(plain.astray))
        .s(" astray from here: ")
        .s(if worth {
            "more than can be let pass, so grind the corrected angles above."
        } else {
            "which beds in as another tool that is nearly right does, so do not bother with a correction."
        });
    let bow = tool.ground.chuck.bow.abs().max(tool.ground.tailstock.bow.abs());
    let words =
        words.s(" With the corrected angles and straight flanks ").v(gauge(bow)).s(if bow > gap_allowed {
            " remain: stone the flanks to the curve of the template."
        } else {
            " remain."
        });
    let first_order = [Side::Chuck, Side::Tailstock].map(|side| {
        first_order::ground_half_angle(wanted(side), &tool.stance, fit.pitch_diameter.aim, fit.part)
    });
    let figures = vec![
        Figure::new(
            "plain_error_chuck",
            "flank cut, chuck side, off by",
            off(plain.chuck, Side::Chuck),
            PLAIN,
        ),
        Figure::new(
            "plain_error_tailstock",
            "flank cut, tailstock side, off by",
            off(plain.tailstock, Side::Tailstock),
            PLAIN,
        ),
        Figure::new("plain_bow", "flanks cut out of straight by", gauge(plain.bow), PLAIN),
        Figure::new("plain_wider", "groove cut wider half way up by", gauge(plain.wider), PLAIN),
        Figure::new("plain_astray", "farthest that a flank lies astray", gauge(plain.astray), PLAIN)
            .formula("with the groove right half way up"),
        Figure::new(
            "bow_chuck",
            "curve of the flank to grind, chuck side (+ full, − hollow)",
            gauge(tool.ground.chuck.bow),
            HELICOID,
        ),
        Figure::new("bow_tailstock", "the same, tailstock side", gauge(tool.ground.tailstock.bow), HELICOID),
        Figure::new(
            "included_angle_first_order",
            "included angle by the usual formulas",
            Value::Angle(first_order[0] + first_order[1], 2),
            HANDBOOK,
        ),
        Figure::new(
            "tip_width_axial",
            "width that the tip cuts along the axis",
            Value::Length(tool.tip_width.aim, Fine::Shop),
            HELICOID,
        ),
    ];
    (words, figures)
}

/// A warning for a bit of the job that will not do.
pub(super) fn near_notes(tool: &Tool) -> Vec<Note> {
    let bad = tool.near.iter().filter(|n| n.on_hand && !n.acceptable);
    let (chuck, tailstock) = (tool.ground.groove.chuck, tool.ground.groove.tailstock);
    // The angle is right as a whole: it may be how the flanks share it that nobody has said.
    let shared = |n: &NearTool| chuck != tailstock && near::same(n.angle, chuck + tailstock);
    bad.map(|n| {
        let words = match n.too_wide {
            Some(over) => Text::new()
                .s(format!("{}: its tip is ", n.name))
                .v(Value::Length(over, Fine::Gauge))
                .s(" wider than may be. Stone it narrower by as much, or grind another."),
            None => Text::new()
                .s(format!("{}: the flanks would bear on ", n.name))
                .v(Value::Share(n.share))
                .s(if shared(n) {
                    " of their height only. If it is ground to this thread's two flanks, say so (chuck_flank); else grind another."
                } else {
                    " of their height only. Grind another."
                }),
        };
        Note::warning(words).field("bit").source(near::ACCEPTED)
    })
    .collect()
}

fn near_blocks(tool: &Tool, fit: &Fit, basic: &Basic) -> Vec<Block> {
    let degree = Block::Figures(
        "Other angles".to_owned(),
        vec![
            Figure::new(
                "gap_for_a_degree",
                "gap at one end of the flanks for each degree the included angle is out, as with a worn template",
                Value::Length(near::gap_for_a_degree(fit, basic), Fine::Gauge),
                Source::derived("engagement × difference of the flanks' tangents"),
            )
            .formula("H1 (tan(A + 0.5°) − tan A)"),
        ],
    );
    let mut blocks = vec![degree];
    if !tool.near.is_empty() {
        blocks.push(Block::Table(near_table(&tool.near)));
    }
    blocks
}

fn near_table(near: &[NearTool]) -> Table {
    let gauge = |l| Value::Length(l, Fine::Gauge);
    let row = |n: &NearTool| Row {
        cells: vec![
            Value::Word(n.name.clone()),
            Value::Angle(n.angle, 1),
            Value::Word(
                match n.bears {
                    Bears::Everywhere => "on the whole flank",
                    Bears::Mouth => "at the groove's mouth",
                    Bears::Bottom => "at the mate's crest",
                }
                .to_owned(),
            ),
            gauge(n.gap),
            Value::Share(n.share),
            n.widen.map_or(Value::None, gauge),
            Value::Yes(n.acceptable),
        ],
        mark: match (n.on_hand, n.acceptable) {
            (_, false) => Mark::Bad,
            (true, true) => Mark::Plain,
            (false, true) => Mark::Faint,
        },
    };
    Table {
        key: "near_tools",
        title: "Other tools that are nearly right".to_owned(),
        columns: columns(&[
            ("name", "tool"),
            ("angle", "included angle"),
            ("bears", "the mate bears"),
            ("gap", "gap at the other end"),
            ("share", "height that bears once bedded in"),
            ("widen", "then widen by"),
            ("acceptable", "will do here"),
        ]),
        rows: near.iter().map(row).collect(),
        source: Some(near::ACCEPTED),
    }
}

fn bar_figures(tool: &Tool, fit: &Fit, answer: &Answer) -> Vec<Figure> {
    let shank = &tool.shank;
    let stuff = bar::stuff(shank.material);
    let of_bar = match (fit.part, tool.bar) {
        (Element::External, _) => Source::choice("a short tool bit is taken for an outside thread"),
        (Element::Internal, Some(_)) => Source::derived("the stiffest bar on hand that passes"),
        (Element::Internal, None) => Source::choice("none on hand passes: the largest usual size that does"),
    };
    let per_100_n = bar::deflection(flankwise_thread::Force::newton(100.0), tool.stiffness_n_per_mm);
    let mut figures = vec![
        Figure::new(
            "stick_out",
            "stick-out",
            Value::Length(tool.stick_out, Fine::Coarse),
            match (tool.given.stick_out, fit.part) {
                (Some(_), _) => Source::choice("given in grind.stick_out"),
                (None, Element::Internal) => Source::derived(
                    "thread, what the tool goes past its end, 5 mm for the holder (chosen here)",
                ),
                (None, Element::External) => Source::choice("20 mm of overhang"),
            },
        )
        .symbol("L"),
        Figure::new(
            "bar_for_stiffness",
            "bar that the figures below are for",
            Value::Word(shank.words()),
            of_bar,
        ),
        Figure::new("bar_size", "its size", Value::Length(shank.size, Fine::Shop), of_bar),
        Figure::new(
            "stiffness_ideal",
            "stiffness at the tip, ideal clamp",
            Value::NPerMm(answer.ideal_n_per_mm),
            BEAM,
        )
        .formula("3 E I / L³ where the bar is of one section"),
        Figure::new(
            "stiffness",
            "stiffness at the tip in a real clamp",
            Value::NPerMm(tool.stiffness_n_per_mm),
            bar::CLAMP_SOURCE,
        )
        .symbol("k")
        .formula("the clamp resists turning by 0.98 E I / D, half of that in a boring head; a screwed tip sits on 50 kN/mm"),
        Figure::new("modulus", "modulus of elasticity", Value::Mpa(stuff.modulus_mpa), stuff.source)
            .symbol("E"),
        Figure::new(
            "deflection_per_100n",
            "deflection at 100 N (22.5 lbf)",
            Value::Length(per_100_n, Fine::Gauge),
            BEAM,
        )
        .symbol("y")
        .formula("F / k"),
        Figure::new(
            "slenderness",
            "stick-out over size",
            Value::Number(shank.slenderness(tool.stick_out), 1),
            if shank.front.is_empty() {
                bar::SLENDER
            } else {
                Source::derived("size of the plain bar that is as stiff at the tip, ideal clamp")
            },
        )
        .symbol("L/D")
        .formula(format!("up to {:.0} is usual here", stuff.slender)),
        Figure::new(
            "first_frequency",
            "first bending frequency, ideal clamp",
            Value::Hz(answer.ideal_hz),
            FREQUENCY,
        )
        .symbol("f1"),
        Figure::new(
            "first_frequency_clamped",
            "the same in a real clamp, with the tip's mass",
            Value::Hz(answer.mode.hz),
            FREQUENCY,
        ),
    ];
    if fit.part == Element::Internal {
        figures.insert(
            1,
            Figure::new(
                "past_the_end",
                "of it past the end of the thread",
                Value::Length(tool.past_the_end, Fine::Coarse),
                Source::derived(
                    "the relief groove; else until the carriage stands; two leads while no lathe says it",
                ),
            ),
        );
        figures.push(
            Figure::new(
                "largest_bar",
                "largest round bar that goes in, reaches the bottom and comes out",
                Value::Length(tool.largest_bar, Fine::Shop),
                Source::derived("section of bore, groove, bar and tip; 0.25 mm clear all round"),
            )
            .formula("bore − tip − 2 × 0.25 mm, with the edge on centre"),
        );
    }
    figures
}

pub(super) fn grinding_cautions(carbide: bool) -> Vec<Note> {
    let mut notes = vec![Note::caution(
        "Grinding: eye protection, rest close to the wheel, no gloves near it. Cool the tip often and do not quench hot high-speed steel.",
        Source::practice("off-hand grinding"),
    )];
    if carbide {
        notes.push(Note::caution(
            "Dust from grinding carbide holds cobalt and harms the lungs, wet or dry: extraction or a fitted mask, and wash hands. Brazed tips may bring cadmium.",
            Source::table(
                "Washington State Department of Labor and Industries: Hazard Alert 95-1a (1995)",
                "grinding of cemented carbide",
            ),
        ));
    }
    notes
}
