//! Evidence that is bad in the ways that a bench knows: contradictions, one blunder in all readings, a single reading, a
//! taper, a unit taken for the other, starts that cannot be. Each test is a job of its own (invented), and each question
//! that the program asks is answered, to see that the answer mends what was wrong.

use flankwise_bench::job::{self, Edit};
use flankwise_bench::report::{Note, show};
use flankwise_bench::{Whole, work};

/// A reading as the job file has it.
fn reading(feature: &str, value: &str, more: &str) -> String {
    format!("[[reading]]\npart = \"screw\"\nfeature = \"{feature}\"\nvalue = {value}\n{more}\n")
}

fn outside(value: &str, place: u32) -> String {
    reading("major diameter", &format!("\"{value}\""), &format!("instrument = \"calliper\"\nplace = {place}"))
}

fn counted(n: u32, value: &str) -> String {
    reading("pitch", &format!("\"{value}\""), &format!("instrument = \"calliper\"\ncount = {n}"))
}

/// A flat-topped right-hand feed screw of one start, with these readings.
fn feed_screw<'r>(condition: &str, readings: impl IntoIterator<Item = &'r String>) -> String {
    let head = format!(
        "job = \"Feed screw (invented)\"\nunit = \"mm\"\n[observed]\nhand = \"right\"\nstarts = 1\n\
         form = \"flat-topped\"\ncondition = \"{condition}\"\n"
    );
    head + &readings.into_iter().cloned().collect::<String>()
}

fn worked(text: &str) -> Whole {
    work(&job::read(text).unwrap_or_else(|problems| panic!("{problems:#?}\n{text}")))
}

/// The first candidate's designation.
fn first(whole: &Whole) -> String {
    whole.identity.result.as_ref().expect("a ranking").candidates[0].thread.to_string()
}

/// Notes of the first two stages.
fn notes(whole: &Whole) -> Vec<&Note> {
    whole.evidence.notes.iter().chain(&whole.identity.notes).collect()
}

fn words(note: &Note) -> String {
    show::text(&note.text, flankwise_thread::Unit::Mm)
}

/// The note that says `part`.
fn saying<'w>(whole: &'w Whole, part: &str) -> &'w Note {
    let all = notes(whole);
    let found = all.iter().find(|n| words(n).contains(part));
    found.unwrap_or_else(|| {
        panic!("nothing says {part}: {:#?}", all.iter().map(|n| words(n)).collect::<Vec<_>>())
    })
}

/// The text after the note's first answer is taken.
fn answered(text: &str, note: &Note) -> String {
    let answer = note.answers.first().unwrap_or_else(|| panic!("no answer: {}", words(note)));
    let set = |text: String, (path, typed): &(String, String)| {
        job::apply(&text, &Edit::Set { path: path.clone(), typed: typed.clone() })
            .expect("a field of the job")
    };
    answer.sets.iter().fold(text.to_owned(), set)
}

/// One count in which crests were counted, where another is right.
#[test]
fn one_count_of_crests_is_asked_about() {
    let text =
        feed_screw("used", &[outside("21.88 mm", 20), counted(13, "60.0 mm"), counted(20, "100.0 mm")]);
    let whole = worked(&text);
    assert_eq!(first(&whole), "Tr 22x5");
    let note = saying(&whole, "It goes with 12 pitches: were crests counted?");
    let whole = worked(&answered(&text, note));
    assert!(notes(&whole).iter().all(|n| n.answers.is_empty()));
}

/// Every order of `items`.
fn orders<T: Clone>(items: &[T]) -> Vec<Vec<T>> {
    if items.len() < 2 {
        return vec![items.to_vec()];
    }
    let mut all = Vec::new();
    for i in 0..items.len() {
        let mut rest = items.to_vec();
        let one = rest.remove(i);
        all.extend(orders(&rest).into_iter().map(|mut order| {
            order.insert(0, one.clone());
            order
        }));
    }
    all
}

/// What is said of a job, free of the order of its readings: each note with the value of the reading it is about.
fn said(whole: &Whole, text: &str) -> Vec<(String, String)> {
    let typed = job::Typed::of(text);
    let mut said: Vec<_> = notes(whole)
        .iter()
        .map(|n| (words(n), typed.raw(&n.field).unwrap_or_else(|| n.field.clone())))
        .collect();
    said.sort();
    said
}

/// Of five readings the one that the others contradict is named, in every order of them, and the ranking is the same.
#[test]
fn the_odd_one_out_does_not_depend_on_the_order() {
    let five = [
        outside("21.90 mm", 20),
        outside("24.35 mm", 90),
        outside("21.84 mm", 180),
        counted(12, "60.05 mm"),
        reading("over wires", "\"22.60 mm\"", "instrument = \"wires\"\nwire = \"2.6 mm\"\nplace = 20"),
    ];
    let text = feed_screw("used", &five);
    let whole = worked(&text);
    assert_eq!(first(&whole), "Tr 22x5");
    let expected = said(&whole, &text);
    assert!(
        expected
            .iter()
            .any(|(words, value)| words.contains("does not go with Tr 22x5") && value == "24.35 mm"),
        "{expected:#?}"
    );
    for order in orders(&five) {
        let text = feed_screw("used", &order);
        let whole = worked(&text);
        // Which field stands for a remark on an instrument is the first that it was used in, in any order.
        let blamed = |said: &[(String, String)]| {
            said.iter().filter(|(words, _)| !words.contains("Limit of error")).cloned().collect::<Vec<_>>()
        };
        assert_eq!(blamed(&said(&whole, &text)), blamed(&expected), "{text}");
        let one = &worked(&feed_screw("used", &five)).identity.result.expect("a ranking").candidates[0];
        let same = whole.identity.result.as_ref().expect("a ranking");
        assert!((same.candidates[0].probability - one.probability).abs() < 1e-9);
    }
}

/// Two readings of one size that cannot both be right: both are asked about, in either order.
#[test]
fn of_two_that_differ_both_are_asked_about() {
    for (a, b) in
        [("21.86 mm", "0.861 mm"), ("21.86 mm", "12.86 mm"), ("21.86 mm", "218.6 mm"), ("21.9 mm", "27 mm")]
    {
        let said = |x: &str, y: &str| {
            let text = feed_screw("used", &[outside(x, 20), outside(y, 90), counted(12, "60.0 mm")]);
            let whole = worked(&text);
            let evidence = whole.evidence.result.as_ref().expect("evidence");
            assert_eq!(evidence.suspects.len(), 2, "{x}, {y}: {:?}", evidence.suspects);
            let mut asked: Vec<_> =
                whole.evidence.notes.iter().filter(|n| n.field.ends_with(".value")).map(words).collect();
            asked.sort();
            asked
        };
        assert_eq!(said(a, b), said(b, a));
        assert_eq!(said(a, b).len(), 1, "asked once");
    }
}

/// A display in inches, typed as millimetres throughout: 7/8 in and 5 to the inch.
#[test]
fn every_length_in_the_other_unit_is_asked_about_and_answered_at_once() {
    let text = feed_screw("used", &[outside("0.870", 20), counted(12, "2.400")]);
    let whole = worked(&text);
    let note = saying(&whole, "which? Say the unit");
    assert!(words(note).contains("with every length in inches 7/8-5 ACME"), "{}", words(note));
    let mended = answered(&text, note);
    assert!(mended.contains("\"0.870 in\"") && mended.contains("\"2.400 in\""), "{mended}");
    let whole = worked(&mended);
    assert_eq!(first(&whole), "7/8-5 ACME");
    assert!(notes(&whole).iter().all(|n| n.answers.is_empty()), "{:#?}", said(&whole, &mended));
}

/// A single value in the other unit among good ones.
#[test]
fn one_reading_in_the_other_unit_is_asked_about() {
    let good = [outside("21.86 mm", 20), outside("21.80 mm", 90), counted(12, "60.05 mm")];
    let text = feed_screw("used", good.iter().chain([&outside("0.861", 180)]));
    let whole = worked(&text);
    assert_eq!(first(&whole), "Tr 22x5");
    let note = saying(&whole, "a 25.4th of that");
    assert!(
        words(note).contains("Read in millimetres it is 0.86 mm, in inches 21.87 mm: which?"),
        "{}",
        words(note)
    );
    assert_eq!(note.answers[0].sets, [("reading[4].value".to_owned(), "0.861 in".to_owned())]);
    let mended = answered(&text, note);
    let whole = worked(&mended);
    assert!(notes(&whole).iter().all(|n| n.answers.is_empty()), "{:#?}", said(&whole, &mended));
}

/// A diameter of 0.870 and nothing else: a thread of less than a millimetre, or one of 22 mm typed in inches.
#[test]
fn a_single_value_that_no_bench_part_has_is_asked_about() {
    let text = feed_screw("used", &[outside("0.870", 20)]);
    let whole = worked(&text);
    let note = saying(&whole, "Read as millimetres");
    assert_eq!(note.answers[0].words, "0.870 in");
    let outcome = worked(&answered(&text, note));
    let nominal = outcome.identity.result.expect("a ranking").candidates[0].thread.nominal;
    assert!((nominal.to_mm() - 22.1).abs() < 0.6, "{nominal:?}");
}

/// Crests counted for pitches in every count: 13, 9 and 21 crests stand over 12, 8 and 20 pitches of 5 mm.
#[test]
fn every_count_one_crest_too_many_is_seen_through() {
    let counts = [counted(13, "60.0 mm"), counted(9, "40.0 mm"), counted(21, "100.0 mm")];
    let text = feed_screw("used", [outside("21.88 mm", 20)].iter().chain(&counts));
    let whole = worked(&text);
    assert_eq!(first(&whole), "Tr 22x5");
    let note = saying(&whole, "Every count goes with one pitch less");
    assert!(words(note).contains("Between 13 crests there are 12 pitches"), "{}", words(note));
    // Said once, and not again for each count.
    assert!(!said(&whole, &text).iter().any(|(words, _)| words.contains("does not go with")));
    let mended = answered(&text, note);
    let whole = worked(&mended);
    assert_eq!(first(&whole), "Tr 22x5");
    assert!(notes(&whole).iter().all(|n| n.answers.is_empty()), "{:#?}", said(&whole, &mended));
}

/// A calliper that reads 0.35 mm too much: its sizes are all over what the wires, the pitch and the leaf speak for.
#[test]
fn an_instrument_off_its_zero_is_named_once() {
    let wires = |value: &str, place: u32| {
        let more = format!("instrument = \"wires\"\nwire = \"2.6 mm\"\nplace = {place}");
        reading("over wires", &format!("\"{value}\""), &more)
    };
    let text = feed_screw(
        "used",
        &[
            outside("22.30 mm", 20),
            outside("22.28 mm", 90),
            outside("22.29 mm", 180),
            wires("22.70 mm", 20),
            wires("22.68 mm", 90),
            wires("22.69 mm", 180),
            counted(12, "60.02 mm"),
        ],
    ) + "[[leaf]]\npitch = \"5 mm\"\nangle = \"30 deg\"\nverdict = \"seats\"\n";
    let whole = worked(&text);
    let note = saying(&whole, "does the calliper read zero when it is closed?");
    assert_eq!(first(&whole), "Tr 22x5");
    assert!(words(note).contains("over what Tr 22x5 allows"), "{}", words(note));
    // Said once, and not again for each reading.
    let slips = said(&whole, &text).iter().filter(|(words, _)| words.contains("Read it again")).count();
    assert_eq!(slips, 0, "{:#?}", said(&whole, &text));
}

/// One reading alone: a broad ranking, what is missing, and what to do next.
#[test]
fn one_reading_gives_a_broad_ranking_and_the_next_step() {
    let alone = |body: &str| worked(&format!("job = \"One reading (invented)\"\nunit = \"mm\"\n{body}"));
    for body in [
        outside("21.86 mm", 20),
        counted(12, "60.0 mm"),
        "[[leaf]]\npitch = \"5 mm\"\nverdict = \"seats\"\n".to_owned(),
    ] {
        let whole = alone(&body);
        let identity = whole.identity.result.as_ref().expect("a ranking");
        assert!(identity.candidates.len() > 10 && identity.candidates[0].probability < 0.5, "{body}");
        assert!(!identity.next.is_empty(), "{body}");
        let missing: Vec<_> = whole.evidence.needs.iter().map(|n| n.field.as_str()).collect();
        assert!(missing.contains(&"reading") && missing.contains(&"observed.hand"), "{body}: {missing:?}");
        assert!(words(saying(&whole, "Not settled")).contains("before cutting anything"));
    }
}

/// A diameter that falls by 1 in 16 along the part (ASME B1.20.1 for NPT, ISO 7-1 for R: taper 1:16 on the diameter).
#[test]
fn readings_that_fall_evenly_ask_for_a_taper() {
    let text = "job = \"Pipe end (invented)\"\nunit = \"mm\"\n[observed]\nhand = \"right\"\nstarts = 1\nform = \"sharp\"\n"
        .to_owned()
        + &[outside("21.30 mm", 0), outside("20.99 mm", 5), outside("20.68 mm", 10), counted(7, "12.70 mm")].concat();
    let whole = worked(&text);
    let note = saying(&whole, "evenly, by 1 in 16: a taper?");
    let mended = answered(&text, note);
    let whole = worked(&mended);
    let found = first(&whole);
    assert!(found.contains("NPT") || found.contains('R'), "{found}");
    saying(&whole, "Sizes hold at the plane that the standard names");
}

/// More starts than a screw can have: those that it can, and why. A lead angle of 45° on a pitch diameter of 18 mm is a
/// lead of π × 18 = 56.5 mm, fourteen pitches of 4 mm (ISO 5408, lead angle: tan φ = Ph / π d2).
#[test]
fn starts_that_cannot_be_are_answered_with_those_that_can() {
    let text = feed_screw("used", &[outside("19.90 mm", 20), counted(12, "48.0 mm")])
        .replace("starts = 1", "starts = 16");
    let whole = worked(&text);
    let note = saying(&whole, "more than a screw has");
    for part in ["16 starts of 4.00 mm", "1 to 14 are possible", "45°", "1 of 4.00 mm", "2 of 2.00 mm"] {
        assert!(words(note).contains(part), "no {part}: {}", words(note));
    }
    assert_eq!(note.field, "observed.starts");
    // A lead that was followed, and starts that would make its thread far too fine.
    let lead = reading("lead", "\"10.0 mm\"", "instrument = \"calliper\"");
    let text = feed_screw("used", &[outside("19.90 mm", 20), lead, counted(12, "60.0 mm")])
        .replace("starts = 1", "starts = 8");
    let whole = worked(&text);
    assert_eq!(first(&whole), "Tr 20x10 P5");
    let note = saying(&whole, "8 starts were seen");
    assert!(
        words(note).contains("a pitch of 1.25 mm") && words(note).contains("2 of 5.00 mm"),
        "{}",
        words(note)
    );
    // More than any thread has is refused by the reader, with what is accepted.
    let wrong = job::read(&text.replace("starts = 8", "starts = 30")).expect_err("too many");
    assert!(wrong[0].field == "observed.starts" && wrong[0].words().contains("30"), "{wrong:?}");
}

/// An off calliper draws no size that nobody makes before the listed one: that stays first, or the answer says that the
/// zero is in doubt, with the listed one among the first three. In the demo jobs, their outsides read by calliper.
#[test]
fn a_calliper_off_its_zero_draws_no_size_that_nobody_makes() {
    let outsides = [
        (
            include_str!("../../../demo/board-shear.toml"),
            "Tr 22x5",
            [("\"21.86 mm\"", 21.86), ("\"21.71 mm\"", 21.71)],
        ),
        (
            include_str!("../../../demo/proof-press.toml"),
            "3/4-6 ACME-LH",
            [("0.746", 18.948), ("0.744", 18.898)],
        ),
    ];
    for (text, right, read) in outsides {
        let text = text.replace("instrument = \"micrometer\"", "instrument = \"calliper\"");
        for tenths in -6_i32..=6 {
            let shift = 0.1 * f64::from(tenths);
            let moved = read.iter().fold(text.clone(), |text, (typed, mm)| {
                text.replace(&format!("= {typed}"), &format!("= \"{:.2} mm\"", mm + shift))
            });
            let whole = worked(&moved);
            let identity = whole.identity.result.as_ref().expect("a ranking");
            let place = identity.candidates.iter().position(|c| c.thread.to_string() == right);
            let asked = notes(&whole).iter().any(|n| words(n).contains("read zero when it is closed?"));
            assert!(
                place == Some(0) || asked && place.is_some_and(|p| p < 3),
                "{right} {shift:+.1}: {place:?}"
            );
        }
    }
}

/// Sizes of one calliper share its error: ten that are alike tell about as much as one, wherever they were taken. A screw of
/// 22.06 mm and 5.008 mm pitch is Tr 22x5 with a little metal too much, or a size of no list.
#[test]
fn ten_alike_readings_tell_little_more_than_one() {
    let probability = |places: &[Option<u32>]| {
        let sizes = places.iter().map(|place| {
            let place = place.map_or(String::new(), |at| format!("\nplace = {at}"));
            reading("major diameter", "\"22.06 mm\"", &format!("instrument = \"calliper\"{place}"))
        });
        let all: Vec<String> = sizes.chain([counted(12, "60.1 mm")]).collect();
        let ranking = worked(&feed_screw("used", &all)).identity.result.expect("a ranking");
        ranking.probability_of(&"Tr 22x5".parse().expect("a designation"))
    };
    let one = probability(&[None]);
    let apart: Vec<_> = (1..=10).map(|i| Some(20 * i)).collect();
    let ten = probability(&apart);
    // Ten in one place that were written down by a hand that never scatters, and ten apart, are one set of errors.
    let together: Vec<_> = (0..10).map(|_| Some(20)).collect();
    let alike = probability(&together);
    println!("one {one:.3}, ten apart {ten:.3}, ten in one place {alike:.3}");
    assert!(one > 0.4, "{one}");
    assert!((ten - one).abs() < 0.15 && (alike - one).abs() < 0.15, "{one} {ten} {alike}");
}

/// 24 starts of 5 mm on 22 mm make a lead angle of 63°: no thread of so many is ranked, and the rest is ranked without.
#[test]
fn starts_that_cannot_be_are_not_ranked() {
    let text = feed_screw("used", &[outside("21.86 mm", 20), counted(12, "60.1 mm")]);
    let one = worked(&text).identity.result.expect("a ranking");
    let many = worked(&text.replace("starts = 1", "starts = 24"));
    saying(&many, "The ranking leaves that count out");
    let many = many.identity.result.expect("a ranking");
    for candidate in &many.candidates {
        let thread = &candidate.thread;
        let steep =
            f64::from(thread.starts) * (thread.pitch.length / thread.basic().d2) > std::f64::consts::PI;
        assert!(!steep, "{thread}");
    }
    let tr: flankwise_thread::Thread = "Tr 22x5".parse().expect("a designation");
    assert!(many.candidates[0].is(&tr) && one.candidates[0].is(&tr), "{}", many.candidates[0].thread);
}

/// A leaf of another angle that does not go in says so of its angle and nothing of the pitch: a worm of 40° and 4 mm.
#[test]
fn leaves_of_another_angle_that_refuse_leave_the_count_alone() {
    let angle = |deg: &str| reading("included angle", &format!("\"{deg}\""), "instrument = \"protractor\"");
    let readings = [outside("19.9 mm", 20), counted(10, "40 mm"), angle("40 deg"), angle("40.3 deg")];
    let leaves = ["30 deg", "60 deg"]
        .map(|set| format!("[[leaf]]\npitch = \"4 mm\"\nangle = \"{set}\"\nverdict = \"refuses\"\n"));
    let whole = worked(&(feed_screw("used", &readings) + &leaves.concat()));
    let candidates = whole.identity.result.expect("a ranking").candidates;
    let share = |near: f64| -> f64 {
        let of = candidates.iter().filter(|c| (c.thread.pitch.length.to_mm() - near).abs() < 0.02);
        of.map(|c| c.probability).sum()
    };
    // 25.4 π / 18 = 4.433 mm and 25.4 π / 20 = 3.990 mm; the count says 4.00 ± 0.01.
    assert!(share(3.99) > 5.0 * share(4.433), "{} {}", share(3.99), share(4.433));
}

/// The section's answer of the identity, as it is shown.
fn answer(whole: &Whole) -> String {
    let section = whole.identity.result.as_ref().expect("a ranking").section();
    show::text(&section.answer, flankwise_thread::Unit::Mm)
}

fn by(instrument: &str, feature: &str, value: &str) -> String {
    reading(feature, &format!("\"{value}\""), &format!("instrument = \"{instrument}\""))
}

/// No thread has 21.3 mm, 4.37 mm and 47.2° but a British Association one of 6 mm: the answer says so, what to take again
/// and how to go on, and lists no thread of another size.
#[test]
fn where_none_of_these_leads_the_answer_says_so_and_what_to_do() {
    let readings = [
        by("micrometer", "major diameter", "21.3 mm"),
        counted(20, "87.4 mm"),
        by("microscope", "included angle", "47.2 deg"),
    ];
    let text = format!("job = \"Odd screw (invented)\"\nunit = \"mm\"\n{}", readings.concat());
    let whole = worked(&text);
    let said = answer(&whole);
    assert!(said.starts_with("None of the threads considered: "), "{said}");
    for part in [
        "Take again first",
        "included angle 47.2",
        "copy the thread by measurement",
        "outside diameter 21.3 mm",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert!(!said.contains("To be surer"), "{said}");
    let ranking = whole.identity.result.expect("a ranking");
    assert!(ranking.other_probability > 0.5);
    for candidate in &ranking.candidates {
        assert!((candidate.thread.nominal.to_mm() - 21.3).abs() < 3.0, "{}", candidate.thread);
    }
    assert!(ranking.next.iter().all(|n| !n.decides.contains(" 0.00 mm")), "{:#?}", ranking.next);
}

/// An angle of 35.2° that is as good as certainly a slip is to be read again.
#[test]
fn a_reading_that_is_a_slip_is_to_be_taken_again() {
    let readings = [
        by("micrometer", "major diameter", "11.9 mm"),
        counted(20, "60.0 mm"),
        by("microscope", "included angle", "35.2 deg"),
    ];
    let whole = worked(&format!("job = \"Odd screw (invented)\"\nunit = \"mm\"\n{}", readings.concat()));
    let next = &whole.identity.result.as_ref().expect("a ranking").next;
    let again = next.iter().any(|n| n.measure.starts_with("included angle again"));
    assert!(again || answer(&whole).contains("Take again first"), "{}\n{next:#?}", answer(&whole));
}

/// A slip is named as the cause only where it gives the reading: 12 pitches of 5 mm from outside to outside of crests of
/// 1.83 mm (0.366 P, ISO 2901) are 61.83 mm, not 60.5.
#[test]
fn a_slip_is_named_only_where_it_gives_the_reading() {
    let of = |span: &str| {
        let good =
            [outside("21.86 mm", 20), counted(40, "200.0 mm"), counted(30, "150.0 mm"), counted(12, span)];
        let whole = worked(&feed_screw("used", &good));
        assert_eq!(first(&whole), "Tr 22x5");
        notes(&whole).iter().map(|n| words(n)).collect::<Vec<_>>().join("\n")
    };
    let outside_of_crests = "from the outside of one crest";
    assert!(!of("60.5 mm").contains(outside_of_crests), "{}", of("60.5 mm"));
    assert!(of("61.8 mm").contains(outside_of_crests), "{}", of("61.8 mm"));
}

/// 0.742 in is 18.85 mm and 8 threads per inch are 3.175 mm; either slip of the unit is asked about, not refused.
#[test]
fn the_unit_of_one_reading_is_asked_about_whichever_is_listed_first() {
    let text = feed_screw("used", &[outside("0.742", 20), counted(8, "25.4 mm")]);
    let whole = worked(&text);
    let note = saying(&whole, "which unit is it in");
    assert_eq!(note.answers[0].sets, [("reading[1].value".to_owned(), "0.742 in".to_owned())]);
    let mended = worked(&answered(&text, note));
    let d = mended.identity.result.expect("a ranking").thread.nominal.to_mm();
    assert!((18.5..19.6).contains(&d), "{d}");
    let text = feed_screw("used", &[outside("18.85", 20), reading("pitch", "\"8 tpi\"", "")])
        .replace("unit = \"mm\"", "unit = \"in\"");
    let note_sets = saying(&worked(&text), "which unit is it in").answers[0].sets.clone();
    assert_eq!(note_sets, [("reading[1].value".to_owned(), "18.85 mm".to_owned())]);
}

/// A lead of two pitches and one start; sizes that are swapped; no taper and a taper thread.
#[test]
fn contradictions_are_named() {
    let lead = by("calliper", "lead", "10.02 mm");
    let text = feed_screw("used", &[outside("21.86 mm", 20), counted(12, "60.1 mm"), lead]);
    let whole = worked(&text);
    let note = saying(&whole, "makes 2 starts, where 1 start was counted");
    assert_eq!(note.answers[0].sets, [("observed.starts".to_owned(), "2".to_owned())]);
    assert!(answer(&whole).contains("Settle first what is asked about"), "{}", answer(&whole));

    let sizes = [by("calliper", "major diameter", "16.4 mm"), by("calliper", "minor diameter", "21.9 mm")];
    let text = feed_screw("used", sizes.iter().chain([&counted(12, "60.1 mm")]));
    let whole = worked(&text);
    let note = saying(&whole, "are they swapped?");
    assert!(answer(&whole).contains("Settle first what is asked about"), "{}", answer(&whole));
    assert_eq!(first(&worked(&answered(&text, note))), "Tr 22x5");

    // 1/2-14 NPT (ASME B1.20.1: pipe of 0.840 in outside), and no taper seen.
    let pipe = [by("calliper", "major diameter", "21.2 mm"), counted(8, "14.51 mm")];
    let text = feed_screw("used", &pipe).replace("\"flat-topped\"", "\"sharp\"\ntaper = false");
    let whole = worked(&text);
    assert_eq!(first(&whole), "1/2-14 NPT");
    saying(&whole, "No taper was seen, and 1/2-14 NPT tapers");
}

/// What happens to threads besides wear is named where it explains a reading: plating or a burr, crests turned down.
#[test]
fn the_likely_cause_is_named() {
    let bolt = [by("micrometer", "major diameter", "10.05 mm"), counted(12, "18.0 mm")];
    let whole = worked(&feed_screw("used", &bolt).replace("flat-topped", "sharp"));
    assert_eq!(first(&whole), "M10x1.5");
    saying(&whole, "as plating, a burr or a bruise leave it");
    // Tr 24x5 turned to 23.0 mm: flat 1.83 + 2 × 0.5 tan 15° = 2.10 mm (ISO 2901 form).
    let screw = [
        by("micrometer", "major diameter", "23.00 mm"),
        counted(30, "150.0 mm"),
        by("micrometer", "pitch diameter", "21.40 mm"),
        by("microscope", "crest flat", "2.10 mm"),
    ];
    let whole = worked(&feed_screw("used", &screw));
    println!("{}", answer(&whole));
    assert_eq!(first(&whole), "Tr 24x5");
    saying(&whole, "the crests were turned down");
}

/// Advice keeps to what there is: leaves of the usual sets, no more pitches than a person counts, the instruments listed.
#[test]
fn advice_keeps_to_what_there_is() {
    let small = [by("calliper", "major diameter", "4.75 mm"), counted(10, "7.9 mm")];
    let whole = worked(&feed_screw("used", &small).replace("flat-topped", "sharp"));
    let next = whole.identity.result.expect("a ranking").next;
    let counts =
        next.iter().filter_map(|n| n.measure.strip_prefix("count ")?.split(' ').next()?.parse::<u32>().ok());
    assert!(counts.clone().count() > 0 && counts.clone().all(|n| n <= 30), "{next:#?}");

    let odd = [outside("23.9 mm", 20), counted(10, "47.1 mm")];
    let text = feed_screw("used", &odd) + "[gauges]\ninstruments = [\"calliper\", \"microscope\"]\n";
    let next = worked(&text).identity.result.expect("a ranking").next;
    assert!(next.iter().all(|n| !n.measure.contains("4.71")), "{next:#?}");
    assert!(next.iter().any(|n| n.measure.contains("under the microscope")), "{next:#?}");
}

/// `UNS` is a name of 1949 (ASME B1.1's first edition): on a lathe of 1895 the thread has the name of its time.
#[test]
fn a_thread_has_the_name_of_its_time() {
    let bolt = [by("calliper", "major diameter", "0.497 in"), reading("pitch", "\"12 tpi\"", "")];
    let text = feed_screw("used", &bolt).replace("flat-topped", "sharp")
        + "[context]\nmachine = \"lathe\"\ncountry = \"US\"\nmade = 1895\n";
    let whole = worked(&text);
    let candidates = whole.identity.result.expect("a ranking").candidates;
    for candidate in candidates.iter().take(4) {
        println!("{} {:.3}", candidate.thread, candidate.probability);
        assert_ne!(candidate.thread.family, flankwise_thread::Family::Unified, "{}", candidate.thread);
    }
}
