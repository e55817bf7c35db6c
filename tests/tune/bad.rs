//! Logs that carry no model: each is refused, for its own reason, with a cure, and never gives a model.

use twinplate_tune::identify::{FitPlan, identify};
use twinplate_tune::import::{ImportOptions, Log, import};

/// The reason is the name of the file (made by `bad/make.py`).
macro_rules! bad {
    ($($name:literal),+ $(,)?) => { [$(($name, include_bytes!(concat!("bad/", $name, ".csv")).as_slice())),+] };
}

#[test]
fn every_bad_log_is_refused_for_its_own_reason() {
    let logs = bad!(
        "no-excitation",
        "too-few-samples",
        "stuck-output",
        "columns-swapped",
        "clipped-throughout",
        "no-response",
        "uncorrelated",
        "drift-dwarfs-response",
        "sampling-too-slow",
        "gap-in-rise",
        "step-not-finished",
        "log-time-not-rising",
    );
    let mut wrong = Vec::new();
    for (name, bytes) in logs {
        let (code, said, cure) = match import(bytes, &ImportOptions::default()) {
            Err(error) => (error.code(), error.to_string(), error.cure()),
            Ok(log) => match identify(&log, &FitPlan::default()) {
                Err(refusal) => (refusal.code(), refusal.to_string(), refusal.cure()),
                Ok(found) => (
                    "a model",
                    format!("{:?}", found.chosen().model),
                    String::new(),
                ),
            },
        };
        println!("{name}: {said}\n    {cure}");
        // Numbers and a cure, not a shrug.
        let speaks = said.chars().any(|c| c.is_ascii_digit()) && cure.len() > 20;
        if code != name || !speaks {
            wrong.push(format!("{name}: {code}: {said}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The same logs without what is wrong with them give a model: the refusals are not for some other reason.
#[test]
fn a_good_log_of_the_same_machine_is_not_refused() {
    let mut text = String::from("time [s],command [%],load [N]\n");
    for i in 0..400 {
        let t = 0.01 * f64::from(i);
        let rise = if t > 1.02 {
            160.0 * (1.0 - (-(t - 1.02) / 0.12_f64).exp())
        } else {
            0.0
        };
        // A sum of sines without a common period stands for noise.
        let noise = (1234.567 * t).sin() + 0.7 * (77.7 * f64::from(i * i)).sin();
        text.push_str(&format!(
            "{t:.3},{},{:.2}\n",
            if i < 100 { 20 } else { 40 },
            150.0 + rise + noise
        ));
    }
    let log = import(text.as_bytes(), &ImportOptions::default()).expect("a log");
    let found = identify(&log, &FitPlan::default()).expect("a model");
    let model = found.chosen().model;
    // 8 N per per cent is 800 N for the whole command.
    assert!(
        (model.gain / 800.0 - 1.0).abs() < 0.02 && (model.tau1 / 0.12 - 1.0).abs() < 0.1,
        "{model:?}"
    );
}

/// Whatever the numbers: a refusal or a model, never a panic, and no model with a number that is none.
#[test]
fn no_numbers_make_it_panic() {
    let mut state = 7_u64;
    let mut random = || {
        // Knuth's multiplier (from memory): any source of disorder will do.
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    for round in 0..60 {
        let n = 5 + (random() * 80.0) as usize;
        let scale = 10_f64.powf(random() * 600.0 - 300.0);
        let held = 1 + (random() * 12.0) as usize;
        let (mut time, mut command) = (0.0, 0.0);
        let mut log = (Vec::new(), Vec::new(), Vec::new());
        for i in 0..n {
            time += 10_f64.powf(random() * 4.0 - 2.0) * if round % 5 == 0 { scale } else { 1.0 };
            if i % held == 0 {
                command = random() * if round % 3 == 0 { scale } else { 1.0 };
            }
            log.0.push(time);
            log.1.push(command);
            log.2.push(match round % 4 {
                0 => random() * scale,
                1 => command,
                2 => time * time,
                _ => (random() * 3.0).floor(),
            });
        }
        let log = Log::from_samples(log.0, log.1, log.2, ["1", "N"]);
        if let Ok(found) = identify(&log, &FitPlan::default()) {
            let model = found.chosen().model;
            let all = [model.gain, model.tau1, model.tau2, model.dead_time];
            assert!(all.iter().all(|value| value.is_finite()), "{model:?}");
            assert!(
                model.gain != 0.0
                    && model.tau1 >= model.tau2
                    && model.tau2 >= 0.0
                    && model.dead_time >= 0.0,
                "{model:?}"
            );
        }
    }
    let empty = Log::from_samples(Vec::new(), Vec::new(), Vec::new(), ["1", "N"]);
    assert!(identify(&empty, &FitPlan::default()).is_err());
}
