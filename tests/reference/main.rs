//! Checks against published values and reference libraries; each names its source.

mod kinematics;
mod plant_line;
