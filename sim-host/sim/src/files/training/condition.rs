//! In what condition a trainee finds the machine, and what harm costs.

use super::super::quantity::Dimension as D;
use super::super::table::Table;
use super::{LINE, MOST};
use crate::training::rules::{Found, HarmLosses, MAX_RULES, Statement};

/// In what condition the machine is found.
pub(super) fn found(t: &mut Table<'_, '_>) -> Found {
    t.optional_table(
        "found",
        "In what condition the machine is found beside that; left out, as it should be.",
        condition,
    )
    .unwrap_or(Found::SOUND)
}

/// What the shift before wrote.
pub(super) fn book(t: &mut Table<'_, '_>) -> Vec<String> {
    t.list(
        "book",
        [0, MAX_RULES],
        "What the shift book says of the shift before, told at the beginning.",
        |t| t.text("text", LINE, "One line of it."),
    )
}

/// What can be handed over.
pub(super) fn statements(t: &mut Table<'_, '_>) -> Vec<Statement> {
    t.list(
        "statements",
        [0, MAX_RULES],
        "What can be said to whoever takes the machine over, true or not.",
        |t| Statement {
            id: t.identifier("id", "Identifier within the exercise."),
            text: t.text("text", LINE, "What is said."),
        },
    )
}

fn condition(t: &mut Table<'_, '_>) -> Found {
    let mut form = |key, meaning| t.optional_quantity(key, D::Length, ["-50 µm", "50 µm"], meaning);
    let form = [
        form(
            "lower",
            "Form of the lower plate, inner edge over outer edge, + convex; left out, as the machine file says.",
        ),
        form("upper", "Form of the upper plate likewise."),
    ];
    let mut share = |key, most, meaning| t.optional_quantity(key, D::Ratio, ["0 %", most], meaning);
    Found {
        grains: share("grains", "200 %", "Grains in the slurry against those that the recipe asks for; left out, 100 %.")
            .unwrap_or(1.0),
        sharpness: share("sharpness", "100 %", "Cutting ability of the grains in the tank against fresh ones; left out, 100 %.")
            .unwrap_or(1.0),
        left_over: t
            .optional_quantity("left-over", D::Length, ["0 µm", "200 µm"], "Grain of the abrasive that was used before and was not cleaned away; left out, none.")
            .unwrap_or(0.0),
        form,
    }
}

/// Losses where the file says nothing.
pub(super) const HARM: HarmLosses = HarmLosses {
    cracked: 40,
    scored: 40,
    carriers: 30,
    undersize: 20,
    oversize: 20,
    scratched: 20,
    danger: 50,
};

pub(super) fn harm(t: &mut Table<'_, '_>) -> HarmLosses {
    let mut loss = |key, meaning, otherwise| {
        t.optional_integer(key, [0, MOST], meaning)
            .unwrap_or(otherwise)
    };
    HarmLosses {
        cracked: loss(
            "cracked",
            "A part was loaded beyond its strength; left out, 40.",
            HARM.cracked,
        ),
        scored: loss(
            "scored",
            "A plate was scored by dry turning; left out, 40.",
            HARM.scored,
        ),
        carriers: loss(
            "carriers",
            "Carriers were damaged: drives out of ratio under load, or the plate on the carriers; left out, 30.",
            HARM.carriers,
        ),
        undersize: loss(
            "undersize",
            "Parts of a completed batch are too thin; left out, 20.",
            HARM.undersize,
        ),
        oversize: loss(
            "oversize",
            "Parts of a completed batch are too thick; left out, 20.",
            HARM.oversize,
        ),
        scratched: loss(
            "scratched",
            "Parts are scratched by grains of another abrasive; left out, 20.",
            HARM.scratched,
        ),
        danger: loss(
            "danger",
            "Somebody could have been hurt: moving, pressing or falling with the guard open; left out, 50.",
            HARM.danger,
        ),
    }
}
