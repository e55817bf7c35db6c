//! Linear least squares by an orthogonal decomposition, with what the residuals say about the estimates and about single rows.

use nalgebra::{DMatrix, DVector};
use twinplate_sim::distribution::{f_tail, t_95, t_tail};
use twinplate_sim::math::{abs, max, sqrt};

/// Chance, over all rows together, with which a good row is called an outlier (Bonferroni).
const OUTLIER: f64 = 0.05;
/// Part of a column's length that must be its own: less is rounding, and the column says what the others say.
const OWN: f64 = 1e-9;

/// An estimate with its two-sided 95 % interval (Student's t).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The estimate.
    pub value: f64,
    /// Its standard deviation.
    pub deviation: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Estimate {
    /// From an estimate, its standard deviation and the degrees of freedom behind that.
    #[must_use]
    pub(crate) fn new(value: f64, deviation: f64, freedom: f64) -> Self {
        let half = t_95(freedom) * deviation;
        Self {
            value,
            deviation,
            low: value - half,
            high: value + half,
        }
    }

    /// The same with a deviation beside that does not show in the scatter and is known: half-widths add as deviations do.
    #[must_use]
    pub(crate) fn widened(self, deviation: f64) -> Self {
        // Of a normal one, 95 %.
        let known = 1.96 * deviation;
        let half = self.high - self.value;
        let wide = sqrt(half * half + known * known);
        Self {
            value: self.value,
            deviation: sqrt(self.deviation * self.deviation + deviation * deviation),
            low: self.value - wide,
            high: self.value + wide,
        }
    }

    /// The same on another scale, `map` rising.
    #[must_use]
    pub fn mapped(&self, map: impl Fn(f64) -> f64) -> Self {
        let value = map(self.value);
        Self {
            value,
            // To first order, from the middle half of the interval.
            deviation: abs(
                map(self.value + 0.5 * self.deviation) - map(self.value - 0.5 * self.deviation)
            ),
            low: map(self.low),
            high: map(self.high),
        }
    }
}

/// A row of the data after the fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Line of the sheet.
    pub line: usize,
    /// Value less the fit.
    pub residual: f64,
    /// Leverage, 0 to 1: how much the row decides its own fit.
    pub leverage: f64,
    /// Residual over its standard deviation as the other rows give it (externally studentised).
    pub studentised: f64,
    /// Larger than chance allows for so many rows.
    pub outlier: bool,
}

/// A fit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Fit {
    pub coefficients: Vec<f64>,
    /// `(X'X)⁻¹`, row by row.
    pub unscaled: Vec<Vec<f64>>,
    pub residuals: Vec<f64>,
    pub leverages: Vec<f64>,
    /// Sum of squared residuals.
    pub squares: f64,
    /// Degrees of freedom: rows less coefficients.
    pub freedom: usize,
}

/// Fits rows of regressors to values. `None` where columns cannot be told apart, or there are fewer rows than columns.
///
/// Columns are brought to one length, then Householder's decomposition: the normal equations would lose half of the digits.
pub(crate) fn fit(rows: &[Vec<f64>], values: &[f64]) -> Option<Fit> {
    let (n, p) = (rows.len(), rows.first().map_or(0, Vec::len));
    if p == 0 || n < p || values.len() != n || rows.iter().any(|row| row.len() != p) {
        return None;
    }
    let x = DMatrix::from_fn(n, p, |i, j| rows[i][j]);
    let lengths: Vec<f64> = x.column_iter().map(|column| column.norm()).collect();
    if lengths
        .iter()
        .any(|length| *length <= 0.0 || !length.is_finite())
    {
        return None;
    }
    let scaled = DMatrix::from_fn(n, p, |i, j| x[(i, j)] / lengths[j]);
    let qr = scaled.qr();
    let (q, r) = (qr.q(), qr.r());
    if (0..p).any(|j| abs(r[(j, j)]) < OWN) {
        return None;
    }
    let y = DVector::from_column_slice(values);
    let solved = r.solve_upper_triangular(&(q.transpose() * &y))?;
    let inverse = r.solve_upper_triangular(&DMatrix::identity(p, p))?;
    let unscaled = &inverse * inverse.transpose();
    let coefficients: Vec<f64> = (0..p).map(|j| solved[j] / lengths[j]).collect();
    let residuals: Vec<f64> = rows
        .iter()
        .zip(values)
        .map(|(row, value)| {
            value
                - row
                    .iter()
                    .zip(&coefficients)
                    .map(|(x, c)| x * c)
                    .sum::<f64>()
        })
        .collect();
    Some(Fit {
        unscaled: (0..p)
            .map(|i| {
                (0..p)
                    .map(|j| unscaled[(i, j)] / (lengths[i] * lengths[j]))
                    .collect()
            })
            .collect(),
        leverages: (0..n).map(|i| q.row(i).norm_squared()).collect(),
        squares: residuals.iter().map(|r| r * r).sum(),
        freedom: n - p,
        coefficients,
        residuals,
    })
}

impl Fit {
    /// Residual standard deviation; zero without degrees of freedom.
    pub(crate) fn deviation(&self) -> f64 {
        if self.freedom == 0 {
            return 0.0;
        }
        sqrt(self.squares / self.freedom as f64)
    }

    /// A linear combination of the coefficients.
    pub(crate) fn combined(&self, weights: &[f64]) -> Estimate {
        let value = weights
            .iter()
            .zip(&self.coefficients)
            .map(|(w, c)| w * c)
            .sum();
        Estimate::new(
            value,
            self.deviation() * sqrt(max(self.form(weights), 0.0)),
            self.freedom as f64,
        )
    }

    /// `w' (X'X)⁻¹ w`.
    pub(crate) fn form(&self, weights: &[f64]) -> f64 {
        let mut sum = 0.0;
        for (row, a) in self.unscaled.iter().zip(weights) {
            sum += a * row.iter().zip(weights).map(|(u, b)| u * b).sum::<f64>();
        }
        sum
    }

    /// One coefficient.
    pub(crate) fn coefficient(&self, at: usize) -> Estimate {
        let weights: Vec<f64> = (0..self.coefficients.len())
            .map(|j| f64::from(u8::from(j == at)))
            .collect();
        self.combined(&weights)
    }

    /// The rows with their residuals; `lines` are theirs.
    pub(crate) fn rows(&self, lines: &[usize]) -> Vec<Row> {
        let n = self.residuals.len() as f64;
        // The row itself is left out of its own deviation, which costs a degree of freedom.
        let others = self.freedom as f64 - 1.0;
        lines
            .iter()
            .zip(self.residuals.iter().zip(&self.leverages))
            .map(|(line, (residual, leverage))| {
                let own = max(1.0 - leverage, 0.0);
                let left = self.squares - residual * residual / max(own, OWN);
                let known = others >= 1.0 && own > OWN && left > 1e-12 * self.squares;
                let studentised = if known {
                    residual / sqrt(left / others * own)
                } else {
                    0.0
                };
                Row {
                    line: *line,
                    residual: *residual,
                    leverage: *leverage,
                    studentised,
                    outlier: known && n * t_tail(studentised, others) < OUTLIER,
                }
            })
            .collect()
    }
}

/// A comparison of two sums of squares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FTest {
    /// Ratio of the mean squares.
    pub f: f64,
    /// Degrees of freedom, upper and lower.
    pub freedom: [usize; 2],
    /// Chance of so large a ratio where there is no effect.
    pub chance: f64,
}

impl FTest {
    /// `more` over `freedom` degrees against `error` over its own.
    pub(crate) fn new(more: (f64, usize), error: (f64, usize)) -> Option<Self> {
        let ((more, upper), (error, lower)) = (more, error);
        if upper == 0 || lower == 0 || error <= 0.0 {
            return None;
        }
        let f = max(more, 0.0) / upper as f64 / (error / lower as f64);
        Some(Self {
            f,
            freedom: [upper, lower],
            chance: f_tail(f, upper as f64, lower as f64),
        })
    }
}

/// Scatter of repeats: sum of squares about the mean of each group of rows, and its degrees of freedom. `group` numbers each row's.
pub(crate) fn repeats(groups: &[usize], values: &[f64]) -> (f64, usize) {
    let count = groups.iter().max().map_or(0, |most| most + 1);
    let (mut sums, mut counts) = (vec![0.0; count], vec![0_usize; count]);
    for (group, value) in groups.iter().zip(values) {
        sums[*group] += value;
        counts[*group] += 1;
    }
    let squares = groups
        .iter()
        .zip(values)
        .map(|(group, value)| {
            let off = value - sums[*group] / counts[*group] as f64;
            off * off
        })
        .sum();
    let used = counts.iter().filter(|count| **count > 0).count();
    (squares, groups.len() - used)
}
