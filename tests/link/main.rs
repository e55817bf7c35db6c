//! `serve` and `link` from outside, and a client that was written from the page: over TCP, with the simulated machine behind it.
//!
//! Belongs to the package `twinplate` (see its `Cargo.toml`), so that Cargo builds the binary first.

mod board;
mod client;
mod served;
mod store;
mod told;
mod verbs;

use served::{Served, root, short};
use std::process::Command;
use told::told;

fn python(arguments: &[&str]) -> Command {
    let mut command = Command::new("python3");
    command
        .arg(root().join("tests/link/client.py"))
        .args(arguments);
    command
}

/// The page alone is enough: every row with bytes on it, by a codec that knows nothing else.
#[test]
fn a_client_written_from_the_page_agrees_with_every_row_of_it() {
    let ran = python(&["rows"]).output().expect("Python 3 runs");
    let (out, err) = (
        String::from_utf8_lossy(&ran.stdout),
        String::from_utf8_lossy(&ran.stderr),
    );
    assert!(ran.status.success(), "{out}{err}");
    let rows: u32 = out
        .split_whitespace()
        .next()
        .and_then(|n| n.parse().ok())
        .expect("a count");
    assert!(rows >= 60, "{out}");
}

/// From the hello to a complete batch, and then another one on fresh parts.
#[test]
fn a_client_written_from_the_page_runs_whole_cycles() {
    let folder = short("cycles");
    // Paced, so that no simulated hours go by while a process waits for its turn; and where the client waits for its own for more than
    // two seconds, its session must still stand.
    let mut served = Served::paced(&folder, "20x", &["--silence", "60"]);
    for _ in 0..2 {
        let client = python(&["cycle", &served.address, "--slot", "1"]);
        // Remote start is for who is there when it is armed: he is.
        let cycle = told(client, || served.type_in("parts\narm\n"));
        cycle.unwrap_or_else(|why| panic!("{why}\n{}", served.log()));
    }
    for what in [
        "a command came over the link: Start",
        "batch complete",
        "is gone",
    ] {
        served.wait_for(what, 2);
        assert_eq!(served.log().matches(what).count(), 2, "{what}");
    }
    served.type_in("quit\n");
    assert_eq!(served.ends(), Some(0));
}
