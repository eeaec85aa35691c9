//! Several writers: threads, two stores on one file, and processes that are killed.
//!
//! The helper process is this test binary itself, started again with a variable that tells it what to do.

use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use flankwise_store::{JobId, SaveError, Store};

const FOLDER: &str = "FLANKWISE_STORE_TEST_FOLDER";
const SAVES: &str = "FLANKWISE_STORE_TEST_SAVES";

#[test]
fn a_store_can_be_shared() {
    fn shared<T: Send + Sync + 'static>() {}
    shared::<Store>();
}

#[test]
fn the_second_of_two_writers_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let (here, there) = (Store::open(folder.path()).unwrap(), Store::open(folder.path()).unwrap());
    let job = here.create("t", "base", 0).unwrap();
    here.save(job.id, 1, "mine", "mine", "mine", 1).unwrap();
    let Err(SaveError::Stale(stale)) = there.save(job.id, 1, "theirs", "t", "theirs", 2) else {
        panic!("the second save was not refused as stale");
    };
    assert_eq!(stale.base_text, "base");
    assert_eq!((stale.current.text.as_str(), stale.current.head.revision), ("mine", 2));
    assert_eq!(there.load(job.id).unwrap().text, "mine", "nothing overwritten");
    assert!(matches!(there.undo(job.id, 1, 3), Err(SaveError::Stale(_))), "undo asks the same");
    let merged = there.save(job.id, stale.current.head.revision, "both", "t", "merged", 4).unwrap();
    assert_eq!(merged.head.revision, 3);
}

#[test]
fn threads_on_one_store_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let id = store.create("t", "", 0).unwrap().id;
    std::thread::scope(|scope| {
        for name in 0..4 {
            let store = &store;
            scope.spawn(move || (0..25).for_each(|n| insist(store, id, &format!("{name}:{n}"))));
        }
    });
    assert_lines(&store, id, 4, 25);
}

#[test]
fn processes_on_one_file_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    // None of them finds a store: the first steps of its life are raced for as well.
    let mut children: Vec<_> = (0..4).map(|_| writer(folder.path(), 25)).collect();
    for child in &mut children {
        assert!(child.wait().unwrap().success());
    }
    let store = Store::open(folder.path()).unwrap();
    let jobs = store.jobs().unwrap();
    assert_eq!(jobs.len(), 4, "each made its own job");
    for job in jobs {
        assert_eq!(job.revision, 26);
    }
}

/// At least twenty rounds: a process writes revisions and says each that was acknowledged; it is killed at
/// some moment; what it said must be there, and the file sound. The kill leaves the system up, so this does
/// not show what a power cut does: for that there is only SQLite's own promise for synchronous=FULL.
#[test]
fn what_was_acknowledged_survives_a_kill() {
    let folder = tempfile::tempdir().unwrap();
    let mut dice = 0x9e37_79b9_7f4a_7c15_u64;
    let (mut total, mut rounds_with_saves) = (0, 0);
    for round in 0..24 {
        let mut child = writer(folder.path(), 1_000_000);
        let mut out = child.stdout.take().unwrap();
        let reader = std::thread::spawn(move || {
            let mut said = String::new();
            out.read_to_string(&mut said).map(|_| said)
        });
        dice ^= dice << 13;
        dice ^= dice >> 7;
        dice ^= dice << 17;
        std::thread::sleep(Duration::from_millis(20 + dice % 400));
        child.kill().unwrap();
        child.wait().unwrap();
        let said = reader.join().unwrap().unwrap();

        let store = Store::open(folder.path()).unwrap_or_else(|e| panic!("round {round}: {e}"));
        let mut acknowledged = 0;
        // A line without its end was cut off by the kill.
        for line in said.split_inclusive('\n').filter(|line| line.ends_with('\n')) {
            let mut words = line.split_whitespace();
            if words.next() != Some("ack") {
                continue;
            }
            let [job, revision] = [(); 2].map(|()| words.next().unwrap().parse::<i64>().unwrap());
            assert_eq!(store.text_at(JobId(job), revision).unwrap(), text_of(revision), "round {round}");
            acknowledged += 1;
        }
        total += acknowledged;
        rounds_with_saves += usize::from(acknowledged > 0);
    }
    assert!(rounds_with_saves >= 20, "only {rounds_with_saves} rounds saved anything ({total} saves)");
}

/// The text the helper writes at a revision: of changing length, so that kills fall into many places.
fn text_of(revision: i64) -> String {
    format!("revision {revision}\n").repeat(1 + usize::try_from(revision * 37 % 900).unwrap())
}

/// Not a test of its own: what the helper process does.
#[test]
fn helper_process() {
    let (Ok(folder), Ok(saves)) = (std::env::var(FOLDER), std::env::var(SAVES)) else { return };
    let store = Store::open(folder).unwrap();
    let mut head = store.create("t", &text_of(1), 0).unwrap();
    let mut out = std::io::stdout();
    for now in 0..saves.parse().unwrap() {
        let revision = head.revision + 1;
        head = store.save(head.id, head.revision, &text_of(revision), "t", "more", now).unwrap().head;
        // The harness has an unfinished line of its own on this stream.
        writeln!(out, "\nack {} {}", head.id, head.revision).and_then(|()| out.flush()).unwrap();
    }
}

fn writer(folder: &Path, saves: u32) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "helper_process", "--nocapture"])
        .env(FOLDER, folder)
        .env(SAVES, saves.to_string())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap()
}

/// Adds a line to the job, as often as it takes.
fn insist(store: &Store, id: JobId, line: &str) {
    let mut job = store.load(id).unwrap();
    loop {
        let text = format!("{}{line}\n", job.text);
        match store.save(id, job.head.revision, &text, "t", line, 1) {
            Ok(_) => return,
            Err(SaveError::Stale(stale)) => job = stale.current,
            Err(error) => panic!("{error}"),
        }
    }
}

fn assert_lines(store: &Store, id: JobId, writers: usize, lines: usize) {
    let text = store.load(id).unwrap().text;
    let mut seen: Vec<_> = text.lines().collect();
    seen.sort_unstable();
    seen.dedup();
    assert_eq!(seen.len(), writers * lines);
    assert_eq!(store.history(id).unwrap().len(), writers * lines + 1);
}
