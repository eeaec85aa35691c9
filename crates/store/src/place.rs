//! Where jobs are kept when nobody says otherwise.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use crate::StoreError;

/// The folder for this program's data: `$XDG_DATA_HOME/flankwise`, else `~/.local/share/flankwise` (XDG Base
/// Directory Specification 0.8); on macOS `~/Library/Application Support/flankwise`; on Windows
/// `%LOCALAPPDATA%\flankwise`. It is not made here.
///
/// # Errors
/// [`StoreError::NoDataFolder`] when the variables give no absolute path.
pub fn default_data_dir() -> Result<PathBuf, StoreError> {
    data_dir(std::env::consts::OS, |name| std::env::var_os(name))
}

fn data_dir(os: &str, variable: impl Fn(&str) -> Option<OsString>) -> Result<PathBuf, StoreError> {
    // The XDG specification has relative paths ignored; the same is wise elsewhere, or the jobs would move
    // with the folder the program was started from.
    let absolute = |name| variable(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let (base, looked_at) = match os {
        "windows" => (absolute("LOCALAPPDATA"), "LOCALAPPDATA"),
        "macos" => (absolute("HOME").map(|home| home.join("Library/Application Support")), "HOME"),
        _ => (
            absolute("XDG_DATA_HOME").or_else(|| absolute("HOME").map(|home| home.join(".local/share"))),
            "XDG_DATA_HOME or HOME",
        ),
    };
    base.map(|base| base.join("flankwise")).ok_or(StoreError::NoDataFolder { looked_at })
}

/// Makes `dir` and its parents. A new folder is for its owner only: jobs hold customers' names.
pub(crate) fn make_folder(dir: &Path) -> Result<(), StoreError> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(dir).map_err(|e| StoreError::from_io(dir, "make this folder", e))
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;

    fn with(os: &str, set: &[(&str, &str)]) -> Option<PathBuf> {
        data_dir(os, |name| set.iter().find(|(n, _)| *n == name).map(|(_, v)| OsString::from(v))).ok()
    }

    #[test]
    fn follows_the_platform() {
        let home = ("HOME", "/home/ada");
        let at = |path: &str| Some(PathBuf::from(path));
        assert_eq!(with("linux", &[home]), at("/home/ada/.local/share/flankwise"));
        assert_eq!(with("linux", &[home, ("XDG_DATA_HOME", "/d")]), at("/d/flankwise"));
        assert_eq!(with("linux", &[home, ("XDG_DATA_HOME", "d")]), at("/home/ada/.local/share/flankwise"));
        assert_eq!(with("linux", &[home, ("XDG_DATA_HOME", "")]), at("/home/ada/.local/share/flankwise"));
        assert_eq!(with("macos", &[home]), at("/home/ada/Library/Application Support/flankwise"));
        assert_eq!(with("windows", &[("LOCALAPPDATA", "/l")]), at("/l/flankwise"));
        assert_eq!(with("linux", &[]), None);
        assert_eq!(with("linux", &[("HOME", "ada")]), None);
    }
}
