//! What programs read of drives: schema 1, fields only ever added; SI units.

use super::DrivesReport;
use crate::json::{estimate, row, test};
use serde_json::{Value, json};

/// Drives as JSON.
#[must_use]
pub fn json(report: &DrivesReport) -> Value {
    json!({
        "schema": 1,
        "verdict": if report.drives.iter().all(super::Found::holds) { "holds" } else { "does not hold" },
        "file": report.file,
        "units": { "torque": report.torque.symbol, "speed": report.speed.symbol },
        "drives": report.drives.iter().map(|found| json!({
            "drive": found.drive.name(),
            "holds": found.holds(),
            "inertia_kg_m2": estimate(&found.inertia),
            "drag_n_m": estimate(&found.drag),
            "scatter_rad_s": found.deviation,
            "widened": found.widened,
            "drag_grows": found.grows.as_ref().map(test),
            "runs": found.runs.iter().map(|run| json!({
                "run": run.name,
                "samples": run.samples.len(),
                "left_out_standing": run.standing,
            })).collect::<Vec<_>>(),
            "rows": found.rows.iter().map(row).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    })
}
