//! Vertical motion of the upper plate: `m z'' = -W - F - c z' + N(z, z')`, with `F = A_cap p_cap - A_rod p_rod - F_seal(-z')`
//! the rod force (down positive) that the load cell sees.
//!
//! One joint implicit solve for the speed at the end of the tick. The contact's tangent, the seals' bristle, the dog's bristle
//! and the rod-side pressure are all linear in that speed (the pressure by eliminating its own implicit equation), so a fixed
//! number of Newton steps ends it, stable for contact stiffnesses far above the 2e9 N/m at which explicit 1 ms steps fail.

use super::actuator::{PIN_PLAY, RodFlow};
use super::contact::{Contact, Reaction};
use super::friction::LuGre;
use crate::math::{abs, limit, max, min, sqrt};
use crate::model::{Deviations, G, Machine};

/// Newton steps at most; one is enough while nothing changes its state.
const NEWTON_STEPS: usize = 3;
/// Polytropic exponent of the air trapped on the rod side: between isothermal (1) and adiabatic (1.4). Invented.
const POLYTROPIC: f64 = 1.2;
/// Standard atmosphere, Pa (ISO 2533).
const ATMOSPHERE: f64 = 101_325.0;
/// Height of the plate at the piston's lower stop, m (below the lower plate: parts or carriers catch the plate first). Invented.
const LOWER_STOP: f64 = -2e-3;
/// Rod-side volume at the lower stop, as a length of cylinder, m. Invented.
const DEAD_LENGTH: f64 = 10e-3;
/// Clearance of the piston's upper stop above the raised height, m. Invented.
const UPPER_STOP_CLEARANCE: f64 = 0.2e-3;
/// Stiffness of the stops and of the pin, N/m, and their damping time, s. Invented.
const STOP_STIFFNESS: f64 = 1e7;
const STOP_DAMPING_TIME: f64 = 5e-3;
/// Viscous friction of the greased seals: at the fast descent it takes this share of what drives the plate down. It is what
/// damps the plate on its air, and being inside the cylinder the cell does not see it. Invented.
const GREASE_SHARE: f64 = 0.4;
/// Presliding distance of the drive dog, m. Invented.
const DOG_PRESLIDING: f64 = 5e-6;

/// What acts on the axis during one tick.
#[derive(Clone, Copy, Debug)]
pub(super) struct Push {
    /// Cap-side force, N, down.
    pub cap_force: f64,
    /// Rod-side flow.
    pub flow: RodFlow,
    /// Largest friction force of the drive dog, N.
    pub dog_limit: f64,
    /// Rate at which turning lets the dog's bristle go, 1/s.
    pub dog_relax: f64,
    /// The parking pin is in.
    pub pinned: bool,
    /// Weight that hangs on the plate besides its own, N.
    pub hanging: f64,
}

/// State and constants of the vertical motion.
#[derive(Clone, Debug)]
pub(super) struct Axis {
    /// Moving mass, kg.
    pub mass: f64,
    weight: f64,
    area_rod: f64,
    drag: f64,
    upper_stop: f64,
    pin_height: f64,
    seal: LuGre,
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
    /// Net force that would press the plate down were there no contact, N.
    pub net: f64,
}

/// Seals of a machine, N and m: bristle stiffness from breakaway and presliding distance, damping as large as the model stays
/// passive with up to the fast descent.
fn seal(machine: &Machine, dev: &Deviations) -> LuGre {
    let a = &machine.actuator;
    let coulomb = max(a.seal_friction * dev.seal_friction, 1e-3);
    let breakaway = max(a.seal_breakaway * dev.seal_friction, coulomb);
    let sigma0 = breakaway / max(a.presliding, 1e-9);
    let sigma1 = min(
        0.4 * sqrt(sigma0 * a.mass),
        2.0 * coulomb / max(a.speed_fast, 1e-3),
    );
    let drives_down = max(a.resting_load() - a.seal_friction, 0.0);
    let sigma2 = GREASE_SHARE * drives_down / max(a.speed_fast, 1e-3);
    LuGre::new(
        [sigma0, sigma1, sigma2],
        coulomb,
        breakaway,
        max(a.stribeck_speed, 1e-6),
    )
}

impl Axis {
    /// The plate raised against the upper stop by the lift pressure.
    pub fn new(machine: &Machine, dev: &Deviations) -> Self {
        let a = &machine.actuator;
        let mass = a.mass * dev.weight;
        let weight = mass * G;
        let lift = max(
            min(a.lift_pressure, a.supply_pressure * dev.supply),
            weight / a.area_rod(),
        );
        let upper_stop = a.height_raised + UPPER_STOP_CLEARANCE;
        Self {
            mass,
            weight,
            area_rod: a.area_rod(),
            drag: a.guide_drag,
            upper_stop,
            pin_height: a.height_raised - PIN_PLAY,
            seal: seal(machine, dev),
            bristle: 0.0,
            dog: 0.0,
            z: upper_stop + (a.area_rod() * lift - weight) / STOP_STIFFNESS,
            v: 0.0,
            rod_pressure: lift,
            load: 0.0,
            rod_force: -weight,
            net: 0.0,
        }
    }

    /// Weight of the plate, N.
    pub fn weight(&self) -> f64 {
        self.weight
    }

    /// One tick of `h` seconds.
    #[inline]
    pub fn step(&mut self, push: &Push, contact: &mut Contact, h: f64) {
        let absolute = self.rod_pressure + ATMOSPHERE;
        let length = max(self.z - LOWER_STOP, 0.0) + DEAD_LENGTH;
        let charge = h * POLYTROPIC * absolute;
        // Implicit in its own slope: gain / (1 - gain * slope) with gain = charge / length.
        let stiff_gain = charge / (length - charge * push.flow.slope);
        // Rod pressure at the end of the tick: rod_at_rest - stiff_gain * v.
        let rod_at_rest = self.rod_pressure + stiff_gain * push.flow.speed;
        let weight = self.weight + push.hanging;
        let inertia = self.mass / h;

        let steady = inertia * self.v - weight - push.cap_force + self.area_rod * rod_at_rest;
        let air_slope = inertia + self.area_rod * stiff_gain + self.drag;
        let mut v = self.v;
        let mut reaction = contact.at(self.z + h * v);
        for round in 1..=NEWTON_STEPS {
            let seal = self.seal.line(self.bristle, v, h);
            let dog = dog_line(self.dog, v, push, h);
            let stop = self.stops(self.z + h * v, v, push.pinned);
            let slope_of_stop = (h + STOP_DAMPING_TIME) * stop.stiffness;
            let force =
                steady + reaction.load + h * reaction.stiffness * v + stop.load + slope_of_stop * v
                    - seal.force
                    - dog.force;
            let slope = air_slope
                + seal.slope
                + dog.slope
                + h * reaction.stiffness
                + Contact::damping(reaction)
                + slope_of_stop;
            let next = force / slope;
            let change = next - v;
            v = next;
            let expected = reaction.load - h * reaction.stiffness * change;
            reaction = contact.at(self.z + h * v);
            // Nothing changed its state: the straight lines were the functions.
            let settled = abs(change) < 2e-6 && abs(reaction.load - expected) < 1e-6;
            if settled || round == NEWTON_STEPS {
                self.rod_pressure = max(rod_at_rest - stiff_gain * v, 0.0);
                self.finish(v, weight, [seal, dog], push, reaction, h);
                return;
            }
        }
    }

    /// Takes over the speed at the end of the tick.
    #[inline]
    fn finish(
        &mut self,
        v: f64,
        weight: f64,
        [seal, dog]: [super::friction::Line; 2],
        push: &Push,
        reaction: Reaction,
        h: f64,
    ) {
        self.bristle = seal.keep * (self.bristle + h * v);
        self.dog = dog.keep * (self.dog + h * v);
        self.z += h * v;
        self.v = v;
        self.load = max(reaction.load - Contact::damping(reaction) * v, 0.0);
        let seal_force = seal.force + seal.slope * v;
        self.rod_force = push.cap_force - self.area_rod * self.rod_pressure + seal_force;
        self.net = weight + self.rod_force + self.drag * v + dog.force + dog.slope * v;
        if self.z > self.upper_stop || self.z < LOWER_STOP || push.pinned {
            let stop = self.piston_stop(self.z, v);
            self.rod_force -= stop.load;
            self.net -= stop.load + self.pin(self.z, v, push.pinned).load;
        }
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
        if z <= self.upper_stop && z >= LOWER_STOP && !pinned {
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
fn dog_line(bristle: f64, guess: f64, push: &Push, h: f64) -> super::friction::Line {
    if push.dog_limit == 0.0 {
        // Nothing presses on it: it lets go.
        return super::friction::Line {
            force: 0.0,
            slope: 0.0,
            keep: 0.0,
        };
    }
    let keep = 1.0 / (1.0 + h * (abs(guess) * (1.0 / DOG_PRESLIDING) + push.dog_relax));
    let stiff = push.dog_limit * (1.0 / DOG_PRESLIDING) * keep;
    super::friction::Line {
        force: stiff * limit(bristle, -DOG_PRESLIDING, DOG_PRESLIDING),
        slope: stiff * h,
        keep,
    }
}
