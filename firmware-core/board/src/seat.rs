//! The place where the controller, its link and its store are made and stay.

use crate::flash::Flash;
use core::mem::MaybeUninit;
use firmware_core::controller::Controller;
use firmware_core::link::session::Session;
use firmware_core::params::ParamsWire;
use firmware_core::store::{Shelf, StoreError};
use firmware_core::units::Ticks;

/// Number of the line's first session after a power-up.
const FIRST_SESSION: u16 = 1;

/// What has power.
pub struct Running<'a> {
    /// The controller.
    pub controller: &'a mut Controller,
    /// The operator's line, where one is fitted.
    pub session: Option<&'a mut Session>,
    /// The recipe store.
    pub shelf: &'a mut Shelf<Flash>,
}

/// They, powered up or not yet. An `Option` would say so too, but what goes into one lies on the stack first, and that is eight
/// kilobytes.
pub struct Seat {
    controller: Controller,
    session: MaybeUninit<Session>,
    shelf: Shelf<Flash>,
    powered: bool,
    linked: bool,
}

// Noughts, so that they take no flash; each is powered up before anybody gets it.
// SAFETY: the compiler works these out, and refuses a constant that is no value of its type.
const NO_CONTROLLER: Controller = unsafe { MaybeUninit::zeroed().assume_init() };
// SAFETY: as above.
const NO_SHELF: Shelf<Flash> = unsafe { MaybeUninit::zeroed().assume_init() };

impl Seat {
    /// Without power.
    pub const fn new() -> Self {
        Self {
            controller: NO_CONTROLLER,
            session: MaybeUninit::zeroed(),
            shelf: NO_SHELF,
            powered: false,
            linked: false,
        }
    }

    /// Powers the controller up with these parameters, if they pass their check. `silence` ends a session of the operator's line; none:
    /// no line is fitted.
    pub fn power_up(&mut self, params: ParamsWire, boots: u16, silence: Option<Ticks>) -> bool {
        // A flash that fails is told where somebody wants something of it; machine and cycle do not need it.
        let _ = self.open();
        self.powered = self.power(params, boots);
        self.linked = self.powered && silence.is_some();
        if let (true, Some(silence)) = (self.linked, silence) {
            self.listen(silence);
        }
        self.powered
    }

    #[inline(never)]
    fn power(&mut self, params: ParamsWire, boots: u16) -> bool {
        let checked = params.check();
        let sound = checked.is_ok();
        if let Ok(params) = checked {
            self.controller.power_up(params, boots);
        }
        sound
    }

    #[inline(never)]
    fn listen(&mut self, silence: Ticks) {
        let session = Session::new(&self.controller, FIRST_SESSION, silence);
        self.session.write(session);
    }

    /// Opens the store. Where the flash is none, it is an empty one.
    #[inline(never)]
    fn open(&mut self) -> Result<(), StoreError> {
        self.shelf.power_up()
    }

    /// What runs, if it has power.
    pub const fn get(&mut self) -> Option<Running<'_>> {
        if !self.powered {
            return None;
        }
        Some(Running {
            controller: &mut self.controller,
            session: if self.linked {
                // SAFETY: whoever is linked listens: it was made.
                Some(unsafe { self.session.assume_init_mut() })
            } else {
                None
            },
            shelf: &mut self.shelf,
        })
    }
}
