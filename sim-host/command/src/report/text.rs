//! The report of `check` for a terminal: 80 columns, the verdict in the last line.

use super::cycle::Cycle;
use super::{Paint, Style, WIDTH, answers, assumed, heading, plan, ribbon, wrap};
use std::fmt::Write as _;
use twinplate_check::catalogue::Severity;
use twinplate_check::finding::significant;
use twinplate_check::inspection::FacesReport;
use twinplate_check::verdict::targets::JudgedTarget;
use twinplate_check::verdict::{CheckReport, ReportedFinding, Verdict};

/// Colour meaning of a severity.
fn paint_of(severity: Severity) -> Paint {
    match severity {
        Severity::Error => Paint::Danger,
        Severity::Warning => Paint::Abnormal,
        Severity::Note => Paint::Quiet,
    }
}

/// Draws the report. `cycle` gives the ribbon, where there is one.
#[must_use]
pub fn draw(report: &CheckReport, cycle: Option<&Cycle>, style: Style) -> String {
    let mut text = String::new();
    let [recipe, machine, batch] = &report.subject.names;
    line(
        &mut text,
        &style.paint(
            Paint::Strong,
            &format!("check {recipe} on {machine} with {batch}"),
        ),
    );
    for part in wrap(&report.subject.title, style.width) {
        line(&mut text, &part);
    }
    text.push('\n');
    five(&mut text, report, style);
    targets(&mut text, report, style);
    findings(&mut text, report, style);
    steps(&mut text, report, style);
    worst(&mut text, report, style);
    seen(&mut text, report, style);
    if let Some(report) = &report.assumed {
        assumed::draw(&mut text, report, style);
    }
    if let Some(cycle) = cycle {
        heading(&mut text, "Cycle", style);
        text.push_str(&ribbon::draw(cycle, style));
    }
    text.push('\n');
    let kind = match report.verdict {
        Verdict::Pass => Paint::Normal,
        Verdict::Warn => Paint::Abnormal,
        Verdict::Fail => Paint::Danger,
    };
    line(
        &mut text,
        &style.paint(kind, &format!("verdict: {}", report.verdict.word())),
    );
    text
}

fn line(text: &mut String, content: &str) {
    text.push_str(content);
    text.push('\n');
}

fn five(text: &mut String, report: &CheckReport, style: Style) {
    const LABEL: usize = 19;
    for answer in answers::five(report) {
        for (index, part) in wrap(&answer.short, style.width - LABEL).iter().enumerate() {
            let label = if index == 0 { answer.question } else { "" };
            let padded = format!("{label:<LABEL$}");
            line(
                text,
                &format!("{}{part}", style.paint(Paint::Strong, &padded)),
            );
        }
        for part in wrap(&answer.detail, style.width - LABEL) {
            line(
                text,
                &format!("{:LABEL$}{}", "", style.paint(Paint::Quiet, &part)),
            );
        }
    }
}

fn findings(text: &mut String, report: &CheckReport, style: Style) {
    if report.findings.is_empty() {
        return;
    }
    heading(text, "Findings", style);
    for finding in &report.findings {
        one_finding(text, finding, style);
    }
}

fn one_finding(text: &mut String, finding: &ReportedFinding, style: Style) {
    let place = match (finding.line, finding.column) {
        (Some(row), Some(column)) => format!("{}:{row}:{column}", finding.file),
        _ => format!("{}, {}", finding.file, finding.field),
    };
    let word = format!("{:<8}", finding.severity.word());
    line(
        text,
        &format!(
            "{}{}",
            style.paint(paint_of(finding.severity), &word),
            style.paint(Paint::Strong, finding.code)
        ),
    );
    let mut indented = |content: &str| {
        for part in wrap(content, style.width - 8) {
            line(text, &format!("{:8}{part}", ""));
        }
    };
    indented(&format!("at {place}"));
    indented(&finding.message);
    indented(&format!("remedy: {}", finding.cure));
    if let Some(reason) = &finding.waived {
        indented(&format!("waived: {reason}"));
    }
}

fn steps(text: &mut String, report: &CheckReport, style: Style) {
    heading(text, "Steps", style);
    line(
        text,
        &format!(
            "{:<16} {:>7} {:>7} {:>13} {:>13} {:>7} {:>7}",
            "step", "load N", "kPa", "m/s low/up", "µm low/up", "µm/min", "time s"
        ),
    );
    for step in &report.steps {
        line(
            text,
            &format!(
                "{:<16} {:>7.0} {:>7} {:>13} {:>13} {:>7} {:>7.0}",
                step.name,
                step.load_n,
                significant(step.pressure_pa / 1e3, 3),
                format!(
                    "{} {}",
                    significant(step.mean_speed_lower_m_s, 3),
                    significant(step.mean_speed_upper_m_s, 3)
                ),
                format!(
                    "{} {}",
                    significant(step.removal_lower_um, 3),
                    significant(step.removal_upper_um, 3)
                ),
                significant(step.removal_rate_um_min, 2),
                step.duration_s
            ),
        );
    }
    if !report.steps.is_empty() {
        let coefficient = report.prediction.removal_per_pa;
        line(
            text,
            &format!(
                "µm/min: both faces, fresh grains, removal coefficient {coefficient:.2e} 1/Pa"
            ),
        );
    }
}

/// What the batch asks, a row a target, and what the nominal machine and the runs make of it.
fn targets(text: &mut String, report: &CheckReport, style: Style) {
    if report.judged.is_empty() {
        return;
    }
    heading(text, "What the batch asks, and what it gets", style);
    let heads = ["nominal", "best", "worst", "allowed", "left", "run", "met"];
    for part in target_row("", heads, style) {
        line(text, &part);
    }
    let mut group = "";
    for target in &report.judged {
        if target.group != group {
            group = target.group;
            line(text, group);
        }
        for part in one_target(target, style) {
            if target.met == Some(false) {
                line(text, &style.paint(Paint::Danger, &part));
            } else {
                line(text, &part);
            }
        }
        for part in wrap(&target.note, style.width - 4) {
            if !part.is_empty() {
                line(text, &format!("    {}", style.paint(Paint::Quiet, &part)));
            }
        }
    }
}

/// What an optical flat shows of the worst part, and what pockets and plates bore, in the nominal run.
fn seen(text: &mut String, report: &CheckReport, style: Style) {
    let prediction = &report.prediction;
    let faces = prediction.faces.as_ref().map(FacesReport::words);
    let map = prediction.map.as_ref().map(plan::worn_words);
    let leaning = prediction.leaning.map(|leaning| leaning.words());
    let wear = answers::plates(&prediction.wear);
    let told: Vec<String> = faces
        .into_iter()
        .chain(map)
        .chain(wear)
        .chain(leaning)
        .collect();
    if told.is_empty() {
        return;
    }
    heading(text, "Parts and plates of the nominal run", style);
    for sentence in told {
        for part in wrap(&sentence, style.width) {
            line(text, &part);
        }
    }
}

/// Label and numbers of a target; in a narrow terminal the numbers have a line of their own.
fn target_row(label: &str, cells: [&str; 7], style: Style) -> Vec<String> {
    let [nominal, best, worst, allowed, left, run, met] = cells;
    let numbers =
        format!("{nominal:>7} {best:>6} {worst:>6} {allowed:>7} {left:>6} {run:>8} {met:>3}");
    if style.width >= WIDTH {
        vec![format!("{label:<29} {numbers}")]
    } else {
        let label = (!label.is_empty()).then(|| label.to_owned());
        label
            .into_iter()
            .chain([format!("     {numbers}")])
            .collect()
    }
}

fn one_target(target: &JudgedTarget, style: Style) -> Vec<String> {
    let number =
        |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |value| significant(value, 3));
    let run = target
        .run()
        .map_or_else(|| "-".to_owned(), |run| run.to_string());
    target_row(
        &format!("  {}, {}", target.by, target.unit),
        [
            &number(target.nominal),
            &number(target.best),
            &number(target.worst),
            &significant(target.allowed, 3),
            &number(target.left),
            &run,
            match target.met {
                Some(true) => "yes",
                Some(false) => "NO",
                None => "-",
            },
        ],
        style,
    )
}

fn worst(text: &mut String, report: &CheckReport, style: Style) {
    if report.envelope.cases.is_empty() {
        return;
    }
    heading(text, "Worst cases of the trials", style);
    line(
        text,
        &format!(
            "{:<28} {:>12} {:>12} {:>4} {:>9} {:>7}",
            "requirement", "worst", "limit", "unit", "run", "failed"
        ),
    );
    for case in &report.envelope.cases {
        let row = format!(
            "{:<28} {:>12} {:>12} {:>4} {:>9} {:>7}",
            case.what,
            significant(case.value, 4),
            significant(case.limit, 4),
            case.unit,
            case.run(),
            case.failed
        );
        if case.failed > 0 {
            let _ = writeln!(text, "{}", style.paint(Paint::Danger, &row));
        } else {
            line(text, &row);
        }
    }
}
