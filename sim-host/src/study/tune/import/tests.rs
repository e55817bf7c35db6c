//! Formats and defects.

use super::*;

fn read(text: &str) -> Log {
    import(text.as_bytes(), &ImportOptions::default())
        .unwrap_or_else(|error| panic!("{error}: {}", error.cure()))
}
