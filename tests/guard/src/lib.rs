//! Two proofs by construction, with nothing to run.
//!
//! *No std*: this crate brings its own panic handler, so it fails to build (E0152) when the core or any dependency pulls std in.
//!
//! *No panic*: the panic handler calls a function that exists nowhere and undefined symbols are refused, so the link fails as
//! long as one panic path is left in what is exported here: the tick, the event log, requests, the checks of parameters and recipes, and
//! the link from bytes to bytes.
//!
//! Unsafe is confined to the exports' attributes and the one undefined declaration; nothing here is ever called.
#![no_std]

use firmware_core::controller::Controller;
use firmware_core::events::Event;
use firmware_core::link::session::Session;
use firmware_core::link::slots::Slots;
use firmware_core::params::ParamsWire;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::sequence::{Command, Request};

unsafe extern "C" {
    fn a_panic_path_is_left_in_the_core() -> !;
}

#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    // SAFETY: never reached and never linked; the symbol is undefined on purpose.
    unsafe { a_panic_path_is_left_in_the_core() }
}

/// The tick.
// SAFETY: unique name; the crate is linked, never loaded.
#[unsafe(no_mangle)]
pub fn guard_tick(controller: &mut Controller, inputs: &Inputs, command: Option<Command>) -> Outputs {
    *controller.tick(inputs, command)
}

/// Requests, the recipe check among them.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_request(controller: &mut Controller, request: &Request) -> bool {
    controller.request(request).is_ok()
}

/// Power-up through the parameter check.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_power_up(params: &ParamsWire, into: &mut Option<Controller>) {
    *into = params.clone().check().ok().map(|p| Controller::new(p, 1));
}

/// The event log.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_events(controller: &Controller, since: u32, into: &mut [Event; 8]) {
    for (slot, event) in into.iter_mut().zip(controller.events().since(since)) {
        *slot = *event;
    }
}

/// The link: deframer, decoder, whatever a message does, encoder.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_hear(
    session: &mut Session,
    bytes: &[u8],
    controller: &mut Controller,
    slots: &mut dyn Slots,
    out: &mut dyn FnMut(&[u8]),
) {
    session.hear(bytes, controller, slots, out);
}

/// The link's share of a tick.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_link_tick(
    session: &mut Session,
    controller: &mut Controller,
    inputs: &Inputs,
    out: &mut dyn FnMut(&[u8]),
) -> Outputs {
    let command = session.command(controller);
    let outputs = *controller.tick(inputs, command);
    session.ticked(controller, out);
    outputs
}

/// The line is gone.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_line_lost(session: &mut Session, controller: &mut Controller) {
    session.lost(controller);
}
