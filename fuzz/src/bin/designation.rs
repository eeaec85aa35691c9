//! All that `flankwise limits` and the page of threads do with what was typed: read, print, read again, limits, near
//! sizes, outlines.
#![no_main]

use flankwise_thread::limits::{Element, limits};
use flankwise_thread::{Thread, catalogue};
use std::sync::LazyLock;

/// What every answer is checked against, built once.
static LISTED: LazyLock<usize> = LazyLock::new(|| catalogue().len());

libfuzzer_sys::fuzz_target!(|text: &str| {
    assert!(*LISTED > 0);
    match text.parse::<Thread>() {
        Ok(thread) => {
            let printed = thread.to_string();
            let again: Thread = printed.parse().unwrap_or_else(|e| panic!("{text}: {printed}: {e}"));
            assert_eq!(again, thread, "{text}: {printed}");
            work(&thread);
        }
        Err(error) => {
            assert!(error.text.get(error.at..).is_some(), "{text}: {error:?}");
            assert!(!error.to_string().is_empty());
        }
    }
});

/// Everything that is computed of a thread.
fn work(thread: &Thread) {
    match limits(thread) {
        Ok(found) => {
            for element in [&found.external, &found.internal].into_iter().flatten() {
                for range in [element.major, element.pitch, element.minor] {
                    let mut sizes = [range.max, range.min].into_iter().flatten();
                    assert!(sizes.all(|size| size.is_finite()), "{thread}: {range:?}");
                }
            }
            for extra in found.extras {
                let mut bounds = [extra.range.max, extra.range.min].into_iter().flatten();
                assert!(bounds.all(|bound| bound.is_finite()), "{thread}: {extra:?}");
            }
        }
        // A class that is known but has no figures here.
        Err(refused) => assert!(!refused.expected.is_empty(), "{thread}"),
    }
    let near = thread.family.nearest_listed(thread.nominal, thread.pitch.length, 4);
    assert_eq!(near.is_empty(), thread.family.form().series().is_empty(), "{thread}");
    let tolerance = thread.pitch.length.to_mm() * 1e-4;
    for element in [Element::External, Element::Internal] {
        for point in thread.outline(element).points(tolerance) {
            assert!(point.z.is_finite() && point.r.is_finite(), "{thread} {element:?}: {point:?}");
        }
    }
}
