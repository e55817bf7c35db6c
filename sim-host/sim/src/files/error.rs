//! What is wrong with a file, where, and how to mend it.
//!
//! Every error has a stable code from [`CODES`], a place, the marked line, what was expected and, where one is close, the
//! word that was probably meant. [`render_errors`] draws them; nothing here reads or parses.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

/// Every code a file can earn, with its meaning in one line. Codes are stable: programs and waivers quote them.
pub const CODES: &[(&str, &str)] = &[
    (
        "unreadable-file",
        "the path cannot be opened or read as a regular file",
    ),
    ("file-too-large", "the file is larger than 1 MiB"),
    (
        "empty-file",
        "the file holds nothing but space and comments",
    ),
    ("not-utf8", "the bytes are not UTF-8"),
    (
        "not-text",
        "the file holds control characters; it is no text",
    ),
    ("syntax", "the text is not TOML 1.0"),
    ("duplicate-key", "a key or table is there twice"),
    (
        "wrong-kind",
        "the file is of another kind than the one asked for",
    ),
    ("unknown-key", "a key that this kind of file does not have"),
    ("missing-key", "a key that must be there is not"),
    (
        "conflicting-key",
        "a key that does not go together with another one in the same table",
    ),
    ("wrong-type", "a value of another type than is due"),
    (
        "missing-unit",
        "a number without a unit where a unit is due",
    ),
    ("unknown-unit", "a unit that is not in the table of units"),
    (
        "wrong-dimension",
        "a quantity of another dimension than is due",
    ),
    ("bad-number", "text that does not begin with a number"),
    ("not-finite", "NaN, infinity, or a number too large to hold"),
    ("out-of-range", "a value outside the range of its key"),
    (
        "unknown-word",
        "a word that is none of the words allowed here",
    ),
    (
        "bad-identifier",
        "an identifier of forbidden characters or length",
    ),
    ("bad-text", "text that is empty, too long or not one line"),
    ("too-few-items", "a list with fewer entries than it needs"),
    (
        "too-many-items",
        "a list with more entries than it may have",
    ),
    ("duplicate-name", "two entries of one list share a name"),
    ("inconsistent", "two values that cannot both be true"),
    (
        "not-found",
        "something that a file names is not there: a machine, batch or recipe, or an expectation of an exercise",
    ),
    (
        "grade-mismatch",
        "the grain size is not the one of the abrasive grade",
    ),
    (
        "id-mismatch",
        "a file carries another id than its name says",
    ),
    (
        "no-such-step",
        "a scenario waits for a step that the recipe does not have",
    ),
];

/// The piece of a line that an error marks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MarkedLine {
    /// The line's text, without its end.
    pub line: String,
    /// First marked byte in `line`.
    pub start: usize,
    /// One past the last marked byte in `line`, at least `start`.
    pub end: usize,
}

/// Longest line shown, bytes; a longer one is cut around its mark.
pub(super) const LINE_SHOWN: usize = 400;

impl MarkedLine {
    /// A line with the bytes from `start` to `end` marked. A very long one is cut around its mark, at character boundaries.
    #[must_use]
    pub fn cut(line: &str, start: usize, end: usize) -> Self {
        let floor = |mut at: usize| {
            at = at.min(line.len());
            while !line.is_char_boundary(at) {
                at -= 1;
            }
            at
        };
        let (start, end) = (floor(start), floor(end));
        let (from, to) = if line.len() <= LINE_SHOWN {
            (0, line.len())
        } else {
            (
                floor(start.saturating_sub(LINE_SHOWN / 4)),
                floor(start + LINE_SHOWN / 2),
            )
        };
        let shown = line.get(from..to).unwrap_or("");
        // Control characters would upset a terminal; a tab is as wide as the terminal likes, so it becomes one space.
        let shown = shown
            .chars()
            .map(|c| if c.is_ascii_control() { ' ' } else { c })
            .collect();
        Self {
            line: shown,
            start: start - from,
            end: end.min(to).max(start) - from,
        }
    }
}

/// Longest sentence about what is wrong, characters: it may quote a word of the file, and that may be the whole file.
const SENTENCE: usize = 400;

/// A sentence about what is wrong; a very long one is cut.
#[must_use]
pub fn said(sentence: String) -> String {
    match sentence.char_indices().nth(SENTENCE) {
        Some((end, _)) => format!("{}…", &sentence[..end]),
        None => sentence,
    }
}

/// One thing wrong with one file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileError {
    /// Stable code, one of [`CODES`].
    pub code: &'static str,
    /// The file, as the caller named it.
    pub file: String,
    /// Line, counted from 1; 1 where the file as a whole is meant.
    pub line: usize,
    /// Column in characters, counted from 1; 1 where the file as a whole is meant.
    pub column: usize,
    /// What is wrong, one sentence without its full stop.
    pub message: String,
    /// What was expected there; empty where the message says it all. It ends where `lines` go on.
    pub expected: String,
    /// Lines that would do and can be pasted into the file; empty where none are known.
    pub lines: Vec<String>,
    /// The nearest valid word, where one is close enough to have been meant.
    pub nearest: Option<String>,
    /// The marked line; `None` where there is no line to show.
    pub mark: Option<MarkedLine>,
}

impl FileError {
    /// An error about a file as a whole: nothing to mark.
    #[must_use]
    pub fn whole(code: &'static str, file: &str, message: String, expected: &str) -> Self {
        Self {
            code,
            file: file.to_owned(),
            line: 1,
            column: 1,
            message: said(message),
            expected: expected.to_owned(),
            lines: Vec::new(),
            nearest: None,
            mark: None,
        }
    }

    /// The cure in words, for a program that shows it elsewhere: what was expected, and the lines that can be pasted.
    #[must_use]
    pub fn cure(&self) -> String {
        let expected = if self.expected.is_empty() {
            "see the marked place".to_owned()
        } else {
            format!("expected {}", self.expected)
        };
        std::iter::once(&expected)
            .chain(&self.lines)
            .map(String::as_str)
            .collect::<Vec<_>>()
            .join("\n")
    }
}

impl std::fmt::Display for FileError {
    /// One line: `file:line:column: code: message`, as editors and build tools read it.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self {
            file,
            line,
            column,
            code,
            message,
            ..
        } = self;
        write!(f, "{file}:{line}:{column}: {code}: {message}")
    }
}

impl std::error::Error for FileError {}

/// Most errors that are told of at once; of the others it is said how many they are.
pub const TOLD: usize = 50;

/// Columns that rendered errors keep to unless told otherwise, where names and lines allow it.
const WIDTH: usize = 80;

/// Draws errors with their marked lines, the first [`TOLD`] of them, in the order given; coloured with ANSI escapes only when `color` is set.
#[must_use]
pub fn render_errors(errors: &[FileError], color: bool) -> String {
    render_errors_within(errors, color, WIDTH)
}

/// As [`render_errors`], in so many columns.
#[must_use]
pub fn render_errors_within(errors: &[FileError], color: bool, width: usize) -> String {
    let renderer = if color {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let renderer = renderer.decor_style(DecorStyle::Ascii).term_width(width);
    let mut out = String::new();
    for error in errors.iter().take(TOLD) {
        out.push_str(renderer.render(&[group(error, width)]).trim_end());
        out.push_str("\n\n");
    }
    if errors.len() > 1 {
        out.push_str(&format!("{} errors\n", errors.len()));
    }
    if let Some(rest) = untold(errors) {
        out.push_str(&rest);
        out.push('\n');
    }
    out
}

/// What is said instead of the errors after the first [`TOLD`]; `None` where there are none.
#[must_use]
pub fn untold(errors: &[FileError]) -> Option<String> {
    let more = errors.len().saturating_sub(TOLD);
    (more > 0).then(|| format!("{more} more errors are not shown: mend these first"))
}

fn group(error: &FileError, width: usize) -> Group<'_> {
    // `error[code]: ` stands before the title.
    let title = wrap(&error.message, width.saturating_sub(9 + error.code.len()));
    let mut group =
        Level::ERROR
            .primary_title(title)
            .id(error.code)
            .elements(error.mark.as_ref().map(|mark| {
                Snippet::source(&*mark.line)
                    .path(&*error.file)
                    .line_start(error.line)
                    .annotation(AnnotationKind::Primary.span(mark.start..mark.end))
            }));
    if error.mark.is_none() {
        group = group.element(annotate_snippets::Origin::path(&*error.file));
    }
    if !error.expected.is_empty() {
        // `   = note: ` stands before it, with as many columns more as the line's number has digits.
        let mut note = wrap(
            &format!("expected {}", error.expected),
            width.saturating_sub(15),
        );
        for line in &error.lines {
            note.push('\n');
            note.push_str(line);
        }
        group = group.element(Level::NOTE.message(note));
    }
    if let Some(word) = &error.nearest {
        group = group.element(Level::HELP.message(format!("did you mean `{word}`?")));
    }
    group
}

/// Breaks text at spaces so that no line is wider than `width` characters, single words excepted.
fn wrap(text: &str, width: usize) -> String {
    let mut out = String::with_capacity(text.len());
    let mut column = 0;
    for word in text.split(' ') {
        let length = word.chars().count();
        if column > 0 && column + 1 + length > width {
            out.push('\n');
            column = 0;
        } else if column > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out
}

/// The word of `words` nearest to `typed`, when it is near enough to have been meant: at most a third of its letters
/// differ, capitals, hyphens and underscores apart. The first of equals wins.
#[must_use]
pub fn nearest<'w>(typed: &str, words: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    let fold = |s: &str| s.to_lowercase().replace(['_', ' '], "-");
    let typed = fold(typed);
    let length = typed.chars().count();
    let mut best: Option<(usize, &str)> = None;
    for word in words {
        let folded = fold(word);
        let letters = folded.chars().count();
        // A one-letter word is a letter away from every other one: only its capital or spelling may differ.
        let allowed = if letters < 2 { 0 } else { (letters / 3).max(1) };
        // So much longer or shorter is so far away. It need not be compared letter by letter, which takes as much room as both multiplied.
        if length.abs_diff(letters) > allowed {
            continue;
        }
        let distance = strsim::damerau_levenshtein(&typed, &folded);
        if distance <= allowed && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, word));
        }
    }
    best.map(|(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_unique_and_kebab_case() {
        for (i, (code, meaning)) in CODES.iter().enumerate() {
            assert!(
                code.chars()
                    .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'),
                "{code}"
            );
            assert!(!meaning.is_empty());
            assert!(CODES[..i].iter().all(|(other, _)| other != code), "{code}");
        }
    }

    #[test]
    fn nearest_finds_slips_and_leaves_strangers_alone() {
        let words = ["pressure", "ramp", "limit", "speeds"];
        assert_eq!(nearest("presure", words), Some("pressure"));
        assert_eq!(nearest("Speeds", words), Some("speeds"));
        assert_eq!(nearest("ramp_", words), Some("ramp"));
        assert_eq!(nearest("viscosity", words), None);
        assert_eq!(nearest("load_limit", ["load-limit"]), Some("load-limit"));
    }

    #[test]
    fn wrap_keeps_words_and_width() {
        let text = wrap("one two three four five", 9);
        assert_eq!(text, "one two\nthree\nfour five");
    }

    #[test]
    fn rendering_marks_the_place_and_is_plain_unless_asked() {
        let error = FileError {
            code: "unknown-key",
            file: "a.toml".into(),
            line: 7,
            column: 1,
            message: "unknown key `presure`".into(),
            expected: "a key of a step".into(),
            lines: Vec::new(),
            nearest: Some("pressure".into()),
            mark: Some(MarkedLine {
                line: "presure = \"14 kPa\"".into(),
                start: 0,
                end: 7,
            }),
        };
        let plain = render_errors(std::slice::from_ref(&error), false);
        assert!(plain.contains("a.toml:7:1"), "{plain}");
        assert!(plain.contains("^^^^^^^"), "{plain}");
        assert!(plain.contains("did you mean `pressure`?"), "{plain}");
        assert!(!plain.contains('\u{1b}'), "{plain}");
        assert!(render_errors(&[error], true).contains('\u{1b}'));
    }

    #[test]
    fn a_long_line_is_cut_around_its_mark() {
        let text = format!("x = \"{}\"", "µ".repeat(5000));
        let mark = MarkedLine::cut(&text, 5001, 5003);
        assert!(mark.line.len() <= LINE_SHOWN + 4);
        assert_eq!(&mark.line[mark.start..mark.end], "µ");
        let beyond = MarkedLine::cut(&text, 20_000, 30_000);
        assert_eq!(beyond.start, beyond.end);
    }
}
