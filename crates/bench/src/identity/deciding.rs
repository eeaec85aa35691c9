//! Which reading would decide between the first candidate and its strongest rivals.
//!
//! Of everything that the instruments can read, the one whose results lie furthest apart in standard deviations
//! ([`super::beside`]), readings of a kind already taken apart. First with what is at hand; where that does not tell the
//! two apart, with any instrument.

use super::beside::{Reads, Terms, beside};
use super::model::Model;
use super::rank::{Ranked, Ranking};
use super::verdict::serve_alike;
use crate::report::{Fine, Note, Text, Value, show};

/// Share from which a rival is worth a reading, and how many are. Chosen here.
const RIVAL: f64 = 0.05;
const MOST: usize = 2;
/// Distance in standard deviations from which one good reading decides, and below which it tells next to nothing: the
/// nearer of two is then right in 93 and in 69 of a hundred cases.
const DECIDES: f64 = 3.0;
const TELLS: f64 = 1.0;

/// A note for each rival that one more reading could tell from the first candidate.
pub(super) fn notes(model: &Model, ranking: &Ranking, first: &Ranked) -> Vec<Note> {
    let suspect = first.suspect();
    let likely = ranking.ranked.iter().skip(1).take_while(|r| r.probability >= RIVAL);
    // What differs at the root only is one for whoever makes the mate.
    let rivals = likely.filter(|r| !serve_alike(&suspect, &r.suspect()));
    rivals.take(MOST).filter_map(|rival| note(model, first, rival)).collect()
}

fn note(model: &Model, first: &Ranked, rival: &Ranked) -> Option<Note> {
    let at_hand = Terms::of(model.job);
    let any = Terms { instruments: Terms::readers().collect(), wires: Vec::new(), ..at_hand.clone() };
    let best_by = |terms: &Terms| best(model, first, rival, terms);
    let here = best_by(&at_hand).filter(|r| r.deviations >= TELLS);
    let elsewhere = best_by(&any).filter(|r| r.deviations >= DECIDES);
    let (reads, decides) = match (here, elsewhere) {
        (Some(here), _) if here.deviations >= DECIDES => (here, "decides"),
        (_, Some(any)) => (any, "would decide, and what is at hand does not"),
        (Some(here), None) => (here, "tells most, and does not settle it alone"),
        (None, None) => return None,
    };
    let said = |q| {
        let value = match q {
            crate::job::Quantity::Length(l, _) => Value::Length(l, Fine::Shop),
            crate::job::Quantity::Angle(a) => Value::Angle(a, 1),
        };
        show::value(&value, model.job.unit)
    };
    let text = Text::new()
        .s(format!("{} or {} (", first.thread(), rival.thread()))
        .v(Value::Share(first.probability))
        .s(" and ")
        .v(Value::Share(rival.probability))
        .s(format!(
            "): {} {decides}: about {} on the first, {} on the other, {:.1} standard deviations apart.",
            reads.what,
            said(reads.a),
            said(reads.b),
            reads.deviations
        ));
    Some(Note::remark(text))
}

/// The reading not taken yet whose results lie furthest apart.
fn best(model: &Model, first: &Ranked, rival: &Ranked, terms: &Terms) -> Option<Reads> {
    let taken = |reads: &Reads| {
        let typed = |at: usize| model.job.readings.get(model.evidence.readings[at].index);
        (0..model.evidence.readings.len())
            .filter_map(typed)
            .any(|r| r.feature == reads.feature && r.instrument == reads.with)
    };
    let compared = beside(&first.thread(), &rival.thread(), terms);
    compared.reads.into_iter().find(|reads| !taken(reads))
}
