//! Puts values into the text of a file: comments, order, byte order mark and line ends stay as they are.

use super::{FileError, Loaded};
use crate::assumed;
use crate::model::{Machine, Recipe};
use std::fmt;
use toml_edit::{DocumentMut, Item, Table};

/// Why values do not go into a text.
#[derive(Clone, Debug, PartialEq)]
pub enum EditError {
    /// The text with the values in it would not be read as a file of its kind.
    Files(Vec<FileError>),
    /// The text cannot be edited, or would not come back as meant.
    Edit(String),
}

impl fmt::Display for EditError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Files(errors) => out.write_str(&super::render_errors(errors, false)),
            Self::Edit(what) => out.write_str(what),
        }
    }
}

impl std::error::Error for EditError {}

/// The text of a file with other values in one of its tables, which is made where it is missing; `drives.lower` is a table that must be
/// there, within another. `read` reads a text of the kind, and what it gives must be `wanted`.
pub(super) fn with_values<T: PartialEq + Settle>(
    file: &Loaded<T>,
    name: &str,
    values: Vec<(&str, Item)>,
    wanted: &T,
    read: impl FnOnce(&str) -> Result<Loaded<T>, Vec<FileError>>,
) -> Result<String, EditError> {
    edited(file, name, wanted, read, |document| {
        let (outer, within) = name
            .split_once('.')
            .map_or((name, None), |(outer, inner)| (outer, Some(inner)));
        let mut table = document
            .entry(outer)
            .or_insert_with(|| {
                let mut table = Table::new();
                table.decor_mut().set_prefix("\n");
                Item::Table(table)
            })
            .as_table_like_mut()?;
        if let Some(inner) = within {
            table = table.get_mut(inner).and_then(Item::as_table_like_mut)?;
        }
        for (key, new) in values {
            put(table, key, new);
        }
        Some(())
    })
}

/// The text of a file after a change to its part `name`, which fails where that part is not what it should be. `read` reads a text of the
/// kind, and what it gives must be `wanted`.
pub(super) fn edited<T: PartialEq + Settle>(
    file: &Loaded<T>,
    name: &str,
    wanted: &T,
    read: impl FnOnce(&str) -> Result<Loaded<T>, Vec<FileError>>,
    change: impl FnOnce(&mut DocumentMut) -> Option<()>,
) -> Result<String, EditError> {
    let refuse = EditError::Edit;
    let mut document: DocumentMut = file
        .text
        .parse()
        .map_err(|error| refuse(format!("{} cannot be edited: {error}", file.path.display())))?;
    change(&mut document)
        .ok_or_else(|| refuse(format!("`{name}` in {} is no table", file.path.display())))?;
    let text = as_in(&file.text, &document.to_string());
    let read = read(&text).map_err(EditError::Files)?.value;
    if read == wanted.settled(&read) {
        Ok(text)
    } else {
        Err(refuse(format!(
            "{} with the new `{name}` does not read back as what was meant",
            file.path.display()
        )))
    }
}

/// What a value means for the rest of its file.
pub(super) trait Settle {
    /// The same with what follows by rule from the text that was `read`.
    fn settled(&self, read: &Self) -> Self;
}

impl Settle for Machine {
    fn settled(&self, read: &Self) -> Self {
        assumed::settled(self.clone(), read)
    }
}

impl Settle for Recipe {
    fn settled(&self, read: &Self) -> Self {
        let mut same = Self {
            // What the whole set says, and the text of one file cannot: the units of its answers,
            shown: read.shown,
            ..self.clone()
        };
        // and a rate at the speeds of a machine's drives.
        if self.consumables.removal_rate.is_some() && read.consumables.removal.is_none() {
            same.consumables.removal = None;
        }
        same
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
pub(super) fn put(table: &mut dyn toml_edit::TableLike, key: &str, new: Item) {
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
