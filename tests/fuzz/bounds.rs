//! Files that are no accident: as large, as deep and as wrong as they may be. Every reader says so in bounded time and words.

use std::fmt::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};
use twinplate_calibrate as calibrate;
use twinplate_sim::bench::{End, Journal};
use twinplate_sim::demo;
use twinplate_sim::files::error::TOLD;
use twinplate_sim::files::{FileError, SIZE_LIMIT, parse_machine, parse_recipe, render_errors};
use twinplate_train::headless::Script;

/// Far longer than any of them takes, in a test build and on a busy computer.
const AT_MOST: Duration = Duration::from_secs(15);
/// What is told of one file, bytes: a few pages.
const TOLD_BYTES: usize = 256 << 10;

/// Lines up to the largest file.
fn filled(line: impl Fn(usize) -> String) -> String {
    let mut text = String::new();
    for number in 0.. {
        let line = line(number);
        if (text.len() + line.len()) as u64 > SIZE_LIMIT {
            return text;
        }
        text.push_str(&line);
    }
    text
}

/// A text of the largest size in one piece.
fn stretched(before: &str, piece: &str, after: &str) -> String {
    let room = usize::try_from(SIZE_LIMIT).expect("fits") - before.len() - after.len();
    format!("{before}{}{after}", piece.repeat(room / piece.len()))
}

fn worst() -> Vec<(&'static str, String)> {
    let listed = |number: usize| format!("k{number} = 1, ");
    let mut inline = filled(listed);
    inline.truncate(inline.len() / 2);
    vec![
        (
            "40,000 unknown keys",
            (0..40_000).fold(String::new(), |mut text, n| {
                // Writing to a String cannot fail.
                let _ = writeln!(text, "unknown-{n} = {n}");
                text
            }),
        ),
        ("unknown keys to the limit", filled(|n| format!("k{n}=1\n"))),
        ("unknown tables", filled(|n| format!("[t{n}]\na=1\n"))),
        ("entries of a list", filled(|_| "[[steps]]\n".to_owned())),
        (
            "entries of a list with an unknown key",
            filled(|_| "[[steps]]\nx=1\n".to_owned()),
        ),
        ("the same key again", filled(|_| "a=1\n".to_owned())),
        (
            "an inline table of unknown keys",
            format!(
                "drives = {{{} z = 1}}\n",
                inline.rsplit_once("k").map_or("", |(all, _)| all)
            ),
        ),
        ("a list of numbers", stretched("steps = [", "1,", "1]\n")),
        ("a list of lists", stretched("steps = [", "[1,2],", "[]]\n")),
        ("brackets", stretched("steps = ", "[", "\n")),
        ("braces", stretched("steps = ", "{a=", "\n")),
        ("a dotted key", stretched("a", ".a", " = 1\n")),
        ("a long key", stretched("a", "b", " = 1\n")),
        ("a long text", stretched("id = \"", "b", "\"\n")),
        ("a long text without quotes", stretched("id = ", "b", "\n")),
        ("a long number", stretched("longest = ", "9", "\n")),
        ("a long quantity", stretched("longest = \"", "9", " s\"\n")),
        ("a long unit", stretched("longest = \"1 ", "s", "\"\n")),
        ("letters of several bytes", stretched("", "µ", "\n")),
        ("lines of no TOML", filled(|_| "x\n".to_owned())),
        (
            "lines of no TOML, each another",
            filled(|n| format!("x{n} 1\n")),
        ),
        ("quotes", stretched("", "\"", "\n")),
        ("carriage returns", stretched("a=1", "\r", "\n")),
    ]
}

/// Reads, and holds the time and what would be told.
fn within(what: &str, reader: &str, read: impl FnOnce() -> Vec<FileError>) {
    let begun = Instant::now();
    let errors = read();
    let told = render_errors(&errors, false);
    let took = begun.elapsed();
    println!(
        "{reader}, {what}: {} errors, {} bytes, {took:?}",
        errors.len(),
        told.len()
    );
    assert!(took < AT_MOST, "{reader}, {what}: {took:?}");
    assert!(!errors.is_empty(), "{reader}, {what}: taken");
    assert!(
        told.len() < TOLD_BYTES,
        "{reader}, {what}: {} bytes",
        told.len()
    );
}

#[test]
fn the_largest_and_worst_files_are_refused_in_bounded_time_and_words() {
    let name = Path::new("worst.toml");
    let good =
        std::fs::read_to_string(demo::folder().join("recipes/glass-f800.toml")).expect("a recipe");
    for (what, text) in worst() {
        within(what, "machine", || {
            parse_machine(name, &text).err().unwrap_or_default()
        });
        let both = format!("{good}\n{text}");
        within(what, "recipe behind a good one", || {
            let most = usize::try_from(SIZE_LIMIT).expect("fits");
            let end = (0..=both.len().min(most))
                .rev()
                .find(|at| both.is_char_boundary(*at))
                .unwrap_or(0);
            parse_recipe(name, &both[..end]).err().unwrap_or_default()
        });
    }
}

#[test]
fn the_largest_and_worst_sheets_are_refused_in_bounded_time_and_words() {
    let head = "load [N], reading [mV/V]\n";
    let sheets = [
        ("unknown headings", stretched("", "x,", "x\n1\n")),
        (
            "unknown headings, each another",
            filled(|n| format!("x{n},")) + "\n1\n",
        ),
        (
            "the same heading",
            stretched("", "load [N],", "reading [mV/V]\n"),
        ),
        ("a wide row", stretched(head, "1,", "1\n")),
        (
            "wrong rows",
            head.to_owned() + &filled(|_| "a,b\n".to_owned())[head.len()..],
        ),
        ("9,999 wrong rows", head.to_owned() + &"a,b\n".repeat(9_999)),
        ("9,999 short rows", head.to_owned() + &"1\n".repeat(9_999)),
        ("a long cell", stretched(head, "9", ",1\n")),
        ("a long word", stretched(head, "µ", ",1\n")),
        ("a long heading", stretched("", "load", ",1\n")),
        (
            "a long unit",
            stretched("load [", "N", "], reading [mV/V]\n1,1\n"),
        ),
        ("quotes", stretched(head, "\"", "\n")),
        ("separators", stretched(head, ";", "\n")),
    ];
    type Read = fn(&[u8]) -> Vec<FileError>;
    let readers: [(&str, Read); 3] = [
        ("dead weights", |bytes| {
            calibrate::cell::calibrate("s.csv", bytes, None)
                .err()
                .unwrap_or_default()
        }),
        ("trials", |bytes| {
            calibrate::removal::calibrate("s.csv", bytes, None)
                .err()
                .unwrap_or_default()
        }),
        ("drives", |bytes| {
            calibrate::drives::calibrate("s.csv", bytes)
                .err()
                .unwrap_or_default()
        }),
    ];
    for (what, text) in sheets {
        for (reader, read) in readers {
            within(what, reader, || read(text.as_bytes()));
        }
    }
}

#[test]
fn of_many_errors_the_first_are_told_and_how_many_more_there_are() {
    let text: String = (0..40_000)
        .map(|n| format!("unknown-{n} = {n}\n"))
        .collect();
    let errors = parse_machine(Path::new("m.toml"), &text).expect_err("unknown keys");
    let told = render_errors(&errors, false);
    assert_eq!(told.matches("error[").count(), TOLD);
    let more = errors.len() - TOLD;
    assert!(
        told.contains(&format!("{more} more")),
        "{}",
        &told[told.len() - 200..]
    );
    let few = render_errors(&errors[..TOLD], false);
    assert_eq!(few.matches("error[").count(), TOLD);
    assert!(!few.contains(" more"), "all are told");
}

#[test]
fn a_journal_of_more_ticks_than_any_run_may_take_is_refused() {
    let job = demo::job("glass-f800");
    let mut journal = Journal::new(1, Vec::new());
    let end = |ticks| {
        Some(End {
            ticks,
            control_hash: 0,
        })
    };
    journal.end = end(u32::MAX);
    let refused = twinplate_falsify::again::again(&job, &journal)
        .map(drop)
        .expect_err("too long");
    assert!(refused.to_string().contains("4294967295"), "{refused}");
    journal.end = end(100);
    assert!(twinplate_falsify::again::again(&job, &journal).is_ok());
}

#[test]
fn the_worst_scripts_and_journals_are_refused_in_bounded_time_and_words() {
    let header = Journal::new(1, Vec::new()).to_text().expect("a header");
    for (what, text) in worst() {
        let begun = Instant::now();
        let second = format!("exercise a\n{text}");
        let told = [
            Script::read(&text).expect_err(what).to_string(),
            Script::read(&second).map_or_else(|error| error.to_string(), |_| String::new()),
            Journal::from_text(&text).expect_err(what).to_string(),
            Journal::from_text(&format!("{header}{{\"tick\":1,\"{text}\":1}}"))
                .expect_err(what)
                .to_string(),
        ];
        assert!(begun.elapsed() < AT_MOST, "{what}");
        for told in told {
            assert!(told.len() < TOLD_BYTES, "{what}: {} bytes", told.len());
        }
    }
}

#[test]
fn a_record_in_a_database_is_read_no_further_than_a_sheet_may_be_long() {
    let path = std::env::temp_dir().join(format!("twinplate-long-{}.db", std::process::id()));
    let _ = std::fs::remove_file(&path);
    let note = "x".repeat(1_000);
    let database = rusqlite::Connection::open(&path).expect("a database");
    database
        .execute_batch(&format!(
            "CREATE TABLE record (note TEXT);
             WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 9000)
             INSERT INTO record SELECT '{note}' FROM n;"
        ))
        .expect("rows");
    let text = twinplate_production::database::sheet(&path, None).expect("a table");
    std::fs::remove_file(&path).expect("removed");
    let most = usize::try_from(SIZE_LIMIT).expect("fits") + 2 * note.len();
    assert!(
        text.len() as u64 > SIZE_LIMIT && text.len() <= most,
        "{} bytes",
        text.len()
    );
}
