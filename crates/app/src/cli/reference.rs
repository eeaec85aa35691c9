//! The commands that look threads up: limits of one, and the catalogue.

use super::args::CatalogueArgs;
use super::{Ended, Failed, Outcome, out, out_json};
use crate::{json, terminal};
use flankwise_bench::reference::{self, Asked, look_up};
use flankwise_thread::catalogue::Wanted;
use flankwise_thread::{Thread, Unit};

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
    let asked = Asked {
        family: a.family.as_deref().unwrap_or_default(),
        diameter: a.diameter.as_deref().unwrap_or_default(),
        within: &a.within,
        pitch: a.pitch.as_deref().unwrap_or_default(),
    };
    let wanted = asked.wanted(Unit::Mm).map_err(|(field, words)| format!("--{field}: {words}"))?;
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
