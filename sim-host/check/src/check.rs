//! The whole of `check`: static findings, prediction, closed-loop trials, verdict, in one call without I/O.

use super::assumed::{self, Allowed, AssumedReport, Ranked};
use super::case::Case;
use super::catalogue::{Code, Severity};
use super::finding::{Finding, Place};
use super::lot::{Feed, Left};
use super::predict::{Prediction, predict};
use super::static_check;
use super::trials::{NOMINAL_RUNS, NoTrials, Results, TrialPlan, TrialRun, Tried, job, run_trials};
use super::verdict::targets::TARGETS;
use super::verdict::{CheckReport, Location, Parts, Waiver, assemble, report_of};
use twinplate_sim::bench::{Job, Outcome, PortError};
use twinplate_sim::compile::CompileError;
use twinplate_sim::requirements::RunJudgement;

/// What a check is asked for, besides the case.
pub struct Request<'a> {
    /// How the trials are made.
    pub trials: TrialPlan,
    /// Finds a field in its file.
    pub locate: &'a dyn Fn(&Place) -> Option<Location>,
    /// Codes that the user waives.
    pub waivers: &'a [Waiver],
    /// The command that replays a numbered trial.
    pub replay: &'a dyn Fn(TrialRun) -> String,
    /// Hears how many runs are done, from any thread.
    pub progress: &'a (dyn Fn(usize) + Sync),
    /// Hears every judged run of the trials as it comes, from any thread: the nominal one first.
    pub judged: &'a (dyn Fn(&RunJudgement) + Sync),
}

impl Request<'static> {
    /// Of a case that comes from no file and that nobody waits for: findings have no line, a trial is told by its number.
    #[must_use]
    pub const fn plain(trials: TrialPlan) -> Self {
        Self {
            trials,
            locate: &|_| None,
            waivers: &[],
            replay: &|run| run.to_string(),
            progress: &|_| (),
            judged: &|_| (),
        }
    }
}

/// What a check gives.
#[derive(Clone, Debug)]
pub struct Checked {
    /// The report.
    pub report: CheckReport,
    /// The closed-form prediction.
    pub prediction: Prediction,
    /// The nominal run with its trace, where the trials were run.
    pub run: Option<Outcome>,
    /// What each trial left of its parts: the nominal machine cold, then warm, then the draws in their order; none where none was run.
    pub left: Vec<Left>,
    /// Ends of assumed keys with which a run failed that holds as assumed.
    pub failing: Vec<Allowed>,
}

/// Checks a case. The trials are left out while an error stands that is not waived: they would only show what is known.
///
/// # Errors
/// What the controller's port reports; a controller in this process is always there.
pub fn check(case: &Case, request: &Request) -> Result<Checked, PortError> {
    check_fed(case, request, &Feed::none())
}

/// As [`check`], for who tries many recipes and wants few runs of each: keys that a machine file leaves out are drawn as ever, but not tried
/// one by one, so that the verdict lacks the findings of those tries.
///
/// # Errors
/// As [`check`].
pub fn check_unranked(case: &Case, request: &Request) -> Result<Checked, PortError> {
    judge(case, request, &Feed::none(), false)
}

/// As [`check`], with parts that come from a stage before: `feed` has those of each trial. The case's batch is that of the nominal one.
///
/// # Errors
/// As [`check`].
pub fn check_fed(case: &Case, request: &Request, feed: &Feed) -> Result<Checked, PortError> {
    judge(case, request, feed, true)
}

fn judge(case: &Case, request: &Request, feed: &Feed, rank: bool) -> Result<Checked, PortError> {
    let prediction = predict(case, 1.0);
    let mut findings = static_check::check(case, &prediction);
    let errors = findings
        .iter()
        .filter(|finding| finding.severity == Severity::Error)
        .filter(|finding| !waived(finding, request.waivers))
        .count();
    let tried = if errors > 0 {
        findings.push(skipped(errors));
        None
    } else {
        match run_trials(
            case,
            &request.trials,
            feed,
            request.progress,
            request.judged,
        ) {
            Ok(tried) => Some(tried),
            // No static rule spoke, but the controller will not have it: the answer is no all the same.
            Err(NoTrials::Compile(error)) => {
                findings.push(refused(&error));
                None
            }
            Err(NoTrials::Port(error)) => return Err(error),
        }
    };
    let (results, run, left) = match tried {
        Some(Tried { results, run, left }) => (Some(results), Some(run), left),
        None => (None, None, Vec::new()),
    };
    let nominal = run.as_ref().map(|run| report_of(case, run, &prediction));
    if let Some(results) = &results {
        findings.extend(results.findings(&case.recipe.shown, request.replay));
    }
    let mut assumed = AssumedReport::of_both(case.machine, case.batch, &case.recipe.shown);
    let mut failing = Vec::new();
    if rank
        && results.is_some()
        && let Some(ranked) = ranked(case, request)?
    {
        assumed = Some(ranked.report);
        findings.extend(ranked.findings);
        failing = ranked.failing;
    }
    findings.extend(idle(request.waivers, &findings));
    for finding in &findings {
        tracing::info!(
            code = finding.name(),
            severity = finding.severity.word(),
            "{}",
            finding.message
        );
    }
    Ok(Checked {
        report: assemble(Parts {
            case,
            findings,
            prediction: &prediction,
            nominal,
            results,
            assumed,
            targets: &TARGETS,
            locate: request.locate,
            waivers: request.waivers,
        }),
        prediction,
        run,
        left,
        failing,
    })
}

/// The assumed keys of a case whose trials were run, ranked; their runs are counted on from those of the trials.
fn ranked(case: &Case, request: &Request) -> Result<Option<Ranked>, PortError> {
    let plan = &request.trials;
    if assumed::runs(case.machine, case.batch) == 0 {
        return Ok(None);
    }
    // The trials have compiled it.
    let Ok(job) = job(case) else { return Ok(None) };
    let before = plan.draws + NOMINAL_RUNS;
    assumed::rank(case, &job, (plan.seed, plan.threads), &|done| {
        (request.progress)(before + done);
    })
}

/// The report of one run of a job, in the form of a check: no static findings, and that one run as the only trial. `replay` gives the command
/// that runs a numbered run again.
#[must_use]
pub fn of_run(
    job: &Job,
    outcome: &Outcome,
    judged: &RunJudgement,
    locate: &dyn Fn(&Place) -> Option<Location>,
    replay: &dyn Fn(TrialRun) -> String,
) -> CheckReport {
    let case = Case::of_job(job);
    let prediction = predict(&case, 1.0);
    let seed = outcome.journal.drawn.map_or(0, |drawn| drawn.seed);
    let results = Results::of(seed, vec![judged.clone()]);
    assemble(Parts {
        case: &case,
        findings: results.findings(&case.recipe.shown, replay),
        prediction: &prediction,
        nominal: Some(report_of(&case, outcome, &prediction)),
        results: Some(results),
        assumed: AssumedReport::of_both(&job.machine, &job.batch, &job.recipe.shown),
        targets: &[],
        locate,
        waivers: &[],
    })
}

/// The static errors of a case, by name, for studies that ask something else of it.
#[must_use]
pub fn static_errors(case: &Case) -> Vec<&'static str> {
    static_check::check(case, &predict(case, 1.0))
        .iter()
        .filter(|finding| finding.severity == Severity::Error)
        .map(Finding::name)
        .collect()
}

/// Waivers that nothing answered to: a stale one would let its finding pass the day it comes back.
fn idle(waivers: &[Waiver], findings: &[Finding]) -> Vec<Finding> {
    waivers
        .iter()
        .filter(|waiver| !findings.iter().any(|finding| finding.name() == waiver.code))
        .map(|waiver| {
            let code = Code::WaiverIdle;
            Finding::new(
                code,
                Place::recipe("steps"),
                format!(
                    "nothing was found of the code {} that is waived",
                    waiver.code
                ),
                code.entry().cure.to_owned(),
            )
        })
        .collect()
}

fn waived(finding: &Finding, waivers: &[Waiver]) -> bool {
    waivers.iter().any(|waiver| waiver.code == finding.name())
}

fn skipped(errors: usize) -> Finding {
    let code = Code::ProofSkipped;
    Finding::new(
        code,
        Place::recipe("steps"),
        format!(
            "no run was made because of {errors} static error{}",
            if errors == 1 { "" } else { "s" }
        ),
        code.entry().cure.to_owned(),
    )
}

fn refused(error: &CompileError) -> Finding {
    let code = Code::ProofRefused;
    Finding::new(
        code,
        Place::recipe("steps"),
        format!("no run could be made: {error}"),
        code.entry().cure.to_owned(),
    )
}
