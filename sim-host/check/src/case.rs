//! One case to judge: a machine, a batch and a recipe together, and the numbers that follow from them.

use twinplate_sim::bench::Job;
use twinplate_sim::files::Set;
use twinplate_sim::math::{abs, max, min, sqrt};
use twinplate_sim::model::{Batch, Machine, Recipe, Step};
use twinplate_sim::plant::kinematics::{
    ArmGeometry, CarrierMotion, Slide, carrier_motion, friction_arms,
};

/// Factor of breakaway friction over sliding friction when the drives start, as the plant has it (invented for the demo).
pub const BREAKAWAY_FACTOR: f64 = 1.3;

/// Sliding speed below which the direction of friction fades, m/s, as the plant has it (numerical, invented).
pub const FRICTION_SMOOTHING: f64 = 0.01;

/// Time that the plate runs on at its fast speed when descent changes to creep, s: the metering valve shifts in 0.06 s and the
/// plate settles on its air, as the plant has it (invented; the proof judges the real touch-down).
pub const BRAKING_TIME: f64 = 0.09;

/// A machine, a batch and a recipe to judge together.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// The batch.
    pub batch: &'a Batch,
    /// The recipe.
    pub recipe: &'a Recipe,
}

impl<'a> Case<'a> {
    /// The case of a recipe's files.
    #[must_use]
    pub const fn of(set: &'a Set) -> Self {
        Self {
            machine: &set.machine.value,
            batch: &set.batch.value,
            recipe: &set.recipe.value,
        }
    }

    /// The case of a compiled job.
    #[must_use]
    pub const fn of_job(job: &'a Job) -> Self {
        Self {
            machine: &job.machine,
            batch: &job.batch,
            recipe: &job.recipe,
        }
    }
}

impl Case<'_> {
    /// Load that a step asks for, N: its pressure on all pieces.
    #[must_use]
    pub fn setpoint(&self, step: &Step) -> f64 {
        step.pressure * self.batch.area()
    }

    /// Highest setpoint of the recipe, N.
    #[must_use]
    pub fn highest_setpoint(&self) -> f64 {
        self.recipe
            .steps
            .iter()
            .fold(0.0, |top, step| max(top, self.setpoint(step)))
    }

    /// Highest load limit of the recipe, N.
    #[must_use]
    pub fn highest_limit(&self) -> f64 {
        self.recipe
            .steps
            .iter()
            .fold(0.0, |top, step| max(top, step.load_limit))
    }

    /// Resting load at the envelope's worst low edge, N: lightest plate, strongest counterbalance.
    #[must_use]
    pub fn resting_load_low(&self) -> f64 {
        let (actuator, envelope) = (&self.machine.actuator, &self.machine.envelope);
        actuator.weight() * (1.0 - envelope.weight)
            - actuator.area_rod() * actuator.counterbalance * (1.0 + envelope.counterbalance)
    }

    /// Load at full command on the heaviest machine of the envelope, N: heaviest plate, weakest counterbalance. The mechanical
    /// relief bounds the cap pressure whatever the regulator does.
    #[must_use]
    pub fn full_command_load(&self) -> f64 {
        let (actuator, envelope) = (&self.machine.actuator, &self.machine.envelope);
        actuator.weight() * (1.0 + envelope.weight)
            - actuator.area_rod() * actuator.counterbalance * (1.0 - envelope.counterbalance)
            + actuator.line_gain()
    }

    /// Load that the weakest machine of the envelope holds at full command against its seals, N.
    #[must_use]
    pub fn reachable_load(&self) -> f64 {
        let (actuator, envelope) = (&self.machine.actuator, &self.machine.envelope);
        let regulated =
            actuator.relief_pressure * (1.0 - envelope.regulator_gain - envelope.regulator_offset);
        let supplied = actuator.supply_pressure * (1.0 - envelope.supply);
        self.resting_load_low() + actuator.area_cap() * min(regulated, supplied)
            - actuator.seal_friction * (1.0 + envelope.seal_friction)
    }

    /// Half-width of the governor at a step limit, N: gain envelope over the load above the seat, and the worst seal friction.
    #[must_use]
    pub fn governor_half_width(&self, limit: f64) -> f64 {
        let envelope = &self.machine.envelope;
        envelope.regulator_gain * max(limit - self.machine.control.initial_load, 0.0)
            + self.machine.actuator.seal_friction * (1.0 + envelope.seal_friction)
    }

    /// Half-width of the load band at a setpoint, N.
    #[must_use]
    pub fn band(&self, setpoint: f64) -> f64 {
        let control = &self.machine.control;
        max(control.band_newtons, control.band_share * setpoint)
    }

    /// Weight of all pieces, N; the lower faces carry it too.
    #[must_use]
    pub fn pieces_weight(&self) -> f64 {
        self.batch.density * self.batch.area() * self.batch.thickness * twinplate_sim::model::G
    }

    /// Contact stiffness of one piece, N/m.
    #[must_use]
    pub fn piece_stiffness(&self) -> f64 {
        self.batch.stiffness_per_area * self.batch.outline.area()
    }

    /// Peak of the total load at first contact on a contact of `stiffness` (N/m), N: `N_rest + v_creep sqrt(k m)`.
    #[must_use]
    pub fn impact_peak(&self, stiffness: f64) -> f64 {
        let actuator = &self.machine.actuator;
        actuator.resting_load() + actuator.speed_creep * sqrt(stiffness * actuator.mass)
    }

    /// Most that one piece may carry at first contact on the stiffest parts of the envelope, N: three pieces take it.
    #[must_use]
    pub fn impact_on_one(&self) -> f64 {
        let three = 3.0 * self.piece_stiffness() * self.machine.envelope.stiffness_factor;
        self.impact_peak(three) / 3.0
    }

    /// Most that one piece may carry under a total load (N), N: its even share and what an extra height of three standard
    /// deviations takes, on the stiffest and most uneven parts of the envelope, but never more than a third of the load.
    #[must_use]
    pub fn share_on_one(&self, load: f64) -> f64 {
        let envelope = &self.machine.envelope;
        let height = 3.0 * self.batch.spread * envelope.spread_factor;
        let share = load / f64::from(self.batch.pieces())
            + self.piece_stiffness() * envelope.stiffness_factor * height;
        min(share, load / 3.0)
    }

    /// Motion of the carriers in a step, rad/s.
    #[must_use]
    pub fn motion(&self, step: &Step) -> CarrierMotion {
        carrier_motion(&self.machine.geometry, &step.speeds)
    }

    /// Slide of a point at carrier radius `rho` (m) against the lower (0) or upper (1) plate.
    #[must_use]
    pub fn slide(&self, step: &Step, face: usize, rho: f64) -> Slide {
        let plate = if face == 0 {
            step.speeds[2]
        } else {
            step.speeds[3]
        };
        Slide::new(&self.machine.geometry, self.motion(step), plate, rho)
    }

    /// Mean sliding speed of the pocket centres against the lower and upper plate, m/s.
    #[must_use]
    pub fn face_speeds(&self, step: &Step) -> [f64; 2] {
        let rho = self.batch.pocket_radius;
        [
            self.slide(step, 0, rho).mean(),
            self.slide(step, 1, rho).mean(),
        ]
    }

    /// Friction torque on each drive at a load (N) and a friction coefficient, N·m, signed, drag not counted.
    #[must_use]
    pub fn friction_torque(&self, step: &Step, load: f64, friction: f64) -> [f64; 4] {
        let arm_geometry = ArmGeometry::new(
            &self.machine.geometry,
            self.batch.pocket_radius,
            FRICTION_SMOOTHING,
        );
        let arms = friction_arms(&arm_geometry, &step.speeds);
        let lower = friction * (load + self.pieces_weight());
        let upper = friction * load;
        std::array::from_fn(|i| lower * arms.lower[i] + upper * arms.upper[i])
    }

    /// Fastest drive speed of a step, rad/s.
    #[must_use]
    pub fn fastest(step: &Step) -> f64 {
        step.speeds
            .iter()
            .fold(0.0, |top, speed| max(top, abs(*speed)))
    }

    /// Time to bring a step's drives from standstill to speed or back, s.
    #[must_use]
    pub fn ramp_time(&self, step: &Step) -> f64 {
        Self::fastest(step) / self.machine.control.drive_ramp
    }

    /// Longest run-down of the recipe, s.
    #[must_use]
    pub fn longest_run_down(&self) -> f64 {
        self.recipe
            .steps
            .iter()
            .fold(0.0, |top, step| max(top, self.ramp_time(step)))
    }
}

/// rad/s to rev/min, for messages.
#[must_use]
pub fn rpm(speed: f64) -> f64 {
    speed * 30.0 / std::f64::consts::PI
}

/// m³/s to L/min, for messages.
#[must_use]
pub fn litres_per_minute(flow: f64) -> f64 {
    flow * 60_000.0
}
