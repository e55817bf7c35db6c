//! One recipe with one abrasive: written, judged, mended by rule where a finding or a trial fails, until it passes or nothing moves.

use crate::limit::Limit;
use crate::plan::{Change, Ground, Plan};
use crate::repair::{Repaired, hurry, repair};
use crate::write::{Choice, Names, recipe};
use std::path::Path;
use twinplate_check::check::{Request, check, check_unranked};
use twinplate_check::predict::predict;
use twinplate_check::static_check;
use twinplate_check::trials::TrialPlan;
use twinplate_check::verdict::CheckReport;
use twinplate_check::{Case, Code, Finding, Severity};
use twinplate_sim::bench::{Drawn, Ended, Job, NoRecorder, Settled, run_after, run_cycle};
use twinplate_sim::files::{Loaded, parse_recipe, render_errors};
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::Recipe;

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
    let mut skipped: Vec<Code> = Vec::new();
    let mut draws = trials.search;
    for _ in 0..ROUNDS {
        plan.aim();
        let (text, choices) = recipe(&plan, names);
        let name = format!("{}.toml", names.id);
        let loaded = parse_recipe(Path::new(&name), &text)
            .map_err(|errors| Stuck::new(&[Limit::Machine], render_errors(&errors, false), 1))?;
        let case = Case {
            machine: ground.machine,
            batch: ground.batch,
            recipe: &loaded.value,
        };
        match round(&mut plan, &case, trials, draws, &mut skipped) {
            Ok(Round::Again) => {}
            Ok(Round::Passed(report)) => {
                if !proof || draws >= trials.proof {
                    return Ok(Fitted {
                        plan,
                        recipe: loaded,
                        choices,
                        report: *report,
                    });
                }
                draws = trials.proof;
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

enum Round {
    Again,
    Passed(Box<CheckReport>),
}

/// Judges a plan once, and mends what was found first.
fn round(
    plan: &mut Plan,
    case: &Case,
    trials: &Trials,
    draws: usize,
    skipped: &mut Vec<Code>,
) -> Result<Round, Stuck> {
    let prediction = predict(case, 1.0);
    let findings = static_check::check(case, &prediction);
    if mend(plan, case, &findings, skipped, 1)? {
        return Ok(Round::Again);
    }
    if let Some(longest) = plan.ground.longest
        && prediction.cycle > longest
    {
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
        return hurry(plan, ratio, Limit::LongestCycle)
            .map(|()| Round::Again)
            .map_err(|limits| Stuck::new(&limits, said, 1));
    }
    if let Some(size) = nominal(case, trials.seed) {
        let off = size - case.batch.target;
        if abs(off) > CENTRED * case.batch.tolerance && plan.centre(off) {
            return Ok(Round::Again);
        }
    }
    let request = Request {
        trials: TrialPlan {
            draws,
            threads: trials.threads,
            seed: trials.seed,
        },
        locate: &|_| None,
        waivers: &[],
        replay: &|_| String::new(),
        progress: &|_| (),
    };
    // Trying assumed keys one by one takes as long as a whole proof: it is left to that.
    let checked = if draws < trials.proof {
        check_unranked(case, &request)
    } else {
        check(case, &request)
    }
    .map_err(|error| Stuck::new(&[Limit::Machine], error.to_string(), 2))?;
    let report = checked.report;
    let found: Vec<Finding> = report
        .results
        .as_ref()
        .map(|results| results.findings(&case.recipe.shown, &|_| String::new()))
        .unwrap_or_default();
    if mend(plan, case, &found, skipped, 2)? {
        return Ok(Round::Again);
    }
    if report.passes(Severity::Error) {
        return Ok(Round::Passed(Box::new(report)));
    }
    let said = report
        .findings
        .iter()
        .find(|finding| finding.severity == Severity::Error)
        .map_or_else(String::new, |finding| finding.message.clone());
    Err(Stuck::new(&[Limit::Machine], said, 2))
}

/// Mends the gravest finding that can be mended; `false` where none is left to mend.
fn mend(
    plan: &mut Plan,
    case: &Case,
    findings: &[Finding],
    skipped: &mut Vec<Code>,
    reach: u8,
) -> Result<bool, Stuck> {
    for finding in findings {
        if finding.severity == Severity::Note || skipped.contains(&finding.code) {
            continue;
        }
        match repair(plan, case, finding) {
            Repaired::Changed => return Ok(true),
            // What only warns and does not move is told, and stays.
            Repaired::Stuck(_) if finding.severity == Severity::Warning => {
                skipped.push(finding.code);
            }
            Repaired::Stuck(limits) => {
                let said = format!("{}: {}", finding.name(), finding.message);
                return Err(Stuck::new(&limits, said, reach));
            }
        }
    }
    Ok(false)
}

/// Mean size of the parts on the machine as its file says, the middle between cold and warm plates, m; `None` where a cycle does not
/// complete.
fn nominal(case: &Case, seed: u64) -> Option<f64> {
    let job = Job::new(
        case.machine.clone(),
        case.batch.clone(),
        case.recipe.clone(),
    )
    .ok()?;
    let setup = job.drawn(Drawn { seed, index: 0 });
    let (cold, after) =
        run_after(setup.unused(), setup.controller(), &setup, None, NoRecorder).ok()?;
    let settled = Settled::after_cold(&job.machine, &cold, &after);
    let setup = job.drawn(Drawn { seed, index: 0 }).warm(&settled);
    let warm = run_cycle(&setup, None, NoRecorder).ok()?;
    let middle = |run: &twinplate_sim::bench::Outcome| {
        (run.ended == Ended::Complete).then_some(run.summary.parts.mean)
    };
    Some(0.5 * (middle(&cold)? + middle(&warm)?))
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
        self.note(CENTRE, format!("the end moved by {moved:.2} µm"));
        true
    }
}

/// What a change of the end is made for.
const CENTRE: &str = "size-off-centre";
