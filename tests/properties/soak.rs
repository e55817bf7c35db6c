//! Soak: random recipes on drawn machines, one to three random faults at random moments and random operator acts. First safety, in
//! every tick; then recovery: the faults gone and the documented acts taken, the machine runs a good cycle again.
//!
//! A case follows from the seed and its number alone, whatever the number of threads. A sample is in the normal run; ten thousand are
//! a command of their own, whose figures stand in `docs/soak.md`.

mod charge;
mod judge;
mod operator;
mod page;

use crate::common::{Case, cases};
use crate::rules::{Deed, action, deed};
use firmware_core::sequence::State;
use firmware_core::status::Response;
use judge::Judges;
use operator::{DECLARED, Hands, NOT_RECOVERED, Ways};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{RngAlgorithm, TestRng, TestRunner};
use twinplate_falsify::faults::due::Due;
use twinplate_sim::bench::{Action, Job, NoRecorder, Player, ensemble};
use twinplate_sim::model::Fault;
use twinplate_sim::plant::Harm;
use twinplate_sim::plant::fault_table::{SUPPORTED, Supported, mode_name, name};
use twinplate_sim::plant::seed::substream;

/// The seed of all cases: a date, chosen before any result was seen.
const SEED: u64 = 20_261_129;
/// Cases of the normal run.
const SAMPLE: usize = 100;
/// Cases of the long run.
const CASES: usize = 10_000;
/// Longest cycle without a fault that is waited for, ticks.
const LONGEST: u32 = 600_000;
/// Where nothing more is to come and the machine rests, it is left after so many ticks.
const RESTS: u32 = 2_000;
/// After the last that is to come, the machine is left to itself for so many ticks at most.
const LEFT: u32 = 30_000;

/// One fault of the table, and when: share of the cycle that is over.
#[derive(Clone, Copy, Debug)]
struct Fails {
    row: usize,
    at: f64,
}

/// What a case is made of.
#[derive(Clone, Debug)]
struct Soaked {
    case: Case,
    fails: Vec<Fails>,
    deeds: Vec<(f64, Deed)>,
    /// A held cycle is restarted, not stopped.
    restart: bool,
}

fn soaked() -> impl Strategy<Value = Soaked> {
    let fails = (0..SUPPORTED.len(), 0.0..1.0_f64).prop_map(|(row, at)| Fails { row, at });
    (
        cases(3),
        prop::collection::vec(fails, 1..4),
        // Half of the cycles are left to the faults.
        prop_oneof![
            Just(Vec::new()),
            prop::collection::vec((0.0..1.2_f64, deed()), 1..8)
        ],
        any::<bool>(),
    )
        .prop_map(|(case, fails, deeds, restart)| Soaked {
            case,
            fails,
            deeds,
            restart,
        })
}

/// The case of a number.
fn nth(number: usize) -> Soaked {
    let seed: Vec<u8> = (0..4_u64)
        .flat_map(|part| substream(SEED, "soak", "case", 4 * number as u64 + part).to_le_bytes())
        .collect();
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &seed);
    let mut runner = TestRunner::new_with_rng(ProptestConfig::default(), rng);
    let drawn = soaked().new_tree(&mut runner);
    drawn.expect("nothing is left out").current()
}

/// How a soaked cycle came out.
#[derive(Clone, Debug)]
pub struct Outcome {
    faults: Vec<&'static Supported>,
    deeds: usize,
    /// The gravest response that was asked for before the recovery.
    response: Response,
    ways: Ways,
    /// Simulated time, s.
    simulated: f64,
    /// What is wrong.
    wrong: Option<String>,
}

/// A cycle without a fault, on the same machine: what a good one is.
struct Fair {
    ticks: u32,
    /// Taken off both faces, m.
    removed: f64,
    harm: Harm,
}

fn fair(job: &Job, soaked: &Soaked) -> Result<Fair, TestCaseError> {
    let setup = job.setup(soaked.case.deviations(), soaked.case.seed);
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    while bench.step().expect("in process").state != State::Complete {
        prop_assert!(
            bench.tick() < LONGEST,
            "the cycle does not complete by itself"
        );
    }
    Ok(Fair {
        ticks: bench.tick(),
        removed: bench.plant().truth().removed.iter().sum(),
        harm: *bench.plant().harm(),
    })
}

fn soak(soaked: &Soaked) -> Result<Outcome, TestCaseError> {
    let job = soaked.case.job();
    let fair = fair(&job, soaked)?;
    let setup = job.setup(soaked.case.deviations(), soaked.case.seed);
    let mut rig = setup.bench(setup.controller(), Due::new(&job));
    rig.play(Player::new(None, job.compiled.pieces));
    let tick = |share: f64| (share * f64::from(fair.ticks)) as u32;
    let mut faults = Vec::new();
    let mut last = 0;
    for fails in &soaked.fails {
        let row = &SUPPORTED[fails.row];
        faults.push(row);
        let fault = Fault {
            component: row.component,
            mode: row.mode,
            magnitude: None,
        };
        last = last.max(tick(fails.at));
        rig.act_at(tick(fails.at), Action::Fault(fault));
    }
    for (at, deed) in &soaked.deeds {
        last = last.max(tick(*at));
        rig.act_at(tick(*at), action(*deed));
    }
    let mut hands = Hands {
        job: &job,
        rig,
        judges: Judges::new(&job, &soaked.case.deviations(), faults.clone()),
        broken: faults.iter().map(|fault| fault.component).collect(),
        cycle: fair.ticks,
        ways: Ways::default(),
        before: Response::None,
    };
    let brought = safe(&mut hands, soaked, &fair, last);
    Ok(Outcome {
        faults,
        deeds: soaked.deeds.len(),
        response: hands.before,
        ways: hands.ways,
        simulated: f64::from(hands.rig.tick()) * 1e-3,
        wrong: brought.err().map(|error| error.to_string()),
    })
}

/// The cycle with its faults, then the recovery; `last` is the tick of the last that is to come.
fn safe(
    hands: &mut Hands<'_>,
    soaked: &Soaked,
    fair: &Fair,
    last: u32,
) -> Result<(), TestCaseError> {
    let mut rested = 0;
    while hands.rig.tick() < last.max(fair.ticks) + LEFT && rested < RESTS {
        hands.tick()?;
        let moves = matches!(
            hands.status().state,
            State::Running | State::Restarting | State::Holding | State::Stopping | State::Aborting
        );
        let to_come = hands.rig.tick() <= last;
        rested = if moves || to_come { 0 } else { rested + 1 };
        hands.before = hands.judges.gravest;
        hands.minds_what_turns_on()?;
    }
    hands.comes_home(soaked.restart)?;
    let before = *hands.rig.plant().harm();
    hands.runs_a_good_cycle()?;
    is_good(hands, fair, &before)?;
    hands.judges.close(&hands.rig, &fair.harm)
}

/// The parts of the recovered cycle are as those of one without a fault, and it did no harm of its own.
fn is_good(hands: &Hands<'_>, fair: &Fair, before: &Harm) -> Result<(), TestCaseError> {
    let removed: f64 = hands.rig.plant().truth().removed.iter().sum();
    let off = (removed - fair.removed).abs();
    let tolerance = hands.job.batch.tolerance;
    prop_assert!(
        off <= tolerance,
        "{NOT_RECOVERED}{:.2} µm more or less than a good cycle takes off, allowed {:.2} µm",
        off * 1e6,
        tolerance * 1e6
    );
    let marks = hands.rig.plant().harm().marks();
    for (((name, now), (_, was)), (_, by_itself)) in
        marks.into_iter().zip(before.marks()).zip(fair.harm.marks())
    {
        let anew = now.happened() != was.happened() || now.sum > was.sum;
        prop_assert!(
            !anew || by_itself.happened(),
            "{NOT_RECOVERED}the cycle did harm: {name}, {was:?}, then {now:?}"
        );
    }
    Ok(())
}

/// Runs so many cases.
fn run(first: usize, count: usize, threads: usize) -> Vec<Outcome> {
    let told = std::env::var_os("SOAK_TOLD").is_some();
    let progress = |done: usize| {
        if told && done.is_multiple_of(50) {
            println!("{done}");
        }
    };
    ensemble(count, threads, &progress, |index| {
        let number = first + index;
        let drawn = nth(number);
        let mut outcome = soak(&drawn).unwrap_or_else(|error| panic!("case {number}: {error}"));
        if let Some(why) = &mut outcome.wrong {
            let fails = drawn.fails.iter().zip(&outcome.faults);
            let faults: Vec<String> = fails
                .map(|(fails, row)| {
                    let [component, mode] = [name(row.component), mode_name(row.mode)];
                    format!("{component} {mode} at {:.3}", fails.at)
                })
                .collect();
            let deeds = &drawn.deeds;
            *why = format!("case {number}: {why}; faults {faults:?}, deeds {deeds:?}");
            if told {
                println!("{why}");
            }
        }
        outcome
    })
}

/// What is wrong with any of them, but for what is declared.
fn wrong(found: &[Outcome]) -> Vec<&String> {
    let all = found.iter().filter_map(|one| one.wrong.as_ref());
    all.filter(|why| !why.contains(DECLARED)).collect()
}

fn number_from(variable: &str, otherwise: usize) -> usize {
    std::env::var(variable).map_or(otherwise, |text| text.parse().expect("a number"))
}

/// Guards: safety in every tick, and recovery, of the first cases of the long run.
#[test]
fn cycles_with_faults_and_random_acts_are_safe_and_the_machine_comes_back() {
    let found = run(0, SAMPLE, 2);
    let wrong = wrong(&found);
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// The ten thousand of `docs/soak.md`; `SOAK_CASES` and `SOAK_FIRST` choose others. With `UPDATE=1` it writes its figures there.
#[ignore = "minutes"]
#[test]
fn ten_thousand() {
    let first = number_from("SOAK_FIRST", 0);
    let count = number_from("SOAK_CASES", CASES);
    let clock = std::time::Instant::now();
    let found = run(first, count, number_from("SOAK_THREADS", 2));
    let table = page::table(&found, clock.elapsed());
    println!("{table}");
    page::update(&table);
    let wrong = wrong(&found);
    assert!(wrong.is_empty(), "{} of {count}: {wrong:#?}", wrong.len());
}
