//! `pack`: recipes, each with what `check` said of it, into the image of a controller's recipe store.

use super::args::Format;
use super::args::store::Pack;
use super::output::{Output, distinct, say, show};
use super::resolved::Files;
use super::terminal::Terminal;
use super::told::pretty;
use super::{Answer, Failure, check, files};
use firmware_core::store::{Checked, SLOTS, StoreError, StoredRecipe, Verdict, fingerprint};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use twinplate_check::verdict;
use twinplate_sim::bench::Job;
use twinplate_sim::files::{Set, hash};
use twinplate_sim::flash::Flash;

/// Version of the JSON.
const SCHEMA: u16 = 1;

/// A recipe on its way into a slot.
struct Item {
    files: Files,
    set: Set,
    job: Job,
}

/// Packs what was named.
///
/// # Errors
/// Bad files, recipes for several machines, an image that cannot be written.
pub fn pack(typed: &Pack, terminal: Terminal) -> Result<Answer, Failure> {
    let items = items(&typed.recipes)?;
    let mut inputs: Vec<&Path> = Vec::new();
    for item in &items {
        inputs.extend([
            &*item.set.recipe.path,
            &*item.set.machine.path,
            &*item.set.batch.path,
        ]);
    }
    distinct(&[(&typed.output, "--output")], &inputs)?;
    let output = Output::open(&typed.output, "--output")?;
    let mut stored = Vec::new();
    for item in &items {
        let verdict = verdict(item, typed, terminal)?;
        stored.push(StoredRecipe {
            recipe: item.job.compiled.clone(),
            checked: checked(item, verdict),
        });
    }
    let whole = stored
        .iter()
        .all(|stored| stored.verdict() != Verdict::Fail);
    if whole {
        let flash = image(&items, &stored).map_err(unsuitable)?;
        output.write(|to| to.write_all(flash.bytes()))?;
    }
    tell(typed, &stored, whole, terminal)?;
    Ok(if whole { Answer::Yes } else { Answer::No })
}

fn items(recipes: &[std::path::PathBuf]) -> Result<Vec<Item>, Failure> {
    if recipes.len() > usize::from(SLOTS) {
        return Err(Failure::new(
            format!("{} recipes, and the store has {SLOTS} slots", recipes.len()),
            "pack fewer",
        ));
    }
    let mut items: Vec<Item> = Vec::new();
    for path in recipes {
        let files: Files = super::args::Files::named(path).into();
        let set = files::set(&files)?;
        let job = files::job(&set, None)?;
        if let Some(first) = items.first()
            && first.job.params.hash() != job.params.hash()
        {
            return Err(Failure::new(
                format!(
                    "{} is for another machine than {}",
                    path.display(),
                    first.set.recipe.path.display()
                ),
                "an image belongs to one machine: make one for each",
            ));
        }
        items.push(Item { files, set, job });
    }
    Ok(items)
}

/// What `check` says, in the words of the store.
fn verdict(item: &Item, typed: &Pack, terminal: Terminal) -> Result<Verdict, Failure> {
    let verdict = check::verdict(&item.set, &item.files, typed.runs, terminal)?;
    Ok(match verdict {
        verdict::Verdict::Pass => Verdict::Pass,
        verdict::Verdict::Warn => Verdict::Warn,
        verdict::Verdict::Fail if typed.force => Verdict::Forced,
        verdict::Verdict::Fail => Verdict::Fail,
    })
}

/// The verdict, and what it is about: the very files, and the very recipe.
fn checked(item: &Item, verdict: Verdict) -> Checked {
    let Set {
        machine,
        batch,
        recipe,
        ..
    } = &item.set;
    let all = [machine.hash, batch.hash, recipe.hash].map(u64::to_le_bytes);
    Checked {
        verdict,
        // A version is shorter than the place for it.
        program: env!("CARGO_PKG_VERSION").try_into().unwrap_or_default(),
        inputs: hash(all.as_flattened()),
        recipe: fingerprint(&item.job.compiled).unwrap_or_default(),
    }
}

fn image(items: &[Item], stored: &[StoredRecipe]) -> Result<Flash, StoreError> {
    let mut store = Flash::holding(stored)?;
    if let Some(first) = items.first() {
        store.put_params(&first.job.params)?;
    }
    Ok(store.into_flash())
}

fn unsuitable(error: StoreError) -> Failure {
    Failure::new(
        format!("the recipes cannot be stored: {}", error.word()),
        "pack fewer, or shorter ones",
    )
}

fn tell(
    typed: &Pack,
    stored: &[StoredRecipe],
    whole: bool,
    terminal: Terminal,
) -> Result<(), Failure> {
    if typed.format == Format::Json {
        let list: Vec<Value> = (1_u8..)
            .zip(stored)
            .map(|(slot, stored)| entry(slot, stored))
            .collect();
        let image = whole.then(|| typed.output.display().to_string());
        return say(&pretty(
            &json!({ "schema": SCHEMA, "packed": whole, "image": image, "stored": list }),
        ));
    }
    let mut text = String::new();
    for (slot, stored) in (1_u8..).zip(stored) {
        let _ = writeln!(text, "{}", line(slot, stored));
    }
    let _ = if whole {
        writeln!(
            text,
            "\n{}: {} of {SLOTS} slots",
            typed.output.display(),
            stored.len()
        )
    } else {
        writeln!(
            text,
            "\nnothing packed: `check` says what to change; --force packs all of them, and the image says so"
        )
    };
    show(&text, terminal.out.width)
}

/// A slot on a line.
pub(super) fn line(slot: u8, stored: &StoredRecipe) -> String {
    format!(
        "{slot:>4}  {:<24}  {}",
        stored.recipe.name,
        stored.verdict().word()
    )
}

/// A slot as JSON.
pub(super) fn entry(slot: u8, stored: &StoredRecipe) -> Value {
    json!({
        "slot": slot,
        "name": stored.recipe.name.as_str(),
        "verdict": stored.verdict().name(),
        "program": stored.checked.program.as_str(),
        "inputs": format!("{:#018x}", stored.checked.inputs),
    })
}
