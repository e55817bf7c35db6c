//! The numbers of the chosen columns: units, times, and rows in the order of time.

use super::cell;
use super::columns::{Candidate, Role, assign, candidates};
use super::error::ImportError;
use super::table::Table;
use super::{Column, Defect, ImportOptions, Log};
use twinplate_sim::files::quantity::{Dimension, UNITS, Unit, find};

/// A unit and what it becomes.
struct Scaled {
    unit: Option<String>,
    log_unit: Option<String>,
    known: Option<&'static Unit>,
}

fn scaled(
    role: Role,
    told: Option<&String>,
    header: Option<&String>,
) -> Result<Scaled, ImportError> {
    let unit = told.or(header).cloned();
    let known = unit.as_deref().and_then(find);
    let wrong = match known {
        Some(known) => role == Role::Time && known.dimension != Dimension::Time,
        // A strange unit in a header is kept as it is; one that was told must be known, and a time's too.
        None => unit.is_some() && (told.is_some() || role == Role::Time),
    };
    if wrong {
        return Err(ImportError::Unit {
            role: role.word(),
            unit: unit.unwrap_or_default(),
        });
    }
    let log_unit = match known {
        None => unit.clone(),
        Some(known) if known.dimension == Dimension::Ratio => Some("1".to_owned()),
        Some(known) => UNITS
            .iter()
            .find(|u| {
                u.dimension == known.dimension
                    && u.numerator == 1.0
                    && u.denominator == 1.0
                    && u.offset == 0.0
            })
            .map(|u| u.symbol.to_owned()),
    };
    Ok(Scaled {
        unit,
        log_unit,
        known,
    })
}

impl Scaled {
    fn apply(&self, value: f64) -> f64 {
        self.known.map_or(value, |unit| unit.to_si(value))
    }
}

/// Number above which a bare time can only be milliseconds since 1970 (in seconds it would be the year 5138), and above which it
/// is seconds since 1970 (a log that runs for 31 years is none).
const EPOCH_MS: f64 = 1e11;
const EPOCH_S: f64 = 1e9;

/// Steps of whole numbers from which on a time without a unit may as well be in milliseconds: who records every 5 s or slower is rare,
/// who counts milliseconds is not.
const WHOLE_STEP: f64 = 5.0;

/// The usual step of times that are whole numbers and come in steps of [`WHOLE_STEP`] or more; `None` of all others.
fn whole_steps(values: &[Option<f64>]) -> Option<f64> {
    let known: Vec<f64> = values.iter().flatten().copied().collect();
    let mut steps: Vec<f64> = known.windows(2).map(|pair| pair[1] - pair[0]).collect();
    steps.sort_by(f64::total_cmp);
    let usual = steps.get(steps.len() / 2).copied()?;
    (usual >= WHOLE_STEP && known.iter().all(|time| time.fract() == 0.0)).then_some(usual)
}

/// Times of all rows, s.
fn times(
    table: &Table,
    column: usize,
    candidate: &Candidate,
    scaled: &Scaled,
    told: bool,
    notes: &mut Vec<String>,
) -> Result<Vec<Option<f64>>, ImportError> {
    if candidate.words == 0 {
        let first = candidate
            .values
            .iter()
            .flatten()
            .next()
            .copied()
            .unwrap_or(0.0);
        let (factor, zero) = if scaled.known.is_some() {
            let tick = scaled.apply(1.0);
            // Only what is plainly a calendar is counted from the first row: a recorder's own zero is kept.
            (tick, if first * tick > EPOCH_S { first } else { 0.0 })
        } else if first > EPOCH_MS {
            notes.push("time: milliseconds since 1970, counted from the first row".into());
            (1e-3, first)
        } else if first > EPOCH_S {
            notes.push("time: seconds since 1970, counted from the first row".into());
            (1.0, first)
        } else {
            if let Some(step) = whole_steps(&candidate.values) {
                return Err(ImportError::TimeUnit {
                    name: candidate.name.clone(),
                    step,
                });
            }
            if !told {
                notes.push("time: taken for seconds (no unit given)".into());
            }
            (1.0, 0.0)
        };
        // Divided where that is exact, so that 20 ms is 0.02 s.
        let to_s = |value: f64| {
            let value = value - zero;
            if factor < 1.0 {
                value / (1.0 / factor)
            } else {
                value * factor
            }
        };
        return Ok(candidate
            .values
            .iter()
            .map(|value| value.map(to_s))
            .collect());
    }
    let mut first: Option<i64> = None;
    let (mut last, mut days) = (i64::MIN, 0);
    let mut dated = true;
    let mut all = Vec::with_capacity(table.rows.len());
    for (line, row) in &table.rows {
        let text = row.get(column).unwrap_or("");
        if cell::missing(text) {
            all.push(None);
            continue;
        }
        let Some((whole, part)) = cell::instant(text) else {
            return Err(ImportError::NotATime {
                line: *line,
                column: column + 1,
                text: text.to_owned(),
            });
        };
        dated &= text.contains('-') || text.len() > 12;
        // Without a date, midnight starts over.
        if !dated && whole + days + 43_200 < last {
            days += 86_400;
        }
        let whole = whole + days;
        last = whole;
        let zero = *first.get_or_insert(whole);
        all.push(Some((whole - zero) as f64 + part));
    }
    notes.push("time: ISO 8601, counted from the whole second of the first row".into());
    Ok(all)
}

/// Numbers of a column in SI, or what stands there instead.
fn values(
    table: &Table,
    column: usize,
    candidate: &Candidate,
    scaled: &Scaled,
) -> Result<Vec<Option<f64>>, ImportError> {
    if candidate.words > 0 {
        for ((line, row), value) in table.rows.iter().zip(&candidate.values) {
            let text = row.get(column).unwrap_or("");
            if value.is_none() && !cell::missing(text) {
                return Err(ImportError::NotANumber {
                    line: *line,
                    column: column + 1,
                    name: candidate.name.clone(),
                    text: text.chars().take(40).collect(),
                });
            }
        }
    }
    Ok(candidate
        .values
        .iter()
        .map(|value| value.map(|v| scaled.apply(v)))
        .collect())
}

/// The log of a table.
pub(super) fn log(table: &Table, options: &ImportOptions) -> Result<Log, ImportError> {
    let all = candidates(table);
    let mut notes = table.notes.clone();
    let places = assign(table, &all, options, &mut notes)?;
    let mut scales = Vec::new();
    for role in Role::ALL {
        let i = role as usize;
        let scale = scaled(
            role,
            options.units[i].as_ref(),
            all[places[i]].unit.as_ref(),
        )?;
        if scale.known.is_none()
            && let Some(unit) = &scale.unit
        {
            notes.push(format!(
                "{}: unit `{unit}` is not known here and kept as it is",
                role.word()
            ));
        }
        scales.push(scale);
    }
    let [time, command, output] = places;
    let told = options.units[0].is_some();
    let columns = [
        times(table, time, &all[time], &scales[0], told, &mut notes)?,
        values(table, command, &all[command], &scales[1])?,
        values(table, output, &all[output], &scales[2])?,
    ];
    let described = [0, 1, 2].map(|i| Column {
        number: places[i] + 1,
        name: all[places[i]].name.clone(),
        unit: scales[i].unit.clone(),
        log_unit: if i == 0 {
            Some("s".to_owned())
        } else {
            scales[i].log_unit.clone()
        },
    });
    let mut log = Log {
        name: None,
        time_s: Vec::with_capacity(table.rows.len()),
        command: Vec::with_capacity(table.rows.len()),
        output: Vec::with_capacity(table.rows.len()),
        rows: Vec::with_capacity(table.rows.len()),
        before: options.before.map(|value| scales[1].apply(value)),
        columns: described,
        defects: Vec::new(),
        notes,
    };
    in_order(table, &columns, &mut log)?;
    if log.time_s.len() < super::LEAST_ROWS {
        return Err(ImportError::TooFewRows {
            rows: log.time_s.len(),
        });
    }
    Ok(log)
}

/// Share of rows that may be out of order, or share an instant, and be dropped: a hundredth.
const STRAY: usize = 100;

/// Takes the rows into the log in which time rises, names the others.
fn in_order(
    table: &Table,
    columns: &[Vec<Option<f64>>; 3],
    log: &mut Log,
) -> Result<(), ImportError> {
    let (mut back, mut coarse) = (0_usize, 0_usize);
    let (mut first_back, mut first_coarse) = (None, None);
    for (n, (line, _)) in table.rows.iter().enumerate() {
        let row = [0, 1, 2].map(|i| columns[i].get(n).copied().flatten());
        if let Some(empty) = row.iter().position(Option::is_none) {
            log.defects.push(Defect::Missing {
                row: *line,
                column: log.columns[empty].name.clone(),
            });
            continue;
        }
        let [time, command, output] = row.map(Option::unwrap_or_default);
        if let Some(&last) = log.time_s.last() {
            if time == last {
                let same =
                    log.command.last() == Some(&command) && log.output.last() == Some(&output);
                log.defects.push(Defect::Repeat {
                    row: *line,
                    at: time,
                    same,
                });
                if !same {
                    coarse += 1;
                    first_coarse = first_coarse.or(Some(*line));
                }
                continue;
            }
            if time < last {
                log.defects.push(Defect::OutOfOrder {
                    row: *line,
                    at: time,
                });
                back += 1;
                first_back = first_back.or(Some((*line, time, last)));
                continue;
            }
        }
        log.time_s.push(time);
        log.command.push(command);
        log.output.push(output);
        log.rows.push(*line);
    }
    let rows = table.rows.len();
    if let Some((line, time, before)) = first_back.filter(|_| back * STRAY > rows) {
        return Err(ImportError::TimeNotRising {
            line,
            time,
            before,
            rows: back,
        });
    }
    if let Some(line) = first_coarse.filter(|_| coarse * STRAY > rows) {
        return Err(ImportError::CoarseTime {
            rows: coarse,
            of: rows,
            line,
        });
    }
    Ok(())
}
