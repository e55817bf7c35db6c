//! What exercises are made of, as plain data: [`act`], what an operator's hands can do, and [`rules`], what makes a scenario an
//! exercise. Read here with the rest of a scenario file; played in the crate that trains.

pub mod act;
pub mod rules;
pub mod task;
