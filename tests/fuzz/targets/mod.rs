//! What is fuzzed: functions of bytes that panic where something is wrong, and do the same on the same bytes. The normal suite runs each on
//! its corpus and on mutations of it; the long run drives the same functions by coverage.

mod bytes;
mod checksum;
mod files;
mod gates;
mod link;
mod machine;
mod records;
mod sheets;
mod store;
mod tick;
mod training;
mod words;

use std::path::PathBuf;

/// A function that is fuzzed.
#[derive(Clone, Copy)]
pub struct Target {
    /// Its name, and that of the folder of its corpus.
    pub name: &'static str,
    /// What it does with bytes.
    pub run: fn(&[u8]),
    /// Where else there are good and bad entries: a folder of the sources, and how the names in it begin.
    pub seeds: &'static [(&'static str, &'static str)],
}

/// A target in one line.
const fn target(
    name: &'static str,
    run: fn(&[u8]),
    seeds: &'static [(&'static str, &'static str)],
) -> Target {
    Target { name, run, seeds }
}

/// Malformed files of every kind, each name beginning with it.
const MALFORMED: &str = "tests/cli/corpus";

/// All of them. Whoever writes another reader of what comes from outside adds its line here, and a folder of entries in `corpus`.
pub const TARGETS: &[Target] = &[
    target(
        "machine",
        files::machine,
        &[
            ("recipes/machines", ""),
            ("recipes/variants/machines", ""),
            ("recipes/bad/machines", ""),
            (MALFORMED, "machine-"),
        ],
    ),
    target(
        "batch",
        files::batch,
        &[
            ("recipes/batches", ""),
            ("recipes/variants/batches", ""),
            ("recipes/bad/batches", ""),
            (MALFORMED, "batch-"),
        ],
    ),
    target(
        "recipe",
        files::recipe,
        &[
            ("recipes/recipes", ""),
            ("recipes/variants", ""),
            ("recipes/bad", ""),
            (MALFORMED, "recipe-"),
        ],
    ),
    target(
        "scenario",
        files::scenario,
        &[("recipes/scenarios", ""), (MALFORMED, "scenario-")],
    ),
    target("exercise", files::exercise, &[("recipes/exercises", "")]),
    target(
        "shelf",
        files::shelf,
        &[("recipes/shelf", ""), (MALFORMED, "shelf-")],
    ),
    target("route", files::route, &[]),
    target(
        "sheet-cell",
        sheets::cell,
        &[("recipes/calibration", "dead-weights")],
    ),
    target(
        "sheet-removal",
        sheets::removal,
        &[
            ("recipes/calibration", "glass-trials"),
            ("recipes/campaign", "trials"),
        ],
    ),
    target(
        "sheet-slurry",
        sheets::slurry,
        &[("recipes/calibration", "stopwatch")],
    ),
    target(
        "sheet-heat",
        sheets::heat,
        &[("recipes/calibration", "shift")],
    ),
    target(
        "sheet-plates",
        sheets::plates,
        &[("recipes/calibration", "plate-forms")],
    ),
    target(
        "sheet-drives",
        sheets::drives,
        &[("recipes/calibration", "coast-downs")],
    ),
    target("sheet-actuator", sheets::actuator, &[]),
    target(
        "sheet-parts",
        sheets::parts,
        &[("recipes/shop", "glass-parts")],
    ),
    target(
        "sheet-prices",
        sheets::prices,
        &[("recipes/shop", "prices")],
    ),
    target(
        "sheet-shifts",
        sheets::shifts,
        &[("recipes/shop", "record")],
    ),
    target(
        "sheet-production",
        sheets::production,
        &[("recipes/production", ""), ("recipes/campaign", "record")],
    ),
    target("log", sheets::log, &[]),
    target("journal", records::journal, &[]),
    target("attempt", records::attempt, &[]),
    target(
        "script",
        training::script,
        &[("recipes/exercises/scripts", "")],
    ),
    target("said", training::said, &[]),
    target("request", training::request, &[]),
    target("quantity", words::quantity, &[]),
    target("sweep", words::sweep, &[]),
    target("tick", tick::tick, &[]),
    target("gates", gates::gates, &[]),
    target("link", link::link, &[]),
    target("store", store::store, &[]),
];

/// The root of the sources.
pub fn root() -> PathBuf {
    twinplate_sim::demo::folder().join("..")
}
