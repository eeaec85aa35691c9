//! The grind: seen on the rake face, and from the front.

use super::{WIDTH, shop, sizes_in};
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, Scale, TEXT, View, p};
use flankwise_bench::fit::Fit;
use flankwise_bench::report::{Value, show};
use flankwise_bench::tool::Tool;
use flankwise_bench::tool::grind::Side;
use flankwise_thread::{Angle, Element, Length, Unit};

const HEIGHT: f64 = 110.0;

/// Plan of the tip on its rake face, with width, included angle and length; the view against the tip with the reliefs
/// under both flanks; and the view from the side. All at one enlarged scale.
pub fn tool_grind(tool: &Tool, fit: &Fit, unit: Unit) -> Drawing {
    let mut d = Drawing::new("tool-grind", "Tool to grind", WIDTH, HEIGHT);
    let plan = Plan::of(tool);
    let tw = tool.tip_in_face.aim.to_mm();
    let tl = tool.tip_length.to_mm();
    let [left, right] = [plan.left, plan.left.other()].map(|side| tool.ground.flank(side).angle);
    // Width of the tip where it grows out of the bar.
    let spread = tl * (left.tan() + right.tan());
    let scale = Scale::largest(tw + spread, tl, 52.0, 46.0);
    let s = scale.factor;
    d.caption("Tool to grind", &format!("scale {scale}, {}", sizes_in(unit)));
    d.about = format!(
        "Tip {} wide, included angle {}, {} long; relief {} on the chuck side and {} on the tailstock side.",
        shop(tool.tip_in_face.aim, unit),
        deg(tool.ground.included()),
        shop(tool.tip_length, unit),
        deg(tool.reliefs.chuck),
        deg(tool.reliefs.tailstock)
    );

    let view = View { origin: p(48.0, 26.0 + tl * s), scale: s };
    let at = |x: f64, y: f64| view.at(x, y);
    let tip = plan.outline(tool, tool.tip_in_face.aim);
    let (base_l, base_r) = (tip[0].0, tip[tip.len() - 1].0);
    // A bar lies along the axis, its end to the chuck; a bit points across it.
    let beyond = |side: Side| match (fit.part, side) {
        (Element::Internal, Side::Tailstock) => 16.0 / s,
        _ => 4.0 / s,
    };
    let (bar_l, bar_r) = (base_l - beyond(plan.left), base_r + beyond(plan.left.other()));
    let floor = -25.0 / s;
    let corners = [at(bar_l, floor), at(bar_l, 0.0)];
    let mut outline = corners.to_vec();
    outline.extend(tip.iter().map(|&(x, y)| at(x, y)));
    outline.extend([at(bar_r, 0.0), at(bar_r, floor)]);
    d.polygon(&outline, None, Fill::Tint, Of::Tool);
    // Open where the drawing is cut off: below, and of a bar towards the tailstock.
    let open: &[P] = match (fit.part, plan.left) {
        (Element::External, _) => &outline,
        (Element::Internal, Side::Tailstock) => &outline[1..],
        (Element::Internal, Side::Chuck) => &outline[..outline.len() - 1],
    };
    d.polyline(open, Line::Wide, Of::Tool);
    d.text(p(2.0, 11.5), Anchor::Start, TEXT, true, Of::Tool, "On the rake face, from above, tip up");

    let band = format!(
        "{} ({} to {})",
        shop(tool.tip_in_face.aim, unit),
        shop(tool.tip_in_face.min, unit),
        shop(tool.tip_in_face.max, unit)
    );
    d.dim_h(at(-tw / 2.0, tl), at(tw / 2.0, tl), 21.0, band);
    let length = shop(tool.tip_length, unit);
    match plan.left {
        Side::Chuck => d.dim_v(at(bar_l, 0.0), at(-tw / 2.0, tl), at(bar_l, 0.0).x - 9.0, length),
        Side::Tailstock => d.dim_v(at(bar_r, 0.0), at(tw / 2.0, tl), at(bar_r, 0.0).x + 7.0, length),
    }
    // The flanks are drawn on into the bar until there is room for the angle between them.
    let slope = left.tan() + right.tan();
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
        let included = deg(tool.ground.included());
        d.dim_angle(vertex, reach, 90.0 - right.to_deg(), 90.0 + left.to_deg(), included);
    }
    // Angles of the single flanks only where they differ: equal ones are said by the included angle.
    if (left.to_deg() - right.to_deg()).abs() > 0.05 {
        for (a, sgn) in [(left, -1.0), (right, 1.0)] {
            let middle = at(sgn * (tw / 2.0 + tl / 2.0 * a.tan()), tl / 2.0);
            // Over the shoulder: further down stands the dimension of the tip's length.
            d.leader(middle, p(middle.x + sgn * 3.0, at(0.0, tl).y - 3.5), Of::Note, deg(a));
        }
    }
    let feed_y = 26.0 + tl * s + 31.0;
    let feed_x = at(0.0, 0.0).x;
    let dir = if tool.leads == plan.left { -1.0 } else { 1.0 };
    d.line(p(feed_x - dir * 9.0, feed_y), p(feed_x + dir * 9.0, feed_y), Line::Wide, Of::Note);
    d.arrow(p(feed_x + dir * 10.5, feed_y), p(dir, 0.0), Of::Note);
    d.text(p(feed_x, feed_y + 5.0), Anchor::Middle, TEXT, false, Of::Note, "feed");
    let side = |side: Side| if side == plan.left { "left" } else { "right" };
    let words =
        [format!("chuck on the {}", side(Side::Chuck)), format!("leading flank on the {}", side(tool.leads))];
    for (i, words) in words.into_iter().enumerate() {
        let y = feed_y + 10.0 + 5.0 * i as f64;
        d.text(p(feed_x, y), Anchor::Middle, TEXT, false, Of::Note, words);
    }

    front(&mut d, tool, s, unit);
    from_side(&mut d, tool, s, unit);
    d.trim();
    d
}

/// The tip as it is seen from above with its edge up the page. An external tool points away from the person, so the
/// chuck stays on the left; an internal one in front points to the person, and the page is turned round.
pub(super) struct Plan {
    /// The side of the tool that is drawn on the left.
    pub left: Side,
}

impl Plan {
    pub(super) fn of(tool: &Tool) -> Self {
        let left = match tool.ground.groove.element {
            Element::External => Side::Chuck,
            Element::Internal => Side::Tailstock,
        };
        Self { left }
    }

    /// Outline of the tip from its left root to its right one, mm: x from the middle of the tip, y from the bar. Straight
    /// where the flanks are, else the profile as far as it cuts; of another width than the one aimed at, moved apart.
    pub(super) fn outline(&self, tool: &Tool, width: Length) -> Vec<(f64, f64)> {
        let tl = tool.tip_length.to_mm();
        let half = width.to_mm() / 2.0;
        let straight = Side::BOTH.iter().all(|side| tool.ground.flank(*side).bow.abs() < Length::um(1.0));
        let mut points = if straight { vec![(-half, tl), (half, tl)] } else { self.curved(tool, half) };
        let root = |from: (f64, f64), side: Side, sgn: f64| {
            (from.0 + sgn * from.1 * tool.ground.flank(side).angle.tan(), 0.0)
        };
        let (first, last) = (points[0], points[points.len() - 1]);
        points.insert(0, root(first, self.left, -1.0));
        points.push(root(last, self.left.other(), 1.0));
        points
    }

    /// The profile point by point, from left to right, its tip `half` wide to either side.
    fn curved(&self, tool: &Tool, half: f64) -> Vec<(f64, f64)> {
        let tl = tool.tip_length.to_mm();
        let apart = half - tool.tip_in_face.aim.to_mm() / 2.0;
        let mut points: Vec<(f64, f64)> = tool
            .ground
            .points
            .iter()
            .map(|(along, out)| (-self.left.sign() * along.to_mm(), tl - out.to_mm().abs()))
            .map(|(x, y)| (x + apart * x.signum(), y))
            .collect();
        if self.left == Side::Chuck {
            points.reverse();
        }
        points
    }
}

/// Against the tip: the edge above, the reliefs below it. Left and right are those of the plan, turned over.
fn front(d: &mut Drawing, tool: &Tool, s: f64, unit: Unit) {
    let tw = tool.tip_in_face.aim.to_mm();
    // A narrow tip would come to a point below: it is shown down to a quarter of its width.
    let closing = (tool.reliefs.chuck.tan() + tool.reliefs.tailstock.tan()).max(1e-6);
    let depth = (34.0 / s).min(0.75 * tw / closing);
    let sides = [Plan::of(tool).left.other(), Plan::of(tool).left];
    let [left, right] = sides.map(|side| tool.reliefs.on(side));
    let view = View { origin: p(112.0, 26.0), scale: s };
    let at = |x: f64, y: f64| view.at(x, y);
    let low_l = -tw / 2.0 + depth * left.tan();
    let low_r = tw / 2.0 - depth * right.tan();
    let outline = [at(low_l, -depth), at(-tw / 2.0, 0.0), at(tw / 2.0, 0.0), at(low_r, -depth)];
    d.polygon(&outline, None, Fill::Tint, Of::Tool);
    d.polyline(&outline, Line::Wide, Of::Tool);
    d.text(p(88.0, 11.5), Anchor::Start, TEXT, true, Of::Tool, "Against the tip");
    for (x, a, sgn, side) in [(-tw / 2.0, left, -1.0, sides[0]), (tw / 2.0, right, 1.0, sides[1])] {
        let corner = at(x, 0.0);
        d.line(corner, corner + p(0.0, depth * s + 4.0), Line::Centre, Of::Note);
        let half = corner + p(-sgn * a.tan() * depth * s * 0.6, depth * s * 0.6);
        let elbow = p(corner.x + sgn * 5.0, half.y - 6.0);
        d.leader(half, elbow, Of::Note, deg(a));
        let at = p(elbow.x + sgn * 2.8, elbow.y + 6.5);
        let anchor = if sgn > 0.0 { Anchor::Start } else { Anchor::End };
        let role = if side == tool.leads { "leads" } else { "follows" };
        d.text(at, anchor, TEXT, false, Of::Note, side.word());
        d.text(at + p(0.0, 4.2), anchor, TEXT, false, Of::Note, role);
    }
    let stance = &tool.stance;
    let mut rows = vec![
        format!("Corners: radius up to {}", shop(tool.corner.most, unit)),
        format!("Reliefs count the lead angle, {}", deg(tool.lead_angle)),
        match (tool.heel.to_mm() > 0.0, tool.second_relief) {
            (true, Some(second)) => format!(
                "Front {} down to {}, then {}",
                deg(tool.front_clearance),
                shop(second.from, unit),
                deg(second.angle)
            ),
            (true, None) => {
                format!("Front clearance {}, heel {}", deg(tool.front_clearance), shop(tool.heel, unit))
            }
            _ => format!("Front clearance {}", deg(tool.front_clearance)),
        },
        format!("Back rake {}", deg(stance.rake)),
    ];
    if stance.height != Length::ZERO {
        rows.push(format!("Edge {} above centre", shop(stance.height, unit)));
    }
    if stance.cant != Angle::ZERO || stance.tilt != Angle::ZERO {
        rows.push(format!("Canted {}, tilted {}", deg(stance.cant), deg(stance.tilt)));
    }
    for (i, row) in rows.into_iter().enumerate() {
        let y = 72.0 + 5.0 * i as f64;
        d.text(p(88.0, y), Anchor::Start, TEXT, false, Of::Note, row);
    }
}

/// From the side: front clearance and heel.
fn from_side(d: &mut Drawing, tool: &Tool, s: f64, unit: Unit) {
    let view = View { origin: p(169.0, 26.0), scale: s };
    let at = |x: f64, y: f64| view.at(x, y);
    // With a second relief the tip goes on down to the bar's middle; else it ends at the heel. No bore, no heel to
    // grind; and one beyond the paper is shown cut off.
    let second = tool.second_relief;
    let tall = second.map_or(tool.heel, |_| tool.shank.edge_height()).to_mm();
    let whole = tall > 0.0 && tall * s <= 36.0;
    let shown = if whole { tall } else { 34.0 / s };
    let knee = second.map_or(shown, |second| second.from.to_mm().min(shown));
    let at_knee = -knee * tool.front_clearance.tan();
    let foot = at_knee - (shown - knee) * second.map_or(0.0, |second| second.angle.tan());
    let back = -24.0 / s;
    // Rake tips the face: with a positive one it falls toward the bar.
    let face = back * tool.stance.rake.tan();
    let mut outline = vec![at(back, face), at(0.0, 0.0), at(at_knee, -knee), at(foot, -shown)];
    if whole {
        outline.push(at(back, -shown));
    }
    let mut area = outline.clone();
    if !whole {
        area.push(at(back, -shown));
    }
    d.polygon(&area, None, Fill::Tint, Of::Tool);
    d.polyline(&outline, Line::Wide, Of::Tool);
    d.text(p(146.0, 11.5), Anchor::Start, TEXT, true, Of::Tool, "From the side");
    let corner = at(0.0, 0.0);
    d.line(corner, corner + p(0.0, shown * s + 4.0), Line::Centre, Of::Note);
    let half = at(at_knee * 0.5, -knee * 0.5);
    d.leader(half, half + p(-5.0, -4.0), Of::Note, deg(tool.front_clearance));
    if let Some(second) = second {
        let half = at(0.5 * (at_knee + foot), -0.5 * (knee + shown));
        // Below, clear of the words of the view beside it.
        d.leader(half, half + p(-5.0, 4.0), Of::Note, deg(second.angle));
    }
    // Short ones are named in the words below only.
    if whole && knee * s > 10.0 {
        d.dim_v(corner, at(at_knee, -knee), 176.5, shop(Length::mm(knee), unit));
    }
}

pub(super) fn deg(a: Angle) -> String {
    show::value(&Value::Angle(a, 1), Unit::Mm)
}
