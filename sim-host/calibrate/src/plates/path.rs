//! What batches do to the plates for a wear coefficient, and the coefficient that fits.

use super::Which;
use super::sheet::{Data, Point};
use crate::least_squares::{Fit, fit};
use twinplate_sim::files::Set;
use twinplate_sim::flatness::forms_after;
use twinplate_sim::math::{abs, max, min};

/// What the batches do to the plates for each part of the wear coefficient, and the fit of it.
pub(super) struct Path {
    /// Of each reading, m; the fit's second regressor.
    done: Vec<f64>,
    /// What one batch does to either plate at the end, m.
    pub rate: [f64; 2],
    pub law: Fit,
    batches: Vec<f64>,
}

impl Path {
    /// Computes the path with the wear that it gives, until that stays.
    pub(super) fn of(data: &Data, which: Which, set: &Set) -> Option<Self> {
        const TURNS: usize = 30;
        let first = data
            .points
            .iter()
            .map(|p| p.batches)
            .fold(f64::INFINITY, min);
        let mut times: Vec<f64> = data.points.iter().map(|p| p.batches - first).collect();
        let batches = times.clone();
        times.sort_by(f64::total_cmp);
        let end = *times.last()?;
        times.push(end + 1.0);
        let mut machine = set.machine.value.clone();
        machine.plates.form = start(&data.points, first);
        let values: Vec<f64> = data.points.iter().map(|p| which.of(p.forms)).collect();
        let mut found: Option<Self> = None;
        for _ in 0..TURNS {
            let forms = forms_after(
                &machine,
                &set.batch.value,
                &set.recipe.value,
                data.measured,
                &times,
            );
            let wear = machine.plates.wear;
            let begun = which.of(*forms.first()?);
            let done: Vec<f64> = batches
                .iter()
                .map(|n| {
                    let at = times.iter().position(|time| time == n).unwrap_or(0);
                    (which.of(forms[at]) - begun) / wear
                })
                .collect();
            let rows: Vec<Vec<f64>> = done.iter().map(|done| vec![1.0, *done]).collect();
            let law = fit(&rows, &values).filter(|law| law.freedom > 0)?;
            let [before, after] = [forms.get(forms.len() - 2)?, forms.last()?];
            let rate = [0, 1].map(|face| (after[face] - before[face]) / wear);
            let next = law.coefficients[1];
            found = Some(Self {
                done,
                rate,
                law,
                batches: batches.clone(),
            });
            if abs(next - wear) < 1e-6 * wear || !(1e-4..10.0).contains(&next) {
                break;
            }
            machine.plates.wear = next;
        }
        found
    }

    /// The path until the last reading.
    pub(super) fn last(&self) -> f64 {
        let end = self.batches.iter().copied().fold(0.0, max);
        let at = self.batches.iter().position(|n| *n >= end);
        at.map_or(0.0, |at| self.done[at])
    }
}

/// The form with which the readings begin, m; flat where a plate was not measured.
fn start(points: &[Point], first: f64) -> [f64; 2] {
    let those: Vec<&Point> = points.iter().filter(|p| p.batches <= first).collect();
    [0, 1].map(|face| {
        let sum: f64 = those.iter().map(|p| p.forms[face]).sum();
        let mean = sum / those.len() as f64;
        // No more than the file's key holds.
        if mean.is_finite() {
            max(min(mean, 2e-4), -2e-4)
        } else {
            0.0
        }
    })
}
