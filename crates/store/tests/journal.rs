//! Undo and redo against a model, and what a journal keeps.

use flankwise_store::{JobId, Kind, SaveError, Store, StoreError};
use proptest::prelude::*;

fn store() -> (tempfile::TempDir, Store) {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    (folder, store)
}

/// A job with one edit after another, named by their texts.
fn job_of(store: &Store, texts: &[&str]) -> (JobId, i64) {
    let mut head = store.create("t", texts[0], 0).unwrap();
    for (text, now) in texts[1..].iter().zip(1..) {
        head = store.save(head.id, head.revision, text, "t", &format!("to {text}"), now).unwrap().head;
    }
    (head.id, head.revision)
}

#[test]
fn several_undos_go_further_back_and_redo_returns() {
    let (_folder, store) = store();
    let (id, revision) = job_of(&store, &["a", "b", "c"]);
    assert_eq!(store.undo(id, revision, 10).unwrap().head.revision, 4);
    assert_eq!(store.undo(id, 4, 11).unwrap().head.revision, 5);
    let job = store.load(id).unwrap();
    assert_eq!((job.text.as_str(), job.undo, job.redo), ("a", None, Some("to b".into())));
    assert!(matches!(store.undo(id, 5, 12), Err(SaveError::NothingToUndo)));
    store.redo(id, 5, 13).unwrap();
    store.redo(id, 6, 14).unwrap();
    let job = store.load(id).unwrap();
    assert_eq!((job.text.as_str(), job.undo, job.redo), ("c", Some("to c".into()), None));
    assert!(matches!(store.redo(id, 7, 15), Err(SaveError::NothingToRedo)));
    let kinds: Vec<_> =
        store.history(id).unwrap().iter().map(|e| (e.kind, e.shows, e.what.clone())).collect();
    let expected = [
        (Kind::Create, 1, ""),
        (Kind::Edit, 2, "to b"),
        (Kind::Edit, 3, "to c"),
        (Kind::Undo, 2, "to c"),
        (Kind::Undo, 1, "to b"),
        (Kind::Redo, 2, "to b"),
        (Kind::Redo, 3, "to c"),
    ];
    assert_eq!(kinds, expected.map(|(kind, shows, what)| (kind, shows, what.to_string())));
}

#[test]
fn an_edit_after_undo_drops_redo_and_keeps_the_journal() {
    let (_folder, store) = store();
    let (id, revision) = job_of(&store, &["a", "b"]);
    store.undo(id, revision, 10).unwrap();
    store.save(id, 3, "x", "t", "to x", 11).unwrap();
    assert!(matches!(store.redo(id, 4, 12), Err(SaveError::NothingToRedo)));
    assert_eq!(store.text_at(id, 2).unwrap(), "b");
    store.undo(id, 4, 13).unwrap();
    assert_eq!(store.load(id).unwrap().text, "a");
    // Redo goes along the line last made, not to the abandoned one.
    store.redo(id, 5, 14).unwrap();
    assert_eq!(store.load(id).unwrap().text, "x");
}

#[test]
fn titles_go_back_and_forth_with_the_text() {
    let (_folder, store) = store();
    let job = store.create("Shear", "a", 0).unwrap();
    store.save(job.id, 1, "a", "Board shear", "title", 1).unwrap();
    assert_eq!(store.undo(job.id, 2, 2).unwrap().head.title, "Shear");
    assert_eq!(store.redo(job.id, 3, 3).unwrap().head.title, "Board shear");
}

#[test]
fn saving_what_is_there_adds_nothing() {
    let (_folder, store) = store();
    let job = store.create("t", "a", 0).unwrap();
    let saved = store.save(job.id, 1, "a", "t", "none", 9).unwrap();
    assert!(!saved.recorded);
    assert_eq!((saved.head.revision, saved.head.changed_at), (1, 0));
}

#[test]
fn a_removed_job_can_be_brought_back_whole() {
    let (_folder, store) = store();
    let (id, _) = job_of(&store, &["a", "b"]);
    store.remove(id, 50).unwrap();
    assert!(store.jobs().unwrap().is_empty());
    assert_eq!(store.removed_jobs().unwrap()[0].removed_at, Some(50));
    assert_eq!(store.remove(id, 60).unwrap().removed_at, Some(50), "removed once only");
    let refused = store.save(id, 2, "c", "t", "late", 51).unwrap_err();
    assert!(matches!(refused, SaveError::Store(StoreError::Removed(_))), "{refused}");
    store.restore(id).unwrap();
    assert_eq!(store.jobs().unwrap()[0].id, id);
    assert_eq!(store.undo(id, 2, 52).unwrap().head.revision, 3);
    assert_eq!(store.load(id).unwrap().text, "a");
}

#[test]
fn jobs_are_listed_by_last_change() {
    let (_folder, store) = store();
    let first = store.create("first", "a", 10).unwrap();
    let second = store.import("second", "b", "read from b.toml", 20).unwrap();
    store.save(first.id, 1, "aa", "first", "more", 30).unwrap();
    let ids: Vec<_> = store.jobs().unwrap().into_iter().map(|head| head.id).collect();
    assert_eq!(ids, [first.id, second.id]);
    let entry = &store.history(second.id).unwrap()[0];
    assert_eq!((entry.kind, entry.what.as_str()), (Kind::Import, "read from b.toml"));
}

#[test]
fn what_is_not_there_is_named() {
    let (_folder, store) = store();
    let job = store.create("t", "a", 0).unwrap();
    let none = JobId(77);
    for text in [
        store.load(none).unwrap_err().to_string(),
        store.history(none).unwrap_err().to_string(),
        store.save(none, 1, "", "", "", 0).unwrap_err().to_string(),
        store.remove(none, 0).unwrap_err().to_string(),
        store.restore(none).unwrap_err().to_string(),
    ] {
        assert_eq!(text, "nothing is kept here under number 77");
    }
    for text in [
        store.text_at(job.id, 9).unwrap_err().to_string(),
        store.save(job.id, 9, "b", "t", "", 0).unwrap_err().to_string(),
    ] {
        assert_eq!(text, "number 1 has no revision 9");
    }
}

#[derive(Clone, Debug)]
enum Act {
    Edit(String),
    Undo,
    Redo,
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        3 => ".{0,12}".prop_map(Act::Edit),
        3 => Just(Act::Undo),
        2 => Just(Act::Redo),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// The model: a list of states with a place on it. An edit cuts off what lies beyond the place.
    #[test]
    fn undo_and_redo_as_people_expect(acts in proptest::collection::vec(act(), 1..40)) {
        let (_folder, store) = store();
        let id = store.create("t", "", 0).unwrap().id;
        let (mut states, mut place, mut shown) = (vec![String::new()], 0, vec![String::new()]);
        for (act, now) in acts.into_iter().zip(1..) {
            let base = shown.len() as i64;
            let saved = match &act {
                Act::Edit(text) => {
                    let saved = store.save(id, base, text, "t", text, now).unwrap();
                    prop_assert_eq!(saved.recorded, *text != states[place]);
                    if saved.recorded {
                        states.truncate(place + 1);
                        states.push(text.clone());
                        place += 1;
                    }
                    Some(saved)
                }
                Act::Undo => {
                    let saved = store.undo(id, base, now).ok();
                    prop_assert_eq!(saved.is_some(), place > 0);
                    place = place.saturating_sub(1);
                    saved
                }
                Act::Redo => {
                    let saved = store.redo(id, base, now).ok();
                    prop_assert_eq!(saved.is_some(), place + 1 < states.len());
                    place = (place + 1).min(states.len() - 1);
                    saved
                }
            };
            if saved.is_some_and(|saved| saved.recorded) {
                shown.push(states[place].clone());
            }
            let job = store.load(id).unwrap();
            prop_assert_eq!(&job.text, &states[place]);
            prop_assert_eq!(job.head.revision, shown.len() as i64);
            prop_assert_eq!(job.undo, (place > 0).then(|| states[place].clone()));
            prop_assert_eq!(job.redo, states.get(place + 1).cloned());
        }
        prop_assert_eq!(store.history(id).unwrap().len(), shown.len());
        for (text, revision) in shown.iter().zip(1..) {
            prop_assert_eq!(&store.text_at(id, revision).unwrap(), text);
        }
    }
}
