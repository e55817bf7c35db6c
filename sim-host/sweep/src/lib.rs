//! More than one recipe judged at once: values swept over a recipe ([`points`]), two recipes side by side ([`beside`]), and recipes one
//! after another on the same parts ([`route`]).
//!
//! All of it is `check`, asked more than once: nothing here judges by rules of its own, and every number is that of a check which can be
//! made alone.

pub mod axis;
pub mod beside;
pub mod json;
pub mod points;
mod put;
pub mod route;
