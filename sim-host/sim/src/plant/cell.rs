//! Load cell and amplifier: what becomes of the rod force on its way to 24-bit counts.
//!
//! Order: lash where the force changes sign → span and nonlinearity → creep → zero drift → second-order analogue bandwidth
//! (damping ratio 0.7, discretised exactly for a held input) → Gaussian noise → rounding and saturation at ±(2^23 - 1).

use super::Timing;
use super::actuator::share;
use super::seed::{Stream, stream};
use crate::math::{cos, exp, limit, max, nearest_within, sin, sqrt};
use crate::model::{Cell, Deviations, Machine};
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::PI;

/// Largest magnitude of a count.
pub const FULL_COUNTS: i32 = (1 << 23) - 1;
/// Damping ratio of the amplifier's filter.
pub const DAMPING: f64 = 0.7;

/// Converter: nearest count, saturating at ±`full`, which is [`FULL_COUNTS`] (told and no constant: see `Card` in `sense`).
#[inline]
#[must_use]
pub fn to_counts(value: f64, full: f64) -> i32 {
    nearest_within(value, -full, full)
}

/// Second-order low-pass of unit gain, exact for an input that is held over the tick.
#[derive(Clone, Debug, PartialEq)]
pub struct LowPass {
    phi: [[f64; 2]; 2],
    gamma: [f64; 2],
    state: [f64; 2],
}

impl LowPass {
    /// Natural frequency in Hz (> 0), damping ratio below 1, step in s.
    #[must_use]
    pub fn new(frequency: f64, damping: f64, h: f64) -> Self {
        let omega = 2.0 * PI * max(frequency, 1e-3);
        let damped = omega * sqrt(1.0 - damping * damping);
        let (decay, c, s) = (exp(-damping * omega * h), cos(damped * h), sin(damped * h));
        let ratio = damping * omega / damped;
        let phi = [
            [decay * (c + ratio * s), decay * s / damped],
            [-omega * omega * decay * s / damped, decay * (c - ratio * s)],
        ];
        Self {
            phi,
            gamma: [1.0 - phi[0][0], -phi[1][0]],
            state: [0.0; 2],
        }
    }

    /// At rest on a value.
    pub fn settle(&mut self, value: f64) {
        self.state = [value, 0.0];
    }

    /// One tick with the input held at `u`; returns the output at its end.
    #[inline]
    pub fn step(&mut self, u: f64) -> f64 {
        let [x, y] = self.state;
        self.state = [
            self.phi[0][0] * x + self.phi[0][1] * y + self.gamma[0] * u,
            self.phi[1][0] * x + self.phi[1][1] * y + self.gamma[1] * u,
        ];
        self.state[0]
    }
}

/// The cell of one machine.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct LoadCell {
    filter: LowPass,
    half_lash: f64,
    span: f64,
    parabola: f64,
    creep: [f64; 2],
    creep_amount: [f64; 2],
    creep_share: [f64; 2],
    zero: f64,
    zero_drift: f64,
    noise: f64,
    counts_per_newton: f64,
    /// [`FULL_COUNTS`].
    full: f64,
    random: Stream,
    /// Force after lash and calibration errors, before creep, N: what the creep follows.
    calibrated: f64,
}

impl LoadCell {
    pub fn new(
        machine: &Machine,
        dev: &Deviations,
        seed: u64,
        hanging: f64,
        timing: Timing,
    ) -> Self {
        let c: &Cell = &machine.cell;
        let mut cell = Self {
            filter: LowPass::new(c.bandwidth, DAMPING, timing.fast),
            half_lash: 0.5 * c.lash,
            span: dev.cell_span,
            parabola: c.nonlinearity / c.range,
            creep: [0.0; 2],
            creep_amount: c.creep,
            creep_share: [
                share(c.creep_time[0], timing.slow),
                share(c.creep_time[1], timing.slow),
            ],
            zero: 0.0,
            zero_drift: c.zero_drift,
            noise: c.noise * dev.noise,
            counts_per_newton: c.counts_at_range / c.range,
            full: f64::from(FULL_COUNTS),
            random: stream(seed, "cell", "noise", 0),
            calibrated: 0.0,
        };
        cell.calibrated = cell.calibrate(hanging);
        // It has hung there long enough for its creep to be over.
        cell.creep = [
            cell.creep_amount[0] * cell.calibrated,
            cell.creep_amount[1] * cell.calibrated,
        ];
        let rest = cell.calibrated + cell.creep[0] + cell.creep[1];
        cell.filter.settle(rest);
        cell
    }

    #[inline]
    fn calibrate(&self, force: f64) -> f64 {
        let past_lash = force - limit(force, -self.half_lash, self.half_lash);
        self.span * (past_lash + self.parabola * past_lash * past_lash)
    }

    /// One fast step under `force` in the rod, N: the amplifier's output before its noise, N.
    #[inline(always)]
    pub fn feel(&mut self, force: f64) -> f64 {
        self.calibrated = self.calibrate(force);
        self.filter
            .step(self.calibrated + self.creep[0] + self.creep[1] + self.zero)
    }

    /// Noise of a tick, N. It is drawn once, so that finer steps see the same.
    #[inline(always)]
    pub(crate) fn draw_noise(&mut self) -> f64 {
        let noise: f64 = StandardNormal.sample(&mut self.random);
        self.noise * noise
    }

    /// The last fast step of a tick, and what the amplifier gives out then, N, with the `noise` of the tick.
    #[inline(always)]
    pub fn step(&mut self, force: f64, noise: f64) -> f64 {
        self.feel(force) + noise
    }

    /// Every ten ticks: creep and zero drift, `warmer` being the cell's temperature over its temperature at the tare, K.
    pub fn slow(&mut self, warmer: f64) {
        for i in 0..2 {
            self.creep[i] +=
                (self.creep_amount[i] * self.calibrated - self.creep[i]) * self.creep_share[i];
        }
        self.zero = self.zero_drift * warmer;
    }

    /// Converter: newtons to counts. See [`to_counts`].
    #[inline]
    pub fn counts(&self, newtons: f64) -> i32 {
        to_counts(newtons * self.counts_per_newton, self.full)
    }

    /// Newtons of a full converter.
    pub(crate) fn full_scale(&self) -> f64 {
        f64::from(FULL_COUNTS) / self.counts_per_newton
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    /// One tick of a cell by itself.
    fn one_tick(cell: &mut LoadCell, force: f64) -> f64 {
        let noise = cell.draw_noise();
        cell.step(force, noise)
    }

    fn cell(change: impl FnOnce(&mut Machine)) -> LoadCell {
        let mut machine = demo::machine("machine-a");
        machine.cell.noise = 0.0;
        machine.cell.creep = [0.0; 2];
        machine.cell.nonlinearity = 0.0;
        machine.cell.lash = 0.0;
        change(&mut machine);
        LoadCell::new(&machine, &Deviations::NOMINAL, 1, 0.0, Timing::TICK)
    }

    #[test]
    fn counts_round_and_saturate() {
        let c = cell(|m| m.cell.counts_at_range = 1000.0);
        for (newtons, counts) in [(0.4, 0), (0.6, 1), (-0.6, -1), (-1.49, -1), (2.51, 3)] {
            assert_eq!(c.counts(newtons), counts, "{newtons}");
        }
        assert_eq!(c.counts(1e9), FULL_COUNTS);
        assert_eq!(c.counts(-1e9), -FULL_COUNTS);
        assert_eq!(c.counts(f64::INFINITY), FULL_COUNTS);
        assert_eq!(c.counts(f64::NAN), 0);
    }

    #[test]
    fn lash_eats_a_band_around_zero_and_shifts_both_sides() {
        let mut c = cell(|m| m.cell.lash = 2.0);
        let mut settle = |force: f64| {
            (0..200)
                .map(|_| one_tick(&mut c, force))
                .last()
                .unwrap_or(0.0)
        };
        assert!(settle(0.7).abs() < 1e-6);
        assert!((settle(100.0) - 99.0).abs() < 1e-6);
        assert!((settle(-100.0) + 99.0).abs() < 1e-6);
    }

    #[test]
    fn creep_comes_with_its_two_time_constants() {
        let mut c = cell(|m| {
            m.cell.creep = [1e-3, 2e-3];
            m.cell.creep_time = [10.0, 100.0];
        });
        let mut out = 0.0;
        for tick in 0..10_000 {
            out = one_tick(&mut c, 500.0);
            if tick % 10 == 9 {
                c.slow(0.0);
            }
        }
        let expected =
            500.0 * (1.0 + 1e-3 * (1.0 - (-1.0f64).exp()) + 2e-3 * (1.0 - (-0.1f64).exp()));
        assert!((out - expected).abs() < 1e-3, "{out} against {expected}");
    }

    #[test]
    fn noise_has_the_declared_spread() {
        let mut c = cell(|m| m.cell.noise = 0.3);
        let n = 20_000;
        let all: Vec<f64> = (0..n).map(|_| one_tick(&mut c, 0.0)).collect();
        let mean = all.iter().sum::<f64>() / f64::from(n);
        let sd = (all.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / f64::from(n)).sqrt();
        // Four standard errors of a sample of 20 000.
        assert!(
            (sd - 0.3).abs() < 0.3 * 4.0 / (2.0 * f64::from(n)).sqrt(),
            "{sd}"
        );
        assert!(mean.abs() < 4.0 * 0.3 / f64::from(n).sqrt());
    }
}
