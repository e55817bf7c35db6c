//! The offline tuner against figures that were not made by it; each check names its source.

mod limit;
mod live;
mod loops;
mod optimum;
mod plane;
mod recommend;
mod rules;
mod sampled;
mod table;
