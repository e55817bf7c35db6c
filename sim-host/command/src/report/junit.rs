//! The report of `check` for a pipeline: JUnit XML, one test case for every rule of the catalogue.

use super::Complaint;
use quick_junit::{NonSuccessKind, Report, TestCase, TestCaseStatus, TestSuite};
use twinplate_check::catalogue::{ALL_CODES, Severity};
use twinplate_check::verdict::{CheckReport, ReportedFinding};

/// Codes of the trials begin here.
const TRIALS: u16 = 200;

/// Draws the report. Findings from `fail_on` upwards fail their case; waived ones are skipped with their reason.
///
/// # Errors
/// What the XML writer reports.
pub fn draw(
    report: &CheckReport,
    fail_on: Severity,
) -> Result<String, quick_junit::SerializeError> {
    let [recipe, machine, batch] = &report.subject.names;
    let mut suite = TestSuite::new(format!("check {recipe} on {machine} with {batch}"));
    for code in ALL_CODES {
        let entry = code.entry();
        let found: Vec<&ReportedFinding> = report
            .findings
            .iter()
            .filter(|finding| finding.code == entry.code)
            .collect();
        let mut case = TestCase::new(entry.code, status(&found, fail_on));
        if entry.id >= TRIALS && report.envelope.runs == 0 && found.is_empty() {
            let mut skipped = TestCaseStatus::skipped();
            skipped.set_message("the closed-loop trials were not run");
            case = TestCase::new(entry.code, skipped);
        }
        case.set_classname(if entry.id >= TRIALS {
            "trials"
        } else {
            "static"
        });
        suite.add_test_case(case);
    }
    let mut junit = Report::new("twinplate check");
    junit.add_test_suite(suite);
    junit.to_string()
}

/// Draws what kept `check` from its work: an error of its own for each thing that is wrong.
///
/// # Errors
/// What the XML writer reports.
pub fn errors(told: &[Complaint]) -> Result<String, quick_junit::SerializeError> {
    let mut suite = TestSuite::new("check");
    for one in told {
        let place = match (&one.file, one.line, one.column) {
            (Some(file), Some(line), Some(column)) => format!("{file}:{line}:{column}"),
            _ => "usage".to_owned(),
        };
        let mut status = TestCaseStatus::non_success(NonSuccessKind::Error);
        status.set_message(&one.message);
        let mut text = format!("{place}: {}\nremedy: {}", one.message, one.cure);
        if let Some(word) = &one.nearest {
            text.push_str(&format!("\ndid you mean `{word}`?"));
        }
        status.set_description(text);
        if let Some(code) = one.code {
            status.set_type(code);
        }
        let mut case = TestCase::new(place, status);
        case.set_classname("input");
        suite.add_test_case(case);
    }
    let mut junit = Report::new("twinplate check");
    junit.add_test_suite(suite);
    junit.to_string()
}

fn status(found: &[&ReportedFinding], fail_on: Severity) -> TestCaseStatus {
    let failing: Vec<&&ReportedFinding> = found
        .iter()
        .filter(|finding| finding.waived.is_none() && finding.severity >= fail_on)
        .collect();
    if let Some(first) = failing.first() {
        let mut status = TestCaseStatus::non_success(NonSuccessKind::Failure);
        status
            .set_message(&first.message)
            .set_type(first.severity.word());
        let text: Vec<String> = failing
            .iter()
            .map(|f| {
                let line = f.line.map_or_else(String::new, |line| format!(":{line}"));
                format!(
                    "{}{line} {}: {}\nremedy: {}",
                    f.file, f.field, f.message, f.cure
                )
            })
            .collect();
        status.set_description(text.join("\n\n"));
        return status;
    }
    if let Some(reason) = found.iter().find_map(|finding| finding.waived.as_ref()) {
        let mut status = TestCaseStatus::skipped();
        status.set_message(format!("waived: {reason}"));
        return status;
    }
    TestCaseStatus::success()
}
