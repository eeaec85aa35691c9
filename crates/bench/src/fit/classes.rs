//! The standard's classes side by side: what each would make of the play on this mate.

use super::sizes::Sized;
use super::{Fit, missing_by_book, other, word};
use crate::report::{Fine, Mark, Row, Table, Value, columns};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Element, Length, Source, Thread, limits};

/// The classes that the standard has for the part; none where it has fewer than two.
pub(super) fn table(fit: &Fit, sized: &Sized, basic: &Basic) -> Option<Table> {
    let taken = fit.book_of_part().map(|b| b.class.as_str());
    // From the closest to the widest, by the play they give at the most.
    let mut rows: Vec<(Length, Row)> = fit
        .thread
        .family
        .form()
        .classes(fit.part)
        .iter()
        .filter_map(|class| row(fit, sized, basic, class, taken == Some(*class)))
        .collect();
    rows.sort_by(|a, b| a.0.to_mm().total_cmp(&b.0.to_mm()));
    let rows: Vec<Row> = rows.into_iter().map(|(_, row)| row).collect();
    let mate = match &fit.travelled {
        Some(_) => format!("this {}, from its tightest to its loosest place", word(other(fit.part))),
        None => format!("a new {}", word(other(fit.part))),
    };
    (rows.len() > 1).then(|| Table {
        key: "classes",
        title: format!("Classes of the standard side by side: play on {mate}"),
        columns: columns(&[
            ("class", "class"),
            ("pitch_diameter", "pitch diameter"),
            ("play", "play, over the class"),
        ]),
        rows,
        source: Some(Source::derived("limits of the class, on the mate as read")),
    })
}

/// A class as a row, and what is missing of the part at its loose end.
fn row(fit: &Fit, sized: &Sized, basic: &Basic, class: &str, taken: bool) -> Option<(Length, Row)> {
    let thread = of_class(&fit.thread, fit.part, class);
    let limits = limits::limits(&thread).ok()?;
    let range = super::of(&limits, fit.part)?.pitch;
    let (tight, loose) = missing_by_book(Some(&limits), fit.part, basic, sized.slope)?;
    let play = play(fit, sized, basic, (tight, loose));
    let row = Row {
        cells: vec![
            Value::Word(class.to_owned()),
            Value::Band(range.min?, range.max?, Fine::Gauge),
            play.map_or(Value::None, |(least, most)| Value::Band(least, most, Fine::Play)),
        ],
        mark: match (play, taken) {
            (Some((least, _)), _) if least < Length::ZERO => Mark::Bad,
            (_, true) => Mark::Best,
            _ => Mark::Plain,
        },
    };
    Some((loose, row))
}

/// Least and most play of a part with so much missing at the tight and the loose end of its limits.
fn play(
    fit: &Fit,
    sized: &Sized,
    basic: &Basic,
    (tight, loose): (Length, Length),
) -> Option<(Length, Length)> {
    match fit.travelled {
        Some(t) => {
            Some((t.tightest.play() + (tight - sized.missing), t.loosest.play() + (loose - sized.missing)))
        }
        None => {
            let (least, most) = missing_by_book(fit.book.as_ref(), other(fit.part), basic, sized.slope)?;
            Some((tight + least, loose + most))
        }
    }
}

/// The thread with this class of the part and none of the mate.
fn of_class(thread: &Thread, part: Element, class: &str) -> Thread {
    let class = Some(class.to_owned());
    match part {
        Element::Internal => Thread { internal_class: class, external_class: None, ..thread.clone() },
        Element::External => Thread { external_class: class, internal_class: None, ..thread.clone() },
    }
}
