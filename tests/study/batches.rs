//! What a batch leaves for the next one: warm plates and an emptier tank, and nothing of its own.

use twinplate_sim::bench::{InProcess, NoRecorder, Outcome, run_after, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::plant::Lasting;

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
