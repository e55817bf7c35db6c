//! The sheet of stopwatch and bucket: a row for each reading.

use crate::keys::known;
use crate::sheet::{Heading, Holds, Quantities, Sheet};
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::{Dimension as D, Unit, find};

const FLOW: Holds = Holds::Quantity(&[(D::Flow, ["0.1 mL/min", "600 L/min"])]);
const SHARE: Holds = Holds::Quantity(&[(D::Ratio, ["0.1 %", "1000 %"])]);

const HEADINGS: &[Heading] = &[
    Heading {
        name: "what",
        holds: Holds::Word,
    },
    Heading {
        name: "pump",
        holds: Holds::Quantity(&[(D::Ratio, ["0.1 %", "100 %"])]),
    },
    Heading {
        name: "flow",
        holds: FLOW,
    },
    Heading {
        name: "volume",
        holds: Holds::Quantity(&[(D::Volume, ["0.1 mL", "10 m³"])]),
    },
    Heading {
        name: "time",
        holds: Holds::Quantity(&[(D::Time, ["10 ms", "100 h"])]),
    },
    Heading {
        name: "share",
        holds: Holds::Quantity(&[(D::Ratio, ["0.1 %", "99.9 %"])]),
    },
    Heading {
        name: "speed",
        holds: SHARE,
    },
    Heading {
        name: "load",
        holds: SHARE,
    },
    Heading {
        name: "run",
        holds: Holds::Word,
    },
    Heading {
        name: "note",
        holds: Holds::Word,
    },
];

/// What a row measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What {
    Flow,
    Rinse,
    Keeps,
    Dries,
    Fill,
    Rise,
    Film,
    Wet,
    Settle,
    Stir,
}

/// Word, cells that a row of it needs, what it measures.
const WORDS: &[(&str, &[&str], What)] = &[
    ("flow", &["pump", "volume", "time"], What::Flow),
    ("rinse", &["volume", "time"], What::Rinse),
    ("keeps", &["flow"], What::Keeps),
    ("dries", &["flow"], What::Dries),
    ("fill", &["flow", "time"], What::Fill),
    ("rise", &["time"], What::Rise),
    ("film", &["time"], What::Film),
    ("wet", &["pump", "time"], What::Wet),
    ("settle", &["share", "time"], What::Settle),
    ("stir", &["share", "time"], What::Stir),
];

/// A row in SI units; NaN where a cell is empty.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reading {
    pub line: usize,
    pub what: What,
    pub pump: f64,
    pub flow: f64,
    pub volume: f64,
    pub time: f64,
    pub share: f64,
    /// Sliding speed over the machine's full speed, load over the resting load.
    pub used: [f64; 2],
}

/// Units in which answers are given.
pub(super) struct Units {
    pub flow: &'static Unit,
    pub volume: &'static Unit,
    pub time: &'static Unit,
}

/// Reads a sheet.
pub(super) fn read(file: &str, bytes: &[u8]) -> Result<(Vec<Reading>, Units), Vec<FileError>> {
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    if !sheet.has("what") {
        sheet.missing("what", &format!("a column `what` with {}", words()));
    }
    let columns =
        ["pump", "flow", "volume", "time", "share", "speed", "load"].map(|n| sheet.sparse(n));
    let Some(all) = sheet.words("what") else {
        return sheet.finish(None);
    };
    let cell = |at: usize, row: usize| -> f64 {
        let column = columns[at].as_ref();
        column
            .and_then(|column: &Quantities| column.si.get(row).copied())
            .unwrap_or(f64::NAN)
    };
    let mut readings = Vec::with_capacity(all.len());
    for (row, word) in all.iter().enumerate() {
        let known = WORDS
            .iter()
            .find(|(own, ..)| own.eq_ignore_ascii_case(word));
        let Some((own, needs, what)) = known else {
            let message = format!("`{word}` is no reading");
            sheet.wrong("unknown-word", row, "what", message, &words());
            continue;
        };
        for need in *needs {
            lacks(&mut sheet, row, own, need);
        }
        let or_one = |x: f64| if x.is_nan() { 1.0 } else { x };
        readings.push(Reading {
            line: sheet.line(row),
            what: *what,
            pump: cell(0, row),
            flow: cell(1, row),
            volume: cell(2, row),
            time: cell(3, row),
            share: cell(4, row),
            used: [or_one(cell(5, row)), or_one(cell(6, row))],
        });
    }
    if all.is_empty() {
        sheet.wrong_whole(
            "too-few-items",
            "no reading".to_owned(),
            "a row for each reading",
        );
    }
    let of = |at: usize| columns[at].as_ref().map(|column| column.unit);
    let volume = of(2).unwrap_or_else(|| known("L"));
    let by_volume = if volume.symbol == "gal" || volume.symbol == "qt" {
        "gal/min"
    } else {
        "L/min"
    };
    let units = Units {
        flow: of(1)
            .or_else(|| find(by_volume))
            .unwrap_or_else(|| known("L/min")),
        volume,
        time: of(3).unwrap_or_else(|| known("s")),
    };
    sheet.finish(Some((readings, units)))
}

/// A cell that a row of its kind needs is empty, or its column is not there.
fn lacks(sheet: &mut Sheet, row: usize, what: &str, need: &str) {
    let empty = sheet
        .words(need)
        .and_then(|cells| cells.get(row).cloned())
        .is_none_or(|cell| cell.is_empty());
    if empty {
        let message = format!("a row `{what}` has no `{need}`");
        let needs = WORDS.iter().find(|(own, ..)| *own == what);
        let needs: Vec<String> = needs
            .map_or(&[][..], |(_, needs, _)| needs)
            .iter()
            .map(|need| format!("`{need}`"))
            .collect();
        let expected = format!("a value under {}", needs.join(" and "));
        sheet.wrong("missing-key", row, need, message, &expected);
    }
}

fn words() -> String {
    let all: Vec<String> = WORDS.iter().map(|(own, ..)| format!("`{own}`")).collect();
    format!("one of {}", all.join(", "))
}
