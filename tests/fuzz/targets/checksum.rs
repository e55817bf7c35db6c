//! The checksum of pages `docs/link.md` and `docs/store.md`, bit by bit as the catalogue describes it.

/// CRC-32/ISO-HDLC: polynomial 0x04C11DB7 from the other end, begun with and turned by 0xFFFFFFFF.
pub fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |sum: u32, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
            (sum >> 1) ^ (0xEDB8_8320 & (sum & 1).wrapping_neg())
        })
    })
}
