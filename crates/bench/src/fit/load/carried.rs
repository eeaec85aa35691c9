//! What the threads carry: pressure on the flanks, shear and bending of both ridges, and the length of nut that follows.

use super::{Case, Ridge};
use crate::fit::mate::Mate;
use crate::fit::{Aside, Fit, strength, word};
use crate::job::Duty;
use crate::material::{Group, Material};
use crate::report::{Figure, Fine, Note, Text, Value};
use flankwise_thread::{Element, Force, Length, Source};

/// Turns and diameters that sums of lengths are off by no more than.
const SLACK: f64 = 1e-6;

/// Warns where it runs dry: what is published of metal nuts is of oiled ones.
pub(super) fn dry(case: &Case, aside: &mut Aside) {
    if !case.dry || case.nut.group == Group::Plastic {
        return;
    }
    let text = "It is said to run dry. The usual limits of pressure are those of an oiled thread, and none is published for this nut dry";
    let text = match case.nut.wear() {
        Some(worn) => Text::from(text)
            .s("; it wears some ")
            .v(Value::Number(worn.dry.1 / worn.oiled.1, 0))
            .s(" times as fast as oiled"),
        None => Text::from(text),
    };
    let note = Note::warning(text.s(". Oil or grease it, or take a plastic that is made to run dry."));
    aside.note(match case.nut.wear() {
        Some(worn) => note.field("make.run.lubricant").source(worn.source),
        None => note.field("make.run.lubricant"),
    });
}

/// Whether the threads reach over each other at all; says so where they do not.
pub(super) fn overlaps(case: &Case, aside: &mut Aside) -> bool {
    let why = if case.h1 <= Length::ZERO {
        "Part and mate do not overlap: the mate's crest is worn below the bore of the part. It carries nothing."
    } else if case.engaged <= Length::ZERO {
        "The holes across take the whole thread away. It carries nothing."
    } else {
        return true;
    };
    aside.note(Note::impossible(why));
    false
}

/// The thread that carries, and a warning where it is shorter than usual.
pub(super) fn length(fit: &Fit, case: &Case, duty: Duty, aside: &mut Aside) -> Vec<Figure> {
    let turns = case.engaged / case.pitch;
    let share = case.whole / fit.thread.nominal;
    let under = |found: f64, usual: f64| found < usual - SLACK;
    let short = under(share, strength::USUAL_NUT.0) || under(case.whole / case.pitch, strength::FEWEST_TURNS);
    if fit.part == Element::Internal && duty != Duty::Clamp && short {
        aside.note(
            Note::warning(
                Text::from("The nut is ")
                    .v(Value::Number(share, 1))
                    .s(" diameters and ")
                    .v(Value::Number(case.whole / case.pitch, 1))
                    .s(" turns long; 1.5 to 2 diameters and six turns or more are usual for one that is driven. A short one wears fast."),
            )
            .field("make.length")
            .source(strength::LENGTH),
        );
    }
    vec![
        Figure::new(
            "engaged_length",
            match (fit.part, fit.engaged.known()) {
                (Element::Internal, _) if case.engaged < case.whole => {
                    "length of thread that carries one way: less than the nut's"
                }
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
            "length of the nut in major diameters; 1.5 to 2 are usual for a feed nut",
            Value::Number(share, 2),
            strength::LENGTH,
        )
        .formula("length / d"),
    ]
}

/// Adds the pressure on the flanks, held against what the softer flank yields at and the nut's material bears.
pub(super) fn pressure(case: &Case, load: Force, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let mpa = strength::bearing_mpa(load, case.pitch, case.d2, case.h1, case.engaged);
    let share = strength::first_share(case.pitch, case.engaged);
    let first = strength::bearing_mpa(load * share, case.pitch, case.d2, case.h1, case.pitch);
    figures.extend([
        Figure::new("bearing_pressure", "mean pressure on the flanks", Value::Mpa(mpa), strength::PRESSURE)
            .formula("F P / (π d2 H1 L)"),
        Figure::new(
            "first_thread_pressure",
            format!("pressure on the first turn, if it takes {share:.2} of the load"),
            Value::Mpa(first),
            strength::SHARE,
        )
        .formula("max(0.38, P / L) F / (π d2 H1)"),
    ]);
    let at = if case.rubbing.is_some() { "at this speed" } else { "at hand speed" };
    let allowed = case.allowed(case.nut);
    if let Some(allowed) = allowed {
        figures.push(Figure::new(
            "bearing_limit",
            format!("usual limit {at}, {}, the lower of what is published", case.nut.name),
            Value::Mpa(allowed.mpa),
            allowed.source,
        ));
    }
    let yields = [case.nut, case.screw].into_iter().filter_map(|m| Some((m.yield_mpa?, m)));
    let softer = yields.min_by(|a, b| a.0.total_cmp(&b.0));
    if let Some((bears, of)) = softer.filter(|(bears, _)| mpa > *bears) {
        aside.note(gives_way(
            Text::from("The load cannot be carried: it presses on the flanks with ")
                .v(Value::Mpa(mpa))
                .s(format!(", and {} yields at ", of.name))
                .v(Value::Mpa(bears))
                .s(". A longer nut, a stronger material or a larger thread would carry it."),
            of,
        ));
        return;
    }
    let nut = case.nut;
    aside.note(match (allowed, case.rubbing, nut.allowed(None)) {
        (Some(allowed), ..) if mpa <= allowed.mpa => return,
        (Some(allowed), ..) => {
            let faster = if case.rubbing.is_some() { "" } else { ", less where it runs fast" };
            let asked = strength::bearing_length(load, case.pitch, case.d2, case.h1, allowed.mpa);
            Note::warning(
                Text::from("The flanks carry ")
                    .v(Value::Mpa(mpa))
                    .s("; ")
                    .v(Value::Mpa(allowed.mpa))
                    .s(format!(" is the usual limit for {} {at}{faster}. A nut ", nut.name))
                    .len(case.nut_of(asked))
                    .s(" long would keep to it."),
            )
            .field("make.length")
            .source(allowed.source)
        }
        (None, Some(v), Some(by_hand)) => Note::warning(
            Text::from(format!("{} rubbing at ", crate::report::capital(nut.name)))
                .v(Value::SurfaceMPerMin(v))
                .s(" is faster than any published limit for a screw's nut: turn slower, or ask its maker."),
        )
        .field("make.run.speed_rpm")
        .source(by_hand.source),
        (None, ..) => Note::remark(format!(
            "No usual flank pressure is known for a nut of {}: only what it yields at, and its shear and bending, are judged.",
            nut.name
        ))
        .field("make.material"),
    });
}

/// A stress in a ridge, and what its material bears.
struct Held {
    does: &'static str,
    stress: f64,
    bears: f64,
}

impl Held {
    fn shear(case: &Case, load: Force, ridge: Ridge, material: &Material) -> Self {
        let stress = strength::shear_mpa(load, case.pitch, ridge.at, ridge.thick, case.engaged);
        Self { does: "shears", stress, bears: material.shear_bears_mpa() }
    }
    fn bending(case: &Case, load: Force, ridge: Ridge, material: &Material) -> Self {
        let Ridge { foot, foot_thick, arm, .. } = ridge;
        let stress = strength::bending_mpa(load, case.pitch, foot, foot_thick, arm, case.engaged);
        Self { does: "bends", stress, bears: material.bears_mpa() }
    }
    fn used(&self) -> f64 {
        self.stress / self.bears
    }
}

/// Shear of the nut's ridges at the screw's crests, and of the screw's at the nut's bore, and the bending of both at
/// their feet, each at its thinnest.
pub(super) fn ridges(
    fit: &Fit,
    mate: &Mate,
    case: &Case,
    load: Force,
    figures: &mut Vec<Figure>,
    aside: &mut Aside,
) {
    for ridge in case.shear {
        let [area_key, shear_key, shear_margin, bending_key, bending_margin] = match ridge.of {
            Element::Internal => {
                ["shear_area_nut", "shear_nut", "shear_margin_nut", "bending_nut", "bending_margin_nut"]
            }
            Element::External => [
                "shear_area_screw",
                "shear_screw",
                "shear_margin_screw",
                "bending_screw",
                "bending_margin_screw",
            ],
        };
        let material = if ridge.of == Element::Internal { case.nut } else { case.screw };
        let made = ridge.of == fit.part;
        let whose = format!("{} thread ({})", if made { "the part's" } else { "the mate's" }, word(ridge.of));
        if ridge.thick <= Length::ZERO {
            aside.note(gives_way(
                Text::from(format!(
                    "The load cannot be carried: {whose} is worn to an edge, and nothing of it is left to bear."
                )),
                material,
            ));
            continue;
        }
        let shear = Held::shear(case, load, ridge, material);
        let bending = Held::bending(case, load, ridge, material);
        let worn = if made || mate.seen.is_empty() { "" } else { ", where it is worn most" };
        let area = strength::shear_area(case.pitch, ridge.at, ridge.thick) * case.engaged.to_mm();
        let margin = |key, held: &Held, what: &str, formula: &'static str| {
            Figure::new(
                key,
                format!("what {} bears in {what} over that", material.name),
                Value::Number(1.0 / held.used(), 1),
                material.strength_source,
            )
            .formula(formula)
        };
        figures.extend([
            Figure::new(
                area_key,
                format!("area that shears in {whose}, at its least"),
                Value::Mm2(area),
                strength::AREA,
            )
            .formula("π D t L / P"),
            Figure::new(
                shear_key,
                format!("shear in {whose}{worn}"),
                Value::Mpa(shear.stress),
                strength::MOTT,
            )
            .formula("F P / (π D t L)"),
            margin(shear_margin, &shear, "shear", "(Sy / √3) / τ"),
            Figure::new(
                bending_key,
                format!("bending at the foot of {whose}{worn}"),
                Value::Mpa(bending.stress),
                strength::BENDING,
            )
            .formula("6 F a P / (π D t² L)"),
            margin(bending_margin, &bending, "bending", "Sy / σ"),
        ]);
        let held = if bending.used() > shear.used() { bending } else { shear };
        if held.used() > 1.0 {
            aside.note(gives_way(
                Text::from(format!("The load cannot be carried: it {} {whose} with ", held.does))
                    .v(Value::Mpa(held.stress))
                    .s(format!(", and {} {} ", material.name, material.gives_way()))
                    .v(Value::Mpa(held.bears))
                    .s(". A nut ")
                    .len(case.nut_of(case.engaged * held.used()))
                    .s(" long would bear it, and three times that is usual; or a stronger material, or a larger thread."),
                material,
            ));
        } else if held.used() * strength::SAFETY > 1.0 {
            aside.note(
                Note::warning(
                    Text::from(format!("The load {} {whose} with ", held.does))
                        .v(Value::Mpa(held.stress))
                        .s(format!(
                            ", more than a third of what {} bears: it {} ",
                            material.name,
                            material.gives_way()
                        ))
                        .v(Value::Mpa(held.bears))
                        .s("."),
                )
                .field("make.load")
                .source(material.strength_source),
            );
        }
    }
}

/// The load is more than this material bears: nothing may be made or offered for it.
pub(in crate::fit) fn gives_way(text: Text, material: &Material) -> Note {
    Note::impossible(text).field("make.load").source(material.strength_source)
}

/// Length of nut that the load asks for with these materials: by pressure at its speed, and by shear and bending of both
/// ridges with [`strength::SAFETY`]; whole turns. None where nothing limits the pressure, or nothing bears.
pub(in crate::fit) fn length_by_load(
    case: &Case,
    load: Force,
    (nut, screw): (&Material, &Material),
) -> Option<Length> {
    let bears = case.h1 > Length::ZERO && case.shear.iter().all(|r| r.thick > Length::ZERO);
    let allowed = case.allowed(nut).filter(|_| bears && case.engaged > Length::ZERO)?;
    let by_pressure = strength::bearing_length(load, case.pitch, case.d2, case.h1, allowed.mpa);
    let by_ridges = case.shear.into_iter().flat_map(|ridge| {
        let material = if ridge.of == Element::Internal { nut } else { screw };
        let area = strength::shear_area(case.pitch, ridge.at, ridge.thick);
        let bending = Held::bending(case, load, ridge, material);
        [
            strength::shear_length(load, material.shear_bears_mpa() / strength::SAFETY, area),
            case.engaged * (bending.used() * strength::SAFETY),
        ]
    });
    let asked = case.nut_of(by_ridges.fold(by_pressure, Length::max));
    Some(case.pitch * (asked / case.pitch - SLACK).ceil().max(1.0))
}

/// Adds the length of nut that the load asks for.
pub(super) fn follows(fit: &Fit, case: &Case, load: Force, figures: &mut Vec<Figure>, aside: &mut Aside) {
    let Some(asked) = length_by_load(case, load, (case.nut, case.screw)) else { return };
    figures.push(
        Figure::new(
            "length_by_load",
            "length of nut that the load asks for, by pressure, shear and bending, whole turns",
            Value::Length(asked, Fine::Coarse),
            Source::derived(
                "the longest of the lengths that keep to the pressure and to a third of what the ridges bear",
            ),
        )
        .formula("max(F P / (π d2 H1 p), 3 F P / (π D t τ), 18 F a P / (π D t² σ))"),
    );
    if asked > case.whole && asked > fit.thread.nominal * strength::LONGEST_SENSE {
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
