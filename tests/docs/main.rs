//! The book in `docs/` against the code: tables are generated from the code and compared, links and paths must lead somewhere.
//!
//! A generated table stands between `<!-- generated: NAME -->` and `<!-- end -->`. `UPDATE=1` rewrites it; read the
//! difference before you commit it.

mod campaign;
mod constants;
mod counts;
mod directions;
mod faults;
mod heat;
mod image;
mod interlocks;
mod jobs;
mod keys;
mod links;
mod measure;
mod pages;
mod sequence;
mod sessions;
mod source;
