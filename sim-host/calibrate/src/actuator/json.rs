//! What programs read of an actuator: schema 1, fields only ever added; SI units.

use super::{ActuatorReport, Test};
use crate::json::{estimate, row, test};
use serde_json::{Value, json};

/// An actuator as JSON.
#[must_use]
pub fn json(report: &ActuatorReport) -> Value {
    let optional = |found: &Option<crate::least_squares::Estimate>| found.as_ref().map(estimate);
    json!({
        "schema": 1,
        "verdict": if report.holds { "holds" } else { "does not hold" },
        "file": report.file,
        "machine": report.machine,
        "breaks": report.breaks,
        "rows": Test::ALL.iter().zip(report.rows).map(|(test, rows)| (test.word().to_owned(), json!(rows)))
            .collect::<serde_json::Map<_, _>>(),
        "keys": report.keys.iter().map(|told| {
            let (unit, per_si) = told.key.unit();
            json!({
                "key": format!("actuator.{}", told.key.name()),
                "unit": unit,
                "now": told.now * per_si,
                "found": told.found.as_ref().ok().map(|found| estimate(&found.mapped(|si| si * per_si))),
                "untold": told.found.as_ref().err(),
            })
        }).collect::<Vec<_>>(),
        "gain_n": report.swept.as_ref().map(|swept| estimate(&swept.gain)),
        "intercept_n": report.swept.as_ref().map(|swept| estimate(&swept.intercept)),
        "hysteresis": report.swept.as_ref().map(|swept| estimate(&swept.hysteresis)),
        "offset": optional(&report.offset),
        "resting_load_n": optional(&report.resting),
        "held_by_seals_n": report.held,
        "sweep": report.swept.as_ref().map(|swept| json!({
            "deviation_n": swept.deviation,
            "bend": swept.bend.as_ref().map(test),
            "bent": swept.bent,
            "range": swept.range,
            "rows": swept.rows.iter().zip(&swept.points).map(|(found, [command, load, sense, _])| {
                let mut row = row(found);
                row["command"] = json!(command);
                row["load_n"] = json!(load);
                row["sense"] = json!(sense);
                row
            }).collect::<Vec<_>>(),
        })),
        "steps": report.response.as_ref().map(|found| json!({
            "steps": found.steps,
            "deviation_n": found.deviation,
            "left_over": found.share,
            "widened": found.widened,
            "interval_s": found.interval,
        })),
        "dump": report.vent.as_ref().map(|found| json!({ "rest_n": estimate(&found.rest), "deviation_n": found.deviation })),
        "motions": report.seals.as_ref().map(|found| json!({
            "motions": found.motions,
            "weight_n": estimate(&found.weight),
            "viscous_n_s_m": found.viscous.as_ref().map(estimate),
        })),
        "notes": report.notes,
    })
}
