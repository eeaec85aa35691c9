//! The printed sheets: the same bytes each time, whole pages, and the words that have to be on them.

mod sample;

use flankwise_bench::iso286::Fits;
use flankwise_bench::job::{BodyStep, Hole, HoleKind, Job, KeyStandard, Keyway, NutKind};
use flankwise_bench::report::{Fine, show};
use flankwise_bench::{Whole, work};
use flankwise_sheet::drawing::Drawing;
use flankwise_sheet::{
    bench_pages, bench_pdf, customer_pages, customer_pdf, quotation_pages, quotation_pdf, record_pages,
    record_pdf,
};
use flankwise_thread::{Angle, Element, Force, Length, Unit};
use std::path::Path;
use std::process::Command;

fn words(pages: &[Drawing]) -> String {
    pages.iter().flat_map(Drawing::labels).map(|l| l.text.as_str()).collect::<Vec<_>>().join("\n")
}

fn kept(name: &str, bytes: &[u8]) -> std::path::PathBuf {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&file, bytes).expect("the PDF can be kept");
    file
}

fn sheets(job: &Job, whole: &Whole, unit: Unit) -> [Vec<Drawing>; 4] {
    [
        bench_pages(job, whole, unit),
        record_pages(job, whole, unit),
        customer_pages(job, whole, unit),
        quotation_pages(job, whole, unit),
    ]
}

#[test]
fn a_job_without_readings_still_prints_and_says_what_is_missing() {
    let mut job = sample::demo();
    job.readings.clear();
    let whole = sample::empty();
    for pages in sheets(&job, &whole, Unit::Mm) {
        let faults: Vec<_> = pages.iter().flat_map(Drawing::faults).collect();
        assert!(faults.is_empty(), "{faults:#?}");
        assert!(words(&pages).contains("waits for the first reading"));
    }
}

#[test]
fn pages_are_sound_and_numbered() {
    for (name, job, figures) in [("shear", sample::demo(), 11), ("press", sample::inch_demo(), 9)] {
        let whole = work(&job);
        for unit in [Unit::Mm, Unit::Inch] {
            for pages in sheets(&job, &whole, unit) {
                let faults: Vec<_> = pages.iter().flat_map(Drawing::faults).collect();
                assert!(faults.is_empty(), "{name}: {faults:#?}");
                let total = pages.len();
                for (i, page) in pages.iter().enumerate() {
                    let number = format!("page {} of {total}", i + 1);
                    assert!(page.labels().any(|l| l.text == number), "{number}");
                    assert!(page.labels().any(|l| l.text == "Invented example"), "page {i} lacks the mark");
                }
            }
        }
        let drawings = flankwise_sheet::figures::all(&job, &whole, job.unit);
        // The press's screw was not read along its travel: no chart of its play.
        assert_eq!(drawings.len(), figures, "{:?}", drawings.iter().map(|d| &d.key).collect::<Vec<_>>());
        let faults: Vec<_> = drawings.iter().flat_map(Drawing::faults).collect();
        assert!(faults.is_empty(), "{name}: {faults:#?}");
    }
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let job = sample::demo();
    let whole = work(&job);
    let first = bench_pdf(&job, &whole, Unit::Mm).expect("the sheet is written");
    let second = bench_pdf(&job, &whole, Unit::Mm).expect("the sheet is written");
    assert!(first == second);
    let report = customer_pdf(&job, &whole, Unit::Mm).expect("the report is written");
    kept("bench.pdf", &first);
    kept("report.pdf", &report);
}

/// What a person takes to the lathe is a few pages; all that it rests on is in the record.
#[test]
fn the_bench_sheet_is_short_and_the_record_whole() {
    for (job, most) in [(sample::demo(), 8), (sample::inch_demo(), 8)] {
        let whole = work(&job);
        for unit in [Unit::Mm, Unit::Inch] {
            let bench = bench_pages(&job, &whole, unit);
            assert!(bench.len() <= most, "{} pages", bench.len());
            let said = words(&bench);
            assert!(said.contains("in the record of this job") && said.contains("Signed"));
            assert!(!said.contains("Where the figures come from"));
            let customer = customer_pages(&job, &whole, unit);
            assert_eq!(customer.len(), 1, "the customer's report is one page");
        }
        let record = words(&record_pages(&job, &whole, job.unit));
        for stage in flankwise_bench::report::StageName::ALL {
            assert!(record.contains(stage.title()), "{}", stage.title());
        }
        assert!(record.contains("Where the figures come from") && record.contains("Signed"));
        record_pdf(&job, &whole, job.unit).expect("the record is written");
    }
}

/// What the customer agrees to is on two pages at most, with what they were told, every price, and lines to sign; what
/// the person left open is a rule to write on. Hours and rates stay in the shop.
#[test]
fn the_quotation_says_what_is_offered_and_keeps_the_shops_figures() {
    let mut job = sample::demo();
    let whole = work(&job);
    let pages = quotation_pages(&job, &whole, Unit::Mm);
    assert!(pages.len() <= 2, "{} pages", pages.len());
    let said = words(&pages).replace('\n', " ");
    for word in [
        "Q-118",
        "7/8-5 Acme",
        "Valid until",
        "2026-12-31",
        "Plus value added tax",
        "from EUR",
        "plus nut Tr 22x5",
        "Please note",
    ] {
        assert!(said.contains(word), "{word}: {said}");
    }
    let quotation = flankwise_bench::quotation::work(&job, &whole).result.expect("a quotation");
    for offered in quotation.offered.iter().filter_map(|o| o.price) {
        let price = format!("EUR {offered}");
        assert!(said.contains(&price), "{price}");
    }
    assert!(quotation.offered[0].proposed && !said.contains("EUR 65") && !said.contains("4 h"), "{said}");
    kept("quotation.pdf", &quotation_pdf(&job, &whole, Unit::Mm).expect("the quotation is written"));
    // Without its lines, and without any way.
    job.quotation = flankwise_bench::job::Terms::default();
    (job.lathe, job.choice.way) = (None, None);
    job.offers.clear();
    let said = words(&quotation_pages(&job, &work(&job), Unit::Mm));
    assert!(said.contains("Valid until: ") && !said.contains("2026-12-31"));
}

/// A way that is chosen is what the sheets speak of: its name and reason for the customer, its steps at the bench.
#[test]
fn the_chosen_way_is_on_the_sheets() {
    use flankwise_bench::job::{Choice, WayKind};
    let mut job = sample::demo();
    job.make.through = true;
    job.choice = Choice {
        way: Some(WayKind::MadeTap),
        because: Some("three more are to follow".into()),
        ..Choice::default()
    };
    let whole = work(&job);
    let report = words(&customer_pages(&job, &whole, Unit::Mm)).replace('\n', " ");
    assert!(report.contains("taps made here") && report.contains("three more are to follow"), "{report}");
    let bench = words(&bench_pages(&job, &whole, Unit::Mm)).replace('\n', " ");
    assert!(bench.contains("Way taken: ") && bench.contains("Making the taps"), "{bench}");
    assert!(!bench.contains("Grind and set the tool") && !bench.contains("Zeroed at touch-on"), "{bench}");
    let order: String =
        whole.order_of_work().iter().flat_map(|s| &s.steps).map(|s| show::text(&s.text, Unit::Mm)).collect();
    assert!(order.contains("Turn the taps in") && !order.contains("Scratch pass"), "{order}");
    assert!(order.contains("Part off"), "the body is still made");
    job.choice.way = Some(WayKind::Rechuck);
    let titles: Vec<String> = work(&job)
        .order_of_work()
        .iter()
        .flat_map(|s| &s.steps)
        .map(|s| show::text(&s.text, Unit::Mm))
        .collect();
    let place =
        |words: &str| titles.iter().position(|t| t.contains(words)).unwrap_or_else(|| panic!("{words}"));
    assert!(place("Part off") < place("set it true to") && place("Part off") < place("Scratch pass"));
    for kind in [WayKind::MadeTap, WayKind::BoughtTap, WayKind::Cast, WayKind::BoughtPart, WayKind::Rechuck] {
        job.choice.way = Some(kind);
        let whole = work(&job);
        for pages in sheets(&job, &whole, Unit::Inch) {
            let faults: Vec<_> = pages.iter().flat_map(Drawing::faults).collect();
            assert!(faults.is_empty(), "{kind:?}: {faults:#?}");
        }
    }
    job.choice.way = Some(WayKind::Cast);
    let cast = work(&job).order_of_work();
    assert!(cast.len() == 1 && cast[0].steps.iter().any(|s| !s.cautions.is_empty()));
}

/// A caution stands once in full, at the first step it belongs to, and shortly at each later one.
#[test]
fn cautions_are_said_once_in_full_and_again_in_short() {
    let job = sample::demo();
    let whole = work(&job);
    let order = whole.order_of_work();
    let all: Vec<_> = order.iter().flat_map(|s| &s.steps).flat_map(|s| &s.cautions).collect();
    let said = words(&bench_pages(&job, &whole, Unit::Mm)).replace('\n', " ");
    for caution in &all {
        let first = show::text(&caution.text, Unit::Mm);
        let first: String = first.chars().take(24).collect();
        let times = all.iter().filter(|c| c.text == caution.text).count();
        // Once in the order of work; the passes' box may say it too.
        assert!((1..=2).contains(&said.matches(&first).count()), "{first}");
        if times > 1 {
            assert!(!caution.short.is_empty(), "{first} comes {times} times and has no short form");
        }
    }
}

/// The number to set is that of the device that feeds: the compound, once it is swung.
/// Whoever makes it reads at the lathe what the part cannot bear for long, not only in the record.
#[test]
fn the_bench_sheet_warns_of_what_bears_on_safety() {
    let mut job = sample::demo();
    let said = |job: &Job| words(&bench_pages(job, &work(job), Unit::Mm)).replace('\n', " ");
    assert!(!said(&job).contains("The flanks carry"));
    job.make.nut = NutKind::TwoPiece;
    job.make.load = Some(Force::newton(20_000.0));
    assert!(said(&job).contains("The flanks carry"), "{}", said(&job));
}

#[test]
fn passes_say_what_to_set() {
    let job = sample::inch_demo();
    let whole = work(&job);
    let cut = whole.cut.result.as_ref().expect("the demo is cut");
    let swung = cut.passes.iter().any(flankwise_bench::cut::Pass::by_compound);
    let said = words(&bench_pages(&job, &whole, Unit::Inch)).replace('\n', " ");
    assert!(swung && said.contains("Compound to") && said.contains("Cross-slide back to"));
    for pass in &cut.passes {
        let set = show::length_number(pass.set_to(), Fine::Gauge, Unit::Inch);
        assert!(said.contains(&set), "{set}");
    }
    let job = sample::demo();
    let said = words(&bench_pages(&job, &work(&job), Unit::Mm)).replace('\n', " ");
    assert!(said.contains("Cross-slide to") && !said.contains("Compound to"));
}

#[test]
fn a_real_job_has_no_mark_of_an_example() {
    let mut job = sample::demo();
    job.invented = false;
    let pages = bench_pages(&job, &work(&job), Unit::Mm);
    assert!(!words(&pages).contains("Invented"));
}

/// Reads the PDF back with poppler's `pdftotext`, where the machine has it.
#[test]
fn text_of_the_pdf_can_be_selected() {
    let job = sample::demo();
    let whole = work(&job);
    let file = kept("selectable.pdf", &bench_pdf(&job, &whole, Unit::Mm).expect("the sheet is written"));
    let out = Command::new("pdftotext").arg("-layout").arg(&file).arg("-").output();
    let out = out.expect("pdftotext, of poppler-utils, reads the PDF back; ./run-tests installs it");
    let text = String::from_utf8_lossy(&out.stdout);
    let fit = whole.fit.result.as_ref().expect("the demo has a fit");
    let tool = whole.tool.result.as_ref().expect("the demo has a tool");
    let shop = |l| format!("{} mm", show::length_number(l, Fine::Shop, Unit::Mm));
    let (bore, tip) = (shop(fit.blank.aim), shop(tool.tip_width.aim));
    for word in [
        "Tr 22x5",
        "Sizes to make",
        &bore,
        "Tip width",
        &tip,
        "30.0°",
        "page 1 of",
        "Order of work",
        "Signed",
    ] {
        assert!(text.contains(word), "{word} is not in the PDF's text:\n{text}");
    }
    let pages = bench_pages(&job, &whole, Unit::Mm).len();
    assert_eq!(text.matches('\u{c}').count(), pages);
}

#[test]
fn odd_names_neither_break_the_layout_nor_leave_the_page() {
    let mut job = sample::demo();
    job.job = "Überlanger Name <& \"Zeichen\"> ".repeat(12);
    job.people.customer = Some("x".repeat(400));
    job.people.maker = Some("Ünï\u{0}cödé \u{202e} 名前".to_owned());
    let whole = work(&job);
    for pages in sheets(&job, &whole, Unit::Inch) {
        let off: Vec<_> = pages.iter().flat_map(Drawing::faults).filter(|f| f.contains("leaves")).collect();
        assert!(off.is_empty(), "{off:#?}");
    }
    bench_pdf(&job, &whole, Unit::Inch).expect("the sheet is written");
}

#[test]
fn jobs_that_lack_or_change_something_still_print_soundly() {
    type Change = fn(&mut Job);
    let changes: [(&str, Change); 9] = [
        ("a screw", |j| j.make.part = Element::External),
        ("no lathe", |j| j.lathe = None),
        ("no bars", |j| j.bars.clear()),
        ("no people", |j| j.people = Default::default()),
        ("no body", |j| j.make.body = Default::default()),
        ("a flange with holes on a circle wider than the nut is long", |j| {
            j.make.body.flange = Some(Length::mm(140.0));
            let hole = j.make.body.holes[0].clone();
            let (diameter, from_end) = (Length::mm(11.0), Length::mm(115.0));
            j.make.body.holes.push(Hole { kind: HoleKind::Flange, diameter, from_end, depth: None, ..hole });
        }),
        ("a screw with journals, a flange and a keyway", |j| {
            j.make.part = Element::External;
            j.make.length = Some(Length::mm(250.0));
            (j.make.body.outside, j.make.body.housing, j.make.body.length) = (None, None, None);
            j.make.body.flange_from = Some(Length::mm(20.0));
            let step = |from_end: f64, length: f64, diameter: f64| BodyStep {
                from_end: Length::mm(from_end),
                length: Length::mm(length),
                diameter: Length::mm(diameter),
                fit: Fits::read("k6").ok(),
                ends: Some("1 mm chamfer, undercut 2 wide and 0.3 deep at the shoulder".into()),
            };
            j.make.body.steps = vec![step(0.0, 20.0, 15.0), step(290.0, 40.0, 14.0)];
            j.make.body.keyways = vec![Keyway {
                standard: Some(KeyStandard::Din6885),
                width: None,
                depth: None,
                from_end: Some(Length::mm(295.0)),
                length: Some(Length::mm(20.0)),
                angle: Angle::ZERO,
            }];
        }),
        ("no readings", |j| {
            j.readings.clear();
            j.leaves.clear();
            j.trials.clear();
        }),
        ("a coarse left-hand thread by choice", |j| {
            j.chosen = Some("Tr 40x14 P7 LH".parse().expect("a designation"));
        }),
    ];
    for (name, change) in changes {
        let mut job = sample::demo();
        change(&mut job);
        let whole = work(&job);
        let mut drawings = flankwise_sheet::figures::all(&job, &whole, Unit::Mm);
        drawings.extend(sheets(&job, &whole, Unit::Mm).into_iter().flatten());
        let faults: Vec<_> = drawings.iter().flat_map(Drawing::faults).collect();
        assert!(faults.is_empty(), "{name}: {faults:#?}");
    }
}
