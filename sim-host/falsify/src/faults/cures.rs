//! What to look at on a machine on which a cell is not as declared: the values that make the difference, with their keys.
//!
//! A declaration holds for machines built as machines are; one that is not answers otherwise for a reason that stands in its file.

use super::answers::Longer;
use super::fork::Seen;
use super::harms::Kind;
use super::judge::{Difference, Done, Place};
use super::moments::Nominal;
use firmware_core::interlock::Cond;
use firmware_core::sequence::Phase;
use twinplate_check::case::rpm;
use twinplate_check::finding::significant;
use twinplate_sim::bench::Job;
use twinplate_sim::math::min;
use twinplate_sim::model::{Component as C, Of};

/// A declared time that is raised gets this spare.
const SPARE: f64 = 1.1;

/// What to change, or to look at, for what was found in a cell; each thing once.
#[must_use]
pub fn cures(
    place: Place,
    seen: &Seen,
    found: (&[Difference], &[Done]),
    job: &Job,
    nominal: &Nominal,
) -> Vec<String> {
    let (differences, harms) = found;
    let told = Told {
        place,
        seen,
        job,
        nominal,
    };
    let mut cures: Vec<String> = Vec::new();
    let undeclared = harms.iter().filter(|harm| harm.reason.is_none());
    for cure in differences
        .iter()
        .map(|difference| told.of_difference(difference))
        .chain(undeclared.map(|harm| told.of_harm(harm.kind)))
    {
        if !cures.contains(&cure) {
            cures.push(cure);
        }
    }
    cures
}

struct Told<'a> {
    place: Place,
    seen: &'a Seen,
    job: &'a Job,
    nominal: &'a Nominal,
}

impl Told<'_> {
    fn of_difference(&self, difference: &Difference) -> String {
        // Without air nothing that follows tells more.
        if self.place.component == C::Supply {
            return self.air();
        }
        match difference {
            Difference::OtherRow { .. } | Difference::Late { .. } => self.of_row(),
            Difference::NoAnswer { .. } => self.of_component(),
            Difference::Slow { what, took, .. } => self.of_stop(*what, *took),
            Difference::Unsafe | Difference::Untold => self.of_stop(Longer::Never, 0.0),
            Difference::NotDeclared
            | Difference::NotTaken { .. }
            | Difference::Silent { .. }
            | Difference::Unheard { .. } => {
                "no value of the machine explains it: a defect of the controller or of its table; please report it".to_owned()
            }
        }
    }

    /// By the row that answered otherwise, and where.
    fn of_row(&self) -> String {
        let Some(trip) = self.seen.acted.or(self.seen.first) else {
            return self.of_component();
        };
        let is = |row: Cond| trip.index == row as usize;
        if is(Cond::PhaseTimeout) {
            return self.of_deadline(trip.phase);
        }
        if is(Cond::Flow) {
            return self.flow();
        }
        if is(Cond::StepOvertime) {
            return self.removal();
        }
        if is(Cond::NotFollowing) {
            return self.descent();
        }
        if is(Cond::Counterbalance) || is(Cond::SupplyLow) {
            return self.air();
        }
        if is(Cond::DriveRatio) {
            return self.ratio();
        }
        self.of_component()
    }

    /// By the phase that did not end in its time.
    fn of_deadline(&self, phase: Phase) -> String {
        match phase {
            Phase::SlurryPrestart | Phase::Rinse | Phase::SlurryStop => self.flow(),
            Phase::Lower | Phase::Lift => self.descent(),
            Phase::RunUp | Phase::RunDown => self.ratio(),
            Phase::TouchDown | Phase::LoadRamp | Phase::LoadRelease => self.load(),
            Phase::Rest | Phase::Precheck | Phase::Dwell | Phase::Coast | Phase::Manual => {
                self.of_component()
            }
        }
    }

    /// By what is broken.
    fn of_component(&self) -> String {
        match self.place.component {
            C::Pump | C::SlurryLine | C::FlowSensor | C::RinseWater => self.flow(),
            C::Supply | C::Counterbalance | C::RodSwitch => self.air(),
            C::RodValve | C::HeightTransmitter | C::Pin | C::Arm => self.descent(),
            C::DriveInner | C::DriveOuter | C::DriveLower | C::DriveUpper | C::Dog => self.ratio(),
            C::Agitator | C::Gauge => self.removal(),
            C::Regulator
            | C::DumpValve
            | C::DumpFeedback
            | C::LoadCell
            | C::CapTransmitter
            | C::EstopA
            | C::EstopB
            | C::GuardA
            | C::GuardB
            | C::GuardLock
            | C::TankLevel
            | C::Cooling
            | C::TempLower
            | C::TempUpper
            | C::Parts
            | C::Tick => self.load(),
        }
    }

    fn of_stop(&self, what: Longer, took: f64) -> String {
        let control = &self.job.machine.control;
        match what {
            Longer::Standstill => format!(
                "declare `control.stop-time` (now {} s) as {} s or more, or brake the drives better: by their `inertia` and `drag` they coast up to {} s",
                significant(control.stop_time, 3),
                significant(took * SPARE, 2),
                significant(self.nominal.coast, 3)
            ),
            Longer::Load => format!(
                "declare `control.dump-time` (now {} s) as {} s or more, or vent faster: `actuator.dump-lag` = {} s",
                significant(control.dump_time, 3),
                significant(took * SPARE, 2),
                significant(self.job.machine.actuator.dump_lag, 3)
            ),
            Longer::Plate => self.descent(),
            Longer::Never => format!(
                "the stop has `control.stop-time` = {} s and then `slurry.film-life` = {} s to end in",
                significant(control.stop_time, 3),
                significant(self.job.machine.slurry.film_life, 3)
            ),
        }
    }

    fn of_harm(&self, kind: Kind) -> String {
        let (machine, batch) = (&self.job.machine, &self.job.batch);
        let shown = &self.job.recipe.shown;
        if self.place.component == C::Supply {
            return self.air();
        }
        match kind {
            Kind::PartOverload | Kind::AboveRated | Kind::OnCarriers => format!(
                "`part.strength` = {}, `control.rated-load` = {}; the plate meets the parts at `actuator.speed-fast` = {} or \
                 `actuator.speed-creep` = {} with `actuator.mass` = {}",
                shown.say(Of::Load, batch.strength, 3),
                shown.say(Of::Load, machine.control.rated_load, 4),
                shown.say(Of::Travel, machine.actuator.speed_fast, 3),
                shown.say(Of::Travel, machine.actuator.speed_creep, 3),
                shown.say(Of::Mass, machine.actuator.mass, 3)
            ),
            Kind::DryTurning => format!(
                "`slurry.film-life` = {} s must outlast the stop: `control.stop-time` = {} s, coasting up to {} s",
                significant(machine.slurry.film_life, 3),
                significant(machine.control.stop_time, 3),
                significant(self.nominal.coast, 3)
            ),
            Kind::OutOfRatio | Kind::LiftTurning | Kind::MovingOpen => self.ratio(),
            Kind::Hot => format!(
                "`thermal.very-high` = {}, `thermal.cooling` = {} W/K",
                shown.say(Of::Temperature, machine.thermal.very_high, 3),
                significant(machine.thermal.cooling, 3)
            ),
            Kind::PressingOpen => self.of_stop(Longer::Load, machine.control.dump_time),
            Kind::Fell => self.air(),
            Kind::OffSize => self.removal(),
        }
    }

    fn flow(&self) -> String {
        let (slurry, recipe) = (&self.job.machine.slurry, &self.job.recipe);
        let flow = |si: f64| recipe.shown.say(Of::Flow, si, 3);
        let least = recipe
            .steps
            .iter()
            .map(|step| step.flow)
            .fold(recipe.prestart_flow, min);
        format!(
            "`slurry.flow-min` = {} against the recipe's smallest flow of {} and `slurry.rinse-flow` = {}; the flow follows with \
             `slurry.line-lag` = {} s",
            flow(slurry.flow_min),
            flow(least),
            flow(slurry.rinse_flow),
            significant(slurry.line_lag, 3)
        )
    }

    fn air(&self) -> String {
        let actuator = &self.job.machine.actuator;
        let air = |pascal: f64| self.job.recipe.shown.say(Of::Air, pascal, 3);
        format!(
            "`actuator.supply-minimum` = {} must stand well over `actuator.counterbalance` = {}, and under what is left of \
             `actuator.supply-pressure` = {}: the machine must notice before the plate hangs on nothing",
            air(actuator.supply_minimum),
            air(actuator.counterbalance),
            air(actuator.supply_pressure)
        )
    }

    fn descent(&self) -> String {
        let actuator = &self.job.machine.actuator;
        let shown = &self.job.recipe.shown;
        format!(
            "`actuator.speed-fast` = {}, `actuator.speed-creep` = {}, `actuator.height-raised` = {}, `actuator.approach` = {}",
            shown.say(Of::Travel, actuator.speed_fast, 3),
            shown.say(Of::Travel, actuator.speed_creep, 3),
            shown.say(Of::Length, actuator.height_raised, 4),
            shown.say(Of::Length, actuator.approach, 3)
        )
    }

    fn ratio(&self) -> String {
        let (machine, shown) = (&self.job.machine, &self.job.recipe.shown);
        let torques: Vec<String> = machine
            .drives
            .iter()
            .map(|drive| shown.bare(Of::Torque, drive.torque, 3))
            .collect();
        format!(
            "`drives` give {} at `control.drive-ramp` = {} rad/s² and `control.speed-tolerance` = {} rpm; the load leaves with \
             `actuator.dump-lag` = {} s",
            shown.with(Of::Torque, &torques.join(", ")),
            significant(machine.control.drive_ramp, 3),
            significant(rpm(machine.control.speed_tolerance), 3),
            significant(machine.actuator.dump_lag, 3)
        )
    }

    fn load(&self) -> String {
        let machine = &self.job.machine;
        format!(
            "`control.band` = {}, `actuator.lag` = {} s, `actuator.dead-time` = {} s, `control.filter` = {} Hz",
            self.job
                .recipe
                .shown
                .say(Of::Load, machine.control.band_newtons, 3),
            significant(machine.actuator.lag, 3),
            significant(machine.actuator.dead_time, 3),
            significant(machine.control.filter, 3)
        )
    }

    fn removal(&self) -> String {
        let slurry = &self.job.machine.slurry;
        format!(
            "`slurry.settle-time` = {} s, `slurry.stir-time` = {} s and the `longest` of the steps that end by gauge",
            significant(slurry.settle_time, 3),
            significant(slurry.stir_time, 3)
        )
    }
}
