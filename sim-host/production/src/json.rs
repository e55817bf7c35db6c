//! What programs read of a correction: schema 1, fields only ever added. SI units.

use crate::capability::{Capability, Indices, Refused};
use crate::correct::{By, Report, Row};
use crate::trend::Due;
use serde_json::{Value, json};
use twinplate_calibrate::least_squares::Estimate;

fn estimate(found: &Estimate) -> Value {
    json!({ "value": found.value, "deviation": found.deviation, "low": found.low, "high": found.high })
}

fn due(found: Due) -> Value {
    json!({ "soonest": found.soonest, "expected": found.expected, "latest": found.latest })
}

fn indices(found: &Indices) -> Value {
    json!({ "width": estimate(&found.width), "nearer": estimate(&found.nearer) })
}

fn capability(found: &Result<Capability, Refused>) -> Value {
    match found {
        Ok(found) => json!({
            "mean_m": found.mean,
            "sd_m": found.sd,
            "observed_sd_m": found.observed,
            "gauge_share": found.gauge_share,
            "gauge_over_tolerance": found.gauge_width,
            "batches": found.counted[0],
            "parts": found.counted[1],
            "of_means": found.of_means,
            "performance": indices(&found.performance),
            "within_batches": found.within.as_ref().map(indices),
            "by_percentiles": found.by_percentiles,
        }),
        Err(refused) => json!({
            "refused": match refused {
                Refused::TooFew => "too few batches",
                Refused::Gauge(_) => "the gauge dominates",
                Refused::NoSpread => "nothing varies",
            },
            "gauge_share": match refused {
                Refused::Gauge(share) => Some(share),
                Refused::TooFew | Refused::NoSpread => None,
            },
        }),
    }
}

fn row(found: &Row) -> Value {
    let batch = &found.batch;
    json!({
        "line": batch.line,
        "batch": batch.name,
        "date": batch.date,
        "before_m": batch.before,
        "after_m": batch.after,
        "time_s": batch.time,
        "load_n": batch.load,
        "event": batch.done.words(),
        "rate_m_s": found.rate,
        "filtered_m_s": found.filtered.map(|[value, _]| value),
        "filtered_deviation_m_s": found.filtered.map(|[_, deviation]| deviation),
        "expected_m_s": found.expected.map(|[value, _]| value),
    })
}

/// A correction as JSON.
#[must_use]
pub fn report(report: &Report) -> Value {
    let next = &report.next;
    let unit = match report.by {
        By::Time => "s",
        By::Load => "Pa",
    };
    json!({
        "schema": 1,
        "verdict": if report.beyond.is_empty() { "corrected" } else { "beyond the recipe" },
        "file": report.file,
        "recipe": report.recipe,
        "step": report.step.1,
        "unit": unit,
        "batches": report.count,
        "target_m": report.target[0],
        "tolerance_m": report.target[1],
        "rate_m_s": estimate(&report.rate),
        "deviations": {
            "walk": report.deviations[0],
            "scatter": report.deviations[1],
            "step": report.deviations[2],
        },
        "gain": report.gain,
        "drift": report.drift.map(|drift| json!({
            "statistic": drift.statistic, "chance": drift.chance, "told": drift.told(),
        })),
        "outliers": report.off.iter().map(|off| json!({
            "line": report.rows.get(off.outlier.at).map(|row| row.batch.line),
            "off_m_s": off.outlier.off,
            "deviations": off.outlier.deviations,
            "without": off.without,
        })).collect::<Vec<_>>(),
        "next": {
            "batch": next.name,
            "event": next.done.words(),
            "incoming_m": estimate(&next.incoming),
            "incoming_measured": next.measured,
            "old": next.old,
            "new": estimate(&next.new),
            "load_n": next.load,
            "size_m": estimate(&next.size),
            "unchanged_size_m": next.unchanged,
            "beyond": report.beyond,
        },
        "slurry": report.slurry.as_ref().map(|slurry| json!({
            "fall_told": slurry.told,
            "half_life_j_m2": slurry.half_life.map(|work| work.is_finite().then_some(work)),
            "breakdown_work_j_m2": slurry.breakdown,
            "work_a_batch_j_m2": slurry.a_batch,
            "least_rate_m_s": slurry.least,
            "by_longest": slurry.by_longest,
            "due": due(slurry.due),
        })),
        "forms": report.forms.iter().map(|trend| json!({
            "what": trend.what,
            "now_m": estimate(&trend.now),
            "growth_m": estimate(&trend.growth),
            "told": trend.told,
            "limit_m": trend.limit,
            "due": due(trend.due),
        })).collect::<Vec<_>>(),
        "capability": capability(&report.capability),
        "rows": report.rows.iter().map(row).collect::<Vec<_>>(),
    })
}
