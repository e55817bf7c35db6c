//! What a stop does to the outputs, field by field and tick by tick; what begins a movement, and in which tick; and that the reason
//! of a stop is kept. Said here from `docs/sequence-and-interlocks.md`, not from the sequencer's goals.

use firmware_core::interlock::TABLE;
use firmware_core::process_image::{DRIVES, DriveOutput, Outputs, RodValve};
use firmware_core::sequence::{Command, Mode, Phase, Plate, Request, State};
use firmware_core::status::{Response, Status};
use proptest::prelude::*;
use twinplate_sim::bench::{Action, Bench, ControllerPort, Recorder, TickView};

/// What the drives are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Drives {
    /// No power, no setpoint.
    Off,
    /// Power to those that have not tripped, and no setpoint larger than in the tick before.
    Down,
    /// Power to those that have not tripped.
    Held,
}

/// What is let go in a place, and what is kept: one entry an output.
#[derive(Clone, Copy, Debug)]
struct LetGo {
    /// The load is held in closed loop: cap command, and the dump valve shut.
    presses: bool,
    rod: RodValve,
    drives: Drives,
    /// Slurry or water flows.
    wet: bool,
    agitator: bool,
    /// The guard may be unlocked.
    unlocks: bool,
}

/// Every output de-energised.
const NOTHING: LetGo = LetGo {
    presses: false,
    rod: RodValve::Trapped,
    drives: Drives::Off,
    wet: false,
    agitator: false,
    unlocks: false,
};

/// What the page says of a state that has stopped or is about to; `None` where a cycle or a hand moves the machine.
fn let_go(state: State, phase: Phase, plate: Plate) -> Option<LetGo> {
    let still = LetGo {
        agitator: true,
        ..NOTHING
    };
    // Initial load on still parts, or on parts that still turn wet.
    let held = LetGo {
        presses: true,
        rod: RodValve::Float,
        ..still
    };
    Some(match (state, phase) {
        // Category 0: power off, cap side dumped, coast.
        (State::Aborting, _) => NOTHING,
        (State::Aborted | State::Idle | State::Complete, Phase::Rest) => LetGo {
            unlocks: true,
            ..NOTHING
        },
        (State::Stopped, Phase::Rest) => LetGo {
            unlocks: true,
            ..still
        },
        // Category 1: resting load at once, wet run-down, the rod side trapped from the first moment.
        (State::Stopping, Phase::RunDown) => LetGo {
            drives: Drives::Down,
            wet: true,
            ..still
        },
        (State::Stopping, _) | (State::Holding | State::Held, Phase::Rest) => still,
        // Category 2: initial load, wet run-down, standing under power.
        (State::Holding, Phase::LoadRelease) => LetGo {
            drives: Drives::Held,
            wet: true,
            ..held
        },
        (State::Holding, Phase::RunDown) => LetGo {
            drives: Drives::Down,
            wet: true,
            ..held
        },
        (State::Holding, Phase::SlurryStop) | (State::Held, Phase::TouchDown) => held,
        // The run-down of a Setup movement: dry in the air, wet on the parts, without load in both.
        (State::Idle | State::Stopped | State::Aborted, Phase::RunDown) => {
            let contact = plate == Plate::Contact;
            LetGo {
                drives: Drives::Down,
                wet: contact,
                agitator: state == State::Stopped,
                rod: if contact {
                    RodValve::Float
                } else {
                    RodValve::Trapped
                },
                ..NOTHING
            }
        }
        _ => return None,
    })
}

/// The outputs of one tick against what is let go there. `before` and `reports` are the outputs of the tick before and what the drives
/// told after it, which is what this tick was made with.
fn is_let_go(
    due: &LetGo,
    view: &TickView<'_>,
    before: &Outputs,
    reports: &[bool; DRIVES],
) -> Result<(), TestCaseError> {
    let at = Place {
        tick: view.tick,
        state: view.status.state,
        phase: view.status.phase,
    };
    let Outputs {
        cap_command,
        dump_shut,
        rod,
        pin_withdraw,
        drives,
        pump,
        rinse,
        agitator,
        guard_unlock,
    } = *view.outputs;
    prop_assert!(
        due.presses || cap_command == 0,
        "{at}: cap command {cap_command}"
    );
    prop_assert_eq!(dump_shut, due.presses, "{}: dump valve shut", at);
    prop_assert_eq!(rod, due.rod, "{}: rod valve", at);
    prop_assert!(!pin_withdraw, "{at}: pin withdrawn");
    prop_assert_eq!(
        pump > 0 || rinse,
        due.wet,
        "{}: pump {}, rinse {}",
        at,
        pump,
        rinse
    );
    prop_assert!(!(pump > 0 && rinse), "{at}: slurry and water");
    prop_assert_eq!(agitator, due.agitator, "{}: agitator", at);
    prop_assert!(due.unlocks || !guard_unlock, "{at}: guard unlocked");
    if due.drives == Drives::Off {
        prop_assert_eq!(drives, [DriveOutput::default(); 4], "{}: drives", at);
        return Ok(());
    }
    for (n, ((now, was), fault)) in drives.iter().zip(&before.drives).zip(reports).enumerate() {
        prop_assert_eq!(now.enable, !fault, "{}: power of drive {}", at, n);
        let slower = i32::from(now.setpoint) * i32::from(was.setpoint) >= 0
            && now.setpoint.unsigned_abs() <= was.setpoint.unsigned_abs();
        prop_assert!(
            due.drives == Drives::Held || slower,
            "{at}: drive {n} from {} to {}",
            was.setpoint,
            now.setpoint
        );
    }
    Ok(())
}

/// Where a tick stands, written out only where something is wrong.
#[derive(Clone, Copy)]
struct Place {
    tick: u32,
    state: State,
    phase: Phase,
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "tick {}, {:?} {:?}", self.tick, self.state, self.phase)
    }
}

/// What acted on the machine in one tick.
#[derive(Clone, Copy, Debug, Default)]
struct Given {
    command: Option<Command>,
    raise: bool,
}

/// Follows a run tick by tick.
#[derive(Default)]
pub struct Follower {
    before: Option<(Status, Outputs)>,
    /// Drives that told of a fault after the tick before.
    reports: [bool; DRIVES],
    /// Ticks in which something had to be let go.
    looked: u32,
}

impl Follower {
    /// Looks at the tick that was just made.
    pub fn look<C: ControllerPort, R: Recorder>(
        &mut self,
        bench: &Bench<C, R>,
    ) -> Result<(), TestCaseError> {
        let view = bench.view().expect("ran");
        let s = *view.status;
        if let Some((was, outputs)) = &self.before {
            if let Some(due) = let_go(s.state, s.phase, s.plate) {
                self.looked += 1;
                is_let_go(&due, &view, outputs, &self.reports)?;
            }
            let mut given = Given::default();
            let entries = bench.journal().entries.iter().rev();
            for entry in entries.take_while(|entry| entry.tick == view.tick) {
                match &entry.action {
                    Action::Command(command) => given.command = Some(*command),
                    Action::Request(request) => given.raise |= **request == Request::Raise,
                    Action::Station(_)
                    | Action::Fault(_)
                    | Action::Clear(_)
                    | Action::PowerReturns => {}
                }
            }
            never_starts_by_itself(was, &view, given)?;
            keeps_the_reason(was, &view, given)?;
        }
        self.before = Some((s, *view.outputs));
        self.reports = view.inputs.drives.map(|drive| drive.fault);
        Ok(())
    }

    /// Ticks in which something had to be let go.
    pub const fn looked(&self) -> u32 {
        self.looked
    }
}

/// From rest a cycle begins with Start in its own tick, goes on with Restart, a raise with its request, a Setup movement with a hand at
/// a shut guard, with the key.
fn never_starts_by_itself(
    was: &Status,
    view: &TickView<'_>,
    given: Given,
) -> Result<(), TestCaseError> {
    let (s, i) = (view.status, view.inputs);
    let tick = view.tick;
    let cycle = |state| matches!(state, State::Running | State::Restarting);
    if cycle(s.state) && !cycle(was.state) {
        let wanted = if was.state == State::Idle {
            Command::Start
        } else {
            prop_assert_eq!(
                was.state,
                State::Held,
                "tick {}: {:?} goes on",
                tick,
                was.state
            );
            Command::Restart
        };
        prop_assert_eq!(given.command, Some(wanted), "tick {}: {:?}", tick, s.state);
    }
    let quiet = !matches!(
        s.state,
        State::Running | State::Restarting | State::Holding | State::Stopping
    );
    if quiet && s.phase == Phase::Lift && was.phase != Phase::Lift {
        prop_assert!(given.raise, "tick {tick}: lifts without a request");
    }
    if s.phase == Phase::Manual {
        let shut = i.guard_a && i.guard_b && i.guard_locked;
        let may = i.hold_to_run && i.setup_key && shut && s.mode == Mode::Setup;
        prop_assert!(
            may,
            "tick {tick}: a Setup movement without hand, key, guard or mode"
        );
    }
    // Whatever else rests is told to rest by its outputs, field by field; nothing moves from there in any other way.
    let known = let_go(s.state, s.phase, s.plate).is_some()
        || !quiet
        || matches!(s.phase, Phase::Lift | Phase::Manual);
    prop_assert!(
        known,
        "tick {tick}: {:?} {:?} has no place",
        s.state,
        s.phase
    );
    Ok(())
}

/// A departure that nobody commanded names the row that asked for it, and the first reason stays until the next start, restart or
/// reset: it is neither lost nor written over.
fn keeps_the_reason(was: &Status, view: &TickView<'_>, given: Given) -> Result<(), TestCaseError> {
    let (s, tick) = (view.status, view.tick);
    let anew = matches!(
        given.command,
        Some(Command::Start | Command::Restart | Command::Reset)
    );
    if was.cause != 0 && !anew {
        prop_assert_eq!(
            s.cause,
            was.cause,
            "tick {}: the first reason is gone",
            tick
        );
    }
    let stops = |state| matches!(state, State::Holding | State::Stopping | State::Aborting);
    if stops(s.state) && s.state != was.state && was.cause == 0 {
        let commanded = matches!(
            given.command,
            Some(Command::Hold | Command::Stop | Command::Abort)
        );
        prop_assert!(
            commanded || s.cause != 0,
            "tick {tick}: {:?} without a reason",
            s.state
        );
        if s.cause != 0 {
            let index = TABLE.iter().position(|row| row.id == s.cause);
            let index = index.expect("a row of the table");
            prop_assert!(
                (s.active | s.latched) >> index & 1 == 1,
                "tick {tick}: {} did not ask",
                TABLE[index].name
            );
            prop_assert!(
                s.response >= Response::StopAtStepEnd,
                "tick {tick}: {:?} is no stop",
                s.response
            );
        }
    }
    Ok(())
}
