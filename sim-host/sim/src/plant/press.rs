//! What a window put on single parts and single teeth.

use super::Plant;
use super::truth::PartLoad;
use crate::math::{max, min};

impl Plant {
    /// What the window's friction put on one tooth: a carrier has the share of it that it has of the load.
    pub(super) fn close_teeth(&mut self, load: f64) {
        let places = &self.seat.places;
        if load > 0.0 {
            let bound = min(
                self.parts.worst_load() * places.most_on_a_carrier / load,
                1.0,
            );
            let parts = &self.parts;
            self.teeth
                .close(bound, || places.carrier_share(parts.loads()));
        } else {
            let even = 1.0 / f64::from(self.geometry.carriers.max(1));
            self.teeth.close(even, || even);
        }
    }

    /// What the window's highest load put on single parts.
    pub(super) fn press_parts(&mut self) {
        let peak = self.load_peak;
        if peak <= 0.0 {
            return;
        }
        let height = self.contact.height_for(peak, self.seat.plane.height);
        let mean = peak / max(self.present, 1.0);
        let load = self.parts.press(peak, mean, &self.contact, height);
        self.harm
            .part_overload
            .note(self.tick, load / self.strength, 1.0, self.timing.window);
        let now = PartLoad {
            load,
            mean,
            part: self.parts.worst,
            tick: self.tick,
        };
        if load > self.most.map_or(0.0, |most| most.load) {
            self.most = Some(now);
        }
        self.pressed = now;
        let slope = self.seat.plane.steepness();
        if slope > self.leaning.slope {
            (self.leaning.slope, self.leaning.tick) = (slope, self.tick);
        }
        self.leaning.moment = max(self.leaning.moment, peak * self.off_centre);
    }
}
