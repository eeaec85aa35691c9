//! Reads what can be read of a job that has mistakes in it, so that one slip of the finger does not blank a page.

use super::{Job, Problem, read};
use toml_edit::{DocumentMut, Item, TableLike, Value};

/// Reads a job as far as possible: fields that are wrong are passed over, entries of a list that cannot do
/// without them too, and all are told. None where nothing is left to read.
pub fn read_what_can_be(text: &str) -> (Option<Job>, Vec<Problem>) {
    let problems = match read(text) {
        Ok(job) => return (Some(job), Vec::new()),
        Err(problems) => problems,
    };
    let Ok(mut document) = text.parse::<DocumentMut>() else { return (None, problems) };
    let mut wrong = problems.clone();
    // Each round takes out at least one field or table that the text holds, so that this ends.
    while !wrong.is_empty() {
        // From the end, so that the numbers of the entries before stay right.
        let mut paths: Vec<Vec<Step>> = wrong.iter().map(|p| steps(&p.field)).collect();
        paths.sort();
        paths.dedup();
        let mut changed = false;
        for path in paths.iter().rev() {
            changed |= pass_over(&mut document, path);
        }
        match read(&document.to_string()) {
            Ok(job) => return (Some(job), problems),
            Err(_) if !changed => break,
            Err(more) => wrong = more,
        }
    }
    (None, problems)
}

/// One step of a path: a name, and for a table of an array its number from 1 (0 otherwise).
type Step = (String, usize);

fn steps(path: &str) -> Vec<Step> {
    let step = |part: &str| match part.split_once('[') {
        Some((name, number)) => (name.to_owned(), number.trim_end_matches(']').parse().unwrap_or(0)),
        None => (part.to_owned(), 0),
    };
    path.split('.').filter(|p| !p.is_empty()).map(step).collect()
}

/// Takes the field at `path` out; where it is not there (a required one is missing), its table. A job without a
/// name gets one. Whether anything was changed.
fn pass_over(document: &mut DocumentMut, path: &[Step]) -> bool {
    let Some(((last, number), within)) = path.split_last() else { return false };
    if within.is_empty() && last == "job" {
        let nameless = "Job without a name";
        let named = document.get("job").and_then(Item::as_str) == Some(nameless);
        document.insert("job", nameless.into());
        return !named;
    }
    if *number > 0 {
        return take_entry(document, path);
    }
    let there = reach(document, within).is_some_and(|table| table.remove(last).is_some());
    there || take_entry(document, within)
}

/// Takes a table out: of an array, or a single one.
fn take_entry(document: &mut DocumentMut, path: &[Step]) -> bool {
    let Some(((name, number), within)) = path.split_last() else { return false };
    let Some(parent) = reach(document, within) else { return false };
    if *number == 0 {
        return parent.remove(name).is_some();
    }
    match parent.get_mut(name) {
        Some(Item::ArrayOfTables(array)) if *number <= array.len() => {
            array.remove(number - 1);
            true
        }
        Some(Item::Value(Value::Array(array))) if *number <= array.len() => {
            array.remove(number - 1);
            true
        }
        _ => false,
    }
}

fn reach<'d>(document: &'d mut DocumentMut, path: &[Step]) -> Option<&'d mut dyn TableLike> {
    let mut at: &mut dyn TableLike = document.as_table_mut();
    for (name, number) in path {
        let item = at.get_mut(name)?;
        at = match (item, number) {
            (item, 0) => item.as_table_like_mut()?,
            (Item::ArrayOfTables(array), n) => array.get_mut(n - 1)?,
            (Item::Value(Value::Array(array)), n) => array.get_mut(n - 1)?.as_inline_table_mut()?,
            _ => return None,
        };
    }
    Some(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    const DEMO: &str = include_str!("../../../../demo/board-shear.toml");

    #[test]
    fn a_sound_job_is_read_whole() {
        assert_eq!(read_what_can_be(DEMO), (read(DEMO).ok(), Vec::new()));
    }

    #[test]
    fn wrong_fields_are_told_and_passed_over() {
        let text = DEMO
            .replace("\"44 mm\"", "\"44 mn\"")
            .replace("value      = \"21.86 mm\"", "valve = \"21.86 mm\"")
            .replace("verdict = \"rocks\"", "verdict = \"wobbles\"");
        let (job, problems) = read_what_can_be(&text);
        let job = job.expect("the rest is sound");
        assert_eq!(job.make.length, None);
        assert_eq!(job.readings.len(), 5);
        assert_eq!(job.leaves.len(), 1);
        let fields: Vec<_> = problems.iter().map(|p| p.field.as_str()).collect();
        for field in ["make.length", "reading[1].valve", "leaf[2].verdict"] {
            assert!(fields.contains(&field), "{field} in {fields:?}");
        }
    }

    #[test]
    fn a_new_entry_still_empty_blanks_nothing() {
        let (job, problems) = read_what_can_be(&format!("{DEMO}\n[[reading]]\n"));
        assert_eq!(job.expect("the rest is sound").readings.len(), 6);
        assert!(!problems.is_empty());
    }

    #[test]
    fn a_job_without_a_name_is_read() {
        let (job, _) = read_what_can_be(&super::super::template());
        assert!(job.is_some());
    }

    #[test]
    fn what_is_no_toml_is_told() {
        let (job, problems) = read_what_can_be("job = [");
        assert!(job.is_none() && problems.len() == 1);
    }
}
