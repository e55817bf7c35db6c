//! The same bits on the board: a controller in this process and one on the emulated board get the same inputs, commands and requests,
//! and every answer of the one must be the answer of the other, tick for tick.
//!
//! `tests/board/run` builds the image, fetches what that takes, and starts this.

mod budgets;
mod change;
mod copy;
mod elf;
#[path = "../train/full_shelf.rs"]
mod full_shelf;
mod guard;
mod harm;
mod line;
mod list;
mod pace;
mod page;
mod parts;
mod runs;
mod station;
#[path = "../link/told.rs"]
mod told;
mod twin;

use firmware_core::sequence::{Command, State};
use proptest::prelude::*;
use proptest::sample::select;
use proptest::test_runner::{Config, RngSeed, TestRunner};
use twin::{Twin, image};
use twinplate_sim::bench::{Action, Bench, Job, NoRecorder, Player};
use twinplate_sim::demo;
use twinplate_sim::model::{End, Fault};
use twinplate_sim::plant::fault_table::SUPPORTED;

/// Seed of every run here.
const SEED: u64 = 20;

fn bench(job: &Job, seed: u64) -> Bench<Twin, NoRecorder> {
    let setup = job.nominal(seed);
    let twin = Twin::new(&setup, &image()).unwrap_or_else(|error| panic!("{error}"));
    let mut bench = setup.bench(twin, NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    bench
}

fn state(bench: &Bench<Twin, NoRecorder>) -> State {
    bench.status().map_or(State::Idle, |status| status.state)
}

/// Every demonstration recipe, from power-up to a second after its completion.
#[test]
fn a_whole_cycle_of_every_demonstration_recipe_is_the_same_on_the_board() {
    for recipe in demo::recipes() {
        let job = demo::job(&recipe);
        let mut bench = bench(&job, SEED);
        let longest = job.nominal(SEED).longest(None);
        while state(&bench) != State::Complete && bench.tick() < longest {
            bench
                .step()
                .unwrap_or_else(|error| panic!("{recipe}: {error}"));
        }
        assert_eq!(
            state(&bench),
            State::Complete,
            "{recipe}: {:?}",
            bench.status()
        );
        bench
            .advance(1000)
            .unwrap_or_else(|error| panic!("{recipe}: {error}"));
        let hash = bench.control_hash();
        let ticks = bench.tick();
        println!("{recipe}: {ticks} ticks, {hash:016x}");
    }
}

/// A recipe's last step with five seconds of dwell: every phase in a minute or two.
fn short(recipe: &str) -> Job {
    let (machine, batch, mut recipe) = demo::set(recipe);
    recipe.steps.drain(..recipe.steps.len() - 1);
    recipe.steps[0].end = End::Time { seconds: 5.0 };
    Job::new(machine, batch, recipe).expect("the controller takes it")
}

/// Random faults at random moments, and whatever an operator may press in between: stops, resets, restarts, the power gone.
#[test]
fn random_faults_and_hands_make_the_same_run_on_the_board() {
    let commands = vec![
        Command::Start,
        Command::Hold,
        Command::Restart,
        Command::Stop,
        Command::Abort,
        Command::Reset,
    ];
    let hands = prop_oneof![
        6 => select(commands).prop_map(Action::Command),
        1 => Just(Action::PowerReturns),
    ];
    let faults = select(SUPPORTED).prop_map(|row| {
        Action::Fault(Fault {
            component: row.component,
            mode: row.mode,
            magnitude: row.magnitude,
        })
    });
    let moments = || 500_u32..60_000;
    let case = (
        select(demo::recipes()),
        any::<u64>(),
        prop::collection::vec((moments(), faults), 1..=3),
        prop::collection::vec((moments(), hands), 0..=6),
    );
    let config = Config {
        cases: 20,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(SEED),
        max_shrink_iters: 0,
        ..Config::default()
    };
    let run = TestRunner::new(config).run(&case, |(recipe, seed, faults, hands)| {
        let job = short(&recipe);
        let mut bench = bench(&job, seed);
        for (tick, action) in faults.into_iter().chain(hands) {
            bench.act_at(tick, action);
        }
        bench
            .advance(70_000)
            .map_err(|error| TestCaseError::fail(format!("{recipe}: {error}")))
    });
    run.unwrap_or_else(|error| panic!("{error}"));
}
