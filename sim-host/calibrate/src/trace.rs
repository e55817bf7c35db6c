//! Columns of a trace that `run --trace` wrote.

use twinplate_sim::files::FileError;

/// How a trace begins; a sheet never does.
const FIRST: &str = "trace_version";

/// Whether these are the bytes of a trace.
pub(crate) fn is_trace(bytes: &[u8]) -> bool {
    bytes.starts_with(FIRST.as_bytes())
}

/// The named columns, a number for each row; names are without units.
///
/// # Errors
/// What is no trace, a column that is not there, and the first cell that is no number, each with its place.
pub(crate) fn columns(
    file: &str,
    bytes: &[u8],
    names: &[String],
) -> Result<Vec<Vec<f64>>, Vec<FileError>> {
    const EXPECTED: &str = "a trace as `run --trace` writes it";
    let wrong = |code, line: usize, message: String| {
        let error = FileError::whole(code, file, message, EXPECTED);
        vec![FileError { line, ..error }]
    };
    if !is_trace(bytes) {
        return Err(wrong("not-text", 1, "this is no trace".to_owned()));
    }
    let text = std::str::from_utf8(bytes)
        .map_err(|_| wrong("not-utf8", 1, "the trace is not UTF-8".to_owned()))?;
    let mut lines = text.lines().enumerate();
    let head: Vec<&str> = lines
        .next()
        .map_or("", |(_, head)| head)
        .split(',')
        .map(|name| name.split_once(" [").map_or(name, |(name, _)| name))
        .collect();
    let mut places = Vec::with_capacity(names.len());
    for name in names {
        let place = head.iter().position(|own| own == name);
        places.push(place.ok_or_else(|| wrong("missing-key", 1, format!("no column `{name}`")))?);
    }
    let mut found = vec![Vec::new(); names.len()];
    for (at, line) in lines.filter(|(_, line)| !line.is_empty()) {
        let cells: Vec<&str> = line.split(',').collect();
        for ((column, place), name) in found.iter_mut().zip(&places).zip(names) {
            let number = cells.get(*place).and_then(|cell| cell.parse::<f64>().ok());
            match number.filter(|number| number.is_finite()) {
                Some(number) => column.push(number),
                None => {
                    let message = format!("no number under `{name}`");
                    return Err(wrong("bad-number", at + 1, message));
                }
            }
        }
    }
    if found.first().is_none_or(Vec::is_empty) {
        return Err(wrong("empty-file", 1, "the trace has no rows".to_owned()));
    }
    Ok(found)
}
