//! Wear and form of the plates: a straightedge over both plates, a profile of them, or the faces of parts, from batch to batch.
//!
//! Parts press where plates come together, so what both plates have in common levels itself within the parts' elastic sink and says
//! little of wear. What one plate gains on the other nothing levels: it grows by the same from batch to batch, in proportion to the wear
//! coefficient and to the stock that was lapped off. So the wear is told by the difference of both plates, where both were measured.

use crate::keys::{Chart, Found, Group, Key, KeysReport, Kind, known};
use crate::least_squares::{Estimate, Fit, fit};
use crate::sheet::{Heading, Holds, Quantities, Sheet};
use twinplate_sim::files::quantity::{Dimension as D, Unit};
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::flatness::{change_by_stock, of_bands};
use twinplate_sim::math::{abs, max, min, sqrt};
use twinplate_sim::model::{Machine, Measured};

const TABLE: &str = "plates";
/// Least part of what a batch does to either plate by which the plates must differ.
const APART: f64 = 0.1;

const FORM: Holds = Holds::Quantity(&[(D::Length, ["-2 mm", "2 mm"])]);

const HEADINGS: &[Heading] = &[
    Heading {
        name: "batch",
        holds: Holds::Number,
    },
    Heading {
        name: "removed",
        holds: Holds::Quantity(&[(D::Length, ["0 µm", "1 m"])]),
    },
    Heading {
        name: "radius",
        holds: Holds::Quantity(&[(D::Length, ["1 mm", "5 m"])]),
    },
    Heading {
        name: "lower",
        holds: FORM,
    },
    Heading {
        name: "upper",
        holds: FORM,
    },
    Heading {
        name: "face-lower",
        holds: FORM,
    },
    Heading {
        name: "face-upper",
        holds: FORM,
    },
    Heading {
        name: "note",
        holds: Holds::Word,
    },
];

/// Form of both plates at a time, m, + convex; NaN of a plate that was not measured.
#[derive(Clone, Copy, Debug)]
struct Point {
    line: usize,
    /// Batches so far, of the stock that the recipe takes off.
    batches: f64,
    forms: [f64; 2],
}

/// A sheet in SI units.
struct Data {
    points: Vec<Point>,
    /// What each of a single profile says, with its interval.
    profile: Option<[Option<Estimate>; 2]>,
    /// Points of the last profile: radius and both heights, in `unit` of length.
    drawn: Vec<Chart>,
    measured: Measured,
    unit: &'static Unit,
    notes: Vec<String>,
}

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
    let drift = (states > 1).then(|| drift(&data.points, which)).flatten();
    let worn = wear(&mut report, &data, drift.as_ref(), which, set);
    keep(&mut report, &data, "wear", worn);
    for (face, name) in ["form-lower", "form-upper"].into_iter().enumerate() {
        let found = form(&data, drift.as_ref(), which, face);
        keep(&mut report, &data, name, found);
    }
    if let Some(law) = &drift {
        told(&mut report, &data, law, which);
    }
    Ok(report)
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

/// The wear coefficient: what a batch did over what it would do at a coefficient of one.
fn wear(
    report: &mut KeysReport,
    data: &Data,
    drift: Option<&Fit>,
    which: Which,
    set: Option<&Set>,
) -> Found {
    let Some(set) = set else {
        return Found::untold("what a batch wears is the recipe's: give --recipe");
    };
    let Some(law) = drift else {
        return Found::untold("the plates were measured at one time, or at two without repeats");
    };
    let unit = per_batch(set, data.measured).0;
    let apart = which.of(unit);
    if abs(apart) < APART * max(abs(unit[0]), abs(unit[1])) {
        return Found::untold("with these speeds a batch wears both plates alike");
    }
    let slope = law.coefficient(1);
    let ends = [slope.low / apart, slope.high / apart];
    let estimate = Estimate {
        value: slope.value / apart,
        deviation: slope.deviation / abs(apart),
        low: min(ends[0], ends[1]),
        high: max(ends[0], ends[1]),
    };
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
            "one plate alone was measured: what the parts level between both plates counts as its wear; measure both"
                .to_owned(),
        );
    }
    Found::plain(estimate)
}

/// What a batch does to both plates at a wear coefficient of one, m, and the stock that it takes off, m.
fn per_batch(set: &Set, measured: Measured) -> ([f64; 2], f64) {
    let mut machine = set.machine.value.clone();
    machine.plates.wear = 1.0;
    change_by_stock(&machine, &set.batch.value, &set.recipe.value, measured)
}

/// Form of a plate as it is now.
fn form(data: &Data, drift: Option<&Fit>, which: Which, face: usize) -> Found {
    if data.points.iter().all(|p| p.forms[face].is_nan()) {
        return Found::untold("it was not measured");
    }
    if let Some(profile) = data.profile {
        return profile[face].map_or_else(
            || Found::untold("too few radii: three at least"),
            Found::plain,
        );
    }
    let now = data.points.iter().map(|p| p.batches).fold(0.0, max);
    let last: Vec<[f64; 2]> = data
        .points
        .iter()
        .filter(|p| p.batches >= now)
        .map(|p| p.forms)
        .collect();
    let count = last.len() as f64;
    match (drift, which) {
        (Some(law), Which::One(_)) => Found::plain(law.combined(&[1.0, now])),
        (Some(law), Which::Both) => {
            let apart = law.combined(&[1.0, now]);
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
    let bent: Vec<Vec<f64>> = data
        .points
        .iter()
        .map(|p| vec![1.0, p.batches, p.batches * p.batches])
        .collect();
    let values: Vec<f64> = data.points.iter().map(|p| which.of(p.forms)).collect();
    if let Some(bent) = fit(&bent, &values).filter(|bent| bent.freedom > 0) {
        let curve = bent.coefficient(2);
        if curve.low > 0.0 || curve.high < 0.0 {
            report.findings.push(
                "the drift is no straight line: plates were still running in, or something changed meanwhile; leave out the batches before"
                    .to_owned(),
            );
        }
    }
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

/// Columns of a sheet.
struct Columns {
    batch: Option<Vec<f64>>,
    removed: Option<Quantities>,
    radius: Option<Quantities>,
    plates: [Option<Quantities>; 2],
    faces: [Option<Quantities>; 2],
}

/// Reads a sheet.
fn read(
    file: &str,
    bytes: &[u8],
    machine: &Machine,
    set: Option<&Set>,
) -> Result<Data, Vec<FileError>> {
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    headings(&mut sheet, set.is_some());
    let batch = sheet.has("batch").then(|| sheet.numbers("batch").1);
    let columns = Columns {
        batch,
        removed: sheet.quantities("removed"),
        radius: sheet.quantities("radius"),
        plates: ["lower", "upper"].map(|name| sheet.quantities(name)),
        faces: ["face-lower", "face-upper"].map(|name| sheet.quantities(name)),
    };
    if let Some(batch) = &columns.batch {
        for (row, n) in batch.iter().enumerate() {
            if !(*n >= 0.0 && *n < 1e6) {
                let message = "no number of batches".to_owned();
                sheet.wrong("out-of-range", row, "batch", message, "0 or more");
            }
        }
    }
    let parts = columns.faces.iter().any(Option::is_some);
    let all = if parts {
        &columns.faces
    } else {
        &columns.plates
    };
    let Some(unit) = all.iter().flatten().next().map(|column| column.unit) else {
        return sheet.finish(None);
    };
    if sheet.len() == 0 {
        let expected = "a row for each reading";
        sheet.wrong_whole("too-few-items", "no reading".to_owned(), expected);
        return sheet.finish(None);
    }
    let measured = if parts {
        Measured::Bands
    } else {
        Measured::Straightedge
    };
    let stock = set.map(|set| per_batch(set, measured).1);
    let count = |row: usize| match (&columns.removed, stock, &columns.batch) {
        (Some(removed), Some(stock), _) if stock > 0.0 => removed.si[row] / stock,
        (_, _, Some(batch)) => batch[row],
        _ => 0.0,
    };
    let value = |row: usize| -> [f64; 2] {
        let typed = [0, 1].map(|face| all[face].as_ref().map_or(f64::NAN, |column| column.si[row]));
        match set {
            Some(set) if parts => {
                let batch = &set.batch.value;
                let bands = typed.map(|sag| sag / (0.5 * batch.wavelength));
                of_bands(machine, batch, bands)
            }
            _ => typed,
        }
    };
    let mut data = Data {
        points: Vec::new(),
        profile: None,
        drawn: Vec::new(),
        measured,
        unit,
        notes: notes(parts, columns.removed.is_some() && stock.is_some(), stock),
    };
    match &columns.radius {
        None => {
            data.points = (0..sheet.len())
                .map(|row| Point {
                    line: sheet.line(row),
                    batches: count(row),
                    forms: value(row),
                })
                .collect();
        }
        Some(radius) => profiles(&mut sheet, &mut data, machine, &radius.si, &count, &value),
    }
    sheet.finish(Some(data))
}

fn notes(parts: bool, by_stock: bool, stock: Option<f64>) -> Vec<String> {
    let mut notes = Vec::new();
    notes.push(if parts {
        "forms are those of the spheres that would leave such faces on the parts, as warm as they lapped; a hollow face counts as +".to_owned()
    } else {
        "form is inner edge over outer edge, + convex, of plates at one temperature and where parts run".to_owned()
    });
    match stock {
        Some(stock) if by_stock => notes.push(format!(
            "batches are counted by the stock lapped off, {:.2} µm each, as the recipe has it",
            stock * 1e6
        )),
        Some(stock) => notes.push(format!(
            "every batch is taken to lose {:.2} µm of thickness, as the recipe has it; a column `removed` says how much it was",
            stock * 1e6
        )),
        None => {}
    }
    notes.push(
        "readings between two conditionings, with the rings turned as the recipe says; the form written is that of the last reading"
            .to_owned(),
    );
    notes
}

/// Profiles: heights over radius, those of one time together, each brought to its form by the parabola that fits best.
fn profiles(
    sheet: &mut Sheet,
    data: &mut Data,
    machine: &Machine,
    radius: &[f64],
    count: &dyn Fn(usize) -> f64,
    value: &dyn Fn(usize) -> [f64; 2],
) {
    let half = [machine.geometry.plate_inner, machine.geometry.plate_outer].map(|d| 0.5 * d);
    let band = half[1] * half[1] - half[0] * half[0];
    for (row, r) in radius.iter().enumerate() {
        if *r < half[0] || *r > half[1] {
            let message = "that radius is not on the plate".to_owned();
            let expected = format!("{:.1} to {:.1} mm", half[0] * 1e3, half[1] * 1e3);
            sheet.wrong("out-of-range", row, "radius", message, &expected);
        }
    }
    let mut times: Vec<f64> = Vec::new();
    for row in 0..radius.len() {
        if !times.contains(&count(row)) {
            times.push(count(row));
        }
    }
    let show = |si: f64| si * data.unit.denominator / data.unit.numerator;
    for time in &times {
        let rows: Vec<usize> = (0..radius.len())
            .filter(|row| count(*row) == *time)
            .collect();
        let mut forms = [f64::NAN; 2];
        let mut own = [None, None];
        let mut lines = Vec::new();
        for face in 0..2 {
            let heights: Vec<f64> = rows.iter().map(|row| value(*row)[face]).collect();
            if heights.iter().any(|h| h.is_nan()) {
                continue;
            }
            let regressors: Vec<Vec<f64>> = rows
                .iter()
                .map(|row| vec![1.0, radius[*row] * radius[*row] / band])
                .collect();
            let Some(law) = fit(&regressors, &heights) else {
                let message = "a profile of one radius has no form".to_owned();
                let expected = "three radii or more of each profile";
                sheet.wrong("inconsistent", rows[0], "radius", message, expected);
                continue;
            };
            forms[face] = -law.coefficients[1];
            if law.freedom > 0 {
                own[face] = Some(law.combined(&[0.0, -1.0]));
            }
            lines.push(
                (0..=20)
                    .map(|n| {
                        let r = half[0] + (half[1] - half[0]) * f64::from(n) / 20.0;
                        let height = law.coefficients[0] + law.coefficients[1] * r * r / band;
                        [r * 1e3, show(height)]
                    })
                    .collect(),
            );
        }
        data.points.push(Point {
            line: rows.first().map_or(0, |row| sheet.line(*row)),
            batches: *time,
            forms,
        });
        data.profile = (times.len() == 1).then_some(own);
        data.drawn = vec![Chart {
            title: "The last profile of both plates".to_owned(),
            axes: [
                format!("{}, towards the parts", data.unit.symbol),
                "radius, mm".to_owned(),
            ],
            points: rows
                .iter()
                .flat_map(|row| value(*row).map(|h| [radius[*row] * 1e3, show(h)]))
                .filter(|[_, h]| h.is_finite())
                .collect(),
            lines,
        }];
    }
}

/// Which columns are there.
fn headings(sheet: &mut Sheet, set: bool) {
    let any = |names: [&str; 2], sheet: &Sheet| names.iter().any(|name| sheet.has(name));
    let (plates, parts) = (
        any(["lower", "upper"], sheet),
        any(["face-lower", "face-upper"], sheet),
    );
    match [plates, parts] {
        [false, false] => sheet.missing(
            "lower",
            "`lower [µm]` and `upper [µm]` of the plates, or `face-lower [µm]` and `face-upper [µm]` of parts",
        ),
        [true, true] => {
            let message = "forms of plates and of parts are both there".to_owned();
            sheet.wrong_whole("conflicting-key", message, "one of them in a sheet");
        }
        [false, true] if !set => {
            let message = "what a part's face says of a plate is a matter of its size".to_owned();
            sheet.wrong_whole("missing-key", message, "--recipe RECIPE, whose batch has the part");
        }
        _ => {}
    }
    if sheet.has("radius") && parts {
        let message = "a profile is of plates, not of parts".to_owned();
        sheet.wrong_whole(
            "conflicting-key",
            message,
            "`lower` and `upper` beside `radius`",
        );
    }
    if sheet.has("removed") && !set {
        let message = "stock becomes wear by what the recipe takes off".to_owned();
        sheet.wrong_whole(
            "missing-key",
            message,
            "--recipe RECIPE, or a column `batch`",
        );
    }
    if !sheet.has("batch") && !sheet.has("removed") && !sheet.has("radius") {
        sheet.missing(
            "batch",
            "`batch`, batches since the first reading, or `removed [µm]`",
        );
    }
}
