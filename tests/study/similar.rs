//! Similarity: a machine and its parts made larger, pressed as hard and slid as fast, take as long and come out as thick.
//!
//! Lapping takes off depth by pressure and sliding speed, so what is scaled is the ground plan; depths, heights, pressures, sliding
//! speeds and times stay. From that all else follows:
//!
//! | quantity | grows with |
//! |---|---|
//! | plates, teeth, carriers, pockets, outlines, bores | the scale |
//! | thickness, stock, spread, heights, presliding, vertical speeds | nothing |
//! | forces, masses, vertical drag, flows, volumes, heat capacity and cooling | its square, as areas do |
//! | turning speeds, their ramps and tolerances | its inverse |
//! | torques | its cube |
//! | moments of inertia | its fourth power |
//! | gains of the load loop, command over newtons | its inverse square |
//! | thermal expansion of the plates, so that heat bows them as high | its inverse square |

use twinplate_sim::bench::{Job, NoRecorder, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::model::{Batch, Machine, Outline, Polygon, Recipe};

const SCALES: [f64; 2] = [0.635, 2.52];
/// Runs of a mean.
const RUNS: u64 = 16;

fn machine(m: &mut Machine, scale: f64) {
    let square = scale * scale;
    let g = &mut m.geometry;
    for length in [&mut g.plate_outer, &mut g.plate_inner, &mut g.module] {
        *length *= scale;
    }
    let a = &mut m.actuator;
    for length in [&mut a.bore, &mut a.rod, &mut a.dog_radius] {
        *length *= scale;
    }
    for force in [
        &mut a.mass,
        &mut a.seal_friction,
        &mut a.seal_breakaway,
        &mut a.guide_drag,
    ] {
        *force *= square;
    }
    let c = &mut m.cell;
    for force in [&mut c.range, &mut c.noise, &mut c.zero_drift, &mut c.lash] {
        *force *= square;
    }
    for d in &mut m.drives {
        d.speed /= scale;
        d.torque *= square * scale;
        d.drag *= square * scale;
        d.inertia *= square * square;
    }
    let s = &mut m.slurry;
    for volume in [
        &mut s.flow_max,
        &mut s.flow_min,
        &mut s.line_volume,
        &mut s.tank,
        &mut s.rinse_flow,
    ] {
        *volume *= square;
    }
    m.thermal.capacity *= square;
    m.thermal.cooling *= square;
    m.plates.expansion /= square;
    let c = &mut m.control;
    for force in [
        &mut c.rated_load,
        &mut c.initial_load,
        &mut c.first_contact_limit,
        &mut c.band_newtons,
        &mut c.ramp_max,
    ] {
        *force *= square;
    }
    c.drive_ramp /= scale;
    c.speed_tolerance /= scale;
    if let Some(gains) = &mut m.gains {
        gains.kc /= square;
    }
}

fn batch(b: &mut Batch, scale: f64) {
    b.outline = match b.outline {
        Outline::Disc { diameter } => Outline::Disc {
            diameter: scale * diameter,
        },
        Outline::Ring { outer, inner } => Outline::Ring {
            outer: scale * outer,
            inner: scale * inner,
        },
        Outline::Rectangle { length, width } => Outline::Rectangle {
            length: scale * length,
            width: scale * width,
        },
        Outline::Polygon(polygon) => {
            let corners = polygon.corners().iter().map(|at| at.map(|x| scale * x));
            let corners: Vec<[f64; 2]> = corners.collect();
            Outline::Polygon(Polygon::new(&corners).expect("the same polygon"))
        }
    };
    for circle in &mut b.circles {
        circle.radius *= scale;
    }
    b.strength *= scale * scale;
}

fn recipe(r: &mut Recipe, scale: f64) {
    let square = scale * scale;
    r.prestart_flow *= square;
    for step in &mut r.steps {
        step.load_limit *= square;
        step.ramp *= square;
        step.flow *= square;
        step.speeds = step.speeds.map(|speed| speed / scale);
    }
}

/// Mean cycle, s, and mean thickness of the parts, m, over some runs: the noise of the gauge moves the end of the last step by some
/// tenths of a second.
fn cycle_and_size(name: &str, scale: f64) -> [f64; 2] {
    let (mut m, mut b, mut r) = demo::set(name);
    // Runout turns with the plates, and the plates of a larger machine turn slower: the one thing that is not similar.
    m.geometry.runout_ripple = 0.0;
    machine(&mut m, scale);
    batch(&mut b, scale);
    recipe(&mut r, scale);
    let job = Job::new(m, b, r).expect("the controller takes it");
    let mut sums = [0.0; 2];
    for seed in 0..RUNS {
        let outcome = run_cycle(&job.nominal(seed), None, NoRecorder).expect("in process");
        sums[0] += outcome.summary.cycle.expect("complete");
        sums[1] += outcome.summary.parts.mean;
    }
    sums.map(|sum| sum / RUNS as f64)
}

#[test]
fn a_larger_machine_pressed_as_hard_and_slid_as_fast_laps_alike() {
    for name in ["glass-f800", "steel-f400", "zirconia-fixed"] {
        let [cycle, size] = cycle_and_size(name, 1.0);
        for scale in SCALES {
            let [other, thickness] = cycle_and_size(name, scale);
            let (longer, thicker) = (other / cycle - 1.0, thickness - size);
            assert!(
                longer.abs() < 5e-4 && thicker.abs() < 0.02e-6,
                "{name} x {scale}: cycle {:.4} % longer, parts {:.4} µm thicker",
                100.0 * longer,
                1e6 * thicker
            );
        }
    }
}
