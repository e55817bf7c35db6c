//! The machine file's tables about the plates: their heat, what they are, and how they are conditioned.

use super::quantity::Dimension as D;
use super::recipe::speeds;
use super::table::Table;
use crate::model::{Conditioning, Plates, Thermal};

pub(super) fn thermal(t: &mut Table<'_, '_>) -> Thermal {
    let temperature = ["0 °C", "150 °C"];
    let value = Thermal {
        ambient: t.assumed(
            "ambient",
            D::Temperature,
            ["0 °C", "60 °C"],
            "Room and starting temperature.",
        ),
        capacity: t.assumed(
            "capacity",
            D::HeatCapacity,
            ["0.1 kJ/K", "50000 kJ/K"],
            "Heat capacity of one plate.",
        ),
        cooling: t.assumed(
            "cooling",
            D::Conductance,
            ["0 W/K", "100 kW/K"],
            "Cooling of one plate to its water-cooled base and the room.",
        ),
        slurry_share: t.assumed(
            "slurry-share",
            D::Ratio,
            ["0", "1"],
            "Share of the friction power that the slurry carries away.",
        ),
        high: t.assumed("high", D::Temperature, temperature, "Alarm temperature."),
        very_high: t.assumed(
            "very-high",
            D::Temperature,
            temperature,
            "Hold temperature.",
        ),
    };
    t.require_order(("ambient", value.ambient), ("high", value.high), true);
    t.require_order(("high", value.high), ("very-high", value.very_high), true);
    value
}

pub(super) fn plates(t: &mut Table<'_, '_>) -> Plates {
    let form = ["-200 µm", "200 µm"];
    Plates {
        wear: t.quantity_or(
            "wear",
            D::Ratio,
            ["0", "10"],
            "0.1",
            "Wear coefficient of a plate over the removal coefficient of the parts. The default is invented: with it a plate loses some µm of its form in fifty batches, which is when shops condition (common practice, no source).",
        ),
        form: [
            t.quantity_or(
                "form-lower",
                D::Length,
                form,
                "0 µm",
                "Form of the lower plate before the first batch, at one temperature: inner edge over outer edge, + convex.",
            ),
            t.quantity_or(
                "form-upper",
                D::Length,
                form,
                "0 µm",
                "The same of the upper plate.",
            ),
        ],
        expansion: t.quantity_or(
            "expansion",
            D::Expansion,
            ["0.1e-6 1/K", "50e-6 1/K"],
            "11e-6 1/K",
            "Thermal expansion of the plates. The default is cast iron (handbook value, from memory).",
        ),
        conductivity: t.quantity_or(
            "conductivity",
            D::Conductivity,
            ["0.5 W/(m·K)", "500 W/(m·K)"],
            "48 W/(m·K)",
            "Thermal conductivity of the plates. The default is grey cast iron (handbook value, from memory).",
        ),
        cooling_depth: t.quantity_or(
            "cooling-depth",
            D::Length,
            ["2 mm", "300 mm"],
            "300 mm",
            "Depth of the cooling channels under the working face. More than plate-thickness, as the default is, means cooled at the back.",
        ),
    }
}

pub(super) fn conditioning(t: &mut Table<'_, '_>) -> Conditioning {
    let value = Conditioning {
        outer: t.quantity("outer", D::Length, ["10 mm", "2 m"], "Outer diameter of a tool."),
        inner: t.quantity("inner", D::Length, ["1 mm", "2 m"], "Inner diameter of a tool."),
        load: t.quantity("load", D::Force, ["1 N", "100 kN"], "Load on all tools together."),
        wear: t.quantity(
            "wear",
            D::PerPressure,
            ["1e-14 1/Pa", "1e-9 1/Pa"],
            "Wear coefficient of a plate under a tool.",
        ),
        speeds: t.table(
            "speeds",
            "Speeds of the four drives meanwhile, counter-clockwise positive from above.",
            speeds,
        ),
        time: t.quantity("time", D::Time, ["1 s", "4 h"], "How long."),
        at: t.quantity(
            "at",
            D::Length,
            ["0.1 µm", "200 µm"],
            "Form of either plate after a batch, inner edge over outer edge to either side, from which both are conditioned.",
        ),
    };
    t.require_order(("inner", value.inner), ("outer", value.outer), true);
    value
}
