//! The demonstration logs of `recipes/logs`: made by the seeded simulation, and what each is for.

use std::path::{Path, PathBuf};
use twinplate_sim::demo;
use twinplate_tune::demo_log::DemoLog;
use twinplate_tune::identify::{FitPlan, Identification, Refusal, Warning, identify};
use twinplate_tune::import::{ImportOptions, import};

fn file(kind: DemoLog) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../recipes/logs")
        .join(format!("{}.csv", kind.name()))
}

/// `UPDATE=1` writes them.
#[test]
fn the_committed_logs_are_what_the_simulation_gives() {
    for kind in DemoLog::ALL {
        let text = kind.text(DemoLog::SEED);
        if std::env::var_os("UPDATE").is_some() {
            std::fs::create_dir_all(file(kind).parent().expect("a folder")).expect("the folder");
            std::fs::write(file(kind), &text).expect("a file");
        }
        let committed = std::fs::read_to_string(file(kind)).expect("a committed log");
        assert!(
            committed == text,
            "recipes/logs/{}.csv differs: UPDATE=1 renews it",
            kind.name()
        );
        assert_ne!(
            text,
            kind.text(DemoLog::SEED + 1),
            "{}: the seed does nothing",
            kind.name()
        );
    }
}

/// Reads what the simulation gives, so that a renewal of the files cannot race with it.
fn read(kind: DemoLog) -> Result<Identification, Refusal> {
    let text = kind.text(DemoLog::SEED);
    let log = import(text.as_bytes(), &ImportOptions::default()).expect("a log");
    identify(&log, &FitPlan::default())
}

fn good(kind: DemoLog) -> Identification {
    read(kind).unwrap_or_else(|refusal| panic!("{}: {refusal}", kind.name()))
}

/// Source: the machine file's own numbers, which the plant is checked against elsewhere: static gain, lag, dead time. Beside them
/// the cell's 100 Hz filter delays by some 2 ms, a tick by half of one, and the regulator's slew by half the time that it needs for a step
/// (10 % and 5 % of full scale, so 12.5 ms and 6.25 ms at four full scales a second).
#[test]
fn clean_and_noisy_logs_give_the_machine_files_line() {
    let actuator = demo::machine("machine-a").actuator;
    for (kind, close) in [(DemoLog::Clean, 0.02), (DemoLog::Noisy, 0.08)] {
        let found = good(kind);
        let model = found.chosen().model;
        println!("{}: {model:?} {:?}", kind.name(), found.warnings);
        assert!(
            (model.gain / actuator.line_gain() - 1.0).abs() < close,
            "{model:?}"
        );
        let total = model.tau1 + model.tau2 + model.dead_time;
        let expected = actuator.lag + actuator.dead_time + 0.0025;
        let slew = [0.05, 0.10].map(|step| 0.5 * step / actuator.slew);
        assert!(
            total > (expected + slew[0]) * (1.0 - close)
                && total < (expected + slew[1]) * (1.0 + close),
            "{total} against {expected} and {slew:?}"
        );
    }
}

#[test]
fn each_bad_trait_is_named() {
    let sticky = good(DemoLog::Sticky);
    println!("sticky: {:?} {:?}", sticky.hysteresis, sticky.warnings);
    let hysteresis = sticky.hysteresis.expect("levels reached from both sides");
    assert!(hysteresis.both_known && hysteresis.width > 3.0 * hysteresis.uncertainty);
    // The log was made with a play of 2 % of full scale: what was put in comes out.
    assert!(
        (hysteresis.command / 0.02 - 1.0).abs() < 0.05,
        "{hysteresis:?}"
    );
    assert!(
        sticky
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::Hysteresis { .. })),
        "{:?}",
        sticky.warnings
    );
    let clean = good(DemoLog::Clean);
    assert!(
        !clean
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::Hysteresis { .. } | Warning::Drift { .. })),
        "{:?}",
        clean.warnings
    );

    let drifting = good(DemoLog::Drifting);
    assert!(
        drifting
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::Drift { .. })),
        "{:?}",
        drifting.warnings
    );

    let saturated = good(DemoLog::Saturated);
    assert!(
        saturated
            .warnings
            .iter()
            .any(|w| matches!(w, Warning::LeftOut { .. })),
        "{:?}",
        saturated.warnings
    );
    let gain = saturated.chosen().model.gain;
    assert!(
        (gain / clean.chosen().model.gain - 1.0).abs() < 0.05,
        "{gain}"
    );
}

#[test]
fn what_carries_no_model_is_refused() {
    let refusal = read(DemoLog::TooSlow).expect_err("too slow");
    assert!(
        matches!(refusal, Refusal::SamplingTooSlow { .. }),
        "{refusal}"
    );
    let refusal = read(DemoLog::NoExcitation).expect_err("no excitation");
    assert!(matches!(refusal, Refusal::NoExcitation { .. }), "{refusal}");
}
