//! Quantities as people write them ("14 kPa", "3 µm", "12 min") to SI numbers and back.
//!
//! The units are in `units`; here is the number before them, and what can be wrong with either.

use super::error::nearest;
pub use super::units::{Dimension, UNITS, Unit, find};
use super::units::{LIGHT_BANDS, fold};

/// Why a text is not the quantity that is due.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum QuantityError {
    /// It does not begin with a number.
    BadNumber,
    /// A comma in the number; with the texts that may have been meant.
    Comma(Vec<String>),
    /// Its digits are grouped.
    Grouped,
    /// Nothing follows the number.
    MissingUnit,
    /// The unit is in no table; with the nearest one.
    UnknownUnit(String, Option<&'static str>),
    /// The unit measures something else.
    WrongDimension(Dimension),
    /// NaN, infinite, or too large to hold.
    NotFinite,
}

/// Reads a quantity of a dimension; the number is in the SI unit of [`Dimension`].
///
/// # Errors
/// See [`QuantityError`]. Never panics, whatever the text.
pub fn parse(text: &str, dimension: Dimension) -> Result<f64, QuantityError> {
    let (number, unit) = split(text)?;
    if unit.is_empty() {
        return if dimension == Dimension::Ratio {
            Ok(number)
        } else {
            Err(QuantityError::MissingUnit)
        };
    }
    let Some(found) = find(unit) else {
        return Err(QuantityError::UnknownUnit(
            unit.to_owned(),
            nearest_unit(unit, Some(dimension)),
        ));
    };
    if !dimension.takes(found.dimension) {
        return Err(QuantityError::WrongDimension(found.dimension));
    }
    finite(found.to_si(number))
}

/// Whether a text is a length in light bands: [`parse`] takes those of the yellow helium line.
pub(super) fn in_light_bands(text: &str) -> bool {
    split(text).is_ok_and(|(_, unit)| fold(unit) == fold(LIGHT_BANDS))
}

/// Reads a quantity of any dimension, or a bare number. `due` is the dimension of which a unit is suggested, where one is known.
///
/// # Errors
/// As [`parse`], but for a wrong dimension.
pub fn parse_any(
    text: &str,
    due: Option<Dimension>,
) -> Result<(f64, Option<Dimension>), QuantityError> {
    let (number, unit) = split(text)?;
    if unit.is_empty() {
        return Ok((number, None));
    }
    let Some(found) = find(unit) else {
        return Err(QuantityError::UnknownUnit(
            unit.to_owned(),
            nearest_unit(unit, due),
        ));
    };
    Ok((finite(found.to_si(number))?, Some(found.dimension)))
}

fn finite(value: f64) -> Result<f64, QuantityError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(QuantityError::NotFinite)
    }
}

/// The unit that was probably meant, of the dimension that is due: one of another would be the next error.
fn nearest_unit(typed: &str, due: Option<Dimension>) -> Option<&'static str> {
    let legal = UNITS
        .iter()
        .filter(|unit| due.is_none_or(|dimension| dimension.takes(unit.dimension)));
    nearest(&fold(typed), legal.map(|unit| unit.symbol))
}

/// A value that is within a range, as it would be written in a file: the usual one of the dimension where it is inside, else a
/// round number under the upper end.
#[must_use]
pub fn example(dimension: Dimension, range: [&str; 2]) -> String {
    let [low, high] = range.map(|end| parse(end, dimension).unwrap_or(f64::NAN));
    let inside =
        |text: &str| parse(text, dimension).is_ok_and(|value| (low..=high).contains(&value));
    let usual = dimension.example();
    if inside(usual) {
        return usual.to_owned();
    }
    let round = split(range[1]).ok().and_then(|(number, unit)| {
        // One digit of a tenth of it.
        let tenth: f64 = format!("{:.0e}", number / 10.0).parse().ok()?;
        let text = format!("{tenth} {unit}");
        Some(text.trim_end().to_owned())
    });
    round
        .filter(|text| inside(text))
        .unwrap_or_else(|| range[0].to_owned())
}

/// Splits a text into its number and the rest, spaces off. The number may be a fraction, alone or after a whole number, as inches
/// are divided: "3/8 in", "1 1/2 in", "1-1/2 in".
///
/// # Errors
/// A text that does not begin with a number.
pub fn split(text: &str) -> Result<(f64, &str), QuantityError> {
    let text = text.trim();
    // A typographic minus is what a word processor leaves behind.
    let (sign, unsigned) = match text.strip_prefix('\u{2212}') {
        Some(rest) => (-1.0, rest),
        None => (1.0, text),
    };
    let end = number_end(unsigned);
    let (number, rest) = unsigned.split_at_checked(end).unwrap_or(("", unsigned));
    let Ok(value) = number.parse::<f64>() else {
        let word = unsigned
            .trim_start_matches(['+', '-'])
            .split(|c: char| !c.is_ascii_alphabetic())
            .next()
            .unwrap_or("")
            .to_ascii_lowercase();
        return Err(match word.as_str() {
            "nan" | "inf" | "infinity" => QuantityError::NotFinite,
            _ => QuantityError::BadNumber,
        });
    };
    if rest.starts_with(',') {
        return Err(comma(text));
    }
    if rest.starts_with(['.', '_', '\'']) {
        return Err(QuantityError::Grouped);
    }
    let is_whole = number
        .trim_start_matches(['+', '-'])
        .bytes()
        .all(|byte| byte.is_ascii_digit());
    let (value, rest) = if is_whole {
        with_fraction(number, value, rest)?
    } else {
        (value, rest)
    };
    Ok((finite(sign * value)?, rest.trim()))
}

/// A whole number with the fraction that follows it, or that it is the numerator of, and what is left of the text. "30 1/s" has none: a
/// fraction's denominator is a number.
fn with_fraction<'t>(
    number: &str,
    value: f64,
    rest: &'t str,
) -> Result<(f64, &'t str), QuantityError> {
    if let Some(after) = rest.strip_prefix('/') {
        return match whole(after) {
            Some((denominator, after)) if denominator > 0.0 => Ok((value / denominator, after)),
            _ => Err(QuantityError::BadNumber),
        };
    }
    let mixed = rest.strip_prefix('-').unwrap_or(rest).trim_start();
    let fraction = whole(mixed).and_then(|(numerator, after)| {
        let (denominator, after) = whole(after.strip_prefix('/')?)?;
        (denominator > 0.0).then_some((numerator / denominator, after))
    });
    Ok(match fraction {
        // "-1 1/2" is one and a half below nothing.
        Some((share, after)) if number.starts_with('-') => (value - share, after),
        Some((share, after)) => (value + share, after),
        None => (value, rest),
    })
}

/// The digits that a text begins with, as a number, and what follows them.
fn whole(text: &str) -> Option<(f64, &str)> {
    let end = text.bytes().take_while(u8::is_ascii_digit).count();
    let (digits, after) = text.split_at_checked(end)?;
    Some((digits.parse().ok()?, after))
}

/// The error of a text whose number has a comma: "0,25 mm" meant a point; "1,250 N" may have meant either.
fn comma(text: &str) -> QuantityError {
    let Some((before, after)) = text.split_once(',') else {
        return QuantityError::BadNumber;
    };
    let digits = after.bytes().take_while(u8::is_ascii_digit).count();
    let whole = before.trim_start_matches(['+', '-', '\u{2212}']);
    if digits == 0 || after[digits..].starts_with([',', '.', '_', '\'']) {
        return QuantityError::Grouped;
    }
    let mut meant = vec![format!("{before}.{after}")];
    if digits == 3 && whole != "0" && whole.len() <= 3 {
        meant.push(format!("{before}{after}"));
    }
    QuantityError::Comma(meant)
}

/// Bytes of the leading decimal number `[+-]digits[.digits][e[+-]digits]`; zero when there is none. Rust's own parser would
/// also take "inf", "nan", "5." and ".5", which TOML does not.
fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits = |mut at: usize| {
        while bytes.get(at).is_some_and(u8::is_ascii_digit) {
            at += 1;
        }
        at
    };
    let start = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let mut end = digits(start);
    if end == start {
        return 0;
    }
    if bytes.get(end) == Some(&b'.') {
        let after = digits(end + 1);
        if after > end + 1 {
            end = after;
        }
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let after = digits(end + 1 + sign);
        if after > end + 1 + sign {
            end = after;
        }
    }
    end
}

#[cfg(test)]
mod tests {
    use super::Dimension as D;
    use super::*;

    fn near(text: &str, dimension: Dimension, si: f64) {
        let got = parse(text, dimension).unwrap_or_else(|e| panic!("{text}: {e:?}"));
        assert!(
            crate::math::abs(got - si) <= 1e-12 * crate::math::abs(si),
            "{text}: {got} is not {si}"
        );
    }

    /// Conversion factors of NIST SP 811 (2008) appendix B, from memory. Those it prints with seven digits are checked to
    /// half a unit of the last one.
    #[test]
    fn factors_agree_with_nist_sp_811() {
        // Exact ones (bold in SP 811).
        near("1 in", D::Length, 2.54e-2);
        near("1 lb", D::Mass, 0.453_592_37);
        near("1 kgf", D::Force, 9.806_65);
        near("1 bar", D::Pressure, 1e5);
        near("1 mbar", D::Pressure, 100.0);
        near("1 min", D::Time, 60.0);
        near("1 h", D::Time, 3600.0);
        near("1 L", D::Volume, 1e-3);
        near("1 µin", D::Length, 2.54e-8);
        near("1 in/s", D::Speed, 2.54e-2);
        near("68 °F", D::Temperature, 20.0);
        near("1 mil", D::Length, 2.54e-5);
        near("1 thou", D::Length, 2.54e-5);
        near("1 ft", D::Length, 0.3048);
        near("1 gal", D::Volume, 3.785_411_784e-3);
        near("4 qt", D::Volume, 3.785_411_784e-3);
        near("16 oz", D::Mass, 0.453_592_37);
        near("1 kgf/cm²", D::Pressure, 98_066.5);
        near("1000 g/cm²", D::Pressure, 98_066.5);
        near("10 microns", D::Length, 1e-5);
        near("60 cc/min", D::Flow, 1e-6);
        near("293.15 K", D::Temperature, 20.0);
        // Rounded ones: (text, printed factor, half a unit of its last digit).
        for (text, dimension, printed, half) in [
            ("1 psi", D::Pressure, 6.894_757e3, 5e-4),
            ("1 lbf", D::Force, 4.448_222, 5e-7),
            ("1 lbf·in", D::Torque, 1.129_848e-1, 5e-8),
            ("1 lbf·ft", D::Torque, 1.355_818, 5e-7),
            ("1 rpm", D::AngularSpeed, 1.047_198e-1, 5e-8),
            ("1 deg/s", D::AngularSpeed, 1.745_329e-2, 5e-9),
            ("1 L/min", D::Flow, 1.666_667e-5, 5e-12),
            ("1 gal/min", D::Flow, 6.309_020e-5, 5e-12),
            ("1 ft/min", D::Speed, 5.08e-3, 5e-10),
        ] {
            let got = parse(text, dimension).expect(text);
            assert!(crate::math::abs(got - printed) <= half, "{text}: {got}");
        }
    }

    #[test]
    fn spellings_of_one_unit_are_one() {
        for text in [
            "3 µm",
            "3 μm",
            "3 um",
            "3µm",
            " 3  um ",
            "3\u{a0}µm",
            "0.003 mm",
        ] {
            assert_eq!(parse(text, D::Length), Ok(3e-6), "{text}");
        }
        for text in ["60 N·m", "60 N m", "60 N*m", "60 Nm", "60 N⋅m"] {
            assert_eq!(parse(text, D::Torque), Ok(60.0), "{text}");
        }
        for text in ["2 kg·m²", "2 kg m2", "2 kg*m^2"] {
            assert_eq!(parse(text, D::Inertia), Ok(2.0), "{text}");
        }
        assert_eq!(parse("0.3 l/min", D::Flow), parse("0.3 L/min", D::Flow));
        assert_eq!(
            parse("\u{2212}14 rpm", D::AngularSpeed),
            parse("-14 rpm", D::AngularSpeed)
        );
        assert_eq!(parse("5 %", D::Ratio), Ok(0.05));
        assert_eq!(parse("0.05", D::Ratio), Ok(0.05));
        assert_eq!(parse("8e-12 1/Pa", D::PerPressure), Ok(8e-12));
        assert_eq!(parse("30 1/s", D::Frequency), Ok(30.0));
        // "e" after a number need not be an exponent.
        assert!(matches!(
            parse("3 eV", D::Length),
            Err(QuantityError::UnknownUnit(..))
        ));
    }

    /// Inches are divided by halves; a unit that begins with one is no fraction.
    #[test]
    fn fractions_of_an_inch_are_read() {
        for (text, inches) in [
            ("3/8 in", 0.375),
            ("1 1/2 in", 1.5),
            ("1-1/2 in", 1.5),
            ("-1 1/2 in", -1.5),
            ("\u{2212}3/8 in", -0.375),
            ("15/16in", 0.9375),
            ("36 in", 36.0),
        ] {
            near(text, D::Length, inches * 0.0254);
        }
        assert_eq!(parse("30 1/s", D::Frequency), Ok(30.0));
        assert_eq!(parse("8 1/Pa", D::PerPressure), Ok(8.0));
        for text in ["3/0 in", "3/ in", "1.5/2 in", "1 3/0 in", "1/in", "3/8"] {
            assert!(parse(text, D::Length).is_err(), "{text}");
        }
    }

    /// A part's teeth as the drawing of an inch machine has them: 10 teeth an inch of pitch diameter are a module of 2.54 mm.
    #[test]
    fn teeth_are_given_by_module_or_by_diametral_pitch() {
        near("10 DP", D::Module, 2.54e-3);
        near("4 mm", D::Module, 4e-3);
        assert_eq!(parse("0 DP", D::Module), Err(QuantityError::NotFinite));
        assert!(matches!(
            parse("10 DP", D::Length),
            Err(QuantityError::WrongDimension(D::Module))
        ));
    }

    /// Half of the yellow helium line, 587.5618 nm (NIST Atomic Spectra Database, from memory); the trade says 11.6 µin.
    #[test]
    fn a_light_band_is_half_a_wavelength_of_helium() {
        near("2 light bands", D::Length, 587.561_8e-9);
        near("1 light band", D::Length, 293.780_9e-9);
        near("3 bands", D::Length, 881.342_7e-9);
        let band = parse("1 band", D::Length).expect("a length");
        let trade = parse("11.6 µin", D::Length).expect("a length");
        assert!(crate::math::abs(band / trade - 1.0) < 0.003);
        assert!(in_light_bands("2bands") && in_light_bands("1/2 light band"));
        assert!(!in_light_bands("2 µm") && !in_light_bands("bands"));
    }

    #[test]
    fn what_is_wrong_is_told_apart() {
        use QuantityError as E;
        assert_eq!(parse("14", D::Pressure), Err(E::MissingUnit));
        assert_eq!(
            parse("14 mm", D::Pressure),
            Err(E::WrongDimension(D::Length))
        );
        assert_eq!(
            parse("14 kpa", D::Pressure),
            Err(E::UnknownUnit("kpa".into(), Some("kPa")))
        );
        assert_eq!(parse("nan kPa", D::Pressure), Err(E::NotFinite));
        assert_eq!(parse("-inf kPa", D::Pressure), Err(E::NotFinite));
        assert_eq!(parse("1e999 Pa", D::Pressure), Err(E::NotFinite));
        assert_eq!(parse("1e305 MPa", D::Pressure), Err(E::NotFinite));
        for text in [
            "", " ", "kPa", "+ kPa", "-", ".5 kPa", "0,25 mm", "1_000 Pa", "1.2.3 Pa", "é",
        ] {
            assert!(
                matches!(
                    parse(text, D::Length),
                    Err(E::BadNumber | E::Comma(_) | E::Grouped)
                ),
                "{text}"
            );
        }
        assert_eq!(
            parse("-1,25 rpm", D::AngularSpeed),
            Err(E::Comma(vec!["-1.25 rpm".into()]))
        );
        assert_eq!(
            parse("1,250 N", D::Force),
            Err(E::Comma(vec!["1.250 N".into(), "1250 N".into()]))
        );
        assert_eq!(parse("1,250,000 N", D::Force), Err(E::Grouped));
        assert_eq!(parse("1,250.5 N", D::Force), Err(E::Grouped));
        // "5." is no number of TOML's; the point is then no unit either.
        assert!(parse("5. mm", D::Length).is_err());
    }

    /// A unit of another dimension would be the next error.
    #[test]
    fn only_units_of_the_dimension_that_is_due_are_suggested() {
        let mut suggested = 0;
        for &dimension in Dimension::ALL {
            for unit in UNITS {
                let slips = [
                    unit.symbol.to_uppercase(),
                    unit.symbol.to_lowercase(),
                    format!("{}x", unit.symbol),
                    unit.symbol.chars().skip(1).collect(),
                ];
                for slip in slips {
                    if let Err(QuantityError::UnknownUnit(_, Some(near))) =
                        parse(&format!("1 {slip}"), dimension)
                    {
                        let found = find(near).expect("a unit");
                        assert!(dimension.takes(found.dimension), "{slip}: {near}");
                        suggested += 1;
                    }
                }
            }
        }
        assert!(suggested > 100, "{suggested}");
    }

    #[test]
    fn the_table_is_sound() {
        for (i, unit) in UNITS.iter().enumerate() {
            assert!(
                unit.numerator > 0.0 && unit.denominator > 0.0,
                "{}",
                unit.symbol
            );
            let twin = UNITS[..i]
                .iter()
                .find(|u| fold(u.symbol) == fold(unit.symbol));
            assert!(twin.is_none(), "{} is there twice", unit.symbol);
        }
        for &dimension in Dimension::ALL {
            assert!(
                parse(dimension.example(), dimension).is_ok(),
                "{dimension:?}"
            );
            assert!(UNITS.iter().any(|u| u.dimension == dimension));
        }
    }
}
