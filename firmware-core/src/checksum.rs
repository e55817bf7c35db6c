//! CRC-32 of what is kept and of what goes over a line: CRC-32/ISO-HDLC of the catalogue of parametrised CRC algorithms, the one of
//! Ethernet and of zip files.

use postcard::ser_flavors::Flavor;
use serde::Serialize;

static CRC_32: crc::Crc<u32> = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC);

/// A checksum under way.
pub(crate) type Digest = crc::Digest<'static, u32>;

/// Begins a checksum.
pub(crate) fn digest() -> Digest {
    CRC_32.digest()
}

/// Checksum of bytes that lie in several pieces.
pub(crate) fn crc32(pieces: &[&[u8]]) -> u32 {
    let mut digest = digest();
    for piece in pieces {
        digest.update(piece);
    }
    digest.finalize()
}

/// Checksum of a value's postcard bytes, without a place to put them. `None` where postcard has no form for the value.
pub(crate) fn crc32_of<T: Serialize>(value: &T) -> Option<u32> {
    postcard::serialize_with_flavor(value, Sum(digest())).ok()
}

/// Takes the bytes of a value, and keeps their checksum.
struct Sum(Digest);

impl Flavor for Sum {
    type Output = u32;

    // Once: every field of every value comes by here.
    #[inline(never)]
    fn try_push(&mut self, byte: u8) -> postcard::Result<()> {
        self.0.update(&[byte]);
        Ok(())
    }

    fn finalize(self) -> postcard::Result<u32> {
        Ok(self.0.finalize())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Catalogue of parametrised CRC algorithms, CRC-32/ISO-HDLC: check 0xCBF43926, the sum of the digits 1 to 9 in ASCII.
    #[test]
    fn the_sum_is_that_of_the_catalogue_in_one_piece_and_in_several() {
        assert_eq!(crc32(&[b"123456789"]), 0xCBF4_3926);
        assert_eq!(crc32(&[b"1234", b"", b"56789"]), 0xCBF4_3926);
        assert_eq!(crc32(&[]), 0);
    }

    #[test]
    fn the_sum_of_a_value_is_that_of_its_bytes() {
        let value = (1_u8, 300_u16, "text");
        let mut bytes = [0; 32];
        let bytes = postcard::to_slice(&value, &mut bytes).unwrap();
        assert_eq!(crc32_of(&value), Some(crc32(&[bytes])));
    }
}
