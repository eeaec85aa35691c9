//! The record: everything that the job rests on, to be filed. What every stage says in full, and where its figures
//! come from.

use super::blocks::Writer;
use super::{head, letterhead, sign};
use crate::drawing::Drawing;
use crate::figures;
use crate::paper::Paper;
use flankwise_bench::Whole;
use flankwise_bench::job::Job;
use flankwise_bench::report::StageName;
use flankwise_thread::Unit;

pub fn pages(job: &Job, whole: &Whole, unit: Unit) -> Vec<Drawing> {
    let mut w = Writer::new(Paper::new(head(job, "record", "record")), unit);
    let drawings = figures::all(job, whole, unit);
    letterhead(&mut w, job);
    for stage in StageName::ALL {
        w.stage(whole, stage, |_| true);
        let key = match stage {
            StageName::Identity => "candidates",
            StageName::Fit => "play",
            StageName::Route => "ways",
            StageName::Cut => "stability",
            _ => continue,
        };
        if let Some(drawing) = drawings.iter().find(|d| d.key == key) {
            w.paper.figure(drawing);
        }
    }
    sign(&mut w, job);
    w.list_origins();
    w.paper.finish()
}
