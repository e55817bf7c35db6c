//! The table of a run of batches and what is said under it.

use super::Row;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use twinplate_sim::flatness::MISREAD;
use twinplate_sim::model::{FlatnessControl, Measured};

/// A column of the table.
struct Column {
    heads: [&'static str; 2],
    width: usize,
    cell: fn(&Row) -> String,
}

const fn column(heads: [&'static str; 2], width: usize, cell: fn(&Row) -> String) -> Column {
    Column { heads, width, cell }
}

/// The operator reads the parts' light bands.
fn reads_bands(control: Option<&FlatnessControl>) -> bool {
    control.is_some_and(|control| control.measured == Measured::Bands)
}

/// The columns: where bands are read, what they tell of the plates stands beside what the plates are, and what matters less gives way.
fn columns(control: Option<&FlatnessControl>) -> Vec<Column> {
    let bands = reads_bands(control);
    let mut columns = vec![
        column(["", "batch"], 5, |row| row.batch.to_string()),
        column(["mean", "µm"], 7, |row| format!("{:.1}", row.mean_um)),
    ];
    if !bands {
        columns.push(column(["sd", "µm"], 5, |row| format!("{:.2}", row.sd_um)));
    }
    columns.push(column(["flat", "µm"], 5, |row| {
        format!("{:.2}", row.form.flatness_um)
    }));
    columns.push(column(["", "bands"], 5, |row| {
        format!("{:.1}", row.form.flatness_bands)
    }));
    if !bands {
        columns.push(column(["within", "µm"], 6, |row| {
            format!("{:.2}", row.form.parallelism_um)
        }));
    }
    columns.push(column(["press", "%"], 5, |row| {
        row.form.pressure_pct[0].to_string()
    }));
    columns.push(column(["lower", "µm"], 6, |row| {
        format!("{:+.2}", row.form.plates_um[0])
    }));
    columns.push(column(["upper", "µm"], 6, |row| {
        format!("{:+.2}", row.form.plates_um[1])
    }));
    if bands {
        columns.push(column(["read", "lower"], 6, |row| read(row, 0)));
        columns.push(column(["read", "upper"], 6, |row| read(row, 1)));
    } else {
        columns.push(column(["warm", "°C"], 5, |row| {
            format!("{:.1}", 0.5 * (row.plates_c[0] + row.plates_c[1]))
        }));
    }
    if control.is_some() {
        columns.push(column(["", "rings"], 5, |row| row.ring_setting.to_string()));
    }
    columns
}

/// What the bands told of one plate.
fn read(row: &Row, face: usize) -> String {
    row.read_um
        .map_or_else(|| "-".into(), |form| format!("{:+.2}", form[face]))
}

/// The table, with a note under a row where something is to be said of it.
pub(super) fn draw(control: Option<&FlatnessControl>, rows: &[Row]) -> String {
    let columns = columns(control);
    let line = |cell: &dyn Fn(&Column) -> String| -> String {
        let cells: Vec<String> = columns
            .iter()
            .map(|column| format!("{:>width$}", cell(column), width = column.width))
            .collect();
        cells.join(" ") + "\n"
    };
    let mut text = String::new();
    for head in [0, 1] {
        text.push_str(&line(&|column| column.heads[head].into()));
    }
    for row in rows {
        text.push_str(&line(&|column| (column.cell)(row)));
        if !row.broken.is_empty() {
            // Writing to a String cannot fail.
            let _ = writeln!(text, "     broken: {}", row.broken.join(", "));
        }
        if let Some([lower, upper]) = row.conditioned_to_um {
            let _ = writeln!(
                text,
                "     then both plates were conditioned: lower {lower:+.2}, upper {upper:+.2} µm"
            );
        }
    }
    text
}

/// What the columns mean, and what became of both plates.
pub(super) fn legend(control: Option<&FlatnessControl>, rows: &[Row]) -> String {
    let mut text = String::from("flat: worst face, with its light bands; ");
    if !reads_bands(control) {
        text.push_str("within: thickness within a part; ");
    }
    text.push_str(
        "press: least pressure along the path, of the mean; lower, upper: form of the plates as warm as they are, inner edge over outer \
         edge, + convex",
    );
    if !reads_bands(control) {
        text.push_str("; warm: mean of both plates");
    }
    if reads_bands(control) {
        let _ = write!(
            text,
            "; read: of the spheres that would leave the parts' light bands, each face read up to {MISREAD} of a band off"
        );
    }
    if control.is_some() {
        text.push_str("; rings: the setting they turned by, 0 as programmed");
    }
    text.push_str(".\n");
    if let Some(worn) = worn(rows) {
        let _ = writeln!(text, "\n{worn}");
    }
    text
}

/// What batches and conditioning did to both plates, in words: what levels one can ruin the other. `None` for a single batch.
fn worn(rows: &[Row]) -> Option<String> {
    // By ring setting: batches, and what they did to the lower and the upper plate together.
    let mut by_setting: BTreeMap<u8, (u32, [f64; 2])> = BTreeMap::new();
    for (before, after) in rows.iter().zip(rows.iter().skip(1)) {
        let found = before.conditioned_to_um.unwrap_or(before.form.plates_um);
        let (count, sum) = by_setting.entry(after.ring_setting).or_default();
        *count += 1;
        for (sum, (now, then)) in sum.iter_mut().zip(after.form.plates_um.iter().zip(found)) {
            *sum += now - then;
        }
    }
    if by_setting.is_empty() {
        return None;
    }
    let told: Vec<String> = by_setting
        .iter()
        .map(|(setting, (count, sum))| {
            let [lower, upper] = sum.map(|sum| sum / f64::from(*count));
            let rings = match setting {
                0 => "as programmed".to_owned(),
                setting => format!("with ring setting {setting}"),
            };
            format!("{lower:+.3} µm to the lower plate and {upper:+.3} µm to the upper {rings}")
        })
        .collect();
    Some(format!(
        "A batch did, in the mean after the first, {}. What levels one plate can ruin the other: look at both.",
        told.join("; ")
    ))
}
