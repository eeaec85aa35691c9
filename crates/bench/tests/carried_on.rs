//! What one stage finds impossible or decides is the same in every stage that builds on it.

use flankwise_bench::job::{self, Done, Job};
use flankwise_bench::report::{NoteKind, StageName, show};
use flankwise_bench::{Whole, work};
use flankwise_thread::{Length, Unit};

fn demo() -> Job {
    job::read(include_str!("../../../demo/board-shear.toml"))
        .unwrap_or_else(|problems| panic!("{problems:?}"))
        .as_before_the_cut()
}

/// A screw to be made by the book, invented: three starts, left-hand, on a small lathe.
fn three_starts() -> Job {
    let text = r#"
job = "Three starts (invented)"
unit = "mm"
[identity]
thread = "Tr 30x18(P6)LH"
[make]
part = "screw"
length = "150 mm"
material = "steel-mild"
mate_new = true
through = false
relief = "12 mm"
[lathe]
lead_screw = "2 mm"
gears = [20, 24, 28, 30, 32, 36, 40, 40, 45, 48, 50, 60, 63, 80]
most_gears = 4
speeds = [30, 60]
reverses = true
chuck = "fastened"
left_hand = true
cross_dial = { division = "0.02 mm", reads = "radius" }
compound_dial = "0.02 mm"
coast_s = 0.5
"#;
    job::read(text).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn barred(whole: &Whole, stage: StageName) -> String {
    whole.said(stage).barred.iter().map(|n| show::text(&n.text, Unit::Mm)).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_tool_wider_than_the_groove_bars_route_setup_and_passes() {
    let whole = work(&demo());
    for stage in StageName::ALL {
        assert!(!whole.said(stage).impossible(), "{stage:?}: {}", barred(&whole, stage));
    }
    let mut job = demo();
    job.grind.tip_width = Some(Length::mm(3.0));
    let whole = work(&job);
    for stage in [StageName::Route, StageName::Setup, StageName::Cut] {
        let told = barred(&whole, stage);
        assert!(told.contains("wider than the bottom of the groove"), "{stage:?}: {told}");
        assert!(told.starts_with(StageName::Tool.title()), "{told}");
        assert!(whole.said(stage).impossible());
    }
    for stage in [StageName::Evidence, StageName::Identity, StageName::Fit, StageName::Check] {
        assert!(!whole.said(stage).impossible(), "{stage:?}");
    }
    let headline = show::text(&whole.said(StageName::Tool).section.expect("a tool").answer, Unit::Mm);
    assert!(headline.contains("never over") && headline.contains("3.00 mm, is wider"), "{headline}");
}

#[test]
fn a_groove_too_narrow_for_the_tool_bars_route_and_passes() {
    let mut job = demo();
    job.make.relief = Some(Length::mm(2.0));
    let whole = work(&job);
    for stage in [StageName::Route, StageName::Cut] {
        assert!(barred(&whole, stage).contains("no wider than the tool"), "{}", barred(&whole, stage));
    }
    // Neither turning by hand nor a start in the groove finds room there.
    let told = whole.setup.notes.iter().find(|n| n.kind == NoteKind::Impossible).expect("refused");
    let told = show::text(&told.text, Unit::Mm);
    assert!(!told.contains("crank") && !told.contains("from the groove outwards"), "{told}");
}

#[test]
fn starts_are_cut_one_after_the_other_by_one_way_everywhere() {
    let mut job = three_starts();
    let whole = work(&job);
    let setup = whole.setup.result.as_ref().expect("a setup");
    let cut = whole.cut.result.as_ref().expect("passes");
    let way = show::text(setup.next_start.as_ref().expect("a way"), Unit::Mm);
    // 6 mm of pitch are three turns of a 2 mm lead screw: by half-nuts or gears, whole teeth.
    assert!(way.starts_with("by the "), "{way}");
    assert_eq!(cut.next_start, setup.next_start);
    let answer = show::text(&cut.section().answer, Unit::Mm);
    assert_eq!(answer.matches("for each of 3 starts").count(), 1, "{answer}");
    assert_eq!((cut.start, cut.starts, cut.done), (1, 3, 0));
    let orders: Vec<String> = cut.operations.iter().map(|s| show::text(&s.text, Unit::Mm)).collect();
    assert_eq!(orders.iter().filter(|s| s.contains(&way)).count(), 1, "{orders:?}");

    // A start with all its passes leads to the next, which has the same ones before it; the last to the end.
    let passes = cut.passes.clone();
    let of = |start: u32| {
        passes.iter().map(move |p| Done { depth: p.depth, side: p.side, tip: Some(p.tip), start })
    };
    for start in 1..=3 {
        job.done.extend(of(start));
        let whole = work(&job);
        let cut = whole.cut.result.as_ref().expect("passes");
        let expected = if start < 3 { (start + 1, 0) } else { (3, passes.len()) };
        assert_eq!((cut.start, cut.done), expected);
        assert_eq!(cut.passes.len(), passes.len());
        assert_eq!(cut.measured_after, passes.len());
        assert_eq!(cut.next().is_none(), start == 3);
    }
}

#[test]
fn a_taper_thread_is_not_cut_like_a_parallel_one() {
    let text = include_str!("../../../demo/board-shear.toml");
    let (head, tail) = text.split_once("[[reading]]").expect("readings");
    let tail = tail.split_once("[[leaf]]").expect("a leaf").1;
    let text =
        format!("{head}[[leaf]]{tail}").replace("[make]", "[identity]\nthread = \"1/2-14 NPT\"\n\n[make]");
    let job = job::read(&text).unwrap_or_else(|problems| panic!("{problems:?}")).as_before_the_cut();
    let whole = work(&job);
    let told: Vec<String> = whole
        .tool
        .notes
        .iter()
        .filter(|n| n.kind == NoteKind::Impossible)
        .map(|n| show::text(&n.text, Unit::Mm))
        .collect();
    // ASME B1.20.1: 1 in 16 on the diameter, which is 1°47' to the axis on each side.
    assert!(told.iter().any(|t| t.contains("1 in 16") && t.contains("1.79°")), "{told:?}");
    for stage in [StageName::Setup, StageName::Cut] {
        assert!(barred(&whole, stage).contains("tapers"), "{}", barred(&whole, stage));
    }
}

#[test]
fn a_speed_that_burns_the_edge_is_refused_and_the_headline_says_so() {
    let set_up = |speeds: &[f64]| {
        let mut job = three_starts();
        job.lathe.as_mut().expect("a lathe").speeds_rpm = speeds.to_vec();
        let whole = work(&job);
        let setup = whole.said(StageName::Setup);
        let headline = show::text(&setup.section.as_ref().expect("a setup").answer, Unit::Mm);
        let told = setup.notes.iter().find(|n| show::text(&n.text, Unit::Mm).contains("slow enough"));
        (headline, told.map(|n| (n.kind, show::text(&n.text, Unit::Mm))))
    };
    let (headline, told) = set_up(&[1300.0]);
    assert!(headline.contains("too fast for the tool"), "{headline}");
    let (kind, told) = told.expect("said");
    assert!(
        kind == NoteKind::Impossible && told.contains("hand crank") && told.contains("countershaft"),
        "{told}"
    );
    // Above what threading wants, below what turning stands: a warning.
    let (_, told) = set_up(&[170.0]);
    assert_eq!(told.expect("said").0, NoteKind::Warning);
    assert_eq!(set_up(&[30.0, 60.0]).1, None);
}
