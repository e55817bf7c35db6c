//! In which units a tuning is told: those that were typed. Only texts and pictures ask here; nothing is computed in these units.

use super::import::Log;
use twinplate_sim::files::quantity::{Dimension, find};
use twinplate_sim::model::{Of, Shown, significant};

/// A unit to tell quantities in.
#[derive(Clone, Debug, PartialEq)]
pub struct Typed {
    /// Its spelling.
    pub symbol: String,
    /// How many of it make one of the unit that is computed in.
    factor: f64,
}

impl Typed {
    /// The unit that is computed in, under its name.
    fn same(symbol: &str) -> Self {
        Self {
            symbol: symbol.to_owned(),
            factor: 1.0,
        }
    }

    /// The answers' unit of a kind.
    fn shown(shown: &Shown, of: Of) -> Self {
        Self {
            symbol: shown.symbol(of).to_owned(),
            factor: shown.again(of, 1.0),
        }
    }

    /// The unit of a log's column; shares are counted in one, and who shows them makes them per cent.
    fn of_column(log: &Log, column: usize, without: &str) -> Self {
        let column = &log.columns[column];
        let known = column.unit.as_deref().and_then(find);
        match (known, &column.log_unit) {
            (Some(unit), _) if unit.dimension != Dimension::Ratio && unit.offset == 0.0 => Self {
                symbol: unit.symbol.to_owned(),
                factor: unit.denominator / unit.numerator,
            },
            (_, Some(unit)) => Self::same(unit),
            (_, None) => Self::same(without),
        }
    }

    /// A quantity in this unit.
    #[must_use]
    pub fn value(&self, quantity: f64) -> f64 {
        quantity * self.factor
    }

    /// A quantity's number in this unit to so many digits.
    #[must_use]
    pub fn number(&self, quantity: f64, digits: usize) -> String {
        significant(self.value(quantity), digits)
    }

    /// The same with its unit.
    #[must_use]
    pub fn say(&self, quantity: f64, digits: usize) -> String {
        format!("{} {}", self.number(quantity, digits), self.symbol)
    }

    /// Quantities in this unit.
    #[must_use]
    pub fn values(&self, quantities: &[f64]) -> Vec<f64> {
        quantities.iter().map(|one| self.value(*one)).collect()
    }
}

/// The units of a tuning's quantities.
#[derive(Clone, Debug, PartialEq)]
pub struct Units {
    /// Of the command.
    pub command: Typed,
    /// Of the output.
    pub output: Typed,
    /// Of the output's rate of change.
    pub rate: Typed,
    /// Of an integral error: output times seconds.
    pub error: Typed,
    /// Of the proportional gain: command over output.
    pub gain: Typed,
}

impl Units {
    /// What brings a process's gain, output over command, into these units.
    #[must_use]
    pub fn process_gain(&self) -> f64 {
        self.output.factor / self.command.factor
    }

    /// Those of a machine's load loop.
    #[must_use]
    pub fn of_machine(shown: &Shown) -> Self {
        let output = Typed::shown(shown, Of::Load);
        Self {
            command: Typed::same("1"),
            rate: Typed::shown(shown, Of::Ramp),
            error: seconds(&output),
            gain: Typed::shown(shown, Of::Gain),
            output,
        }
    }

    /// Those of a log without a machine.
    #[must_use]
    pub fn of_log(log: &Log) -> Self {
        let command = Typed::of_column(log, 1, "command unit");
        let output = Typed::of_column(log, 2, "output unit");
        let gain = if output.symbol == "1" {
            command.symbol.clone()
        } else {
            format!("{}/{}", command.symbol, output.symbol)
        };
        Self {
            rate: Typed {
                symbol: format!("{}/s", output.symbol),
                ..output.clone()
            },
            error: seconds(&output),
            gain: Typed {
                symbol: gain,
                factor: command.factor / output.factor,
            },
            command,
            output,
        }
    }
}

/// A unit times seconds.
fn seconds(unit: &Typed) -> Typed {
    Typed {
        symbol: format!("{}·s", unit.symbol),
        ..unit.clone()
    }
}
