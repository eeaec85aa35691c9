//! Play of a part on its mate as it travels: each flank by itself, on the real profiles, lead error included.
//!
//! A nut of some length covers many turns of its screw. On the left flanks it comes to rest on the turn whose left
//! flank stands out most, on the right flanks on that of the right, and the two need not be one. With `left` and
//! `right` the room at each station between the flanks of part and mate,
//!
//! ```text
//! play = least left over the turns covered + least right over the turns covered
//! ```
//!
//! A ridge that stands off its true place by e (an error of the lead) has e more room on one flank and e less on the
//! other, so a steady error of the lead costs its amount over the length of the nut. That rooms are found at all is
//! [`mating::play`] on the two outlines; the pitch-line formula ([`super::play`]) is the check, and stands in where the
//! outlines do not clear.

use super::lead::LeadError;
use super::mate::{Mate, Read, SAME_PLACE};
use super::record::{Curve, Knot};
use flankwise_thread::profile::{Basic, Outline, mating};
use flankwise_thread::{Element, Length, Source};
use std::collections::VecDeque;

/// Origin of the play along the travel.
pub const SOURCE: Source =
    Source::derived("least axial room of either flank over the turns covered, on the outlines");
/// Most stations that a mate is divided into.
const STATIONS: f64 = 400.0;
/// An angle of a flank is taken as read, not as the form has it, beyond so many of its standard uncertainties.
const PROVED: f64 = 3.0;
/// Room, in millimetres, that crest or root take from that of the flanks before it is worth a word: rounded crests of a
/// worn thread take less (chosen here).
const MET_FIRST: f64 = 0.005;

/// The mate along its length, in millimetres.
#[derive(Clone, Debug)]
pub struct Along {
    mate: Element,
    /// The mate's form with its flanks as they are now.
    form: Basic,
    missing: Curve,
    /// Missing where it is least: what was never there.
    unworn: f64,
    /// Depth worn off the left and the right flank, where that was read.
    worn: [Option<Curve>; 2],
    major: Curve,
    minor: Curve,
    /// Error of its lead.
    pub lead: LeadError,
}

/// Values at places, of which each has one, as a curve; unplaced ones as their mean, the same everywhere.
fn curve(reads: &[Read]) -> Option<Curve> {
    let knots: Vec<Knot> = reads
        .iter()
        .filter_map(|r| Some(Knot { place: r.place?.to_mm(), value: r.value.to_mm(), u: r.u.to_mm() }))
        .collect();
    Curve::through(&knots).or_else(|| {
        let n = reads.len() as f64;
        let mean = |of: fn(&Read) -> Length| reads.iter().map(|r| of(r).to_mm()).sum::<f64>() / n;
        (!reads.is_empty()).then(|| Curve::level(mean(|r| r.value), mean(|r| r.u)))
    })
}

impl Along {
    /// The mate between its readings; none where nothing was read on its flanks.
    pub fn of(mate: &Mate, basic: &Basic, lead: LeadError) -> Option<Self> {
        let knot = |s: &super::mate::Seen| Knot {
            place: s.place.to_mm(),
            value: s.missing.to_mm(),
            u: s.u_missing.to_mm(),
        };
        let knots: Vec<Knot> = mate.seen.iter().map(knot).collect();
        let unworn = mate.tightest()?.missing.to_mm();
        let (major, minor) = match mate.element {
            Element::External => (basic.d, basic.d3),
            Element::Internal => (basic.d4_internal, basic.d1_internal),
        };
        let or =
            |read: Option<Curve>, basic: Length| read.unwrap_or_else(|| Curve::level(basic.to_mm(), 0.0));
        Some(Self {
            mate: mate.element,
            form: form(mate, basic),
            missing: Curve::through(&knots)?,
            unworn,
            worn: [curve(&mate.worn[0]), curve(&mate.worn[1])],
            major: or(curve(&mate.majors), major),
            minor: or(curve(&mate.minors), minor),
            lead,
        })
    }

    /// What is missing at a place, with its standard uncertainty.
    pub fn missing(&self, place: f64) -> (f64, f64) {
        self.missing.at(place)
    }

    /// Whether wear was read on either flank by itself.
    pub fn tells_flanks(&self) -> bool {
        self.worn.iter().any(Option::is_some)
    }

    /// How far the middle of the ridge has moved since it was cut, with the side that wore more: half of what the left
    /// flank lost beyond the right. Half and half, and so zero, where no flank was read by itself.
    /// With the standard uncertainty of what was read of it.
    fn lean(&self, place: f64) -> (f64, f64) {
        let (missing, u_missing) = self.missing.at(place);
        let worn = (missing - self.unworn).max(0.0);
        let at = |side: usize| self.worn[side].as_ref().map(|c| c.at(place));
        let (lean, u) = match (at(0), at(1)) {
            (Some((left, ul)), Some((right, ur))) => ((left - right) / 2.0, ul.hypot(ur) / 2.0),
            (Some((left, u)), None) => (left - worn / 2.0, u.hypot(u_missing / 2.0)),
            (None, Some((right, u))) => (worn / 2.0 - right, u.hypot(u_missing / 2.0)),
            (None, None) => (0.0, 0.0),
        };
        // Where nothing has worn the ridge stands where it was cut; no side lost more than all of it (GUM 4.3.7).
        let most = worn / 2.0;
        (lean.clamp(-most, most), u.min(most / 3f64.sqrt()))
    }

    /// The mate's outline at a place, its ridges where they were cut.
    fn outline(&self, place: f64) -> Outline {
        let (major, minor) = (Length::mm(self.major.at(place).0), Length::mm(self.minor.at(place).0));
        let missing = Length::mm(self.missing.at(place).0);
        let form = match self.mate {
            Element::External => Basic { d: major, d3: minor, ..self.form },
            Element::Internal => Basic { d4_internal: major, d1_internal: minor, ..self.form },
        };
        widened(form.with_widths(), self.mate, missing).outline(self.mate)
    }
}

/// The form with the flank angles that were read, where they are proved to be others; only where both flanks are alike,
/// since which of two unlike ones is the left is not known.
fn form(mate: &Mate, basic: &Basic) -> Basic {
    let (leading, following) = (basic.flank_leading.to_rad(), basic.flank_trailing.to_rad());
    if (leading - following).abs() > 1e-9 {
        return *basic;
    }
    let read = |side: usize| {
        let proved = mate.flanks[side].filter(|(angle, u)| (angle - leading).abs() > PROVED * u);
        flankwise_thread::Angle::rad(proved.map_or(leading, |(angle, _)| angle))
    };
    // The flank that faces the end places are counted from leads on a screw and follows in a nut.
    let (left, right) = (read(0), read(1));
    match mate.element {
        Element::External => Basic { flank_leading: left, flank_trailing: right, ..*basic },
        Element::Internal => Basic { flank_leading: right, flank_trailing: left, ..*basic },
    }
}

/// The form with this much missing of `element`, half from each flank.
fn widened(form: Basic, element: Element, missing: Length) -> Basic {
    match element {
        Element::External => Basic { root_width: form.root_width + missing, ..form },
        Element::Internal => Basic { root_width_internal: form.root_width_internal + missing, ..form },
    }
}

/// The part that is made, as far as it meets the mate: its crests, and nothing missing of its flanks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Nut or screw.
    pub element: Element,
    /// Its form.
    pub basic: Basic,
    /// Diameter at its crests, before threading.
    pub blank: Length,
    /// Diameter at the bottom of its groove.
    pub bottom: Length,
}

impl Part {
    /// Its outline with this much missing of its flanks.
    pub fn outline(&self, missing: Length) -> Outline {
        let form = match self.element {
            Element::Internal => Basic { d1_internal: self.blank, d4_internal: self.bottom, ..self.basic },
            Element::External => Basic { d: self.blank, d3: self.bottom, ..self.basic },
        };
        widened(form.with_widths(), self.element, missing).outline(self.element)
    }
}

/// Room between the flanks of part and mate at stations along the mate, in millimetres; nothing missing of the part.
#[derive(Clone, Debug, PartialEq)]
pub struct Lane {
    places: Vec<f64>,
    left: Vec<f64>,
    right: Vec<f64>,
    /// Standard uncertainty of both rooms together where one place sets both.
    u: Vec<f64>,
    /// What that of the ridge's lean adds to either where two places set them.
    u_lean: Vec<f64>,
    /// Where crest or root take most of the room that the flanks leave, and how much.
    pub met_first: Option<(Length, Length)>,
    /// A place where part and mate do not clear each other at crest or root, so that the room is that of the pitch line.
    pub stuck: Option<Length>,
}

/// The part at one place of its travel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spot {
    /// Where the part begins along the mate.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// Room on the mate's left flanks.
    pub left: Length,
    /// The place that sets it.
    pub left_at: Length,
    /// Room on the mate's right flanks.
    pub right: Length,
    /// The place that sets it.
    pub right_at: Length,
    /// Standard uncertainty of both together, the made part taken as exact.
    pub u: Length,
    /// Of the places that set it, the one whose reading leaves more open.
    pub open_at: Length,
    /// What the error of the mate's lead has in that.
    pub u_lead: Length,
}

impl Spot {
    /// Axial play.
    pub fn play(&self) -> Length {
        self.left + self.right
    }
    /// Its middle along the mate.
    pub fn middle(&self) -> Length {
        (self.from + self.to) / 2.0
    }
    /// With so much more room, half on each side.
    #[must_use]
    pub fn opened(self, by: Length) -> Self {
        Self { left: self.left + by / 2.0, right: self.right + by / 2.0, ..self }
    }
    /// The same by this error of the lead: the rooms counted from where part and mate are in step at the part's middle,
    /// the uncertainty with that of the lead over its length.
    #[must_use]
    pub(super) fn in_step(self, lead: &LeadError) -> Self {
        let off = Length::mm(lead.shift(self.middle().to_mm()));
        let u_lead = Length::mm(lead.open_over(self.from.to_mm(), self.to.to_mm()));
        let u = Length::mm(self.u.to_mm().hypot(u_lead.to_mm()));
        Self { left: self.left - off, right: self.right + off, u, u_lead, ..self }
    }
    /// Standard uncertainty of the play from the readings of the thread alone.
    pub(super) fn u_read(&self) -> Length {
        let (u, lead) = (self.u.to_mm(), self.u_lead.to_mm());
        Length::mm((u * u - lead * lead).max(0.0).sqrt())
    }
}

/// Where the two flanks of a part lie along it, from its beginning: all of it, or a piece for each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// Turns that bear on the mate's left flanks.
    pub left: (f64, f64),
    /// Turns that bear on its right flanks.
    pub right: (f64, f64),
}

impl Reach {
    /// A part in one piece.
    pub fn whole(length: Length) -> Self {
        let all = (0.0, length.to_mm());
        Self { left: all, right: all }
    }
    /// Two pieces of half the length, each on one flank.
    pub fn halves(length: Length) -> Self {
        let half = length.to_mm() / 2.0;
        Self { left: (0.0, half), right: (half, length.to_mm()) }
    }
    fn end(&self) -> f64 {
        self.left.1.max(self.right.1)
    }
}

impl Lane {
    /// Along a mate from one place to another, both in millimetres, for this part.
    pub fn of(along: &Along, part: &Part, (first, last): (f64, f64)) -> Self {
        let step = (part.basic.p.to_mm() / 2.0).max((last - first) / STATIONS);
        let steps = ((last - first) / step).floor().max(0.0) as usize;
        let mut places: Vec<f64> = (0..=steps).map(|i| first + step * i as f64).collect();
        let inside = |z: &f64| (first..=last).contains(z);
        places.push(last);
        places.extend(along.missing.places().chain(along.major.places()).filter(inside));
        places.sort_by(f64::total_cmp);
        places.dedup_by(|b, a| *b - *a < 1e-9);
        Self::at(along, part, places)
    }

    /// At these stations, ascending, in millimetres.
    pub fn at(along: &Along, part: &Part, places: Vec<f64>) -> Self {
        // Opened so far that part and mate clear; the rooms are those of the part as it is.
        let open = part.basic.p.to_mm() / 4.0;
        let half_pitch = part.basic.p.to_mm() / 2.0;
        let made = part.outline(Length::mm(open));
        let (mut left, mut right, mut u, mut u_lean) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        let (mut met_first, mut stuck): (Option<(f64, f64)>, Option<f64>) = (None, None);
        // Flanks at another angle touch at one end of their overlap, which is no matter of crests.
        let flanks = |of: &Basic| (of.flank_leading, of.flank_trailing);
        let alike = flanks(&along.form) == flanks(&part.basic);
        for &place in &places {
            let own = along.outline(place);
            let (missing, u_missing) = along.missing.at(place);
            let free = match along.mate {
                Element::External => {
                    mating::play(&own.moved(half_pitch), &made).map(|p| (p.leading, p.trailing))
                }
                Element::Internal => {
                    mating::play(&made.moved(half_pitch), &own).map(|p| (p.trailing, p.leading))
                }
            };
            let by_line = f64::midpoint(missing, open);
            let (on_left, on_right) = if let Some(free) = free.filter(|(l, r)| l.max(*r) < half_pitch) {
                let takes = missing + open - free.0 - free.1;
                if alike && takes > met_first.map_or(MET_FIRST, |(_, most)| most) {
                    met_first = Some((place, takes));
                }
                free
            } else {
                stuck = stuck.or(Some(place));
                (by_line, by_line)
            };
            let (lean, u_of_lean) = along.lean(place);
            let aside = lean + along.lead.shift(place);
            left.push(on_left - open / 2.0 + aside);
            right.push(on_right - open / 2.0 - aside);
            u.push(u_missing);
            u_lean.push(u_of_lean);
        }
        let met_first = met_first.map(|(at, takes)| (Length::mm(at), Length::mm(takes)));
        Self { places, left, right, u, u_lean, met_first, stuck: stuck.map(Length::mm) }
    }

    /// The first station and the last, in millimetres.
    pub(super) fn ends(&self) -> (f64, f64) {
        let ends = self.places.first().zip(self.places.last());
        ends.map_or((0.0, 0.0), |(first, last)| (*first, *last))
    }

    /// From the first station to the last.
    pub fn length(&self) -> Length {
        let (first, last) = self.ends();
        Length::mm(last - first)
    }

    /// The part with its beginning at each of these places, ascending, in millimetres.
    pub fn along(&self, from: &[f64], reach: Reach) -> Vec<Spot> {
        let left = self.least(&self.left, from, reach.left);
        let right = self.least(&self.right, from, reach.right);
        let at = |values: &[f64], place| value_at(&self.places, values, place);
        let spot = |i: usize| {
            let ((left, left_at), (right, right_at)) = (left[i], right[i]);
            Spot {
                from: Length::mm(from[i]),
                to: Length::mm(from[i] + reach.end()),
                left: Length::mm(left),
                left_at: Length::mm(left_at),
                right: Length::mm(right),
                right_at: Length::mm(right_at),
                u: Length::mm(self.u_between(left_at, right_at)),
                open_at: Length::mm(if at(&self.u, left_at) < at(&self.u, right_at) {
                    right_at
                } else {
                    left_at
                }),
                u_lead: Length::ZERO,
            }
        };
        (0..from.len()).map(spot).collect()
    }

    /// Standard uncertainty of the room on the left flanks of one place and the right flanks of another. Half of either
    /// place's own is in each flank, of one origin and so added up; how the wear is shared matters where they are two.
    fn u_between(&self, left_at: f64, right_at: f64) -> f64 {
        let both = |values: &[f64]| {
            let at = |place| value_at(&self.places, values, place);
            (at(left_at), at(right_at))
        };
        let (left, right) = both(&self.u);
        if (left_at - right_at).abs() < SAME_PLACE.to_mm() {
            return left.max(right);
        }
        let (lean_left, lean_right) = both(&self.u_lean);
        f64::midpoint(left, right).hypot(lean_left).hypot(lean_right)
    }

    /// Evenly spaced beginnings of a part of this reach that stays on the mate; one where it covers all of it.
    pub fn beginnings(&self, reach: Reach, most: usize) -> Vec<f64> {
        let (Some(first), Some(last)) = (self.places.first(), self.places.last()) else { return Vec::new() };
        let way = last - first - reach.end();
        if way <= 0.0 || most < 2 {
            return vec![*first];
        }
        (0..most).map(|i| first + way * i as f64 / (most - 1) as f64).collect()
    }

    /// The least of `values` over the turns covered, and where it is: of the stations within, and of the two ends,
    /// which lie between stations.
    fn least(&self, values: &[f64], from: &[f64], (near, far): (f64, f64)) -> Vec<(f64, f64)> {
        let n = self.places.len();
        // Stations within, of which none is followed by a smaller one.
        let mut within: VecDeque<usize> = VecDeque::new();
        let mut next = 0;
        from.iter()
            .map(|start| {
                let (lo, hi) = (start + near, start + far);
                while next < n && self.places[next] <= hi {
                    while within.back().is_some_and(|&i| values[i] >= values[next]) {
                        within.pop_back();
                    }
                    within.push_back(next);
                    next += 1;
                }
                while within.front().is_some_and(|&i| self.places[i] < lo) {
                    within.pop_front();
                }
                let inside = within.front().map(|&i| (values[i], self.places[i]));
                let ends = [lo, hi].map(|z| (value_at(&self.places, values, z), z));
                inside.into_iter().chain(ends).min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((f64::NAN, lo))
            })
            .collect()
    }
}

/// A value between stations, along a straight line; that of the last one beyond it.
fn value_at(places: &[f64], values: &[f64], place: f64) -> f64 {
    let after = places.partition_point(|z| *z < place);
    match (after.checked_sub(1), places.get(after)) {
        (Some(i), Some(z)) => values[i] + (values[after] - values[i]) * (place - places[i]) / (z - places[i]),
        (Some(i), None) => values[i],
        (None, _) => values.first().copied().unwrap_or(f64::NAN),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lane(points: &[(f64, f64, f64)]) -> Lane {
        Lane {
            places: points.iter().map(|p| p.0).collect(),
            left: points.iter().map(|p| p.1).collect(),
            right: points.iter().map(|p| p.2).collect(),
            u: vec![0.001; points.len()],
            u_lean: vec![0.003; points.len()],
            met_first: None,
            stuck: None,
        }
    }

    fn mm(v: f64) -> Length {
        Length::mm(v)
    }

    /// A nut that bridges a short worn stretch still runs on its ends.
    #[test]
    fn a_nut_runs_on_the_thickest_thread_it_covers() {
        let lane = lane(&[(0.0, 0.0, 0.0), (50.0, 0.1, 0.1), (100.0, 0.0, 0.0)]);
        let play = |from: f64, length: f64| lane.along(&[from], Reach::whole(mm(length)))[0].play().to_mm();
        assert!((play(40.0, 20.0) - 0.16).abs() < 1e-12);
        assert!((play(50.0, 10.0) - 0.16).abs() < 1e-12);
        assert_eq!(play(-10.0, 120.0), 0.0);
    }

    /// Left flank worn at one end, right flank at the other: each is met where it stands out most.
    #[test]
    fn each_flank_is_met_where_it_stands_out_most() {
        let lane = lane(&[(0.0, 0.3, 0.0), (100.0, 0.0, 0.3)]);
        let spot = lane.along(&[0.0], Reach::whole(mm(100.0)))[0];
        assert_eq!((spot.left, spot.right, spot.play()), (mm(0.0), mm(0.0), mm(0.0)));
        assert_eq!((spot.left_at, spot.right_at), (mm(100.0), mm(0.0)));
        // Half of 0.001 from either place, added up, and 0.003 twice for how the wear is shared.
        let by_hand = (0.001f64.powi(2) + 2.0 * 0.003f64.powi(2)).sqrt();
        assert!((spot.u.to_mm() - by_hand).abs() < 1e-12, "{:?}", spot.u);
        // Two pieces: the first bears on left flanks of the first half, the second on right flanks of the second.
        let halves = lane.along(&[0.0], Reach::halves(mm(100.0)))[0];
        assert!((halves.play() - mm(0.3)).abs() < Length::um(1e-6));
    }

    #[test]
    fn windows_over_many_stations_are_those_of_plain_search() {
        let points: Vec<_> = (0..300)
            .map(|i| {
                let z = f64::from(i);
                (z, (z * 0.37).sin().abs() * 0.1, (z * 0.11).cos().abs() * 0.1)
            })
            .collect();
        let lane = lane(&points);
        let from = lane.beginnings(Reach::whole(mm(31.3)), 97);
        for spot in lane.along(&from, Reach::whole(mm(31.3))) {
            let ends = [spot.from.to_mm(), spot.to.to_mm()];
            let plain = |values: &[f64]| {
                let inside = points.iter().zip(values).filter(|(p, _)| p.0 >= ends[0] && p.0 <= ends[1]);
                let at = ends.map(|z| value_at(&lane.places, values, z));
                inside.map(|(_, v)| *v).chain(at).fold(f64::INFINITY, f64::min)
            };
            assert!((spot.left.to_mm() - plain(&lane.left)).abs() < 1e-12);
            assert!((spot.right.to_mm() - plain(&lane.right)).abs() < 1e-12);
        }
    }
}
