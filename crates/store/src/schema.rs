//! The database file: how it is recognised, laid out and brought up to date.

use std::path::Path;
use std::time::Instant;

use rusqlite::{Connection, ErrorCode, OpenFlags, TransactionBehavior};

use crate::{Settings, StoreError, export};

/// Marks a SQLite file as ours: "flkw" in ASCII.
const APPLICATION_ID: i64 = 0x666c_6b77;

/// Step `n` takes a file from layout `n` to `n + 1`. Steps that were released are never edited: files in
/// the field have been through them.
const STEPS: &[&str] = &[
    "
    CREATE TABLE job (
        id         INTEGER PRIMARY KEY AUTOINCREMENT,
        revision   INTEGER NOT NULL,
        created_at INTEGER NOT NULL,
        removed_at INTEGER
    ) STRICT;

    -- One row for each state a job was ever in. `state` is the revision that wrote the text shown: the row
    -- itself, or for undo and redo the row they went back to. `tip` is the state at the far end of the redo
    -- line: following `parent` from there leads through all states that redo would bring back.
    CREATE TABLE revision (
        job_id   INTEGER NOT NULL REFERENCES job (id),
        revision INTEGER NOT NULL,
        kind     TEXT    NOT NULL CHECK (kind IN ('create', 'import', 'edit', 'undo', 'redo')),
        at       INTEGER NOT NULL,
        state    INTEGER NOT NULL,
        tip      INTEGER NOT NULL,
        what     TEXT    NOT NULL,
        title    TEXT,
        text     TEXT,
        parent   INTEGER,
        PRIMARY KEY (job_id, revision),
        CHECK ((state = revision) = (text IS NOT NULL)),
        CHECK ((text IS NULL) = (title IS NULL)),
        CHECK (parent IS NULL OR text IS NOT NULL)
    ) STRICT;

    -- Where a person was, not what the job is: `job_id` is null for what belongs to no job.
    CREATE TABLE remembered (
        job_id INTEGER REFERENCES job (id),
        key    TEXT NOT NULL,
        value  TEXT NOT NULL
    ) STRICT;
    CREATE UNIQUE INDEX remembered_key ON remembered (COALESCE(job_id, 0), key);
",
    "
    -- Texts other than jobs, kept in the same manner.
    ALTER TABLE job ADD COLUMN shelf TEXT NOT NULL DEFAULT 'job';
",
    "
    -- Which start is cut is said by the job itself.
    DROP TABLE remembered;
",
];

/// Opens, recognises, checks and updates the file.
pub(crate) fn open(file: &Path, settings: Settings) -> Result<Connection, StoreError> {
    let sqlite = |e| StoreError::from_sqlite(file, e);
    let flags =
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut connection = Connection::open_with_flags(file, flags).map_err(sqlite)?;
    connection.busy_timeout(settings.wait).map_err(sqlite)?;

    // Look before touching: a file that isn't ours must stay as it is, down to its journal mode.
    // Within one transaction, or a process that is just laying the file out would be seen half done.
    recognise(&*connection.unchecked_transaction().map_err(sqlite)?, file)?;
    if connection.is_readonly("main").map_err(sqlite)? {
        return Err(StoreError::ReadOnly { file: file.into() });
    }
    log_ahead(&connection, settings).map_err(sqlite)?;
    connection.pragma_update(None, "synchronous", "FULL").map_err(sqlite)?;
    // Only macOS looks at this: there a plain sync may stop in the drive's cache.
    connection.pragma_update(None, "fullfsync", true).map_err(sqlite)?;
    connection.pragma_update(None, "foreign_keys", true).map_err(sqlite)?;
    if let Some(pages) = settings.max_pages {
        connection.pragma_update_and_check(None, "max_page_count", pages, |_| Ok(())).map_err(sqlite)?;
    }
    update(&mut connection, file)?;

    let check: String =
        connection.query_row("PRAGMA quick_check(1)", [], |row| row.get(0)).map_err(sqlite)?;
    if check == "ok" {
        Ok(connection)
    } else {
        Err(StoreError::Corrupt { file: file.into(), detail: check.replace('\n', " ") })
    }
}

fn recognise(connection: &Connection, file: &Path) -> Result<(), StoreError> {
    let sqlite = |e| StoreError::from_sqlite(file, e);
    let id = pragma(connection, "application_id").map_err(sqlite)?;
    let known = STEPS.len() as i64;
    match (id, pragma(connection, "user_version").map_err(sqlite)?) {
        (APPLICATION_ID, found) if (1..=known).contains(&found) => Ok(()),
        (APPLICATION_ID, found) if found > known => {
            Err(StoreError::Newer { file: file.into(), found, known })
        }
        (0, 0) => {
            // New, or left empty by a crash before the first commit.
            let tables = connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0));
            let tables: i64 = tables.map_err(sqlite)?;
            if tables == 0 { Ok(()) } else { Err(StoreError::NotOurs { file: file.into() }) }
        }
        _ => Err(StoreError::NotOurs { file: file.into() }),
    }
}

/// Switches to the write-ahead log. SQLite does not wait by itself when another process is doing the same at
/// this moment, so the waiting is done here.
fn log_ahead(connection: &Connection, settings: Settings) -> rusqlite::Result<()> {
    let start = Instant::now();
    loop {
        match connection.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())) {
            Err(e)
                if e.sqlite_error_code() == Some(ErrorCode::DatabaseBusy)
                    && start.elapsed() < settings.wait =>
            {
                std::thread::sleep(std::time::Duration::from_millis(5));
            }
            done => return done,
        }
    }
}

/// Runs the steps that the file has not seen, all or none.
fn update(connection: &mut Connection, file: &Path) -> Result<(), StoreError> {
    let sqlite = |e| StoreError::from_sqlite(file, e);
    let known = STEPS.len() as i64;
    if pragma(connection, "user_version").map_err(sqlite)? == known {
        return Ok(());
    }
    let change = connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sqlite)?;
    // Another process may have done it while this one waited for the lock.
    recognise(&change, file)?;
    let from = pragma(&change, "user_version").map_err(sqlite)?;
    for step in STEPS.iter().skip(usize::try_from(from).unwrap_or(0)) {
        change.execute_batch(step).map_err(sqlite)?;
    }
    change.pragma_update(None, "application_id", APPLICATION_ID).map_err(sqlite)?;
    change.pragma_update(None, "user_version", known).map_err(sqlite)?;
    change.commit().map_err(sqlite)?;
    export::sync_folder(file).map_err(|e| StoreError::from_io(file, "make this file", e))
}

fn pragma(connection: &Connection, name: &str) -> rusqlite::Result<i64> {
    connection.pragma_query_value(None, name, |row| row.get(0))
}
