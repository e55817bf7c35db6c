//! Columns of quantities and of bare numbers, with the unit of their heading.

use super::text::refusal;
use super::{Holds, Sheet};
use twinplate_sim::files::quantity::{Dimension, QuantityError, Unit, find, parse, parse_any};

/// Quantities of a column, as typed and in SI units; NaN where a cell is wrong.
pub struct Quantities {
    /// Unit of the column.
    pub unit: &'static Unit,
    /// Values in that unit.
    pub typed: Vec<f64>,
    /// Values in SI units.
    pub si: Vec<f64>,
}

impl Sheet {
    /// Plain numbers of a column, and the word in brackets behind its name.
    pub fn numbers(&mut self, name: &str) -> (Option<String>, Vec<f64>) {
        let unit = self.column(name).and_then(|found| found.unit.clone());
        let texts = self.words(name).unwrap_or_default();
        let mut values = Vec::with_capacity(texts.len());
        for (row, text) in texts.iter().enumerate() {
            let value = match parse_any(&self.pointed(text), None) {
                Ok((value, None)) => Some(value),
                Ok((_, Some(_))) | Err(QuantityError::UnknownUnit(..)) => {
                    let expected = "a bare number; the unit stands in the heading";
                    self.wrong(
                        "bad-number",
                        row,
                        name,
                        format!("`{text}` is no bare number"),
                        expected,
                    );
                    None
                }
                Err(error) => {
                    self.refuse(&error, row, name, text, None);
                    None
                }
            };
            values.push(value.unwrap_or(f64::NAN));
        }
        (unit, values)
    }

    /// A text with its decimal comma as a point, where commas do not part the cells.
    fn pointed(&self, text: &str) -> String {
        if self.commas && text.matches(',').count() == 1 && !text.contains('.') {
            text.replacen(',', ".", 1)
        } else {
            text.to_owned()
        }
    }

    /// Quantities of a column; `None` where there is no such column or no unit in it.
    pub fn quantities(&mut self, name: &str) -> Option<Quantities> {
        self.quantities_where(name, |_| true)
    }

    /// The same of a column that no row needs: NaN where a cell is empty.
    pub fn sparse(&mut self, name: &str) -> Option<Quantities> {
        self.quantities_where(name, |_| false)
    }

    /// The same for the rows that need one, counted from 0: in the others an empty cell is NaN and no error.
    pub(crate) fn quantities_where(
        &mut self,
        name: &str,
        needs: impl Fn(usize) -> bool,
    ) -> Option<Quantities> {
        let heading = self.headings.iter().find(|heading| heading.name == name)?;
        let Holds::Quantity(may) = &heading.holds else {
            return None;
        };
        let texts = self.words(name)?;
        let unit = self.unit(name, may, &texts)?;
        let (_, [low, high]) = may
            .iter()
            .find(|(dimension, _)| *dimension == unit.dimension)?;
        let end = |text: &str| parse(text, unit.dimension).unwrap_or(f64::NAN);
        let range = [end(low), end(high)];
        let mut all = Quantities {
            unit,
            typed: Vec::with_capacity(texts.len()),
            si: Vec::with_capacity(texts.len()),
        };
        for (row, text) in texts.iter().enumerate() {
            if text.is_empty() && !needs(row) {
                all.typed.push(f64::NAN);
                all.si.push(f64::NAN);
                continue;
            }
            let value = match parse_any(&self.pointed(text), Some(unit.dimension)) {
                Ok((number, None)) => Some([
                    number,
                    number * unit.numerator / unit.denominator + unit.offset,
                ]),
                Ok((si, Some(dimension))) if dimension == unit.dimension => {
                    Some([(si - unit.offset) * unit.denominator / unit.numerator, si])
                }
                Ok((_, Some(dimension))) => {
                    self.refuse(
                        &QuantityError::WrongDimension(dimension),
                        row,
                        name,
                        text,
                        Some(unit),
                    );
                    None
                }
                Err(error) => {
                    self.refuse(&error, row, name, text, Some(unit));
                    None
                }
            };
            let [typed, si] = value.unwrap_or([f64::NAN; 2]);
            if si < range[0] || si > range[1] {
                self.wrong(
                    "out-of-range",
                    row,
                    name,
                    format!("`{text}` is out of range"),
                    &format!("{low} to {high}"),
                );
            }
            all.typed.push(typed);
            all.si.push(si);
        }
        Some(all)
    }

    /// SI units in the unit of a column's heading.
    pub(crate) fn unit_size(&self, name: &str) -> Option<f64> {
        let unit = find(self.column(name)?.unit.as_deref()?)?;
        Some(unit.numerator / unit.denominator)
    }

    /// The last digit that a column's numbers are written to, in its unit: a power of ten.
    pub(crate) fn last_digit(&self, name: &str) -> f64 {
        let decimals = |text: &str| {
            let digits = text.split([' ', 'e', 'E']).next().unwrap_or("");
            let after = digits.split_once(['.', ',']).map_or("", |(_, after)| after);
            after.chars().filter(char::is_ascii_digit).count()
        };
        let most = self.words(name).unwrap_or_default();
        let most = most.iter().map(|text| decimals(text)).max().unwrap_or(0);
        (0..most).fold(1.0, |digit, _| 0.1 * digit)
    }

    /// The unit of a column: that of its heading, or of the first cell that has one.
    fn unit(
        &mut self,
        name: &str,
        may: &[(Dimension, [&str; 2])],
        texts: &[String],
    ) -> Option<&'static Unit> {
        let (told, span) = {
            let found = self.column(name)?;
            (found.unit.clone(), found.span)
        };
        let own = || {
            texts.iter().find_map(|text| {
                let at = text.find(|c: char| c.is_alphabetic() || matches!(c, '%' | 'µ' | '°'))?;
                find(text.get(at..)?)
            })
        };
        let examples: Vec<String> = may
            .iter()
            .map(|(dimension, _)| {
                let example = dimension.example();
                let unit = example.split_once(' ').map_or("", |(_, unit)| unit);
                format!("{} such as `{name} [{unit}]`", dimension.name())
            })
            .collect();
        let expected = format!("the unit of {}", examples.join(", or of "));
        let unit = match &told {
            Some(told) => find(told),
            None => own(),
        };
        match (unit, told) {
            (Some(unit), _)
                if may
                    .iter()
                    .any(|(dimension, _)| *dimension == unit.dimension) =>
            {
                Some(unit)
            }
            (Some(unit), _) => {
                let message = format!("`{}` is the unit of {}", unit.symbol, unit.dimension.name());
                self.error("wrong-dimension", span, message, expected);
                None
            }
            (None, Some(told)) => {
                self.error(
                    "unknown-unit",
                    span,
                    format!("`{told}` is in no table of units"),
                    expected,
                );
                None
            }
            (None, None) => {
                self.error(
                    "missing-unit",
                    span,
                    format!("the column `{name}` has no unit"),
                    expected,
                );
                None
            }
        }
    }

    fn refuse(
        &mut self,
        error: &QuantityError,
        row: usize,
        name: &str,
        text: &str,
        unit: Option<&Unit>,
    ) {
        let unit = unit.map_or("", |unit| unit.symbol);
        let (code, message, expected) = refusal(error, name, text, unit);
        self.wrong(code, row, name, message, &expected);
    }
}
