//! `tune`: gains from a log, from the machine file, or from an experiment on the simulated machine; and two gain sets compared.

use super::args::Format;
use super::difference::difference;
use super::failure::At;
use super::output::{Output, complain, say, show};
use super::resolved::{Tune, TuneSource, TuneWhat};
use super::terminal::{Terminal, progress};
use super::told::{Told, open_page, pretty, tell};
use super::{Answer, Failure, files::near};
use crate::report::{tune_page, tuning};
use std::ffi::OsString;
use std::io::{Read as _, Write as _};
use std::path::Path;
use twinplate_sim::files::{
    EditError, FileError, Loaded, answered_in, load_batch, load_machine, with_gains,
};
use twinplate_sim::model::{Batch, Gains, Machine, Shown};
use twinplate_tune::compare::compare;
use twinplate_tune::effort::{Effort, TuneError};
use twinplate_tune::import::{Log, SIZE_LIMIT, import};
use twinplate_tune::json;
use twinplate_tune::work::{Failed, Request, Source, tune as work};

/// Does the work.
///
/// # Errors
/// Bad files, a log without a model, a machine that cannot be tried.
pub fn tune(meant: &Tune, terminal: Terminal) -> Result<Answer, Failure> {
    match &meant.what {
        TuneWhat::Compare { old, new } => two(meant, old, new, terminal),
        TuneWhat::Gains {
            machine,
            source,
            write,
        } => one(meant, machine.as_deref(), source, *write, terminal),
    }
}

/// Machines and a batch.
type Read = (Vec<Loaded<Machine>>, Option<Loaded<Batch>>);

/// Reads machines and batch, all errors of all files at once.
fn read(machines: &[&Path], batch: Option<&Path>) -> Result<Read, Failure> {
    let mut errors: Vec<FileError> = Vec::new();
    let mut loaded = Vec::new();
    for path in machines {
        match load_machine(path) {
            Ok(machine) => loaded.push(machine),
            Err(found) => errors.extend(found),
        }
    }
    let batch = match batch.map(load_batch).transpose() {
        Ok(batch) => batch,
        Err(found) => {
            errors.extend(found);
            None
        }
    };
    if errors.is_empty() {
        Ok((loaded, batch))
    } else {
        Err(Failure::Files(errors))
    }
}

fn two(meant: &Tune, old: &Path, new: &Path, terminal: Terminal) -> Result<Answer, Failure> {
    let (machines, batch) = read(&[old, new], meant.batch.as_deref())?;
    let [old, new] = &machines[..] else {
        return Err(defect("two files were read as another number"));
    };
    let options = Effort {
        shown: answered_in(None, batch.as_ref(), Some(new)),
        ..meant.options
    };
    let bar = progress(0, terminal.err_color);
    bar.set_message("judging");
    let found = compare(
        [&old.value, &new.value],
        batch.as_ref().map(|batch| &batch.value),
        &options,
        &|done, total| {
            bar.set_length(total as u64);
            bar.set_position(done as u64);
        },
    );
    bar.finish_and_clear();
    let found = found.map_err(|error| tune_error(&error))?;
    match meant.format {
        Format::Text => show(
            &tuning::draw_comparison(&found, terminal.out),
            terminal.out.width,
        )?,
        Format::Json => say(&pretty(&json::comparison(&found)))?,
    }
    Ok(if found.verdict.good() {
        Answer::Yes
    } else {
        Answer::No
    })
}

fn one(
    meant: &Tune,
    machine: Option<&Path>,
    source: &TuneSource,
    write: bool,
    terminal: Terminal,
) -> Result<Answer, Failure> {
    let machines: Vec<&Path> = machine.into_iter().collect();
    let (machines, batch) = read(&machines, meant.batch.as_deref())?;
    let machine = machines.first();
    let page = page_of(meant, machine, source)?;
    let source = match source {
        TuneSource::Declared => Source::Declared,
        TuneSource::Experiment(kind) => Source::Experiment(*kind),
        TuneSource::Log(path) => Source::Log(Box::new(log(meant, path)?)),
    };
    // Before the work starts: an unwritable file costs nobody a minute.
    let output = match machine {
        Some(file) if write => Some(Output::open(&file.path, "the machine file")?),
        _ => None,
    };
    let bar = progress(0, terminal.err_color);
    bar.set_message("judging");
    let found = work(
        &Request {
            machine: machine.map(|file| &file.value),
            batch: batch.as_ref().map(|batch| &batch.value),
            source,
            filter: meant.filter,
            dead_time: meant.dead_time,
            options: Effort {
                shown: answered_in(None, batch.as_ref(), machine),
                ..meant.options
            },
        },
        &|done, total| {
            bar.set_length(total as u64);
            bar.set_position(done as u64);
        },
    );
    bar.finish_and_clear();
    let report = found.map_err(|error| failed(error, meant))?;
    let told = Told {
        text: tuning::draw(&report, terminal.out),
        json: json::report(&report),
        // A page is many pictures: none is drawn that nobody gets.
        page: page
            .as_ref()
            .map_or_else(String::new, |_| tune_page::draw(&report)),
    };
    tell(meant.format, told, page, terminal)?;
    let Some(gains) = report.recommendation.gains() else {
        return Ok(Answer::No);
    };
    if let (Some(output), Some(file)) = (output, machine) {
        put(output, file, &gains, &report.options.shown)?;
    }
    Ok(Answer::Yes)
}

/// Opens the page's file before the work starts.
fn page_of(
    meant: &Tune,
    machine: Option<&Loaded<Machine>>,
    source: &TuneSource,
) -> Result<Option<Output>, Failure> {
    let log = match source {
        TuneSource::Log(path) => Some(path.as_path()),
        TuneSource::Declared | TuneSource::Experiment(_) => None,
    };
    let inputs: Vec<&Path> = machine
        .map(|file| file.path.as_path())
        .into_iter()
        .chain(meant.batch.as_deref())
        .chain(log)
        .collect();
    // An identifier holds nothing that a path minds, and a file's name is one already.
    let name = || {
        let mut name: OsString = match (machine, log.and_then(Path::file_stem)) {
            (Some(machine), _) => machine.value.id.to_string().into(),
            (None, Some(stem)) => stem.to_owned(),
            (None, None) => "log".into(),
        };
        name.push("-tune.html");
        name
    };
    open_page(&meant.report, name, &inputs)
}

/// Writes the gains into the machine file and says on stderr what changed: stdout's last line is the verdict.
fn put(
    output: Output,
    file: &Loaded<Machine>,
    gains: &Gains,
    shown: &Shown,
) -> Result<(), Failure> {
    let text = with_gains(file, gains, shown).map_err(|error| match error {
        EditError::Files(errors) => Failure::Files(errors),
        EditError::Edit(what) => Failure::new(
            what,
            "write the block shown above into the file by hand, and please report this",
        ),
    })?;
    let changed = difference(&file.text, &text);
    let path = output.path().display().to_string();
    output.write(|to| to.write_all(text.as_bytes()))?;
    complain(&format!("written: {path}\n{changed}"));
    Ok(())
}

/// Reads and imports a log.
fn log(meant: &Tune, path: &Path) -> Result<Log, Failure> {
    let refuse =
        |what: String, cure: String| Failure::new(format!("{}: {what}", path.display()), cure);
    let unreadable = |error: std::io::Error| {
        refuse(
            format!("cannot be read ({error})"),
            format!(
                "{}name a file that exists and may be read, with --from",
                near(path)
            ),
        )
    };
    let file = std::fs::File::open(path).map_err(unreadable)?;
    let mut bytes = Vec::new();
    // One byte more than the importer takes: it then says that the file is too large.
    file.take(SIZE_LIMIT as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(unreadable)?;
    let mut log = import(&bytes, &meant.import).map_err(|error| {
        let (line, column) = error.place().unwrap_or_else(|| (heading(&bytes), 0));
        let at = At {
            code: Some(error.code()),
            file: path.display().to_string(),
            // Far fewer lines than a machine's word counts.
            line: usize::try_from(line).unwrap_or(usize::MAX),
            column: column.max(1),
        };
        let what = format!("{}: {error}", path.display());
        Failure::at(at, what, error.cure())
    })?;
    log.name = Some(path.display().to_string());
    Ok(log)
}

/// The line of a log's headings, or of its first row: the first that is no comment.
fn heading(bytes: &[u8]) -> u64 {
    let lines = bytes.split(|byte| *byte == b'\n');
    let comment =
        |line: &&[u8]| line.trim_ascii().is_empty() || line.trim_ascii().starts_with(b"#");
    lines.take_while(comment).count() as u64 + 1
}

fn failed(error: Failed, meant: &Tune) -> Failure {
    let log = match &meant.what {
        TuneWhat::Gains {
            source: super::resolved::TuneSource::Log(path),
            ..
        } => format!("{}: ", path.display()),
        _ => String::new(),
    };
    match error {
        Failed::Refused(refusal) => Failure::new(
            format!("{log}the log shows no model: {refusal}"),
            refusal.cure(),
        ),
        Failed::Units(what, cure) => Failure::new(format!("{log}{what}"), cure),
        Failed::Recording(error) => Failure::new(
            error.to_string(),
            "look at the machine file's limits; `check` a recipe on this machine names what is wrong with it",
        ),
        Failed::Tune(error) => tune_error(&error),
    }
}

fn tune_error(error: &TuneError) -> Failure {
    Failure::new(
        format!("no gains can be tuned: {error}"),
        "mend the machine file or the log as said",
    )
}

fn defect(what: &str) -> Failure {
    Failure::new(what, "this is a defect of this program; please report it")
}
