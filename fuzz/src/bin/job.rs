//! Jobs and lathes; what can be read is weighed as well.
#![no_main]

use flankwise_bench::{evidence, job};

libfuzzer_sys::fuzz_target!(|text: &str| {
    match job::read(text) {
        Ok(job) => {
            if let Some(evidence) = evidence::work(&job).result {
                let _ = evidence.section();
            }
        }
        Err(problems) => {
            assert!(!problems.is_empty());
            for problem in problems {
                assert!(problem.line >= 1 && problem.line <= text.lines().count().max(1) + 1);
                assert!(!problem.accepted.is_empty());
                let _ = problem.to_string();
            }
        }
    }
    let _ = job::read_lathe(text);
});
