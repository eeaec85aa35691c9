//! What can go wrong, in words that name the file and what to do.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;

use crate::{Job, JobId, Revision, export};

/// Why the store could not do what was asked. Whenever it is returned nothing was changed.
#[derive(Debug)]
#[non_exhaustive]
pub enum StoreError {
    /// No room left on the disk.
    Full {
        /// The file that could not grow.
        file: PathBuf,
    },
    /// The file, its folder or the disk can't be written.
    ReadOnly {
        /// The file that could not be written.
        file: PathBuf,
    },
    /// Another program kept the file to itself for longer than we wait.
    Locked {
        /// The file held by the other program.
        file: PathBuf,
    },
    /// The file is ours, but what it holds does not hang together.
    Corrupt {
        /// The damaged file.
        file: PathBuf,
        /// What was found.
        detail: String,
    },
    /// The file is not a job store.
    NotOurs {
        /// The file that something else wrote.
        file: PathBuf,
    },
    /// The file was written by a newer version.
    Newer {
        /// The file.
        file: PathBuf,
        /// Its layout's number.
        found: i64,
        /// The newest layout this version reads.
        known: i64,
    },
    /// There is no job of this number.
    NoSuchJob(JobId),
    /// The job is among the removed ones; it can be restored.
    Removed(JobId),
    /// The job never had this revision.
    NoSuchRevision(JobId, Revision),
    /// No folder for data could be worked out from the environment.
    NoDataFolder {
        /// The variables that were looked at.
        looked_at: &'static str,
    },
    /// A file or folder could not be opened, made or written, for a reason of the operating system.
    Io {
        /// The file or folder.
        file: PathBuf,
        /// What was being done, to stand after "cannot".
        doing: &'static str,
        /// The system's reason.
        source: io::Error,
    },
    /// Anything else SQLite reports.
    Database {
        /// The database file.
        file: PathBuf,
        /// What SQLite said.
        source: rusqlite::Error,
    },
}

impl StoreError {
    pub(crate) fn from_sqlite(file: &Path, error: rusqlite::Error) -> Self {
        // With no room for the index of its log SQLite speaks of an I/O error: seen on a full file system.
        const NO_ROOM_FOR_INDEX: i32 = rusqlite::ffi::SQLITE_IOERR_SHMSIZE;
        if error.sqlite_extended_error_code() == Some(NO_ROOM_FOR_INDEX) {
            return Self::Full { file: file.into() };
        }
        if error.sqlite_error_code() == Some(ErrorCode::CannotOpen) {
            return Self::cannot_open(file, error);
        }
        let file = file.to_path_buf();
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::Full { file },
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Self::ReadOnly { file },
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Locked { file },
            Some(ErrorCode::DatabaseCorrupt) => Self::Corrupt { file, detail: error.to_string() },
            Some(ErrorCode::NotADatabase) => Self::NotOurs { file },
            // Our own tables have fixed types and hold text in UTF-8 only, so this is damage too.
            None if matches!(
                error,
                rusqlite::Error::Utf8Error(..)
                    | rusqlite::Error::FromSqlConversionFailure(..)
                    | rusqlite::Error::InvalidColumnType(..)
            ) =>
            {
                Self::Corrupt { file, detail: error.to_string() }
            }
            _ => Self::Database { file, source: error },
        }
    }

    /// SQLite only says that it can't open the file, or one of the two it keeps beside it; the system knows why.
    fn cannot_open(file: &Path, error: rusqlite::Error) -> Self {
        let writable = std::fs::OpenOptions::new().read(true).write(true).open(file).map(drop);
        match writable.and_then(|()| export::probe_folder(file)) {
            Err(e) => Self::from_io(file, "open this file", e),
            Ok(()) => Self::Database { file: file.into(), source: error },
        }
    }

    pub(crate) fn from_io(file: &Path, doing: &'static str, error: io::Error) -> Self {
        let file = file.to_path_buf();
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::Full { file },
            io::ErrorKind::ReadOnlyFilesystem | io::ErrorKind::PermissionDenied => Self::ReadOnly { file },
            _ => Self::Io { file, doing, source: error },
        }
    }
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Full { file } => write!(
                f,
                "{}: no room left on the disk, so this change is not saved; what was saved before is safe. \
                 Free some space, then save again.",
                file.display()
            ),
            Self::ReadOnly { file } => write!(
                f,
                "{}: this file, its folder or its disk may not be written. Make it writable for you, or \
                 choose another folder.",
                file.display()
            ),
            Self::Locked { file } => write!(
                f,
                "{}: another program is writing to this file and does not let go. Close it, then try again.",
                file.display()
            ),
            Self::Corrupt { file, detail } => write!(
                f,
                "{}: the file is damaged ({detail}). Set a copy of its whole folder aside before anything \
                 else, then move the file away to start afresh and read your exported jobs or a backup in.",
                file.display()
            ),
            Self::NotOurs { file } => write!(
                f,
                "{}: this is not a flankwise job store, or its first bytes are damaged. It was left as it \
                 is; choose another folder, or move the file away.",
                file.display()
            ),
            Self::Newer { file, found, known } => write!(
                f,
                "{}: written by a newer flankwise (layout {found}; this version reads up to {known}). It \
                 was left as it is; use the newer version.",
                file.display()
            ),
            Self::NoSuchJob(id) => write!(f, "nothing is kept here under number {id}"),
            Self::Removed(id) => write!(f, "number {id} is put away; bring it back before changing it"),
            Self::NoSuchRevision(id, revision) => write!(f, "number {id} has no revision {revision}"),
            Self::NoDataFolder { looked_at } => write!(
                f,
                "no folder to keep jobs in: {looked_at} gives no absolute path. Set it, or name a folder."
            ),
            Self::Io { file, doing, source } => write!(f, "{}: cannot {doing}: {source}", file.display()),
            Self::Database { file, source } => {
                write!(f, "{}: the database gave an error ({source}); nothing was changed", file.display())
            }
        }
    }
}

impl std::error::Error for StoreError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Io { source, .. } => Some(source),
            Self::Database { source, .. } => Some(source),
            _ => None,
        }
    }
}

/// What a caller needs to bring two changes of one job together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stale {
    /// The text that the refused change started from.
    pub base_text: String,
    /// The job as it is now.
    pub current: Job,
}

/// Why a change of a job was not made. Nothing was changed.
#[derive(Debug)]
#[non_exhaustive]
pub enum SaveError {
    /// Somebody else changed the job since the caller read it.
    Stale(Box<Stale>),
    /// The job is at its first state.
    NothingToUndo,
    /// No undone change is left, or an edit came after it.
    NothingToRedo,
    /// The store failed.
    Store(StoreError),
}

impl From<StoreError> for SaveError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl fmt::Display for SaveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stale(stale) => write!(
                f,
                "\"{}\" was changed from elsewhere in the meantime and is now at revision {}; this change \
                 is not saved yet",
                stale.current.head.title, stale.current.head.revision
            ),
            Self::NothingToUndo => f.write_str("there is nothing to undo"),
            Self::NothingToRedo => f.write_str("there is nothing to redo"),
            Self::Store(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for SaveError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Store(error) => std::error::Error::source(error),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sqlite(code: i32) -> StoreError {
        StoreError::from_sqlite(
            Path::new("/data/flankwise.db"),
            rusqlite::Error::SqliteFailure(rusqlite::ffi::Error::new(code), None),
        )
    }

    /// Result codes from sqlite.org/rescode.html; the extended ones keep their low byte's meaning.
    #[test]
    fn each_failure_gets_its_own_words() {
        for (code, words) in [
            (13, "no room left"),         // SQLITE_FULL
            (8, "may not be written"),    // SQLITE_READONLY
            (1032, "may not be written"), // SQLITE_READONLY_DBMOVED
            (3, "may not be written"),    // SQLITE_PERM
            (5, "another program"),       // SQLITE_BUSY
            (6, "another program"),       // SQLITE_LOCKED
            (11, "damaged"),              // SQLITE_CORRUPT
            (26, "not a flankwise"),      // SQLITE_NOTADB
            (10, "the database gave"),    // SQLITE_IOERR
        ] {
            let text = sqlite(code).to_string();
            assert!(text.contains(words), "{code}: {text}");
            assert!(text.contains("/data/flankwise.db"), "{text}");
        }
    }

    #[test]
    fn a_full_and_a_read_only_disk_are_told_apart() {
        let path = Path::new("job.toml");
        let full = StoreError::from_io(path, "write", io::ErrorKind::StorageFull.into());
        assert!(matches!(full, StoreError::Full { .. }));
        let read_only = StoreError::from_io(path, "write", io::ErrorKind::ReadOnlyFilesystem.into());
        assert!(matches!(read_only, StoreError::ReadOnly { .. }));
    }
}
