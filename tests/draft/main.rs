//! Drafts: for every demonstration batch, for pairs known to be feasible because a passing recipe was made first and hidden, and for
//! pairs made infeasible by one named limit.

mod demo;
mod generator;
mod infeasible;
mod pairs;
