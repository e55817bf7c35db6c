//! What was typed in a unit is answered in it, and nothing else changes: an inch-pound set and the same set in SI, cures that are typed as
//! they stand, flatness in light bands.

use super::{json, root, scratch, text, twinplate};
use std::path::{Path, PathBuf};
use twinplate_sim::files::quantity::{UNITS, find, parse_any};

/// The set that is typed in inches and pounds.
const INCH: &str = "recipes/variants/glass-inch.toml";

/// Units that nobody typed there.
const NOT_TYPED: [&str; 15] = [
    "N", "kPa", "Pa", "µm", "mm", "m/s", "mm/s", "L/min", "L", "bar", "kg", "N·m", "°C", "µm/min",
    "N/s",
];

/// Words of a text or page, its tags and style left out.
pub(super) fn words(page: &str) -> Vec<String> {
    let mut text = String::new();
    let mut tag = false;
    let page = match (page.find("<style>"), page.find("</style>")) {
        (Some(from), Some(to)) => [&page[..from], &page[to..]].concat(),
        _ => page.to_owned(),
    };
    for c in page.chars() {
        match c {
            '<' => tag = true,
            '>' => {
                tag = false;
                text.push(' ');
            }
            _ if tag => {}
            c => text.push(c),
        }
    }
    let apart = |c: char| c.is_whitespace() || [',', ';', '(', ')', ':'].contains(&c);
    text.split(apart).map(str::to_owned).collect()
}

fn none_but_typed(what: &str, text: &str) {
    none_of(what, text, &NOT_TYPED);
}

/// None of these units stands in a text.
pub(super) fn none_of(what: &str, text: &str, units: &[&str]) {
    let all = words(text);
    // Where a unit is a word as well, only what stands behind a number is one.
    let number = |at: usize| at > 0 && all[at - 1].starts_with(|c: char| c.is_ascii_digit());
    let unit = |at: &usize| {
        let word = &*all[*at];
        units.contains(&word) && (!["in", "bar"].contains(&word) || number(*at))
    };
    let found = (0..all.len()).find(unit);
    if let Some(at) = found {
        let around = &all[at.saturating_sub(12)..(at + 6).min(all.len())];
        panic!("{what}: `{}` in … {} …", all[at], around.join(" "));
    }
}

#[test]
fn an_inch_pound_set_is_answered_in_inches_and_pounds() {
    let folder = scratch("inch-pound");
    let page = folder.join("check.html");
    let report = ["--runs", "2", "--report", text(&page)];
    let ran = twinplate(&[&["check", INCH], &report[..]].concat());
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    none_but_typed("check", &ran.out);
    none_but_typed(
        "page of check",
        &std::fs::read_to_string(&page).expect("page"),
    );
    for unit in ["lbf", "psi", "mil", "µin", "ft/min", "mil/min"] {
        assert!(
            words(&ran.out).iter().any(|word| word == unit),
            "no {unit}:\n{}",
            ran.out
        );
    }
    let page = folder.join("run.html");
    let ran = twinplate(&["run", INCH, "--report", text(&page)]);
    none_but_typed("run", &ran.out);
    none_but_typed(
        "page of run",
        &std::fs::read_to_string(&page).expect("page"),
    );
    let page = folder.join("batches.html");
    let ran = twinplate(&["run", INCH, "--batches", "2", "--report", text(&page)]);
    none_but_typed("batches", &ran.out);
    none_but_typed(
        "page of batches",
        &std::fs::read_to_string(&page).expect("page"),
    );
}

/// A file's text with every quantity in the SI unit of its dimension, to the last bit.
pub(super) fn in_si(text: &str) -> String {
    let pieces = text.split('"').enumerate().map(|(place, piece)| {
        let quantity = (place % 2 == 1)
            .then(|| parse_any(piece, None).ok())
            .flatten();
        let Some((value, Some(dimension))) = quantity else {
            return piece.to_owned();
        };
        let plain = UNITS.iter().find(|unit| {
            unit.dimension == dimension && (unit.to_si(1.0) - 1.0).abs() == 0.0 && !unit.reciprocal
        });
        // A share has none.
        plain.map_or_else(
            || piece.to_owned(),
            |unit| format!("{value:?} {}", unit.symbol),
        )
    });
    pieces.collect::<Vec<_>>().join("\"")
}

/// The inch-pound set, changed, in a folder of its own; gives the recipe.
pub(super) fn copied(folder: &Path, change: impl Fn(&str) -> String) -> PathBuf {
    let variants = root().join("recipes/variants");
    let files = [
        "glass-inch.toml",
        "machines/machine-a-inch.toml",
        "batches/glass-discs-inch.toml",
    ];
    for file in files {
        let to = folder.join(file);
        std::fs::create_dir_all(to.parent().expect("a folder")).expect("folder");
        // Comments hold quotation marks of their own.
        let text = std::fs::read_to_string(variants.join(file)).expect("a file of the set");
        std::fs::write(&to, change(&text)).expect("written");
    }
    folder.join(files[0])
}

#[test]
fn its_twin_in_si_has_the_same_verdict_numbers_and_hashes() {
    let twin = copied(&scratch("inch-twin"), in_si);
    let asked = |recipe: &str| {
        let (code, value) = json(&[
            "check",
            recipe,
            "--runs",
            "2",
            "--no-report",
            "--format",
            "json",
        ]);
        assert_eq!(code, 0);
        value
    };
    let (ours, theirs) = (asked(INCH), asked(text(&twin)));
    assert_eq!(ours["verdict"], theirs["verdict"]);
    assert_eq!(
        ours["envelope"], theirs["envelope"],
        "hashes and worst cases"
    );
    for numbers in [
        "thickness_um",
        "roughness_um",
        "cycle_s",
        "flatness_um",
        "map",
    ] {
        assert_eq!(
            ours["prediction"][numbers], theirs["prediction"][numbers],
            "{numbers}"
        );
    }
    // What the text says converts back into the numbers that programs get.
    let told = twinplate(&["check", INCH, "--runs", "2", "--no-report"]).out;
    let table = told
        .split("Worst cases of the trials")
        .nth(1)
        .expect("a table");
    let mut seen = 0;
    for case in ours["envelope"]["cases"].as_array().expect("cases") {
        let (what, unit) = (
            case["what"].as_str().expect("text"),
            case["unit"].as_str().expect("text"),
        );
        let row = table
            .lines()
            .find(|line| line.starts_with(what))
            .expect(what);
        let cells: Vec<&str> = row[what.len()..].split_whitespace().collect();
        let Some(shown) = find(cells[2]).filter(|_| !unit.is_empty()) else {
            continue;
        };
        let si = shown.to_si(cells[1].parse().expect("a number"));
        let due = find(unit)
            .expect("a unit")
            .to_si(case["limit"].as_f64().expect("a number"));
        assert!(
            (si / due - 1.0).abs() < 6e-4,
            "{row}: {si} instead of {due}"
        );
        seen += 1;
    }
    assert!(seen >= 8, "{seen} of them");
}

/// A file that is bad on purpose, with what mends it.
struct Bad {
    recipe: &'static str,
    /// The file, the line to mend up to its value, and the words of the cure before and after the number.
    file: &'static str,
    line: &'static str,
    before: &'static str,
    after: &'static str,
}

const BAD: [Bad; 4] = [
    Bad {
        recipe: "limit-in-margin",
        file: "limit-in-margin.toml",
        line: "limit = \"290 N\"",
        before: "raise the limit to ",
        after: " or more",
    },
    Bad {
        recipe: "initial-load-low",
        file: "machines/bad-initial-load-low.toml",
        line: "initial-load = \"75 N\"",
        before: "raise it to ",
        after: " or more",
    },
    Bad {
        recipe: "creep-too-fast",
        file: "machines/bad-creep-too-fast.toml",
        line: "speed-creep = \"0.8 mm/s\"",
        before: "creep at ",
        after: " or slower",
    },
    Bad {
        recipe: "over-cell-range",
        file: "machines/bad-over-cell-range.toml",
        line: "range = \"1.5 kN\"",
        before: "use a cell of at least ±",
        after: "",
    },
];

/// A quantity in another unit, where it has a known one.
fn retyped(piece: &str) -> String {
    for (metric, other) in [("N", "lbf"), ("mm/s", "in/s"), ("kPa", "psi")] {
        let Some(number) = piece.strip_suffix(&format!(" {metric}")) else {
            continue;
        };
        let (from, to) = (find(metric).expect("a unit"), find(other).expect("a unit"));
        if let Ok(number) = number.parse::<f64>() {
            return format!("{} {other}", from.to_si(number) / to.to_si(1.0));
        }
    }
    piece.to_owned()
}

/// Every quantity of a file's text in the other units.
fn all_retyped(text: &str) -> String {
    let pieces = text.split('"').enumerate();
    let pieces = pieces.map(|(place, piece)| {
        if place % 2 == 1 {
            retyped(piece)
        } else {
            piece.to_owned()
        }
    });
    pieces.collect::<Vec<_>>().join("\"")
}

/// A bad recipe with all that it may name, changed, in a folder of its own; gives the recipe.
fn copied_bad(bad: &Bad, folder: &Path, change: impl Fn(&str) -> String) -> PathBuf {
    let from = root().join("recipes/bad");
    let batches = ["glass-discs", "alumina-rings", "steel-rings"];
    let mut files: Vec<String> = batches.map(|id| format!("../batches/{id}.toml")).into();
    files.extend(["a", "b"].map(|id| format!("../machines/machine-{id}.toml")));
    files.extend(
        super::names(&from.join("machines"))
            .iter()
            .map(|name| format!("machines/{name}")),
    );
    let recipe = format!("{}.toml", bad.recipe);
    files.push(recipe.clone());
    for file in files {
        let to = folder.join(file.trim_start_matches("../"));
        std::fs::create_dir_all(to.parent().expect("a folder")).expect("folder");
        let text = std::fs::read_to_string(from.join(&file)).expect("a file of the set");
        std::fs::write(to, change(&text)).expect("written");
    }
    folder.join(recipe)
}

/// Findings of a recipe, their codes and remedies.
fn findings(recipe: &Path) -> Vec<[String; 2]> {
    let asked = [
        "check",
        text(recipe),
        "--runs",
        "0",
        "--no-report",
        "--format",
        "json",
    ];
    let (_, report) = json(&asked);
    let findings = report["findings"].as_array().expect("findings");
    let told = |finding: &serde_json::Value| {
        ["code", "remedy"].map(|key| finding[key].as_str().expect("text").to_owned())
    };
    findings.iter().map(told).collect()
}

/// The cure is typed as it stands, in the unit that was typed; then its finding is gone. To four digits, rounded to the nearest, it was
/// not: 304.5 N for a limit that must be 304.52 N.
#[test]
fn a_cure_typed_as_it_stands_heals() {
    for units in ["metric", "inch-pound"] {
        let change = |text: &str| match units {
            "metric" => text.to_owned(),
            _ => all_retyped(text),
        };
        for bad in &BAD {
            let folder = scratch(&format!("cure-{units}-{}", bad.recipe));
            let recipe = copied_bad(bad, &folder, change);
            let cure = findings(&recipe).into_iter().find_map(|[code, cure]| {
                let (_, rest) = cure.split_once(bad.before)?;
                let value = if bad.after.is_empty() {
                    rest
                } else {
                    rest.split_once(bad.after)?.0
                };
                Some((code, value.to_owned()))
            });
            let (code, value) = cure.unwrap_or_else(|| panic!("{}: no such cure", bad.recipe));
            let unit = value.rsplit(' ').next().expect("a unit");
            let typed = ["lbf", "in/s"].contains(&unit);
            assert_eq!(typed, units == "inch-pound", "{value}");
            let file = folder.join(bad.file);
            let content = std::fs::read_to_string(&file).expect("the file");
            let (key, _) = bad.line.split_once(" = ").expect("a line");
            let old = change(bad.line);
            assert!(content.contains(&old), "{old} in {content}");
            let mended = content.replace(&old, &format!("{key} = \"{value}\""));
            std::fs::write(&file, mended).expect("written");
            let left = findings(&recipe);
            assert!(
                left.iter().all(|[left, _]| *left != code),
                "{units}: {code} is still there with {key} = {value}"
            );
        }
    }
}

/// Light bands are the unit of flatness only where it was typed in them.
#[test]
fn flatness_is_answered_in_bands_where_it_was_typed_in_them() {
    let row = |recipe: &str| {
        let told = twinplate(&["check", recipe, "--runs", "0", "--no-report"]).out;
        let row = told
            .lines()
            .find(|line| line.contains("flatness of a face"));
        row.expect("a row").to_owned()
    };
    assert!(row("recipes/recipes/glass-f800.toml").contains("face, µm"));
    let bands = copied(&scratch("in-bands"), |text| {
        let flat = text.lines().find(|line| line.starts_with("flatness = "));
        flat.map_or_else(
            || text.to_owned(),
            |flat| text.replace(flat, "flatness = \"17 bands\""),
        )
    });
    let row = row(text(&bands));
    assert!(row.contains("face, bands") && row.contains(" 17 "), "{row}");
}
