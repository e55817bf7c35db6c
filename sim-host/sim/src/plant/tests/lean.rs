//! The plate that leans on a part that is too high.

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
