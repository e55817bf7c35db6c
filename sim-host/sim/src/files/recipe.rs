//! The recipe file: every key, its range and where it goes in [`Recipe`].

use super::error::nearest;
use super::flatness;
use super::grades;
use super::quantity::Dimension as D;
use super::removal_rate;
use super::table::Table;
use crate::model::{Consumables, End, MeasuredAt, Process, Recipe, Shown, Step};
use firmware_core::process_image::{DRIVES, Drive};
use firmware_core::recipe::MAX_STEPS;

/// Model paths that differ from the file's, model first.
pub(super) const ALIASES: &[(&str, &str)] = &[
    ("consumables.process", "process"),
    ("prestart", "slurry.prestart"),
    ("prestart-flow", "slurry.prestart-flow"),
    ("rinse", "slurry.rinse"),
];

const FLOW: [&str; 2] = ["0 L/min", "60 L/min"];

pub(super) fn read(t: &mut Table<'_, '_>) -> Recipe {
    let id = t.identifier("id", "Identifier; also the file's name.");
    let title = t.text("title", 120, "One line for people.");
    let machine = t.identifier("machine", "Machine it was written for.");
    let batch = t.identifier("batch", "Batch it was written for.");
    let process = t
        .word("process", &Process::NAMES, "Kind of process.")
        .unwrap_or(Process::LooseAbrasive);
    let gauge = t.flag("gauge", "The size gauge is used.");
    let consumables = t.table(
        "consumables",
        "Abrasive, vehicle and what they do to this material.",
        |t| consumables(t, process),
    );
    let slurry = t.table(
        "slurry",
        "Slurry and rinse before and after the steps.",
        slurry,
    );
    let flatness = t.optional_table(
        "flatness",
        "Flatness control in process: ring settings that the controller chooses from between batches, by the reported form of the plates. Left out: the rings turn as the steps say.",
        flatness::read,
    );
    let steps = t.list("steps", [1, MAX_STEPS], "The steps, in order.", step);
    distinct_names(t, &steps);
    Recipe {
        id,
        title,
        machine,
        batch,
        consumables,
        prestart: slurry[0],
        prestart_flow: slurry[1],
        rinse: slurry[2],
        gauge,
        flatness,
        steps,
        shown: Shown::default(),
    }
}

/// Pre-start, its flow, rinse.
fn slurry(t: &mut Table<'_, '_>) -> [f64; 3] {
    [
        t.quantity(
            "prestart",
            D::Time,
            ["0 s", "10 min"],
            "Pump time before rotation.",
        ),
        t.quantity("prestart-flow", D::Flow, FLOW, "Flow during the pre-start."),
        t.quantity_or(
            "rinse",
            D::Time,
            ["0 s", "30 min"],
            "0 s",
            "Rinse time after the last step; zero for none.",
        ),
    ]
}

const GRAIN: [&str; 2] = ["10 nm", "500 µm"];
const CONCENTRATION: [&str; 2] = ["0 %", "80 %"];

pub(super) fn consumables(t: &mut Table<'_, '_>, process: Process) -> Consumables {
    let friction = ["0.001", "2"];
    let value = Consumables {
        process,
        abrasive: t.text("abrasive", 60, "Abrasive, such as aluminium oxide."),
        grade: t.text(
            "grade",
            24,
            "Grade as printed on the bag, such as F800, P1200 or #1000.",
        ),
        grain: t.quantity(
            "grain",
            D::Length,
            GRAIN,
            "Median grain size.",
        ),
        vehicle: t.text("vehicle", 60, "Vehicle, such as water or oil."),
        concentration: t.quantity(
            "concentration",
            D::Ratio,
            CONCENTRATION,
            "Abrasive mass share in the slurry.",
        ),
        removal: removal_rate::coefficient(t),
        removal_rate: t.optional_table(
            "removal-rate",
            "The removal coefficient as a rate, as a shop measures it with fresh slurry; in its place.",
            removal_rate::read,
        ),
        friction: t.quantity(
            "friction",
            D::Ratio,
            friction,
            "Friction coefficient of the wet gap.",
        ),
        friction_dry: t.quantity(
            "friction-dry",
            D::Ratio,
            friction,
            "Friction coefficient of a dry gap.",
        ),
        breakdown_work: t.quantity(
            "breakdown-work",
            D::EnergyPerArea,
            ["1 J/m²", "1e6 MJ/m²"],
            "Work per area that halves the grains' cutting ability.",
        ),
        roughness: t.optional_quantity(
            "roughness",
            D::Length,
            ["0.1 nm", "100 µm"],
            "Roughness Ra the process settles at, measured; without it the published form is assumed.",
        ),
        damage: t.optional_quantity(
            "damage",
            D::Length,
            ["0 µm", "1 mm"],
            "Damage depth per face the process leaves, measured; without it the published form is assumed.",
        ),
        measured_at: t.optional_table(
            "measured-at",
            "Grain and slurry at which removal, roughness and damage were measured: they are carried over to the recipe's own. \
             Without it they were measured with the recipe's own.",
            measured_at,
        ),
        settle_depth: t.quantity(
            "settle-depth",
            D::Length,
            ["1 nm", "1 mm"],
            "Removed depth per face over which roughness settles (one e-fold).",
        ),
    };
    t.require_order(
        ("friction", value.friction),
        ("friction-dry", value.friction_dry),
        false,
    );
    check_grade(t, &value);
    removal_rate::resolve_mean(t, value)
}

fn measured_at(t: &mut Table<'_, '_>) -> MeasuredAt {
    MeasuredAt {
        grain: t.quantity("grain", D::Length, GRAIN, "Median grain size then."),
        concentration: t.quantity(
            "concentration",
            D::Ratio,
            CONCENTRATION,
            "Abrasive mass share in the slurry then.",
        ),
    }
}

/// A grade of a standard series says the median grain size; any other name is free.
fn check_grade(t: &mut Table<'_, '_>, value: &Consumables) {
    if !grades::is_series(&value.grade) {
        return;
    }
    let Some(grade) = grades::find(&value.grade) else {
        t.error_at_near(
            "unknown-word",
            "grade",
            format!("`{}` is no micro-grit grade", value.grade),
            "a grade of ISO 8486-2 (F230 to F2000), ISO 6344-3 (P240 to P2500) or JIS R 6001-2 (#240 to #8000)".into(),
            nearest(&value.grade, grades::GRADES.iter().map(|g| g.name)),
        );
        return;
    };
    let off = crate::math::abs(value.grain * 1e6 - grade.median);
    // A billionth of a micrometre for the unit's rounding.
    if off > grade.tolerance + 1e-9 {
        t.error_at(
            "grade-mismatch",
            "grain",
            format!("the grain is not that of {}", grade.name),
            format!(
                "{} ± {} µm for {}",
                grade.median, grade.tolerance, grade.name
            ),
        );
    }
}

fn step(t: &mut Table<'_, '_>) -> Step {
    Step {
        name: t.name("name", "Name of the step, shown on the panel."),
        pressure: t.quantity(
            "pressure",
            D::Pressure,
            ["0.1 kPa", "10 MPa"],
            "Pressure on the parts.",
        ),
        load_limit: t.quantity(
            "limit",
            D::Force,
            ["1 N", "1000 kN"],
            "Load that the step never exceeds.",
        ),
        ramp: t.quantity("ramp", D::ForceRate, ["0.1 N/s", "100 kN/s"], "Load ramp."),
        speeds: t.table(
            "speeds",
            "Speeds of the four drives, counter-clockwise positive seen from above.",
            speeds,
        ),
        flow: t.quantity("flow", D::Flow, FLOW, "Slurry flow."),
        end: t.table(
            "end",
            "What ends the step: a time, stock by gauge, or size by gauge.",
            end,
        ),
        longest: t.quantity(
            "longest",
            D::Time,
            ["1 s", "24 h"],
            "Longest time of the step; ends it with an alarm.",
        ),
    }
}

/// The process image carries 0.01 rpm in 16 bits: ±327 rpm.
const SPEED: [&str; 2] = ["-320 rpm", "320 rpm"];

/// Speeds of the four drives, rad/s.
pub(super) fn speeds(t: &mut Table<'_, '_>) -> [f64; DRIVES] {
    let range = SPEED;
    [
        t.quantity(
            Drive::Inner.name(),
            D::AngularSpeed,
            range,
            "Inner pin ring.",
        ),
        t.quantity(
            Drive::Outer.name(),
            D::AngularSpeed,
            range,
            "Outer pin ring.",
        ),
        t.quantity(Drive::Lower.name(), D::AngularSpeed, range, "Lower plate."),
        t.quantity(Drive::Upper.name(), D::AngularSpeed, range, "Upper plate."),
    ]
}

fn end(t: &mut Table<'_, '_>) -> End {
    t.one_of(&[("time", time), ("stock", stock), ("size", size)])
        .unwrap_or(End::Time { seconds: f64::NAN })
}

fn time(t: &mut Table<'_, '_>) -> End {
    End::Time {
        seconds: t.quantity("time", D::Time, ["1 s", "24 h"], "In-band time."),
    }
}

fn stock(t: &mut Table<'_, '_>) -> End {
    End::Stock {
        depth: t.quantity(
            "stock",
            D::Length,
            ["0.1 µm", "10 mm"],
            "Stock removed from both faces together since the step began.",
        ),
    }
}

fn size(t: &mut Table<'_, '_>) -> End {
    End::Size {
        thickness: t.quantity(
            "size",
            D::Length,
            ["10 µm", "300 mm"],
            "Mean thickness by gauge.",
        ),
    }
}

/// Two steps of one name could not be told apart on the panel or in the log.
fn distinct_names(t: &mut Table<'_, '_>, steps: &[Step]) {
    for (index, step) in steps.iter().enumerate() {
        let twin = steps
            .iter()
            .take(index)
            .any(|other| other.name == step.name);
        if twin && !step.name.is_empty() {
            t.error_at(
                "duplicate-name",
                &format!("steps[{index}].name"),
                format!("another step is named `{}`", step.name),
                "a name of its own for each step".into(),
            );
        }
    }
}
