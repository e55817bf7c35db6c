//! Puts a report together: findings sorted and placed, waivers applied, verdict given.

use super::targets::{self, Target};
use super::{
    CheckReport, EnvelopeReport, Location, PredictionReport, ReportedFinding, SCHEMA, Subject,
    Verdict, Waiver,
};
use crate::assumed::AssumedReport;
use crate::case::Case;
use crate::catalogue::Severity;
use crate::finding::{Finding, Place};
use crate::predict::Prediction;
use crate::static_check;
use crate::trials::Results;

/// Parts that a report is put together from.
pub struct Parts<'a> {
    /// The case.
    pub case: &'a Case<'a>,
    /// All findings, static and of the trials.
    pub findings: Vec<Finding>,
    /// Closed-form prediction.
    pub prediction: &'a Prediction,
    /// The nominal run's numbers over the closed form's, where a run was made.
    pub nominal: Option<PredictionReport>,
    /// What the trials came to, where they were run.
    pub results: Option<Results>,
    /// What the machine file leaves out.
    pub assumed: Option<AssumedReport>,
    /// What the batch asks of the parts that this report answers for: [`targets::TARGETS`], or nothing where one run is shown.
    pub targets: &'a [Target],
    /// Finds a field in its file.
    pub locate: &'a dyn Fn(&Place) -> Option<Location>,
    /// Codes that the user waives.
    pub waivers: &'a [Waiver],
}

/// Puts the report together: findings sorted and placed, waivers applied, verdict given.
#[must_use]
pub fn assemble(parts: Parts) -> CheckReport {
    let mut findings = parts.findings;
    static_check::sort(&mut findings);
    let findings: Vec<ReportedFinding> = findings
        .into_iter()
        .map(|finding| place(finding, parts.locate, parts.waivers))
        .collect();
    let worst_severity = findings
        .iter()
        .filter(|finding| finding.waived.is_none())
        .map(|finding| finding.severity)
        .max();
    let prediction = parts
        .nominal
        .unwrap_or_else(|| PredictionReport::closed_form(parts.case, parts.prediction));
    let verdict = match worst_severity {
        Some(Severity::Error) => Verdict::Fail,
        Some(Severity::Warning) => Verdict::Warn,
        Some(Severity::Note) | None => Verdict::Pass,
    };
    CheckReport {
        schema: SCHEMA,
        verdict,
        judged: targets::told(
            parts.targets,
            parts.case,
            &prediction,
            parts.results.as_ref(),
        ),
        findings,
        steps: parts.prediction.steps.clone(),
        prediction,
        envelope: parts
            .results
            .as_ref()
            .map_or_else(EnvelopeReport::default, |results| EnvelopeReport {
                runs: results.runs,
                failed: results.failed,
                worst: results.tightest().cloned(),
                cases: results.worst.clone(),
            }),
        assumed: parts.assumed,
        subject: Subject::of(parts.case),
        results: parts.results,
    }
}

fn place(
    finding: Finding,
    locate: &dyn Fn(&Place) -> Option<Location>,
    waivers: &[Waiver],
) -> ReportedFinding {
    let location = locate(&finding.place);
    let code = finding.name();
    ReportedFinding {
        code,
        severity: finding.severity,
        message: finding.message,
        file: location.as_ref().map_or_else(
            || finding.place.file.word().to_owned(),
            |found| found.file.clone(),
        ),
        line: location.as_ref().map(|found| found.line),
        column: location.as_ref().map(|found| found.column),
        measured: finding.measured,
        limit: finding.limit,
        unit: finding.unit,
        of: finding.of,
        cure: finding.cure,
        field: finding.place.path,
        waived: waivers
            .iter()
            .find(|waiver| waiver.code == code)
            .map(|waiver| waiver.reason.clone()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::predict::predict;
    use crate::static_check::check;
    use twinplate_sim::demo;

    fn report(waivers: &[Waiver]) -> CheckReport {
        let (mut machine, batch, mut recipe) = demo::set("glass-f800");
        // A gap that is wet 20 s after the pump starts.
        machine.slurry.wet_time = 25.0;
        recipe.prestart = 10.0;
        let case = Case {
            machine: &machine,
            batch: &batch,
            recipe: &recipe,
        };
        let prediction = predict(&case, 1.0);
        assemble(Parts {
            case: &case,
            findings: check(&case, &prediction),
            prediction: &prediction,
            nominal: None,
            results: None,
            assumed: None,
            targets: &targets::TARGETS,
            locate: &|place| {
                (place.path == "prestart").then(|| Location {
                    file: "recipes/a1.toml".into(),
                    line: 12,
                    column: 12,
                })
            },
            waivers,
        })
    }

    #[test]
    fn an_error_fails_the_check_and_stands_where_it_was_found() {
        let report = report(&[]);
        assert_eq!((report.schema, report.verdict), (SCHEMA, Verdict::Fail));
        let finding = &report.findings[0];
        assert_eq!(finding.code, "prestart-short");
        assert_eq!((finding.line, finding.column), (Some(12), Some(12)));
        assert!(!report.passes(Severity::Error));
    }

    #[test]
    fn a_waived_finding_stays_in_the_report_and_does_not_count() {
        let waived = report(&[Waiver {
            code: "prestart-short".into(),
            reason: "line is kept full".into(),
        }]);
        assert_eq!(waived.verdict, Verdict::Pass);
        assert_eq!(waived.findings.len(), 1);
        assert_eq!(
            waived.findings[0].waived.as_deref(),
            Some("line is kept full")
        );
        assert!(waived.passes(Severity::Note));
    }
}
