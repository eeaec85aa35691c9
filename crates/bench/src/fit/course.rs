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
    /// Length of the mate, from end to end where the job has it, else between the places read.
    pub(super) mate_length: Length,
    /// Bend of the mate over that length, where its run-out was read.
    pub(super) bend: Option<Bend>,
    /// Play that the bend takes.
    pub(super) bend_takes: Length,
    /// Where the part is tightest.
    pub(super) tightest: Spot,
    /// Where it is loosest.
    pub(super) loosest: Spot,
}

/// Play of the part along its travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Travelled {
    /// The part as it is cut, at its aims, where it is tightest.
    pub tightest: Spot,
    /// The same where it is loosest.
    pub loosest: Spot,
    /// Least and most play of the kind of nut that is made, once it is set.
    pub play: (Length, Length),
    /// Play that a part by the book has beyond that of the part as cut: at the tight and at the loose end of its limits;
    /// none where the book gives no limits.
    pub by_book: Option<(Length, Length)>,
}

impl Travelled {
    /// Whether that play is one that the nut is set to.
    pub fn is_set(&self) -> bool {
        self.play != (self.tightest.play(), self.loosest.play())
    }
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
        let mate_length = lane.length();
        let bend = bend(mate, mate_length, engaged);
        // A bend takes from the difference of the pitch diameters.
        let slope = play::slope(part.basic.flank_leading, part.basic.flank_trailing);
        let bend_takes = bend.map_or(Length::ZERO, |b| b.kink * slope);
        let mut course = Self {
            along,
            lane,
            engaged,
            mate_length,
            bend,
            bend_takes,
            tightest: Spot::default(),
            loosest: Spot::default(),
        };
        let spots = course.spots(Reach::whole(engaged), TRIED);
        let by_play = |a: &&Spot, b: &&Spot| a.play().to_mm().total_cmp(&b.play().to_mm());
        (course.tightest, course.loosest) = (*spots.iter().min_by(by_play)?, *spots.iter().max_by(by_play)?);
        Some(course)
    }

    /// The part, of which nothing is missing, at so many places of its travel.
    pub(super) fn spots(&self, reach: Reach, most: usize) -> Vec<Spot> {
        self.lying(&self.lane.beginnings(reach, most), reach)
    }

    /// The same, whole, with its middle at each of these places, ascending, or as near as its travel comes.
    pub(super) fn about(&self, places: impl Iterator<Item = Length>) -> Vec<Spot> {
        let reach = Reach::whole(self.engaged);
        let ends = self.lane.beginnings(reach, 2);
        let (Some(first), Some(last)) = (ends.first(), ends.last()) else { return Vec::new() };
        let from: Vec<f64> = places.map(|p| (p - self.engaged / 2.0).to_mm().clamp(*first, *last)).collect();
        self.lying(&from, reach)
    }

    /// Least and most that the error of the mate's lead comes to over the length engaged, along the travel.
    pub(super) fn lead_error(&self) -> (Length, Length) {
        let lead = &self.along.lead;
        let reach = Reach::whole(self.engaged);
        let over = |from: f64| self.engaged * lead.share_over(from, from + self.engaged.to_mm());
        let errors = || self.lane.beginnings(reach, TRIED).into_iter().map(over);
        let least = errors().reduce(Length::min).unwrap_or_default();
        (least, errors().reduce(Length::max).unwrap_or_default())
    }

    /// The most that the error of the mate's lead comes to over this length, anywhere along the mate. Of a shorter mate the
    /// steady part goes on as it is, and a wave comes to its whole height.
    pub(super) fn lead_error_over(&self, length: Length) -> Length {
        let lead = &self.along.lead;
        let (first, last) = self.lane.ends();
        let way = length.to_mm();
        let over = |from: f64, to: f64| (lead.shift(to) - lead.shift(from)).abs();
        let steps = |way: f64| (0..=TRIED).map(move |i| way * i as f64 / TRIED as f64);
        let most = if last - first >= way {
            steps(last - first - way).map(|z| over(first + z, first + z + way)).fold(0.0, f64::max)
        } else {
            let steady = lead.without_wave();
            let along = steady.share_over(first, last.max(first + 1.0)).abs() * way;
            let wave = lead.wave.map_or(0.0, |w| 2.0 * w.amplitude.to_mm());
            along + wave
        };
        Length::mm(most)
    }

    /// The part, of which nothing is missing, with its beginning at each of these places, ascending, in millimetres.
    fn lying(&self, from: &[f64], reach: Reach) -> Vec<Spot> {
        let spots = self.lane.along(from, reach).into_iter();
        spots.map(|s| s.in_step(&self.along.lead).opened(-self.bend_takes)).collect()
    }
}

/// From the largest run-out: a part that turns about its ends runs out by twice what it stands off them.
fn bend(mate: &Mate, length: Length, engaged: Length) -> Option<Bend> {
    let worst = mate.run_outs.iter().map(|r| r.value).reduce(Length::max)?;
    let off = worst / 2.0;
    let share = if length > Length::ZERO { (engaged / length).min(1.0) } else { 1.0 };
    Some(Bend { bow: off * (share * share), kink: off * share })
}
