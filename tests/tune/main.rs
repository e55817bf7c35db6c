//! The offline tuner against figures that were not made by it; each check names its source.

mod loops;
mod table;
