//! Puts a corrected time or pressure into a step of a recipe file: comments, order and everything else stay as they are.

use super::edit::{EditError, edited, put};
use super::quantity::{Dimension, find, parse};
use super::{Loaded, parse_recipe};
use crate::math::{floor, log10, pow, round};
use crate::model::{End, Recipe};
use toml_edit::{DocumentMut, Item, TableLike, value};

/// What of a step is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StepSetting {
    /// Its time, s; the step must end by time.
    Time(f64),
    /// Its pressure, Pa.
    Pressure(f64),
}

/// Digits that a setting is written with: a quarter of a second in an hour, some pascals in a megapascal.
const DIGITS: f64 = 5.0;

/// The text of a recipe file with another setting in the step at `place`, in the unit in which it stood there.
///
/// # Errors
/// A value outside the key's range, a step that is not there or does not end by time, or a text that would not be read back as meant; the
/// file is then to be left alone.
pub fn with_step_setting(
    file: &Loaded<Recipe>,
    place: usize,
    setting: StepSetting,
) -> Result<String, EditError> {
    let missing = || EditError::Edit(format!("{} has no such step", file.path.display()));
    let mut wanted = file.value.clone();
    let step = wanted.steps.get_mut(place).ok_or_else(missing)?;
    let document: DocumentMut = file.text.parse().map_err(|error| {
        EditError::Edit(format!("{} cannot be edited: {error}", file.path.display()))
    })?;
    let (dimension, si) = match setting {
        StepSetting::Time(seconds) => (Dimension::Time, seconds),
        StepSetting::Pressure(pressure) => (Dimension::Pressure, pressure),
    };
    let mut looked = document;
    let old = step_table(&mut looked, place)
        .and_then(|table| key(table, setting)?.as_str().map(str::to_owned))
        .ok_or_else(missing)?;
    let written = in_the_unit_of(&old, si, dimension)
        .ok_or_else(|| EditError::Edit(format!("`{old}` has no unit to write {si} in")))?;
    let read_back = parse(&written, dimension)
        .map_err(|_| EditError::Edit(format!("`{written}` cannot be written into a file")))?;
    match setting {
        StepSetting::Time(_) => step.end = End::Time { seconds: read_back },
        StepSetting::Pressure(_) => step.pressure = read_back,
    }
    edited(
        file,
        "steps",
        &wanted,
        |text| parse_recipe(&file.path, text),
        |document| {
            let table = step_table(document, place)?;
            match setting {
                StepSetting::Time(_) => {
                    put(
                        table.get_mut("end")?.as_table_like_mut()?,
                        "time",
                        value(written),
                    );
                }
                StepSetting::Pressure(_) => put(table, "pressure", value(written)),
            }
            Some(())
        },
    )
}

/// A step of a recipe, however its file writes them.
fn step_table(document: &mut DocumentMut, place: usize) -> Option<&mut dyn TableLike> {
    match document.get_mut("steps")? {
        Item::ArrayOfTables(steps) => steps
            .get_mut(place)
            .map(|table| table as &mut dyn TableLike),
        Item::Value(steps) => steps
            .as_array_mut()?
            .get_mut(place)?
            .as_inline_table_mut()
            .map(|table| table as &mut dyn TableLike),
        Item::None | Item::Table(_) => None,
    }
}

/// The key that holds the setting.
fn key(table: &mut dyn TableLike, setting: StepSetting) -> Option<&Item> {
    match setting {
        StepSetting::Time(_) => table.get("end")?.as_table_like()?.get("time"),
        StepSetting::Pressure(_) => table.get("pressure"),
    }
}

/// A value in SI units as it is written in the unit of an old one.
fn in_the_unit_of(old: &str, si: f64, dimension: Dimension) -> Option<String> {
    let at = old.find(|sign: char| sign.is_alphabetic() || sign == 'µ')?;
    let symbol = old.get(at..)?;
    let unit = find(symbol).filter(|unit| unit.dimension == dimension)?;
    let number = (si - unit.offset) * unit.denominator / unit.numerator;
    if number <= 0.0 || !number.is_finite() {
        return None;
    }
    let scale = pow(10.0, DIGITS - 1.0 - floor(log10(number)));
    Some(format!("{} {symbol}", round(number * scale) / scale))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    const RECIPE: &str = include_str!("../../../../recipes/recipes/glass-polish.toml");

    fn written(
        old: &str,
        place: usize,
        setting: StepSetting,
    ) -> Result<Vec<(String, String)>, EditError> {
        let file = parse_recipe(Path::new("r.toml"), old).expect("reads");
        let new = with_step_setting(&file, place, setting)?;
        assert_eq!(old.lines().count(), new.lines().count());
        Ok(old
            .lines()
            .zip(new.lines())
            .filter(|(a, b)| a != b)
            .map(|(a, b)| (a.to_owned(), b.to_owned()))
            .collect())
    }

    /// One line changes, in its own unit, and the comment behind it stays.
    #[test]
    fn only_the_step_that_is_meant_changes() {
        let old = RECIPE.replace(
            "end = { time = \"210 s\" }",
            "end = { time = \"3.5 min\" } # as tried",
        );
        assert_eq!(
            written(&old, 1, StepSetting::Time(222.3)),
            Ok(vec![(
                "end = { time = \"3.5 min\" } # as tried".to_owned(),
                "end = { time = \"3.705 min\" } # as tried".to_owned(),
            )])
        );
        assert_eq!(
            written(RECIPE, 0, StepSetting::Pressure(8_210.0)),
            Ok(vec![(
                "pressure = \"8 kPa\"".to_owned(),
                "pressure = \"8.21 kPa\"".to_owned(),
            )])
        );
    }

    #[test]
    fn what_the_file_cannot_hold_is_refused() {
        for (place, setting) in [
            (2, StepSetting::Time(100.0)),
            (1, StepSetting::Time(0.5)),
            (1, StepSetting::Time(f64::NAN)),
            (1, StepSetting::Pressure(-1.0)),
        ] {
            assert!(written(RECIPE, place, setting).is_err(), "{setting:?}");
        }
        // Ended by the gauge: no time stands there.
        let gauge = include_str!("../../../../recipes/recipes/glass-f800.toml");
        assert!(written(gauge, 1, StepSetting::Time(100.0)).is_err());
    }
}
