//! Loading a machine: from the files' numbers and one draw of the envelope to the state at the beginning.

use super::abrasion::Abrasion;
use super::actuator::{CapSide, Pin, RodSide};
use super::axis::Axis;
use super::circles::Sliding;
use super::contact::Contact;
use super::drives::Drives;
use super::fault::Faults;
use super::forms::Forms;
use super::harm::Harm;
use super::heat::Gauge;
use super::lasting::Lasting;
use super::load::Stock;
use super::places;
use super::sense::{Scale, Station};
use super::slurry::Slurry;
use super::teeth::Teeth;
use super::truth::{Leaning, PartLoad};
use super::{DRIVE_TICKS, Plant, SLOW_TICKS, Substeps, Timing, WINDOW_SLOWS, monitor};
use crate::math::max;
use crate::model::{Batch, Consumables, Deviations, Machine};
use firmware_core::process_image::{Inputs, Outputs, RodValve};

/// Nominal numbers that faults and monitors refer to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Nominal {
    pub supply: f64,
    pub balance: f64,
    pub resting: f64,
    pub line_gain: f64,
    pub speed_fast: f64,
    pub full_sliding: f64,
    pub very_high: f64,
    pub thickness: f64,
    pub raised: f64,
}

impl Nominal {
    fn new(machine: &Machine, batch: &Batch, dev: &Deviations) -> Self {
        let (a, g) = (&machine.actuator, &machine.geometry);
        Self {
            supply: a.supply_pressure * dev.supply,
            balance: a.counterbalance * dev.counterbalance,
            resting: max(a.resting_load(), 1e-3),
            line_gain: a.line_gain(),
            speed_fast: max(a.speed_fast, 1e-6),
            full_sliding: max(
                g.radius_orbit() * max(machine.drives[2].speed, machine.drives[3].speed),
                1e-3,
            ),
            very_high: machine.thermal.very_high,
            thickness: batch.thickness,
            raised: a.height_raised,
        }
    }
}

/// A piece's share of the weight of all carriers, N: parts stuck to the plate bring their carrier along.
fn carrier_share(machine: &Machine, batch: &Batch) -> f64 {
    let radius = machine.geometry.radius_carrier();
    let area = std::f64::consts::PI * radius * radius;
    let weight =
        batch.carrier_material.density() * area * batch.carrier_thickness * crate::model::G;
    weight * f64::from(machine.geometry.carriers) / max(f64::from(batch.pieces()), 1.0)
}

impl Plant {
    /// A machine that differs from its file by `dev`, before its first batch and loaded with it: plate raised and pinned, guard closed
    /// and locked, emergency stop released, air on, no flow, tank full and stirred, gap dry.
    #[must_use]
    pub fn new(
        machine: &Machine,
        batch: &Batch,
        consumables: &Consumables,
        dev: &Deviations,
        seed: u64,
    ) -> Self {
        let substeps = Substeps::ONE;
        let unused = Lasting::new(machine, dev, seed, substeps);
        Self::after(unused, machine, batch, consumables, dev, seed, substeps)
    }

    /// As [`Plant::new`], with what `lasting` brings from the batches before, and with so many `substeps`: as many as `lasting` has.
    #[must_use]
    pub fn after(
        lasting: Lasting,
        machine: &Machine,
        batch: &Batch,
        consumables: &Consumables,
        dev: &Deviations,
        seed: u64,
        substeps: Substeps,
    ) -> Self {
        let timing = Timing::of(substeps);
        let (a, g) = (&machine.actuator, &machine.geometry);
        let stock = Stock::new(machine, batch, consumables, dev, seed);
        let forms = Forms::new(machine, batch, consumables.process, dev, seed);
        let (parts, seat) = stock.laid_in(g, forms.rise(&lasting.plates));
        let contact = Contact::new(&seat);
        let nominal = Nominal::new(machine, batch, dev);
        let [wet, dry] = [consumables.friction, consumables.friction_dry].map(|f| f * dev.friction);
        let mut plant = Self {
            timing,
            tick: 0,
            until_drives: DRIVE_TICKS,
            until_slow: SLOW_TICKS / DRIVE_TICKS,
            until_window: WINDOW_SLOWS,
            inputs: Inputs::default(),
            orders: Outputs::default(),
            cap: CapSide::new(machine, dev, timing),
            rod: RodSide::new(machine, timing),
            pin: Pin::new(a.height_raised),
            drives: Drives::new(machine, batch, timing.drive_step),
            slurry: Slurry::new(machine, consumables, timing.slow),
            lasting,
            gauge: Gauge::new(parts.mean, timing.window, dev, seed),
            forms,
            faults: Faults::new(seed),
            harm: Harm::default(),
            station: Station::new(machine),
            scale: Scale::new(machine),
            loaded: true,
            stock: std::sync::Arc::new(stock),
            geometry: g.clone(),
            area_cap: a.area_cap(),
            dog: a.dog_friction / max(a.dog_radius, 1e-3),
            dog_stiffness: 0.0,
            dog_relax: 0.0,
            supply: nominal.supply,
            balance: nominal.balance,
            nominal,
            friction: [wet, dry, dry],
            removal: Abrasion::of(consumables, &batch.material).removal * dev.removal,
            present: parts.present(),
            parts_weight: parts.part_weight() * parts.present(),
            stuck_weight: parts.part_weight() + carrier_share(machine, batch),
            strength: max(batch.strength, 1e-9),
            worst_share: places::worst_share(g, batch),
            teeth: Teeth::default(),
            pressed: PartLoad::default(),
            most: None,
            leaning: Leaning::default(),
            off_centre: seat.places.off_centre(parts.tops().1),
            loaded_area: max(batch.area(), 1e-9),
            runout: g.runout_ripple,
            phase: [1.0, 0.0],
            turn: [1.0, 0.0],
            ripple: 0.0,
            dump: 1.0,
            valve: RodValve::Trapped,
            first_contact: [0.0; 2],
            load_sum: 0.0,
            load_peak: 0.0,
            cutting_sum: 0.0,
            sliding: Sliding::new(g, batch),
            watch: monitor::Watch::default(),
            axis: Axis::new(machine, dev, timing.fast),
            seat,
            contact,
            parts,
        };
        plant.look();
        plant
    }

    /// What the sensors show before anything has moved.
    fn look(&mut self) {
        let weight = -self.axis.weight();
        self.sense_fast(weight);
        self.sense_switches(0.0);
        self.sense_slow();
    }

    /// What the next batch finds of the machine.
    #[must_use]
    pub const fn lasting(&self) -> &Lasting {
        &self.lasting
    }
}
