//! The operator's line: the board's first UART (Arm, "Cortex-M System Design Kit", APB UART). What comes is kept by its interrupt and
//! heard between two ticks; what goes is sent as fast as a line of 115,200 baud would take it.

use core::sync::atomic::{AtomicU8, Ordering::Relaxed};
use cortex_m::peripheral::NVIC;
use firmware_core::link::session::Out;

const BASE: usize = 0x4000_4000;
const DATA: usize = BASE;
const STATE: usize = BASE + 4;
const CONTROL: usize = BASE + 8;
const INTERRUPT: usize = BASE + 12;
const DIVIDER: usize = BASE + 16;

const SENDER_FULL: u32 = 1;
const RECEIVER_FULL: u32 = 2;
/// Sender and receiver on, and the receiver's interrupt.
const ON: u32 = 0b1011;
/// Clears the receiver's interrupt.
const RECEIVED: u32 = 2;
/// 25 MHz over 115,200 baud.
const BAUD: u32 = 217;

/// Bytes that go in a tick: 115,200 baud, ten bits each.
const A_TICK: u32 = 11;
/// Bytes that wait to go; a power of two, and more than the longest frame.
const WAITING: usize = 1024;

/// What came and was not heard yet. Places count in a byte, so that they are round by themselves.
static CAME: [AtomicU8; 256] = [const { AtomicU8::new(0) }; 256];
static END: AtomicU8 = AtomicU8::new(0);
static BEGIN: AtomicU8 = AtomicU8::new(0);

fn read(at: usize) -> u32 {
    // SAFETY: a register of this UART, which nobody else uses.
    unsafe { (at as *const u32).read_volatile() }
}

fn write(at: usize, value: u32) {
    // SAFETY: as above.
    unsafe { (at as *mut u32).write_volatile(value) }
}

/// Interrupts of the board: the receiver's is the first, the others are not enabled.
#[unsafe(link_section = ".vector_table.interrupts")]
#[unsafe(no_mangle)]
pub static __INTERRUPTS: [extern "C" fn(); 1] = [received];

/// The receiver's number.
#[derive(Clone, Copy)]
struct Receiver;

// SAFETY: the number is that of the board.
unsafe impl cortex_m::interrupt::InterruptNumber for Receiver {
    fn number(self) -> u16 {
        0
    }
}

/// Keeps a byte. Where there is no room it is lost, and its frame with it: the host asks again.
extern "C" fn received() {
    // First: what comes after the last look asks again.
    write(INTERRUPT, RECEIVED);
    while read(STATE) & RECEIVER_FULL != 0 {
        let [byte, ..] = read(DATA).to_le_bytes();
        let end = END.load(Relaxed);
        let next = end.wrapping_add(1);
        if next != BEGIN.load(Relaxed)
            && let Some(place) = CAME.get(usize::from(end))
        {
            place.store(byte, Relaxed);
            END.store(next, Relaxed);
        }
    }
}

/// Opens the line.
pub fn open() {
    write(DIVIDER, BAUD);
    write(CONTROL, ON);
    // SAFETY: its handler touches nothing but what stands here.
    unsafe { NVIC::unmask(Receiver) };
}

/// The next byte that came.
pub fn heard() -> Option<u8> {
    let begin = BEGIN.load(Relaxed);
    if begin == END.load(Relaxed) {
        return None;
    }
    let byte = CAME.get(usize::from(begin))?.load(Relaxed);
    BEGIN.store(begin.wrapping_add(1), Relaxed);
    Some(byte)
}

/// What is to go.
pub struct Sender {
    bytes: [u8; WAITING],
    begin: usize,
    count: usize,
}

impl Sender {
    /// Nothing to send.
    pub const fn new() -> Self {
        Self {
            bytes: [0; WAITING],
            begin: 0,
            count: 0,
        }
    }

    /// Sends what a tick's time takes.
    pub fn send(&mut self) {
        for _ in 0..A_TICK {
            if self.count == 0 || read(STATE) & SENDER_FULL != 0 {
                return;
            }
            if let Some(byte) = self.bytes.get(self.begin % WAITING) {
                write(DATA, u32::from(*byte));
            }
            self.begin = self.begin.wrapping_add(1) % WAITING;
            self.count = self.count.wrapping_sub(1);
        }
    }
}

impl Out for Sender {
    /// Takes a frame, all of it or nothing: where there is no room the host asks again.
    fn frame(&mut self, frame: &[u8]) {
        if frame.len() > WAITING.saturating_sub(self.count) {
            return;
        }
        for byte in frame {
            let at = self.begin.wrapping_add(self.count) % WAITING;
            if let Some(place) = self.bytes.get_mut(at) {
                *place = *byte;
            }
            self.count = self.count.wrapping_add(1);
        }
    }
}
