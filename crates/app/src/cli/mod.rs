//! The command line.

mod args;
mod demo;
mod jobs;
mod lathes;
mod photo;
mod print;
mod reference;

use crate::input::{self, BadInput, BadKind};
use args::{Args, Command};
use clap::{CommandFactory, Parser};
use flankwise_bench::report::StageName;
use flankwise_bench::work;
use flankwise_thread::Unit;
use std::fmt;
use std::io::Write;
use std::process::ExitCode;

/// How a command ended; the exit status follows from it.
pub enum Ended {
    /// Done: 0.
    Done,
    /// The answer is no: 1.
    No,
}

/// Why a command could not do its work: exit status 2, the text on standard error.
pub struct Failed(String);

impl<E: fmt::Display> From<E> for Failed {
    fn from(e: E) -> Self {
        Self(e.to_string())
    }
}

type Outcome = Result<Ended, Failed>;

/// Runs the program.
pub fn run() -> ExitCode {
    let args = Args::parse();
    match dispatch(args) {
        Ok(Ended::Done) => ExitCode::SUCCESS,
        Ok(Ended::No) => ExitCode::from(1),
        Err(Failed(words)) => {
            eprintln!("flankwise: {words}");
            ExitCode::from(2)
        }
    }
}

fn dispatch(args: Args) -> Outcome {
    match args.command {
        Command::Identify(a) => stages(&a, &[StageName::Evidence, StageName::Identity]),
        Command::Fit(a) => stages(&a, &[StageName::Fit]),
        Command::Route(a) => stages(&a, &[StageName::Route]),
        Command::Tool(a) => stages(&a, &[StageName::Tool]),
        Command::Setup(a) => stages(&a, &[StageName::Setup]),
        Command::Passes(a) => stages(&a, &[StageName::Cut]),
        Command::Check(a) => stages(&a, &[StageName::Check]),
        Command::Show(a) => stages(&a, &StageName::ALL),
        Command::Limits { designation, json, unit, origins } => {
            reference::limits(&designation, json, unit.map(Unit::from), origins)
        }
        Command::Catalogue(a) => reference::catalogue(&a),
        Command::Compare(a) => reference::compare(&a),
        Command::Gears(a) => lathes::gears(&a),
        Command::Lathe { data, what } => lathes::run(data.as_deref(), what),
        Command::Quotation(a) => print::quotation(&a),
        Command::Sheet(a) => print::sheet(&a),
        Command::Photo(a) => photo::run(&a),
        Command::Serve(a) => serve(&a),
        Command::Jobs { data, what } => jobs::run(data.as_deref(), what),
        Command::Demo(a) => demo::run(&a),
        Command::Template => out(&flankwise_bench::job::template()),
        Command::Completions { shell } => {
            let mut buffer = Vec::new();
            clap_complete::generate(shell, &mut Args::command(), "flankwise", &mut buffer);
            out(&String::from_utf8_lossy(&buffer))
        }
    }
}

/// Writes to standard output; a reader that has gone away (`| head`) is no error.
fn out(text: &str) -> Outcome {
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(format!("standard output: {e}").into()),
        _ => Ok(Ended::Done),
    }
}

fn out_json(value: &serde_json::Value) -> Outcome {
    out(&format!("{value:#}\n"))
}

/// Shows stages of a job. With `--json`, the last of `which` is the one meant.
fn stages(a: &args::JobArgs, which: &[StageName]) -> Outcome {
    let job = input::read_job(&a.job)?;
    let unit = a.unit.map_or(job.unit, Unit::from);
    let whole = work(&job);
    if a.json {
        if let [one] | [StageName::Evidence, one] = which {
            out_json(&crate::json::stage(&whole, *one, unit))?;
        } else {
            let all: Vec<_> = which.iter().map(|&s| crate::json::stage(&whole, s, unit)).collect();
            out_json(&serde_json::json!({"job": job.job, "stages": all}))?;
        }
    } else {
        let text: Vec<_> =
            which.iter().map(|&s| crate::terminal::said(&whole.said(s), unit, a.origins)).collect();
        out(&text.join("\n"))?;
    }
    let mut ended = Ended::Done;
    for &stage in which {
        let said = whole.said(stage);
        // `show` prints a job as far as it has come; a command that asks for one stage must have that stage.
        if said.section.is_none() && which.len() <= 2 {
            // The stage that stops the others says what is missing; those after it only wait.
            let stuck = StageName::ALL.into_iter().map(|s| whole.said(s)).find(|s| s.section.is_none());
            // One that was refused with its reasons lacks nothing: the answer is no.
            if stuck.as_ref().is_some_and(|s| s.impossible() && s.needs.is_empty()) {
                return Ok(Ended::No);
            }
            let needs = stuck.map_or(said.needs, |s| s.needs);
            let fields: Vec<_> = needs.iter().map(|n| format!("{}: {}", n.field, n.what)).collect();
            return Err(format!("{}: not enough to go on; {}", a.job.display(), fields.join("; ")).into());
        }
        if said.impossible() {
            ended = Ended::No;
        }
    }
    Ok(ended)
}

fn serve(a: &args::ServeArgs) -> Outcome {
    let store = jobs::open(a.data.as_deref())?;
    crate::web::serve(store, a.listen, a.port, |address| {
        println!("flankwise is at http://{address}/  (Ctrl-C stops it)");
    })
    .map_err(Failed)?;
    Ok(Ended::Done)
}

/// Reads a job, or says which file is bad with `words`.
fn bad(file: impl fmt::Display, words: impl fmt::Display) -> Failed {
    BadInput { file: file.to_string(), kind: BadKind::Other(words.to_string()) }.into()
}
