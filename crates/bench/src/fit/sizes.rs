//! Diameters of the part: so that it goes over the tightest place of the mate with the play wanted.

use super::course::{Course, Travelled};
use super::crests::{crests, engagement};
use super::engaged::mate_length;
use super::hold::Hold;
use super::lead::LeadError;
use super::mate::{Mate, Seen};
use super::press::Pressed;
use super::travel::{Lane, Part, Reach, Spot};
use super::{Aside, Size, Station, kinds, missing_by_book, other, play, word};
use crate::job::{Duty, Job, Lubricant, Make};
use crate::report::{Fine, Note, Text, Value};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Element, Length, Limits, Source};

/// Published backlash of an adjusted feed screw: 0.003 to 0.005 in (milling machine manual, table feed).
const BACKLASH: (Length, Length) = (Length::thou(3.0), Length::thou(5.0));
/// Origin of the default play.
pub const PLAY_SOURCE: Source =
    Source::table("milling machine manual (Jet JVM-836)", "backlash of the table screws 0.003 to 0.005 in");
/// Readings are trusted to so many standard uncertainties where the part must go on (about 95 %; GUM, EA-4/02).
pub(super) const COVERAGE: f64 = 2.0;
/// Half the band on the pitch diameter that is asked for in single-point threading with wires or the mate to try, where
/// the play leaves room for it. Common practice, no source.
const WIDEST: Length = Length::mm(0.05);
/// Room for oil on either flank. A slow screw runs on a boundary film of less than a micrometre; the rest carries oil
/// to it past dirt and roughness. A dry thread wants the room for dirt and roughness alone.
const fn film(lubricant: Lubricant) -> Length {
    match lubricant {
        Lubricant::Oiled => Length::um(5.0),
        Lubricant::Dry => Length::um(2.0),
    }
}
/// Origin of it.
pub(super) const FILM_SOURCE: Source = Source::practice(
    "0.005 mm for oil on either flank of a slow screw, as less scrapes it off; 0.002 mm for dirt on a dry one (chosen here)",
);
/// Slope that stands in for upright flanks when that band is turned into an axial one: that of 15°.
const UPRIGHT_SLOPE: f64 = 0.268;
/// An aim keeps one part in so many of its band from either end. Chosen here.
const EDGE_AT: f64 = 8.0;
/// Places of the travel that are kept for the drawing.
const DRAWN: usize = 61;
/// Share of the ridge's thickness missing at the pitch line that is worth a word. Chosen here.
const MUCH_MISSING: f64 = 0.2;

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
    /// The mate is made new as well.
    BothNew,
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
    /// The same at the tight and at the loose end of its limits, without what is opened for pressing in.
    pub(super) limits: (Length, Length),
    /// The same at the tight and at the loose end of its limits by the book; none where it gives none.
    pub(super) by_book: Option<(Length, Length)>,
    /// Play wanted at the tightest place.
    pub(super) wanted: Length,
    /// Play that lead, bend and the shape of the flanks take from what the tightest reading alone would leave.
    pub(super) taken: Length,
    /// What the tightest reading leaves less than the tightest place of the travel: of one without a place.
    unplaced_takes: Length,
    /// Play that pressing the part into its housing takes, at its tightest.
    pub(super) pressing_takes: Length,
    /// Lead error over the length of thread as measured, with its standard uncertainty.
    pub(super) lead_error: Option<(Length, Length)>,
    /// What the person can hold on the pitch diameter.
    pub(super) hold: Hold,
    /// Least play at the tightest place that the readings of the thread and the cut allow, the lead left aside.
    pub(super) tightest_play: Option<Length>,
    /// The part's travel along the mate; none where the mate's flanks were not read.
    pub(super) course: Option<Course>,
}

/// Computes the sizes; `old` is the old part, as far as it was read.
pub(super) fn size(
    job: &Job,
    basic: &Basic,
    book: Option<&Limits>,
    (mate, old): (&Mate, &Mate),
    length: Length,
    aside: &mut Aside,
) -> Sized {
    let make = &job.make;
    let part = make.part;
    let slope = play::slope(basic.flank_leading, basic.flank_trailing);
    let wanted = wanted(make, basic.p, slope, aside);
    let lead = LeadError::of(&mate.spans, basic.p);
    let lead_error = lead.mean.map(|(share, u)| (length * share, length * u));
    let by_book = missing_by_book(book, part, basic, slope);
    // An axial band that corresponds to the band on the pitch diameter.
    let per = if slope > 0.0 { slope } else { UPRIGHT_SLOPE };
    let hold = Hold::of(job.lathe.as_ref());
    let (blank, bottom) = crests(part, basic, book, (mate, old), aside);
    let made = Part { element: part, basic: *basic, blank: blank.aim, bottom: bottom.aim };

    let tightest = mate.tightest();
    let course = tightest.and_then(|_| Course::of(mate, lead, &made, mate_length(make), length));
    say_lead(&lead, length, aside);
    match &course {
        Some(course) => say_outlines(&course.lane, mate.element, aside),
        None => say_lead_open(&lead, lead_error, wanted, part, aside),
    }
    let basis = match tightest {
        Some(_) => Basis::Mate,
        None if make.mate_new => Basis::BothNew,
        None if mate.majors.is_empty() => Basis::Book,
        None => Basis::CrestsOnly,
    };
    let mut tightest_play = None;
    let mut unplaced_takes = Length::ZERO;
    let (missing, least, most, taken) = match tightest {
        Some(t) => {
            let oil = film(make.run.lubricant) * 2.0;
            // Where a reading without a place is thicker than any with one, lead and bend take their share there too.
            let thicker = mate.thicker_unplaced(t);
            unplaced_takes = thicker.map_or(Length::ZERO, |read| t.missing - read.value);
            let u = match (thicker, &course) {
                (Some(read), _) => read.u,
                (None, Some(course)) => course.tightest.u_read(),
                (None, None) => t.u_missing,
            };
            let guard = u * COVERAGE;
            let held = hold.band() * per;
            let least = guard + held + oil;
            tightest_play = Some(least);
            let room = wanted.max(least);
            if room > wanted {
                aside.note(promise_less(make, wanted, room, (guard, held, oil)));
            }
            // The least room along the travel.
            let found = course.as_ref().map_or(t.missing, |c| c.tightest.play()) - unplaced_takes;
            let half = (room - guard - oil).min(WIDEST.max(hold.band()) * per);
            let aim = room - found;
            (aim, aim - half, aim + half, t.missing - found)
        }
        None => {
            let (lo, hi) = by_book.unwrap_or((wanted - WIDEST * per, wanted + WIDEST * per));
            // The play wanted over the thickest mate that the book allows, as far as the part's own limits let it,
            // and away from either end, so that the aim can be missed to both sides.
            let thickest =
                missing_by_book(book, mate.element, basic, slope).map_or(Length::ZERO, |(lo, _)| lo);
            let edge = (hi - lo) / EDGE_AT;
            let aim = (wanted - thickest).max(lo + edge).min(hi - edge);
            let lost = length * lead.steady.abs();
            (aim + lost, lo + lost, hi + lost, lost)
        }
    };
    say_basis(basis, part, aside);
    warn_of_thick_mate(mate, book, basic, slope, aside);
    warn_of_tall_crest(mate, basic, aside);

    let at = |missing| play::pitch_diameter(part, missing, basic.d2, slope);
    let (a, b) = (at(least), at(most));
    Sized {
        part,
        basis,
        slope,
        blank,
        bottom,
        pitch_diameter: Size { aim: at(missing), min: a.min(b), max: a.max(b) },
        engagement: engagement(part, basic, book, mate, blank),
        missing,
        limits: (least, most),
        by_book,
        wanted,
        taken,
        unplaced_takes,
        pressing_takes: Length::ZERO,
        lead_error,
        hold,
        tightest_play,
        course,
    }
}

/// Says what these sizes, or the book's, come to on this mate.
pub(super) fn judge(sized: &Sized, mate: &Mate, basic: &Basic, aside: &mut Aside) {
    warn_of_tight_book(sized, mate, aside);
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
    let over = sized.groove_width(sized.blank.aim, basic) - basic.p;
    if over >= Length::ZERO {
        aside.note(no_thread_left(sized, over, basic));
    } else if sized.missing > basic.p / 2.0 * MUCH_MISSING {
        aside.note(
            Note::warning(
                Text::from("At these sizes ")
                    .v(Value::Share(sized.missing / (basic.p / 2.0)))
                    .s(format!(" of the {}'s thread, of its thickness at the pitch line, is gone before anything is worn, with a play of ", word(sized.part)))
                    .v(Value::Length(sized.wanted, Fine::Shop))
                    .s(" wanted on this mate."),
            )
            .field("make.play"),
        );
    }
}

/// A groove as wide as the pitch at its mouth leaves no ridge.
fn no_thread_left(sized: &Sized, over: Length, basic: &Basic) -> Note {
    let at = if sized.part == Element::Internal { "bore" } else { "outside" };
    let text = Text::from(format!(
        "Nothing would be left of the {}'s thread: its groove would be ",
        word(sized.part)
    ))
    .v(Value::Length(over + basic.p, Fine::Shop))
    .s(format!(" wide at the {at}, in a pitch of "))
    .v(Value::Length(basic.p, Fine::Shop))
    .s(".");
    let most = sized.wanted - over;
    let text = if most > Length::ZERO {
        text.s(" Ask for a play (make.play) of less than ").v(Value::Length(most, Fine::Shop)).s(".")
    } else {
        text.s(" Look again at the readings and at the length of thread that the lead is gathered over.")
    };
    Note::impossible(text).field("make.play")
}

fn wanted(make: &Make, pitch: Length, slope: f64, aside: &mut Aside) -> Length {
    let Some(play) = make.play else {
        let play = default_play(make.duty, pitch);
        let text = Text::from("No play is asked for: ").v(Value::Length(play, Fine::Play)).s(match make.duty {
            Duty::Feed => " at the tightest place is taken, as an adjusted feed screw has; at most 2 % of the pitch.",
            Duty::Clamp | Duty::Lift => {
                " at the tightest place is taken, the most that an adjusted feed screw has, so that it turns freely under its load; at most 2 % of the pitch."
            }
        });
        aside.note(Note::remark(text).field("make.play").source(PLAY_SOURCE));
        return play;
    };
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

/// Crest and root that meet before the flanks do, and outlines that do not clear at all.
fn say_outlines(lane: &Lane, mate: Element, aside: &mut Aside) {
    let (mate, made) = (word(mate), word(other(mate)));
    if let Some((at, takes)) = lane.met_first {
        aside.note(
            Note::warning(
                Text::from(format!("At crest or root the {mate} as read meets the {made} before the flanks do: at "))
                    .v(Value::Length(at, Fine::Coarse))
                    .s(" that takes ")
                    .v(Value::Length(takes, Fine::Gauge))
                    .s(format!(" of play, and the {made}'s flanks are opened by it. Clean the {mate}'s root and read it again, or break the corner of the {made}'s crest.")),
            )
            .field("reading"),
        );
    }
    if let Some(at) = lane.stuck {
        aside.note(
            Note::warning(
                Text::from(format!("Crest and root of {mate} and {made} do not clear each other at "))
                    .v(Value::Length(at, Fine::Coarse))
                    .s(", by the diameters read: the play there is that of the flanks alone. Read its outside and root again."),
            )
            .field("reading"),
        );
    }
}

/// What the lead error over the thread's length means for the part.
fn say_lead(lead: &LeadError, length: Length, aside: &mut Aside) {
    if let Some((long, short)) = lead.unsettled {
        aside.note(Note::warning(
            Text::from("The counts of pitches show a wave of the lead, and at these places they cannot tell whether it comes back every ")
                .v(Value::Length(long, Fine::Coarse))
                .s(" or as often as every ")
                .v(Value::Length(short, Fine::Coarse))
                .s(": the part is not opened for it, and it is in the band of the play. Move each count along by one pitch to tell.")
                .s(EVERY_TURN),
        ).field("reading"));
    } else if let Some((least, most)) = lead.disagree {
        aside.note(Note::warning(
            Text::from("The pitch was read as ")
                .v(Value::Band(least, most, Fine::Gauge))
                .s(" along the mate, which differs by more than the readings can err: its lead waves or changes, or a count slipped. Their scatter is in the band of the play. Eight counts or more, each over a few pitches and with its place, show a wave."),
        ).field("reading"));
    }
    if lead.is_proved() {
        let mut every_turn = "";
        let mut text = if lead.steady == 0.0 {
            Text::from("The mate's pitch changes along it")
        } else {
            Text::from("The mate's pitch is off by ")
                .v(Value::Length(length * lead.steady, Fine::Shop))
                .s(" over the length of thread")
                .s(if lead.growth == 0.0 { "" } else { " where it was counted, in the middle" })
        };
        if lead.growth != 0.0 {
            let per_100 = Length::mm(100.0) * (lead.growth * length.to_mm());
            text = text
                .s(", by ")
                .v(Value::Length(per_100, Fine::Gauge))
                .s(" more for every 100 mm along the mate");
        }
        if let Some(wave) = lead.wave {
            text = text
                .s(", with a wave of ")
                .v(Value::Length(wave.amplitude, Fine::Gauge))
                .s(" either way every ")
                .v(Value::Length(wave.period, Fine::Coarse));
            every_turn = EVERY_TURN;
        }
        text = text.s(". The part is opened by what that takes, and bears on a few of its turns only");
        if let Some((from, to)) = lead.held_beyond() {
            text = text
                .s(". It was counted from ")
                .v(Value::Band(from, to, Fine::Coarse))
                .s(" along the mate; beyond, the error is taken to stay as it is there, and the band of the play is wider: count there too");
        }
        aside.note(Note::warning(text.s(".").s(every_turn)).field("reading"));
    }
}

/// A lead that is left open by more than the play wanted, where the mate's flanks were not read and no band shows it.
fn say_lead_open(
    lead: &LeadError,
    over: Option<(Length, Length)>,
    wanted: Length,
    part: Element,
    aside: &mut Aside,
) {
    let Some((error, u)) = over.filter(|(_, u)| *u > wanted && !lead.is_proved()) else { return };
    aside.note(
        Note::remark(
            Text::from("The count of pitches leaves the lead open by ")
                .v(Value::Length(u, Fine::Shop))
                .s(" over the length of thread, more than the play wanted, with ")
                .v(Value::Length(error, Fine::Shop))
                .s(" read. ")
                .s(count_longer(part)),
        )
        .source(Source::derived("u of the pitch × turns in the thread")),
    );
}

/// What no count of whole pitches shows.
const EVERY_TURN: &str = " A wave that comes back every turn shows in no count of whole pitches: an indicator on a flank over one turn shows that.";

/// What settles the lead.
pub(super) const fn count_longer(part: Element) -> &'static str {
    match part {
        Element::Internal => "Count over a longer span, or try a short nut along the travel.",
        Element::External => {
            "Count over the whole nut, or on a cast of it, or try a short plug of this thread through it."
        }
    }
}

fn promise_less(
    make: &Make,
    wanted: Length,
    room: Length,
    (guard, held, oil): (Length, Length, Length),
) -> Note {
    Note::warning(
        Text::from("The readings are good to ")
            .v(Value::Length(guard, Fine::Gauge))
            .s(" of play and your cut to ")
            .v(Value::Length(held, Fine::Gauge))
            .s(" (two standard uncertainties each), and the film on the flanks wants ")
            .v(Value::Length(oil, Fine::Gauge))
            .s(", so ")
            .v(Value::Length(wanted, Fine::Gauge))
            .s(" cannot be promised: the ")
            .s(word(make.part))
            .s(" is sized for ")
            .v(Value::Length(room, Fine::Gauge))
            .s(". A closer reading at the tightest place allows less."),
    )
    .field("make.play")
    .source(FILM_SOURCE)
}

fn say_basis(basis: Basis, part: Element, aside: &mut Aside) {
    let mate = word(other(part));
    match basis {
        Basis::Mate => {}
        Basis::BothNew => aside.note(Note::remark(format!(
            "Both are made new: the sizes are the book's for either. Cut the {} first, read it, enter what it became, and let the {} follow it.",
            word(Element::External),
            word(Element::Internal)
        )).field("make.mate_new")),
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

/// Crests that stand out beyond nominal by more than the readings can err: nothing that use does.
fn warn_of_tall_crest(mate: &Mate, basic: &Basic, aside: &mut Aside) {
    let over = |r: &super::mate::Read| match mate.element {
        Element::External => r.value - basic.d,
        Element::Internal => basic.d1_internal - r.value,
    };
    let crests = if mate.element == Element::External { &mate.majors } else { &mate.minors };
    let Some(worst) = crests
        .iter()
        .filter(|r| over(r) > r.u * 3.0)
        .max_by(|a, b| over(a).to_mm().total_cmp(&over(b).to_mm()))
    else {
        return;
    };
    let mut text = Text::from(format!("The {}'s crests stand out by ", word(mate.element)))
        .v(Value::Length(over(worst), Fine::Gauge))
        .s(" on the diameter beyond nominal");
    if let Some(place) = worst.place {
        text = text.s(" at ").v(Value::Length(place, Fine::Coarse));
    }
    aside.note(
        Note::warning(text.s(". Use takes metal away, so it is a burr, plating, an instrument that was not at zero, or another thread: dress burrs with a stone, check the zero, and read again."))
            .field("reading"),
    );
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

/// A part by the book that will not go on: how much too little there is, and where.
fn warn_of_tight_book(sized: &Sized, mate: &Mate, aside: &mut Aside) {
    let (Some(course), Some((tight, loose))) = (&sized.course, sized.by_book) else { return };
    let taken = sized.unplaced_takes + sized.pressing_takes;
    let play = |spot: &Spot, limit: Length| spot.play() + limit - taken;
    let (limit, how) = if play(&course.tightest, loose) < Length::ZERO {
        (loose, "made to the book, even at the loose end of its limits, will not go on")
    } else if play(&course.tightest, tight) < Length::ZERO {
        (tight, "made to the book, at the tight end of its limits, will not go on")
    } else {
        return;
    };
    let least = play(&course.tightest, limit);
    let everywhere =
        course.spots(Reach::whole(course.engaged), DRAWN).iter().all(|s| play(s, limit) < Length::ZERO);
    let mut text = Text::from(format!("A {} {how}", word(sized.part)))
        .s(if everywhere { " anywhere: tightest, with its middle at " } else { ": with its middle at " })
        .v(Value::Length(course.tightest.middle(), Fine::Coarse))
        .s(", there is ")
        .v(Value::Length(-least, Fine::Gauge))
        .s(" too little between the flanks");
    if sized.slope > 0.0 {
        text = text.s(", ").v(Value::Length(-least / sized.slope, Fine::Gauge)).s(" on the pitch diameter");
    }
    // What a ridge is too thick by, the error of its lead left aside: that is no metal to take off.
    let thick = |s: &Seen| course.bend_takes + sized.pressing_takes - limit - s.missing;
    let places: Vec<&Seen> = mate.seen.iter().filter(|s| thick(s) > Length::ZERO).collect();
    if mate.seen.len() > 1 && !places.is_empty() {
        text = text.s(format!(
            ". To let it on, so much would have to come off the {}'s ridge: ",
            word(mate.element)
        ));
        for (i, s) in places.into_iter().enumerate() {
            text = text
                .s(if i > 0 { ", " } else { "" })
                .v(Value::Length(thick(s), Fine::Gauge))
                .s(" at ")
                .v(Value::Length(s.place, Fine::Coarse));
        }
    }
    aside.note(Note::warning(text.s(".")));
}

impl Sized {
    /// Width of the part's groove at the basic pitch line, with its limits.
    pub(super) fn groove(&self, basic: &Basic) -> Size {
        let width = |missing| play::groove_width(self.part, basic.d2, missing, basic.d2, basic.p, self.slope);
        let (tight, loose) = self.limits;
        Size {
            aim: width(self.missing),
            min: width(tight + self.pressing_takes),
            max: width(loose + self.pressing_takes),
        }
    }
    /// Width of the part's groove at diameter `at`, at the aims.
    pub(super) fn groove_width(&self, at: Length, basic: &Basic) -> Length {
        play::groove_width(self.part, at, self.missing, basic.d2, basic.p, self.slope)
    }
    /// The part's pitch diameter where so much is missing of it.
    pub(super) fn pitch_diameter_at(&self, missing: Length, basic: &Basic) -> Length {
        play::pitch_diameter(self.part, missing, basic.d2, self.slope)
    }
    /// Opens every size of the part by what pressing in will close, at its tightest: the play in the housing stays.
    pub(super) fn open_for_pressing(&mut self, pressed: &Pressed) {
        let (closing, takes) = (pressed.closing.1, pressed.takes.1);
        let opened =
            |size: Size, by: Length| Size { aim: size.aim + by, min: size.min + by, max: size.max + by };
        self.blank = opened(self.blank, closing);
        self.bottom = opened(self.bottom, closing);
        if self.slope > 0.0 {
            self.pitch_diameter = opened(self.pitch_diameter, takes / self.slope);
        }
        self.missing += takes;
        self.pressing_takes += takes;
    }
    /// Play on a mate of which so much is missing all along.
    pub(super) fn play(&self, mate_missing: Length) -> Length {
        self.missing + mate_missing - self.taken - self.pressing_takes
    }
    /// The part at its aims where it lies so.
    pub(super) fn spot(&self, spot: Spot) -> Spot {
        spot.opened(self.missing - self.unplaced_takes - self.pressing_takes)
    }
    /// The part at its aims where it is tightest and where it is loosest, and what it has of play as this kind of nut;
    /// none where the mate's flanks were not read.
    pub(super) fn travelled(&self, make: &Make, basic: &Basic) -> Option<Travelled> {
        let course = self.course.as_ref()?;
        Some(Travelled {
            tightest: self.spot(course.tightest),
            loosest: self.spot(course.loosest),
            play: kinds::play_of(make, self, basic)?,
            by_book: self.by_book.map(|(tight, loose)| (tight - self.missing, loose - self.missing)),
        })
    }
    /// The part at its aims along the mate.
    pub(super) fn travel(&self) -> Vec<Spot> {
        let spots = self.course.as_ref().map(|c| c.spots(Reach::whole(c.engaged), DRAWN));
        spots.into_iter().flatten().map(|s| self.spot(s)).collect()
    }
    /// The mate at the places read, and the part as it travels past them.
    pub(super) fn stations(&self, mate: &Mate, basic: &Basic) -> Vec<Station> {
        let spots = self.course.as_ref().map(|c| c.about(mate.seen.iter().map(|s| s.place)));
        let book = self.by_book.map(|(tight, loose)| (tight + loose) / 2.0);
        mate.seen
            .iter()
            .zip(spots.into_iter().flatten())
            .map(|(s, bare)| {
                let spot = self.spot(bare);
                Station {
                    place: s.place,
                    mate_pitch_diameter: s.pitch_diameter,
                    u: s.u,
                    thickness: basic.p / 2.0 - s.missing,
                    play: spot.play(),
                    u_play: spot.u,
                    play_by_book: book.map(|book| spot.play() + book - self.missing),
                }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn default_play_is_the_published_backlash_and_shrinks_with_fine_pitches() {
        let mm = Length::mm;
        assert_eq!(default_play(Duty::Feed, mm(5.0)), Length::thou(3.0));
        assert_eq!(default_play(Duty::Clamp, mm(10.0)), Length::thou(5.0));
        assert!((default_play(Duty::Feed, mm(1.0)) - mm(0.02)).abs() < Length::um(1e-9));
    }
}
