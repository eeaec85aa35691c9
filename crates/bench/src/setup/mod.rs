//! Setup: gears, speed, half-nuts, and the order of setting up.

mod banjo;
mod chart;
mod half_nuts;
mod lead;
mod ratio;
mod reaction;
mod say;
mod search;
mod slot;
mod speed;
mod starts;
mod steps;
mod stop;
mod train;

pub use chart::chart;
pub use lead::parse_lead;
pub use reaction::{GUESS_S, PERCENTILE, Tries, tries};
pub use say::trains_table;
pub use speed::{HANDS_S, Room, rpm_for_room, rpm_for_surface, surface_at, travel, undercut_widths};
pub use train::{Idler, Layout, Seat, Train};

use crate::fit::{Fit, default_play};
use crate::job::{ChuckMount, Infeed, Job, Lathe};
use crate::report::{Block, Figure, Fine, Note, Outcome, Text, Value};
use crate::tool::Tool;
use flankwise_thread::{Hand, Length, Source};
use ratio::Ratio;

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
    /// Error of lead over the thread's length, with the train to go by.
    pub error_over_length: Option<Length>,
    /// What an error of lead comes to in this part.
    pub stakes: Stakes,
    /// Half-nut rule for the first train.
    pub half_nuts: HalfNuts,
    /// How to come from one start, at its full depth, to the next; none with one start.
    pub next_start: Option<Text>,
    /// Spindle speed to use, rev/min (from the lathe's list where it has one); none where none of them can be stopped in
    /// the room there is, or nothing is said of the room nor of the speeds.
    pub rpm: Option<f64>,
    /// Speed from surface speed, rev/min.
    pub rpm_surface: f64,
    /// Highest speed at which the person can stop in the room there is; none where nothing limits it, or nobody has
    /// said how much there is.
    pub rpm_reaction: Option<f64>,
    /// Room for the tool to stop in.
    pub room: Room,
    /// Overrun at the speed used.
    pub overrun: Option<Length>,
    /// The spindle brings the tool back under power; else it is turned back by hand where the half-nuts stay closed.
    pub runs_back: bool,
    /// The thread is cut from its inner end outwards: a left-hand one.
    pub cut_outwards: bool,
    /// Remaining figures, tables and steps (holding, centring order).
    pub detail: Vec<Block>,
}

impl Setup {
    /// The train to go by: the first that meshes, where its error does not bind.
    pub fn train(&self) -> Option<&Train> {
        self.trains.first().filter(|t| t.meshes && self.stakes.serves(t))
    }

    /// How far past the end of the thread the front of the tool comes at most: until the carriage stands, by the tool's
    /// own width more, and no farther than the room there is. None where every pass ends outside the work, and where
    /// neither speed nor room is known.
    pub fn past_the_end(&self, fit: &Fit, job: &Job) -> Option<Length> {
        let ends_outside = self.cut_outwards && self.half_nuts != HalfNuts::KeepClosed;
        let stands = self.overrun.map(|overrun| overrun + fit.groove_top_width);
        let farthest = stands.into_iter().chain(job.cutting.room).reduce(Length::min);
        farthest.filter(|_| !ends_outside)
    }
}

/// Whether the spindle may be run backwards under power to bring the tool back: a chuck that is screwed on unscrews.
fn runs_back(lathe: &Lathe) -> bool {
    lathe.reverses && lathe.chuck != Some(ChuckMount::ScrewedOn)
}

/// What an error of lead comes to: over the length in engagement it eats the play.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stakes {
    /// Length in engagement.
    pub engaged: Length,
    /// Relative error at which it would bind.
    pub binds: f64,
}

impl Stakes {
    /// Error over the length in engagement.
    pub fn off(self, train: &Train) -> Length {
        self.engaged * (train.error_ppm * 1e-6)
    }
    /// Whether a train cuts the lead near enough to run at all.
    pub fn serves(self, train: &Train) -> bool {
        train.error_ppm.abs() * 1e-6 <= self.binds
    }
    /// What that does here, in words.
    pub fn words(self, train: &Train) -> String {
        let share = (train.error_ppm * 1e-6 / self.binds).abs();
        match share {
            0.0 => "exact".to_owned(),
            s if s < 0.01 => "does not matter here".to_owned(),
            s if s <= SMALL_SHARE => format!("takes {:.0} % of the play: does not matter here", s * 100.0),
            s if s <= 1.0 => format!("takes {:.0} % of the play", s * 100.0),
            _ => "binds".to_owned(),
        }
    }
}

/// All trains of a lathe for a lead, best first among those that mesh, then those that do not; at most `most`.
/// Also says how many were looked at. Empty where nothing comes within half of the lead, or the lead is not
/// positive. `hand` matters where no lever reverses the lead screw: the train then turns it the right way.
///
/// Ratio: product of drivers / product of driven = lead / lead screw's lead (F. D. Jones, Turning and Boring, p. 93).
pub fn trains(lathe: &Lathe, lead: Length, hand: Hand, most: usize) -> (Vec<Train>, usize) {
    let (Some(search), Some(lead)) = (search::Search::new(lathe, hand), Ratio::of(lead)) else {
        return (Vec::new(), 0);
    };
    let found = search.run(lead, most, search::Leeway::default());
    let mut trains = found.meshing;
    trains.extend(found.others);
    trains.truncate(most);
    (trains, found.searched)
}

/// Single gears not on hand, each with the nearest train that it brings within a relative error of `limit` and that
/// meshes, best first: every count from 15 to 127 teeth is tried.
pub fn gears_to_get(lathe: &Lathe, lead: Length, hand: Hand, limit: f64) -> Vec<(u32, Train)> {
    search::gears_to_get(lathe, lead, hand, limit)
}

/// A pair of gears that cuts a lead exactly and meshes, where the gears on hand and one more make no train.
pub fn pair_to_get(lathe: &Lathe, lead: Length, hand: Hand) -> Option<Train> {
    search::pair_to_get(lathe, lead, hand)
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
pub fn work(fit: &Fit, tool: &Tool, job: &Job) -> Outcome<Setup> {
    let Some(lathe) = &job.lathe else { return without_lathe(fit, tool, job) };
    let lead = fit.thread.lead();
    let (Some(search), Some(exact_lead)) = (search::Search::new(lathe, fit.thread.hand), Ratio::of(lead))
    else {
        return Outcome::missing(
            "lathe.lead_screw",
            "the lead screw's pitch, above zero, from which the gears follow",
        );
    };
    // How far off a lead may be: over the length in engagement the error eats the play.
    let play = play_to_keep(fit, job);
    let engaged = fit.engaged.longest;
    let binds = (play / engaged).abs();
    let stakes = Stakes { engaged, binds };
    let leeway = search::Leeway {
        within: (SMALL_SHARE * binds).min(chart::ACCEPTED),
        // Only with the very lead can the half-nuts be closed again; where they stay closed anyway, near is as good.
        exact_first: half_nuts::of_lead(lathe, exact_lead) != HalfNuts::KeepClosed,
    };
    let found = search.run(exact_lead, SHOWN, leeway);
    let searched = found.searched;
    let best = found.meshing.first().cloned();
    let mut notes = Vec::new();
    let error = best.as_ref().map(|t| t.error_ppm.abs() * 1e-6);
    if error.is_none_or(|e| e > binds) {
        let nearest = best.as_ref().or(found.others.first());
        notes
            .push(out_of_span(lathe, best.is_some()).unwrap_or_else(|| no_train(fit, lathe, nearest, binds)));
    } else if error.is_some_and(|e| e > SMALL_SHARE * binds) {
        notes.push(coarse_train(fit, lathe, engaged * error.unwrap_or(0.0), binds));
    }
    // Trains that do not mesh are worth a line where they would be nearer.
    let mut trains = found.meshing;
    let reach = error.map_or(f64::INFINITY, |e| if e <= leeway.within { 0.0 } else { e }) * 1e6;
    trains.extend(found.others.into_iter().filter(|t| t.error_ppm.abs() < reach).take(SHOWN_OTHERS));

    // A train that would bind is none to go by: the rule is then that of the lead itself, for the gears to be got.
    let best = best.filter(|t| stakes.serves(t));
    let half_nuts = match &best {
        Some(train) => half_nuts::of_train(lathe, train),
        None => half_nuts::of_lead(lathe, exact_lead),
    };
    if half_nuts == HalfNuts::KeepClosed && !runs_back(lathe) {
        notes.push(return_by_hand(lathe));
    }
    if !lathe.left_hand && lathe.right_hand_meshes.is_none() && best.is_some() {
        notes.push(
            Note::warning("No lever reverses this lead screw, so the number of pairs in mesh sets the hand. An even number is taken for a right-hand thread (the stud turning with the spindle, the lead screw right-hand): turn the spindle by hand and see which way the carriage goes.")
                .field("lathe.right_hand_meshes")
                .source(Source::derived("each pair in mesh turns the motion round")),
        );
    }
    notes.extend(listed_twice(lathe));
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

    let speed = speed::plan(fit, tool, job, lathe, &half_nuts);
    notes.extend(speed.notes.iter().cloned());
    let mut detail = vec![Block::Figures("Gears".into(), gear_figures(fit, lathe, lead, engaged, binds))];
    detail.extend(speed::blocks(&speed));
    detail.extend(stop::table(fit, lathe, &half_nuts, &speed).map(Block::Table));
    let ways = starts::ways(&starts::Asked {
        starts: fit.thread.starts,
        pitch: fit.thread.pitch.length,
        part: fit.part,
        lathe,
        compound_swung: matches!(job.cutting.infeed, Infeed::Flank | Infeed::ModifiedFlank)
            && lathe.compound_dial.is_some(),
        trains: &trains[..trains.iter().take_while(|t| t.meshes && stakes.serves(t)).count()],
        lead: best.as_ref().and_then(|t| search::lead_of(lathe, t)),
        screw: Ratio::of(lathe.lead_screw.length),
    });
    if !ways.is_empty() {
        detail.push(Block::Table(starts::table(&ways, fit.thread.starts)));
    }
    let steps = steps::steps(fit, job, lathe, best.as_ref(), &half_nuts, &speed);
    detail.push(Block::Steps("Setting up".into(), steps));
    detail.push(Block::Notes(vec![Note::remark(
        "The lathe maker's manual and local rules go before these steps.",
    )]));

    let setup = Setup {
        error_over_length: best.as_ref().map(|t| fit.length * (t.error_ppm * 1e-6)),
        stakes,
        trains,
        searched,
        half_nuts,
        next_start: starts::next(&ways),
        rpm: speed.rpm,
        rpm_surface: speed.rpm_surface,
        rpm_reaction: speed.rpm_reaction,
        room: speed.room,
        overrun: speed.overrun,
        runs_back: runs_back(lathe),
        cut_outwards: fit.thread.hand == Hand::Left,
        detail,
    };
    let mut outcome = Outcome::ready(setup);
    outcome.notes = notes;
    outcome.needs = speed.needs;
    outcome
}

/// The play that an error of lead must not eat up: that of the tightest place, else the one asked for.
fn play_to_keep(fit: &Fit, job: &Job) -> Length {
    let asked = job.make.play.unwrap_or_else(|| default_play(job.make.duty, fit.thread.pitch.length));
    fit.play_unset().unwrap_or(asked).max(LEAST_PLAY)
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
        Figure::new(
            "running_room",
            "least room for a gear to pass a shaft or another gear",
            Value::Length(banjo::RUNNING, Fine::Coarse),
            Source::choice("shafts bend, and gears run out by tenths"),
        ),
    ]
}

/// Half-nuts that stay closed, on a spindle that must not be reversed under power.
fn return_by_hand(lathe: &Lathe) -> Note {
    let note = if lathe.reverses {
        Note::warning("The half-nuts must stay closed for this lead, and the chuck is screwed on: reversing under power can unscrew it. After every pass stop the spindle, back the tool out and turn the spindle back by hand; or hold the work so that nothing can unscrew (the chuck's lock, a fastened chuck, a collet).")
            .field("lathe.chuck")
    } else {
        Note::warning("The half-nuts must stay closed for this lead, and the spindle does not reverse: every return is by hand.")
            .field("lathe.reverses")
    };
    note.source(Source::practice("a screwed-on chuck is not run backwards without its lock"))
}

fn get_words(fit: &Fit, lathe: &Lathe, limit: f64) -> Option<Text> {
    let mut options = search::gears_to_get(lathe, fit.thread.lead(), fit.thread.hand, limit);
    // Of several starts each is cut after the last: a gear on the stud that parts them spares other ways.
    options.sort_by_key(|(_, train)| !starts::parts(lathe, train, fit.thread.starts));
    let (teeth, train) = options.first()?;
    let mut text = Text::new()
        .s(format!("one gear of {teeth} teeth would do it, bought, cut or printed: {}", train.words()));
    text = if train.error_ppm == 0.0 {
        text.s(", exact")
    } else {
        text.s(", error ").v(Value::Ppm(train.error_ppm))
    };
    let others: Vec<String> = options.iter().skip(1).take(3).map(|(z, _)| z.to_string()).collect();
    if !others.is_empty() {
        text = text.s(format!(" (or one of {})", others.join(", ")));
    }
    if let Some(banjo) = &lathe.banjo {
        text = text
            .s(format!("; {teeth} teeth are "))
            .len(banjo.module * (f64::from(*teeth) + 2.0))
            .s(" across the tips, with bore, width and pressure angle as your others have them");
    }
    Some(text)
}

/// Gears that are listed more than once: the search takes each as a gear of its own.
fn listed_twice(lathe: &Lathe) -> Option<Note> {
    let mut gears = lathe.gears.clone();
    gears.sort_unstable();
    let mut twice: Vec<u32> = gears.windows(2).filter(|w| w[0] == w[1]).map(|w| w[0]).collect();
    twice.dedup();
    (!twice.is_empty()).then(|| {
        let list: Vec<String> = twice.iter().map(u32::to_string).collect();
        Note::remark(format!(
            "Listed more than once, and taken as so many gears on hand: {}.",
            list.join(", ")
        ))
        .field("lathe.gears")
    })
}

/// Stud and lead screw that stand where no gears on hand meet, if that is why nothing fits.
fn out_of_span(lathe: &Lathe, something_fits: bool) -> Option<Note> {
    let banjo = lathe.banjo.as_ref().filter(|_| !something_fits)?;
    let (shortest, longest) = banjo::span(lathe)?;
    let (field, read, accepted) = if banjo.centres_min > longest {
        ("lathe.banjo.centres_min", banjo.centres_min, Text::from("up to ").len(longest))
    } else if banjo.centres_max < shortest {
        ("lathe.banjo.centres_max", banjo.centres_max, Text::from("from ").len(shortest).s(" on"))
    } else {
        return None;
    };
    let text = Text::from("No gears on hand span the distance from stud to lead screw: read ").len(read);
    Some(Note::impossible(text.s("; accepted: ").text(accepted).s(", or other gears.")).field(field))
}

fn no_train(fit: &Fit, lathe: &Lathe, nearest: Option<&Train>, limit: f64) -> Note {
    let lead = Value::Length(fit.thread.lead(), Fine::Gauge);
    let mut text = Text::new().s("The gears on hand cannot cut ").v(lead);
    text = match nearest {
        None => text.s(" at all"),
        Some(t) if !t.meshes => text.s(": the nearest train does not fit (").text(t.why_not.clone()).s(")"),
        Some(t) => text.s(": the nearest train is off by ").v(Value::Ppm(t.error_ppm)),
    };
    text = text.s(". What would make it possible: ");
    let pair_words = || {
        let pair = search::pair_to_get(lathe, fit.thread.lead(), fit.thread.hand)?;
        Some(Text::from(format!("two gears, bought, cut or printed: {}, exact", pair.words())))
    };
    match get_words(fit, lathe, limit).or_else(pair_words) {
        Some(words) => text.0.extend(words.0),
        None if lathe.most_gears < 6 => {
            text = text.s("no single gear does; one more stud (a train of more gears), or another lathe");
        }
        None => text = text.s("no single gear does; another lathe"),
    }
    Note::impossible(text.s(".")).field("lathe.gears").source(RATIO_SOURCE)
}

fn coarse_train(fit: &Fit, lathe: &Lathe, off: Length, limit: f64) -> Note {
    let mut text = Text::new()
        .s("The nearest train is out by ")
        .v(Value::Length(off, Fine::Gauge))
        .s(" over the length in engagement, which comes off the play at its ends");
    if let Some(words) = get_words(fit, lathe, SMALL_SHARE * limit) {
        text = text.s("; ");
        text.0.extend(words.0);
    }
    Note::warning(text.s(".")).field("lathe.gears").source(LIMIT_SOURCE)
}

/// What can be said without a lathe.
fn without_lathe(fit: &Fit, tool: &Tool, job: &Job) -> Outcome<Setup> {
    let lead = fit.thread.lead();
    let (surface, source) = speed::surface_speed(fit, tool, job);
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
