//! Tuning rules from the literature: SIMC with the half rule, AMIGO, Ziegler–Nichols, relay.
//!
//! Each gives PI gains for a model and says nothing of the machine's limits: they are candidates, and the measure of the optimum.

use std::f64::consts::{PI, TAU};
use twinplate_linear::line::{Defect, Line, LowPass, Transfer, demand};
use twinplate_linear::model::{Order, ProcessModel};
use twinplate_linear::{Cycle, Relay, Ultimate};
use twinplate_sim::math::{abs, log, max, min, sqrt};
use twinplate_sim::model::Gains;

/// Closed-loop times of the SIMC candidates, in effective dead times, with their names.
///
/// One is Skogestad's own choice (J. Process Control 13 (2003) 291–309) and the default rule's: closed-loop time = dead time plus
/// filter lag, gain margin about 3. Half is as quick as Ms 2 lets it be: gain margin `π/2 · 1.5 = 2.4` on a lag with dead time. Two is
/// for a line that is known badly: gain margin 4.7.
pub const CLOSED_LOOP_TIMES: [(f64, &str); 3] = [(0.5, "quick"), (1.0, "even"), (2.0, "easy")];

/// Error feedback as the rules have it.
fn gains(kc: f64, ti: f64) -> Gains {
    Gains {
        kc,
        ti,
        weight: 1.0,
    }
}

/// What the loop waits for besides the process, s: delays of the filters to a slow ramp, holding and computing. The rules count it as
/// dead time.
#[must_use]
pub fn overhead(line: &Line) -> f64 {
    let filters = line.analogue.iter().chain(&line.digital);
    filters.map(LowPass::lag).sum::<f64>() + line.sampling_delay()
}

/// Reduces a process to a lag (or an integrator) with dead time by Skogestad's half rule; `extra` is dead time from elsewhere
/// ([`overhead`]), s.
///
/// The second lag gives half to the first and half to the dead time; smaller lags, times of wrong-way numerators and `extra` go to the
/// dead time whole. Other numerators are taken out against a neighbouring lag first (his rules T1 to T3, from memory), which needs the
/// dead time: it is found by repetition from its smallest.
///
/// # Errors
///
/// The first number that no process can have.
pub fn half_rule(process: &Transfer, extra: f64) -> Result<ProcessModel, Defect> {
    Line::plain(process.clone()).check()?;
    demand(
        extra >= 0.0 && extra.is_finite(),
        "delay besides the process",
        extra,
        "give a finite time in s, 0 or more",
    )?;
    let wrong_way: f64 = process.zeros.iter().map(|zero| max(-zero, 0.0)).sum();
    let least = process.dead_time + extra + wrong_way;
    let mut model = reduce(process, least, least);
    for _ in 0..20 {
        let next = reduce(process, least, model.dead_time);
        if next == model {
            break;
        }
        model = next;
    }
    Ok(model)
}

/// One pass with the dead time `theta` for the numerators; `least` is what is dead time already.
fn reduce(process: &Transfer, least: f64, theta: f64) -> ProcessModel {
    let mut gain = process.gain;
    let mut lags = process.lags.clone();
    lags.sort_by(|a, b| b.total_cmp(a));
    let mut leads: Vec<f64> = process.zeros.iter().copied().filter(|z| *z > 0.0).collect();
    leads.sort_by(|a, b| b.total_cmp(a));
    for lead in leads {
        // The nearest larger lag, else the nearest smaller.
        let place = lags.iter().rposition(|lag| *lag >= lead).unwrap_or(0);
        if place >= lags.len() {
            break;
        }
        let lag = lags.remove(place);
        let (factor, rest) = without_lead(lead, lag, theta);
        gain *= factor;
        if rest > 0.0 {
            let at = lags.iter().position(|other| *other < rest);
            lags.insert(at.unwrap_or(lags.len()), rest);
        }
    }
    if process.integrators > 0 {
        // The integrator is the slowest lag; the largest of the others is the second, and half of it is nothing to an integrator.
        let half = lags.first().map_or(0.0, |second| 0.5 * second);
        let rest: f64 = lags.iter().skip(1).sum();
        return ProcessModel {
            order: Order::Integrating,
            gain,
            tau1: 0.0,
            tau2: 0.0,
            dead_time: least + half + rest,
        };
    }
    let second = lags.get(1).copied().unwrap_or(0.0);
    ProcessModel {
        order: Order::First,
        gain,
        tau1: lags.first().copied().unwrap_or(0.0) + 0.5 * second,
        tau2: 0.0,
        dead_time: least + 0.5 * second + lags.iter().skip(2).sum::<f64>(),
    }
}

/// `(T s + 1)/(τ s + 1)` as a factor and a lag that is left (none: 0).
fn without_lead(lead: f64, lag: f64, theta: f64) -> (f64, f64) {
    if lead >= lag {
        let factor = if lag >= theta {
            lead / lag
        } else if lead >= theta {
            lead / theta
        } else {
            1.0
        };
        return (factor, 0.0);
    }
    if lead >= 5.0 * theta {
        return (lead / lag, 0.0);
    }
    let near = min(lag, 5.0 * theta);
    if near <= lead {
        return (lead / lag, 0.0);
    }
    (near / lag, near - lead)
}

/// SIMC for a model of at most one lag: `Kc = τ/(k (τc + θ))`, `Ti = min(τ, 4(τc + θ))` (Skogestad 2003); an integrator is a slow lag.
///
/// # Errors
///
/// A model with a second lag (reduce it by [`half_rule`]), or a closed-loop time that is not above zero.
pub fn simc(model: &ProcessModel, closed_loop: f64) -> Result<Gains, Defect> {
    one_lag(model)?;
    demand(
        closed_loop > 0.0 && closed_loop.is_finite(),
        "closed-loop time",
        closed_loop,
        "give a finite time in s above zero; the dead time is usual",
    )?;
    let time = closed_loop + model.dead_time;
    Ok(match model.order {
        Order::Integrating => gains(1.0 / (model.gain * time), 4.0 * time),
        Order::First | Order::Second => gains(
            model.tau1 / (model.gain * time),
            min(model.tau1, 4.0 * time),
        ),
    })
}

/// AMIGO PI: `K = 0.15/k + (0.35 - L T/(L + T)²) T/(k L)`, `Ti = 0.35 L + 13 L T²/(T² + 12 L T + 7 L²)`, for an integrator
/// `K = 0.35/(k L)`, `Ti = 13.4 L` (Åström & Hägglund, J. Process Control 14 (2004) 635–650).
///
/// # Errors
///
/// A model with a second lag, or without dead time.
pub fn amigo(model: &ProcessModel) -> Result<Gains, Defect> {
    one_lag(model)?;
    dead(model)?;
    let (k, l, t) = (model.gain, model.dead_time, model.tau1);
    Ok(match model.order {
        Order::Integrating => gains(0.35 / (k * l), 13.4 * l),
        Order::First | Order::Second => gains(
            0.15 / k + (0.35 - l * t / ((l + t) * (l + t))) * t / (k * l),
            0.35 * l + 13.0 * l * t * t / (t * t + 12.0 * l * t + 7.0 * l * l),
        ),
    })
}

/// Ziegler–Nichols from the ultimate gain: `Kc = 0.45 Ku`, `Ti = Tu/1.2` (Trans. ASME 64 (1942) 759–768).
#[must_use]
pub fn ziegler_nichols(ultimate: &Ultimate) -> Gains {
    gains(0.45 * ultimate.kc, ultimate.period() / 1.2)
}

/// Ziegler–Nichols from the reaction curve: `Kc = 0.9 τ/(k θ)`, `Ti = θ/0.3` (as above; from memory).
///
/// # Errors
///
/// A model with a second lag, or without dead time.
pub fn reaction_curve(model: &ProcessModel) -> Result<Gains, Defect> {
    one_lag(model)?;
    dead(model)?;
    let slope = match model.order {
        Order::Integrating => model.gain,
        Order::First | Order::Second => model.gain / model.tau1,
    };
    Ok(gains(
        0.9 / (slope * model.dead_time),
        model.dead_time / 0.3,
    ))
}

/// Ultimate gain as the describing function reads it from a cycle: `Ku = 4d/(π √(a² - ε²))`, the period taken for the ultimate one
/// (Åström & Hägglund, Automatica 20 (1984) 645–651; from memory). It is a reading, not the truth: on a lag with dead time the gain is
/// 19 % too low to 22 % too high.
///
/// # Errors
///
/// A cycle that does not reach past the hysteresis.
pub fn relay_reading(relay: &Relay, cycle: &Cycle) -> Result<Ultimate, Defect> {
    check_cycle(relay, cycle)?;
    let reach = cycle.amplitude * cycle.amplitude - relay.hysteresis * relay.hysteresis;
    Ok(Ultimate {
        kc: 4.0 * relay.height / (PI * sqrt(reach)),
        w: TAU / cycle.period,
    })
}

/// The lag with dead time that has exactly this cycle, its static gain being known (from a step, or from the machine file).
///
/// # Errors
///
/// A cycle that no such model has: no reach past the hysteresis, or past what the gain lets the relay reach.
pub fn relay_exact(relay: &Relay, cycle: &Cycle, gain: f64) -> Result<ProcessModel, Defect> {
    check_cycle(relay, cycle)?;
    let full = abs(gain) * relay.height;
    demand(
        gain.is_finite() && full > cycle.amplitude,
        "static gain",
        gain,
        "under the relay's height it must reach farther than the cycle does: measure it by a step",
    )?;
    // Inverse of the closed form of the cycle: dead time over lag from the amplitude, the lag from the period.
    let ratio = log((full - relay.hysteresis) / (full - cycle.amplitude));
    let turn = log((full + cycle.amplitude) / (full - relay.hysteresis));
    let tau1 = 0.5 * cycle.period / (turn + ratio);
    Ok(ProcessModel {
        order: Order::First,
        gain,
        tau1,
        tau2: 0.0,
        dead_time: ratio * tau1,
    })
}

fn check_cycle(relay: &Relay, cycle: &Cycle) -> Result<(), Defect> {
    demand(
        relay.height > 0.0 && relay.height.is_finite(),
        "height of the relay",
        relay.height,
        "give a finite step of the command above zero",
    )?;
    demand(
        cycle.period > 0.0 && cycle.period.is_finite(),
        "period of the cycle",
        cycle.period,
        "give a finite time in s above zero",
    )?;
    demand(
        cycle.amplitude.is_finite() && cycle.amplitude > relay.hysteresis,
        "amplitude of the cycle",
        cycle.amplitude,
        "it must pass the relay's hysteresis, or there is no cycle to read: raise the relay or narrow its hysteresis",
    )
}

fn one_lag(model: &ProcessModel) -> Result<(), Defect> {
    Line::plain(*model).check()?;
    demand(
        model.tau2 <= 0.0,
        "second lag of the model",
        model.tau2,
        "the rule is for one lag: reduce the model by the half rule",
    )
}

fn dead(model: &ProcessModel) -> Result<(), Defect> {
    demand(
        model.dead_time > 0.0,
        "dead time of the model",
        model.dead_time,
        "the rule divides by it: count the filters' delays as dead time, or use another rule",
    )
}
