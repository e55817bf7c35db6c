//! Records that are wrong: every error has its place and its cure, all of them at once, and nothing panics whatever the bytes. And SQLite
//! files with the same columns.

use crate::campaigns::{ASKED, set};
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use twinplate_production::correct::{Asked, By, correct};
use twinplate_production::database;
use twinplate_production::record::{Record, read};
use twinplate_sim::files::{FileError, Overrides, load_set};

const GOOD: &str = "batch, before [mm], after [mm], time [s], parts, event, gauge [um]
1, 1.3000, 1.2964, 210, 10, , 0.05
2, 1.3001, 1.2966, 210, 10, , 0.05
3, 1.3000, , 210, 10, conditioned, 0.05
4, 1.2999, 1.2963, 210, , slurry + conditioned, 0.05
5, 1.3000, 1.2965, 212, 10, ,
6, 1.3000, 1.2965, , 10, , 0.05
7, 1.3001, 1.2965, 212, 10, , 0.05
8, 1.3001, 1.2966, 212, 10, , 0.05
8b, 1.3000, 1.2965, 212, 10, , 0.05
9, 1.3002, , , 10, slurry, 0.05
";

fn errors(text: &str) -> Vec<(&'static str, usize, usize)> {
    let told: Vec<FileError> = read("r.csv", text.as_bytes()).err().unwrap_or_default();
    for error in &told {
        assert!(
            !error.message.is_empty() && !error.expected.is_empty(),
            "{error:?}"
        );
    }
    told.iter()
        .map(|error| (error.code, error.line, error.column))
        .collect()
}

/// Cells may be empty where nothing was measured; a last line without a size is the batch to come.
#[test]
fn a_good_record_is_read_with_its_gaps() {
    let record: Record = read("r.csv", GOOD.as_bytes()).expect("reads");
    assert_eq!(record.batches.len(), 9);
    assert_eq!(record.batches[2].removed(), None);
    assert!(record.batches[3].done.slurry && record.batches[3].done.conditioned);
    assert_eq!(record.batches[3].parts, None);
    let next = record.next.expect("a batch to come");
    assert!(next.name == "9" && next.before == Some(1.3002e-3) && next.done.slurry);
    let report = correct("r.csv", GOOD.as_bytes(), &set(), &ASKED).expect("a report");
    assert_eq!((report.rows.len(), report.count), (9, 7));
}

/// One change to a good record, and what it earns.
#[test]
fn each_slip_is_named_at_its_place() {
    type Slip<'a> = (&'a str, &'a str, &'a [(&'static str, usize, usize)]);
    let slips: &[Slip<'_>] = &[
        (
            "after [mm]",
            "afetr [mm]",
            &[("missing-key", 1, 1), ("unknown-key", 1, 21)],
        ),
        ("time [s]", "time", &[("missing-unit", 1, 33)]),
        ("time [s]", "time [mm]", &[("wrong-dimension", 1, 33)]),
        (
            "1.2963",
            "1,2963",
            &[("too-many-items", 5, 1), ("bad-number", 5, 27)],
        ),
        ("1.2963", "1.3963", &[("inconsistent", 5, 12)]),
        ("1.2963", "thick", &[("bad-number", 5, 12)]),
        (
            "conditioned, 0.05\n4",
            "dressed, 0.05\n4",
            &[("unknown-word", 4, 23)],
        ),
        (
            "2, 1.3001, 1.2966, 210, 10",
            "2, 1.3001, 1.2966, 210, ten",
            &[("bad-number", 3, 25)],
        ),
        (
            "2, 1.3001, 1.2966, 210",
            "2, 1.3001, 1.2966, 0",
            &[("out-of-range", 3, 20)],
        ),
        (
            "7, 1.3001, 1.2965, 212, 10, , 0.05\n8, 1.3001, 1.2966,",
            "7, 1.3001, , 212, 10, , 0.05\n8, 1.3001, ,",
            &[("too-few-items", 1, 1)],
        ),
    ];
    assert_eq!(errors(GOOD), []);
    for (old, new, due) in slips {
        assert!(GOOD.contains(old), "{old}");
        assert_eq!(errors(&GOOD.replacen(old, new, 1)), *due, "{new}");
    }
}

/// Bytes changed and cut: an answer or errors, never a panic.
#[test]
fn nothing_panics_whatever_the_bytes() {
    let set = set();
    for at in (0..GOOD.len()).step_by(5) {
        for byte in [b',', b'9', 0xff, b'\n'] {
            let mut bytes = GOOD.as_bytes().to_vec();
            bytes[at] = byte;
            let _ = read("r.csv", &bytes);
        }
        if let Ok(report) = correct("r.csv", &GOOD.as_bytes()[..at], &set, &ASKED) {
            assert!(report.rate.value > 0.0);
        }
    }
}

fn at(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(path)
}

/// Where a gauge makes the size no time is corrected; a step must be there.
#[test]
fn a_recipe_whose_size_no_time_makes_is_refused() {
    let gauged = load_set(
        &at("recipes/recipes/glass-f800.toml"),
        &Overrides::default(),
    )
    .expect("the recipe");
    let told = correct("r.csv", GOOD.as_bytes(), &gauged, &ASKED).expect_err("refused");
    assert!(
        told[0].message.contains("the gauge ends step `lap`"),
        "{told:?}"
    );
    let asked = Asked {
        step: Some("buff"),
        by: By::Time,
    };
    let told = correct("r.csv", GOOD.as_bytes(), &set(), &asked).expect_err("refused");
    assert!(told[0].expected.contains("seat, polish"), "{told:?}");
}

/// What the step does not bear is told and not answered with a number to write; by load the limit of the step binds.
#[test]
fn what_is_beyond_the_recipe_is_said() {
    let slow = GOOD.replace("1.296", "1.298");
    let report = correct("r.csv", slow.as_bytes(), &set(), &ASKED).expect("a report");
    assert!(
        report.beyond[0].contains("longest time"),
        "{:?}",
        report.beyond
    );
    let asked = Asked {
        step: None,
        by: By::Load,
    };
    let report = correct("r.csv", slow.as_bytes(), &set(), &asked).expect("a report");
    assert!(
        report.next.load > 3550.0 && report.beyond[0].contains("limit"),
        "{:?}",
        report.beyond
    );
    let report = correct("r.csv", GOOD.as_bytes(), &set(), &asked).expect("a report");
    assert!(report.beyond.is_empty(), "{:?}", report.beyond);
    assert!(
        (report.next.load / 2771.0 - 1.0).abs() < 0.1,
        "{}",
        report.next.load
    );
}

/// A database in a file of its own; removed when dropped.
struct Kept(PathBuf);

impl Kept {
    fn new(name: &str, statements: &str) -> Self {
        let path = std::env::temp_dir().join(format!(
            "twinplate-production-{name}-{}.sqlite",
            std::process::id()
        ));
        let _ = std::fs::remove_file(&path);
        let database = Connection::open(&path).expect("opens");
        database.execute_batch(statements).expect("written");
        Self(path)
    }
}

impl Drop for Kept {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.0);
    }
}

/// The good record as a table.
fn table(name: &str) -> String {
    let mut text = format!(
        "CREATE TABLE {name} (batch INTEGER, \"before [mm]\" REAL, \"after [mm]\" REAL, \"time [s]\" REAL, parts INTEGER, event TEXT, \"gauge [um]\" REAL);\n"
    );
    for line in GOOD.lines().skip(1) {
        let cells: Vec<String> = line
            .split(',')
            .map(str::trim)
            .map(|cell| match cell {
                "" => "NULL".to_owned(),
                number if number.parse::<f64>().is_ok() => number.to_owned(),
                word => format!("'{word}'"),
            })
            .collect();
        text += &format!("INSERT INTO {name} VALUES ({});\n", cells.join(","));
    }
    text
}

/// The same columns in SQLite give the same record, line for line.
#[test]
fn a_table_is_read_like_a_sheet() {
    let kept = Kept::new("good", &table("polishing"));
    let sheet = database::sheet(&kept.0, None).expect("reads");
    assert!(database::is_database(
        &std::fs::read(&kept.0).expect("bytes")
    ));
    assert_eq!(read("r", &sheet), read("r", GOOD.as_bytes()));
    assert_eq!(database::sheet(&kept.0, Some("polishing")), Ok(sheet));
}

#[test]
fn a_database_that_is_wrong_is_told_like_a_sheet() {
    let two = Kept::new("two", &(table("a") + &table("\"b \"\"c\"")));
    let told = database::sheet(&two.0, None).expect_err("two tables");
    assert!(told[0].expected.contains("a, b \"c"), "{told:?}");
    assert!(database::sheet(&two.0, Some("b \"c")).is_ok());
    assert_eq!(
        database::sheet(&two.0, Some("d")).expect_err("no table")[0].code,
        "unknown-key"
    );
    let blob = Kept::new(
        "blob",
        "CREATE TABLE t (batch, time); INSERT INTO t VALUES (1, x'00ff');",
    );
    assert!(
        database::sheet(&blob.0, None).expect_err("a blob")[0]
            .message
            .contains("`time` in row 1")
    );
    let broken = Kept::new("broken", &table("a"));
    let bytes = std::fs::read(&broken.0).expect("bytes");
    std::fs::write(&broken.0, &bytes[..200]).expect("cut");
    assert_eq!(
        database::sheet(&broken.0, None).expect_err("cut")[0].code,
        "unreadable-file"
    );
    // A slip has the line of its row, the headings being the first.
    let slip = Kept::new("slip", &table("a").replace("1.2963", "1.3963"));
    let sheet = database::sheet(&slip.0, None).expect("reads");
    let told = read("r.sqlite", &sheet).expect_err("thicker");
    assert_eq!((told[0].code, told[0].line), ("inconsistent", 5));
}
