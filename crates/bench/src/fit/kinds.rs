//! Kinds of nut side by side: plain, split, in two pieces, sprung, cast; what play each can have along this travel.

use super::sizes::Sized;
use super::travel::{Reach, Spot};
use super::{Aside, Fit, caution, play};
use crate::job::{Job, Make, NutKind, WayKind, Words};
use crate::report::{Block, Figure, Fine, Mark, Note, Row, Table, Text, Value, columns};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Element, Length, Source, table};
use std::sync::LazyLock;

struct Kind {
    kind: NutKind,
    set: Option<Length>,
    each_way: f64,
    other_way: f64,
    takes: &'static str,
    source: Source,
}

static KINDS: LazyLock<Vec<Kind>> = LazyLock::new(|| {
    let table = table::Table::read("nut_kinds.csv", include_str!("../../data/nut_kinds.csv"));
    table
        .rows()
        .map(|row| Kind {
            kind: NutKind::from_word(row.text("kind"))
                .unwrap_or_else(|| panic!("nut_kinds.csv: kind `{}`", row.text("kind"))),
            set: row.number("set_mm").map(Length::mm),
            each_way: row.required("each_way"),
            other_way: row.required("other_way"),
            takes: row.text("takes"),
            source: row.source("source"),
        })
        .collect()
});

/// Places of the travel that the spread of play is taken from.
const SPOTS: usize = 61;
/// Film of release wax on a flank, square to it. Common practice, no source.
pub const RELEASE: Length = Length::mm(0.02);
/// Origin of the film.
pub const RELEASE_SOURCE: Source =
    Source::practice("paste wax rubbed down twice leaves some 0.02 mm on a flank");
/// Resin over the crests of the screw, radial. Common practice, no source.
const LAYER: Length = Length::mm(3.0);
/// Shrinkage of a filled casting resin along each length: what a textbook gives for epoxy, and what is reckoned with.
const SHRINKAGE: (f64, f64) = (0.0001, 0.002);
const SHRINKAGE_SOURCE: Source = Source::table(
    "Budinski, Engineering Materials (1999), as quoted in a university glossary",
    "epoxy shrinks by 0.01 % on curing; up to 0.2 % is common practice, no source",
);

/// Least play of a kind of nut once it is set, and most where the mate was measured or both are new; `new`: the play of
/// two new parts over their limits, where both are made.
fn plays(
    kind: &Kind,
    (make, new): (&Make, Option<(Length, Length)>),
    sized: &Sized,
    basic: &Basic,
) -> (Length, Option<Length>) {
    let spread = |reach: fn(Length) -> Reach| {
        // A new mate is alike all along.
        let Some(course) = &sized.course else { return new.map(|_| Length::ZERO) };
        let spots = course.spots(reach(course.engaged), SPOTS);
        let plays = || spots.iter().map(Spot::play);
        Some(plays().reduce(Length::max)? - plays().reduce(Length::min)?)
    };
    let from = |least: Length, most: Length, reach| (least, spread(reach).map(|more| most + more));
    // Set to what is asked for, and no closer than such nuts are set.
    let set = kind.set.unwrap_or_default().max(make.play.unwrap_or_default());
    match kind.kind {
        NutKind::Plain => match (&sized.course, new) {
            (Some(c), _) => (sized.spot(c.tightest).play(), Some(sized.spot(c.loosest).play())),
            (None, Some((least, most))) => (least, Some(most)),
            (None, None) => (sized.wanted, None),
        },
        NutKind::Cast => {
            let (least, most) = cast_play(basic);
            from(least, most, Reach::whole)
        }
        NutKind::Sprung => (Length::ZERO, spread(Reach::whole).map(|_| Length::ZERO)),
        NutKind::Split => from(set, set, Reach::whole),
        NutKind::TwoPiece => from(set, set, Reach::halves),
    }
}

/// The kind of nut that the job asks for; a plain one where a screw is made.
fn asked(make: &Make) -> Option<&'static Kind> {
    let kind = if make.part == Element::Internal { make.nut } else { NutKind::Plain };
    KINDS.iter().find(|k| k.kind == kind)
}

/// Least and most play along the travel of the kind that the job asks for, once it is set; a screw has its own.
pub(super) fn play_of(make: &Make, sized: &Sized, basic: &Basic) -> Option<(Length, Length)> {
    let (least, most) = plays(asked(make)?, (make, None), sized, basic);
    Some((least, most?))
}

/// Share of the nut's length that carries one way; all of it where a screw is made.
pub(super) fn each_way(make: &Make) -> f64 {
    asked(make).map_or(1.0, |k| k.each_way)
}

/// Adds the table of kinds, and what the kind that is asked for needs; for nuts only.
pub(super) fn report(fit: &mut Fit, sized: &Sized, job: &Job, basic: &Basic, aside: &mut Aside) {
    let make = &job.make;
    if fit.part != Element::Internal {
        if make.nut != NutKind::Plain {
            aside.note(Note::remark("A screw is made: the kind of nut changes nothing.").field("make.nut"));
        }
        return;
    }
    let new = fit.expected;
    let rows = KINDS
        .iter()
        .map(|k| {
            let (least, most) = plays(k, (make, new), sized, basic);
            Row {
                cells: vec![
                    Value::Word(k.kind.word().to_owned()),
                    Value::Length(least, Fine::Play),
                    most.map_or(Value::None, |most| Value::Length(most, Fine::Play)),
                    Value::Length(fit.length * k.each_way, Fine::Coarse),
                    if k.other_way > 0.0 {
                        Value::Length(fit.length * k.other_way, Fine::Coarse)
                    } else {
                        Value::Word("the spring".into())
                    },
                    Value::Length(fit.length / k.each_way, Fine::Coarse),
                    Value::Word(k.takes.to_owned()),
                    Value::Word(k.source.to_string()),
                ],
                mark: if k.kind == make.nut { Mark::Best } else { Mark::Plain },
            }
        })
        .collect();
    fit.detail.push(Block::Table(Table {
        key: "nut_kinds",
        title: "Kinds of nut: the play each has along this travel, and how it carries".into(),
        columns: columns(&[
            ("kind", "kind"),
            ("least", "least play"),
            ("most", "most play"),
            ("each_way", "carries one way"),
            ("other_way", "the other way"),
            ("length", "as long for the same load"),
            ("takes", "takes up"),
            ("source", "from"),
        ]),
        rows,
        source: None,
    }));
    if let Some(kind) = asked(make) {
        let (least, most) = plays(kind, (make, new), sized, basic);
        fit.expected = new.and(most.map(|most| (least, most)));
    }
    match make.nut {
        NutKind::Cast => {
            cast_round(fit, sized, basic, aside);
            if job.choice.way != Some(WayKind::Cast) {
                aside.note(
                    Note::impossible("A nut that is cast round its screw is not cut, and the sizes, tool and passes here are those of a nut that is: choose casting as the way (choice.way = \"cast\"), or another kind of nut.")
                        .field("make.nut"),
                );
            }
        }
        NutKind::TwoPiece => in_two(fit, aside),
        NutKind::Sprung => {
            in_two(fit, aside);
            aside.note(pushed(make));
        }
        NutKind::Split => aside.note(
            Note::remark("Cut the thread before the slit, with the play asked for, and close the nut at the place where the screw is thickest: set in the worn part it would bind at the ends.")
                .field("make.nut"),
        ),
        NutKind::Plain => {}
    }
}

/// What the spring of a sprung nut has to do.
fn pushed(make: &Make) -> Note {
    let text = Text::from(
        "There is no play as long as the spring pushes harder than what acts against it along the screw",
    );
    let text = match make.load {
        Some(load) => text
            .s(": more than ")
            .v(Value::Force(load))
            .s(" (make.load), if the load can come from that side"),
        None => text.s(": give the load (make.load) to know what it needs"),
    };
    Note::remark(text.s(". Beyond that it gives way, and the play is that of the nut as it is cut."))
        .field("make.nut")
}

/// Play of a nut cast round the screw at the place where it was cast: the release film on both flanks, and what the
/// layer draws away by when it shrinks towards the shell it sticks to.
pub(super) fn cast_play(basic: &Basic) -> (Length, Length) {
    let film = RELEASE / basic.flank_leading.cos() + RELEASE / basic.flank_trailing.cos();
    let depth = (basic.d - basic.d3) / 2.0;
    let slope = play::slope(basic.flank_leading, basic.flank_trailing);
    let drawn = |share: f64| (LAYER + depth / 2.0) * (2.0 * share) * slope;
    (film + drawn(SHRINKAGE.0), film + drawn(SHRINKAGE.1))
}

/// Bore of the shell that such a nut is cast in.
pub(super) fn cast_shell(basic: &Basic) -> Length {
    basic.d + LAYER * 2.0
}

fn cast_round(fit: &mut Fit, sized: &Sized, basic: &Basic, aside: &mut Aside) {
    let (least, most) = cast_play(basic);
    let loose = SHRINKAGE.1 * fit.length.to_mm();
    fit.detail.push(Block::Figures(
        "Cast round the screw".into(),
        vec![
            Figure::new(
                "cast_play",
                "play where it is cast, from film and shrinkage",
                Value::Band(least, most, Fine::Gauge),
                SHRINKAGE_SOURCE,
            )
            .formula("film (1/cos α + 1/cos α') + 2 s t (tan α + tan α') / 2"),
            Figure::new(
                "release_film",
                "release film on a flank",
                Value::Length(RELEASE, Fine::Gauge),
                RELEASE_SOURCE,
            ),
            Figure::new(
                "cast_shell",
                "bore of the shell, keyed or grooved so that the resin holds in it",
                Value::Length(cast_shell(basic), Fine::Coarse),
                Source::practice("about 3 mm of resin over the crests"),
            )
            .formula("d + 2 t"),
            Figure::new(
                "cast_loose",
                "pitch lost over the length if the resin does not hold in its shell, at most",
                Value::Length(Length::mm(loose), Fine::Shop),
                SHRINKAGE_SOURCE,
            )
            .formula("s L"),
        ],
    ));
    let mut text = Text::from("Cast it where the screw is thickest");
    if let Some(course) = &sized.course {
        text = text.s(", at ").v(Value::Length(course.tightest.middle(), Fine::Coarse)).s(" for its middle");
    }
    aside.note(
        Note::warning(text.s(": cast in the worn part it does not pass the ends. Wax every flank and polish it, close the ends with putty, and turn the screw out before the resin is at its hardest."))
            .field("make.nut"),
    );
    aside.note(caution::resin().field("make.nut"));
}

fn in_two(fit: &Fit, aside: &mut Aside) {
    aside.note(
        Note::remark(
            Text::from("In two pieces half of the ")
                .len(fit.length)
                .s(" carries each way, so the flanks bear twice the pressure; ")
                .len(fit.length * 2.0)
                .s(" in all would bear as a plain nut does. Set it where the screw is thickest."),
        )
        .field("make.nut"),
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_its_row() {
        let kinds: Vec<_> = NutKind::WORDS.iter().filter_map(|w| NutKind::from_word(w)).collect();
        assert_eq!(KINDS.iter().map(|k| k.kind).collect::<Vec<_>>(), kinds);
    }

    /// Worked by hand for Tr 22x5: film 2 · 0.02 / cos 15° = 0.0414; depth 2.75, so 4.375 mm of resin at the pitch line,
    /// drawn away by 0.01 % to 0.2 %: 0.00088 to 0.0175 on the diameter, times tan 15°.
    #[test]
    fn cast_play_by_hand() {
        let basic = "Tr 22x5".parse::<flankwise_thread::Thread>().expect("a thread").basic();
        let (least, most) = cast_play(&basic);
        assert!((least.to_mm() - 0.041_65).abs() < 2e-5, "{least:?}");
        assert!((most.to_mm() - 0.046_10).abs() < 2e-5, "{most:?}");
    }
}
