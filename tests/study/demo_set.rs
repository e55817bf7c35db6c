//! The demonstration set against the static findings. What each bad file must be found guilty of is written in its name
//! and in `recipes/README.md`; the table here is the only other place.

use std::path::{Path, PathBuf};
use twinplate_check::Case;
use twinplate_check::Code;
use twinplate_check::Finding;
use twinplate_check::Severity;
use twinplate_check::finding::Source;
use twinplate_check::predict::predict;
use twinplate_check::static_check::check;
use twinplate_sim::files::{Overrides, Set, load_set};

fn recipes() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes")
}

fn load(path: &Path) -> Set {
    load_set(path, &Overrides::default())
        .unwrap_or_else(|errors| panic!("{}: {errors:?}", path.display()))
}

fn findings(set: &Set) -> Vec<Finding> {
    let case = Case {
        machine: &set.machine.value,
        batch: &set.batch.value,
        recipe: &set.recipe.value,
    };
    check(&case, &predict(&case, 1.0))
}

fn files_in(folder: &str) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(recipes().join(folder))
        .expect("the demo folder is there")
        .map(|entry| entry.expect("readable").path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "toml")
        })
        .collect();
    files.sort();
    files
}

#[test]
fn no_rule_speaks_about_a_good_recipe() {
    let files = files_in("recipes");
    assert!(files.len() >= 6, "{files:?}");
    for path in files {
        let found = findings(&load(&path));
        let told: Vec<String> = found
            .iter()
            .map(|finding| format!("{}: {}", finding.name(), finding.message))
            .collect();
        assert!(told.is_empty(), "{}: {told:#?}", path.display());
    }
}

/// Bad file and the one error that it must be found guilty of.
const GUILTY: &[(&str, Code)] = &[
    ("carrier-too-thick", Code::CarrierTooThick),
    ("carrier-weak", Code::CarrierTeethWeak),
    ("carriers-unspaced", Code::CarrierSpacing),
    ("creep-too-fast", Code::CreepTooFast),
    ("damage-left", Code::StockBelowDamage),
    ("film-life-short", Code::CoastOutlastsFilm),
    ("gauge-unused", Code::GaugeMissing),
    ("initial-load-low", Code::InitialLoadLow),
    ("limit-in-margin", Code::LimitInsideGovernor),
    ("longest-short", Code::LongestShort),
    ("over-cell-range", Code::LoadAboveCellRange),
    ("prestart-short", Code::PrestartShort),
    ("teeth-wrong", Code::ToothRelation),
    ("torque-short", Code::TorqueShort),
];

#[test]
fn each_bad_recipe_is_guilty_of_exactly_its_one_error() {
    let files = files_in("bad");
    assert_eq!(
        files.len(),
        GUILTY.len(),
        "a bad file without a verdict here: {files:?}"
    );
    let mut wrong = Vec::new();
    for (name, code) in GUILTY {
        let set = load(&recipes().join("bad").join(format!("{name}.toml")));
        let found = findings(&set);
        let mut errors: Vec<Code> = found
            .iter()
            .filter(|finding| finding.severity == Severity::Error)
            .map(|finding| finding.code)
            .collect();
        errors.dedup();
        if errors != [*code] {
            let told: Vec<String> = found
                .iter()
                .map(|f| format!("{}: {}", f.name(), f.message))
                .collect();
            wrong.push(format!("{name}: {told:?}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn each_finding_points_at_a_line_of_its_file() {
    for (name, _) in GUILTY {
        let set = load(&recipes().join("bad").join(format!("{name}.toml")));
        for finding in findings(&set) {
            let path = &finding.place.path;
            let place = match finding.place.file {
                Source::Recipe => set.recipe.place(path),
                Source::Machine => set.machine.place(path),
                Source::Batch => set.batch.place(path),
            };
            assert!(place.is_some(), "{name}: {path} has no place");
        }
    }
}
