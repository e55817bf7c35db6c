//! `check --seek`: looks for the case that breaks a requirement, and says what was found beside what random draws found.

use super::args::CheckFormat;
use super::output::{Output, distinct, say, show};
use super::replay_command::ReplayCommand;
use super::resolved::Check;
use super::terminal::{Terminal, progress};
use super::{Answer, Failure, files};
use crate::report::{counted, unit_of, wrap};
use serde::Serialize;
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use twinplate_check::Case as CheckedCase;
use twinplate_check::check::static_errors;
use twinplate_falsify::again::again;
use twinplate_falsify::seek::{self, Case, Found, Question, SearchPlan, TARGETS, Target};
use twinplate_sim::bench::{Job, Journal};
use twinplate_sim::model::{Of, Shown};

/// Version of the JSON.
const SCHEMA: u16 = 1;

/// Does the work.
///
/// # Errors
/// Bad files, unwritable journals, a recipe that the controller refuses.
pub fn seek(
    meant: &Check,
    seconds: u32,
    program: &str,
    terminal: Terminal,
) -> Result<Answer, Failure> {
    if meant.format == CheckFormat::Junit {
        return Err(Failure::new(
            "--seek has no JUnit form",
            "ask for --format text or --format json",
        ));
    }
    let set = files::set(&meant.files)?;
    let job = Job::of(&set, None).map_err(refused)?;
    let standing = static_errors(&CheckedCase::of(&set));
    let inputs = [&*set.recipe.path, &*set.machine.path, &*set.batch.path];
    let outputs = open(&set.recipe.value.id, &inputs)?;
    let question = Question::new(job).map_err(refused)?;
    let found = all(meant, seconds, &question, terminal)?;
    let mut told = Vec::with_capacity(found.len());
    for (found, output) in found.iter().zip(outputs) {
        let worst = match found.least() {
            Some(case) => Some(tell_case(meant, &question, found, case, output, program)?),
            None => None,
        };
        told.push(Told::new(found, worst));
    }
    let violated = found.iter().any(Found::violated);
    match meant.format {
        CheckFormat::Json => say(&json(meant, seconds, &told, violated, &standing))?,
        CheckFormat::Text | CheckFormat::Junit => {
            let drawn = text(&question, meant, seconds, &told, violated, &standing);
            show(&drawn, terminal.out.width)?;
        }
    }
    Ok(if violated || !standing.is_empty() {
        Answer::No
    } else {
        Answer::Yes
    })
}

fn refused(error: twinplate_sim::compile::CompileError) -> Failure {
    Failure::new(
        error.to_string(),
        "`check` the recipe without --seek: its findings say what to change",
    )
}

/// The journals to come, before the work starts. The folder is this program's own; why it cannot be made, `Output::open` says.
fn open(recipe: &str, inputs: &[&Path]) -> Result<Vec<Output>, Failure> {
    let _ = std::fs::create_dir("out");
    let paths: Vec<PathBuf> = TARGETS
        .iter()
        // An identifier holds nothing that a path minds.
        .map(|target| Path::new("out").join(format!("{recipe}-seek-{}.jsonl", target.word())))
        .collect();
    let named: Vec<(&Path, &str)> = paths.iter().map(|path| (&**path, "--seek")).collect();
    distinct(&named, inputs)?;
    paths
        .iter()
        .map(|path| Output::open(path, "a working folder that may be written"))
        .collect()
}

/// Every target in turn, each with its part of what is left of the time; then the draws.
fn all(
    meant: &Check,
    seconds: u32,
    question: &Question,
    terminal: Terminal,
) -> Result<Vec<Found>, Failure> {
    let bar = progress(u64::from(seconds), terminal.err_color);
    let start = Instant::now();
    let budget = Duration::from_secs(u64::from(seconds));
    let plan = SearchPlan {
        evaluations: usize::MAX,
        threads: meant.plan.threads,
        seed: meant.plan.seed,
        stop_at_violation: false,
    };
    let mut found = Vec::with_capacity(TARGETS.len());
    for (left, target) in (1..=TARGETS.len()).rev().zip(TARGETS) {
        bar.set_message(target.word());
        // At most six.
        let share = budget.saturating_sub(start.elapsed()) / u32::try_from(left).unwrap_or(1);
        let until = start.elapsed() + share;
        // One batch is made in any case: a requirement that was not looked at at all would read as one that held.
        let begun = std::cell::Cell::new(false);
        let go_on = || !begun.replace(true) || start.elapsed() < until;
        found.push(
            seek::seek(question, target, &plan, &go_on, &|_| {
                bar.set_position(start.elapsed().as_secs());
            })
            .map_err(Failure::no_answer)?,
        );
    }
    bar.set_message("draws");
    // Any machine's usize holds 32 bits.
    let draws = usize::try_from(meant.draws).unwrap_or(usize::MAX);
    seek::draw_beside(question, &mut found, draws, &plan, &|done, of| {
        bar.set_length(of as u64);
        bar.set_position(done as u64);
    })
    .map_err(Failure::no_answer)?;
    bar.finish_and_clear();
    Ok(found)
}

/// Writes the journal of the worst case and runs it again as its reader will, from its text and the whole recipe: what does not come
/// out again is not told as found.
fn tell_case(
    meant: &Check,
    question: &Question,
    found: &Found,
    case: &Case,
    output: Output,
    program: &str,
) -> Result<ToldCase, Failure> {
    let path = output.path().to_owned();
    let defect = |error: String| Failure::new(error, "please report this with the files");
    let text = case
        .measured
        .journal
        .to_text()
        .map_err(|error| defect(error.to_string()))?;
    let journal = Journal::from_text(&text).map_err(|error| defect(error.to_string()))?;
    let again = again(question.whole(), &journal).map_err(Failure::no_answer)?;
    if again.same != Some(true) || again.regained.is_none() {
        return Err(defect(format!(
            "the worst case of {} did not come out again from its journal",
            found.target.word()
        )));
    }
    output.write(|file| file.write_all(text.as_bytes()))?;
    let hexadecimal = |hash: u64| format!("{hash:#018x}");
    Ok(ToldCase {
        by: if found.worst.as_ref() == Some(case) {
            "search"
        } else {
            "draws"
        },
        evaluation: case.number,
        margin: case.measured.margin,
        seed: format!("{:#x}", case.trial.seed),
        disturbance: case.trial.disturbance.text(&question.whole().machine),
        ending: case.measured.ending.clone(),
        control_hash: hexadecimal(again.outcome.control_hash),
        trace_hash: again.outcome.trace_hash.map(hexadecimal),
        replay: ReplayCommand::of_journal(program, &meant.files, &path),
    })
}

/// What is told about one requirement.
#[derive(Serialize)]
struct Told {
    requirement: &'static str,
    what: &'static str,
    unit: &'static str,
    #[serde(skip)]
    of: Option<Of>,
    limit: Option<f64>,
    evaluations: usize,
    margin: Option<f64>,
    draws: usize,
    margin_of_draws: Option<f64>,
    violated: bool,
    first_violation: Option<usize>,
    /// The worse of the two.
    worst: Option<ToldCase>,
}

#[derive(Serialize)]
struct ToldCase {
    by: &'static str,
    evaluation: usize,
    margin: f64,
    seed: String,
    disturbance: String,
    ending: String,
    control_hash: String,
    trace_hash: Option<String>,
    replay: String,
}

impl Told {
    fn new(found: &Found, worst: Option<ToldCase>) -> Self {
        let margin = |case: &Option<Case>| case.as_ref().map(|case| case.measured.margin);
        Self {
            requirement: found.target.word(),
            what: found.target.what(),
            unit: found.target.unit(),
            of: found.target.kind(),
            limit: found.least().map(|case| case.measured.limit),
            evaluations: found.evaluations,
            margin: margin(&found.worst),
            draws: found.draws,
            margin_of_draws: margin(&found.drawn),
            violated: found.violated(),
            first_violation: found.first_violation,
            worst,
        }
    }
}

fn json(
    meant: &Check,
    seconds: u32,
    told: &[Told],
    violated: bool,
    static_errors: &[&str],
) -> String {
    #[derive(Serialize)]
    struct Whole<'a> {
        schema: u16,
        seconds: u32,
        seed: u64,
        violated: bool,
        static_errors: &'a [&'a str],
        requirements: &'a [Told],
    }
    let whole = Whole {
        schema: SCHEMA,
        seconds,
        seed: meant.plan.seed,
        violated,
        static_errors,
        requirements: told,
    };
    // Plain structs with string keys always serialise.
    serde_json::to_string_pretty(&whole).unwrap_or_default() + "\n"
}

fn text(
    question: &Question,
    meant: &Check,
    seconds: u32,
    told: &[Told],
    violated: bool,
    standing: &[&str],
) -> String {
    let job = question.job(Target::LoadLimit);
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = writeln!(
        text,
        "{}: {} with {}, seed {}, {seconds} s\n",
        job.recipe.id, job.machine.id, job.batch.id, meant.plan.seed
    );
    let _ = writeln!(
        text,
        "{:<25}{:>9} {:>10} {:>7} {:>10} {:>7} {:<5}",
        "least margin of", "limit", "search", "runs", "random", "draws", "unit"
    );
    let shown = &job.recipe.shown;
    for one in told {
        let number = |value: Option<f64>| {
            value.map_or("-".to_owned(), |value| counted(shown, one.of, value, 4))
        };
        let _ = writeln!(
            text,
            "{:<25}{:>9} {:>10} {:>7} {:>10} {:>7} {:<5}",
            one.what,
            number(one.limit),
            number(one.margin),
            one.evaluations,
            number(one.margin_of_draws),
            one.draws,
            unit_of(shown, one.of, one.unit)
        );
    }
    text.push('\n');
    let short = format!(
        "Load, contact and film are sought in a cycle whose dwells are cut to {} s; size and spread in the whole cycle. The draws come \
         on top of the time.",
        seek::DWELL
    );
    for line in wrap(&short, 80) {
        let _ = writeln!(text, "{line}");
    }
    for one in told {
        cases(&mut text, one, shown);
    }
    if !standing.is_empty() {
        let line = format!(
            "Whatever the search finds, `check` fails this recipe: {}. Correct that first; the search covers only the requirements above.",
            standing.join(", ")
        );
        text.push('\n');
        for line in wrap(&line, 80) {
            let _ = writeln!(text, "{line}");
        }
    }
    let _ = writeln!(
        text,
        "\nverdict: {}",
        match (violated, standing.is_empty()) {
            (true, _) => "violated",
            (false, true) => "no violation found",
            (false, false) => "fail: there are static errors",
        }
    );
    text
}

/// The worst case of one requirement and how to see it again.
fn cases(text: &mut String, one: &Told, shown: &Shown) {
    let Some(case) = &one.worst else { return };
    let line = format!(
        "{}: {} {} {} by {} {}, seed {}: {}; {}; control hash {}, trace hash {}",
        one.what,
        if one.violated {
            "VIOLATED, margin"
        } else {
            "margin"
        },
        counted(shown, one.of, case.margin, 4),
        unit_of(shown, one.of, one.unit),
        case.by,
        case.evaluation,
        case.seed,
        case.disturbance,
        case.ending,
        case.control_hash,
        case.trace_hash.as_deref().unwrap_or("-")
    );
    let first = one.first_violation.map_or(String::new(), |number| {
        format!("; the search's first violation was its evaluation {number}")
    });
    text.push('\n');
    for line in wrap(&(line + &first), 80) {
        let _ = writeln!(text, "{line}");
    }
    // Not wrapped: it is meant to be copied.
    let _ = writeln!(text, "  {}", case.replay);
}
