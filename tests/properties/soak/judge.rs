//! Safety in every tick of a soaked cycle, whatever fails and whatever is done.
//!
//! The judges are those of the other properties and of the fault matrix: rules of the sequence, outputs of a stop, rows that are due,
//! limits that are truly passed, harm with its declarations. Here they look at one run together, with one to three faults in it.

use crate::rest::Follower;
use crate::rows::resting;
use crate::rules::{Rules, price_of_a_cut};
use firmware_core::interlock::{Cond, TABLE};
use firmware_core::sequence::State;
use firmware_core::status::Response;
use proptest::prelude::*;
use twinplate_check::case::Case as Checked;
use twinplate_check::coast::longest_coast;
use twinplate_falsify::faults::answers::{EXCUSES, Longer};
use twinplate_falsify::faults::due::Due;
use twinplate_falsify::faults::fork::taken;
use twinplate_falsify::faults::harms::{DECLARED, Kind, STATED};
use twinplate_falsify::faults::pairs::MASKS;
use twinplate_falsify::faults::witness::Witness;
use twinplate_sim::bench::{Bench, InProcess, Job, TickView};
use twinplate_sim::model::{Component, Deviations, FaultMode};
use twinplate_sim::plant::Harm;
use twinplate_sim::plant::fault_table::Supported;
use twinplate_sim::plant::harm::TURNING;

/// The bench that is soaked.
pub type Rig = Bench<InProcess, Due>;

/// A stop under way: since which tick, and what of it is not done.
#[derive(Clone, Copy)]
struct Stop {
    since: u32,
    turning: bool,
    loaded: bool,
    /// It became one of category 0, or a drive coasts by itself.
    coasts: bool,
}

/// All judges of one run.
pub struct Judges<'a> {
    job: &'a Job,
    faults: Vec<&'static Supported>,
    rules: Rules,
    follower: Follower,
    witness: Witness,
    /// Rows that have asked since the cycle began.
    asked: u64,
    state: State,
    stop: Option<Stop>,
    coast_s: f64,
    /// The most that is left of the load once it is let go, N.
    let_go: f64,
    /// Ticks of the category 0 stops.
    cuts: Vec<u64>,
    /// The gravest response that a row has asked for.
    pub gravest: Response,
}

impl<'a> Judges<'a> {
    pub fn new(job: &'a Job, deviations: &Deviations, faults: Vec<&'static Supported>) -> Self {
        let [rest, give] = resting(&job.machine, deviations);
        let case = Checked {
            machine: &job.machine,
            batch: &job.batch,
            recipe: &job.recipe,
        };
        Self {
            job,
            faults,
            rules: Rules::of(job),
            follower: Follower::default(),
            witness: Witness::default(),
            asked: 0,
            state: State::Stopped,
            stop: None,
            coast_s: longest_coast(&case).1,
            let_go: rest + give,
            cuts: Vec::new(),
            gravest: Response::None,
        }
    }

    /// One of the faults is declared to make this of a stop longer.
    fn excused(&self, what: Longer) -> bool {
        EXCUSES.iter().any(|excuse| {
            excuse.what.contains(&what)
                && self.faults.iter().any(|fault| {
                    excuse.components.contains(&fault.component)
                        && excuse.modes.contains(&fault.mode)
                })
        })
    }

    /// The load stayed under the recipe's own limits, and the largest of them puts more on one part than it bears: whoever keeps them has
    /// done his duty. The random recipes' limits know nothing of the parts.
    fn limit_breaks_parts(&self, peak: f64) -> bool {
        let Job {
            machine,
            batch,
            recipe,
            ..
        } = self.job;
        let limits = recipe.steps.iter().map(|step| step.load_limit);
        let most = limits.fold(0.0, f64::max);
        let case = Checked {
            machine,
            batch,
            recipe,
        };
        peak <= most && case.share_on_one(most) > batch.strength
    }

    /// The check valve of the rod side leaked.
    pub fn leaked(&self) -> bool {
        let leak = (Component::RodValve, FaultMode::Wrong);
        self.faults.iter().any(|f| (f.component, f.mode) == leak)
    }

    /// The load may stay longer, or more of it: by one of the faults, by two that take both ways of letting it go, or by a supply that
    /// falls under the counterbalance while the plate still floats on it.
    fn load_stays(&self) -> bool {
        self.excused(Longer::Load)
            || self.masked(Kind::PartOverload)
            || self.faults.iter().any(|f| f.component == Component::Supply)
    }

    /// Looks at the tick that was just made.
    pub fn look(&mut self, rig: &Rig) -> Result<(), TestCaseError> {
        let view = rig.view().expect("ran");
        self.follower.look(rig)?;
        self.rules.never_lift_turning(&view)?;
        self.rules.never_press_on_standing_plates(&view)?;
        // A drive that runs on turns what it turns; harm is judged at the end.
        let runs_on = self.excused(Longer::Never) || self.excused(Longer::Standstill);
        let dry = self.rules.never_dry(&view);
        if !runs_on {
            dry?;
        }
        let s = view.status;
        prop_assert!(
            taken(s.response, s),
            "tick {}: {:?} is asked for in {:?} {:?}",
            view.tick,
            s.response,
            s.state,
            s.phase
        );
        self.gravest = self.gravest.max(s.response);
        if s.state == State::Running && self.state == State::Idle {
            (self.asked, self.witness) = (0, Witness::default());
        }
        self.asked |= s.active | s.latched;
        self.witness.look(self.job, &view, self.asked);
        self.stops(&view)?;
        self.state = s.state;
        Ok(())
    }

    /// A stop is carried out in its time: standstill, and the load let go.
    fn stops(&mut self, view: &TickView<'_>) -> Result<(), TestCaseError> {
        let s = view.status;
        let aborts = s.state == State::Aborting && self.state != State::Aborting;
        if aborts {
            self.cuts.push(u64::from(view.tick));
        }
        if aborts || (s.state == State::Stopping && self.state != State::Stopping) {
            let since = self.stop.map_or(view.tick, |stop| stop.since);
            self.stop = Some(Stop {
                since,
                turning: true,
                loaded: true,
                coasts: aborts,
            });
        }
        let Some(mut stop) = self.stop else {
            return Ok(());
        };
        stop.coasts |= s.active & Cond::DriveFault.bit() != 0;
        stop.turning &= view.truth.speeds.iter().any(|v| v.abs() > TURNING);
        stop.loaded &= view.truth.load_without_runout > self.let_go;
        self.stop = (stop.turning || stop.loaded).then_some(stop);
        let control = &self.job.machine.control;
        let took = f64::from(view.tick - stop.since) * 1e-3;
        let still = if stop.coasts {
            control.stop_time + self.coast_s
        } else {
            control.stop_time
        };
        if stop.turning && took > still && !self.excused(Longer::Standstill) {
            prop_assert!(false, "tick {}: turns {took} s after a stop", view.tick);
        }
        if stop.loaded && took > control.dump_time && !self.load_stays() {
            prop_assert!(
                false,
                "tick {}: {:.0} N {took} s after a stop in {:?} {:?}, allowed {:.0} N in {:.3} s, cap {:.0} Pa, dump open {:.2}, {:?}",
                view.tick,
                view.truth.load_without_runout,
                s.state,
                s.phase,
                self.let_go,
                control.dump_time,
                view.truth.cap_pressure,
                view.plant.truth().dump,
                view.outputs
            );
        }
        Ok(())
    }

    /// Something turns on though the power is off, and that is declared of one of the faults and was told.
    pub fn only_the_main_switch_helps(&self, rig: &Rig) -> bool {
        let told = rig
            .status()
            .is_some_and(|s| (s.active | s.latched) & Cond::CoastOverrun.bit() != 0);
        told && self.excused(Longer::Never)
    }

    /// What the whole run has to answer for: rows that were due, limits that were truly passed, harm. `fair` is the harm that the cycle
    /// does by itself, without a fault.
    pub fn close(&self, rig: &Rig, fair: &Harm) -> Result<(), TestCaseError> {
        let silent = rig.recorder().silent();
        prop_assert!(silent.is_empty(), "due and silent: {:?}", silent);
        let cell = self
            .faults
            .iter()
            .any(|f| f.component == Component::LoadCell);
        for (row, ticks) in self.witness.unheard() {
            // What the load cell cannot show no row that reads it can see.
            prop_assert!(
                cell && row != Cond::Direction,
                "{} did not ask though its limit was passed for {ticks} ticks",
                TABLE[row as usize].name
            );
        }
        let peak = rig.summary().peak_load.value;
        for ((stated, (name, mark)), (_, by_itself)) in STATED
            .iter()
            .zip(rig.plant().harm().marks())
            .zip(fair.marks())
        {
            let dump = self.job.machine.control.dump_time;
            let fine = !mark.happened()
                || by_itself.happened()
                || price_of_a_cut(name, &mark, &self.cuts, dump, peak)
                || stated.kind == Kind::PartOverload && self.limit_breaks_parts(peak)
                || self.declared(stated.kind);
            prop_assert!(fine, "undeclared harm: {name} {mark:?}");
        }
        let rated = peak <= self.job.machine.control.rated_load;
        prop_assert!(
            rated || self.declared(Kind::AboveRated),
            "{peak:.0} N is above the rated load"
        );
        Ok(())
    }

    /// Harm that is declared of one of the faults, or of two of them together.
    fn declared(&self, kind: Kind) -> bool {
        let one = DECLARED.iter().any(|entry| {
            entry.kinds.contains(&kind)
                && self.faults.iter().any(|fault| {
                    entry.components.contains(&fault.component) && entry.modes.contains(&fault.mode)
                })
        });
        one || self.masked(kind)
    }

    /// Harm for which two of the faults are declared together.
    fn masked(&self, kind: Kind) -> bool {
        let masks = || MASKS.iter().filter(|mask| mask.kinds.contains(&kind));
        self.faults.iter().enumerate().any(|(n, a)| {
            let others = &self.faults[n + 1..];
            others.iter().any(|b| masks().any(|m| m.covers([a, b])))
        })
    }
}
