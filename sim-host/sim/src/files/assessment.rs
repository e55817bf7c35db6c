//! The part `[assessment]` of a scenario file.

use super::quantity::Dimension as D;
use super::table::Table;
use super::training::MOST;
use crate::training::rules::Assessment;

/// Most exercises that an assessment draws from.
const MAX_DRAWS: usize = 32;

pub(super) fn read(t: &mut Table<'_, '_>) -> Assessment {
    Assessment {
        order: t.integer("order", [1, 999], "Place in the list of exercises."),
        brief: t.text(
            "brief",
            900,
            "What the trainee is told, whatever is drawn: the work order and what to reach.",
        ),
        draws: t.list(
            "draws",
            [2, MAX_DRAWS],
            "Exercises of the same folder that are drawn from; one without any fault should be among them.",
            |t| t.identifier("exercise", "Identifier of the exercise."),
        ),
        spread: t.quantity(
            "spread",
            D::Time,
            ["0 s", "10 min"],
            "The fault of what is drawn begins up to so much earlier or later than in its exercise.",
        ),
        pass: t.integer("pass", [1, MOST], "Points from which it is passed."),
        diagnosis: t.integer(
            "diagnosis",
            [1, MOST],
            "Points lost by a first diagnosis that is wrong, or by none where something was.",
        ),
        needless_remedy: t.integer(
            "needless-remedy",
            [1, MOST],
            "Points lost for each component that was put right and was whole.",
        ),
        needless_stop: t.integer(
            "needless-stop",
            [1, MOST],
            "Points lost for each emergency stop that the exercise does not ask for.",
        ),
    }
}
