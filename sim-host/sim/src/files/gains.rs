//! Puts gains into the text of a machine file: comments, order and everything else stay as they are.

use super::{FileError, Loaded, parse_machine};
use crate::model::{Gains, Machine};
use std::fmt;
use toml_edit::{DocumentMut, Item, Table, value};

/// Why the gains do not go into a text.
#[derive(Clone, Debug, PartialEq)]
pub enum GainsError {
    /// The text with the gains in it would not be read as a machine file.
    Files(Vec<FileError>),
    /// The text cannot be edited, or would not come back as meant.
    Edit(String),
}

impl fmt::Display for GainsError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Files(errors) => out.write_str(&super::render_errors(errors, false)),
            Self::Edit(what) => out.write_str(what),
        }
    }
}

impl std::error::Error for GainsError {}

/// The text of a machine file with these gains.
///
/// # Errors
/// A text that would not be read back as meant; the file is then to be left alone.
pub fn with_gains(file: &Loaded<Machine>, gains: &Gains) -> Result<String, GainsError> {
    let refuse = GainsError::Edit;
    let mut document: DocumentMut = file
        .text
        .parse()
        .map_err(|error| refuse(format!("{} cannot be edited: {error}", file.path.display())))?;
    let table = document
        .entry("gains")
        .or_insert_with(|| {
            let mut table = Table::new();
            table.decor_mut().set_prefix("\n");
            Item::Table(table)
        })
        .as_table_like_mut()
        .ok_or_else(|| refuse(format!("`gains` in {} is no table", file.path.display())))?;
    for (key, new) in [
        ("proportional", value(format!("{} 1/N", gains.kc))),
        ("integral-time", value(format!("{} s", gains.ti))),
        ("setpoint-weight", value(gains.weight)),
    ] {
        put(table, key, new);
    }
    let text = as_in(&file.text, &document.to_string());
    let read = parse_machine(&file.path, &text).map_err(GainsError::Files)?;
    let wanted = Machine {
        gains: Some(*gains),
        ..file.value.clone()
    };
    if read.value == wanted {
        Ok(text)
    } else {
        Err(refuse(format!(
            "{} with the new gains does not read back as the machine that was judged",
            file.path.display()
        )))
    }
}

/// A text with the byte order mark and the line ends of another: the editor drops the one and writes bare line feeds whatever it
/// read. Lines that are the same keep their own ends, new ones get those of most.
fn as_in(old: &str, new: &str) -> String {
    const MARK: char = '\u{feff}';
    const PAIR: &str = "\r\n";
    let pairs = old.matches(PAIR).count();
    let most = if 2 * pairs > old.matches('\n').count() {
        PAIR
    } else {
        "\n"
    };
    let bare = |text: &str| text.trim_start_matches(MARK).replace(PAIR, "\n");
    let (was, new) = (bare(old), bare(new));
    let (was, is): (Vec<&str>, Vec<&str>) = (
        was.split_inclusive('\n').collect(),
        new.split_inclusive('\n').collect(),
    );
    let same = |(a, b): &(&&str, &&str)| a == b;
    let head = was.iter().zip(&is).take_while(same).count();
    let tail = was[head..]
        .iter()
        .rev()
        .zip(is[head..].iter().rev())
        .take_while(same)
        .count();
    let old_lines: Vec<&str> = old.trim_start_matches(MARK).split_inclusive('\n').collect();
    let mut text = String::with_capacity(old.len());
    if old.starts_with(MARK) {
        text.push(MARK);
    }
    text.extend(old_lines[..head].iter().copied());
    for (index, line) in is[head..is.len() - tail].iter().enumerate() {
        // A line that only got another value keeps its end.
        let before = was[head..was.len() - tail].len() == is[head..is.len() - tail].len();
        let end = match old_lines.get(head + index) {
            Some(old) if before && old.ends_with(PAIR) => PAIR,
            Some(_) if before => "\n",
            Some(_) | None => most,
        };
        text.push_str(&line.replace('\n', end));
    }
    text.extend(old_lines[old_lines.len() - tail..].iter().copied());
    text
}

/// Sets a value; the comment behind the old one stays.
fn put(table: &mut dyn toml_edit::TableLike, key: &str, new: Item) {
    match (table.get_mut(key).and_then(Item::as_value_mut), new) {
        (Some(old), Item::Value(mut new)) => {
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        (_, new) => {
            table.insert(key, new);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    const TEXT: &str = include_str!("../../../../recipes/machines/machine-a.toml");

    fn gains() -> Gains {
        Gains {
            kc: 0.002_013_7,
            ti: 0.105_12,
            weight: 1.0,
        }
    }

    fn read(text: &str) -> Loaded<Machine> {
        parse_machine(Path::new("machine.toml"), text).expect("reads")
    }

    #[test]
    fn a_file_without_gains_gets_a_block_and_keeps_every_line() {
        let text = with_gains(&read(TEXT), &gains()).expect("written");
        assert_eq!(read(&text).value.gains, Some(gains()));
        let rest = text.replace(
            "\n[gains]\nproportional = \"0.0020137 1/N\"\nintegral-time = \"0.10512 s\"\nsetpoint-weight = 1.0\n",
            "",
        );
        assert_eq!(rest, TEXT);
    }

    #[test]
    fn a_file_with_gains_keeps_comments_and_order() {
        let before = "# mine\n[gains] # the loop\nintegral-time = \"0.2 s\" # slow\n# why\nproportional   = \"0.001 1/N\"\nsetpoint-weight = 0.5 # half\n\n[envelope]";
        let old = TEXT.replace("[envelope]", before);
        let text = with_gains(&read(&old), &gains()).expect("written");
        let after = before
            .replace("0.2 s", "0.10512 s")
            .replace("0.001 1/N", "0.0020137 1/N")
            .replace("0.5 #", "1.0 #");
        assert_eq!(text, TEXT.replace("[envelope]", &after));
    }

    #[test]
    fn line_ends_stay_as_they_were() {
        let old = TEXT.replace('\n', "\r\n");
        let text = with_gains(&read(&old), &gains()).expect("written");
        assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
        let bare = with_gains(&read(TEXT), &gains()).expect("written");
        assert_eq!(text.replace("\r\n", "\n"), bare);
        assert!(!bare.contains('\r'));
    }

    /// Whatever editor a file came from, its other lines stay as they are, byte for byte.
    #[test]
    fn a_byte_order_mark_and_mixed_line_ends_stay() {
        let mixed = |text: &str| -> String {
            let ends = ["\r\n", "\n", "\r\n"];
            text.lines()
                .enumerate()
                .map(|(n, line)| format!("{line}{}", ends[n % 3]))
                .collect()
        };
        for old in [TEXT.to_owned(), TEXT.replace('\n', "\r\n"), mixed(TEXT)] {
            let old = format!("\u{feff}{old}");
            let text = with_gains(&read(&old), &gains()).expect("written");
            assert!(text.starts_with("\u{feff}# Invented"));
            assert_eq!(text.matches('\u{feff}').count(), 1);
            assert_eq!(read(&text).value.gains, Some(gains()));
            let block = text.find("[gains]").expect("a block");
            let before = text[..block].trim_end();
            assert!(old.starts_with(before), "the head has changed");
            // Written again with other gains, every line but theirs is the same.
            let other = Gains {
                kc: 0.001,
                ..gains()
            };
            let again = with_gains(&read(&text), &other).expect("written");
            let differ: Vec<(&str, &str)> = text
                .split_inclusive('\n')
                .zip(again.split_inclusive('\n'))
                .filter(|(a, b)| a != b)
                .collect();
            assert_eq!(differ.len(), 1, "{differ:?}");
            let end = |line: &str| line.ends_with("\r\n");
            assert_eq!(end(differ[0].0), end(differ[0].1));
        }
    }
}
