//! Reads declarations and their docs out of source text: enough for this repository's own formatted code, and no more.

/// A documented declaration.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Name.
    pub name: String,
    /// Type of a field or constant; empty for a variant.
    pub kind: String,
    /// Value of a constant; number of a variant; empty for a field.
    pub value: String,
    /// Doc comment, joined into one line.
    pub doc: String,
}

/// Fields of `pub struct NAME`, or variants of `pub enum NAME`, in order.
pub fn members(source: &str, name: &str) -> Vec<Item> {
    let mut items = Vec::new();
    let mut doc = String::new();
    let mut inside = false;
    for line in source.lines() {
        if !inside {
            inside =
                line == format!("pub struct {name} {{") || line == format!("pub enum {name} {{");
            continue;
        }
        if line == "}" {
            break;
        }
        let line = line.trim();
        if let Some(text) = line.strip_prefix("///") {
            push(&mut doc, text);
        } else if !line.starts_with('#') && !line.is_empty() {
            let line = line.trim_end_matches(',').trim_start_matches("pub ");
            let (name, kind) = line.split_once(": ").unwrap_or((line, ""));
            let (name, value) = name.split_once(" = ").unwrap_or((name, ""));
            items.push(Item {
                name: name.to_owned(),
                kind: kind.to_owned(),
                value: value.to_owned(),
                doc: plain(&std::mem::take(&mut doc)),
            });
        }
    }
    assert!(!items.is_empty(), "no {name} in the source");
    items
}

/// Numeric constants at the top level, outside tests. One without a doc of its own shares that of the line above it.
pub fn constants(source: &str) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    let (mut doc, mut last) = (String::new(), String::new());
    let code = source.split("#[cfg(test)]\nmod ").next().unwrap_or("");
    let mut lines = code.lines();
    while let Some(line) = lines.next() {
        if let Some(text) = line.strip_prefix("///") {
            push(&mut doc, text);
            continue;
        }
        let declared = line
            .split_once("const ")
            .filter(|(before, _)| before.is_empty() || before.starts_with("pub"));
        let mut next = String::new();
        if let Some((name, rest)) = declared.and_then(|(_, rest)| rest.split_once(": ")) {
            if doc.is_empty() {
                doc.clone_from(&last);
            }
            next.clone_from(&doc);
            let mut rest = rest.to_owned();
            while !rest.ends_with(';') {
                rest.push(' ');
                rest.push_str(lines.next().unwrap_or(";").trim());
            }
            if let Some((kind, value)) = rest.trim_end_matches(';').split_once(" = ")
                && ["f64", "f32", "u64", "u32", "u16", "u8", "usize", "i32"].contains(&kind)
            {
                items.push(Item {
                    name: name.to_owned(),
                    kind: kind.to_owned(),
                    value: value.to_owned(),
                    doc: plain(&doc),
                });
            }
        }
        doc.clear();
        last = next;
    }
    items
}

fn push(doc: &mut String, text: &str) {
    if !doc.is_empty() {
        doc.push(' ');
    }
    doc.push_str(text.trim());
}

/// A doc comment outside rustdoc: links between items become plain code.
fn plain(doc: &str) -> String {
    doc.replace("[`", "`").replace("`]", "`")
}

#[test]
fn reads_what_it_is_for() {
    let source = "/// Share.\n/// Invented.\nconst A: f64 = 0.5;\nconst B: f64 = 1e3;\n\nconst C: u32 = 7;\npub const D: [u8; 1] = [1];\n\
                  /// Three\npub(super) const E: i32 =\n    3;\n#[cfg(test)]\nmod tests {\nconst F: f64 = 1.0;\n}\n";
    let found: Vec<(String, String, String)> = constants(source)
        .into_iter()
        .map(|i| (i.name, i.value, i.doc))
        .collect();
    let expect = |n: &str, v: &str, d: &str| (n.to_owned(), v.to_owned(), d.to_owned());
    assert_eq!(
        found,
        [
            expect("A", "0.5", "Share. Invented."),
            expect("B", "1e3", "Share. Invented."),
            expect("C", "7", ""),
            expect("E", "3", "Three"),
        ]
    );
}
