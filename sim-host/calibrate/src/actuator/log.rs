//! The sheet of an actuator: rows of several tests, one under the other.

use crate::removal::Shown;
use crate::sheet::{Heading, Holds, Sheet};
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::Dimension as D;

/// What was done while a row was recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Test {
    /// Plate at rest on its ring, cap side vented, rod side on the counterbalance.
    Rest,
    /// The command goes up and down slowly.
    Sweep,
    /// The command jumps.
    Step,
    /// The dump valve has opened.
    Dump,
    /// The plate goes down steadily, in the air, cap side vented.
    Lower,
    /// The plate goes up steadily, in the air, cap side vented.
    Lift,
}

impl Test {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Rest,
        Self::Sweep,
        Self::Step,
        Self::Dump,
        Self::Lower,
        Self::Lift,
    ];

    /// The word for it in a sheet.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Rest => "rest",
            Self::Sweep => "sweep",
            Self::Step => "step",
            Self::Dump => "dump",
            Self::Lower => "lower",
            Self::Lift => "lift",
        }
    }

    /// Columns that its rows need, in the order of [`COLUMNS`].
    const fn needs(self) -> [bool; 5] {
        match self {
            Self::Rest => [false, false, true, true, false],
            Self::Sweep | Self::Step => [true, true, true, false, false],
            Self::Dump => [true, false, true, false, false],
            Self::Lower | Self::Lift => [false, false, false, true, true],
        }
    }

    /// Fewest rows of a run of it.
    const fn least(self) -> usize {
        match self {
            Self::Rest | Self::Lower | Self::Lift => 1,
            Self::Sweep => 60,
            Self::Step => 40,
            Self::Dump => 10,
        }
    }

    /// Its load is measured over time.
    const fn timed(self) -> bool {
        matches!(self, Self::Sweep | Self::Step | Self::Dump)
    }
}

/// Columns with numbers.
const COLUMNS: [&str; 5] = ["time", "command", "load", "rod", "speed"];

const HEADINGS: &[Heading] = &[
    Heading {
        name: "test",
        holds: Holds::Word,
    },
    Heading {
        name: "run",
        holds: Holds::Word,
    },
    Heading {
        name: COLUMNS[0],
        holds: Holds::Quantity(&[(D::Time, ["0 s", "100 h"])]),
    },
    Heading {
        name: COLUMNS[1],
        holds: Holds::Quantity(&[(D::Ratio, ["0 %", "100 %"])]),
    },
    Heading {
        name: COLUMNS[2],
        holds: Holds::Quantity(&[(D::Force, ["-1000 kN", "1000 kN"])]),
    },
    Heading {
        name: COLUMNS[3],
        holds: Holds::Quantity(&[(D::Pressure, ["0 bar", "40 bar"])]),
    },
    Heading {
        name: COLUMNS[4],
        holds: Holds::Quantity(&[(D::Speed, ["0.001 mm/s", "1 m/s"])]),
    },
    Heading {
        name: "note",
        holds: Holds::Word,
    },
];

/// One row, in SI units; NaN where its test needs no such number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sample {
    pub line: usize,
    pub time: f64,
    pub command: f64,
    pub load: f64,
    pub rod: f64,
    pub speed: f64,
}

/// Rows of a test that follow each other in one run.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Run {
    pub test: Test,
    pub samples: Vec<Sample>,
}

/// Everything in a sheet.
pub(super) struct Log {
    pub runs: Vec<Run>,
    /// Unit of the loads.
    pub load: Shown,
    /// Last digit of the rod pressures, Pa.
    pub rod_digit: f64,
}

impl Log {
    /// Runs of a test.
    pub fn of(&self, test: Test) -> impl Iterator<Item = &Run> {
        self.runs.iter().filter(move |run| run.test == test)
    }
}

/// Reads a sheet.
pub(super) fn read(file: &str, bytes: &[u8]) -> Result<Log, Vec<FileError>> {
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    let words: Vec<&str> = Test::ALL.iter().map(|test| test.word()).collect();
    let expected = format!("what was done in the row: {}", words.join(", "));
    let Some(told) = sheet.words("test") else {
        sheet.missing("test", &expected);
        return sheet.finish(None);
    };
    let mut tests = Vec::with_capacity(told.len());
    for (row, word) in told.iter().enumerate() {
        let found = Test::ALL
            .into_iter()
            .find(|test| test.word().eq_ignore_ascii_case(word));
        if found.is_none() {
            let message = format!("`{word}` is no test");
            sheet.wrong("unknown-word", row, "test", message, &expected);
        }
        tests.push(found);
    }
    let mut columns: [Option<Vec<f64>>; 5] = Default::default();
    let mut load = Shown::NEWTON;
    for (at, name) in COLUMNS.into_iter().enumerate() {
        let needs = |row: usize| tests[row].is_some_and(|test| test.needs()[at]);
        let wanted = (0..tests.len()).find(|row| needs(*row));
        match (sheet.has(name), wanted) {
            (false, Some(row)) => {
                let test = tests[row].map_or("", Test::word);
                sheet.missing(name, &format!("rows of the test `{test}` need it"));
            }
            (true, _) => {
                let found = sheet.quantities_where(name, needs);
                if let (2, Some(found)) = (at, &found) {
                    load = Shown::of(found);
                }
                columns[at] = found.map(|found| found.si);
            }
            (false, None) => {}
        }
    }
    let cell = |at: usize, row: usize| {
        columns[at]
            .as_ref()
            .and_then(|all| all.get(row).copied())
            .unwrap_or(f64::NAN)
    };
    let rod_digit = sheet.last_digit("rod") * sheet.unit_size("rod").unwrap_or(1.0);
    let runs = grouped(&sheet, &tests, &cell);
    for (run, last) in &runs {
        well_formed(&mut sheet, run, last + 1 - run.samples.len());
    }
    if runs.is_empty() {
        sheet.wrong_whole("too-few-items", "no row of a test".to_owned(), &expected);
    }
    let runs = runs.into_iter().map(|(run, _)| run).collect();
    sheet.finish(Some(Log {
        runs,
        load,
        rod_digit,
    }))
}

/// Rows of a test that follow each other under one name, and the last row of each. `cell` gives a number of a row.
fn grouped(
    sheet: &Sheet,
    tests: &[Option<Test>],
    cell: &dyn Fn(usize, usize) -> f64,
) -> Vec<(Run, usize)> {
    let names = sheet
        .words("run")
        .unwrap_or_else(|| vec![String::new(); tests.len()]);
    let mut runs: Vec<(Run, usize)> = Vec::new();
    for (row, test) in tests.iter().enumerate() {
        let Some(test) = *test else { continue };
        let sample = Sample {
            line: sheet.line(row),
            time: cell(0, row),
            command: cell(1, row),
            load: cell(2, row),
            rod: cell(3, row),
            speed: cell(4, row),
        };
        let goes_on = |(run, last): &(Run, usize)| {
            run.test == test && names[*last] == names[row] && *last + 1 == row
        };
        match runs.last_mut().filter(|run| goes_on(run)) {
            Some((run, last)) => {
                run.samples.push(sample);
                *last = row;
            }
            None => runs.push((
                Run {
                    test,
                    samples: vec![sample],
                },
                row,
            )),
        }
    }
    runs
}

/// Enough rows, time that goes on, a command that does what the test says. `first` is the run's first row.
fn well_formed(sheet: &mut Sheet, run: &Run, first: usize) {
    let (word, count, least) = (run.test.word(), run.samples.len(), run.test.least());
    if count < least {
        let message = format!("{count} rows of the test `{word}` follow each other");
        let expected = format!("at least {least} in a run");
        sheet.wrong("too-few-items", first, "test", message, &expected);
        return;
    }
    if !run.test.timed() {
        return;
    }
    let back = run
        .samples
        .windows(2)
        .position(|pair| pair[1].time <= pair[0].time);
    if let Some(at) = back {
        let message = "the time does not go on".to_owned();
        let expected = "rows in the order in which they were recorded; another name under `run` where a new recording begins";
        sheet.wrong("inconsistent", first + at + 1, "time", message, expected);
    }
}
