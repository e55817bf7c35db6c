//! Several circles of pockets in a carrier, against brute force: points that are followed on their paths, and hand-made sums.

use crate::plates::{brute, points};
use crate::rig::{Rig, rad_s};
use std::f64::consts::TAU;
use twinplate_sim::demo;
use twinplate_sim::model::{Batch, Circle, Deviations, G, Geometry, Outline};
use twinplate_sim::plant::Plant;
use twinplate_sim::plant::kinematics::carrier_motion;
use twinplate_sim::plant::paths::{Footprint, Path, RINGS, Rings, Rub, Turning};
use twinplate_sim::plant::places::off_centre;

const DISC: Outline = Outline::Disc { diameter: 0.025 };

/// One in the middle, six round it and twelve outside.
const CIRCLES: [Circle; 3] = [
    Circle {
        pockets: 1,
        radius: 0.0,
        phase: 0.0,
    },
    Circle {
        pockets: 6,
        radius: 0.029,
        phase: 0.3,
    },
    Circle {
        pockets: 12,
        radius: 0.058,
        phase: 0.0,
    },
];

/// Five full carriers of machine A.
fn on_three_circles(batch: &mut Batch) {
    batch.circles = CIRCLES.to_vec();
    batch.outline = DISC;
    batch.parts = 5 * 19;
}

const PHASES: u32 = 720;

/// Places (radius on the plate, m) and speeds (m/s) of a point at `rho` over a turn of its carrier, by position and velocity.
fn followed(orbit: f64, rho: f64, turning: Turning) -> impl Iterator<Item = (f64, f64)> {
    (0..PHASES).map(move |phase| {
        let psi = TAU * (f64::from(phase) + 0.5) / f64::from(PHASES);
        brute(Path { orbit, rho }, turning, psi)
    })
}

/// Mean sliding speed over a part's area and a turn of its carrier, both faces together, m/s.
fn path_speed(geometry: &Geometry, pocket: f64, rpm: [f64; 4]) -> f64 {
    let speeds = rpm.map(rad_s);
    let motion = carrier_motion(geometry, &speeds);
    let points = points(DISC, pocket);
    let mut sum = 0.0;
    for plate in [speeds[2], speeds[3]] {
        for rho in &points {
            let path = followed(geometry.radius_orbit(), *rho, Turning::new(motion, plate));
            sum += path.map(|(_, speed)| speed).sum::<f64>();
        }
    }
    sum / (points.len() as f64 * f64::from(PHASES))
}

/// The wear of each ring is that of the circles, one by one, added up; and what followed points leave, to 1 %.
#[test]
fn wear_of_several_circles_is_the_sum_of_the_circles_and_what_brute_force_finds() {
    let (machine, mut batch, _) = demo::set("glass-f800");
    on_three_circles(&mut batch);
    let geometry = &machine.geometry;
    let rings = Rings::new(geometry);
    let together = Rub::new(geometry, &Footprint::of_batch(geometry, &batch));
    for rpm in [[14.0, 5.0, 28.0], [14.0, -5.0, -14.0], [-14.0, -5.0, 28.0]] {
        let motion = carrier_motion(geometry, &[rad_s(rpm[0]), rad_s(rpm[1]), 0.0, 0.0]);
        let turning = Turning::new(motion, rad_s(rpm[2]));
        let mut wear = [0.0; RINGS];
        together.sliding(turning, &mut wear);
        let (mut summed, mut brute_force) = ([0.0; RINGS], [0.0; RINGS]);
        for circle in CIRCLES {
            let pieces = f64::from(5 * circle.pockets);
            let alone = Footprint::of_part(DISC, circle.radius).times(pieces);
            let mut one = [0.0; RINGS];
            Rub::new(geometry, &alone).sliding(turning, &mut one);
            for (sum, one) in summed.iter_mut().zip(one) {
                *sum += one;
            }
            let points = points(DISC, circle.radius);
            let area = pieces * DISC.area() / (points.len() as f64 * f64::from(PHASES));
            for rho in points {
                for (r, v) in followed(geometry.radius_orbit(), rho, turning) {
                    if (rings.edge(0)..rings.edge(RINGS)).contains(&r) {
                        let j = rings.holding(r);
                        brute_force[j] += v * area / rings.area(j);
                    }
                }
            }
        }
        let mean = wear.iter().sum::<f64>() / RINGS as f64;
        let mut squares = 0.0;
        for j in 0..RINGS {
            assert!(
                (wear[j] - summed[j]).abs() < 1e-12 * mean,
                "{rpm:?} ring {j}"
            );
            let off = (wear[j] - brute_force[j]) / mean;
            assert!(off.abs() < 0.02, "{rpm:?} ring {j}: {off}");
            squares += off * off / RINGS as f64;
        }
        assert!(squares.sqrt() < 0.01, "{rpm:?}: {}", squares.sqrt());
    }
}

/// Parts of three circles lap each at its own path's mean speed; those that fall behind stay thicker and bear more until all keep
/// pace. Removal of each circle against an integration by hand with the speeds of followed points: 1 %. Carriers that spin fast
/// make circles that differ.
#[test]
fn removal_on_each_circle_is_what_its_path_gives() {
    let rpm = [30.0, -26.0, 20.0, -20.0];
    let mut rig = Rig::plain(&Deviations::NOMINAL, |m, b, c| {
        on_three_circles(b);
        b.spread = 0.0;
        (b.bow, b.taper) = (0.0, 0.0);
        m.thermal.slurry_share = 1.0;
        m.plates.wear = 0.0;
        c.breakdown_work = 1e30;
    })
    .seated();
    rig.out.pump = 1000;
    rig.run(45_000);
    rig.press(0.24).turn(rpm).run(6000);
    while !rig.plant.truth().tick.is_multiple_of(100) {
        rig.tick();
    }
    let speeds = CIRCLES.map(|circle| path_speed(&rig.machine.geometry, circle.radius, rpm));
    assert!(
        speeds[2] > 1.2 * speeds[0],
        "circles that differ: {speeds:?}"
    );
    let of = mean_by_circle(&rig.batch);
    let start = of(&rig.plant);
    let mut heights = start;
    let (area, stiffness) = (DISC.area(), rig.batch.stiffness_per_area);
    let shares = CIRCLES.map(|circle| f64::from(circle.pockets) / 19.0);
    let own = rig.batch.density * rig.batch.thickness * G;
    let coefficient = rig.consumables.removal.expect("measured");
    let mean = |values: [f64; 3]| -> f64 { values.iter().zip(shares).map(|(v, s)| v * s).sum() };
    for second in 0..120 {
        for _ in 0..1000 {
            rig.tick();
            // The plate rests where the mean pressure is the load's.
            let pressure = rig.plant.load()[1] / (95.0 * area);
            let level = mean(heights) - pressure / stiffness;
            let cut = coefficient * rig.plant.truth().cleared * 1e-3;
            for (height, speed) in heights.iter_mut().zip(speeds) {
                // Own weight on the lower face: about half of the path.
                *height -= cut * speed * (stiffness * (*height - level) + 0.5 * own);
            }
        }
        if second % 20 != 19 {
            continue;
        }
        let now = of(&rig.plant);
        for circle in 0..3 {
            let (found, expected) = (start[circle] - now[circle], start[circle] - heights[circle]);
            assert!(
                (found / expected - 1.0).abs() < 0.01,
                "circle {circle} after {second} s: {found} for {expected}"
            );
        }
    }
    // They have come to keep pace: each is thicker than the mean by what it bears more over the stiffness.
    let now = of(&rig.plant);
    let pressure = rig.plant.load()[1] / (95.0 * area);
    let inverse = mean(speeds.map(|speed| 1.0 / speed));
    let apart = speeds.map(|speed| pressure / stiffness * (1.0 / (speed * inverse) - 1.0));
    let largest = apart.iter().fold(0.0_f64, |most, d| most.max(d.abs()));
    for circle in 0..3 {
        let found = now[circle] - mean(now);
        assert!(
            (found - apart[circle]).abs() < 0.03 * largest,
            "circle {circle}: {found} for {}",
            apart[circle]
        );
    }
}

/// Reads the mean thickness of the parts of each circle.
fn mean_by_circle(batch: &Batch) -> impl Fn(&Plant) -> [f64; 3] + use<> {
    let pockets: Vec<f64> = batch.circles.iter().map(|c| f64::from(c.pockets)).collect();
    move |plant| {
        let mut sums = [0.0; 3];
        for (i, part) in plant.parts().enumerate() {
            let circle = plant.pocket(i).circle as usize;
            sums[circle] += part.thickness / (5.0 * pockets[circle]);
        }
        sums
    }
}

/// By hand: on five carriers of 90 mm at 170 mm, one piece missing in one carrier. What is left of two sums that were nothing is what
/// is missing, the carrier's orbit and the pocket's radius; over the pieces that are left that is how far their middle comes off.
#[test]
fn a_short_batch_needs_the_moment_of_what_is_missing() {
    let (machine, mut batch, recipe) = demo::set("glass-f800");
    batch.parts = 14;
    // Three in four carriers, two in the last: opposite in no way, so both that are there count.
    let orbit = machine.geometry.radius_orbit();
    let load = 100.0;
    let far = off_centre(&machine.geometry, &batch);
    // Two of three pockets, at 0° and 120°, add up to one radius between them.
    let sums = [orbit, batch.outermost()];
    let by_hand = (sums[0] + sums[1]) / 14.0;
    assert!((far - by_hand).abs() < 1e-12, "{far} for {by_hand}");
    assert!(load * far > 1.5, "N·m, about: {}", load * far);
    // A plant under that load says so: the moment goes with the load.
    let mut plant = Plant::new(
        &machine,
        &batch,
        &recipe.consumables,
        &Deviations::NOMINAL,
        1,
    );
    assert_eq!(plant.leaning().moment, 0.0);
    let mut rig = Rig::plain(&Deviations::NOMINAL, |_, b, _| b.parts = 14).seated();
    rig.press(0.24).run(3000);
    let leaning = rig.plant.leaning();
    assert!(
        leaning.moment > 0.95 * rig.plant.load()[1] * by_hand,
        "{leaning:?}"
    );
    assert!(
        leaning.moment < 1.1 * rig.plant.load()[1] * by_hand,
        "{leaning:?}"
    );
    assert!(leaning.slope > 0.0 && leaning.tick > 0);
    // Full, it needs none.
    batch.parts = 15;
    plant = Plant::new(
        &machine,
        &batch,
        &recipe.consumables,
        &Deviations::NOMINAL,
        1,
    );
    let full = off_centre(&machine.geometry, &batch);
    assert!(full < 1e-12 && plant.leaning().moment == 0.0);
}

/// By hand: fifteen alike, one pocket empty. The others sink alike but for the slope: see the plate's own test of it. The moment is the
/// load times what the missing piece leaves, `(e + ρ)/14`.
#[test]
fn an_empty_pocket_and_a_doubled_part_show_in_tilt_and_moment() {
    use twinplate_sim::model::{Component, Fault, FaultMode};
    let with = |mode: Option<FaultMode>| {
        let mut rig = Rig::plain(&Deviations::NOMINAL, |_, b, _| b.spread = 0.0);
        if let Some(mode) = mode {
            let fault = Fault {
                component: Component::Parts,
                mode,
                magnitude: Some(1.0),
            };
            rig.plant.inject(&fault).expect("the plate is up");
        }
        let mut rig = rig.seated();
        rig.press(0.24).run(3000);
        let e = rig.machine.geometry.radius_orbit();
        let reach = e + rig.batch.outermost();
        (
            rig.plant.leaning(),
            rig.plant.load()[1],
            reach,
            rig.batch.thickness,
        )
    };
    let (level, _, _, _) = with(None);
    assert!(level.slope < 1e-9 && level.moment < 1e-9, "{level:?}");
    let (empty, load, reach, _) = with(Some(FaultMode::Off));
    let by_hand = load * reach / 14.0;
    assert!(
        (empty.moment / by_hand - 1.0).abs() < 0.1,
        "{empty:?} for {by_hand}"
    );
    assert!(empty.slope > 1e-7, "{empty:?}");
    // Leant on one piece twice as high, over a span of no more than twice the reach; its column is half as stiff.
    let (doubled, load, reach, thickness) = with(Some(FaultMode::Wrong));
    assert!(doubled.slope > thickness / (2.0 * reach), "{doubled:?}");
    let by_hand = load * reach * 0.5 / 14.5;
    assert!(
        (doubled.moment / by_hand - 1.0).abs() < 0.1,
        "{doubled:?} for {by_hand}"
    );
}
