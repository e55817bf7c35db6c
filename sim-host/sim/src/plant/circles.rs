//! Circles of pockets in the carriers: how many pieces lie on each, and how fast they slide there.
//!
//! A piece goes at the speed of its own circle, so pieces on other circles lose other depths. What is kept for each circle has room for
//! as many as a file can have: a tick allocates nothing.

use super::kinematics::{CarrierMotion, Slide, carrier_motion};
use super::places;
use crate::math::max;
use crate::model::{Batch, CIRCLES, Geometry};
use firmware_core::process_image::{DRIVES, FACES};

/// A number for the lower and the upper face of the pieces on each circle.
pub type OnCircles = [[f64; FACES]; CIRCLES];

/// The circles of a batch's carriers, in the batch's order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circles {
    count: usize,
    radius: [f64; CIRCLES],
    /// Pieces on each in the whole machine, and their share of all.
    pieces: [f64; CIRCLES],
    share: [f64; CIRCLES],
}

impl Circles {
    /// As the batch's pieces are dealt.
    #[must_use]
    pub fn new(geometry: &Geometry, batch: &Batch) -> Self {
        let mut circles = Self {
            count: batch.circles.len().min(CIRCLES),
            radius: [0.0; CIRCLES],
            pieces: places::on_circles(geometry, batch).map(f64::from),
            share: [0.0; CIRCLES],
        };
        let all = max(f64::from(batch.pieces()), 1.0);
        for (i, circle) in batch.circles.iter().take(CIRCLES).enumerate() {
            circles.radius[i] = circle.radius;
            circles.share[i] = circles.pieces[i] / all;
        }
        circles
    }

    /// How many there are.
    #[must_use]
    pub const fn count(&self) -> usize {
        self.count
    }

    /// Radius (m) and pieces of each.
    pub fn iter(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        let all = self.radius.iter().zip(&self.pieces).take(self.count);
        all.map(|(radius, pieces)| (*radius, *pieces))
    }

    /// Mean over the pieces of a number of each circle.
    #[must_use]
    pub fn mean(&self, of: impl Fn(usize) -> f64) -> f64 {
        (0..self.count).fold(0.0, |sum, i| sum + self.share[i] * of(i))
    }

    /// Mean sliding speed of each circle against the lower and the upper plate, m/s: that of its pockets' centres over a turn of
    /// their carrier. `plates` in rad/s.
    #[must_use]
    pub fn speeds(
        &self,
        geometry: &Geometry,
        motion: CarrierMotion,
        plates: [f64; FACES],
    ) -> OnCircles {
        let mut speeds = [[0.0; FACES]; CIRCLES];
        for (speeds, radius) in speeds.iter_mut().zip(self.radius).take(self.count) {
            *speeds = plates.map(|plate| Slide::new(geometry, motion, plate, radius).mean());
        }
        speeds
    }

    /// Mean sliding speed of all pieces against the lower and the upper plate at these speeds of the drives (rad/s), m/s.
    #[must_use]
    pub fn sliding(&self, geometry: &Geometry, drives: &[f64; DRIVES]) -> [f64; FACES] {
        let motion = carrier_motion(geometry, drives);
        let [_, _, lower, upper] = *drives;
        self.mean_of(&self.speeds(geometry, motion, [lower, upper]))
    }

    /// Mean of the faces over the pieces.
    fn mean_of(&self, on: &OnCircles) -> [f64; FACES] {
        [0, 1].map(|face| self.mean(|i| on[i][face]))
    }
}

/// How fast the parts slide: on each circle and in the mean, renewed every hundred ticks, m/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sliding {
    pub circles: Circles,
    pub speeds: OnCircles,
    pub mean: [f64; FACES],
}

impl Sliding {
    /// At rest.
    pub(super) fn new(geometry: &Geometry, batch: &Batch) -> Self {
        Self {
            circles: Circles::new(geometry, batch),
            speeds: OnCircles::default(),
            mean: [0.0; FACES],
        }
    }

    /// Takes over how carriers and plates turn, rad/s.
    pub(super) fn renew(
        &mut self,
        geometry: &Geometry,
        motion: CarrierMotion,
        plates: [f64; FACES],
    ) {
        self.speeds = self.circles.speeds(geometry, motion, plates);
        self.mean = self.circles.mean_of(&self.speeds);
    }
}
