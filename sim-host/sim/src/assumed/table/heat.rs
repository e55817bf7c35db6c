//! Heat of the plates.

use super::super::{Rule, Width};
use super::plate;

/// What is written down of a warm-up.
const TEMPERATURES: &str = "time, temperatures of both plates and of the room";

/// Heat of the plates. In the order in which they are derived.
pub(in super::super) const HEAT: &[Rule] = &[
    Rule {
        key: "thermal.ambient",
        rule: "22 °C",
        source: "typical, invented",
        unit: "°C",
        width: Width::Plus(8.0),
        spread: "14 to 30 °C: a shop that nobody cools, winter and summer: common practice, no source",
        by: "calibrate heat",
        how: "Read a thermometer beside the machine over a shift.",
        write: "time, temperature",
        derive: |_| 22.0,
        field: |m| &mut m.thermal.ambient,
    },
    Rule {
        key: "thermal.capacity",
        rule: "mass of a plate of cast iron by its sizes × 460 J/(kg·K)",
        source: "heat capacity of a body; density and specific heat of grey cast iron, handbook values, from memory",
        unit: "kJ/K",
        width: Width::Share(0.4),
        spread: "460 to 550 J/(kg·K), handbook values, from memory; channels take iron off, water in them puts capacity back, its carrier adds to it",
        by: "calibrate heat",
        how: "Plate temperatures over a warm-up, every minute.",
        write: TEMPERATURES,
        derive: |m| 460.0 * plate::mass(m),
        field: |m| &mut m.thermal.capacity,
    },
    Rule {
        key: "thermal.cooling",
        rule: "220 W/K for each square metre of a plate's face",
        source: "typical, invented",
        unit: "W/K",
        width: Width::Factor(4.0),
        spread: "55 to 880 W/(m²·K): forced air takes 25 to 250, forced water from 50 up to where the iron between is all that resists (textbook ranges of convection, read)",
        by: "calibrate heat",
        how: "Plate temperatures while the machine stands, every minute until they no longer fall.",
        write: TEMPERATURES,
        derive: |m| 220.0 * plate::face(m),
        field: |m| &mut m.thermal.cooling,
    },
    Rule {
        key: "thermal.slurry-share",
        rule: "0.5",
        source: "typical, invented",
        unit: "",
        width: Width::Plus(0.4),
        spread: "a share: nearly all of what there is between none and all",
        by: "calibrate heat",
        how: "Temperature of the slurry before and after the plates, with its flow.",
        write: "flow, both temperatures",
        derive: |_| 0.5,
        field: |m| &mut m.thermal.slurry_share,
    },
    Rule {
        key: "thermal.high",
        rule: "45 °C",
        source: "typical, invented",
        unit: "°C",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: "Read it from the machine's settings.",
        write: "temperature",
        derive: |_| 45.0,
        field: |m| &mut m.thermal.high,
    },
    Rule {
        key: "thermal.very-high",
        rule: "60 °C",
        source: "typical, invented",
        unit: "°C",
        width: Width::Setting,
        spread: "",
        by: "setting",
        how: "Read it from the machine's settings.",
        write: "temperature",
        derive: |_| 60.0,
        field: |m| &mut m.thermal.very_high,
    },
];
