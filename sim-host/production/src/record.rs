//! The production record: a line for each batch, in the order in which they were made.

use twinplate_calibrate::removal::Shown;
use twinplate_calibrate::sheet::{Heading, Holds, Quantities, Sheet};
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::Dimension as D;

const THICKNESS: Holds = Holds::Quantity(&[(D::Length, ["1 µm", "1 m"])]);
const SPREAD: Holds = Holds::Quantity(&[(D::Length, ["0 µm", "1 mm"])]);
const FORM: Holds = Holds::Quantity(&[(D::Length, ["-1 mm", "1 mm"])]);

const fn heading(name: &'static str, holds: Holds) -> Heading {
    Heading { name, holds }
}

const HEADINGS: &[Heading] = &[
    heading("batch", Holds::Word),
    heading("date", Holds::Word),
    heading("before", THICKNESS),
    heading("before-sd", SPREAD),
    heading("after", THICKNESS),
    heading("after-sd", SPREAD),
    heading("parts", Holds::Number),
    heading("time", Holds::Quantity(&[(D::Time, ["1 s", "24 h"])])),
    heading("load", Holds::Quantity(&[(D::Force, ["1 N", "1000 kN"])])),
    heading("flatness", SPREAD),
    heading("lower", FORM),
    heading("upper", FORM),
    heading("event", Holds::Word),
    heading("gauge", SPREAD),
    heading("note", Holds::Word),
];

/// Fewest batches whose removal is known: two variances are to be told from them.
pub const LEAST: usize = 6;

/// What was done to the machine before a batch.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Done {
    /// The plates were conditioned.
    pub conditioned: bool,
    /// The slurry was changed.
    pub slurry: bool,
}

impl Done {
    /// Anything.
    #[must_use]
    pub const fn any(self) -> bool {
        self.conditioned || self.slurry
    }

    /// In words; empty for nothing.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match (self.conditioned, self.slurry) {
            (true, true) => "plates conditioned, slurry changed",
            (true, false) => "plates conditioned",
            (false, true) => "slurry changed",
            (false, false) => "",
        }
    }
}

/// One batch, SI units; what was not written down is none.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Batch {
    /// Line of the record.
    pub line: usize,
    /// Number or name.
    pub name: String,
    /// Date.
    pub date: String,
    /// Mean thickness coming in, m.
    pub before: Option<f64>,
    /// Its standard deviation over the parts, m.
    pub before_sd: Option<f64>,
    /// Mean thickness going out, m.
    pub after: Option<f64>,
    /// Its standard deviation over the parts, m.
    pub after_sd: Option<f64>,
    /// Parts measured.
    pub parts: Option<f64>,
    /// Time of the step, s.
    pub time: Option<f64>,
    /// Load of the step, N.
    pub load: Option<f64>,
    /// Flatness of the worst face, m.
    pub flatness: Option<f64>,
    /// Form of the lower and upper plate after it, m, + convex.
    pub plates: [Option<f64>; 2],
    /// What was done before it.
    pub done: Done,
    /// Standard deviation with which the gauge repeats on one part, m.
    pub gauge: Option<f64>,
}

impl Batch {
    /// What to call it: its name, else its line.
    #[must_use]
    pub fn called(&self) -> String {
        if self.name.is_empty() {
            format!("line {}", self.line)
        } else {
            self.name.clone()
        }
    }

    /// Removed from both faces together, m.
    #[must_use]
    pub fn removed(&self) -> Option<f64> {
        Some(self.before? - self.after?)
    }
}

/// Everything in a record.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Batches that were made, oldest first.
    pub batches: Vec<Batch>,
    /// The last line, where it is of a batch that is still to be made: nothing of it is known but how it comes in and what was done.
    pub next: Option<Batch>,
    /// Unit of thicknesses.
    pub length: Shown,
    /// Unit of times.
    pub time: Shown,
    /// Unit of loads, where they are there.
    pub load: Option<Shown>,
}

fn shown(all: &Quantities) -> Shown {
    Shown {
        symbol: all.unit.symbol,
        size: all.unit.numerator / all.unit.denominator,
    }
}

/// Reads a record.
///
/// # Errors
/// Everything that is wrong with it, each with its place.
pub fn read(file: &str, bytes: &[u8]) -> Result<Record, Vec<FileError>> {
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    for name in ["before", "after", "time"] {
        if !sheet.has(name) {
            sheet.missing(name, "`before [mm]`, `after [mm]` and `time [s]`: mean thickness in and out, time of the step that cuts");
        }
    }
    let columns = [
        "before",
        "before-sd",
        "after",
        "after-sd",
        "time",
        "load",
        "flatness",
        "lower",
        "upper",
        "gauge",
    ]
    .map(|name| sheet.sparse(name));
    let parts = parts(&mut sheet);
    let done = done(&mut sheet);
    let [names, dates] = ["batch", "date"].map(|name| sheet.words(name).unwrap_or_default());
    let mut batches: Vec<Batch> = (0..sheet.len())
        .map(|row| {
            let of = |at: usize| value(columns[at].as_ref().map(|all| &all.si), row);
            Batch {
                line: sheet.line(row),
                name: names.get(row).cloned().unwrap_or_default(),
                date: dates.get(row).cloned().unwrap_or_default(),
                before: of(0),
                before_sd: of(1),
                after: of(2),
                after_sd: of(3),
                parts: value(parts.as_ref(), row),
                time: of(4),
                load: of(5),
                flatness: of(6),
                plates: [of(7), of(8)],
                done: done.get(row).copied().unwrap_or_default(),
                gauge: of(9),
            }
        })
        .collect();
    if [0, 2, 4].iter().all(|at| columns[*at].is_some()) {
        judge(&mut sheet, &batches);
    }
    let next = batches.pop_if(|last| last.after.is_none() && last.time.is_none());
    let [Some(length), Some(time)] = [&columns[0], &columns[4]] else {
        return sheet.finish(None);
    };
    let record = Record {
        next,
        batches,
        length: shown(length),
        time: shown(time),
        load: columns[5].as_ref().map(shown),
    };
    sheet.finish(Some(record))
}

fn value(column: Option<&Vec<f64>>, row: usize) -> Option<f64> {
    let value = column?.get(row)?;
    value.is_finite().then_some(*value)
}

/// Numbers of parts; empty cells are allowed.
fn parts(sheet: &mut Sheet) -> Option<Vec<f64>> {
    let texts = sheet.words("parts")?;
    let mut found = Vec::with_capacity(texts.len());
    for (row, text) in texts.iter().enumerate() {
        let number = text
            .parse::<u32>()
            .ok()
            .filter(|n| (1..=100_000).contains(n));
        if number.is_none() && !text.is_empty() {
            let message = format!("`{text}` is no number of parts");
            sheet.wrong(
                "bad-number",
                row,
                "parts",
                message,
                "a whole number, how many parts of the batch were measured",
            );
        }
        found.push(number.map_or(f64::NAN, f64::from));
    }
    Some(found)
}

/// What was done before each batch.
fn done(sheet: &mut Sheet) -> Vec<Done> {
    let texts = sheet.words("event").unwrap_or_default();
    let mut all = Vec::with_capacity(texts.len());
    for (row, text) in texts.iter().enumerate() {
        let mut done = Done::default();
        for word in text.split(['+', ' ']).filter(|word| !word.is_empty()) {
            match word.to_lowercase().as_str() {
                "conditioned" => done.conditioned = true,
                "slurry" => done.slurry = true,
                _ => sheet.wrong(
                    "unknown-word",
                    row,
                    "event",
                    format!("`{word}` is no event"),
                    "what was done before this batch: `conditioned` (the plates), `slurry` (changed), or both with a + between them",
                ),
            }
        }
        all.push(done);
    }
    all
}

/// What single rows must keep to, and that there are enough of them.
fn judge(sheet: &mut Sheet, batches: &[Batch]) {
    let mut known = 0;
    for (row, batch) in batches.iter().enumerate() {
        if batch.removed().is_some_and(|removed| removed <= 0.0) {
            sheet.wrong(
                "inconsistent",
                row,
                "after",
                "the parts did not get thinner".to_owned(),
                "less than `before`; leave the cell empty where it was not measured",
            );
        }
        if batch
            .before_sd
            .is_some_and(|sd| sd > 0.5 * batch.before.unwrap_or(f64::INFINITY))
        {
            sheet.wrong(
                "inconsistent",
                row,
                "before-sd",
                "the parts scatter more than they are thick".to_owned(),
                "a standard deviation over the parts of the batch",
            );
        }
        if batch.removed().is_some() && batch.time.is_some() {
            known += 1;
            if sheet.has("load") && batch.load.is_none() {
                sheet.wrong(
                    "bad-number",
                    row,
                    "load",
                    "`load` is empty here".to_owned(),
                    "the load of each batch whose removal counts, or no such column",
                );
            }
        }
    }
    if sheet.is_empty() || known < LEAST {
        let message = format!("{known} batches with thickness before and after and a time");
        let expected = format!("at least {LEAST}: fewer do not tell drift from noise");
        sheet.wrong_whole("too-few-items", message, &expected);
    }
}
