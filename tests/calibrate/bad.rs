//! Sheets that are wrong: every error has its place and its cure, all of them at once, and nothing panics whatever the bytes.

use twinplate_calibrate::{actuator, cell, removal};
use twinplate_sim::demo;
use twinplate_sim::files::FileError;

fn of_cell(sheet: &[u8]) -> Vec<FileError> {
    cell::calibrate("sheet.csv", sheet, None)
        .err()
        .unwrap_or_default()
}

fn of_removal(sheet: &[u8]) -> Vec<FileError> {
    removal::calibrate("sheet.csv", sheet, None)
        .err()
        .unwrap_or_default()
}

/// Code, line and column of each error, in order.
fn places(errors: &[FileError]) -> Vec<(&'static str, usize, usize)> {
    errors
        .iter()
        .map(|error| (error.code, error.line, error.column))
        .collect()
}

const GOOD_CELL: &str = "# dead weights\nload [N], reading [mV/V], run\n0, 0.0, 1\n100, 0.2, 1\n200, 0.4, 1\n300, 0.6, 1\n0, 0.0, 2\n100, 0.21, 2\n200, 0.4, 2\n300, 0.6, 2\n";
const GOOD_TRIALS: &str = "before [mm], after [mm], pressure [kPa], speed [m/s], time [min]\n5, 4.9, 10, 0.5, 10\n5, 4.8, 20, 0.5, 10\n5, 4.79, 20, 0.5, 10\n5, 4.805, 10, 1, 10\n5, 4.85, 10, 1, 7\n";

#[test]
fn the_good_sheets_are_good() {
    assert_eq!(of_cell(GOOD_CELL.as_bytes()), []);
    assert_eq!(of_removal(GOOD_TRIALS.as_bytes()), []);
}

/// One change to a good sheet, and what it earns.
#[test]
fn each_slip_is_named_at_its_place() {
    type Slip<'a> = (&'a str, &'a str, &'a [(&'static str, usize, usize)]);
    let slips: &[Slip<'_>] = &[
        ("load [N]", "load", &[("missing-unit", 2, 1)]),
        ("load [N]", "load [mm]", &[("wrong-dimension", 2, 1)]),
        ("load [N]", "load [newtonn]", &[("unknown-unit", 2, 1)]),
        (
            "load [N]",
            "laod [N]",
            &[("unknown-key", 2, 1), ("missing-key", 2, 1)],
        ),
        (
            "reading [mV/V]",
            "load [N]",
            &[("missing-key", 2, 1), ("duplicate-key", 2, 11)],
        ),
        ("200, 0.4, 1", "200, much, 1", &[("bad-number", 5, 6)]),
        ("200, 0.4, 1", "200, , 1", &[("bad-number", 5, 6)]),
        ("200, 0.4, 1", "200, nan, 1", &[("not-finite", 5, 6)]),
        ("200, 0.4, 1", "200, 4 V, 1", &[("bad-number", 5, 6)]),
        (
            "200, 0.4, 1",
            "20 kPa, 0.4, 1",
            &[("wrong-dimension", 5, 1)],
        ),
        ("200, 0.4, 1", "-200, 0.4, 1", &[("out-of-range", 5, 1)]),
        ("200, 0.4, 1", "200, 0.4", &[("too-few-items", 5, 1)]),
        ("200, 0.4, 1", "200, 0,4, 1", &[("too-many-items", 5, 1)]),
        ("300, 0.6, 1", "50, 0.1, 1", &[("inconsistent", 6, 1)]),
        (
            "run\n",
            "direction\n",
            &[
                ("unknown-word", 3, 9),
                ("unknown-word", 4, 11),
                ("unknown-word", 5, 11),
                ("unknown-word", 6, 11),
                ("unknown-word", 7, 9),
                ("unknown-word", 8, 12),
                ("unknown-word", 9, 11),
                ("unknown-word", 10, 11),
            ],
        ),
    ];
    for (old, new, due) in slips {
        let sheet = GOOD_CELL.replacen(old, new, 1);
        let found = of_cell(sheet.as_bytes());
        assert_eq!(places(&found), *due, "{new}\n{found:#?}");
    }
    let slips: &[Slip<'_>] = &[
        ("after [mm]", "after [kN]", &[("wrong-dimension", 1, 14)]),
        ("4.8,", "5.1,", &[("inconsistent", 3, 4)]),
        ("4.8,", "4.8 in,", &[("inconsistent", 3, 4)]),
        ("pressure [kPa]", "load [N]", &[("missing-key", 1, 1)]),
        ("speed [m/s]", "lower [rpm]", &[("missing-key", 1, 1); 4]),
        (
            "time [min]",
            "tiem [min]",
            &[("missing-key", 1, 1), ("unknown-key", 1, 55)],
        ),
        ("10, 0.5, 10", "0, 0.5, 10", &[("out-of-range", 2, 9)]),
        (
            "time [min]",
            "pressure [bar]",
            &[("missing-key", 1, 1), ("duplicate-key", 1, 55)],
        ),
    ];
    for (old, new, due) in slips {
        let sheet = GOOD_TRIALS.replacen(old, new, 1);
        let found = of_removal(sheet.as_bytes());
        assert_eq!(places(&found), *due, "{new}\n{found:#?}");
    }
}

/// A misspelt heading is met with the one that was meant; every error says what was expected.
#[test]
fn every_error_says_how_to_mend_it() {
    let found = of_cell(GOOD_CELL.replace("load [N]", "laod [N]").as_bytes());
    assert!(
        found
            .iter()
            .any(|error| error.nearest.as_deref() == Some("load")),
        "{found:?}"
    );
    let many = GOOD_CELL.replace("0.4", "much").replace("load [N]", "load");
    let found = of_cell(many.as_bytes());
    assert_eq!(found.len(), 3, "all at once: {found:?}");
    for sheet in [
        "",
        "# nothing\n\n",
        "load [N], reading\n",
        "load [N], reading\n1,1\n2,2\n",
        "\u{0}",
        "load\u{1b}[N]\n",
    ] {
        for found in [of_cell(sheet.as_bytes()), of_removal(sheet.as_bytes())] {
            assert!(!found.is_empty(), "{sheet:?}");
            for error in found {
                assert!(
                    !error.expected.is_empty() && error.line >= 1 && error.column >= 1,
                    "{error:?}"
                );
            }
        }
    }
    assert_eq!(
        places(&of_cell(b"load [N], reading\n1, \xff\n")),
        [("not-utf8", 2, 1)]
    );
    let long = vec![b'1'; 2 << 20];
    assert_eq!(of_cell(&long)[0].code, "file-too-large");
    let rows = "1,1\n".repeat(10_001);
    assert_eq!(
        of_cell(format!("load [N],reading\n{rows}").as_bytes())[0].code,
        "too-many-items"
    );
}

/// Readings that do not follow the load give no curve, however well a straight line without slope fits them.
#[test]
fn readings_that_do_not_change_are_no_calibration() {
    for readings in [
        [5.0; 4],
        [1.0, -1.0, 1.0, -1.0],
        [1e300, 2e300, 3e300, -1e300],
    ] {
        let mut sheet = "load [N], reading\n".to_owned();
        for (n, reading) in readings.iter().enumerate() {
            sheet += &format!("{}, {reading:e}\n", n + 1);
        }
        assert_eq!(
            places(&of_cell(sheet.as_bytes())),
            [("inconsistent", 1, 1)],
            "{sheet}"
        );
    }
}

/// A byte order mark, other line ends and separators, blank rows of a spreadsheet, quotation marks: read as they are meant.
#[test]
fn spellings_of_one_sheet_are_one() {
    let plain = cell::calibrate("sheet.csv", GOOD_CELL.as_bytes(), None).expect("reads");
    for text in [
        format!("\u{feff}{GOOD_CELL}"),
        GOOD_CELL.replace('\n', "\r\n"),
        GOOD_CELL.replace(", ", "\t"),
        GOOD_CELL.replace(", ", ";").replace("0.21", "0,21"),
        GOOD_CELL.replace("load [N]", "\"Load (N)\""),
        format!("{GOOD_CELL},,\n , ,\n"),
        GOOD_CELL.replace("200,", "0.2 kN,"),
    ] {
        let read = cell::calibrate("sheet.csv", text.as_bytes(), None);
        let read = read.unwrap_or_else(|errors| panic!("{errors:#?}\n{text}"));
        assert_eq!(read.coefficients, plain.coefficients, "{text}");
    }
}

/// Good sheets cut short and with bytes changed: an answer or errors, never a panic.
#[test]
fn no_bytes_make_it_panic() {
    let mut told = 0;
    for good in [GOOD_CELL, GOOD_TRIALS] {
        let bytes = good.as_bytes();
        for at in 0..bytes.len() {
            for other in [0, b'"', b',', b'-', b'9', b'e', 0xff] {
                let mut changed = bytes.to_vec();
                changed[at] = other;
                told += of_cell(&changed).len() + of_removal(&changed).len();
            }
            told += of_cell(&bytes[..at]).len() + of_removal(&bytes[..at]).len();
        }
    }
    assert!(told > 1000, "{told}");
}

fn of_actuator(sheet: &[u8]) -> Vec<FileError> {
    actuator::calibrate("sheet.csv", sheet, &demo::machine("machine-a"))
        .err()
        .unwrap_or_default()
}

const HEAD_ACTUATOR: &str = "test, run, time [s], command [%], load [N], rod [bar], speed [mm/s]\n";

/// Rows that are good: two motions and a rest; the sweep is far too short, which is told where it begins.
#[test]
fn each_slip_in_a_log_is_named_at_its_place() {
    let good = format!(
        "{HEAD_ACTUATOR}rest, , , , 50, 3.1, \nlower, 1, , , , 3.3, 0.25\nlift, 1, , , , 3.5, 0.25\n"
    );
    assert_eq!(of_actuator(good.as_bytes()), []);
    type Slip<'a> = (&'a str, &'a str, &'a [(&'static str, usize, usize)]);
    let slips: &[Slip<'_>] = &[
        (
            "test, run",
            "tset, run",
            &[("unknown-key", 1, 1), ("missing-key", 1, 1)],
        ),
        ("rest, ,", "nap, ,", &[("unknown-word", 2, 1)]),
        ("rod [bar]", "rod", &[("missing-unit", 1, 45)]),
        ("rod [bar]", "rod [N]", &[("wrong-dimension", 1, 45)]),
        // What a test needs must be there; what it does not need may be empty.
        ("50, 3.1", "50, ", &[("bad-number", 2, 17)]),
        ("3.3, 0.25", "3.3, ", &[("bad-number", 3, 22)]),
        ("3.3, 0.25", "3.3, -0.25", &[("out-of-range", 3, 22)]),
        (
            ", rod [bar], speed [mm/s]",
            "",
            &[
                ("missing-key", 1, 1),
                ("missing-key", 1, 1),
                ("too-many-items", 2, 1),
                ("too-many-items", 3, 1),
                ("too-many-items", 4, 1),
            ],
        ),
        (
            "lift, 1, , , , 3.5, 0.25",
            "sweep, 1, 0, 10, 50, , ",
            &[("too-few-items", 4, 1)],
        ),
    ];
    for (from, to, expected) in slips {
        assert!(good.contains(from), "{from}");
        let found = of_actuator(good.replacen(from, to, 1).as_bytes());
        assert_eq!(&places(&found), expected, "{from} -> {to}: {found:#?}");
        assert!(found.iter().all(|error| !error.expected.is_empty()));
    }
    let steps: String = (0..50)
        .map(|n| {
            format!(
                "step, , {}, 20, 100, , \n",
                if n == 30 { 0.1 } else { f64::from(n) * 0.01 }
            )
        })
        .collect();
    let back = format!("{HEAD_ACTUATOR}{steps}");
    assert_eq!(
        places(&of_actuator(back.as_bytes())),
        [("inconsistent", 32, 9)]
    );
    for cut in 0..good.len() {
        let _ = of_actuator(&good.as_bytes()[..cut]);
        let mut changed = good.clone().into_bytes();
        changed[cut] = b'7';
        let _ = of_actuator(&changed);
    }
}
