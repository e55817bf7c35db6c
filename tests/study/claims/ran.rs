//! One short cycle on the bench, and what a claim is seen by.

use firmware_core::interlock::{Cond, TABLE};
use firmware_core::recipe::RecipeRule;
use firmware_core::sequence::{Phase, State};
use firmware_core::status::Status;
use twinplate_check::predict::predict;
use twinplate_check::static_check::check;
use twinplate_check::{Case, Code};
use twinplate_sim::bench::{Action, Job, NoRecorder, Player, Summary};
use twinplate_sim::compile::CompileError;
use twinplate_sim::demo;
use twinplate_sim::model::{Batch, Deviations, End, Envelope, Machine, Recipe};
use twinplate_sim::plant::places::outermost_share;
use twinplate_sim::requirements::damage_limit;

/// Changes a case.
pub type Change = fn(&mut Machine, &mut Batch, &mut Recipe);
/// A machine, a batch and a recipe.
pub type Set = (Machine, Batch, Recipe);

/// Longest run, ticks.
const LONGEST: u32 = 400_000;
/// Ticks after which a machine that does not run is taken for one that never will: longer than the precheck may take.
const NEVER: u32 = 15_000;
/// Ticks that a run goes on after its end, until the load has been let go.
const AFTER: u32 = 2_000;

/// The demonstration job for glass discs with short steps.
fn short() -> Set {
    let mut set = demo::set("glass-f800");
    set.2.prestart = 16.0;
    set.2.rinse = 0.0;
    for step in &mut set.2.steps {
        step.end = End::Time { seconds: 2.0 };
        step.longest = 60.0;
    }
    set
}

/// The short job, changed.
pub fn changed(change: Change) -> Set {
    let mut set = short();
    change(&mut set.0, &mut set.1, &mut set.2);
    set
}

/// Codes that the static rules find.
pub fn found((machine, batch, recipe): &Set) -> Vec<Code> {
    let case = Case {
        machine,
        batch,
        recipe,
    };
    check(&case, &predict(&case, 1.0))
        .iter()
        .map(|finding| finding.code)
        .collect()
}

/// What is done from outside, once: when the moment has come.
#[derive(Clone, Copy)]
pub struct Deed {
    /// The moment.
    pub when: fn(&Status) -> bool,
    /// What is done.
    pub what: fn(&Set) -> Action,
}

/// What a claim is seen by.
pub struct Ran {
    /// Why the controller would not have it.
    pub refused: Option<CompileError>,
    /// State at the end.
    pub end: State,
    /// What the run came to.
    pub summary: Option<Summary>,
    /// Share of the film in the gap when the drives were first told to run.
    pub film_at_run_up: Option<f64>,
    /// Suspended fraction of the abrasive when the controller began to hold.
    pub suspended_at_hold: Option<f64>,
    /// The load was in its band when it was found above the step's limit.
    pub good_when_tripped: bool,
    /// Plates turned dry.
    pub dry: bool,
    /// Highest load in the first contact, resting load included, N.
    pub first_contact: f64,
    /// Phases in the order in which they were entered.
    pub phases: Vec<Phase>,
    /// The last phase that was run: the one in which the run left its ladder, or its end.
    pub left_in: Option<Phase>,
    /// Highest overshoot, N.
    pub overshoot: f64,
    /// Mean removal of the lower and the upper faces, m.
    pub removed: [f64; 2],
    /// Deepest damage left over what is allowed.
    pub damage_used: f64,
}

impl Ran {
    /// Before the run.
    const fn before() -> Self {
        Self {
            refused: None,
            end: State::Idle,
            summary: None,
            film_at_run_up: None,
            suspended_at_hold: None,
            good_when_tripped: false,
            dry: false,
            first_contact: 0.0,
            phases: Vec::new(),
            left_in: None,
            overshoot: 0.0,
            removed: [0.0; 2],
            damage_used: 0.0,
        }
    }
    /// The row asked at some time.
    pub fn row(&self, row: Cond) -> bool {
        self.summary
            .as_ref()
            .is_some_and(|summary| summary.rows & row.bit() != 0)
    }
    /// The row was the first cause of leaving the ladder.
    pub fn left_by(&self, row: Cond) -> bool {
        let id = TABLE[row as usize].id;
        self.summary
            .as_ref()
            .is_some_and(|summary| summary.cause.is_some_and(|(cause, _)| cause == id))
    }
    /// The controller refuses the recipe by this rule.
    pub fn refuses(&self, rule: RecipeRule) -> bool {
        matches!(&self.refused, Some(CompileError::Recipe(all)) if all.iter().any(|v| v.rule == rule))
    }
    /// The controller refuses the machine by this rule.
    pub fn refuses_machine(&self, rule: u16) -> bool {
        matches!(&self.refused, Some(CompileError::Params(all)) if all.iter().any(|(id, _)| *id == rule))
    }
    /// The batch was completed.
    pub fn completed(&self) -> bool {
        self.end == State::Complete
    }
}

/// One line for people.
impl std::fmt::Display for Ran {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some(error) = &self.refused {
            return write!(f, "{error}");
        }
        let cause = self.summary.as_ref().and_then(|s| s.cause);
        let rows = self.summary.as_ref().map_or(0, |s| s.rows);
        let names: Vec<_> = TABLE
            .iter()
            .enumerate()
            .filter(|(place, _)| rows >> place & 1 == 1)
            .map(|(_, row)| row.name)
            .collect();
        write!(
            f,
            "{:?} in {:?}, cause {cause:?}, rows {names:?}, film {:?}, suspended {:?}, overshoot {:.2}, first contact {:.1}, dry {}, good {}",
            self.end,
            self.left_in,
            self.film_at_run_up,
            self.suspended_at_hold,
            self.overshoot,
            self.first_contact,
            self.dry,
            self.good_when_tripped,
        )
    }
}

const fn over(state: State) -> bool {
    matches!(
        state,
        State::Complete | State::Stopped | State::Aborted | State::Held | State::Idle
    )
}

/// Runs one cycle.
pub fn run(set: &Set, worst: fn(&Envelope) -> Deviations, deed: Option<Deed>) -> Ran {
    let mut ran = Ran::before();
    let (machine, batch, recipe) = set.clone();
    let deviations = worst(&machine.envelope);
    let job = match Job::new(machine, batch, recipe) {
        Ok(job) => job,
        Err(error) => {
            ran.refused = Some(error);
            return ran;
        }
    };
    let setup = job.setup(deviations, 1);
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    let mut deed = deed;
    let mut since = None;
    let mut began = false;
    let mut tripped = false;
    while bench.tick() < LONGEST {
        let status = bench.step().expect("in process");
        let (state, phase) = (status.state, status.phase);
        began |= state == State::Running;
        if began && ran.phases.last() != Some(&phase) {
            ran.phases.push(phase);
            let truth = bench.plant().truth();
            if phase == Phase::RunUp && ran.film_at_run_up.is_none() {
                ran.film_at_run_up = Some(truth.film);
            }
        }
        let status = &bench.status().expect("ran").clone();
        if matches!(state, State::Holding | State::Held) && ran.suspended_at_hold.is_none() {
            ran.suspended_at_hold = Some(bench.plant().truth().suspended);
        }
        if let Some(Deed { when, what }) = deed
            && began
            && when(status)
        {
            bench.act(what(set));
            deed = None;
        }
        if state == State::Running {
            ran.left_in = Some(phase);
        }
        if status.active & Cond::LoadLimit.bit() != 0 && !tripped {
            tripped = true;
            let step = &job.compiled.steps[usize::from(status.step)];
            let off = (status.load.get() - step.load.get()).abs();
            ran.good_when_tripped = off <= job.params.band(step.load).get();
        }
        if !began && bench.tick() > NEVER {
            break;
        }
        if began && over(state) {
            let first = *since.get_or_insert(bench.tick());
            if bench.tick() - first > AFTER {
                break;
            }
        } else {
            since = None;
        }
    }
    ran.end = bench.status().map_or(State::Idle, |status| status.state);
    ran.removed = bench.plant().truth().removed;
    let summary = bench.summary();
    let allowed = damage_limit(&job.batch, &job.recipe.consumables);
    ran.damage_used = summary.damage_left.map_or(0.0, |left| left.depth / allowed);
    ran.dry = summary.harm.dry_turning.happened();
    ran.first_contact = summary.first_contact + job.machine.actuator.resting_load();
    ran.overshoot = summary.worst_overshoot().map_or(0.0, |worst| worst.value);
    ran.summary = Some(summary);
    ran
}

/// What a doubled part lifts the middle of the plate by: it leans on it, outermost as the carriers are laid in, and on two others.
pub fn lifted(m: &Machine, b: &Batch) -> f64 {
    b.thickness * outermost_share(&m.geometry, b)
}
