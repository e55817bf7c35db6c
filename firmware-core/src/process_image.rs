//! The wall between controller and machine: [`Inputs`] in, [`Outputs`] out, once a tick.
//!
//! Everything is an integer or a bit as an input card would deliver it; scaling to physical units happens once, in
//! [`crate::signal`]. `Outputs::default()` is the de-energised, safe state of every output, and every field of it is zero.

use crate::words::words;
use serde::{Deserialize, Serialize};

/// Number of drives.
pub const DRIVES: usize = 4;

/// Number of lapped faces, and of plates: lower, then upper, in every two-element array of them.
pub const FACES: usize = 2;

/// Which drive; the order of every four-element array in the project.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[repr(u8)]
pub enum Drive {
    /// Inner pin ring.
    Inner = 0,
    /// Outer pin ring.
    Outer = 1,
    /// Lower plate.
    Lower = 2,
    /// Upper plate.
    Upper = 3,
}

words!(Drive, ALL_DRIVES {
    Inner => "inner", "inner ring";
    Outer => "outer", "outer ring";
    Lower => "lower", "lower plate";
    Upper => "upper", "upper plate";
});

const _: () = assert!(
    ALL_DRIVES.len() == DRIVES,
    "an array has a place for each drive"
);

/// A slow input: the last value and how old it is. An age of `u16::MAX` means never received.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Slow<T> {
    /// Last value received.
    pub value: T,
    /// Ticks since it was received, saturating.
    pub age: u16,
}

/// What one drive reports, every tick.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct DriveInput {
    /// Measured speed, 0.01 rpm, counter-clockwise positive seen from above.
    pub speed: i16,
    /// Measured motor torque, 0.1 N·m, same sign convention.
    pub torque: i16,
    /// The drive reports a fault.
    pub fault: bool,
}

/// One tick's inputs. Names of safety bits say the healthy meaning: `true` is the energised, closed, healthy circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Inputs {
    /// The previous tick ran late (from the board's timer).
    pub tick_overrun: bool,
    /// Load cell, signed 24-bit counts; tension in the rod (plate hanging) negative.
    pub cell_counts: i32,
    /// The cell amplifier's status bit: bridge and excitation healthy.
    pub cell_ok: bool,
    /// Cap-side (pressing) pressure, 0.1 mbar gauge.
    pub cap_pressure: u16,
    /// Rod-side (lifting) pressure, 0.1 mbar gauge.
    pub rod_pressure: u16,
    /// Air supply pressure, mbar gauge.
    pub supply_pressure: u16,
    /// Rod-pressure switch: counterbalance pressure present.
    pub counterbalance_ok: bool,
    /// Feedback of the dump valve: it is open (venting).
    pub dump_open: bool,
    /// Height of the upper plate over the lower, µm.
    pub plate_height: i32,
    /// Parking pin proven in.
    pub pin_in: bool,
    /// Parking pin proven out.
    pub pin_out: bool,
    /// Swing arm proven in its working position.
    pub arm_home: bool,
    /// Guard closed, channel A.
    pub guard_a: bool,
    /// Guard closed, channel B.
    pub guard_b: bool,
    /// Guard lock proven locked.
    pub guard_locked: bool,
    /// Emergency stop circuit closed (not pressed), channel A.
    pub estop_a: bool,
    /// Emergency stop circuit closed (not pressed), channel B.
    pub estop_b: bool,
    /// Drives in [`Drive`] order.
    pub drives: [DriveInput; DRIVES],
    /// Slurry flow at the plate, mL/min, every tick.
    pub slurry_flow: u16,
    /// Rinse water flow, mL/min, every tick.
    pub rinse_flow: u16,
    /// Agitator proven turning.
    pub agitator_turning: bool,
    /// Slurry tank level, per mille of full, every 100 ticks.
    pub tank_level: Slow<u16>,
    /// Plate temperatures (lower, upper), 0.01 °C, every 100 ticks.
    pub plate_temperature: [Slow<i16>; FACES],
    /// Size gauge: mean part thickness, nm, every 100 ticks.
    pub gauge: Slow<i32>,
    /// Size gauge reports a valid reading.
    pub gauge_ok: bool,
    /// Setup key turned.
    pub setup_key: bool,
    /// Hold-to-run control held.
    pub hold_to_run: bool,
    /// Remote link alive.
    pub link_alive: bool,
    /// Local enable for remote start.
    pub local_enable: bool,
}

impl Default for Inputs {
    /// A machine with nothing connected: no healthy bit, no pressure, slow inputs never received.
    fn default() -> Self {
        const NEVER: u16 = u16::MAX;
        Self {
            tick_overrun: false,
            cell_counts: 0,
            cell_ok: false,
            cap_pressure: 0,
            rod_pressure: 0,
            supply_pressure: 0,
            counterbalance_ok: false,
            dump_open: true,
            plate_height: 0,
            pin_in: false,
            pin_out: false,
            arm_home: false,
            guard_a: false,
            guard_b: false,
            guard_locked: false,
            estop_a: false,
            estop_b: false,
            drives: [DriveInput {
                speed: 0,
                torque: 0,
                fault: false,
            }; DRIVES],
            slurry_flow: 0,
            rinse_flow: 0,
            agitator_turning: false,
            tank_level: Slow {
                value: 0,
                age: NEVER,
            },
            plate_temperature: [Slow {
                value: 0,
                age: NEVER,
            }; FACES],
            gauge: Slow {
                value: 0,
                age: NEVER,
            },
            gauge_ok: false,
            setup_key: false,
            hold_to_run: false,
            link_alive: false,
            local_enable: false,
        }
    }
}

/// What the rod-side valves do. The rod side carries the plate.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[repr(u8)]
pub enum RodValve {
    /// De-energised: the pilot-operated check valve traps the rod side. In the air the plate is held.
    #[default]
    Trapped = 0,
    /// Check valve piloted open to the counterbalance regulator, unmetered: the state in contact.
    Float = 1,
    /// As `Float`, exhaust metered to the creep speed (descending).
    LowerCreep = 2,
    /// As `Float`, exhaust metered to the fast speed (descending).
    LowerFast = 3,
    /// Lift pressure, metered to the creep speed (rising).
    LiftCreep = 4,
    /// Lift pressure, metered to the lift speed (rising).
    Lift = 5,
}

words!(RodValve, ALL_ROD_VALVES {
    Trapped => "trapped", "rod side trapped";
    Float => "float", "floating";
    LowerCreep => "lower-creep", "lowering at creep speed";
    LowerFast => "lower-fast", "lowering fast";
    LiftCreep => "lift-creep", "lifting at creep speed";
    Lift => "lift", "lifting";
});

/// What one drive is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct DriveOutput {
    /// Power on. Off: the drive coasts.
    pub enable: bool,
    /// Speed setpoint, 0.01 rpm, counter-clockwise positive seen from above.
    pub setpoint: i16,
}

/// One tick's outputs. The default is the de-energised, safe value of each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Outputs {
    /// Cap-side regulator command, 0..=65535 for zero to relief pressure.
    pub cap_command: u16,
    /// Energises the dump valve shut. False: the cap side vents.
    pub dump_shut: bool,
    /// Rod-side valves.
    pub rod: RodValve,
    /// Withdraws the parking pin. False: a spring pushes it in.
    pub pin_withdraw: bool,
    /// Drives in [`Drive`] order.
    pub drives: [DriveOutput; DRIVES],
    /// Slurry pump speed, per mille of its maximum; 0 is off.
    pub pump: u16,
    /// Rinse water valve.
    pub rinse: bool,
    /// Agitator motor.
    pub agitator: bool,
    /// Power-to-unlock guard lock.
    pub guard_unlock: bool,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// No wire, no good news: what is not connected reads as open, pressed, faulty, old. A bit that is added must be named here.
    #[test]
    fn with_nothing_connected_no_bit_is_healthy() {
        let Inputs {
            tick_overrun,
            cell_ok,
            counterbalance_ok,
            dump_open,
            pin_in,
            pin_out,
            arm_home,
            guard_a,
            guard_b,
            guard_locked,
            estop_a,
            estop_b,
            drives,
            agitator_turning,
            tank_level,
            plate_temperature,
            gauge,
            gauge_ok,
            setup_key,
            hold_to_run,
            link_alive,
            local_enable,
            cell_counts: _,
            cap_pressure: _,
            rod_pressure: _,
            supply_pressure: _,
            plate_height: _,
            slurry_flow: _,
            rinse_flow: _,
        } = Inputs::default();
        let circuits = [
            cell_ok,
            counterbalance_ok,
            pin_in,
            pin_out,
            arm_home,
            guard_a,
            guard_b,
            guard_locked,
            estop_a,
            estop_b,
            agitator_turning,
            gauge_ok,
        ];
        assert_eq!(circuits, [false; 12], "a circuit is closed");
        let hands = [setup_key, hold_to_run, link_alive, local_enable];
        assert_eq!(hands, [false; 4], "somebody asks for something");
        // The board's own timer runs, and a valve without power is open.
        assert_eq!((tick_overrun, dump_open), (false, true));
        assert_eq!(drives, [DriveInput::default(); DRIVES]);
        let [lower, upper] = plate_temperature.map(|slow| slow.age);
        let ages = [tank_level.age, lower, upper, gauge.age];
        assert_eq!(ages, [u16::MAX; 4], "never received");
    }
}
