//! The five answers that head every report: verdict, what fails and its remedy, worst load margin, predicted result, coverage.

use super::duration;
use twinplate_check::catalogue::Severity;
use twinplate_check::finding::significant;
use twinplate_check::trials::{NOMINAL_RUNS, TrialRun};
use twinplate_check::verdict::targets::sizes;
use twinplate_check::verdict::{CheckReport, DamageReport, PlateWear, ReportedFinding, Verdict};
use twinplate_sim::model::{Of, Shown};

/// One answer: a question, its short answer, and the line under it.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The question, two or three words.
    pub question: &'static str,
    /// The answer.
    pub short: String,
    /// What stands behind it; may be empty.
    pub detail: String,
}

/// The five answers, in order.
#[must_use]
pub fn five(report: &CheckReport) -> [Answer; 5] {
    [
        verdict(report),
        what_fails(report),
        load_margin(report),
        prediction(report),
        coverage(report),
    ]
}

/// A count and its word, in the plural where it is not one.
fn counted(count: usize, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}

fn verdict(report: &CheckReport) -> Answer {
    let count = |severity: Severity| {
        report
            .counting()
            .filter(|finding| finding.severity == severity)
            .count()
    };
    let waived = report.findings.len() - report.counting().count();
    let mut detail = match (count(Severity::Error), count(Severity::Warning)) {
        (0, 0) => "no errors, no warnings".to_owned(),
        (errors, warnings) => format!(
            "{}, {}",
            counted(errors, "error"),
            counted(warnings, "warning")
        ),
    };
    if waived > 0 {
        detail.push_str(&format!(", {waived} waived"));
    }
    Answer {
        question: "Verdict",
        short: report.verdict.word().to_uppercase(),
        detail,
    }
}

/// The finding that matters most: the first that counts, unless it is only a note.
#[must_use]
pub(crate) fn gravest(report: &CheckReport) -> Option<&ReportedFinding> {
    report
        .counting()
        .find(|finding| finding.severity > Severity::Note)
}

fn what_fails(report: &CheckReport) -> Answer {
    let question = "What fails";
    match gravest(report) {
        None => Answer {
            question,
            short: "nothing".to_owned(),
            detail: if report.envelope.runs > 0 {
                "every rule and every run holds".to_owned()
            } else {
                "every rule holds; no run was made".to_owned()
            },
        },
        Some(finding) => Answer {
            question,
            short: finding.message.clone(),
            detail: format!("Remedy: {}", finding.cure),
        },
    }
}

fn load_margin(report: &CheckReport) -> Answer {
    let question = "Worst load margin";
    let Some(case) = report
        .results
        .as_ref()
        .and_then(|results| results.tightest_load())
    else {
        return Answer {
            question,
            short: "not run".to_owned(),
            detail: "the closed-loop trials give it".to_owned(),
        };
    };
    let (shown, of) = (&report.subject.shown, Of::Load);
    let left = case.limit - case.value;
    let (short, word) = if left < 0.0 {
        (format!("{} over", shown.tell(of, -left, 3)), "over")
    } else {
        (
            format!(
                "{} ({} %)",
                shown.tell(of, left, 3),
                significant(100.0 * left / case.limit, 2)
            ),
            "under",
        )
    };
    Answer {
        question,
        short,
        detail: format!(
            "{word} the bound of {}: {}, {}",
            shown.tell(of, case.limit, 4),
            case.what,
            run_name(case.run())
        ),
    }
}

/// Which run it was, in words.
fn run_name(run: TrialRun) -> String {
    let warm = if run.warm { ", plates warm" } else { "" };
    if run.draw == 0 {
        format!("the nominal machine{warm}")
    } else {
        format!("run {}{warm}", run.draw)
    }
}

fn prediction(report: &CheckReport) -> Answer {
    let (p, shown) = (&report.prediction, &report.subject.shown);
    Answer {
        question: "Predicted result",
        short: format!(
            "{}, Ra {}, {}",
            shown.fixed_with(Of::Size, p.thickness_um.mean, 1),
            shown.tell(Of::Finish, p.roughness_um, 2),
            duration(p.cycle_s)
        ),
        detail: format!(
            "{}; {} parts/h, {} slurry; target by target below",
            sizes(shown, p.thickness_um.min, p.thickness_um.max),
            significant(p.parts_per_hour, 3),
            shown.tell(Of::Volume, p.slurry_l, 2)
        ),
    }
}

/// The deepest damage that is left, and what is allowed.
#[must_use]
pub fn damage(left: &DamageReport, shown: &Shown) -> String {
    let place = match (left.part, left.face) {
        (Some(part), Some(face)) => format!(" (part {part}, {face} face)"),
        _ => String::new(),
    };
    format!(
        "damage left at most {}{place}, allowed {}",
        shown.tell(Of::Depth, left.depth_um, 2),
        shown.tell(Of::Depth, left.limit_um, 2)
    )
}

/// What a batch does to both plates, in words; `None` without a run. What ring settings do to one they undo or worsen on the other.
#[must_use]
pub(crate) fn plates(wear: &[PlateWear], shown: &Shown) -> Option<String> {
    if wear.is_empty() {
        return None;
    }
    let told: Vec<String> = wear
        .iter()
        .map(|one| {
            let [lower, upper] = one.change_um;
            let form = |number| shown.signed(Of::Form, number, 2);
            format!(
                "lower {}, upper {} {}",
                form(lower),
                shown.with(Of::Form, &form(upper)),
                one.rings
            )
        })
        .collect();
    Some(format!(
        "plates that have run in grow convex a batch by: {} (what levels one can ruin the other)",
        told.join("; ")
    ))
}

fn coverage(report: &CheckReport) -> Answer {
    let envelope = &report.envelope;
    if envelope.runs == 0 {
        let errors = report.verdict == Verdict::Fail;
        return Answer {
            question: "Trials covered",
            short: "0 cycles".to_owned(),
            detail: if errors {
                "not run: correct the errors first".to_owned()
            } else {
                "not run".to_owned()
            },
        };
    }
    Answer {
        question: "Trials covered",
        short: format!(
            "{}, {} failed",
            counted(envelope.runs, "cycle"),
            envelope.failed
        ),
        detail: match envelope.runs.checked_sub(NOMINAL_RUNS) {
            None | Some(0) => {
                "the nominal machine only, plates cold and warm; nothing was drawn from its envelope"
                    .to_owned()
            }
            Some(draws) => format!(
                "the nominal machine, plates cold and warm, and {draws} drawn from its envelope, every other one warm: {}",
                report.subject.widths
            ),
        },
    }
}
