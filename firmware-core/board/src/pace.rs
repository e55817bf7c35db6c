//! The tick's clock: an interrupt every period. A tick that is not done when the next one is due is counted, and told to the controller.
//! Whoever is in a hurry has the periods begin one after another instead, without the timer: an emulator takes longer to sleep, and to
//! set a timer, than to tick. A tick that takes longer than a period is late either way.

use crate::clock;
use core::sync::atomic::{AtomicU32, Ordering::Relaxed};
use cortex_m::peripheral::SYST;
use cortex_m::peripheral::syst::SystClkSource;
use cortex_m_rt::exception;
use firmware_core::units::TICKS_PER_SECOND;

/// The board's clock, Hz.
const CLOCK: u32 = 25_000_000;
/// Counts of it in a period.
pub const PERIOD: u32 = CLOCK / TICKS_PER_SECOND;

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
    /// Nobody waits for the timer.
    hurry: bool,
}

impl Pace {
    /// Starts the clock.
    pub fn start(mut timer: SYST) -> Self {
        timer.set_clock_source(SystClkSource::Core);
        timer.set_reload(PERIOD - 1);
        timer.clear_current();
        timer.enable_interrupt();
        timer.enable_counter();
        Self {
            timer,
            overruns: 0,
            hurry: false,
        }
    }

    /// From the next period on: in a hurry or not.
    pub fn hurry(&mut self, hurry: bool) {
        self.hurry = hurry;
        if hurry {
            self.timer.disable_counter();
        } else {
            self.timer.enable_counter();
        }
    }

    /// A tick is done that began and ended where the clock stood at these: it was late if the next period has begun.
    pub fn done(&mut self, began: u32, ended: u32) {
        if self.hurry {
            DUE.store(clock::between(began, ended) / PERIOD, Relaxed);
        }
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
    /// not made up for: the machine's time is what its inputs say.
    pub fn wait(&mut self) -> bool {
        let late = DUE.load(Relaxed) > 0;
        while !self.hurry && DUE.load(Relaxed) == 0 {
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
