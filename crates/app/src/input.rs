//! Reads the files that a person names, and says plainly what is wrong with them.

use flankwise_bench::job::{self, Job, Lathe, Problem};
use std::fmt;
use std::io::Read;
use std::path::Path;

/// Largest text taken as a job or a lathe.
pub const LARGEST_TEXT: u64 = job::MOST_BYTES as u64;

/// Bad input: what was read, and why it is not taken.
#[derive(Debug)]
pub struct BadInput {
    /// File name, or `standard input`.
    pub file: String,
    /// What is wrong.
    pub kind: BadKind,
}

/// What is wrong with an input.
#[derive(Debug)]
pub enum BadKind {
    /// Cannot be read at all.
    Unreadable(std::io::Error),
    /// Larger than [`LARGEST_TEXT`].
    TooLarge,
    /// Not UTF-8; the offset of the first bad byte.
    NotText(usize),
    /// Fields that are wrong.
    Problems(Vec<Problem>),
    /// Anything else, in words.
    Other(String),
}

impl fmt::Display for BadInput {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let file = &self.file;
        match &self.kind {
            BadKind::Unreadable(e) => write!(f, "{file}: cannot be read: {e}"),
            BadKind::TooLarge => {
                write!(f, "{file}: larger than 1 MiB; a job file is text of a few kilobytes")
            }
            BadKind::NotText(at) => {
                write!(f, "{file}: byte {at} is not UTF-8 text; a job file is a TOML text file")
            }
            BadKind::Problems(problems) => {
                for (i, p) in problems.iter().enumerate() {
                    if i > 0 {
                        writeln!(f)?;
                    }
                    write!(f, "{file}:{}: ", p.line)?;
                    if !p.field.is_empty() {
                        write!(f, "{}: ", p.field)?;
                    }
                    f.write_str(&p.words())?;
                }
                Ok(())
            }
            BadKind::Other(words) => write!(f, "{file}: {words}"),
        }
    }
}

/// Reads a text file, or standard input for `-`.
pub fn text(path: &Path) -> Result<String, BadInput> {
    let from_stdin = path == Path::new("-");
    let bad = |kind| BadInput { file: called(path), kind };
    let mut bytes = Vec::new();
    let read = if from_stdin {
        std::io::stdin().lock().take(LARGEST_TEXT + 1).read_to_end(&mut bytes)
    } else {
        std::fs::File::open(path).and_then(|f| f.take(LARGEST_TEXT + 1).read_to_end(&mut bytes))
    };
    read.map_err(|e| bad(BadKind::Unreadable(e)))?;
    if bytes.len() as u64 > LARGEST_TEXT {
        return Err(bad(BadKind::TooLarge));
    }
    String::from_utf8(bytes).map_err(|e| bad(BadKind::NotText(e.utf8_error().valid_up_to())))
}

/// Reads a job.
pub fn read_job(path: &Path) -> Result<Job, BadInput> {
    let text = text(path)?;
    job::read(&text).map_err(|problems| problems_of(called(path), problems))
}

/// The lathe of a text that came from `named`.
pub fn lathe_of(named: &str, text: &str) -> Result<Lathe, BadInput> {
    job::read_lathe(text).map_err(|problems| problems_of(named.to_owned(), problems))
}

/// What messages call a file.
pub fn called(path: &Path) -> String {
    if path == Path::new("-") { "standard input".to_owned() } else { path.display().to_string() }
}

fn problems_of(file: String, problems: Vec<Problem>) -> BadInput {
    BadInput { file, kind: BadKind::Problems(problems) }
}
