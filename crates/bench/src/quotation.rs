//! The quotation for the customer: what was found, what is proposed, every way with its price, and what to know before
//! agreeing. Plain words and rounded prices; hours, rates and formulas stay in the shop.
//!
//! It takes what the stages came to and computes nothing of the part; paper, page and command line show the same
//! [`Quotation`].

use crate::Whole;
use crate::fit::{self, Fit, Wear};
use crate::identity::{Identity, SURE};
use crate::job::{Job, Make, NutKind, Terms, WayKind};
use crate::material;
use crate::report::{
    Block, Fine, Mark, Note, NoteKind, Outcome, Row, StageName, Table, Text, Value, columns,
};
use crate::route::{self, Route, Way};
use flankwise_thread::{Element, Hand, Length};

/// A way as the customer is offered it.
#[derive(Clone, Debug, PartialEq)]
pub struct Offered {
    /// Which.
    pub kind: WayKind,
    /// What they get, in a sentence.
    pub what: String,
    /// Price for all pieces, rounded; none while a price within it is still to be asked.
    pub price: Option<f64>,
    /// What of it is known while it has none, rounded, and what comes on top; none where nothing is known.
    pub from: Option<(f64, String)>,
    /// Working days.
    pub days: f64,
    /// Chance that it has to be done again.
    pub again: f64,
    /// Play between screw and nut, tightest and loosest, where the mate was measured; none that is below nothing.
    pub play: Option<(Length, Length)>,
    /// What the customer has to know of it.
    pub remarks: Vec<Text>,
    /// The one that is proposed.
    pub proposed: bool,
}

/// A line that the person fills in: its label, what it says, and the job's field.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Label.
    pub label: &'static str,
    /// What it says; on paper a rule to write on where it is empty.
    pub text: Option<String>,
    /// The field of the job.
    pub field: &'static str,
}

/// A quotation.
#[derive(Clone, Debug, PartialEq)]
pub struct Quotation {
    /// Its number.
    pub number: Option<String>,
    /// What was found, a paragraph each.
    pub found: Vec<Text>,
    /// What is proposed, a paragraph each.
    pub proposed: Vec<Text>,
    /// Ways with their prices, the one proposed first.
    pub offered: Vec<Offered>,
    /// Currency of the prices.
    pub currency: String,
    /// Pieces that they are for.
    pub pieces: u32,
    /// Why it is a draft that nobody signs; none where it may be signed.
    pub draft: Option<Text>,
    /// Until when it holds, taxes, terms.
    pub lines: [Line; 3],
    /// Cautions on the part in use.
    pub cautions: Vec<Note>,
    /// What stands below everything.
    pub closing: String,
}

/// What the sizes hold for, and whom to ask where the load could fall.
pub fn closing(job: &Job, fit: Option<&Fit>) -> String {
    let (part, mate) = (fit::word(job.make.part), fit::word(fit::other(job.make.part)));
    let sizes = if job.make.mate_new {
        "The sizes are the standard's, for a screw and a nut that are both new.".to_owned()
    } else if fit.is_some_and(|f| f.travelled.is_some()) {
        format!("The {part} is made for the {mate} that was measured and holds for that one.")
    } else {
        format!("The {mate}'s flanks were not measured: the sizes are the standard's.")
    };
    format!(
        "{sizes} Where a load could fall on someone if the thread failed, have a licensed practitioner look at it, and follow your local codes."
    )
}

/// Draws up the quotation of a job. None while something asked for cannot be done, the way chosen among it: the notes
/// say what, and the customer is offered nothing in its place unasked.
pub fn work(job: &Job, whole: &Whole) -> Outcome<Quotation> {
    let barred = barred(whole);
    if !barred.is_empty() {
        return Outcome { result: None, needs: Vec::new(), notes: barred };
    }
    let (Some(identity), Some(fit), Some(route)) =
        (&whole.identity.result, &whole.fit.result, &whole.route.result)
    else {
        let needs = StageName::ALL.into_iter().map(|s| whole.said(s)).find(|s| s.section.is_none());
        return Outcome {
            result: None,
            needs: needs.map(|s| s.needs.to_vec()).unwrap_or_default(),
            notes: Vec::new(),
        };
    };
    let lines = lines(&job.quotation);
    let mut outcome = Outcome::ready(Quotation {
        number: job.quotation.number.clone(),
        found: found(identity, Some(fit)),
        proposed: proposed(fit, route, job),
        offered: offered(whole, route, job),
        currency: job.rates.currency().to_owned(),
        pieces: job.make.pieces.max(1),
        draft: draft(identity),
        lines: lines.clone(),
        cautions: cautions(whole),
        closing: closing(job, Some(fit)),
    });
    if let Some(why) = outcome.result.as_ref().and_then(|q| q.draft.clone()) {
        outcome.notes.push(Note::warning(why).field("identity.thread"));
    }
    outcome.notes.extend(lapsed(job));
    for what in unpriced(route) {
        outcome = outcome.need("offer", format!("the price of {what}: without it the offer has no sum"));
    }
    for line in lines.iter().filter(|l| l.text.is_none()) {
        outcome =
            outcome.need(line.field, format!("{}: left open to be filled in", line.label.to_lowercase()));
    }
    if job.rates.hour.is_none() {
        outcome = outcome.need("rates.hour", "price of an hour of work: without it nothing can be priced");
    }
    outcome
}

/// What must be settled before anything is offered: what the thread and its fit forbid, a choice that cannot be gone, and
/// what keeps tool and lathe from the way that is taken.
fn barred(whole: &Whole) -> Vec<Note> {
    let forbids = |stage| whole.lists(stage).1.iter().filter(|n| n.kind == NoteKind::Impossible);
    let choice = forbids(StageName::Route).filter(|n| n.field == route::CHOICE);
    let notes = forbids(StageName::Identity).chain(forbids(StageName::Fit)).chain(choice).cloned();
    notes.chain(whole.said(StageName::Route).barred).collect()
}

/// Why the quotation is no more than a draft: it is not settled which thread it is.
fn draft(identity: &Identity) -> Option<Text> {
    let known = identity.candidates.iter().find(|c| c.thread == identity.thread).map(|c| c.probability);
    if identity.chosen_by_hand || known.is_some_and(|p| p >= SURE) {
        return None;
    }
    Some(
        Text::from("A draft, not to be signed: that the thread is ")
            .s(identity.thread.to_string())
            .s(" is ")
            .v(known.map_or_else(|| Value::Word("not".into()), Value::Share))
            .s(" likely, and more has to be measured first."),
    )
}

/// That the quotation would have lapsed before it was written.
fn lapsed(job: &Job) -> Option<Note> {
    let (valid, date) = (job.quotation.valid.as_deref()?, job.people.date.as_deref()?);
    (day(valid)? < day(date)?).then(|| {
        Note::warning(format!("“Valid until {valid}” lies before the date of the job, {date}."))
            .field("quotation.valid")
    })
}

/// A date written as in ISO 8601, `2026-12-31`; none where it is written otherwise.
fn day(typed: &str) -> Option<(u32, u32, u32)> {
    let mut parts = typed.trim().splitn(3, '-').map(|part| part.parse().ok());
    Some((parts.next()??, parts.next()??, parts.next()??))
}

/// What the way that is taken has no price for.
fn unpriced(route: &Route) -> Vec<String> {
    route.taken().and_then(|w| w.cost.as_ref()).map(|c| c.open.clone()).unwrap_or_default()
}

fn lines(terms: &Terms) -> [Line; 3] {
    [
        Line { label: "Valid until", text: terms.valid.clone(), field: "quotation.valid" },
        Line { label: "Taxes", text: terms.taxes.clone(), field: "quotation.taxes" },
        Line { label: "Payment and delivery", text: terms.terms.clone(), field: "quotation.terms" },
    ]
}

/// Step to which a price of this size is rounded up where the person names none. Chosen here: what a shop would write.
fn usual_step(price: f64) -> f64 {
    match price {
        p if p < 100.0 => 1.0,
        p if p < 1000.0 => 5.0,
        p if p < 5000.0 => 10.0,
        _ => 50.0,
    }
}

/// A cost as it is quoted: with what the person adds, rounded up.
pub fn quoted(cost: f64, terms: &Terms) -> f64 {
    let price = cost * (1.0 + terms.added.unwrap_or(0.0));
    let step = terms.round_to.unwrap_or_else(|| usual_step(price));
    // Binary fractions must not lift a price that is already round.
    ((price / step - 1e-9).ceil() * step).max(0.0)
}

/// Words for a chance: `about 1 in 12`.
pub fn one_in(chance: f64) -> String {
    match chance {
        c if c < 0.005 => "hardly any".to_owned(),
        c if c <= 0.4 => format!("about 1 in {:.0}", 1.0 / c),
        c if c <= 0.6 => "as likely as not".to_owned(),
        c if c <= 0.9 => "likely".to_owned(),
        _ => "almost certain".to_owned(),
    }
}

/// What was found, in plain words, a paragraph each: the thread, what was told of it, and how the mate is worn.
pub fn found(identity: &Identity, fit: Option<&Fit>) -> Vec<Text> {
    let thread = &identity.thread;
    let form = thread.family.form().name();
    let mut first = Text::from(format!("The thread is {thread}: {form}, "))
        .v(Value::Length(thread.nominal, Fine::Shop))
        .s(" over the crests of the screw, a pitch of ")
        .v(Value::Pitch(thread.pitch))
        .s(", ")
        .s(match thread.hand {
            Hand::Right => "right-hand",
            Hand::Left => "left-hand",
        });
    if thread.starts > 1 {
        first = first.s(format!(", {} starts", thread.starts));
    }
    let known = identity.candidates.iter().find(|c| c.thread == identity.thread).map(|c| c.probability);
    first = first.s(match known {
        _ if identity.chosen_by_hand => ". This is our own judgement.",
        Some(p) if p >= 0.99 => ". The measurements leave no real doubt.",
        Some(p) if p >= SURE => ". The measurements make that nearly certain.",
        Some(p) if p >= 0.7 => ". That is very likely; a last measurement settles it before metal is cut.",
        _ => ". That is the likeliest; more has to be measured before metal is cut.",
    });
    let mut paragraphs = vec![first];
    if let Some(story) = &identity.story {
        let told = story.told.trim_end_matches('.');
        paragraphs.push(Text::from(match story.stands {
            Some(true) => format!("It was said to be “{told}”, and the measurements agree."),
            Some(false) => format!("It was said to be “{told}”; the measurements speak against it."),
            None => format!("It was said to be “{told}”."),
        }));
    }
    paragraphs.extend(fit.and_then(uneven));
    paragraphs.extend(fit.and_then(worn));
    paragraphs
}

/// What a part of the standard's size would do on a mate that is worn unevenly.
fn uneven(fit: &Fit) -> Option<Text> {
    let (along, book) = (fit.travelled?, fit.play_range_by_book()?);
    (along.loosest.play() - along.tightest.play() > Length::mm(0.02)).then(|| {
        Text::from(format!(
            "The {} is worn unevenly. A {} of the standard's size would have ",
            fit::word(fit::other(fit.part)),
            fit::word(fit.part)
        ))
        .v(Value::Band(book.0, book.1, Fine::Play))
        .s(" of play along its travel.")
    })
}

/// That the mate should be renewed too, where it should.
fn worn(fit: &Fit) -> Option<Text> {
    let (part, mate) = (fit::word(fit.part), fit::word(fit::other(fit.part)));
    match fit.mate_wear? {
        Wear::Stays => None,
        Wear::Consider => Some(format!(
            "The old {mate} is worn itself, and no new {part} cures that: renewing the {mate} as well is worth thinking of."
        )),
        Wear::Replace => Some(format!(
            "The old {mate} is worn so far that it should be renewed as well: a new {part} alone would not run well on it, or not for long."
        )),
    }
    .map(Text::from)
}

fn proposed(fit: &Fit, route: &Route, job: &Job) -> Vec<Text> {
    let Some(way) = route.taken() else {
        return vec![Text::from(
            "We make no offer as things stand: with what is at hand we cannot make this part.",
        )];
    };
    let pieces = job.make.pieces;
    let mut first = Text::from(format!("We propose: {}", what(way.kind, &job.make)));
    first = first.s(if pieces > 1 { format!(" {pieces} pieces.") } else { String::new() });
    if !matches!(way.kind, WayKind::BoughtPart | WayKind::Cast)
        && let Some(material) = material::material(fit.material)
    {
        first = first.s(format!(" Material: {}.", material.name));
    }
    if let Some((tight, loose)) = to_customer(way.play) {
        first = first
            .s(if fit.travelled.is_some() {
                " Play between screw and nut along the travel: "
            } else {
                " Play between the two new parts: "
            })
            .v(Value::Band(tight, loose, Fine::Play))
            .s(".");
    }
    let mut paragraphs = vec![first];
    if job.make.mate_new {
        let (part, mate) = (fit::word(fit.part), fit::word(fit::other(fit.part)));
        paragraphs.push(Text::from(format!(
            "The price is for the {part} alone. The {mate} has to be made new as well, and is quoted by itself."
        )));
    }
    let because = route.chosen.as_ref().filter(|c| c.kind == way.kind).and_then(|c| c.because.as_ref());
    if let Some(because) = because {
        paragraphs.push(Text::from(format!("Why: {}.", because.trim_end_matches('.'))));
    }
    paragraphs
}

/// What the customer gets.
fn what(kind: WayKind, make: &Make) -> String {
    let part = match make.part {
        Element::External => "screw",
        Element::Internal => match make.nut {
            NutKind::Plain | NutKind::Cast => "nut",
            NutKind::Split => "split nut, closed by a screw to take up wear",
            NutKind::TwoPiece => "nut in two halves, set against each other to take up wear",
            NutKind::Sprung => "nut in two halves with a spring between that takes up all play",
        },
    };
    match kind {
        WayKind::SinglePoint => format!("a new {part}, its thread cut on the lathe to suit your parts."),
        WayKind::Rechuck => {
            format!("a new {part}, its thread cut on the lathe right through in a second setting.")
        }
        WayKind::BoughtTap => {
            format!("a new {part}, its thread cut with a bought tap of the standard's size.")
        }
        WayKind::MadeTap => {
            format!("a new {part}, its thread cut with taps made for it, which stay for further pieces.")
        }
        WayKind::Die => format!("a new {part}, its thread cut with a die of the standard's size."),
        WayKind::BoughtPart => {
            let part = fit::word(make.part);
            format!("a ready-made {part} of the standard's size; its place on the machine is altered for it.")
        }
        WayKind::ThreadMill => format!("a new {part}, its thread milled to suit your parts."),
        WayKind::Cast => "a nut of bearing resin in a metal sleeve, cast round your own screw.".to_owned(),
    }
}

/// Play as a customer reads it: a part that may bind has none to spare, and its remark says so.
fn to_customer(play: Option<(Length, Length)>) -> Option<(Length, Length)> {
    play.map(|(tight, loose)| (tight.max(Length::ZERO), loose.max(Length::ZERO)))
}

/// Ways that can be gone, the proposed first, then by price; those without a price last. What this lathe and its tools
/// cannot turn is not offered beside another way either.
fn offered(whole: &Whole, route: &Route, job: &Job) -> Vec<Offered> {
    let taken = route.taken().map(|w| w.kind);
    let forbidden = |stage| whole.lists(stage).1.iter().any(|n| n.kind == NoteKind::Impossible);
    let turned = !forbidden(StageName::Tool) && !forbidden(StageName::Setup);
    let price = |way: &Way| {
        let cost = way.cost.as_ref().filter(|c| c.closed())?;
        Some(quoted(cost.known, &job.quotation))
    };
    let from = |way: &Way| {
        let cost = way.cost.as_ref().filter(|c| !c.closed() && c.known > 0.0)?;
        Some((quoted(cost.known, &job.quotation), cost.open.join(" and ")))
    };
    let mut list: Vec<Offered> = route
        .ways
        .iter()
        .filter(|w| w.possible() && (turned || !w.by_single_point()))
        .map(|way| Offered {
            kind: way.kind,
            what: crate::report::capital(&what(way.kind, &job.make)),
            price: price(way),
            from: from(way),
            days: way.days.ceil(),
            again: way.risk.chance(),
            play: to_customer(way.play),
            remarks: way.to_customer.clone(),
            proposed: taken == Some(way.kind),
        })
        .collect();
    let rank = |o: &Offered| (!o.proposed, o.price.is_none(), o.price.unwrap_or(0.0));
    list.sort_by(|a, b| rank(a).partial_cmp(&rank(b)).unwrap_or(std::cmp::Ordering::Equal));
    list
}

/// Cautions on the part in use, each once, without where they come from. The cautions of the work itself belong to the
/// bench sheet, and what is to be looked at again while it is planned is the shop's affair.
pub fn cautions(whole: &Whole) -> Vec<Note> {
    let mut notes: Vec<Note> = Vec::new();
    for stage in [StageName::Identity, StageName::Fit, StageName::Route] {
        for note in whole.lists(stage).1 {
            let on_the_load =
                note.kind == NoteKind::Warning && matches!(&*note.field, "make.load" | "make.duty");
            if (note.kind == NoteKind::Caution || on_the_load) && !notes.iter().any(|n| n.text == note.text) {
                notes.push(Note {
                    kind: NoteKind::Caution,
                    field: String::new(),
                    source: None,
                    ..note.clone()
                });
            }
        }
    }
    notes
}

impl Offered {
    /// The price as it is said: the sum, what of it is known and what comes on top, or that it is to be asked for.
    pub fn price_words(&self, currency: &str) -> Value {
        let money = |amount| Value::Money(amount, currency.to_owned());
        match (self.price, &self.from) {
            (Some(price), _) => money(price),
            (None, Some((known, more))) => {
                Value::Said(Text::from("from ").v(money(*known)).s(format!(", plus {more}")))
            }
            (None, None) => Value::Word("on request".into()),
        }
    }
}

impl Quotation {
    /// Heading of the ways and their prices.
    pub fn heading(&self) -> String {
        match self.pieces {
            1 => "What it can be, and its price".to_owned(),
            n => format!("What it can be, and its price for all {n} pieces"),
        }
    }

    /// What the chance of each way is that of.
    pub fn again(&self) -> &'static str {
        if self.pieces > 1 { "One has to be made again" } else { "Has to be made again" }
    }

    /// What the prices come to, in one sentence.
    pub fn answer(&self) -> Text {
        let Some(first) = self.offered.first().filter(|o| o.proposed) else {
            return Text::from("No way can be offered with what is in the job.");
        };
        let text = Text::from("Proposed: ").s(first.what.clone()).s(" ");
        let text = match (first.price, &first.from) {
            (None, None) => text.s("Its price is open."),
            _ => text.v(first.price_words(&self.currency)).s("."),
        };
        match &self.draft {
            Some(why) => text.s(" ").text(why.clone()),
            None => text,
        }
    }

    /// The ways as a table; the whole of the line goes with a price in it.
    pub fn table(&self) -> Table {
        let row = |o: &Offered| {
            let remarks = o.remarks.iter().cloned().reduce(|all, next| all.s(" ").text(next));
            Row {
                cells: vec![
                    Value::Word(o.what.clone()),
                    o.price_words(&self.currency),
                    Value::Number(o.days, 0),
                    Value::Word(one_in(o.again)),
                    o.play.map_or(Value::None, |(a, b)| Value::Band(a, b, Fine::Play)),
                    remarks.map_or(Value::None, Value::Said),
                ],
                mark: if o.proposed { Mark::Best } else { Mark::Plain },
            }
        };
        Table {
            key: "offered",
            title: self.heading(),
            columns: columns(&[
                ("what", "what"),
                ("price", "price"),
                ("days", "working days"),
                ("again", if self.pieces > 1 { "one made again" } else { "made again" }),
                ("play", "play"),
                ("remarks", "to know"),
            ]),
            rows: self.offered.iter().map(row).collect(),
            source: None,
        }
    }

    /// Everything below the answer, for faces that show blocks.
    pub fn blocks(&self) -> Vec<Block> {
        let mut blocks: Vec<Block> =
            self.found.iter().chain(&self.proposed).cloned().map(Block::Text).collect();
        blocks.push(Block::Table(self.table()));
        for line in &self.lines {
            let words = line.text.as_deref().unwrap_or("not filled in");
            blocks.push(Block::Text(Text::from(format!("{}: {words}", line.label))));
        }
        blocks.push(Block::Notes(self.cautions.clone()));
        blocks.push(Block::Text(Text::from(self.closing.clone())));
        blocks
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_are_rounded_up_to_what_one_quotes() {
        let terms = |round_to, added| Terms { round_to, added, ..Terms::default() };
        assert_eq!(quoted(358.9, &Terms::default()), 360.0);
        assert_eq!(quoted(360.0, &Terms::default()), 360.0);
        assert_eq!(quoted(1001.0, &Terms::default()), 1010.0);
        assert_eq!(quoted(99.2, &Terms::default()), 100.0);
        assert_eq!(quoted(5020.0, &Terms::default()), 5050.0);
        assert_eq!(quoted(300.0, &terms(Some(25.0), Some(0.15))), 350.0);
        assert_eq!(quoted(0.0, &Terms::default()), 0.0);
    }

    #[test]
    fn chances_are_said_in_plain_words() {
        assert_eq!(one_in(0.08), "about 1 in 12");
        assert_eq!(one_in(0.0), "hardly any");
        assert_eq!(one_in(0.5), "as likely as not");
        assert_eq!(one_in(0.9), "likely");
        assert_eq!(one_in(0.97), "almost certain");
    }
}
