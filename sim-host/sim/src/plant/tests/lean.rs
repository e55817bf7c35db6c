//! The plate that leans on a part that is too high, and on what the plates' form makes higher.

use super::*;
use crate::plant::places::Pocket;

#[test]
fn a_doubled_part_holds_the_plate_high_and_carries_its_share() {
    let mut rig = Rig::with(&Deviations::NOMINAL, |_, b| b.spread = 0.0);
    rig.plant
        .inject(&Fault {
            component: Component::Parts,
            mode: FaultMode::Wrong,
            magnitude: Some(1.0),
        })
        .expect("the plate is up");
    let mut rig = rig.seated();
    // Leaning on the doubled part, outermost as laid in, and two others: it carries a share d/(d + r) (see `seat`), and that share of a
    // thickness is what the middle is too high, less what they give under the resting load.
    let g = &rig.machine.geometry;
    let r = g.radius_orbit() + rig.batch.outermost();
    let d = r * (TAU / 10.0).cos();
    let share = d / (d + r);
    let rise = rig.plant.axis.z / rig.batch.thickness - 1.0;
    assert!(rise < share && rise > 0.99 * share, "{rise} of {share}");
    rig.run(0.2);
    let most = rig.plant.parts().map(|p| p.peak_load).fold(0.0, f64::max);
    assert!(
        (most / rig.plant.axis.load / share - 1.0).abs() < 0.02,
        "{most}"
    );
    let told = rig.plant.most_on_a_part().expect("it bears");
    assert_eq!(
        (told.part, rig.plant.pocket(told.part)),
        (0, Pocket::default())
    );
    assert!(
        (told.load / told.mean - 15.0 * share).abs() < 0.3,
        "{told:?}"
    );
    let slope = rig.plant.truth().tilt;
    assert!(
        (slope[0] - rig.batch.thickness / (d + r)).abs() < 1e-2 * slope[0],
        "{slope:?}"
    );
}

/// The gap under a part goes to and fro once a turn of its carrier, and its thickness follows as a first order does: with
/// `r² = e² + ρ² + 2 e ρ cos ψ` plates that come together by `-c r²` swing by `g = 2 c e ρ` about the mean of the path, and the
/// thickness by `g λ/√(λ² + ω²)`, λ being the stiffness per area times removal rate over pressure and ω the carrier's turn in its
/// orbit.
#[test]
fn thickness_follows_the_gap_along_the_path_with_the_lag_of_a_first_order() {
    let mut rig = Rig::with(&Deviations::NOMINAL, |m, b| {
        (m.plates.form, m.plates.wear) = ([1e-6, 1e-6], 0.0);
        m.plates.expansion = 0.0;
        (b.spread, b.bow, b.taper) = (0.0, 0.0, 0.0);
    })
    .seated();
    rig.out.pump = 1000;
    rig.run(20.0);
    rig.press(0.3).turn([14.0, 5.0, 28.0, -14.0]).run(200.0);
    let (mean, load) = (rig.plant.parts.mean, rig.plant.axis.load);
    let seconds = 20.0;
    let mut largest = 0.0_f64;
    let mut square = 0.0;
    let steps = 200;
    for _ in 0..steps {
        rig.run(seconds / f64::from(steps));
        let now: Vec<f64> = rig.plant.parts().map(|part| part.thickness).collect();
        let middle = now.iter().sum::<f64>() / now.len() as f64;
        square += now.iter().map(|t| (t - middle).powi(2)).sum::<f64>() / now.len() as f64;
        largest = now
            .iter()
            .fold(largest, |most, t| most.max((t - middle).abs()));
    }
    let rate = (mean - rig.plant.parts.mean) / seconds;
    let pressure = load / rig.batch.area();
    let pace = rig.batch.stiffness_per_area * rate / pressure;
    let g = &rig.machine.geometry;
    let turn = kinematics::carrier_motion(g, &rig.plant.drives.speed).relative();
    let band = (g.plate_outer.powi(2) - g.plate_inner.powi(2)) / 4.0;
    let swing = 2.0 * 2e-6 / band * g.radius_orbit() * rig.batch.outermost();
    let amplitude = swing * pace / pace.hypot(turn);
    let found = (2.0 * square / f64::from(steps)).sqrt();
    assert!(
        (found / amplitude - 1.0).abs() < 0.01,
        "{found} for {amplitude}"
    );
    assert!(
        (largest / amplitude - 1.0).abs() < 0.02,
        "{largest} for {amplitude}"
    );
    assert!(amplitude > 1e-8, "a gauge would see it: {amplitude}");
}
