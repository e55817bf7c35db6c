//! `unpack`: what is in the image of a controller's recipe store.

use super::args::Format;
use super::args::store::Unpack;
use super::output::{say, show};
use super::pack::{entry, line};
use super::stored::{beside, difference, seconds, shown, value};
use super::terminal::Terminal;
use super::told::pretty;
use super::{Answer, Failure, files};
use firmware_core::store::{Progress, SLOTS, Store, StoreError, StoredRecipe};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::Path;
use twinplate_sim::flash::Flash;

/// Version of the JSON.
const SCHEMA: u16 = 1;
/// Largest image that is read, bytes: more than any controller's own flash (invented).
const LARGEST: u64 = 16 << 20;

/// Shows what was named.
///
/// # Errors
/// A file that cannot be read or is no store.
pub fn unpack(typed: &Unpack, terminal: Terminal) -> Result<Answer, Failure> {
    let other = typed.beside.as_deref().map(beside).transpose()?;
    let flash = Flash::of(read(&typed.image)?);
    let mut store = Store::open(flash).map_err(|error| no_store(&typed.image, error))?;
    let (text, json, good) = match typed.slot {
        None => all(&mut store),
        Some(slot) => {
            let stored = store.recipe(slot - 1).map_err(|error| {
                Failure::new(
                    format!("{}: slot {slot}: {}", typed.image.display(), error.word()),
                    "without --slot all slots are listed",
                )
            })?;
            let (mut text, mut json) = one(slot, &stored);
            let mut same = true;
            if let Some(other) = other {
                let (told, list, alike) = difference(&stored.recipe, &other);
                text += &told;
                json["different"] = list;
                same = alike;
            }
            (text, json, same)
        }
    };
    match typed.format {
        Format::Text => show(&text, terminal.out.width)?,
        Format::Json => say(&pretty(&json))?,
    }
    Ok(if good { Answer::Yes } else { Answer::No })
}

/// What keeps a file from being a store.
pub(super) fn no_store(path: &Path, error: StoreError) -> Failure {
    Failure::new(
        format!("{}: {}", path.display(), error.word()),
        "name an image that `pack` wrote, or the whole of a controller's flash",
    )
}

/// The bytes of an image.
pub(super) fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    files::read(path, "an image", LARGEST, std::fs::read)
}

/// All slots, the progress of the last cycle, wear. Good where nothing is damaged.
fn all(store: &mut Store<Flash>) -> (String, Value, bool) {
    let (mut text, mut list) = (String::new(), Vec::new());
    let (mut found, mut good) = (0, !store.is_damaged());
    for slot in 0..SLOTS {
        match store.recipe(slot) {
            Ok(stored) => {
                found += 1;
                let _ = writeln!(text, "{}", line(slot + 1, &stored));
                list.push(entry(slot + 1, &stored));
            }
            Err(StoreError::Empty) => {}
            Err(error) => {
                good = false;
                let _ = writeln!(text, "{:>4}  {}", slot + 1, error.word());
                list.push(json!({ "slot": slot + 1, "error": error.name() }));
            }
        }
    }
    let progress = store.progress().ok();
    if let Some(progress) = &progress {
        let _ = writeln!(text, "{}", cut_off(progress));
    }
    let erases = store.erases();
    let _ = writeln!(text, "sectors erased {} and {} times", erases[0], erases[1]);
    let verdict = if good {
        format!("{found} of {SLOTS} slots hold a recipe")
    } else {
        format!("{found} of {SLOTS} slots hold a recipe, and something is damaged: store it again")
    };
    let _ = writeln!(text, "\n{verdict}");
    let json = json!({
        "schema": SCHEMA,
        "stored": list,
        "progress": progress,
        "erases": erases,
        "whole": good,
    });
    (text, json, good)
}

/// How far the last cycle got; whether the power went in it.
pub(super) fn cut_off(progress: &Progress) -> String {
    let done = seconds(progress.step_time.0);
    let step = u32::from(progress.step) + 1;
    let (state, phase) = (progress.state.word(), progress.phase.word());
    if progress.in_cycle() {
        format!(
            "the power went in a cycle: {state}, {phase}, step {step}, {done:.0} s of it done at least; measure the parts before you go on"
        )
    } else {
        format!("the last cycle ended: {state}, step {step}")
    }
}

fn one(slot: u8, stored: &StoredRecipe) -> (String, Value) {
    let mut text = shown(slot, &stored.recipe);
    let checked = &stored.checked;
    let _ = write!(text, "{}", stored.verdict().word());
    if !checked.program.is_empty() {
        let _ = write!(
            text,
            "; by version {} of files {:#018x}",
            checked.program, checked.inputs
        );
    }
    text.push('\n');
    let mut json = entry(slot, stored);
    json["schema"] = SCHEMA.into();
    json["recipe"] = value(&stored.recipe);
    (text, json)
}
