//! Exact answer of a model to a command that is held between its changes, with its derivatives: the closed solution from one
//! change or sample to the next, whatever the spacing of either. Dead time is a real number, not a count of samples.
//!
//! The model's answer is `y(t) = y0 + d·(t - t0) + k·x(t - θ)`; this file gives `x` and its derivatives by lags and dead time.
//! At the beginning the process rests at the command's first value.

use twinplate_linear::model::Order;
use twinplate_sim::math::exp;

/// A change of the command: from this time on it has this value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// When, s.
    pub time: f64,
    /// By how much the command changes, command units.
    pub by: f64,
}

/// `x` of one sample and its derivatives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Row {
    /// Answer of the model with gain 1, command units (command unit·s when integrating).
    pub x: f64,
    /// Derivatives by the natural logarithms of the two lags.
    pub by_log_tau: [f64; 2],
    /// Derivative by the dead time, 1/s: minus the rate of `x`.
    pub by_dead_time: f64,
}

/// Lags and dead time, s, that a response is computed for; `tau` is used as far as the order has lags.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dynamics {
    /// Form.
    pub order: Order,
    /// Lags, s, > 0, in either order.
    pub tau: [f64; 2],
    /// Dead time, s, not negative.
    pub dead_time: f64,
}

/// What a process remembers: for the lagged ones as distance from where it will settle, with derivatives by `a = 1/τ`, `b = 1/τ₂`.
#[derive(Clone, Copy, Debug, Default)]
struct State {
    input: f64,
    e1: f64,
    e1_a: f64,
    e2: f64,
    e2_a: f64,
    e2_b: f64,
}

/// Below this `z` the integrals of [`blend`] are summed as series: the closed forms cancel.
const SERIES_BELOW: f64 = 0.3;

/// `∫₀¹ e^(-zv) dv` and `∫₀¹ v e^(-zv) dv` for `z ≥ 0`, given `e^(-z)`.
fn blend(z: f64, exp_z: f64) -> (f64, f64) {
    if z < SERIES_BELOW {
        let (mut phi, mut psi, mut term) = (0.0, 0.0, 1.0);
        // Eleven terms of z < 0.3: the last is below 1e-13.
        for n in 0..11 {
            let n = f64::from(n);
            phi += term / (n + 1.0);
            psi += term / (n + 2.0);
            term *= -z / (n + 1.0);
        }
        (phi, psi)
    } else {
        ((1.0 - exp_z) / z, (1.0 - exp_z * (1.0 + z)) / (z * z))
    }
}

impl State {
    fn change(&mut self, by: f64) {
        self.input += by;
        self.e1 -= by;
        self.e2 -= by;
    }

    /// `s` seconds on with the command held.
    fn forward(&mut self, order: Order, rate: [f64; 2], s: f64) {
        match order {
            // Here `e1` is the integral itself.
            Order::Integrating => self.e2 += self.input * s,
            Order::First => {
                let keep = exp(-rate[0] * s);
                self.e1_a = keep * (self.e1_a - s * self.e1);
                self.e1 *= keep;
            }
            Order::Second => {
                let [a, b] = rate;
                let (keep_a, keep_b) = (exp(-a * s), exp(-b * s));
                // ∫₀^s e^(-ar) e^(-b(s-r)) dr and its two derivatives, from the slower decay so that nothing overflows.
                let (slow, ratio, z) = if a <= b {
                    (keep_a, exp(-(b - a) * s), (b - a) * s)
                } else {
                    (keep_b, exp(-(a - b) * s), (a - b) * s)
                };
                let (phi, psi) = blend(z, ratio);
                let d = s * slow * phi;
                let (late, early) = (-s * s * slow * psi, -s * s * slow * (phi - psi));
                let (d_a, d_b) = if a <= b { (early, late) } else { (late, early) };
                self.e2_a = keep_b * self.e2_a + b * (self.e1_a * d + self.e1 * d_a);
                self.e2_b = keep_b * (self.e2_b - s * self.e2) + self.e1 * (d + b * d_b);
                self.e2 = keep_b * self.e2 + b * self.e1 * d;
                self.e1_a = keep_a * (self.e1_a - s * self.e1);
                self.e1 *= keep_a;
            }
        }
    }

    fn row(&self, order: Order, rate: [f64; 2]) -> Row {
        let [a, b] = rate;
        match order {
            Order::Integrating => Row {
                x: self.e2,
                by_log_tau: [0.0; 2],
                by_dead_time: -self.input,
            },
            Order::First => Row {
                x: self.input + self.e1,
                by_log_tau: [-a * self.e1_a, 0.0],
                by_dead_time: a * self.e1,
            },
            Order::Second => Row {
                x: self.input + self.e2,
                by_log_tau: [-a * self.e2_a, -b * self.e2_b],
                by_dead_time: -b * (self.e1 - self.e2),
            },
        }
    }
}

/// Answers at the given times (s, not falling) to the changes (in order of time), into `rows`.
pub fn respond(times: &[f64], changes: &[Change], dynamics: &Dynamics, rows: &mut Vec<Row>) {
    rows.clear();
    let order = dynamics.order;
    let rate = dynamics.tau.map(|tau| 1.0 / tau);
    let mut state = State::default();
    let mut now = times.first().copied().unwrap_or(0.0);
    let mut due = changes.iter().peekable();
    if let Some(first) = changes.first() {
        now = twinplate_sim::math::min(now, first.time + dynamics.dead_time);
    }
    // The integral must not jump with the command, as the distances from rest do.
    let integrating = order == Order::Integrating;
    for &time in times {
        while let Some(change) = due.next_if(|change| change.time + dynamics.dead_time <= time) {
            let at = change.time + dynamics.dead_time;
            state.forward(order, rate, at - now);
            now = at;
            if integrating {
                state.input += change.by;
            } else {
                state.change(change.by);
            }
        }
        state.forward(order, rate, time - now);
        now = time;
        rows.push(state.row(order, rate));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CHANGES: [Change; 3] = [
        Change { time: 1.0, by: 2.0 },
        Change {
            time: 1.7,
            by: -3.0,
        },
        Change { time: 4.0, by: 0.5 },
    ];

    fn all(dynamics: &Dynamics) -> Vec<Row> {
        let times: Vec<f64> = (0..90)
            .map(|i| 0.1 * f64::from(i) + 0.003 * f64::from(i % 7))
            .collect();
        let mut rows = Vec::new();
        respond(&times, &CHANGES, dynamics, &mut rows);
        rows
    }

    /// Closed forms of the unit step answers (any control textbook), summed over the changes.
    #[test]
    fn answers_are_sums_of_step_answers() {
        let step = |order, [t1, t2]: [f64; 2], t: f64| -> f64 {
            if t <= 0.0 {
                return 0.0;
            }
            match order {
                Order::Integrating => t,
                Order::First => 1.0 - (-t / t1).exp(),
                Order::Second => 1.0 - (t1 * (-t / t1).exp() - t2 * (-t / t2).exp()) / (t1 - t2),
            }
        };
        for order in [Order::Integrating, Order::First, Order::Second] {
            for tau in [[0.8, 0.3], [0.3, 0.8], [5.0, 0.02], [0.5, 0.4999]] {
                let dynamics = Dynamics {
                    order,
                    tau,
                    dead_time: 0.37,
                };
                for (i, row) in all(&dynamics).iter().enumerate() {
                    let time = 0.1 * i as f64 + 0.003 * (i % 7) as f64;
                    let expected: f64 = CHANGES
                        .iter()
                        .map(|c| c.by * step(order, tau, time - c.time - 0.37))
                        .sum();
                    assert!(
                        (row.x - expected).abs() < 1e-9,
                        "{order:?} {tau:?} at {time}: {} {expected}",
                        row.x
                    );
                }
            }
        }
    }

    /// Against central differences; samples on a change of the delayed command have no derivative and are left out.
    #[test]
    fn derivatives_are_those_of_the_answer() {
        let h = 1e-6;
        for order in [Order::Integrating, Order::First, Order::Second] {
            for tau in [[0.8, 0.3], [0.3, 0.8], [5.0, 0.02], [0.5, 0.5], [0.5, 0.49]] {
                let at = |i: usize, d: f64| {
                    let mut moved = Dynamics {
                        order,
                        tau,
                        dead_time: 0.3712,
                    };
                    match i {
                        2 => moved.dead_time += d,
                        i => moved.tau[i] *= d.exp(),
                    }
                    all(&moved)
                };
                let here = at(2, 0.0);
                for i in 0..3 {
                    let (up, down) = (at(i, h), at(i, -h));
                    for (n, row) in here.iter().enumerate() {
                        let numeric = (up[n].x - down[n].x) / (2.0 * h);
                        let exact = [row.by_log_tau[0], row.by_log_tau[1], row.by_dead_time][i];
                        assert!(
                            (numeric - exact).abs() < 2e-6,
                            "{order:?} {tau:?} {i} {n}: {numeric} {exact}"
                        );
                    }
                }
            }
        }
    }
}
