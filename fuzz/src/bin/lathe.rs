//! A lathe's text on its way into a job and out again.
#![no_main]

use flankwise_bench::job::{lathe_text, read_lathe, with_lathe};
use flankwise_bench::setup::parse_lead;

libfuzzer_sys::fuzz_target!(|input: &str| {
    let _ = parse_lead(input, flankwise_thread::Unit::Mm);
    let Ok(lathe) = read_lathe(input) else { return drop(lathe_text(input)) };
    let own = lathe_text(input).expect("what is read as a lathe is one");
    assert_eq!(read_lathe(&own).as_ref(), Ok(&lathe), "{own}");
    for job in ["job = \"a\"\n", "job = \"b\"\nunit = \"in\"\n[lathe]\nlead_screw = 1\ngears = [20]\n[cutting]\n"] {
        let with = with_lathe(job, input).expect("a job with it");
        assert_eq!(read_lathe(&with).as_ref(), Ok(&lathe), "{with}");
    }
});
