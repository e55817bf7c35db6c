//! Which column is the time, which the command, which the output.

use super::ImportOptions;
use super::cell;
use super::error::ImportError;
use super::table::Table;
use twinplate_sim::files::quantity::find;

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
pub(super) struct Candidate {
    pub name: String,
    pub unit: Option<String>,
    /// Numbers of its cells; `None` where there is none in a cell.
    pub values: Vec<Option<f64>>,
    /// Cells that are neither numbers nor empty.
    pub words: usize,
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

/// Every column with its numbers.
pub(super) fn candidates(table: &Table) -> Vec<Candidate> {
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
pub(super) fn assign(
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
