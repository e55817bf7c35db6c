//! The whole job: from a machine, a log or an experiment to a [`TuneReport`].

use super::candidates::{Broken, Controller, Corner, Lines};
use super::contradiction;
use super::effort::{Effort, Progress, TuneError};
use super::experiment::{Kind, NoRecording, Recording, experiment};
use super::identify::{self, Identification, Refusal, identify, simulate};
use super::import::Log;
use super::judge::JudgeError;
use super::recommend::{Nothing, Recommendation, recommend};
use super::trial::{Plan, Trial};
use super::typed::Units;
use twinplate_check::finding::significant;
use twinplate_linear::line::Defect;
use twinplate_linear::model::{Order, ProcessModel};
use twinplate_sim::math::max;
use twinplate_sim::model::{Batch, Machine, Shown};

/// What to tune.
#[derive(Clone, Debug)]
pub struct Request<'a> {
    /// Machine; without it there is a log, and no judging on the real controller.
    pub machine: Option<&'a Machine>,
    /// Batch; stand-in blocks without it.
    pub batch: Option<&'a Batch>,
    /// What the gains are tuned for.
    pub source: Source,
    /// Corner of the controller's load filter, Hz, where only a log is known.
    pub filter: Option<f64>,
    /// Dead time of a log's line where it is known, s: held, not fitted.
    pub dead_time: Option<f64>,
    /// How.
    pub options: Effort,
}

/// What the gains are tuned for.
#[derive(Clone, Debug)]
pub enum Source {
    /// The line that the machine file declares.
    Declared,
    /// A log.
    Log(Box<Log>),
    /// An experiment on the simulated machine.
    Experiment(Kind),
}

/// A log and the model found in it.
#[derive(Clone, Debug, PartialEq)]
pub struct LogStudy {
    /// The log.
    pub log: Log,
    /// Fits, noise, hysteresis, warnings.
    pub found: Identification,
    /// Answer of the chosen fit at every sample of the log, output unit.
    pub curve: Vec<f64>,
}

/// Everything that was done and found.
#[derive(Clone, Debug, PartialEq)]
pub struct TuneReport {
    /// Machine's identifier and title.
    pub machine: Option<[String; 2]>,
    /// Batch's title; of the stand-in blocks, too.
    pub batch: Option<String>,
    /// The trial's loads and times.
    pub plan: Option<Plan>,
    /// What the gains were tuned for, in words.
    pub tuned_for: String,
    /// The log, where there was one, or the experiment's.
    pub log: Option<LogStudy>,
    /// The experiment, where there was one.
    pub experiment: Option<Recording>,
    /// What log and machine file contradict each other in: value and nearest bound of what the file admits. Nothing is recommended then,
    /// and nothing was run.
    pub contradicts: Vec<Broken>,
    /// Things to know, one sentence each.
    pub notes: Vec<String>,
    /// Unit of the command, and of the output.
    pub units: [String; 2],
    /// Seed, runs, threads.
    pub options: Effort,
    /// Candidates and answer.
    pub recommendation: Recommendation,
}

/// Why nothing came of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Failed {
    /// The log carries no model.
    Refused(Refusal),
    /// Log and machine do not speak of the same: what is wrong, how to mend it.
    Units(String, String),
    /// The experiment could not be made.
    Recording(NoRecording),
    /// The gains could not be tuned.
    Tune(TuneError),
}

impl TuneReport {
    /// The units that it is told in.
    #[must_use]
    pub fn told(&self) -> Units {
        match (&self.log, &self.machine) {
            (Some(study), None) => Units::of_log(&study.log),
            _ => Units::of_machine(&self.options.shown),
        }
    }
}

impl From<TuneError> for Failed {
    fn from(error: TuneError) -> Self {
        Self::Tune(error)
    }
}

/// Does the whole job.
///
/// # Errors
/// A log without a model, an experiment that was ended, a machine that cannot be put to the trial.
pub fn tune(request: &Request, progress: Progress) -> Result<TuneReport, Failed> {
    let trial = request
        .machine
        .map(|machine| Trial::new(machine, request.batch))
        .transpose()
        .map_err(|error| Failed::Tune(TuneError::Judge(JudgeError::Trial(error))))?;
    let Found {
        lines,
        tuned_for,
        log,
        experiment,
        notes,
        contradicts,
    } = find(request)?;
    // The trial runs the file's machine, which is not the log's: what it showed would say nothing of the logged line.
    let trial = trial.filter(|_| contradicts.is_empty());
    let present = request.machine.and_then(|machine| machine.gains);
    let mut recommendation =
        recommend(&lines, trial.as_ref(), present, &request.options, progress)?;
    if let Some(binds) = contradicts.first() {
        recommendation.answer = Err(Nothing {
            nearest: recommendation.shown_index(),
            binds: binds.clone(),
            freeing: Vec::new(),
        });
    }
    let units = match (&log, request.machine) {
        (Some(study), None) => [1, 2].map(|n| {
            study.log.columns[n]
                .log_unit
                .clone()
                .unwrap_or_else(|| ["command unit", "output unit"][n - 1].to_owned())
        }),
        _ => ["1", "N"].map(str::to_owned),
    };
    Ok(TuneReport {
        machine: request
            .machine
            .map(|machine| [machine.id.clone(), machine.title.clone()]),
        batch: trial
            .as_ref()
            .map(|trial| trial.title(&request.options.shown)),
        plan: trial.as_ref().map(|trial| trial.plan),
        tuned_for,
        log,
        experiment,
        contradicts,
        notes,
        units,
        options: request.options,
        recommendation,
    })
}

/// The lines to tune for and where they came from.
struct Found {
    lines: Lines,
    tuned_for: String,
    log: Option<LogStudy>,
    experiment: Option<Recording>,
    notes: Vec<String>,
    contradicts: Vec<Broken>,
}

fn find(request: &Request) -> Result<Found, Failed> {
    match (&request.source, request.machine) {
        (Source::Log(log), machine) => from_log(
            log,
            machine,
            request.filter,
            request.dead_time,
            &request.options.shown,
        ),
        (Source::Declared, Some(machine)) => Ok(Found {
            lines: Lines::declared(machine),
            tuned_for: "the line that the machine file declares".to_owned(),
            log: None,
            experiment: None,
            notes: Vec::new(),
            contradicts: Vec::new(),
        }),
        (Source::Experiment(kind), Some(machine)) => {
            from_experiment(*kind, machine, request.batch, &request.options)
        }
        (Source::Declared | Source::Experiment(_), None) => Err(Failed::Units(
            "there is neither a machine nor a log".to_owned(),
            "name a machine file, or a log with --from".to_owned(),
        )),
    }
}

fn study(log: &Log, dead_time: Option<f64>, units: &Units) -> Result<LogStudy, Failed> {
    let options = identify::FitPlan {
        dead_time,
        ..identify::FitPlan::default()
    };
    let found =
        identify(log, &options).map_err(|refusal| Failed::Refused(refusal.answered(units)))?;
    Ok(LogStudy {
        curve: simulate(log, found.chosen()),
        log: log.clone(),
        found,
    })
}

fn from_log(
    log: &Log,
    machine: Option<&Machine>,
    filter: Option<f64>,
    dead_time: Option<f64>,
    shown: &Shown,
) -> Result<Found, Failed> {
    let units = if machine.is_some() {
        must_be_share_and_newtons(log)?;
        Units::of_machine(shown)
    } else {
        Units::of_log(log)
    };
    let mut study = study(log, dead_time, &units)?;
    if let Some(machine) = machine {
        let slewed = contradiction::slewed(&study.found.chosen().model, machine, log);
        study.found.warnings.extend(slewed);
    }
    let controller = Controller {
        filter: machine.map(|m| m.control.filter).or(filter),
        core: machine.is_some(),
    };
    let fitted = study.found.chosen();
    let parameters = &fitted.parameters;
    let intervals = [
        parameters.gain,
        parameters.tau1,
        parameters.tau2,
        parameters.dead_time,
    ]
    .map(|estimate| [estimate.low, estimate.high]);
    let mut lines = Lines::fitted(&fitted.model, intervals, &controller).map_err(defect)?;
    let mut notes = Vec::new();
    let mut contradicts = Vec::new();
    if let Some(known) = dead_time {
        notes.push(format!(
            "The dead time of {known} s is held as it was given; lags and gain are fitted beside it."
        ));
    }
    if controller.filter.is_none() {
        notes.push(
            "No filter was named: the gains are for a plain PI that answers at once. What filters and samples in the loop eats delay margin: \
             name the load filter's corner with --filter, or name the machine file, which has it."
                .to_owned(),
        );
    }
    let period = period(log);
    if machine.is_none() && fitted.model.order != Order::Integrating && parameters.tau1.low < period
    {
        notes.push(format!(
            "The lag's interval reaches under one sample ({} s): as far as the log tells, the output may answer almost at once, and gains \
             that hold there are cautious. A longer, quicker or cleaner log would allow bolder ones.",
            significant(period, 3)
        ));
    }
    if let Some(machine) = machine {
        lines.limits = Lines::declared(machine).limits;
        lines.corners = widened(&fitted.model, machine, &controller)?;
        notes.push(
            "The corners are the fitted model's with the machine file's envelope; the trial runs on the machine as its file declares it."
                .to_owned(),
        );
        let against = contradiction::find(fitted, machine, log, period, shown);
        notes.extend(against.notes);
        contradicts = against.contradicts;
    }
    Ok(Found {
        lines,
        tuned_for: format!("the model found in the log: {}", fitted.words),
        log: Some(study),
        experiment: None,
        notes,
        contradicts,
    })
}

fn from_experiment(
    kind: Kind,
    machine: &Machine,
    batch: Option<&Batch>,
    options: &Effort,
) -> Result<Found, Failed> {
    let recording = experiment(kind, machine, batch, options.seed).map_err(Failed::Recording)?;
    let notes = vec![
        "The experiment was made on the simulated machine. On a real one it is made under the maker's rules, by licensed practice."
            .to_owned(),
    ];
    if let Some(reading) = recording.relay {
        // The relay saw the load behind the filter: cell, filter and holding are in the model.
        let controller = Controller::default();
        let mut lines = Lines::fitted(
            &reading.exact,
            [
                [reading.exact.gain; 2],
                [reading.exact.tau1; 2],
                [0.0; 2],
                [reading.exact.dead_time; 2],
            ],
            &controller,
        )
        .map_err(defect)?;
        // Its filter is part of the model's dead time, so what noise does cannot be told from it; the trial shows the travel.
        lines.corners = widened(&reading.exact, machine, &controller)?;
        lines.limits.overshoot = f64::INFINITY;
        return Ok(Found {
            lines,
            tuned_for: "the lag with dead time that has exactly the relay's cycle".to_owned(),
            log: None,
            experiment: Some(recording),
            notes,
            contradicts: Vec::new(),
        });
    }
    let log = Log::from_samples(
        recording.time_s.clone(),
        recording.command.clone(),
        recording.output.clone(),
        ["1", "N"],
    );
    let mut found = from_log(&log, Some(machine), None, None, &options.shown)?;
    found.tuned_for = format!(
        "the model found in the {} experiment: {}",
        kind.word(),
        found
            .log
            .as_ref()
            .map_or("", |study| study.found.chosen().words.as_str())
    );
    found.notes.extend(notes);
    // It was made on the machine of the file: what differs is what the step did to the model, and no other machine.
    found.notes.extend(
        found
            .contradicts
            .drain(..)
            .map(|apart| contradiction::words(&apart, &options.shown)),
    );
    found.experiment = Some(recording);
    Ok(found)
}

const fn defect(defect: Defect) -> Failed {
    Failed::Tune(TuneError::Defect(defect))
}

/// Mean distance of a log's samples, s.
fn period(log: &Log) -> f64 {
    log.time_s
        .first()
        .zip(log.time_s.last())
        .map_or(0.0, |(from, to)| {
            (to - from) / max(log.time_s.len() as f64 - 1.0, 1.0)
        })
}

/// A fitted model's corners by a machine's envelope.
fn widened(
    model: &ProcessModel,
    machine: &Machine,
    controller: &Controller,
) -> Result<Vec<Corner>, Failed> {
    let envelope = &machine.envelope;
    let around = |value: f64, half: f64| [value * (1.0 - half), value * (1.0 + half)];
    let intervals = [
        around(model.gain, envelope.regulator_gain),
        around(model.tau1, envelope.lag),
        around(model.tau2, envelope.lag),
        around(model.dead_time, envelope.dead_time),
    ];
    Lines::fitted(model, intervals, controller)
        .map(|lines| lines.corners)
        .map_err(defect)
}

/// A machine's controller speaks of shares of full scale and newtons.
fn must_be_share_and_newtons(log: &Log) -> Result<(), Failed> {
    for (column, wanted, example) in [(1, "1", "--unit command=%"), (2, "N", "--unit output=N")] {
        let found = log.columns[column].log_unit.as_deref();
        if found != Some(wanted) {
            return Err(Failed::Units(
                format!(
                    "column `{}` of the log is in {}; beside a machine the command is a share of full scale and the output a load",
                    log.columns[column].name,
                    found.map_or("a unit that is not named", |unit| unit)
                ),
                format!("name its unit, such as {example}, or tune without the machine"),
            ));
        }
    }
    Ok(())
}
