//! Machines drawn from the envelope: how wrong one machine's numbers are, within what its file admits.

use super::seed::{Stream, stream};
use crate::math::{exp, limit, log};
use crate::model::{Deviations, Envelope, Varied};
use rand_distr::{Distribution, Uniform};

/// Number of values an envelope spreads.
pub const WIDTHS: u32 = FIRST + LATER.len() as u32;

/// Values that one stream draws together, in the order of [`Deviations`].
const FIRST: u32 = 14;

/// Values that came later, in the order of [`Deviations`]: each draws from a stream of its own name, so that none shifts another.
const LATER: [&str; 3] = ["gauge bias", "gauge drift", "gauge temperature"];

/// Machine number `index` of the ensemble `seed`: every value uniform within its half-width, contact stiffness log-uniform
/// between `1/factor` and `factor`, supply only ever lower, noise and spread only ever larger.
#[must_use]
pub fn draw(envelope: &Envelope, seed: u64, index: u64) -> Deviations {
    let mut random = stream(seed, "envelope", "draw", index);
    place(envelope, |width| match later(width) {
        Some(name) => symmetric(&mut stream(seed, "envelope", name, index)),
        None => symmetric(&mut random),
    })
}

/// Name of the stream of a value that came later.
fn later(width: u32) -> Option<&'static str> {
    LATER.get(width.checked_sub(FIRST)? as usize).copied()
}

/// An extreme of the envelope. Indices 0..2·[`WIDTHS`] put one value at its lower (even) or upper (odd) edge and leave the
/// rest nominal; from there on each index is a corner with every value at an edge, the bits of a hash of the index choosing
/// which, so that a few hundred indices cover every pair of edges.
#[must_use]
pub fn corner(envelope: &Envelope, index: u64) -> Deviations {
    let single = u64::from(2 * WIDTHS);
    if index < single {
        let edge = if index.is_multiple_of(2) { -1.0 } else { 1.0 };
        return place(envelope, |width| {
            if u64::from(width) == index / 2 {
                edge
            } else {
                one_sided_rest(width)
            }
        });
    }
    let bits = super::seed::substream(index - single, "envelope", "corner", 0);
    place(
        envelope,
        |width| {
            if bits >> width & 1 == 0 { -1.0 } else { 1.0 }
        },
    )
}

/// The machine at a place of the envelope: one number in -1..=1 for each value, in the order of [`Deviations`], -1 its lower and 1
/// its upper edge. What is missing, not a number or beyond an edge is taken as the middle or as that edge.
#[must_use]
pub fn at(envelope: &Envelope, places: &[f64]) -> Deviations {
    place(envelope, |width| {
        let x = places.get(width as usize).copied().unwrap_or(0.0);
        if x.is_nan() { 0.0 } else { limit(x, -1.0, 1.0) }
    })
}

fn symmetric(random: &mut Stream) -> f64 {
    match Uniform::new_inclusive(-1.0, 1.0) {
        Ok(uniform) => uniform.sample(random),
        Err(_) => 0.0,
    }
}

/// Where a value that only deviates one way has its nominal point.
fn one_sided_rest(width: u32) -> f64 {
    match width {
        8 => 1.0,
        10 | 13 => -1.0,
        _ => 0.0,
    }
}

/// Maps one number in -1..=1 for each width onto the deviations.
fn place(envelope: &Envelope, mut at: impl FnMut(u32) -> f64) -> Deviations {
    let mut factor = |width: u32, half: f64| 1.0 + half * at(width);
    let regulator_gain = factor(0, envelope.regulator_gain);
    let regulator_offset = factor(1, envelope.regulator_offset) - 1.0;
    let weight = factor(2, envelope.weight);
    let counterbalance = factor(3, envelope.counterbalance);
    let seal_friction = factor(4, envelope.seal_friction);
    let lag = factor(5, envelope.lag);
    let dead_time = factor(6, envelope.dead_time);
    let stiffness = exp(log(envelope.stiffness_factor) * at(7));
    Deviations {
        regulator_gain,
        regulator_offset,
        weight,
        counterbalance,
        seal_friction,
        lag,
        dead_time,
        stiffness,
        supply: 1.0 - envelope.supply * 0.5 * (1.0 - at(8)),
        cell_span: 1.0 + envelope.cell_span * at(9),
        noise: 1.0 + (envelope.noise_factor - 1.0) * 0.5 * (1.0 + at(10)),
        friction: 1.0 + envelope.friction * at(11),
        removal: 1.0 + envelope.removal * at(12),
        spread: 1.0 + (envelope.spread_factor - 1.0) * 0.5 * (1.0 + at(13)),
        gauge_bias: envelope.gauge_bias * at(14),
        gauge_drift: envelope.gauge_drift * at(15),
        gauge_temperature: 1.0 + envelope.gauge_temperature * at(16),
        assumed: Varied::Nominal,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    fn inside(e: &Envelope, d: &Deviations) {
        let near = |value: f64, half: f64| (value - 1.0).abs() <= half + 1e-12;
        assert!(near(d.regulator_gain, e.regulator_gain));
        assert!(d.regulator_offset.abs() <= e.regulator_offset + 1e-12);
        assert!(near(d.weight, e.weight) && near(d.counterbalance, e.counterbalance));
        assert!(near(d.seal_friction, e.seal_friction));
        assert!(near(d.lag, e.lag) && near(d.dead_time, e.dead_time));
        assert!(d.stiffness >= 1.0 / e.stiffness_factor - 1e-12);
        assert!(d.stiffness <= e.stiffness_factor + 1e-12);
        assert!(d.supply <= 1.0 && d.supply >= 1.0 - e.supply - 1e-12);
        assert!(d.noise >= 1.0 && d.noise <= e.noise_factor + 1e-12);
        assert!(d.spread >= 1.0 && d.spread <= e.spread_factor + 1e-12);
        assert!(near(d.cell_span, e.cell_span) && near(d.friction, e.friction));
        assert!(near(d.removal, e.removal));
        assert!(d.gauge_bias.abs() <= e.gauge_bias && d.gauge_drift.abs() <= e.gauge_drift);
        assert!(near(d.gauge_temperature, e.gauge_temperature));
    }

    #[test]
    fn draws_stay_inside_repeat_and_differ() {
        let e = demo::machine("machine-a").envelope;
        for index in 0..500 {
            let d = draw(&e, 7, index);
            inside(&e, &d);
            assert_eq!(d, draw(&e, 7, index));
            assert_ne!(d, draw(&e, 7, index + 1));
        }
    }

    #[test]
    fn any_place_is_inside_and_the_edges_are_the_corners() {
        let e = demo::machine("machine-a").envelope;
        inside(&e, &at(&e, &[]));
        inside(&e, &at(&e, &[f64::NAN; WIDTHS as usize]));
        inside(&e, &at(&e, &[-9.0; WIDTHS as usize]));
        let high = at(&e, &[f64::INFINITY; WIDTHS as usize]);
        inside(&e, &high);
        assert!((high.stiffness - e.stiffness_factor).abs() < 1e-12);
        assert!((at(&e, &[-1.0; WIDTHS as usize]).supply - (1.0 - e.supply)).abs() < 1e-12);
    }

    /// A value that comes into the envelope leaves the draws of the others as they were: the first fourteen share one stream, in
    /// order, and nobody else draws from it.
    #[test]
    fn a_later_width_shifts_no_draw() {
        let e = demo::machine("machine-a").envelope;
        let mut random = stream(1, "envelope", "draw", 162);
        let places: Vec<f64> = (0..FIRST).map(|_| symmetric(&mut random)).collect();
        let expected = at(&e, &places);
        let drawn = draw(&e, 1, 162);
        assert_ne!(drawn.gauge_bias, 0.0);
        assert_eq!(
            Deviations {
                gauge_bias: 0.0,
                gauge_drift: 0.0,
                gauge_temperature: 1.0,
                ..drawn
            },
            expected
        );
    }

    #[test]
    fn draws_reach_both_ends_of_the_stiffness() {
        let e = demo::machine("machine-a").envelope;
        let all: Vec<f64> = (0..500).map(|i| draw(&e, 7, i).stiffness).collect();
        assert!(all.iter().any(|&s| s < 0.4) && all.iter().any(|&s| s > 2.5));
        // Log-uniform: half of them are below nominal.
        let below = all.iter().filter(|&&s| s < 1.0).count();
        assert!((200..300).contains(&below), "{below}");
    }

    #[test]
    fn corners_put_each_value_at_each_edge() {
        let e = demo::machine("machine-a").envelope;
        for index in 0..300 {
            inside(&e, &corner(&e, index));
        }
        let one = corner(&e, 1);
        assert!((one.regulator_gain - 1.0 - e.regulator_gain).abs() < 1e-12);
        assert_eq!(
            Deviations {
                regulator_gain: 1.0,
                ..one
            },
            Deviations::NOMINAL
        );
        assert!((corner(&e, 16).supply - (1.0 - e.supply)).abs() < 1e-12);
    }
}
