//! The tick's clock: an interrupt every period. A tick that is not done when the next one is due is counted, and told to the controller.

use core::sync::atomic::{AtomicU32, Ordering::Relaxed};
use cortex_m::peripheral::syst::SystClkSource;
use cortex_m::peripheral::{SCB, SYST};
use cortex_m_rt::exception;
use firmware_core::units::TICKS_PER_SECOND;

/// The board's clock, Hz.
pub const CLOCK: u32 = 25_000_000;

/// Periods that have begun and are not answered yet.
static DUE: AtomicU32 = AtomicU32::new(0);

#[exception]
fn SysTick() {
    // On this processor nothing comes between the two but what stands above this interrupt, and that does not touch it.
    DUE.store(DUE.load(Relaxed).saturating_add(1), Relaxed);
}

/// Periods.
pub struct Pace {
    timer: SYST,
    overruns: u32,
}

impl Pace {
    /// Starts the clock.
    pub fn start(mut timer: SYST) -> Self {
        timer.set_clock_source(SystClkSource::Core);
        timer.set_reload(CLOCK / TICKS_PER_SECOND - 1);
        timer.clear_current();
        timer.enable_interrupt();
        timer.enable_counter();
        Self { timer, overruns: 0 }
    }

    /// A tick is done: it was late if the next period has begun.
    pub fn done(&mut self) {
        self.overruns = self.overruns.saturating_add(DUE.load(Relaxed));
    }

    /// Periods that began before the tick of the one before was done.
    pub const fn overruns(&self) -> u32 {
        self.overruns
    }

    /// Forgets what is due: what took so long was no tick.
    pub fn forget(&self) {
        DUE.store(0, Relaxed);
    }

    /// Sleeps until a period begins. True where one has begun already: the tick before was late. Periods that went by meanwhile are
    /// not made up for: the machine's time is what its inputs say. Whoever is in a hurry does not sleep, but begins the period at once:
    /// an emulator takes longer to sleep than to tick.
    pub fn wait(&mut self, hurry: bool) -> bool {
        let late = DUE.load(Relaxed) > 0;
        if hurry && !late {
            // What the timer does at the end of a period.
            self.timer.clear_current();
            SCB::set_pendst();
            cortex_m::asm::isb();
        }
        while DUE.load(Relaxed) == 0 {
            // An interrupt between the look and the sleep still ends the sleep: it is pending.
            cortex_m::interrupt::disable();
            if DUE.load(Relaxed) == 0 {
                cortex_m::asm::wfi();
            }
            // SAFETY: they were enabled before.
            unsafe { cortex_m::interrupt::enable() };
        }
        self.forget();
        late
    }
}
