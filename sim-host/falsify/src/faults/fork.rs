//! One fork: a fault in a copy of the nominal bench, followed until its outcome is settled, and what was seen on the way.

use super::ahead::{Ahead, MET, Stood};
use super::due::Silent;
use super::moments::{Nominal, Rig};
use super::witness::Witness;
use firmware_core::interlock::{Cond, ROWS, Row, TABLE};
use firmware_core::sequence::{Phase, State};
use firmware_core::status::{Response, Status};
use twinplate_sim::bench::{Action, Ended, Job, PortError, RefusedBy, TickView};
use twinplate_sim::math::abs;
use twinplate_sim::model::Fault;
use twinplate_sim::plant::Harm;
use twinplate_sim::plant::harm::TURNING;

/// Ticks that an end must have lasted before it is believed.
const SETTLED: u32 = 1500;
/// Ticks after which a cycle that the fault began in Complete is over.
const IN_COMPLETE: u32 = 5000;
/// Ticks beyond the nominal cycle that a fork may take, the machine's own deadlines for the plate's ways apart: longer than all other
/// deadlines of the ladder after one another.
const BEYOND: u32 = 200_000;
/// Ticks that a stop may take at least before it counts as one that never ends.
const NEVER: u32 = 60_000;
/// Ticks after the last deadline of a stop in which its row has been told.
const TOLD: u32 = 5_000;
/// What the drive dog and the noise may hold beside the seals' breakaway, N (as in the property tests).
const GIVE: f64 = 3.0;
/// The plate's slow looks: every so many ticks.
const LOOK: u32 = 50;
/// A plate slower than this stands, m/s. A cylinder whose air settles creeps by less than a millimetre altogether. Invented.
pub(super) const PLATE_STANDS: f64 = 2e-4;

/// A row that asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trip {
    /// Index in the interlock table.
    pub index: usize,
    /// What it asks for on this machine.
    pub response: Response,
    /// Ticks after the fault.
    pub after: u32,
    /// The sequencer stood in the state that the response asks for in the same tick.
    pub taken: bool,
    /// Phase in which it was asked.
    pub phase: Phase,
}

impl Trip {
    /// The row.
    #[must_use]
    pub fn row(&self) -> &'static Row {
        // The index comes from this table.
        TABLE.get(self.index).unwrap_or(&TABLE[0])
    }
}

/// How a fork ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// The batch was completed.
    Complete,
    /// Held.
    Held,
    /// Stopped.
    Stopped,
    /// Aborted.
    Aborted,
    /// Not started: the start was refused.
    NotStarted,
    /// On its way when the bound was reached.
    Unsettled,
}

/// What a fork came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// First row that asked for anything at all.
    pub first: Option<Trip>,
    /// First row that asked for more than an alarm.
    pub acted: Option<Trip>,
    /// Ending.
    pub ending: Ending,
    /// All rows that asked at some time, as bits in the table's order.
    pub rows: u64,
    /// What was truly passed, and who did not ask.
    pub witness: Witness,
    /// Rows that were due and did not ask, and the ticks after the fault in which they should have.
    pub silent: Vec<(Cond, u32)>,
    /// Ticks from the fault to the last in which anything turned.
    pub turned: u32,
    /// Ticks from the fault to the last in which the load was above resting load and what seals and dog may hold.
    pub loaded: u32,
    /// Ticks from the fault to the last in which the load was above the initial load and its band.
    pub pressed: u32,
    /// Ticks from the fault to the last look at which the plate moved, or was not yet where a stop leaves it.
    pub moved: u32,
    /// Ticks of the whole fork.
    pub ran: u32,
    /// Harm.
    pub harm: Harm,
    /// Worst distance under a step's limit, N; negative above it.
    pub margin: f64,
    /// Highest true load, N.
    pub peak: f64,
    /// Highest first contact, N.
    pub first_contact: f64,
    /// Mean thickness at the end less the nominal one, m; only for a completed batch.
    pub off_size: Option<f64>,
}

impl Seen {
    /// Ticks from the fault to the safe state: all still, load let go (held: at initial load), plate at rest. `None` where the
    /// cycle went on to its end, or no safe state was reached.
    #[must_use]
    pub fn safe_after(&self) -> Option<u32> {
        let load = match self.ending {
            Ending::Complete | Ending::Unsettled => return None,
            Ending::Held => self.pressed,
            Ending::Stopped | Ending::Aborted | Ending::NotStarted => self.loaded,
        };
        let last = load.max(self.turned).max(self.moved);
        (last + SETTLED / 2 < self.ran).then_some(last)
    }
}

/// Why a fault could not be tried at a moment.
#[derive(Clone, Debug, PartialEq)]
pub enum Tried {
    /// The plant refused it there.
    Refused(String),
    /// It ran.
    Ran(Box<Seen>),
}

/// What is looked at in every tick.
struct Look {
    since: u32,
    rest: f64,
    initial: f64,
    base: u64,
    estop_category: u8,
}

/// A fork that was followed.
#[derive(Debug)]
pub struct Followed {
    /// What was seen.
    pub tried: Tried,
    /// The bench as it was left, for its journal.
    pub rig: Rig,
    /// It met a later one: the bench was left there, and not at its end.
    pub met: bool,
    /// Where an earlier fork of the same fault can meet it.
    pub stood: Option<Stood>,
}

/// Injects `fault`, and `later` so many ticks after it, into the copy `rig` and follows it to its end, or to where it meets one of
/// `ahead`: later forks of the same fault, and no other beside it, the last of them first.
///
/// # Errors
/// What the port reports.
pub fn follow(
    mut rig: Rig,
    job: &Job,
    nominal: &Nominal,
    fault: Fault,
    later: Option<(u32, Fault)>,
    ahead: &[Ahead],
) -> Result<Followed, PortError> {
    let mut ahead = ahead.iter().rev().peekable();
    let mut stood = None;
    let since = rig.tick();
    let started_complete = rig.status().is_some_and(|s| s.state == State::Complete);
    rig.act(Action::Fault(fault));
    if let Some((after, fault)) = later {
        rig.act_at(since + after, Action::Fault(fault));
    }
    let look = Look::of(job, &rig, since);
    let mut seen = Seen::nothing();
    let mut place = (State::Idle, since);
    let mut phase = rig.status().map_or(Phase::Rest, |s| s.phase);
    let p = job.params.get();
    let bound = nominal.ticks.max(since) + BEYOND + p.travel_time.0 + p.lift_time.0;
    // The stop's own time, then the coast's: after that the controller has told that it does not end.
    let never = (p.stop_time.0 + p.coast_time.0 + TOLD).max(NEVER);
    while rig.tick() < bound {
        let status = rig.step()?;
        let (state, next) = (status.state, status.phase);
        if rig.tick() == since + 1
            && let Some(refused) = rig.refused().last()
            && let RefusedBy::Plant(why) = &refused.by
        {
            return Ok(Followed {
                tried: Tried::Refused(why.to_string()),
                rig,
                met: false,
                stood,
            });
        }
        if let Some(view) = rig.view() {
            seen.watch(&look, &view, &rig, job, phase);
        }
        phase = next;
        if rig.tick() == since + MET {
            stood = Stood::of(&rig, since, look.base, &seen);
        }
        while let Some(one) = ahead.next_if(|one| one.at() <= rig.tick()) {
            if one.at() == rig.tick()
                && let Some(whole) = one.met(&rig, since, look.base, &seen)
            {
                return Ok(Followed {
                    tried: Tried::Ran(Box::new(whole)),
                    rig,
                    met: true,
                    stood,
                });
            }
        }
        if place.0 != state {
            place = (state, rig.tick());
        }
        let lasted = rig.tick() - place.1.max(since);
        if let Some(ending) = settled(state, lasted, started_complete, rig.pending(), never) {
            seen.ending = ending;
            break;
        }
    }
    let ago = |silent: &Silent| (silent.row, silent.tick.saturating_sub(since));
    seen.silent = rig.recorder().silent().iter().map(ago).collect();
    seen.close(&rig, nominal, since);
    Ok(Followed {
        tried: Tried::Ran(Box::new(seen)),
        rig,
        met: false,
        stood,
    })
}

impl Look {
    /// Of a fork whose fault begins now, in the tick `since`.
    fn of(job: &Job, rig: &Rig, since: u32) -> Self {
        let a = &job.machine.actuator;
        let control = &job.machine.control;
        let band = twinplate_sim::math::max(
            control.band_newtons,
            control.band_share * control.initial_load,
        );
        Self {
            since,
            rest: a.resting_load() + a.seal_breakaway + GIVE,
            initial: control.initial_load + band + a.seal_breakaway,
            base: rig.status().map_or(0, |s| s.active | s.latched),
            estop_category: control.estop_category,
        }
    }
}

fn settled(
    state: State,
    lasted: u32,
    from_complete: bool,
    pending: bool,
    never: u32,
) -> Option<Ending> {
    let (ending, long) = match state {
        State::Complete if from_complete => (Ending::Complete, IN_COMPLETE),
        State::Complete => (Ending::Complete, SETTLED),
        State::Held => (Ending::Held, 2 * SETTLED),
        State::Stopped => (Ending::Stopped, 2 * SETTLED),
        State::Aborted => (Ending::Aborted, 2 * SETTLED),
        State::Idle => (Ending::NotStarted, 2 * SETTLED),
        State::Stopping | State::Aborting => (Ending::Unsettled, never),
        State::Running | State::Holding | State::Restarting => return None,
    };
    (lasted >= long && !pending).then_some(ending)
}

impl Seen {
    /// Before the first tick.
    fn nothing() -> Self {
        Self {
            first: None,
            acted: None,
            ending: Ending::Unsettled,
            rows: 0,
            witness: Witness::default(),
            silent: Vec::new(),
            turned: 0,
            loaded: 0,
            pressed: 0,
            moved: 0,
            ran: 0,
            harm: Harm::default(),
            margin: f64::INFINITY,
            peak: 0.0,
            first_contact: 0.0,
            off_size: None,
        }
    }

    /// `phase` is the one in which the tick began.
    fn watch(&mut self, look: &Look, view: &TickView<'_>, rig: &Rig, job: &Job, phase: Phase) {
        let (status, truth) = (view.status, &view.truth);
        let after = view.tick - look.since;
        let rows = (status.active | status.latched) & !look.base;
        self.rows |= rows;
        if rows != 0 && self.acted.is_none() {
            self.note(rows, after, status, look.estop_category, phase);
        }
        self.witness.look(job, view, self.rows);
        if truth.speeds.iter().any(|speed| abs(*speed) > TURNING) {
            self.turned = after;
        }
        if truth.load_without_runout > look.rest {
            self.loaded = after;
        }
        if truth.load_without_runout > look.initial {
            self.pressed = after;
        }
        if view.tick.is_multiple_of(LOOK) && abs(rig.plant().truth().plate_speed) > PLATE_STANDS {
            self.moved = after;
        }
    }

    fn note(&mut self, rows: u64, after: u32, status: &Status, estop_category: u8, phase: Phase) {
        let mut worst: Option<Trip> = None;
        for index in (0..ROWS).filter(|index| rows >> index & 1 == 1) {
            let Some(row) = TABLE.get(index) else {
                continue;
            };
            let response = row.response(estop_category);
            if worst.is_none_or(|trip| response > trip.response) {
                worst = Some(Trip {
                    index,
                    response,
                    after,
                    taken: taken(response, status),
                    phase,
                });
            }
        }
        self.first = self.first.or(worst);
        self.acted = worst.filter(|trip| trip.response > Response::Alarm);
    }

    fn close(&mut self, rig: &Rig, nominal: &Nominal, since: u32) {
        let summary = rig.summary();
        self.ran = rig.tick() - since;
        self.harm = summary.harm;
        self.margin = summary
            .worst_margin()
            .map_or(f64::INFINITY, |worst| worst.value);
        self.peak = summary.peak_load.value;
        self.first_contact = summary.first_contact;
        if self.ending == Ending::Complete {
            self.off_size = Some(summary.parts.mean - nominal.thickness);
        }
    }
}

/// The sequencer stands where a response sends it.
#[must_use]
pub const fn taken(response: Response, status: &Status) -> bool {
    let stopping = matches!(
        status.state,
        State::Stopping | State::Stopped | State::Aborting | State::Aborted
    );
    // Nothing to stop: no cycle is under way.
    let quiet = matches!(status.state, State::Idle | State::Complete);
    match response {
        Response::None | Response::Alarm | Response::StartInhibit | Response::StopAtStepEnd => true,
        Response::Hold => stopping || quiet || matches!(status.state, State::Holding | State::Held),
        Response::ControlledStop => stopping || quiet,
        Response::ImmediateStop => {
            quiet || matches!(status.state, State::Aborting | State::Aborted)
        }
    }
}

/// How a run that ended so is called by the bench.
#[must_use]
pub const fn ended(ending: Ending) -> Ended {
    match ending {
        Ending::Complete => Ended::Complete,
        Ending::Stopped => Ended::Stopped,
        Ending::Aborted => Ended::Aborted,
        Ending::NotStarted => Ended::NotStarted,
        Ending::Held | Ending::Unsettled => Ended::LongestTime,
    }
}
