//! Pages with generated blocks.

use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// Tests run side by side, and several blocks stand on one page.
static WRITING: Mutex<()> = Mutex::new(());

/// Root of the repository. Suites of packages at different depths share this file.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .ancestors()
        .find(|folder| folder.join("Cargo.lock").exists())
        .expect("the workspace")
        .to_owned()
}

/// A file of the repository, by its path from the root.
pub fn read(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// The block `name` of a page must be `body`; `UPDATE=1` makes it so.
pub fn check(page: &str, name: &str, body: &str) {
    // A test that failed while it held the lock has written nothing.
    let _one_at_a_time = WRITING
        .lock()
        .unwrap_or_else(|poisoned| poisoned.into_inner());
    let text = read(page);
    let begin = format!("<!-- generated: {name} -->\n");
    let (head, rest) = text.split_once(&begin).unwrap_or_else(|| {
        panic!("{page} has no block `{name}`: add the line {begin}and <!-- end -->")
    });
    let (found, tail) = rest
        .split_once("<!-- end -->")
        .unwrap_or_else(|| panic!("{page}: block `{name}` has no <!-- end -->"));
    if found == body {
        return;
    }
    if updating() {
        let fresh = format!("{head}{begin}{body}<!-- end -->{tail}");
        std::fs::write(root().join(page), fresh).expect("page written");
        return;
    }
    differs(&format!("{page}, block `{name}`"), "page", found, body);
}

fn updating() -> bool {
    std::env::var_os("UPDATE").is_some_and(|v| v == "1")
}

/// Fails with the first line in which the two differ.
fn differs(place: &str, what: &str, found: &str, body: &str) -> ! {
    let at = found
        .lines()
        .zip(body.lines())
        .position(|(old, new)| old != new)
        .unwrap_or_else(|| found.lines().count().min(body.lines().count()));
    panic!(
        "{place}, line {}: the {what} says\n{}\nthe code says\n{}\nUPDATE=1 rewrites it",
        at + 1,
        found.lines().nth(at).unwrap_or("(nothing)"),
        body.lines().nth(at).unwrap_or("(nothing)")
    );
}

/// A table of Markdown. Bars inside a cell are escaped.
pub fn table(head: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let line = |cells: &mut dyn Iterator<Item = String>| {
        let cells: Vec<String> = cells.map(|c| c.replace('|', "\\|")).collect();
        format!("| {} |\n", cells.join(" | "))
    };
    let mut text = line(&mut head.iter().map(|h| (*h).to_owned()));
    text.push_str(&format!("|{}\n", "---|".repeat(head.len())));
    for row in rows {
        assert_eq!(row.len(), head.len(), "{row:?}");
        text.push_str(&line(&mut row.into_iter()));
    }
    text
}

/// A whole file must be `body`; `UPDATE=1` makes it so.
#[allow(dead_code)] // not every suite that has pages has files beside them
pub fn check_file(path: &str, body: &str) {
    let found = std::fs::read_to_string(root().join(path)).unwrap_or_default();
    if found == body {
        return;
    }
    if updating() {
        std::fs::write(root().join(path), body).expect("file written");
        return;
    }
    differs(path, "file", &found, body);
}

/// A table as comma-separated values (RFC 4180, but with plain line feeds). A cell with a comma or a quote stands in quotes.
#[allow(dead_code)]
pub fn csv(head: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let quoted = |cell: &str| {
        assert!(!cell.contains('\n'), "{cell}");
        if cell.contains([',', '"']) {
            format!("\"{}\"", cell.replace('"', "\"\""))
        } else {
            cell.to_owned()
        }
    };
    let line = |cells: &[String]| {
        let cells: Vec<String> = cells.iter().map(|c| quoted(c)).collect();
        cells.join(",") + "\n"
    };
    let mut text = head.join(",") + "\n";
    for row in rows {
        assert_eq!(row.len(), head.len(), "{row:?}");
        text.push_str(&line(&row));
    }
    text
}

#[test]
fn a_cell_with_a_comma_or_a_quote_stands_in_quotes() {
    let row = ["plain", "one, two", "a \"word\""]
        .map(str::to_owned)
        .into();
    assert_eq!(
        csv(&["a", "b", "c"], [row]),
        "a,b,c\nplain,\"one, two\",\"a \"\"word\"\"\"\n"
    );
}

#[test]
fn a_changed_block_is_seen() {
    // The comparison itself: the first generated block of this page, with one character more, must not pass.
    if std::env::var_os("UPDATE").is_some_and(|v| v == "1") {
        return;
    }
    let text = read("docs/process-image.md");
    let block = text
        .split_once("<!-- generated: rod-valve -->\n")
        .and_then(|(_, rest)| rest.split_once("<!-- end -->"))
        .expect("block")
        .0;
    check("docs/process-image.md", "rod-valve", block);
    let changed = format!("{block}x");
    let seen = std::panic::catch_unwind(|| check("docs/process-image.md", "rod-valve", &changed));
    assert!(seen.is_err());
    // And a whole file.
    let file = "docs/fault-matrix/slower-stops.csv";
    let text = read(file);
    check_file(file, &text);
    let seen = std::panic::catch_unwind(|| check_file(file, &text.replacen("stuck", "stack", 1)));
    assert!(seen.is_err());
}
