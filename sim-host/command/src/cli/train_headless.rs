//! `train --headless` and `train --rescore`: a station driven by a script, and a recorded attempt done again.

use super::Answer;
use super::args::{Format, TrainScript};
use super::board;
use super::demo_set::Exercises;
use super::failure::{At, Failure};
use super::files;
use super::output::{self, Output};
use super::terminal::Terminal;
use crate::report::fit;
use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;
use twinplate_sim::bench::ControllerPort;
use twinplate_train::attempt::{Attempt, replay};
use twinplate_train::exercise::{self, Exercise};
use twinplate_train::headless::{Ran, Script, run, run_on};
use twinplate_train::session::Session;

/// One folder up, where a path does not name it.
const ABOVE: &str = "..";
/// Largest script or attempt, bytes.
const LARGEST: u64 = 8 << 20;

/// Does what was asked; `exercises` is the folder of them that was named, `image` the board's. `None` where neither a script nor an
/// attempt was named.
///
/// # Errors
/// Files that cannot be read, scripts and attempts that are not what they should be, outputs that cannot be written.
pub fn headless(
    typed: &TrainScript,
    exercises: Option<&Path>,
    image: Option<&Path>,
    terminal: Terminal,
) -> Option<Result<Answer, Failure>> {
    let work = match (&typed.headless, &typed.rescore) {
        (Some(script), _) => script_runs(script, typed, exercises, image, terminal),
        (None, Some(attempt)) => rescored(attempt, typed, exercises, terminal),
        (None, None) => return None,
    };
    Some(work)
}

fn script_runs(
    path: &Path,
    typed: &TrainScript,
    exercises: Option<&Path>,
    image: Option<&Path>,
    terminal: Terminal,
) -> Result<Answer, Failure> {
    let attempt = typed
        .attempt
        .as_deref()
        .map(|path| Output::open(path, "--attempt"))
        .transpose()?;
    let script = Script::read(&read(path)?).map_err(|error| bad(path, &error))?;
    let exercise = find(path, &script.exercise, exercises)?;
    if let Some(image) = image {
        let board = board::holding(image, &exercise.job.params, &exercise.flash, None)?;
        let ran = run_on(board, &script, exercise).map_err(|error| bad(path, &error))?;
        return ran_out(path, &ran, attempt, typed, terminal);
    }
    let ran = run(&script, exercise).map_err(|error| bad(path, &error))?;
    ran_out(path, &ran, attempt, typed, terminal)
}

fn ran_out<C: ControllerPort>(
    path: &Path,
    ran: &Ran<C>,
    attempt: Option<Output>,
    typed: &TrainScript,
    terminal: Terminal,
) -> Result<Answer, Failure> {
    if let Some(output) = attempt {
        write_attempt(output, &ran.session.attempt())?;
    }
    for (line, why) in &ran.refused {
        output::complain(&format!(
            "{}: line {line}: refused: {why}\n",
            path.display()
        ));
    }
    for unmet in &ran.unmet {
        output::complain(&format!("{}: {unmet}\n", path.display()));
    }
    let answer = tell(&ran.session, typed.format, terminal)?;
    Ok(if ran.unmet.is_empty() {
        answer
    } else {
        Answer::No
    })
}

/// Text of a file that may come from anywhere.
fn read(path: &Path) -> Result<String, Failure> {
    files::read(path, "a text file", LARGEST, std::fs::read_to_string)
}

fn bad(path: &Path, error: &twinplate_train::headless::ScriptError) -> Failure {
    let at = At {
        code: None,
        file: path.display().to_string(),
        line: error.line,
        column: 1,
    };
    Failure::at(
        at,
        format!("{}: line {}: {}", path.display(), error.line, error.what),
        format!("expected {}", error.expected),
    )
}

fn rescored(
    path: &Path,
    typed: &TrainScript,
    exercises: Option<&Path>,
    terminal: Terminal,
) -> Result<Answer, Failure> {
    let text = read(path)?;
    let attempt: Attempt = serde_json::from_str(&text).map_err(|error| {
        Failure::new(
            format!("{} is no recorded attempt: {error}", path.display()),
            "name a file that `train --headless SCRIPT --attempt FILE` or the server wrote",
        )
    })?;
    let exercise = find(path, &attempt.exercise, exercises)?;
    let session = replay(exercise, &attempt).map_err(|error| {
        Failure::new(
            format!("{}: {error}", path.display()),
            "use the program and the exercise files that the attempt was made with",
        )
    })?;
    tell(&session, typed.format, terminal)
}

fn write_attempt(output: Output, attempt: &Attempt) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(attempt).map_err(|error| {
        Failure::new(
            format!("the attempt cannot be written as JSON: {error}"),
            "please report this",
        )
    })?;
    output.write(|to| {
        use std::io::Write as _;
        writeln!(to, "{text}")
    })
}

/// The exercise by its identifier: beside the file, above it, or where exercises are.
fn find(beside: &Path, id: &str, exercises: Option<&Path>) -> Result<Arc<Exercise>, Failure> {
    let plain = id
        .bytes()
        .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
    let folder = beside.parent().unwrap_or(Path::new(""));
    let above = match folder.parent() {
        Some(above) if folder.file_name().is_some() => above.to_owned(),
        _ => folder.join(ABOVE),
    };
    let file = format!("{id}.toml");
    let there = |folder: &Path| Some(folder.join(&file)).filter(|path| plain && path.is_file());
    let load = |path: &Path| exercise::load(path).map(Arc::new).map_err(Failure::Files);
    if let Some(path) = there(folder).or_else(|| there(&above)) {
        return load(&path);
    }
    let exercises = Exercises::find(exercises)?;
    there(exercises.folder()).map_or_else(
        || {
            Err(Failure::new(
                format!("there is no exercise `{id}`"),
                "name the folder of the exercise files with --exercises",
            ))
        },
        |path| load(&path),
    )
}

fn tell<C: ControllerPort>(
    session: &Session<C>,
    format: Format,
    terminal: Terminal,
) -> Result<Answer, Failure> {
    let debrief = session.debrief();
    let text = match format {
        Format::Text => fit(&text(session), terminal.out.width),
        Format::Json => {
            let value = serde_json::json!({
                "debrief": debrief,
                "control_hash": format!("{:#x}", session.control_hash()),
                "trace_hash": format!("{:#x}", session.trace_hash()),
            });
            format!("{value:#}\n")
        }
    };
    output::say(&text)?;
    Ok(if debrief.score.passed {
        Answer::Yes
    } else {
        Answer::No
    })
}

fn text<C: ControllerPort>(session: &Session<C>) -> String {
    let debrief = session.debrief();
    let score = debrief.score;
    let mut text = String::new();
    // Writing to a String cannot fail.
    let mut line = |line: String| {
        let _ = writeln!(text, "{line}");
    };
    line(debrief.exercise.title.clone());
    line(format!(
        "{}: {} of {} points, {} to pass; {:.1} s simulated",
        if score.passed { "PASSED" } else { "NOT PASSED" },
        score.points,
        score.of,
        score.pass,
        debrief.end_s
    ));
    for lost in debrief.lost.iter().chain(&debrief.harm) {
        let when = lost
            .time_s
            .map_or_else(String::new, |s| format!(" ({s:.1} s)"));
        line(format!(
            "  -{} {}{when}: {} / {}",
            lost.points, lost.id, lost.text, lost.why
        ));
    }
    for reaction in &debrief.reactions {
        line(format!(
            "  {:.1} s from \"{}\" to: {}",
            reaction.seconds, reaction.cause, reaction.text
        ));
    }
    for practise in &debrief.practise {
        line(format!("Next: {practise}"));
    }
    line(format!(
        "control hash {:#x}, trace hash {:#x}",
        session.control_hash(),
        session.trace_hash()
    ));
    text
}
