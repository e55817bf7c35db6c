//! What to look at on a machine on which a cell is not as declared: the values that make the difference, with their keys.
//!
//! A declaration holds for machines built as machines are; one that is not answers otherwise for a reason that stands in its file.

use super::answers::Longer;
use super::fork::Seen;
use super::harms::Kind;
use super::judge::{Difference, Done, Place};
use super::machine::{air_left, lasts};
use super::moments::{Nominal, at};
use firmware_core::interlock::Cond;
use firmware_core::sequence::Phase;
use twinplate_check::case::rpm;
use twinplate_check::finding::significant;
use twinplate_sim::bench::Job;
use twinplate_sim::math::{max, min};
use twinplate_sim::model::{Component as C, Machine, Of};
use twinplate_sim::plant::harm::RATIO_LOAD;

/// A declared time that is raised gets this spare.
const SPARE: f64 = 1.1;
/// A pressure that is raised gets this.
const SPARE_AIR: f64 = 1.03;

/// Values of the machine that make a cell as declared, in SI. The tests give them to the machine and run the cell again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Setting {
    /// `control.stop-time`, s.
    StopTime(f64),
    /// `control.dump-time`, s.
    DumpTime(f64),
    /// `control.initial-load`, N.
    InitialLoad(f64),
    /// `control.emergency-stop-category` 1.
    ControlledEmergencyStop,
    /// `actuator.speed-fast`, m/s.
    SpeedFast(f64),
    /// `actuator.supply-minimum`, and with it `actuator.supply-pressure` where that is too low for it, Pa.
    Air {
        /// Minimum.
        minimum: f64,
        /// Pressure.
        pressure: f64,
    },
}

impl Setting {
    /// Gives the machine these values.
    pub const fn give(self, machine: &mut Machine) {
        match self {
            Self::StopTime(time) => machine.control.stop_time = time,
            Self::DumpTime(time) => machine.control.dump_time = time,
            Self::InitialLoad(load) => machine.control.initial_load = load,
            Self::ControlledEmergencyStop => machine.control.estop_category = 1,
            Self::SpeedFast(speed) => machine.actuator.speed_fast = speed,
            Self::Air { minimum, pressure } => {
                machine.actuator.supply_minimum = minimum;
                machine.actuator.supply_pressure = pressure;
            }
        }
    }
}

/// What to change, or to look at, so that a cell is as declared.
#[derive(Clone, Debug, PartialEq)]
pub struct Cure {
    /// For people.
    pub words: String,
    /// The values that do it, where they are known.
    pub setting: Option<Setting>,
}

/// What only says where to look.
const fn look_at(words: String) -> Cure {
    Cure {
        words,
        setting: None,
    }
}

const fn change(setting: Setting, words: String) -> Cure {
    Cure {
        words,
        setting: Some(setting),
    }
}

/// What to change, or to look at, for what was found in a cell; each thing once.
#[must_use]
pub fn cures(
    place: Place,
    seen: &Seen,
    found: (&[Difference], &[Done]),
    job: &Job,
    nominal: &Nominal,
) -> Vec<Cure> {
    let (differences, harms) = found;
    let told = Told {
        place,
        seen,
        job,
        nominal,
    };
    let mut cures: Vec<Cure> = Vec::new();
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

/// A time as it is said, s, and in words.
fn rounded(time: f64) -> (f64, String) {
    let said = significant(time, 2);
    (said.parse().unwrap_or(time), said)
}

struct Told<'a> {
    place: Place,
    seen: &'a Seen,
    job: &'a Job,
    nominal: &'a Nominal,
}

impl Told<'_> {
    fn of_difference(&self, difference: &Difference) -> Cure {
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
                look_at("no value of the machine explains it: a defect of the controller or of its table; please report it".to_owned())
            }
        }
    }

    /// By the row that answered otherwise, and where.
    fn of_row(&self) -> Cure {
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
    fn of_deadline(&self, phase: Phase) -> Cure {
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
    fn of_component(&self) -> Cure {
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

    fn of_stop(&self, what: Longer, took: f64) -> Cure {
        let control = &self.job.machine.control;
        match what {
            Longer::Standstill => {
                let (time, said) = rounded(took * SPARE);
                change(
                    Setting::StopTime(time),
                    format!(
                        "declare `control.stop-time` (now {} s) as {said} s or more, or brake the drives better: by their `inertia` and `drag` they coast up to {} s",
                        significant(control.stop_time, 3),
                        significant(self.nominal.coast, 3)
                    ),
                )
            }
            Longer::Load => {
                let (time, said) = rounded(took * SPARE);
                change(
                    Setting::DumpTime(time),
                    format!(
                        "declare `control.dump-time` (now {} s) as {said} s or more, or vent faster: `actuator.dump-lag` = {} s",
                        significant(control.dump_time, 3),
                        significant(self.job.machine.actuator.dump_lag, 3)
                    ),
                )
            }
            Longer::Plate => self.descent(),
            Longer::Never => look_at(format!(
                "the stop has `control.stop-time` = {} s and then `slurry.film-life` = {} s to end in",
                significant(control.stop_time, 3),
                significant(self.job.machine.slurry.film_life, 3)
            )),
        }
    }

    fn of_harm(&self, kind: Kind) -> Cure {
        let machine = &self.job.machine;
        let shown = &self.job.recipe.shown;
        if self.place.component == C::Supply {
            return self.air();
        }
        match kind {
            Kind::PartOverload | Kind::AboveRated | Kind::OnCarriers => self.blow(),
            Kind::DryTurning => look_at(format!(
                "`slurry.film-life` = {} s must outlast the stop: `control.stop-time` = {} s, coasting up to {} s",
                significant(machine.slurry.film_life, 3),
                significant(machine.control.stop_time, 3),
                significant(self.nominal.coast, 3)
            )),
            Kind::OutOfRatio => self.seated(),
            Kind::LiftTurning | Kind::MovingOpen => self.ratio(),
            Kind::Hot => look_at(format!(
                "`thermal.very-high` = {}, `thermal.cooling` = {} W/K",
                shown.say(Of::Temperature, machine.thermal.very_high, 3),
                significant(machine.thermal.cooling, 3)
            )),
            Kind::PressingOpen => self.of_stop(Longer::Load, machine.control.dump_time),
            Kind::Fell => self.air(),
            Kind::OffSize => self.removal(),
        }
    }

    /// A plate that meets what it does not expect: the blow grows with its speed.
    fn blow(&self) -> Cure {
        let (machine, batch) = (&self.job.machine, &self.job.batch);
        let shown = &self.job.recipe.shown;
        let speeds = format!(
            "`part.strength` = {}, `control.rated-load` = {}; the plate meets the parts at `actuator.speed-fast` = {} or \
             `actuator.speed-creep` = {} with `actuator.mass` = {}",
            shown.say(Of::Load, batch.strength, 3),
            shown.say(Of::Load, machine.control.rated_load, 4),
            shown.say(Of::Travel, machine.actuator.speed_fast, 3),
            shown.say(Of::Travel, machine.actuator.speed_creep, 3),
            shown.say(Of::Mass, machine.actuator.mass, 3)
        );
        let over = self.seen.first_contact / machine.control.rated_load;
        if over <= 1.0 || self.place.column > at(Phase::Lower) {
            return look_at(speeds);
        }
        let speed = machine.actuator.speed_fast / over / SPARE;
        change(
            Setting::SpeedFast(speed),
            format!(
                "lower `actuator.speed-fast` to {} or less, or find parts by a longer `actuator.approach` (now {}): {speeds}",
                shown.at_most(Of::Travel, speed, 2),
                shown.say(Of::Length, machine.actuator.approach, 3)
            ),
        )
    }

    fn flow(&self) -> Cure {
        let (slurry, recipe) = (&self.job.machine.slurry, &self.job.recipe);
        let flow = |si: f64| recipe.shown.say(Of::Flow, si, 3);
        let least = recipe
            .steps
            .iter()
            .map(|step| step.flow)
            .fold(recipe.prestart_flow, min);
        look_at(format!(
            "`slurry.flow-min` = {} against the recipe's smallest flow of {} and `slurry.rinse-flow` = {}; the flow follows with \
             `slurry.line-lag` = {} s",
            flow(slurry.flow_min),
            flow(least),
            flow(slurry.rinse_flow),
            significant(slurry.line_lag, 3)
        ))
    }

    /// Air that falls from its minimum until its row asks must still be what the plate hangs on.
    fn air(&self) -> Cure {
        let actuator = &self.job.machine.actuator;
        let shown = &self.job.recipe.shown;
        let air = |pascal: f64| shown.say(Of::Air, pascal, 3);
        let left = air_left(self.job);
        if actuator.supply_minimum * left < actuator.counterbalance {
            let minimum = actuator.counterbalance / left * SPARE_AIR;
            let needed = minimum / (1.0 - self.job.machine.envelope.supply) * SPARE_AIR;
            let pressure = max(actuator.supply_pressure, needed);
            return change(
                Setting::Air { minimum, pressure },
                format!(
                    "raise `actuator.supply-minimum` (now {}) to {} or more, with `actuator.supply-pressure` = {} or more: in the {} s until its row asks, \
                     lost air falls to {} % of it, and the plate hangs on `actuator.counterbalance` = {}",
                    air(actuator.supply_minimum),
                    shown.at_least(Of::Air, minimum, 3),
                    shown.at_least(Of::Air, pressure, 3),
                    significant(lasts(Cond::SupplyLow, self.job), 2),
                    significant(100.0 * left, 2),
                    air(actuator.counterbalance)
                ),
            );
        }
        look_at(format!(
            "`actuator.supply-minimum` = {} must stand well over `actuator.counterbalance` = {}, and under what is left of \
             `actuator.supply-pressure` = {}: the machine must notice before the plate hangs on nothing",
            air(actuator.supply_minimum),
            air(actuator.counterbalance),
            air(actuator.supply_pressure)
        ))
    }

    fn descent(&self) -> Cure {
        let actuator = &self.job.machine.actuator;
        let shown = &self.job.recipe.shown;
        look_at(format!(
            "`actuator.speed-fast` = {}, `actuator.speed-creep` = {}, `actuator.height-raised` = {}, `actuator.approach` = {}",
            shown.say(Of::Travel, actuator.speed_fast, 3),
            shown.say(Of::Travel, actuator.speed_creep, 3),
            shown.say(Of::Length, actuator.height_raised, 4),
            shown.say(Of::Length, actuator.approach, 3)
        ))
    }

    /// Drives out of ratio under load: also while they run up and down, where the load that parts are seated with is one that counts.
    fn seated(&self) -> Cure {
        let (actuator, control) = (&self.job.machine.actuator, &self.job.machine.control);
        let shown = &self.job.recipe.shown;
        let load = |newtons: f64| shown.say(Of::Load, newtons, 3);
        let counts = RATIO_LOAD * actuator.resting_load();
        let band = max(
            control.band_newtons,
            control.band_share * control.initial_load,
        );
        let cut = self
            .seen
            .acted
            .is_some_and(|trip| trip.index == Cond::Estop as usize);
        if cut && control.estop_category == 0 {
            return change(
                Setting::ControlledEmergencyStop,
                "`control.emergency-stop-category` = 1, if the machine's risk assessment allows it: with their power cut under load, drives \
                 coast each by its own `inertia` and `drag`, and in category 1 they come down together first"
                    .to_owned(),
            );
        }
        if control.initial_load + band <= counts {
            return self.ratio();
        }
        let most = counts - band;
        change(
            Setting::InitialLoad(most),
            format!(
                "lower `control.initial-load` (now {}, with `control.band` = {}) to {} or less: the drives run up and down under it, and from {} \
                 on, three times the resting load, carriers suffer from a drive that has failed",
                load(control.initial_load),
                load(band),
                shown.at_most(Of::Load, most, 3),
                load(counts)
            ),
        )
    }

    fn ratio(&self) -> Cure {
        let (machine, shown) = (&self.job.machine, &self.job.recipe.shown);
        let torques: Vec<String> = machine
            .drives
            .iter()
            .map(|drive| shown.bare(Of::Torque, drive.torque, 3))
            .collect();
        look_at(format!(
            "`drives` give {} at `control.drive-ramp` = {} rad/s² and `control.speed-tolerance` = {} rpm; the load leaves with \
             `actuator.dump-lag` = {} s",
            shown.with(Of::Torque, &torques.join(", ")),
            significant(machine.control.drive_ramp, 3),
            significant(rpm(machine.control.speed_tolerance), 3),
            significant(machine.actuator.dump_lag, 3)
        ))
    }

    fn load(&self) -> Cure {
        let machine = &self.job.machine;
        look_at(format!(
            "`control.band` = {}, `actuator.lag` = {} s, `actuator.dead-time` = {} s, `control.filter` = {} Hz",
            self.job
                .recipe
                .shown
                .say(Of::Load, machine.control.band_newtons, 3),
            significant(machine.actuator.lag, 3),
            significant(machine.actuator.dead_time, 3),
            significant(machine.control.filter, 3)
        ))
    }

    fn removal(&self) -> Cure {
        let slurry = &self.job.machine.slurry;
        look_at(format!(
            "`slurry.settle-time` = {} s, `slurry.stir-time` = {} s and the `longest` of the steps that end by gauge",
            significant(slurry.settle_time, 3),
            significant(slurry.stir_time, 3)
        ))
    }
}
