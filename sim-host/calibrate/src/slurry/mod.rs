//! The slurry system from stopwatch and bucket: pump, line, film, wetting, settling and stirring.
//!
//! A row for each reading; `what` says which. All but `fill`, `keeps` and `dries` are times or flows whose errors are taken for a share
//! of the value: the geometric mean, and Student's t of the logarithms.

mod sheet;

use crate::keys::{Chart, Found, Group, Key, KeysReport, Kind};
use crate::least_squares::{Estimate, Fit, fit};
use sheet::{Reading, Units, What, read};
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::Unit;
use twinplate_sim::math::{abs, exp, log, max, min, sqrt};
use twinplate_sim::plant::{FILM_FULL, drying};

/// Table of the machine file.
const TABLE: &str = "slurry";
/// Exponent by which the flow may differ from proportion to the pump's setting. Judgement: 3 % of flow over a third of the range.
const PROPORTION: f64 = 0.1;
/// Least ratio of largest to smallest flow from which a line's filling tells volume and lateness apart.
const VARIED: f64 = 1.1;

/// Calibrates a slurry system from the bytes of a sheet.
///
/// # Errors
/// All that is wrong with the sheet, each with its place.
pub fn calibrate(file: &str, bytes: &[u8]) -> Result<KeysReport, Vec<FileError>> {
    let (readings, units) = read(file, bytes)?;
    let of = |what: What| -> Vec<Reading> {
        let all = readings.iter().copied();
        all.filter(|reading| reading.what == what).collect()
    };
    let mut report = KeysReport {
        kind: Kind::Slurry,
        file: file.to_owned(),
        subject: format!("{} readings with stopwatch and bucket", readings.len()),
        keys: Vec::new(),
        findings: Vec::new(),
        contradicted: Vec::new(),
        groups: Vec::new(),
        charts: Vec::new(),
        notes: Vec::new(),
    };
    pump(&mut report, &of(What::Flow), &units);
    least(&mut report, &of(What::Keeps), &of(What::Dries), &units);
    line(&mut report, &of(What::Fill), &units);
    let time = units.time;
    mean(
        &mut report,
        &of(What::Rise),
        "line-lag",
        "lag of the line",
        time,
        |r| r.time,
    );
    let rows = of(What::Film);
    less_lag(
        &mut report,
        &rows,
        ("film-life", "life of the film"),
        time,
        lived,
    );
    film(&mut report, rows.len());
    less_lag(
        &mut report,
        &of(What::Wet),
        ("wet-time", "wetting"),
        time,
        wetted,
    );
    if !of(What::Wet).is_empty() {
        report.notes.push(format!(
            "wetting: from the first slurry on a dry gap until it runs smoothly, which the model has at {FILM_FULL} of full wetness"
        ));
    }
    mean(
        &mut report,
        &of(What::Settle),
        "settle-time",
        "settling",
        time,
        |r| r.time / -log(r.share),
    );
    mean(
        &mut report,
        &of(What::Stir),
        "stir-time",
        "stirring",
        time,
        |r| r.time / -log(1.0 - r.share),
    );
    mean(
        &mut report,
        &of(What::Rinse),
        "rinse-flow",
        "rinse water",
        units.flow,
        |r| r.volume / r.time,
    );
    Ok(report)
}

/// A key of times from which the lag of the line's flow is taken, with what the lag's own interval does to it.
fn less_lag(
    report: &mut KeysReport,
    rows: &[Reading],
    (name, words): (&'static str, &'static str),
    unit: &'static Unit,
    of: impl Fn(&Reading, f64) -> f64,
) {
    let lag = report
        .keys
        .iter()
        .find(|key| key.name == "line-lag")
        .and_then(Key::told);
    let used = lag.map_or(0.0, |lag| lag.value);
    mean(report, rows, name, words, unit, |r| of(r, used));
    if rows.is_empty() {
        return;
    }
    let Some(lag) = lag else {
        report.notes.push(format!(
            "{words}: no rows `rise`, so the flow is taken to come and go at once, and the time is longer by about the line's lag"
        ));
        return;
    };
    let middle = |lag: f64| {
        let all = rows.iter().map(|row| log(of(row, lag)));
        all.sum::<f64>() / rows.len() as f64
    };
    let more = abs(middle(lag.high) - middle(lag.low)) / 2.0;
    if let Some(Found::Told { estimate, written }) =
        report.keys.last_mut().map(|key| &mut key.found)
    {
        let own = 0.5 * log(estimate.high / estimate.low);
        let wide = exp(sqrt(own * own + more * more));
        if wide.is_finite() {
            estimate.low = estimate.value / wide;
            estimate.high = estimate.value * wide;
        }
        *written = estimate.value;
    }
}

/// Least part of a time that is left when the line's lag is taken from it.
const LEFT: f64 = 0.05;

/// Time constant of wetting: the gap carries at [`FILM_FULL`] of full wetness, and until the line's flow has risen it is wetted more slowly.
fn wetted(r: &Reading, lag: f64) -> f64 {
    let risen = if lag > 0.0 {
        r.time - lag * (1.0 - exp(-r.time / lag))
    } else {
        r.time
    };
    max(risen, LEFT * r.time) * r.pump / -log(1.0 - FILM_FULL)
}

/// Life of a film at full speed and resting load: what is left of the flow under the least one keeps it for the line's lag.
fn lived(r: &Reading, lag: f64) -> f64 {
    let [speed, load] = drying(r.used[0], r.used[1]);
    max(r.time - lag, LEFT * r.time) * speed * load
}

/// Volume over time against the pump's setting.
fn pump(report: &mut KeysReport, rows: &[Reading], units: &Units) {
    mean(report, rows, "flow-max", "pump", units.flow, |r| {
        r.volume / r.time / r.pump
    });
    if rows.is_empty() {
        return;
    }
    let show = |si: f64| si * units.flow.denominator / units.flow.numerator;
    let points = rows
        .iter()
        .map(|r| [100.0 * r.pump, show(r.volume / r.time)])
        .collect();
    let most = report.keys.last().and_then(Key::told);
    let line = most.map(|found| vec![[0.0, 0.0], [100.0, show(found.value)]]);
    report.charts.push(Chart {
        title: "Flow over the pump's setting".to_owned(),
        axes: [units.flow.symbol.to_owned(), "pump, %".to_owned()],
        points,
        lines: line.into_iter().collect(),
    });
    if ratio(rows, |r| r.pump) < VARIED {
        let note = "the pump was tried at one setting: that its flow is in proportion is taken for granted";
        report.notes.push(note.to_owned());
        return;
    }
    let logs: Vec<Vec<f64>> = rows.iter().map(|r| vec![1.0, log(r.pump)]).collect();
    let flows: Vec<f64> = rows.iter().map(|r| log(r.volume / r.time)).collect();
    let Some(law) = fit(&logs, &flows).filter(|law| law.freedom > 0) else {
        return;
    };
    let exponent = law.coefficient(1);
    report.findings.push(format!(
        "flow goes as the pump's setting to the power {:.3} ({:.3} to {:.3}); in proportion is 1",
        exponent.value, exponent.low, exponent.high
    ));
    if (exponent.low > 1.0 || exponent.high < 1.0) && abs(exponent.value - 1.0) > PROPORTION {
        report.contradicted.push(
            "the flow is not in proportion to the pump's setting, as the machine file has it"
                .to_owned(),
        );
    }
}

/// The least flow that keeps the gap wet: between the highest that let it dry and the lowest that did not.
fn least(report: &mut KeysReport, keeps: &[Reading], dries: &[Reading], units: &Units) {
    let lowest = keeps.iter().map(|r| r.flow).fold(f64::INFINITY, min);
    let highest = dries.iter().map(|r| r.flow).fold(0.0, max);
    let found = match (keeps.is_empty(), dries.is_empty()) {
        (true, true) => Found::untold("no rows `keeps` and `dries`"),
        (false, true) => Found::untold("no flow was tried that let the gap dry"),
        (true, false) => Found::untold("no flow was tried that kept the gap wet"),
        (false, false) => {
            let (low, high) = (min(lowest, highest), max(lowest, highest));
            if lowest <= highest {
                report.findings.push(
                    "a flow that let the gap dry is no less than one that kept it: the least flow is somewhere between both"
                        .to_owned(),
                );
            }
            let estimate = Estimate {
                value: 0.5 * (low + high),
                // Anywhere between.
                deviation: (high - low) / sqrt(12.0),
                low,
                high,
            };
            Found::Told {
                estimate,
                written: high,
            }
        }
    };
    report.keys.push(Key {
        table: TABLE,
        name: "flow-min",
        unit: units.flow,
        readings: keeps.len() + dries.len(),
        found,
    });
}

/// Time to fill the line against what flows: a volume, and by how much the watch is late.
fn line(report: &mut KeysReport, rows: &[Reading], units: &Units) {
    const NAME: &str = "line-volume";
    if rows.len() < 3 || ratio(rows, |r| r.flow) < VARIED {
        mean(report, rows, NAME, "filling", units.volume, |r| {
            r.time * r.flow
        });
        if !rows.is_empty() {
            report.notes.push(
                "the line was filled at one flow: by how much the watch was late cannot be told from its volume"
                    .to_owned(),
            );
        }
        return;
    }
    let regressors: Vec<Vec<f64>> = rows.iter().map(|r| vec![1.0, 1.0 / r.flow]).collect();
    let times: Vec<f64> = rows.iter().map(|r| r.time).collect();
    let law = fit(&regressors, &times).filter(|law| law.freedom > 0);
    let found = law.as_ref().map_or_else(
        || Found::untold("too few readings"),
        |law| positive(law.coefficient(1)),
    );
    if let Some(law) = &law {
        let late = law.coefficient(0);
        report.findings.push(format!(
            "the line fills in its volume over the flow and {:.2} s ({:.2} to {:.2}): the watch's lateness and the last of the flow's rise",
            late.value, late.low, late.high
        ));
        let show = |si: f64| si * units.flow.denominator / units.flow.numerator;
        let time = |si: f64| si * units.time.denominator / units.time.numerator;
        let ends = [
            rows.iter().map(|r| r.flow).fold(f64::INFINITY, min),
            rows.iter().map(|r| r.flow).fold(0.0, max),
        ];
        report.charts.push(Chart {
            title: "Time to fill the line over the flow".to_owned(),
            axes: [
                units.time.symbol.to_owned(),
                format!("flow, {}", units.flow.symbol),
            ],
            points: rows.iter().map(|r| [show(r.flow), time(r.time)]).collect(),
            lines: vec![
                (0..=40)
                    .map(|n| {
                        let flow = ends[0] + (ends[1] - ends[0]) * f64::from(n) / 40.0;
                        let fitted = law.coefficients[0] + law.coefficients[1] / flow;
                        [show(flow), time(fitted)]
                    })
                    .collect(),
            ],
        });
        report.groups.push(group(
            "filling",
            rows,
            law,
            &times,
            time,
            units.time.symbol,
            (
                units.time.symbol,
                units.time.numerator / units.time.denominator,
            ),
        ));
    }
    report.keys.push(Key {
        table: TABLE,
        name: NAME,
        unit: units.volume,
        readings: rows.len(),
        found,
    });
}

/// A key that the rows give each by themselves.
fn mean(
    report: &mut KeysReport,
    rows: &[Reading],
    name: &'static str,
    words: &'static str,
    unit: &'static Unit,
    value: impl Fn(&Reading) -> f64,
) {
    let logs: Vec<f64> = rows.iter().map(|row| log(value(row))).collect();
    let law = fit(&vec![vec![1.0]; rows.len()], &logs);
    let found = match &law {
        None => Found::untold("no reading"),
        Some(law) if law.freedom == 0 => {
            Found::untold("one reading has no interval: measure again")
        }
        Some(law) => Found::plain(law.coefficient(0).mapped(exp)),
    };
    report.keys.push(Key {
        table: TABLE,
        name,
        unit,
        readings: rows.len(),
        found,
    });
    if let Some(law) = law.filter(|law| law.freedom > 0) {
        if law.squares <= 0.0 {
            report.findings.push(format!(
                "{words}: all readings are alike; the interval is no narrower than the watch and the bucket read"
            ));
        }
        let show = |x: f64| exp(x) * unit.denominator / unit.numerator;
        report.groups.push(group(
            words,
            rows,
            &law,
            &logs,
            show,
            unit.symbol,
            ("%", 1.0),
        ));
    }
}

/// The film's life is written with its cautious end, and what the next one may be is told.
fn film(report: &mut KeysReport, count: usize) {
    let Some(key) = report.keys.iter_mut().find(|key| key.name == "film-life") else {
        return;
    };
    let Found::Told { estimate, written } = &mut key.found else {
        return;
    };
    *written = estimate.low;
    // A single one scatters by root n more than the mean of n.
    let wide = log(estimate.value / estimate.low) * sqrt(1.0 + count as f64);
    let next = exp(log(estimate.value) - wide) * key.unit.denominator / key.unit.numerator;
    let shown = format!("{next:.1} {}", key.unit.symbol);
    report.findings.push(format!(
        "of 40 films one may last no longer than {shown}; the lower end of the interval is written, because the first dry sign comes late"
    ));
    report.notes.push(
        "film life: from when the flow falls under flow-min to the first dry sign, carried over to full speed and resting load where `speed` and `load` say how it was measured"
            .to_owned(),
    );
}

/// An estimate that means something only above zero.
fn positive(estimate: Estimate) -> Found {
    if estimate.low > 0.0 {
        Found::plain(estimate)
    } else {
        Found::untold("the readings scatter so much that nothing is left of it")
    }
}

fn ratio(rows: &[Reading], value: impl Fn(&Reading) -> f64) -> f64 {
    let low = rows.iter().map(&value).fold(f64::INFINITY, min);
    rows.iter().map(&value).fold(0.0, max) / low
}

#[allow(clippy::too_many_arguments)] // what a group is made of
fn group(
    name: &'static str,
    rows: &[Reading],
    law: &Fit,
    values: &[f64],
    show: impl Fn(f64) -> f64,
    value: &str,
    (unit, size): (&'static str, f64),
) -> Group {
    let lines: Vec<usize> = rows.iter().map(|row| row.line).collect();
    Group {
        name,
        rows: law.rows(&lines),
        values: values
            .iter()
            .zip(&law.residuals)
            .map(|(value, left)| [show(*value), show(value - left)])
            .collect(),
        value: value.to_owned(),
        unit,
        size,
        coefficients: law.coefficients.len(),
    }
}
