//! Half-widths of what the file admits about itself.

use super::super::quantity::Dimension as D;
use super::super::table::Table;
use crate::model::Envelope;

pub(super) fn envelope(t: &mut Table<'_, '_>) -> Envelope {
    let share = ["0 %", "90 %"];
    let factor = ["1", "20"];
    let gauge = gauge_widths(t);
    let mut ratio =
        |key, range, default, meaning| t.quantity_or(key, D::Ratio, range, default, meaning);
    Envelope {
        regulator_gain: ratio("regulator-gain", share, "5 %", "Regulator gain, ± share."),
        regulator_offset: ratio(
            "regulator-offset",
            share,
            "1 %",
            "Regulator offset, ± share of full scale.",
        ),
        weight: ratio("weight", share, "2 %", "Upper plate weight, ± share."),
        counterbalance: ratio(
            "counterbalance",
            share,
            "2 %",
            "Counterbalance pressure, ± share.",
        ),
        seal_friction: ratio("seal-friction", share, "50 %", "Seal friction, ± share."),
        lag: ratio("lag", share, "30 %", "Regulator lag, ± share."),
        dead_time: ratio("dead-time", share, "30 %", "Regulator dead time, ± share."),
        stiffness_factor: ratio(
            "stiffness-factor",
            factor,
            "3",
            "Contact stiffness, divided or multiplied by up to this factor.",
        ),
        supply: ratio(
            "supply",
            share,
            "15 %",
            "Supply pressure may be lower by this share.",
        ),
        cell_span: ratio("cell-span", share, "0.5 %", "Cell span, ± share."),
        noise_factor: ratio(
            "noise-factor",
            factor,
            "2",
            "Cell noise, up to this factor.",
        ),
        friction: ratio("friction", share, "40 %", "Friction coefficient, ± share."),
        removal: ratio("removal", share, "30 %", "Removal coefficient, ± share."),
        spread_factor: ratio(
            "spread-factor",
            factor,
            "1.5",
            "Part thickness spread, up to this factor.",
        ),
        gauge_bias: gauge[0],
        gauge_drift: gauge[1],
        gauge_temperature: gauge[2],
    }
}

/// Bias, drift and thermal offset of the size gauge.
fn gauge_widths(t: &mut Table<'_, '_>) -> [f64; 3] {
    let length = ["0 µm", "0.5 mm"];
    [
        t.quantity_or(
            "gauge-bias",
            D::Length,
            length,
            "0.5 µm",
            "Zero of the size gauge after it was set, ±.",
        ),
        t.quantity_or(
            "gauge-drift",
            D::Length,
            length,
            "0.5 µm",
            "Drift of the size gauge's zero over a shift of eight hours, ±.",
        ),
        t.quantity_or(
            "gauge-temperature",
            D::Ratio,
            ["0 %", "300 %"],
            "50 %",
            "Thermal offset of the size gauge, ± share.",
        ),
    ]
}
