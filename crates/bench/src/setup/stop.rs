//! Ways of stopping in time: as planned, with more room, away from the chuck, by hand; each with the speed it allows
//! and what it asks of tool and machine.

use super::HalfNuts;
use super::speed::{Speed, travel};
use crate::fit::Fit;
use crate::job::{ChuckMount, Lathe};
use crate::report::{Fine, Mark, Row, Table, Text, Value, columns};
use flankwise_thread::{Element, Hand, Length, Source};

struct Way {
    how: &'static str,
    rpm: Option<f64>,
    room: Option<Length>,
    asks: Text,
    goes: bool,
}

/// The ways as a table; none where nothing has to be stopped for.
pub(super) fn table(fit: &Fit, lathe: &Lathe, half_nuts: &HalfNuts, speed: &Speed) -> Option<Table> {
    let limit = speed.rpm_reaction?;
    let ways = [
        Some(as_planned(fit, speed, limit)),
        wider(fit, speed, limit),
        braked(fit, lathe, half_nuts, speed),
        (fit.thread.hand == Hand::Right).then(|| away(fit, lathe, speed)),
        Some(by_hand(speed)),
    ];
    let ways: Vec<Way> = ways.into_iter().flatten().collect();
    let best = ways.iter().position(|w| w.goes);
    let row = |(i, w): (usize, Way)| Row {
        cells: vec![
            Value::Word(w.how.into()),
            w.rpm.map_or(Value::None, Value::Rpm),
            w.room.map_or(Value::None, |l| Value::Length(l, Fine::Shop)),
            Value::Yes(w.goes),
            Value::Said(w.asks),
        ],
        mark: match w.goes {
            false => Mark::Bad,
            true if best == Some(i) => Mark::Best,
            true => Mark::Plain,
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

fn as_planned(fit: &Fit, speed: &Speed, limit: f64) -> Way {
    let room = travel(speed.rpm, fit.thread.lead(), speed.seconds) + fit.groove_top_width;
    Way {
        how: "towards the chuck, as planned",
        rpm: Some(limit),
        room: Some(room),
        asks: "both hands on their levers, eyes on the mark, every pass".into(),
        goes: limit > 0.0 && speed.rpm <= limit,
    }
}

/// A groove that lets the tool's own speed be run, where the room is what limits it.
fn wider(fit: &Fit, speed: &Speed, limit: f64) -> Option<Way> {
    (limit < speed.rpm_surface).then(|| Way {
        how: "with more room at the end",
        rpm: Some(speed.rpm_surface),
        room: Some(travel(speed.rpm_surface, fit.thread.lead(), speed.seconds) + fit.groove_top_width),
        asks: if fit.part == Element::Internal && !fit.through {
            "a wider groove, or a deeper hole behind it, if the part allows".into()
        } else {
            "the work further out, or a groove, if the part allows".into()
        },
        goes: true,
    })
}

/// With a brake, where the spindle's running on is what takes the room.
fn braked(fit: &Fit, lathe: &Lathe, half_nuts: &HalfNuts, speed: &Speed) -> Option<Way> {
    let room = speed.room?;
    (*half_nuts == HalfNuts::KeepClosed && lathe.brake_s.is_none() && speed.coast > 0.0).then(|| Way {
        how: "with a brake on the spindle",
        rpm: Some(super::rpm_for_room(
            room.max(Length::ZERO),
            fit.thread.lead(),
            speed.seconds - 0.5 * speed.coast,
        )),
        room: None,
        asks: "a brake that holds at once; never a hand on the chuck".into(),
        goes: false,
    })
}

/// From the groove outwards: nothing is in the way at the end of the cut.
fn away(fit: &Fit, lathe: &Lathe, speed: &Speed) -> Way {
    let tool = if fit.part == Element::Internal {
        "the bar turned upside down, or right way up on the far wall of the bore; the tip must start clear in the groove"
    } else {
        "the tool upside down, or right way up behind the work; the tip must start clear in a groove"
    };
    let narrow = speed.room.is_some_and(|room| room <= Length::ZERO);
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
        rpm: Some(speed.rpm_surface),
        room: Some(fit.groove_top_width),
        asks: Text::from(format!(
            "{spindle}; {tool}; the slides' play pulled out the other way; the way back ends in the groove, by hand"
        )),
        goes,
    }
}

fn by_hand(speed: &Speed) -> Way {
    Way {
        how: "the last turns by hand",
        rpm: None,
        room: None,
        asks: "power off and isolated, a crank in the spindle's bore or a hand on the belt; take the crank out before the switch is touched".into(),
        // However slowly: the tool must find room where the thread ends.
        goes: speed.room.is_none_or(|room| room > Length::ZERO),
    }
}
