//! True values: what no sensor of the machine shows, for judging, scoring and drawing.

use super::Plant;
use super::part_form::FormOfPart;
use super::places::Pocket;
use firmware_core::process_image::{DRIVES, FACES};

/// What one part bore, and when.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PartLoad {
    /// N.
    pub load: f64,
    /// What each part would have borne had all shared alike, N.
    pub mean: f64,
    /// Number of the part, from 0.
    pub part: usize,
    /// Tick.
    pub tick: u64,
}

/// How the plate leant under load, and what it would have taken to hold it level.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Leaning {
    /// Largest slope of the plate, rad.
    pub slope: f64,
    /// Tick of it.
    pub tick: u64,
    /// Largest moment about the gimbal, N·m: load times how far the middle of what carries it, each by its stiffness, comes from the
    /// gimbal as the carriers turn. The gimbal gives none: the plate leans instead.
    pub moment: f64,
}

/// The plant's true state after a step. SI units; a type of its own, so that it cannot be taken for a measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Truth {
    /// Ticks since the beginning.
    pub tick: u64,
    /// Contact load on the upper faces, runout included, N.
    pub load: f64,
    /// Contact load without the runout ripple, N.
    pub load_without_runout: f64,
    /// Force in the rod, down positive, runout included, N.
    pub rod_force: f64,
    /// Height of the upper plate over the lower, m.
    pub height: f64,
    /// Speed of the upper plate, up positive, m/s.
    pub plate_speed: f64,
    /// Drive speeds, rad/s, `Drive` order.
    pub speeds: [f64; DRIVES],
    /// Motor torques, N·m, `Drive` order.
    pub torques: [f64; DRIVES],
    /// Friction torque of the parts on each drive, N·m.
    pub friction_torques: [f64; DRIVES],
    /// Mean sliding speed of a part against the lower and the upper plate, m/s, renewed every 100 ticks.
    pub sliding: [f64; FACES],
    /// Cap-side pressure, Pa gauge.
    pub cap_pressure: f64,
    /// Rod-side pressure, Pa gauge.
    pub rod_pressure: f64,
    /// Supply pressure, Pa gauge.
    pub supply_pressure: f64,
    /// Slurry flow at the plate, m³/s.
    pub flow: f64,
    /// Rinse water flow at the plate, m³/s.
    pub rinse_flow: f64,
    /// Wetness of the gap, 0..1.
    pub wetness: f64,
    /// Share of the load that the film carries, 0..1.
    pub film: f64,
    /// Suspended fraction of the abrasive in the tank, 0..1.
    pub suspended: f64,
    /// Abrasive in the gap against fresh slurry, 0..1.
    pub charge: f64,
    /// Cutting ability of the grains in the gap, 0..1.
    pub sharpness: f64,
    /// What swarf in the gap leaves of the cut, 0..1.
    pub cleared: f64,
    /// Slurry used, m³.
    pub slurry_used: f64,
    /// Friction coefficient in force.
    pub friction: f64,
    /// Lower and upper plate, °C.
    pub temperatures: [f64; FACES],
    /// Mean thickness of the real parts present, m.
    pub thickness: f64,
    /// Mean removal of the lower and of the upper face since loading, m.
    pub removed: [f64; FACES],
    /// Roughness Ra, m.
    pub roughness: f64,
    /// Damage depth left in the lower and in the upper face, m.
    pub damage: [f64; FACES],
    /// Highest first-contact peak since the plate was last raised: total, N.
    pub first_contact: f64,
    /// The same on the one part that carried most, N.
    pub first_contact_part: f64,
    /// Load on the part that bears most, at the peak of the last window of 100 ticks with a load, N.
    pub part_load: f64,
    /// Which part that is, from 0.
    pub part_most: usize,
    /// Slopes of the upper plate along and across the machine, renewed every 100 ticks, rad.
    pub tilt: [f64; 2],
    /// Opening of the dump valve, 0..1.
    pub dump: f64,
    /// The guard is open: a person may be in reach.
    pub guard_open: bool,
}

/// The few true values that are looked at every tick; building a whole [`Truth`] every tick would cost as much as the physics.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FastTruth {
    /// As [`Truth::load`].
    pub load: f64,
    /// As [`Truth::load_without_runout`].
    pub load_without_runout: f64,
    /// As [`Truth::cap_pressure`].
    pub cap_pressure: f64,
    /// As [`Truth::speeds`].
    pub speeds: [f64; DRIVES],
    /// As [`Truth::torques`].
    pub torques: [f64; DRIVES],
    /// As [`Truth::first_contact`] and [`Truth::first_contact_part`].
    pub first_contact: [f64; 2],
    /// The drives made a cycle in the last step: only then do speeds and torques differ from the step before.
    pub turned: bool,
}

impl Plant {
    /// The fast ones of the true values after the last step.
    #[inline(always)]
    #[must_use]
    pub fn fast_truth(&self) -> FastTruth {
        FastTruth {
            load: self.axis.load + self.ripple,
            load_without_runout: self.axis.load,
            cap_pressure: self.cap.pressure,
            speeds: self.drives.speed,
            torques: self.drives.torque,
            first_contact: self.first_contact,
            turned: self.until_drives == super::DRIVE_TICKS,
        }
    }

    /// True values after the last step.
    #[must_use]
    pub fn truth(&self) -> Truth {
        Truth {
            tick: self.tick,
            load: self.axis.load + self.ripple,
            load_without_runout: self.axis.load,
            rod_force: self.axis.rod_force + self.ripple,
            height: self.axis.z,
            plate_speed: self.axis.v,
            speeds: self.drives.speed,
            torques: self.drives.torque,
            friction_torques: self.drives.friction,
            sliding: self.sliding.mean,
            cap_pressure: self.cap.pressure,
            rod_pressure: self.axis.rod_pressure,
            supply_pressure: self.supply,
            flow: self.slurry.flow,
            rinse_flow: self.slurry.rinse,
            wetness: self.slurry.wetness,
            film: self.slurry.film(),
            suspended: self.lasting.tank.suspended,
            charge: self.slurry.charge,
            sharpness: self.slurry.sharpness,
            cleared: self.slurry.cleared(),
            slurry_used: self.slurry.used,
            friction: self.friction[2],
            temperatures: self.lasting.heat.plates,
            thickness: self.parts.mean,
            removed: self.parts.mean_removed,
            roughness: self.parts.roughness(),
            damage: self.parts.damage(),
            first_contact: self.first_contact[0],
            first_contact_part: self.first_contact[1],
            part_load: self.pressed.load,
            part_most: self.pressed.part,
            tilt: self.seat.plane.slope,
            dump: self.dump,
            guard_open: self.station.guard_open,
        }
    }

    /// True contact load with and without the runout ripple, N: for judging every tick without building a whole [`Truth`].
    #[inline]
    #[must_use]
    pub fn load(&self) -> [f64; 2] {
        [self.axis.load + self.ripple, self.axis.load]
    }

    /// The largest load on one part since the parts were laid in, first contacts apart; `None` before the first.
    #[must_use]
    pub(crate) const fn most_on_a_part(&self) -> Option<PartLoad> {
        self.most
    }

    /// How the plate leant since the parts were laid in.
    #[must_use]
    pub fn leaning(&self) -> Leaning {
        self.leaning
    }

    /// The largest force along the pitch circle on one tooth of a carrier since the carriers were laid in, N.
    #[must_use]
    pub(crate) const fn most_on_a_tooth(&self) -> f64 {
        self.teeth.most
    }

    /// Forms of the parts in pocket order, dummies last.
    pub fn part_forms(&self) -> impl ExactSizeIterator<Item = FormOfPart> + '_ {
        (0..self.parts.count()).map(|i| self.forms.parts.form(i))
    }

    /// The pocket of a part, by its number from 0.
    #[must_use]
    pub fn pocket(&self, part: usize) -> Pocket {
        self.seat.places.pocket(part)
    }

    /// Where a part lies now, by its number from 0: along and across the machine from its centre, m.
    #[must_use]
    pub fn place(&self, part: usize) -> [f64; 2] {
        let places = &self.seat.places;
        [&places.x, &places.y].map(|list| list.get(part).copied().unwrap_or(0.0))
    }

    /// Highest first contact since the plate was last raised: total and on one part, N.
    #[inline]
    #[must_use]
    pub fn first_contact(&self) -> [f64; 2] {
        self.first_contact
    }
}
