//! Frames: one message each, between two delimiters.
//!
//! Body and checksum (CRC-32/ISO-HDLC over the body, least significant byte first) are stuffed with COBS (Cheshire and Baker 1999), so
//! that the delimiter, a zero byte, stands nowhere inside. A sender begins and ends each frame with it: whatever noise came before, the
//! frame is understood. Both directions work byte by byte in one bounded buffer.

use crate::checksum::{Digest, crc32, digest};
use postcard::ser_flavors::Flavor;
use serde::Serialize;

/// Longest body, bytes: a recipe with all steps and ring settings, and what stands before it.
pub const MAX_BODY: usize = 900;
/// Body and checksum.
const MAX_PLAIN: usize = MAX_BODY + TRAILER;
/// Bytes of the checksum.
const TRAILER: usize = 4;
/// Longest group of COBS, its code included.
const FULL: u8 = 0xFF;
/// Longest frame, bytes: body and checksum, a code for every 254 of them and the first, two delimiters.
pub const MAX_FRAME: usize = MAX_PLAIN + MAX_PLAIN / 254 + 1 + 2;
/// What stands between frames, and nowhere in one.
pub const DELIMITER: u8 = 0;

/// Writes a message as one frame into `out`; gives its length.
///
/// # Errors
/// The message does not fit. Of the core's own messages each fits [`MAX_FRAME`].
pub fn write<T: Serialize + ?Sized>(message: &T, out: &mut [u8]) -> postcard::Result<usize> {
    let mut frame = Frame {
        out,
        at: 0,
        code_at: 0,
        code: 1,
        crc: digest(),
    };
    frame.put(DELIMITER)?;
    frame.open_group()?;
    postcard::serialize_with_flavor(message, frame)
}

/// A frame being written: counts the checksum and stuffs as the bytes come.
struct Frame<'a> {
    out: &'a mut [u8],
    /// Place of the next byte.
    at: usize,
    /// Place of the open group's code.
    code_at: usize,
    code: u8,
    crc: Digest,
}

impl Frame<'_> {
    fn put(&mut self, byte: u8) -> postcard::Result<()> {
        let place = self.out.get_mut(self.at);
        *place.ok_or(postcard::Error::SerializeBufferFull)? = byte;
        self.at = self.at.wrapping_add(1);
        Ok(())
    }

    fn open_group(&mut self) -> postcard::Result<()> {
        self.code_at = self.at;
        self.code = 1;
        self.put(self.code)
    }

    fn close_group(&mut self) {
        if let Some(code) = self.out.get_mut(self.code_at) {
            *code = self.code;
        }
    }

    fn stuff(&mut self, byte: u8) -> postcard::Result<()> {
        // A full group stands for no zero after it; the next one is opened only where a byte follows.
        if self.code == FULL {
            self.close_group();
            self.open_group()?;
        }
        if byte == DELIMITER {
            self.close_group();
            self.open_group()
        } else {
            self.code = self.code.wrapping_add(1);
            self.put(byte)
        }
    }
}

impl Flavor for Frame<'_> {
    type Output = usize;

    // Once: every field of every message comes by here.
    #[inline(never)]
    fn try_push(&mut self, byte: u8) -> postcard::Result<()> {
        self.crc.update(&[byte]);
        self.stuff(byte)
    }

    fn finalize(mut self) -> postcard::Result<usize> {
        for byte in self.crc.clone().finalize().to_le_bytes() {
            self.stuff(byte)?;
        }
        self.close_group();
        self.put(DELIMITER)?;
        Ok(self.at)
    }
}

/// A body whose checksum was right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Body<'a> {
    /// The message.
    pub bytes: &'a [u8],
    /// Its checksum.
    pub crc: u32,
}

/// Makes bodies of bytes. Garbage, truncated, damaged and overlong frames are dropped, each up to its delimiter.
#[derive(Clone, Debug)]
pub struct Deframer {
    plain: [u8; MAX_PLAIN],
    len: usize,
    /// Bytes until the open group's end.
    left: u8,
    /// A zero stands between the open group and the next.
    zero: bool,
    /// Too long: nothing more is taken before the delimiter.
    overlong: bool,
    dropped: u32,
}

impl Deframer {
    /// Between two frames.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            plain: [0; MAX_PLAIN],
            len: 0,
            left: 0,
            zero: false,
            overlong: false,
            dropped: 0,
        }
    }

    /// Frames dropped since the beginning, saturating; empty ones do not count.
    #[must_use]
    pub const fn dropped(&self) -> u32 {
        self.dropped
    }

    /// Takes a byte; gives a body when it ends a sound frame.
    pub fn hear(&mut self, byte: u8) -> Option<Body<'_>> {
        if byte == DELIMITER {
            return self.end();
        }
        if self.left > 0 {
            self.left = self.left.wrapping_sub(1);
            self.take(byte);
        } else {
            if self.zero {
                self.take(DELIMITER);
            }
            self.left = byte.wrapping_sub(1);
            self.zero = byte != FULL;
        }
        None
    }

    fn take(&mut self, byte: u8) {
        match self.plain.get_mut(self.len) {
            Some(place) => {
                *place = byte;
                self.len = self.len.wrapping_add(1);
            }
            None => self.overlong = true,
        }
    }

    fn end(&mut self) -> Option<Body<'_>> {
        let empty = self.len == 0 && self.left == 0 && !self.zero && !self.overlong;
        let whole = self.left == 0 && !self.overlong;
        let len = self.len;
        (self.len, self.left, self.zero, self.overlong) = (0, 0, false, false);
        if empty {
            return None;
        }
        let body = self
            .plain
            .get(..len)
            .filter(|_| whole)
            .and_then(|plain| plain.split_last_chunk::<TRAILER>())
            .map(|(bytes, trailer)| (bytes, u32::from_le_bytes(*trailer)))
            .filter(|(bytes, crc)| !bytes.is_empty() && crc32(&[bytes]) == *crc)
            .map(|(bytes, crc)| Body { bytes, crc });
        if body.is_none() {
            self.dropped = self.dropped.saturating_add(1);
        }
        body
    }
}

impl Default for Deframer {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
mod tests;
