//! Half-widths of what the file admits about itself.

use super::super::quantity::Dimension as D;
use super::super::table::Table;
use crate::model::Envelope;

pub(super) fn envelope(t: &mut Table<'_, '_>) -> Envelope {
    let share = ["0 %", "90 %"];
    let factor = ["1", "20"];
    let gauge = gauge_widths(t);
    Envelope {
        regulator_gain: t.quantity_or(
            "regulator-gain",
            D::Ratio,
            share,
            "5 %",
            "Regulator gain, ± share.",
        ),
        regulator_offset: t.quantity_or(
            "regulator-offset",
            D::Ratio,
            share,
            "1 %",
            "Regulator offset, ± share of full scale.",
        ),
        weight: t.quantity_or(
            "weight",
            D::Ratio,
            share,
            "2 %",
            "Upper plate weight, ± share.",
        ),
        counterbalance: t.quantity_or(
            "counterbalance",
            D::Ratio,
            share,
            "2 %",
            "Counterbalance pressure, ± share.",
        ),
        seal_friction: t.quantity_or(
            "seal-friction",
            D::Ratio,
            share,
            "50 %",
            "Seal friction, ± share.",
        ),
        lag: t.quantity_or("lag", D::Ratio, share, "30 %", "Regulator lag, ± share."),
        dead_time: t.quantity_or(
            "dead-time",
            D::Ratio,
            share,
            "30 %",
            "Regulator dead time, ± share.",
        ),
        stiffness_factor: t.quantity_or(
            "stiffness-factor",
            D::Ratio,
            factor,
            "3",
            "Contact stiffness, divided or multiplied by up to this factor.",
        ),
        supply: t.quantity_or(
            "supply",
            D::Ratio,
            share,
            "15 %",
            "Supply pressure may be lower by this share.",
        ),
        cell_span: t.quantity_or("cell-span", D::Ratio, share, "0.5 %", "Cell span, ± share."),
        noise_factor: t.quantity_or(
            "noise-factor",
            D::Ratio,
            factor,
            "2",
            "Cell noise, up to this factor.",
        ),
        friction: t.quantity_or(
            "friction",
            D::Ratio,
            share,
            "40 %",
            "Friction coefficient, ± share.",
        ),
        removal: t.quantity_or(
            "removal",
            D::Ratio,
            share,
            "30 %",
            "Removal coefficient, ± share.",
        ),
        spread_factor: t.quantity_or(
            "spread-factor",
            D::Ratio,
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
