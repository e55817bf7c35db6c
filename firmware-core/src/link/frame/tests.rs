//! Framing against published values, which stand on the page, and at its bounds.

use super::*;
use crate::link::page::{bytes, table};
use std::vec;
use std::vec::Vec;

/// Bytes stuffed, without checksum and delimiters.
fn stuffed(data: &[u8]) -> Vec<u8> {
    let mut out = vec![0; 2 * data.len() + 2];
    let mut frame = Frame {
        out: &mut out,
        at: 0,
        code_at: 0,
        code: 1,
        crc: digest(),
    };
    frame.open_group().expect("room");
    for byte in data {
        frame.stuff(*byte).expect("room");
    }
    frame.close_group();
    let len = frame.at;
    out.truncate(len);
    out
}

/// What a deframer holds of stuffed bytes when the delimiter comes; none where a group is cut off.
fn unstuffed(data: &[u8]) -> Option<Vec<u8>> {
    let mut deframer = Deframer::new();
    for byte in data {
        assert_eq!(deframer.hear(*byte), None);
    }
    (deframer.left == 0).then(|| deframer.plain[..deframer.len].to_vec())
}

fn heard(deframer: &mut Deframer, line: &[u8]) -> Vec<Vec<u8>> {
    let mut bodies = Vec::new();
    for byte in line {
        bodies.extend(deframer.hear(*byte).map(|body| body.bytes.to_vec()));
    }
    bodies
}

#[test]
fn stuffing_is_as_published() {
    let rows = table("stuffing");
    assert_eq!(rows.len(), 13);
    for row in rows {
        let (data, expected) = (bytes(&row[0]), bytes(&row[1]));
        assert_eq!(stuffed(&data), expected, "{row:?}");
        assert_eq!(unstuffed(&expected), Some(data), "{row:?}");
    }
    // A full group at the end with an empty one after it means the same.
    let mut longer = bytes("FF 01..FE");
    longer.push(1);
    assert_eq!(unstuffed(&longer), Some(bytes("01..FE")));
}

#[test]
fn the_checksum_is_as_published() {
    for row in table("checksum") {
        let expected = u32::from_str_radix(&row[1], 16).expect("hexadecimal");
        assert_eq!(crc32(&[row[0].as_bytes()]), expected);
    }
}

/// Whatever the line carries, as many bodies come of it as the page says.
#[test]
fn frames_are_taken_or_dropped_as_the_page_says() {
    for row in table("frames") {
        let bodies = heard(&mut Deframer::new(), &bytes(&row[1]));
        assert_eq!(std::format!("{}", bodies.len()), row[2], "{row:?}");
    }
}

#[test]
fn a_frame_of_any_length_comes_back_and_a_longer_one_is_dropped() {
    let mut deframer = Deframer::new();
    let mut out = [0; MAX_FRAME + 2];
    let body: Vec<u8> = (1..=255).cycle().take(MAX_BODY + 1).collect();
    for zeros in [0, 1, 7, 254, 255] {
        let mut body = body.clone();
        for place in body.iter_mut().take(zeros) {
            *place = 0;
        }
        for len in 1..=MAX_BODY + 1 {
            // A tuple of bytes is no list: nothing stands before them.
            let len_written = write(&Plain(&body[..len]), &mut out).expect("room");
            assert!(len > MAX_BODY || len_written <= MAX_FRAME, "{len}");
            let frame = &out[..len_written];
            assert_eq!(frame.iter().filter(|b| **b == DELIMITER).count(), 2);
            let expected: &[Vec<u8>] = &[body[..len].to_vec()];
            let expected = if len > MAX_BODY { &[] } else { expected };
            let before = deframer.dropped();
            assert_eq!(heard(&mut deframer, frame), expected, "{len}");
            let dropped = deframer.dropped() - before;
            assert_eq!(dropped, u32::from(len > MAX_BODY));
        }
    }
    let short = write(&Plain(&body[..20]), &mut out[..24]);
    assert_eq!(short, Err(postcard::Error::SerializeBufferFull));
}

/// A frame that goes on behind a sound end is not taken for what stands before it.
#[test]
fn a_frame_that_is_too_long_is_dropped_though_its_beginning_is_sound() {
    let body = [0x51; MAX_BODY];
    let sum = crc32(&[&body]).to_le_bytes();
    let line = |more: &[u8]| {
        let plain = [body.as_slice(), &sum, more].concat();
        [stuffed(&plain).as_slice(), &[DELIMITER]].concat()
    };
    let mut deframer = Deframer::new();
    assert_eq!(heard(&mut deframer, &line(&[])), [body.to_vec()]);
    for more in [&[7][..], &[7; 300]] {
        let before = deframer.dropped();
        assert_eq!(heard(&mut deframer, &line(more)), [] as [Vec<u8>; 0]);
        assert_eq!(deframer.dropped(), before + 1);
    }
}

/// Bytes as they are.
struct Plain<'a>(&'a [u8]);

impl Serialize for Plain<'_> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeTuple;
        let mut tuple = serializer.serialize_tuple(self.0.len())?;
        for byte in self.0 {
            tuple.serialize_element(byte)?;
        }
        tuple.end()
    }
}
