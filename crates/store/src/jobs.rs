//! Jobs as a list, and the life of one: created, read, changed, removed, brought back.

use std::fmt;

use rusqlite::types::{ToSql, ToSqlOutput};
use rusqlite::{Connection, OptionalExtension, Row, TransactionBehavior, params};

use crate::journal::{self, Kind, Write};
use crate::{Revision, SaveError, Stale, Store, StoreError, UnixSeconds};

/// Names a job within one store.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct JobId(pub i64);

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl std::str::FromStr for JobId {
    type Err = std::num::ParseIntError;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        text.parse().map(Self)
    }
}

impl ToSql for JobId {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        self.0.to_sql()
    }
}

/// What a list of jobs shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobHead {
    /// Its number.
    pub id: JobId,
    /// Its title now.
    pub title: String,
    /// Its newest revision, to be named when it is changed.
    pub revision: Revision,
    /// When it was created.
    pub created_at: UnixSeconds,
    /// When its newest revision was made.
    pub changed_at: UnixSeconds,
    /// When it was removed, if it is.
    pub removed_at: Option<UnixSeconds>,
}

/// A job and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Job {
    /// Number, title, revision and times.
    pub head: JobHead,
    /// The text as saved.
    pub text: String,
    /// The one-line description of the change that undo would take back, if there is one.
    pub undo: Option<String>,
    /// The one-line description of the change that redo would make again, if there is one.
    pub redo: Option<String>,
}

/// A change that is on the disk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Saved {
    /// The job's head after it.
    pub head: JobHead,
    /// False if text and title were those already held, so that there was nothing to add to the journal.
    pub recorded: bool,
}

const HEAD: &str = "
    SELECT job.id, shown.title, job.revision, job.created_at, latest.at, job.removed_at
    FROM job
    JOIN revision AS latest ON latest.job_id = job.id AND latest.revision = job.revision
    JOIN revision AS shown  ON shown.job_id  = job.id AND shown.revision  = latest.state";

fn head_of(row: &Row<'_>) -> rusqlite::Result<JobHead> {
    Ok(JobHead {
        id: JobId(row.get(0)?),
        title: row.get(1)?,
        revision: row.get(2)?,
        created_at: row.get(3)?,
        changed_at: row.get(4)?,
        removed_at: row.get(5)?,
    })
}

impl Store {
    /// The head of a job that stands on this shelf.
    fn head(&self, connection: &Connection, id: JobId) -> rusqlite::Result<Option<JobHead>> {
        connection
            .prepare_cached(&format!("{HEAD} WHERE job.id = ?1 AND job.shelf = ?2"))?
            .query_row(params![id, self.shelf], head_of)
            .optional()
    }

    /// The same, which must be there.
    pub(crate) fn known(&self, connection: &Connection, id: JobId) -> Result<JobHead, StoreError> {
        self.head(connection, id).map_err(|e| self.sqlite(e))?.ok_or(StoreError::NoSuchJob(id))
    }

    /// The jobs that are not removed, the one changed last first.
    ///
    /// # Errors
    /// When the store can't be read.
    pub fn jobs(&self) -> Result<Vec<JobHead>, StoreError> {
        self.list("job.removed_at IS NULL ORDER BY latest.at DESC, job.id DESC")
    }

    /// The removed jobs, the one removed last first.
    ///
    /// # Errors
    /// When the store can't be read.
    pub fn removed_jobs(&self) -> Result<Vec<JobHead>, StoreError> {
        self.list("job.removed_at IS NOT NULL ORDER BY job.removed_at DESC, job.id DESC")
    }

    fn list(&self, condition: &str) -> Result<Vec<JobHead>, StoreError> {
        let connection = self.lock();
        let read = || {
            connection
                .prepare_cached(&format!("{HEAD} WHERE job.shelf = ?1 AND {condition}"))?
                .query_map([self.shelf], head_of)?
                .collect::<rusqlite::Result<Vec<_>>>()
        };
        read().map_err(|e| self.sqlite(e))
    }

    /// A new job at revision 1.
    ///
    /// # Errors
    /// When the store can't be written.
    pub fn create(&self, title: &str, text: &str, now: UnixSeconds) -> Result<JobHead, StoreError> {
        self.first(Kind::Create, title, text, "", now)
    }

    /// A new job from a file; `what` says where it came from, for the journal.
    ///
    /// # Errors
    /// When the store can't be written.
    pub fn import(
        &self,
        title: &str,
        text: &str,
        what: &str,
        now: UnixSeconds,
    ) -> Result<JobHead, StoreError> {
        self.first(Kind::Import, title, text, what, now)
    }

    fn first(
        &self,
        kind: Kind,
        title: &str,
        text: &str,
        what: &str,
        now: UnixSeconds,
    ) -> Result<JobHead, StoreError> {
        self.change(|change| {
            change.execute(
                "INSERT INTO job (revision, created_at, shelf) VALUES (1, ?1, ?2)",
                params![now, self.shelf],
            )?;
            let id = JobId(change.last_insert_rowid());
            journal::append(change, id, 1, now, Write::new_state(kind, title, text, what, None))?;
            Ok(JobHead {
                id,
                title: title.into(),
                revision: 1,
                created_at: now,
                changed_at: now,
                removed_at: None,
            })
        })
    }

    /// A job as it is now, removed or not.
    ///
    /// # Errors
    /// [`StoreError::NoSuchJob`]; or the store can't be read.
    pub fn load(&self, id: JobId) -> Result<Job, StoreError> {
        // One transaction, so that head and text belong together though another process may write.
        self.read(|view| self.job(view, id))
    }

    fn job(&self, view: &Connection, id: JobId) -> Result<Job, StoreError> {
        let head = self.known(view, id)?;
        let read = || {
            let text = journal::text(view, id, head.revision)?.unwrap_or_default();
            let steps = journal::steps(view, id, head.revision)?;
            let undo = steps.undo.map(|step| step.what);
            let redo = steps.redo.map(|step| step.what);
            Ok(Job { head, text, undo, redo })
        };
        read().map_err(|e| self.sqlite(e))
    }

    /// Saves `text` and `title` as a new revision of the job, made from `base`; `what` is one line saying what
    /// changed. When text and title are what the job holds already, nothing is added.
    ///
    /// # Errors
    /// [`SaveError::Stale`] when `base` is not the newest revision: the caller gets both texts; and the
    /// store's own.
    pub fn save(
        &self,
        id: JobId,
        base: Revision,
        text: &str,
        title: &str,
        what: &str,
        now: UnixSeconds,
    ) -> Result<Saved, SaveError> {
        self.advance(id, base, now, |change, before| {
            let read = || Ok((journal::text(change, id, base)?, journal::steps(change, id, base)?.state));
            let (held, state) = read().map_err(|e| self.sqlite(e))?;
            let same = before.title == title && held.as_deref() == Some(text);
            Ok((!same).then(|| Write::new_state(Kind::Edit, title, text, what, Some(state))))
        })
    }

    /// Takes back the last change that is not yet taken back, as a new revision. Further calls go further
    /// back; the journal keeps everything.
    ///
    /// # Errors
    /// [`SaveError::NothingToUndo`], [`SaveError::Stale`], and the store's own.
    pub fn undo(&self, id: JobId, base: Revision, now: UnixSeconds) -> Result<Saved, SaveError> {
        self.advance(id, base, now, |change, _| {
            let steps = journal::steps(change, id, base).map_err(|e| self.sqlite(e))?;
            let step = steps.undo.ok_or(SaveError::NothingToUndo)?;
            Ok(Some(Write::step(Kind::Undo, step, steps.tip)))
        })
    }

    /// Makes the last undone change again, as a new revision. An edit after an undo leaves nothing to redo.
    ///
    /// # Errors
    /// [`SaveError::NothingToRedo`], [`SaveError::Stale`], and the store's own.
    pub fn redo(&self, id: JobId, base: Revision, now: UnixSeconds) -> Result<Saved, SaveError> {
        self.advance(id, base, now, |change, _| {
            let steps = journal::steps(change, id, base).map_err(|e| self.sqlite(e))?;
            let step = steps.redo.ok_or(SaveError::NothingToRedo)?;
            Ok(Some(Write::step(Kind::Redo, step, steps.tip)))
        })
    }

    /// The one way a job gets a new revision: checks that it is there, not removed and still at `base`, then
    /// appends what `write` gives, if anything.
    fn advance<'a>(
        &self,
        id: JobId,
        base: Revision,
        now: UnixSeconds,
        write: impl FnOnce(&Connection, &JobHead) -> Result<Option<Write<'a>>, SaveError>,
    ) -> Result<Saved, SaveError> {
        self.change_or(|change| {
            let before = self.known(change, id)?;
            if before.removed_at.is_some() {
                return Err(StoreError::Removed(id).into());
            }
            if before.revision != base {
                let base_text = journal::text(change, id, base)
                    .map_err(|e| self.sqlite(e))?
                    .ok_or(StoreError::NoSuchRevision(id, base))?;
                return Err(SaveError::Stale(Box::new(Stale { base_text, current: self.job(change, id)? })));
            }
            let Some(write) = write(change, &before)? else {
                return Ok(Saved { head: before, recorded: false });
            };
            let append = || {
                let revision = base + 1;
                journal::append(change, id, revision, now, write)?;
                change.execute("UPDATE job SET revision = ?2 WHERE id = ?1", params![id, revision])?;
                Ok(())
            };
            append().map_err(|e| self.sqlite(e))?;
            Ok(Saved { head: self.known(change, id)?, recorded: true })
        })
    }

    /// Takes a job off the list. Its journal stays, and [`Store::restore`] brings it back.
    ///
    /// # Errors
    /// [`StoreError::NoSuchJob`]; or the store can't be written.
    pub fn remove(&self, id: JobId, now: UnixSeconds) -> Result<JobHead, StoreError> {
        self.mark(id, "UPDATE job SET removed_at = COALESCE(removed_at, ?2) WHERE id = ?1", Some(now))
    }

    /// Puts a removed job back on the list.
    ///
    /// # Errors
    /// [`StoreError::NoSuchJob`]; or the store can't be written.
    pub fn restore(&self, id: JobId) -> Result<JobHead, StoreError> {
        self.mark(id, "UPDATE job SET removed_at = ?2 WHERE id = ?1", None)
    }

    fn mark(&self, id: JobId, update: &str, at: Option<UnixSeconds>) -> Result<JobHead, StoreError> {
        self.change_or(|change| {
            self.known(change, id)?;
            change.execute(update, params![id, at]).map_err(|e| self.sqlite(e))?;
            self.known(change, id)
        })
    }

    /// Runs `work` in a transaction that holds the write lock from its start, so that what it reads is what
    /// it changes; commits when `work` succeeds.
    fn change<T>(&self, work: impl FnOnce(&Connection) -> rusqlite::Result<T>) -> Result<T, StoreError> {
        self.change_or(|change| work(change).map_err(|e| self.sqlite(e)))
    }

    fn change_or<T, E: From<StoreError>>(
        &self,
        work: impl FnOnce(&Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        self.within(TransactionBehavior::Immediate, work)
    }

    /// Runs `work` on one unchanging view of the store.
    pub(crate) fn read<T>(
        &self,
        work: impl FnOnce(&Connection) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        self.within(TransactionBehavior::Deferred, work)
    }

    fn within<T, E: From<StoreError>>(
        &self,
        behavior: TransactionBehavior,
        work: impl FnOnce(&Connection) -> Result<T, E>,
    ) -> Result<T, E> {
        let mut connection = self.lock();
        let transaction = connection.transaction_with_behavior(behavior).map_err(|e| self.sqlite(e))?;
        let done = work(&transaction)?;
        transaction.commit().map_err(|e| self.sqlite(e))?;
        Ok(done)
    }
}
