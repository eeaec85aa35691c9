//! Diameters of the part: so that it goes over the tightest place of the mate with the play wanted.

use super::mate::Mate;
use super::{Aside, Size, Station, missing_by_book, of, other, play, word};
use crate::job::{Duty, Make};
use crate::report::{Fine, Note, Text, Value};
use flankwise_thread::limits::Range;
use flankwise_thread::profile::Basic;
use flankwise_thread::{Element, Length, Limits, Source};

/// Published backlash of an adjusted feed screw: 0.003 to 0.005 in (milling machine manual, table feed).
const BACKLASH: (Length, Length) = (Length::thou(3.0), Length::thou(5.0));
/// Origin of the default play.
pub const PLAY_SOURCE: Source =
    Source::table("milling machine manual (Jet JVM-836)", "backlash of the table screws 0.003 to 0.005 in");
/// Readings are trusted to so many standard uncertainties when the part must go on (about 95 %; GUM, EA-4/02).
const COVERAGE: f64 = 2.0;
/// Half the band on the pitch diameter that is held in single-point threading with wires or the mate to try:
/// widest and narrowest asked for. Common practice, no source.
const BAND: (Length, Length) = (Length::mm(0.05), Length::mm(0.01));
/// Slope that stands in for upright flanks when that band is turned into an axial one: that of 15°.
const UPRIGHT_SLOPE: f64 = 0.268;
/// Room kept between crest and root of part and mate, on the diameter, where the mate's own diameter was read.
const CREST_ROOM: Length = Length::mm(0.1);
/// An aim keeps one part in so many of its band from either end. Chosen here.
const EDGE_AT: f64 = 8.0;
/// Play, in pitches, that is worth a word. Chosen here.
const MUCH_PLAY: f64 = 0.1;

/// Axial play at the tightest place where the job does not say: the lower published value for a feed, the upper
/// one where the thread clamps or lifts, and never more than 2 % of the pitch (chosen here, so that fine threads
/// keep their engagement).
pub fn default_play(duty: Duty, pitch: Length) -> Length {
    let published = match duty {
        Duty::Feed => BACKLASH.0,
        Duty::Clamp | Duty::Lift => BACKLASH.1,
    };
    published.min(pitch * 0.02)
}

/// What the sizes rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Basis {
    /// The mate's thread was measured.
    Mate,
    /// Only its crests were: the flanks are unknown.
    CrestsOnly,
    /// Nothing was.
    Book,
}

/// Sizes, and what they were reckoned from.
pub(super) struct Sized {
    pub(super) part: Element,
    pub(super) basis: Basis,
    pub(super) slope: f64,
    pub(super) blank: Size,
    pub(super) bottom: Size,
    pub(super) pitch_diameter: Size,
    pub(super) engagement: Length,
    /// What is missing of the part's thread at the aim.
    pub(super) missing: Length,
    /// The same at the middle of its book limits.
    pub(super) missing_book: Length,
    /// Play wanted at the tightest place.
    pub(super) wanted: Length,
    /// Play lost to an error of the mate's lead over the length of thread, where it is proved.
    pub(super) lead_loss: Length,
    /// Lead error over the length of thread as measured, with its standard uncertainty.
    pub(super) lead_error: Option<(Length, Length)>,
}

/// Computes the sizes.
pub(super) fn size(
    make: &Make,
    basic: &Basic,
    book: Option<&Limits>,
    mate: &Mate,
    length: Length,
    aside: &mut Aside,
) -> Sized {
    let part = make.part;
    let slope = play::slope(basic.flank_leading, basic.flank_trailing);
    let wanted = wanted(make, basic.p, slope, aside);
    let (lead_error, lead_loss) = lead_error(mate, basic.p, length, wanted, aside);
    let by_book = missing_by_book(book, part, basic, slope);
    let missing_book = by_book.map_or(wanted, |(lo, hi)| (lo + hi) / 2.0);
    // An axial band that corresponds to the band on the pitch diameter.
    let per = if slope > 0.0 { slope } else { UPRIGHT_SLOPE };

    let tightest = mate.tightest();
    let basis = match tightest {
        Some(_) => Basis::Mate,
        None if mate.majors.is_empty() => Basis::Book,
        None => Basis::CrestsOnly,
    };
    let (missing, least, most) = match tightest {
        Some(t) => {
            let guard = t.u_missing * COVERAGE;
            let room = wanted.max(guard + BAND.1 * per);
            if room > wanted {
                aside.note(promise_less(make, wanted, room, guard));
            }
            let half = (room - guard).min(BAND.0 * per);
            let aim = room + lead_loss - t.missing;
            (aim, aim - half, aim + half)
        }
        None => {
            let (lo, hi) = by_book.unwrap_or((wanted - BAND.0 * per, wanted + BAND.0 * per));
            // The play wanted over the thickest mate that the book allows, as far as the part's own limits let it,
            // and away from either end, so that the aim can be missed to both sides.
            let thickest =
                missing_by_book(book, mate.element, basic, slope).map_or(Length::ZERO, |(lo, _)| lo);
            let edge = (hi - lo) / EDGE_AT;
            let aim = (wanted - thickest).max(lo + edge).min(hi - edge);
            (aim + lead_loss, lo + lead_loss, hi + lead_loss)
        }
    };
    say_basis(basis, part, aside);
    warn_of_thick_mate(mate, book, basic, slope, aside);

    let at = |missing| play::pitch_diameter(part, missing, basic.d2, slope);
    let (a, b) = (at(least), at(most));
    let (blank, bottom) = crests(part, basic, book, mate, aside);
    let sized = Sized {
        part,
        basis,
        slope,
        blank,
        bottom,
        pitch_diameter: Size { aim: at(missing), min: a.min(b), max: a.max(b) },
        engagement: engagement(part, basic, book, mate, blank),
        missing,
        missing_book,
        wanted,
        lead_loss,
        lead_error,
    };
    warn_of_tight_book(&sized, mate, aside);
    if sized.groove_width(sized.bottom.aim, basic) <= Length::ZERO {
        aside.note(
            Note::impossible(format!(
                "The {}'s thread is too thin: a groove for it would close before its bottom. Look again at the readings; if they stand, make the {} new as well.",
                word(mate.element),
                word(mate.element)
            ))
            .field("reading"),
        );
    }
    sized
}

fn wanted(make: &Make, pitch: Length, slope: f64, aside: &mut Aside) -> Length {
    let Some(play) = make.play else {
        let play = default_play(make.duty, pitch);
        let text = Text::from("No play is asked for: ")
            .v(Value::Length(play, Fine::Shop))
            .s(" at the tightest place is taken, as an adjusted feed screw has; at most 2 % of the pitch.");
        aside.note(Note::remark(text).field("make.play").source(PLAY_SOURCE));
        return play;
    };
    if play > pitch * MUCH_PLAY {
        aside.note(
            Note::warning(Text::from("Play of ").v(Value::Length(play, Fine::Shop)).s(
                " is more than a tenth of the pitch: a fifth of the thread is gone before anything is worn.",
            ))
            .field("make.play"),
        );
    }
    if play >= Length::ZERO {
        return play;
    }
    let mut text = Text::from("With less than no play the ")
        .s(word(make.part))
        .s(" will not go on: at least ")
        .v(Value::Length(-play, Fine::Gauge))
        .s(" more must come off its flanks");
    if slope > 0.0 {
        text = text.s(", which is ").v(Value::Length(-play / slope, Fine::Gauge)).s(" on its pitch diameter");
    }
    aside.note(Note::impossible(text.s(". The sizes are for no play.")).field("make.play"));
    Length::ZERO
}

/// The lead error over the thread's length with its uncertainty, and the part of it that counts: an error is taken
/// as proved beyond three standard uncertainties, since crests that are worn to one side
/// mislead a count more than the calliper does.
fn lead_error(
    mate: &Mate,
    pitch: Length,
    length: Length,
    wanted: Length,
    aside: &mut Aside,
) -> (Option<(Length, Length)>, Length) {
    let Some((measured, u)) = mate.pitch else { return (None, Length::ZERO) };
    let over = length / pitch;
    let (error, u) = ((measured - pitch) * over, u * over);
    if error.abs() > u * 3.0 {
        aside.note(Note::warning(
            Text::from("The mate's pitch is off by ")
                .v(Value::Length(error, Fine::Shop))
                .s(" over the length of thread. The part is opened by that much more, and bears on its end turns."),
        ));
        (Some((error, u)), error.abs())
    } else {
        if u > wanted {
            aside.note(
                Note::remark(
                    Text::from("The count of pitches leaves the lead open by ")
                        .v(Value::Length(u, Fine::Shop))
                        .s(" over the length of thread, more than the play wanted. Count over a longer span, or try a short nut along the travel."),
                )
                .source(Source::derived("u of the pitch × turns in the thread")),
            );
        }
        (Some((error, u)), Length::ZERO)
    }
}

fn promise_less(make: &Make, wanted: Length, room: Length, guard: Length) -> Note {
    Note::warning(
        Text::from("The readings are good to ")
            .v(Value::Length(guard, Fine::Gauge))
            .s(" of play (two standard uncertainties), so ")
            .v(Value::Length(wanted, Fine::Gauge))
            .s(" cannot be promised: the ")
            .s(word(make.part))
            .s(" is sized for ")
            .v(Value::Length(room, Fine::Gauge))
            .s(". A closer reading at the tightest place allows less."),
    )
    .field("make.play")
}

fn say_basis(basis: Basis, part: Element, aside: &mut Aside) {
    let mate = word(other(part));
    match basis {
        Basis::Mate => {}
        Basis::CrestsOnly => {
            aside.need(
                "reading",
                "a reading on the mate's flanks (over wires, or thread thickness) at its ends and middle: it settles the play",
            );
            aside.note(Note::warning(format!(
                "Only the crests of the {mate} were measured. Wear of its flanks does not show there, so the play cannot be predicted: the sizes are the book's for an unworn {mate}, and the play will be that or more."
            )));
        }
        Basis::Book => {
            aside.need(
                "reading",
                "readings of the mate's thread along its length (over wires, or thread thickness): without them the sizes are the book's",
            );
            aside.note(Note::remark(format!("The {mate} was not measured: the sizes are the book's.")));
        }
    }
}

/// Use only takes metal away: a thread thicker than its book maximum speaks against the reading or the identity.
fn warn_of_thick_mate(mate: &Mate, book: Option<&Limits>, basic: &Basic, slope: f64, aside: &mut Aside) {
    let Some(tightest) = mate.tightest() else { return };
    let least = missing_by_book(book, mate.element, basic, slope).map_or(Length::ZERO, |(lo, _)| lo);
    let excess = least - tightest.missing;
    if excess > tightest.u_missing * 3.0 {
        aside.note(Note::warning(
            Text::from(format!("The {} is thicker than its standard allows by ", word(mate.element)))
                .v(Value::Length(excess, Fine::Gauge))
                .s(" at ")
                .v(Value::Length(tightest.place, Fine::Coarse))
                .s(". Wear cannot do that: look for a burr, a slip in the reading, the wrong wire, or another thread."),
        ));
    }
}

fn warn_of_tight_book(sized: &Sized, mate: &Mate, aside: &mut Aside) {
    let Some(tightest) = mate.tightest() else { return };
    let play = sized.missing_book + tightest.missing - sized.lead_loss;
    if play < Length::ZERO {
        let mut text = Text::from(format!(
            "A {} made to the middle of the book limits will not go on at ",
            word(sized.part)
        ))
        .v(Value::Length(tightest.place, Fine::Coarse))
        .s(": ")
        .v(Value::Length(-play, Fine::Gauge))
        .s(" too little between the flanks");
        if sized.slope > 0.0 {
            text =
                text.s(", ").v(Value::Length(-play / sized.slope, Fine::Gauge)).s(" on the pitch diameter");
        }
        aside.note(Note::warning(text.s(".")));
    }
}

/// Both ends of a range, a missing one filled in `spread` away from the other, or from `basic`.
fn ends(range: Option<Range>, basic: Length, spread: Length) -> (Length, Length) {
    match range.map_or((None, None), |r| (r.min, r.max)) {
        (Some(lo), Some(hi)) => (lo, hi),
        (Some(lo), None) => (lo, lo.max(basic) + spread.abs()),
        (None, Some(hi)) => (hi.min(basic) - spread.abs(), hi),
        (None, None) => (basic.min(basic + spread), basic.max(basic + spread)),
    }
}

/// Width of the band where a standard leaves a side open, in pitches. Chosen here.
const OPEN: f64 = 0.06;
/// The same for the bore of a nut, which costs depth of thread only. Chosen here.
const OPEN_BORE: f64 = 0.1;
/// A blank is aimed at one part in so many of its band, from the side of most metal: it keeps the depth of thread and
/// leaves something to ream or to spoil. Chosen here.
const BLANK_AT: f64 = 4.0;
/// The same for the bottom of the groove. Chosen here.
const BOTTOM_AT: f64 = 3.0;

/// The blank and the bottom of the groove.
fn crests(
    part: Element,
    basic: &Basic,
    book: Option<&Limits>,
    mate: &Mate,
    aside: &mut Aside,
) -> (Size, Size) {
    let limits = book.and_then(|b| of(b, part));
    match part {
        Element::Internal => {
            let (lo, hi) = ends(limits.map(|l| l.minor), basic.d1_internal, basic.p * OPEN_BORE);
            let root = mate.minors.iter().map(|m| m.0).reduce(Length::max);
            let (lo, hi) = clear_outward(lo, hi, root, "root", aside);
            let blank = Size { aim: lo + (hi - lo) / BLANK_AT, min: lo, max: hi };
            let (lo, hi) = ends(limits.map(|l| l.major), basic.d4_internal, basic.p * OPEN);
            let (lo, hi) = clear_outward(lo, hi, mate.largest_major(), "crest", aside);
            (blank, Size { aim: lo + (hi - lo) / BOTTOM_AT, min: lo, max: hi })
        }
        Element::External => {
            let (lo, hi) = ends(limits.map(|l| l.major), basic.d, basic.p * -OPEN);
            let root = mate.majors.iter().map(|m| m.0).reduce(Length::min);
            let (lo, hi) = clear_inward(lo, hi, root, "root", aside);
            let blank = Size { aim: hi - (hi - lo) / BLANK_AT, min: lo, max: hi };
            let (lo, hi) = ends(limits.map(|l| l.minor), basic.d3, basic.p * -OPEN);
            let bore = mate.minors.iter().map(|m| m.0).reduce(Length::min);
            let (lo, hi) = clear_inward(lo, hi, bore, "bore", aside);
            (blank, Size { aim: hi - (hi - lo) / BOTTOM_AT, min: lo, max: hi })
        }
    }
}

fn clear_outward(
    lo: Length,
    hi: Length,
    mate: Option<Length>,
    what: &str,
    aside: &mut Aside,
) -> (Length, Length) {
    match mate.map(|m| m + CREST_ROOM) {
        Some(need) if need > lo => {
            let text = format!("The screw's {what} was read at ");
            aside.note(Note::remark(
                Text::from(text)
                    .len(need - CREST_ROOM)
                    .s(": the nut is opened there to ")
                    .len(need)
                    .s(" so that it clears."),
            ));
            (need, hi.max(need + CREST_ROOM))
        }
        _ => (lo, hi),
    }
}

fn clear_inward(
    lo: Length,
    hi: Length,
    mate: Option<Length>,
    what: &str,
    aside: &mut Aside,
) -> (Length, Length) {
    match mate.map(|m| m - CREST_ROOM) {
        Some(need) if need < hi => {
            let text = format!("The nut's {what} was read at ");
            aside.note(Note::remark(
                Text::from(text)
                    .len(need + CREST_ROOM)
                    .s(": the screw is reduced there to ")
                    .len(need)
                    .s(" so that it clears."),
            ));
            (lo.min(need - CREST_ROOM), need)
        }
        _ => (lo, hi),
    }
}

/// Radial overlap of part and mate, from the mate's readings where there are any.
fn engagement(part: Element, basic: &Basic, book: Option<&Limits>, mate: &Mate, blank: Size) -> Length {
    match part {
        Element::Internal => (mate.smallest_major().unwrap_or(basic.d) - blank.aim) / 2.0,
        Element::External => {
            let bore = mate.minors.iter().map(|m| m.0).reduce(Length::max);
            let by_book = book
                .and_then(|b| b.internal.as_ref())
                .and_then(|l| l.minor.min.zip(l.minor.max))
                .map(|(lo, hi)| (lo + hi) / 2.0);
            (blank.aim - bore.or(by_book).unwrap_or(basic.d1_internal)) / 2.0
        }
    }
}

impl Sized {
    /// Width of the part's groove at diameter `at`, at the aims.
    pub(super) fn groove_width(&self, at: Length, basic: &Basic) -> Length {
        play::groove_width(self.part, at, self.missing, basic.d2, basic.p, self.slope)
    }
    /// Play where `mate_missing` is missing of the mate.
    pub(super) fn play(&self, mate_missing: Length) -> Length {
        self.missing + mate_missing - self.lead_loss
    }
    /// The same for a part made to the book's middle.
    pub(super) fn play_by_book(&self, mate_missing: Length) -> Length {
        self.missing_book + mate_missing - self.lead_loss
    }
    /// The mate along its travel.
    pub(super) fn stations(&self, mate: &Mate, basic: &Basic) -> Vec<Station> {
        mate.seen
            .iter()
            .map(|s| Station {
                place: s.place,
                mate_pitch_diameter: s.pitch_diameter,
                u: s.u,
                thickness: basic.p / 2.0 - s.missing,
                play: self.play(s.missing),
                u_play: s.u_missing,
                play_by_book: self.play_by_book(s.missing),
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flankwise_thread::limits::Rounding;

    #[test]
    fn default_play_is_the_published_backlash_and_shrinks_with_fine_pitches() {
        let mm = Length::mm;
        assert_eq!(default_play(Duty::Feed, mm(5.0)), Length::thou(3.0));
        assert_eq!(default_play(Duty::Clamp, mm(10.0)), Length::thou(5.0));
        assert!((default_play(Duty::Feed, mm(1.0)) - mm(0.02)).abs() < Length::um(1e-9));
    }

    #[test]
    fn an_open_side_is_filled_in_away_from_the_part() {
        let source = Source::choice("test");
        let open = Range { min: Some(Length::mm(22.5)), max: None, source, rounding: Rounding::Exact };
        let (lo, hi) = ends(Some(open), Length::mm(22.5), Length::mm(0.3));
        assert_eq!((lo.to_mm(), hi.to_mm()), (22.5, 22.8));
        let (lo, hi) = ends(None, Length::mm(16.5), Length::mm(-0.3));
        assert_eq!((lo.to_mm(), hi.to_mm()), (16.2, 16.5));
    }
}
