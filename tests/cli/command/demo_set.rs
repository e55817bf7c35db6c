//! `check` on the demonstration set: no rule and no run speaks against a good recipe, every bad one fails for its one reason; JSON and JUnit hold what
//! other programs read.

use crate::{files_in, json, root, scratch, text, twinplate};
use serde_json::Value;

const GOOD: &str = "recipes/recipes/glass-f800.toml";

/// Few draws: the full proof of every recipe is the long suite's.
const FEW: [&str; 3] = ["--runs=8", "--no-report", "--format=json"];

fn check(path: &str) -> (i32, Value) {
    let mut call = vec!["check", path];
    call.extend(FEW);
    json(&call)
}

fn errors(report: &Value) -> Vec<&Value> {
    report["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .filter(|finding| finding["severity"] == "error")
        .collect()
}

#[test]
fn nothing_is_found_against_a_good_recipe() {
    let files = files_in("recipes/recipes");
    assert!(files.len() >= 6, "{files:?}");
    for file in files {
        let (code, report) = check(&file);
        assert_eq!(report["findings"], Value::Array(Vec::new()), "{file}");
        assert_eq!(report["verdict"], "pass", "{file}");
        assert_eq!(code, 0, "{file}");
        assert_eq!(report["envelope"]["runs"], 10, "{file}");
        assert_eq!(report["envelope"]["failed"], 0, "{file}");
    }
}

/// The one error code of each bad file, as `recipes/README.md` describes it in words.
const GUILTY: &[(&str, &str)] = &[
    ("carrier-too-thick", "carrier-too-thick"),
    ("carrier-weak", "carrier-teeth-weak"),
    ("carriers-unspaced", "carrier-spacing"),
    ("creep-too-fast", "creep-too-fast"),
    ("damage-left", "stock-below-damage"),
    ("film-life-short", "coast-outlasts-film"),
    ("gauge-unused", "gauge-missing"),
    ("initial-load-low", "initial-load-low"),
    ("limit-in-margin", "limit-inside-governor"),
    ("longest-short", "longest-short"),
    ("over-cell-range", "load-above-cell-range"),
    ("prestart-short", "prestart-short"),
    ("teeth-wrong", "tooth-relation"),
    ("torque-short", "torque-short"),
];

#[test]
fn every_bad_recipe_fails_with_exactly_its_one_code_and_a_cure() {
    let files = files_in("recipes/bad");
    assert_eq!(files.len(), GUILTY.len(), "{files:?}");
    for (name, guilty) in GUILTY {
        let file = format!("recipes/bad/{name}.toml");
        let (code, report) = check(&file);
        assert_eq!(code, 1, "{file}");
        assert_eq!(report["verdict"], "fail", "{file}");
        let errors = errors(&report);
        assert_eq!(errors.len(), 1, "{file}: {errors:#?}");
        assert_eq!(errors[0]["code"], *guilty, "{file}");
        let cure = errors[0]["remedy"].as_str().unwrap_or("");
        assert!(cure.len() > 4, "{file}: cure `{cure}`");
        // The place is a place: the line is there in the file that is named.
        let place = errors[0]["file"].as_str().expect("file");
        let source = std::fs::read_to_string(root().join(place)).expect("the named file");
        let line = errors[0]["line"].as_u64().expect("line");
        assert!(
            line >= 1 && line <= source.lines().count() as u64,
            "{file}: line {line}"
        );
    }
}

/// The fields of the JSON, as the interfaces page promises them.
const FINDING: &[&str] = &[
    "code", "severity", "message", "file", "line", "column", "measured", "limit", "unit", "remedy",
];
const STEP: &[&str] = &[
    "name",
    "load_n",
    "pressure_pa",
    "orbit_rad_s",
    "spin_rad_s",
    "mean_speed_upper_m_s",
    "mean_speed_lower_m_s",
    "removal_upper_um",
    "removal_lower_um",
    "duration_s",
];
const PREDICTION: &[&str] = &[
    "cycle_s",
    "phases",
    "peak_load_n",
    "peak_overshoot_pct",
    "largest_part",
    "thickness_um",
    "roughness_um",
    "flatness_um",
    "flatness_bands",
    "parallelism_um",
    "roll_off_um",
    "pressure_pct",
    "plates_um",
    "wear",
    "slurry_l",
    "parts_per_hour",
];

/// Fields that are `null` where there was no run or there is no model.
const NULLABLE: &[&str] = &[
    "peak_load_n",
    "peak_overshoot_pct",
    "largest_part",
    "flatness_um",
    "flatness_bands",
    "parallelism_um",
    "roll_off_um",
    "pressure_pct",
    "plates_um",
    "worst",
    "nominal",
    "best",
    "left",
    "draw",
    "warm",
    "met",
];

/// What is told of a target, in the report's JSON.
const JUDGED: &[&str] = &[
    "name", "key", "group", "by", "unit", "nominal", "best", "worst", "allowed", "left", "draw",
    "warm", "met", "note",
];

fn has(value: &Value, fields: &[&str], what: &str) {
    for field in fields {
        let found = value.get(field);
        assert!(
            found.is_some_and(|found| !found.is_null() || NULLABLE.contains(field)),
            "{what} lacks `{field}`: {value}"
        );
    }
}

#[test]
fn the_json_has_its_promised_fields() {
    let (_, good) = check(GOOD);
    let (_, bad) = check("recipes/bad/creep-too-fast.toml");
    for report in [&good, &bad] {
        assert_eq!(report["schema"], twinplate_check::verdict::SCHEMA);
        has(
            report,
            &[
                "verdict",
                "findings",
                "steps",
                "judged",
                "prediction",
                "envelope",
            ],
            "report",
        );
        has(&report["steps"][0], STEP, "step");
        has(&report["judged"][0], JUDGED, "judged");
        has(&report["prediction"], PREDICTION, "prediction");
        has(
            &report["prediction"]["phases"][0],
            &["phase", "step", "start_s", "end_s"],
            "phase",
        );
        has(
            &report["prediction"]["thickness_um"],
            &["mean", "sd", "min", "max"],
            "thickness",
        );
        has(
            &report["envelope"],
            &["runs", "failed", "worst"],
            "envelope",
        );
    }
    has(&bad["findings"][0], FINDING, "finding");
    has(
        &good["envelope"]["worst"],
        &["draw", "what", "value", "limit"],
        "worst",
    );
}

#[test]
fn junit_is_xml_with_one_failure_per_guilty_rule() {
    for (file, failures) in [(GOOD, 0), ("recipes/bad/teeth-wrong.toml", 1)] {
        let ran = twinplate(&["check", file, "--runs=2", "--no-report", "--format=junit"]);
        assert_eq!(ran.code, i32::from(failures > 0), "{}", ran.err);
        let document = roxmltree::Document::parse(&ran.out).expect("XML");
        let top = document.root_element();
        assert_eq!(top.tag_name().name(), "testsuites");
        let count = |name: &str| {
            document
                .descendants()
                .filter(|node| node.has_tag_name(name))
                .count()
        };
        assert_eq!(count("failure"), failures, "{}", ran.out);
        assert!(count("testcase") > 60, "{}", count("testcase"));
        assert_eq!(
            top.attribute("failures"),
            Some(failures.to_string().as_str())
        );
        if let Some(failure) = document
            .descendants()
            .find(|node| node.has_tag_name("failure"))
        {
            let case = failure.parent().expect("its case");
            assert_eq!(case.attribute("name"), Some("tooth-relation"));
            assert!(failure.text().is_some_and(|text| text.contains("remedy:")));
        }
    }
}

/// A machine whose only fault is a warning: the settling limit is longer than the slurry takes to settle.
#[test]
fn warnings_fail_only_when_asked_and_not_when_waived() {
    let folder = scratch("demo-warning");
    let machine =
        std::fs::read_to_string(root().join("recipes/machines/machine-a.toml")).expect("machine");
    let line = machine
        .lines()
        .find(|line| line.starts_with("settle-limit ="))
        .expect("settle-limit");
    let path = folder.join("machine-a.toml");
    std::fs::write(&path, machine.replace(line, "settle-limit = \"55 min\"")).expect("written");
    let with = |more: &[&str]| {
        let mut call = vec![
            "check",
            GOOD,
            "--machine",
            text(&path),
            "--runs=0",
            "--no-report",
            "--format=json",
        ];
        call.extend(more);
        json(&call)
    };
    let (code, report) = with(&[]);
    assert_eq!(
        (code, report["verdict"].as_str()),
        (0, Some("warn")),
        "{}",
        report["findings"]
    );
    assert_eq!(report["findings"][0]["code"], "settle-limit-long");
    assert_eq!(with(&["--fail-on=warning"]).0, 1);
    let waive = [
        "--fail-on=warning",
        "--waive=settle-limit-long",
        "--reason=stirred by hand",
    ];
    let (code, report) = with(&waive);
    assert_eq!((code, report["verdict"].as_str()), (0, Some("pass")));
    assert_eq!(report["findings"][0]["waived"], "stirred by hand");
}
