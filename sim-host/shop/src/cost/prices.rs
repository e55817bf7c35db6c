//! The list of prices: a row for each, every one optional.

use twinplate_calibrate::sheet::{Heading, Holds, Sheet};
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::{Dimension as D, find};

const WHAT: &str = "what";
const PRICE: &str = "price";
const PER: &str = "per";

const HEADINGS: &[Heading] = &[
    Heading {
        name: WHAT,
        holds: Holds::Word,
    },
    Heading {
        name: PRICE,
        holds: Holds::Number,
    },
    Heading {
        name: PER,
        holds: Holds::Word,
    },
    Heading {
        name: "note",
        holds: Holds::Word,
    },
];

/// What a price is for so much of.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Of {
    /// A quantity.
    Quantity(D),
    /// Something by this word, and its size in SI units: one where it is counted.
    Each(&'static str, f64),
}

/// What a batch costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Item {
    /// Grains, by mass.
    Abrasive,
    /// Water or oil, by volume.
    Vehicle,
    /// What the drives take.
    Energy,
    /// The operator, from one loading to the next.
    Labour,
    /// The machine, from one loading to the next.
    Machine,
    /// The part as it comes in.
    Blank,
    /// Whatever each batch costs besides.
    Batch,
}

/// All items, the order of [`Item`].
pub const ITEMS: [Item; 7] = [
    Item::Abrasive,
    Item::Vehicle,
    Item::Energy,
    Item::Labour,
    Item::Machine,
    Item::Blank,
    Item::Batch,
];

impl Item {
    /// The word for it in a list.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Abrasive => "abrasive",
            Self::Vehicle => "vehicle",
            Self::Energy => "energy",
            Self::Labour => "labour",
            Self::Machine => "machine",
            Self::Blank => "blank",
            Self::Batch => "batch",
        }
    }

    const fn of(self) -> Of {
        match self {
            Self::Abrasive => Of::Quantity(D::Mass),
            Self::Vehicle => Of::Quantity(D::Volume),
            Self::Energy => Of::Each("kWh", 3.6e6),
            Self::Labour | Self::Machine => Of::Quantity(D::Time),
            Self::Blank => Of::Each("part", 1.0),
            Self::Batch => Of::Each("batch", 1.0),
        }
    }

    fn units(self) -> String {
        match self.of() {
            Of::Quantity(dimension) => format!("the unit of {}", dimension.name()),
            Of::Each(word, _) => format!("`{word}`"),
        }
    }
}

/// A price.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    /// As typed, in the currency.
    pub price: f64,
    /// For one of this.
    pub per: String,
    /// SI units in that; one where things are counted.
    pub size: f64,
}

/// The list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prices {
    /// The word for the currency; may be empty.
    pub currency: String,
    prices: [Option<Price>; ITEMS.len()],
}

impl Prices {
    /// The price of an item, where the list has it.
    #[must_use]
    pub const fn of(&self, item: Item) -> Option<&Price> {
        self.prices[item as usize].as_ref()
    }
}

/// Reads a list of prices.
///
/// # Errors
/// All errors of the list.
pub fn read(file: &str, bytes: &[u8]) -> Result<Prices, Vec<FileError>> {
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    for name in [WHAT, PRICE, PER] {
        if !sheet.has(name) {
            sheet.missing(name, "`what`, `price [EUR]` with your currency, and `per`");
        }
    }
    let (whats, pers, has_price) = (sheet.words(WHAT), sheet.words(PER), sheet.has(PRICE));
    let (currency, prices) = sheet.numbers(PRICE);
    let (Some(whats), Some(pers), true) = (whats, pers, has_price) else {
        return sheet.finish(None);
    };
    let mut list = Prices {
        currency: currency.unwrap_or_default(),
        ..Prices::default()
    };
    for (row, ((what, per), price)) in whats.iter().zip(&pers).zip(prices).enumerate() {
        let Some(item) = item(&mut sheet, row, what) else {
            continue;
        };
        if price < 0.0 {
            let expected = "a price of nothing or more";
            sheet.wrong("out-of-range", row, PRICE, format!("`{price}`"), expected);
        }
        let size = match item.of() {
            Of::Quantity(dimension) => find(per)
                .filter(|unit| unit.dimension == dimension)
                .map(|unit| unit.to_si(1.0)),
            Of::Each(word, size) => (per == word).then_some(size),
        };
        let Some(size) = size else {
            let message = format!("`{what}` has no price for a `{per}`");
            sheet.wrong("unknown-unit", row, PER, message, &item.units());
            continue;
        };
        let fresh = Price {
            price,
            per: per.clone(),
            size,
        };
        if list.prices[item as usize].replace(fresh).is_some() {
            let message = format!("a second price of `{what}`");
            sheet.wrong("duplicate-name", row, WHAT, message, "each once");
        }
    }
    sheet.finish(Some(list))
}

fn item(sheet: &mut Sheet, row: usize, what: &str) -> Option<Item> {
    let found = ITEMS
        .into_iter()
        .find(|item| item.word().eq_ignore_ascii_case(what));
    if found.is_none() {
        let words = ITEMS.map(Item::word).join(", ");
        let message = format!("nothing is named `{what}`");
        sheet.wrong(
            "unknown-word",
            row,
            WHAT,
            message,
            &format!("one of {words}"),
        );
    }
    found
}
