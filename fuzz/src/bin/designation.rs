//! Thread designations: what is read is printed, and read again as the same thread.
#![no_main]

use flankwise_thread::Thread;

libfuzzer_sys::fuzz_target!(|text: &str| {
    match text.parse::<Thread>() {
        Ok(thread) => {
            let printed = thread.to_string();
            let again: Thread = printed.parse().unwrap_or_else(|e| panic!("{printed}: {e}"));
            assert_eq!(again.to_string(), printed, "{text}");
        }
        Err(error) => {
            assert!(text.is_char_boundary(error.at.min(text.len())));
            assert!(!error.to_string().is_empty());
        }
    }
});
