//! Figures and tables of the play along the travel.

use super::course::BEND_SOURCE;
use super::course::Travelled;
use super::lead::LeadError;
use super::mate::{self, Mate, SAME_PLACE, Seen};
use super::press::Pressed;
use super::sizes::{Basis, COVERAGE, FILM_SOURCE, PLAY_SOURCE, Sized, count_longer};
use super::travel::{self, Reach, Spot};
use super::{Aside, Fit, Size, crests, missing_by_book, other, play, record, wear, word};
use crate::report::{Block, Figure, Fine, Mark, Note, Row, Table, Text, Value, columns};
use flankwise_thread::{Element, Length, Source};
use std::f64::consts::TAU;

/// Adds figures and tables of play, and what they mean; `asked`: the job names the play.
pub(super) fn report(fit: &mut Fit, mate: &Mate, sized: &Sized, asked: bool, aside: &mut Aside) {
    let mut figures = vec![wanted(sized, asked)];
    figures.extend(lead_error(sized));
    if let Some(bend) = sized.course.as_ref().and_then(|c| c.bend) {
        figures.push(
            Figure::new(
                "bend",
                format!("how far the {} stands off straight within the length engaged", word(mate.element)),
                Value::Band(bend.bow, bend.kink, Fine::Gauge),
                BEND_SOURCE,
            )
            .formula("f/2 (L/S)² as a bow to f/2 · L/S as a kink, f the run-out, S the length it turns on"),
        );
    }
    match (sized.basis, fit.travelled) {
        (Basis::Mate, Some(travelled)) => travel(fit, mate, sized, &travelled, &mut figures, aside),
        (Basis::Mate, None) => {}
        (Basis::CrestsOnly | Basis::Book | Basis::BothNew, _) => predicted(fit, sized, &mut figures),
    }
    fit.detail.insert(0, Block::Figures("Play".into(), figures));
    fit.detail.push(sized.hold.block(sized.slope));
}

/// Error of the mate's lead over the length engaged: along the travel where it changes, else as measured.
fn lead_error(sized: &Sized) -> Option<Figure> {
    const WHAT: &str = "error of the mate's lead over the length of thread";
    const FORMULA: &str = "(P measured - P) · L / P";
    let (error, u) = sized.lead_error?;
    let changes = |lead: &LeadError| lead.growth != 0.0 || lead.wave.is_some();
    if let Some(course) = sized.course.as_ref().filter(|c| changes(&c.along.lead)) {
        let (least, most) = course.lead_error();
        let figure = Figure::new(
            "lead_error",
            format!("{WHAT}, along the travel"),
            Value::Band(least, most, Fine::Shop),
            mate::SOURCE,
        );
        return Some(figure.formula(FORMULA));
    }
    let figure = Figure::new(
        "lead_error",
        format!("{WHAT}, as measured"),
        Value::Length(error, Fine::Shop),
        mate::SOURCE,
    );
    Some(figure.u(Value::Length(u, Fine::Shop)).formula(FORMULA))
}

fn wanted(sized: &Sized, asked: bool) -> Figure {
    let more = sized.tightest_play.is_some_and(|least| least > sized.wanted);
    Figure::new(
        "play_wanted",
        if more {
            "axial play asked for at the tightest place; the sizes are for more, as so little cannot be promised"
        } else {
            "axial play wanted at the tightest place"
        },
        Value::Length(sized.wanted, Fine::Play),
        if asked { Source::choice("asked for in the job") } else { PLAY_SOURCE },
    )
}

/// Without flank readings: what the book lets one expect.
fn predicted(fit: &mut Fit, sized: &Sized, figures: &mut Vec<Figure>) {
    let basic = fit.thread.basic();
    let Some((least, most)) = missing_by_book(fit.book.as_ref(), other(fit.part), &basic, sized.slope) else {
        return;
    };
    let (tight, loose) = sized.limits;
    let play = |own: Length, mates: Length| own + mates - sized.taken;
    let (least, most) = (play(tight, least), play(loose, most));
    if sized.basis == Basis::BothNew {
        fit.expected = Some((least, most));
        fit.detail.extend(aims_of_mate(fit, sized).map(Block::Table));
    }
    let other = word(other(fit.part));
    figures.push(
        Figure::new(
            "play_expected",
            match sized.basis {
                Basis::BothNew => {
                    "axial play of the two new parts, from tight on tight to loose on loose limits".to_owned()
                }
                _ => format!(
                    "axial play to expect with an unworn {other}, over the limits of both; wear adds to it"
                ),
            },
            Value::Band(least, most, Fine::Play),
            play::SOURCE,
        )
        .formula("(D2 - d2) (tan α + tan α') / 2"),
    );
}

/// What the other of two new parts is made to, by the book.
fn aims_of_mate(fit: &Fit, sized: &Sized) -> Option<Table> {
    let part = other(fit.part);
    let basic = fit.thread.basic();
    let book = fit.book.as_ref();
    let unread = (&Mate::unread(fit.part), &Mate::unread(part));
    let (blank, bottom) = crests::crests(part, &basic, book, unread, &mut Aside::default());
    let (least, most) = missing_by_book(book, part, &basic, sized.slope)?;
    let at = |missing| play::pitch_diameter(part, missing, basic.d2, sized.slope);
    let (a, b) = (at(least), at(most));
    let pitch = Size { aim: at((least + most) / 2.0), min: a.min(b), max: a.max(b) };
    let (first, last) = match part {
        Element::Internal => ("bore", "bottom of the thread"),
        Element::External => ("outside", "root"),
    };
    let rows = [(first, blank), ("pitch diameter", pitch), (last, bottom)].map(|(what, size)| Row {
        cells: vec![
            Value::Word(what.to_owned()),
            Value::Length(size.aim, Fine::Shop),
            Value::Length(size.min, Fine::Gauge),
            Value::Length(size.max, Fine::Gauge),
        ],
        mark: Mark::Plain,
    });
    Some(Table {
        key: "aims_of_mate",
        title: format!(
            "What the new {} is made to, by the book: the pitch diameter in the middle of its limits",
            word(part)
        ),
        columns: columns(&[("what", "what"), ("aim", "aim"), ("min", "smallest"), ("max", "largest")]),
        rows: rows.to_vec(),
        source: Some(Source::derived("limits of the standard")),
    })
}

fn travel(
    fit: &mut Fit,
    mate: &Mate,
    sized: &Sized,
    travelled: &Travelled,
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) {
    let (tight, loose) = (travelled.tightest, travelled.loosest);
    let formula = "least room on left flanks + on right flanks, over the turns covered";
    if let Some(play) = sized.tightest_play {
        figures.push(
            Figure::new(
                "play_promised",
                "least play at the tightest place that the readings of the thread and your cut allow, the lead left aside",
                Value::Length(play, Fine::Play),
                FILM_SOURCE,
            )
            .formula("2 u of the readings there + what you can hold + the film on either flank"),
        );
        if !fit.upright() {
            let at = sized.missing - (tight.play() - play);
            figures.push(
                Figure::new(
                    "tightest_pitch_diameter",
                    "pitch diameter at which that is the play: the tightest that passes everywhere",
                    Value::Length(sized.pitch_diameter_at(at, &fit.thread.basic()), Fine::Gauge),
                    play::SOURCE,
                )
                .symbol(if fit.part == Element::Internal { "D2" } else { "d2" }),
            );
        }
    }
    for (key, what, spot) in [
        ("play_tightest", "play of the whole part where it is tightest, as it is cut", tight),
        ("play_loosest", "the same where it is loosest", loose),
    ] {
        figures.push(
            Figure::new(key, what, Value::Length(spot.play(), Fine::Play), travel::SOURCE)
                .u(Value::Length(spot.u, Fine::Gauge))
                .formula(formula),
        );
    }
    let u_lead = if fit.lead_not_counted {
        aside.need(
            "reading",
            "a count of pitches over as much of the mate as can be spanned: without one its lead is taken as true, and the band of the play is without it",
        );
        Value::Word("not counted".to_owned())
    } else {
        Value::Length(tight.u_lead, Fine::Gauge)
    };
    figures.push(Figure::new(
        "play_u_lead",
        "of that uncertainty, what the lead has in it at the tightest place",
        u_lead,
        mate::SOURCE,
    ));
    let (least, most) = travelled.play;
    if travelled.is_set() {
        figures.push(Figure::new(
            "play_set",
            "play along the travel once the nut is set",
            Value::Band(least, most, Fine::Play),
            travel::SOURCE,
        ));
    }
    if let Some(pressed) = &fit.pressed {
        figures.extend(before_and_after_pressing(least, pressed));
    }
    figures.push(
        Figure::new(
            "play_spread",
            "spread of play along the travel",
            Value::Length(most - least, Fine::Play),
            wear::SPREAD_SOURCE,
        )
        .u(Value::Length(Length::mm(tight.u_read().to_mm().hypot(loose.u_read().to_mm())), Fine::Gauge)),
    );
    figures.push(
        Figure::new(
            "lost_motion",
            "turn of the screw lost at the loosest place",
            Value::Angle(flankwise_thread::Angle::rad(TAU * (most / fit.thread.lead())), 1),
            Source::derived("play over lead, of one turn"),
        )
        .formula("360° · play / Ph"),
    );

    if fit.part == Element::Internal {
        fit.detail.extend(along(fit, sized).map(Block::Table));
    }
    if let [one] = mate.seen.as_slice() {
        one_place(fit, sized, one, aside);
    }
    open(fit, mate, figures, aside);
}

/// Play at the tightest place while the part is still out of its housing, and once it is in.
fn before_and_after_pressing(least: Length, pressed: &Pressed) -> [Figure; 2] {
    [
        Figure::new(
            "play_before_pressing",
            "play at the tightest place before the part is pressed in",
            Value::Length(least + pressed.takes.1, Fine::Shop),
            play::SOURCE,
        )
        .formula("play once pressed in + what pressing takes, at its tightest"),
        Figure::new(
            "play_pressed",
            "play there once it is pressed in, at its tightest and its lightest",
            Value::Band(least, least + pressed.open(), Fine::Shop),
            play::SOURCE,
        ),
    ]
}

/// Read at one place only: what is then assumed, and what an end that never ran would do to it.
fn one_place(fit: &Fit, sized: &Sized, seen: &Seen, aside: &mut Aside) {
    aside.need(
        "reading",
        "the same reading at the ends and the middle of the travel: one place tells nothing of the wear along it",
    );
    let mate = word(other(fit.part));
    let mut text = Text::from(format!(
        "The {mate}'s thread was read at one place, and is taken to be the same all along."
    ));
    let new = missing_by_book(fit.book.as_ref(), other(fit.part), &fit.thread.basic(), sized.slope);
    if let Some((least, _)) = new.filter(|(least, _)| sized.play(*least) < Length::ZERO) {
        text = text
            .s(" Where it never ran it may be thicker by ")
            .v(Value::Length(seen.missing - least, Fine::Gauge))
            .s(format!(", and the {} would bind there by ", word(fit.part)))
            .v(Value::Length(-sized.play(least), Fine::Gauge))
            .s(": read an end that never ran before cutting.");
    }
    aside.note(Note::warning(text).field("reading"));
}

/// What the readings leave open: the least play, and where it may bind, why and what would settle it.
fn open(fit: &Fit, mate: &Mate, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let Some((spot, least)) = fit.play_open() else { return };
    figures.push(
        Figure::new(
            "play_open",
            "least play along the travel that the readings leave open, two standard uncertainties down",
            Value::Length(least, Fine::Gauge),
            record::SOURCE,
        )
        .formula("least of play - 2 u"),
    );
    let of_thread = |s: &Spot| s.play() - s.u_read() * COVERAGE;
    let by_thread = fit.travel.iter().min_by(|a, b| of_thread(a).to_mm().total_cmp(&of_thread(b).to_mm()));
    if let Some(spot) = by_thread.filter(|s| of_thread(s) < Length::ZERO) {
        let at = spot.open_at;
        let read = mate.seen.iter().any(|s| (s.place - at).abs() < SAME_PLACE);
        let mut text = Text::from(format!("The {} may be thicker than ", word(mate.element)));
        text = text
            .s(if read { "it was read at " } else { "its readings on either side say, at " })
            .v(Value::Length(at, Fine::Coarse))
            .s(", by enough to bind: the play there could be ")
            .v(Value::Length(of_thread(spot), Fine::Gauge))
            .s(if read {
                ". A closer reading there settles it."
            } else {
                ". One more reading there settles it."
            });
        aside.beware(Note::warning(text).field("reading").source(record::SOURCE));
    } else if least < Length::ZERO {
        let text = Text::from("The play may be too little: with its middle at ")
            .v(Value::Length(spot.middle(), Fine::Coarse))
            .s(format!(" the {} has ", word(fit.part)))
            .v(Value::Length(spot.play(), Fine::Play))
            .s(", and the readings leave open from ")
            .v(Value::Band(least, spot.play() + spot.u * COVERAGE, Fine::Play))
            .s(" (two standard uncertainties), most of it by the lead. ")
            .s(count_longer(fit.part));
        aside.beware(Note::warning(text).field("reading").source(mate::SOURCE));
    }
}

/// Play of the nut as it travels, flank by flank.
fn along(fit: &Fit, sized: &Sized) -> Option<Table> {
    const STEPS: usize = 9;
    let course = sized.course.as_ref()?;
    let spots = course.spots(Reach::whole(course.engaged), STEPS);
    if spots.len() < 2 {
        return None;
    }
    let book = fit.travelled.and_then(|t| t.by_book);
    let rows = spots
        .into_iter()
        .map(|bare| {
            let spot = sized.spot(bare);
            Row {
                cells: vec![
                    Value::Length(spot.from, Fine::Coarse),
                    Value::Length(spot.to, Fine::Coarse),
                    Value::Length(spot.left, Fine::Play),
                    Value::Length(spot.left_at, Fine::Coarse),
                    Value::Length(spot.right, Fine::Play),
                    Value::Length(spot.right_at, Fine::Coarse),
                    Value::Length(spot.play(), Fine::Play),
                    Value::Length(spot.u, Fine::Gauge),
                    by_book(spot.play(), book),
                ],
                mark: if spot.play() < Length::ZERO { Mark::Bad } else { Mark::Plain },
            }
        })
        .collect();
    let split = if course.along.tells_flanks() {
        "its wear by flank as read"
    } else {
        "its wear taken half and half, as neither flank was read by itself"
    };
    Some(Table {
        key: "play_of_nut",
        title: format!(
            "Play of the whole {} along the travel, on the {}'s left and right flanks, counted from where both are in step at the middle, {split}",
            word(fit.part),
            word(other(fit.part)),
        ),
        columns: columns(&[
            ("from", "from"),
            ("to", "to"),
            ("left", "left flanks"),
            ("left_at", "set at"),
            ("right", "right flanks"),
            ("right_at", "set at"),
            ("play", "play"),
            ("u_play", "uncertainty of play"),
            ("play_by_book", "by the book"),
        ]),
        rows,
        source: Some(travel::SOURCE),
    })
}

/// Play of a part by the book where the part has `play`: over its limits, which have so much more at either end.
pub(super) fn by_book(play: Length, more: Option<(Length, Length)>) -> Value {
    more.map_or(Value::None, |(tight, loose)| Value::Band(play + tight, play + loose, Fine::Play))
}

/// A size's limits, or the one size where they are the same.
pub(super) fn one_or_band(size: Size, fine: Fine) -> Value {
    if size.min == size.max { Value::Length(size.aim, fine) } else { band(size, fine) }
}

/// A size as a band with its aim, for the section.
pub(super) fn band(size: Size, fine: Fine) -> Value {
    Value::Band(size.min, size.max, fine)
}
