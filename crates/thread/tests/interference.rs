//! A screw at maximum material never interferes with a nut at maximum material, anywhere on the profile.
//!
//! Every family, every listed size and variant, every pair of classes, one to five starts; then random sizes off the
//! series. Fillets and rounded crests are part of the outlines. The gap is found in closed form
//! ([`mating::gap`]), so there is no resolution below which an interference could hide: what counts as a touch is
//! 1e-9 mm, the arithmetic's. A last test holds that closed form against plain sampling.
//!
//! Checked as the two stand, centred, and moved along the axis until something touches: on either side that must be
//! the flanks.

mod threads;

use flankwise_thread::profile::material::{self, AtLimit, Pair};
use flankwise_thread::profile::mating::{self, Gap, Play};
use flankwise_thread::profile::{Outline, Point, Segment, Sizes};
use flankwise_thread::{Element, Family, Hand, Length, Thread, Unit, catalogue};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::fmt;
use threads::any_thread;

/// A pair of classes whose screw and nut at maximum material do not clear each other, and why. Empty lists are those of
/// a family without classes.
struct Known {
    family: Family,
    external: &'static [&'static str],
    internal: &'static [&'static str],
    why: Why,
}

/// Reasons for which screw and nut at maximum material may be in each other's way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Why {
    /// No allowance: the basic profiles touch along the flanks and where the arc of the screw's root ends, just at the
    /// nut's minor diameter. Rounding the limits to their last place then puts the nut's corner a few nanometres into
    /// that arc, or lets it touch the arc just before the flanks do. Proved for each by the basic profiles, which clear,
    /// and by taking half a last place (a whole one along the axis) off each diameter, which clears too.
    TouchAtTheRootArc,
    /// A taper screw is to jam in its nut: a parallel nut that is small within its tolerance meets the screw before the
    /// gauge plane, by up to 1 1/2 turns (ISO 7-1).
    TaperWedges,
}

const KNOWN: &[Known] = &[
    Known {
        family: Family::MetricIso,
        external: &["3h4h", "4h", "5h4h", "5h6h", "6h", "7h6h", "8h", "9h8h"],
        internal: &["4H", "4H5H", "5H", "5H6H", "6H", "7H", "8H"],
        why: Why::TouchAtTheRootArc,
    },
    Known {
        family: Family::MetricMj,
        external: &["4h6h", "6h"],
        internal: &["4H5H", "4H6H", "5H", "6H"],
        why: Why::TouchAtTheRootArc,
    },
    // GOST 10177, without the axial play of DIN 513: the root's arc leaves the 3° flank just at the nut's bore.
    Known { family: Family::MetricButtress, external: &[], internal: &[], why: Why::TouchAtTheRootArc },
    Known {
        family: Family::Unified,
        external: &["3A"],
        internal: &["1B", "2B", "3B"],
        why: Why::TouchAtTheRootArc,
    },
    Known {
        family: Family::UnifiedJ,
        external: &["3A"],
        internal: &["2B", "3B"],
        why: Why::TouchAtTheRootArc,
    },
    Known { family: Family::PipeTaper, external: &["R"], internal: &["Rp"], why: Why::TaperWedges },
];

fn known(thread: &Thread, external: &Part, internal: &Part) -> Option<Why> {
    let lists = |classes: &[&str], part: &Part| match part.class.as_deref() {
        Some(class) => classes.contains(&class),
        None => classes.is_empty(),
    };
    KNOWN
        .iter()
        .find(|known| {
            known.family == thread.family
                && lists(known.external, external)
                && lists(known.internal, internal)
        })
        .map(|known| known.why)
}

/// An element of a thread in one class, at maximum material.
#[derive(PartialEq)]
struct Part {
    class: Option<String>,
    element: Element,
    most: AtLimit,
}

fn named(thread: &Thread, element: Element, class: Option<&str>) -> Thread {
    let class = class.map(str::to_owned);
    match element {
        Element::External => Thread { external_class: class, internal_class: None, ..thread.clone() },
        Element::Internal => Thread { external_class: None, internal_class: class, ..thread.clone() },
    }
}

fn of(pair: Pair, element: Element) -> AtLimit {
    match element {
        Element::External => pair.external.expect("a screw"),
        Element::Internal => pair.internal.expect("a nut"),
    }
}

impl Part {
    fn new(thread: &Thread, element: Element, class: Option<&str>) -> Self {
        let pair = material::maximum(&named(thread, element, class)).unwrap_or_else(|e| panic!("{e}"));
        Self { class: class.map(str::to_owned), element, most: of(pair, element) }
    }

    /// All classes of an element.
    fn all(thread: &Thread, element: Element) -> Vec<Self> {
        let classes = thread.family.form().classes(element);
        if classes.is_empty() {
            return vec![Self::new(thread, element, None)];
        }
        classes.iter().map(|class| Self::new(thread, element, Some(class))).collect()
    }

    /// With this much less metal on every diameter.
    fn relieved(&self, thread: &Thread, by: Length) -> Outline {
        let by = if self.element == Element::External { -by } else { by };
        let Sizes { major, pitch, minor, .. } = self.most.sizes;
        let sizes = Sizes { major: major + by, pitch: pitch + by, minor: minor + by, ..self.most.sizes };
        thread.family.form().outline_at(thread, self.element, &sizes)
    }
}

/// The screw's outline as it stands in a nut: moved by half a pitch, its ridge in the nut's groove.
fn entered(thread: &Thread, screw: &Outline) -> Outline {
    screw.moved(thread.pitch.length.to_mm() / 2.0)
}

/// What is wrong with a pair.
enum Trouble {
    Interferes(Gap),
    /// Moved along the axis, something other than the flanks touches first.
    TouchesBeforeTheFlanks {
        play: Play,
        flanks: Play,
    },
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Interferes(Gap { radial, at }) => {
                write!(f, "metal in metal by {:.3e} mm at z {:.6}, r {:.6}", -radial, at.z, at.r)
            }
            Self::TouchesBeforeTheFlanks { play, flanks } => {
                write!(f, "something touches after {play:?}, the flanks would after {flanks:?}")
            }
        }
    }
}

fn trouble(thread: &Thread, external: &Part, internal: &Part) -> Option<Trouble> {
    let clearance = internal.most.sizes.pitch - external.most.sizes.pitch;
    judge(thread, &external.most.outline, &internal.most.outline, clearance)
}

/// What is wrong with a screw in a nut whose pitch diameters leave `clearance`: as the two stand, and moved either way
/// until the flanks touch.
fn judge(thread: &Thread, screw: &Outline, nut: &Outline, clearance: Length) -> Option<Trouble> {
    let screw = entered(thread, screw);
    let gap = mating::gap(&screw, nut);
    if gap.interferes() {
        return Some(Trouble::Interferes(gap));
    }
    let basic = thread.basic();
    let clearance = clearance.to_mm() / 2.0;
    let flanks = Play {
        leading: clearance * basic.flank_leading.tan(),
        trailing: clearance * basic.flank_trailing.tan(),
    };
    let early = [-flanks.leading, flanks.trailing].map(|dz| mating::gap(&screw.moved(dz), nut).interferes());
    (early != [false; 2]).then(|| Trouble::TouchesBeforeTheFlanks {
        play: mating::play(&screw, nut).expect("they clear"),
        flanks,
    })
}

/// Whether the reason holds for this pair.
fn explained(why: Why, thread: &Thread, external: &Part, internal: &Part, trouble: &Trouble) -> bool {
    match why {
        Why::TaperWedges => {
            let taper = thread.family.form().taper().expect("a taper thread");
            let most = thread.pitch.length.to_mm() * 1.5 * taper.per_length / 2.0;
            // Limits are rounded to 0.001 mm on the diameter.
            matches!(trouble, Trouble::Interferes(Gap { radial, .. }) if -radial <= most + 0.0005)
        }
        Why::TouchAtTheRootArc => {
            let half_a_place = match thread.family.form().written() {
                Unit::Mm => Length::um(0.5),
                Unit::Inch => Length::inch(0.000_05),
            };
            let basic_screw = entered(thread, &thread.outline(Element::External));
            let relieved = |by| (external.relieved(thread, by), internal.relieved(thread, by));
            !mating::gap(&basic_screw, &thread.outline(Element::Internal)).interferes()
                && match trouble {
                    Trouble::Interferes(_) => {
                        let (screw, nut) = relieved(half_a_place);
                        !mating::gap(&entered(thread, &screw), &nut).interferes()
                    }
                    // Half a place of each of the four diameters that flanks, arc and corner rest on.
                    Trouble::TouchesBeforeTheFlanks { .. } => {
                        let place = half_a_place * 2.0;
                        let (screw, nut) = relieved(place);
                        let clearance = internal.most.sizes.pitch - external.most.sizes.pitch + place * 2.0;
                        judge(thread, &screw, &nut, clearance).is_none()
                    }
                }
        }
    }
}

/// Screws and nuts of a thread in all classes.
fn parts(thread: &Thread) -> [Vec<Part>; 2] {
    [Element::External, Element::Internal].map(|element| Part::all(thread, element))
}

/// Counts and complaints of a run over many threads.
#[derive(Default)]
struct Tally {
    pairs: BTreeMap<Family, usize>,
    known: BTreeMap<(Family, Why), usize>,
    complaints: Vec<String>,
}

impl Tally {
    fn check(&mut self, thread: &Thread) {
        self.check_parts(thread, &parts(thread));
    }

    fn check_parts(&mut self, thread: &Thread, [screws, nuts]: &[Vec<Part>; 2]) {
        for screw in screws {
            for nut in nuts {
                *self.pairs.entry(thread.family).or_default() += 1;
                let Some(trouble) = trouble(thread, screw, nut) else { continue };
                match known(thread, screw, nut) {
                    Some(why) if explained(why, thread, screw, nut, &trouble) => {
                        *self.known.entry((thread.family, why)).or_default() += 1;
                    }
                    listed => self.complaints.push(format!(
                        "{:?} {thread}, {:?} in {:?} (listed as {listed:?}): {trouble}",
                        thread.family, screw.class, nut.class
                    )),
                }
            }
        }
    }
}

/// A thread in its default edition and in every other.
fn variants(thread: &Thread) -> impl Iterator<Item = Thread> + '_ {
    let names = thread.family.form().variants().iter().map(|variant| Some(variant.name));
    std::iter::once(None).chain(names).map(|variant| Thread { variant, ..thread.clone() })
}

#[test]
fn screw_clears_nut_in_every_listed_size() {
    let mut tally = Tally::default();
    for listed in catalogue() {
        for thread in variants(&listed.thread()) {
            let single = parts(&thread);
            tally.check_parts(&thread, &single);
            for starts in [2, 3, 5] {
                let thread = Thread { starts, ..thread.clone() };
                let several = parts(&thread);
                // Where the number of starts changes no limit, the pairs are those of the single start.
                if several != single {
                    tally.check_parts(&thread, &several);
                }
            }
        }
    }
    for (family, pairs) in &tally.pairs {
        println!("{family:?}: {pairs} pairs");
    }
    println!("touching, with a reason: {:?}", tally.known);
    let shown: Vec<_> = tally.complaints.iter().take(40).collect();
    assert!(tally.complaints.is_empty(), "{} pairs: {shown:#?}", tally.complaints.len());
    // A reason that nothing needs any more is to go.
    for listed in KNOWN {
        assert!(
            tally.known.contains_key(&(listed.family, listed.why)),
            "{:?} {:?}",
            listed.family,
            listed.why
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn screw_clears_nut_in_any_size(thread in any_thread()) {
        let mut tally = Tally::default();
        for thread in variants(&thread) {
            tally.check(&thread);
        }
        prop_assert!(tally.complaints.is_empty(), "{:#?}", tally.complaints);
    }

    /// The least metal of a class lies within the most.
    #[test]
    fn least_material_lies_within_most(thread in any_thread()) {
        for element in [Element::External, Element::Internal] {
            for class in thread.family.form().classes(element) {
                let named = named(&thread, element, Some(class));
                let most = of(material::maximum(&named).expect("limits"), element).outline;
                let least = of(material::minimum(&named).expect("limits"), element).outline;
                let gap = match element {
                    Element::External => mating::gap(&least, &most),
                    Element::Internal => mating::gap(&most, &least),
                };
                prop_assert!(!gap.interferes(), "{named}: {gap:?}");
            }
        }
    }

    /// The mirrored thread of either hand has the outline of the other: the hand is in the helix alone.
    #[test]
    fn hand_does_not_change_outlines(thread in any_thread()) {
        let left = Thread { hand: Hand::Left, ..thread.clone() };
        let right = Thread { hand: Hand::Right, ..thread };
        prop_assert_eq!(material::maximum(&left), material::maximum(&right));
        prop_assert_eq!(left.outline(Element::External), right.outline(Element::External));
    }

    /// The axial play in closed form: moved so far the screw still clears, and moved a trifle farther it does not.
    #[test]
    fn moved_by_its_play_a_screw_touches(thread in any_thread(), loose in 0.001..0.08_f64) {
        let p = thread.pitch.length;
        let form = thread.family.form();
        let basic = thread.basic();
        let slope = (basic.flank_leading.tan() + basic.flank_trailing.tan()).max(0.1);
        let by = p * (loose / slope);
        let sizes = Sizes {
            major: basic.d - by / 2.0,
            pitch: basic.d2 - by,
            minor: basic.d3 - by,
            root_radius: None,
            crest_radius: None,
        };
        let screw = entered(&thread, &form.outline_at(&thread, Element::External, &sizes));
        let nut = thread.outline(Element::Internal);
        let Some(play) = mating::play(&screw, &nut) else {
            return Err(TestCaseError::reject("clears nowhere"));
        };
        let hair = p.to_mm() * 1e-4;
        for (way, free) in [(-1.0, play.leading), (1.0, play.trailing)] {
            let moved = |dz: f64| mating::gap(&screw.moved(way * dz), &nut);
            prop_assert!(!moved((free - 1e-8).max(0.0)).interferes(), "{thread}: {way} {free}");
            prop_assert!(moved(free + hair).interferes() || free > p.to_mm() / 2.0 - hair, "{thread}: {way} {free}");
        }
    }

    /// The closed form against sampling: 4,000 places along the pitch and every corner. Sampling never finds less, and
    /// finds more only by what lies between two samples on an arc.
    #[test]
    fn closed_form_is_what_sampling_finds(thread in any_thread(), shift in 0.0..1.0_f64) {
        let p = thread.pitch.length.to_mm();
        let screw = thread.outline(Element::External).moved(p * shift);
        let nut = thread.outline(Element::Internal);
        let gap = mating::gap(&screw, &nut);
        let mut sampled = f64::INFINITY;
        let corners = screw.pieces().chain(nut.pieces()).map(|(from, _)| from.z);
        let places = (0..4000).map(|i| p * f64::from(i) / 4000.0).chain(corners);
        for z in places {
            // Just beside, so that an upright flank has one radius.
            for z in [z - 1e-7, z + 1e-7] {
                sampled = sampled.min(radius(&nut, z) - radius(&screw, z));
            }
        }
        prop_assert!(sampled > gap.radial - 1e-9, "{thread}: {sampled} {gap:?}");
        prop_assert!(sampled < gap.radial + 1e-6 + p * 1e-4, "{thread}: {sampled} {gap:?}");
    }
}

/// Radius of an outline at `z`, by another way than the library's: a vertical line cut with each piece.
fn radius(outline: &Outline, z: f64) -> f64 {
    let (start, end) = (outline.start.z, outline.end().z);
    let z = start + (z - start).rem_euclid(end - start);
    let on = |(from, segment): (Point, Segment)| {
        let to = segment.end();
        if !(from.z..=to.z).contains(&z) || to.z - from.z < 1e-9 {
            return None;
        }
        let share = (z - from.z) / (to.z - from.z);
        match segment {
            Segment::Line { .. } => Some(from.r * (1.0 - share) + to.r * share),
            Segment::Arc { centre, .. } => {
                // Of the two crossings the one on the side of the chord away from the centre.
                let reach = (from.z - centre.z).hypot(from.r - centre.r);
                let rise = (reach * reach - (z - centre.z) * (z - centre.z)).max(0.0).sqrt();
                let chord = from.r * (1.0 - share) + to.r * share;
                let above = (centre.r + rise - chord).abs() < (centre.r - rise - chord).abs();
                Some(if above { centre.r + rise } else { centre.r - rise })
            }
        }
    };
    outline.pieces().find_map(on).expect("z within the pitch")
}
