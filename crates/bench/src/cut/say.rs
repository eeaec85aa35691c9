//! The section of the cut.

use super::chatter::Chatter;
use super::course::{Basis, Course, WIDEN_LEAST};
use super::feed::Feed;
use super::{Cut, Pass, PassKind, force};
use crate::report::{
    Block, Column, Figure, Fine, Mark, Row, Section, StageName, Table, Text, Value, columns,
};
use flankwise_thread::{Angle, Element, Length, Source};
use std::cmp::Ordering;

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
    answer = answer.s(" and ").v(Value::Count(count(PassKind::Spring))).s(if count(PassKind::Spring) == 1 {
        " spring pass"
    } else {
        " spring passes"
    });
    if cut.starts > 1 {
        answer = answer.s(format!(" for each of {} starts", cut.starts));
    }
    answer = answer.s("; about ").v(Value::Seconds(cut.seconds)).s(" in all.");
    if cut.done > 0 {
        answer = match cut.next() {
            Some(next) => answer
                .s(" Done so far: ")
                .v(Value::Count(cut.done as i64))
                .s(format!("; next is pass {}, set to ", next.number))
                .v(cut.setting(next))
                .s("."),
            None if cut.reached.is_some_and(|r| r.too_much()) => answer.s(" Too much is cut: go no further."),
            None => answer.s(" All are done."),
        };
    }
    let mut blocks = vec![Block::Table(passes_table(cut))];
    blocks.extend(cut.detail.iter().cloned());
    blocks.extend(cut.chatter.iter().flat_map(Chatter::blocks));
    blocks.push(Block::Steps("Order of work".to_owned(), cut.operations.clone()));
    let broken_off = cut.recovery.iter().map(|r| Block::Steps(r.title.to_owned(), r.steps.clone()));
    blocks.extend(broken_off);
    Section { stage: StageName::Cut, answer, blocks }
}

fn passes_table(cut: &Cut) -> Table {
    let by_compound = cut.passes.iter().any(|p| p.compound != Length::ZERO);
    let two_tools = (1..cut.passes.len()).any(|i| cut.changes_tool(i));
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
    if two_tools {
        columns.push(Column::new("tip", "tip"));
    }
    columns.extend([
        Column::new("diameter", "diameter at the tip"),
        Column::new("area", "chip area"),
        Column::new("force", "cutting force"),
        Column::new("power", "power"),
        Column::new("left", "left by spring"),
    ]);
    let row = |(i, p): (usize, &Pass)| {
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
        if two_tools {
            cells.push(Value::Length(p.tip, Fine::Shop));
        }
        cells.extend([
            Value::Length(p.diameter, Fine::Shop),
            Value::Mm2(p.area_mm2),
            Value::Force(p.force),
            Value::PowerKw(p.power_kw),
            Value::Length(p.left, Fine::Gauge),
        ]);
        let mark = match i.cmp(&cut.done) {
            Ordering::Less => Mark::Faint,
            Ordering::Equal if cut.done > 0 => Mark::Best,
            _ => Mark::Plain,
        };
        Row { cells, mark }
    };
    Table {
        key: "passes",
        title: if cut.done > 0 {
            "Passes, zeroed at touch-on; those done are pale, the next is marked".to_owned()
        } else {
            "Passes, zeroed at touch-on".to_owned()
        },
        columns,
        rows: cut.passes.iter().enumerate().map(row).collect(),
        source: None,
    }
}

/// Figures behind the passes.
pub(super) fn detail(
    plan: &Course<'_>,
    passes: &[Pass],
    basis: &Basis,
    rpm_known: bool,
    left: Length,
) -> Vec<Block> {
    let length = |l| Value::Length(l, Fine::Shop);
    let cutting: Vec<&Pass> = passes.iter().filter(|p| p.kind == PassKind::Cutting).collect();
    let rule = plan.rule.source();
    let hardest = hardest_of(passes);
    let material = plan.fit.stuff();
    let rake = plan.tool.stance.rake;
    let mut figures = vec![
        Figure::new(
            "full_depth",
            "full depth",
            length(plan.full),
            Source::derived(if plan.blank == plan.fit.blank.aim {
                "blank to bottom, at the aims"
            } else {
                "from the blank as it was measured to the bottom aimed at"
            }),
        ),
        Figure::new("cutting_passes", "cutting passes", Value::Count(cutting.len() as i64), basis.source)
            .formula(if cutting.len() == basis.count {
                basis.words.clone()
            } else {
                format!(
                    "{}; {} by that, {} as dial and work let them",
                    basis.words,
                    basis.count,
                    cutting.len()
                )
            }),
        Figure::new("depth_rule", "how the depth is shared", Value::Word(plan.rule.words().to_owned()), rule),
        Figure::new("first_limit", "first pass, at most", length(plan.first), first_source(plan)),
        Figure::new("least_depth", "smallest depth of a pass", length(plan.least), least_source(plan)),
        Figure::new(
            "groove_area",
            "area of the groove",
            Value::Mm2(plan.groove(plan.tip).area_mm2(plan.full)),
            AREA,
        )
        .formula("f h + h² tan A"),
    ];
    if plan.widen() >= WIDEN_LEAST {
        figures.push(
            Figure::new(
                "widen_by",
                "the groove's bottom is wider than the tip by",
                length(plan.widen()),
                Source::derived("groove bottom at the aims less the tip"),
            )
            .formula("taken by the side passes"),
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
            Value::Mpa(material.kc11),
            material.force_source,
        )
        .symbol("kc1.1"),
        Figure::new("mc", "its exponent", Value::Number(plan.kienzle.mc, 2), material.force_source)
            .symbol("mc"),
        Figure::new(
            "thrust_share",
            "thrust square to an edge, of its cutting force",
            Value::Number(force::THRUST, 2),
            force::THRUST_SOURCE,
        ),
    ];
    if rake != Angle::ZERO {
        let at_rake = Figure::new(
            "kc11_rake",
            format!("the same at a rake of {:.0}°", rake.to_deg()),
            Value::Mpa(plan.kienzle.kc11),
            force::RAKE_SOURCE,
        );
        load.insert(1, at_rake.formula("kc1.1 (1 − rake / 100)"));
    }
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
        load.push(
            Figure::new("power_most", "power it takes", Value::PowerKw(p.power_kw), force::POWER_SOURCE)
                .formula("Fc π d n / (60 000 000 η)"),
        );
    }
    if plan.fit.part == Element::External {
        load.extend(hardest_of(cutting.iter().copied()).map(|p| work_gives(plan, p)));
    }
    load.push(Figure::new(
        "speed_reckoned",
        "spindle speed that time and power are reckoned for",
        Value::Rpm(plan.rpm),
        if rpm_known { Source::derived("from the lathe stage") } else { Source::choice("no lathe is known") },
    ));
    load.push(
        Figure::new("left_after", "left uncut after the last pass", Value::Length(left, Fine::Gauge), SPRING)
            .formula("spring passes go on until little is left"),
    );
    load.push(
        Figure::new(
            "size_error_left",
            "error of the pitch diameter that this leaves",
            Value::Length(left * 2.0, Fine::Gauge),
            SPRING,
        )
        .formula("twice what is left"),
    );
    load.push(
        Figure::new(
            "play_error_left",
            "play that this takes away",
            Value::Length(left * (2.0 * plan.mean_tan), Fine::Gauge),
            Source::derived("play follows the pitch diameter by tan A"),
        )
        .formula("2 tan A × what is left"),
    );
    vec![Block::Figures("Depth".to_owned(), figures), Block::Figures("Force and spring".to_owned(), load)]
}

/// The pass with the largest force.
pub(super) fn hardest_of<'a>(passes: impl IntoIterator<Item = &'a Pass>) -> Option<&'a Pass> {
    passes.into_iter().max_by(|a, b| a.force.to_newton().total_cmp(&b.force.to_newton()))
}

/// How far a screw between centres gives way at its middle, where it is softest: a beam on two supports.
fn work_gives(plan: &Course<'_>, hardest: &Pass) -> Figure {
    let fit = plan.fit;
    let core = fit.bottom.aim.to_mm();
    let moment = std::f64::consts::PI * core.powi(4) / 64.0;
    let stiffness = 48.0 * fit.stuff().modulus_mpa * moment / fit.length.to_mm().powi(3);
    let radial = plan.load(hardest.tip, hardest.depth - hardest.step, hardest.depth).radial;
    Figure::new(
        "work_gives",
        format!("what the screw itself gives way at mid-length between centres, pass {}", hardest.number),
        Value::Length(Length::mm(radial.to_newton() / stiffness), Fine::Gauge),
        Source::formula("Machinery's Handbook 31, beams supported at both ends", "F L³ / (48 E I), from memory"),
    )
    .formula("not in the spring above, which is the tool's: core diameter, thread length; use a steady, and more spring passes")
}

fn first_source(plan: &Course<'_>) -> Source {
    if plan.job.cutting.first.is_some() {
        Source::choice("set in the job")
    } else if plan.tool.carbide {
        Source::table(
            "Sumitomo catalogue 2019, p. 404; Mitsubishi Materials, internal threading page",
            "first pass 0.4 to 0.5 mm",
        )
    } else {
        Source::practice(
            "lighter than carbide: 0.05 to 0.15 mm in steel, up to 0.2 mm in bronze and the like",
        )
    }
}

fn least_source(plan: &Course<'_>) -> Source {
    if plan.job.cutting.least.is_some() {
        Source::choice("set in the job; not less than one division")
    } else if plan.tool.carbide {
        Source::table("Widia catalogue 2017", "p. 685: last passes 0.05 mm or more")
    } else {
        Source::practice("a keen high-speed steel edge cuts from 0.02 to 0.03 mm")
    }
}
