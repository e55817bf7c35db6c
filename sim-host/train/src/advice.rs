//! The line of the panel that says what comes next: derived from what the machine shows (state, mode, latches, what is loaded and
//! confirmed) and from nothing that only this program knows.
//!
//! An act is recommended only where the panel can know that it is right. Whether what a row told of has been put right, whether parts
//! lie flat or were counted elsewhere, people must say: there the line says what to look at, and recommends nothing.

use super::inspect::Inspected;
use super::log::Logged;
use super::machine_words::{row_cure, row_name};
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

fn look(text: String) -> Advice {
    Advice { text, act: None }
}

fn next(act: Act, text: String) -> Advice {
    Advice {
        text,
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

impl<C: ControllerPort> Session<C> {
    /// What comes next, as far as the panel can know.
    #[must_use]
    pub fn advice(&self) -> Advice {
        let (words, status) = (self.words(), self.status());
        let waits = || look(words::waits(words, status.state, status.phase));
        // A hold rests on the parts, in whatever phase that is.
        let held = status.state == State::Held && status.standstill;
        if status.phase != Phase::Rest && !held {
            return waits();
        }
        if let Some((doing, left)) = self.at_work() {
            let minutes = format!("{:.0}", (left / 60.0).ceil());
            return look(words.tell(
                "advice-at-work",
                &[
                    ("doing", doing.under_way(words).into()),
                    ("minutes", minutes.into()),
                ],
            ));
        }
        if self.live.locked_out {
            return look(words.say("advice-locked-out"));
        }
        let inputs = self.bench.plant().inputs();
        if !inputs.estop_a || !inputs.estop_b {
            return look(words.say("advice-estop"));
        }
        match status.mode {
            Mode::Automatic => {}
            Mode::Setup => return look(words.say("advice-setup")),
            Mode::PlateChange => return look(words.say("advice-plate-change")),
        }
        let category = self.exercise.job.machine.control.estop_category;
        if let Some(row) = gravest(status.active, category) {
            return look(row_cure(words, row).into_owned());
        }
        if let Some(row) = gravest(status.latched, category) {
            let cure = row_cure(words, row);
            return look(format!("{cure} {}", words.say("advice-then-reset")));
        }
        if !status.standstill {
            return look(words.say("advice-standstill"));
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
    fn unless_told(&self, act: Act, text: String) -> Advice {
        let Some(row) = row_of(self.live.told_of) else {
            return next(act, text);
        };
        let words = self.words();
        let first = words.tell(
            "advice-but-only",
            &[
                ("row", row.id.into()),
                ("name", row_name(words, row).into_owned().into()),
            ],
        );
        look(format!("{text} {first}"))
    }

    fn at_hold(&self) -> Advice {
        if let Some(shut) = self.shut_the_guard() {
            return shut;
        }
        self.unless_told(Act::Restart, self.words().say("advice-held"))
    }

    fn after_a_stop(&self) -> Advice {
        if let Some(shut) = self.shut_the_guard() {
            return shut;
        }
        if self.status().plate == Plate::Parked {
            return next(Act::Reset, self.words().say("advice-home"));
        }
        self.unless_told(Act::Raise, self.words().say("advice-raise"))
    }

    fn at_end(&self) -> Advice {
        let words = self.words();
        if !self.bench.plant().loaded() {
            return match self.inspection() {
                Some(Inspected::NotYet) => look(words.say("advice-unjudged")),
                _ => next(Act::Reset, words.say("advice-batch-ends")),
            };
        }
        let take_out = if self.operator_inspects() {
            words.say("advice-take-out")
        } else {
            words.say("advice-take-out-measure")
        };
        self.open_the_guard()
            .unwrap_or_else(|| next(Act::UnloadCarriers, take_out))
    }

    fn before_start(&self) -> Advice {
        let words = self.words();
        if self.status().plate != Plate::Parked {
            return look(words.say("advice-not-parked"));
        }
        let Some(job) = self.recalled() else {
            return look(words.say("advice-recall"));
        };
        if !self.bench.plant().loaded() {
            match self.inspection() {
                Some(Inspected::NotYet) => return look(words.say("advice-unjudged")),
                Some(Inspected::Rejected) => return look(words.say("advice-rejected")),
                Some(Inspected::Accepted) | None => {}
            }
            return self
                .open_the_guard()
                .unwrap_or_else(|| next(Act::LoadCarriers, words.say("advice-lay-in")));
        }
        if self.live.confirmed == 0 {
            return look(words.say("advice-count"));
        }
        let wanted = job.compiled.pieces;
        if self.live.confirmed != wanted {
            return look(words.tell(
                "advice-count-again",
                &[
                    ("confirmed", self.live.confirmed.into()),
                    ("wanted", wanted.into()),
                ],
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
            return next(Act::CheckSlurry, words.say("advice-check-slurry"));
        }
        if !done(|act| matches!(act, Act::CountParts)) {
            return look(words.say("advice-start-counted"));
        }
        if job.recipe.flatness.is_some() && self.status().form_age > 0 {
            return look(words.say("advice-report-form"));
        }
        if self.exercise.stored.len() > 1 {
            let id = &job.recipe.id;
            return look(words.tell("advice-start-recipe", &[("recipe", id.into())]));
        }
        self.unless_told(Act::Start, words.say("advice-start"))
    }

    /// The way to an open guard; none where it is open.
    fn open_the_guard(&self) -> Option<Advice> {
        let inputs = self.bench.plant().inputs();
        if !inputs.guard_a && !inputs.guard_b {
            return None;
        }
        let still = self.status().standstill && inputs.cap_pressure <= VENTED_COUNTS;
        Some(if !still {
            look(self.words().say("advice-vent"))
        } else if inputs.guard_locked {
            next(Act::UnlockGuard, self.words().say("advice-unlock"))
        } else {
            next(Act::OpenGuard, self.words().say("advice-open"))
        })
    }

    /// The way to a guard that is shut and locked; none where it is.
    fn shut_the_guard(&self) -> Option<Advice> {
        let inputs = self.bench.plant().inputs();
        if !inputs.guard_a || !inputs.guard_b {
            return Some(next(Act::CloseGuard, self.words().say("advice-close")));
        }
        (!inputs.guard_locked).then(|| next(Act::LockGuard, self.words().say("advice-lock")))
    }
}
