//! Every drawing is sound: numbers that are numbers, nothing off the paper, no text over another; and what is
//! dimensioned measures what it says.

mod sample;

use flankwise_bench::job::Job;
use flankwise_bench::tool;
use flankwise_sheet::drawing::{Drawing, SvgOptions, svg};
use flankwise_sheet::figures;
use flankwise_thread::{Element, Family, Hand, Length, Pitch, Thread, Unit};
use std::path::Path;

fn of_fit(job: &Job, fit: &flankwise_bench::fit::Fit, unit: Unit) -> Vec<Drawing> {
    let mut all = vec![figures::thread_section(fit, None, unit)];
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
