//! The whole of `check`: static findings, prediction, proof, verdict, in one call without I/O.

use super::case::Case;
use super::catalogue::Code;
use super::finding::{Finding, Place, Severity};
use super::predict::{Prediction, predict};
use super::proof::Proof;
use super::prove::{Options, ProveError, Proved, prove, report_of};
use super::static_check;
use super::verdict::targets::TARGETS;
use super::verdict::{CheckReport, Location, Parts, Waiver, assemble};
use twinplate_sim::bench::{Job, Outcome, PortError};
use twinplate_sim::compile::CompileError;
use twinplate_sim::requirements::RunJudgement;

/// What a check is asked for, besides the case.
pub struct Request<'a> {
    /// How the proof is made.
    pub proof: Options,
    /// Finds a field in its file.
    pub locate: &'a dyn Fn(&Place) -> Option<Location>,
    /// Codes that the user waives.
    pub waivers: &'a [Waiver],
    /// The command that replays a numbered run of the proof.
    pub replay: &'a dyn Fn(u64) -> String,
    /// Hears how many runs are done, from any thread.
    pub progress: &'a (dyn Fn(usize) + Sync),
}

/// What a check gives.
#[derive(Clone, Debug)]
pub struct Checked {
    /// The report.
    pub report: CheckReport,
    /// The closed-form prediction.
    pub prediction: Prediction,
    /// The nominal run with its trace, where the proof was run.
    pub run: Option<Outcome>,
}

/// Checks a case. The proof is left out while an error stands that is not waived: it would only prove what is known.
///
/// # Errors
/// What the controller's port reports; a controller in this process is always there.
pub fn check(case: &Case, request: &Request) -> Result<Checked, PortError> {
    let prediction = predict(case, 1.0);
    let mut findings = static_check::check(case, &prediction);
    let errors = findings
        .iter()
        .filter(|finding| finding.severity == Severity::Error)
        .filter(|finding| !waived(finding, request.waivers))
        .count();
    let proved = if errors > 0 {
        findings.push(skipped(errors));
        None
    } else {
        match prove(case, &prediction, &request.proof, request.progress) {
            Ok(proved) => Some(proved),
            // No static rule spoke, but the controller will not have it: the answer is no all the same.
            Err(ProveError::Compile(error)) => {
                findings.push(refused(&error));
                None
            }
            Err(ProveError::Port(error)) => return Err(error),
        }
    };
    let (proof, nominal, run) = match proved {
        Some(Proved {
            proof,
            run,
            nominal,
        }) => (Some(proof), Some(nominal), Some(run)),
        None => (None, None, None),
    };
    if let Some(proof) = &proof {
        findings.extend(proof.findings(request.replay));
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
            proof,
            targets: &TARGETS,
            locate: request.locate,
            waivers: request.waivers,
        }),
        prediction,
        run,
    })
}

/// The report of one run of a job, in the form of a check: no static findings, and a proof of that one run. `replay` gives the command
/// that runs a numbered run again.
#[must_use]
pub fn of_run(
    job: &Job,
    outcome: &Outcome,
    judged: &RunJudgement,
    locate: &dyn Fn(&Place) -> Option<Location>,
    replay: &dyn Fn(u64) -> String,
) -> CheckReport {
    let case = Case::of_job(job);
    let prediction = predict(&case, 1.0);
    let seed = outcome.journal.drawn.map_or(0, |drawn| drawn.seed);
    let proof = Proof::of(seed, vec![judged.clone()]);
    assemble(Parts {
        case: &case,
        findings: proof.findings(replay),
        prediction: &prediction,
        nominal: Some(report_of(&case, &outcome.summary, &prediction)),
        proof: Some(proof),
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
