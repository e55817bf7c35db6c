//! Demo machine A with its glass batch, for unit tests of the study: invented, no machine or shop.

use crate::model::{
    Actuator, Batch, Cell, Consumables, Control, DriveSpec, End, Envelope, Geometry, Machine,
    Outline, Process, Recipe, SlurrySystem, Step, Thermal,
};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
const LITRE_PER_MINUTE: f64 = 1.0 / 60_000.0;

pub(crate) fn machine() -> Machine {
    let ring = DriveSpec {
        torque: 60.0,
        speed: 60.0 * RPM,
        inertia: 0.8,
        drag: 1.0,
        fixed: false,
    };
    let plate = DriveSpec {
        inertia: 2.2,
        drag: 0.8,
        ..ring.clone()
    };
    Machine {
        id: "machine-a".into(),
        title: "invented".into(),
        geometry: Geometry {
            plate_outer: 0.48,
            plate_inner: 0.196,
            plate_thickness: 0.04,
            module: 0.004,
            teeth_inner: 40,
            teeth_outer: 130,
            teeth_carrier: 45,
            carriers: 5,
            runout_ripple: 0.01,
        },
        actuator: actuator(),
        cell: Cell {
            range: 1000.0,
            counts_at_range: 4e6,
            bandwidth: 100.0,
            noise: 0.3,
            creep: [1e-4, 1e-4],
            creep_time: [20.0, 400.0],
            zero_drift: 0.05,
            nonlinearity: 2e-4,
            lash: 2.0,
        },
        drives: [ring.clone(), ring, plate.clone(), plate],
        slurry: SlurrySystem {
            flow_max: 0.5 * LITRE_PER_MINUTE,
            flow_min: 0.05 * LITRE_PER_MINUTE,
            line_volume: 0.05e-3,
            line_lag: 0.5,
            film_life: 40.0,
            wet_time: 2.0,
            settle_time: 300.0,
            stir_time: 20.0,
            tank: 10e-3,
            rinse_flow: 0.5 * LITRE_PER_MINUTE,
        },
        thermal: Thermal {
            ambient: 22.0,
            capacity: 20_000.0,
            cooling: 40.0,
            slurry_share: 0.3,
            high: 35.0,
            very_high: 45.0,
        },
        control: control(),
        gains: None,
        envelope: Envelope {
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
        },
    }
}

fn actuator() -> Actuator {
    Actuator {
        mass: 58.0,
        bore: 0.05,
        rod: 0.02,
        relief_pressure: 4.2e5,
        lift_pressure: 5.5e5,
        supply_pressure: 6.0e5,
        supply_minimum: 4.8e5,
        counterbalance: 3.085e5,
        seal_friction: 8.0,
        seal_breakaway: 12.0,
        stribeck_speed: 0.01,
        presliding: 2e-5,
        dead_time: 0.02,
        lag: 0.12,
        slew: 4.0,
        play: 0.001,
        resolution: 0.003,
        dump_lag: 0.18,
        speed_fast: 0.02,
        speed_creep: 0.0005,
        speed_lift: 0.02,
        height_raised: 0.15,
        approach: 0.002,
        guide_drag: 50.0,
        dog_friction: 0.1,
        dog_radius: 0.25,
    }
}

fn control() -> Control {
    Control {
        rated_load: 950.0,
        initial_load: 150.0,
        first_contact_limit: 250.0,
        band_newtons: 8.0,
        band_share: 0.03,
        filter: 15.0,
        ramp_max: 100.0,
        drive_ramp: 10.0 * RPM,
        speed_tolerance: 1.0 * RPM,
        estop_category: 1,
        stop_time: 8.0,
        dump_time: 0.9,
        hold_time: 600.0,
        settle_limit: 120.0,
        contact_tolerance: 0.2e-3,
        remote: false,
    }
}

pub(crate) fn batch() -> Batch {
    Batch {
        id: "a1-glass".into(),
        title: "invented".into(),
        material: "glass".into(),
        density: 2500.0,
        outline: Outline::Disc { diameter: 0.05 },
        thickness: 0.55e-3,
        spread: 1.5e-6,
        damage: 3e-6,
        roughness: 0.8e-6,
        strength: 120.0,
        stiffness_per_area: 1e10,
        target: 0.5414e-3,
        tolerance: 4e-6,
        parallelism: 3e-6,
        flatness: 2e-6,
        finish: 0.4e-6,
        carrier_thickness: 0.45e-3,
        pockets: 3,
        pocket_radius: 0.05,
        parts: 15,
        dummies: 0,
    }
}

pub(crate) fn recipe() -> Recipe {
    let speeds = [14.0 * RPM, 5.0 * RPM, 28.0 * RPM, -14.0 * RPM];
    let step = Step {
        name: "coarse".into(),
        pressure: 6e3,
        load_limit: 250.0,
        ramp: 50.0,
        speeds,
        flow: 0.3 * LITRE_PER_MINUTE,
        end: End::Time { seconds: 60.0 },
        longest: 260.0,
    };
    Recipe {
        id: "a1".into(),
        title: "invented".into(),
        machine: "machine-a".into(),
        batch: "a1-glass".into(),
        process: Process::LooseAbrasive,
        consumables: Consumables {
            abrasive: "aluminium oxide".into(),
            grade: "F800".into(),
            grain: 6.5e-6,
            vehicle: "water".into(),
            concentration: 0.2,
            removal: 8e-12,
            friction: 0.15,
            friction_dry: 0.4,
            breakdown_work: 1e6,
            roughness: 0.3e-6,
            damage: 2e-6,
            settle_depth: 1.5e-6,
        },
        prestart: 20.0,
        prestart_flow: 0.3 * LITRE_PER_MINUTE,
        rinse: 10.0,
        gauge: true,
        steps: vec![
            step.clone(),
            Step {
                name: "fine".into(),
                pressure: 9e3,
                load_limit: 350.0,
                end: End::Size {
                    thickness: 0.5414e-3,
                },
                ..step
            },
        ],
    }
}
