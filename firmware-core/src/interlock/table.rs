//! The one interlock table. Everything that can stop, hold or inhibit the cycle is a row here; the manual page, the panel's
//! list and the fault matrix are generated from it.
//!
//! A row is judged alone: watched (by state and phase) and raw condition for its debounce time → active → its response.
//! One row has one response; an escalation is its own row. Row ids are never reused.

use super::row::{Debounce, Effect, ResetRule, Respond, Row, Watch};
use crate::response::Response;
use crate::signal::CELL_LOST;

/// Row index by condition; the order of [`TABLE`] and of every 64-bit row set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum Cond {
    /// Emergency stop pressed (either channel).
    Estop = 0,
    /// Emergency stop channels disagree.
    EstopDisagree = 1,
    /// Category 1 stop not at standstill in time.
    StopOverrun = 2,
    /// Guard open or not locked while something may move.
    GuardMoving = 3,
    /// Guard open while waiting.
    GuardWaiting = 4,
    /// Guard channels disagree.
    GuardDisagree = 5,
    /// Cell invalid.
    CellInvalid = 6,
    /// Cell without variance.
    CellStuck = 7,
    /// Cell against cap-pressure line.
    CellLine = 8,
    /// Load above the step limit.
    LoadLimit = 9,
    /// Load above rated.
    LoadRated = 10,
    /// First-contact limit passed.
    FirstContact = 11,
    /// Load out of band.
    LoadBand = 12,
    /// Contact lost.
    ContactLost = 13,
    /// Counterbalance lost.
    Counterbalance = 14,
    /// Dump valve feedback wrong, while in a cycle.
    DumpFeedback = 15,
    /// Dump valve feedback wrong, no cycle.
    DumpInhibit = 16,
    /// Flow below minimum.
    Flow = 17,
    /// Agitator stopped.
    AgitatorStopped = 18,
    /// Agitator stopped past the settling limit.
    AgitatorSettled = 19,
    /// Tank low.
    TankLow = 20,
    /// Tank empty.
    TankEmpty = 21,
    /// Drive fault.
    DriveFault = 22,
    /// Drive speed out of ratio.
    DriveRatio = 23,
    /// Rotation direction wrong.
    Direction = 24,
    /// Torque above limit.
    Torque = 25,
    /// Torque above the run-up limit.
    TorqueRunUp = 26,
    /// Supply pressure low in a cycle.
    SupplyLow = 27,
    /// Supply pressure low while no cycle.
    SupplyInhibit = 28,
    /// Plate temperature high.
    TemperatureHigh = 29,
    /// Plate temperature very high.
    TemperatureVeryHigh = 30,
    /// Gauge invalid while it ends the step.
    GaugeInvalid = 31,
    /// Size below the lower tolerance.
    SizeLow = 32,
    /// Parking pin or arm not proven while parked.
    PinParked = 33,
    /// Arm not proven while lifting.
    PinLift = 34,
    /// Parts stuck to the raised plate.
    PartsStuck = 35,
    /// Tick overruns.
    TickOverrun = 36,
    /// Recipe wrong at start.
    RecipeWrong = 37,
    /// Link lost while remote start is armed.
    LinkLost = 38,
    /// Contact higher than taught.
    ContactHigh = 39,
    /// Contact lower than taught.
    ContactLow = 40,
    /// A phase took too long.
    PhaseTimeout = 41,
    /// A hold took too long.
    HoldTimeout = 42,
    /// A step ended by its longest time.
    StepOvertime = 43,
    /// A broken invariant inside the controller.
    Internal = 44,
    /// Temperatures not received.
    TemperatureStale = 45,
    /// Height does not follow the descent.
    NotFollowing = 46,
    /// Category 0 stop not at standstill in time.
    CoastOverrun = 47,
    /// Form of a plate beyond the recipe's limit.
    FormLimit = 48,
    /// Form of the plates not reported, or too long ago.
    FormOverdue = 49,
    /// The hanging plate is not as heavy as the machine's, or as last time.
    TareChanged = 50,
    /// Counterbalance lost while stopped.
    CounterbalanceStopped = 51,
}

/// Number of rows.
pub const ROWS: usize = 52;

impl Cond {
    /// The row's bit in a row set.
    #[must_use]
    pub const fn bit(self) -> u64 {
        // A row index is below 64 (asserted at the table), so the shift keeps the bit.
        1_u64.wrapping_shl(self as u32)
    }
}

#[allow(clippy::too_many_arguments)] // one row of the table reads as one line, in the table's column order
const fn row(
    id: u16,
    name: &'static str,
    inputs: &'static str,
    watch: Watch,
    debounce: Debounce,
    respond: Respond,
    reset: ResetRule,
    text: [&'static str; 2],
) -> Row {
    let [happened, cure] = text;
    Row {
        id,
        name,
        inputs,
        watch,
        debounce,
        respond,
        effect: Effect::None,
        reset,
        happened,
        cure,
    }
}

const fn with(effect: Effect, row: Row) -> Row {
    Row { effect, ..row }
}

use Debounce::Ticks as For;
use ResetRule::{CycleBoth, Follows, Reset};
use Respond::With;
use Response::{Alarm, ControlledStop, Hold, ImmediateStop, StartInhibit, StopAtStepEnd};

/// The row of this id, if there is one.
#[must_use]
pub fn row_of(id: u16) -> Option<&'static Row> {
    TABLE.iter().find(|row| row.id == id)
}

/// Ticks for which a row with a fixed time must last; zero for one whose time is the machine's.
#[must_use]
pub const fn fixed_debounce(cond: Cond) -> u32 {
    // A condition has its row: as many of the one as of the other, asserted below.
    #[allow(clippy::indexing_slicing)]
    match TABLE[cond as usize].debounce {
        Debounce::Ticks(ticks) => ticks,
        Debounce::StopTime | Debounce::CoastTime | Debounce::SettleLimit => 0,
    }
}

/// The table, in [`Cond`] order.
#[rustfmt::skip]
pub const TABLE: [Row; ROWS] = [
    row(1, "emergency-stop", "emergency stop circuit open, channel A or B", Watch::Always, For(1), Respond::EstopCategory, Reset,
        ["Emergency stop pressed.", "Find out why. Release the button when nobody is in danger, then Reset and Raise."]),
    row(2, "emergency-stop-channels", "emergency stop channels differ", Watch::Always, For(500), With(ImmediateStop), CycleBoth,
        ["The two emergency stop channels disagree.", "Press and release the button. If the alarm returns, have the circuit repaired."]),
    row(3, "stop-time-overrun", "standstill not proven since the stop began", Watch::Stopping, Debounce::StopTime, With(ImmediateStop), Reset,
        ["The controlled stop took longer than its monitored time.", "Power is off and the plates coast. Check the drives before starting again."]),
    row(4, "guard-open", "guard open or not proven locked", Watch::Moving, For(20), With(ControlledStop), Reset,
        ["The guard opened or unlocked while the machine was in motion.", "See that nobody is near and close the guard. Check its lock. Then Reset and Raise."]),
    row(5, "guard-open-waiting", "guard open", Watch::Waiting, For(20), With(StartInhibit), Follows,
        ["The guard is open.", "Close the guard before restarting."]),
    row(6, "guard-channels", "guard channels differ", Watch::Always, For(2000), With(StartInhibit), CycleBoth,
        ["The two guard channels disagree.", "Open and close the guard. If the alarm returns, have the switch repaired."]),
    row(7, "cell-invalid", "cell out of range, bridge open, or amplifier status bad", Watch::Always, For(CELL_LOST), With(ControlledStop), Reset,
        ["The load cell signal is not valid.", "Check the cell's cable and amplifier."]),
    row(8, "cell-stuck", "cell counts have not changed at all", Watch::Contact, For(1000), With(ControlledStop), Reset,
        ["The load cell reading is frozen.", "Check the cell's amplifier and its link."]),
    row(9, "cell-line", "cell and cylinder pressures disagree", Watch::Contact, For(300), With(ControlledStop), Reset,
        ["The load cell and the cylinder pressures disagree.", "One of them is wrong. Check the tare, the cell and the pressure transmitters."]),
    row(10, "load-above-step-limit", "unfiltered load of a valid cell above the step's limit", Watch::Contact, For(20), With(ControlledStop), Reset,
        ["The load rose above the step's limit.", "Check the parts. Check the regulator before starting again."]),
    row(11, "load-above-rated", "unfiltered load of a valid cell above the machine's rated load", Watch::Always, For(8), With(ImmediateStop), Reset,
        ["The load rose above the machine's rated load.", "Check the parts, the plates and the regulator before starting again."]),
    row(12, "first-contact-limit", "unfiltered load of a valid cell above the first-contact limit", Watch::FirstContact, For(8), With(ControlledStop), Reset,
        ["The plate touched the parts too hard.", "Check the parts for cracks. Check the creep speed."]),
    row(13, "load-out-of-band", "filtered load outside the band around the setpoint", Watch::Dwell, For(2000), With(Hold), Follows,
        ["The load did not stay in its band.", "Check the air supply and the regulator, then Restart."]),
    row(14, "contact-lost", "load below the contact threshold", Watch::Contact, For(100), With(ControlledStop), Reset,
        ["The plate no longer rests on the parts.", "Check the parts and the carriers for damage."]),
    // Stopped on the parts the rod side is trapped: nothing but a raise, which fills it from the supply, brings its pressure back.
    row(15, "counterbalance-lost", "rod-pressure switch open", Watch::UnlessStopped, For(20), With(ControlledStop), Reset,
        ["The counterbalance pressure is gone: the plate's whole weight may be on the parts.", "Keep clear of the plate. Check the parts and the counterbalance."]),
    row(16, "dump-feedback", "dump valve feedback differs from its command", Watch::Cycle, For(100), With(ControlledStop), Reset,
        ["The dump valve did not follow its command.", "Check the valve and its feedback switch."]),
    row(17, "dump-feedback-inhibit", "dump valve feedback differs from its command", Watch::Resting, For(100), With(StartInhibit), Follows,
        ["The dump valve is not in its commanded position.", "Check the valve and its feedback switch."]),
    row(18, "flow-low", "slurry or rinse flow, averaged over a pump turn, below the minimum", Watch::Turning, For(1000), With(ControlledStop), Reset,
        ["Too little slurry or rinse water flowed while the plates turned.", "Check tank, pump and line. Check the plates for scoring."]),
    row(19, "agitator-stopped", "agitator not proven turning", Watch::Cycle, For(5000), With(Alarm), Follows,
        ["The agitator has stopped: the abrasive is settling.", "Restart the agitator."]),
    row(20, "agitator-settled", "agitator not proven turning", Watch::Cycle, Debounce::SettleLimit, With(Hold), Follows,
        ["The agitator has been stopped so long that the abrasive has settled.", "Stir the tank, start the agitator, then Restart."]),
    row(21, "tank-low", "tank level below 15 %", Watch::Cycle, For(2000), With(Alarm), Follows,
        ["The slurry tank is low.", "Top up the tank."]),
    row(22, "tank-empty", "tank level below 5 %", Watch::Cycle, For(2000), With(StopAtStepEnd), Follows,
        ["The slurry tank is nearly empty.", "The step will finish, then the cycle stops. Top up the tank."]),
    row(23, "drive-fault", "any drive reports a fault", Watch::Always, For(1), With(ControlledStop), Reset,
        ["A drive reports a fault. The load is released and the other drives follow it down.", "Check the parts and the carriers. Reset the drive."]),
    row(24, "drive-out-of-ratio", "a drive's speed error above tolerance", Watch::Turning, For(200), With(ControlledStop), Reset,
        ["A drive does not keep its speed.", "Check the carriers for damage, then the drive."]),
    row(25, "direction-wrong", "a drive turns against its setpoint", Watch::Turning, For(100), With(ControlledStop), Reset,
        ["A drive turns the wrong way.", "Check the drive's wiring and parameters."]),
    row(26, "torque-high", "a drive's torque above its limit", Watch::TurningSteady, For(300), With(ControlledStop), Reset,
        ["A drive's torque is too high.", "Check the slurry, the parts and the carriers."]),
    row(27, "torque-high-run-up", "a drive's torque above its limit plus 10 % while running up", Watch::RunUp, For(1500), With(ControlledStop), Reset,
        ["A drive could not bring its plate or ring up to speed.", "Check for parts stuck to the plates."]),
    row(28, "supply-low", "supply pressure below minimum", Watch::MovingOrHeld, For(200), With(ControlledStop), Follows,
        ["The air supply is too low.", "Restore the air supply."]),
    row(29, "supply-low-inhibit", "supply pressure below minimum", Watch::Resting, For(200), With(StartInhibit), Follows,
        ["The air supply is too low to start.", "Restore the air supply."]),
    row(30, "temperature-high", "a plate's temperature above the alarm limit", Watch::Turning, For(2000), With(Alarm), Follows,
        ["A plate is getting hot.", "Check the cooling and the slurry flow."]),
    row(31, "temperature-very-high", "a plate's temperature above the hold limit", Watch::Turning, For(2000), With(Hold), Follows,
        ["A plate is too hot to go on.", "Let it cool. Check the cooling and the slurry, then Restart."]),
    with(Effect::EndByTime, row(32, "gauge-invalid", "size gauge invalid or not received", Watch::Dwell, For(1000), With(Alarm), Follows,
        ["The size gauge has failed; the step ends by its longest time.", "Measure the parts by hand after the cycle."])),
    row(33, "size-below-tolerance", "size by gauge below the lower tolerance", Watch::Dwell, For(200), With(ControlledStop), Reset,
        ["The parts are below their lower size limit.", "Measure the parts. Check the gauge and the recipe."]),
    row(34, "pin-not-proven", "a parked plate's pin not in, or its arm not home", Watch::Parked, For(500), With(StartInhibit), Follows,
        ["The parked plate is not held by its pin.", "Keep clear of the plate. Check the pin and the arm."]),
    row(35, "arm-lift", "arm not home while lifting", Watch::Lift, For(100), With(Hold), Reset,
        ["The arm is not in its place; the plate is held in the air.", "Keep clear of the plate. Check the arm."]),
    row(36, "parts-stuck", "hanging weight above the tare", Watch::Lift, For(200), With(Hold), Reset,
        ["Parts are sticking to the raised plate, which is held in the air.", "Keep hands out. Free the parts by the safe procedure for this machine."]),
    row(37, "tick-overrun", "three late ticks in one second", Watch::Always, For(1), With(ControlledStop), Reset,
        ["The controller ran late.", "Note what was going on and report it."]),
    row(38, "recipe-wrong", "recipe's machine, parameters or limits do not fit", Watch::Idle, For(1), With(StartInhibit), Follows,
        ["The loaded recipe does not fit this machine as it is set up.", "Check the recipe and load it again."]),
    with(Effect::DisarmRemote, row(39, "link-lost", "remote armed and link or local enable gone", Watch::Idle, For(1000), With(Alarm), Follows,
        ["The remote link was lost; remote start is disarmed.", "Arm it again when the link is back."])),
    row(40, "contact-high", "contact above the taught height", Watch::FirstContact, For(1), With(ControlledStop), Reset,
        ["The plate met something too high: a doubled or foreign part.", "Raise the plate and check every pocket."]),
    row(41, "contact-low", "plate below the taught height without contact", Watch::FirstContact, For(20), With(ControlledStop), Reset,
        ["The plate found no parts where they should be.", "Raise the plate. Load parts or check the recipe."]),
    row(42, "phase-timeout", "a phase did not finish in its time", Watch::Moving, For(1), With(ControlledStop), Reset,
        ["A phase of the cycle did not finish in its time.", "The event list names the phase and what it waited for."]),
    row(43, "hold-timeout", "held longer than the longest hold", Watch::Cycle, For(1), With(ControlledStop), Reset,
        ["The cycle was held too long.", "Check the parts before starting again."]),
    row(44, "step-overtime", "a step reached its longest time", Watch::Cycle, For(1), With(Alarm), Follows,
        ["A step ended at its longest time, before it reached its goal.", "Measure the parts. Check the removal and the gauge."]),
    row(45, "internal-fault", "an invariant of the controller was broken", Watch::Always, For(1), With(ImmediateStop), Reset,
        ["The controller found an internal fault.", "Note the number in the event list and report it."]),
    row(46, "temperature-stale", "plate temperatures not received for 1 s", Watch::Cycle, For(1000), With(Alarm), Follows,
        ["Plate temperatures are not being received.", "Check the temperature sensors."]),
    row(47, "plate-not-following", "height jumps, or stands while the plate is lowered fast", Watch::FirstContact, For(1), With(ControlledStop), Reset,
        ["The height reading does not follow the plate.", "Keep clear of the plate. Check the height transmitter, the rod valves and the pin."]),
    row(48, "coast-overrun", "standstill not proven since the power went off", Watch::Aborting, Debounce::CoastTime, With(ImmediateStop), Reset,
        ["Something still turns, although the power has been off for longer than any coast should take.", "Keep the guard closed and turn off the main switch. A drive may be stuck, or its speed reading may be false. Check the plates for dry running."]),
    row(49, "plate-form-limit", "form of a plate, reported or reckoned, beyond the recipe's limit", Watch::Resting, For(1), With(StartInhibit), Follows,
        ["A plate is further out of form than the recipe allows.", "Condition the plates, measure both and report their form."]),
    row(50, "plate-form-overdue", "form of the plates not known, or reported more batches ago than the recipe allows", Watch::Always, For(1), With(Alarm), Follows,
        ["The form of the plates is not known well enough: the rings turn as programmed.", "Measure both plates and report their form."]),
    row(51, "tare-changed", "hanging plate outside the machine's band, or heavier or lighter than last time by a stuck part", Watch::Cycle, For(1), With(ControlledStop), Reset,
        ["The raised plate does not hang as it did: parts may hang on it, or the load cell has drifted.", "Keep hands out. Free what hangs by the safe procedure for this machine. If nothing does, have the load cell checked; plate change and back takes the plate as new."]),
    // The rest of row 15's places: told, and nothing forbidden, for the raise is the cure.
    row(52, "counterbalance-lost-stopped", "rod-pressure switch open", Watch::Stopped, For(20), With(Alarm), Follows,
        ["The counterbalance pressure is gone: the plate may sink, or rest on the parts by its whole weight.", "Keep hands out from under the plate. Prop it by the safe procedure for this machine before reaching in. Have the air supply and the counterbalance checked, then raise the plate."]),
];

/// Ids that were given once and are never given again. None yet.
pub const RETIRED: &[u16] = &[];

const _: () = assert!(ROWS <= u64::BITS as usize, "a row set is a u64");
const _: () = assert!(
    Cond::CounterbalanceStopped as usize + 1 == ROWS,
    "a row for each condition"
);

#[cfg(test)]
#[path = "table_tests.rs"]
mod tests;
