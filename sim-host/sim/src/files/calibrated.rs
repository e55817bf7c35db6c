//! Puts what a calibration found into the text of a machine or recipe file: comments, order and everything else stay as they are.

use super::edit::{EditError, with_values};
use super::quantity::{Dimension, Unit, parse};
use super::{Loaded, parse_machine, parse_recipe};
use crate::model::{Machine, Recipe, Sliding};
use firmware_core::process_image::FACES;
use toml_edit::value;

/// The text of a machine file with the cell's nonlinearity (share of the range) and, where they are known, its counts at the range.
///
/// # Errors
/// A value outside the key's range, or a text that would not be read back as meant; the file is then to be left alone.
pub fn with_cell(
    file: &Loaded<Machine>,
    nonlinearity: f64,
    counts_at_range: Option<u32>,
) -> Result<String, EditError> {
    let written = format!("{} %", four_digits(nonlinearity * 100.0));
    let mut wanted = file.value.clone();
    wanted.cell.nonlinearity = read_back(&written, Dimension::Ratio)?;
    let mut values = vec![("nonlinearity", value(written))];
    if let Some(counts) = counts_at_range {
        wanted.cell.counts_at_range = f64::from(counts);
        values.push(("counts-at-range", value(i64::from(counts))));
    }
    with_values(file, "cell", values, &wanted, |text| {
        parse_machine(&file.path, text)
    })
}

/// The text of a recipe file with a removal coefficient, 1/Pa; where the file has a rate instead, with the thickness that makes it that
/// coefficient, in its unit.
///
/// # Errors
/// A value outside the key's range, or a text that would not be read back as meant; the file is then to be left alone.
pub fn with_removal(file: &Loaded<Recipe>, removal: f64) -> Result<String, EditError> {
    let mut wanted = file.value.clone();
    let consumables = &mut wanted.consumables;
    if let (Some(rate), Some(old)) = (&mut consumables.removal_rate, consumables.removal) {
        // The coefficient is in proportion to the thickness.
        let unit = file.typed("consumables.removal-rate.thickness");
        let (symbol, per_si) = unit.map_or(("µm/min", 60e6), |unit| {
            (unit.symbol, unit.denominator / unit.numerator)
        });
        let written = format!(
            "{} {symbol}",
            four_digits(rate.thickness * removal / old * per_si)
        );
        let thickness = read_back(&written, Dimension::Speed)?;
        rate.thickness = thickness;
        if let Sliding::Mean(speed) = rate.sliding {
            consumables.removal = Some(rate.coefficient([speed; FACES]));
        }
        let values = vec![("thickness", value(written))];
        return with_values(file, "consumables.removal-rate", values, &wanted, |text| {
            parse_recipe(&file.path, text)
        });
    }
    let written = format!("{} 1/Pa", four_digits(removal));
    wanted.consumables.removal = Some(read_back(&written, Dimension::PerPressure)?);
    let values = vec![("removal", value(written))];
    with_values(file, "consumables", values, &wanted, |text| {
        parse_recipe(&file.path, text)
    })
}

/// The place of a key of the tables `slurry`, `thermal` and `plates`.
fn slot<'a>(machine: &'a mut Machine, table: &str, key: &str) -> Option<&'a mut f64> {
    let (slurry, thermal) = (&mut machine.slurry, &mut machine.thermal);
    let [lower, upper] = &mut machine.plates.form;
    Some(match (table, key) {
        ("slurry", "flow-max") => &mut slurry.flow_max,
        ("slurry", "flow-min") => &mut slurry.flow_min,
        ("slurry", "line-volume") => &mut slurry.line_volume,
        ("slurry", "line-lag") => &mut slurry.line_lag,
        ("slurry", "film-life") => &mut slurry.film_life,
        ("slurry", "wet-time") => &mut slurry.wet_time,
        ("slurry", "settle-time") => &mut slurry.settle_time,
        ("slurry", "stir-time") => &mut slurry.stir_time,
        ("slurry", "rinse-flow") => &mut slurry.rinse_flow,
        ("thermal", "ambient") => &mut thermal.ambient,
        ("thermal", "capacity") => &mut thermal.capacity,
        ("thermal", "cooling") => &mut thermal.cooling,
        ("thermal", "slurry-share") => &mut thermal.slurry_share,
        ("plates", "wear") => &mut machine.plates.wear,
        ("plates", "form-lower") => lower,
        ("plates", "form-upper") => upper,
        _ => return None,
    })
}

/// What a machine file has under a key that can be calibrated, in SI units; `None` for any other key.
#[must_use]
pub fn calibrated_key(machine: &Machine, table: &str, key: &str) -> Option<f64> {
    slot(&mut machine.clone(), table, key).map(|value| *value)
}

/// The text of a machine file with other values under keys of its tables: table, key, and a value in a unit.
///
/// # Errors
/// A key that cannot be calibrated, a value outside its range, or a text that would not be read back as meant; the file is then to be
/// left alone.
pub fn with_keys(
    file: &Loaded<Machine>,
    keys: &[(&str, &str, f64, &Unit)],
) -> Result<String, EditError> {
    let mut file = file.clone();
    for (table, key, number, unit) in keys {
        let written = format!("{} {}", four_digits(*number), unit.symbol);
        let mut wanted = file.value.clone();
        let slot = slot(&mut wanted, table, key)
            .ok_or_else(|| EditError::Edit(format!("`{table}.{key}` cannot be calibrated")))?;
        *slot = read_back(&written, unit.dimension)?;
        let values = vec![(*key, value(written))];
        let text = with_values(&file, table, values, &wanted, |text| {
            parse_machine(&file.path, text)
        })?;
        file = parse_machine(&file.path, &text).map_err(EditError::Files)?;
    }
    Ok(file.text)
}

/// A number to four digits, as short as it is written.
pub(super) fn four_digits(value: f64) -> String {
    let rounded = format!("{value:.3e}").parse::<f64>().unwrap_or(value);
    if rounded != 0.0 && crate::math::abs(rounded) < 1e-4 {
        format!("{rounded:e}")
    } else {
        format!("{rounded}")
    }
}

pub(super) fn read_back(written: &str, dimension: Dimension) -> Result<f64, EditError> {
    parse(written, dimension)
        .map_err(|_| EditError::Edit(format!("`{written}` cannot be written into a file")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    const MACHINE: &str = include_str!("../../../../recipes/machines/machine-a.toml");
    const RECIPE: &str = include_str!("../../../../recipes/recipes/glass-f800.toml");

    /// Lines that differ, old and new.
    fn changed<'a>(old: &'a str, new: &'a str) -> Vec<(&'a str, &'a str)> {
        assert_eq!(old.lines().count(), new.lines().count());
        old.lines()
            .zip(new.lines())
            .filter(|(a, b)| a != b)
            .collect()
    }

    #[test]
    fn only_the_calibrated_lines_change() {
        let old = MACHINE.replace(
            "nonlinearity = \"0.02 %\"",
            "nonlinearity = \"0.02 %\" # old",
        );
        let file = parse_machine(Path::new("m.toml"), &old).expect("reads");
        let new = with_cell(&file, -0.000_123_456, Some(3_987_654)).expect("written");
        assert_eq!(
            changed(&old, &new),
            [
                ("counts-at-range = 4000000", "counts-at-range = 3987654"),
                (
                    "nonlinearity = \"0.02 %\" # old",
                    "nonlinearity = \"-0.01235 %\" # old"
                ),
            ]
        );
        let file = parse_recipe(Path::new("r.toml"), RECIPE).expect("reads");
        let new = with_removal(&file, 7.123_45e-12).expect("written");
        assert_eq!(
            changed(RECIPE, &new),
            [("removal = \"8e-12 1/Pa\"", "removal = \"7.123e-12 1/Pa\"")]
        );
    }

    #[test]
    fn keys_of_tables_change_alone_and_read_back() {
        use super::super::quantity::find;
        let file = parse_machine(Path::new("m.toml"), MACHINE).expect("reads");
        let litre = find("L/min").expect("a unit");
        let percent = find("%").expect("a unit");
        let keys = [
            ("slurry", "flow-max", 0.312_34, litre),
            ("plates", "wear", 7.654_32, percent),
        ];
        let new = with_keys(&file, &keys).expect("written");
        let read = parse_machine(Path::new("m.toml"), &new)
            .expect("reads")
            .value;
        assert!(crate::math::abs(read.slurry.flow_max * 60e3 - 0.3123) < 1e-9);
        assert!(crate::math::abs(read.plates.wear - 0.076_54) < 1e-9);
        assert_eq!(
            calibrated_key(&read, "plates", "wear"),
            Some(read.plates.wear)
        );
        assert_eq!(calibrated_key(&read, "plates", "colour"), None);
        // One line changed, one is new; nothing else.
        assert_eq!(new.lines().count(), MACHINE.lines().count() + 1);
        let lost: Vec<&str> = MACHINE
            .lines()
            .filter(|line| !new.lines().any(|n| n == *line))
            .collect();
        assert_eq!(lost, ["flow-max = \"0.3 L/min\""]);
        // Less than the least flow, no key, no number.
        for bad in [
            ("slurry", "flow-max", 0.05, litre),
            ("slurry", "colour", 1.0, litre),
            ("plates", "wear", f64::NAN, percent),
        ] {
            assert!(with_keys(&file, &[bad]).is_err(), "{} {}", bad.0, bad.1);
        }
    }

    #[test]
    fn a_value_that_the_key_cannot_hold_is_refused() {
        let file = parse_machine(Path::new("m.toml"), MACHINE).expect("reads");
        for (nonlinearity, counts) in [(0.02, None), (f64::NAN, None), (0.0, Some(7))] {
            assert!(with_cell(&file, nonlinearity, counts).is_err());
        }
        let file = parse_recipe(Path::new("r.toml"), RECIPE).expect("reads");
        for removal in [0.0, -1e-12, 1.0, f64::INFINITY] {
            assert!(with_removal(&file, removal).is_err());
        }
    }
}
