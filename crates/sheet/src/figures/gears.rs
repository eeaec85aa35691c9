//! The gear train on its shafts, with the banjo's arm and slot.

use super::WIDTH;
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, SMALL, TEXT, p};
use crate::font;
use flankwise_bench::job::Job;
use flankwise_bench::report::{Fine, Value, show};
use flankwise_bench::setup::{Layout, Seat, Setup, Train};
use flankwise_thread::{Length, Unit};

/// Height of the view, at most: on a sheet, and where the list stands below.
const VIEW: (f64, f64) = (46.0, 66.0);
/// Width kept for the list of gears.
const LIST: f64 = 62.0;
const TOP: f64 = 10.0;

/// The train to go by, seen from the end of the lathe: pitch and tip circles on their shafts. To scale, with
/// the banjo's slot, where the banjo is known; else in proportion. None where there is no such train, or it has no
/// gears. `width` mm wide: where the list of gears does not find room beside the view it stands below.
pub fn gear_train(setup: &Setup, job: &Job, unit: Unit, width: f64) -> Option<Drawing> {
    let train = setup.train()?;
    if train.drivers.is_empty() || train.drivers.len() != train.driven.len() {
        return None;
    }
    let seats = train.seats();
    let banjo = job.lathe.as_ref().and_then(|l| l.banjo);
    let m = banjo.map_or(1.0, |b| b.module.to_mm());
    let laid = train.layout.as_ref().zip(banjo.as_ref());
    let shafts = laid.map_or_else(|| zigzag(&seats, m), |(layout, _)| points(&layout.shafts));
    let slot = laid.map_or_else(Vec::new, |(layout, _)| points(&layout.slot));

    // What the view must hold: every gear to its tips, and the slot.
    let tips = |s: &Seat| m * (f64::from(s.teeth) / 2.0 + 1.0);
    let mut held: Vec<(P, f64)> = seats.iter().map(|s| (shafts[s.shaft], tips(s))).collect();
    held.extend(slot.iter().map(|&end| (end, 0.0)));
    let low = |f: fn(P) -> f64| held.iter().map(|(c, r)| f(*c) - r).fold(f64::INFINITY, f64::min);
    let high = |f: fn(P) -> f64| held.iter().map(|(c, r)| f(*c) + r).fold(f64::NEG_INFINITY, f64::max);
    let (x0, x1, y0, y1) = (low(|q| q.x), high(|q| q.x), low(|q| q.y), high(|q| q.y));
    let beside = width >= WIDTH;
    let (room, view) = if beside { (width - LIST, VIEW.0) } else { (width, VIEW.1) };
    let k = scale((room - 4.0) / (x1 - x0), view / (y1 - y0));
    let at = |q: P| p(2.0 + (q.x - x0) * k, TOP + (q.y - y0) * k);

    let mut d = Drawing::new("gear-train", "Change gears", width, TOP + view);
    d.about = train.words();
    let lead = show::value(&Value::Length(train.lead, Fine::Gauge), unit);
    let error = show::value(&Value::Ppm(train.error_ppm), Unit::Mm);
    let drawn = if laid.is_some() { format!("scale 1:{}", 1.0 / k) } else { "in proportion only".to_owned() };
    let caption = if beside {
        format!("seen from the end of the lathe; {drawn}; cuts a lead of {lead}, error {error}")
    } else {
        format!("{drawn}; cuts {lead}, error {error}")
    };
    d.caption("Change gears", &caption);
    if let (Some(&far), Some(&screw)) = (slot.last(), shafts.last()) {
        d.line(at(screw), at(far), Line::Centre, Of::Tool);
        let width = banjo.map_or(0.0, |b| b.stud.to_mm()) * k / 4.0;
        let line: Vec<P> = slot.iter().map(|&q| at(q)).collect();
        d.slot(&line, width);
    }
    for s in &seats {
        let (centre, of) = (at(shafts[s.shaft]), whose(s));
        let pitch = m * f64::from(s.teeth) / 2.0 * k;
        d.circle(centre, pitch + m * k, Some(Line::Narrow), Fill::None, of);
        d.circle(centre, pitch, Some(Line::Centre), Fill::None, of);
    }
    for s in &seats {
        let (centre, of) = (at(shafts[s.shaft]), whose(s));
        let pitch = m * f64::from(s.teeth) / 2.0 * k;
        // Two gears on one shaft show one number above it and one below.
        let away = (pitch * 0.55).max(4.7);
        let y = if s.drives { centre.y - away + TEXT * 0.7 } else { centre.y + away };
        let teeth = s.teeth.to_string();
        // Other gears' rims do not run through the number.
        let half = font::width(&teeth, true, TEXT) / 2.0 + 0.4;
        d.rect(p(centre.x - half, y - TEXT), p(centre.x + half, y + 0.5), None, Fill::Paper, of);
        d.text(p(centre.x, y), Anchor::Middle, TEXT, true, of, teeth);
    }
    for q in &shafts {
        d.circle(at(*q), 1.6, Some(Line::Wide), Fill::Paper, Of::Part);
    }
    let corner = if beside { p(width - LIST + 4.0, TOP + 2.0) } else { p(2.0, TOP + (y1 - y0) * k + 7.0) };
    list(&mut d, corner, train, &seats, laid.map(|(layout, _)| layout), unit);
    d.trim();
    Some(d)
}

/// 1 to a number of halves, no larger than either room: the steps of ISO 5455 are too far apart for a train to stay
/// readable.
fn scale(across: f64, down: f64) -> f64 {
    2.0 / (2.0 / across.min(down)).ceil().max(2.0)
}

const fn whose(s: &Seat) -> Of {
    if s.drives { Of::Part } else { Of::Mate }
}

/// Shafts of unknown place in a zigzag from the stud, each pair at its centre distance.
fn zigzag(seats: &[Seat], m: f64) -> Vec<P> {
    let mut shafts = vec![p(0.0, 0.0)];
    for w in seats.windows(2).filter(|w| w[0].plane == w[1].plane) {
        let distance = m * f64::from(w[0].teeth + w[1].teeth) / 2.0;
        let angle = if shafts.len() % 2 == 1 { 20f64 } else { -20f64 }.to_radians();
        let from = shafts[shafts.len() - 1];
        shafts.push(from + p(distance * angle.cos(), distance * angle.sin()));
    }
    shafts
}

fn points(of: &[[Length; 2]]) -> Vec<P> {
    of.iter().map(|[x, y]| p(x.to_mm(), y.to_mm())).collect()
}

/// The ratio, the gears with their shafts, and the distances to set.
fn list(d: &mut Drawing, corner: P, train: &Train, seats: &[Seat], layout: Option<&Layout>, unit: Unit) {
    let x = corner.x;
    let product = |gears: &[u32]| gears.iter().map(u32::to_string).collect::<Vec<_>>().join(" × ");
    let ratio = format!("{} : {}", product(&train.drivers), product(&train.driven));
    d.text(corner, Anchor::Start, TEXT, true, Of::Note, ratio);
    let last = seats.iter().map(|s| s.shaft).max().unwrap_or(0);
    let shaft = |i: usize| match i {
        0 => "stud".to_owned(),
        i if i == last => "lead screw".to_owned(),
        i => format!("pin {i}"),
    };
    let driven_alone = |s: &Seat| {
        seats.iter().filter(|o| o.shaft == s.shaft).count() == 1 && s.shaft != 0 && s.shaft != last
    };
    let mut y = corner.y + 6.0;
    for s in seats {
        let role = match (s.drives, driven_alone(s)) {
            (true, true) => "idler",
            (true, false) => "driver",
            (false, _) => "driven",
        };
        let on = if matches!(s.shaft, i if i == 0 || i == last) { "on the " } else { "on " };
        d.text(
            p(x, y),
            Anchor::Start,
            TEXT,
            false,
            whose(s),
            format!("{role} {}, {on}{}", s.teeth, shaft(s.shaft)),
        );
        y += 5.2;
    }
    let mut small = |words: String| {
        d.text(p(x, y), Anchor::Start, SMALL * 1.1, false, Of::Faint, words);
        y += 3.8;
    };
    let Some(layout) = layout else {
        small("The banjo is not in the job:".to_owned());
        small("whether it all fits is judged by rule.".to_owned());
        return;
    };
    let length = |l| show::value(&Value::Length(l, Fine::Coarse), unit);
    for (i, w) in layout.shafts.windows(2).enumerate() {
        let [dx, dy] = [w[1][0] - w[0][0], w[1][1] - w[0][1]];
        let apart = Length::mm(dx.to_mm().hypot(dy.to_mm()));
        small(format!("{} to {}: {}", shaft(i), shaft(i + 1), length(apart)));
    }
    if let Some(arm) = layout.arm {
        small(format!("arm {} off the line to the stud", show::value(&Value::Angle(arm, 0), unit)));
    }
    if let Some(room) = layout.room {
        small(format!("least room {}", length(room)));
    }
}
