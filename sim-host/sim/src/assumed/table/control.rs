//! Settings of the controller: not uncertain, to be set so.

use super::super::{Rule, Width};
use crate::math::{log, max, min};
use crate::model::Machine;

/// What to do about a setting.
const SET_SO: &str = "Read it from the machine's settings; where it has none, set it so.";

/// Largest speed of any drive, rad/s.
fn fastest(m: &Machine) -> f64 {
    m.drives
        .iter()
        .fold(0.0, |top, drive| max(top, drive.speed))
}

fn drive_ramp(m: &Machine) -> f64 {
    let driven = m.drives.iter().filter(|drive| !drive.fixed);
    driven.fold(fastest(m) / 8.0, |ramp, drive| {
        min(ramp, 0.5 * (drive.torque - drive.drag) / drive.inertia)
    })
}

/// Settings of the controller. In the order in which they are derived.
pub(in super::super) const CONTROL: &[Rule] = &[
    Rule {
        key: "control.initial-load",
        rule: "twice the sum of resting load and seal breakaway",
        source: "rule of the load loop's page: the heaviest plate must not rest with more",
        unit: "N",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: |m| 2.0 * (m.actuator.resting_load() + m.actuator.seal_breakaway),
        field: |m| &mut m.control.initial_load,
    },
    Rule {
        key: "control.first-contact-limit",
        rule: "1.8 × the initial load",
        source: "typical, invented",
        unit: "N",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: |m| 1.8 * m.control.initial_load,
        field: |m| &mut m.control.first_contact_limit,
    },
    Rule {
        key: "control.band",
        rule: "0.9 % of the rated load",
        source: "typical, invented",
        unit: "N",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: |m| 9e-3 * m.control.rated_load,
        field: |m| &mut m.control.band_newtons,
    },
    Rule {
        key: "control.band-share",
        rule: "4 %",
        source: "typical, invented",
        unit: "%",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: |_| 0.04,
        field: |m| &mut m.control.band_share,
    },
    Rule {
        key: "control.filter",
        rule: "15 Hz",
        source: "typical, invented",
        unit: "Hz",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: |_| 15.0,
        field: |m| &mut m.control.filter,
    },
    Rule {
        key: "control.ramp-max",
        rule: "9 % of the rated load each second",
        source: "typical, invented",
        unit: "N/s",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: |m| 0.09 * m.control.rated_load,
        field: |m| &mut m.control.ramp_max,
    },
    Rule {
        key: "control.drive-ramp",
        rule: "to the fastest drive's largest speed in 8 s, and never more than half of what the weakest drive's torque gives its inertia",
        source: "torque = inertia × acceleration; 8 s is invented",
        unit: "rad/s²",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: drive_ramp,
        field: |m| &mut m.control.drive_ramp,
    },
    Rule {
        key: "control.speed-tolerance",
        rule: "1 rpm",
        source: "typical, invented",
        unit: "rpm",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: |_| std::f64::consts::PI / 30.0,
        field: |m| &mut m.control.speed_tolerance,
    },
    Rule {
        key: "control.stop-time",
        rule: "1.8 × the run-down from the fastest drive's largest speed",
        source: "speed over acceleration; the factor is invented",
        unit: "s",
        width: Width::Setting,
        spread: "",
        by: "stopwatch",
        how: "Time the run-down from the largest speed until all stands, and add a third.",
        write: "value",
        derive: |m| 1.8 * fastest(m) / m.control.drive_ramp,
        field: |m| &mut m.control.stop_time,
    },
    Rule {
        key: "control.dump-time",
        rule: "2 × dump lag × ln(line gain / seal breakaway)",
        source: "exponential venting to the breakaway band, as the finding dump-time-short has it; the factor is invented",
        unit: "s",
        width: Width::Setting,
        spread: "",
        by: "log",
        how: "Log a dump from full load: the time until the load stays at rest.",
        write: "value",
        derive: |m| {
            2.0 * m.actuator.dump_lag
                * log(max(m.actuator.line_gain() / m.actuator.seal_breakaway, 1.0))
        },
        field: |m| &mut m.control.dump_time,
    },
    Rule {
        key: "control.hold-time",
        rule: "10 min",
        source: "typical, invented",
        unit: "min",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: |_| 600.0,
        field: |m| &mut m.control.hold_time,
    },
    Rule {
        key: "control.settle-limit",
        rule: "half the settling time",
        source: "typical, invented",
        unit: "s",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: |m| 0.5 * m.slurry.settle_time,
        field: |m| &mut m.control.settle_limit,
    },
    Rule {
        key: "control.contact-tolerance",
        rule: "0.15 mm",
        source: "typical, invented",
        unit: "mm",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: SET_SO,
        write: "value",
        derive: |_| 0.15e-3,
        field: |m| &mut m.control.contact_tolerance,
    },
];
