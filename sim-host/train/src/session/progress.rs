//! How the exercise stands, and telling it as it goes.

use super::Session;
use crate::log::SessionEvent;
use crate::protocol::NewsKind;
use crate::scoring::{HarmDone, Record, Score, Standing, score};
use twinplate_sim::bench::ControllerPort;

/// What was told already.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Progress {
    standings: Vec<Standing>,
    losses: Vec<String>,
}

impl<C: ControllerPort> Session<C> {
    /// The score as it stands; final once the attempt is over.
    #[must_use]
    pub fn score(&self) -> Score {
        score(&Record {
            words: self.words(),
            training: &self.exercise.training,
            log: &self.log,
            marks: &self.marks,
            harm: self.harm_done(),
            tick: self.tick(),
            over: self.finished(),
        })
    }

    /// Harm that was done so far: what was found at unloading, and what still lies in the machine.
    pub(super) fn harm_done(&self) -> HarmDone {
        let plant = self.bench.plant();
        let harm = plant.harm();
        let batch = &self.exercise.job.batch;
        let mut done = HarmDone {
            cracked: plant.parts().any(|part| part.peak_load > plant.strength()),
            scored: harm.dry_turning.happened(),
            carriers: harm.out_of_ratio.happened()
                || harm.on_carriers.happened()
                || harm.lift_turning.happened(),
            danger: harm.pressing_open.happened()
                || harm.moving_open.happened()
                || harm.falling.happened(),
            ..HarmDone::default()
        };
        if self.live.completed && plant.loaded() {
            for part in plant.parts().filter(|part| !part.dummy) {
                done.undersize |= part.thickness < batch.target - batch.tolerance;
                done.oversize |= part.thickness > batch.target + batch.tolerance;
            }
        }
        let mut parts = plant.parts().enumerate();
        done.scratched =
            plant.loaded() && parts.any(|(number, part)| !part.dummy && plant.scratched(number));
        for marked in &self.marks {
            if let SessionEvent::Found(found) = &marked.mark {
                done.cracked |= found.cracked > 0;
                done.undersize |= found.completed && found.under > 0;
                done.oversize |= found.completed && found.over > 0;
                done.scratched |= found.scratched > 0;
            }
        }
        done
    }

    /// Tells what was reached, missed or lost since this was asked last.
    pub(crate) fn follow_exercise(&mut self) {
        // Nobody is told on the way to a verdict; the debrief tells.
        if self.exercise.assessed() {
            return;
        }
        let now = self.score();
        let exercise = self.exercise.clone();
        let expected = &exercise.training.expected;
        let words = self.words();
        let mut lines = Vec::new();
        for (index, (outcome, expected)) in now.outcomes.iter().zip(expected).enumerate() {
            let before = self.progress.standings.get(index);
            if before == Some(&outcome.standing) {
                continue;
            }
            let id = match outcome.standing {
                Standing::Met => "progress-done",
                Standing::Late => "progress-late",
                Standing::Missed if before.is_some_and(|b| *b != Standing::Late) => {
                    "progress-missed"
                }
                _ => continue,
            };
            lines.push(words.tell(id, &[("what", (&expected.text).into())]));
        }
        for loss in now.losses.iter().filter(|loss| loss.points > 0) {
            if !self.progress.losses.contains(&loss.id) {
                let what = ("what", (&loss.text).into());
                lines.push(words.tell("progress-wrong", &[what, ("why", (&loss.why).into())]));
            }
        }
        self.progress = Progress {
            standings: now.outcomes.iter().map(|o| o.standing).collect(),
            losses: now.losses.iter().map(|loss| loss.id.clone()).collect(),
        };
        for line in lines {
            self.tell(NewsKind::Exercise, line, 0);
        }
    }
}
