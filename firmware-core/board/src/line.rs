//! The bench's line, where a machine's field devices would be: one message of the bench, one answer.

use crate::host::{self, Pipe};
use crate::safe;
use lockstep::{Ask, LONGEST, Lent, Told};

/// The line.
pub struct Line {
    asks: Pipe,
    tells: Pipe,
    message: [u8; LONGEST],
    /// Where what follows a message begins and ends.
    rest: (usize, usize),
}

impl Line {
    /// Not open yet.
    pub const fn new() -> Self {
        Self {
            asks: Pipe::NONE,
            tells: Pipe::NONE,
            message: [0; LONGEST],
            rest: (0, 0),
        }
    }

    /// Opens it.
    pub fn open(&mut self) {
        (self.asks, self.tells) = host::open();
        safe::field(self.tells);
    }

    /// Waits for a message; ends where the bench has gone or says what is none.
    pub fn hear(&mut self) -> Ask {
        let heard = host::read(self.asks, &mut self.message);
        let length = heard.len();
        let Ok((ask, rest)) = postcard::take_from_bytes::<Ask>(heard) else {
            host::leave()
        };
        self.rest = (length.saturating_sub(rest.len()), length);
        ask
    }

    /// The bytes that followed the message.
    pub fn rest(&self) -> &[u8] {
        let (from, to) = self.rest;
        self.message.get(from..to).unwrap_or_default()
    }

    /// Answers.
    pub fn tell(&mut self, told: &Told<Lent<'_>>) {
        match told.write(&mut self.message) {
            Some(bytes) => host::write(self.tells, bytes),
            None => host::leave(),
        }
    }
}
