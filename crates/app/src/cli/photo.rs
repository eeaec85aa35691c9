//! Readings from a picture.

use super::args::PhotoArgs;
use super::{Ended, Outcome, bad, out, out_json};
use crate::terminal::grid;
use flankwise_bench::report::{Fine, Value, show};
use flankwise_photo::{FlankReading, Measured, PhotoReadings, Scale, read};
use flankwise_thread::quantity::parse_length;
use flankwise_thread::{Angle, Length, Unit};
use serde_json::json;
use std::io::Read;

/// Largest picture file taken; a phone's are a tenth of it.
const LARGEST: u64 = 100 << 20;

/// Runs `photo`.
pub fn run(a: &PhotoArgs) -> Outcome {
    let scale = match (a.dpi, a.px_per_mm, &a.pin) {
        (Some(dpi), ..) => Scale::Dpi(dpi),
        (_, Some(px), _) => Scale::PxPerMm(px),
        (.., Some(pin)) => Scale::Pin(parse_length(pin, Unit::Mm).map_err(|e| format!("--pin: {e}"))?.0),
        _ => Scale::None,
    };
    let mut bytes = Vec::new();
    std::fs::File::open(&a.image)
        .and_then(|f| f.take(LARGEST + 1).read_to_end(&mut bytes))
        .map_err(|e| bad(a.image.display(), format!("cannot be read: {e}")))?;
    if bytes.len() as u64 > LARGEST {
        return Err(bad(a.image.display(), "larger than 100 MiB"));
    }
    let seen = read(&bytes, scale).map_err(|e| bad(a.image.display(), e))?;
    if a.json {
        out_json(&json_of(&seen))?
    } else {
        out(&text_of(&seen, a.unit.into()))?
    };
    Ok(Ended::Done)
}

fn json_of(seen: &PhotoReadings) -> serde_json::Value {
    let length = |m: &Option<Measured<Length>>| {
        m.as_ref().map(|m| json!({"value_mm": m.value.to_mm(), "standard_uncertainty_mm": m.u.to_mm()}))
    };
    let ratio = |m: &Measured<f64>| json!({"value": m.value, "standard_uncertainty": m.u});
    let flank = |f: &FlankReading| match f {
        FlankReading::Angle { axial, seen } => json!({
            "axial_deg": axial.value.to_deg(),
            "standard_uncertainty_deg": axial.u.to_deg(),
            "seen_deg": seen.to_deg(),
        }),
        FlankReading::AtMost(a) => json!({"at_most_deg": a.to_deg()}),
        FlankReading::Unread => serde_json::Value::Null,
    };
    json!({
        "size_px": seen.size_px,
        "axis_deg": seen.axis.to_deg(),
        "px_per_mm": seen.px_per_mm.as_ref().map(ratio),
        "pitch_px": seen.pitch_px,
        "pitch_to_major": ratio(&seen.pitch_to_major),
        "minor_to_major": seen.minor_to_major.as_ref().map(ratio),
        "pitch": length(&seen.pitch),
        "major_diameter": length(&seen.major_diameter),
        "pitch_diameter": length(&seen.pitch_diameter),
        "minor_diameter": length(&seen.minor_diameter),
        "crest_flat": length(&seen.crest_flat),
        "root_flat": length(&seen.root_flat),
        "left_flank": flank(&seen.left_flank),
        "right_flank": flank(&seen.right_flank),
        "starts": seen.starts.map(|s| json!({"likely": s.likely, "also_possible": s.also_possible})),
        "ridges": seen.ridges.len(),
        "notes": seen.notes,
    })
}

fn text_of(seen: &PhotoReadings, unit: Unit) -> String {
    let mut grid = grid();
    grid.set_header(["reading", "value", "± standard uncertainty"]);
    let length = |l: Length| show::value(&Value::Length(l, Fine::Gauge), unit);
    for (what, m) in [
        ("pitch", &seen.pitch),
        ("major diameter", &seen.major_diameter),
        ("pitch diameter", &seen.pitch_diameter),
        ("minor diameter", &seen.minor_diameter),
        ("crest flat", &seen.crest_flat),
        ("root flat", &seen.root_flat),
    ] {
        if let Some(m) = m {
            grid.add_row([what.to_owned(), length(m.value), length(m.u)]);
        }
    }
    let angle = |a: Angle| show::value(&Value::Angle(a, 1), unit);
    for (what, flank) in [("left flank", &seen.left_flank), ("right flank", &seen.right_flank)] {
        let (value, u) = match flank {
            FlankReading::Angle { axial, .. } => (angle(axial.value), angle(axial.u)),
            FlankReading::AtMost(a) => (format!("at most {}", angle(*a)), String::new()),
            FlankReading::Unread => ("not read".to_owned(), String::new()),
        };
        grid.add_row([what.to_owned(), value, u]);
    }
    let ratio = |v: f64| show::value(&Value::Number(v, 4), unit);
    grid.add_row([
        "pitch / major diameter".to_owned(),
        ratio(seen.pitch_to_major.value),
        ratio(seen.pitch_to_major.u),
    ]);
    if let Some(s) = seen.starts {
        let also = s.also_possible.map(|n| format!(", or {n}")).unwrap_or_default();
        grid.add_row(["starts".to_owned(), format!("{}{also}", s.likely), String::new()]);
    }
    let mut text = format!("{grid}\nThe hand does not show in a silhouette.\n");
    for note in &seen.notes {
        text.push_str(&format!("note: {note}\n"));
    }
    text
}
