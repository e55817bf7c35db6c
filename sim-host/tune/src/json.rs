//! What programs read of a tuning: schema 1, fields only ever added. What is no finite number is `null`.

use super::candidates::{Broken, OnLines};
use super::compare::Comparison;
use super::judge::Judgement;
use super::recommend::Candidate;
use super::work::{LogStudy, TuneReport};
use serde_json::{Value, json};
use twinplate_linear::Margins;
use twinplate_sim::model::Gains;

/// A report as JSON.
#[must_use]
pub fn report(report: &TuneReport) -> Value {
    let found = &report.recommendation;
    let (verdict, chosen, nothing) = match &found.answer {
        Ok(chosen) => ("recommended", Some(chosen), None),
        Err(nothing) => ("nothing", None, Some(nothing)),
    };
    json!({
        "schema": 1,
        "verdict": verdict,
        "machine": report.machine.as_ref().map(|[id, _]| id),
        "batch": report.batch,
        "contradictions": report.contradicts.iter().map(broken).collect::<Vec<_>>(),
        "tuned_for": report.tuned_for,
        "notes": report.notes,
        "units": { "command": report.units[0], "output": report.units[1] },
        "seed": report.options.seed,
        "trial": report.plan.map(|plan| json!({
            "low_n": plan.low,
            "high_n": plan.high,
            "limit_n": plan.limit,
            "ramp_n_s": plan.ramp,
            "disturbance_n": plan.disturbance,
            "window_s": plan.window,
            "stand_in": plan.stand_in,
        })),
        "log": report.log.as_ref().map(log),
        "relay": report.experiment.as_ref().and_then(|e| e.relay).map(|reading| json!({
            "period_s": reading.cycle.period,
            "amplitude_n": reading.cycle.amplitude,
            "describing": { "gain": reading.describing.kc, "period_s": reading.describing.period() },
            "exact": { "gain": reading.exact_ultimate.kc, "period_s": reading.exact_ultimate.period() },
        })),
        "recommended": chosen.map(|chosen| {
            let candidate = &found.candidates[chosen.index];
            json!({
                "name": candidate.named.name,
                "gains": gains(&candidate.named.gains),
                "reasons": chosen.reasons,
                "limited_by": chosen.limited_by,
                "judged": chosen.judged.as_ref().map(judgement),
            })
        }),
        "nothing": nothing.map(|nothing| json!({
            "nearest": found.candidates.get(nothing.nearest).map(|c| &c.named.name),
            "binds": broken(&nothing.binds),
            "freeing": nothing.freeing.iter().map(|tried| json!({
                "change": tried.change,
                "frees": tried.frees,
            })).collect::<Vec<_>>(),
        })),
        "no_optimum": found.no_optimum,
        "candidates": found.candidates.iter().map(candidate).collect::<Vec<_>>(),
    })
}

/// A comparison as JSON.
#[must_use]
pub fn comparison(found: &Comparison) -> Value {
    let side = |n: usize| {
        let side = &found.sides[n];
        json!({
            "from": side.named.from,
            "gains": gains(&side.named.gains),
            "lines": on_lines(&side.on_lines),
            "judged": side.judged.as_ref().map(judgement),
            "breaks": side.broken.iter().map(broken).collect::<Vec<_>>(),
        })
    };
    json!({
        "schema": 1,
        "verdict": found.verdict.word(),
        "reason": found.reason,
        "machines_differ": found.machines_differ,
        "old": side(0),
        "new": side(1),
    })
}

fn gains(gains: &Gains) -> Value {
    json!({ "proportional": gains.kc, "integral_time_s": gains.ti, "setpoint_weight": gains.weight })
}

fn candidate(candidate: &Candidate) -> Value {
    json!({
        "name": candidate.named.name,
        "from": candidate.named.from,
        "gains": gains(&candidate.named.gains),
        "lines": on_lines(&candidate.on_lines),
        "judged": candidate.judged.as_ref().map(judgement),
        "breaks": candidate.broken.iter().map(broken).collect::<Vec<_>>(),
    })
}

fn on_lines(found: &OnLines) -> Value {
    json!({
        "nominal": margins(&found.nominal),
        "worst": margins(&found.worst),
        "worst_at": found.worst_at,
        "stable": found.stable,
        "worst_error": found.worst_iae,
        "overshoot": found.measures.map(|[reference, _]| reference.overshoot),
        "travel": found.measures.map(|[_, disturbance]| disturbance.travel),
        "noise": found.noise,
    })
}

fn margins(margins: &Margins) -> Value {
    json!({
        "stable": margins.stable,
        "gain": margins.gain,
        "phase_rad": margins.phase,
        "delay_s": margins.delay,
        "ms": margins.sensitivity,
        "mt": margins.complementary,
    })
}

fn broken(broken: &Broken) -> Value {
    json!({
        "what": broken.what,
        "value": broken.value,
        "bound": broken.bound,
        "unit": broken.unit,
        "at": broken.at,
    })
}

fn judgement(judged: &Judgement) -> Value {
    let nominal = &judged.nominal.measured;
    let worst = |value: super::judge::Worst| json!({ "value": value.value, "run": value.run });
    json!({
        "runs": judged.runs,
        "failed": judged.failed,
        "demands": judged.demands.iter().map(|worst| json!({
            "what": worst.demand.what(),
            "value": worst.value,
            "bound": worst.bound,
            "unit": worst.demand.unit(),
            "run": worst.run,
            "failed": worst.failed,
            "ending": worst.ending,
        })).collect::<Vec<_>>(),
        "nominal": {
            "overshoot_n": nominal.largest_over,
            "settling_s": nominal.settling,
            "error_ramp_n_s": nominal.iae_setpoint,
            "error_disturbance_n_s": nominal.iae_disturbance,
            "deviation_n": nominal.peak_deviation,
            "recovery_s": nominal.recovery,
            "hunting_n": nominal.hunting.amplitude,
            "hunting_period_s": nominal.hunting.period,
            "travel_1_s": nominal.travel,
            "noise_gain": nominal.noise_gain,
            "control_hash": format!("{:#018x}", judged.nominal.control_hash),
        },
        "worst": {
            "overshoot_n": worst(judged.overshoot),
            "settling_s": worst(judged.settling),
            "error_ramp_n_s": worst(judged.iae_setpoint),
            "error_disturbance_n_s": worst(judged.iae_disturbance),
            "deviation_n": worst(judged.peak_deviation),
            "recovery_s": worst(judged.recovery),
            "hunting_n": worst(judged.hunting),
            "hunting_period_s": judged.hunting_period,
            "travel_1_s": worst(judged.travel),
            "noise_gain": worst(judged.noise_gain),
        },
    })
}

fn log(study: &LogStudy) -> Value {
    let estimate =
        |e: super::identify::Estimate| json!({ "value": e.value, "low": e.low, "high": e.high });
    json!({
        "name": study.log.name,
        "samples": study.log.time_s.len(),
        "columns": study.log.columns.iter().map(|column| json!({
            "number": column.number,
            "name": column.name,
            "unit": column.unit,
            "log_unit": column.log_unit,
        })).collect::<Vec<_>>(),
        "notes": study.log.notes,
        "defects": study.log.defects.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "warnings": study.found.warnings.iter().map(|warning| json!({
            "code": warning.code(),
            "text": warning.to_string(),
        })).collect::<Vec<_>>(),
        "models": study.found.fits.iter().map(|fit| json!({
            "form": fit.words,
            "gain": estimate(fit.parameters.gain),
            "lag_s": estimate(fit.parameters.tau1),
            "second_lag_s": estimate(fit.parameters.tau2),
            "dead_time_s": estimate(fit.parameters.dead_time),
            "fit": fit.fit,
            "rms": fit.rms,
        })).collect::<Vec<_>>(),
    })
}
