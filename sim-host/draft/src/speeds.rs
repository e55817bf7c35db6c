//! The four speeds: how the rings and the plates turn to each other so that both faces lose alike and both plates stay in form.
//!
//! With the carriers' orbit in the middle between the two plates' speeds a part slides as fast below as above. How fast carriers orbit
//! and spin beside that is free; here it is looked for on a grid, and what comes out is judged by the kinematics of the plant.

use std::f64::consts::PI;
use twinplate_check::Case;
use twinplate_sim::flatness;
use twinplate_sim::math::{abs, max, min};
use twinplate_sim::model::{End, Recipe};

/// Four speeds, rad/s in `Drive` order, at which the parts slide at 1 m/s in the mean of both faces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shape {
    /// Speeds over the mean sliding speed, rad/m.
    pub speeds: [f64; 4],
    /// Mean sliding speed of the lower faces over that of the upper ones.
    pub balance: f64,
    /// Largest change of form of a plate by a batch, m.
    pub wear: f64,
}

/// Orbit and spin of the carriers over half the difference of the plates' speeds: the grid.
const ORBITS: [f64; 9] = [0.34, 0.25, 0.45, 0.18, 0.6, -0.25, 0.1, 0.8, -0.45];
/// See `ORBITS`.
const SPINS: [f64; 15] = [
    0.05, -0.05, 0.12, -0.12, 0.2, -0.2, 0.28, -0.28, 0.36, 0.45, -0.36, -0.45, 0.55, -0.55, 0.7,
];
/// Ring turning over the fastest drive under which a ring counts as nearly standing.
const SLOW: f64 = 0.06;
/// Shapes kept.
const KEPT: usize = 8;
/// Largest difference of sliding speed over a part that is looked for, a share under the check's.
const SPREAD: f64 = 0.13;

/// Shapes worth trying, the best first. `like` is a recipe whose steps' pressures and ends are those to come.
pub(crate) fn shapes(case: &Case, like: &Recipe, sliding: f64) -> Vec<Shape> {
    let mut found: Vec<(f64, Shape)> = Vec::new();
    for spin in SPINS {
        for orbit in ORBITS {
            if let Some(rated) = rated(case, like, orbit, spin, sliding) {
                found.push(rated);
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.truncate(4 * KEPT);
    // What a batch does to the plates costs more to know: only of those that are good otherwise.
    let mut judged: Vec<(f64, Shape)> = found
        .into_iter()
        .map(|(score, mut shape)| {
            shape.wear = wear(case, like, &shape, sliding);
            (score + shape.wear / 0.2e-6, shape)
        })
        .collect();
    judged.sort_by(|a, b| a.0.total_cmp(&b.0));
    judged
        .into_iter()
        .take(KEPT)
        .map(|(_, shape)| shape)
        .collect()
}

/// The shape of an orbit and a spin with its demerits: none where it cannot be, or slides too unevenly.
fn rated(case: &Case, like: &Recipe, orbit: f64, spin: f64, sliding: f64) -> Option<(f64, Shape)> {
    let g = &case.machine.geometry;
    let (inner, outer) = (
        g.module * f64::from(g.teeth_inner) / 2.0,
        g.module * f64::from(g.teeth_outer) / 2.0,
    );
    // A ring that stands ties the spin to the orbit.
    let spin = if case.machine.drives[0].fixed {
        orbit * (inner + outer) / (outer - inner)
    } else if case.machine.drives[1].fixed {
        -orbit * (inner + outer) / (outer - inner)
    } else {
        spin
    };
    if abs(spin - orbit) < 0.08 {
        return None;
    }
    let ring = |side: f64, radius: f64| {
        ((inner + outer) * orbit + side * (outer - inner) * spin) / (2.0 * radius)
    };
    let mut speeds = [ring(-1.0, inner), ring(1.0, outer), 0.0, 0.0];
    for (drive, speed) in speeds.iter_mut().enumerate() {
        if case.machine.drives[drive].fixed {
            *speed = 0.0;
        }
    }
    let step = like.steps.last()?;
    let load = case.setpoint(step);
    let weight = case.pieces_weight();
    let mut slid = [1.0; 2];
    // The lower faces bear the parts' own weight too, and slide so much slower.
    let mut shift = 0.0;
    for _ in 0..4 {
        speeds[2] = orbit + shift + 1.0;
        speeds[3] = orbit + shift - 1.0;
        let mut trial = step.clone();
        trial.speeds = speeds;
        slid = case.face_speeds(&trial);
        let off = slid[0] * (load + weight) / (slid[1] * load);
        shift -= 0.5 * (off - 1.0);
        if abs(shift) > 0.5 {
            return None;
        }
    }
    let mean = 0.5 * (slid[0] + slid[1]);
    if mean <= 0.0 {
        return None;
    }
    let speeds = speeds.map(|speed| speed / mean);
    let mut trial = step.clone();
    trial.speeds = speeds;
    let fastest = Case::fastest(&trial);
    let rings = [0, 1]
        .into_iter()
        .filter(|ring| !case.machine.drives[*ring].fixed)
        .map(|ring| abs(speeds[ring]) / fastest)
        .fold(f64::INFINITY, min);
    if rings < SLOW {
        return None;
    }
    let spread = spread(case, &trial);
    if spread > SPREAD {
        return None;
    }
    let busy = busy(case, like, trial, sliding);
    let score = spread / SPREAD + busy + 0.05 / rings;
    let shape = Shape {
        speeds,
        balance: slid[0] / slid[1],
        wear: 0.0,
    };
    Some((score, shape))
}

/// How near a drive comes to its top speed or its torque, as a share: of the drive that comes nearest.
fn busy(case: &Case, like: &Recipe, mut trial: twinplate_sim::model::Step, sliding: f64) -> f64 {
    let speeds = trial.speeds;
    let load = case.setpoint(&trial);
    let friction = like.consumables.friction;
    trial.speeds = speeds.map(|speed| speed * sliding);
    let torque = case.friction_torque(&trial, load, friction);
    let drives = &case.machine.drives;
    (0..4)
        .map(|i| {
            max(
                abs(trial.speeds[i]) / max(drives[i].speed, 1e-9),
                abs(torque[i]) / max(drives[i].torque, 1e-9),
            )
        })
        .fold(0.0, max)
}

/// Largest difference of mean sliding speed over a part, a share of its middle's.
fn spread(case: &Case, step: &twinplate_sim::model::Step) -> f64 {
    let radius = case.batch.outline.outer_radius();
    let mut most = 0.0;
    for circle in &case.batch.circles {
        for face in [0, 1] {
            let at = |rho: f64| case.slide(step, face, rho).mean();
            let [near, far] = [abs(circle.radius - radius), circle.radius + radius].map(at);
            most = max(most, abs(far - near) / max(at(circle.radius), 1e-12));
        }
    }
    most
}

/// Largest change of form that a batch makes of a plate, m.
fn wear(case: &Case, like: &Recipe, shape: &Shape, sliding: f64) -> f64 {
    let mut recipe = like.clone();
    recipe.flatness = None;
    for step in &mut recipe.steps {
        step.speeds = shape.speeds.map(|speed| speed * sliding);
        if matches!(step.end, End::Size { .. }) {
            step.end = End::Size {
                thickness: case.batch.target,
            };
        }
    }
    flatness::wear(case.machine, case.batch, &recipe)
        .first()
        .map_or(0.0, |(_, change)| max(abs(change[0]), abs(change[1])))
}

/// rad/s as the files write it: to a tenth of a turn a minute.
pub(crate) fn rpm(speed: f64) -> f64 {
    twinplate_sim::math::round(speed * 30.0 / PI * 10.0) / 10.0
}
