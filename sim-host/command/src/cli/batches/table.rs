//! The table of a run of batches and what is said under it.

use super::Row;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use twinplate_sim::flatness::MISREAD;
use twinplate_sim::model::{FlatnessControl, Measured, Of, Shown};

/// A column of the table.
struct Column {
    heads: [&'static str; 2],
    /// What kind of quantity it has, whose unit is the second head.
    of: Option<Of>,
    width: usize,
    cell: fn(&Row, &Shown) -> String,
}

const fn column(
    heads: [&'static str; 2],
    width: usize,
    cell: fn(&Row, &Shown) -> String,
) -> Column {
    Column {
        heads,
        of: None,
        width,
        cell,
    }
}

/// A column of a kind of quantity under its unit.
const fn sized(
    head: &'static str,
    of: Of,
    width: usize,
    cell: fn(&Row, &Shown) -> String,
) -> Column {
    Column {
        of: Some(of),
        ..column([head, ""], width, cell)
    }
}

/// The operator reads the parts' light bands.
fn reads_bands(control: Option<&FlatnessControl>) -> bool {
    control.is_some_and(|control| control.measured == Measured::Bands)
}

/// The columns: where bands are read, what they tell of the plates stands beside what the plates are, and what matters less gives way.
fn columns(control: Option<&FlatnessControl>) -> Vec<Column> {
    let bands = reads_bands(control);
    let mut columns = vec![
        column(["", "batch"], 5, |row, _| row.batch.to_string()),
        sized("mean", Of::Size, 7, |row, shown| {
            shown.fixed(Of::Size, row.mean_um, 1)
        }),
    ];
    if !bands {
        columns.push(sized("sd", Of::Size, 5, |row, shown| {
            shown.fixed(Of::Size, row.sd_um, 2)
        }));
    }
    columns.push(sized("flat", Of::Flatness, 5, |row, shown| {
        shown.fixed(Of::Flatness, row.form.flatness_um, 2)
    }));
    columns.push(column(["", "bands"], 5, |row, _| {
        format!("{:.1}", row.form.flatness_bands)
    }));
    if !bands {
        columns.push(sized("within", Of::Parallelism, 6, |row, shown| {
            shown.fixed(Of::Parallelism, row.form.parallelism_um, 2)
        }));
    }
    columns.push(column(["press", "%"], 5, |row, _| {
        row.form.pressure_pct[0].to_string()
    }));
    columns.push(sized("lower", Of::Form, 6, |row, shown| {
        shown.signed(Of::Form, row.form.plates_um[0], 2)
    }));
    columns.push(sized("upper", Of::Form, 6, |row, shown| {
        shown.signed(Of::Form, row.form.plates_um[1], 2)
    }));
    if bands {
        columns.push(column(["read", "lower"], 6, |row, shown| {
            read(row, 0, shown)
        }));
        columns.push(column(["read", "upper"], 6, |row, shown| {
            read(row, 1, shown)
        }));
    } else {
        columns.push(sized("warm", Of::Temperature, 5, |row, shown| {
            shown.fixed(
                Of::Temperature,
                0.5 * (row.plates_c[0] + row.plates_c[1]),
                1,
            )
        }));
    }
    if control.is_some() {
        columns.push(column(["", "rings"], 5, |row, _| {
            row.ring_setting.to_string()
        }));
    }
    columns
}

/// What the bands told of one plate.
fn read(row: &Row, face: usize, shown: &Shown) -> String {
    row.read_um
        .map_or_else(|| "-".into(), |form| shown.signed(Of::Form, form[face], 2))
}

/// The table, with a note under a row where something is to be said of it.
pub(super) fn draw(control: Option<&FlatnessControl>, rows: &[Row], shown: &Shown) -> String {
    let columns = columns(control);
    let line = |cell: &dyn Fn(&Column) -> String| -> String {
        let cells: Vec<String> = columns
            .iter()
            .map(|column| format!("{:>width$}", cell(column), width = column.width))
            .collect();
        cells.join(" ") + "\n"
    };
    let mut text = String::new();
    text.push_str(&line(&|column| column.heads[0].into()));
    text.push_str(&line(&|column| {
        let head = column.of.map(|of| shown.symbol(of));
        head.unwrap_or(column.heads[1]).into()
    }));
    for row in rows {
        text.push_str(&line(&|column| (column.cell)(row, shown)));
        if !row.broken.is_empty() {
            // Writing to a String cannot fail.
            let _ = writeln!(text, "     broken: {}", row.broken.join(", "));
        }
        if let Some([lower, upper]) = row.conditioned_to_um {
            let _ = writeln!(
                text,
                "     then both plates were conditioned: lower {}, upper {}",
                shown.signed(Of::Form, lower, 2),
                shown.with(Of::Form, &shown.signed(Of::Form, upper, 2))
            );
        }
    }
    text
}

/// What the columns mean, and what became of both plates.
pub(super) fn legend(control: Option<&FlatnessControl>, rows: &[Row], shown: &Shown) -> String {
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
    if let Some(worn) = worn(rows, shown) {
        let _ = writeln!(text, "\n{worn}");
    }
    text
}

/// What batches and conditioning did to both plates, in words: what levels one can ruin the other. `None` for a single batch.
fn worn(rows: &[Row], shown: &Shown) -> Option<String> {
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
            let [lower, upper] =
                [lower, upper].map(|plate| shown.with(Of::Form, &shown.signed(Of::Form, plate, 3)));
            format!("{lower} to the lower plate and {upper} to the upper {rings}")
        })
        .collect();
    Some(format!(
        "A batch did, in the mean after the first, {}. What levels one plate can ruin the other: look at both.",
        told.join("; ")
    ))
}
