//! The load cell's table.

use super::super::quantity::Dimension as D;
use super::super::table::Table;
use crate::math::floor;
use crate::model::Cell;

/// Least noise of a cell, counts: with less, a converter may well show the same count a thousand times running while the plates stand
/// (with a quarter of a count the chance is 1 in 10^20, with an eighth it is nearly certain).
const QUIETEST: f64 = 0.25;

pub(super) fn cell(t: &mut Table<'_, '_>) -> Cell {
    let share = ["-1 %", "1 %"];
    let time = ["0.1 s", "24 h"];
    let value = Cell {
        range: t.quantity(
            "range",
            D::Force,
            ["10 N", "1000 kN"],
            "Rated range, both signs.",
        ),
        counts_at_range: f64::from(t.integer(
            "counts-at-range",
            [1000, 8_388_607],
            "Counts at the rated range; the converter has 24 bits.",
        )),
        bandwidth: t.assumed(
            "bandwidth",
            D::Frequency,
            ["5 Hz", "400 Hz"],
            "Second-order analogue bandwidth; below half the 1 kHz tick rate.",
        ),
        noise: t.assumed(
            "noise",
            D::Force,
            ["0 N", "1 kN"],
            "Gaussian noise after the amplifier, standard deviation; a quarter of a count (range / counts-at-range) at least.",
        ),
        creep: [
            t.assumed(
                "creep-fast",
                D::Ratio,
                share,
                "Fast part of creep, share of a lasting load.",
            ),
            t.assumed(
                "creep-slow",
                D::Ratio,
                share,
                "Slow part of creep, share of a lasting load.",
            ),
        ],
        creep_time: [
            t.assumed(
                "creep-time-fast",
                D::Time,
                time,
                "Time constant of the fast part.",
            ),
            t.assumed(
                "creep-time-slow",
                D::Time,
                time,
                "Time constant of the slow part.",
            ),
        ],
        zero_drift: t.assumed(
            "zero-drift",
            D::ForceDrift,
            ["-100 N/K", "100 N/K"],
            "Zero drift with temperature.",
        ),
        nonlinearity: t.assumed(
            "nonlinearity",
            D::Ratio,
            share,
            "Nonlinearity at full range, share of the range.",
        ),
        lash: t.assumed(
            "lash",
            D::Force,
            ["0 N", "1 kN"],
            "Lash where the rod force changes sign.",
        ),
    };
    // No cell is without noise: a bridge of 350 Ω makes some 30 nV within 100 Hz (Johnson 1928, 4 k T R B), which is about six counts
    // where 20 mV are four million. Counts that never change are what tells a dead cell (row 8).
    let least = QUIETEST * value.range / value.counts_at_range;
    if value.noise < least
        && t.is_clean("noise")
        && t.is_clean("counts-at-range")
        && t.is_clean("range")
    {
        t.error_at(
            "inconsistent",
            "noise",
            "a cell so quiet repeats its counts, and the controller takes it for a dead one (row 8, cell-stuck)".to_owned(),
            format!(
                "{:.3} mN or more: a quarter of a count",
                // Rounded up, so that what is shown is enough.
                -floor(-least * 1e6) * 1e-3
            ),
        );
    }
    value
}
