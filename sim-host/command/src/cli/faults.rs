//! `check --faults`: the fault matrix of a recipe instead of its trials.

use super::args::CheckFormat;
use super::output::{Output, say, show};
use super::replay_command::ReplayCommand;
use super::resolved::Check;
use super::terminal::{Terminal, progress};
use super::{Answer, Failure, files};
use crate::report::faults::{declared_harm, declared_text, failure, pair_failure, summary};
use crate::report::wrap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use twinplate_check::Case;
use twinplate_check::check::static_errors;
use twinplate_falsify::faults::counts::Counts;
use twinplate_falsify::faults::{Matrix, MatrixError, MatrixPlan, matrix};
use twinplate_sim::bench::Job;
use twinplate_sim::model::Shown;

/// Folder of the journals of cells that fail.
const FOLDER: &str = "out/faults";

/// Does the work.
///
/// # Errors
/// Bad files, a recipe that the controller refuses, journals that cannot be written.
pub fn check(meant: &Check, program: &str, terminal: Terminal) -> Result<Answer, Failure> {
    if meant.format == CheckFormat::Junit {
        return Err(Failure::new(
            "the fault matrix has no JUnit form",
            "use --format text or --format json with --faults",
        ));
    }
    let set = files::set(&meant.files)?;
    let refused = |error: String| {
        Failure::new(
            error,
            "`check` the recipe without --faults: its findings say what to change",
        )
    };
    let job = Job::of(&set, None).map_err(|error| refused(error.to_string()))?;
    let standing = static_errors(&Case::of(&set));
    let bar = progress(1, terminal.err_color);
    bar.set_message("breaking");
    let plan = MatrixPlan {
        threads: meant.plan.threads,
        seed: meant.plan.seed,
    };
    let found = matrix(&job, plan, &|done, of| {
        bar.set_length(of as u64);
        bar.set_position(done as u64);
    });
    bar.finish_and_clear();
    let found = found.map_err(|error| match error {
        MatrixError::Compile(_) | MatrixError::Nominal => refused(error.to_string()),
        MatrixError::Port(_) => Failure::no_answer(error),
    })?;
    let commands = write_journals(&found, |journal| {
        ReplayCommand::of_journal(program, &meant.files, journal)
    })?;
    match meant.format {
        CheckFormat::Json => say(&json(&found, &commands, &standing))?,
        CheckFormat::Text | CheckFormat::Junit => {
            let shown = &job.recipe.shown;
            show(
                &text(&found, &commands, &standing, shown),
                terminal.out.width,
            )?;
        }
    }
    Ok(if found.passes() && standing.is_empty() {
        Answer::Yes
    } else {
        Answer::No
    })
}

/// Writes the journals of what failed; gives the command that replays each, by the cell's name.
fn write_journals(
    matrix: &Matrix,
    command: impl Fn(&Path) -> String,
) -> Result<Vec<(String, String)>, Failure> {
    let mut commands = Vec::new();
    let cells = matrix.failing().map(|cell| (cell.name(), &cell.journal));
    let pairs = matrix
        .failing_pairs()
        .map(|pair| (pair.name(), &pair.journal));
    for (name, journal) in cells.chain(pairs) {
        let Some(journal) = journal else {
            continue;
        };
        if commands.is_empty() {
            // Why it cannot be made, `Output::open` says.
            let _ = std::fs::create_dir_all(FOLDER);
        }
        let path = PathBuf::from(FOLDER).join(format!("{}-{name}.jsonl", matrix.recipe));
        let text = journal
            .to_text()
            .map_err(|error| Failure::new(error.to_string(), "report this as a defect"))?;
        Output::open(&path, "a folder out/faults that may be written")?
            .write(|file| std::io::Write::write_all(file, text.as_bytes()))?;
        commands.push((name, command(&path)));
    }
    Ok(commands)
}

fn text(
    matrix: &Matrix,
    commands: &[(String, String)],
    standing: &[&str],
    shown: &Shown,
) -> String {
    let mut text = summary(matrix);
    text.push_str(&declared_text(matrix, shown));
    let mut left_out = 0;
    let cells = matrix
        .failing()
        .map(|cell| (cell.name(), failure(cell, shown)));
    let pairs = matrix
        .failing_pairs()
        .map(|pair| (pair.name(), pair_failure(pair, shown)));
    for (name, told) in cells.chain(pairs) {
        let Some((_, command)) = commands.iter().find(|(other, _)| *other == name) else {
            left_out += 1;
            continue;
        };
        let _ = write!(text, "\n{told}");
        let _ = writeln!(text, "  {command}");
    }
    if left_out > 0 {
        let _ = writeln!(text, "\nand {left_out} cells or pairs more like these");
    }
    if !standing.is_empty() {
        let line = format!(
            "Whatever the matrix finds, `check` fails this recipe: {}. Correct that first: what is declared of faults holds for a machine without errors.",
            standing.join(", ")
        );
        text.push('\n');
        for part in wrap(&line, 80) {
            let _ = writeln!(text, "{part}");
        }
    }
    let verdict = verdict(matrix, standing);
    let _ = writeln!(text, "\nverdict: {verdict}");
    text
}

fn verdict(matrix: &Matrix, standing: &[&str]) -> &'static str {
    if matrix.passes() && standing.is_empty() {
        "pass"
    } else {
        "fail"
    }
}

fn json(matrix: &Matrix, commands: &[(String, String)], standing: &[&str]) -> String {
    let counts = Counts::of(matrix);
    let failing: Vec<serde_json::Value> = matrix
        .failing()
        .map(|cell| {
            let name = cell.name();
            let replay = commands.iter().find(|(other, _)| *other == name);
            serde_json::json!({
                "cell": name,
                "differences": cell.differences.iter().map(ToString::to_string).collect::<Vec<_>>(),
                "harm": cell.harms.iter().filter(|h| h.reason.is_none())
                    .map(|h| h.kind.stated().name).collect::<Vec<_>>(),
                "look_at": cell.cures.iter().map(|cure| &cure.words).collect::<Vec<_>>(),
                "replay": replay.map(|(_, command)| command),
            })
        })
        .collect();
    let value = serde_json::json!({
        "schema": 1,
        "verdict": verdict(matrix, standing),
        "static_errors": standing,
        "recipe": matrix.recipe,
        "machine": matrix.machine,
        "cells": counts.ran,
        "not_possible": counts.refused,
        "answered": counts.acted,
        "alarm_only": counts.alarmed,
        "unanswered": counts.silent,
        "declared_harm": counts.declared,
        "undeclared_harm": counts.undeclared,
        "differing": counts.differing,
        "failing": failing,
        "declared_harms": declared_harm(matrix).iter().map(|one| serde_json::json!({
            "fault": one.fault,
            "harm": one.kind.stated().name,
            "to": one.kind.stated().severity.word(),
            "phases": one.phases,
            "cells": one.cells,
            "worst": one.worst,
            "reason": one.reason,
        })).collect::<Vec<_>>(),
        "pairs": matrix.pairs.len(),
        "failing_pairs": matrix.failing_pairs().map(|pair| serde_json::json!({
            "pair": pair.name(),
            "wrong": pair.wrong,
            "harm": pair.harms.iter().filter(|h| h.reason.is_none())
                .map(|h| h.kind.stated().name).collect::<Vec<_>>(),
            "replay": commands.iter().find(|(other, _)| *other == pair.name()).map(|(_, command)| command),
        })).collect::<Vec<_>>(),
    });
    format!("{value:#}\n")
}
