//! Import and identification against what others made: scipy, a measured log, broken logs,
//! and the demonstration logs.

mod bad;
mod demo;
mod measured;
mod recover;
