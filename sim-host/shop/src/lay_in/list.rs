//! The list of measured parts: a row for each.

use crate::shown::Lengths;
use std::collections::BTreeMap;
use twinplate_calibrate::sheet::{Heading, Holds, Sheet};
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::Dimension as D;
use twinplate_sim::math::abs;
use twinplate_sim::model::Batch;

const PART: &str = "part";
const THICKNESS: &str = "thickness";
const SECOND: &str = "second";

const MEASURED: Holds = Holds::Quantity(&[(D::Length, ["20 µm", "300 mm"])]);

const HEADINGS: &[Heading] = &[
    Heading {
        name: PART,
        holds: Holds::Word,
    },
    Heading {
        name: THICKNESS,
        holds: MEASURED,
    },
    Heading {
        name: SECOND,
        holds: MEASURED,
    },
    Heading {
        name: "note",
        holds: Holds::Word,
    },
];

/// A measured part.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its number or name.
    pub id: String,
    /// Line of the list.
    pub line: usize,
    /// Thickness, m: the mean where it was read twice.
    pub thickness: f64,
    /// Difference of the two readings, m, where there are two.
    pub taper: Option<f64>,
}

/// The list.
#[derive(Clone, Debug, PartialEq)]
pub struct List {
    /// Its parts, in order.
    pub parts: Vec<Part>,
    /// Unit of their thicknesses.
    pub unit: Lengths,
}

/// Reads a list of parts for a batch.
///
/// # Errors
/// Everything that is wrong in the list.
pub fn read(file: &str, bytes: &[u8], batch: &Batch) -> Result<List, Vec<FileError>> {
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    let expected = "`part` and `thickness [mm]`, and where parts were read twice `second [mm]`";
    for name in [PART, THICKNESS] {
        if !sheet.has(name) {
            sheet.missing(name, expected);
        }
    }
    let first = sheet.quantities(THICKNESS);
    let second = sheet.quantities(SECOND);
    let (Some(first), Some(ids)) = (first, sheet.words(PART)) else {
        return sheet.finish(None);
    };
    if sheet.is_empty() {
        let expected = "a row for each part";
        sheet.wrong_whole("too-few-items", "no parts".to_owned(), expected);
    }
    names(&mut sheet, &ids);
    let mut parts = Vec::with_capacity(ids.len());
    for (row, (id, one)) in ids.into_iter().zip(first.si).enumerate() {
        let other = second.as_ref().map(|all| all.si[row]);
        let part = Part {
            id,
            line: sheet.line(row),
            thickness: other.map_or(one, |other| 0.5 * (one + other)),
            taper: other.map(|other| abs(one - other)),
        };
        plausible(&mut sheet, row, &part, batch);
        parts.push(part);
    }
    let unit = Lengths::of(first.unit);
    sheet.finish(Some(List { parts, unit }))
}

/// Each part has a name of its own.
fn names(sheet: &mut Sheet, ids: &[String]) {
    let mut lines: BTreeMap<&str, usize> = BTreeMap::new();
    for (row, id) in ids.iter().enumerate() {
        if id.is_empty() {
            let message = "a part without a name".to_owned();
            let expected = "a number or a word by which the part is found again";
            sheet.wrong("bad-text", row, PART, message, expected);
        } else if let Some(before) = lines.insert(id, sheet.line(row)) {
            let message = format!("part `{id}` stands in line {before} too");
            let expected = "each part once; where it was measured twice, the other reading goes under `second`";
            sheet.wrong("duplicate-name", row, PART, message, expected);
        }
    }
}

/// A part that cannot be of this batch is a slip of the pen.
fn plausible(sheet: &mut Sheet, row: usize, part: &Part, batch: &Batch) {
    if part.thickness <= batch.carrier_thickness {
        let message = "the part is no thicker than the carriers".to_owned();
        let expected = "a part that stands out of its carrier; see carrier.thickness of the batch";
        sheet.wrong("inconsistent", row, THICKNESS, message, expected);
    }
    if part.taper.is_some_and(|taper| taper > 0.2 * part.thickness) {
        let message = "the two readings are of no one part".to_owned();
        let expected = "two readings of the same part, at most a fifth of its thickness apart";
        sheet.wrong("inconsistent", row, SECOND, message, expected);
    }
}
