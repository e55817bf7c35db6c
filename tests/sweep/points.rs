//! Sweeps.

use super::{checked, demo, plan, scratch, set_of};
use twinplate_check::trials::NOMINAL_RUNS;
use twinplate_sim::files::{FileError, Overrides, Set, load_set, render_errors};
use twinplate_sim::requirements::{Requirement, Verdict};
use twinplate_sweep::axis::Axis;
use twinplate_sweep::points::{MAX_POINTS, NoSweep, Plan, Sweep, sweep, with_values};

const GLASS: &str = "recipes/glass-f800.toml";

fn axes(set: &Set, typed: &[&str]) -> Result<Vec<Axis>, Vec<FileError>> {
    let typed: Vec<String> = typed.iter().map(|text| (*text).to_owned()).collect();
    Axis::read(&typed, set)
}

fn swept(set: &Set, typed: &[&str], draws: usize, threads: usize, edge: Option<usize>) -> Sweep {
    let axes = axes(set, typed).unwrap_or_else(|e| panic!("{}", render_errors(&e, false)));
    let plan = Plan {
        each: plan(draws, threads),
        edge,
        waivers: &[],
        progress: &|_, _| (),
    };
    sweep(set, axes, &plan).expect("a sweep")
}

/// The set of this text, from a file as a person would have saved it.
fn read_back(name: &str, text: &str) -> Set {
    let path = scratch(name).join("glass-f800.toml");
    std::fs::write(&path, text).expect("written");
    let overrides = Overrides {
        machine: Some(demo("machines/machine-a.toml")),
        batch: Some(demo("batches/glass-discs.toml")),
    };
    load_set(&path, &overrides).unwrap_or_else(|e| panic!("{}", render_errors(&e, false)))
}

/// The set of a recipe edited with a text editor: words replaced, the file written and read.
fn by_hand(name: &str, edits: &[(&str, &str)]) -> Set {
    let mut text = std::fs::read_to_string(demo(GLASS)).expect("the recipe");
    for (old, new) in edits {
        assert!(text.contains(old), "{old}");
        text = text.replace(old, new);
    }
    read_back(name, &text)
}

/// The rule of the whole module: a point of a sweep is a check of the recipe with that value in it, to the last digit.
#[test]
fn every_point_is_the_check_of_the_recipe_edited_by_hand() {
    let set = set_of(GLASS);
    let found = swept(
        &set,
        &["pressure=8..12kPa:3", "speed=0.75..1:2"],
        1,
        2,
        None,
    );
    assert_eq!(found.points.len(), 6);
    let lap = "pressure = \"9 kPa\"";
    for (index, (pressure, factor)) in [
        (8, 0.75),
        (10, 0.75),
        (12, 0.75),
        (8, 1.0),
        (10, 1.0),
        (12, 1.0),
    ]
    .into_iter()
    .enumerate()
    {
        // The speeds of the second step alone.
        let mut text = std::fs::read_to_string(demo(GLASS)).expect("the recipe");
        text = text.replace(lap, &format!("pressure = \"{pressure} kPa\""));
        if factor < 1.0 {
            let (head, tail) = text.split_at(text.rfind("speeds").expect("speeds"));
            let slow = "speeds = { inner = \"10.5 rpm\", outer = \"3.75 rpm\", lower = \"21 rpm\", upper = \"-10.5 rpm\" }\n";
            text = format!("{head}{slow}{}", &tail[tail.find("end =").expect("end")..]);
        }
        let hand = read_back(&format!("point-{index}"), &text);
        let point = &found.points[index];
        let own = with_values(&set, &found.axes, &point.at).expect("a good recipe");
        assert_eq!(own.recipe.value, hand.recipe.value, "{:?}", point.values);
        let report = checked(&hand, 1);
        let case = |which| {
            report
                .envelope
                .cases
                .iter()
                .find(|case| case.requirement == which)
                .map(|c| c.value)
        };
        assert_eq!(point.verdict, report.verdict, "{:?}", point.values);
        assert_eq!(point.feasible(), report.verdict != Verdict::Fail);
        assert_eq!(
            (point.runs, point.failed),
            (report.envelope.runs, report.envelope.failed)
        );
        assert_eq!(point.time_s, report.prediction.cycle_s);
        assert_eq!(point.flatness_um, case(Requirement::Flatness));
        if point.runs > 0 {
            assert_eq!(point.size_um, case(Requirement::Size));
            assert_eq!(point.finish_um, case(Requirement::Finish));
            let load = report
                .results
                .as_ref()
                .and_then(|r| r.tightest_load())
                .expect("a load");
            assert_eq!(
                point.load_margin_pct,
                Some(100.0 * (1.0 - load.value / load.limit))
            );
        } else {
            assert!(
                point
                    .binding
                    .as_ref()
                    .is_some_and(|b| report.findings.iter().any(|f| f.code == b.code))
            );
        }
    }
    // Both kinds were there.
    let good = found.feasible().count();
    assert!(good > 0 && good < 6, "{good}");
}

/// Every key goes where a hand would put it, in whatever unit.
#[test]
fn every_key_goes_where_a_hand_would_put_it() {
    let set = set_of(GLASS);
    let measured = "measured-at = { grain = \"6.5 µm\", concentration = \"20 %\" }";
    let cases: [(&str, &[(&str, &str)]); 11] = [
        ("pressure=1..2psi:2", &[("\"9 kPa\"", "\"1 psi\"")]),
        ("seat.pressure=4..5kPa:2", &[("\"6 kPa\"", "\"4 kPa\"")]),
        ("2.pressure=4..5kPa:2", &[("\"9 kPa\"", "\"4 kPa\"")]),
        ("all.limit=300..400N:2", &[("\"350 N\"", "\"300 N\"")]),
        ("time=40..50s:2", &[("\"60 s\"", "\"40 s\"")]),
        ("size=0.539..0.54mm:2", &[("\"0.5383 mm\"", "\"0.539 mm\"")]),
        (
            "all.inner=10..12rpm:2",
            &[("\"14 rpm\", outer", "\"10 rpm\", outer")],
        ),
        (
            "all.flow=0.2..0.3L/min:2",
            &[("flow = \"0.25 L/min\"", "flow = \"0.2 L/min\"")],
        ),
        ("prestart=30..40s:2", &[("\"25 s\"", "\"30 s\"")]),
        (
            "concentration=10..20%:2",
            &[(
                "concentration = \"20 %\"\nremoval",
                "concentration = \"10 %\"\nremoval",
            )],
        ),
        (
            "grain=5..8µm:2",
            &[
                ("grain = \"6.5 µm\"\nvehicle", "grain = \"5 µm\"\nvehicle"),
                ("\"F800\"", "\"as swept\""),
            ],
        ),
    ];
    for (index, (typed, edits)) in cases.into_iter().enumerate() {
        let axes = axes(&set, &[typed]).unwrap_or_else(|e| panic!("{}", render_errors(&e, false)));
        let own = with_values(&set, &axes, &[0])
            .unwrap_or_else(|e| panic!("{}", render_errors(&e, false)));
        let hand = by_hand(&format!("key-{index}"), edits);
        assert_eq!(own.recipe.value, hand.recipe.value, "{typed}");
        assert_ne!(own.recipe.value, set.recipe.value, "{typed}");
        // Comments and order stay: what is checked is this file.
        assert!(own.recipe.text.starts_with("# Invented"), "{typed}");
    }
    // A recipe that does not say at which grain it was measured was measured at its own.
    let bare = set
        .with_recipe(&set.recipe.text.replace(&format!("{measured}\n"), ""))
        .expect("a good recipe");
    let axes = axes(&bare, &["concentration=10..20%:2"]).expect("a sweep");
    let own = with_values(&bare, &axes, &[0]).expect("a good recipe");
    let at = own
        .recipe
        .value
        .consumables
        .measured_at
        .expect("where it was measured");
    assert_eq!((at.grain, at.concentration), (6.5e-6, 0.2));
}

#[test]
fn threads_change_nothing() {
    let set = set_of(GLASS);
    let one = swept(&set, &["pressure=8..10kPa:2"], 3, 1, None);
    let three = swept(&set, &["pressure=8..10kPa:2"], 3, 3, None);
    assert_eq!(one, three);
}

/// Removal goes with pressure and with sliding speed (Preston, Journal of the Society of Glass Technology 11 (1927) 214): what ends by
/// size is over sooner with more of either.
#[test]
fn more_pressure_and_more_speed_take_less_time() {
    let set = set_of(GLASS);
    for typed in ["pressure=7..10kPa:3", "speed=0.9..1.3:3"] {
        let found = swept(&set, &[typed], 0, 2, None);
        let times: Vec<f64> = found.points.iter().map(|point| point.time_s).collect();
        assert!(
            times.windows(2).all(|pair| pair[1] < pair[0]),
            "{typed}: {times:?}"
        );
        let loads: Vec<f64> = found
            .points
            .iter()
            .filter_map(|point| point.load_margin_pct)
            .collect();
        if typed.starts_with("pressure") {
            assert!(loads.windows(2).all(|pair| pair[1] < pair[0]), "{loads:?}");
        }
    }
}

/// The edge of the feasible region lies where bisection by checks alone finds it.
#[test]
fn the_edge_is_where_bisection_finds_it() {
    let set = set_of(GLASS);
    let found = swept(&set, &["pressure=9..12kPa:4"], 0, 2, None);
    let last = found
        .points
        .iter()
        .rposition(|point| point.feasible())
        .expect("a feasible point");
    assert!(found.points[..=last].iter().all(|point| point.feasible()) && last < 3);
    let passes = |kpa: f64| {
        let text = set
            .recipe
            .text
            .replace("\"9 kPa\"", &format!("\"{kpa} kPa\""));
        checked(&set.with_recipe(&text).expect("a good recipe"), 0).verdict != Verdict::Fail
    };
    let [mut good, mut bad] = [8.0, 14.0];
    assert!(passes(good) && !passes(bad));
    while bad - good > 0.01 {
        let middle = 0.5 * (good + bad);
        if passes(middle) {
            good = middle
        } else {
            bad = middle
        }
    }
    let edge = [found.axes[0].numbers[last], found.axes[0].numbers[last + 1]];
    assert!(
        edge[0] <= good && bad <= edge[1] + 0.01,
        "{edge:?} {good} {bad}"
    );
}

/// Where the region ends is looked at with more runs, and nowhere else.
#[test]
fn the_edge_gets_more_runs() {
    let set = set_of(GLASS);
    let found = swept(&set, &["pressure=8..12kPa:3"], 0, 2, Some(2));
    let runs: Vec<usize> = found.points.iter().map(|point| point.runs).collect();
    assert_eq!(runs, [NOMINAL_RUNS, NOMINAL_RUNS + 2, 0]);
}

#[test]
fn words_that_are_not_right_are_marked() {
    let set = set_of(GLASS);
    for (typed, code, column) in [
        ("presure=1..2psi", "unknown-key", 1),
        ("pressure", "syntax", 1),
        ("pressure=3psi", "syntax", 10),
        ("pressure=1..2", "missing-unit", 13),
        ("pressure=1..2mm", "wrong-dimension", 13),
        ("pressure=1kPa..2psi", "inconsistent", 10),
        ("pressure=2..2psi", "inconsistent", 10),
        ("pressure=1..2psi:1", "out-of-range", 18),
        ("pressure=1..x psi", "bad-number", 13),
        ("rough.pressure=1..2psi", "no-such-step", 1),
        ("3.pressure=1..2psi", "no-such-step", 1),
        ("lap.time=1..2min", "conflicting-key", 1),
        ("stock=1..2µm", "conflicting-key", 1),
        ("lap.grain=1..2µm", "unknown-key", 1),
    ] {
        let errors = axes(&set, &[typed]).expect_err(typed);
        assert_eq!(
            (errors[0].code, errors[0].column),
            (code, column),
            "{typed}: {}",
            errors[0].message
        );
        assert!(!errors[0].expected.is_empty(), "{typed}");
    }
    for twice in [
        ["pressure=1..2psi", "lap.pressure=2..3psi"],
        ["speed=0.5..1", "lap.inner=1..2rpm"],
    ] {
        assert_eq!(
            axes(&set, &twice).expect_err("twice")[0].code,
            "duplicate-key"
        );
    }
}

/// A value that the file's reader does not take, and more points than are worth a wait, are told before any run.
#[test]
fn values_out_of_range_and_too_many_points_are_refused() {
    let set = set_of(GLASS);
    let refused = |typed: &[&str]| {
        let plan = Plan {
            each: plan(0, 1),
            edge: None,
            waivers: &[],
            progress: &|_, _| panic!("a run was made"),
        };
        match sweep(&set, axes(&set, typed).expect("words"), &plan) {
            Err(NoSweep::Files(errors)) => errors[0].clone(),
            other => panic!("{other:?}"),
        }
    };
    let out = refused(&["pressure=1..20MPa:3"]);
    assert_eq!(out.code, "out-of-range");
    assert!(
        out.file.ends_with("glass-f800.toml with pressure=10.5 MPa"),
        "{}",
        out.file
    );
    let many = refused(&["pressure=1..2psi:16", "speed=0.5..1:15"]);
    assert_eq!(many.code, "too-many-items");
    assert!(many.message.starts_with(&format!("{} points", 16 * 15)) && 16 * 15 > MAX_POINTS);
}
