//! What is meant: checked, with every default filled in. Files are named here, not read.

mod serve;

pub use serve::Serve;

use super::args::{self, CheckFormat, FailOn, Format, Units};
use super::failure::Failure;
use std::path::PathBuf;
use twinplate_check::catalogue::Severity;
use twinplate_check::trials::TrialPlan;
use twinplate_check::verdict::{NoWaiver, Waiver};
use twinplate_sim::files::Overrides;
use twinplate_sim::plant::Substeps;
use twinplate_tune::effort::Effort;
use twinplate_tune::experiment::Kind;
use twinplate_tune::import::ImportOptions;

/// A recipe and the files that go with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Files {
    /// Recipe file.
    pub recipe: PathBuf,
    /// Files given by hand.
    pub overrides: Overrides,
}

impl From<args::Files> for Files {
    fn from(typed: args::Files) -> Self {
        Self {
            recipe: typed.recipe,
            overrides: Overrides {
                machine: typed.machine,
                batch: typed.batch,
            },
        }
    }
}

/// Where the page of `check`, `tune` or `calibrate` goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReportTo {
    /// `out/RECIPE-check.html`, `out/MACHINE-tune.html`, `out/SHEET-cell.html`.
    Default,
    /// Nowhere.
    Nowhere,
    /// A file.
    File(PathBuf),
}

impl ReportTo {
    pub(super) fn new(file: Option<PathBuf>, none: bool) -> Self {
        match file {
            Some(path) => Self::File(path),
            None if none => Self::Nowhere,
            None => Self::Default,
        }
    }
}

/// `check` as meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Check {
    /// Recipe, machine and batch.
    pub files: Files,
    /// How the trials are made.
    pub plan: TrialPlan,
    /// Where the report goes.
    pub report: ReportTo,
    /// Mildest finding that makes the answer no.
    pub fail_on: Severity,
    /// Codes that are let pass.
    pub waivers: Vec<Waiver>,
    /// What stdout gets.
    pub format: CheckFormat,
    /// Trade units asked for.
    pub trade: bool,
    /// Seek for so long, s, instead of the trials.
    pub seek: Option<u32>,
    /// Random draws beside the search, for each requirement.
    pub draws: u32,
    /// The fault matrix, not the trials.
    pub faults: bool,
    /// Image of the board on which some runs are repeated.
    pub board: Option<PathBuf>,
}

impl Check {
    /// From what was typed. `processors` is how many threads are used when none were asked for.
    ///
    /// # Errors
    /// Waivers of unknown codes or without a reason.
    pub fn new(typed: args::Check, processors: usize) -> Result<Self, Failure> {
        Ok(Self {
            files: typed.files.into(),
            plan: TrialPlan {
                // At most a million, far below any usize.
                draws: usize::try_from(typed.runs).unwrap_or(usize::MAX),
                threads: typed.threads.map_or(processors.max(1), usize::from),
                seed: typed.seed,
            },
            report: ReportTo::new(typed.report, typed.no_report),
            fail_on: match typed.fail_on {
                FailOn::Error => Severity::Error,
                FailOn::Warning => Severity::Warning,
            },
            waivers: waivers(typed.waive, typed.reason)?,
            format: typed.format,
            trade: typed.units == Units::Trade,
            seek: typed.seek,
            draws: typed.draws,
            faults: typed.faults,
            board: typed.on_board,
        })
    }
}

/// Pairs codes with reasons.
fn waivers(codes: Vec<String>, reasons: Vec<String>) -> Result<Vec<Waiver>, Failure> {
    if codes.len() != reasons.len() {
        return Err(Failure::new(
            format!(
                "{} --waive but {} --reason: every waiver needs its reason",
                codes.len(),
                reasons.len()
            ),
            "give one --reason TEXT for each --waive CODE, in the same order",
        ));
    }
    codes
        .into_iter()
        .zip(reasons)
        .map(|(code, reason)| {
            Waiver::new(code.clone(), reason).map_err(|error| match error {
                NoWaiver::Unknown(nearest) => Failure::new(
                    format!("--waive: there is no finding `{code}`"),
                    format!("{}`explain` lists all codes", meant(nearest)),
                ),
                NoWaiver::NoReason => Failure::new(
                    format!("the reason for waiving `{code}` is empty"),
                    "say in --reason why the finding is acceptable here; it is kept in the report",
                ),
            })
        })
        .collect()
}

/// The question whether a near word was meant, where there is one.
#[must_use]
pub fn meant(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |word| format!("did you mean `{word}`? "))
}

/// What `run` runs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// A cycle, nominal or with a scenario file.
    Cycle {
        /// Scenario file.
        scenario: Option<PathBuf>,
        /// Seed of the draws.
        seed: u64,
        /// Number of the draw.
        draw: u64,
        /// Steps of the plant's fast physics in a tick.
        substeps: Substeps,
        /// Plates are warm from batches before.
        warm: bool,
        /// Image of the board that the controller runs on; in this process without.
        board: Option<PathBuf>,
    },
    /// What a journal file tells.
    Replay(PathBuf),
}

/// `run` as meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// Recipe, machine and batch.
    pub files: Files,
    /// What is run.
    pub what: What,
    /// Where the trace goes.
    pub trace: Option<PathBuf>,
    /// Where the report goes.
    pub report: Option<PathBuf>,
    /// Where the journal goes.
    pub journal: Option<PathBuf>,
    /// What stdout gets.
    pub format: Format,
    /// Trade units asked for.
    pub trade: bool,
}

impl From<args::Run> for Run {
    fn from(typed: args::Run) -> Self {
        Self {
            files: typed.files.into(),
            what: match typed.replay {
                Some(path) => What::Replay(path),
                None => What::Cycle {
                    scenario: typed.scenario,
                    seed: typed.seed,
                    draw: typed.draw,
                    // The parser lets nothing else through.
                    substeps: Substeps::new(typed.step).unwrap_or_default(),
                    warm: typed.warm,
                    board: typed.on_board,
                },
            },
            trace: typed.trace,
            report: typed.report,
            journal: typed.journal,
            format: typed.format,
            trade: typed.units == Units::Trade,
        }
    }
}

/// `run --shrink` as meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shrink {
    /// Recipe, machine and batch.
    pub files: Files,
    /// The journal to shorten.
    pub journal: PathBuf,
    /// Where the shortened one goes.
    pub output: PathBuf,
}

impl Shrink {
    /// From what was typed, if that is what was asked for.
    #[must_use]
    pub fn new(typed: &args::Run) -> Option<Self> {
        Some(Self {
            files: typed.files.clone().into(),
            journal: typed.shrink.clone()?,
            output: typed.output.clone()?,
        })
    }
}

/// What `tune` tunes for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TuneSource {
    /// The line that the machine file declares.
    Declared,
    /// A log file.
    Log(PathBuf),
    /// An experiment on the simulated machine.
    Experiment(Kind),
}

/// What `tune` does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TuneWhat {
    /// Finds gains.
    Gains {
        /// Machine file.
        machine: Option<PathBuf>,
        /// What they are for.
        source: TuneSource,
        /// Puts them into the machine file.
        write: bool,
    },
    /// Compares two machine files' gains.
    Compare {
        /// Old machine file.
        old: PathBuf,
        /// New machine file.
        new: PathBuf,
    },
}

/// `tune` as meant.
#[derive(Clone, Debug, PartialEq)]
pub struct Tune {
    /// What is done.
    pub what: TuneWhat,
    /// Batch file.
    pub batch: Option<PathBuf>,
    /// How a log is read.
    pub import: ImportOptions,
    /// Corner of the load filter, Hz, where only a log is known.
    pub filter: Option<f64>,
    /// Known dead time of a log's line, s.
    pub dead_time: Option<f64>,
    /// How the work is done.
    pub options: Effort,
    /// Where the page goes.
    pub report: ReportTo,
    /// What stdout gets.
    pub format: Format,
}

impl Tune {
    /// From what was typed. `processors` is how many threads are used when none were asked for.
    ///
    /// # Errors
    /// Columns or units that are not given as WHAT=NAME; a batch without a machine.
    pub fn new(typed: args::Tune, processors: usize) -> Result<Self, Failure> {
        let mut import = ImportOptions {
            before: typed.before,
            ..ImportOptions::default()
        };
        for (option, texts, set) in [
            (
                "--column",
                &typed.column,
                ImportOptions::column as fn(&mut ImportOptions, &str) -> Result<(), String>,
            ),
            ("--unit", &typed.unit, ImportOptions::unit),
        ] {
            for text in texts {
                set(&mut import, text).map_err(|error| {
                    Failure::new(
                        format!("{option} {error}"),
                        "name what it is for, an equals sign, and the name",
                    )
                })?;
            }
        }
        if typed.batch.is_some() && typed.machine.is_none() && typed.compare.is_none() {
            return Err(Failure::new(
                "--batch is for trials on a machine, and there is none",
                "name the machine file too, or leave --batch out",
            ));
        }
        if typed.runs.is_some() && typed.machine.is_none() && typed.compare.is_none() {
            return Err(Failure::new(
                "--runs is for runs on a machine, and there is none: a log alone is tuned on lines",
                "name the machine file too, or leave --runs out",
            ));
        }
        let usual = Effort::usual(typed.threads.map_or(processors.max(1), usize::from));
        let what = match (typed.compare.as_deref(), typed.from, typed.experiment) {
            (Some([old, new]), ..) => TuneWhat::Compare {
                old: old.clone(),
                new: new.clone(),
            },
            (_, from, experiment) => TuneWhat::Gains {
                machine: typed.machine,
                source: match (from, experiment) {
                    (Some(path), _) => TuneSource::Log(path),
                    (None, Some(kind)) => TuneSource::Experiment(match kind {
                        args::Experiment::Step => Kind::Step,
                        args::Experiment::DoubleStep => Kind::DoubleStep,
                        args::Experiment::Relay => Kind::Relay,
                    }),
                    (None, None) => TuneSource::Declared,
                },
                write: typed.write,
            },
        };
        // At most a million, far below any usize.
        let runs = typed.runs.map_or(usual.runs, |runs| {
            usize::try_from(runs).unwrap_or(usize::MAX)
        });
        Ok(Self {
            what,
            batch: typed.batch,
            import,
            filter: typed.filter,
            dead_time: typed.dead_time,
            options: Effort {
                runs,
                compare: usual.compare.min(runs),
                shade: usual.shade.min(runs),
                seed: typed.seed,
                ..usual
            },
            report: ReportTo::new(typed.report, typed.no_report),
            format: typed.format,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_waiver_needs_a_known_code_and_a_reason() {
        let one = |code: &str, reason: &str| waivers(vec![code.into()], vec![reason.into()]);
        assert_eq!(
            one("creep-too-fast", "soft pads"),
            Ok(vec![Waiver {
                code: "creep-too-fast".into(),
                reason: "soft pads".into()
            }])
        );
        assert!(one("creep-too-fast", "  ").is_err());
        let unknown = one("creep-to-fast", "soft pads").map_err(|failure| failure.text(false));
        assert!(
            unknown
                .as_ref()
                .is_err_and(|text| text.contains("`creep-too-fast`")),
            "{unknown:?}"
        );
        assert!(waivers(vec!["creep-too-fast".into()], Vec::new()).is_err());
        assert!(waivers(Vec::new(), vec!["soft pads".into()]).is_err());
    }
}
