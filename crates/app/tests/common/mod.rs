//! A running program, a running browser, and their end.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// Stops the process when the test ends, however it ends.
pub struct Running {
    child: Child,
    /// `http://127.0.0.1:port`.
    pub address: String,
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Starts the page on a free port over the data in `data`.
pub fn serve(data: &Path) -> Running {
    let mut child = Command::new(env!("CARGO_BIN_EXE_flankwise"))
        .args(["serve", "--port", "0", "--data"])
        .arg(data)
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let line = first_line_with(&mut child, "http://");
    let from = line.find("http://").expect("an address");
    let address = line[from..].split('/').take(3).collect::<Vec<_>>().join("/");
    Running { child, address }
}

/// Starts the browser's driver on a free port.
#[allow(dead_code, reason = "only the browser tests need it")]
pub fn chromedriver() -> Running {
    let mut child = Command::new("chromedriver")
        .arg("--port=0")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("chromedriver is installed: run the tests with ./run-tests");
    let line = first_line_with(&mut child, "successfully on port ");
    let port: String =
        line.rsplit("on port ").next().unwrap_or_default().chars().take_while(char::is_ascii_digit).collect();
    Running { child, address: format!("http://127.0.0.1:{port}") }
}

/// Reads the child's output up to the line that holds `mark`; the rest is read and dropped in the background, so
/// that the child never waits for a reader.
fn first_line_with(child: &mut Child, mark: &str) -> String {
    let mut lines = BufReader::new(child.stdout.take().expect("a pipe")).lines();
    let found = lines.by_ref().map_while(Result::ok).find(|l| l.contains(mark)).expect("the line appears");
    std::thread::spawn(move || lines.for_each(drop));
    found
}
