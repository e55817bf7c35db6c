//! `run --shrink`: shortens the journal of a failing run.

use super::output::{Output, distinct, show};
use super::resolved::Shrink;
use super::run::{read_journal, same_files};
use super::terminal::Terminal;
use super::{Answer, Failure, files};
use std::fmt::Write as _;
use std::io::Write as _;
use twinplate_falsify::shrink::{Short, shrink as shorten};
use twinplate_sim::bench::FileHash;

/// Does the work.
///
/// # Errors
/// Bad files, an unwritable output, a recipe that the controller refuses.
pub fn shrink(meant: &Shrink, terminal: Terminal) -> Result<Answer, Failure> {
    let set = files::set(&meant.files)?;
    let journal = read_journal(&meant.journal)?;
    same_files(&FileHash::of(&set, None), &journal, &meant.journal)?;
    let inputs = [
        &*set.recipe.path,
        &*set.machine.path,
        &*set.batch.path,
        &meant.journal,
    ];
    distinct(&[(&meant.output, "--output")], &inputs)?;
    let output = Output::open(&meant.output, "--output")?;
    let job = files::job(&set, None)?;
    let short = shorten(&job, &journal).map_err(|error| {
        Failure::new(
            format!("the journal could not be run: {error}"),
            "replay it with `run --replay` to see whether it fits the files",
        )
    })?;
    let Some(short) = short else {
        show(
            "Nothing to shorten: the run does no harm and breaks no bound of load, size or spread.\n",
            terminal.out.width,
        )?;
        return Ok(Answer::No);
    };
    let text = short
        .journal
        .to_text()
        .map_err(|error| Failure::new(error.to_string(), "give the fault a finite magnitude"))?;
    output.write(|file| file.write_all(text.as_bytes()))?;
    show(
        &told(&short, journal.entries.len(), meant),
        terminal.out.width,
    )?;
    Ok(Answer::Yes)
}

fn told(short: &Short, entries: usize, meant: &Shrink) -> String {
    let mut text = String::new();
    let left = &short.journal;
    // Writing to a String cannot fail.
    let _ = writeln!(text, "Still fails by: {}", short.failure.join(", "));
    let _ = writeln!(
        text,
        "Entries: {entries} before, {} after; {} runs",
        left.entries.len(),
        short.runs
    );
    if let Some(end) = left.end {
        let _ = writeln!(
            text,
            "Ends after {:.3} s, control hash {:#018x}",
            f64::from(end.ticks) * 1e-3,
            end.control_hash
        );
    }
    let _ = writeln!(text, "journal: {}", meant.output.display());
    text
}
