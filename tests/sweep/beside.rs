//! Two recipes side by side.

use super::{checked, set_of};
use twinplate_sim::requirements::Requirement;
use twinplate_sweep::beside::Beside;

#[test]
fn keys_and_numbers_that_differ_are_all_that_differ() {
    let set = set_of("recipes/glass-f800.toml");
    let text = set
        .recipe
        .text
        .replace("pressure = \"9 kPa\"", "pressure = \"8 kPa\"  # gentler")
        .replace("rinse = \"10 s\"\n", "");
    let other = set.with_recipe(&text).expect("a good recipe");
    let reports = [checked(&set, 1), checked(&other, 1)];
    let found = Beside::of([&set, &other], [&reports[0], &reports[1]]);
    let keys: Vec<(&str, &str, Option<&str>, Option<&str>)> = found
        .keys
        .iter()
        .map(|k| {
            (
                k.file,
                k.key.as_str(),
                k.first.as_deref(),
                k.second.as_deref(),
            )
        })
        .collect();
    assert_eq!(
        keys,
        [
            ("recipe", "slurry.rinse", Some("10 s"), None),
            ("recipe", "steps[2].pressure", Some("9 kPa"), Some("8 kPa")),
        ]
    );
    for (row, left) in found.worst.iter().zip(&found.left) {
        let value = |index: usize| {
            let cases = &reports[index].envelope.cases;
            cases
                .iter()
                .find(|case| case.what == row.what)
                .map(|case| (case.value, case.limit))
        };
        assert_eq!(
            (row.first, row.second),
            (value(0).map(|v| v.0), value(1).map(|v| v.0))
        );
        assert_eq!(
            left.first,
            value(0).map(|(value, limit)| limit - value),
            "{}",
            row.what
        );
    }
    let load = found
        .worst
        .iter()
        .find(|row| row.what == Requirement::LoadLimit.what())
        .expect("a load");
    assert!(load.difference().is_some_and(|more| more < 0.0), "{load:?}");
}

#[test]
fn a_recipe_beside_itself_differs_in_nothing() {
    let set = set_of("recipes/glass-f800.toml");
    let report = checked(&set, 0);
    let found = Beside::of([&set, &set], [&report, &report]);
    assert!(found.keys.is_empty() && found.findings.iter().all(Vec::is_empty) && found.both_pass());
    let rows = || found.cycle.iter().chain(&found.worst).chain(&found.left);
    assert!(rows().count() > 20 && rows().all(|row| row.difference().is_none_or(|d| d == 0.0)));
}
