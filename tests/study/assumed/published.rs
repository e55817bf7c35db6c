//! Published spreads of what a short file assumes: no envelope is narrower.

use super::short;
use twinplate_sim::assumed::{ENDS, Width, rule};
use twinplate_sim::demo;
use twinplate_sim::model::{Deviations, Machine};

/// A key, what of it is compared, its published spread, and where that stands.
type Row = (&'static str, fn(&Machine) -> f64, [f64; 2], &'static str);

const PUBLISHED: &[Row] = &[
    (
        "actuator.dead-time",
        |_| 1.0,
        [5e-3, 30e-3],
        "regulators into 0.1 to 1 L, from memory",
    ),
    (
        "actuator.lag",
        |_| 1.0,
        [0.05, 0.3],
        "regulators into 0.1 to 1 L, from memory",
    ),
    (
        "actuator.play",
        |_| 1.0,
        [1e-3, 5e-3],
        "hysteresis up to 0.5 % of full scale, from memory",
    ),
    (
        "actuator.stribeck-speed",
        |_| 1.0,
        [5e-3, 50e-3],
        "seals of cylinders, from memory",
    ),
    // Of cylinders of low friction, the lower end of all: those that hold more than a plate at rest can spare let it hang.
    (
        "actuator.seal-breakaway",
        |m| m.actuator.line_gain(),
        [0.01, 0.02],
        "2 to 10 % of full thrust, from memory",
    ),
    // OIML R 60-1, creep in 30 min at most 0.7 of the error allowed with the share 0.7: class C3 0.735 of an interval of 1/3000 of the
    // range, class C1 0.49 of 1/1000; here the slow part, which is two thirds of it.
    (
        "cell.creep-slow",
        |_| 1.0,
        [2.0 / 3.0 * 0.735 / 3000.0, 2.0 / 3.0 * 0.49 / 1000.0],
        "OIML R 60-1, 5.5.1",
    ),
    // The whole error allowed to a cell, at full range: class C3 0.7 × 1.5 / 3000, class C1 0.7 × 1 / 1000, either way.
    (
        "cell.nonlinearity",
        |_| 1.0,
        [-0.7 / 1000.0, 0.7 / 1000.0],
        "OIML R 60-1, 5.3",
    ),
    // 0.7 of the smallest interval in 5 K, from a ten-thousandth to a thousandth of the range, either way.
    (
        "cell.zero-drift",
        |m| m.cell.range,
        [-0.14e-3, 0.14e-3],
        "OIML R 60-1, 5.6",
    ),
    // Forced convection of gases.
    (
        "thermal.cooling",
        |m| {
            let g = &m.geometry;
            std::f64::consts::PI / 4.0
                * (g.plate_outer * g.plate_outer - g.plate_inner * g.plate_inner)
        },
        [60.0, 250.0],
        "textbook ranges of convection: 25 to 250 W/(m²·K), of water 50 to 20000",
    ),
    // Cast irons; density and specific heat from memory.
    (
        "thermal.capacity",
        |m| {
            let g = &m.geometry;
            std::f64::consts::PI / 4.0
                * (g.plate_outer * g.plate_outer - g.plate_inner * g.plate_inner)
                * g.plate_thickness
                * 7200.0
        },
        [460.0, 550.0],
        "specific heat of cast iron, from memory",
    ),
    // Stokes' law, v = (ρs - ρ) g d² / (18 μ), of alumina in water: 0.1 m at 44.5 µm (F240), and 0.1 m at 17.3 µm (F400).
    (
        "slurry.settle-time",
        |_| 0.1 * 18.0 * 1e-3 / (2950.0 * 9.81),
        [1.0 / 44.5e-6 / 44.5e-6, 1.0 / 17.3e-6 / 17.3e-6],
        "Stokes' law",
    ),
];

/// Whoever assumes must not be surer than what is published.
#[test]
fn no_envelope_is_narrower_than_what_is_published() {
    for id in demo::machines() {
        let machine = short(&id);
        for (key, of, [low, high], source) in PUBLISHED {
            let rule = rule(key).expect("a rule");
            let ends = ENDS.map(|end| {
                let value = rule.value(&rule.end(&machine, end));
                let Deviations {
                    lag,
                    dead_time,
                    seal_friction,
                    ..
                } = rule.deviated(&machine, end);
                // A width of the envelope comes on top.
                value
                    * match rule.width {
                        Width::Declared(..) | Width::Stretched(..) => {
                            lag * dead_time * seal_friction
                        }
                        _ => 1.0,
                    }
                    / of(&machine)
            });
            let allowed = 1.0 + 1e-9;
            assert!(
                ends[0] <= low + (low.abs() * 1e-9) && ends[1] * allowed >= *high,
                "{id}: {key} from {} to {}, published {low} to {high} ({source})",
                ends[0],
                ends[1]
            );
        }
    }
}
