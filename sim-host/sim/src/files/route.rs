//! The route file: recipes one after another, each working on the parts that the one before has left.

use super::error::nearest;
use super::set::{folders, ids_in, named_otherwise, search};
use super::table::Table;
use super::{FileError, FileKind, Loaded, Overrides, Set, load, load_set};
use crate::model::Batch;
use std::path::Path;

/// Most stages of a route.
pub const MAX_STAGES: usize = 8;

/// A route as its file says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Route {
    /// Identifier.
    pub id: String,
    /// One line for people.
    pub title: String,
    /// Batch that comes to the first stage.
    pub batch: String,
    /// Recipe of each stage by its identifier.
    pub recipes: Vec<String>,
}

/// A route with the files of its stages.
#[derive(Clone, Debug, PartialEq)]
pub struct RouteSet {
    /// The route.
    pub route: Loaded<Route>,
    /// Recipe, machine and batch of each stage. Of the batches after the first one, what they say of incoming parts is what their recipe
    /// was written for.
    pub stages: Vec<Set>,
}

pub(super) fn read(t: &mut Table<'_, '_>) -> Route {
    Route {
        id: t.identifier("id", "Identifier; also the file's name."),
        title: t.text("title", 120, "One line for people."),
        batch: t.identifier("batch", "Batch as it comes to the first stage."),
        recipes: t.list("stages", [1, MAX_STAGES], "The stages, in order.", |t| {
            t.identifier(
                "recipe",
                "Recipe of the stage; it names its machine, and the batch whose targets the stage must meet.",
            )
        }),
    }
}

/// Whether a file says that it is a route. One that cannot be read is none.
#[must_use]
pub fn is_route(path: &Path) -> bool {
    let file = super::source::Source::read(path).ok();
    let document = file.and_then(|source| source.parse().document);
    document.is_some_and(|document| {
        let format = document.get("format").and_then(toml_edit::Item::as_str);
        format.is_some_and(|format| format.starts_with(FileKind::Route.word()))
    })
}

/// Loads a route with the recipe, the machine and the batch of each stage. A recipe is looked for as `ID.toml` beside the route, then as
/// `recipes/ID.toml` there, then beside the folder it is in. A machine that is `given` takes the place of that of every stage, a batch
/// that of the first.
///
/// # Errors
/// All errors of all files; where there are none, stages that do not work on the same parts.
pub fn load_route(path: &Path, given: &Overrides) -> Result<RouteSet, Vec<FileError>> {
    let route = load(path, FileKind::Route, read).whole()?;
    let mut errors: Vec<FileError> = named_otherwise(&route, &route.value.id)
        .into_iter()
        .collect();
    let beside = path.parent().unwrap_or(Path::new(""));
    let mut stages = Vec::new();
    for (index, id) in route.value.recipes.iter().enumerate() {
        let own = beside.join(format!("{id}.toml"));
        let recipe = if own.is_file() {
            own
        } else {
            search(beside, "recipes", id)
        };
        if !recipe.exists() {
            errors.push(missing(
                &route,
                &format!("stages[{index}].recipe"),
                id,
                "recipe",
                beside,
            ));
            continue;
        }
        let mut overrides = Overrides {
            machine: given.machine.clone(),
            batch: None,
        };
        if index == 0 {
            let named = || search(beside, "batches", &route.value.batch);
            let batch = given.batch.clone().unwrap_or_else(named);
            if given.batch.is_none() && !batch.exists() {
                errors.push(missing(
                    &route,
                    "batch",
                    &route.value.batch,
                    "batch",
                    beside,
                ));
                continue;
            }
            overrides.batch = Some(batch);
        }
        match load_set(&recipe, &overrides) {
            Ok(set) => stages.push(set),
            Err(found) => errors.extend(found),
        }
    }
    if errors.is_empty() {
        errors.extend(unlike(&route, &stages));
    }
    if errors.is_empty() {
        Ok(RouteSet { route, stages })
    } else {
        Err(errors)
    }
}

/// A file that the route names and that is not there.
fn missing(
    route: &Loaded<Route>,
    key: &str,
    id: &str,
    kind: &'static str,
    beside: &Path,
) -> FileError {
    let folder = if kind == "recipe" {
        "recipes"
    } else {
        "batches"
    };
    let mut error = route.error(
        "not-found",
        key,
        format!("there is no {kind} `{id}`"),
        format!(
            "the id of a {kind}: a file {}",
            search(beside, folder, id).display()
        ),
    );
    let known: Vec<String> = folders(beside, folder)
        .iter()
        .flat_map(|f| ids_in(f))
        .collect();
    error.nearest = nearest(id, known.iter().map(String::as_str)).map(str::to_owned);
    error
}

/// Stages whose batch is of other parts than the first one's.
fn unlike<'a>(
    route: &'a Loaded<Route>,
    stages: &'a [Set],
) -> impl Iterator<Item = FileError> + use<'a> {
    let first = stages.first().map(|set| &set.batch.value);
    stages
        .iter()
        .enumerate()
        .skip(1)
        .filter_map(move |(index, set)| {
            let (first, batch) = (first?, &set.batch.value);
            let what = other_part(first, batch)?;
            Some(route.error(
            "inconsistent",
            &format!("stages[{index}].recipe"),
            format!(
                "the batch `{}` of stage {} has another {what} than the batch `{}` of the first",
                batch.id,
                index + 1,
                first.id
            ),
            "stages that work on the same parts".to_owned(),
        ))
        })
}

fn other_part(one: &Batch, other: &Batch) -> Option<&'static str> {
    if one.material != other.material {
        Some("material")
    } else if one.outline != other.outline {
        Some("outline")
    } else if one.parts != other.parts {
        Some("number of parts")
    } else {
        None
    }
}
