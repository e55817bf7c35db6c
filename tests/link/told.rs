//! A whole cycle by the client that was written from the page, as a process: over TCP here, over the board's UART in `tests/board`.

use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};

/// Runs it. `arm` is what a hand does at the panel when it waits for that. Gives what it told.
///
/// # Errors
/// What it told where it did not end well, or not with a complete batch.
pub fn told(mut client: Command, mut arm: impl FnMut()) -> Result<Vec<String>, String> {
    let client = client.stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut ran = client.spawn().expect("Python 3 runs");
    let mut told = Vec::new();
    for line in BufReader::new(ran.stdout.take().expect("piped")).lines() {
        let line = line.expect("text");
        if line.contains("waits for the panel") {
            arm();
        }
        told.push(line);
    }
    let ended = ran.wait_with_output().expect("ends");
    let complete = told.last().is_some_and(|line| line.starts_with("complete"));
    if ended.status.success() && complete {
        return Ok(told);
    }
    let err = String::from_utf8_lossy(&ended.stderr);
    Err(format!("{told:#?}\n{err}"))
}
