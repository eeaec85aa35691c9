//! One order of work from the orders of three stages: the part's, with the lathe's setting up and the threading put
//! in where the part's one step stands for them. Where the person has chosen another way than a single point, that
//! way's own steps stand for the thread, or for the whole part.

use crate::Whole;
use crate::job::WayKind;
use crate::report::{Block, Moment, Step};
use crate::route::{MAKING, Route};

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
        let chosen = self.route.result.as_ref().and_then(Route::chosen_way);
        let part = self.fit.result.as_ref().map_or(&[][..], |f| &f.operations);
        let (mut before, threading, mut after) = match part.iter().position(|s| s.moment == Moment::Threading)
        {
            Some(at) => (part[..at].to_vec(), Some(&part[at]), part[at + 1..].to_vec()),
            None => (part.to_vec(), None, Vec::new()),
        };
        let (holding, mut setting): (Vec<Step>, Vec<Step>) =
            self.setting_up().into_iter().partition(|s| s.moment == Moment::Holding);
        // The part's one step stands for the threading only where the cut does not say it step by step.
        let mut thread: Vec<Step> = match &self.cut.result {
            Some(cut) => cut.operations.clone(),
            None => threading.cloned().into_iter().collect(),
        };
        if let Some(way) = chosen {
            match way.kind {
                WayKind::SinglePoint => {}
                WayKind::Rechuck => {
                    let parting: Vec<Step>;
                    (parting, after) = after.into_iter().partition(|s| s.moment == Moment::PartingOff);
                    before.extend(parting);
                    setting.splice(0..0, way.steps.iter().cloned());
                }
                WayKind::BoughtTap | WayKind::MadeTap | WayKind::Die | WayKind::ThreadMill => {
                    setting.clear();
                    thread.clone_from(&way.steps);
                }
                WayKind::BoughtPart | WayKind::Cast => {
                    return vec![Stretch { title: "The work", steps: way.steps.clone() }];
                }
            }
        }
        // How the work is held is settled before the first cut.
        let first: Vec<Step> = holding.into_iter().chain(before).collect();
        [
            Stretch { title: "Before the thread", steps: first },
            Stretch { title: "Setting up for the thread", steps: setting },
            Stretch { title: "The thread", steps: thread },
            Stretch { title: "After the thread", steps: after },
        ]
        .into_iter()
        .filter(|s| !s.steps.is_empty())
        .collect()
    }

    /// The order of work step by step, each with its heading, with the making of taps before it where they are made here.
    pub fn at_the_bench(&self) -> Vec<(&'static str, Step)> {
        let chosen = self.route.result.as_ref().and_then(Route::chosen_way);
        let making = chosen.into_iter().flat_map(|way| &way.design).filter_map(|block| match block {
            Block::Steps(_, steps) => Some(Stretch { title: MAKING, steps: steps.clone() }),
            _ => None,
        });
        let order = making.chain(self.order_of_work());
        order.flat_map(|stretch| stretch.steps.into_iter().map(move |step| (stretch.title, step))).collect()
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
