//! Cautions, in our own words after published guidance; each names the document. They do not replace local codes,
//! the machine's manual or a licensed person.

use crate::job::{ChuckMount, Duty, Make};
use crate::material::{Hazard, Material};
use crate::report::{Note, capital};
use flankwise_thread::{Hand, Source};

use super::Aside;

const WORKSAFE: Source = Source::table(
    "WorkSafe Victoria, Safe use of metal turning lathes (2010)",
    "entanglement; unsecured work and keys",
);
const MANUAL: Source =
    Source::table("lathe maker's manual, safety section", "long stock, chuck key, stopping, clearance");
const REVERSE_SAFETY: Source =
    Source::table("lathe maker's manual, safety section", "chuck, reversing, stopping");
const GUARDS: Source =
    Source::table("Metal lathe safety sheet (Safety on the Set)", "guards, chips, adjusting");
const CHIPS: Source = Source::table("Metal lathe safety sheet (Safety on the Set)", "chips, measuring");
const POLISH: Source = Source::table(
    "Ontario Ministry of Labour, Alert: machine shop lathes (1994, reviewed 2009)",
    "emery strip",
);
const REVERSE: Source = Source::table("lathe makers' manuals, thread cutting", "half-nuts and shoulders");
const LEAD: Source = Source::memory("OSHA 29 CFR 1910.1025", "lead: hygiene and limits");
const BERYLLIUM: Source = Source::table(
    "29 CFR 1910.1024, as summarized in a supplier's hazard sheet (NGK)",
    "beryllium: limits, no dry abrasion",
);
const JACK: Source =
    Source::table("screw jack maker's instruction (Nook)", "creep under vibration, travel stops");
const LOLER: Source = Source::table("HSE SIM 03/2010/2 (LOLER)", "thorough examination, wear out of limits");

const RESIN: Source = Source::table(
    "HSE Research Report 79; EU-OSHA: Occupational exposure to epoxy resins",
    "sensitisation of skin and airways",
);

/// Uncured resin.
pub(crate) fn resin() -> Note {
    Note::caution(
        "Uncured resin and hardener make skin and lungs allergic for life: nitrile gloves, covered arms, moving air, no solvent on the skin, and no sanding before it is hard. Read its safety sheet.",
        RESIN,
    )
    .short("Gloves and moving air with uncured resin.")
}

/// A worn thread that a load hangs on.
pub(super) fn worn_and_lifting() -> Note {
    Note::caution(
        "A load hangs on this worn thread: it is judged at half the usual wear. Lift nothing with it until a competent person has examined it under your local rules, and keep from under the load.",
        LOLER,
    )
}

/// Before the spindle turns, with the body's work.
pub(crate) fn chuck() -> Note {
    Note::caution(
        "Take the key out of the chuck before the switch is touched, turn the work over once by hand to see that it clears, and let the chuck run down: no hand on it.",
        MANUAL,
    )
    .short("Key out of the chuck, work clear all round, no hand on it as it runs down.")
}

/// Clothes, hair, gloves.
pub(crate) fn entangle() -> Note {
    Note::caution(
        "People have died wound into chucks, feed screws and lead screws by a sleeve, glove or loose hair: close them up, and go by the rules and the training that hold where you work.",
        WORKSAFE,
    )
    .short("No loose sleeve, glove or hair near anything that turns.")
}

/// Stock that stands out.
pub(crate) fn long_stock() -> Note {
    Note::caution(
        "Bar that stands out more than three diameters needs a centre or a steady, and bar behind the spindle must not whip.",
        MANUAL,
    )
    .short("Long bar: a centre or a steady, and nothing that whips behind the spindle.")
}

/// Guards and tool setting.
pub(crate) fn guards() -> Note {
    Note::caution("Shut the gear cover before the spindle turns, and set tools only while it stands.", GUARDS)
        .short("Gear cover shut; tools set only with the spindle standing.")
}

/// Chips and measuring.
pub(crate) fn chips() -> Note {
    Note::caution(
        "Spindle stopped for every look, touch and measurement. Chips with a brush or a hook, not with fingers; no air jet.",
        CHIPS,
    )
    .short("Spindle stopped before you look, touch, measure or clear chips.")
}

/// Filing and polishing.
pub(crate) fn polish() -> Note {
    Note::caution(
        "A strip of emery looped round the work has pulled a person in: hold it in a backed strip or holder, wear no gloves, and polish before slots or flats are cut.",
        POLISH,
    )
    .short("No emery looped round the work, no gloves.")
}

/// At the milling machine.
pub(crate) fn milling() -> Note {
    Note::caution(
        "Clamp the part in a vice or between blocks so that the cutter cannot pull it out, keep hands and brush away while it turns, and stop it before you measure or clear chips.",
        Source::practice("milling keyways and flats"),
    )
    .short("Part clamped for milling, cutter standing before you reach in.")
}

/// Threading to a stop: a right-hand thread towards the end where it must stop, a left-hand one away from where it
/// starts.
pub(crate) fn threading(hand: Hand, through: bool) -> Note {
    let (text, short) = match (hand, through) {
        (_, true) => (
            "Keep both hands free, one to draw the tool out and one on the switch or half-nut lever, and see that nothing runs into the chuck.",
            "One hand on the cross-slide, one on the switch or half-nut lever.",
        ),
        (Hand::Right, false) => (
            "Stop before the blind end: one hand on the cross-slide, one on the switch or half-nut lever, eyes on the mark and nothing else. Try the stop with the tool clear of the work first.",
            "Blind end: one hand on the cross-slide, one on the switch or half-nut lever, eyes on the mark.",
        ),
        (Hand::Left, false) => (
            "The tool runs outwards; the way back to the inner end is where it can strike: tool drawn out, one hand on the switch or half-nut lever, and no further back than the mark it starts from.",
            "Way back: tool out, one hand on the switch or half-nut lever, no further than the mark.",
        ),
    };
    Note::caution(text, REVERSE).short(short)
}

/// Where the spindle is reversed; a chuck that is fastened cannot unscrew.
pub(crate) fn reversing(chuck: Option<ChuckMount>) -> Note {
    let chuck = match chuck {
        Some(ChuckMount::Fastened) => "",
        Some(ChuckMount::ScrewedOn) => {
            " This chuck is screwed on and can unscrew when reversed: use its lock, or do not reverse under power."
        }
        None => {
            " A chuck that is screwed on can unscrew when reversed: use its lock, or do not reverse under power."
        }
    };
    Note::caution(
        format!("Back the tool out and let the spindle stand still before it is reversed.{chuck}"),
        REVERSE_SAFETY,
    )
    .short("Tool out and spindle standing before it is reversed.")
}

/// At the press.
pub(super) fn pressing() -> Note {
    Note::caution(
        "Under a press a part that stands askew can fly or burst: eye protection, a guard between it and you, hands off while it moves, and stop when the force climbs sooner than it should.",
        Source::practice("work at a hand or hydraulic press"),
    )
    .short("Press: square, guarded, hands off while it moves.")
}

/// What the material asks for, where it is cut.
pub(crate) fn material(material: &Material) -> Vec<Note> {
    material
        .hazards
        .iter()
        .map(|hazard| match hazard {
            Hazard::Lead => Note::caution(
                format!(
                    "{} holds lead: do not grind or sand it dry, wipe dust up wet, keep food and drink away and wash hands before either; limits are those of the local lead rule.",
                    capital(material.name)
                ),
                LEAD,
            )
            .short("Lead: nothing dry, nothing eaten, hands washed."),
            Hazard::Beryllium => Note::caution(
                format!(
                    "Dust and fume of {} cause lung disease that does not heal: no grinding, sanding or polishing without extraction and the measures of the beryllium rule; cut wet, and ask a qualified person first.",
                    material.name
                ),
                BERYLLIUM,
            )
            .short("Beryllium: no dust, no fume, cut wet."),
            Hazard::IronDust => Note::caution(
                "Cast iron makes fine dust: keep it off your face and off the ways, with extraction or a mask where it hangs in the air.",
                Source::practice("dry cast iron dust"),
            )
            .short("Iron dust: off face and ways."),
            Hazard::Formaldehyde => Note::caution(
                "Overheated acetal gives off formaldehyde: keep the tool sharp and the chip cool, air the room.",
                Source::memory("makers' safety sheets", "acetal, thermal decomposition"),
            )
            .short("Acetal: keep it cool, air the room."),
            Hazard::PolymerFume => Note::caution(
                "Hot PTFE gives off fumes that bring on fever, and its dust on a cigarette does the same: sharp tool, cool chip, air the room, no smoking, wash hands.",
                Source::memory("makers' safety sheets", "fluoropolymers, polymer fume fever"),
            )
            .short("PTFE: keep it cool, no smoking."),
        })
        .collect()
}

/// What hangs on the thread, where the part is proved and goes into use.
pub(super) fn in_use(duty: Duty) -> Vec<Note> {
    match duty {
        Duty::Lift => vec![
            Note::caution(
                "A load that could fall hangs on this thread. Nothing here plans a screw that lifts people, holds a load over them or belongs to a lift, hoist, jack or car lift: that takes an engineer and the code that holds there. For any other lifting screw the sizes are for finding out and quoting; a competent person decides whether the part may be used, and when it is examined again.",
                LOLER,
            )
            .short("A load hangs on it: a competent person decides on its use."),
            Note::caution(
                "A screw that locks on paper can still creep under vibration: it wants a brake or a lock, stops at both ends so that the nut cannot run off, and a second means to hold the load.",
                JACK,
            )
            .short("A brake or lock, stops at both ends, a second means to hold the load."),
        ],
        Duty::Clamp => vec![
            Note::caution(
                "If this clamp holds work or a guard that could come loose on someone, have the machine's rules and a competent person decide whether a remade part may hold it.",
                Source::practice("clamping parts of machines"),
            )
            .short("A clamp that could come loose on someone: a competent person decides."),
        ],
        Duty::Feed => Vec::new(),
    }
}

/// The same, as notes of the fit.
pub(super) fn duty(make: &Make, aside: &mut Aside) {
    for note in in_use(make.duty) {
        aside.note(note.field("make.duty"));
    }
}
