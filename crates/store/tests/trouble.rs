//! Full disks, damaged and foreign files: told in words that name the file, and nothing lost.

use std::fs;
use std::time::Duration;

use flankwise_store::{FILE_NAME, SaveError, Settings, Store, StoreError, export_to};
use rusqlite::Connection;

fn text(n: usize) -> String {
    format!("{n}: ").repeat(2000)
}

#[test]
fn a_full_disk_keeps_what_was_saved() {
    let folder = tempfile::tempdir().unwrap();
    let small = Settings { max_pages: Some(40), ..Settings::default() };
    let store = Store::open_with(folder.path(), small).unwrap();
    let mut head = store.create("t", &text(1), 0).unwrap();
    let refused = loop {
        let next = text(usize::try_from(head.revision).unwrap() + 1);
        match store.save(head.id, head.revision, &next, "t", "more", 1) {
            Ok(saved) => head = saved.head,
            Err(error) => break error,
        }
        assert!(head.revision < 1000, "the limit was not felt");
    };
    assert!(matches!(refused, SaveError::Store(StoreError::Full { .. })), "{refused}");
    let words = refused.to_string();
    assert!(words.contains(FILE_NAME) && words.contains("no room left"), "{words}");
    assert!(head.revision > 5);
    for store in [store, Store::open(folder.path()).unwrap()] {
        assert_eq!(store.load(head.id).unwrap().head, head);
        for revision in 1..=head.revision {
            let kept = store.text_at(head.id, revision).unwrap();
            assert_eq!(kept, text(usize::try_from(revision).unwrap()));
        }
    }
    // With room again the same change goes through.
    let store = Store::open(folder.path()).unwrap();
    store.save(head.id, head.revision, "after", "t", "more", 2).unwrap();
}

#[test]
fn a_newer_layout_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    drop(Store::open(folder.path()).unwrap());
    let file = folder.path().join(FILE_NAME);
    let other = Connection::open(&file).unwrap();
    other.pragma_update(None, "user_version", 99).unwrap();
    drop(other);
    let before = fs::read(&file).unwrap();
    let words = Store::open(folder.path()).unwrap_err().to_string();
    assert!(words.contains("newer") && words.contains("99") && words.contains(FILE_NAME), "{words}");
    assert_eq!(fs::read(&file).unwrap(), before);
}

#[test]
fn a_foreign_database_is_left_alone() {
    for make in ["CREATE TABLE recipe (name TEXT)", "PRAGMA application_id = 7", "PRAGMA user_version = 1"] {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join(FILE_NAME);
        let other = Connection::open(&file).unwrap();
        other.execute_batch(make).unwrap();
        drop(other);
        let before = fs::read(&file).unwrap();
        let error = Store::open(folder.path()).unwrap_err();
        assert!(matches!(error, StoreError::NotOurs { .. }), "{make}: {error}");
        assert_eq!(fs::read(&file).unwrap(), before, "{make}");
    }
}

#[test]
fn a_file_of_something_else_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join(FILE_NAME);
    let letter = b"Dear customer, ".repeat(500);
    fs::write(&file, &letter).unwrap();
    let error = Store::open(folder.path()).unwrap_err();
    assert!(matches!(error, StoreError::NotOurs { .. }), "{error}");
    assert_eq!(fs::read(&file).unwrap(), letter);
}

#[test]
fn an_empty_file_is_taken_as_new() {
    // So it looks when a program is killed between making the file and its first commit.
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join(FILE_NAME), b"").unwrap();
    Store::open(folder.path()).unwrap().create("t", "a", 0).unwrap();
}

/// A file with its pages overwritten one after another: damage to the structure is told when it is opened,
/// damage inside a text when that is read and is no longer text. It never panics.
#[test]
fn damage_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let id = store.create("t", &text(1), 0).unwrap().id;
    for revision in 1..20 {
        store.save(id, revision, &text(revision as usize + 1), "t", "more", 1).unwrap();
    }
    drop(store);
    let file = folder.path().join(FILE_NAME);
    let sound = fs::read(&file).unwrap();
    let mut told = 0;
    let pages = sound.len() / 4096;
    for page in 0..pages {
        let mut bytes = sound.clone();
        // Past the file's head, which decides whose file it is.
        bytes[page * 4096 + 100..page * 4096 + 400].fill(0xa5);
        fs::write(&file, &bytes).unwrap();
        match Store::open(folder.path()) {
            Err(StoreError::Corrupt { detail, .. }) => {
                assert!(!detail.is_empty());
                told += 1;
            }
            Err(other) => panic!("page {page}: {other}"),
            Ok(store) => {
                for entry in store.history(id).unwrap() {
                    match store.text_at(id, entry.revision) {
                        Ok(kept) => assert_eq!(kept, text(entry.revision as usize)),
                        Err(error) => {
                            assert!(matches!(error, StoreError::Corrupt { .. }), "{error}");
                            told += 1;
                        }
                    }
                }
            }
        }
    }
    assert!(told > 10 && pages > 10, "{told} of {pages}");
    // Cut short, as by a copy that broke off.
    fs::write(&file, &sound[..sound.len() / 2]).unwrap();
    let error = Store::open(folder.path()).unwrap_err();
    assert!(matches!(error, StoreError::Corrupt { .. }), "{error}");
}

#[test]
fn a_writer_that_does_not_let_go_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let hasty = Settings { wait: Duration::from_millis(50), ..Settings::default() };
    let store = Store::open_with(folder.path(), hasty).unwrap();
    let job = store.create("t", "a", 0).unwrap();
    let other = Connection::open(store.file()).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let refused = store.save(job.id, 1, "b", "t", "more", 1).unwrap_err();
    assert!(matches!(refused, SaveError::Store(StoreError::Locked { .. })), "{refused}");
    // Reading goes on all the while.
    assert_eq!(store.load(job.id).unwrap().text, "a");
    other.execute_batch("ROLLBACK").unwrap();
    store.save(job.id, 1, "b", "t", "more", 1).unwrap();
}

#[test]
fn a_folder_that_cannot_be_made_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a file");
    fs::write(&file, "").unwrap();
    let words = Store::open(file.join("jobs")).unwrap_err().to_string();
    assert!(words.contains("a file") && words.contains("cannot make this folder"), "{words}");
    // The place of the database taken by a folder.
    fs::create_dir_all(folder.path().join("x").join(FILE_NAME)).unwrap();
    let words = Store::open(folder.path().join("x")).unwrap_err().to_string();
    assert!(words.contains(FILE_NAME) && words.contains("cannot open"), "{words}");
}

#[test]
fn a_backup_holds_everything_and_opens() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let job = store.create("t", "a", 0).unwrap();
    store.save(job.id, 1, "b", "t", "more", 1).unwrap();
    let copy = folder.path().join("copy");
    fs::create_dir(&copy).unwrap();
    store.back_up(copy.join(FILE_NAME)).unwrap();
    store.back_up(copy.join(FILE_NAME)).unwrap();
    let copy = Store::open(copy).unwrap();
    assert_eq!(copy.load(job.id).unwrap(), store.load(job.id).unwrap());
    assert_eq!(copy.history(job.id).unwrap(), store.history(job.id).unwrap());
}

fn names(folder: &std::path::Path) -> Vec<String> {
    let mut names: Vec<_> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn export_replaces_whole_files_and_leaves_nothing_beside_them() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("job.toml");
    export_to(&file, "one").unwrap();
    export_to(&file, "two").unwrap();
    assert_eq!(fs::read_to_string(&file).unwrap(), "two");
    assert_eq!(names(folder.path()), ["job.toml"]);

    let missing = folder.path().join("no such folder").join("job.toml");
    assert!(export_to(&missing, "x").unwrap_err().to_string().contains("no such folder"));
    let onto_folder = export_to(folder.path(), "x").unwrap_err().to_string();
    assert!(onto_folder.contains("cannot write to a folder"), "{onto_folder}");

    let mut protection = fs::metadata(&file).unwrap().permissions();
    protection.set_readonly(true);
    fs::set_permissions(&file, protection).unwrap();
    let refused = export_to(&file, "three").unwrap_err();
    assert!(matches!(refused, StoreError::ReadOnly { .. }), "{refused}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "two");
    assert_eq!(names(folder.path()), ["job.toml"]);
}

#[cfg(unix)]
#[test]
fn export_follows_links_and_keeps_permissions() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let (file, link) = (folder.path().join("job.toml"), folder.path().join("link.toml"));
    fs::write(&file, "one").unwrap();
    fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink(&file, &link).unwrap();
    export_to(&link, "two").unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(fs::read_to_string(&file).unwrap(), "two");
    assert_eq!(fs::metadata(&file).unwrap().permissions().mode() & 0o777, 0o640);
}

#[cfg(target_os = "linux")]
#[test]
fn export_to_a_full_device_says_so() {
    let refused = export_to("/dev/full", "text").unwrap_err();
    assert!(matches!(refused, StoreError::Full { .. }), "{refused}");
    export_to("/dev/null", "text").unwrap();
}
