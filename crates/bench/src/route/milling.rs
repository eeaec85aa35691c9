//! Thread milling, of a nut from within and of a screw from without: whether the cutter enters and reaches, what its disc
//! does to the flanks, and the path. A ring of cutters that whirls round the work is not reckoned.
//!
//! A disc that stands parallel to the axis and travels along the helix cuts a wider groove than its own section: its
//! neighbouring points pass the same place of the flank a little before and after, shifted along the axis by their
//! share of the lead. The nearer the cutter's diameter to the thread's and the steeper the lead, the wider. Outside, a
//! cutter set over to the lead angle follows the helix at the pitch line, and only what crest and root differ is left.

use super::time::{self, Item, Phase};
use crate::fit::Fit;
use crate::job::Mill;
use crate::material::{Group, Material};
use crate::report::Text;
use flankwise_thread::{Element, Length, Source};
use std::f64::consts::PI;

/// The disc at its place in the groove.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disc {
    /// Radius of the cutter over its teeth.
    pub radius: Length,
    /// From the axis of the thread to that of the cutter, at full depth.
    pub offset: Length,
    /// Lead of the thread.
    pub lead: Length,
    /// Tangent of the flank angle, of two unlike ones that of the steeper flank, which loses more.
    pub tan_flank: f64,
    /// Radius of the thread whose lead angle it is set over to; none where it stands parallel to the axis.
    pub set_over: Option<Length>,
}

/// Origin of [`Disc::overcut`].
pub const OVERCUT: Source = Source::derived(
    "envelope of the disc on its helix: greatest of lead φ / 2π less the narrowing of the disc at φ",
);
/// Origin of the feed; outside, the cutter's centre runs on the larger circle.
pub const FEED: Source = Source::formula(
    "Yamawa catalogue 2022-2023, p. 1228: helical thread mills",
    "Vf = fz Z n (D - Dc) / D at the centre of the cutter, inside; outside D + Dc by the same reckoning",
);

impl Disc {
    /// A cutter of diameter `cutter` in the groove of `fit`; `set_over` to its lead angle, which a bore has no room for.
    pub fn in_groove(fit: &Fit, cutter: Length, set_over: bool) -> Self {
        let outside = fit.part == Element::External;
        let basic = fit.thread.basic();
        let twice = if outside { fit.bottom.aim + cutter } else { fit.bottom.aim - cutter };
        Self {
            radius: cutter / 2.0,
            offset: twice / 2.0,
            lead: fit.thread.lead(),
            tan_flank: basic.flank_leading.tan().min(basic.flank_trailing.tan()),
            set_over: (outside && set_over).then_some(fit.pitch_diameter.aim / 2.0),
        }
    }

    /// What each flank loses beyond the cutter's own section, along the axis, at the radius `at` of the thread.
    ///
    /// The point of the flank at work angle φ from the line of centres lies at the distance
    /// ρ(φ) = √(R² + e² − 2 R e cos φ) from the cutter's axis, as long as that is within the cutter. There the disc
    /// is narrower by (ρ(φ) − ρ(0)) tan A, and has moved Ph φ / 2π along the axis, less what it leans there:
    /// R sin φ · Ph / (2π R0) where it is set over at R0, to the second order of the lead angle.
    pub fn overcut(&self, at: Length) -> Length {
        let (big, e, r) = (at.to_mm(), self.offset.to_mm(), self.radius.to_mm());
        let per_radian = self.lead.to_mm() / (2.0 * PI);
        let leans = self.set_over.map_or(0.0, |pitch_line| big / pitch_line.to_mm());
        if e <= 0.0 || (big - e).abs() >= r {
            return Length::ZERO;
        }
        let rho = |phi: f64| (big * big + e * e - 2.0 * big * e * phi.cos()).sqrt();
        let moved = |phi: f64| per_radian * (phi - leans * phi.sin()).abs();
        let gain = |phi: f64| moved(phi) - self.tan_flank * (rho(phi) - (big - e).abs());
        let last = ((big * big + e * e - r * r) / (2.0 * big * e)).clamp(-1.0, 1.0).acos();
        let tried = (0..=TRIED).map(|i| gain(last * f64::from(i) / f64::from(TRIED)));
        Length::mm(tried.fold(0.0, f64::max))
    }

    /// How far the flank cut departs from a straight one, between the blank's surface and just short of the bottom:
    /// what a thinner cutter cannot mend.
    pub fn flank_error(&self, fit: &Fit) -> Length {
        let (from, to) = (fit.blank.aim / 2.0, fit.bottom.aim / 2.0);
        let at = |i: u32| self.overcut(from + (to - from) * (f64::from(i) / 20.0));
        // The last tenth of the depth is the corner at the bottom, which the mate's crest does not reach.
        let (lo, hi) = (0..=18).map(at).fold((at(0), at(0)), |(lo, hi), v| (lo.min(v), hi.max(v)));
        hi - lo
    }
}

/// Points of the disc that are tried for the one that cuts deepest; between them it is off by nanometres.
const TRIED: u32 = 200;
/// A flank may depart from its straight line by this: half of what is thought as good as fitted. Chosen here.
const MOST_ERROR: Length = Length::mm(0.025);
/// Room for a cutter to enter, on the diameter. Common practice, no source.
const ENTERS: Length = Length::mm(0.5);
/// Disc cutters larger than this are not put on a small mill. Common practice, no source.
const LARGEST: Length = Length::mm(125.0);
/// Room between neck and work, on the radius. Common practice, no source.
const NECK_CLEAR: Length = Length::mm(0.1);
/// Feed on a tooth, mm. Common practice, no source.
const TOOTH_FEED: f64 = 0.05;
/// Carbide runs two to three times as fast as high-speed steel.
const CARBIDE: f64 = 2.0;

/// A disc on an arbor takes the full depth in one pass, and another finishes it. Common practice, no source.
const DISC_PASSES: u32 = 2;

/// Radial depth of a pass with a slender single-form cutter. Common practice, no source.
const fn step(group: Group) -> Length {
    match group {
        Group::Bronze | Group::Brass | Group::CastIron | Group::Plastic => Length::mm(0.5),
        Group::Steel => Length::mm(0.25),
        Group::Stainless => Length::mm(0.2),
    }
}

/// The work of the mill on one thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Milling {
    /// The cutter at full depth.
    pub disc: Disc,
    /// What each flank loses at the pitch diameter: the cutter has to be so much thinner on each side.
    pub overcut: Length,
    /// What stays of it as a departure from straight.
    pub flank_error: Length,
    /// Thickest neck that clears the work at full depth.
    pub neck: Length,
    /// Largest cutter whose flanks would be straight enough; none where any of a size in use would do.
    pub largest: Option<Length>,
    /// Radial passes, the last repeated.
    pub passes: u32,
    /// Spindle speed, rev/min.
    pub rpm: f64,
    /// Feed at the centre of the cutter, mm a minute.
    pub feed_mm_per_min: f64,
    /// Minutes in the cut, one piece.
    pub minutes: f64,
}

/// Plans the path.
pub fn plan(fit: &Fit, mill: &Mill, material: &Material) -> Milling {
    let disc = Disc::in_groove(fit, mill.cutter, mill.set_over);
    let cutter = mill.cutter.to_mm();
    let surface = material.turning_m_per_min.0 * CARBIDE;
    let wanted = surface * 1000.0 / (PI * cutter);
    let rpm = mill.rpm.map_or(wanted, |most| wanted.min(most));
    let offset = disc.offset.to_mm().max(0.0);
    let feed = TOOTH_FEED * f64::from(mill.teeth) * rpm * 2.0 * offset / fit.bottom.aim.to_mm();
    let passes = match fit.part {
        Element::Internal => (fit.depth / step(material.group)).ceil() as u32 + 1,
        Element::External => DISC_PASSES,
    };
    let turns = fit.length / fit.thread.lead() + 1.0;
    let path = 2.0 * PI * offset * turns * f64::from(passes) * f64::from(fit.thread.starts);
    Milling {
        overcut: disc.overcut(fit.pitch_diameter.aim / 2.0),
        flank_error: disc.flank_error(fit),
        neck: (fit.blank.aim - disc.offset * 2.0).abs() - NECK_CLEAR * 2.0,
        largest: largest(fit, mill.set_over),
        disc,
        passes,
        rpm,
        feed_mm_per_min: feed,
        minutes: if feed > 0.0 { path / feed } else { 0.0 },
    }
}

/// Largest cutter that keeps the flanks straight enough; the error grows with the diameter.
fn largest(fit: &Fit, set_over: bool) -> Option<Length> {
    let straight = |cutter| Disc::in_groove(fit, cutter, set_over).flank_error(fit) <= MOST_ERROR;
    let most = match fit.part {
        Element::Internal => fit.blank.aim - ENTERS,
        Element::External => LARGEST,
    };
    let (mut lo, mut hi) = (Length::ZERO, most);
    if straight(hi) {
        return (fit.part == Element::Internal).then_some(most);
    }
    for _ in 0..40 {
        let mid = (lo + hi) / 2.0;
        if straight(mid) { lo = mid } else { hi = mid }
    }
    Some(lo)
}

impl Milling {
    /// Why it cannot be milled so, with what would make it possible.
    pub(super) fn refused(&self, fit: &Fit, mill: &Mill) -> Option<Text> {
        let inside = fit.part == Element::Internal;
        if mill.neck.is_some_and(|neck| neck > self.neck) {
            return Some(
                Text::from("The neck of the cutter touches the ")
                    .s(if inside { "bore" } else { "screw" })
                    .s(" before the thread is deep enough: ")
                    .len(self.neck.max(Length::ZERO))
                    .s(" or less would clear."),
            );
        }
        if let Some(why) = short_reach(fit, mill) {
            return Some(why);
        }
        (self.flank_error > MOST_ERROR).then(|| {
            Text::from("A disc of ")
                .len(mill.cutter)
                .s(" leaves the flanks of this lead curved by ")
                .len(self.flank_error)
                .s(": a cutter of ")
                .len(self.largest.unwrap_or(mill.cutter))
                .s(" or less, ")
                .s(if inside || mill.set_over {
                    ""
                } else {
                    "one set over to the lead angle (mill.set_over = true), "
                })
                .s("or one ground to the corrected form, would make it possible.")
        })
    }

    /// The cutting as an item of work.
    pub(super) fn item(&self, pieces: f64) -> Item {
        Item {
            what: format!("{} passes along the helix", self.passes),
            source: FEED,
            ..time::each("", self.minutes / 60.0, Phase::Thread, pieces)
        }
    }
}

/// Why the cutter does not go into the bore of a nut; there is then no path to plan.
pub(super) fn enters_not(fit: &Fit, mill: &Mill) -> Option<Text> {
    let largest = fit.blank.aim - ENTERS;
    (fit.part == Element::Internal && mill.cutter > largest).then(|| {
        Text::from("The cutter of ")
            .len(mill.cutter)
            .s(" does not enter the bore of ")
            .len(fit.blank.aim)
            .s(": one of ")
            .len(largest)
            .s(" or less would.")
    })
}

/// Why the cutter does not come to the end of the thread. A nut, and a screw that stands still, are cut along the neck; a
/// screw that the machine turns lies beside the cutter, however long it is.
fn short_reach(fit: &Fit, mill: &Mill) -> Option<Text> {
    let inside = fit.part == Element::Internal;
    if !inside && mill.rotary {
        return None;
    }
    let way_out = if inside {
        "a longer neck would make it possible"
    } else {
        "a longer neck, or a machine that turns the screw (mill.rotary = true), would make it possible"
    };
    match mill.reach {
        Some(reach) if reach < fit.length => Some(
            Text::from("The cutter reaches ")
                .len(reach)
                .s(" deep and the thread is ")
                .len(fit.length)
                .s(format!(" long: {way_out}.")),
        ),
        None if !inside => Some(Text::from(
            "How far the cutter reaches along the screw is not known: mill.reach, or mill.rotary = true where the machine turns the screw, would settle it.",
        )),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn disc(cutter: f64, major: f64, lead: f64, tan_flank: f64) -> Disc {
        Disc {
            radius: Length::mm(cutter / 2.0),
            offset: Length::mm((major - cutter) / 2.0),
            lead: Length::mm(lead),
            tan_flank,
            set_over: None,
        }
    }

    /// For small angles the greatest gain is (Ph/2π)² (R − e) / (2 tan A e R).
    #[test]
    fn agrees_with_the_expansion_for_small_angles() {
        let d = disc(10.0, 40.0, 1.0, 30f64.to_radians().tan());
        let (big, e) = (19.5, 15.0);
        let small = (1.0 / (2.0 * PI)).powi(2) * (big - e) / (2.0 * d.tan_flank * e * big);
        let got = d.overcut(Length::mm(big)).to_mm();
        assert!((got / small - 1.0).abs() < 0.01, "{got} against {small}");
    }

    /// The exact envelope, by brute force over the disc's points.
    #[test]
    fn no_point_of_the_disc_cuts_deeper_than_said() {
        for (cutter, lead, tan) in [(14.0, 5.0, 15f64.to_radians().tan()), (8.0, 5.0, 0.0), (9.0, 1.5, 0.577)]
        {
            let d = disc(cutter, 22.5, lead, tan);
            let (e, big) = (d.offset.to_mm(), 9.9);
            let most = (0..20_000)
                .map(|i| f64::from(i) * PI / 20_000.0)
                .map(|phi| (phi, (big * big + e * e - 2.0 * big * e * phi.cos()).sqrt()))
                .filter(|(_, rho)| *rho <= cutter / 2.0)
                .map(|(phi, rho)| lead * phi / (2.0 * PI) - tan * (rho - (big - e)))
                .fold(0.0, f64::max);
            let said = d.overcut(Length::mm(big)).to_mm();
            assert!((said - most).abs() < 1e-3, "{cutter}: {said} against {most}");
        }
    }

    fn outside(cutter: f64, root: f64, lead: f64, tan: f64) -> Disc {
        Disc { offset: Length::mm((root + cutter) / 2.0), ..disc(cutter, root, lead, tan) }
    }

    /// A disc whose plane holds the helix's tangent parts from it by the third power of the angle only: at the radius it is
    /// set over to it cuts its own section to a micrometre, and elsewhere the share (R - R0) / R0 of the lead squared.
    #[test]
    fn set_over_to_the_lead_it_cuts_its_own_section() {
        let (lead, tan, pitch_line) = (5.0, 15f64.to_radians().tan(), 9.75);
        let upright = outside(60.0, 16.5, lead, tan);
        let leaning = Disc { set_over: Some(Length::mm(pitch_line)), ..upright };
        assert!(upright.overcut(Length::mm(pitch_line)) > Length::um(50.0));
        assert!(leaning.overcut(Length::mm(pitch_line)) < Length::um(1.0));
        let at_the_crest = leaning.overcut(Length::mm(11.0)) / upright.overcut(Length::mm(11.0));
        let share = (11.0_f64 / pitch_line - 1.0).powi(2);
        assert!((at_the_crest / share - 1.0).abs() < 0.2, "{at_the_crest} against {share}");
    }

    /// Outside, the cutter turns its back to the thread and less of its rim lies in the groove: less overcut than inside
    /// (Bakondi, Periodica Polytechnica 1970), held against the same brute force.
    #[test]
    fn outside_the_same_cutter_overcuts_less() {
        let (root, lead, tan) = (16.5, 5.0, 15f64.to_radians().tan());
        let (cutter, big) = (14.0, 9.75);
        let d = outside(cutter, root, lead, tan);
        let e = d.offset.to_mm();
        let most = (0..200_000)
            .map(|i| f64::from(i) * PI / 200_000.0)
            .map(|phi| (phi, (big * big + e * e - 2.0 * big * e * phi.cos()).sqrt()))
            .filter(|(_, rho)| *rho <= cutter / 2.0)
            .map(|(phi, rho)| lead * phi / (2.0 * PI) - tan * (rho - (e - big)))
            .fold(0.0, f64::max);
        let said = d.overcut(Length::mm(big)).to_mm();
        assert!(said > 0.0 && (said - most).abs() < 1e-4, "{said} against {most}");
        assert!(said < disc(cutter, 22.5, lead, tan).overcut(Length::mm(big)).to_mm());
    }

    /// Published: distortion of the profile grows with the diameter of the cutter, more inside than outside (Bakondi,
    /// Periodica Polytechnica 1970), and with the ratio of cutter to thread (Analytical derivation of thread profile
    /// in internal thread milling, 2021).
    #[test]
    fn a_larger_cutter_or_a_steeper_lead_overcuts_more() {
        let at = Length::mm(10.0);
        let tan = 15f64.to_radians().tan();
        let grows = |list: [Disc; 4]| list.map(|d| d.overcut(at)).is_sorted();
        assert!(grows([6.0, 9.0, 12.0, 15.0].map(|c| disc(c, 22.5, 5.0, tan))));
        assert!(grows([1.0, 2.0, 5.0, 10.0].map(|p| disc(10.0, 22.5, p, tan))));
        assert_eq!(disc(10.0, 22.5, 5.0, tan).overcut(Length::mm(11.25)), Length::ZERO);
    }
}
