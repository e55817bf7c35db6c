//! A load cell from dead weights: reading over load.
//!
//! The sheet has a row for each reading: `load` (a force or a mass), `reading`, and where they are known `run` (the series), `position` (how
//! the cell stood, as it is turned between series) and `direction` (`up` or `down`). Rows without load are readings of the zero.

mod limits;
mod polynomial;
mod transfer;

pub use limits::{DEVIATIONS, LowerLimit, lowest_share};
pub use polynomial::{By, HIGHEST, LEVEL, Tried};
pub use transfer::{Criterion, Share, TransferClass};

use crate::least_squares::{Estimate, Row};
use crate::sheet::{Heading, Holds, Sheet};
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::Dimension as D;
use twinplate_sim::math::{abs, floor, max, min};
use twinplate_sim::model::{G, Machine};

const HEADINGS: &[Heading] = &[
    Heading {
        name: "load",
        holds: Holds::Quantity(&[
            (D::Force, ["0 N", "100000 kN"]),
            (D::Mass, ["0 kg", "10000 t"]),
        ]),
    },
    Heading {
        name: "reading",
        holds: Holds::Number,
    },
    Heading {
        name: "run",
        holds: Holds::Word,
    },
    Heading {
        name: "position",
        holds: Holds::Word,
    },
    Heading {
        name: "direction",
        holds: Holds::Word,
    },
    Heading {
        name: "note",
        holds: Holds::Word,
    },
];

/// Fewest loads above zero of which a curve can be said to fit.
const LEAST_LOADS: usize = 3;

/// Share of the rated range that the loads must reach for keys of the whole range.
pub const REACH: f64 = 0.5;

/// A reading under load.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Line of the sheet.
    pub line: usize,
    /// Load, in the unit typed.
    pub load: f64,
    /// Reading less that of the run's zero, where every run has one.
    pub deflection: f64,
    /// Number of its run.
    run: usize,
    /// Number of its position.
    position: usize,
    /// Load was rising.
    up: bool,
}

/// The zero of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Zero {
    run: usize,
    first: f64,
    last: f64,
    /// Readings of it.
    count: usize,
}

/// Everything in a sheet.
struct Data {
    load_unit: &'static str,
    /// Newtons in a unit of load.
    newtons: f64,
    reading_unit: Option<String>,
    /// Readings under load.
    rows: Vec<Reading>,
    zeros: Vec<Zero>,
    zeroed: bool,
    runs: usize,
    positions: usize,
    masses: bool,
}

/// What the machine file's keys should be.
#[derive(Clone, Debug, PartialEq)]
pub struct Keys {
    /// Nonlinearity at the rated range, share of the range.
    pub nonlinearity: Estimate,
    /// Counts at the rated range, where the readings are counts: the slope at zero carried to the range.
    pub counts_at_range: Option<Estimate>,
    /// Largest load over the rated range.
    pub reach: f64,
}

/// What a calibration of a cell found.
#[derive(Clone, Debug, PartialEq)]
pub struct CellReport {
    /// The sheet.
    pub file: String,
    /// Unit of the loads as typed.
    pub load_unit: &'static str,
    /// Unit of the readings, where there is one.
    pub reading_unit: Option<String>,
    /// Newtons in a unit of load.
    pub newtons: f64,
    /// How the degree was chosen.
    pub by: By,
    /// Degrees that were tried, rising.
    pub tried: Vec<Tried>,
    /// Degree of the polynomial.
    pub degree: usize,
    /// The data does not speak against it.
    pub fits: bool,
    /// Coefficients of the powers of the load, from the constant up.
    pub coefficients: Vec<Estimate>,
    /// Residual standard deviation, in units of the reading.
    pub deviation: f64,
    /// Degrees of freedom behind it.
    pub freedom: usize,
    /// Share of the readings' scatter that the polynomial explains.
    pub explained: f64,
    /// Lower limit factor and the ranges that follow from it.
    pub lower_limit: LowerLimit,
    /// Class of a force-proving instrument.
    pub class: TransferClass,
    /// Largest difference between mean readings and the straight line through zero and the largest load, share of the span; and the load.
    pub nonlinearity: [f64; 2],
    /// Largest difference between falling and rising readings of one run, share of the span.
    pub hysteresis: Option<f64>,
    /// Largest difference between repeats, share of the span.
    pub spread: Option<f64>,
    /// Rows that were fitted, with what is left over.
    pub rows: Vec<Row>,
    /// Load and deflection of those rows.
    pub points: Vec<[f64; 2]>,
    /// The same of falling loads, which are not fitted.
    pub falling: Vec<[f64; 2]>,
    /// What was assumed, for people.
    pub notes: Vec<String>,
    /// Values for a machine file, where one was given.
    pub keys: Option<Keys>,
}

impl CellReport {
    /// The polynomial at a load, in units of the reading.
    #[must_use]
    pub fn at(&self, load: f64) -> f64 {
        let powers = polynomial::powers(load, self.degree);
        self.coefficients
            .iter()
            .zip(powers)
            .map(|(c, power)| c.value * power)
            .sum()
    }
}

/// Calibrates a cell from the bytes of a sheet; `machine` is what keys are made for.
///
/// # Errors
/// All that is wrong with the sheet, each with its place.
pub fn calibrate(
    file: &str,
    bytes: &[u8],
    machine: Option<&Machine>,
) -> Result<CellReport, Vec<FileError>> {
    let sheet = Sheet::read(file, bytes, HEADINGS)?;
    let data = read(sheet)?;
    let rising: Vec<&Reading> = data.rows.iter().filter(|row| row.up).collect();
    let none = || {
        let message = "the readings give no curve".to_owned();
        vec![FileError::whole(
            "inconsistent",
            file,
            message,
            "readings that change with the load",
        )]
    };
    let chosen = polynomial::choose(&rising).ok_or_else(none)?;
    let fit = &chosen.fit;
    if !polynomial::rises(&rising) {
        return Err(none());
    }
    let lines: Vec<usize> = rising.iter().map(|row| row.line).collect();
    let means = means(&rising);
    let Some(&[top, span]) = means.last().filter(|[_, span]| *span != 0.0) else {
        return Err(none());
    };
    let middle = rising.iter().map(|row| row.deflection).sum::<f64>() / rising.len() as f64;
    let about: f64 = rising
        .iter()
        .map(|row| (row.deflection - middle) * (row.deflection - middle))
        .sum();
    let worst = means
        .iter()
        .fold([0.0, 0.0], |worst: [f64; 2], [load, mean]| {
            let off = (mean - span * load / top) / span;
            if abs(off) > abs(worst[0]) {
                [off, *load]
            } else {
                worst
            }
        });
    Ok(CellReport {
        file: file.to_owned(),
        load_unit: data.load_unit,
        newtons: data.newtons,
        by: chosen.by,
        fits: chosen
            .tried
            .get(chosen.degree - 1)
            .is_some_and(|tried| tried.fits),
        degree: chosen.degree,
        coefficients: (0..=chosen.degree).map(|at| fit.coefficient(at)).collect(),
        deviation: fit.deviation(),
        freedom: fit.freedom,
        explained: 1.0 - fit.squares / about,
        lower_limit: LowerLimit::new(&rising, fit.deviation()),
        class: transfer::classify(&data, &rising),
        nonlinearity: worst,
        hysteresis: transfer::hysteresis(&data, span),
        spread: spread(&rising, span),
        rows: fit.rows(&lines),
        points: rising
            .iter()
            .map(|row| [row.load, row.deflection])
            .collect(),
        falling: data
            .rows
            .iter()
            .filter(|row| !row.up)
            .map(|row| [row.load, row.deflection])
            .collect(),
        notes: notes(&data),
        keys: machine.and_then(|machine| keys(&data, &rising, machine)),
        tried: chosen.tried,
        reading_unit: data.reading_unit,
    })
}

/// Load and mean deflection of each load, rising.
fn means(rows: &[&Reading]) -> Vec<[f64; 2]> {
    let (numbers, count) = polynomial::levels(rows);
    let mut all = vec![[0.0, 0.0, 0.0]; count];
    for (number, row) in numbers.iter().zip(rows) {
        let [load, sum, n] = &mut all[*number];
        (*load, *sum, *n) = (row.load, *sum + row.deflection, *n + 1.0);
    }
    all.iter().map(|[load, sum, n]| [*load, sum / n]).collect()
}

/// Largest difference between readings of one load, share of the span.
fn spread(rows: &[&Reading], span: f64) -> Option<f64> {
    let (numbers, count) = polynomial::levels(rows);
    if count == rows.len() {
        return None;
    }
    let mut ends = vec![[f64::INFINITY, f64::NEG_INFINITY]; count];
    for (number, row) in numbers.iter().zip(rows) {
        let [low, high] = &mut ends[*number];
        (*low, *high) = (min(*low, row.deflection), max(*high, row.deflection));
    }
    Some(
        ends.iter()
            .fold(0.0, |most, [low, high]| max(most, (high - low) / abs(span))),
    )
}

/// Keys of a machine's cell, by a parabola whatever the degree: that is what the file knows.
fn keys(data: &Data, rows: &[&Reading], machine: &Machine) -> Option<Keys> {
    let parabola = polynomial::of_degree(rows, 2)?;
    let range = machine.cell.range / data.newtons;
    let (slope, bend) = (parabola.coefficients[1], parabola.coefficients[2]);
    // To first order in both, which hang together.
    let mut nonlinearity =
        parabola.combined(&[0.0, -bend * range / (slope * slope), range / slope]);
    let off = bend * range / slope - nonlinearity.value;
    for value in [
        &mut nonlinearity.value,
        &mut nonlinearity.low,
        &mut nonlinearity.high,
    ] {
        *value += off;
    }
    let counts = data
        .reading_unit
        .as_deref()
        .is_some_and(|unit| unit.eq_ignore_ascii_case("counts"));
    let top = rows.iter().fold(0.0, |most, row| max(most, row.load));
    Some(Keys {
        nonlinearity,
        counts_at_range: counts.then(|| parabola.combined(&[0.0, range, 0.0])),
        reach: top / range,
    })
}

fn notes(data: &Data) -> Vec<String> {
    let mut notes = Vec::new();
    if data.masses {
        notes.push(format!(
            "masses became forces with standard gravity, {G} m/s²: the local value differs by up to 0.3 %, buoyancy in air takes off some \
             0.015 % of steel weights; neither is corrected"
        ));
    }
    if !data.zeroed {
        notes.push(
            "not every run has a reading without load: the readings are taken as they are, zero and all".to_owned(),
        );
    }
    if data.rows.iter().any(|row| !row.up) {
        notes.push("falling loads are not fitted; they show the hysteresis".to_owned());
    }
    notes
}

/// Numbers each word by its first appearance.
fn numbered(words: Option<Vec<String>>, rows: usize) -> (Vec<usize>, usize) {
    let words = words.unwrap_or_else(|| vec![String::new(); rows]);
    let mut known: Vec<String> = Vec::new();
    let numbers = words
        .into_iter()
        .map(|word| {
            known
                .iter()
                .position(|other| *other == word)
                .unwrap_or_else(|| {
                    known.push(word);
                    known.len() - 1
                })
        })
        .collect();
    (numbers, known.len())
}

fn read(mut sheet: Sheet) -> Result<Data, Vec<FileError>> {
    for name in ["load", "reading"] {
        if !sheet.has(name) {
            sheet.missing(
                name,
                "the columns `load [N]` (or `load [kg]`) and `reading`, such as `reading [mV/V]`",
            );
        }
    }
    let loads = sheet.quantities("load");
    let (reading_unit, readings) = sheet.numbers("reading");
    let (runs, run_count) = numbered(sheet.words("run"), sheet.len());
    let (positions, position_count) = numbered(sheet.words("position"), sheet.len());
    let up = directions(&mut sheet);
    let Some(loads) = loads else {
        return sheet.finish(None);
    };
    if run_count > 1 && !sheet.has("direction") {
        falling_loads(&mut sheet, &loads.typed, &runs);
    }
    let (zeros, zeroed) = zeros(&loads.typed, &readings, &runs, run_count);
    let zero_of = |run: usize| {
        zeros
            .iter()
            .find(|zero| zero.run == run)
            .map_or(0.0, |zero| zero.first)
    };
    let rows: Vec<Reading> = (0..sheet.len())
        .filter(|&row| loads.typed[row] != 0.0)
        .map(|row| Reading {
            line: sheet.line(row),
            load: loads.typed[row],
            deflection: readings.get(row).copied().unwrap_or(f64::NAN)
                - if zeroed { zero_of(runs[row]) } else { 0.0 },
            run: runs[row],
            position: positions[row],
            up: up[row],
        })
        .collect();
    let rising: Vec<&Reading> = rows.iter().filter(|row| row.up).collect();
    let (_, levels) = polynomial::levels(&rising);
    if levels < LEAST_LOADS {
        sheet.wrong_whole(
            "too-few-items",
            format!("{levels} rising loads above zero"),
            "at least three different loads; ten, each twice, say whether a curve fits",
        );
    }
    let masses = loads.unit.dimension == D::Mass;
    let data = Data {
        load_unit: loads.unit.symbol,
        newtons: loads.unit.numerator / loads.unit.denominator * if masses { G } else { 1.0 },
        reading_unit,
        rows,
        zeros,
        zeroed,
        runs: run_count,
        positions: position_count,
        masses,
    };
    sheet.finish(Some(data))
}

/// Whether each row was read with rising load.
fn directions(sheet: &mut Sheet) -> Vec<bool> {
    let Some(words) = sheet.words("direction") else {
        return vec![true; sheet.len()];
    };
    let mut up = Vec::with_capacity(words.len());
    for (row, word) in words.iter().enumerate() {
        let known = match word.to_lowercase().as_str() {
            "up" | "" => Some(true),
            "down" => Some(false),
            _ => None,
        };
        if known.is_none() {
            let message = format!("`{word}` is no direction");
            sheet.wrong("unknown-word", row, "direction", message, "`up` or `down`");
        }
        up.push(known.unwrap_or(true));
    }
    up
}

/// A run that goes up and down must say so, or its hysteresis would be taken for scatter.
fn falling_loads(sheet: &mut Sheet, loads: &[f64], runs: &[usize]) {
    for row in 1..loads.len() {
        // A last reading of the zero is no falling load.
        if runs[row] == runs[row - 1] && loads[row] < loads[row - 1] && loads[row] > 0.0 {
            sheet.wrong(
                "inconsistent",
                row,
                "load",
                "the load falls within a run".to_owned(),
                "a column `direction` with `up` or `down`",
            );
            return;
        }
    }
}

/// First and last reading without load of each run, and whether every run has one.
fn zeros(loads: &[f64], readings: &[f64], runs: &[usize], count: usize) -> (Vec<Zero>, bool) {
    let zeros: Vec<Zero> = (0..count)
        .filter_map(|run| {
            let mut found = (0..loads.len().min(readings.len()))
                .filter(|&row| runs[row] == run && loads[row] == 0.0)
                .map(|row| readings[row]);
            let first = found.next()?;
            let rest: Vec<f64> = found.collect();
            Some(Zero {
                run,
                first,
                last: rest.last().copied().unwrap_or(first),
                count: 1 + rest.len(),
            })
        })
        .collect();
    let zeroed = zeros.len() == count && count > 0;
    (zeros, zeroed)
}

impl Keys {
    /// Counts at the range as the machine file holds them, where they are known and a converter could give them.
    #[must_use]
    pub fn whole_counts(&self) -> Option<u32> {
        let counts = floor(abs(self.counts_at_range?.value) + 0.5);
        (counts < 4e9).then_some(counts as u32)
    }
}
