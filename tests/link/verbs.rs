//! The verb `link` against `serve`, each in its own process.

use crate::served::{Served, root, short, twinplate};
use serde_json::Value;
use std::path::Path;

struct Said {
    code: i32,
    out: String,
    err: String,
}

fn link(words: &[&str]) -> Said {
    let ran = twinplate().arg("link").args(words).output().expect("runs");
    Said {
        code: ran.status.code().unwrap_or(-1),
        out: String::from_utf8_lossy(&ran.stdout).into_owned(),
        err: String::from_utf8_lossy(&ran.stderr).into_owned(),
    }
}

/// What is said with a code, as text and as JSON.
pub fn both(words: &[&str], code: i32) -> (String, Value) {
    let text = link(words);
    assert_eq!(text.code, code, "{words:?}\n{}{}", text.out, text.err);
    for line in text.out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let json = link(&[words, &["--format", "json"]].concat());
    assert_eq!(json.code, code, "{words:?}\n{}{}", json.out, json.err);
    let value: Value = serde_json::from_str(&json.out).expect("JSON");
    assert_eq!(value["schema"], 1, "{value}");
    (text.out, value)
}

pub fn name(path: &Path) -> &str {
    path.to_str().expect("text")
}

#[test]
fn recipes_are_listed_stored_compared_recalled_and_erased() {
    let recipe = short("recipes");
    let served = Served::start(&recipe, &["--store", "recipes/recipes/steel-f400.toml"]);
    let at = served.address.as_str();
    let (text, json) = both(&["list", at], 0);
    assert!(text.contains("2 of 16 slots hold a recipe"), "{text}");
    assert_eq!(json["stored"][1]["slot"], 2);
    let (_, json) = both(&["put", at, "5", name(&recipe)], 0);
    assert_eq!(json["done"], true);
    let (text, json) = both(&["get", at, "5", "--beside", name(&recipe)], 0);
    assert!(
        text.ends_with("the file would be stored just so\n"),
        "{text}"
    );
    assert_eq!(json["different"], serde_json::json!([]));
    let (text, json) = both(&["get", at, "2", "--beside", name(&recipe)], 1);
    assert!(
        text.contains("steps.1.end.Time: stored 60000, in the file 5000"),
        "{text}"
    );
    assert_eq!(
        json["different"].as_array().map(Vec::len),
        Some(3),
        "{json}"
    );
    let (_, json) = both(&["recall", at, "5"], 0);
    assert_eq!(json["done"], true);
    // Erased once; the second time there is nothing.
    assert_eq!(link(&["erase", at, "5"]).code, 0);
    for words in [["erase", at, "5"], ["get", at, "5"], ["recall", at, "5"]] {
        let (text, json) = both(&words, 1);
        assert!(text.starts_with("refused: nothing is stored"), "{text}");
        assert_eq!(json["refused"]["number"], 106);
    }
    let (_, json) = both(&["recall", at, "17"], 1);
    assert_eq!(json["refused"]["name"], "no-such-slot");
    // For another machine: not even sent somewhere it could run.
    let other = name(&root().join("recipes/recipes/glass-f800.toml")).to_owned();
    let (_, json) = both(&["put", at, "6", &other], 1);
    assert_eq!(json["refused"]["name"], "recipe-invalid");
    let (text, json) = both(&["state", at], 0);
    assert!(text.contains("remote start not armed"), "{text}");
    assert_eq!(json["report"]["armed"], false);
}

/// A start is armed at the panel for the line that waits, followed from there, and stopped from another terminal.
#[test]
fn a_cycle_is_started_where_it_is_armed_and_stopped_from_anywhere() {
    let mut served = Served::paced(&short("stopped"), "20x", &[]);
    let at = served.address.clone();
    served.wait_for("Idle", 1);
    for words in ["start", "restart", "reset"] {
        let (_, json) = both(&[words, &at], 1);
        assert_eq!(json["refused"]["name"], "not-armed", "{words}");
    }
    assert_eq!(link(&["recall", &at, "1"]).code, 0);
    // Armed while nobody is there it is for nobody.
    served.type_in("parts\narm\n");
    // The hands confirm the parts first: it is armed once the controller misses the host.
    served.wait_for("condition: link-lost", 1);
    assert_eq!(link(&["start", &at]).code, 1);
    served.type_in("disarm\n");
    let before = served.log().matches("is connected").count();
    let host = at.clone();
    let started = std::thread::spawn(move || link(&["start", &host, "--wait", "60", "--watch"]));
    served.wait_for("is connected", before + 1);
    // Whoever connects has said hello long before this.
    std::thread::sleep(std::time::Duration::from_millis(500));
    served.type_in("arm\n");
    served.wait_for("Running, dwell", 1);
    assert_eq!(link(&["stop", &at]).code, 0);
    let started = started.join().expect("ends");
    assert_eq!(started.code, 1, "{}{}", started.out, started.err);
    assert!(started.out.contains("Running, dwell"), "{}", started.out);
    assert!(
        started.out.contains("a command came over the link: Stop"),
        "{}",
        started.out
    );
    served.wait_for("Stopped, rest", 1);
    // With the line that was armed the arming went.
    let (_, json) = both(&["reset", &at], 1);
    assert_eq!(json["refused"]["name"], "not-armed");
    assert_eq!(link(&["acknowledge", &at]).code, 0);
    let watched = link(&["watch", &at, "--for", "0.2"]);
    assert_eq!(watched.code, 0);
    assert!(watched.out.contains("Stopped, rest"), "{}", watched.out);
}

/// A machine without remote start has no way to arm it.
#[test]
fn where_remote_start_is_not_fitted_the_panel_cannot_arm_it() {
    let recipe = root().join("recipes/recipes/glass-f800.toml");
    let mut served = Served::start(&recipe, &[]);
    served.type_in("arm\n");
    served.wait_for("no remote start is fitted", 1);
    let started = link(&["start", &served.address, "--wait", "0.3"]);
    assert_eq!(started.code, 1, "{}{}", started.out, started.err);
}

#[test]
fn where_nobody_listens_and_where_somebody_does_the_message_says_what_to_do() {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = listener.local_addr().expect("bound").port();
    let taken = twinplate()
        .args(["serve", "recipes/recipes/steel-f400.toml", "--port"])
        .arg(port.to_string())
        .output()
        .expect("runs");
    assert_eq!(taken.status.code(), Some(2));
    let text = String::from_utf8_lossy(&taken.stderr).into_owned();
    assert!(text.contains("another program listens there"), "{text}");
    drop(listener);
    let nobody = link(&["list", &format!("127.0.0.1:{port}"), "--format", "json"]);
    assert_eq!(nobody.code, 2);
    let told: Value = serde_json::from_str(&nobody.out).expect("JSON");
    let message = told["errors"][0]["message"].as_str().expect("text");
    assert!(message.contains("the line failed"), "{message}");
    assert_eq!(link(&["list", "nowhere"]).code, 2);
    let other = twinplate()
        .args(["serve", "recipes/recipes/steel-f400.toml", "--port", "0"])
        .args(["--store", "recipes/recipes/glass-f800.toml"])
        .output()
        .expect("runs");
    assert_eq!(other.status.code(), Some(2));
    let text = String::from_utf8_lossy(&other.stderr).into_owned();
    assert!(text.contains("is for another machine"), "{text}");
}
