//! The load on the thread: pressure, shear, torque, whether it holds by itself, how fast it wears, and the length of
//! nut that follows.

mod carried;
mod turned;
mod worn;

pub(super) use carried::{gives_way, length_by_load};
pub(super) use worn::{TURNS, worn};

use super::mate::Mate;
use super::sizes::Sized;
use super::{Aside, Fit, column, missing_by_book, other, pairs, play, strength};
use crate::job::{Job, Lubricant};
use crate::material::{self, Allowed, Material};
use crate::report::{Block, Note, NoteKind};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Angle, Element, Force, Length};

/// What carries what, and how it runs.
pub(in crate::fit) struct Case {
    pub(in crate::fit) load: Option<Force>,
    /// Length of the nut, the shortest that is sure.
    pub(in crate::fit) whole: Length,
    /// What of it carries one way.
    pub(in crate::fit) engaged: Length,
    pub(in crate::fit) nut: &'static Material,
    pub(in crate::fit) screw: &'static Material,
    pub(in crate::fit) dry: bool,
    /// Flanks on flanks, m/min; none where no speed is given.
    pub(in crate::fit) rubbing: Option<f64>,
    /// Mean diameter of the thrust collar.
    collar: Option<Length>,
    pub(in crate::fit) pitch: Length,
    pub(in crate::fit) lead: Length,
    pub(in crate::fit) d2: Length,
    /// Radial overlap of nut and screw.
    pub(in crate::fit) h1: Length,
    /// The flank that bears: of two unlike ones the steeper, which such a form is made to bear on.
    flank: Angle,
    /// The other flank, where it is unlike.
    other_flank: Option<Angle>,
    /// Smallest diameter at the screw's root.
    pub(in crate::fit) root: Length,
    /// Smallest diameter of the screw that the load goes through: its root, or a groove at the end of the thread.
    pub(in crate::fit) core: Length,
    /// Thinnest step of a screw that is made, where it has any.
    pub(in crate::fit) journal: Option<Length>,
    /// Where the nut's ridges shear, and how thick they are there at least; the screw's likewise.
    shear: [Ridge; 2],
}

/// A ridge where the mate's edge would shear it, and at its foot, where it bends.
#[derive(Clone, Copy)]
pub(in crate::fit) struct Ridge {
    pub(in crate::fit) of: Element,
    pub(in crate::fit) at: Length,
    pub(in crate::fit) thick: Length,
    foot: Length,
    foot_thick: Length,
    /// From the foot to the middle of what bears.
    arm: Length,
}

/// Adds the blocks on strength and wear, and notes where a usual limit is passed.
pub(super) fn report(fit: &mut Fit, mate: &Mate, sized: &Sized, basic: &Basic, job: &Job, aside: &mut Aside) {
    let case = Case::of(fit, mate, sized, basic, job, aside);
    let before = aside.notes.len();
    let duty = job.make.duty;
    let mut figures = carried::length(fit, &case, duty, aside);
    turned::lead(&case, &mut figures);
    let friction = material::friction(case.nut, case.screw);
    turned::self_locking(&case, duty, friction, &mut figures, aside);
    carried::dry(&case, aside);
    let mut torque_nm = None;
    if !carried::overlaps(&case, aside) {
        // Nothing bears, and the figures would say what cannot be.
    } else if let Some(load) = case.load {
        carried::pressure(&case, load, &mut figures, aside);
        carried::ridges(fit, mate, &case, load, &mut figures, aside);
        carried::follows(fit, &case, load, &mut figures, aside);
        torque_nm = friction.and_then(|friction| turned::torque(&case, load, friction, &mut figures, aside));
    } else {
        aside.need(
            "make.load",
            "axial load in use: it settles the pressure on the flanks, the shear and the torque",
        );
    }
    fit.detail.push(Block::Figures("Load on the thread".into(), figures));
    fit.detail.extend(column::report(&case, &job.make.run, duty, torque_nm, aside));
    fit.detail.extend(worn::wear(&case, &job.make, aside));
    pairs::of_the_chosen(fit, &case, duty, aside);
    fit.detail.extend(pairs::table(fit, &case, duty).map(Block::Table));
    let fails = aside.notes[before..].iter().filter(|n| n.kind == NoteKind::Impossible);
    fit.overload = fails.map(|n| n.text.clone()).reduce(|all, next| all.s(" ").text(next));
}

impl Case {
    fn of(fit: &Fit, mate: &Mate, sized: &Sized, basic: &Basic, job: &Job, aside: &mut Aside) -> Self {
        let run = &job.make.run;
        let part = fit.stuff();
        let other_side = mate_material(fit.part, job, aside);
        let (nut, screw) = match fit.part {
            Element::Internal => (part, other_side),
            Element::External => (other_side, part),
        };
        let root = root(fit, mate, basic);
        let (steep, flat) = if basic.flank_leading > basic.flank_trailing {
            (basic.flank_trailing, basic.flank_leading)
        } else {
            (basic.flank_leading, basic.flank_trailing)
        };
        let (lead, d2) = (fit.thread.lead(), basic.d2);
        let per_turn = strength::slide_per_turn(d2, lead);
        Self {
            load: job.make.load.filter(|load| *load > Force::ZERO),
            whole: fit.engaged.shortest,
            engaged: fit.engaged.carries,
            nut,
            screw,
            dry: run.lubricant == Lubricant::Dry,
            rubbing: run.speed_rpm.map(|rpm| per_turn.to_mm() / 1000.0 * rpm),
            collar: run.collar,
            pitch: basic.p,
            lead,
            d2,
            h1: fit.engagement,
            flank: steep,
            other_flank: (flat > steep).then_some(flat),
            root,
            core: fit.relief_diameter.filter(|_| fit.part == Element::External).unwrap_or(root).min(root),
            journal: fit
                .steps
                .iter()
                .map(|s| s.size.min)
                .reduce(Length::min)
                .filter(|_| fit.part == Element::External),
            shear: ridges(fit, mate, sized, basic),
        }
    }

    /// `oiled` or `dry`, as the job says.
    const fn kept(&self) -> &'static str {
        if self.dry { "dry" } else { "oiled" }
    }

    /// Length of nut of which `carries` carries one way.
    fn nut_of(&self, carries: Length) -> Length {
        carries * (self.whole / self.engaged)
    }

    /// Pressure that the nut's material is held to at the speed of the job.
    pub(in crate::fit) fn allowed(&self, nut: &Material) -> Option<Allowed> {
        nut.allowed(self.rubbing)
    }
}

/// Both ridges at their thinnest: the made part at the loose end of its limits, the mate where most is worn off it, or
/// as thin as its book allows where it was not read (areas from actual limits, as ASME B1.1 reckons them).
pub(in crate::fit) fn ridges(fit: &Fit, mate: &Mate, sized: &Sized, basic: &Basic) -> [Ridge; 2] {
    let loose = match fit.part {
        Element::Internal => fit.pitch_diameter.max,
        Element::External => fit.pitch_diameter.min,
    };
    let made =
        if sized.slope > 0.0 { play::missing(fit.part, loose, basic.d2, sized.slope) } else { sized.missing };
    let by_book = || missing_by_book(fit.book.as_ref(), other(fit.part), basic, sized.slope).map(|m| m.1);
    let worn = mate.loosest().map(|s| s.missing).or_else(by_book).unwrap_or(Length::ZERO);
    let book = fit.book.as_ref();
    let (screw_missing, nut_missing, major, bore) = match fit.part {
        Element::Internal => {
            let least = book.and_then(|b| b.external.as_ref()).and_then(|e| e.major.min);
            (worn, made, mate.smallest_major().or(least).unwrap_or(basic.d), fit.blank.max)
        }
        Element::External => {
            let largest = book.and_then(|b| b.internal.as_ref()).and_then(|i| i.minor.max);
            let read = mate.minors.iter().map(|m| m.value).reduce(Length::max);
            (made, worn, fit.blank.min, read.or(largest).unwrap_or(basic.d1_internal))
        }
    };
    let ridge = |of, at, foot: Length, missing| {
        let thick = |at| basic.p - play::groove_width(of, at, missing, basic.d2, basic.p, sized.slope);
        let arm = ((major + bore) / 2.0 - foot).abs() / 2.0;
        Ridge { of, at, thick: thick(at), foot, foot_thick: thick(foot), arm }
    };
    let nut_foot = if fit.part == Element::Internal { fit.bottom.max } else { basic.d4_internal };
    [
        ridge(Element::Internal, major, nut_foot, nut_missing),
        ridge(Element::External, bore, root(fit, mate, basic), screw_missing),
    ]
}

/// Smallest diameter at the screw's root: as made, as read, or by the book.
fn root(fit: &Fit, mate: &Mate, basic: &Basic) -> Length {
    let read = mate.minors.iter().map(|m| m.value).reduce(Length::min);
    let book = fit.book.as_ref().and_then(|b| b.external.as_ref()).and_then(|e| e.minor.min);
    match fit.part {
        Element::Internal => read.or(book).unwrap_or(basic.d3),
        Element::External => fit.bottom.min,
    }
}

fn mate_material(part: Element, job: &Job, aside: &mut Aside) -> &'static Material {
    let default = material::default_mate(part);
    let Some(typed) = &job.make.mate_material else { return default };
    material::material(typed).unwrap_or_else(|| {
        aside.note(
            Note::warning(format!(
                "No material is called {typed}; {} is taken for the mate. The nearest name is {}.",
                default.name,
                material::nearest(typed)
            ))
            .field("make.mate_material"),
        );
        default
    })
}
