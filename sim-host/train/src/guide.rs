//! The guide of a guided exercise: one step at a time, each waited for.

use super::protocol::{Guide, NewsKind};
use super::session::Session;
use firmware_core::sequence::Plate;
use twinplate_sim::bench::ControllerPort;
use twinplate_sim::training::rules::{Shown, Until};

impl<C: ControllerPort> Session<C> {
    pub(super) fn follow_guide(&mut self) {
        let exercise = self.exercise.clone();
        while let Some(step) = exercise.training.guide.get(self.live.guide) {
            let done = match &step.until {
                Until::Act(pattern) => self.log.iter().skip(self.live.guide_from).any(|logged| {
                    logged.taken()
                        && logged
                            .act()
                            .is_some_and(|act| pattern.matches(act, logged.read))
                }),
                Until::State(state) => self.status().state == *state,
                Until::Phase(phase) => self.status().phase == *phase,
                Until::Shown(shown) => self.shown(*shown),
            };
            if !done {
                return;
            }
            self.live.guide += 1;
            self.live.guide_from = self.log.len();
            let number = self.live.guide;
            let told = self.words().tell(
                "told-guide-step",
                &[
                    ("number", number.into()),
                    ("of", exercise.training.guide.len().into()),
                ],
            );
            self.tell(NewsKind::Exercise, told, 0);
        }
    }

    fn shown(&self, shown: Shown) -> bool {
        let inputs = self.bench.plant().inputs();
        let status = self.status();
        match shown {
            Shown::GuardOpen => !inputs.guard_a || !inputs.guard_b,
            Shown::GuardClosed => inputs.guard_a && inputs.guard_b,
            Shown::GuardLocked => inputs.guard_locked,
            Shown::GuardUnlocked => !inputs.guard_locked,
            Shown::Loaded => self.bench.plant().loaded(),
            Shown::Empty => !self.bench.plant().loaded(),
            Shown::Recipe => self.live.recipe != 0,
            Shown::Confirmed => self.live.confirmed == self.exercise.job.compiled.pieces,
            Shown::Parked => status.plate == Plate::Parked,
            Shown::Quiet => status.unacknowledged == 0,
        }
    }

    /// The step of the guide that is waited for.
    pub(super) fn guide(&self) -> Option<Guide> {
        let steps = &self.exercise.training.guide;
        let step = steps.get(self.live.guide)?;
        Some(Guide {
            number: u32::try_from(self.live.guide + 1).unwrap_or(u32::MAX),
            of: u32::try_from(steps.len()).unwrap_or(u32::MAX),
            text: step.text.clone(),
            control: step.control.to_owned(),
        })
    }
}
