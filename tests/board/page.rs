//! Measured blocks of docs/on-target.md: written where `UPDATE` asks for it, otherwise read.

use std::path::Path;

/// Puts a block's rows under its head if `UPDATE=1`; gives the rows that stand there.
pub fn rows(name: &str, head: &str, rows: &[String]) -> Vec<String> {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/on-target.md");
    let text = std::fs::read_to_string(&page).expect("the page");
    let begin = format!("<!-- generated: {name} -->\n");
    let (before, rest) = text.split_once(&begin).expect("the block");
    let (stands, after) = rest.split_once("<!-- end -->").expect("its end");
    if std::env::var_os("UPDATE").is_some_and(|value| value == "1") {
        let body = rows.join("\n");
        let text = format!("{before}{begin}{head}\n{body}\n<!-- end -->{after}");
        std::fs::write(&page, text).expect("the page");
        return rows.to_vec();
    }
    stands
        .lines()
        .skip(head.lines().count())
        .map(str::to_owned)
        .collect()
}
