//! What is on hand or on offer, and whether it is for this thread.

use super::price::Sum;
use crate::fit::Fit;
use crate::job::{Job, Offer, OfferKind, Words};
use crate::report::{Note, Text, Value};
use flankwise_thread::{Length, Thread};

/// What a thing that a way needs costs, and how long it takes to come.
pub(super) struct Terms {
    pub price: Sum,
    pub days: f64,
    /// What is to be bought, with what the offer says of it; none where it is on hand.
    said: Option<(Text, Option<String>)>,
}

impl Terms {
    /// The line of what is to be bought; none where it is on hand. `priced` where the person has named a price for the
    /// whole way: nothing is to be asked for then.
    pub(super) fn line(&self, currency: &str, priced: bool) -> Option<Text> {
        let (said, note) = self.said.clone()?;
        let price = match (self.price.closed(), priced) {
            (true, _) => Some(Text::new().v(Value::Money(self.price.known, currency.to_owned()))),
            (false, false) => Some(Text::from("ask for a price")),
            (false, true) => None,
        };
        let inside = price.into_iter().chain(note.map(Text::from)).reduce(|all, next| all.s(", ").text(next));
        Some(match inside {
            Some(inside) => said.s(" (").text(inside).s(")"),
            None => said,
        })
    }
}

/// Same thread, classes left aside.
fn same(a: &Thread, b: &Thread) -> bool {
    let near = |x: Length, y: Length| (x - y).abs() < Length::um(1.0);
    a.family == b.family
        && near(a.nominal, b.nominal)
        && near(a.pitch.length, b.pitch.length)
        && a.starts == b.starts
        && a.hand == b.hand
}

/// Whether offers of this kind are made for one thread.
const fn threaded(kind: OfferKind) -> bool {
    matches!(kind, OfferKind::Tap | OfferKind::Die | OfferKind::Part)
}

/// The best offer of a kind for this thread: on hand before cheap before without a price.
pub(super) fn best<'j>(fit: &Fit, job: &'j Job, kind: OfferKind) -> Option<&'j Offer> {
    let fits = |o: &&Offer| {
        o.kind == kind && (!threaded(kind) || o.thread.as_ref().is_some_and(|t| same(t, &fit.thread)))
    };
    let key = |o: &Offer| if o.on_hand { -1.0 } else { o.price.unwrap_or(f64::MAX) };
    job.offers.iter().filter(fits).min_by(|a, b| key(a).total_cmp(&key(b)))
}

/// What `what` costs by the offers, or by `reckoned` where none has a price; nobody's price is made up. `what` names it
/// for a sum that is open, `said` in the line of what is to be bought.
pub(super) fn terms(
    fit: &Fit,
    job: &Job,
    kind: OfferKind,
    (what, said): (&str, Text),
    reckoned: Option<f64>,
    usual_days: f64,
) -> Terms {
    let offer = best(fit, job, kind);
    if offer.is_some_and(|o| o.on_hand) {
        return Terms { price: Sum::default(), days: 0.0, said: None };
    }
    let offered = offer.and_then(|o| Some(o.price? * lots(o, job)));
    Terms {
        price: Sum::of(offered.or(reckoned), what),
        days: offer.and_then(|o| o.days).unwrap_or(usual_days),
        said: Some((said, offer.and_then(|o| o.note.clone()))),
    }
}

/// How many times an offer is taken for all the pieces: stock and parts go into the pieces, everything else serves for
/// all of them.
fn lots(offer: &Offer, job: &Job) -> f64 {
    match offer.kind {
        OfferKind::Stock | OfferKind::Part => f64::from(job.make.pieces.max(1).div_ceil(offer.pieces.max(1))),
        OfferKind::Tap | OfferKind::Die | OfferKind::Bar | OfferKind::ToolSteel | OfferKind::Resin => 1.0,
    }
}

/// Offers that do not count, and those that lack a price.
pub(super) fn notes(fit: &Fit, job: &Job) -> Vec<Note> {
    let note = |(i, offer): (usize, &Offer)| {
        let (kind, field) = (offer.kind.word(), |name: &str| format!("offer[{}].{name}", i + 1));
        match &offer.thread {
            Some(thread) if threaded(offer.kind) && !same(thread, &fit.thread) => Some(
                Note::warning(format!(
                    "The {kind} on offer is for {thread}, and the thread is {}: it does not count.",
                    fit.thread
                ))
                .field(field("thread")),
            ),
            None if threaded(offer.kind) => Some(
                Note::warning(format!("The {kind} on offer names no thread: it does not count."))
                    .field(field("thread")),
            ),
            _ if offer.price.is_none() && !offer.on_hand => Some(
                Note::remark(format!("The offer of {} has no price: the sum stays open.", article(kind)))
                    .field(field("price")),
            ),
            _ => None,
        }
    };
    job.offers.iter().enumerate().filter_map(note).collect()
}

fn article(kind: &str) -> String {
    match kind {
        "stock" | "tool steel" | "resin" => kind.to_owned(),
        _ => format!("a {kind}"),
    }
}
