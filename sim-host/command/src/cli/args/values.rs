//! Numbers and addresses as they are typed.

use twinplate_shop::cost::day::number;
use twinplate_sim::files::quantity::{Dimension, parse};

/// Longest time that is taken, s: a thousand days.
const LONGEST: f64 = 1000.0 * 86_400.0;

/// Reads a whole number within a range.
pub(super) fn whole<T>(
    range: std::ops::RangeInclusive<T>,
) -> impl Fn(&str) -> Result<T, String> + Clone + Send + Sync
where
    T: std::str::FromStr + std::fmt::Display + PartialOrd + Clone + Send + Sync + 'static,
{
    move |text| {
        let parsed = text.parse::<T>().ok();
        parsed
            .filter(|number| range.contains(number))
            .ok_or_else(|| {
                let (low, high) = (range.start(), range.end());
                // The lower end is an example of how it is written.
                format!("expected a whole number from {low} to {high}, such as {low}")
            })
    }
}

/// Reads a finite number.
pub(super) fn any_number(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(number),
        Ok(_) | Err(_) => Err("expected a number with a decimal point, such as 20.5".to_owned()),
    }
}

/// Reads an address.
pub(super) fn address(text: &str) -> Result<std::net::IpAddr, String> {
    text.parse()
        .map_err(|_| "expected an IP address of this computer, such as 127.0.0.1".to_owned())
}

/// Reads a corner frequency.
pub(super) fn corner(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(corner) if corner > 0.0 && corner.is_finite() => Ok(corner),
        Ok(_) | Err(_) => Err("expected a frequency in Hz above zero, such as 15".to_owned()),
    }
}

/// Reads a time in seconds.
pub(super) fn seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(time) if time >= 0.0 && time.is_finite() => Ok(time),
        Ok(_) | Err(_) => Err("expected a time in seconds, zero or more, such as 0.12".to_owned()),
    }
}

/// Reads a time with its unit, s.
pub(super) fn duration(text: &str) -> Result<f64, String> {
    parse(text, Dimension::Time)
        .ok()
        .filter(|time| (0.0..=LONGEST).contains(time))
        .ok_or_else(|| "expected a time with its unit, such as \"9 min\"".to_owned())
}

/// Reads a time above zero with its unit, s.
pub(super) fn time(text: &str) -> Result<f64, String> {
    duration(text)
        .ok()
        .filter(|time| *time > 0.0)
        .ok_or_else(|| "expected a time above zero with its unit, such as \"30 min\"".to_owned())
}

/// Reads a day of the calendar.
pub(super) fn day(text: &str) -> Result<String, String> {
    match number(text) {
        Some(_) => Ok(text.to_owned()),
        None => Err("expected a day of the calendar, such as 2026-03-02".to_owned()),
    }
}

/// Reads a seed.
pub(super) fn seed(text: &str) -> Result<u64, String> {
    let parsed = match text.strip_prefix("0x").or_else(|| text.strip_prefix("0X")) {
        Some(digits) => u64::from_str_radix(digits, 16),
        None => text.parse(),
    };
    parsed.map_err(|_| {
        "expected a whole number from 0 to 18446744073709551615, or 0x and up to 16 hexadecimal digits".to_owned()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seeds_are_decimal_or_hexadecimal() {
        assert_eq!(seed("42"), Ok(42));
        assert_eq!(seed("0xffffffffffffffff"), Ok(u64::MAX));
        for wrong in ["", "-1", "1.5", "0x", "18446744073709551616", "seven"] {
            assert!(seed(wrong).is_err(), "{wrong}");
        }
    }
}
