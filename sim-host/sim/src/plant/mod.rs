//! The simulated machine: cylinder, contact, load cell, drives, slurry, parts and heat as physics, never as a script.
//!
//! [`Plant::step`] is one controller tick of 1 ms. Inside, `fast` runs every tick (air, vertical motion, drives, cell), `slow`
//! every ten (slurry, heat, harm, slow switches) and `window` every hundred (removal from the mean load of the window, slow
//! inputs). Fields are concrete, nothing is allocated after [`Plant::new`] except by injecting a fault, and the same seed
//! gives the same bits everywhere. SI units and `f64` inside; [`Inputs`] are what the controller's input card would deliver.
//!
//! Tilt of the plate is solved once a window (`tilt`), the form of plates and parts once a second (`forms`). What is left out does
//! not matter for the load loop: the cap side's own air volume (the regulator's lag stands for it).

pub mod abrasion;
pub mod bow;
pub mod cell;
pub mod circles;
pub mod envelope;
pub mod fault_table;
pub mod footing;
pub(crate) mod form_change;
pub mod friction;
pub mod harm;
pub mod kinematics;
pub mod lot;
pub mod part_form;
pub mod paths;
pub mod places;
pub mod plate_form;
pub mod seed;
pub mod teeth;
pub mod tilt;
pub mod torque;

mod actuator;
mod axis;
mod condition;
mod contact;
mod cut;
mod drives;
mod fault;
mod forms;
mod heat;
mod lasting;
mod left_over;
mod load;
mod material;
mod monitor;
mod pair;
mod parts;
mod ports;
mod press;
mod seat;
mod sense;
mod setup;
mod slurry;
mod tend;
mod timing;
mod truth;
mod window;

#[cfg(test)]
mod tests;

pub use axis::ATMOSPHERE;
pub use drives::{BREAKAWAY_EXCESS, SMOOTHING};
pub use fault::{FaultRefused, LONGEST as LONGEST_FAULT, magnitude};
pub use forms::{FormTruth, SettledGap};
pub use harm::{Harm, HarmRecord};
pub use lasting::Lasting;
pub use parts::{CUT, DamageLeft, PartTruth};
pub use ports::SUPPLY_LAG;
pub use sense::ROD_SWITCH;
pub use slurry::{FILM_FULL, drying};
pub use tend::SlurrySample;
pub use timing::Substeps;
pub use truth::{FastTruth, Leaning, PartLoad, Truth};

use crate::math::{cos, max, sin};
use crate::model::{Component, Fault, FaultMode, Geometry, StationAct};
use actuator::{CapSide, Pin, RodFlow, RodSide};
use axis::{Axis, Push};
use circles::Sliding;
use contact::Contact;
use drives::Drives;
use fault::Faults;
use firmware_core::process_image::{Inputs, Outputs, RodValve};
use forms::Forms;
use heat::Gauge;
use parts::Parts;
use seat::Seat;
use sense::{Scale, Station};
use setup::Nominal;
use slurry::{GapUse, Slurry};
use teeth::Teeth;
pub(crate) use timing::Timing;

/// Ticks of a slow step.
const SLOW_TICKS: u32 = 10;
/// Ticks of a cycle of the drives: they take setpoints and report over their own bus (invented cycle time). Divides
/// [`SLOW_TICKS`].
const DRIVE_TICKS: u32 = 5;
const _: () = assert!(SLOW_TICKS.is_multiple_of(DRIVE_TICKS));
/// Slow steps of a window.
const WINDOW_SLOWS: u32 = 10;
/// A simulated machine, loaded with parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Plant {
    timing: Timing,
    tick: u64,
    until_drives: u32,
    /// Cycles of the drives until the next slow step, slow steps until the next window.
    until_slow: u32,
    until_window: u32,
    inputs: Inputs,
    orders: Outputs,

    cap: CapSide,
    rod: RodSide,
    pin: Pin,
    axis: Axis,
    seat: Seat,
    contact: Contact,
    drives: Drives,
    slurry: Slurry,
    lasting: Lasting,
    gauge: Gauge,
    parts: Parts,
    forms: Forms,
    faults: Faults,
    harm: Harm,
    station: Station,
    scale: Scale,
    /// Carriers with parts lie in the machine.
    loaded: bool,
    stock: std::sync::Arc<load::Stock>,

    geometry: Geometry,
    area_cap: f64,
    dog: f64,
    dog_stiffness: f64,
    dog_relax: f64,
    nominal: Nominal,
    supply: f64,
    balance: f64,
    /// Friction coefficient of the gap wet, dry and now.
    friction: [f64; 3],
    removal: f64,
    /// Pockets that hold a part, and the weight of all parts, N.
    present: f64,
    parts_weight: f64,
    /// Weight of one part with its share of a carrier, N.
    stuck_weight: f64,
    strength: f64,
    /// Most of a load that one part can have by where the parts lie, 0..1.
    worst_share: f64,
    teeth: Teeth,
    /// The part that bears most in the last window, and the one that bore most since it was laid in.
    pressed: PartLoad,
    most: Option<PartLoad>,
    leaning: Leaning,
    /// How far the middle of what carries the load comes from the gimbal at most, m.
    off_centre: f64,
    loaded_area: f64,
    /// Runout: share of the load, direction (cos, sin) and its turn per tick.
    runout: f64,
    phase: [f64; 2],
    turn: [f64; 2],
    ripple: f64,
    /// Dump valve opening as it is, 0..1.
    dump: f64,
    valve: RodValve,

    first_contact: [f64; 2],
    load_sum: f64,
    load_peak: f64,
    cutting_sum: f64,
    sliding: Sliding,
    watch: monitor::Watch,
}

impl Plant {
    /// One tick (1 ms) under the controller's outputs.
    pub fn step(&mut self, out: &Outputs) {
        self.tick += 1;
        self.fast(out);
        self.until_drives -= 1;
        if self.until_drives == 0 {
            self.rarer(out);
        }
    }

    /// A cycle of the drives, and what is due with it.
    #[inline(never)]
    fn rarer(&mut self, out: &Outputs) {
        self.until_drives = DRIVE_TICKS;
        self.turn_drives(out);
        self.until_slow -= 1;
        if self.until_slow == 0 {
            self.orders = *out;
            self.until_slow = SLOW_TICKS / DRIVE_TICKS;
            self.slow();
            self.until_window -= 1;
            if self.until_window == 0 {
                self.until_window = WINDOW_SLOWS;
                self.window();
            }
        }
    }

    /// What the controller's input card delivers after the last step.
    #[must_use]
    pub fn inputs(&self) -> &Inputs {
        &self.inputs
    }

    /// The deepest damage left in any face of the product; `None` without product.
    #[must_use]
    pub(crate) fn deepest_damage(&self) -> Option<DamageLeft> {
        self.parts.deepest_damage()
    }

    /// Harm done so far.
    #[must_use]
    pub fn harm(&self) -> &Harm {
        &self.harm
    }

    /// Puts a fault in force, replacing what the component had.
    ///
    /// # Errors
    /// [`FaultRefused`] where the component does not fail this way, the magnitude cannot be used, or parts would be misplaced
    /// under the lowered plate. Nothing has changed then.
    pub fn inject(&mut self, fault: &Fault) -> Result<(), FaultRefused> {
        let misplaces = fault.component == Component::Parts;
        if misplaces && self.axis.load > 0.0 {
            return Err(FaultRefused::PlateDown);
        }
        let magnitude = self.faults.inject(fault)?;
        if misplaces {
            self.misplace(fault.mode, magnitude);
            if self.contact.at(self.axis.z).load > 0.0 {
                // The plate has come below where the doubled part would reach.
                self.clear(fault.component);
                return Err(FaultRefused::PlateDown);
            }
        }
        self.sense_switches(0.0);
        Ok(())
    }

    /// Ends a component's fault. Misplaced parts are put right.
    pub fn clear(&mut self, component: Component) {
        self.faults.clear(component);
        if component == Component::Parts && self.loaded {
            self.parts.restore();
            self.reload();
        }
        self.sense_switches(0.0);
    }

    /// A hand on the machine. Takes effect at once; the guard opens by force where it is locked.
    pub fn act(&mut self, act: StationAct) {
        self.station.act(act);
        self.load_or_unload(act);
        if let StationAct::Tend(task) = act {
            self.tend(task);
        }
        self.sense_switches(0.0);
    }

    fn reload(&mut self) {
        let (top, stiffness) = self.parts.tops();
        self.seat.lay(top, stiffness);
        self.seat.settle(0.0);
        self.contact.rebuild(&self.seat);
        self.off_centre = self.seat.places.off_centre(stiffness);
        self.present = self.parts.present();
        self.parts_weight = self.parts.part_weight() * self.present;
    }

    #[inline(always)]
    fn fast(&mut self, out: &Outputs) {
        // First: it waits for nothing, and nothing that others wait for is kept waiting by its seldom long way.
        let noise = self.lasting.cell.draw_noise();
        let u = self.cap.delayed(out.cap_command);
        let open = if out.dump_shut { 0.0 } else { 1.0 };
        let faulty = self.faults.any();
        let (u, leak) = if faulty {
            self.broken_air(u, open, out.rod)
        } else {
            self.dump = open;
            self.valve = out.rod;
            (u, 0.0)
        };
        if self.timing.substeps > 1 {
            self.but_last(u, leak, faulty);
        }
        let force = self.fast_step(u, leak, faulty);
        let reading = self.lasting.cell.step(force, noise);
        self.sense_fast(reading);
    }

    /// All fast steps of a tick but its last.
    #[cold]
    fn but_last(&mut self, u: f64, leak: f64, faulty: bool) {
        for _ in 1..self.timing.substeps {
            let force = self.fast_step(u, leak, faulty);
            self.lasting.cell.feel(force);
        }
    }

    /// One fast step under the command `u` behind the dead time; gives the force in the rod, runout included, N.
    #[inline(always)]
    fn fast_step(&mut self, u: f64, leak: f64, faulty: bool) -> f64 {
        self.cap.step(u, self.dump, self.supply);
        // What only a fault asks for comes before what every tick calculates.
        let hanging = if faulty { self.hanging() } else { 0.0 };
        let flow = if leak > 0.0 {
            self.leaking_flow(leak)
        } else {
            self.rod_flow()
        };
        let push = Push {
            cap_force: self.area_cap * self.cap.pressure,
            flow,
            dog_stiffness: self.dog_stiffness,
            dog_relax: self.dog_relax,
            pinned: self.pin.holds(),
            hanging,
        };
        self.contact.recede();
        if !self.axis.rest(&push, &self.contact)
            && let Some([falling, net]) = self.axis.step(push, &mut self.contact)
        {
            self.touch(falling, net);
        }
        let [c, s] = self.phase;
        let [turn_c, turn_s] = self.turn;
        self.phase = [c * turn_c - s * turn_s, s * turn_c + c * turn_s];
        self.ripple = self.runout * self.axis.load * self.phase[0];
        self.load_sum += self.axis.load;
        self.load_peak = max(self.load_peak, self.axis.load + self.ripple);
        self.axis.rod_force + self.ripple
    }

    /// Flow into the rod side at its present pressure.
    #[inline(always)]
    fn rod_flow(&mut self) -> RodFlow {
        let pressure = self.axis.rod_pressure;
        self.rod
            .flow(self.valve, pressure, self.balance, self.supply)
    }

    /// The same with a check valve that leaks.
    #[cold]
    fn leaking_flow(&mut self, leak: f64) -> RodFlow {
        self.rod_flow().leaking(leak, self.axis.rod_pressure)
    }

    /// First contact of a descent: its peak is shorter than the implicit tick shows, so it is computed.
    #[cold]
    fn touch(&mut self, falling: f64, net: f64) {
        let net = max(net, 0.0);
        let total = self.contact.impact(self.axis.mass, falling, net);
        let blow = [self.axis.mass, falling, net];
        let one = self.contact.impact_on_one(total, self.worst_share, blow);
        self.first_contact = [
            max(self.first_contact[0], total),
            max(self.first_contact[1], one),
        ];
        self.parts.struck(one, self.seat.bears_most());
        self.harm
            .part_overload
            .note(self.tick, one / self.strength, 1.0, 0.0);
    }

    fn turn_drives(&mut self, out: &Outputs) {
        let faulty = self.faults.any();
        let mut orders = self.drives.orders(out);
        let mut coupled = true;
        if faulty {
            orders = self.broken_drives(orders);
            coupled = self
                .faults
                .in_mode(Component::Dog, FaultMode::Off)
                .is_none();
        }
        let grip = self.friction[2] * self.axis.load;
        let grips = [grip + self.friction[2] * self.parts_weight, grip];
        let steps = self.timing.substeps;
        self.drives.steps(steps, &orders, grips, coupled);
        let [inner, outer, ..] = self.drives.friction;
        self.teeth.pull(teeth::pull(&self.geometry, inner, outer));
        self.dog_stiffness = self.dog_limit(faulty) * (1.0 / axis::DOG_PRESLIDING);
        self.dog_relax = self.dog_relax(faulty);
        self.sense_drives();
    }

    fn slow(&mut self) {
        let step = self.timing.slow;
        self.supply_air(step);
        let withdraw = match self.faults.get(Component::Pin) {
            Some((FaultMode::Off, _)) => false,
            Some((FaultMode::Delayed | FaultMode::Intermittent, _)) => {
                self.faults
                    .pass_bit(Component::Pin, self.orders.pin_withdraw, step)
            }
            _ => self.orders.pin_withdraw,
        };
        if self
            .faults
            .in_mode(Component::Pin, FaultMode::Stuck)
            .is_none()
        {
            self.pin.step(withdraw, self.axis.z, step);
        }
        let power = [0, 1].map(|face| {
            let load = self.axis.load + if face == 0 { self.parts_weight } else { 0.0 };
            // The smoothing keeps a little speed in the friction's slope; no power comes of it.
            let speed = if self.drives.fastest_turning() > 0.0 {
                self.drives.sliding[face]
            } else {
                0.0
            };
            self.friction[2] * load * speed
        });
        let feed = self.feed(step);
        self.slurry.step(
            &feed,
            &GapUse {
                speed_share: 0.5 * (self.sliding.mean[0] + self.sliding.mean[1])
                    / self.nominal.full_sliding,
                load_share: self.axis.load / self.nominal.resting,
                power_per_area: 0.5 * (power[0] + power[1]) / self.loaded_area,
            },
            &mut self.lasting.tank,
        );
        self.friction[2] = self.slurry.friction(self.friction[0], self.friction[1]);
        self.cutting_sum += self.slurry.cutting() * step;
        let cooling = if self.faults.dead(Component::Cooling, step) {
            0.0
        } else {
            self.faults
                .in_mode(Component::Cooling, FaultMode::Wrong)
                .unwrap_or(1.0)
        };
        self.lasting.heat.step(power, cooling);
        self.lasting.cell.slow(self.lasting.heat.warmer());
        let angle = self.drives.relative() * self.timing.fast;
        self.turn = [cos(angle), sin(angle)];
        let length = self.phase[0] * self.phase[0] + self.phase[1] * self.phase[1];
        // One Newton step keeps the rounding of ten products from growing.
        let trim = 1.5 - 0.5 * length;
        self.phase = [self.phase[0] * trim, self.phase[1] * trim];
        self.monitor(power);
        self.sense_switches(step);
    }
}
