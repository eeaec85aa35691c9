//! Places of the mate where only the wear of its flanks was read: what is missing there is what the unworn thread lacks
//! and what either flank has lost since.

use super::mate::{Mate, Read, SAME_PLACE, Seen};
use super::word;
use crate::report::{Fine, Note, Text, Value};
use flankwise_thread::Length;
use flankwise_thread::profile::Basic;

/// What is missing of the unworn thread, with its standard uncertainty, and where that comes from.
struct Unworn {
    missing: Length,
    u: Length,
    from: &'static str,
}

/// Adds a station for each place where wear was read on a flank and nothing else of the thread; `by_book` is what the
/// standard lets a new mate lack, least and most.
pub(super) fn add(mate: &mut Mate, by_book: Option<(Length, Length)>, basic: &Basic, slope: f64) {
    let places = places(mate);
    if places.is_empty() {
        return;
    }
    let Some(unworn) = unworn(mate, by_book) else {
        let text = "Wear was read on flanks of the thread, and nothing says how thick it was before: it is left out. Read its thickness, or over wires, at an end that never ran.";
        mate.notes.push(Note::warning(text).field("reading"));
        return;
    };
    mate.notes.push(said(mate, &places, &unworn));
    for place in places {
        let (missing, u) = worn_from(mate, place, &unworn);
        let read = Read { place: Some(place), value: missing, u };
        mate.seen.push(Seen::of(mate.element, &read, basic, slope));
    }
    mate.seen.sort_by(|a, b| a.place.to_mm().total_cmp(&b.place.to_mm()));
}

/// Places with wear of a flank and no reading of the thread, in order.
fn places(mate: &Mate) -> Vec<Length> {
    let near = |a: Length, b: Length| (a - b).abs() < SAME_PLACE;
    let mut places: Vec<Length> = mate.worn.iter().flatten().filter_map(|r| r.place).collect();
    if places.is_empty() && mate.seen.is_empty() && !mate.worn.iter().all(Vec::is_empty) {
        places.push(Length::ZERO);
    }
    places.retain(|p| !mate.seen.iter().any(|s| near(s.place, *p)));
    places.sort_by(|a, b| a.to_mm().total_cmp(&b.to_mm()));
    places.dedup_by(|b, a| near(*a, *b));
    places
}

/// The tightest place read is taken as unworn; where none was, the middle of what the standard allows.
fn unworn(mate: &Mate, by_book: Option<(Length, Length)>) -> Option<Unworn> {
    if let Some(tight) = mate.tightest() {
        return Some(Unworn {
            missing: tight.missing,
            u: tight.u_missing,
            from: "as thick as at its tightest place",
        });
    }
    let (least, most) = by_book?;
    Some(Unworn {
        missing: (least + most) / 2.0,
        // Anywhere within the limits (GUM 4.3.7).
        u: (most - least) / 12f64.sqrt(),
        from: "in the middle of the standard's limits",
    })
}

/// A flank that was not read is taken as unworn, which makes the mate thick; it may have lost as much as the other.
fn worn_from(mate: &Mate, place: Length, unworn: &Unworn) -> (Length, Length) {
    let read = |side: usize| {
        let here = |r: &&Read| r.place.is_none_or(|p| (p - place).abs() < SAME_PLACE);
        mate.worn[side].iter().find(here).map(|r| (r.value, r.u))
    };
    let (left, right) = (read(0), read(1));
    let other = |flank: Option<(Length, Length)>| flank.map_or(Length::ZERO, |(worn, _)| worn / 3f64.sqrt());
    let ((lost_left, u_left), (lost_right, u_right)) =
        (left.unwrap_or((Length::ZERO, other(right))), right.unwrap_or((Length::ZERO, other(left))));
    let u = unworn.u.to_mm().hypot(u_left.to_mm()).hypot(u_right.to_mm());
    (unworn.missing + lost_left + lost_right, Length::mm(u))
}

fn said(mate: &Mate, places: &[Length], unworn: &Unworn) -> Note {
    let mut text = Text::from("At ");
    for (i, place) in places.iter().enumerate() {
        text = text.s(if i > 0 { ", " } else { "" }).v(Value::Length(*place, Fine::Coarse));
    }
    Note::remark(text.s(format!(
        " only the wear of flanks was read: before it the {}'s thread is taken to have been {}, and a flank that was not read as unworn.",
        word(mate.element),
        unworn.from
    )))
    .field("reading")
}

#[cfg(test)]
mod tests {
    use super::*;
    use flankwise_thread::{Element, Thread};

    fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    fn worn(place: f64, value: f64) -> Read {
        Read { place: Some(mm(place)), value: mm(value), u: Length::um(5.0) }
    }

    fn tr() -> (Basic, f64) {
        let basic = "Tr 22x5".parse::<Thread>().expect("a thread").basic();
        (basic, 15f64.to_radians().tan())
    }

    /// Limits 0.02 and 0.08: 0.05 missing when new, ± 0.06/√12 = 0.0173. At 150 both flanks: 0.05 + 0.20 + 0.05.
    #[test]
    fn wear_of_flanks_alone_gives_stations() {
        let (basic, slope) = tr();
        let mut mate = Mate::unread(Element::External);
        mate.worn = [vec![worn(20.0, 0.02), worn(150.0, 0.20)], vec![worn(150.0, 0.05)]];
        add(&mut mate, Some((mm(0.02), mm(0.08))), &basic, slope);
        let missing: Vec<f64> = mate.seen.iter().map(|s| s.missing.to_mm()).collect();
        assert_eq!(mate.seen.iter().map(|s| s.place).collect::<Vec<_>>(), [mm(20.0), mm(150.0)]);
        assert!((missing[0] - 0.07).abs() < 1e-9 && (missing[1] - 0.30).abs() < 1e-9, "{missing:?}");
        assert!((mate.seen[1].u_missing.to_mm() - 0.0173_f64.hypot(0.005).hypot(0.005)).abs() < 1e-4);
        // The right flank at 20 may have lost as much as the left.
        assert!(mate.seen[0].u_missing > mm(0.0173_f64.hypot(0.02 / 3f64.sqrt())) - Length::um(0.1));
        assert_eq!(mate.notes.len(), 1);
    }

    #[test]
    fn a_place_read_otherwise_keeps_its_reading_and_without_a_start_the_wear_is_named_as_left_out() {
        let (basic, slope) = tr();
        let mut mate = Mate::unread(Element::External);
        mate.worn = [vec![worn(20.2, 0.02)], Vec::new()];
        let read = Read { place: Some(mm(20.0)), value: mm(0.1), u: mm(0.01) };
        mate.seen.push(Seen::of(Element::External, &read, &basic, slope));
        add(&mut mate, None, &basic, slope);
        assert!(mate.seen.len() == 1 && mate.notes.is_empty());
        mate.seen.clear();
        add(&mut mate, None, &basic, slope);
        assert!(mate.seen.is_empty() && mate.notes.len() == 1);
    }
}
