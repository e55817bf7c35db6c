//! How much of a result is the step's: the plant in ticks and in tenths of them.
//!
//! Noise of the cell and the jumps of the regulator make two runs differ that begin a millisecond apart: which jump comes when is
//! chance, and an overshoot is as likely as not one jump higher. So a run is held against its finer self without them, newton by
//! newton, and with them only on the mean of runs that begin a little apart.

use firmware_core::sequence::Phase;
use twinplate_sim::bench::{Job, NoRecorder, Player, Summary, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::model::{End, Machine};
use twinplate_sim::plant::{Plant, Substeps};

const RECIPES: [&str; 6] = [
    "alumina-diamond",
    "glass-f800",
    "glass-polish",
    "silicon-f1000",
    "steel-f400",
    "zirconia-fixed",
];
/// Runs that begin a little apart.
const APART: u32 = 24;

/// A recipe with six seconds of dwell in each of its two steps, whose descent ends so many micrometres and whose pre-start so many
/// milliseconds later.
fn short(recipe: &str, later: u32, change: fn(&mut Machine)) -> Job {
    let (mut machine, batch, mut recipe) = demo::set(recipe);
    machine.actuator.approach += 1e-6 * f64::from(later);
    change(&mut machine);
    for step in &mut recipe.steps {
        step.end = End::Time { seconds: 6.0 };
    }
    recipe.rinse = 0.0;
    recipe.prestart += 1e-3 * f64::from(later);
    Job::new(machine, batch, recipe).expect("the controller takes it")
}

fn steps(count: u8) -> Substeps {
    Substeps::new(count).expect("in range")
}

fn run(job: &Job, seed: u32, count: u8) -> Summary {
    let setup = job.nominal(u64::from(seed)).finer(steps(count));
    run_cycle(&setup, None, NoRecorder)
        .expect("in process")
        .summary
}

/// Nothing that makes chance of a millisecond: no play, no jumps, and only so much noise that the cell is not taken for dead.
fn smooth(machine: &mut Machine) {
    machine.cell.noise *= 0.02;
    machine.actuator.play = 0.0;
    machine.actuator.resolution = 0.0;
}

/// Peak and overshoot of each step, N.
fn worst(summary: &Summary) -> Vec<(&'static str, f64)> {
    let of =
        |worst: Option<twinplate_sim::bench::summary::Worst>| worst.expect("it came so far").value;
    summary
        .steps
        .iter()
        .flat_map(|step| [("peak", of(step.peak)), ("overshoot", of(step.overshoot))])
        .chain([("highest", summary.peak_load.value)])
        .collect()
}

/// The plate bounces when it comes down, and what its seals are left with shifts the load by as much. A step that swallows the
/// bounce leaves them with all their friction.
#[test]
fn what_the_landing_leaves_in_the_seals_is_not_the_steps() {
    for recipe in RECIPES {
        let job = short(recipe, 0, smooth);
        let left = [1, 10].map(|count| seals_at_run_up(&job, count));
        assert!(
            (left[0] - left[1]).abs() < 1.0,
            "{recipe}: {} N in ticks, {} N in tenths",
            left[0],
            left[1]
        );
    }
}

/// Friction of the seals when the drives run up, N: force in the rod that no pressure explains.
fn seals_at_run_up(job: &Job, count: u8) -> f64 {
    let setup = job.nominal(1).finer(steps(count));
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    while bench.step().expect("in process").phase != Phase::RunUp {
        assert!(bench.tick() < 120_000, "no run-up");
    }
    let seals = |plant: &Plant| {
        let (truth, actuator) = (plant.truth(), &job.machine.actuator);
        let ripple = truth.load - truth.load_without_runout;
        let pressed = actuator.area_cap() * truth.cap_pressure;
        truth.rod_force - ripple - pressed + actuator.area_rod() * truth.rod_pressure
    };
    seals(bench.plant())
}

#[test]
fn peak_and_overshoot_are_the_plants_and_not_the_steps() {
    for recipe in RECIPES {
        let job = short(recipe, 0, smooth);
        let [ticks, tenths] = [1, 10].map(|count| worst(&run(&job, 1, count)));
        for ((what, coarse), (_, fine)) in ticks.iter().zip(tenths) {
            assert!(
                (coarse - fine).abs() < 0.2,
                "{recipe}, {what}: {coarse} N in ticks, {fine} N in tenths"
            );
        }
    }
}

/// Mean of some values and its standard error.
fn mean(values: &[f64]) -> (f64, f64) {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let square: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    (mean, (square / (count - 1.0) / count).sqrt())
}

#[test]
fn with_noise_and_jumps_they_are_so_on_the_mean() {
    for recipe in RECIPES {
        let runs: Vec<_> = (0..APART)
            .map(|later| {
                let job = short(recipe, later, |_| {});
                [1, 10].map(|count| worst(&run(&job, later, count)))
            })
            .collect();
        for (index, (what, _)) in runs[0][0].iter().enumerate() {
            let of =
                |which: usize| -> Vec<f64> { runs.iter().map(|run| run[which][index].1).collect() };
            let [(coarse, one), (fine, other)] = [mean(&of(0)), mean(&of(1))];
            // Two standard errors are what so few runs leave to chance.
            let chance = 2.0 * one.hypot(other);
            assert!(
                (coarse - fine).abs() < f64::max(1.0, 0.01 * fine.abs()) + chance,
                "{recipe}, {what}: {coarse} N in ticks, {fine} N in tenths, {chance} N of chance"
            );
        }
    }
}
