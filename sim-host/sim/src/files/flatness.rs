//! The recipe file's table about flatness control in process.

use super::quantity::Dimension as D;
use super::table::Table;
use crate::model::{FlatnessControl, Measured, Rings};
use firmware_core::plate_form::{MAX_SETTINGS, MOST_UNREPORTED};

pub(super) fn read(t: &mut Table<'_, '_>) -> FlatnessControl {
    let value = FlatnessControl {
        measured: t
            .optional_word(
                "measured",
                &Measured::NAMES,
                "What the form of the plates is reported by: a straightedge across each plate, or the light bands of the parts that lay on \
                 it. Left out: straightedge. They are not the same: what a batch does to either is computed for it.",
            )
            .unwrap_or(Measured::Straightedge),
        deadband: t.quantity(
            "deadband",
            D::Length,
            ["0.1 µm", "100 µm"],
            "Form within which a plate needs no correction: no less than what the straightedge or the bands can tell.",
        ),
        limit: t.quantity(
            "limit",
            D::Length,
            ["0.2 µm", "500 µm"],
            "Form of either plate beyond which no cycle starts until the plates are conditioned.",
        ),
        longest_unreported: t.integer(
            "longest-unreported",
            [1, u32::from(MOST_UNREPORTED)],
            "Batches after which the form must be reported again; until then the rings turn as programmed.",
        ),
        settings: t.list(
            "settings",
            [1, MAX_SETTINGS - 1],
            "Ways to turn the pin rings beside the programmed one.",
            rings,
        ),
    };
    t.require_order(("deadband", value.deadband), ("limit", value.limit), true);
    for (index, setting) in value.settings.iter().enumerate() {
        let twin = *setting == Rings::PROGRAMMED || value.settings[..index].contains(setting);
        if twin {
            t.error_at(
                "inconsistent",
                &format!("settings[{index}].trim"),
                "the rings turn so already as programmed or by another setting".into(),
                "a setting of its own: another trim, or reversed".into(),
            );
        }
    }
    value
}

fn rings(t: &mut Table<'_, '_>) -> Rings {
    Rings {
        reverse: t.flag(
            "reverse",
            "Both pin rings turn against their programmed directions.",
        ),
        trim: t.quantity_or(
            "trim",
            D::Ratio,
            ["-50 %", "50 %"],
            "0 %",
            "The inner ring turns faster by this share, the outer ring slower.",
        ),
    }
}
