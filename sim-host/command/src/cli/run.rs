//! `run`: one cycle, nominal, drawn, with a scenario, or again as a journal tells.

use super::args::Format;
use super::check::before_last_line;
use super::output::{Output, complain, distinct, say, show};
use super::resolved::{Run, What};
use super::run_report::{Ran, Regained, RunReport};
use super::terminal::Terminal;
use super::{Answer, Failure, files, trade};
use crate::report::{Cycle, html};
use firmware_core::sequence::State;
use std::io::{Read, Write};
use std::path::Path;
use twinplate_check::Case;
use twinplate_check::predict::predict;
use twinplate_check::proof::{Proof, Requirement, RunJudgement};
use twinplate_check::prove::{judge, report_of, setup};
use twinplate_check::verdict::{CheckReport, Parts, assemble};
use twinplate_falsify::seek::margin::{self, watch};
use twinplate_falsify::seek::{TARGETS, Target};
use twinplate_falsify::shrink::{job_of, setup_of};
use twinplate_sim::bench::{
    Action, Drawn, End, Ended, Entry, FileHash, Job, Journal, Outcome, PortError, Setup, replay,
    run_cycle,
};
use twinplate_sim::files::{Loaded, SIZE_LIMIT, Set};
use twinplate_sim::model::Scenario;

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
    let mut job = Job::new(
        set.machine.value.clone(),
        set.batch.value.clone(),
        set.recipe.value.clone(),
    )
    .map_err(|error| {
        Failure::new(
            error.to_string(),
            "`check` the recipe: its findings say what to change",
        )
    })?;
    job.files = files::hashes(set, source.scenario.as_ref());
    if let Some(journal) = &source.journal {
        job = job_of(&job, journal).map_err(|error| {
            Failure::new(
                format!("the parts that the journal leaves cannot be run: {error}"),
                "replay the journal that it was shortened from",
            )
        })?;
    }
    let (mut outcome, regained) = source.go(&job)?;
    let expected = source.journal.as_ref().and_then(|journal| journal.end);
    outcome.journal.drawn = source.drawn;
    outcome.journal.end = Some(End {
        ticks: outcome.summary.ticks,
        control_hash: outcome.control_hash,
    });
    let judged = source.judge(&job, &outcome);
    let report = RunReport::new(&Ran {
        set,
        scenario: source.scenario.as_ref().map(|file| &file.value),
        drawn: source.drawn,
        outcome: &outcome,
        judged: &judged,
        expected,
        regained: regained.as_ref(),
    });
    let cycle = Cycle::recorded(&job.machine, &job.batch, &job.recipe, &outcome);
    let page = page_report(&job, &source, &outcome, judged);
    let told = outputs.write(&job, &outcome, &page, &cycle, &report)?;
    match meant.format {
        Format::Text => {
            let text = report.text(&cycle, &told, terminal.out);
            if meant.trade || trade::used_in_any(set) {
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
    journal: Option<Journal>,
    drawn: Option<Drawn>,
}

fn read(meant: &Run) -> Result<Source, Failure> {
    match &meant.what {
        What::Cycle {
            scenario,
            seed,
            draw,
        } => {
            let (set, scenario) = files::with_scenario(&meant.files, scenario.as_deref())?;
            Ok(Source {
                set,
                scenario,
                journal: None,
                drawn: Some(Drawn {
                    seed: *seed,
                    index: *draw,
                }),
            })
        }
        What::Replay(path) => {
            let set = files::set(&meant.files)?;
            let journal = read_journal(path)?;
            same_files(&files::hashes(&set, None), &journal, path)?;
            known_requirement(&journal, path)?;
            Ok(Source {
                set,
                scenario: None,
                drawn: journal.drawn,
                journal: Some(journal),
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
    for file in now {
        let then = journal.files.iter().find(|then| then.kind == file.kind);
        if then.is_some_and(|then| then.hash != file.hash) {
            return Err(Failure::new(
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
            ));
        }
    }
    Ok(())
}

/// What was sought must be something that this program can measure.
fn known_requirement(journal: &Journal, path: &Path) -> Result<(), Failure> {
    let Some(sought) = &journal.sought else {
        return Ok(());
    };
    if Target::from_word(&sought.requirement).is_some() {
        return Ok(());
    }
    let words: Vec<&str> = TARGETS.iter().map(|target| target.word()).collect();
    Err(Failure::new(
        format!(
            "cannot replay {}: line 1 has the sought requirement `{}`",
            path.display(),
            sought.requirement
        ),
        format!(
            "name a file that `check --seek` wrote; it has one of {}",
            words.join(", ")
        ),
    ))
}

impl Source {
    /// Runs it. Gives the margin again of what was sought in it, where it is the journal of a search.
    fn go(&self, job: &Job) -> Result<(Outcome, Option<Regained>), Failure> {
        let drawn = self.drawn.map(|drawn| setup(job, drawn.seed, drawn.index));
        if let Some(journal) = &self.journal {
            return again(&setup_of(job, journal), journal).map_err(Failure::no_answer);
        }
        let setup = drawn.unwrap_or_else(|| job.nominal(0));
        let scenario = self.scenario.as_ref().map(|file| &file.value);
        run_cycle(&setup, scenario, setup.recorder(scenario))
            .map(|outcome| (outcome, None))
            .map_err(Failure::no_answer)
    }

    /// Judges the run. A cycle that is meant to be disturbed is judged by harm and load alone.
    fn judge(&self, job: &Job, outcome: &Outcome) -> RunJudgement {
        let index = self.drawn.map_or(0, |drawn| drawn.index);
        let mut judged = judge(&job.machine, &job.batch, index, outcome);
        if self.disturbed() {
            judged.items.retain(|item| always(item.requirement));
        } else if self.sought() {
            // It may end where its question is answered; what it made of a finished batch still counts.
            judged.items.retain(|item| {
                always(item.requirement)
                    || matches!(item.requirement, Requirement::Size | Requirement::Spread)
            });
        }
        judged
    }

    /// Whether it is the journal of a case that was looked for, not of a whole cycle.
    fn sought(&self) -> bool {
        self.journal
            .as_ref()
            .is_some_and(|journal| journal.deviations.is_some())
    }

    /// Whether anything but the operator by the book had a hand in it.
    fn disturbed(&self) -> bool {
        let scripted = |journal: &Journal| {
            let meddled = |entry: &Entry| {
                matches!(
                    entry.action,
                    Action::Fault(_) | Action::Clear(_) | Action::Station(_)
                )
            };
            journal.files.iter().any(|file| file.kind == "scenario")
                || journal.entries.iter().any(meddled)
        };
        self.scenario.is_some() || self.journal.as_ref().is_some_and(scripted)
    }
}

/// What every run must hold, whatever happens to it.
const fn always(requirement: Requirement) -> bool {
    match requirement {
        Requirement::LoadLimit
        | Requirement::RatedLoad
        | Requirement::FirstContact
        | Requirement::PartStrength
        | Requirement::Dry
        | Requirement::Harm => true,
        Requirement::Completes
        | Requirement::Overshoot
        | Requirement::Size
        | Requirement::Spread
        | Requirement::Finish => false,
    }
}

/// Runs a journal again, as far as it went.
pub fn again(
    setup: &Setup<'_>,
    journal: &Journal,
) -> Result<(Outcome, Option<Regained>), PortError> {
    let ticks = journal
        .end
        .map_or_else(|| setup.longest(None), |end| end.ticks);
    let recorder = Setup::recorder_for(ticks);
    let mut bench = replay(setup.controller(), setup, journal, 0, recorder)?;
    let film = watch(&mut bench, ticks)?;
    let ended = match bench.status().map(|status| status.state) {
        Some(State::Complete) => Ended::Complete,
        Some(State::Stopped) => Ended::Stopped,
        Some(State::Aborted) => Ended::Aborted,
        Some(State::Idle) => Ended::Idle,
        None => Ended::NotStarted,
        Some(
            State::Running
            | State::Holding
            | State::Held
            | State::Restarting
            | State::Stopping
            | State::Aborting,
        ) => Ended::LongestTime,
    };
    let mut outcome = bench.finish(ended)?;
    // The bench knows the files of this run only; what else the first run was made from is the journal's to say.
    outcome.journal.files.clone_from(&journal.files);
    (outcome.journal.deviations, outcome.journal.pieces) = (journal.deviations, journal.pieces);
    outcome.journal.sought.clone_from(&journal.sought);
    let regained = journal.sought.as_ref().and_then(|sought| {
        let target = Target::from_word(&sought.requirement)?;
        let (margin, limit) = margin::of(setup.job, target, &outcome.summary, film);
        Some(Regained {
            requirement: target.word(),
            margin,
            limit,
            unit: target.unit(),
            journal: sought.margin,
        })
    });
    Ok((outcome, regained))
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
        let open = |path: &Option<std::path::PathBuf>, option| {
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

/// The report of this one run, in the form of a proof of one.
fn page_report(job: &Job, source: &Source, outcome: &Outcome, judged: RunJudgement) -> CheckReport {
    let case = Case {
        machine: &job.machine,
        batch: &job.batch,
        recipe: &job.recipe,
    };
    let prediction = predict(&case, 1.0);
    let seed = source.drawn.map_or(0, |drawn| drawn.seed);
    let proof = Proof::of(seed, vec![judged]);
    let findings = proof.findings(&|index| format!("run with --seed {seed} --draw {index}"));
    assemble(Parts {
        case: &case,
        findings,
        prediction: &prediction,
        nominal: Some(report_of(&case, &outcome.summary, &prediction)),
        proof: Some(proof),
        targets: &[],
        locate: &|place| files::locate(&source.set, place),
        waivers: &[],
    })
}
