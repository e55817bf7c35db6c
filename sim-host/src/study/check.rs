//! The whole of `check`: static findings, prediction, proof, verdict, in one call without I/O.

use super::case::Case;
use super::catalogue::Code;
use super::finding::{Finding, Place, Severity};
use super::predict::{Prediction, predict};
use super::prove::{Options, ProveError, Proved, prove};
use super::static_check;
use super::verdict::{CheckReport, Location, Parts, Waiver, assemble};
use crate::bench::Outcome;

/// What a check is asked for, besides the case.
pub struct Request<'a> {
    /// The proof; `None` leaves it out.
    pub proof: Option<Options>,
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
#[must_use]
pub fn check(case: &Case, request: &Request) -> Checked {
    let prediction = predict(case, 1.0);
    let mut findings = static_check::check(case, &prediction);
    let errors = findings
        .iter()
        .filter(|finding| finding.severity == Severity::Error)
        .filter(|finding| !waived(finding, request.waivers))
        .count();
    let proved = match request.proof {
        Some(options) if errors == 0 => {
            match prove(case, &prediction, &options, request.progress) {
                Ok(proved) => Some(proved),
                Err(error) => {
                    findings.push(refused(&error));
                    None
                }
            }
        }
        asked => {
            findings.push(skipped(errors, asked.is_some()));
            None
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
    for finding in &findings {
        tracing::info!(
            code = finding.name(),
            severity = finding.severity.word(),
            "{}",
            finding.message
        );
    }
    Checked {
        report: assemble(Parts {
            case,
            findings,
            prediction: &prediction,
            nominal,
            proof,
            locate: request.locate,
            waivers: request.waivers,
        }),
        prediction,
        run,
    }
}

fn waived(finding: &Finding, waivers: &[Waiver]) -> bool {
    waivers.iter().any(|waiver| waiver.code == finding.name())
}

fn skipped(errors: usize, asked: bool) -> Finding {
    let (message, cure) = if asked {
        (
            format!("the proof was not run: {errors} of the static findings are errors"),
            "cure the errors, and check again",
        )
    } else {
        (
            "the proof was switched off".to_owned(),
            "check again with runs before the recipe goes to the machine",
        )
    };
    Finding::new(
        Code::ProofSkipped,
        Place::recipe("steps"),
        message,
        cure.to_owned(),
    )
}

fn refused(error: &ProveError) -> Finding {
    Finding::new(
        Code::ProofRefused,
        Place::recipe("steps"),
        error.to_string(),
        "change what the message names".to_owned(),
    )
}
