//! One order of work from the orders of three stages: the part's, with the lathe's setting up and the threading put
//! in where the part's one step stands for them.

use crate::Whole;
use crate::report::{Block, Moment, Step};

/// A stretch of the order of work, with its heading.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// Heading.
    pub title: &'static str,
    /// Steps.
    pub steps: Vec<Step>,
}

impl Whole {
    /// Every step of the job in the order in which it is done, as far as the stages have results.
    pub fn order_of_work(&self) -> Vec<Stretch> {
        let part = self.fit.result.as_ref().map_or(&[][..], |f| &f.operations);
        let (before, threading, after) = match part.iter().position(|s| s.moment == Moment::Threading) {
            Some(at) => (&part[..at], Some(&part[at]), &part[at + 1..]),
            None => (part, None, &[][..]),
        };
        let (holding, setting): (Vec<Step>, Vec<Step>) =
            self.setting_up().into_iter().partition(|s| s.moment == Moment::Holding);
        // How the work is held is settled before the first cut.
        let mut first: Vec<Step> = Vec::new();
        first.extend(holding);
        first.extend_from_slice(before);
        let mut thread: Vec<Step> = threading.cloned().into_iter().collect();
        thread.extend(self.cut.result.iter().flat_map(|c| c.operations.iter().cloned()));
        [
            Stretch { title: "Before the thread", steps: first },
            Stretch { title: "Setting up for the thread", steps: setting },
            Stretch { title: "The thread", steps: thread },
            Stretch { title: "After the thread", steps: after.to_vec() },
        ]
        .into_iter()
        .filter(|s| !s.steps.is_empty())
        .collect()
    }

    /// The lathe's steps.
    fn setting_up(&self) -> Vec<Step> {
        let blocks = self.setup.result.as_ref().map(|s| s.section().blocks).unwrap_or_default();
        blocks
            .into_iter()
            .filter_map(|b| match b {
                Block::Steps(_, steps) => Some(steps),
                _ => None,
            })
            .flatten()
            .collect()
    }
}
