//! The part's travel along this mate: where it runs, and where it is tightest.

use super::lead::LeadError;
use super::mate::Mate;
use super::play;
use super::travel::{Along, Lane, Part, Reach, Spot};
use flankwise_thread::{Length, Source};

/// Origin of what a bend takes.
pub(super) const BEND_SOURCE: Source = Source::derived(
    "a straight nut on a bent screw: half the run-out, as a kink at the middle (worst) or an even bow, over the nut's length",
);
/// Places that are tried for the tightest.
const TRIED: usize = 400;

/// How far a screw that runs out stands off straight over the length of a nut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bend {
    /// As an even bow from end to end.
    pub(super) bow: Length,
    /// As a kink in the middle.
    pub(super) kink: Length,
}

/// The travel.
#[derive(Clone, Debug)]
pub(super) struct Course {
    /// The mate between its readings.
    pub(super) along: Along,
    /// Room of either flank, for a part of which nothing is missing.
    pub(super) lane: Lane,
    /// Length that part and mate are engaged over.
    pub(super) engaged: Length,
    /// Bend of the mate over that length, where its run-out was read.
    pub(super) bend: Option<Bend>,
    /// Play that the bend takes.
    pub(super) bend_takes: Length,
    /// Where the part is tightest.
    pub(super) tightest: Spot,
}

impl Course {
    /// None where the mate's flanks were not read.
    pub(super) fn of(
        mate: &Mate,
        lead: LeadError,
        part: &Part,
        mate_length: Option<Length>,
        engaged: Length,
    ) -> Option<Self> {
        let along = Along::of(mate, &part.basic, lead)?;
        let (first, last) = (mate.seen.first()?.place.to_mm(), mate.seen.last()?.place.to_mm());
        let range = match mate_length {
            Some(length) => (first.min(0.0), last.max(length.to_mm())),
            None => (first, last),
        };
        let lane = Lane::of(&along, part, range);
        let bend = bend(mate, Length::mm(range.1), engaged);
        // A bend takes from the difference of the pitch diameters.
        let slope = play::slope(part.basic.flank_leading, part.basic.flank_trailing);
        let bend_takes = bend.map_or(Length::ZERO, |b| b.kink * slope);
        let reach = Reach::whole(engaged);
        let tightest = lane
            .along(&lane.beginnings(reach, TRIED), reach)
            .into_iter()
            .min_by(|a, b| a.play().to_mm().total_cmp(&b.play().to_mm()))?
            .opened(-bend_takes);
        Some(Self { along, lane, engaged, bend, bend_takes, tightest })
    }

    /// The part, of which nothing is missing, at so many places of its travel.
    pub(super) fn spots(&self, reach: Reach, most: usize) -> Vec<Spot> {
        let beginnings = self.lane.beginnings(reach, most);
        self.lane.along(&beginnings, reach).into_iter().map(|s| s.opened(-self.bend_takes)).collect()
    }
}

/// From the largest run-out: a part that turns about its ends runs out by twice what it stands off them.
fn bend(mate: &Mate, length: Length, engaged: Length) -> Option<Bend> {
    let worst = mate.run_outs.iter().map(|r| r.value).reduce(Length::max)?;
    let off = worst / 2.0;
    let share = if length > Length::ZERO { (engaged / length).min(1.0) } else { 1.0 };
    Some(Bend { bow: off * (share * share), kink: off * share })
}
