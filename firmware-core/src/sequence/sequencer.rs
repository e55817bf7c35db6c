//! The sequencer: (state, phase) × what was seen → the next, with a named cause for every departure from the ladder.
//!
//! Pure and discrete. It sees one [`View`] of the phase it is in, one winning [`Response`], one command, and a few bits;
//! timers, thresholds and floats stay outside. That is what lets a test walk every state it can reach.

use super::phase::Phase;
use super::state::{Command, Mode, Refusal, SetupMove, State};
use super::{Goals, Plate};
use crate::response::Response;

/// What the present phase reports of itself. Each phase has its own reading of these three words (see `judge`).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum View {
    /// Not there yet.
    #[default]
    Waiting,
    /// What the phase waits for is true: all proved, contact, in band, wetted, at speed, end reached, released, rinsed,
    /// at standstill, line stopped, raised and pinned.
    Reached,
}

/// Everything the sequencer may know in one tick.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Seen {
    /// Command, if one arrived.
    pub command: Option<Command>,
    /// A raise request arrived.
    pub raise: bool,
    /// The present phase's own view.
    pub view: View,
    /// The winning response.
    pub response: Response,
    /// The present step is the last.
    pub last_step: bool,
    /// A drive changes direction after this step.
    pub reverses: bool,
    /// The recipe rinses.
    pub rinses: bool,
    /// Standstill is proven on all drives.
    pub standstill: bool,
    /// Slurry flow is proven.
    pub flow: bool,
    /// The hold-to-run control is held: the control's own bit, whatever else permits or forbids a movement.
    pub held: bool,
    /// Setup: key turned, guard shut and locked, and this movement selected: what the control would drive.
    pub manual: Option<SetupMove>,
    /// Height says the plate is parked and pinned.
    pub parked: bool,
    /// The cell says the plate is in contact.
    pub contact: bool,
    /// A checked recipe is loaded.
    pub recipe: bool,
}

/// Where a held cycle goes on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum Resume {
    /// Prove everything afresh.
    #[default]
    Precheck = 0,
    /// Go on descending.
    Lower = 1,
    /// Take the initial load.
    TouchDown = 2,
    /// Wet the plates.
    Prestart = 3,
    /// Wet, run up, load, and finish the step.
    Step = 4,
    /// As `Step`, with the next step: its predecessor was done, a change of direction was under way.
    NextStep = 5,
    /// The steps are done: stop the line and lift.
    SlurryStop = 6,
    /// Go on lifting.
    Lift = 7,
}

/// What the step counter must do.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum StepMove {
    /// Stay.
    #[default]
    Stay,
    /// Back to the first.
    First,
    /// On to the next.
    Next,
}

/// One transition's answer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moved {
    /// The step counter's move.
    pub step: StepMove,
    /// A command or request was refused, with the reason.
    pub refused: Option<Refusal>,
    /// The cycle left the ladder in this tick (its cause is recorded by the caller).
    pub departed: bool,
    /// Interlock latches whose conditions are gone are to be released.
    pub release: bool,
}

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

impl PartialOrd for SetupMove {
    fn partial_cmp(&self, other: &Self) -> Option<core::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for SetupMove {
    fn cmp(&self, other: &Self) -> core::cmp::Ordering {
        (*self as u8).cmp(&(*other as u8))
    }
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

    /// The stops, worst first. True when one was taken and the tick is spent.
    fn stop_if_told(&mut self, seen: &Seen, moved: &mut Moved) -> bool {
        let abort = seen.command == Some(Command::Abort) && self.abortable();
        let immediate = seen.response == Response::ImmediateStop;
        if (abort || immediate) && self.abortable() {
            self.abort();
            moved.departed = true;
            return true;
        }
        let stop = seen.command == Some(Command::Stop) && self.stoppable();
        if (stop || seen.response >= Response::ControlledStop) && self.stoppable() {
            self.stop();
            moved.departed = true;
            return true;
        }
        let hold = seen.command == Some(Command::Hold) && self.holdable();
        if (hold || seen.response == Response::Hold) && self.holdable() {
            self.hold();
            moved.departed = true;
            return true;
        }
        // In Stopped or Aborted a raise or a Setup movement ends where it is.
        let waiting = matches!(self.state, State::Idle | State::Stopped | State::Aborted);
        let told = seen.response >= Response::Hold
            || matches!(seen.command, Some(Command::Stop | Command::Hold));
        if waiting && told && matches!(self.phase, Phase::Lift | Phase::Manual) {
            self.end_movement(seen);
            return true;
        }
        false
    }

    const fn abortable(&self) -> bool {
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

    const fn stoppable(&self) -> bool {
        matches!(
            self.state,
            State::Running | State::Holding | State::Held | State::Restarting
        )
    }

    const fn holdable(&self) -> bool {
        matches!(self.state, State::Running | State::Restarting)
    }

    const fn turning(&self) -> bool {
        matches!(
            self.phase,
            Phase::RunUp
                | Phase::LoadRamp
                | Phase::Dwell
                | Phase::LoadRelease
                | Phase::Rinse
                | Phase::RunDown
        )
    }

    fn abort(&mut self) {
        // A category 0 stop in Stopped finds nothing to coast, but proves standstill all the same.
        self.state = State::Aborting;
        self.phase = Phase::Coast;
        self.forget();
    }

    fn stop(&mut self) {
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

    fn hold(&mut self) {
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

    const fn resume_here(&self) -> Resume {
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

    /// What a finished or broken-off cycle leaves behind.
    fn forget(&mut self) {
        self.resume = Resume::Precheck;
        self.reversing = false;
        self.ending = false;
        self.setup_move = None;
        self.wetted = false;
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
    fn feel_contact(&mut self, seen: &Seen) {
        if self.plate == Plate::Air && self.phase == Phase::Rest && seen.contact {
            self.plate = Plate::Contact;
        }
    }

    /// Running: the ladder.
    fn climb(&mut self, seen: &Seen, moved: &mut Moved) {
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

    fn after_step(&mut self, seen: &Seen, moved: &mut Moved) -> Phase {
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

    /// Holding and Stopping: down to standstill and still.
    fn settle(&mut self, seen: &Seen, end: State) {
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

    fn arrive(&mut self, end: State) {
        self.state = end;
        if end == State::Stopped {
            self.forget();
        }
    }

    /// Restarting: the quick proof, then back to where the hold came from.
    fn come_back(&mut self, seen: &Seen, moved: &mut Moved) {
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

    /// Idle, Stopped, Aborted: raises by request and Setup movements.
    fn movement(&mut self, seen: &Seen, mode: Mode, ready: Option<SetupMove>) {
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
    fn begin_movement(&mut self, seen: &Seen, mode: Mode, ready: Option<SetupMove>) {
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
    fn permitted(&self, seen: &Seen, mode: Mode) -> Option<SetupMove> {
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

    fn end_movement(&mut self, seen: &Seen) {
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

    /// True in the phases that turn the plates on purpose.
    #[must_use]
    pub(crate) const fn is_turning(&self) -> bool {
        self.turning()
    }

    /// The rules that hold in every reachable state, whatever was seen; the walk asserts them, and so does every tick.
    #[must_use]
    pub const fn invariants_hold(&self) -> bool {
        let goals: Goals = self.goals();
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
