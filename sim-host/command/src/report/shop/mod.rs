//! What `lay-in`, `card` and `cost` say: text for a terminal, and one self-contained page each.

mod card;
mod card_page;
mod cautions;
mod cost;
mod cost_page;
mod lay_in;
mod lay_in_page;
mod pockets;

pub(crate) use card::draw as card;
pub(crate) use card_page::draw as card_page;
pub(crate) use cost::{draw as cost, holds};
pub(crate) use cost_page::draw as cost_page;
pub(crate) use lay_in::{csv as pocket_list, draw as lay_in};
pub(crate) use lay_in_page::draw as lay_in_page;

use twinplate_check::finding::significant as number;
use twinplate_shop::shown::Lengths;
use twinplate_sim::model::{Batch, Machine};

/// Machine and batch, for plans.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Laid<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// The batch.
    pub batch: &'a Batch,
}

/// A thickness in the unit in which it was typed, to the digits of a micrometer.
fn thickness(unit: &Lengths, metres: f64) -> String {
    format!("{} {}", bare(unit, metres), unit.symbol)
}

/// The same without its unit.
fn bare(unit: &Lengths, metres: f64) -> String {
    // To a tenth of a micrometre, whatever the unit.
    let places = match unit.size {
        size if size > 0.5 => 7,
        size if size > 5e-3 => 5,
        size if size > 5e-4 => 4,
        size if size > 5e-6 => 2,
        _ => 1,
    };
    format!("{:.places$}", unit.typed(metres))
}

/// A difference in the finer unit.
fn fine(unit: &Lengths, metres: f64) -> String {
    format!("{} {}", number(unit.finely(metres), 3), unit.fine)
}

/// Minutes, to a tenth.
fn minutes(seconds: f64) -> String {
    format!("{:.1}", seconds / 60.0)
}
