//! Classes of force-proving instruments as ISO 376:2011 has them. Limits and rules from memory: the standard itself was not at hand.
//!
//! A class is claimed only where the sheet has everything that it is made of: runs at three positions or more, two of them at one position,
//! eight loads or more, the zero before and after each run, and falling loads (a creep test instead of them is not read here).

use super::polynomial::{of_degree, powers};
use super::{Data, Reading};
use twinplate_sim::math::{abs, max, min};

/// Classes, best first.
const CLASSES: [&str; 4] = ["00", "0.5", "1", "2"];
/// Limits of each quantity for the four classes, share.
const REPRODUCIBILITY: [f64; 4] = [5e-4, 1e-3, 2e-3, 4e-3];
const REPEATABILITY: [f64; 4] = [2.5e-4, 5e-4, 1e-3, 2e-3];
const INTERPOLATION: [f64; 4] = [2.5e-4, 5e-4, 1e-3, 2e-3];
const ZERO: [f64; 4] = [1.2e-4, 2.5e-4, 5e-4, 1e-3];
const REVERSIBILITY: [f64; 4] = [7e-4, 1.5e-3, 3e-3, 5e-3];
/// Fewest loads.
const LEAST_LOADS: usize = 8;
/// Fewest positions.
const LEAST_POSITIONS: usize = 3;
/// Highest degree of the curve through the means.
const HIGHEST: usize = 3;
/// A class must hold from here up, share of the largest load.
const FROM: f64 = 0.5;

/// A deviation at a load; no load where it is of the whole run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// Load, in the unit typed.
    pub load: Option<f64>,
    /// Deviation, share of the reading (of the largest reading for the zero).
    pub share: f64,
}

/// One of the quantities that make a class.
#[derive(Clone, Debug, PartialEq)]
pub struct Criterion {
    /// Its name.
    pub name: &'static str,
    /// Every deviation found; empty where the sheet has nothing to find one in.
    pub found: Vec<Share>,
    limits: [f64; 4],
    due: Due,
    /// What the sheet lacks for it.
    pub lacks: &'static str,
}

/// At which loads a quantity must have been found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Due {
    /// At each.
    Each,
    /// At each but the largest, from which the load begins to fall.
    BelowTop,
    /// It has no load.
    Once,
}

impl Criterion {
    /// The largest deviation at loads from `from` up.
    #[must_use]
    pub fn worst(&self, from: f64) -> Option<Share> {
        self.found
            .iter()
            .filter(|found| found.load.is_none_or(|load| load >= from))
            .max_by(|a, b| abs(a.share).total_cmp(&abs(b.share)))
            .copied()
    }

    /// Whether it was found at every load from `from` up at which it is due.
    fn covers(&self, loads: &[f64], from: f64) -> bool {
        let due = match self.due {
            Due::Each => loads,
            Due::BelowTop => loads.split_last().map_or(loads, |(_, below)| below),
            Due::Once => return !self.found.is_empty(),
        };
        let found = |load: &f64| self.found.iter().any(|share| share.load == Some(*load));
        due.iter().filter(|load| **load >= from).all(found)
    }

    /// Best class that it alone would allow from `from` up.
    #[must_use]
    pub fn allows(&self, from: f64) -> Option<&'static str> {
        let worst = abs(self.worst(from)?.share);
        (0..4)
            .find(|&class| worst <= self.limits[class])
            .map(|class| CLASSES[class])
    }
}

/// Class of the cell as a force-proving instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct TransferClass {
    /// What it is made of.
    pub criteria: Vec<Criterion>,
    /// What the sheet lacks; empty where nothing.
    pub lacks: Vec<String>,
    /// Best class and the loads from and to which it holds.
    pub class: Option<(&'static str, [f64; 2])>,
    /// Half of the largest load: from there up a class must hold.
    pub from: f64,
}

/// Deflection of a run at a load, the mean where it was read more than once.
fn at(rows: &[&Reading], run: usize, load: f64) -> Option<f64> {
    let found: Vec<f64> = rows
        .iter()
        .filter(|row| row.run == run && row.load == load)
        .map(|row| row.deflection)
        .collect();
    (!found.is_empty()).then(|| found.iter().sum::<f64>() / found.len() as f64)
}

/// Range over mean of what runs read at a load; `None` unless each of them was there.
fn range(rows: &[&Reading], runs: &[usize], load: f64) -> Option<f64> {
    let found: Vec<f64> = runs.iter().filter_map(|run| at(rows, *run, load)).collect();
    let mean = found.iter().sum::<f64>() / found.len() as f64;
    if found.len() < 2 || found.len() < runs.len() || mean == 0.0 {
        return None;
    }
    let (low, high) = found
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (min(low, *value), max(high, *value))
        });
    Some((high - low) / abs(mean))
}

/// Falling less rising reading of each run and load, over the rising one.
fn reversal(data: &Data) -> Vec<Share> {
    let (rising, falling): (Vec<&Reading>, Vec<&Reading>) =
        data.rows.iter().partition(|row| row.up);
    falling
        .iter()
        .filter_map(|row| {
            let up = at(&rising, row.run, row.load).filter(|up| *up != 0.0)?;
            Some(Share {
                load: Some(row.load),
                share: (row.deflection - up) / abs(up),
            })
        })
        .collect()
}

/// Largest difference between falling and rising readings of one run, share of the span.
pub(super) fn hysteresis(data: &Data, span: f64) -> Option<f64> {
    let rising: Vec<&Reading> = data.rows.iter().filter(|row| row.up).collect();
    let falling = data.rows.iter().filter(|row| !row.up);
    falling
        .filter_map(|row| {
            Some(abs(
                (row.deflection - at(&rising, row.run, row.load)?) / span
            ))
        })
        .reduce(max)
}

/// The curve through the means of the turned runs, and what the means are off it.
fn interpolation(rows: &[&Reading], turned: &[usize], loads: &[f64]) -> Vec<Share> {
    let means: Vec<Reading> = loads
        .iter()
        .filter_map(|load| {
            let found: Vec<f64> = turned
                .iter()
                .filter_map(|run| at(rows, *run, *load))
                .collect();
            (found.len() == turned.len() && !found.is_empty()).then(|| Reading {
                line: 0,
                load: *load,
                deflection: found.iter().sum::<f64>() / found.len() as f64,
                run: 0,
                position: 0,
                up: true,
            })
        })
        .collect();
    let points: Vec<&Reading> = means.iter().collect();
    let degree = HIGHEST.min(means.len().saturating_sub(2));
    let Some(fit) = of_degree(&points, degree).filter(|_| degree > 0) else {
        return Vec::new();
    };
    means
        .iter()
        .filter_map(|mean| {
            let curve: f64 = powers(mean.load, degree)
                .iter()
                .zip(&fit.coefficients)
                .map(|(x, c)| x * c)
                .sum();
            (curve != 0.0).then(|| Share {
                load: Some(mean.load),
                share: (mean.deflection - curve) / abs(curve),
            })
        })
        .collect()
}

/// Which runs are compared with which.
struct Runs {
    /// The first run of each position.
    turned: Vec<usize>,
    /// The runs of the position that has most.
    together: Vec<usize>,
}

impl Runs {
    fn of(data: &Data, rows: &[&Reading]) -> Self {
        let position = |run: usize| {
            let first = rows.iter().find(|row| row.run == run);
            first.map(|row| row.position)
        };
        let at = |place: usize| -> Vec<usize> {
            (0..data.runs)
                .filter(|run| position(*run) == Some(place))
                .collect()
        };
        let places: Vec<Vec<usize>> = (0..data.positions).map(at).collect();
        Self {
            turned: places
                .iter()
                .filter_map(|runs| runs.first().copied())
                .collect(),
            together: places.into_iter().max_by_key(Vec::len).unwrap_or_default(),
        }
    }
}

/// The five quantities, as far as the sheet has them.
fn criteria(data: &Data, rows: &[&Reading], loads: &[f64]) -> Vec<Criterion> {
    let runs = Runs::of(data, rows);
    let top = loads.last().copied().unwrap_or(0.0);
    let full = runs
        .turned
        .iter()
        .filter_map(|run| at(rows, *run, top))
        .fold(0.0, |most, value| max(most, abs(value)));
    let over = |runs: &[usize]| -> Vec<Share> {
        let found = |load: &f64| {
            let share = range(rows, runs, *load)?;
            let load = Some(*load);
            Some(Share { load, share })
        };
        loads.iter().filter_map(found).collect()
    };
    let turned = runs.turned.len() >= LEAST_POSITIONS;
    let if_turned = |found: Vec<Share>| if turned { found } else { Vec::new() };
    let criterion = |name, limits, due, lacks, found| Criterion {
        name,
        found,
        limits,
        due,
        lacks,
    };
    vec![
        criterion(
            "reproducibility, turned",
            REPRODUCIBILITY,
            Due::Each,
            "runs at three positions or more, the cell turned between them (columns `run` and `position`)",
            if_turned(over(&runs.turned)),
        ),
        criterion(
            "repeatability",
            REPEATABILITY,
            Due::Each,
            "two runs at one position",
            over(&runs.together),
        ),
        criterion(
            "interpolation",
            INTERPOLATION,
            Due::Each,
            "a curve through the means of the turned runs",
            if_turned(interpolation(rows, &runs.turned, loads)),
        ),
        criterion(
            "zero",
            ZERO,
            Due::Once,
            "a reading without load before and after each run",
            zero(data, full),
        ),
        criterion(
            "reversibility",
            REVERSIBILITY,
            Due::BelowTop,
            "falling loads (column `direction`); the creep test that may stand for them is not read here",
            reversal(data),
        ),
    ]
}

/// Judges what is there; names what is not.
pub(super) fn classify(data: &Data, rows: &[&Reading]) -> TransferClass {
    let mut loads: Vec<f64> = rows.iter().map(|row| row.load).collect();
    loads.sort_by(f64::total_cmp);
    loads.dedup();
    let from = FROM * loads.last().copied().unwrap_or(0.0);
    let criteria = criteria(data, rows, &loads);
    let mut lacks: Vec<String> = criteria
        .iter()
        .filter(|criterion| !criterion.covers(&loads, from))
        .map(|criterion| format!("{}: {}", criterion.name, criterion.lacks))
        .collect();
    if loads.len() < LEAST_LOADS {
        lacks.push(format!("{} loads where {LEAST_LOADS} are due", loads.len()));
    }
    let class = if lacks.is_empty() {
        best(&criteria, &loads)
    } else {
        None
    };
    TransferClass {
        criteria,
        lacks,
        class,
        from,
    }
}

/// Zero after a run less the one before it, share of the largest deflection; nothing unless every run has both.
fn zero(data: &Data, full: f64) -> Vec<Share> {
    let both = data.zeros.iter().filter(|zero| zero.count >= 2).count();
    if !data.zeroed || both < data.runs || full <= 0.0 {
        return Vec::new();
    }
    data.zeros
        .iter()
        .map(|zero| Share {
            load: None,
            share: (zero.last - zero.first) / full,
        })
        .collect()
}

/// The best class that every criterion holds from half of the largest load or below up to it, and from where.
fn best(criteria: &[Criterion], loads: &[f64]) -> Option<(&'static str, [f64; 2])> {
    let top = *loads.last()?;
    let holds = |class: usize, from: f64| {
        criteria.iter().all(|criterion| {
            let worst = criterion.worst(from).map_or(0.0, |worst| abs(worst.share));
            criterion.covers(loads, from) && worst <= criterion.limits[class]
        })
    };
    (0..CLASSES.len()).find_map(|class| {
        let from = loads.iter().find(|from| holds(class, **from))?;
        (*from <= FROM * top).then_some((CLASSES[class], [*from, top]))
    })
}
