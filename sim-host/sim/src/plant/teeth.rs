//! Teeth of the carriers: what the friction of the parts puts on them, and what they bear.
//!
//! Both rings hold a carrier by its teeth against the friction on its parts. The friction's torque on a ring, over the ring's pitch
//! radius, is the force along the pitch circle that the teeth of all carriers hold there; a carrier has the share of it that it has of
//! the load. One tooth is taken to hold all of its carrier's at either ring: between one and two are in mesh, and with pins about one.

use crate::math::{abs, max, min, sqrt};
use crate::model::{Batch, Geometry};
use std::f64::consts::PI;

/// Teeth, and Lewis's form factor of a tooth of 20° and full depth: textbook table. The pins' carriers have about these teeth.
const FORM: [(f64, f64); 14] = [
    (10.0, 0.201),
    (12.0, 0.245),
    (14.0, 0.276),
    (16.0, 0.295),
    (20.0, 0.320),
    (24.0, 0.337),
    (30.0, 0.358),
    (38.0, 0.383),
    (45.0, 0.399),
    (60.0, 0.421),
    (75.0, 0.433),
    (100.0, 0.446),
    (150.0, 0.458),
    (300.0, 0.471),
];
/// The same of a rack.
const RACK: f64 = 0.484;

/// Whole depth of a tooth, modules (common proportion of involute gearing, from memory).
const DEPTH: f64 = 2.25;

/// Load at the end of a narrow cantilever at which it turns aside: this times the root of both its stiffnesses, against bending aside
/// and against twist, over the square of its length (Timoshenko and Gere, Theory of Elastic Stability, from memory).
const ASIDE: f64 = 4.013;

/// Lewis's form factor of a tooth: straight lines over the reciprocal of the number of teeth, the first of them carried on below its
/// end.
fn form_factor(teeth: u32) -> f64 {
    let at = 1.0 / max(f64::from(teeth), 1.0);
    let mut upper = (0.0, RACK);
    for (teeth, factor) in FORM.iter().rev() {
        let lower = (1.0 / teeth, *factor);
        if at <= lower.0 || *teeth == FORM[0].0 {
            let share = (at - upper.0) / (lower.0 - upper.0);
            return max(upper.1 + share * (lower.1 - upper.1), 0.0);
        }
        upper = lower;
    }
    RACK
}

/// Force along the pitch circle at which a tooth of a batch's carriers bends too far, N: Lewis, `F = s b m Y`, the force at its tip and
/// the carrier as thick as it is wide.
#[must_use]
pub fn bends_at(geometry: &Geometry, batch: &Batch) -> f64 {
    batch.carrier_strength
        * batch.carrier_thickness
        * geometry.module
        * form_factor(geometry.teeth_carrier)
}

/// Force at which a tooth of a batch's carriers turns aside and lifts, N: as a narrow cantilever as high as a tooth is thick on its
/// pitch circle and as long as it is deep. On the safe side: its root holds so short a one against twist.
#[must_use]
pub fn turns_aside_at(geometry: &Geometry, batch: &Batch) -> f64 {
    let [bend, shear] = batch.carrier_material.moduli();
    let (high, long) = (0.5 * PI * geometry.module, DEPTH * geometry.module);
    let cube = batch.carrier_thickness * batch.carrier_thickness * batch.carrier_thickness;
    ASIDE * sqrt(bend * shear) * high * cube / (6.0 * long * long)
}

/// Largest force along the pitch circle that a tooth of a batch's carriers bears, N.
#[must_use]
pub fn tooth_bears(geometry: &Geometry, batch: &Batch) -> f64 {
    min(bends_at(geometry, batch), turns_aside_at(geometry, batch))
}

/// Force along the pitch circle on the teeth of all carriers at the ring where it is larger, N, of the friction's torques on the inner
/// and the outer ring, N·m.
#[inline(always)]
#[must_use]
pub fn pull(geometry: &Geometry, inner: f64, outer: f64) -> f64 {
    max(
        abs(inner) / geometry.radius_inner(),
        abs(outer) / geometry.radius_outer(),
    )
}

/// The largest force on one tooth so far.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Teeth {
    /// Largest pull on all carriers since the last window, N.
    pulled: f64,
    /// Largest force on one tooth, N.
    pub most: f64,
}

impl Teeth {
    #[inline(always)]
    pub(crate) fn pull(&mut self, pull: f64) {
        self.pulled = max(self.pulled, pull);
    }

    /// Closes a window in which no carrier had more than the share `bound` of the load; `share` works out how much it was.
    pub(crate) fn close(&mut self, bound: f64, share: impl FnOnce() -> f64) {
        if self.pulled * bound > self.most {
            self.most = max(self.most, self.pulled * share());
        }
        self.pulled = 0.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use crate::model::CarrierMaterial;

    /// Rows of the textbooks' table that are not among those kept here, and two that are.
    #[test]
    fn the_form_factor_is_the_table_s() {
        for (teeth, factor) in [
            (11, 0.226),
            (12, 0.245),
            (18, 0.308),
            (22, 0.330),
            (28, 0.352),
            (34, 0.370),
            (40, 0.389),
            (50, 0.408),
            (55, 0.415),
            (80, 0.436),
            (200, 0.463),
            (300, 0.471),
        ] {
            let found = form_factor(teeth);
            assert!((found / factor - 1.0).abs() < 0.01, "{teeth}: {found}");
        }
        let fewer = (6..10).map(form_factor).collect::<Vec<f64>>();
        assert!(fewer[0] > 0.0 && fewer.windows(2).all(|pair| pair[0] < pair[1]));
        assert!(form_factor(2000) < RACK);
    }

    /// By hand on 45 teeth of module 4 in 0.4 mm: of spring steel 400 MPa · 0.4 mm · 4 mm · 0.399 = 255 N break a tooth, and
    /// 4.013 √(206 · 79) GPa · 6.28 mm · (0.4 mm)³/(6 (9 mm)²) = 424 N turn it aside. Of laminate it turns aside first.
    #[test]
    fn a_thin_tooth_bends_or_turns_aside_as_by_hand() {
        let (machine, mut batch, _) = demo::set("glass-f800");
        let g = &machine.geometry;
        assert!((bends_at(g, &batch) - 255.4).abs() < 0.1);
        assert!((turns_aside_at(g, &batch) - 423.6).abs() < 0.5);
        assert!((tooth_bears(g, &batch) - 255.4).abs() < 0.1);
        batch.carrier_material = CarrierMaterial::GlassLaminate;
        batch.carrier_strength = batch.carrier_material.strength();
        let (bends, aside) = (bends_at(g, &batch), turns_aside_at(g, &batch));
        assert!(
            aside < bends && aside == tooth_bears(g, &batch),
            "{bends} {aside}"
        );
        batch.carrier_thickness *= 2.0;
        assert!((turns_aside_at(g, &batch) / aside - 8.0).abs() < 1e-9);
        assert!((bends_at(g, &batch) / bends - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_window_is_looked_into_only_where_it_can_be_the_worst() {
        let mut teeth = Teeth::default();
        teeth.pull(10.0);
        teeth.pull(4.0);
        teeth.close(0.5, || 0.3);
        assert!((teeth.most - 3.0).abs() < 1e-12);
        teeth.pull(5.0);
        teeth.close(0.5, || unreachable!("half of 5 N is less than 3 N"));
        teeth.close(1.0, || unreachable!("nothing was pulled"));
        assert!((teeth.most - 3.0).abs() < 1e-12);
    }
}
