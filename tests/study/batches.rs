//! What a batch leaves for the next one: warm plates and an emptier tank, and nothing of its own.

use twinplate_sim::bench::{
    Drawn, InProcess, Job, NoRecorder, Outcome, Settled, run_after, run_batches, run_cycle,
};
use twinplate_sim::demo;
use twinplate_sim::model::Deviations;
use twinplate_sim::plant::{Lasting, Substeps};

/// One batch by itself, and three in sequence with what each left of the machine.
fn three_batches() -> (Outcome, Vec<(Outcome, Lasting)>) {
    let job = demo::job("glass-f800");
    let setup = job.nominal(1);
    let alone = run_cycle(&setup, None, NoRecorder).expect("a run");
    let mut machine = Lasting::new(&job.machine, &setup.deviations, setup.seed, setup.substeps);
    let mut batches = Vec::new();
    for _ in 0..3 {
        let port = InProcess::new(job.params.clone());
        let (outcome, after) = run_after(machine, port, &setup, None, NoRecorder).expect("a run");
        machine = after.clone();
        batches.push((outcome, after));
    }
    (alone, batches)
}

#[test]
fn the_next_batch_finds_warm_plates_and_an_emptier_tank_and_nothing_else() {
    let (alone, batches) = three_batches();
    assert_eq!(
        batches[0].0.control_hash, alone.control_hash,
        "the first batch is a run by itself"
    );
    for pair in batches.windows(2) {
        let [(cold, before), (warm, after)] = pair else {
            unreachable!("windows of two")
        };
        let [colder, warmer] = [before.temperatures(), after.temperatures()];
        assert!(
            warmer[0] > colder[0] && warmer[1] > colder[1],
            "{colder:?} then {warmer:?}"
        );
        assert!(after.tank() < before.tank());
        assert_ne!(warm.control_hash, cold.control_hash);
    }
    for (outcome, _) in &batches {
        let used = outcome.summary.slurry_used / alone.summary.slurry_used;
        assert!(
            (used - 1.0).abs() < 0.02,
            "slurry is counted from zero: {used}"
        );
    }
}

/// One batch on a machine, and what it leaves of it.
fn batch(job: &Job, deviations: Deviations, before: Lasting) -> (Outcome, Lasting) {
    let setup = job.setup(deviations, 1);
    let port = InProcess::new(job.params.clone());
    run_after(before, port, &setup, None, NoRecorder).expect("a run")
}

/// Slurry that runs back takes worn grains and swarf into the tank: each batch takes longer than the one before, until the tank is
/// filled anew.
#[test]
fn slurry_that_runs_back_ages_from_batch_to_batch_and_a_new_filling_is_young() {
    let (mut machine, parts, mut recipe) = demo::set("glass-f800");
    (machine.slurry.returned, machine.slurry.tank) = (1.0, 1e-3);
    recipe.consumables.breakdown_work = 2e5;
    let job = Job::new(machine, parts, recipe).expect("a job");
    let mut before = Lasting::new(&job.machine, &Deviations::NOMINAL, 1, Substeps::ONE);
    let mut lapped = Vec::new();
    let mut slurry = vec![before.slurry()];
    for _ in 0..3 {
        let (outcome, after) = batch(&job, Deviations::NOMINAL, before);
        lapped.push(outcome.summary.steps[1].dwell);
        slurry.push(after.slurry());
        before = after;
    }
    assert_eq!(before.tank(), 1.0, "all of it runs back");
    for pair in slurry.windows(2) {
        assert!(
            pair[1][0] < pair[0][0] && pair[1][1] > pair[0][1],
            "{slurry:?}"
        );
    }
    assert!(
        lapped[1] > lapped[0] + 1.0 && lapped[2] > lapped[1] + 1.0,
        "{lapped:?}"
    );
    before.refill_tank();
    assert_eq!(before.slurry(), [1.0, 0.0]);
    let (young, _) = batch(&job, Deviations::NOMINAL, before);
    let again = young.summary.steps[1].dwell;
    assert!(
        again < lapped[1] && (again - lapped[0]).abs() < 2.0,
        "{again} after {lapped:?}"
    );
}

/// A gauge that drifts takes its error from batch to batch, and loses it when it is set.
#[test]
fn the_gauge_drifts_from_batch_to_batch_until_it_is_set() {
    let job = demo::job("glass-f800");
    let drifting = Deviations {
        gauge_drift: 40e-6,
        ..Deviations::NOMINAL
    };
    let before = Lasting::new(&job.machine, &drifting, 1, Substeps::ONE);
    let (first, mut after) = batch(&job, drifting, before);
    let ran = f64::from(first.summary.ticks) / 1e3;
    assert!(
        (after.gauge_age() - ran).abs() < 0.2,
        "{}",
        after.gauge_age()
    );
    let (second, later) = batch(&job, drifting, after.clone());
    assert!(later.gauge_age() > after.gauge_age());
    // It reads the parts too thick, and laps them too thin: by what it drifts from one batch's end to the next's.
    let thinner = first.summary.parts.mean - second.summary.parts.mean;
    let drift = 40e-6 * f64::from(second.summary.ticks) / 1e3 / (8.0 * 3600.0);
    assert!((thinner / drift - 1.0).abs() < 0.35, "{thinner} of {drift}");
    after.set_gauge();
    let (set, _) = batch(&job, drifting, after);
    assert!((set.summary.parts.mean - first.summary.parts.mean).abs() < 0.3 * drift);
}

/// What a check takes for warm plates is where batches without a pause end up.
#[test]
fn batches_without_a_pause_make_the_plates_as_warm_as_a_check_takes_them() {
    let (mut machine, parts, recipe) = demo::set("zirconia-fixed");
    // So quick that ten batches are as good as many: 110 s and not 690.
    machine.thermal.capacity /= 6.0;
    let job = Job::new(machine, parts, recipe).expect("a job");
    let settled = Settled::of(&job, 1)
        .expect("a run")
        .plates(&Deviations::NOMINAL);
    let mut warm = [0.0; 2];
    run_batches(&job, Drawn { seed: 1, index: 0 }, 10, |one| {
        warm = one.temperatures;
    })
    .expect("runs");
    for (settled, warm) in settled.into_iter().zip(warm) {
        let rise = warm - job.machine.thermal.ambient;
        assert!(rise > 0.5, "{rise}");
        // Each batch has other parts, and so another time to the same size.
        assert!((warm - settled).abs() < 0.03 * rise, "{settled} {warm}");
    }
    // The heat of a machine with more friction is so much more.
    let rough = Deviations {
        friction: 1.4,
        ..Deviations::NOMINAL
    };
    let rough = Settled::of(&job, 1).expect("a run").plates(&rough)[0];
    let before = batch(&job, Deviations::NOMINAL, job.nominal(1).unused());
    assert!(rough > settled[0] && before.1.temperatures()[0] < settled[0]);
}
