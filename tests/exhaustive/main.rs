//! The whole state space of the shipped sequencer, every interlock row alone, and the response reducer over all combinations.

mod reducer;
mod rows;
mod walk;
