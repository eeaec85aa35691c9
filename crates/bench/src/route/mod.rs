//! Route: the ways of making it, side by side.
//!
//! Hours are reckoned item by item ([`time`]); money comes from the job's rates and offers, and what has no price
//! there is named and left open ([`price`]); what can go wrong, and what is lost then, is counted in ([`risk`]). The
//! person's own figures stand before all of these, and the way that is taken is theirs to choose. A way that cuts the
//! book's size instead of the mate's ranks behind those that reach the play wanted.

pub mod milling;
pub mod price;
pub mod risk;
pub mod tap_set;
pub mod taps;
pub mod time;

mod cast;
mod made;
mod offers;
mod say;
mod steps;
mod ways;

pub use say::MAKING;

use crate::fit::{self, Fit};
use crate::job::{Duty, Job, OwnWay, WayKind, Words};
use crate::report::{Block, Note, Outcome, Step, Text, Value};
use flankwise_thread::{Element, Length, Source};
use price::Sum;
use risk::Risk;

/// A way of making the part.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Which.
    pub kind: WayKind,
    /// Name in words.
    pub name: String,
    /// Hours of own work.
    pub hours: f64,
    /// Money to spend on tools, stock and parts.
    pub outlay: Sum,
    /// Hours at the rate, plus outlay; none where no rate is given.
    pub cost: Option<Sum>,
    /// Days until the part is in hand.
    pub days: f64,
    /// What could go wrong, how late, and what is lost then.
    pub risk: Risk,
    /// What must be bought.
    pub buy: Vec<Text>,
    /// What it cannot do for this thread, as the shop is told.
    pub cannot: Vec<Text>,
    /// What of it a customer has to know, in words for them.
    pub to_customer: Vec<Text>,
    /// Why it cannot be gone at all, if so; with what would make it possible.
    pub impossible: Option<Text>,
    /// Play that it gives at the tightest and the loosest place, where the mate was measured.
    pub play: Option<(Length, Length)>,
    /// Whether it gives what was asked: the play at the tightest place (nearly), and the material.
    pub as_asked: bool,
    /// Where the hours come from.
    pub items: Vec<time::Item>,
    /// Which of its figures are the person's own.
    pub own: Vec<&'static str>,
    /// Where those come from, in the person's words.
    pub own_note: Option<String>,
    /// The work in order, where it is not that of the other stages.
    pub steps: Vec<Step>,
    /// What it asks to be made or set for it: taps, the cutter's path, the film of wax.
    pub design: Vec<Block>,
}

impl Way {
    /// What is to be reckoned with: the cost and the loss expected; none where no rate is given.
    pub fn expected(&self, rate: Option<f64>) -> Option<f64> {
        Some(self.cost.as_ref()?.known + self.loss(rate)?)
    }
    /// Money that is lost on the average by work and material that are spoiled; none where no rate is given.
    pub fn loss(&self, rate: Option<f64>) -> Option<f64> {
        rate.map(|rate| self.risk.hours() * rate + self.risk.material())
    }
    /// Whether the thread is cut by the tool and the passes that the stages right of route plan.
    pub const fn by_single_point(&self) -> bool {
        matches!(self.kind, WayKind::SinglePoint | WayKind::Rechuck)
    }
    /// Whether it can be gone.
    pub const fn possible(&self) -> bool {
        self.impossible.is_none()
    }
}

/// The job's field that holds the choice.
pub const CHOICE: &str = "choice.way";

/// The way that the person has chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Chosen {
    /// Which.
    pub kind: WayKind,
    /// Why.
    pub because: Option<String>,
}

/// All ways, the one recommended, and the one chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Ways, the recommended first: those that give what was asked, those with every price known before those
    /// without, by cost and expected loss; then the impossible.
    pub ways: Vec<Way>,
    /// Pieces that hours and money are for.
    pub pieces: u32,
    /// Currency.
    pub currency: String,
    /// Price of an hour, where one is given.
    pub rate: Option<f64>,
    /// The person's choice.
    pub chosen: Option<Chosen>,
    /// Where hours come from, and what the ways ask for.
    pub detail: Vec<Block>,
}

impl Route {
    /// The recommended way; none where all are impossible.
    pub fn best(&self) -> Option<&Way> {
        self.ways.first().filter(|w| w.possible())
    }
    /// The way that is taken: the one chosen if it can be gone, else the one recommended.
    pub fn taken(&self) -> Option<&Way> {
        self.chosen_way().or_else(|| self.best())
    }
    /// The way chosen, if it can be gone.
    pub fn chosen_way(&self) -> Option<&Way> {
        self.chosen.as_ref().and_then(|c| self.way(c.kind)).filter(|w| w.possible())
    }
    /// Whether a way is chosen that cannot be gone, or is none for the part.
    pub fn refused(&self) -> bool {
        self.chosen.is_some() && self.chosen_way().is_none()
    }
    /// The way chosen, where it is another than a single point.
    pub fn other_way(&self) -> Option<&Way> {
        self.chosen_way().filter(|way| !way.by_single_point())
    }
    /// Whether the way chosen cuts the thread right through, wherever it was to end.
    pub fn goes_through(&self) -> bool {
        self.chosen_way().is_some_and(|w| w.kind == WayKind::Rechuck)
    }
    /// The way of this kind, if it is one for the part.
    pub fn way(&self, kind: WayKind) -> Option<&Way> {
        self.ways.iter().find(|w| w.kind == kind)
    }
}

/// Compares ways.
pub fn work(fit: &Fit, job: &Job) -> Outcome<Route> {
    let material = fit.stuff();
    let ground = ways::Ground { fit, job, material, pieces: f64::from(job.make.pieces.max(1)) };
    let mut all: Vec<Way> = ways::all(&ground).into_iter().map(|way| with_own(way, job)).collect();
    let rate = job.rates.hour;
    all.sort_by(|a, b| order(a, rate).partial_cmp(&order(b, rate)).unwrap_or(std::cmp::Ordering::Equal));
    let route = Route {
        detail: say::detail(&ground, &all),
        ways: all,
        pieces: job.make.pieces.max(1),
        currency: job.rates.currency().to_owned(),
        rate,
        chosen: job.choice.way.map(|kind| Chosen { kind, because: job.choice.because.clone() }),
    };
    let notes = notes(&route, fit, job);
    let mut outcome = Outcome::ready(route);
    outcome.notes = notes;
    if job.lathe.is_none() {
        outcome = outcome.need("lathe", "the lathe: without one in the job nothing is turned here");
    }
    if rate.is_none() {
        outcome = outcome.need(
            "rates.hour",
            "price of an hour of work: without it the ways are ranked by their hours, and cost no more than is spent",
        );
    }
    if job.choice.way.is_none() && job.choice.because.is_some() {
        outcome = outcome.need(CHOICE, "which way it is that the reason given (choice.because) is for");
    }
    if job.choice.way.is_some() && job.choice.because.is_none() {
        outcome = outcome.need("choice.because", "why this way: the sheets say it beside the way");
    }
    outcome
}

/// Rank: what gives what was asked, then what has its prices, then by cost and expected loss, or by hours alone.
fn order(way: &Way, rate: Option<f64>) -> (bool, bool, bool, f64) {
    let open = way.cost.as_ref().is_some_and(|c| !c.closed());
    let weight = way.expected(rate).unwrap_or_else(|| way.hours + way.risk.hours());
    (!way.possible(), !way.as_asked, open, weight)
}

/// The person's own figures put in place of those reckoned.
fn with_own(mut way: Way, job: &Job) -> Way {
    let Some(own) = job.own_ways.iter().find(|o| o.way == way.kind) else { return way };
    let OwnWay { hours, outlay, price, days, chance, note, .. } = own;
    way.own_note.clone_from(note);
    way.risk = way.risk.with_own(own, way.hours);
    if let Some(hours) = *hours {
        way.days += ways::days(hours) - ways::days(way.hours);
        way.hours = hours;
        way.cost = job.rates.hour.map(|rate| Sum::known(hours * rate).plus(way.outlay.clone()));
        way.own.push("hours");
    }
    if let Some(outlay) = *outlay {
        way.outlay = Sum::known(outlay);
        way.cost = job.rates.hour.map(|rate| Sum::known(way.hours * rate + outlay));
        way.own.push("outlay");
    }
    if let Some(price) = *price {
        way.cost = Some(Sum::known(price));
        way.own.push("price");
    }
    if let Some(days) = *days {
        way.days = days;
        way.own.push("days");
    }
    if chance.is_some() {
        way.own.push("chance");
    }
    way
}

/// Everything worth saying beside the tables.
fn notes(route: &Route, fit: &Fit, job: &Job) -> Vec<Note> {
    let mut notes = Vec::new();
    notes.extend(choice(route, fit));
    notes.extend(right_through(route, job));
    notes.extend(offers::notes(fit, job));
    notes.extend(both_new(fit, job));
    notes.extend(worth_asking(route));
    notes.extend(job.own_ways.iter().enumerate().filter_map(|(i, own)| too_cheap(i, own, route)));
    for (i, own) in job.own_ways.iter().enumerate().filter(|(_, o)| route.way(o.way).is_none()) {
        let text = format!(
            "Your figures for “{}” are not used: that is no way to make this {} with what is in the job.",
            own.way.word(),
            fit::word(fit.part)
        );
        notes.push(Note::remark(text).field(format!("way[{}].way", i + 1)));
    }
    if job.make.duty == Duty::Lift {
        notes.push(
            Note::caution(
                "For a load that could fall, a rated part with its maker's papers stands before anything made here; which one is for the competent person to say.",
                Source::table("HSE SIM 03/2010/2 (LOLER)", "lifting equipment and its examination"),
            )
            .field("make.duty"),
        );
    }
    if route.best().is_none() {
        notes.push(Note::impossible(
            "None of the ways can be gone with what is in the job; each says what would make it possible.",
        ));
    }
    notes
}

/// Says that hours and prices are those of one part where two are made.
fn both_new(fit: &Fit, job: &Job) -> Option<Note> {
    let (part, mate) = (fit::word(fit.part), fit::word(fit::other(fit.part)));
    job.make.mate_new.then(|| {
        Note::warning(format!(
            "Hours and prices are for the {part} alone. The {mate}, made new as well, is not in them: plan it as a job of its own (make.part = \"{mate}\") and add both."
        ))
        .field("make.mate_new")
    })
}

/// What there is to say of the person's choice.
fn choice(route: &Route, fit: &Fit) -> Option<Note> {
    let chosen = route.chosen.as_ref()?;
    let field = CHOICE;
    let Some(way) = route.way(chosen.kind) else {
        let why = match (chosen.kind, fit.part) {
            (WayKind::ThreadMill, _) => "it needs a milling machine ([mill]) in the job".to_owned(),
            (WayKind::Cast, Element::External) => {
                "resin takes its form from the screw that it is poured round, and a screw made of it would carry nothing".to_owned()
            }
            _ => format!("it is no way to make a {}", fit::word(fit.part)),
        };
        let text = format!("The way chosen, “{}”, cannot be gone: {why}.", chosen.kind.word());
        return Some(Note::impossible(text).field(field));
    };
    if let Some(why) = &way.impossible {
        let text =
            Text::from(format!("The way chosen, “{}”, cannot be gone as the job stands now. ", way.name));
        return Some(Note::impossible(text.text(why.clone())).field(field));
    }
    let best = route.best().filter(|best| best.kind != way.kind)?;
    let more = way.expected(route.rate)? - best.expected(route.rate)?;
    let text = Text::from(format!("“{}” is chosen; “{}” would come to ", way.name, best.name));
    let money = Value::Money(more.abs(), route.currency.clone());
    let text = text.v(money).s(if more >= 0.0 { " less" } else { " more" }).s(", risk counted in");
    // What has no price on one side only would shift that: it is said, and not taken as nothing.
    let open = |of: &Way, beside: &Way| -> Vec<String> {
        let list = |w: &Way| w.cost.as_ref().map(|c| c.open.clone()).unwrap_or_default();
        list(of).into_iter().filter(|what| !list(beside).contains(what)).collect()
    };
    let prices = |list: &[String], beyond: &str| match list {
        [] => String::new(),
        list => format!(", {beyond} the price of {}, which is still to be asked for", list.join(" and ")),
    };
    // The way chosen costs so much more on top, or the other does.
    let (taken_up, given_up) = if more >= 0.0 { ("and less by", "but for") } else { ("less", "and") };
    let text = text.s(prices(&open(way, best), taken_up)).s(prices(&open(best, way), given_up));
    Some(Note::remark(text.s(".")).field(field))
}

/// A price of the person's own that does not even pay the hours of its way.
fn too_cheap(i: usize, own: &OwnWay, route: &Route) -> Option<Note> {
    let (price, way) = (own.price?, route.way(own.way)?);
    let labour = way.hours * route.rate?;
    let money = |amount| Value::Money(amount, route.currency.clone());
    (price < labour).then(|| {
        Note::warning(
            Text::from(format!("Your price for “{}”, ", way.name))
                .v(money(price))
                .s(", is less than its hours alone come to: ")
                .v(money(labour))
                .s(". If the hours are fewer, say so (hours of the same [[way]])."),
        )
        .field(format!("way[{}].price", i + 1))
    })
}

/// What a choice that goes right through does to a thread that was to end blind.
fn right_through(route: &Route, job: &Job) -> Option<Note> {
    if !route.goes_through() || job.make.through {
        return None;
    }
    let mut text = Text::from("Put back in the chuck, the thread is cut right through");
    if let (Some(relief), Some(length)) = (job.make.relief, job.right_through().make.length) {
        text = text
            .s(": the groove of ")
            .len(relief)
            .s(" is left out and the thread takes its room, ")
            .len(length)
            .s(" in all");
    }
    let text = text.s(
        ". Sizes, tool, lathe and passes are planned for that; the ways are compared for the part as asked.",
    );
    Some(Note::remark(text).field("choice.way"))
}

/// Below which price a way whose price is open would be the cheapest.
fn worth_asking(route: &Route) -> Vec<Note> {
    let Some(best) = route.best().filter(|b| b.cost.as_ref().is_some_and(Sum::closed)) else {
        return Vec::new();
    };
    let Some(limit) = best.expected(route.rate) else { return Vec::new() };
    let rivals = route.ways.iter().filter(|w| w.possible() && w.as_asked == best.as_asked);
    rivals
        .filter_map(|way| {
            let [open] = &way.cost.as_ref()?.open[..] else { return None };
            let room = limit - way.expected(route.rate)?;
            (room > 0.0).then(|| {
                Note::remark(
                    Text::from(format!("{} would be cheaper if {open} costs less than ", way.name))
                        .v(Value::Money(room, route.currency.clone()))
                        .s(": worth asking."),
                )
                .field("offer")
            })
        })
        .collect()
}
