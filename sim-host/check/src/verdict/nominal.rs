//! What the nominal run gave, in the form of the prediction.

use super::{DamageReport, FormReport, PlateWear, PredictionReport, Thickness};
use crate::case::Case;
use crate::inspection::{FacesReport, MapReport};
use crate::leaning::LeaningReport;
use crate::part_load::LargestPart;
use crate::predict::{PhaseSpan, Prediction};
use firmware_core::sequence::Phase;
use twinplate_sim::bench::summary::StepSummary;
use twinplate_sim::bench::{Outcome, Summary};
use twinplate_sim::math::max;
use twinplate_sim::model::micrometres;
use twinplate_sim::plant::plate_form::PlateForm;

/// What the nominal run gave; where it did not complete, the closed form keeps the word on size, finish and time.
#[must_use]
pub(crate) fn report_of(case: &Case, run: &Outcome, prediction: &Prediction) -> PredictionReport {
    let summary = &run.summary;
    let mut report = PredictionReport::closed_form(case, prediction);
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
    report.largest_part = LargestPart::of(summary);
    let new = PlateForm::new(case.machine);
    report.faces = FacesReport::of(case.machine, case.batch, run);
    report.map = Some(MapReport::of(case.machine, case.batch, run, &new));
    report.leaning = Some(LeaningReport::of(summary, case.machine));
    report.phases = spans(summary);
    if let Some(cycle) = summary.cycle {
        report.cycle_s = cycle;
        report.thickness_um = Thickness::of(&summary.parts);
        report.roughness_um = micrometres(summary.roughness);
        if let Some(left) = &summary.damage_left {
            report.damage_left = DamageReport::of(case.batch, &case.recipe.consumables, left);
        }
        let form = FormReport::of(&summary.form, case.batch.wavelength);
        told_form(&mut report, &form);
        report.wear = PlateWear::of(case);
        report.slurry_l = summary.slurry_used * 1e3;
        report.parts_per_hour = f64::from(case.batch.parts) * 3600.0 / max(cycle, 1.0);
    }
    report
}

/// Puts the form of parts and plates into the report.
fn told_form(report: &mut PredictionReport, form: &FormReport) {
    report.flatness_um = Some(form.flatness_um);
    report.flatness_bands = Some(form.flatness_bands);
    report.parallelism_um = Some(form.parallelism_um);
    report.roll_off_um = Some(form.roll_off_um);
    report.pressure_pct = Some(form.pressure_pct);
    report.plates_um = Some(form.plates_um);
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
