//! The ultimate gain, and the cycle that a relay drives a line into.

use super::line::{Defect, Line, demand};
use super::search::{lowest, zero};
use super::sweep::{Sweep, Ultimate};
use crate::model::{Order, ProcessModel};
use twinplate_sim::math::{abs, exp, log, max, min};

/// Ultimate gain of a line under proportional control; none where no gain makes it swing.
///
/// # Errors
///
/// The first number that no loop can be built from.
pub fn ultimate(line: &Line) -> Result<Option<Ultimate>, Defect> {
    let mut sweep = Sweep::new(line)?;
    Ok(sweep.ultimate())
}

/// A relay of height `height` and hysteresis in the loop instead of the controller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relay {
    /// Half the distance between the two commands, command units, > 0.
    pub height: f64,
    /// Half the width of the hysteresis, output units, ≥ 0.
    pub hysteresis: f64,
}

/// The steady cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cycle {
    /// Period, s.
    pub period: f64,
    /// Amplitude of the output, output units.
    pub amplitude: f64,
}

/// The exact steady cycle of a model under a symmetric relay; None where there is none (no dead time and nothing else that makes
/// the output late, or a relay too weak to pass its hysteresis).
///
/// First order and integrating in closed form. Second order: the steady answer to a square wave of half period `H` is a sum of two
/// lags; `H` is the root of `y(H - θ) = ε` (Tsypkin's condition; from memory).
///
/// # Errors
///
/// A number that no relay can be built from.
pub fn cycle(model: &ProcessModel, relay: &Relay) -> Result<Option<Cycle>, Defect> {
    Line::plain(*model).check()?;
    demand(
        relay.height > 0.0 && relay.height.is_finite(),
        "height of the relay",
        relay.height,
        "give a finite step of the command above zero",
    )?;
    demand(
        relay.hysteresis >= 0.0 && relay.hysteresis.is_finite(),
        "hysteresis of the relay",
        relay.hysteresis,
        "give a finite width in output units, 0 or more",
    )?;
    let full = abs(model.gain) * relay.height;
    let (theta, eps) = (model.dead_time, relay.hysteresis);
    if theta <= 0.0 && eps <= 0.0 && model.tau2 <= 0.0 {
        return Ok(None);
    }
    let found = match model.order {
        Order::Integrating => Some(Cycle {
            period: 4.0 * (theta + eps / full),
            amplitude: full * theta + eps,
        }),
        _ if eps >= full => None,
        Order::Second if model.tau2 > 0.0 => second(model, full, eps),
        Order::First | Order::Second => {
            let keep = exp(-theta / model.tau1);
            let amplitude = eps * keep + full * (1.0 - keep);
            let half = theta + model.tau1 * log((full + amplitude) / (full - eps));
            Some(Cycle {
                period: 2.0 * half,
                amplitude,
            })
        }
    };
    Ok(found)
}

fn second(model: &ProcessModel, full: f64, eps: f64) -> Option<Cycle> {
    let (mut slow, mut quick) = (model.tau1, model.tau2);
    if slow - quick < 1e-4 * slow {
        // Equal lags have a form of their own; spread evenly about their mean by δ they differ from it by δ², 1e-8.
        let mean = 0.5 * (slow + quick);
        (slow, quick) = (mean * (1.0 + 1e-4), mean * (1.0 - 1e-4));
    }
    let output = |half: f64, t: f64| {
        let part = |tau: f64| tau * exp(-t / tau) / (1.0 + exp(-half / tau));
        full * (1.0 - 2.0 * (part(slow) - part(quick)) / (slow - quick))
    };
    let theta = model.dead_time;
    let miss = |half: f64| output(half, half - theta) - eps;
    // At H = θ the output is still on the other side; a long half period lets it come to rest at ±k d.
    let (mut low, mut high) = (max(theta, 1e-9 * slow), theta + slow);
    if miss(low) >= 0.0 {
        return None;
    }
    while miss(high) < 0.0 {
        low = high;
        high *= 2.0;
        if high > 1e6 * (slow + theta) {
            return None;
        }
    }
    let half = zero(miss, low, high);
    // After the command has turned at t = 0 the output goes on for a while in its old direction, that is downwards.
    let (_, bottom) = lowest(|t| output(half, t), 0.0, half);
    let bottom = min(bottom, output(half, 0.0));
    Some(Cycle {
        period: 2.0 * half,
        amplitude: -bottom,
    })
}
