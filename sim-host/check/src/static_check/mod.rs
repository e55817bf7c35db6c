//! Everything that can be known about a recipe without running it, one file a subject.
//!
//! A rule speaks only when it is broken, once for a place, and not when a graver rule about the same number already spoke:
//! the reader gets causes, not echoes.

mod abrasion;
mod carriers;
mod envelope;
mod even_pressure;
mod first_contact;
mod geometry;
mod load;
mod slurry;
mod speeds;
mod time_and_stock;

#[cfg(test)]
mod tests;

use super::case::Case;
use super::catalogue::{Code, Severity};
use super::finding::{Counts, Finding, Place};
use super::predict::Prediction;

/// Findings gathered so far.
#[derive(Debug, Default)]
pub(super) struct Findings(Vec<Finding>);

impl Findings {
    /// Adds a finding with the number found, its bound and what they count.
    fn add(
        &mut self,
        code: Code,
        place: Place,
        numbers: (f64, f64, impl Into<Counts>),
        message: String,
        cure: String,
    ) {
        let finding = Finding::new(code, place, message, cure);
        self.0
            .push(finding.with_numbers(numbers.0, numbers.1, numbers.2.into()));
    }

    /// Whether a code was found already.
    fn has(&self, code: Code) -> bool {
        self.0.iter().any(|finding| finding.code == code)
    }
}

/// Every static finding of a case: errors first, then warnings, then notes, each in the order of the rules.
#[must_use]
pub fn check(case: &Case, prediction: &Prediction) -> Vec<Finding> {
    let mut findings = Findings::default();
    envelope::identity(case, &mut findings);
    geometry::check(case, &mut findings);
    load::check(case, &mut findings);
    first_contact::check(case, &mut findings);
    speeds::check(case, &mut findings);
    abrasion::check(case, &mut findings);
    slurry::check(case, prediction, &mut findings);
    time_and_stock::check(case, prediction, &mut findings);
    carriers::check(case, prediction, &mut findings);
    envelope::check(case, &mut findings);
    sort(&mut findings.0);
    findings.0
}

/// Errors first; within a severity the order stays.
pub fn sort(findings: &mut [Finding]) {
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
}

/// Number of findings of a severity.
#[must_use]
pub fn count(findings: &[Finding], severity: Severity) -> usize {
    findings
        .iter()
        .filter(|finding| finding.severity == severity)
        .count()
}
