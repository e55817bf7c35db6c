//! Import and identification against what others made: scipy, a measured log, broken logs.

mod bad;
mod measured;
mod recover;
