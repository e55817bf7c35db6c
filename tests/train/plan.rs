//! The machine from above: what the plan view is drawn from.

use crate::{exercise, work};
use std::f64::consts::TAU;
use twinplate_sim::training::act::Act;
use twinplate_train::protocol::{Pace, PlanCard};
use twinplate_train::session::Session;

/// Farthest point of a piece from its middle, m.
fn reach(plan: &PlanCard) -> f64 {
    let far = |corner: &[f64; 2]| corner[0].hypot(corner[1]);
    plan.round_m.map_or_else(
        || plan.corners_m.iter().map(far).fold(0.0, f64::max),
        |[_, edge]| edge,
    )
}

/// Every piece lies in its carrier, no two on one another, the carriers between the rings and beside one another.
#[test]
fn in_the_plan_nothing_overlaps() {
    for id in ["plain-cycle", "plates-out-of-form", "laid-in"] {
        let card = exercise(id).job_card();
        let plan = card.plan;
        assert_eq!(plan.pieces.len(), card.pieces as usize, "{id}");
        let (reach, carrier) = (reach(&plan), plan.carrier_m);
        for (index, piece) in plan.pieces.iter().enumerate() {
            assert!(piece.carrier < plan.carriers, "{id}: {piece:?}");
            let [x, y] = piece.at_m;
            assert!(x.hypot(y) + reach < carrier, "{id}: {piece:?}");
            let near = |other: &&twinplate_train::protocol::PiecePlan| {
                other.carrier == piece.carrier
                    && (other.at_m[0] - x).hypot(other.at_m[1] - y) < reach
            };
            assert_eq!(plan.pieces[index + 1..].iter().find(near), None, "{id}");
        }
        let [inner, outer] = plan.pins_m;
        assert!((plan.orbit_m - carrier - inner).abs() < 1e-9);
        assert!((plan.orbit_m + carrier - outer).abs() < 1e-9);
        let apart = 2.0 * plan.orbit_m * (TAU / f64::from(plan.carriers) / 2.0).sin();
        assert!(apart > 2.0 * carrier, "{id}: {apart}");
    }
}

/// Carriers roll on both rings without slipping: where they mesh, carrier and ring have the same speed (epicyclic trains, any textbook on
/// machine elements; from memory).
#[test]
fn the_carriers_of_the_panel_mesh_with_its_rings() {
    let mut session = Session::new(exercise("plain-cycle"), 1);
    let acts = [
        Act::UnlockGuard,
        Act::OpenGuard,
        Act::LoadCarriers,
        Act::CloseGuard,
        Act::LockGuard,
        Act::CheckSlurry,
        Act::RecallRecipe { slot: 1 },
        Act::ConfirmParts { pieces: 15 },
        Act::Start,
    ];
    work(&mut session, &acts, 1_000);
    let plan = session.exercise().job_card().plan;
    let mut fastest = 0.0_f64;
    for _ in 0..120 {
        session.advance(1_000);
        let frame = session.frame(Pace::Real, 0.0);
        let [round, about] = frame.carriers_rpm;
        for (ring, side) in [-1.0, 1.0].into_iter().enumerate() {
            let carrier = round * plan.orbit_m + side * about * plan.carrier_m;
            let pins = frame.speeds_rpm[ring] * plan.pins_m[ring];
            assert!((carrier - pins).abs() < 1e-9, "{frame:?}");
        }
        fastest = fastest.max(round.abs());
    }
    assert!(fastest > 1.0, "the carriers went round");
}
