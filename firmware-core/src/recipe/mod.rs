//! Compiled recipes: what goes over the wire ([`RecipeWire`]) and what may run ([`CheckedRecipe`], only through the limits check).

mod limits;
mod wire;

pub use limits::{ALL_RECIPE_RULES, CheckedRecipe, MAX_VIOLATIONS, RecipeRule, Sound, Violation};
pub use wire::{
    ALL_PROCESS_KINDS, EndWire, MAX_STEPS, ProcessKind, RECIPE_SCHEMA, RecipeWire, StepWire,
};

#[cfg(test)]
pub(crate) use limits::tests::recipe as sample;
