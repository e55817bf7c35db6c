//! `run --batches`: batches one after another on one machine, a row each.

use super::args;
use super::args::Format;
use super::output::{say, show};
use super::resolved::Files;
use super::terminal::Terminal;
use super::{Answer, Failure, files};
use serde::Serialize;
use std::fmt::Write as _;
use twinplate_check::verdict::{FormReport, SCHEMA};
use twinplate_sim::bench::{Drawn, Job, OneOfBatches, run_batches};
use twinplate_sim::model::gauged_micrometres;
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
    /// Lower and upper plate, °C.
    plates_c: [f64; 2],
    /// Both plates were conditioned after it.
    conditioned: bool,
    /// Ring setting that it ran with, 0 as programmed.
    ring_setting: u8,
}

#[derive(Serialize)]
struct Report {
    schema: u16,
    verdict: Verdict,
    batches: Vec<Row>,
}

impl Row {
    fn new(one: &OneOfBatches, judged: &RunJudgement, wavelength: f64) -> Self {
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
            form: FormReport::of(&summary.form, wavelength),
            plates_c: one.temperatures,
            conditioned: one.conditioned,
            ring_setting: one.ring_setting,
        }
    }
}

/// Does the work.
///
/// # Errors
/// Bad files, a recipe that the controller refuses.
pub fn batches(count: u32, typed: args::Run, terminal: Terminal) -> Result<Answer, Failure> {
    let (drawn, format) = (
        Drawn {
            seed: typed.seed,
            index: typed.draw,
        },
        typed.format,
    );
    let set = files::set(&Files::from(typed.files))?;
    let job = Job::of(&set, None).map_err(|error| {
        Failure::new(
            error.to_string(),
            "`check` the recipe: its findings say what to change",
        )
    })?;
    let mut rows = Vec::new();
    run_batches(&job, drawn, count, |one| {
        let judged = judge(&job, &one.outcome);
        rows.push(Row::new(one, &judged, job.batch.wavelength));
    })
    .map_err(Failure::no_answer)?;
    let good = rows.iter().all(|row| row.verdict != Verdict::Fail);
    let report = Report {
        schema: SCHEMA,
        verdict: Verdict::of(good),
        batches: rows,
    };
    match format {
        Format::Text => show(&text(&job, drawn, &report), terminal.out.width)?,
        // Plain structs with string keys always serialise.
        Format::Json => say(&(serde_json::to_string_pretty(&report).unwrap_or_default() + "\n"))?,
    }
    Ok(if good { Answer::Yes } else { Answer::No })
}

/// A row each.
fn text(job: &Job, drawn: Drawn, report: &Report) -> String {
    let mut text = format!(
        "{} batches of {} on {}, seed {}, draw {}\n\n",
        report.batches.len(),
        job.recipe.id,
        job.machine.id,
        drawn.seed,
        drawn.index
    );
    // Writing to a String cannot fail.
    for heads in [
        [
            "", "mean", "sd", "flat", "", "within", "press", "lower", "upper", "plates",
        ],
        [
            "batch", "µm", "µm", "µm", "bands", "µm", "%", "µm", "µm", "°C",
        ],
    ] {
        let [
            batch,
            mean,
            sd,
            flat,
            bands,
            within,
            press,
            lower,
            upper,
            plates,
        ] = heads;
        let _ = writeln!(
            text,
            "{batch:>5} {mean:>7} {sd:>5} {flat:>5} {bands:>5} {within:>6} {press:>5} {lower:>6} {upper:>6} {plates:>6}"
        );
    }
    for row in &report.batches {
        let form = &row.form;
        let _ = writeln!(
            text,
            "{:>5} {:>7.1} {:>5.2} {:>5.2} {:>5.1} {:>6.2} {:>5} {:>+6.2} {:>+6.2} {:>6.1}",
            row.batch,
            row.mean_um,
            row.sd_um,
            form.flatness_um,
            form.flatness_bands,
            form.parallelism_um,
            form.pressure_pct[0],
            form.plates_um[0],
            form.plates_um[1],
            0.5 * (row.plates_c[0] + row.plates_c[1]),
        );
        if !row.broken.is_empty() {
            let _ = writeln!(text, "     broken: {}", row.broken.join(", "));
        }
        if row.ring_setting > 0 {
            let _ = writeln!(text, "     with ring setting {}", row.ring_setting);
        }
        if row.conditioned {
            text.push_str("     then both plates were conditioned\n");
        }
    }
    text.push_str(
        "\nflat: worst face, with its light bands; within: thickness within a part; press: least pressure along the path, of the mean; \
         lower, upper: form of the plates as warm as they are, inner edge over outer edge, + convex.\n",
    );
    let _ = writeln!(text, "\nverdict: {}", report.verdict.word());
    text
}
