//! What programs read of a calibration: schema 1, fields only ever added. Quantities in the units typed say so; the rest is SI.

use super::cell::{By, CellReport, Criterion};
use super::keys::{Found, KeysReport};
use super::least_squares::{Estimate, FTest, Row};
use super::removal::{Exponent, RemovalReport, Unknown};
use serde_json::{Value, json};

pub(crate) fn estimate(found: &Estimate) -> Value {
    json!({ "value": found.value, "deviation": found.deviation, "low": found.low, "high": found.high })
}

pub(crate) fn test(found: &FTest) -> Value {
    json!({ "f": found.f, "freedom": found.freedom, "chance": found.chance })
}

pub(crate) fn row(found: &Row) -> Value {
    json!({
        "line": found.line,
        "residual": found.residual,
        "leverage": found.leverage,
        "studentised": found.studentised,
        "outlier": found.outlier,
    })
}

/// A cell as JSON.
#[must_use]
pub fn cell(report: &CellReport) -> Value {
    let limit = &report.lower_limit;
    let class = &report.class;
    json!({
        "schema": 1,
        "verdict": if report.fits { "fits" } else { "does not fit" },
        "file": report.file,
        "units": { "load": report.load_unit, "reading": report.reading_unit, "newtons": report.newtons },
        "degree": report.degree,
        "chosen_by": match report.by {
            By::LackOfFit => "lack of fit",
            By::NextDegree => "gain of the next two degrees",
        },
        "tried": report.tried.iter().map(|tried| json!({
            "degree": tried.degree,
            "deviation": tried.deviation,
            "test": tried.test.as_ref().map(test),
            "fits": tried.fits,
        })).collect::<Vec<_>>(),
        "coefficients": report.coefficients.iter().map(estimate).collect::<Vec<_>>(),
        "deviation": report.deviation,
        "freedom": report.freedom,
        "explained": report.explained,
        "lower_limit": {
            "factor": limit.factor,
            "ratio": limit.ratio,
            "lacks": limit.lacks,
            "ranges": limit.ranges.iter().map(|(class, from, range)| json!({
                "class": class, "from": from, "range": range,
            })).collect::<Vec<_>>(),
        },
        "transfer": {
            "class": class.class.map(|(class, _)| class),
            "range": class.class.map(|(_, range)| range),
            "lacks": class.lacks,
            "criteria": class.criteria.iter().map(|found| criterion(found, class.from)).collect::<Vec<_>>(),
        },
        "nonlinearity": { "share": report.nonlinearity[0], "load": report.nonlinearity[1] },
        "hysteresis": report.hysteresis,
        "spread": report.spread,
        "rows": report.rows.iter().zip(&report.points).map(|(found, [load, deflection])| {
            let mut row = row(found);
            row["load"] = json!(load);
            row["deflection"] = json!(deflection);
            row
        }).collect::<Vec<_>>(),
        "notes": report.notes,
        "keys": report.keys.as_ref().map(|keys| json!({
            "nonlinearity": estimate(&keys.nonlinearity),
            "counts_at_range": keys.counts_at_range.as_ref().map(estimate),
            "reach": keys.reach,
        })),
    })
}

fn criterion(found: &Criterion, from: f64) -> Value {
    let worst = found.worst(from);
    json!({
        "name": found.name,
        "share": worst.map(|worst| worst.share),
        "load": worst.and_then(|worst| worst.load),
        "allows": found.allows(from),
    })
}

fn exponent(found: &Exponent) -> Value {
    match found {
        Exponent::Told(value) => estimate(value),
        Exponent::Untold(why) => json!({ "untold": why }),
    }
}

/// Removal as JSON.
#[must_use]
pub fn removal(report: &RemovalReport) -> Value {
    let units = &report.units;
    json!({
        "schema": 1,
        "verdict": report.preston.word(),
        "file": report.file,
        "units": {
            "length": units.length.symbol,
            "pressure": units.pressure.symbol,
            "speed": units.speed.symbol,
            "time": units.time.symbol,
        },
        "middle": {
            "pressure_pa": report.middle.pressure,
            "speed_m_s": report.middle.speed,
            "time_s": report.middle.time,
        },
        "test": report.test.as_ref().map(test),
        "exponents": { "pressure": exponent(&report.exponents[0]), "speed": exponent(&report.exponents[1]) },
        "decline_per_s": exponent(&report.decline),
        "coefficients": report.coefficients.iter().map(|found| json!({
            "abrasive": found.abrasive,
            "trials": found.trials,
            "fresh_per_pa": estimate(&found.fresh),
            "mean_per_pa": estimate(&found.mean),
            "rate_m_s": estimate(&found.rate),
        })).collect::<Vec<_>>(),
        "scatter": report.scatter,
        "freedom": report.freedom,
        "lack_of_fit": report.lack_of_fit.as_ref().map(test),
        "rows": report.rows.iter().zip(&report.rates).map(|(found, [measured, fitted])| {
            let mut row = row(found);
            row["rate_m_s"] = json!(measured);
            row["fitted_m_s"] = json!(fitted);
            row
        }).collect::<Vec<_>>(),
        "plan": report.plan.as_ref().map(|plan| json!({
            "trials": plan.trials.iter().map(|next| json!({
                "abrasive": report.coefficients.get(next.trial.abrasive).map(|c| &c.abrasive),
                "pressure_pa": next.trial.pressure,
                "speed_m_s": next.trial.speed,
                "time_s": next.trial.time,
                "removed_m": next.trial.removed,
                "like_line": next.like.0,
                "speeds_times": next.like.1,
            })).collect::<Vec<_>>(),
            "volume": plan.volume,
            "beyond_tried": plan.beyond,
            "half_widths": plan.gains.iter().map(|gain| json!({
                "of": match gain.of {
                    Unknown::Coefficient(_) => "coefficient, share",
                    Unknown::Pressure => "pressure exponent",
                    Unknown::Speed => "speed exponent",
                    Unknown::Decline => "decline, 1/s",
                },
                "abrasive": match gain.of {
                    Unknown::Coefficient(at) => report.coefficients.get(at).map(|c| &c.abrasive),
                    _ => None,
                },
                "before": gain.before,
                "after": gain.after,
            })).collect::<Vec<_>>(),
        })),
        "notes": report.notes,
    })
}

/// Keys of a machine file as JSON: values in SI units, `written` as it goes into the file in `unit`.
#[must_use]
pub fn keys(report: &KeysReport) -> Value {
    json!({
        "schema": 1,
        "verdict": report.word(),
        "sheet": report.kind.word(),
        "file": report.file,
        "keys": report.keys.iter().map(|key| {
            let mut found = json!({
                "table": key.table,
                "key": key.name,
                "unit": key.unit.symbol,
                "readings": key.readings,
            });
            match &key.found {
                Found::Told { estimate: told, written } => {
                    found["estimate"] = estimate(told);
                    found["written"] = json!(key.typed(*written));
                    found["cautious"] = json!(key.cautious());
                }
                Found::Untold(why) => found["untold"] = json!(why),
            }
            found
        }).collect::<Vec<_>>(),
        "findings": report.findings,
        "contradicted": report.contradicted,
        "rows": report.groups.iter().flat_map(|group| {
            group.rows.iter().zip(&group.values).map(|(found, [measured, fitted])| {
                let mut row = row(found);
                row["of"] = json!(group.name);
                row["measured"] = json!(measured);
                row["fitted"] = json!(fitted);
                row["unit"] = json!(group.value);
                row
            }).collect::<Vec<_>>()
        }).collect::<Vec<_>>(),
        "notes": report.notes,
    })
}
