//! The core's load filter and its scaling of counts.

use crate::table::numbers;
use firmware_core::process_image::Inputs;
use firmware_core::signal::{Biquad, Signal};
use firmware_core::units::{Hertz, NewtonsPerCount};
use twinplate_sim::compile;
use twinplate_sim::demo;

/// One unit of the last place of an `f32` of one.
const EPS: f64 = f32::EPSILON as f64;

/// Source: `filter_coefficients.csv`, scipy.signal.butter(2, corner, fs=1000).
///
/// Each coefficient is a handful of `f32` operations on `w = tan(pi fc h)`: numerators to eight units in the last place of
/// themselves; `a1`, `a2` of size one to four of one (their own last place, rounded up).
#[test]
fn coefficients_are_those_of_the_reference_design() {
    for row in numbers(include_str!("data/filter_coefficients.csv")) {
        let ours = Biquad::low_pass(Hertz::new(row[0] as f32)).coefficients();
        for (i, &c) in ours.iter().enumerate() {
            let allowed = if i < 3 {
                8.0 * EPS * row[1 + i]
            } else {
                4.0 * EPS
            };
            let off = (f64::from(c) - row[1 + i]).abs();
            assert!(
                off <= allowed,
                "corner {} Hz, coefficient {i}: off by {off:e}",
                row[0]
            );
        }
    }
}

/// Source: the gain columns of `filter_coefficients.csv`, scipy.signal.freqz of the double-precision design.
///
/// `a1` and `a2` are rounded to `f32`, and at low frequency the gain is a small difference of theirs: an error of a last place
/// grows by `1/(b0 + b1 + b2)`. The gain is measured from the step-by-step answer to a sine, not from the coefficients.
#[test]
fn gains_below_at_and_above_the_corner() {
    for row in numbers(include_str!("data/filter_coefficients.csv")) {
        let corner = row[0];
        let allowed = 1e-4 + 8.0 * EPS / (row[1] + row[2] + row[3]);
        for (octaves, expected) in [(0.25, row[6]), (1.0, row[7]), (2.0, row[8])] {
            let gain = gain_at(corner, octaves * corner);
            assert!(
                (gain - expected).abs() < allowed,
                "{corner} Hz at {octaves}: {gain} against {expected}"
            );
        }
        let unity = gain_at(corner, 0.0);
        assert!(
            (unity - 1.0).abs() < 8.0 * EPS / (row[1] + row[2] + row[3]),
            "{corner} Hz at rest: {unity}"
        );
    }
}

/// Gain of the filter for a sine, by correlation over whole periods after it has settled.
fn gain_at(corner: f64, frequency: f64) -> f64 {
    let mut filter = Biquad::low_pass(Hertz::new(corner as f32));
    let settle = (4000.0 / corner) as u32;
    if frequency == 0.0 {
        let y = (0..4 * settle)
            .map(|_| f64::from(filter.step(1.0)))
            .last()
            .unwrap_or(0.0);
        return y;
    }
    // 2000 ticks hold a whole number of periods of every frequency of the table (multiples of 0.5 Hz).
    let (mut re, mut im) = (0.0, 0.0);
    for tick in 0..settle + 2000 {
        let angle = std::f64::consts::TAU * frequency * f64::from(tick) * 1e-3;
        let y = f64::from(filter.step(angle.sin() as f32));
        if tick >= settle {
            re += y * angle.sin() / 1000.0;
            im += y * angle.cos() / 1000.0;
        }
    }
    re.hypot(im)
}

/// Source: `filter_response.csv`, numpy.rint and scipy.signal.lfilter on a load that steps, ramps and rings through a 24-bit
/// converter of 1/6000 N a count.
///
/// The core's measured load, less its tare, must be the same: raw to the rounding of an `f32` of 600 N; filtered to one
/// unit in the last place of the largest load (some 250 N) a tick, which a filter of this corner lets add up to
/// `1/(b0 + b1 + b2)` of itself: 3.6 mN.
#[test]
fn counts_become_a_filtered_load_as_in_the_reference() {
    let mut wire = compile::params_wire(&demo::machine("machine-a"));
    wire.cell_scale = NewtonsPerCount::new(1.0 / 6000.0);
    wire.filter = Hertz::new(15.0);
    let params = wire.check().expect("valid parameters");
    let mut signal = Signal::new(&params);
    let tare = f64::from(signal.tare().get());
    let mut coefficients = numbers(include_str!("data/filter_coefficients.csv"));
    let row = coefficients
        .find(|row| row[0] == 15.0)
        .expect("15 Hz is in the table");
    let raw_off = 600.0 * 2.0 * EPS;
    let filtered_off = 250.0 * EPS / (row[1] + row[2] + row[3]);
    for (tick, row) in numbers(include_str!("data/filter_response.csv")).enumerate() {
        let inputs = Inputs {
            cell_counts: row[0] as i32,
            cell_ok: true,
            ..Inputs::default()
        };
        let m = signal.measure(&inputs, &params, tick as u32);
        let (raw, load) = (f64::from(m.load_raw) + tare, f64::from(m.load) + tare);
        assert!(
            (raw - row[1]).abs() <= raw_off,
            "tick {tick}: {raw} N against {}",
            row[1]
        );
        assert!(
            (load - row[2]).abs() <= filtered_off,
            "tick {tick}: {load} N against {}",
            row[2]
        );
    }
}
