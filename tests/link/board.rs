//! `serve` with the controller on the emulated board. `tests/board/run` builds the image and starts these.

use super::python;
use crate::served::{Served, short};
use crate::store::{json, place};
use crate::told::told;
use crate::verbs::{both, name};
use serde_json::Value;
use std::path::Path;

/// Serves a short recipe on the board, its store kept in this file.
fn serve(recipe: &Path, image: &Path) -> Served {
    let board = std::env::var("TWINPLATE_BOARD");
    let board = board.expect("TWINPLATE_BOARD names the image: start this by tests/board/run");
    let more = ["--on-board", &board, "--image", name(image)];
    Served::paced(recipe, "20x", &[&more[..], &["--silence", "60"]].concat())
}

/// Recipes go into the board's own flash and out of it, a whole cycle runs from one of them, and what is kept in the file is what the
/// board has.
#[test]
#[ignore = "needs the board: tests/board/run"]
fn a_board_is_served_and_its_store_is_kept() {
    let (recipe, image) = (short("board"), place("board"));
    let mut served = serve(&recipe, &image);
    let at = served.address.clone();
    for slot in ["3", "12"] {
        let (_, put) = both(&["put", &at, slot, name(&recipe)], 0);
        assert_eq!(put["done"], true);
    }
    let (text, listed) = both(&["list", &at], 0);
    assert!(text.contains("2 of 16 slots hold a recipe"), "{text}");
    assert_eq!(listed["stored"][1]["slot"], 12);
    let (_, same) = both(&["get", &at, "3", "--beside", name(&recipe)], 0);
    assert_eq!(same["different"], serde_json::json!([]));
    let erased = json(&["link", "erase", &at, "3"], 0);
    assert_eq!(erased["done"], true);
    let client = python(&["cycle", &at, "--slot", "12"]);
    let cycle = told(client, || served.type_in("parts\narm\n"));
    cycle.unwrap_or_else(|why| panic!("{why}\n{}", served.log()));
    served.wait_for("batch complete", 1);
    served.type_in("quit\n");
    assert_eq!(served.ends(), Some(0));
    let kept = json(&["unpack", name(&image)], 0);
    assert_eq!(
        (&kept["stored"][0]["slot"], &kept["stored"][1]),
        (&12.into(), &Value::Null)
    );
    assert_eq!(
        (&kept["progress"]["slot"], &kept["progress"]["state"]),
        (&12.into(), &"Complete".into()),
        "{kept}"
    );
}

/// A UART is one line: who comes while a host is there is turned away, and served when it has gone.
#[test]
#[ignore = "needs the board: tests/board/run"]
fn a_board_has_one_host_at_a_time() {
    let (recipe, image) = (short("one-host"), place("one-host"));
    let served = serve(&recipe, &image);
    let first = std::net::TcpStream::connect(&served.address).expect("it listens");
    served.wait_for("is connected", 1);
    let second = std::net::TcpStream::connect(&served.address).expect("it listens");
    served.wait_for("was turned away", 1);
    drop((first, second));
    served.wait_for("is gone", 1);
    let (_, state) = both(&["state", &served.address], 0);
    assert_eq!(state["report"]["status"]["state"], "Idle", "{state}");
}

/// Guards: after a power cut in a cycle the operator must learn which recipe was cut off, from the board's flash.
#[test]
#[ignore = "needs the board: tests/board/run"]
fn a_cycle_that_was_cut_off_on_the_board_is_told_of() {
    let (recipe, image) = (short("cut-off"), place("cut-off"));
    let mut served = serve(&recipe, &image);
    let at = served.address.clone();
    both(&["put", &at, "2", name(&recipe)], 0);
    both(&["recall", &at, "2"], 0);
    served.type_in("parts\nstart\n");
    served.wait_for("dwell", 1);
    // The file is written when it has changed: the beginning of the step is in it a moment later.
    served.wait_for("step 2", 1);
    drop(served);
    let again = serve(&recipe, &image);
    again.wait_for("the power went in a cycle", 1);
}
