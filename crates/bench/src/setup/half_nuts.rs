//! When the half-nuts may be closed again.
//!
//! The tool falls into its groove where the carriage has shifted by a whole number of leads against the running
//! thread, and the half-nuts close only where it has shifted by a whole number of lead screw leads. A threading dial
//! shows shifts in steps of (teeth × lead screw lead) / marks, and repeats after one turn.
//!
//! The lead that counts is the one that the train cuts, not the one on the drawing: a train that is only near puts
//! the groove a little elsewhere each time.

use super::ratio::Ratio;
use super::{HalfNuts, Train, search};
use crate::job::{Lathe, ThreadDial};
use crate::route::time::LONGEST_SHIFT_MM;

/// The rule for what a train cuts.
pub(super) fn of_train(lathe: &Lathe, train: &Train) -> HalfNuts {
    search::lead_of(lathe, train).map_or(HalfNuts::KeepClosed, |cut| of_lead(lathe, cut))
}

/// The rule for a lead on this lathe.
pub(super) fn of_lead(lathe: &Lathe, lead: Ratio) -> HalfNuts {
    match Ratio::of(lathe.lead_screw.length) {
        Some(screw) if lathe.half_nuts => with_dial(lathe, screw, lead),
        _ => HalfNuts::KeepClosed,
    }
}

/// With the gear that is on the dial; where no mark serves so, with another that fits it.
fn with_dial(lathe: &Lathe, screw: Ratio, lead: Ratio) -> HalfNuts {
    let fitted = rule(screw, lead, lathe.thread_dial);
    let Some(dial) =
        lathe.thread_dial.filter(|_| !matches!(fitted, HalfNuts::Anywhere | HalfNuts::Marks(..)))
    else {
        return fitted;
    };
    let other = lathe.dial_gears.iter().find_map(|&teeth| {
        match rule(screw, lead, Some(ThreadDial { teeth, ..dial })) {
            HalfNuts::Marks(marks, words) => {
                Some(HalfNuts::Marks(marks, format!("{words}, with the gear of {teeth} on the dial")))
            }
            _ => None,
        }
    });
    other.unwrap_or(fitted)
}

/// The rule for a lead on a lead screw.
pub(super) fn rule(screw: Ratio, lead: Ratio, dial: Option<ThreadDial>) -> HalfNuts {
    if screw.is_multiple_of(lead) {
        return HalfNuts::Anywhere;
    }
    let shift = screw.common_multiple(lead);
    let without_dial = || {
        if shift.to_f64() <= LONGEST_SHIFT_MM {
            HalfNuts::Shift(shift.to_length())
        } else {
            HalfNuts::KeepClosed
        }
    };
    let Some(dial) = dial.filter(|d| d.teeth > 0 && d.marks > 0) else { return without_dial() };
    let Some(step) = Ratio::new(u128::from(dial.teeth), u128::from(dial.marks)).map(|r| screw * r) else {
        return without_dial();
    };
    // One turn of the dial must be right, or the same mark is wrong the next time round. The bed may still show what
    // this dial does not.
    if !(step * whole(dial.marks)).is_multiple_of(shift) {
        return without_dial();
    }
    let stride = (1..=dial.marks).find(|&k| (step * whole(k)).is_multiple_of(shift)).unwrap_or(dial.marks);
    let marks: Vec<u32> = (0..dial.marks).step_by(stride as usize).map(|k| k + 1).collect();
    let words = match (stride, marks.len()) {
        (1, _) => "at any mark, not between marks".to_owned(),
        (_, 1) => "at the one mark you started on".to_owned(),
        (_, 2) => "at the mark you started on or the one opposite".to_owned(),
        (2, _) => "at every second mark from the one you started on".to_owned(),
        (k, _) => format!("at every {} mark from the one you started on", ordinal(k)),
    };
    HalfNuts::Marks(marks, words)
}

/// `third`, `4th`, `22nd`.
fn ordinal(n: u32) -> String {
    let ending = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) if n == 3 => return "third".to_owned(),
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}

fn whole(n: u32) -> Ratio {
    Ratio::new(u128::from(n), 1).unwrap_or(Ratio::ONE)
}
