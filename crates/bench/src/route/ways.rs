//! The ways, one function each.

use super::offers::{self, Terms};
use super::price::Sum;
use super::risk::{Risk, Threat};
use super::tap_set::{self, TapSet};
use super::taps::{self, fastening};
use super::time::{self, Holding, Item, Phase};
use super::{Way, cast, milling, say, steps};
use crate::fit::{self, Fit};
use crate::job::{Bar, Job, OfferKind, WayKind};
use crate::material::{self, Group, Material};
use crate::report::{Block, Fine, Text, Value};
use flankwise_thread::{Element, Hand, Length, Thread};

/// What all ways share.
pub(super) struct Ground<'a> {
    pub(super) fit: &'a Fit,
    pub(super) job: &'a Job,
    pub(super) material: &'static Material,
    pub(super) pieces: f64,
}

/// Hours that can be put into one job in a day, the shop's other work left aside. Common practice, no source.
const HOURS_A_DAY: f64 = 6.0;
/// A part of the book's size is as good as a fitted one where its play is no more than this above it (chosen here:
/// less than a hand feels on a dial).
const AS_GOOD: Length = Length::mm(0.05);
/// Smallest bore that a threading bar is usually got into. Common practice, no source.
const LEAST_BORE: Length = Length::mm(6.0);
/// Torque that two hands give a tap wrench for as long as a nut takes, N·m: 150 N at each end of 600 mm. Common
/// practice, no source.
const TWO_HANDS_NM: f64 = 90.0;
/// A screw longer than so many diameters springs away from a tool. Common practice, no source.
const SLENDER: f64 = 10.0;
/// A pitch that a die cuts in one go. Common practice, no source.
const DIE_PITCH: Length = Length::mm(3.0);
/// Days to wait where no offer says for stock, steel, resin and tools for fastenings. Common practice, no source.
pub(super) const DEALER_DAYS: f64 = 3.0;
/// The same for other tools and for parts that are kept. Common practice, no source.
pub(super) const KEPT_DAYS: f64 = 7.0;
/// The same for tools made to order. Common practice, no source.
pub(super) const ORDER_DAYS: f64 = 20.0;

/// Working days that so many hours take.
pub(super) fn days(hours: f64) -> f64 {
    (hours / HOURS_A_DAY).ceil()
}

/// Every way that is one for this part, in no order.
pub(super) fn all(g: &Ground) -> Vec<Way> {
    let mut all = match g.fit.part {
        Element::Internal => {
            vec![single_point(g), rechuck(g), bought_tap(g), made_tap(g), bought_part(g), cast_nut(g)]
        }
        Element::External => vec![single_point(g), die(g), bought_part(g)],
    };
    all.extend(thread_mill(g));
    // No way of making it makes it carry the load.
    if let Some(overload) = &g.fit.overload {
        for way in &mut all {
            way.impossible = Some(overload.clone());
        }
    }
    all
}

/// What a way is made of, before it is summed up.
struct Draft {
    kind: WayKind,
    name: String,
    items: Vec<Item>,
    bought: Vec<Terms>,
    threats: Vec<Threat>,
}

impl Ground<'_> {
    fn thread(&self) -> &Thread {
        &self.fit.thread
    }

    fn fastening(&self) -> bool {
        fastening(self.thread().family)
    }

    /// Whether its flanks are of unlike angles.
    pub(super) fn unlike(&self) -> bool {
        let basic = self.thread().basic();
        basic.flank_leading != basic.flank_trailing
    }

    /// Whether the standard lists it, as a single start.
    fn listed(&self) -> bool {
        self.thread().in_series() && self.thread().starts == 1
    }

    fn terms(&self, kind: OfferKind, what: &str, said: Text, reckoned: Option<f64>, days: f64) -> Terms {
        offers::terms(self.fit, self.job, kind, (what, said), reckoned, days)
    }

    /// Stock of the part, by an offer or by its weight.
    fn stock(&self) -> Terms {
        let weight = fit::stock_kg(self.fit, self.material);
        let reckoned = weight.zip(self.job.rates.kilogram).map(|(kg, price)| kg * price);
        let name = self.material.name;
        let said = self.fit.stock.map_or_else(
            || Text::from(format!("{name}, size open: the body is not given")),
            |(d, l)| {
                let text = Text::from(format!("{name} bar, ")).len(d).s(" by ").len(l);
                if self.pieces > 1.0 { text.s(format!(" for all {}", self.pieces)) } else { text }
            },
        );
        self.terms(OfferKind::Stock, "the stock", said, reckoned, DEALER_DAYS)
    }

    /// A bar to carry the tool, where none on hand goes into the bore and through the thread.
    fn bar(&self) -> Option<Terms> {
        let said = Text::from("a bar that enters the bore, or steel for one");
        let terms = || self.terms(OfferKind::Bar, "the threading bar", said, None, DEALER_DAYS);
        let serves = |b: &Bar| b.size < self.fit.blank.min && b.length.is_none_or(|l| l > self.fit.length);
        (!self.job.bars.iter().any(serves)).then(terms)
    }

    fn body(&self, holding: Holding) -> Vec<Item> {
        time::body(self.fit, self.job, self.material, self.pieces, holding)
    }

    /// One piece's stock.
    fn piece(&self, stock: &Terms) -> Sum {
        stock.price.share(self.pieces)
    }

    fn way(&self, draft: Draft) -> Way {
        let Draft { kind, name, items, bought, threats } = draft;
        let hours: f64 = items.iter().map(|i| i.hours).sum();
        let wait = bought.iter().map(|t| t.days).fold(0.0, f64::max);
        let mut outlay = Sum::default();
        let mut buy = Vec::new();
        // A price or outlay of the person's own is for all of it: nothing is left to be asked for.
        let priced = self.job.own_ways.iter().any(|o| o.way == kind && o.price.or(o.outlay).is_some());
        for terms in bought {
            buy.extend(terms.line(self.job.rates.currency(), priced));
            outlay = outlay.plus(terms.price);
        }
        if priced {
            outlay.open.clear();
        }
        Way {
            kind,
            name,
            hours,
            cost: self.job.rates.hour.map(|rate| Sum::known(hours * rate).plus(outlay.clone())),
            outlay,
            days: wait + days(hours),
            risk: Risk::weigh(&threats, &items, self.pieces),
            buy,
            cannot: Vec::new(),
            to_customer: Vec::new(),
            impossible: None,
            play: self.fit.play_range().or(self.fit.expected),
            as_asked: true,
            items,
            own: Vec::new(),
            own_note: None,
            steps: Vec::new(),
            design: Vec::new(),
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

    fn small_bore(&self) -> Option<Text> {
        (self.fit.part == Element::Internal && self.fit.blank.aim < LEAST_BORE).then(|| {
            Text::from("The bore of ")
                .len(self.fit.blank.aim)
                .s(" is too small for a threading bar: a tap would do it.")
        })
    }

    /// Indexing from start to start gone wrong, where there are several.
    fn wrong_start(&self, lost: &Sum) -> Option<Threat> {
        let more = self.thread().starts.checked_sub(1).filter(|n| *n > 0)?;
        let chance = 1.0 - (1.0 - WRONG_START_CHANCE).powi(i32::try_from(more).unwrap_or(i32::MAX));
        Some(Threat::piece(WRONG_START, Phase::Thread, chance, lost.clone()))
    }

    /// A body longer than its blind bore keeps an end that a thread cut right through would open.
    fn closed_end(&self) -> Option<Text> {
        let wall = self.job.make.body.length? - self.fit.blind_depth();
        (!self.fit.through && wall > Length::ZERO).then(|| {
            Text::from("The part is closed at its far end by ")
                .len(wall)
                .s(" of metal, which a thread cut right through would open: make.through = true, if it may be open there, makes it possible.")
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
        if self.fit.expected.is_some() {
            return;
        }
        way.cannot.push(Text::from("It has the standard's size, whatever its mate measures."));
        let mate = fit::word(fit::other(self.fit.part));
        way.to_customer
            .push(Text::from(format!("It has the standard's size and is not fitted to your {mate}.")));
        let Some((least, most)) = self.fit.play_range_by_book() else { return };
        way.play = Some((least, most));
        let tightest = self.fit.play_unset().unwrap_or(least);
        let loose = self.fit.travelled.and_then(|t| t.by_book).map_or(least, |(_, loose)| tightest + loose);
        way.as_asked = loose - tightest <= AS_GOOD;
        if loose < Length::ZERO && way.possible() {
            way.impossible = Some(
                Text::from("Made to the book it does not go on, even at the loose end of its limits: ")
                    .len(-loose)
                    .s(" too little between the flanks where it is tightest."),
            );
        } else if least < Length::ZERO {
            way.cannot.push(Text::from("At the tight end of its limits it would bind: ").len(-least).s(
                " too little between the flanks where it is tightest. Ask for the size of the one offered.",
            ));
            way.to_customer.push(Text::from(format!(
                "At the tight end of its limits it would bind on your {mate}: we ask for its size before we order it."
            )));
        }
    }
}

const CHATTER: &str = "the bar chatters or springs and tears the flanks";
/// A thread of several starts cut with a single point: each has to be set off by a pitch from the last.
const WRONG_START: &str = "a start set off wrong: the threads stand unevenly, and the mate does not go on";
/// Chance of that for each start after the first. Chosen here.
const WRONG_START_CHANCE: f64 = 0.02;
const SLIP: &str = "a slip in the last passes: a wrong reading, the tool not out in time";

/// Cut with a single point in the first setting, in a groove where the thread ends blind.
fn single_point(g: &Ground) -> Way {
    let stock = g.stock();
    let lost = g.piece(&stock);
    let mut items = g.body(Holding::First);
    items.extend(time::single_point(g.fit, g.job, g.material, g.pieces, g.fit.through));
    let inside = g.fit.part == Element::Internal;
    // Blind, each pass ends in a groove and has to be stopped there.
    let slip = Threat::piece(SLIP, Phase::Thread, if g.fit.through { 0.04 } else { 0.08 }, lost.clone());
    let first = if inside {
        Threat::piece(CHATTER, Phase::Body, 0.03, lost.clone())
    } else {
        let slender = g.fit.length > g.fit.blank.aim * SLENDER;
        let what = "the screw springs away from the tool and comes out thick in the middle";
        Threat::piece(what, Phase::Thread, if slender { 0.08 } else { 0.02 }, lost.clone())
    };
    let mut bought = vec![stock];
    bought.extend(g.bar().filter(|_| inside));
    let name = if g.fit.through { "Single point, first setting" } else { "Single point, into a groove" };
    let mut way = g.way(Draft {
        kind: WayKind::SinglePoint,
        name: name.into(),
        items,
        bought,
        threats: [first, slip].into_iter().chain(g.wrong_start(&lost)).collect(),
    });
    way.impossible = g.no_lathe().or_else(|| g.wrong_hand()).or_else(|| g.small_bore());
    way
}

/// Parted off, put back in the chuck, and cut with a single point right through.
fn rechuck(g: &Ground) -> Way {
    let stock = g.stock();
    let lost = g.piece(&stock);
    let mut items = g.body(Holding::Again);
    items.extend(time::single_point(g.fit, g.job, g.material, g.pieces, true));
    let mut bought = vec![stock];
    bought.extend(g.bar());
    let mut way = g.way(Draft {
        kind: WayKind::Rechuck,
        name: "Part off, re-chuck, right through".into(),
        items,
        bought,
        threats: [
            Threat::piece(CHATTER, Phase::Body, 0.03, lost.clone()),
            Threat::piece(SLIP, Phase::Thread, 0.04, lost.clone()),
            Threat::piece(
                "set true badly: thread and body do not run together",
                Phase::After,
                0.06,
                lost.clone(),
            ),
        ]
        .into_iter()
        .chain(g.wrong_start(&lost))
        .collect(),
    });
    let second = Text::from("Thread and body are only as true to each other as the second setting.");
    way.to_customer.push(second.clone());
    way.cannot.push(second);
    way.steps = steps::rechuck();
    way.impossible =
        g.no_lathe().or_else(|| g.wrong_hand()).or_else(|| g.small_bore()).or_else(|| g.closed_end());
    way
}

/// What a tap does to a part: torn, or crooked.
fn tapped(fastening: bool, lost: Sum) -> Threat {
    let (what, chance) = if fastening {
        ("the thread tears, seen when it is done", 0.04)
    } else {
        ("the tap jams, tears, or follows a crooked start", 0.10)
    };
    Threat::piece(what, Phase::Thread, chance, lost)
}

/// Turns of each tap through the part: thread, lead and full teeth. A bought tap for a fastening is one with a lead of
/// 5 pitches, others come in sets with 8.
fn tap_turns(g: &Ground, set: Option<&TapSet>) -> Vec<f64> {
    let (pitch, lead) = (g.thread().pitch.length, g.thread().lead());
    let turns = |teeth: Length| (g.fit.length + teeth) / lead;
    match set {
        Some(set) => set.taps.iter().map(|t| turns(t.lead + t.full)).collect(),
        None if g.fastening() => vec![turns(pitch * 5.0)],
        None => vec![turns(pitch * 8.0); tap_set::least(pitch) as usize],
    }
}

/// Tapped with a bought tap or set.
fn bought_tap(g: &Ground) -> Way {
    let plain = g.listed() && g.thread().hand == Hand::Right;
    let usual = match (g.fastening(), plain) {
        (true, true) => DEALER_DAYS,
        (false, true) => KEPT_DAYS,
        (_, false) => ORDER_DAYS,
    };
    let said = Text::from(format!("tap {}, with its class asked for", g.thread()));
    let terms = g.terms(OfferKind::Tap, &format!("tap {}", g.thread()), said, None, usual);
    let stock = g.stock();
    let lost = g.piece(&stock);
    let mut items = g.body(Holding::First);
    items.extend(time::tapping(&tap_turns(g, None), g.pieces));
    let mut way = g.way(Draft {
        kind: WayKind::BoughtTap,
        name: "Bought tap".into(),
        items,
        bought: vec![terms, stock],
        threats: vec![tapped(g.fastening(), lost)],
    });
    if !plain {
        let why = if g.thread().hand == Hand::Left { "left-hand" } else { "off the standard's list" };
        let to_order = Text::from(format!("Taps of this thread ({why}) are made to order only."));
        way.to_customer.push(to_order.clone());
        way.cannot.push(to_order);
    }
    way.cannot.extend(heavy(tap_set::bought_torque_nm(g.fit, g.material)));
    way.impossible = g.no_lathe().or_else(|| g.blind());
    g.by_book(&mut way);
    way.steps = steps::tapping(g.fit, None);
    way
}

/// Tapped with a set made here.
fn made_tap(g: &Ground) -> Way {
    let steel = material::material("tool-steel").unwrap_or(g.material);
    let cut = tap_set::tapped(g.fit);
    let designed = tap_set::design(&cut, g.material, steel, g.job.unit);
    let count = designed.as_ref().map_or(tap_set::least(g.thread().pitch.length), |set| set.count());
    let stock = g.stock();
    let lost = g.piece(&stock);
    let (terms, one_tap) = steel_for(g, steel, count, designed.as_ref().ok());
    let mut items = g.body(Holding::First);
    items.extend(time::making_taps(count));
    items.extend(time::tapping(&tap_turns(g, designed.as_ref().ok()), g.pieces));
    let cracked = Threat {
        of_tools: Some(1.0 / f64::from(count)),
        ..Threat::piece("a tap warps or cracks in hardening", Phase::Tools, 0.15, one_tap)
    };
    let mut way = g.way(Draft {
        kind: WayKind::MadeTap,
        name: format!("Set of {count} taps made here"),
        items,
        bought: vec![terms, stock],
        threats: vec![cracked, tapped(g.fastening(), lost)],
    });
    way.impossible = g.no_lathe().or_else(|| g.wrong_hand()).or_else(|| g.blind()).or_else(|| too_hard(g));
    match designed {
        Ok(set) => {
            way.cannot.extend(heavy(set.hardest_nm()));
            way.cannot.push(
                Text::from("Hardening stretches their lead by some ")
                    .v(Value::Length(tap_set::grown(g.fit), Fine::Gauge))
                    .s(" over the nut: their teeth are made wider by that, or it would come off the play."),
            );
            way.steps = steps::tapping(g.fit, Some(&set));
            way.design = say::taps_to_make(&set, &cut, g.job);
        }
        Err(why) => way.impossible = way.impossible.or(Some(why)),
    }
    way
}

/// Too hard to turn by hand.
fn heavy(hardest_nm: f64) -> Option<Text> {
    (hardest_nm > TWO_HANDS_NM).then(|| {
        Text::from("Two hands on a wrench do not turn the hardest tap, which asks ")
            .v(Value::TorqueNm(hardest_nm))
            .s(": it takes a longer wrench and a second person, and more than the hours said, which are those of turning it alone.")
    })
}

fn too_hard(g: &Ground) -> Option<Text> {
    (!taps::soft_enough(g.material)).then(|| {
        Text::from(format!(
            "Taps of plain tool steel do not last in {}: bought taps of high-speed steel would.",
            g.material.name
        ))
    })
}

/// The steel for a set, and one tap's share of it.
fn steel_for(g: &Ground, steel: &Material, count: u32, set: Option<&TapSet>) -> (Terms, Sum) {
    let bar = fit::bar_for(g.fit.bottom.aim, g.job.unit);
    let mut said = Text::from(format!("{count} pieces of {}, ", steel.name)).len(bar);
    if let Some(set) = set {
        said = said.s(" by ").len(set.longest());
    }
    let terms = g.terms(OfferKind::ToolSteel, "the tool steel", said, None, DEALER_DAYS);
    let one = terms.price.share(f64::from(count));
    (terms, one)
}

/// Cut with a die.
fn die(g: &Ground) -> Way {
    let said = Text::from(format!("die {}", g.thread()));
    let terms = g.terms(OfferKind::Die, &format!("die {}", g.thread()), said, None, DEALER_DAYS);
    let stock = g.stock();
    let lost = g.piece(&stock);
    let mut items = g.body(Holding::First);
    items.extend(time::die(g.pieces));
    let mut way = g.way(Draft {
        kind: WayKind::Die,
        name: "Die".into(),
        items,
        bought: vec![terms, stock],
        threats: vec![Threat::piece("it starts askew and cuts a drunken thread", Phase::Thread, 0.08, lost)],
    });
    way.cannot.push(Text::from("Its lead is its own: over a long screw a lathe's is truer."));
    let none = offers::best(g.fit, g.job, OfferKind::Die).is_none();
    way.impossible = g.no_lathe().or_else(|| {
        if !none {
            None
        } else if !g.fastening() {
            Some(Text::from(
                "Dies for this form are hardly made: one on hand or on offer ([[offer]]) would make it possible.",
            ))
        } else {
            (g.thread().pitch.length > DIE_PITCH).then(|| {
                Text::from("A pitch of ")
                    .v(Value::Pitch(g.thread().pitch))
                    .s(" is too coarse to cut with a die in one go.")
            })
        }
    });
    g.by_book(&mut way);
    way.steps = steps::die(g.fit);
    way
}

/// The finished part bought, and the place for it adapted.
fn bought_part(g: &Ground) -> Way {
    let (what, name) = match g.fit.part {
        Element::Internal => ("nut", "Bought nut, its place adapted"),
        Element::External => ("screw or threaded bar", "Bought screw, its place adapted"),
    };
    let open = format!("{what} {}", g.thread());
    let terms = g.terms(OfferKind::Part, &open, Text::from(open.clone()), None, KEPT_DAYS);
    let one = g.piece(&terms);
    let mut way = g.way(Draft {
        kind: WayKind::BoughtPart,
        name: name.into(),
        items: time::adapting(g.pieces),
        bought: vec![terms],
        threats: vec![Threat::piece(
            "its place is bored out of line with the screw",
            Phase::After,
            0.05,
            one,
        )],
    });
    let changed = Text::from("Its body does not match the old one: the machine is changed for good.");
    way.to_customer.push(changed.clone());
    way.cannot.push(changed);
    if offers::best(g.fit, g.job, OfferKind::Part).is_none() && !g.listed() {
        way.impossible = Some(Text::from(
            "The standard does not list this thread, so nobody keeps the part: an offer ([[offer]]) would make it possible.",
        ));
    }
    g.by_book(&mut way);
    way.steps = steps::bought_part(g.fit);
    way
}

/// Milled along the helix, where the job has a machine for it.
fn thread_mill(g: &Ground) -> Option<Way> {
    let mill = g.job.mill.as_ref()?;
    let enters_not = milling::enters_not(g.fit, mill);
    let planned = enters_not.is_none().then(|| milling::plan(g.fit, mill, g.material));
    let stock = g.stock();
    let lost = g.piece(&stock);
    let mut items = g.body(Holding::First);
    items.extend(planned.iter().flat_map(|m| time::milling(m.item(g.pieces), g.pieces)));
    let mut way = g.way(Draft {
        kind: WayKind::ThreadMill,
        name: format!("Thread milled: {}", mill.name),
        items,
        bought: vec![stock],
        threats: vec![Threat::piece(
            "a wrong path, or the cutter breaks in the cut",
            Phase::Thread,
            0.05,
            lost,
        )],
    });
    let Some(planned) = planned else {
        way.impossible = g.no_lathe().or(enters_not);
        return Some(way);
    };
    way.cannot.push(
        Text::from("The flanks stay curved by ")
            .v(Value::Length(planned.flank_error, Fine::Gauge))
            .s("; the cutter has to be thinner by ")
            .v(Value::Length(planned.overcut, Fine::Gauge))
            .s(if g.unlike() {
                " on the steeper flank, and by less on the other."
            } else {
                " on each flank."
            }),
    );
    if g.fit.part == Element::External && g.fit.length > g.fit.blank.aim * SLENDER {
        way.cannot.push(Text::from(
            "A screw so slender springs under the cutter: it wants a steady close to the cut.",
        ));
    }
    way.steps = steps::milling(g.fit, mill, &planned);
    way.design = vec![Block::Figures("Thread milling".into(), say::milling(&planned, g))];
    way.impossible = g.no_lathe().or_else(|| planned.refused(g.fit, mill));
    Some(way)
}

/// A nut of resin cast round the screw.
fn cast_nut(g: &Ground) -> Way {
    let said = Text::from("casting resin for bearing surfaces, with its release wax");
    let resin = g.terms(OfferKind::Resin, "the resin", said, None, DEALER_DAYS);
    let stock = g.stock();
    let lost = resin.price.clone().plus(stock.price.clone()).share(g.pieces);
    let mut way = g.way(Draft {
        kind: WayKind::Cast,
        name: "Resin cast round the screw".into(),
        items: time::casting(g.pieces),
        bought: vec![resin, stock],
        threats: vec![Threat::piece(
            "a void, or a spot without wax that bonds to the screw",
            Phase::After,
            0.15,
            lost,
        )],
    });
    way.play = cast::play(g.fit);
    let metal = g.job.make.material.is_some() && g.material.group != Group::Plastic;
    if let Some(((cast, _), fitted)) = way.play.zip(g.fit.play_unset()) {
        way.as_asked = cast - fitted <= AS_GOOD;
    }
    way.as_asked &= !metal;
    way.cannot = cast::limits(g.job);
    way.to_customer.clone_from(&way.cannot);
    if metal {
        let not_of = Text::from(format!("It is not of {}, which was asked for.", g.material.name));
        way.to_customer.push(not_of.clone());
        way.cannot.push(not_of);
    }
    way.impossible = g.no_lathe().or_else(|| cast::refused(g.fit, g.job));
    way.steps = cast::steps(g.fit);
    way.design = vec![Block::Figures("Casting".into(), say::casting(g.fit))];
    way
}
