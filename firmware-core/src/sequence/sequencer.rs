//! The sequencer: (state, phase) × what was seen → the next, with a named cause for every departure from the ladder.
//!
//! Pure and discrete. It sees one [`View`](super::View) of the phase it is in, one winning [`Response`], one command, and a few bits;
//! timers, thresholds and floats stay outside. That is what lets a test walk every state it can reach. What a tick is told and answers
//! is in `seen`, the way up in `ladder`, the ways down in `stops`, what a hand moves in `movement`.

use super::phase::Phase;
use super::seen::{Moved, Resume, Seen, StepMove};
use super::state::{Command, Mode, Refusal, SetupMove, State};
use super::{Goals, Plate};
use crate::response::Response;

/// The sequencer's whole state: small, comparable, hashable.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Sequencer {
    /// Procedural state.
    pub state: State,
    /// Phase.
    pub phase: Phase,
    /// Plate.
    pub plate: Plate,
    /// Where a held cycle goes on.
    pub resume: Resume,
    /// On the way through standstill to the next step's direction.
    pub reversing: bool,
    /// The step was the last one wanted: stop after it instead of lifting.
    pub ending: bool,
    /// Rinse water, not slurry, is between the plates.
    pub rinsing: bool,
    /// Setup movement under way.
    pub setup_move: Option<SetupMove>,
    /// Setup conditioning: flow is proven.
    pub wetted: bool,
    /// What a grip of the hold-to-run control in the next tick begins: at rest, in this tick, everything permitted this movement
    /// and the control was let go. Anything else in between, for one tick, and the control must be let go again.
    pub ready: Option<SetupMove>,
}

impl Sequencer {
    /// Power-up: Stopped, never Idle, since the condition of parts and plate is unknown until someone has looked;
    /// a plate that is proven parked needs only a Reset.
    #[must_use]
    pub const fn power_up(parked: bool, contact: bool) -> Self {
        let plate = match (parked, contact) {
            (true, _) => Plate::Parked,
            (false, true) => Plate::Contact,
            (false, false) => Plate::Air,
        };
        Self {
            state: State::Stopped,
            phase: Phase::Rest,
            plate,
            resume: Resume::Precheck,
            reversing: false,
            ending: false,
            rinsing: false,
            setup_move: None,
            wetted: false,
            ready: None,
        }
    }

    /// Nothing can change in a tick that brings no command, no request, no response from `Hold` up, and no news of the phase: the
    /// ordinary tick of a cycle, which need not be worked through. The walk proves it against [`Sequencer::next`].
    #[must_use]
    pub const fn waits(&self) -> bool {
        matches!(
            self.state,
            State::Running | State::Restarting | State::Complete
        )
    }

    /// One tick.
    pub fn next(&mut self, seen: &Seen, mode: Mode) -> Moved {
        let mut moved = Moved::default();
        if self.stop_if_told(seen, &mut moved) {
            return moved;
        }
        let ready = core::mem::take(&mut self.ready);
        let before = (self.state, self.phase);
        if let Some(command) = seen.command {
            moved.refused = self.obey(command, seen, mode, &mut moved);
        } else if seen.raise {
            moved.refused = self.raise(seen, mode);
        }
        // The view belongs to the phase of the tick before: a phase entered just now has not been looked at yet.
        if (self.state, self.phase) == before {
            self.advance(seen, mode, ready, &mut moved);
        }
        moved
    }

    fn obey(
        &mut self,
        command: Command,
        seen: &Seen,
        mode: Mode,
        moved: &mut Moved,
    ) -> Option<Refusal> {
        match (command, self.state) {
            (Command::Start, State::Idle) => self.start(seen, mode, moved),
            (Command::Restart, State::Held) => self.restart(seen, mode),
            (Command::Reset, State::Complete) => {
                moved.release = true;
                self.state = State::Idle;
                self.phase = Phase::Rest;
                self.forget();
                None
            }
            (Command::Reset, State::Stopped | State::Aborted) if self.phase == Phase::Rest => {
                moved.release = true;
                if self.plate == Plate::Parked && mode == Mode::Automatic {
                    self.state = State::Idle;
                    self.forget();
                }
                None
            }
            // Releasing latches moves nothing and is allowed where nothing moves.
            (Command::Reset, State::Idle | State::Held) => {
                moved.release = true;
                None
            }
            (Command::Start | Command::Restart | Command::Reset, _) => Some(Refusal::WrongState),
            // The three stops were taken before this; here they had nothing to stop.
            (Command::Hold | Command::Stop | Command::Abort, _) => Some(Refusal::WrongState),
        }
    }

    fn start(&mut self, seen: &Seen, mode: Mode, moved: &mut Moved) -> Option<Refusal> {
        if mode != Mode::Automatic {
            return Some(Refusal::WrongMode);
        }
        if self.phase != Phase::Rest {
            return Some(Refusal::WrongState);
        }
        if seen.response >= Response::StartInhibit {
            return Some(Refusal::Inhibited);
        }
        if !seen.recipe {
            return Some(Refusal::NoRecipe);
        }
        if self.plate != Plate::Parked {
            return Some(Refusal::NotRaised);
        }
        if !seen.standstill {
            return Some(Refusal::NotStandstill);
        }
        self.forget();
        self.rinsing = false;
        self.state = State::Running;
        self.phase = Phase::Precheck;
        moved.step = StepMove::First;
        None
    }

    fn restart(&mut self, seen: &Seen, mode: Mode) -> Option<Refusal> {
        if mode != Mode::Automatic {
            return Some(Refusal::WrongMode);
        }
        if seen.response >= Response::StartInhibit {
            return Some(Refusal::Inhibited);
        }
        if !seen.standstill {
            return Some(Refusal::NotStandstill);
        }
        self.state = State::Restarting;
        self.phase = Phase::Precheck;
        None
    }

    fn raise(&mut self, seen: &Seen, mode: Mode) -> Option<Refusal> {
        if mode != Mode::Automatic {
            return Some(Refusal::WrongMode);
        }
        if !matches!(self.state, State::Stopped | State::Aborted) || self.phase != Phase::Rest {
            return Some(Refusal::WrongState);
        }
        if seen.response >= Response::Hold {
            return Some(Refusal::Inhibited);
        }
        if !seen.standstill {
            return Some(Refusal::NotStandstill);
        }
        if self.plate != Plate::Parked {
            self.phase = Phase::Lift;
            self.plate = Plate::Air;
        }
        None
    }

    /// Phases that finish lead on.
    fn advance(&mut self, seen: &Seen, mode: Mode, ready: Option<SetupMove>, moved: &mut Moved) {
        match self.state {
            State::Running => self.climb(seen, moved),
            State::Holding => self.settle(seen, State::Held),
            State::Restarting => self.come_back(seen, moved),
            State::Stopping => self.settle(seen, State::Stopped),
            State::Aborting => {
                if seen.standstill {
                    self.state = State::Aborted;
                    self.phase = Phase::Rest;
                }
            }
            State::Idle | State::Stopped | State::Aborted => self.movement(seen, mode, ready),
            State::Held => self.feel_contact(seen),
            State::Complete => {}
        }
    }

    /// A plate that was stopped in the air may have come to rest on the parts all the same: the cell knows.
    pub(super) fn feel_contact(&mut self, seen: &Seen) {
        if self.plate == Plate::Air && self.phase == Phase::Rest && seen.contact {
            self.plate = Plate::Contact;
        }
    }

    /// The rules that hold in every reachable state, whatever was seen; the walk asserts them, and so does every tick.
    #[must_use]
    pub const fn invariants_hold(&self) -> bool {
        self.may_ask(&self.goals())
    }

    /// Whether these goals break none of them here.
    pub(super) const fn may_ask(&self, goals: &Goals) -> bool {
        use super::goals::{DriveGoal, Fluid, LoadMode, PlateGoal};
        let wet = !matches!(goals.fluid, Fluid::Off);
        let contact = matches!(self.plate, Plate::Contact);
        let driven = matches!(goals.drives, DriveGoal::Run | DriveGoal::Reduced);
        // Never rotate dry: in contact, driven plates have something flowing between them.
        let never_dry = !(driven && contact) || wet;
        // Never press still: the step's load is tracked only with the drives running.
        let never_press_still =
            !matches!(goals.load, LoadMode::Tracking) || matches!(goals.drives, DriveGoal::Run);
        // Never lift turning: a lifting plate has no driven plates under it.
        let never_lift_turning =
            !matches!(goals.plate, PlateGoal::Lift) || matches!(goals.drives, DriveGoal::Off);
        // Nothing is pressed, lifted or driven where nothing should move.
        let still = !matches!(
            self.state,
            State::Complete | State::Aborted | State::Stopped | State::Idle
        ) || !matches!(self.phase, Phase::Rest)
            || (matches!(goals.drives, DriveGoal::Off)
                && matches!(goals.plate, PlateGoal::Hold)
                && matches!(goals.load, LoadMode::Safe)
                && !wet);
        never_dry && never_press_still && never_lift_turning && still
    }
}
