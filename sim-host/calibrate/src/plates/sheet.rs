//! The sheet of the plates' form: by straightedge, by profile, or by the faces of parts.

use crate::keys::Chart;
use crate::least_squares::{Estimate, fit};
use crate::sheet::{Heading, Holds, Quantities, Sheet};
use twinplate_sim::files::quantity::{Dimension as D, Unit};
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::flatness::{of_bands, stock};
use twinplate_sim::model::{Machine, Measured, significant};

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
        holds: Holds::Quantity(&[(D::Length, ["0 mm", "5 m"])]),
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
pub(super) struct Point {
    pub line: usize,
    /// Batches so far, of the stock that the recipe takes off.
    pub batches: f64,
    pub forms: [f64; 2],
}

/// A sheet in SI units.
pub(super) struct Data {
    pub points: Vec<Point>,
    /// What each of a single profile says, with its interval.
    pub profile: Option<[Option<Estimate>; 2]>,
    /// Points of the last profile: radius and both heights, in `unit` of length.
    pub drawn: Vec<Chart>,
    pub measured: Measured,
    pub unit: &'static Unit,
    pub notes: Vec<String>,
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
pub(super) fn read(
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
    counted(&mut sheet, &columns);
    let parts = columns.faces.iter().any(Option::is_some);
    let all = if parts {
        &columns.faces
    } else {
        &columns.plates
    };
    let Some(unit) = all.iter().flatten().next().map(|column| column.unit) else {
        return sheet.finish(None);
    };
    if sheet.is_empty() {
        let expected = "a row for each reading";
        sheet.wrong_whole("too-few-items", "no reading".to_owned(), expected);
        return sheet.finish(None);
    }
    let measured = if parts {
        Measured::Bands
    } else {
        Measured::Straightedge
    };
    let stock = set.map(|set| stock(&set.machine.value, &set.batch.value, &set.recipe.value));
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
        notes: notes(
            parts,
            columns.removed.is_some() && stock.is_some(),
            stock,
            unit,
        ),
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
        Some(radius) => profiles(&mut sheet, &mut data, machine, radius, &count, &value),
    }
    sheet.finish(Some(data))
}

fn notes(parts: bool, by_stock: bool, stock: Option<f64>, unit: &Unit) -> Vec<String> {
    let told = |metres: f64| {
        let number = significant(metres * unit.denominator / unit.numerator, 4);
        format!("{number} {}", unit.symbol)
    };
    let mut notes = Vec::new();
    notes.push(if parts {
        "forms are those of the spheres that would leave such faces on the parts, as warm as they lapped; a hollow face counts as +".to_owned()
    } else {
        "form is inner edge over outer edge, + convex, of plates at one temperature and where parts run".to_owned()
    });
    match stock {
        Some(stock) if by_stock => notes.push(format!(
            "batches are counted by the stock lapped off, {} each, as the recipe has it",
            told(stock)
        )),
        Some(stock) => notes.push(format!(
            "every batch is taken to lose {} of thickness, as the recipe has it; a column `removed` says how much it was",
            told(stock)
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
    typed: &Quantities,
    count: &dyn Fn(usize) -> f64,
    value: &dyn Fn(usize) -> [f64; 2],
) {
    let (radius, unit) = (&typed.si[..], typed.unit);
    let along = |metres: f64| metres * unit.denominator / unit.numerator;
    let half = [machine.geometry.plate_inner, machine.geometry.plate_outer].map(|d| 0.5 * d);
    let band = half[1] * half[1] - half[0] * half[0];
    on_plates(sheet, typed, half);
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
                        [along(r), show(height)]
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
                format!("radius, {}", unit.symbol),
            ],
            points: rows
                .iter()
                .flat_map(|row| value(*row).map(|h| [along(radius[*row]), show(h)]))
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

/// Numbers of batches are none below nothing.
fn counted(sheet: &mut Sheet, columns: &Columns) {
    if let Some(batch) = &columns.batch {
        for (row, n) in batch.iter().enumerate() {
            if !(*n >= 0.0 && *n < 1e6) {
                let message = "no number of batches".to_owned();
                sheet.wrong("out-of-range", row, "batch", message, "0 or more");
            }
        }
    }
}

/// Radii of a profile lie on the plates, whose inner and outer edge are at `half`, m.
fn on_plates(sheet: &mut Sheet, typed: &Quantities, half: [f64; 2]) {
    let unit = typed.unit;
    for (row, r) in typed.si.iter().enumerate() {
        if *r < half[0] || *r > half[1] {
            let message = "that radius is not on the plate".to_owned();
            let [least, most] =
                half.map(|end| significant(end * unit.denominator / unit.numerator, 4));
            let expected = format!("{least} to {most} {}", unit.symbol);
            sheet.wrong("out-of-range", row, "radius", message, &expected);
        }
    }
}
