//! What is declared of every fault before the run: which interlock rows may answer it first, where an answer must come and how
//! soon, which stops may take longer than the table says and why, and which faults nothing notices.
//!
//! The times hold a row's debounce and the physics that brings its signal over the limit. What depends on the machine's own numbers
//! says so: [`When`] and [`Within`].

use super::harms::DRIVES;
use super::machine::{When, Within};
use super::moments::{Column, at};
use firmware_core::sequence::Phase;
use twinplate_sim::bench::Job;
use twinplate_sim::model::{Component as C, FaultMode as M};
use twinplate_sim::plant::fault_table::Supported;

/// The declared answer to some faults.
#[derive(Clone, Copy, Debug)]
pub struct Answer {
    /// Components.
    pub components: &'static [C],
    /// Modes.
    pub modes: &'static [M],
    /// Rows that may ask first; none where nothing in the controller can notice.
    pub rows: &'static [&'static str],
    /// Columns, first and last, in which a fault must be answered within the time; outside them it may lie dormant until something
    /// needs the component.
    pub must: Option<(Column, Column, Within)>,
    /// On which machines this is the answer.
    pub when: When,
}

/// All columns.
const EVERYWHERE: (Column, Column) = (Column::Idle, Column::Complete);
/// The whole cycle.
const CYCLE: (Column, Column) = (at(Phase::Precheck), at(Phase::Lift));
const LOADED: (Column, Column) = (at(Phase::LoadRamp), at(Phase::Dwell));
/// A flow that ends later than this may not be missed: the drives may have run down before its row's time is over.
const FED: (Column, Column) = (at(Phase::RunUp), at(Phase::LoadRamp));

const fn answer(
    components: &'static [C],
    modes: &'static [M],
    rows: &'static [&'static str],
    must: Option<((Column, Column), Within)>,
) -> Answer {
    Answer {
        components,
        modes,
        rows,
        must: match must {
            None => None,
            Some(((first, last), within)) => Some((first, last, within)),
        },
        when: When::Always,
    }
}

/// The same on some machines only.
const fn on(when: When, answer: Answer) -> Answer {
    Answer { when, ..answer }
}

/// What answers what. The first entry that names a pair and holds on the machine counts; every supported pair has one (asserted).
#[rustfmt::skip]
pub const ANSWERS: &[Answer] = &[
    answer(&[C::Regulator], &[M::Off, M::Intermittent], &["phase-timeout", "load-out-of-band", "step-overtime", "drive-out-of-ratio"], None),
    answer(&[C::Regulator], &[M::Stuck], &["phase-timeout"], None),
    answer(&[C::Regulator], &[M::Garbage], &["first-contact-limit", "load-above-step-limit", "drive-out-of-ratio", "phase-timeout", "load-out-of-band"], None),
    answer(&[C::Regulator], &[M::Delayed], &["phase-timeout", "step-overtime", "load-above-step-limit", "load-out-of-band"], None),
    answer(&[C::Regulator], &[M::Wrong, M::Slow], &[], None),
    answer(&[C::DumpValve], &[M::Off, M::Intermittent], &["dump-feedback"], Some(((at(Phase::TouchDown), at(Phase::RunDown)), Within::Seconds(0.2)))),
    answer(&[C::DumpValve], &[M::Stuck, M::Delayed], &["dump-feedback"], None),
    answer(&[C::DumpValve], &[M::Wrong], &["dump-feedback", "dump-feedback-inhibit"], Some(((Column::Idle, at(Phase::Lower)), Within::Seconds(0.2)))),
    answer(&[C::DumpFeedback], &[M::Wrong], &["dump-feedback", "dump-feedback-inhibit"], Some((EVERYWHERE, Within::Seconds(0.2)))),
    answer(&[C::DumpFeedback], &[M::Off], &["dump-feedback", "dump-feedback-inhibit"], Some(((Column::Idle, at(Phase::Lower)), Within::Seconds(0.2)))),
    answer(&[C::DumpFeedback], &[M::Stuck, M::Delayed], &["dump-feedback"], None),
    answer(&[C::DumpFeedback], &[M::Intermittent], &[], None),
    answer(&[C::Counterbalance], &[M::Off, M::Wrong, M::Intermittent], &["counterbalance-lost", "first-contact-limit", "load-above-rated", "load-above-step-limit"], Some((EVERYWHERE, Within::Seconds(0.05)))),
    answer(&[C::RodValve], &[M::Off, M::Stuck], &["plate-not-following", "phase-timeout"], None),
    answer(&[C::RodValve], &[M::Wrong], &["counterbalance-lost"], None),
    // A plate that stops from a fast descent weighs more for a moment, as one that meets parts does.
    answer(&[C::RodValve], &[M::Intermittent], &["plate-not-following", "contact-high"], None),
    answer(&[C::RodValve], &[M::Delayed], &["plate-not-following"], None),
    answer(&[C::RodSwitch], &[M::Off, M::Wrong, M::Intermittent], &["counterbalance-lost"], Some((EVERYWHERE, Within::Seconds(0.05)))),
    answer(&[C::RodSwitch], &[M::Stuck, M::Delayed], &[], None),
    on(When::AirNearCounterbalance, answer(&[C::Supply], &[M::Off, M::Wrong, M::Intermittent], &["supply-low", "supply-low-inhibit", "counterbalance-lost"], Some((EVERYWHERE, Within::AirGone(1.0))))),
    answer(&[C::Supply], &[M::Off, M::Wrong, M::Intermittent], &["supply-low", "supply-low-inhibit"], Some((EVERYWHERE, Within::AirGone(1.0)))),
    answer(&[C::LoadCell], &[M::Off, M::Intermittent], &["cell-invalid"], Some((EVERYWHERE, Within::Seconds(0.05)))),
    // Three samples out of range, or eight above a limit, one after another, come by chance.
    answer(&[C::LoadCell], &[M::Garbage], &["cell-invalid", "first-contact-limit", "load-above-rated", "load-above-step-limit"], Some((EVERYWHERE, Within::Seconds(0.2)))),
    // Swapped leads read twice the plate's weight less the load: near the weight that is the load.
    // A light plate's does not come over any limit; weighed before the next descent it has another weight.
    answer(&[C::LoadCell], &[M::Wrong], &["load-above-rated", "load-above-step-limit", "first-contact-limit", "cell-line", "tare-changed"], Some(((Column::Idle, at(Phase::RunUp)), Within::Reversed(0.4)))),
    answer(&[C::LoadCell], &[M::Stuck], &["cell-stuck", "cell-line", "contact-high", "phase-timeout"], Some(((at(Phase::SlurryPrestart), at(Phase::RunDown)), Within::Seconds(1.1)))),
    answer(&[C::LoadCell], &[M::Slow], &["cell-line"], None),
    answer(&[C::LoadCell], &[M::Delayed], &["phase-timeout", "step-overtime", "load-above-step-limit", "load-out-of-band"], None),
    answer(&[C::CapTransmitter], &[M::Off], &["cell-line"], Some((LOADED, Within::Seconds(0.5)))),
    answer(&[C::CapTransmitter], &[M::Stuck, M::Wrong, M::Slow, M::Delayed], &["cell-line"], None),
    answer(&[C::CapTransmitter], &[M::Garbage, M::Intermittent], &[], None),
    answer(&[C::HeightTransmitter], &[M::Off, M::Intermittent, M::Garbage], &["plate-not-following", "contact-low", "phase-timeout"], Some(((at(Phase::Lower), at(Phase::Lower)), Within::Seconds(1.0)))),
    answer(&[C::HeightTransmitter], &[M::Stuck], &["plate-not-following", "contact-high", "contact-low", "phase-timeout"], None),
    // A shift while the plate falls looks like one that does not, where it falls slowly.
    answer(&[C::HeightTransmitter], &[M::Wrong], &["contact-high", "plate-not-following"], None),
    answer(&[C::HeightTransmitter], &[M::Slow, M::Delayed], &["plate-not-following", "contact-high"], None),
    answer(&[C::Pin], &[M::Off, M::Stuck], &["phase-timeout"], None),
    answer(&[C::Pin], &[M::Wrong], &["phase-timeout", "pin-not-proven"], Some(((Column::Complete, Column::Complete), Within::Seconds(0.6)))),
    answer(&[C::Pin], &[M::Intermittent], &["plate-not-following", "contact-high"], None),
    // A plate that is slow to begin has not begun when its row's time is over.
    answer(&[C::Pin], &[M::Delayed], &["plate-not-following"], None),
    answer(&[C::Arm], &[M::Off], &["phase-timeout", "arm-lift", "pin-not-proven"], Some(((at(Phase::Lift), Column::Complete), Within::Seconds(0.6)))),
    answer(&[C::Arm], &[M::Intermittent], &["arm-lift", "pin-not-proven"], None),
    answer(&[C::Arm], &[M::Garbage], &["arm-lift"], None),
    answer(&[C::EstopA, C::EstopB], &[M::Off, M::Intermittent], &["emergency-stop"], Some((EVERYWHERE, Within::Seconds(0.01)))),
    answer(&[C::EstopA, C::EstopB], &[M::Stuck, M::Delayed], &[], None),
    answer(&[C::GuardA, C::GuardB], &[M::Off], &["guard-open", "guard-channels"], Some((CYCLE, Within::Seconds(0.05)))),
    answer(&[C::GuardA, C::GuardB], &[M::Intermittent], &["guard-open"], Some((CYCLE, Within::Seconds(0.05)))),
    answer(&[C::GuardA, C::GuardB], &[M::Stuck, M::Delayed], &[], None),
    answer(&[C::GuardLock], &[M::Off, M::Wrong, M::Intermittent], &["guard-open"], Some((CYCLE, Within::Seconds(0.05)))),
    answer(&[C::GuardLock], &[M::Stuck, M::Delayed], &[], None),
    answer(DRIVES, &[M::Off, M::Intermittent], &["drive-fault"], Some((EVERYWHERE, Within::Seconds(0.02)))),
    answer(DRIVES, &[M::Stuck], &["drive-out-of-ratio", "phase-timeout"], None),
    // Any speed for 200 ms comes by chance, and what it takes to follow it.
    answer(DRIVES, &[M::Garbage], &["drive-out-of-ratio", "direction-wrong", "torque-high", "phase-timeout"], None),
    answer(DRIVES, &[M::Wrong], &["drive-out-of-ratio", "direction-wrong"], Some(((at(Phase::LoadRamp), at(Phase::LoadRelease)), Within::Seconds(0.3)))),
    answer(DRIVES, &[M::Slow, M::Delayed], &["drive-out-of-ratio"], None),
    answer(&[C::Pump], &[M::Off], &["phase-timeout", "flow-low"], Some((FED, Within::FlowGone(3.0)))),
    answer(&[C::Pump], &[M::Intermittent], &["phase-timeout", "flow-low"], Some((FED, Within::FlowGone(3.0)))),
    answer(&[C::Pump], &[M::Stuck], &["phase-timeout"], None),
    // Low for as long as the row waits comes by chance, where the minimum is high.
    answer(&[C::Pump, C::FlowSensor], &[M::Garbage], &["phase-timeout", "flow-low"], None),
    // Without a rinse the line still runs when the slurry stops.
    answer(&[C::Pump], &[M::Slow], &["phase-timeout"], None),
    on(When::FlowTooLittle, answer(&[C::Pump], &[M::Wrong], &["phase-timeout", "flow-low"], None)),
    on(When::EmptiesLate, answer(&[C::Pump], &[M::Delayed], &["phase-timeout"], None)),
    answer(&[C::Pump], &[M::Wrong, M::Delayed], &[], None),
    answer(&[C::SlurryLine], &[M::Off], &["phase-timeout", "flow-low"], Some((FED, Within::FlowGone(3.0)))),
    // What it lets through may be enough.
    answer(&[C::SlurryLine], &[M::Wrong], &["phase-timeout", "flow-low"], None),
    answer(&[C::SlurryLine], &[M::Intermittent], &["phase-timeout", "flow-low"], None),
    answer(&[C::SlurryLine], &[M::Slow], &["phase-timeout"], None),
    answer(&[C::FlowSensor], &[M::Off], &["phase-timeout", "flow-low"], Some((FED, Within::FlowGone(2.0)))),
    answer(&[C::FlowSensor], &[M::Stuck], &["phase-timeout"], None),
    on(When::EmptiesLate, answer(&[C::FlowSensor], &[M::Wrong, M::Slow, M::Delayed], &["phase-timeout"], None)),
    on(When::FlowDips, answer(&[C::FlowSensor], &[M::Intermittent], &["phase-timeout", "flow-low"], None)),
    answer(&[C::FlowSensor], &[M::Wrong, M::Slow, M::Delayed, M::Intermittent], &[], None),
    // A slurry that settles fast laps so slowly that a step by gauge takes its longest time.
    answer(&[C::Agitator], &[M::Off, M::Stuck], &["agitator-stopped", "agitator-settled", "phase-timeout", "step-overtime"], None),
    answer(&[C::Agitator], &[M::Wrong, M::Delayed, M::Intermittent], &["step-overtime"], None),
    answer(&[C::TankLevel], &[M::Off], &["tank-empty"], Some(((at(Phase::Precheck), at(Phase::RunUp)), Within::Seconds(2.5)))),
    answer(&[C::TankLevel], &[M::Stuck, M::Garbage, M::Wrong, M::Slow, M::Delayed, M::Intermittent], &[], None),
    on(When::EmptiesLate, answer(&[C::RinseWater], &[M::Off, M::Delayed], &["flow-low", "phase-timeout"], None)),
    answer(&[C::RinseWater], &[M::Off, M::Delayed], &["flow-low"], None),
    answer(&[C::RinseWater], &[M::Stuck], &["flow-low", "phase-timeout"], None),
    on(When::FlowTooLittle, answer(&[C::RinseWater], &[M::Wrong], &["flow-low", "phase-timeout"], None)),
    answer(&[C::RinseWater], &[M::Wrong, M::Intermittent], &[], None),
    answer(&[C::Cooling], &[M::Off, M::Wrong, M::Intermittent], &[], None),
    answer(&[C::TempLower, C::TempUpper], &[M::Off, M::Stuck, M::Garbage, M::Wrong, M::Slow, M::Delayed, M::Intermittent], &[], None),
    answer(&[C::Gauge], &[M::Off], &["gauge-invalid", "step-overtime"], None),
    answer(&[C::Gauge], &[M::Stuck], &["step-overtime"], None),
    answer(&[C::Gauge], &[M::Garbage], &["size-below-tolerance"], None),
    answer(&[C::Gauge], &[M::Wrong], &["step-overtime"], None),
    answer(&[C::Gauge], &[M::Slow, M::Delayed, M::Intermittent], &[], None),
    answer(&[C::Parts], &[M::Wrong], &["contact-high", "plate-not-following"], None),
    answer(&[C::Parts], &[M::Stuck], &["tare-changed", "parts-stuck", "phase-timeout"], None),
    answer(&[C::Parts], &[M::Off], &[], None),
    answer(&[C::Dog], &[M::Off], &["drive-out-of-ratio"], Some((LOADED, Within::Seconds(1.0)))),
    answer(&[C::Dog], &[M::Stuck, M::Wrong], &[], None),
    answer(&[C::Tick], &[M::Off], &["tick-overrun"], Some((EVERYWHERE, Within::Seconds(0.01)))),
    answer(&[C::Tick], &[M::Intermittent], &["tick-overrun"], Some((EVERYWHERE, Within::Seconds(0.35)))),
];

/// The declared answer to a fault on a job's machine.
#[must_use]
pub(crate) fn answer_to(fault: &Supported, job: &Job) -> Option<&'static Answer> {
    ANSWERS.iter().find(|entry| {
        entry.components.contains(&fault.component)
            && entry.modes.contains(&fault.mode)
            && entry.when.holds(job, fault)
    })
}

/// What of a stop may take longer than the interlock table and the machine's parameters say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Longer {
    /// Standstill.
    Standstill,
    /// The load's way to resting load.
    Load,
    /// The plate's coming to rest in the air.
    Plate,
    /// All of it: no safe state is reached.
    Never,
}

/// A stop that is declared to take longer.
#[derive(Clone, Copy, Debug)]
pub struct Excuse {
    /// Components.
    pub components: &'static [C],
    /// Modes.
    pub modes: &'static [M],
    /// What takes longer.
    pub what: &'static [Longer],
    /// Why no controller can do better.
    pub reason: &'static str,
}

/// The excuses.
pub const EXCUSES: &[Excuse] = &[
    Excuse {
        components: DRIVES,
        modes: &[M::Stuck],
        what: &[Longer::Standstill, Longer::Never],
        reason: "a drive that obeys neither its setpoint nor its enable is stopped by its supply contactor alone, which is not the \
                 controller's; row 3 takes away all power it has",
    },
    Excuse {
        components: DRIVES,
        modes: &[M::Garbage, M::Wrong, M::Slow],
        what: &[Longer::Standstill],
        reason: "the drive does not follow its ramp down; row 3 takes its power when the monitored stop time is over, and it coasts",
    },
    Excuse {
        components: &[C::Counterbalance, C::RodSwitch],
        modes: &[M::Off, M::Intermittent, M::Wrong],
        what: &[Longer::Load],
        reason: "with the counterbalance gone the plate's weight stays on the parts: resting load is out of reach",
    },
    Excuse {
        components: &[C::DumpValve],
        modes: &[M::Wrong],
        what: &[Longer::Load],
        reason: "a dump valve that opens to a fifth vents so much slower; the regulator, told to give nothing, does the rest at its own lag",
    },
    Excuse {
        components: &[C::RodValve],
        modes: &[M::Wrong],
        what: &[Longer::Load],
        reason: "the check valve that holds the counterbalance after the stop leaks: the plate's weight comes onto the parts",
    },
    Excuse {
        components: &[C::RodValve],
        modes: &[M::Stuck],
        what: &[Longer::Plate],
        reason: "a valve that stays at lift raises the plate to its stop; there is no second valve to end it",
    },
];

/// Whether a lateness is excused, and by what.
#[must_use]
pub(crate) fn excused(component: C, mode: M, what: Longer) -> Option<&'static Excuse> {
    EXCUSES.iter().find(|excuse| {
        excuse.components.contains(&component)
            && excuse.modes.contains(&mode)
            && excuse.what.contains(&what)
    })
}
