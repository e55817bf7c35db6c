//! Requests: everything from outside that is none of the six commands. Each is legal in some states, and is refused with its
//! reason in the others.

use super::Controller;
use crate::events::EventKind;
use crate::motion::LoadLoop;
use crate::params::ParamsWire;
use crate::recipe::{CheckedRecipe, Sound};
use crate::response::Response;
use crate::sequence::{Command, Mode, Plate, Refusal, Request, State};
use crate::units::{PerNewton, Ratio, Seconds};

impl Controller {
    /// Takes a request; it acts in the next tick.
    ///
    /// # Errors
    /// The reason it was refused; nothing has changed then.
    pub fn request(&mut self, request: &Request) -> Result<(), Refusal> {
        let result = self.take_request(request);
        self.note_refusal(result)
    }

    /// [`Request::LoadRecipe`], of a recipe that was checked where it lies, between two ticks: the tick only takes it over. `None` for one
    /// that failed its check.
    ///
    /// # Errors
    /// As [`Controller::request`].
    pub fn load(&mut self, recipe: Option<Sound<'_>>) -> Result<(), Refusal> {
        let result = self.take_recipe(recipe);
        self.note_refusal(result)
    }

    fn note_refusal(&mut self, result: Result<(), Refusal>) -> Result<(), Refusal> {
        if let Err(refusal) = result {
            self.log(EventKind::Refused, 0, i32::from(refusal as u16));
        }
        result
    }

    fn take_request(&mut self, request: &Request) -> Result<(), Refusal> {
        let resting = self.is_resting();
        match request {
            Request::ConfirmParts { pieces } => {
                legal(resting)?;
                self.pieces = *pieces;
            }
            Request::LoadRecipe(recipe) => self.take_recipe(recipe.sound(&self.params))?,
            Request::Raise => {
                legal(matches!(self.seq.state, State::Stopped | State::Aborted) && resting)?;
                if self.mode != Mode::Automatic {
                    return Err(Refusal::WrongMode);
                }
                if !self.standstill {
                    return Err(Refusal::NotStandstill);
                }
                if self.status.response >= Response::Hold || !self.guard_shut {
                    return Err(Refusal::Inhibited);
                }
                self.raise = true;
            }
            Request::UnlockGuard => self.unlock_guard(resting)?,
            Request::LockGuard => self.guard_unlock = false,
            Request::Acknowledge => self.acknowledge(),
            Request::SetMode(mode) => {
                legal(resting)?;
                self.set_mode(*mode)?;
            }
            Request::SelectMove(wanted) => {
                if self.mode != Mode::Setup {
                    return Err(Refusal::WrongMode);
                }
                self.setup_move = Some(*wanted);
            }
            Request::ArmRemote(arm) => {
                if *arm && !self.local_enable {
                    return Err(Refusal::NoLocalEnable);
                }
                self.remote_armed = *arm;
            }
            Request::ReportForm { lower, upper } => {
                legal(resting)?;
                self.report_form([*lower, *upper])?;
            }
        }
        Ok(())
    }

    /// [`Request::Acknowledge`], which is never refused. Who has no request at hand need not make one: it is as large as a recipe.
    pub(crate) fn acknowledge(&mut self) {
        self.annunciator.acknowledge();
        self.log(EventKind::Acknowledged, 0, 0);
    }

    /// [`Request::ArmRemote`] of false, which is never refused.
    pub(crate) const fn disarm_remote(&mut self) {
        self.remote_armed = false;
    }

    /// Notes that the command of the next tick comes over the link.
    pub(crate) fn told_by_link(&mut self, command: Command) {
        self.log(EventKind::ByLink, 0, i32::from(command as u8));
    }

    /// Takes other gains of the load loop, where nothing is under way and the plate is parked. The recipe is forgotten: it was compiled
    /// against the parameters as they were.
    ///
    /// # Errors
    /// The reason it was refused; nothing has changed then.
    pub(crate) fn set_gains(
        &mut self,
        kc: PerNewton,
        ti: Seconds,
        setpoint_weight: Ratio,
    ) -> Result<(), Refusal> {
        legal(self.seq.state == State::Idle && self.is_resting())?;
        if self.seq.plate != Plate::Parked {
            return Err(Refusal::NotRaised);
        }
        let wire = ParamsWire {
            kc,
            ti,
            setpoint_weight,
            ..self.params.get().clone()
        };
        self.params = wire.check().map_err(|_| Refusal::GainsInvalid)?;
        self.load_loop = LoadLoop::new(&self.params);
        self.recipe = None;
        self.go_to_step(0);
        self.log(EventKind::Gains, 0, 0);
        self.choose_setting();
        Ok(())
    }

    fn take_recipe(&mut self, recipe: Option<Sound<'_>>) -> Result<(), Refusal> {
        legal(self.is_resting())?;
        if let Some(recipe) = recipe.filter(|recipe| recipe.is_for(&self.params)) {
            CheckedRecipe::replace(&mut self.recipe, recipe);
            self.recipe_wrong = false;
            self.pieces = 0;
            self.go_to_step(0);
            self.log(EventKind::Recipe, 0, 0);
            self.choose_setting();
            return Ok(());
        }
        // The old recipe goes too: what the operator believes to be loaded must not differ from what is.
        self.recipe = None;
        self.current = None;
        self.choose_setting();
        self.aim();
        self.recipe_wrong = true;
        Err(Refusal::RecipeInvalid)
    }

    fn unlock_guard(&mut self, resting: bool) -> Result<(), Refusal> {
        legal(resting)?;
        if !self.standstill {
            return Err(Refusal::NotStandstill);
        }
        if !self.vented {
            return Err(Refusal::NotVented);
        }
        let parked = self.seq.plate == Plate::Parked;
        if matches!(self.seq.state, State::Complete | State::Idle) && !parked {
            return Err(Refusal::NotRaised);
        }
        self.guard_unlock = true;
        Ok(())
    }

    fn set_mode(&mut self, mode: Mode) -> Result<(), Refusal> {
        if self.seq.state == State::Complete {
            return Err(Refusal::WrongState);
        }
        if mode == Mode::Setup && !self.setup_key {
            return Err(Refusal::NoKey);
        }
        if mode == Mode::PlateChange {
            // Plates are changed with the load path parked and the cap side empty.
            if self.seq.plate != Plate::Parked {
                return Err(Refusal::NotRaised);
            }
            if !self.vented {
                return Err(Refusal::NotVented);
            }
        }
        if self.mode == Mode::PlateChange && mode != Mode::PlateChange {
            // Another plate may hang there now: nothing learned before is believed.
            self.signal.forget_tare();
            self.flatness.out_of_date();
            self.choose_setting();
        }
        self.mode = mode;
        self.setup_move = None;
        self.log(EventKind::Mode, 0, i32::from(mode as u8));
        Ok(())
    }
}

fn legal(yes: bool) -> Result<(), Refusal> {
    if yes {
        Ok(())
    } else {
        Err(Refusal::WrongState)
    }
}
