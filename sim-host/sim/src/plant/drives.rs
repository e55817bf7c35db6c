//! Four drives: speed loops with torque limits, inertias, and the friction of parts between plates.

use super::paths::Footprint;
use super::torque::{FrictionArms, Rubbing};
use crate::math::{abs, limit, max};
use crate::model::{Batch, Machine};
use firmware_core::process_image::{DRIVES, FACES, Outputs};
use std::f64::consts::PI;

/// Bandwidth of the speed loops, rad/s; gains follow from the inertia. Invented.
const BANDWIDTH: f64 = 25.0;
/// Integral part: this share of the bandwidth. Invented.
const INTEGRAL_SHARE: f64 = 0.25;
/// Sliding speed under which the direction of friction fades out, m/s. Invented; small against every process speed.
pub const SMOOTHING: f64 = 0.01;
/// Friction at standstill is this share higher than sliding (breakaway factor 1.3), and the excess fades over a sliding speed
/// of [`BREAKAWAY_SPEED`]. Invented.
pub const BREAKAWAY_EXCESS: f64 = 0.3;
/// m/s, see [`BREAKAWAY_EXCESS`].
const BREAKAWAY_SPEED: f64 = 0.05;
/// Up to this many smoothing speeds the steep part of the friction is taken implicitly.
const STEEP: f64 = 3.0;
/// A face couples at most three drives, so three times the diagonal bounds its curvature in every direction.
const COUPLED: f64 = 3.0;
/// One count of a speed setpoint, rad/s (0.01 rpm).
const SPEED_COUNT: f64 = PI / 3000.0;

/// What a drive does in a tick, faults already worked in.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct DriveOrder {
    /// Powered.
    pub enable: bool,
    /// Speed setpoint, rad/s.
    pub setpoint: f64,
    /// Runs on at its speed whatever it is told.
    pub frozen: bool,
    /// Reports a fault.
    pub tripped: bool,
}

/// All four drives, `Drive` order.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Drives {
    rubbing: Rubbing,
    stiff: [f64; 2],
    reach: f64,
    step_over_inertia: [f64; DRIVES],
    proportional: [f64; DRIVES],
    integral_step: [f64; DRIVES],
    limit: [f64; DRIVES],
    fastest: [f64; DRIVES],
    drag_step: [f64; DRIVES],
    fixed: [bool; DRIVES],
    integral: [f64; DRIVES],
    /// Speeds, rad/s.
    pub speed: [f64; DRIVES],
    /// Motor torques, N·m.
    pub torque: [f64; DRIVES],
    /// Friction torque of the parts on each drive, N·m.
    pub friction: [f64; DRIVES],
    /// Smoothed mean sliding speed of the lower and upper faces, m/s.
    pub sliding: [f64; FACES],
    #[cfg(test)]
    step: f64,
}

impl Drives {
    pub fn new(machine: &Machine, batch: &Batch, step: f64) -> Self {
        let each = |f: fn(&crate::model::DriveSpec) -> f64| {
            let d = &machine.drives;
            [f(&d[0]), f(&d[1]), f(&d[2]), f(&d[3])]
        };
        let inertia = each(|d| max(d.inertia, 1e-3));
        let footprint = Footprint::of_batch(&machine.geometry, batch);
        let rubbing = Rubbing::new(&machine.geometry, &footprint, SMOOTHING);
        Self {
            stiff: rubbing.stiffness(),
            reach: rubbing.plate_stiffness(),
            rubbing,
            step_over_inertia: inertia.map(|j| step / j),
            proportional: inertia.map(|j| j * BANDWIDTH),
            integral_step: inertia.map(|j| j * BANDWIDTH * BANDWIDTH * INTEGRAL_SHARE * step),
            limit: each(|d| d.torque),
            fastest: each(|d| d.speed),
            drag_step: [0, 1, 2, 3].map(|i| machine.drives[i].drag * step / inertia[i]),
            fixed: [0, 1, 2, 3].map(|i| machine.drives[i].fixed),
            integral: [0.0; DRIVES],
            speed: [0.0; DRIVES],
            torque: [0.0; DRIVES],
            friction: [0.0; DRIVES],
            sliding: [SMOOTHING; FACES],
            #[cfg(test)]
            step,
        }
    }

    /// What the outputs order when nothing is broken.
    #[inline]
    pub fn orders(&self, out: &Outputs) -> [DriveOrder; DRIVES] {
        let mut orders = [DriveOrder::default(); DRIVES];
        for (order, drive) in orders.iter_mut().zip(&out.drives) {
            order.enable = drive.enable;
            order.setpoint = f64::from(drive.setpoint) * SPEED_COUNT;
        }
        orders
    }

    /// Nothing turns and nothing is powered.
    #[inline]
    pub fn idle(&self, orders: &[DriveOrder; DRIVES]) -> bool {
        self.speed == [0.0; DRIVES] && !orders.iter().any(|o| o.enable)
    }

    /// So many steps: nearly always one, which then has no loop around it.
    #[inline]
    pub(crate) fn steps(
        &mut self,
        count: u8,
        orders: &[DriveOrder; DRIVES],
        force: [f64; FACES],
        coupled: bool,
    ) {
        if count > 1 {
            self.but_last(count, orders, force, coupled);
        }
        self.step(orders, force, coupled);
    }

    /// All of so many steps but the last.
    #[cold]
    #[inline(never)]
    fn but_last(
        &mut self,
        steps: u8,
        orders: &[DriveOrder; DRIVES],
        force: [f64; FACES],
        coupled: bool,
    ) {
        for _ in 1..steps {
            self.step(orders, force, coupled);
        }
    }

    /// One step of the drives: `force` is `mu N` at the lower and the upper face, N; `coupled` is false where the upper plate's dog is out.
    #[inline]
    pub fn step(&mut self, orders: &[DriveOrder; DRIVES], force: [f64; FACES], coupled: bool) {
        if self.idle(orders) {
            self.torque = [0.0; DRIVES];
            self.friction = [0.0; DRIVES];
            self.integral = [0.0; DRIVES];
            self.sliding = [SMOOTHING; FACES];
            return;
        }
        let arms: FrictionArms = self.rubbing.arms(&self.speed);
        self.sliding = arms.speed;
        let grip = [
            force[0] * breakaway(arms.speed[0]),
            force[1] * breakaway(arms.speed[1]),
        ];
        // Curvature of the dissipation near standstill, where an explicit step would chatter; it fades where sliding is fast.
        let curve = [
            grip[0] * steepness(arms.inverse[0]),
            grip[1] * steepness(arms.inverse[1]),
        ];
        let (stiff, reach) = (self.stiff, self.reach);
        let implicit = [
            (curve[0] + curve[1]) * stiff[0],
            (curve[0] + curve[1]) * stiff[1],
            curve[0] * reach,
            curve[1] * reach,
        ];
        for i in 0..DRIVES {
            self.friction[i] = grip[0] * arms.lower[i] + grip[1] * arms.upper[i];
        }
        let powered = |i: usize| orders[i].enable && !orders[i].frozen && !self.fixed[i];
        if coupled && (0..DRIVES).all(powered) {
            // The same for all four, without a question in between.
            for i in 0..DRIVES {
                self.drive(i, orders[i].setpoint, implicit[i]);
            }
            return;
        }
        for i in 0..DRIVES {
            let mut order = orders[i];
            if i == 3 && !coupled {
                order.enable = false;
            }
            self.turn(i, order, implicit[i]);
        }
    }

    /// One drive, whatever it is told.
    fn turn(&mut self, i: usize, order: DriveOrder, implicit: f64) {
        if self.fixed[i] || order.frozen {
            if self.fixed[i] {
                self.speed[i] = 0.0;
            }
            self.torque[i] = limit(-self.friction[i], -self.limit[i], self.limit[i]);
        } else if order.enable {
            self.drive(i, order.setpoint, implicit);
        } else {
            self.integral[i] = 0.0;
            self.torque[i] = 0.0;
            self.accelerate(i, implicit);
        }
    }

    /// One drive under power.
    #[inline(always)]
    fn drive(&mut self, i: usize, setpoint: f64, implicit: f64) {
        let target = limit(setpoint, -self.fastest[i], self.fastest[i]);
        let error = target - self.speed[i];
        let wanted = self.proportional[i] * error + self.integral[i];
        let torque = limit(wanted, -self.limit[i], self.limit[i]);
        let grown = self.integral[i] + self.integral_step[i] * error;
        // The integrator waits while the torque limit holds.
        self.integral[i] = if torque == wanted {
            grown
        } else {
            self.integral[i]
        };
        self.torque[i] = torque;
        self.accelerate(i, implicit);
    }

    /// What torque and friction make of the speed.
    #[inline(always)]
    fn accelerate(&mut self, i: usize, implicit: f64) {
        let next = self.speed[i]
            + self.step_over_inertia[i] * (self.torque[i] + self.friction[i])
                / (1.0 + self.step_over_inertia[i] * implicit);
        // Bearing drag is Coulomb: it stops, it never reverses.
        let dragged = next - self.drag_step[i].copysign(next);
        self.speed[i] = if abs(next) <= self.drag_step[i] {
            0.0
        } else {
            dragged
        };
    }

    /// Kinetic energy of the four, J (tests).
    #[cfg(test)]
    pub fn energy(&self) -> f64 {
        (0..DRIVES)
            .map(|i| 0.5 * self.step / self.step_over_inertia[i] * self.speed[i] * self.speed[i])
            .sum()
    }

    /// Largest speed of any drive, rad/s.
    pub(crate) fn fastest_turning(&self) -> f64 {
        self.speed.iter().fold(0.0, |most, s| max(most, abs(*s)))
    }

    /// Turning rate of the upper plate against the lower, rad/s.
    pub fn relative(&self) -> f64 {
        self.speed[3] - self.speed[2]
    }
}

/// Curvature to be taken implicitly, per newton of friction, from the reciprocal of the smoothed speed.
#[inline]
fn steepness(inverse: f64) -> f64 {
    const SQUARE: f64 = STEEP * STEEP * SMOOTHING * SMOOTHING;
    let near = SQUARE * inverse * inverse;
    COUPLED * inverse * if near < 1.0 { near } else { 1.0 }
}

/// Breakaway factor at a sliding speed.
#[inline]
fn breakaway(speed: f64) -> f64 {
    const SQUARE: f64 = BREAKAWAY_SPEED * BREAKAWAY_SPEED;
    1.0 + BREAKAWAY_EXCESS * SQUARE / (SQUARE + speed * speed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    fn drives() -> Drives {
        Drives::new(
            &demo::machine("machine-a"),
            &demo::batch("glass-discs"),
            5e-3,
        )
    }

    const OFF: DriveOrder = DriveOrder {
        enable: false,
        setpoint: 0.0,
        frozen: false,
        tripped: false,
    };

    #[test]
    fn coasting_never_gains_energy_and_ends_at_a_true_standstill() {
        let mut d = drives();
        d.speed = [1.5, 0.5, 3.0, -1.5];
        let mut before = d.energy();
        let mut ticks = 0;
        while d.fastest_turning() > 0.0 {
            d.step(&[OFF; DRIVES], [60.0 * 0.12; 2], true);
            assert!(d.energy() <= before + 1e-12);
            before = d.energy();
            ticks += 1;
            assert!(ticks < 60_000, "still turning: {:?}", d.speed);
        }
    }

    #[test]
    fn speed_loops_hold_their_setpoints_against_friction_and_stop_at_the_torque_limit() {
        let mut d = drives();
        let on = |setpoint| DriveOrder {
            enable: true,
            setpoint,
            ..OFF
        };
        let orders = [on(1.466), on(0.524), on(2.93), on(-1.466)];
        for _ in 0..5000 {
            d.step(&orders, [265.0 * 0.12; 2], true);
        }
        for (speed, order) in d.speed.iter().zip(&orders) {
            assert!((speed - order.setpoint).abs() < 1e-6, "{:?}", d.speed);
        }
        // Friction brakes the plates; the motors supply what it takes.
        assert!(d.friction[2] < 0.0 && d.torque[2] > 0.0);
        assert!(d.friction[3] > 0.0 && d.torque[3] < 0.0);
        for _ in 0..5000 {
            d.step(&orders, [265_000.0 * 0.12; 2], true);
        }
        assert!(d.torque.iter().zip(d.limit).all(|(t, l)| t.abs() <= l));
    }

    #[test]
    fn a_stiff_friction_at_standstill_does_not_chatter() {
        let mut d = drives();
        d.speed = [0.0, 0.0, 0.02, -0.02];
        for _ in 0..2000 {
            d.step(&[OFF; DRIVES], [900.0 * 0.5; 2], true);
            assert!(d.fastest_turning() <= 0.02 + 1e-9);
        }
        assert_eq!(d.fastest_turning(), 0.0);
    }
}
