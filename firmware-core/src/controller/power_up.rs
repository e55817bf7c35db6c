//! A controller as it is at power-up.

use super::Controller;
use super::form::FormFound;
use super::outputs::Aims;
use crate::events::EventLog;
use crate::interlock::{Annunciator, Latch};
use crate::judge::Judge;
use crate::motion::{DriveSet, LoadLoop};
use crate::params::CheckedParams;
use crate::plate_form::Flatness;
use crate::process_image::Outputs;
use crate::sequence::{Goals, Mode, Sequencer};
use crate::signal::Signal;
use crate::status::Status;
use crate::units::Newtons;

/// What each field is at power-up, handed on to a macro: a controller is made so, or the one that is there is powered up in its place.
macro_rules! at_power_up {
    ($make:ident, $params:ident, $boots:ident) => {
        $make! {
            recipe: None,
            recipe_wrong: false,
            flatness: Flatness::new(),
            form_found: FormFound::default(),
            signal: Signal::new(&$params),
            latch: Latch::new($params.get()),
            annunciator: Annunciator::new(),
            judge: Judge::default(),
            seq: Sequencer::power_up(false, false),
            goals: Goals::default(),
            aims: Aims::NOTHING,
            load_loop: LoadLoop::new(&$params),
            drives: DriveSet::new(&$params),
            events: EventLog::new(),
            mode: Mode::Automatic,
            step: 0,
            current: None,
            old_limit: None,
            limit: Newtons::new(f32::INFINITY),
            pieces: 0,
            batches: 0,
            boots: $boots,
            tick: 0,
            booted: false,
            raise: false,
            setup_move: None,
            guard_unlock: false,
            remote_armed: false,
            setup_key: false,
            local_enable: false,
            cause: 0,
            fault_is_new: false,
            guard_shut: false,
            outputs: Outputs::default(),
            standstill: false,
            vented: false,
            status: Status::blank($boots),
            params: $params,
        }
    };
}

impl Controller {
    /// Powers up. The first tick finds out where the plate is; the state is Stopped until someone resets it.
    #[must_use]
    pub fn new(params: CheckedParams, boots: u16) -> Self {
        macro_rules! make {
            ($($field:ident: $value:expr,)*) => { Self { $($field: $value,)* } };
        }
        at_power_up!(make, params, boots)
    }

    /// Powers up anew in the place of this one, whatever it was: no second controller lies on the stack meanwhile.
    pub fn power_up(&mut self, params: CheckedParams, boots: u16) {
        macro_rules! set {
            ($($field:ident: $value:expr,)*) => { $(self.$field = $value;)* };
        }
        at_power_up!(set, params, boots);
    }
}
