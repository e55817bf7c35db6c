//! The production record: a row for each batch.

use crate::deviation;
use twinplate_calibrate::sheet::{Heading, Holds, Sheet};
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::Dimension as D;
use twinplate_sim::math::{abs, sqrt};

const START: &str = "start";
const TIME: &str = "time";
const GOOD: &str = "good";

const HEADINGS: &[Heading] = &[
    Heading {
        name: START,
        holds: Holds::Word,
    },
    Heading {
        name: TIME,
        holds: Holds::Quantity(&[(D::Time, ["1 min", "100 h"])]),
    },
    Heading {
        name: GOOD,
        holds: Holds::Number,
    },
    Heading {
        name: "note",
        holds: Holds::Word,
    },
];

/// Fewest batches that say anything of a spread.
const LEAST: usize = 2;
/// Most good parts of a batch.
const MOST: f64 = 1e5;
/// Two-sided 95 % of the standard normal distribution.
const NORMAL_95: f64 = 1.959_964;

/// A batch as it went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Batch {
    /// Time from one loading to the next, s.
    pub time: f64,
    /// Good parts.
    pub good: u32,
}

/// The record.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Its file.
    pub file: String,
    /// Batches in the order of the record.
    pub batches: Vec<Batch>,
}

impl Record {
    /// Mean time, s, and mean of the good parts.
    #[must_use]
    pub fn means(&self) -> [f64; 2] {
        let n = self.batches.len() as f64;
        let sums = self.batches.iter().fold([0.0, 0.0], |[time, good], b| {
            [time + b.time, good + f64::from(b.good)]
        });
        sums.map(|sum| sum / n)
    }

    /// Standard deviation of the times, s.
    #[must_use]
    pub fn deviation(&self) -> f64 {
        let times: Vec<f64> = self.batches.iter().map(|batch| batch.time).collect();
        deviation(&times)
    }

    /// Correlation of each time with the next; none where chance alone gives as much (95 %), or all are alike.
    #[must_use]
    pub fn follows(&self) -> Option<f64> {
        let [mean, _] = self.means();
        let off: Vec<f64> = self.batches.iter().map(|b| b.time - mean).collect();
        let all: f64 = off.iter().map(|off| square(*off)).sum();
        let next: f64 = off.windows(2).map(|pair| pair[0] * pair[1]).sum();
        let found = next / all;
        let chance = NORMAL_95 / sqrt(off.len() as f64);
        (all > 0.0 && abs(found) > chance).then_some(found)
    }
}

fn square(x: f64) -> f64 {
    x * x
}

/// Reads a production record.
///
/// # Errors
/// All errors of the sheet.
pub fn read(file: &str, bytes: &[u8]) -> Result<Record, Vec<FileError>> {
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    for name in [START, TIME, GOOD] {
        if !sheet.has(name) {
            sheet.missing(
                name,
                "`start`, `time [min]` and `good`, a row for each batch",
            );
        }
    }
    let time = sheet.quantities(TIME);
    let starts = sheet.words(START);
    let has_good = sheet.has(GOOD);
    let (_, good) = sheet.numbers(GOOD);
    let (Some(time), Some(starts), true) = (time, starts, has_good) else {
        return sheet.finish(None);
    };
    if sheet.len() < LEAST {
        let message = format!("{} batches", sheet.len());
        let expected = format!("at least {LEAST}: a spread is of several");
        sheet.wrong_whole("too-few-items", message, &expected);
    }
    in_order(&mut sheet, &starts);
    let mut batches = Vec::with_capacity(good.len());
    for (row, (good, time)) in good.into_iter().zip(time.si).enumerate() {
        let whole = (0.0..=MOST).contains(&good) && twinplate_sim::math::round(good) == good;
        if !whole && !good.is_nan() {
            let expected = "a whole number of parts, none or more";
            sheet.wrong("bad-number", row, GOOD, format!("`{good}` parts"), expected);
        }
        // A whole number within the range above.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let good = if whole { good as u32 } else { 0 };
        batches.push(Batch { time, good });
    }
    if !batches.is_empty() && batches.iter().all(|batch| batch.good == 0) {
        let expected = "a batch with good parts: none of these fills an order";
        sheet.wrong_whole("inconsistent", "no good parts at all".to_owned(), expected);
    }
    sheet.finish(Some(Record {
        file: file.to_owned(),
        batches,
    }))
}

/// Starts are days with a time, and each is after the one before.
fn in_order(sheet: &mut Sheet, starts: &[String]) {
    let mut before: Option<String> = None;
    for (row, start) in starts.iter().enumerate() {
        let Some(at) = moment(start) else {
            let message = format!("`{start}` is no day and time");
            let expected = "such as 2026-03-02 06:10 (ISO 8601)";
            sheet.wrong("bad-text", row, START, message, expected);
            continue;
        };
        if before.as_ref().is_some_and(|before| *before >= at) {
            let message = format!("`{start}` is not after the batch before");
            let expected = "batches in the order in which they were made, each once";
            sheet.wrong("inconsistent", row, START, message, expected);
        }
        before = Some(at);
    }
}

/// A day with a time in one spelling, so that texts sort as moments do.
fn moment(text: &str) -> Option<String> {
    let (day, time) = text.split_once([' ', 'T'])?;
    let (hour, minute) = time.split_once(':')?;
    let below = |text: &str, end: u32| {
        (text.len() == 2 && text.bytes().all(|b| b.is_ascii_digit()))
            .then(|| text.parse::<u32>().ok())
            .flatten()
            .filter(|number| *number < end)
    };
    super::day::number(day)?;
    Some(format!(
        "{day} {:02}:{:02}",
        below(hour, 24)?,
        below(minute, 60)?
    ))
}
