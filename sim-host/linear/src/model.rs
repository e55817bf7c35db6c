//! Linear models of the load line: what a fit finds and what a loop is tuned for.

/// Form of a model between command and output.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// `k e^(-θs) / s`
    Integrating,
    /// `k e^(-θs) / (τ₁s + 1)`
    First,
    /// `k e^(-θs) / ((τ₁s + 1)(τ₂s + 1))`
    Second,
}

/// A linear process with dead time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProcessModel {
    /// Form.
    pub order: Order,
    /// Static gain, output unit per command unit; per second when integrating. Any sign but zero.
    pub gain: f64,
    /// Larger lag, s, > 0; unused (0) when integrating.
    pub tau1: f64,
    /// Smaller lag, s, 0 ≤ τ₂ ≤ τ₁; 0 unless second order.
    pub tau2: f64,
    /// Dead time, s, ≥ 0.
    pub dead_time: f64,
}
