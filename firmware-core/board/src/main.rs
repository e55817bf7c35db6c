//! The controller on the board, in lockstep with the bench: it waits for a tick's inputs, answers with its outputs, and waits again.
//!
//! The two pipes are reached by semihosting (Arm, "Semihosting for AArch32 and AArch64", SYS_OPEN, SYS_READ, SYS_WRITE, SYS_EXIT):
//! the emulator stands still while a read waits, so that a run is the same run whatever else the host does.
#![no_std]
#![no_main]

mod host;
mod seat;
mod stack;

use core::panic::PanicInfo;
use cortex_m::peripheral::SYST;
use cortex_m::peripheral::syst::SystClkSource;
use cortex_m::singleton;
use cortex_m_rt::{ExceptionFrame, entry, exception};
use firmware_core::recipe::RecipeWire;
use seat::Seat;
use lockstep::{Ask, LOCKSTEP_VERSION, LONGEST, Since, Told, Wish};

/// SysTick counts down over 24 bits.
const COUNTER: u32 = 0x00FF_FFFF;

#[entry]
fn main() -> ! {
    let Some(peripherals) = cortex_m::Peripherals::take() else {
        host::leave()
    };
    let mut timer = peripherals.SYST;
    timer.set_clock_source(SystClkSource::Core);
    timer.set_reload(COUNTER);
    timer.clear_current();
    timer.enable_counter();
    stack::paint();
    let (asks, tells) = host::open();
    // Not on the stack: what is measured there is to be the controller's.
    let (Some(seat), Some(recipe), Some(message)) = (
        singleton!(: Seat = Seat::new()),
        singleton!(: RecipeWire = RecipeWire::EMPTY),
        singleton!(: [u8; LONGEST] = [0; LONGEST]),
    ) else {
        host::leave()
    };
    let mut read = 0;
    loop {
        let heard = host::read(asks, message);
        if heard.is_empty() {
            // The bench has gone.
            host::leave();
        }
        let Ok((ask, rest)) = postcard::take_from_bytes::<Ask>(heard) else {
            host::leave()
        };
        if let Ask::Tick { wish, .. } = ask
            && matches!(wish, Some(Wish::LoadRecipe))
            && recipe.read(rest).is_err()
        {
            host::leave();
        }
        let answer = &mut *message;
        let told = match ask {
            Ask::Boot {
                version,
                params,
                boots,
            } => {
                let mine = version == LOCKSTEP_VERSION && seat.power_up(params, boots);
                read = 0;
                let told = if mine {
                    Told::<()>::Booted
                } else {
                    Told::NotMine
                };
                postcard::to_slice(&told, answer)
            }
            Ask::Tick {
                inputs,
                command,
                wish,
            } => {
                let Some(controller) = seat.get() else {
                    host::leave()
                };
                let began = SYST::get_current();
                let sound = match wish {
                    Some(Wish::LoadRecipe) => recipe.sound(controller.params()),
                    _ => None,
                };
                let check_counts = since(began);
                let began = SYST::get_current();
                let refusal = wish.and_then(|wish| wish.put(controller, sound).err());
                controller.tick(&inputs, command);
                let counts = since(began);
                let events = Since {
                    log: controller.events(),
                    from: read,
                };
                read = events.log.written();
                let told = Told::Ticked {
                    outputs: *controller.outputs(),
                    status: *controller.status(),
                    alarms: *controller.alarms(),
                    refusal,
                    lost: events.lost(),
                    events,
                    counts,
                    check_counts,
                };
                postcard::to_slice(&told, answer)
            }
            Ask::Stack => postcard::to_slice(&Told::<()>::Stack(stack::used()), answer),
        };
        match told {
            Ok(bytes) => host::write(tells, bytes),
            Err(_) => host::leave(),
        }
    }
}

/// Counts of the timer since it stood there.
fn since(began: u32) -> u32 {
    began.wrapping_sub(SYST::get_current()) & COUNTER
}

/// Nothing can be put out from here but by the bench, which de-energises the machine when the line falls silent.
#[panic_handler]
fn panic(_: &PanicInfo) -> ! {
    host::leave()
}

#[exception]
unsafe fn HardFault(_: &ExceptionFrame) -> ! {
    host::leave()
}
