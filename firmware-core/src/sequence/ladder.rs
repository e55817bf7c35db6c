//! The way up: Running, and back to it from a hold.

use super::phase::Phase;
use super::seen::{Moved, Resume, Seen, StepMove, View};
use super::state::State;
use super::{Plate, Sequencer};
use crate::response::Response;

impl Sequencer {
    /// Running: the ladder.
    pub(super) fn climb(&mut self, seen: &Seen, moved: &mut Moved) {
        if seen.view != View::Reached {
            return;
        }
        self.phase = match self.phase {
            Phase::Precheck => {
                self.plate = Plate::Air;
                Phase::Lower
            }
            Phase::Lower => {
                self.plate = Plate::Contact;
                Phase::TouchDown
            }
            Phase::TouchDown => Phase::SlurryPrestart,
            // A ramp begins at zero: whatever still turns, or seems to, is waited for.
            Phase::SlurryPrestart if !seen.standstill => return,
            Phase::SlurryPrestart => Phase::RunUp,
            Phase::RunUp => Phase::LoadRamp,
            Phase::LoadRamp => Phase::Dwell,
            Phase::Dwell => self.after_step(seen, moved),
            Phase::LoadRelease => {
                if seen.rinses && !self.reversing && !self.ending {
                    self.rinsing = true;
                    Phase::Rinse
                } else {
                    Phase::RunDown
                }
            }
            Phase::Rinse => Phase::RunDown,
            Phase::RunDown => {
                if self.reversing {
                    self.reversing = false;
                    moved.step = StepMove::Next;
                    Phase::RunUp
                } else {
                    Phase::SlurryStop
                }
            }
            Phase::SlurryStop => {
                // Standstill was proven at the end of the run-down; it is asked again, because now the plate leaves the parts.
                if !seen.standstill {
                    return;
                }
                if self.ending {
                    moved.departed = true;
                    self.state = State::Stopping;
                    Phase::SlurryStop
                } else {
                    self.plate = Plate::Air;
                    Phase::Lift
                }
            }
            Phase::Lift => {
                self.plate = Plate::Parked;
                self.state = State::Complete;
                self.forget();
                Phase::Rest
            }
            // Not on the ladder; never entered in Running (asserted by the walk).
            Phase::Rest | Phase::Coast | Phase::Manual => self.phase,
        };
    }

    pub(super) fn after_step(&mut self, seen: &Seen, moved: &mut Moved) -> Phase {
        if seen.last_step {
            return Phase::LoadRelease;
        }
        if seen.response == Response::StopAtStepEnd {
            self.ending = true;
            return Phase::LoadRelease;
        }
        if seen.reverses {
            self.reversing = true;
            return Phase::LoadRelease;
        }
        moved.step = StepMove::Next;
        Phase::LoadRamp
    }

    /// Restarting: the quick proof, then back to where the hold came from.
    pub(super) fn come_back(&mut self, seen: &Seen, moved: &mut Moved) {
        if seen.view != View::Reached {
            return;
        }
        match self.phase {
            Phase::Precheck => {
                self.phase = match self.resume {
                    Resume::Precheck => Phase::Precheck,
                    Resume::Lower => Phase::Lower,
                    Resume::TouchDown => Phase::TouchDown,
                    Resume::Prestart | Resume::Step => Phase::SlurryPrestart,
                    Resume::NextStep => {
                        moved.step = StepMove::Next;
                        self.reversing = false;
                        self.resume = Resume::Step;
                        Phase::SlurryPrestart
                    }
                    Resume::SlurryStop => Phase::SlurryStop,
                    Resume::Lift => Phase::Lift,
                };
                if !matches!(self.resume, Resume::Prestart | Resume::Step) {
                    self.state = State::Running;
                }
            }
            // As on the ladder: power comes on only at proven standstill.
            Phase::SlurryPrestart if !seen.standstill => {}
            Phase::SlurryPrestart => {
                self.rinsing = false;
                self.phase = Phase::RunUp;
            }
            Phase::RunUp => self.phase = Phase::LoadRamp,
            Phase::LoadRamp => {
                self.phase = Phase::Dwell;
                self.state = State::Running;
                self.resume = Resume::Precheck;
            }
            Phase::Rest
            | Phase::Lower
            | Phase::TouchDown
            | Phase::Dwell
            | Phase::LoadRelease
            | Phase::Rinse
            | Phase::RunDown
            | Phase::SlurryStop
            | Phase::Lift
            | Phase::Coast
            | Phase::Manual => {}
        }
    }
}
