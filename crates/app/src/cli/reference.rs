//! The commands that look threads up: limits of one, and the catalogue.

use super::args::CatalogueArgs;
use super::{Ended, Failed, Outcome, out, out_json};
use crate::{json, terminal};
use flankwise_bench::reference::{self, look_up};
use flankwise_thread::catalogue::Wanted;
use flankwise_thread::quantity::{parse_length, parse_pitch};
use flankwise_thread::{Family, Length, Thread, Unit};

/// Limits of size of a thread, and what else is known of it.
pub(super) fn limits(designation: &str, as_json: bool, unit: Option<Unit>, origins: bool) -> Outcome {
    let thread: Thread = designation.parse().map_err(Failed::from)?;
    let found = look_up(&thread);
    let limits = found.limits.as_ref().map_err(|e| format!("{designation}: {e}"))?;
    if as_json {
        out_json(&json::reference(&found, limits))
    } else {
        let unit = unit.unwrap_or(thread.nominal_written);
        out(&terminal::answered(&found.answer(), &found.blocks(), unit, origins))
    }
}

/// Listed sizes.
pub(super) fn catalogue(a: &CatalogueArgs) -> Outcome {
    let unit = a.unit.into();
    let wanted = wanted(a)?;
    if let Some(near) = &a.near {
        let thread: Thread = near.parse().map_err(|e| format!("--near: {e}"))?;
        let wanted = Wanted { diameter: Some(thread.nominal), pitch: Some(thread.pitch.length), ..wanted };
        let found = wanted.nearest(a.most);
        if a.json {
            return out_json(&serde_json::json!({"sizes": json::listed(&found)}));
        }
        return out(&terminal::one_table(&reference::sizes(format!("Nearest to {thread}"), &found), unit));
    }
    if wanted == Wanted::default() && !a.json {
        return out(&terminal::one_table(&reference::families(), unit));
    }
    let found = wanted.matching();
    if found.is_empty() {
        let near = wanted.nearest(a.most);
        if a.json {
            out_json(&serde_json::json!({"sizes": [], "nearest": json::listed(&near)}))?;
        } else if near.is_empty() {
            out(&(reference::no_list(&wanted) + "\n"))?;
        } else {
            let title = reference::NO_MATCH.to_owned();
            out(&terminal::one_table(&reference::sizes(title, &near), unit))?;
        }
        return Ok(Ended::No);
    }
    if a.json {
        return out_json(&serde_json::json!({"sizes": json::listed(&found)}));
    }
    let title = reference::count(found.len());
    out(&terminal::one_table(&reference::sizes(title, &found), unit))
}

fn wanted(a: &CatalogueArgs) -> Result<Wanted, Failed> {
    let length = |option: &str, text: &str| -> Result<Length, Failed> {
        let (length, _) = parse_length(text, Unit::Mm).map_err(|e| format!("{option}: {e}"))?;
        if length.to_mm() > 0.0 {
            Ok(length)
        } else {
            Err(format!("{option}: read {text}; accepted is a length above zero").into())
        }
    };
    let pitch = match a.pitch.as_deref() {
        Some(text) => match parse_pitch(text, Unit::Mm).map_err(|e| format!("--pitch: {e}"))?.0 {
            pitch if pitch > Length::ZERO => Some(pitch),
            _ => return Err(format!("--pitch: read {text}; accepted is a pitch above zero").into()),
        },
        None => None,
    };
    Ok(Wanted {
        family: a.family.as_deref().map(family).transpose()?,
        diameter: a.diameter.as_deref().map(|text| length("--diameter", text)).transpose()?,
        within: length("--within", &a.within)?,
        pitch,
        ..Wanted::default()
    })
}

/// The family of a key, or of a name in words.
fn family(text: &str) -> Result<Family, Failed> {
    Family::from_key(text).ok_or_else(|| {
        let keys: Vec<_> = Family::ALL.iter().map(|f| f.form().key()).collect();
        Failed::from(format!("--family: read `{text}`; accepted is one of {}", keys.join(", ")))
    })
}
