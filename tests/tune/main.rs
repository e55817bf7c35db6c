//! The offline tuner against figures that were not made by it: published rules, python-control, scipy, a measured log, broken logs.
//! Each check names its source.

mod bad;
mod demo;
mod doubt;
mod limit;
mod live;
mod loops;
mod measured;
mod optimum;
#[path = "../docs/pages.rs"]
mod pages;
mod plane;
mod recommend;
mod recover;
mod rules;
mod sampled;
mod table;
