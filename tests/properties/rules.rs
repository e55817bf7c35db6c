//! The rules of the sequence, on every tick of random cycles with random commands, requests and hands on the machine.
//!
//! Truth judges: true speeds, true load, the harm monitors. The controller's own view is used only for where it says it is.

use crate::common::{Case, cases, config};
use crate::rest::Follower;
use firmware_core::process_image::RodValve;
use firmware_core::sequence::{Command, Mode, Request, SetupMove};
use proptest::prelude::*;
use twinplate_falsify::faults::due::Due;
use twinplate_sim::bench::{Action, Job, Player, TickView};
use twinplate_sim::model::StationAct;
use twinplate_sim::plant::harm::HarmRecord;

/// Standstill: 0.15 rpm is what the controller calls still; the allowance is a rounding of the speed input.
const STILL: f64 = 0.02;
/// Error of a drive against the others, as a share of the fastest, that a power cut under load may leave until the load is let go: half
/// of its speed, lost in the dump's time against coasts that take ten times as long (invented; harm begins at 0.15).
const CUT_ERROR: f64 = 0.5;
/// A drive that is this fast is turning, rad/s.
const TURNING: f64 = 0.1;

/// Something that an operator does.
#[derive(Clone, Copy, Debug)]
pub enum Deed {
    Command(Command),
    Raise,
    UnlockGuard,
    LockGuard,
    Acknowledge,
    Mode(Mode),
    Move(SetupMove),
    Hand(StationAct),
}

/// Anything that an operator can do, sense or not.
pub fn deed() -> impl Strategy<Value = Deed> {
    use Command::{Abort, Hold, Reset, Restart, Start, Stop};
    prop_oneof![
        6 => prop::sample::select(vec![Start, Hold, Restart, Stop, Abort, Reset]).prop_map(Deed::Command),
        3 => prop::sample::select(vec![Hold, Restart]).prop_map(Deed::Command),
        1 => Just(Deed::Raise),
        1 => Just(Deed::UnlockGuard),
        1 => Just(Deed::LockGuard),
        1 => Just(Deed::Acknowledge),
        1 => prop::sample::select(vec![Mode::Automatic, Mode::Setup, Mode::PlateChange]).prop_map(Deed::Mode),
        1 => prop::sample::select(vec![
            SetupMove::Raise, SetupMove::Lower, SetupMove::Jog, SetupMove::Purge, SetupMove::Condition
        ]).prop_map(Deed::Move),
        3 => prop::sample::select(vec![
            StationAct::PressEstop, StationAct::ReleaseEstop, StationAct::CloseGuard, StationAct::SetupKey(true),
            StationAct::SetupKey(false), StationAct::HoldToRun(true), StationAct::HoldToRun(false),
        ]).prop_map(Deed::Hand),
    ]
}

/// What it is at the bench.
pub fn action(deed: Deed) -> Action {
    let request = |r| Action::Request(Box::new(r));
    match deed {
        Deed::Command(command) => Action::Command(command),
        Deed::Raise => request(Request::Raise),
        Deed::UnlockGuard => request(Request::UnlockGuard),
        Deed::LockGuard => request(Request::LockGuard),
        Deed::Acknowledge => request(Request::Acknowledge),
        Deed::Mode(mode) => request(Request::SetMode(mode)),
        Deed::Move(wanted) => request(Request::SelectMove(wanted)),
        Deed::Hand(act) => Action::Station(act),
    }
}

/// The rules of every tick that truth judges.
pub struct Rules {
    /// How long turning plates last without flow, ticks.
    film_life: u32,
    initial: f32,
    dry_for: u32,
    out_of_band_for: u32,
    still_for: u32,
}

impl Rules {
    pub fn of(job: &Job) -> Self {
        Self {
            film_life: (job.machine.slurry.film_life * 1000.0) as u32,
            initial: job.params.get().initial.get(),
            dry_for: 0,
            out_of_band_for: 0,
            still_for: 0,
        }
    }

    /// Never rotate dry: turning in contact only with flow, or within the declared film life.
    pub fn never_dry(&mut self, view: &TickView<'_>) -> Result<(), TestCaseError> {
        let turning = view.truth.speeds.iter().any(|v| v.abs() > TURNING);
        let contact = view.truth.load > 0.0;
        self.dry_for = if turning && contact && !view.status.flow_proven {
            self.dry_for + 1
        } else {
            0
        };
        prop_assert!(
            self.dry_for <= self.film_life,
            "tick {}: {} ticks dry",
            view.tick,
            self.dry_for
        );
        Ok(())
    }

    /// Never press still: a reference above initial load only with the drives in band, a bounded moment excepted.
    pub fn never_press_still(&mut self, view: &TickView<'_>) -> Result<(), TestCaseError> {
        let (s, out) = (view.status, view.outputs);
        self.out_of_band_for = if self.presses(view) && !s.drives_in_band {
            self.out_of_band_for + 1
        } else {
            0
        };
        prop_assert!(
            self.out_of_band_for <= 300,
            "tick {}: pressing with drives out of band in {:?}: {:?} for {:?}",
            view.tick,
            s.phase,
            view.inputs.drives,
            out.drives
        );
        Ok(())
    }

    /// Never press on plates that stand, whatever has failed: a moment excepted, as above.
    pub fn never_press_on_standing_plates(
        &mut self,
        view: &TickView<'_>,
    ) -> Result<(), TestCaseError> {
        let standing = view.truth.speeds.iter().all(|v| v.abs() < TURNING);
        self.still_for = if self.presses(view) && standing {
            self.still_for + 1
        } else {
            0
        };
        prop_assert!(
            self.still_for <= 300,
            "tick {}: pressing on standing plates in {:?}",
            view.tick,
            view.status.phase
        );
        Ok(())
    }

    fn presses(&self, view: &TickView<'_>) -> bool {
        view.status.reference.get() > self.initial * 1.001 && view.outputs.cap_command > 0
    }

    /// Never lift turning.
    pub fn never_lift_turning(&self, view: &TickView<'_>) -> Result<(), TestCaseError> {
        if matches!(view.outputs.rod, RodValve::Lift | RodValve::LiftCreep) {
            prop_assert!(
                view.truth.speeds.iter().all(|v| v.abs() < STILL),
                "tick {}: lifting while turning",
                view.tick
            );
        }
        Ok(())
    }
}

/// A category 0 stop takes the power off at once: four drives coast each in its own time while the load is still on its way out. That
/// harm is the price of the category, declared in `docs/cautions.md`, and bounded: it begins while the load is let go, it is over when
/// the load is (so that what it sums up is less than the highest load for the dump's time, at every power cut), and no drive loses
/// more than a part of its speed against the others in that time. `cuts` are the ticks of the power cuts, `peak` the highest load, N.
pub fn price_of_a_cut(
    name: &str,
    mark: &HarmRecord,
    cuts: &[u64],
    dump_time: f64,
    peak: f64,
) -> bool {
    let in_dump = |first: u64| {
        cuts.iter()
            .any(|cut| (*cut..=cut + (dump_time * 1000.0) as u64).contains(&first))
    };
    name == "drives out of ratio"
        && mark.first.is_some_and(in_dump)
        && mark.sum <= cuts.len() as f64 * peak * dump_time
        && mark.worst <= CUT_ERROR
}

fn rules_hold(case: &Case, deeds: &[(u32, Deed)]) -> Result<(), TestCaseError> {
    let job = case.job();
    let setup = job.setup(case.deviations(), case.seed);
    let mut bench = setup.bench(setup.controller(), Due::new(&job));
    bench.play(Player::new(None, job.compiled.pieces));
    for (tick, deed) in deeds {
        bench.act_at(*tick, action(*deed));
    }
    let mut rules = Rules::of(&job);
    let mut follower = Follower::default();
    for _ in 0..110_000_u32 {
        bench.step().expect("in process");
        let view = bench.view().expect("ran");
        rules.never_dry(&view)?;
        rules.never_press_still(&view)?;
        rules.never_press_on_standing_plates(&view)?;
        rules.never_lift_turning(&view)?;
        // Never start by itself, never lose the reason, and what a stop lets go.
        follower.look(&bench)?;
    }
    let silent = bench.recorder().silent();
    prop_assert!(silent.is_empty(), "due and silent: {:?}", silent);
    let cuts: Vec<u64> = bench
        .journal()
        .entries
        .iter()
        .filter(|e| matches!(e.action, Action::Command(Command::Abort)))
        .map(|e| u64::from(e.tick))
        .collect();
    let dump = job.machine.control.dump_time;
    let peak = bench.summary().peak_load.value;
    // Random loads may be more than thin parts bear: that is the recipe's fault and `check`'s to find, not the sequence's.
    let done: Vec<_> = bench
        .summary()
        .harm
        .marks()
        .into_iter()
        .filter(|(_, mark)| mark.happened())
        .filter(|(name, mark)| {
            *name != "part overload" && !price_of_a_cut(name, mark, &cuts, dump, peak)
        })
        .collect();
    prop_assert!(done.is_empty(), "harm: {:?}", done);
    // From power-up to the start at the least.
    prop_assert!(follower.looked() > 250, "nothing was at rest");
    Ok(())
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn the_rules_hold_whatever_is_commanded(
        case in cases(2),
        deeds in prop::collection::vec((400..100_000_u32, deed()), 0..14),
    ) {
        let mut deeds = deeds;
        deeds.sort_by_key(|(tick, _)| *tick);
        rules_hold(&case, &deeds)?;
    }
}
