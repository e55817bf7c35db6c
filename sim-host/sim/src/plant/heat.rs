//! Lumped plate temperatures, and the size gauge that feels them.

use super::actuator::share;
use super::seed::{Stream, stream};
use crate::model::{Deviations, Machine};
use firmware_core::process_image::FACES;
use rand_distr::{Distribution, StandardNormal};

/// Lag of the size gauge, s. Invented.
const GAUGE_LAG: f64 = 0.5;
/// Noise of the size gauge, m standard deviation. Invented.
const GAUGE_NOISE: f64 = 30e-9;
/// Thermal offset of the size gauge, m per kelvin of the plates over the room. Invented.
const GAUGE_PER_KELVIN: f64 = 20e-9;
/// Time over which the size gauge drifts by the declared amount, s: a shift of eight hours.
const GAUGE_SHIFT: f64 = 8.0 * 3600.0;

/// Two plates, each one capacity, cooled to its base and the room.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Heat {
    ambient: f64,
    step_over_capacity: f64,
    cooling: f64,
    plate_share: f64,
    /// Lower and upper plate, °C.
    pub plates: [f64; FACES],
    /// Heat through each plate, W: the mean of what comes in at its face and of what its cooling takes.
    pub through: [f64; FACES],
}

impl Heat {
    pub fn new(machine: &Machine, step: f64) -> Self {
        let t = &machine.thermal;
        Self {
            ambient: t.ambient,
            step_over_capacity: step / t.capacity,
            cooling: t.cooling,
            plate_share: 1.0 - t.slurry_share,
            plates: [t.ambient; 2],
            through: [0.0; 2],
        }
    }

    /// One slow step: `power` is the friction power of each face, W, `cooling` the share of the cooling that works.
    pub fn step(&mut self, power: [f64; FACES], cooling: f64) {
        let plates = self.plates.iter_mut().zip(&mut self.through);
        for ((plate, through), heat) in plates.zip(power) {
            let (gained, lost) = (
                self.plate_share * heat,
                self.cooling * cooling * (*plate - self.ambient),
            );
            *plate += self.step_over_capacity * (gained - lost);
            *through = 0.5 * (gained + lost);
        }
    }

    /// Mean of the two plates over the room, K.
    pub fn warmer(&self) -> f64 {
        0.5 * (self.plates[0] + self.plates[1]) - self.ambient
    }
}

/// Size gauge: mean thickness with lag and noise, the error of its zero, its drift since it was set, and its thermal offset.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Gauge {
    lagged: f64,
    keep: f64,
    bias: f64,
    drift: f64,
    per_kelvin: f64,
    random: Stream,
}

impl Gauge {
    pub fn new(thickness: f64, step: f64, dev: &Deviations, seed: u64) -> Self {
        Self {
            lagged: thickness,
            keep: share(GAUGE_LAG, step),
            bias: dev.gauge_bias,
            drift: dev.gauge_drift / GAUGE_SHIFT,
            per_kelvin: GAUGE_PER_KELVIN * dev.gauge_temperature,
            random: stream(seed, "gauge", "noise", 0),
        }
    }

    /// One reading, m, `since` seconds after the gauge was set.
    pub fn step(&mut self, thickness: f64, warmer: f64, since: f64) -> f64 {
        self.lagged += (thickness - self.lagged) * self.keep;
        let noise: f64 = StandardNormal.sample(&mut self.random);
        let off = self.bias + self.drift * since + self.per_kelvin * warmer;
        self.lagged + off + GAUGE_NOISE * noise
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    #[test]
    fn a_plate_warms_to_power_over_cooling_with_capacity_over_cooling() {
        let machine = demo::machine("machine-a");
        let mut heat = Heat::new(&machine, 0.01);
        let t = &machine.thermal;
        let lag = t.capacity / t.cooling;
        for _ in 0..(lag / 0.01) as u32 {
            heat.step([240.0, 0.0], 1.0);
        }
        let rise = 240.0 * (1.0 - t.slurry_share) / t.cooling * (1.0 - (-1.0f64).exp());
        // Explicit steps of 0.01 s on a lag of minutes: relative error about step/(2 lag).
        assert!((heat.plates[0] - t.ambient - rise).abs() < 1e-4);
        assert_eq!(heat.plates[1], t.ambient);
    }

    #[test]
    fn the_gauge_is_off_by_bias_drift_and_warmth() {
        let mean = |dev: &Deviations, warmer: f64, since: f64| {
            let mut gauge = Gauge::new(1e-3, 0.1, dev, 5);
            let sum: f64 = (0..4000).map(|_| gauge.step(1e-3, warmer, since)).sum();
            sum / 4000.0 - 1e-3
        };
        let plain = mean(&Deviations::NOMINAL, 0.0, 0.0);
        let off = |dev: Deviations, warmer: f64, since: f64| mean(&dev, warmer, since) - plain;
        let nominal = Deviations::NOMINAL;
        let biased = Deviations {
            gauge_bias: 0.4e-6,
            ..nominal
        };
        assert!((off(biased, 0.0, 0.0) - 0.4e-6).abs() < 1e-15);
        let drifting = Deviations {
            gauge_drift: -0.5e-6,
            ..nominal
        };
        assert!(off(drifting, 0.0, 0.0).abs() < 1e-15);
        assert!((off(drifting, 0.0, GAUGE_SHIFT) + 0.5e-6).abs() < 1e-15);
        let warm = Deviations {
            gauge_temperature: 1.5,
            ..nominal
        };
        assert!((off(warm, 4.0, 0.0) - 1.5 * 4.0 * GAUGE_PER_KELVIN).abs() < 1e-15);
    }
}
