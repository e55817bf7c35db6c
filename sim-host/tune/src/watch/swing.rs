//! A load that swings by itself, and spread gathered sample by sample.

use twinplate_sim::math::{abs, max, min, sqrt};

/// Ticks over which the load is averaged before hunting is looked for: out of the way of noise, far below any hunting period.
const AVERAGE: u32 = 50;
/// Turns of the load about its mean that make a hunting: two whole periods.
const TURNS: u32 = 4;

/// A load that swings by itself.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Hunting {
    /// Half of peak to peak, N; zero when there is none.
    pub amplitude: f64,
    /// Period, s; zero when there is none.
    pub period: f64,
}

/// Number, mean and sum of squares, gathered stably (Welford's recurrence).
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Spread {
    count: f64,
    mean: f64,
    squares: f64,
}

impl Spread {
    pub(super) fn add(&mut self, x: f64) {
        self.count += 1.0;
        let off = x - self.mean;
        self.mean += off / self.count;
        self.squares += off * (x - self.mean);
    }

    pub(super) fn sd(&self) -> f64 {
        if self.count > 1.0 {
            sqrt(self.squares / (self.count - 1.0))
        } else {
            0.0
        }
    }
}

/// Looks for turns about the mean in averaged values.
#[derive(Clone, Debug, Default)]
pub(super) struct Swing {
    sum: f64,
    count: u32,
    values: Vec<f64>,
}

impl Swing {
    pub(super) fn add(&mut self, load: f64) {
        self.sum += load;
        self.count += 1;
        if self.count == AVERAGE {
            self.values.push(self.sum / f64::from(AVERAGE));
            (self.sum, self.count) = (0.0, 0);
        }
    }

    /// Turns count when the load goes from one side of a dead zone about the middle to the other; the zone is half the swing wide
    /// and at least as wide as what is no hunting.
    pub(super) fn hunting(&self, still: f64) -> Hunting {
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in &self.values {
            least = min(least, *value);
            most = max(most, *value);
        }
        let amplitude = 0.5 * (most - least);
        if !amplitude.is_finite() || amplitude <= still {
            return Hunting::default();
        }
        let middle = 0.5 * (most + least);
        let zone = max(0.5 * amplitude, still);
        let (mut side, mut turns, mut first, mut last) = (0.0, 0_u32, 0_usize, 0_usize);
        for (index, value) in self.values.iter().enumerate() {
            let off = value - middle;
            if abs(off) < zone || off * side > 0.0 {
                continue;
            }
            if side * off < 0.0 {
                turns += 1;
                last = index;
                if turns == 1 {
                    first = index;
                }
            }
            side = if off > 0.0 { 1.0 } else { -1.0 };
        }
        if turns < TURNS {
            return Hunting::default();
        }
        let time = (last - first) as f64 * f64::from(AVERAGE) / 1e3;
        Hunting {
            amplitude,
            period: 2.0 * time / f64::from(turns - 1),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn swing(value: impl Fn(f64) -> f64) -> Hunting {
        let mut swing = Swing::default();
        for tick in 0..8000 {
            swing.add(value(f64::from(tick) / 1e3));
        }
        swing.hunting(2.0)
    }

    #[test]
    fn a_sine_is_hunting_with_its_amplitude_and_period() {
        let found =
            swing(|t| 300.0 + 6.0 * twinplate_sim::math::sin(2.0 * std::f64::consts::PI * t / 1.6));
        assert!((found.amplitude - 6.0).abs() < 0.1, "{found:?}");
        assert!((found.period - 1.6).abs() < 0.06, "{found:?}");
    }

    #[test]
    fn drift_a_single_jump_and_small_swings_are_not_hunting() {
        assert_eq!(swing(|t| 300.0 + 3.0 * t), Hunting::default());
        assert_eq!(
            swing(|t| if t < 4.0 { 300.0 } else { 309.0 }),
            Hunting::default()
        );
        assert_eq!(
            swing(|t| 300.0 + 1.9 * twinplate_sim::math::sin(6.0 * t)),
            Hunting::default()
        );
    }

    #[test]
    fn spread_is_the_sample_standard_deviation() {
        // 2, 4, 4, 4, 5, 5, 7, 9: sum of squares about the mean 32, n - 1 = 7 (textbook example).
        let mut spread = Spread::default();
        for x in [2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0] {
            spread.add(x);
        }
        assert!((spread.sd() - (32.0_f64 / 7.0).sqrt()).abs() < 1e-12);
    }
}
