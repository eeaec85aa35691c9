//! A template to check the grind against: true size, and enlarged.

use super::tool::{Plan, deg};
use super::{WIDTH, shop, sizes_in};
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, SMALL, Scale, TEXT, View, p};
use flankwise_bench::report::{Value, show};
use flankwise_bench::tool::Tool;
use flankwise_thread::{Length, Unit};

const HEIGHT: f64 = 112.0;

/// The tip's form 1:1 to cut out, and enlarged (10:1 where that fits) over a grid of millimetres, with the
/// narrowest and the widest tip that may be ground; bars to check that the printer kept the scale.
pub fn template(tool: &Tool, unit: Unit) -> Drawing {
    let mut d = Drawing::new("template", "Template to check the grind", WIDTH, HEIGHT);
    let tl = tool.tip_length.to_mm();
    let plan = Plan::of(tool);
    let slope = tool.ground.chuck.angle.tan() + tool.ground.tailstock.angle.tan();
    let widest = tool.tip_in_face.max.to_mm() + tl * slope;
    let big = if 10.0 * widest <= 120.0 && 10.0 * tl <= 62.0 {
        Scale { factor: 10.0 }
    } else {
        Scale::largest(widest, tl, 120.0, 62.0)
    };
    d.caption("Template to check the grind", &format!("1:1 and {big}, {}", sizes_in(unit)));
    d.about = format!(
        "The form of the tip: {} wide, {} included, {} long, at true size and at {big}.",
        shop(tool.tip_in_face.aim, unit),
        deg(tool.ground.included()),
        shop(tool.tip_length, unit)
    );

    // True size: a notch in a straight edge, to be cut out of thin sheet or card.
    let view = View { origin: p(26.0, 24.0), scale: 1.0 };
    let form = |view: &View, width: Length| -> Vec<P> {
        plan.outline(tool, width).into_iter().map(|(x, y)| view.at(x, y)).collect()
    };
    let notch = form(&view, tool.tip_in_face.aim);
    let mut edge = vec![p(6.0, 24.0)];
    edge.extend(notch);
    edge.extend([p(46.0, 24.0), p(46.0, 10.0), p(6.0, 10.0)]);
    d.polygon(&edge, Some(Line::Narrow), Fill::Tint, Of::Tool);
    d.text(p(6.0, 29.5), Anchor::Start, TEXT, true, Of::Tool, "1:1");
    d.text(p(13.0, 29.5), Anchor::Start, TEXT, false, Of::Note, "cut out, hold over the tip from above");

    // Enlarged, over a grid of the object's own unit.
    let (cell, grid_words) = match unit {
        Unit::Mm => (1.0, "grid 1 mm of the tool"),
        Unit::Inch => (1.27, "grid 0.05 in of the tool"),
    };
    let k = big.factor;
    let base = 40.0 + tl * k;
    let view = View { origin: p(72.0, base), scale: k };
    let cols = (widest / 2.0 / cell).ceil() as i32 + 1;
    let half = f64::from(cols) * cell;
    for i in -cols..=cols {
        let x = view.at(f64::from(i) * cell, 0.0).x;
        d.line(p(x, base - (tl.ceil() * k).min(tl * k + 4.0)), p(x, base), Line::Hair, Of::Faint);
    }
    for j in 0..=((tl / cell).floor() as i32) {
        let y = view.at(0.0, f64::from(j) * cell).y;
        d.line(p(view.at(-half, 0.0).x, y), p(view.at(half, 0.0).x, y), Line::Hair, Of::Faint);
    }
    for (width, line, of) in [
        (tool.tip_in_face.min, Line::Phantom, Of::Book),
        (tool.tip_in_face.max, Line::Phantom, Of::Book),
        (tool.tip_in_face.aim, Line::Wide, Of::Tool),
    ] {
        d.polyline(&form(&view, width), line, of);
    }
    d.line(view.at(-half, 0.0), view.at(half, 0.0), Line::Narrow, Of::Tool);
    for (side, x, anchor) in [(plan.left, -half, Anchor::Start), (plan.left.other(), half, Anchor::End)] {
        d.text(
            view.at(x, 0.0) + p(0.0, 3.2),
            anchor,
            SMALL,
            false,
            Of::Note,
            format!("{} side", side.word()),
        );
    }
    let x = view.at(half, 0.0).x + 6.0;
    let rows = [
        (Of::Tool, true, format!("{big}")),
        (Of::Tool, false, format!("tip {}", shop(tool.tip_in_face.aim, unit))),
        (
            Of::Book,
            false,
            format!("limits {} to {}", shop(tool.tip_in_face.min, unit), shop(tool.tip_in_face.max, unit)),
        ),
        (Of::Note, false, format!("included angle {}", deg(tool.ground.included()))),
        (Of::Note, false, format!("length {}", shop(tool.tip_length, unit))),
        (Of::Faint, false, grid_words.to_owned()),
    ];
    for (i, (of, bold, row)) in rows.into_iter().enumerate() {
        d.text(p(x, 44.0 + 5.2 * i as f64), Anchor::Start, TEXT, bold, of, row);
    }

    bar(
        &mut d,
        p(74.0, 14.0),
        10.0,
        5,
        Value::Length(Length::mm(50.0), flankwise_bench::report::Fine::Coarse),
        Unit::Mm,
    );
    bar(
        &mut d,
        p(74.0, 25.0),
        25.4,
        2,
        Value::Length(Length::inch(2.0), flankwise_bench::report::Fine::Coarse),
        Unit::Inch,
    );
    d.text(
        p(2.0, (base + 7.0).max(79.0)),
        Anchor::Start,
        SMALL * 1.2,
        false,
        Of::Note,
        "Print at 100 %, not fitted to the page, and measure both bars with a calliper before you trust the template.",
    );
    d.trim();
    d
}

/// A bar of `steps` steps of `step` mm, named with its whole length.
fn bar(d: &mut Drawing, at: P, step: f64, steps: u32, whole: Value, unit: Unit) {
    for i in 0..steps {
        let a = at + p(step * f64::from(i), 0.0);
        let fill = if i % 2 == 0 { Fill::Solid } else { Fill::None };
        d.rect(a, a + p(step, 2.0), Some(Line::Hair), fill, Of::Note);
    }
    let end = at + p(step * f64::from(steps), 0.0);
    d.line(at + p(0.0, -1.5), at + p(0.0, 3.5), Line::Narrow, Of::Note);
    d.line(end + p(0.0, -1.5), end + p(0.0, 3.5), Line::Narrow, Of::Note);
    let words = format!("must measure {}", show::value(&whole, unit));
    d.text(end + p(2.5, 2.4), Anchor::Start, TEXT, false, Of::Note, words);
}
