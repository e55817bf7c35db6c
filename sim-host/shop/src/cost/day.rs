//! Days of the calendar.

/// Days before each month of a year that is no leap year.
const BEFORE: [i64; 12] = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];
const LENGTH: [i64; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

const fn leap(year: i64) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

/// Days from 1 January of year 1 to the beginning of a year.
const fn before(year: i64) -> i64 {
    let y = year - 1;
    y * 365 + y / 4 - y / 100 + y / 400
}

/// Number of a day written as ISO 8601 has it, `2026-03-02`: two such differ by the days between them. None for what is no day.
#[must_use]
pub fn number(text: &str) -> Option<i64> {
    let bytes = text.as_bytes();
    let shape = bytes.len() == 10
        && bytes.iter().enumerate().all(|(i, b)| match i {
            4 | 7 => *b == b'-',
            _ => b.is_ascii_digit(),
        });
    if !shape {
        return None;
    }
    let year: i64 = text.get(..4)?.parse().ok()?;
    let month: usize = text.get(5..7)?.parse().ok()?;
    let day: i64 = text.get(8..)?.parse().ok()?;
    let at = month.checked_sub(1)?;
    let length = LENGTH.get(at)? + i64::from(month == 2 && leap(year));
    if year < 1 || day < 1 || day > length {
        return None;
    }
    let later = i64::from(month > 2 && leap(year));
    Some(before(year) + BEFORE.get(at)? + later + day - 1)
}

/// The day, as ISO 8601 writes it, that lies so many days after 1 January 1970.
#[must_use]
pub fn since_1970(days: i64) -> String {
    let number = before(1970) + days;
    let mut year = 1 + number / 366;
    while before(year + 1) <= number {
        year += 1;
    }
    let mut left = number - before(year);
    let mut month = 0;
    for (at, length) in LENGTH.iter().enumerate() {
        let length = length + i64::from(at == 1 && leap(year));
        if left < length {
            month = at + 1;
            break;
        }
        left -= length;
    }
    format!("{year:04}-{month:02}-{:02}", left + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Any calendar.
    #[test]
    fn days_are_those_of_the_calendar() {
        let between = |a: &str, b: &str| Some(number(b)? - number(a)?);
        assert_eq!(between("2026-02-28", "2026-03-01"), Some(1));
        assert_eq!(between("2024-02-28", "2024-03-01"), Some(2));
        assert_eq!(between("2000-01-01", "2001-01-01"), Some(366));
        assert_eq!(between("1900-01-01", "1901-01-01"), Some(365));
        for wrong in [
            "2026-02-29",
            "2026-13-01",
            "2026-3-01",
            "",
            "2026-00-10",
            "yesterday",
        ] {
            assert_eq!(number(wrong), None, "{wrong}");
        }
        // POSIX time 1 772 409 600 is the beginning of 2 March 2026: 20 514 days.
        for (days, text) in [
            (0, "1970-01-01"),
            (59, "1970-03-01"),
            (20_514, "2026-03-02"),
            (19_782, "2024-02-29"),
        ] {
            assert_eq!(since_1970(days), text);
            assert_eq!(between("1970-01-01", text), Some(days));
        }
    }
}
