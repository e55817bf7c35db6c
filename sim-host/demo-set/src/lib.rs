//! The demonstration set inside the program: all files of `recipes/`, as they were when it was built.
//!
//! Only a packaged program has it; everywhere else the files are read where they are.

/// The files: path below the set's folder, with strokes, in order, and content.
pub static FILES: &[(&str, &[u8])] = &include!(concat!(env!("OUT_DIR"), "/files.rs"));
