//! Logs that nobody here made.

use crate::pages::{check, table};
use twinplate_linear::model::Order;
use twinplate_tune::identify::{FitPlan, Fitted, Identification, Warning, identify};
use twinplate_tune::import::{ImportOptions, Log, import};

/// Source: J. Kantor, Temperature Control Lab course material, Apache-2.0: heater power 50 % from the first sample on, temperature
/// every second, sensor resolution 0.32 °C.
const HEATER: &[u8] = include_bytes!("data/measured_step_test.csv");

fn heater() -> (Log, Identification) {
    let mut options = ImportOptions::default();
    for column in ["time=Time", "command=Q1", "output=T1"] {
        options.column(column).expect("three columns");
    }
    let log = import(HEATER, &options).expect("a log");
    let found = identify(&log, &FitPlan::default()).expect("a model");
    (log, found)
}

/// The first-order fit without drift.
fn first_order(found: &Identification) -> &Fitted {
    found
        .fits
        .iter()
        .find(|fit| fit.model.order == Order::First && !fit.drift)
        .expect("first order")
}

/// Ours and theirs agree to this share.
fn agrees(what: &str, ours: f64, theirs: f64, within: f64) {
    assert!(
        (ours / theirs - 1.0).abs() < within,
        "{what}: {ours} against {theirs}"
    );
}

/// Source of the numbers: scipy 1.17.1 `optimize.least_squares`, initial value free, the same from five starts and by both of its
/// methods (`scipy/measured.py`).
#[test]
fn the_first_order_model_is_that_of_scipy() {
    let (log, found) = heater();
    assert_eq!(log.time_s.len(), 1001);
    assert!(
        log.notes
            .iter()
            .any(|note| note.contains("step from 0 at the first row")),
        "{:?}",
        log.notes
    );
    let first = first_order(&found);
    for (what, ours, theirs) in [
        ("gain", first.model.gain, 0.835_803_9),
        ("lag", first.model.tau1, 150.451_55),
        ("dead time", first.model.dead_time, 27.585_973),
        ("initial value", first.parameters.start.value, 23.396_429),
        ("residual", first.rms, 0.325_681_23),
    ] {
        agrees(what, ours, theirs, 1e-4);
    }
    assert!((first.fit - 0.970_863).abs() < 1e-5, "{}", first.fit);
    assert!(!first.whiteness.white(), "a soft beginning is not white");
}

#[test]
fn the_second_order_model_is_chosen_and_what_is_wrong_is_said() {
    let (_, found) = heater();
    let chosen = found.chosen();
    assert_eq!(chosen.model.order, Order::Second);
    let first = found.of_order(Order::First).expect("first order");
    assert!(chosen.rms < 0.7 * first.rms, "{} {}", chosen.rms, first.rms);
    assert!(chosen.model.dead_time < first.model.dead_time);
    let resolution = found.noise.resolution.expect("a scale");
    assert!((resolution - 0.322).abs() < 0.003, "{resolution}");
    let has = |wanted: fn(&Warning) -> bool| found.warnings.iter().any(wanted);
    assert!(
        has(|w| matches!(w, Warning::FirstOrderMissesStart { .. })),
        "{:?}",
        found.warnings
    );
    assert!(
        has(|w| matches!(w, Warning::ResolutionDominates { .. })),
        "{:?}",
        found.warnings
    );
}

/// The page says what came of it.
#[test]
fn the_page_has_the_measured_log() {
    let (_, found) = heater();
    let rows = found
        .fits
        .iter()
        .filter(|fit| !fit.drift && fit.model.order != Order::Integrating)
        .map(|fit| {
            let lags = if fit.model.tau2 > 0.0 {
                format!("{:.1} s, {:.1} s", fit.model.tau1, fit.model.tau2)
            } else {
                format!("{:.1} s", fit.model.tau1)
            };
            vec![
                fit.words.clone(),
                format!("{:.4} °C/%", fit.model.gain),
                lags,
                format!("{:.1} s", fit.model.dead_time),
                format!("{:.1} %", 100.0 * fit.fit),
                format!("{:.3} °C", fit.rms),
            ]
        });
    let head = ["model", "gain", "lags", "dead time", "fit", "residual"];
    check("docs/tuning.md", "measured", &table(&head, rows));
}

/// Source of the first four numbers: those that came with the log, "FOPDT, scipy `least_squares`, y0 free". Their dead time is where the
/// search began, not where the least squares are (the sum of squares has a kink at every sample, and the search did not leave its
/// own); with that dead time held, ours must be their model.
#[test]
fn with_its_dead_time_held_the_model_is_the_published_one() {
    let (log, _) = heater();
    let options = FitPlan {
        dead_time: Some(16.8),
        ..FitPlan::default()
    };
    let found = identify(&log, &options).expect("a model");
    let first = first_order(&found);
    for (what, ours, theirs) in [
        ("gain", first.model.gain, 0.8735),
        ("lag", first.model.tau1, 155.7),
        ("initial value", first.parameters.start.value, 21.61),
        ("residual", first.rms, 0.419),
        ("fit", first.fit, 0.9625),
    ] {
        agrees(what, ours, theirs, 0.02);
    }
    let held = first.parameters.dead_time;
    assert!((held.value - 16.8).abs() < 1e-9, "{held:?}");
    assert!(
        held.high - held.low < 1e-9,
        "known, so no interval: {held:?}"
    );
    // Scipy 1.17.1 with the dead time held (`scipy/measured.py`).
    for (what, ours, theirs) in [
        ("gain", first.model.gain, 0.874_222_54),
        ("lag", first.model.tau1, 155.790_455_78),
        ("initial value", first.parameters.start.value, 21.577_799_8),
        ("residual", first.rms, 0.421_966_950_9),
    ] {
        agrees(what, ours, theirs, 1e-4);
    }
}

#[test]
fn a_known_dead_time_that_cannot_be_is_refused() {
    let (log, _) = heater();
    for wrong in [-1.0, 1000.0, 1e9, f64::NAN] {
        let options = FitPlan {
            dead_time: Some(wrong),
            ..FitPlan::default()
        };
        let refused = identify(&log, &options).expect_err("refused");
        assert_eq!(refused.code(), "dead-time-beyond-log", "{wrong}");
    }
}
