//! The route as a section: the ways side by side, what each asks for, what can go wrong, and where hours come from.

use super::ways::{self, Ground};
use super::{Route, Way, cast, milling, risk, steps, tap_set, taps, time};
use crate::fit::Fit;
use crate::job::{Job, OfferKind, WayKind, Words};
use crate::report::{Block, Figure, Fine, Mark, Note, Row, Section, StageName, Table, Text, Value, columns};
use flankwise_thread::{Element, Length, Source};

impl Route {
    /// Says itself.
    pub fn section(&self) -> Section {
        let mut blocks = vec![Block::Table(self.table()), Block::Table(self.words())];
        if let Some(way) = self.taken().filter(|w| !w.steps.is_empty()) {
            blocks.push(Block::Steps(format!("The work: {}", way.name), way.steps.clone()));
        }
        blocks.push(Block::Table(self.risks()));
        blocks.extend(self.detail.iter().cloned());
        Section { stage: StageName::Route, answer: self.answer(), blocks }
    }

    fn money(&self, amount: f64) -> Value {
        Value::Money(amount, self.currency.clone())
    }

    fn answer(&self) -> Text {
        let Some(way) = self.taken() else {
            return Text::from("None of the ways can be gone with what is in the job.");
        };
        let chosen = self.chosen.as_ref().filter(|c| c.kind == way.kind);
        let lead = if chosen.is_some() { "Chosen: " } else { "" };
        let sum = way.cost.as_ref().unwrap_or(&way.outlay);
        let spend = if way.cost.is_some() { "" } else { " to spend" };
        let mut text = Text::from(format!("{lead}{}: ", way.name))
            .v(Value::Seconds(way.hours * 3600.0))
            .s(" of work, ")
            .v(self.money(sum.known))
            .s(format!("{}{spend}, in hand in ", sum.rest()))
            .v(Value::Count(way.days.ceil() as i64))
            .s(if way.days > 1.0 { " days." } else { " day." });
        if let Some(loss) = way.loss(self.rate) {
            text = text.s(" Risk: ").v(Value::Share(way.risk.chance())).s(self.spoiled()).s(", ");
            text = text.v(self.money(loss)).s(" to reckon with for that.");
        }
        if let Some(because) = chosen.and_then(|c| c.because.as_ref()) {
            text = text.s(format!(" Because: {}.", because.trim_end_matches('.')));
        }
        let cheaper =
            |w: &&Way| w.possible() && !w.as_asked && w.expected(self.rate) < way.expected(self.rate);
        if let Some(other) = self.ways.iter().filter(cheaper).find(|_| way.as_asked)
            && let Some(cost) = &other.cost
        {
            text = text
                .s(format!(" {} would cost ", other.name))
                .v(self.money(cost.known))
                .s(format!("{}, and does not give what was asked.", cost.rest()));
        }
        text
    }

    /// What the chance in the answer is of.
    fn spoiled(&self) -> String {
        match self.pieces {
            1 => " that it is spoiled".to_owned(),
            n => format!(" that any of the {n} is spoiled"),
        }
    }

    fn mark(&self, way: &Way) -> Mark {
        match (&way.impossible, self.taken()) {
            (Some(_), _) => Mark::Bad,
            (None, Some(taken)) if taken.kind == way.kind => Mark::Best,
            _ => Mark::Plain,
        }
    }

    fn table(&self) -> Table {
        // Where the mate was not measured no way has a play to say.
        let play = self.ways.iter().any(|w| w.play.is_some());
        let row = |way: &Way| {
            let cells = vec![
                Value::Word(way.name.clone()),
                Value::Seconds(way.hours * 3600.0),
                way.outlay.value(&self.currency),
                way.cost.as_ref().map_or(Value::None, |c| c.value(&self.currency)),
                Value::Share(way.risk.chance()),
                way.loss(self.rate).map_or(Value::Seconds(way.risk.hours() * 3600.0), |l| self.money(l)),
                Value::Number(way.days.ceil(), 0),
            ];
            let said = way.play.map_or(Value::None, |(a, b)| Value::Band(a, b, Fine::Play));
            Row { cells: cells.into_iter().chain(play.then_some(said)).collect(), mark: self.mark(way) }
        };
        let mut heads = vec![
            ("way", "way"),
            ("hours", "own work"),
            ("outlay", "to spend"),
            ("cost", "cost"),
            ("chance", if self.pieces > 1 { "any spoiled" } else { "spoiled" }),
            ("loss", "expected loss"),
            ("days", "days"),
        ];
        heads.extend(play.then_some(("play", "play on the mate")));
        Table {
            key: "ways",
            title: match self.pieces {
                1 => "Ways to make it".into(),
                n => format!("Ways to make it, hours and money for all {n} pieces"),
            },
            columns: columns(&heads),
            rows: self.ways.iter().map(row).collect(),
            source: None,
        }
    }

    /// What to buy for each way, what it cannot do, and what keeps it from being gone.
    fn words(&self) -> Table {
        let joined = |list: &[Text], between: &str| {
            list.iter()
                .cloned()
                .reduce(|all, next| all.s(between).text(next))
                .map_or(Value::None, Value::Said)
        };
        let mut heads = vec![
            ("way", "way"),
            ("buy", "to buy"),
            ("cannot", "what it cannot do"),
            ("impossible", "why not"),
        ];
        let own = self.ways.iter().any(|w| !w.own.is_empty() || w.own_note.is_some());
        if own {
            heads.push(("own", "your own figures"));
        }
        let row = |way: &Way| {
            let mut cells = vec![
                Value::Word(way.name.clone()),
                joined(&way.buy, "; "),
                joined(&way.cannot, " "),
                way.impossible.clone().map_or(Value::None, Value::Said),
            ];
            if own {
                let note = way.own_note.iter().map(|n| format!("“{n}”"));
                let own: Vec<String> = way.own.iter().map(|&o| o.to_owned()).chain(note).collect();
                cells.push(Value::Word(own.join(", ")));
            }
            // The one to take is marked among the figures; long words in bold are hard to read.
            let mark = match self.mark(way) {
                Mark::Best => Mark::Plain,
                other => other,
            };
            Row { cells, mark }
        };
        Table {
            key: "ways_said",
            title: "What they ask for".into(),
            columns: columns(&heads),
            rows: self.ways.iter().map(row).collect(),
            source: None,
        }
    }

    /// Everything that can go wrong, way by way.
    fn risks(&self) -> Table {
        let mut rows = Vec::new();
        for way in self.ways.iter().filter(|w| w.possible()) {
            for m in &way.risk.mishaps {
                rows.push(Row {
                    cells: vec![
                        Value::Word(way.name.clone()),
                        Value::Word(m.what.to_owned()),
                        Value::Word(m.when.to_owned()),
                        Value::Share(m.chance),
                        Value::Seconds(m.hours * 3600.0),
                        m.money.value(&self.currency),
                    ],
                    mark: Mark::Plain,
                });
            }
        }
        Table {
            key: "risks",
            title: "What can go wrong, and what is lost then".into(),
            columns: columns(&[
                ("way", "way"),
                ("what", "what"),
                ("when", "shows"),
                ("chance", "chance"),
                ("hours", "work lost"),
                ("money", "material lost"),
            ]),
            rows,
            source: Some(risk::CHANCES),
        }
    }
}

/// Rates, taps, cutter, and where the hours come from.
pub(super) fn detail(g: &Ground, all: &[Way]) -> Vec<Block> {
    let mut blocks = Vec::new();
    let rates = rates(g);
    if !rates.is_empty() {
        blocks.push(Block::Figures("Rates".into(), rates));
    }
    blocks.push(Block::Notes(vec![waiting()]));
    if g.fit.part == Element::Internal {
        blocks.push(Block::Figures("Tapping".into(), tapping(g.fit)));
    }
    // What a mill would do to the flanks is worth seeing where it keeps the way from being gone, too.
    let worth = |w: &&Way| w.possible() || w.kind == WayKind::ThreadMill;
    blocks.extend(all.iter().filter(worth).flat_map(|w| w.design.iter().cloned()));
    blocks.push(Block::Table(work_table(all)));
    blocks
}

fn rates(g: &Ground) -> Vec<Figure> {
    let given = Source::choice("given in the job");
    let money = |amount: f64| Value::Money(amount, g.job.rates.currency().to_owned());
    let hour = g.job.rates.hour.map(|v| Figure::new("rate_hour", "an hour of work", money(v), given));
    let stock = g.job.offers.iter().any(|o| o.kind == OfferKind::Stock && o.price.is_some());
    let kilogram = g.job.rates.kilogram.filter(|_| !stock).map(|v| {
        Figure::new("rate_kilogram", "a kilogram of stock, no stock being on offer", money(v), given)
    });
    hour.into_iter().chain(kilogram).collect()
}

/// What is taken for the wait where no offer says.
fn waiting() -> Note {
    Note::remark(
        Text::from("Where no offer says, a wait of ")
            .v(Value::Number(ways::DEALER_DAYS, 0))
            .s(" days is taken for stock, steel and resin, ")
            .v(Value::Number(ways::KEPT_DAYS, 0))
            .s(" for tools and parts that are kept, ")
            .v(Value::Number(ways::ORDER_DAYS, 0))
            .s(" for tools made to order."),
    )
    .field("offer")
    .source(Source::practice("usual waits"))
}

/// Every item of work once, with the ways it belongs to.
fn work_table(all: &[Way]) -> Table {
    let mut rows: Vec<(&time::Item, Vec<WayKind>)> = Vec::new();
    for way in all {
        for item in &way.items {
            match rows.iter_mut().find(|(seen, _)| seen.what == item.what && seen.hours == item.hours) {
                Some((_, ways)) => ways.push(way.kind),
                None => rows.push((item, vec![way.kind])),
            }
        }
    }
    let rows = rows
        .into_iter()
        .map(|(item, kinds)| {
            let ways = if kinds.len() == all.len() {
                "all".to_owned()
            } else {
                kinds.into_iter().map(WayKind::word).collect::<Vec<_>>().join(", ")
            };
            Row {
                cells: vec![
                    Value::Word(item.what.clone()),
                    Value::Seconds(item.hours * 3600.0),
                    Value::Word(ways),
                    if item.source == time::ALLOWANCE {
                        Value::None
                    } else {
                        Value::Word(item.source.to_string())
                    },
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
            ("source", "from, where not as below"),
        ]),
        rows,
        source: Some(time::ALLOWANCE),
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
                "share of full thread that the bore leaves, full being the form's own",
                Value::Share(taps::share(d, fit.blank.aim, p, taps::full_of(&fit.thread)).clamp(0.0, 1.0)),
                taps::PERCENT,
            )
            .formula("(D - bore) / (D - D1)"),
        );
    }
    figures
}

/// Title of the steps of making a set of taps.
pub const MAKING: &str = "Making the taps";

/// Everything that a set of taps is made by; `fit` as they cut it.
pub(super) fn taps_to_make(set: &tap_set::TapSet, fit: &Fit, job: &Job) -> Vec<Block> {
    vec![
        Block::Figures("Taps to make, the same on all".into(), tap_figures(set, fit)),
        Block::Table(tap_table(set)),
        Block::Table(soft_table(set, fit, &job.gauges.wires)),
        Block::Steps(MAKING.into(), steps::making(set, &fit.thread)),
    ]
}

/// Sizes that all taps of the set share, and what their square and core bear.
fn tap_figures(set: &tap_set::TapSet, fit: &Fit) -> Vec<Figure> {
    let gauge = |l: Length| Value::Length(l, Fine::Gauge);
    let sized = |key, what: &str, l, source| Figure::new(key, what, gauge(l), source);
    let derived = Source::derived;
    vec![
        Figure::new("tap_set", "taps in the set", Value::Count(i64::from(set.count())), tap_set::SET),
        sized(
            "tap_pilot",
            "pilot in front of the lead, diameter",
            set.pilot,
            Source::practice("0.05 mm under the bore"),
        ),
        sized(
            "tap_root",
            "bottom of the taps' own thread, diameter",
            set.root,
            Source::practice("0.2 mm under the bore"),
        ),
        sized(
            "tap_tip",
            "tip of the tool that cuts their thread, at most",
            set.tip,
            derived("pitch less the tooth at its root"),
        )
        .formula("P - w(root)"),
        Figure::new("tap_flutes", "flutes", Value::Count(i64::from(set.flutes)), tap_set::FLUTES),
        sized(
            "tap_cutter",
            "ball-nosed cutter for the flutes, diameter",
            set.cutter,
            Source::practice("flutes take half of the circumference"),
        ),
        sized(
            "tap_cutter_offset",
            "axis of the cutter beside that of the tap",
            set.cutter_offset,
            derived("side of the cutter on the cutting face"),
        )
        .formula("D/2 - d/2 sin γ"),
        sized(
            "tap_cutter_height",
            "end of the cutter above the tap's axis",
            set.cutter_height,
            derived("straight side down to below the root"),
        ),
        sized(
            "tap_core",
            "core that the flutes leave, diameter",
            set.core,
            derived("distance of the cutter's ball from the axis"),
        ),
        sized(
            "tap_land",
            "land at the crest, round the circumference",
            set.land,
            derived("spacing less the flute"),
        ),
        sized(
            "tap_neck",
            "shank between thread and square: the nut runs over it",
            set.neck,
            Source::practice("length of the nut and 10 mm"),
        ),
        sized("tap_shank", "shank, diameter", set.square.shank, set.square.source),
        sized("tap_square", "square, across flats", set.square.across, set.square.source),
        sized("tap_square_length", "square, length", set.square.length, set.square.source),
        Figure::new(
            "tap_most_chip",
            "chip on a tooth of the lead, at most",
            gauge(set.most_chip),
            taps::CHIP,
        )
        .formula("depth n / (pitches z)"),
        Figure::new(
            "tap_longest_lead",
            "longest lead, in pitches",
            Value::Number(tap_set::LONGEST_LEAD, 0),
            tap_set::LONGEST,
        ),
        Figure::new(
            "tap_first_share",
            "share of the metal planned for the first tap",
            Value::Share(set.first_share),
            tap_set::SHARES,
        ),
        Figure::new(
            "tap_rubbing",
            "factor for lands that rub and chips that jam",
            Value::Number(set.rubbing, 2),
            taps::RUBBING,
        ),
        Figure::new(
            "tap_square_bears",
            "torque that the square bears, left soft",
            Value::TorqueNm(set.square_bears_nm),
            taps::SQUARE_TORSION,
        )
        .formula("0.208 a³ τ"),
        Figure::new(
            "tap_core_bears",
            "torque that the hardened core bears",
            Value::TorqueNm(set.core_bears_nm),
            tap_set::CORE_SOURCE,
        )
        .formula("π d³ τ / 16"),
        Figure::new(
            "tap_torque_margin",
            "hardest tap to the weaker of the two",
            Value::Number(set.square_bears_nm.min(set.core_bears_nm) / set.hardest_nm(), 1),
            tap_set::MARGIN_SOURCE,
        ),
        Figure::new(
            "tap_grows",
            "what the lead grows by in hardening, over the nut; the teeth are wider by it",
            gauge(tap_set::grown(fit)),
            steps::O1,
        )
        .formula("0.0015 L"),
    ]
}

/// Tap by tap.
fn tap_table(set: &tap_set::TapSet) -> Table {
    let row = |t: &tap_set::Tap| Row {
        cells: vec![
            Value::Count(i64::from(t.number)),
            Value::Length(t.crest, Fine::Gauge),
            Value::Length(t.crest_width, Fine::Gauge),
            Value::Length(t.lead_start, Fine::Shop),
            Value::Length(t.lead, Fine::Coarse),
            Value::Angle(t.lead_angle, 1),
            Value::Length(t.full, Fine::Coarse),
            Value::Length(t.length, Fine::Coarse),
            Value::Length(t.chip, Fine::Gauge),
            Value::Share(t.share),
            Value::TorqueNm(t.torque_nm),
        ],
        mark: Mark::Plain,
    };
    Table {
        key: "taps",
        title: "Taps to make, one by one".into(),
        columns: columns(&[
            ("tap", "tap"),
            ("crest", "crest"),
            ("crest_width", "crest width"),
            ("lead_start", "lead from"),
            ("lead", "lead"),
            ("lead_angle", "lead angle"),
            ("full", "full teeth"),
            ("length", "over all"),
            ("chip", "chip a tooth"),
            ("share", "metal"),
            ("torque", "torque"),
        ]),
        rows: set.taps.iter().map(row).collect(),
        source: Some(taps::TORQUE),
    }
}

/// What each tap is turned to, for it grows in hardening.
fn soft_table(set: &tap_set::TapSet, fit: &Fit, stock: &[Length]) -> Table {
    let gauge = |l: Length| Value::Length(l, Fine::Gauge);
    let upright = fit.slope() <= 1e-9;
    let row = |t: &tap_set::Tap| {
        let read = tap_set::over_wires(fit, t, stock);
        Row {
            cells: vec![
                Value::Count(i64::from(t.number)),
                gauge(tap_set::soft(t.crest)),
                if upright { Value::None } else { gauge(tap_set::soft(t.pitch_diameter)) },
                read.map_or(Value::None, |(wire, _)| gauge(wire)),
                read.map_or(Value::None, |(_, over)| gauge(over)),
            ],
            mark: Mark::Plain,
        }
    };
    Table {
        key: "taps_soft",
        title: "Taps before they are hardened".into(),
        columns: columns(&[
            ("tap", "tap"),
            ("crest", "crest, turned"),
            ("pitch_diameter", "pitch diameter, turned"),
            ("wire", "wire"),
            ("over_wires", "over three wires"),
        ]),
        rows: set.taps.iter().map(row).collect(),
        source: Some(steps::O1),
    }
}

/// The film of wax, and the play it leaves.
pub(super) fn casting(fit: &Fit) -> Vec<Figure> {
    let length = |l: Length| Value::Length(l, Fine::Shop);
    let cast = fit.cast_play();
    vec![
        Figure::new("cast_film", "wax on each flank", length(cast::FILM), cast::FILM_SOURCE),
        Figure::new(
            "cast_play",
            "axial play where it is cast",
            Value::Band(cast.0, cast.1, Fine::Shop),
            Source::derived("film on both flanks and the resin's shrinkage, along the axis"),
        )
        .formula("film (1/cos α + 1/cos α') + 2 s t (tan α + tan α') / 2"),
    ]
}

/// The cutter's path, and what its disc does to the flanks.
pub(super) fn milling(m: &milling::Milling, g: &Ground) -> Vec<Figure> {
    let gauge = |l: Length| Value::Length(l, Fine::Gauge);
    let which = if g.unlike() { "the steeper flank" } else { "each flank" };
    let (path, feed, passes) = match g.fit.part {
        Element::Internal => (
            "D4 - Dc",
            "fz Z n (D4 - Dc) / D4",
            "0.5 mm a pass in bronze, brass, iron and plastics, 0.25 mm in steel; one more at full depth",
        ),
        Element::External => (
            "d3 + Dc",
            "fz Z n (d3 + Dc) / d3",
            "a disc on an arbor takes the full depth at once; one more finishes",
        ),
    };
    let mut figures = vec![
        Figure::new(
            "mill_path",
            "circle of the cutter's axis at full depth, diameter",
            gauge(m.disc.offset * 2.0),
            Source::derived("bottom of the groove and the cutter"),
        )
        .formula(path),
        Figure::new(
            "mill_overcut",
            format!("what {which} loses to the disc at the pitch diameter, along the axis"),
            gauge(m.overcut),
            milling::OVERCUT,
        ),
        Figure::new(
            "mill_flank_error",
            "of it a curve of the flank, which no thinner cutter mends",
            gauge(m.flank_error),
            milling::OVERCUT,
        ),
        Figure::new(
            "mill_neck",
            "thickest neck that clears the work",
            Value::Length(m.neck, Fine::Shop),
            Source::derived(
                "between the blank's surface and the cutter's axis at full depth, less 0.1 mm a side",
            ),
        ),
        Figure::new("mill_passes", "passes", Value::Count(i64::from(m.passes)), Source::practice(passes)),
        Figure::new(
            "mill_rpm",
            "spindle speed",
            Value::Rpm(m.rpm),
            Source::practice("twice the turning speed for high-speed steel, within the spindle's fastest"),
        ),
        Figure::new(
            "mill_feed",
            "feed at the cutter's centre, mm a minute",
            Value::Number(m.feed_mm_per_min, 0),
            milling::FEED,
        )
        .formula(feed),
        Figure::new("mill_minutes", "in the cut, one piece", Value::Seconds(m.minutes * 60.0), milling::FEED),
    ];
    figures.extend(m.largest.map(|largest| {
        Figure::new(
            "mill_largest",
            "largest cutter that leaves the flanks straight enough",
            Value::Length(largest, Fine::Shop),
            milling::OVERCUT,
        )
    }));
    figures
}
