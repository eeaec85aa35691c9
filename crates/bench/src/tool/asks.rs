//! What a kind of bar asks of the person: how it is made, held and looked after.

use crate::job::{Bar, BarKind};
use crate::report::{Fine, Note, Step, Text, Value};
use flankwise_thread::{Angle, Length, Source};

/// Left on the tip and flanks of a tool that is yet to be hardened: it warps and scales (common practice: 0.1 to 0.3 mm).
const HARDENING_ALLOWANCE: Length = Length::mm(0.2);
/// Bend to reckon with, for each millimetre of length: 0.1 to 0.2 mm in 100 mm (common practice).
const BEND: f64 = 0.002;

/// Steps by which the bar becomes a tool; empty where it is only ground. `tip_width` is that of the finished tip,
/// `flanks` its flank angles.
pub fn steps(bar: &Bar, stick_out: Length, tip_width: Length, flanks: [Angle; 2]) -> Vec<Step> {
    match bar.kind {
        BarKind::OnePiece => Vec::new(),
        BarKind::Hardened => hardening(stick_out, soft_tip(tip_width, flanks)),
        BarKind::BrazedTip => brazing(),
        BarKind::ScrewedTip => vec![
            Step::new(
                "Bed the tip all over its seat with blue; a tip that rocks chatters and cuts over size.",
            ),
            Step::new(
                "Let the screw pull the tip against a shoulder that takes the thrust, and tighten it again after the first pass.",
            ),
        ],
        BarKind::BoringHead => vec![
            Step::new(
                "Lock the slide of the boring head and take its play out towards the cut: the depth is set by the cross-slide.",
            ),
            Step::new(
                "Set the small bar's edge on the lathe's centre; the head has no height of its own to set.",
            ),
        ],
        BarKind::Bought => vec![Step::new(
            "Look up the least bore the maker gives for the bar, and the lead angle its seat is made for: beyond it, change the shim or grind the insert's sides.",
        )],
    }
}

/// Width of the tip while so much is left square to both flanks and in front of it: each flank shifts it by
/// a / cos A, and the tip that stands out farther narrows by a tan A on either side.
fn soft_tip(tip_width: Length, flanks: [Angle; 2]) -> Length {
    let shift = |a: Angle| 1.0 / a.cos() - a.tan();
    tip_width + HARDENING_ALLOWANCE * flanks.into_iter().map(shift).sum::<f64>()
}

fn hardening(stick_out: Length, soft: Length) -> Vec<Step> {
    let left = Value::Length(HARDENING_ALLOWANCE, Fine::Shop);
    vec![
        Step::new(
            Text::new()
                .s("Shape it soft and leave ")
                .v(left)
                .s(" on both flanks and in front of the tip (which is then ")
                .len(soft)
                .s(" wide): reckon with a bend of up to ")
                .v(Value::Length(stick_out * BEND, Fine::Shop))
                .s(" over the stick-out. Round all inner corners; sharp ones crack."),
        ),
        Step::with(
            "Heat it slowly and evenly to the maker's hardening temperature, for oil- and water-hardening carbon tool steels about 780 to 800 °C: just above where a magnet lets go. Hold a minute for each millimetre of thickness.",
            vec![Note::caution(
                "Hot metal and scale: eye protection, tongs, dry gloves, nothing that burns near by. Heat where fumes are drawn off.",
                PRACTICE,
            )],
        ),
        Step::with(
            "Quench it straight down, edge first, and move it up and down: in oil or in water as the steel's maker says.",
            vec![Note::caution(
                "Quenching oil can flare up and spit: a deep metal vessel with a lid at hand, face and arms away, no water in the oil. Keep to the local rules on fire.",
                PRACTICE,
            )],
        ),
        Step::new(
            "A file must slide off the edge. Temper at once: the edge pale to dark straw (about 200 to 230 °C for an hour), the shank blue (about 300 °C) so that it does not snap.",
        ),
        Step::new(
            "Check the shank for bend, set it by its straight back, then grind and stone tip and flanks to size, cool.",
        ),
    ]
}

const PRACTICE: Source = Source::practice("hardening of carbon tool steel; the maker's sheet goes before");

fn brazing() -> Vec<Step> {
    vec![
        Step::with(
            "Bed the tip in a pocket so that the cut presses it home. Flux, braze with silver solder free of cadmium, and let it cool slowly: a quenched tip cracks.",
            vec![Note::caution(
                "Fumes of flux and of cadmium in old solder harm the lungs: open air or extraction, face out of the fume, and no unknown solder.",
                Source::practice("silver brazing"),
            )],
        ),
        Step::new("Grind the steel below the tip back first, with its own wheel, then the tip."),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By drawing it: a 30° tip 1.87 mm wide, its flanks moved out by 0.2 mm square to themselves and its end by 0.2 mm,
    /// is 1.87 + 0.4 / cos 15° − 0.4 tan 15° = 2.18 mm wide.
    #[test]
    fn a_soft_tip_keeps_its_allowance_on_flanks_and_end() {
        let soft = soft_tip(Length::mm(1.87), [Angle::deg(15.0); 2]);
        assert!((soft.to_mm() - 2.177).abs() < 1e-3, "{soft:?}");
        // A square tip only widens by both allowances.
        assert!((soft_tip(Length::mm(2.0), [Angle::ZERO; 2]).to_mm() - 2.4).abs() < 1e-9);
    }
}
