//! What must link without a panic path.
//!
//! Unsafe is confined to the exports' attributes and the one undefined declaration; nothing here is ever called.

use embedded_storage::nor_flash::{ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash};
use firmware_core::controller::Controller;
use firmware_core::events::Event;
use firmware_core::link::session::Session;
use firmware_core::link::slots::Slots;
use firmware_core::params::ParamsWire;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::params::CheckedParams;
use firmware_core::recipe::CheckedRecipe;
use firmware_core::sequence::{Command, Request};
use firmware_core::store::{Image, Progress, Shelf, Store, StoreError, StoredRecipe};

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

/// The store's reader: whatever the flash holds.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_store_open<'a>(flash: &'a [u8], into: &mut Option<Store<Image<'a>>>) -> Result<(), StoreError> {
    *into = Some(Store::open(Image(flash))?);
    Ok(())
}

/// What is stored, and a recall through the recipe check.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_store_recall(store: &mut Store<Image<'_>>, slot: u8, params: &CheckedParams, into: &mut Option<CheckedRecipe>) -> bool {
    *into = store.recall(slot, params).ok();
    store.is_damaged()
}

/// A recipe as it is stored, with its verdict.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_store_recipe(store: &mut Store<Image<'_>>, slot: u8, into: &mut Option<StoredRecipe>) -> u32 {
    *into = store.recipe(slot).ok();
    into.as_ref().map_or(0, |stored| stored.verdict() as u32)
}

/// The same, into a place that is there.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_store_read(store: &mut Store<Image<'_>>, slot: u8, into: &mut StoredRecipe) -> bool {
    store.read_recipe(slot, into).is_ok()
}

/// Parameters and progress.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_store_rest(store: &mut Store<Image<'_>>, into: &mut (Option<ParamsWire>, Option<Progress>, [u32; 2], u32)) {
    *into = (store.params().ok(), store.progress().ok(), store.erases(), store.room());
}

/// A flash to write to, without a panic path of its own.
pub struct Ram<'a>(&'a mut [u8]);

impl ErrorType for Ram<'_> {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for Ram<'_> {
    const READ_SIZE: usize = 1;
    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Self::Error> {
        Image(self.0).read(offset, bytes)
    }
    fn capacity(&self) -> usize {
        self.0.len()
    }
}

impl NorFlash for Ram<'_> {
    const WRITE_SIZE: usize = 8;
    const ERASE_SIZE: usize = 4096;
    fn erase(&mut self, from: u32, to: u32) -> Result<(), Self::Error> {
        let sector = self.0.get_mut(from as usize..to as usize);
        sector.ok_or(NorFlashErrorKind::OutOfBounds)?.fill(0xFF);
        Ok(())
    }
    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Self::Error> {
        let place = self.0.get_mut(offset as usize..).ok_or(NorFlashErrorKind::OutOfBounds)?;
        for (old, new) in place.iter_mut().zip(bytes) {
            *old &= *new;
        }
        Ok(())
    }
}

/// The store's writer: a recipe put, its slot emptied, room made for a cycle's progress.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_store_put(flash: &mut [u8], slot: u8, recipe: &StoredRecipe) -> Result<(), StoreError> {
    let mut store = Store::open(Ram(flash))?;
    store.put(slot, recipe)?;
    store.erase(slot)?;
    store.make_room(1000)
}

/// Parameters and progress, written.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_store_keep(store: &mut Store<Ram<'_>>, params: &CheckedParams, controller: &Controller, recipe: u32) -> Result<(), StoreError> {
    store.put_params(params)?;
    let progress = Progress::of(controller.status(), None, recipe);
    if progress.is_due(store.progress().ok().as_ref()) {
        store.note(&progress)?;
    }
    Ok(())
}

/// The store as link and cycle use it: opened where it lies, hosts' recipes, a cycle's progress as it comes and as the power goes.
// SAFETY: as above.
#[unsafe(no_mangle)]
pub fn guard_shelf(shelf: &mut Shelf<Ram<'_>>, session: &mut Session, bytes: &[u8], controller: &mut Controller) -> Result<(), StoreError> {
    shelf.power_up()?;
    session.hear(bytes, controller, shelf, &mut |_: &[u8]| {});
    shelf.loaded_otherwise();
    shelf.note(controller.status())?;
    shelf.note_last(controller.status())
}
