//! A carrier with several circles of pockets, checked and run as any other: 31 buttons of 25 mm in each of five carriers of 9 inches.

use crate::trials::{Set, checked, told};
use std::path::Path;
use twinplate_check::Case;
use twinplate_check::predict::predict;
use twinplate_check::verdict::Verdict;
use twinplate_sim::bench::{Job, NoRecorder, run_cycle};
use twinplate_sim::files::{Overrides, load_set};
use twinplate_sim::plant::circles::Circles;
use twinplate_sim::plant::kinematics::carrier_motion;

fn buttons() -> Set {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("study/nine-inch/buttons-f400.toml");
    let files = load_set(&path, &Overrides::default()).expect("the set reads");
    (files.machine.value, files.batch.value, files.recipe.value)
}

/// Nothing but what is so: no pocket overlaps, all parts are counted, and the predicted result is the one that the machine gives.
#[test]
fn thirty_one_buttons_a_carrier_check_without_nonsense() {
    let set = buttons();
    let (machine, batch, _) = &set;
    assert_eq!(batch.pockets() * machine.geometry.carriers, batch.pieces());
    // 9 inches on the pitch circle, to a millimetre.
    assert!((2.0 * machine.geometry.radius_carrier() - 0.2286).abs() < 1e-3);
    let result = checked(&set, 3, 2);
    let report = &result.report;
    assert_eq!(told(&result), Vec::<&str>::new(), "{:#?}", report.findings);
    assert_eq!(report.verdict, Verdict::Pass);
    let prediction = &report.prediction;
    assert!((result.prediction.cycle / prediction.cycle_s - 1.0).abs() < 0.1);
    let said = result.prediction.thickness * 1e6;
    assert!((said - prediction.thickness_um.mean).abs() < 2.5);
    let leaning = prediction.leaning.expect("a run");
    // Full carriers, all laid in alike.
    assert_eq!(leaning.moment_n_m, 0.0);
    let largest = prediction.largest_part.expect("a run");
    assert!((1..=5).contains(&largest.carrier) && (1..=31).contains(&largest.pocket));
}

/// Parts that slide slower stay thicker. By hand: they bear as much more as they are slower, and are thicker by what that is over
/// the stiffness; the spread of a batch that came in alike is that, and the closed form's.
#[test]
fn the_spread_of_a_batch_on_several_circles_is_what_their_speeds_leave() {
    let (mut machine, mut batch, mut recipe) = buttons();
    // Nothing else keeps parts apart.
    machine.plates.wear = 0.0;
    machine.thermal.slurry_share = 1.0;
    machine.geometry.runout_ripple = 0.0;
    (batch.spread, batch.bow, batch.taper) = (0.0, 0.0, 0.0);
    for step in &mut recipe.steps {
        // Carriers that spin fast against the plates, so that circles differ.
        step.speeds = [30.0, -24.0, 20.0, -20.0].map(|rpm: f64| rpm * std::f64::consts::PI / 30.0);
    }
    let last = recipe.steps.last().expect("a step").clone();
    let motion = carrier_motion(&machine.geometry, &last.speeds);
    let circles = Circles::new(&machine.geometry, &batch);
    let speeds = circles.speeds(&machine.geometry, motion, [last.speeds[2], last.speeds[3]]);
    let both = |i: usize| speeds[i][0] + speeds[i][1];
    let inverse = circles.mean(|i| 1.0 / both(i));
    let sink = last.pressure / batch.stiffness_per_area;
    let apart = |i: usize| sink * (1.0 / (both(i) * inverse) - 1.0);
    let by_hand = circles.mean(|i| apart(i) * apart(i)).sqrt();
    let prediction = predict(
        &Case {
            machine: &machine,
            batch: &batch,
            recipe: &recipe,
        },
        1.0,
    );
    let said = prediction.spread;
    // All came in alike: the thinnest stock is that of the slowest circle.
    let behind = (0..circles.count()).map(apart).fold(0.0, f64::max);
    let stock = |of: [f64; 2]| of[0] + of[1];
    let least = stock(prediction.removal) - stock(prediction.thinnest(&batch, 1.0));
    assert!((least / behind - 1.0).abs() < 0.1, "{least} for {behind}");
    let job = Job::new(machine, batch, recipe).expect("compiles");
    let outcome = run_cycle(&job.nominal(1), None, NoRecorder).expect("a run");
    let ran = outcome.summary.parts.sd;
    assert!(by_hand > 0.05e-6, "circles that differ: {by_hand}");
    assert!(
        (said / by_hand - 1.0).abs() < 0.1,
        "{said} said, {by_hand} by hand"
    );
    // As the load is taken away at the end, so is some of the difference.
    assert!(
        ran < by_hand && ran > 0.75 * by_hand && (ran / said - 1.0).abs() < 0.15,
        "{ran} run, {said} said, {by_hand} by hand"
    );
}
