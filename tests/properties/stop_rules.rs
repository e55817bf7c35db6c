//! What a stop does to the outputs, field by field; what begins a movement; that the reason of a stop is kept: of one tick and the one
//! before it, whoever made them. Said here from `docs/sequence-and-interlocks.md`, not from the sequencer's goals.

use firmware_core::interlock::TABLE;
use firmware_core::process_image::{DRIVES, DriveOutput, Inputs, Outputs, RodValve};
use firmware_core::sequence::{Command, Mode, Phase, Plate, State};
use firmware_core::status::{Response, Status};

/// A tick as the rules see it.
#[derive(Clone, Copy, Debug)]
pub struct Tick<'a> {
    /// Its number.
    pub tick: u32,
    /// What the controller was given.
    pub inputs: &'a Inputs,
    /// What it answered.
    pub outputs: &'a Outputs,
    /// Its status after the tick.
    pub status: &'a Status,
    /// Drives that told of a fault in what the tick was made with.
    pub faults: [bool; DRIVES],
}

/// Gives the sentence where something does not hold.
macro_rules! holds {
    ($what:expr, $($words:tt)+) => {
        if !$what {
            return Err(format!($($words)+));
        }
    };
}

/// Gives the sentence, and both sides, where two things differ.
macro_rules! same {
    ($left:expr, $right:expr, $words:literal $($more:tt)*) => {
        let (left, right) = (&$left, &$right);
        if left != right {
            return Err(format!(concat!($words, ": {:?}, due {:?}") $($more)*, left, right));
        }
    };
}

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

/// The outputs of one tick against what is let go there.
fn is_let_go(due: &LetGo, view: &Tick<'_>, before: &Outputs) -> Result<(), String> {
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
    holds!(
        due.presses || cap_command == 0,
        "{at}: cap command {cap_command}"
    );
    same!(dump_shut, due.presses, "{}: dump valve shut", at);
    same!(rod, due.rod, "{}: rod valve", at);
    holds!(!pin_withdraw, "{at}: pin withdrawn");
    same!(
        pump > 0 || rinse,
        due.wet,
        "{}: pump {}, rinse {}",
        at,
        pump,
        rinse
    );
    holds!(!(pump > 0 && rinse), "{at}: slurry and water");
    same!(agitator, due.agitator, "{}: agitator", at);
    holds!(due.unlocks || !guard_unlock, "{at}: guard unlocked");
    if due.drives == Drives::Off {
        same!(drives, [DriveOutput::default(); 4], "{}: drives", at);
        return Ok(());
    }
    for (n, ((now, was), fault)) in drives
        .iter()
        .zip(&before.drives)
        .zip(&view.faults)
        .enumerate()
    {
        same!(now.enable, !fault, "{}: power of drive {}", at, n);
        let slower = i32::from(now.setpoint) * i32::from(was.setpoint) >= 0
            && now.setpoint.unsigned_abs() <= was.setpoint.unsigned_abs();
        holds!(
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
pub struct Given {
    /// A command.
    pub command: Option<Command>,
    /// A request to raise.
    pub raise: bool,
}

/// From rest a cycle begins with Start in its own tick, goes on with Restart, a raise with its request, a Setup movement with a hand at
/// a shut guard, with the key.
fn never_starts_by_itself(was: &Status, view: &Tick<'_>, given: Given) -> Result<(), String> {
    let (s, i) = (view.status, view.inputs);
    let tick = view.tick;
    let cycle = |state| matches!(state, State::Running | State::Restarting);
    if cycle(s.state) && !cycle(was.state) {
        let wanted = if was.state == State::Idle {
            Command::Start
        } else {
            same!(
                was.state,
                State::Held,
                "tick {}: {:?} goes on",
                tick,
                was.state
            );
            Command::Restart
        };
        same!(given.command, Some(wanted), "tick {}: {:?}", tick, s.state);
    }
    let quiet = !matches!(
        s.state,
        State::Running | State::Restarting | State::Holding | State::Stopping
    );
    if quiet && s.phase == Phase::Lift && was.phase != Phase::Lift {
        holds!(given.raise, "tick {tick}: lifts without a request");
    }
    if s.phase == Phase::Manual {
        let shut = i.guard_a && i.guard_b && i.guard_locked;
        let may = i.hold_to_run && i.setup_key && shut && s.mode == Mode::Setup;
        holds!(
            may,
            "tick {tick}: a Setup movement without hand, key, guard or mode"
        );
    }
    // Whatever else rests is told to rest by its outputs, field by field; nothing moves from there in any other way.
    let known = let_go(s.state, s.phase, s.plate).is_some()
        || !quiet
        || matches!(s.phase, Phase::Lift | Phase::Manual);
    holds!(
        known,
        "tick {tick}: {:?} {:?} has no place",
        s.state,
        s.phase
    );
    Ok(())
}

/// A departure that nobody commanded names the row that asked for it, and the first reason stays until the next start, restart or
/// reset: it is neither lost nor written over.
fn keeps_the_reason(was: &Status, view: &Tick<'_>, given: Given) -> Result<(), String> {
    let (s, tick) = (view.status, view.tick);
    let anew = matches!(
        given.command,
        Some(Command::Start | Command::Restart | Command::Reset)
    );
    if was.cause != 0 && !anew {
        same!(
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
        holds!(
            commanded || s.cause != 0,
            "tick {tick}: {:?} without a reason",
            s.state
        );
        if s.cause != 0 {
            let index = TABLE.iter().position(|row| row.id == s.cause);
            let index = index.expect("a row of the table");
            holds!(
                (s.active | s.latched) >> index & 1 == 1,
                "tick {tick}: {} did not ask",
                TABLE[index].name
            );
            holds!(
                s.response >= Response::StopAtStepEnd,
                "tick {tick}: {:?} is no stop",
                s.response
            );
        }
    }
    Ok(())
}

/// All rules of one tick; `was` and `before` are status and outputs of the tick before it. Says whether something had to be let go.
pub fn judge(
    was: &Status,
    before: &Outputs,
    view: &Tick<'_>,
    given: Given,
) -> Result<bool, String> {
    let s = view.status;
    let due = let_go(s.state, s.phase, s.plate);
    if let Some(due) = &due {
        is_let_go(due, view, before)?;
    }
    never_starts_by_itself(was, view, given)?;
    keeps_the_reason(was, view, given)?;
    Ok(due.is_some())
}
