//! The four drives and what they turn.

use super::super::{Rule, Width};
use super::plate;
use crate::model::Machine;
use std::f64::consts::PI;

/// Density of steel, kg/m³ (handbook value, from memory).
const STEEL: f64 = 7850.0;

/// A plate with its motor's rotor and gear, over the plate alone. Invented.
const ROTOR: f64 = 1.2;

/// How a drive's inertia is measured.
const RUN_UP: &str = "Log speed and torque at run-up: torque less drag over acceleration.";
/// What is written down of a drive.
const SPEED_AND_TORQUE: &str = "time, speed, torque, up and down";
/// Why the inertia of a plate spreads so.
const ROTOR_SPREAD: &str = "the drawing gives the plate; the motor's rotor behind its gear adds nothing to a half, ribs and channels take some off: common \
    practice, no source";
/// Why a drag spreads so.
const BEARINGS: &str = "bearings, seals and gears take 0.5 to 4.5 % by size, grease and temperature: common practice, no source. More on a light ring, and it falls \
    out of ratio at every run-up";

/// Drag of a drive, which differs by what turns.
const fn drag(
    key: &'static str,
    rule: &'static str,
    derive: fn(&Machine) -> f64,
    field: fn(&mut Machine) -> &mut f64,
) -> Rule {
    Rule {
        key,
        rule,
        source: "typical, invented",
        unit: "N·m",
        width: Width::Factor(3.0),
        spread: BEARINGS,
        by: "calibrate drives",
        how: "Log a coast-down, or the torque at constant speed with nothing between the plates.",
        write: SPEED_AND_TORQUE,
        derive,
        field,
    }
}

/// Moment of inertia of the outer pin ring, kg·m².
fn outer_ring(m: &Machine) -> f64 {
    let (g, radius) = (&m.geometry, m.geometry.radius_outer());
    STEEL * 30.0 * g.module * g.module * 2.0 * PI * radius * radius * radius
}

/// The drives. In the order in which they are derived.
pub(in super::super) const DRIVES: &[Rule] = &[
    Rule {
        key: "drives.outer.inertia",
        rule: "a ring of steel, 7850 kg/m³, of 30 × module² in section on the outer pitch circle",
        source: "ring on its pitch circle, J = m R²; density from memory, section invented",
        unit: "kg·m²",
        width: Width::Factor(2.0),
        spread: "rings of 15 to 60 × module² in section, rotor and gear in it: common practice, no source",
        by: "calibrate drives",
        how: RUN_UP,
        write: SPEED_AND_TORQUE,
        derive: outer_ring,
        field: |m| &mut m.drives[1].inertia,
    },
    Rule {
        key: "drives.inner.inertia",
        rule: "what the drive's largest torque brings to 70 rad/s in a second, gear train and motor in it",
        source: "typical, invented",
        unit: "kg·m²",
        width: Width::Factor(2.0),
        spread: "small rings: mostly rotor and gear, half to twice: common practice, no source",
        by: "calibrate drives",
        how: RUN_UP,
        write: SPEED_AND_TORQUE,
        derive: |m| m.drives[0].torque / 70.0,
        field: |m| &mut m.drives[0].inertia,
    },
    Rule {
        key: "drives.lower.inertia",
        rule: "an annulus of cast iron, 7200 kg/m³, of the plate's sizes, m (R² + r²) / 2, and a fifth for rotor and gear",
        source: "moment of a thick ring; density of grey cast iron, handbook value, from memory; the fifth is invented",
        unit: "kg·m²",
        width: Width::Share(0.3),
        spread: ROTOR_SPREAD,
        by: "calibrate drives",
        how: RUN_UP,
        write: SPEED_AND_TORQUE,
        derive: |m| ROTOR * plate::disc(m, plate::mass(m)),
        field: |m| &mut m.drives[2].inertia,
    },
    Rule {
        key: "drives.upper.inertia",
        rule: "the plate's mass as an annulus of its sizes, m (R² + r²) / 2, and a fifth for rotor and gear",
        source: "moment of a thick ring; the fifth is invented",
        unit: "kg·m²",
        width: Width::Share(0.25),
        spread: ROTOR_SPREAD,
        by: "calibrate drives",
        how: RUN_UP,
        write: SPEED_AND_TORQUE,
        derive: |m| ROTOR * plate::disc(m, m.actuator.mass),
        field: |m| &mut m.drives[3].inertia,
    },
    drag(
        "drives.inner.drag",
        "1.5 % of the drive's largest torque",
        |m| 0.015 * m.drives[0].torque,
        |m| &mut m.drives[0].drag,
    ),
    drag(
        "drives.outer.drag",
        "1.5 % of the drive's largest torque",
        |m| 0.015 * m.drives[1].torque,
        |m| &mut m.drives[1].drag,
    ),
    drag(
        "drives.lower.drag",
        "1.5 % of the drive's largest torque",
        |m| 0.015 * m.drives[2].torque,
        |m| &mut m.drives[2].drag,
    ),
    drag(
        "drives.upper.drag",
        "1.5 % of the drive's largest torque",
        |m| 0.015 * m.drives[3].torque,
        |m| &mut m.drives[3].drag,
    ),
];
