//! Friction torques on the four drives against brute force: Coulomb friction summed over small pieces of a part's area and over the
//! carrier's phases, with the carrier's balance of forces and moments on its two rings of pins. Nothing here knows of dissipation,
//! means or elliptic integrals.

use crate::rig::{Rig, rad_s};
use std::f64::consts::PI;
use twinplate_sim::demo;
use twinplate_sim::model::{Batch, Circle, Geometry, Outline};
use twinplate_sim::plant::paths::Footprint;
use twinplate_sim::plant::torque::Rubbing;
use twinplate_sim::plant::{SMOOTHING, kinematics};

const SIDE: usize = 40;
const PHASES: usize = 120;
/// Angles at which a rectangle lies in its pocket: parts turn there.
const TURNS: usize = 6;

fn middle(i: usize, n: usize) -> f64 {
    (i as f64 + 0.5) / n as f64
}

/// Places of equal pieces of the parts' area against the carrier's centre, m, and what each counts: as many parts as its circle has
/// pockets.
fn pieces(batch: &Batch) -> Vec<([f64; 2], f64)> {
    let mut places = Vec::new();
    for i in 0..SIDE {
        for j in 0..SIDE {
            let (u, w) = (middle(i, SIDE), middle(j, SIDE));
            let polar = |inner: f64, outer: f64| {
                let r = 0.5 * (inner * inner + (outer * outer - inner * inner) * u).sqrt();
                [r * (2.0 * PI * w).cos(), r * (2.0 * PI * w).sin()]
            };
            match batch.outline {
                Outline::Disc { diameter } => places.push(polar(0.0, diameter)),
                Outline::Ring { outer, inner } => places.push(polar(inner, outer)),
                Outline::Rectangle { length, width } => {
                    let (x, y) = (length * (u - 0.5), width * (w - 0.5));
                    for turn in 0..TURNS {
                        let (s, c) = (PI * middle(turn, TURNS)).sin_cos();
                        places.push([c * x - s * y, s * x + c * y]);
                    }
                }
                Outline::Polygon(polygon) => {
                    let [a, b] = polygon.reach();
                    let (x, y) = (2.0 * a * (u - 0.5), 2.0 * b * (w - 0.5));
                    for turn in 0..TURNS {
                        let (s, c) = (2.0 * PI * middle(turn, TURNS)).sin_cos();
                        if polygon.depth([x, y]) > 0.0 {
                            places.push([c * x - s * y, s * x + c * y]);
                        }
                    }
                }
            }
        }
    }
    let all = f64::from(batch.pockets()) * places.len() as f64;
    let circle = |circle: &Circle| -> Vec<([f64; 2], f64)> {
        let counts = f64::from(circle.pockets) / all;
        let places = places.iter().map(|[x, y]| [circle.radius + x, *y]);
        places.map(|place| (place, counts)).collect()
    };
    batch.circles.iter().flat_map(circle).collect()
}

/// Torques on the inner ring, the outer ring and one plate that turns at `plate`, N·m per newton of friction force.
fn brute_force(geometry: &Geometry, batch: &Batch, speeds: &[f64; 4], plate: f64) -> [f64; 3] {
    let motion = kinematics::carrier_motion(geometry, speeds);
    let orbit_radius = geometry.radius_orbit();
    let places = pieces(batch);
    let (mut along_orbit, mut about_carrier, mut about_machine) = (0.0, 0.0, 0.0);
    for phase in 0..PHASES {
        let (s, c) = (2.0 * PI * middle(phase, PHASES)).sin_cos();
        for ([x, y], counts) in &places {
            let share = counts / PHASES as f64;
            // The carrier's centre lies on the x axis; the piece at (px, py) from it.
            let (px, py) = (c * x - s * y, s * x + c * y);
            let (mx, my) = (orbit_radius + px, py);
            let ux = -motion.spin * py + plate * my;
            let uy = motion.orbit * orbit_radius + motion.spin * px - plate * mx;
            let speed = (ux * ux + uy * uy + SMOOTHING * SMOOTHING).sqrt();
            let (fx, fy) = (-share * ux / speed, -share * uy / speed);
            along_orbit += fy;
            about_carrier += px * fy - py * fx;
            about_machine += mx * fy - my * fx;
        }
    }
    // Pins at the carrier's inner and outer rim hold it against the tangential force and the moment on it, and pass both on.
    let lever = about_carrier / geometry.radius_carrier();
    [
        0.5 * (along_orbit - lever) * (orbit_radius - geometry.radius_carrier()),
        0.5 * (along_orbit + lever) * (orbit_radius + geometry.radius_carrier()),
        -about_machine,
    ]
}

/// 64-bit numbers that look random: `SplitMix64` (Steele, Lea, Flood 2014; from memory).
struct Random(u64);

impl Random {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        let unit = ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64;
        low + (high - low) * unit
    }
}

fn any_case(random: &mut Random) -> (Geometry, Batch, [f64; 4]) {
    let (machine, mut batch, _) = demo::set("steel-f400");
    let mut geometry = machine.geometry;
    geometry.module = random.between(2e-3, 8e-3);
    geometry.teeth_inner = random.between(30.0, 80.0) as u32;
    geometry.teeth_carrier = random.between(25.0, 70.0) as u32;
    geometry.teeth_outer = geometry.teeth_inner + 2 * geometry.teeth_carrier;
    let carrier = geometry.radius_carrier();
    // One circle to three, full carriers.
    batch.circles = (0..1 + random.between(0.0, 3.0) as u32)
        .map(|_| Circle {
            pockets: 1 + random.between(0.0, 9.0) as u32,
            radius: random.between(0.0, 0.6) * carrier,
            phase: random.between(-3.0, 3.0),
        })
        .collect();
    batch.parts = batch.pockets() * geometry.carriers;
    let size = random.between(0.1, 1.0) * (carrier - batch.outermost());
    batch.outline = match random.between(0.0, 3.0) as u8 {
        0 => Outline::Disc {
            diameter: 2.0 * size,
        },
        1 => Outline::Ring {
            outer: 2.0 * size,
            inner: random.between(0.2, 1.8) * size,
        },
        _ => Outline::Rectangle {
            length: 1.2 * size,
            width: random.between(0.3, 1.2) * size,
        },
    };
    let speeds = std::array::from_fn(|_| rad_s(random.between(-60.0, 60.0)));
    (geometry, batch, speeds)
}

/// The largest deviation on two hundred geometries, share of the torque, with what of it is allowed where the torque is the small
/// difference of large ones: two per mille of those.
pub fn deviation() -> f64 {
    let mut random = Random(11);
    let mut worst = 0.0_f64;
    for case in 0..200 {
        let (geometry, batch, speeds) = any_case(&mut random);
        let footprint = Footprint::of_batch(&geometry, &batch);
        let arms = Rubbing::new(&geometry, &footprint, SMOOTHING).arms(&speeds);
        for (face, own) in [(2, arms.lower), (3, arms.upper)] {
            let summed = brute_force(&geometry, &batch, &speeds, speeds[face]);
            for (own, summed) in [own[0], own[1], own[face]].iter().zip(summed) {
                // One percent of the torque; where a torque is the small difference of large ones, two per mille of those.
                let off = (own - summed).abs();
                let share = off / (summed.abs() + 0.2 * geometry.radius_orbit());
                assert!(
                    share <= 0.01,
                    "case {case}, drive against plate {face}: {own} against {summed} N·m/N; {batch:?} {geometry:?} {speeds:?}"
                );
                worst = worst.max(share);
            }
        }
    }
    worst
}

#[test]
fn torques_agree_with_brute_force_on_two_hundred_geometries() {
    assert!(deviation() <= 0.01);
}

/// In the plant, under load and at speed, on the recipe whose outer ring is dragged by its pads' carriers.
#[test]
fn the_plant_puts_them_on_its_drives() {
    let (machine, batch, recipe) = demo::set("glass-polish");
    let last = recipe.steps.last().expect("a step");
    let rpm = last.speeds.map(|speed| speed * 30.0 / PI);
    let mut rig = Rig::plain(&twinplate_sim::model::Deviations::NOMINAL, |m, b, c| {
        (*m, *b, *c) = (machine.clone(), batch.clone(), recipe.consumables.clone());
        m.cell.noise = 0.0;
    })
    .seated();
    // Wet first: dry, the drives would stall.
    rig.out.pump = 1000;
    rig.run(45_000);
    rig.press(0.4).turn(rpm).run(8000);
    let truth = rig.plant.truth();
    let weight = batch.density * batch.area() * batch.thickness * 9.806_65;
    let loads = [
        truth.load_without_runout + weight,
        truth.load_without_runout,
    ];
    let mut expected = [0.0; 4];
    for face in 0..2 {
        let speeds = &truth.speeds;
        let summed = brute_force(&machine.geometry, &batch, speeds, speeds[2 + face]);
        let force = truth.friction * loads[face];
        expected[0] += force * summed[0];
        expected[1] += force * summed[1];
        expected[2 + face] += force * summed[2];
    }
    let largest = expected.iter().fold(0.0_f64, |most, t| most.max(t.abs()));
    for (drive, (own, expected)) in truth.friction_torques.iter().zip(expected).enumerate() {
        assert!(
            (own - expected).abs() < 0.01 * expected.abs() + 0.002 * largest,
            "drive {drive}: {own} against {expected} N·m"
        );
    }
    // By the root mean square speed the outer ring's had the other sign.
    assert!(expected[1] > 0.0, "{expected:?}");
}
