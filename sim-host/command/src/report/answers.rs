//! The five answers that head every report: verdict, what fails and its remedy, worst load margin, predicted result, coverage.

use super::duration;
use twinplate_check::catalogue::Severity;
use twinplate_check::finding::significant;
use twinplate_check::predict::StepPrediction;
use twinplate_check::verdict::targets;
use twinplate_check::verdict::{CheckReport, DamageReport, PlateWear, ReportedFinding, Verdict};

/// Smallest difference that a range of sizes shows, µm.
const RANGE_DIGIT: f64 = 0.1;

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
    if !report.not_judged.is_empty() {
        detail.push_str("; ");
        detail.push_str(&targets::line(&report.not_judged));
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
    let left = case.limit - case.value;
    let (short, word) = if left < 0.0 {
        (format!("{} N over", significant(-left, 3)), "over")
    } else {
        (
            format!(
                "{} N ({} %)",
                significant(left, 3),
                significant(100.0 * left / case.limit, 2)
            ),
            "under",
        )
    };
    Answer {
        question,
        short,
        detail: format!(
            "{word} the bound of {} N: {}, {}",
            significant(case.limit, 4),
            case.what,
            if case.draw == 0 {
                "the nominal machine".to_owned()
            } else {
                format!("run {}", case.draw)
            }
        ),
    }
}

fn prediction(report: &CheckReport) -> Answer {
    let (p, subject) = (&report.prediction, &report.subject);
    let stock = |face: fn(&StepPrediction) -> f64| report.steps.iter().map(face).sum::<f64>();
    Answer {
        question: "Predicted result",
        short: format!(
            "{:.1} µm, Ra {} µm, {}",
            p.thickness_um.mean,
            significant(p.roughness_um, 2),
            duration(p.cycle_s)
        ),
        detail: format!(
            "target {:.1} ± {} µm, Ra ≤ {} µm; {}; stock {:.1} and {:.1} µm, {}; {}{}{} parts/h, {} L slurry",
            subject.size_um[0],
            significant(subject.size_um[1], 3),
            significant(subject.finish_um, 2),
            sizes(p.thickness_um.min, p.thickness_um.max),
            stock(|step| step.removal_lower_um),
            stock(|step| step.removal_upper_um),
            damage(&p.damage_left),
            form(report),
            p.largest_part
                .map_or_else(String::new, |part| format!("{}; ", part.words())),
            significant(p.parts_per_hour, 3),
            significant(p.slurry_l, 2)
        ),
    }
}

/// The deepest damage that is left, and what is allowed.
#[must_use]
pub fn damage(left: &DamageReport) -> String {
    let place = match (left.part, left.face) {
        (Some(part), Some(face)) => format!(" (part {part}, {face} face)"),
        _ => String::new(),
    };
    format!(
        "damage left at most {} µm{place}, allowed {} µm",
        significant(left.depth_um, 2),
        significant(left.limit_um, 2)
    )
}

/// Form of the parts and the pressure along their path, where a run gave them.
fn form(report: &CheckReport) -> String {
    let (p, [flatness, parallelism]) = (&report.prediction, report.subject.form_um);
    let (Some(flat), Some(bands), Some(within), Some([least, most])) = (
        p.flatness_um,
        p.flatness_bands,
        p.parallelism_um,
        p.pressure_pct,
    ) else {
        return String::new();
    };
    format!(
        "flat to {flat:.2} µm ({bands:.1} light bands; asked {}), parallel to {within:.2} µm (asked {}); pressure along the path \
         {least} to {most} % of the mean; {}",
        significant(flatness, 3),
        significant(parallelism, 3),
        plates(&p.wear),
    )
}

/// What a batch does to both plates, in words. What ring settings do to one they undo or worsen on the other.
fn plates(wear: &[PlateWear]) -> String {
    if wear.is_empty() {
        return String::new();
    }
    let told: Vec<String> = wear
        .iter()
        .map(|one| {
            let [lower, upper] = one.change_um;
            format!("lower {lower:+.2}, upper {upper:+.2} µm {}", one.rings)
        })
        .collect();
    format!(
        "plates that have run in grow convex a batch by: {} (what levels one can ruin the other); ",
        told.join("; ")
    )
}

/// From the thinnest part to the thickest, µm. The model knows parts only as whole: what differs by less than a digit shown is told as
/// that, not as a range of equal numbers.
#[must_use]
pub(crate) fn sizes(min: f64, max: f64) -> String {
    if max - min < RANGE_DIGIT {
        format!("parts less than {RANGE_DIGIT} µm apart")
    } else {
        format!("parts {min:.1} to {max:.1} µm")
    }
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
        detail: if envelope.runs == 1 {
            "the nominal machine only; nothing was drawn from its envelope".to_owned()
        } else {
            format!(
                "the nominal machine and {} drawn from its envelope: {}",
                envelope.runs - 1,
                report.subject.widths
            )
        },
    }
}
