//! A case tried a little at a time, for who looks for a recipe: first the machine as its file says, then such machines of its envelope as
//! have shown a weakness before, then more. What a try finds is found by [`check`](crate::check::check) too; what it does not find proves
//! nothing.

use crate::assumed::{Allowed, run_at};
use crate::case::Case;
use crate::lot::Feed;
use crate::trials::{NoTrials, Results, job, setup};
use twinplate_sim::bench::{
    Drawn, Ended, Job, NoRecorder, Outcome, PortError, Settled, ensemble, run_after, run_cycle,
};
use twinplate_sim::requirements::{RunJudgement, judge};

/// A case whose nominal machine has run, cold and warm.
#[derive(Clone, Debug)]
pub struct Probe {
    job: Job,
    seed: u64,
    settled: Settled,
    nominal: Vec<RunJudgement>,
    size: Option<f64>,
}

impl Probe {
    /// Runs the nominal machine; the second time, with warm plates, only where the first cycle came to its end.
    ///
    /// # Errors
    /// Where the case cannot be compiled; a controller in process is always there.
    pub fn nominal(case: &Case, seed: u64) -> Result<Self, NoTrials> {
        let job = job(case)?;
        let setup = job.drawn(Drawn { seed, index: 0 });
        let (cold, after) = run_after(setup.unused(), setup.controller(), &setup, None, NoRecorder)
            .map_err(NoTrials::Port)?;
        let settled = Settled::after_cold(&job.machine, &cold, &after);
        let mut nominal = vec![judge(&job, &cold)];
        let mean = |run: &Outcome| (run.ended == Ended::Complete).then_some(run.summary.parts.mean);
        let mut size = None;
        if let Some(cold) = mean(&cold) {
            let warm =
                run_cycle(&setup.warm(&settled), None, NoRecorder).map_err(NoTrials::Port)?;
            nominal.push(judge(&job, &warm));
            size = mean(&warm).map(|warm| 0.5 * (cold + warm));
        }
        Ok(Self {
            job,
            seed,
            settled,
            nominal,
            size,
        })
    }

    /// Mean thickness of the parts, m, the middle between cold and warm plates; `None` where a cycle did not come to its end.
    #[must_use]
    pub const fn size(&self) -> Option<f64> {
        self.size
    }

    /// What the nominal machine's runs come to.
    #[must_use]
    pub fn results(&self) -> Results {
        Results::of(self.seed, self.nominal.clone())
    }

    /// What these machines come to, each by itself.
    ///
    /// # Errors
    /// What the controller's port reports.
    pub fn try_on(&self, machines: &[Allowed], threads: usize) -> Result<Results, PortError> {
        let runs = ensemble(machines.len(), threads.max(1), &|_| (), |index| {
            self.run(machines[index])
        });
        Ok(Results::of(
            self.seed,
            runs.into_iter().collect::<Result<_, _>>()?,
        ))
    }

    fn run(&self, machine: Allowed) -> Result<RunJudgement, PortError> {
        match machine {
            Allowed::End(rule, end) => run_at(&self.job, self.seed, Some((rule, end))),
            Allowed::Draw(index) => {
                let drawn = Drawn {
                    seed: self.seed,
                    index,
                };
                let setup = setup(&Feed::none(), &self.job, drawn, &self.settled);
                run_cycle(&setup, None, NoRecorder).map(|outcome| judge(&self.job, &outcome))
            }
        }
    }
}
