//! The interlock table read a second time, beside the controller: which rows are due.
//!
//! [`Due`] looks at what the controller is given and at the state it is in. By its own reading of the table it says which
//! conditions have lasted for their time where they are watched, and notes every row that is due and does not ask. It shares
//! nothing with the controller's rows: one that is taken out of there, is watched in fewer places, or waits longer turns each cell
//! red in which its condition arises.
//!
//! It begins at measured values: load, standstill and flow are the status's. The signal chain has tests of its own, and what is
//! true behind it is [`super::witness`]'s matter. Limits are read so that a row is due no sooner here than there: a reference that
//! is told in hundredths of a revolution, or a deadline that is rounded, leaves the controller a little room.

mod conditions;
mod table;

use firmware_core::interlock::{Cond, ROWS};
use firmware_core::params::CheckedParams;
use firmware_core::process_image::{DRIVES, DriveOutput, FACES};
use firmware_core::recipe::{RecipeWire, StepWire};
use firmware_core::sequence::{Mode, Phase, Plate, State};
use firmware_core::units::Micrometres;
use std::sync::Arc;
use table::{READ, lasts, watched};
use twinplate_sim::bench::{Job, Recorder, TickView};

/// What the controller was in, had been given and had answered in the tick before.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Before {
    state: State,
    phase: Phase,
    plate: Plate,
    step: u8,
    ends_by_time: bool,
    dump_shut: bool,
    drives: [DriveOutput; DRIVES],
    cell_counts: i32,
    boots: u16,
    form: [Micrometres; FACES],
    form_age: u16,
}

/// A row that was due and did not ask.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Silent {
    /// The row.
    pub row: Cond,
    /// Tick of the bench in which it should have asked.
    pub tick: u32,
}

/// Limits that are read.
#[derive(Debug, PartialEq)]
struct Rules {
    params: CheckedParams,
    recipe: RecipeWire,
}

impl Rules {
    fn of(job: &Job) -> Self {
        Self {
            params: job.params.clone(),
            recipe: job.compiled.clone(),
        }
    }
}

/// Follows a run tick by tick, from its first.
#[derive(Clone, Debug, PartialEq)]
pub struct Due {
    rules: Arc<Rules>,
    reading: Reading,
}

impl Due {
    /// Before the first tick.
    #[must_use]
    pub fn new(job: &Job) -> Self {
        let rules = Rules::of(job);
        Self {
            reading: Reading::new(&rules),
            rules: Arc::new(rules),
        }
    }

    /// Rows that were due and silent, each once.
    #[must_use]
    pub fn silent(&self) -> &[Silent] {
        &self.reading.silent
    }
}

impl Recorder for Due {
    fn record(&mut self, view: &TickView<'_>) {
        self.reading.look(&self.rules, view);
    }
}

/// What has been read so far.
#[derive(Clone, Debug, PartialEq)]
struct Reading {
    before: Option<Before>,
    /// Place for which `watched` holds.
    at: (State, Phase),
    watched: u64,
    lasts: [u32; ROWS],
    count: [u32; ROWS],
    /// Rows whose count is not zero.
    counting: u64,
    /// A cycle was started: there is a step.
    started: bool,
    /// Boot count of the controller that was started last.
    boots: u16,
    /// Limit of the step before, while the load still comes down from it, N.
    old_limit: Option<f32>,
    bad_for: u32,
    in_phase: u32,
    in_step: u32,
    size_at_start: Option<f32>,
    felt: u32,
    began_at: f32,
    height: f32,
    fall_from: f32,
    not_falling: u32,
    late: [Option<u32>; 3],
    /// The raised plate's weight: ticks and mean so far, the last that was not otherwise, and whether this one is, N.
    weighed_for: u32,
    weighed: f64,
    last_weighed: Option<f32>,
    weighs_otherwise: bool,
    missed: u64,
    silent: Vec<Silent>,
}

impl Reading {
    /// Before the first tick.
    fn new(rules: &Rules) -> Self {
        let mut due = Self {
            before: None,
            at: (State::Stopped, Phase::Rest),
            watched: watched(State::Stopped, Phase::Rest),
            lasts: [u32::MAX; ROWS],
            count: [0; ROWS],
            counting: 0,
            started: false,
            boots: 0,
            old_limit: None,
            bad_for: 0,
            in_phase: 0,
            in_step: 0,
            size_at_start: None,
            felt: 0,
            began_at: 0.0,
            height: 0.0,
            fall_from: 0.0,
            not_falling: 0,
            late: [None; 3],
            weighed_for: 0,
            weighed: 0.0,
            last_weighed: None,
            weighs_otherwise: false,
            missed: 0,
            silent: Vec::new(),
        };
        for row in READ {
            if let Some(ticks) = due.lasts.get_mut(row as usize) {
                *ticks = lasts(row, rules);
            }
        }
        due
    }

    /// Looks at one tick.
    fn look(&mut self, rules: &Rules, view: &TickView<'_>) {
        if let Some(before) = self.before {
            let on = self.conditions(rules, &before, view);
            if self.at != (before.state, before.phase) {
                self.at = (before.state, before.phase);
                self.watched = watched(before.state, before.phase);
            }
            self.compare(on & self.watched, view);
            self.moved(rules, &before, view);
        }
        let (s, o) = (view.status, view.outputs);
        self.before = Some(Before {
            state: s.state,
            phase: s.phase,
            plate: s.plate,
            step: s.step,
            ends_by_time: s.ends_by_time,
            dump_shut: o.dump_shut,
            drives: o.drives,
            cell_counts: view.inputs.cell_counts,
            boots: s.boots,
            form: s.form,
            form_age: s.form_age,
        });
    }

    fn compare(&mut self, on: u64, view: &TickView<'_>) {
        let asks = view.status.active | view.status.latched;
        let mut left = on | self.counting;
        self.counting = on;
        while left != 0 {
            let index = left.trailing_zeros() as usize;
            let bit = left & left.wrapping_neg();
            left &= !bit;
            let (Some(count), Some(lasts)) = (self.count.get_mut(index), self.lasts.get(index))
            else {
                continue;
            };
            *count = if on & bit == 0 { 0 } else { *count + 1 };
            if *count >= *lasts && (asks | self.missed) & bit == 0 {
                self.missed |= bit;
                self.silent
                    .extend(
                        READ.into_iter()
                            .find(|row| row.bit() == bit)
                            .map(|row| Silent {
                                row,
                                tick: view.tick,
                            }),
                    );
            }
        }
    }

    /// What a change of phase or step begins anew.
    fn moved(&mut self, rules: &Rules, before: &Before, view: &TickView<'_>) {
        let s = view.status;
        if (s.state, s.phase) != (before.state, before.phase)
            && (s.phase != before.phase || s.state == State::Held)
        {
            self.in_phase = 0;
            if s.phase == Phase::Lower {
                self.felt = 0;
            }
            let height = micrometres(view.inputs.plate_height);
            (self.began_at, self.height, self.fall_from) = (height, height, height);
            self.not_falling = 0;
        }
        if s.mode == Mode::PlateChange || s.boots != before.boots {
            self.last_weighed = None;
        }
        let starts = before.state == State::Idle && s.state == State::Running;
        if starts || s.step > before.step {
            if starts {
                (self.started, self.boots) = (true, s.boots);
                (self.weighed_for, self.weighed, self.weighs_otherwise) = (0, 0.0, false);
            }
            self.old_limit = step_of(rules, before.step)
                .filter(|_| !starts)
                .map(|step| step.load_limit.get());
            self.in_step = 0;
            self.size_at_start = None;
        }
    }
}

fn step_of(rules: &Rules, step: u8) -> Option<&StepWire> {
    rules.recipe.steps.get(usize::from(step))
}

/// A height of the process image, µm.
#[allow(clippy::cast_precision_loss)] // heights are far below 2^24 µm
const fn micrometres(height: i32) -> f32 {
    height as f32
}
