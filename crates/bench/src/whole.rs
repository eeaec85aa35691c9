//! All stages of a job, worked in order.

use crate::check::{self, Check};
use crate::cut::{self, Cut};
use crate::evidence::{self, Evidence};
use crate::fit::{self, Fit};
use crate::identity::{self, Identity};
use crate::job::Job;
use crate::report::{Note, Outcome, Section, StageName};
use crate::route::{self, Route};
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
    let tool = after(&fit, StageName::Fit, |f| tool::work(f, job));
    let setup = match (&fit.result, &tool.result) {
        (Some(f), Some(t)) => setup::work(f, t, job),
        _ => waits_for(StageName::Tool),
    };
    let cut = match (&fit.result, &tool.result) {
        (Some(f), Some(t)) => cut::work(f, t, setup.result.as_ref(), job),
        _ => waits_for(StageName::Tool),
    };
    let check = after(&fit, StageName::Fit, |f| check::work(f, cut.result.as_ref(), job));
    Whole { evidence, identity, fit, route, tool, setup, cut, check }
}

/// Works the job again with other passes done and other readings of the part: `before` is the same job but for these,
/// so that only the stages that look at them are worked.
pub fn work_at_the_lathe(before: &Whole, job: &Job) -> Whole {
    let mut whole = before.clone();
    if let (Some(f), Some(t)) = (&whole.fit.result, &whole.tool.result) {
        whole.cut = cut::work(f, t, whole.setup.result.as_ref(), job);
    }
    if let Some(f) = &whole.fit.result {
        whole.check = check::work(f, whole.cut.result.as_ref(), job);
    }
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
    pub needs: &'a [crate::report::Need],
    /// Notes.
    pub notes: &'a [Note],
}

impl Whole {
    /// What one stage says.
    pub fn said(&self, stage: StageName) -> Said<'_> {
        fn of<'a, T>(stage: StageName, outcome: &'a Outcome<T>, section: impl Fn(&T) -> Section) -> Said<'a> {
            Said {
                stage,
                section: outcome.result.as_ref().map(section),
                needs: &outcome.needs,
                notes: &outcome.notes,
            }
        }
        match stage {
            StageName::Evidence => of(stage, &self.evidence, Evidence::section),
            StageName::Identity => of(stage, &self.identity, Identity::section),
            StageName::Fit => of(stage, &self.fit, Fit::section),
            StageName::Route => of(stage, &self.route, Route::section),
            StageName::Tool => of(stage, &self.tool, Tool::section),
            StageName::Setup => of(stage, &self.setup, Setup::section),
            StageName::Cut => of(stage, &self.cut, Cut::section),
            StageName::Check => of(stage, &self.check, Check::section),
        }
    }

    /// Whether any stage found that something asked for cannot be made or done.
    pub fn impossible(&self) -> bool {
        StageName::ALL
            .iter()
            .any(|&s| self.said(s).notes.iter().any(|n| n.kind == crate::report::NoteKind::Impossible))
    }
}
