//! The controller on the board: a tick every millisecond, an operator's line on the UART, recipes and progress in flash. The bench plays
//! the field devices: a tick waits for its inputs from there, and its outputs go there.
//!
//! The bench is reached by semihosting (`line`). The emulator stands still while a read waits, so that a run is the same run whatever
//! else the host does. What comes over the operator's line is heard between two ticks.
#![no_std]
#![no_main]

mod clock;
mod flash;
mod host;
mod line;
mod pace;
mod safe;
mod seat;
mod stack;
mod uart;
mod watchdog;

use clock::Laps;
use core::panic::PanicInfo;
use cortex_m::singleton;
use cortex_m_rt::{ExceptionFrame, entry, exception};
use firmware_core::link::slots::Slots;
use firmware_core::process_image::Inputs;
use firmware_core::sequence::{Command, Refusal};
use firmware_core::units::Ticks;
use line::Line;
use lockstep::{Ask, Harm, LOCKSTEP_VERSION, Lent, Since, Told, Why, Wish};
use pace::Pace;
use seat::{Running, Seat};
use uart::Sender;

#[entry]
fn main() -> ! {
    let Some(peripherals) = cortex_m::Peripherals::take() else {
        host::leave()
    };
    stack::paint();
    // Not on the stack: what is measured there is to be the controller's.
    let (Some(line), Some(seat), Some(sender)) = (
        singleton!(: Line = Line::new()),
        singleton!(: Seat = Seat::new()),
        singleton!(: Sender = Sender::new()),
    ) else {
        host::leave()
    };
    line.open();
    clock::start();
    watchdog::start();
    uart::open();
    let mut board = Board {
        line,
        seat,
        sender,
        pace: Pace::start(peripherals.SYST),
        read: 0,
        link_counts: 0,
    };
    loop {
        board.once();
    }
}

/// Everything that takes part in a tick.
struct Board {
    line: &'static mut Line,
    seat: &'static mut Seat,
    sender: &'static mut Sender,
    pace: Pace,
    /// Running number of the next event for the bench.
    read: u32,
    /// Counts of the timer over what link and store did since the last answer.
    link_counts: u32,
}

/// What a tick came to, beside what stands in the controller.
struct Done {
    refusal: Option<Refusal>,
    counts: u32,
    check_counts: u32,
}

impl Board {
    /// One period, and what the bench asks in it.
    fn once(&mut self) {
        let late = self.pace.wait();
        match self.line.hear() {
            Ask::Boot {
                version,
                boots,
                silence,
                hurry,
            } => {
                self.pace.hurry(hurry);
                let mine = version == LOCKSTEP_VERSION && self.power_up(boots, silence);
                self.read = 0;
                self.line
                    .tell(&if mine { Told::Booted } else { Told::NotMine });
                self.pace.forget();
            }
            Ask::Tick {
                mut inputs,
                command,
                wish,
            } => {
                inputs.tick_overrun |= late;
                self.tick(inputs, command, wish);
            }
            Ask::Stack => {
                self.line.tell(&Told::Stack(stack::used()));
                self.pace.forget();
            }
            Ask::Suffer(harm) => self.suffer(harm),
        }
    }

    /// Powers the controller up with the parameters that came. False where they are none, or do not pass.
    #[inline(never)]
    fn power_up(&mut self, boots: u16, silence: Option<Ticks>) -> bool {
        postcard::from_bytes(self.line.rest())
            .is_ok_and(|params| self.seat.power_up(params, boots, silence))
    }

    /// What the bench does to the board.
    fn suffer(&mut self, harm: Harm) -> ! {
        match harm {
            Harm::Hang => loop {
                cortex_m::asm::nop();
            },
            Harm::Fault => cortex_m::asm::udf(),
            Harm::PowerFails => {
                if let Some(running) = self.seat.get() {
                    // What can be noted is; the power goes all the same.
                    let _ = running.shelf.note_last(running.controller.status());
                }
                safe::end(Why::PowerFails)
            }
        }
    }

    /// Inputs in, outputs out; then what must not hold them up.
    fn tick(&mut self, mut inputs: Inputs, command: Option<Command>, wish: Option<Wish>) {
        let Some(mut running) = self.seat.get() else {
            host::leave()
        };
        let mut laps = Laps::start();
        let began = laps.at();
        let command = before(&mut running, self.sender, &mut inputs, command);
        self.link_counts = self.link_counts.saturating_add(laps.lap());
        let rest = self.line.rest();
        let done = tick(&mut running, rest, &inputs, command, wish, &mut laps);
        let controller = &running.controller;
        let events = Since {
            log: controller.events(),
            from: self.read,
        };
        self.read = events.log.written();
        self.line.tell(&Told::Ticked(Lent {
            outputs: controller.outputs(),
            status: controller.status(),
            alarms: controller.alarms(),
            refusal: done.refusal,
            lost: events.lost(),
            events,
            counts: done.counts,
            check_counts: done.check_counts,
            link_counts: self.link_counts,
            overruns: self.pace.overruns(),
            stored: running.shelf.has_changed(),
        }));
        laps.lap();
        watchdog::feed(laps.at());
        after(&mut running, self.sender);
        self.link_counts = laps.lap();
        self.pace.done(began, laps.at());
    }
}

/// What came over the operator's line, and the command for this tick. The panel's comes first.
#[inline(never)]
fn before(
    running: &mut Running<'_>,
    sender: &mut Sender,
    inputs: &mut Inputs,
    panel: Option<Command>,
) -> Option<Command> {
    let Running {
        controller,
        session,
        shelf,
    } = running;
    let Some(session) = session else {
        return panel;
    };
    while let Some(byte) = uart::heard() {
        session.hear(&[byte], controller, *shelf, sender);
    }
    inputs.link_alive &= session.is_open();
    panel.or_else(|| session.command(controller))
}

/// The request, then the tick.
#[inline(never)]
fn tick(
    running: &mut Running<'_>,
    recipe: &[u8],
    inputs: &Inputs,
    command: Option<Command>,
    wish: Option<Wish>,
    laps: &mut Laps,
) -> Done {
    let Running {
        controller, shelf, ..
    } = running;
    let slot = match wish {
        Some(Wish::Recall(slot)) => Some(slot),
        _ => None,
    };
    let wanted = match wish {
        Some(Wish::LoadRecipe) if shelf.place().read(recipe).is_err() => host::leave(),
        Some(Wish::LoadRecipe) => true,
        // Elsewhere than at rest it is refused, and the memory is not asked: that may take longer than a tick has.
        Some(Wish::Recall(slot)) => {
            let status = controller.status();
            status.state.rests(status.phase) && shelf.get(slot).is_ok()
        }
        _ => false,
    };
    // What led here is neither the check's nor the tick's.
    laps.lap();
    let (sound, check_counts) = if wanted {
        let sound = shelf.place().sound(controller.params());
        (sound, laps.lap())
    } else {
        (None, 0)
    };
    let refusal = wish.and_then(|wish| wish.put(controller, sound).err());
    controller.tick(inputs, command);
    let counts = laps.lap();
    if wanted && refusal.is_none() {
        match slot {
            Some(slot) => shelf.loaded(slot),
            None => shelf.loaded_otherwise(),
        }
    }
    Done {
        refusal,
        counts,
        check_counts,
    }
}

/// Answers and telemetry, progress, and bytes to the operator's line.
#[inline(never)]
fn after(running: &mut Running<'_>, sender: &mut Sender) {
    let Running {
        controller,
        session,
        shelf,
    } = running;
    if let Some(session) = session {
        session.ticked(controller, sender);
        sender.send();
    }
    // The cycle goes on without.
    let _ = shelf.note(controller.status());
}

/// No panic is in the image (a test of the image says so); one that a change brings in ends safely.
#[panic_handler]
fn panic(_: &PanicInfo) -> ! {
    safe::end(Why::Panic)
}

#[exception]
unsafe fn HardFault(_: &ExceptionFrame) -> ! {
    safe::end(Why::Fault)
}
