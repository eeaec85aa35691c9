//! Where a person was: small values that must survive a crash but are not part of the job, and have no undo.

use rusqlite::{OptionalExtension, params};

use crate::{JobId, Store, StoreError};

impl Store {
    /// Keeps `value` under `key`, for one job or (with `None`) for none. An earlier value is replaced.
    ///
    /// # Errors
    /// [`StoreError::NoSuchJob`]; or the store can't be written.
    pub fn remember(&self, job: Option<JobId>, key: &str, value: &str) -> Result<(), StoreError> {
        self.lock()
            .execute(
                "INSERT INTO remembered (job_id, key, value) VALUES (?1, ?2, ?3)
                 ON CONFLICT (COALESCE(job_id, 0), key) DO UPDATE SET value = excluded.value",
                params![job, key, value],
            )
            .map(drop)
            .map_err(|e| match (job, e.sqlite_error_code()) {
                // The only constraint a caller can break is the reference to the job.
                (Some(id), Some(rusqlite::ErrorCode::ConstraintViolation)) => StoreError::NoSuchJob(id),
                _ => self.sqlite(e),
            })
    }

    /// What was last remembered under `key`, if anything.
    ///
    /// # Errors
    /// When the store can't be read.
    pub fn recall(&self, job: Option<JobId>, key: &str) -> Result<Option<String>, StoreError> {
        self.lock()
            .query_row(
                "SELECT value FROM remembered WHERE COALESCE(job_id, 0) = ?1 AND key = ?2",
                params![job.map_or(0, |id| id.0), key],
                |row| row.get(0),
            )
            .optional()
            .map_err(|e| self.sqlite(e))
    }

    /// Drops what was remembered under `key`.
    ///
    /// # Errors
    /// When the store can't be written.
    pub fn forget(&self, job: Option<JobId>, key: &str) -> Result<(), StoreError> {
        self.lock()
            .execute(
                "DELETE FROM remembered WHERE COALESCE(job_id, 0) = ?1 AND key = ?2",
                params![job.map_or(0, |id| id.0), key],
            )
            .map(drop)
            .map_err(|e| self.sqlite(e))
    }
}
