//! The gear train on its studs.

use super::WIDTH;
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, SMALL, TEXT, p};
use flankwise_bench::job::Job;
use flankwise_bench::report::{Value, show};
use flankwise_bench::setup::{Setup, Train};
use flankwise_thread::Unit;

const HEIGHT: f64 = 56.0;

/// The first train that meshes, seen from the end of the lathe: pitch circles in mesh, from the stud to the lead
/// screw. None where there is no such train, or it has no gears.
pub fn gear_train(setup: &Setup, job: &Job) -> Option<Drawing> {
    let train: &Train = setup.trains.iter().find(|t| t.meshes)?;
    if train.drivers.is_empty() || train.drivers.len() != train.driven.len() {
        return None;
    }
    let module = job.lathe.as_ref().and_then(|l| l.banjo).map(|b| b.module.to_mm());
    let m = module.unwrap_or(1.0);
    let mut d = Drawing::new("gear-train", "Change gears", WIDTH, HEIGHT);
    let lead = show::value(&Value::Length(train.lead, flankwise_bench::report::Fine::Gauge), job.unit);
    let error = show::value(&Value::Ppm(train.error_ppm), Unit::Mm);
    d.caption(
        "Change gears",
        &format!("seen from the end of the lathe; cuts a lead of {lead}, error {error}"),
    );

    // Meshes along the train. An idler meshes with both gears of a simple train.
    let meshes: Vec<(u32, u32)> = match (train.idler, train.drivers.as_slice(), train.driven.as_slice()) {
        (Some(idler), [a], [b]) => vec![(*a, idler), (idler, *b)],
        _ => train.drivers.iter().copied().zip(train.driven.iter().copied()).collect(),
    };
    // Shafts in a zigzag down from the stud, each pair at its centre distance.
    let mut shafts = vec![p(0.0, 0.0)];
    for (i, (a, b)) in meshes.iter().enumerate() {
        let distance = m * f64::from(a + b) / 2.0;
        let angle = if i % 2 == 0 { 20f64 } else { -20f64 }.to_radians();
        let from = shafts[i];
        shafts.push(from + p(distance * angle.cos(), distance * angle.sin()));
    }
    let last = shafts.len() - 1;
    // (shaft, teeth, drives, name)
    let mut gears: Vec<(usize, u32, bool, String)> = Vec::new();
    for (i, (a, b)) in train.drivers.iter().zip(&train.driven).enumerate() {
        let place = if i == 0 { "on the stud".to_owned() } else { format!("on pin {i}") };
        gears.push((i, *a, true, format!("driver {a}, {place}")));
        if let Some(idler) = train.idler {
            gears.push((1, idler, true, format!("idler {idler}, between")));
        }
        let end = if train.idler.is_some() { last } else { i + 1 };
        let place = if end == last { "on the lead screw".to_owned() } else { format!("on pin {end}") };
        gears.push((end, *b, false, format!("driven {b}, {place}")));
    }
    let radius = |teeth: u32| m * f64::from(teeth) / 2.0 + m;
    let reach = |f: fn(P) -> f64, s: f64| {
        gears.iter().map(|(i, t, ..)| s * f(shafts[*i]) + radius(*t)).fold(f64::NEG_INFINITY, f64::max)
    };
    let (x0, x1) = (-reach(|q| q.x, -1.0), reach(|q| q.x, 1.0));
    let (y0, y1) = (-reach(|q| q.y, -1.0), reach(|q| q.y, 1.0));
    let (room_w, room_h, top) = (WIDTH - 66.0, HEIGHT - 12.0, 10.0);
    let k = (room_w / (x1 - x0)).min(room_h / (y1 - y0));
    let at = |q: P| p(3.0 + (q.x - x0) * k, top + (q.y - y0) * k);
    d.about = train.words();

    let x_list = WIDTH - 58.0;
    for (n, (shaft, teeth, drives, name)) in gears.iter().enumerate() {
        let centre = at(shafts[*shaft]);
        let pitch_r = m * f64::from(*teeth) / 2.0 * k;
        let of = if *drives { Of::Part } else { Of::Mate };
        d.circle(centre, pitch_r + m * k, Some(Line::Narrow), Fill::None, of);
        d.circle(centre, pitch_r, Some(Line::Centre), Fill::None, of);
        // Two gears on one pin show one number above it and one below.
        let away = (pitch_r * 0.55).max(4.2);
        let y = if *drives { centre.y - away + TEXT * 0.7 } else { centre.y + away };
        d.text(p(centre.x, y), Anchor::Middle, TEXT, true, of, teeth.to_string());
        d.text(p(x_list, top + 8.0 + 5.4 * n as f64), Anchor::Start, TEXT, false, of, name.as_str());
    }
    for q in &shafts {
        d.circle(at(*q), 1.6, Some(Line::Wide), Fill::Paper, Of::Part);
    }
    let ratio = format!(
        "{} : {}",
        train.drivers.iter().map(u32::to_string).collect::<Vec<_>>().join(" × "),
        train.driven.iter().map(u32::to_string).collect::<Vec<_>>().join(" × ")
    );
    d.text(p(x_list, top + 2.0), Anchor::Start, TEXT, true, Of::Note, ratio);
    if module.is_none() {
        for (i, words) in
            ["The gears' module is not in", "the job: in proportion only."].into_iter().enumerate()
        {
            let y = HEIGHT - 8.0 + 4.0 * i as f64;
            d.text(p(x_list, y), Anchor::Start, SMALL * 1.1, false, Of::Faint, words);
        }
    }
    d.trim();
    Some(d)
}
