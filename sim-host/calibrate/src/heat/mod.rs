//! Plates that warm and cool: temperatures over time, with what warmed them where it is known.
//!
//! Temperatures alone tell how fast the plates follow, capacity over cooling, and the room. With the power of friction they tell kelvins
//! a watt, which is what is left of slurry's share over the cooling. None of them tells capacity, cooling and slurry's share apart:
//! for that one of them must be known, the heat that the cooling carries off or the capacity.

mod sheet;
mod warming;

use crate::keys::{Chart, Found, Group, Key, KeysReport, Kind, known};
use crate::least_squares::{Estimate, fit};
use sheet::Shown;
use twinplate_sim::files::FileError;
use twinplate_sim::math::{exp, log, max, sqrt};
use twinplate_sim::model::Machine;
use warming::{Log, Warming};

const TABLE: &str = "thermal";
/// Half-width of a logarithm from which on it is no answer: a factor of three.
const WIDEST: f64 = 1.1;

/// What tells capacity and cooling apart.
enum Anchor {
    /// Logarithm of the cooling, by the heat that it carries off, as far as that scatters by itself; and how it falls with the room's
    /// temperature, 1/K.
    Carried(Estimate, f64),
    /// The capacity of a machine file.
    Capacity(f64),
    Nothing,
}

/// Least part of the largest warmth over the room at which the heat carried off is looked at: under it the room decides.
const WARM: f64 = 0.2;

/// Calibrates the plates' heat from the bytes of a sheet, or of a trace that `run --trace` wrote. The capacity of `machine`, where there
/// is one, tells cooling and slurry's share apart.
///
/// # Errors
/// All that is wrong with the sheet, each with its place.
pub fn calibrate(
    file: &str,
    bytes: &[u8],
    machine: Option<&Machine>,
) -> Result<KeysReport, Vec<FileError>> {
    let (data, shown, notes) = sheet::read(file, bytes, machine)?;
    let mut report = KeysReport {
        kind: Kind::Heat,
        file: file.to_owned(),
        subject: format!(
            "{} rows over {}",
            data.time.len(),
            shown.time(data.time.last().unwrap_or(&0.0) - data.time.first().unwrap_or(&0.0))
        ),
        keys: Vec::new(),
        findings: Vec::new(),
        contradicted: Vec::new(),
        groups: Vec::new(),
        charts: Vec::new(),
        notes,
    };
    let told = data.fitted().filter(|found| {
        let lag = found.log_lag();
        found.fit.freedom > 0 && lag.high - lag.value < WIDEST
    });
    let Some(found) = told else {
        report.findings.push(
            "how fast the plates follow cannot be told: too small a change, or too short a log; let them warm or cool for about capacity over cooling"
                .to_owned(),
        );
        for name in ["ambient", "capacity", "cooling", "slurry-share"] {
            keep(
                &mut report,
                &data,
                &shown,
                name,
                Found::untold("the temperatures do not tell it"),
            );
        }
        return Ok(report);
    };
    keep(&mut report, &data, &shown, "ambient", room(&data, &found));
    let lag = found.log_lag();
    report.findings.push(format!(
        "the plates follow in {} ({} to {}): capacity over cooling",
        shown.time(exp(lag.value)),
        shown.time(exp(lag.low)),
        shown.time(exp(lag.high))
    ));
    let anchor = anchor(&data, &found, machine);
    apart(&mut report, &data, &found, &anchor, &shown);
    drawn(&mut report, &data, &found, &shown);
    Ok(report)
}

/// Puts a key into the report.
fn keep(report: &mut KeysReport, data: &Log, shown: &Shown, name: &'static str, found: Found) {
    let unit = match name {
        "ambient" => shown.temperature,
        "capacity" => known("kJ/K"),
        "cooling" => known("W/K"),
        _ => known("%"),
    };
    report.keys.push(Key {
        table: TABLE,
        name,
        unit,
        readings: data.time.len(),
        found,
    });
}

/// Temperature of the room: measured, or what the plates cool to.
fn room(data: &Log, found: &Warming) -> Found {
    let measured = || {
        let all = data.ambient.as_ref()?;
        let law = fit(&vec![vec![1.0]; all.len()], all)?;
        Some(law.coefficient(0))
    };
    match found.room.map(|at| found.coefficient(at)).or_else(measured) {
        Some(estimate) => Found::plain(estimate),
        None => Found::untold("the room was not measured"),
    }
}

/// The cooling by the heat that it carries off, or the capacity that a file states.
fn anchor(data: &Log, found: &Warming, machine: Option<&Machine>) -> Anchor {
    if let Some(carried) = &data.carried {
        let warm: Vec<f64> = found
            .fitted
            .iter()
            .zip(&found.surroundings)
            .map(|(plate, room)| plate - room)
            .collect();
        let most = warm.iter().copied().fold(0.0, max);
        // Of both plates. Errors are a share of the heat.
        let rows: Vec<[f64; 2]> = carried
            .iter()
            .zip(&warm)
            .filter(|(carried, warm)| **carried > 0.0 && **warm > WARM * most)
            .map(|(carried, warm)| [log(carried / (2.0 * warm)), 1.0 / warm])
            .collect();
        let logs: Vec<f64> = rows.iter().map(|[log, _]| *log).collect();
        if let Some(law) = fit(&vec![vec![1.0]; rows.len()], &logs).filter(|law| law.freedom > 1) {
            let steep = rows.iter().map(|[_, steep]| steep).sum::<f64>() / rows.len() as f64;
            return Anchor::Carried(law.coefficient(0), steep);
        }
    }
    machine.map_or(Anchor::Nothing, |machine| {
        Anchor::Capacity(machine.thermal.capacity)
    })
}

/// The sum of two logarithms that know nothing of each other.
fn sum(a: &Estimate, b: &Estimate) -> Estimate {
    let deviation = sqrt(a.deviation * a.deviation + b.deviation * b.deviation);
    // The half-widths, each by its own freedom, as the deviations add.
    let half = |e: &Estimate| e.high - e.value;
    let wide = sqrt(half(a) * half(a) + half(b) * half(b));
    let value = a.value + b.value;
    Estimate {
        value,
        deviation,
        low: value - wide,
        high: value + wide,
    }
}

/// Capacity, cooling and slurry's share, as far as they can be told apart.
fn apart(report: &mut KeysReport, data: &Log, found: &Warming, anchor: &Anchor, shown: &Shown) {
    let lag = found.log_lag();
    let (capacity, cooling, passed) = match anchor {
        Anchor::Carried(scatter, steep) => {
            report.findings.push(
                "the heat that the cooling carries off tells capacity, cooling and slurry's share apart"
                    .to_owned(),
            );
            let of = |lag, gain| {
                let fitted = found.logarithm(lag, gain, *steep)?;
                Some(sum(&fitted, scatter))
            };
            let told = |logarithm: Option<Estimate>| {
                logarithm.map_or_else(
                    || Found::untold("the temperatures do not tell it"),
                    |logarithm| Found::plain(logarithm.mapped(exp)),
                )
            };
            (told(of(1.0, false)), told(of(0.0, false)), of(0.0, true))
        }
        Anchor::Capacity(known) => {
            report.findings.push(
                "capacity, cooling and slurry's share cannot be told apart by temperatures and power: cooling and share hang on the machine file's capacity, and are wrong by as much as that is"
                    .to_owned(),
            );
            let minus = Estimate {
                value: log(*known) - lag.value,
                deviation: lag.deviation,
                low: log(*known) - lag.high,
                high: log(*known) - lag.low,
            };
            let passed = found.logarithm(-1.0, true, 0.0).map(|gain| Estimate {
                value: gain.value + log(*known),
                low: gain.low + log(*known),
                high: gain.high + log(*known),
                ..gain
            });
            let why = "the machine file's own was taken as known";
            (Found::untold(why), Found::plain(minus.mapped(exp)), passed)
        }
        Anchor::Nothing => {
            report.findings.push(
                "capacity, cooling and slurry's share cannot be told apart: give --machine, whose capacity is then taken as known, or a column `carried` with the heat that the cooling water takes along (1 L/min warmed by 1 K is 70 W)"
                    .to_owned(),
            );
            let why = "only its ratio to the others is told";
            (Found::untold(why), Found::untold(why), None)
        }
    };
    if let Some(gain) = found.gain.map(|at| found.coefficient(at)) {
        report.findings.push(format!(
            "a watt of friction at a face warms its plate by {:.4} {} ({:.4} to {:.4}) in the end",
            shown.difference(gain.value),
            shown.degree(),
            shown.difference(gain.low),
            shown.difference(gain.high)
        ));
        if gain.high <= 0.0 {
            report
                .contradicted
                .push("the plates cool while friction warms them".to_owned());
        }
    }
    let share = share(report, data, found, anchor, passed);
    keep(report, data, shown, "capacity", capacity);
    keep(report, data, shown, "cooling", cooling);
    keep(report, data, shown, "slurry-share", share);
}

/// Slurry's share from the logarithm of what passes into the plates.
fn share(
    report: &mut KeysReport,
    data: &Log,
    found: &Warming,
    anchor: &Anchor,
    passed: Option<Estimate>,
) -> Found {
    if data.power.is_none() || found.gain.is_none() {
        return Found::untold("no column `power`");
    }
    if matches!(anchor, Anchor::Nothing) {
        return Found::untold("only its ratio to the others is told");
    }
    let Some(passed) = passed.filter(|e| e.high - e.value < WIDEST) else {
        return Found::untold("the temperatures do not tell it");
    };
    let share = Estimate {
        value: 1.0 - exp(passed.value),
        deviation: exp(passed.value) * passed.deviation,
        low: 1.0 - exp(passed.high),
        high: 1.0 - exp(passed.low),
    };
    if share.high < 0.0 {
        report.contradicted.push(
            "the plates take up more heat than friction makes: the power is too low, or the capacity too high"
                .to_owned(),
        );
    }
    if share.value < 0.0 {
        return Found::untold("nothing is left for the slurry");
    }
    Found::plain(share)
}

fn drawn(report: &mut KeysReport, data: &Log, found: &Warming, shown: &Shown) {
    let time: Vec<f64> = data.time.iter().map(|t| shown.in_unit(*t)).collect();
    let pairs = |values: &[f64], told: &dyn Fn(f64) -> f64| -> Vec<[f64; 2]> {
        let both = time.iter().zip(values);
        both.map(|(x, y)| [*x, told(*y)]).collect()
    };
    let warm = |celsius: f64| shown.warm(celsius);
    let symbol = shown.temperature.symbol;
    report.charts.push(Chart {
        title: "Mean temperature of the plates".to_owned(),
        axes: [symbol.to_owned(), format!("time, {}", shown.symbol())],
        points: pairs(&data.plate, &warm),
        lines: vec![pairs(&found.fitted, &warm)],
    });
    report.charts.push(Chart {
        title: "What is left".to_owned(),
        axes: [
            shown.degree().to_owned(),
            format!("time, {}", shown.symbol()),
        ],
        points: pairs(&found.fit.residuals, &|left| shown.difference(left)),
        lines: vec![vec![
            [time.first().copied().unwrap_or(0.0), 0.0],
            [time.last().copied().unwrap_or(1.0), 0.0],
        ]],
    });
    report.findings.push(format!(
        "what is left of the temperatures scatters by {:.3} {}; neighbours hang together so that {:.0} rows count for {:.0}",
        shown.difference(found.fit.deviation()),
        shown.degree(),
        data.time.len() as f64,
        found.freedom
    ));
    report.groups.push(Group {
        name: "temperatures",
        rows: found.fit.rows(&data.lines),
        values: data
            .plate
            .iter()
            .zip(&found.fitted)
            .map(|(measured, fitted)| [*measured, *fitted].map(warm))
            .collect(),
        value: symbol.to_owned(),
        unit: shown.degree(),
        size: shown.temperature.numerator / shown.temperature.denominator,
        coefficients: found.fit.coefficients.len(),
    });
}
