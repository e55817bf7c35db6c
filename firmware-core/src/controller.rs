//! The controller: owns everything, and one tick reads top to bottom — signal, interlock, sequence, motion, events.
//!
//! `requests` takes what is no command, between two ticks; `outputs` turns goals into outputs; `form` keeps the plates' form;
//! `power_up` makes a controller, `report` fills the status.

mod form;
mod outputs;
mod power_up;
mod report;
mod requests;

use crate::events::{Event, EventKind, EventLog};
use crate::interlock::{Alarms, Annunciator, Conditions, Latch, Situation, Verdict};
use crate::judge::{Found, Judge, Scene, deadline};
use crate::math;
use crate::motion::{DriveSet, LoadLoop};
use crate::params::CheckedParams;
use crate::plate_form::Flatness;
use crate::process_image::{Inputs, Outputs};
use crate::recipe::{CheckedRecipe, StepWire};
use crate::sequence::{
    Command, Goals, Mode, Moved, Phase, Seen, Sequencer, SetupMove, State, StepMove, View,
};
use crate::signal::{Measured, Signal};
use crate::status::{Response, Status};
use crate::units::{Newtons, Ticks};
use form::{FormFound, thousandths};
use outputs::Aims;

/// Numbers of broken invariants.
const FAULT_SEQUENCE: i32 = 1;
const FAULT_LOOP: i32 = 2;

/// The recipe controller of one machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Controller {
    params: CheckedParams,
    recipe: Option<CheckedRecipe>,
    recipe_wrong: bool,
    /// What is known of the plates' form, and the ring setting in force.
    flatness: Flatness,
    /// What the recipe says of that form: worked out when either changes, not in every tick.
    form_found: FormFound,
    signal: Signal,
    latch: Latch,
    annunciator: Annunciator,
    judge: Judge,
    seq: Sequencer,
    /// What the sequencer asks for: follows from `seq`, computed when it changes.
    goals: Goals,
    /// What the goals and the present step come to in numbers: computed when either changes.
    aims: Aims,
    load_loop: LoadLoop,
    drives: DriveSet,
    events: EventLog,
    mode: Mode,
    step: u8,
    /// The present step, if a recipe is loaded and has it.
    current: Option<StepWire>,
    /// Limit of the step before, while the load is still coming down from it.
    old_limit: Option<Newtons>,
    /// Load limit in force this tick.
    limit: Newtons,
    pieces: u16,
    batches: u16,
    boots: u16,
    tick: u32,
    booted: bool,
    raise: bool,
    setup_move: Option<SetupMove>,
    guard_unlock: bool,
    remote_armed: bool,
    setup_key: bool,
    local_enable: bool,
    cause: u16,
    /// A broken invariant was found and its row has not been told yet.
    fault_is_new: bool,
    guard_shut: bool,
    outputs: Outputs,
    standstill: bool,
    vented: bool,
    status: Status,
}

impl Controller {
    /// One tick: inputs of this tick and at most one command give the outputs.
    // Taken in by whoever calls it, it would be made as that one is made: for size, on the board.
    #[inline(never)]
    pub fn tick(&mut self, inputs: &Inputs, command: Option<Command>) -> &Outputs {
        self.tick = self.tick.wrapping_add(1);
        if self.signal.hear(&inputs.drives) {
            self.drives.see(self.signal.speeds(), self.signal.torques());
        }
        let m = self.signal.measure(inputs, &self.params, self.tick);
        self.standstill = m.standstill;
        self.vented = m.vented;
        self.setup_key = inputs.setup_key;
        self.local_enable = inputs.local_enable;
        self.guard_shut = inputs.guard_a & inputs.guard_b & inputs.guard_locked;
        if !self.booted {
            self.boot(inputs.pin_in, m.load);
        }
        let found = self.look(inputs, &m);
        let verdict = self.ask_interlocks(inputs, &m, &found);
        self.sequence(inputs, &m, &found, verdict, command);
        self.act(inputs, &m);
        self.check_loop();
        self.report(&m, &found, verdict);
        &self.outputs
    }

    /// Outputs of the last tick; the safe ones before the first.
    #[must_use]
    pub const fn outputs(&self) -> &Outputs {
        &self.outputs
    }

    /// The controller's view of itself after the last tick.
    #[must_use]
    pub const fn status(&self) -> &Status {
        &self.status
    }

    /// What happened.
    #[must_use]
    pub const fn events(&self) -> &EventLog {
        &self.events
    }

    /// Alarms after the last tick.
    #[must_use]
    pub const fn alarms(&self) -> &Alarms {
        self.annunciator.alarms()
    }

    /// Parameters in force.
    #[must_use]
    pub const fn params(&self) -> &CheckedParams {
        &self.params
    }

    /// Takes interlock rows (bits in the table's order) out of the table, for tests that must see them missed.
    #[cfg(feature = "broken")]
    pub const fn leave_out(&mut self, rows: u64) {
        self.latch.leave_out(rows);
    }

    /// Batches completed since boot.
    #[must_use]
    pub const fn batches(&self) -> u16 {
        self.batches
    }

    /// Remote start is armed.
    #[must_use]
    pub const fn remote_armed(&self) -> bool {
        self.remote_armed
    }

    /// Sets the tick counter: for tests of its wrap.
    pub const fn set_tick(&mut self, tick: Ticks) {
        self.tick = tick.0;
    }

    fn boot(&mut self, parked: bool, load: f32) {
        self.booted = true;
        self.seq = Sequencer::power_up(parked, load > self.params.get().contact.get());
        self.check_sequence();
        self.log(EventKind::Boot, 0, i32::from(self.boots));
    }

    /// The load limit in force: the step's, or the step before's while the load is still coming down from it.
    fn load_limit(&mut self, load: f32) -> Newtons {
        let Some(step) = self.step_wire() else {
            return Newtons::new(f32::INFINITY);
        };
        let (limit, setpoint) = (step.load_limit, step.load);
        let Some(old) = self.old_limit else {
            return limit;
        };
        if load <= (setpoint + self.params.band(setpoint)).get() {
            self.old_limit = None;
            return limit;
        }
        Newtons::new(math::max(old.get(), limit.get()))
    }

    /// The least height that the plate can have, µm: on the parts, if it is known where they are, else on the other plate.
    fn lowest(&self) -> f32 {
        let tolerance = self.params.get().contact_tolerance;
        self.recipe
            .as_ref()
            .map_or(0.0, |r| (r.get().contact_height - tolerance).get())
    }

    const fn step_wire(&self) -> Option<&StepWire> {
        self.current.as_ref()
    }

    // ---- interlock: what is true, and what must not be

    fn look(&mut self, inputs: &Inputs, m: &Measured) -> Found {
        if self.seq.phase == Phase::Precheck && self.seq.state == State::Running {
            self.signal.learn_tare(inputs, &self.params);
        }
        let scene = Scene {
            inputs,
            m,
            seq: &self.seq,
            signal: &self.signal,
            load_loop: &self.load_loop,
            drives: &self.drives,
            params: &self.params,
            recipe: self.recipe.as_ref(),
            step: self.current.as_ref(),
            pieces: self.pieces,
            dump_shut: self.outputs.dump_shut,
            end_by_time: self.status.ends_by_time,
        };
        self.judge.look(&scene)
    }

    fn ask_interlocks(&mut self, inputs: &Inputs, m: &Measured, found: &Found) -> Verdict {
        self.limit = self.load_limit(m.load);
        let situation = Situation {
            load_limit: self.limit.get(),
            setpoint: self.aims.setpoint,
            drives: *self.drives.check(),
            powered: self.drives.powered(),
            dump_shut: self.outputs.dump_shut,
            gauge_ends: self.aims.gauge_ends,
            size_lower: self.aims.size_lower,
            remote_armed: self.remote_armed,
            recipe_wrong: self.recipe_wrong,
            form_beyond: self.form_found.beyond,
            form_overdue: self.form_found.overdue,
            plate: self.seq.plate,
            found: found.rows,
            // One tick is enough: the row latches, and a reset can release it.
            internal: core::mem::take(&mut self.fault_is_new),
        };
        let raw = Conditions::compare(inputs, m, &situation, &self.params);
        self.latch.see_channels(
            [inputs.estop_a, inputs.estop_b],
            [inputs.guard_a, inputs.guard_b],
        );
        let verdict = self.latch.follow(raw.0, self.seq.state, self.seq.phase);
        if verdict.risen != 0 {
            self.log(EventKind::Condition, verdict.risen, 0);
            if found.expired && self.seq.phase == Phase::Precheck {
                self.log(EventKind::Missing, verdict.risen, i32::from(found.missing));
            }
        }
        self.annunciator
            .update(self.latch.active() | self.latch.latched());
        if verdict.disarm_remote {
            self.remote_armed = false;
        }
        verdict
    }

    // ---- sequence: what next

    fn sequence(
        &mut self,
        inputs: &Inputs,
        m: &Measured,
        found: &Found,
        verdict: Verdict,
        command: Option<Command>,
    ) {
        let quiet = command.is_none() && !self.raise && verdict.response < Response::Hold;
        if quiet && found.view == View::Waiting && self.seq.waits() {
            return;
        }
        let recipe = self.recipe.as_ref();
        let done = found.view == View::Reached;
        let seen = Seen {
            command,
            raise: core::mem::take(&mut self.raise),
            view: found.view,
            response: verdict.response,
            // These three are read only when a phase is done: not worth working out in every tick.
            last_step: done && recipe.is_none_or(|r| r.is_last(self.step)),
            reverses: done && recipe.is_some_and(|r| r.reverses_after(self.step)),
            rinses: done && recipe.is_some_and(|r| r.get().rinse > Ticks::ZERO),
            standstill: m.standstill,
            flow: m.slurry_flow >= self.params.get().flow_min.get(),
            held: inputs.hold_to_run,
            manual: if inputs.setup_key && self.guard_shut && self.mode == Mode::Setup {
                self.setup_move
            } else {
                None
            },
            parked: inputs.pin_in,
            contact: found.contact,
            recipe: recipe.is_some(),
        };
        let before = self.seq;
        let moved = self.seq.next(&seen, self.mode);
        if before != self.seq {
            self.check_sequence();
        }
        self.follow_move(before, &moved, m.height, verdict, command);
    }

    fn follow_move(
        &mut self,
        before: Sequencer,
        moved: &Moved,
        height: f32,
        verdict: Verdict,
        command: Option<Command>,
    ) {
        match moved.step {
            StepMove::Stay => {}
            StepMove::First => {
                self.old_limit = None;
                self.go_to_step(0);
                self.judge.begin_step();
                self.signal.start_tare();
                self.cause = 0;
            }
            StepMove::Next => {
                self.old_limit = self.step_wire().map(|s| s.load_limit);
                self.go_to_step(self.step.saturating_add(1));
                self.judge.begin_step();
                self.log(EventKind::Step, 0, i32::from(self.step));
            }
        }
        if let Some(refusal) = moved.refused {
            self.log(EventKind::Refused, 0, i32::from(refusal as u16));
        }
        if moved.release {
            let left = self.latch.reset();
            self.log(
                EventKind::Reset,
                0,
                i32::try_from(left.count_ones()).unwrap_or(i32::MAX),
            );
            self.cause = 0;
        }
        if moved.departed {
            self.depart(verdict, command);
        } else if self.seq.ending && !before.ending && self.cause == 0 {
            // The stop comes when the plates stand; what asked for it may be gone by then.
            self.cause = self.latch.leading();
        }
        if before.phase != self.seq.phase || before.state != self.seq.state {
            self.on_entry(before, height);
        }
    }

    /// First-out: the first cause of a departure stays until the next start, restart or reset.
    fn depart(&mut self, verdict: Verdict, command: Option<Command>) {
        let by_command = matches!(
            command,
            Some(Command::Hold | Command::Stop | Command::Abort)
        );
        let cause = if verdict.response >= Response::Hold {
            self.latch.leading()
        } else if by_command {
            0
        } else {
            // A stop at step end: its cause was noted when the step ended, and may be gone by now.
            self.cause
        };
        if self.cause == 0 {
            self.cause = cause;
        }
        self.log(EventKind::Departed, cause, 0);
    }

    fn on_entry(&mut self, before: Sequencer, height: f32) {
        self.log(EventKind::Moved, 0, 0);
        if before.phase != self.seq.phase || self.seq.state == State::Held {
            let phase = self.seq.phase;
            let recipe = self.recipe.as_ref();
            let deadline = deadline(phase, &self.params, recipe, self.step_wire());
            self.judge.enter(phase, height, self.lowest(), deadline);
        }
        // A cycle that goes on to a stop at step end keeps the cause of that.
        if before.state == State::Held && self.seq.state == State::Restarting && !self.seq.ending {
            self.cause = 0;
        }
        if before.phase == Phase::Precheck && self.seq.phase == Phase::Lower {
            self.load_loop.leave_seat();
            self.log(EventKind::Tared, 0, thousandths(self.signal.tare().get()));
        }
        if before.phase == Phase::TouchDown && self.seq.phase == Phase::SlurryPrestart {
            self.load_loop.take_seat();
            let load = self.load_loop.seat().map_or(Newtons::ZERO, |s| s.load);
            self.log(EventKind::Seated, 0, thousandths(load.get()));
        }
        let over = matches!(self.seq.state, State::Stopped | State::Aborted);
        if over && before.state != self.seq.state {
            // Whoever takes parts out or leaves them in counts them again.
            self.pieces = 0;
        }
        if self.seq.state == State::Complete && before.state != State::Complete {
            self.batches = self.batches.wrapping_add(1);
            self.pieces = 0;
            self.log(EventKind::Batch, 0, i32::from(self.batches));
        }
        self.follow_form();
    }

    // ---- what must always hold, and the record

    /// A sequencer that breaks its own rules asks for nothing from then on.
    fn check_sequence(&mut self) {
        self.goals = self.seq.goals();
        if !self.seq.invariants_hold() {
            self.goals = Goals::default();
            self.latch_fault(FAULT_SEQUENCE);
        }
        self.aim();
    }

    fn check_loop(&mut self) {
        if !self.load_loop.is_finite() {
            self.load_loop = LoadLoop::new(&self.params);
            self.outputs = Outputs::default();
            self.latch_fault(FAULT_LOOP);
        }
    }

    /// A broken invariant is a numbered fault and safe outputs, never a panic.
    fn latch_fault(&mut self, fault: i32) {
        if !self.fault_is_new {
            self.fault_is_new = true;
            self.log(EventKind::Internal, 0, fault);
        }
    }

    fn log(&mut self, kind: EventKind, cause: u16, detail: i32) {
        self.events.push(Event {
            tick: Ticks(self.tick),
            kind,
            cause,
            detail,
            state: self.seq.state,
            phase: self.seq.phase,
        });
    }
}

#[cfg(test)]
pub(crate) mod tests;
