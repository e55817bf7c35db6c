//! Small dense matrices: exponential, and the exact step of a linear system under a held or a straight input.

use super::complex::Complex;
use twinplate_sim::math::{abs, max};

/// A square matrix, row by row.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Matrix {
    /// Rows and columns.
    pub n: usize,
    /// Entries, row by row.
    pub at: Vec<f64>,
}

impl Matrix {
    pub fn zero(n: usize) -> Self {
        Self {
            n,
            at: vec![0.0; n * n],
        }
    }

    pub fn unit(n: usize) -> Self {
        let mut unit = Self::zero(n);
        for i in 0..n {
            unit.set(i, i, 1.0);
        }
        unit
    }

    pub fn get(&self, row: usize, column: usize) -> f64 {
        self.at[row * self.n + column]
    }

    pub fn set(&mut self, row: usize, column: usize, value: f64) {
        self.at[row * self.n + column] = value;
    }

    pub fn add(&mut self, row: usize, column: usize, value: f64) {
        self.at[row * self.n + column] += value;
    }

    fn times(&self, other: &Self) -> Self {
        let n = self.n;
        let mut product = Self::zero(n);
        for i in 0..n {
            for k in 0..n {
                let factor = self.at[i * n + k];
                for j in 0..n {
                    product.at[i * n + j] += factor * other.at[k * n + j];
                }
            }
        }
        product
    }

    fn scaled(mut self, by: f64) -> Self {
        for value in &mut self.at {
            *value *= by;
        }
        self
    }

    /// Largest row sum of magnitudes.
    fn norm(&self) -> f64 {
        self.at
            .chunks(self.n.max(1))
            .map(|row| row.iter().map(|v| abs(*v)).sum::<f64>())
            .fold(0.0, max)
    }

    /// `e^(self · time)`: halved until small, Taylor's series to rounding, squared back.
    pub(crate) fn exponential(&self, time: f64) -> Self {
        let mut halvings = 0_u32;
        let mut size = self.norm() * abs(time);
        while size > 0.25 && halvings < 200 {
            size *= 0.5;
            halvings += 1;
        }
        let mut small = self.clone().scaled(time);
        for _ in 0..halvings {
            small = small.scaled(0.5);
        }
        let mut sum = Self::unit(self.n);
        let mut term = sum.clone();
        // 0.25^14 / 14! is under 1e-19.
        for power in 1..=14_u32 {
            term = term.times(&small).scaled(1.0 / f64::from(power));
            for (total, add) in sum.at.iter_mut().zip(&term.at) {
                *total += add;
            }
        }
        for _ in 0..halvings {
            sum = sum.times(&sum);
        }
        sum
    }

    /// `self · vector` into `out`.
    pub fn apply(&self, vector: &[f64], out: &mut [f64]) {
        for (row, value) in self.at.chunks(self.n).zip(out) {
            *value = row.iter().zip(vector).map(|(a, b)| a * b).sum();
        }
    }

    /// `self` with two rows and columns of zeros more, `b` in the first of the new columns and a one beside it: its exponential
    /// holds the step of `x' = A x + b u` under an input that is held (first new column) and under a rising one (second).
    fn with_input(&self, b: &[f64]) -> Self {
        let n = self.n;
        let mut wide = Self::zero(n + 2);
        for (i, &share) in b.iter().enumerate().take(n) {
            for j in 0..n {
                wide.set(i, j, self.get(i, j));
            }
            wide.set(i, n, share);
        }
        wide.set(n, n + 1, 1.0);
        wide
    }

    /// Exact step of `x' = A x + b u` over `time`: `(Φ, Γ, Ρ)` with `x⁺ = Φ x + Γ u₀ + Ρ u'`, `u'` the slope of the input.
    pub fn step(&self, b: &[f64], time: f64) -> (Self, Vec<f64>, Vec<f64>) {
        let n = self.n;
        let whole = self.with_input(b).exponential(time);
        let mut phi = Self::zero(n);
        for i in 0..n {
            for j in 0..n {
                phi.set(i, j, whole.get(i, j));
            }
        }
        let column = |c| (0..n).map(|i| whole.get(i, c)).collect();
        (phi, column(n), column(n + 1))
    }

    /// `c (zI - self)⁻¹ b` by elimination with row pivots.
    pub(crate) fn resolvent(&self, z: Complex, b: &[Complex], c: &[f64]) -> Complex {
        let n = self.n;
        let mut rows: Vec<Complex> = self.at.iter().map(|v| Complex::new(-v, 0.0)).collect();
        for i in 0..n {
            rows[i * n + i] = rows[i * n + i] + z;
        }
        let mut right = b.to_vec();
        for k in 0..n {
            let pivot = (k..n).fold(k, |best, i| {
                if rows[i * n + k].square() > rows[best * n + k].square() {
                    i
                } else {
                    best
                }
            });
            if pivot != k {
                for j in k..n {
                    rows.swap(k * n + j, pivot * n + j);
                }
                right.swap(k, pivot);
            }
            let inverse = rows[k * n + k].inverse();
            for i in k + 1..n {
                let factor = rows[i * n + k] * inverse;
                if factor.square() > 0.0 {
                    for j in k + 1..n {
                        rows[i * n + j] = rows[i * n + j] - factor * rows[k * n + j];
                    }
                    right[i] = right[i] - factor * right[k];
                }
            }
        }
        for k in (0..n).rev() {
            let mut sum = right[k];
            for j in k + 1..n {
                sum = sum - rows[k * n + j] * right[j];
            }
            right[k] = sum / rows[k * n + k];
        }
        right
            .iter()
            .zip(c)
            .fold(Complex::default(), |sum, (x, c)| sum + x.scale(*c))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed forms: a rotation, and a repeated lag (whose eigenvectors coincide).
    #[test]
    fn exponential_of_a_rotation_and_of_a_repeated_lag() {
        let mut spin = Matrix::zero(2);
        spin.set(0, 1, 1.0);
        spin.set(1, 0, -1.0);
        let turned = spin.exponential(20.0);
        assert!((turned.get(0, 0) - 20.0_f64.cos()).abs() < 1e-12);
        assert!((turned.get(0, 1) - 20.0_f64.sin()).abs() < 1e-12);
        let mut pair = Matrix::zero(2);
        pair.set(0, 0, -1.0);
        pair.set(1, 0, 1.0);
        pair.set(1, 1, -1.0);
        let moved = pair.exponential(3.0);
        assert!((moved.get(1, 0) - 3.0 * (-3.0_f64).exp()).abs() < 1e-14);
    }

    /// Closed form of a lag under a step and under a ramp.
    #[test]
    fn a_lag_under_a_held_and_under_a_rising_input() {
        let mut lag = Matrix::zero(1);
        lag.set(0, 0, -0.5);
        let (phi, held, rising) = lag.step(&[0.5], 3.0);
        let keep = (-1.5_f64).exp();
        assert!((phi.get(0, 0) - keep).abs() < 1e-14);
        assert!((held[0] - (1.0 - keep)).abs() < 1e-14);
        assert!((rising[0] - (3.0 - 2.0 * (1.0 - keep))).abs() < 1e-14);
    }
}
