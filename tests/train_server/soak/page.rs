//! The table of the hour in `docs/soak.md`.

use super::{Figures, NEXT_TICK};
use crate::root;

const BEGIN: &str = "<!-- measured: server-soak -->\n";
const END: &str = "<!-- end -->";

/// The figures as a table.
pub fn table(minutes: u64, figures: &Figures) -> String {
    let [start, warm, end] = figures.sizes;
    let peak = figures.peak;
    let both = |what: &str| figures.done.of(what) + figures.killed.of(what);
    let rows = [
        ("minutes", minutes.to_string()),
        (
            "sessions that were opened, at the watched and the killed server",
            format!(
                "{}, {}",
                figures.done.of("session"),
                figures.killed.of("session")
            ),
        ),
        (
            "sessions at work at the watched server, median",
            figures.at_work.to_string(),
        ),
        ("acts that were done", both("act").to_string()),
        (
            "clients that vanished, stalled, flooded, lied",
            ["vanish", "stall", "flood", "lie"]
                .map(|what| both(what).to_string())
                .join(", "),
        ),
        (
            "memory at the start, after the warm-up, at the end, at most, MB",
            [start, warm, end, peak]
                .map(|size| format!("{:.1}", size.memory_mb))
                .join(", "),
        ),
        (
            "threads, likewise",
            [start, warm, end, peak]
                .map(|size| size.threads.to_string())
                .join(", "),
        ),
        (
            "open files, likewise",
            [start, warm, end, peak]
                .map(|size| size.files.to_string())
                .join(", "),
        ),
        (
            "emergency stops, and the most ticks from arrival to action",
            format!(
                "{}, {} (allowed {NEXT_TICK})",
                figures.presses, figures.worst_ticks
            ),
        ),
        (
            "slowest answer to an emergency stop, by the clock of a busy machine, ms",
            format!("{:.0}", figures.done.slowest_press_ms),
        ),
        (
            "times that the second server was killed",
            figures.kills.to_string(),
        ),
        (
            "attempts in both records, and lost or not whole",
            format!("{}, {}", figures.recorded, figures.lost.len()),
        ),
    ];
    let mut table = String::from("| what | measured |\n|---|---|\n");
    for (what, measured) in rows {
        table.push_str(&format!("| {what} | {measured} |\n"));
    }
    table
}

/// Writes the table where `UPDATE` asks for it.
pub fn update(table: &str) {
    if std::env::var_os("UPDATE").is_none_or(|value| value != "1") {
        return;
    }
    let page = root().join("docs/soak.md");
    let text = std::fs::read_to_string(&page).expect("page");
    let (head, rest) = text.split_once(BEGIN).expect("the page has the block");
    let (_, tail) = rest.split_once(END).expect("the block has an end");
    std::fs::write(&page, format!("{head}{BEGIN}{table}{END}{tail}")).expect("written");
}
