//! Whether a log is of the machine that a file declares, and whether its steps were small enough to show the lag.

use super::candidates::Broken;
use super::identify::{Estimate, Fitted, Warning};
use super::import::Log;
use super::judge;
use twinplate_linear::model::{Order, ProcessModel};
use twinplate_sim::compile::filter_lag;
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::{Machine, Of, Shown};

/// Share of the fitted lag that the regulator may be on its way through the largest step: more, and the model's delay is made of it.
const SLEWING: f64 = 0.25;

/// What log and machine file say of each other.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Against {
    /// The whole 95 % interval lies outside what the file admits.
    pub contradicts: Vec<Broken>,
    /// The best value does, the interval reaches in; one sentence each.
    pub notes: Vec<String>,
}

/// A contradiction in a sentence.
pub fn words(apart: &Broken, shown: &Shown) -> String {
    if !apart.value.is_finite() {
        return "The log shows an integrating line, the machine file declares one that settles."
            .to_owned();
    }
    let [value, _, unit] = apart.told(shown);
    format!(
        "The log's {}, {value}{unit}, lies outside what the machine file admits, {}.",
        apart.what, apart.at
    )
}

/// Largest change of the command from one row to the next.
fn largest_step(log: &Log) -> f64 {
    log.command
        .windows(2)
        .fold(0.0, |most, pair| max(most, abs(pair[1] - pair[0])))
}

/// Where the found model lies outside what the machine file admits. A log's delay holds more than the regulator's dead time: the cell's
/// filter, half the time that the regulator slews through the largest step, and up to a sample (`period`, s) by which the step came
/// earlier.
pub(super) fn find(
    fit: &Fitted,
    machine: &Machine,
    log: &Log,
    period: f64,
    shown: &Shown,
) -> Against {
    let (actuator, envelope) = (&machine.actuator, &machine.envelope);
    let mut against = Against::default();
    if fit.model.order == Order::Integrating {
        against.contradicts.push(Broken {
            what: "lag".to_owned(),
            value: f64::INFINITY,
            bound: actuator.lag * (1.0 + envelope.lag),
            unit: "s",
            of: None,
            at: "a line that settles".to_owned(),
        });
        return against;
    }
    let delays =
        filter_lag(machine.cell.bandwidth) + 0.5 * largest_step(log) / actuator.slew + period;
    let around = |declared: f64, half: f64| [declared * (1.0 - half), declared * (1.0 + half)];
    let [short, long] = around(actuator.dead_time, envelope.dead_time);
    let parameters = &fit.parameters;
    let [first, second] = [parameters.tau1, parameters.tau2];
    let lag = Estimate {
        value: first.value + second.value,
        low: first.low + second.low,
        high: first.high + second.high,
    };
    let gains = around(actuator.line_gain(), envelope.regulator_gain);
    let lags = around(actuator.lag, envelope.lag);
    for (what, found, [low, high], of) in [
        ("gain", parameters.gain, gains, Some(Of::Load)),
        ("lag", lag, lags, None),
        ("delay", parameters.dead_time, [short, long + delays], None),
    ] {
        let unit = of.map_or("s", Of::unit);
        let [least, most, told] = judge::told(of, [low, high], unit, shown);
        let apart = Broken {
            what: what.to_owned(),
            value: found.value,
            bound: if found.value < low { low } else { high },
            unit,
            of,
            at: format!("{least} to {most}{told}"),
        };
        if found.low > high || found.high < low {
            against.contradicts.push(apart);
        } else if found.value < low || found.value > high {
            against.notes.push(format!(
                "{} The log's interval reaches in: mend the file, widen its envelope, or take a longer or cleaner log.",
                words(&apart, shown)
            ));
        }
    }
    against
}

/// A step so large that the regulator is on its way through it for a good part of the lag.
pub(super) fn slewed(model: &ProcessModel, machine: &Machine, log: &Log) -> Option<Warning> {
    let lag = model.tau1 + model.tau2;
    let step = largest_step(log);
    let seconds = step / machine.actuator.slew;
    (lag > 0.0 && seconds > SLEWING * lag).then_some(Warning::Slewed { step, seconds, lag })
}
