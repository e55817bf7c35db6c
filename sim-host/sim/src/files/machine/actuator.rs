//! The cylinder over the upper plate.

use super::super::quantity::Dimension as D;
use super::super::table::Table;
use crate::model::Actuator;

pub(super) fn actuator(t: &mut Table<'_, '_>) -> Actuator {
    let [
        relief_pressure,
        lift_pressure,
        supply_pressure,
        supply_minimum,
        counterbalance,
    ] = pressures(t);
    let [seal_friction, seal_breakaway, stribeck_speed, presliding] = seals(t);
    let [dead_time, lag, slew, play, resolution, dump_lag] = regulator(t);
    let [speed_fast, speed_creep, speed_lift] = speeds(t);
    let value = Actuator {
        mass: t.quantity(
            "mass",
            D::Mass,
            ["1 kg", "20 t"],
            "Mass of the upper plate and all that hangs on the rod.",
        ),
        bore: t.quantity("bore", D::Length, ["8 mm", "500 mm"], "Cylinder bore."),
        rod: t.quantity("rod", D::Length, ["3 mm", "300 mm"], "Rod diameter."),
        relief_pressure,
        lift_pressure,
        supply_pressure,
        supply_minimum,
        counterbalance,
        seal_friction,
        seal_breakaway,
        stribeck_speed,
        presliding,
        dead_time,
        lag,
        slew,
        play,
        resolution,
        dump_lag,
        speed_fast,
        speed_creep,
        speed_lift,
        height_raised: t.assumed(
            "height-raised",
            D::Length,
            ["5 mm", "2 m"],
            "Height of the raised, parked plate over the lower plate.",
        ),
        approach: t.assumed(
            "approach",
            D::Length,
            ["0.1 mm", "200 mm"],
            "Height above the expected contact at which descent changes to creep.",
        ),
        guide_drag: t.assumed(
            "guide-drag",
            D::Damping,
            ["0 N·s/m", "1e6 N·s/m"],
            "Guide drag.",
        ),
        dog_friction: t.assumed(
            "dog-friction",
            D::Ratio,
            ["0", "1"],
            "Coefficient of friction of the drive dog on the upper plate.",
        ),
        dog_radius: t.assumed(
            "dog-radius",
            D::Length,
            ["5 mm", "3 m"],
            "Radius at which the drive dog acts.",
        ),
    };
    in_order(t, &value);
    value
}

/// Seal friction, seal breakaway, stribeck speed, presliding.
fn seals(t: &mut Table<'_, '_>) -> [f64; 4] {
    [
        t.assumed(
            "seal-friction",
            D::Force,
            ["0 N", "5 kN"],
            "Seal friction while sliding slowly (Coulomb level).",
        ),
        t.assumed(
            "seal-breakaway",
            D::Force,
            ["0 N", "10 kN"],
            "Seal breakaway (static level).",
        ),
        t.assumed(
            "stribeck-speed",
            D::Speed,
            ["0.1 mm/s", "200 mm/s"],
            "Stribeck speed of the seals.",
        ),
        t.assumed(
            "presliding",
            D::Length,
            ["0.1 µm", "1 mm"],
            "Presliding distance of the seals.",
        ),
    ]
}

/// Dead time, lag, slew, play, resolution, dump lag.
fn regulator(t: &mut Table<'_, '_>) -> [f64; 6] {
    [
        t.assumed(
            "dead-time",
            D::Time,
            // The delay line of the controller's model.
            ["0 s", "127 ms"],
            "Dead time of the cap-side regulator.",
        ),
        t.assumed(
            "lag",
            D::Time,
            ["1 ms", "10 s"],
            "First-order lag of the cap-side regulator.",
        ),
        // A slew is full scales per second, which is a frequency.
        t.assumed(
            "slew",
            D::Frequency,
            ["0.05 1/s", "100 1/s"],
            "Fastest change of the regulator's pressure, full scales per second.",
        ),
        t.assumed(
            "play",
            D::Ratio,
            ["0 %", "10 %"],
            "Play of the regulator, share of full scale.",
        ),
        t.assumed(
            "resolution",
            D::Ratio,
            ["0 %", "10 %"],
            "Resolution (stick-jump) of the regulator, share of full scale.",
        ),
        t.assumed(
            "dump-lag",
            D::Time,
            ["1 ms", "10 s"],
            "Time constant of venting through the dump valve.",
        ),
    ]
}

/// Speed fast, speed creep, speed lift.
fn speeds(t: &mut Table<'_, '_>) -> [f64; 3] {
    let speed = ["0.05 mm/s", "500 mm/s"];
    [
        t.assumed("speed-fast", D::Speed, speed, "Fast descent."),
        t.assumed(
            "speed-creep",
            D::Speed,
            ["0.01 mm/s", "50 mm/s"],
            "Creep descent and creep lift.",
        ),
        t.assumed("speed-lift", D::Speed, speed, "Lift."),
    ]
}

/// Relief, lift, supply, least supply and counterbalance pressure.
fn pressures(t: &mut Table<'_, '_>) -> [f64; 5] {
    let pressure = ["0.1 bar", "20 bar"];
    [
        t.quantity(
            "relief-pressure",
            D::Pressure,
            pressure,
            "Cap-side relief pressure: pressure at full command, and the mechanical relief.",
        ),
        t.assumed(
            "lift-pressure",
            D::Pressure,
            pressure,
            "Rod-side pressure while lifting.",
        ),
        t.assumed(
            "supply-pressure",
            D::Pressure,
            pressure,
            "Air supply pressure.",
        ),
        t.assumed(
            "supply-minimum",
            D::Pressure,
            pressure,
            "Supply pressure below which the machine stops.",
        ),
        t.assumed(
            "counterbalance",
            D::Pressure,
            pressure,
            "Counterbalance regulator pressure.",
        ),
    ]
}

/// What must be less than what.
fn in_order(t: &mut Table<'_, '_>, value: &Actuator) {
    t.require_order(("rod", value.rod), ("bore", value.bore), true);
    t.require_order(
        ("seal-friction", value.seal_friction),
        ("seal-breakaway", value.seal_breakaway),
        false,
    );
    t.require_order(
        ("supply-minimum", value.supply_minimum),
        ("supply-pressure", value.supply_pressure),
        true,
    );
    t.require_order(
        ("approach", value.approach),
        ("height-raised", value.height_raised),
        true,
    );
}
