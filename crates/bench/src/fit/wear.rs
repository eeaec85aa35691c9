//! Play along the travel, and whether the mate itself is worn out.

use super::mate::{self, Mate};
use super::sizes::{Basis, PLAY_SOURCE, Sized};
use super::{Aside, Fit, Size, missing_by_book, other, play, word};
use crate::report::{Block, Figure, Fine, Mark, Note, Row, Table, Text, Value, columns};
use flankwise_thread::{Element, Length, Source};
use std::f64::consts::TAU;

/// Whether the mate may stay.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wear {
    /// It may stay.
    Stays,
    /// It will do, but a new part cannot make it good: think of renewing it.
    Consider,
    /// It has to go too.
    Replace,
}

/// From this spread of play along the travel on, the mate is doubtful, and from the second it has to go: 0.010 and
/// 0.020 in. Common practice, no source.
const SPREAD: (Length, Length) = (Length::mm(0.25), Length::mm(0.5));
/// The same as shares of the pitch, for fine threads: a tenth of the ridge's thickness, and a fifth of it.
const SHARE: (f64, f64) = (0.05, 0.10);
/// Origin of the second share: screw jacks are put out of use at 20 % wear of the thread (half a pitch thick).
const SHARE_SOURCE: Source =
    Source::table("jack maker's note on wear (GH Jacks)", "out of use at 20 % thread wear");
const SPREAD_SOURCE: Source = Source::practice(
    "play that varies by 0.25 to 0.5 mm along the travel is the screw's wear, which a nut cannot cure",
);

/// Judges the spread of play along the travel.
pub fn judge(spread: Length, pitch: Length) -> Wear {
    if spread > SPREAD.1.min(pitch * SHARE.1) {
        Wear::Replace
    } else if spread > SPREAD.0.min(pitch * SHARE.0) {
        Wear::Consider
    } else {
        Wear::Stays
    }
}

/// Adds figures and tables of play, and what they mean; `asked`: the job names the play.
pub(super) fn report(fit: &mut Fit, mate: &Mate, sized: &Sized, asked: bool, aside: &mut Aside) {
    let mut figures = vec![wanted(sized, asked)];
    if let Some((error, u)) = sized.lead_error {
        figures.push(
            Figure::new(
                "lead_error",
                "error of the mate's lead over the length of thread, as measured",
                Value::Length(error, Fine::Shop),
                mate::SOURCE,
            )
            .u(Value::Length(u, Fine::Shop))
            .formula("(P measured - P) · L / P"),
        );
    }
    match sized.basis {
        Basis::Mate => travel(fit, mate, sized, &mut figures, aside),
        Basis::CrestsOnly | Basis::Book => predicted(fit, sized, &mut figures),
    }
    fit.detail.insert(0, Block::Figures("Play".into(), figures));
}

fn wanted(sized: &Sized, asked: bool) -> Figure {
    Figure::new(
        "play_wanted",
        "axial play wanted at the tightest place",
        Value::Length(sized.wanted, Fine::Shop),
        if asked { Source::choice("asked for in the job") } else { PLAY_SOURCE },
    )
}

/// Without flank readings: what the book lets one expect.
fn predicted(fit: &Fit, sized: &Sized, figures: &mut Vec<Figure>) {
    let basic = fit.thread.basic();
    let Some((least, most)) = missing_by_book(fit.book.as_ref(), other(fit.part), &basic, sized.slope) else {
        return;
    };
    figures.push(
        Figure::new(
            "play_expected",
            format!("axial play to expect with an unworn {}; wear adds to it", word(other(fit.part))),
            Value::Band(sized.play(least), sized.play(most), Fine::Shop),
            play::SOURCE,
        )
        .formula("(D2 - d2) (tan α + tan α') / 2"),
    );
}

fn travel(fit: &mut Fit, mate: &Mate, sized: &Sized, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let (Some(tight), Some(loose)) = (mate.tightest(), mate.loosest()) else { return };
    let (least, most) = (sized.play(tight.missing), sized.play(loose.missing));
    let spread = most - least;
    let u_spread = Length::mm(tight.u_missing.to_mm().hypot(loose.u_missing.to_mm()));
    let formula = "(D2 - d2) (tan α + tan α') / 2";
    for (key, what, play, seen) in [
        ("play_tightest", "play at the tightest place read", least, tight),
        ("play_loosest", "play at the loosest place read", most, loose),
    ] {
        figures.push(
            Figure::new(key, what, Value::Length(play, Fine::Shop), play::SOURCE)
                .u(Value::Length(seen.u_missing, Fine::Gauge))
                .formula(formula),
        );
    }
    figures.push(
        Figure::new(
            "play_spread",
            "spread of play along the travel",
            Value::Length(spread, Fine::Shop),
            SPREAD_SOURCE,
        )
        .u(Value::Length(u_spread, Fine::Gauge)),
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
        fit.detail.extend(along(fit, mate, sized).map(Block::Table));
    }
    if mate.seen.len() < 2 {
        aside.need(
            "reading",
            "the same reading at the ends and the middle of the travel: one place tells nothing of the wear along it",
        );
    }
    say(fit, judge(spread, fit.thread.pitch.length), spread, aside);
}

fn say(fit: &Fit, wear: Wear, spread: Length, aside: &mut Aside) {
    let mate = word(other(fit.part));
    let text = Text::from("The play varies by ").len(spread).s(" along the travel");
    let note = match wear {
        Wear::Stays => {
            let both = Text::from("The play varies by ")
                .len(spread)
                .s(format!(" along the travel: the {mate} may stay. End play of a thrust collar adds to what the dial shows."));
            Note::remark(both).source(SPREAD_SOURCE)
        }
        Wear::Consider => Note::warning(text.s(format!(
            ": that is the {mate}'s wear, and no new {} cures it. Think of renewing the {mate} as well, or say so to the customer.",
            word(fit.part)
        )))
        .source(SPREAD_SOURCE),
        Wear::Replace => Note::warning(text.s(format!(
            ": the {mate} has to go too. A {} tight enough in the worn part would not pass the rest.",
            word(fit.part)
        )))
        .source(if spread > SPREAD.1 { SPREAD_SOURCE } else { SHARE_SOURCE }),
    };
    aside.note(note);
}

/// Play of the nut as it travels: it runs on the thickest thread it covers.
fn along(fit: &Fit, mate: &Mate, sized: &Sized) -> Option<Table> {
    const STEPS: u32 = 8;
    let (first, last) = (mate.seen.first()?.place, mate.seen.last()?.place);
    let way = last - first - fit.length;
    if way <= Length::ZERO {
        return None;
    }
    let rows = (0..=STEPS)
        .filter_map(|i| {
            let from = first + way * (f64::from(i) / f64::from(STEPS));
            let missing = mate.least_missing(from, from + fit.length)?;
            let play = sized.play(missing);
            Some(Row {
                cells: vec![
                    Value::Length(from, Fine::Coarse),
                    Value::Length(from + fit.length, Fine::Coarse),
                    Value::Length(play, Fine::Shop),
                    Value::Length(sized.play_by_book(missing), Fine::Shop),
                ],
                mark: if play < Length::ZERO { Mark::Bad } else { Mark::Plain },
            })
        })
        .collect();
    Some(Table {
        key: "play_of_nut",
        title: "Play of the whole nut along the travel: it runs on the least worn thread that it covers"
            .into(),
        columns: columns(&[
            ("from", "from"),
            ("to", "to"),
            ("play", "play"),
            ("play_by_book", "by the book"),
        ]),
        rows,
        source: Some(Source::derived("straight lines between the places read")),
    })
}

/// A size as a band with its aim, for the section.
pub(super) fn band(size: Size, fine: Fine) -> Value {
    Value::Band(size.min, size.max, fine)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wear_is_judged_by_length_and_by_share_of_the_pitch() {
        let mm = Length::mm;
        assert_eq!(judge(mm(0.12), mm(5.0)), Wear::Stays);
        assert_eq!(judge(mm(0.26), mm(5.0)), Wear::Consider);
        assert_eq!(judge(mm(0.51), mm(6.0)), Wear::Replace);
        // 0.2 mm is a fifth of the ridge of a 2 mm pitch.
        assert_eq!(judge(mm(0.21), mm(2.0)), Wear::Replace);
        assert_eq!(judge(mm(0.11), mm(2.0)), Wear::Consider);
    }
}
