//! The form of the plates: reports, reckoning, the ring setting that follows from them, and the step as it turns with it.

use super::Controller;
use crate::events::EventKind;
use crate::plate_form::FormControl;
use crate::process_image::FACES;
use crate::recipe::{CheckedRecipe, StepWire};
use crate::sequence::{Phase, Refusal, SetupMove, State};
use crate::units::Micrometres;

/// What a recipe says of the plates' form. It changes at rest only: with a report, a recipe, a batch or plates that wore; whoever changes
/// it chooses the ring setting anew, and asks this there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct FormFound {
    /// The form of a plate is beyond the recipe's limit.
    pub beyond: bool,
    /// The recipe wants a younger report.
    pub overdue: bool,
}

impl Controller {
    /// Goes to a step. Its values are copied out of the recipe once, not looked up many times in every tick; the pin rings turn as the
    /// setting in force says.
    pub(super) fn go_to_step(&mut self, step: u8) {
        self.step = step;
        self.current = self.programmed().map(|programmed| {
            let setting = self
                .form_control()
                .and_then(|control| control.setting(self.flatness.setting()));
            let speeds = programmed.speeds;
            StepWire {
                speeds: setting.map_or(speeds, |setting| setting.speeds(speeds)),
                ..*programmed
            }
        });
        self.aim();
    }

    /// The present step as the recipe has it.
    pub(super) fn programmed(&self) -> Option<&StepWire> {
        self.recipe.as_ref().and_then(|r| r.step(self.step))
    }

    /// [`State::rests`], where the sequence is.
    pub(crate) const fn is_resting(&self) -> bool {
        self.seq.state.rests(self.seq.phase)
    }

    pub(super) fn form_control(&self) -> Option<&FormControl> {
        self.recipe.as_ref().and_then(CheckedRecipe::form_control)
    }

    pub(super) fn report_form(&mut self, form: [Micrometres; FACES]) -> Result<(), Refusal> {
        if !self.flatness.report(form) {
            return Err(Refusal::NoSuchForm);
        }
        let [lower, upper] = self.flatness.form();
        self.log(EventKind::FormLower, 0, thousandths(lower.get()));
        self.log(EventKind::FormUpper, 0, thousandths(upper.get()));
        self.choose_setting();
        Ok(())
    }

    /// Chooses the ring setting, and asks what the interlocks must know of the form: only at rest, so that it never changes under a
    /// cycle. Whatever changed the form or the recipe ends here.
    pub(super) fn choose_setting(&mut self) {
        let control = self.recipe.as_ref().and_then(CheckedRecipe::form_control);
        self.form_found = FormFound {
            beyond: self.flatness.beyond(control),
            overdue: self.flatness.overdue(control),
        };
        if self.flatness.choose(control) {
            self.log(
                EventKind::RingSetting,
                0,
                i32::from(self.flatness.setting()),
            );
            self.go_to_step(self.step);
        }
    }

    /// What a change of state or phase means for the plates' form.
    pub(super) fn follow_form(&mut self) {
        let conditions = self.seq.setup_move == Some(SetupMove::Condition);
        if self.seq.phase == Phase::RunUp || self.seq.phase == Phase::Manual && conditions {
            self.flatness.wear();
        }
        if self.is_resting() {
            let complete = self.seq.state == State::Complete;
            let control = self.recipe.as_ref().and_then(CheckedRecipe::form_control);
            self.flatness.rest(control, complete);
            self.choose_setting();
        }
    }
}

/// Thousandths, for an event's integer detail.
#[allow(clippy::cast_possible_truncation)] // `as` saturates; loads in N and forms in µm are far below the limit.
pub(super) fn thousandths(value: f32) -> i32 {
    (value * 1000.0) as i32
}
