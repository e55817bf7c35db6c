//! Text that was laid out for eighty columns, in fewer: tables lose the space between their columns, paragraphs are broken anew.
//! Whoever draws a text need not know how wide the terminal is.

use super::WIDTH;

/// A character with the escape sequences before it, which take no room.
#[derive(Clone)]
struct Cell {
    escapes: String,
    letter: char,
}

/// A line as it is seen.
#[derive(Clone, Default)]
struct Line {
    cells: Vec<Cell>,
    /// Escape sequences behind the last character.
    tail: String,
}

impl Line {
    fn read(text: &str) -> Self {
        let mut line = Self::default();
        let mut letters = text.chars();
        while let Some(letter) = letters.next() {
            if letter == '\u{1b}' {
                line.tail.push(letter);
                // Colours alone are used: they end with an m.
                for inner in letters.by_ref() {
                    line.tail.push(inner);
                    if inner == 'm' {
                        break;
                    }
                }
            } else {
                line.cells.push(Cell {
                    escapes: std::mem::take(&mut line.tail),
                    letter,
                });
            }
        }
        line
    }

    fn width(&self) -> usize {
        self.cells.len()
    }

    fn is_space(&self, column: usize) -> bool {
        self.cells.get(column).is_none_or(|cell| cell.letter == ' ')
    }

    fn indent(&self) -> usize {
        self.cells
            .iter()
            .take_while(|cell| cell.letter == ' ')
            .count()
    }

    /// Columns at which text begins again after two spaces or more.
    fn columns(&self) -> Vec<usize> {
        (self.indent() + 3..self.width())
            .filter(|&at| !self.is_space(at) && self.is_space(at - 1) && self.is_space(at - 2))
            .collect()
    }

    /// Where the lines under this one begin if it is broken: under its text, where a label or a dash stands before it.
    fn hang(&self) -> usize {
        let indent = self.indent();
        match self.columns()[..] {
            [text] if text <= WIDTH / 3 => text,
            _ => {
                let dash = self
                    .cells
                    .get(indent)
                    .is_some_and(|cell| cell.letter == '-');
                indent
                    + if dash && self.is_space(indent + 1) {
                        2
                    } else {
                        0
                    }
            }
        }
    }

    fn words(&self) -> usize {
        (0..self.width())
            .filter(|&at| !self.is_space(at) && (at == 0 || self.is_space(at - 1)))
            .count()
    }

    fn first_word(&self) -> usize {
        let rest = self.cells.iter().skip(self.indent());
        rest.take_while(|cell| cell.letter != ' ').count()
    }

    /// A command on a line of its own, this program's or one with options: it is meant to be copied.
    fn is_command(&self) -> bool {
        let text: String = self.cells.iter().map(|cell| cell.letter).collect();
        let ours = concat!(env!("CARGO_PKG_NAME"), " ");
        text.starts_with("  ")
            && (text.trim_start().starts_with(ours) || text.contains(" --"))
            && self.columns().is_empty()
    }

    /// Takes a column out; its colour goes to what follows.
    fn remove(&mut self, column: usize) {
        if column >= self.width() {
            return;
        }
        let gone = self.cells.remove(column);
        let next = match self.cells.get_mut(column) {
            Some(cell) => &mut cell.escapes,
            None => &mut self.tail,
        };
        next.insert_str(0, &gone.escapes);
    }

    fn join(&mut self, mut next: Self) {
        next.cells.drain(..next.indent());
        self.cells.push(Cell {
            escapes: std::mem::take(&mut self.tail),
            letter: ' ',
        });
        self.cells.append(&mut next.cells);
        self.tail = next.tail;
    }

    fn write(&self, out: &mut String) {
        for cell in &self.cells {
            out.push_str(&cell.escapes);
            out.push(cell.letter);
        }
        out.push_str(&self.tail);
        out.push('\n');
    }

    /// Writes the line, broken at spaces.
    fn break_into(mut self, width: usize, out: &mut String) {
        let hang = self.hang();
        loop {
            // The last space that leaves a line of at most `width`; else the first one that there is.
            let spaces = |range: std::ops::Range<usize>| range.filter(|&at| self.is_space(at));
            let at = spaces(hang + 1..(width + 1).min(self.width()))
                .next_back()
                .or_else(|| spaces(width + 1..self.width()).next());
            let (Some(at), true) = (at, self.width() > width) else {
                self.write(out);
                return;
            };
            let mut rest = Self {
                cells: self.cells.split_off(at),
                tail: std::mem::take(&mut self.tail),
            };
            while self.cells.last().is_some_and(|cell| cell.letter == ' ') {
                self.cells.pop();
            }
            self.write(out);
            let spaces = rest.indent();
            for _ in 0..spaces {
                rest.remove(0);
            }
            let blank = Cell {
                escapes: String::new(),
                letter: ' ',
            };
            rest.cells.splice(0..0, std::iter::repeat_n(blank, hang));
            self = rest;
        }
    }
}

/// The text in `width` columns. Words, commands and a path behind its label are never broken.
#[must_use]
pub fn fit(text: &str, width: usize) -> String {
    let mut lines: Vec<Line> = text.lines().map(Line::read).collect();
    squeeze_tables(&mut lines, width);
    let mut out = String::with_capacity(text.len());
    let mut lines = lines.into_iter().peekable();
    while let Some(mut line) = lines.next() {
        if line.is_command() || line.words() <= 2 {
            line.write(&mut out);
            continue;
        }
        let hang = line.hang();
        let mut last = line.width();
        // A line that the next word had no room in goes on in the next one.
        while width < WIDTH
            && let Some(next) = lines.next_if(|next| {
                next.indent() == hang && next.words() > 0 && last + 1 + next.first_word() >= WIDTH
            })
        {
            last = next.width();
            line.join(next);
        }
        line.break_into(width, &mut out);
    }
    if !text.ends_with('\n') {
        out.pop();
    }
    out
}

/// Takes space out from between the columns of tables that are too wide.
fn squeeze_tables(lines: &mut [Line], width: usize) {
    let mut start = 0;
    while start < lines.len() {
        let is_row = |line: &Line| {
            // A heading may have nothing over the first column.
            line.columns().len() + usize::from(line.indent() > 2) > 1
        };
        // A table is rows in a row; a cell that fills its column may hide one.
        let length = lines[start..]
            .iter()
            .take_while(|line| line.width() > 0)
            .count();
        let block = &mut lines[start..start + length];
        let first = block.iter().position(is_row);
        let last = block.iter().rposition(is_row);
        if let (Some(first), Some(last)) = (first, last)
            && block[first..=last].iter().any(|line| line.width() > width)
        {
            squeeze(&mut block[first..=last], width);
        }
        start += length.max(1);
    }
}

/// A line of running text that stands among the rows of a table.
fn is_note(line: &Line) -> bool {
    line.indent() > 2 && line.columns().is_empty() && line.words() > 1
}

/// Takes out columns that are blank in every row as long as a blank column stays before each column of text: first those that
/// make gaps wider than two, then those that make them wider than one.
fn squeeze(block: &mut [Line], width: usize) {
    let mut rows: Vec<&mut Line> = block.iter_mut().filter(|line| !is_note(line)).collect();
    for gap in [2, 1] {
        let mut column = rows.iter().map(|row| row.width()).max().unwrap_or(0);
        while column > 0 {
            column -= 1;
            if rows.iter().all(|row| row.width() <= width) {
                return;
            }
            let blank = |at: usize| rows.iter().all(|row| row.is_space(at));
            if column >= gap && (column - gap..=column).all(blank) {
                rows.iter_mut().for_each(|row| row.remove(column));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{Paint, Style};

    #[test]
    fn a_paragraph_is_broken_anew_and_not_torn() {
        let words = "one two three four five six seven eight nine ten ".repeat(4);
        let wide = super::super::wrap(&words, WIDTH).join("\n") + "\n\nnext\n";
        let narrow = fit(&wide, 60);
        assert_eq!(
            narrow,
            super::super::wrap(&words, 60).join("\n") + "\n\nnext\n"
        );
        assert_eq!(fit(&wide, WIDTH), wide);
    }

    #[test]
    fn what_hangs_under_a_label_stays_under_it() {
        let label = format!("{:<19}", "Prediction");
        let words = "and so on and on ".repeat(8);
        let lines = super::super::wrap(&words, WIDTH - 19);
        let mut wide = format!("{label}{}\n", lines[0]);
        for line in &lines[1..] {
            wide.push_str(&format!("{:19}{line}\n", ""));
        }
        let narrow = fit(&wide, 60);
        for (index, line) in narrow.lines().enumerate() {
            assert!(line.chars().count() <= 60, "{line}");
            let begins = if index == 0 {
                label.as_str()
            } else {
                "                   "
            };
            assert!(line.starts_with(begins), "{line}");
        }
        let joined: Vec<&str> = narrow.split_whitespace().skip(1).collect();
        assert_eq!(joined.join(" "), words.trim());
    }

    #[test]
    fn a_table_keeps_its_columns_in_line() {
        let row = |a: &str, b: &str, c: &str| format!("{a:<30} {b:>20} {c:>20}\n");
        let table =
            row("name", "load", "time s") + &row("rough", "350", "60") + &row("fine", "1", "7");
        let narrow = fit(&table, 40);
        let ends: Vec<usize> = narrow.lines().map(|line| line.chars().count()).collect();
        assert!(
            ends.iter().all(|end| *end == ends[0] && *end <= 40),
            "{narrow}"
        );
    }

    #[test]
    fn a_note_between_the_rows_of_a_table_does_not_keep_it_wide() {
        let row = |a: &str, b: &str| format!("{a:>5} {b:>20} {b:>20}\n");
        let note = "     then both plates were conditioned\n";
        let table = row("batch", "µm") + &row("1", "0.12") + note + &row("2", "0.09");
        let narrow = fit(&table, 40);
        assert_eq!(narrow.lines().count(), 4, "{narrow}");
        assert!(
            narrow.lines().all(|line| line.chars().count() <= 40),
            "{narrow}"
        );
        assert!(narrow.contains(note), "{narrow}");
    }

    #[test]
    fn colours_take_no_room_and_stay_on_their_words() {
        let style = Style {
            color: true,
            ..Style::PLAIN
        };
        let painted = style.paint(Paint::Danger, &"word ".repeat(20));
        let narrow = fit(&painted, 60);
        assert!(
            narrow.starts_with("\u{1b}[31;1m") && narrow.ends_with("\u{1b}[0m"),
            "{narrow:?}"
        );
        assert_eq!(narrow.matches('\u{1b}').count(), 2);
        for line in narrow.lines() {
            let seen = Line::read(line).width();
            assert!(seen <= 60, "{seen}: {line}");
        }
    }

    #[test]
    fn commands_and_paths_are_left_whole() {
        let text = format!(
            "  twinplate run {0} --seed 1\n  twinplate check {0}\nreport: {1}\n",
            "a".repeat(70),
            "b".repeat(70)
        );
        assert_eq!(fit(&text, 60), text);
    }
}
