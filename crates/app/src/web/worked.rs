//! Computed jobs, kept by their text: a page, its pieces and its PDF then share one computation.

use flankwise_bench::job::{self, Job, Kind, Lathe, Problem, Typed};
use flankwise_bench::{Whole, work, work_at_the_lathe};
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

/// A job's text, read and worked as far as it goes.
pub struct Worked {
    /// The text.
    pub text: String,
    /// Its fields, as typed.
    pub typed: Typed,
    /// Everything that could be read.
    pub job: Option<Job>,
    /// Fields that could not.
    pub problems: Vec<Problem>,
    /// The stages.
    pub whole: Option<Whole>,
}

impl Worked {
    /// The field that a problem is shown at: one member of a list is shown at the list.
    pub fn field_of<'p>(&self, problem: &'p Problem) -> &'p str {
        let path = problem.field.as_str();
        match path.rsplit_once('[') {
            Some((list, _)) if path.ends_with(']') && self.typed.raw(list).is_some() => list,
            _ => path,
        }
    }

    /// The job and its stages, for a paper that goes out of the house. While a field cannot be read there is none: what
    /// was typed there would be left out of it, and a default taken, without a word.
    pub fn for_paper(&self) -> Result<(&Job, &Whole), String> {
        let unread = self.problems.iter().filter(|p| !self.asks(p));
        let unread = unread.map(ToString::to_string).collect::<Vec<_>>().join("; ");
        match (&self.job, &self.whole) {
            (Some(job), Some(whole)) if unread.is_empty() => Ok((job, whole)),
            _ => Err(format!("The job has fields that cannot be read: {unread}.")),
        }
    }

    /// Whether a problem is nothing but a field that an entry just begun asks for: nothing has been typed into the entry but
    /// what is chosen from lists, which a new one may have from the one before.
    pub fn asks(&self, problem: &Problem) -> bool {
        let entry = problem.field.rsplit_once('.').map(|(entry, _)| entry).filter(|e| e.ends_with(']'));
        problem.read.is_empty() && entry.is_some_and(|entry| self.untouched(entry))
    }

    fn untouched(&self, entry: &str) -> bool {
        let table: String =
            entry.split('[').map(|part| part.rsplit_once(']').map_or(part, |(_, rest)| rest)).collect();
        let mut typed_in =
            job::fields_of(&table).iter().filter(|f| !matches!(f.kind, Kind::Choice(_) | Kind::Bool));
        typed_in.all(|f| self.typed.raw(&format!("{entry}.{}", f.name)).unwrap_or_default().is_empty())
    }

    /// What a person is told of a problem at its field.
    pub fn told(&self, problem: &Problem) -> String {
        if self.asks(problem) { format!("to be given: {}", problem.accepted) } else { problem.words() }
    }

    /// A lathe's own text: its fields, and what is wrong with them.
    pub fn of_lathe(text: &str) -> (Self, Option<Lathe>) {
        let (lathe, problems) = match job::read_lathe(text) {
            Ok(lathe) => (Some(lathe), Vec::new()),
            Err(problems) => (None, problems),
        };
        (Self { text: text.to_owned(), typed: Typed::of(text), job: None, problems, whole: None }, lathe)
    }

    /// Reads and works a text. `kept` may hold the same job with other passes done, whose stages then serve.
    fn new(text: &str, kept: &[Arc<Self>]) -> Self {
        let (job, problems) = job::read_what_can_be(text);
        let whole = job.as_ref().map(|job| {
            let plan = job.as_before_the_cut();
            let same = kept.iter().find_map(|w| {
                let (job, whole) = (w.job.as_ref()?, w.whole.as_ref()?);
                (job.as_before_the_cut() == plan).then_some(whole)
            });
            same.map_or_else(|| work(job), |whole| work_at_the_lathe(whole, job))
        });
        Self { text: text.to_owned(), typed: Typed::of(text), job, problems, whole }
    }
}

/// So many texts are kept: a few jobs open at once, and the steps of undo.
const KEPT: usize = 16;

/// The last few computed jobs, newest first.
#[derive(Default)]
pub struct Cache(Mutex<VecDeque<Arc<Worked>>>);

impl Cache {
    /// The job of this text, computed now or before.
    pub fn get(&self, text: &str) -> Arc<Worked> {
        if let Some(found) = self.lock().iter().find(|w| w.text == text) {
            return Arc::clone(found);
        }
        // Computed outside the lock: another request does not wait for it.
        let others: Vec<_> = self.lock().iter().cloned().collect();
        let worked = Arc::new(Worked::new(text, &others));
        let mut kept = self.lock();
        kept.push_front(Arc::clone(&worked));
        kept.truncate(KEPT);
        worked
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, VecDeque<Arc<Worked>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
