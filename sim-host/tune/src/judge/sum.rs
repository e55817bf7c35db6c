//! Many runs summed up: worst cases, and responses folded to bands.

use super::{Band, DEMANDS, Demand, Judgement, Run, Worst, WorstDemand};
use crate::watch::{Measured, Responses, SAMPLE};
use twinplate_sim::math::{max, min};
use twinplate_sim::model::Gains;

/// Sums up runs in the order of their numbers; a tie goes to the lower number.
pub(super) fn sum_up(gains: Gains, runs: &[Run], kept: &[Responses]) -> Judgement {
    let worst = |measure: fn(&Measured) -> f64| {
        let mut found = Worst::default();
        for run in runs {
            let value = measure(&run.measured);
            if value > found.value {
                found = Worst {
                    value,
                    run: run.index,
                };
            }
        }
        found
    };
    let hunting = worst(|m| m.hunting.amplitude);
    let hunting_period = runs
        .iter()
        .find(|run| run.index == hunting.run)
        .map_or(0.0, |run| run.measured.hunting.period);
    Judgement {
        gains,
        runs: runs.len(),
        failed: runs.iter().filter(|run| !run.passes()).count(),
        nominal: runs.first().cloned().unwrap_or_else(|| Run {
            index: 0,
            measured: Measured::default(),
            trip: None,
            harm: 0,
            band: 0.0,
            control_hash: 0,
        }),
        demands: DEMANDS
            .iter()
            .filter_map(|demand| worst_demand(*demand, runs))
            .collect(),
        overshoot: worst(|m| m.largest_over),
        settling: worst(|m| m.settling),
        iae_setpoint: worst(|m| m.iae_setpoint),
        iae_disturbance: worst(|m| m.iae_disturbance),
        peak_deviation: worst(|m| m.peak_deviation),
        recovery: worst(|m| m.recovery),
        hunting,
        hunting_period,
        travel: worst(|m| m.travel),
        noise_gain: worst(|m| m.noise_gain),
        setpoint_band: band(kept, |r| (&r.setpoint, Some(&r.reference))),
        disturbance_band: band(kept, |r| (&r.disturbance, None)),
    }
}

fn worst_demand(demand: Demand, runs: &[Run]) -> Option<WorstDemand> {
    let used = |run: &Run| {
        let (value, bound) = run.of(demand);
        if bound > 0.0 { value / bound } else { value }
    };
    let mut found: Option<&Run> = None;
    for run in runs {
        if found.is_none_or(|worst| used(run) > used(worst)) {
            found = Some(run);
        }
    }
    let run = found?;
    let (value, bound) = run.of(demand);
    Some(WorstDemand {
        demand,
        value,
        bound,
        run: run.index,
        failed: runs.iter().filter(|run| !run.holds(demand)).count(),
        ending: (demand == Demand::NoTrip)
            .then(|| run.trip.clone())
            .flatten(),
    })
}

/// Folds responses; runs that tripped early count as far as they came.
fn band(kept: &[Responses], which: impl Fn(&Responses) -> (&Vec<f64>, Option<&Vec<f64>>)) -> Band {
    let Some(first) = kept.first() else {
        return Band::default();
    };
    let (nominal, reference) = which(first);
    let mut low = nominal.clone();
    let mut high = nominal.clone();
    for responses in &kept[1..] {
        let (values, _) = which(responses);
        for (at, value) in values.iter().enumerate().take(nominal.len()) {
            low[at] = min(low[at], *value);
            high[at] = max(high[at], *value);
        }
    }
    let step = f64::from(SAMPLE) / 1e3;
    Band {
        time: (0..nominal.len()).map(|at| at as f64 * step).collect(),
        reference: reference.map_or_else(|| vec![0.0; nominal.len()], Clone::clone),
        nominal: nominal.clone(),
        low,
        high,
    }
}
