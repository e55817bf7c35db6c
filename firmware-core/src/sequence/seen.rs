//! What the sequencer is told in a tick, and what it answers.

use super::state::{Command, Refusal, SetupMove};
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
