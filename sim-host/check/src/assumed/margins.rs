//! What runs leave of the bounds they are judged by, and what is taken of that.

use twinplate_sim::bench::{Job, NoRecorder, PortError, ensemble, run_cycle};
use twinplate_sim::math::{max, min};
use twinplate_sim::plant::seed::substream;
use twinplate_sim::requirements::{Judged, Requirement, RunJudgement, judge};

/// Runs of the machine as assumed with other noise and other parts of the same batch. What they differ by no key has done.
pub(super) const NOISES: usize = 4;

/// A margin under this share of its bound counts as so much, so that a requirement at its bound does not hide all others.
const LEAST: f64 = 0.05;

/// Share of its bound that a requirement leaves, -1 where it is broken through and through.
fn margin(item: &Judged) -> f64 {
    let left = max(1.0 - item.used(), -1.0);
    // What merely counts has no share to be over.
    if item.holds() {
        left
    } else {
        min(left, if item.limit > 0.0 { 0.0 } else { -1.0 })
    }
}

/// The smallest margin of a run, and what has it.
#[must_use]
pub fn smallest(run: &RunJudgement) -> (f64, &'static str) {
    run.items.iter().fold((1.0, ""), |(least, what), item| {
        let left = margin(item);
        if left < least || what.is_empty() {
            (left, item.requirement.what())
        } else {
            (least, what)
        }
    })
}

/// What a run leaves of one requirement, in whichever step it is judged; -1 where it never came to that.
fn left(run: &RunJudgement, requirement: Requirement) -> f64 {
    let of = run
        .items
        .iter()
        .filter(|item| item.requirement == requirement);
    of.map(margin).reduce(min).unwrap_or(-1.0)
}

/// How far noise alone moves what is left of each requirement.
pub(super) struct Noise(Vec<(Requirement, f64)>);

impl Noise {
    /// Of a job whose nominal run is there.
    pub fn of(
        job: &Job,
        seed: u64,
        nominal: &RunJudgement,
        threads: usize,
        progress: &(dyn Fn(usize) + Sync),
    ) -> Result<Self, PortError> {
        let ran = ensemble(NOISES, threads, progress, |index| {
            let noise = substream(seed, "assumed", "noise", index as u64);
            run_cycle(&job.nominal(noise), None, NoRecorder).map(|outcome| judge(job, &outcome))
        });
        let ran: Vec<RunJudgement> = ran.into_iter().collect::<Result<_, _>>()?;
        let width = |requirement| {
            let of = || {
                ran.iter()
                    .chain([nominal])
                    .map(|run| left(run, requirement))
            };
            of().fold(-1.0, max) - of().fold(1.0, min)
        };
        let mut widths: Vec<(Requirement, f64)> = Vec::new();
        for item in &nominal.items {
            if widths.iter().all(|(other, _)| *other != item.requirement) {
                widths.push((item.requirement, width(item.requirement)));
            }
        }
        Ok(Self(widths))
    }

    /// What another run takes of what the nominal one leaves.
    pub fn taken(&self, nominal: &RunJudgement, run: &RunJudgement) -> Taken {
        let mut taken = Taken::default();
        for (requirement, noise) in &self.0 {
            let before = left(nominal, *requirement);
            let lost = before - left(run, *requirement);
            let share = |lost: f64| lost / max(before, LEAST);
            taken.with_noise = max(taken.with_noise, share(lost));
            if share(lost - noise) > taken.beyond {
                taken.beyond = share(lost - noise);
                taken.of = requirement.what();
            }
        }
        taken
    }
}

/// Largest shares that a run takes of what is left of any requirement.
#[derive(Clone, Copy, Default)]
pub(super) struct Taken {
    /// Beyond what noise alone does.
    pub beyond: f64,
    /// Of which requirement that is; nothing where nothing is taken.
    pub of: &'static str,
    /// With what noise does in it.
    pub with_noise: f64,
}
