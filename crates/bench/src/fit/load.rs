//! The load on the thread: pressure, shear, torque, whether it holds by itself, how fast it wears, and the length of
//! nut that follows.

use super::mate::Mate;
use super::sizes::Sized;
use super::{Aside, Fit, column, missing_by_book, other, pairs, play, strength, word};
use crate::job::{Duty, Job, Lubricant, Make};
use crate::material::{self, Allowed, Kept, Material};
use crate::report::{Block, Figure, Fine, Note, NoteKind, Text, Value};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Angle, Element, Force, Length, Source};
use std::f64::consts::PI;

/// What carries what, and how it runs.
pub(super) struct Case {
    pub(super) load: Option<Force>,
    /// Length of thread that carries: the shortest that is sure.
    pub(super) engaged: Length,
    pub(super) nut: &'static Material,
    pub(super) screw: &'static Material,
    pub(super) dry: bool,
    /// Flanks on flanks, m/min; none where no speed is given.
    pub(super) rubbing: Option<f64>,
    /// Mean diameter of the thrust collar.
    collar: Option<Length>,
    pub(super) pitch: Length,
    pub(super) lead: Length,
    pub(super) d2: Length,
    /// Radial overlap of nut and screw.
    pub(super) h1: Length,
    /// The steeper flank: friction presses on it most.
    flank: Angle,
    /// Smallest diameter at the screw's root.
    pub(super) root: Length,
    /// Where the nut's ridges shear, and how thick they are there at least; the screw's likewise.
    shear: [Ridge; 2],
}

/// A ridge where the mate's edge would shear it.
#[derive(Clone, Copy)]
pub(super) struct Ridge {
    pub(super) of: Element,
    pub(super) at: Length,
    pub(super) thick: Length,
}

/// Adds the blocks on strength and wear, and notes where a usual limit is passed.
pub(super) fn report(fit: &mut Fit, mate: &Mate, sized: &Sized, basic: &Basic, job: &Job, aside: &mut Aside) {
    let case = Case::of(fit, mate, sized, basic, job, aside);
    let before = aside.notes.len();
    let duty = job.make.duty;
    let mut figures = length(fit, &case, duty, aside);
    lead(&case, &mut figures);
    let friction = material::friction(case.nut, case.screw);
    self_locking(&case, duty, friction, &mut figures, aside);
    let mut torque_nm = None;
    if let Some(load) = case.load {
        pressure(&case, load, &mut figures, aside);
        shear(fit, mate, &case, load, &mut figures, aside);
        follows(fit, &case, load, &mut figures, aside);
        torque_nm = friction.map(|friction| torque(&case, load, friction, &mut figures));
    } else {
        aside.need(
            "make.load",
            "axial load in use: it settles the pressure on the flanks, the shear and the torque",
        );
    }
    fit.detail.push(Block::Figures("Load on the thread".into(), figures));
    fit.detail.extend(column::report(&case, &job.make.run, duty, torque_nm, aside));
    fit.detail.extend(wear(&case, &job.make, aside));
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
        let read_root = mate.minors.iter().map(|m| m.value).reduce(Length::min);
        let book_root = fit.book.as_ref().and_then(|b| b.external.as_ref()).and_then(|e| e.minor.min);
        let root = match fit.part {
            Element::Internal => read_root.or(book_root).unwrap_or(basic.d3),
            Element::External => fit.bottom.min,
        };
        let (lead, d2) = (fit.thread.lead(), basic.d2);
        let per_turn = strength::slide_per_turn(d2, lead);
        Self {
            load: job.make.load.filter(|load| *load > Force::ZERO),
            engaged: fit.engaged.shortest,
            nut,
            screw,
            dry: run.lubricant == Lubricant::Dry,
            rubbing: run.speed_rpm.map(|rpm| per_turn.to_mm() / 1000.0 * rpm),
            collar: run.collar,
            pitch: basic.p,
            lead,
            d2,
            h1: fit.engagement,
            flank: if basic.flank_leading > basic.flank_trailing {
                basic.flank_leading
            } else {
                basic.flank_trailing
            },
            root,
            shear: ridges(fit, mate, sized, basic),
        }
    }

    /// Pressure that the nut's material is held to at the speed of the job.
    pub(super) fn allowed(&self, nut: &Material) -> Option<Allowed> {
        nut.allowed(self.rubbing)
    }
}

/// Both ridges at their thinnest: the made part at the loose end of its limits, the mate where most is worn off it, or
/// as thin as its book allows where it was not read (areas from actual limits, as ASME B1.1 reckons them).
pub(super) fn ridges(fit: &Fit, mate: &Mate, sized: &Sized, basic: &Basic) -> [Ridge; 2] {
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
    let ridge = |of, at, missing| {
        let groove = play::groove_width(of, at, missing, basic.d2, basic.p, sized.slope);
        Ridge { of, at, thick: basic.p - groove }
    };
    [ridge(Element::Internal, major, nut_missing), ridge(Element::External, bore, screw_missing)]
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

fn length(fit: &Fit, case: &Case, duty: Duty, aside: &mut Aside) -> Vec<Figure> {
    let turns = case.engaged / case.pitch;
    let share = case.engaged / fit.thread.nominal;
    let feeds_a_nut = fit.part == Element::Internal && duty == Duty::Feed;
    if feeds_a_nut && (share < strength::USUAL_NUT.0 || turns < strength::FEWEST_TURNS) {
        aside.note(
            Note::warning(
                Text::from("The nut is ")
                    .v(Value::Number(share, 1))
                    .s(" diameters and ")
                    .v(Value::Number(turns, 1))
                    .s(" turns long; 1.5 to 2 diameters and six turns or more are usual for a feed nut. A short one wears fast."),
            )
            .field("make.length")
            .source(strength::LENGTH),
        );
    }
    vec![
        Figure::new(
            "engaged_length",
            match (fit.part, fit.engaged.known()) {
                (Element::Internal, _) => "length of thread that carries: the nut's",
                (Element::External, true) => "length of thread that carries: its nut's",
                (Element::External, false) => {
                    "length of thread that carries: its nut, taken as 1.5 diameters long"
                }
            },
            Value::Length(case.engaged, Fine::Coarse),
            strength::LENGTH,
        )
        .symbol("L"),
        Figure::new(
            "turns",
            "turns of thread that carry",
            Value::Number(turns, 1),
            Source::derived("length over pitch"),
        )
        .formula("L / P"),
        Figure::new(
            "length_in_diameters",
            "the same in major diameters; 1.5 to 2 are usual for a feed nut",
            Value::Number(share, 2),
            strength::LENGTH,
        )
        .formula("L / d"),
    ]
}

fn lead(case: &Case, figures: &mut Vec<Figure>) {
    let angle = Angle::rad((case.lead / (case.d2 * PI)).atan());
    figures.push(
        Figure::new(
            "lead_angle",
            "lead angle at the pitch diameter",
            Value::Angle(angle, 2),
            Source::formula("ISO 5408:2009", "4.10"),
        )
        .symbol("φ")
        .formula("tan φ = Ph / (π d2)"),
    );
    if let Some(v) = case.rubbing {
        figures.push(
            Figure::new(
                "rubbing_speed",
                "speed of flank on flank",
                Value::SurfaceMPerMin(v),
                Source::derived("length of the helix at the pitch diameter, turned so often"),
            )
            .formula("n √((π d2)² + Ph²)"),
        );
    }
    figures.push(
        Figure::new(
            "locking_friction",
            "friction from which on the thread holds by itself",
            Value::Number(strength::locking_friction(case.lead, case.d2, case.flank), 3),
            strength::MOTT,
        )
        .formula("cos α tan φ"),
    );
}

/// `oiled` or `dry`, as the job says.
const fn kept(dry: bool) -> &'static str {
    if dry { "dry" } else { "oiled" }
}

fn self_locking(
    case: &Case,
    duty: Duty,
    friction: Option<&Kept>,
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) {
    let Some(friction) = friction else {
        aside.note(Note::remark(
            "No table lists the friction of this pair of materials: torque and self-locking are left out.",
        ));
        return;
    };
    let limit = strength::locking_friction(case.lead, case.d2, case.flank);
    let (lo, hi) = friction.of(case.dry);
    figures.push(Figure::new(
        "friction",
        format!("published friction of this pair, {}", kept(case.dry)),
        Value::Word(format!("{lo:.2} to {hi:.2}")),
        friction.source,
    ));
    let locks = lo > limit;
    figures.push(
        Figure::new("self_locking", "holds its load by friction alone", Value::Yes(locks), strength::MOTT)
            .formula("f > cos α tan φ"),
    );
    figures.push(
        Figure::new(
            "locking_margin",
            "lower friction over what it needs to hold; vibration takes from it",
            Value::Number(lo / limit, 2),
            strength::MOTT,
        )
        .formula("f / (cos α tan φ)"),
    );
    let words = match (locks, hi > limit) {
        (true, _) if lo / limit >= strength::SURE_LOCK => return,
        (true, _) => {
            "This thread holds its load by itself with little to spare: vibration can make it creep."
        }
        (false, true) => "This thread may or may not hold its load by itself: reckon with it running back.",
        (false, false) => "This thread does not hold its load by itself: it runs back.",
    };
    aside.note(if duty == Duty::Feed {
        Note::remark(words).source(strength::MOTT)
    } else {
        Note::caution(format!("{words} It needs a brake or a lock."), strength::MOTT).field("make.duty")
    });
}

fn pressure(case: &Case, load: Force, figures: &mut Vec<Figure>, aside: &mut Aside) {
    if case.h1 <= Length::ZERO {
        aside.note(Note::impossible(
            "Part and mate do not overlap: the mate's crest is worn below the bore of the part. It carries nothing.",
        ));
        return;
    }
    let mpa = strength::bearing_mpa(load, case.pitch, case.d2, case.h1, case.engaged);
    figures.push(
        Figure::new("bearing_pressure", "mean pressure on the flanks", Value::Mpa(mpa), strength::PRESSURE)
            .formula("F P / (π d2 H1 L)"),
    );
    let first =
        strength::bearing_mpa(load * strength::FIRST_THREAD, case.pitch, case.d2, case.h1, case.pitch);
    figures.push(
        Figure::new(
            "first_thread_pressure",
            "pressure on the first turn, if it takes 0.38 of the load",
            Value::Mpa(first),
            strength::SHARE,
        )
        .formula("0.38 F / (π d2 H1)"),
    );
    let nut = case.nut;
    let Some(allowed) = case.allowed(nut) else {
        let known = nut.allowed(None);
        aside.note(match (case.rubbing, known) {
            (Some(v), Some(by_hand)) => Note::warning(
                Text::from(format!("{} rubbing at ", crate::report::capital(nut.name)))
                    .v(Value::SurfaceMPerMin(v))
                    .s(" is faster than any published limit for a screw's nut: turn slower, or ask its maker."),
            )
            .field("make.run.speed_rpm")
            .source(by_hand.source),
            _ => Note::remark("No usual flank pressure is known for this pair of materials."),
        });
        return;
    };
    let at = if case.rubbing.is_some() { "at this speed" } else { "at hand speed" };
    figures.push(Figure::new(
        "bearing_limit",
        format!("usual limit {at}, {}, the lower of what is published", nut.name),
        Value::Mpa(allowed.mpa),
        allowed.source,
    ));
    if let Some(yields) = nut.yield_mpa.filter(|y| mpa > *y) {
        aside.note(gives_way(
            Text::from("The load cannot be carried: it presses on the flanks with ")
                .v(Value::Mpa(mpa))
                .s(format!(", and {} yields at ", nut.name))
                .v(Value::Mpa(yields))
                .s(". A longer nut, a stronger material or a larger thread would carry it."),
            nut,
        ));
    } else if mpa > allowed.mpa {
        let faster = if case.rubbing.is_some() { "" } else { ", less where it runs fast" };
        aside.note(
            Note::warning(
                Text::from("The flanks carry ")
                    .v(Value::Mpa(mpa))
                    .s("; ")
                    .v(Value::Mpa(allowed.mpa))
                    .s(format!(" is the usual limit for {} {at}{faster}. A thread ", nut.name))
                    .len(strength::bearing_length(load, case.pitch, case.d2, case.h1, allowed.mpa))
                    .s(" long would keep to it."),
            )
            .field("make.length")
            .source(allowed.source),
        );
    }
}

/// Shear of the nut's ridges at the screw's crests, and of the screw's at the nut's bore, each at its thinnest.
fn shear(fit: &Fit, mate: &Mate, case: &Case, load: Force, figures: &mut Vec<Figure>, aside: &mut Aside) {
    for ridge in case.shear {
        let (key, area_key, margin_key, material) = match ridge.of {
            Element::Internal => ("shear_nut", "shear_area_nut", "shear_margin_nut", case.nut),
            Element::External => ("shear_screw", "shear_area_screw", "shear_margin_screw", case.screw),
        };
        if ridge.thick <= Length::ZERO {
            aside.note(Note::warning(format!("The {}'s thread is worn to an edge.", word(ridge.of))));
            continue;
        }
        let made = ridge.of == fit.part;
        let whose = if made { "the part's" } else { "the mate's" };
        let (tau, yields) = (shear_mpa(case, load, ridge), material.shear_yield_mpa());
        let worn = if made || mate.seen.is_empty() { "" } else { ", where it is worn most" };
        let area = load.to_newton() / tau;
        figures.extend([
            Figure::new(
                area_key,
                format!("area that shears in {whose} thread ({}), at its least", word(ridge.of)),
                Value::Mm2(area),
                strength::AREA,
            )
            .formula("π D t L / P"),
            Figure::new(
                key,
                format!("shear in {whose} thread ({}){worn}", word(ridge.of)),
                Value::Mpa(tau),
                strength::MOTT,
            )
            .formula("F P / (π D t L)"),
            Figure::new(
                margin_key,
                format!("shear yield of {} over that", material.name),
                Value::Number(yields / tau, 1),
                material.strength_source,
            )
            .formula("(Sy / √3) / τ"),
        ]);
        if tau > yields {
            aside.note(gives_way(
                Text::from(format!("The load cannot be carried: it shears {whose} thread ({}) with ", word(ridge.of)))
                    .v(Value::Mpa(tau))
                    .s(format!(", and {} yields at ", material.name))
                    .v(Value::Mpa(yields))
                    .s(". It would bear it from ")
                    .len(case.engaged * (tau / yields))
                    .s(" of engaged thread on, and three times that is usual; or a stronger material, or a larger thread."),
                material,
            ));
        } else if tau * strength::SAFETY > yields {
            aside.note(
                Note::warning(
                    Text::from(format!("Shear in {whose} thread is "))
                        .v(Value::Mpa(tau))
                        .s(format!(", more than a third of what {} yields at, ", material.name))
                        .v(Value::Mpa(yields))
                        .s("."),
                )
                .source(material.strength_source),
            );
        }
    }
}

/// The load is more than this material bears: nothing may be made or offered for it.
pub(super) fn gives_way(text: Text, material: &Material) -> Note {
    Note::impossible(text).field("make.load").source(material.strength_source)
}

fn shear_mpa(case: &Case, load: Force, ridge: Ridge) -> f64 {
    strength::shear_mpa(load, case.pitch, ridge.at, ridge.thick, case.engaged)
}

/// Length of thread that the load asks for with this nut: by pressure at its speed, and by shear of both ridges with
/// [`strength::SAFETY`]; whole turns. None where nothing limits the pressure, or nothing overlaps.
pub(super) fn length_by_load(case: &Case, load: Force, nut: &Material) -> Option<Length> {
    if case.h1 <= Length::ZERO {
        return None;
    }
    let allowed = case.allowed(nut)?;
    let by_pressure = strength::bearing_length(load, case.pitch, case.d2, case.h1, allowed.mpa);
    let by_shear = case.shear.into_iter().filter(|r| r.thick > Length::ZERO).map(|ridge| {
        let material = if ridge.of == Element::Internal { nut } else { case.screw };
        case.engaged * (shear_mpa(case, load, ridge) * strength::SAFETY / material.shear_yield_mpa())
    });
    let asked = by_shear.fold(by_pressure, Length::max);
    Some(case.pitch * (asked / case.pitch - 1e-9).ceil().max(1.0))
}

fn follows(fit: &Fit, case: &Case, load: Force, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let Some(asked) = length_by_load(case, load, case.nut) else { return };
    figures.push(
        Figure::new(
            "length_by_load",
            "length of nut that the load asks for, by pressure and shear, whole turns",
            Value::Length(asked, Fine::Coarse),
            Source::derived(
                "the longer of the lengths that keep to the pressure and to a third of the shear yield",
            ),
        )
        .formula("max(F P / (π d2 H1 p), 3 F P / (π D t τ))"),
    );
    if asked > case.engaged && asked > fit.thread.nominal * strength::LONGEST_SENSE {
        aside.note(
            Note::warning(
                Text::from("A nut ")
                    .v(Value::Length(asked, Fine::Coarse))
                    .s(" long would be more than three diameters: turns that far from the load carry little. A stronger nut material, a slower screw or a larger thread helps more."),
            )
            .field("make.length")
            .source(strength::LENGTH),
        );
    }
}

/// Adds torque and efficiency; gives the torque against the load, its collar left out.
fn torque(case: &Case, load: Force, friction: &Kept, figures: &mut Vec<Figure>) -> f64 {
    let Case { d2, lead, flank, .. } = *case;
    // The upper published value: the torque to reckon with.
    let (least, f) = friction.of(case.dry);
    let collar =
        case.collar.map(|diameter| strength::Collar { friction: strength::COLLAR_FRICTION, diameter });
    let up = strength::raising_torque_nm(load, d2, lead, flank, f, collar);
    let down = strength::lowering_torque_nm(load, d2, lead, flank, f, collar);
    let back = strength::lowering_torque_nm(load, d2, lead, flank, least, None);
    let with = if collar.is_some() { "collar included" } else { "collar left out" };
    figures.extend([
        Figure::new(
            "torque_against",
            format!("torque against the load, {}, at the upper friction of {f:.2}, {with}", kept(case.dry)),
            Value::TorqueNm(up),
            strength::MOTT,
        )
        .formula("F d2/2 (cos α tan φ + f) / (cos α - f tan φ) + F fc dc/2"),
        Figure::new(
            "torque_with",
            format!("torque with the load at the upper friction of {f:.2}, {with}: the most to reckon with"),
            Value::TorqueNm(down),
            strength::MOTT,
        )
        .formula("F d2/2 (f - cos α tan φ) / (cos α + f tan φ) + F fc dc/2"),
        Figure::new(
            "torque_back",
            format!("torque that the thread alone holds back with at the lower friction of {least:.2}, collar left out; below zero the load drives the screw with as much"),
            Value::TorqueNm(back),
            strength::MOTT,
        )
        .formula("F d2/2 (f - cos α tan φ) / (cos α + f tan φ)"),
        Figure::new(
            "efficiency",
            format!("efficiency at the upper friction, {with}"),
            Value::Share(strength::efficiency(load, lead, up)),
            strength::MOTT,
        )
        .formula("F Ph / (2 π T)"),
        Figure::new(
            "efficiency_best",
            "efficiency of the thread alone at the lower friction",
            Value::Share(strength::efficiency(
                load,
                lead,
                strength::raising_torque_nm(load, d2, lead, flank, least, None),
            )),
            strength::MOTT,
        ),
    ]);
    if collar.is_some() {
        figures.push(
            Figure::new(
                "collar_friction",
                "friction of the collar, at the start",
                Value::Number(strength::COLLAR_FRICTION, 2),
                strength::COLLAR,
            )
            .symbol("fc"),
        );
    }
    strength::raising_torque_nm(load, d2, lead, flank, f, None)
}

/// Turns that the wear is shown for: fewer would show nothing at a light load.
pub(super) const TURNS: f64 = 10_000.0;

/// Axial play that `nut` gains in so many turns under `load`, least and most, with its origin.
pub(super) fn worn(
    case: &Case,
    load: Force,
    nut: &Material,
    turns: f64,
) -> Option<((Length, Length), Source)> {
    if case.h1 <= Length::ZERO {
        return None;
    }
    let worn = nut.wear()?;
    let (least, most) = worn.of(case.dry);
    let mpa = strength::bearing_mpa(load, case.pitch, case.d2, case.h1, case.engaged);
    let slide = strength::slide_per_turn(case.d2, case.lead) * turns;
    let gained = |k| strength::wear_depth(k, mpa, slide) / case.flank.cos();
    Some(((gained(least), gained(most)), worn.source))
}

/// How fast it wears.
fn wear(case: &Case, make: &Make, aside: &mut Aside) -> Option<Block> {
    const DAYS: f64 = 250.0;
    let load = case.load?;
    let ((least, most), source) = worn(case, load, case.nut, TURNS)?;
    let formula = "k p s / cos α";
    let mut figures = vec![
        Figure::new(
            "wear_turns",
            format!("play that 10 000 turns under load add, {}, good to a factor of ten", kept(case.dry)),
            Value::Band(least, most, Fine::Gauge),
            source,
        )
        .formula(formula),
    ];
    match make.run.turns_per_day {
        Some(turns) => {
            let per_year = turns * DAYS / TURNS;
            figures.push(
                Figure::new(
                    "wear_year",
                    "play that a year of 250 days adds",
                    Value::Band(least * per_year, most * per_year, Fine::Shop),
                    source,
                )
                .formula(formula),
            );
        }
        None => aside.need(
            "make.run.turns_per_day",
            "turns of the screw in a day's use: they settle how long the nut lasts",
        ),
    }
    Some(Block::Figures("How fast it wears".into(), figures))
}
