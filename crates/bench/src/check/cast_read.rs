//! What a cast of the thread measures, taken back to the size of the thread, and the verdicts on it.
//!
//! A cast that fills less than half of the way round has no diameters. The foot of its ridge is the nut's bore, which is
//! known: from there up, thickness and height of the ridge give the pitch diameter and the bottom.

use super::cast::Material;
use super::correct::words;
use super::judge::{Part, advice, verdict};
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
    fn taken_back(&self, read: Length, feature: Feature) -> Found {
        let own =
            self.cast.uncertainty.unwrap_or_else(|| gauge::of_cast(feature, self.cast.instrument, read));
        // The change lies anywhere within its band: GUM 4.3.7.
        let by_change = read * (self.material.within / 3f64.sqrt());
        Found { value: read / (1.0 + self.material.change), u: guard::combine(&[own, by_change]) }
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
        if tan <= 1e-9 {
            return Some(judged(
                Verdict::CannotTell,
                "upright flanks tell no pitch diameter: prove the thread by its play".to_owned(),
            ));
        }
        let thick = self.taken_back(read, Feature::ThreadThickness);
        let at = match self.cast.at {
            Some(at) => self.taken_back(at, Feature::ThreadDepth),
            None => Found { value: self.depth() * 0.5, u: thick.u },
        };
        let bore = self.bore();
        let half_pitch = self.part.fit.thread.pitch.length * 0.5;
        let value = bore.value + at.value * 2.0 + (thick.value - half_pitch) / tan;
        let u = guard::combine(&[thick.u * (1.0 / tan), at.u * 2.0, bore.u]);
        let size = self.part.fit.pitch_diameter;
        let (verdict, advice) = self.held(MadeFeature::OverWires, size, Found { value, u });
        Some(judged(verdict, format!("pitch diameter {}: {advice}", self.of(value, size))))
    }

    /// The bottom by the height of the ridge.
    fn height(&self) -> Option<Judged> {
        let read = self.cast.height?;
        let (height, bore) = (self.taken_back(read, Feature::ThreadDepth), self.bore());
        let found =
            Found { value: bore.value + height.value * 2.0, u: guard::combine(&[height.u * 2.0, bore.u]) };
        let size = self.part.fit.bottom;
        let (verdict, advice) = self.held(MadeFeature::MajorDiameter, size, found);
        let advice = format!("bottom {}: {advice}", self.of(found.value, size));
        Some(self.judged("height of the cast's ridge", read, false, verdict, advice))
    }

    fn pitches(&self) -> Option<Judged> {
        let (read, count) = (self.cast.pitches?, self.cast.count?);
        let found = self.taken_back(read, Feature::Pitch);
        let (verdict, advice) =
            self.held(MadeFeature::Pitch, plan::pitch_limits(self.part.fit, count), found);
        Some(self.judged(&format!("{count} pitches of the cast"), read, false, verdict, advice))
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
        plan::slope(self.part.fit)
    }

    fn held(&self, feature: MadeFeature, size: Size, found: Found) -> (Verdict, String) {
        let m = plan::measure(feature, String::new(), None, size, found.u);
        let verdict = verdict(found.value, m.min, m.max, m.guard);
        (verdict, advice(verdict, found.value, &m, self.part))
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
