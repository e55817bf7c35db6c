//! The four drives.

use super::super::quantity::Dimension as D;
use super::super::table::Table;
use crate::model::DriveSpec;
use firmware_core::process_image::{DRIVES, Drive};

pub(super) fn drives(t: &mut Table<'_, '_>) -> [DriveSpec; DRIVES] {
    [
        t.table(Drive::Inner.name(), "Inner pin ring.", ring),
        t.table(Drive::Outer.name(), "Outer pin ring.", ring),
        t.table(Drive::Lower.name(), "Lower plate.", driven),
        t.table(Drive::Upper.name(), "Upper plate.", driven),
    ]
}

const FIXED: DriveSpec = DriveSpec {
    torque: 0.0,
    speed: 0.0,
    inertia: 0.0,
    drag: 0.0,
    fixed: true,
};

/// A ring is driven or fixed; a plate is always driven.
fn ring(t: &mut Table<'_, '_>) -> DriveSpec {
    t.one_of(&[("torque", driven), ("fixed", fixed)])
        .unwrap_or(FIXED)
}

fn fixed(t: &mut Table<'_, '_>) -> DriveSpec {
    t.yes("fixed", "The ring is mechanically fixed and has no drive.");
    FIXED
}

fn driven(t: &mut Table<'_, '_>) -> DriveSpec {
    DriveSpec {
        torque: t.quantity(
            "torque",
            D::Torque,
            ["0.1 N·m", "100 kN·m"],
            "Largest torque.",
        ),
        speed: t.quantity(
            "speed",
            D::AngularSpeed,
            ["0.5 rpm", "320 rpm"],
            "Largest speed.",
        ),
        inertia: t.assumed(
            "inertia",
            D::Inertia,
            ["1e-4 kg·m²", "1e5 kg·m²"],
            "Inertia at the driven part.",
        ),
        drag: t.assumed(
            "drag",
            D::Torque,
            ["0 N·m", "10 kN·m"],
            "Bearing and gear drag while turning.",
        ),
        fixed: false,
    }
}
