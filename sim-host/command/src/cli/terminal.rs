//! What the terminal can show: colour, pictures, a progress bar.

use crate::report::{Style, WIDTH};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;

/// Columns below which text is not narrowed any further.
const NARROWEST: usize = 60;

/// What may be written where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Terminal {
    /// Style of stdout.
    pub out: Style,
    /// Colour on stderr.
    pub err_color: bool,
    /// Columns of stderr.
    pub err_width: usize,
}

impl Terminal {
    /// Asks the environment.
    #[must_use]
    pub fn find() -> Self {
        let variable = |name: &str| std::env::var(name).ok().filter(|value| !value.is_empty());
        let dumb = variable("TERM").is_some_and(|term| term == "dumb");
        let color = variable("NO_COLOR").is_none() && !dumb;
        // The first that is set decides (POSIX); where none is, a terminal of today shows UTF-8.
        let locale = ["LC_ALL", "LC_CTYPE", "LANG"]
            .into_iter()
            .find_map(variable);
        let ascii = dumb || locale.is_some_and(|name| matches!(name.as_str(), "C" | "POSIX"));
        let terminal = std::io::stdout().is_terminal();
        // What the environment says goes before what the terminal says (POSIX); a file or a pipe has no columns of its own.
        let said = variable("COLUMNS").and_then(|columns| columns.parse::<usize>().ok());
        let width = |size: Option<(terminal_size::Width, terminal_size::Height)>| {
            said.or(size.map(|(width, _)| usize::from(width.0)))
                .unwrap_or(WIDTH)
                .clamp(NARROWEST, WIDTH)
        };
        Self {
            out: Style {
                color: color && terminal,
                ascii: ascii && terminal,
                width: width(terminal_size::terminal_size_of(std::io::stdout())),
            },
            err_color: color && std::io::stderr().is_terminal(),
            err_width: width(terminal_size::terminal_size_of(std::io::stderr())),
        }
    }
}

/// A bar on stderr for so many runs; on anything but a terminal it draws nothing.
#[must_use]
pub fn progress(runs: u64, color: bool) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(Some(runs), ProgressDrawTarget::stderr());
    let template = if color {
        "[{bar:12.bold}] {pos}/{len} {eta} {wide_msg}"
    } else {
        "[{bar:12}] {pos}/{len} {eta} {wide_msg}"
    };
    // A template that did not parse would leave the plain bar.
    if let Ok(style) = ProgressStyle::with_template(template) {
        bar.set_style(style.progress_chars("=> "));
    }
    bar.set_message("proving");
    bar
}
