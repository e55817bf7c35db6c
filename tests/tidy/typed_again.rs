//! What the core publishes and somebody above it has typed again: names and words, and numbers under the name that they have in the core.

use super::source::{Source, sources};
use std::collections::BTreeMap;
use std::path::Path;

/// What the core publishes.
pub struct Published {
    /// Names for machines and words for people that no everyday text equals by chance: those of more than one word. With what they are.
    names: BTreeMap<String, String>,
    /// Words for people alone; pages may compare with names.
    words: BTreeMap<String, String>,
    /// Public constants that are one number, and their digits.
    numbers: BTreeMap<String, String>,
}

/// Something typed again.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Again {
    /// The file, from the root of the repository.
    pub path: String,
    /// What stands there.
    pub what: String,
    /// Whose it is.
    pub of: String,
}

impl Published {
    /// From the `words!` declarations, the rows of the interlock table and the constants of the core's sources.
    pub fn by(core: &Path) -> Self {
        let mut published = Self {
            names: BTreeMap::new(),
            words: BTreeMap::new(),
            numbers: BTreeMap::new(),
        };
        for source in sources(core) {
            published.take(source.code());
        }
        published
    }

    /// How many words and how many numbers there are: a rule that knows none holds nothing.
    pub fn len(&self) -> (usize, usize) {
        (self.names.len() + self.words.len(), self.numbers.len())
    }

    fn take(&mut self, code: &str) {
        let mut of = None;
        for line in code.lines() {
            if let Some(head) = line.strip_prefix("words!(") {
                of = head.split(',').next();
            } else if line.starts_with('}') {
                of = None;
            }
            let texts: Vec<&str> = line.split('"').collect();
            if let (Some(of), [_, name, _, word, _]) = (of, texts.as_slice()) {
                note(&mut self.names, name, of);
                note(&mut self.words, word, of);
            } else if line.trim_start().starts_with("row(") {
                note(
                    &mut self.names,
                    texts.get(1).copied().unwrap_or_default(),
                    "an interlock row",
                );
            }
            if let Some((name, digits)) = number(line)
                && line.trim_start().starts_with("pub ")
            {
                self.numbers.insert(name.to_owned(), digits);
            }
        }
    }

    /// What a source above the core types again.
    pub fn again_in(&self, source: &Source) -> Vec<Again> {
        let mut found = Vec::new();
        for line in source.code().lines() {
            // Every second piece is a literal; what lies between is code, and code never equals a name of more than one word.
            for piece in line.split('"') {
                if let Some(of) = self.names.get(piece).or_else(|| self.words.get(piece)) {
                    found.push(again(&source.path, piece, of));
                }
            }
            if let Some((name, digits)) = number(line)
                && self.numbers.get(name) == Some(&digits)
            {
                found.push(again(&source.path, name, "a constant"));
            }
        }
        found
    }

    /// What a page types again: a literal of a script, or the text of an element.
    pub fn again_on(&self, path: &str, page: &str) -> Vec<Again> {
        page.lines()
            .flat_map(|line| line.split(['"', '\'', '`', '<', '>']))
            .filter_map(|piece| {
                let piece = piece.trim();
                self.words.get(piece).map(|of| again(path, piece, of))
            })
            .collect()
    }
}

fn again(path: &str, what: &str, of: &str) -> Again {
    Again {
        path: path.to_owned(),
        what: what.to_owned(),
        of: of.to_owned(),
    }
}

fn note(list: &mut BTreeMap<String, String>, text: &str, of: &str) {
    if text.contains([' ', '-']) {
        list.insert(text.to_owned(), of.to_owned());
    }
}

/// Name and digits of a constant that is one number.
fn number(line: &str) -> Option<(&str, String)> {
    let (head, value) = line.trim().strip_suffix(';')?.split_once(" = ")?;
    let (_, constant) = head.split_once("const ")?;
    let name = constant.split(':').next()?;
    let digits: String = value.chars().filter(|c| *c != '_').collect();
    digits.parse::<f64>().is_ok().then_some((name, digits))
}
