//! Exercises that are made in the page, put into the folder by hand, and broken there: while the server runs.

use crate::house::{House, exercises};
use crate::root;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use twinplate_server::exercises::MARK;
use twinplate_server::form::LONGEST_TEXT;

/// A copy of what exercises need, taken away when dropped.
struct Copy(PathBuf);

impl Copy {
    fn of_the_set(name: &str) -> Self {
        let place = std::env::temp_dir().join(format!("twinplate-{name}-{}", std::process::id()));
        let copy = Self(place);
        for folder in ["exercises", "training", "machines"] {
            copy_all(&root().join("recipes").join(folder), &copy.0.join(folder));
        }
        copy
    }

    fn exercises(&self) -> PathBuf {
        self.0.join("exercises")
    }
}

fn copy_all(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("made");
    for entry in fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let to = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copy_all(&path, &to);
        } else {
            fs::copy(&path, to).expect("copied");
        }
    }
}

impl Drop for Copy {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn text_of(id: &str) -> String {
    fs::read_to_string(exercises().join(id).with_extension("toml")).expect("a file")
}

/// The exercise in which the slurry line blocks, under another identifier.
fn another(id: &str) -> String {
    text_of("slurry-line-blocks").replace("id = \"slurry-line-blocks\"", &format!("id = \"{id}\""))
}

async fn listed(house: &House) -> Vec<String> {
    let all = house.get("/api/exercises").await.json();
    let ids = all.as_array().expect("a list").iter();
    ids.map(|card| card["id"].as_str().expect("an identifier").to_owned())
        .collect()
}

async fn keep(house: &House, text: &str, replaces: Option<&str>) -> (u16, Value) {
    let body = json!({ "text": text, "replaces": replaces }).to_string();
    let answer = house.instruct("/api/exercises/keep", &body).await;
    (answer.status, answer.json())
}

#[tokio::test]
async fn what_is_put_into_the_folder_is_offered_and_what_is_broken_there_is_told() {
    let copy = Copy::of_the_set("put-in");
    let house = House::open_in(&copy.exercises()).await;
    let put = |id: &str, text: &str| {
        fs::write(copy.exercises().join(id).with_extension("toml"), text).expect("written")
    };
    assert!(!listed(&house).await.contains(&"by-hand".to_owned()));
    put("by-hand", &another("by-hand"));
    assert!(listed(&house).await.contains(&"by-hand".to_owned()));
    // A station can be opened for it, and keeps it when the file goes.
    let station = house.station("by-hand", "Ana").await;
    put("by-hand", "format = \"scenario-1\"\nid = \"by-hand\"\n");
    assert!(!listed(&house).await.contains(&"by-hand".to_owned()));
    assert_eq!(house.inside(&station).summary().exercise, "by-hand");
    let told = house.get("/api/exercises/form").await.json();
    assert_eq!(told["broken"][0]["file"], "by-hand.toml");
    assert_eq!(told["broken"][0]["errors"][0]["code"], "missing-key");
    // Two of one identifier: the second is left out.
    put("by-hand", &text_of("plain-cycle"));
    let told = house.get("/api/exercises/form").await.json();
    assert_eq!(told["broken"][0]["errors"][0]["code"], "duplicate-name");
    house.close().await;
}

#[tokio::test]
async fn an_exercise_is_kept_whole_and_offered_at_once() {
    let copy = Copy::of_the_set("kept");
    let house = House::open_in(&copy.exercises()).await;
    let (status, kept) = keep(&house, &another("line-again"), None).await;
    assert_eq!(
        (status, &kept["kept"], &kept["points"]),
        (200, &json!("line-again"), &json!(100))
    );
    assert!(listed(&house).await.contains(&"line-again".to_owned()));
    let file = fs::read_to_string(copy.exercises().join("line-again.toml")).expect("kept");
    assert_eq!(file, format!("{MARK}\n{}", another("line-again")));
    house.station("line-again", "Ana").await;

    // It begins the form anew, and is changed in its place by whoever has seen it as it is.
    let begun = house.get("/api/exercises/line-again/text").await.json();
    assert_eq!(
        (&begun["own"], &begun["values"]["training"]["pass"]),
        (&json!(true), &json!(80))
    );
    let hash = begun["hash"].as_str().expect("a hash").to_owned();
    let changed = file.replace("pass = 80", "pass = 90");
    let (status, _) = keep(&house, &changed, Some(&hash)).await;
    assert_eq!(status, 200);
    let after = fs::read_to_string(copy.exercises().join("line-again.toml")).expect("kept");
    assert_eq!(after, changed, "the mark stands there once");
    let (status, told) = keep(&house, &file, Some(&hash)).await;
    assert_eq!(
        (status, &told["code"]),
        (409, &json!("changed")),
        "by somebody else meanwhile"
    );
    let (status, told) = keep(&house, &file, None).await;
    assert_eq!((status, &told["code"]), (409, &json!("there")));
    assert_eq!(
        fs::read_to_string(copy.exercises().join("line-again.toml")).expect("kept"),
        changed
    );
    house.close().await;
}

/// Comments of a file that people wrote are nobody's to lose.
#[tokio::test]
async fn a_file_that_was_not_made_in_the_page_is_never_written_over() {
    let copy = Copy::of_the_set("not-ours");
    let house = House::open_in(&copy.exercises()).await;
    let begun = house.get("/api/exercises/plain-cycle/text").await.json();
    assert_eq!(begun["own"], false);
    let hash = begun["hash"].as_str().expect("a hash").to_owned();
    for replaces in [None, Some(hash.as_str())] {
        let (status, told) = keep(&house, &text_of("plain-cycle"), replaces).await;
        assert_eq!((status, &told["code"]), (409, &json!("there")));
    }
    // Nor is one that only its identifier gives away.
    fs::rename(
        copy.exercises().join("plain-cycle.toml"),
        copy.exercises().join("elsewhere.toml"),
    )
    .expect("renamed");
    listed(&house).await;
    let (status, told) = keep(&house, &text_of("plain-cycle"), None).await;
    assert_eq!((status, &told["code"]), (409, &json!("there")));
    assert!(!Path::new(&copy.exercises().join("plain-cycle.toml")).exists());
    house.close().await;
}

/// What stands in the file, what is put there instead, the error and a part of its sentence.
const WRONG: [[&str; 4]; 10] = [
    ["step = 2", "step = 9", "no-such-step", "has no step 9"],
    [
        "mode = \"off\"",
        "mode = \"garbage\"",
        "out-of-range",
        "slurry-line",
    ],
    [
        "mode = \"off\"",
        "mode = \"slow\"\nmagnitude = \"2 h\"",
        "out-of-range",
        "7200",
    ],
    [
        "component = \"slurry-line\"",
        "component = \"pump\"",
        "inconsistent",
        "`pump` never fails",
    ],
    [
        "failing = \"slurry-line\"",
        "failing = \"pump\"",
        "inconsistent",
        "`pump` never fails",
    ],
    [
        "row = \"flow-low\"",
        "fault = \"pump\"",
        "inconsistent",
        "`pump` never fails",
    ],
    [
        "act = \"check-slurry\"",
        "act = \"judge-parts\"",
        "inconsistent",
        "gauge room",
    ],
    [
        "act = \"check-slurry\"",
        "act = \"recall-recipe\"\nslot = 2",
        "inconsistent",
        "1 stored",
    ],
    [
        "start = true",
        "phase = \"dwell\"\nstep = 3",
        "no-such-step",
        "has no step 3",
    ],
    [
        "within = \"3 min\"",
        "within = \"3 kg\"",
        "wrong-dimension",
        "mass",
    ],
];

#[tokio::test]
async fn a_text_that_is_no_exercise_is_told_line_by_line_and_not_kept() {
    let copy = Copy::of_the_set("wrong");
    let house = House::open_in(&copy.exercises()).await;
    for [is, wrong, code, told] in WRONG {
        let text = another("wrong").replacen(is, wrong, 1);
        assert_ne!(text, another("wrong"), "{is} stands in the file");
        for path in ["check", "keep"] {
            let answer = house
                .instruct(
                    &format!("/api/exercises/{path}"),
                    &json!({ "text": text }).to_string(),
                )
                .await;
            assert_eq!(answer.status, 200, "{answer:?}");
            let judged = answer.json();
            let error = &judged["errors"][0];
            assert_eq!(error["code"], code, "{wrong}: {judged}");
            let message = error["message"].as_str().expect("a sentence");
            assert!(message.contains(told), "{wrong}: {message}");
            let line = usize::try_from(error["line"].as_u64().expect("a line")).expect("small");
            let marked = text.lines().nth(line - 1).expect("a line of the text");
            assert!(wrong.contains(marked), "{wrong}: marks {marked}");
            assert_eq!(
                (&judged["kept"], &judged["points"]),
                (&Value::Null, &Value::Null)
            );
        }
    }
    let answer = house
        .instruct(
            "/api/exercises/check",
            &json!({ "text": another("right") }).to_string(),
        )
        .await;
    assert_eq!(answer.json()["points"], 100);
    assert!(
        !listed(&house).await.contains(&"right".to_owned()),
        "a check keeps nothing"
    );
    let names = fs::read_dir(copy.exercises()).expect("a folder");
    let hidden = names.filter(|one| {
        one.as_ref()
            .expect("an entry")
            .file_name()
            .to_string_lossy()
            .starts_with('.')
    });
    assert_eq!(hidden.count(), 0);
    house.close().await;
}

/// An identifier is the name of a file: it cannot lead elsewhere; and what is too long is refused.
#[tokio::test]
async fn a_text_cannot_lead_out_of_the_folder_or_fill_it() {
    let copy = Copy::of_the_set("out-of-it");
    let house = House::open_in(&copy.exercises()).await;
    for id in ["../above", "/tmp/there", "a/b", "..", "C:x"] {
        let (status, told) = keep(&house, &another(id), None).await;
        assert_eq!(
            (status, &told["errors"][0]["code"]),
            (200, &json!("bad-identifier")),
            "{id}"
        );
    }
    let long = json!({ "text": format!("{}# {}", another("long"), "x".repeat(LONGEST_TEXT)) });
    assert_eq!(
        house
            .instruct("/api/exercises/keep", &long.to_string())
            .await
            .status,
        413
    );
    // Texts are longer than any other body.
    let padded = format!("{}# {}\n", another("padded"), "x".repeat(LONGEST_TEXT / 2));
    assert_eq!(keep(&house, &padded, None).await.0, 200);
    assert_eq!(
        house.post(&"x".repeat(LONGEST_TEXT / 2)).await.status,
        413,
        "of those alone"
    );
    house.close().await;
}

/// The demonstration set that the program brings along is in no folder.
#[tokio::test]
async fn where_there_is_no_folder_nothing_is_made_and_it_is_said_what_to_do() {
    let passing = House::open().await;
    let told = passing.get("/api/exercises/form").await.json();
    let why = told["passing"].as_str().expect("a sentence");
    assert!(why.contains("--exercises"), "{why}");
    let (status, told) = keep(&passing, &another("passing"), None).await;
    assert_eq!((status, &told["error"]), (409, &json!(why)));
    let body = json!({ "text": another("passing") }).to_string();
    assert_eq!(
        passing.instruct("/api/exercises/check", &body).await.status,
        409
    );
    assert_eq!(
        passing.get("/api/exercises/plain-cycle/text").await.status,
        409
    );
    passing.close().await;
}
