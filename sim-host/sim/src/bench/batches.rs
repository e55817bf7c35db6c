//! Batches one after another on one machine, conditioned where its file says so.

use super::job::Job;
use super::journal::Drawn;
use super::port::{InProcess, PortError};
use super::recorder::NoRecorder;
use super::run::{Outcome, run_after};
use crate::math::abs;
use crate::plant::Lasting;
use firmware_core::events::{Event, EventKind};
use firmware_core::sequence::State;

/// Content of the tank, share of full, under which the operator fills it before the next batch. Invented.
const FILL_UNDER: f64 = 0.5;

/// One batch of several.
#[derive(Debug)]
pub struct OneOfBatches {
    /// Its number, from 1.
    pub number: u32,
    /// What its run left.
    pub outcome: Outcome,
    /// Temperatures of the lower and the upper plate after it, °C.
    pub temperatures: [f64; 2],
    /// Both plates were conditioned after it.
    pub conditioned: bool,
    /// Ring setting that it ran with, 0 as programmed.
    pub ring_setting: u8,
}

/// Runs so many batches on one drawn machine, each with parts of its own, and shows each to `seen`. Plates keep their form and their
/// warmth from one to the next; where a form passes the limit of the machine file's tools, they are conditioned before the next. A
/// tank that is half empty is emptied and filled with fresh slurry.
///
/// # Errors
/// None in practice: a controller in this process is always there.
pub fn run_batches(
    job: &Job,
    drawn: Drawn,
    count: u32,
    mut seen: impl FnMut(&OneOfBatches),
) -> Result<(), PortError> {
    let mut machine = job.drawn(drawn).unused();
    for number in 1..=count {
        let setup = job.nth_batch(drawn, number);
        let port = InProcess::new(job.params.clone());
        let (outcome, mut after) = run_after(machine, port, &setup, None, NoRecorder)?;
        let conditioned = condition(job, &outcome, &mut after);
        if after.tank() < FILL_UNDER {
            after.refill_tank();
        }
        seen(&OneOfBatches {
            number,
            temperatures: after.temperatures(),
            ring_setting: setting_at_start(&outcome.events.list),
            outcome,
            conditioned,
        });
        machine = after;
    }
    Ok(())
}

/// The ring setting that was in force when the cycle began.
fn setting_at_start(events: &[Event]) -> u8 {
    events
        .iter()
        .take_while(|event| event.state != State::Running)
        .filter(|event| event.kind == EventKind::RingSetting)
        .last()
        .map_or(0, |event| u8::try_from(event.detail).unwrap_or(0))
}

fn condition(job: &Job, outcome: &Outcome, machine: &mut Lasting) -> bool {
    let Some(tools) = &job.machine.conditioning else {
        return false;
    };
    let due = outcome
        .summary
        .form
        .warm
        .iter()
        .any(|form| abs(*form) > tools.at);
    if due {
        machine.condition(&job.machine, tools);
    }
    due
}
