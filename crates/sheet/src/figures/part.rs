//! The part itself.

use super::{WIDTH, hole_words, limits, shop, sizes_in};
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, SMALL, Scale, View, p};
use flankwise_bench::fit::Fit;
use flankwise_bench::fit::keys::Way;
use flankwise_bench::fit::outline::{self, Stretch, What};
use flankwise_bench::job::{Hole, HoleKind, Job};
use flankwise_bench::report::{Fine, show};
use flankwise_thread::{Element, Length, Unit};

const HEIGHT: f64 = 106.0;
/// Level from which words that stand over each other do not reach the caption.
const BELOW_CAPTION: f64 = 32.0;
/// Stretches shorter than this on paper, mm, have no room for a dimension: their callout tells their length.
const LEAST_DIM: f64 = 9.0;
/// The same for the bore.
const LEAST_BORE: f64 = 16.0;
/// The same for a dimension with a word before its number.
const LEAST_NAMED: f64 = 22.0;

/// Section of the nut, or side view of the screw: thread, body with its limits, flange, steps, holes, keyways, relief.
/// None for a nut whose body is not known, or too small for its thread.
pub fn part(job: &Job, fit: &Fit, unit: Unit) -> Option<Drawing> {
    match fit.part {
        Element::Internal => largest_sound(&[84.0, 68.0, 54.0, 40.0], |room| nut(job, fit, unit, room)),
        Element::External => {
            largest_sound(&[112.0, 98.0, 84.0, 70.0], |room| Some(screw(job, fit, unit, room)))
        }
    }
}

/// The drawing in the first of these widths that leaves its words room at the side; in the last where none does.
fn largest_sound(rooms: &[f64], draw: impl Fn(f64) -> Option<Drawing>) -> Option<Drawing> {
    let (last, first) = rooms.split_last()?;
    first.iter().filter_map(|room| draw(*room)).find(|d| d.faults().is_empty()).or_else(|| draw(*last))
}

fn nut(job: &Job, fit: &Fit, unit: Unit, room: f64) -> Option<Drawing> {
    let body = &job.make.body;
    let mut stretches = outline::outside(fit, &job.make);
    if let Some(across) = body.flats.filter(|_| stretches.is_empty()) {
        // Nothing round is known of it: as wide as its flats.
        let to = fit.part_length(&job.make);
        stretches.push(Stretch { from: Length::ZERO, to, diameter: across, what: What::Body });
    }
    let title = format!("Nut, {}", fit.thread);
    let mut d = Drawing::new("part", title.clone(), WIDTH, HEIGHT);
    let coarse = |l: Length| show::length_number(l, Fine::Coarse, unit);
    let relief = fit.relief.filter(|_| !fit.through).map_or(0.0, Length::to_mm);
    let whole = stretches.last()?.to.to_mm();
    let thread = fit.length.to_mm().min(whole);
    let plain = stretches.iter().find(|s| s.what == What::Body).or(stretches.first())?.diameter;
    let r_bore = fit.blank.aim.to_mm() / 2.0;
    let r_groove = fit.bottom.aim.to_mm() / 2.0;
    if stretches.iter().any(|s| s.from < fit.length && s.diameter <= fit.bottom.aim) {
        // No wall is left around the thread; the fit says so in words.
        return None;
    }
    let radius_at = |x: f64| radius_at(&stretches, x);
    let high = stretches.iter().map(|s| s.diameter.to_mm() / 2.0).fold(0.0, f64::max);
    let scale = Scale::largest(whole, 2.0 * high, room, 70.0);
    let k = scale.factor;
    d.caption(&title, &format!("section, scale {scale}, {}", sizes_in(unit)));
    d.about = format!(
        "Section of the nut: {} long over all, thread {} long, bore {}, outside {}.",
        coarse(Length::mm(whole)),
        coarse(fit.length),
        limits(fit.blank, unit),
        fit.body.map_or_else(|| shop(plain, unit), |b| limits(b, unit))
    );

    // Front face at x = 0; axis level.
    let view = View { origin: p(44.0, 50.0), scale: k };
    let at = |x: f64, y: f64| view.at(x, y);
    let inside = inside(fit, thread, relief, whole, radius_at(whole));
    for s in [1.0, -1.0] {
        let mut ring: Vec<P> = inside.iter().map(|(x, r)| at(*x, s * r)).collect();
        for stretch in stretches.iter().rev() {
            let r = stretch.diameter.to_mm() / 2.0;
            ring.extend([at(stretch.to.to_mm(), s * r), at(stretch.from.to_mm(), s * r)]);
        }
        d.hatch(&ring, 45.0, 2.2, Of::Part);
        d.polygon(&ring, Some(Line::Wide), Fill::None, Of::Part);
        // Root of the thread: continuous narrow, hatching runs on to the crest (ISO 6410-1).
        d.line(at(0.0, s * r_groove), at(thread, s * r_groove), Line::Narrow, Of::Part);
    }
    // Edges seen through the bore.
    d.line(at(0.0, r_bore), at(0.0, -r_bore), Line::Wide, Of::Part);
    for pair in inside.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
        let r = pair[0].1.max(pair[1].1);
        d.line(at(pair[0].0, r), at(pair[0].0, -r), Line::Wide, Of::Part);
    }
    if let Some((x, r)) = inside.last().filter(|(_, r)| *r > 0.0) {
        d.line(at(*x, *r), at(*x, -r), Line::Wide, Of::Part);
    }
    let mut names = Vec::new();
    for way in &fit.keyways {
        let s = if way.angle.cos() < -1e-9 { -1.0 } else { 1.0 };
        let r = way.across.to_mm() / 2.0;
        let (from, to, bottom) = (way.from.to_mm(), (way.from + way.length).to_mm(), r - way.depth.to_mm());
        let slot = [at(from, s * r), at(from, s * bottom), at(to, s * bottom), at(to, s * r)];
        d.polygon(&slot, None, Fill::Paper, Of::Part);
        d.polyline(&slot, Line::Wide, Of::Part);
        let tip = at(from + (to - from) * 0.8, s * bottom);
        names.push((tip, tip.y - s * 4.0, Of::Part, keyway_words(way, unit)));
    }
    d.line(at(0.0, 0.0) - p(4.0, 0.0), at(whole, 0.0) + p(4.0, 0.0), Line::Centre, Of::Note);

    let top = at(0.0, high).y;
    let low = at(0.0, -high).y;
    d.dim_h(at(0.0, -radius_at(0.0)), at(whole, -radius_at(whole)), low + 14.0, coarse(Length::mm(whole)));
    if thread * k > LEAST_NAMED {
        let name = format!("thread {}", coarse(fit.length));
        d.dim_h(at(0.0, -r_bore), at(thread, -r_bore), low + 7.0, name);
    }
    let flange = stretches.iter().find(|s| s.what == What::Flange);
    if let Some(flange) = flange {
        let (from, to, r) = (flange.from.to_mm(), flange.to.to_mm(), flange.diameter.to_mm() / 2.0);
        d.dim_h(at(from, r), at(to, r), top - 4.0, coarse(flange.length()));
        let words = format!("Ø{}", coarse(flange.diameter));
        d.dim_v(at(from, r), at(from, -r), at(0.0, 0.0).x - 26.0, words);
    }
    // A bore too small on paper for its words has them at the side only.
    if 2.0 * r_bore * k > LEAST_BORE {
        let words = format!("Ø{}", shop(fit.blank.aim, unit));
        d.dim_v(at(0.0, r_bore), at(0.0, -r_bore), at(0.0, 0.0).x - 10.0, words);
    }

    let x_text = at(whole, 0.0).x + 12.0;
    let out = match fit.body {
        Some(b) => format!("outside Ø{}", limits(b, unit)),
        None => format!("outside Ø{}", shop(plain, unit)),
    };
    let out = body.fit.as_ref().map_or(out.clone(), |f| format!("{out}  {f}"));
    if let Some(plain) = stretches.iter().rev().find(|s| s.what == What::Body) {
        let tip = at((plain.from + plain.length() * 0.7).to_mm(), plain.diameter.to_mm() / 2.0);
        names.push((tip, tip.y - 6.0, Of::Part, out));
    }
    names.extend(step_names(fit, &stretches, &at, unit));
    let tip = at(thread * 0.7, r_bore);
    names.push((tip, at(0.0, r_bore * 0.6).y, Of::Part, thread_words(fit, thread * k, unit)));
    let tip = at(thread * 0.85, -r_bore);
    names.push((tip, at(0.0, -r_bore * 0.1).y, Of::Part, format!("bore Ø{}", limits(fit.blank, unit))));
    if let Some(across) = fit.relief_diameter.filter(|_| relief > 0.0) {
        let words = format!("relief {} wide, Ø{}", coarse(Length::mm(relief)), shop(across, unit));
        let tip = at(thread + relief / 2.0, -across.to_mm() / 2.0);
        names.push((tip, at(0.0, -r_bore * 0.8).y, Of::Part, words));
    }
    if let Some(across) = fit.opened {
        let tip = at((thread + whole) / 2.0, -across.to_mm() / 2.0);
        names.push((tip, at(0.0, -r_bore * 0.8).y, Of::Part, format!("opened to Ø{}", shop(across, unit))));
    }
    for hole in &body.holes {
        let x = hole.from_end.to_mm();
        let bore = inside.iter().rev().find(|(from, _)| *from <= x).map_or(r_bore, |(_, r)| *r);
        if let Some(mark) = draw_hole(&mut d, hole, &at, (radius_at(x), bore), flange) {
            let y = mark.y.max(at(0.0, -high).y) + 4.0;
            names.push((mark, y, Of::Part, hole_words(hole, unit)));
        }
    }
    d.callouts(x_text, names);
    d.trim();
    Some(d)
}

/// The thread in words, with its length where `drawn` mm of paper have no room for that as a dimension.
fn thread_words(fit: &Fit, drawn: f64, unit: Unit) -> String {
    if drawn > LEAST_NAMED {
        return fit.thread.to_string();
    }
    format!("{}, {} long", fit.thread, show::length_number(fit.length, Fine::Coarse, unit))
}

/// Radius of the outside at a place; the smaller where two meet.
fn radius_at(stretches: &[Stretch], x: f64) -> f64 {
    let here = |s: &&Stretch| x >= s.from.to_mm() - 1e-6 && x <= s.to.to_mm() + 1e-6;
    stretches.iter().filter(here).map(|s| s.diameter.to_mm() / 2.0).fold(f64::INFINITY, f64::min)
}

/// Line of the bore, front to back, as places and radii: thread, then groove, opening or the closed end.
fn inside(fit: &Fit, thread: f64, relief: f64, whole: f64, r_far: f64) -> Vec<(f64, f64)> {
    let r_bore = fit.blank.aim.to_mm() / 2.0;
    let mut line = vec![(0.0, r_bore), (thread, r_bore)];
    let end = if let Some(across) = fit.relief_diameter.filter(|_| relief > 0.0) {
        // Never through the wall: the fit says so in words where it would.
        let r = (across.to_mm() / 2.0).min(r_far);
        let end = (thread + relief).min(whole);
        line.extend([(thread, r), (end, r)]);
        end
    } else if let Some(across) = fit.opened {
        let r = across.to_mm() / 2.0;
        line.extend([(thread, r), (whole, r)]);
        whole
    } else if fit.through {
        thread
    } else {
        let end = fit.blind_depth().to_mm().min(whole);
        line.push((end, r_bore));
        end
    };
    if end < whole - 1e-6 {
        line.extend([(end, 0.0), (whole, 0.0)]);
    }
    line
}

/// `Ø15.000 to 15.012 k6, 25 long` of each step, with the place to name it from.
fn step_names(
    fit: &Fit,
    stretches: &[Stretch],
    at: &impl Fn(f64, f64) -> P,
    unit: Unit,
) -> Vec<(P, f64, Of, String)> {
    let one = |s: &Stretch| {
        let What::Step(i) = s.what else { return None };
        let step = fit.steps.get(i)?;
        let class = step.fit.map_or_else(String::new, |f| format!(" {}", f.shaft));
        let long = show::length_number(step.length, Fine::Coarse, unit);
        let words = format!("Ø{}{class}, {long} long", limits(step.size, unit));
        let tip = at(((s.from + s.to) / 2.0).to_mm(), s.diameter.to_mm() / 2.0);
        Some((tip, tip.y - 6.0, Of::Part, words))
    };
    stretches.iter().filter_map(one).collect()
}

fn keyway_words(way: &Way, unit: Unit) -> String {
    let coarse = |l: Length| show::length_number(l, Fine::Coarse, unit);
    let (from, to) = (coarse(way.from), coarse(way.from + way.length));
    format!("keyway {} × {}, {from} to {to}", shop(way.width, unit), shop(way.depth, unit))
}

/// A hole in the section, a cross hole in both walls; gives the place to name it from.
fn draw_hole(
    d: &mut Drawing,
    hole: &Hole,
    at: &impl Fn(f64, f64) -> P,
    (r_out, r_bore): (f64, f64),
    flange: Option<&Stretch>,
) -> Option<P> {
    let (x, r) = (hole.from_end.to_mm(), hole.diameter.to_mm() / 2.0);
    match hole.kind {
        HoleKind::Spot | HoleKind::Cross => {
            if !r_out.is_finite() {
                return None;
            }
            let depth = match (hole.kind, hole.depth) {
                (HoleKind::Spot, Some(depth)) => depth.to_mm().min(r_out - r_bore),
                _ => r_out - r_bore,
            };
            for s in if hole.kind == HoleKind::Cross { &[-1.0, 1.0][..] } else { &[-1.0] } {
                let (out, bottom) = (s * r_out, s * (r_out - depth));
                let pocket = [at(x - r, out), at(x - r, bottom), at(x + r, bottom), at(x + r, out)];
                d.polygon(&pocket, None, Fill::Paper, Of::Part);
                d.polyline(&pocket, Line::Wide, Of::Part);
                d.line(at(x, out) - p(0.0, s * 2.0), at(x, bottom) + p(0.0, s * 2.0), Line::Centre, Of::Note);
            }
            Some(at(x + r, -r_out + depth / 2.0))
        }
        HoleKind::Flange => {
            let (from, to) = (flange?.from.to_mm(), flange?.to.to_mm());
            let ring = hole.from_end.to_mm() / 2.0;
            let bore = [at(from, -ring + r), at(to, -ring + r), at(to, -ring - r), at(from, -ring - r)];
            d.polygon(&bore, Some(Line::Wide), Fill::Paper, Of::Part);
            d.line(at(from, -ring) - p(2.0, 0.0), at(to, -ring) + p(2.0, 0.0), Line::Centre, Of::Note);
            Some(at(to, -ring))
        }
    }
}

fn screw(job: &Job, fit: &Fit, unit: Unit, room: f64) -> Drawing {
    let make = &job.make;
    let title = format!("Screw, {}", fit.thread);
    let mut d = Drawing::new("part", title.clone(), WIDTH, HEIGHT);
    let coarse = |l: Length| show::length_number(l, Fine::Coarse, unit);
    let stretches = outline::outside(fit, make);
    let whole = fit.part_length(make).to_mm();
    let start = outline::thread_from(make).to_mm();
    let end = start + fit.length.to_mm();
    let r = fit.blank.aim.to_mm() / 2.0;
    let r_root = fit.bottom.aim.to_mm() / 2.0;
    let radius_at = |x: f64| radius_at(&stretches, x);
    let high = stretches.iter().map(|s| s.diameter.to_mm() / 2.0).fold(r, f64::max);
    let scale = Scale::largest(whole, 2.0 * high, room, 58.0);
    d.caption(&title, &format!("scale {scale}, {}", sizes_in(unit)));
    d.about = format!(
        "The screw from the side: {} long, thread {}, {} steps.",
        coarse(Length::mm(whole)),
        coarse(fit.length),
        fit.steps.len()
    );
    let view = View { origin: p(12.0, 48.0), scale: scale.factor };
    let at = |x: f64, y: f64| view.at(x, y);
    for s in [1.0, -1.0] {
        let edge = |stretch: &Stretch| {
            let r = s * stretch.diameter.to_mm() / 2.0;
            [at(stretch.from.to_mm(), r), at(stretch.to.to_mm(), r)]
        };
        let mut run = vec![at(0.0, 0.0)];
        run.extend(stretches.iter().flat_map(edge));
        run.push(at(whole, 0.0));
        d.polyline(&run, Line::Wide, Of::Part);
        d.line(at(start, s * r_root), at(end, s * r_root), Line::Narrow, Of::Part);
    }
    for pair in stretches.windows(2) {
        let x = pair[1].from.to_mm();
        let r = pair[0].diameter.max(pair[1].diameter).to_mm() / 2.0;
        d.line(at(x, r), at(x, -r), Line::Wide, Of::Part);
    }
    d.line(at(0.0, 0.0) - p(4.0, 0.0), at(whole, 0.0) + p(4.0, 0.0), Line::Centre, Of::Note);
    let low = at(0.0, -high).y;
    for s in stretches.iter().filter(|s| {
        let least = if s.what == What::Thread { LEAST_NAMED } else { LEAST_DIM };
        s.length().to_mm() * view.scale > least
    }) {
        let words = if s.what == What::Thread {
            format!("thread {}", coarse(s.length()))
        } else {
            coarse(s.length())
        };
        let (from, to, r) = (s.from.to_mm(), s.to.to_mm(), s.diameter.to_mm() / 2.0);
        d.dim_h(at(from, -r), at(to, -r), low + 8.0, words);
    }
    if stretches.len() > 1 {
        let ends = (at(0.0, -radius_at(0.0)), at(whole, -radius_at(whole)));
        d.dim_h(ends.0, ends.1, low + 16.0, coarse(Length::mm(whole)));
    }
    let x_text = at(whole, 0.0).x + 10.0;
    let top = at(0.0, high).y - 5.0;
    let along = |share: f64| start + (end - start) * share;
    let words = thread_words(fit, (end - start) * view.scale, unit);
    let mut names = vec![(at(along(0.6), r), top, Of::Part, words)];
    names.push((at(along(0.8), r), top, Of::Part, format!("outside Ø{}", limits(fit.blank, unit))));
    let words = format!("root Ø{}", limits(fit.bottom, unit));
    names.push((at(along(0.9), r_root), top, Of::Part, words));
    names.extend(step_names(fit, &stretches, &at, unit));
    for s in &stretches {
        let tip = at(((s.from + s.to) / 2.0).to_mm(), s.diameter.to_mm() / 2.0);
        let words = match (s.what, fit.body) {
            (What::Groove, _) => format!("relief {} wide, Ø{}", coarse(s.length()), shop(s.diameter, unit)),
            (What::Body, Some(b)) => format!("plain Ø{}", limits(b, unit)),
            (What::Flange, _) => format!("flange Ø{}, {} thick", coarse(s.diameter), coarse(s.length())),
            _ => continue,
        };
        names.push((tip, tip.y, Of::Part, words));
    }
    for way in &fit.keyways {
        let (from, to, half) = (way.from.to_mm(), (way.from + way.length).to_mm(), way.width.to_mm() / 2.0);
        let slot = [at(from, half), at(to, half), at(to, -half), at(from, -half)];
        d.polygon(&slot, Some(Line::Wide), Fill::Paper, Of::Part);
        names.push((at(to, half), top, Of::Part, keyway_words(way, unit)));
    }
    for hole in &make.body.holes {
        let (x, half) = (hole.from_end.to_mm(), hole.diameter.to_mm() / 2.0);
        let across = radius_at(x);
        let flange = stretches.iter().find(|s| s.what == What::Flange);
        let mark = match hole.kind {
            // Looked into, for its place round the screw is told in words.
            HoleKind::Cross if across.is_finite() && half < across => {
                d.circle(at(x, 0.0), half * view.scale, Some(Line::Wide), Fill::Paper, Of::Part);
                d.line(at(x, half) - p(0.0, 2.0), at(x, -half) + p(0.0, 2.0), Line::Centre, Of::Note);
                Some(at(x, half))
            }
            HoleKind::Cross => None,
            _ => draw_hole(&mut d, hole, &at, (across, 0.0), flange),
        };
        if let Some(mark) = mark {
            names.push((mark, mark.y + 4.0, Of::Part, hole_words(hole, unit)));
        }
    }
    // The farther left a place is, the higher its words: no leader then crosses another.
    for (tip, y, ..) in &mut names {
        *y = top.max(BELOW_CAPTION) - (x_text - tip.x) * 0.2;
    }
    d.callouts(x_text, names);
    if fit.steps.is_empty() {
        let words = "Ends and centres as on the old screw.";
        d.text(p(2.0, low + 23.0), Anchor::Start, SMALL * 1.2, false, Of::Faint, words);
    }
    d.trim();
    d
}
