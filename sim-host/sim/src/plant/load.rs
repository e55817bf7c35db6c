//! Carriers and parts laid into the machine and taken out of it.

use super::Plant;
use super::footing::Rise;
use super::parts::Parts;
use super::places::Places;
use super::seat::Seat;
use super::teeth::Teeth;
use super::truth::Leaning;
use crate::model::{
    Batch, Component, Conditioning, Consumables, Deviations, FaultMode, Geometry, Machine,
    StationAct,
};

/// What is on the bench beside the machine: parts of the batch, drawn afresh for each loading.
#[derive(Debug, PartialEq)]
pub(super) struct Stock {
    conditioning: Option<Conditioning>,
    batch: Batch,
    consumables: Consumables,
    deviations: Deviations,
    seed: u64,
}

impl Stock {
    pub fn new(
        machine: &Machine,
        batch: &Batch,
        consumables: &Consumables,
        dev: &Deviations,
        seed: u64,
    ) -> Self {
        Self {
            conditioning: machine.conditioning.clone(),
            batch: batch.clone(),
            consumables: consumables.clone(),
            deviations: *dev,
            seed,
        }
    }

    pub const fn conditioning(&self) -> Option<&Conditioning> {
        self.conditioning.as_ref()
    }

    /// Grain of the recipe's abrasive, m.
    pub const fn grain(&self) -> f64 {
        self.consumables.grain
    }

    /// Grains that the recipe asks for, share of the slurry's mass.
    pub const fn concentration(&self) -> f64 {
        self.consumables.concentration
    }

    pub const fn seed(&self) -> u64 {
        self.seed
    }

    /// A first loading in its places, between plates that add `rise` to the tops.
    pub(super) fn laid_in(&self, geometry: &Geometry, rise: Rise) -> (Parts, Seat) {
        let places = Places::new(geometry, &self.batch);
        let parts = self.drawn(self.seed, &places);
        let seat = Seat::with(places, rise, self.batch.carrier_thickness, parts.tops());
        (parts, seat)
    }

    fn drawn(&self, seed: u64, places: &Places) -> Parts {
        Parts::new(
            &self.batch,
            &self.consumables,
            &self.deviations,
            seed,
            places,
        )
    }
}

impl Plant {
    /// Carriers with parts lie in the machine.
    #[must_use]
    pub const fn loaded(&self) -> bool {
        self.loaded
    }

    /// The guard is open and the parked plate is held by its pin: hands can reach the pockets.
    #[must_use]
    pub fn reachable(&self) -> bool {
        self.station.guard_open && self.pin.holds() && self.axis.load <= 0.0
    }

    /// How a component fails, with the magnitude; `None` for one that is whole.
    #[must_use]
    pub fn failing(&self, component: Component) -> Option<(FaultMode, f64)> {
        self.faults.get(component)
    }

    /// Level of the slurry tank, 0..1.
    #[must_use]
    pub const fn level(&self) -> f64 {
        self.lasting.tank.level
    }

    /// Load on one part at which it may crack, N.
    #[must_use]
    pub const fn strength(&self) -> f64 {
        self.strength
    }

    /// The machine before its first carriers: as new, with the pockets empty. For a session that begins so.
    #[must_use]
    pub fn emptied(mut self) -> Self {
        self.take_out();
        self.sense_slow();
        self
    }

    pub(super) fn load_or_unload(&mut self, act: StationAct) {
        match act {
            StationAct::LoadCarriers if !self.loaded && self.reachable() => self.lay_in(),
            StationAct::UnloadCarriers if self.loaded && self.reachable() => self.take_out(),
            _ => {}
        }
    }

    fn lay_in(&mut self) {
        self.lasting.left_over.laid_in(self.tick);
        let stock = &self.stock;
        // Parts are drawn from the seed and the tick: another loading has other parts, and a replay the same.
        self.parts = stock.drawn(stock.seed ^ self.tick, &self.seat.places);
        self.forms
            .lay_in(&stock.batch, &stock.deviations, stock.seed ^ self.tick);
        let carriers = stock.batch.carrier_thickness;
        self.loaded = true;
        self.most = None;
        self.leaning = Leaning::default();
        self.teeth = Teeth::default();
        self.seat.set_carrier_top(carriers);
        match self.faults.get(Component::Parts) {
            Some((mode, count)) => self.misplace(mode, count),
            None => self.reload(),
        }
    }

    fn take_out(&mut self) {
        self.loaded = false;
        self.parts.take_out();
        self.seat.set_carrier_top(0.0);
        self.reload();
    }

    /// Misplaces parts as a fault says, where there are any.
    pub(super) fn misplace(&mut self, mode: FaultMode, count: f64) {
        if !self.loaded {
            return;
        }
        self.parts.restore();
        match mode {
            FaultMode::Off => self.parts.empty(count as usize),
            FaultMode::Wrong => self.parts.double(count as usize),
            _ => {}
        }
        self.reload();
    }
}
