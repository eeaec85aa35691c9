//! What a cast of the thread measures, taken back to the size of the thread, and the verdicts on it.
//!
//! A cast that fills less than half of the way round has no diameters. The foot of its ridge is the nut's bore, which is
//! known: from there up, thickness and height of the ridge give the pitch diameter and the bottom.

use super::cast::Material;
use super::correct::words;
use super::judge::{Part, advice, beyond_mending, verdict};
use super::{Judged, Verdict, guard, plan};
use crate::evidence::gauge;
use crate::fit::Size;
use crate::job::{Feature, MadeFeature, ThreadCast};
use crate::report::{Fine, Value, capital};
use crate::tool::near;
use flankwise_thread::{Angle, Element, Length};

/// A length of the thread as a cast gives it, with its standard uncertainty.
#[derive(Clone, Copy)]
struct Found {
    value: Length,
    u: Length,
}

/// A length of a cast taken back to that of the thread. The change on setting is one for all lengths of a cast: what it is
/// out by adds up straight.
#[derive(Clone, Copy)]
struct TakenBack {
    value: Length,
    /// Standard uncertainty of reading it.
    own: Length,
    /// That of the change, on this length.
    by_change: Length,
}

/// Judges what every cast shows; nothing for a screw.
pub(super) fn judge(part: &Part<'_>) -> Vec<Judged> {
    if part.fit.part == Element::External {
        return Vec::new();
    }
    let of_cast = |cast: &ThreadCast| {
        let seen = Seen { cast, material: Material::of(cast), part };
        [seen.ridge(), seen.height(), seen.pitches(), seen.angle()].into_iter().flatten().collect::<Vec<_>>()
    };
    part.job.casts.iter().flat_map(of_cast).collect()
}

/// A cast, with what it is held against.
struct Seen<'a> {
    cast: &'a ThreadCast,
    material: Material,
    part: &'a Part<'a>,
}

impl Seen<'_> {
    /// A length as the thread has it.
    fn taken_back(&self, read: Length, feature: Feature) -> TakenBack {
        let own =
            self.cast.uncertainty.unwrap_or_else(|| gauge::of_cast(feature, self.cast.instrument, read));
        // The change lies anywhere within its band: GUM 4.3.7.
        let by_change = read * (self.material.within / 3f64.sqrt());
        TakenBack { value: read / (1.0 + self.material.change), own, by_change }
    }

    /// A reading that cannot be of this thread, with what can.
    fn cannot_be(&self, read: Length, from: Length, to: Length, again: &str) -> Option<String> {
        (read < from || read > to)
            .then(|| format!("this cannot be: {} to {} can; {again}", self.say(from), self.say(to)))
    }

    /// The bore on which the ridge stands: as it was measured last, else anywhere within its limits.
    fn bore(&self) -> Found {
        let fit = self.part.fit;
        let of_bore = self.part.job.made.iter().rfind(|r| r.feature == MadeFeature::MinorDiameter);
        match of_bore {
            Some(r) => Found { value: r.value, u: gauge::taken(r, fit.part, r.value) },
            None => Found { value: fit.blank.aim, u: (fit.blank.max - fit.blank.min) * (1.0 / 12f64.sqrt()) },
        }
    }

    fn depth(&self) -> Length {
        (self.part.fit.bottom.aim - self.part.fit.blank.aim) * 0.5
    }

    /// The pitch diameter by the thickness s of the ridge at the diameter D: D2 = D + (s − P/2) / tan A.
    fn ridge(&self) -> Option<Judged> {
        let read = self.cast.ridge?;
        let tan = self.mean_tan();
        let judged = |verdict, advice: String| self.judged("ridge of the cast", read, true, verdict, advice);
        let pitch = self.part.fit.thread.pitch.length;
        if let Some(why) = self.cannot_be(read, Length::ZERO, pitch, "read it again, and look at the unit") {
            return Some(judged(Verdict::CannotTell, why));
        }
        let thick = self.taken_back(read, Feature::ThreadThickness);
        // Between upright flanks the ridge is as thick as the groove is wide, at any height.
        if let Some(size) = plan::groove_width(self.part.fit) {
            let found = Found { value: thick.value, u: guard::combine(&[thick.own, thick.by_change]) };
            let (verdict, advice, spoiled) = self.held(MadeFeature::GrooveWidth, size, found);
            let advice = format!("width of the groove {}: {advice}", self.of(found.value, size));
            return Some(Judged { spoiled, ..judged(verdict, advice) });
        }
        // Where no height is given it was read at half of the ridge's own.
        let half_height = || self.cast.height.map(|height| height * 0.5);
        let Some(at) = self.cast.at.or_else(half_height) else {
            return Some(judged(
                Verdict::CannotTell,
                "say at which height above its foot it was read (at), or how high the ridge is (height): a ridge is thicker towards its foot".to_owned(),
            ));
        };
        let at = self.taken_back(at, Feature::ThreadDepth);
        let bore = self.bore();
        let value = bore.value + at.value * 2.0 + (thick.value - pitch * 0.5) / tan;
        let by_change = thick.by_change * (1.0 / tan) + at.by_change * 2.0;
        let u = guard::combine(&[thick.own * (1.0 / tan), at.own * 2.0, by_change, bore.u]);
        let size = self.part.fit.pitch_diameter;
        let (verdict, advice, spoiled) = self.held(MadeFeature::OverWires, size, Found { value, u });
        let advice = format!("pitch diameter {}: {advice}", self.of(value, size));
        Some(Judged { spoiled, ..judged(verdict, advice) })
    }

    /// The bottom by the height of the ridge.
    fn height(&self) -> Option<Judged> {
        let read = self.cast.height?;
        if let Some(why) =
            self.cannot_be(read, Length::ZERO, self.depth() * 2.0, "read it again, and look at the unit")
        {
            return Some(self.judged("height of the cast's ridge", read, false, Verdict::CannotTell, why));
        }
        let (height, bore) = (self.taken_back(read, Feature::ThreadDepth), self.bore());
        let u = guard::combine(&[height.own * 2.0, height.by_change * 2.0, bore.u]);
        let found = Found { value: bore.value + height.value * 2.0, u };
        let size = self.part.fit.bottom;
        let (verdict, advice, spoiled) = self.held(MadeFeature::MajorDiameter, size, found);
        let advice = format!("bottom {}: {advice}", self.of(found.value, size));
        let judged = self.judged("height of the cast's ridge", read, false, verdict, advice);
        Some(Judged { spoiled, ..judged })
    }

    fn pitches(&self) -> Option<Judged> {
        let (read, count) = (self.cast.pitches?, self.cast.count?);
        let what = format!("{count} pitches of the cast");
        let pitch = self.part.fit.thread.pitch.length;
        let (aim, reach) = (pitch * f64::from(count), pitch * 0.5);
        let again = format!("that is about {:.0} pitches: count them again", read / pitch);
        if let Some(why) = self.cannot_be(read, aim - reach, aim + reach, &again) {
            return Some(self.judged(&what, read, false, Verdict::CannotTell, why));
        }
        let back = self.taken_back(read, Feature::Pitch);
        let found = Found { value: back.value, u: guard::combine(&[back.own, back.by_change]) };
        let (verdict, advice, spoiled) =
            self.held(MadeFeature::Pitch, plan::pitch_limits(self.part.fit, count), found);
        Some(Judged { spoiled, ..self.judged(&what, read, false, verdict, advice) })
    }

    /// The angle between the flanks, which no change of size touches. It may be out by as much as that of a tool that is
    /// near enough.
    fn angle(&self) -> Option<Judged> {
        let read = self.cast.angle?;
        let (fit, groove) = (self.part.fit, plan::groove(self.part.fit));
        let aim = groove.flank_leading + groove.flank_trailing;
        let for_a_degree = near::gap_for_a_degree(fit, &fit.thread.basic());
        let allowed = Angle::deg(near::gap_allowed(self.part.job.make.duty) / for_a_degree);
        let u = gauge::of_cast_angle(self.cast.instrument, read);
        let guard = u * guard::GUARD_FACTOR;
        let verdict = verdict(read, aim - allowed, aim + allowed, guard);
        let degrees = |angle: Angle| format!("{:.1}°", angle.to_deg());
        let off = (read - aim).abs();
        let gap = for_a_degree * off.to_deg();
        let advice = match verdict {
            Verdict::Pass => "within the limits, the gauge's uncertainty allowed for".to_owned(),
            Verdict::CannotTell => format!(
                "off by {}, too near the limit of {} to tell (guard band {}): look at the flank under a microscope or in a picture",
                degrees(off),
                degrees(allowed),
                degrees(guard)
            ),
            Verdict::Fail => format!(
                "off by {}: the mate bears at one end of the flank and stands off by {} at the other. Look at the tool's angle and how it was set, and cut the flanks again with one of {} if the pitch diameter leaves metal for it; else it wears fast",
                degrees(off),
                self.say(gap),
                degrees(aim)
            ),
        };
        Some(Judged {
            read: Value::Angle(read, 1),
            ..self.judged("flanks of the cast", Length::ZERO, false, verdict, advice)
        })
    }

    /// Tangent of the flanks, their mean.
    fn mean_tan(&self) -> f64 {
        self.part.fit.slope()
    }

    /// Verdict and advice, and whether no cut mends it.
    fn held(&self, feature: MadeFeature, size: Size, found: Found) -> (Verdict, String, bool) {
        let m = plan::measure(feature, String::new(), None, size, found.u);
        let verdict = verdict(found.value, m.min, m.max, m.guard);
        let spoiled = verdict == Verdict::Fail && beyond_mending(found.value, &m, self.part.fit);
        (verdict, advice(verdict, found.value, &m, self.part), spoiled)
    }

    fn judged(&self, what: &str, read: Length, of_flanks: bool, verdict: Verdict, advice: String) -> Judged {
        Judged {
            what: what.to_owned(),
            wire: None,
            read: Value::Length(read, Fine::Gauge),
            limits: Value::None,
            of_flanks,
            verdict,
            on_the_way: false,
            spoiled: false,
            advice: capital(&format!("{advice}.")),
        }
    }

    /// A size that follows from what was read, with its limits.
    fn of(&self, value: Length, size: Size) -> String {
        format!("{}, limits {} to {}", self.say(value), self.say(size.min), self.say(size.max))
    }

    fn say(&self, length: Length) -> String {
        words(length, self.part.job.unit)
    }
}
