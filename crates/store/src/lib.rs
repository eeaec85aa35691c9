//! Jobs kept in one SQLite file, with a journal of every change.
//!
//! The store knows nothing of what a job means: a job is the text a person could have written by hand, and
//! a title to find it by. What it does promise:
//!
//! - **What was acknowledged is kept.** A save returns only after the text is on the disk (write-ahead log,
//!   synced at every commit); the process may be killed at any moment.
//! - **Nothing is overwritten unseen.** A save names the revision it started from. If somebody saved in
//!   between, it is refused with both texts, for the caller to merge or to ask.
//! - **Nothing is deleted.** Undo and redo are new revisions; a removed job can be brought back.
//!
//! Other texts that are kept in the same manner stand on shelves of their own ([`Store::shelf`]): what is said of a
//! job here holds for them.
//!
//! There is no clock in here: the caller passes the time, in seconds since 1970-01-01 UTC.
//!
//! ```
//! # let folder = tempfile::tempdir()?;
//! use flankwise_store::Store;
//!
//! let store = Store::open(folder.path())?;
//! let job = store.create("Board shear", "job = \"Board shear\"\n", 1_000)?;
//! let saved = store.save(job.id, job.revision, "job = \"Shear\"\n", "Shear", "title", 1_060)?;
//! store.undo(job.id, saved.head.revision, 1_120)?;
//! assert_eq!(store.load(job.id)?.head.title, "Board shear");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod error;
mod export;
mod jobs;
mod journal;
mod place;
mod schema;

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use rusqlite::Connection;

pub use error::{SaveError, Stale, StoreError};
pub use export::export_to;
pub use jobs::{Job, JobHead, JobId, Saved};
pub use journal::{Entry, Kind};
pub use place::default_data_dir;

/// Seconds since 1970-01-01 00:00 UTC, passed in by the caller.
pub type UnixSeconds = i64;

/// Counts the states of one job from 1; never reused, never skipped.
pub type Revision = i64;

/// The name of the database in its data folder. While it is open SQLite keeps two more beside it
/// (`-wal`, `-shm`): copy a store with [`Store::back_up`], not file by file.
pub const FILE_NAME: &str = "flankwise.db";

/// How a store behaves towards others and towards the disk; the default is right outside of tests.
#[derive(Clone, Copy, Debug)]
pub struct Settings {
    /// How long to wait for another program that is writing before giving up with [`StoreError::Locked`].
    pub wait: Duration,
    /// The most pages of 4096 bytes the file may grow to; saves beyond it fail with [`StoreError::Full`].
    pub max_pages: Option<u32>,
}

impl Default for Settings {
    fn default() -> Self {
        // A save takes milliseconds, so five seconds of waiting means that something is stuck.
        Self { wait: Duration::from_secs(5), max_pages: None }
    }
}

/// The shelf that a store is opened at.
const JOBS: &str = "job";

/// An open store, seen from one of its shelves. It can be shared between threads: each call takes a lock and is short.
#[derive(Debug)]
pub struct Store {
    connection: Arc<Mutex<Connection>>,
    file: PathBuf,
    shelf: &'static str,
}

impl Store {
    /// Opens the store in the folder `dir`, making folder and file when they are missing.
    ///
    /// # Errors
    /// When the folder can't be made, or the file is damaged, belongs to something else, was written by a
    /// newer version, can't be written or is held by another program for more than five seconds.
    pub fn open(dir: impl AsRef<Path>) -> Result<Self, StoreError> {
        Self::open_with(dir, Settings::default())
    }

    /// As [`Store::open`], with settings.
    ///
    /// # Errors
    /// As [`Store::open`].
    pub fn open_with(dir: impl AsRef<Path>, settings: Settings) -> Result<Self, StoreError> {
        let dir = dir.as_ref();
        place::make_folder(dir)?;
        let file = dir.join(FILE_NAME);
        let connection = schema::open(&file, settings)?;
        Ok(Self { connection: Arc::new(Mutex::new(connection)), file, shelf: JOBS })
    }

    /// The same store seen from another shelf, made by putting something on it: lists, loads and changes only what
    /// stands there. Numbers are given out over all shelves, so that none is used twice.
    ///
    /// ```
    /// # let folder = tempfile::tempdir()?;
    /// # use flankwise_store::{Store, StoreError};
    /// let jobs = Store::open(folder.path())?;
    /// let lathes = jobs.shelf("lathe");
    /// let kept = lathes.create("Small lathe", "unit = \"mm\"\n", 1_000)?;
    /// assert!(jobs.jobs()?.is_empty() && lathes.jobs()?.len() == 1);
    /// assert!(matches!(jobs.load(kept.id), Err(StoreError::NoSuchJob(_))));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn shelf(&self, name: &'static str) -> Self {
        Self { connection: Arc::clone(&self.connection), file: self.file.clone(), shelf: name }
    }

    /// The database file.
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// Writes a copy of the whole store to `path`, whole or not at all, while the store stays in use.
    ///
    /// # Errors
    /// When `path` can't be written.
    pub fn back_up(&self, path: impl AsRef<Path>) -> Result<(), StoreError> {
        export::replace(path.as_ref(), |temporary| {
            // VACUUM INTO wants to make the file itself, or finds an empty one.
            let name = temporary.to_str().ok_or_else(|| {
                let source = std::io::ErrorKind::InvalidFilename.into();
                StoreError::Io { file: path.as_ref().into(), doing: "use a name that is not Unicode", source }
            })?;
            let copied = self.lock().execute("VACUUM INTO ?1", [name]);
            copied.map(drop).map_err(|e| StoreError::from_sqlite(path.as_ref(), e))
        })
    }

    /// A panic elsewhere while the lock was held can't have left a half-done change: an unfinished
    /// transaction is rolled back when it is dropped. So a poisoned lock is taken as it is.
    fn lock(&self) -> MutexGuard<'_, Connection> {
        self.connection.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn sqlite(&self, error: rusqlite::Error) -> StoreError {
        StoreError::from_sqlite(&self.file, error)
    }
}
