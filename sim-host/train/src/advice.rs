//! The line of the panel that says what comes next: derived from what the machine shows (state, mode, latches, what is loaded and
//! confirmed) and from nothing that only this program knows.
//!
//! An act is recommended only where the panel can know that it is right. Whether what a row told of has been put right, whether parts
//! lie flat or were counted elsewhere, people must say: there the line says what to look at, and recommends nothing.

use super::inspect::Inspected;
use super::log::Logged;
use super::session::Session;
use super::words;
use firmware_core::interlock::{Cond, Row, TABLE, row_of};
use firmware_core::sequence::{Mode, Phase, Plate, State};
use firmware_core::signal::VENTED_COUNTS;
use firmware_core::status::Response;
use twinplate_sim::bench::ControllerPort;
use twinplate_sim::training::act::Act;

/// What comes next.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// For people.
    pub text: String,
    /// The act, where the panel can know that it is right: the controller takes it, and it does no harm.
    pub act: Option<Act>,
}

fn look(text: impl Into<String>) -> Advice {
    Advice {
        text: text.into(),
        act: None,
    }
}

fn next(act: Act, text: &str) -> Advice {
    Advice {
        text: text.into(),
        act: Some(act),
    }
}

/// The gravest row of a set that keeps the machine from starting; the first of equals. The open guard is not one of them: the line
/// itself leads to it and away from it.
fn gravest(rows: u64, estop_category: u8) -> Option<&'static Row> {
    let rows = rows & !(1 << Cond::GuardWaiting as u64);
    TABLE
        .iter()
        .enumerate()
        .filter(|(index, _)| rows & 1 << index != 0)
        .map(|(_, row)| row)
        .filter(|row| row.response(estop_category) >= Response::StartInhibit)
        .rev()
        .max_by_key(|row| row.response(estop_category))
}

/// Parts on the bench that nobody has judged.
const UNJUDGED: &str =
    "Parts lie on the bench: measure them, lay the optical flat on, and judge them.";

impl<C: ControllerPort> Session<C> {
    /// What comes next, as far as the panel can know.
    #[must_use]
    pub fn advice(&self) -> Advice {
        let status = self.status();
        let waits = || {
            look(format!(
                "Waits for {}.",
                words::waits(status.state, status.phase)
            ))
        };
        if status.phase != Phase::Rest {
            return waits();
        }
        if let Some((doing, left)) = self.at_work() {
            return look(format!(
                "{}. Locked off for {:.0} min at most.",
                doing.under_way(),
                (left / 60.0).ceil()
            ));
        }
        if self.live.locked_out {
            return look(
                "Your lock holds the machine off. Take it off as the last, when nobody is near.",
            );
        }
        let inputs = self.bench.plant().inputs();
        if !inputs.estop_a || !inputs.estop_b {
            return look(
                "The emergency stop is pressed. Release it when nobody is in danger and its reason is gone.",
            );
        }
        match status.mode {
            Mode::Automatic => {}
            Mode::Setup => {
                return look(
                    "Setup: choose a movement and hold it to run. Automatic, and the key off, when it is done.",
                );
            }
            Mode::PlateChange => {
                return look("Plate change: Automatic when the plates are in.");
            }
        }
        let category = self.exercise.job.machine.control.estop_category;
        if let Some(row) = gravest(status.active, category) {
            return look(row.cure);
        }
        if let Some(row) = gravest(status.latched, category) {
            return look(format!("{} Then Reset.", row.cure));
        }
        if !status.standstill {
            return look("Waits for standstill.");
        }
        match status.state {
            State::Held => self.at_hold(),
            State::Complete => self.at_end(),
            State::Stopped | State::Aborted => self.after_a_stop(),
            State::Idle => self.before_start(),
            State::Running
            | State::Holding
            | State::Restarting
            | State::Stopping
            | State::Aborting => waits(),
        }
    }

    /// The act; or, where a row stopped or held the machine since the last good batch, what to be sure of first. Whether its cause was put
    /// right is for people to say.
    fn unless_told(&self, act: Act, text: &str) -> Advice {
        match row_of(self.live.told_of) {
            Some(row) => look(format!(
                "{text} But only once the cause of row {} ({}) is found and put right.",
                row.id, row.name
            )),
            None => next(act, text),
        }
    }

    fn at_hold(&self) -> Advice {
        if let Some(shut) = self.shut_the_guard() {
            return shut;
        }
        self.unless_told(Act::Restart, "Held: Restart goes on, Stop ends the batch.")
    }

    fn after_a_stop(&self) -> Advice {
        if let Some(shut) = self.shut_the_guard() {
            return shut;
        }
        if self.status().plate == Plate::Parked {
            return next(Act::Reset, "Reset brings the machine home.");
        }
        self.unless_told(Act::Raise, "Raise the plate.")
    }

    fn at_end(&self) -> Advice {
        if !self.bench.plant().loaded() {
            return match self.inspection() {
                Some(Inspected::NotYet) => look(UNJUDGED),
                _ => next(Act::Reset, "Reset ends the batch."),
            };
        }
        let take_out = if self.operator_inspects() {
            "Take the parts out."
        } else {
            "Take the parts out and have them measured."
        };
        self.open_the_guard()
            .unwrap_or_else(|| next(Act::UnloadCarriers, take_out))
    }

    fn before_start(&self) -> Advice {
        if self.status().plate != Plate::Parked {
            return look("The plate is not parked. Raise it in Setup.");
        }
        let Some(job) = self.recalled() else {
            return look("Recall the recipe of the work order.");
        };
        if !self.bench.plant().loaded() {
            match self.inspection() {
                Some(Inspected::NotYet) => return look(UNJUDGED),
                Some(Inspected::Rejected) => {
                    return look(
                        "The parts were rejected. Lay others in once the cause is found and put right.",
                    );
                }
                Some(Inspected::Accepted) | None => {}
            }
            return self.open_the_guard().unwrap_or_else(|| {
                next(Act::LoadCarriers, "Lay the carriers with their parts in.")
            });
        }
        if self.live.confirmed == 0 {
            return look("Count the parts where they lie, if nobody has, and confirm the count.");
        }
        let wanted = job.compiled.pieces;
        if self.live.confirmed != wanted {
            return look(format!(
                "{} confirmed, and the recipe is for {wanted}: count again.",
                self.live.confirmed
            ));
        }
        if let Some(shut) = self.shut_the_guard() {
            return shut;
        }
        let done = |wanted: fn(&Act) -> bool| {
            let recent = self.log.iter().skip(self.live.batch_from);
            recent
                .filter(|logged| logged.taken())
                .filter_map(Logged::act)
                .any(wanted)
        };
        if !done(|act| matches!(act, Act::CheckSlurry)) {
            return next(Act::CheckSlurry, "Check tank, agitator and line.");
        }
        if !done(|act| matches!(act, Act::CountParts)) {
            return look("Start, if the parts were counted where they lie.");
        }
        if job.recipe.flatness.is_some() && self.status().form_age > 0 {
            return look("Report the form of the plates, if it was measured; then Start.");
        }
        if self.exercise.stored.len() > 1 {
            let id = &job.recipe.id;
            return look(format!("Start, if {id} is the recipe of the work order."));
        }
        self.unless_told(Act::Start, "Start.")
    }

    /// The way to an open guard; none where it is open.
    fn open_the_guard(&self) -> Option<Advice> {
        let inputs = self.bench.plant().inputs();
        if !inputs.guard_a && !inputs.guard_b {
            return None;
        }
        let still = self.status().standstill && inputs.cap_pressure <= VENTED_COUNTS;
        Some(if !still {
            look("Waits for standstill, and for the cylinder to vent.")
        } else if inputs.guard_locked {
            next(Act::UnlockGuard, "Unlock the guard.")
        } else {
            next(Act::OpenGuard, "Open the guard.")
        })
    }

    /// The way to a guard that is shut and locked; none where it is.
    fn shut_the_guard(&self) -> Option<Advice> {
        let inputs = self.bench.plant().inputs();
        if !inputs.guard_a || !inputs.guard_b {
            return Some(next(
                Act::CloseGuard,
                "See that nobody is near, and close the guard.",
            ));
        }
        (!inputs.guard_locked).then(|| next(Act::LockGuard, "Lock the guard."))
    }
}
