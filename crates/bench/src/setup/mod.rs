//! Setup: gears, speed, half-nuts, and the order of setting up.

mod banjo;
mod half_nuts;
mod ratio;
mod say;
mod search;
mod speed;
mod steps;

pub use say::trains_table;
pub use speed::{rpm_for_room, rpm_for_surface, surface_at, travel};

use crate::fit::{Fit, default_play};
use crate::job::{Job, Lathe};
use crate::report::{Block, Figure, Fine, Note, Outcome, Text, Value};
use crate::tool::Tool;
use flankwise_thread::{Element, Hand, Length, Source};
use ratio::Ratio;

/// A gear train.
#[derive(Clone, Debug, PartialEq)]
pub struct Train {
    /// Driving gears, from the stud on.
    pub drivers: Vec<u32>,
    /// Driven gears, each in mesh with the driver of the same index.
    pub driven: Vec<u32>,
    /// Gear on the stud between the two of a simple train; it does not change the ratio.
    pub idler: Option<u32>,
    /// Gearbox setting, if the lathe has one.
    pub gearbox: Option<String>,
    /// Lead it cuts.
    pub lead: Length,
    /// Error of the lead in parts per million, signed: positive cuts too long.
    pub error_ppm: f64,
    /// Fits the banjo, and no gear runs into a stud.
    pub meshes: bool,
    /// Why not, if not.
    pub why_not: String,
}

impl Train {
    /// The train in words: `40 on the stud drives 50; beside it 30 drives 60 on the lead screw`.
    pub fn words(&self) -> String {
        let pairs: Vec<_> = self.drivers.iter().zip(&self.driven).collect();
        match pairs.as_slice() {
            [] => "no change gears".to_owned(),
            [(a, b)] => match self.idler {
                Some(i) => format!("{a} on the stud drives {b} on the lead screw through {i} as idler"),
                None => format!("{a} on the stud drives {b} on the lead screw"),
            },
            [(a, b), middle @ .., (y, z)] => {
                let mut words = format!("{a} on the stud drives {b}");
                for (c, d) in middle {
                    words += &format!("; beside it {c} drives {d}");
                }
                words + &format!("; beside it {y} drives {z} on the lead screw")
            }
        }
    }
}

/// Whether the half-nuts may be opened between passes.
#[derive(Clone, Debug, PartialEq)]
pub enum HalfNuts {
    /// At any place.
    Anywhere,
    /// At these marks of the threading dial (1-based), in words.
    Marks(Vec<u32>, String),
    /// At multiples of this carriage shift only; there is no dial that shows it.
    Shift(Length),
    /// Never: keep them closed and reverse the spindle.
    KeepClosed,
}

/// The rule for cutting `lead` with a lead screw of `lead_screw`, exactly as these are written. `None` where a
/// length is not positive.
pub fn half_nuts(lead_screw: Length, lead: Length, dial: Option<crate::job::ThreadDial>) -> Option<HalfNuts> {
    Some(half_nuts::rule(Ratio::of(lead_screw)?, Ratio::of(lead)?, dial))
}

/// The lathe as set up.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Trains, best first among those that mesh.
    pub trains: Vec<Train>,
    /// How many trains were looked at.
    pub searched: usize,
    /// Error of lead over the thread's length, with the first train.
    pub error_over_length: Length,
    /// Half-nut rule for the first train.
    pub half_nuts: HalfNuts,
    /// Spindle speed to use, rev/min (from the lathe's list where it has one).
    pub rpm: f64,
    /// Speed from surface speed, rev/min.
    pub rpm_surface: f64,
    /// Highest speed at which the person can stop in the room there is; none with the thread right through.
    pub rpm_reaction: Option<f64>,
    /// Overrun at the speed used.
    pub overrun: Length,
    /// Remaining figures, tables and steps (holding, centring order).
    pub detail: Vec<Block>,
}

/// All trains of a lathe for a lead, best first among those that mesh, then those that do not; at most `most`.
/// Also says how many were looked at. Empty where nothing comes within half of the lead, or the lead is not
/// positive.
///
/// Ratio: product of drivers / product of driven = lead / lead screw's lead (F. D. Jones, Turning and Boring, p. 93).
pub fn trains(lathe: &Lathe, lead: Length, most: usize) -> (Vec<Train>, usize) {
    let (Some(search), Some(lead)) = (search::Search::new(lathe), Ratio::of(lead)) else {
        return (Vec::new(), 0);
    };
    let found = search.run(lead, most);
    let mut trains = found.meshing;
    trains.extend(found.others);
    trains.truncate(most);
    (trains, found.searched)
}

const RATIO_SOURCE: Source = Source::formula("F. D. Jones, Turning and Boring", "p. 93: change gears");
const LIMIT_SOURCE: Source = Source::choice(
    "lead error over the engaged length must leave three quarters of the play; beyond the play it binds",
);

/// Share of the play that an error of lead may take without a word. Chosen here.
const SMALL_SHARE: f64 = 0.25;
/// Play that is reckoned with at least, or no train at all would serve a thread without play. Chosen here.
const LEAST_PLAY: Length = Length::um(5.0);
/// Trains shown: those that mesh, and those that are nearer but do not.
const SHOWN: usize = 8;
const SHOWN_OTHERS: usize = 4;

/// Sets up the lathe.
pub fn work(fit: &Fit, _tool: &Tool, job: &Job) -> Outcome<Setup> {
    let Some(lathe) = &job.lathe else { return without_lathe(fit, job) };
    let lead = fit.thread.lead();
    let (Some(search), Some(exact_lead)) = (search::Search::new(lathe), Ratio::of(lead)) else {
        return Outcome::missing(
            "lathe.lead_screw",
            "the lead screw's pitch, above zero, from which the gears follow",
        );
    };
    let found = search.run(exact_lead, SHOWN);
    let searched = found.searched;
    let best = found.meshing.first().cloned();
    let mut notes = Vec::new();

    // How far off a lead may be: over the length in engagement the error eats the play.
    let play = play_to_keep(fit, job);
    let engaged = match fit.part {
        Element::Internal => fit.length,
        // The nut's length is not known when the screw is made; nuts are seldom longer than two diameters.
        Element::External => fit.length.min(fit.thread.nominal * 2.0),
    };
    let binds = (play / engaged).abs();
    let error = best.as_ref().map(|t| t.error_ppm.abs() * 1e-6);
    if error.is_none_or(|e| e > binds) {
        notes.push(no_train(lathe, lead, best.as_ref().or(found.others.first()), binds));
    } else if error.is_some_and(|e| e > SMALL_SHARE * binds) {
        notes.push(coarse_train(lathe, lead, engaged * error.unwrap_or(0.0), binds));
    }
    // Trains that do not mesh are worth a line where they would be nearer.
    let mut trains = found.meshing;
    let reach = error.unwrap_or(f64::INFINITY) * 1e6;
    trains.extend(found.others.into_iter().filter(|t| t.error_ppm.abs() < reach).take(SHOWN_OTHERS));

    let half_nuts = best
        .as_ref()
        .and_then(|t| search::lead_of(lathe, t))
        .and_then(|cut| Some(half_nuts::rule(Ratio::of(lathe.lead_screw.length)?, cut, lathe.thread_dial)))
        .unwrap_or(HalfNuts::KeepClosed);
    if half_nuts == HalfNuts::KeepClosed && !lathe.reverses {
        notes.push(
            Note::warning("The half-nuts must stay closed for this lead, and the spindle does not reverse: every return is by hand.")
                .field("lathe.reverses"),
        );
    }
    if fit.thread.hand == Hand::Left && !lathe.left_hand {
        notes.push(
            Note::warning("Left-hand thread, but the lead screw cannot be reversed by a lever: put one idler more into the train (any gear that fits). Reversing the spindle does not help.")
                .field("lathe.left_hand"),
        );
    }
    if lathe.banjo.is_none() && best.as_ref().is_some_and(|t| t.drivers.len() > 1) {
        notes.push(
            Note::remark("Nothing is said of the banjo: that a train fits is judged by the rule that the pair in mesh should have 15 teeth more than the gear beside it.")
                .field("lathe.banjo")
                .source(Source::practice("15 to 20 teeth")),
        );
    }

    let turns = lead / lathe.lead_screw.length;
    if turns > OVERDRIVE {
        notes.push(
            Note::warning(
                Text::from("The lead screw turns ")
                    .v(Value::Number(turns, 2))
                    .s(" times for one turn of the spindle, which loads gears and stud heavily and moves the carriage fast. Turn it through by hand first, and use the lowest speed and light cuts; a hand crank on the lead screw, with the spindle free, drives it the easy way round."),
            )
            .field("lathe.gears")
            .source(Source::practice("step the lead screw up no more than about twice")),
        );
    }

    let speed = speed::plan(fit, job, lathe, &half_nuts);
    notes.extend(speed.notes.iter().cloned());
    let mut detail = vec![Block::Figures("Gears".into(), gear_figures(fit, lathe, lead, engaged, binds))];
    detail.extend(speed::blocks(&speed));
    let steps = steps::steps(fit, job, lathe, best.as_ref(), &half_nuts, speed.rpm, speed.overrun);
    detail.push(Block::Steps("Setting up".into(), steps));
    detail.push(Block::Notes(vec![Note::remark(
        "The lathe maker's manual and local rules go before these steps.",
    )]));

    let setup = Setup {
        error_over_length: best.as_ref().map_or(Length::ZERO, |t| fit.length * (t.error_ppm * 1e-6)),
        trains,
        searched,
        half_nuts,
        rpm: speed.rpm,
        rpm_surface: speed.rpm_surface,
        rpm_reaction: speed.rpm_reaction,
        overrun: speed.overrun,
        detail,
    };
    let mut outcome = Outcome::ready(setup);
    outcome.notes = notes;
    outcome.needs = speed.needs;
    outcome
}

/// The play that an error of lead must not eat up: that of the tightest place, else the one asked for.
fn play_to_keep(fit: &Fit, job: &Job) -> Length {
    let predicted = fit.play_range().map(|(tightest, _)| tightest);
    let asked = job.make.play.unwrap_or_else(|| default_play(job.make.duty, fit.thread.pitch.length));
    predicted.unwrap_or(asked).max(LEAST_PLAY)
}

/// Turns of the lead screw for one of the spindle beyond which the train is hard to drive. Common practice.
const OVERDRIVE: f64 = 2.0;

fn gear_figures(fit: &Fit, lathe: &Lathe, lead: Length, engaged: Length, binds: f64) -> Vec<Figure> {
    vec![
        Figure::new(
            "lead",
            "lead to cut",
            Value::Length(lead, Fine::Gauge),
            Source::derived("pitch times starts"),
        )
        .symbol("Ph")
        .formula(format!("P × {}", fit.thread.starts)),
        Figure::new(
            "ratio",
            "turns of the lead screw for one of the spindle",
            Value::Number(lead / lathe.lead_screw.length, 6),
            RATIO_SOURCE,
        )
        .formula("Ph / lead of the lead screw"),
        Figure::new(
            "engaged",
            "length in engagement",
            Value::Length(engaged, Fine::Coarse),
            Source::derived("length of the nut"),
        ),
        Figure::new(
            "error_limit",
            "error of lead at which it would bind",
            Value::Ppm(binds * 1e6),
            LIMIT_SOURCE,
        )
        .formula("play / length in engagement"),
    ]
}

fn get_words(lathe: &Lathe, lead: Length, limit: f64) -> Option<Text> {
    let options = search::gears_to_get(lathe, lead, limit);
    let (teeth, train) = options.first()?;
    let mut text = Text::new().s(format!("one gear of {teeth} teeth would do it: {}", train.words()));
    text = if train.error_ppm == 0.0 {
        text.s(", exact")
    } else {
        text.s(", error ").v(Value::Ppm(train.error_ppm))
    };
    let others: Vec<String> = options.iter().skip(1).take(3).map(|(z, _)| z.to_string()).collect();
    if !others.is_empty() {
        text = text.s(format!(" (or one of {})", others.join(", ")));
    }
    Some(text)
}

fn no_train(lathe: &Lathe, lead: Length, nearest: Option<&Train>, limit: f64) -> Note {
    let mut text = Text::new().s("The gears on hand cannot cut ").v(Value::Length(lead, Fine::Gauge));
    text = match nearest {
        None => text.s(" at all"),
        Some(t) if !t.meshes => text.s(format!(": the nearest train does not fit ({})", t.why_not)),
        Some(t) => text.s(": the nearest train is off by ").v(Value::Ppm(t.error_ppm)),
    };
    text = text.s(". What would make it possible: ");
    match get_words(lathe, lead, limit) {
        Some(words) => text.0.extend(words.0),
        None if lathe.most_gears < 6 => {
            text = text.s("no single gear does; one more stud (a train of more gears), or another lathe");
        }
        None => text = text.s("no single gear does; another lathe"),
    }
    Note::impossible(text.s(".")).field("lathe.gears").source(RATIO_SOURCE)
}

fn coarse_train(lathe: &Lathe, lead: Length, off: Length, limit: f64) -> Note {
    let mut text = Text::new()
        .s("The nearest train is out by ")
        .v(Value::Length(off, Fine::Gauge))
        .s(" over the length in engagement, which comes off the play at its ends");
    if let Some(words) = get_words(lathe, lead, SMALL_SHARE * limit) {
        text = text.s("; ");
        text.0.extend(words.0);
    }
    Note::warning(text.s(".")).field("lathe.gears").source(LIMIT_SOURCE)
}

/// What can be said without a lathe.
fn without_lathe(fit: &Fit, job: &Job) -> Outcome<Setup> {
    let lead = fit.thread.lead();
    let (surface, source) = speed::surface_speed(fit, job);
    let rpm = rpm_for_surface(surface, speed::cut_diameter(fit).aim);
    Outcome::missing("lathe", "the lathe: its lead screw, change gears, speeds and dials, from which gears, speed and dial settings follow")
        .note(
            Note::remark(
                Text::new()
                    .s("Without it this much holds: the tool stands up to ")
                    .v(Value::Rpm(rpm))
                    .s(" (")
                    .v(Value::SurfaceMPerMin(surface))
                    .s("); the gears must move the carriage by ")
                    .v(Value::Length(lead, Fine::Gauge))
                    .s(" for each turn of the spindle; at 100 rev/min it runs on by ")
                    .len(travel(100.0, lead, 0.5))
                    .s(" in half a second."),
            )
            .source(source),
        )
}
