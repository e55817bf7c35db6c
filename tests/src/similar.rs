//! Machines, batches and recipes made larger by a scale of the ground plan, with pressures, sliding speeds and times as they were.
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

use twinplate_sim::model::{Batch, Machine, Outline, Polygon, Recipe};

/// A machine of another scale.
pub fn machine(m: &mut Machine, scale: f64) {
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

/// A batch of another scale.
pub fn batch(b: &mut Batch, scale: f64) {
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

/// A recipe of another scale.
pub fn recipe(r: &mut Recipe, scale: f64) {
    let square = scale * scale;
    r.prestart_flow *= square;
    for step in &mut r.steps {
        step.load_limit *= square;
        step.ramp *= square;
        step.flow *= square;
        step.speeds = step.speeds.map(|speed| speed / scale);
    }
}
