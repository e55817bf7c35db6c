//! Batches one after another on one machine, conditioned where its file says so.

use super::job::Job;
use super::journal::Drawn;
use super::port::{InProcess, PortError};
use super::recorder::NoRecorder;
use super::run::{Outcome, run_reported};
use crate::flatness;
use crate::math::abs;
use crate::model::Measured;
use crate::plant::Lasting;
use firmware_core::events::{Event, EventKind};
use firmware_core::process_image::FACES;
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
    /// Form of the lower and the upper plate by the light bands of its parts, m, + convex, where they were read.
    pub read: Option<[f64; FACES]>,
    /// Both plates were conditioned after it, to this form, m, + convex.
    pub conditioned: Option<[f64; FACES]>,
    /// Ring setting that it ran with, 0 as programmed.
    pub ring_setting: u8,
}

/// Runs so many batches on one drawn machine, each with parts of its own, and shows each to `seen`. Plates keep their form and their
/// warmth from one to the next; where a form passes the limit of the machine file's tools, they are conditioned before the next. A
/// tank that is half empty is emptied and filled with fresh slurry.
///
/// Where the recipe has the form of the plates reported by light bands, the operator reads those of every part of a batch before the next
/// one: reports, and conditions, by that alone. Before the first batch and after conditioning there are none, and the report is that of
/// [`super::job::Setup::bench`].
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
    let control = job.recipe.flatness.as_ref();
    let by_bands = control.is_some_and(|control| control.measured == Measured::Bands);
    let mut known = None;
    for number in 1..=count {
        let setup = job.nth_batch(drawn, number);
        let port = InProcess::new(job.params.clone());
        let form = match known {
            Some(read) => Some(flatness::request(read)),
            None => setup.report(&machine),
        };
        let (outcome, mut after) = run_reported(machine, port, &setup, None, NoRecorder, form)?;
        let read = by_bands
            .then(|| flatness::by_bands(&job.machine, &job.batch, &outcome.parts, setup.seed))
            .flatten();
        let form = read.unwrap_or(outcome.summary.form.warm);
        let conditioned = condition(job, form, &mut after);
        known = read.filter(|_| conditioned.is_none());
        if after.tank() < FILL_UNDER {
            after.refill_tank();
        }
        seen(&OneOfBatches {
            number,
            temperatures: after.temperatures(),
            ring_setting: setting_at_start(&outcome.events.list),
            outcome,
            read,
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

/// Conditions both plates where one is known to be out of form, and gives the form they have then.
fn condition(job: &Job, known: [f64; FACES], machine: &mut Lasting) -> Option<[f64; FACES]> {
    let tools = job.machine.conditioning.as_ref()?;
    if known.iter().all(|form| abs(*form) <= tools.at) {
        return None;
    }
    machine.condition(&job.machine.geometry, tools);
    Some(flatness::warm_form(
        &job.machine,
        &job.batch,
        &job.recipe,
        machine.plates(),
    ))
}
