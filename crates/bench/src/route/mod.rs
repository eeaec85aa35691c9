//! Route: the ways of making it, side by side.
//!
//! Hours are reckoned item by item ([`time`]), prices come from the job's offers or are assumed and said to be. A
//! way that cuts the book's size instead of the mate's ranks behind those that reach the play wanted.

pub mod taps;
pub mod time;
mod ways;

use crate::fit::Fit;
use crate::job::{Duty, Job};
use crate::material;
use crate::report::{
    Block, Figure, Fine, Mark, Note, Outcome, Row, Section, StageName, Table, Text, Value, columns,
};
use flankwise_thread::{Element, Length, Source};

/// A way of making the part.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Stable key: `single-point`, `bought-tap`, `made-tap`, `die`, `bought-part`.
    pub key: &'static str,
    /// Name in words.
    pub name: String,
    /// Hours of own work.
    pub hours: f64,
    /// Money to spend on tools, stock and parts.
    pub outlay: f64,
    /// Hours at the rate, plus outlay.
    pub cost: f64,
    /// Days until the part is in hand.
    pub days: f64,
    /// What could go wrong, and how late.
    pub risk: Text,
    /// What must be bought.
    pub buy: Vec<Text>,
    /// Why it cannot be done, if so; with what would make it possible.
    pub impossible: Option<Text>,
    /// Play that it gives at the tightest and the loosest place, where the mate was measured.
    pub play: Option<(Length, Length)>,
    /// Whether the play at the tightest place is (nearly) the one wanted.
    pub reaches_play: bool,
    /// Where the hours come from.
    pub items: Vec<time::Item>,
}

/// All ways, and the one recommended.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Ways, the recommended first: those that reach the play wanted by cost, then the others that can be done,
    /// then the impossible.
    pub ways: Vec<Way>,
    /// Currency.
    pub currency: String,
    /// Where hours come from.
    pub detail: Vec<Block>,
}

/// Rates, defaults filled in.
struct Money {
    currency: String,
    hour: f64,
    kilogram: f64,
}

/// Price of an hour where the job names none. Assumed, so that the ways can be ranked.
const HOUR: f64 = 60.0;

/// Compares ways.
pub fn work(fit: &Fit, job: &Job) -> Outcome<Route> {
    let material = material::material(fit.material).unwrap_or_else(|| material::default_part(fit.part));
    let money = Money {
        currency: job.rates.currency.clone().unwrap_or_else(|| "EUR".to_owned()),
        hour: job.rates.hour.unwrap_or(HOUR),
        kilogram: job.rates.kilogram.unwrap_or_else(|| ways::kilogram(material.group)),
    };
    let ground =
        ways::Ground { fit, job, material, money: &money, pieces: f64::from(job.make.pieces.max(1)) };
    let mut all = match fit.part {
        Element::Internal => vec![
            ways::single_point(&ground),
            ways::bought_tap(&ground),
            ways::made_tap(&ground),
            ways::bought_part(&ground),
        ],
        Element::External => {
            vec![ways::single_point(&ground), ways::die(&ground), ways::bought_part(&ground)]
        }
    };
    all.sort_by(|a, b| {
        let key = |w: &Way| (w.impossible.is_some(), !w.reaches_play);
        key(a).cmp(&key(b)).then(a.cost.total_cmp(&b.cost))
    });
    let mut outcome =
        Outcome::ready(Route { detail: detail(fit, job, &all, &money), ways: all, currency: money.currency });
    if job.lathe.is_none() {
        outcome = outcome.need("lathe", "the lathe: without one in the job nothing is turned here");
    }
    if job.rates.hour.is_none() {
        outcome = outcome.note(
            Note::remark(
                Text::from("No rate is given: ")
                    .v(Value::Money(HOUR, currency(job)))
                    .s(" an hour is assumed."),
            )
            .field("rates.hour")
            .source(Source::choice("so that the ways can be ranked")),
        );
    }
    if job.make.duty == Duty::Lift {
        outcome = outcome.note(
            Note::caution(
                "For a load that could fall, a rated part with its maker's papers stands before anything made here; which one is for the competent person to say.",
                Source::table("HSE SIM 03/2010/2 (LOLER)", "lifting equipment and its examination"),
            )
            .field("make.duty"),
        );
    }
    if let Some(route) = &outcome.result
        && route.best().is_none()
    {
        outcome = outcome.note(Note::impossible(
            "None of the ways can be gone with what is in the job; each says what would make it possible.",
        ));
    }
    outcome
}

fn currency(job: &Job) -> String {
    job.rates.currency.clone().unwrap_or_else(|| "EUR".to_owned())
}

fn detail(fit: &Fit, job: &Job, all: &[Way], money: &Money) -> Vec<Block> {
    let given = |given: bool| {
        if given {
            Source::choice("given in the job")
        } else {
            Source::choice("default, assumed so that the ways can be ranked")
        }
    };
    let mut blocks = vec![Block::Figures(
        "Rates".into(),
        vec![
            Figure::new(
                "rate_hour",
                "an hour of work",
                Value::Money(money.hour, money.currency.clone()),
                given(job.rates.hour.is_some()),
            ),
            Figure::new(
                "rate_kilogram",
                "a kilogram of stock, where no stock is on offer",
                Value::Money(money.kilogram, money.currency.clone()),
                given(job.rates.kilogram.is_some()),
            ),
        ],
    )];
    if fit.part == Element::Internal {
        blocks.push(Block::Figures("Tapping".into(), tapping(fit)));
    }
    if all.iter().any(|w| w.key == "made-tap" && w.impossible.is_none()) {
        blocks.push(Block::Notes(vec![hardening()]));
    }
    blocks.push(Block::Table(work_table(all)));
    blocks
}

/// Hardening the taps is the one step of a way that the other stages do not plan.
fn hardening() -> Note {
    Note::caution(
        "Hardening a tap: red-hot steel flares up in oil. Work in the open air or under extraction, with face and hands covered, a lid for the bath and an extinguisher within reach, and by the fire rules of the place.",
        Source::practice("oil hardening in a small shop"),
    )
}

/// Every item of work once, with the ways it belongs to.
fn work_table(all: &[Way]) -> Table {
    let mut rows: Vec<(&time::Item, Vec<&str>)> = Vec::new();
    for way in all {
        for item in &way.items {
            match rows.iter_mut().find(|(seen, _)| *seen == item) {
                Some((_, ways)) => ways.push(way.key),
                None => rows.push((item, vec![way.key])),
            }
        }
    }
    let rows = rows
        .into_iter()
        .map(|(item, keys)| {
            let names = all.iter().filter(|w| keys.contains(&w.key)).map(|w| w.name.as_str());
            let ways =
                if keys.len() == all.len() { "all".to_owned() } else { names.collect::<Vec<_>>().join("; ") };
            Row {
                cells: vec![
                    Value::Word(item.what.clone()),
                    Value::Seconds(item.hours * 3600.0),
                    Value::Word(ways),
                    Value::Word(item.source.to_string()),
                ],
                mark: Mark::Plain,
            }
        })
        .collect();
    Table {
        key: "work",
        title: "Where the hours come from".into(),
        columns: columns(&[
            ("item", "work"),
            ("time", "time, all pieces"),
            ("ways", "for"),
            ("source", "from"),
        ]),
        rows,
        source: None,
    }
}

/// What a tap would want.
fn tapping(fit: &Fit) -> Vec<Figure> {
    let (d, p) = (fit.thread.nominal, fit.thread.pitch.length);
    let mut figures = vec![
        Figure::new(
            "tap_bore",
            "bore before tapping",
            Value::Length(fit.blank.aim, Fine::Shop),
            Source::derived("bore of the fit"),
        ),
        Figure::new(
            "tap_lead",
            "length that the last tap leaves without full thread",
            Value::Length(taps::uncut(fit.thread.family, p), Fine::Coarse),
            taps::LEAD_OF_TAP,
        ),
    ];
    if taps::fastening(fit.thread.family) {
        figures.push(
            Figure::new(
                "tap_share",
                "share of full thread that the bore leaves, full being 5/8 H on each side",
                Value::Share(taps::share(d, fit.blank.aim, p, taps::FULL_OF_NUT).clamp(0.0, 1.0)),
                taps::PERCENT,
            )
            .formula("(D - bore) / (1.08253 P)"),
        );
    } else {
        figures.push(Figure::new(
            "tap_set",
            "taps in a set made for this pitch",
            Value::Count(i64::from(taps::set_of(p))),
            taps::SET,
        ));
    }
    figures
}

impl Route {
    /// The recommended way; none where all are impossible.
    pub fn best(&self) -> Option<&Way> {
        self.ways.first().filter(|w| w.impossible.is_none())
    }

    /// Says itself.
    pub fn section(&self) -> Section {
        let mut blocks = vec![Block::Table(self.table()), Block::Table(self.words())];
        blocks.extend(self.detail.iter().cloned());
        Section { stage: StageName::Route, answer: self.answer(), blocks }
    }

    fn answer(&self) -> Text {
        let Some(best) = self.best() else {
            return Text::from("None of the ways can be gone with what is in the job.");
        };
        let mut text = Text::from(format!("{}: ", best.name))
            .v(Value::Seconds(best.hours * 3600.0))
            .s(" of work, ")
            .v(Value::Money(best.cost, self.currency.clone()))
            .s(", in hand in ")
            .v(Value::Count(best.days.ceil() as i64))
            .s(if best.days > 1.0 { " days." } else { " day." });
        let cheaper = self.ways.iter().find(|w| w.impossible.is_none() && w.cost < best.cost);
        if let Some(way) = cheaper {
            text = text
                .s(format!(" {} would cost ", way.name))
                .v(Value::Money(way.cost, self.currency.clone()))
                .s(", and does not reach the play wanted.");
        }
        text
    }

    fn table(&self) -> Table {
        let rows = self
            .ways
            .iter()
            .enumerate()
            .map(|(i, way)| Row {
                cells: vec![
                    Value::Word(way.name.clone()),
                    Value::Seconds(way.hours * 3600.0),
                    Value::Money(way.outlay, self.currency.clone()),
                    Value::Money(way.cost, self.currency.clone()),
                    Value::Number(way.days.ceil(), 0),
                    way.play.map_or(Value::None, |(a, b)| Value::Band(a, b, Fine::Shop)),
                ],
                mark: mark(i, way),
            })
            .collect();
        Table {
            key: "ways",
            title: "Ways to make it".into(),
            columns: columns(&[
                ("way", "way"),
                ("hours", "own work"),
                ("outlay", "to spend"),
                ("cost", "cost"),
                ("days", "days"),
                ("play", "play on the mate"),
            ]),
            rows,
            source: None,
        }
    }

    /// What to buy for each way, and what could go wrong or keeps it from being gone.
    fn words(&self) -> Table {
        let rows = self
            .ways
            .iter()
            .enumerate()
            .map(|(i, way)| {
                let buy = way.buy.iter().cloned().reduce(|all, next| all.s("; ").text(next));
                Row {
                    cells: vec![
                        Value::Word(way.name.clone()),
                        Value::Said(buy.unwrap_or_else(|| Text::from("nothing"))),
                        Value::Said(way.risk.clone()),
                        way.impossible.clone().map_or(Value::None, Value::Said),
                    ],
                    // The one to take is marked among the figures; long words in bold are hard to read.
                    mark: match mark(i, way) {
                        Mark::Best => Mark::Plain,
                        other => other,
                    },
                }
            })
            .collect();
        Table {
            key: "ways_said",
            title: "What they ask for".into(),
            columns: columns(&[
                ("way", "way"),
                ("buy", "to buy"),
                ("risk", "risk"),
                ("impossible", "why not"),
            ]),
            rows,
            source: None,
        }
    }
}

fn mark(place: usize, way: &Way) -> Mark {
    match (place, &way.impossible) {
        (_, Some(_)) => Mark::Bad,
        (0, None) => Mark::Best,
        _ => Mark::Plain,
    }
}
