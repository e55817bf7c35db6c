//! Friction torque of parts between two plates on the four drives.
//!
//! Coulomb friction on an element of a part at the carrier's radius `rho` dissipates `mu p |v|` per area, with
//! `v^2 = a^2 + b^2 + 2 a b cos psi + v0^2` ([`super::kinematics::Slide`], and `v0` to smooth the direction near rest). All phases
//! `psi` are equally likely: parts lie all around a carrier, and carriers all around the machine. With `s^2 = (|a| + |b|)^2 + v0^2`,
//! `d^2 = (|a| - |b|)^2 + v0^2` and the arithmetic-geometric mean M of the two (Abramowitz & Stegun 17.6, from memory)
//!
//! `mean 1/v = 1/M`, `mean cos(psi)/v = -S/(2 a b M)`, `mean v = (a^2 + b^2 + v0^2 - S)/M`, `S = sum 2^(n-1) c_n^2` over `n >= 1`.
//!
//! These means over the part's area give the torques as `-[P Q; Q R]` times the relative turning of orbit and spin. That matrix has no
//! negative eigenvalue (`mean 1/v >= |mean cos(psi)/v|`), so friction takes power whatever the speeds, also where the matrix is a
//! moment old: it is worked out anew only when the sliding has changed its direction or, by a tenth, its speed.

use super::kinematics::{CarrierMotion, carrier_motion};
use super::paths::Footprint;
use crate::math::{abs, sqrt};
use crate::model::Geometry;
use firmware_core::process_image::{DRIVES, FACES};

/// Shares of the parts' area, each at one radius about the carrier's centre. So many leave less than a percent of the torque also
/// where the sliding nearly stops at a radius within the part, and a tenth of that elsewhere.
const SHARES: usize = 24;
/// Turns of the arithmetic-geometric mean after its first: the means are good to 1e-4 where a point nearly stops, else to the last
/// bits.
const MEAN_TURNS: usize = 2;
/// The means are kept while the sliding has turned by less than this (rad) and changed its speed by less than a tenth.
const KEPT_TURN: f64 = 1e-3;
/// As shares of the speed for which the means were worked out, least and most.
const KEPT_SPEED: [f64; 2] = [0.9, 1.1];
/// They are kept only over so many smoothing speeds: above, the smoothing has no part in how friction changes with speed.
const KEPT_FROM: f64 = 10.0;

/// Friction torques per newton of friction force on each face, and the sliding speeds they came from.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FrictionArms {
    /// Mean sliding speed over the parts at the lower and the upper face, smoothed, m/s.
    pub speed: [f64; FACES],
    /// Mean of its reciprocal, s/m; zero at rest without smoothing.
    pub inverse: [f64; FACES],
    /// Torque on each drive, N·m per N of friction force (`mu N`) at the lower face.
    pub lower: [f64; DRIVES],
    /// The same for the upper face.
    pub upper: [f64; DRIVES],
}

/// What friction at one face does in a state of sliding.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Rub {
    /// Sliding by the orbit and by the spin for which it holds, m/s.
    by: [f64; 2],
    /// 1 over the square of both together, s²/m²; infinite where it holds for nothing.
    inverse_square: f64,
    /// Means over the parts of 1/v, `rho cos(psi)/v` and `rho^2/v`.
    means: [f64; 3],
    speed: f64,
}

impl Rub {
    /// It holds for no sliding.
    const NONE: Self = Self {
        by: [0.0; 2],
        inverse_square: f64::INFINITY,
        means: [0.0; 3],
        speed: 0.0,
    };
}

/// Parts between plates: from the four speeds to the friction on them.
#[derive(Clone, Debug, PartialEq)]
pub struct Rubbing {
    radius_orbit: f64,
    /// Radii about the carrier's centre at which shares of the parts' area lie, m, and what each counts: 1 where all are equal.
    radii: [[f64; 2]; SHARES],
    /// Root mean square of the radii, m.
    rho: f64,
    /// d orbit / d (inner, outer).
    orbit_by: [f64; 2],
    /// d spin / d (inner, outer).
    spin_by: [f64; 2],
    smoothing: f64,
    kept: [Rub; FACES],
}

impl Rubbing {
    /// For parts of this footprint, with the speed (m/s) below which the direction of friction fades.
    #[must_use]
    pub fn new(geometry: &Geometry, footprint: &Footprint, smoothing: f64) -> Self {
        let radii = footprint.radii();
        let by = |speeds| carrier_motion(geometry, &speeds);
        let (inner, outer) = (by([1.0, 0.0, 0.0, 0.0]), by([0.0, 1.0, 0.0, 0.0]));
        Self {
            radius_orbit: geometry.radius_orbit(),
            rho: sqrt(
                radii
                    .iter()
                    .map(|[rho, counts]| counts * rho * rho)
                    .sum::<f64>()
                    / SHARES as f64,
            ),
            radii,
            orbit_by: [inner.orbit, outer.orbit],
            spin_by: [inner.spin, outer.spin],
            smoothing,
            kept: [Rub::NONE; FACES],
        }
    }

    /// Square of the largest lever of each ring on the sliding speed, m².
    #[must_use]
    pub(crate) fn stiffness(&self) -> [f64; 2] {
        [0, 1].map(|i| {
            let by_orbit = self.radius_orbit * self.orbit_by[i];
            let by_spin = self.rho * self.spin_by[i];
            by_orbit * by_orbit + by_spin * by_spin
        })
    }

    /// The same for a plate, m².
    #[must_use]
    pub(crate) fn plate_stiffness(&self) -> f64 {
        self.radius_orbit * self.radius_orbit + self.rho * self.rho
    }

    #[inline]
    fn motion(&self, speeds: &[f64; DRIVES]) -> CarrierMotion {
        CarrierMotion {
            orbit: self.orbit_by[0] * speeds[0] + self.orbit_by[1] * speeds[1],
            spin: self.spin_by[0] * speeds[0] + self.spin_by[1] * speeds[1],
        }
    }

    /// Friction torque on the four drives at these speeds (rad/s), per newton of friction force on each face.
    ///
    /// The torque on a drive is what dissipation changes by with its speed: this puts the sign of the *relative* velocity where it
    /// belongs, and hands the moments on the carriers to the two rings through the orbit and the spin, as the pins do.
    #[inline]
    #[must_use]
    pub fn arms(&mut self, speeds: &[f64; DRIVES]) -> FrictionArms {
        let motion = self.motion(speeds);
        let (lower, speed_lower, inverse_lower) = self.face::<0>(motion, speeds);
        let (upper, speed_upper, inverse_upper) = self.face::<1>(motion, speeds);
        FrictionArms {
            speed: [speed_lower, speed_upper],
            inverse: [inverse_lower, inverse_upper],
            lower,
            upper,
        }
    }

    /// Torques by one face, its speed and the reciprocal of that.
    #[inline(always)]
    fn face<const FACE: usize>(
        &mut self,
        motion: CarrierMotion,
        speeds: &[f64; DRIVES],
    ) -> ([f64; DRIVES], f64, f64) {
        let plate = speeds[2 + FACE];
        let (orbit, spin) = (motion.orbit - plate, motion.spin - plate);
        let by = [self.radius_orbit * orbit, self.rho * spin];
        let faster = self.keep(FACE, by, spin);
        let slower = if faster > 0.0 { 1.0 / faster } else { 0.0 };
        let Rub {
            means: [p, q, r],
            speed,
            ..
        } = self.kept[FACE];
        let by_orbit = self.radius_orbit * (p * by[0] + q * spin) * slower;
        let by_spin = (q * by[0] + r * spin) * slower;
        let mut torque = [0.0; DRIVES];
        torque[0] = -(by_orbit * self.orbit_by[0] + by_spin * self.spin_by[0]);
        torque[1] = -(by_orbit * self.orbit_by[1] + by_spin * self.spin_by[1]);
        torque[2 + FACE] = by_orbit + by_spin;
        (torque, speed * faster, p * slower)
    }

    /// Sees to it that what is kept for a face holds for its sliding; answers how many times faster it slides than then.
    #[inline(always)]
    fn keep(&mut self, face: usize, by: [f64; 2], spin: f64) -> f64 {
        let kept = &self.kept[face];
        let along = (kept.by[0] * by[0] + kept.by[1] * by[1]) * kept.inverse_square;
        let across = abs(kept.by[0] * by[1] - kept.by[1] * by[0]) * kept.inverse_square;
        // Nothing kept makes neither true.
        if along > KEPT_SPEED[0] && along < KEPT_SPEED[1] && across < KEPT_TURN {
            return along;
        }
        self.kept[face] = self.rub(by, spin);
        1.0
    }

    /// The means for sliding `by` orbit and spin, m/s, with the relative spin in rad/s.
    #[inline(never)]
    fn rub(&self, by: [f64; 2], spin: f64) -> Rub {
        let a = by[0];
        let (mut means, mut speed) = ([0.0; 3], 0.0);
        for [rho, counts] in self.radii {
            let [inverse, cosine, mean] =
                slide_means(a, rho * spin, self.smoothing).map(|mean| counts * mean);
            means[0] += inverse;
            means[1] += rho * cosine;
            means[2] += rho * rho * inverse;
            speed += mean;
        }
        let share = 1.0 / SHARES as f64;
        speed *= share;
        let square = by[0] * by[0] + by[1] * by[1];
        let lasting = speed > KEPT_FROM * self.smoothing;
        Rub {
            by,
            inverse_square: if lasting { 1.0 / square } else { f64::INFINITY },
            means: means.map(|mean| share * mean),
            speed,
        }
    }
}

/// Means of 1/v, cos(psi)/v and v over all phases; zero at rest without smoothing.
#[inline]
fn slide_means(a: f64, b: f64, smoothing: f64) -> [f64; 3] {
    let v0_square = smoothing * smoothing;
    let (sum, difference) = (abs(a) + abs(b), abs(a) - abs(b));
    let most = sqrt(sum * sum + v0_square);
    let least = sqrt(difference * difference + v0_square);
    if most <= 0.0 {
        return [0.0; 3];
    }
    // c_1 = (most - least)/2 without the cancellation; every next c is c^2/(4 mean).
    let mut mean = 0.5 * (most + least);
    let mut geometric = sqrt(most * least);
    let per_product = 1.0 / mean;
    let mut c = abs(a * b) * per_product;
    // Half of S over c_1^2, then S.
    let (mut sum_of_squares, mut weight) = (c * c, 1.0);
    for _ in 0..MEAN_TURNS {
        let next = 0.5 * (mean + geometric);
        c = 0.25 * c * c / next;
        geometric = sqrt(mean * geometric);
        mean = next;
        weight *= 2.0;
        sum_of_squares += weight * c * c;
    }
    let inverse = 2.0 / (mean + geometric);
    let product = a * b;
    let cosine = if product == 0.0 {
        0.0
    } else {
        -0.5 * inverse * sum_of_squares / product
    };
    let square = a * a + b * b + v0_square;
    [inverse, cosine, inverse * (square - sum_of_squares)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    /// Speeds of the four drives that were seen to trouble: parts at rest, plates alike, everything turning together.
    const SPEEDS: [[f64; DRIVES]; 4] = [
        [1.2, -0.4, 3.0, -2.0],
        [0.0, 0.0, 0.0, 1.0],
        [-2.0, 1.0, 1.0, 1.0],
        [1.0, 1.0, 1.0, 1.0],
    ];

    fn rubbing(smoothing: f64) -> Rubbing {
        let (machine, batch, _) = demo::set("steel-f400");
        let footprint = Footprint::of_batch(&machine.geometry, &batch);
        Rubbing::new(&machine.geometry, &footprint, smoothing)
    }

    #[test]
    fn friction_takes_power_whatever_the_speeds_and_its_torque_is_the_gradient_of_the_dissipation()
    {
        for speeds in SPEEDS {
            let arms = rubbing(0.01).arms(&speeds);
            let power: f64 = (0..4)
                .map(|i| (arms.lower[i] + arms.upper[i]) * speeds[i])
                .sum();
            assert!(
                power <= 1e-12,
                "friction adds {power} W per N at {speeds:?}"
            );
            for i in 0..4 {
                let h = 1e-4;
                let (mut up, mut down) = (speeds, speeds);
                up[i] += h;
                down[i] -= h;
                let sum = |s: &[f64; DRIVES]| rubbing(0.01).arms(s).speed.iter().sum::<f64>();
                let gradient = (sum(&up) - sum(&down)) / (2.0 * h);
                let torque = arms.lower[i] + arms.upper[i];
                assert!(
                    (torque + gradient).abs() < 1e-3,
                    "{torque} and {gradient} at {speeds:?}"
                );
            }
        }
    }

    #[test]
    fn what_is_kept_takes_power_and_is_off_by_little() {
        let mut kept = rubbing(0.01);
        for step in 0..2000 {
            let t = 1e-3 * f64::from(step);
            // Up from nothing, then a slow turn of the sliding's direction.
            let speeds = [1.2, -0.4 - 0.3 * t, 3.0, -2.0].map(|speed| speed * (4.0 * t).min(1.0));
            let old = kept.arms(&speeds);
            let new = rubbing(0.01).arms(&speeds);
            for (old, new) in [(old.lower, new.lower), (old.upper, new.upper)] {
                let power: f64 = old.iter().zip(speeds).map(|(arm, speed)| arm * speed).sum();
                assert!(power <= 1e-12);
                let most = new.iter().fold(0.0_f64, |most, arm| most.max(arm.abs()));
                for (old, new) in old.iter().zip(new) {
                    assert!((old - new).abs() <= 2e-3 * most, "{old} for {new} at {t}");
                }
            }
        }
    }

    #[test]
    fn a_plate_is_braked_against_its_motion_relative_to_the_parts() {
        // Parts at rest, upper plate turning forwards: it is braked, the rings are dragged forwards.
        let arms = rubbing(0.01).arms(&[0.0, 0.0, 0.0, 1.0]);
        assert!(arms.upper[3] < 0.0 && arms.upper[1] > 0.0);
        // Upper plate slower than the orbiting parts: it is dragged along though both turn forwards.
        let arms = rubbing(0.01).arms(&[3.0, 3.0, 0.0, 1.0]);
        assert!(arms.upper[3] > 0.0);
    }

    #[test]
    fn at_rest_without_smoothing_there_is_no_friction_and_no_division_by_nothing() {
        let arms = rubbing(0.0).arms(&[0.0; DRIVES]);
        assert_eq!(arms, FrictionArms::default());
    }
}
