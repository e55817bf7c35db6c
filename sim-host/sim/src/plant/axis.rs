//! Vertical motion of the upper plate: `m z'' = -W - F - c z' + N(z, z')`, with `F = A_cap p_cap - A_rod p_rod - F_seal(-z')`
//! the rod force (down positive) that the load cell sees.
//!
//! One joint implicit solve for the speed at the end of the tick. The contact's tangent, the seals' bristle, the dog's bristle
//! and the rod-side pressure are all linear in that speed (the pressure by eliminating its own implicit equation), so a fixed
//! number of Newton steps ends it, stable for contact stiffnesses far above the 2e9 N/m at which explicit 1 ms steps fail.

use super::actuator::{PIN_PLAY, RodFlow};
use super::contact::{Contact, Reaction};
use super::cut::{BOUNCE, Cut, FAST, STRIKE, seal};
use super::friction::Line;
use crate::math::{abs, limit, max, min};
use crate::model::{Deviations, G, Machine};

/// Newton steps at most; one is enough while nothing changes its state.
const NEWTON_STEPS: usize = 3;
/// Polytropic exponent of the air trapped on the rod side: between isothermal (1) and adiabatic (1.4). Invented.
const POLYTROPIC: f64 = 1.2;
/// Standard atmosphere, Pa (ISO 2533).
pub const ATMOSPHERE: f64 = 101_325.0;
/// Height of the plate at the piston's lower stop, m (below the lower plate: parts or carriers catch the plate first). Invented.
const LOWER_STOP: f64 = -2e-3;
/// Rod-side volume at the lower stop, as a length of cylinder, m. Invented.
const DEAD_LENGTH: f64 = 10e-3;
/// Clearance of the piston's upper stop above the raised height, m. Invented.
const UPPER_STOP_CLEARANCE: f64 = 0.2e-3;
/// Stiffness of the stops and of the pin, N/m, and their damping time, s. Invented.
const STOP_STIFFNESS: f64 = 1e7;
const STOP_DAMPING_TIME: f64 = 5e-3;
/// Presliding distance of the drive dog, m. Invented.
pub(super) const DOG_PRESLIDING: f64 = 5e-6;

/// How high it bounces at most, m; above, seals and air need no finer steps.
const BOUNCE_HEIGHT: f64 = 1e-5;
/// Speed up to which a plate on its parts rests on them, m/s: stopped within a tick it would strike with some newtons.
const RESTING_SPEED: f64 = 5e-6;

/// What acts on the axis during one step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Push {
    /// Cap-side force, N, down.
    pub cap_force: f64,
    /// Rod-side flow.
    pub flow: RodFlow,
    /// Stiffness of the dog's bristle, N/m: its largest friction force over its presliding distance.
    pub dog_stiffness: f64,
    /// Rate at which turning lets the dog's bristle go, 1/s.
    pub dog_relax: f64,
    /// The parking pin is in.
    pub pinned: bool,
    /// Weight that hangs on the plate besides its own, N.
    pub hanging: f64,
}

/// State and constants of the vertical motion.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Axis {
    /// Moving mass, kg.
    pub mass: f64,
    weight: f64,
    area_rod: f64,
    drag: f64,
    upper_stop: f64,
    pin_height: f64,
    /// For a fast step, and for those that it is cut into while the plate bounces or strikes.
    cuts: [Cut; 3],
    bristle: f64,
    dog: f64,
    /// Height of the plate over the lower plate, m.
    pub z: f64,
    /// Speed, m/s, up positive.
    pub v: f64,
    /// Rod-side pressure, Pa gauge.
    pub rod_pressure: f64,
    /// Contact load of the last tick, N.
    pub load: f64,
    /// Force in the rod, N, down positive: what the cell sees, runout apart.
    pub rod_force: f64,
    /// In the air at the end of the last tick, or not yet told otherwise.
    in_air: bool,
    /// Speed at which it came down then, m/s.
    falling: f64,
    /// Net force that would press the plate down were there no contact, N: kept up in the air.
    net: f64,
}

/// Whether a Newton round has changed nothing's state: the straight lines were the functions.
#[inline(always)]
fn settled(before: Reaction, after: Reaction, change: f64, h: f64) -> bool {
    let expected = before.load - h * before.stiffness * change;
    abs(change) < 2e-6 && abs(after.load - expected) < 1e-6
}

/// What the equation of motion has of constants and straight lines during one tick.
#[derive(Clone, Copy, Debug)]
struct Balance {
    /// What hangs on the cylinder, N.
    weight: f64,
    /// Force at no speed without contact, seals, dog and stops, N.
    steady: f64,
    /// Slope of inertia, air and drag, N·s/m.
    air_slope: f64,
    /// Rod pressure at the end of the tick: `rod_at_rest - stiff_gain v`.
    stiff_gain: f64,
    rod_at_rest: f64,
}

/// What a step comes to.
#[derive(Clone, Copy, Debug)]
struct Solved {
    /// Speed at its end, m/s.
    v: f64,
    /// Contact load there, N.
    load: f64,
    balance: Balance,
    /// Seals and dog.
    lines: [Line; 2],
}

impl Axis {
    /// The plate raised against the upper stop by the lift pressure.
    pub fn new(machine: &Machine, dev: &Deviations, h: f64) -> Self {
        let a = &machine.actuator;
        let mass = a.mass * dev.weight;
        let weight = mass * G;
        let lift = max(
            min(a.lift_pressure, a.supply_pressure * dev.supply),
            weight / a.area_rod(),
        );
        let upper_stop = a.height_raised + UPPER_STOP_CLEARANCE;
        let seal = seal(machine, dev);
        Self {
            mass,
            weight,
            area_rod: a.area_rod(),
            drag: a.guide_drag,
            upper_stop,
            pin_height: a.height_raised - PIN_PLAY,
            cuts: Cut::all(mass, &seal, h),
            bristle: 0.0,
            dog: 0.0,
            z: upper_stop + (a.area_rod() * lift - weight) / STOP_STIFFNESS,
            v: 0.0,
            rod_pressure: lift,
            load: 0.0,
            rod_force: -weight,
            in_air: true,
            falling: 0.0,
            net: 0.0,
        }
    }

    /// Weight of the plate, N.
    pub fn weight(&self) -> f64 {
        self.weight
    }

    /// Constants and straight lines of a step.
    #[inline(always)]
    fn balance(&self, push: &Push, cut: usize) -> Balance {
        let Cut { h, inertia, .. } = self.cuts[cut];
        let absolute = self.rod_pressure + ATMOSPHERE;
        let length = max(self.z - LOWER_STOP, 0.0) + DEAD_LENGTH;
        let charge = h * POLYTROPIC * absolute;
        // Implicit in its own slope: gain / (1 - gain * slope) with gain = charge / length.
        let stiff_gain = charge / (length - charge * push.flow.slope);
        // Rod pressure at the end of the tick: rod_at_rest - stiff_gain * v.
        let rod_at_rest = self.rod_pressure + stiff_gain * push.flow.speed;
        let weight = self.weight + push.hanging;
        Balance {
            weight,
            steady: inertia * self.v - weight - push.cap_force + self.area_rod * rod_at_rest,
            air_slope: inertia + self.area_rod * stiff_gain + self.drag,
            stiff_gain,
            rod_at_rest,
        }
    }

    /// One tick of the plate resting on its parts, which is nearly every tick: seals held, clear of stops and pin, on one straight
    /// line of the contact from beginning to end, and settled after one Newton round. Answers `false` and changes nothing where the
    /// tick is not of that kind. It calculates what [`Axis::step`] would, to the bit, without a call or a detour on the way.
    #[inline(always)]
    pub fn rest(&mut self, push: &Push, contact: &Contact) -> bool {
        let Cut {
            h, damping, seal, ..
        } = &self.cuts[FAST];
        let (h, damping, v) = (*h, *damping, self.v);
        let guess = self.z + h * v;
        let Some(touching) = contact.on_line(guess) else {
            return false;
        };
        let Some(seal) = seal.held(self.bristle, v) else {
            return false;
        };
        if self.in_air || push.pinned || abs(v) > RESTING_SPEED || !self.clear(guess) {
            return false;
        }
        let balance = self.balance(push, FAST);
        let dog = dog_line(self.dog, v, push, h);
        let force =
            balance.steady + touching.load + h * touching.stiffness * v - seal.force - dog.force;
        let slope = balance.air_slope + seal.slope + dog.slope + (h + damping) * touching.stiffness;
        let next = force / slope;
        let z = self.z + h * next;
        let Some(reaction) = contact.on_line(z) else {
            return false;
        };
        let load = reaction.load - damping * reaction.stiffness * next;
        let rests = abs(next) <= RESTING_SPEED && load > 0.0 && self.clear(z);
        if !(rests && settled(touching, reaction, next - v, h)) {
            return false;
        }
        self.take_over(next, h, &balance, [seal, dog], push.cap_force, load);
        true
    }

    /// One step, whatever it holds. Tells when the plate has come down on the parts in it: with what speed it fell and what net
    /// force pressed it down before, m/s and N.
    #[inline(never)]
    pub fn step(&mut self, push: Push, contact: &mut Contact) -> Option<[f64; 2]> {
        let mut cut = self.how_fine(contact);
        if cut == FAST {
            let solved = self.solve(&push, contact, FAST);
            if solved.load <= 0.0 || abs(solved.v) <= RESTING_SPEED {
                return self.finish(&solved, &push, FAST);
            }
            // A blow that one step would swallow.
            cut = STRIKE;
        }
        let (flow, pressure) = (push.flow, self.rod_pressure);
        let mut hardest: Option<[f64; 2]> = None;
        for _ in 0..self.cuts[cut].count {
            let speed = flow.speed + flow.slope * (self.rod_pressure - pressure);
            let push = Push {
                flow: RodFlow { speed, ..flow },
                ..push
            };
            let solved = self.solve(&push, contact, cut);
            let came_down = self.finish(&solved, &push, cut);
            if let Some([falling, _]) = came_down
                && hardest.is_none_or(|[other, _]| falling > other)
            {
                hardest = came_down;
            }
        }
        hardest
    }

    /// Which cut a step needs.
    fn how_fine(&self, contact: &mut Contact) -> usize {
        let speed = abs(self.v);
        if speed <= RESTING_SPEED {
            return FAST;
        }
        let reach = 2.0 * self.cuts[FAST].h * speed;
        if contact.at(self.z - reach).load > 0.0 {
            STRIKE
        } else if contact.at(self.z - BOUNCE_HEIGHT).load > 0.0 {
            BOUNCE
        } else {
            FAST
        }
    }

    /// What one step of any length comes to. Nothing is taken over yet.
    fn solve(&self, push: &Push, contact: &mut Contact, cut: usize) -> Solved {
        let balance = self.balance(push, cut);
        let Cut {
            h, damping, seal, ..
        } = &self.cuts[cut];
        let mut v = self.v;
        let mut touching = contact.at(self.z + h * v);
        let mut round = 1;
        loop {
            let lines = [seal.line(self.bristle, v), dog_line(self.dog, v, push, *h)];
            let from = (v, touching);
            let (next, reaction, done) = self.round(&balance, from, lines, push, contact, cut);
            if done || round == NEWTON_STEPS {
                return Solved {
                    v: next,
                    load: max(reaction.load - damping * reaction.stiffness * next, 0.0),
                    balance,
                    lines,
                };
            }
            (v, touching) = (next, reaction);
            round += 1;
        }
    }

    /// One Newton round from the speed `v`: the next speed, the contact there, and whether that is the end of it.
    fn round(
        &self,
        balance: &Balance,
        (v, touching): (f64, Reaction),
        [seal, dog]: [Line; 2],
        push: &Push,
        contact: &mut Contact,
        cut: usize,
    ) -> (f64, Reaction, bool) {
        let Cut { h, damping, .. } = self.cuts[cut];
        let stop = self.stops(self.z + h * v, v, push.pinned);
        let slope_of_stop = (h + STOP_DAMPING_TIME) * stop.stiffness;
        let force = balance.steady
            + touching.load
            + h * touching.stiffness * v
            + stop.load
            + slope_of_stop * v
            - seal.force
            - dog.force;
        let slope = balance.air_slope
            + seal.slope
            + dog.slope
            + (h + damping) * touching.stiffness
            + slope_of_stop;
        let next = force / slope;
        let reaction = contact.at(self.z + h * next);
        (next, reaction, settled(touching, reaction, next - v, h))
    }

    /// Takes over the speed at the end of a step of `h` seconds, and the load there.
    #[inline(always)]
    fn take_over(
        &mut self,
        v: f64,
        h: f64,
        balance: &Balance,
        [seal, dog]: [Line; 2],
        cap_force: f64,
        load: f64,
    ) {
        self.rod_pressure = max(balance.rod_at_rest - balance.stiff_gain * v, 0.0);
        self.bristle = seal.keep * (self.bristle + h * v);
        self.dog = dog.keep * (self.dog + h * v);
        self.z += h * v;
        self.v = v;
        self.load = load;
        let seal_force = seal.force + seal.slope * v;
        self.rod_force = cap_force - self.area_rod * self.rod_pressure + seal_force;
    }

    /// Takes over what a step came to, with what only matters where the plate is in the air or against a stop. Tells when the plate has
    /// come down, as [`Axis::step`].
    fn finish(&mut self, solved: &Solved, push: &Push, cut: usize) -> Option<[f64; 2]> {
        let Solved {
            v,
            load,
            ref balance,
            lines,
        } = *solved;
        let h = self.cuts[cut].h;
        self.take_over(v, h, balance, lines, push.cap_force, load);
        let stopped = push.pinned || !self.clear(self.z);
        let before_stop = self.rod_force;
        let piston = self.piston_stop(self.z, v).load;
        if stopped {
            self.rod_force -= piston;
        }
        if self.load <= 0.0 {
            let [_, dog] = lines;
            self.in_air = true;
            self.falling = -v;
            self.net = balance.weight + before_stop + self.drag * v + dog.force + dog.slope * v;
            if stopped {
                self.net -= piston + self.pin(self.z, v, push.pinned).load;
            }
        } else if self.in_air {
            self.in_air = false;
            return Some([self.falling, self.net]);
        }
        None
    }

    /// Clear of the stops inside the cylinder.
    #[inline(always)]
    fn clear(&self, z: f64) -> bool {
        z <= self.upper_stop && z >= LOWER_STOP
    }

    /// Stops inside the cylinder: force on the piston, up positive.
    fn piston_stop(&self, z: f64, v: f64) -> Reaction {
        if z > self.upper_stop {
            let push = STOP_STIFFNESS * (z - self.upper_stop + STOP_DAMPING_TIME * v);
            Reaction {
                load: -max(push, 0.0),
                stiffness: if push > 0.0 { STOP_STIFFNESS } else { 0.0 },
            }
        } else if z < LOWER_STOP {
            let push = STOP_STIFFNESS * (LOWER_STOP - z - STOP_DAMPING_TIME * v);
            Reaction {
                load: max(push, 0.0),
                stiffness: if push > 0.0 { STOP_STIFFNESS } else { 0.0 },
            }
        } else {
            Reaction::default()
        }
    }

    /// The pin under the plate: outside the rod, so the cell does not see it.
    fn pin(&self, z: f64, v: f64, pinned: bool) -> Reaction {
        if pinned && z < self.pin_height {
            let push = STOP_STIFFNESS * (self.pin_height - z - STOP_DAMPING_TIME * v);
            Reaction {
                load: max(push, 0.0),
                stiffness: if push > 0.0 { STOP_STIFFNESS } else { 0.0 },
            }
        } else {
            Reaction::default()
        }
    }

    #[inline]
    fn stops(&self, z: f64, v: f64, pinned: bool) -> Reaction {
        if self.clear(z) && !pinned {
            return Reaction::default();
        }
        let piston = self.piston_stop(z, v);
        let pin = self.pin(z, v, pinned);
        Reaction {
            load: piston.load + pin.load,
            stiffness: piston.stiffness + pin.stiffness,
        }
    }
}

/// Vertical friction of the drive dog (Dahl): at most `mu T / r`, its bristle let go by turning. The bristle is in metres.
#[inline]
fn dog_line(bristle: f64, guess: f64, push: &Push, h: f64) -> Line {
    if push.dog_stiffness == 0.0 {
        // Nothing presses on it: it lets go.
        return Line {
            force: 0.0,
            slope: 0.0,
            keep: 0.0,
        };
    }
    let keep = 1.0 / (1.0 + h * (abs(guess) * (1.0 / DOG_PRESLIDING) + push.dog_relax));
    let stiff = push.dog_stiffness * keep;
    Line {
        force: stiff * limit(bristle, -DOG_PRESLIDING, DOG_PRESLIDING),
        slope: stiff * h,
        keep,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    /// A tick at rest is the general tick, bit for bit, wherever it says that it can make it.
    #[test]
    fn at_rest_and_in_general_the_tick_is_the_same() {
        let machine = demo::machine("machine-a");
        let mut axis = Axis::new(&machine, &Deviations::NOMINAL, 1e-3);
        let (machine_a, mut batch, _) = crate::demo::set("glass-f800");
        batch.parts = 6;
        let places = super::super::places::Places::new(&machine_a.geometry, &batch);
        let mut seat = super::super::seat::Seat::new(places, 0.3e-3);
        let tops: Vec<f64> = (0..6).map(|i| 0.55e-3 - 0.3e-6 * f64::from(i)).collect();
        seat.lay(&tops, &[2e7; 6]);
        let mut contact = Contact::new(&seat);
        axis.z = 0.56e-3;
        axis.rod_pressure = machine.actuator.counterbalance;
        let mut rested = 0;
        for tick in 0..6000 {
            let t = f64::from(tick);
            let push = Push {
                // From nothing to hard, at first slowly, then in jerks; off the parts now and then.
                cap_force: 200.0
                    + 150.0 * crate::math::sin(1e-3 * t)
                    + if tick % 397 == 0 { 40.0 } else { 0.0 },
                flow: RodFlow {
                    speed: if tick % 1000 > 950 { 0.02 } else { 0.0 },
                    slope: -5e-6,
                },
                dog_stiffness: if tick < 3000 { 0.0 } else { 2e6 },
                dog_relax: 0.3,
                pinned: false,
                hanging: 0.0,
            };
            let (mut general, mut under) = (axis.clone(), contact.clone());
            general.step(push, &mut under);
            if axis.rest(&push, &contact) {
                rested += 1;
                assert_eq!(format!("{axis:?}"), format!("{general:?}"), "tick {tick}");
            } else {
                (axis, contact) = (general, under);
            }
        }
        // Both kinds came up often, or this has shown nothing.
        assert!((1000..5000).contains(&rested), "{rested}");
    }
}
