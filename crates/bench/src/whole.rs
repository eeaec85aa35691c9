//! All stages of a job, worked in order.

use crate::check::{self, Check};
use crate::cut::{self, Cut};
use crate::evidence::{self, Evidence};
use crate::fit::{self, Fit};
use crate::identity::{self, Identity};
use crate::job::Job;
use crate::report::{Need, Note, NoteKind, Outcome, Section, StageName};
use crate::route::{self, Route, Way};
use crate::setup::{self, Setup};
use crate::tool::{self, Tool};

/// The outcome of every stage.
#[derive(Clone, Debug, PartialEq)]
pub struct Whole {
    /// Readings.
    pub evidence: Outcome<Evidence>,
    /// Ranking.
    pub identity: Outcome<Identity>,
    /// Sizes.
    pub fit: Outcome<Fit>,
    /// The part as the way chosen makes it, where that is not by the sizes of the fit.
    pub as_made: Option<Fit>,
    /// Ways.
    pub route: Outcome<Route>,
    /// Tool.
    pub tool: Outcome<Tool>,
    /// Lathe.
    pub setup: Outcome<Setup>,
    /// Passes.
    pub cut: Outcome<Cut>,
    /// Proof.
    pub check: Outcome<Check>,
}

/// Works every stage as far as its inputs allow.
pub fn work(job: &Job) -> Whole {
    let evidence = evidence::work(job);
    let identity = after(&evidence, StageName::Evidence, |e| identity::work(e, job));
    let fitted = |job: &Job| match (&evidence.result, &identity.result) {
        (Some(e), Some(i)) => fit::work(e, i, job),
        _ => waits_for(StageName::Identity),
    };
    let asked = fitted(job);
    let route = after(&asked, StageName::Fit, |f| route::work(f, job));
    // Ways are weighed for the part as asked; the one chosen then settles how its thread ends.
    let fit = match &route.result {
        Some(route) if route.goes_through() && !job.make.through => fitted(&job.right_through()),
        _ => asked,
    };
    let (tool, setup) = match &fit.result {
        Some(f) => tool_and_setup(f, job),
        None => (waits_for(StageName::Fit), waits_for(StageName::Tool)),
    };
    let cut = match (&fit.result, &tool.result) {
        (Some(f), Some(t)) => cut::work(f, t, setup.result.as_ref(), job),
        _ => waits_for(StageName::Tool),
    };
    let chosen = route.result.as_ref().and_then(Route::chosen_way);
    let as_made = chosen.zip(fit.result.as_ref()).and_then(|(way, f)| way.makes(f));
    let check = waits_for(StageName::Fit);
    let mut whole = Whole { evidence, identity, fit, as_made, route, tool, setup, cut, check };
    whole.prove(job);
    whole
}

/// The tool and the lathe. How far the tool goes past the end of the thread is the lathe's to say, and the bar must
/// reach there.
fn tool_and_setup(fit: &Fit, job: &Job) -> (Outcome<Tool>, Outcome<Setup>) {
    let before = tool::work(fit, job);
    let Some(first) = &before.result else { return (before, waits_for(StageName::Tool)) };
    let past = |setup: &Outcome<Setup>| setup.result.as_ref().and_then(|s| s.past_the_end(fit, job));
    let setup = setup::work(fit, first, job);
    let Some(runs_on) = past(&setup) else { return (before, setup) };
    let tool = tool::reaching(fit, Some(runs_on), job);
    match &tool.result {
        // A bar that is long enough may have another edge, and that another speed: the farther of both serves.
        Some(other) if other.carbide != first.carbide => {
            let setup = setup::work(fit, other, job);
            let farther = past(&setup).map_or(runs_on, |p| p.max(runs_on));
            (tool::reaching(fit, Some(farther), job), setup)
        }
        _ => (tool, setup),
    }
}

/// Works the job again with other passes done and other readings of the part: `before` is the same job but for these,
/// so that only the stages that look at them are worked.
pub fn work_at_the_lathe(before: &Whole, job: &Job) -> Whole {
    let mut whole = before.clone();
    if let (Some(f), Some(t)) = (&whole.fit.result, &whole.tool.result) {
        whole.cut = cut::work(f, t, whole.setup.result.as_ref(), job);
    }
    whole.prove(job);
    whole
}

fn after<T, U>(left: &Outcome<T>, stage: StageName, next: impl FnOnce(&T) -> Outcome<U>) -> Outcome<U> {
    match &left.result {
        Some(result) => next(result),
        None => waits_for(stage),
    }
}

fn waits_for<T>(stage: StageName) -> Outcome<T> {
    Outcome::missing(stage.key(), format!("this waits for the stage “{}”", stage.title()))
}

/// One stage's outcome as every face shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct Said<'a> {
    /// Which stage.
    pub stage: StageName,
    /// What it says, if it has a result.
    pub section: Option<Section>,
    /// What it lacks.
    pub needs: &'a [Need],
    /// Notes.
    pub notes: &'a [Note],
    /// What the stages that this one builds on found impossible, each named: it cannot be done as asked either.
    pub barred: Vec<Note>,
}

impl Said<'_> {
    /// Whether this stage, or one that it builds on, found that something asked for cannot be made or done.
    pub fn impossible(&self) -> bool {
        !self.barred.is_empty() || self.notes.iter().any(|n| n.kind == NoteKind::Impossible)
    }
}

impl Whole {
    /// The part as it is made: by the sizes of the fit, or as the way chosen makes it.
    pub fn made(&self) -> Option<&Fit> {
        self.as_made.as_ref().or(self.fit.result.as_ref())
    }

    /// Works the proof of the part as it is made.
    fn prove(&mut self, job: &Job) {
        if let Some(made) = self.made() {
            // Passes have no part in what a tap, a maker or a mould settles.
            let cut = self.cut.result.as_ref().filter(|_| self.as_made.is_none());
            self.check = check::work(made, cut, job);
        }
    }

    /// What one stage says.
    pub fn said(&self, stage: StageName) -> Said<'_> {
        let section = match stage {
            StageName::Evidence => self.evidence.result.as_ref().map(Evidence::section),
            StageName::Identity => self.identity.result.as_ref().map(Identity::section),
            StageName::Fit => self.fit.result.as_ref().map(Fit::section),
            StageName::Route => self.route.result.as_ref().map(Route::section),
            StageName::Tool => self.tool.result.as_ref().map(Tool::section),
            StageName::Setup => self.setup.result.as_ref().map(Setup::section),
            StageName::Cut => self.cut.result.as_ref().map(Cut::section),
            StageName::Check => self.check.result.as_ref().map(Check::section),
        };
        let (needs, notes) = self.lists(stage);
        Said { stage, section, needs, notes, barred: self.barred(stage) }
    }

    /// What the stages that `stage` builds on found impossible.
    fn barred(&self, stage: StageName) -> Vec<Note> {
        let turned = || {
            let way = self.route.result.as_ref().and_then(Route::taken);
            way.is_some_and(Way::by_single_point)
        };
        let builds_on: &[StageName] = match stage {
            StageName::Route if turned() => &[StageName::Tool, StageName::Setup],
            StageName::Evidence | StageName::Identity | StageName::Fit | StageName::Route => &[],
            StageName::Tool | StageName::Check => &[StageName::Fit],
            StageName::Setup => &[StageName::Fit, StageName::Tool],
            StageName::Cut => &[StageName::Fit, StageName::Tool, StageName::Setup],
        };
        let notes = builds_on.iter().flat_map(|&from| self.lists(from).1.iter().map(move |n| (from, n)));
        notes.filter(|(_, n)| n.kind == NoteKind::Impossible).map(|(from, n)| n.of_stage(from)).collect()
    }

    /// What a stage lacks, and its notes.
    pub(crate) fn lists(&self, stage: StageName) -> (&[Need], &[Note]) {
        fn of<T>(outcome: &Outcome<T>) -> (&[Need], &[Note]) {
            (&outcome.needs, &outcome.notes)
        }
        match stage {
            StageName::Evidence => of(&self.evidence),
            StageName::Identity => of(&self.identity),
            StageName::Fit => of(&self.fit),
            StageName::Route => of(&self.route),
            StageName::Tool => of(&self.tool),
            StageName::Setup => of(&self.setup),
            StageName::Cut => of(&self.cut),
            StageName::Check => of(&self.check),
        }
    }

    /// Whether any stage found that something asked for cannot be made or done.
    pub fn impossible(&self) -> bool {
        StageName::ALL.iter().any(|&s| self.lists(s).1.iter().any(|n| n.kind == NoteKind::Impossible))
    }
}
