//! Draws what `study` and `bench` return: text for a terminal, one self-contained page, JUnit for a pipeline, the cycle ribbon.
//!
//! Nothing here judges; a report that disagrees with its `CheckReport` is a defect of the report. Colour is kept for what is
//! not normal and never stands alone: every coloured thing has a word or a shape beside it (IEC 60073: red danger, yellow
//! abnormal, green normal). The plan of load and wear has two quiet scales of colour; their numbers stand in it.

pub mod answers;
mod assumed;
pub mod batches_page;
pub mod calibration;
mod complaint;
pub(crate) mod correction;
pub mod cycle;
pub mod draft;
pub mod fault_declarations;
pub mod faults;
mod fit;
mod fringes;
pub mod html;
pub mod junit;
pub mod pictures;
pub mod plan;
pub mod ribbon;
pub mod section;
pub mod several;
pub mod shop;
pub mod svg;
pub mod text;
pub mod trend;
pub mod tune_page;
pub mod tuning;

#[cfg(test)]
mod tests;

pub use complaint::Complaint;
pub use cycle::Cycle;
pub use fit::fit;
use std::fmt::Write as _;
pub use twinplate_check::catalogue::wrap;
use twinplate_sim::model::{Of, Shown, significant};

/// Columns that text is laid out for.
pub const WIDTH: usize = 80;

/// How text is written to a terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// Colour escape sequences; the caller knows about terminals and `NO_COLOR`.
    pub color: bool,
    /// Only ASCII characters in pictures.
    pub ascii: bool,
    /// Columns; at most [`WIDTH`].
    pub width: usize,
}

impl Style {
    /// No colour, Unicode pictures: what a file or a pipe gets.
    pub const PLAIN: Self = Self {
        color: false,
        ascii: false,
        width: WIDTH,
    };

    /// `text` in the colour of a severity word, where colour is on.
    #[must_use]
    pub(crate) fn paint(self, kind: Paint, text: &str) -> String {
        if self.color {
            let code = match kind {
                Paint::Danger => "31;1",
                Paint::Abnormal => "33",
                Paint::Normal => "32",
                Paint::Strong => "1",
                Paint::Quiet => "2",
            };
            format!("\u{1b}[{code}m{text}\u{1b}[0m")
        } else {
            text.to_owned()
        }
    }
}

/// Meaning of a colour (IEC 60073), or weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paint {
    /// Red: danger, error.
    Danger,
    /// Yellow: abnormal, warning.
    Abnormal,
    /// Green: normal, pass.
    Normal,
    /// Bold.
    Strong,
    /// Dim.
    Quiet,
}

/// A number that reports count in, to so many digits, in the unit that is shown; one of no kind as it is.
pub(crate) fn counted(shown: &Shown, of: Option<Of>, number: f64, digits: usize) -> String {
    of.map_or_else(
        || significant(number, digits),
        |of| shown.digits(of, number, digits),
    )
}

/// The unit that such a number is shown in.
pub(crate) fn unit_of(shown: &Shown, of: Option<Of>, unit: &'static str) -> &'static str {
    of.map_or(unit, |of| shown.symbol(of))
}

/// Seconds as a person says them: `45 s`, `5 min 12 s`.
#[must_use]
pub fn duration(seconds: f64) -> String {
    if seconds < 60.0 {
        return format!("{seconds:.0} s");
    }
    let minutes = twinplate_sim::math::floor(seconds / 60.0);
    let rest = twinplate_sim::math::floor(seconds - 60.0 * minutes + 0.5);
    if rest >= 60.0 {
        format!("{:.0} min 0 s", minutes + 1.0)
    } else {
        format!("{minutes:.0} min {rest:.0} s")
    }
}

/// The title of a section of text, with an empty line before it.
pub(crate) fn heading(text: &mut String, words: &str, style: Style) {
    // Writing to a String cannot fail.
    let _ = writeln!(text, "\n{}", style.paint(Paint::Strong, words));
}

/// Words in the width of a page behind what the first line begins with.
fn paragraph(text: &mut String, first: &str, words: &str) {
    let indent = " ".repeat(first.chars().count());
    for (n, line) in wrap(words, WIDTH - indent.len()).iter().enumerate() {
        let before = if n == 0 { first } else { &indent };
        let _ = writeln!(text, "{before}{line}");
    }
}

/// The end of a verb's text: the caution, then the verdict, the last line.
fn close(text: &mut String, caution: &str, kind: Paint, verdict: &str, style: Style) {
    paragraph(text, "caution: ", caution);
    let _ = writeln!(
        text,
        "\n{}",
        style.paint(kind, &format!("verdict: {verdict}"))
    );
}
