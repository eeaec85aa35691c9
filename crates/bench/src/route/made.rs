//! The part as the way taken makes it, for the stages that prove it and tell of it. A tool that is fed cuts what the fit
//! asks; a tap, a bought part and a cast nut have sizes of their own.

use super::{Way, cast, tap_set};
use crate::fit::{Fit, Making, Size, Spot};
use crate::job::WayKind;
use flankwise_thread::limits::Range;
use flankwise_thread::{Element, Length};

impl Way {
    /// The part as this way makes it; none where it is cut to the sizes of `fit`.
    pub fn makes(&self, fit: &Fit) -> Option<Fit> {
        match self.kind {
            WayKind::SinglePoint | WayKind::Rechuck | WayKind::ThreadMill => None,
            WayKind::MadeTap => Some(tap_set::tapped(fit)),
            WayKind::BoughtTap | WayKind::Die => Some(to_the_book(fit, Making::Tapped)),
            WayKind::BoughtPart => Some(to_the_book(fit, Making::Bought)),
            WayKind::Cast => Some(cast(fit)),
        }
    }
}

/// The part in the middle of the book's limits. With a mate made new, `fit` has those sizes already.
fn to_the_book(fit: &Fit, making: Making) -> Fit {
    let mut made = Fit { making, ..fit.clone() };
    if making == Making::Bought {
        // Its body is its own.
        made.body = None;
    }
    if let Some((tight, loose)) = fit.travelled.and_then(|t| t.by_book) {
        let half = (loose - tight) / 2.0;
        open(&mut made, (tight + loose) / 2.0);
        if let Some(travelled) = &mut made.travelled {
            travelled.by_book = Some((-half, half));
            travelled.play = (travelled.tightest.play() - half, travelled.loosest.play() + half);
        }
    }
    let Some(book) = fit.book_of_part() else { return made };
    let (blank, bottom) = match fit.part {
        Element::Internal => (book.minor, book.major),
        Element::External => (book.major, book.minor),
    };
    made.pitch_diameter = within(book.pitch, fit.pitch_diameter);
    made.bottom = within(bottom, fit.bottom);
    if making == Making::Bought {
        made.blank = within(blank, fit.blank);
    }
    made
}

/// The limits of the book with their middle; where it leaves a side open, that of `own`, if that lies beyond.
fn within(range: Range, own: Size) -> Size {
    match (range.min, range.max) {
        (Some(min), Some(max)) => Size { aim: (min + max) / 2.0, min, max },
        (Some(min), None) => Size { aim: own.aim.max(min), min, max: own.max.max(min) },
        (None, Some(max)) => Size { aim: own.aim.min(max), min: own.min.min(max), max },
        (None, None) => own,
    }
}

/// The nut as it comes off the screw: where that was thickest it has the play of its film.
fn cast(fit: &Fit) -> Fit {
    let mut made = Fit { making: Making::Cast, pressed: None, ..fit.clone() };
    if let (Some(travelled), Some(play)) = (fit.travelled, cast::play(fit)) {
        open(&mut made, play.0 - travelled.tightest.play());
        if let Some(travelled) = &mut made.travelled {
            (travelled.play, travelled.by_book) = (play, None);
        }
    }
    made
}

/// Opens the groove by so much along the axis, and with it the play wherever it is said.
fn open(fit: &mut Fit, by: Length) {
    let groove = fit.groove;
    fit.groove = Size { aim: groove.aim + by, min: groove.min + by, max: groove.max + by };
    fit.groove_bottom_width += by;
    fit.groove_top_width += by;
    let wider = |spot: &mut Spot| *spot = spot.opened(by);
    fit.travel.iter_mut().for_each(wider);
    for station in &mut fit.stations {
        station.play += by;
    }
    if let Some(travelled) = &mut fit.travelled {
        wider(&mut travelled.tightest);
        wider(&mut travelled.loosest);
    }
}
