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
    let jobs = Shelf { store: open(data)?, word: "jobs" };
    match what {
        JobsCommand::List { json } => jobs.list(
            json,
            "No jobs yet. `flankwise jobs import FILE` takes one in, `flankwise serve` starts one in the page.\n",
        ),
        JobsCommand::Import { file } => {
            let text = input::text(&file)?;
            let head = kept::import(&jobs.store, &text, &file.display().to_string(), kept::now())
                .map_err(|words| bad(file.display(), words))?;
            out(&format!("{} {}\n", head.id, head.title))
        }
        JobsCommand::Export { job, output } => jobs.export(job, output.as_deref()),
        JobsCommand::History { job, json } => jobs.history(job, json),
        JobsCommand::Undo { job } => jobs.undo(job),
        JobsCommand::Remove { job } => jobs.remove(job),
        JobsCommand::Restore { job } => jobs.restore(job),
    }
}

/// What can be done with anything that is kept, whatever it means.
pub(super) struct Shelf {
    pub store: Store,
    /// The command's name.
    pub word: &'static str,
}

impl Shelf {
    /// Lists what is kept; `none` is said where nothing is.
    pub fn list(&self, json: bool, none: &str) -> Outcome {
        let kept = self.store.jobs()?;
        if json {
            let one = self.word.trim_end_matches('s');
            let list: Vec<_> = kept
                .iter()
                .map(|j| {
                    json!({one: j.id.0, "title": j.title, "revision": j.revision, "changed_at": j.changed_at})
                })
                .collect();
            return out_json(&json!({format!("{one}s"): list}));
        }
        if kept.is_empty() {
            return out(none);
        }
        let lines: Vec<_> =
            kept.iter().map(|j| format!("{:>4}  revision {:>3}  {}", j.id.0, j.revision, j.title)).collect();
        out(&format!("{}\n", lines.join("\n")))
    }

    /// Writes the text.
    pub fn export(&self, id: i64, output: Option<&Path>) -> Outcome {
        write(output, &self.store.load(JobId(id))?.text)
    }

    /// Lists its changes.
    pub fn history(&self, id: i64, json: bool) -> Outcome {
        let entries = self.store.history(JobId(id))?;
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

    /// Takes back the last change.
    pub fn undo(&self, id: i64) -> Outcome {
        let head = self.store.load(JobId(id))?.head;
        let saved = self.store.undo(head.id, head.revision, kept::now())?;
        out(&format!("{} is at revision {}\n", saved.head.title, saved.head.revision))
    }

    /// Puts it away.
    pub fn remove(&self, id: i64) -> Outcome {
        let head = self.store.remove(JobId(id), kept::now())?;
        out(&format!("{} is put away; `flankwise {} restore {id}` brings it back\n", head.title, self.word))
    }

    /// Brings it back.
    pub fn restore(&self, id: i64) -> Outcome {
        let head = self.store.restore(JobId(id))?;
        out(&format!("{} {}\n", head.id, head.title))
    }
}

/// Writes a text to a file, or to standard output.
pub(super) fn write(output: Option<&Path>, text: &str) -> Outcome {
    match output {
        Some(path) => {
            export_to(path, text)?;
            Ok(Ended::Done)
        }
        None => out(text),
    }
}
