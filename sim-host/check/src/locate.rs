//! From a finding's place in the model to its line in a file.

use crate::finding::{Place, Source};
use crate::verdict::Location;
use twinplate_sim::files::Set;

/// The place of a finding in the files.
#[must_use]
pub fn locate(set: &Set, place: &Place) -> Option<Location> {
    let (path, found) = match place.file {
        Source::Recipe => (&set.recipe.path, set.recipe.place(&place.path)),
        Source::Machine => (&set.machine.path, set.machine.place(&place.path)),
        Source::Batch => (&set.batch.path, set.batch.place(&place.path)),
    };
    let found = found?;
    Some(Location {
        file: path.display().to_string(),
        // A file of 1 MiB has no more lines or columns than that.
        line: u32::try_from(found.line).unwrap_or(u32::MAX),
        column: u32::try_from(found.column).unwrap_or(u32::MAX),
    })
}
