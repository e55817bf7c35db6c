//! Checks against published values and reference libraries; each names its source.
//!
//! Values computed with scipy are in `data/`, their generators in `scripts`; published tables are in `data/` too.

mod abrasion;
mod cell;
mod circles;
mod filter;
mod friction;
mod grades;
mod heat;
mod kinematics;
mod line;
mod outside;
#[path = "../docs/pages.rs"]
mod pages;
mod pi;
mod plates;
mod polygon;
mod published;
mod removal;
mod rig;
mod roughness;
mod table;
mod tilt;
mod torque;
mod units;
