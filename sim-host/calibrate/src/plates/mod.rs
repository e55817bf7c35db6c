//! Wear and form of the plates: a straightedge over both plates, a profile of them, or the faces of parts, from batch to batch.
//!
//! Parts press where plates come together, so what both plates have in common levels itself within the parts' elastic sink and says
//! little of wear. What one plate gains on the other nothing levels: it grows by the same from batch to batch, in proportion to the wear
//! coefficient and to the stock that was lapped off. So the wear is told by the difference of both plates, where both were measured.
//!
//! How it grows is computed as the batches go: where parts press changes while plates run in on each other, and that depends on the wear
//! itself. So the computed path is fitted, the wear of it put in, and again, until it stays.

mod path;
mod sheet;

use crate::keys::{Chart, Found, Group, Key, KeysReport, Kind, known};
use crate::least_squares::{Estimate, Fit, fit};
use path::Path;
use sheet::{Data, Point, read};
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::math::{abs, max, min, sqrt};
use twinplate_sim::model::Machine;

const TABLE: &str = "plates";
/// Least part of what a batch does to either plate by which the plates must differ.
const APART: f64 = 0.1;

/// Calibrates the plates from the bytes of a sheet. `set` says what a batch wears; without it wear cannot be told, and forms read off
/// parts neither.
///
/// # Errors
/// All that is wrong with the sheet, each with its place.
pub fn calibrate(
    file: &str,
    bytes: &[u8],
    machine: &Machine,
    set: Option<&Set>,
) -> Result<KeysReport, Vec<FileError>> {
    let data = read(file, bytes, machine, set)?;
    let states = states(&data.points);
    let mut report = KeysReport {
        kind: Kind::Plates,
        file: file.to_owned(),
        subject: format!(
            "{} readings of the plates' form, at {states} times",
            data.points.len()
        ),
        keys: Vec::new(),
        findings: Vec::new(),
        contradicted: Vec::new(),
        groups: Vec::new(),
        charts: data.drawn.clone(),
        notes: data.notes.clone(),
    };
    let which = which(&data.points);
    let plain = (states > 1).then(|| drift(&data.points, which)).flatten();
    let path = set
        .filter(|_| plain.is_some())
        .and_then(|set| Path::of(&data, which, set));
    let worn = wear(&mut report, &path, plain.is_some(), which, set);
    keep(&mut report, &data, "wear", worn);
    let line = match (&path, plain) {
        (Some(path), Some(_)) => Some((path.law.clone(), path.last())),
        (_, plain) => plain.map(|law| (law, now(&data.points))),
    };
    for (face, name) in ["form-lower", "form-upper"].into_iter().enumerate() {
        let found = form(&data, line.as_ref(), which, face);
        keep(&mut report, &data, name, found);
    }
    if let Some((law, _)) = &line {
        told(&mut report, &data, law, which);
    }
    Ok(report)
}

/// Batches until the last reading.
fn now(points: &[Point]) -> f64 {
    points.iter().map(|p| p.batches).fold(0.0, max)
}

/// What of the two plates is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Which {
    /// The difference: lower less upper.
    Both,
    One(usize),
}

impl Which {
    fn of(self, forms: [f64; 2]) -> f64 {
        match self {
            Self::Both => forms[0] - forms[1],
            Self::One(face) => forms[face],
        }
    }
}

fn which(points: &[Point]) -> Which {
    let has = |face: usize| points.iter().all(|point| point.forms[face].is_finite());
    match [has(0), has(1)] {
        [true, true] | [false, false] => Which::Both,
        [true, false] => Which::One(0),
        [false, true] => Which::One(1),
    }
}

/// Times at which the plates were measured.
fn states(points: &[Point]) -> usize {
    let mut seen: Vec<f64> = Vec::new();
    for point in points {
        if !seen.contains(&point.batches) {
            seen.push(point.batches);
        }
    }
    seen.len()
}

/// A straight line over batches.
fn drift(points: &[Point], which: Which) -> Option<Fit> {
    let rows: Vec<Vec<f64>> = points.iter().map(|p| vec![1.0, p.batches]).collect();
    let values: Vec<f64> = points.iter().map(|p| which.of(p.forms)).collect();
    fit(&rows, &values).filter(|law| law.freedom > 0)
}

fn keep(report: &mut KeysReport, data: &Data, name: &'static str, found: Found) {
    let unit = if name == "wear" {
        known("%")
    } else {
        data.unit
    };
    report.keys.push(Key {
        table: TABLE,
        name,
        unit,
        readings: data.points.len(),
        found,
    });
}

/// The wear coefficient: what the batches did over what they would do at a coefficient of one.
fn wear(
    report: &mut KeysReport,
    path: &Option<Path>,
    enough: bool,
    which: Which,
    set: Option<&Set>,
) -> Found {
    if set.is_none() {
        return Found::untold("what a batch wears is the recipe's: give --recipe");
    }
    if !enough {
        return Found::untold("the plates were measured at one time, or at two without repeats");
    }
    let Some(path) = path else {
        return Found::untold("with these speeds a batch wears both plates alike");
    };
    let apart = which.of(path.rate);
    if abs(apart) < APART * max(abs(path.rate[0]), abs(path.rate[1])) {
        return Found::untold("with these speeds a batch wears both plates alike");
    }
    let estimate = path.law.coefficient(1);
    if estimate.high < 0.0 {
        report.contradicted.push(
            "the plates drift against what the recipe's speeds wear: look at signs, at which plate is which, and at the direction of the rings"
                .to_owned(),
        );
    }
    if estimate.low <= 0.0 {
        return Found::untold("the drift is too small for its scatter: measure over more batches");
    }
    if which != Which::Both {
        report.findings.push(
            "one plate alone was measured: what the parts level between both plates hangs on their stiffness; measure both"
                .to_owned(),
        );
    }
    Found::plain(estimate)
}

/// Form of a plate as it is now.
fn form(data: &Data, drift: Option<&(Fit, f64)>, which: Which, face: usize) -> Found {
    if data.points.iter().all(|p| p.forms[face].is_nan()) {
        return Found::untold("it was not measured");
    }
    if let Some(profile) = data.profile {
        return profile[face].map_or_else(
            || Found::untold("too few radii: three at least"),
            Found::plain,
        );
    }
    let now = now(&data.points);
    let last: Vec<[f64; 2]> = data
        .points
        .iter()
        .filter(|p| p.batches >= now)
        .map(|p| p.forms)
        .collect();
    let count = last.len() as f64;
    match (drift, which) {
        (Some((law, end)), Which::One(_)) => Found::plain(law.combined(&[1.0, *end])),
        (Some((law, end)), Which::Both) => {
            let apart = law.combined(&[1.0, *end]);
            let sum = last.iter().map(|[a, b]| a + b).sum::<f64>() / count;
            // Both readings scatter alike, so their sum does as their difference.
            let wide = law.deviation() / sqrt(count);
            let sign = if face == 0 { 1.0 } else { -1.0 };
            Found::plain(Estimate::new(
                0.5 * (sum + sign * apart.value),
                0.5 * sqrt(wide * wide + apart.deviation * apart.deviation),
                law.freedom as f64,
            ))
        }
        (None, _) => {
            let values: Vec<f64> = last.iter().map(|forms| forms[face]).collect();
            let law = fit(&vec![vec![1.0]; values.len()], &values);
            match law.filter(|law| law.freedom > 0) {
                Some(law) => Found::plain(law.coefficient(0)),
                None => Found::untold("one reading has no interval: measure again"),
            }
        }
    }
}

/// What a batch did to each plate, whether the drift is straight, the picture, the rows.
fn told(report: &mut KeysReport, data: &Data, law: &Fit, which: Which) {
    let show = |si: f64| si * data.unit.denominator / data.unit.numerator;
    let symbol = data.unit.symbol;
    let mut lines = Vec::new();
    let ends = [
        data.points
            .iter()
            .map(|p| p.batches)
            .fold(f64::INFINITY, min),
        data.points.iter().map(|p| p.batches).fold(0.0, max),
    ];
    for (face, name) in ["lower", "upper"].into_iter().enumerate() {
        let Some(own) = drift(&data.points, Which::One(face)) else {
            continue;
        };
        if data.points.iter().any(|p| p.forms[face].is_nan()) {
            continue;
        }
        let slope = own.coefficient(1);
        report.findings.push(format!(
            "a batch did {:+.3} {symbol} ({:+.3} to {:+.3}) to the {name} plate",
            show(slope.value),
            show(slope.low),
            show(slope.high)
        ));
        lines.push(
            ends.iter()
                .map(|n| [*n, show(own.coefficients[0] + own.coefficients[1] * n)])
                .collect(),
        );
    }
    let values: Vec<f64> = data.points.iter().map(|p| which.of(p.forms)).collect();
    straight(report, data, &values);
    report.charts.insert(
        0,
        Chart {
            title: "Form of both plates over the batches".to_owned(),
            axes: [
                format!("{symbol}, inner over outer edge, + convex"),
                "batches".to_owned(),
            ],
            points: data
                .points
                .iter()
                .flat_map(|p| p.forms.map(|form| [p.batches, show(form)]))
                .filter(|[_, form]| form.is_finite())
                .collect(),
            lines,
        },
    );
    let rows: Vec<usize> = data.points.iter().map(|p| p.line).collect();
    report.groups.push(Group {
        name: match which {
            Which::Both => "lower less upper",
            Which::One(_) => "form",
        },
        rows: law.rows(&rows),
        values: values
            .iter()
            .zip(&law.residuals)
            .map(|(value, left)| [show(*value), show(value - left)])
            .collect(),
        value: symbol.to_owned(),
        unit: symbol,
        size: data.unit.numerator / data.unit.denominator,
        coefficients: law.coefficients.len(),
    });
}

/// Says so where the drift is no straight line.
fn straight(report: &mut KeysReport, data: &Data, values: &[f64]) {
    let bent: Vec<Vec<f64>> = data
        .points
        .iter()
        .map(|p| vec![1.0, p.batches, p.batches * p.batches])
        .collect();
    if let Some(bent) = fit(&bent, values).filter(|bent| bent.freedom > 0) {
        let curve = bent.coefficient(2);
        if curve.low > 0.0 || curve.high < 0.0 {
            report.findings.push(
                "the drift is no straight line: plates were running in, or something changed meanwhile"
                    .to_owned(),
            );
        }
    }
}
