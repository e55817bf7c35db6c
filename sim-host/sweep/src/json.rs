//! Answers as programs read them. Within a schema fields are only ever added.

use crate::beside::{Beside, Row};
use crate::points::Sweep;
use crate::route::{Checkup, StageRun, differs};
use serde_json::{Value, json};
use twinplate_check::lot::{Lot, LotValue};
use twinplate_sim::model::micrometres;

/// Version of each of the three.
pub const SCHEMA: u16 = 1;

/// A sweep.
#[must_use]
pub fn sweep(sweep: &Sweep) -> Value {
    let axes: Vec<Value> = sweep
        .axes
        .iter()
        .map(|axis| {
            json!({ "key": axis.key, "label": axis.label, "unit": axis.unit, "values": axis.values, "si": axis.si })
        })
        .collect();
    let points: Vec<Value> = sweep
        .points
        .iter()
        .map(|point| {
            let mut value = serde_json::to_value(point).unwrap_or_default();
            value["feasible"] = json!(point.feasible());
            value
        })
        .collect();
    json!({
        "schema": SCHEMA,
        "recipe": sweep.names[0],
        "machine": sweep.names[1],
        "batch": sweep.names[2],
        "seed": sweep.seed,
        "draws": sweep.draws,
        "edge_draws": sweep.edge,
        "axes": axes,
        "points": points,
        "feasible": sweep.feasible().count(),
        "fastest": sweep.fastest().map(|point| &point.at),
    })
}

/// Two recipes side by side.
#[must_use]
pub fn beside(beside: &Beside) -> Value {
    let rows = |rows: &[Row]| -> Vec<Value> {
        rows.iter()
            .map(|row| {
                let mut value = serde_json::to_value(row).unwrap_or_default();
                value["difference"] = json!(row.difference());
                value
            })
            .collect()
    };
    let mut value = serde_json::to_value(beside).unwrap_or_default();
    value["schema"] = json!(SCHEMA);
    value["cycle"] = json!(rows(&beside.cycle));
    value["worst"] = json!(rows(&beside.worst));
    value["left"] = json!(rows(&beside.left));
    value
}

fn lot(lot: &Lot) -> Value {
    json!({
        "count": lot.count,
        "thickness_um": micrometres(lot.thickness),
        "spread_um": micrometres(lot.spread),
        "damage_um": micrometres(lot.damage),
        "roughness_um": micrometres(lot.roughness),
        "bow_um": micrometres(lot.bow),
        "taper_um": micrometres(lot.taper),
    })
}

fn incoming(values: &[LotValue]) -> Vec<Value> {
    let one = |value: &LotValue| json!({ "key": value.key, "file_um": value.file_um, "came_um": value.came_um, "differs": differs(value) });
    values.iter().map(one).collect()
}

/// A route that was checked.
#[must_use]
pub fn route(checkup: &Checkup) -> Value {
    let stages: Vec<Value> = checkup
        .stages
        .iter()
        .map(|stage| {
            json!({
                "incoming": incoming(&stage.incoming),
                "incoming_ranges_um": stage.ranges,
                "left": stage.left.as_ref().map(lot),
                "alone": stage.alone,
                "check": serde_json::to_value(&stage.checked.report).unwrap_or_default(),
            })
        })
        .collect();
    json!({
        "schema": SCHEMA,
        "route": checkup.id,
        "verdict": checkup.verdict(),
        "first_failing": checkup.first_failing().map(|stage| stage + 1),
        "tightest": checkup.tightest().map(|stage| stage + 1),
        "time_s": checkup.time(),
        "runs": checkup.runs,
        "failed": checkup.failed,
        "stages_of_route": checkup.count,
        "stages": stages,
        "cautions": checkup.cautions,
    })
}

/// A route that was run.
#[must_use]
pub fn runs(id: &str, count: usize, runs: &[StageRun]) -> Value {
    let stages: Vec<Value> = runs
        .iter()
        .map(|run| {
            json!({
                "recipe": run.job.recipe.id,
                "machine": run.job.machine.id,
                "ending": run.judged.ending,
                "verdict": run.judged.verdict(),
                "time_s": run.outcome.summary.cycle,
                "incoming": incoming(&run.incoming),
                "left": lot(&run.left),
                "control_hash": format!("{:#018x}", run.outcome.control_hash),
            })
        })
        .collect();
    json!({ "schema": SCHEMA, "route": id, "stages_of_route": count, "stages": stages })
}
