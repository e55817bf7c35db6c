//! Sheets that are wrong: every error has its place and its cure, all of them at once, and nothing panics whatever the bytes.

use crate::shop::windows;
use twinplate_calibrate::{actuator, cell, heat, plates, removal, slurry};
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

fn of_slurry(sheet: &[u8]) -> Vec<FileError> {
    let found = slurry::calibrate("sheet.csv", sheet);
    found.err().unwrap_or_default()
}

fn of_heat(sheet: &[u8]) -> Vec<FileError> {
    let found = heat::calibrate("sheet.csv", sheet, None);
    found.err().unwrap_or_default()
}

fn of_plates(sheet: &[u8]) -> Vec<FileError> {
    let found = plates::calibrate("sheet.csv", sheet, &demo::machine("machine-b"), None);
    found.err().unwrap_or_default()
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

const GOOD_SLURRY: &str = "what, pump [%], flow [L/min], volume [L], time [s]\nflow, 100, , 0.3, 60\nflow, 50, , 0.151, 60\nfill, , 0.3, , 10\nfill, , 0.2, , 15.1\nfill, , 0.1, , 30\n";
const GOOD_HEAT: &str = "time [min], lower [°C], upper [°C]\n0, 40, 40.1\n5, 35.2, 35.1\n10, 31.7, 31.8\n15, 29.2, 29.3\n20, 27.4, 27.3\n25, 26, 26.1\n30, 25.1, 25\n40, 23.8, 23.9\n";
const GOOD_PLATES: &str =
    "batch, lower [µm], upper [µm]\n0, 1, -1\n1, 1.2, -1.1\n2, 1.3, -1.3\n3, 1.6, -1.4\n";

#[test]
fn the_good_sheets_are_good() {
    assert_eq!(of_slurry(GOOD_SLURRY.as_bytes()), []);
    assert_eq!(of_heat(GOOD_HEAT.as_bytes()), []);
    assert_eq!(of_plates(GOOD_PLATES.as_bytes()), []);
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

/// The same of stopwatch, thermometer and straightedge.
#[test]
fn each_slip_of_slurry_heat_and_plates_is_named_at_its_place() {
    type Read = fn(&[u8]) -> Vec<FileError>;
    type Slip<'a> = (&'a str, &'a str, &'a [(&'static str, usize, usize)]);
    let all: [(&str, Read, &[Slip<'_>]); 3] = [
        (
            GOOD_SLURRY,
            of_slurry,
            &[
                ("flow, 50", "flwo, 50", &[("unknown-word", 3, 1)]),
                ("flow, 50,", "flow, ,", &[("missing-key", 3, 7)]),
                ("0.151, 60", "0.151, ", &[("missing-key", 3, 20)]),
                ("0.151, 60", "0.151, -6", &[("out-of-range", 3, 20)]),
                ("flow, 50", "flow, 150", &[("out-of-range", 3, 7)]),
                ("volume [L]", "volume [m]", &[("wrong-dimension", 1, 31)]),
            ],
        ),
        (
            GOOD_HEAT,
            of_heat,
            &[
                ("10, 31.7", "5, 31.7", &[("inconsistent", 4, 1)]),
                ("31.7", "hot", &[("bad-number", 4, 5)]),
                ("31.7", "317", &[("out-of-range", 4, 5)]),
                ("upper [°C]", "power [N]", &[("unknown-unit", 1, 1)]),
                (
                    "time [min]",
                    "batch [min]",
                    &[("unknown-key", 1, 1), ("missing-key", 1, 1)],
                ),
                ("40, 23.8, 23.9\n", "", &[("too-few-items", 1, 1)]),
            ],
        ),
        (
            GOOD_PLATES,
            of_plates,
            &[
                ("1, 1.2,", "-1, 1.2,", &[("out-of-range", 3, 1)]),
                ("1, 1.2,", "1, flat,", &[("bad-number", 3, 4)]),
                ("batch,", "removed [µm],", &[("missing-key", 1, 1)]),
                (
                    "lower [µm]",
                    "face-lower [µm]",
                    &[("conflicting-key", 1, 1)],
                ),
                (
                    "batch,",
                    "radius [mm],",
                    &[
                        ("out-of-range", 2, 1),
                        ("out-of-range", 3, 1),
                        ("out-of-range", 4, 1),
                        ("out-of-range", 5, 1),
                    ],
                ),
            ],
        ),
    ];
    for (good, read, slips) in all {
        for (old, new, due) in slips {
            let found = read(good.replacen(old, new, 1).as_bytes());
            let places: Vec<_> = places(&found).into_iter().take(due.len()).collect();
            assert_eq!(places, *due, "{new}\n{found:#?}");
            assert!(
                found.iter().all(|error| !error.expected.is_empty()),
                "{found:#?}"
            );
        }
        // Bytes changed and cut: an answer or errors, never a panic.
        let bytes = good.as_bytes();
        for at in 0..bytes.len() {
            for other in [0, b'"', b',', b'-', b'9', 0xff] {
                let mut changed = bytes.to_vec();
                changed[at] = other;
                let _ = read(&changed).len() + read(&bytes[..at]).len();
            }
        }
    }
}

/// A sheet of traces: what cannot be opened, is no trace, or lapped nothing is told at the sheet's cell or in the trace's own line.
#[test]
fn a_trace_that_is_none_is_told_where_it_is_named() {
    let set = windows();
    let sheet = "before [mm], after [mm], trace\n5, 4.9, a\n5, 4.8, b\n5, 4.7, c\n5, 4.6, d\n";
    let heads = "trace_version,time [s],controller_load_min [N],controller_load_max [N],measured_flow [mL/min],measured_rinse_flow [mL/min],measured_speed_inner [rpm],measured_speed_outer [rpm],measured_speed_lower [rpm],measured_speed_upper [rpm]\n";
    let open = |name: &str| match name {
        "a" => Err("not there".to_owned()),
        "b" => Ok(b"load, reading\n".to_vec()),
        "c" => Ok(format!("{heads}3,0.1,0,x,0,0,0,0,0,0\n").into_bytes()),
        _ => Ok(format!("{heads}3,0.1,0,0,0,0,0,0,0,0\n3,0.2,0,0,0,0,0,0,0,0\n").into_bytes()),
    };
    let found = removal::calibrate_with("sheet.csv", sheet.as_bytes(), Some(&set), &open);
    let errors = found.err().unwrap_or_default();
    let told: Vec<_> = errors
        .iter()
        .map(|e| (e.file.as_str(), e.code, e.line))
        .collect();
    let due = [
        ("b", "not-text", 1),
        ("d", "inconsistent", 1),
        ("c", "bad-number", 2),
        ("sheet.csv", "unreadable-file", 2),
    ];
    assert_eq!(told.len(), due.len(), "{told:?}");
    for one in due {
        assert!(told.contains(&one), "{one:?} in {told:?}");
    }
    // What a trace says is not said again, and a trace needs its recipe.
    let both = sheet
        .replace("trace\n", "time [s]\n")
        .replace("time [s]\n5", "trace, time [s]\n5");
    assert!(removal::calibrate_with("s", both.as_bytes(), Some(&set), &open).is_err());
    let none = removal::calibrate_with("s", sheet.as_bytes(), None, &open);
    assert!(
        none.err()
            .is_some_and(|all| all.iter().any(|e| e.expected.contains("--recipe")))
    );
}

/// What a sheet contradicts is told, and no key that it cannot tell.
#[test]
fn what_contradicts_the_keys_is_told() {
    // A pump whose flow goes with the square of its setting.
    let square = "what, pump [%], volume [L], time [s]\nflow, 100, 0.3, 60\nflow, 50, 0.075, 60\nflow, 75, 0.169, 60\nflow, 60, 0.108, 60\n";
    let report = slurry::calibrate("s", square.as_bytes()).expect("reads");
    assert!(
        !report.fits() && report.word() == "does not fit",
        "{:?}",
        report.contradicted
    );
    // Plates that drift the other way than the rings wear them.
    let set = windows();
    let against =
        "batch, lower [µm], upper [µm]\n0, 1, -1\n1, 0.5, -0.6\n2, 0.1, 0.1\n3, -0.4, 0.5\n";
    let report = plates::calibrate("s", against.as_bytes(), &set.machine.value, Some(&set));
    let report = report.expect("reads");
    assert!(!report.fits(), "{:?}", report.findings);
    // A profile: the form by hand. Heights fall with the square of the radius by 10 µm over the band of machine B, 185 to 440 mm.
    let mut profile = "radius [mm], lower [µm], upper [µm]".to_owned();
    for r in [190.0_f64, 250.0, 310.0, 370.0, 430.0] {
        let height = -10.0 * r * r / (440.0 * 440.0 - 185.0 * 185.0);
        let off = if r > 300.0 { 0.01 } else { -0.01 };
        profile += &format!("\n{r}, {:.5}, {:.5}", height + off, 0.5 * height - off);
    }
    let report = plates::calibrate("s", profile.as_bytes(), &set.machine.value, None);
    let report = report.expect("reads");
    let form = |n: usize| report.keys[n].told().map(|e| e.value * 1e6).expect("told");
    assert!(
        (form(1) - 10.0).abs() < 0.1 && (form(2) - 5.0).abs() < 0.1,
        "{} {}",
        form(1),
        form(2)
    );
    assert!(report.keys[0].told().is_none());
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
