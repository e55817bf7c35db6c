//! One case to judge: a machine, a batch and a recipe together, and the numbers that follow from them.

use firmware_core::judge::{WETTED, WETTING_SPARE};
use firmware_core::process_image::{DRIVES, FACES};
use firmware_core::signal::FLOW_AVERAGE_SECONDS;
use firmware_core::units::TICKS_PER_SECOND;
use twinplate_sim::bench::Job;
use twinplate_sim::compile;
use twinplate_sim::convert;
use twinplate_sim::files::Set;
use twinplate_sim::math::{abs, max, min, sqrt};
use twinplate_sim::model::{Batch, LoadingOrder, Machine, Of, Recipe, Step};
use twinplate_sim::plant::FILM_FULL;
use twinplate_sim::plant::abrasion::Abrasion;
use twinplate_sim::plant::circles::{Circles, OnCircles};
use twinplate_sim::plant::kinematics::{CarrierMotion, Slide, carrier_motion};
use twinplate_sim::plant::lot::LotInOrder;
use twinplate_sim::plant::paths::Footprint;
use twinplate_sim::plant::places::{off_centre, outermost_share, worst_share};
use twinplate_sim::plant::teeth::pull;
use twinplate_sim::plant::torque::Rubbing;
use twinplate_sim::plant::{BREAKAWAY_EXCESS, SMOOTHING};

/// Factor of breakaway friction over sliding friction when the drives start, as the plant has it (invented for the demo).
pub const BREAKAWAY_FACTOR: f64 = 1.0 + BREAKAWAY_EXCESS;

/// Time that the plate runs on at its fast speed when descent changes to creep, s: the metering valve shifts and the plate settles
/// on its air, as the plant has it (measured on machine A, nominal and heaviest: 0.045 s to 0.05 s; the trials judge the real
/// touch-down).
pub const BRAKING_TIME: f64 = 0.05;

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
    pub(crate) const fn of_job(job: &'a Job) -> Self {
        Self {
            machine: &job.machine,
            batch: &job.batch,
            recipe: &job.recipe,
        }
    }
}

impl Case<'_> {
    /// A quantity in SI as a message shows it: in the unit that was typed.
    #[must_use]
    pub(crate) fn say(&self, of: Of, si: f64, digits: usize) -> String {
        self.recipe.shown.say(of, si, digits)
    }

    /// A load (N) as a message shows it.
    #[must_use]
    pub(crate) fn load(&self, load: f64) -> String {
        self.say(Of::Load, load, 4)
    }

    /// As [`Self::say`], for a cure that asks for so much or more: the number heals as it stands.
    #[must_use]
    pub(crate) fn at_least(&self, of: Of, si: f64, digits: usize) -> String {
        self.recipe.shown.at_least(of, si, digits)
    }

    /// As [`Self::say`], for a cure that asks for so much or less.
    #[must_use]
    pub(crate) fn at_most(&self, of: Of, si: f64, digits: usize) -> String {
        self.recipe.shown.at_most(of, si, digits)
    }

    /// What the recipe's abrasive does to the batch's material.
    #[must_use]
    pub fn abrasion(&self) -> Abrasion {
        Abrasion::of(&self.recipe.consumables, &self.batch.material)
    }

    /// Load that a step asks for, N: its pressure on all pieces.
    #[must_use]
    pub fn setpoint(&self, step: &Step) -> f64 {
        step.pressure * self.batch.area()
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
    pub(crate) fn resting_load_low(&self) -> f64 {
        let (actuator, envelope) = (&self.machine.actuator, &self.machine.envelope);
        actuator.weight() * (1.0 - envelope.weight)
            - actuator.area_rod() * actuator.counterbalance * (1.0 + envelope.counterbalance)
    }

    /// Resting load at the envelope's high edge, N: heaviest plate, weakest counterbalance.
    #[must_use]
    pub(crate) fn resting_load_high(&self) -> f64 {
        let (actuator, envelope) = (&self.machine.actuator, &self.machine.envelope);
        actuator.weight() * (1.0 + envelope.weight)
            - actuator.area_rod() * actuator.counterbalance * (1.0 - envelope.counterbalance)
    }

    /// Load to which the governor lets the weakest machine of the envelope come in touch-down, N: the unseated line under a
    /// first-contact limit, on the lightest plate, the weakest regulator and against its seals.
    #[must_use]
    pub fn reached_at_touch_down(&self, first_contact_limit: f64) -> f64 {
        let (actuator, envelope) = (&self.machine.actuator, &self.machine.envelope);
        let friction = actuator.seal_friction * (1.0 + envelope.seal_friction);
        let room = first_contact_limit - friction - actuator.resting_load();
        let command = min(
            max(room, 0.0) / (actuator.line_gain() * (1.0 + envelope.regulator_gain)),
            1.0,
        );
        let share = (1.0 - envelope.regulator_gain) * command - envelope.regulator_offset;
        self.resting_load_low() + actuator.line_gain() * share - friction - self.sticking()
    }

    /// Load at full command on the heaviest machine of the envelope, N: heaviest plate, weakest counterbalance. The mechanical
    /// relief bounds the cap pressure whatever the regulator does.
    #[must_use]
    pub(crate) fn full_command_load(&self) -> f64 {
        self.resting_load_high() + self.machine.actuator.line_gain()
    }

    /// What may be missing of a load besides sliding friction, N: stiction of the seals at the envelope's worst, and a jump of the
    /// regulator.
    #[must_use]
    pub fn sticking(&self) -> f64 {
        let actuator = &self.machine.actuator;
        (actuator.seal_breakaway - actuator.seal_friction)
            * (1.0 + self.machine.envelope.seal_friction)
            + actuator.resolution * actuator.line_gain()
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

    /// Half-width of the governor at a step limit, N, as the controller has it.
    #[must_use]
    pub fn governor_half_width(&self, limit: f64) -> f64 {
        let params = compile::params_wire(self.machine);
        f64::from(params.governor_half_width(convert::newtons(limit)).get())
    }

    /// Lowest limit that a step may have at a setpoint, N, as the controller has it.
    #[must_use]
    pub fn least_limit(&self, setpoint: f64) -> f64 {
        let params = compile::params_wire(self.machine);
        f64::from(params.least_limit(convert::newtons(setpoint)).get())
    }

    /// Force with which the guides hold a fast descending plate up, N, as the highest reading of the envelope's cells shows it. The
    /// cell in the rod cannot tell it from a load.
    #[must_use]
    pub(crate) fn descent_drag(&self) -> f64 {
        let actuator = &self.machine.actuator;
        actuator.guide_drag * actuator.speed_fast * (1.0 + self.machine.envelope.cell_span)
    }

    /// Half-width of the load band at a setpoint, N, as the controller has it.
    #[must_use]
    pub fn band(&self, setpoint: f64) -> f64 {
        let params = compile::params_wire(self.machine);
        f64::from(params.band_around(convert::newtons(setpoint)).get())
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
    pub(crate) fn impact_peak(&self, stiffness: f64) -> f64 {
        let actuator = &self.machine.actuator;
        actuator.resting_load() + actuator.speed_creep * sqrt(stiffness * actuator.mass)
    }

    /// Largest share of a load that one piece can have by where the pieces lie, as the plant has it.
    #[must_use]
    pub fn worst_share(&self) -> f64 {
        worst_share(&self.machine.geometry, self.batch)
    }

    /// Share of the load that the outermost piece takes when the plate leans on it and two others, as the plant has it.
    #[must_use]
    pub fn outermost_share(&self) -> f64 {
        outermost_share(&self.machine.geometry, self.batch)
    }

    /// Most that one piece may carry at first contact on the stiffest parts of the envelope, N: its largest share of the resting load,
    /// and of the blow as much as it can have of what all pieces take, or all of it alone (see the plant's `impact_on_one`).
    #[must_use]
    pub fn impact_on_one(&self) -> f64 {
        let actuator = &self.machine.actuator;
        self.worst_share() * actuator.resting_load() + actuator.speed_creep * self.blow_on_one()
    }

    /// What of [`Case::impact_on_one`] each metre a second of creep speed adds, N·s/m.
    #[must_use]
    pub fn blow_on_one(&self) -> f64 {
        let stiffness = self.piece_stiffness() * self.machine.envelope.stiffness_factor;
        let pieces = f64::from(self.batch.pieces());
        min(1.0, self.worst_share() * sqrt(pieces)) * sqrt(stiffness * self.machine.actuator.mass)
    }

    /// Most that one piece may carry under a total load (N), N: its even share and what an extra height of three standard
    /// deviations and the plates' own form take, on the stiffest and most uneven parts of the envelope, but never more than its largest
    /// share of the load. Of a lot in order it is no less than what the piece bears that bears most.
    #[must_use]
    pub fn share_on_one(&self, load: f64) -> f64 {
        let envelope = &self.machine.envelope;
        let height = 3.0 * self.batch.spread * envelope.spread_factor + self.form_rise();
        let share = load / f64::from(self.batch.pieces())
            + self.piece_stiffness() * envelope.stiffness_factor * height;
        let in_order = match self.batch.order {
            LoadingOrder::Mixed => 0.0,
            LoadingOrder::ByThickness => self.lot_in_order(load).map_or(load, |lot| lot.worst),
        };
        min(max(share, in_order), load * self.worst_share())
    }

    /// How much more than in the mean of its path the form of the plates as new raises a piece where it raises it most, m: a parabola
    /// over `r² = e² + ρ² + 2 e ρ cos ψ`.
    #[must_use]
    fn form_rise(&self) -> f64 {
        let g = &self.machine.geometry;
        let [lower, upper] = self.machine.plates.form;
        let band = 0.25 * (g.plate_outer * g.plate_outer - g.plate_inner * g.plate_inner);
        abs(lower + upper) * 2.0 * g.radius_orbit() * self.batch.outermost() / band
    }

    /// What becomes of the batch under a load (N) when its lot is laid in by thickness, on the stiffest and most uneven parts of the
    /// envelope.
    #[must_use]
    pub(crate) fn lot_in_order(&self, load: f64) -> Option<LotInOrder> {
        let envelope = &self.machine.envelope;
        let sigma = self.batch.spread * envelope.spread_factor;
        let stiffness = self.piece_stiffness() * envelope.stiffness_factor;
        LotInOrder::of(&self.machine.geometry, self.batch, sigma, stiffness, load)
    }

    /// Largest force along the pitch circle on one tooth of a carrier in a step, N, on carriers that share the load alike: at the top of
    /// the load's band, and as the drives set out at the initial load. Plates that turn against each other nearly balance what they do to
    /// a carrier; here they rub as differently as the envelope lets them, and at the start only one of them sticks.
    #[must_use]
    pub fn force_on_tooth(&self, step: &Step) -> f64 {
        let (machine, weight) = (self.machine, self.pieces_weight());
        let [least, most] = [-1.0, 1.0].map(|edge| {
            self.recipe.consumables.friction * (1.0 + edge * machine.envelope.friction)
        });
        let arms = self.rubbing().arms(&step.speeds);
        let all = |load: f64, lower: f64, upper: f64| {
            let (below, above) = (lower * (load + weight), upper * load);
            let on = |ring: usize| below * arms.lower[ring] + above * arms.upper[ring];
            pull(&machine.geometry, on(0), on(1))
        };
        let worst = |load: f64, most: f64| max(all(load, most, least), all(load, least, most));
        let setpoint = self.setpoint(step);
        let held = worst(setpoint + self.band(setpoint), most);
        let started = worst(machine.control.initial_load, most * BREAKAWAY_FACTOR);
        max(held, started) / f64::from(machine.geometry.carriers.max(1))
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

    /// How far the middle of what the pieces carry comes from the gimbal at most, m.
    #[must_use]
    pub(crate) fn off_centre(&self) -> f64 {
        off_centre(&self.machine.geometry, self.batch)
    }

    /// The circles of pockets, with the pieces as they are dealt.
    #[must_use]
    pub(crate) fn circles(&self) -> Circles {
        Circles::new(&self.machine.geometry, self.batch)
    }

    /// Mean sliding speed of the pocket centres of each circle against the lower and upper plate, m/s.
    #[must_use]
    pub(crate) fn circle_speeds(&self, step: &Step) -> OnCircles {
        let plates = [step.speeds[2], step.speeds[3]];
        let geometry = &self.machine.geometry;
        self.circles().speeds(geometry, self.motion(step), plates)
    }

    /// The same, mean over all pieces.
    #[must_use]
    pub fn face_speeds(&self, step: &Step) -> [f64; FACES] {
        self.circles().sliding(&self.machine.geometry, &step.speeds)
    }

    /// The parts between the plates, as the plant has them.
    #[must_use]
    pub fn rubbing(&self) -> Rubbing {
        let geometry = &self.machine.geometry;
        Rubbing::new(
            geometry,
            &Footprint::of_batch(geometry, self.batch),
            SMOOTHING,
        )
    }

    /// Friction torque on each drive at a load (N) and a friction coefficient, N·m, signed, drag not counted.
    #[must_use]
    pub fn friction_torque(&self, step: &Step, load: f64, friction: f64) -> [f64; DRIVES] {
        let arms = self.rubbing().arms(&step.speeds);
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
    pub(crate) fn ramp_time(&self, step: &Step) -> f64 {
        Self::fastest(step) / self.machine.control.drive_ramp
    }

    /// Share of the film's life that is spent from a lost flow to standstill, from the dwell of a step: the plates turn on for
    /// `detection` s at its speeds and load, then run down while the load is let go (as the plant has it: a tenth dries at rest, the
    /// rest with the sliding speed, both with the root of the load over the resting load).
    #[must_use]
    pub fn film_spent(&self, step: &Step, detection: f64) -> f64 {
        let machine = self.machine;
        let full =
            machine.geometry.radius_orbit() * max(machine.drives[2].speed, machine.drives[3].speed);
        let [lower, upper] = self.face_speeds(step);
        let drying = |share: f64| 0.1 + 0.9 * share * 0.5 * (lower + upper) / full;
        let pressed = sqrt(max(
            self.setpoint(step) / machine.actuator.resting_load(),
            1.0,
        ));
        let let_go = machine.control.dump_time;
        let time =
            (detection + let_go) * drying(1.0) * pressed + self.ramp_time(step) * drying(0.5);
        time / machine.slurry.film_life
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

/// Longest pre-start that is looked into, s: the files' longest and the controller's patience.
const LONGEST_WETTING: f64 = 900.0;
/// Step of [`Wetting`], s: the plant's slow one.
const WETTING_STEP: f64 = 0.01;

/// How the gap gets wet when the pump starts at the pre-start flow on an empty line, as the plant has it, and what of it the
/// controller sees. Both times are infinite where that never happens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wetting {
    /// The controller sees slurry flow, s after the pump's start.
    pub seen: f64,
    /// The gap carries a full film, s after the pump's start.
    pub full: f64,
}

impl Wetting {
    /// Of a case.
    #[must_use]
    pub fn of(case: &Case) -> Self {
        let (slurry, flow) = (&case.machine.slurry, case.recipe.prestart_flow);
        let fill = slurry.line_volume / flow;
        let share = |lag: f64| WETTING_STEP / (lag + WETTING_STEP);
        let average = f64::from(FLOW_AVERAGE_SECONDS);
        let (mut arriving, mut averaged, mut wetness) = (0.0, 0.0, 0.0);
        let mut wetting = Self {
            seen: f64::INFINITY,
            full: f64::INFINITY,
        };
        let mut time = fill;
        while time < LONGEST_WETTING && wetting.seen + wetting.full == f64::INFINITY {
            time += WETTING_STEP;
            arriving += (flow - arriving) * share(slurry.line_lag);
            averaged += (arriving - averaged) * share(average);
            wetness +=
                (1.0 - wetness) * arriving / (slurry.flow_max * slurry.wet_time) * WETTING_STEP;
            if averaged >= slurry.flow_min {
                wetting.seen = min(wetting.seen, time);
            }
            if wetness >= FILM_FULL {
                wetting.full = min(wetting.full, time);
            }
        }
        wetting
    }

    /// Time at which the controller has proven flow for as long as it wants, s.
    #[must_use]
    pub fn proven(&self) -> f64 {
        self.seen + f64::from(WETTED) / f64::from(TICKS_PER_SECOND)
    }

    /// Longest time that the controller waits for that in a pre-start of `programmed` s.
    #[must_use]
    pub fn patience(programmed: f64) -> f64 {
        programmed + f64::from(WETTING_SPARE) / f64::from(TICKS_PER_SECOND)
    }

    /// Time at which a pre-start of `programmed` s is over, s: flow is proven, or the controller has given up.
    #[must_use]
    pub fn ends(&self, programmed: f64) -> f64 {
        min(max(programmed, self.proven()), Self::patience(programmed))
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
