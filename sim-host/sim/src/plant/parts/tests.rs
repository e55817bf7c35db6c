//! Sharing, removal, finish and damage of the parts against closed forms.

use super::*;
use crate::demo;
use crate::plant::places::Places;
use crate::plant::tilt::{Plane, Points};

fn loaded(change: impl FnOnce(&mut crate::model::Batch)) -> (Parts, Seat) {
    let (machine, mut batch, recipe) = demo::set("glass-f800");
    change(&mut batch);
    let places = Places::new(&machine.geometry, &batch);
    let parts = Parts::new(
        &batch,
        &recipe.consumables,
        &Deviations::NOMINAL,
        3,
        &places,
    );
    let mut seat = Seat::new(places, batch.carrier_thickness);
    let (top, k) = parts.tops();
    seat.lay(top, k);
    (parts, seat)
}

/// What of the thicknesses no plane over the places explains, one standard deviation, m: all that a tilting plate levels while
/// the places stand still.
fn spread(parts: &Parts, seat: &Seat) -> f64 {
    let k = vec![1.0; parts.count()];
    let points = Points {
        x: &seat.places.x[..parts.count()],
        y: &seat.places.y[..parts.count()],
        top: &parts.thickness,
        k: &k,
    };
    // Under a load that all bear the plane is the best fit, lower by as much.
    let load = 1.0;
    let plane = Plane::default().under(&points, load, 0.3).expect("a plane");
    let mut loads = vec![0.0; parts.count()];
    points.loads(&plane, 1.0, &mut loads);
    let n = parts.count() as f64;
    let squares = loads
        .iter()
        .map(|over| (over - load / n).powi(2))
        .sum::<f64>();
    (squares / n).sqrt()
}

const KP: f64 = 8e-12;
const SPEEDS: [f64; 2] = [0.385, 0.380];

/// Work on the one circle that there is.
fn on_the_first(work: [f64; FACES]) -> OnCircles {
    let mut all = OnCircles::default();
    all[0] = work;
    all
}

fn window(load: f64, seconds: f64) -> Window {
    Window {
        load,
        work: on_the_first(SPEEDS.map(|v| KP * v * seconds)),
    }
}

#[test]
fn spread_decays_as_the_closed_form_says_while_all_touch() {
    // Spread small against the deflection, so that all touch: exp(-k_p (v_u + v_l) k_i t / A), in steps of any length.
    for step in [0.1, 1.0, 20.0] {
        let (mut parts, mut seat) = loaded(|b| b.spread = 0.1e-6);
        let start = spread(&parts, &seat);
        let seconds = 100.0;
        for _ in 0..(seconds / step + 0.5) as u32 {
            parts.wear(&window(265.0, step), &mut seat);
        }
        let k_over_a = demo::batch("glass-discs").stiffness_per_area;
        let exponent = KP * (SPEEDS[0] + SPEEDS[1]) * k_over_a * seconds;
        let expected = start * (-exponent).exp();
        let found = spread(&parts, &seat);
        assert!(
            (found / expected - 1.0).abs() < 1e-6,
            "steps of {step} s: {found} against {expected}"
        );
        assert!(exponent > 5.0);
    }
}

/// Small steps of what a window does are the explicit step: each part its own load at the beginning.
#[test]
fn small_steps_are_the_explicit_ones() {
    let (mut parts, mut seat) = loaded(|b| b.spread = 1e-6);
    seat.settle(265.0);
    let mut loads = vec![0.0; parts.count()];
    seat.loads(1.0, &mut loads);
    let before = parts.thickness.clone();
    let tiny = window(265.0, 1e-4);
    parts.wear(&tiny, &mut seat);
    let own = tiny.work[0][0] / parts.area * parts.weight;
    for (i, load) in loads.iter().enumerate() {
        let off = (tiny.work[0][0] + tiny.work[0][1]) / parts.area * load + own;
        let took = before[i] - parts.thickness[i];
        assert!(
            (took - off).abs() < 1e-5 * 265.0 * off / load.max(1.0) + 1e-18,
            "{i}"
        );
    }
}

/// The stiffest contact that a file can have: parts that a window levels share alike after it, window by window, and never more.
#[test]
fn removal_is_stable_at_the_stiffest_contact() {
    let (mut parts, mut seat) = loaded(|b| {
        b.spread = 0.05e-6;
        b.stiffness_per_area = 1e13;
    });
    let load = 265.0;
    for second in 0..60 {
        for _ in 0..10 {
            parts.wear(&window(load, 0.1), &mut seat);
        }
        let sum: f64 = parts.load.iter().sum();
        assert!((sum - load).abs() < 1e-4, "{sum}");
        if second > 30 {
            seat.settle(load);
            let most = seat.loads(1.0, &mut parts.load);
            let most = parts.load[most];
            assert!(
                (most - load / 15.0).abs() < 0.01,
                "{most} N after {second} s"
            );
        }
    }
}

#[test]
fn mean_removal_is_preston_and_the_lower_face_carries_the_weight_too() {
    let (mut parts, mut seat) = loaded(|b| b.spread = 0.0);
    let window = Window {
        load: 265.0,
        work: on_the_first([1e-12, 1e-12]),
    };
    parts.wear(&window, &mut seat);
    let pressure = 265.0 / demo::batch("glass-discs").area();
    let p = parts.iter().next().expect("a part");
    assert!((p.removed_upper - 1e-12 * pressure).abs() < 1e-7 * 1e-12 * pressure);
    let own = 2500.0 * 0.55e-3 * G;
    assert!((p.removed_lower - 1e-12 * (pressure + own)).abs() < 1e-7 * 1e-12 * pressure);
    assert!((0.55e-3 - p.thickness - p.removed_upper - p.removed_lower).abs() < 1e-18);
}

#[test]
fn finish_and_damage_follow_the_removed_depth() {
    let (mut parts, _) = loaded(|b| b.spread = 0.0);
    assert!((parts.roughness() - 0.45e-6).abs() < 1e-15);
    assert_eq!(parts.damage(), [4e-6; 2]);
    parts.mean_removed = [1e-6, 3e-6];
    let expected = 0.25e-6 + 0.2e-6 * (-1.0f64).exp();
    assert!((parts.roughness() - expected).abs() < 1e-15);
    assert!((parts.damage()[0] - 3e-6).abs() < 1e-15);
    assert_eq!(parts.damage()[1], 2e-6);
}

/// The mean part has lost its damage; the thinnest, which was hardly touched, has not.
#[test]
fn damage_is_that_of_the_part_and_face_that_lost_least() {
    let (mut parts, _) = loaded(|b| b.spread = 0.0);
    parts.removed = [vec![6e-6; 15], vec![6e-6; 15]];
    parts.mean_removed = [6e-6; 2];
    parts.removed[1][3] = 0.5e-6;
    let deepest = parts.deepest_damage().expect("product");
    assert_eq!((deepest.part, deepest.face), (3, 1));
    assert!((deepest.depth - 3.5e-6).abs() < 1e-15);
    assert_eq!(parts.damage(), [2e-6; 2]);
    // A part that is not there, or is no product, has none.
    parts.stiffness[3] = 0.0;
    assert_eq!(parts.deepest_damage().map(|d| d.depth), Some(2e-6));
}

#[test]
fn doubled_and_missing_parts_change_the_tops_and_come_back() {
    let (mut parts, _) = loaded(|b| b.spread = 0.0);
    parts.double(1);
    assert!((parts.tops().0[0] - 1.1e-3).abs() < 1e-12);
    parts.restore();
    parts.empty(15);
    assert!(parts.tops().1.iter().all(|k| *k == 0.0));
    parts.restore();
    assert!((parts.tops().0[0] - 0.55e-3).abs() < 1e-12);
}

/// Measured parts lie in their pockets as they were measured, whatever the seed; a list that is not the batch's is none.
#[test]
fn measured_parts_are_not_drawn() {
    let list: Vec<f64> = (0..15).map(|i| 0.55e-3 + 1e-7 * f64::from(i)).collect();
    let (parts, _) = loaded(|batch| batch.measured.clone_from(&list));
    assert_eq!(parts.thickness, list);
    let (short, _) = loaded(|batch| batch.measured = list[1..].to_vec());
    let (drawn, _) = loaded(|_| ());
    assert_eq!(short.thickness, drawn.thickness);
    assert_ne!(drawn.thickness, list);
}
