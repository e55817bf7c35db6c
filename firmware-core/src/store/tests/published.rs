//! The two formats that the store is made of, against what others have published.

use crate::checksum::crc32;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::fmt::Debug;
use std::vec::Vec;

/// Catalogue of parametrised CRC algorithms (G. Cook), CRC-32/ISO-HDLC: what is left of a message and its sum, 0xDEBB20E3 before the last
/// exclusive or. The messages are that entry's, among them those of AUTOSAR's Specification of CRC Routines; they were written down from
/// memory, and zlib agrees with each.
#[test]
fn messages_of_the_catalogue_leave_its_residue() {
    let messages = [
        "F20183779DAB24",
        "0FAA005587B2C9B6",
        "00FF55111262A032",
        "332255AABBCCDDEEFF3D86AEB0",
        "926B559BA2DE9C",
        "FFFFFFFFFFFFFFFF",
        "C008300028CFE9521D3B08EA449900E808EA449900E8300102007E649416",
        "6173640ACEDE2D15",
    ];
    for message in messages {
        let bytes = super::page::bytes(message);
        let (data, sum) = bytes.split_last_chunk::<4>().unwrap();
        assert_eq!(crc32(&[data]), u32::from_le_bytes(*sum), "{message}");
        assert_eq!(!crc32(&[&bytes]), 0xDEBB_20E3, "{message}");
    }
}

fn bytes_of<T: Serialize>(value: &T) -> Vec<u8> {
    postcard::to_slice(value, &mut [0; 64]).unwrap().to_vec()
}

/// Both ways.
fn row<T: Serialize + DeserializeOwned + PartialEq + Debug>(value: T, bytes: &[u8]) {
    assert_eq!(bytes_of(&value), bytes, "{value:?}");
    assert_eq!(postcard::from_bytes::<T>(bytes), Ok(value));
}

// The rows are those of postcard's specification, spec/src/wire-format.md of its repository, section by section.

/// "Unsigned Integer Encoding".
#[test]
fn unsigned_numbers_are_those_of_the_specification() {
    row(0_u16, &[0x00]);
    row(127_u16, &[0x7F]);
    row(128_u16, &[0x80, 0x01]);
    row(16_383_u16, &[0xFF, 0x7F]);
    row(16_384_u16, &[0x80, 0x80, 0x01]);
    row(16_385_u16, &[0x81, 0x80, 0x01]);
    row(65_535_u16, &[0xFF, 0xFF, 0x03]);
}

/// "Signed Integer Encoding". Its row for 32767 is an erratum: it gives FF FF 02, which by its own rule (zigzag FFFE, seven bits a byte) is
/// FE FF 03; FF FF 02 is 49151 zigzagged, −24576. That row is left out, and what the rule gives is held beside the others.
#[test]
fn signed_numbers_are_those_of_the_specification() {
    row(0_i16, &[0x00]);
    row(-1_i16, &[0x01]);
    row(1_i16, &[0x02]);
    row(63_i16, &[0x7E]);
    row(-64_i16, &[0x7F]);
    row(64_i16, &[0x80, 0x01]);
    row(-65_i16, &[0x81, 0x01]);
    row(-32_768_i16, &[0xFF, 0xFF, 0x03]);
    row(32_767_i16, &[0xFE, 0xFF, 0x03]);
    assert_eq!(
        postcard::from_bytes::<i16>(&[0xFF, 0xFF, 0x02]),
        Ok(-24_576)
    );
}

/// "Canonicalization": what is accepted and what is not.
#[test]
fn spare_bytes_of_a_number_are_accepted_up_to_its_length() {
    let read = postcard::from_bytes::<u16>;
    assert_eq!(read(&[0x00]), Ok(0));
    assert_eq!(read(&[0x80, 0x00]), Ok(0));
    assert_eq!(read(&[0x80, 0x80, 0x00]), Ok(0));
    assert!(read(&[0x80, 0x80, 0x80, 0x00]).is_err());
    assert_eq!(read(&[0xFF, 0xFF, 0x03]), Ok(65_535));
    assert!(read(&[0xFF, 0xFF, 0x07]).is_err());
    assert!(read(&[0xFF, 0xFF, 0x83, 0x00]).is_err());
}

/// "Maximum Encoded Length", for the widths that the store has.
#[test]
fn the_longest_numbers_are_as_long_as_the_specification_says() {
    assert_eq!(bytes_of(&u16::MAX).len(), 3);
    assert_eq!(bytes_of(&i16::MIN).len(), 3);
    assert_eq!(bytes_of(&u32::MAX).len(), 5);
    assert_eq!(bytes_of(&i32::MIN).len(), 5);
    assert_eq!(bytes_of(&u64::MAX).len(), 10);
    assert_eq!(bytes_of(&i64::MIN).len(), 10);
}

/// "bool", "f32", "f64", "option", "string", "seq", "tuple", "unit_variant", "newtype_variant".
#[test]
#[allow(clippy::excessive_precision)] // as it is printed there
fn the_other_types_are_those_of_the_specification() {
    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    enum Choice {
        First,
        Second(u16),
    }
    row(false, &[0x00]);
    row(true, &[0x01]);
    assert!(postcard::from_bytes::<bool>(&[0x02]).is_err());
    row(-32.005_859_375_f32, &[0x00, 0x06, 0x00, 0xC2]);
    row(
        -32.005_859_375_f64,
        &[0x00, 0x00, 0x00, 0x00, 0xC0, 0x00, 0x40, 0xC0],
    );
    row(None::<u8>, &[0x00]);
    row(Some(5_u8), &[0x01, 0x05]);
    row(
        heapless::String::<8>::try_from("abc").unwrap(),
        &[0x03, 0x61, 0x62, 0x63],
    );
    row(
        heapless::Vec::<u16, 4>::from_slice(&[1, 128]).unwrap(),
        &[0x02, 0x01, 0x80, 0x01],
    );
    row((1_u8, 128_u16), &[0x01, 0x80, 0x01]);
    row(Choice::First, &[0x00]);
    row(Choice::Second(128), &[0x01, 0x80, 0x01]);
}
