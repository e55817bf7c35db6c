//! Which column is the time, which the command, which the output, in which units; and the numbers in them.

use super::cell;
use super::error::ImportError;
use super::table::Table;
use super::{Column, Defect, ImportOptions, Log};
use crate::files::quantity::{Dimension, UNITS, Unit, find};

/// What a column is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    Time,
    Command,
    Output,
}

impl Role {
    pub const ALL: [Self; 3] = [Self::Time, Self::Command, Self::Output];

    pub const fn word(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Command => "command",
            Self::Output => "output",
        }
    }

    /// Words in a header that say so.
    const fn words(self) -> &'static [&'static str] {
        match self {
            Self::Time => &[
                "time",
                "t",
                "timestamp",
                "datetime",
                "clock",
                "elapsed",
                "seconds",
                "sec",
                "ms",
            ],
            Self::Command => &[
                "command",
                "cmd",
                "u",
                "mv",
                "co",
                "valve",
                "regulator",
                "actuator",
                "demand",
                "input",
            ],
            Self::Output => &[
                "load",
                "force",
                "pressure",
                "pv",
                "y",
                "measured",
                "measurement",
                "output",
                "actual",
                "temperature",
            ],
        }
    }
}

/// A column before it has a role.
struct Candidate {
    name: String,
    unit: Option<String>,
    /// Numbers of its cells; `None` where there is none in a cell.
    values: Vec<Option<f64>>,
    /// Cells that are neither numbers nor empty.
    words: usize,
    unnamed: bool,
}

/// Name and unit of a header cell: `load [kN]`, `load (kN)`, `load/kN`, `load_kN`.
fn parted(cell: &str) -> (String, Option<String>) {
    for (open, close) in [('[', ']'), ('(', ')')] {
        if let Some((name, rest)) = cell.split_once(open)
            && let Some((unit, _)) = rest.split_once(close)
        {
            let unit = unit.trim();
            return (
                name.trim().to_owned(),
                (!unit.is_empty()).then(|| unit.to_owned()),
            );
        }
    }
    for sign in ['/', '_', ' '] {
        if let Some((name, unit)) = cell.rsplit_once(sign)
            && !name.trim().is_empty()
            && find(unit).is_some()
        {
            return (name.trim().to_owned(), Some(unit.trim().to_owned()));
        }
    }
    (cell.trim().to_owned(), None)
}

fn candidates(table: &Table) -> Vec<Candidate> {
    let width = table.rows.first().map_or(0, |(_, row)| row.len());
    (0..width)
        .map(|i| {
            let head = table
                .header
                .as_ref()
                .and_then(|header| header.get(i))
                .map_or("", String::as_str);
            let (name, unit) = parted(head);
            let below = table.units.as_ref().and_then(|units| units.get(i));
            let below = below
                .map(|unit| unit.trim_matches(['[', ']', '(', ')']).to_owned())
                .filter(|unit| !unit.is_empty());
            let cells = table.rows.iter().map(|(_, row)| row.get(i).unwrap_or(""));
            let values: Vec<Option<f64>> = cells
                .clone()
                .map(|text| cell::number(text, table.comma))
                .collect();
            let words = cells
                .zip(&values)
                .filter(|(text, value)| value.is_none() && !cell::missing(text))
                .count();
            let unnamed = name.is_empty();
            Candidate {
                name: if unnamed {
                    format!("column {}", i + 1)
                } else {
                    name
                },
                unit: unit.or(below),
                values,
                words,
                unnamed,
            }
        })
        .collect()
}

impl Candidate {
    /// Whole numbers that count the rows.
    fn is_index(&self) -> bool {
        self.values
            .windows(2)
            .all(|pair| matches!(pair, [Some(a), Some(b)] if *b == *a + 1.0))
            && matches!(self.values.first(), Some(Some(first)) if *first == 0.0 || *first == 1.0)
    }
    fn rises(&self) -> bool {
        let up = self
            .values
            .windows(2)
            .filter(|pair| matches!(pair, [Some(a), Some(b)] if b > a))
            .count();
        up * 20 >= (self.values.len() - 1) * 19
    }
    /// Share of rows in which it differs from the row before.
    fn moves(&self) -> f64 {
        let moved = self
            .values
            .windows(2)
            .filter(|pair| pair[0] != pair[1])
            .count();
        moved as f64 / self.values.len() as f64
    }
    fn empty(&self) -> bool {
        self.words == 0 && self.values.iter().all(Option::is_none)
    }
    fn says(&self, role: Role) -> bool {
        let name = self.name.to_lowercase();
        name.split(|c: char| !c.is_alphanumeric())
            .any(|word| role.words().contains(&word))
    }
}

/// The column that was asked for by name or number.
fn asked(all: &[Candidate], role: Role, asked: &str) -> Result<usize, ImportError> {
    let same = |c: &Candidate| {
        !c.unnamed
            && (c.name.eq_ignore_ascii_case(asked) || parted(asked).0.eq_ignore_ascii_case(&c.name))
    };
    if let Some(place) = all.iter().position(same) {
        return Ok(place);
    }
    if let Ok(number) = asked.parse::<usize>()
        && (1..=all.len()).contains(&number)
    {
        return Ok(number - 1);
    }
    let known: Vec<String> = all.iter().map(|c| c.name.clone()).collect();
    let close = known
        .iter()
        .map(|name| {
            (
                strsim::jaro_winkler(&name.to_lowercase(), &asked.to_lowercase()),
                name,
            )
        })
        .max_by(|a, b| a.0.total_cmp(&b.0));
    Err(ImportError::NoSuchColumn {
        role: role.word(),
        asked: asked.to_owned(),
        nearest: close
            .filter(|(near, _)| *near > 0.7)
            .map(|(_, name)| name.clone()),
        known,
    })
}

/// Columns of the three roles, and how they were found.
fn assign(
    table: &Table,
    all: &[Candidate],
    options: &ImportOptions,
    notes: &mut Vec<String>,
) -> Result<[usize; 3], ImportError> {
    let mut found: [Option<(usize, &str)>; 3] = [None; 3];
    for (role, slot) in Role::ALL.into_iter().zip(&mut found) {
        if let Some(name) = &options.columns[role as usize] {
            *slot = Some((asked(all, role, name)?, "as told"));
        }
    }
    let taken = |found: &[Option<(usize, &str)>; 3], i: usize| {
        found.iter().flatten().any(|(place, _)| *place == i)
    };
    for role in Role::ALL {
        if found[role as usize].is_some() {
            continue;
        }
        let named: Vec<usize> = (0..all.len())
            .filter(|&i| !taken(&found, i) && all[i].says(role))
            .collect();
        match named[..] {
            [one] => found[role as usize] = Some((one, "by its name")),
            [] => {}
            _ => {
                return Err(ImportError::Unclear {
                    role: role.word(),
                    candidates: named.into_iter().map(|i| all[i].name.clone()).collect(),
                });
            }
        }
    }
    for role in Role::ALL {
        if found[role as usize].is_some() {
            continue;
        }
        let left: Vec<usize> = (0..all.len())
            .filter(|&i| !taken(&found, i) && !all[i].empty())
            .collect();
        found[role as usize] = Some((by_content(table, all, role, &left)?, "by what it holds"));
    }
    let places = found.map(|slot| slot.map_or(0, |(place, _)| place));
    for (i, place) in places.iter().enumerate() {
        if places[..i].contains(place) {
            return Err(ImportError::SameColumn {
                name: all[*place].name.clone(),
            });
        }
    }
    for (role, (place, how)) in Role::ALL.into_iter().zip(found.into_iter().flatten()) {
        notes.push(format!(
            "{}: `{}` (column {}), {how}",
            role.word(),
            all[place].name,
            place + 1
        ));
    }
    Ok(places)
}

/// A role by what the columns hold: time rises, a command is held, an output moves.
fn by_content(
    table: &Table,
    all: &[Candidate],
    role: Role,
    left: &[usize],
) -> Result<usize, ImportError> {
    let unclear = |some: &[usize]| ImportError::Unclear {
        role: role.word(),
        candidates: some.iter().map(|&i| all[i].name.clone()).collect(),
    };
    let fitting: Vec<usize> = match role {
        Role::Time => {
            let is_time = |i: usize| {
                let text = |row: &csv::StringRecord| {
                    row.get(i).is_some_and(|text| cell::instant(text).is_some())
                };
                all[i].rises() || all[i].words > 0 && table.rows.iter().all(|(_, row)| text(row))
            };
            let rising: Vec<usize> = left.iter().copied().filter(|&i| is_time(i)).collect();
            // A count of the rows is no time where there is a better one.
            let real: Vec<usize> = rising
                .iter()
                .copied()
                .filter(|&i| !all[i].is_index())
                .collect();
            if real.is_empty() { rising } else { real }
        }
        Role::Command => left
            .iter()
            .copied()
            .filter(|&i| {
                all[i].words == 0
                    && !all[i].is_index()
                    && all[i].moves() > 0.0
                    && all[i].moves() < 0.1
            })
            .collect(),
        Role::Output => left
            .iter()
            .copied()
            .filter(|&i| all[i].words == 0 && !all[i].is_index() && all[i].moves() > 0.0)
            .collect(),
    };
    match fitting[..] {
        [one] => Ok(one),
        [] => match left
            .iter()
            .copied()
            .filter(|&i| !all[i].is_index())
            .collect::<Vec<_>>()[..]
        {
            [one] if role != Role::Time && all[one].words == 0 => Ok(one),
            _ => Err(unclear(left)),
        },
        _ => Err(unclear(&fitting)),
    }
}

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
        self.known.map_or(value, |unit| {
            value * unit.numerator / unit.denominator + unit.offset
        })
    }
}

/// Number above which a bare time can only be milliseconds since 1970 (in seconds it would be the year 5138), and above which it
/// is seconds since 1970 (a log that runs for 31 years is none).
const EPOCH_MS: f64 = 1e11;
const EPOCH_S: f64 = 1e9;

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
