//! What a run takes: time, slurry, the work of the drives.

use firmware_core::process_image::DRIVES;
use firmware_core::sequence::State;
use firmware_core::units::TICKS_PER_SECOND;
use twinplate_sim::bench::{Drawn, Job, Recorder, TickView, run_cycle};
use twinplate_sim::math::max;
use twinplate_sim::requirements::judge;

/// What a run took.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taken {
    /// Time of the cycle, s; of the whole run, where it was not finished.
    pub time: f64,
    /// Slurry pumped and not run back, m³.
    pub slurry: f64,
    /// Work at the shaft of each drive, J, in the order of the drives: torque times speed, where the drive drives; what it brakes away
    /// is not given back.
    pub energy: [f64; DRIVES],
}

/// Adds up the work of the drives, tick by tick.
struct Meter<'a>(&'a mut [f64; DRIVES]);

impl Recorder for Meter<'_> {
    fn record(&mut self, view: &TickView<'_>) {
        let tick = 1.0 / f64::from(TICKS_PER_SECOND);
        let drives = view.truth.torques.iter().zip(view.truth.speeds);
        for (sum, (torque, speed)) in self.0.iter_mut().zip(drives) {
            *sum += max(torque * speed, 0.0) * tick;
        }
    }
}

/// Runs the job on the machine as its file says. Gives what it took, whether it finished its batch, and how it ended.
pub(super) fn of_run(job: &Job, seed: u64) -> Result<(Taken, bool, String), String> {
    let setup = job.drawn(Drawn { seed, index: 0 });
    let mut energy = [0.0; DRIVES];
    let outcome = run_cycle(&setup, None, Meter(&mut energy)).map_err(|error| error.to_string())?;
    let summary = &outcome.summary;
    let whole = f64::from(summary.ticks) / f64::from(TICKS_PER_SECOND);
    let taken = Taken {
        time: summary.cycle.unwrap_or(whole),
        slurry: summary.slurry_used,
        energy,
    };
    let complete = summary.state == State::Complete;
    Ok((taken, complete, judge(job, &outcome).ending))
}
