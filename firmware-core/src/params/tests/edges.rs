//! Each rule of the parameters' gate at its edge, on both sides: the last value that passes, and the first that does not.

use super::sample;
use crate::params::{MAX_DEAD_TICKS, PARAM_RULES, ParamsWire};
use crate::units::{
    Celsius, Hertz, Micrometres, MillilitresPerMinute, NewtonMetres, Newtons, NewtonsPerCount,
    NewtonsPerSecond, PerNewton, Ratio, Rpm, RpmPerSecond, Seconds, Ticks,
};
use std::vec::Vec;

type Change = fn(&mut ParamsWire);

/// The smallest that is over nothing.
const LEAST: f32 = f32::MIN_POSITIVE;

const PASS: [Change; 26] = [
    |_| {},
    |p| p.cell_range_counts = 1,
    |p| (p.cell_scale, p.cell_range_counts) = (NewtonsPerCount::new(1e9), 1),
    |p| p.weight = Newtons::new(1e9),
    |p| p.rated = Newtons::new(1e9),
    |p| p.cap_scale = NewtonsPerCount::new(1.52e4),
    |p| p.rod_scale = NewtonsPerCount::new(1.52e4),
    |p| p.tare_band = Newtons::new(568.99),
    |p| p.stuck = Newtons::new(LEAST),
    |p| p.line_tolerance = Newtons::new(LEAST),
    |p| p.dead_time = Ticks(0),
    |p| p.dead_time = Ticks(MAX_DEAD_TICKS),
    |p| p.ti = Seconds::new(0.001_000_1),
    |p| p.setpoint_weight = Ratio::new(0.0),
    |p| p.setpoint_weight = Ratio::new(1.0),
    |p| p.deadband = Newtons::ZERO,
    |p| p.filter = Hertz::new(0.5),
    |p| p.filter = Hertz::new(200.0),
    |p| (p.governor_gain, p.governor_margin) = (Ratio::new(1.0), Newtons::ZERO),
    |p| p.contact = Newtons::new(59.999),
    |p| p.initial = Newtons::new(60.001),
    |p| p.lowest = Newtons::new(899.99),
    |p| p.first_contact = Newtons::new(150.01),
    |p| p.band_share = Ratio::new(0.0),
    |p| p.approach = Micrometres::new(149_999.98),
    |p| {
        // A ring without a drive needs neither torque nor speed.
        p.fixed[0] = true;
        (p.torque_max[0], p.speed_max[0]) = (NewtonMetres::ZERO, Rpm::ZERO);
    },
];

const FAIL: [(&[u16], Change); 69] = [
    (&[1], |p| p.schema += 1),
    (&[2], |p| p.cell_scale = NewtonsPerCount::ZERO),
    (&[2], |p| p.cell_range_counts = 0),
    // Every count would be an infinite load.
    (&[2], |p| p.cell_scale = NewtonsPerCount::new(6.4e31)),
    (&[2], |p| {
        (p.cell_scale, p.cell_range_counts) = (NewtonsPerCount::new(1.000_1e9), 1);
    }),
    (&[2], |p| p.cell_range_counts = -1),
    // 1000 N a count, over the sample's eight million of them.
    (&[2], |p| p.cell_scale = NewtonsPerCount::new(1e3)),
    (&[3], |p| p.tare_band = Newtons::new(569.0)),
    (&[3], |p| p.tare_band = Newtons::ZERO),
    (&[3], |p| p.stuck = Newtons::ZERO),
    (&[3, 5], |p| p.weight = Newtons::ZERO),
    // A tare of minus such a weight is an infinite load.
    (&[3], |p| p.weight = Newtons::new(1.000_1e9)),
    (&[3], |p| p.stuck = Newtons::new(1.000_1e9)),
    (&[4], |p| p.cap_scale = NewtonsPerCount::new(1.53e4)),
    (&[4], |p| p.rod_scale = NewtonsPerCount::new(1.53e4)),
    (&[4], |p| p.line_tolerance = Newtons::new(1.000_1e9)),
    (&[6], |p| p.line_gain = Newtons::new(1.000_1e9)),
    (&[10], |p| p.rated = Newtons::new(1.000_1e9)),
    (&[4], |p| p.cap_scale = NewtonsPerCount::ZERO),
    (&[4], |p| p.rod_scale = NewtonsPerCount::ZERO),
    (&[4], |p| p.line_tolerance = Newtons::ZERO),
    (&[5], |p| p.weight = Newtons::new(60.0)),
    (&[5, 10], |p| p.resting = Newtons::new(569.0)),
    (&[6], |p| p.line_gain = Newtons::ZERO),
    (&[6], |p| p.lag = Seconds::ZERO),
    (&[6], |p| p.slew = Ratio::ZERO),
    (&[6], |p| p.dead_time = Ticks(MAX_DEAD_TICKS + 1)),
    (&[7], |p| p.kc = PerNewton::ZERO),
    (&[7], |p| p.ti = Seconds::new(0.001)),
    (&[7], |p| p.setpoint_weight = Ratio::new(-LEAST)),
    (&[7], |p| p.setpoint_weight = Ratio::new(1.000_001)),
    (&[7], |p| p.deadband = Newtons::new(-LEAST)),
    (&[8], |p| p.filter = Hertz::new(0.499_99)),
    (&[8], |p| p.filter = Hertz::new(200.01)),
    (&[9], |p| p.governor_gain = Ratio::new(0.999_99)),
    (&[9], |p| p.governor_margin = Newtons::new(-LEAST)),
    (&[10], |p| p.contact = Newtons::ZERO),
    (&[10], |p| p.contact = Newtons::new(60.0)),
    (&[10], |p| p.initial = Newtons::new(60.0)),
    (&[10], |p| p.lowest = Newtons::new(60.0)),
    (&[10], |p| p.lowest = Newtons::new(900.0)),
    (&[10], |p| p.first_contact = Newtons::new(150.0)),
    (&[10], |p| p.first_contact = Newtons::new(900.0)),
    (&[11], |p| p.band = Newtons::ZERO),
    (&[11], |p| p.ramp_max = NewtonsPerSecond::ZERO),
    (&[11], |p| p.band_share = Ratio::new(-LEAST)),
    (&[12], |p| p.height_raised = Micrometres::ZERO),
    (&[12], |p| p.approach = Micrometres::ZERO),
    (&[12], |p| p.approach = Micrometres::new(150_000.0)),
    (&[12], |p| p.contact_tolerance = Micrometres::ZERO),
    (&[12], |p| p.contact_tolerance = Micrometres::new(150_000.0)),
    (&[13], |p| p.torque_max[2] = NewtonMetres::ZERO),
    (&[13], |p| p.speed_max[3] = Rpm::ZERO),
    (&[13], |p| {
        // What a fixed ring does not need must be a number all the same.
        p.fixed[0] = true;
        p.torque_max[0] = NewtonMetres::new(f32::NAN);
    }),
    (&[13], |p| p.drive_ramp = RpmPerSecond::ZERO),
    (&[13], |p| p.speed_tolerance = Rpm::ZERO),
    (&[13], |p| p.setup_speed = Rpm::ZERO),
    (&[14], |p| p.flow_min = MillilitresPerMinute::ZERO),
    (&[14], |p| p.flow_min = MillilitresPerMinute::new(400.0)),
    (&[14], |p| p.flow_max = MillilitresPerMinute::new(60.0)),
    (&[15], |p| p.temperature_high = Celsius::new(45.0)),
    (&[15], |p| p.temperature_very_high = Celsius::new(35.0)),
    (&[16], |p| p.estop_category = 2),
    (&[17], |p| p.stop_time = Ticks(0)),
    (&[17], |p| p.coast_time = Ticks(0)),
    (&[17], |p| p.hold_time = Ticks(0)),
    (&[17], |p| p.settle_limit = Ticks(0)),
    (&[17], |p| p.travel_time = Ticks(0)),
    (&[17], |p| p.lift_time = Ticks(0)),
];

fn broken_by(change: Change) -> Vec<u16> {
    let mut p = sample();
    change(&mut p);
    let faults = p.check().err();
    faults.map_or(Vec::new(), |faults| faults.iter().map(|f| f.0).collect())
}

#[test]
fn each_rule_passes_the_last_value_on_its_good_side() {
    for (n, change) in PASS.into_iter().enumerate() {
        assert_eq!(broken_by(change), [], "{n}");
    }
}

#[test]
fn each_rule_alone_refuses_the_first_value_on_its_bad_side() {
    for (n, (rules, change)) in FAIL.into_iter().enumerate() {
        assert_eq!(broken_by(change), rules, "{n}");
    }
    for (rule, text) in PARAM_RULES {
        assert!(
            FAIL.iter().any(|(rules, _)| rules == &[*rule]),
            "{rule} is never broken alone: {text}"
        );
    }
}
