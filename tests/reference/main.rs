//! Checks against published values and reference libraries; each names its source.
//!
//! Values computed with scipy are in `data/`, their generator in `scripts/generate.py`; published tables are in `data/` too.

mod cell;
mod filter;
mod friction;
mod grades;
mod heat;
mod kinematics;
mod line;
mod pi;
mod plates;
mod removal;
mod rig;
mod roughness;
mod table;
mod units;
