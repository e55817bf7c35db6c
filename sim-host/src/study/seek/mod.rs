//! Falsification: looks for the machine, batch and moment that break a requirement, by driving the requirement's margin down.
//!
//! A [`Target`] is a requirement whose margin is a number that says how far the run stayed from the limit. A [`space::Space`] is what
//! may differ: the envelope, the parts, and one disturbance that the requirement bears ([`disturb::borne_by`]). [`seek`] descends in it
//! by CMA-ES with restarts ([`cma`]) and makes random draws from the same box beside it, so that what the search is worth shows.
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

use crate::bench::{Job, PortError, ensemble};
use crate::compile::CompileError;
use crate::model::{End, Recipe};
use crate::plant::seed::{Stream, stream, substream};
use cma::Descent;
use margin::{Measured, measure};
use rand_distr::{Distribution, Uniform};
use space::{COORDINATES, Space, Trial, outside};

/// Dwell of every step of a shortened cycle, s: long enough for the loop to settle (ten closed-loop times and a second in band).
pub const DWELL: f64 = 3.0;
/// Longest time of a step of a shortened cycle, s.
const LONGEST: f64 = 30.0;
/// First standard deviation of a descent; the box reaches from -1 to 1, and what falls outside counts as on its edge, so that edges
/// and corners are looked at from the first generation on.
const STEP: f64 = 0.7;
/// What a point pays for lying outside the box, as a share of the limit: enough to keep the descent near, less than any margin.
const OUTSIDE: f64 = 1e-4;
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
    /// Thickness spread (6 standard deviations) within the parallelism target.
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

    /// Unit of margin and limit.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::LoadLimit | Self::FirstContact | Self::PartContact => "N",
            Self::Film => "share",
            Self::Size | Self::Spread => "µm",
        }
    }

    /// Whether the dwells make what is measured, so that they are run whole.
    #[must_use]
    pub const fn needs_dwell(self) -> bool {
        matches!(self, Self::Size | Self::Spread)
    }
}

/// The recipe with its dwells cut to [`DWELL`].
#[must_use]
pub fn shortened(recipe: &Recipe) -> Recipe {
    let mut recipe = recipe.clone();
    for step in &mut recipe.steps {
        step.end = End::Time { seconds: DWELL };
        step.longest = crate::math::min(step.longest, LONGEST);
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
        short.compiled = crate::compile::recipe(&short.recipe, &short.batch, &short.params)?
            .get()
            .clone();
        Ok(Self { whole, short })
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
pub struct Options {
    /// Evaluations of the search, random draws apart; whole generations, so a few more may be made.
    pub evaluations: usize,
    /// Random draws beside it, never more than the search has evaluated.
    pub random: usize,
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
    /// Number of the evaluation, from 0, counted apart for the search and for the draws.
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

/// Seeks the least margin of a target. `go_on` is asked between generations; `progress` hears the number of evaluations and draws.
///
/// # Errors
/// What the port reports; a controller in this process is always there.
pub fn seek(
    question: &Question,
    target: Target,
    options: &Options,
    go_on: &dyn Fn() -> bool,
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Found, PortError> {
    let job = question.job(target);
    let space = Space::new(job, target, options.seed);
    let mut random = stream(options.seed, "seek", "draws", target as u64);
    let mut found = Found {
        target,
        evaluations: 0,
        descents: 0,
        worst: None,
        draws: 0,
        drawn: None,
    };
    while found.evaluations < options.evaluations && go_on() {
        let mut descent = begin(options.seed, target, found.descents);
        found.descents += 1;
        while found.evaluations < options.evaluations && go_on() {
            let Some(points) = descent.ask() else { break };
            let searched = points.len();
            let draws = searched.min(options.random - found.draws.min(options.random));
            let mut all = points;
            all.extend((0..draws).map(|_| draw(&mut random)));
            let before = found.evaluations + found.draws;
            let cases = ensemble(
                all.len(),
                options.threads.max(1),
                &|done| progress(before + done),
                |index| {
                    let trial = space.trial(&all[index]);
                    measure(job, target, &trial).map(|measured| (trial, measured))
                },
            );
            let mut values = Vec::with_capacity(searched);
            for (index, case) in cases.into_iter().enumerate() {
                let (trial, measured) = case?;
                let (count, worst) = if index < searched {
                    values.push(measured.margin / measured.limit + OUTSIDE * outside(&all[index]));
                    (&mut found.evaluations, &mut found.worst)
                } else {
                    (&mut found.draws, &mut found.drawn)
                };
                let number = *count;
                *count += 1;
                keep(worst, number, trial, measured);
            }
            descent.tell(values);
            if options.stop_at_violation && found.violated() {
                return Ok(found);
            }
        }
    }
    Ok(found)
}

/// The first descent begins in the middle of the box, every other anywhere; every second restart doubles the population.
fn begin(seed: u64, target: Target, number: u64) -> Descent {
    let mut random = stream(seed, "seek", target.word(), number);
    let start = if number == 0 {
        vec![0.0; COORDINATES]
    } else {
        draw(&mut random)
    };
    let population = Descent::population(COORDINATES);
    let population = if number % 2 == 1 {
        population * WIDER
    } else {
        population
    };
    Descent::new(
        start,
        STEP,
        population,
        substream(seed, "seek", "descent", number),
    )
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
