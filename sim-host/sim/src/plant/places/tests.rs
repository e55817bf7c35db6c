//! How pieces are dealt, where they lie, and what by hand follows from it.

use super::*;
use crate::demo;

fn layout(pieces: u32, pockets: u32) -> Vec<(u32, u32)> {
    let (machine, mut batch, _) = demo::set("glass-f800");
    batch.parts = pieces;
    batch.circles[0].pockets = pockets;
    (0..pieces)
        .map(|piece| pocket_of(&machine.geometry, &batch, piece))
        .map(|place| (place.carrier, place.pocket))
        .collect()
}

/// No pocket twice, carriers alike to one piece, and what is left over spread over them.
#[test]
fn pieces_are_dealt_as_an_operator_balances_a_plate() {
    for pieces in 1..=20 {
        let all = layout(pieces, 4);
        let mut each = all.clone();
        each.sort_unstable();
        each.dedup();
        assert_eq!(each.len(), all.len(), "{all:?}");
        let on = |carrier| all.iter().filter(|place| place.0 == carrier).count();
        let counts: Vec<usize> = (0..5).map(on).collect();
        let (least, most) = (counts.iter().min(), counts.iter().max());
        assert!(most.unwrap() - least.unwrap() <= 1, "{counts:?}");
    }
    // Three on five carriers surround the centre; two in four pockets lie opposite.
    assert_eq!(layout(3, 4), [(0, 0), (1, 0), (3, 0)]);
    assert_eq!(layout(10, 4)[5], (0, 2));
    assert_eq!(layout(15, 3)[14], (4, 2));
}

/// A carrier's orbit and spin carry its pockets along; a whole turn of both brings them back.
#[test]
fn pockets_go_where_orbit_and_spin_take_them() {
    let (machine, batch, _) = demo::set("glass-f800");
    let mut places = Places::new(&machine.geometry, &batch);
    let e = machine.geometry.radius_orbit();
    let rho = batch.outermost();
    let start = (places.x.clone(), places.y.clone());
    assert!((start.0[0] - e - rho).abs() < 1e-12 && start.1[0].abs() < 1e-12);
    let quarter = CarrierMotion {
        orbit: 0.5 * PI,
        spin: -0.5 * PI,
    };
    places.turn(quarter, 1.0);
    // The carrier is at the top now, its first pocket points down.
    assert!(places.x[0].abs() < 1e-12 && (places.y[0] - e + rho).abs() < 1e-12);
    for _ in 0..7 {
        places.turn(quarter, 1.0);
    }
    for (now, then) in places.x.iter().zip(&start.0) {
        assert!((now - then).abs() < 1e-12);
    }
    // The rim is where the carriers' teeth are, and nothing is farther out.
    for (x, y) in places.x.iter().zip(&places.y) {
        assert!(x.hypot(*y) <= places.reach + 1e-12);
    }
}

/// By hand: in a row of three carriers with one piece each a third; two of four and more beside.
#[test]
fn worst_shares_by_hand() {
    let (machine, mut batch, _) = demo::set("glass-f800");
    let mut geometry = machine.geometry;
    batch.circles[0].radius = 0.0;
    for (carriers, expected) in [(3, 1.0 / 3.0), (4, 0.5), (5, 0.447_213_6)] {
        geometry.carriers = carriers;
        // cos(36°)/(1 + cos(36°)) = 1/√5.
        let share = worst_share(&geometry, &batch);
        assert!((share - expected).abs() < 1e-6, "{carriers}: {share}");
    }
    batch.parts = 2;
    assert_eq!(worst_share(&geometry, &batch), 1.0);
}

const CIRCLES: [(u32, f64); 3] = [(1, 0.0), (6, 0.029), (12, 0.058)];

fn on_three_circles(pieces: u32) -> (Geometry, Batch) {
    let (machine, mut batch, _) = demo::set("glass-f800");
    batch.circles = CIRCLES
        .map(|(pockets, radius)| Circle {
            pockets,
            radius,
            phase: 0.0,
        })
        .to_vec();
    batch.parts = pieces;
    (machine.geometry, batch)
}

/// Of several circles the outer ones first, as long as each is balanced: what is over goes into the middle or a circle on which it
/// balances. No pocket twice, and every circle counted.
#[test]
fn a_carrier_is_balanced_circle_by_circle() {
    let circles = on_three_circles(95).1.circles;
    let filled = |here| fill(&circles, here)[..3].to_vec();
    assert_eq!(filled(1), [1, 0, 0]);
    assert_eq!(filled(2), [0, 0, 2]);
    assert_eq!(filled(7), [1, 0, 6]);
    assert_eq!(filled(12), [0, 0, 12]);
    assert_eq!(filled(13), [1, 0, 12]);
    assert_eq!(filled(14), [0, 2, 12]);
    assert_eq!(filled(19), [1, 6, 12]);
    for pieces in 1..=95 {
        let (geometry, batch) = on_three_circles(pieces);
        let all = dealt(&geometry, &batch);
        let mut pockets: Vec<_> = all.iter().map(|p| (p.carrier, p.pocket)).collect();
        pockets.sort_unstable();
        pockets.dedup();
        assert_eq!(pockets.len(), all.len(), "{pieces}");
        assert!(all.iter().all(|p| p.carrier < 5 && p.pocket < 19));
        let counted = on_circles(&geometry, &batch);
        for (i, count) in counted.iter().enumerate() {
            let found = all.iter().filter(|p| p.circle as usize == i).count();
            assert_eq!(found, *count as usize, "{pieces} on circle {i}");
        }
        // Pieces that fill the carriers alike need no moment, whatever lies in each.
        if pieces.is_multiple_of(5) {
            assert!(off_centre(&geometry, &batch) < 1e-12, "{pieces}");
        }
    }
}

/// Where a part lies is where its circle and its phase put it.
#[test]
fn every_pocket_lies_on_its_circle_at_its_phase() {
    let (geometry, mut batch) = on_three_circles(95);
    batch.circles[1].phase = 0.2;
    let places = Places::new(&geometry, &batch);
    for (i, pocket) in dealt(&geometry, &batch).iter().enumerate() {
        let outwards = TAU * f64::from(pocket.carrier) / 5.0;
        let e = geometry.radius_orbit();
        let from = [
            places.x[i] - e * outwards.cos(),
            places.y[i] - e * outwards.sin(),
        ];
        let (pockets, radius) = CIRCLES[pocket.circle as usize];
        let first = [0, 1, 7][pocket.circle as usize];
        let phase = if pocket.circle == 1 { 0.2 } else { 0.0 };
        let angle = outwards + phase + TAU * f64::from(pocket.pocket - first) / f64::from(pockets);
        assert!((from[0] - radius * angle.cos()).abs() < 1e-12, "{i}");
        assert!((from[1] - radius * angle.sin()).abs() < 1e-12, "{i}");
    }
}

/// By hand: three at the carriers' centres of five, dealt to the first, second and fourth, leave a gap of 144° at every turn; all
/// in line leave half a turn.
#[test]
fn gaps_round_the_centre_by_hand() {
    let (machine, mut batch, _) = demo::set("glass-f800");
    let mut geometry = machine.geometry;
    batch.circles[0].radius = 0.0;
    batch.parts = 3;
    assert!((surrounded(&geometry, &batch).to_degrees() - 144.0).abs() < 1e-9);
    batch.parts = 5;
    assert!((surrounded(&geometry, &batch).to_degrees() - 72.0).abs() < 1e-9);
    geometry.carriers = 2;
    batch.parts = 4;
    assert!((surrounded(&geometry, &batch).to_degrees() - 180.0).abs() < 1e-9);
    // Two and one: the one lies beyond the line of the two at some turn.
    batch.circles[0].radius = 0.05;
    batch.parts = 3;
    assert!(surrounded(&geometry, &batch) > PI);
}
