//! The report of `check` for a terminal: 80 columns, the verdict in the last line.

use super::cycle::Cycle;
use super::{Paint, Style, WIDTH, answers, assumed, counted, heading, plan, ribbon, unit_of, wrap};
use std::fmt::Write as _;
use twinplate_check::catalogue::Severity;
use twinplate_check::inspection::FacesReport;
use twinplate_check::verdict::targets::JudgedTarget;
use twinplate_check::verdict::{CheckReport, ReportedFinding, Verdict};
use twinplate_sim::model::{Of, Shown};

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
    let shown = &report.subject.shown;
    let [load, pressure, sliding, stock, rate] =
        [Of::Load, Of::Pressure, Of::Sliding, Of::Size, Of::Rate].map(|of| shown.symbol(of));
    step_row(
        text,
        [
            "step",
            &format!("load {load}"),
            pressure,
            &format!("{sliding} low/up"),
            &format!("{stock} low/up"),
            rate,
            "time s",
        ],
    );
    for step in &report.steps {
        let both = |of: Of, lower: f64, upper: f64| {
            format!(
                "{} {}",
                shown.digits(of, lower, 3),
                shown.digits(of, upper, 3)
            )
        };
        step_row(
            text,
            [
                &step.name,
                &shown.fixed(Of::Load, step.load_n, 0),
                &shown.bare(Of::Pressure, step.pressure_pa, 3),
                &both(
                    Of::Sliding,
                    step.mean_speed_lower_m_s,
                    step.mean_speed_upper_m_s,
                ),
                &both(Of::Size, step.removal_lower_um, step.removal_upper_um),
                &shown.digits(Of::Rate, step.removal_rate_um_min, 2),
                &format!("{:.0}", step.duration_s),
            ],
        );
    }
    if !report.steps.is_empty() {
        let coefficient = report.prediction.removal_per_pa;
        line(
            text,
            &format!(
                "{rate}: both faces, fresh grains, removal coefficient {coefficient:.2e} 1/Pa"
            ),
        );
    }
}

/// A row of the table of steps.
fn step_row(text: &mut String, cells: [&str; 7]) {
    let [name, load, pressure, sliding, stock, rate, time] = cells;
    line(
        text,
        &format!(
            "{name:<16} {load:>7} {pressure:>7} {sliding:>13} {stock:>13} {rate:>7} {time:>7}"
        ),
    );
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
        for part in one_target(&report.subject.shown, target, style) {
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
    let shown = &report.subject.shown;
    let map = prediction
        .map
        .as_ref()
        .map(|map| plan::worn_words(map, shown));
    let leaning = prediction.leaning.map(|leaning| leaning.words(shown));
    let wear = answers::plates(&prediction.wear, shown);
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

fn one_target(shown: &Shown, target: &JudgedTarget, style: Style) -> Vec<String> {
    let number = |value: Option<f64>| {
        value.map_or_else(
            || "-".to_owned(),
            |value| counted(shown, target.of, value, 3),
        )
    };
    let run = target
        .run()
        .map_or_else(|| "-".to_owned(), |run| run.to_string());
    target_row(
        &format!(
            "  {}, {}",
            target.by,
            unit_of(shown, target.of, target.unit)
        ),
        [
            &number(target.nominal),
            &number(target.best),
            &number(target.worst),
            &number(Some(target.allowed)),
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
    let shown = &report.subject.shown;
    for case in &report.envelope.cases {
        let of = case.requirement.kind();
        let row = format!(
            "{:<28} {:>12} {:>12} {:>4} {:>9} {:>7}",
            case.what,
            counted(shown, of, case.value, 4),
            counted(shown, of, case.limit, 4),
            unit_of(shown, of, case.unit),
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
