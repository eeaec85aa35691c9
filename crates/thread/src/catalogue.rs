//! Looking up listed sizes by what is known of them, and by nearness.

use crate::family::{CatalogueRow, apart, away, catalogue, nearest};
use crate::{Family, Length};

/// What is wanted of a listed size; what is `None` is left open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Family.
    pub family: Option<Family>,
    /// Nominal diameter.
    pub diameter: Option<Length>,
    /// How far the diameter may be off, either way.
    pub within: Length,
    /// Pitch.
    pub pitch: Option<Length>,
    /// How far the pitch may be off, either way, as a share of it.
    pub pitch_within: f64,
}

impl Default for Wanted {
    /// Everything, within 0.1 mm of a diameter and half a per cent of a pitch: what a calliper and a span of crests on
    /// a sound part can tell apart (a choice of this project).
    fn default() -> Self {
        Self { family: None, diameter: None, within: Length::mm(0.1), pitch: None, pitch_within: 0.005 }
    }
}

/// A listed size and how far it is from what was wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Near {
    /// The size.
    pub listed: CatalogueRow,
    /// Its diameter less the one wanted.
    pub diameter_off: Option<Length>,
    /// Its pitch less the one wanted.
    pub pitch_off: Option<Length>,
}

impl Wanted {
    fn off(&self, listed: CatalogueRow) -> Near {
        Near {
            listed,
            diameter_off: self.diameter.map(|d| listed.row.nominal - d),
            pitch_off: self.pitch.map(|p| listed.row.pitch.length - p),
        }
    }

    fn of_family(&self) -> impl Iterator<Item = CatalogueRow> {
        catalogue().iter().copied().filter(|c| self.family.is_none_or(|family| c.family == family))
    }

    /// Sizes that match, in the order of the catalogue; a size that a family lists in two series comes once for each.
    pub fn matching(&self) -> Vec<Near> {
        // Written sizes are met to a part in a million, whatever the room given.
        let fits = |near: &Near| {
            let d =
                near.diameter_off.is_none_or(|off| off.abs() <= self.within + near.listed.row.nominal * 1e-6);
            let p = near.pitch_off.zip(self.pitch);
            d && p.is_none_or(|(off, p)| off.abs() <= p * (self.pitch_within + 1e-6))
        };
        self.of_family().map(|listed| self.off(listed)).filter(fits).collect()
    }

    /// The `count` sizes nearest to what is wanted, nearest first, whether they match or not; each size once. Empty
    /// where neither diameter nor pitch is wanted.
    ///
    /// Distance is by ratio, the diameter weighing four times the pitch, as in [`Family::nearest_listed`].
    pub fn nearest(&self, count: usize) -> Vec<Near> {
        if self.diameter.is_none() && self.pitch.is_none() {
            return Vec::new();
        }
        let ratio =
            |listed: Length, wanted: Option<Length>| wanted.map_or(0.0, |wanted| apart(listed, wanted));
        let distance = |c: &CatalogueRow| {
            away(ratio(c.row.nominal, self.diameter), ratio(c.row.pitch.length, self.pitch))
        };
        let same = |a: &CatalogueRow, b: &CatalogueRow| {
            a.family == b.family && a.row.nominal == b.row.nominal && a.row.pitch == b.row.pitch
        };
        nearest(self.of_family(), count, distance, same).into_iter().map(|c| self.off(c)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(found: &[Near]) -> Vec<String> {
        found.iter().map(|n| n.listed.thread().to_string()).collect()
    }

    #[test]
    fn a_family_a_diameter_and_a_pitch_leave_one() {
        let wanted = Wanted {
            family: Some(Family::MetricTrapezoidal),
            diameter: Some(Length::mm(22.0)),
            pitch: Some(Length::mm(5.0)),
            ..Wanted::default()
        };
        assert_eq!(written(&wanted.matching()), ["Tr 22x5"]);
    }

    #[test]
    fn the_room_given_is_kept() {
        let wanted =
            Wanted { diameter: Some(Length::mm(22.2)), within: Length::mm(0.3), ..Wanted::default() };
        let found = wanted.matching();
        assert!(found.iter().all(|n| n.diameter_off.is_some_and(|off| off.abs() <= Length::mm(0.3001))));
        let names = written(&found);
        assert!(
            names.contains(&"Tr 22x5".to_owned()) && names.contains(&"7/8-6 ACME".to_owned()),
            "{names:?}"
        );
    }

    #[test]
    fn near_misses_come_across_the_families() {
        // Five threads to the inch on 22 mm: in no list.
        let wanted =
            Wanted { diameter: Some(Length::mm(22.0)), pitch: Some(Length::mm(5.08)), ..Wanted::default() };
        assert!(wanted.matching().is_empty());
        let near = wanted.nearest(5);
        assert_eq!(near.len(), 5);
        assert_eq!(near[0].listed.thread().to_string(), "Tr 22x5");
        assert!((near[0].pitch_off.expect("a pitch was wanted").to_mm() + 0.08).abs() < 1e-9);
    }

    #[test]
    fn nothing_wanted_has_no_nearest() {
        assert!(Wanted::default().nearest(3).is_empty());
        assert_eq!(Wanted::default().matching().len(), catalogue().len());
    }
}
