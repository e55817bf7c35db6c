//! State space of a line's continuous part: process sections, then the low-passes, one after the other.

use super::line::{LowPass, Transfer};
use super::matrix::Matrix;
use std::f64::consts::TAU;
use twinplate_sim::model::Gains;

/// `x' = A x + b u`, two readings of it.
#[derive(Clone, Debug)]
pub(crate) struct Chain {
    pub a: Matrix,
    pub b: Vec<f64>,
    /// Reads the output of the process.
    pub output: Vec<f64>,
    /// Reads the output behind the filters.
    pub measured: Vec<f64>,
}

/// What the chain carries from one section to the next: a sum of states and a share of the input.
struct Carry {
    states: Vec<f64>,
    direct: f64,
}

impl Chain {
    /// Dead time left out. The process is checked: strictly proper.
    pub fn new(process: &Transfer, filters: &[LowPass]) -> Self {
        let integrators = usize::from(process.integrators);
        let n = integrators + process.lags.len() + 2 * filters.len();
        let mut chain = Self {
            a: Matrix::zero(n),
            b: vec![0.0; n],
            output: vec![],
            measured: vec![],
        };
        let mut carry = Carry {
            states: vec![0.0; n],
            direct: process.gain,
        };
        let mut zeros = process.zeros.iter().copied();
        let mut state = 0;
        // Lags without a numerator first would need sorting; any pairing gives the same transfer function.
        for lag in
            std::iter::repeat_n(None, integrators).chain(process.lags.iter().copied().map(Some))
        {
            chain.section(&mut carry, state, lag, zeros.next());
            state += 1;
        }
        chain.output.clone_from(&carry.states);
        for filter in filters {
            chain.low_pass(&mut carry, state, filter);
            state += 2;
        }
        chain.measured = carry.states;
        chain
    }

    fn feed(&mut self, carry: &Carry, row: usize, by: f64) {
        for (j, share) in carry.states.iter().enumerate() {
            self.a.add(row, j, by * share);
        }
        self.b[row] += by * carry.direct;
    }

    /// `(T s + 1)/(τ s + 1)`, or `(T s + 1)/s`: a direct share and a state.
    fn section(&mut self, carry: &mut Carry, i: usize, lag: Option<f64>, zero: Option<f64>) {
        let zero = zero.unwrap_or(0.0);
        let (direct, own) = match lag {
            None => {
                self.feed(carry, i, 1.0);
                (zero, 1.0)
            }
            Some(lag) => {
                self.feed(carry, i, 1.0 / lag);
                self.a.add(i, i, -1.0 / lag);
                (zero / lag, 1.0 - zero / lag)
            }
        };
        for share in &mut carry.states {
            *share *= direct;
        }
        carry.states[i] += own;
        carry.direct *= direct;
    }

    fn low_pass(&mut self, carry: &mut Carry, i: usize, filter: &LowPass) {
        let corner = TAU * filter.corner;
        // The second state is the rate over the corner, so that both are of the size of the signal.
        self.a.add(i, i + 1, corner);
        self.feed(carry, i + 1, corner);
        self.a.add(i + 1, i, -corner);
        self.a.add(i + 1, i + 1, -2.0 * filter.damping * corner);
        carry.states.fill(0.0);
        carry.states[i] = 1.0;
        carry.direct = 0.0;
    }

    /// With one state more, the last: the integral of the measured output.
    pub(crate) fn with_integral(self) -> Self {
        let n = self.a.n;
        let mut wide = Matrix::zero(n + 1);
        for i in 0..n {
            for j in 0..n {
                wide.set(i, j, self.a.get(i, j));
            }
            wide.set(n, i, self.measured[i]);
        }
        let grown = |mut row: Vec<f64>| {
            row.push(0.0);
            row
        };
        Self {
            a: wide,
            b: grown(self.b),
            output: grown(self.output),
            measured: grown(self.measured),
        }
    }

    /// Closes the loop: the part of the PI command that comes from the states goes into the matrix. For a chain
    /// [`Chain::with_integral`].
    pub fn close(&mut self, gains: &Gains) {
        let n = self.a.n;
        for i in 0..n {
            for j in 0..n {
                let integral = if j + 1 == n { 1.0 / gains.ti } else { 0.0 };
                let feedback = -gains.kc * (self.measured[j] + integral);
                self.a.add(i, j, self.b[i] * feedback);
            }
        }
    }
}
