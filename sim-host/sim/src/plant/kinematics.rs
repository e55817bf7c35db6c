//! Planetary kinematics: where a carrier goes, how fast a point of it slides over a plate, and which teeth go together.
//!
//! Pure functions of a [`Geometry`] and four speeds. Speeds are rad/s, counter-clockwise positive seen from above, absolute;
//! four-element arrays are in `Drive` order (inner ring, outer ring, lower plate, upper plate). The relations are those of an
//! epicyclic train (tooth relation and orbit: any textbook on planetary gears) and the velocity of a point on a body that
//! turns while it orbits; they are derived, not fitted, so they carry no tolerance of their own.

use crate::math::{abs, sin, sqrt};
use crate::model::Geometry;
use firmware_core::process_image::DRIVES;
use std::f64::consts::{FRAC_2_PI, FRAC_PI_2, PI};

/// Turning of a carrier, rad/s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CarrierMotion {
    /// Speed of the carrier's centre around the machine's centre.
    pub orbit: f64,
    /// Absolute turning of the carrier about its own centre.
    pub spin: f64,
}

impl CarrierMotion {
    /// Turning of the carrier seen from its own orbit arm, rad/s. Zero: the carrier's phase is frozen.
    #[must_use]
    pub fn relative(self) -> f64 {
        self.spin - self.orbit
    }
}

/// Motion of the carriers for four drive speeds: `orbit = (R_s w_s + R_r w_r)/(R_s + R_r)`,
/// `spin = (R_r w_r - R_s w_s)/(R_r - R_s)`.
#[must_use]
pub fn carrier_motion(geometry: &Geometry, speeds: &[f64; DRIVES]) -> CarrierMotion {
    let (inner, outer) = (geometry.radius_inner(), geometry.radius_outer());
    let (rim_inner, rim_outer) = (inner * speeds[0], outer * speeds[1]);
    CarrierMotion {
        orbit: (rim_inner + rim_outer) / (inner + outer),
        spin: (rim_outer - rim_inner) / (outer - inner),
    }
}

/// Sliding speed of one point of a carrier against one plate: `v^2 = a^2 + b^2 + 2 a b cos psi`, where the phase `psi` turns
/// at `carrier_motion().relative()`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Slide {
    /// `e (orbit - w_plate)`: sliding speed of the carrier's centre, m/s, signed.
    pub a: f64,
    /// `rho (spin - w_plate)`: what the distance from the carrier's centre adds, m/s, signed.
    pub b: f64,
}

impl Slide {
    /// Slide of the point at carrier radius `rho` (m) against a plate turning at `plate` (rad/s).
    #[must_use]
    pub fn new(geometry: &Geometry, motion: CarrierMotion, plate: f64, rho: f64) -> Self {
        Self {
            a: geometry.radius_orbit() * (motion.orbit - plate),
            b: rho * (motion.spin - plate),
        }
    }

    /// Smallest speed of a turn, m/s.
    #[must_use]
    pub fn min(self) -> f64 {
        abs(abs(self.a) - abs(self.b))
    }

    /// Largest speed of a turn, m/s.
    #[must_use]
    pub fn max(self) -> f64 {
        abs(self.a) + abs(self.b)
    }

    /// Root mean square speed over a turn, m/s.
    #[must_use]
    pub fn rms(self) -> f64 {
        sqrt(self.a * self.a + self.b * self.b)
    }

    /// Mean speed over a turn, m/s: `(2/pi)(|a| + |b|) E(m)`, `m = 4|ab|/(|a| + |b|)^2`. Valid while the carrier turns in its
    /// orbit; with a frozen phase the speed is constant and anywhere between [`min`](Self::min) and [`max`](Self::max), and
    /// this is its mean over the parts around the carrier.
    #[must_use]
    pub fn mean(self) -> f64 {
        let sum = self.max();
        if sum > 0.0 {
            FRAC_2_PI * sum * elliptic_e_complement(self.min() / sum)
        } else {
            0.0
        }
    }

    /// Speed at phase `psi` given by its cosine, m/s.
    #[must_use]
    pub fn at(self, cos_psi: f64) -> f64 {
        let square = self.a * self.a + self.b * self.b + 2.0 * self.a * self.b * cos_psi;
        if square > 0.0 { sqrt(square) } else { 0.0 }
    }
}

/// Complete elliptic integral of the second kind `E(m)`, parameter `m = k^2` in 0..=1, by the arithmetic-geometric mean
/// (Abramowitz & Stegun 17.6, from memory), from the complementary modulus `k' = sqrt(1 - m)`, which keeps its digits where `m` is near
/// one.
fn elliptic_e_complement(k_complement: f64) -> f64 {
    if k_complement <= 0.0 {
        return 1.0;
    }
    let (mut mean, mut geometric) = (1.0, k_complement);
    // Sum of 2^(n-1) c_n^2 with c_0^2 = m.
    let mut sum = 0.5 * (1.0 - k_complement * k_complement);
    let mut weight = 0.5;
    // The AGM doubles its digits each turn: from k' = 1e-16 eight turns reach the last bit.
    for _ in 0..10 {
        let half_difference = 0.5 * (mean - geometric);
        let next = 0.5 * (mean + geometric);
        geometric = sqrt(mean * geometric);
        mean = next;
        weight *= 2.0;
        sum += weight * half_difference * half_difference;
        if half_difference < 1e-17 {
            break;
        }
    }
    FRAC_PI_2 / mean * (1.0 - sum)
}

/// Generalised friction torque of both faces per newton of friction force, and the smoothed sliding speeds it came from.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FrictionArms {
    /// Smoothed sliding speed at the lower and the upper face, m/s.
    pub speed: [f64; 2],
    /// Their reciprocals, s/m; zero at rest without smoothing.
    pub inverse: [f64; 2],
    /// Torque on each drive, N·m per N of friction force (`mu N`) at the lower face.
    pub lower: [f64; DRIVES],
    /// The same for the upper face.
    pub upper: [f64; DRIVES],
}

/// What [`friction_arms`] needs of the geometry, computed once: the hot loop has no divisions by constants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArmGeometry {
    radius_orbit: f64,
    rho: f64,
    /// d orbit / d (inner, outer).
    orbit_by: [f64; 2],
    /// d spin / d (inner, outer).
    spin_by: [f64; 2],
    smoothing_square: f64,
}

impl ArmGeometry {
    /// For friction that acts at carrier radius `rho` (m), with the speed (m/s) below which the direction of friction fades.
    #[must_use]
    pub fn new(geometry: &Geometry, rho: f64, smoothing: f64) -> Self {
        let (inner, outer) = (geometry.radius_inner(), geometry.radius_outer());
        Self {
            radius_orbit: geometry.radius_orbit(),
            rho,
            orbit_by: [inner / (inner + outer), outer / (inner + outer)],
            spin_by: [-inner / (outer - inner), outer / (outer - inner)],
            smoothing_square: smoothing * smoothing,
        }
    }

    /// Square of the largest lever of each ring on the sliding speed, m².
    #[must_use]
    pub fn stiffness(&self) -> [f64; 2] {
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

    /// Motion of the carriers, as [`carrier_motion`].
    #[inline]
    #[must_use]
    pub fn motion(&self, speeds: &[f64; DRIVES]) -> CarrierMotion {
        CarrierMotion {
            orbit: self.orbit_by[0] * speeds[0] + self.orbit_by[1] * speeds[1],
            spin: self.spin_by[0] * speeds[0] + self.spin_by[1] * speeds[1],
        }
    }
}

/// Friction torque on the four drives, per newton of friction force on each face.
///
/// Friction dissipates `D = F v`, `v = sqrt(a^2 + b^2 + v0^2)`; the torque on a drive is `-dD/dw`. This puts the sign of the
/// *relative* velocity where it belongs, and hands the moments on the carriers to the two rings through the orbit and the
/// spin, as the pins do. `sum torque_i w_i = -F (a^2 + b^2)/v <= 0` for any speeds: friction can never add power.
#[inline]
#[must_use]
pub fn friction_arms(geometry: &ArmGeometry, speeds: &[f64; DRIVES]) -> FrictionArms {
    let motion = geometry.motion(speeds);
    let mut arms = FrictionArms::default();
    for face in 0..2 {
        let plate = speeds[2 + face];
        let a = geometry.radius_orbit * (motion.orbit - plate);
        let b = geometry.rho * (motion.spin - plate);
        let speed = sqrt(a * a + b * b + geometry.smoothing_square);
        let inverse = if speed > 0.0 { 1.0 / speed } else { 0.0 };
        let by_orbit = geometry.radius_orbit * a * inverse;
        let by_spin = geometry.rho * b * inverse;
        let torque = if face == 0 {
            &mut arms.lower
        } else {
            &mut arms.upper
        };
        torque[0] = -(by_orbit * geometry.orbit_by[0] + by_spin * geometry.spin_by[0]);
        torque[1] = -(by_orbit * geometry.orbit_by[1] + by_spin * geometry.spin_by[1]);
        torque[2 + face] = by_orbit + by_spin;
        arms.speed[face] = speed;
        arms.inverse[face] = inverse;
    }
    arms
}

/// Tooth rule of an epicyclic train: `z_r - z_s = 2 z_c`.
#[must_use]
pub fn tooth_relation_holds(geometry: &Geometry) -> bool {
    u64::from(geometry.teeth_inner) + 2 * u64::from(geometry.teeth_carrier)
        == u64::from(geometry.teeth_outer)
}

/// Equal spacing of `q` carriers: `(z_s + z_r)/q` whole. No carriers cannot be spaced.
#[must_use]
pub fn equally_spaced(geometry: &Geometry) -> bool {
    geometry.carriers > 0
        && (u64::from(geometry.teeth_inner) + u64::from(geometry.teeth_outer))
            .is_multiple_of(u64::from(geometry.carriers))
}

/// Tip radius of a carrier, m: pitch radius plus one module of addendum (common proportion of involute gearing; pin carriers
/// are close to it).
#[must_use]
pub fn tip_radius(geometry: &Geometry) -> f64 {
    geometry.radius_carrier() + geometry.module
}

/// Gap between the tips of neighbouring carriers, m: `2 e sin(pi/q) - 2 r_tip`; negative when they collide.
#[must_use]
pub fn tip_gap(geometry: &Geometry) -> f64 {
    if geometry.carriers < 2 {
        return f64::INFINITY;
    }
    2.0 * geometry.radius_orbit() * sin(PI / f64::from(geometry.carriers))
        - 2.0 * tip_radius(geometry)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    /// `E(m)`.
    fn elliptic_e(m: f64) -> f64 {
        elliptic_e_complement(sqrt(1.0 - m))
    }

    #[test]
    fn elliptic_integral_at_its_ends_and_at_a_table_value() {
        assert!((elliptic_e(0.0) - FRAC_PI_2).abs() < 1e-15);
        assert!((elliptic_e(1.0) - 1.0).abs() < 1e-15);
        // Abramowitz & Stegun table 17.1, E(0.5), from memory.
        assert!((elliptic_e(0.5) - 1.350_643_881_047_675_5).abs() < 1e-14);
        assert!((elliptic_e(1.0 - 1e-14) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn mean_speed_lies_between_the_extremes_and_under_the_root_mean_square() {
        for (a, b) in [(1.0, 0.3), (0.2, 1.7), (-1.0, 1.0), (0.0, 0.4)] {
            let slide = Slide { a, b };
            // Where one of the two vanishes all four are equal, to the last bit but one.
            assert!(slide.min() <= slide.mean() + 1e-15);
            assert!(slide.mean() <= slide.rms() + 1e-15);
            assert!(slide.rms() <= slide.max() + 1e-15);
        }
    }

    #[test]
    fn friction_takes_power_whatever_the_speeds_and_its_torque_is_the_gradient_of_the_dissipation()
    {
        let g = demo::machine("machine-b").geometry;
        let arms_of = ArmGeometry::new(&g, 0.1, 0.01);
        for speeds in [
            [1.2, -0.4, 3.0, -2.0],
            [0.0, 0.0, 0.0, 1.0],
            [-2.0, 1.0, 1.0, 1.0],
            [1.0, 1.0, 1.0, 1.0],
        ] {
            let arms = friction_arms(&arms_of, &speeds);
            let power: f64 = (0..4)
                .map(|i| (arms.lower[i] + arms.upper[i]) * speeds[i])
                .sum();
            assert!(
                power <= 1e-12,
                "friction adds {power} W per N at {speeds:?}"
            );
            for i in 0..4 {
                let h = 1e-6;
                let (mut up, mut down) = (speeds, speeds);
                up[i] += h;
                down[i] -= h;
                let sum = |s: &[f64; DRIVES]| {
                    let f = friction_arms(&arms_of, s);
                    f.speed[0] + f.speed[1]
                };
                let gradient = (sum(&up) - sum(&down)) / (2.0 * h);
                assert!((arms.lower[i] + arms.upper[i] + gradient).abs() < 1e-7);
            }
        }
    }

    #[test]
    fn a_plate_is_braked_against_its_motion_relative_to_the_parts() {
        let arms_of = ArmGeometry::new(&demo::machine("machine-b").geometry, 0.1, 0.01);
        // Parts at rest, upper plate turning forwards: it is braked, the rings are dragged forwards.
        let arms = friction_arms(&arms_of, &[0.0, 0.0, 0.0, 1.0]);
        assert!(arms.upper[3] < 0.0 && arms.upper[1] > 0.0);
        // Upper plate slower than the orbiting parts: it is dragged along though both turn forwards.
        let arms = friction_arms(&arms_of, &[3.0, 3.0, 0.0, 1.0]);
        assert!(arms.upper[3] > 0.0);
    }
}
