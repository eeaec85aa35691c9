//! Edits of a job's text: what was typed comes back, remarks and order stay, and two people's edits meet.

use flankwise_bench::job::{
    Edit, EditError, Kind, Typed, apply, merge, raw, read,
    schema::{self, Shape},
    template,
};
use proptest::prelude::*;
use toml_edit::{DocumentMut, Item, TableLike};

const DEMO: &str = include_str!("../../../demo/board-shear.toml");

fn set(path: &str, typed: &str) -> Edit {
    Edit::Set { path: path.to_owned(), typed: typed.to_owned() }
}
fn add(path: &str) -> Edit {
    Edit::Add { path: path.to_owned() }
}
fn remove(path: &str) -> Edit {
    Edit::Remove { path: path.to_owned() }
}
fn applied(text: &str, edit: &Edit) -> String {
    apply(text, edit).unwrap_or_else(|e| panic!("{edit:?}: {e}"))
}

/// Lines that differ, as `-old` and `+new`.
fn changes(before: &str, after: &str) -> String {
    let (old, new): (Vec<_>, Vec<_>) = (before.lines().collect(), after.lines().collect());
    let head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let most = old.len().min(new.len()) - head;
    let tail = old.iter().rev().zip(new.iter().rev()).take(most).take_while(|(a, b)| a == b).count();
    let gone = old[head..old.len() - tail].iter().map(|l| format!("-{l}\n"));
    let come = new[head..new.len() - tail].iter().map(|l| format!("+{l}\n"));
    gone.chain(come).collect()
}

/// Edit, and the lines of the demo job that it changes.
#[test]
fn only_the_edited_line_changes() {
    for (edit, changed) in [
        (set("reading[2].value", "21.69 mm"), "-value      = \"21.71 mm\"\n+value      = \"21.69 mm\"\n"),
        (
            set("unit", "in"),
            "-unit     = \"mm\"                       # for bare numbers; any value may carry its own unit\n\
             +unit     = \"in\"                       # for bare numbers; any value may carry its own unit\n",
        ),
        (
            set("unit", ""),
            "-unit     = \"mm\"                       # for bare numbers; any value may carry its own unit\n\
             +# for bare numbers; any value may carry its own unit\n",
        ),
        (set("make.duty", ""), "-duty          = \"feed\"\n"),
        (set("make.class", "7H"), "+class = \"7H\"\n"),
        (set("make.hole[1].count", "2"), "+count = 2\n"),
        (set("rates.hour", "72.50"), "-hour      = 65\n+hour      = 72.50\n"),
        (set("observed.taper", "true"), "-taper     = false\n+taper     = true\n"),
        (
            set("context.machine", "standing press"),
            "-context  = { machine = \"bookbinder's board shear\", made = 1938, country = \"GB\" }\n\
             +context  = { machine = \"standing press\", made = 1938, country = \"GB\" }\n",
        ),
        (
            set("context.made", ""),
            "-context  = { machine = \"bookbinder's board shear\", made = 1938, country = \"GB\" }\n\
             +context  = { machine = \"bookbinder's board shear\", country = \"GB\" }\n",
        ),
        (
            set("lathe.thread_dial.marks", "16"),
            "-thread_dial = { teeth = 20, marks = 8 }\n+thread_dial = { teeth = 20, marks = 16 }\n",
        ),
        (
            set("gauges.wires", "2,0 mm, 2.6 mm; 3.2"),
            "-wires       = [\"2.0 mm\", \"2.6 mm\", \"3.2 mm\"]\n+wires       = [\"2,0 mm, 2.6 mm\", 3.2]\n",
        ),
        (
            set("gauges.balls", "2,5 mm, 2.6 mm, 3"),
            "-balls       = [\"2.5 mm\", \"2.6 mm\"]\n+balls       = [\"2,5 mm\", \"2.6 mm\", 3]\n",
        ),
        (set("identity.thread", "Tr 22x5"), "+\n+[identity]\n+thread = \"Tr 22x5\"\n"),
        (add("leaf"), "+[[leaf]]\n+\n"),
        (add("lathe.gearbox"), "+[[lathe.gearbox]]\n+\n"),
        (
            remove("reading[3]"),
            "-[[reading]]                           # so many pitches lie between two crests this far apart\n\
             -part       = \"screw\"\n-feature    = \"pitch\"\n-count      = 12\n-value      = \"60.1 mm\"\n\
             -instrument = \"calliper\"\n-\n",
        ),
        (
            remove("grind"),
            "-[grind]\n-clearance       = \"4 deg\"\n-front_clearance = \"12 deg\"\n\
                           -rake            = \"0 deg\"\n-\n",
        ),
    ] {
        let after = applied(DEMO, &edit);
        assert_eq!(changes(DEMO, &after), changed, "{edit:?}\n{after}");
    }
}

#[test]
fn remarks_stay_when_their_field_goes() {
    let text = "job = \"x\"\n# above all\n\n[make]\n# taken twice\nplay = \"0.04 mm\" # by feel\n# then\nlength = 4\n\
                # the flange\n[[make.hole]]\n# drawn\nkind = \"spot\"\n# last\n";
    let no_play = applied(text, &set("make.play", ""));
    assert_eq!(changes(text, &no_play), "-play = \"0.04 mm\" # by feel\n+# by feel\n");
    let nothing = applied(&no_play, &set("make.length", ""));
    assert_eq!(changes(&no_play, &nothing), "-length = 4\n", "the head stays: a hole hangs on it");
    let no_hole = applied(&nothing, &remove("make.hole[1]"));
    assert_eq!(
        no_hole,
        "job = \"x\"\n# above all\n\n[make]\n# taken twice\n# by feel\n# then\n# the flange\n# drawn\n# last\n"
    );
    let neither = applied(text, &remove("make"));
    for remark in ["above all", "taken twice", "then", "the flange", "drawn", "last"] {
        assert!(neither.contains(remark), "{remark}:\n{neither}");
    }
    assert_eq!(read(&neither).map(|j| j.job), Ok("x".to_owned()));
}

#[test]
fn a_table_goes_with_its_last_field() {
    let text = "job = \"x\"\nlathe.name = \"Bench\"\ncontext = { made = 1938 }\n[rates]\nhour = 65\n";
    let text = applied(text, &set("rates.hour", ""));
    let text = applied(&text, &set("context.made", ""));
    let text = applied(&text, &set("lathe.name", ""));
    assert_eq!(text, "job = \"x\"\n");
    assert_eq!(applied(&text, &set("lathe.name", "")), text, "what is not there needs no removing");
}

#[test]
fn tables_written_in_other_ways_are_edited_where_they_stand() {
    let inline = "job = \"x\"\nmake = { part = \"nut\" }\nleaf = [{ pitch = 5 }]\n";
    let text = applied(inline, &set("make.body.outside", "36 mm"));
    let text = applied(&text, &set("leaf[1].verdict", "rocks"));
    let text = applied(&text, &add("leaf"));
    let text = applied(&text, &set("leaf[2].pitch", "8 tpi"));
    assert_eq!(raw(&text, "make.body.outside").as_deref(), Some("36 mm"));
    assert_eq!(raw(&text, "leaf[2].pitch").as_deref(), Some("8 tpi"));
    let text = applied(&text, &remove("leaf[1]"));
    assert_eq!(raw(&text, "leaf[1].pitch").as_deref(), Some("8 tpi"));
    let dotted = "job = \"x\"\nmake.play = 1\n";
    let text = applied(dotted, &set("make.length", "44 mm"));
    assert_eq!(raw(&text, "make.length").as_deref(), Some("44 mm"));
    assert_eq!(raw(&text, "make.play").as_deref(), Some("1"));
    let child_first = "job = \"x\"\n[make.body]\noutside = 36\n";
    let text = applied(child_first, &set("make.play", "1"));
    assert_eq!(
        (raw(&text, "make.play"), raw(&text, "make.body.outside")),
        (Some("1".into()), Some("36".into()))
    );
}

#[test]
fn line_ends_stay_as_they_were() {
    let text = DEMO.replace('\n', "\r\n");
    for edit in [set("make.play", "0.05 mm"), set("make.class", "7H"), add("reading"), remove("reading[2]")] {
        let after = applied(&text, &edit);
        assert_eq!(after, applied(DEMO, &edit).replace('\n', "\r\n"), "{edit:?}");
    }
}

#[test]
fn what_is_typed_keeps_its_type() {
    let kinds = |path: &str, typed: &str| {
        let after = applied("job = \"x\"\n[[reading]]\n", &set(path, typed));
        after.lines().last().unwrap().to_owned()
    };
    assert_eq!(kinds("reading[1].value", "21.86 mm"), "value = \"21.86 mm\"");
    assert_eq!(kinds("reading[1].value", "21.860"), "value = 21.860");
    assert_eq!(kinds("reading[1].value", "21,86"), "value = \"21,86\"");
    assert_eq!(kinds("reading[1].value", ".625"), "value = \".625\"");
    assert_eq!(kinds("reading[1].value", "1e3"), "value = \"1e3\"");
    assert_eq!(kinds("reading[1].value", "nan"), "value = \"nan\"");
    assert_eq!(kinds("reading[1].value", "a worn \"crest\""), "value = 'a worn \"crest\"'");
    assert_eq!(kinds("reading[1].count", "12"), "count = 12");
    assert_eq!(kinds("observed.taper", "true"), "taper = true");
    assert_eq!(kinds("observed.taper", "perhaps"), "taper = \"perhaps\"");
    assert_eq!(kinds("lathe.gears", "20, 25,30 40"), "gears = [20, 25, 30, 40]");
    assert_eq!(kinds("lathe.gears", "20; forty"), "gears = [20, \"forty\"]");
    let person = applied("job = \"x\"\n", &set("people.maker", "12"));
    assert_eq!(person, "job = \"x\"\npeople = { maker = \"12\" }\n");
}

#[test]
fn a_job_grows_from_the_template() {
    assert!(read(&template()).is_ok());
    let mut text = template();
    for edit in [
        set("job", "Press screw"),
        set("observed.hand", "left"),
        add("reading"),
        set("reading[1].part", "screw"),
        set("reading[1].feature", "major diameter"),
        set("reading[1].value", "21.86 mm"),
        add("reading"),
        set("reading[2].part", "screw"),
        set("reading[2].feature", "pitch"),
        set("reading[2].count", "12"),
        set("reading[2].value", "60.1"),
        set("make.body.outside", "36 mm"),
        set("make.play", "0.04 mm"),
        add("make.hole"),
        set("make.hole[1].kind", "spot"),
        set("make.hole[1].diameter", "6 mm"),
        set("make.hole[1].from_end", "26 mm"),
        set("lathe.lead_screw", "8 tpi"),
        set("lathe.gears", "20, 40"),
        set("lathe.readout.division", "0.005 mm"),
        add("lathe.gearbox"),
        set("lathe.gearbox[1].name", "A"),
        set("lathe.gearbox[1].ratio", "1:2"),
        set("context.made", "1938"),
    ] {
        text = applied(&text, &edit);
    }
    insta::assert_snapshot!(text);
    let job = read(&text).unwrap_or_else(|p| panic!("{p:?}\n{text}"));
    assert_eq!((job.readings.len(), job.make.body.holes.len()), (2, 1));
    assert_eq!(job.lathe.map(|l| l.gearbox.len()), Some(1));
}

#[test]
fn the_remarks_of_the_template_are_good_toml() {
    let text = template().replace("# [[", "[[").replace("# part", "part").replace("# feature", "feature");
    let text = text.replace("# value", "value").replace("# instrument", "instrument");
    assert_eq!(read(&text).map(|j| j.readings.len()), Ok(1));
}

#[test]
fn wrong_paths_are_told() {
    let mut told = String::new();
    for edit in [
        set("make.plya", "1"),
        set("maek.play", "1"),
        set("reading.value", "1"),
        set("reading[0].value", "1"),
        set("reading[x].value", "1"),
        set("reading[9].value", "1"),
        set("offer[1]", "1"),
        set("make", "1"),
        set("", "1"),
        set("job.name", "1"),
        set("make.play.more", "1"),
        set("observed[1].hand", "left"),
        set("make.hole[3].kind", "spot"),
        add("make"),
        add("reading[1]"),
        add("readings"),
        remove("reading"),
        remove("reading[7]"),
        remove("make.play"),
        remove("identity"),
    ] {
        let error = apply(DEMO, &edit).expect_err(&format!("{edit:?}"));
        told += &format!("{edit:?}\n    {error}\n");
    }
    told += &format!("{}\n", apply("job = ", &set("job", "x")).unwrap_err());
    insta::assert_snapshot!(told);
}

fn conflict(base: &str, current: &str, edit: &Edit) -> (String, String) {
    match merge(base, current, edit) {
        Err(EditError::Conflict { theirs, ours, .. }) => (theirs, ours),
        other => panic!("{edit:?}: {other:?}"),
    }
}

#[test]
fn edits_from_two_sides_meet() {
    let theirs = |edits: &[Edit]| edits.iter().fold(DEMO.to_owned(), |text, e| applied(&text, e));

    // Another field, another table, a table added behind: both stay.
    let current = theirs(&[set("reading[2].place", "185 mm"), set("make.play", "0.05 mm"), add("reading")]);
    let both = merge(DEMO, &current, &set("reading[2].value", "21.70 mm")).unwrap();
    assert_eq!(raw(&both, "reading[2].value").as_deref(), Some("21.70 mm"));
    assert_eq!(raw(&both, "reading[2].place").as_deref(), Some("185 mm"));

    // The same field: told, unless both wrote the same.
    let current = theirs(&[set("reading[2].value", "21.60 mm")]);
    let edit = set("reading[2].value", "21.70 mm");
    assert_eq!(conflict(DEMO, &current, &edit), ("21.60 mm".to_owned(), "21.70 mm".to_owned()));
    assert_eq!(merge(DEMO, &current, &set("reading[2].value", "21.60 mm")), Ok(current));

    // A table taken out before it: the edit follows its reading.
    let current = theirs(&[remove("reading[1]")]);
    let both = merge(DEMO, &current, &set("reading[2].value", "21.70 mm")).unwrap();
    assert_eq!(raw(&both, "reading[1].value").as_deref(), Some("21.70 mm"));
    assert_eq!(raw(&both, "reading[2].value").as_deref(), Some("60.1 mm"));

    // The table itself taken out: told, and a removal of it on both sides is one removal.
    let current = theirs(&[remove("reading[2]")]);
    conflict(DEMO, &current, &set("reading[2].value", "21.70 mm"));
    assert_eq!(merge(DEMO, &current, &remove("reading[2]")), Ok(current.clone()));
    // Taken out, and another put at the end: the number is right, the reading is not.
    let current = [add("reading"), set("reading[6].part", "nut")].iter().fold(current, |t, e| applied(&t, e));
    conflict(DEMO, &current, &set("reading[2].uncertainty", "0.1 mm"));

    // A removal of what the other side has changed is told.
    let current = theirs(&[set("reading[2].value", "21.60 mm")]);
    conflict(DEMO, &current, &remove("reading[2]"));
    let current = theirs(&[remove("reading[1]"), add("reading")]);
    let both = merge(DEMO, &current, &remove("reading[2]")).unwrap();
    assert_eq!(raw(&both, "reading[1].value").as_deref(), Some("60.1 mm"));
}

/// Every field of the schema as a path into the demo job, with room for it.
fn field_paths() -> Vec<(String, Kind)> {
    let mut paths = Vec::new();
    for table in schema::TABLES {
        let at = match (table.path, table.shape) {
            ("", _) => String::new(),
            (path, Shape::Many) => format!("{path}[1]."),
            (path, _) => format!("{path}."),
        };
        paths.extend(table.fields.iter().map(|f| (format!("{at}{}", f.name), f.kind)));
    }
    paths
}

/// Every field of a text, by path, with its value.
fn fields(text: &str) -> Vec<(String, String)> {
    fn within(table: &dyn TableLike, at: &str, all: &mut Vec<(String, String)>) {
        for (name, item) in table.iter() {
            match item {
                Item::ArrayOfTables(array) => {
                    for (i, t) in array.iter().enumerate() {
                        within(t, &format!("{at}{name}[{}].", i + 1), all);
                    }
                }
                item => match item.as_table_like() {
                    Some(t) => within(t, &format!("{at}{name}."), all),
                    None => all.push((format!("{at}{name}"), item.to_string().trim().to_owned())),
                },
            }
        }
    }
    let document: DocumentMut = text.parse().unwrap();
    let mut all = Vec::new();
    within(document.as_table(), "", &mut all);
    all.sort();
    all
}

/// The demo with an entry in every array of tables.
fn roomy() -> String {
    let many = schema::TABLES.iter().filter(|t| t.shape == Shape::Many);
    many.fold(DEMO.to_owned(), |text, table| match Typed::of(&text).count(table.path) {
        0 => applied(&text, &add(table.path)),
        _ => text,
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn what_was_typed_comes_back(
        at in any::<prop::sample::Index>(),
        typed in prop_oneof![any::<String>(), "[0-9.,/ -]{1,8}( mm|\"|°)?", "-?[0-9]{1,5}(\\.[0-9]{1,4})?"],
    ) {
        let text = roomy();
        let paths = field_paths();
        let (path, kind) = at.get(&paths);
        let after = apply(&text, &set(path, &typed)).unwrap();
        let back = raw(&after, path);
        match kind {
            // Lists come back with their members' separators made alike.
            Kind::List(_) => {
                let again = applied(&after, &set(path, back.as_deref().unwrap_or("")));
                prop_assert_eq!(raw(&again, path), back);
            }
            _ if typed.trim().is_empty() => prop_assert_eq!(back, None),
            _ => prop_assert_eq!(back.as_deref(), Some(typed.trim())),
        }
        let others = |t: &str| {
            let mut all = fields(t);
            all.retain(|(p, _)| p != path);
            all
        };
        prop_assert_eq!(others(&after), others(&text), "changed with {}", path);
        if typed.trim().is_empty() {
            let remarks = |t: &str| t.matches('#').count();
            prop_assert_eq!(remarks(&after), remarks(&text), "remarks stay");
        }
    }

    #[test]
    fn edits_of_different_fields_commute(
        a in any::<prop::sample::Index>(), b in any::<prop::sample::Index>(),
        typed in "[a-z0-9]{0,6}", other in "[a-z0-9]{0,6}",
    ) {
        let base = roomy();
        let paths = field_paths();
        let (a, b) = (set(&a.get(&paths).0, &typed), set(&b.get(&paths).0, &other));
        let (Edit::Set { path: pa, .. }, Edit::Set { path: pb, .. }) = (&a, &b) else { unreachable!() };
        prop_assume!(pa != pb);
        let ab = merge(&base, &applied(&base, &a), &b).unwrap();
        let ba = merge(&base, &applied(&base, &b), &a).unwrap();
        prop_assert_eq!(fields(&ab), fields(&ba));
        prop_assert_eq!(raw(&ab, pa).unwrap_or_default(), typed);
        prop_assert_eq!(raw(&ab, pb).unwrap_or_default(), other);
    }

    #[test]
    fn no_text_or_path_panics(text in any::<String>(), path in "[a-z.\\[\\]0-9]{0,24}", typed in any::<String>()) {
        for edit in [set(&path, &typed), add(&path), remove(&path)] {
            let _ = apply(&text, &edit);
            let _ = apply(DEMO, &edit);
            let _ = merge(DEMO, &text, &edit);
        }
        let _ = raw(&text, &path);
        let _ = read(&text);
    }
}
