//! What the person can hold on the pitch diameter with the lathe at hand: a budget by the GUM.

use crate::job::{Dial, DialReads, Lathe};
use crate::report::{Block, Figure, Fine, Value};
use flankwise_thread::{Length, Source};

/// Standard uncertainties of what is held (about 95 %).
const COVERAGE: f64 = 2.0;
/// What the tool still springs by, on the radius, when the spring passes have run out. Chosen here.
const SPRING: Length = Length::um(5.0);
const SPRING_SOURCE: Source = Source::choice(
    "0.005 mm on the radius left by the tool's spring after the last spring pass, whatever the bar",
);
/// Step of the cross-slide where no lathe is given, as it comes off the diameter. Chosen here.
const STEP: Length = Length::mm(0.02);
const STEP_SOURCE: Source =
    Source::memory("JCGM 100:2008 (GUM)", "F.2.2.1: a step r is uncertain by r/(2 √3)");

/// Standard uncertainties on the diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hold {
    /// Finest step of dial or readout, as it comes off the diameter.
    step: Length,
    /// Whether that is the readout's.
    by_readout: bool,
}

impl Hold {
    /// By the finer of dial and readout.
    pub(super) fn of(lathe: Option<&Lathe>) -> Self {
        let on_diameter = |dial: Dial| match dial.reads {
            DialReads::Radius => dial.division * 2.0,
            DialReads::Diameter => dial.division,
        };
        let dial = lathe.and_then(|l| l.cross_dial).map(on_diameter);
        let readout = lathe.and_then(|l| l.readout).map(on_diameter);
        match (dial, readout) {
            (dial, Some(readout)) if dial.is_none_or(|d| readout <= d) => {
                Self { step: readout, by_readout: true }
            }
            (dial, _) => Self { step: dial.unwrap_or(STEP), by_readout: false },
        }
    }

    fn u_step(self) -> Length {
        self.step / 12f64.sqrt()
    }

    fn u_spring() -> Length {
        SPRING * 2.0 / 3f64.sqrt()
    }

    /// Half the band that is held, on the diameter: two standard uncertainties.
    pub(super) fn band(self) -> Length {
        Length::mm(self.u_step().to_mm().hypot(Self::u_spring().to_mm())) * COVERAGE
    }

    /// The budget, `slope` turning a pitch diameter into play.
    pub(super) fn block(self, slope: f64) -> Block {
        let by = if self.by_readout { "readout" } else { "cross-slide dial" };
        let figures = vec![
            Figure::new(
                "hold_step",
                format!("step of the {by}, as it comes off the diameter"),
                Value::Length(self.step, Fine::Gauge),
                STEP_SOURCE,
            )
            .u(Value::Length(self.u_step(), Fine::Gauge)),
            Figure::new(
                "hold_spring",
                "what the tool's spring leaves, on the diameter",
                Value::Length(SPRING * 2.0, Fine::Gauge),
                SPRING_SOURCE,
            )
            .u(Value::Length(Self::u_spring(), Fine::Gauge)),
            Figure::new(
                "hold_band",
                "what you can hold on the pitch diameter, either way",
                Value::Length(self.band(), Fine::Gauge),
                Source::memory(
                    "JCGM 100:2008 (GUM)",
                    "5.1.2 and 6.3.3: sum of squares, two standard uncertainties",
                ),
            )
            .formula("2 √(u² step + u² spring)"),
            Figure::new(
                "hold_play",
                "the same as axial play",
                Value::Length(self.band() * slope, Fine::Gauge),
                super::play::SOURCE,
            )
            .formula("band · (tan α + tan α') / 2"),
        ];
        Block::Figures("What you can hold".into(), figures)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: a readout of 0.005 mm on the diameter is uncertain by 0.00144 mm, the spring by 0.01/√3 = 0.00577;
    /// together 0.00595, twice that 0.0119.
    #[test]
    fn budget_by_hand() {
        let hold = Hold { step: Length::mm(0.005), by_readout: true };
        assert!((hold.band().to_mm() - 0.0119).abs() < 5e-5, "{:?}", hold.band());
    }
}
