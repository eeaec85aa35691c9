//! What may have become of a part where a reading of it is off the thread found, besides a slip of whoever read it.

use super::model::{Model, Seen, Suspect, outside_by};
use super::scales::{PROUD_BY, ROUGH_LEAD};
use super::voice::length;
use crate::job::Feature;
use crate::report::Fine;
use flankwise_thread::Element;

/// How many times its usual amount a cause is believed to reach. Chosen here.
const REACH: f64 = 3.0;

/// The likely cause and what to do about it, as sentences; none where nothing that happens to threads explains it.
pub(super) fn likely(model: &Model, seen: &Seen, suspect: &Suspect) -> Option<String> {
    match (seen.part, seen.feature) {
        (Element::External, Feature::MajorDiameter) => of_crest(model, seen, suspect),
        (_, Feature::Pitch | Feature::Lead) => of_lead(seen, suspect),
        _ => None,
    }
}

fn of_crest(model: &Model, seen: &Seen, suspect: &Suspect) -> Option<String> {
    let shape = &suspect.shape;
    let over = outside_by(model, seen, suspect)?;
    let by = length(model, over.abs(), Fine::Shop);
    if over > 0.0 {
        let proud = over <= REACH * (PROUD_BY.0 + PROUD_BY.1 * shape.p());
        return proud.then(|| {
            format!(
                "The crest stands {by} proud, as plating, a burr or a bruise leave it: look, dress it, and read it again \
                 at a clean place or over wires."
            )
        });
    }
    // Turned off down to the pitch diameter at most.
    let basic = &shape.basic;
    let turned = over < -2.0 * seen.u && seen.v > basic.d2.to_mm();
    turned.then(|| {
        let flats = model.crest_flats();
        let (as_made, as_turned) = (basic.crest_width.to_mm(), shape.ridge(seen.v));
        let agree = |flat: &Seen| (flat.v - as_turned).abs() < (flat.v - as_made).abs();
        match flats.as_slice() {
            [] => format!(
                "The crest is {by} short: turned down, or worn more than most? The crest flat tells: {} if turned, {} as \
                 made.",
                length(model, as_turned, Fine::Shop),
                length(model, as_made, Fine::Shop)
            ),
            flats if flats.iter().all(|flat| agree(flat)) => format!(
                "The crest is {by} short and its flat as wide as that leaves it: the crests were turned down."
            ),
            _ => format!("The crest is {by} short, and its flat is not wider for it. Read both again."),
        }
    })
}

fn of_lead(seen: &Seen, suspect: &Suspect) -> Option<String> {
    let turns = if seen.feature == Feature::Lead { f64::from(suspect.starts) } else { 1.0 };
    let truth = suspect.shape.p() * turns;
    ((seen.v / truth - 1.0).abs() <= REACH * ROUGH_LEAD).then(|| {
        "A screw that was chased by hand, stretched or bent has such a lead: count again over another part of it, and look \
         along it."
            .to_owned()
    })
}
