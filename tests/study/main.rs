//! What `check` says about the demonstration set: nothing about the good recipes, one thing about each bad one; and what the closed-loop
//! trials add.

mod assumed;
mod bad_jobs;
mod batches;
mod carriers;
mod circles;
mod claims;
mod demo_set;
mod flatness;
mod forms;
mod jobs;
#[path = "../docs/pages.rs"]
mod pages;
mod refusals;
mod similar;
mod steps;
mod trials;
