//! The commands that look threads up: limits of one, and the catalogue.

use super::args::{CatalogueArgs, CompareArgs};
use super::{Ended, Failed, Outcome, out, out_json};
use crate::{json, terminal};
use flankwise_bench::identity;
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
    let found = reference::search(wanted, a.most);
    match (a.json, found.nothing()) {
        (true, _) if found.matched => out_json(&serde_json::json!({"sizes": json::listed(&found.rows)}))?,
        (true, _) => out_json(&serde_json::json!({"sizes": [], "nearest": json::listed(&found.rows)}))?,
        (false, Some(words)) => out(&(words + "\n"))?,
        (false, None) => out(&terminal::one_table(&found.table(usize::MAX), unit))?,
    };
    Ok(if found.matched { Ended::Done } else { Ended::No })
}

/// Two threads side by side.
pub(super) fn compare(a: &CompareArgs) -> Outcome {
    let asked = identity::Asked {
        a: a.a.clone(),
        b: a.b.clone(),
        with: a.instruments.clone(),
        wire: a.wires.clone(),
        condition: a.condition.clone(),
        play: a.play.clone(),
        length: a.length.clone().unwrap_or_default(),
    };
    let unit = a.unit.map_or_else(|| asked.unit(), Unit::from);
    let (first, second, terms) = asked.read(Unit::Mm, unit).map_err(|wrong| {
        let option = |field: &str| match field {
            "a" => "the first thread".to_owned(),
            "b" => "the second thread".to_owned(),
            field => format!("--{field}"),
        };
        let told: Vec<_> = wrong.iter().map(|(field, words)| format!("{}: {words}", option(field))).collect();
        told.join("\n")
    })?;
    let both = identity::beside(&first, &second, &terms);
    if a.json {
        return out_json(&json::beside(&both));
    }
    out(&terminal::answered(&both.answer(), &both.blocks(), unit, false))
}
