//! What one should know about an identification before trusting it.

use super::refusal::short;
use crate::typed::Typed;
use std::fmt;

/// Something to know. Times in s, outputs in the log's unit.
#[derive(Clone, Debug, PartialEq)]
pub enum Warning {
    /// The first-order model is wrong where the answer begins.
    FirstOrderMissesStart {
        /// Length of the beginning that was looked at, s after the step.
        window: f64,
        /// Root mean square of the residuals there, first order.
        first: f64,
        /// The same, second order.
        second: f64,
    },
    /// The output's resolution is coarser than its noise.
    ResolutionDominates {
        /// Distance of the values the output can take.
        resolution: f64,
        /// Noise, standard deviation.
        noise: f64,
    },
    /// The residuals are not white: the model leaves something unexplained; intervals are widened.
    Coloured {
        /// Result of the whiteness test.
        p_value: f64,
        /// Samples they are worth.
        effective: f64,
        /// Samples there are.
        samples: usize,
    },
    /// Samples at a limit or stuck, left out of the fit.
    LeftOut {
        /// How many.
        samples: usize,
        /// Of how many.
        of: usize,
    },
    /// The instant of the step is known to a sample only, and so is the dead time.
    StepInstant {
        /// Distance of samples, s.
        step: f64,
        /// Dead time, s.
        dead_time: f64,
    },
    /// The answer is not over at the end: the gain is extrapolated.
    NotSettled {
        /// Time after the last step, s.
        waited: f64,
        /// Three lags and the dead time, s.
        settled: f64,
    },
    /// Integrating: in this log nothing settles, but a longer one might show it.
    NoSettlingSeen {
        /// Time after the last step, s.
        waited: f64,
    },
    /// The output drifted.
    Drift {
        /// Over the whole log.
        over_log: f64,
        /// What the command moved.
        response: f64,
    },
    /// Hysteresis that matters: more than a twentieth of the answer to the largest step.
    Hysteresis {
        /// Its width.
        width: f64,
        /// What the command moved.
        response: f64,
    },
    /// The regulator was on its way through the largest step for a good part of the lag.
    Slewed {
        /// The step, share of full scale.
        step: f64,
        /// How long it takes at the machine file's slew, s.
        seconds: f64,
        /// Fitted lag, s.
        lag: f64,
    },
    /// A parameter is known to no better than a fifth of itself.
    Vague {
        /// Which.
        what: &'static str,
        /// Half-width over value.
        relative: f64,
    },
}

impl Warning {
    /// Stable word for programs.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::FirstOrderMissesStart { .. } => "first-order-misses-start",
            Self::ResolutionDominates { .. } => "resolution-dominates",
            Self::Coloured { .. } => "residuals-coloured",
            Self::LeftOut { .. } => "samples-left-out",
            Self::StepInstant { .. } => "step-instant-coarse",
            Self::NotSettled { .. } => "not-settled",
            Self::NoSettlingSeen { .. } => "no-settling-seen",
            Self::Drift { .. } => "drift",
            Self::Hysteresis { .. } => "hysteresis",
            Self::Slewed { .. } => "step-slewed",
            Self::Vague { .. } => "vague",
        }
    }
}

impl Warning {
    /// The same with its outputs in the unit that people are told them in.
    #[must_use]
    pub fn answered(&self, output: &Typed) -> Self {
        let told = |quantity: &f64| output.value(*quantity);
        match self {
            Self::FirstOrderMissesStart {
                window,
                first,
                second,
            } => Self::FirstOrderMissesStart {
                window: *window,
                first: told(first),
                second: told(second),
            },
            Self::ResolutionDominates { resolution, noise } => Self::ResolutionDominates {
                resolution: told(resolution),
                noise: told(noise),
            },
            Self::Drift { over_log, response } => Self::Drift {
                over_log: told(over_log),
                response: told(response),
            },
            Self::Hysteresis { width, response } => Self::Hysteresis {
                width: told(width),
                response: told(response),
            },
            Self::Coloured { .. }
            | Self::LeftOut { .. }
            | Self::StepInstant { .. }
            | Self::NotSettled { .. }
            | Self::NoSettlingSeen { .. }
            | Self::Slewed { .. }
            | Self::Vague { .. } => self.clone(),
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::FirstOrderMissesStart {
                window,
                first,
                second,
            } => write!(
                f,
                "in the first {} s after the step the first-order model is off by {} (root mean square), the second-order one by {}: \
                 a real answer begins softer than one lag",
                short(*window),
                short(*first),
                short(*second)
            ),
            Self::ResolutionDominates { resolution, noise } => write!(
                f,
                "the output comes in steps of {}, coarser than its noise of {}: a finer reading would tell more than a longer log",
                short(*resolution),
                short(*noise)
            ),
            Self::Coloured {
                p_value,
                effective,
                samples,
            } => write!(
                f,
                "the residuals are not white ({}): the model leaves something unexplained. {samples} samples count as \
                 {effective:.0}, and the intervals are widened accordingly",
                if *p_value < 1e-6 {
                    "p under 1e-6".to_owned()
                } else {
                    format!("p = {p_value:.1e}")
                }
            ),
            Self::LeftOut { samples, of } => {
                write!(
                    f,
                    "{samples} of {of} samples stand at a limit or are stuck and were left out of the fit"
                )
            }
            Self::StepInstant { step, dead_time } => write!(
                f,
                "the step came at most one sample ({} s) before the row that shows it first: the dead time of {} s may be longer by that much",
                short(*step),
                short(*dead_time)
            ),
            Self::NotSettled { waited, settled } => write!(
                f,
                "the log ends {} s after the step, before the answer settles (about {} s): the gain is extrapolated",
                short(*waited),
                short(*settled)
            ),
            Self::NoSettlingSeen { waited } => write!(
                f,
                "nothing settles within {} s after the step, so the process counts as integrating; a longer log might show that it settles",
                short(*waited)
            ),
            Self::Drift { over_log, response } => write!(
                f,
                "the output drifts by {} over the log, apart from its answer of {}",
                short(*over_log),
                short(*response)
            ),
            Self::Hysteresis { width, response } => write!(
                f,
                "levels reached from above and from below differ by {}, of an answer of {}: a linear model knows nothing of it",
                short(*width),
                short(*response)
            ),
            Self::Slewed { step, seconds, lag } => write!(
                f,
                "the regulator is on its way through the step of {} % for {} s, beside a lag of {} s: half of that is in the fitted dead time, \
                 and small movements are quicker. A smaller step would show how much",
                short(*step * 100.0),
                short(*seconds),
                short(*lag)
            ),
            Self::Vague { what, relative } => {
                write!(f, "the {what} is known only to ±{:.0} %", 100.0 * relative)
            }
        }
    }
}
