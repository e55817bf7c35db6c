//! A production record and what is made of it: campaigns with a known truth, the project's own plant, numbers made elsewhere, bad records.

mod bad;
mod campaigns;
mod capability;
mod demo;
mod drift;
mod due;
mod filter;
mod plant;
