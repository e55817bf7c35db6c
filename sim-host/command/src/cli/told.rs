//! What a verb found, in its three forms: text or JSON on stdout, and a page beside it.

use super::Failure;
use super::args::Format;
use super::output::{Output, complain, distinct, say, show};
use super::resolved::ReportTo;
use super::terminal::Terminal;
use std::ffi::OsString;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// What was found, in its three forms.
pub(super) struct Told {
    pub text: String,
    pub json: serde_json::Value,
    pub page: String,
}

/// Opens the page's file before the work starts. `default` is its name where none was given; `inputs` must not be overwritten.
pub(super) fn open_page(
    to: &ReportTo,
    default: impl FnOnce() -> OsString,
    inputs: &[&Path],
) -> Result<Option<Output>, Failure> {
    let path = match to {
        ReportTo::Nowhere => return Ok(None),
        ReportTo::File(path) => path.clone(),
        ReportTo::Default => {
            // The folder is this program's own; why it cannot be made, `Output::open` says.
            let _ = std::fs::create_dir("out");
            PathBuf::from("out").join(default())
        }
    };
    distinct(&[(&path, "--report")], inputs)?;
    Output::open(&path, "--report").map(Some)
}

/// Writes the page, where there is one, and the result to stdout; the verdict stays the last line.
pub(super) fn tell(
    format: Format,
    told: Told,
    page: Option<Output>,
    terminal: Terminal,
) -> Result<(), Failure> {
    let mut text = told.text;
    let mut written = String::new();
    if let Some(page) = page {
        written = format!("report: {}\n", page.path().display());
        text = before_last_line(&text, &format!("\n{written}"));
        page.write(|to| to.write_all(told.page.as_bytes()))?;
    }
    match format {
        Format::Text => show(&text, terminal.out.width),
        Format::Json => {
            say(&pretty(&told.json))?;
            complain(&written);
            Ok(())
        }
    }
}

/// Puts `more` before the last line of `text`, which is the verdict and stays the last.
pub(super) fn before_last_line(text: &str, more: &str) -> String {
    let body = text.trim_end_matches('\n');
    let at = body.rfind('\n').map_or(0, |at| at + 1);
    // What is drawn leaves an empty line before the verdict: it goes after what comes in between.
    let head = text[..at].trim_end_matches('\n');
    format!("{head}\n{more}\n{}", &text[at..])
}

/// JSON for people to read as well.
pub(super) fn pretty(value: &serde_json::Value) -> String {
    // Values of strings, numbers and lists always serialise.
    serde_json::to_string_pretty(value).unwrap_or_default() + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_verdict_stays_the_last_line() {
        assert_eq!(
            before_last_line("a\n\nverdict: pass\n", "\nreport: x\n"),
            "a\n\nreport: x\n\nverdict: pass\n"
        );
        assert_eq!(
            before_last_line("verdict: pass\n", ""),
            "\n\nverdict: pass\n"
        );
    }
}
