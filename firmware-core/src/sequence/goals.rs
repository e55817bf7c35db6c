//! What the sequencer asks of motion: discrete only. No number crosses this line.

use super::phase::Phase;
use super::state::{SetupMove, State};
use super::{Plate, Sequencer};
use crate::words::words;
use serde::{Deserialize, Serialize};

/// How the load is being held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[repr(u8)]
pub enum LoadMode {
    /// Dump open, no command: de-energised.
    #[default]
    Safe = 0,
    /// Plate rests by its own weight less the counterbalance; open loop, no command.
    Resting = 1,
    /// Closed loop at the initial load.
    Initial = 2,
    /// Closed loop on the step's ramp.
    Tracking = 3,
}

words!(LoadMode, ALL_LOAD_MODES {
    Safe => "safe", "vented";
    Resting => "resting", "resting load";
    Initial => "initial", "initial load";
    Tracking => "tracking", "step load";
});

/// What the plate is to do.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum PlateGoal {
    /// Rod side trapped: held in the air, resting in contact.
    #[default]
    Hold,
    /// Carried by the counterbalance, free to follow the parts.
    Float,
    /// Descend, fast and then creeping, to contact.
    Lower,
    /// Creep off the parts, then rise to the parked height.
    Lift,
    /// Setup: creep down, to contact at most.
    LowerCreep,
}

/// What the drives are to do.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum DriveGoal {
    /// Power off; whatever turns, coasts.
    #[default]
    Off,
    /// Ramp to standstill together and stay there under power.
    Stop,
    /// Ramp to the step's speeds together and hold them.
    Run,
    /// Setup: the step's directions at reduced speed.
    Reduced,
}

/// What flows between the plates.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Fluid {
    /// Nothing.
    #[default]
    Off,
    /// Slurry at the pre-start flow.
    Prestart,
    /// Slurry at the step's flow.
    Slurry,
    /// Rinse water.
    Rinse,
}

/// All goals of one tick.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Goals {
    /// Load mode.
    pub load: LoadMode,
    /// Plate.
    pub plate: PlateGoal,
    /// Drives.
    pub drives: DriveGoal,
    /// Fluid.
    pub fluid: Fluid,
    /// Agitator on.
    pub agitator: bool,
    /// Parking pin withdrawn.
    pub pin_out: bool,
}

impl Sequencer {
    /// The goals of where the machine is. A pure function of the sequencer's state: what it asks for cannot depend on how it got there.
    #[must_use]
    pub const fn goals(&self) -> Goals {
        let agitator = !matches!(
            self.state,
            State::Idle | State::Complete | State::Aborting | State::Aborted
        );
        let stopping = matches!(self.state, State::Stopping);
        // In contact a stop lets the load go to resting at once; everything else holds the initial load when still.
        let contact_load = if stopping {
            LoadMode::Resting
        } else {
            LoadMode::Initial
        };
        let base = Goals {
            load: LoadMode::Safe,
            plate: PlateGoal::Hold,
            drives: DriveGoal::Off,
            fluid: Fluid::Off,
            agitator,
            // Only a plate on its way down needs its pin out; the pin's spring does the rest.
            pin_out: false,
        };
        // A stop traps the rod side as it is, so that a supply that fails, which may be the stop's cause, cannot take the
        // counterbalance away and leave the plate's weight on the parts.
        let contact_plate = if stopping {
            PlateGoal::Hold
        } else {
            PlateGoal::Float
        };
        let turning = Goals {
            plate: contact_plate,
            drives: DriveGoal::Run,
            fluid: Fluid::Slurry,
            load: contact_load,
            ..base
        };
        match self.phase {
            Phase::Rest | Phase::Precheck | Phase::Coast => base,
            Phase::Lower => Goals {
                plate: PlateGoal::Lower,
                load: LoadMode::Resting,
                pin_out: true,
                ..base
            },
            Phase::TouchDown => Goals {
                plate: PlateGoal::Float,
                load: contact_load,
                ..base
            },
            // Drives get their power when the gap is wet and not before: one that runs away would turn dry.
            Phase::SlurryPrestart => Goals {
                plate: PlateGoal::Float,
                load: contact_load,
                fluid: Fluid::Prestart,
                ..base
            },
            Phase::RunUp => turning,
            Phase::LoadRamp | Phase::Dwell => Goals {
                load: LoadMode::Tracking,
                ..turning
            },
            Phase::LoadRelease => turning,
            Phase::Rinse => Goals {
                fluid: Fluid::Rinse,
                ..turning
            },
            Phase::RunDown => match self.state {
                // Setup: drives of a movement in the air run down dry and without load.
                State::Idle | State::Stopped | State::Aborted
                    if !matches!(self.plate, Plate::Contact) =>
                {
                    Goals {
                        drives: DriveGoal::Stop,
                        ..base
                    }
                }
                State::Idle | State::Stopped | State::Aborted => Goals {
                    drives: DriveGoal::Stop,
                    load: LoadMode::Resting,
                    ..turning
                },
                State::Running
                | State::Holding
                | State::Held
                | State::Restarting
                | State::Stopping
                | State::Aborting
                | State::Complete => Goals {
                    drives: DriveGoal::Stop,
                    fluid: if self.rinsing {
                        Fluid::Rinse
                    } else {
                        Fluid::Slurry
                    },
                    ..turning
                },
            },
            // Without power: standstill is proven, and a stop from touch-down comes here over a gap that was never wet.
            Phase::SlurryStop => Goals {
                plate: contact_plate,
                load: contact_load,
                ..base
            },
            Phase::Lift => Goals {
                plate: PlateGoal::Lift,
                ..base
            },
            Phase::Manual => match self.setup_move {
                None => base,
                Some(SetupMove::Raise) => Goals {
                    plate: PlateGoal::Lift,
                    ..base
                },
                Some(SetupMove::Lower) => Goals {
                    plate: PlateGoal::LowerCreep,
                    load: LoadMode::Resting,
                    pin_out: true,
                    ..base
                },
                Some(SetupMove::Jog) => Goals {
                    drives: DriveGoal::Reduced,
                    ..base
                },
                Some(SetupMove::Purge) => Goals {
                    fluid: Fluid::Prestart,
                    agitator: true,
                    ..base
                },
                Some(SetupMove::Condition) => Goals {
                    plate: PlateGoal::Float,
                    load: LoadMode::Initial,
                    drives: if self.wetted {
                        DriveGoal::Reduced
                    } else {
                        DriveGoal::Stop
                    },
                    fluid: Fluid::Prestart,
                    agitator: true,
                    ..base
                },
            },
        }
    }
}
