//! Compiled recipes: what goes over the wire ([`RecipeWire`]) and what may run ([`CheckedRecipe`], only through the limits check).

mod wire;

pub use wire::{EndWire, MAX_STEPS, ProcessKind, RECIPE_SCHEMA, RecipeWire, StepWire};
