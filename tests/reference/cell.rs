//! The plant's load cell: analogue bandwidth and quantisation.

use crate::rig::Rig;
use crate::table::numbers;
use firmware_core::process_image::RodValve;
use twinplate_sim::model::Deviations;
use twinplate_sim::plant::cell::{FULL_COUNTS, LowPass, to_counts};

/// Source: `cell_filter.csv`, scipy.signal.cont2discrete (zero-order hold) of `w^2/(s^2 + 1.4 w s + w^2)` at 1 kHz.
///
/// The plant goes through a descent, first contact and a press; its true rod force through scipy's coefficients must be its
/// counts, to half a count (rounding, 0.08 mN) and as much again for rounding in between.
#[test]
fn the_amplifier_is_the_exact_discretisation_of_its_bandwidth() {
    for row in numbers(include_str!("data/cell_filter.csv")) {
        let [bandwidth, b1, b2, a1, a2] = row[..] else {
            panic!("five columns");
        };
        let mut rig = Rig::plain(&Deviations::NOMINAL, |m, _, _| {
            m.cell.bandwidth = bandwidth;
            m.actuator.height_raised = 0.010;
        });
        let newton = rig.machine.cell.counts_at_range / rig.machine.cell.range;
        let rest = -rig.machine.actuator.weight();
        let (mut last, mut y1, mut y2) = (rest, rest, rest);
        let (mut largest, mut fastest) = (0.0_f64, 0.0_f64);
        for tick in 0..24_000 {
            rig.out.rod = if tick < 12_000 {
                RodValve::LowerCreep
            } else {
                RodValve::Float
            };
            if tick == 20_000 {
                rig.out.rod = RodValve::LowerFast;
            }
            if tick >= 14_000 {
                rig.press(if tick % 500 < 250 { 0.6 } else { 0.1 });
            }
            rig.tick();
            // scipy's `b1` belongs to the input of the tick that has just ended: the plant holds this tick's force over it.
            let force = rig.plant.truth().rod_force;
            fastest = fastest.max((force - last).abs());
            let y = b1 * force + b2 * last - a1 * y1 - a2 * y2;
            last = force;
            (y2, y1) = (y1, y);
            let counts = f64::from(rig.plant.inputs().cell_counts);
            largest = largest.max((counts - y * newton).abs());
        }
        assert!(largest <= 0.505, "{bandwidth} Hz: {largest} counts off");
        assert!(
            fastest > 1.0,
            "the force never moved fast enough to tell: {fastest} N a tick"
        );
    }
}

/// Source: `low_pass_100hz.csv`, scipy.signal.cont2discrete (zero-order hold) and dlsim: a step and noise of hundreds of
/// newtons. Both are exact for a held input: only rounding differs.
#[test]
fn the_filter_answers_step_and_noise_as_the_exact_discretisation() {
    let mut filter = LowPass::new(100.0, 0.7, 1e-3);
    let mut compared = 0;
    for row in numbers(include_str!("data/low_pass_100hz.csv")) {
        let out = filter.step(row[0]);
        assert!(
            (out - row[1]).abs() < 1e-9,
            "row {compared}: {out} against {}",
            row[1]
        );
        compared += 1;
    }
    assert_eq!(compared, 243);
}

/// Source: `rounding_24bit.csv`, numpy.rint and numpy.clip.
#[test]
fn counts_are_rounded_to_even_and_clipped_to_24_bits() {
    let full = f64::from(FULL_COUNTS);
    for row in numbers(include_str!("data/rounding_24bit.csv")) {
        assert_eq!(f64::from(to_counts(row[0], full)), row[1], "{}", row[0]);
    }
}

/// Source: `quantised_noise.csv`, scipy.stats.norm.cdf over the rounding intervals; limit scipy.stats.chi2.ppf(0.9999, 6).
///
/// A coarse converter (1 N a count) on 0.8 N of noise, the plate hanging: counts must be a rounded normal variable. A
/// truncating converter shifts the mean by half a count and fails by thousands.
#[test]
fn counts_of_a_noisy_cell_are_a_rounded_normal_variable() {
    let mut rig = Rig::plain(&Deviations::NOMINAL, |m, _, _| {
        m.cell.noise = 0.8;
        m.cell.counts_at_range = m.cell.range;
    });
    rig.out.pin_withdraw = false;
    let table: Vec<Vec<f64>> = numbers(include_str!("data/quantised_noise.csv")).collect();
    let lowest = table[0][0];
    let mut seen = vec![0.0; table.len()];
    let samples = 40_000;
    for _ in 0..samples {
        rig.tick();
        let counts = f64::from(rig.plant.inputs().cell_counts);
        let class = (counts - lowest).clamp(0.0, (table.len() - 1) as f64);
        seen[class as usize] += 1.0;
    }
    assert!((rig.plant.truth().rod_force + rig.machine.actuator.weight()).abs() < 1e-3);
    let chi: f64 = table
        .iter()
        .zip(&seen)
        .map(|(row, seen)| {
            let expected = row[1] * f64::from(samples);
            (seen - expected).powi(2) / expected
        })
        .sum();
    assert!(chi < 27.856, "chi-squared {chi}: {seen:?}");
}
