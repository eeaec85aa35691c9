//! Jobs kept in the data directory.

use super::args::JobsCommand;
use super::{Ended, Failed, Outcome, bad, out, out_json};
use crate::input;
use crate::kept;
use flankwise_store::{JobId, Store, default_data_dir, export_to};
use serde_json::json;
use std::path::Path;

/// Opens the store in `dir`, or in the user's own data directory.
pub fn open(dir: Option<&Path>) -> Result<Store, Failed> {
    match dir {
        Some(dir) => Ok(Store::open(dir)?),
        None => Ok(Store::open(default_data_dir()?)?),
    }
}

/// Runs one of the `jobs` commands.
pub fn run(data: Option<&Path>, what: JobsCommand) -> Outcome {
    let store = open(data)?;
    let now = kept::now();
    match what {
        JobsCommand::List { json } => list(&store, json),
        JobsCommand::Import { file } => {
            let text = input::text(&file)?;
            let head = kept::import(&store, &text, &file.display().to_string(), now)
                .map_err(|words| bad(file.display(), words))?;
            out(&format!("{} {}\n", head.id, head.title))
        }
        JobsCommand::Export { job, output } => {
            let job = store.load(JobId(job))?;
            match output {
                Some(path) => {
                    export_to(&path, &job.text)?;
                    Ok(Ended::Done)
                }
                None => out(&job.text),
            }
        }
        JobsCommand::History { job, json } => history(&store, JobId(job), json),
        JobsCommand::Undo { job } => {
            let head = store.load(JobId(job))?.head;
            let saved = store.undo(head.id, head.revision, now)?;
            out(&format!("{} is at revision {}\n", saved.head.title, saved.head.revision))
        }
        JobsCommand::Remove { job } => {
            let head = store.remove(JobId(job), now)?;
            out(&format!("{} is put away; `flankwise jobs restore {job}` brings it back\n", head.title))
        }
        JobsCommand::Restore { job } => {
            let head = store.restore(JobId(job))?;
            out(&format!("{} {}\n", head.id, head.title))
        }
    }
}

fn list(store: &Store, json: bool) -> Outcome {
    let jobs = store.jobs()?;
    if json {
        let list: Vec<_> = jobs
            .iter()
            .map(|j| json!({"job": j.id.0, "title": j.title, "revision": j.revision, "changed_at": j.changed_at}))
            .collect();
        return out_json(&json!({"jobs": list}));
    }
    if jobs.is_empty() {
        return out(
            "No jobs yet. `flankwise jobs import FILE` takes one in, `flankwise serve` starts one in the page.\n",
        );
    }
    let lines: Vec<_> =
        jobs.iter().map(|j| format!("{:>4}  revision {:>3}  {}", j.id.0, j.revision, j.title)).collect();
    out(&format!("{}\n", lines.join("\n")))
}

fn history(store: &Store, id: JobId, json: bool) -> Outcome {
    let entries = store.history(id)?;
    if json {
        let list: Vec<_> = entries
            .iter()
            .map(|e| json!({"revision": e.revision, "kind": e.kind.word(), "at": e.at, "what": e.what}))
            .collect();
        return out_json(&json!({"history": list}));
    }
    let lines: Vec<_> =
        entries.iter().map(|e| format!("{:>4}  {:<7} {}", e.revision, e.kind.word(), e.what)).collect();
    out(&format!("{}\n", lines.join("\n")))
}
