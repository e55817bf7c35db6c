//! The offline tuner against figures that were not made by it; each check names its source.

mod bad;
mod demo;
mod limit;
mod live;
mod loops;
mod measured;
mod optimum;
mod plane;
mod recover;
mod rules;
mod sampled;
mod table;
