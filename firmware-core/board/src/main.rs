//! The controller on the board, in lockstep with the bench: it waits for a tick's inputs, answers with its outputs, and waits again.
//!
//! The two pipes are reached by semihosting (Arm, "Semihosting for AArch32 and AArch64", SYS_OPEN, SYS_READ, SYS_WRITE, SYS_EXIT):
//! the emulator stands still while a read waits, so that a run is the same run whatever else the host does.
#![no_std]
#![no_main]

mod host;
mod stack;

use core::panic::PanicInfo;
use cortex_m::peripheral::SYST;
use cortex_m::peripheral::syst::SystClkSource;
use cortex_m::singleton;
use cortex_m_rt::{ExceptionFrame, entry, exception};
use firmware_core::controller::Controller;
use lockstep::{Ask, LOCKSTEP_VERSION, LONGEST, Since, Told};

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
    let (Some(controller), Some(question), Some(answer)) = (
        singleton!(: Option<Controller> = None),
        singleton!(: [u8; LONGEST] = [0; LONGEST]),
        singleton!(: [u8; LONGEST] = [0; LONGEST]),
    ) else {
        host::leave()
    };
    let mut read = 0;
    loop {
        let message = host::read(asks, question);
        if message.is_empty() {
            // The bench has gone.
            host::leave();
        }
        let Ok(ask) = postcard::from_bytes::<Ask>(message) else {
            host::leave()
        };
        let told = match ask {
            Ask::Boot {
                version,
                params,
                boots,
            } => {
                let params = (version == LOCKSTEP_VERSION)
                    .then(|| params.check().ok())
                    .flatten();
                *controller = params.map(|params| Controller::new(params, boots));
                read = 0;
                let told = if controller.is_some() {
                    Told::<()>::Booted
                } else {
                    Told::NotMine
                };
                postcard::to_slice(&told, answer)
            }
            Ask::Tick {
                inputs,
                command,
                request,
            } => {
                let Some(controller) = controller else {
                    host::leave()
                };
                let began = SYST::get_current();
                let refusal = request.and_then(|request| controller.request(&request).err());
                controller.tick(&inputs, command);
                let counts = began.wrapping_sub(SYST::get_current()) & COUNTER;
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

/// Nothing can be put out from here but by the bench, which de-energises the machine when the line falls silent.
#[panic_handler]
fn panic(_: &PanicInfo) -> ! {
    host::leave()
}

#[exception]
unsafe fn HardFault(_: &ExceptionFrame) -> ! {
    host::leave()
}
