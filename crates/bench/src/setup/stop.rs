//! Ways of stopping in time: as planned, with more room, away from the chuck, by hand; each with the speed it allows
//! and what it asks of tool and machine.

use super::HalfNuts;
use super::speed::{Room, Speed, travel};
use crate::fit::Fit;
use crate::job::{ChuckMount, Lathe};
use crate::report::{Fine, Mark, Row, Table, Text, Value, columns};
use flankwise_thread::{Element, Hand, Length, Source};

struct Way {
    how: &'static str,
    rpm: Option<f64>,
    room: Option<Length>,
    asks: Text,
    /// None where nobody has said how much room there is.
    goes: Option<bool>,
}

/// The ways as a table; none where nothing has to be stopped for.
pub(super) fn table(fit: &Fit, lathe: &Lathe, half_nuts: &HalfNuts, speed: &Speed) -> Option<Table> {
    let limit = match speed.room {
        Room::Free => return None,
        Room::Known(_) => speed.rpm_reaction,
        Room::Unknown => None,
    };
    let ways = [
        Some(as_planned(fit, speed, limit)),
        wider(fit, speed),
        braked(fit, lathe, half_nuts, speed),
        (fit.thread.hand == Hand::Right).then(|| away(fit, lathe, speed)),
        Some(by_hand(speed)),
    ];
    let ways: Vec<Way> = ways.into_iter().flatten().collect();
    let best = ways.iter().position(|w| w.goes == Some(true));
    let row = |(i, w): (usize, Way)| Row {
        cells: vec![
            Value::Word(w.how.into()),
            w.rpm.map_or(Value::None, Value::Rpm),
            w.room.map_or(Value::None, |l| Value::Length(l, Fine::Shop)),
            w.goes.map_or_else(|| Value::Word("if there is that room".into()), Value::Yes),
            Value::Said(w.asks),
        ],
        mark: match w.goes {
            Some(false) => Mark::Bad,
            Some(true) if best == Some(i) => Mark::Best,
            Some(true) | None => Mark::Plain,
        },
    };
    Some(Table {
        key: "stopping",
        title: "Ways of stopping in time".into(),
        columns: columns(&[
            ("way", "Way"),
            ("rpm", "Up to"),
            ("room", "Room it needs"),
            ("goes", "Goes"),
            ("asks", "What it asks"),
        ]),
        rows: ways.into_iter().enumerate().map(row).collect(),
        source: Some(Source::derived(
            "room = travel until it stands + width of the tool where it leaves the thread",
        )),
    })
}

/// `limit` is the highest speed that can be stopped; none where nobody has said how much room there is.
fn as_planned(fit: &Fit, speed: &Speed, limit: Option<f64>) -> Way {
    let slowest = speed.rpm.or(speed.listed.first().copied());
    Way {
        how: match fit.thread.hand {
            Hand::Right => "towards the chuck, as planned",
            // What must be stopped in time is the way back.
            Hand::Left => "outwards and back into the groove, as planned",
        },
        rpm: limit.map(|limit| limit.min(speed.rpm_surface)).or(speed.rpm),
        room: slowest.map(|rpm| travel(rpm, fit.thread.lead(), speed.seconds) + fit.groove_top_width),
        asks: "both hands on their levers, eyes on the mark, every pass".into(),
        goes: limit.map(|_| speed.rpm.is_some()),
    }
}

/// A groove that lets the fastest speed be run that the tool stands, where the room is what limits it.
fn wider(fit: &Fit, speed: &Speed) -> Option<Way> {
    let faster = Some(speed.for_tool()).filter(|rpm| speed.rpm.is_none_or(|now| *rpm > now))?;
    Some(Way {
        how: "with more room at the end",
        rpm: Some(faster),
        room: Some(travel(faster, fit.thread.lead(), speed.seconds) + fit.groove_top_width),
        asks: if fit.part == Element::Internal && !fit.through {
            "a wider groove, or a deeper hole behind it, if the part allows".into()
        } else {
            "the work further out, or a groove, if the part allows".into()
        },
        goes: (speed.room != Room::Unknown).then_some(true),
    })
}

/// With a brake, where the spindle's running on is what takes the room.
fn braked(fit: &Fit, lathe: &Lathe, half_nuts: &HalfNuts, speed: &Speed) -> Option<Way> {
    let Room::Known(room) = speed.room else { return None };
    let most =
        super::rpm_for_room(room.max(Length::ZERO), fit.thread.lead(), speed.seconds - 0.5 * speed.coast);
    (*half_nuts == HalfNuts::KeepClosed && lathe.brake_s.is_none() && speed.coast > 0.0).then(|| Way {
        how: "with a brake on the spindle",
        rpm: Some(most.min(speed.rpm_surface)),
        room: None,
        asks: "a brake that holds at once, which this lathe is not said to have; never a hand on the chuck"
            .into(),
        goes: Some(false),
    })
}

/// From the groove outwards: nothing is in the way at the end of the cut.
fn away(fit: &Fit, lathe: &Lathe, speed: &Speed) -> Way {
    let tool = if fit.part == Element::Internal {
        "the bar turned upside down, or right way up on the far wall of the bore; the tip must start clear in the groove"
    } else {
        "the tool upside down, or right way up behind the work; the tip must start clear in a groove"
    };
    let narrow = speed.room.is_none();
    let (goes, spindle) = match (lathe.reverses, lathe.chuck) {
        _ if narrow => (false, "the tool does not find room to start in this groove"),
        (false, _) => (false, "this spindle does not reverse"),
        (true, Some(ChuckMount::ScrewedOn)) => {
            (false, "the spindle runs backwards under load, and a screwed-on chuck unscrews")
        }
        (true, Some(ChuckMount::Fastened)) => (true, "the spindle runs backwards"),
        (true, None) => (true, "the spindle runs backwards: only where the chuck does not screw on"),
    };
    Way {
        how: "away from the chuck",
        rpm: Some(speed.for_tool()),
        room: Some(fit.groove_top_width),
        asks: Text::from(format!(
            "{spindle}; {tool}; the slides' play pulled out the other way; the way back ends in the groove, by hand"
        )),
        goes: Some(goes).filter(|goes| !goes || speed.room != Room::Unknown),
    }
}

fn by_hand(speed: &Speed) -> Way {
    Way {
        how: "the last turns by hand",
        rpm: None,
        room: None,
        asks: "power off and isolated, a crank in the spindle's bore or a hand on the belt; take the crank out before the switch is touched".into(),
        // However slowly: the tool must find room where the thread ends.
        goes: (speed.room != Room::Unknown).then(|| !speed.room.is_none()),
    }
}
