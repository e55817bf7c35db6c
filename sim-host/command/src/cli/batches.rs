//! `run --batches`: batches one after another on one machine, a row each.

mod table;

use super::args;
use super::args::Format;
use super::output::{Output, complain, distinct, say, show};
use super::resolved::Files;
use super::terminal::Terminal;
use super::{Answer, Failure, files};
use crate::report::answers;
use crate::report::batches_page::{self, BatchesPage};
use crate::report::cycle::Profiles;
use crate::report::trend::{self, Point};
use crate::report::{Style, plan, wrap};
use serde::Serialize;
use std::fmt::Write as _;
use std::path::Path;
use twinplate_check::inspection::{FacesReport, MapReport};
use twinplate_check::verdict::{FormReport, SCHEMA};
use twinplate_sim::bench::{Drawn, Job, OneOfBatches, run_batches};
use twinplate_sim::files::Set;
use twinplate_sim::model::{Of, gauged_micrometres, micrometres};
use twinplate_sim::plant::plate_form::PlateForm;
use twinplate_sim::requirements::{RunJudgement, Verdict, judge};

/// One batch, as reports tell it.
#[derive(Serialize)]
struct Row {
    batch: u32,
    verdict: Verdict,
    /// What it broke.
    broken: Vec<&'static str>,
    mean_um: f64,
    sd_um: f64,
    form: FormReport,
    /// The part whose faces are out most, under an optical flat; `null` without product.
    faces: Option<FacesReport>,
    /// Lower and upper plate, °C.
    plates_c: [f64; 2],
    /// Form of the plates by the light bands of its parts, lower and upper, µm, + convex; `null` where bands are not read.
    read_um: Option<[f64; 2]>,
    /// Both plates were conditioned after it.
    conditioned: bool,
    /// Their form after that, as warm as they are, µm, + convex; `null` likewise.
    conditioned_to_um: Option<[f64; 2]>,
    /// Ring setting that it ran with, 0 as programmed.
    ring_setting: u8,
}

#[derive(Serialize)]
struct Report {
    schema: u16,
    verdict: Verdict,
    batches: Vec<Row>,
    /// Loads and wear over the whole run, conditioning included.
    map: MapReport,
}

impl Row {
    fn new(job: &Job, one: &OneOfBatches, judged: &RunJudgement) -> Self {
        let summary = &one.outcome.summary;
        Self {
            batch: one.number,
            verdict: judged.verdict(),
            broken: judged
                .items
                .iter()
                .filter(|item| !item.holds())
                .map(|item| item.requirement.what())
                .collect(),
            mean_um: gauged_micrometres(summary.parts.mean),
            sd_um: gauged_micrometres(summary.parts.sd),
            form: FormReport::of(&summary.form, job.batch.wavelength),
            faces: FacesReport::of(&job.machine, &job.batch, &one.outcome),
            plates_c: one.temperatures,
            read_um: one.read.map(|form| form.map(gauged_micrometres)),
            conditioned: one.conditioned.is_some(),
            conditioned_to_um: one.conditioned.map(|form| form.map(gauged_micrometres)),
            ring_setting: one.ring_setting,
        }
    }

    fn point(&self) -> Point {
        Point {
            batch: self.batch,
            flat_um: self.form.flatness_um,
            bands: self.form.flatness_bands,
            sd_um: self.sd_um,
            plates_um: self.form.plates_um,
            conditioned: self.conditioned,
        }
    }
}

impl Report {
    fn points(&self) -> Vec<Point> {
        self.batches.iter().map(Row::point).collect()
    }

    /// The batch whose worst face was out most.
    fn worst(&self) -> Option<&Row> {
        let by_form = |a: &&Row, b: &&Row| a.form.flatness_um.total_cmp(&b.form.flatness_um);
        // Of equals the first, as it was seen first.
        self.batches.iter().rev().max_by(by_form)
    }
}

/// Does the work.
///
/// # Errors
/// Bad files, an unwritable report, a recipe that the controller refuses.
pub fn batches(count: u32, typed: args::Run, terminal: Terminal) -> Result<Answer, Failure> {
    let (drawn, format) = (
        Drawn {
            seed: typed.seed,
            index: typed.draw,
        },
        typed.format,
    );
    let page = typed.report;
    let set = files::set(&Files::from(typed.files))?;
    let page = page.map(|path| open(&path, &set)).transpose()?;
    let job = files::job(&set, None)?;
    let new = PlateForm::new(&job.machine);
    let mut rows = Vec::new();
    let mut after: Option<(MapReport, PlateForm)> = None;
    run_batches(&job, drawn, count, |one| {
        let judged = judge(&job, &one.outcome);
        rows.push(Row::new(&job, one, &judged));
        let map = MapReport::of(&job.machine, &job.batch, &one.outcome, &new);
        let map = match after.take() {
            Some((mut so_far, _)) => {
                so_far.and_later(map);
                so_far
            }
            None => map,
        };
        after = Some((map, one.outcome.plates.clone()));
    })
    .map_err(Failure::no_answer)?;
    let (map, plates) = after.unwrap_or_else(|| (MapReport::default(), new.clone()));
    let good = rows.iter().all(|row| row.verdict != Verdict::Fail);
    let report = Report {
        schema: SCHEMA,
        verdict: Verdict::of(good),
        batches: rows,
        map,
    };
    let mut written = String::new();
    if let Some(output) = page {
        // Writing to a String cannot fail.
        let _ = writeln!(written, "report: {}", output.path().display());
        let html = drawn_page(
            &job,
            drawn,
            &report,
            &Profiles::new(&new, &plates).answered(&job.recipe.shown),
        );
        output.write(|file| std::io::Write::write_all(file, html.as_bytes()))?;
    }
    match format {
        Format::Text => {
            let text = text(&job, drawn, &report, &written, terminal.out);
            show(&text, terminal.out.width)?;
        }
        Format::Json => {
            // Plain structs with string keys always serialise.
            say(&(serde_json::to_string_pretty(&report).unwrap_or_default() + "\n"))?;
            complain(&written);
        }
    }
    Ok(if good { Answer::Yes } else { Answer::No })
}

/// Opens the page's file before the work starts.
fn open(path: &Path, set: &Set) -> Result<Output, Failure> {
    let inputs = [&*set.recipe.path, &*set.machine.path, &*set.batch.path];
    distinct(&[(path, "--report")], &inputs)?;
    Output::open(path, "--report")
}

/// What was run, on what.
fn subject(job: &Job, drawn: Drawn, report: &Report) -> String {
    format!(
        "{} batches of {} on {}, seed {}, draw {}",
        report.batches.len(),
        job.recipe.id,
        job.machine.id,
        drawn.seed,
        drawn.index
    )
}

/// The page.
fn drawn_page(job: &Job, drawn: Drawn, report: &Report, profiles: &Profiles) -> String {
    let worst = report.worst();
    batches_page::draw(&BatchesPage {
        verdict: report.verdict,
        title: &job.recipe.title,
        subject: &subject(job, drawn, report),
        answers: five(job, report),
        points: &report.points(),
        faces: worst.and_then(|row| Some((row.faces.as_ref()?, row.batch))),
        map: &report.map,
        profiles,
        machine: &job.machine,
        batch: &job.batch,
        shown: &job.recipe.shown,
    })
}

/// The five answers over the page.
fn five(job: &Job, report: &Report) -> [answers::Answer; 5] {
    let shown = &job.recipe.shown;
    let answer = |question, short: String, detail: String| answers::Answer {
        question,
        short,
        detail,
    };
    let failed: Vec<&Row> = report
        .batches
        .iter()
        .filter(|row| row.verdict == Verdict::Fail)
        .collect();
    let broken = failed.first().map_or_else(
        || "every batch held what it must".to_owned(),
        |row| format!("first in batch {}: {}", row.batch, row.broken.join(", ")),
    );
    let worst = report.worst();
    let flat = worst.map_or_else(String::new, |row| {
        format!(
            "{} ({:.1} light bands) in batch {}",
            shown.fixed_with(Of::Flatness, row.form.flatness_um, 2),
            row.form.flatness_bands,
            row.batch
        )
    });
    let seen = worst.and_then(|row| row.faces.as_ref());
    let conditioned = report.batches.iter().filter(|row| row.conditioned);
    let conditioned: Vec<String> = conditioned.map(|row| row.batch.to_string()).collect();
    let last = report.batches.last();
    [
        answer(
            "Verdict",
            report.verdict.word().to_uppercase(),
            format!(
                "{} of {} batches failed",
                failed.len(),
                report.batches.len()
            ),
        ),
        answer("What fails", format!("{} batches", failed.len()), broken),
        answer(
            "Worst flatness",
            flat,
            format!(
                "asked {}; {}",
                shown.fixed_with(Of::Flatness, micrometres(job.batch.flatness), 2),
                seen.map_or_else(String::new, FacesReport::words)
            ),
        ),
        answer(
            "Plates conditioned",
            match conditioned.len() {
                0 => "never".to_owned(),
                1 => "once".to_owned(),
                times => format!("{times} times"),
            },
            if conditioned.is_empty() {
                String::new()
            } else {
                format!("after batch {}", conditioned.join(", "))
            },
        ),
        answer(
            "Plates at the end",
            last.map_or_else(String::new, |row| {
                let [lower, upper] = row.form.plates_um;
                format!(
                    "{} and {}",
                    shown.signed(Of::Form, lower, 2),
                    shown.with(Of::Form, &shown.signed(Of::Form, upper, 2))
                )
            }),
            format!(
                "lower and upper, inner edge over outer edge, + convex; {}",
                plan::worn_words(&report.map, shown)
            ),
        ),
    ]
}

/// A row each, how it went in two lines, the worst part, the wear.
fn text(job: &Job, drawn: Drawn, report: &Report, written: &str, style: Style) -> String {
    let mut text = format!("{}\n\n", subject(job, drawn, report));
    let (control, shown) = (job.recipe.flatness.as_ref(), &job.recipe.shown);
    text.push_str(&table::draw(control, &report.batches, shown));
    text.push('\n');
    text.push_str(&table::legend(control, &report.batches, shown));
    text.push('\n');
    text.push_str(&trend::lines(&report.points(), shown, style));
    let worst = report
        .worst()
        .and_then(|row| Some((row.batch, row.faces.as_ref()?)));
    let mut told = Vec::new();
    if let Some((batch, faces)) = worst {
        told.push(format!("batch {batch}, {}", faces.words()));
    }
    told.push(plan::worn_words(&report.map, shown));
    text.push('\n');
    for line in told.iter().flat_map(|sentence| wrap(sentence, style.width)) {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "{line}");
    }
    if !written.is_empty() {
        let _ = write!(text, "\n{written}");
    }
    let _ = writeln!(text, "\nverdict: {}", report.verdict.word());
    text
}
