//! The revisions of one job. Undo is linear, as in any editor: several undos go further back, redo returns,
//! and an edit after an undo starts a new line. Nothing is taken out of the journal by any of it.
//!
//! Each revision shows a *state*: the text written at some revision, with the state it was made from as its
//! *parent*. Undo goes to the parent. The *tip* is the state that redo can reach at most; redo goes to the
//! state on the way from the tip back that has the present one as its parent.

use std::borrow::Cow;

use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use rusqlite::{Connection, OptionalExtension, params};

use crate::{JobId, Revision, Store, StoreError, UnixSeconds};

/// How a revision came about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The job was made.
    Create,
    /// The job was read in from a file.
    Import,
    /// Somebody changed it.
    Edit,
    /// A change was taken back.
    Undo,
    /// A change that had been taken back was made again.
    Redo,
}

impl Kind {
    const ALL: [Self; 5] = [Self::Create, Self::Import, Self::Edit, Self::Undo, Self::Redo];

    /// The word for it: `create`, `import`, `edit`, `undo` or `redo`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Create => "create",
            Self::Import => "import",
            Self::Edit => "edit",
            Self::Undo => "undo",
            Self::Redo => "redo",
        }
    }
}

impl ToSql for Kind {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        self.word().to_sql()
    }
}

impl FromSql for Kind {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        let word = value.as_str()?;
        Self::ALL.into_iter().find(|kind| kind.word() == word).ok_or(FromSqlError::InvalidType)
    }
}

/// One line of a job's history.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its number.
    pub revision: Revision,
    /// How it came about.
    pub kind: Kind,
    /// When.
    pub at: UnixSeconds,
    /// What changed, as given when it was saved; for undo and redo that of the change taken back or made
    /// again.
    pub what: String,
    /// The job's title at this revision.
    pub title: String,
    /// The revision whose text this one shows: itself, or for undo and redo an earlier one.
    pub shows: Revision,
}

impl Store {
    /// All revisions of a job, oldest first.
    ///
    /// # Errors
    /// [`StoreError::NoSuchJob`]; or the store can't be read.
    pub fn history(&self, id: JobId) -> Result<Vec<Entry>, StoreError> {
        self.read(|view| {
            self.known(view, id)?;
            let read = || {
                view.prepare_cached(
                    "SELECT it.revision, it.kind, it.at, it.what, shown.title, it.state
                     FROM revision AS it
                     JOIN revision AS shown ON shown.job_id = it.job_id AND shown.revision = it.state
                     WHERE it.job_id = ?1 ORDER BY it.revision",
                )?
                .query_map([id], |row| {
                    Ok(Entry {
                        revision: row.get(0)?,
                        kind: row.get(1)?,
                        at: row.get(2)?,
                        what: row.get(3)?,
                        title: row.get(4)?,
                        shows: row.get(5)?,
                    })
                })?
                .collect::<rusqlite::Result<Vec<_>>>()
            };
            read().map_err(|e| self.sqlite(e))
        })
    }

    /// The text of a job as it was at `revision`.
    ///
    /// # Errors
    /// [`StoreError::NoSuchJob`], [`StoreError::NoSuchRevision`]; or the store can't be read.
    pub fn text_at(&self, id: JobId, revision: Revision) -> Result<String, StoreError> {
        self.read(|view| {
            self.known(view, id)?;
            text(view, id, revision).map_err(|e| self.sqlite(e))
        })?
        .ok_or(StoreError::NoSuchRevision(id, revision))
    }
}

/// A revision about to be written.
pub(crate) struct Write<'a> {
    kind: Kind,
    what: Cow<'a, str>,
    content: Content<'a>,
}

enum Content<'a> {
    New { title: &'a str, text: &'a str, parent: Option<Revision> },
    Earlier { state: Revision, tip: Revision },
}

impl<'a> Write<'a> {
    pub(crate) fn new_state(
        kind: Kind,
        title: &'a str,
        text: &'a str,
        what: &'a str,
        parent: Option<Revision>,
    ) -> Self {
        Self { kind, what: what.into(), content: Content::New { title, text, parent } }
    }

    pub(crate) fn step(kind: Kind, step: Step, tip: Revision) -> Self {
        Self { kind, what: step.what.into(), content: Content::Earlier { state: step.to, tip } }
    }
}

/// Adds the row of `revision`; the caller moves the job's head.
pub(crate) fn append(
    change: &Connection,
    id: JobId,
    revision: Revision,
    now: UnixSeconds,
    write: Write<'_>,
) -> rusqlite::Result<()> {
    let (state, tip, title, text, parent) = match write.content {
        Content::New { title, text, parent } => (revision, revision, Some(title), Some(text), parent),
        Content::Earlier { state, tip } => (state, tip, None, None, None),
    };
    change
        .prepare_cached(
            "INSERT INTO revision (job_id, revision, kind, at, state, tip, what, title, text, parent)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        )?
        .execute(params![id, revision, write.kind, now, state, tip, write.what, title, text, parent])
        .map(drop)
}

/// The text shown at `revision`, if there is such a revision.
pub(crate) fn text(view: &Connection, id: JobId, revision: Revision) -> rusqlite::Result<Option<String>> {
    view.prepare_cached(
        "SELECT shown.text FROM revision AS it
         JOIN revision AS shown ON shown.job_id = it.job_id AND shown.revision = it.state
         WHERE it.job_id = ?1 AND it.revision = ?2",
    )?
    .query_row(params![id, revision], |row| row.get(0))
    .optional()
}

/// A change that undo would take back or redo make again.
pub(crate) struct Step {
    /// The state it leads to.
    to: Revision,
    /// The change's one-line description.
    pub(crate) what: String,
}

/// Where a job stands on its line of states.
pub(crate) struct Steps {
    pub(crate) state: Revision,
    pub(crate) tip: Revision,
    pub(crate) undo: Option<Step>,
    pub(crate) redo: Option<Step>,
}

/// Where `revision`, which must exist, stands.
pub(crate) fn steps(view: &Connection, id: JobId, revision: Revision) -> rusqlite::Result<Steps> {
    let (state, tip, what, parent): (Revision, Revision, String, Option<Revision>) = view
        .prepare_cached(
            "SELECT it.state, it.tip, shown.what, shown.parent FROM revision AS it
             JOIN revision AS shown ON shown.job_id = it.job_id AND shown.revision = it.state
             WHERE it.job_id = ?1 AND it.revision = ?2",
        )?
        .query_row(params![id, revision], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)))?;
    let redo = view
        .prepare_cached(
            "WITH RECURSIVE line (revision, parent, what) AS (
                 SELECT revision, parent, what FROM revision WHERE job_id = ?1 AND revision = ?2
                 UNION ALL
                 SELECT back.revision, back.parent, back.what FROM line
                 JOIN revision AS back ON back.job_id = ?1 AND back.revision = line.parent
                 WHERE line.parent <> ?3
             )
             SELECT revision, what FROM line WHERE parent = ?3",
        )?
        .query_row(params![id, tip, state], |row| Ok(Step { to: row.get(0)?, what: row.get(1)? }))
        .optional()?;
    Ok(Steps { state, tip, undo: parent.map(|to| Step { to, what }), redo })
}
