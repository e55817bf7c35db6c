//! A lot whose thickness runs from one end to the other, laid in carrier after carrier: what the plate makes of it.

use super::parts::CUT;
use super::places::Places;
use super::tilt::{Plane, Points};
use crate::math::{limit, log, max, sqrt};
use crate::model::{Batch, Geometry};

/// Such a lot between the plates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LotInOrder {
    /// Load on the part that bears most, N.
    pub worst: f64,
    /// How much higher one side of the plate lies than the other, over the whole plate, m.
    pub lean: f64,
    /// Share of the parts' variance that a tilted plane explains, 0..1: what the plate does not level but lean on.
    pub explained: f64,
}

/// Standard normal value under which the share `p` of all lies (Abramowitz and Stegun 26.2.23, from memory; good to 5e-4).
fn normal(p: f64) -> f64 {
    if p > 0.5 {
        return -normal(1.0 - p);
    }
    let t = sqrt(-2.0 * log(max(p, f64::MIN_POSITIVE)));
    let over = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    over / (1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308))) - t
}

impl LotInOrder {
    /// Of the batch's pieces with the spread `sigma` (m) and the stiffness of one of them (N/m) under a load, N, as the carriers are
    /// laid in: a lot as even as lots are in the mean, piece after piece thicker. `None` where it does not hold the plate.
    #[must_use]
    pub fn of(
        geometry: &Geometry,
        batch: &Batch,
        sigma: f64,
        stiffness: f64,
        load: f64,
    ) -> Option<Self> {
        let places = Places::new(geometry, batch);
        let n = places.count;
        let mut top = vec![0.0; n];
        for (at, piece) in places.in_order().into_iter().enumerate() {
            let share = (at as f64 + 0.5) / n as f64;
            top[piece] = sigma * limit(normal(share), -CUT, CUT);
        }
        let mut loads = vec![0.0; n];
        let mut under = |stiffness: f64, load: f64| {
            let k = vec![stiffness; n];
            let points = Points {
                x: &places.x[..n],
                y: &places.y[..n],
                top: &top,
                k: &k,
            };
            let plane = Plane::default().under(&points, load, places.reach)?;
            points.loads(&plane, 1.0, &mut loads);
            let even = load / n as f64;
            let off: f64 = loads.iter().map(|load| (load - even) * (load - even)).sum();
            let worst = loads.iter().copied().fold(0.0, max);
            Some((worst, off, plane.steepness()))
        };
        let (worst, _, slope) = under(stiffness, load)?;
        // Under a load that all bear the plane is the one that fits best, and what each bears over the mean is what it stands out by.
        let all: f64 = top.iter().map(|height| height * height).sum();
        let pressed = max(10.0 * sigma * n as f64, f64::MIN_POSITIVE);
        let (_, left, _) = under(1.0, pressed)?;
        Some(Self {
            worst,
            lean: slope * geometry.plate_outer,
            explained: if all > 0.0 {
                limit(1.0 - left / all, 0.0, 1.0)
            } else {
                0.0
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    /// Quantiles of the standard normal distribution (any table of it).
    #[test]
    fn the_normal_values_are_the_table_s() {
        for (p, z) in [
            (0.5, 0.0),
            (0.841_345, 1.0),
            (0.975, 1.959_964),
            (0.01, -2.326_348),
            (0.999, 3.090_232),
        ] {
            assert!((normal(p) - z).abs() < 5e-4, "{p}: {}", normal(p));
        }
    }

    /// By hand: with all touching the slope along x is `Σ h x/Σ x²`, and `Σ x² = n (e² + ρ²)/2` of a full layout. The plate falls
    /// from the carriers with the thick end to those beside them with the thin end, and carriers opposite to the step lie in between.
    #[test]
    fn the_plate_leans_on_the_thick_end_as_by_hand() {
        let (machine, batch, _) = demo::set("glass-f800");
        let g = &machine.geometry;
        let sigma = 1e-6;
        let lot = LotInOrder::of(g, &batch, sigma, 1e7, 1e5).expect("it lies");
        let (e, rho) = (g.radius_orbit(), batch.outermost());
        let mut sums = [0.0; 2];
        for at in 0..15 {
            let z = normal((f64::from(at) + 0.5) / 15.0);
            let (carrier, pocket) = (f64::from(at / 3), f64::from(at % 3));
            let angle = std::f64::consts::TAU * carrier / 5.0;
            let own = angle + std::f64::consts::TAU * pocket / 3.0;
            sums[0] += sigma * z * (e * angle.cos() + rho * own.cos());
            sums[1] += sigma * z * (e * angle.sin() + rho * own.sin());
        }
        let slope = sums[0].hypot(sums[1]) / (15.0 * (e * e + rho * rho) / 2.0);
        let by_hand = slope * g.plate_outer;
        assert!((lot.lean / by_hand - 1.0).abs() < 1e-6, "{lot:?} {by_hand}");
        // A saw's tooth around the machine has 6/π² = 0.61 of its variance in its first wave.
        assert!((0.45..0.75).contains(&lot.explained), "{lot:?}");
        // Softer parts level more among themselves: the worst of them bears less.
        let stiff = LotInOrder::of(g, &batch, sigma, 1e8, 265.0).expect("it lies");
        let soft = LotInOrder::of(g, &batch, sigma, 1e6, 265.0).expect("it lies");
        assert!(stiff.worst > 1.5 * soft.worst && soft.worst > 265.0 / 15.0);
    }
}
