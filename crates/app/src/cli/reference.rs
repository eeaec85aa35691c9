//! The commands that look threads up: limits of one, and the catalogue.

use super::args::{CatalogueArgs, CompareArgs};
use super::{Ended, Failed, Outcome, out, out_json};
use crate::{json, terminal};
use flankwise_bench::identity::{self, Terms};
use flankwise_bench::job::Words;
use flankwise_bench::reference::{self, Asked, look_up};
use flankwise_thread::catalogue::Wanted;
use flankwise_thread::{Length, Thread, Unit, quantity};

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
    let thread = |text: &str| text.parse::<Thread>().map_err(Failed::from);
    let (first, second) = (thread(&a.a)?, thread(&a.b)?);
    let word = |field: &str, text: &str, words: &[&str]| {
        format!("--{field}: read `{text}`; accepted: one of: {}", words.join(", "))
    };
    let length = |field: &str, text: &str| -> Result<Length, String> {
        match quantity::parse_length(text, Unit::Mm) {
            Ok((length, _)) if length > Length::ZERO => Ok(length),
            Ok(_) => Err(format!("--{field}: read `{text}`; accepted: a length of more than zero")),
            Err(e) => Err(format!("--{field}: {e}")),
        }
    };
    let instruments: Vec<_> = a
        .instruments
        .iter()
        .map(|i| Words::from_word(i).ok_or_else(|| word("with", i, flankwise_bench::job::Instrument::WORDS)))
        .collect::<Result<_, String>>()?;
    let condition = Words::from_word(&a.condition)
        .ok_or_else(|| word("condition", &a.condition, flankwise_bench::job::Condition::WORDS))?;
    let unit = a.unit.map_or(first.nominal_written, Unit::from);
    let terms = Terms {
        instruments,
        wires: a.wires.iter().map(|w| length("wire", w)).collect::<Result<_, String>>()?,
        condition,
        play: length("play", &a.play)?,
        length: a.length.as_deref().map(|l| length("length", l)).transpose()?,
        unit,
    };
    let both = identity::beside(&first, &second, &terms);
    if a.json {
        return out_json(&json::beside(&both));
    }
    out(&terminal::answered(&both.answer(), &both.blocks(), unit, false))
}
