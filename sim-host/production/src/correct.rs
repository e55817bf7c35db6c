//! The next batch: how long, or at what load, the step that cuts must go on, so that the parts come to size.

use crate::capability::{Capability, Group, Refused, capability};
use crate::drift::{Drift, Outlier, drift, outliers};
use crate::filter::{Fit, Series, estimate};
use crate::rates::{Cut, Rates, cut, mean_variance};
use crate::record::{Batch, Done, Record, read};
use crate::trend::{Due, Trend, due, form, told};
use twinplate_calibrate::least_squares::Estimate;
use twinplate_check::predict::predict;
use twinplate_check::{Case, Severity, static_check};
use twinplate_sim::bench::Job;
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::math::{abs, max, round, sqrt};
use twinplate_sim::model::{End, Recipe, Shown};

/// What is corrected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// The time of the step.
    Time,
    /// Its pressure, and so its load.
    Load,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked<'a> {
    /// Name of the step that cuts; the one that takes off most unless given.
    pub step: Option<&'a str>,
    /// What is corrected.
    pub by: By,
}

/// One batch of the record, and what the filter makes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// As it was written down.
    pub batch: Batch,
    /// Removal rate, both faces together, at the step's own load, m/s.
    pub rate: Option<f64>,
    /// The filtered rate after it, with its standard deviation, m/s.
    pub filtered: Option<[f64; 2]>,
    /// What was known of the rate before it, with the deviation that a measured one would have from that, m/s.
    pub expected: Option<[f64; 2]>,
}

/// The record is off by more than chance in a batch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Off {
    /// The batch, by its place.
    pub outlier: Outlier,
    /// The setting for the next batch if it is left out.
    pub without: Option<f64>,
}

/// The next batch.
#[derive(Clone, Debug, PartialEq)]
pub struct Next {
    /// Its name, where the record has a line for it.
    pub name: String,
    /// What is done before it.
    pub done: Done,
    /// Mean thickness coming in, m.
    pub incoming: Estimate,
    /// That was measured, and is not the mean of the record.
    pub measured: bool,
    /// The setting in the recipe: s, or Pa.
    pub old: f64,
    /// The setting that brings the parts to size.
    pub new: Estimate,
    /// The load that goes with it, N; the recipe's own where the time is corrected.
    pub load: f64,
    /// Mean thickness coming out with it as it will be measured, m, of all that is uncertain.
    pub size: Estimate,
    /// The same with the recipe's own setting.
    pub unchanged: f64,
}

/// How the rate falls with the work that the slurry has done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slurry {
    /// Change of the rate for each unit of friction work per area of a face since the slurry was changed, m/s by J/m².
    pub slope: Estimate,
    /// The fall is told from none.
    pub told: bool,
    /// Friction work per area of a face after which half of the fresh rate is gone, J/m², and its interval; without end where no fall is
    /// told.
    pub half_life: [f64; 3],
    /// What the recipe says of its grains, J/m².
    pub breakdown: f64,
    /// Friction work per area in one batch, J/m².
    pub a_batch: f64,
    /// Rate at which it is due, m/s.
    pub least: f64,
    /// The step's longest time decides that, not half of the fresh rate.
    pub by_longest: bool,
    /// When.
    pub due: Due,
}

/// Everything that is said of a record.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// File of the record.
    pub file: String,
    /// The recipe's id.
    pub recipe: String,
    /// Place and name of the step that is corrected.
    pub step: (usize, String),
    /// What is corrected.
    pub by: By,
    /// The record.
    pub record: Record,
    /// Its batches.
    pub rows: Vec<Row>,
    /// Batches whose rate is known.
    pub count: usize,
    /// Target of the mean thickness, m, and what it may be off.
    pub target: [f64; 2],
    /// Removal rate of the next batch, both faces together, m/s.
    pub rate: Estimate,
    /// Deviations of the walk, of the scatter of a batch and of a step where something was done, shares of the rate.
    pub deviations: [f64; 3],
    /// Share of what a batch is off by that the rate follows.
    pub gain: f64,
    /// Whether the rate drifts between what was done.
    pub drift: Option<Drift>,
    /// Batches that are off.
    pub off: Vec<Off>,
    /// The next batch.
    pub next: Next,
    /// Why its setting cannot be: beyond what the recipe and its machine bear.
    pub beyond: Vec<String>,
    /// The slurry, where it was changed or falls.
    pub slurry: Option<Slurry>,
    /// Form of parts and plates on their way to a limit.
    pub forms: Vec<Trend>,
    /// Performance and capability of the size, or why nothing is claimed.
    pub capability: Result<Capability, Refused>,
    /// Units of what is the recipe's.
    pub shown: Shown,
}

/// The next batch alone, and the removal rate that it is worked out with.
///
/// # Errors
/// A recipe whose size no time or load makes, a record that tells no removal.
pub fn next_batch(
    file: &str,
    record: &Record,
    set: &Set,
    asked: &Asked<'_>,
) -> Result<(Next, Estimate), Vec<FileError>> {
    let cut = cut(set, asked.step)?;
    let rates = Rates::new(record, &cut, set);
    let (fit, ..) = rates.fit().ok_or_else(|| untold(file))?;
    Ok(next(record, &cut, set, &rates, &fit, asked.by))
}

fn untold(file: &str) -> Vec<FileError> {
    vec![FileError::whole(
        "inconsistent",
        file,
        "the removal of this record cannot be told".to_owned(),
        "batches whose thickness fell in a time",
    )]
}

/// Corrects.
///
/// # Errors
/// Everything that is wrong with the record, or a recipe whose size no time or load makes.
pub fn correct(
    file: &str,
    bytes: &[u8],
    set: &Set,
    asked: &Asked<'_>,
) -> Result<Report, Vec<FileError>> {
    let cut = cut(set, asked.step);
    let record = read(file, bytes);
    let (cut, record) = match (cut, record) {
        (Ok(cut), Ok(record)) => (cut, record),
        (cut, record) => {
            let mut errors = cut.err().unwrap_or_default();
            errors.extend(record.err().unwrap_or_default());
            return Err(errors);
        }
    };
    let rates = Rates::new(&record, &cut, set);
    let (fit, series, fall) = rates.fit().ok_or_else(|| untold(file))?;
    let (next, rate) = next(&record, &cut, set, &rates, &fit, asked.by);
    let off = outliers(&series)
        .into_iter()
        .map(|outlier| Off {
            outlier,
            without: without(&rates, outlier.at, &record, &cut, set, asked.by),
        })
        .collect();
    let count = series.values.iter().flatten().count();
    let share = |variance: f64, per: f64| sqrt(variance * per) / rate.value;
    let usual = cut.time + cut.beside;
    let mean_weight = 1.0 / (usual * usual);
    let batch = &set.batch.value;
    let target = [batch.target, batch.tolerance];
    Ok(Report {
        file: file.to_owned(),
        recipe: set.recipe.value.id.clone(),
        shown: set.recipe.value.shown,
        by: asked.by,
        rows: rows(&record, &rates, &series, &fit),
        count,
        target,
        deviations: [
            share(fit.variances.walk, 1.0),
            share(fit.variances.scatter, mean_weight),
            share(fit.variances.step, 1.0),
        ],
        gain: fit.gain(mean_weight, rates.usual_known()),
        drift: drift(&series, fit.variances.scatter),
        off,
        slurry: slurry(&rates, &cut, set, &fall, next.incoming.value, &record),
        forms: forms(&record, set),
        capability: size_capability(&record, set),
        beyond: beyond(
            set,
            &cut,
            asked.by,
            rounded(next.new.value, asked.by),
            rate.value / cut.planned,
        ),
        rate,
        next,
        step: (cut.place, cut.name),
        record,
    })
}

/// Rate of the next batch and what it needs.
fn next(
    record: &Record,
    cut: &Cut,
    set: &Set,
    rates: &Rates,
    fit: &Fit,
    by: By,
) -> (Next, Estimate) {
    let pending = record.next.clone().unwrap_or_default();
    let done = pending.done;
    let since = if done.slurry { 0.0 } else { rates.done };
    let along = since + 0.5 * rates.a_batch;
    let [value, variance] = fit.ahead(1.0, done.any(), along);
    let rate = estimate(max(value, 1e-6 * rates.scale), sqrt(variance), fit.freedom);
    let (incoming, measured) = incoming(record, &pending, set);
    let batch = &set.batch.value;
    let needed = (incoming.value - batch.target) / rate.value;
    let usual = cut.time + cut.beside;
    // The time in which the batch's incoming thickness, the rate and the scatter would put it elsewhere.
    let share = sqrt(
        rate.deviation * rate.deviation / (rate.value * rate.value)
            + square(incoming.deviation / (incoming.value - batch.target)),
    );
    let (old, per) = match by {
        By::Time => (cut.time, 1.0),
        By::Load => (cut.pressure, cut.pressure / cut.time),
    };
    let new = estimate(
        (needed - cut.beside) * per,
        abs(needed) * share * per,
        fit.freedom,
    );
    let size = square(needed * rate.deviation)
        + incoming.deviation * incoming.deviation
        + fit.variances.scatter
        + rates.of_mean;
    let load = match by {
        By::Time => cut.load,
        By::Load => cut.load * new.value / cut.pressure,
    };
    let next = Next {
        name: pending.name,
        done,
        measured,
        old,
        new,
        load,
        size: estimate(batch.target, sqrt(size), fit.freedom),
        unchanged: incoming.value - rate.value * usual,
        incoming,
    };
    (next, rate)
}

fn square(x: f64) -> f64 {
    x * x
}

/// Mean thickness with which the next batch comes in: as measured, or as those before it.
fn incoming(record: &Record, pending: &Batch, set: &Set) -> (Estimate, bool) {
    if let Some(before) = pending.before {
        let deviation = sqrt(mean_variance(pending, pending.before_sd, set));
        return (estimate(before, deviation, 1e3), true);
    }
    let all: Vec<f64> = record.batches.iter().filter_map(|b| b.before).collect();
    let n = all.len() as f64;
    let mean = all.iter().sum::<f64>() / n;
    let squares: f64 = all.iter().map(|x| square(x - mean)).sum();
    // That of a further one: its own scatter, and that of the mean.
    let deviation = sqrt(squares / (n - 1.0) * (1.0 + 1.0 / n));
    (estimate(mean, deviation, n - 1.0), false)
}

/// A setting as it is written: tenths of a second, or ten pascals.
#[must_use]
pub fn rounded(setting: f64, by: By) -> f64 {
    match by {
        By::Time => round(setting * 10.0) / 10.0,
        By::Load => round(setting / 10.0) * 10.0,
    }
}

/// The recipe with a setting in one of its steps.
fn with_setting(recipe: &Recipe, place: usize, by: By, setting: f64) -> Recipe {
    let mut changed = recipe.clone();
    if let Some(step) = changed.steps.get_mut(place) {
        match by {
            By::Time => step.end = End::Time { seconds: setting },
            By::Load => step.pressure = setting,
        }
    }
    changed
}

/// What the recipe, its machine and its batch do not bear of a setting. They are judged with the rate that was found, `share` of the
/// planned one: the recipe's own coefficient may be out.
fn beyond(set: &Set, cut: &Cut, by: By, setting: f64, share: f64) -> Vec<String> {
    if setting <= 0.0 {
        return vec![
            "what is to come off is less than what ramps and the other steps remove".to_owned(),
        ];
    }
    if by == By::Time && setting >= cut.longest {
        return vec![format!(
            "it is longer than the step's longest time, {:.0} s",
            cut.longest
        )];
    }
    let mut recipe = with_setting(&set.recipe.value, cut.place, by, setting);
    let case = Case::of(set);
    let consumables = &mut recipe.consumables;
    match &mut consumables.removal {
        Some(removal) => *removal *= share,
        None => {
            consumables.removal = Some(case.abrasion().removal * share);
            consumables.removal_rate = None;
            consumables.measured_at = None;
        }
    }
    let judged = Case {
        recipe: &recipe,
        ..case
    };
    let mut told: Vec<String> = errors(&judged);
    let before = errors(&case);
    told.retain(|found| !before.contains(found));
    if told.is_empty()
        && let Err(error) = Job::new(set.machine.value.clone(), set.batch.value.clone(), recipe)
    {
        told.push(error.to_string());
    }
    told
}

/// What `check` calls errors before anything is run.
fn errors(case: &Case<'_>) -> Vec<String> {
    static_check::check(case, &predict(case, 1.0))
        .into_iter()
        .filter(|finding| finding.severity == Severity::Error)
        .map(|finding| finding.message)
        .collect()
}

/// The setting if a batch is left out.
fn without(rates: &Rates, at: usize, record: &Record, cut: &Cut, set: &Set, by: By) -> Option<f64> {
    let mut series = rates.series.clone();
    series.values[at] = None;
    let fewer = Rates {
        series,
        times: rates.times.clone(),
        work: rates.work.clone(),
        ..*rates
    };
    let (fit, _, _) = fewer.fit()?;
    Some(next(record, cut, set, &fewer, &fit, by).0.new.value)
}

fn rows(record: &Record, rates: &Rates, series: &Series, fit: &Fit) -> Vec<Row> {
    let deviation = |[value, variance]: [f64; 2]| [value, sqrt(max(variance, 0.0))];
    record
        .batches
        .iter()
        .enumerate()
        .map(|(at, batch)| Row {
            batch: batch.clone(),
            rate: series.values[at].filter(|_| rates.times[at].is_some()),
            filtered: fit.after(at, series).map(deviation),
            expected: fit.before(at, series).map(|[value, variance]| {
                deviation([value, variance + series.error(at, fit.variances.scatter)])
            }),
        })
        .collect()
}

/// What the record says of the slurry.
fn slurry(
    rates: &Rates,
    cut: &Cut,
    set: &Set,
    fall: &Option<Fit>,
    incoming: f64,
    record: &Record,
) -> Option<Slurry> {
    let changed = record.batches.iter().any(|batch| batch.done.slurry);
    let fit = fall.as_ref()?;
    let slope = fit.slope?;
    let falls = slope.value < 0.0 && told(&slope, fit.freedom);
    if !falls && !changed {
        return None;
    }
    let [fresh, _] = fit.ahead(1.0, false, 0.0);
    let half = |slope: f64| {
        if slope < 0.0 {
            0.5 * fresh / -slope
        } else {
            f64::INFINITY
        }
    };
    // With the longest time a tenth shorter: its own ramp is in it, and a batch may come in thick.
    let room = 0.9 * cut.longest + cut.beside;
    let by_longest = (incoming - set.batch.value.target) / room;
    let least = max(by_longest, 0.5 * fresh);
    Some(Slurry {
        slope,
        told: falls,
        half_life: [half(slope.low), half(slope.value), half(slope.high)],
        breakdown: set.recipe.value.consumables.breakdown_work,
        a_batch: rates.a_batch,
        least,
        by_longest: by_longest > 0.5 * fresh,
        due: due(
            fit,
            rates.done + 0.5 * rates.a_batch,
            rates.a_batch,
            least,
            -1.0,
        ),
    })
}

/// What is on its way to a limit: flatness of the parts to the batch's target, form of the plates to where the machine has them conditioned.
fn forms(record: &Record, set: &Set) -> Vec<Trend> {
    let batches = &record.batches;
    let tools = set.machine.value.conditioning.as_ref();
    let flatness = set.batch.value.flatness;
    let flat = form("flatness", batches, |b| b.flatness, flatness, false);
    let plate = |what, face: usize| {
        tools.and_then(|tools| form(what, batches, |b| b.plates[face], tools.at, true))
    };
    let [lower, upper] = [plate("form, lower plate", 0), plate("form, upper plate", 1)];
    flat.into_iter().chain(lower).chain(upper).collect()
}

/// Capability of the size against the batch's target.
fn size_capability(record: &Record, set: &Set) -> Result<Capability, Refused> {
    let batch = &set.batch.value;
    let groups: Vec<Group> = record
        .batches
        .iter()
        .filter_map(|made| {
            Some(Group {
                mean: made.after?,
                sd: made
                    .after_sd
                    .filter(|_| made.parts.is_none_or(|parts| parts > 1.0)),
                parts: made.parts.unwrap_or_else(|| f64::from(batch.parts)),
            })
        })
        .collect();
    let gauges: Vec<f64> = record.batches.iter().filter_map(|b| b.gauge).collect();
    let gauge = (!gauges.is_empty())
        .then(|| sqrt(gauges.iter().map(|sd| sd * sd).sum::<f64>() / gauges.len() as f64));
    let limits = [
        batch.target - batch.tolerance,
        batch.target + batch.tolerance,
    ];
    capability(&groups, limits, gauge)
}
