//! The simulated machine: cylinder, contact, load cell, drives, slurry, parts and heat as physics, never as a script.

pub mod kinematics;
