//! The slurry system.

use super::super::quantity::Dimension as D;
use super::super::table::Table;
use crate::model::SlurrySystem;

pub(super) fn slurry(t: &mut Table<'_, '_>) -> SlurrySystem {
    let flow = ["1 mL/min", "60 L/min"];
    let time = ["0.1 s", "2 h"];
    let value = SlurrySystem {
        flow_max: t.quantity("flow-max", D::Flow, flow, "Largest pump flow."),
        flow_min: t.assumed("flow-min", D::Flow, flow, "Smallest flow that counts as flow."),
        line_volume: t.assumed("line-volume", D::Volume, ["0.1 mL", "50 L"], "Volume of the line between pump and plate."),
        line_lag: t.assumed("line-lag", D::Time, ["10 ms", "1 min"], "First-order lag of the flow after the line is full."),
        film_life: t.assumed(
            "film-life",
            D::Time,
            time,
            "Time for which a wetted gap stays lubricated without flow at resting load and full speed.",
        ),
        wet_time: t.assumed("wet-time", D::Time, time, "Time constant in which the largest flow wets a dry gap."),
        settle_time: t.assumed(
            "settle-time",
            D::Time,
            ["1 s", "24 h"],
            "Settling time constant of the suspended fraction with the agitator off.",
        ),
        stir_time: t.assumed("stir-time", D::Time, time, "Stirring-up time constant with the agitator on."),
        tank: t.assumed("tank", D::Volume, ["0.1 L", "10 m³"], "Tank volume."),
        returned: t.quantity_or(
            "returned",
            D::Ratio,
            ["0 %", "100 %"],
            "0 %",
            "Share of the pumped slurry that runs back into the tank, with its worn grains and swarf.",
        ),
        rinse_flow: t.assumed("rinse-flow", D::Flow, flow, "Rinse water flow."),
    };
    t.require_order(
        ("flow-min", value.flow_min),
        ("flow-max", value.flow_max),
        true,
    );
    value
}
