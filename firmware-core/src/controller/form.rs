//! The form of the plates: reports, reckoning, and the ring setting that follows from them.

use super::{Controller, thousandths};
use crate::events::EventKind;
use crate::plate_form::FormControl;
use crate::process_image::FACES;
use crate::sequence::{Phase, Refusal, SetupMove, State};
use crate::units::Micrometres;

impl Controller {
    pub(super) fn form_control(&self) -> Option<&FormControl> {
        self.recipe.as_ref().and_then(|r| r.get().flatness.as_ref())
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

    /// Chooses the ring setting: only at rest, so that it never changes under a cycle.
    pub(super) fn choose_setting(&mut self) {
        let control = self.recipe.as_ref().and_then(|r| r.get().flatness.as_ref());
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
            let control = self.recipe.as_ref().and_then(|r| r.get().flatness.as_ref());
            self.flatness.rest(control, complete);
            self.choose_setting();
        }
    }
}
