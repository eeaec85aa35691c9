//! The tool's section.

use super::grind::{self, Side};
use super::{BarTrial, Tool, bar};
use crate::fit::Fit;
use crate::job::{Bar, BarMaterial, BarShape};
use crate::report::{Block, Figure, Fine, Mark, Note, Row, Section, StageName, Table, Text, Value, columns};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Angle, Element, Hand, Length, Source};

/// Origin of the heel's formula.
pub(super) const HEEL: Source = Source::derived("circle of the bore and a straight front face");
const LEAD: Source = Source::formula("ISO 5408:2009", "4.10: tan φ = Ph / (π d)");
const CLEARANCE: Source = Source::practice(
    "3 to 5° of working clearance each side; the lead angle is added under the leading flank",
);
const TIP: Source = Source::derived(
    "the groove's bottom at the smallest permitted pitch diameter of a nut (largest of a screw)",
);
const FACE: Source =
    Source::derived("length of the rake face between blank and bottom, exact at both ends of the flank");
const BEAM: Source = Source::formula(
    "Isakov: Boring: calculating deflection (Cutting Tool Engineering, July 2019)",
    "cantilever of constant section",
);
const FREQUENCY: Source = Source::memory("Euler-Bernoulli beam theory", "first mode of a cantilever");
const TIP_LENGTH: Source = Source::choice("0.5 mm more than the depth, so that the bar does not rub");

fn material_word(m: BarMaterial) -> &'static str {
    match m {
        BarMaterial::Steel => "steel",
        BarMaterial::Hss => "high-speed steel",
        BarMaterial::Carbide => "carbide",
    }
}

fn shape_word(s: BarShape) -> &'static str {
    match s {
        BarShape::Round => "round",
        BarShape::Square => "square",
    }
}

fn bar_text(bar: &Bar) -> Text {
    Text::new().len(bar.size).s(format!(" {} {} bar", shape_word(bar.shape), material_word(bar.material)))
}

pub(super) fn section(tool: &Tool) -> Section {
    let mut answer = Text::new()
        .s("Grind ")
        .v(Value::Angle(tool.included_angle, 1))
        .s(" included, tip ")
        .len(tool.tip_width.aim)
        .s(" wide and never over ")
        .len(tool.tip_width.max);
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
    vec![
        Figure::new(
            "included_angle",
            "included angle in the rake face",
            Value::Angle(t.included_angle, 2),
            FACE,
        )
        .formula("tan A_t = tan A × depth / length along the face"),
        Figure::new(
            "flank_leading_ground",
            "leading flank as ground",
            Value::Angle(t.flank_leading, 2),
            FACE,
        ),
        Figure::new(
            "flank_trailing_ground",
            "following flank as ground",
            Value::Angle(t.flank_trailing, 2),
            FACE,
        ),
        Figure::new("tip_width", "tip width to aim at", length(t.tip_width.aim), grind::TIP_TOLERANCE),
        Figure::new("tip_width_max", "tip width, never more than", length(t.tip_width.max), TIP)
            .formula("groove bottom − (pitch diameter aim − its limit) × tan A"),
        Figure::new(
            "tip_width_min",
            "tip width, not less than",
            length(t.tip_width.min),
            Source::choice("0.6 of the widest: a narrower tip is weak and needs many passes to the side"),
        ),
        Figure::new(
            "corner_radius",
            "corner radius, at most",
            length(t.corner_radius),
            Source::derived(
                "root radius of the standard, or a full round tip where that is less; 0.1 mm where it has none",
            ),
        ),
        Figure::new("lead_angle", "lead angle at the smaller diameter", angle(t.lead_angle), LEAD)
            .symbol("φ")
            .formula("atan(Ph / (π d))"),
        Figure::new("relief_leading", "relief under the leading flank", angle(t.relief_leading), CLEARANCE)
            .formula("clearance + φ"),
        Figure::new(
            "relief_trailing",
            "relief under the following flank",
            angle(t.relief_trailing),
            CLEARANCE,
        )
        .formula("clearance − φ, not below 1°"),
        Figure::new(
            "front_clearance",
            "front clearance",
            angle(t.front_clearance),
            Source::table(
                "Sandvik Coromant: Threading application guide",
                "p. 116: radial clearance 15° internal, 10° external",
            ),
        ),
        Figure::new(
            "rake",
            "back rake",
            angle(t.rake),
            Source::practice("none on a form tool unless the angle is corrected"),
        ),
        Figure::new("tip_length", "tip, from bar to edge", length(t.tip_length), TIP_LENGTH)
            .formula("greatest depth + 0.5 mm"),
    ]
}

fn bars_table(t: &Tool) -> Table {
    let row = |(i, b): (usize, &BarTrial)| Row {
        cells: vec![
            Value::Length(b.bar.size, Fine::Shop),
            Value::Word(format!("{} {}", shape_word(b.bar.shape), material_word(b.bar.material))),
            Value::Yes(b.enters),
            Value::Yes(b.withdraws),
            Value::Length(b.room, Fine::Shop),
            Value::Number(b.slenderness, 1),
            Value::NPerMm(b.stiffness_n_per_mm),
            Value::Word(b.words.clone()),
        ],
        mark: if t.bar == Some(i) {
            Mark::Best
        } else if b.enters && b.withdraws {
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
    shank: &Bar,
    height: Length,
    clearance: Angle,
) -> Vec<Block> {
    let length = |l| Value::Length(l, Fine::Shop);
    let angle = |a| Value::Angle(a, 1);
    let reliefs = grind::reliefs(tool.lead_angle, clearance);
    let hand = fit.thread.hand;
    let mut sides = vec![
        Figure::new(
            "relief_chuck_side",
            side_words(Side::Chuck, hand),
            angle(reliefs.on(Side::Chuck, hand)),
            CLEARANCE,
        ),
        Figure::new(
            "relief_tailstock_side",
            side_words(Side::Tailstock, hand),
            angle(reliefs.on(Side::Tailstock, hand)),
            CLEARANCE,
        ),
        Figure::new(
            "relief_from_front",
            "relief that the front clearance alone gives a flank",
            angle(grind::flank_clearance(basic.flank_leading, tool.front_clearance)),
            Source::formula(
                "Sandvik Coromant: Threading application guide",
                "p. 116; the tangent form, which fits the printed table best",
            ),
        )
        .formula("atan(tan A × tan front clearance)"),
        Figure::new(
            "included_angle_canted",
            "included angle if the whole tool is canted to the lead angle instead",
            Value::Angle(
                grind::canted_half_angle(tool.flank_leading, tool.lead_angle)
                    + grind::canted_half_angle(tool.flank_trailing, tool.lead_angle),
                2,
            ),
            Source::derived("profile square to the helix; the flanks then come out slightly curved"),
        )
        .formula("tan A_n = tan A × cos φ"),
    ];
    if height != Length::ZERO {
        let dia = fit.blank.aim;
        sides.push(
            Figure::new(
                "effective_rake",
                "rake that the height off centre leaves",
                angle(grind::effective_rake(tool.rake, height, dia, fit.part)),
                Source::derived("angle between the face and the radius through the edge"),
            )
            .formula(match fit.part {
                Element::External => "rake + asin(2 h / d)",
                Element::Internal => "rake − asin(2 h / d)",
            }),
        );
    }
    if fit.part == Element::Internal {
        sides.push(
            Figure::new("heel", "tip clears the bore down to, below the edge", length(tool.heel), HEEL)
                .formula(
                    "D cos a sin(a + δ), on centre (D/2) sin 2a; below it grind a second, steeper relief",
                ),
        );
    }
    let mut blocks = vec![Block::Figures("Sides and height".to_owned(), sides)];
    blocks.push(Block::Figures("Bar".to_owned(), bar_figures(tool, fit, shank)));
    blocks
}

fn side_words(side: Side, hand: Hand) -> String {
    let side_word = match side {
        Side::Chuck => "chuck",
        Side::Tailstock => "tailstock",
    };
    let role = if grind::leading_side(hand) == side { "leads" } else { "follows" };
    let hand_word = match hand {
        Hand::Right => "right",
        Hand::Left => "left",
    };
    format!("relief on the {side_word} side ({role}: {hand_word}-hand thread, spindle forwards, face up)")
}

fn bar_figures(tool: &Tool, fit: &Fit, shank: &Bar) -> Vec<Figure> {
    let stuff = bar::stuff(shank.material);
    let per_100_n = bar::deflection(flankwise_thread::Force::newton(100.0), tool.stiffness_n_per_mm);
    let ideal = bar::first_frequency(shank, tool.stick_out);
    let mut figures = vec![
        Figure::new(
            "stick_out",
            "stick-out",
            Value::Length(tool.stick_out, Fine::Coarse),
            match fit.part {
                Element::Internal => Source::derived(
                    "thread, relief groove (or two leads of run-out), 5 mm for the holder; or as fixed",
                ),
                Element::External => Source::choice("20 mm of overhang, or as fixed"),
            },
        )
        .symbol("L"),
        Figure::new(
            "bar_for_stiffness",
            "bar that the figures below are for",
            Value::Word(format!("{} {}", shape_word(shank.shape), material_word(shank.material))),
            Source::derived("stiffest bar that passes; the largest usual size where there is none"),
        ),
        Figure::new(
            "bar_size",
            "its size",
            Value::Length(shank.size, Fine::Shop),
            Source::derived("as above"),
        ),
        Figure::new("stiffness", "stiffness at the tip", Value::NPerMm(tool.stiffness_n_per_mm), BEAM)
            .symbol("k")
            .formula("3 E I / L³"),
        Figure::new("modulus", "modulus of elasticity", Value::Mpa(stuff.modulus_mpa), stuff.source)
            .symbol("E"),
        Figure::new(
            "deflection_per_100n",
            "deflection at 100 N",
            Value::Length(per_100_n, Fine::Gauge),
            BEAM,
        )
        .symbol("y")
        .formula("F L³ / (3 E I)"),
        Figure::new(
            "slenderness",
            "stick-out over size",
            Value::Number(tool.stick_out / shank.size, 1),
            bar::SLENDER,
        )
        .symbol("L/D")
        .formula(format!("up to {:.0} is usual here", stuff.slender)),
        Figure::new("first_frequency", "first bending frequency, ideal clamp", Value::Hz(ideal), FREQUENCY)
            .symbol("f1")
            .formula("3.516/(2π) √(E I / (ρ A L⁴))"),
        Figure::new(
            "first_frequency_clamped",
            "the same in a real clamp, about",
            Value::Hz(ideal * 0.5 * (bar::CLAMP.0 + bar::CLAMP.1)),
            Source::practice("0.6 to 0.8 of the ideal clamp"),
        ),
    ];
    if fit.part == Element::Internal {
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
