//! Friction heat of the two faces.

use crate::rig::Rig;
use crate::rig::rad_s;
use std::f64::consts::TAU;
use twinplate_check::Case;
use twinplate_check::settled::gap;
use twinplate_sim::demo;
use twinplate_sim::model::{Batch, Deviations, Machine, Recipe};

/// Source: `q = mu p v` per face: 0.1, 10 kPa, 0.5 m/s give 500 W/m²; 0.2, 20 kPa, 1 m/s give 4000 W/m² (from the definition
/// of work). The plant is driven near those points and its answer scaled to them.
///
/// The heat is read back from the temperatures of the plates: stored plus carried away, over the share that the slurry leaves
/// them. Friction works along the sliding path, so by the mean speed over the parts' faces: while nothing but the plate turns, that of
/// their mean distance from the machine's centre, summed here over a part's area all around its carrier.
#[test]
fn heat_per_face_is_friction_times_pressure_times_speed() {
    for (mu, kpa, v, watts) in [(0.1, 10.0, 0.5, 500.0), (0.2, 20.0, 1.0, 4000.0)] {
        let mut rig = Rig::plain(&Deviations::NOMINAL, |m, b, c| {
            c.friction = mu;
            b.spread = 0.0;
            m.drives.iter_mut().for_each(|d| d.torque = 1e4);
        })
        .seated();
        rig.out.pump = 1000;
        rig.run(45_000);
        let (a, t) = (rig.machine.actuator.clone(), rig.machine.thermal.clone());
        let load = kpa * 1e3 * rig.batch.area();
        rig.press((load - a.resting_load()) / a.line_gain());
        // Rings and carriers still: both faces slide at the plate's own speed.
        let orbit = rig.machine.geometry.radius_orbit();
        let half = 0.025_f64;
        let turn = v / mean_distance(orbit, rig.batch.outermost(), half) / rad_s(1.0);
        rig.turn([0.0, 0.0, turn, -turn]).run(10_000);
        let (mut carried, mut pressure) = ([0.0; 2], 0.0);
        let start = rig.plant.truth();
        let seconds = 120.0;
        for _ in 0..120_000 {
            rig.tick();
            let truth = rig.plant.truth();
            pressure += truth.load_without_runout / rig.batch.area() * 1e-3 / seconds;
            for (sum, plate) in carried.iter_mut().zip(truth.temperatures) {
                *sum += t.cooling * (plate - t.ambient) * 1e-3;
            }
        }
        let end = rig.plant.truth();
        let own = rig.batch.density * rig.batch.thickness * twinplate_sim::model::G;
        for (face, carried) in carried.into_iter().enumerate() {
            let stored = t.capacity * (end.temperatures[face] - start.temperatures[face]);
            let heat = (stored + carried) / (1.0 - t.slurry_share) / seconds;
            let flux = heat / rig.batch.area();
            let pressed = pressure + if face == 0 { own } else { 0.0 };
            let at_point = flux * (kpa * 1e3) / pressed;
            // Speeds to a count of 0.01 rpm of some 25 or more; friction at its wet value to a part in a thousand.
            assert!(
                (at_point / watts - 1.0).abs() < 2e-3,
                "face {face}: {at_point} W/m² against {watts}"
            );
        }
    }
}

/// Mean distance from the machine's centre over a disc of radius `half` whose pocket goes around its carrier, m.
fn mean_distance(orbit: f64, pocket: f64, half: f64) -> f64 {
    const N: u32 = 40;
    let turn = |i: u32| (TAU * (f64::from(i) + 0.5) / f64::from(N)).sin_cos();
    let mut sum = 0.0;
    for ring in 0..N {
        let r = half * ((f64::from(ring) + 0.5) / f64::from(N)).sqrt();
        for (sin, cos) in (0..N).map(turn) {
            let rho = (pocket + r * cos).hypot(r * sin);
            for (sin, cos) in (0..N).map(turn) {
                sum += (orbit + rho * cos).hypot(rho * sin);
            }
        }
    }
    sum / f64::from(N).powi(3)
}

/// An estimate by hand of what settled heat does to one recipe, from the definitions and by following points, with nothing of the
/// model's own paths, rings or levels.
struct ByHand {
    /// Temperature difference through the lower plate, K.
    difference: f64,
    /// Bow of the lower plate over its outer diameter, m.
    bow: f64,
    /// Inner over outer edge, both plates, m.
    edges: f64,
    /// Elastic sink, m.
    sink: f64,
    /// Least pressure under a part's middle along its path, share of the mean.
    least: f64,
    /// What half a ring of the model's more or less changes of it.
    half_a_ring: f64,
}

/// `q = mu p v` on the parts' area, the slurry's share off, spread over the plate; `dT = q t/lambda`; `delta = alpha dT D^2/(8 t)` for a
/// plate that is cooled at its back (any text on thermal stress).
fn by_hand(machine: &Machine, batch: &Batch, recipe: &Recipe, friction: f64) -> ByHand {
    let g = &machine.geometry;
    let step = recipe.steps.last().expect("steps");
    let teeth = |n: u32| g.module * f64::from(n) / 2.0;
    let (inner, outer, carrier) = (
        teeth(g.teeth_inner),
        teeth(g.teeth_outer),
        teeth(g.teeth_carrier),
    );
    let orbit = inner + carrier;
    // No slip at both pin rings gives the two turns.
    let (at_inner, at_outer) = (step.speeds[0] * inner, step.speeds[1] * outer);
    let turns = [
        (at_inner + at_outer) / (inner + outer),
        (at_outer - at_inner) / (2.0 * carrier),
    ];
    let rho = batch.outermost();
    let all = 3600;
    let phases = || (0..all).map(|i| TAU * (f64::from(i) + 0.5) / f64::from(all));
    let sliding = |plate: f64| {
        let [around, about] = turns.map(|turn| turn - plate);
        phases()
            .map(|psi| (around * orbit + about * rho * psi.cos()).hypot(about * rho * psi.sin()))
            .sum::<f64>()
            / f64::from(all)
    };
    let load = step.pressure * batch.area();
    let weight = batch.density * batch.area() * batch.thickness * twinplate_sim::model::G;
    let face = TAU / 8.0 * (g.plate_outer * g.plate_outer - g.plate_inner * g.plate_inner);
    let t = g.plate_thickness;
    let differences =
        [(step.speeds[2], load + weight), (step.speeds[3], load)].map(|(plate, load)| {
            let heat = recipe.consumables.friction * friction * load * sliding(plate);
            (1.0 - machine.thermal.slurry_share) * heat / face * t / machine.plates.conductivity
        });
    let bows = differences
        .map(|dt| machine.plates.expansion * dt * g.plate_outer * g.plate_outer / (8.0 * t));
    let both = bows[0] + bows[1];
    let hollow = |r: f64| both * (2.0 * r / g.plate_outer) * (2.0 * r / g.plate_outer);
    // Points of the parts, wherever they come; and the middles of the parts.
    let (a, mut sum, mut count) = (batch.outline.outer_radius(), 0.0, 0.0);
    for psi in phases().step_by(10) {
        let centre = [orbit + rho * psi.cos(), rho * psi.sin()];
        for i in 0..40 {
            let s = a * ((f64::from(i) + 0.5) / 40.0).sqrt();
            let fills = twinplate_sim::plant::paths::filled(batch.outline, s);
            for j in 0..36 {
                let angle = TAU * (f64::from(j) + 0.5) / 36.0;
                let r = (centre[0] + s * angle.cos()).hypot(centre[1] + s * angle.sin());
                if (g.plate_inner / 2.0..g.plate_outer / 2.0).contains(&r) {
                    sum += fills * hollow(r);
                    count += fills;
                }
            }
        }
    }
    let sink = step.pressure / batch.stiffness_per_area;
    let half = (g.plate_outer - g.plate_inner) / 4.0 / twinplate_sim::plant::paths::RINGS as f64;
    ByHand {
        difference: differences[0],
        bow: bows[0],
        edges: hollow(g.plate_outer / 2.0) - hollow(g.plate_inner / 2.0),
        sink,
        least: 1.0 - (hollow(orbit + rho) - sum / count) / sink,
        half_a_ring: (hollow(orbit + rho + half) - hollow(orbit + rho)) / sink,
    }
}

/// The model's answer for the last step on plates that are cooled at their back, held against the estimate by hand.
fn compared(name: &str, friction: impl Fn(&Machine) -> f64) -> ByHand {
    let (mut machine, batch, recipe) = demo::set(name);
    machine.plates.cooling_depth = machine.geometry.plate_thickness;
    let friction = friction(&machine);
    let hand = by_hand(&machine, &batch, &recipe, friction);
    let case = Case {
        machine: &machine,
        batch: &batch,
        recipe: &recipe,
    };
    let gap = gap(&case, recipe.steps.last().expect("steps"), friction);
    for (what, model, hand) in [
        ("difference", gap.difference[0], hand.difference),
        ("bow", gap.bow[0], hand.bow),
        ("edges", gap.edges, hand.edges),
        ("sink", gap.sink, hand.sink),
    ] {
        let off = model / hand - 1.0;
        assert!(off.abs() < 2e-3, "{name}, {what}: {model} {hand}");
    }
    // The model looks at the middle of the ring that holds the path's end: half a ring off at most.
    assert!(
        (gap.least - hand.least).abs() < hand.half_a_ring,
        "{name}: {} {}, {} allowed",
        gap.least,
        hand.least,
        hand.half_a_ring
    );
    assert_eq!(gap.least < 0.0, hand.least < 0.0, "{name}");
    hand
}

/// What heat would do if every plate were cooled at its back, recipe by recipe, against an estimate by hand; and for zirconia against
/// numbers that were worked out outside of this project: 0.97 K, 21 µm, 34 µm from inner to outer edge, and a sink of 8 µm.
///
/// How many recipes lose contact depends on the question. The two plates come together unevenly by more than the sink for four of them:
/// even pressure is gone. The mean is kept, though, and half of a hollow is over the mean: pressure is lost at some place where the
/// hollow passes about twice the sink, which at the recipe's friction three do. The fourth, steel, does with the highest friction of
/// the envelope, which is what a check asks.
#[test]
fn four_recipes_would_lose_even_pressure_on_plates_that_are_cooled_at_their_back() {
    let of = |question: &dyn Fn(&str) -> bool| -> Vec<String> {
        let mut names = demo::recipes();
        names.retain(|name| question(name));
        names.sort();
        names
    };
    let four = [
        "glass-polish",
        "silicon-f1000",
        "steel-f400",
        "zirconia-fixed",
    ];
    let uneven = of(&|name| {
        let hand = compared(name, |_| 1.0);
        hand.edges > hand.sink
    });
    assert_eq!(uneven, four);
    let lost = of(&|name| compared(name, |_| 1.0).least < 0.0);
    assert_eq!(lost, ["glass-polish", "silicon-f1000", "zirconia-fixed"]);
    let at_worst = of(&|name| compared(name, |m| 1.0 + m.envelope.friction).least < 0.0);
    assert_eq!(at_worst, four);
    let (mut machine, batch, recipe) = demo::set("zirconia-fixed");
    machine.plates.cooling_depth = machine.geometry.plate_thickness;
    // What was worked out outside took cast iron to be so.
    (machine.plates.conductivity, machine.plates.expansion) = (50.0, 11e-6);
    let case = Case {
        machine: &machine,
        batch: &batch,
        recipe: &recipe,
    };
    let zirconia = gap(&case, recipe.steps.last().expect("steps"), 1.0);
    let um = |length: f64| (length * 1e6).round();
    let through = zirconia.difference[0];
    assert!((through - 0.97).abs() < 0.005, "{through}");
    assert_eq!(
        [zirconia.bow[0], zirconia.edges, zirconia.sink].map(um),
        [21.0, 34.0, 8.0]
    );
}
