//! A route as text and as a page: its stages, what goes from one to the next, what comes of the parts in the end.

use super::{CAUTION, told};
use crate::report::calibration::page::{end, head, list, table};
use crate::report::{Style, counted, duration, heading, paragraph, unit_of};
use std::fmt::Write as _;
use twinplate_check::Severity;
use twinplate_check::lot::{Lot, LotValue};
use twinplate_check::verdict::{CheckReport, ReportedFinding, Verdict};
use twinplate_sim::files::Route;
use twinplate_sim::model::{Of, Shown, micrometres};
use twinplate_sim::requirements::Requirement;
use twinplate_sweep::route::{Checkup, Stage, StageRun, differs};

/// Errors of a stage.
fn errors(report: &CheckReport) -> impl Iterator<Item = &ReportedFinding> {
    report
        .counting()
        .filter(|finding| finding.severity == Severity::Error)
}

/// What fails the route first, in a sentence; nothing where nothing does.
fn first(checkup: &Checkup) -> Option<String> {
    let stage = checkup.first_failing()?;
    let Some(found) = checkup.stages.get(stage) else {
        return Some(format!(
            "stage {}: not judged, for stage {stage} makes no run and nobody knows what it would leave",
            stage + 1
        ));
    };
    let report = &found.checked.report;
    let why: Vec<&str> = errors(report)
        .map(|finding| finding.message.as_str())
        .collect();
    let alone = match found.alone {
        Some(Verdict::Pass | Verdict::Warn) => {
            "; with the incoming parts of its own batch file it would pass: what the stage before leaves makes it fail"
        }
        Some(Verdict::Fail) => "; with the incoming parts of its own batch file it fails as well",
        None => "",
    };
    Some(format!(
        "stage {} ({}): {}{alone}",
        stage + 1,
        report.subject.names[0],
        why.join("; ")
    ))
}

/// The stage that is nearest to a bound, in a sentence.
fn tightest(checkup: &Checkup) -> Option<String> {
    let stage = checkup.tightest()?;
    let report = &checkup.stages[stage].checked.report;
    let worst = report.envelope.worst.as_ref()?;
    Some(format!(
        "stage {} ({}): {} {}, bound {}",
        stage + 1,
        report.subject.names[0],
        worst.what,
        said(&report.subject.shown, worst.requirement, worst.value),
        counted(
            &report.subject.shown,
            worst.requirement.kind(),
            worst.limit,
            3
        )
    ))
}

/// A number of a requirement with its unit.
fn said(shown: &Shown, requirement: Requirement, number: f64) -> String {
    let of = requirement.kind();
    let unit = unit_of(shown, of, requirement.unit());
    let number = counted(shown, of, number, 3);
    format!("{number} {unit}").trim_end().to_owned()
}

/// A sentence where what comes is not what the file says.
fn unlike(shown: &Shown, value: &LotValue, range: Option<&[f64; 2]>) -> String {
    let number = |um: f64| shown.digits(value.of, um, 5);
    let unit = shown.symbol(value.of);
    let over = range.map_or_else(String::new, |[least, most]| {
        format!(", over the runs {} to {}", number(*least), number(*most))
    });
    format!(
        "{}: {} {unit} come{over}; the batch file says {} {unit}",
        value.key,
        number(value.came_um),
        number(value.file_um)
    )
}

/// What the parts get in the end, target by target.
fn targets(report: &CheckReport) -> Vec<Vec<String>> {
    let shown = &report.subject.shown;
    let row = |target: &twinplate_check::verdict::targets::JudgedTarget| {
        let met = match target.met {
            Some(true) => "yes",
            Some(false) => "no",
            None => "–",
        };
        vec![
            target.by.to_owned(),
            unit_of(shown, target.of, target.unit).to_owned(),
            told(shown, target.of, target.nominal, 3),
            told(shown, target.of, target.worst, 3),
            counted(shown, target.of, target.allowed, 3),
            met.to_owned(),
        ]
    };
    report.judged.iter().map(row).collect()
}

fn time(checkup: &Checkup) -> String {
    format!(
        "{}, loading, cleaning and changing of plates not counted",
        duration(checkup.time())
    )
}

/// Draws a route that was checked.
pub(crate) fn draw(checkup: &Checkup, style: Style) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "route {}, {} stages\n{}\n",
        checkup.id, checkup.count, checkup.title
    );
    paragraph(
        &mut text,
        "Fails    ",
        &first(checkup).unwrap_or_else(|| "nothing".to_owned()),
    );
    if let Some(told) = tightest(checkup) {
        paragraph(&mut text, "Tightest ", &told);
    }
    paragraph(&mut text, "Time     ", &time(checkup));
    let runs = format!(
        "{} of the whole route, {} failed: each stage begins with what the same run of the stage before has left",
        checkup.runs, checkup.failed
    );
    paragraph(&mut text, "Runs     ", &runs);
    for (index, stage) in checkup.stages.iter().enumerate() {
        of_stage(&mut text, index, stage, style);
    }
    if let Some(report) = checkup.last() {
        heading(&mut text, "What the parts get in the end", style);
        let _ = writeln!(
            text,
            "{:<26} {:>5} {:>7} {:>7} {:>7} met",
            "", "", "nominal", "worst", "allowed"
        );
        for row in targets(report) {
            let _ = writeln!(
                text,
                "{:<26} {:>5} {:>7} {:>7} {:>7} {}",
                row[0], row[1], row[2], row[3], row[4], row[5]
            );
        }
    }
    heading(&mut text, "Cautions", style);
    for caution in &checkup.cautions {
        paragraph(&mut text, "- ", caution);
    }
    let _ = writeln!(text, "\nverdict: {}", checkup.verdict().word());
    text
}

fn of_stage(text: &mut String, index: usize, stage: &Stage, style: Style) {
    let report = &stage.checked.report;
    let [recipe, machine, batch] = &report.subject.names;
    heading(
        text,
        &format!("Stage {}: {recipe} on {machine} with {batch}", index + 1),
        style,
    );
    let summary = format!(
        "{}, {} of {} runs failed, {}",
        report.verdict.word(),
        report.envelope.failed,
        report.envelope.runs,
        duration(report.prediction.cycle_s)
    );
    paragraph(text, "", &summary);
    for (at, value) in stage.incoming.iter().enumerate() {
        if differs(value) {
            let told = unlike(&report.subject.shown, value, stage.ranges.get(at));
            paragraph(text, "  in   ", &told);
        }
    }
    if let Some(left) = &stage.left {
        paragraph(text, "  out  ", &out(&report.subject.shown, left));
    }
    for finding in errors(report) {
        paragraph(
            text,
            "  ✕    ",
            &format!("{} ({})", finding.message, finding.code),
        );
        paragraph(text, "       ", &format!("Remedy: {}", finding.cure));
    }
}

/// What leaves a stage.
fn out(shown: &Shown, lot: &Lot) -> String {
    format!(
        "{} parts of {}, sd {}; damage {}, Ra {}, bow {}, thickness within a part {}",
        lot.count,
        shown.tell(Of::Size, micrometres(lot.thickness), 5),
        shown.digits(Of::Size, micrometres(lot.spread), 2),
        shown.tell(Of::Depth, micrometres(lot.damage), 2),
        shown.tell(Of::Finish, micrometres(lot.roughness), 2),
        shown.tell(Of::Flatness, micrometres(lot.bow), 2),
        shown.tell(Of::Parallelism, micrometres(lot.taper), 2)
    )
}

/// Draws a route that was run.
pub(crate) fn draw_runs(route: &Route, count: usize, runs: &[StageRun], style: Style) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "run of route {}, {} of {count} stages\n{}",
        route.id,
        runs.len(),
        route.title
    );
    for (index, run) in runs.iter().enumerate() {
        let shown = &run.job.recipe.shown;
        let [recipe, machine] = [&run.job.recipe.id, &run.job.machine.id];
        heading(
            &mut text,
            &format!("Stage {}: {recipe} on {machine}", index + 1),
            style,
        );
        paragraph(&mut text, "", &ended(run));
        for value in run.incoming.iter().filter(|value| differs(value)) {
            paragraph(&mut text, "  in   ", &unlike(shown, value, None));
        }
        paragraph(&mut text, "  out  ", &out(shown, &run.left));
        for told in broken(run) {
            paragraph(&mut text, "  ✕    ", &told);
        }
    }
    let _ = writeln!(text, "\nverdict: {}", verdict_of(count, runs).word());
    text
}

fn ended(run: &StageRun) -> String {
    let time = run
        .outcome
        .summary
        .cycle
        .map_or_else(String::new, |time| format!(", {}", duration(time)));
    format!("{}{time}", run.judged.ending)
}

fn broken(run: &StageRun) -> Vec<String> {
    let items = run.judged.items.iter().filter(|item| !item.holds());
    items
        .map(|item| {
            let said = |number: f64| said(&run.job.recipe.shown, item.requirement, number);
            format!(
                "{}: {}, limit {}",
                item.requirement.what(),
                said(item.value),
                said(item.limit)
            )
        })
        .collect()
}

fn verdict_of(count: usize, runs: &[StageRun]) -> Verdict {
    Verdict::of(runs.len() == count && runs.iter().all(|run| run.judged.holds()))
}

/// Rows of what goes from a stage to the next.
fn incoming(shown: &Shown, values: &[LotValue], ranges: &[[f64; 2]]) -> Vec<Vec<String>> {
    let row = |(index, value): (usize, &LotValue)| {
        let [least, most] = ranges.get(index).copied().unwrap_or([value.came_um; 2]);
        vec![
            value.key.to_owned(),
            shown.symbol(value.of).to_owned(),
            shown.digits(value.of, value.file_um, 5),
            shown.digits(value.of, value.came_um, 5),
            shown.digits(value.of, least, 5),
            shown.digits(value.of, most, 5),
            if differs(value) { "▲ differs" } else { "" }.to_owned(),
        ]
    };
    values.iter().enumerate().map(row).collect()
}

const INCOMING: [&str; 7] = [
    "incoming",
    "unit",
    "batch file",
    "comes",
    "least of the runs",
    "most",
    "",
];

/// Draws the page of a route that was checked.
#[must_use]
pub(crate) fn page(checkup: &Checkup) -> String {
    let mut html = String::with_capacity(32 * 1024);
    let fails = checkup.first_failing();
    let cards = [
        (
            "What fails first",
            fails.map_or_else(
                || "nothing".to_owned(),
                |stage| format!("stage {}", stage + 1),
            ),
            first(checkup).unwrap_or_default(),
        ),
        (
            "Tightest",
            checkup
                .tightest()
                .map_or_else(|| "–".to_owned(), |stage| format!("stage {}", stage + 1)),
            tightest(checkup).unwrap_or_default(),
        ),
        (
            "Time",
            duration(checkup.time()),
            "loading, cleaning and changing of plates not counted".to_owned(),
        ),
        (
            "Runs",
            format!("{} of the whole route", checkup.runs),
            format!("{} failed", checkup.failed),
        ),
    ];
    head(
        &mut html,
        &format!("route {}", checkup.id),
        &checkup.title,
        super::card(checkup.verdict()),
        &cards,
    );
    stages(&mut html, checkup);
    for (index, stage) in checkup.stages.iter().enumerate() {
        if !stage.incoming.is_empty() {
            let title = format!("From stage {index} to stage {}", index + 1);
            table(
                &mut html,
                &title,
                &INCOMING,
                &incoming(
                    &stage.checked.report.subject.shown,
                    &stage.incoming,
                    &stage.ranges,
                ),
            );
        }
        let told: Vec<String> = errors(&stage.checked.report)
            .map(|finding| {
                format!(
                    "{} ({}). Remedy: {}",
                    finding.message, finding.code, finding.cure
                )
            })
            .collect();
        list(&mut html, &format!("Errors of stage {}", index + 1), &told);
    }
    if let Some(report) = checkup.last() {
        let heads = ["target", "unit", "nominal", "worst", "allowed", "met"];
        table(
            &mut html,
            "What the parts get in the end",
            &heads,
            &targets(report),
        );
    }
    end(&mut html, &checkup.cautions, CAUTION);
    html
}

/// The stages as a table, and what each leaves.
fn stages(html: &mut String, checkup: &Checkup) {
    let rows: Vec<Vec<String>> = checkup
        .stages
        .iter()
        .enumerate()
        .map(|(index, stage)| {
            let report = &stage.checked.report;
            let [recipe, machine, batch] = report.subject.names.clone();
            vec![
                (index + 1).to_string(),
                recipe,
                machine,
                batch,
                report.verdict.word().to_owned(),
                format!("{} of {}", report.envelope.failed, report.envelope.runs),
                duration(report.prediction.cycle_s),
            ]
        })
        .collect();
    let heads = [
        "stage",
        "recipe",
        "machine",
        "batch",
        "verdict",
        "runs failed",
        "time",
    ];
    table(html, "Stages", &heads, &rows);
    let stages = checkup.stages.iter().enumerate();
    let left: Vec<String> = stages
        .filter_map(|(index, stage)| {
            Some(format!(
                "stage {}: {}",
                index + 1,
                out(&stage.checked.report.subject.shown, stage.left.as_ref()?)
            ))
        })
        .collect();
    list(html, "What each stage leaves", &left);
}

/// Draws the page of a route that was run.
#[must_use]
pub(crate) fn page_of_runs(route: &Route, count: usize, runs: &[StageRun]) -> String {
    let mut html = String::with_capacity(16 * 1024);
    let cards = [(
        "Stages",
        format!("{} of {count}", runs.len()),
        String::new(),
    )];
    head(
        &mut html,
        &format!("run of route {}", route.id),
        &route.title,
        super::card(verdict_of(count, runs)),
        &cards,
    );
    let rows: Vec<Vec<String>> = runs
        .iter()
        .enumerate()
        .map(|(index, run)| {
            vec![
                (index + 1).to_string(),
                run.job.recipe.id.clone(),
                run.job.machine.id.clone(),
                ended(run),
                out(&run.job.recipe.shown, &run.left),
                broken(run).join("; "),
            ]
        })
        .collect();
    let heads = ["stage", "recipe", "machine", "ended", "leaves", "broken"];
    table(&mut html, "Stages", &heads, &rows);
    for (index, run) in runs.iter().enumerate().skip(1) {
        let title = format!("From stage {index} to stage {}", index + 1);
        let rows = incoming(&run.job.recipe.shown, &run.incoming, &[]);
        table(&mut html, &title, &INCOMING, &rows);
    }
    end(&mut html, &[], CAUTION);
    html
}
