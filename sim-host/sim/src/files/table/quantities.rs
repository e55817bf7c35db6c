//! Keys that hold quantities.

use super::super::quantity::{self, Dimension, QuantityError};
use super::{Kind, Table};
use crate::plant::part_form::HELIUM;
use std::ops::Range;
use toml_edit::{Item, Value};

impl Table<'_, '_> {
    /// A quantity; the number is in the SI unit of its dimension. The range is written as in a file and includes its ends.
    pub(in super::super) fn quantity(
        &mut self,
        key: &'static str,
        dimension: Dimension,
        range: [&'static str; 2],
        meaning: &'static str,
    ) -> f64 {
        self.note(key, meaning, true, Kind::Quantity { dimension, range });
        match self.require(key) {
            Some((item, span)) => self.convert(key, item, span, dimension, range),
            None => f64::NAN,
        }
    }

    /// As [`Self::quantity`], with a value for when the key is left out.
    pub(in super::super) fn quantity_or(
        &mut self,
        key: &'static str,
        dimension: Dimension,
        range: [&'static str; 2],
        default: &'static str,
        meaning: &'static str,
    ) -> f64 {
        self.note(key, meaning, false, Kind::Quantity { dimension, range });
        self.note_default(default);
        match self.find(key) {
            Some((item, span)) => self.convert(key, item, span, dimension, range),
            None => quantity::parse(default, dimension).unwrap_or(f64::NAN),
        }
    }

    /// As [`Self::quantity`], for a key that is [assumed](crate::assumed) where it is left out; no number until then.
    pub(in super::super) fn assumed(
        &mut self,
        key: &'static str,
        dimension: Dimension,
        range: [&'static str; 2],
        meaning: &'static str,
    ) -> f64 {
        let value = self.optional_quantity(key, dimension, range, meaning);
        self.note_assumed(key);
        value.unwrap_or(f64::NAN)
    }

    /// As [`Self::quantity`], for a key that may be left out.
    pub(in super::super) fn optional_quantity(
        &mut self,
        key: &'static str,
        dimension: Dimension,
        range: [&'static str; 2],
        meaning: &'static str,
    ) -> Option<f64> {
        self.note(key, meaning, false, Kind::Quantity { dimension, range });
        let (item, span) = self.find(key)?;
        Some(self.convert(key, item, span, dimension, range))
    }

    /// As [`Self::quantity`], for a key that may be left out where its value follows from others that are known.
    pub(in super::super) fn quantity_from(
        &mut self,
        key: &'static str,
        dimension: Dimension,
        range: [&'static str; 2],
        known: Option<f64>,
        meaning: &'static str,
    ) -> f64 {
        // Whoever reads no file, but asks what one may hold, hears that it may be left out.
        let required = known.is_none() && self.entries.is_some();
        self.note(key, meaning, required, Kind::Quantity { dimension, range });
        match (self.find(key), known) {
            (Some((item, span)), _) => self.convert(key, item, span, dimension, range),
            (None, Some(value)) => value,
            (None, None) => {
                self.missing.push(vec![key]);
                f64::NAN
            }
        }
    }

    fn convert(
        &mut self,
        key: &str,
        item: &Item,
        span: Range<usize>,
        dimension: Dimension,
        range: [&'static str; 2],
    ) -> f64 {
        let due = format!(
            "{} such as \"{}\"",
            dimension.name(),
            quantity::example(dimension, range)
        );
        let parsed = match item.as_value() {
            Some(Value::String(text)) => {
                let scale = if quantity::in_light_bands(text.value()) {
                    self.lamp() / HELIUM
                } else {
                    1.0
                };
                quantity::parse(text.value(), dimension).map(|value| value * scale)
            }
            Some(value) => match number(value) {
                Some(n) if !n.is_finite() => Err(QuantityError::NotFinite),
                Some(n) if dimension == Dimension::Ratio => Ok(n),
                Some(_) => Err(QuantityError::MissingUnit),
                None => {
                    self.wrong_type(key, item, span, due);
                    return f64::NAN;
                }
            },
            None => {
                self.wrong_type(key, item, span, due);
                return f64::NAN;
            }
        };
        match parsed {
            Ok(value) => self.in_range(key, value, span, dimension, range),
            Err(error) => {
                self.quantity_error(key, error, span, due);
                f64::NAN
            }
        }
    }

    fn in_range(
        &mut self,
        key: &str,
        value: f64,
        span: Range<usize>,
        dimension: Dimension,
        range: [&'static str; 2],
    ) -> f64 {
        let [low, high] = range.map(|text| quantity::parse(text, dimension).unwrap_or(f64::NAN));
        // Half a billionth, so that a limit written in another unit is still inside.
        let slack = 5e-10;
        let below = value < low - slack * crate::math::abs(low);
        let above = value > high + slack * crate::math::abs(high);
        if below || above {
            let side = if below { "below" } else { "above" };
            self.error(
                "out-of-range",
                span,
                format!("`{key}` is {side} its range"),
                format!("{} from {} to {}", dimension.name(), range[0], range[1]),
            );
        }
        value
    }

    fn quantity_error(&mut self, key: &str, error: QuantityError, span: Range<usize>, due: String) {
        match error {
            QuantityError::MissingUnit => self.error(
                "missing-unit",
                span,
                format!("`{key}` has no unit"),
                format!("{due}, in quotes and with its unit"),
            ),
            QuantityError::UnknownUnit(unit, near) => self.error_near(
                "unknown-unit",
                span,
                format!("`{unit}` is not a known unit"),
                due,
                near,
            ),
            QuantityError::WrongDimension(found) => self.error(
                "wrong-dimension",
                span,
                format!("`{key}` is {}", found.name()),
                format!("{due}, found {}", found.name()),
            ),
            QuantityError::NotFinite => self.error(
                "not-finite",
                span,
                format!("`{key}` is not a finite number"),
                due,
            ),
            QuantityError::BadNumber => self.error(
                "bad-number",
                span,
                format!("`{key}` does not begin with a number"),
                due,
            ),
            QuantityError::Comma(meant) => {
                let meant: Vec<String> = meant.iter().map(|text| format!("\"{text}\"")).collect();
                self.error(
                    "bad-number",
                    span,
                    format!("`{key}` has a decimal comma"),
                    format!("a decimal point: {}", meant.join(" or ")),
                );
            }
            QuantityError::Grouped => self.error(
                "bad-number",
                span,
                format!("the digits of `{key}` are grouped"),
                format!("{due}, its digits in one piece with at most one decimal point"),
            ),
        }
    }

    /// An optional quantity of any dimension (or a bare number), in SI units. `likely` is the dimension of which a unit is
    /// suggested, where one is known.
    pub(in super::super) fn any_quantity(
        &mut self,
        key: &'static str,
        likely: Option<Dimension>,
        meaning: &'static str,
    ) -> Option<(f64, Option<Dimension>)> {
        self.note(key, meaning, false, Kind::AnyQuantity);
        let (item, span) = self.find(key)?;
        let due = "a quantity with its unit, or a number".to_owned();
        let parsed = match item.as_value() {
            Some(Value::String(text)) => quantity::parse_any(text.value(), likely),
            value => match value.and_then(number) {
                Some(n) if n.is_finite() => Ok((n, None)),
                Some(_) => Err(QuantityError::NotFinite),
                None => {
                    self.wrong_type(key, item, span, due);
                    return None;
                }
            },
        };
        match parsed {
            Ok(value) => Some(value),
            Err(error) => {
                self.quantity_error(key, error, span, due);
                None
            }
        }
    }
}

/// A TOML number, whole or not.
fn number(value: &Value) -> Option<f64> {
    // Quantities need no more than 53 bits; a whole number beyond them is out of every range anyway.
    #[allow(clippy::cast_precision_loss)]
    value
        .as_float()
        .or_else(|| value.as_integer().map(|whole| whole as f64))
}
