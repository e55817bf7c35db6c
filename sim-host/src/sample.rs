//! A small invented machine, batch and recipe (machine A and batch A1 of the demo set), for tests that need no files.
//! Nothing here describes a real machine or shop.

use crate::model::{
    Actuator, Batch, Cell, Consumables, Control, DriveSpec, End, Envelope, Geometry, Machine,
    Outline, Process, Recipe, SlurrySystem, Step, Thermal,
};
use std::f64::consts::PI;

/// Revolutions per minute as rad/s.
#[must_use]
pub fn rpm(value: f64) -> f64 {
    value * PI / 30.0
}

/// Envelope at the widths of the process model's section 9.
#[must_use]
pub fn envelope() -> Envelope {
    Envelope {
        regulator_gain: 0.05,
        regulator_offset: 0.01,
        weight: 0.02,
        counterbalance: 0.02,
        seal_friction: 0.5,
        lag: 0.3,
        dead_time: 0.3,
        stiffness_factor: 3.0,
        supply: 0.15,
        cell_span: 0.005,
        noise_factor: 2.0,
        friction: 0.4,
        removal: 0.3,
        spread_factor: 1.5,
    }
}

fn actuator_a() -> Actuator {
    Actuator {
        mass: 58.0,
        bore: 0.050,
        rod: 0.020,
        relief_pressure: 4.2e5,
        lift_pressure: 5.5e5,
        supply_pressure: 7.0e5,
        supply_minimum: 5.0e5,
        counterbalance: 3.085e5,
        seal_friction: 8.0,
        seal_breakaway: 12.0,
        stribeck_speed: 0.01,
        presliding: 20e-6,
        dead_time: 0.020,
        lag: 0.12,
        slew: 4.0,
        play: 0.001,
        resolution: 0.003,
        dump_lag: 0.18,
        speed_fast: 0.04,
        speed_creep: 0.5e-3,
        speed_lift: 0.03,
        height_raised: 0.12,
        approach: 0.004,
        guide_drag: 50.0,
        dog_friction: 0.12,
        dog_radius: 0.2,
    }
}

fn cell_a() -> Cell {
    Cell {
        range: 1000.0,
        counts_at_range: 6.0e6,
        bandwidth: 100.0,
        noise: 0.3,
        creep: [2e-4, 2e-4],
        creep_time: [15.0, 300.0],
        zero_drift: 0.1,
        nonlinearity: 2e-4,
        lash: 0.5,
    }
}

fn drives_a() -> [DriveSpec; 4] {
    let ring = |torque, inertia| DriveSpec {
        torque,
        speed: rpm(60.0),
        inertia,
        drag: 0.3,
        fixed: false,
    };
    let plate = DriveSpec {
        torque: 60.0,
        speed: rpm(60.0),
        inertia: 2.2,
        drag: 0.4,
        fixed: false,
    };
    [ring(20.0, 0.25), ring(40.0, 0.8), plate.clone(), plate]
}

/// Machine A of the demo set.
#[must_use]
pub fn machine_a() -> Machine {
    Machine {
        id: "machine-a".into(),
        title: "Invented small machine, 480 mm plates".into(),
        geometry: Geometry {
            plate_outer: 0.480,
            plate_inner: 0.196,
            plate_thickness: 0.040,
            module: 0.004,
            teeth_inner: 40,
            teeth_outer: 130,
            teeth_carrier: 45,
            carriers: 5,
            runout_ripple: 0.01,
        },
        actuator: actuator_a(),
        cell: cell_a(),
        drives: drives_a(),
        slurry: SlurrySystem {
            flow_max: 0.5e-3 / 60.0,
            flow_min: 0.1e-3 / 60.0,
            line_volume: 0.05e-3,
            line_lag: 0.8,
            film_life: 30.0,
            wet_time: 4.0,
            settle_time: 120.0,
            stir_time: 10.0,
            tank: 0.020,
            rinse_flow: 0.5e-3 / 60.0,
        },
        thermal: Thermal {
            ambient: 21.0,
            capacity: 26_000.0,
            cooling: 30.0,
            slurry_share: 0.5,
            high: 35.0,
            very_high: 40.0,
        },
        control: control_a(),
        gains: None,
        envelope: envelope(),
    }
}

fn control_a() -> Control {
    Control {
        rated_load: 900.0,
        initial_load: 150.0,
        first_contact_limit: 260.0,
        band_newtons: 8.0,
        band_share: 0.03,
        filter: 15.0,
        ramp_max: 100.0,
        drive_ramp: 0.8,
        speed_tolerance: rpm(2.0),
        estop_category: 1,
        stop_time: 15.0,
        dump_time: 1.0,
        hold_time: 300.0,
        settle_limit: 60.0,
        contact_tolerance: 60e-6,
        remote: false,
    }
}

/// Batch A1 of the demo set: thin glass discs.
#[must_use]
pub fn batch_a1() -> Batch {
    Batch {
        id: "batch-a1".into(),
        title: "Invented glass discs, 50 mm by 0.55 mm".into(),
        material: "glass".into(),
        density: 2500.0,
        outline: Outline::Disc { diameter: 0.050 },
        thickness: 0.550e-3,
        spread: 1.5e-6,
        damage: 3e-6,
        roughness: 0.8e-6,
        strength: 120.0,
        stiffness_per_area: 1e10,
        target: 0.540e-3,
        tolerance: 4e-6,
        parallelism: 2e-6,
        flatness: 2e-6,
        finish: 0.4e-6,
        carrier_thickness: 0.40e-3,
        pockets: 3,
        pocket_radius: 0.050,
        parts: 15,
        dummies: 0,
    }
}

/// Consumables of A1: F800 aluminium oxide in water.
#[must_use]
pub fn consumables_a1() -> Consumables {
    Consumables {
        abrasive: "aluminium oxide".into(),
        grade: "F800".into(),
        grain: 6.5e-6,
        vehicle: "water".into(),
        concentration: 0.2,
        removal: 8e-12,
        friction: 0.12,
        friction_dry: 0.5,
        breakdown_work: 2e6,
        roughness: 0.30e-6,
        damage: 2e-6,
        settle_depth: 2e-6,
    }
}

/// A recipe for A1: two steps, 6 then 9 kPa.
#[must_use]
pub fn recipe_a1() -> Recipe {
    let speeds = [rpm(14.0), rpm(5.0), rpm(28.0), rpm(-14.0)];
    let step = |name: &str, pressure: f64, seconds: f64| Step {
        name: name.into(),
        pressure,
        load_limit: 350.0,
        ramp: 50.0,
        speeds,
        flow: 0.3e-3 / 60.0,
        end: End::Time { seconds },
        longest: 400.0,
    };
    Recipe {
        id: "recipe-a1".into(),
        title: "Invented recipe for thin glass discs".into(),
        machine: "machine-a".into(),
        batch: "batch-a1".into(),
        process: Process::LooseAbrasive,
        consumables: consumables_a1(),
        prestart: 25.0,
        prestart_flow: 0.3e-3 / 60.0,
        rinse: 0.0,
        gauge: false,
        steps: vec![step("rough", 6e3, 60.0), step("finish", 9e3, 150.0)],
    }
}
