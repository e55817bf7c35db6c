//! What the plant's truth owes: whenever a limit is truly passed for clearly longer than the row that guards it needs, that row must
//! have asked, whatever the fault and whatever the controller was shown.

use firmware_core::interlock::{Cond, fixed_debounce};
use firmware_core::sequence::{Phase, State};
use twinplate_sim::bench::{Job, TickView};
use twinplate_sim::math::{abs, max};

/// Share of the rated load by which a limit must truly be passed before it counts as passed: noise, runout and the cell's span
/// lie below it. Invented.
const CLEARLY: f64 = 0.02;
/// Share by which the load must be farther off than its band. Invented.
const CLEARLY_OFF: f64 = 1.5;
/// Speed of a drive against its setpoint that counts, rad/s: twice what row 25 asks for.
const AGAINST: f64 = 0.21;

/// Limits of the plant that are watched in truth: the row that guards each, and the ticks for which it must be passed before the row
/// is owed (the row's debounce; filters and noise beside it).
pub const WATCHED: [(Cond, u32); 4] = [
    owed(Cond::LoadLimit, 60),
    owed(Cond::FirstContact, 40),
    owed(Cond::LoadBand, 500),
    owed(Cond::Direction, 60),
];

const fn owed(row: Cond, beside: u32) -> (Cond, u32) {
    (row, fixed_debounce(row) + beside)
}

/// For how long the limits are truly passed, and the rows that were not heard in time.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Witness {
    now: [u32; WATCHED.len()],
    /// Stretches, ticks, at whose end the row had still not asked, in the order of [`WATCHED`]; zero where it had.
    unheard: [u32; WATCHED.len()],
}

impl Witness {
    /// Looks at one tick. `asked` are the rows that have asked since the fault.
    pub fn look(&mut self, job: &Job, view: &TickView<'_>, asked: u64) {
        for (((now, unheard), passed), (row, ticks)) in self
            .now
            .iter_mut()
            .zip(&mut self.unheard)
            .zip(passed(job, view))
            .zip(WATCHED)
        {
            *now = if passed { *now + 1 } else { 0 };
            if *now > ticks && (asked & row.bit() == 0 || *unheard > 0) {
                *unheard = (*unheard).max(*now);
            }
        }
    }

    /// Rows that should have asked by what is true and had not when it was time, with the longest stretch, ticks.
    pub fn unheard(&self) -> impl Iterator<Item = (Cond, u32)> {
        WATCHED
            .iter()
            .zip(self.unheard)
            .filter(|(_, stretch)| *stretch > 0)
            .map(|((row, _), stretch)| (*row, stretch))
    }
}

fn passed(job: &Job, view: &TickView<'_>) -> [bool; WATCHED.len()] {
    use Phase::{
        Dwell, LoadRamp, LoadRelease, Lower, Rinse, RunDown, RunUp, SlurryPrestart, TouchDown,
    };
    let (status, truth) = (view.status, &view.truth);
    let control = &job.machine.control;
    let load = truth.load_without_runout;
    let clearly = CLEARLY * control.rated_load;
    let steps = &job.compiled.steps;
    let step = usize::from(status.step);
    let limit_of = |step: usize| {
        steps
            .get(step)
            .map_or(0.0, |s| f64::from(s.load_limit.get()))
    };
    // While the load comes down from the step before, that step's limit is in force.
    let limit = max(limit_of(step), limit_of(step.saturating_sub(1)));
    let running = status.state == State::Running;
    let contact = running
        && matches!(
            status.phase,
            TouchDown | SlurryPrestart | RunUp | LoadRamp | Dwell | LoadRelease | Rinse | RunDown
        );
    let setpoint = steps.get(step).map_or(0.0, |s| f64::from(s.load.get()));
    let band = max(control.band_newtons, control.band_share * setpoint);
    let against = view
        .outputs
        .drives
        .iter()
        .zip(truth.speeds)
        .any(|(drive, speed)| {
            drive.enable && f64::from(drive.setpoint) * speed < 0.0 && abs(speed) > AGAINST
        });
    [
        contact && load > limit + clearly,
        running
            && matches!(status.phase, Lower | TouchDown)
            && load > control.first_contact_limit + clearly,
        running && status.phase == Dwell && abs(load - setpoint) > CLEARLY_OFF * band,
        running
            && matches!(
                status.phase,
                RunUp | LoadRamp | Dwell | LoadRelease | Rinse | RunDown
            )
            && against,
    ]
}
