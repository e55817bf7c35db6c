//! What a person is told about a file that is not right: everything at once, in words of our own, with a line that can be
//! pasted; and the same in the format that was asked for.

use crate::{Ran, json, root, scratch, text, twinplate};
use serde_json::Value;
use std::path::PathBuf;

const GOOD: &str = "recipes/recipes/glass-f800.toml";
const MACHINE: &str = "recipes/machines/machine-a.toml";
const BATCH: &str = "recipes/batches/glass-discs.toml";

fn demo(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).expect(path)
}

/// A recipe with its machine and batch in a folder of their own, each changed; gives the recipe's path.
fn job(name: &str, change: impl Fn(&str, String) -> String) -> PathBuf {
    let folder = scratch(name);
    for path in [GOOD, MACHINE, BATCH] {
        let to = folder.join(path.strip_prefix("recipes/").expect("in recipes"));
        std::fs::create_dir_all(to.parent().expect("parent")).expect("folder");
        std::fs::write(to, change(path, demo(path))).expect("written");
    }
    folder.join("recipes/glass-f800.toml")
}

/// Text without the lines that begin with any of these.
fn without(text: &str, starts: &[&str]) -> String {
    text.lines()
        .filter(|line| !starts.iter().any(|start| line.starts_with(start)))
        .map(|line| format!("{line}\n"))
        .collect()
}

fn count(ran: &Ran, mark: &str) -> usize {
    ran.err.matches(mark).count()
}

/// One message for each table that lacks something, and the files of a job together, not one after the other.
#[test]
fn what_is_missing_is_told_once_a_table_for_all_files_together() {
    let recipe = job("file-errors-missing", |path, text| match path {
        GOOD => without(&text, &["prestart", "gauge", "title"]),
        MACHINE => without(&text, &["bore", "rod", "mass"]),
        _ => without(&text, &["tolerance", "finish"]),
    });
    let ran = twinplate(&["check", text(&recipe), "--no-report"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert_eq!(count(&ran, "error[missing-key]"), 4, "{}", ran.err);
    assert_eq!(count(&ran, "error["), 4, "{}", ran.err);
    for key in [
        "title",
        "gauge",
        "prestart",
        "prestart-flow",
        "mass",
        "bore",
        "rod",
        "tolerance",
        "finish",
    ] {
        let line = format!("{key} = ");
        assert!(ran.err.contains(&line), "no line for {key}:\n{}", ran.err);
    }
}

/// A message never ends where a list should follow.
#[test]
fn a_drive_with_one_key_is_told_in_whole_sentences() {
    let recipe = job("file-errors-drive", |path, text| {
        if path != MACHINE {
            return text;
        }
        let (head, rest) = text.split_once("[drives.outer]").expect("outer");
        let (_, tail) = rest.split_once("[drives.lower]").expect("lower");
        format!("{head}[drives.outer]\nspeed = \"60 rpm\"\n\n[drives.lower]{tail}")
    });
    let ran = twinplate(&["check", text(&recipe), "--no-report"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert_eq!(count(&ran, "error["), 1, "{}", ran.err);
    // Inertia and drag may be left out: they are assumed.
    assert!(ran.err.contains("torque = \""), "{}", ran.err);
    assert!(!ran.err.contains("inertia = \""), "{}", ran.err);
    for line in ran.err.lines() {
        let end = line.trim_end();
        assert!(
            !end.ends_with("one of") && !end.ends_with("beside"),
            "{line}"
        );
    }
}

/// The slips that people make, each told with its place, what was expected and the cure; no parser's words.
#[test]
fn slips_of_the_pen_have_words_of_their_own() {
    let cases: &[(&str, &str, &[&str])] = &[
        (
            "gauge = true",
            "gauge = True",
            &["9:9", "`True`", "gauge = true"],
        ),
        (
            "gauge = true",
            "gauge = yes",
            &["9:9", "`yes`", "gauge = true"],
        ),
        (
            "process = \"loose-abrasive\"",
            "process = loose-abrasive",
            &["8:11", "not in quotes", "process = \"loose-abrasive\""],
        ),
        (
            "grade = \"F800\"",
            "grade = F800",
            &["13:9", "not in quotes", "grade = \"F800\""],
        ),
        (
            "prestart = \"25 s\"",
            "prestart = 25 s",
            &["not in quotes", "prestart = \"25 s\""],
        ),
        (
            "machine = \"machine-a\"",
            "machine = “machine-a”",
            &["6:11", "curly quotes", "machine = \"machine-a\""],
        ),
        (
            "friction = 0.1",
            "friction = 0,1",
            &["decimal comma", "friction = 0.1"],
        ),
        (
            "friction = 0.1",
            "friction = \"0,1\"",
            &["decimal comma", "\"0.1\""],
        ),
        (
            "prestart-flow = \"0.3 L/min\"",
            "prestart-flow = 0,3 L/min",
            &["decimal comma", "prestart-flow = \"0.3 L/min\""],
        ),
        (
            "prestart-flow = \"0.3 L/min\"",
            "prestart-flow = \"0,3 L/min\"",
            &["decimal comma", "\"0.3 L/min\""],
        ),
        (
            "end = { time = \"60 s\" }",
            "end = { time = “60 s” }",
            &["curly quotes", "\"60 s\""],
        ),
        (
            "friction = 0.1",
            "friction = 1e999",
            &["not-finite", "friction"],
        ),
    ];
    for (from, to, wanted) in cases {
        let recipe = job("file-errors-slips", |path, text| {
            if path == GOOD {
                assert!(text.contains(from), "{from}");
                text.replacen(from, to, 1)
            } else {
                text
            }
        });
        let ran = twinplate(&["check", text(&recipe), "--no-report"]);
        assert_eq!(ran.code, 2, "{to}: {}", ran.err);
        assert_eq!(count(&ran, "error["), 1, "{to}: {}", ran.err);
        for word in *wanted {
            assert!(
                ran.complaint().contains(word),
                "{to}: no {word} in\n{}",
                ran.err
            );
        }
        assert!(!ran.err.contains("not valid TOML"), "{to}: {}", ran.err);
    }
}

/// A whole number that no computer holds is out of its key's range, as one is that is only a little too large.
#[test]
fn a_whole_number_past_the_largest_is_out_of_its_range() {
    for number in [
        "99999999999999999999",
        "-99_999_999_999_999_999_999",
        "0xFFFFFFFFFFFFFFFFFFFF",
        "0b1111111111111111111111111111111111111111111111111111111111111111111",
    ] {
        let recipe = job("file-errors-integer", |path, text| {
            if path == MACHINE {
                text.replacen("carriers = 5", &format!("carriers = {number}"), 1)
            } else {
                text
            }
        });
        let ran = twinplate(&["check", text(&recipe), "--no-report"]);
        assert_eq!(ran.code, 2, "{number}: {}", ran.err);
        assert_eq!(count(&ran, "error["), 1, "{number}: {}", ran.err);
        for word in [
            "error[out-of-range]",
            "machine-a.toml:16:12",
            "from 1 to 60",
        ] {
            assert!(
                ran.err.contains(word),
                "{number}: no {word} in\n{}",
                ran.err
            );
        }
    }
}

/// Numbers on the command line, too: the option, what was expected, an example.
#[test]
fn numbers_on_the_command_line_have_words_of_their_own() {
    let cases: &[(&[&str], &str, &str)] = &[
        (
            &["check", GOOD, "--runs", "2.5"],
            "--runs",
            "a whole number from 0 to 1000000",
        ),
        (
            &["check", GOOD, "--runs", "99999999999999999999"],
            "--runs",
            "a whole number from 0 to 1000000",
        ),
        (
            &["check", GOOD, "--runs=-1"],
            "--runs",
            "a whole number from 0 to 1000000",
        ),
        (
            &["check", GOOD, "--runs", "1,000"],
            "--runs",
            "a whole number from 0 to 1000000",
        ),
        (
            &["check", GOOD, "--threads", "two"],
            "--threads",
            "a whole number from 1 to 1024",
        ),
        (
            &["check", GOOD, "--seek", "0"],
            "--seek",
            "a whole number from 1 to 86400",
        ),
        (
            &["check", GOOD, "--seek", "9", "--draws", "x"],
            "--draws",
            "a whole number from 0 to 1000000",
        ),
        (
            &["run", GOOD, "--draw", "1.0"],
            "--draw",
            "a whole number from 0",
        ),
        (
            &["tune", MACHINE, "--runs", "2.5"],
            "--runs",
            "a whole number from 0 to 1000000",
        ),
        (
            &["tune", "--from", "x.csv", "--before", "two"],
            "--before",
            "a number",
        ),
        (
            &["train", "--port", "70000"],
            "--port",
            "a whole number from 0 to 65535",
        ),
        (
            &["train", "--address", "here"],
            "--address",
            "an IP address",
        ),
    ];
    for (call, option, expected) in cases {
        let ran = twinplate(call);
        assert_eq!(ran.code, 2, "{call:?}: {}", ran.err);
        assert_eq!(ran.out, "", "{call:?}");
        for word in [*option, *expected, "such as"] {
            assert!(
                ran.complaint().contains(word),
                "{call:?}: no {word} in\n{}",
                ran.err
            );
        }
        assert!(!ran.err.contains("invalid digit"), "{call:?}: {}", ran.err);
    }
}

/// The manual says that a recipe's identifier is its file's name: reports and records go by the identifier, and a copy that
/// kept it would write over the original's.
#[test]
fn a_recipe_and_a_scenario_are_named_as_their_files() {
    let recipe = job("file-errors-id", |_, text| text);
    let copy = recipe.with_file_name("glass-mine.toml");
    std::fs::copy(&recipe, &copy).expect("copied");
    let ran = twinplate(&["check", text(&copy), "--no-report", "--runs=0"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    for word in [
        "error[id-mismatch]",
        "glass-mine.toml:4:6",
        "id = \"glass-mine\"",
        "glass-f800.toml",
    ] {
        assert!(ran.complaint().contains(word), "no {word} in\n{}", ran.err);
    }
    let scenario = recipe.with_file_name("other.toml");
    std::fs::copy(
        root().join("recipes/scenarios/emergency-stop.toml"),
        &scenario,
    )
    .expect("copied");
    let ran = twinplate(&["run", text(&recipe), "--scenario", text(&scenario)]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.contains("error[id-mismatch]"), "{}", ran.err);
}

#[test]
fn a_near_miss_of_a_file_name_is_told() {
    let near = |call: &[&str], wanted: &str| {
        let ran = twinplate(call);
        assert_eq!(ran.code, 2, "{call:?}");
        let said = ran.complaint();
        assert!(
            said.contains("did you mean") && said.contains(wanted),
            "{call:?}: no {wanted} in\n{}",
            ran.err
        );
    };
    for path in [
        "recipes/recipes/glas-f800.toml",
        "recipes/recipes/glass-f800",
        "recipes/recipe/glass-f800.toml",
        "recipe/recipes/glass_f800.toml",
    ] {
        near(&["check", path], GOOD);
        near(&["run", path], GOOD);
    }
    near(
        &["check", GOOD, "--machine", "recipes/machines/machinea.toml"],
        MACHINE,
    );
    near(
        &[
            "run",
            GOOD,
            "--scenario",
            "recipes/scenarios/emergency-stopp.toml",
        ],
        "recipes/scenarios/emergency-stop.toml",
    );
    near(
        &["tune", "--from", "recipes/logs/claen.csv"],
        "recipes/logs/clean.csv",
    );
    near(
        &[
            "train",
            "--headless",
            "recipes/exercises/scripts/first-cycl.txt",
        ],
        "recipes/exercises/scripts/first-cycle.txt",
    );
    // A stranger is nobody's near miss.
    let ran = twinplate(&["check", "recipes/recipes/quartz-balls.toml"]);
    assert!(!ran.err.contains("did you mean"), "{}", ran.err);
}

/// Every call that cannot do its work answers in the format that was asked for, with the same exit code as in text.
fn failing_calls(recipe: &str) -> Vec<Vec<String>> {
    let calls: &[&[&str]] = &[
        &["check", recipe],
        &["check", recipe, "--faults"],
        &["check", recipe, "--seek=1"],
        &["run", recipe],
        &["check", "no-such-file.toml"],
        &["check", GOOD, "--report", "no-such-folder/x.html"],
        &["check", GOOD, "--waive", "no-such-code", "--reason", "x"],
        &["check", GOOD, "--runs", "2.5"],
        &["run", GOOD, "--replay", "no-such-journal"],
        &["tune", "no-such-file.toml"],
        &["tune", "--from", "no-such-log.csv"],
        &["train", "--headless", "no-such-script.txt"],
        &["explain", "no-such-code-at-all"],
    ];
    calls
        .iter()
        .map(|call| call.iter().map(|&word| word.to_owned()).collect())
        .collect()
}

fn broken() -> PathBuf {
    job("file-errors-formats", |path, text| match path {
        GOOD => text
            .replacen("\"9 kPa\"", "\"9 kpa\"", 1)
            .replacen("gauge = true\n", "", 1),
        MACHINE => text.replacen("\"58 kg\"", "\"58 <&\\\">\"", 1),
        _ => text,
    })
}

#[test]
fn errors_are_json_where_json_was_asked_for() {
    let recipe = broken();
    for call in failing_calls(text(&recipe)) {
        let plain = twinplate(&call.iter().map(String::as_str).collect::<Vec<_>>());
        for format in [&["--format=json"][..], &["--format", "json"]] {
            let mut call: Vec<&str> = call.iter().map(String::as_str).collect();
            call.extend(format);
            let (code, said) = json(&call);
            assert_eq!((code, plain.code), (2, 2), "{call:?}");
            assert_eq!(said["schema"], 1, "{call:?}");
            let errors = said["errors"].as_array().expect("errors");
            assert!(!errors.is_empty(), "{call:?}");
            for error in errors {
                for key in ["message", "remedy"] {
                    let text = error[key].as_str().unwrap_or("");
                    assert!(text.len() > 4, "{call:?}: {key} is `{text}`");
                }
                for key in ["code", "file", "line", "column", "nearest"] {
                    assert!(error.get(key).is_some(), "{call:?}: no {key}");
                }
            }
        }
    }
    let (_, said) = json(&["check", text(&recipe), "--format=json"]);
    let errors = said["errors"].as_array().expect("errors");
    let of = |code: &str| -> &Value {
        errors
            .iter()
            .find(|error| error["code"] == code)
            .expect(code)
    };
    assert_eq!(errors.len(), 3, "{said:#}");
    assert!(
        of("missing-key")["remedy"]
            .as_str()
            .is_some_and(|cure| cure.contains("gauge = true"))
    );
    assert!(errors.iter().any(|error| {
        error["nearest"] == "kPa" && error["line"].is_u64() && error["file"] == text(&recipe)
    }));
}

#[test]
fn errors_are_junit_where_junit_was_asked_for() {
    let recipe = broken();
    for call in failing_calls(text(&recipe)) {
        if call[0] != "check" {
            continue;
        }
        let mut call: Vec<&str> = call.iter().map(String::as_str).collect();
        call.push("--format=junit");
        let ran = twinplate(&call);
        assert_eq!(ran.code, 2, "{call:?}");
        let document = roxmltree::Document::parse(&ran.out)
            .unwrap_or_else(|error| panic!("{call:?}: {error}\n{}", ran.out));
        let errors: Vec<_> = document
            .descendants()
            .filter(|node| node.has_tag_name("error"))
            .collect();
        assert!(!errors.is_empty(), "{call:?}: {}", ran.out);
        for error in &errors {
            let told = error.text().unwrap_or("");
            assert!(
                error.attribute("message").is_some_and(|m| m.len() > 4),
                "{}",
                ran.out
            );
            assert!(told.contains("remedy: "), "{}", ran.out);
        }
        let suites = document.root_element();
        assert_eq!(
            suites.attribute("errors").and_then(|n| n.parse().ok()),
            Some(errors.len()),
            "{}",
            ran.out
        );
    }
}

/// Nothing but the errors' format changes: in text, stdout stays empty and stderr has them.
#[test]
fn in_text_errors_stay_on_stderr() {
    let recipe = broken();
    let ran = twinplate(&["check", text(&recipe), "--no-report"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert_eq!(count(&ran, "error["), 3, "{}", ran.err);
}
