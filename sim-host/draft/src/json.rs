//! A draft for programs.

use crate::limit::Limit;
use crate::order::{Bound, Order, Stage};
use crate::plan::Change;
use crate::trade::Trade;
use serde_json::{Value, json};

/// Version of the JSON; within one, fields are only added.
pub const SCHEMA: u16 = 1;

/// What was drafted, or what binds, and what other goals would bring.
#[must_use]
pub fn draft(order: &Order, drafted: &Result<Vec<Stage>, Bound>, trade: &[Trade]) -> Value {
    let (recipes, bound) = match drafted {
        Ok(stages) => (stages.iter().map(stage).collect::<Vec<_>>(), Value::Null),
        Err(bound) => (Vec::new(), of_bound(bound)),
    };
    json!({
        "schema": SCHEMA,
        "machine": order.machine.id,
        "batch": order.batch.id,
        "shelf": order.shelf.id,
        "goal": order.goal.word(),
        "longest_s": order.longest,
        "gauge": order.gauge,
        "verdict": if drafted.is_ok() { "pass" } else { "none" },
        "recipes": recipes,
        "bound": bound,
        "trade_off": trade.iter().map(|row| traded(order, row)).collect::<Vec<_>>(),
    })
}

fn stage(stage: &Stage) -> Value {
    let report = &stage.report;
    json!({
        "id": stage.recipe.value.id,
        "text": stage.recipe.text,
        "batch": stage.batch.id,
        "batch_text": stage.batch_text,
        "choices": stage
            .choices
            .iter()
            .map(|choice| json!({ "key": choice.key, "value": choice.value, "why": choice.why }))
            .collect::<Vec<_>>(),
        "changes": changes(&stage.changes),
        "verdict": report.verdict.word(),
        "runs": report.envelope.runs,
        "findings": report
            .findings
            .iter()
            .map(|found| json!({ "code": found.code, "message": found.message }))
            .collect::<Vec<_>>(),
        "cycle_s": report.prediction.cycle_s,
        "cost": stage.cost,
    })
}

fn changes(changes: &[Change]) -> Vec<Value> {
    changes
        .iter()
        .map(|change| json!({ "because": change.because, "what": change.what }))
        .collect()
}

fn names(limits: &[Limit]) -> Vec<&'static str> {
    limits.iter().map(|limit| limit.name()).collect()
}

fn of_bound(bound: &Bound) -> Value {
    json!({
        "limits": names(&bound.limits),
        "said": bound.said,
        "with": bound.with,
        "changes": changes(&bound.changes),
        "tried": bound
            .tried
            .iter()
            .map(|tried| json!({ "grade": tried.grade, "limits": names(&tried.limits), "said": tried.said }))
            .collect::<Vec<_>>(),
    })
}

fn traded(order: &Order, row: &Trade) -> Value {
    match &row.brought {
        Ok(brought) => json!({
            "goal": row.goal.word(),
            "chosen": row.goal == order.goal,
            "recipes": brought.recipes,
            "cycle_s": brought.cycle_s,
            "load_margin": brought.load_margin,
            "flatness_left_um": brought.flatness_left_um,
            "cost": brought.cost,
            "limits": [],
        }),
        Err(limits) => json!({
            "goal": row.goal.word(),
            "chosen": row.goal == order.goal,
            "limits": names(limits),
        }),
    }
}
