//! The operator who brings a machine back: faults gone, then the acts that the book and the rows' own texts tell, in their order.
//!
//! From a hold: put right, Reset, Restart. From a stop: put right, release what is pressed, shut what is open, cycle the channels that
//! disagreed, Reset, raise, Reset. A drive that turns on without power is stopped at the main switch, as row 48 says. Then fresh parts
//! are laid in, counted and confirmed, and the cycle is started; where row 51 stops it, plate change and back takes the plate as new.

use super::judge::{Judges, Rig};
use firmware_core::interlock::{Cond, ResetRule, TABLE};
use firmware_core::sequence::{Command, Mode, Phase, Plate, Request, State};
use firmware_core::status::{Response, Status};
use proptest::prelude::*;
use twinplate_sim::bench::{Action, Job, missing_items, row_name};
use twinplate_sim::model::{Component, StationAct};

/// What it takes to see that something has come in: filters, switches, debounces, and an alarm's return.
pub const SEEN: u32 = 1_500;
/// Longer than two channels may differ before their row asks.
const CYCLED: u32 = 2_500;
/// Somebody who waits for the machine gives up after so long beyond its own deadlines. Longer than a hold may last.
const PATIENCE: u32 = 60_000;

/// What begins each reason for which a machine was not brought back.
pub const NOT_RECOVERED: &str = "not recovered: ";
/// The one way in which a machine is not brought back that is declared: a check valve that leaked under the parked plate has emptied
/// the rod side, and what fills it moves the plate ([`super::charge`]). Whoever exchanges the valve has to charge the rod side; that is
/// not simulated.
pub const DECLARED: &str = "the rod side of the parked plate is empty";
/// Raises after one another that are tried.
const RAISES: u32 = 4;

/// How a machine was brought back.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Ways {
    /// The held cycle was restarted and came to its end.
    pub restarted: bool,
    /// The main switch was needed.
    pub main_switch: bool,
    /// Channels were cycled.
    pub cycled: bool,
    /// The plate was raised by request.
    pub raised: bool,
    /// It took more than one.
    pub raised_again: bool,
    /// Plate change and back.
    pub plate_as_new: bool,
}

/// A run with its judges and whoever operates it.
pub struct Hands<'a> {
    pub job: &'a Job,
    pub rig: Rig,
    pub judges: Judges<'a>,
    /// Components that fail.
    pub broken: Vec<Component>,
    /// Ticks of a cycle without a fault.
    pub cycle: u32,
    pub ways: Ways,
    /// The gravest response that was asked for before the recovery.
    pub before: Response,
}

type Done = Result<(), TestCaseError>;

impl Hands<'_> {
    pub fn status(&self) -> Status {
        *self.rig.status().expect("ran")
    }

    /// One tick, judged.
    pub fn tick(&mut self) -> Done {
        self.rig.step().expect("in process");
        self.judges.look(&self.rig)
    }

    fn wait(&mut self, ticks: u32) -> Done {
        for _ in 0..ticks {
            self.tick()?;
        }
        Ok(())
    }

    /// Until it is so, or for so many ticks; whether it is.
    fn until(&mut self, ticks: u32, so: impl Fn(&Status) -> bool) -> Result<bool, TestCaseError> {
        for _ in 0..ticks {
            if so(&self.status()) {
                return Ok(true);
            }
            self.tick()?;
        }
        Ok(so(&self.status()))
    }

    /// Does something, and lets it be seen.
    fn does(&mut self, action: Action) -> Done {
        self.rig.act(action);
        self.wait(SEEN)
    }

    fn asks(&mut self, request: Request) -> Done {
        self.does(Action::Request(Box::new(request)))
    }

    fn commands(&mut self, command: Command) -> Done {
        self.does(Action::Command(command))
    }

    fn hand(&mut self, act: StationAct) -> Done {
        self.does(Action::Station(act))
    }

    fn fails(&self, what: &str) -> TestCaseError {
        let s = self.status();
        let asking: Vec<&str> = (0..)
            .zip(&TABLE)
            .filter(|(bit, _)| (s.active | s.latched) >> bit & 1 == 1)
            .map(|(_, row)| row.name)
            .collect();
        TestCaseError::fail(format!(
            "{NOT_RECOVERED}{what}; tick {}, {:?} {:?}, {:?}, plate {:?}, cause {}, rows {asking:?}, missing {:?}, refused {:?}",
            self.rig.tick(),
            s.state,
            s.phase,
            s.mode,
            s.plate,
            row_name(s.cause),
            missing_items(s.missing),
            self.rig.refused().last(),
        ))
    }

    /// Everything that failed is put right. Only at rest: nothing is put right while something may move.
    fn puts_right(&mut self) -> Done {
        for component in std::mem::take(&mut self.broken) {
            self.rig.act(Action::Clear(component));
        }
        self.wait(SEEN)
    }

    /// Hands off the controls, what is pressed released, what is open shut.
    fn tidies(&mut self) -> Done {
        for act in [
            StationAct::HoldToRun(false),
            StationAct::SetupKey(false),
            StationAct::ReleaseEstop,
            StationAct::CloseGuard,
        ] {
            self.rig.act(Action::Station(act));
        }
        self.asks(Request::LockGuard)?;
        self.asks(Request::Acknowledge)
    }

    /// Brings the machine to rest: it runs on, it is held, it stops, or it turns on.
    fn rests(&mut self, restart: bool) -> Done {
        self.rig.act(Action::Station(StationAct::HoldToRun(false)));
        let resting = |s: &Status| match s.state {
            State::Held => true,
            State::Idle | State::Stopped | State::Aborted | State::Complete => {
                s.phase == Phase::Rest
            }
            State::Running
            | State::Holding
            | State::Restarting
            | State::Stopping
            | State::Aborting => false,
        };
        self.wait(SEEN)?;
        if matches!(self.status().state, State::Running | State::Restarting) {
            self.commands(Command::Stop)?;
        }
        let p = self.job.params.get();
        for _ in 0..PATIENCE + p.stop_time.0 + p.coast_time.0 {
            if resting(&self.status()) {
                break;
            }
            self.minds_what_turns_on()?;
            self.tick()?;
        }
        if !resting(&self.status()) {
            return Err(self.fails("it does not come to rest"));
        }
        if self.status().state == State::Held {
            if restart {
                return self.restarts();
            }
            return self.stops();
        }
        Ok(())
    }

    /// A held cycle is stopped.
    fn stops(&mut self) -> Done {
        self.commands(Command::Stop)?;
        let stopped = |s: &Status| s.state == State::Stopped && s.phase == Phase::Rest;
        if !self.until(PATIENCE, stopped)? {
            return Err(self.fails("a held cycle does not stop"));
        }
        Ok(())
    }

    /// What turns on without power is turned off at the main switch, as soon as it is told.
    pub fn minds_what_turns_on(&mut self) -> Done {
        if self.ways.main_switch || !self.judges.only_the_main_switch_helps(&self.rig) {
            return Ok(());
        }
        self.ways.main_switch = true;
        self.wait(SEEN)?;
        for drive in [
            Component::DriveInner,
            Component::DriveOuter,
            Component::DriveLower,
            Component::DriveUpper,
        ] {
            self.rig.act(Action::Clear(drive));
        }
        Ok(())
    }

    /// Held, put right, reset, restarted: the cycle comes to its end.
    fn restarts(&mut self) -> Done {
        self.puts_right()?;
        self.tidies()?;
        self.commands(Command::Reset)?;
        if self.status().latched & Cond::GuardDisagree.bit() != 0 {
            // A guard cannot be opened in Held: its channels are cycled after a stop.
            return self.stops();
        }
        self.commands(Command::Restart)?;
        let over = |s: &Status| {
            !matches!(
                s.state,
                State::Running | State::Restarting | State::Held | State::Holding
            )
        };
        self.until(self.cycle + 2 * PATIENCE, over)?;
        if self.status().state != State::Complete {
            return Err(self.fails("a held cycle does not come to its end"));
        }
        self.ways.restarted = true;
        Ok(())
    }

    /// Channels that disagreed are both seen off and on again.
    fn cycles_channels(&mut self) -> Done {
        let latched = |s: &Status, row: Cond| {
            TABLE[row as usize].reset == ResetRule::CycleBoth && s.latched & row.bit() != 0
        };
        if latched(&self.status(), Cond::EstopDisagree) {
            self.ways.cycled = true;
            self.hand(StationAct::PressEstop)?;
            self.hand(StationAct::ReleaseEstop)?;
        }
        if latched(&self.status(), Cond::GuardDisagree) {
            self.ways.cycled = true;
            self.asks(Request::UnlockGuard)?;
            self.hand(StationAct::OpenGuard)?;
            self.wait(CYCLED)?;
            self.hand(StationAct::CloseGuard)?;
            self.asks(Request::LockGuard)?;
        }
        Ok(())
    }

    /// Has the plate raised. Where its rod side has lost its air, the air comes back slower than the plate's way allows for: row 42 ends
    /// the raise, what has come in stays, and another goes on from there.
    fn raises(&mut self) -> Done {
        self.ways.raised = true;
        for _ in 0..RAISES {
            self.asks(Request::Raise)?;
            let deadline = self.job.params.get().lift_time.0 + SEEN;
            self.until(deadline, |s| s.phase == Phase::Rest)?;
            if self.status().plate == Plate::Parked {
                return Ok(());
            }
            if self.status().latched & Cond::PhaseTimeout.bit() == 0 {
                break;
            }
            self.ways.raised_again = true;
            self.commands(Command::Reset)?;
        }
        Err(self.fails("the plate is not raised"))
    }

    /// Brings the machine home, whatever happened to it: to Idle, whole, shut and in Automatic.
    pub fn comes_home(&mut self, restart: bool) -> Done {
        self.rests(restart)?;
        self.puts_right()?;
        self.tidies()?;
        if self.status().mode != Mode::Automatic {
            self.asks(Request::SetMode(Mode::Automatic))?;
        }
        self.cycles_channels()?;
        self.commands(Command::Reset)?;
        let s = self.status();
        if matches!(s.state, State::Stopped | State::Aborted) {
            self.raises()?;
            self.commands(Command::Reset)?;
        }
        if self.status().state != State::Idle {
            return Err(self.fails("no way to idle"));
        }
        Ok(())
    }

    /// Fresh parts, counted and confirmed.
    fn lays_in(&mut self) -> Done {
        self.asks(Request::UnlockGuard)?;
        for act in [
            StationAct::OpenGuard,
            StationAct::UnloadCarriers,
            StationAct::LoadCarriers,
            StationAct::CloseGuard,
        ] {
            self.hand(act)?;
        }
        if !self.rig.plant().loaded() {
            return Err(self.fails("no parts can be laid in"));
        }
        self.asks(Request::LockGuard)
    }

    /// A good cycle from Idle to Complete, with fresh parts; nothing asks for more than an alarm on the way.
    pub fn runs_a_good_cycle(&mut self) -> Done {
        self.lays_in()?;
        if self.status().active & Cond::Counterbalance.bit() != 0 && self.judges.leaked() {
            return Err(self.fails(DECLARED));
        }
        self.starts()?;
        let tare = Cond::TareChanged;
        if self.status().cause == TABLE[tare as usize].id {
            self.ways.plate_as_new = true;
            self.comes_home(false)?;
            self.asks(Request::SetMode(Mode::PlateChange))?;
            self.asks(Request::SetMode(Mode::Automatic))?;
            self.starts()?;
        }
        if self.status().state != State::Complete {
            return Err(self.fails("the cycle does not come to its end"));
        }
        Ok(())
    }

    /// Confirms and starts, and waits for the end.
    fn starts(&mut self) -> Done {
        self.asks(Request::ConfirmParts {
            pieces: self.job.compiled.pieces,
        })?;
        self.commands(Command::Start)?;
        let over =
            |s: &Status| s.response > Response::StartInhibit || !matches!(s.state, State::Running);
        self.until(2 * self.cycle + PATIENCE, over)?;
        Ok(())
    }
}
