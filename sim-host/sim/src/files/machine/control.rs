//! What the controller is configured with, and its gains.

use super::super::quantity::Dimension as D;
use super::super::table::Table;
use crate::model::{Control, Gains};

pub(super) fn control(t: &mut Table<'_, '_>) -> Control {
    let load = ["1 N", "1000 kN"];
    let [stop_time, dump_time, hold_time, settle_limit] = times(t);
    let value = Control {
        rated_load: t.quantity("rated-load", D::Force, load, "Rated load of the machine."),
        initial_load: t.assumed(
            "initial-load",
            D::Force,
            load,
            "Initial load taken at touch-down.",
        ),
        first_contact_limit: t.assumed(
            "first-contact-limit",
            D::Force,
            load,
            "Limit on the total load at first contact.",
        ),
        band_newtons: t.assumed(
            "band",
            D::Force,
            ["0.1 N", "100 kN"],
            "Load band: the larger of this force …",
        ),
        band_share: t.assumed(
            "band-share",
            D::Ratio,
            ["0.1 %", "50 %"],
            "… and this share of the setpoint.",
        ),
        filter: t.assumed(
            "filter",
            D::Frequency,
            ["0.5 Hz", "200 Hz"],
            "Load filter, second-order low-pass.",
        ),
        ramp_max: t.assumed(
            "ramp-max",
            D::ForceRate,
            ["0.1 N/s", "100 kN/s"],
            "Fastest load ramp a recipe may ask for.",
        ),
        drive_ramp: t.assumed(
            "drive-ramp",
            D::AngularAcceleration,
            ["0.01 rad/s²", "100 rad/s²"],
            "Acceleration of the fastest drive at run-up and run-down.",
        ),
        speed_tolerance: t.assumed(
            "speed-tolerance",
            D::AngularSpeed,
            ["0.05 rpm", "50 rpm"],
            "Speed tolerance, against the fastest drive's scale.",
        ),
        estop_category: estop_category(t),
        stop_time,
        dump_time,
        hold_time,
        settle_limit,
        contact_tolerance: t.assumed(
            "contact-tolerance",
            D::Length,
            ["1 µm", "50 mm"],
            "Tolerance of the contact height against the taught height.",
        ),
        remote: t.flag_or_no("remote", "Remote start is fitted."),
    };
    t.require_order(
        ("initial-load", value.initial_load),
        ("rated-load", value.rated_load),
        true,
    );
    value
}

/// Stop time, dump time, longest hold and longest time without agitator.
fn times(t: &mut Table<'_, '_>) -> [f64; 4] {
    [
        t.assumed(
            "stop-time",
            D::Time,
            ["0.1 s", "5 min"],
            "Monitored stop time of a category 1 stop.",
        ),
        t.assumed(
            "dump-time",
            D::Time,
            ["10 ms", "1 min"],
            "Time in which a dump brings the highest load to resting load.",
        ),
        t.assumed(
            "hold-time",
            D::Time,
            ["1 s", "24 h"],
            "Longest hold before it becomes a stop.",
        ),
        t.assumed(
            "settle-limit",
            D::Time,
            ["1 s", "24 h"],
            "Longest time with the agitator stopped before a hold.",
        ),
    ]
}

fn estop_category(t: &mut Table<'_, '_>) -> u8 {
    // IEC 60204-1: an emergency stop is of category 0 or 1.
    let category = t.integer(
        "emergency-stop-category",
        [0, 1],
        "Category of the emergency stop (IEC 60204-1): 0 or 1.",
    );
    u8::from(category == 1)
}

pub(super) fn gains(t: &mut Table<'_, '_>) -> Gains {
    Gains {
        kc: t.quantity(
            "proportional",
            D::PerForce,
            ["1e-8 1/N", "1 1/N"],
            "Proportional gain, command share per newton.",
        ),
        ti: t.quantity(
            "integral-time",
            D::Time,
            ["2 ms", "100 s"],
            "Integral time.",
        ),
        weight: t.quantity("setpoint-weight", D::Ratio, ["0", "1"], "Setpoint weight."),
    }
}
