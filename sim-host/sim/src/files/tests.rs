//! The readers on whole files, and the demonstration set as what must load.

mod aliases;
mod examples;

use super::*;
use std::path::{Path, PathBuf};

fn recipes() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../recipes")
}

fn toml_files(folder: &str) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(recipes().join(folder))
        .expect(folder)
        .map(|entry| entry.expect(folder).path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    files
}

fn good<T>(result: Result<T, Vec<FileError>>) -> T {
    result.unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)))
}

/// Reads a text as a kind of file; gives code, line and column of each error.
fn errors_of(kind: FileKind, text: &str) -> Vec<(&'static str, usize, usize)> {
    let source = Source::new("t.toml".into(), text.into());
    let path = Path::new("t.toml");
    let errors = match kind {
        FileKind::Machine => read_source(source, path, kind, machine::read).errors,
        FileKind::Batch => read_source(source, path, kind, batch::read).errors,
        FileKind::Recipe => read_source(source, path, kind, recipe::read).errors,
        FileKind::Scenario => read_source(source, path, kind, scenario::read).errors,
        FileKind::Shelf => read_source(source, path, kind, shelf::read).errors,
        FileKind::Route => read_source(source, path, kind, route::read).errors,
    };
    errors.iter().map(|e| (e.code, e.line, e.column)).collect()
}

fn text_of(path: &str) -> String {
    std::fs::read_to_string(recipes().join(path)).expect(path)
}

#[test]
fn every_demo_file_loads_and_says_that_it_is_invented() {
    let mut count = 0;
    for path in toml_files("machines")
        .iter()
        .chain(&toml_files("bad/machines"))
    {
        assert_eq!(file_stem(path), good(load_machine(path)).value.id);
        count += 1;
    }
    for path in toml_files("batches")
        .iter()
        .chain(&toml_files("bad/batches"))
    {
        assert_eq!(file_stem(path), good(load_batch(path)).value.id);
        count += 1;
    }
    for path in toml_files("recipes").iter().chain(&toml_files("bad")) {
        let set = good(load_set(path, &Overrides::default()));
        assert_eq!(file_stem(path), set.recipe.value.id);
        count += 1;
    }
    for path in toml_files("scenarios") {
        assert_eq!(file_stem(&path), good(load_scenario(&path)).value.id);
        count += 1;
    }
    assert!(count >= 3 + 6 + 6 + 10 + 3, "{count}");
    for folder in [
        "machines",
        "batches",
        "recipes",
        "scenarios",
        "bad",
        "bad/machines",
        "bad/batches",
    ] {
        for path in toml_files(folder) {
            let text = std::fs::read_to_string(&path).expect("text");
            let first = text.lines().next().unwrap_or("");
            assert!(
                first.starts_with('#') && first.contains("Invented"),
                "{}",
                path.display()
            );
        }
    }
}

fn file_stem(path: &Path) -> String {
    path.file_stem()
        .expect("stem")
        .to_string_lossy()
        .into_owned()
}

#[test]
fn quantities_arrive_in_si_units() {
    let set = good(load_set(
        &recipes().join("recipes/glass-f800.toml"),
        &Overrides::default(),
    ));
    let (machine, batch, recipe) = (set.machine.value, set.batch.value, set.recipe.value);
    assert_eq!(machine.geometry.plate_outer, 0.48);
    assert_eq!(machine.actuator.relief_pressure, 420_000.0);
    assert_eq!(machine.slurry.line_volume, 5e-5);
    assert_eq!(machine.envelope.weight, 0.02);
    assert_eq!(machine.thermal.ambient, 22.0);
    assert_eq!(batch.thickness, 0.55e-3);
    assert_eq!(
        batch.outline,
        crate::model::Outline::Disc { diameter: 0.05 }
    );
    assert_eq!(recipe.steps[1].pressure, 9000.0);
    // 28 rev/min is 28·2π/60 rad/s (ISO 80000-3).
    assert!((recipe.steps[0].speeds[2] - 2.932_153_143_350_47).abs() < 1e-12);
    assert_eq!(
        recipe.steps[0].end,
        crate::model::End::Time { seconds: 60.0 }
    );
    assert_eq!(recipe.consumables.removal, Some(8e-12));
}

#[test]
fn places_are_found_by_file_path_model_path_and_table() {
    let set = good(load_set(
        &recipes().join("recipes/glass-f800.toml"),
        &Overrides::default(),
    ));
    let line_of = |loaded_line: Option<Place>, text: &str, needle: &str, nth: usize| {
        let place = loaded_line.expect(needle);
        let line = text
            .lines()
            .enumerate()
            .filter(|(_, line)| line.starts_with(needle))
            .nth(nth)
            .map(|(index, _)| index + 1);
        assert_eq!(Some(place.line), line, "{needle}");
    };
    let recipe = &set.recipe;
    line_of(
        recipe.place("steps[1].pressure"),
        &recipe.text,
        "pressure",
        1,
    );
    line_of(recipe.place("steps[1].limit"), &recipe.text, "limit", 1);
    line_of(
        recipe.place("steps[1].load_limit"),
        &recipe.text,
        "limit",
        1,
    );
    line_of(
        recipe.place("steps[0].speeds[3]"),
        &recipe.text,
        "speeds",
        0,
    );
    line_of(recipe.place("steps[1].end"), &recipe.text, "end", 1);
    line_of(recipe.place("prestart"), &recipe.text, "prestart", 0);
    line_of(
        recipe.place("steps[1].nothing"),
        &recipe.text,
        "[[steps]]",
        1,
    );
    line_of(
        set.batch.place("carrier_thickness"),
        &set.batch.text,
        "thickness",
        2,
    );
    line_of(
        set.machine.place("drives[3].torque"),
        &set.machine.text,
        "torque",
        3,
    );
    line_of(
        set.machine.place("actuator.speed_creep"),
        &set.machine.text,
        "speed-creep",
        0,
    );
    assert_eq!(recipe.place("no.such.thing"), None);
}

#[test]
fn all_errors_come_at_once_in_order() {
    let text = text_of("recipes/glass-f800.toml")
        .replace("pressure = \"6 kPa\"", "presure = \"6 kPa\"")
        .replace("pressure = \"9 kPa\"", "pressure = \"9 mm\"")
        .replace("gauge = true\n", "")
        .replace("\"8e-12 1/Pa\"", "8e-12");
    let codes: Vec<_> = errors_of(FileKind::Recipe, &text)
        .into_iter()
        .map(|(code, ..)| code)
        .collect();
    assert_eq!(
        codes,
        [
            "missing-key",
            "missing-unit",
            "unknown-key",
            "wrong-dimension"
        ]
    );
}

#[test]
fn a_grade_that_is_not_its_grain_is_an_error() {
    let good = text_of("recipes/glass-f800.toml");
    assert_eq!(errors_of(FileKind::Recipe, &good), []);
    // 7.5 µm is the edge of F800's 6.5 ± 1.0 µm (FEPA 42-2, from memory).
    let edge = good.replace("\"6.5 µm\"", "\"7.5 µm\"");
    assert_eq!(errors_of(FileKind::Recipe, &edge), []);
    let off = good.replace("\"6.5 µm\"", "\"7.6 µm\"");
    assert_eq!(errors_of(FileKind::Recipe, &off)[0].0, "grade-mismatch");
    let unknown = good.replace("\"F800\"", "\"F801\"");
    assert_eq!(errors_of(FileKind::Recipe, &unknown)[0].0, "unknown-word");
    let free = good.replace("\"F800\"", "\"fine alumina\"");
    assert_eq!(errors_of(FileKind::Recipe, &free), []);
}

#[test]
fn a_fixed_ring_needs_nothing_else() {
    let text = text_of("machines/machine-a.toml");
    let start = text.find("[drives.inner]").expect("inner");
    let end = text.find("[drives.outer]").expect("outer");
    let fixed = format!(
        "{}[drives.inner]\nfixed = true\n\n{}",
        &text[..start],
        &text[end..]
    );
    assert_eq!(errors_of(FileKind::Machine, &fixed), []);
    let both = fixed.replace("fixed = true\n", "fixed = true\ntorque = \"20 N·m\"\n");
    let found = errors_of(FileKind::Machine, &both);
    assert!(found.iter().any(|e| e.0 == "conflicting-key"), "{found:?}");
}

#[test]
fn a_machine_that_is_not_there_is_the_recipes_error() {
    let folder = std::env::temp_dir().join(format!("twinplate-set-{}", std::process::id()));
    let make = |name: &str| std::fs::create_dir_all(folder.join(name)).expect("folder");
    make("recipes");
    make("machines");
    let copy = |from: &str, to: &str| {
        std::fs::write(folder.join(to), text_of(from)).expect(to);
    };
    copy("machines/machine-b.toml", "machines/machine-b.toml");
    copy("recipes/glass-f800.toml", "recipes/glass-f800.toml");
    let recipe = folder.join("recipes/glass-f800.toml");
    let errors = load_set(&recipe, &Overrides::default()).expect_err("no machine-a");
    let found: Vec<_> = errors
        .iter()
        .map(|e| (e.code, e.nearest.as_deref()))
        .collect();
    assert_eq!(
        found,
        [("not-found", Some("machine-b")), ("not-found", None)]
    );
    // A file of the right name that carries another id is not the machine either.
    copy("machines/machine-b.toml", "machines/machine-a.toml");
    let overrides = Overrides {
        machine: None,
        batch: Some(recipes().join("batches/glass-discs.toml")),
    };
    let errors = load_set(&recipe, &overrides).expect_err("wrong id");
    assert_eq!(errors[0].code, "id-mismatch");
    std::fs::remove_dir_all(&folder).expect("removed");
}

#[test]
fn committed_schemas_are_current() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/schema");
    for kind in FileKind::ALL {
        let path = folder.join(format!("{}.json", kind.word()));
        let current = schema::text(kind);
        if std::env::var_os("UPDATE").is_some_and(|v| v == "1") {
            std::fs::create_dir_all(&folder).expect("folder");
            std::fs::write(&path, &current).expect("written");
        }
        let committed = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            committed == current,
            "{} is out of date: run this test with UPDATE=1 and commit the file",
            path.display()
        );
    }
}

#[test]
fn every_range_and_default_can_be_read() {
    fn check(notes: &table::TableNotes) {
        for key in &notes.keys {
            match &key.kind {
                table::Kind::Quantity { dimension, range } => {
                    let [low, high] =
                        range.map(|text| quantity::parse(text, *dimension).expect(text));
                    assert!(low < high, "{}", key.key);
                    if let Some(default) = key.default {
                        let value = quantity::parse(default, *dimension).expect(default);
                        assert!((low..=high).contains(&value), "{}", key.key);
                    }
                }
                table::Kind::Table(inner) => check(inner),
                table::Kind::List { item, .. } => check(item),
                _ => {}
            }
            assert!(key.meaning.ends_with(['.', '…']), "{}", key.key);
        }
    }
    for kind in FileKind::ALL {
        check(&kind.notes());
    }
}

/// FNV-1a test vectors from the algorithm's published list: "", "a", "foobar" (from memory).
#[test]
fn the_hash_is_fnv_1a() {
    assert_eq!(hash(b""), 0xcbf2_9ce4_8422_2325);
    assert_eq!(hash(b"a"), 0xaf63_dc4c_8601_ec8c);
    assert_eq!(hash(b"foobar"), 0x8594_4171_f739_67e8);
}

/// A demonstration file of each kind, as text.
fn demo_of(kind: FileKind) -> String {
    text_of(match kind {
        FileKind::Machine => "machines/machine-a.toml",
        FileKind::Batch => "batches/glass-discs.toml",
        FileKind::Recipe => "recipes/glass-f800.toml",
        FileKind::Scenario => "exercises/first-cycle.toml",
        FileKind::Shelf => "shelf/demo-shelf.toml",
        FileKind::Route => "routes/glass-lap-polish.toml",
    })
}

/// All errors of a text.
fn all_errors_of(kind: FileKind, text: &str) -> Vec<FileError> {
    let source = Source::new("t.toml".into(), text.into());
    let path = Path::new("t.toml");
    match kind {
        FileKind::Machine => read_source(source, path, kind, machine::read).errors,
        FileKind::Batch => read_source(source, path, kind, batch::read).errors,
        FileKind::Recipe => read_source(source, path, kind, recipe::read).errors,
        FileKind::Scenario => read_source(source, path, kind, scenario::read).errors,
        FileKind::Shelf => read_source(source, path, kind, shelf::read).errors,
        FileKind::Route => read_source(source, path, kind, route::read).errors,
    }
}

/// The schemas offer the same examples to an editor.
#[test]
fn every_example_of_a_schema_is_right_for_its_key() {
    fn walk(value: &serde_json::Value, notes: &table::TableNotes) -> usize {
        let mut count = 0;
        for key in &notes.keys {
            let property = &value["properties"][key.key];
            match &key.kind {
                table::Kind::Quantity { dimension, range } => {
                    let [low, high] =
                        range.map(|text| quantity::parse(text, *dimension).expect(text));
                    let example = property["examples"][0].as_str().expect("an example");
                    let value = quantity::parse(example, *dimension).expect(example);
                    assert!((low..=high).contains(&value), "{}: {example}", key.key);
                    count += 1;
                }
                table::Kind::Table(inner) => count += walk(property, inner),
                table::Kind::List { item, .. } => count += walk(&property["items"], item),
                _ => {}
            }
        }
        count
    }
    for kind in FileKind::ALL {
        let schema = serde_json::from_str(&schema::text(kind)).expect("JSON");
        // A route has names alone.
        let found = walk(&schema, &kind.notes());
        assert!(found > 1 || kind == FileKind::Route, "{}", kind.word());
    }
}

/// A key that does not go with what is there already would be the next error.
#[test]
fn only_a_key_that_may_stand_there_is_suggested() {
    let text = text_of("machines/machine-a.toml");
    let (head, rest) = text.split_once("[drives.inner]").expect("inner");
    let (_, tail) = rest.split_once("[drives.outer]").expect("outer");
    let fixed =
        format!("{head}[drives.inner]\nfixed = true\ntorqe = \"20 N·m\"\n\n[drives.outer]{tail}");
    let errors = all_errors_of(FileKind::Machine, &fixed);
    let [error] = &errors[..] else {
        panic!("{errors:?}")
    };
    assert_eq!(
        (error.code, error.nearest.as_deref()),
        ("unknown-key", None),
        "{error:?}"
    );
    assert!(!error.expected.contains("torque"), "{}", error.expected);
    let driven = fixed.replace("fixed = true\n", "torque = \"20 N·m\"\nsped = \"60 rpm\"\n");
    let near: Vec<_> = all_errors_of(FileKind::Machine, &driven)
        .into_iter()
        .filter(|error| error.code == "unknown-key")
        .map(|error| error.nearest)
        .collect();
    assert_eq!(near, [Some("speed".to_owned()), None]);
}

/// From a file that says only of which kind it is, the lines of its errors make one that lacks nothing and in which every value is
/// right for its key. What only two values together can show is left.
#[test]
fn the_lines_that_errors_offer_make_a_whole_file() {
    for kind in FileKind::ALL {
        let head = format!("format = \"{}\"\n", kind.format());
        let errors = all_errors_of(kind, &head);
        let mut tables = String::new();
        let mut text = head;
        for error in &errors {
            assert_eq!(error.code, "missing-key", "{error}");
            assert!(!error.lines.is_empty(), "{error}");
            let lines = error.lines.join("\n") + "\n";
            if error.lines[0].starts_with('[') {
                tables.push_str(&lines);
            } else {
                text.push_str(&lines);
            }
        }
        text.push_str(&tables);
        for error in all_errors_of(kind, &text) {
            let two = ["inconsistent", "grade-mismatch", "not-found"];
            assert!(two.contains(&error.code), "{error} in\n{text}");
        }
    }
}

/// In an entry of a list everything that is missing is one error, and its lines can stand in the entry.
#[test]
fn the_lines_of_a_step_can_be_put_into_it() {
    let text = text_of("recipes/glass-f800.toml");
    let (head, _) = text.split_once("[[steps]]").expect("steps");
    let bare = format!("{head}[[steps]]\nname = \"rough\"\nspeeds.inner = \"14 rpm\"\n");
    let errors = all_errors_of(FileKind::Recipe, &bare);
    let codes: Vec<_> = errors.iter().map(|error| error.code).collect();
    assert_eq!(codes, ["missing-key"; 2], "{errors:?}");
    let mut whole = bare.clone();
    for error in &errors {
        for line in &error.lines {
            let prefix = if error.message.contains("`speeds`") {
                "speeds."
            } else {
                ""
            };
            whole.push_str(&format!("{prefix}{line}\n"));
        }
    }
    assert_eq!(all_errors_of(FileKind::Recipe, &whole), [], "{whole}");
}

/// A line that was no TOML is one error: the key that stood on it is not missing as well, and the others are.
#[test]
fn a_key_on_a_lost_line_is_not_missing_too() {
    let text = text_of("recipes/glass-f800.toml")
        .replace("gauge = true", "gauge : true")
        .replace("title = ", "# title = ");
    let found: Vec<_> = all_errors_of(FileKind::Recipe, &text)
        .into_iter()
        .map(|error| (error.code, error.message))
        .collect();
    let codes: Vec<_> = found.iter().map(|(code, _)| *code).collect();
    assert_eq!(codes, ["missing-key", "syntax"], "{found:?}");
    assert!(
        found[0].1.contains("`title` is missing at the top"),
        "{found:?}"
    );
}
