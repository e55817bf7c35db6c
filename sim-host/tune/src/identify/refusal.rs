//! Why a log carries no model: the reason, its numbers, and what would mend it.

use crate::typed::Units;
use std::fmt;

/// A log that is refused. Times in s, outputs and commands in the log's units.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// The command never changes.
    NoExcitation {
        /// Its one value.
        command: f64,
    },
    /// Fewer samples than a fit needs.
    TooFewSamples {
        /// Usable samples from the first step on.
        found: usize,
        /// Samples needed there.
        needed: usize,
    },
    /// The output is the same number all along.
    StuckOutput {
        /// That number.
        value: f64,
        /// Samples.
        samples: usize,
    },
    /// Command and output seem to be exchanged.
    Swapped {
        /// Changes of what is called the command, share of its samples.
        command_moves: f64,
        /// Changes of what is called the output, share of its samples.
        output_moves: f64,
    },
    /// Most of the answer stands at a limit of the range.
    ClippedThroughout {
        /// Share of the samples after the first step that stand at a limit.
        share: f64,
        /// The limit that most stand at.
        at: f64,
    },
    /// The output never moves by more than its noise.
    NoResponse {
        /// Length of the log after the first step, s.
        waited: f64,
        /// Noise of the output, standard deviation.
        noise: f64,
        /// Difference of the means before and after the step.
        moved: f64,
    },
    /// The output moves, but not with the command.
    Uncorrelated {
        /// Share of the output's variation that the best model explains beyond a straight line, 0..1.
        explained: f64,
        /// Share needed.
        needed: f64,
    },
    /// The output wanders further on its own than the command moves it.
    DriftDwarfs {
        /// What the drift adds up to over the log.
        drift: f64,
        /// What the command moves.
        response: f64,
    },
    /// Too few samples while the answer rises.
    SamplingTooSlow {
        /// Distance of samples, s.
        step: f64,
        /// Sum of the lags as fitted, s: at most this.
        lag: f64,
    },
    /// Samples are missing where the answer rises, after every step.
    GapInRise {
        /// Line of the file after the gap.
        line: u64,
        /// Begin of the gap, s.
        at: f64,
        /// Its length, s.
        length: f64,
    },
    /// The log ends before one can see where the answer settles, or that it does not.
    StepNotFinished {
        /// Time from the last step that is used to the end, s.
        waited: f64,
        /// Time needed at least, as far as can be told, s.
        needed: f64,
    },
    /// The dead time that is said to be known is negative or longer than the log, s.
    DeadTimeBeyond {
        /// What was said, s.
        dead_time: f64,
        /// Length of the log, s.
        span: f64,
    },
    /// No fit could be made of these numbers (they are beyond what arithmetic bears).
    NoFit,
}

impl Refusal {
    /// Stable word for programs.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NoExcitation { .. } => "no-excitation",
            Self::TooFewSamples { .. } => "too-few-samples",
            Self::StuckOutput { .. } => "stuck-output",
            Self::Swapped { .. } => "columns-swapped",
            Self::ClippedThroughout { .. } => "clipped-throughout",
            Self::NoResponse { .. } => "no-response",
            Self::Uncorrelated { .. } => "uncorrelated",
            Self::DriftDwarfs { .. } => "drift-dwarfs-response",
            Self::SamplingTooSlow { .. } => "sampling-too-slow",
            Self::GapInRise { .. } => "gap-in-rise",
            Self::StepNotFinished { .. } => "step-not-finished",
            Self::DeadTimeBeyond { .. } => "dead-time-beyond-log",
            Self::NoFit => "no-fit",
        }
    }

    /// What would mend it.
    #[must_use]
    pub fn cure(&self) -> String {
        match self {
            Self::NoExcitation { .. } => "log a step of the command; if the step came just before the first row, say what the command was \
                 until then, such as `--before 0`"
                .into(),
            Self::TooFewSamples { needed, .. } => format!("log faster or longer: at least {needed} samples from the step on, better 100"),
            Self::StuckOutput { .. } => "choose the measured column with `--column output=NAME`; if it is the right one, the sensor or its \
                 recording stood still: repeat the test"
                .into(),
            Self::Swapped { .. } => "exchange the names in `--column command=…` and `--column output=…`".into(),
            Self::ClippedThroughout { .. } => "take a smaller step, or start lower, so that the answer stays inside the range".into(),
            Self::NoResponse { .. } => "log until the output has moved: the dead time may be longer than the log, the step too small, or the \
                 command may not reach the actuator"
                .into(),
            Self::Uncorrelated { .. } => "check that both columns belong to one loop; keep other inputs steady and take a larger step".into(),
            Self::DriftDwarfs { .. } => "wait until the process is steady before the step, and take a larger step".into(),
            Self::SamplingTooSlow { step, .. } => format!(
                "log faster: at least five samples in the lag, that is far below the present {} s",
                short(*step)
            ),
            Self::GapInRise { .. } => "repeat the test with a recorder that does not lose samples, or cut the log to a step without a gap".into(),
            Self::StepNotFinished { needed, .. } => format!("log for {} s or more after the step", short(*needed)),
            Self::DeadTimeBeyond { .. } => "give the dead time in seconds, from 0 to less than the log's length, or leave it out".into(),
            Self::NoFit => "check the units of the columns".into(),
        }
    }
}

impl Refusal {
    /// The same with its command and outputs in the units that people are told them in.
    #[must_use]
    pub(crate) fn answered(self, units: &Units) -> Self {
        let told = |quantity: f64| units.output.value(quantity);
        match self {
            Self::NoExcitation { command } => Self::NoExcitation {
                command: units.command.value(command),
            },
            Self::StuckOutput { value, samples } => Self::StuckOutput {
                value: told(value),
                samples,
            },
            Self::ClippedThroughout { share, at } => Self::ClippedThroughout {
                share,
                at: told(at),
            },
            Self::NoResponse {
                waited,
                noise,
                moved,
            } => Self::NoResponse {
                waited,
                noise: told(noise),
                moved: told(moved),
            },
            Self::DriftDwarfs { drift, response } => Self::DriftDwarfs {
                drift: told(drift),
                response: told(response),
            },
            Self::TooFewSamples { .. }
            | Self::Swapped { .. }
            | Self::Uncorrelated { .. }
            | Self::SamplingTooSlow { .. }
            | Self::GapInRise { .. }
            | Self::StepNotFinished { .. }
            | Self::DeadTimeBeyond { .. }
            | Self::NoFit => self,
        }
    }
}

/// A number with four digits, for messages.
pub(super) fn short(value: f64) -> String {
    if value == 0.0 {
        return "0".into();
    }
    let digits = 3 - twinplate_sim::math::nearest(twinplate_sim::math::floor(
        twinplate_sim::math::log10(twinplate_sim::math::abs(value)),
    ));
    if (0..9).contains(&digits) {
        let text = format!("{value:.*}", digits.unsigned_abs() as usize);
        if text.contains('.') {
            return text.trim_end_matches('0').trim_end_matches('.').to_owned();
        }
        return text;
    }
    if digits < 0 && digits > -6 {
        format!("{value:.0}")
    } else {
        format!("{value:.3e}")
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoExcitation { command } => write!(
                f,
                "the command is {} from the first row to the last: nothing answers to it",
                short(*command)
            ),
            Self::TooFewSamples { found, needed } => {
                write!(
                    f,
                    "{found} usable samples from the first step on; a fit needs {needed}"
                )
            }
            Self::StuckOutput { value, samples } => {
                write!(
                    f,
                    "the output is {} in all {samples} rows while the command steps",
                    short(*value)
                )
            }
            Self::Swapped {
                command_moves,
                output_moves,
            } => write!(
                f,
                "the command changes in {:.0} % of the rows and the output in {:.0} %: the columns seem to be exchanged",
                100.0 * command_moves,
                100.0 * output_moves
            ),
            Self::ClippedThroughout { share, at } => write!(
                f,
                "{:.0} % of the rows after the step stand at the limit {}: how far the answer would have gone cannot be seen",
                100.0 * share,
                short(*at)
            ),
            Self::NoResponse {
                waited,
                noise,
                moved,
            } => write!(
                f,
                "in {} s after the step the output moves by {}, which its noise of {} (standard deviation) explains",
                short(*waited),
                short(*moved),
                short(*noise)
            ),
            Self::Uncorrelated { explained, needed } => write!(
                f,
                "the output moves, but not with the command: the best model explains {:.0} % of it beyond a straight line, {:.0} % \
                 are needed",
                100.0 * explained,
                100.0 * needed
            ),
            Self::DriftDwarfs { drift, response } => write!(
                f,
                "the output drifts by {} over the log and answers the command with {} only",
                short(*drift),
                short(*response)
            ),
            Self::SamplingTooSlow { step, lag } => write!(
                f,
                "a sample every {} s, but the answer is over within about {} s: its shape is not in the log",
                short(*step),
                short(3.0 * lag)
            ),
            Self::GapInRise { line, at, length } => write!(
                f,
                "line {line}: {} s are missing after {} s, where the output answers the step",
                short(*length),
                short(*at)
            ),
            Self::StepNotFinished { waited, needed } => write!(
                f,
                "the log ends {} s after the step while the answer still moves: where it settles cannot be told (about {} s would do)",
                short(*waited),
                short(*needed)
            ),
            Self::DeadTimeBeyond { dead_time, span } => write!(
                f,
                "a dead time of {} s is said to be known, and the log lasts {} s",
                short(*dead_time),
                short(*span)
            ),
            Self::NoFit => write!(f, "no model could be fitted to these numbers"),
        }
    }
}
