//! The report of `check` as one page: five answers on top, then the cycle, then what stands behind them.
//!
//! Self-contained: style and pictures are inside, nothing is fetched, no script runs.

use super::answers::{self, Answer};
use super::cycle::Cycle;
use super::svg::escape;
use super::{assumed, counted, fringes, pictures, plan, section, unit_of};
use std::fmt::Write as _;
use twinplate_check::verdict::{CheckReport, ReportedFinding, Verdict};
use twinplate_sim::model::{Batch, Machine, Of as Kind, Shown};

/// Style of every page.
pub(super) const STYLE: &str = include_str!("style.css");
/// Foot of every page, and the end of the document.
pub(super) const FOOT: &str = "<footer>A simulation is no safety function. The machine's safety belongs to rated hardware under local codes. \
     Predictions hold within the declared envelope and the limits of the process model.</footer></main></body></html>\n";

/// What the page is drawn from.
#[derive(Clone, Copy, Debug)]
pub struct Page<'a> {
    /// The report.
    pub report: &'a CheckReport,
    /// The nominal cycle, recorded or planned.
    pub cycle: &'a Cycle,
    /// The machine, for the section.
    pub machine: &'a Machine,
    /// The batch, for the section.
    pub batch: &'a Batch,
    /// What it is the page of.
    pub of: Of<'a>,
}

/// What a page is drawn of.
#[derive(Clone, Copy, Debug)]
pub enum Of<'a> {
    /// A check: the five answers are those of its report.
    Check,
    /// One run, as it went.
    Run(&'a Told),
}

/// What heads the page of one run.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// What was run, after the recipe's name: the scenario, the draw.
    pub subject: String,
    /// Five answers: verdict, how it ended, load margin, the parts as they are, what was run.
    pub answers: [Answer; 5],
}

/// Draws the page.
#[must_use]
pub fn draw(page: &Page) -> String {
    let report = page.report;
    let [recipe, machine, batch] = &report.subject.names;
    let mut html = String::with_capacity(128 * 1024);
    let kind = match page.of {
        Of::Check => "check",
        Of::Run(_) => "run",
    };
    let subject = match page.of {
        Of::Check => String::new(),
        Of::Run(told) => format!(": {}", told.subject),
    };
    head(
        &mut html,
        &format!("{} - {kind} {recipe}", report.verdict.word()),
        &report.subject.title,
        &format!("{recipe} on {machine} with {batch}{subject}"),
    );
    match page.of {
        Of::Check => five(&mut html, report.verdict, &answers::five(report)),
        Of::Run(told) => five(&mut html, report.verdict, &told.answers),
    }
    targets(&mut html, report);
    let title = match page.of {
        Of::Run(_) => "The cycle as it went",
        Of::Check if page.cycle.simulated => "The nominal cycle",
        Of::Check => "The planned cycle",
    };
    cycle(&mut html, page.cycle, title);
    findings(&mut html, report);
    charts(&mut html, page);
    seen(&mut html, page);
    steps(&mut html, report);
    worst(&mut html, report, page.of);
    if let Some(report) = &report.assumed {
        assumed::sheet(&mut html, report);
    }
    html.push_str(FOOT);
    html
}

/// Begins a page.
pub(super) fn head(html: &mut String, title: &str, heading: &str, subject: &str) {
    // Writing to a String cannot fail.
    let _ = write!(
        html,
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\
         <title>{}</title><style>{STYLE}</style></head><body><main><header><h1>{}</h1><p>{}</p></header>",
        escape(title),
        escape(heading),
        escape(subject)
    );
}

pub(super) fn five(html: &mut String, verdict: Verdict, answers: &[Answer; 5]) {
    let (class, sign) = match verdict {
        Verdict::Pass => ("pass", "✓"),
        Verdict::Warn => ("warn", "▲"),
        Verdict::Fail => ("fail", "✕"),
    };
    html.push_str("<section class=\"five\" aria-label=\"Five answers\">");
    for (index, answer) in answers.iter().enumerate() {
        let (extra, mark) = if index == 0 {
            (
                format!(" verdict {class}"),
                format!("<div class=\"sign\" aria-hidden=\"true\">{sign}</div>"),
            )
        } else {
            (String::new(), String::new())
        };
        let _ = write!(
            html,
            "<div class=\"card{extra}\"><h2>{}</h2>{mark}<div class=\"short\">{}</div><div class=\"detail\">{}</div></div>",
            answer.question,
            escape(&answer.short),
            escape(&answer.detail)
        );
    }
    html.push_str("</section>");
}

fn cycle(html: &mut String, cycle: &Cycle, title: &str) {
    let _ = write!(
        html,
        "<h2>{title}</h2><div class=\"sheet wide\">{}",
        pictures::ribbon(cycle)
    );
    let narrow = pictures::narrow_phases(cycle);
    if !narrow.is_empty() {
        let _ = write!(
            html,
            "<p class=\"narrow\">Short phases: {}</p>",
            escape(&narrow)
        );
    }
    if !cycle.marks.is_empty() {
        html.push_str("<ol class=\"marks\">");
        for mark in &cycle.marks {
            let _ = write!(html, "<li>{:.1} s: {}</li>", mark.time, escape(&mark.text));
        }
        html.push_str("</ol>");
    }
    html.push_str("</div>");
}

fn findings(html: &mut String, report: &CheckReport) {
    if report.findings.is_empty() {
        return;
    }
    html.push_str(
        "<h2>Findings</h2><div class=\"sheet scroll\"><table><tr><th class=\"l\">severity</th><th class=\"l\">code</th>\
         <th class=\"l\">what and remedy</th><th>found</th><th>bound</th><th class=\"l\">where</th></tr>",
    );
    for finding in &report.findings {
        finding_row(html, finding, &report.subject.shown);
    }
    html.push_str("</table></div>");
}

fn finding_row(html: &mut String, finding: &ReportedFinding, shown: &Shown) {
    let number = |value: Option<f64>| {
        value.map_or_else(String::new, |value| {
            format!(
                "{} {}",
                counted(shown, finding.of, value, 4),
                unit_of(shown, finding.of, finding.unit)
            )
        })
    };
    let place = finding.line.map_or_else(
        || format!("{}, {}", finding.file, finding.field),
        |line| format!("{}:{line}", finding.file),
    );
    let waived = finding.waived.as_ref().map_or_else(String::new, |reason| {
        format!("<div class=\"cure\">Waived: {}</div>", escape(reason))
    });
    let word = finding.severity.word();
    let _ = write!(
        html,
        "<tr><td class=\"l\"><span class=\"tag {word}\">{word}</span></td><td class=\"l code\">{}</td>\
         <td class=\"l what\">{}<div class=\"cure\">Remedy: {}</div>{waived}</td><td>{}</td><td>{}</td><td class=\"l where\">{}</td></tr>",
        finding.code,
        escape(&finding.message),
        escape(&finding.cure),
        escape(&number(finding.measured)),
        escape(&number(finding.limit)),
        escape(&place)
    );
}

fn charts(html: &mut String, page: &Page) {
    let report = page.report;
    html.push_str("<div class=\"two\">");
    let mut all = vec![
        ("Speeds", pictures::speeds(page.cycle)),
        ("Slurry and wetness", pictures::slurry(page.cycle)),
        ("Thickness", pictures::thickness(page.cycle)),
    ];
    if !page.cycle.plates.radius.is_empty() {
        all.push((
            "Plates before and after",
            pictures::plates(&page.cycle.plates, &page.cycle.shown),
        ));
    }
    // One run has no distribution.
    if matches!(page.of, Of::Check) {
        all.push((
            "Overshoot over the envelope",
            pictures::overshoot(report.results.as_ref(), &report.subject.shown),
        ));
    }
    for (title, picture) in all {
        let _ = write!(
            html,
            "<div><h2>{title}</h2><div class=\"sheet\">{picture}</div></div>"
        );
    }
    let load = report.steps.last().map_or(0.0, |step| step.load_n);
    let _ = write!(
        html,
        "</div><h2>Section at the end of the last step</h2><div class=\"sheet wide\">{}</div>",
        section::draw(page.machine, page.batch, page.cycle, load)
    );
}

/// What an optical flat shows of the parts, and what pockets and plates bore, where a run was made.
fn seen(html: &mut String, page: &Page) {
    let prediction = &page.report.prediction;
    let shown = &page.report.subject.shown;
    if let Some(faces) = &prediction.faces {
        let _ = write!(
            html,
            "<h2>The worst part under an optical flat</h2><div class=\"sheet\">{}</div>",
            fringes::figures(faces, shown)
        );
    }
    if let Some(map) = &prediction.map {
        let wear = answers::plates(&prediction.wear, shown);
        let leaning = prediction.leaning.map(|leaning| leaning.words(shown));
        let told = wear.into_iter().chain(leaning);
        let _ = write!(
            html,
            "<h2>Load and wear over the plates</h2><div class=\"sheet wide\">{}{}</div>",
            plan::draw(page.machine, page.batch, map, shown),
            told.map(|sentence| format!("<p>{}.</p>", escape(&sentence)))
                .collect::<String>()
        );
    }
}

fn steps(html: &mut String, report: &CheckReport) {
    let shown = &report.subject.shown;
    let [load, pressure, sliding, stock, rate] = [
        Kind::Load,
        Kind::Pressure,
        Kind::Sliding,
        Kind::Size,
        Kind::Rate,
    ]
    .map(|kind| shown.symbol(kind));
    let _ = write!(
        html,
        "<h2>Steps as planned</h2><div class=\"sheet scroll\"><table><tr><th class=\"l\">step</th><th>load {load}</th>\
         <th>pressure {pressure}</th><th>sliding lower {sliding}</th><th>upper {sliding}</th><th>stock lower {stock}</th>\
         <th>upper {stock}</th><th>rate {rate}</th><th>time s</th></tr>",
    );
    for step in &report.steps {
        let _ = write!(
            html,
            "<tr><td class=\"l\">{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{:.0}</td></tr>",
            escape(&step.name),
            shown.fixed(Kind::Load, step.load_n, 0),
            shown.bare(Kind::Pressure, step.pressure_pa, 3),
            shown.fixed(Kind::Sliding, step.mean_speed_lower_m_s, 3),
            shown.fixed(Kind::Sliding, step.mean_speed_upper_m_s, 3),
            shown.fixed(Kind::Size, step.removal_lower_um, 2),
            shown.fixed(Kind::Size, step.removal_upper_um, 2),
            shown.digits(Kind::Rate, step.removal_rate_um_min, 2),
            step.duration_s
        );
    }
    let _ = write!(
        html,
        "</table><p>Rate: loss of thickness, both faces, with fresh grains: a removal coefficient of {:.2e} 1/Pa a face.</p></div>",
        report.prediction.removal_per_pa
    );
}

/// What the batch asks, a row a target, and what the nominal machine and the runs make of it.
fn targets(html: &mut String, report: &CheckReport) {
    if report.judged.is_empty() {
        return;
    }
    html.push_str(
        "<h2>What the batch asks, and what it gets</h2><div class=\"sheet scroll\"><table class=\"asked\"><tr><th class=\"l\">target</th>\
         <th class=\"l\">unit</th><th>nominal</th><th>best run</th><th>worst run</th><th>allowed</th>\
         <th>left</th><th>run</th><th class=\"l\">met</th></tr>",
    );
    let shown = &report.subject.shown;
    let mut group = "";
    for target in &report.judged {
        let number = |value: Option<f64>| {
            value.map_or_else(
                || "–".to_owned(),
                |value| counted(shown, target.of, value, 3),
            )
        };
        if target.group != group {
            group = target.group;
            let _ = write!(html, "<tr><th class=\"l\" colspan=\"9\">{group}</th></tr>");
        }
        let (class, met) = match target.met {
            Some(true) => ("", "✓ yes"),
            Some(false) => (" class=\"bad\"", "✕ no"),
            None => ("", "–"),
        };
        let note = if target.note.is_empty() {
            String::new()
        } else {
            format!("<div class=\"cure\">{}</div>", escape(&target.note))
        };
        let _ = write!(
            html,
            "<tr{class}><td class=\"l what\">{} <span class=\"key\">{}</span>{note}</td><td class=\"l\">{}</td><td>{}</td><td>{}</td><td>{}</td>\
             <td>{}</td><td>{}</td><td>{}</td><td class=\"l\">{met}</td></tr>",
            escape(target.by),
            target.key,
            unit_of(shown, target.of, target.unit),
            number(target.nominal),
            number(target.best),
            number(target.worst),
            number(Some(target.allowed)),
            number(target.left),
            target
                .run()
                .map_or_else(|| "–".to_owned(), |run| run.to_string()),
        );
    }
    html.push_str("</table></div>");
}

fn worst(html: &mut String, report: &CheckReport, of: Of<'_>) {
    if report.envelope.cases.is_empty() {
        return;
    }
    let title = match of {
        Of::Check => "Worst cases of the trials",
        Of::Run(_) => "What the run must hold",
    };
    let _ = write!(
        html,
        "<h2>{title}</h2><div class=\"sheet scroll\"><table><tr><th class=\"l\">requirement</th><th>worst</th><th>bound</th>\
         <th class=\"l\">unit</th><th>run</th><th>runs failed</th></tr>",
    );
    let shown = &report.subject.shown;
    for case in &report.envelope.cases {
        let kind = case.requirement.kind();
        let class = if case.failed > 0 {
            " class=\"bad\""
        } else {
            ""
        };
        let _ = write!(
            html,
            "<tr{class}><td class=\"l\">{}</td><td>{}</td><td>{}</td><td class=\"l\">{}</td><td>{}</td><td>{}</td></tr>",
            case.what,
            counted(shown, kind, case.value, 4),
            counted(shown, kind, case.limit, 4),
            unit_of(shown, kind, case.unit),
            case.run(),
            case.failed
        );
    }
    html.push_str("</table>");
    if matches!(of, Of::Check) {
        let _ = write!(
            html,
            "<p class=\"cure\">Envelope: {}.</p>",
            escape(&report.subject.widths)
        );
    }
    html.push_str("</div>");
}
