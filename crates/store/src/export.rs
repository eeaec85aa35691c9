//! Files written whole or not at all.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use crate::StoreError;

/// Writes `content` to `path` so that after a crash at any moment the file holds either what it held before
/// or all of the new content: a temporary file in the same folder, synced, renamed over `path`, and the
/// folder synced. A link is followed; a device or pipe (`/dev/stdout`) is written to directly.
///
/// # Errors
/// When the folder does not exist or can't be written, the file is write-protected, or the disk is full; the
/// old content then stands, and no temporary file is left.
pub fn export_to(path: impl AsRef<Path>, content: impl AsRef<[u8]>) -> Result<(), StoreError> {
    let (path, content) = (path.as_ref(), content.as_ref());
    let write = |to: &mut File| to.write_all(content).map_err(|e| StoreError::from_io(path, "write", e));
    if fs::metadata(path).is_ok_and(|m| !m.is_file() && !m.is_dir()) {
        let mut device =
            OpenOptions::new().write(true).open(path).map_err(|e| StoreError::from_io(path, "open", e))?;
        return write(&mut device);
    }
    replace(path, |temporary| {
        let mut file = OpenOptions::new()
            .write(true)
            .open(temporary)
            .map_err(|e| StoreError::from_io(path, "write", e))?;
        write(&mut file)
    })
}

/// Has `fill` write an empty temporary file beside `path`, then puts that in the place of `path`.
pub(crate) fn replace(
    path: &Path,
    fill: impl FnOnce(&Path) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    // Renaming over a link would replace the link; the person meant the file behind it.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let before = fs::metadata(&target).ok();
    if before.as_ref().is_some_and(fs::Metadata::is_dir) || target.file_name().is_none() {
        let source = std::io::ErrorKind::IsADirectory.into();
        return Err(StoreError::Io { file: path.into(), doing: "write to a folder", source });
    }
    // A rename asks only the folder for permission, so the file's own protection is asked here.
    if before.as_ref().is_some_and(|m| m.permissions().readonly()) {
        return Err(StoreError::ReadOnly { file: path.into() });
    }
    let temporary = Temporary::beside(&target).map_err(|e| StoreError::from_io(path, "make this file", e))?;
    fill(&temporary.0)?;
    let finish = || {
        if let Some(before) = before {
            fs::set_permissions(&temporary.0, before.permissions())?;
        }
        OpenOptions::new().write(true).open(&temporary.0)?.sync_all()?;
        fs::rename(&temporary.0, &target)?;
        sync_folder(&target)
    };
    finish().map_err(|e| StoreError::from_io(path, "write", e))
}

/// Whether files can be made in the folder that holds `file`.
pub(crate) fn probe_folder(file: &Path) -> std::io::Result<()> {
    Temporary::beside(file).map(drop)
}

/// Makes a new or renamed entry of the folder that holds `file` durable.
pub(crate) fn sync_folder(file: &Path) -> std::io::Result<()> {
    // Windows can't open a folder as a file, and does not need it.
    if cfg!(unix) {
        let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        File::open(folder)?.sync_all()?;
    }
    Ok(())
}

/// A file that is removed again unless it was renamed away.
struct Temporary(PathBuf);

impl Temporary {
    fn beside(target: &Path) -> std::io::Result<Self> {
        static COUNT: AtomicU64 = AtomicU64::new(0);
        loop {
            let mut name = OsString::from(".");
            name.push(target.file_name().unwrap_or_default());
            let count = COUNT.fetch_add(1, Ordering::Relaxed);
            name.push(format!(".{}-{count}.tmp", std::process::id()));
            let path = target.with_file_name(name);
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(_) => return Ok(Self(path)),
                // Left over from a killed process of the same number.
                Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists => {}
                Err(e) => return Err(e),
            }
        }
    }
}

impl Drop for Temporary {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.0);
    }
}
