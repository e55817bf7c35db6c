//! Runs with the controller on the emulated board, beside the same runs with the controller in this process.

use super::Failure;
use crate::report::wrap;
use firmware_core::params::CheckedParams;
use firmware_core::units::Ticks;
use serde::Serialize;
use std::fmt::Write as _;
use std::path::Path;
use twinplate_board::{BoardError, OnBoard, OnBoardError, PhaseLoad};
use twinplate_check::trials::TrialRun;
use twinplate_sim::bench::{
    Drawn, Job, NoRecorder, Outcome, Recorder, Settled, Setup, run, run_cycle,
};
use twinplate_sim::flash::Flash;
use twinplate_sim::model::Scenario;

/// Script that makes the image.
const SCRIPT: &str = "firmware-core/board/build";

/// What came of runs on the board.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BoardReport {
    runs: Vec<Repeated>,
    /// Instructions of a tick by phase, all of them together last.
    instructions: Vec<Instructions>,
    /// Deepest use of the stack, bytes, what the line to the bench takes included.
    stack_bytes: u32,
}

/// One run, done twice.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Repeated {
    /// Number of the draw; 0 is the machine as its file says.
    draw: u64,
    /// Plates were warm from batches before.
    warm: bool,
    /// Control hash on the board.
    board: String,
    /// Control hash in this process.
    process: String,
}

/// Instructions of the ticks of one phase.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Instructions {
    /// The phase; `null` for all of them.
    phase: Option<&'static str>,
    ticks: u64,
    least: u32,
    mean: f64,
    /// As many as 999 of 1000 ticks take at most.
    p999: u32,
    most: u32,
}

impl From<PhaseLoad> for Instructions {
    fn from(load: PhaseLoad) -> Self {
        Self {
            phase: load.phase.map(|phase| phase.word()),
            ticks: load.ticks,
            least: load.least,
            mean: load.mean,
            p999: load.nearly_all,
            most: load.most,
        }
    }
}

/// Starts a board with a job's controller.
///
/// # Errors
/// No image, no emulator, or an image of another version.
pub fn start(image: &Path, job: &Job) -> Result<OnBoard, Failure> {
    OnBoard::new(image, job.params.clone()).map_err(|error| none(&error))
}

/// [`start`] with this in the board's flash. A silence of so many ticks ends a session of its line; none: no line is fitted.
///
/// # Errors
/// As there.
pub fn holding(
    image: &Path,
    params: &CheckedParams,
    stored: &Flash,
    silence: Option<Ticks>,
) -> Result<OnBoard, Failure> {
    OnBoard::holding(image, params.clone(), stored, silence).map_err(|error| none(&error))
}

/// Why there is no board, and what to do.
fn none(error: &OnBoardError) -> Failure {
    let cure = match error {
        OnBoardError::Board(BoardError::NoImage(_)) => {
            format!("make it from the sources: {SCRIPT} prints its path")
        }
        OnBoardError::Board(BoardError::NoEmulator) => {
            format!("{SCRIPT} installs it on Debian; everything else works without it")
        }
        OnBoardError::Board(BoardError::Host(_)) | OnBoardError::Port(_) => {
            format!("make the image anew from the sources of this version: {SCRIPT}")
        }
    };
    Failure::new(error.to_string(), cure)
}

/// A run with the controller on a board, recorded, and what it came to beside the same run in this process.
///
/// # Errors
/// No board, or one that stops answering.
pub fn recorded<R: Recorder>(
    image: &Path,
    setup: &Setup<'_>,
    scenario: Option<&Scenario>,
    recorder: R,
) -> Result<(Outcome, BoardReport), Failure> {
    let mut board = start(image, setup.job)?;
    let outcome = run(&mut board, setup, scenario, recorder).map_err(silent)?;
    let here = run_cycle(setup, scenario, NoRecorder).map_err(Failure::no_answer)?;
    let repeated = Repeated::new(setup, outcome.control_hash, here.control_hash);
    Ok((outcome, report(vec![repeated], &mut board)?))
}

/// Trials of a check again, with the controller on a board just started, beside their control hashes in this process.
///
/// # Errors
/// A board that stops answering.
pub fn repeated(
    mut board: OnBoard,
    job: &Job,
    seed: u64,
    runs: &[(TrialRun, u64)],
) -> Result<BoardReport, Failure> {
    let warm = runs.iter().any(|(trial, _)| trial.warm);
    let settled = warm.then(|| Settled::of(job, seed)).transpose();
    let settled = settled.map_err(Failure::no_answer)?;
    let mut done = Vec::new();
    for (index, (trial, hash)) in runs.iter().enumerate() {
        let mut setup = job.drawn(Drawn {
            seed,
            index: trial.draw,
        });
        if let Some(settled) = settled.as_ref().filter(|_| trial.warm) {
            setup = setup.warm(settled);
        }
        if index > 0 {
            board.restart().map_err(silent)?;
        }
        let outcome = run(&mut board, &setup, None, NoRecorder).map_err(silent)?;
        done.push(Repeated::new(&setup, outcome.control_hash, *hash));
    }
    report(done, &mut board)
}

fn silent(error: twinplate_sim::bench::PortError) -> Failure {
    Failure::new(
        error.to_string(),
        format!("make the image anew from the sources of this version: {SCRIPT}"),
    )
}

fn report(runs: Vec<Repeated>, board: &mut OnBoard) -> Result<BoardReport, Failure> {
    Ok(BoardReport {
        runs,
        instructions: board.load().table().into_iter().map(Into::into).collect(),
        stack_bytes: board.stack().map_err(silent)?,
    })
}

impl Repeated {
    fn new(setup: &Setup<'_>, board: u64, process: u64) -> Self {
        Self {
            draw: setup.drawn.map_or(0, |drawn| drawn.index),
            warm: setup.plates.is_some(),
            board: format!("{board:#018x}"),
            process: format!("{process:#018x}"),
        }
    }

    fn same(&self) -> bool {
        self.board == self.process
    }
}

impl BoardReport {
    /// Every run was the same on the board.
    #[must_use]
    pub fn same(&self) -> bool {
        self.runs.iter().all(Repeated::same)
    }

    /// Text for a terminal.
    #[must_use]
    pub fn text(&self) -> String {
        let mut text = String::from("\n");
        let differ: Vec<&Repeated> = self.runs.iter().filter(|run| !run.same()).collect();
        let head = if differ.is_empty() {
            let (runs, hashes) = match self.runs.len() {
                1 => ("1 run".to_owned(), "the control hash"),
                count => (format!("{count} runs"), "each control hash"),
            };
            format!("On the board: {runs}, {hashes} the same as in this process.")
        } else {
            format!(
                "On the board: NOT THE SAME in {} of {} runs. The image was made from other sources, or its compiler makes \
                 another program of them.",
                differ.len(),
                self.runs.len()
            )
        };
        for line in wrap(&head, 80) {
            let _ = writeln!(text, "{line}");
        }
        for run in differ {
            let warm = if run.warm { ", warm plates" } else { "" };
            let _ = writeln!(
                text,
                "  draw {}{warm}: {} on the board, {} here",
                run.draw, run.board, run.process
            );
        }
        let _ = writeln!(
            text,
            "{:<22}{:>10}{:>8}{:>8}{:>8}{:>8}",
            "instructions a tick", "ticks", "least", "mean", "99.9 %", "most"
        );
        for row in &self.instructions {
            let _ = writeln!(
                text,
                "  {:<20}{:>10}{:>8}{:>8.0}{:>8}{:>8}",
                row.phase.unwrap_or("all phases"),
                row.ticks,
                row.least,
                row.mean,
                row.p999,
                row.most
            );
        }
        let _ = writeln!(
            text,
            "stack {} bytes at most, the bench's line included",
            self.stack_bytes
        );
        text
    }
}
