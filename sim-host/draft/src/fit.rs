//! One recipe with one abrasive: written, judged, mended by rule where a finding or a trial fails, until it passes or nothing moves.

use crate::limit::Limit;
use crate::plan::{Change, Ground, Plan};
use crate::repair::{Repaired, hurry, repair};
use crate::write::{Choice, Names, recipe};
use std::path::Path;
use twinplate_check::assumed::{Allowed, static_errors_within};
use twinplate_check::check::{Request, check, check_unranked};
use twinplate_check::predict::{Prediction, predict};
use twinplate_check::probe::Probe;
use twinplate_check::static_check;
use twinplate_check::trials::{Results, TrialPlan};
use twinplate_check::verdict::CheckReport;
use twinplate_check::{Case, Code, Finding, Severity};
use twinplate_sim::files::{Loaded, parse_recipe, render_errors};
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::{Of, Recipe};

/// How drafts are tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trials {
    /// Draws from the envelope while numbers are still looked for.
    pub search: usize,
    /// Draws of the last trial, which decides.
    pub proof: usize,
    /// Threads, 1 or more.
    pub threads: usize,
    /// Seed of the draws.
    pub seed: u64,
}

/// A recipe that passes.
#[derive(Clone, Debug)]
pub(crate) struct Fitted<'a> {
    pub plan: Plan<'a>,
    pub recipe: Loaded<Recipe>,
    pub choices: Vec<Choice>,
    pub report: CheckReport,
}

/// Why there is none.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Stuck {
    /// What binds, first what asked for more, then what would not give it.
    pub limits: Vec<Limit>,
    /// What the check said last, with its numbers.
    pub said: String,
    /// How far the draft came: 0 before any finding, 1 at the static findings, 2 at the trials.
    pub reach: u8,
    /// What had been changed.
    pub changes: Vec<Change>,
}

impl Stuck {
    pub(crate) fn new(limits: &[Limit], said: String, reach: u8) -> Self {
        let mut all: Vec<Limit> = Vec::new();
        for limit in limits {
            if !all.contains(limit) {
                all.push(*limit);
            }
        }
        Self {
            limits: all,
            said,
            reach,
            changes: Vec::new(),
        }
    }
}

/// Rounds of mending before a draft is given up.
const ROUNDS: usize = 60;
/// Distance from the target at which a size counts as met, share of the tolerance.
const CENTRED: f64 = 0.04;
/// Machines that are tried again first because a plan failed with them.
const REMEMBERED: usize = 4;

/// Drafts one recipe.
///
/// # Errors
/// What binds.
pub(crate) fn fit<'a>(
    ground: Ground<'a>,
    names: &Names,
    trials: &Trials,
    proof: bool,
) -> Result<Fitted<'a>, Stuck> {
    let mut plan = Plan::begin(ground)
        .map_err(|limits| Stuck::new(&limits, "no load is left between the two".to_owned(), 0))?;
    let mut search = Search::new(trials, proof);
    for _ in 0..ROUNDS {
        let (loaded, choices) = written(&mut plan, names)?;
        let case = Case {
            machine: ground.machine,
            batch: ground.batch,
            recipe: &loaded.value,
        };
        match search.round(&mut plan, &case) {
            Ok(Round::Again) => {}
            Ok(Round::Passed(report)) => {
                return Ok(Fitted {
                    plan,
                    recipe: loaded,
                    choices,
                    report: *report,
                });
            }
            Err(mut stuck) => {
                stuck.changes = plan.changes;
                return Err(stuck);
            }
        }
    }
    let mut stuck = Stuck::new(
        &[Limit::Machine],
        format!("{ROUNDS} changes did not make it pass"),
        2,
    );
    stuck.changes = plan.changes;
    Err(stuck)
}

/// What a draft comes to by the closed form, mended by what is known without a run; `None` where that leads nowhere.
pub(crate) fn sketch(ground: Ground, names: &Names) -> Option<Prediction> {
    let mut plan = Plan::begin(ground).ok()?;
    let mut search = Search::new(&NO_TRIALS, false);
    for _ in 0..ROUNDS {
        let (loaded, _) = written(&mut plan, names).ok()?;
        let case = Case {
            machine: ground.machine,
            batch: ground.batch,
            recipe: &loaded.value,
        };
        let prediction = predict(&case, 1.0);
        if !search.statics(&mut plan, &case, &prediction).ok()? {
            return Some(prediction);
        }
    }
    None
}

/// A plan, aimed at the target, as the file that it will be, read back.
fn written(plan: &mut Plan, names: &Names) -> Result<(Loaded<Recipe>, Vec<Choice>), Stuck> {
    plan.aim();
    let (text, choices) = recipe(plan, names);
    let name = format!("{}.toml", names.id);
    parse_recipe(Path::new(&name), &text)
        .map(|mut loaded| {
            loaded.value.shown = *plan.ground.shown;
            (loaded, choices)
        })
        .map_err(|errors| Stuck::new(&[Limit::Machine], render_errors(&errors, false), 1))
}

/// For whoever makes none.
const NO_TRIALS: Trials = Trials {
    search: 0,
    proof: 0,
    threads: 1,
    seed: 0,
};

enum Round {
    Again,
    Passed(Box<CheckReport>),
}

/// How a plan is tried, and what has been learnt of it.
struct Search<'t> {
    trials: &'t Trials,
    /// Whether the last trial has the draws of the proof, or those of the search.
    proof: bool,
    /// Warnings that nothing moves.
    skipped: Vec<Code>,
    /// Machines with which a plan failed before: they are tried first.
    weak: Vec<Allowed>,
}

impl<'t> Search<'t> {
    const fn new(trials: &'t Trials, proof: bool) -> Self {
        Self {
            trials,
            proof,
            skipped: Vec::new(),
            weak: Vec::new(),
        }
    }

    /// Judges a plan once, the cheapest question first, and mends what was found first.
    fn round(&mut self, plan: &mut Plan, case: &Case) -> Result<Round, Stuck> {
        if self.statics(plan, case, &predict(case, 1.0))? {
            return Ok(Round::Again);
        }
        let probe = Probe::nominal(case, self.trials.seed)
            .map_err(|error| Stuck::new(&[Limit::Machine], error.to_string(), 2))?;
        if let Some(size) = probe.size() {
            let off = size - case.batch.target;
            if abs(off) > CENTRED * case.batch.tolerance && plan.centre(off) {
                return Ok(Round::Again);
            }
        }
        if self.mend(plan, case, &told(case, &probe.results()), 2)? {
            return Ok(Round::Again);
        }
        if self.fails_with(plan, case, &probe, &self.weak.clone())?
            || self.mend(
                plan,
                case,
                &static_errors_within(case, self.trials.threads),
                1,
            )?
        {
            return Ok(Round::Again);
        }
        // The proof of a mere attempt has no other draws than these.
        let first: Vec<Allowed> = (1..=self.trials.search as u64).map(Allowed::Draw).collect();
        if self.proof && self.fails_with(plan, case, &probe, &first)? {
            return Ok(Round::Again);
        }
        self.prove(plan, case, &probe)
    }

    /// What is known without a run; `true` where a number was moved.
    fn statics(
        &mut self,
        plan: &mut Plan,
        case: &Case,
        prediction: &Prediction,
    ) -> Result<bool, Stuck> {
        let findings = static_check::check(case, prediction);
        Ok(self.mend(plan, case, &findings, 1)? || in_time(plan, prediction)?)
    }

    /// Tries a plan on some machines, keeps those that fail, and mends the first failure; `false` where none fails.
    fn fails_with(
        &mut self,
        plan: &mut Plan,
        case: &Case,
        probe: &Probe,
        machines: &[Allowed],
    ) -> Result<bool, Stuck> {
        let results = probe
            .try_on(machines, self.trials.threads)
            .map_err(|error| Stuck::new(&[Limit::Machine], error.to_string(), 2))?;
        self.learn(&results);
        self.mend(plan, case, &told(case, &results), 2)
    }

    /// The last trial, which decides; what it finds is mended as well.
    fn prove(&mut self, plan: &mut Plan, case: &Case, probe: &Probe) -> Result<Round, Stuck> {
        let Trials {
            search,
            proof,
            threads,
            seed,
        } = *self.trials;
        let request = Request::plain(TrialPlan {
            draws: if self.proof { proof } else { search },
            threads,
            seed,
        });
        // Trying assumed keys one by one takes as long as a whole proof: it is left to that.
        let checked = if self.proof {
            check(case, &request)
        } else {
            check_unranked(case, &request)
        }
        .map_err(|error| Stuck::new(&[Limit::Machine], error.to_string(), 2))?;
        let report = checked.report;
        if report.passes(Severity::Error) {
            return Ok(Round::Passed(Box::new(report)));
        }
        if let Some(results) = &report.results {
            self.learn(results);
            if self.mend(plan, case, &told(case, results), 2)? {
                return Ok(Round::Again);
            }
        }
        self.weak.extend(&checked.failing);
        if self.fails_with(plan, case, probe, &checked.failing)? {
            return Ok(Round::Again);
        }
        let said = report
            .findings
            .iter()
            .find(|finding| finding.severity == Severity::Error)
            .map_or_else(String::new, |finding| finding.message.clone());
        Err(Stuck::new(&[Limit::Machine], said, 2))
    }

    /// Keeps the draws that failed: a few, the last ones.
    fn learn(&mut self, results: &Results) {
        for case in results.worst.iter().filter(|case| case.failed > 0) {
            let known = |machine: &Allowed| matches!(machine, Allowed::Draw(n) if *n == case.draw);
            if case.draw > 0 && !self.weak.iter().any(known) {
                self.weak.push(Allowed::Draw(case.draw));
            }
        }
        let many = self.weak.len().saturating_sub(REMEMBERED);
        self.weak.drain(..many);
    }

    /// Mends the gravest finding that can be mended; `false` where none is left to mend.
    fn mend(
        &mut self,
        plan: &mut Plan,
        case: &Case,
        findings: &[Finding],
        reach: u8,
    ) -> Result<bool, Stuck> {
        for finding in findings {
            if finding.severity == Severity::Note || self.skipped.contains(&finding.code) {
                continue;
            }
            let repaired = repair(plan, case, finding);
            tracing::debug!(
                abrasive = plan.ground.abrasive.consumables.grade,
                found = finding.name(),
                "{}: {:?}",
                finding.message,
                repaired
            );
            match repaired {
                Repaired::Changed => return Ok(true),
                // What only warns and does not move is told, and stays.
                Repaired::Stuck(_) if finding.severity == Severity::Warning => {
                    self.skipped.push(finding.code);
                }
                Repaired::Stuck(limits) => {
                    let said = format!("{}: {}", finding.name(), finding.message);
                    return Err(Stuck::new(&limits, said, reach));
                }
            }
        }
        Ok(false)
    }
}

/// What trials came to, as findings.
fn told(case: &Case, results: &Results) -> Vec<Finding> {
    results.findings(&case.recipe.shown, &|_| String::new())
}

/// Hurries a plan that would take longer than was asked for; `false` where it would not.
fn in_time(plan: &mut Plan, prediction: &Prediction) -> Result<bool, Stuck> {
    let Some(longest) = plan.ground.longest.filter(|time| prediction.cycle > *time) else {
        return Ok(false);
    };
    let said = format!(
        "the cycle would take {:.0} s; {:.0} s are asked for",
        prediction.cycle, longest
    );
    // What lapping takes is all that can be shortened.
    let lapping: f64 = prediction.steps.iter().map(|step| step.duration_s).sum();
    let rest = prediction.cycle - lapping;
    let ratio = if longest > rest {
        1.02 * lapping / (longest - rest)
    } else {
        f64::INFINITY
    };
    hurry(plan, ratio, Limit::LongestCycle)
        .map(|()| true)
        .map_err(|limits| Stuck::new(&limits, said, 1))
}

impl Plan<'_> {
    /// Takes into account by how much (m) the simulated parts are off their target; `false` where that has been done often enough.
    fn centre(&mut self, off: f64) -> bool {
        let done = self
            .changes
            .iter()
            .filter(|change| change.because == CENTRE)
            .count();
        if done >= 12 {
            return false;
        }
        self.bias += off;
        let moved = max(abs(off) * 1e6, 0.01);
        let moved = self.ground.shown.fixed_with(Of::Size, moved, 2);
        self.note(CENTRE, format!("the end moved by {moved}"));
        true
    }
}

/// What a change of the end is made for.
const CENTRE: &str = "size-off-centre";
