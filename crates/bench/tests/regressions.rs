//! Inputs that fuzzing found to go wrong once.

use flankwise_bench::job::{Edit, EditError, apply, merge, raw};

fn set(path: &str, typed: &str) -> Edit {
    Edit::Set { path: path.to_owned(), typed: typed.to_owned() }
}

/// Emptying a field of a table that is not there was no edit, but a conflict when merged.
#[test]
fn emptying_what_is_not_there_merges_as_nothing() {
    let text = "job = \"x\"";
    for path in ["reading[2].value", "make.play", "lathe.banjo.module"] {
        for typed in ["", "\u{b}\u{b}"] {
            assert_eq!(apply(text, &set(path, typed)).as_deref(), Ok(text));
            assert_eq!(merge(text, text, &set(path, typed)).as_deref(), Ok(text));
        }
    }
    let error = merge(text, text, &set("reading[2].value", "1"));
    assert!(matches!(error, Err(EditError::NoSuchField { .. })), "{error:?}");
}

/// A table without a head of its own was cut out twice, beyond the end of the text.
#[test]
fn a_table_that_its_parts_imply_is_removed_once() {
    let remove = |path: &str| Edit::Remove { path: path.to_owned() };
    let kept = "job = \"x\"\n# z\n";
    assert_eq!(apply(&format!("{kept}[make.body]\n"), &remove("make")).as_deref(), Ok(kept));
    let scattered = "job = \"x\"\n# z\n[make.body]\nflats = 3\n[rates]\nhour = 4\n[make]\nplay = 1\n";
    let rest = "job = \"x\"\n# z\n[rates]\nhour = 4\n";
    assert_eq!(apply(scattered, &remove("make")).as_deref(), Ok(rest));
    assert_eq!(
        apply("job = \"x\"\nmake.play = 1\nmake.body.flats = 2\n", &remove("make")).as_deref(),
        Ok("job = \"x\"\n")
    );
}

/// A stray carriage return was healed by an edit, and then told by a merge.
#[test]
fn a_stray_carriage_return_is_told_by_every_edit() {
    let text = "job = \"x\" # y\r\r\nunit = \"mm\"\r\n";
    assert!(matches!(apply(text, &set("unit", "in")), Err(EditError::NotToml(_))));
}

/// Line breaks that are typed come back as typed, also in a text whose lines end in two characters.
#[test]
fn typed_line_breaks_come_back() {
    for text in ["job = \"x\"\r\n", "job = \"x\"\n"] {
        for typed in ["one\ntwo", "one\r\ntwo \"quoted\" \\ back", "a\u{1}\nb"] {
            let after = apply(text, &set("people.maker", typed)).unwrap();
            assert_eq!(raw(&after, "people.maker").as_deref(), Some(typed), "{after}");
            assert_eq!(after.lines().count(), 2, "{after}");
        }
    }
}
