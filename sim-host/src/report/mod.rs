//! Draws what `study` and `bench` return: text for a terminal, one self-contained page, JUnit for a pipeline, the cycle ribbon.
//!
//! Nothing here judges; a report that disagrees with its `CheckReport` is a defect of the report.

/// Breaks a text into lines of at most `width` characters at its spaces; a longer word gets a line of its own.
#[must_use]
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}
