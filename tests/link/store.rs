//! `pack`, `unpack` and `serve --image`: recipes go into the image of a store with what was said of them, and come out of it.

use crate::served::{Served, short, twinplate};
use serde_json::Value;
use std::path::{Path, PathBuf};

const GOOD: &str = "recipes/recipes/glass-f800.toml";
const OTHER: &str = "recipes/recipes/alumina-diamond.toml";
const BAD: &str = "recipes/bad/damage-left.toml";

fn ran(words: &[&str]) -> (i32, String, String) {
    let ran = twinplate().args(words).output().expect("runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (
        ran.status.code().unwrap_or(-1),
        text(&ran.stdout),
        text(&ran.stderr),
    )
}

/// What is said as JSON, with this code.
pub fn json(words: &[&str], code: i32) -> Value {
    let (found, out, err) = ran(&[words, &["--format", "json"]].concat());
    assert_eq!(found, code, "{words:?}\n{out}{err}");
    let value: Value = serde_json::from_str(&out).expect("JSON");
    assert_eq!(value["schema"], 1, "{value}");
    value
}

/// A place for an image, with nothing there.
pub fn place(name: &str) -> PathBuf {
    let name = format!("twinplate-store-{name}-{}", std::process::id());
    let path = std::env::temp_dir().join(name);
    let _ = std::fs::remove_file(&path);
    path
}

fn name(path: &Path) -> &str {
    path.to_str().expect("text")
}

#[test]
fn packed_recipes_come_out_as_they_went_in_with_what_was_said_of_them() {
    let image = place("packed");
    let image = name(&image);
    let packed = json(&["pack", GOOD, OTHER, "--output", image, "--runs", "4"], 0);
    assert_eq!(packed["packed"], true);
    let found = json(&["unpack", image], 0);
    assert_eq!(found["stored"], packed["stored"]);
    assert_eq!(found["stored"][0]["name"], "glass-f800");
    assert_eq!(found["stored"][0]["verdict"], "pass");
    assert_eq!(found["stored"][1]["slot"], 2);
    assert_eq!(found["stored"][0]["program"], env!("CARGO_PKG_VERSION"));
    assert_eq!(
        (&found["whole"], &found["progress"]),
        (&true.into(), &Value::Null)
    );
    let same = json(&["unpack", image, "--slot", "2", "--beside", OTHER], 0);
    assert_eq!(same["different"], serde_json::json!([]));
    let apart = json(&["unpack", image, "--slot", "2", "--beside", GOOD], 1);
    let places = apart["different"].as_array().expect("a list");
    assert!(places.iter().any(|one| one["at"] == "name"), "{apart}");
    // For people too, and in 80 columns.
    for words in [&["unpack", image][..], &["unpack", image, "--slot", "1"]] {
        let (code, out, _) = ran(words);
        assert_eq!(code, 0, "{out}");
        assert!(
            out.contains("glass-f800") && out.contains("checked: passes"),
            "{out}"
        );
        assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
    }
}

/// Guards: a recipe that fails its check must not come to the machine unseen.
#[test]
fn what_fails_its_check_is_not_packed_or_the_image_says_so() {
    let image = place("forced");
    let image = name(&image);
    let words = ["pack", GOOD, BAD, "--output", image, "--runs", "0"];
    let refused = json(&words, 1);
    assert_eq!(
        (&refused["packed"], &refused["image"]),
        (&false.into(), &Value::Null)
    );
    assert_eq!(refused["stored"][1]["verdict"], "fail");
    assert!(!Path::new(image).exists(), "nothing is written");
    let forced = json(&[&words[..], &["--force"]].concat(), 0);
    assert_eq!(forced["stored"][1]["verdict"], "forced");
    let found = json(&["unpack", image], 0);
    let verdicts = [0, 1].map(|slot: usize| found["stored"][slot]["verdict"].clone());
    assert_eq!(verdicts, ["pass", "forced"]);
}

#[test]
fn a_damaged_image_says_so_and_what_is_none_is_refused() {
    let image = place("damaged");
    let path = name(&image);
    json(&["pack", GOOD, "--output", path, "--runs", "0"], 0);
    let mut bytes = std::fs::read(&image).expect("written");
    // In the name of the recipe, so that nothing but the checksum tells.
    let at = bytes
        .windows(5)
        .position(|five| five == b"glass")
        .expect("the name stands there");
    bytes[at] = b'b';
    std::fs::write(&image, &bytes).expect("written");
    let found = json(&["unpack", path], 1);
    assert_eq!(found["whole"], false);
    assert_eq!(found["stored"][0]["error"], "record-damaged");
    for (words, why) in [
        (vec!["unpack", "README.md"], "too small for the store"),
        (vec!["unpack", path, "--slot", "1"], "damaged"),
        (
            vec!["unpack", path, "--slot", "3"],
            "nothing is stored there",
        ),
        (vec!["unpack", "no/such.store"], "cannot read no/such.store"),
        (
            vec!["pack", GOOD, "recipes/recipes/steel-f400.toml", "-o", path],
            "for another machine",
        ),
        (
            vec!["pack", GOOD, "--output", GOOD],
            "would overwrite the input",
        ),
    ] {
        let (code, _, err) = ran(&words);
        let err = err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(code == 2 && err.contains(why), "{words:?}: {err}");
    }
}

/// A store that outlives the process: what is put stays, and a cycle that is cut off with the power is told, with its step.
#[test]
fn an_image_keeps_what_is_put_and_how_far_a_cycle_got() {
    let image = place("served");
    let path = name(&image);
    let recipe = short("image");
    let mut served = Served::paced(&recipe, "5x", &["--image", path]);
    let at = served.address.clone();
    let link = |words: &[&str]| json(&[&["link"][..], words].concat(), 0);
    assert_eq!(link(&["list", &at])["stored"], serde_json::json!([]));
    link(&["put", &at, "10", name(&recipe)]);
    link(&["recall", &at, "10"]);
    served.wait_for("Idle", 1);
    served.type_in("parts\n");
    served.wait_for("parts", 1);
    // The hands need their time (a fifth of a second of the machine).
    std::thread::sleep(std::time::Duration::from_millis(500));
    served.type_in("start\n");
    served.wait_for("Running, dwell", 1);
    drop(served);

    let found = json(&["unpack", path], 0);
    assert_eq!(found["stored"][0]["slot"], 10);
    assert_eq!(found["stored"][0]["verdict"], "unchecked");
    assert_eq!(found["progress"]["slot"], 10);
    let again = Served::start(&recipe, &["--image", path]);
    again.wait_for("the power went in a cycle: Running", 1);
}
