//! `run`: one cycle, nominal, drawn, with a scenario, or again as a journal tells.

use super::args::Format;
use super::board::{self, BoardReport};
use super::output::{Output, complain, distinct, say, show};
use super::resolved::{Run, What};
use super::run_report::{Ran, RunReport};
use super::terminal::Terminal;
use super::told::before_last_line;
use super::{Answer, Failure, files, trade};
use crate::report::{Cycle, html};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use twinplate_check::check::of_run;
use twinplate_check::locate;
use twinplate_check::verdict::CheckReport;
use twinplate_falsify::again::{AgainError, Regained, again};
use twinplate_falsify::seek::TARGETS;
use twinplate_sim::bench::{Drawn, FileHash, Job, Journal, Outcome, Settled, run_cycle};
use twinplate_sim::files::{Loaded, SIZE_LIMIT, Set};
use twinplate_sim::model::Scenario;
use twinplate_sim::plant::Substeps;
use twinplate_sim::requirements::{RunJudgement, Verdict, judge};

/// A journal may be this many bytes for every byte that a file of the set may be: it holds what happened, not only what is.
const JOURNAL_LIMIT: u64 = 64 * SIZE_LIMIT;

/// Does the work.
///
/// # Errors
/// Bad files, unwritable outputs, a recipe that the controller refuses.
pub fn run(meant: &Run, terminal: Terminal) -> Result<Answer, Failure> {
    let source = read(meant)?;
    let outputs = Outputs::open(meant, &source)?;
    let set = &source.set;
    let job = files::job(set, source.scenario.as_ref())?;
    let made = source.make(job)?;
    let (job, outcome) = (&made.job, &made.outcome);
    let report = RunReport::new(&Ran {
        set,
        scenario: source.scenario.as_ref().map(|file| &file.value),
        made: &made,
    });
    let cycle = Cycle::recorded(&job.machine, &job.batch, &job.recipe, outcome);
    let page = page_report(set, &made);
    let told = outputs.write(job, outcome, &page, &cycle, &report)?;
    match meant.format {
        Format::Text => {
            let text = report.text(&cycle, &told, terminal.out);
            if meant.trade {
                let table = format!("\n{}", trade::table(&page));
                show(&before_last_line(&text, &table), terminal.out.width)?;
            } else {
                show(&text, terminal.out.width)?;
            }
        }
        Format::Json => {
            say(&report.json())?;
            for line in told {
                complain(&(line + "\n"));
            }
        }
    }
    Ok(if report.passes() {
        Answer::Yes
    } else {
        Answer::No
    })
}

/// Everything read, before anything runs.
struct Source {
    set: Set,
    scenario: Option<Loaded<Scenario>>,
    of: Of,
}

/// What a run is one of.
enum Of {
    /// A numbered draw, with so many fast steps of the plant in a tick, on plates that are warm from batches before or cold; with the
    /// controller on the board of this image, or in this process.
    Draw(Drawn, Substeps, bool, Option<PathBuf>),
    /// A journal and its file.
    Journal(Box<Journal>, PathBuf),
}

/// A run that was made, and what is made of it.
pub struct Made {
    /// What was run.
    pub job: Job,
    /// What the run left.
    pub outcome: Outcome,
    /// What it held.
    pub judged: RunJudgement,
    /// Its verdict.
    pub verdict: Verdict,
    /// In a replay, whether the same run came out, and the same margin where one was sought.
    pub same: Option<bool>,
    /// In a replay of what a search found, its margin.
    pub regained: Option<Regained>,
    /// With the controller on a board, what came of that.
    pub board: Option<BoardReport>,
}

fn read(meant: &Run) -> Result<Source, Failure> {
    match &meant.what {
        What::Cycle {
            scenario,
            seed,
            draw,
            substeps,
            warm,
            board,
        } => {
            let (set, scenario) = files::with_scenario(&meant.files, scenario.as_deref())?;
            Ok(Source {
                set,
                scenario,
                of: Of::Draw(
                    Drawn {
                        seed: *seed,
                        index: *draw,
                    },
                    *substeps,
                    *warm,
                    board.clone(),
                ),
            })
        }
        What::Replay(path) => {
            let set = files::set(&meant.files)?;
            let journal = read_journal(path)?;
            same_files(&FileHash::of(&set, None), &journal, path)?;
            Ok(Source {
                set,
                scenario: None,
                of: Of::Journal(Box::new(journal), path.clone()),
            })
        }
    }
}

/// Reads a journal file.
///
/// # Errors
/// A path that is no readable journal.
pub(super) fn read_journal(path: &Path) -> Result<Journal, Failure> {
    let cure = format!(
        "{}name a file that `run --journal` wrote",
        files::near(path)
    );
    let refuse = |why: String| {
        Failure::new(
            format!("cannot replay {}: {why}", path.display()),
            cure.clone(),
        )
    };
    let is_file = std::fs::metadata(path)
        .map_err(|error| refuse(error.to_string()))?
        .is_file();
    if !is_file {
        return Err(refuse("it is not a regular file".into()));
    }
    let mut text = String::new();
    std::fs::File::open(path)
        .and_then(|file| file.take(JOURNAL_LIMIT + 1).read_to_string(&mut text))
        .map_err(|error| refuse(error.to_string()))?;
    if text.len() as u64 > JOURNAL_LIMIT {
        return Err(refuse(format!("it is larger than {JOURNAL_LIMIT} bytes")));
    }
    Journal::from_text(&text).map_err(|error| refuse(error.to_string()))
}

/// Only the files that a journal was made from give its run again.
///
/// # Errors
/// Another file than the one that the journal names.
pub(super) fn same_files(now: &[FileHash], journal: &Journal, path: &Path) -> Result<(), Failure> {
    let Some(file) = journal.other_file(now) else {
        return Ok(());
    };
    Err(Failure::new(
        format!(
            "{} was made from another {}: the file `{}` has changed, or is not the one",
            path.display(),
            file.kind,
            file.id
        ),
        format!(
            "replay it with the {} it was made from, or make a new journal with `run --journal`",
            file.kind
        ),
    ))
}

impl Source {
    /// Runs it.
    fn make(&self, job: Job) -> Result<Made, Failure> {
        match &self.of {
            Of::Journal(journal, path) => {
                let again = again(&job, journal).map_err(|error| not_again(&error, path))?;
                Ok(Made {
                    verdict: again.verdict(),
                    job: again.job,
                    outcome: again.outcome,
                    judged: again.judged,
                    same: again.same,
                    regained: again.regained,
                    board: None,
                })
            }
            Of::Draw(drawn, substeps, warm, image) => {
                let mut setup = job.drawn(*drawn).finer(*substeps);
                if *warm {
                    let settled = Settled::of(&job, drawn.seed).map_err(Failure::no_answer)?;
                    setup = setup.warm(&settled);
                }
                let scenario = self.scenario.as_ref().map(|file| &file.value);
                let recorder = setup.recorder(scenario);
                let (outcome, board) = match image {
                    Some(image) => {
                        let (outcome, board) = board::recorded(image, &setup, scenario, recorder)?;
                        (outcome, Some(board))
                    }
                    None => {
                        let outcome = run_cycle(&setup, scenario, recorder);
                        (outcome.map_err(Failure::no_answer)?, None)
                    }
                };
                let judged = judge(&job, &outcome);
                Ok(Made {
                    verdict: judged.verdict(),
                    job,
                    outcome,
                    judged,
                    same: None,
                    regained: None,
                    board,
                })
            }
        }
    }
}

/// Why a journal cannot be run again, and what to do about it.
fn not_again(error: &AgainError, path: &Path) -> Failure {
    match error {
        AgainError::Port(error) => Failure::no_answer(error),
        AgainError::Compile(_) => Failure::new(
            error.to_string(),
            "replay the journal that it was shortened from",
        ),
        AgainError::TooLong { .. } => Failure::new(
            format!("cannot replay {}: {error}", path.display()),
            "name a journal as `run --journal` wrote it; this one was changed",
        ),
        AgainError::Unknown(_) => {
            let words: Vec<&str> = TARGETS.iter().map(|target| target.word()).collect();
            Failure::new(
                format!("cannot replay {}: {error}", path.display()),
                format!(
                    "name a file that `check --seek` wrote; it has one of {}",
                    words.join(", ")
                ),
            )
        }
    }
}

/// The files to write.
struct Outputs {
    trace: Option<Output>,
    report: Option<Output>,
    journal: Option<Output>,
}

impl Outputs {
    fn open(meant: &Run, source: &Source) -> Result<Self, Failure> {
        let named = [
            (&meant.trace, "--trace"),
            (&meant.report, "--report"),
            (&meant.journal, "--journal"),
        ];
        let paths: Vec<(&Path, &str)> = named
            .iter()
            .filter_map(|(path, option)| Some((path.as_deref()?, *option)))
            .collect();
        let set = &source.set;
        let mut inputs = vec![&*set.recipe.path, &*set.machine.path, &*set.batch.path];
        inputs.extend(source.scenario.as_ref().map(|file| &*file.path));
        if let What::Replay(path) = &meant.what {
            inputs.push(path);
        }
        distinct(&paths, &inputs)?;
        let open = |path: &Option<PathBuf>, option| {
            path.as_ref()
                .map(|path| Output::open(path, option))
                .transpose()
        };
        Ok(Self {
            trace: open(&meant.trace, "--trace")?,
            report: open(&meant.report, "--report")?,
            journal: open(&meant.journal, "--journal")?,
        })
    }

    /// Writes them; gives a line about each.
    fn write(
        self,
        job: &Job,
        outcome: &Outcome,
        page: &CheckReport,
        cycle: &Cycle,
        report: &RunReport,
    ) -> Result<Vec<String>, Failure> {
        let mut told = Vec::new();
        let mut tell = |what: &str, output: &Output| {
            told.push(format!("{what}: {}", output.path().display()));
        };
        if let (Some(output), Some(trace)) = (self.trace, &outcome.trace) {
            tell("trace", &output);
            output.write(|file| trace.write_csv(file))?;
        }
        if let Some(output) = self.journal {
            tell("journal", &output);
            let text = outcome.journal.to_text().map_err(|error| {
                Failure::new(error.to_string(), "give the fault a finite magnitude")
            })?;
            output.write(|file| file.write_all(text.as_bytes()))?;
        }
        if let Some(output) = self.report {
            tell("report", &output);
            let page = html::draw(&html::Page {
                of: html::Of::Run(&report.heading(page)),
                report: page,
                cycle,
                machine: &job.machine,
                batch: &job.batch,
            });
            output.write(|file| file.write_all(page.as_bytes()))?;
        }
        Ok(told)
    }
}

/// The report of this one run, in the form of a check.
fn page_report(set: &Set, made: &Made) -> CheckReport {
    let journal = &made.outcome.journal;
    let seed = journal.drawn.map_or(0, |drawn| drawn.seed);
    let finer = if journal.substeps.is_one() {
        String::new()
    } else {
        format!(" --step {}", journal.substeps.count())
    };
    of_run(
        &made.job,
        &made.outcome,
        &made.judged,
        &|place| locate(set, place),
        &|run| {
            let warm = if run.warm { " --warm" } else { "" };
            format!("run with --seed {seed} --draw {}{finer}{warm}", run.draw)
        },
    )
}
