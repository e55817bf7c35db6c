//! Sliding friction with presliding: the LuGre model (Canudas de Wit, Olsson, Åström, Lischinsky, IEEE Transactions on
//! Automatic Control 40 (1995) 419–425), bristle updated implicitly so that any step size is stable.
//!
//! `s' = v - sigma0 |v| s / g(v)`, `F = sigma0 s + sigma1 s' + sigma2 v`, `g(v) = Fc + (Fs - Fc) exp(-(v/vs)^2)`. The force
//! opposes the motion: `F` has the sign of `v`.

use crate::math::{abs, exp};

/// Parameters of a LuGre friction element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LuGre {
    /// Bristle stiffness, N/m, > 0.
    pub sigma0: f64,
    /// Bristle damping, N·s/m, >= 0; passive while `sigma1 |v| <= 4 g(v)`.
    pub sigma1: f64,
    /// Viscous friction, N·s/m, >= 0.
    pub sigma2: f64,
    /// Coulomb level, N, > 0.
    pub coulomb: f64,
    /// Breakaway (static) level, N, >= `coulomb`.
    pub breakaway: f64,
    /// Stribeck speed, m/s, > 0.
    pub stribeck: f64,
    inverse_breakaway: f64,
}

/// A friction element with what depends on the step worked out: see [`LuGre::every`].
#[derive(Clone, Debug, PartialEq)]
pub struct Stepped {
    element: LuGre,
    h: f64,
    /// Slip of a step per speed, N·s/m.
    slip_by_speed: f64,
    /// Slip and speed under which the bristle counts as held, N and m/s.
    held_slip: f64,
    held_speed: f64,
    /// Bristle stiffness with and without its damping over the step, N/m.
    stiff: f64,
    damp: f64,
}

/// Friction as a straight line in the speed at the end of the step: `force + slope * v`, and the bristle `keep * (s + h v)`.
#[derive(Clone, Copy, Debug)]
pub struct Line {
    /// Force at zero speed, N.
    pub force: f64,
    /// Slope, N·s/m.
    pub slope: f64,
    /// Share of the stretched bristle that remains.
    pub keep: f64,
}

impl LuGre {
    /// A friction element; see the fields for units and ranges.
    #[must_use]
    pub fn new(
        [sigma0, sigma1, sigma2]: [f64; 3],
        coulomb: f64,
        breakaway: f64,
        stribeck: f64,
    ) -> Self {
        Self {
            sigma0,
            sigma1,
            sigma2,
            coulomb,
            breakaway,
            stribeck,
            inverse_breakaway: 1.0 / breakaway,
        }
    }

    /// Level that the bristle can carry at speed `v`, N.
    #[must_use]
    pub fn level(&self, v: f64) -> f64 {
        let ratio = v / self.stribeck;
        let x = ratio * ratio;
        // Below 1e-5 two terms of the series are exact to the last bit, and spare the tick a library call at rest.
        let fade = if x < 1e-5 {
            1.0 - x * (1.0 - 0.5 * x)
        } else if x > 40.0 {
            0.0
        } else {
            exp(-x)
        };
        self.coulomb + (self.breakaway - self.coulomb) * fade
    }

    /// Friction at a steady speed, N, with the sign of `v`.
    #[must_use]
    pub fn steady(&self, v: f64) -> f64 {
        let level = self.level(v);
        self.sigma2 * v
            + if v > 0.0 {
                level
            } else if v < 0.0 {
                -level
            } else {
                0.0
            }
    }

    /// Friction over a step of `h` seconds with bristle `s` (m), linear in the end speed; the fading term is taken at `guess`.
    #[must_use]
    pub fn line(&self, s: f64, guess: f64, h: f64) -> Line {
        self.every(h).line(s, guess)
    }

    /// The element for steps of `h` seconds (> 0).
    #[must_use]
    pub fn every(&self, h: f64) -> Stepped {
        let damp = self.sigma1 / h;
        Stepped {
            element: *self,
            h,
            slip_by_speed: h * self.sigma0,
            held_slip: 1e-4 * self.coulomb,
            held_speed: 3e-3 * self.stribeck,
            stiff: self.sigma0 + damp,
            damp,
        }
    }

    /// One step at a known end speed `v`: returns the force, N, and updates the bristle.
    pub fn step(&self, s: &mut f64, v: f64, h: f64) -> f64 {
        let line = self.line(*s, v, h);
        *s = line.keep * (*s + h * v);
        line.force + line.slope * v
    }
}

impl Stepped {
    /// As [`LuGre::line`].
    #[must_use]
    pub fn line(&self, s: f64, guess: f64) -> Line {
        self.held(s, guess).unwrap_or_else(|| {
            let slip = self.slip_by_speed * abs(guess);
            self.keeping(1.0 / (1.0 + slip / self.element.level(guess)), s)
        })
    }

    /// The same where the bristle is as good as held (slip under 1e-4 of the level): the series is exact to the last bit and spares
    /// two divisions. `None` where it slides.
    #[inline(always)]
    #[must_use]
    pub fn held(&self, s: f64, guess: f64) -> Option<Line> {
        let slip = self.slip_by_speed * abs(guess);
        if slip < self.held_slip && abs(guess) < self.held_speed {
            let x = slip * self.element.inverse_breakaway;
            Some(self.keeping(1.0 - x * (1.0 - x * (1.0 - x)), s))
        } else {
            None
        }
    }

    #[inline(always)]
    fn keeping(&self, keep: f64, s: f64) -> Line {
        Line {
            force: self.stiff * keep * s - self.damp * s,
            slope: self.stiff * keep * self.h + self.element.sigma2,
            keep,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn level_is_continuous_where_the_series_takes_over() {
        let f = LuGre::new([1e5, 300.0, 0.4], 1.0, 1.5, 1e-3);
        let edge = 1e-3 * (1e-5f64).sqrt();
        let gap = f.level(edge * (1.0 - 1e-9)) - f.level(edge * (1.0 + 1e-9));
        assert!(gap.abs() < 1e-13, "{gap}");
    }

    #[test]
    fn held_by_its_bristle_it_is_a_spring_and_sliding_it_opposes() {
        let f = LuGre::new([6e5, 200.0, 0.0], 8.0, 12.0, 0.01);
        let mut s = 0.0;
        // 1 µm in 100 ms: 0.6 N of spring, less what already slips.
        let mut force = 0.0;
        for _ in 0..100 {
            force = f.step(&mut s, 1e-5, 1e-3);
        }
        assert!((force - 0.6).abs() < 0.03, "{force}");
        for _ in 0..1000 {
            force = f.step(&mut s, -0.02, 1e-3);
        }
        assert!((force - f.steady(-0.02)).abs() < 1e-9, "{force}");
        assert!(force < 0.0);
    }
}
