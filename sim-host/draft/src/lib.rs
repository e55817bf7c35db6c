//! Recipes from a machine, a batch and what stands on the shelf: drafted by rule, proved by `check`, or what binds.
//!
//! [`draft`] gives recipes that pass, each number with its reason beside it, or a [`Bound`]: what cannot be met and the limits that keep
//! it from being met. It never gives a recipe that `check` does not pass. Pure: no file is read, nothing is printed.

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

mod best;
mod between;
mod fit;
mod goal;
pub mod json;
mod lever;
mod limit;
mod order;
mod plan;
mod repair;
mod route;
mod rows;
mod speeds;
mod trade;
mod usual;
mod write;

pub use between::route_text;
pub use fit::Trials;
pub use goal::Goal;
pub use limit::Limit;
pub use order::{Bound, Order, Stage, Tried};
pub use plan::Change;
pub use route::draft;
pub use trade::{Brought, Trade, compare};
pub use usual::{shelf_of, usual_shelf};
pub use write::Choice;
