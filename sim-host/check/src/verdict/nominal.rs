//! What the nominal run gave, in the form of the prediction.

use super::{PredictionReport, Thickness};
use crate::case::Case;
use crate::predict::{PhaseSpan, Prediction};
use firmware_core::sequence::Phase;
use twinplate_sim::bench::Summary;
use twinplate_sim::bench::summary::StepSummary;
use twinplate_sim::math::{max, round};
use twinplate_sim::model::micrometres;
use twinplate_sim::plant::FormTruth;
use twinplate_sim::plant::part_form::bands;
use twinplate_sim::requirements::seen_um;

/// What the nominal run gave; where it did not complete, the closed form keeps the word on size, finish and time.
#[must_use]
pub(crate) fn report_of(
    case: &Case,
    summary: &Summary,
    prediction: &Prediction,
) -> PredictionReport {
    let mut report = PredictionReport::closed_form(prediction);
    report.peak_load_n = summary
        .steps
        .iter()
        .filter_map(|step| step.peak)
        .map(|peak| peak.value)
        .fold(None, |top: Option<f64>, peak| {
            Some(top.map_or(peak, |top| max(top, peak)))
        });
    report.peak_overshoot_pct = summary
        .steps
        .iter()
        .filter_map(StepSummary::overshoot_share)
        .map(|share| max(share, 0.0) * 100.0)
        .fold(None, |top: Option<f64>, share| {
            Some(top.map_or(share, |top| max(top, share)))
        });
    report.phases = spans(summary);
    if let Some(cycle) = summary.cycle {
        let parts = &summary.parts;
        report.cycle_s = cycle;
        report.thickness_um = Thickness {
            mean: micrometres(parts.mean),
            sd: micrometres(parts.sd),
            min: micrometres(parts.min),
            max: micrometres(parts.max),
        };
        report.roughness_um = micrometres(summary.roughness);
        told_form(&mut report, &summary.form, case.batch.wavelength);
        report.slurry_l = summary.slurry_used * 1e3;
        report.parts_per_hour = f64::from(case.batch.parts) * 3600.0 / max(cycle, 1.0);
    }
    report
}

/// Form of plates and parts, no finer than a gauge sees it.
fn told_form(report: &mut PredictionReport, form: &FormTruth, wavelength: f64) {
    report.flatness_um = Some(seen_um(form.flatness));
    report.flatness_bands = Some(round(bands(form.flatness, wavelength) * 10.0) / 10.0);
    report.parallelism_um = Some(seen_um(form.variation));
    report.roll_off_um = Some(seen_um(form.roll));
    report.pressure_pct = Some(form.contact.map(|share| round(share * 100.0)));
    report.plates_um = Some(form.warm.map(seen_um));
}

/// Phases of a run on the time line.
#[must_use]
pub fn spans(summary: &Summary) -> Vec<PhaseSpan> {
    summary
        .intervals
        .iter()
        .map(|interval| PhaseSpan {
            phase: interval.phase,
            step: if interval.phase.in_step() || interval.phase == Phase::RunUp {
                interval.step + 1
            } else {
                0
            },
            start_s: f64::from(interval.start) / 1e3,
            end_s: f64::from(interval.end) / 1e3,
        })
        .collect()
}
