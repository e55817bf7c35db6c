//! The place where the controller is made and stays.

use core::mem::MaybeUninit;
use firmware_core::controller::Controller;
use firmware_core::params::ParamsWire;

/// A controller, powered up or not yet. An `Option` would say so too, but what goes into one lies on the stack first, and that is four
/// kilobytes.
pub struct Seat {
    controller: Controller,
    powered: bool,
}

/// Noughts, so that it takes no flash.
// SAFETY: the compiler works this out, and refuses a constant that is no value of its type.
const NOTHING: Controller = unsafe { MaybeUninit::zeroed().assume_init() };

impl Seat {
    /// Without power.
    pub const fn new() -> Self {
        Self {
            controller: NOTHING,
            powered: false,
        }
    }

    /// Powers the controller up with these parameters, if they pass their check.
    #[inline(never)]
    pub fn power_up(&mut self, params: ParamsWire, boots: u16) -> bool {
        self.powered = false;
        if let Ok(params) = params.check() {
            self.controller.power_up(params, boots);
            self.powered = true;
        }
        self.powered
    }

    /// The controller, if it has power.
    pub fn get(&mut self) -> Option<&mut Controller> {
        self.powered.then_some(&mut self.controller)
    }
}
