//! What the controller refuses, and where it must stop or wait for ever by the machine's own numbers, is found before anything runs:
//! each rule on both sides of its bound, with the controller as the witness.

use firmware_core::sequence::Phase;
use std::path::Path;
use twinplate_check::catalogue::Severity;
use twinplate_check::descent::FeltDescent;
use twinplate_check::predict::predict;
use twinplate_check::{Case, Code, Finding, static_check};
use twinplate_sim::bench::row_name;
use twinplate_sim::bench::{Ended, Job, NoRecorder, Outcome, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::files::{parse_batch, parse_machine, parse_recipe};
use twinplate_sim::model::{Batch, Deviations, Machine, Recipe};

type Set = (Machine, Batch, Recipe);

fn case((machine, batch, recipe): &Set) -> Case<'_> {
    Case {
        machine,
        batch,
        recipe,
    }
}

fn findings(set: &Set) -> Vec<Finding> {
    let case = case(set);
    static_check::check(&case, &predict(&case, 1.0))
}

fn errors(set: &Set) -> Vec<Code> {
    let mut codes: Vec<Code> = findings(set)
        .iter()
        .filter(|finding| finding.severity == Severity::Error)
        .map(|finding| finding.code)
        .collect();
    codes.dedup();
    codes
}

/// One cycle of a machine that may deviate from its file.
fn run(set: &Set, deviations: Deviations) -> Outcome {
    let (machine, batch, recipe) = set.clone();
    let job = Job::new(machine, batch, recipe).expect("the controller takes it");
    run_cycle(&job.setup(deviations, 1), None, NoRecorder).expect("in process")
}

fn first_out(outcome: &Outcome) -> &'static str {
    outcome.summary.cause.map_or("none", |(id, _)| row_name(id))
}

/// The drag of the descent against the contact threshold: under it the plate comes down, over it the controller sees contact in the
/// air. The metered descent is a few percent slower than its setting, so the far side is looked at a tenth beyond the bound.
#[test]
fn a_descent_that_the_controller_takes_for_contact_is_found() {
    for name in ["glass-f800", "zirconia-fixed", "silicon-f1000"] {
        let mut set = demo::set(name);
        set.0.actuator.guide_drag *= 1e3;
        let far = FeltDescent::of(&case(&set)).expect("guides that stiff are felt");
        let bound = set.0.actuator.guide_drag * far.threshold / far.drag;
        for (share, felt) in [(0.98, false), (1.1, true)] {
            set.0.actuator.guide_drag = bound * share;
            let found = errors(&set);
            let ran = run(&set, Deviations::NOMINAL);
            assert_eq!(found.contains(&Code::DescentFeltAsContact), felt, "{name}");
            assert_eq!(
                (ran.ended, first_out(&ran)),
                if felt {
                    (Ended::Stopped, "contact-high")
                } else {
                    (Ended::Complete, "none")
                },
                "{name} at {share} of the bound"
            );
        }
    }
}

/// Each number of its cure is enough.
#[test]
fn each_cure_of_a_felt_descent_cures_it() {
    let mut set = demo::set("zirconia-fixed");
    set.0.actuator.guide_drag *= 3.0;
    let felt = FeltDescent::of(&case(&set)).expect("felt");
    let numbers: Vec<f64> = felt
        .cure(&case(&set))
        .split_whitespace()
        .filter_map(|word| word.parse().ok())
        .collect();
    let [speed, drag, bar] = numbers[..] else {
        panic!("{numbers:?}")
    };
    let cures: [&dyn Fn(&mut Machine); 3] = [
        &|m| m.actuator.speed_fast = speed * 1e-3,
        &|m| m.actuator.guide_drag = drag,
        &|m| m.actuator.counterbalance -= bar * 1e5,
    ];
    for cure in cures {
        let mut cured = set.clone();
        cure(&mut cured.0);
        assert_eq!(FeltDescent::of(&case(&cured)), None);
        let ran = run(&cured, Deviations::NOMINAL);
        assert_ne!(first_out(&ran), "contact-high");
    }
}

/// Touch-down under the first-contact limit, on the machine of the envelope that is pressed least.
#[test]
fn a_first_contact_limit_that_starves_touch_down_is_found() {
    for name in ["glass-f800", "zirconia-fixed", "silicon-f1000"] {
        let mut set = demo::set(name);
        let initial = set.0.control.initial_load;
        let e = set.0.envelope.clone();
        let weakest = Deviations {
            regulator_gain: 1.0 - e.regulator_gain,
            regulator_offset: -e.regulator_offset,
            weight: 1.0 - e.weight,
            counterbalance: 1.0 + e.counterbalance,
            seal_friction: 1.0 + e.seal_friction,
            ..Deviations::NOMINAL
        };
        set.0.control.first_contact_limit = initial * 1.01;
        let found = findings(&set);
        let finding = found
            .iter()
            .find(|finding| finding.code == Code::FirstContactNearInitial)
            .expect("no room at all");
        let cured: f64 = finding
            .cure
            .split_whitespace()
            .find_map(|word| word.parse().ok())
            .expect("a number");
        set.0.control.first_contact_limit = cured;
        assert!(
            !errors(&set).contains(&Code::FirstContactNearInitial),
            "{name}"
        );
        let ran = run(&set, weakest);
        assert_ne!(ran.summary.phase, Phase::TouchDown);
        assert_eq!(ran.ended, Ended::Complete, "{name}: {}", first_out(&ran));
        // What is reached short of the bound by a tenth of the initial load is short of the band.
        set.0.control.first_contact_limit = cured - 0.25 * initial;
        assert!(
            errors(&set).contains(&Code::FirstContactNearInitial),
            "{name}"
        );
        let ran = run(&set, weakest);
        assert_eq!(
            (ran.ended, first_out(&ran)),
            (Ended::Stopped, "phase-timeout"),
            "{name}"
        );
    }
}

/// Changes of one number on either side of what the controller's own check takes.
#[test]
fn what_the_controllers_check_refuses_is_found_on_both_sides() {
    type Change = fn(&mut Set, f64);
    let rows: [(Code, f64, Change); 2] = [
        (Code::DaylightShort, -1e-5, |set, by| {
            set.0.actuator.height_raised = set.1.thickness + set.0.actuator.approach + by;
        }),
        (Code::NothingTurns, 1e-3, |set, by| {
            set.0.control.speed_tolerance = Case::fastest(&set.2.steps[0]) + by;
        }),
    ];
    for (code, by, change) in rows {
        for (by, refused) in [(by, true), (-by, false)] {
            let mut set = demo::set("glass-f800");
            change(&mut set, by);
            assert_eq!(errors(&set).contains(&code), refused, "{code:?}");
            let (machine, batch, recipe) = set;
            assert_eq!(
                Job::new(machine, batch, recipe).is_err(),
                refused,
                "{code:?}"
            );
        }
    }
}

/// The number at the beginning of a quoted quantity, or a bare one, and what stands around it.
fn number(line: &str) -> Option<(&str, f64, &str)> {
    let at = line.find(" = ")? + 3;
    let start = at + usize::from(line[at..].starts_with('"'));
    let length = line[start..]
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(line.len() - start);
    let value = line[start..start + length].parse().ok()?;
    Some((&line[..start], value, &line[start + length..]))
}

/// Whatever number of whatever file is changed, and however far within its range: what the controller then refuses has an error of the
/// static findings, so that `proof-refused` has nothing left to say.
#[test]
fn no_number_of_the_files_is_refused_without_a_finding() {
    let read = |folder: &str, id: &str| {
        let path = format!(
            "{}/../recipes/{folder}/{id}.toml",
            env!("CARGO_MANIFEST_DIR")
        );
        std::fs::read_to_string(path).expect("a demonstration file")
    };
    let (mut tried, mut refused) = (0, 0);
    let mut wrong = Vec::new();
    for name in ["glass-f800", "zirconia-fixed", "silicon-f1000"] {
        let good = demo::set(name);
        let files = [
            read("machines", &good.0.id),
            read("batches", &good.1.id),
            read("recipes", name),
        ];
        for (which, text) in files.iter().enumerate() {
            for (at, line) in text.lines().enumerate() {
                let Some((before, value, after)) = number(line) else {
                    continue;
                };
                for factor in [0.0, 1e-3, 0.03, 0.2, 0.5, 0.8, 1.25, 2.0, 5.0, 30.0, 1e3] {
                    let changed: Vec<String> = text
                        .lines()
                        .enumerate()
                        .map(|(other, line)| {
                            if other == at {
                                format!("{before}{}{after}", value * factor)
                            } else {
                                line.to_owned()
                            }
                        })
                        .collect();
                    let changed = changed.join("\n");
                    let mut set = good.clone();
                    let taken = match which {
                        0 => parse_machine(Path::new("m"), &changed)
                            .map(|file| set.0 = file.value)
                            .is_ok(),
                        1 => parse_batch(Path::new("b"), &changed)
                            .map(|file| set.1 = file.value)
                            .is_ok(),
                        _ => parse_recipe(Path::new("r"), &changed)
                            .map(|file| set.2 = file.value)
                            .is_ok(),
                    };
                    if !taken {
                        continue;
                    }
                    tried += 1;
                    let (machine, batch, recipe) = set.clone();
                    let Err(error) = Job::new(machine, batch, recipe) else {
                        continue;
                    };
                    refused += 1;
                    if errors(&set).is_empty() {
                        wrong.push(format!("{name}: {line} × {factor}: {error}"));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    // Or this has shown nothing.
    assert!(tried > 1000 && refused > 50, "{refused} of {tried}");
}
