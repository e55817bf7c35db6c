//! Lists that are wrong: each slip has its line and column, and whatever the bytes, nothing panics.

use crate::{set, sheet};
use twinplate_shop::cost::{prices, record};
use twinplate_shop::lay_in::lay_in;
use twinplate_sim::files::FileError;

fn parts(text: &str) -> Vec<FileError> {
    lay_in("l.csv", text.as_bytes(), &set("glass-f800"), 1).expect_err(text)
}

fn priced(text: &str) -> Vec<FileError> {
    prices::read("p.csv", text.as_bytes()).expect_err(text)
}

fn recorded(text: &str) -> Vec<FileError> {
    record::read("r.csv", text.as_bytes()).expect_err(text)
}

type Read = fn(&str) -> Vec<FileError>;

/// Who reads it, the sheet, and the error that must be among those told: code, line, column.
const CASES: [(Read, &str, &str, usize, usize); 22] = [
    (parts, "part,thickness\na,0.55\n", "missing-unit", 1, 6),
    (parts, "part,size [mm]\na,0.55\n", "unknown-key", 1, 6),
    (parts, "thickness [mm]\n0.55\n", "missing-key", 1, 1),
    (parts, "part,thickness [mm]\n", "too-few-items", 1, 1),
    (
        parts,
        "part,thickness [mm]\na,0.55\na,0.56\n",
        "duplicate-name",
        3,
        1,
    ),
    (parts, "part,thickness [mm]\n,0.55\n", "bad-text", 2, 1),
    (parts, "part,thickness [mm]\na,0.39\n", "inconsistent", 2, 3),
    (
        parts,
        "part,thickness [mm],second [mm]\na,0.55,0.8\n",
        "inconsistent",
        2,
        8,
    ),
    (parts, "part,thickness [mm]\na,thick\n", "bad-number", 2, 3),
    (
        parts,
        "part,thickness [mm]\na,0.001\n",
        "out-of-range",
        2,
        3,
    ),
    (
        parts,
        "part,thickness [N]\na,0.55\n",
        "wrong-dimension",
        1,
        6,
    ),
    (priced, "what,price\nabrasive,3\n", "missing-key", 1, 1),
    (priced, "what,price,per\ngrit,3,kg\n", "unknown-word", 2, 1),
    (
        priced,
        "what,price,per\nabrasive,3,L\n",
        "unknown-unit",
        2,
        12,
    ),
    (
        priced,
        "what,price,per\nabrasive,-3,kg\n",
        "out-of-range",
        2,
        10,
    ),
    (
        priced,
        "what,price,per\nlabour,3,h\nlabour,4,h\n",
        "duplicate-name",
        3,
        1,
    ),
    (
        recorded,
        "start,time [min],good\n2026-03-02 06:10,21,15\n",
        "too-few-items",
        1,
        1,
    ),
    (
        recorded,
        "start,time [min],good\n2026-03-02 06:10,21,15\n2026-03-02 06:10,21,15\n",
        "inconsistent",
        3,
        1,
    ),
    (
        recorded,
        "start,time [min],good\n2026-02-30 06:10,21,15\n2026-03-02 06:10,21,15\n",
        "bad-text",
        2,
        1,
    ),
    (
        recorded,
        "start,time [min],good\n2026-03-02 06:10,21,14.5\n2026-03-02 07:10,21,15\n",
        "bad-number",
        2,
        21,
    ),
    (
        recorded,
        "start,time [min],good\n2026-03-02 06:10,21,0\n2026-03-02 07:10,21,0\n",
        "inconsistent",
        1,
        1,
    ),
    (
        recorded,
        "start,time [min],good\n2026-03-02 24:10,21,15\n2026-03-03 07:10,21,15\n",
        "bad-text",
        2,
        1,
    ),
];

#[test]
fn each_slip_has_its_place() {
    for (read, text, code, line, column) in CASES {
        let found: Vec<_> = read(text)
            .iter()
            .map(|error| (error.code, error.line, error.column))
            .collect();
        assert!(found.contains(&(code, line, column)), "{text}\n{found:?}");
    }
}

/// Good sheets with any byte changed or cut off there are read or refused; refusals have a place.
#[test]
fn no_byte_makes_anything_panic() {
    for (name, read) in [
        (
            "prices.csv",
            (|b: &[u8]| prices::read("x", b).err()) as fn(&[u8]) -> Option<Vec<FileError>>,
        ),
        ("record.csv", |b| record::read("x", b).err()),
    ] {
        let good = sheet(name).into_bytes();
        for at in 0..good.len() {
            for byte in [b',', b'"', b'\n', b'-', 0xff] {
                let mut bad = good.clone();
                bad[at] = byte;
                for errors in [read(&bad), read(&good[..at])].into_iter().flatten() {
                    assert!(!errors.is_empty());
                }
            }
        }
    }
}
