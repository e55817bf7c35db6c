//! The tables of the long run in `docs/soak.md`.

use super::Outcome;
use super::operator::{DECLARED, NOT_RECOVERED};
use firmware_core::status::Response;
use std::path::Path;
use std::time::Duration;

const BEGIN: &str = "<!-- measured: cycle-soak -->\n";
const END: &str = "<!-- end -->";

/// The figures as tables.
pub fn table(found: &[Outcome], took: Duration) -> String {
    let count = |of: &dyn Fn(&Outcome) -> bool| found.iter().filter(|one| of(one)).count();
    let good = |one: &Outcome| one.wrong.is_none();
    let lost = |one: &Outcome| {
        one.wrong
            .as_ref()
            .is_some_and(|why| why.contains(NOT_RECOVERED))
    };
    let faults: usize = found.iter().map(|one| one.faults.len()).sum();
    let deeds: usize = found.iter().map(|one| one.deeds).sum();
    let simulated: f64 = found.iter().map(|one| one.simulated).sum();
    let rows = [
        ("cycles", found.len()),
        ("faults in them", faults),
        ("operator acts in them", deeds),
        (
            "cycles with a violation of safety",
            count(&|o| !good(o) && !lost(o)),
        ),
        ("recoveries made", count(&good)),
        ("recoveries not made", count(&lost)),
        (
            "of them declared (a leak has emptied the rod side of the parked plate)",
            count(&|o| o.wrong.as_ref().is_some_and(|why| why.contains(DECLARED))),
        ),
        (
            "a held cycle was restarted and came to its end",
            count(&|o| o.ways.restarted),
        ),
        ("the plate was raised by request", count(&|o| o.ways.raised)),
        (
            "it took more than one raise",
            count(&|o| o.ways.raised_again),
        ),
        ("channels were cycled", count(&|o| o.ways.cycled)),
        ("the main switch was needed", count(&|o| o.ways.main_switch)),
        (
            "plate change and back was needed",
            count(&|o| o.ways.plate_as_new),
        ),
        ("simulated, hours", (simulated / 3600.0) as usize),
        ("took, s", took.as_secs() as usize),
    ];
    let mut table = String::from("| what | measured |\n|---|---|\n");
    for (what, measured) in rows {
        table.push_str(&format!("| {what} | {measured} |\n"));
    }
    table.push_str(
        "\n| gravest response before the recovery | cycles | recovered |\n|---|---|---|\n",
    );
    for (name, response) in Response::NAMES {
        let all = count(&|one| one.response == response);
        let back = count(&|one| one.response == response && good(one));
        table.push_str(&format!("| {name} | {all} | {back} |\n"));
    }
    table
}

/// Writes the tables where `UPDATE` asks for it.
pub fn update(table: &str) {
    if std::env::var_os("UPDATE").is_none_or(|value| value != "1") {
        return;
    }
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/soak.md");
    let text = std::fs::read_to_string(&page).expect("page");
    let (head, rest) = text.split_once(BEGIN).expect("the page has the block");
    let (_, tail) = rest.split_once(END).expect("the block has an end");
    std::fs::write(&page, format!("{head}{BEGIN}{table}{END}{tail}")).expect("written");
}
