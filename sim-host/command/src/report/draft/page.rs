//! The page of a draft. Self-contained like the other pages: nothing is fetched, no script runs.

use super::{CAUTION, Drafted, TRADED, binds, heads, proved, row, subject, verdict};
use crate::report::calibration::{Card, end, head, list, table, worded};
use crate::report::duration;
use crate::report::svg::escape;
use std::fmt::Write as _;
use twinplate_check::verdict::Verdict;
use twinplate_draft::{Brought, Stage};

/// Draws the page.
pub(crate) fn draw(told: &Drafted) -> String {
    let mut html = String::with_capacity(64 * 1024);
    let order = told.order;
    let title = format!("Draft for {} on {}", order.batch.id, order.machine.id);
    let warned = |stages: &[Stage]| {
        stages
            .iter()
            .any(|stage| stage.report.verdict == Verdict::Warn)
    };
    let sign = match told.drafted {
        Ok(stages) if warned(stages) => ["warn", "▲", "pass, with warnings"],
        Ok(_) => ["pass", "✓", "pass"],
        Err(_) => ["fail", "✕", "no recipe"],
    };
    head(
        &mut html,
        &escape(&title),
        &subject(told),
        sign,
        &cards(told),
    );
    match told.drafted {
        Ok(stages) => {
            for stage in stages {
                of_stage(&mut html, stage);
            }
        }
        Err(bound) => {
            let said = vec![
                format!("What binds: {}", binds(&bound.limits)),
                format!("Last said: {}", bound.said),
                format!("Came furthest with: {}", bound.with),
            ];
            list(&mut html, "Why no recipe passes", &said);
            list(&mut html, "What was changed", &changed(&bound.changes));
            let rows: Vec<Vec<String>> = bound
                .tried
                .iter()
                .map(|tried| {
                    vec![
                        tried.grade.clone(),
                        binds(&tried.limits),
                        tried.said.clone(),
                    ]
                })
                .collect();
            if rows.len() > 1 {
                let heads = ["abrasive", "what binds", "what the check said"];
                worded(&mut html, "Each abrasive by itself", &heads, &rows);
            }
        }
    }
    if !told.trade.is_empty() {
        let heads = heads(told);
        let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
        let rows: Vec<Vec<String>> = told
            .trade
            .iter()
            .map(|trade| row(told, trade).to_vec())
            .collect();
        table(&mut html, "What other goals bring", &heads, &rows);
        list(&mut html, "How to read it", &[TRADED.to_owned()]);
    }
    end(&mut html, &[], CAUTION);
    html
}

fn cards(told: &Drafted) -> Vec<Card> {
    match told.drafted {
        Ok(stages) => {
            let brought = Brought::of(stages);
            let grades: Vec<&str> = stages
                .iter()
                .map(|stage| stage.recipe.value.consumables.grade.as_str())
                .collect();
            let cycle = brought.as_ref().map_or(0.0, |brought| brought.cycle_s);
            let margin = brought.as_ref().map_or(0.0, |brought| brought.load_margin);
            vec![
                ("Abrasive", grades.join(", then "), verdict(told)),
                (
                    "Time on the machine",
                    duration(cycle),
                    "nominal cycles, loading not counted".to_owned(),
                ),
                (
                    "Worst load margin",
                    format!("{:.0} %", 100.0 * margin),
                    "of the load bound that a run comes nearest to".to_owned(),
                ),
            ]
        }
        Err(bound) => vec![("What binds", binds(&bound.limits), bound.said.clone())],
    }
}

fn of_stage(html: &mut String, stage: &Stage) {
    let id = &stage.recipe.value.id;
    list(html, &format!("{id}: proof"), &[proved(stage)]);
    let warnings: Vec<String> = stage
        .report
        .findings
        .iter()
        .map(|found| {
            format!(
                "{} {}: {}",
                found.severity.word(),
                found.code,
                found.message
            )
        })
        .collect();
    list(html, "What the check says beside", &warnings);
    list(
        html,
        "What was changed until it passed",
        &changed(&stage.changes),
    );
    let rows: Vec<Vec<String>> = stage
        .choices
        .iter()
        .map(|choice| vec![choice.key.clone(), choice.value.clone(), choice.why.clone()])
        .collect();
    worded(
        html,
        &format!("{id}: each number and its reason"),
        &["key", "value", "reason"],
        &rows,
    );
    let _ = write!(
        html,
        "<h2>{}.toml</h2><div class=\"sheet scroll\"><pre>{}</pre></div>",
        escape(id),
        escape(&stage.recipe.text)
    );
}

fn changed(changes: &[twinplate_draft::Change]) -> Vec<String> {
    changes
        .iter()
        .map(|change| format!("{} ({})", change.what, change.because))
        .collect()
}
