//! Wires in the grooves of a screw, and balls in those of a nut: whether one comes to rest on the flanks, what it then
//! reads, and how far that can be trusted.

use crate::fit::Fit;
use flankwise_thread::wires::{self, Groove, NoContact};
use flankwise_thread::{Angle, Element, Length, Source, Thread};

/// Standard uncertainty of a flank angle, degrees, of a tool ground by hand to a template.
pub const FLANK_U_DEG: f64 = 0.25;
/// Origin of [`FLANK_U_DEG`].
pub const FLANK_SOURCE: Source = Source::choice("tool ground by hand and checked against a template");

/// Diameters of a groove between which a wire or ball must find its seat, least and most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// At its surface.
    pub surface: (Length, Length),
    /// At its bottom.
    pub bottom: (Length, Length),
    /// Where it is half a pitch wide.
    pub pitch_diameter: Length,
}

impl Section {
    /// Of the finished thread.
    pub fn finished(fit: &Fit) -> Self {
        Self {
            surface: (fit.blank.min, fit.blank.max),
            bottom: (fit.bottom.min, fit.bottom.max),
            pitch_diameter: fit.pitch_diameter.aim,
        }
    }
}

/// Why a wire or ball does not come to rest on the flanks of a groove.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// It touches no two flanks at all.
    NoSeat,
    /// It lies deeper than the gauge can reach.
    BelowCrest,
    /// The groove is too narrow for it.
    OnTheEdge,
    /// The groove is too wide for it.
    OnTheBottom,
}

impl Unfit {
    /// What it does instead.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NoSeat => "finds no seat",
            Self::BelowCrest => "lies below the crest",
            Self::OnTheEdge => "rides on the edge of the crest",
            Self::OnTheBottom => "touches the bottom",
        }
    }
}

/// Why a wire or ball cannot serve in a groove; none if it can.
pub fn unfit(thread: &Thread, part: Element, section: &Section, wire: Length) -> Option<Unfit> {
    let seat = match wires::seat_at(&Groove::of(thread), part, section.pitch_diameter, wire) {
        Ok(seat) => seat,
        Err(_) => return Some(Unfit::NoSeat),
    };
    let (low, high) =
        (seat.contact_leading.min(seat.contact_trailing), seat.contact_leading.max(seat.contact_trailing));
    let (centre, surface, bottom) = (seat.centre * 2.0, section.surface, section.bottom);
    match part {
        Element::External if centre + wire <= surface.1 => Some(Unfit::BelowCrest),
        Element::External if high > surface.0 => Some(Unfit::OnTheEdge),
        Element::External if low < bottom.1 || centre - wire < bottom.1 => Some(Unfit::OnTheBottom),
        Element::Internal if centre - wire >= surface.0 => Some(Unfit::BelowCrest),
        Element::Internal if low < surface.1 => Some(Unfit::OnTheEdge),
        Element::Internal if high > bottom.0 || centre + wire > bottom.0 => Some(Unfit::OnTheBottom),
        _ => None,
    }
}

/// Over wires of a screw, or between balls of a nut, at a pitch diameter: with all its starts cut.
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn over(fit: &Fit, pitch_diameter: Length, wire: Length) -> Result<Length, NoContact> {
    let groove = Groove::of(&fit.thread);
    match fit.part {
        Element::External => wires::over_wires(&groove, pitch_diameter, wire),
        Element::Internal => wires::between_balls(&groove, pitch_diameter, wire),
    }
}

/// The pitch diameter from a reading over wires or between balls: the inverse of [`over`].
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn pitch_diameter(fit: &Fit, reading: Length, wire: Length) -> Result<Length, NoContact> {
    let groove = Groove::of(&fit.thread);
    match fit.part {
        Element::External => wires::pitch_diameter_from_wires(&groove, reading, wire),
        Element::Internal => wires::pitch_diameter_from_balls(&groove, reading, wire),
    }
}

/// Half a turn on, the groove of one start lies so far along: half the lead.
pub fn half_turn(fit: &Fit) -> Length {
    fit.thread.lead() * 0.5
}

/// The same in the groove of one start alone, whatever the other starts are: between balls half a turn apart in that
/// groove, the short way: √((2R)² + (Ph/2)²) − w.
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn over_own_groove(fit: &Fit, pitch_diameter: Length, wire: Length) -> Result<Length, NoContact> {
    let groove = Groove::of(&fit.thread);
    match fit.part {
        Element::External => wires::over_wires(&groove, pitch_diameter, wire),
        Element::Internal => {
            let across = wires::seat_at(&groove, fit.part, pitch_diameter, wire)?.centre * 2.0;
            Ok(Length::mm(across.to_mm().hypot(half_turn(fit).to_mm())) - wire)
        }
    }
}

/// The pitch diameter from such a reading: the inverse of [`over_own_groove`].
///
/// # Errors
/// [`NoContact`] for upright flanks and impossible sizes.
pub fn from_own_groove(fit: &Fit, reading: Length, wire: Length) -> Result<Length, NoContact> {
    let groove = Groove::of(&fit.thread);
    match fit.part {
        Element::External => wires::pitch_diameter_from_wires(&groove, reading, wire),
        Element::Internal => {
            let (slanted, along) = ((reading + wire).to_mm(), half_turn(fit).to_mm());
            if slanted <= along {
                return Err(NoContact::Size);
            }
            let across = Length::mm((slanted * slanted - along * along).sqrt());
            Ok(wires::seat(&groove, fit.part, across * 0.5, wire)?.pitch_diameter)
        }
    }
}

/// Standard uncertainty of a reading over wires or between balls, as one of pitch diameter: what reading and wires
/// add, and the flank angle, which tells nothing at the best wire.
pub fn over_u(fit: &Fit, wire: Length, reading: Length) -> Length {
    let g = Groove::of(&fit.thread);
    let alpha = (g.flank_leading + g.flank_trailing) * 0.5;
    let by_angle =
        (wire * alpha.cos() - g.pitch * 0.5) / (alpha.sin() * alpha.sin()) * Angle::deg(FLANK_U_DEG).to_rad();
    Length::mm(reading.to_mm().hypot(by_angle.to_mm()))
}
