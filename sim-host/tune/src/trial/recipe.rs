//! The trial's recipe, stand-in blocks and disturbance, computed from machine and batch.

use super::{HIGH_STEP, Plan, QUIET};
use firmware_core::sequence::Phase;
use twinplate_sim::compile;
use twinplate_sim::math::min;
use twinplate_sim::model::{
    Batch, CarrierMaterial, Circle, Component, Consumables, End, Fault, FaultMode, LoadingOrder,
    Machine, Of, Outline, Process, Recipe, Scenario, ScenarioEvent, Shown, Step, What, When,
};

/// Pressure that the stand-in blocks get at the high load, Pa: middle of what lapping uses (common practice, no source).
const BLOCK_PRESSURE: f64 = 20e3;
/// Contact stiffness of the stand-in blocks per area, N/m³ (invented, as the demonstration set's).
const BLOCK_STIFFNESS: f64 = 1e10;
/// Blocks in a carrier: each carrier stands on three.
const BLOCKS: u32 = 3;
/// Radius of the block centres, share of the carrier's pitch radius: three blocks clear each other and the rim.
const BLOCK_RADIUS: f64 = 0.54;
/// Height of a block, m (invented).
const BLOCK_HEIGHT: f64 = 10e-3;
/// Friction coefficient of the wet blocks, and of dry ones (invented, as the demonstration set's glass).
const FRICTION: [f64; 2] = [0.1, 0.3];

/// Rotation, share of what the slowest drive allows.
const SPEED_SHARE: f64 = 0.4;
/// Ratio of the four drives (inner ring, outer ring, lower, upper): plates against each other, carriers slowly round.
const SPEED_RATIO: [f64; 4] = [0.5, 0.18, 1.0, -0.5];
/// Pre-start beyond the line's fill: share of the fill, and wetting times.
const FILL_SPARE: f64 = 1.25;
/// See [`FILL_SPARE`].
const WET_TIMES: f64 = 2.0;

/// Whole ticks.
pub(super) fn tick(seconds: f64) -> f64 {
    f64::from(compile::ticks(seconds).0) / 1e3
}

/// What the stand-in blocks are, for people.
pub(crate) fn blocks_title(pieces: u32, diameter: f64, shown: &Shown) -> String {
    format!(
        "Stand-in test blocks: {pieces} steel discs of {} (computed from the machine)",
        shown.fixed_with(Of::Length, diameter * 1e3, 0)
    )
}

/// Stand-in blocks: three steel discs a carrier, of an area that gives them 20 kPa at `load` (N).
#[must_use]
pub fn blocks(machine: &Machine, load: f64) -> Batch {
    let pieces = BLOCKS * machine.geometry.carriers;
    let each = load / BLOCK_PRESSURE / f64::from(pieces);
    let diameter = twinplate_sim::math::sqrt(4.0 * each / std::f64::consts::PI);
    Batch {
        id: "stand-in-blocks".into(),
        title: blocks_title(pieces, diameter, &Shown::default()),
        material: "steel".into(),
        // Handbook value, from memory.
        density: 7850.0,
        outline: Outline::Disc { diameter },
        thickness: BLOCK_HEIGHT,
        spread: 1e-6,
        damage: 0.0,
        roughness: 0.3e-6,
        // A block bears whatever the machine can press.
        strength: 10.0 * machine.control.rated_load,
        stiffness_per_area: BLOCK_STIFFNESS,
        // Handbook value, from memory.
        elastic_modulus: 210e9,
        bow: 0.0,
        taper: 0.0,
        target: BLOCK_HEIGHT,
        tolerance: 50e-6,
        parallelism: 50e-6,
        flatness: 50e-6,
        finish: 1e-6,
        damage_left: None,
        wavelength: twinplate_sim::plant::part_form::HELIUM,
        carrier_thickness: 0.8 * BLOCK_HEIGHT,
        carrier_material: CarrierMaterial::default(),
        carrier_strength: CarrierMaterial::default().strength(),
        circles: vec![Circle {
            pockets: BLOCKS,
            radius: BLOCK_RADIUS * machine.geometry.radius_carrier(),
            phase: 0.0,
        }],
        parts: pieces,
        dummies: 0,
        order: LoadingOrder::default(),
        measured: Vec::new(),
        assumed: Vec::new(),
    }
}

/// Turning speeds, rad/s.
fn speeds(machine: &Machine) -> [f64; 4] {
    let mut base = f64::INFINITY;
    for (drive, ratio) in machine.drives.iter().zip(SPEED_RATIO) {
        if !drive.fixed {
            base = min(base, drive.speed / twinplate_sim::math::abs(ratio));
        }
    }
    std::array::from_fn(|i| {
        if machine.drives[i].fixed {
            0.0
        } else {
            SPEED_SHARE * base * SPEED_RATIO[i]
        }
    })
}

pub(super) fn recipe_head(machine: &Machine, batch: &Batch) -> Recipe {
    let s = &machine.slurry;
    Recipe {
        id: "gain-trial".into(),
        title: "Trial of a gain set (computed from machine and batch)".into(),
        machine: machine.id.clone(),
        batch: batch.id.clone(),
        consumables: Consumables {
            process: Process::LooseAbrasive,
            abrasive: "none".into(),
            grade: "none".into(),
            grain: 5e-6,
            vehicle: "water".into(),
            concentration: 0.0,
            // Nothing is taken off: the trial is about the load.
            removal: Some(1e-18),
            removal_rate: None,
            friction: FRICTION[0],
            friction_dry: FRICTION[1],
            breakdown_work: 1e9,
            roughness: Some(batch.roughness),
            damage: Some(0.0),
            measured_at: None,
            settle_depth: 1e-6,
        },
        prestart: tick(FILL_SPARE * s.line_volume / s.flow_max + WET_TIMES * s.wet_time),
        prestart_flow: s.flow_max,
        rinse: 0.0,
        gauge: false,
        flatness: None,
        steps: Vec::new(),
        shown: Shown::default(),
    }
}

/// One step: its name, load (N) and time (s).
pub(super) fn step(
    machine: &Machine,
    batch: &Batch,
    plan: &Plan,
    (name, load, seconds): (&str, f64, f64),
) -> Step {
    Step {
        name: name.into(),
        pressure: load / batch.area(),
        load_limit: plan.limit,
        ramp: plan.ramp,
        speeds: speeds(machine),
        flow: machine.slurry.flow_max,
        end: End::Time { seconds },
        // Time out of the band does not count as the step's.
        longest: 2.0 * seconds + 10.0,
    }
}

pub(super) fn recipe(machine: &Machine, batch: &Batch, plan: &Plan) -> Recipe {
    Recipe {
        steps: [
            ("low", plan.low, plan.window),
            ("high", plan.high, 3.0 * plan.window),
            ("quiet", plan.low, QUIET),
        ]
        .map(|what| step(machine, batch, plan, what))
        .into(),
        ..recipe_head(machine, batch)
    }
}

/// The disturbance: the regulator gives more pressure than it is told, as if its gain had risen, then it is right again. On any
/// machine of the envelope the same factor makes nearly the same newtons, because command times gain is the load above rest.
pub(super) fn scenario(machine: &Machine, plan: &Plan) -> Scenario {
    let above_rest = plan.high - machine.actuator.resting_load();
    let after = |delay: f64, what: What| ScenarioEvent {
        when: When::After {
            phase: Phase::Dwell,
            step: Some(HIGH_STEP),
            delay,
        },
        what,
    };
    Scenario {
        id: "gain-trial".into(),
        title: "A disturbance at the plant's input, set and cleared".into(),
        operator: true,
        longest: 600.0,
        events: vec![
            after(
                plan.window,
                What::Fault(Fault {
                    component: Component::Regulator,
                    mode: FaultMode::Wrong,
                    magnitude: Some(1.0 + plan.disturbance / above_rest),
                }),
            ),
            after(2.0 * plan.window, What::Clear(Component::Regulator)),
        ],
        training: None,
        assessment: None,
    }
}
