//! How a screw of one thread lies in a nut of another at basic sizes, their leads apart: room between the flanks on the
//! real profiles, room at crests and roots, and where a taper comes to a stop.
//!
//! Threads of unlike flanks meet at one end of their depth. A square ridge is as wide at its crest as at its root, so that
//! it fouls a trapezoid's groove of the same pitch diameter at the crest, and no pitch diameter tells of that: what counts
//! is the room along the axis where the profiles are nearest.

use super::size::Shape;
use crate::job::{Condition, Feature};
use flankwise_thread::limits::ExtraKind;
use flankwise_thread::profile::{Basic, mating};
use flankwise_thread::{Element, Length, Thread};

/// A screw and a nut, each by its thread.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair<'t> {
    pub screw: &'t Thread,
    pub nut: &'t Thread,
}

/// The place on the profiles where flanks are nearest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Nearest {
    /// All along: the flanks are parallel.
    Along,
    /// At the crests of the screw.
    ScrewCrest,
    /// At the crests of the nut.
    NutCrest,
}

impl Nearest {
    /// As the end of a sentence.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Along => "along their flanks",
            Self::ScrewCrest => "at the crests of the screw",
            Self::NutCrest => "at the crests of the nut",
        }
    }
}

/// Flanks of both where they lie over each other. Lengths in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Flanks {
    /// Room along the axis from flank to flank; below zero metal is in metal.
    pub along: f64,
    /// The same on diameter, by the mean of the flank angles; none where they are upright.
    pub across: Option<f64>,
    pub nearest: Nearest,
    /// How far flanks that touch at one end of their depth stand open at the other.
    pub open: f64,
}

/// Room between a crest and the root above it, across the diameter; below zero metal is in metal. In millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Crest {
    pub what: &'static str,
    pub room: f64,
    /// What the makers' tolerances of both leave on average.
    pub tolerance: f64,
}

/// Flank angles that differ by less are alike, degrees.
const ALIKE_DEG: f64 = 0.1;

impl Pair<'_> {
    fn basics(&self) -> (Basic, Basic) {
        (self.screw.basic(), self.nut.basic())
    }

    /// What the makers' tolerances of the two leave on average at a feature, mm.
    fn tolerance(&self, feature: Feature) -> f64 {
        let of = |thread: &Thread, part| {
            let shape = Shape::new(thread.family, thread.nominal.to_mm(), thread.pitch.length.to_mm());
            shape.predict(part, feature, None, Condition::Unused).map_or(0.0, |p| 0.5 * p.tolerance)
        };
        of(self.screw, Element::External) + of(self.nut, Element::Internal)
    }

    /// Share of the nut's own depth that the screw reaches into; zero or less where no thread meets another.
    pub(super) fn engaged(&self) -> f64 {
        let (screw, nut) = self.basics();
        (screw.d - nut.d1_internal).to_mm() / (nut.d - nut.d1_internal).to_mm()
    }

    /// The flanks, one ridge in one groove; none where they have no radius in common.
    pub(super) fn flanks(&self) -> Option<Flanks> {
        let (screw, nut) = self.basics();
        let (depth_in, depth_out) = (screw.d3.max(nut.d1_internal), screw.d.min(nut.d4_internal));
        // The nut's groove as it is, repeated as often as the screw's ridge.
        let nut_groove = Basic { p: screw.p, ..nut };
        let ridge = screw.outline(Element::External).moved(0.5 * screw.p.to_mm());
        let room = mating::room(&ridge, &nut_groove.outline(Element::Internal))?;
        let lean = |b: &Basic| 0.5 * (b.flank_leading.tan() + b.flank_trailing.tan());
        let (of_screw, of_nut) = (lean(&screw), lean(&nut));
        let unlike = (screw.flank_leading - nut.flank_leading)
            .to_deg()
            .abs()
            .max((screw.flank_trailing - nut.flank_trailing).to_deg().abs());
        let middle = 0.25 * (depth_in + depth_out).to_mm();
        let nearest = match room.leading_at {
            _ if unlike < ALIKE_DEG => Nearest::Along,
            at if at > middle => Nearest::ScrewCrest,
            _ => Nearest::NutCrest,
        };
        let mean = 0.5 * (of_screw + of_nut);
        Some(Flanks {
            along: room.along(),
            across: (mean > 0.02).then(|| room.along() / mean),
            nearest,
            open: 0.5 * (depth_out - depth_in).to_mm().max(0.0) * (of_screw - of_nut).abs(),
        })
    }

    /// The screw's crest under the nut's root, and the nut's crest over the screw's root.
    pub(super) fn crests(&self) -> [Crest; 2] {
        let (screw, nut) = self.basics();
        let of = |what, room: Length, feature| Crest {
            what,
            room: room.to_mm(),
            tolerance: self.tolerance(feature),
        };
        [
            of("major diameter", nut.d4_internal - screw.d, Feature::MajorDiameter),
            of("minor diameter", nut.d1_internal - screw.d3, Feature::MinorDiameter),
        ]
    }

    /// Where a taper of either stops the two; none where both are parallel, or where no table says how far from the end
    /// the sizes of a taper are.
    pub(super) fn stop(&self) -> Option<Stop> {
        let taper = |thread: &Thread, element| thread.taper(element).map_or(0.0, |t| t.per_length);
        let screw = taper(self.screw, Element::External);
        let nut = taper(self.nut, Element::Internal);
        if screw.max(nut) <= 0.0 {
            return None;
        }
        let plane = |thread: &Thread, element, taper: f64| {
            if taper > 0.0 { gauge_plane(thread, element) } else { Some(0.0) }
        };
        let from_end = plane(self.screw, Element::External, screw)?;
        let behind_face = plane(self.nut, Element::Internal, nut)?;
        // Across the diameter where the sizes of both tapers are, the least of flanks and crests.
        let flanks = self.flanks().and_then(|f| f.across);
        let room = self.crests().iter().map(|c| c.room).chain(flanks).fold(f64::INFINITY, f64::min);
        // The screw's end x behind the nut's face: at y behind the face the nut is wider than the screw by
        // room + (behind_face − y) nut + (from_end + y − x) screw, which is least at the face or at the screw's end.
        let length = (room + behind_face * nut + from_end * screw) / screw.max(nut);
        let at = match (screw, nut) {
            (s, n) if (s - n).abs() < 1e-6 => Stops::Everywhere,
            (s, n) if s > n => Stops::NutMouth,
            _ => Stops::ScrewEnd,
        };
        Some(Stop { length, turns: length / self.screw.pitch.length.to_mm(), at })
    }

    /// Whether either tapers.
    pub(super) fn tapers(&self) -> bool {
        self.screw.taper(Element::External).is_some() || self.nut.taper(Element::Internal).is_some()
    }

    /// Whether flanks are parallel and pitches the same, so that flank can lie on flank over the whole length.
    pub(super) fn of_one_form(&self) -> bool {
        let alike = self.flanks().is_some_and(|f| f.nearest == Nearest::Along);
        alike && (self.screw.pitch.length - self.nut.pitch.length).abs().to_mm() < 1e-6
    }
}

/// Where a taper comes to a stop, screwed up by hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stop {
    /// Thread in engagement, mm; zero or less where it does not start.
    pub length: f64,
    /// The same in turns.
    pub turns: f64,
    pub at: Stops,
}

/// What touches there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stops {
    /// All turns: both taper alike.
    Everywhere,
    /// The first turns of the nut.
    NutMouth,
    /// The last turns of the screw.
    ScrewEnd,
}

/// How far from the end of the part the sizes of a taper thread are, mm: the middle of what the standard allows.
fn gauge_plane(thread: &Thread, element: Element) -> Option<f64> {
    // Without its classes, which would tell of one element only.
    let both = Thread { external_class: None, internal_class: None, ..thread.clone() };
    let extras = thread.family.form().extras(&both, element);
    let place = extras.iter().find(|e| e.what == ExtraKind::GaugeLength)?.range;
    Some(0.5 * (place.min? + place.max?).to_mm())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thread(designation: &str) -> Thread {
        designation.parse().unwrap_or_else(|e| panic!("{designation}: {e}"))
    }

    fn flanks(screw: &str, nut: &str) -> Flanks {
        let (screw, nut) = (thread(screw), thread(nut));
        Pair { screw: &screw, nut: &nut }.flanks().expect("common radii")
    }

    /// At the Acme groove's width at the crest of the square ridge: P/2 − 2 (P/4) tan 14.5° = 3.175 − 0.821 = 2.354 mm
    /// (ASME B1.5: h = P/2, 29°; plain trigonometry), which 3.175 mm do not enter.
    #[test]
    fn a_square_ridge_fouls_a_trapezoids_groove_at_its_crest() {
        let does = flanks("1 1/4-4 square", "1 1/4-4 ACME");
        assert!((does.along - (2.354 - 3.175)).abs() < 5e-4, "{does:?}");
        assert_eq!(does.nearest, Nearest::ScrewCrest);
        let other = flanks("1 1/4-4 ACME", "1 1/4-4 square");
        assert!((other.along - (2.354 - 3.175)).abs() < 5e-4, "{other:?}");
        assert_eq!(other.nearest, Nearest::NutCrest);
    }

    /// ISO 68-1 and ISO 2904 at 18 × 2.5: at D1 = 15.5 mm the ridge is 1.25 + (16.376 − 15.5) tan 30° = 1.756 mm wide, the
    /// groove 1.25 + (16.75 − 15.5) tan 15° = 1.585 mm.
    #[test]
    fn a_vee_ridge_is_too_wide_at_the_bore_of_a_trapezoidal_nut() {
        let does = flanks("M18x2.5", "Tr 18x2.5");
        assert!((does.along + 0.171).abs() < 2e-3 && does.nearest == Nearest::NutCrest, "{does:?}");
    }

    /// Flanks alike: room along the axis is that on the pitch diameter by tan 15°, and nothing in a pair of one thread.
    #[test]
    fn like_flanks_follow_the_pitch_diameter() {
        for own in
            ["Tr 22x5", "M10", "1/2-12 BSW", "1/2-20 UNF", "S 40x7", "Rd 40x1/6", "1 1/4-4 square", "G 1/2"]
        {
            assert!(flanks(own, own).along.abs() < 1e-6, "{own}: {:?}", flanks(own, own));
        }
        let slack = flanks("Tr 22x5", "Tr 22.1x5");
        assert!((slack.along - 0.1 * 15_f64.to_radians().tan()).abs() < 1e-6, "{slack:?}");
        assert!(slack.across.is_some_and(|d| (d - 0.1).abs() < 1e-6), "{slack:?}");
    }

    fn stop(screw: &str, nut: &str) -> Stop {
        let (screw, nut) = (thread(screw), thread(nut));
        Pair { screw: &screw, nut: &nut }.stop().expect("a taper")
    }

    /// Hand-tight engagement: 1/2-14 NPT L1 = 0.320 in, 4.48 turns (ASME B1.20.1, table 2; Machinery's Handbook, 27th ed., p.
    /// 1862); R 1/2 gauge length 8.2 mm (8.16), 4 1/2 turns of 1.814 mm (ISO 7-1, table 1). The nut Rc has its plane half a
    /// pitch behind its face, Rp and G have one size all along.
    #[test]
    fn a_taper_stops_where_its_standard_says() {
        let npt = stop("1/2-14 NPT", "1/2-14 NPT");
        assert!((npt.turns - 4.48).abs() < 0.01 && npt.at == Stops::Everywhere, "{npt:?}");
        for (nut, turns, at) in [
            ("Rp 1/2", 4.5, Stops::NutMouth),
            ("G 1/2", 4.5, Stops::NutMouth),
            ("Rc 1/2", 5.0, Stops::Everywhere),
        ] {
            let does = stop("R 1/2", nut);
            assert!((does.turns - turns).abs() < 0.02 && does.at == at, "{nut}: {does:?}");
        }
        // A parallel screw stops in the taper nut at its end, at once.
        let parallel = stop("G 1/2", "Rc 1/2");
        assert!((parallel.turns - 0.5).abs() < 0.01 && parallel.at == Stops::ScrewEnd, "{parallel:?}");
        // A size larger in a taper of 1 in 16 would start behind its end.
        assert!(stop("R 3/4", "G 1/2").length < 0.0);
    }
}
