//! `draft`: recipes from a machine, a batch and a shelf.

use super::args::draft::{Aim, Draft};
use super::output::{Output, complain, distinct};
use super::resolved::ReportTo;
use super::terminal::Terminal;
use super::told::{Told, open_page, tell};
use super::{Answer, Failure};
use crate::report::draft::{Drafted, page, text};
use std::io::Write as _;
use std::path::Path;
use twinplate_draft::{
    Bound, Goal, Order, Stage, Trials, compare, json, route_text, shelf_of, usual_shelf,
};
use twinplate_sim::files::{
    FileError, Loaded, answered_in, load_batch, load_machine, load_recipe, load_shelf, parse_batch,
};

/// Draws from the envelope while numbers are still looked for: enough to see most of what fails, a sixteenth of the default proof.
const SEARCH: usize = 12;
/// Seed of the trials, as `check` has it unless told otherwise.
const SEED: u64 = 1;
/// Longest identifier of a file.
const LONGEST: usize = 24;

impl From<Aim> for Goal {
    fn from(typed: Aim) -> Self {
        match typed {
            Aim::Balanced => Self::Balanced,
            Aim::Fastest => Self::Fastest,
            Aim::Gentlest => Self::Gentlest,
            Aim::Flattest => Self::Flattest,
            Aim::Cheapest => Self::Cheapest,
        }
    }
}

/// Does the work.
///
/// # Errors
/// Files with errors, outputs that cannot be written.
pub fn draft(typed: &Draft, terminal: Terminal) -> Result<Answer, Failure> {
    let mut errors = Vec::new();
    let machine = keep(load_machine(&typed.machine), &mut errors);
    let batch = keep(load_batch(&typed.batch), &mut errors);
    let shelf = typed
        .shelf
        .as_deref()
        .map(|path| keep(load_shelf(path), &mut errors));
    let (Some(machine), Some(batch)) = (machine, batch) else {
        return Err(Failure::Files(errors));
    };
    let like = typed
        .abrasive_of
        .as_deref()
        .map(|path| keep(load_recipe(path), &mut errors));
    let shelf = match (shelf, like) {
        (None, None) => usual_shelf(&batch.value.material),
        (Some(Some(file)), _) => file.value,
        (_, Some(Some(recipe))) => shelf_of(&recipe.value, &batch.value.material),
        (Some(None), _) | (_, Some(None)) => return Err(Failure::Files(errors)),
    };
    let inputs: Vec<&Path> = [typed.machine.as_path(), typed.batch.as_path()]
        .into_iter()
        .chain(typed.shelf.as_deref())
        .chain(typed.abrasive_of.as_deref())
        .collect();
    let id = match &typed.write {
        Some(path) => id_of(path)?,
        None => default_id(&batch.value.id),
    };
    let to = ReportTo::new(typed.report.clone(), typed.no_report);
    let name = || format!("{}-draft.html", batch.value.id).into();
    let report = open_page(&to, name, &inputs)?;
    let written = typed
        .write
        .as_deref()
        .map(|path| Output::open(path, "--write"))
        .transpose()?;
    let mut outputs: Vec<(&Path, &str)> = Vec::new();
    outputs.extend(report.as_ref().map(|page| (page.path(), "--report")));
    outputs.extend(written.as_ref().map(|file| (file.path(), "--write")));
    distinct(&outputs, &inputs)?;
    let order = Order {
        machine: &machine.value,
        batch: &batch.value,
        shelf: &shelf,
        goal: typed.goal.into(),
        longest: typed.longest,
        gauge: !typed.no_gauge,
        id,
        trials: Trials {
            search: SEARCH,
            proof: typed.runs,
            threads: std::thread::available_parallelism().map_or(1, usize::from),
            seed: SEED,
        },
        shown: answered_in(None, Some(&batch), Some(&machine)),
    };
    let drafted = twinplate_draft::draft(&order);
    let trade = if typed.no_compare {
        Vec::new()
    } else {
        compare(&order, &drafted)
    };
    let found = Drafted {
        order: &order,
        drafted: &drafted,
        trade: &trade,
    };
    let told = Told {
        text: text(&found, terminal.out),
        json: json::draft(&order, &drafted, &trade),
        page: page(&found),
    };
    tell(typed.format, told, report, terminal)?;
    if let (Ok(stages), Some(output)) = (&drafted, written) {
        put(output, stages, &typed.machine, &typed.batch)?;
    }
    Ok(answer(&drafted))
}

const fn answer(drafted: &Result<Vec<Stage>, Bound>) -> Answer {
    match drafted {
        Ok(_) => Answer::Yes,
        Err(_) => Answer::No,
    }
}

fn keep<T>(
    read: Result<Loaded<T>, Vec<FileError>>,
    errors: &mut Vec<FileError>,
) -> Option<Loaded<T>> {
    read.map_err(|found| errors.extend(found)).ok()
}

/// The identifier of a recipe that is written there: a file and its recipe have one name.
fn id_of(path: &Path) -> Result<String, Failure> {
    let stem = path
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .unwrap_or_default();
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    let is_toml = path.extension().is_some_and(|end| end == "toml");
    if is_toml && (1..=LONGEST).contains(&stem.len()) && stem.chars().all(plain) {
        return Ok(stem);
    }
    Err(Failure::new(
        format!(
            "{} cannot be a recipe's file: its name is the recipe's id",
            path.display()
        ),
        format!("up to {LONGEST} of a-z, 0-9 and -, then .toml, such as discs.toml"),
    ))
}

/// What a recipe is called that is not written.
fn default_id(batch: &str) -> String {
    const END: &str = "-draft";
    let begin: String = batch.chars().take(LONGEST - END.len()).collect();
    format!("{}{END}", begin.trim_end_matches('-'))
}

/// Writes the recipe, or those of a row with the batches in between and the route through them, and says on stderr how to check them.
fn put(output: Output, stages: &[Stage], machine: &Path, batch: &Path) -> Result<(), Failure> {
    let path = output.path().to_owned();
    if let [only] = stages {
        output.write(|to| to.write_all(only.recipe.text.as_bytes()))?;
        complain(&written(&path, machine, Some(batch)));
        return Ok(());
    }
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    let batches = folder.join("batches");
    std::fs::create_dir_all(&batches).map_err(|error| {
        Failure::new(
            format!("cannot make {}: {error}", batches.display()),
            "name a recipe in a folder that may be written, with --write",
        )
    })?;
    for stage in stages {
        let own = match &stage.batch_text {
            Some(text) => {
                let file = batches.join(format!("{}.toml", stage.batch.id));
                // What is written must be read back: an in-between batch that is not one would be found too late.
                parse_batch(&file, text).map_err(Failure::Files)?;
                let output = Output::open(&file, "--write")?;
                output.write(|to| to.write_all(text.as_bytes()))?;
                file
            }
            None => batch.to_owned(),
        };
        let file = folder.join(format!("{}.toml", stage.recipe.value.id));
        let output = Output::open(&file, "--write")?;
        output.write(|to| to.write_all(stage.recipe.text.as_bytes()))?;
        complain(&written(&file, machine, Some(&own)));
    }
    // Last, under the name that was given: a route stands only where all that it names does.
    let route = route_text(&id_of(&path)?, stages);
    output.write(|to| to.write_all(route.as_bytes()))?;
    complain(&written(&path, machine, None));
    Ok(())
}

/// What was written, and how it is checked; a route names its batch itself.
fn written(file: &Path, machine: &Path, batch: Option<&Path>) -> String {
    let batch = batch.map_or_else(String::new, |batch| format!(" --batch {}", batch.display()));
    format!(
        "written: {0}\n  twinplate check {0} \\\n    --machine {1}{batch}\n",
        file.display(),
        machine.display()
    )
}
