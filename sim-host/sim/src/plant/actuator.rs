//! The air side of the load: cap-side regulator with its imperfections and dump valve, rod-side valves, parking pin.

use super::Timing;
use crate::math::{abs, exp, limit, max, min};
use crate::model::{Deviations, Machine};
use firmware_core::process_image::RodValve;

/// Longest dead time that the delay line holds, ticks.
const LONGEST_DEAD_TIME: usize = 1024;
/// Pressure drop at which a metering valve passes half its set flow, Pa. It is pressure-compensated: above some multiples of
/// this the speed hardly depends on the load. Invented.
const METERING_KNEE: f64 = 1e3;
/// Time in which a metering valve opens or changes over completely, s: it shifts softly, or the plate would bounce on its
/// air. Invented.
const METERING_SHIFT: f64 = 0.03;
/// Piston speed that the unmetered path allows at a pressure drop of [`FREE_KNEE`], times two, m/s. Invented.
const FREE_SPEED: f64 = 0.5;
/// See [`FREE_SPEED`], Pa.
const FREE_KNEE: f64 = 1e5;
/// Pressure above the counterbalance, as a share of it, from which a quick exhaust helps the lowering valve. Invented: it
/// lets the lift pressure out quickly and is shut long before the plate moves.
const QUICK_EXHAUST: f64 = 0.25;

/// Cap-side regulator and dump valve.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct CapSide {
    line: Vec<u16>,
    head: usize,
    /// Play: the input as the spool sees it, 0..1.
    spool: f64,
    half_play: f64,
    resolution: f64,
    /// Command the spool has jumped to, 0..1.
    held: f64,
    gain: f64,
    offset: f64,
    relief: f64,
    slew_per_step: f64,
    slewed: f64,
    lag_share: f64,
    dump_keep: f64,
    /// Pressure, Pa gauge.
    pub pressure: f64,
}

impl CapSide {
    pub fn new(machine: &Machine, dev: &Deviations, timing: Timing) -> Self {
        let a = &machine.actuator;
        let ticks = limit(
            a.dead_time * dev.dead_time / timing.tick + 0.5,
            0.0,
            LONGEST_DEAD_TIME as f64,
        ) as usize;
        Self {
            line: vec![0; ticks],
            head: 0,
            spool: 0.0,
            half_play: 0.5 * max(a.play, 0.0),
            resolution: max(a.resolution, 0.0),
            held: 0.0,
            gain: dev.regulator_gain,
            offset: dev.regulator_offset,
            relief: a.relief_pressure,
            slew_per_step: a.slew * a.relief_pressure * timing.fast,
            slewed: 0.0,
            lag_share: share(a.lag * dev.lag, timing.fast),
            dump_keep: 1.0 - share(a.dump_lag, timing.fast),
            pressure: 0.0,
        }
    }

    /// Dead time, ticks.
    #[cfg(test)]
    pub fn dead_ticks(&self) -> usize {
        self.line.len()
    }

    /// The command as it leaves the dead time.
    #[inline]
    pub fn delayed(&mut self, command: u16) -> f64 {
        let Some(slot) = self.line.get_mut(self.head) else {
            return f64::from(command) * (1.0 / 65_535.0);
        };
        let out = *slot;
        *slot = command;
        self.head += 1;
        if self.head == self.line.len() {
            self.head = 0;
        }
        f64::from(out) * (1.0 / 65_535.0)
    }

    /// One fast step: `u` is the command behind the dead time, 0..1; `dump` the share of the dump valve's opening, 0..1.
    #[inline]
    pub fn step(&mut self, u: f64, dump: f64, supply: f64) {
        self.spool = limit(self.spool, u - self.half_play, u + self.half_play);
        if abs(self.spool - self.held) >= self.resolution {
            self.held = self.spool;
        }
        let target = self.relief * max(self.gain * self.held + self.offset, 0.0);
        self.slewed = limit(
            target,
            self.slewed - self.slew_per_step,
            self.slewed + self.slew_per_step,
        );
        if dump > 0.0 {
            self.pressure *= if dump >= 1.0 {
                self.dump_keep
            } else {
                1.0 - dump * (1.0 - self.dump_keep)
            };
        } else {
            self.pressure += (self.slewed - self.pressure) * self.lag_share;
        }
        self.pressure = limit(self.pressure, 0.0, min(self.relief, supply));
    }
}

/// Share of the way that a first-order lag goes in one step of `h` seconds; 1 for a lag of zero.
pub(super) fn share(lag: f64, h: f64) -> f64 {
    if lag > 0.0 { 1.0 - exp(-h / lag) } else { 1.0 }
}

/// Flow into the rod side as a straight line in the pressure, both divided by the rod-side area: `speed + slope (p - p0)`.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct RodFlow {
    /// Piston speed that the flow would give at the present pressure, m/s, up positive.
    pub speed: f64,
    /// Its change with pressure, m/(s·Pa), never positive.
    pub slope: f64,
}

/// Rod-side valves.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct RodSide {
    creep: f64,
    fast: f64,
    lift: f64,
    lift_pressure: f64,
    /// Present metered speed, m/s, magnitude; changes over softly.
    metered: f64,
    shift_per_step: f64,
    /// Position that last metered, so that a change of direction starts from nothing.
    lifting: bool,
}

impl RodSide {
    pub fn new(machine: &Machine, timing: Timing) -> Self {
        let a = &machine.actuator;
        Self {
            creep: a.speed_creep,
            fast: a.speed_fast,
            lift: a.speed_lift,
            lift_pressure: a.lift_pressure,
            metered: 0.0,
            shift_per_step: max(a.speed_fast, a.speed_lift) * timing.fast / METERING_SHIFT,
            lifting: false,
        }
    }

    /// Flow at rod pressure `p` (Pa gauge) with the counterbalance regulator at `balance` and the supply at `supply`.
    #[inline(always)]
    pub fn flow(&mut self, valve: RodValve, p: f64, balance: f64, supply: f64) -> RodFlow {
        let balance = min(balance, supply);
        match valve {
            RodValve::Trapped => {
                self.metered = 0.0;
                RodFlow::default()
            }
            RodValve::Float => {
                self.metered = 0.0;
                through(FREE_SPEED, FREE_KNEE, balance - p)
            }
            RodValve::LowerCreep => self.lower(self.creep, p, balance),
            RodValve::LowerFast => self.lower(self.fast, p, balance),
            RodValve::LiftCreep => self.raise(self.creep, p, min(self.lift_pressure, supply)),
            RodValve::Lift => self.raise(self.lift, p, min(self.lift_pressure, supply)),
        }
    }

    fn shift(&mut self, lifting: bool, set: f64) -> f64 {
        if self.lifting != lifting {
            self.lifting = lifting;
            self.metered = 0.0;
        }
        self.metered = limit(
            set,
            self.metered - self.shift_per_step,
            self.metered + self.shift_per_step,
        );
        self.metered
    }

    fn lower(&mut self, set: f64, p: f64, balance: f64) -> RodFlow {
        let metered = self.shift(false, set);
        let over = p - balance;
        if over <= 0.0 {
            return through(FREE_SPEED, FREE_KNEE, -over);
        }
        let mut flow = through(metered, METERING_KNEE, -over);
        let quick = over - QUICK_EXHAUST * balance;
        if quick > 0.0 {
            let extra = through(FREE_SPEED, FREE_KNEE, -quick);
            flow.speed += extra.speed;
            flow.slope += extra.slope;
        }
        flow
    }

    fn raise(&mut self, set: f64, p: f64, target: f64) -> RodFlow {
        let metered = self.shift(true, set);
        // A check valve: a supply weaker than the trapped pressure takes nothing back.
        if target > p {
            through(metered, METERING_KNEE, target - p)
        } else {
            RodFlow::default()
        }
    }
}

impl RodFlow {
    /// The same with a check valve that leaks at rod pressure `p` (Pa gauge): `leak` is a downward speed, m/s.
    pub(crate) fn leaking(mut self, leak: f64, p: f64) -> Self {
        if p > 0.0 {
            self.speed -= leak * p / (p + METERING_KNEE);
        }
        self
    }
}

/// Flow through an opening that passes `speed` at large drops and half of it at `knee`.
#[inline]
fn through(speed: f64, knee: f64, drop: f64) -> RodFlow {
    let scale = 1.0 / (abs(drop) + knee);
    RodFlow {
        speed: speed * drop * scale,
        slope: -speed * knee * scale * scale,
    }
}

/// Parking pin: pushed in by a spring, withdrawn by its actuator, and only able to enter near the raised height.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pin {
    /// 0 out, 1 in.
    pub position: f64,
    raised: f64,
    holds: bool,
}

/// Height below the raised one within which the pin finds its bore, m (invented).
const PIN_CAPTURE: f64 = 2e-3;
/// How far below the raised height the plate hangs on a pin that is in, m (invented).
pub(super) const PIN_PLAY: f64 = 3e-3;
/// Stroke of the pin, s (invented).
const PIN_STROKE: f64 = 0.15;

impl Pin {
    pub fn new(raised: f64) -> Self {
        Self {
            position: 1.0,
            raised,
            holds: true,
        }
    }

    /// `h` seconds with the actuator energised or not and the plate at `z`, m.
    pub fn step(&mut self, withdraw: bool, z: f64, h: f64) {
        if withdraw {
            self.position = max(self.position - h / PIN_STROKE, 0.0);
        } else if z > self.raised - PIN_CAPTURE || self.position > 0.5 {
            self.position = min(self.position + h / PIN_STROKE, 1.0);
        } else {
            // The spring rests the pin against the plate: neither in nor proven out.
            self.position = limit(self.position, 0.25, 0.5);
        }
        self.holds = self.position > 0.5;
    }

    /// It would catch a falling plate.
    pub fn holds(&self) -> bool {
        self.holds
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    #[test]
    fn the_regulator_jumps_by_its_resolution_and_plays() {
        let machine = demo::machine("machine-a");
        let mut cap = CapSide::new(&machine, &Deviations::NOMINAL, Timing::TICK);
        for _ in 0..5000 {
            cap.step(0.5, 0.0, 7e5);
        }
        let before = cap.pressure;
        // Less than a resolution of 0.2 %: nothing moves.
        for _ in 0..5000 {
            cap.step(0.5 + 0.9 * 0.002, 0.0, 7e5);
        }
        assert!((cap.pressure - before).abs() < 1.0);
        for _ in 0..5000 {
            cap.step(0.5 + 0.0031, 0.0, 7e5);
        }
        assert!((cap.pressure - before) / 4.2e5 > 0.0019);
    }

    #[test]
    fn relief_and_supply_cap_the_pressure_and_the_dump_vents_whatever_the_command() {
        let machine = demo::machine("machine-a");
        let dev = Deviations {
            regulator_gain: 1.05,
            regulator_offset: 0.01,
            ..Deviations::NOMINAL
        };
        let mut cap = CapSide::new(&machine, &dev, Timing::TICK);
        for _ in 0..5000 {
            cap.step(1.0, 0.0, 7e5);
        }
        assert_eq!(cap.pressure, 4.2e5);
        for _ in 0..180 {
            cap.step(1.0, 1.0, 7e5);
        }
        assert!((cap.pressure / 4.2e5 - (-1.0f64).exp()).abs() < 1e-9);
        for _ in 0..5000 {
            cap.step(1.0, 0.0, 3e5);
        }
        assert_eq!(cap.pressure, 3e5);
    }

    #[test]
    fn dead_time_is_whole_ticks() {
        let machine = demo::machine("machine-a");
        let mut cap = CapSide::new(&machine, &Deviations::NOMINAL, Timing::TICK);
        assert_eq!(cap.dead_ticks(), 20);
        for tick in 0..40 {
            assert_eq!(cap.delayed(65_535) > 0.5, tick >= 20, "tick {tick}");
        }
    }

    #[test]
    fn the_pin_enters_only_at_the_raised_height() {
        let mut pin = Pin::new(0.12);
        for _ in 0..100 {
            pin.step(true, 0.12, 0.01);
        }
        assert_eq!(pin.position, 0.0);
        for _ in 0..100 {
            pin.step(false, 0.05, 0.01);
        }
        assert!(!pin.holds());
        for _ in 0..100 {
            pin.step(false, 0.119, 0.01);
        }
        assert!(pin.holds());
    }
}
