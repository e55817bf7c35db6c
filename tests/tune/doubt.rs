//! A worse log never gives bolder gains, and log and machine file that contradict each other give none.
//!
//! The line is a lag with dead time in closed form; its noise is Gaussian by the sum of twelve even numbers.

use std::fmt::Write as _;
use twinplate_sim::demo;
use twinplate_sim::plant::seed::substream;
use twinplate_tune::effort::Effort;
use twinplate_tune::import::Log;
use twinplate_tune::work::{Request, Source, TuneReport, tune};

const GAIN: f64 = 800.0;
const PERIOD: f64 = 0.05;

fn noise(seed: u64, sample: u64) -> f64 {
    let even = |n: u64| substream(seed, "test", "noise", 12 * sample + n) as f64 / u64::MAX as f64;
    (0..12).map(even).sum::<f64>() - 6.0
}

/// Command up by a tenth at 1 s, back at 3 s; `deviation` is the noise's, N.
fn log(lag: f64, dead_time: f64, period: f64, deviation: f64, seed: u64) -> Log {
    let rise = |t: f64| {
        let since = t - dead_time;
        if since > 0.0 {
            0.1 * GAIN * (1.0 - (-since / lag).exp())
        } else {
            0.0
        }
    };
    let count = (5.0 / period) as u32;
    let time: Vec<f64> = (0..count).map(|n| f64::from(n) * period).collect();
    let command = time
        .iter()
        .map(|t| {
            if (1.0 - 1e-9..3.0 - 1e-9).contains(t) {
                0.3
            } else {
                0.2
            }
        })
        .collect();
    let output = time
        .iter()
        .zip(0..)
        .map(|(t, n)| 160.0 + rise(t - 1.0) - rise(t - 3.0) + deviation * noise(seed, n))
        .collect();
    Log::from_samples(time, command, output, ["1", "N"])
}

fn few() -> Effort {
    Effort {
        runs: 1,
        compare: 1,
        shade: 0,
        plane: [2, 2],
        shades: [2, 2],
        ..Effort::usual(2)
    }
}

fn tuned(log: Log, machine: Option<&twinplate_sim::model::Machine>) -> Result<TuneReport, String> {
    let request = Request {
        machine,
        batch: None,
        source: Source::Log(Box::new(log)),
        filter: None,
        dead_time: None,
        options: few(),
    };
    tune(&request, &|_, _| ()).map_err(|failed| format!("{failed:?}"))
}

/// The same noise, louder and louder, on a lag of a little over two samples. Where the log is refused or nothing holds there is no gain.
#[test]
fn a_worse_log_never_gives_bolder_gains_than_a_clean_one() {
    let gain = |deviation: f64, seed: u64| {
        tuned(log(0.12, 0.05, PERIOD, deviation, seed), None)
            .ok()
            .and_then(|report| {
                let corners = report.recommendation.lines.corners.len();
                assert_eq!(corners, 8, "seed {seed}, {deviation} N");
                report.recommendation.gains()
            })
            .map_or(0.0, |gains| gains.kc)
    };
    let mut told = String::new();
    let mut bolder = 0;
    let mut some = 0;
    for seed in 1..=3 {
        let clean = gain(0.2, seed);
        let noisy = [18.0, 30.0].map(|deviation| gain(deviation, seed));
        let _ = writeln!(told, "seed {seed}: clean {clean:.6}, noisy {noisy:.6?}");
        bolder += noisy.iter().filter(|&&kc| kc > clean).count();
        some += usize::from(clean > 0.0) + usize::from(noisy[0] > 0.0);
    }
    println!("{told}");
    assert!(bolder == 0 && some > 3, "{told}");
}

/// A lag of 3 s where the file says 0.12 s: no gains, no run, and the report says which of the two is how far apart. The same machine's own
/// line has gains.
#[test]
fn a_log_of_another_machine_gives_no_gains() {
    let machine = demo::machine("machine-a");
    let good = tuned(log(0.12, 0.03, 0.01, 0.5, 1), Some(&machine)).expect("a report");
    assert!(good.contradicts.is_empty(), "{:?}", good.contradicts);
    assert!(good.recommendation.gains().is_some() && good.plan.is_some());
    let mut far = log(0.12, 0.03, 0.01, 0.5, 1);
    for time in &mut far.time_s {
        *time *= 25.0;
    }
    let report = tuned(far, Some(&machine)).expect("a report");
    let what: Vec<&str> = report
        .contradicts
        .iter()
        .map(|apart| apart.what.as_str())
        .collect();
    assert_eq!(what, ["lag", "delay"], "{:?}", report.contradicts);
    let lag = &report.contradicts[0];
    assert!((lag.value / 3.0 - 1.0).abs() < 0.05 && (lag.bound / 0.156 - 1.0).abs() < 1e-6);
    assert!(report.recommendation.gains().is_none());
    assert!(report.plan.is_none());
    assert!(
        report
            .recommendation
            .candidates
            .iter()
            .all(|c| c.judged.is_none())
    );
}

/// Machine A's regulator takes 62 ms for a quarter of its range, half of its lag, and 25 ms for a tenth.
#[test]
fn a_step_that_the_regulator_slews_through_is_warned_of() {
    let machine = demo::machine("machine-a");
    let warned = |factor: f64| {
        let mut log = log(0.12, 0.03, 0.01, 0.5, 1);
        for command in &mut log.command {
            *command *= factor;
        }
        for output in &mut log.output {
            *output = 160.0 + (*output - 160.0) * factor;
        }
        let study = tuned(log, Some(&machine))
            .expect("a report")
            .log
            .expect("a log");
        study
            .found
            .warnings
            .iter()
            .any(|warning| warning.code() == "step-slewed")
    };
    assert!(!warned(1.0));
    assert!(warned(2.5));
}
