//! The part from its front face: where holes, keyways and flats stand round it.

use super::{WIDTH, hole_words, limits, shop, sizes_in};
use crate::drawing::{Drawing, Fill, Line, Of, P, Scale, View, p};
use flankwise_bench::fit::Fit;
use flankwise_bench::fit::keys::Way;
use flankwise_bench::job::{Hole, HoleKind, Job};
use flankwise_bench::report::{Value, show};
use flankwise_thread::{Angle, Element, Length, Unit};

const HEIGHT: f64 = 92.0;

/// View of a nut on its front face. None where nothing stands round it, or its body is not known or too small.
pub fn part_end(job: &Job, fit: &Fit, unit: Unit) -> Option<Drawing> {
    let body = &job.make.body;
    let placed: Vec<(&Hole, Angle)> = body.holes.iter().filter_map(|h| Some((h, h.angle?))).collect();
    let round = !placed.is_empty() || !fit.keyways.is_empty() || body.flats.is_some();
    let outside =
        fit.body.map(|b| b.aim).or(body.outside).filter(|_| round && fit.part == Element::Internal)?;
    if outside <= fit.bottom.aim {
        return None;
    }
    let mut d = Drawing::new("part-end", "Nut from the front", WIDTH, HEIGHT);
    let flange = body.flange.filter(|f| *f > outside);
    let across = flange.unwrap_or(outside).to_mm();
    let scale = Scale::largest(across, across, 62.0, 62.0);
    d.caption(
        "Nut from the front",
        &format!("angles clockwise from the top, scale {scale}, {}", sizes_in(unit)),
    );
    d.about = format!(
        "The nut seen on its front face: {} placed holes, {} keyways.",
        placed.len(),
        fit.keyways.len()
    );
    let view = View { origin: p(44.0, 47.0), scale: scale.factor };
    let face = Face { view, outside: outside.to_mm() / 2.0, unit };
    let centre = view.at(0.0, 0.0);
    let mut ring = |diameter: Length, line| {
        d.circle(centre, diameter.to_mm() / 2.0 * scale.factor, Some(line), Fill::None, Of::Part);
    };
    if let Some(flange) = flange {
        ring(flange, Line::Wide);
    }
    ring(outside, if flange.is_some() { Line::Hidden } else { Line::Wide });
    ring(fit.blank.aim, Line::Wide);
    // Root of the thread: a continuous narrow circle, open for a quarter (ISO 6410-1).
    let root = fit.bottom.aim.to_mm() / 2.0;
    let open: Vec<P> = (0..=54).map(|i| face.at(Angle::deg(95.0 + 5.0 * f64::from(i)), root)).collect();
    d.polyline(&open, Line::Narrow, Of::Part);
    let reach = across / 2.0;
    for (a, b) in [(0.0, 180.0), (90.0, 270.0)] {
        let end = |angle| face.at(Angle::deg(angle), reach + 4.0 / scale.factor);
        d.line(end(a), end(b), Line::Centre, Of::Note);
    }
    let mut names = Vec::new();
    for (hole, angle) in placed {
        names.push(face.hole(&mut d, hole, angle));
    }
    for way in &fit.keyways {
        names.push(face.keyway(&mut d, way));
    }
    if let Some(flats) = body.flats.filter(|f| f.to_mm() < across) {
        let (half, long) =
            (flats.to_mm() / 2.0, ((across / 2.0).powi(2) - (flats.to_mm() / 2.0).powi(2)).sqrt());
        for x in [half, -half] {
            d.line(view.at(x, long), view.at(x, -long), Line::Wide, Of::Part);
        }
        names.push((view.at(half, long * 0.5), format!("{} across flats", shop(flats, unit))));
    }
    let words = fit.body.map_or_else(|| shop(outside, unit), |b| limits(b, unit));
    names.push((face.at(Angle::deg(60.0), face.outside), format!("body Ø{words}")));
    let x_text = view.at(reach, 0.0).x + 14.0;
    d.callouts(x_text, names.into_iter().map(|(tip, words)| (tip, tip.y, Of::Part, words)).collect());
    d.trim();
    Some(d)
}

/// The face, and where things stand on it.
struct Face {
    view: View,
    /// Radius of the body.
    outside: f64,
    unit: Unit,
}

impl Face {
    /// A place at so much round from the top, clockwise, and so far from the axis.
    fn at(&self, round: Angle, radius: f64) -> P {
        self.view.at(radius * round.sin(), radius * round.cos())
    }

    /// A place beside the radius at `round`: `side` across it, clockwise, and `radius` along it.
    fn beside(&self, round: Angle, side: f64, radius: f64) -> P {
        let (sin, cos) = (round.sin(), round.cos());
        self.view.at(radius * sin + side * cos, radius * cos - side * sin)
    }

    /// Draws a hole, or all of its circle; gives where to name it from.
    fn hole(&self, d: &mut Drawing, hole: &Hole, angle: Angle) -> (P, String) {
        let r = hole.diameter.to_mm() / 2.0;
        let words = format!("{} at {}", hole_words(hole, self.unit), degrees(angle));
        if hole.kind == HoleKind::Flange {
            let circle = hole.from_end.to_mm() / 2.0;
            let step = 360.0 / f64::from(hole.count.max(1));
            for i in 0..hole.count.max(1) {
                let centre = self.at(Angle::deg(angle.to_deg() + step * f64::from(i)), circle);
                d.circle(centre, r * self.view.scale, Some(Line::Wide), Fill::Paper, Of::Part);
            }
            return (self.at(angle, circle), words);
        }
        let inner = match (hole.kind, hole.depth) {
            (HoleKind::Spot, Some(depth)) => self.outside - depth.to_mm(),
            (HoleKind::Cross, _) => -self.outside,
            _ => 0.0,
        };
        for side in [r, -r] {
            let (a, b) = (self.beside(angle, side, self.outside), self.beside(angle, side, inner));
            d.line(a, b, Line::Hidden, Of::Part);
        }
        if inner > 0.0 {
            d.line(self.beside(angle, r, inner), self.beside(angle, -r, inner), Line::Hidden, Of::Part);
        }
        (self.at(angle, self.outside), words)
    }

    fn keyway(&self, d: &mut Drawing, way: &Way) -> (P, String) {
        let (half, depth) = (way.width.to_mm() / 2.0, way.depth.to_mm());
        let edge = (self.outside * self.outside - half * half).max(0.0).sqrt();
        let bottom = self.outside - depth;
        let corners = [(half, edge), (half, bottom), (-half, bottom), (-half, edge)];
        let outline = corners.map(|(side, radius)| self.beside(way.angle, side, radius));
        d.polygon(&outline, None, Fill::Paper, Of::Part);
        d.polyline(&outline, Line::Wide, Of::Part);
        let words = format!(
            "keyway {} wide, {} deep at {}",
            shop(way.width, self.unit),
            shop(way.depth, self.unit),
            degrees(way.angle)
        );
        (self.at(way.angle, bottom), words)
    }
}

fn degrees(angle: Angle) -> String {
    show::value(&Value::Angle(angle, 0), Unit::Mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_run_clockwise_from_the_top() {
        let face = Face { view: View { origin: p(0.0, 0.0), scale: 1.0 }, outside: 10.0, unit: Unit::Mm };
        let (top, right) = (face.at(Angle::ZERO, 10.0), face.at(Angle::deg(90.0), 10.0));
        assert!(top.x.abs() < 1e-9 && top.y < -9.9, "the page's y runs down");
        assert!(right.x > 9.9 && right.y.abs() < 1e-9);
        let beside = face.beside(Angle::ZERO, 2.0, 10.0);
        assert!((beside.x - 2.0).abs() < 1e-9);
    }
}
