//! The cylinder over the upper plate.

use super::super::quantity::Dimension as D;
use super::super::table::Table;
use crate::model::Actuator;

pub(super) fn actuator(t: &mut Table<'_, '_>) -> Actuator {
    let pressure = ["0.1 bar", "20 bar"];
    let speed = ["0.05 mm/s", "500 mm/s"];
    let value = Actuator {
        mass: t.quantity(
            "mass",
            D::Mass,
            ["1 kg", "20 t"],
            "Mass of the upper plate and all that hangs on the rod.",
        ),
        bore: t.quantity("bore", D::Length, ["8 mm", "500 mm"], "Cylinder bore."),
        rod: t.quantity("rod", D::Length, ["3 mm", "300 mm"], "Rod diameter."),
        relief_pressure: t.quantity(
            "relief-pressure",
            D::Pressure,
            pressure,
            "Cap-side relief pressure: pressure at full command, and the mechanical relief.",
        ),
        lift_pressure: t.assumed(
            "lift-pressure",
            D::Pressure,
            pressure,
            "Rod-side pressure while lifting.",
        ),
        supply_pressure: t.assumed(
            "supply-pressure",
            D::Pressure,
            pressure,
            "Air supply pressure.",
        ),
        supply_minimum: t.assumed(
            "supply-minimum",
            D::Pressure,
            pressure,
            "Supply pressure below which the machine stops.",
        ),
        counterbalance: t.assumed(
            "counterbalance",
            D::Pressure,
            pressure,
            "Counterbalance regulator pressure.",
        ),
        seal_friction: t.assumed(
            "seal-friction",
            D::Force,
            ["0 N", "5 kN"],
            "Seal friction while sliding slowly (Coulomb level).",
        ),
        seal_breakaway: t.assumed(
            "seal-breakaway",
            D::Force,
            ["0 N", "10 kN"],
            "Seal breakaway (static level).",
        ),
        stribeck_speed: t.assumed(
            "stribeck-speed",
            D::Speed,
            ["0.1 mm/s", "200 mm/s"],
            "Stribeck speed of the seals.",
        ),
        presliding: t.assumed(
            "presliding",
            D::Length,
            ["0.1 µm", "1 mm"],
            "Presliding distance of the seals.",
        ),
        dead_time: t.assumed(
            "dead-time",
            D::Time,
            // The delay line of the controller's model.
            ["0 s", "127 ms"],
            "Dead time of the cap-side regulator.",
        ),
        lag: t.assumed(
            "lag",
            D::Time,
            ["1 ms", "10 s"],
            "First-order lag of the cap-side regulator.",
        ),
        // A slew is full scales per second, which is a frequency.
        slew: t.assumed(
            "slew",
            D::Frequency,
            ["0.05 1/s", "100 1/s"],
            "Fastest change of the regulator's pressure, full scales per second.",
        ),
        play: t.assumed(
            "play",
            D::Ratio,
            ["0 %", "10 %"],
            "Play of the regulator, share of full scale.",
        ),
        resolution: t.assumed(
            "resolution",
            D::Ratio,
            ["0 %", "10 %"],
            "Resolution (stick-jump) of the regulator, share of full scale.",
        ),
        dump_lag: t.assumed(
            "dump-lag",
            D::Time,
            ["1 ms", "10 s"],
            "Time constant of venting through the dump valve.",
        ),
        speed_fast: t.assumed("speed-fast", D::Speed, speed, "Fast descent."),
        speed_creep: t.assumed(
            "speed-creep",
            D::Speed,
            ["0.01 mm/s", "50 mm/s"],
            "Creep descent and creep lift.",
        ),
        speed_lift: t.assumed("speed-lift", D::Speed, speed, "Lift."),
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
    value
}
