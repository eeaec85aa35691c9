//! The grind: seen on the rake face, and from the front.

use super::{WIDTH, shop, sizes_in};
use crate::drawing::{Drawing, Fill, Line, Of, Scale, TEXT, View, p};
use flankwise_bench::fit::Fit;
use flankwise_bench::report::{Value, show};
use flankwise_bench::tool::Tool;
use flankwise_thread::{Angle, Hand, Unit};

const HEIGHT: f64 = 110.0;

/// Plan of the tip on its rake face, with width, included angle and length; and the view from the front with the
/// reliefs under both flanks. Both at one enlarged scale.
pub fn tool_grind(tool: &Tool, fit: &Fit, unit: Unit) -> Drawing {
    let mut d = Drawing::new("tool-grind", "Tool to grind", WIDTH, HEIGHT);
    let tw = tool.tip_width.aim.to_mm();
    let tl = tool.tip_length.to_mm();
    let (lead, trail) = (tool.flank_leading, tool.flank_trailing);
    // Width of the tip where it grows out of the bar.
    let spread = tl * (lead.tan() + trail.tan());
    let scale = Scale::largest(tw + spread, tl, 52.0, 46.0);
    let s = scale.factor;
    d.caption("Tool to grind", &format!("scale {scale}, {}", sizes_in(unit)));
    d.about = format!(
        "Tip {} wide, included angle {}, {} long; relief {} under the leading flank and {} under the following one.",
        shop(tool.tip_width.aim, unit),
        deg(tool.included_angle),
        shop(tool.tip_length, unit),
        deg(tool.relief_leading),
        deg(tool.relief_trailing)
    );

    // The feed runs toward the headstock for a right-hand thread: the leading flank is on the left, else the
    // right.
    let right_hand = fit.thread.hand == Hand::Right;
    let (left, right) = if right_hand { (lead, trail) } else { (trail, lead) };
    let view = View { origin: p(48.0, 26.0 + tl * s), scale: s };
    let at = |x: f64, y: f64| view.at(x, y);
    let base_l = -tw / 2.0 - tl * left.tan();
    let base_r = tw / 2.0 + tl * right.tan();
    let bar_end = base_l - 4.0 / s;
    let bar_out = base_r + 16.0 / s;
    let floor = -25.0 / s;
    let outline = [
        at(bar_end, floor),
        at(bar_end, 0.0),
        at(base_l, 0.0),
        at(-tw / 2.0, tl),
        at(tw / 2.0, tl),
        at(base_r, 0.0),
        at(bar_out, 0.0),
    ];
    let mut area = outline.to_vec();
    area.push(at(bar_out, floor));
    d.polygon(&area, None, Fill::Tint, Of::Tool);
    d.polyline(&outline, Line::Wide, Of::Tool);
    d.text(p(2.0, 11.5), crate::drawing::Anchor::Start, TEXT, true, Of::Tool, "On the rake face, from above");

    let band = format!(
        "{} ({} to {})",
        shop(tool.tip_width.aim, unit),
        shop(tool.tip_width.min, unit),
        shop(tool.tip_width.max, unit)
    );
    d.dim_h(at(-tw / 2.0, tl), at(tw / 2.0, tl), 21.0, band);
    d.dim_v(at(bar_end, 0.0), at(-tw / 2.0, tl), at(bar_end, 0.0).x - 9.0, shop(tool.tip_length, unit));
    // The flanks are drawn on into the bar until there is room for the angle between them.
    let slope = lead.tan() + trail.tan();
    if slope > 0.02 {
        let above = tw / slope;
        let x = -tw / 2.0 + above * left.tan();
        let vertex = at(x, tl + above);
        let reach = (above + tl) * s + 7.0;
        for (a, sgn) in [(left, -1.0), (right, 1.0)] {
            let end = reach * 1.03;
            d.line(
                vertex + p(sgn * a.tan() * (above + tl) * s, (above + tl) * s),
                vertex + p(sgn * a.tan() * end, end),
                Line::Narrow,
                Of::Note,
            );
        }
        d.dim_angle(vertex, reach, 90.0 - right.to_deg(), 90.0 + left.to_deg(), deg(tool.included_angle));
    }
    // Angles of the single flanks only where they differ: equal ones are said by the included angle.
    if (left.to_deg() - right.to_deg()).abs() > 0.05 {
        let middle = |foot: f64, tip: f64| at((foot + tip) / 2.0, tl / 2.0);
        // Over the left shoulder: further down stands the dimension of the tip's length.
        let left_flank = middle(base_l, -tw / 2.0);
        d.leader(left_flank, p(left_flank.x - 3.0, at(0.0, tl).y - 3.5), Of::Note, deg(left));
        d.leader(
            middle(base_r, tw / 2.0),
            at(bar_out, tl * 0.9),
            Of::Note,
            format!("{} to the square", deg(right)),
        );
    }
    let feed_y = 26.0 + tl * s + 31.0;
    let feed_x = at(0.0, 0.0).x;
    let dir = if right_hand { -1.0 } else { 1.0 };
    d.line(p(feed_x - dir * 9.0, feed_y), p(feed_x + dir * 9.0, feed_y), Line::Wide, Of::Note);
    d.arrow(p(feed_x + dir * 10.5, feed_y), p(dir, 0.0), Of::Note);
    d.text(p(feed_x, feed_y + 5.0), crate::drawing::Anchor::Middle, TEXT, false, Of::Note, "feed");
    let side = if right_hand { "leading flank on the left" } else { "leading flank on the right" };
    d.text(p(feed_x, feed_y + 10.0), crate::drawing::Anchor::Middle, TEXT, false, Of::Note, side);

    front(&mut d, tool, s, right_hand, unit);
    from_side(&mut d, tool, s, unit);
    d.trim();
    d
}

/// From the front: the edge above, the reliefs below it.
fn front(d: &mut Drawing, tool: &Tool, s: f64, right_hand: bool, unit: Unit) {
    let tw = tool.tip_width.aim.to_mm();
    // A narrow tip would come to a point below: it is shown down to a quarter of its width.
    let closing = (tool.relief_leading.tan() + tool.relief_trailing.tan()).max(1e-6);
    let depth = (34.0 / s).min(0.75 * tw / closing);
    let (left, right) = if right_hand {
        (tool.relief_leading, tool.relief_trailing)
    } else {
        (tool.relief_trailing, tool.relief_leading)
    };
    let view = View { origin: p(112.0, 26.0), scale: s };
    let at = |x: f64, y: f64| view.at(x, y);
    let low_l = -tw / 2.0 + depth * left.tan();
    let low_r = tw / 2.0 - depth * right.tan();
    let outline = [at(low_l, -depth), at(-tw / 2.0, 0.0), at(tw / 2.0, 0.0), at(low_r, -depth)];
    d.polygon(&outline, None, Fill::Tint, Of::Tool);
    d.polyline(&outline, Line::Wide, Of::Tool);
    d.text(p(88.0, 11.5), crate::drawing::Anchor::Start, TEXT, true, Of::Tool, "From the front");
    for (x, a, sgn, name) in [
        (-tw / 2.0, left, -1.0, if right_hand { "leading" } else { "following" }),
        (tw / 2.0, right, 1.0, if right_hand { "following" } else { "leading" }),
    ] {
        let corner = at(x, 0.0);
        d.line(corner, corner + p(0.0, depth * s + 4.0), Line::Centre, Of::Note);
        let half = corner + p(-sgn * a.tan() * depth * s * 0.6, depth * s * 0.6);
        let elbow = p(corner.x + sgn * 5.0, half.y - 6.0);
        d.leader(half, elbow, Of::Note, deg(a));
        let at = p(elbow.x + sgn * 2.8, elbow.y + 6.5);
        let anchor = if sgn > 0.0 { crate::drawing::Anchor::Start } else { crate::drawing::Anchor::End };
        d.text(at, anchor, TEXT, false, Of::Note, name);
    }
    let rows = [
        format!("Corners: radius up to {}", shop(tool.corner_radius, unit)),
        format!("Reliefs count the lead angle, {}", deg(tool.lead_angle)),
        if tool.heel.to_mm() > 0.0 {
            format!("Front clearance {}, heel {}", deg(tool.front_clearance), shop(tool.heel, unit))
        } else {
            format!("Front clearance {}", deg(tool.front_clearance))
        },
        format!("Back rake {}", deg(tool.rake)),
    ];
    for (i, row) in rows.into_iter().enumerate() {
        let y = 72.0 + 5.0 * i as f64;
        d.text(p(88.0, y), crate::drawing::Anchor::Start, TEXT, false, Of::Note, row);
    }
}

/// From the side: front clearance and heel.
fn from_side(d: &mut Drawing, tool: &Tool, s: f64, unit: Unit) {
    let view = View { origin: p(169.0, 26.0), scale: s };
    let at = |x: f64, y: f64| view.at(x, y);
    // No bore, no heel to grind; and one beyond the paper is shown cut off.
    let whole = tool.heel.to_mm() > 0.0 && tool.heel.to_mm() * s <= 36.0;
    let heel = if whole { tool.heel.to_mm() } else { 34.0 / s };
    let back = -24.0 / s;
    let foot = -heel * tool.front_clearance.tan();
    // Rake tips the face: with a positive one it falls toward the bar.
    let face = back * tool.rake.tan();
    let mut outline = vec![at(back, face), at(0.0, 0.0), at(foot, -heel)];
    if whole {
        outline.push(at(back, -heel));
    }
    let mut area = outline.clone();
    if !whole {
        area.push(at(back, -heel));
    }
    d.polygon(&area, None, Fill::Tint, Of::Tool);
    d.polyline(&outline, Line::Wide, Of::Tool);
    d.text(p(146.0, 11.5), crate::drawing::Anchor::Start, TEXT, true, Of::Tool, "From the side");
    let corner = at(0.0, 0.0);
    d.line(corner, corner + p(0.0, heel * s + 4.0), Line::Centre, Of::Note);
    let half = at(foot * 0.5, -heel * 0.5);
    d.leader(half, half + p(-5.0, -4.0), Of::Note, deg(tool.front_clearance));
    // Short ones are named in the words below only.
    if whole && heel * s > 10.0 {
        d.dim_v(corner, at(foot, -heel), 176.5, shop(tool.heel, unit));
    }
}

pub(super) fn deg(a: Angle) -> String {
    show::value(&Value::Angle(a, 1), Unit::Mm)
}
