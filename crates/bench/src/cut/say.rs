//! The section of the cut.

use super::{Basis, Cut, Feed, Pass, PassKind, Plan, force};
use crate::material;
use crate::report::{
    Block, Column, Figure, Fine, Mark, Row, Section, StageName, Table, Text, Value, columns,
};
use crate::setup::surface_at;
use crate::tool::bar;
use flankwise_thread::{Length, Source};

const AREA: Source = Source::derived("area of the section, a(h) = f h + h² tan A");
const KIENZLE: Source =
    Source::derived("Kienzle's law on the tip and on each flank, with the material's constants");
const SPRING: Source =
    Source::derived("springs back until the radial force holds it; what is left goes to the next pass");

pub(super) fn section(cut: &Cut) -> Section {
    let count = |kind| cut.passes.iter().filter(|p| p.kind == kind).count() as i64;
    let depth = cut.passes.last().map_or(Length::ZERO, |p| p.depth);
    let mut answer = Text::new()
        .v(Value::Count(count(PassKind::Cutting)))
        .s(if count(PassKind::Cutting) == 1 { " pass to a depth of " } else { " passes to a depth of " })
        .len(depth)
        .s(" after a scratch");
    if count(PassKind::Widening) > 0 {
        answer = answer.s(", ").v(Value::Count(count(PassKind::Widening))).s(" to the side");
    }
    answer = answer
        .s(" and ")
        .v(Value::Count(count(PassKind::Spring)))
        .s(if count(PassKind::Spring) == 1 { " spring pass; about " } else { " spring passes; about " })
        .v(Value::Seconds(cut.seconds))
        .s(" in all.");
    let mut blocks = vec![Block::Table(passes_table(cut))];
    blocks.extend(cut.detail.iter().cloned());
    blocks.push(Block::Steps("Order of work".to_owned(), cut.operations.clone()));
    Section { stage: StageName::Cut, answer, blocks }
}

fn passes_table(cut: &Cut) -> Table {
    let by_compound = cut.passes.iter().any(|p| p.compound != Length::ZERO);
    let shifts = cut.passes.iter().any(|p| p.axial_shift != Length::ZERO);
    let mut columns = columns(&[("pass", "pass"), ("kind", "kind"), ("depth", "depth")]);
    let on = if cut.readout_on_diameter { "cross-slide shows (diameter)" } else { "cross-slide shows" };
    if by_compound {
        columns.push(Column::new("compound", "compound shows"));
    }
    columns.push(Column::new("readout", on));
    if shifts {
        columns.push(Column::new("axial_shift", "along the axis (+ from the chuck)"));
    }
    columns.extend([
        Column::new("diameter", "diameter at the tip"),
        Column::new("area", "chip area"),
        Column::new("force", "cutting force"),
        Column::new("deflection", "left by spring"),
    ]);
    let row = |p: &Pass| {
        let mut cells = vec![
            Value::Count(i64::from(p.number)),
            Value::Word(p.kind.word().to_owned()),
            Value::Length(p.depth, Fine::Gauge),
        ];
        if by_compound {
            cells.push(Value::Setting(p.compound, cut.compound_unit));
        }
        cells.push(Value::Setting(p.readout, cut.readout_unit));
        if shifts {
            cells.push(Value::Setting(p.axial_shift, cut.compound_unit));
        }
        cells.extend([
            Value::Length(p.diameter, Fine::Shop),
            Value::Mm2(p.area_mm2),
            Value::Force(p.force),
            Value::Length(p.deflection, Fine::Gauge),
        ]);
        Row { cells, mark: if p.kind == PassKind::Scratch { Mark::Faint } else { Mark::Plain } }
    };
    Table {
        key: "passes",
        title: "Passes, zeroed at touch-on".to_owned(),
        columns,
        rows: cut.passes.iter().map(row).collect(),
        source: None,
    }
}

/// Figures behind the passes.
pub(super) fn detail(
    plan: &Plan<'_>,
    passes: &[Pass],
    basis: &Basis,
    rpm: f64,
    rpm_known: bool,
    left: Length,
) -> Vec<Block> {
    let length = |l| Value::Length(l, Fine::Shop);
    let cutting: Vec<&Pass> = passes.iter().filter(|p| p.kind == PassKind::Cutting).collect();
    let rule = plan.rule.source();
    let hardest = passes.iter().max_by(|a, b| a.force.to_newton().total_cmp(&b.force.to_newton()));
    let material_source =
        material::material(plan.fit.material).map_or(Source::derived("default material"), |m| m.force_source);
    let mut figures = vec![
        Figure::new(
            "full_depth",
            "full depth",
            length(plan.groove.depth),
            Source::derived("blank to bottom, at the aims"),
        ),
        Figure::new("cutting_passes", "cutting passes", Value::Count(cutting.len() as i64), basis.source)
            .formula(basis.words.clone()),
        Figure::new("depth_rule", "how the depth is shared", Value::Word(rule_word(plan).to_owned()), rule),
        Figure::new("first_limit", "first pass, at most", length(plan.first), first_source(plan)),
        Figure::new("least_depth", "smallest depth of a pass", length(plan.least), least_source(plan)),
        Figure::new(
            "groove_area",
            "area of the groove",
            Value::Mm2(plan.groove.area_mm2(plan.groove.depth)),
            AREA,
        )
        .formula("f h + h² tan A"),
    ];
    if plan.widen >= super::WIDEN_LEAST {
        figures.push(
            Figure::new(
                "widen_by",
                "the groove's bottom is wider than the tip by",
                length(plan.widen),
                Source::derived("groove bottom at the aims less the tip"),
            )
            .formula("the side passes take this, 0.1 mm at most each"),
        );
    }
    if plan.feed != Feed::Straight {
        figures.push(
            Figure::new(
                "infeed_angle",
                match plan.feed {
                    Feed::Swung(_) => "swing of the compound from the cross-slide",
                    _ => "lean of the path from the radius",
                },
                Value::Angle(plan.feed.lean(), 1),
                Source::table(
                    "US Navy training manual 14345, compound rest; ZCC-CT catalogue 2019, p. 462",
                    "29 or 29.5° for 60° threads; modified flank 3 to 5° off the flank",
                ),
            )
            .formula("compound travel = depth / cos"),
        );
    }
    let mut load = vec![
        Figure::new(
            "kc11",
            "specific cutting force at 1 mm chip",
            Value::Mpa(plan.kienzle.kc11),
            material_source,
        )
        .symbol("kc1.1"),
        Figure::new("mc", "its exponent", Value::Number(plan.kienzle.mc, 2), material_source).symbol("mc"),
        Figure::new(
            "thrust_share",
            "thrust square to an edge, of its cutting force",
            Value::Number(force::THRUST, 2),
            force::THRUST_SOURCE,
        ),
    ];
    if let Some(p) = hardest {
        load.push(
            Figure::new(
                "force_most",
                format!("largest cutting force, pass {}", p.number),
                Value::Force(p.force),
                KIENZLE,
            )
            .symbol("Fc")
            .formula("Σ b h kc1.1 h^−mc over tip and flanks"),
        );
        let speed = surface_at(rpm, p.diameter);
        load.push(
            Figure::new(
                "power_most",
                "power it takes, kW",
                Value::Number(force::spindle_kw(p.force, speed, force::DRIVE), 2),
                force::POWER_SOURCE,
            )
            .formula("Fc π d n / (60 000 000 η)"),
        );
    }
    load.push(Figure::new(
        "speed_reckoned",
        "spindle speed that time and power are reckoned for",
        Value::Rpm(rpm),
        if rpm_known { Source::derived("from the lathe stage") } else { Source::choice("no lathe is known") },
    ));
    load.push(
        Figure::new("left_after", "left uncut after the last pass", Value::Length(left, Fine::Gauge), SPRING)
            .formula("spring passes go on until 0.005 mm or less is left"),
    );
    load.extend(chatter(plan, &cutting));
    vec![Block::Figures("Depth".to_owned(), figures), Block::Figures("Force and spring".to_owned(), load)]
}

/// Where chatter is first to be expected: the first pass whose edge in the cut is longer than the width that is
/// stable at every speed.
fn chatter(plan: &Plan<'_>, cutting: &[&Pass]) -> Vec<Figure> {
    const TLUSTY: Source = Source::memory(
        "Tlusty's stability rule, one mode",
        "damping ratio 0.03; low speed damps more and allows several times this",
    );
    let edges: Vec<(u32, Length, Length)> = cutting
        .iter()
        .map(|p| {
            let load = plan.load(p.depth - p.step, p.depth);
            let ks = plan.kienzle.specific_mpa(load.mean_chip);
            (p.number, load.edge, bar::stable_width(plan.tool.stiffness_n_per_mm, bar::DAMPING, ks))
        })
        .collect();
    let Some(&(_, longest, stable)) = edges.last() else { return Vec::new() };
    let first = edges.iter().find(|(_, edge, stable)| edge > stable);
    vec![
        Figure::new(
            "edge_longest",
            "edge in the cut at full depth",
            Value::Length(longest, Fine::Shop),
            Source::derived("tip and flanks that cut"),
        ),
        Figure::new(
            "edge_stable",
            "edge that never chatters at this stiffness",
            Value::Length(stable, Fine::Shop),
            TLUSTY,
        )
        .formula("2 k ζ (1 + ζ) / Ks"),
        Figure::new(
            "chatter_from",
            "edge exceeds it from pass",
            first.map_or(Value::Word("none".to_owned()), |(n, ..)| Value::Count(i64::from(*n))),
            TLUSTY,
        )
        .formula("if it comes: slower, flank infeed, or a narrower tip with side passes"),
    ]
}

const fn rule_word(plan: &Plan<'_>) -> &'static str {
    match plan.rule {
        super::Rule::Root => "root rule for V tools",
        super::Rule::EqualArea => "equal areas of the true section",
    }
}

fn first_source(plan: &Plan<'_>) -> Source {
    if plan.job.cutting.first.is_some() {
        Source::choice("set in the job")
    } else if plan.job.grind.carbide_tip {
        Source::table(
            "Sumitomo catalogue 2019, p. 404; Mitsubishi Materials, internal threading page",
            "first pass 0.4 to 0.5 mm",
        )
    } else {
        Source::practice("lighter than carbide: 0.05 to 0.15 mm in steel, up to 0.2 in bronze")
    }
}

fn least_source(plan: &Plan<'_>) -> Source {
    if plan.job.cutting.least.is_some() {
        Source::choice("set in the job; not less than one division")
    } else if plan.job.grind.carbide_tip {
        Source::table("Widia catalogue 2017", "p. 685: last passes 0.05 mm or more")
    } else {
        Source::practice("a keen high-speed steel edge cuts from 0.02 to 0.03 mm")
    }
}
