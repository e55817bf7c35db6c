//! Random valid jobs on the demo machines.

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::sync::LazyLock;
use twinplate_sim::bench::Job;
use twinplate_sim::compile;
use twinplate_sim::demo;
use twinplate_sim::model::{Deviations, End, Recipe, Step};
use twinplate_sim::plant::envelope;

/// Cases come from a fixed seed, so that two runs of the suite are the same run; `PROPTEST_RNG_SEED` chooses another (the long
/// suite does), `PROPTEST_CASES` more of them. A failing case prints its inputs, which are all that it is made of; nothing is
/// written into the tree.
pub fn config() -> ProptestConfig {
    let mut config = ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::default()
    };
    if config.rng_seed == RngSeed::Random {
        config.rng_seed = RngSeed::Fixed(SEED);
    }
    config
}

/// The seed of the normal run: a date, chosen before any result was seen.
const SEED: u64 = 20_261_124;

/// The six demo jobs as their files say.
pub static DEMO: LazyLock<Vec<Job>> =
    LazyLock::new(|| demo::recipes().iter().map(|name| demo::job(name)).collect());

/// One step as numbers in 0..1, turned into a valid step of a machine by [`Case::job`].
#[derive(Clone, Copy, Debug)]
pub struct RandomStep {
    /// Where the limit lies between the lowest that leaves room and the rated load.
    pub limit: f64,
    /// Where the load lies between initial load and the highest the limit allows.
    pub load: f64,
    /// Share of the machine's fastest ramp.
    pub ramp: f64,
    /// Share of the demo recipe's speeds.
    pub speed: f64,
    /// All drives turn the other way.
    pub reversed: bool,
    /// In-band time, s.
    pub dwell: f64,
}

impl RandomStep {
    /// A step in the middle of what is allowed.
    pub const fn middling(dwell: f64) -> Self {
        Self {
            limit: 0.5,
            load: 0.5,
            ramp: 1.0,
            speed: 1.0,
            reversed: false,
            dwell,
        }
    }
}

/// Everything a case is made of.
#[derive(Clone, Debug)]
pub struct Case {
    /// Which demo job it starts from.
    pub base: usize,
    /// Steps.
    pub steps: Vec<RandomStep>,
    /// Rinse.
    pub rinse: bool,
    /// Envelope draw: corners as often as uniform draws.
    pub corner: bool,
    /// Index of the draw.
    pub draw: u64,
    /// Seed of noise and parts.
    pub seed: u64,
}

fn random_step() -> impl Strategy<Value = RandomStep> {
    (
        0.0..1.0,
        0.0..1.0,
        0.1..1.0,
        0.5..1.0,
        prop::bool::weighted(0.2),
        2.0..5.0,
    )
        .prop_map(|(limit, load, ramp, speed, reversed, dwell)| RandomStep {
            limit,
            load,
            ramp,
            speed,
            reversed,
            dwell,
        })
}

/// Random cases with up to `steps` steps.
pub fn cases(steps: usize) -> impl Strategy<Value = Case> {
    (
        0..DEMO.len(),
        prop::collection::vec(random_step(), 1..=steps),
        any::<bool>(),
        any::<bool>(),
        0..1000_u64,
        any::<u64>(),
    )
        .prop_map(|(base, steps, rinse, corner, draw, seed)| Case {
            base,
            steps,
            rinse,
            corner,
            draw,
            seed,
        })
}

impl Case {
    /// The job: the demo job's machine and batch with random steps that the machine's limits allow.
    pub fn job(&self) -> Job {
        let demo = &DEMO[self.base];
        let (machine, batch) = (&demo.machine, &demo.batch);
        let control = &machine.control;
        let half = |limit: f64| {
            (limit - control.initial_load) * machine.envelope.regulator_gain
                + machine.actuator.seal_friction * (1.0 + machine.envelope.seal_friction)
        };
        // The lowest limit that leaves the lowest load room, with 1 % for rounding.
        let gain = machine.envelope.regulator_gain;
        let seal = machine.actuator.seal_friction * (1.0 + machine.envelope.seal_friction);
        let least = compile::lowest_load(machine);
        // Under the initial load it is that load, which every run-up holds, that needs the room.
        let seat = least.max(control.initial_load);
        let lowest =
            (seat + 2.0 * (seal - gain * control.initial_load)) / (1.0 - 2.0 * gain) * 1.01;
        let steps: Vec<Step> = self
            .steps
            .iter()
            .enumerate()
            .map(|(n, random)| {
                let limit = lowest + random.limit * (control.rated_load - lowest);
                let most = limit - 2.001 * half(limit);
                let load = least + random.load * (most - least);
                let turn = if random.reversed {
                    -random.speed
                } else {
                    random.speed
                };
                let like = &demo.recipe.steps[n % demo.recipe.steps.len()];
                Step {
                    name: format!("step {n}"),
                    pressure: load.max(least * 1.0001) / batch.area(),
                    load_limit: limit,
                    ramp: random.ramp * control.ramp_max,
                    speeds: like.speeds.map(|s| s * turn),
                    flow: like.flow,
                    end: End::Time {
                        seconds: random.dwell,
                    },
                    longest: 600.0,
                }
            })
            .collect();
        // The drives carry the demo recipe's load with little to spare. Heavier steps get a slipperier slurry, so that this stays
        // a test of the load and not of torque.
        let demo_load = demo
            .recipe
            .steps
            .iter()
            .map(|s| s.pressure * batch.area())
            .fold(0.0, f64::max);
        let load = steps
            .iter()
            .map(|s| s.pressure * batch.area())
            .fold(0.0, f64::max);
        let mut consumables = demo.recipe.consumables.clone();
        consumables.friction *= (demo_load / load).min(1.0);
        consumables.friction_dry *= (demo_load / load).min(1.0);
        let recipe = Recipe {
            id: "random".into(),
            consumables,
            rinse: if self.rinse { 2.0 } else { 0.0 },
            gauge: false,
            steps,
            ..demo.recipe.clone()
        };
        Job::new(machine.clone(), batch.clone(), recipe)
            .expect("random jobs keep the machine's limits")
    }

    /// The machine's deviations.
    pub fn deviations(&self) -> Deviations {
        let width = &DEMO[self.base].machine.envelope;
        if self.corner {
            envelope::corner(width, self.draw)
        } else {
            envelope::draw(width, self.seed, self.draw)
        }
    }
}
