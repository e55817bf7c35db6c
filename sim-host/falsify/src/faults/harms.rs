//! Kinds of harm with their severity and threshold, stated before any run; and the harm that no controller can prevent, declared with
//! its physical reason.
//!
//! A harm that the matrix finds and that has no entry in [`DECLARED`] is a defect: of the design, or of this table.

use super::moments::{Column, at};
use firmware_core::sequence::Phase;
use twinplate_sim::model::{Component as C, FaultMode as M};

/// How bad a harm is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Parts are scrapped.
    Parts,
    /// Plates, carriers or machine are damaged.
    Machine,
    /// A person may be hurt.
    Person,
}

impl Severity {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Parts => "parts",
            Self::Machine => "machine",
            Self::Person => "person",
        }
    }
}

/// A kind of harm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Load on one part.
    PartOverload,
    /// Turning without film.
    DryTurning,
    /// Rising while turning.
    LiftTurning,
    /// Drives out of ratio under load.
    OutOfRatio,
    /// Plate too hot.
    Hot,
    /// Pressing with the guard open.
    PressingOpen,
    /// Moving with the guard open.
    MovingOpen,
    /// Plate fell.
    Fell,
    /// Plate on the carriers.
    OnCarriers,
    /// Load above the machine's rated load.
    AboveRated,
    /// Completed at another size.
    OffSize,
}

/// A kind with what is stated of it before the run.
#[derive(Clone, Copy, Debug)]
pub struct Stated {
    /// Kind.
    pub kind: Kind,
    /// Name in reports.
    pub name: &'static str,
    /// Severity.
    pub severity: Severity,
    /// From when on it is harm.
    pub threshold: &'static str,
}

const fn stated(
    kind: Kind,
    name: &'static str,
    severity: Severity,
    threshold: &'static str,
) -> Stated {
    Stated {
        kind,
        name,
        severity,
        threshold,
    }
}

/// All kinds. The first nine are the plant's monitors in their order; thresholds are theirs (`plant::harm`).
pub const STATED: [Stated; 11] = [
    stated(
        Kind::PartOverload,
        "part overload",
        Severity::Parts,
        "load on one part above its strength",
    ),
    stated(
        Kind::DryTurning,
        "dry turning",
        Severity::Machine,
        "turning in contact with more than 2 % of the film missing",
    ),
    stated(
        Kind::LiftTurning,
        "lift while turning",
        Severity::Machine,
        "rising off the parts while a drive turns faster than 0.05 rad/s",
    ),
    stated(
        Kind::OutOfRatio,
        "drives out of ratio",
        Severity::Machine,
        "error over 15 % of the fastest drive while the load is over three resting loads",
    ),
    stated(
        Kind::Hot,
        "plate too hot",
        Severity::Parts,
        "above the hold temperature",
    ),
    stated(
        Kind::PressingOpen,
        "pressing with guard open",
        Severity::Person,
        "cap side over 5 % of full force with the guard open",
    ),
    stated(
        Kind::MovingOpen,
        "moving with guard open",
        Severity::Person,
        "plate over a tenth of fast descent, or a drive over 0.05 rad/s, with the guard open",
    ),
    stated(
        Kind::Fell,
        "plate fell",
        Severity::Person,
        "down faster than 1.5 × fast descent, or than 50 mm/s with the rod side trapped",
    ),
    stated(
        Kind::OnCarriers,
        "plate on carriers",
        Severity::Machine,
        "any load with the plate at the carriers' height",
    ),
    stated(
        Kind::AboveRated,
        "above rated load",
        Severity::Machine,
        "true load, runout included, above the machine's rated load",
    ),
    stated(
        Kind::OffSize,
        "off size",
        Severity::Parts,
        "batch completed with its mean thickness off the nominal run's by more than the tolerance",
    ),
];

impl Kind {
    /// What is stated of it.
    #[must_use]
    pub fn stated(self) -> &'static Stated {
        STATED
            .iter()
            .find(|stated| stated.kind == self)
            .unwrap_or(&STATED[0])
    }
}

/// Harm that is declared.
#[derive(Clone, Copy, Debug)]
pub struct Declared {
    /// Components.
    pub components: &'static [C],
    /// Modes.
    pub modes: &'static [M],
    /// Kinds.
    pub kinds: &'static [Kind],
    /// First and last column of the ladder in which the fault may begin and do it.
    pub columns: (Column, Column),
    /// Why no controller prevents it.
    pub reason: &'static str,
}

/// The drives.
pub const DRIVES: &[C] = &[C::DriveInner, C::DriveOuter, C::DriveLower, C::DriveUpper];

/// The declarations.
pub const DECLARED: &[Declared] = &[
    Declared {
        components: &[C::Counterbalance],
        modes: &[M::Off, M::Wrong, M::Intermittent],
        kinds: &[Kind::Fell, Kind::PartOverload, Kind::AboveRated],
        columns: (at(Phase::Lower), at(Phase::Lower)),
        reason: "a descending plate hangs on the counterbalance alone: until the switch reports the loss (20 ms) and the check \
                 valve has closed it falls a few millimetres, and close to the parts it falls onto them",
    },
    Declared {
        components: &[C::Counterbalance],
        modes: &[M::Off, M::Wrong, M::Intermittent],
        kinds: &[Kind::AboveRated, Kind::PartOverload],
        columns: (at(Phase::TouchDown), at(Phase::SlurryStop)),
        reason: "a lost counterbalance puts the plate's weight on the parts at once, and only the cap side can be released \
                 (declared worst: weight and cap force together)",
    },
    Declared {
        components: &[C::Counterbalance],
        modes: &[M::Off, M::Wrong, M::Intermittent],
        kinds: &[Kind::OutOfRatio],
        columns: (at(Phase::RunUp), at(Phase::RunDown)),
        reason: "the plate's whole weight stays on the parts after the cap side is dumped; where its friction exceeds a drive's \
                 torque, that drive slows while all run down",
    },
    Declared {
        components: &[C::RodValve],
        modes: &[M::Stuck, M::Delayed],
        kinds: &[Kind::PartOverload, Kind::AboveRated],
        columns: (Column::Idle, at(Phase::Lower)),
        reason: "a valve that does not close on command lets the plate meet the parts at its fast speed, and no output can \
                 close it. An approach longer than fast speed × delay, or a second valve in series, would prevent it",
    },
    Declared {
        components: &[C::HeightTransmitter],
        modes: &[M::Slow, M::Delayed],
        kinds: &[Kind::PartOverload, Kind::AboveRated],
        columns: (Column::Idle, at(Phase::Lower)),
        reason: "a height that comes late falls as fast as a true one, so nothing in it shows while the plate descends; the \
                 change to creep comes late by speed × delay. An approach longer than that, or a limit switch, would prevent it",
    },
    Declared {
        components: DRIVES,
        modes: &[M::Garbage, M::Wrong, M::Slow],
        kinds: &[Kind::OutOfRatio],
        columns: (at(Phase::LoadRamp), at(Phase::LoadRelease)),
        reason: "a drive that turns at random, or follows late, can be told from a ripple only after 100 to 200 ms, and the \
                 load leaves no faster than the dump valve lets it; until then the carriers bear the error",
    },
    Declared {
        components: &[C::Dog],
        modes: &[M::Off],
        kinds: &[Kind::OutOfRatio],
        columns: (at(Phase::LoadRamp), at(Phase::LoadRelease)),
        reason: "the parts drag an upper plate without its dog round from the first moment; its speed shows it after 200 ms, \
                 and the load leaves no faster than the dump valve lets it",
    },
    Declared {
        components: &[C::Regulator],
        modes: &[M::Garbage, M::Slow, M::Delayed, M::Intermittent],
        kinds: &[Kind::OutOfRatio],
        columns: (at(Phase::SlurryPrestart), at(Phase::RunDown)),
        reason: "a regulator presses by itself, or late, but under the step's limit, while the drives run up or down; friction \
                 beyond a drive's torque holds that drive back until row 24 has seen it for 200 ms",
    },
    Declared {
        components: &[C::LoadCell],
        modes: &[M::Delayed],
        kinds: &[Kind::OutOfRatio],
        columns: (at(Phase::SlurryPrestart), at(Phase::RunDown)),
        reason: "a cell that reads late makes the load swing about its setpoint, under the step's limit, and with it the \
                 friction against which the drives run down",
    },
    Declared {
        components: &[C::Gauge],
        modes: &[M::Off, M::Stuck],
        kinds: &[Kind::OffSize],
        columns: (Column::Idle, at(Phase::Dwell)),
        reason: "without its gauge a step goes on to its longest time, which must be longer than the stock needs; the alarm \
                 (row 32 or 44) says that the parts must be measured",
    },
    Declared {
        components: &[C::Agitator, C::Pump, C::SlurryLine],
        modes: &[
            M::Off,
            M::Stuck,
            M::Wrong,
            M::Slow,
            M::Delayed,
            M::Intermittent,
        ],
        kinds: &[Kind::OffSize],
        columns: (Column::Idle, at(Phase::Dwell)),
        reason: "a thinner slurry laps slower, and nothing measures that while a step ends by time: the parts must be measured",
    },
    Declared {
        components: &[C::Parts],
        modes: &[M::Stuck],
        kinds: &[Kind::Fell],
        columns: (at(Phase::Lower), at(Phase::Lower)),
        reason: "heavy parts that stick to a descending plate (the simulation hangs them on it at once) make it run ahead until \
                 the air below has taken their weight: less than a millimetre",
    },
    Declared {
        components: &[C::Parts],
        modes: &[M::Wrong],
        kinds: &[Kind::PartOverload],
        columns: (Column::Idle, at(Phase::Lower)),
        reason: "a doubled part is the highest and carries the plate before anything can see it",
    },
];

/// The declaration of a harm in a cell, if there is one.
#[must_use]
pub fn declared(component: C, mode: M, column: Column, kind: Kind) -> Option<&'static Declared> {
    DECLARED.iter().find(|entry| {
        entry.components.contains(&component)
            && entry.modes.contains(&mode)
            && entry.kinds.contains(&kind)
            && (entry.columns.0..=entry.columns.1).contains(&column)
    })
}
