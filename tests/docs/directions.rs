//! Which way things go, as the properties try it.

#[allow(dead_code)] // the properties use the rest
#[path = "../properties/directions/table.rs"]
mod list;

use crate::pages::{check, table};
use list::{TABLE, Way};

#[test]
fn the_directions_stand_in_the_book_as_they_are_tried() {
    let rows = TABLE.iter().flat_map(|row| {
        row.groups.iter().map(|(way, outcomes, why)| {
            let way = match way {
                Way::Up => "up",
                Way::Down => "down",
                Way::Still => "still",
            };
            let outcomes: Vec<&str> = outcomes.iter().map(|outcome| outcome.word()).collect();
            [
                row.knob.word(),
                row.kind.word(),
                way,
                &outcomes.join(", "),
                why,
            ]
            .map(str::to_owned)
            .to_vec()
        })
    });
    let body = table(
        &["more", "with", "goes", "what", "source, or why not"],
        rows,
    );
    check("docs/process-model.md", "directions", &body);
}
