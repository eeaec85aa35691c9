//! Edits of a text: `text`, then on the last lines a path and what is typed.
#![no_main]

use flankwise_bench::job::{Edit, EditError, apply, merge, raw};

libfuzzer_sys::fuzz_target!(|input: &str| {
    let mut parts = input.rsplitn(3, '\n');
    let (typed, path, text) = (parts.next().unwrap_or(""), parts.next().unwrap_or(""), parts.next().unwrap_or(""));
    let set = Edit::Set { path: path.to_owned(), typed: typed.to_owned() };
    if let Ok(after) = apply(text, &set) {
        // Lists come back with their separators made alike.
        let back = raw(&after, path).unwrap_or_default();
        let list = ["gears", "speeds", "wires", "balls", "pins", "instruments"].iter().any(|l| path.ends_with(l));
        assert!(list || back == typed.trim(), "{path}: {typed:?} came back as {back:?} from\n{after}");
        assert_eq!(merge(text, text, &set).as_ref(), Ok(&after));
    }
    for edit in [Edit::Add { path: path.to_owned() }, Edit::Remove { path: path.to_owned() }] {
        if let Ok(after) = apply(text, &edit) {
            assert!(!matches!(apply(&after, &set), Err(EditError::NotToml(_))), "{after}");
        }
    }
});
