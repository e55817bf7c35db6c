//! Faults that no interlock notices, or not on every machine: what would notice them, and what they cost.

use twinplate_sim::model::{Component as C, FaultMode as M};

/// Faults that may pass without any row asking.
#[derive(Clone, Copy, Debug)]
pub struct Unnoticed {
    /// Components.
    pub components: &'static [C],
    /// Modes.
    pub modes: &'static [M],
    /// What would notice them.
    pub notice: &'static str,
    /// What they cost while they are not noticed.
    pub cost: &'static str,
}

const fn entry(
    components: &'static [C],
    modes: &'static [M],
    notice: &'static str,
    cost: &'static str,
) -> Unnoticed {
    Unnoticed {
        components,
        modes,
        notice,
        cost,
    }
}

/// The list; a pair that no row answers anywhere on the ladder must be in it (asserted).
#[rustfmt::skip]
pub const UNNOTICED: &[Unnoticed] = &[
    entry(&[C::Regulator], &[M::Wrong, M::Slow], "the loop's command against its feedforward, trended over batches", "none in load: the loop corrects, the governor and the step limit bound it"),
    entry(&[C::DumpFeedback], &[M::Intermittent], "a count of feedback changes without a command", "none; a worn contact announces itself"),
    entry(&[C::RodValve], &[M::Delayed], "a test of the valve's time at each lowering; the impact is shorter than a tick and the cell does not show it", "parts cracked at touch-down where the delay outlasts the approach"),
    entry(&[C::RodSwitch], &[M::Stuck, M::Delayed], "the rod-side transmitter against the switch; a test at each vent", "a lost counterbalance would not be seen by the switch"),
    entry(&[C::CapTransmitter], &[M::Garbage, M::Intermittent, M::Delayed, M::Stuck, M::Slow, M::Wrong], "a limit on the transmitter's rate of change", "the check of the cell against the line is weaker: none while the cell is right"),
    entry(&[C::LoadCell], &[M::Slow, M::Delayed], "a wider phase margin test, or the cell against the line while the load moves", "a livelier loop; the governor bounds its load"),
    entry(&[C::Pin], &[M::Delayed], "the pin's travel time, measured at each lowering", "a second of waiting"),
    entry(&[C::EstopA, C::EstopB], &[M::Stuck, M::Delayed], "pressing the button: the channels disagree (row 2). The periodic test is the machine builder's to prescribe", "one of two channels is left"),
    entry(&[C::GuardA, C::GuardB], &[M::Stuck, M::Delayed], "opening the guard: the channels disagree (row 6)", "one of two channels is left"),
    entry(&[C::GuardLock], &[M::Stuck, M::Delayed], "unlocking after the batch", "the guard stays shut, or opens late"),
    entry(&[C::DriveOuter, C::DriveInner, C::DriveLower, C::DriveUpper], &[M::Delayed], "the ramp's following error below the tolerance, trended", "none where the ramp is slow against the delay"),
    entry(&[C::Pump], &[M::Wrong, M::Slow, M::Delayed], "measured flow against the pump's command", "half the slurry: slower removal, hotter plates, more wear of the grains"),
    entry(&[C::SlurryLine], &[M::Slow, M::Intermittent], "the time from pump start to flow, trended", "none while the average flow stays over the minimum"),
    entry(&[C::FlowSensor], &[M::Wrong, M::Slow, M::Delayed, M::Intermittent, M::Stuck], "the pump's command against the sensor; a stuck sensor shows when the line should be empty", "a flow up to a third under the minimum would count as flow"),
    entry(&[C::Agitator], &[M::Wrong, M::Delayed, M::Intermittent], "a current or density measurement: a broken coupling turns the motor, not the paddle", "the abrasive settles: removal falls, and comes back unevenly"),
    entry(&[C::TankLevel], &[M::Stuck, M::Garbage, M::Wrong, M::Slow, M::Delayed, M::Intermittent], "level against what the pump has used", "an empty tank would be told by row 18 instead, one stop later"),
    entry(&[C::RinseWater], &[M::Wrong, M::Intermittent, M::Stuck, M::Delayed, M::Off], "a flow switch in the rinse line with its own minimum", "a poorer rinse, where the flow stays over the minimum"),
    entry(&[C::Cooling], &[M::Off, M::Wrong, M::Intermittent], "rows 30 and 31 within minutes, which a shortened cycle does not last", "plates warm: flatness and gauge drift until the alarm"),
    entry(&[C::TempLower, C::TempUpper], &[M::Off, M::Stuck, M::Garbage, M::Wrong, M::Slow, M::Delayed, M::Intermittent], "one plate's temperature against the other's", "the hotter plate is unknown: none while the cooling works"),
    entry(&[C::Gauge], &[M::Wrong, M::Slow, M::Delayed, M::Intermittent], "parts measured by hand; a gauge that reads 3 µm off looks like any other", "its error in size where a step ends by size: 3 µm at the default magnitude"),
    entry(&[C::Gauge], &[M::Off, M::Stuck, M::Garbage], "nothing needs to where no step ends by gauge", "none there"),
    entry(&[C::Parts], &[M::Off], "the operator's count; one empty pocket moves the load by less than the band", "the others carry its share: they lap faster"),
    entry(&[C::Parts], &[M::Wrong], "row 40 where the doubled part stands out by more than the contact tolerance and the cell's threshold", "an overloaded part"),
    entry(&[C::Parts], &[M::Stuck], "a scale finer than 0.4 % of the plate; eyes. Heavier parts trip row 36 at the lift, and row 51 before the next descent", "parts may fall from the raised plate"),
    entry(&[C::Dog], &[M::Stuck, M::Wrong], "the cell cannot: the dog's friction passes it by. Torque and removal, trended", "up to the dog's friction of unmeasured load"),
];

/// The entry of a pair.
#[must_use]
pub fn unnoticed(component: C, mode: M) -> Option<&'static Unnoticed> {
    UNNOTICED
        .iter()
        .find(|entry| entry.components.contains(&component) && entry.modes.contains(&mode))
}
