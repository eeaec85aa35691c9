//! Every drawing is sound: numbers that are numbers, nothing off the paper, no text over another; and what is
//! dimensioned measures what it says.

mod sample;

use flankwise_bench::job::Job;
use flankwise_bench::setup::{Idler, Setup};
use flankwise_bench::tool;
use flankwise_sheet::drawing::{Drawing, Item, Line, Of, SvgOptions, flatten, svg};
use flankwise_sheet::figures;
use flankwise_thread::{Element, Family, Hand, Length, Pitch, Thread, Unit};
use std::path::Path;

fn of_fit(job: &Job, fit: &flankwise_bench::fit::Fit, unit: Unit) -> Vec<Drawing> {
    let mut all = vec![figures::thread_section(fit, None, unit).expect("a sound fit is drawn")];
    all.extend(figures::play(fit, unit));
    all.extend(figures::part(job, fit, unit));
    if let Some(tool) = tool::work(fit, job).result {
        all.push(figures::tool_grind(&tool, fit, unit));
        all.extend(figures::bar_in_bore(&tool, fit, unit));
        all.push(figures::template(&tool, unit));
    }
    all
}

/// Writes the drawings where a person can look at them.
fn keep(name: &str, drawings: &[Drawing]) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::create_dir_all(&folder).expect("the test folder can be made");
    for d in drawings {
        std::fs::write(folder.join(format!("{}.svg", d.key)), svg(d, &SvgOptions::default()))
            .expect("the drawing can be kept");
    }
}

#[test]
fn drawings_of_the_demo_are_sound_in_both_units() {
    let job = sample::demo();
    for (unit, name) in [(Unit::Mm, "mm"), (Unit::Inch, "inch")] {
        let drawings = of_fit(&job, &sample::nut_fit(), unit);
        keep(name, &drawings);
        assert!(drawings.len() >= 5, "{}", drawings.len());
        let faults: Vec<_> = drawings.iter().flat_map(Drawing::faults).collect();
        assert!(faults.is_empty(), "{faults:#?}");
    }
}

#[test]
fn drawings_of_other_forms_and_of_a_screw_are_sound() {
    let job = sample::demo();
    let cases = [
        (Family::MetricIso, 12.0, Unit::Mm, Pitch::mm(1.75), Element::Internal),
        (Family::Whitworth, 25.4, Unit::Inch, Pitch::tpi(8.0), Element::Internal),
        (Family::Acme, 50.8, Unit::Inch, Pitch::tpi(4.0), Element::Internal),
        (Family::Square, 25.4, Unit::Inch, Pitch::tpi(4.0), Element::Internal),
        (Family::MetricTrapezoidal, 100.0, Unit::Mm, Pitch::mm(12.0), Element::External),
        (Family::Unified, 6.35, Unit::Inch, Pitch::tpi(20.0), Element::External),
        (Family::MetricButtress, 40.0, Unit::Mm, Pitch::mm(7.0), Element::Internal),
        (Family::Knuckle, 40.0, Unit::Mm, Pitch::tpi(6.0), Element::External),
    ];
    for (family, d, unit, pitch, part) in cases {
        let mut thread = Thread::new(family, Length::mm(d), unit, pitch);
        thread.hand = Hand::Left;
        let b = family.form().basic(thread.nominal, pitch.length);
        let (blank, bottom, groove) = match part {
            Element::Internal => (b.d1_internal, b.d4_internal, b.root_width_internal),
            Element::External => (b.d, b.d3, b.root_width),
        };
        let fit = sample::fit(thread, part, [blank.to_mm(), bottom.to_mm(), b.d2.to_mm()], groove.to_mm());
        let drawings = of_fit(&job, &fit, unit);
        keep(&format!("{family:?}"), &drawings);
        let faults: Vec<_> = drawings.iter().flat_map(Drawing::faults).collect();
        assert!(faults.is_empty(), "{family:?}: {faults:#?}");
    }
}

#[test]
fn overlay_and_gear_train_are_sound() {
    let job = sample::demo();
    let mut drawings = vec![
        figures::candidates_overlay(&sample::identity(), None, Unit::Mm, figures::WIDTH)
            .expect("two candidates"),
    ];
    drawings.extend(figures::gear_train(&sample::setup(), &job, Unit::Mm, figures::WIDTH));
    let mut simple = sample::setup();
    simple.trains[0].drivers = vec![20];
    simple.trains[0].driven = vec![127];
    simple.trains[0].idlers = vec![Idler { pair: 0, teeth: 65 }];
    let mut plain = job.clone();
    plain.lathe = None;
    drawings
        .push(figures::gear_train(&simple, &plain, Unit::Mm, figures::WIDTH).expect("a train of two gears"));
    // With the banjo of an invented lathe, and on a screen as narrow as a hand.
    let whole = flankwise_bench::work(&job);
    let at_the_bench = whole.setup.result.as_ref().expect("a setup");
    for width in [figures::WIDTH, figures::NARROW] {
        drawings
            .push(figures::gear_train(at_the_bench, &job, Unit::Mm, width).expect("a train on its banjo"));
        drawings.push(figures::gear_train(&simple, &plain, Unit::Mm, width).expect("a train of two gears"));
    }
    keep("others", &drawings);
    let faults: Vec<_> = drawings.iter().flat_map(Drawing::faults).collect();
    assert!(faults.is_empty(), "{faults:#?}");
    assert!(
        figures::gear_train(&Setup { trains: Vec::new(), ..sample::setup() }, &job, Unit::Mm, figures::WIDTH)
            .is_none()
    );
}

#[test]
fn overlay_marks_what_was_read() {
    for (job, pitch) in [(sample::demo(), "read pitch 5"), (sample::inch_demo(), "read pitch")] {
        let whole = flankwise_bench::work(&job);
        let evidence = whole.evidence.result.as_ref();
        let identity = whole.identity.result.as_ref().expect("a ranking");
        let drawing = figures::candidates_overlay(identity, evidence, job.unit, figures::WIDTH)
            .expect("two candidates");
        let texts: Vec<_> = drawing
            .items
            .iter()
            .filter_map(|i| match i {
                Item::Label(l) => Some(l.text.as_str()),
                Item::Path(_) => None,
            })
            .collect();
        assert!(texts.iter().any(|t| t.starts_with(pitch)), "{texts:?}");
        let diameters =
            texts.iter().filter(|t| t.starts_with("read ") && !t.starts_with("read pitch")).count();
        assert!(diameters >= 1, "{texts:?}");
        let plain =
            figures::candidates_overlay(identity, None, job.unit, figures::WIDTH).expect("two candidates");
        assert!(plain.items.len() < drawing.items.len());
        let name = if job.unit == Unit::Mm { "overlay-mm" } else { "overlay-in" };
        keep(name, std::slice::from_ref(&drawing));
        assert!(drawing.faults().is_empty(), "{:#?}", drawing.faults());
        // For a narrow screen the same, as legible.
        let narrow = figures::candidates_overlay(identity, evidence, job.unit, figures::NARROW);
        let narrow = narrow.expect("two candidates");
        keep(&format!("{name}-narrow"), std::slice::from_ref(&narrow));
        assert!(narrow.faults().is_empty(), "{:#?}", narrow.faults());
        let labels = |d: &Drawing| d.items.iter().filter(|i| matches!(i, Item::Label(_))).count();
        assert_eq!(labels(&narrow), labels(&drawing));
    }
}

/// Any two threads can be laid over each other, unlike ones, one with itself, and in either unit.
#[test]
fn any_two_threads_lie_over_each_other() {
    for (i, (a, b)) in [
        ("Tr 22x5", "7/8-5 Acme"),
        ("M14x1.5", "9/16-16 UN"),
        ("Rd 40x1/6", "S 40x7"),
        ("Tr 22x5", "Tr 22x5 LH"),
        ("M3", "1 1/2-4 square"),
        ("1/2-14 NPT", "G 1/2"),
    ]
    .into_iter()
    .enumerate()
    {
        let thread = |t: &str| t.parse().unwrap_or_else(|e| panic!("{t}: {e}"));
        for unit in [Unit::Mm, Unit::Inch] {
            for (width, name) in [(figures::WIDTH, "beside"), (figures::NARROW, "beside-narrow")] {
                let drawing = figures::two_threads(&thread(a), &thread(b), unit, width).expect("a drawing");
                keep(&format!("{name}-{i}-{unit:?}"), std::slice::from_ref(&drawing));
                assert!(drawing.faults().is_empty(), "{a}, {b}, {width}: {:#?}", drawing.faults());
            }
        }
    }
}

/// Lengths of the straight pieces of all paths in one line and role.
fn lengths(d: &Drawing, line: Line, of: Of) -> Vec<f64> {
    let paths = d.items.iter().filter_map(|i| match i {
        Item::Path(p) if p.line == Some(line) && p.of == of => Some(p),
        _ => None,
    });
    paths
        .flat_map(|p| {
            let points = flatten(p.start, &p.segs);
            points.windows(2).map(|w| (w[1] - w[0]).norm()).collect::<Vec<_>>()
        })
        .collect()
}

fn has(all: &[f64], wanted: f64) -> bool {
    all.iter().any(|l| (l - wanted).abs() < 1e-6)
}

#[test]
fn what_is_drawn_measures_what_it_says() {
    let (fit, tool) = (sample::nut_fit(), sample::tool());
    // Tool at 10:1: width of the tip, and its flanks at 15 degrees.
    let d = figures::tool_grind(&tool, &fit, Unit::Mm);
    assert!(d.labels().any(|l| l.text.contains("scale 10:1")));
    let wide = lengths(&d, Line::Wide, Of::Tool);
    assert!(has(&wide, 14.6), "{wide:?}");
    assert!(has(&wide, 34.0 / 15f64.to_radians().cos()), "{wide:?}");

    // Template at 1:1 and 10:1; the bar to check the printer by.
    let d = figures::template(&tool, Unit::Mm);
    assert!(has(&lengths(&d, Line::Narrow, Of::Tool), 1.46));
    assert!(has(&lengths(&d, Line::Wide, Of::Tool), 14.6));
    let ends: Vec<f64> = d
        .items
        .iter()
        .filter(|i| matches!(i, Item::Path(p) if p.line == Some(Line::Narrow) && p.of == Of::Note))
        .map(|i| i.bounds().x0)
        .collect();
    assert!((ends[1] - ends[0] - 50.0).abs() < 1e-9 && (ends[3] - ends[2] - 50.8).abs() < 1e-9, "{ends:?}");

    // Section at 10:1: the nut's outline is as deep as half the difference of its diameters, crest and root as
    // wide as the fit says.
    let d = figures::thread_section(&fit, None, Unit::Mm).expect("a sound fit is drawn");
    let outline = d
        .items
        .iter()
        .find_map(|i| match i {
            Item::Path(p) if p.line == Some(Line::Wide) && p.of == Of::Part => Some(p),
            _ => None,
        })
        .expect("the nut is drawn");
    let b = outline.bounds();
    assert!((b.y1 - b.y0 - (22.5 - 17.05) / 2.0 * 10.0).abs() < 1e-6);
    assert!((b.x1 - b.x0 - 2.0 * 5.0 * 10.0).abs() < 1e-6, "two pitches");
    // Between the flanks the crest of the nut's ridge is the pitch less the groove's width at the bore.
    let crest = 50.0 - fit.groove_top_width.to_mm() * 10.0;
    assert!(has(&lengths(&d, Line::Wide, Of::Part), crest), "{:?}", lengths(&d, Line::Wide, Of::Part));
}

#[test]
fn svg_stays_as_it_was() {
    let fit = sample::nut_fit();
    let drawings = [
        figures::thread_section(&fit, None, Unit::Mm).expect("a sound fit is drawn"),
        figures::play(&fit, Unit::Inch).expect("three stations"),
        figures::template(&sample::tool(), Unit::Mm),
    ];
    for d in drawings {
        let text = svg(&d, &SvgOptions::default());
        assert_eq!(text, svg(&d, &SvgOptions::default()));
        insta::assert_binary_snapshot!(&format!("{}.svg", d.key), text.into_bytes());
    }
}

#[test]
fn svg_is_well_formed_and_escapes_what_people_type() {
    let mut d = Drawing::new("odd", "A & B <script>", 50.0, 20.0);
    d.about = "\"quoted\" \u{0} end".to_owned();
    d.text(flankwise_sheet::drawing::p(2.0, 10.0), Default::default(), 3.0, false, Of::Note, "<b> & \u{1}");
    let text = svg(&d, &SvgOptions { sized: false });
    assert!(!text.contains("<script>") && !text.contains("<b>"));
    assert!(!text.contains('\u{0}') && !text.contains('\u{1}'));
    assert!(text.contains("A &amp; B &lt;script&gt;"));
    assert!(!text.contains("width=\"50mm\"") && text.contains("viewBox=\"0 0 50 20\""));
    assert_eq!(text.matches("<g").count(), text.matches("</g>").count());
}
