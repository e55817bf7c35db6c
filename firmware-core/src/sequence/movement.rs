//! What a hand moves: raises by request, and Setup.

use super::phase::Phase;
use super::seen::{Seen, View};
use super::state::{Mode, SetupMove};
use super::{Plate, Sequencer};
use crate::response::Response;

impl Sequencer {
    /// Idle, Stopped, Aborted: raises by request and Setup movements.
    pub(super) fn movement(&mut self, seen: &Seen, mode: Mode, ready: Option<SetupMove>) {
        match self.phase {
            Phase::Lift => {
                if seen.view == View::Reached {
                    self.plate = Plate::Parked;
                    self.phase = Phase::Rest;
                }
            }
            Phase::Manual => {
                // Flow lost while conditioning stops the drives: wetness is what is proven now, not what once was.
                self.wetted = seen.flow;
                let wanted = seen.manual.filter(|_| seen.held && mode == Mode::Setup);
                if wanted.is_none() || wanted != self.setup_move {
                    self.end_movement(seen);
                }
            }
            Phase::RunDown => {
                if seen.standstill {
                    self.phase = Phase::Rest;
                }
            }
            Phase::Rest => {
                self.feel_contact(seen);
                self.begin_movement(seen, mode, ready);
            }
            Phase::Precheck
            | Phase::Lower
            | Phase::TouchDown
            | Phase::SlurryPrestart
            | Phase::RunUp
            | Phase::LoadRamp
            | Phase::Dwell
            | Phase::LoadRelease
            | Phase::Rinse
            | Phase::SlurryStop
            | Phase::Coast => {}
        }
    }

    /// A movement begins with a fresh grip: the control was let go in the tick before, and everything that permits the movement was
    /// there in that tick and is there in this one. So nobody else's hand (on the guard, its lock, the key, a reset, the choice of a
    /// movement) and no circuit that comes back begins what a hand already holds.
    pub(super) fn begin_movement(&mut self, seen: &Seen, mode: Mode, ready: Option<SetupMove>) {
        let permitted = self.permitted(seen, mode);
        if !seen.held {
            self.ready = permitted;
            return;
        }
        let Some(wanted) = permitted.filter(|_| permitted == ready) else {
            return;
        };
        self.setup_move = Some(wanted);
        self.wetted = false;
        self.phase = Phase::Manual;
        if matches!(wanted, SetupMove::Raise | SetupMove::Lower) {
            self.plate = Plate::Air;
        }
    }

    /// The movement that everything but the hand permits.
    pub(super) fn permitted(&self, seen: &Seen, mode: Mode) -> Option<SetupMove> {
        let free = mode == Mode::Setup
            && seen.response < Response::Hold
            && seen.standstill
            && seen.command.is_none();
        seen.manual.filter(|wanted| {
            free && match wanted {
                SetupMove::Raise => self.plate != Plate::Parked,
                SetupMove::Lower => self.plate != Plate::Contact,
                // In the air nothing touches: turning dry harms nothing.
                SetupMove::Jog => self.plate != Plate::Contact && !seen.contact,
                SetupMove::Purge => true,
                SetupMove::Condition => self.plate == Plate::Contact && seen.recipe,
            }
        })
    }

    pub(super) fn end_movement(&mut self, seen: &Seen) {
        let turned = matches!(self.setup_move, Some(SetupMove::Jog | SetupMove::Condition));
        self.phase = if turned { Phase::RunDown } else { Phase::Rest };
        if self.plate == Plate::Air {
            self.plate = match (seen.parked, seen.contact) {
                (true, _) => Plate::Parked,
                (false, true) => Plate::Contact,
                (false, false) => Plate::Air,
            };
        }
        self.setup_move = None;
        self.wetted = false;
    }
}
