//! The bar in the bore: from the end, and along the axis.

use super::tool::deg;
use super::{WIDTH, sizes_in};
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, Scale, TEXT, View, p};
use crate::paper::fitted;
use flankwise_bench::fit::Fit;
use flankwise_bench::report::{Fine, Value, show};
use flankwise_bench::tool::bar::Section;
use flankwise_bench::tool::{BarTrial, Tool};
use flankwise_thread::{Element, Length, Unit};

const HEIGHT: f64 = 92.0;

/// The bar that is used, in its cutting place and drawn back, within the bore; and how far it sticks out.
/// None for a screw, whose tool has no bore to enter, and where no bar can carry it.
pub fn bar_in_bore(tool: &Tool, fit: &Fit, unit: Unit) -> Option<Drawing> {
    if fit.part == Element::External || !tool.carried() {
        return None;
    }
    let mut d = Drawing::new("bar-in-bore", "Bar in the bore", WIDTH, HEIGHT);
    let trial = tool.bar.and_then(|i| tool.bars.get(i));
    let shank = &tool.shank;
    let bore = fit.blank.aim.to_mm() / 2.0;
    let groove = fit.bottom.aim.to_mm() / 2.0;
    let thick = shank.section_at(Length::ZERO).size.to_mm();
    let tip = tool.tip_length.to_mm();
    let coarse = |l: Length| show::length_number(l, Fine::Coarse, unit);

    let end = Scale::largest(2.0 * groove, 2.0 * groove, 66.0, 62.0);
    let relief = fit.relief.map_or(0.0, Length::to_mm);
    let past = tool.past_the_end.to_mm();
    let length = fit.length.to_mm() + past.max(relief);
    let reach = tool.stick_out.to_mm();
    let along = Scale::largest(length.max(reach) + 14.0, 2.4 * groove, 84.0, 52.0);
    d.caption("Bar in the bore", &format!("end view {end}, along the axis {along}, {}", sizes_in(unit)));
    let which = match trial {
        Some(t) => format!("bar of {}", show::value(&Value::Length(t.bar.size, Fine::Coarse), unit)),
        None => format!("bar to get, {}", show::value(&Value::Length(shank.size, Fine::Coarse), unit)),
    };
    d.about = format!("The {which} in its cutting place, sticking out {}.", coarse(tool.stick_out));

    // From the end: axis at the origin, tip at the right, edge on centre.
    let view = View { origin: p(36.0, 45.0), scale: end.factor };
    let at = |x: f64, y: f64| view.at(x, y);
    let k = end.factor;
    let far = groove.max(bore);
    d.line(at(-far, 0.0) - p(3.0, 0.0), at(far, 0.0) + p(3.0, 0.0), Line::Centre, Of::Note);
    d.line(at(0.0, far) - p(0.0, 3.0), at(0.0, -far) + p(0.0, 3.0), Line::Centre, Of::Note);
    d.circle(at(0.0, 0.0), groove * k, Some(Line::Narrow), Fill::None, Of::Part);
    d.circle(at(0.0, 0.0), bore * k, Some(Line::Wide), Fill::None, Of::Part);
    let edge = groove - tip;
    let centre = edge - thick / 2.0;
    let section = |d: &mut Drawing, of: Section, centre: f64, line: Line, fill: Fill| {
        let points: Vec<_> = of.outline().into_iter().map(|(x, y)| at(centre + x, y)).collect();
        d.polygon(&points, Some(line), fill, Of::Tool);
    };
    // What is thicker further back stands in the bore too.
    let inside = fit.length + tool.past_the_end;
    let (front, mouth) = (shank.section_at(Length::ZERO), shank.section_at(inside));
    if mouth != front {
        section(&mut d, mouth, centre, Line::Narrow, Fill::None);
    }
    section(&mut d, front, centre, Line::Wide, Fill::Tint);
    // Drawn back until the tip is free of the bore.
    section(&mut d, front, centre - (groove - bore), Line::Phantom, Fill::None);
    let heel = tool.heel.to_mm();
    let slant = heel * tool.front_clearance.tan();
    let tool_tip = [
        at(edge - thick * 0.15, 0.0),
        at(groove, 0.0),
        at(groove - slant, -heel),
        at(edge - thick * 0.05, -heel),
    ];
    d.polygon(&tool_tip, Some(Line::Wide), Fill::Paper, Of::Tool);
    d.leader(
        at(groove - slant / 2.0, -heel / 2.0),
        p(at(far, 0.0).x - 0.5, 45.0 + far * k * 0.75 + 4.0),
        Of::Note,
        format!("{} front", deg(tool.front_clearance)),
    );
    let low = at(0.0, -far).y + 4.0;
    let room = match trial {
        Some(t) if t.passes() => {
            format!("Drawn back, {} of room is left", show::value(&Value::Length(t.room, Fine::Shop), unit))
        }
        Some(t) => t.words.clone(),
        None => format!("No bar of the job passes: {which}"),
    };
    {
        let of = if trial.is_some_and(BarTrial::passes) { Of::Note } else { Of::Warn };
        d.text(p(2.0, low + 7.0), Anchor::Start, TEXT, false, of, fitted(&room, false, TEXT, 176.0));
    }

    // Along the axis: the mouth of the bore at x = 0, its far end at the left.
    let k = along.factor;
    let view = View { origin: p(90.0 + (length + 3.0) * k, 45.0), scale: k };
    let at = |x: f64, y: f64| view.at(x, y);
    let wall = groove + 6.0 / k;
    let thread_end = -fit.length.to_mm();
    {
        for s in [1.0, -1.0] {
            let ring = [
                at(0.0, s * bore),
                at(thread_end, s * bore),
                at(thread_end, s * groove),
                at(thread_end - relief, s * groove),
                at(thread_end - relief, s * wall),
                at(0.0, s * wall),
            ];
            let ring: Vec<_> = if relief > 0.0 { ring.to_vec() } else { [&ring[..2], &ring[4..]].concat() };
            d.hatch(&ring, 45.0, 2.0, Of::Part);
            d.polygon(&ring, Some(Line::Wide), Fill::None, Of::Part);
            d.line(at(0.0, s * groove), at(thread_end, s * groove), Line::Narrow, Of::Part);
        }
        d.line(at(4.0 / k, 0.0), at(thread_end - relief - 4.0 / k, 0.0), Line::Centre, Of::Note);
        let tw = tool.tip_width.aim.to_mm();
        let slope = |a: flankwise_thread::Angle| tip * a.tan();
        // The chuck is on the left.
        let (back_l, back_r) = (slope(tool.ground.groove.chuck), slope(tool.ground.groove.tailstock));
        // As the carriage stands: the front of the tool as far past the end of the thread as it comes.
        let x0 = thread_end - past;
        let mut bar = vec![
            at(x0 + tw + back_l + back_r, edge),
            at(x0 + tw + back_l, groove),
            at(x0 + back_l, groove),
            at(x0, edge),
        ];
        let middle = edge - thick / 2.0;
        // Down the far end, along the bottom to the holder and back along the top, thickness as it comes.
        let sides: Vec<(f64, f64)> = shank
            .steps(tool.stick_out)
            .windows(2)
            .flat_map(|w| [w[0] + (w[1] - w[0]) * 1e-6, w[1] - (w[1] - w[0]) * 1e-6])
            .map(|z| (x0 + z.to_mm(), shank.section_at(z).size.to_mm() / 2.0))
            .collect();
        bar.extend(sides.iter().map(|&(x, half)| at(x, middle - half)));
        bar.extend(
            sides
                .iter()
                .rev()
                .filter(|(x, _)| *x > x0 + tw + back_l + back_r)
                .map(|&(x, half)| at(x, middle + half)),
        );
        let held = shank.size.to_mm() / 2.0;
        d.polygon(&bar, None, Fill::Paper, Of::Tool);
        d.polygon(&bar, Some(Line::Wide), Fill::Tint, Of::Tool);
        let hold = [at(x0 + reach, middle + held + 1.0), at(x0 + reach, middle - held - 1.0)];
        d.rect(hold[0], hold[1] + p(4.0, 0.0), Some(Line::Wide), Fill::Solid, Of::Tool);
        let y = at(0.0, -wall).y + 8.0;
        let mouth = format!("stick-out {}", coarse(tool.stick_out));
        d.dim_h(at(x0, edge - thick), at(x0 + reach, edge - thick), y, mouth);
        let y = at(0.0, wall).y - 5.0;
        d.dim_h(at(thread_end, wall), at(0.0, wall), y, coarse(fit.length));
        let holder = x0 + reach;
        if holder > 0.0 {
            let words = format!("clear {}", coarse(Length::mm(holder)));
            d.dim_h(at(0.0, wall), at(holder, middle + held), y, words);
        }
        let (far, words) = if relief > 0.0 { (relief, "relief") } else { (past, "past the end") };
        if far > 0.0 {
            let words = format!("{words} {}", coarse(Length::mm(far)));
            d.dim_h(at(thread_end - far, wall), at(thread_end, wall), y - 6.0, words);
        }
    }
    d.trim();
    Some(d)
}
