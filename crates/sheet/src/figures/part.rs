//! The part itself.

use super::{WIDTH, hole_words, limits, shop, sizes_in};
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, SMALL, Scale, View, p};
use flankwise_bench::fit::Fit;
use flankwise_bench::job::{Hole, HoleKind, Job};
use flankwise_bench::report::{Fine, show};
use flankwise_thread::{Element, Length, Unit};

const HEIGHT: f64 = 106.0;

/// Section of the nut, or side view of the plain screw: thread, body with its limits, flange, holes, relief.
/// None for a nut whose body is not known, or too small for its thread.
pub fn part(job: &Job, fit: &Fit, unit: Unit) -> Option<Drawing> {
    match fit.part {
        Element::Internal => nut(job, fit, unit),
        Element::External => Some(screw(job, fit, unit)),
    }
}

fn nut(job: &Job, fit: &Fit, unit: Unit) -> Option<Drawing> {
    let body = &job.make.body;
    let outside = fit.body.map(|b| b.aim).or(body.outside).or(body.flats).or(body.flange)?;
    let title = format!("Nut, {}", fit.thread);
    let mut d = Drawing::new("part", title.clone(), WIDTH, HEIGHT);
    let coarse = |l: Length| show::length_number(l, Fine::Coarse, unit);
    let relief = fit.relief.filter(|_| !fit.through).map_or(0.0, Length::to_mm);
    let thread = fit.length.to_mm();
    let whole = body.length.map_or(thread + relief, Length::to_mm).max(thread);
    let (flange, thick) = match (body.flange, body.flange_thickness) {
        (Some(dia), Some(t)) => (dia.to_mm() / 2.0, t.to_mm()),
        _ => (0.0, 0.0),
    };
    let r_out = outside.to_mm() / 2.0;
    let r_bore = fit.blank.aim.to_mm() / 2.0;
    let r_groove = fit.bottom.aim.to_mm() / 2.0;
    // Never through the wall: the fit says so in words where it would.
    let r_relief = fit.relief_diameter.map_or(r_groove, |d| d.to_mm() / 2.0).min(r_out);
    if r_out <= r_groove {
        // No wall is left around the thread; the fit says so in words.
        return None;
    }
    let high = r_out.max(flange);
    let scale = Scale::largest(whole, 2.0 * high, 84.0, 62.0);
    let k = scale.factor;
    d.caption(&title, &format!("section, scale {scale}, {}", sizes_in(unit)));
    d.about = format!(
        "Section of the nut: {} long over all, thread {} long, bore {}, outside {}.",
        coarse(Length::mm(whole)),
        coarse(fit.length),
        limits(fit.blank, unit),
        fit.body.map_or_else(|| shop(outside, unit), |b| limits(b, unit))
    );

    // Front face at x = 0, flange there; axis level.
    let view = View { origin: p(44.0, 50.0), scale: k };
    let at = |x: f64, y: f64| view.at(x, y);
    // A recess that reaches the far face needs no wall behind it.
    let far_wall = if fit.through { 0.0 } else { (whole - thread - relief).max(0.0) };
    let thread_end = if fit.through && relief == 0.0 { whole.min(thread) } else { thread };
    for s in [1.0, -1.0] {
        let mut ring = vec![at(0.0, s * r_bore), at(thread_end, s * r_bore)];
        if relief > 0.0 {
            ring.extend([at(thread_end, s * r_relief), at(thread_end + relief, s * r_relief)]);
            if far_wall > 0.0 {
                ring.extend([at(thread_end + relief, s * r_bore), at(whole, s * r_bore)]);
            }
        } else if whole > thread_end {
            ring.push(at(whole, s * r_bore));
        }
        ring.push(at(whole.max(thread_end + relief), s * r_out));
        if flange > r_out {
            ring.extend([at(thick, s * r_out), at(thick, s * flange), at(0.0, s * flange)]);
        } else {
            ring.push(at(0.0, s * r_out));
        }
        d.hatch(&ring, 45.0, 2.2, Of::Part);
        d.polygon(&ring, Some(Line::Wide), Fill::None, Of::Part);
        // Root of the thread: continuous narrow, hatching runs on to the crest (ISO 6410-1).
        d.line(at(0.0, s * r_groove), at(thread_end, s * r_groove), Line::Narrow, Of::Part);
    }
    let far_open = if relief > 0.0 && far_wall == 0.0 { r_relief } else { r_bore };
    d.line(at(0.0, r_bore), at(0.0, -r_bore), Line::Wide, Of::Part);
    d.line(at(whole, far_open), at(whole, -far_open), Line::Wide, Of::Part);
    if relief > 0.0 {
        for x in [thread_end, thread_end + relief] {
            d.line(at(x, r_relief), at(x, -r_relief), Line::Wide, Of::Part);
        }
    }
    d.line(at(0.0, 0.0) - p(4.0, 0.0), at(whole, 0.0) + p(4.0, 0.0), Line::Centre, Of::Note);

    let top = at(0.0, high).y;
    let low = at(0.0, -high).y;
    d.dim_h(at(0.0, -high), at(whole, -r_out), low + 14.0, coarse(Length::mm(whole)));
    let name = format!("thread {}", coarse(fit.length));
    d.dim_h(at(0.0, -r_bore), at(thread_end, -r_bore), low + 7.0, name);
    if flange > r_out {
        d.dim_h(at(0.0, flange), at(thick, flange), top - 4.0, coarse(Length::mm(thick)));
        let words = format!("Ø{}", coarse(Length::mm(2.0 * flange)));
        d.dim_v(at(0.0, flange), at(0.0, -flange), at(0.0, 0.0).x - 26.0, words);
    }
    d.dim_v(
        at(0.0, r_bore),
        at(0.0, -r_bore),
        at(0.0, 0.0).x - 10.0,
        format!("Ø{}", shop(fit.blank.aim, unit)),
    );

    let x_text = at(whole, 0.0).x + 12.0;
    let mut names = Vec::new();
    let out = match fit.body {
        Some(b) => format!("outside Ø{}", limits(b, unit)),
        None => format!("outside Ø{}", shop(outside, unit)),
    };
    let out = body.fit.as_ref().map_or(out.clone(), |f| format!("{out}  {f}"));
    let tip = at(thick + (whole - thick) * 0.7, r_out);
    names.push((tip, tip.y - 6.0, Of::Part, out));
    let tip = at(thread_end * 0.7, r_bore);
    names.push((tip, at(0.0, r_bore * 0.6).y, Of::Part, fit.thread.to_string()));
    let tip = at(thread_end * 0.85, -r_bore);
    names.push((tip, at(0.0, -r_bore * 0.1).y, Of::Part, format!("bore Ø{}", limits(fit.blank, unit))));
    if relief > 0.0 {
        let words = format!(
            "relief {} wide, Ø{}",
            coarse(Length::mm(relief)),
            shop(Length::mm(2.0 * r_relief), unit)
        );
        let tip = at(thread_end + relief / 2.0, -r_relief);
        names.push((tip, at(0.0, -r_bore * 0.8).y, Of::Part, words));
    }
    for hole in &body.holes {
        let reach = r_out.max(r_bore);
        if let Some(mark) = draw_hole(&mut d, hole, &at, reach, r_bore, (thick, flange)) {
            let y = mark.y.max(at(0.0, -r_out).y) + 4.0;
            names.push((mark, y, Of::Part, hole_words(hole, unit)));
        }
    }
    d.callouts(x_text, names);
    d.trim();
    Some(d)
}

/// A hole in the lower half of the section; gives the place to name it from.
fn draw_hole(
    d: &mut Drawing,
    hole: &Hole,
    at: &impl Fn(f64, f64) -> P,
    r_out: f64,
    r_bore: f64,
    (thick, flange): (f64, f64),
) -> Option<P> {
    let (x, r) = (hole.from_end.to_mm(), hole.diameter.to_mm() / 2.0);
    match hole.kind {
        HoleKind::Spot | HoleKind::Cross => {
            let depth = match (hole.kind, hole.depth) {
                (HoleKind::Spot, Some(depth)) => depth.to_mm().min(r_out - r_bore),
                _ => r_out - r_bore,
            };
            let pocket =
                [at(x - r, -r_out), at(x - r, -r_out + depth), at(x + r, -r_out + depth), at(x + r, -r_out)];
            d.polygon(&pocket, None, Fill::Paper, Of::Part);
            d.polyline(&pocket, Line::Wide, Of::Part);
            d.line(at(x, -r_out) + p(0.0, 2.0), at(x, -r_out + depth) - p(0.0, 2.0), Line::Centre, Of::Note);
            Some(at(x + r, -r_out + depth / 2.0))
        }
        HoleKind::Flange if flange > 0.0 => {
            let ring = hole.from_end.to_mm() / 2.0;
            let bore = [at(0.0, -ring + r), at(thick, -ring + r), at(thick, -ring - r), at(0.0, -ring - r)];
            d.polygon(&bore, Some(Line::Wide), Fill::Paper, Of::Part);
            d.line(at(0.0, -ring) - p(2.0, 0.0), at(thick, -ring) + p(2.0, 0.0), Line::Centre, Of::Note);
            Some(at(thick, -ring))
        }
        HoleKind::Flange => None,
    }
}

fn screw(job: &Job, fit: &Fit, unit: Unit) -> Drawing {
    let title = format!("Screw, {}", fit.thread);
    let mut d = Drawing::new("part", title.clone(), WIDTH, HEIGHT);
    let coarse = |l: Length| show::length_number(l, Fine::Coarse, unit);
    let thread = fit.length.to_mm();
    let whole = job.make.body.length.map_or(thread, Length::to_mm).max(thread);
    let r = fit.blank.aim.to_mm() / 2.0;
    let r_root = fit.bottom.aim.to_mm() / 2.0;
    let r_plain = fit.body.map(|b| b.aim).or(job.make.body.outside).map_or(r, |o| o.to_mm() / 2.0);
    let relief = fit.relief.filter(|_| !fit.through).map_or(0.0, Length::to_mm);
    let r_relief = fit.relief_diameter.map_or(r_root, |d| d.to_mm() / 2.0);
    let high = r.max(r_plain);
    let scale = Scale::largest(whole, 2.0 * high, 112.0, 58.0);
    let k = scale.factor;
    d.caption(&title, &format!("scale {scale}, {}", sizes_in(unit)));
    d.about = format!(
        "The screw from the side: {} long, thread {}.",
        coarse(Length::mm(whole)),
        coarse(fit.length)
    );
    let view = View { origin: p(12.0, 48.0), scale: k };
    let at = |x: f64, y: f64| view.at(x, y);
    let groove_end = (thread + relief).min(whole);
    for s in [1.0, -1.0] {
        let mut run = vec![at(0.0, 0.0), at(0.0, s * r), at(thread, s * r)];
        if relief > 0.0 {
            run.extend([at(thread, s * r_relief), at(groove_end, s * r_relief)]);
        }
        if whole > groove_end {
            run.extend([at(groove_end, s * r_plain), at(whole, s * r_plain)]);
        }
        run.push(at(whole.max(groove_end), 0.0));
        d.polyline(&run, Line::Wide, Of::Part);
        d.line(at(0.0, s * r_root), at(thread, s * r_root), Line::Narrow, Of::Part);
    }
    d.line(at(thread, r), at(thread, -r), Line::Wide, Of::Part);
    d.line(at(0.0, 0.0) - p(4.0, 0.0), at(whole, 0.0) + p(4.0, 0.0), Line::Centre, Of::Note);
    let low = at(0.0, -high).y;
    d.dim_h(at(0.0, -r), at(thread, -r), low + 8.0, format!("thread {}", coarse(fit.length)));
    if whole > thread {
        d.dim_h(at(0.0, -r), at(whole, -r_plain.min(high)), low + 16.0, coarse(Length::mm(whole)));
    }
    let x_text = at(whole, 0.0).x + 10.0;
    let top = at(0.0, high).y - 5.0;
    let mut names = vec![(at(thread * 0.6, r), top, Of::Part, fit.thread.to_string())];
    names.push((at(thread * 0.8, r), top + 5.0, Of::Part, format!("outside Ø{}", limits(fit.blank, unit))));
    names.push((
        at(thread * 0.8, -r_root),
        at(0.0, -r_root).y,
        Of::Part,
        format!("root Ø{}", limits(fit.bottom, unit)),
    ));
    if relief > 0.0 {
        let words = format!(
            "relief {} wide, Ø{}",
            coarse(Length::mm(relief)),
            shop(Length::mm(2.0 * r_relief), unit)
        );
        names.push((at(groove_end, -r_relief * 0.6), at(0.0, -r_root * 0.5).y, Of::Part, words));
    }
    if let (Some(b), true) = (fit.body, whole > groove_end) {
        let words = format!("plain Ø{}", limits(b, unit));
        names.push((at(whole, r_plain * 0.5), at(0.0, 0.0).y, Of::Part, words));
    }
    d.callouts(x_text, names);
    let words = "Ends and centres as on the old screw.";
    d.text(p(2.0, low + 23.0), Anchor::Start, SMALL * 1.2, false, Of::Faint, words);
    d.trim();
    d
}
