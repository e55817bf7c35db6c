//! The machine file: every key, its range and where it goes in [`Machine`]. A component a file; what a short file leaves out is assumed.

mod actuator;
mod cell;
mod control;
mod drives;
mod envelope;
mod geometry;
mod left_out;
mod slurry;

use super::plates;
use super::table::Table;
use crate::model::Machine;
pub use left_out::{value_words, width_words};

pub(super) fn read(t: &mut Table<'_, '_>) -> Machine {
    let mut machine = Machine {
        id: t.identifier("id", "Identifier that recipes name; also the file's name."),
        title: t.text("title", 120, "One line for people."),
        geometry: t.table("geometry", "Plates, pin rings and carriers.", geometry::geometry),
        actuator: t.table(
            "actuator",
            "The double-acting air cylinder over the upper plate, its regulators and valves.",
            actuator::actuator,
        ),
        cell: t.table(
            "cell",
            "Load cell in the rod and its amplifier.",
            cell::cell,
        ),
        drives: t.table("drives", "The four drives and what they turn.", drives::drives),
        slurry: t.table("slurry", "Slurry system.", slurry::slurry),
        thermal: t.table_or(
            "thermal",
            "Lumped thermal model of the plates.",
            plates::thermal,
        ),
        plates: t.table_or("plates", "The plates themselves.", plates::plates),
        conditioning: t.optional_table(
            "conditioning",
            "Flat ring tools, one in each carrier's place, that flatten both plates between batches.",
            plates::conditioning,
        ),
        control: t.table(
            "control",
            "What the controller is configured with.",
            control::control,
        ),
        gains: t.optional_table(
            "gains",
            "Load-loop gains; left out, the default rule gives them.",
            control::gains,
        ),
        envelope: t.table_or(
            "envelope",
            "Half-widths of what this file admits about itself.",
            envelope::envelope,
        ),
        assumed: Vec::new(),
    };
    left_out::assume(t, &mut machine);
    machine
}
