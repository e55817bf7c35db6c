//! One cell: a number, with a decimal point or comma, or a time.

use twinplate_sim::math::floor;

/// A number; `comma` says that the decimal sign is a comma. Underscores, thousands separators, infinities and words are none.
pub(super) fn number(text: &str, comma: bool) -> Option<f64> {
    let text = text.trim();
    let plain = |c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | 'e' | 'E');
    let owned;
    let text = if comma && text.contains(',') {
        if text.contains('.') {
            return None;
        }
        owned = text.replacen(',', ".", 1);
        &owned
    } else {
        text
    };
    if text.is_empty() || !text.chars().all(plain) {
        return None;
    }
    text.parse().ok().filter(|value: &f64| value.is_finite())
}

/// True for a cell in which nothing was recorded.
pub(super) fn missing(text: &str) -> bool {
    let text = text.trim();
    text.is_empty()
        || ["nan", "na", "n/a", "null", "-"]
            .iter()
            .any(|word| text.eq_ignore_ascii_case(word))
}

/// An instant in seconds: of the day, or since 1970 where there is a date, in whole seconds and the part of one, so that nothing
/// is lost. ISO 8601: `2030-01-31T08:15:00.250Z`, also with a blank for the T, with an offset such as `+01:00`, without date, or
/// in the basic form `20300131T081500`.
pub(super) fn instant(text: &str) -> Option<(i64, f64)> {
    let text = text.trim();
    let (date, clock) = match text.split_once(['T', 't', ' ']) {
        Some((date, clock)) => (Some(date), clock.trim()),
        None => (None, text),
    };
    let days = date.map_or(Some(0), day)?;
    let (clock, offset) = zone(clock)?;
    let (seconds, part) = time_of_day(clock)?;
    Some((days * 86_400 + seconds - offset, part))
}

/// Days since 1970-01-01 (proleptic Gregorian calendar, as ISO 8601 says).
fn day(text: &str) -> Option<i64> {
    let parts: Vec<&str> = if text.contains('-') {
        text.split('-').collect()
    } else if text.len() == 8 {
        vec![text.get(..4)?, text.get(4..6)?, text.get(6..)?]
    } else {
        return None;
    };
    let [year, month, day] = parts[..] else {
        return None;
    };
    if year.len() != 4 || month.len() != 2 || day.len() != 2 {
        return None;
    }
    let (year, month, day) = (digits(year)?, digits(month)?, digits(day)?);
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let length = [
        31,
        if leap { 29 } else { 28 },
        31,
        30,
        31,
        30,
        31,
        31,
        30,
        31,
        30,
        31,
    ];
    let longest = *length.get(usize::try_from(month - 1).ok()?)?;
    if !(1..=longest).contains(&day) {
        return None;
    }
    // Leap days before this year, then the days of this one.
    let past = year - 1;
    let leaps = past / 4 - past / 100 + past / 400 - (1969 / 4 - 1969 / 100 + 1969 / 400);
    let before: i64 = length.iter().take(usize::try_from(month - 1).ok()?).sum();
    Some((year - 1970) * 365 + leaps + before + day - 1)
}

/// Cuts off a zone; its offset in seconds.
fn zone(clock: &str) -> Option<(&str, i64)> {
    if let Some(clock) = clock.strip_suffix(['Z', 'z']) {
        return Some((clock, 0));
    }
    let Some(place) = clock.rfind(['+', '-']) else {
        return Some((clock, 0));
    };
    let (clock, offset) = clock.split_at(place);
    let sign = if offset.starts_with('-') { -1 } else { 1 };
    let offset = offset.get(1..)?.replace(':', "");
    let (hours, minutes) = match offset.len() {
        2 => (digits(&offset)?, 0),
        4 => (digits(offset.get(..2)?)?, digits(offset.get(2..)?)?),
        _ => return None,
    };
    Some((clock, sign * (hours * 3600 + minutes * 60)))
}

/// `08:15:00.250`, `08:15` or `081500`: whole seconds and the part.
fn time_of_day(clock: &str) -> Option<(i64, f64)> {
    let (hours, minutes, seconds) = if clock.contains(':') {
        let mut parts = clock.split(':');
        let all = (parts.next()?, parts.next()?, parts.next().unwrap_or("0"));
        if parts.next().is_some() {
            return None;
        }
        all
    } else {
        (clock.get(..2)?, clock.get(2..4)?, clock.get(4..)?)
    };
    let (hours, minutes) = (digits(hours)?, digits(minutes)?);
    let seconds = number(seconds, true)
        .filter(|s| (0.0..61.0).contains(s) && !seconds.contains(['e', 'E', '-', '+']))?;
    if hours > 24 || minutes > 59 {
        return None;
    }
    let whole = floor(seconds);
    Some((hours * 3600 + minutes * 60 + whole as i64, seconds - whole))
}

fn digits(text: &str) -> Option<i64> {
    let all = !text.is_empty() && text.len() <= 4 && text.bytes().all(|b| b.is_ascii_digit());
    all.then(|| text.parse().ok())?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers() {
        for (text, comma, value) in [
            ("12.5", false, Some(12.5)),
            (" -1e3 ", false, Some(-1000.0)),
            ("12,5", true, Some(12.5)),
            ("12,5", false, None),
            ("1.234,5", true, None),
            ("1,234,5", true, None),
            ("inf", false, None),
            ("1e999", false, None),
            ("", false, None),
            ("12 V", false, None),
        ] {
            assert_eq!(number(text, comma), value, "{text}");
        }
    }

    /// Source: Python's datetime.fromisoformat(…).timestamp().
    #[test]
    fn instants() {
        for (text, whole, part) in [
            ("2030-01-31T08:15:00.250Z", 1_896_077_700, 0.25),
            ("2030-01-31 09:15:00.250+01:00", 1_896_077_700, 0.25),
            ("2024-02-29T23:59:59Z", 1_709_251_199, 0.0),
            ("2000-03-01T00:00:00Z", 951_868_800, 0.0),
            ("1970-01-01T00:00:00Z", 0, 0.0),
            ("20300131T081500Z", 1_896_077_700, 0.0),
            ("08:15:00.5", 29_700, 0.5),
            ("08:15", 29_700, 0.0),
        ] {
            let (seconds, rest) = instant(text).expect(text);
            assert_eq!(seconds, whole, "{text}");
            assert!((rest - part).abs() < 1e-9, "{text}");
        }
        for bad in [
            "2023-02-29T00:00:00Z",
            "2030-13-01T00:00:00",
            "25:61:00",
            "hello",
            "1.5",
            "2030-01-31",
            "ß:ö",
            "12:ab:00",
        ] {
            assert_eq!(instant(bad), None, "{bad}");
        }
    }
}
