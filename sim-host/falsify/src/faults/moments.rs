//! The nominal cycle, with a snapshot at three moments of every phase of the ladder.

use super::due::Due;
use firmware_core::sequence::{Command, Phase, Request, State};
use firmware_core::signal::TARE_TICKS;
use twinplate_check::case::Case;
use twinplate_check::coast::longest_coast;
use twinplate_sim::bench::scenario::{CONFIRM_TICK, RESET_TICK, START_TICK};
use twinplate_sim::bench::{Action, Bench, InProcess, PortError, Setup};
use twinplate_sim::plant::Harm;

/// The bench that the matrix forks: the second reading of the interlock table goes along.
pub type Rig = Bench<InProcess, Due>;

/// How far into its phase a fault begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Moment {
    /// After a tenth of the phase.
    Early,
    /// In its middle.
    Middle,
    /// After nine tenths.
    Late,
}

/// The three moments in order.
pub const MOMENTS: [Moment; 3] = [Moment::Early, Moment::Middle, Moment::Late];

impl Moment {
    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Early => "early",
            Self::Middle => "middle",
            Self::Late => "late",
        }
    }

    /// Tenths of the phase that are over.
    const fn tenths(self) -> u32 {
        match self {
            Self::Early => 1,
            Self::Middle => 5,
            Self::Late => 9,
        }
    }
}

/// A column of the matrix: a phase of the ladder, or one of its two ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Column {
    /// Idle, parts loaded, before the start.
    Idle,
    /// A phase of a running cycle.
    Running(Phase),
    /// Complete, plate raised and pinned.
    Complete,
}

impl Column {
    /// Its name, the phase's or the state's.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Idle => State::Idle.name(),
            Self::Running(phase) => phase.name(),
            Self::Complete => State::Complete.name(),
        }
    }

    /// Its word for people, in a row with those of the phases.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Idle | Self::Complete => self.name(),
            Self::Running(phase) => phase.word(),
        }
    }
}

/// The column of a phase.
pub(super) const fn at(phase: Phase) -> Column {
    Column::Running(phase)
}

/// The columns in the order of the ladder.
pub const COLUMNS: [Column; 14] = [
    Column::Idle,
    Column::Running(Phase::Precheck),
    Column::Running(Phase::Lower),
    Column::Running(Phase::TouchDown),
    Column::Running(Phase::SlurryPrestart),
    Column::Running(Phase::RunUp),
    Column::Running(Phase::LoadRamp),
    Column::Running(Phase::Dwell),
    Column::Running(Phase::LoadRelease),
    Column::Running(Phase::Rinse),
    Column::Running(Phase::RunDown),
    Column::Running(Phase::SlurryStop),
    Column::Running(Phase::Lift),
    Column::Complete,
];

/// A snapshot to fork from.
#[derive(Clone, Debug)]
pub struct Snapshot {
    /// In which column.
    pub column: Column,
    /// At which moment.
    pub moment: Moment,
    /// The bench as it stood.
    pub rig: Rig,
}

/// What a fork is compared with.
#[derive(Clone, Debug)]
pub struct Nominal {
    /// Snapshots in the order of [`COLUMNS`] and [`MOMENTS`]; a phase that the recipe does not have is missing.
    pub snapshots: Vec<Snapshot>,
    /// Ticks to Complete.
    pub ticks: u32,
    /// Mean thickness of the parts at the end, m.
    pub thickness: f64,
    /// Highest true load of the cycle, N.
    pub peak: f64,
    /// Harm of the undisturbed cycle: there must be none.
    pub harm: Harm,
    /// Longest coast after a power cut at resting load, s: at the least friction of the envelope.
    pub coast: f64,
}

/// Ticks of a cycle at most: half an hour.
const LONGEST: u32 = 1_800_000;
/// Ticks after which the controller, reset, has settled in Idle.
const SETTLED: u32 = 10;
/// The operator's first start, before the parts are counted: the precheck weighs the plate and passes nothing. So the machine is one that
/// knows what its plate weighs, as any but the first batch after power-up finds it.
const WEIGHED_FROM: u32 = START_TICK;
/// That start is stopped again: the plate has been weighed.
const WEIGHED: u32 = WEIGHED_FROM + TARE_TICKS + SETTLED;
/// Reset, counted and started in earnest, after one another as by the book.
const READY: u32 = WEIGHED + SETTLED;
const CONFIRMED: u32 = READY + (CONFIRM_TICK - RESET_TICK);
const STARTED: u32 = READY + (START_TICK - RESET_TICK);
/// Ticks of Complete over which the three moments are spread.
const COMPLETE_FOR: u32 = 2000;

/// Runs the nominal cycle with the controller that `controller` makes, and takes the snapshots. `None` where it does not complete.
///
/// # Errors
/// What the port reports.
pub fn nominal(
    setup: &Setup<'_>,
    controller: &dyn Fn(&Setup<'_>) -> InProcess,
) -> Result<Option<Nominal>, PortError> {
    let Some(times) = first_pass(start(setup, controller(setup)))? else {
        return Ok(None);
    };
    let mut rig = start(setup, controller(setup));
    let mut snapshots = Vec::with_capacity(times.len());
    for (column, moment, tick) in times {
        rig.advance(tick.saturating_sub(rig.tick()))?;
        snapshots.push(Snapshot {
            column,
            moment,
            rig: rig.clone(),
        });
    }
    let summary = rig.summary();
    Ok(Some(Nominal {
        snapshots,
        ticks: rig.tick(),
        thickness: summary.parts.mean,
        peak: summary.peak_load.value,
        harm: summary.harm,
        coast: longest_coast(&Case {
            machine: &setup.job.machine,
            batch: &setup.job.batch,
            recipe: &setup.job.recipe,
        })
        .1,
    }))
}

fn start(setup: &Setup<'_>, controller: InProcess) -> Rig {
    let mut rig = setup.bench(controller, Due::new(setup.job));
    let confirm = Request::ConfirmParts {
        pieces: setup.job.compiled.pieces,
    };
    for (tick, action) in [
        (RESET_TICK, Action::Command(Command::Reset)),
        (WEIGHED_FROM, Action::Command(Command::Start)),
        (WEIGHED, Action::Command(Command::Stop)),
        (READY, Action::Command(Command::Reset)),
        (CONFIRMED, Action::Request(Box::new(confirm))),
        (STARTED, Action::Command(Command::Start)),
    ] {
        rig.act_at(tick, action);
    }
    rig
}

/// A snapshot to take: where, and at which tick.
type Planned = (Column, Moment, u32);

/// Finds the phases' times: the ticks of all moments, in order.
fn first_pass(mut rig: Rig) -> Result<Option<Vec<Planned>>, PortError> {
    while rig.step()?.state != State::Complete {
        if rig.tick() > LONGEST {
            return Ok(None);
        }
    }
    let complete = rig.tick();
    let summary = rig.summary();
    let mut times = Vec::new();
    for column in COLUMNS {
        let span = match column {
            Column::Idle => Some((READY + SETTLED, STARTED)),
            Column::Complete => Some((complete, complete + COMPLETE_FOR)),
            Column::Running(phase) => longest_of(&summary, phase),
        };
        let Some((from, to)) = span else { continue };
        for moment in MOMENTS {
            times.push((column, moment, from + (to - from) * moment.tenths() / 10));
        }
    }
    times.sort_by_key(|(_, _, tick)| *tick);
    Ok(Some(times))
}

/// Where a phase is entered more than once, the stretch in the step with the highest setpoint stands for all: most can go wrong there.
fn longest_of(summary: &twinplate_sim::bench::Summary, phase: Phase) -> Option<(u32, u32)> {
    let load = |step: u8| {
        summary
            .steps
            .get(usize::from(step))
            .map_or(0.0, |step| step.setpoint)
    };
    summary
        .intervals
        .iter()
        .filter(|interval| interval.phase == phase && interval.state == State::Running)
        .max_by(|a, b| load(a.step).total_cmp(&load(b.step)))
        .map(|interval| (interval.start, interval.end))
}
