//! Hands: what each act of an operator comes to at the bench, and what can be refused at once.

use super::protocol::NewsKind;
use super::session::{Refused, Session, word};
use firmware_core::process_image::FACES;
use firmware_core::recipe::RecipeWire;
use firmware_core::sequence::{Command, Mode, Request, SetupMove, State};
use firmware_core::store::{Image, Store, StoreError};
use twinplate_sim::bench::{Action, ControllerPort, Job};
use twinplate_sim::flatness;
use twinplate_sim::model::{Measured, StationAct};
use twinplate_sim::training::act::{Act, NOTHING};
use twinplate_words::Words;

/// Acts that may wait for the controller before a recipe that is recalled: it waits as a copy of itself, and each moment holds it again.
const WAITING: usize = 64;

impl<C: ControllerPort> Session<C> {
    /// Does what a hand does. `entry` is its place in the log.
    pub(super) fn hand(&mut self, act: &Act, entry: usize) -> Result<(), Refused> {
        let command = |command| Action::Command(command);
        let request = |request| Action::Request(Box::new(request));
        if sets_in_motion(act) {
            self.free_to_move()?;
            if self.live.locked_out {
                self.would_move()?;
                self.tell(NewsKind::Seen, self.words().say("seen-locked-out"), 0);
                return Ok(());
            }
        }
        let action = match act {
            Act::Start => command(Command::Start),
            Act::Hold => command(Command::Hold),
            Act::Restart => command(Command::Restart),
            Act::Stop => command(Command::Stop),
            Act::Abort => command(Command::Abort),
            Act::Reset => command(Command::Reset),
            Act::UnlockGuard => request(Request::UnlockGuard),
            Act::LockGuard => request(Request::LockGuard),
            Act::ConfirmParts { pieces } => request(Request::ConfirmParts { pieces: *pieces }),
            Act::RecallRecipe { slot } => {
                let stored = self.stored(*slot)?;
                if self.live.sent.len() >= WAITING {
                    return Err(Refused::new(
                        "too-many-wait",
                        self.words()
                            .tell("refused-too-many-wait", &[("acts", WAITING.into())]),
                    ));
                }
                request(Request::LoadRecipe(stored))
            }
            Act::Raise => request(Request::Raise),
            Act::Acknowledge => request(Request::Acknowledge),
            Act::SetMode { mode } => request(Request::SetMode(mode_of(self.words(), mode)?)),
            Act::SelectMove { movement } => {
                request(Request::SelectMove(move_of(self.words(), movement)?))
            }
            Act::PressEmergencyStop => {
                self.bench
                    .act_first(Action::Station(StationAct::PressEstop));
                return Ok(());
            }
            Act::ReleaseEmergencyStop => return self.station(StationAct::ReleaseEstop),
            Act::OpenGuard => return self.open_guard(),
            Act::CloseGuard => return self.close_guard(),
            Act::SetupKey { on } => return self.station(StationAct::SetupKey(*on)),
            Act::HoldToRun { on } => return self.hold_to_run(*on),
            Act::LoadCarriers => return self.load_carriers(),
            Act::UnloadCarriers => return self.unload_carriers(),
            Act::CountParts => {
                self.guard_open()?;
                return self.count_parts();
            }
            Act::MeasureParts { parts } => return self.measure_parts(*parts),
            Act::LayFlat => return self.lay_flat(),
            Act::JudgeParts { verdict } => return self.judge_parts(verdict),
            Act::CheckSlurry => {
                self.check_slurry();
                return Ok(());
            }
            Act::Diagnose { component } => return diagnosis(self.words(), component),
            Act::Remedy { component } => return self.remedy(component, entry),
            Act::Work { task } => return self.work(task, entry),
            Act::HandOver { statement } => return self.statement(statement).map(drop),
            Act::Understood => return Ok(()),
            Act::ReportForm { by, lower, upper } => request(self.form(by, [*lower, *upper])?),
        };
        self.send(action, entry);
        Ok(())
    }

    fn station(&mut self, act: StationAct) -> Result<(), Refused> {
        self.act(Action::Station(act));
        Ok(())
    }

    fn open_guard(&mut self) -> Result<(), Refused> {
        if self.bench.plant().guard_bolted() {
            return Err(Refused::new(
                "guard-locked",
                self.words().say("refused-guard-locked"),
            ));
        }
        self.station(StationAct::OpenGuard)
    }

    fn close_guard(&mut self) -> Result<(), Refused> {
        self.nobody_inside()?;
        self.station(StationAct::CloseGuard)
    }

    fn load_carriers(&mut self) -> Result<(), Refused> {
        self.reach()?;
        if self.bench.plant().loaded() {
            return Err(Refused::new("loaded", self.words().say("refused-loaded")));
        }
        self.station(StationAct::LoadCarriers)
    }

    fn unload_carriers(&mut self) -> Result<(), Refused> {
        self.reach()?;
        if !self.bench.plant().loaded() {
            return Err(Refused::new("empty", self.words().say("refused-empty")));
        }
        self.station(StationAct::UnloadCarriers)
    }

    fn hold_to_run(&mut self, on: bool) -> Result<(), Refused> {
        if on {
            self.tell_of_grip();
        }
        self.station(StationAct::HoldToRun(on))
    }

    /// Nothing but the own lock holds the machine off.
    ///
    /// # Errors
    /// The guard would hold it off, too.
    fn would_move(&self) -> Result<(), Refused> {
        if self.bench.plant().inputs().guard_locked {
            return Ok(());
        }
        Err(Refused::new(
            "proves-nothing",
            self.words().say("refused-proves-nothing"),
        ))
    }

    /// What of this identifier can be said at a handover, for people.
    ///
    /// # Errors
    /// There is no such statement in the exercise.
    pub(super) fn statement(&self, id: &str) -> Result<&str, Refused> {
        let all = &self.exercise.training.statements;
        let found = all.iter().find(|statement| statement.id == id);
        found.map(|one| one.text.as_str()).ok_or_else(|| {
            let known: Vec<&str> = all.iter().map(|one| one.id.as_str()).collect();
            Refused::new(
                "unknown-statement",
                self.words().tell(
                    "refused-unknown-statement",
                    &[("id", id.into()), ("known", known.join(", ").into())],
                ),
            )
        })
    }

    fn guard_open(&self) -> Result<(), Refused> {
        if self.bench.plant().truth().guard_open {
            return Ok(());
        }
        Err(Refused::new(
            "guard-closed",
            self.words().say("refused-guard-shut"),
        ))
    }

    /// Hands reach the pockets.
    pub(super) fn reach(&self) -> Result<(), Refused> {
        self.guard_open()?;
        if !self.bench.plant().reachable() {
            return Err(Refused::new(
                "not-parked",
                self.words().say("refused-not-parked"),
            ));
        }
        Ok(())
    }

    /// From the controller's store. What is recalled goes through the controller's own check once more.
    fn stored(&self, slot: u8) -> Result<RecipeWire, Refused> {
        let read = slot
            .checked_sub(1)
            .ok_or(StoreError::NoSuchSlot)
            .and_then(|place| Store::open(Image(self.exercise.flash.bytes()))?.recipe(place));
        let stored = read.map_err(|error| {
            let id = match error {
                StoreError::NoSuchSlot => "refused-no-such-slot",
                StoreError::Empty => "refused-empty-slot",
                _ => "refused-unread-slot",
            };
            let why = self.words().tell(
                id,
                &[
                    ("slot", slot.into()),
                    ("last", self.exercise.stored.len().into()),
                    ("why", error.word().into()),
                ],
            );
            Refused::new("empty-slot", why)
        })?;
        Ok(stored.recipe)
    }

    /// The report of the plates' form. What a recipe reckons with is what it is told: by the straightedge or by the bands, not by either.
    fn form(&self, by: &str, read: [f64; FACES]) -> Result<Request, Refused> {
        let recalled = self.recalled();
        let control = recalled.and_then(|job| job.recipe.flatness.as_ref());
        let (Some(job), Some(control)) = (recalled, control) else {
            return Err(Refused::new(
                "no-flatness-control",
                self.words().say("refused-no-flatness-control"),
            ));
        };
        if by != control.measured.name() {
            let id = match control.measured {
                Measured::Straightedge => "refused-other-than-straightedge",
                Measured::Bands => "refused-other-than-bands",
            };
            return Err(Refused::new("other-measure", self.words().say(id)));
        }
        Ok(flatness::request(match control.measured {
            Measured::Straightedge => read.map(|form| form * 1e-6),
            Measured::Bands => flatness::of_bands(&job.machine, &job.batch, read),
        }))
    }

    /// The recalled recipe's job.
    pub(super) fn recalled(&self) -> Option<&Job> {
        let index = usize::from(self.live.recipe).checked_sub(1)?;
        self.exercise.stored.get(index)
    }

    /// Nothing moves, and nothing will by itself.
    pub(super) fn quiet_enough(&self) -> bool {
        let status = self.status();
        let rests = status.state.rests(status.phase) || status.state == State::Held;
        rests && status.standstill
    }

    /// A hand on the machine has acted; what came of carriers and parts.
    pub(super) fn station_acted(&mut self, tick: u32, act: StationAct) {
        let changed = self.loading_changed();
        match (act, changed) {
            (StationAct::LoadCarriers, Some(true)) => {
                self.live.completed = false;
                self.live.batch_from = self.log.len();
                self.tell(NewsKind::Seen, self.words().say("seen-loaded"), 0);
            }
            (StationAct::UnloadCarriers, Some(false)) => self.found(tick),
            // Asked for in the same moment as the guard was closed, say.
            (StationAct::LoadCarriers, _) => {
                self.machine_refused(&Act::LoadCarriers, self.words().say("refused-guard-shut"));
            }
            (StationAct::UnloadCarriers, _) => {
                self.machine_refused(&Act::UnloadCarriers, self.words().say("refused-guard-shut"));
            }
            _ => {}
        }
    }
}

/// What a machine that is locked off does not do.
const fn sets_in_motion(act: &Act) -> bool {
    matches!(
        act,
        Act::Start | Act::Restart | Act::Raise | Act::HoldToRun { on: true }
    )
}

fn diagnosis(words: &Words, component: &str) -> Result<(), Refused> {
    if component == NOTHING {
        return Ok(());
    }
    word(words, component).map(|_| ())
}

fn mode_of(words: &Words, word: &str) -> Result<Mode, Refused> {
    Mode::named(word).ok_or_else(|| {
        let known = Mode::NAMES.map(|(name, _)| name).join(", ");
        Refused::new(
            "unknown-mode",
            words.tell(
                "refused-unknown-mode",
                &[("mode", word.into()), ("known", known.into())],
            ),
        )
    })
}

fn move_of(words: &Words, word: &str) -> Result<SetupMove, Refused> {
    SetupMove::named(word).ok_or_else(|| {
        let known = SetupMove::NAMES.map(|(name, _)| name).join(", ");
        Refused::new(
            "unknown-movement",
            words.tell(
                "refused-unknown-movement",
                &[("movement", word.into()), ("known", known.into())],
            ),
        )
    })
}
