//! Routes.

use super::{checked, demo, plan, scratch};
use std::path::PathBuf;
use twinplate_check::trials::NOMINAL_RUNS;
use twinplate_sim::bench::Drawn;
use twinplate_sim::files::{Overrides, RouteSet, load_route, render_errors};
use twinplate_sim::requirements::{Requirement, Verdict};
use twinplate_sweep::route::{Checkup, Plan, check_route, differs, run_route};

/// The demonstration route in a folder of its own, its files edited.
fn edited(name: &str, edits: &[(&str, &str, &str)]) -> PathBuf {
    let folder = scratch(name);
    for (from, to) in [
        ("routes/glass-lap-polish.toml", "glass-lap-polish.toml"),
        ("routes/glass-rings-lap.toml", "glass-rings-lap.toml"),
        ("recipes/glass-polish.toml", "glass-polish.toml"),
        (
            "routes/batches/glass-rings-ground.toml",
            "batches/glass-rings-ground.toml",
        ),
        ("batches/glass-rings.toml", "batches/glass-rings.toml"),
        ("machines/machine-c.toml", "machines/machine-c.toml"),
    ] {
        let mut text = std::fs::read_to_string(demo(from)).expect(from);
        for (file, old, new) in edits.iter().filter(|(file, ..)| *file == to) {
            assert!(text.contains(old), "{file}: {old}");
            text = text.replace(old, new);
        }
        let path = folder.join(to);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        std::fs::write(path, text).expect("written");
    }
    folder.join("glass-lap-polish.toml")
}

fn load(path: &std::path::Path) -> RouteSet {
    load_route(path, &Overrides::default())
        .unwrap_or_else(|e| panic!("{}", render_errors(&e, false)))
}

fn checkup(set: &RouteSet, draws: usize, threads: usize) -> Checkup {
    let plan = Plan {
        trials: plan(draws, threads),
        replay: &|run| format!("run {run}"),
        progress: &|_| (),
        alone: true,
    };
    check_route(set, &plan).expect("a controller in process")
}

fn why(checkup: &Checkup, stage: usize) -> Vec<&'static str> {
    let report = &checkup.stages[stage].checked.report;
    let worst = report.envelope.cases.iter().filter(|case| case.failed > 0);
    worst.map(|case| case.what).collect()
}

#[test]
fn the_demonstration_route_passes_and_says_what_comes_otherwise_than_its_files_tell() {
    let set = load(&demo("routes/glass-lap-polish.toml"));
    let found = checkup(&set, 6, 2);
    assert_eq!(
        found.verdict(),
        Verdict::Pass,
        "{:?}",
        found.first_failing()
    );
    assert_eq!(
        (found.runs, found.failed, found.stages.len()),
        (6 + NOMINAL_RUNS, 0, 2)
    );
    // The first stage is the check of its recipe alone.
    assert_eq!(found.stages[0].checked.report, {
        let mut own = checked(&set.stages[0], 6);
        own.subject = found.stages[0].checked.report.subject.clone();
        own
    });
    let second = &found.stages[1];
    let damage = second
        .incoming
        .iter()
        .find(|value| value.key == "part.damage")
        .expect("damage");
    assert!(
        differs(damage) && damage.came_um == 0.8 && damage.file_um == 0.4,
        "{damage:?}"
    );
    let left = found.stages[0].left.expect("parts");
    assert_eq!(left.count, set.stages[1].batch.value.parts);
    let times = found
        .stages
        .iter()
        .map(|stage| stage.checked.report.prediction.cycle_s);
    assert_eq!(found.time(), times.sum::<f64>());
    // Carried coarse grain scores parts; plates and lines are another abrasive's.
    assert!(
        found.cautions[0].contains("clean") && found.cautions[0].contains("pads"),
        "{:?}",
        found.cautions
    );
    assert_eq!(
        checkup(&set, 3, 1).stages[1].ranges,
        checkup(&set, 3, 3).stages[1].ranges
    );
}

/// The first stage leaves damage that the second does not take off: the route fails by the damage, in the second stage, which its own
/// batch file would have let pass.
#[test]
fn damage_that_the_second_stage_does_not_take_off_fails_the_route() {
    let path = edited(
        "damage",
        &[
            (
                "glass-rings-lap.toml",
                "damage = \"0.8 µm\"",
                "damage = \"2.5 µm\"",
            ),
            (
                "batches/glass-rings-ground.toml",
                "damage = \"1 µm\"",
                "damage = \"3 µm\"",
            ),
        ],
    );
    let found = checkup(&load(&path), 2, 2);
    assert_eq!(found.stages[0].checked.report.verdict, Verdict::Pass);
    assert_eq!(
        (found.verdict(), found.first_failing()),
        (Verdict::Fail, Some(1))
    );
    assert_eq!(found.stages[1].alone, Some(Verdict::Pass));
    let codes: Vec<&str> = found.stages[1]
        .checked
        .report
        .findings
        .iter()
        .map(|f| f.code)
        .collect();
    assert!(
        codes.iter().any(|code| code.contains("damage")),
        "{codes:?}"
    );
}

/// The first stage leaves its size to chance: every part passes its own wide tolerance, the nominal route passes, and the drawn machines
/// hand on what the second stage, which ends by time, cannot mend.
#[test]
fn the_spread_of_the_first_stage_reaches_the_second() {
    let path = edited(
        "spread",
        &[
            ("glass-rings-lap.toml", "gauge = true", "gauge = false"),
            (
                "glass-rings-lap.toml",
                "end = { size = \"1.3001 mm\" }",
                "end = { time = \"230 s\" }",
            ),
            (
                "batches/glass-rings-ground.toml",
                "tolerance = \"3 µm\"",
                "tolerance = \"12 µm\"",
            ),
        ],
    );
    let set = load(&path);
    let found = checkup(&set, 8, 2);
    assert_eq!(
        found.stages[0].checked.report.verdict,
        Verdict::Pass,
        "{:?}",
        why(&found, 0)
    );
    assert_eq!(found.stages[1].alone, Some(Verdict::Pass));
    assert_eq!(
        (found.verdict(), found.first_failing()),
        (Verdict::Fail, Some(1))
    );
    assert_eq!(why(&found, 1), [Requirement::Size.what()]);
    let nominal = run_route(&set, Drawn { seed: 1, index: 0 }, false).expect("runs");
    assert!(
        nominal.iter().all(|run| run.judged.holds()),
        "{:?}",
        nominal[1].judged
    );
    // Trial for trial: the worst run of the second stage, run again alone, is the same run.
    let worst = found.stages[1]
        .checked
        .report
        .envelope
        .worst
        .clone()
        .expect("a worst run");
    let drawn = Drawn {
        seed: 1,
        index: worst.draw,
    };
    let again = run_route(&set, drawn, worst.warm).expect("runs");
    assert_eq!(again[1].outcome.control_hash, worst.control_hash);
    let other = run_route(&set, drawn, !worst.warm).expect("runs");
    assert_ne!(other[1].outcome.control_hash, worst.control_hash);
}

/// A stage without runs leaves nothing that the next could be judged with.
#[test]
fn a_stage_that_makes_no_run_ends_the_route() {
    let path = edited(
        "no-run",
        &[(
            "glass-rings-lap.toml",
            "limit = \"3550 N\"",
            "limit = \"2800 N\"",
        )],
    );
    let found = checkup(&load(&path), 0, 1);
    assert_eq!(
        (found.stages.len(), found.count, found.verdict()),
        (1, 2, Verdict::Fail)
    );
    assert_eq!((found.first_failing(), found.runs), (Some(0), 0));
}

#[test]
fn files_that_do_not_go_together_are_told_at_their_place() {
    for (name, edit, code, line) in [
        (
            "other-part",
            (
                "batches/glass-rings.toml",
                "outer = \"95 mm\"",
                "outer = \"90 mm\"",
            ),
            "inconsistent",
            14,
        ),
        (
            "no-recipe",
            (
                "glass-lap-polish.toml",
                "recipe = \"glass-polish\"",
                "recipe = \"glas-polish\"",
            ),
            "not-found",
            14,
        ),
        (
            "no-batch",
            (
                "glass-lap-polish.toml",
                "batch = \"glass-rings-ground\"",
                "batch = \"nothing\"",
            ),
            "not-found",
            7,
        ),
        (
            "id",
            (
                "glass-lap-polish.toml",
                "id = \"glass-lap-polish\"",
                "id = \"other\"",
            ),
            "id-mismatch",
            4,
        ),
    ] {
        let errors = load_route(&edited(name, &[edit]), &Overrides::default()).expect_err(name);
        assert_eq!(
            (errors[0].code, errors[0].line),
            (code, line),
            "{name}: {}",
            render_errors(&errors, false)
        );
    }
}
