//! Compiled recipes: what goes over the wire ([`RecipeWire`]) and what may run ([`CheckedRecipe`], only through the limits check).

mod limits;
mod wire;

pub use limits::{CheckedRecipe, MAX_VIOLATIONS, RecipeRule, Violation};
pub use wire::{EndWire, MAX_STEPS, ProcessKind, RECIPE_SCHEMA, RecipeWire, StepWire};
