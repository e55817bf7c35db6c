//! Parts between two stages: what a run left of them is what the next one finds.
//!
//! Thickness is carried as its mean and spread, damage as the deepest of any face, roughness as it is, form as the largest bow and the
//! largest thickness difference of any part. The model has no incoming dish: what a part is thicker at its edge than in its middle
//! counts as taper.

use serde::Serialize;
use std::borrow::Cow;
use twinplate_sim::bench::{Drawn, Job, Outcome, Setup};
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::{Batch, Of, micrometres};
use twinplate_sim::plant::seed::substream;
use twinplate_sim::requirements::RunJudgement;

/// The parts that a run left. Lengths in m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lot {
    /// Number of parts, without dummies.
    pub count: u32,
    /// Mean thickness.
    pub thickness: f64,
    /// Standard deviation of the thickness.
    pub spread: f64,
    /// Deepest damage in any face.
    pub damage: f64,
    /// Roughness Ra.
    pub roughness: f64,
    /// Largest bow of any part, to either side.
    pub bow: f64,
    /// Largest thickness difference across a part, its dish in it.
    pub taper: f64,
}

/// One number of a lot, as people and programs read it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LotValue {
    /// Key of the batch file that it takes the place of.
    pub key: &'static str,
    /// What it is of.
    #[serde(skip)]
    pub of: Of,
    /// As the batch file says it, µm.
    pub file_um: f64,
    /// As the stage before leaves it, µm.
    pub came_um: f64,
}

impl Lot {
    /// What a run left of a batch.
    #[must_use]
    pub fn of(batch: &Batch, outcome: &Outcome) -> Self {
        let summary = &outcome.summary;
        // Dummies lie last, and do not go on.
        let product = || outcome.forms.iter().take(batch.parts as usize);
        let bow = product().map(|form| 0.5 * abs(form.sags[0] + form.sags[1]));
        let uneven = product().map(|form| form.taper + abs(form.sags[1] - form.sags[0]));
        Self {
            count: summary.parts.count,
            thickness: summary.parts.mean,
            spread: summary.parts.sd,
            damage: summary.damage_left.map_or(batch.damage, |left| left.depth),
            roughness: summary.roughness,
            bow: bow.fold(0.0, max),
            taper: uneven.fold(0.0, max),
        }
    }

    /// The next batch with these parts in the place of those that its file tells of.
    #[must_use]
    pub fn in_batch(&self, batch: &Batch) -> Batch {
        Batch {
            thickness: self.thickness,
            spread: self.spread,
            damage: self.damage,
            roughness: self.roughness,
            bow: self.bow,
            taper: self.taper,
            // What the stage before leaves is known.
            assumed: batch
                .assumed
                .iter()
                .filter(|key| !["part.bow", "part.taper"].contains(key))
                .copied()
                .collect(),
            ..batch.clone()
        }
    }

    /// These parts beside what a batch file says of them.
    #[must_use]
    pub fn beside(&self, batch: &Batch) -> [LotValue; 6] {
        let value = |key, of, file, came| LotValue {
            key,
            of,
            file_um: micrometres(file),
            came_um: micrometres(came),
        };
        [
            value("part.thickness", Of::Size, batch.thickness, self.thickness),
            value("part.spread", Of::Size, batch.spread, self.spread),
            value("part.damage", Of::Depth, batch.damage, self.damage),
            value(
                "part.roughness",
                Of::Finish,
                batch.roughness,
                self.roughness,
            ),
            value("part.bow", Of::Flatness, batch.bow, self.bow),
            value("part.taper", Of::Parallelism, batch.taper, self.taper),
        ]
    }
}

/// What one trial left, and whether it held all that was asked of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Left {
    /// The parts.
    pub lot: Lot,
    /// Every requirement held.
    pub held: bool,
}

impl Left {
    /// Of a run.
    #[must_use]
    pub(crate) fn of(batch: &Batch, outcome: &Outcome, judgement: &RunJudgement) -> Self {
        Self {
            lot: Lot::of(batch, outcome),
            held: judgement.holds(),
        }
    }
}

/// Where the parts of the trials come from.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// The parts of each trial: the nominal machine cold, then warm, then the draws; empty where the batch file tells of them.
    lots: Vec<Lot>,
    /// Stage that they are fed to, from 0.
    stage: u64,
}

impl Feed {
    /// From the batch file.
    #[must_use]
    pub const fn none() -> Self {
        Self {
            lots: Vec::new(),
            stage: 0,
        }
    }

    /// From the trials of the stage before this one, which counts from 0.
    #[must_use]
    pub fn of(left: &[Left], stage: u64) -> Self {
        Self::of_lots(left.iter().map(|left| left.lot).collect(), stage)
    }

    /// These parts, to a stage that counts from 0.
    #[must_use]
    pub const fn of_lots(lots: Vec<Lot>, stage: u64) -> Self {
        Self { lots, stage }
    }

    /// The job of trial `run` in the order of the trials. The controller knows the recipe alone: it is compiled once.
    pub(crate) fn job<'a>(&self, job: &'a Job, run: usize) -> Cow<'a, Job> {
        match self.lots.get(run) {
            None => Cow::Borrowed(job),
            Some(lot) => Cow::Owned(Job {
                batch: lot.in_batch(&job.batch),
                ..job.clone()
            }),
        }
    }

    /// The setup of a draw. What came in has been measured: the envelope's factor on the spread has been had in the stage before. The
    /// machine is the same draw in every stage that runs on it; its noise and the order of the parts are not.
    #[must_use]
    pub fn setup<'a>(&self, job: &'a Job, drawn: Drawn) -> Setup<'a> {
        let mut setup = job.drawn(drawn);
        if self.stage > 0 {
            setup.deviations.spread = 1.0;
            setup.seed = substream(setup.seed, "route", "stage", self.stage);
        }
        setup
    }
}
