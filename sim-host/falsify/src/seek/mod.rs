//! Falsification: looks for the machine, batch and moment that break a requirement, by driving the requirement's margin down.
//!
//! A [`Target`] is a requirement whose margin is a number that says how far the run stayed from the limit. A [`space::Space`] is what
//! may differ: the envelope, the parts, and one disturbance that the requirement bears (`disturb::borne_by`). [`seek`] descends in it
//! by CMA-ES with restarts ([`cma`]); [`draw_beside`] makes random draws from the same box, so that what the search is worth shows.
//! A case found carries its journal, which replays it bit for bit.
//!
//! What is left of the cycle: dwells are cut to [`DWELL`] seconds where the target is not what a dwell makes of the parts, and a run
//! ends where the target's question is answered. Speeds, loads, ramps, limits and the pre-start stay as the recipe has them.
//!
//! The same seed and the same number of evaluations find the same case, whatever the number of threads. Nothing here reads a clock:
//! whoever has a budget in seconds says so through `go_on`.

pub mod cma;
pub mod disturb;
pub mod margin;
pub mod space;

use cma::Descent;
use margin::{Measured, evaluate, measure};
use rand_distr::{Distribution, Uniform};
use space::{COORDINATES, Space, Trial, outside};
use twinplate_sim::bench::{Job, PortError, ensemble};
use twinplate_sim::compile::CompileError;
use twinplate_sim::model::{End, Of, Recipe};
use twinplate_sim::plant::seed::{Stream, stream, substream};

/// Dwell of every step of a shortened cycle, s: long enough for the loop to settle (ten closed-loop times and a second in band).
pub const DWELL: f64 = 3.0;
/// Longest time of a step of a shortened cycle, s.
const LONGEST: f64 = 30.0;
/// First standard deviation of a descent; the box reaches from -1 to 1, and what falls outside counts as on its edge, so that edges
/// and corners are looked at from the first generation on.
const STEP: f64 = 0.7;
/// What a point pays for lying outside the box, as a share of the limit: enough to keep the descent near, less than any margin.
const OUTSIDE: f64 = 1e-4;
/// Random points looked at before each descent, which begins at the best of them: a few for each kind of disturbance.
const BATCH: usize = 24;
/// Factor on the population at every second restart: a larger population looks wider.
const WIDER: usize = 2;

/// A requirement whose margin is sought.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Target {
    /// True load without runout under the step's limit, from `LoadRamp` on.
    LoadLimit,
    /// Total load of the first contact under its limit.
    FirstContact,
    /// Load of the first contact on one part under its strength.
    PartContact,
    /// No turning without film.
    Film,
    /// Every part within its size.
    Size,
    /// Thickness spread (6 standard deviations) within both sides of the size tolerance.
    Spread,
}

/// Every target, in report order.
pub const TARGETS: [Target; 6] = [
    Target::LoadLimit,
    Target::FirstContact,
    Target::PartContact,
    Target::Film,
    Target::Size,
    Target::Spread,
];

impl Target {
    /// One word, for files and programs.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::LoadLimit => "load-limit",
            Self::FirstContact => "first-contact",
            Self::PartContact => "part-contact",
            Self::Film => "film",
            Self::Size => "size",
            Self::Spread => "spread",
        }
    }

    /// The target of a word.
    #[must_use]
    pub(crate) fn from_word(word: &str) -> Option<Self> {
        TARGETS.into_iter().find(|target| target.word() == word)
    }

    /// What is measured, for people.
    #[must_use]
    pub const fn what(self) -> &'static str {
        match self {
            Self::LoadLimit => "load under step limit",
            Self::FirstContact => "first contact, total",
            Self::PartContact => "first contact, one part",
            Self::Film => "film while turning",
            Self::Size => "size of every part",
            Self::Spread => "thickness spread, 6 sd",
        }
    }

    /// What kind of quantity margin and limit are; `None` for a share.
    #[must_use]
    pub const fn kind(self) -> Option<Of> {
        match self {
            Self::LoadLimit | Self::FirstContact | Self::PartContact => Some(Of::Load),
            Self::Film => None,
            Self::Size | Self::Spread => Some(Of::Size),
        }
    }

    /// Unit of margin and limit.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self.kind() {
            Some(of) => of.unit(),
            None => "share",
        }
    }

    /// Whether the dwells make what is measured, so that they are run whole.
    #[must_use]
    pub(crate) const fn needs_dwell(self) -> bool {
        matches!(self, Self::Size | Self::Spread)
    }
}

/// The recipe with its dwells cut to [`DWELL`].
#[must_use]
pub fn shortened(recipe: &Recipe) -> Recipe {
    let mut recipe = recipe.clone();
    for step in &mut recipe.steps {
        step.end = End::Time { seconds: DWELL };
        step.longest = twinplate_sim::math::min(step.longest, LONGEST);
    }
    recipe
}

/// A job, whole and with its dwells cut.
#[derive(Clone, Debug)]
pub struct Question {
    whole: Job,
    short: Job,
}

impl Question {
    /// Of a job. Its parameters are kept as they are, so that a test may weaken them.
    ///
    /// # Errors
    /// What the controller's limits refuse.
    pub fn new(whole: Job) -> Result<Self, CompileError> {
        let mut short = whole.clone();
        short.recipe = shortened(&whole.recipe);
        short.compiled = twinplate_sim::compile::recipe(
            &short.recipe,
            &short.machine,
            &short.batch,
            &short.params,
        )?
        .get()
        .clone();
        Ok(Self { whole, short })
    }

    /// The job as its files say: what a journal is replayed with.
    #[must_use]
    pub const fn whole(&self) -> &Job {
        &self.whole
    }

    /// The job that a target is sought in.
    #[must_use]
    pub const fn job(&self, target: Target) -> &Job {
        if target.needs_dwell() {
            &self.whole
        } else {
            &self.short
        }
    }
}

/// How to seek.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SearchPlan {
    /// Evaluations of the search, the first batch among them; whole generations, so a few more may be made.
    pub evaluations: usize,
    /// Threads, 1 or more.
    pub threads: usize,
    /// Seed of the search and of the draws.
    pub seed: u64,
    /// End once a violation is found.
    pub stop_at_violation: bool,
}

/// A case and what it came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Number of the evaluation, from 1, counted apart for the search and for the draws.
    pub number: usize,
    /// The case.
    pub trial: Trial,
    /// What it came to.
    pub measured: Measured,
}

/// What was found for one target.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The target.
    pub target: Target,
    /// Evaluations of the search.
    pub evaluations: usize,
    /// Descents begun.
    pub descents: u64,
    /// Number of the first evaluation whose case was beyond the limit.
    pub first_violation: Option<usize>,
    /// The case with the least margin that the search found; `None` if it was given no time.
    pub worst: Option<Case>,
    /// Random draws made.
    pub draws: usize,
    /// The drawn case with the least margin.
    pub drawn: Option<Case>,
}

impl Found {
    /// The worse of the search's and the draws' cases; the search's where they are equal.
    #[must_use]
    pub fn least(&self) -> Option<&Case> {
        match (&self.worst, &self.drawn) {
            (Some(worst), Some(drawn)) if drawn.measured.margin < worst.measured.margin => {
                Some(drawn)
            }
            (Some(worst), _) => Some(worst),
            (None, drawn) => drawn.as_ref(),
        }
    }

    /// Whether a case beyond the limit was found.
    #[must_use]
    pub fn violated(&self) -> bool {
        self.least().is_some_and(|case| case.measured.margin < 0.0)
    }
}

/// Seeks the least margin of a target, without random draws beside it ([`draw_beside`] makes those). `go_on` is asked between
/// generations; `progress` hears the number of evaluations.
///
/// # Errors
/// What the port reports; a controller in this process is always there.
pub fn seek(
    question: &Question,
    target: Target,
    plan: &SearchPlan,
    go_on: &dyn Fn() -> bool,
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Found, PortError> {
    let job = question.job(target);
    let mut search = Search {
        job,
        space: Space::new(job, target, plan.seed),
        plan,
        progress,
        found: Found {
            target,
            evaluations: 0,
            descents: 0,
            first_violation: None,
            worst: None,
            draws: 0,
            drawn: None,
        },
    };
    while search.unfinished() && go_on() {
        let mut descent = search.begin()?;
        while search.unfinished() && go_on() {
            let Some(points) = descent.ask() else { break };
            descent.tell(search.values(&points)?);
        }
    }
    Ok(search.found)
}

/// A search under way.
struct Search<'a> {
    job: &'a twinplate_sim::bench::Job,
    space: Space<'a>,
    plan: &'a SearchPlan,
    progress: &'a (dyn Fn(usize) + Sync),
    found: Found,
}

impl Search<'_> {
    fn unfinished(&self) -> bool {
        self.found.evaluations < self.plan.evaluations
            && !(self.plan.stop_at_violation && self.found.violated())
    }

    /// A descent from the best point of a fresh random batch, every second time with a larger population. The first batch is large
    /// enough to meet each kind of disturbance a few times: in that coordinate there is no downhill.
    fn begin(&mut self) -> Result<Descent, PortError> {
        let (seed, target, number) = (self.plan.seed, self.found.target, self.found.descents);
        self.found.descents += 1;
        let mut random = stream(seed, "seek", target.word(), number);
        let batch: Vec<Vec<f64>> = (0..BATCH).map(|_| draw(&mut random)).collect();
        let values = self.values(&batch)?;
        let mut best: Option<(f64, &Vec<f64>)> = None;
        for (value, point) in values.into_iter().zip(&batch) {
            if best.is_none_or(|(least, _)| value < least) {
                best = Some((value, point));
            }
        }
        let start = best.map_or_else(|| vec![0.0; COORDINATES], |(_, point)| point.clone());
        let population = Descent::population(COORDINATES);
        let population = if number % 2 == 1 {
            population * WIDER
        } else {
            population
        };
        Ok(Descent::new(
            start,
            STEP,
            population,
            substream(seed, "seek", "descent", number),
        ))
    }

    /// Runs the cases at some points, keeps the worst, and gives what the descent goes by: the margin as a share of its limit.
    fn values(&mut self, points: &[Vec<f64>]) -> Result<Vec<f64>, PortError> {
        let before = self.found.evaluations;
        let (job, space, target) = (self.job, &self.space, self.found.target);
        let cases = ensemble(
            points.len(),
            self.plan.threads.max(1),
            &|done| (self.progress)(before + done),
            |index| {
                let trial = space.trial(&points[index]);
                measure(job, target, &trial).map(|measured| (trial, measured))
            },
        );
        let mut values = Vec::with_capacity(points.len());
        for (case, point) in cases.into_iter().zip(points) {
            let (trial, measured) = case?;
            values.push(measured.margin / measured.limit + OUTSIDE * outside(point));
            self.found.evaluations += 1;
            if measured.margin < 0.0 {
                let number = self.found.evaluations;
                self.found.first_violation.get_or_insert(number);
            }
            keep(
                &mut self.found.worst,
                self.found.evaluations,
                trial,
                measured,
            );
        }
        Ok(values)
    }
}

/// Targets that one draw answers together: they bear the same disturbances, and their runs end at the same place.
const TOGETHER: [&[Target]; 4] = [
    &[Target::LoadLimit],
    &[Target::FirstContact, Target::PartContact],
    &[Target::Film],
    &[Target::Size, Target::Spread],
];

/// Draws a batch beforehand of which the worst is kept.
const DRAWN_AT_ONCE: usize = 64;

/// Makes `count` random draws for every target that was sought, each from the box of its target, and notes the worst of each. Targets
/// that one run answers share it. `progress` hears the number of draws made, of how many.
///
/// # Errors
/// What the port reports; a controller in this process is always there.
pub fn draw_beside(
    question: &Question,
    found: &mut [Found],
    count: usize,
    plan: &SearchPlan,
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Result<(), PortError> {
    let asked: Vec<Vec<Target>> = TOGETHER
        .iter()
        .map(|group| {
            let sought = |target: &&Target| found.iter().any(|one| one.target == **target);
            group.iter().filter(sought).copied().collect()
        })
        .filter(|group: &Vec<Target>| !group.is_empty())
        .collect();
    let of = asked.len() * count;
    for (number, group) in asked.iter().enumerate() {
        let first = group[0];
        let job = question.job(first);
        let space = Space::new(job, first, plan.seed);
        let mut random = stream(plan.seed, "seek", "draws", first as u64);
        let mut made = 0;
        while made < count {
            let points: Vec<Vec<f64>> = (made..count.min(made + DRAWN_AT_ONCE))
                .map(|_| draw(&mut random))
                .collect();
            let before = number * count + made;
            let runs = ensemble(
                points.len(),
                plan.threads.max(1),
                &|done| progress(before + done, of),
                |index| {
                    let trial = space.trial(&points[index]);
                    evaluate(job, first, &trial).map(|run| (trial, run))
                },
            );
            for run in runs {
                let (trial, run) = run?;
                made += 1;
                for one in found.iter_mut().filter(|one| group.contains(&one.target)) {
                    one.draws += 1;
                    keep(&mut one.drawn, made, trial, run.measured(job, one.target));
                }
            }
        }
    }
    Ok(())
}

/// A point anywhere in the box.
fn draw(random: &mut Stream) -> Vec<f64> {
    let uniform = Uniform::new_inclusive(-1.0, 1.0);
    (0..COORDINATES)
        .map(|_| {
            uniform
                .as_ref()
                .map_or(0.0, |uniform| uniform.sample(random))
        })
        .collect()
}

/// Keeps the case with the least margin; of equal ones the first.
fn keep(worst: &mut Option<Case>, number: usize, trial: Trial, measured: Measured) {
    if worst
        .as_ref()
        .is_none_or(|case| measured.margin < case.measured.margin)
    {
        *worst = Some(Case {
            number,
            trial,
            measured,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_target_is_drawn_once_with_those_that_bear_the_same() {
        let mut all: Vec<Target> = TOGETHER.concat();
        all.sort_unstable();
        assert_eq!(all, TARGETS);
        for group in TOGETHER {
            for target in group {
                assert_eq!(disturb::borne_by(*target), disturb::borne_by(group[0]));
                assert_eq!(target.needs_dwell(), group[0].needs_dwell());
            }
        }
    }
}
