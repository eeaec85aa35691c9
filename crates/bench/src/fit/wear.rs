//! Whether the mate may stay, with the numbers and their origin.

use super::engaged::mate_length;
use super::mate::Mate;
use super::sizes::Sized;
use super::{Aside, Fit, caution, load, missing_by_book, other, strength, word};
use crate::job::{Duty, Job};
use crate::material;
use crate::report::{Block, Fine, Mark, Note, Row, Table, Text, Value, capital, columns};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Element, Force, Length, Source};

/// Whether the mate may stay.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wear {
    /// It may stay.
    Stays,
    /// It will do, but a new part cannot make it good: think of renewing it.
    Consider,
    /// It has to go too.
    Replace,
}

impl Wear {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Stays => "may stay",
            Self::Consider => "think of renewing it",
            Self::Replace => "has to go too",
        }
    }
}

/// From this spread of play along the travel on, the mate is doubtful, and from the second it has to go: 0.010 and
/// 0.020 in.
const SPREAD: (Length, Length) = (Length::mm(0.25), Length::mm(0.5));
/// The same as shares of the pitch, for fine threads: a tenth of the ridge's thickness, and a fifth of it.
const SHARE: (f64, f64) = (0.05, 0.10);
/// Origin of the spread.
pub(super) const SPREAD_SOURCE: Source = Source::practice(
    "play that varies by 0.25 to 0.5 mm along the travel is the screw's wear, which a nut cannot cure; at most 5 and 10 % of the pitch",
);
/// Wear of the ridge as a share of its thickness: half of what puts a screw jack out of use, and that.
pub(super) const THINNED: (f64, f64) = (0.10, 0.20);
pub(super) const THINNED_SOURCE: Source = Source::table(
    "jack maker's note on wear (GH Jacks)",
    "out of use at 20 % thread wear; half of that to think of it, and half of either where a load hangs (chosen here)",
);
/// Share of the limits on wear and shear that is left where a load hangs on the thread. Chosen here.
const HANGING: f64 = 0.5;
/// Width of the crest left, as a share of that made, under which it is doubtful and has to go. Chosen here.
const CREST: (f64, f64) = (0.5, 0.25);
/// Width of the crest, as a share of that made, from which on the readings are asked about: they err by a few per cent.
/// Chosen here.
const WIDER: f64 = 1.1;
const CREST_SOURCE: Source = Source::choice(
    "a crest worn below half of its width wears fast, below a quarter it chips; half of the loss where a load hangs",
);
/// Lead error over 300 mm: what rolled screws are sold to, and three times that (chosen here).
const LEAD: (Length, Length) = (Length::mm(0.15), Length::mm(0.45));
const LEAD_SOURCE: Source = Source::practice(
    "rolled screws are sold to 0.006 in per foot, 0.15 mm over 300 mm; three times that to renew",
);
const LEAD_OVER: Length = Length::mm(300.0);
/// Part of the way from the play at the tightest place to the most that the use bears, from which the mate is doubtful.
/// Chosen here.
const HALF_WAY: f64 = 0.5;
const BEARS_SOURCE: Source =
    Source::choice("the most play that the job says the use bears; half way to it to think of it");
/// Run-out over 300 mm of length: twice the straightness that rolled screws are sold to, and three times that.
const BENT: (Length, Length) = (Length::mm(0.5), Length::mm(1.5));
const BENT_SOURCE: Source = Source::table(
    "screw maker's data (Nook), straightness",
    "rolled screws straight within 0.010 in per foot, which runs out by twice that; three times that to renew (chosen here)",
);
const SHEAR_SOURCE: Source = Source::practice(
    "to think of it from a third of what the material yields at in shear, to renew from two thirds; half of either where a load hangs (chosen here)",
);

/// One reason to renew the mate, or not to.
struct Criterion {
    key: &'static str,
    what: &'static str,
    found: Value,
    consider: Value,
    replace: Value,
    wear: Wear,
    source: Source,
}

/// By a value that grows with wear: from a limit on, the limit itself with it.
fn grows<T: PartialOrd>(found: &T, (consider, replace): (&T, &T)) -> Wear {
    if found >= replace {
        Wear::Replace
    } else if found >= consider {
        Wear::Consider
    } else {
        Wear::Stays
    }
}

impl Criterion {
    fn length(
        key: &'static str,
        what: &'static str,
        found: Length,
        limit: (Length, Length),
        source: Source,
    ) -> Self {
        let shown = |l| Value::Length(l, Fine::Shop);
        Self {
            key,
            what,
            found: shown(found),
            consider: shown(limit.0),
            replace: shown(limit.1),
            wear: grows(&found, (&limit.0, &limit.1)),
            source,
        }
    }
}

/// Judges the mate, says so, and gives the verdict; none where its flanks were not read.
pub(super) fn report(
    fit: &mut Fit,
    mate: &Mate,
    sized: &Sized,
    job: &Job,
    aside: &mut Aside,
) -> Option<Wear> {
    let (tight, loose) = mate.tightest().zip(mate.loosest())?;
    let basic = fit.thread.basic();
    let p = basic.p;
    let mut all = Vec::new();
    // Whoever clamps does not mind the play, and a nut's is one play wherever the screw stands in it.
    let travels = job.make.duty != Duty::Clamp && mate.element == Element::External && mate.seen.len() > 1;
    if let Some(course) = sized.course.as_ref().filter(|_| travels || job.make.play_most.is_some()) {
        let [tightest, loosest] = [course.tightest, course.loosest].map(|spot| sized.spot(spot).play());
        all.push(if let Some(most) = job.make.play_most {
            let limit = (tightest + (most - tightest) * HALF_WAY, most);
            Criterion::length("play", "play where it is loosest", loosest, limit, BEARS_SOURCE)
        } else {
            let limit = (SPREAD.0.min(p * SHARE.0), SPREAD.1.min(p * SHARE.1));
            Criterion::length(
                "spread",
                "play varies along the travel by",
                loosest - tightest,
                limit,
                SPREAD_SOURCE,
            )
        });
    }
    // What the mate was made without is no wear.
    let made_without = missing_by_book(fit.book.as_ref(), mate.element, &basic, sized.slope)
        .map_or(tight.missing, |(_, most)| most.min(tight.missing));
    let worn = (loose.missing - made_without).max(Length::ZERO);
    let hangs = job.make.duty == Duty::Lift;
    let share = if hangs { HANGING } else { 1.0 };
    all.push(thinned(worn, p, share));
    all.extend(crest(mate, worn, (&basic, sized.slope), share, aside));
    all.extend(shear(fit, mate, (sized, &basic), share, job));
    if let Some(course) = sized.course.as_ref().filter(|c| c.along.lead.is_proved()) {
        let over = course.lead_error_over(LEAD_OVER);
        all.push(Criterion::length("lead", "lead error over 300 mm", over, LEAD, LEAD_SOURCE));
    }
    if let Some(run_out) = mate.run_outs.iter().map(|r| r.value).reduce(Length::max) {
        let mut length = sized.course.as_ref().map_or(LEAD_OVER, |c| c.mate_length);
        if mate_length(&job.make).is_none() {
            // Between the places read, which may lie close together, a screw is no shorter than what the limit is for.
            length = length.max(LEAD_OVER);
            aside.need(
                "make.mate_length",
                "length of the mate's thread: a run-out is judged, and taken from the play, over the length it turns on",
            );
        }
        let over = run_out * (LEAD_OVER / length);
        all.push(Criterion::length("bend", "run-out over 300 mm", over, BENT, BENT_SOURCE));
    }
    let worst = all.iter().map(|c| c.wear).max()?;
    fit.detail.push(Block::Table(table(fit, &all)));
    let verdict = (worst > Wear::Stays || mate.seen.len() > 1).then_some(worst);
    match verdict {
        Some(verdict) => say(fit, &all, (verdict, hangs), aside),
        None => aside.note(Note::remark(format!(
            "The {}'s thread was read at one place, which tells nothing of the wear along it: whether it may stay is open.",
            word(mate.element)
        )).field("reading")),
    }
    verdict
}

/// Of the limits this share.
fn thinned(worn: Length, pitch: Length, share: f64) -> Criterion {
    let found = worn / (pitch / 2.0);
    let limit = (THINNED.0 * share, THINNED.1 * share);
    Criterion {
        key: "thinned",
        what: "ridge worn thinner by",
        found: Value::Share(found),
        consider: Value::Share(limit.0),
        replace: Value::Share(limit.1),
        wear: grows(&found, (&limit.0, &limit.1)),
        source: THINNED_SOURCE,
    }
}

/// What is left of the crest's width: less what the flanks lost, more what a lower crest gains. None where it was no
/// flat. Of the loss that the limits bear this share.
fn crest(
    mate: &Mate,
    worn: Length,
    (basic, slope): (&Basic, f64),
    share: f64,
    aside: &mut Aside,
) -> Option<Criterion> {
    let (made, lowered) = match mate.element {
        Element::External => (basic.crest_width, basic.d - mate.smallest_major().unwrap_or(basic.d)),
        Element::Internal => {
            let bore = mate.minors.iter().map(|m| m.value).reduce(Length::max);
            let width = basic.p / 2.0 - (basic.d2 - basic.d1_internal) * slope;
            (width, bore.unwrap_or(basic.d1_internal) - basic.d1_internal)
        }
    };
    if made < basic.p * 0.2 {
        return None;
    }
    let left = ((made - worn + lowered.max(Length::ZERO) * slope) / made).max(0.0);
    if left > WIDER {
        aside.note(
            Note::warning(
                Text::from(format!("By its diameters the {}'s crest would be ", word(mate.element)))
                    .v(Value::Share(left))
                    .s(" as wide as it was made: more came off its crests than its flanks allow for. Were they turned or filed down, or is it another thread? Read the diameter and the thickness again."),
            )
            .field("reading"),
        );
    }
    let left = left.min(1.0);
    let limit = (1.0 - (1.0 - CREST.0) * share, 1.0 - (1.0 - CREST.1) * share);
    Some(Criterion {
        key: "crest",
        what: "width of its crest that is left",
        found: Value::Share(left),
        consider: Value::Share(limit.0),
        replace: Value::Share(limit.1),
        wear: grows(&-left, (&-limit.0, &-limit.1)),
        source: CREST_SOURCE,
    })
}

/// Shear of the mate's thinnest ridge at the part's crests under the load.
fn shear(
    fit: &Fit,
    mate: &Mate,
    (sized, basic): (&Sized, &Basic),
    share: f64,
    job: &Job,
) -> Option<Criterion> {
    let load = job.make.load.filter(|l| *l > Force::ZERO)?;
    let stuff = job
        .make
        .mate_material
        .as_deref()
        .and_then(material::material)
        .unwrap_or_else(|| material::default_mate(fit.part));
    let ridge = load::ridges(fit, mate, sized, basic).into_iter().find(|r| r.of == mate.element)?;
    let yields = stuff.shear_bears_mpa();
    let tau = if ridge.thick > Length::ZERO {
        strength::shear_mpa(load, basic.p, ridge.at, ridge.thick, fit.engaged.carries)
    } else {
        f64::INFINITY
    };
    let limit = (share * yields / strength::SAFETY, 2.0 * share * yields / strength::SAFETY);
    Some(Criterion {
        key: "shear",
        what: "shear in its ridge where it is thinnest",
        found: Value::Mpa(tau),
        consider: Value::Mpa(limit.0),
        replace: Value::Mpa(limit.1),
        wear: grows(&tau, (&limit.0, &limit.1)),
        source: SHEAR_SOURCE,
    })
}

fn table(fit: &Fit, all: &[Criterion]) -> Table {
    let rows = all
        .iter()
        .map(|c| Row {
            cells: vec![
                Value::Word(capital(c.what)),
                c.found.clone(),
                c.consider.clone(),
                c.replace.clone(),
                Value::Word(c.wear.words().to_owned()),
                Value::Word(c.source.to_string()),
            ],
            mark: match c.wear {
                Wear::Stays | Wear::Consider => Mark::Plain,
                Wear::Replace => Mark::Bad,
            },
        })
        .collect();
    Table {
        key: "mate_stays",
        title: format!("Whether the {} may stay", word(other(fit.part))),
        columns: columns(&[
            ("what", "what"),
            ("found", "found"),
            ("consider", "think of it from"),
            ("replace", "renew from"),
            ("verdict", "verdict"),
            ("source", "from"),
        ]),
        rows,
        source: None,
    }
}

/// `hangs`: a load hangs on the thread.
fn say(fit: &Fit, all: &[Criterion], (verdict, hangs): (Wear, bool), aside: &mut Aside) {
    let mate = word(other(fit.part));
    let because = |wear: Wear| {
        all.iter().filter(move |c| c.wear == wear).enumerate().fold(Text::new(), |text, (i, c)| {
            text.s(if i > 0 { "; " } else { "" }).s(format!("{} ", c.what)).v(c.found.clone())
        })
    };
    let source = all.iter().find(|c| c.wear == verdict).map_or(SPREAD_SOURCE, |c| c.source);
    let note = match verdict {
        Wear::Stays => Note::remark(
            all.iter()
                .find(|c| c.key == "spread")
                .map_or_else(Text::new, |c| Text::from("The play varies along the travel by ").v(c.found.clone()).s(". "))
                .s(format!("The {mate} may stay. End play of a thrust collar adds to what the dial shows.")),
        ),
        Wear::Consider => Note::warning(Text::from(format!("Of the {mate}: ")).text(because(verdict)).s(format!(
            ". That is its own state, and no new {} cures it. Think of renewing the {mate} as well, or say so to the customer.",
            word(fit.part)
        ))),
        Wear::Replace => Note::warning(Text::from(format!("Of the {mate}: ")).text(because(verdict)).s(format!(
            ". The {mate} has to go too: a {} made for it as it is would not last, or would not be tight in the worn part and pass the rest.",
            word(fit.part)
        )))
        .field("make.mate_new"),
    };
    aside.note(note.source(source));
    if hangs && verdict > Wear::Stays {
        aside.note(caution::worn_and_lifting());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_counts_from_itself_on() {
        assert_eq!(grows(&0.09, (&0.10, &0.20)), Wear::Stays);
        assert_eq!(grows(&0.10, (&0.10, &0.20)), Wear::Consider);
        assert_eq!(grows(&0.20, (&0.10, &0.20)), Wear::Replace);
    }

    /// A jack's thread at 20 % wear, the published limit: of a ridge 2.5 mm thick, 0.5 mm.
    #[test]
    fn a_fifth_of_the_ridge_is_the_published_limit() {
        let mm = Length::mm;
        assert_eq!(thinned(mm(0.499), mm(5.0), 1.0).wear, Wear::Consider);
        assert_eq!(thinned(mm(0.501), mm(5.0), 1.0).wear, Wear::Replace);
        assert_eq!(thinned(mm(0.2), mm(5.0), 1.0).wear, Wear::Stays);
        assert_eq!(thinned(mm(0.2), mm(5.0), HANGING).wear, Wear::Consider);
    }
}
