//! Classes, degrees and keys on sheets whose answer is known by hand.

use std::fmt::Write as _;
use twinplate_calibrate::cell::{By, CellReport, calibrate};
use twinplate_sim::demo;

fn read(sheet: &str) -> CellReport {
    calibrate("sheet.csv", sheet.as_bytes(), None).unwrap_or_else(|errors| panic!("{errors:#?}"))
}

/// Ten loads up and down at three positions, two runs at the first; `off` adds to a reading: run, load in kN, rising.
fn turned(off: impl Fn(usize, f64, bool) -> f64) -> String {
    let mut sheet = "run, position, direction, load [kN], reading [mV/V]\n".to_owned();
    for (run, position) in [(1, 0), (2, 0), (3, 120), (4, 240)] {
        let loads = (0..=10)
            .map(|n| (f64::from(n), true))
            .chain((0..10).rev().map(|n| (f64::from(n), false)));
        for (load, up) in loads {
            let word = if up { "up" } else { "down" };
            let reading = 0.01 + 0.2 * load + off(run, load, up);
            let _ = writeln!(sheet, "{run}, {position}, {word}, {load}, {reading:.9}");
        }
    }
    sheet
}

/// Limits of ISO 376:2011 from memory: reproducibility 0.05, 0.1, 0.2, 0.4 %; repeatability 0.025 to 0.2; reversibility 0.07 to 0.5.
#[test]
fn a_class_is_that_of_the_worst_quantity() {
    let best = read(&turned(|_, _, _| 0.0));
    assert_eq!(best.class.lacks, Vec::<String>::new());
    assert_eq!(best.class.class, Some(("00", [1.0, 10.0])));
    // The run at 120° reads 0.15 % more throughout: class 1 by reproducibility, though everything else is perfect.
    let off = |run: usize, load: f64, _: bool| if run == 3 { 0.0015 * 0.2 * load } else { 0.0 };
    assert_eq!(read(&turned(off)).class.class, Some(("1", [1.0, 10.0])));
    // 0.12 % between two runs at one position: class 2 by repeatability.
    let off = |run: usize, load: f64, _: bool| if run == 2 { 0.0012 * 0.2 * load } else { 0.0 };
    assert_eq!(
        read(&turned(off)).class.class.map(|class| class.0),
        Some("2")
    );
    // A falling load reads 0.0039 mV/V more, of 0.2 mV/V a kN: 0.3 % from 6.5 kN up, 0.5 % from 3.9 kN up.
    let off = |_: usize, load: f64, up: bool| if up || load == 0.0 { 0.0 } else { 0.0039 };
    assert_eq!(read(&turned(off)).class.class, Some(("2", [4.0, 10.0])));
    // Too bad for any class.
    let off = |run: usize, load: f64, _: bool| if run == 3 { 0.01 * 0.2 * load } else { 0.0 };
    let bad = read(&turned(off)).class;
    assert_eq!((bad.class, bad.lacks.len()), (None, 0));
}

/// Everything that a class is made of can be missing, and is named.
#[test]
fn what_a_class_lacks_is_named() {
    let all = turned(|_, _, _| 0.0);
    let without = |what: &str| -> String {
        let keep = |line: &&str| match what {
            "falling" => !line.contains("down"),
            "zero" => line.split(',').nth(3).is_none_or(|load| load.trim() != "0"),
            "turned" => !line.starts_with(['3', '4']),
            "pair" => !line.starts_with('2'),
            _ => true,
        };
        all.lines()
            .filter(keep)
            .fold(String::new(), |text, line| text + line + "\n")
    };
    for (what, lack) in [
        ("falling", "reversibility"),
        ("zero", "zero"),
        ("turned", "reproducibility"),
        ("pair", "repeatability"),
    ] {
        let class = read(&without(what)).class;
        assert_eq!(class.class, None, "{what}");
        assert!(
            class.lacks.iter().any(|text| text.starts_with(lack)),
            "{what}: {:?}",
            class.lacks
        );
    }
}

/// The zero is taken off where every run has one, and a run without one is told of.
#[test]
fn readings_are_counted_from_their_zero() {
    let report = read(&turned(|_, _, _| 0.0));
    assert!(report.coefficients[0].value.abs() < 1e-9);
    assert!((report.coefficients[1].value - 0.2).abs() < 1e-9);
    let first =
        read("load [N], reading\n100, 1.01\n200, 2.0\n300, 3.0\n100, 1.0\n200, 2.01\n300, 3.01\n");
    assert!(
        first.notes.iter().any(|note| note.contains("without load")),
        "{:?}",
        first.notes
    );
}

/// Without repeats the next degrees decide: a cubic is found as one.
#[test]
fn without_repeats_the_next_degrees_decide() {
    let mut sheet = "load [N];reading\n".to_owned();
    for n in 1..=20 {
        let x = f64::from(n) / 20.0;
        // A ripple in place of noise.
        let y = x + 0.01 * x * x * x + 1e-6 * (f64::from(n) * 2.399).sin();
        // Decimal commas, as semicolons part the cells.
        let _ = writeln!(sheet, "{};{}", n * 10, y.to_string().replace('.', ","));
    }
    let report = read(&sheet);
    assert_eq!((report.by, report.degree), (By::NextDegree, 3));
    assert_eq!(
        report.lower_limit.lacks.len(),
        1,
        "twenty readings are too few"
    );
    assert!(
        report
            .lower_limit
            .ranges
            .iter()
            .all(|(_, _, range)| range.is_none())
    );
}

/// Weights in pounds are answered in pounds; as forces they are those of NIST SP 811.
#[test]
fn masses_are_answered_as_typed() {
    let report = read(
        "load [lb], reading [counts]\n10, 1000\n20, 2001\n30, 3000\n10, 1001\n20, 2000\n30, 3001\n",
    );
    assert_eq!(report.load_unit, "lb");
    // A pound of mass weighs a pound-force: 4.448 222 N.
    assert!(
        (report.newtons - 4.448_222).abs() < 5e-7,
        "{}",
        report.newtons
    );
    assert!((report.coefficients[1].value - 100.0).abs() < 0.1);
}

/// A row with a slip of the pen is named.
#[test]
fn an_outlier_is_named_with_its_line() {
    let mut sheet = "load [N], reading\n".to_owned();
    for run in 0..2 {
        for n in 1..=10 {
            let ripple = 1e-4 * f64::from((n * 7 + run * 3) % 5 - 2);
            let slip = if (run, n) == (1, 4) { 0.01 } else { 0.0 };
            let _ = writeln!(
                sheet,
                "{}, {:.6}",
                n * 100,
                f64::from(n) * 0.2 + ripple + slip
            );
        }
    }
    let report = read(&sheet);
    let named: Vec<usize> = report
        .rows
        .iter()
        .filter(|row| row.outlier)
        .map(|row| row.line)
        .collect();
    assert_eq!(named, [15]);
}

/// The machine file's nonlinearity is the parabola's share at the rated range; by hand 0.02 % of 1 kN.
#[test]
fn keys_are_those_of_the_simulated_cell() {
    let machine = demo::machine("machine-a");
    let range = machine.cell.range;
    let mut sheet = "load [N], reading [counts]\n".to_owned();
    for run in 0..2 {
        for n in 1..=20 {
            let load = 50.0 * f64::from(n);
            let ripple = f64::from((n * 7 + run * 3) % 5 - 2) * 3.0;
            let counts = 4e6 * (load / range) * (1.0 + 2e-4 * load / range) + ripple;
            let _ = writeln!(sheet, "{load}, {counts:.0}");
        }
    }
    let report = calibrate("sheet.csv", sheet.as_bytes(), Some(&machine)).expect("reads");
    let keys = report.keys.expect("keys");
    assert!(
        keys.nonlinearity.low <= 2e-4 && 2e-4 <= keys.nonlinearity.high,
        "{keys:?}"
    );
    assert!(
        keys.nonlinearity.high - keys.nonlinearity.low < 2e-5,
        "{keys:?}"
    );
    let counts = keys.counts_at_range.expect("counts");
    assert!(counts.low <= 4e6 && 4e6 <= counts.high, "{counts:?}");
    assert!(
        keys.whole_counts()
            .is_some_and(|whole| whole.abs_diff(4_000_000) < 100)
    );
    assert!((keys.reach - 1.0).abs() < 1e-12);
}
