//! How the plate leant in a run, and the moment that the layout of the parts needs, as reports tell it.

use serde::Serialize;
use twinplate_sim::bench::summary::Summary;
use twinplate_sim::model::{Machine, Of, Shown, micrometres};

/// Moment under which a layout balances, N·m: rounding, and far under what a gimbal's bearing takes to move.
const BALANCED: f64 = 0.005;

/// How the upper plate leant under load.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LeaningReport {
    /// Largest difference of height across the plate's outer diameter, µm.
    pub across_um: f64,
    /// When, s.
    pub time_s: f64,
    /// Moment about the gimbal that would have held it level at the highest load, N·m: load times how far the middle of what carries
    /// it comes from the gimbal.
    pub moment_n_m: f64,
}

impl LeaningReport {
    /// Of a run.
    #[must_use]
    pub fn of(summary: &Summary, machine: &Machine) -> Self {
        let leaning = summary.leaning;
        Self {
            across_um: micrometres(leaning.slope * machine.geometry.plate_outer),
            // Ticks of a run are far below 2^53.
            #[allow(clippy::cast_precision_loss)]
            time_s: leaning.tick as f64 / 1e3,
            moment_n_m: if leaning.moment < BALANCED {
                0.0
            } else {
                leaning.moment
            },
        }
    }

    /// One clause.
    #[must_use]
    pub fn words(&self, shown: &Shown) -> String {
        let layout = if self.moment_n_m > 0.0 {
            format!(
                "the layout needs {} about the gimbal",
                shown.tell(Of::Torque, self.moment_n_m, 2)
            )
        } else {
            "the layout balances".to_owned()
        };
        format!(
            "plate out of level by {} across at most (at {:.1} s), {layout}",
            shown.tell(Of::Form, self.across_um, 2),
            self.time_s
        )
    }
}
