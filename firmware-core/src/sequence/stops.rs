//! The ways down: what takes the cycle off the ladder, and how it comes to rest.

use super::phase::Phase;
use super::seen::{Moved, Resume, Seen, View};
use super::state::{Command, State};
use super::{Plate, Sequencer};
use crate::response::Response;

impl Sequencer {
    /// The stops, worst first. True when one was taken and the tick is spent.
    pub(super) fn stop_if_told(&mut self, seen: &Seen, moved: &mut Moved) -> bool {
        let told = |by: Command| seen.command == Some(by);
        let abort = told(Command::Abort) || seen.response == Response::ImmediateStop;
        if abort && self.abortable() {
            self.abort();
            moved.departed = true;
            return true;
        }
        let stop = told(Command::Stop) || seen.response >= Response::ControlledStop;
        if stop && self.stoppable() {
            self.stop();
            moved.departed = true;
            return true;
        }
        let hold = told(Command::Hold) || seen.response == Response::Hold;
        if hold && self.holdable() {
            self.hold();
            moved.departed = true;
            return true;
        }
        // In Stopped or Aborted a raise or a Setup movement ends where it is.
        let waiting = matches!(self.state, State::Idle | State::Stopped | State::Aborted);
        if waiting && (hold || stop) && matches!(self.phase, Phase::Lift | Phase::Manual) {
            self.end_movement(seen);
            return true;
        }
        false
    }

    pub(super) const fn abortable(&self) -> bool {
        match self.state {
            State::Running
            | State::Holding
            | State::Held
            | State::Restarting
            | State::Stopping
            | State::Stopped => true,
            // Raises and Setup movements end without power too.
            State::Idle | State::Aborted => !matches!(self.phase, Phase::Rest),
            State::Aborting | State::Complete => false,
        }
    }

    pub(super) const fn stoppable(&self) -> bool {
        matches!(
            self.state,
            State::Running | State::Holding | State::Held | State::Restarting
        )
    }

    pub(super) const fn holdable(&self) -> bool {
        matches!(self.state, State::Running | State::Restarting)
    }

    pub(super) fn abort(&mut self) {
        // A category 0 stop in Stopped finds nothing to coast, but proves standstill all the same.
        self.state = State::Aborting;
        self.phase = Phase::Coast;
        self.forget();
    }

    pub(super) fn stop(&mut self) {
        self.state = State::Stopping;
        self.phase = match self.phase {
            Phase::RunUp
            | Phase::LoadRamp
            | Phase::Dwell
            | Phase::LoadRelease
            | Phase::Rinse
            | Phase::RunDown => Phase::RunDown,
            Phase::TouchDown | Phase::SlurryPrestart | Phase::SlurryStop => Phase::SlurryStop,
            Phase::Rest
            | Phase::Precheck
            | Phase::Lower
            | Phase::Lift
            | Phase::Coast
            | Phase::Manual => {
                // Restarting proves its quick part with the plate in contact: there the load is let go too.
                if matches!(self.plate, Plate::Contact) && !matches!(self.phase, Phase::Lift) {
                    Phase::SlurryStop
                } else {
                    Phase::Rest
                }
            }
        };
    }

    pub(super) fn hold(&mut self) {
        if self.state == State::Running {
            self.resume = self.resume_here();
        }
        self.state = State::Holding;
        self.phase = match self.phase {
            Phase::RunUp | Phase::LoadRamp | Phase::Dwell | Phase::LoadRelease => {
                Phase::LoadRelease
            }
            // Already at initial load: straight to run-down.
            Phase::Rinse | Phase::RunDown => Phase::RunDown,
            Phase::TouchDown | Phase::SlurryPrestart | Phase::SlurryStop => Phase::SlurryStop,
            Phase::Precheck if matches!(self.plate, Plate::Contact) => Phase::SlurryStop,
            Phase::Rest
            | Phase::Precheck
            | Phase::Lower
            | Phase::Lift
            | Phase::Coast
            | Phase::Manual => Phase::Rest,
        };
    }

    pub(super) const fn resume_here(&self) -> Resume {
        match self.phase {
            Phase::Rest | Phase::Precheck | Phase::Coast | Phase::Manual => Resume::Precheck,
            Phase::Lower => Resume::Lower,
            Phase::TouchDown => Resume::TouchDown,
            Phase::SlurryPrestart => Resume::Prestart,
            Phase::RunUp | Phase::LoadRamp | Phase::Dwell => Resume::Step,
            Phase::LoadRelease | Phase::Rinse | Phase::RunDown => {
                if self.reversing {
                    Resume::NextStep
                } else {
                    Resume::SlurryStop
                }
            }
            Phase::SlurryStop => Resume::SlurryStop,
            Phase::Lift => Resume::Lift,
        }
    }

    /// Holding and Stopping: down to standstill and still.
    pub(super) fn settle(&mut self, seen: &Seen, end: State) {
        let reached = seen.view == View::Reached;
        match self.phase {
            Phase::LoadRelease if reached => self.phase = Phase::RunDown,
            Phase::RunDown if reached => self.phase = Phase::SlurryStop,
            Phase::SlurryStop if reached => {
                // Held keeps the initial load on still parts; a stop leaves the plate resting, de-energised.
                self.phase = if end == State::Held {
                    Phase::TouchDown
                } else {
                    Phase::Rest
                };
                self.arrive(end);
            }
            Phase::Rest => self.arrive(end),
            Phase::LoadRelease
            | Phase::RunDown
            | Phase::SlurryStop
            | Phase::Precheck
            | Phase::Lower
            | Phase::TouchDown
            | Phase::SlurryPrestart
            | Phase::RunUp
            | Phase::LoadRamp
            | Phase::Dwell
            | Phase::Rinse
            | Phase::Lift
            | Phase::Coast
            | Phase::Manual => {}
        }
    }

    pub(super) fn arrive(&mut self, end: State) {
        self.state = end;
        if end == State::Stopped {
            self.forget();
        }
    }

    /// What a finished or broken-off cycle leaves behind.
    pub(super) fn forget(&mut self) {
        self.resume = Resume::Precheck;
        self.reversing = false;
        self.ending = false;
        self.setup_move = None;
        self.wetted = false;
    }
}
