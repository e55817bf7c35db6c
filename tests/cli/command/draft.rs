//! `draft` from outside: what it answers, what it writes, what it refuses, and that nothing passes for a recipe that is none.

use crate::{Ran, json, names, root, scratch, text, twinplate};
use std::path::Path;

const MACHINE: &str = "recipes/machines/machine-a.toml";
const BATCH: &str = "recipes/batches/glass-discs.toml";
const SHELF: &str = "recipes/shelf/demo-shelf.toml";

fn last(ran: &Ran) -> &str {
    ran.out.lines().last().unwrap_or_default()
}

/// A demonstration batch with lines of its own, each of which replaces one.
fn batch(folder: &Path, from: &str, id: &str, lines: &[(&str, &str)]) -> String {
    let path = root().join(format!("recipes/batches/{from}.toml"));
    let mut text = std::fs::read_to_string(path).expect("read");
    let ids = [format!("id = \"{from}\""), format!("id = \"{id}\"")];
    for (old, new) in lines.iter().chain(&[(&*ids[0], &*ids[1])]) {
        assert_eq!(text.matches(old).count(), 1, "{old}");
        text = text.replace(old, new);
    }
    let path = folder.join(format!("{id}.toml"));
    std::fs::write(&path, text).expect("written");
    path.display().to_string()
}

/// The rule: what `--write` leaves passes `check` as it stands.
#[test]
fn a_draft_is_written_whole_and_passes_check_by_itself() {
    let folder = scratch("draft-write");
    let (recipe, page) = (folder.join("discs.toml"), folder.join("page.html"));
    let ran = twinplate(&[
        "draft",
        MACHINE,
        BATCH,
        "--shelf",
        SHELF,
        "--goal",
        "fastest",
        "--longest",
        "5 min",
        "--runs",
        "10",
        "--no-compare",
        "-o",
        text(&recipe),
        "--report",
        text(&page),
    ]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert_eq!(last(&ran), "verdict: pass, 1 recipe");
    assert_eq!(names(&folder), ["discs.toml", "page.html"]);
    let written = std::fs::read_to_string(&recipe).expect("read");
    // A reason stands over each number of the steps.
    let steps = written.split_once("[[steps]]").expect("steps").1;
    let lines: Vec<&str> = steps.lines().collect();
    for key in [
        "pressure", "limit", "ramp", "speeds", "flow", "end", "longest",
    ] {
        let at = lines
            .iter()
            .position(|line| line.starts_with(&format!("{key} = ")))
            .unwrap_or_else(|| panic!("{key}"));
        assert!(lines[at - 1].starts_with("# "), "{key}: {}", lines[at - 1]);
    }
    let html = std::fs::read_to_string(&page).expect("page");
    assert!(html.contains("each number and its reason") && html.contains("Caution:"));
    assert!(!html.contains("<script") && !html.contains("http"));
    let checked = twinplate(&[
        "check",
        text(&recipe),
        "--machine",
        MACHINE,
        "--batch",
        BATCH,
        "--runs",
        "10",
        "--no-report",
    ]);
    assert_eq!(checked.code, 0, "{}", checked.out);
    assert_eq!(last(&checked), "verdict: pass");
}

/// Each recipe of a row, with its batch, by itself.
fn each_passes_alone(folder: &Path, machine: &str, between: &[String]) {
    for (number, between) in between.iter().enumerate() {
        let recipe = folder.join(format!("clear-{}.toml", number + 1));
        let batch = folder.join("batches").join(between);
        let checked = twinplate(&[
            "check",
            text(&recipe),
            "--machine",
            machine,
            "--batch",
            text(&batch),
            "--runs",
            "10",
            "--no-report",
        ]);
        assert_eq!(checked.code, 0, "{}", checked.out);
    }
}

/// Faces too rough for the polish to settle on: a lapping goes before it, and each file passes by itself, in order.
#[test]
fn where_one_abrasive_cannot_a_row_is_written_with_the_batches_between() {
    let folder = scratch("draft-row");
    let machine = "recipes/machines/machine-c.toml";
    let asked = batch(
        &folder,
        "glass-rings",
        "clear-rings",
        &[
            ("thickness = \"1.3 mm\"", "thickness = \"1.315 mm\""),
            ("roughness = \"0.2 µm\"", "roughness = \"0.45 µm\""),
            ("damage = \"0.4 µm\"", "damage = \"4 µm\""),
        ],
    );
    let recipe = folder.join("clear.toml");
    let ran = twinplate(&[
        "draft",
        machine,
        &asked,
        "--shelf",
        SHELF,
        "--runs",
        "10",
        "--no-compare",
        "--no-report",
        "--write",
        text(&recipe),
    ]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert_eq!(last(&ran), "verdict: pass, 2 recipes");
    assert_eq!(
        names(&folder),
        [
            "batches",
            "clear-1.toml",
            "clear-2.toml",
            "clear-rings.toml",
            "clear.toml"
        ]
    );
    // The name that was given is the route through them: what each leaves is what the next takes, run by run.
    let route = twinplate(&[
        "check",
        text(&recipe),
        "--machine",
        machine,
        "--runs",
        "10",
        "--no-report",
    ]);
    assert_eq!(route.code, 0, "{}{}", route.out, route.err);
    let between: Vec<String> = names(&folder.join("batches"));
    assert_eq!(between, ["clear-1-in.toml", "clear-2-in.toml"]);
    each_passes_alone(&folder, machine, &between);
    // What the first leaves is what the second takes, and the second is to leave what was asked for.
    let read =
        |name: &str| std::fs::read_to_string(folder.join("batches").join(name)).expect("read");
    let line = |text: &str, part: &str, key: &str| {
        let (_, rest) = text.split_once(part).expect("table");
        let found = rest.lines().find(|line| line.starts_with(key));
        found.expect("key").to_owned()
    };
    let (first, second) = (read(&between[0]), read(&between[1]));
    assert_eq!(
        line(&first, "[target]", "thickness"),
        line(&second, "[part]", "thickness")
    );
    assert_eq!(
        line(&second, "[target]", "thickness"),
        "thickness = \"1.2964 mm\""
    );
    assert_eq!(line(&second, "[target]", "finish"), "finish = \"0.02 µm\"");
}

/// The rule: where nothing passes, exit code 1, the limit by its name, and no file.
#[test]
fn where_nothing_passes_the_limit_is_named_and_nothing_is_written() {
    let folder = scratch("draft-bound");
    let recipe = folder.join("discs.toml");
    let call = [
        "draft",
        MACHINE,
        BATCH,
        "--shelf",
        SHELF,
        "--longest",
        "1 min",
        "--no-report",
        "--no-compare",
        "--runs",
        "10",
    ];
    let mut with = call.to_vec();
    with.extend(["--write", text(&recipe)]);
    let ran = twinplate(&with);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(
        last(&ran).starts_with("verdict: no recipe: longest-cycle"),
        "{}",
        ran.out
    );
    assert!(names(&folder).is_empty());
    let mut with = call.to_vec();
    with.extend(["--format", "json"]);
    let (code, found) = json(&with);
    assert_eq!((code, &found["schema"]), (1, &1.into()));
    assert_eq!(found["verdict"], "none");
    assert_eq!(found["bound"]["limits"][0], "longest-cycle");
}

#[test]
fn what_cannot_be_meant_is_refused_before_any_work() {
    let folder = scratch("draft-refused");
    for (arguments, what) in [
        (vec!["--longest", "30"], "with its unit"),
        (vec!["--goal", "best"], "best"),
        (vec!["--write", "Big Discs.toml"], "the recipe's id"),
        (
            vec!["--write", BATCH, "--no-report"],
            "would overwrite the input",
        ),
        (vec!["--shelf", BATCH], "a batch file"),
    ] {
        let mut call = vec!["draft", MACHINE, BATCH, "--no-report"];
        if arguments.contains(&"--no-report") {
            call.pop();
        }
        call.extend(&arguments);
        let ran = twinplate(&call);
        assert_eq!(ran.code, 2, "{arguments:?}: {}{}", ran.out, ran.err);
        assert!(ran.complaint().contains(what), "{arguments:?}: {}", ran.err);
    }
    assert!(names(&folder).is_empty());
}
