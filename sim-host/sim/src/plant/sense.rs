//! From true states to the controller's input card: scaling, rounding, ages, and the sensors' own faults.

use super::Plant;
use super::fault::{Port, Wrong};
use crate::math::{limit, max, min, nearest_within};
use crate::model::{Component, FaultMode, Machine, StationAct};
use firmware_core::process_image::{DRIVES, Slow};
use std::f64::consts::PI;

/// m³/s as mL/min.
const TO_ML_MIN: f64 = 6e7;
/// rad/s as 0.01 rpm.
const TO_CENTI_RPM: f64 = 3000.0 / PI;
/// The rod-pressure switch opens under this share of the declared counterbalance pressure. Invented.
pub const ROD_SWITCH: f64 = 0.85;

/// The operator's station, the guard and what else has only two states.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Station {
    pressed: bool,
    /// The guard is open.
    pub guard_open: bool,
    setup_key: bool,
    hold_to_run: bool,
    link: bool,
    local_enable: bool,
    /// Agitator proven turning.
    pub agitator: bool,
}

impl Station {
    pub fn new(machine: &Machine) -> Self {
        Self {
            pressed: false,
            guard_open: false,
            setup_key: false,
            hold_to_run: false,
            link: machine.control.remote,
            local_enable: false,
            agitator: false,
        }
    }

    pub fn act(&mut self, act: StationAct) {
        match act {
            StationAct::PressEstop => self.pressed = true,
            StationAct::ReleaseEstop => self.pressed = false,
            StationAct::OpenGuard => self.guard_open = true,
            StationAct::CloseGuard => self.guard_open = false,
            StationAct::SetupKey(on) => self.setup_key = on,
            StationAct::HoldToRun(on) => self.hold_to_run = on,
            StationAct::Link(on) => self.link = on,
            StationAct::LocalEnable(on) => self.local_enable = on,
            // The plant's own: see `load` and `tend`.
            StationAct::LoadCarriers | StationAct::UnloadCarriers | StationAct::Tend(_) => {}
        }
    }
}

/// Constants of the sensors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    relief: f64,
    counterbalance: f64,
    flow_max: f64,
    raised: f64,
    /// Fastest speed of each drive, rad/s.
    pub fastest: [f64; DRIVES],
    /// Drive trips of this tick.
    pub tripped: [bool; DRIVES],
    late_ticks: u32,
    card: Card,
}

impl Scale {
    pub fn new(machine: &Machine) -> Self {
        Self {
            relief: machine.actuator.relief_pressure,
            counterbalance: machine.actuator.counterbalance,
            flow_max: machine.slurry.flow_max,
            raised: machine.actuator.height_raised,
            fastest: [0, 1, 2, 3].map(|i| machine.drives[i].speed),
            tripped: [false; DRIVES],
            late_ticks: 0,
            card: Card::NEW,
        }
    }
}

/// Converters of the input card: whole numbers between two ends. The ends are held here and are no constants of the program: between
/// constants the compiler chooses one of three results instead of holding the number, with three times the instructions.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Card {
    unsigned: [f64; 2],
    signed: [f64; 2],
    wide: [f64; 2],
}

impl Card {
    const NEW: Self = Self {
        unsigned: [0.0, 65_535.0],
        signed: [-32_768.0, 32_767.0],
        wide: [-2_147_483_648.0, 2_147_483_647.0],
    };

    #[inline]
    fn unsigned(&self, x: f64) -> u16 {
        let [low, high] = self.unsigned;
        nearest_within(x, low, high) as u16
    }

    #[inline]
    fn signed(&self, x: f64) -> i16 {
        let [low, high] = self.signed;
        nearest_within(x, low, high) as i16
    }

    #[inline]
    fn wide(&self, x: f64) -> i32 {
        let [low, high] = self.wide;
        nearest_within(x, low, high)
    }
}

impl Plant {
    /// Inputs that change every tick; `reading` is the amplifier's output, N.
    #[inline(always)]
    pub(super) fn sense_fast(&mut self, reading: f64) {
        let mut reading = reading;
        let (mut cap, mut height) = (self.cap.pressure, self.axis.z);
        if self.faults.any() {
            (reading, cap, height) = self.broken_sensors(reading, cap, height);
        } else {
            self.inputs.cell_ok = true;
            self.inputs.tick_overrun = false;
            self.inputs.dump_open = self.dump > 0.5;
        }
        let (inputs, card) = (&mut self.inputs, &self.scale.card);
        inputs.cell_counts = self.lasting.cell.counts(reading);
        inputs.cap_pressure = card.unsigned(cap * 0.1);
        inputs.rod_pressure = card.unsigned(self.axis.rod_pressure * 0.1);
        inputs.plate_height = card.wide(height * 1e6);
        // A gauge without a reading is not renewed; the others are, every hundred ticks.
        inputs.gauge.age = inputs.gauge.age.saturating_add(1);
        inputs.tank_level.age = inputs.tank_level.age.wrapping_add(1);
        for plate in &mut inputs.plate_temperature {
            plate.age = plate.age.wrapping_add(1);
        }
    }

    /// What the drives report, every cycle of theirs.
    pub(super) fn sense_drives(&mut self) {
        for i in 0..DRIVES {
            let drive = &mut self.inputs.drives[i];
            drive.speed = self.scale.card.signed(self.drives.speed[i] * TO_CENTI_RPM);
            drive.torque = self.scale.card.signed(self.drives.torque[i] * 10.0);
            drive.fault = self.scale.tripped[i];
        }
    }

    #[cold]
    fn broken_sensors(&mut self, reading: f64, cap: f64, height: f64) -> (f64, f64, f64) {
        let step = self.timing.tick;
        let full = self.lasting.cell.full_scale();
        // An open bridge drives the amplifier past its end.
        let open = 2.0 * full;
        let reading = self.faults.pass(
            Component::LoadCell,
            reading,
            &Port {
                off: open,
                range: (-full, full),
                wrong: Wrong::DriftFactor,
                step,
            },
        );
        self.inputs.cell_ok = reading != open;
        let cap = self.faults.pass(
            Component::CapTransmitter,
            cap,
            &Port {
                off: 0.0,
                range: (0.0, self.scale.relief),
                wrong: Wrong::Factor,
                step,
            },
        );
        let height = self.faults.pass(
            Component::HeightTransmitter,
            height,
            &Port {
                off: 0.0,
                range: (0.0, self.scale.raised),
                wrong: Wrong::Offset(1.0),
                step,
            },
        );
        self.inputs.dump_open =
            self.faults
                .pass_bit(Component::DumpFeedback, self.dump > 0.5, step);
        self.inputs.tick_overrun = self.late_tick();
        (reading, max(cap, 0.0), height)
    }

    fn late_tick(&mut self) -> bool {
        match self.faults.get(Component::Tick) {
            Some((FaultMode::Off, _)) => true,
            Some((FaultMode::Intermittent, every)) => {
                self.scale.late_ticks += 1;
                let late = f64::from(self.scale.late_ticks) * self.timing.tick >= every;
                if late {
                    self.scale.late_ticks = 0;
                }
                late
            }
            _ => false,
        }
    }

    /// Switches and flows, every slow step and whenever a hand or a fault changes something; `step` is the time since the last
    /// slow step, s.
    pub(super) fn sense_switches(&mut self, step: f64) {
        if !self.faults.any() {
            // What a fault had touched and the tick does not renew.
            self.scale.tripped = [false; DRIVES];
            for drive in &mut self.inputs.drives {
                drive.fault = false;
            }
        }
        let station = self.station;
        let closed = !station.guard_open;
        let present =
            min(self.axis.rod_pressure, self.balance) > ROD_SWITCH * self.scale.counterbalance;
        self.inputs.supply_pressure = self.scale.card.unsigned(self.supply * 0.01);
        self.inputs.counterbalance_ok = self.faults.pass_bit(Component::RodSwitch, present, step);
        self.inputs.arm_home = self.faults.pass_bit(Component::Arm, true, step);
        self.inputs.estop_a = self
            .faults
            .pass_bit(Component::EstopA, !station.pressed, step);
        self.inputs.estop_b = self
            .faults
            .pass_bit(Component::EstopB, !station.pressed, step);
        self.inputs.guard_a = self.faults.pass_bit(Component::GuardA, closed, step);
        self.inputs.guard_b = self.faults.pass_bit(Component::GuardB, closed, step);
        self.inputs.guard_locked = self.sense_lock(closed && !self.orders.guard_unlock, step);
        let (pin_in, pin_out) = (self.pin.position >= 1.0, self.pin.position <= 0.0);
        let swapped = self
            .faults
            .in_mode(Component::Pin, FaultMode::Wrong)
            .is_some();
        (self.inputs.pin_in, self.inputs.pin_out) = if swapped {
            (pin_out, pin_in)
        } else {
            (pin_in, pin_out)
        };
        let flow = self.faults.pass(
            Component::FlowSensor,
            self.slurry.flow,
            &Port {
                off: 0.0,
                range: (0.0, self.scale.flow_max),
                wrong: Wrong::Factor,
                step,
            },
        );
        self.inputs.slurry_flow = self.scale.card.unsigned(flow * TO_ML_MIN);
        self.inputs.rinse_flow = self.scale.card.unsigned(self.slurry.rinse * TO_ML_MIN);
        self.inputs.agitator_turning = station.agitator;
        self.inputs.setup_key = station.setup_key;
        self.inputs.hold_to_run = station.hold_to_run;
        self.inputs.link_alive = station.link;
        self.inputs.local_enable = station.local_enable;
    }

    /// The bolt holds the guard shut: no hand opens it. What its switch reads may differ.
    #[must_use]
    pub fn guard_bolted(&self) -> bool {
        let driven = !self.station.guard_open && !self.orders.guard_unlock;
        match self.faults.get(Component::GuardLock) {
            Some((FaultMode::Off, _)) => false,
            // The switch reads what the bolt does: it stays, or comes late.
            Some((FaultMode::Stuck | FaultMode::Delayed, _)) => self.inputs.guard_locked,
            None | Some(_) => driven,
        }
    }

    fn sense_lock(&mut self, driven: bool, step: f64) -> bool {
        match self.faults.get(Component::GuardLock) {
            None => driven,
            Some((FaultMode::Off, _)) => false,
            Some((FaultMode::Wrong, _)) => !driven,
            Some(_) => self.faults.pass_bit(Component::GuardLock, driven, step),
        }
    }

    /// Slow inputs, every hundred ticks.
    pub(super) fn sense_slow(&mut self) {
        let step = self.timing.window;
        let level = self.faults.pass(
            Component::TankLevel,
            self.lasting.tank.level,
            &Port {
                off: 0.0,
                range: (0.0, 1.0),
                wrong: Wrong::Factor,
                step,
            },
        );
        self.inputs.tank_level = Slow {
            value: self.scale.card.unsigned(level * 1000.0),
            age: 0,
        };
        for (i, component) in [Component::TempLower, Component::TempUpper]
            .into_iter()
            .enumerate()
        {
            let port = Port {
                off: 0.0,
                range: (-20.0, 120.0),
                wrong: Wrong::Offset(1.0),
                step,
            };
            let celsius = self
                .faults
                .pass(component, self.lasting.heat.plates[i], &port);
            self.inputs.plate_temperature[i] = Slow {
                value: self.scale.card.signed(celsius * 100.0),
                age: 0,
            };
        }
        /// Reading of a gauge that has none, m.
        const NO_READING: f64 = -1.0;
        let size = self.gauge.step(
            self.parts.mean,
            self.lasting.heat.warmer(),
            self.lasting.gauge_age,
        );
        let size = self.faults.pass(
            Component::Gauge,
            size,
            &Port {
                off: NO_READING,
                range: (0.5 * self.nominal.thickness, 1.5 * self.nominal.thickness),
                wrong: Wrong::Offset(1.0),
                step,
            },
        );
        // A gauge over an empty machine has nothing to touch.
        self.inputs.gauge_ok = size != NO_READING && self.loaded;
        if self.inputs.gauge_ok {
            self.inputs.gauge = Slow {
                value: self.scale.card.wide(limit(size, 0.0, 2.0) * 1e9),
                age: 0,
            };
        }
    }
}
