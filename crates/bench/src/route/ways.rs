//! The ways, one function each.

use super::taps::{self, fastening};
use super::time::{self, Item};
use super::{Money, Way};
use crate::fit::Fit;
use crate::job::{Job, Offer, OfferKind};
use crate::material::{self, Group, Material};
use crate::report::{Text, Value};
use flankwise_thread::{Element, Hand, Length, Thread};

/// What all ways share.
pub(super) struct Ground<'a> {
    pub(super) fit: &'a Fit,
    pub(super) job: &'a Job,
    pub(super) material: &'static Material,
    pub(super) money: &'a Money,
    pub(super) pieces: f64,
}

/// A price and a wait, and whether they were assumed.
struct Terms {
    price: f64,
    days: f64,
    on_hand: bool,
    assumed: bool,
    note: Option<String>,
}

/// Hours that can be put into one job in a day, the shop's other work left aside. Common practice, no source.
const HOURS_A_DAY: f64 = 6.0;
/// A part of the book's size is as good as a fitted one where its play is no more than this above it (chosen here:
/// less than a hand feels on a dial).
const AS_GOOD: Length = Length::mm(0.05);
/// Smallest bore that a threading bar is usually got into. Common practice, no source.
const LEAST_BORE: Length = Length::mm(6.0);
/// Largest trapezoidal tap that is turned by hand in bronze. Common practice, no source.
const HAND_TAP: Length = Length::mm(30.0);
/// Price of a tool steel bar blank for a bar or a tap, per kilogram. Assumed.
const TOOL_STEEL_KG: f64 = 12.0;

impl Ground<'_> {
    fn thread(&self) -> &Thread {
        &self.fit.thread
    }

    fn fastening(&self) -> bool {
        fastening(self.thread().family)
    }

    fn money(&self, amount: f64) -> Value {
        Value::Money(amount, self.money.currency.clone())
    }

    /// Offers of a kind that are for this thread.
    fn offer(&self, kind: OfferKind) -> Option<&Offer> {
        self.job
            .offers
            .iter()
            .filter(|o| o.kind == kind && o.thread.as_ref().is_some_and(|t| same(t, self.thread())))
            .min_by(|a, b| {
                let key = |o: &Offer| if o.on_hand { 0.0 } else { o.price.unwrap_or(f64::MAX) };
                key(a).total_cmp(&key(b))
            })
    }

    fn terms(&self, kind: OfferKind, assumed_price: f64, assumed_days: f64) -> Terms {
        self.offer(kind).map_or(
            Terms { price: assumed_price, days: assumed_days, on_hand: false, assumed: true, note: None },
            |o| Terms {
                price: if o.on_hand { 0.0 } else { o.price.unwrap_or(assumed_price) },
                days: if o.on_hand { 0.0 } else { o.days.unwrap_or(assumed_days) },
                on_hand: o.on_hand,
                assumed: !o.on_hand && o.price.is_none(),
                note: o.note.clone(),
            },
        )
    }

    /// Stock of the part: price, days, and a line for what to buy.
    fn stock(&self) -> (f64, f64, Option<Text>) {
        let offer = self.job.offers.iter().find(|o| o.kind == OfferKind::Stock);
        if offer.is_some_and(|o| o.on_hand) {
            return (0.0, 0.0, None);
        }
        let weighed = crate::fit::stock_kg(self.fit, self.material).map(|kg| kg * self.money.kilogram);
        let price = offer.and_then(|o| o.price).or(weighed);
        let days = offer.and_then(|o| o.days).unwrap_or(3.0);
        let bar = self.fit.stock.map_or_else(
            || Text::from(self.material.name),
            |(d, l)| Text::from(format!("{} bar, ", self.material.name)).len(d).s(" by ").len(l),
        );
        let line = match price {
            Some(price) => bar.s(" (").v(self.money(price)).s(")"),
            None => bar.s(" (price open: the body is not given)"),
        };
        (price.unwrap_or(0.0), days, Some(line))
    }

    fn way(&self, key: &'static str, name: &str, items: Vec<Item>, outlay: f64, wait: f64) -> Way {
        let hours: f64 = items.iter().map(|i| i.hours).sum();
        Way {
            key,
            name: name.to_owned(),
            hours,
            outlay,
            cost: hours * self.money.hour + outlay,
            days: wait + (hours / HOURS_A_DAY).ceil(),
            risk: Text::new(),
            buy: Vec::new(),
            impossible: None,
            play: self.fit.play_range(),
            reaches_play: true,
            items,
        }
    }

    fn no_lathe(&self) -> Option<Text> {
        self.job.lathe.is_none().then(|| {
            Text::from("No lathe is in the job: with one ([lathe]) it could be made here, else someone else has to turn it.")
        })
    }

    fn wrong_hand(&self) -> Option<Text> {
        let lathe = self.job.lathe.as_ref()?;
        (self.thread().hand == Hand::Left && !lathe.left_hand).then(|| {
            Text::from("The lathe does not cut left-hand threads: an idler that turns its lead screw the other way would make it possible.")
        })
    }

    /// A tap leaves the end of a blind hole without full thread.
    fn blind(&self) -> Option<Text> {
        if self.fit.through {
            return None;
        }
        let need = taps::uncut(self.thread().family, self.thread().pitch.length);
        let room = self.fit.relief.unwrap_or(Length::ZERO);
        (room < need).then(|| {
            Text::from("A tap does not cut to the bottom of a blind hole: it needs ")
                .len(need)
                .s(" beyond the thread and there is ")
                .len(room)
                .s("; a wider groove or a hole right through would make it possible.")
        })
    }

    /// Sizes of the book instead of the mate's: the play that gives, and whether that will do.
    fn by_book(&self, way: &mut Way) {
        let Some((least, most)) = self.fit.play_range_by_book() else { return };
        way.play = Some((least, most));
        let fitted = self.fit.play_range().map_or(least, |(least, _)| least);
        way.reaches_play = least - fitted <= AS_GOOD;
        if least < Length::ZERO && way.impossible.is_none() {
            way.impossible = Some(
                Text::from("Made to the book it does not go on: ")
                    .len(-least)
                    .s(" too little between the flanks at the tightest place."),
            );
        }
        let mate = crate::fit::word(crate::fit::other(self.fit.part));
        let risk = std::mem::take(&mut way.risk);
        way.risk = risk
            .s(" The book's size: on this ")
            .s(mate)
            .s(" the play runs from ")
            .len(least)
            .s(" to ")
            .len(most)
            .s(".");
    }

    fn buy(&self, what: &str, terms: &Terms) -> Option<Text> {
        if terms.on_hand {
            return None;
        }
        let mut line = Text::from(format!("{what} (")).v(self.money(terms.price));
        if terms.assumed {
            line = line.s(", assumed: ask for a price");
        }
        if let Some(note) = &terms.note {
            line = line.s(format!(", {note}"));
        }
        Some(line.s(")"))
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

/// Cut with a single point on the lathe.
pub(super) fn single_point(g: &Ground) -> Way {
    let (stock, wait, bar) = g.stock();
    let mut items = time::body(g.fit, g.job, g.material, g.pieces);
    items.extend(time::single_point(g.fit, g.job, g.material, g.pieces));
    let tool_price = if g.fit.part == Element::Internal && g.job.bars.is_empty() { 40.0 } else { 0.0 };
    let mut way = g.way("single-point", "Cut with a single point", items, stock + tool_price, wait);
    way.risk = if g.fit.part == Element::Internal {
        "Slender bar: chatter and spring show early, in the first passes; the size comes up slowly and can be stopped at. \
         A slip in the last passes costs the part."
    } else {
        "A slip in the last passes costs the part; a long screw springs away and wants a steady."
    }
    .into();
    way.buy.extend(bar);
    if tool_price > 0.0 {
        way.buy.push(
            Text::from("a bar that enters the bore, or steel for one (")
                .v(g.money(tool_price))
                .s(", assumed)"),
        );
    }
    let small = (g.fit.part == Element::Internal && g.fit.blank.aim < LEAST_BORE).then(|| {
        Text::from("The bore of ")
            .len(g.fit.blank.aim)
            .s(" is too small for a threading bar: a tap would do it.")
    });
    way.impossible = g.no_lathe().or_else(|| g.wrong_hand()).or(small);
    way
}

/// Tapped with a bought tap or set.
pub(super) fn bought_tap(g: &Ground) -> Way {
    let d = g.thread().nominal.to_mm();
    let listed = g.thread().in_series() && g.thread().starts == 1;
    let special = if listed && g.thread().hand == Hand::Right { 1.0 } else { 2.0 };
    let (price, days) = if g.fastening() { (5.0 + 1.5 * d, 3.0) } else { (9.0 * d, 10.0) };
    let terms = g.terms(OfferKind::Tap, price * special, days * special);
    let (stock, stock_days, bar) = g.stock();
    let mut items = time::body(g.fit, g.job, g.material, g.pieces);
    items.extend(time::tapping(!g.fastening(), g.pieces));
    let mut way =
        g.way("bought-tap", "Tap with a bought tap", items, terms.price + stock, terms.days.max(stock_days));
    way.risk = if g.fastening() {
        "Quick, and a torn thread shows only when it is done."
    } else {
        "A long tap turns hard and follows the bore it is started in; a stuck or torn thread costs the part."
    }
    .into();
    if !g.fastening() && g.thread().nominal > HAND_TAP {
        way.risk = std::mem::take(&mut way.risk).s(" Too heavy to turn by hand at this size.");
    }
    way.buy.extend(g.buy(&format!("tap {}, with its class asked for", g.thread()), &terms));
    way.buy.extend(bar);
    way.impossible = g.no_lathe().or_else(|| g.blind());
    g.by_book(&mut way);
    way
}

/// Tapped with a set made here.
pub(super) fn made_tap(g: &Ground) -> Way {
    let taps = taps::set_of(g.thread().pitch.length);
    let (stock, wait, bar) = g.stock();
    let steel = material::material("tool-steel").unwrap_or(g.material);
    let d = g.thread().nominal;
    // Thread as long as the nut, a lead of eight pitches and a shank of four diameters.
    let each = g.fit.length + g.thread().pitch.length * 8.0 + d * 4.0;
    let kg = std::f64::consts::FRAC_PI_4
        * d.to_mm().powi(2)
        * each.to_mm()
        * f64::from(taps)
        * steel.density
        * 1e-9;
    let price = (kg * TOOL_STEEL_KG).max(10.0);
    let mut items = time::body(g.fit, g.job, g.material, g.pieces);
    items.extend(time::making_taps(taps));
    items.extend(time::tapping(!g.fastening(), g.pieces));
    let mut way = g.way(
        "made-tap",
        &format!("Make a set of {taps} taps, then tap"),
        items,
        price + stock,
        wait.max(3.0),
    );
    way.risk = "Most of the work is in the taps: hardening can warp or crack one, which shows when all of it is done. \
                Pays from a few nuts on."
        .into();
    way.buy.push(
        Text::from(format!("{taps} pieces of {}, ", steel.name))
            .len(crate::fit::bar_for(d, g.job.unit))
            .s(" by ")
            .len(each)
            .s(" (")
            .v(g.money(price))
            .s(", assumed price)"),
    );
    way.buy.extend(bar);
    way.impossible = g.no_lathe().or_else(|| g.wrong_hand()).or_else(|| g.blind());
    way
}

/// Cut with a die.
pub(super) fn die(g: &Ground) -> Way {
    let d = g.thread().nominal.to_mm();
    let terms = g.terms(OfferKind::Die, 8.0 + 1.5 * d, 3.0);
    let (stock, stock_days, bar) = g.stock();
    let mut items = time::body(g.fit, g.job, g.material, g.pieces);
    items.extend(time::die(g.pieces));
    let mut way = g.way("die", "Cut with a die", items, terms.price + stock, terms.days.max(stock_days));
    way.risk = "A die follows the start it is given and can cut drunken; its thread is rougher.".into();
    way.buy.extend(g.buy(&format!("die {}", g.thread()), &terms));
    way.buy.extend(bar);
    way.impossible = g.no_lathe().or_else(|| {
        if g.fastening() || g.offer(OfferKind::Die).is_some() {
            None
        } else {
            Some(Text::from(
                "Dies for this form are hardly made: one on hand or on offer ([[offer]]) would make it possible.",
            ))
        }
    });
    if g.thread().pitch.length > Length::mm(3.0)
        && g.offer(OfferKind::Die).is_none()
        && way.impossible.is_none()
    {
        way.impossible = Some(
            Text::from("A pitch of ")
                .v(Value::Pitch(g.thread().pitch))
                .s(" is too coarse to cut with a die in one go."),
        );
    }
    g.by_book(&mut way);
    way
}

/// The finished part bought, and the place for it adapted.
pub(super) fn bought_part(g: &Ground) -> Way {
    let d = g.thread().nominal.to_mm();
    let (what, price) = match g.fit.part {
        Element::Internal => ("nut", 3.0 * d),
        Element::External => ("screw or threaded bar", 4.0 * d),
    };
    let terms = g.terms(OfferKind::Part, price, 7.0);
    let count = if terms.on_hand { 0.0 } else { g.pieces };
    let mut way = g.way(
        "bought-part",
        &format!("Buy the {what}, adapt its place"),
        time::adapting(g.pieces),
        terms.price * count,
        terms.days,
    );
    way.risk = "The bought body does not match the old one, so the machine is changed for good.".into();
    way.buy.extend(g.buy(&format!("{what} {}", g.thread()), &terms));
    let listed = g.thread().in_series() && g.thread().starts == 1;
    if g.offer(OfferKind::Part).is_none() && !listed {
        way.impossible = Some(Text::from(
            "The standard does not list this thread, so nobody keeps the part: an offer ([[offer]]) would make it possible.",
        ));
    }
    g.by_book(&mut way);
    way
}

/// Price of a kilogram of stock where the job names none. Assumed, so that the ways can be ranked.
pub(super) const fn kilogram(group: Group) -> f64 {
    match group {
        Group::Bronze => 20.0,
        Group::Brass => 12.0,
        Group::CastIron => 4.0,
        Group::Steel => 3.0,
        Group::Stainless => 7.0,
        Group::Plastic => 15.0,
    }
}
